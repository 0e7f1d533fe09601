//! What was recorded about a cabinet, and what follows from it: how the ledger stood before, how it stands now, what is short.

use std::path::Path;

use super::super::session::{Done, Failure, Outcome, Session};
use crate::diag::{Diagnostic, Severity, plain};
use crate::record::desk::Desk;
use crate::report::stock::Stock;
use crate::round::entry::{Marks, What};
use crate::round::state::State;
use crate::round::stock::{self, CabinetFinding, Holding, Matter, Weight};
use crate::trade::address::AreaId;
use crate::trade::register::KindIx;

/// What an act is about.
pub(super) struct Told<'a> {
    /// The cabinet.
    pub cabinet: &'a AreaId,
    /// The kinds whose stock it changes or counts.
    pub kinds: Vec<KindIx>,
    /// One sentence that says what was recorded.
    pub headline: String,
    /// Findings to be told after it, besides what is short.
    pub matters: &'a [Matter],
    /// What to do next, if anything.
    pub next: Option<String>,
}

/// How the ledger of one kind stood before, and stands now.
struct Change {
    name: String,
    before: Option<Holding>,
    now: Option<Holding>,
}

/// Records one entry and says what follows.
pub(super) fn record(file: &Path, desk: &mut Desk, what: What, told: &Told<'_>, session: &mut Session<'_, '_>) -> Done {
    let shown = file.display().to_string();
    let before = stock::ledger(desk.state());
    let counts = matches!(what, What::Counted(_));
    let clock = session.clock();
    let ids = desk.record(vec![(what, Marks::default())], &*clock)?;
    let state = desk.state();
    let entry = ids.first().and_then(|id| state.find_entry(*id)).and_then(|ix| state.entry(ix)).ok_or_else(|| {
        Failure::from(Diagnostic::about(Severity::Error, "not-written", shown.clone(), "nothing was recorded"))
    })?;
    let now = stock::ledger(state);
    let holding =
        |ledger: &stock::Ledger, kind: KindIx| ledger.shelf(told.cabinet).and_then(|s| s.holding(kind)).copied();
    let changes: Vec<Change> = told
        .kinds
        .iter()
        .map(|ix| Change {
            name: state.register().kind(*ix).map_or_else(String::new, |k| k.id.clone()),
            before: holding(&before, *ix),
            now: holding(&now, *ix),
        })
        .collect();
    let stock = Stock::of(state, session.today());
    let least = if told.kinds.is_empty() { Weight::Open } else { Weight::Wrong };
    let weighty = |f: &&CabinetFinding| {
        // An act on kinds is told of these, not of what else lies there.
        let meant = told.kinds.is_empty() || f.kind.is_none_or(|k| told.kinds.contains(&k));
        let here = f.cabinet.as_ref() == Some(told.cabinet) && told.matters.contains(&f.matter);
        here && meant && f.weight >= least
    };
    let findings: Vec<&CabinetFinding> = stock.findings.iter().filter(weighty).collect();
    let late = entry.after().is_some();
    let mut warnings = Vec::new();
    for change in changes.iter().filter(|c| c.now.is_some_and(|n| n.held < 0)) {
        let held = change.now.map_or(0, |n| n.held);
        let message = format!(
            "the ledger of '{}' holds {held} of '{}' now: more was taken than it held",
            told.cabinet,
            plain(&change.name)
        );
        let it = Diagnostic::about(Severity::Warning, "overdrawn", shown.clone(), message);
        warnings.push(it.help("count the cabinet: what is counted stands from then on"));
    }
    if session.global.json {
        let kinds: Vec<serde_json::Value> = changes.iter().map(|c| c.json(counts)).collect();
        session.say_json(&serde_json::json!({
            "file": shown,
            "round": &*entry.round,
            "entry": entry.id.to_string(),
            "said": told.headline,
            "after_signoff": late,
            "cabinet": told.cabinet,
            "kinds": kinds,
            "not_counted": if counts { not_counted(state, &now, told) } else { Vec::new() },
            "findings": findings,
            "asked": stock.asked,
            "held": stock.held,
            "short": stock.short,
        }))?;
        session.tell(&warnings)?;
        return Ok(Outcome::of(stock.asks()));
    }
    let late = if late { " (after its sign-off)" } else { "" };
    session.say(&format!("{}, round '{}'{late}.", told.headline, entry.round))?;
    for change in &changes {
        session.say(&format!("  {}", change.words(counts)))?;
    }
    if counts {
        let left = not_counted(state, &now, told);
        if !left.is_empty() {
            session.say(&format!("  not counted, and as it was: {}", left.join(", ")))?;
        }
    }
    for finding in findings {
        session.say(&format!("  {}: {}", finding.text, finding.remedy))?;
    }
    if !told.kinds.is_empty() {
        short(&stock, session)?;
    }
    if let Some(next) = &told.next {
        session.say(next)?;
    }
    session.tell(&warnings)?;
    Ok(Outcome::of(stock.asks()))
}

impl Change {
    fn words(&self, counts: bool) -> String {
        let now = self.now.unwrap_or_default();
        let unfit = if now.unfit > 0 { format!(", {} of which must not be used", now.unfit) } else { String::new() };
        let how = match (counts, self.before) {
            (true, None) => "counted for the first time".to_owned(),
            (true, Some(before)) if before.held == now.held => "as the ledger held".to_owned(),
            (true, Some(before)) if before.held > now.held => {
                format!("{} fewer than the ledger's {}", before.held - now.held, before.held)
            }
            (true, Some(before)) => format!("{} more than the ledger's {}", now.held - before.held, before.held),
            (false, None) => "never counted; what lay there before is not known".to_owned(),
            (false, Some(before)) => format!("{} before", before.held),
        };
        format!("{}: {}{unfit}; {how}", self.name, now.held)
    }

    fn json(&self, counts: bool) -> serde_json::Value {
        let now = self.now.unwrap_or_default();
        let difference = self.before.filter(|_| counts).map(|b| now.held - b.held);
        serde_json::json!({
            "kind": self.name,
            "before": self.before.map(|b| b.held),
            "held": now.held,
            "unfit": now.unfit,
            "difference": difference,
        })
    }
}

/// Kinds that lie in the cabinet as far as the ledger goes and were not among those counted: `qr-pendent 6`.
fn not_counted(state: &State, ledger: &stock::Ledger, told: &Told<'_>) -> Vec<String> {
    let holdings = ledger.shelf(told.cabinet).map(|s| &s.holdings);
    let left = holdings.into_iter().flatten().filter(|(ix, h)| h.held != 0 && !told.kinds.contains(ix));
    left.filter_map(|(ix, h)| Some(format!("{} {}", state.register().kind(*ix)?.id, h.held))).collect()
}

/// How the site's spares stand, and the types of which there are too few.
fn short(stock: &Stock, session: &mut Session<'_, '_>) -> std::io::Result<()> {
    let Some(asked) = stock.asked else { return Ok(()) };
    if stock.short == 0 {
        return session.say(&format!("{} of {asked} spares held; none short.", stock.held));
    }
    session.say(&format!("{} of {asked} spares held; {} short:", stock.held, stock.short))?;
    let missing: Vec<_> = stock.types.iter().filter(|t| t.short > 0 || t.lacking > 0).collect();
    for t in missing {
        let held = if t.known { t.held.to_string() } else { "not known how many".to_owned() };
        let least = if t.short > 0 { format!(", {} at least", t.required) } else { String::new() };
        session.say(&format!("  {}: {held} held, plan {}{least}", t.words, t.planned))?;
    }
    Ok(())
}
