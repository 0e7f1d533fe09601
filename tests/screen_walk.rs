//! The walk, driven by keys through the app with a real file below it.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod common;

use common::{BEGUN, EARLIER, REGISTER, Site};
use headround::tui::app::Setting;
use headround::tui::screens::walk::Walk;

/// Enters the dock, whose heads 1.2 and 2.3 carry earlier findings.
const DOCK: &str = "Down Enter";

#[test]
fn keys_record_what_the_key_law_says() {
    for (keys, recorded) in [
        // Seen and next; a head with an entry is passed.
        ("Enter Space Space", vec!["hall/1.1 seen", "hall/1.2 seen"]),
        ("Enter Space Left Space Space", vec!["hall/1.1 seen", "hall/1.2 seen"]),
        ("Enter p1t Space Space", vec!["hall/1.1 paint on element, trace", "hall/1.2 seen"]),
        // Moving writes nothing; lines wrap, columns are kept.
        ("Enter Right Right Down Up Home End PgDn PgUp Left Tab", vec![]),
        ("Enter End Right Space", vec!["hall/2.1 seen"]),
        ("Enter Right Right Down Down Up Space", vec!["hall/2.3 seen"]),
        ("Enter PgDn End Space", vec!["hall/6.10 seen"]),
        ("Enter PgDn PgDn Left Space", vec!["hall/9.10 seen"]),
        // Sign and part in either order, then the extent.
        ("Enter p1t", vec!["hall/1.1 paint on element, trace"]),
        ("Enter 1pt", vec!["hall/1.1 paint on element, trace"]),
        ("Enter 2ll", vec!["hall/1.1 leak on seal, light"]),
        ("Enter p1 Down Down Enter", vec!["hall/1.1 paint on element, light"]),
        // Two defects on one head; the cursor stays.
        ("Enter p1t c4l", vec!["hall/1.1 paint on element, trace", "hall/1.1 corrosion on frame, light"]),
        // The only part is not asked; the only part and extent want Enter.
        ("Enter fh", vec!["hall/1.1 fluid-loss on element, heavy"]),
        ("Enter s Enter", vec!["hall/1.1 strap on whole, full"]),
        ("Enter s Space w n", vec![]),
        // Esc drops it, Backspace takes back a piece.
        ("Enter p1 Esc Space", vec!["hall/1.1 seen"]),
        ("Enter p1 Backspace 4t", vec!["hall/1.1 paint on frame, trace"]),
        ("Enter 1p Backspace ct", vec!["hall/1.1 corrosion on element, trace"]),
        ("Enter p Backspace Space", vec!["hall/1.1 seen"]),
        // A sign that asks for a clearance: Enter alone means it was not measured.
        ("Enter bh Enter", vec!["hall/1.1 blocked on deflector, heavy"]),
        ("Enter bh 1 2 Enter", vec!["hall/1.1 blocked on deflector, heavy"]),
        ("Enter bh Esc Esc Space", vec!["hall/1.1 seen"]),
        ("Enter bh t e n Enter Esc Esc Space", vec!["hall/1.1 seen"]),
        // Sweeps: the count is that of heads without an entry; the key that asks does not answer.
        ("Enter p1t wy", vec!["hall/1.1 paint on element, trace", "hall/1.2..1.10 seen"]),
        ("Enter Space w w w Esc", vec!["hall/1.1 seen"]),
        (
            "Enter Down Right p1t wa",
            vec!["hall/2.2 paint on element, trace", "hall/1.1..2.1 seen", "hall/2.3..10.10 seen"],
        ),
        // The same on the next heads: one entry a range.
        ("Enter p4l k 2 Enter", vec!["hall/1.1 paint on frame, light", "hall/1.2..1.3 paint on frame, light"]),
        (
            "Enter PgDn End p4l k 12 Enter",
            vec![
                "hall/6.10 paint on frame, light",
                "hall/7.1..7.10 paint on frame, light",
                "hall/8.1..8.2 paint on frame, light",
            ],
        ),
        ("Enter p4l k 2 Esc k Enter Esc", vec!["hall/1.1 paint on frame, light"]),
        ("Enter k", vec![]),
        // Could not be judged.
        ("Enter v 1", vec!["hall/1.1 could not be judged (too-far)"]),
        ("Enter v Down Enter", vec!["hall/1.1 could not be judged (light)"]),
        ("Enter v Esc", vec![]),
        ("Enter v 6 Enter f o g Enter", vec!["hall/1.1 could not be judged (other)"]),
        ("Enter v 1 Space Left z", vec!["hall/1.1 could not be judged (too-far)", "hall/1.1 seen"]),
        ("Enter x 1 Enter h z z", vec!["hall/1.1 not reached (locked)", "hall/1.1 seen"]),
        // Not reached: this head, the rest of the line, the rest of the area; only heads without an entry.
        ("Enter x 3 Enter h", vec!["hall/1.1 not reached (process)"]),
        ("Enter Space x 1 o s k Enter l", vec!["hall/1.1 seen", "hall/1.2..1.10 not reached (locked)"]),
        (
            "Down Down Enter Right Space x 1 Enter r",
            vec!["office/1.2 seen", "office/1.1 not reached (locked)", "office/1.3..1.6 not reached (locked)"],
        ),
        ("Enter x 9 Enter Esc", vec![]),
        ("Enter p1t x", vec!["hall/1.1 paint on element, trace"]),
        // Notes.
        ("Enter n o k Tab", vec!["note on hall/1.1: ok"]),
        ("Enter n o k Esc n Esc y", vec![]),
        ("Enter n Tab Esc", vec![]),
        // Undo and redo.
        ("Enter p1t u Space", vec!["hall/1.1 paint on element, trace", "<taken back>", "hall/1.1 seen"]),
        ("Enter p1t u y", vec!["hall/1.1 paint on element, trace", "<taken back>", "<taken back>"]),
        ("Enter u y", vec![]),
    ] {
        let mut site = Site::new();
        site.drive.keys(keys);
        assert_eq!(told(&site), recorded, "{keys}\n{}", site.drive.shown(100, 30));
    }
}

