//! The program in a real terminal: what only a terminal can show. Keys are counted by the harness, the file is read back
//! by the library.
#![cfg(unix)]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

#[path = "pty/place.rs"]
mod place;
#[path = "pty/term.rs"]
mod term;

use std::time::{Duration, Instant};

use place::{Place, signal};
use term::Term;

const SITE: &str = "quay.site.yaml";

fn walk(place: &Place) -> Term {
    let mut term = Term::start(place, &["walk", SITE], 100, 30);
    term.see("Enter walk").see("0/115");
    term
}

#[test]
fn an_area_of_100_heads_with_3_defects_takes_18_keys_from_the_overview_to_done() {
    let place = Place::with_site();
    let mut term = walk(&place);
    term.unsee("done");
    // Two moves, a defect, two moves, a defect, one move, a defect: they hang where the walk comes by.
    term.keys("Enter Right Right p1t").see("5.2.1.1.1(6)");
    term.keys("Down Down c4h").see("2/100");
    term.keys("End l2t").see("3/100");
    term.keys("w").see("97 heads").keys("a").see("100/100");
    term.keys("q").see("Enter walk").see("done").see("100/100");
    assert_eq!(term.struck(), 18);
    let mut entries = place.entries(SITE);
    let swept = entries.split_off(3);
    let want =
        ["hall/1.3 paint on element, trace", "hall/3.3 corrosion on frame, heavy", "hall/3.10 leak on seal, trace"];
    assert_eq!(entries, want);
    assert!(swept.iter().all(|e| e.starts_with("hall/") && e.ends_with(" seen")), "{swept:?}");
    let status = place.run(&["status", SITE, "--json"]).json();
    let hall = &status[0]["areas"][0];
    assert_eq!((&hall["heads"], &hall["seen"], &hall["unseen"]), (&100.into(), &100.into(), &0.into()), "{status}");
}

#[test]
fn from_the_opening_screen_to_a_ruling_with_its_clause_and_back_to_the_shell() {
    let place = Place::new();
    let mut term = Term::start(&place, &[], 80, 24);
    term.see("H E A D R O U N D").see("opens the demo");
    assert_eq!(term.line_modes(), (false, false), "keys reach the program one by one");
    assert!(term.look(vt100::Screen::alternate_screen));
    term.keys("d").see("Marram Quay Cannery").see("Enter walk");
    term.keys("Enter Tab").see("earlier finding").keys("p1h").see("REPLACE").see("impairment").see("5.2.1.1.1(6)");
    term.keys("u").see("Taken back").keys("q").see("not answered yet").keys("q").see("Enter walk");
    term.keys("q").see("1  Marram Quay Cannery").keys("q");
    assert_eq!(term.ended(), 0);
    assert_eq!(term.unrestored(), Vec::<String>::new());
}

#[test]
fn a_panic_and_a_request_to_end_restore_the_terminal() {
    let place = Place::with_site();
    let trap = place.path("trap").display().to_string();
    let mut term = Term::start_with(&place, &["walk", SITE], 100, 30, &[("HEADROUND_TRAP", &trap)]);
    term.see("0/115").keys("Enter Space").see("1/115");
    assert_ne!(term.line_modes(), (true, true));
    place.write("trap", "");
    term.keys("Right");
    assert_eq!(term.ended(), 101);
    assert_eq!(term.unrestored(), Vec::<String>::new());
    term.see("the trap of HEADROUND_TRAP");
    assert_eq!(place.entries(SITE), ["hall/1.1 seen"]);

    for name in ["TERM", "HUP", "INT"] {
        let mut term = Term::start(&place, &["walk", SITE], 100, 30);
        term.see("1/115").keys("Enter").see("hall/1.2");
        signal(term.pid(), name);
        assert_eq!(term.ended(), 0, "{name}");
        assert_eq!(term.unrestored(), Vec::<String>::new(), "{name}");
    }
}

