//! What became of things: findings of earlier rounds and how this one answered them, what was mended in this round,
//! where people disagree, and which heads were not reached or could not be judged.

use std::collections::{BTreeSet, HashMap};

use super::findings::{self, grouped};
use super::phrases::{capital, class, clause, counted, day, deed, heads, how, order, said, sentence, unreached};
use super::summary::{Cell, Scene, Section, Table, fact};
use crate::round::act::heads_in_order;
use crate::round::entry::{Unreached, What};
use crate::round::layout::HeadIx;
use crate::round::rulings::{self, Became, CarriedRow, Recorded, RulingRow, Standing};
use crate::round::state::{EntryIx, Status};
use crate::rules::model::Class;

/// The sections.
pub(super) fn sections(scene: &Scene<'_>) -> Vec<Section> {
    let mut list = vec![not_inspected(scene)];
    list.extend(carried(scene));
    list.extend(mended(scene));
    list.extend(disagreements(scene));
    list
}

/// What became of a finding of this round.
pub(super) fn became(scene: &Scene<'_>, recorded: &Recorded) -> String {
    let entry = recorded.fate_entry.and_then(|e| scene.state.entry(e));
    let Some(entry) = entry else { return "open".to_owned() };
    let by = scene.who_when(entry);
    match (recorded.fate, &entry.what) {
        (Became::Mended, What::Did(did)) => {
            let who = did.who.as_deref().map(said).filter(|w| !w.is_empty());
            let who = who.map_or(String::new(), |w| format!(" by {w}"));
            let kind = did.kind.as_deref().map_or(String::new(), |k| format!(", now {}", said(k)));
            format!("{}{who}{kind}; recorded by {by}", deed(did.did))
        }
        (Became::Gone, _) => format!("looked at again and gone; recorded by {by}"),
        (Became::SetAside, What::Settle(settle)) => {
            format!("set aside when the disagreement was settled: {}; recorded by {by}", said(&settle.because))
        }
        _ => by,
    }
}

/// Sign, part and extent of a carried finding.
pub(super) fn sign_line(scene: &Scene<'_>, carried: &CarriedRow) -> String {
    format!(
        "{}, on: {}, extent: {}",
        scene.sign(&carried.sign),
        scene.part(&carried.part),
        scene.extent_of(&carried.sign, &carried.extent)
    )
}

/// How a carried finding stands, in words.
pub(super) fn standing(scene: &Scene<'_>, carried: &CarriedRow) -> String {
    let answer = carried.answer.map(|e| scene.who_when_at(e)).unwrap_or_default();
    let repair = carried.repair.map(|e| repair(scene, e));
    match (carried.state, repair) {
        (Standing::Unanswered, _) => "NOT ANSWERED in this round".to_owned(),
        (Standing::Still, None) => format!("STILL THERE: {answer}"),
        (Standing::Still, Some(repair)) => format!("STILL THERE although {repair}: {answer}"),
        (Standing::Worse, None) => format!("WORSE: {answer}"),
        (Standing::Worse, Some(repair)) => format!("WORSE although {repair}: {answer}"),
        (Standing::SaidFixed, Some(repair)) => {
            let since = if carried.answered {
                "no look at it is recorded since"
            } else {
                "this round does not say whether it is gone"
            };
            format!("SAID TO BE MENDED, not verified: {repair}; {since}")
        }
        (Standing::SaidFixed, None) => "SAID TO BE MENDED, not verified".to_owned(),
        (Standing::VerifiedFixed, Some(repair)) => format!("VERIFIED: gone, looked at by {answer}; {repair}"),
        (Standing::VerifiedFixed, None) => format!("GONE: looked at by {answer}; no repair is recorded"),
    }
}

fn repair(scene: &Scene<'_>, entry: EntryIx) -> String {
    let Some(entry) = scene.state.entry(entry) else { return "a repair is recorded".to_owned() };
    let did = match &entry.what {
        What::Did(did) => deed(did.did),
        _ => "mended",
    };
    format!("recorded as {did} by {}", scene.who_when(entry))
}

fn age(carried: &CarriedRow) -> String {
    let times = counted(carried.times, "earlier round", "earlier rounds");
    let days = carried.age_days.map_or(String::new(), |n| {
        format!(", {} ago", counted(usize::try_from(n).unwrap_or(usize::MAX), "day", "days"))
    });
    format!("{} in round {}{days}; reported in {times}", day(carried.first_on), said(&carried.first_round))
}

