//! The tests with their verdicts and limits.

use std::path::Path;

use super::super::lot::facts::TestFacts;
use super::super::lot::{find, refuse, verdict};
use super::super::plotted::{lines, picture};
use super::super::session::{Done, Outcome, Session};
use super::super::table;
use super::Show;
use crate::bench::judge::Verdict;
use crate::diag::plain;
use crate::record::desk::Desk;
use crate::report::plot::{Operated, Plot, Weight, operating_times};
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
    if !it.plot && it.svg.is_none() {
        return write(file, &desk, &[lot], session);
    }
    let tests = tests(desk.state(), std::slice::from_ref(&lot));
    if tests.is_empty() {
        let message = format!("no head of lot '{}' was tested", lot.id);
        return Err(refuse(
            "nothing-to-plot",
            file,
            message,
            "record a test first: headround bench FILE record LOT TAG …",
        ));
    }
    let plot = times(&tests, &lot);
    if let Some(out) = &it.svg {
        // The file is all that was asked for; beside it nothing is said twice.
        picture(&plot, out, it.over, session)?;
        if !it.plot || session.global.json {
            return Ok(Outcome::of(acts(&tests)));
        }
    }
    let done = write(file, &desk, &[lot], session)?;
    if !session.global.json {
        let text = lines(&plot, session);
        session.say("")?;
        session.say_text(&text)?;
    }
    Ok(done)
}

/// The operating times of a lot's heads against their limits.
fn times(tests: &[TestFacts], lot: &Lot) -> Plot {
    let row = |t: &TestFacts| Operated {
        label: format!("{} {}", t.tag, t.head),
        element_s: t.readings.element.map(Seconds::seconds),
        cleared_s: t.readings.clear.map(Seconds::seconds),
        watched_s: t.readings.until.map(Seconds::seconds),
        earliest_s: t.limits.earliest_s,
        latest_s: t.limits.latest_s,
        outcome: t.verdict.to_string(),
        weight: match t.verdict {
            v if v.fails() => Weight::Bad,
            v if v.passes() => Weight::Good,
            _ => Weight::Watch,
        },
    };
    operating_times(&format!("Lot {}: operating times", lot.id), &tests.iter().map(row).collect::<Vec<_>>())
}

/// Whether something in the tests asks for somebody.
fn acts(tests: &[TestFacts]) -> bool {
    tests.iter().any(|t| t.fails || t.verdict == Verdict::Void)
}

/// The tests of some lots, in the order drawn.
pub(super) fn tests(state: &State, lots: &[Lot]) -> Vec<TestFacts> {
    lots.iter().flat_map(|l| l.samples.iter().filter_map(|s| TestFacts::of(state, l, s))).collect()
}

fn write(file: &Path, desk: &Desk, lots: &[Lot], session: &mut Session<'_, '_>) -> Done {
    let state = desk.state();
    let shown = file.display().to_string();
    let tests = tests(state, lots);
    let act = acts(&tests);
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
        for (n, line) in text::wrap(&why(test), columns.saturating_sub(2)).iter().enumerate() {
            out.push_str(if n == 0 { "" } else { "  " });
            out.push_str(line);
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
pub(super) fn why(test: &TestFacts) -> String {
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
    plain(&format!("{}: {}: {}{clause}{more}", test.tag, verdict(test), test.because.join("; ")))
}
