//! Advisories: what lies outside the adopted inspection and is told to the owner apart, by area and kind and not head by
//! head. They follow from the register, from the kinds that hang in one compartment, or from what an eye saw.

use std::collections::BTreeMap;

use super::answers::is_advisory;
use super::findings::{grouped, table};
use super::phrases::{capital, class, clause_words, heads, order, ranges_text, said, sentence};
use super::summary::{Cell, Scene, Section, Table, fact};
use crate::round::act::heads_in_order;
use crate::round::rulings::{self, Became};
use crate::rules::mixed;
use crate::rules::model::Class;
use crate::trade::register::KindIx;

/// The section, where there is anything to tell.
pub(super) fn section(scene: &Scene<'_>) -> Option<Section> {
    let mut section = Section::new("advisories", "Advisories");
    section.para(
        "advisories.lead",
        "Outside the adopted inspection, and told to the owner in writing. An inspection looks at condition; it is no \
         review of the design. These points are not counted as deficiencies.",
    );
    let before = section.blocks.len();
    section.table(register(scene));
    section.table(mixtures(scene));
    let found = scene.rows.iter().flat_map(|row| {
        row.recorded.iter().filter(|r| r.fate == Became::Open && is_advisory(r)).map(move |r| (row, r))
    });
    let groups = grouped(scene, found);
    if !groups.is_empty() {
        let mut seen = table(scene, "advisories.seen", "advisory", &groups);
        seen.caption = "Seen on the walk".to_owned();
        section.table(seen);
    }
    (section.blocks.len() > before).then_some(section)
}

fn register(scene: &Scene<'_>) -> Table {
    let labels = ["Kind", "Area", "Advisory", "Reason", "What to do", "Heads looked at"];
    let mut table =
        Table::new("advisories.register", "From the register, for kinds that were looked at in this round", 2, &labels);
    for advice in rulings::advice(scene.state) {
        let Some(rule) = scene.set().rule_at(advice.rule_ix) else { continue };
        let id = format!("advice.{}.{}.{}", advice.area, said(&advice.kind), rule.id);
        let class = match advice.class {
            None | Some(Class::Advisory) => String::new(),
            other => format!(", {}", class(other)),
        };
        let looked = if advice.looked_at == advice.heads {
            format!("all {} of this kind in the area", advice.heads)
        } else {
            format!(
                "{} of the {} of this kind in the area: {}",
                advice.looked_at,
                advice.heads,
                ranges_text(&advice.ranges)
            )
        };
        let text = format!("{} ({}; rule {})", said(&rule.because).trim_end_matches('.'), clause_words(rule), rule.id);
        table.row(vec![
            Cell::one(format!("{id}.kind"), said(&format!("{}: {}", advice.kind, advice.make_up))),
            Cell::one(format!("{id}.area"), scene.area(advice.area_ix)),
            Cell::one(format!("{id}.what"), format!("{} ({}{class})", said(&rule.title), order(rule.ruling))),
            Cell::one(format!("{id}.because"), sentence(&text)),
            Cell::one(format!("{id}.remedy"), sentence(&rule.remedy)),
            Cell::one(format!("{id}.heads"), looked),
        ]);
    }
    table
}

/// A compartment with its kinds and their numbers of heads.
type Room = BTreeMap<KindIx, usize>;

fn mixtures(scene: &Scene<'_>) -> Table {
    let register = scene.state.register();
    let mut rooms: BTreeMap<String, (String, Room)> = BTreeMap::new();
    for (number, area) in register.areas.iter().enumerate() {
        let area_ix = u16::try_from(number).unwrap_or(u16::MAX);
        // An area without a compartment is its own; the mark keeps it apart from a compartment of the same name.
        let (key, name) = match &area.compartment {
            Some(room) => (format!("compartment {room}"), format!("compartment {}", said(room))),
            None => (format!("area {}", area.id), scene.area(area_ix)),
        };
        let kinds = &mut rooms.entry(key).or_insert_with(|| (name, Room::new())).1;
        for head in heads_in_order(scene.state, area_ix) {
            if let Some(head) = scene.state.layout().head(head) {
                *kinds.entry(head.kind).or_default() += 1;
            }
        }
    }
    let counted = rooms.iter().flat_map(|(key, (_, kinds))| {
        kinds.iter().filter_map(|(kind, n)| Some((key.as_str(), register.kind(*kind)?, *n)))
    });
    let labels = ["Compartment", "Advisory", "What hangs there", "Reason", "What to do"];
    let mut table =
        Table::new("advisories.mixed", "Kinds of head mixed in one compartment, by the register", 1, &labels);
    for finding in mixed::check(scene.set(), counted) {
        let Some(rule) = scene.set().rule_at(finding.rule) else { continue };
        let id = format!("mixed.{}.{}", said(&finding.compartment), rule.id);
        let hangs = finding
            .kinds
            .iter()
            .map(|g| {
                let kinds: Vec<String> = g.kinds.iter().map(|k| said(k)).collect();
                fact(format!("{id}.{}", g.what), format!("{}: {} ({})", heads(g.count), g.what, kinds.join(", ")))
            })
            .collect();
        let name = rooms.get(&finding.compartment).map_or_else(String::new, |(name, _)| name.clone());
        let text =
            format!("{} ({}; rule {})", said(&finding.because).trim_end_matches('.'), clause_words(rule), rule.id);
        table.row(vec![
            Cell::one(format!("{id}.room"), capital(&name)),
            Cell::one(format!("{id}.what"), format!("{} ({})", said(&rule.title), order(rule.ruling))),
            Cell::lines(hangs),
            Cell::one(format!("{id}.because"), sentence(&text)),
            Cell::one(format!("{id}.remedy"), sentence(&rule.remedy)),
        ]);
    }
    table
}
