//! The screens of what falls due, of lots and of the bench: what keys record, what a draw hides and shows, how a stopwatch and a
//! glove get on, what is said of a failure before it is recorded.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod screens_support;

use headround::round::entry::{DrawnBy, Tested, What};
use headround::round::lots::{self, Lot, Stage};
use headround::round::state::State;
use screens_support::{Bench, On};

fn state(bench: &Bench) -> &State {
    bench.drive.app().desk().expect("a site is open").state()
}

fn lot(bench: &Bench, id: &str) -> Lot {
    lots::lots(state(bench)).into_iter().find(|l| l.id.as_str() == id).expect("the lot")
}

fn tested(bench: &Bench) -> &Tested {
    match &state(bench).entries().last().unwrap().what {
        What::Tested(x) => x,
        other => panic!("a test: {other:?}"),
    }
}

/// To the lot of that row.
const DOCK: &str = "l Home Enter";
const HALL: &str = "l Home Down Enter";
const BOILER: &str = "l Home Down Down Enter";

/// Conditions typed into the first rows of the bench, and back to the stopwatch. Quick heads of 155 °F then have to open within
/// some 22 s: RTI 65 (m.s)^0.5.
const CONDITIONS: &str = "1 3 5 C Enter 2 . 5 4 m / s Enter 2 0 C Enter 7 p s i Enter Esc";

/// Start, keys, the screen one is on then, what is recorded.
type Row = (On, &'static str, &'static str, &'static [&'static str]);

