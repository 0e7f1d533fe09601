//! Change any one thing about any rule of a built-in set, and the check must notice: a case that no longer comes out, a
//! combination left undecided, a contradiction, a rule that never speaks. Where a rule asks for settings each one is
//! flipped, those it does not name too. Left out is what the check cannot tell: whether a rule speaks beside others, for a sign
//! that says nothing where no rule decides (`otherwise: keep`); and classes and texts, which the table of situations holds.

use crate::rules::builtin;
use crate::rules::facts::{FIELDS, Field, setting_bit};
use crate::rules::lint;
use crate::rules::load::{Draft, draft};
use crate::rules::model::{Cond, Rule, RuleIx, Ruling, Sign, SignIx};
use crate::rules::table::build;
use crate::trade::register::Setting;

fn values(field: usize) -> u32 {
    u32::try_from(Field::ALL[field].words().len()).expect("few")
}

/// Every condition that differs from this one in a single value or in one thing that is no longer asked.
pub(super) fn changed(cond: &Cond, parts: u16, extents: u8, origins: bool) -> Vec<(String, Cond)> {
    let mut found = Vec::new();
    let mut put = |what: String, change: &dyn Fn(&mut Cond)| {
        let mut it = cond.clone();
        change(&mut it);
        found.push((what, it));
    };
    if cond.part != u16::MAX {
        put("part not asked".into(), &|c| c.part = u16::MAX);
        for i in (0..16).filter(|i| parts & (1 << i) != 0) {
            put(format!("part {i} flipped"), &|c| c.part ^= 1 << i);
        }
    }
    if cond.extent != u8::MAX {
        put("extent not asked".into(), &|c| c.extent = u8::MAX);
        for i in (0..8).filter(|i| extents & (1 << i) != 0) {
            put(format!("extent {i} flipped"), &|c| c.extent ^= 1 << i);
        }
    }
    if cond.applied != u8::MAX && origins {
        put("origin not asked".into(), &|c| c.applied = u8::MAX);
        for i in 0..3 {
            put(format!("origin {i} flipped"), &|c| c.applied ^= 1 << i);
        }
    }
    for field in 0..FIELDS {
        if cond.fields[field] != u16::MAX {
            let name = Field::ALL[field].as_str();
            put(format!("{name} not asked"), &|c| c.fields[field] = u16::MAX);
            for i in 0..values(field) {
                put(format!("{name} {i} flipped"), &|c| c.fields[field] ^= 1 << i);
            }
        }
    }
    if cond.setting != 0 {
        put("setting not asked".into(), &|c| c.setting = 0);
        for setting in Setting::ALL {
            put(format!("setting {setting} flipped"), &|c| c.setting ^= setting_bit(*setting));
        }
    }
    found
}

fn mutants(set: &Draft, number: usize) -> Vec<(String, Rule)> {
    let rule = &set.rules[number].0;
    let signs: Vec<_> = rule.when.signs.iter().map(|s| &set.signs[usize::from(s.0)].it).collect();
    let parts = signs.iter().flat_map(|s| &s.parts).fold(0, |all, p| all | 1 << p.0);
    let extents = signs.iter().flat_map(|s| &s.extents).fold(0, |all, e| all | 1 << e.0);
    let origins = signs.iter().any(|s| s.ask_applied);
    let mut found = Vec::new();
    for (what, all) in changed(&rule.when.all, parts, extents, origins) {
        let mut it = rule.clone();
        it.when.all = all;
        found.push((what, it));
    }
    if let Some(unless) = &rule.when.unless {
        let mut it = rule.clone();
        it.when.unless = None;
        found.push(("unless dropped".into(), it));
        for (what, cond) in changed(unless, parts, extents, origins) {
            let mut it = rule.clone();
            it.when.unless = Some(cond);
            found.push((format!("unless: {what}"), it));
        }
    }
    for ruling in Ruling::ALL.iter().filter(|r| **r != rule.ruling) {
        // A rule that speaks beside another may be weaker than it without changing the ruling: that is a matter of words.
        if !rule.also || *ruling == Ruling::Replace {
            let mut it = rule.clone();
            it.ruling = *ruling;
            found.push((format!("ruling {ruling}"), it));
        }
    }
    if signs.iter().all(|s| !s.otherwise_keep) {
        let mut it = rule.clone();
        it.also = !it.also;
        found.push(("also flipped".into(), it));
    }
    for over in &rule.over {
        let mut it = rule.clone();
        it.over.retain(|o| o != over);
        found.push((format!("no longer over {}", set.rules[usize::from(over.0)].0.id), it));
    }
    found
}

/// What the check decides, without the diagnostics.
fn sound(set: &Draft, signs: &[Sign]) -> bool {
    let rules: Vec<Rule> = set.rules.iter().map(|(r, _)| r.clone()).collect();
    let (table, faults) = build(signs, &rules);
    faults.is_empty()
        && (0u16..).zip(&rules).all(|(i, r)| r.cases.iter().all(|c| lint::fails(set, &table, RuleIx(i), c).is_none()))
}

/// The set as far as the signs of one rule go, and that rule's number in it: rules of other signs cannot tell on it.
fn scope(set: &Draft, number: usize) -> (Draft, usize) {
    let signs = &set.rules[number].0.when.signs;
    let mut small = set.clone();
    for (i, sign) in (0u8..).zip(&mut small.signs) {
        sign.it.otherwise_keep |= !signs.contains(&SignIx(i));
    }
    let kept: Vec<usize> =
        (0..set.rules.len()).filter(|r| set.rules[*r].0.when.signs.iter().any(|s| signs.contains(s))).collect();
    small.rules = kept.iter().map(|r| set.rules[*r].clone()).collect();
    for (rule, _) in &mut small.rules {
        rule.when.signs.retain(|s| signs.contains(s));
        rule.cases.retain(|c| signs.contains(&c.sign));
        let over = rule.over.iter().filter_map(|o| kept.iter().position(|k| *k == usize::from(o.0)));
        rule.over = over.map(|at| RuleIx(u16::try_from(at).expect("few"))).collect();
    }
    (small, kept.iter().position(|k| *k == number).expect("kept"))
}

#[test]
fn changing_any_one_condition_of_a_built_in_rule_is_noticed() {
    for name in builtin::names() {
        let mut whole = draft(&builtin::source(name).expect("built in"), &builtin::source).expect("reads");
        let signs: Vec<Sign> = whole.signs.iter().map(|p| p.it.clone()).collect();
        let rules: Vec<Rule> = whole.rules.iter().map(|(r, _)| r.clone()).collect();
        lint::refresh_cases(&mut whole, &build(&signs, &rules).0);
        assert!(sound(&whole, &signs), "{name} as it stands");
        let mut tried = 0;
        let mut unnoticed = Vec::new();
        for number in 0..whole.rules.len() {
            let (mut small, at) = scope(&whole, number);
            let signs: Vec<Sign> = small.signs.iter().map(|p| p.it.clone()).collect();
            assert!(sound(&small, &signs), "{} as it stands", whole.rules[number].0.id);
            for (what, mutant) in mutants(&small, at) {
                tried += 1;
                let id = mutant.id.clone();
                let original = std::mem::replace(&mut small.rules[at].0, mutant);
                if sound(&small, &signs) {
                    unnoticed.push(format!("{id}: {what}"));
                }
                small.rules[at].0 = original;
            }
        }
        assert!(tried > 1000, "{name}: only {tried}");
        assert!(unnoticed.is_empty(), "{name}: {} of {tried} unnoticed:\n{}", unnoticed.len(), unnoticed.join("\n"));
    }
}
