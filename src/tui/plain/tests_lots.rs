//! Lots in the plain walk, driven by lines.

use super::tests::{Walked, walk_on};
use crate::round::entry::What;

/// Old standard heads in one area, newer ones in another.
const SITE: &str = "\
format: headround site 1
site: {id: 01KAVQ5R8Z0000000000000000, name: Marram Quay Cannery, rules: nfpa25-2023, units: us}
kinds:
  upright: {orientation: upright, response: standard, element: link, rating: 165 F, k: 5.6, finish: brass, made: 1970}
areas:
  dock: {name: Loading dock, in_service: 1971, lines: [6 upright, 6 upright]}
  shed: {name: Old shed, in_service: 1990, lines: [4 upright]}
";

fn walk(typed: &[&str]) -> Walked {
    let all = [&["begin Ines Tidewell, PT-118", "go dock/1.1", "sweep area", "yes"], typed].concat();
    let mut walked = walk_on(SITE, &all);
    walked.recorded.drain(0..2);
    walked.entries.drain(0..2);
    walked
}

const FORMED: [&str; 2] = ["form 1", "yes"];

#[test]
fn what_is_due_is_told_with_day_clause_and_heads() {
    let walked = walk(&["due"]);
    assert!(walked.out.contains("Due within 2 years: 12 heads."), "{}", walked.out);
    assert!(walked.out.contains("dock: 12 heads of upright, overdue since 2021-01-01: sample."), "{}", walked.out);
    assert!(walked.out.contains("4 heads later."), "{}", walked.out);
    assert!(walked.recorded.is_empty());
}

#[test]
fn lots_are_formed_after_a_question_that_names_what_one_failure_condemns() {
    let walked = walk(&["form", "form 9", "form 1", "no", "form 1", "yes", "lots", "form"]);
    assert!(
        walked.out.contains(
            "1. By area, kind, year and setting: 1 lot of 12 heads, samples of 4 in all; one failure condemns up to 12"
        ),
        "{}",
        walked.out
    );
    assert!(walked.out.contains("One failure condemns up to 12 heads. Type 'yes'"), "{}", walked.out);
    assert_eq!(walked.recorded, ["lot dock-upright-1971 formed"], "{}", walked.out);
    assert!(walked.out.contains("dock-upright-1971: 12 heads, formed. Next: draw 4 heads."), "{}", walked.out);
    assert!(walked.out.contains("all that is due stands in a lot already"), "{}", walked.out);
}

#[test]
fn a_lot_is_formed_of_heads_that_are_named() {
    let walked = walk(&["form old dock/1, nowhere: Line one", "form old dock/1", "form old dock/1: Line one", "yes"]);
    assert_eq!(walked.recorded, ["lot old formed"], "{}", walked.out);
    assert!(walked.out.contains("of 6 heads? One failure condemns all of them."), "{}", walked.out);
}

#[test]
fn a_draw_names_its_seed_and_tells_the_heads_only_once_it_is_recorded() {
    let walked = walk(
        &[&FORMED[..], &["draw dock-upright-1971 42", "yes", "lot dock-upright-1971", "draw dock-upright-1971"]]
            .concat(),
    );
    let What::Drawn(drawn) = &walked.entries[1].what else { panic!("a draw: {}", walked.out) };
    assert_eq!((drawn.seed, drawn.picks.len(), drawn.eligible), (Some(42), 4, 12));
    let (asked, told) = walked.out.split_once("with seed 42?").expect("the question");
    let (_, asked) = asked.rsplit_once("may be drawn.").expect("what may be drawn");
    for pick in &drawn.picks {
        let at = pick.head.to_string();
        assert!(!asked.contains(&at) && told.contains(&at), "{at}: {}", walked.out);
    }
    assert!(walked.out.contains("As many as are asked for are drawn already."), "{}", walked.out);
}

#[test]
fn heads_that_nobody_has_seen_are_refused_with_the_reason_and_drawn_where_it_is_asked_for() {
    let walked = walk(&[
        "form shed shed: Old shed",
        "yes",
        "draw shed",
        "draw shed shed/1.1: near the door",
        "draw shed unseen",
        "yes",
    ]);
    assert!(walked.out.contains("Not shed/1.1..1.4: nobody has looked at it in this round"), "{}", walked.out);
    assert!(
        walked.out.contains("Shed/1.1 may not be drawn") || walked.out.contains("shed/1.1 may not be drawn"),
        "{}",
        walked.out
    );
    let What::Drawn(drawn) = &walked.entries[1].what else { panic!("a draw: {}", walked.out) };
    assert!(drawn.unseen && drawn.picks.len() == 4);
}

#[test]
fn heads_drawn_by_hand_need_a_reason() {
    let walked = walk(
        &[
            &FORMED[..],
            &[
                "draw dock-upright-1971 dock/1.2, dock/2.3",
                "draw dock-upright-1971 dock/1.2, dock/2.3: lift only here",
                "yes",
            ],
        ]
        .concat(),
    );
    assert!(walked.out.contains("Why these?"), "{}", walked.out);
    let What::Drawn(drawn) = &walked.entries[1].what else { panic!("a draw: {}", walked.out) };
    assert_eq!((drawn.seed, drawn.note.as_deref()), (None, Some("lift only here")));
}