const ROWS: &[Row] = &[
    // Looking records nothing.
    (On::Lots, "d Right Right Left Down End Home l Esc Esc", "overview", &[]),
    (On::Lots, "l Home Enter Tab Tab Tab Tab Shift-Tab Esc Esc", "overview", &[]),
    // From what is due to its lot, or to the ways; what is due later says so.
    (On::Lots, "d Enter", "ways to draw lots", &[]),
    (On::Lots, "d Down Enter", "lot", &[]),
    (On::Old, "d n Esc", "due", &[]),
    (On::Old, "l n", "ways to draw lots", &[]),
    // Lots are formed after a question that only y answers.
    (On::Old, "d n Enter", "confirmation", &[]),
    (On::Old, "d n Enter Enter Esc", "ways to draw lots", &[]),
    (On::Old, "d n End Enter y", "due", &["lot all formed"]),
    (On::Old, "d n o 2 y", "due", &["lot hall-qr-pendent-2009 formed"]),
    (On::Old, "d n o Esc", "ways to draw lots", &[]),
    // A lot named by hand.
    (On::Old, "l a s h e d Enter O l d Enter b o i l e r Enter Enter Enter", "lots", &["lot shed formed"]),
    (On::Old, "l a s h e d Enter O l d Enter n o w h e r e Enter", "new lot", &[]),
    (On::Lots, "l a b o i l e r Enter", "new lot", &[]),
    // A draw asks before it records, and is made again only once it is taken back.
    (On::Lots, "l Home Down Down Enter d Enter", "confirmation", &[]),
    (On::Lots, "l Home Down Down Enter d Enter y", "lot", &["3 heads drawn for lot boiler"]),
    (On::Lots, "l Home Down Down Enter d n Enter y", "lot", &["4 heads drawn for lot boiler"]),
    (On::Lots, "l Home Down Down Enter d Esc", "lot", &[]),
    (On::Lots, "l Home Down Down Enter d s 1 2 x Enter", "text question", &[]),
    (On::Lots, "l Home Down Down Enter d s 1 2 Enter", "draw", &[]),
    // By hand: what may not be drawn is not chosen, nothing chosen is no draw, a reason is wanted.
    (On::Lots, "l Home Down Down Enter h Enter", "draw by hand", &[]),
    (On::Lots, "l Home Down Down Enter h Down Down Space Enter", "draw by hand", &[]),
    (On::Lots, "l Home Down Down Enter h Space Space Enter", "draw by hand", &[]),
    (On::Lots, "l Home Down Down Enter h Space Enter Enter", "text question", &[]),
    (On::Lots, "l Home Down Down Enter h Space Enter l i f t Enter", "lot", &["1 head drawn for lot boiler"]),
    (On::Lots, "l Home Down Down Enter h Space Esc", "confirmation", &[]),
    // Taken down: a replacement, recorded at the head.
    (On::Lots, "l Home Down Enter Home Down r", "replacement", &[]),
    (On::Lots, "l Home Down Enter Home Down r Enter", "lot", &["hall/2.7 replaced by qr-pendent from cabinet riser"]),
    (On::Lots, "l Home Down Enter Home r", "lot", &[]),
    // Custody.
    (
        On::Lots,
        "l Home Down Enter c Enter Enter Enter Enter Enter Enter Enter",
        "lot",
        &["sample of lot hall-2009 packed"],
    ),
    (On::Lots, "l Home Down Enter c Right Down Down Down Down Down Down Enter", "custody", &[]),
    (
        On::Lots,
        "l Home Down Enter c Right Down Down Down L a b Down Down Down Enter",
        "lot",
        &["sample of lot hall-2009 handed-over, to Lab"],
    ),
    (On::Lots, "l Home Down Enter c Down n o n e Enter", "custody", &[]),
    (On::Lots, "l Home Down Down Enter c", "lot", &[]),
    // A laboratory's result: nothing chosen is no result.
    (On::Lots, "l Home Down Enter x Down 2 0 2 6 Down L a b Down Down Down Enter", "laboratory result", &[]),
    (
        On::Lots,
        "l Home Down Enter x p Down 2 0 2 6 Down L a b Down Down Down Enter",
        "lot",
        &["lot hall-2009 passed by Lab"],
    ),
    // The bench: nothing measured is no test; a stopwatch that runs is not recorded.
    (On::Lots, "l Home Enter End Enter Enter", "bench", &[]),
    (On::Lots, "l Home Enter End Enter Space Enter", "bench", &[]),
    (On::Lots, "l Home Enter End Enter Space Esc", "confirmation", &[]),
    (On::Lots, "l Home Enter End Enter Space Space Space Enter", "lot", &["dock/3.5 tested for lot dock-1974"]),
    (On::Lots, "l Home Enter End Enter Esc", "lot", &[]),
    // Taking back: another's entry after a question.
    (On::Lots, "l Home Enter Tab Tab Tab Enter", "confirmation", &[]),
    (On::Lots, "l Home Down Enter Tab Tab Tab Enter", "lot", &["01KB000000000000000000000D taken back"]),
];

#[test]
fn keys_do_what_the_table_says() {
    for (on, keys, top, recorded) in ROWS {
        let mut bench = Bench::new(*on);
        bench.drive.keys(keys);
        let shown = bench.shown();
        assert_eq!(bench.drive.top(), *top, "'{keys}' on {on:?}:\n{shown}");
        assert_eq!(bench.recorded(), *recorded, "'{keys}' on {on:?}:\n{shown}");
    }
}

#[test]
fn a_question_before_lots_are_formed_names_how_many_and_what_one_failure_condemns() {
    let mut bench = Bench::new(On::Old);
    bench.drive.keys("d n End Enter");
    let shown = bench.shown().replace('\n', " ");
    let words: String = shown.split_whitespace().filter(|w| *w != "│").collect::<Vec<_>>().join(" ");
    assert!(words.contains("Form 1 lot, all in one lot, of 65 heads?"), "{words}");
    assert!(words.contains("up to 65 heads."), "{words}");
}

