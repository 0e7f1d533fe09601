//! Impairments: which heads, why, whom to tell, which clocks run, and who has been told. They come first.

use chrono::{DateTime, Datelike, Days, FixedOffset, Weekday};

use super::findings::grouped;
use super::phrases::{capital, channel, clause, clause_words, day, heads, moment, said, sentence};
use super::summary::{Block, Cell, Scene, Section, Table, Tone, fact};
use crate::round::entry::{Entry, Notice};
use crate::round::layout::HeadIx;
use crate::round::lots::{self, Failure};
use crate::round::notices;
use crate::round::rulings::{self, Became, CarriedRow, Recorded, RulingRow, Standing};
use crate::round::state::EntryIx;
use crate::rules::model::{Class, Within};

/// The open impairments of the present round, each with its head.
pub(super) fn open<'s>(scene: &'s Scene<'_>) -> Vec<(&'s RulingRow, &'s Recorded)> {
    of_fate(scene, |f| f == Became::Open)
}

fn of_fate<'s>(scene: &'s Scene<'_>, want: impl Fn(Became) -> bool) -> Vec<(&'s RulingRow, &'s Recorded)> {
    scene
        .rows
        .iter()
        .flat_map(|row| row.recorded.iter().map(move |r| (row, r)))
        .filter(|(_, r)| r.class == Some(Class::Impairment) && want(r.fate))
        .collect()
}

/// The heads that a failed test of their lot condemns, and that the adopted set holds to be impaired by it.
pub(super) fn failed<'s>(scene: &'s Scene<'_>) -> Vec<(&'s RulingRow, Failure)> {
    let of_row = |row: &'s RulingRow| Some((row, scene.state.failure(row.ix)?));
    scene.rows.iter().filter_map(of_row).filter(|(_, f)| f.class == Some(Class::Impairment)).collect()
}

/// A head and the entry that says of it that it is impaired.
type Found<'s> = (&'s RulingRow, EntryIx);

/// Impairments that earlier rounds reported and that nobody has looked at again since.
pub(super) fn unverified<'s>(scene: &'s Scene<'_>) -> Vec<(&'s RulingRow, &'s CarriedRow)> {
    scene
        .rows
        .iter()
        .flat_map(|row| row.carried.iter().map(move |c| (row, c)))
        .filter(|(_, c)| c.class == Some(Class::Impairment))
        .filter(|(_, c)| matches!(c.state, Standing::Unanswered | Standing::SaidFixed))
        .collect()
}

/// The section.
pub(super) fn section(scene: &Scene<'_>) -> Section {
    let mut section = Section::new("impairments", "Impairments");
    let (open, failed, unverified) = (open(scene), failed(scene), unverified(scene));
    let closed = of_fate(scene, |f| f != Became::Open);
    let out: Vec<Found<'_>> =
        open.iter().map(|(row, r)| (*row, r.entry)).chain(failed.iter().map(|(row, f)| (*row, f.entry))).collect();
    let mut count = out.iter().map(|(row, _)| row.ix).collect::<Vec<_>>();
    count.sort_unstable();
    count.dedup();
    if out.is_empty() {
        section.para(
            "impairments.none",
            "No finding that is open in this round is classed as an impairment. That says nothing about heads that were \
             not inspected, or about parts of the system other than heads.",
        );
    } else {
        let meaning = if count.len() == 1 { "It may" } else { "They may" };
        section.blocks.push(Block::Banner {
            tone: Tone::Alarm,
            facts: vec![
                fact("impairments.count", format!("IMPAIRMENT: {} out of order.", heads(count.len()))),
                fact(
                    "impairments.meaning",
                    format!(
                        "{meaning} not operate in a fire. The owner starts the impairment procedure now; work on the \
                         system is for licensed people."
                    ),
                ),
            ],
        });
        section.table(open_table(scene, &open));
        section.table(failed_table(scene, &failed));
    }
    section.table(unverified_table(scene, &unverified));
    section.table(closed_table(scene, &closed));
    let closed: Vec<Found<'_>> = closed.iter().map(|(row, r)| (*row, r.entry)).collect();
    if !out.is_empty() || !closed.is_empty() {
        duties(scene, &mut section, &out, &closed);
    }
    log(scene, &mut section, out.is_empty() && closed.is_empty());
    section
}

