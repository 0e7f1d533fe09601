//! Which heads wait for a spare.

use proptest::prelude::*;

use super::*;
use crate::round::stock::condemned;
use crate::round::story::Fate;
use crate::rules::model::Ruling;
use crate::trade::address::Address;

fn text() -> Text {
    Text::new("nfpa25-2023").kind("qr", "").kind("old", "number: QZ0417").kind("up", "orientation: upright").area(
        "pack",
        ", ceiling_max: 100 F",
        "4 qr, 1 old",
    )
}

fn saw(head: &str, sign: &str, part: &str, extent: &str, of: Option<u128>) -> What {
    What::Saw(Box::new(Saw {
        head: heads(head),
        sign: sign.into(),
        part: part.into(),
        extent: extent.into(),
        applied: None,
        how: How::Eye,
        doubtful: false,
        clearance: None,
        of: of.map(id),
        note: None,
    }))
}

fn empty_bulb() -> What {
    saw("pack/1.1", "fluid-loss", "element", "full", None)
}

fn did(deed: Deed) -> What {
    What::Did(Box::new(Did { head: heads("pack/1.1"), did: deed, kind: None, from: None, who: None, note: None }))
}

fn gone(of: u128) -> What {
    What::Gone(Box::new(Gone { head: heads("pack/1.1"), of: id(of), note: None }))
}

fn settle(stands: u128) -> What {
    What::Settle(Box::new(Settle { head: heads("pack/1.1"), stands: id(stands), because: "seen from the lift".into() }))
}

fn unsure() -> What {
    let head = heads("pack/1.1");
    What::Unsure(Box::new(Unsure { head, why: UnsureWhy::Light, how: How::Eye, note: None }))
}

fn unreached() -> What {
    let heads = heads("pack/1.1");
    What::Unreached(Box::new(Unreached { heads, why: UnreachedWhy::Locked, denied_by: None, note: None }))
}

/// What was said last year (numbered from 1) and this year (from 51), in order; `osk` says what is marked so.
fn state(before: &[What], now: &[(&str, What)]) -> State {
    let mut entries = vec![entry(0, "ines", "2025", begin("2025-11-20"))];
    for (n, what) in before.iter().enumerate() {
        entries.push(entry(n as u128 + 1, "ines", "2025", what.clone()));
    }
    entries.push(entry(50, "ines", "2026", begin("2026-11-25")));
    for (n, (by, what)) in now.iter().enumerate() {
        entries.push(entry(n as u128 + 51, by, "2026", what.clone()));
    }
    text().state(entries)
}

