//! The check of a set's rows: every head has an age and exactly one limit, no row is dead, exactly one reading rules,
//! every age's cases come out.

use std::sync::Arc;

use super::age;
use super::duties::{AgeRule, Hazard, Where};
use super::facts::Facts;
use super::lint_spares;
use super::load::MOST_COMPLAINTS;
use super::load_rows::{Row, Rows};
use super::model::{Confidence, ExtentIx, PartIx, Rule, RuleIx, Ruling, Seen, Sign, SignIx, When};
use super::table::{Deciders, Fault, Spot, build_for};
use crate::diag::{Diagnostic, Source};

/// Checks all rows; inherited cases of ages are read by the set as it stands now.
pub(crate) fn report(rows: &mut Rows, out: &mut Vec<Diagnostic>) {
    if out.len() >= MOST_COMPLAINTS {
        return;
    }
    // A row for certain years made covers nothing by itself: another must speak for the other years.
    let every_year = |r: &&Row<AgeRule>| r.it.made.is_none();
    let ages: Vec<Term<'_>> = terms(&rows.ages, every_year, |r| &r.when, |r| &r.over, |r| &r.id);
    let before = out.len();
    check("age", &ages, Deciders::Some, out);
    let ages_fine = out.len() == before;
    let limits: Vec<Term<'_>> = terms(&rows.limits, |_| true, |r| &r.when, |r| &r.over, |r| &r.id);
    check("limit", &limits, Deciders::One, out);
    let samples = rows.samples.iter().map(|r| (r.it.rules, r.it.hazard, &r.source, &r.span));
    one_rules("the sample size", samples.collect(), out);
    let stock = rows.stock.iter().map(|r| (r.it.rules, r.it.hazard, &r.source, &r.span));
    one_rules("the spare stock", stock.collect(), out);
    if ages_fine {
        age_cases(&mut rows.ages, out);
    }
    lint_spares::report(&mut rows.spares, out);
}

/// A row as the check sees it.
struct Term<'a> {
    id: &'a str,
    when: &'a Where,
    over: Vec<usize>,
    source: &'a Arc<Source>,
    span: std::ops::Range<usize>,
}

fn terms<'a, T>(
    rows: &'a [Row<T>],
    take: impl Fn(&&'a Row<T>) -> bool,
    when: fn(&T) -> &Where,
    over: fn(&T) -> &Vec<usize>,
    id: fn(&T) -> &String,
) -> Vec<Term<'a>> {
    let kept: Vec<(usize, &Row<T>)> = rows.iter().enumerate().filter(|(_, r)| take(r)).collect();
    let place = |at: &usize| kept.iter().position(|(i, _)| i == at);
    kept.iter()
        .map(|(_, row)| Term {
            id: id(&row.it),
            when: when(&row.it),
            over: over(&row.it).iter().filter_map(place).collect(),
            source: &row.source,
            span: row.span.clone(),
        })
        .collect()
}

/// A sign with one part and one extent, so that rows are told apart by make-up and surroundings alone.
fn only_sign() -> Sign {
    Sign {
        id: String::new(),
        name: String::new(),
        key: None,
        hint: String::new(),
        parts: vec![PartIx(0)],
        extents: vec![ExtentIx(0)],
        extent_hints: Vec::new(),
        ask_applied: false,
        asks_clearance: false,
        standing: true,
        seen: Seen::Register,
        otherwise_keep: false,
    }
}

fn as_rule(term: &Term<'_>) -> Rule {
    let over = term.over.iter().filter_map(|at| u16::try_from(*at).ok()).map(RuleIx).collect();
    let when =
        When { signs: vec![SignIx(0)], any_sign: false, all: term.when.all.clone(), unless: term.when.unless.clone() };
    Rule {
        id: String::new(),
        title: String::new(),
        when,
        ruling: Ruling::Keep,
        class: None,
        clause: String::new(),
        source: String::new(),
        confidence: Confidence::Practice,
        class_confidence: None,
        because: String::new(),
        remedy: String::new(),
        never: None,
        contested: None,
        also: false,
        over,
        cases: Vec::new(),
    }
}

