//! `headround order`: what to buy, for one or many sites.

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

use clap::{Args, ValueEnum, ValueHint};

use super::every;
use super::session::{Done, Outcome, Session, many};
use super::table;
use crate::diag::{Diagnostic, Severity, plain};
use crate::record::desk::Desk;
use crate::record::{export, price_file};
use crate::report::csv::{self, Cell};
use crate::round::order::{self, Order, OrderLine, Scope, Share, SiteOrder, Waiting};
use crate::trade::address::{Address, AreaId, Heads};

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround order harbour.site.yaml
  headround order sites/*.site.yaml --prices prices.yaml
  headround order sites/*.site.yaml --only stock --to csv --out spares.csv

Ordered are spares for the heads that are ruled to be replaced and have not been, what the cabinets then lack of what the \
rule set asks for, and escutcheons and cover plates. What the cabinets can give is taken off. Heads whose replacement is \
only advised are listed and not counted. How the numbers come about, and the price file, stand in docs/order.md.

A file that cannot be read, and a second file of the same site, are told and left out; the exit code is then 2. With --strict the exit code is 1 where anything \
is to be bought.")]
pub struct OrderList {
    /// The site files
    #[arg(required = true, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub files: Vec<PathBuf>,

    /// Your own price file: pack sizes and prices
    #[arg(long, value_name = "PATH", value_hint = ValueHint::FilePath)]
    pub prices: Option<PathBuf>,

    /// Only what replaces heads (condemned), or only what fills the cabinets as they are (stock)
    #[arg(long, value_name = "WHAT", value_enum, hide_possible_values = true)]
    pub only: Option<Only>,

    /// What to write: table, csv (a row a make-up and site) or json
    #[arg(long, value_name = "FORM", value_enum, default_value_t = Form::Table, hide_possible_values = true)]
    pub to: Form,

    /// Write to this file
    #[arg(long, value_name = "PATH", value_hint = ValueHint::FilePath)]
    pub out: Option<PathBuf>,

    /// Replace the file if it is there
    #[arg(long, requires = "out")]
    pub over: bool,
}

/// A part of the order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Only {
    /// What replaces heads.
    Condemned,
    /// What fills the cabinets.
    Stock,
}

/// What to write.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Form {
    /// For people.
    Table,
    /// For a spreadsheet.
    Csv,
    /// For programs.
    Json,
}

/// What must be said beside every order.
const CAUTION: &str = "An order list is no design. What goes in must be listed and match the head it replaces; where no like \
                       head is made, the designer or the authority decides. Work on a live system is for licensed people.";

/// Works it out and writes it.
pub fn run(it: &OrderList, session: &mut Session<'_, '_>) -> Done {
    let prices = it.prices.as_deref().map(price_file::read).transpose()?;
    let scope = match it.only {
        None => Scope::All,
        Some(Only::Condemned) => Scope::Condemned,
        Some(Only::Stock) => Scope::Stock,
    };
    let today = session.today();
    let needed = |desk: &Desk, file: &str| order::of_site(desk.state(), file, scope, today);
    let (sites, unread) = every::site(&it.files, session, needed)?;
    let (sites, copies) = once_each(sites);
    session.tell(&copies)?;
    let bad = unread || !copies.is_empty();
    let order = order::together(&sites, prices.as_ref());
    let form = match (session.global.json && it.out.is_none(), it.to) {
        (true, Form::Csv) => {
            let trouble =
                Diagnostic::about(Severity::Error, "bad-option", "--json", "the order is asked for as CSV and as JSON");
            return Err(trouble.help("leave one of '--json' and '--to csv' out").into());
        }
        (true, _) => Form::Json,
        (false, form) => form,
    };
    let text = match form {
        Form::Table => as_text(&order, session.around.columns.map_or(120, |c| c.clamp(60, 140))),
        Form::Csv => as_csv(&order),
        Form::Json => serde_json::to_string_pretty(&order).unwrap_or_default() + "\n",
    };
    match &it.out {
        None => session.say_text(&text)?,
        Some(out) => {
            export::write_out(out, &text, it.over).map_err(|trouble| match trouble.code {
                "exists" => Box::new(trouble.help("choose another name, or replace it with '--over'")),
                _ => trouble,
            })?;
            let shown = out.display().to_string();
            if session.global.json {
                session.say_json(&serde_json::json!({ "written": shown }))?;
            } else {
                session.say(&format!("Written: {shown}"))?;
            }
        }
    }
    if bad {
        return Ok(Outcome::Partly);
    }
    Ok(Outcome::of(order.lines.iter().any(|l| l.to_buy > 0)))
}

/// Every site once, by its identity: two files of one site would have its heads bought twice. The first named is taken, and each of the
/// others is told.
fn once_each(sites: Vec<SiteOrder>) -> (Vec<SiteOrder>, Vec<Diagnostic>) {
    let mut first: BTreeMap<String, String> = BTreeMap::new();
    let (mut once, mut told) = (Vec::with_capacity(sites.len()), Vec::new());
    for site in sites {
        match first.get(&site.id) {
            Some(taken) => {
                let why = format!("it is the same site as '{}'; it is left out", plain(taken));
                let it = Diagnostic::about(Severity::Error, "same-site", site.file, why);
                told.push(it.help("name one file a site; copies that went different ways are merged first"));
            }
            None => {
                first.insert(site.id.clone(), site.file.clone());
                once.push(site);
            }
        }
    }
    (once, told)
}

fn numbers(line: &OrderLine) -> String {
    let marked = |n: &String| if line.recalled.contains(n) { format!("{n} (recalled)") } else { n.clone() };
    let list: Vec<String> = line.numbers.iter().map(marked).collect();
    if list.is_empty() { "-".to_owned() } else { list.join(", ") }
}

fn as_text(order: &Order, columns: usize) -> String {
    let mut out = String::new();
    let priced = order.currency.is_some();
    if order.sites.is_empty() {
        out.push_str("No site could be read.\n");
    } else if order.lines.is_empty() {
        out.push_str("Nothing is to be bought.\n");
    } else {
        let numbered = order.lines.iter().any(|l| !l.numbers.is_empty());
        let mut head = vec!["WHAT", "REPLACE", "CABINET", "FILL", "BUY"];
        if numbered {
            head.insert(1, "NUMBERS");
        }
        if priced {
            head.extend(["PACK", "PACKS", "PRICE", "COST"]);
        }
        let rows: Vec<Vec<String>> = order.lines.iter().map(|line| row(line, numbered, priced)).collect();
        out.push_str(&table::fitted(&head, &rows, columns));
        out.push('\n');
        out.push_str(&totals(order));
        let mut by_file = by_file(order);
        for site in &order.sites {
            if let Some(rows) = by_file.remove(site.file.as_str()) {
                out.push_str(&format!("\n{} ({})\n", site.site, plain(&site.file)));
                let head = ["WHAT", "REPLACE", "CABINET", "FILL", "BUY", "HEADS"];
                out.push_str(&table::fitted(&head, &rows, columns));
            }
        }
        let without = |l: &OrderLine| l.no_price.as_ref().map(|why| format!("{}: {why}.", l.what));
        listed(&mut out, "Without a price", to_buy(order).filter_map(without), columns);
        let notes = |l: &OrderLine| Some(format!("{}: {}", l.what, l.cost.as_ref()?.note.as_ref()?));
        listed(&mut out, "Notes on prices", to_buy(order).filter_map(notes), columns);
    }
    if !order.remarks.is_empty() {
        out.push_str("\nTo know\n");
        for (text, of) in remarks(order) {
            let text = if order.sites.len() > 1 { format!("{of}: {text}") } else { text.to_owned() };
            wrapped(&mut out, &text, columns);
        }
    }
    out.push('\n');
    for line in crate::tui::text::wrap(CAUTION, columns.min(100)) {
        out.push_str(&line);
        out.push('\n');
    }
    out
}

/// The lines with something to buy.
fn to_buy(order: &Order) -> impl Iterator<Item = &OrderLine> {
    order.lines.iter().filter(|l| l.to_buy > 0)
}

/// A list under its title; nothing where there is nothing to list.
fn listed(out: &mut String, title: &str, lines: impl Iterator<Item = String>, columns: usize) {
    for (number, line) in lines.enumerate() {
        if number == 0 {
            out.push_str(&format!("\n{title}\n"));
        }
        wrapped(out, &line, columns);
    }
}

/// The sites that are named before the rest are counted.
const NAMED: usize = 4;

/// What must be known, each with the sites it is about.
fn remarks(order: &Order) -> Vec<(&str, String)> {
    let mut list: Vec<(&str, Vec<&str>)> = Vec::new();
    for remark in &order.remarks {
        match list.iter_mut().find(|(text, _)| *text == remark.text) {
            Some((_, sites)) => sites.push(&remark.site),
            None => list.push((&remark.text, vec![&remark.site])),
        }
    }
    let named = |sites: Vec<&str>| {
        let rest = sites.len().saturating_sub(NAMED);
        let names = sites.iter().take(NAMED).copied().collect::<Vec<_>>().join(", ");
        if rest > 0 { format!("{names} and {rest} more") } else { names }
    };
    list.into_iter().map(|(text, sites)| (text, named(sites))).collect()
}

fn wrapped(out: &mut String, text: &str, columns: usize) {
    for (number, line) in crate::tui::text::wrap(text, columns.min(100) - 2).iter().enumerate() {
        out.push_str(if number == 0 { "- " } else { "  " });
        out.push_str(line);
        out.push('\n');
    }
}

fn row(line: &OrderLine, numbered: bool, priced: bool) -> Vec<String> {
    let mut cells = vec![line.what.clone()];
    if numbered {
        cells.push(numbers(line));
    }
    let counts = [line.condemned, line.from_cabinet, line.to_fill, line.to_buy];
    cells.extend(counts.iter().map(ToString::to_string));
    if priced {
        cells.extend(match &line.cost {
            Some(c) => [c.pack.to_string(), c.packs.to_string(), c.price.to_string(), c.total.to_string()],
            None => ["-"; 4].map(str::to_owned),
        });
    }
    cells
}

fn totals(order: &Order) -> String {
    let sum = |of: fn(&OrderLine) -> u32| order.lines.iter().map(|l| u64::from(of(l))).sum::<u64>();
    let mut text = format!(
        "{} to buy for {}: {} to replace, of which cabinets can give {}, and {} to fill the cabinets.\n",
        many(usize::try_from(sum(|l| l.to_buy)).unwrap_or(usize::MAX), "piece"),
        many(order.sites.len(), "site"),
        sum(|l| l.condemned),
        sum(|l| l.from_cabinet),
        sum(|l| l.to_fill),
    );
    let advised = sum(|l| l.advised);
    if advised > 0 {
        let heads = many(usize::try_from(advised).unwrap_or(usize::MAX), "head");
        text.push_str(&format!("The replacement of {heads} more is advised; they are not counted.\n"));
    }
    if let (Some(total), Some(currency)) = (order.total, &order.currency) {
        let without = if order.without_price > 0 {
            format!(", without {} that have no price", many(order.without_price, "line"))
        } else {
            String::new()
        };
        text.push_str(&format!("Cost of whole packs: {total} {currency}{without}.\n"));
    }
    text
}

/// The rows of each site, by its file.
fn by_file(order: &Order) -> BTreeMap<&str, Vec<Vec<String>>> {
    let mut rows: BTreeMap<&str, Vec<Vec<String>>> = BTreeMap::new();
    for (line, share) in order.lines.iter().flat_map(|line| line.sites.iter().map(move |share| (line, share))) {
        let counts = [share.condemned, share.from_cabinet, share.to_fill, share.to_buy];
        let mut cells = vec![line.what.clone()];
        cells.extend(counts.iter().map(ToString::to_string));
        cells.push(heads_of(share));
        rows.entry(&share.file).or_default().push(cells);
    }
    rows
}

/// The heads of a share as few ranges as will do, those to be known apart with why.
fn heads_of(share: &Share) -> String {
    let ranges = |heads: Vec<Address>, why: &str| -> Option<String> {
        let list: Vec<String> = Heads::ranges(heads).iter().map(ToString::to_string).collect();
        (!list.is_empty()).then(|| format!("{}{why}", list.join(", ")))
    };
    let waiting =
        |take: &dyn Fn(&Waiting) -> bool| share.heads.iter().filter(|h| take(h)).map(|h| h.head.clone()).collect();
    let plain = |h: &Waiting| !h.disagreement && !h.not_looked_at;
    let failed: BTreeSet<&AreaId> = share.heads.iter().filter_map(|h| h.failed_lot.as_ref()).collect();
    let mut parts = vec![ranges(waiting(&|h| plain(h) && h.failed_lot.is_none()), "")];
    for lot in failed {
        let of_it = |h: &Waiting| plain(h) && h.failed_lot.as_ref() == Some(lot);
        parts.push(ranges(waiting(&of_it), &format!(" (lot {lot} failed)")));
    }
    parts.push(ranges(waiting(&|h| !h.disagreement && h.not_looked_at), " (not looked at in this round)"));
    parts.push(ranges(waiting(&|h| h.disagreement), " (people disagree)"));
    parts.push(ranges(share.advised.clone(), " (advised, not counted)"));
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    if parts.is_empty() { "-".to_owned() } else { parts.join("; ") }
}

/// The columns of the CSV form; a row a make-up and site.
const COLUMNS: [&str; 28] = [
    "part",
    "what",
    "orientation",
    "mount",
    "style",
    "response",
    "rating",
    "k",
    "finish",
    "dry",
    "length",
    "thread",
    "numbers",
    "recalled",
    "site",
    "file",
    "condemned",
    "from_cabinet",
    "to_fill",
    "to_buy",
    "heads",
    "not_looked_at",
    "disagreement",
    "failed_lots",
    "advised",
    "pack",
    "price",
    "currency",
];

fn as_csv(order: &Order) -> String {
    let mut rows = Vec::new();
    for line in &order.lines {
        let kind = &line.kind;
        let some = |text: Option<String>| text.map_or(Cell::Empty, Cell::Text);
        for share in &line.sites {
            let heads = |take: fn(&Waiting) -> bool| {
                let list: Vec<String> = share.heads.iter().filter(|h| take(h)).map(|h| h.head.to_string()).collect();
                Cell::text(list.join(" "))
            };
            let failed: BTreeSet<&str> =
                share.heads.iter().filter_map(|h| h.failed_lot.as_ref()).map(AreaId::as_str).collect();
            let advised: Vec<String> = share.advised.iter().map(ToString::to_string).collect();
            rows.push(vec![
                Cell::text(line.part.as_str()),
                Cell::text(&line.what),
                Cell::text(kind.orientation.as_str()),
                Cell::text(kind.mount.as_str()),
                Cell::text(kind.style.as_str()),
                Cell::text(kind.response.as_str()),
                Cell::text(kind.rating.to_string()),
                Cell::text(kind.k.to_string()),
                Cell::text(kind.finish.as_str()),
                Cell::text(if kind.dry { "yes" } else { "no" }),
                some(kind.length.map(|l| l.to_string())),
                some(kind.thread.clone()),
                Cell::text(line.numbers.join(" ")),
                Cell::text(line.recalled.join(" ")),
                Cell::text(&share.site),
                Cell::text(&share.file),
                Cell::count(share.condemned),
                Cell::count(share.from_cabinet),
                Cell::count(share.to_fill),
                Cell::count(share.to_buy),
                heads(|_| true),
                heads(|h| h.not_looked_at),
                heads(|h| h.disagreement),
                Cell::text(failed.into_iter().collect::<Vec<&str>>().join(" ")),
                Cell::text(advised.join(" ")),
                line.cost.as_ref().map_or(Cell::Empty, |c| Cell::count(c.pack)),
                line.cost.as_ref().map_or(Cell::Empty, |c| Cell::Number(c.price.to_string())),
                some(order.currency.clone().filter(|_| line.cost.is_some())),
            ]);
        }
    }
    csv::render(&COLUMNS, &rows)
}
