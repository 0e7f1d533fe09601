//! The ledger against an independent one, whatever order entries come in and whatever is taken back.

use proptest::prelude::*;

use super::*;
use crate::round::state::EntryIx;
use crate::round::stock::{Difference, Holding, Matter, Shelf, findings};
use crate::rules::model::Ruling;
use crate::trade::address::Address;
use crate::trade::register::KindIx;

const KINDS: [&str; 3] = ["qr", "qr-24", "up"];
const CABINETS: [&str; 2] = ["riser", "dock"];

fn text() -> Text {
    Text::new("nfpa25-2023")
        .kind("qr", "made: 2009")
        .kind("qr-24", "made: 2024")
        .kind("up", "orientation: upright")
        .area("pack", "", "8 qr, 2 up")
        .area("loft", "", "4 up")
        .rest("cabinets: {riser: {name: Valve room, serves: [pack]}, dock: {name: Dock, serves: [loft]}}\n")
}

fn shelf<'a>(ledger: &'a Ledger, cabinet: &str) -> &'a Shelf {
    ledger.shelf(&area(cabinet)).expect(cabinet)
}

fn held(state: &State, cabinet: &str, kind: &str) -> Option<(i64, i64)> {
    let ledger = work_out(state);
    shelf(&ledger, cabinet).holding(state.register().kind_named(kind).expect(kind)).map(|h| (h.held, h.unfit))
}

#[test]
fn a_ledger_goes_on_from_the_last_count_and_keeps_what_differed() {
    let (qr, mut entries) = (KindIx(0), round([]));
    let mut n = 1;
    let mut then = |what: What| {
        entries.push(entry(n, "ines", "2026", what));
        n += 1;
        let state = text().state(entries.clone());
        let ledger = work_out(&state);
        let it = shelf(&ledger, "riser");
        let holding = it.holding(qr).copied().unwrap_or_default();
        (holding.held, holding.unfit, it.differences.len(), it.overdrawn.len())
    };
    assert_eq!(
        then(moved("riser", 4, "qr", Way::PutIn)),
        (4, 0, 0, 0),
        "of a kind never counted what was put in is known"
    );
    assert_eq!(then(counted("riser", "6 qr", "2 qr")), (6, 2, 1, 0));
    assert_eq!(then(moved("riser", 3, "qr", Way::TakenOut)), (3, 2, 1, 0), "fit ones are taken");
    assert_eq!(then(moved("riser", 1, "qr", Way::Discarded)), (2, 1, 1, 0), "unfit ones are thrown away");
    assert_eq!(then(moved("riser", 2, "qr", Way::TakenOut)), (0, 0, 1, 0));
    assert_eq!(then(replaced("pack/1.1..1.3", "qr", Some("riser"))), (-3, 0, 1, 1), "one spare a head");
    assert_eq!(then(moved("riser", 1, "qr", Way::PutIn)), (-2, 0, 1, 1));
    assert_eq!(then(counted("riser", "5 up", "")), (-2, 0, 1, 1), "another kind was counted");
    assert_eq!(then(counted("riser", "0 qr", "")), (0, 0, 2, 1));
    assert_eq!(then(counted("riser", "0 qr", "")), (0, 0, 2, 1), "the same again is no difference");
    assert_eq!(then(moved("riser", 0, "qr-24", Way::TakenOut)), (0, 0, 2, 1));
    let state = text().state(entries);
    assert_eq!(held(&state, "riser", "qr-24"), None, "of none that were moved follows nothing");
    assert_eq!(state.problems().len(), 1, "{:?}", state.problems());
}

#[test]
fn taking_back_a_replacement_brings_back_head_ruling_and_spare_and_bringing_it_back_takes_them_again() {
    let saw = What::Saw(Box::new(Saw {
        head: heads("pack/1.1"),
        sign: "fluid-loss".into(),
        part: "element".into(),
        extent: "full".into(),
        applied: None,
        how: How::Eye,
        doubtful: false,
        clearance: None,
        of: None,
        note: None,
    }));
    let entries = round([counted("riser", "6 qr-24", ""), saw, replaced("pack/1.1", "qr-24", Some("riser"))]);
    let mut state = text().state(entries);
    let at = state.layout().find(&Address::parse("pack/1.1").unwrap()).unwrap();
    let look = |state: &State| {
        (
            state.layout().head(at).map(|h| h.kind),
            state.judgement(at).map(|j| j.ruling),
            held(state, "riser", "qr-24").map(|(n, _)| n),
            super::super::condemned(state).len(),
        )
    };
    let mended = look(&state);
    assert_eq!((mended.0, mended.2, mended.3), (Some(KindIx(1)), Some(5), 0));
    state.apply(entry(10, "ines", "2026", What::Retract(id(3))));
    assert_eq!(look(&state), (Some(KindIx(0)), Some(Ruling::Replace), Some(6), 1));
    state.apply(entry(11, "ines", "2026", What::Retract(id(10))));
    assert_eq!(look(&state), mended);
}