#[test]
fn a_draw_shows_its_heads_only_once_it_is_recorded_and_can_be_drawn_again_from_its_seed() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys(BOILER).keys("d");
    let shown = bench.shown();
    // Two of five may not be drawn: one is corroded, one nobody has looked at.
    assert!(shown.contains("5 heads; 3 may be drawn, 2 may not"), "{shown}");
    assert!(shown.contains("A visible defect") && shown.contains("boiler/1.3"), "{shown}");
    assert!(shown.contains("Nobody has looked at it in this round") && shown.contains("boiler/1.5"), "{shown}");
    assert!(!shown.contains("boiler/1.1") && !shown.contains("boiler/1.4"), "{shown}");
    bench.drive.keys("s 4 2 Enter");
    assert!(bench.shown().contains("42, written by hand"), "{}", bench.shown());
    bench.drive.keys("Enter y");
    let What::Drawn(drawn) = &state(&bench).entries().last().unwrap().what else { panic!("a draw") };
    assert_eq!((drawn.way, drawn.seed, drawn.eligible, drawn.asked), (DrawnBy::Random, Some(42), 3, 4));
    let (now, is) = (state(&bench), lot(&bench, "boiler"));
    assert!(lots::repeat(now, &is, *is.draws.last().unwrap()).unwrap().is_same());
    let shown = bench.shown();
    assert!(drawn.picks.iter().all(|p| shown.contains(&p.head.to_string()) && shown.contains(&p.tag)), "{shown}");
    // Taken back, the lot is as it was.
    bench.drive.keys("u");
    assert_eq!(lot(&bench, "boiler").outcome.stage, Stage::Formed);
}

#[test]
fn the_seed_of_a_draw_comes_from_chance_where_nobody_writes_one() {
    let seeds: Vec<Option<u32>> = ["", "u u d Esc u d Enter y"]
        .iter()
        .map(|more| {
            let mut bench = Bench::new(On::Lots);
            bench.drive.keys(BOILER).keys("d Enter y").keys(more);
            match &state(&bench).entries().last().unwrap().what {
                What::Drawn(d) => d.seed,
                other => panic!("{other:?}"),
            }
        })
        .collect();
    assert!(seeds[0].is_some() && seeds[1].is_some());
    assert_ne!(seeds[0], seeds[1]);
}

#[test]
fn a_reason_for_choosing_by_hand_stands_in_the_record() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys(BOILER).keys("h Down Space Enter").text("Only line 1 can be reached").keys("Enter");
    let What::Drawn(drawn) = &state(&bench).entries().last().unwrap().what else { panic!("a draw") };
    assert_eq!(
        (drawn.way, drawn.seed, drawn.note.as_deref()),
        (DrawnBy::ByHand, None, Some("Only line 1 can be reached"))
    );
    assert_eq!(drawn.picks[0].head.to_string(), "boiler/1.2");
}

#[test]
fn a_run_is_timed_by_the_moments_the_keys_were_struck_and_goes_on_to_the_next_head() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys(HALL).keys("Home Enter").keys(CONDITIONS);
    assert!(bench.shown().contains("RTI up to 65 (m.s)^0.5; must open by 22.2 s"), "{}", bench.shown());
    // 400 ms pass before each key of the driven app.
    bench.drive.keys("Space").wait(8_800).keys("Space").wait(900).keys("Space");
    let shown = bench.shown();
    assert!(shown.contains("Opened in time") && shown.contains("9.2") && shown.contains("10.5"), "{shown}");
    bench.drive.keys("Enter");
    let test = tested(&bench);
    assert_eq!(test.head.to_string(), "hall/1.2");
    let read = &test.readings;
    assert_eq!((read.element.unwrap().seconds(), read.clear.unwrap().seconds()), (9.2, 10.5));
    assert_eq!(read.oven.unwrap().to_string(), "135 C");
    // The next head stands ready at the stopwatch, under the same conditions and with none of the times.
    let shown = bench.shown();
    assert!(shown.contains("hall-2009-2") && shown.contains("135 C") && shown.contains("No verdict yet"), "{shown}");
    bench.drive.keys("Space").wait(11_600).keys("w Enter");
    let test = tested(&bench);
    assert_eq!(
        (test.head.to_string().as_str(), test.readings.element, test.readings.clear.unwrap().seconds()),
        ("hall/2.7", None, 12.0)
    );
}