#[test]
fn a_sample_is_handed_on_and_tested_and_a_failure_asks_before_it_condemns() {
    let lines = [
        "draw dock-upright-1971 dock/1.2, dock/2.3: lift only here",
        "yes",
        "hand dock-upright-1971 handed-over",
        "hand dock-upright-1971 handed-over from Ines Tidewell to Port Tarrow bench: parcel 7",
        "tested dock/1.2",
        "tested dock/1.2 oven=135C air=2.54m/s start=20C pressure=7psi element=39 clear=40",
        // The conditions of the test before are taken over.
        "tested dock-upright-1971-2 element=45 until=180: painted",
        "yes",
        "lot dock-upright-1971",
    ];
    let walked = walk(&[&FORMED[..], &lines[..]].concat());
    assert!(walked.out.contains("Who took it?"), "{}", walked.out);
    assert!(walked.out.contains("What was read? write oven="), "{}", walked.out);
    assert!(walked.out.contains("dock/1.2: opened in time."), "{}", walked.out);
    assert!(
        walked.out.contains("dock/2.3: held.") && walked.out.contains("It condemns 12 heads of lot dock-upright-1971."),
        "{}",
        walked.out
    );
    assert_eq!(
        walked.recorded[2..],
        [
            "sample of lot dock-upright-1971 handed-over, to Port Tarrow bench",
            "dock/1.2 tested for lot dock-upright-1971",
            "dock/2.3 tested for lot dock-upright-1971"
        ],
        "{}",
        walked.out
    );
    assert!(walked.out.contains("Condemned on"), "{}", walked.out);
}

#[test]
fn a_void_test_asks_and_what_cannot_be_read_is_named() {
    let lines = [
        "draw dock-upright-1971 dock/1.2: lift",
        "yes",
        "tested dock/1.2 oven=135",
        "no",
        "tested dock/1.2 ofen=135C",
        "tested dock/1.3 element=4",
        "tested nowhere element=4",
    ];
    let walked = walk(&[&FORMED[..], &lines[..]].concat());
    assert!(walked.out.contains("A void test says nothing of the head."), "{}", walked.out);
    assert!(walked.out.contains("did you mean 'oven'?"), "{}", walked.out);
    assert!(walked.out.contains("was not drawn for a lot"), "{}", walked.out);
    assert!(walked.out.contains("No drawn head bears the tag 'nowhere'"), "{}", walked.out);
    assert_eq!(walked.recorded.len(), 2);
}

#[test]
fn a_laboratorys_word_is_recorded_after_a_question() {
    let lines = [
        "conclude dock-upright-1971",
        "conclude dock-upright-1971 passed 2026-11-20",
        "conclude dock-upright-1971 failed 2026-11-20 Port Tarrow bench, 26-118",
        "no",
        "conclude dock-upright-1971 passed 2026-11 Port Tarrow bench, 26-118",
        "yes",
        "lot dock-upright-1971",
    ];
    let walked = walk(&[&FORMED[..], &lines[..]].concat());
    assert!(walked.out.contains("A failed sample condemns 12 heads."), "{}", walked.out);
    assert_eq!(walked.recorded[1..], ["lot dock-upright-1971 passed by Port Tarrow bench, 26-118"], "{}", walked.out);
    assert!(walked.out.contains("weak evidence"), "{}", walked.out);
}

#[test]
fn a_lot_that_is_not_there_is_named_with_its_neighbours() {
    let walked = walk(&["lots", "lot x", "form 1", "yes", "lot dock-uprigth-1971", "draw"]);
    assert!(walked.out.contains("No lot is formed yet"), "{}", walked.out);
    assert!(walked.out.contains("did you mean 'dock-upright-1971'?"), "{}", walked.out);
    assert!(walked.out.contains("Which lot? write one of dock-upright-1971"), "{}", walked.out);
}

#[test]
fn a_failed_test_is_undone_only_with_a_reason_and_nothing_is_drawn_once_a_lot_is_decided() {
    let lines = [
        "draw dock-upright-1971 dock/1.2, dock/2.3: lift only here",
        "yes",
        "tested dock/1.2 oven=135C air=2.54m/s start=20C pressure=7psi element=45 until=180",
        "yes",
        "draw dock-upright-1971",
        "tested dock/1.2 element=45 clear=60",
        "tested dock/1.2 element=45 clear=60: the valve stood shut",
        "no",
        "tested dock/1.2 element=45 clear=60: the valve stood shut",
        "yes",
        "lot dock-upright-1971",
    ];
    let walked = walk(&[&FORMED[..], &lines[..]].concat());
    assert!(walked.out.contains("Lot dock-upright-1971 is condemned already"), "{}", walked.out);
    assert!(
        walked.out.contains("his undoes a failed test of ines: 12 heads are condemned by it; write"),
        "{}",
        walked.out
    );
    let tests: Vec<_> = walked.entries.iter().filter(|e| matches!(e.what, What::Tested(_))).collect();
    assert_eq!(tests.len(), 2, "{}", walked.out);
    assert_eq!(tests[1].instead(), Some(tests[0].id));
    let What::Tested(test) = &tests[1].what else { panic!("a test") };
    assert_eq!(test.readings.note.as_deref(), Some("the valve stood shut"));
    let (_, last) = walked.out.rsplit_once("Type 'yes' to record it with its reason.").expect("the question");
    assert!(last.contains("opened in time") && !last.contains("Condemned"), "{last}");
}

#[test]
fn a_lot_that_passed_too_long_ago_is_said_to_be_overdue() {
    let lines =
        ["conclude dock-upright-1971 passed 2001-11 Port Tarrow bench, 26-118", "yes", "lots", "lot dock-upright-1971"];
    let walked = walk(&[&FORMED[..], &lines[..]].concat());
    assert!(walked.out.contains("12 heads, OVERDUE since 20"), "{}", walked.out);
    assert!(walked.out.contains("a new test, or new heads, are due"), "{}", walked.out);
}