#[test]
fn a_count_taken_back_is_as_if_nobody_had_counted() {
    let mut entries = round([counted("riser", "6 qr", ""), counted("riser", "4 qr", "")]);
    entries.push(entry(10, "ines", "2026", What::Retract(id(2))));
    let state = text().state(entries.clone());
    assert_eq!(held(&state, "riser", "qr"), Some((6, 0)));
    assert!(shelf(&work_out(&state), "riser").differences.is_empty());
    entries.push(entry(11, "ines", "2026", What::Retract(id(1))));
    let state = text().state(entries);
    assert_eq!(held(&state, "riser", "qr"), None);
    assert_eq!(shelf(&work_out(&state), "riser").counted, None);
}

fn instead(mut entry: Entry, of: u128) -> Entry {
    entry.mark(|m| m.instead = Some(id(of)));
    entry
}

#[test]
fn a_correction_takes_the_place_of_what_it_corrects() {
    let start = || round([counted("riser", "6 qr", ""), moved("riser", 2, "qr", Way::TakenOut)]);
    let with = |n: u128, of: u128, what: What| {
        let mut entries = start();
        entries.push(entry(3, "ines", "2026", replaced("pack/1.1..1.3", "qr", Some("riser"))));
        entries.push(instead(entry(n, "osk", "2026", what), of));
        held(&text().state(entries), "riser", "qr").map(|(n, _)| n)
    };
    assert_eq!(with(5, 2, moved("riser", 1, "qr", Way::TakenOut)), Some(2), "6 − 1 − 3");
    assert_eq!(with(5, 1, counted("riser", "9 qr", "")), Some(9), "a count is of the moment it is entered");
    assert_eq!(with(5, 3, replaced("pack/1.1..1.3", "qr-24", None)), Some(4), "no spare of the cabinet was it");
    assert_eq!(with(5, 3, replaced("pack/1.2", "qr-24", None)), Some(2), "of three heads one is corrected");
    assert_eq!(with(5, 3, replaced("pack/1.2", "qr", Some("riser"))), Some(1), "one is corrected and takes its own");
    assert_eq!(with(5, 5, moved("riser", 1, "qr", Way::TakenOut)), Some(0), "nothing corrects itself");
    assert_eq!(with(5, 9, moved("riser", 1, "qr", Way::TakenOut)), Some(0), "nor what is not there");
    // A correction that is taken back corrects nothing.
    let mut entries = start();
    entries.push(instead(entry(5, "osk", "2026", moved("riser", 1, "qr", Way::TakenOut)), 2));
    entries.push(entry(6, "osk", "2026", What::Retract(id(5))));
    assert_eq!(held(&text().state(entries), "riser", "qr"), Some((4, 0)));
}

#[test]
fn entries_that_name_each_other_as_corrected_do_not_both_vanish() {
    let mut entries = round([]);
    entries.push(instead(entry(1, "ines", "2026", moved("riser", 5, "qr", Way::PutIn)), 2));
    entries.push(instead(entry(2, "osk", "2026", moved("riser", 3, "qr", Way::PutIn)), 1));
    assert_eq!(held(&text().state(entries), "riser", "qr"), Some((3, 0)));
}

