//! The rules as a grid: it says what the judge says, and its stars stand exactly where something untold matters.

use std::collections::BTreeSet;

use proptest::prelude::*;

use super::{area, judge, kind, nfpa};
use crate::rules::facts::{Ceiling, Facts, Field};
use crate::rules::grid::{Asked, Cell, Grid, Untold, grid};
use crate::rules::judge::Sighting;
use crate::rules::model::{Class, RuleSet, Ruling, Seen};
use crate::trade::kind::{Applied, Mount};
use crate::trade::register::{Setting, System};

fn asked(untold: &[Untold]) -> Asked {
    Asked { facts: judge().facts(&kind(), &area()), origin: None, untold: untold.to_vec() }
}

fn cell<'a>(set: &RuleSet, grid: &'a Grid, sign: &str, part: &str, extent: &str) -> Option<&'a Cell> {
    let (sign, part) = (set.sign(sign).expect(sign), set.part(part).expect(part));
    let column = grid.extents.iter().position(|e| set.extent_at(*e).is_some_and(|w| w.id == extent)).expect(extent);
    grid.rows.iter().find(|r| r.sign == sign && r.part == part).expect("a row").cells[column].as_ref()
}

#[test]
fn there_is_a_row_for_every_part_of_every_sign_of_a_head_and_a_cell_for_every_extent_it_has() {
    let set = nfpa();
    let grid = grid(&set, &asked(&[]), &[]);
    let of_heads = set.signs.iter().filter(|s| s.seen != Seen::Compartment);
    assert_eq!(grid.rows.len(), of_heads.map(|s| s.parts.len()).sum::<usize>());
    for row in &grid.rows {
        let sign = set.sign_at(row.sign).expect("a sign");
        let there: Vec<bool> = row.cells.iter().map(Option::is_some).collect();
        let has: Vec<bool> = grid.extents.iter().map(|e| sign.extents.contains(e)).collect();
        assert_eq!(there, has, "{}", sign.id);
    }
}

#[test]
fn known_cells_are_ruled_as_the_set_says() {
    let set = nfpa();
    let grid = grid(&set, &asked(Untold::ALL), &[]);
    for (sign, part, extent, short) in [
        ("leak", "seal", "trace", "replace C"),
        ("leak", "seal", "heavy", "replace I"),
        ("paint", "element", "trace", "replace C*"),
        ("paint", "frame", "light", "watch N*"),
        ("fluid-loss", "element", "full", "replace I"),
        ("loading", "frame", "trace", "watch"),
    ] {
        let it = cell(&set, &grid, sign, part, extent).expect("a cell");
        assert_eq!(it.short(), short, "{sign} {part} {extent}");
    }
    assert!(cell(&set, &grid, "leak", "seal", "full").is_none());
}

#[test]
fn a_star_goes_when_what_it_hangs_on_is_told() {
    let set = nfpa();
    let open = grid(&set, &asked(&[Untold::Origin]), &[]);
    let it = cell(&set, &open, "paint", "element", "trace").expect("a cell");
    assert_eq!((it.ruling, it.hangs_on.as_slice()), (Ruling::Replace, &[Untold::Origin][..]));
    assert_eq!(it.may_be, [Ruling::Keep, Ruling::Replace]);
    for (origin, ruling) in
        [(Applied::Factory, Ruling::Keep), (Applied::Field, Ruling::Replace), (Applied::Unknown, Ruling::Replace)]
    {
        let told = grid(&set, &Asked { origin: Some(origin), ..asked(&[]) }, &[]);
        let it = cell(&set, &told, "paint", "element", "trace").expect("a cell");
        assert_eq!((it.ruling, it.hangs_on.len(), it.may_be.len()), (ruling, 0, 1), "{origin}");
    }
    // What a sign is said to hang on is gathered from its cells.
    let on: Vec<_> = open.hangs();
    assert_eq!(on, [(set.sign("paint").expect("paint"), vec![Untold::Origin])]);
}

