//! The check of the rows on spares: every field has a row that always speaks, no row is dead, every case comes out.

use super::facts::{Facts, Field, setting_bit};
use super::fit;
use super::load::MOST_COMPLAINTS;
use super::load_rows::Row;
use super::model::{Cond, bit16};
use super::spares::{Differs, NO_COATING, SpareCase, SpareField, SpareRow, UNLISTED};
use crate::diag::Diagnostic;
use crate::trade::class::Class;
use crate::trade::register::Setting;

/// How many heads with a spare are told apart for one field.
const MOST_PAIRS: usize = 50_000;

/// Checks the rows; inherited cases are read by the set as it stands now. A set without rows has nothing to be checked.
pub(crate) fn report(rows: &mut [Row<SpareRow>], out: &mut Vec<Diagnostic>) {
    let Some(first) = rows.first() else { return };
    let before = out.len();
    for field in SpareField::ALL {
        if out.len() >= MOST_COMPLAINTS {
            return;
        }
        let of_field: Vec<&Row<SpareRow>> = rows.iter().filter(|r| r.it.field == *field).collect();
        if !of_field.iter().any(|r| r.it.always()) {
            let near = of_field.last().unwrap_or(&first);
            let message = format!("no row speaks of every spare that differs in '{field}'");
            out.push(Diagnostic::error("no-fallback", &near.source, near.span.clone(), message).help(
                "add a last row for the field without 'differs', 'from', 'to', 'when' and 'unless'; 'verdict: ask' invents no equivalent",
            ));
        }
        dead(*field, &of_field, out);
    }
    if out.len() == before {
        cases(rows, out);
    }
}

/// Heads and spares that the rows of a field tell apart.
struct Pairs {
    facts: Vec<Facts>,
    field: SpareField,
}

impl Pairs {
    /// `None`, with their number, where there are too many.
    fn of(field: SpareField, rows: &[&Row<SpareRow>]) -> Result<Self, usize> {
        let conds: Vec<&Cond> =
            rows.iter().flat_map(|r| std::iter::once(&r.it.when.all).chain(&r.it.when.unless)).collect();
        let own = own_field(field);
        let settings: Vec<u16> = told_apart(Setting::ALL.iter().map(|s| setting_bit(*s)), |bit| {
            conds.iter().map(|c| c.setting & bit != 0).collect()
        })
        .into_iter()
        .filter(|bit| conds.iter().any(|c| c.setting & bit != 0))
        .collect();
        let axes: Vec<(Field, Vec<u8>)> = Field::ALL
            .iter()
            .map(|f| {
                let all = 0..u8::try_from(f.words().len()).unwrap_or(u8::MAX);
                let values = match own {
                    Some(own) if own == *f => all.collect(),
                    // A length is a dry head's.
                    None if field == SpareField::Length && *f == Field::Dry => vec![1],
                    _ => told_apart(all, |v| conds.iter().map(|c| c.field(*f) & bit16(*v) != 0).collect()),
                };
                (*f, values)
            })
            .collect();
        let wide = settings.len().min(16);
        let cells = axes.iter().fold(1usize << wide, |n, (_, values)| n.saturating_mul(values.len().max(1)));
        let pairs = cells.saturating_mul(field.words().len().max(field.relations().len()));
        if pairs > MOST_PAIRS {
            return Err(pairs);
        }
        let mut facts = vec![Facts::plain()];
        for (f, values) in &axes {
            facts = facts.iter().flat_map(|it| values.iter().map(|v| with(*it, *f, *v))).collect();
        }
        for bit in settings {
            let there: Vec<Facts> = facts
                .iter()
                .map(|it| {
                    let mut it = *it;
                    it.add_settings(bit);
                    it
                })
                .collect();
            facts.extend(there);
        }
        Ok(Self { facts, field })
    }

