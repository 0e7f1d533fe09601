//! The tests with their verdicts and limits.

use std::path::Path;

use super::super::lot::facts::TestFacts;
use super::super::lot::{find, verdict};
use super::super::session::{Done, Outcome, Session};
use super::super::table;
use super::Show;
use crate::bench::judge::Verdict;
use crate::diag::plain;
use crate::record::desk::Desk;
use crate::round::lots::{self, Lot};
use crate::round::state::State;
use crate::trade::measure::Seconds;
use crate::tui::text;

/// Lists every test of the site.
pub(super) fn all(file: &Path, session: &mut Session<'_, '_>) -> Done {
    let desk = session.read(file)?;
    let all = lots::lots(desk.state());
    write(file, &desk, &all, session)
}

/// Lists the tests of a lot.
pub(super) fn one(file: &Path, it: &Show, session: &mut Session<'_, '_>) -> Done {
    let desk = session.read(file)?;
    let lot = find(desk.state(), &it.lot, file)?;
    write(file, &desk, &[lot], session)
}

/// The tests of some lots, in the order drawn.
pub(super) fn tests(state: &State, lots: &[Lot]) -> Vec<TestFacts> {
    lots.iter().flat_map(|l| l.samples.iter().filter_map(|s| TestFacts::of(state, l, s))).collect()
}

fn write(file: &Path, desk: &Desk, lots: &[Lot], session: &mut Session<'_, '_>) -> Done {
    let state = desk.state();
    let shown = file.display().to_string();
    let tests = tests(state, lots);
    let act = tests.iter().any(|t| t.fails || t.verdict == Verdict::Void);
    if session.global.json {
        session.say_json(&serde_json::json!({
            "file": shown,
            "site": state.register().site.name,
            "round": state.present_round().map(|r| r.name.to_string()),
            "tests": tests,
        }))?;
        return Ok(Outcome::of(act));
    }
    session.say(&format!("{} ({shown})", state.register().site.name))?;
    if tests.is_empty() {
        session.say("No head was tested. Record one: headround bench FILE record LOT TAG …")?;
        return Ok(Outcome::Fine);
    }
    let columns = session.around.columns.map_or(super::super::COLUMNS, |c| c.clamp(60, 140));
    session.say_text(&page(&tests, columns))?;
    Ok(Outcome::of(act))
}

/// The tests as a table, and below it why each verdict is what it is.
pub(super) fn page(tests: &[TestFacts], columns: usize) -> String {
    let dash = || "-".to_owned();
    let seconds = |s: Option<Seconds>| s.map_or_else(dash, |s| format!("{:.1}", s.seconds()));
    let row = |t: &TestFacts| {
        vec![
            t.tag.clone(),
            t.head.to_string(),
            t.on.to_string(),
            seconds(t.readings.element),
            seconds(t.readings.clear),
            t.limits.times(),
            t.rti.map_or_else(dash, |r| format!("{r:.1}")),
            t.limits.indices(),
            verdict(t),
        ]
    };
    let rows: Vec<Vec<String>> = tests.iter().map(row).collect();
    let head = ["TAG", "HEAD", "TESTED", "ELEMENT s", "CLEARED s", "LIMITS s", "RTI", "LIMITS RTI", "VERDICT"];
    let mut out = table::fitted(&head, &rows, columns);
    out.push('\n');
    for test in tests {
        for line in why(test, columns) {
            out.push_str(&line);
            out.push('\n');
        }
    }
    let words = "RTI: response time index, (m.s)^0.5. The limits in seconds follow from those of the index, the rating, and the \
                 oven, air and start of each test.";
    for line in text::wrap(words, columns) {
        out.push_str(&line);
        out.push('\n');
    }
    out
}

/// One test's verdict with why, and what else was seen.
pub(super) fn why(test: &TestFacts, columns: usize) -> Vec<String> {
    let r = &test.readings;
    let mut more: Vec<String> = Vec::new();
    more.extend(r.before.map(|b| format!("before: {b}")));
    more.extend(r.seal.map(|s| format!("water seal {s}")));
    more.extend(r.lodged.map(|l| if l { "parts lodged".to_owned() } else { "no parts lodged".to_owned() }));
    more.extend(r.deflector.map(|d| format!("deflector {d}")));
    more.extend(r.note.clone());
    let more = if more.is_empty() { String::new() } else { format!(" [{}]", more.join("; ")) };
    let clause = match (&test.limits.clause, test.limits.confidence) {
        (clause, Some(mark)) if !clause.is_empty() => format!(" ({clause} [{mark}])"),
        _ => String::new(),
    };
    let words = plain(&format!("{}: {}: {}{clause}{more}", test.tag, verdict(test), test.because.join("; ")));
    let lines = text::wrap(&words, columns.saturating_sub(2));
    lines.into_iter().enumerate().map(|(n, l)| if n == 0 { l } else { format!("  {l}") }).collect()
}