/// What was recorded, with retractions named without their ids.
fn told(site: &Site) -> Vec<String> {
    let tame = |words: String| if words.ends_with(" taken back") { "<taken back>".to_owned() } else { words };
    site.recorded().into_iter().map(tame).collect()
}

#[test]
fn earlier_findings_are_answered_with_one_key_and_never_swept() {
    for (keys, recorded, json) in [
        ("Right a", vec!["dock/1.2 paint on frame, light"], Some("\"of\":\"01KAF0000000000000000000B2\"")),
        ("Right z", vec!["dock/1.2 looked at again, gone"], Some("\"of\":\"01KAF0000000000000000000B2\"")),
        ("Right p4h", vec!["dock/1.2 paint on frame, heavy"], Some("\"of\":\"01KAF0000000000000000000B2\"")),
        ("Right p1t", vec!["dock/1.2 paint on element, trace"], None),
        ("Right Space", vec![], None),
        ("a z", vec![], None),
        ("wa", vec!["dock/1.1 seen", "dock/1.5..2.2 seen", "dock/2.4 seen"], None),
    ] {
        let mut site = Site::new();
        site.drive.keys(DOCK).keys(keys);
        assert_eq!(told(&site), recorded, "{keys}\n{}", site.drive.shown(100, 30));
        let last = std::fs::read_to_string(&site.path).unwrap().lines().last().unwrap().to_owned();
        if let Some(part) = json {
            assert!(last.contains(part), "{keys}: {last}");
        }
    }
}

#[test]
fn an_earlier_finding_is_told_with_its_age_and_what_became_of_it() {
    let mut site = Site::new();
    site.drive.keys(DOCK).keys("Right");
    let told = "round 2025: paint on frame arms, light; reported 2 times since 2024-11";
    assert!(site.drive.shown(100, 30).contains(told), "{}", site.drive.shown(100, 30));
    site.drive.keys("p4h");
    assert!(site.drive.shown(100, 30).contains("since 2024-11; worse"), "{}", site.drive.shown(100, 30));
    site.drive.keys("j").text("2.3").keys("Enter");
    let words = site.drive.shown(140, 40);
    assert!(words.contains("said fixed, not verified"), "{words}");
    site.drive.keys("z");
    assert!(site.drive.shown(100, 30).contains("verified fixed"), "{}", site.drive.shown(100, 30));
}