#[test]
fn the_screen_runs_while_the_stopwatch_does_and_idles_otherwise() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys(HALL).keys("Home Enter").keys(CONDITIONS);
    assert!(!bench.drive.app().is_running());
    bench.drive.keys("Space");
    assert!(bench.drive.app().is_running());
    bench.drive.wait(5_000);
    assert!(bench.shown().contains(" 5.00 s "), "{}", bench.shown());
    bench.drive.wait(2_300);
    assert!(bench.shown().contains(" 7.30 s "), "{}", bench.shown());
    // In the rows and under a question it runs on.
    bench.drive.keys("Down");
    assert!(bench.drive.app().is_running());
    bench.drive.keys("Esc Esc");
    assert_eq!(bench.drive.top(), "confirmation");
    assert!(bench.drive.app().is_running());
    bench.drive.keys("n e");
    assert!(!bench.drive.app().is_running());
}

#[test]
fn a_clock_that_jumps_while_the_stopwatch_runs_is_told_and_times_are_typed_by_hand() {
    for jump in [-30_000, 90_000] {
        let mut bench = Bench::new(On::Lots);
        bench.drive.keys(HALL).keys("Home Enter").keys(CONDITIONS);
        bench.drive.keys("Space").wait(8_000).set_clock(jump);
        assert!(bench.shown().contains("clock jumped"), "{}", bench.shown());
        assert!(!bench.drive.app().is_running());
        // No key makes a time of this run, and nothing was measured that could be recorded.
        bench.drive.keys("w e Space Enter");
        assert!(bench.recorded().is_empty(), "{}", bench.shown());
        // Another run starts after the times are cleared.
        bench.drive.keys("x y Space").wait(9_130).keys("w");
        assert!(bench.shown().contains("Opened in time"), "{}", bench.shown());
        bench.drive.keys("Enter");
        assert_eq!(bench.recorded(), ["hall/1.2 tested for lot hall-2009"]);
        assert_eq!(tested(&bench).readings.clear.map(|s| s.seconds()), Some(9.53));
    }
}

#[test]
fn a_stopwatch_below_a_page_of_help_sees_the_clock_go_on() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys(HALL).keys("Home Enter").keys(CONDITIONS);
    bench.drive.keys("Space ?").wait(8_000).keys("Esc w");
    assert!(bench.shown().contains("Opened in time"), "{}", bench.shown());
}

#[test]
fn a_glove_that_strikes_twice_neither_marks_nor_records_twice() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys(HALL).keys("Home Enter").keys(CONDITIONS);
    bench.drive.hasty("Space Space");
    assert!(bench.shown().contains("element operated"), "{}", bench.shown());
    bench.drive.wait(9_000).hasty("Space Space");
    assert!(bench.drive.app().is_running(), "the second stroke marked the waterway:\n{}", bench.shown());
    bench.drive.wait(500).hasty("Space Space").hasty("Enter Enter");
    assert_eq!(bench.recorded(), ["hall/1.2 tested for lot hall-2009"]);
    // Even an unhurried second Enter finds nothing to record at the next head.
    bench.drive.keys("Enter");
    assert_eq!(bench.recorded().len(), 1, "{}", bench.shown());
}