fn carried(scene: &Scene<'_>) -> Option<Section> {
    let all: Vec<(&RulingRow, &CarriedRow)> =
        scene.rows.iter().flat_map(|row| row.carried.iter().map(move |c| (row, c))).collect();
    if all.is_empty() {
        return None;
    }
    let mut section = Section::new("carried", "Findings of earlier rounds");
    let count = |state: Standing| all.iter().filter(|(_, c)| c.state == state).count();
    let parts: Vec<String> = [
        (Standing::Worse, "worse"),
        (Standing::Still, "still there"),
        (Standing::SaidFixed, "said to be mended but not verified"),
        (Standing::Unanswered, "not answered"),
        (Standing::VerifiedFixed, "looked at again and gone"),
    ]
    .into_iter()
    .filter(|(state, _)| count(*state) > 0)
    .map(|(state, words)| format!("{} {words}", count(state)))
    .collect();
    section.para(
        "carried.count",
        format!(
            "Earlier rounds left {} open. In this round: {}.",
            counted(all.len(), "finding", "findings"),
            parts.join(", ")
        ),
    );
    let labels = ["Head", "Seen then", "Now", "First reported", "Area", "Ruling", "Clause"];
    let mut table = Table::new("carried.table", "", 2, &labels);
    for (row, carried) in all {
        let id = format!("carried.{}.{}", row.head, scene.id_at(carried.first));
        let class = carried.class.map_or(String::new(), |c| format!(", {}", class(Some(c))));
        table.row(vec![
            Cell::one(format!("{id}.head"), row.head.to_string()),
            Cell::one(format!("{id}.seen"), sign_line(scene, carried)),
            Cell::one(format!("{id}.now"), standing(scene, carried)),
            Cell::one(format!("{id}.first"), age(carried)),
            Cell::one(format!("{id}.area"), scene.area(row.area_ix)),
            Cell::one(format!("{id}.ruling"), format!("{}{class}", order(carried.ruling))),
            Cell::one(format!("{id}.clauses"), carried.clauses.join("; ")),
        ]);
    }
    section.table(table);
    Some(section)
}

/// Findings of this round that no longer stand.
fn mended(scene: &Scene<'_>) -> Option<Section> {
    let found = scene.rows.iter().flat_map(|row| {
        row.recorded.iter().filter(|r| r.fate != Became::Open && r.fate != Became::SetAside).map(move |r| (row, r))
    });
    let groups = grouped(scene, found);
    if groups.is_empty() {
        return None;
    }
    let mut section = Section::new("mended", "Found and mended in this round");
    section.para(
        "mended.lead",
        "These findings no longer stand. A head that was replaced or put right counts as kept unless something else is \
         open on it.",
    );
    let labels = ["Heads", "Seen", "What was done", "Area", "Ruling", "Clause", "Found", "Note"];
    let mut table = Table::new("mended.table", "", 2, &labels);
    for group in &groups {
        let id = group.id(scene, "mended");
        let recorded = group.recorded;
        let mut clauses: Vec<String> = scene.rules(recorded).map(|r| clause(&r.clause)).collect();
        clauses.dedup();
        let class = recorded.class.map_or(String::new(), |c| format!(", {}", class(Some(c))));
        let seen = scene.seen(recorded).into_iter().map(|(k, t)| fact(format!("{id}.{k}"), t)).collect();
        table.row(vec![
            Cell::one(format!("{id}.heads"), scene.ranges_counted(&group.heads())),
            Cell::inline(seen),
            Cell::one(format!("{id}.became"), capital(&became(scene, recorded))),
            Cell::one(format!("{id}.area"), group.rows.first().map_or_else(String::new, |r| scene.area(r.area_ix))),
            Cell::one(format!("{id}.ruling"), format!("{}{class}", order(recorded.ruling))),
            Cell::one(format!("{id}.clauses"), clauses.join("; ")),
            Cell::one(format!("{id}.found"), group.who_when(scene)),
            Cell::one(format!("{id}.note"), recorded.note.as_deref().map_or_else(String::new, said)),
        ]);
    }
    section.table(table);
    Some(section)
}