/// The heads that a failed test condemns, a row for each area and test.
fn failed_table(scene: &Scene<'_>, failed: &[(&RulingRow, Failure)]) -> Table {
    let labels = ["Heads", "Area", "Why", "What to do", "Clause"];
    let mut table = Table::new("impairments.failed", "Heads that a failed test of their lot condemns", 2, &labels);
    let rule = lots::failure_rule(scene.state);
    let mut groups: Vec<(&RulingRow, Failure, Vec<HeadIx>)> = Vec::new();
    for (row, failure) in failed {
        let same = |g: &&mut (&RulingRow, Failure, Vec<HeadIx>)| g.0.area_ix == row.area_ix && g.1 == *failure;
        match groups.iter_mut().rev().take(40).find(same) {
            Some((_, _, heads)) => heads.push(row.ix),
            None => groups.push((row, failure.clone(), vec![row.ix])),
        }
    }
    for (row, failure, heads) in groups {
        let id = format!("impairment.failed.{}.{}", row.head, scene.id_at(failure.entry));
        let remedy = rule.map_or_else(String::new, |r| sentence(&r.text));
        table.row(vec![
            Cell::one(format!("{id}.heads"), scene.ranges_counted(&heads)),
            Cell::one(format!("{id}.area"), scene.area(row.area_ix)),
            Cell::one(format!("{id}.why"), sentence(&capital(&lots::failure_words(scene.state, &failure)))),
            Cell::one(format!("{id}.remedy"), remedy),
            Cell::one(format!("{id}.clause"), rule.map_or_else(String::new, |r| clause(&r.basis.clause))),
        ]);
    }
    table
}

fn open_table(scene: &Scene<'_>, open: &[(&RulingRow, &Recorded)]) -> Table {
    let mut table = Table::new(
        "impairments.open",
        "Heads out of order",
        2,
        &["Heads", "Area", "Seen", "Kind", "Why", "What to do", "Found", "Reported first", "Note"],
    );
    for group in grouped(scene, open.iter().copied()) {
        let (Some(row), recorded) = (group.rows.first(), group.recorded) else { continue };
        let id = group.id(scene, "impairment");
        let rules: Vec<_> = scene.rules(recorded).filter(|r| r.class == Some(Class::Impairment)).collect();
        let why = rules
            .iter()
            .map(|r| {
                let text = format!("{} ({})", said(&r.because).trim_end_matches('.'), clause_words(r));
                fact(format!("{id}.why.{}", r.id), sentence(&text))
            })
            .collect();
        let todo = rules.iter().map(|r| fact(format!("{id}.remedy.{}", r.id), sentence(&r.remedy))).collect();
        let first = if recorded.carried { scene.who_when_at(recorded.first) } else { String::new() };
        table.row(vec![
            Cell::one(format!("{id}.heads"), scene.ranges_counted(&group.heads())),
            Cell::one(format!("{id}.area"), scene.area(row.area_ix)),
            Cell::inline(scene.seen(recorded).into_iter().map(|(k, t)| fact(format!("{id}.{k}"), t)).collect()),
            Cell::one(format!("{id}.kind"), scene.kind(row.kind_ix)),
            Cell::lines(why),
            Cell::lines(todo),
            Cell::one(format!("{id}.found"), group.who_when(scene)),
            Cell::one(format!("{id}.first"), first),
            Cell::one(format!("{id}.note"), recorded.note.as_deref().map_or_else(String::new, said)),
        ]);
    }
    table
}

fn unverified_table(scene: &Scene<'_>, list: &[(&RulingRow, &CarriedRow)]) -> Table {
    let mut table = Table::new(
        "impairments.unverified",
        "Impairments of earlier rounds that nobody has recorded a look at since",
        2,
        &["Head", "Area", "Seen then", "Reported first", "Since then"],
    );
    for (row, carried) in list {
        let id = format!("impairment.earlier.{}.{}", row.head, scene.id_at(carried.first));
        table.row(vec![
            Cell::one(format!("{id}.head"), row.head.to_string()),
            Cell::one(format!("{id}.area"), scene.area(row.area_ix)),
            Cell::one(format!("{id}.seen"), super::answers::sign_line(scene, carried)),
            Cell::one(format!("{id}.first"), scene.who_when_at(carried.first)),
            Cell::one(format!("{id}.since"), super::answers::standing(scene, carried)),
        ]);
    }
    table
}

