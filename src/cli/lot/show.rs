//! One lot: its heads, draws, sample, custody, and what its tests come to.

use std::path::Path;

use super::super::session::{Done, Outcome, Session, many};
use super::super::table;
use super::facts::{CustodyFacts, DrawFacts, LotFacts, SampleFacts, TestFacts};
use super::{Show, find, loud, waits};
use crate::bench::chance;
use crate::diag::plain;
use crate::round::entry::DrawnBy;
use crate::round::lots::Stage;
use crate::tui::text;

/// What must be said beside every result.
pub const CAUTION: &str = "A sample speaks for the lot only as far as chance allows, and a good look never shows that a head \
                           works. The adopted code and the authority decide; work on a live system is for licensed people \
                           under an impairment procedure.";

/// Shows it.
pub(super) fn run(file: &Path, it: &Show, session: &mut Session<'_, '_>) -> Done {
    let shown = file.display().to_string();
    let desk = session.read(file)?;
    let state = desk.state();
    let lot = LotFacts::of(state, &find(state, &it.lot, file)?);
    if session.global.json {
        session.say_json(&serde_json::json!({
            "file": shown,
            "site": state.register().site.name,
            "round": state.present_round().map(|r| r.name.to_string()),
            "lots": [&lot],
        }))?;
    } else {
        session.say(&format!("{} ({shown})", state.register().site.name))?;
        let columns = session.around.columns.map_or(super::super::COLUMNS, |c| c.clamp(60, 120));
        session.say_text(&page(&lot, columns))?;
    }
    Ok(Outcome::of(waits(&lot)))
}

/// Lines of a page, as wide as there is room.
struct Page {
    out: String,
    columns: usize,
}

impl Page {
    fn line(&mut self, line: &str) {
        self.out.push_str(plain(line).trim_end());
        self.out.push('\n');
    }

    /// Words after an indent; what has no room goes on further in.
    fn hang(&mut self, indent: &str, words: &str) {
        let room = self.columns.saturating_sub(indent.len() + 2).max(20);
        for (n, line) in text::wrap(&plain(words), room).iter().enumerate() {
            self.line(&format!("{indent}{}{line}", if n == 0 { "" } else { "  " }));
        }
    }

    fn table(&mut self, head: &[&str], rows: &[Vec<String>]) {
        let rows = table::fitted(head, rows, self.columns);
        self.out.push_str(&rows);
    }
}

/// A lot as text; free of control characters.
pub fn page(lot: &LotFacts, columns: usize) -> String {
    let mut page = Page { out: String::new(), columns };
    page.line(&format!("Lot {}: {}", lot.lot, lot.name));
    let decided = lot.decided.map_or(String::new(), |d| format!(" on {d}"));
    page.hang("", &format!("{}{decided}. Next: {}.", loud(lot.stage), lot.next));
    if let Some(failure) = &lot.failure {
        let class = failure.class.map_or(String::new(), |c| format!(", class {c}"));
        page.hang("", &format!("{}: {} condemned{class}.", failure.said, many(lot.condemned, "head")));
    }
    for why in lot.because.iter().chain(&lot.still_hang) {
        page.hang("", &format!("- {why}"));
    }
    page.line("");
    let which: Vec<String> = lot.which.iter().map(ToString::to_string).collect();
    page.hang("", &format!("{}: {}", many(lot.heads, "head"), which.join(", ")));
    for kind in &lot.kinds {
        page.hang("  ", &format!("{} {}: {}", kind.heads, kind.kind, kind.make_up));
    }
    let due = lot.due.map_or("no date known".to_owned(), |d| d.to_string());
    let why = lot.why.as_deref().map_or(String::new(), |w| format!(" by '{w}', {due}"));
    let on = lot.formed.on.map_or(String::new(), |d| format!(" on {d}"));
    let note = lot.note.as_deref().map_or(String::new(), |n| format!(": {n}"));
    let asks = if why.is_empty() { String::new() } else { format!("; due{why}") };
    page.hang("", &format!("Formed{on} by {}{asks}{note}", lot.formed.by));
    let clause = if lot.asked.clause.is_empty() { String::new() } else { format!(" ({})", lot.asked.clause) };
    page.hang("", &format!("Sample: {}{clause}", lot.asked.because));
    for draw in &lot.draws {
        page.hang("", &draw_words(draw));
    }
    samples(&mut page, lot);
    if !lot.custody.is_empty() {
        page.line("");
        page.line("Custody");
        for step in &lot.custody {
            page.hang("  ", &custody_words(step));
        }
    }
    if let Some(c) = &lot.concluded {
        page.line("");
        let tested = c.tested.map_or(String::new(), |n| format!(", {} tested", many(n as usize, "head")));
        let note = c.note.as_deref().map_or(String::new(), |n| format!(": {n}"));
        let word = if c.passed { "passed" } else { "failed" };
        page.hang("", &format!("Concluded: {word}, says {}, {}{tested}{note}", c.by, c.on));
    }
    if let Some(words) = evidence(lot) {
        page.line("");
        page.hang("", &words);
    }
    page.line("");
    page.hang("", CAUTION);
    page.out
}

