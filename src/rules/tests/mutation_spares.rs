//! Change any one condition, relation, value or verdict of any row on spares of a built-in set, and the check must notice. Left
//! out is what changes nothing: a value that never meets the row's relation, or that a row before it speaks of.

use super::mutation::changed;
use crate::rules::builtin;
use crate::rules::lint_spares;
use crate::rules::load::draft;
use crate::rules::load_rows::Row;
use crate::rules::model::Cond;
use crate::rules::spares::{FitVerdict, SpareRow};

fn sound(rows: &[Row<SpareRow>]) -> bool {
    let mut out = Vec::new();
    lint_spares::report(&mut rows.to_vec(), &mut out);
    out.is_empty()
}

/// Whether every row speaks where it did, with the verdict that it gave.
fn changes_nothing(before: &[Row<SpareRow>], after: &[Row<SpareRow>], at: usize) -> bool {
    let field = before[at].it.field;
    let of = |rows: &'_ [Row<SpareRow>]| rows.iter().filter(|r| r.it.field == field).cloned().collect::<Vec<_>>();
    let (one, other) = (of(before), of(after));
    before[at].it.verdict == after[at].it.verdict
        && lint_spares::speak_alike(field, &one.iter().collect::<Vec<_>>(), &other.iter().collect::<Vec<_>>())
}

fn mutants(row: &SpareRow) -> Vec<(String, SpareRow)> {
    let mut found = Vec::new();
    let mut put = |what: String, change: &dyn Fn(&mut SpareRow)| {
        let mut it = row.clone();
        change(&mut it);
        if it != *row {
            found.push((what, it));
        }
    };
    let conds = |cond: &Cond| changed(cond, 0, 0, false);
    for (what, all) in conds(&row.when.all) {
        put(what, &|r| r.when.all = all.clone());
    }
    if let Some(unless) = &row.when.unless {
        put("unless dropped".into(), &|r| r.when.unless = None);
        for (what, cond) in conds(unless) {
            put(format!("unless: {what}"), &|r| r.when.unless = Some(cond.clone()));
        }
    }
    put("differs in any way".into(), &|r| r.differs = None);
    for differs in row.field.relations() {
        put(format!("differs {differs}"), &|r| r.differs = Some(*differs));
    }
    for (name, list) in
        [("from", (|r| &mut r.from) as fn(&mut SpareRow) -> &mut Vec<&'static str>), ("to", |r| &mut r.to)]
    {
        put(format!("{name} dropped"), &|r| list(r).clear());
        for word in row.field.words() {
            put(format!("{name} {word} flipped"), &|r| match list(r).iter().position(|w| *w == word) {
                Some(at) => drop(list(r).remove(at)),
                None => list(r).push(word),
            });
        }
    }
    for verdict in [FitVerdict::May, FitVerdict::Ask, FitVerdict::Never] {
        put(format!("verdict {verdict}"), &|r| r.verdict = verdict);
    }
    found
}

#[test]
fn changing_any_one_thing_about_a_built_in_row_on_spares_is_noticed() {
    let mut seen: Vec<Vec<SpareRow>> = Vec::new();
    for name in builtin::names() {
        let mut rows = draft(&builtin::source(name).expect("built in"), &builtin::source).expect("reads").rows.spares;
        let mut out = Vec::new();
        lint_spares::report(&mut rows, &mut out);
        assert!(out.is_empty(), "{name}");
        // Editions that inherit the rows as they stand need no second look.
        let bare: Vec<SpareRow> = rows.iter().map(|r| r.it.clone()).collect();
        if seen.contains(&bare) {
            continue;
        }
        seen.push(bare);
        rows.iter_mut().for_each(|r| r.own = true);
        assert!(sound(&rows), "{name} as it stands");
        let (mut tried, mut same) = (0, 0);
        let mut unnoticed = Vec::new();
        for at in 0..rows.len() {
            for (what, mutant) in mutants(&rows[at].it) {
                let before = rows.clone();
                rows[at].it = mutant;
                if changes_nothing(&before, &rows, at) {
                    same += 1;
                } else {
                    tried += 1;
                    if sound(&rows) {
                        unnoticed.push(format!("{}: {what}", rows[at].it.id));
                    }
                }
                rows = before;
            }
        }
        assert!(tried > 100 && same < tried / 2, "{name}: {tried} tried, {same} change nothing");
        assert!(unnoticed.is_empty(), "{name}: {} of {tried} unnoticed:\n{}", unnoticed.len(), unnoticed.join("\n"));
    }
    assert!(seen.len() >= 2, "{}", seen.len());
}
