//! Groups of tested heads: survival curves with heads that never opened, and whether the groups could well be one.

use std::collections::BTreeMap;
use std::path::Path;

use super::super::calc;
use super::super::lot::facts::TestFacts;
use super::super::lot::{find, refuse};
use super::super::plotted::{lines, picture};
use super::super::session::{Done, Failure, Outcome, Session, many};
use super::super::table;
use super::{Apart, Compare, list};
use crate::bench::chance::{self, Curve, LogRank, Time};
use crate::bench::judge::Verdict;
use crate::diag::plain;
use crate::report::plot::Plot;
use crate::round::lots::{self, Lot};
use crate::tui::text;

/// One group of tests.
struct Group {
    name: String,
    times: Vec<Time>,
    failed: u32,
    curve: Curve,
}

/// Tests in groups.
struct Groups {
    groups: Vec<Group>,
    log_rank: Option<LogRank>,
    /// Fisher's two-sided chance that two groups which fail alike differ as much in their failures.
    fisher: Option<f64>,
    /// Left out, a sentence each.
    left: Vec<String>,
    /// What makes the times hard to compare, a sentence each.
    unlike: Vec<String>,
}

/// Compares.
pub(super) fn run(file: &Path, it: &Compare, session: &mut Session<'_, '_>) -> Done {
    let desk = session.read(file)?;
    let state = desk.state();
    let lots: Vec<Lot> = if it.lots.is_empty() {
        lots::lots(state)
    } else {
        it.lots.iter().map(|id| find(state, id, file)).collect::<Result<_, _>>()?
    };
    let tests = list::tests(state, &lots);
    let groups = groups(&tests, it.apart, file)?;
    if let Some(out) = &it.svg {
        picture(&curves(&groups, it.apart), out, it.over, session)?;
        if !it.plot || session.global.json {
            return Ok(Outcome::Fine);
        }
    }
    if session.global.json {
        session.say_json(&json(&groups, file))?;
        return Ok(Outcome::Fine);
    }
    let columns = session.around.columns.map_or(super::super::COLUMNS, |c| c.clamp(60, 120));
    session.say(&format!("{} ({})", state.register().site.name, file.display()))?;
    session.say_text(&page(&groups, it.apart, columns))?;
    if it.plot {
        let text = lines(&curves(&groups, it.apart), session);
        session.say("")?;
        session.say_text(&text)?;
    }
    Ok(Outcome::Fine)
}

/// The curves of the groups over one another.
fn curves(it: &Groups, apart: Apart) -> Plot {
    let what = match apart {
        Apart::Before => "condition before the test",
        Apart::Bench => "bench",
        Apart::Kind => "kind",
        Apart::Lot => "lot",
    };
    let named = it.groups.iter().map(|g| (g.name.as_str(), &g.curve));
    calc::picture::curves(&format!("Heads still shut, by {what}"), named)
}

/// The time of a test: when the waterway cleared, or that it had not by the end.
fn time(test: &TestFacts) -> Result<Time, String> {
    if test.verdict == Verdict::Void {
        return Err(format!("void: {}", test.because.join("; ")));
    }
    let r = &test.readings;
    match (r.clear, r.until) {
        (Some(clear), _) => Ok(Time { seconds: clear.seconds(), opened: true }),
        (None, Some(until)) => Ok(Time { seconds: until.seconds(), opened: false }),
        (None, None) => Err("no time is recorded".to_owned()),
    }
}

fn group_of(test: &TestFacts, apart: Apart) -> String {
    let not_said = || "not said".to_owned();
    match apart {
        Apart::Before => test.readings.before.map_or_else(not_said, |b| b.to_string()),
        Apart::Bench => test.readings.bench.clone().unwrap_or_else(not_said),
        Apart::Kind => test.kind.clone(),
        Apart::Lot => test.lot.to_string(),
    }
}

fn groups(tests: &[TestFacts], apart: Apart, file: &Path) -> Result<Groups, Failure> {
    let mut map: BTreeMap<String, (Vec<Time>, u32)> = BTreeMap::new();
    let (mut left, mut used) = (Vec::new(), Vec::new());
    for test in tests {
        match time(test) {
            Ok(time) => {
                let (times, failed) = map.entry(group_of(test, apart)).or_default();
                times.push(time);
                *failed += u32::from(test.verdict.fails());
                used.push(test);
            }
            Err(why) => left.push(format!("{} ({}): {why}", test.tag, test.head)),
        }
    }
    if map.is_empty() {
        let message = "no test has a time to compare".to_owned();
        return Err(refuse("nothing-to-compare", file, message, "record tests first: headround bench FILE record …"));
    }
    let told = |why: String| refuse("not-comparable", file, why, "look at the times: headround bench FILE");
    let mut groups = Vec::new();
    for (name, (times, failed)) in map {
        let curve = chance::kaplan_meier(&times).map_err(told)?;
        groups.push(Group { name, times, failed, curve });
    }
    let sides: Vec<&[Time]> = groups.iter().map(|g| g.times.as_slice()).collect();
    // Where nothing opened, or there is one group, nothing can be told apart.
    let log_rank = if sides.len() > 1 { chance::log_rank(&sides).ok() } else { None };
    let passed = |g: &Group| u32::try_from(g.times.len()).unwrap_or(u32::MAX).saturating_sub(g.failed);
    let fisher = match groups.as_slice() {
        [a, b] => chance::fisher(a.failed, passed(a), b.failed, passed(b)).ok(),
        _ => None,
    };
    Ok(Groups { groups, log_rank, fisher, left, unlike: unlike(&used, apart) })
}

