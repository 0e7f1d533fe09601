//! What reviews of lots asked: kinds corrected late, results of laboratories, tests made early or dated wrongly.

use super::tests::{BEGIN, FINE, FOUR, LOT, MILL, at, drawn, mill, of, only, replaced, tested, today, written};
use super::*;
use crate::diag::Source;
use crate::report::sample_tests::{id, state};
use crate::round::{due, stock};
use crate::rules::duties::Act;
use crate::rules::{builtin, judge::Judge};
use crate::trade::measure::Span;
use crate::trade::register_text;

fn concluded(passed: bool, more: &str) -> String {
    format!(r#""concluded":{{"lot":"links","on":"2026-11-20","passed":{passed},"by":"bench of Port Tarrow"{more}}}"#)
}

fn stage(said: &[&str]) -> Stage {
    only(&mill(said)).outcome.stage
}

#[test]
fn a_drawn_head_that_was_of_another_kind_all_along_is_held_to_that_kinds_limits() {
    let drawn = drawn(&FOUR);
    let slow_for_a_bulb = tested(FOUR[0], r#""element":"40 s","clear":"40.5 s""#);
    let corrected = format!(r#""is_kind":{{"head":"{}","kind":"qr-bulb"}}"#, FOUR[0]);
    let verdict = |said: &[&str]| {
        let state = mill(said);
        only(&state).samples[0].judged.as_ref().map(|j| j.verdict)
    };
    assert_eq!(verdict(&[LOT, &drawn, &slow_for_a_bulb]), Some(Verdict::InTime));
    assert_eq!(verdict(&[LOT, &drawn, &corrected, &slow_for_a_bulb]), Some(Verdict::Slow));
    // What is said of the head that took its place does not reach back.
    assert_eq!(verdict(&[LOT, &drawn, &replaced(FOUR[0]), &corrected, &slow_for_a_bulb]), Some(Verdict::InTime));
}

#[test]
fn a_result_that_condemns_stands_until_it_is_taken_back() {
    let (failed, passed) = (concluded(false, ""), concluded(true, ""));
    assert_eq!(stage(&[LOT, &failed, &passed]), Stage::Condemned);
    assert_eq!(stage(&[LOT, &passed, &failed]), Stage::Condemned);
    let back = format!(r#""retract":"{}""#, id(7));
    assert_eq!(stage(&[LOT, &failed, &back, &passed]), Stage::Passed);
}

#[test]
fn a_failed_test_stands_against_later_ones_until_its_writer_or_a_reason_corrects_it() {
    let held = tested(FOUR[0], r#""element":"45 s","until":"200 s""#);
    let fine = tested(FOUR[0], FINE);
    let reasoned = tested(FOUR[0], &format!(r#"{FINE},"note":"read from the neighbour's row""#));
    let drawn = drawn(&FOUR);
    let of = |last: &str, by: &str, instead: bool| {
        let said = [BEGIN, r#""seen":"mill""#, LOT, &drawn, &held];
        let mut entries = written(&said);
        let link = if instead { format!(r#","instead":"{}""#, id(5)) } else { String::new() };
        entries.push(crate::report::sample_tests::entry(
            6,
            "2026-11-25T10:00:00-05:00",
            by,
            "2026",
            &format!("{last}{link}"),
        ));
        let state = state(MILL, entries);
        let lot = only(&state);
        (lot.samples[0].judged.as_ref().map(|j| j.verdict), lot.outcome.why.join("; "))
    };
    assert_eq!(of(&fine, "osk", false).0, Some(Verdict::Held));
    assert_eq!(of(&fine, "osk", true).0, Some(Verdict::Held));
    let (verdict, why) = of(&reasoned, "osk", true);
    assert_eq!(verdict, Some(Verdict::InTime));
    assert!(why.contains("a test of ines that says 'held' was corrected"), "{why}");
    assert_eq!(of(&fine, "ines", true).0, Some(Verdict::InTime));
}

#[test]
fn tested_heads_without_a_replacement_on_record_are_told() {
    let tests: Vec<String> = FOUR.iter().map(|h| tested(h, FINE)).collect();
    let drawn = drawn(&FOUR);
    let mut said = vec![LOT, &drawn];
    said.extend(tests.iter().map(String::as_str));
    let lot = only(&mill(&said));
    assert_eq!(lot.outcome.stage, Stage::Passed);
    assert!(
        lot.outcome.why.iter().any(|w| w.contains("4 tested heads of the sample: no replacement")),
        "{:?}",
        lot.outcome.why
    );
}

#[test]
fn the_walk_is_told_which_heads_went_into_a_sample_until_a_replacement_is_written_down() {
    let drawn = drawn(&FOUR);
    let test = tested(FOUR[0], FINE);
    let put_in = replaced(FOUR[0]);
    let told = |said: &[&str], head: &str| {
        let state = mill(said);
        no_replacement(&state, at(&state, head)).unwrap_or_default()
    };
    assert_eq!(told(&[LOT], FOUR[0]), "");
    assert_eq!(told(&[LOT, &drawn], FOUR[0]), "drawn for lot links as links-1: it is to be taken down and replaced");
    let words = told(&[LOT, &drawn, &test], FOUR[0]);
    assert!(words.starts_with("tested on 2026-11-25 as links-1 of lot links, and no replacement"), "{words}");
    assert_eq!(told(&[LOT, &drawn, &test, &put_in], FOUR[0]), "");
    assert_eq!(told(&[LOT, &drawn, &test], "mill/1.2"), "");
}

#[test]
fn nothing_goes_into_service_before_it_is_made() {
    let site = MILL.replace("in_service: 2000-09-15", "in_service: 1996-10");
    let state = state(&site, written(&[BEGIN]));
    let list = due::due(&state, &[], today(), Span::parse("2 years").expect("a span"));
    let row = list.rows.iter().find(|r| r.kind == "qr-bulb").expect("a row");
    // Made in 2000, quick: twenty-five years (5.3.1.1.1.1).
    assert_eq!(row.on, "2025-01-01".parse().ok());
    assert_eq!(row.assumed, ["made 2000, after its area went into service: counted from when it was made"]);
}

#[test]
fn a_laboratory_that_tested_too_few_has_not_passed_the_lot() {
    assert_eq!(stage(&[LOT, &concluded(true, r#","tested":1"#)]), Stage::Undecided);
    assert_eq!(stage(&[LOT, &concluded(true, r#","tested":4"#)]), Stage::Passed);
    assert_eq!(stage(&[LOT, &concluded(true, "")]), Stage::Passed);
}

#[test]
fn where_the_set_does_not_condemn_by_one_failure_a_laboratorys_word_settles_it() {
    let under_en = |told: &[&str]| {
        let held = tested(FOUR[0], r#""element":"45 s","until":"600 s""#);
        let drawn = drawn(&FOUR);
        let said: Vec<&str> = [BEGIN, LOT, &drawn, &held].into_iter().chain(told.iter().copied()).collect();
        let set = builtin::load("en12845").expect("a built-in set");
        let (register, _) = register_text::read(&Source::new("mill", MILL.replace("nfpa25-2023", "en12845")));
        let register = register.expect("a register");
        let judge = Judge::new(set, &register.recalled);
        let state = State::fold(register, written(&said), judge, None);
        (only(&state).outcome.stage, stock::condemned(&state).len())
    };
    assert_eq!(under_en(&[]), (Stage::AtBench, 0));
    let passed = concluded(true, "").replace("2026-11-20", "2026-11-26");
    assert_eq!(under_en(&[&passed]), (Stage::Passed, 0));
    // A result from before the draw is none of this sample.
    assert_eq!(under_en(&[&concluded(true, "")]), (Stage::AtBench, 0));
    assert_eq!(under_en(&[&concluded(false, "")]), (Stage::Condemned, 24));
}

#[test]
fn a_test_dated_before_the_draw_says_nothing() {
    let early = tested(FOUR[0], r#""on":"2021-05-01","element":"40 s","clear":"40.5 s""#);
    let state = mill(&[LOT, &drawn(&FOUR), &early]);
    let lot = only(&state);
    let judged = lot.samples[0].judged.as_ref().expect("a test");
    assert_eq!(judged.verdict, Verdict::Void);
    assert!(judged.why[0].contains("before the head was drawn"), "{:?}", judged.why);
}

#[test]
fn a_test_up_to_two_years_early_counts_and_an_earlier_one_is_told() {
    let on = |in_service: &str| {
        let site = MILL
            .replace("in_service: 1971-04", &format!("in_service: {in_service}"))
            .replace("made: 1970", "made: 1976");
        let lot = LOT.replace(
            "2021-04-01",
            &format!("{}-01", in_service.replace("19", "20").replacen("2077", "2027", 1).replacen("2079", "2029", 1)),
        );
        let mut said: Vec<String> = vec![BEGIN.to_owned(), r#""seen":"mill""#.to_owned(), lot, drawn(&FOUR)];
        said.extend(FOUR.iter().map(|h| tested(h, FINE)));
        let said: Vec<&str> = said.iter().map(String::as_str).collect();
        let state = state(&site, written(&said));
        let lots = lots(&state);
        let list = due::due(&state, &lots, today(), Span::parse("2 years").expect("a span"));
        let row = list.rows.iter().find(|r| r.area.as_str() == "mill").expect("a row").on;
        (row.map(|d| d.to_string()).unwrap_or_default(), lots[0].outcome.why.join("; "))
    };
    // Fifty years after 1977-03 is 2027-03, four months after the test: ten years from the test.
    assert_eq!(on("1977-03").0, "2036-11-25");
    // Three years early: the day stays, and that is said.
    let (day, why) = on("1979-12");
    assert_eq!(day, "2029-12-01");
    assert!(why.contains("puts nothing off"), "{why}");
}

#[test]
fn a_laboratorys_test_from_before_the_heads_hung_there_puts_nothing_off() {
    let told = concluded(true, "").replace("2026-11-20", "1960");
    let state = mill(&[LOT, &told]);
    let list = due::due(&state, &lots(&state), today(), Span::parse("2 years").expect("a span"));
    let row = list.rows.iter().find(|r| r.area.as_str() == "mill").expect("a row");
    assert_eq!((row.on, row.tested), ("2021-04-01".parse().ok(), None));
}

#[test]
fn a_head_in_service_before_1920_was_made_before_1920() {
    let site = MILL.replace("in_service: 1971-04", "in_service: 1915").replace("made: 1970}", "made: unknown}");
    let state = state(&site, written(&[BEGIN]));
    let list = due::due(&state, &[], today(), Span::parse("2 years").expect("a span"));
    let row = list.rows.iter().find(|r| r.area.as_str() == "mill").expect("a row");
    assert_eq!((row.act, row.age.as_str()), (Act::Replace, "made-before-1920"));
    assert!(!row.assumed.iter().any(|a| a.contains("may be due earlier")), "{:?}", row.assumed);
    let of = of(&[BEGIN]);
    assert!(of.failure(at(&of, "mill/1.1")).is_none());
}

#[test]
fn remarks_that_no_limit_weighs_are_told_of_the_lot() {
    let lodged = tested(FOUR[0], r#""element":"40 s","clear":"40.5 s","lodged":true"#);
    let lot = only(&mill(&[LOT, &drawn(&FOUR), &lodged]));
    assert!(lot.outcome.why.iter().any(|w| w.starts_with("1 head has parts lodged")), "{:?}", lot.outcome.why);
}