#[test]
fn a_window_too_small_says_so_and_a_larger_one_shows_the_same_screen_again() {
    let place = Place::with_site();
    let mut term = walk(&place);
    term.keys("Enter p").see("part?");
    term.resize(30, 8).see("Make the window larger").unsee("part?");
    term.resize(70, 22).see("part?").see("Esc clear").unsee("larger");
    assert!(term.look(|s| s.rows(0, 70).all(|row| row.chars().count() <= 70)));
    // What was being entered is still there.
    term.keys("1t").see("replace").see("1/115");
}

#[test]
fn a_walk_goes_on_where_it_was_left_also_from_another_folder() {
    let place = Place::with_site();
    let mut term = walk(&place);
    term.keys("Down Enter").see("dock/1.1").keys("Space Right p4l").see("2/115").keys("Down").see("dock/2.3");
    term.keys("q").see("not answered yet").keys("q").see("Enter walk").keys("q").see("Site files").keys("q");
    assert_eq!(term.ended(), 0);

    std::fs::create_dir(place.path("elsewhere")).unwrap();
    let mut term = Term::start_in(&place, "elsewhere", &[], 100, 30);
    term.see("1  Marram Quay Cannery").see("found").keys("Enter").see("▸ dock").see("2/115");
    term.keys("Enter").see("dock/2.3").see("line 2 of 2");
}

#[test]
fn undo_and_redo_reach_back_over_a_restart() {
    let place = Place::with_site();
    let mut term = walk(&place);
    term.keys("Enter Space").see("1/115").keys("p1t").see("2/115");
    term.kill_9();
    let mut term = Term::start(&place, &["walk", SITE], 100, 30);
    term.see("2/115").keys("Enter u").see("Taken back").see("1/115");
    term.keys("u").see("0/115");
    term.kill_9();
    let mut term = Term::start(&place, &["walk", SITE], 100, 30);
    term.see("0/115").keys("Enter y").see("Brought back").see("1/115").see("hall/1.1");
    assert_eq!(place.entries(SITE).len(), 5);
    let status = place.run(&["status", SITE, "--json"]).json();
    assert_eq!(status[0]["seen"], 1, "{status}");
}

#[test]
fn two_strikes_at_once_mark_one_head() {
    let place = Place::with_site();
    let mut term = walk(&place);
    term.keys("Enter").see("hall/1.1");
    term.send(b"  ");
    term.see("1/115").see("hall/1.2");
    // Held down, the key repeats: nothing more is written.
    term.send(b"          ");
    term.keys("Right").see("hall/1.");
    term.keys("Left Home").see("hall/1.1");
    // An unhurried hand goes on.
    term.keys("End Space").see("2/115").see("hall/2.1");
    assert_eq!(place.entries(SITE), ["hall/1.1 seen", "hall/1.10 seen"]);
}

#[test]
fn no_colour_means_no_colour_codes_and_reverse_stays() {
    let place = Place::with_site();
    let mut term = Term::start_with(&place, &["walk", SITE], 100, 30, &[("NO_COLOR", "1")]);
    term.see("0/115").keys("Enter p1h").see("replace").keys("l2h").see("IMPAIRMENT").keys("w").see("whole area");
    let mut reverse = false;
    for step in colour_steps(&term.raw()) {
        assert!(!step.is_colour, "a colour is set: {step:?}");
        reverse |= step.is_reverse;
    }
    assert!(reverse, "what is chosen must stand out without colour");

    // The same keys with colour: the test can tell.
    let place = Place::with_site();
    let mut term = Term::start(&place, &["walk", SITE], 100, 30);
    term.see("0/115").keys("Enter p1h").see("replace");
    assert!(colour_steps(&term.raw()).iter().any(|s| s.is_colour));
}

#[derive(Debug)]
struct Step {
    is_colour: bool,
    is_reverse: bool,
}

/// What the style sequences (`ESC [ … m`) of an output do.
fn colour_steps(raw: &[u8]) -> Vec<Step> {
    let text = String::from_utf8_lossy(raw);
    let mut steps = Vec::new();
    for part in text.split("\u{1b}[").skip(1) {
        let codes: String = part.chars().take_while(|c| c.is_ascii_digit() || matches!(c, ';' | ':')).collect();
        if !part.strip_prefix(codes.as_str()).is_some_and(|rest| rest.starts_with('m')) {
            continue;
        }
        // 39, 49 and 59 give back the terminal's own colours; they may stand.
        for code in codes.split(';').map(|c| c.parse::<u16>().unwrap_or(0)) {
            let is_colour = matches!(code, 30..=38 | 40..=48 | 58 | 90..=97 | 100..=107);
            steps.push(Step { is_colour, is_reverse: code == 7 });
        }
    }
    steps
}

