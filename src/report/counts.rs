//! Counts: how many heads there are, how far the round came, and what was ruled; by area, by class and by kind.

use super::phrases::{capital, class};
use super::summary::{Cell, Scene, Section, Table};
use crate::round::act::heads_in_order;
use crate::round::state::{Counts, Status};
use crate::rules::model::{Class, Ruling};

/// The section.
pub(super) fn section(scene: &Scene<'_>) -> Section {
    let mut section = Section::new("counts", "Counts");
    section.para(
        "counts.lead",
        "Every head of the register is counted once. A head without a record has no ruling: absence of a finding says \
         nothing about it.",
    );
    section.table(progress(scene));
    section.table(rulings(scene));
    section.table(classes(scene));
    section.table(kinds(scene));
    section
}

fn number(id: String, n: usize) -> Cell {
    Cell::one(id, n.to_string())
}

fn areas<'s>(scene: &'s Scene<'_>) -> impl Iterator<Item = (String, String, Counts)> + 's {
    let all = std::iter::once(("all".to_owned(), "All areas".to_owned(), scene.state.counts()));
    (0..scene.state.register().areas.len())
        .map(|n| u16::try_from(n).unwrap_or(u16::MAX))
        .map(|n| (format!("area.{}", scene.area_id(n)), scene.area(n), scene.state.area_counts(n)))
        .chain(all)
}

fn progress(scene: &Scene<'_>) -> Table {
    let labels = ["Area", "#Heads", "#Judged", "#Not judged", "#Not reached", "#No record"];
    let mut table = Table::new("counts.progress", "Heads and how far the round came", 1, &labels);
    for (key, name, counts) in areas(scene) {
        let id = format!("counts.{key}");
        table.row(vec![
            Cell::one(format!("{id}.name"), name),
            number(format!("{id}.heads"), counts.heads),
            number(format!("{id}.seen"), counts.seen),
            number(format!("{id}.unsure"), counts.unsure),
            number(format!("{id}.unreached"), counts.unreached),
            number(format!("{id}.unseen"), counts.unseen),
        ]);
    }
    table
}

fn rulings(scene: &Scene<'_>) -> Table {
    let labels = ["Area", "#Replace", "#Test", "#Correct", "#Clean", "#Look", "#Watch", "#Keep", "#Advisory"];
    let caption = "Heads by the strongest ruling that is open; those with nothing but advisories apart";
    let mut table = Table::new("counts.rulings", caption, 1, &labels);
    for (key, name, counts) in areas(scene) {
        let id = format!("counts.{key}.ruling");
        let mut cells = vec![Cell::one(format!("{id}.name"), name)];
        cells.extend(Ruling::ALL.iter().rev().map(|r| number(format!("{id}.{r}"), counts.ruled(*r))));
        cells.push(number(format!("{id}.advisory"), counts.advisory));
        table.row(cells);
    }
    table
}

fn classes(scene: &Scene<'_>) -> Table {
    let mut table = Table::new("counts.classes", "Heads by the weightiest class that is open", 1, &["Class", "#Heads"]);
    for one in Class::ALL.iter().rev() {
        let n = scene.rows.iter().filter(|r| r.class == Some(*one)).count();
        let id = format!("counts.class.{one}");
        table.row(vec![Cell::one(format!("{id}.name"), capital(class(Some(*one)))), number(format!("{id}.heads"), n)]);
    }
    table
}

fn kinds(scene: &Scene<'_>) -> Table {
    let labels = ["Kind", "Heads", "Made", "Number"];
    let mut table = Table::new("counts.kinds", "Heads by kind", 1, &labels);
    let mut counts = vec![(0_usize, 0_usize); scene.state.register().kinds.len()];
    for area in 0..scene.state.register().areas.len() {
        for head in heads_in_order(scene.state, u16::try_from(area).unwrap_or(u16::MAX)) {
            let kind = scene.state.layout().head(head).map(|h| usize::from(h.kind.0));
            if let Some((heads, judged)) = kind.and_then(|k| counts.get_mut(k)) {
                *heads += 1;
                *judged += usize::from(scene.state.status(head) == Status::Seen);
            }
        }
    }
    for ((n, kind), (heads, judged)) in scene.state.register().kinds.iter().enumerate().zip(counts) {
        if heads == 0 {
            continue;
        }
        let id = format!("counts.kind.{}", kind.id);
        let ix = crate::trade::register::KindIx(u16::try_from(n).unwrap_or(u16::MAX));
        table.row(vec![
            Cell::one(format!("{id}.name"), scene.kind(ix)),
            Cell::one(format!("{id}.heads"), format!("{heads}, of which {judged} looked at and judged")),
            Cell::one(format!("{id}.made"), kind.made.map_or_else(String::new, |m| m.to_string())),
            Cell::one(format!("{id}.number"), kind.number.as_deref().map_or_else(String::new, super::phrases::said)),
        ]);
    }
    table
}

#[cfg(test)]
mod tests {
    use super::super::phrases::order;
    use crate::rules::model::Ruling;

    #[test]
    fn the_columns_of_the_table_of_rulings_are_the_rulings_strongest_first() {
        let words: Vec<&str> = Ruling::ALL.iter().rev().map(|r| order(*r)).collect();
        assert_eq!(words, ["replace", "test", "correct", "clean", "look closely", "watch", "keep"]);
    }
}