    /// Every difference that a spare can have from a head with these facts, with the words of both.
    fn differences(&self, facts: &Facts) -> Vec<(Differs, &'static str, &'static str)> {
        let words = self.field.words();
        let Some(own) = own_field(self.field) else {
            return self.field.relations().iter().map(|d| (*d, "", "")).collect();
        };
        let value = own.words().get(usize::from(facts.get(own))).copied().unwrap_or_default();
        let from = match self.field {
            SpareField::Coating if !words.contains(&value) => NO_COATING,
            // What a coated head looks like is its coating's.
            SpareField::Finish if !words.contains(&value) => return Vec::new(),
            _ => value,
        };
        words.into_iter().filter_map(|to| Some((relation(self.field, from, to)?, from, to))).collect()
    }
}

fn with(mut facts: Facts, field: Field, value: u8) -> Facts {
    facts.set(field, value);
    facts
}

/// One of each set of values between which no condition tells.
fn told_apart<T>(values: impl Iterator<Item = T>, asked: impl Fn(&T) -> Vec<bool>) -> Vec<T> {
    let mut known: Vec<Vec<bool>> = Vec::new();
    values
        .filter(|value| {
            let answers = asked(value);
            let new = !known.contains(&answers);
            if new {
                known.push(answers);
            }
            new
        })
        .collect()
}

/// The fact of the head that the field compares.
const fn own_field(field: SpareField) -> Option<Field> {
    match field {
        SpareField::Orientation => Some(Field::Orientation),
        SpareField::Style => Some(Field::Style),
        SpareField::Mount => Some(Field::Mount),
        SpareField::Response => Some(Field::Response),
        SpareField::Rating => Some(Field::Temperature),
        SpareField::Coating | SpareField::Finish => Some(Field::Finish),
        SpareField::Dry => Some(Field::Dry),
        SpareField::K | SpareField::Thread | SpareField::Length => None,
    }
}

/// How a spare of one word stands to a head of another; `None`: it does not differ.
fn relation(field: SpareField, from: &str, to: &str) -> Option<Differs> {
    match field {
        SpareField::Rating => {
            let class = |word: &str| if word == UNLISTED { None } else { Class::parse(word).ok() };
            Some(fit::rating(class(from), class(to)))
        }
        _ if from == to => None,
        SpareField::Coating if to == NO_COATING => Some(Differs::Lost),
        SpareField::Coating if from == NO_COATING => Some(Differs::Gained),
        _ => Some(Differs::Other),
    }
}

/// Whether two lists of rows on one field let the same rows speak, by position, of every head and spare.
#[cfg(test)]
pub(crate) fn speak_alike(field: SpareField, one: &[&Row<SpareRow>], other: &[&Row<SpareRow>]) -> bool {
    let both: Vec<&Row<SpareRow>> = one.iter().chain(other).copied().collect();
    let Ok(pairs) = Pairs::of(field, &both) else { return false };
    let first = |rows: &[&Row<SpareRow>], facts: &Facts, (differs, from, to): (Differs, &str, &str)| {
        rows.iter().position(|r| r.it.when.holds(facts) && r.it.meets(differs, from, to))
    };
    let alike =
        |facts: &Facts| pairs.differences(facts).into_iter().all(|d| first(one, facts, d) == first(other, facts, d));
    pairs.facts.iter().all(alike)
}