#[test]
fn a_head_is_condemned_while_a_finding_that_asks_for_replacement_is_open_and_no_longer() {
    // What was said before, what is said now, and: is it condemned, by last year's finding alone, with a disagreement?
    type Case = (&'static str, Vec<What>, Vec<(&'static str, What)>, Option<(bool, bool)>);
    let ines = |what: What| ("ines", what);
    let osk = |what: What| ("osk", what);
    let seen = || What::Seen(heads("pack/1.1"));
    let still = || saw("pack/1.1", "fluid-loss", "element", "full", Some(1));
    let removed = || What::Removed(Box::new(Removed { head: heads("pack/1.1"), why: None }));
    let cases: Vec<Case> = vec![
        ("nothing was said", vec![], vec![], None),
        ("seen in order", vec![], vec![ines(seen())], None),
        ("found now", vec![], vec![ines(empty_bulb())], Some((false, false))),
        ("found now, and cleaned", vec![], vec![ines(empty_bulb()), ines(did(Deed::Cleaned))], Some((false, false))),
        ("replaced now", vec![], vec![ines(empty_bulb()), ines(did(Deed::Replaced))], None),
        (
            "found on the new head again",
            vec![],
            vec![ines(did(Deed::Replaced)), ines(empty_bulb())],
            Some((false, false)),
        ),
        ("gone", vec![], vec![ines(empty_bulb()), ines(gone(51))], None),
        ("taken back", vec![], vec![ines(empty_bulb()), ines(What::Retract(id(51)))], None),
        (
            "the replacement taken back",
            vec![],
            vec![ines(empty_bulb()), ines(did(Deed::Replaced)), ines(What::Retract(id(52)))],
            Some((false, false)),
        ),
        ("removed", vec![], vec![ines(empty_bulb()), ines(removed())], None),
        ("removed last year", vec![empty_bulb(), removed()], vec![], None),
        ("before, not yet answered", vec![empty_bulb()], vec![], Some((true, false))),
        ("before, seen in order now but not answered", vec![empty_bulb()], vec![ines(seen())], Some((true, false))),
        ("before, still there", vec![empty_bulb()], vec![ines(still())], Some((false, false))),
        ("before, gone now", vec![empty_bulb()], vec![ines(gone(1))], None),
        ("before, gone before", vec![empty_bulb(), gone(1)], vec![], None),
        ("before, said to be replaced before", vec![empty_bulb(), did(Deed::Replaced)], vec![], None),
        (
            "before, said to be cleaned before, which is no answer",
            vec![empty_bulb(), did(Deed::Cleaned)],
            vec![],
            Some((true, false)),
        ),
        (
            "before, said to be replaced, still there",
            vec![empty_bulb(), did(Deed::Replaced)],
            vec![ines(still())],
            Some((false, false)),
        ),
        ("before, replaced now", vec![empty_bulb()], vec![ines(did(Deed::Replaced))], None),
        (
            "before, still there and replaced now",
            vec![empty_bulb()],
            vec![ines(still()), ines(did(Deed::Replaced))],
            None,
        ),
        ("before, could not be judged now", vec![empty_bulb()], vec![ines(unsure())], Some((true, false))),
        ("before, not reached now", vec![empty_bulb()], vec![ines(unreached())], Some((true, false))),
        ("could not be judged", vec![], vec![ines(unsure())], None),
        ("not reached", vec![], vec![ines(unreached())], None),
        ("found now, another saw it in order", vec![], vec![ines(empty_bulb()), osk(seen())], Some((false, true))),
        ("found now, another says it is gone", vec![], vec![ines(empty_bulb()), osk(gone(51))], Some((false, true))),
        (
            "settled for the one who found it",
            vec![],
            vec![ines(empty_bulb()), osk(seen()), ines(settle(51))],
            Some((false, false)),
        ),
        (
            "settled for the one who saw it in order",
            vec![],
            vec![ines(empty_bulb()), osk(seen()), ines(settle(52))],
            None,
        ),
        ("only dull arms", vec![], vec![ines(saw("pack/1.1", "corrosion", "frame", "trace", None))], None),
    ];
    for (name, before, now, want) in cases {
        let state = state(&before, &now);
        assert_eq!(state.problems(), [], "{name}");
        let list = condemned(&state);
        let found = list.first().map(|c| (c.before, c.disagreement));
        assert_eq!((list.len(), found), (usize::from(want.is_some()), want), "{name}");
    }
}

#[test]
fn a_recalled_head_is_advised_where_the_set_advises_and_the_strongest_finding_leads() {
    let register_recall = "recalled: [{number: QZ0417, why: invented}]\ncabinets: {riser: {name: Valve room}}\n";
    let state = text().rest(register_recall).state(round([saw("pack/1.5", "recalled", "whole", "full", None)]));
    assert_eq!(state.problems(), []);
    let list = condemned(&state);
    assert_eq!((list.len(), list[0].is_advised()), (1, true));
    let both = text().rest(register_recall).state(round([
        saw("pack/1.5", "recalled", "whole", "full", None),
        saw("pack/1.5", "fluid-loss", "element", "full", None),
    ]));
    let list = condemned(&both);
    assert_eq!((list.len(), list[0].is_advised()), (1, false));
    assert_eq!(both.entry(list[0].entry).unwrap().id, id(2));
}

#[test]
fn heads_come_in_the_order_of_the_walk_with_the_kind_they_now_are() {
    let is_up = What::IsKind(Box::new(IsKind { head: heads("pack/1.2"), kind: "up".into() }));
    let state = text().state(round([
        saw("pack/1.3", "fluid-loss", "element", "full", None),
        is_up,
        saw("pack/1.1..1.2", "fluid-loss", "element", "full", None),
    ]));
    let list: Vec<(String, u16)> =
        condemned(&state).iter().map(|c| (state.address(c.head).unwrap().to_string(), c.kind.0)).collect();
    assert_eq!(list, [("pack/1.1".to_owned(), 0), ("pack/1.2".to_owned(), 2), ("pack/1.3".to_owned(), 0)]);
}

