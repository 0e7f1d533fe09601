//! The exhaustive check's findings as diagnostics: what is undecided, contradictory or dead, and cases that do not come
//! out. The table finds them; this module names a concrete combination and the place to mend.

use std::sync::Arc;

use super::load::{Draft, MOST_COMPLAINTS, RulePlace};
use super::model::{Case, Rule, RuleIx, Sighting};
use super::reach::closure;
use super::table::{Fault, Outcome, Spot, Table};
use crate::diag::Diagnostic;

/// Turns faults into diagnostics and runs every case.
pub(crate) fn report(draft: &Draft, table: &Table, faults: &[Fault], out: &mut Vec<Diagnostic>) {
    cycles(draft, out);
    if !out.is_empty() {
        // Rules over one another in a ring silence one another: every other finding would only echo it.
        return;
    }
    for fault in faults.iter().take(MOST_COMPLAINTS) {
        out.extend(told(draft, fault));
    }
    if faults.iter().any(|f| matches!(f, Fault::TooWide { .. })) {
        // No case of such a sign comes out, whatever it says.
        return;
    }
    for (number, (rule, place)) in draft.rules.iter().enumerate() {
        let Ok(ix) = u16::try_from(number).map(RuleIx) else { break };
        if out.len() < MOST_COMPLAINTS {
            missing_cases(rule, place, out);
        }
        if let Some((source, span)) = place.bare.as_ref().filter(|_| out.len() < MOST_COMPLAINTS) {
            let message = format!("the conditions of '{}' are amended, and no cases are given with them", rule.id);
            out.push(
                Diagnostic::error("amended-without-cases", source, span.clone(), message)
                    .help("add 'cases:', at least one in which the rule speaks and one in which it does not"),
            );
        }
        if place.depth == 0 {
            for (case, span) in rule.cases.iter().zip(&place.cases) {
                if out.len() >= MOST_COMPLAINTS {
                    return;
                }
                if let Some(why) = fails(draft, table, ix, case) {
                    out.push(
                        Diagnostic::error(
                            "case-fails",
                            &place.cases_source,
                            span.clone(),
                            format!("a case of '{}' does not come out: {why}", rule.id),
                        )
                        .label(combination(draft, &spot_of(case)))
                        .help("change the rule's conditions, or the case if it expects the wrong thing"),
                    );
                }
            }
        }
    }
}

/// Reads inherited cases by the set as it stands now: the ruling they end in is the whole set's, and those in which
/// their rule no longer speaks, or no longer keeps silent, are left out.
pub(crate) fn refresh_cases(draft: &mut Draft, table: &Table) {
    for (number, (rule, place)) in draft.rules.iter_mut().enumerate() {
        let Ok(ix) = u16::try_from(number).map(RuleIx) else { break };
        if place.depth > 0 {
            rule.cases.retain_mut(|case| match outcome_of(table, case) {
                Some(outcome) if outcome.rules.contains(&ix) == case.holds => {
                    case.ruling = outcome.ruling;
                    true
                }
                _ => false,
            });
        }
    }
}

fn outcome_of<'t>(table: &'t Table, case: &Case) -> Option<&'t Outcome> {
    let s = Sighting { sign: case.sign, part: case.part, extent: case.extent, applied: case.applied };
    table.outcome(table.start(case.sign, &case.facts), s).and_then(|o| table.outcomes.get(usize::from(o)))
}

fn cycles(draft: &Draft, out: &mut Vec<Diagnostic>) {
    let rules: Vec<Rule> = draft.rules.iter().map(|(r, _)| r.clone()).collect();
    for (number, below) in closure(&rules).iter().enumerate() {
        let Ok(ix) = u16::try_from(number).map(RuleIx) else { break };
        if out.len() < MOST_COMPLAINTS
            && below.contains(ix)
            && let Some((rule, place)) = draft.rules.get(number)
        {
            out.push(
                Diagnostic::error(
                    "over-cycle",
                    &place.source,
                    place.span.clone(),
                    format!("the rule '{}' is over itself, by way of the rules it is over", rule.id),
                )
                .help("decide which of the rules is the more specific, and take 'over' from the other"),
            );
        }
    }
}