#[test]
fn a_double_strike_never_writes() {
    for keys in ["Space", "a", "w", "n", "x", "v", "u", "y", "k"] {
        let mut once = Site::new();
        once.drive.keys("Enter").keys(keys);
        let mut twice = Site::new();
        twice.drive.keys("Enter").keys(keys).hasty(keys);
        assert_eq!(twice.recorded(), once.recorded(), "{keys}");
        assert_eq!(twice.drive.top(), once.drive.top(), "{keys}");
    }
    // A sign's letter that is an extent's too, the part having come first.
    let mut site = Site::new();
    site.drive.keys("Enter 2l").hasty("l");
    assert_eq!(site.recorded(), [""; 0]);
    site.drive.keys("l");
    assert_eq!(site.recorded(), ["hall/1.1 leak on seal, light"]);
    // Enter that records, struck twice.
    let mut site = Site::new();
    site.drive.keys("Enter p4l k 2 Enter").hasty("Enter").keys("Space");
    assert_eq!(site.recorded().len(), 2, "{:?}", site.recorded());
}

#[test]
fn what_was_entered_by_the_way_stands_in_the_entry() {
    let mut site = Site::new();
    site.drive.keys("Enter - 0 p 9 0 1 t");
    let text = std::fs::read_to_string(&site.path).unwrap();
    let last = text.lines().last().unwrap();
    for part in ["\"how\":\"binoculars\"", "\"doubtful\":true", "\"applied\":\"factory\""] {
        assert!(last.contains(part), "{part}: {last}");
    }
    // The way of looking stays until it is changed; doubt and origin begin anew.
    site.drive.keys("p4l");
    let text = std::fs::read_to_string(&site.path).unwrap();
    let last = text.lines().last().unwrap();
    assert!(last.contains("\"how\":\"binoculars\"") && last.contains("\"applied\":\"field\""), "{last}");
    assert!(!last.contains("doubtful"), "{last}");
    site.drive.keys("bh 1 2 Enter");
    let text = std::fs::read_to_string(&site.path).unwrap();
    assert!(text.lines().last().unwrap().contains("\"clearance\":\"12 in\""), "{}", text.lines().last().unwrap());
}

#[test]
fn a_hundred_heads_with_three_defects_take_at_most_eighteen_keys_from_the_overview() {
    let mut site = Site::new();
    // In, three defects on three lines, the rest swept, out.
    site.drive.keys("Enter Down Right p1t Down c4l PgDn o8h wa Esc");
    assert!(site.struck() <= 18, "{} keys", site.drive.struck());
    assert_eq!(site.drive.top(), "overview");
    let counts = site.drive.app().desk().unwrap().state().area_counts(0);
    assert!(counts.complete() && counts.heads == 100, "{counts:?}");
    let defects = site.recorded().iter().filter(|w| w.contains(" on ")).count();
    assert_eq!(defects, 3);
    println!("{} keys", site.struck());
}

#[test]
fn leaving_an_area_shows_first_what_is_unanswered() {
    let mut site = Site::new();
    site.drive.keys(DOCK).keys("Space Esc");
    assert_eq!(site.drive.top(), "unanswered");
    let shown = site.drive.shown(80, 24);
    for words in ["6 heads without an entry", "2 heads with an earlier finding", "1.5..1.7, 2.1..2.2, 2.4", "1.2, 2.3"]
    {
        assert!(shown.contains(words), "{words}\n{shown}");
    }
    // A second Esc of the same stroke does not leave.
    site.drive.hasty("Esc");
    assert_eq!(site.drive.top(), "unanswered");
    site.drive.keys("Enter");
    assert_eq!(site.drive.top(), "walk");
    assert!(site.drive.shown(80, 24).contains("dock/1.2"), "{}", site.drive.shown(80, 24));
    site.drive.keys("q q");
    assert_eq!(site.drive.top(), "overview");
    site.drive.keys("Enter wa a");
    assert_eq!(site.drive.top(), "walk");
}

