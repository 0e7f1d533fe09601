//! From forming to what a decided lot means for the building.

use super::*;

#[test]
fn a_lot_goes_its_way_from_forming_to_passing() {
    let stage = |said: &[&str]| only(&mill(said)).outcome.stage;
    let drawn = self::drawn(&FOUR);
    let down: Vec<String> = FOUR.iter().map(|h| replaced(h)).collect();
    let sent = r#""custody":{"lot":"links","step":"handed-over","to":"bench of Port Tarrow"}"#;
    let packed = r#""custody":{"lot":"links","step":"packed"}"#;
    assert_eq!(stage(&[LOT]), Stage::Formed);
    assert_eq!(stage(&[LOT, &drawn]), Stage::Drawn);
    assert_eq!(stage(&[LOT, &drawn, &down[0]]), Stage::Drawn);
    let mut said = vec![LOT, &drawn];
    said.extend(down.iter().map(String::as_str));
    assert_eq!(stage(&said), Stage::TakenDown);
    said.push(packed);
    assert_eq!(stage(&said), Stage::TakenDown);
    said.push(sent);
    assert_eq!(stage(&said), Stage::AtBench);
    let state = run_through(&FOUR.map(|h| (h, FINE)));
    let lot = only(&state);
    assert_eq!(
        (lot.outcome.stage, lot.outcome.passed, lot.outcome.asked.heads),
        (Stage::Passed, 4, 4),
        "{:?}",
        lot.outcome
    );
    assert_eq!(lot.outcome.on, Some("2026-11-25".parse().expect("a day")));
    assert!(state.problems().is_empty(), "{:?}", state.problems());
}

#[test]
fn one_head_that_fails_condemns_all_that_the_sample_stands_for_but_those_replaced() {
    let held = r#""element":"45 s","until":"160 s""#;
    let state = run_through(&[(FOUR[0], FINE), (FOUR[1], held), (FOUR[2], FINE)]);
    let lot = only(&state);
    assert_eq!(lot.outcome.stage, Stage::Condemned);
    assert_eq!(
        lot.sample_at(at(&state, FOUR[1])).and_then(|s| s.judged.as_ref()).map(|j| j.verdict),
        Some(Verdict::Held)
    );
    let ruled: Vec<String> =
        rulings::rows(&state, today()).iter().map(|r| format!("{} {:?}", r.head, r.ruling)).collect();
    assert_eq!(ruled.len(), 20, "{ruled:?}");
    assert!(state.judgement(at(&state, "mill/1.2")).is_some_and(|j| j.ruling == Ruling::Replace));
    // The heads put in for the sample are new, and those of other areas were never spoken for.
    for fine in ["mill/1.1", "shop/1.1", "shop/2.6"] {
        assert!(state.judgement(at(&state, fine)).is_some_and(|j| j.ruling == Ruling::Keep), "{fine}");
    }
    assert_eq!(stock::condemned(&state).len(), 20);
    assert_eq!(state.counts().ruled(Ruling::Replace), 20);
    let list = due::due(&state, &lots(&state), today(), Span::parse("2 years").expect("a span"));
    assert_eq!(list.condemned, 20);
    let why = failure_words(&state, &state.failure(at(&state, "mill/1.2")).expect("a failure"));
    assert_eq!(
        why,
        "lot links: the head from mill/1.5 held shut though its element operated on 2026-11-25: the element operated at 45.00 s; by 160.00 s the waterway had not cleared"
    );
}

