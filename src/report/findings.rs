//! Findings by area: what was seen on which heads, what the adopted rules say of it and why. Heads that one entry or
//! several like ones of the same hour say the same of stand together.

use super::phrases::{capital, class, clause, clause_words, counted, how, moment, order, said, sentence};
use super::summary::{Block, Cell, Fact, Scene, Section, Table, fact};
use crate::round::layout::HeadIx;
use crate::round::rulings::{Became, Recorded, RulingRow, UNKNOWN_WORDS};
use crate::rules::model::Class;
use chrono::{DateTime, FixedOffset};

/// Heads of one area of which the same was recorded.
pub(super) struct Group<'s> {
    pub(super) rows: Vec<&'s RulingRow>,
    /// What was recorded of the first of them.
    pub(super) recorded: &'s Recorded,
    first: DateTime<FixedOffset>,
    last: DateTime<FixedOffset>,
}

impl Group<'_> {
    pub(super) fn heads(&self) -> Vec<HeadIx> {
        self.rows.iter().map(|r| r.ix).collect()
    }

    /// The start of the ids of its facts.
    pub(super) fn id(&self, scene: &Scene<'_>, what: &str) -> String {
        let head = self.rows.first().map_or_else(String::new, |r| r.head.to_string());
        format!("{what}.{head}.{}", scene.id_at(self.recorded.entry))
    }

    /// Who recorded it and when; several entries are spanned.
    pub(super) fn who_when(&self, scene: &Scene<'_>) -> String {
        let one = scene.who_when_at(self.recorded.entry);
        if self.first == self.last || moment(self.first) == moment(self.last) {
            return one;
        }
        format!("{one} to {}", self.last.format("%H:%M"))
    }
}

/// Puts together what is alike but for the head and the minute.
pub(super) fn grouped<'s>(
    scene: &Scene<'_>,
    found: impl IntoIterator<Item = (&'s RulingRow, &'s Recorded)>,
) -> Vec<Group<'s>> {
    let mut groups: Vec<Group<'s>> = Vec::new();
    for (row, recorded) in found {
        let Some(at) = scene.state.entry(recorded.entry).map(|e| e.at) else { continue };
        // Most of what is alike follows at once; looking back without end would cost the square of the findings.
        let group = groups.iter_mut().rev().take(40).find(|g| {
            let Some(other) = g.rows.first() else { return false };
            other.area_ix == row.area_ix
                && other.kind_ix == row.kind_ix
                && g.first.date_naive() == at.date_naive()
                && alike(scene, g.recorded, recorded)
        });
        match group {
            Some(group) => {
                group.first = group.first.min(at);
                group.last = group.last.max(at);
                if group.rows.last().is_none_or(|last| last.ix != row.ix) {
                    group.rows.push(row);
                }
            }
            None => groups.push(Group { rows: vec![row], recorded, first: at, last: at }),
        }
    }
    groups
}

fn alike(scene: &Scene<'_>, a: &Recorded, b: &Recorded) -> bool {
    let by = |r: &Recorded| scene.state.entry(r.entry).map(|e| (&e.by, scene.late.contains(&e.id)));
    let first = |r: &Recorded| r.carried.then_some(r.first);
    a.sign == b.sign
        && a.part == b.part
        && a.extent == b.extent
        && a.applied == b.applied
        && a.clearance == b.clearance
        && a.how == b.how
        && a.doubtful == b.doubtful
        && a.note == b.note
        && a.unsure == b.unsure
        && a.ruling == b.ruling
        && a.class == b.class
        && a.rules == b.rules
        && a.fate == b.fate
        && a.fate_entry == b.fate_entry
        && first(a) == first(b)
        && by(a) == by(b)
}