fn missing_cases(rule: &Rule, place: &RulePlace, out: &mut Vec<Diagnostic>) {
    for (holds, code, what, example) in [
        (true, "no-case", "no case in which it speaks", "'then:'"),
        (false, "no-near-miss", "no near miss, in which it does not speak", "'instead:'"),
    ] {
        if !rule.cases.iter().any(|c| c.holds == holds) {
            out.push(
                Diagnostic::error(
                    code,
                    &place.source,
                    place.span.clone(),
                    format!("the rule '{}' has {what}", rule.id),
                )
                .help(format!("add one under 'cases:', ending in {example}")),
            );
        }
    }
}

/// Why a case does not come out.
pub(crate) fn fails(draft: &Draft, table: &Table, rule: RuleIx, case: &Case) -> Option<String> {
    let Some(outcome) = outcome_of(table, case) else {
        return Some("the sign does not have that part or extent".to_owned());
    };
    let speaks = outcome.rules.contains(&rule);
    let spoke = speakers(draft, outcome);
    if speaks != case.holds {
        return Some(if case.holds {
            format!("the rule does not speak; {spoke}")
        } else {
            "it is meant as a near miss, and the rule speaks".to_owned()
        });
    }
    (outcome.ruling != case.ruling)
        .then(|| format!("the set rules '{}', not '{}'; {spoke}", outcome.ruling, case.ruling))
}

fn speakers(draft: &Draft, outcome: &Outcome) -> String {
    let names: Vec<&str> =
        outcome.rules.iter().filter_map(|ix| rule_at(draft, *ix)).map(|(r, _)| r.id.as_str()).collect();
    match names.as_slice() {
        [] => "no rule speaks".to_owned(),
        [one] => format!("'{one}' speaks"),
        many => format!("'{}' speak", many.join("', '")),
    }
}

fn spot_of(case: &Case) -> Spot {
    Spot {
        sign: case.sign,
        part: case.part,
        extent: case.extent,
        applied: case.applied,
        facts: case.facts,
        told: Vec::new(),
    }
}

fn rule_at(draft: &Draft, ix: RuleIx) -> Option<&(Rule, RulePlace)> {
    draft.rules.get(usize::from(ix.0))
}

fn told(draft: &Draft, fault: &Fault) -> Option<Diagnostic> {
    match fault {
        Fault::Undecided { first, count } => {
            let sign = draft.signs.get(usize::from(first.sign.0))?;
            let more = match count - 1 {
                0 => String::new(),
                1 => ", and one more combination".to_owned(),
                n => format!(", and {n} more combinations"),
            };
            // Where a rule about the sign was dropped, that is what can be changed.
            let dropped = draft.dropped.iter().find(|d| d.rule.when.signs.contains(&first.sign));
            let (source, span) = dropped.map_or((&sign.source, &sign.span), |d| (&d.source, &d.span));
            let since = dropped.map(|d| format!(", since '{}' is dropped", d.rule.id)).unwrap_or_default();
            let it = Diagnostic::error(
                "undecided",
                source,
                span.clone(),
                format!("no rule decides {}{more}{since}", combination(draft, first)),
            )
            .help("add a rule whose conditions hold there, or widen one");
            Some(if dropped.is_some() { it } else { it.label("this sign") })
        }
        Fault::Contradiction { one, other, first } => clash(draft, *one, *other, first, false),
        Fault::Twice { one, other, first } => clash(draft, *one, *other, first, true),
        Fault::Never { rule } => {
            let (r, place) = rule_at(draft, *rule)?;
            Some(
                Diagnostic::error(
                    "dead-rule",
                    &place.source,
                    place.span.clone(),
                    format!("the conditions of '{}' never hold together", r.id),
                )
                .help("widen its conditions, or take the rule out"),
            )
        }
        Fault::Shadowed { rule, by } => {
            let (r, place) = rule_at(draft, *rule)?;
            let (above, above_place) = rule_at(draft, *by)?;
            // An inherited rule that a rule of one's own silences is told at the latter: that is what can be changed.
            let place = if place.depth > above_place.depth { above_place } else { place };
            Some(
                Diagnostic::error(
                    "shadowed-rule",
                    &place.source,
                    place.span.clone(),
                    format!(
                        "the rule '{}' never speaks: where it holds, rules over it do, such as '{}'",
                        r.id, above.id
                    ),
                )
                .help("narrow the other rule, or take this one out"),
            )
        }
        Fault::Idle { rule, over } => {
            let (r, place) = rule_at(draft, *rule)?;
            let (below, _) = rule_at(draft, *over)?;
            let named = place.over.iter().find(|name| name.it == below.id);
            let (source, span) = named.map_or((&place.source, &place.span), |name| (&name.source, &name.span));
            Some(
                Diagnostic::error(
                    "idle-over",
                    source,
                    span.clone(),
                    format!("the rule '{}' is over '{}', and the two never hold together", r.id, below.id),
                )
                .help("take it from 'over'"),
            )
        }
        Fault::TooWide { sign, cells } => {
            let sign = draft.signs.get(usize::from(sign.0))?;
            Some(
                Diagnostic::error(
                    "too-many-combinations",
                    &sign.source,
                    sign.span.clone(),
                    format!(
                        "the rules of '{}' tell {cells} combinations apart, too many to check all rules on each",
                        sign.it.id
                    ),
                )
                .help("let its rules ask about fewer fields"),
            )
        }
    }
}