#[test]
fn a_head_that_stays_shut_weighs_more_than_a_late_one() {
    let class = |rest: &str| {
        let state = run_through(&[(FOUR[0], r#""element":"45 s","clear":"150 s""#), (FOUR[1], rest)]);
        (state.failure(at(&state, "mill/1.2")).and_then(|f| f.class), state.counts().impaired)
    };
    // Late: critical; no operation: impairment (Table A.3.3.8 of 2023 by a trade article).
    assert_eq!(class(FINE), (Some(Class::Critical), 0));
    assert_eq!(class(r#""until":"160 s""#), (Some(Class::Impairment), 20));
}

#[test]
fn replacing_a_condemned_head_ends_its_ruling_and_taking_the_test_back_ends_all() {
    let mut said: Vec<String> = vec![LOT.to_owned(), self::drawn(&FOUR)];
    said.push(tested(FOUR[0], r#""until":"160 s""#));
    let said: Vec<&str> = said.iter().map(String::as_str).collect();
    let mut state = mill(&said);
    assert_eq!(stock::condemned(&state).len(), 24);
    state.apply(entry(20, "2026-11-26T09:00:00-05:00", "ines", "2026", &replaced("mill/2.2")));
    assert_eq!(stock::condemned(&state).len(), 23);
    assert!(state.failure(at(&state, "mill/2.2")).is_none());
    let test = u128::try_from(said.len()).expect("a number") + 5;
    state.apply(entry(21, "2026-11-26T09:01:00-05:00", "ines", "2026", &format!(r#""retract":"{}""#, id(test))));
    assert_eq!(stock::condemned(&state), []);
    assert_eq!(only(&state).outcome.stage, Stage::Drawn);
}

#[test]
fn adding_entry_by_entry_gives_what_folding_all_gives() {
    let mut said: Vec<String> = vec![LOT.to_owned(), self::drawn(&FOUR)];
    said.extend(FOUR.iter().map(|h| replaced(h)));
    said.push(tested(FOUR[0], FINE));
    said.push(tested(FOUR[1], r#""element":"45 s","until":"160 s""#));
    said.push(r#""saw":{"head":"mill/1.2","sign":"leak","part":"seal","extent":"light"}"#.to_owned());
    said.push(replaced("mill/1.2"));
    said.push(format!(r#""retract":"{}""#, id(12)));
    said.push(tested(FOUR[1], r#""element":"45 s","clear":"141 s""#));
    let all: Vec<&str> = std::iter::once(BEGIN).chain(ALL_SEEN).chain(said.iter().map(String::as_str)).collect();
    let entries = written(&all);
    let mut grown = of(&all[..1]);
    for (n, entry) in entries.iter().enumerate().skip(1) {
        grown.apply(entry.clone());
        let folded = of(&all[..=n]);
        assert_eq!(picture(&grown), picture(&folded), "after {}", all[n]);
    }
    assert_eq!(grown.counts().ruled(Ruling::Replace), 19);
    let mut at_once = of(&all[..1]);
    at_once.apply_all(entries.into_iter().skip(1));
    assert_eq!(picture(&at_once), picture(&grown));
}

#[test]
fn a_test_of_earlier_years_counts_by_its_laboratorys_word() {
    let with = |passed: bool| {
        let told = format!(
            r#""concluded":{{"lot":"links","on":"2021-06","passed":{passed},"by":"bench of Port Tarrow, report 12","tested":4}}"#
        );
        mill(&[LOT, &told])
    };
    let state = with(true);
    assert_eq!((only(&state).outcome.stage, only(&state).outcome.on), (Stage::Passed, "2021-06-01".parse().ok()));
    let list = due::due(&state, &lots(&state), today(), Span::parse("24 months").expect("a span"));
    let row = list.rows.iter().find(|r| r.area.as_str() == "mill").expect("a row");
    assert_eq!(row.on, "2031-06-01".parse().ok());
    let state = with(false);
    assert_eq!(only(&state).outcome.stage, Stage::Condemned);
    assert_eq!(stock::condemned(&state).len(), 24);
    let failure = state.failure(at(&state, "mill/1.1")).expect("a failure");
    assert_eq!(
        failure_words(&state, &failure),
        "lot links: its sample failed, says bench of Port Tarrow, report 12 of 2021-06"
    );
}

#[test]
fn void_tests_and_too_few_heads_leave_a_lot_undecided() {
    let void = r#""element":"40 s","clear":"40.5 s","until":"30 s""#;
    let state = run_through(&[(FOUR[0], FINE), (FOUR[1], FINE), (FOUR[2], FINE), (FOUR[3], void)]);
    let lot = only(&state);
    assert_eq!((lot.outcome.stage, lot.outcome.void), (Stage::Undecided, 1));
    assert_eq!(lot.outcome.why, ["1 test is void", "1 more head is to draw"]);
    let state = mill(&[LOT, &self::drawn(&FOUR[..2]), &tested(FOUR[0], FINE), &tested(FOUR[1], FINE)]);
    let lot = only(&state);
    assert_eq!((lot.outcome.stage, lot.outcome.passed, lot.outcome.asked.heads), (Stage::Undecided, 2, 4));
}

#[test]
fn what_one_failure_means_is_said_by_the_adopted_set() {
    use crate::rules::builtin;
    let state = mill(&[LOT]);
    assert_eq!(state.one_failure("up to 12 heads"), "one failure condemns up to 12 heads");
    for name in ["nfpa25-2023", "nfpa25-2014"] {
        assert!(state.rejudged(builtin::load(name).expect("a set"), name).one_condemns(), "{name}");
    }
    let other = state.rejudged(builtin::load("en12845").expect("a set"), "en12845");
    for words in [other.one_failure("up to 12 heads"), other.failed_sample("all of them")] {
        assert!(words.contains("condemns none of the others") && words.contains("Annex K"), "{words}");
    }
}

#[test]
fn drawn_heads_of_a_decided_lot_that_hang_by_the_record_are_named() {
    let mut said: Vec<String> = vec![LOT.to_owned(), self::drawn(&FOUR)];
    assert_eq!(only(&mill(&[LOT, &said[1]])).still_hang(&mill(&[LOT, &said[1]])), None);
    said.extend(FOUR.iter().map(|h| tested(h, FINE)));
    said.push(replaced(FOUR[0]));
    let state = mill(&said.iter().map(String::as_str).collect::<Vec<_>>());
    let lot = only(&state);
    assert_eq!(lot.outcome.stage, Stage::Passed);
    let words = lot.still_hang(&state).expect("three hang");
    assert!(words.contains("3 drawn heads still hang (mill/1.5, mill/2.3, mill/3.8)"), "{words}");
    let down = run_through(&FOUR.map(|h| (h, FINE)));
    assert_eq!(only(&down).still_hang(&down), None);
}

#[test]
fn a_sample_that_is_received_before_it_was_handed_over_is_remarked() {
    use crate::round::entry::Step;
    let custody =
        |step: &str, tags: &str| format!(r#""custody":{{"lot":"links","step":"{step}","tags":[{tags}],"to":"bench"}}"#);
    let odd = |said: &[String], step: Step, tags: &[&str]| {
        let first = [LOT.to_owned(), self::drawn(&FOUR)];
        let state = mill(&first.iter().chain(said).map(String::as_str).collect::<Vec<_>>());
        let tags: Vec<String> = tags.iter().map(|t| (*t).to_owned()).collect();
        only(&state).odd_step(&state, step, &tags).is_some()
    };
    assert!(odd(&[], Step::Received, &[]));
    assert!(!odd(&[], Step::HandedOver, &[]));
    assert!(!odd(&[custody("handed-over", "")], Step::Received, &["links-2"]));
    assert!(odd(&[custody("handed-over", r#""links-1""#)], Step::Received, &["links-2"]));
    assert!(odd(&[custody("scrapped", "")], Step::HandedOver, &[]));
}
