//! What was recorded about lots, and how they stand now.

use std::path::Path;

use super::super::session::{Done, Failure, Outcome, Session};
use super::facts::LotFacts;
use super::{loud, waits};
use crate::diag::{Diagnostic, Severity, plain};
use crate::record::desk::Desk;
use crate::round::entry::{Marks, What};
use crate::round::lots;
use crate::trade::address::AreaId;
use crate::tui::text;

/// What an act says of itself.
pub struct Told {
    /// One sentence without a full stop that says what was recorded.
    pub headline: String,
    /// The lots that it is about.
    pub lots: Vec<AreaId>,
    /// What stands below the headline, a line each.
    pub lines: Vec<String>,
    /// More facts for programs, as an object.
    pub more: serde_json::Value,
}

/// Records entries in one write and says how the lots stand then.
///
/// # Errors
/// Nothing was recorded.
pub fn record(
    file: &Path,
    desk: &mut Desk,
    drafts: Vec<(What, Marks)>,
    told: impl FnOnce(&Desk) -> Told,
    session: &mut Session<'_, '_>,
) -> Done {
    let shown = file.display().to_string();
    let clock = session.clock();
    let ids = desk.record(drafts, &*clock)?;
    let told = told(desk);
    let state = desk.state();
    let entry = ids.first().and_then(|id| state.find_entry(*id)).and_then(|ix| state.entry(ix)).ok_or_else(|| {
        Failure::from(Diagnostic::about(Severity::Error, "not-written", shown.clone(), "nothing was recorded"))
    })?;
    let all = lots::lots(state);
    let meant = all.iter().filter(|l| told.lots.contains(&l.id));
    let facts: Vec<LotFacts> = meant.map(|l| LotFacts::of(state, l)).collect();
    let late = entry.after().is_some();
    let act = facts.iter().any(waits);
    if session.global.json {
        let mut value = serde_json::json!({
            "file": shown,
            "round": &*entry.round,
            "entries": ids.iter().map(ToString::to_string).collect::<Vec<_>>(),
            "said": told.headline,
            "after_signoff": late,
            "lots": facts,
        });
        if let (Some(map), serde_json::Value::Object(more)) = (value.as_object_mut(), told.more) {
            map.extend(more);
        }
        session.say_json(&value)?;
        return Ok(Outcome::of(act));
    }
    let after = if late { " (after its sign-off)" } else { "" };
    session.say(&format!("{}, round '{}'{after}.", told.headline, entry.round))?;
    for line in &told.lines {
        below(line, session)?;
    }
    for lot in &facts {
        session.say(&format!("Lot {}: {}. Next: {}.", lot.lot, loud(lot.stage), lot.next))?;
        if let Some(failure) = &lot.failure {
            let class = failure.class.map_or(String::new(), |c| format!(" Class: {c}."));
            let words =
                format!("{}. {} of the lot condemned: replace them.{class}", failure.said, heads(lot.condemned));
            below(&words, session)?;
        }
    }
    Ok(Outcome::of(act))
}

fn heads(n: usize) -> String {
    if n == 1 { "1 head".to_owned() } else { format!("{n} heads") }
}

/// Words below a sentence, as wide as there is room.
fn below(words: &str, session: &mut Session<'_, '_>) -> std::io::Result<()> {
    let columns = session.around.columns.map_or(super::super::COLUMNS, |c| c.clamp(60, 120));
    for (n, part) in text::wrap(&plain(words), columns - 4).iter().enumerate() {
        session.say(&format!("{}{part}", if n == 0 { "  " } else { "    " }))?;
    }
    Ok(())
}