#[test]
fn a_replacement_takes_a_spare_for_each_head_that_was_there_when_it_was_made() {
    let added = |place: u16| {
        What::Added(Box::new(Added {
            head: Address::parse(&format!("pack/1.{place}")).unwrap(),
            kind: "qr".into(),
            after: None,
        }))
    };
    let removed = What::Removed(Box::new(Removed { head: heads("pack/1.2"), why: None }));
    let sweep = || replaced("pack/1", "qr-24", Some("riser"));
    let taken = |list: Vec<What>| {
        let mut all = vec![counted("riser", "30 qr-24", "")];
        all.extend(list);
        held(&text().state(round(all)), "riser", "qr-24").map(|(n, _)| 30 - n)
    };
    assert_eq!(taken(vec![sweep()]), Some(10));
    assert_eq!(taken(vec![sweep(), added(11)]), Some(10), "found afterwards");
    assert_eq!(taken(vec![added(11), sweep()]), Some(11));
    assert_eq!(taken(vec![removed.clone(), sweep()]), Some(9));
    assert_eq!(taken(vec![sweep(), removed]), Some(10), "taken away afterwards");
}

#[test]
fn what_later_rounds_say_is_left_out_when_looking_from_an_earlier_one() {
    let entries = vec![
        entry(0, "osk", "2025", begin("2025-11-20")),
        entry(1, "osk", "2025", counted("riser", "6 qr", "")),
        entry(2, "ines", "2026", begin("2026-11-25")),
        entry(3, "ines", "2026", counted("riser", "1 qr", "")),
        // Said of the earlier round after the later one began.
        entry(4, "osk", "2025", moved("riser", 2, "qr", Way::TakenOut)),
    ];
    let then = State::fold(text().register(), entries.clone(), Judge::new(set("nfpa25-2023"), &[]), Some("2025"));
    assert_eq!(held(&then, "riser", "qr"), Some((4, 0)));
    let now = text().state(entries);
    assert_eq!(held(&now, "riser", "qr"), Some((-1, 0)), "entries stand in the order of their ids");
    assert_eq!(shelf(&work_out(&now), "riser").counted, Some(EntryIx(3)));
}

#[test]
fn a_cabinet_found_on_the_way_has_a_ledger_and_none_once_that_is_taken_back() {
    let found = What::NewCabinet(Box::new(NewCabinet {
        id: area("loft"),
        name: "Loft".into(),
        place: None,
        serves: vec![area("loft"), area("nowhere")],
    }));
    let mut state = text().state(round([counted("loft", "6 qr", ""), found]));
    assert_eq!(held(&state, "loft", "qr"), Some((6, 0)));
    assert_eq!(state.problems().len(), 2, "{:?}", state.problems());
    state.apply(entry(9, "ines", "2026", What::Retract(id(2))));
    assert_eq!(work_out(&state).shelves.len(), 2);
}

#[test]
fn another_rule_set_has_the_same_ledger() {
    let state = text().state(round([counted("riser", "6 qr", "1 qr"), replaced("pack/1.1", "qr", Some("riser"))]));
    assert_eq!(work_out(&state.rejudged(set("en12845"), "en12845")), work_out(&state));
}

// ---- laws ----

fn any_what() -> impl Strategy<Value = What> {
    let cabinet = || prop::sample::select(vec!["riser", "dock", "none"]);
    let kind = || prop::sample::select(vec!["qr", "qr-24", "up", "odd"]);
    let held = || prop::collection::btree_map(kind().prop_map(str::to_owned), 0u32..9, 0..4);
    let unfit = || prop::collection::btree_map(kind().prop_map(str::to_owned), 0u32..4, 0..2);
    let way = prop::sample::select(Way::ALL.to_vec());
    let place = || prop::sample::select(vec!["pack/1.1", "pack/1.2", "pack/1.1..1.3", "loft/1", "pack", "pack/9.9"]);
    let found = |to: Address| What::Added(Box::new(Added { head: to, kind: "up".into(), after: None }));
    prop_oneof![
        4 => (cabinet(), held(), unfit())
            .prop_map(|(c, held, unfit)| What::Counted(Box::new(Counted { cabinet: area(c), held, unfit, note: None }))),
        6 => (cabinet(), 0u32..6, kind(), way).prop_map(|(c, n, k, way)| moved(c, n, k, way)),
        3 => (place(), kind(), prop::option::of(cabinet())).prop_map(|(h, k, c)| replaced(h, k, c)),
        1 => Just(What::Removed(Box::new(Removed { head: heads("pack/1.2"), why: None }))),
        1 => Just(found(Address::parse("pack/1.11").unwrap())),
        1 => (cabinet(), held()).prop_map(|(c, keep)| What::Posted(Box::new(Posted { cabinet: area(c), date: today(), keep }))),
        4 => (2u128..40).prop_map(|n| What::Retract(id(n))),
    ]
}