#[test]
fn a_mark_can_be_taken_back_and_typed_over() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys(HALL).keys("Home Enter").keys(CONDITIONS);
    bench.drive.keys("Space").wait(8_600).keys("w");
    assert!(bench.shown().contains("Opened in time"), "{}", bench.shown());
    bench.drive.keys("Backspace");
    assert!(bench.drive.app().is_running() && bench.shown().contains("No verdict yet"), "{}", bench.shown());
    bench.drive.wait(600).keys("w");
    // To the row of the clearing: past the conditions, the element, the leak.
    bench.drive.keys("Down Down Down Down Down Down Down Backspace Backspace Backspace Backspace 2 3 . 4");
    let shown = bench.shown();
    assert!(shown.contains("Slow") && shown.contains("condemns 24 heads"), "{shown}");
    bench.drive.keys("Esc Enter");
    assert_eq!(tested(&bench).readings.clear.unwrap().seconds(), 23.4);
    assert_eq!(lot(&bench, "hall-2009").outcome.stage, Stage::Condemned);
    bench.drive.keys("Esc u");
    assert_eq!(lot(&bench, "hall-2009").outcome.stage, Stage::Drawn);
}

#[test]
fn times_that_stand_are_not_run_over_without_a_question() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys(HALL).keys("Home Enter").keys(CONDITIONS);
    bench.drive.keys("Space").wait(9_000).keys("w Space");
    assert!(!bench.drive.app().is_running() && bench.shown().contains("x clears them"), "{}", bench.shown());
    bench.drive.keys("x n");
    assert!(bench.shown().contains("Opened in time"), "{}", bench.shown());
    bench.drive.keys("x y");
    assert!(bench.shown().contains("No verdict yet"), "{}", bench.shown());
    bench.drive.keys("Space");
    assert!(bench.drive.app().is_running());
}

/// Common practice, no source: what standard heads of 165 °F show in an oven of 135 °C with air of 2.54 m/s, from 20 °C.
#[test]
fn the_verdict_stands_there_before_it_is_recorded() {
    let none = "";
    for (element, leak, clear, until, verdict) in [
        ("39", none, "40", none, "Opened in time"),
        ("45", none, none, "180", "Held"),
        ("45", "62", none, "180", "Leaking only"),
        (none, none, none, "180", "Did not operate"),
        ("120", none, "145", none, "Slow"),
        ("45", none, none, "90", "Void"),
    ] {
        let mut bench = Bench::new(On::Lots);
        // The last head of the dock has no test yet and takes the conditions of the others.
        bench.drive.keys(DOCK).keys("End Enter Down Down Down Down Down");
        for typed in [element, leak, clear, until] {
            bench.drive.text(typed).keys("Down");
        }
        let shown = bench.shown();
        assert!(shown.contains(verdict), "{verdict}: {shown}");
        assert!(shown.contains("must open from 31.7 s to 138.8 s"), "{shown}");
        assert!(bench.recorded().is_empty());
    }
}

#[test]
fn a_test_outside_the_method_asks_before_it_is_recorded() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys(DOCK).keys("End Enter Space").wait(30_000).keys("e Enter");
    assert_eq!(bench.drive.top(), "confirmation");
    assert!(bench.shown().contains("The test is void"), "{}", bench.shown());
    bench.drive.keys("n");
    assert!(bench.recorded().is_empty());
    bench.drive.keys("Enter y");
    assert_eq!(bench.recorded(), ["dock/3.5 tested for lot dock-1974"]);
    // It was the last one without a test: back at the lot.
    assert_eq!(bench.drive.top(), "lot", "{}", bench.shown());
}

#[test]
fn a_test_of_another_person_is_corrected_by_an_entry_that_names_it() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys(DOCK).keys("Home Down Enter");
    let shown = bench.shown();
    assert!(shown.contains("tested already: this corrects it") && shown.contains("Held"), "{shown}");
    // It failed: to undo that is asked, and why.
    bench.drive.keys("Down Down Down Down Down Down Down").text("60").keys("Esc Enter");
    assert_eq!(bench.drive.top(), "text question", "{}", bench.shown());
    let shown = bench.shown().split_whitespace().filter(|w| *w != "│").collect::<Vec<_>>().join(" ");
    assert!(shown.contains("This undoes a failed test of osk: 24 heads are condemned by"), "{shown}");
    bench.drive.keys("Enter");
    assert!(bench.recorded().is_empty() && bench.shown().contains("Write the reason"), "{}", bench.shown());
    bench.drive.keys("Esc");
    assert!(bench.recorded().is_empty());
    bench.drive.keys("Enter").text("Valve stood shut until 60 s").keys("Enter");
    let last = state(&bench).entries().last().unwrap();
    assert_eq!(last.instead().map(|id| id.to_string()).as_deref(), Some("01KB000000000000000000000G"));
    assert_eq!(tested(&bench).readings.note.as_deref(), Some("Valve stood shut until 60 s"));
    assert_eq!(bench.drive.top(), "lot");
    assert_ne!(lot(&bench, "dock-1974").outcome.stage, Stage::Condemned);
}