/// Temperatures that count as one, K (common practice, no source).
const NEAR_DEGREES: f64 = 2.0;
/// Speeds of air that count as one, m/s (common practice, no source).
const NEAR_SPEED: f64 = 0.1;

/// Conditions that differ between the tests.
fn unlike(tests: &[&TestFacts], apart: Apart) -> Vec<String> {
    let distinct = |of: &dyn Fn(&TestFacts) -> String| {
        let mut list: Vec<String> = tests.iter().map(|t| of(t)).collect();
        list.sort();
        list.dedup();
        list
    };
    // A figure in other units, or one that is rounded, is no other condition.
    let figures = |of: &dyn Fn(&TestFacts) -> Option<(f64, String)>, near: f64| {
        let mut list: Vec<(f64, String)> = tests.iter().filter_map(|t| of(t)).collect();
        list.sort_by(|a, b| a.0.total_cmp(&b.0));
        list.dedup_by(|b, a| b.0 - a.0 <= near);
        list.into_iter().map(|(_, text)| text).collect::<Vec<_>>()
    };
    let mut found = Vec::new();
    let mut look = |what: &str, list: Vec<String>| {
        if list.len() > 1 {
            found.push(format!("the tests differ in {what}: {}", list.join(", ")));
        }
    };
    look("the oven's temperature", figures(&|t| t.readings.oven.map(|x| (x.celsius(), x.to_string())), NEAR_DEGREES));
    look(
        "the speed of the air",
        figures(&|t| t.readings.air.map(|x| (x.metres_per_second(), x.to_string())), NEAR_SPEED),
    );
    look("the start temperature", figures(&|t| t.readings.start.map(|x| (x.celsius(), x.to_string())), NEAR_DEGREES));
    if apart != Apart::Kind {
        look("the kind of head", distinct(&|t| t.kind.clone()));
    }
    found
}

fn json(it: &Groups, file: &Path) -> serde_json::Value {
    let group = |g: &Group| {
        serde_json::json!({
            "name": g.name,
            "n": g.times.len(),
            "opened": g.curve.opened,
            "failed": g.failed,
            "median": g.curve.median,
            "median_from": g.curve.median_from,
            "median_to": g.curve.median_to,
        })
    };
    let one = match it.groups.as_slice() {
        [only] => only.curve.median,
        _ => None,
    };
    serde_json::json!({
        "file": file.display().to_string(),
        "groups": it.groups.iter().map(group).collect::<Vec<_>>(),
        "median": one,
        "chi2": it.log_rank.as_ref().map(|l| l.chi2),
        "df": it.log_rank.as_ref().map(|l| l.df),
        "p": it.log_rank.as_ref().map(|l| l.p),
        "fisher_p": it.fisher,
        "left_out": it.left,
        "unlike": it.unlike,
    })
}

fn page(it: &Groups, apart: Apart, columns: usize) -> String {
    let mut out = String::new();
    let median = |c: &Curve| c.median.map_or_else(|| "not reached".to_owned(), |m| format!("{m:.1}"));
    let band = |c: &Curve| match (c.median_from, c.median_to) {
        (Some(a), Some(b)) => format!("{a:.1} to {b:.1}"),
        (Some(a), None) => format!("from {a:.1}"),
        _ => "-".to_owned(),
    };
    let row = |g: &Group| {
        let never = g.times.len() - g.times.iter().filter(|t| t.opened).count();
        let failed = usize::try_from(g.failed).unwrap_or(usize::MAX);
        let numbers = [g.times.len(), g.curve.opened, never, failed].map(|n| n.to_string());
        [g.name.clone()].into_iter().chain(numbers).chain([median(&g.curve), band(&g.curve)]).collect::<Vec<_>>()
    };
    let rows: Vec<Vec<String>> = it.groups.iter().map(row).collect();
    let what = match apart {
        Apart::Before => "BEFORE",
        Apart::Bench => "BENCH",
        Apart::Kind => "KIND",
        Apart::Lot => "LOT",
    };
    let head = [what, "HEADS", "OPENED", "NEVER", "FAILED", "MEDIAN s", "95 % CONFIDENCE s"];
    out.push_str(&table::fitted(&head, &rows, columns));
    let mut hang = |words: &str| {
        for (n, line) in text::wrap(&plain(words), columns.saturating_sub(2)).iter().enumerate() {
            out.push_str(if n == 0 { "" } else { "  " });
            out.push_str(line);
            out.push('\n');
        }
    };
    match (&it.log_rank, it.groups.len()) {
        (Some(l), _) => {
            let degrees = if l.df == 1 { "1 degree".to_owned() } else { format!("{} degrees", l.df) };
            hang(&format!("Log-rank test: chi-squared {:.3}, {degrees} of freedom, p = {:.4}.", l.chi2, l.p));
            hang(if l.p < 0.05 {
                "So great a difference would be rare if the groups were one."
            } else {
                "Such a difference comes about by chance often enough; few heads show only large differences."
            });
        }
        (None, 1) => hang("One group: there is nothing to compare it with."),
        (None, _) => hang("The groups cannot be told apart by these times."),
    }
    if let Some(p) = it.fisher {
        hang(&format!("Fisher's exact test of the failures: p = {p:.4}, two-sided."));
    }
    for words in &it.unlike {
        hang(&format!("Take care: {words}. Times under other conditions are not alike; compare indices."));
    }
    if !it.left.is_empty() {
        hang(&format!("Left out: {}.", many(it.left.len(), "test")));
    }
    for words in &it.left {
        hang(&format!("- {words}"));
    }
    out
}