fn any_what() -> impl Strategy<Value = What> {
    let place = || prop::sample::select(vec!["pack/1.1", "pack/1.2", "pack/1.1..1.3", "pack"]);
    let sign = prop::sample::select(vec![
        ("fluid-loss", "element", "full"),
        ("paint", "element", "trace"),
        ("corrosion", "frame", "trace"),
        ("loading", "deflector", "light"),
        ("damage", "deflector", "heavy"),
    ]);
    let deed = prop::sample::select(Deed::ALL.to_vec());
    prop_oneof![
        3 => place().prop_map(|h| What::Seen(heads(h))),
        6 => (place(), sign, prop::option::weighted(0.3, 2u128..40)).prop_map(|(h, (s, p, e), of)| saw(h, s, p, e, of)),
        3 => (place(), deed, prop::option::of(Just("up".to_owned()))).prop_map(|(h, did, kind)| {
            What::Did(Box::new(Did { head: heads(h), did, kind, from: None, who: None, note: None }))
        }),
        2 => (place(), 2u128..40).prop_map(|(h, of)| What::Gone(Box::new(Gone { head: heads(h), of: id(of), note: None }))),
        1 => Just(unsure()),
        1 => Just(unreached()),
        1 => Just(What::Removed(Box::new(Removed { head: heads("pack/1.2"), why: None }))),
        1 => (2u128..40).prop_map(settle),
        3 => (2u128..40).prop_map(|n| What::Retract(id(n))),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 384, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn nobody_waits_for_a_spare_who_has_had_one(
        list in prop::collection::vec((any_what(), prop_oneof![Just("ines"), Just("osk")], prop_oneof![2 => Just("2025"), 3 => Just("2026")]), 0..38)
    ) {
        let mut entries = vec![entry(0, "ines", "2025", begin("2025-11-20")), entry(1, "ines", "2026", begin("2026-11-25"))];
        for (n, (what, by, round)) in list.into_iter().enumerate() {
            entries.push(entry(n as u128 + 2, by, round, what));
        }
        let state = text().state(entries);
        let list = condemned(&state);
        let mut met = std::collections::HashSet::new();
        for one in &list {
            prop_assert!(met.insert(one.head), "each head once");
            let head = state.layout().head(one.head).unwrap();
            prop_assert!(!head.removed);
            prop_assert_eq!(head.kind, one.kind);
            let found = state.entry(one.entry).unwrap();
            prop_assert!(matches!(found.what, What::Saw(_)));
            prop_assert_eq!(one.before, found.round != state.present_round().unwrap().name);
            // The last replacement of this head that stands came before what condemns it.
            let at = state.address(one.head).unwrap();
            let since = state.entries().iter().enumerate().filter(|(n, e)| {
                let stands = state.stands(crate::round::state::EntryIx(u32::try_from(*n).unwrap()));
                let about = matches!(&e.what, What::Did(d) if d.did == Deed::Replaced && d.head.covers(&heads(&at.to_string())));
                stands && about && e.round <= state.present_round().unwrap().name
            });
            // Entries of the earlier round may be made after the present one began: in each round by itself.
            prop_assert!(since.filter(|(_, e)| e.round == found.round).all(|(_, e)| e.id < found.id), "{} {:?}", at, one);
        }
        // And the other way round: whoever has an open finding that asks for replacement is among them.
        for area in 0..state.register().areas.len() {
            for ix in crate::round::act::heads_in_order(&state, u16::try_from(area).unwrap()) {
                let open = state.story(ix).findings.iter().any(|f| f.fate == Fate::Open && f.judgement.ruling == Ruling::Replace);
                prop_assert!(!open || list.iter().any(|c| c.head == ix));
                let at = state.address(ix).unwrap();
                prop_assert!(Address::parse(&at.to_string()).is_ok());
            }
        }
    }
}