/// The section.
pub(super) fn section(scene: &Scene<'_>) -> Section {
    let mut section = Section::new("findings", "Findings by area");
    let mut total = 0;
    for (number, _) in scene.state.register().areas.iter().enumerate() {
        let area = u16::try_from(number).unwrap_or(u16::MAX);
        let start = scene.rows.partition_point(|r| r.area_ix < area);
        let end = scene.rows.partition_point(|r| r.area_ix <= area);
        let here = scene.rows.get(start..end).unwrap_or_default();
        let found = here.iter().flat_map(|row| {
            row.recorded
                .iter()
                .filter(|r| r.fate == Became::Open && r.class != Some(Class::Advisory) && r.unsure.is_none())
                .map(move |r| (row, r))
        });
        let mut groups = grouped(scene, found);
        if groups.is_empty() {
            continue;
        }
        total += groups.iter().map(|g| g.rows.len()).sum::<usize>();
        groups.sort_by_key(|g| std::cmp::Reverse((g.recorded.class, g.recorded.ruling)));
        let mut part = Section::new(format!("findings.{}", scene.area_id(area)), scene.area(area));
        part.table(table(scene, &format!("findings.{}.table", scene.area_id(area)), "finding", &groups));
        section.parts.push(part);
    }
    if scene.rows.iter().any(|r| scene.state.failure(r.ix).is_some()) {
        section.para("findings.failed", "Heads that a failed test condemns stand under 'Tests of samples'.");
    }
    if total == 0 {
        section.para("findings.none", "No finding is open in this round.");
    } else {
        section.para(
            "findings.count",
            format!(
                "{}, the weightiest of each area first. Heads that could not be judged and advisories stand under \
                 their own headings.",
                capital(&counted(total, "open finding", "open findings"))
            ),
        );
        classes(scene, &mut section);
    }
    section
}

/// What the classes mean under the adopted rules.
fn classes(scene: &Scene<'_>, section: &mut Section) {
    let facts: Vec<Fact> = scene
        .set()
        .classes
        .iter()
        .rev()
        .map(|c| {
            let source = clause(&c.duty.clause);
            let text = format!("{}: {} ({source})", class(Some(c.class)), said(&c.duty.text).trim_end_matches('.'));
            fact(format!("class.{}", c.class), sentence(&capital(&text)))
        })
        .collect();
    if !facts.is_empty() {
        section.blocks.push(Block::Items { numbered: false, facts });
    }
}

/// A table of findings.
pub(super) fn table(scene: &Scene<'_>, id: &str, what: &str, groups: &[Group<'_>]) -> Table {
    let mut table = Table::new(
        id,
        "",
        3,
        &["Heads", "Ruling", "Class", "Seen", "Kind", "Reason", "Looked at", "Recorded", "Reported first", "Note"],
    );
    for group in groups {
        let recorded = group.recorded;
        let id = group.id(scene, what);
        let seen = scene.seen(recorded).into_iter().map(|(k, t)| fact(format!("{id}.{k}"), t)).collect();
        let kind = group.rows.first().map_or_else(String::new, |r| scene.kind(r.kind_ix));
        let doubt = if recorded.doubtful { "; THE INSPECTOR WAS IN DOUBT" } else { "" };
        let first = if recorded.carried {
            format!("{} (see 'Findings of earlier rounds')", scene.who_when_at(recorded.first))
        } else {
            String::new()
        };
        let mut note: Vec<Fact> = Vec::new();
        if let Some(text) = recorded.note.as_deref().map(said).filter(|t| !t.is_empty()) {
            note.push(fact(format!("{id}.note"), text));
        }
        if group.rows.iter().any(|r| r.disagreement) {
            note.push(fact(format!("{id}.disagreement"), "People disagree on this; see 'Disagreements'."));
        }
        table.row(vec![
            Cell::one(format!("{id}.heads"), scene.ranges_counted(&group.heads())),
            Cell::one(format!("{id}.ruling"), order(recorded.ruling).to_uppercase()),
            Cell::one(format!("{id}.class"), class(recorded.class)),
            Cell::inline(seen),
            Cell::one(format!("{id}.kind"), kind),
            Cell::lines(reasons(scene, recorded, &id)),
            Cell::one(format!("{id}.how"), format!("{}{doubt}", how(recorded.how))),
            Cell::one(format!("{id}.by"), group.who_when(scene)),
            Cell::one(format!("{id}.first"), first),
            Cell::lines(note),
        ]);
    }
    table
}

/// Every rule that spoke, each with its reason and clause; where they differ, with its own ruling.
pub(super) fn reasons(scene: &Scene<'_>, recorded: &Recorded, id: &str) -> Vec<Fact> {
    let mut facts: Vec<Fact> = Vec::new();
    if !recorded.known || recorded.rules.is_empty() {
        facts.push(fact(format!("{id}.unknown"), sentence(&capital(UNKNOWN_WORDS))));
    }
    for rule in scene.rules(recorded) {
        let other = if rule.ruling == recorded.ruling { String::new() } else { format!("{}: ", order(rule.ruling)) };
        let text =
            format!("{other}{} ({}; rule {})", said(&rule.because).trim_end_matches('.'), clause_words(rule), rule.id);
        facts.push(fact(format!("{id}.reason.{}", rule.id), sentence(&capital(&text))));
    }
    facts
}