#[test]
fn a_failed_test_of_ones_own_is_undone_only_with_a_reason_too() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys(DOCK).keys("End Enter Space").wait(180_000).keys("e Enter");
    assert_eq!(bench.recorded(), ["dock/3.5 tested for lot dock-1974"], "{}", bench.shown());
    let own = state(&bench).entries().last().unwrap().id;
    bench.drive.keys("End Enter").keys("Down Down Down Down Down Down Down").text("60").keys("Esc Enter");
    assert_eq!(bench.drive.top(), "text question", "{}", bench.shown());
    assert!(bench.shown().contains("failed test of ines"), "{}", bench.shown());
    bench.drive.text("Wrong head").keys("Enter");
    assert_eq!(state(&bench).entries().last().unwrap().instead(), Some(own));
    assert!(lot(&bench, "dock-1974").samples[3].judged.as_ref().unwrap().verdict.passes());
}

#[test]
fn a_test_that_did_not_fail_is_corrected_without_a_question() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys(DOCK).keys("Home Enter Enter");
    assert_eq!(bench.recorded(), ["dock/1.2 tested for lot dock-1974"], "{}", bench.shown());
}

#[test]
fn nothing_is_drawn_or_taken_down_for_a_lot_that_is_decided() {
    for (way, said) in
        [(DOCK, "Lot dock-1974 is condemned already"), ("l End Enter", "Lot cold-2008 is passed already")]
    {
        for key in ["d", "h", "r"] {
            let mut bench = Bench::new(On::Lots);
            bench.drive.keys(way).keys("Home").keys(key);
            assert_eq!(bench.drive.top(), "lot", "{key}: {}", bench.shown());
            assert!(bench.shown().contains(said), "{key}: {}", bench.shown());
            assert!(!bench.shown().contains("Nothing is drawn yet"), "{key}: {}", bench.shown());
        }
    }
}

/// The site of the lots, changed.
fn lots_with(changes: &[(&str, &str)]) -> Bench {
    let mut text = std::fs::read_to_string(Bench::new(On::Lots).path()).unwrap();
    for (from, to) in changes {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    Bench::of(&text)
}

/// Dry heads of 1988 that passed when they were some 20 years old are due again long before November 2026, at the longest 15
/// years later.
#[test]
fn a_lot_that_passed_too_long_ago_is_overdue_and_not_counted_as_passed() {
    let mut bench = lots_with(&[
        ("\"on\":\"2026-11-20\",\"passed\"", "\"on\":\"2008-11-20\",\"passed\""),
        ("in_service: 2008-11", "in_service: 1988-11"),
        ("finish: chrome, made: 2008", "finish: chrome, made: 1988"),
    ]);
    let due = lots::next_due(state(&bench), &lot(&bench, "cold-2008")).expect("a day");
    bench.drive.keys("l End");
    for (columns, rows) in [(60, 20), (80, 24), (140, 40)] {
        let shown = bench.drive.shown(columns, rows);
        assert!(shown.contains("2 open, 1 condemned, 1 OVERDUE") && !shown.contains("1 passed"), "{shown}");
        let row = shown.lines().find(|l| l.contains("cold-2008")).expect("the row");
        assert!(row.contains("OVERDUE") && row.contains(&format!("since {due}")), "{shown}");
    }
    bench.drive.keys("Enter");
    assert!(bench.shown().contains(&format!("OVERDUE since {due}")), "{}", bench.shown());
}

#[test]
fn condemned_heads_that_nobody_looked_at_look_neither_walked_nor_plain() {
    let seen = "--- {\"id\":\"01KB0000000000000000000003\",\"at\":\"2026-11-24T08:11:00-05:00\",\"by\":\"ines\",\"round\":\"2026\",\"seen\":\"dock\"}\n";
    let mut bench = lots_with(&[(seen, "")]);
    bench.drive.keys("Home Down Enter");
    let shown = bench.shown();
    assert!(shown.contains("⊠ condemned, unseen"), "{shown}");
    // All 24 heads of the dock, the legend, and the head one stands at.
    assert_eq!(shown.matches('⊠').count(), 26, "{shown}");
    let mut walked = Bench::new(On::Lots);
    walked.drive.keys("Home Down Enter");
    assert_eq!(walked.shown().matches('⊠').count(), 1, "{}", walked.shown());
}

#[test]
fn what_is_due_tells_of_condemned_heads_beside_the_others() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys("d");
    for (columns, rows) in [(60, 20), (80, 24)] {
        let shown = bench.drive.shown(columns, rows);
        assert!(shown.contains("24 heads condemned"), "{shown}");
    }
}