/// Two rules that both decide a combination, differently or alike.
fn clash(draft: &Draft, one: RuleIx, other: RuleIx, first: &Spot, alike: bool) -> Option<Diagnostic> {
    let (a, a_place) = rule_at(draft, one)?;
    let (b, b_place) = rule_at(draft, other)?;
    let verdict = |r: &Rule| match r.class {
        Some(class) => format!("'{}' ({class})", r.ruling),
        None => format!("'{}'", r.ruling),
    };
    let here = combination(draft, first);
    let (code, message) = if alike {
        ("decided-twice", format!("the rules '{}' and '{}' both decide {here}", a.id, b.id))
    } else {
        let (va, vb) = (verdict(a), verdict(b));
        (
            "contradiction",
            format!("the rules '{}' and '{}' contradict each other on {here}: {va} against {vb}", a.id, b.id),
        )
    };
    let mut it = Diagnostic::error(code, &b_place.source, b_place.span.clone(), message)
        .label(if alike { "this rule too".to_owned() } else { verdict(b) })
        .help(format!(
            "make their conditions disjoint, or write 'over: [{}]' in '{}' (or the other way round) if one is the more specific, or 'also: true' in one that only adds a reason",
            a.id, b.id
        ));
    if Arc::ptr_eq(&a_place.source, &b_place.source) {
        it = it.and_at(a_place.span.clone(), if alike { "this rule".to_owned() } else { verdict(a) });
    }
    Some(it)
}

/// A combination in words: `paint on the frame, light, origin field, mount concealed`.
fn combination(draft: &Draft, spot: &Spot) -> String {
    let sign = draft.signs.get(usize::from(spot.sign.0)).map_or("?", |s| s.it.id.as_str());
    let part = draft.parts.get(usize::from(spot.part.0)).map_or("?", |w| w.it.id.as_str());
    let extent = draft.extents.get(usize::from(spot.extent.0)).map_or("?", |w| w.it.id.as_str());
    let mut words = vec![format!("{sign} on {part}"), extent.to_owned()];
    if let Some(applied) = spot.applied {
        words.push(format!("origin {applied}"));
    }
    for field in &spot.told {
        let value = field.words().get(usize::from(spot.facts.get(*field))).copied().unwrap_or("?");
        words.push(format!("{} {value}", field.as_str()));
    }
    let told: Vec<String> = spot.told.iter().map(|f| f.as_str().to_owned()).collect();
    words.extend(
        spot.facts
            .words()
            .into_iter()
            .filter(|w| w.split(' ').next().is_some_and(|first| !told.iter().any(|t| t == first))),
    );
    words.join(", ")
}