fn samples(page: &mut Page, lot: &LotFacts) {
    if lot.samples.is_empty() {
        return;
    }
    page.line("");
    let dash = || "-".to_owned();
    let row = |s: &SampleFacts| {
        let test = s.test.as_ref();
        vec![
            s.tag.clone(),
            s.head.to_string(),
            s.kind.clone(),
            s.taken.map_or_else(dash, |d| d.to_string()),
            test.map_or_else(dash, |t| t.on.to_string()),
            test.map_or_else(|| "not tested".to_owned(), verdict),
        ]
    };
    let rows: Vec<Vec<String>> = lot.samples.iter().map(row).collect();
    page.table(&["TAG", "HEAD", "KIND", "TAKEN DOWN", "TESTED", "VERDICT"], &rows);
    for test in lot.samples.iter().filter_map(|s| s.test.as_ref()) {
        page.hang("  ", &format!("{}: {}", test.tag, test.because.join("; ")));
    }
}

/// A verdict as a list shows it: a failure is loud.
pub fn verdict(test: &TestFacts) -> String {
    if test.fails { test.verdict.as_str().to_uppercase() } else { test.verdict.to_string() }
}

fn draw_words(draw: &DrawFacts) -> String {
    let how = match (draw.way, draw.seed) {
        (DrawnBy::Random, Some(seed)) => format!("by chance, seed {seed}"),
        (DrawnBy::Random, None) => "by chance, no seed recorded".to_owned(),
        (DrawnBy::ByHand, _) => "by hand".to_owned(),
    };
    let on = draw.made.on.map_or(String::new(), |d| format!(" on {d}"));
    let unseen = if draw.unseen { ", heads not looked at among them" } else { "" };
    let note = draw.note.as_deref().map_or(String::new(), |n| format!(": {n}"));
    let tags = draw.tags.join(", ");
    format!("Drawn{on} by {}, {how}, of {} eligible{unseen}: {tags}{note}", draw.made.by, draw.eligible)
}

fn custody_words(step: &CustodyFacts) -> String {
    let some = |word: &str, who: &Option<String>| who.as_deref().map_or(String::new(), |w| format!(" {word} {w}"));
    let tags = if step.tags.is_empty() { "all".to_owned() } else { step.tags.join(", ") };
    let note = step.note.as_deref().map_or(String::new(), |n| format!(": {n}"));
    let (from, to) = (some("from", &step.from), some("to", &step.to));
    format!("{} {}{from}{to} ({tags}), written by {}{note}", step.on, step.step, step.by)
}

/// What a sample without a failure still allows, in a sentence.
pub fn evidence(lot: &LotFacts) -> Option<String> {
    let told = lot.concluded.as_ref().filter(|c| c.passed).and_then(|c| c.tested);
    let tested = lot.passed.max(told.unwrap_or(0));
    let heads = u32::try_from(lot.heads).ok()?;
    if lot.stage != Stage::Passed || lot.failed > 0 || tested == 0 || tested > heads {
        return None;
    }
    let bad = chance::upper_heads(heads, tested, 0, chance::USUAL_CONFIDENCE).ok()?;
    Some(format!(
        "0 of {tested} failed. That is weak evidence: at {:.0} % confidence up to {bad} of the {heads} heads could still be bad.",
        chance::USUAL_CONFIDENCE * 100.0
    ))
}