/// Where people disagree, and how disagreements were settled.
fn disagreements(scene: &Scene<'_>) -> Option<Section> {
    let mut section = Section::new("disagreements", "Disagreements");
    let labels = ["Head", "Area", "What each recorded", "What stands meanwhile"];
    let mut open = Table::new("disagreements.open", "Not settled; the stronger ruling stands meanwhile", 2, &labels);
    for row in scene.rows.iter().filter(|r| r.disagreement) {
        let id = format!("disagreement.{}", row.head);
        let mut said_by: Vec<_> = row
            .recorded
            .iter()
            .filter(|r| r.fate != Became::SetAside)
            .map(|r| {
                let entry = scene.id_at(r.entry);
                let text = format!("{}: {} ({})", scene.who_when_at(r.entry), scene.seen_line(r), order(r.ruling));
                fact(format!("{id}.{entry}"), text)
            })
            .collect();
        if let Some(seen) = scene.state.seen_entry(row.ix) {
            let text = format!("{}: seen, nothing found (keep)", scene.who_when_at(seen));
            said_by.push(fact(format!("{id}.{}", scene.id_at(seen)), text));
        }
        open.row(vec![
            Cell::one(format!("{id}.head"), row.head.to_string()),
            Cell::one(format!("{id}.area"), scene.area(row.area_ix)),
            Cell::lines(said_by),
            Cell::one(format!("{id}.ruling"), row.ruling.map_or("", order)),
        ]);
    }
    let labels = ["Head", "What stands", "What was set aside", "Why", "Settled by"];
    let mut settled = Table::new("disagreements.settled", "Settled", 1, &labels);
    for (ix, entry) in rulings::standing(scene.state) {
        let What::Settle(settle) = &entry.what else { continue };
        let id = format!("settled.{}", entry.id);
        let stands = scene
            .state
            .find_entry(settle.stands)
            .map_or_else(|| "an entry that is not in this file".to_owned(), |e| scene.entry_line(e));
        let set_aside: BTreeSet<EntryIx> = scene
            .rows
            .iter()
            .filter(|row| settle.head.area == row.head.area && settle.head.holds(row.head.spot))
            .flat_map(|row| &row.recorded)
            .filter(|r| r.fate_entry == Some(ix))
            .map(|r| r.entry)
            .collect();
        let aside = set_aside
            .into_iter()
            .map(|e| fact(format!("{id}.aside.{}", scene.id_at(e)), scene.entry_line(e)))
            .collect();
        settled.row(vec![
            Cell::one(format!("{id}.head"), settle.head.to_string()),
            Cell::one(format!("{id}.stands"), stands),
            Cell::lines(aside),
            Cell::one(format!("{id}.because"), sentence(&capital(&settle.because))),
            Cell::one(format!("{id}.by"), scene.who_when(entry)),
        ]);
    }
    if open.rows.is_empty() && settled.rows.is_empty() {
        return None;
    }
    section.table(open);
    section.table(settled);
    Some(section)
}

/// Heads that were not reached, that could not be judged, and that have no record at all.
fn not_inspected(scene: &Scene<'_>) -> Section {
    let mut section = Section::new("not-inspected", "Heads not inspected");
    let counts = scene.state.counts();
    if counts.heads == 0 {
        section.para("not-inspected.empty", "The register holds no heads.");
        return section;
    }
    if counts.unreached + counts.unsure + counts.unseen == 0 {
        section.para("not-inspected.none", "Every head of the register was looked at and judged.");
        return section;
    }
    section.para(
        "not-inspected.lead",
        "Nothing is known about the present condition of these heads. They count as not inspected, whatever the reason.",
    );
    if counts.unreached > 0 {
        let mut part = Section::new("unreached", format!("Not reached: {}", heads(counts.unreached)));
        part.table(unreached_table(scene));
        section.parts.push(part);
    }
    if counts.unsure > 0 {
        section.parts.push(unsure_part(scene, counts.unsure));
    }
    if counts.unseen > 0 {
        let mut part = Section::new("unseen", format!("Without any record: {}", heads(counts.unseen)));
        let mut table = Table::new("unseen.table", "", 1, &["Area", "Heads"]);
        for area in 0..scene.state.register().areas.len() {
            let area = u16::try_from(area).unwrap_or(u16::MAX);
            let list: Vec<HeadIx> =
                heads_in_order(scene.state, area).filter(|h| scene.state.status(*h) == Status::Unseen).collect();
            if list.is_empty() {
                continue;
            }
            let id = format!("unseen.{}", scene.area_id(area));
            table.row(vec![
                Cell::one(format!("{id}.area"), scene.area(area)),
                Cell::one(format!("{id}.heads"), scene.ranges_counted(&list)),
            ]);
        }
        part.table(table);
        section.parts.push(part);
    }
    section
}

