//! Taking a bench's results from a table: all rows or none.

use std::path::Path;

use super::super::lot::facts::LotFacts;
use super::super::lot::{Told, find, open, record};
use super::super::session::{Done, Outcome, Session, many};
use super::{Import, list};
use crate::bench::judge::judge;
use crate::record::bench_file;
use crate::record::desk::Desk;
use crate::round::entry::{Marks, What};
use crate::round::lots::import::{self, Row};
use crate::round::lots::{self, Lot, Sample};
use crate::round::state::State;

/// Takes them.
pub(super) fn run(file: &Path, it: &Import, session: &mut Session<'_, '_>) -> Done {
    let source = bench_file::read(&it.table)?;
    if it.dry_run {
        let desk = session.read(file)?;
        let lot = find(desk.state(), &it.lot, file)?;
        let rows = import::read(desk.state(), &lot, &source, it.instead)?;
        return show(file, desk.state(), &lot, &rows, session);
    }
    let mut desk = open(file, session)?;
    let lot = find(desk.state(), &it.lot, file)?;
    let rows = import::read(desk.state(), &lot, &source, it.instead)?;
    let tags: Vec<String> = rows.iter().map(|r| r.tag.clone()).collect();
    let headline = format!("Taken in: {} of lot {}", many(rows.len(), "test"), lot.id);
    let draft = |row: Row| (What::Tested(Box::new(row.tested)), Marks { instead: row.instead, ..Marks::default() });
    let drafts = rows.into_iter().map(draft).collect();
    let told = |desk: &Desk| {
        let state = desk.state();
        let now: Vec<Lot> = lots::lots(state).into_iter().filter(|l| l.id == lot.id).collect();
        let tests: Vec<_> = list::tests(state, &now).into_iter().filter(|t| tags.contains(&t.tag)).collect();
        let lines = tests.iter().map(list::why).collect();
        Told { headline, lots: vec![lot.id.clone()], lines, more: serde_json::json!({ "tests": tests }) }
    };
    record(file, &mut desk, drafts, told, session)
}

/// Shows what the rows would come to.
fn show(file: &Path, state: &State, lot: &Lot, rows: &[Row], session: &mut Session<'_, '_>) -> Done {
    let judged = |row: &Row| {
        let sample: &Sample = lot.sample_at(row.head)?;
        let run = lots::run_of(state, sample.kind, &row.tested.readings)?;
        let limits = lots::limit_of(state, sample.head, sample.kind).map(lots::limits_of).unwrap_or_default();
        Some(judge(&run, &limits))
    };
    let judged: Vec<_> = rows.iter().filter_map(|row| Some((row, judged(row)?))).collect();
    if session.global.json {
        let one = |(row, j): &(&Row, crate::bench::judge::Judged)| {
            serde_json::json!({
                "line": row.line,
                "tag": row.tag,
                "head": row.tested.head,
                "verdict": j.verdict,
                "because": j.why,
                "rti": j.rti,
                "earliest_s": j.window.earliest_s,
                "latest_s": j.window.latest_s,
            })
        };
        session.say_json(&serde_json::json!({
            "file": file.display().to_string(),
            "lot": lot.id,
            "dry_run": true,
            "rows": judged.iter().map(one).collect::<Vec<_>>(),
        }))?;
        return Ok(Outcome::of(judged.iter().any(|(_, j)| !j.verdict.passes())));
    }
    session.say(&format!(
        "Lot {}: {} of {}. Nothing is recorded.",
        lot.id,
        many(rows.len(), "row"),
        many(lot.samples.len(), "drawn head")
    ))?;
    for (row, j) in &judged {
        session.say(&format!("  line {}: {}: {}: {}", row.line, row.tag, j.verdict, j.why.join("; ")))?;
    }
    let left = LotFacts::of(state, lot).open as usize;
    let new = rows.iter().filter(|r| r.instead.is_none()).count();
    session.say(&format!("Drawn heads left without a test: {}.", left.saturating_sub(new)))?;
    Ok(Outcome::of(judged.iter().any(|(_, j)| !j.verdict.passes())))
}
