//! Change any one condition or the first figure of any age of a built-in set, and the check must notice. Left out is what
//! no first age can show: an age that is over a later one (it tells on repeats only), the figure of an age that never
//! comes first, as seventy-five years after fifty, and `then`, `act` and `from`. Those are held by the reference tables, and
//! so are the figures of limits, whose conditions are changed beside their table.

use super::mutation::changed;
use crate::rules::builtin;
use crate::rules::duties::{AgeRule, Years};
use crate::rules::lint_rows;
use crate::rules::load::draft;
use crate::rules::load_rows::Rows;
use crate::rules::model::Cond;
use crate::trade::measure::Span;

fn sound(rows: &Rows) -> bool {
    let mut out = Vec::new();
    lint_rows::report(&mut rows.clone(), &mut out);
    out.is_empty()
}

fn shifted(years: Years) -> Vec<Years> {
    let by = |n: i32| Years { from: years.from.map(|y| y + n), to: years.to.map(|y| y + n) };
    vec![by(1), by(-1)]
}

fn mutants(age: &AgeRule, rows: &Rows) -> Vec<(String, AgeRule)> {
    let mut found = Vec::new();
    let mut put = |what: String, change: &dyn Fn(&mut AgeRule)| {
        let mut it = age.clone();
        change(&mut it);
        found.push((what, it));
    };
    let conds = |cond: &Cond| changed(cond, 0, 0, false);
    for (what, all) in conds(&age.when.all) {
        put(what, &|a| a.when.all = all.clone());
    }
    if let Some(unless) = &age.when.unless {
        put("unless dropped".into(), &|a| a.when.unless = None);
        for (what, cond) in conds(unless) {
            put(format!("unless: {what}"), &|a| a.when.unless = Some(cond.clone()));
        }
    }
    if let Some(made) = age.made {
        for years in shifted(made) {
            put(format!("made {years}"), &|a| a.made = Some(years));
        }
    }
    let sooner = |at: &usize| rows.ages[age.over[*at]].it.first < age.first;
    for at in (0..age.over.len()).filter(sooner) {
        put(format!("over {at} dropped"), &|a| {
            a.over.remove(at);
        });
    }
    let comes_first = age.cases.iter().any(|c| c.holds && c.first == age.first);
    for months in [age.first.months() + 12, age.first.months().saturating_sub(12)] {
        let first = Span::parse(&format!("{months} months")).expect("a span");
        if comes_first && first != age.first {
            put(format!("first {first}"), &|a| a.first = first);
        }
    }
    found
}

#[test]
fn changing_any_one_condition_or_first_age_of_a_built_in_row_is_noticed() {
    for name in builtin::names() {
        let mut rows = draft(&builtin::source(name).expect("built in"), &builtin::source).expect("reads").rows;
        let mut out = Vec::new();
        lint_rows::report(&mut rows, &mut out);
        assert!(out.is_empty(), "{name}");
        rows.ages.iter_mut().for_each(|r| r.own = true);
        assert!(sound(&rows), "{name} as it stands");
        let mut tried = 0;
        let mut unnoticed = Vec::new();
        for at in 0..rows.ages.len() {
            for (what, mutant) in mutants(&rows.ages[at].it, &rows) {
                tried += 1;
                let original = std::mem::replace(&mut rows.ages[at].it, mutant);
                if sound(&rows) {
                    unnoticed.push(format!("{}: {what}", original.id));
                }
                rows.ages[at].it = original;
            }
        }
        assert!(tried > 5, "{name}: only {tried}");
        assert!(unnoticed.is_empty(), "{name}: {} of {tried} unnoticed:\n{}", unnoticed.len(), unnoticed.join("\n"));
    }
}
