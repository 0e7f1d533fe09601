//! The duties of a set as things with fields: figures stand in fields of their own, so that a change of one is told alone.

use super::items::{Item, differ, yes};
use super::{About, Change};
use crate::rules::duties::{AgeRule, Basis, Limit, SampleReading, StockReading, Suits};
use crate::rules::model::RuleSet;
use crate::rules::spares::{SpareField, SpareRow};
use crate::trade::kind::Style;

/// Duties that differ.
pub(super) fn duties(from: &RuleSet, to: &RuleSet) -> Vec<Change> {
    differ(&duty_items(from), &duty_items(to))
}

fn duty_items(set: &RuleSet) -> Vec<Item> {
    let mut items = carried(set);
    for style in Style::ALL {
        if let Some(row) = set.clearances.iter().find(|c| c.styles.contains(style)) {
            let title = format!("clearance below the deflector, {style}");
            let item = Item::new(About::Clearance, style.as_str(), title).words("distance", row.distance);
            items.push(item.text("note", &row.note).clause(&row.clause, &row.source, row.confidence));
        }
    }
    for row in &set.classes {
        let item = Item::new(About::Class, row.class.as_str(), row.class.as_str());
        items.push(item.text("means", &row.duty.text).clause(&row.duty.clause, &row.duty.source, row.duty.confidence));
    }
    for row in &set.unreached {
        let item = Item::new(About::Unreached, &row.why, &row.why);
        let item = item.maybe("waived", yes(row.waived)).text("because", &row.because);
        items.push(item.clause(&row.clause, &row.source, row.confidence));
    }
    let lines = |list: &[String]| list.join("; ");
    items.push(
        Item::new(About::Impairment, "tell", "whom to tell of an impairment")
            .text("tell", &lines(&set.impairment.tell)),
    );
    items.push(
        Item::new(About::Impairment, "steps", "what to do in an impairment")
            .text("steps", &lines(&set.impairment.steps)),
    );
    for row in &set.impairment.clocks {
        let item = Item::new(About::Clock, &row.what, &row.what).words("within", row.within);
        items.push(item.clause(&row.clause, &row.source, row.confidence));
    }
    let mut numbers: Vec<(String, Vec<String>, Vec<&str>)> = Vec::new();
    for row in &set.recalled {
        // As the judge reads them: trimmed, capitals or not.
        let number = row.number.trim().to_uppercase();
        let made = row.made.map_or_else(|| "every year".to_owned(), |(a, b)| format!("{a}..{b}"));
        match numbers.iter_mut().find(|(n, ..)| *n == number) {
            Some((_, years, why)) => {
                years.push(made);
                why.push(&row.why);
            }
            None => numbers.push((number, vec![made], vec![&row.why])),
        }
    }
    for (number, years, why) in numbers {
        let item = Item::new(About::Recalled, &number, &number);
        items.push(item.list("made", years).text("why", &why.join("; ")));
    }
    for row in &set.retention {
        let item = Item::new(About::Retention, &row.text, &row.text);
        items.push(item.clause(&row.clause, &row.source, row.confidence));
    }
    items.extend(set.cautions.iter().map(|text| Item::new(About::Caution, text, text)));
    items
}

impl Item {
    fn basis(self, basis: &Basis) -> Self {
        self.clause(&basis.clause, &basis.source, basis.confidence)
    }
}

/// What a set carries besides rules and the duties of the walk.
fn carried(set: &RuleSet) -> Vec<Item> {
    let duties = &set.duties;
    let mut items: Vec<Item> = duties.ages.iter().map(|row| age(set, row)).collect();
    items.extend(duties.samples.iter().map(sample));
    items.extend(duties.sample_rules.iter().map(|row| {
        let item = Item::new(About::SampleRule, row.matter.as_str(), row.matter.as_str());
        item.maybe("refuse", yes(row.refuse))
            .maybe("condemns", yes(row.condemns))
            .maybe("class of late", row.late)
            .maybe("class of not opened", row.shut)
            .maybe("class of too fast", row.early)
            .maybe("mark of the classes", row.class_confidence)
            .text("text", &row.text)
            .basis(&row.basis)
    }));
    items.extend(duties.limits.iter().map(|row| limit(set, row)));
    items.extend(duties.stock.iter().map(stock));
    items.extend(duties.cabinet.iter().map(|row| {
        let item = Item::new(About::Cabinet, row.matter.as_str(), row.matter.as_str());
        item.maybe("at most", row.at_most).maybe("age", row.age).text("text", &row.text).basis(&row.basis)
    }));
    items.extend(duties.spares.iter().map(|row| spare(set, row)));
    items.extend(SpareField::ALL.iter().filter_map(|field| order(set, *field)));
    items.extend(duties.cleaning.iter().map(|row| {
        let item = Item::new(About::Cleaning, "cleaning", "how far cleaning may go");
        let item = item.text("may", &row.may.join(" ")).text("never", &row.never.join(" ")).text("limit", &row.limit);
        item.basis(&row.basis)
    }));
    items.extend(duties.suitability.iter().map(|row| {
        let item = Item::new(About::Suitability, "suitability", "which rating a ceiling calls for");
        let item = match &row.suits {
            Suits::Margin(kelvin) => item.words("margin", format!("{kelvin} K")),
            Suits::Table(steps) => steps.iter().fold(item, |item, step| {
                let least = step.rating.map_or_else(String::new, |r| format!(", rated {r} or more"));
                item.words(&format!("{}{least}", step.class), format!("up to {}", step.up_to))
            }),
        };
        item.text("because", &row.because).basis(&row.basis)
    }));
    items.extend(duties.visits.iter().map(|row| {
        let item = Item::new(About::Visit, &row.id, &row.id).words("every", row.every);
        let item = item.maybe("earliest", row.earliest).maybe("latest", row.latest);
        item.text("text", &row.text).basis(&row.basis)
    }));
    items
}

