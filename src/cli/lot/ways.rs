//! The ways to draw the lots, side by side: nothing is recorded.

use std::path::Path;

use serde::Serialize;

use super::super::session::{Done, Outcome, Session, many};
use super::super::table;
use super::Ways;
use crate::bench::chance;
use crate::diag::plain;
use crate::record::price_file;
use crate::round::act::ranges;
use crate::round::due::{self, plus};
use crate::round::lots::cost::{Bill, WayCosts, of_way};
use crate::round::lots::{self, Divide, Proposal, Way};
use crate::round::state::State;
use crate::trade::address::{AreaId, Heads};
use crate::trade::prices::Prices;
use crate::tui::text;

/// The share of bad heads whose odds of staying unseen are told, in per cent; only an illustration.
const BAD_PERCENT: u64 = 5;

/// A way to draw the lots.
#[derive(Debug, Serialize)]
struct WayFacts {
    apart: Vec<Divide>,
    said: String,
    heads: usize,
    sample: u32,
    most_condemned: usize,
    /// Heads for which one sampled head speaks at most.
    most_at_stake: usize,
    /// The highest of its lots'.
    unseen_odds: f64,
    /// With a price file.
    costs: Option<WayCosts>,
    lots: Vec<ProposedFacts>,
}

/// A lot that could be formed.
#[derive(Debug, Serialize)]
pub(super) struct ProposedFacts {
    lot: AreaId,
    name: String,
    heads: usize,
    which: Vec<Heads>,
    kinds: Vec<String>,
    sample: u32,
    because: String,
    /// Whether the sample would be no smaller than the lot.
    replace_rather: bool,
    why: String,
    due: Option<chrono::NaiveDate>,
    unseen_odds: f64,
}

impl ProposedFacts {
    pub(super) fn of(state: &State, it: &Proposal) -> Self {
        let kinds = it.kinds.iter().filter_map(|k| state.register().kind(*k)).map(|k| k.id.clone());
        Self {
            lot: it.id.clone(),
            name: it.name.clone(),
            heads: it.heads.len(),
            which: ranges(state, &it.heads),
            kinds: kinds.collect(),
            sample: it.asked.heads,
            because: it.asked.because.clone(),
            replace_rather: it.all,
            why: it.why.clone(),
            due: it.due,
            unseen_odds: unseen(it.heads.len(), it.asked.heads),
        }
    }
}

/// The odds that a lot in which so many per cent are bad, at least one head, shows no failure in its sample.
fn unseen(heads: usize, sample: u32) -> f64 {
    let heads = u32::try_from(heads).unwrap_or(u32::MAX);
    let bad = u32::try_from((u64::from(heads) * BAD_PERCENT).div_ceil(100)).unwrap_or(u32::MAX).max(1);
    // A sample is never larger than its lot, and a lot without heads is never proposed.
    chance::none_bad(heads, bad.min(heads), sample.min(heads)).unwrap_or(1.0)
}

fn facts(state: &State, way: &Way, prices: Option<&Prices>) -> WayFacts {
    let lots: Vec<ProposedFacts> = way.lots.iter().map(|l| ProposedFacts::of(state, l)).collect();
    WayFacts {
        apart: way.divide.clone(),
        said: way.words(),
        heads: way.heads(),
        sample: way.sampled(),
        most_condemned: if state.one_condemns() { way.most_condemned() } else { 0 },
        most_at_stake: way.most_condemned(),
        costs: prices.map(|p| of_way(state, way, p)),
        unseen_odds: lots.iter().map(|l| l.unseen_odds).fold(0.0, f64::max),
        lots,
    }
}

/// Lays them side by side.
pub(super) fn run(file: &Path, it: &Ways, session: &mut Session<'_, '_>) -> Done {
    let shown = file.display().to_string();
    let prices = it.prices.as_deref().map(price_file::read).transpose()?;
    let today = session.today();
    let desk = session.read(file)?;
    let state = desk.state();
    let all = lots::lots(state);
    let list = due::due(state, &all, today, it.within);
    let taken: Vec<&AreaId> = all.iter().map(|l| &l.id).collect();
    let ways: Vec<WayFacts> =
        lots::ways(state, &list, &taken).iter().map(|w| facts(state, w, prices.as_ref())).collect();
    let until = plus(today, it.within.months());
    if session.global.json {
        session.say_json(&serde_json::json!({
            "file": shown,
            "site": state.register().site.name,
            "until": until,
            "currency": prices.as_ref().map(|p| &p.currency),
            "ways": ways,
        }))?;
        return Ok(Outcome::of(!ways.is_empty()));
    }
    session.say(&format!("{} ({shown})", state.register().site.name))?;
    if ways.is_empty() {
        session.say(&format!("By {until} no sample falls due of heads that stand in no open lot."))?;
        return Ok(Outcome::Fine);
    }
    let columns = session.around.columns.map_or(super::super::COLUMNS, |c| c.clamp(60, 140));
    let currency = prices.as_ref().map(|p| p.currency.as_str());
    session.say_text(&page(state, &ways, &until.to_string(), currency, columns))?;
    Ok(Outcome::Act)
}

