//! What a set carries beside its rules, one line a duty: the figures in words, the clause, the mark.

use std::fmt::Write as _;

use serde::Serialize;

use super::duties::{
    Act, AgeRule, Basis, Counts, Hazard, Limit, SampleMatter, SampleReading, SampleRule, Since, StockReading, Suits,
};
use super::explain::asked;
use super::model::{Cond, Confidence, RuleSet};
use super::spares::SpareRow;

/// One duty as a row.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct DutyRow {
    /// Its section in the rule file.
    pub section: &'static str,
    /// Its word, or what it is about; empty where the section has one duty only.
    pub word: String,
    /// What it says, figures in their units.
    pub says: String,
    /// The clause.
    pub clause: String,
    /// How far it can be relied on.
    pub confidence: Confidence,
}

fn row(section: &'static str, word: impl Into<String>, says: String, basis: &Basis) -> DutyRow {
    DutyRow { section, word: word.into(), says, clause: basis.clause.clone(), confidence: basis.confidence }
}

/// An age in words: `25 years in service, then every 10 years: test a sample or replace`.
#[must_use]
pub fn age_words(age: &AgeRule) -> String {
    let from = match age.since {
        Since::Service => "in service",
        Since::Made => "from the year made",
    };
    let when = if age.first.months() == 0 { "at once".to_owned() } else { format!("{} {from}", age.first) };
    let then = age.then.map(|t| format!(", then every {t}")).unwrap_or_default();
    let act = match age.act {
        Act::Test => "test a sample or replace",
        Act::Replace => "replace",
    };
    format!("{}: {when}{then}: {act}", age.title)
}

const fn of(counts: Counts, hazard: Hazard) -> (&'static str, &'static str) {
    let counted = match counts {
        Counts::Lot => "of the heads that the sample stands for",
        Counts::Site => "of all heads installed",
        Counts::Kind => "of each kind by itself",
    };
    let hazard = match hazard {
        Hazard::Any => "",
        Hazard::Light => ", light hazard",
        Hazard::Ordinary => ", ordinary hazard",
        Hazard::High => ", high hazard",
    };
    (counted, hazard)
}

/// A reading of the sample size in words.
#[must_use]
pub fn sample_words(reading: &SampleReading) -> String {
    let steps: Vec<String> = reading
        .steps
        .iter()
        .map(|s| {
            let size = match (s.least, s.percent > 0.0) {
                (least, false) => format!("{least}"),
                (0, true) => format!("{} %", s.percent),
                (least, true) => format!("{least} or {} %, the greater", s.percent),
            };
            if s.from > 1 { format!("from {}: {size}", s.from) } else { size }
        })
        .collect();
    let (counted, hazard) = of(reading.counts, reading.hazard);
    let ends = reading.ends.map_or_else(String::new, |n| format!("; the table ends at {n}"));
    format!("{}{hazard}: {} {counted}{ends}", reading.title, steps.join("; "))
}

/// A reading of the spare stock in words.
#[must_use]
pub fn stock_words(reading: &StockReading) -> String {
    let steps: Vec<String> = reading
        .steps
        .iter()
        .map(|s| if s.from > 1 { format!("from {}: {}", s.from, s.hold) } else { s.hold.to_string() })
        .collect();
    let (counted, hazard) = of(reading.counts, reading.hazard);
    let each =
        if reading.per_kind > 0 { format!("; at least {} of each kind", reading.per_kind) } else { String::new() };
    format!("{}{hazard}: {} {counted}{each}", reading.title, steps.join("; "))
}

/// A row on spares in words: `rating, of a lower class, where ceiling higher or much-higher: ask`.
fn spare_words(set: &RuleSet, row: &SpareRow) -> String {
    let said = |cond: &Cond| {
        let fields = asked(set, cond).into_iter().map(|a| format!("{} {}", a.field, a.values.join(" or ")));
        fields.collect::<Vec<_>>().join(" and ")
    };
    let mut words = row.difference();
    if row.when.all != Cond::NOTHING {
        let _ = write!(words, ", where {}", said(&row.when.all));
    }
    if let Some(unless) = &row.when.unless {
        let _ = write!(words, ", but not where {}", said(unless));
    }
    format!("{words}: {}", row.verdict)
}

/// What follows from a failure, beside the rule's own text; empty for any other rule. `late critical, not opened impairment`.
#[must_use]
pub fn failure_words(rule: &SampleRule) -> String {
    let classes: Vec<String> = [("late", rule.late), ("not opened", rule.shut), ("too fast", rule.early)]
        .into_iter()
        .filter_map(|(how, class)| class.map(|class| format!("{how} {class}")))
        .collect();
    let mut words = String::new();
    if rule.matter == SampleMatter::Failure && !rule.condemns {
        words.push_str(" One failure condemns nothing by itself.");
    }
    if !classes.is_empty() {
        let mark = rule.class_confidence.map(|mark| format!(" ({mark})")).unwrap_or_default();
        let _ = write!(words, " Classes{mark}: {}.", classes.join(", "));
    }
    words
}

/// What the index may be: `80 (m.s)^0.5 to 350 (m.s)^0.5`; `None`: the limit names no figure.
#[must_use]
pub fn index_words(limit: &Limit) -> Option<String> {
    match (limit.rti_least, limit.rti) {
        (Some(least), Some(most)) => Some(format!("{least} to {most}")),
        (None, Some(most)) => Some(format!("at most {most}")),
        (Some(least), None) => Some(format!("at least {least}")),
        (None, None) => None,
    }
}