#[test]
fn a_head_is_not_burnt_under_void_conditions_without_a_question_that_says_why() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys(HALL).keys("Home Enter Esc");
    assert!(bench.shown().contains("Void as things stand"), "{}", bench.shown());
    bench.drive.keys("Space");
    assert_eq!(bench.drive.top(), "confirmation");
    assert!(bench.shown().contains("oven's temperature is not recorded"), "{}", bench.shown());
    bench.drive.keys("n");
    assert!(!bench.drive.app().is_running());
    bench.drive.keys("Space y").wait(3_000);
    assert!(bench.drive.app().is_running() && bench.shown().contains(" 3.00 s "), "{}", bench.shown());
    // An oven in the wrong unit is named, and so is a pressure that nobody read.
    for (typed, words) in [
        ("1 3 5 F Enter 2 . 5 4 m / s Enter 2 0 C Enter 7 p s i Enter Esc", "oven stood at 135 F"),
        ("1 3 5 C Enter 2 . 5 4 m / s Enter 2 0 C Enter Esc", "pressure is not recorded"),
    ] {
        let mut bench = Bench::new(On::Lots);
        bench.drive.keys(HALL).keys("Home Enter").keys(typed).keys("Space");
        let shown = bench.shown().split_whitespace().filter(|w| *w != "│").collect::<Vec<_>>().join(" ");
        assert!(bench.drive.top() == "confirmation" && shown.contains(words), "{words}: {shown}");
    }
}

#[test]
fn one_key_leads_to_what_was_seen_and_words_are_chosen_by_letter_or_number() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys(DOCK).keys("End Enter s p Enter 3 Enter Enter b Esc Space").wait(40_000).keys("w Enter");
    let read = &tested(&bench).readings;
    let words = (read.before.unwrap().to_string(), read.seal.unwrap().to_string(), read.deflector.unwrap().to_string());
    assert_eq!(words, ("painted".to_owned(), "stuck".to_owned(), "bent".to_owned()));
}

#[test]
fn b_leads_to_the_bench_as_enter_does() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys(DOCK).keys("b");
    assert_eq!(bench.drive.top(), "bench");
    bench.drive.keys("Esc Tab Tab Tab b");
    assert_eq!(bench.drive.top(), "lot");
}