fn closed_table(scene: &Scene<'_>, closed: &[(&RulingRow, &Recorded)]) -> Table {
    let mut table = Table::new(
        "impairments.closed",
        "Impairments found in this round that no longer stand",
        2,
        &["Heads", "Area", "Seen", "Found", "Since then"],
    );
    for group in grouped(scene, closed.iter().copied()) {
        let Some(row) = group.rows.first() else { continue };
        let id = group.id(scene, "impairment.closed");
        table.row(vec![
            Cell::one(format!("{id}.heads"), scene.ranges_counted(&group.heads())),
            Cell::one(format!("{id}.area"), scene.area(row.area_ix)),
            Cell::one(format!("{id}.seen"), scene.seen_line(group.recorded)),
            Cell::one(format!("{id}.found"), group.who_when(scene)),
            Cell::one(format!("{id}.since"), super::answers::became(scene, group.recorded)),
        ]);
    }
    table
}

/// Whom to tell, the clocks and the steps.
fn duties(scene: &Scene<'_>, section: &mut Section, open: &[Found<'_>], closed: &[Found<'_>]) {
    let duty = &scene.set().impairment;
    let notices = notices::log(scene.state);
    let of_site = &scene.state.register().site.tell;
    let roles = if of_site.is_empty() { &duty.tell } else { of_site };
    let all: Vec<_> = if open.is_empty() { closed.to_vec() } else { open.to_vec() };
    if roles.is_empty() {
        let text = "Neither the site's register nor the adopted rule set says whom to tell. Ask the authority.";
        section.para("impairments.tell.none", text);
    }
    let mut table = Table::new("impairments.tell", "Whom to tell, in this order", 1, &["Whom", "Told"]);
    for (n, role) in roles.iter().enumerate() {
        let id = format!("tell.{}", n + 1);
        let text = told(scene, role, &notices, &all);
        table.row(vec![Cell::one(format!("{id}.whom"), capital(&said(role))), Cell::one(format!("{id}.told"), text)]);
    }
    section.table(table);
    if !open.is_empty() {
        section.table(clocks(scene, open));
    }
    if !duty.steps.is_empty() && !open.is_empty() {
        let facts = duty
            .steps
            .iter()
            .enumerate()
            .map(|(n, s)| fact(format!("impairments.step.{}", n + 1), sentence(&capital(s))))
            .collect();
        section.para("impairments.steps", "What the adopted rules ask for while the impairment lasts:");
        section.blocks.push(Block::Items { numbered: true, facts });
    }
}

fn told(scene: &Scene<'_>, role: &str, notices: &[(&Entry, &Notice)], impairments: &[Found<'_>]) -> String {
    let mine: Vec<_> = notices.iter().filter(|(_, n)| notices::is_to(n, role)).collect();
    let Some((first, notice)) = mine.first() else {
        return "NOT YET: no notice to them is recorded".to_owned();
    };
    let mut missing: Vec<_> = impairments
        .iter()
        .filter(|(row, entry)| {
            let found = scene.state.entry(*entry).map(|e| e.id);
            !found.is_some_and(|found| mine.iter().any(|(e, n)| notices::covers(e, n, &row.head, found)))
        })
        .map(|(row, _)| row.ix)
        .collect();
    missing.sort_unstable();
    missing.dedup();
    let when = format!("{}, {}, by {}", moment(first.at), channel(notice.how), scene.person(&first.by));
    if missing.is_empty() { when } else { format!("{when}; NOT YET about {}", scene.ranges_counted(&missing)) }
}