fn any_entries() -> impl Strategy<Value = Vec<Entry>> {
    let round = prop_oneof![1 => Just("2025"), 4 => Just("2026")];
    let one = (any_what(), prop_oneof![Just("ines"), Just("osk")], round, prop::option::weighted(0.1, 2u128..40));
    prop::collection::vec(one, 0..40).prop_map(|list| {
        let mut entries =
            vec![entry(0, "ines", "2025", begin("2025-11-20")), entry(1, "ines", "2026", begin("2026-11-25"))];
        for (n, (what, by, round, of)) in list.into_iter().enumerate() {
            let it = entry(n as u128 + 2, by, round, what);
            // Corrections of deeds are a matter of their heads: they have their own tests.
            let of = of.filter(|_| matches!(it.what, What::Counted(_) | What::Moved(_)));
            entries.push(of.map_or_else(|| it.clone(), |of| instead(it.clone(), of)));
        }
        entries.sort_by_key(|e| e.id);
        entries
    })
}

/// What a book-keeper would make of the entries, with pencil and paper: cabinet, kind, held, unfit; differences; how often the
/// stock was taken below nothing.
#[derive(Debug, Default, PartialEq)]
struct Paper {
    held: Vec<(usize, usize, i64, i64)>,
    differences: Vec<(u128, usize, i64, i64)>,
    overdrawn: usize,
}

fn on_paper(entries: &[Entry]) -> Paper {
    let stands = |target: &Entry| {
        fn count(all: &[Entry], target: &Entry) -> bool {
            let against = |e: &&Entry| matches!(e.what, What::Retract(of) if of == target.id);
            let valid = |e: &&Entry| e.id > target.id && e.round == target.round;
            !all.iter().filter(against).filter(valid).any(|e| count(all, e))
        }
        count(entries, target)
    };
    let standing: Vec<&Entry> = entries.iter().filter(|e| stands(e)).collect();
    let corrected = |e: &Entry| standing.iter().any(|by| by.id > e.id && by.instead() == Some(e.id) && is_stock(by));
    fn is_stock(e: &Entry) -> bool {
        matches!(e.what, What::Counted(_) | What::Moved(_))
    }
    let mut paper = Paper::default();
    for (c, cabinet) in CABINETS.iter().enumerate() {
        for (k, kind) in KINDS.iter().enumerate() {
            let (mut known, mut held, mut unfit) = (false, 0_i64, 0_i64);
            for e in standing.iter().filter(|e| !corrected(e)) {
                let taken = match &e.what {
                    What::Counted(x) if x.cabinet.as_str() == *cabinet => {
                        let Some(n) = x.held.get(*kind).map(|n| i64::from(*n)) else { continue };
                        if known && n != held {
                            paper.differences.push((e.id.0, k, held, n));
                        }
                        (known, held) = (true, n);
                        unfit = x.unfit.get(*kind).map_or(0, |n| i64::from(*n)).min(n);
                        continue;
                    }
                    What::Moved(x) if x.cabinet.as_str() == *cabinet && x.kind == *kind && x.n > 0 => {
                        let n = i64::from(x.n);
                        if x.way == Way::Discarded {
                            unfit = (unfit - n).max(0);
                        }
                        if x.way == Way::PutIn { -n } else { n }
                    }
                    What::Did(x)
                        if x.from.as_ref().is_some_and(|f| f.as_str() == *cabinet)
                            && x.kind.as_deref() == Some(kind) =>
                    {
                        let gone = standing.iter().any(|o| o.id < e.id && matches!(o.what, What::Removed(_)));
                        let more = standing.iter().any(|o| o.id < e.id && matches!(o.what, What::Added(_)));
                        let n = match x.head.to_string().as_str() {
                            "pack/1.1" => 1,
                            "pack/1.2" => i64::from(!gone),
                            "pack/1.1..1.3" => 3 - i64::from(gone),
                            "loft/1" => 4,
                            "pack" => 10 - i64::from(gone) + i64::from(more),
                            "pack/9.9" => 0,
                            other => panic!("{other}"),
                        };
                        if n == 0 {
                            continue;
                        }
                        n
                    }
                    _ => continue,
                };
                known = true;
                held -= taken;
                unfit = unfit.min(held.max(0));
                paper.overdrawn += usize::from(held < 0 && taken > 0);
            }
            if known {
                paper.held.push((c, k, held, unfit));
            }
        }
    }
    paper.differences.sort_unstable();
    paper
}