#[test]
fn gaps_are_passed_over_and_addresses_are_jumped_to() {
    let mut site = Site::new();
    site.drive.keys(DOCK).keys("Right Right");
    assert!(site.drive.shown(80, 24).contains("dock/1.5"), "{}", site.drive.shown(80, 24));
    for (typed, at) in [("2.4", "dock/2.4"), ("1,1", "dock/1.1"), ("hall/7.3", "hall/7.3"), ("2 5", "hall/2.5")] {
        site.drive.keys("j").text(typed).keys("Enter");
        assert_eq!(site.drive.top(), "walk", "{typed}");
        assert!(site.drive.shown(80, 24).contains(at), "{typed}\n{}", site.drive.shown(80, 24));
    }
    for (typed, why) in [
        ("99.1", "hall has 10 lines"),
        ("1.99", "line 1 of hall has no place 99"),
        ("hal/1.1", "did you mean 'hall'?"),
        ("x", "is no address"),
    ] {
        site.drive.keys("j").text(typed).keys("Enter");
        assert_eq!(site.drive.top(), "text question", "{typed}");
        assert!(site.drive.shown(80, 24).contains(why), "{typed}\n{}", site.drive.shown(80, 24));
        site.drive.keys("Esc");
    }
}

#[test]
fn heads_are_found_by_what_is_known_of_them() {
    let mut site = Site::new();
    site.drive.keys("Enter Right p1t Right n w a x Tab Right x 1 Enter h");
    for (typed, count) in [
        ("upright", "10 heads"),
        ("paint", "2 heads"),
        ("wax", "1 head"),
        ("locked", "1 head"),
        ("hall/2.5 upright", "1 head"),
        ("replace", "1 head"),
        ("nothing-like-it", "No head"),
    ] {
        site.drive.keys("/").text(typed).keys("Enter");
        assert!(site.drive.shown(80, 24).contains(count), "{typed}\n{}", site.drive.shown(80, 24));
        site.drive.keys("Esc");
    }
    site.drive.keys("/").text("dock/2").keys("Enter Down Enter");
    assert_eq!(site.drive.top(), "walk");
    assert!(site.drive.shown(80, 24).contains("dock/2.2"), "{}", site.drive.shown(80, 24));
}

#[test]
fn ruled_heads_and_close_looks_are_gone_to_in_turn() {
    let mut site = Site::new();
    site.drive.keys("Enter . Right p1t Down v1 Down Space PgDn p04l");
    for (key, at) in [
        (".", "hall/1.2"),
        (".", "hall/2.2"),
        (".", "hall/8.3"),
        (",", "hall/2.2"),
        (",", "hall/8.3"),
        ("Tab", "hall/8.4"),
    ] {
        site.drive.keys(key);
        assert!(site.drive.shown(80, 24).contains(&format!("{at} ")), "{key} {at}\n{}", site.drive.shown(80, 24));
    }
}

#[test]
fn nothing_is_recorded_before_a_round_has_begun_or_in_a_read_only_file() {
    // The overview offers to begin a round first; a walk without one says so itself.
    let at_once = |s| Setting { overview: |_| Walk::new(0, None), ..s };
    let mut site = Site::of(REGISTER, at_once);
    site.drive.keys("Space p 1 t w x v n u");
    assert_eq!(site.recorded(), [""; 0]);
    assert!(site.drive.shown(80, 24).contains("before a round has begun"), "{}", site.drive.shown(80, 24));
    // A finished line that is none of the format's makes the file read-only.
    let mut site = Site::of(&format!("{REGISTER}{EARLIER}{BEGUN}--- {{\"id\":\"broken\"}}\n"), |s| s);
    site.drive.keys("Enter Space p1t");
    assert_eq!(site.recorded(), [""; 0]);
    assert!(site.drive.shown(80, 24).contains("read-only"), "{}", site.drive.shown(80, 24));
}