fn age(set: &RuleSet, row: &AgeRule) -> Item {
    let over = row.over.iter().filter_map(|at| set.duties.ages.get(*at)).map(|r| r.id.clone()).collect();
    Item::new(About::Age, &row.id, &row.title)
        .words("title", &row.title)
        .words("first", row.first)
        .maybe("then", row.then)
        .words("from", row.since)
        .words("act", row.act)
        .maybe("made", row.made)
        .conditions(set, &row.when.all, row.when.unless.as_ref())
        .list("over", over)
        .text("because", &row.because)
        .basis(&row.basis)
}

fn sample(row: &SampleReading) -> Item {
    let mut item = Item::new(About::Sample, &row.id, &row.title)
        .words("title", &row.title)
        .words("rules", yes(row.rules).unwrap_or("no"))
        .words("counts", row.counts)
        .words("hazard", row.hazard);
    for step in &row.steps {
        let size = match (step.least, step.percent > 0.0) {
            (least, false) => least.to_string(),
            (0, true) => format!("{} %", step.percent),
            (least, true) => format!("{least} or {} %, the greater", step.percent),
        };
        item = item.words(&format!("from {} heads", step.from), size);
    }
    item.maybe("ends at, heads", row.ends).text("because", &row.because).basis(&row.basis)
}

fn limit(set: &RuleSet, row: &Limit) -> Item {
    let over = row.over.iter().filter_map(|at| set.duties.limits.get(*at)).map(|r| r.id.clone()).collect();
    Item::new(About::Limit, &row.id, &row.title)
        .words("title", &row.title)
        .maybe("rti at least", row.rti_least)
        .maybe("rti at most", row.rti)
        .maybe("time always allowed", row.at_most)
        .maybe("waterway clear at", row.waterway)
        .maybe("oven", row.oven.map(|(from, to)| format!("{from} to {to}")))
        .maybe("air", row.air.map(|(from, to)| format!("{from} to {to}")))
        .maybe("start", row.start.map(|(from, to)| format!("{from} to {to}")))
        .maybe("clause of the method", row.method.as_ref().map(|m| &m.clause))
        .text("source of the method", row.method.as_ref().map_or("", |m| &m.source))
        .maybe("mark of the method", row.method.as_ref().map(|m| m.confidence))
        .conditions(set, &row.when.all, row.when.unless.as_ref())
        .list("over", over)
        .text("because", &row.because)
        .basis(&row.basis)
}

fn spare(set: &RuleSet, row: &SpareRow) -> Item {
    let list = |words: &[&str]| words.iter().map(|w| (*w).to_owned()).collect();
    Item::new(About::Spare, &row.id, row.difference())
        .words("field", row.field)
        .maybe("differs", row.differs)
        .list("from", list(&row.from))
        .list("to", list(&row.to))
        .conditions(set, &row.when.all, row.when.unless.as_ref())
        .words("verdict", row.verdict)
        .text("because", &row.because)
        .basis(&row.basis)
}

/// The order of the rows on a field: the first that applies speaks.
fn order(set: &RuleSet, field: SpareField) -> Option<Item> {
    let rows: Vec<&str> = set.duties.spares.iter().filter(|r| r.field == field).map(|r| r.id.as_str()).collect();
    let item = Item::new(About::Spare, format!("order of {field}"), format!("the order of the rows on {field}"));
    (!rows.is_empty()).then(|| item.words("rows", rows.join(", ")))
}

fn stock(row: &StockReading) -> Item {
    let mut item = Item::new(About::Stock, &row.id, &row.title)
        .words("title", &row.title)
        .words("rules", yes(row.rules).unwrap_or("no"))
        .words("counts", row.counts)
        .words("hazard", row.hazard);
    for step in &row.steps {
        item = item.words(&format!("from {} heads", step.from), step.hold);
    }
    item.words("of each kind", row.per_kind).text("because", &row.because).basis(&row.basis)
}
