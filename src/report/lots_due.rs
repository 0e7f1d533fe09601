//! What falls due by age in the summary: overdue, without a known date, and within the next two years, each with its reason and
//! with what had to be assumed.

use super::phrases::{capital, clause, counted, day, heads, ranges_text, said, sentence};
use super::summary::{Block, Cell, Scene, Section, Table, fact};
use crate::round::due::{DueRow, When};
use crate::rules::duties::Act;

/// The span that the summary looks ahead, in words that read as a span of time.
pub(super) const AHEAD: &str = "24 months";

const TITLE: &str = "What falls due by age";

/// The section; none where the site has no heads, or the rule set asks nothing of age.
pub(super) fn section(scene: &Scene<'_>) -> Option<Section> {
    let list = &scene.due;
    let (Some(today), Some(until)) = (list.today, list.until) else { return None };
    if list.rows.is_empty() && list.condemned == 0 {
        return None;
    }
    let mut section = Section::new("due", TITLE);
    let mut text = format!(
        "Heads that are to be tested by sample or replaced for their age, as of {}, and until {}. An unknown month or day counts \
         as the earliest it can be. Where no date is known the heads count as due.",
        day(today),
        day(until)
    );
    if list.not_asked > 0 {
        text.push_str(&format!(" The adopted rules ask nothing of the age of {}.", heads(list.not_asked)));
    }
    if list.condemned > 0 {
        let (are, they) = if list.condemned == 1 { ("is", "it is") } else { ("are", "they are") };
        let n = heads(list.condemned);
        text.push_str(&format!(
            " {n} {are} condemned by a failed test: {they} to be replaced, and no further test is due."
        ));
    }
    section.para("due.lead", text);
    for (when, caption) in CAPTIONS {
        section.table(table(scene, when, caption));
    }
    if list.due().next().is_none() {
        section.para("due.none", format!("Nothing falls due until {}.", day(until)));
    } else {
        let text = "Samples are drawn among heads that show no defect. Replacing is always allowed in place of a test. The text \
                    of the adopted code and the authority decide what is due.";
        section.blocks.push(Block::Items { numbered: false, facts: vec![fact("due.caution", text)] });
    }
    Some(section)
}

const CAPTIONS: [(When, &str); 3] = [
    (When::Overdue, "Overdue"),
    (When::Unknown, "No date known: counts as due"),
    (When::Soon, "In the next 24 months"),
];

/// For the front page: what is due, in a line; none where nothing is.
pub(super) fn in_short(scene: &Scene<'_>) -> Option<String> {
    let count = |when| scene.due.rows.iter().filter(|r| r.when == when).map(|r| r.heads).sum::<usize>();
    let parts: Vec<String> = [
        (count(When::Overdue), "overdue for a test or replacement"),
        (count(When::Unknown), "without a known date (they count as due)"),
        (count(When::Soon), "falling due in the next 24 months"),
    ]
    .iter()
    .filter(|(n, _)| *n > 0)
    .map(|(n, words)| format!("{} {words}", heads(*n)))
    .collect();
    (!parts.is_empty()).then(|| format!("{}; see '{TITLE}'", super::phrases::listed(&parts)))
}

fn table(scene: &Scene<'_>, when: When, caption: &str) -> Table {
    let labels = ["Heads", "Due", "What", "Why", "Kind", "In service", "Tested", "Assumed", "Lot"];
    let mut table = Table::new(format!("due.{when}"), caption, 2, &labels);
    for (n, row) in scene.due.rows.iter().filter(|r| r.when == when).enumerate() {
        table.row(cells(row, &format!("due.{when}.{}", n + 1)));
    }
    table
}

/// `, 3 years 2 months late`; empty where it is not.
fn late(months: u32) -> String {
    let n = |n: u32, one, many| counted(usize::try_from(n).unwrap_or(usize::MAX), one, many);
    match (months / 12, months % 12) {
        (0, 0) => String::new(),
        (0, m) => format!(", {} late", n(m, "month", "months")),
        (y, 0) => format!(", {} late", n(y, "year", "years")),
        (y, m) => format!(", {} {} late", n(y, "year", "years"), n(m, "month", "months")),
    }
}

fn cells(row: &DueRow, id: &str) -> Vec<Cell> {
    let which = ranges_text(&row.which);
    let which = if row.heads == 1 { which } else { format!("{which} ({})", heads(row.heads)) };
    let on = row.on.map_or_else(|| "no date known".to_owned(), |on| format!("{}{}", day(on), late(row.months_late)));
    let what = match row.act {
        Act::Test => "test a sample, or replace",
        Act::Replace => "replace",
    };
    let why = format!(
        "{} {} ({}; {})",
        sentence(&row.title),
        said(&row.because).trim_end_matches('.'),
        clause(&row.clause),
        row.confidence.means()
    );
    let assumed = row
        .assumed
        .iter()
        .enumerate()
        .map(|(n, t)| fact(format!("{id}.assumed.{}", n + 1), sentence(&capital(t))))
        .collect();
    let made = row.made.map_or_else(|| "year made unknown".to_owned(), |m| format!("made {m}"));
    let since = row.since.map_or_else(|| format!("not known; {made}"), |s| format!("since {s}; {made}"));
    let lot = row.lot.as_ref().map_or(String::new(), |l| {
        format!("in lot {l}{}", row.stage.map_or(String::new(), |s| format!(", {}", s.label())))
    });
    vec![
        Cell::one(format!("{id}.heads"), which),
        Cell::one(format!("{id}.on"), on),
        Cell::one(format!("{id}.what"), what),
        Cell::one(format!("{id}.why"), sentence(&why)),
        Cell::one(format!("{id}.kind"), said(&format!("{}: {}", row.kind, row.make_up))),
        Cell::one(format!("{id}.since"), since),
        Cell::one(format!("{id}.tested"), row.tested.map_or_else(String::new, |d| format!("sample passed {}", day(d)))),
        Cell::lines(assumed),
        Cell::one(format!("{id}.lot"), lot),
    ]
}
