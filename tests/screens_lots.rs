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
    bench.drive.keys("Enter");
    let last = state(&bench).entries().last().unwrap();
    assert_eq!(last.instead().map(|id| id.to_string()).as_deref(), Some("01KB000000000000000000000G"));
    assert_eq!(bench.drive.top(), "lot");
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
    assert!(cold(&bench).contains("due soon"), "{}", cold(&bench));
    bench.drive.keys("Left Left");
    assert!(cold(&bench).contains("later"), "{}", cold(&bench));
}
