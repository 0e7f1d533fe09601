//! `headround due`: what falls due by age, for one or many sites.

use std::path::PathBuf;

use chrono::NaiveDate;
use clap::{Args, ValueEnum, ValueHint};
use serde::Serialize;

use super::every;
use super::plotted;
use super::session::{Done, Outcome, Session, many};
use super::table;
use crate::diag::{Diagnostic, Severity, plain};
use crate::record::desk::Desk;
use crate::record::export;
use crate::report::csv::{self, Cell};
use crate::report::plot;
use crate::round::due::{self, DueList, DueRow, When, plus};
use crate::round::lots;
use crate::rules::model::Confidence;
use crate::trade::measure::Span;
use crate::tui::text;

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround due harbour.site.yaml
  headround due sites/*.site.yaml --within '36 months' --to csv --out due.csv
  headround due harbour.site.yaml --within 24 months --all
  headround due harbour.site.yaml --svg due.svg

Due dates come from the ages of the rule set, the register's 'made' and 'in_service', replacements, and lots that passed. An \
unknown month or day counts as the earliest it can be; where no date is known at all, the heads count as due. What was \
assumed is told.

A file that cannot be read is told and left out; the exit code is then 2. With --strict the exit code is 1 where anything is \
due within the span.")]
pub struct DueArgs {
    /// The site files
    #[arg(required = true, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub files: Vec<PathBuf>,

    /// Look so far ahead, such as '36 months' or '5 years'
    #[arg(long, value_name = "SPAN", default_value = "24 months", value_parser = Span::parse)]
    pub within: Span,

    /// What falls due later, too
    #[arg(long)]
    pub all: bool,

    /// A timeline as well; not in CSV and JSON
    #[arg(long)]
    pub plot: bool,

    /// Write the timeline of one site to this file, as SVG
    #[arg(long, value_name = "PATH", value_hint = ValueHint::FilePath, conflicts_with = "out")]
    pub svg: Option<PathBuf>,

    /// What to write: table, or csv (a row a kind, area and day of service)
    #[arg(long, value_name = "FORM", value_enum, default_value_t = Form::Table, hide_possible_values = true)]
    pub to: Form,

    /// Write to this file
    #[arg(long, value_name = "PATH", value_hint = ValueHint::FilePath)]
    pub out: Option<PathBuf>,

    /// Replace the file if it is there
    #[arg(long)]
    pub over: bool,
}

/// What to write.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Form {
    /// For people.
    Table,
    /// For a spreadsheet.
    Csv,
}

/// What must be said beside every list.
const CAUTION: &str = "Ages are those of the rule set; the adopted code and the authority decide. A head that is not due may \
                       be bad all the same.";

/// What falls due at one site.
#[derive(Debug, Serialize)]
struct SiteDue {
    file: String,
    site: String,
    round: Option<String>,
    /// How many heads fall due after the span; they are listed with `--all` only.
    later: usize,
    #[serde(flatten)]
    list: DueList,
}

/// Works it out and writes it.
pub fn run(it: &DueArgs, session: &mut Session<'_, '_>) -> Done {
    if session.global.json && it.to == Form::Csv && it.out.is_none() {
        let trouble =
            Diagnostic::about(Severity::Error, "bad-option", "--json", "the list is asked for as CSV and as JSON");
        return Err(trouble.help("leave one of '--json' and '--to csv' out").into());
    }
    if it.over && it.out.is_none() && it.svg.is_none() {
        let trouble = Diagnostic::about(Severity::Error, "bad-option", "--over", "no file is to be written");
        return Err(trouble.help("name one with '--out PATH' or '--svg PATH'").into());
    }
    if it.svg.is_some() && it.files.len() > 1 {
        let words = format!("a picture shows one site, and {} files are named", it.files.len());
        let trouble = Diagnostic::about(Severity::Error, "bad-option", "--svg", words);
        return Err(trouble.help("name one site file; '--plot' draws a timeline for each").into());
    }
    let today = session.today();
    let of_site = |desk: &Desk, file: &str| {
        let state = desk.state();
        let mut list = due::due(state, &lots::lots(state), today, it.within);
        let later = heads(&list, When::Later);
        // What is overdue is not tested on its day any more: when it falls due again hangs on when it is.
        list.rows.iter_mut().filter(|r| r.when == When::Overdue).for_each(|r| r.then.clear());
        if !it.all {
            list.rows.retain(|r| r.when != When::Later);
        }
        let round = state.present_round().map(|r| r.name.to_string());
        SiteDue { file: file.to_owned(), site: state.register().site.name.clone(), round, later, list }
    };
    let (sites, bad) = every::site(&it.files, session, of_site)?;
    if let (Some(out), [site]) = (&it.svg, sites.as_slice()) {
        if site.list.rows.is_empty() {
            let words = "nothing falls due within the span, so there is nothing to draw";
            let trouble = Diagnostic::about(Severity::Error, "nothing-to-plot", site.file.clone(), words);
            return Err(trouble.help("look further ahead with '--within', or at all with '--all'").into());
        }
        let plot = timeline(site, today, it);
        if session.global.json {
            plotted::picture_beside_json(&plot, out, it.over)?;
        } else {
            // The file is all that was asked for; beside it nothing is said twice.
            plotted::picture(&plot, out, it.over, session)?;
            if !it.plot && it.to == Form::Table {
                return Ok(Outcome::of(site.list.due().next().is_some()));
            }
        }
    }
    let columns = session.around.columns.map_or(120, |c| c.clamp(60, 140));
    let text = match it.to {
        Form::Csv => as_csv(&sites),
        Form::Table if session.global.json && it.out.is_none() => {
            session.say_json(&serde_json::json!({
                "today": today,
                "until": plus(today, it.within.months()),
                "within": it.within,
                "sites": sites,
            }))?;
            String::new()
        }
        Form::Table => {
            let timelines = if it.plot { sites.iter().map(|s| timeline(s, today, it)).collect() } else { Vec::new() };
            let timelines: Vec<String> = timelines.iter().map(|p| plotted::lines(p, session)).collect();
            as_text(&sites, &timelines, today, it, columns)
        }
    };
    match &it.out {
        None => session.say_text(&text)?,
        Some(out) => written(out, &text, it.over, session)?,
    }
    if bad {
        return Ok(Outcome::Partly);
    }
    Ok(Outcome::of(sites.iter().any(|s| s.list.due().next().is_some())))
}

/// Writes a text to a file.
pub fn put(out: &std::path::Path, text: &str, over: bool) -> Result<(), Box<Diagnostic>> {
    export::write_out(out, text, over).map_err(|trouble| match trouble.code {
        "exists" => Box::new(trouble.help("choose another name, or replace it with '--over'")),
        _ => trouble,
    })
}

/// Writes a text to a file and says so.
pub fn written(
    out: &std::path::Path,
    text: &str,
    over: bool,
    session: &mut Session<'_, '_>,
) -> Result<(), super::session::Failure> {
    put(out, text, over)?;
    let shown = out.display().to_string();
    if session.global.json {
        session.say_json(&serde_json::json!({ "written": shown }))?;
    } else {
        session.say(&format!("Written: {shown}"))?;
    }
    Ok(())
}

fn heads(list: &DueList, when: When) -> usize {
    list.rows.iter().filter(|r| r.when == when).map(|r| r.heads).sum()
}

/// What falls due at a site, along the time.
fn timeline(site: &SiteDue, today: NaiveDate, it: &DueArgs) -> plot::Plot {
    let rows = &site.list.rows;
    let row = |r: &DueRow| plot::DueRow {
        // What counts as due because nothing is known stands at today.
        date: r.on.unwrap_or(today),
        assumed: !r.assumed.is_empty(),
        label: format!("{} {}", r.area, r.kind),
        heads: r.heads,
        what: r.act.to_string(),
    };
    let until = plus(today, it.within.months());
    // With what is due later the line goes as far as that.
    let last = rows.iter().filter_map(|r| r.on).max().filter(|_| it.all).map_or(until, |d| d.max(until));
    plot::due_timeline(
        &format!("What falls due: {}", site.site),
        &rows.iter().map(row).collect::<Vec<_>>(),
        today,
        last,
    )
}

fn as_text(sites: &[SiteDue], timelines: &[String], today: NaiveDate, it: &DueArgs, columns: usize) -> String {
    let mut out = String::new();
    let mut put = |line: &str| {
        out.push_str(line.trim_end());
        out.push('\n');
    };
    if sites.is_empty() {
        put("No site could be read.");
        return out;
    }
    put(&format!("Due by {}: within {} of {today}.", plus(today, it.within.months()), it.within));
    for (number, site) in sites.iter().enumerate() {
        put("");
        put(&plain(&format!("{} ({})", site.site, site.file)));
        for line in of_site(site, it, columns) {
            put(&line);
        }
        if let Some(timeline) = timelines.get(number).filter(|_| !site.list.rows.is_empty()) {
            put("");
            timeline.lines().for_each(&mut put);
        }
    }
    let marks = sites.iter().flat_map(|s| &s.list.rows).filter(|r| !r.clause.is_empty()).map(|r| r.confidence);
    let marks: std::collections::BTreeSet<Confidence> = marks.collect();
    let marks: Vec<String> = marks.iter().map(|m| format!("[{m}] {}", m.means())).collect();
    let marks = if marks.is_empty() { String::new() } else { format!("{}. ", marks.join("; ")) };
    put("");
    for line in text::wrap(&format!("{marks}{CAUTION}"), columns.min(100)) {
        put(&line);
    }
    out
}

/// The lines of one site.
fn of_site(site: &SiteDue, it: &DueArgs, columns: usize) -> Vec<String> {
    let list = &site.list;
    let mut lines = Vec::new();
    if list.rows.is_empty() {
        lines.push("Nothing falls due within the span.".to_owned());
    } else {
        let rows: Vec<Vec<String>> = list.rows.iter().map(row).collect();
        let head = ["DUE", "", "WHAT", "HEADS", "WHICH", "KIND", "WHY", "CLAUSE"];
        lines.extend(table::fitted(&head, &rows, columns).lines().map(str::to_owned));
    }
    let counts = [(When::Overdue, "overdue"), (When::Unknown, "of unknown date"), (When::Soon, "due within the span")];
    let mut words: Vec<String> = counts.iter().map(|(when, word)| format!("{} {word}", heads(list, *when))).collect();
    if site.later > 0 {
        words.push(format!("{} later{}", site.later, if it.all { "" } else { " ('--all' lists them)" }));
    }
    if list.condemned > 0 {
        words.push(format!("{} condemned by a failed test, to be replaced", list.condemned));
    }
    if list.not_asked > 0 {
        words.push(format!("{} of whose age the rule set asks nothing", list.not_asked));
    }
    lines.push(format!("Heads: {}.", words.join(", ")));
    let mut hang = |words: &str| {
        for (n, line) in text::wrap(&plain(words), columns.min(100) - 2).iter().enumerate() {
            lines.push(format!("{}{line}", if n == 0 { "- " } else { "  " }));
        }
    };
    for row in &list.rows {
        let which = which(row);
        for assumed in &row.assumed {
            hang(&format!("{which}: {assumed}"));
        }
        if let (Some(lot), Some(stage)) = (&row.lot, row.stage) {
            hang(&format!("{which}: in lot {lot}, {}", stage.label()));
        }
        if !row.then.is_empty() {
            let days: Vec<String> = row.then.iter().map(ToString::to_string).collect();
            hang(&format!("{which}: again on {}, if each test passes on its day", days.join(", ")));
        }
    }
    lines
}

fn which(row: &DueRow) -> String {
    row.which.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

/// How late, in years and months.
fn late(row: &DueRow) -> String {
    match (row.when, row.months_late) {
        (When::Unknown, _) => "COUNTS AS DUE".to_owned(),
        (When::Overdue, 0) => "OVERDUE".to_owned(),
        (When::Overdue, months) if months < 24 => format!("OVERDUE {}", many(months as usize, "month")),
        (When::Overdue, months) => format!("OVERDUE {} years", months / 12),
        (When::Soon, _) => "to come".to_owned(),
        (When::Later, _) => "later".to_owned(),
    }
}

fn row(row: &DueRow) -> Vec<String> {
    let clause = if row.clause.is_empty() { "-".to_owned() } else { format!("{} [{}]", row.clause, row.confidence) };
    vec![
        row.on.map_or_else(|| "no date".to_owned(), |d| d.to_string()),
        late(row),
        row.act.to_string(),
        row.heads.to_string(),
        which(row),
        row.kind.clone(),
        row.title.clone(),
        clause,
    ]
}

/// The columns of the CSV form.
const COLUMNS: [&str; 24] = [
    "site",
    "file",
    "area",
    "area_name",
    "setting",
    "kind",
    "make_up",
    "heads",
    "which",
    "since",
    "made",
    "tested",
    "act",
    "on",
    "when",
    "months_late",
    "assumed",
    "age",
    "title",
    "clause",
    "confidence",
    "lot",
    "stage",
    "then",
];

fn as_csv(sites: &[SiteDue]) -> String {
    let some = |text: Option<String>| text.map_or(Cell::Empty, Cell::Text);
    let mut rows = Vec::new();
    for (site, row) in sites.iter().flat_map(|s| s.list.rows.iter().map(move |r| (s, r))) {
        let setting: Vec<&str> = row.setting.iter().map(|s| s.as_str()).collect();
        let then: Vec<String> = row.then.iter().map(ToString::to_string).collect();
        rows.push(vec![
            Cell::text(&site.site),
            Cell::text(&site.file),
            Cell::text(row.area.as_str()),
            Cell::text(&row.area_name),
            Cell::text(setting.join(" ")),
            Cell::text(&row.kind),
            Cell::text(&row.make_up),
            Cell::count(row.heads as u64),
            Cell::text(row.which.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")),
            some(row.since.map(|d| d.to_string())),
            some(row.made.map(|d| d.to_string())),
            some(row.tested.map(|d| d.to_string())),
            Cell::text(row.act.as_str()),
            some(row.on.map(|d| d.to_string())),
            Cell::text(row.when.as_str()),
            Cell::count(row.months_late),
            Cell::text(row.assumed.join("; ")),
            Cell::text(&row.age),
            Cell::text(&row.title),
            Cell::text(&row.clause),
            Cell::text(row.confidence.to_string()),
            some(row.lot.as_ref().map(ToString::to_string)),
            some(row.stage.map(|s| s.to_string())),
            Cell::text(then.join(" ")),
        ]);
    }
    csv::render(&COLUMNS, &rows)
}