fn from_ledger(state: &State, ledger: &Ledger) -> Paper {
    let mut paper = Paper::default();
    for (c, shelf) in ledger.shelves.iter().enumerate() {
        for (kind, Holding { held, unfit, .. }) in &shelf.holdings {
            paper.held.push((c, usize::from(kind.0), *held, *unfit));
        }
        for Difference { entry, kind, expected, counted } in &shelf.differences {
            let id = state.entry(*entry).unwrap().id;
            paper.differences.push((id.0, usize::from(kind.0), *expected, *counted));
        }
        paper.overdrawn += shelf.overdrawn.len();
    }
    paper.differences.sort_unstable();
    paper
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_ledger_is_what_a_book_keeper_would_make_of_the_entries_in_whatever_order_they_arrive(
        entries in any_entries(), order in any::<prop::sample::Index>(), seed in any::<u64>()
    ) {
        let state = text().state(entries.clone());
        let ledger = work_out(&state);
        prop_assert_eq!(from_ledger(&state, &ledger), on_paper(&entries));

        // Merged in another order, one entry standing twice.
        let mut shuffled = entries.clone();
        let mut x = seed | 1;
        for i in (1..shuffled.len()).rev() {
            x = x.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            shuffled.swap(i, (x >> 33) as usize % (i + 1));
        }
        shuffled.push(entries[order.index(entries.len())].clone());
        let merged = text().state(shuffled);
        prop_assert_eq!(&work_out(&merged), &ledger);
        prop_assert_eq!(merged.problems().len(), state.problems().len());
    }

    #[test]
    fn one_entry_at_a_time_gives_the_ledger_that_all_at_once_give(entries in any_entries()) {
        let whole = text().state(entries.clone());
        let mut step = text().state(entries.iter().filter(|e| matches!(e.what, What::Begin(_))).cloned().collect());
        for entry in entries.into_iter().filter(|e| !matches!(e.what, What::Begin(_))) {
            step.apply(entry);
        }
        prop_assert_eq!(work_out(&step), work_out(&whole));
        let told = |s: &State| s.problems().iter().map(|p| (p.entry, p.why.clone())).collect::<std::collections::BTreeSet<_>>();
        prop_assert_eq!(told(&step), told(&whole));
    }

    #[test]
    fn no_stock_below_zero_goes_untold_and_none_of_it_counts(entries in any_entries()) {
        let state = text().state(entries);
        let (ledger, required) = stock(&state);
        let told = findings(&state, &ledger, &required, today());
        for shelf in &ledger.shelves {
            for (kind, holding) in &shelf.holdings {
                let says = told.iter().filter(|f| {
                    f.matter == Matter::Overdrawn && f.cabinet.as_ref() == Some(&shelf.cabinet) && f.kind == Some(*kind)
                });
                let says = says.count();
                prop_assert!(says <= 1, "once a kind");
                if holding.held < 0 {
                    prop_assert_eq!((says, holding.fit()), (1, 0));
                }
                prop_assert!((0..=holding.held.max(0)).contains(&holding.unfit), "{:?}", holding);
            }
        }
    }

    #[test]
    fn a_count_that_differs_is_told_once_and_only_in_its_own_round(entries in any_entries()) {
        let state = text().state(entries);
        let (ledger, required) = stock(&state);
        let now = state.present_round().unwrap().name.clone();
        let differs = ledger.shelves.iter().flat_map(|s| &s.differences);
        let here = differs.filter(|d| state.entry(d.entry).unwrap().round == now).count();
        let told = findings(&state, &ledger, &required, today());
        prop_assert_eq!(told.iter().filter(|f| f.matter == Matter::Difference).count(), here);
    }

    #[test]
    fn taking_back_and_bringing_back_leaves_the_ledger_as_it_was(entries in any_entries(), pick in any::<prop::sample::Index>()) {
        let mut state = text().state(entries.clone());
        let before = work_out(&state);
        let target = &entries[pick.index(entries.len())];
        let (round, target) = (target.round.to_string(), target.id);
        state.apply(entry(200, "ines", &round, What::Retract(target)));
        state.apply(entry(201, "ines", &round, What::Retract(id(200))));
        prop_assert_eq!(work_out(&state), before);
    }
}