fn per_cent(odds: f64) -> String {
    format!("{:.0} %", odds * 100.0)
}

fn page(state: &State, ways: &[WayFacts], until: &str, currency: Option<&str>, columns: usize) -> String {
    let mut out = String::new();
    let heads = ways.first().map_or(0, |w| w.heads);
    out.push_str(&format!("A sample falls due by {until} for {}.\n\n", many(heads, "head")));
    let row = |w: &WayFacts| {
        let numbers = [w.lots.len(), w.sample as usize, w.most_at_stake].map(|n| n.to_string());
        [w.said.clone()].into_iter().chain(numbers).chain([per_cent(w.unseen_odds)]).collect::<Vec<_>>()
    };
    let rows: Vec<Vec<String>> = ways.iter().map(row).collect();
    out.push_str(&table::fitted(&["WAY", "LOTS", "SAMPLE", "MOST", "UNSEEN"], &rows, columns));
    let most = if state.one_condemns() {
        "heads that one failure condemns at most".to_owned()
    } else {
        format!("heads for which one sampled head speaks at most; {}", state.one_failure(""))
    };
    let words = format!(
        "MOST: {most}. UNSEEN: odds that {BAD_PERCENT} % bad heads, at least one, stay unseen; \
         of the lot where they are highest. A sample as large as its lot (*) is none: those heads are replaced."
    );
    for line in text::wrap(&words, columns) {
        out.push_str(&line);
        out.push('\n');
    }
    if let Some(currency) = currency {
        out.push('\n');
        costs(&mut out, ways, currency, columns);
        if !state.one_condemns() {
            out.push_str("What a failure adds: where people decide to replace the others.\n");
        }
    }
    for way in ways {
        out.push('\n');
        let apart: Vec<&str> = way.apart.iter().map(|d| d.as_str()).collect();
        let apart = if apart.is_empty() { "nothing".to_owned() } else { apart.join(",") };
        out.push_str(&format!("{} (--apart {apart})\n", way.said));
        let row = |l: &ProposedFacts| {
            let sample = format!("{}{}", l.sample, if l.replace_rather { "*" } else { "" });
            let due = l.due.map_or_else(|| "no date".to_owned(), |d| d.to_string());
            let which: Vec<String> = l.which.iter().map(ToString::to_string).collect();
            let first = [l.lot.to_string(), l.heads.to_string(), sample, per_cent(l.unseen_odds), due];
            first.into_iter().chain([which.join(", "), l.kinds.join(", ")]).collect::<Vec<_>>()
        };
        let rows: Vec<Vec<String>> = way.lots.iter().map(row).collect();
        let head = ["LOT", "HEADS", "SAMPLE", "UNSEEN", "DUE", "WHICH", "KINDS"];
        out.push_str(&table::fitted(&head, &rows, columns));
    }
    out
}

/// What each way costs, and for what no price is known.
fn costs(out: &mut String, ways: &[WayFacts], currency: &str, columns: usize) {
    let sum = |bill: &Bill| {
        let least = if bill.is_whole() { "" } else { "at least " };
        format!("{least}{}", bill.total)
    };
    let row = |w: &WayFacts| {
        let costs = w.costs.as_ref()?;
        Some(vec![w.said.clone(), sum(&costs.spent), sum(&costs.failure), sum(&costs.replace)])
    };
    let rows: Vec<Vec<String>> = ways.iter().filter_map(row).collect();
    let head = [&format!("COSTS, {currency}"), "IF NONE FAILS", "ONE FAILURE ADDS AT MOST", "REPLACE ALL"];
    out.push_str(&table::fitted(&head, &rows, columns));
    let mut unknown: Vec<&str> = Vec::new();
    let bills = ways.iter().filter_map(|w| w.costs.as_ref()).flat_map(|c| [&c.spent, &c.failure, &c.replace]);
    for what in bills.flat_map(|b| &b.unknown) {
        if !unknown.contains(&what.as_str()) {
            unknown.push(what);
        }
    }
    if !unknown.is_empty() {
        for line in text::wrap(&format!("Price not known for {}.", plain(&unknown.join("; "))), columns) {
            out.push_str(&line);
            out.push('\n');
        }
    }
}