/// Complains about rows that never speak.
fn dead(field: SpareField, rows: &[&Row<SpareRow>], out: &mut Vec<Diagnostic>) {
    let Some(first) = rows.first() else { return };
    let pairs = match Pairs::of(field, rows) {
        Ok(pairs) => pairs,
        Err(pairs) => {
            let message = format!("the rows on '{field}' tell {pairs} heads with a spare apart, too many to check");
            out.push(
                Diagnostic::error("too-many-combinations", &first.source, first.span.clone(), message)
                    .help("let the rows ask about fewer things"),
            );
            return;
        }
    };
    let mut speaks = vec![false; rows.len()];
    // For each row, an earlier one that speaks where it would.
    let mut before: Vec<Option<usize>> = vec![None; rows.len()];
    for facts in &pairs.facts {
        let hold: Vec<bool> = rows.iter().map(|r| r.it.when.holds(facts)).collect();
        for (differs, from, to) in pairs.differences(facts) {
            let mut taken = None;
            let slots = rows.iter().zip(&hold).zip(speaks.iter_mut().zip(&mut before)).enumerate();
            for (at, ((row, holds), (speaks, before))) in slots {
                if !holds || !row.it.meets(differs, from, to) {
                    continue;
                }
                match taken {
                    None => {
                        taken = Some(at);
                        *speaks = true;
                    }
                    Some(_) => *before = before.or(taken),
                }
            }
        }
    }
    for ((row, speaks), before) in rows.iter().zip(speaks).zip(before) {
        if speaks || out.len() >= MOST_COMPLAINTS {
            continue;
        }
        let (code, message, help) = match before.and_then(|at| rows.get(at)) {
            None => (
                "dead-rule",
                format!("what '{}' asks for never comes together", row.it.id),
                "widen its conditions, or take the row out",
            ),
            Some(above) => (
                "shadowed-rule",
                format!(
                    "the row '{}' never speaks: where it applies, rows before it do, such as '{}'",
                    row.it.id, above.it.id
                ),
                "put it before the other, narrow the other, or take one of them out ('drop_rows' for an inherited one)",
            ),
        };
        out.push(Diagnostic::error(code, &row.source, row.span.clone(), message).help(help));
    }
}

/// Whether the row at a position speaks in a case.
fn speaks(all: &[SpareRow], at: usize, case: &SpareCase) -> bool {
    let Some(row) = all.get(at) else { return false };
    let said = fit::speaking(all, &case.facts, &case.head, &case.spare, row.field);
    said.and_then(|(_, said)| said).is_some_and(|said| std::ptr::eq(said, row))
}

/// Runs the cases.
fn cases(rows: &mut [Row<SpareRow>], out: &mut Vec<Diagnostic>) {
    // Cases stay where they are: there are many, and no row is told by them.
    let own: Vec<Vec<SpareCase>> = rows.iter_mut().map(|r| std::mem::take(&mut r.it.cases)).collect();
    let all: Vec<SpareRow> = rows.iter().map(|r| r.it.clone()).collect();
    rows.iter_mut().zip(own).for_each(|(row, cases)| row.it.cases = cases);
    for (at, row) in rows.iter_mut().enumerate() {
        if !row.own {
            let mut kept = std::mem::take(&mut row.it.cases);
            kept.retain_mut(|case| {
                case.says = fit::verdict(&all, &case.facts, &case.head, &case.spare);
                speaks(&all, at, case) == case.holds
            });
            row.it.cases = kept;
            continue;
        }
        for (holds, code, what) in [
            (true, "no-case", "no case in which it speaks"),
            (false, "no-near-miss", "no near miss, in which it does not speak"),
        ] {
            // A row that always speaks has no near miss of its own.
            if (holds || !row.it.always()) && !row.it.cases.iter().any(|c| c.holds == holds) {
                let message = format!("the row '{}' has {what}", row.it.id);
                let example = if holds { "'says: never'" } else { "'instead: may'" };
                out.push(
                    Diagnostic::error(code, &row.source, row.span.clone(), message)
                        .help(format!("add one under 'cases:', ending in {example}")),
                );
            }
        }
        for (case, span) in row.it.cases.iter().zip(&row.cases) {
            if out.len() >= MOST_COMPLAINTS {
                return;
            }
            let says = fit::verdict(&all, &case.facts, &case.head, &case.spare);
            let why = if speaks(&all, at, case) != case.holds {
                if case.holds {
                    "the row does not speak".to_owned()
                } else {
                    "it is meant as a near miss, and the row speaks".to_owned()
                }
            } else if says != case.says {
                format!("the set says '{says}' of the pair, not '{}'", case.says)
            } else {
                continue;
            };
            let message = format!("a case of '{}' does not come out: {why}", row.it.id);
            out.push(
                Diagnostic::error("case-fails", &row.source, span.clone(), message)
                    .help("change the row, or the case if it expects the wrong thing"),
            );
        }
    }
}