#[test]
fn after_the_sign_off_one_is_asked_once_and_entries_are_marked() {
    let signed = "--- {\"id\":\"01KB0000000000000000000009\",\"at\":\"2025-11-26T08:30:00-05:00\",\"by\":\"ines\",\"round\":\"2025-b\",\"signoff\":{\"name\":\"Ines Tidewell\",\"licence\":\"PT-118\",\"date\":\"2025-11-26\",\"digest\":\"sha256:00\",\"lines\":1}}\n";
    let mut site = Site::of(&format!("{REGISTER}{EARLIER}{BEGUN}{signed}"), |s| s);
    site.drive.keys("Enter Space");
    assert_eq!((site.drive.top(), site.recorded().len()), ("confirmation", 0));
    site.drive.keys("Esc Space y Space Space");
    assert_eq!(site.recorded(), ["hall/1.1 seen", "hall/1.2 seen"]);
    let text = std::fs::read_to_string(&site.path).unwrap();
    assert!(text.lines().last().unwrap().contains("\"after\":\"01KB0000000000000000000009\""));
}

#[test]
fn one_resumes_where_one_left_off() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().to_owned();
    let with = |s: Setting| Setting { data: Some(data.clone()), ..s };
    let text = format!("{REGISTER}{EARLIER}{BEGUN}");
    let mut site = Site::of(&text, with);
    site.drive.keys("Enter Down Down Right p1t");
    drop(site);
    let mut site = Site::of(&text, with);
    site.drive.keys("Enter");
    assert!(site.drive.shown(80, 24).contains("hall/3.2"), "{}", site.drive.shown(80, 24));
    // Another area begins at its own first head.
    site.drive.keys("Esc Esc");
    assert_eq!(site.drive.top(), "overview");
    site.drive.keys("Home Down Enter");
    assert!(site.drive.shown(80, 24).contains("dock/1.1"), "{}", site.drive.shown(80, 24));
}

#[test]
fn undo_goes_to_the_head_it_was_about() {
    let mut site = Site::new();
    site.drive.keys("Enter p1t Down Down Down u");
    assert!(site.drive.shown(80, 24).contains("hall/1.1"), "{}", site.drive.shown(80, 24));
    site.drive.keys("Down y");
    assert!(site.drive.shown(80, 24).contains("hall/1.1"), "{}", site.drive.shown(80, 24));
    assert!(site.drive.shown(80, 24).contains("REPLACE"), "{}", site.drive.shown(80, 24));
}

#[test]
fn a_head_that_could_not_be_judged_is_settled_by_a_look_at_it_alone() {
    let mut site = Site::new();
    site.drive.keys("Enter v1 wa");
    let unsure = |site: &Site| site.drive.app().desk().unwrap().state().area_counts(0).unsure;
    assert_eq!(unsure(&site), 1);
    site.drive.keys("z");
    assert_eq!(unsure(&site), 0);
}

#[test]
fn enter_brings_the_heads_menu_and_esc_leads_back_to_the_head() {
    let mut site = Site::new();
    site.drive.keys("Enter Right p1t Enter");
    assert_eq!(site.drive.top(), "head menu");
    site.drive.keys("1");
    assert_ne!(site.drive.top(), "walk");
    site.drive.keys("Esc");
    assert_eq!(site.drive.top(), "walk");
    site.drive.keys("Enter 2");
    assert_eq!(site.drive.top(), "walk");
    assert_eq!(site.recorded().last().unwrap(), "hall/1.2 cleaned");
}

#[test]
fn a_paste_reaches_only_a_text_field() {
    let mut site = Site::new();
    site.drive.keys("Enter").paste("p1t wa");
    assert_eq!(site.recorded(), [""; 0]);
    site.drive.keys("n").paste("from\nabove\u{1b}[31m").keys("Enter o k Tab");
    let text = std::fs::read_to_string(&site.path).unwrap();
    let last = text.lines().last().unwrap();
    assert!(last.contains("\"text\":\"from\\nabove\u{fffd}[31m\\nok\""), "{last}");
}

#[test]
fn every_size_is_drawn_without_a_panic_in_every_state() {
    for keys in
        ["", "p", "p1", "1", "s", "n", "x", "v", "w", "j", "/", ";", "Esc", "p1t", "p1t k 5", "bh", "v1", "x 1 Enter"]
    {
        let mut site = Site::new();
        site.drive.keys(DOCK).keys("Right").keys(keys);
        for columns in 0..=40 {
            for rows in 0..=12 {
                assert_eq!(site.drive.buffer(columns, rows).area.width, columns);
            }
        }
        for (columns, rows) in [(56, 13), (56, 14), (71, 20), (72, 21), (116, 30), (200, 60)] {
            assert_eq!(site.drive.buffer(columns, rows).area.height, rows);
        }
    }
}