#[test]
fn condemned_heads_are_named_by_their_lot_in_notices_and_findings() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys("i");
    for (columns, rows) in [(60, 20), (80, 24)] {
        let shown = bench.drive.shown(columns, rows);
        assert_eq!(shown.matches("lot dock-1974 failed: held: 24 heads").count(), 1, "{shown}");
        assert!(shown.contains("Out of order") && shown.contains("Tell, in this order"), "{shown}");
    }
    bench.drive.keys("Esc f");
    let shown = bench.drive.shown(80, 24);
    assert!(shown.matches("lot dock-1974 failed: held").count() > 5, "{shown}");
    assert!(shown.contains("the head from dock/2.7 held shut"), "{shown}");
}

#[test]
fn the_banner_keeps_its_key_however_narrow() {
    let bench = Bench::new(On::Lots);
    for columns in [52, 60, 80, 140] {
        let shown = bench.drive.shown(columns, 20);
        let banner = shown.lines().find(|l| l.contains("IMPAIRMENT")).expect("the banner");
        assert!(banner.contains("(overview: i)"), "{banner}");
    }
}

#[test]
fn what_comes_next_with_a_lot_is_whole_at_every_width() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys("l");
    for (columns, rows, words) in [
        (60, 20, ["replace 24", "take down 3", "draw 4", "due 20"]),
        (80, 24, ["replace 24", "take down 3", "draw 4", "due again on 20"]),
    ] {
        let shown = bench.drive.shown(columns, rows);
        let rows: Vec<&str> =
            shown.lines().filter(|l| l.contains('□') || l.contains(" of ") || l.contains("by lab")).collect();
        for word in words {
            assert!(rows.iter().any(|r| r.contains(word)), "{word}: {shown}");
        }
        assert!(shown.contains("next"), "{shown}");
    }
}

#[test]
fn a_long_verdict_is_whole_at_eighty_columns() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys(DOCK).keys("Home Down Enter");
    for (columns, rows) in [(80, 24), (60, 20)] {
        let shown = bench.drive.shown(columns, rows).split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(shown.contains("It condemns 24 heads.") && shown.contains("the waterway had not cleared."), "{shown}");
    }
}

#[test]
fn a_condemned_lot_says_what_is_to_be_replaced_and_a_passed_one_how_little_that_shows() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys(DOCK);
    let shown = bench.shown();
    assert!(shown.contains("condemned") && shown.contains("held shut"), "{shown}");
    assert!(shown.contains("24 heads"), "{shown}");
    bench.drive.keys("Esc End Enter");
    let shown = bench.shown().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(shown.contains("Passed on 2026-11-20") && shown.contains("weak evidence"), "{shown}");
    // With 4 of 6 tested and none bad, the two that were not can still be bad.
    assert!(shown.contains("None of 4 failed: up to 2 of 6 could still be bad"), "{shown}");
}

#[test]
fn the_plot_of_a_lot_shows_every_tested_head_with_its_verdict() {
    let mut bench = Bench::new(On::Lots);
    bench.drive.keys(DOCK).keys("Tab");
    for (columns, rows) in [(60, 20), (80, 24), (140, 40)] {
        let shown = bench.drive.shown(columns, rows);
        for words in ["dock/1.2", "dock/2.7", "dock/2.3", "held", "opened in time"] {
            assert!(shown.contains(words), "{words} at {columns}x{rows}:\n{shown}");
        }
    }
}

#[test]
fn what_is_due_shows_unknown_ages_first_and_says_what_was_assumed() {
    let mut bench = Bench::new(On::Old);
    bench.drive.keys("d");
    let shown = bench.shown();
    assert!(
        shown.contains("no date known") && shown.contains("Neither day of service nor year made is known"),
        "{shown}"
    );
    assert!(shown.contains("today"), "{shown}");
    // Half a year ahead the dry heads of 2008 are later; two years ahead they are due.
    let cold = |bench: &Bench| bench.shown().lines().find(|l| l.contains("cold")).expect("the row").to_owned();
    assert!(cold(&bench).contains("to come"), "{}", cold(&bench));
    bench.drive.keys("Left Left");
    assert!(cold(&bench).contains("later"), "{}", cold(&bench));
}