fn unreached_table(scene: &Scene<'_>) -> Table {
    let labels = ["Heads", "Why", "Area", "Who denies access", "What follows", "Recorded", "Note"];
    let mut table = Table::new("unreached.table", "", 2, &labels);
    let mut groups: Vec<(u16, EntryIx, Vec<HeadIx>)> = Vec::new();
    let mut at: HashMap<(u16, EntryIx), usize> = HashMap::new();
    for area in 0..scene.state.register().areas.len() {
        let area = u16::try_from(area).unwrap_or(u16::MAX);
        if scene.state.area_counts(area).unreached == 0 {
            continue;
        }
        for head in heads_in_order(scene.state, area).filter(|h| scene.state.status(*h) == Status::Unreached) {
            let Some(entry) = scene.state.story(head).unreached else { continue };
            let slot = *at.entry((area, entry)).or_insert_with(|| {
                groups.push((area, entry, Vec::new()));
                groups.len() - 1
            });
            if let Some((_, _, list)) = groups.get_mut(slot) {
                list.push(head);
            }
        }
    }
    for (area, entry_ix, list) in groups {
        let Some(What::Unreached(what)) = scene.state.entry(entry_ix).map(|e| &e.what) else { continue };
        let Unreached { why, denied_by, note, .. } = &**what;
        let first = list.first().and_then(|h| scene.state.address(*h)).map_or_else(String::new, |a| a.to_string());
        let id = format!("unreached.{first}.{}", scene.id_at(entry_ix));
        let follows = scene.set().excuse(why.as_str()).map_or_else(
            || "The adopted rule set says nothing of this reason; ask the authority.".to_owned(),
            |e| {
                let owed = if e.waived { "" } else { " An inspection is still owed." };
                format!(
                    "{}{owed}",
                    sentence(&format!("{} ({})", said(&e.because).trim_end_matches('.'), clause(&e.clause)))
                )
            },
        );
        table.row(vec![
            Cell::one(format!("{id}.heads"), scene.ranges_counted(&list)),
            Cell::one(format!("{id}.why"), unreached(*why)),
            Cell::one(format!("{id}.area"), scene.area(area)),
            Cell::one(format!("{id}.denied"), denied_by.as_deref().map_or_else(String::new, said)),
            Cell::one(format!("{id}.follows"), follows),
            Cell::one(format!("{id}.by"), scene.who_when_at(entry_ix)),
            Cell::one(format!("{id}.note"), note.as_deref().map_or_else(String::new, said)),
        ]);
    }
    table
}

fn unsure_part(scene: &Scene<'_>, count: usize) -> Section {
    let mut part = Section::new("unsure", format!("In sight but not judged: {}, owed a close look", heads(count)));
    let found =
        scene.rows.iter().flat_map(|row| row.recorded.iter().filter(|r| r.unsure.is_some()).map(move |r| (row, r)));
    let labels = ["Heads", "Why", "Area", "Kind", "Looked at", "Reason", "Recorded", "Note"];
    let mut table = Table::new("unsure.table", "", 2, &labels);
    for group in grouped(scene, found) {
        let id = group.id(scene, "unsure");
        let why = group.recorded.unsure.map_or("", super::phrases::unsure);
        let row = group.rows.first();
        table.row(vec![
            Cell::one(format!("{id}.heads"), scene.ranges_counted(&group.heads())),
            Cell::one(format!("{id}.why"), why),
            Cell::one(format!("{id}.area"), row.map_or_else(String::new, |r| scene.area(r.area_ix))),
            Cell::one(format!("{id}.kind"), row.map_or_else(String::new, |r| scene.kind(r.kind_ix))),
            Cell::one(format!("{id}.how"), how(group.recorded.how)),
            Cell::lines(findings::reasons(scene, group.recorded, &id)),
            Cell::one(format!("{id}.by"), group.who_when(scene)),
            Cell::one(format!("{id}.note"), group.recorded.note.as_deref().map_or_else(String::new, said)),
        ]);
    }
    part.table(table);
    part
}

/// Whether a finding is one the summary keeps apart.
pub(super) fn is_advisory(recorded: &Recorded) -> bool {
    recorded.class == Some(Class::Advisory)
}