/// The time that is always allowed: `180 s, or longer where the index allows it`; `None`: the index alone.
#[must_use]
pub fn time_words(limit: &Limit) -> Option<String> {
    let longer = if limit.rti.is_some() { ", or longer where the index allows it" } else { "" };
    limit.at_most.map(|time| format!("{time}{longer}"))
}

/// The conditions under which the test counts: `oven 129 C to 432 C, air 1.65 m/s to 2.6 m/s`; `None`: the limit names none.
#[must_use]
pub fn method_words(limit: &Limit) -> Option<String> {
    let ranges: Vec<String> = [
        limit.oven.map(|(from, to)| format!("oven {from} to {to}")),
        limit.air.map(|(from, to)| format!("air {from} to {to}")),
        limit.start.map(|(from, to)| format!("start {from} to {to}")),
    ]
    .into_iter()
    .flatten()
    .collect();
    (!ranges.is_empty()).then(|| ranges.join(", "))
}

fn limit_words(limit: &Limit) -> String {
    let index = index_words(limit).unwrap_or_else(|| "no figure for the response".to_owned());
    let time = time_words(limit).map(|time| format!(", within {time}")).unwrap_or_default();
    let water = limit.waterway.map(|p| format!(", waterway clear at {p}")).unwrap_or_default();
    let mark = limit.method.as_ref().map(|m| format!(" ({})", m.confidence)).unwrap_or_default();
    let method = method_words(limit).map(|method| format!("; {method}{mark}")).unwrap_or_default();
    format!("{}: {index}{time}{water}{method}", limit.title)
}

const fn ruling_one(rules: bool) -> &'static str {
    if rules { " (this reading rules)" } else { "" }
}

/// Every duty of the set beside rules, in the order of the file's sections.
#[must_use]
pub fn duty_rows(set: &RuleSet) -> Vec<DutyRow> {
    let duties = &set.duties;
    let mut rows = Vec::new();
    for age in &duties.ages {
        rows.push(row("ages", &age.id, age_words(age), &age.basis));
    }
    for it in &duties.samples {
        rows.push(row("samples", &it.id, sample_words(it) + ruling_one(it.rules), &it.basis));
    }
    for it in &duties.sample_rules {
        rows.push(row("sample_rules", it.matter.as_str(), format!("{}{}", it.text, failure_words(it)), &it.basis));
    }
    for it in &duties.limits {
        rows.push(row("limits", &it.id, limit_words(it), &it.basis));
    }
    for it in &duties.stock {
        rows.push(row("stock", &it.id, stock_words(it) + ruling_one(it.rules), &it.basis));
    }
    for it in &duties.cabinet {
        let most = it.at_most.map(|t| format!("at most {t}: ")).unwrap_or_default();
        let age = it.age.map(|a| format!("{a}: ")).unwrap_or_default();
        rows.push(row("cabinet", it.matter.as_str(), format!("{most}{age}{}", it.text), &it.basis));
    }
    for it in &duties.spares {
        rows.push(row("spares", &it.id, spare_words(set, it), &it.basis));
    }
    if let Some(it) = &duties.cleaning {
        let may = format!("allowed: {}", it.may.join(" "));
        let never = format!("never: {}", it.never.join(" "));
        rows.push(row("cleaning", "", format!("{may} {never} {}", it.limit), &it.basis));
    }
    if let Some(it) = &duties.suitability {
        let how = match &it.suits {
            Suits::Margin(kelvin) => format!("rating at least {kelvin} K above the ceiling's highest temperature"),
            Suits::Table(steps) => {
                let steps: Vec<String> = steps.iter().map(|s| format!("up to {}: {}", s.up_to, s.class)).collect();
                steps.join("; ")
            }
        };
        rows.push(row("suitability", "", how, &it.basis));
    }
    for it in &duties.visits {
        let window = match (it.earliest, it.latest) {
            (Some(a), Some(b)) => format!(", {a} to {b} after the last"),
            (None, Some(b)) => format!(", at the latest {b} after the last"),
            (Some(a), None) => format!(", at the earliest {a} after the last"),
            (None, None) => String::new(),
        };
        rows.push(row("visits", &it.id, format!("{} Every {}{window}.", it.text, it.every), &it.basis));
    }
    for it in &set.retention {
        rows.push(DutyRow {
            section: "retention",
            word: String::new(),
            says: it.text.clone(),
            clause: it.clause.clone(),
            confidence: it.confidence,
        });
    }
    rows
}

/// Headings of the sections for people.
const HEADINGS: [(&str, &str); 11] = [
    ("ages", "Ages"),
    ("samples", "Sample size"),
    ("sample_rules", "Samples"),
    ("limits", "Limits of the operating test"),
    ("stock", "Spare heads"),
    ("cabinet", "Cabinet"),
    ("spares", "Which spare fits which head (the first row that applies speaks)"),
    ("cleaning", "Cleaning"),
    ("suitability", "Rating and ceiling"),
    ("visits", "Visits"),
    ("retention", "Records"),
];

/// The duties as text, a heading a section, wrapped to 100 columns.
#[must_use]
pub fn duties_text(rows: &[DutyRow]) -> String {
    let mut text = String::new();
    for (section, heading) in HEADINGS {
        let of_section: Vec<&DutyRow> = rows.iter().filter(|r| r.section == section).collect();
        if of_section.is_empty() {
            continue;
        }
        let _ = writeln!(text, "\n{heading}");
        for it in of_section {
            let word = if it.word.is_empty() { String::new() } else { format!("{}: ", it.word) };
            let line = format!("{word}{} [{}, {}]", it.says, it.clause, it.confidence);
            super::explain::wrap(&mut text, &line, "  - ", "    ", 100);
        }
    }
    text
}