fn check(what: &str, terms: &[Term<'_>], deciders: Deciders, out: &mut Vec<Diagnostic>) {
    let Some(first) = terms.first() else { return };
    let rules: Vec<Rule> = terms.iter().map(as_rule).collect();
    let (_, faults) = build_for(&[only_sign()], &rules, deciders);
    for fault in faults {
        if out.len() >= MOST_COMPLAINTS {
            return;
        }
        out.extend(told(what, terms, first, &fault));
    }
}

fn told(what: &str, terms: &[Term<'_>], first: &Term<'_>, fault: &Fault) -> Option<Diagnostic> {
    let at = |ix: &RuleIx| terms.get(usize::from(ix.0));
    let error =
        |code, term: &Term<'_>, message: String| Diagnostic::error(code, term.source, term.span.clone(), message);
    Some(match fault {
        Fault::Undecided { first: spot, count } => {
            let more = if *count > 1 { format!(", and {} more combinations", count - 1) } else { String::new() };
            error("undecided", first, format!("no {what} is given for {}{more}", head(spot))).help(format!(
                "add a row under '{what}s:' that holds there, or widen one; a row without 'when' holds everywhere"
            ))
        }
        Fault::Contradiction { one, other, first: spot } | Fault::Twice { one, other, first: spot } => {
            let (a, b) = (at(one)?, at(other)?);
            error(
                "decided-twice",
                b,
                format!("the rows '{}' and '{}' both give the {what} of {}", a.id, b.id, head(spot)),
            )
            .help(format!("make their conditions disjoint, or write 'over: [{}]' in '{}'", a.id, b.id))
        }
        Fault::Never { rule } => {
            let term = at(rule)?;
            error("dead-rule", term, format!("the conditions of '{}' never hold together", term.id))
                .help("widen its conditions, or take the row out")
        }
        Fault::Shadowed { rule, by } => {
            let (term, above) = (at(rule)?, at(by)?);
            error(
                "shadowed-rule",
                term,
                format!("the row '{}' never speaks: where it holds, rows over it do, such as '{}'", term.id, above.id),
            )
            .help("narrow the other row, or take this one out")
        }
        Fault::Idle { rule, over } => {
            let (term, below) = (at(rule)?, at(over)?);
            error(
                "idle-over",
                term,
                format!("the row '{}' is over '{}', and the two never hold together", term.id, below.id),
            )
            .help("take it from 'over'")
        }
        Fault::TooWide { cells, .. } => error(
            "too-many-combinations",
            first,
            format!("the {what}s tell {cells} combinations apart, too many to check"),
        )
        .help("let the rows ask about fewer fields"),
    })
}

fn head(spot: &Spot) -> String {
    let mut words: Vec<String> = spot
        .told
        .iter()
        .map(|f| {
            let value = f.words().get(usize::from(spot.facts.get(*f))).copied().unwrap_or("?");
            format!("{} {value}", f.as_str())
        })
        .collect();
    words.extend(spot.facts.words().into_iter().filter(|w| w.starts_with("setting ")));
    if words.is_empty() { "any head".to_owned() } else { format!("a head of {}", words.join(", ")) }
}

/// For every hazard exactly one reading rules; where there are no readings, nothing is asked.
fn one_rules(
    what: &str,
    readings: Vec<(bool, Hazard, &Arc<Source>, &std::ops::Range<usize>)>,
    out: &mut Vec<Diagnostic>,
) {
    let Some((_, _, source, span)) = readings.first().copied() else { return };
    for hazard in [Hazard::Light, Hazard::Ordinary, Hazard::High] {
        let ruling: Vec<_> =
            readings.iter().filter(|(rules, of, ..)| *rules && (*of == hazard || *of == Hazard::Any)).collect();
        let (source, span) = ruling.last().map_or((source, span), |(_, _, source, span)| (*source, *span));
        if ruling.len() != 1 {
            let message = match ruling.len() {
                0 => format!("no reading of {what} rules for {hazard} hazard"),
                n => format!("{n} readings of {what} rule for {hazard} hazard"),
            };
            out.push(
                Diagnostic::error("readings", source, span.clone(), message)
                    .help("set 'rules: true' on exactly one, and 'false' on the others"),
            );
            return;
        }
    }
}

/// Runs the cases of ages.
fn age_cases(rows: &mut [Row<AgeRule>], out: &mut Vec<Diagnostic>) {
    let all: Vec<AgeRule> = rows.iter().map(|r| r.it.clone()).collect();
    let asked = |facts: &Facts, made| age::first(&all, facts, made);
    for (at, row) in rows.iter_mut().enumerate() {
        if !row.own {
            row.it.cases.retain_mut(|case| {
                let speaks = age::among(&all, &case.facts, case.made).contains(&at);
                case.first = asked(&case.facts, case.made).unwrap_or(case.first);
                speaks == case.holds
            });
            continue;
        }
        for (holds, code, what) in [
            (true, "no-case", "no case in which it holds"),
            (false, "no-near-miss", "no near miss, in which it does not hold"),
        ] {
            // A row for every head has no near miss.
            if (holds || row.it.when.asks() || row.it.made.is_some()) && !row.it.cases.iter().any(|c| c.holds == holds)
            {
                let message = format!("the age '{}' has {what}", row.it.id);
                let example = if holds { "'then: 25 years'" } else { "'instead: 50 years'" };
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
            let speaks = age::among(&all, &case.facts, case.made).contains(&at);
            let first = asked(&case.facts, case.made);
            let why = if speaks != case.holds {
                if case.holds {
                    "the row does not speak".to_owned()
                } else {
                    "it is meant as a near miss, and the row speaks".to_owned()
                }
            } else if first != Some(case.first) {
                let asks = first.map_or_else(|| "nothing".to_owned(), |f| f.to_string());
                format!("the set asks {asks} first, not {}", case.first)
            } else {
                continue;
            };
            out.push(
                Diagnostic::error(
                    "case-fails",
                    &row.source,
                    span.clone(),
                    format!("a case of '{}' does not come out: {why}", row.it.id),
                )
                .help("change the row, or the case if it expects the wrong thing"),
            );
        }
    }
}