#[test]
fn only_the_signs_asked_for_are_in_it() {
    let set = nfpa();
    let leak = set.sign("leak").expect("leak");
    let grid = grid(&set, &asked(&[]), &[leak]);
    assert!(grid.rows.iter().all(|r| r.sign == leak) && grid.rows.len() == 2);
    assert_eq!(grid.extents.len(), 3, "only the extents that a leak has");
}

#[test]
fn a_cell_of_several_rulings_always_says_on_what_it_hangs() {
    let set = nfpa();
    let grid = grid(&set, &asked(&[Untold::Setting]), &[]);
    let all: Vec<&Cell> = grid.rows.iter().flat_map(|r| r.cells.iter().flatten()).collect();
    assert!(all.iter().any(|c| !c.hangs_on.is_empty() && c.may_be.len() > 1));
    for cell in all {
        assert!(cell.may_be.contains(&cell.ruling));
        assert!(cell.may_be.len() == 1 || !cell.hangs_on.is_empty(), "several rulings hang on something");
    }
}

/// Every head that fits what was told, looked up one by one: all rulings and classes there may be.
fn by_hand(set: &std::sync::Arc<RuleSet>, asked: &Asked, s: Sighting) -> BTreeSet<(Ruling, Option<Class>)> {
    let open = |u| asked.untold.contains(&u);
    let systems = if open(Untold::System) { System::ALL.len() } else { 1 };
    let ceilings = if open(Untold::Ceiling) { Ceiling::ALL.len() } else { 1 };
    // A condition asks for one setting or another, so pairs and all together show whatever there is to show.
    let bits = || Setting::ALL.iter().map(|s| 1u16 << *s as u16);
    let pairs = bits().flat_map(|a| bits().map(move |b| a | b));
    let settings: Vec<u16> = if open(Untold::Setting) { pairs.chain([0, bits().sum()]).collect() } else { vec![0] };
    let origins: Vec<Option<Applied>> =
        if open(Untold::Origin) { Applied::ALL.iter().map(|a| Some(*a)).collect() } else { vec![asked.origin] };
    let mut judge = crate::rules::judge::Judge::new(std::sync::Arc::clone(set), &[]);
    let mut found = BTreeSet::new();
    for system in 0..systems {
        for ceiling in 0..ceilings {
            for setting in &settings {
                let mut facts = asked.facts;
                if systems > 1 {
                    facts.set(Field::System, u8::try_from(system).expect("few"));
                }
                if ceilings > 1 {
                    facts.set(Field::Ceiling, u8::try_from(ceiling).expect("few"));
                }
                facts.add_settings(*setting);
                let profile = judge.remember(facts);
                for origin in &origins {
                    let it = judge.judge(profile, Sighting { applied: *origin, ..s });
                    found.insert((it.ruling, it.class));
                }
            }
        }
    }
    found
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn a_cell_has_a_star_exactly_where_heads_that_fit_are_ruled_differently(
        mount in prop::sample::select(Mount::ALL.to_vec()),
        open in prop::sample::subsequence(Untold::ALL.to_vec(), 0..=4),
        row in any::<prop::sample::Index>(),
        column in any::<prop::sample::Index>(),
    ) {
        let set = nfpa();
        let mut facts = Facts::plain();
        facts.set(Field::Mount, mount as u8);
        facts.set(Field::Ceiling, Ceiling::Unknown as u8);
        let asked = Asked { facts, origin: None, untold: open };
        let grid = grid(&set, &asked, &[]);
        let row = row.get(&grid.rows);
        let (extent, cell) = (column.get(&grid.extents), column.get(&row.cells));
        let Some(cell) = cell else { return Ok(()) };
        let s = Sighting { sign: row.sign, part: row.part, extent: *extent, applied: None };
        let all = by_hand(&set, &asked, s);
        prop_assert_eq!(all.len() > 1, !cell.hangs_on.is_empty());
        prop_assert!(all.contains(&(cell.ruling, cell.class)));
        let rulings: BTreeSet<Ruling> = all.iter().map(|a| a.0).collect();
        prop_assert_eq!(rulings.into_iter().collect::<Vec<_>>(), cell.may_be.clone());
    }
}