#[test]
fn at_forty_by_ten_address_state_ruling_and_what_is_asked_stay_in_sight() {
    let mut site = Site::new();
    site.drive.keys("Enter p1t");
    let shown = site.drive.shown(40, 10);
    for words in ["hall/1.1", "replace", "REPLACE, critical, 5.2.1.1.1(6)", "paint on heat element"] {
        assert!(shown.contains(words), "{words}\n{shown}");
    }
    site.drive.keys("Right c4");
    let shown = site.drive.shown(40, 10);
    for words in ["hall/1.2", "extent?"] {
        assert!(shown.contains(words), "{words}\n{shown}");
    }
}

#[test]
fn an_area_without_heads_is_left_with_esc() {
    let register = REGISTER.replace("lines: [6 plate]", "lines: [3 gap]");
    let mut site = Site::of(&format!("{register}{EARLIER}{BEGUN}"), |s| s);
    site.drive.keys("Down Down Enter Space p w");
    assert!(site.drive.shown(80, 24).contains("This area has no head"), "{}", site.drive.shown(80, 24));
    site.drive.keys("Esc");
    assert_eq!(site.drive.top(), "overview");
}

/// What each snapshot shows: keys from the overview.
const SCENES: &[(&str, &str)] = &[
    ("unseen", "Enter"),
    ("replace", "Enter Right Space p1t"),
    ("entering_part", "Enter p"),
    ("entering_extent", "Enter p4"),
    ("entering_sign", "Enter 3"),
    ("earlier", "Down Enter Right"),
    ("sweep", "Enter p1t w"),
    ("like_this", "Enter End p4l k 12"),
    ("unreached", "Enter x 1 Enter"),
    ("list", "Enter p1t Right Space v1 Right x 1 Enter h ;"),
    ("unanswered", "Down Enter Space Esc"),
    ("find", "Enter p1t / u p r i g h t Enter"),
    ("note", "Enter n o k"),
];

#[test]
fn screens_at_eighty_by_twenty_four() {
    for (name, keys) in SCENES {
        let mut site = Site::new();
        site.drive.keys(keys);
        insta::assert_snapshot!(format!("{name}_80x24"), site.drive.styled(80, 24));
    }
}

#[test]
fn screens_at_other_sizes_and_without_colour() {
    for (name, keys) in SCENES.iter().filter(|(n, _)| ["replace", "entering_extent", "earlier", "list"].contains(n)) {
        let mut site = Site::new();
        site.drive.keys(keys);
        insta::assert_snapshot!(format!("{name}_60x20"), site.drive.styled(60, 20));
        insta::assert_snapshot!(format!("{name}_140x40"), site.drive.styled(140, 40));
        insta::assert_snapshot!(format!("{name}_40x10"), site.drive.styled(40, 10));
        let mut site = Site::plain();
        site.drive.keys(keys);
        insta::assert_snapshot!(format!("{name}_80x24_plain"), site.drive.styled(80, 24));
        insta::assert_snapshot!(format!("{name}_60x20_plain"), site.drive.styled(60, 20));
    }
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig { cases: 24, failure_persistence: None, ..Default::default() })]

    #[test]
    fn no_keys_bring_the_walk_down_and_haste_alone_records_nothing(
        keys in proptest::collection::vec("[a-z0-9;,./?-]|Space|Enter|Esc|Tab|Backspace|Up|Down|Left|Right|Home|End|PgUp|PgDn", 1..60),
    ) {
        let mut site = Site::new();
        site.drive.keys("Enter").keys(&keys.join(" "));
        let before = site.recorded().len();
        // The last key again, as fast as a glove: whatever it is, it writes nothing.
        if let Some(last) = keys.last() {
            site.drive.hasty(last);
        }
        proptest::prop_assert_eq!(site.recorded().len(), before);
        proptest::prop_assert_eq!(site.drive.buffer(80, 24).area.width, 80);
        proptest::prop_assert_eq!(site.drive.buffer(40, 10).area.width, 40);
    }
}