#[test]
fn waiting_for_a_text_that_never_comes_fails() {
    let place = Place::with_site();
    let term = walk(&place).patient(Duration::from_millis(200));
    let started = Instant::now();
    let why = term.wait_for("a text that is not on the screen").unwrap_err();
    assert!(started.elapsed() >= Duration::from_millis(200));
    assert!(why.contains("a text that is not on the screen") && why.contains("Packing hall"), "{why}");
}

mod slow_disk {
    //! The same app without a terminal, where the clock can be made to stand at any moment.

    use std::path::Path;

    use chrono::TimeDelta;
    use crossterm::event::{Event, KeyCode, KeyEvent, KeyModifiers};
    use headround::record::desk::{Clock as _, Desk};
    use headround::tui::app::{App, Setting};
    use headround::tui::drive::{TestClock, setting};
    use headround::tui::screens::walk::Walk;

    use super::{Place, SITE};

    fn app(path: &Path, clock: &TestClock) -> App {
        let setting = Setting { overview: |_: &Desk| Walk::new(0, None), ..setting(clock) };
        let mut app = App::new(setting);
        app.open(path);
        app
    }

    #[test]
    fn a_double_strike_stays_one_when_writing_takes_long() {
        let place = Place::with_site();
        let clock = TestClock::at("2026-11-25T09:00:00-05:00");
        let mut app = app(&place.path(SITE), &clock);
        let space = Event::Key(KeyEvent::new(KeyCode::Char(' '), KeyModifiers::NONE));
        let struck = clock.now();
        app.take_struck(&space, struck);
        clock.pass(2_000);
        app.take_struck(&space, struck + TimeDelta::milliseconds(60));
        assert_eq!(place.entries(SITE), ["hall/1.1 seen"]);
        app.take_struck(&space, struck + TimeDelta::milliseconds(60 + 150));
        assert_eq!(place.entries(SITE), ["hall/1.1 seen", "hall/1.2 seen"]);
    }
}

#[test]
fn a_cabinet_is_added_and_counted_and_a_head_replaced_from_it() {
    let place = Place::with_site();
    let mut term = walk(&place);
    term.keys("k").see("no cabinet in the register").keys("n").see("Short name");
    term.typed("riser").keys("Enter").typed("Valve room").keys("Enter Enter Enter Enter");
    term.see("one cabinet").see("never counted");
    // Two kinds are installed: each a number and Enter, one of the first unfit.
    let before = term.struck();
    term.keys("c").see("Counting: Valve room").keys("6 u 1 Enter").see("unfit").keys("2 Enter");
    term.see("Nothing differs; 2 kinds new to the ledger").keys("Enter").see("Counted: 8 heads of 2 kinds");
    assert_eq!(term.struck() - before, 8);
    term.keys("q").see("Enter walk").keys("Enter").see("hall/1.1").keys("p1t").see("replace");
    // The head's equal stands first: two keys, and the ruling is gone.
    let before = term.struck();
    term.keys("=").see("fits").see("5 in Valve room").keys("Enter").see("replaced by qr-pendent");
    assert_eq!(term.struck() - before, 2);
    let entries = place.entries(SITE);
    let want = [
        "cabinet riser added",
        "cabinet riser counted: 8 heads of 2 kinds",
        "hall/1.1 paint on element, trace",
        "hall/1.1 replaced by qr-pendent from cabinet riser",
    ];
    assert_eq!(entries, want);
    term.keys("q").see("not answered yet").keys("q").see("Enter walk").keys("k Right").see("list").see("5");
    let shown = place.run(&["cabinet", SITE, "--json"]).json();
    let words = shown.to_string();
    assert!(words.contains("\"held\":5"), "{words}");
}