fn clocks(scene: &Scene<'_>, open: &[Found<'_>]) -> Table {
    let mut table = Table::new(
        "impairments.clocks",
        "Time limits of the adopted rules",
        1,
        &["What", "Within", "From", "By", "Clause"],
    );
    let starts = open
        .iter()
        .filter_map(|(row, entry)| rulings::impaired_since(scene.state, row.ix, *entry).map(|e| (e.at, *row, *entry)));
    let Some((start, row, entry)) = starts.min_by_key(|(at, ..)| *at) else { return table };
    let by_test = scene.state.failure(row.ix).is_some_and(|f| f.entry == entry);
    let from = if by_test {
        format!("{}, when the failed test that condemns {} was recorded", moment(start), row.head)
    } else {
        format!("{}, when {} was reported", moment(start), row.head)
    };
    for (n, clock) in scene.set().impairment.clocks.iter().enumerate() {
        let id = format!("clock.{}", n + 1);
        let by = due(start, clock.within);
        let source = match clock.confidence {
            crate::rules::model::Confidence::Seen => String::new(),
            other => format!(" ({})", other.means()),
        };
        table.row(vec![
            Cell::one(format!("{id}.what"), capital(&said(&clock.what))),
            Cell::one(format!("{id}.within"), clock.within.to_string()),
            Cell::one(format!("{id}.from"), from.clone()),
            Cell::one(format!("{id}.by"), by),
            Cell::one(format!("{id}.clause"), format!("{}{source}", clause(&clock.clause))),
        ]);
    }
    table
}

/// The moment a time limit ends, in words.
fn due(start: DateTime<FixedOffset>, within: Within) -> String {
    let after = |minutes: u32| {
        start
            .checked_add_signed(chrono::TimeDelta::minutes(i64::from(minutes)))
            .map_or_else(|| "a day beyond the calendar".to_owned(), moment)
    };
    match within {
        Within::AtOnce => "without delay".to_owned(),
        Within::Minutes(n) => after(n),
        Within::Hours(n) => after(n.saturating_mul(60)),
        Within::BusinessDays(n) => {
            let mut at = start.date_naive();
            let mut left = n;
            while left > 0 {
                let Some(next) = at.checked_add_days(Days::new(1)) else { break };
                at = next;
                if !matches!(at.weekday(), Weekday::Sat | Weekday::Sun) {
                    left -= 1;
                }
            }
            format!("{} (Monday to Friday counted; holidays are the authority's)", day(at))
        }
    }
}

fn log(scene: &Scene<'_>, section: &mut Section, quiet: bool) {
    let notices = notices::log(scene.state);
    if notices.is_empty() {
        if !quiet {
            let text = "Nobody has been told yet, as far as this record shows: it holds no notice.";
            section.blocks.push(Block::Banner { tone: Tone::Alarm, facts: vec![fact("notices.none", text)] });
        }
        return;
    }
    let mut table = Table::new("notices", "Notices given", 1, &["Told", "When", "How", "About", "Given by", "Note"]);
    for (entry, notice) in notices {
        let id = format!("notice.{}", entry.id);
        let about =
            notice.head.as_ref().map_or_else(|| "all impairments found until then".to_owned(), ToString::to_string);
        let late = if scene.late.contains(&entry.id) { " (after sign-off)" } else { "" };
        table.row(vec![
            Cell::one(format!("{id}.told"), capital(&said(&notice.told))),
            Cell::one(format!("{id}.when"), format!("{}{late}", moment(entry.at))),
            Cell::one(format!("{id}.how"), channel(notice.how)),
            Cell::one(format!("{id}.about"), about),
            Cell::one(format!("{id}.by"), scene.person(&entry.by)),
            Cell::one(format!("{id}.note"), notice.note.as_deref().map_or_else(String::new, said)),
        ]);
    }
    section.table(table);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn business_days_leave_out_saturday_and_sunday() {
        // 25 November 2026 is a Wednesday.
        let start = DateTime::parse_from_rfc3339("2026-11-25T09:20:00-05:00").expect("a moment");
        for (n, by) in [(1, "26 November"), (2, "27 November"), (3, "30 November"), (5, "2 December")] {
            assert!(due(start, Within::BusinessDays(n)).starts_with(by), "{n}");
        }
        assert_eq!(due(start, Within::Hours(10)), "25 November 2026, 19:20");
        assert_eq!(due(start, Within::Minutes(50)), "25 November 2026, 10:10");
        assert_eq!(due(start, Within::AtOnce), "without delay");
    }
}
