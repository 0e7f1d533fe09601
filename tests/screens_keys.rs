//! What keys do on the screens around the walk, as tables of keys, what is recorded and where one stands then; and the
//! page about keys, which is drawn from the same tables.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod screens_support;

use screens_support::{Bench, On, WAYS, Way};

/// Ways to the screens that belong to the walk, for the page about keys.
const WALK: &[Way] = &[
    ("walk", On::Site, "Home Enter j 2.1 Enter"),
    ("sweep", On::Site, "Home Enter j 2.1 Enter w"),
    ("note", On::Site, "Home Enter j 2.1 Enter n"),
    ("find", On::Site, "Home Enter /"),
    ("unanswered", On::Site, "Home Enter q"),
];

/// Start, keys, the screen one is on then, what is recorded.
type Row = (On, &'static str, &'static str, &'static [&'static str]);

const ROWS: &[Row] = &[
    // Moving about records nothing.
    (On::Site, "c Esc f Esc i Esc s Esc r Esc e Esc ? Esc t", "overview", &[]),
    (On::Site, "Esc", "opening", &[]),
    (On::Closed, "1", "overview", &[]),
    (On::Closed, "Enter", "overview", &[]),
    (On::Closed, "2", "opening", &[]),
    (On::Nothing, "Enter", "opening", &[]),
    (On::Nothing, "d", "trouble", &[]),
    (On::Nothing, "d Esc", "opening", &[]),
    // A round must begin before the walk.
    (On::NoRound, "Enter", "begin", &[]),
    (On::NoRound, "r", "overview", &[]),
    (On::NoRound, "g Down Down I n e s Down Down Down Down Enter", "overview", &["round 2026 begun by Ines"]),
    // A name is wanted: the form stays, nothing is recorded.
    (On::NoRound, "g Down Down Down Down Down Down Enter", "begin", &[]),
    // Notices: the first on the list who was not told comes first; what was typed elsewhere is kept apart.
    (On::Site, "i Enter Down Right Down o k Down Enter", "notices", &["Fire service control room told (phone)"]),
    (On::Site, "i o m e Down Down Down Enter", "notices", &["me told (spoken)"]),
    (On::Site, "i Enter Esc", "notices", &[]),
    // The round cannot be signed while something stands in the way.
    (On::Site, "s s", "sign-off review", &[]),
    (On::Site, "s Enter", "walk", &[]),
    (On::Site, "s Enter Esc", "unanswered", &[]),
    (On::AllSeen, "s s", "sign-off", &[]),
    (On::AllSeen, "s s Enter Enter Enter Enter Enter", "confirmation", &[]),
    (On::AllSeen, "s s Enter Enter Enter Enter Enter n", "sign-off", &[]),
    (On::AllSeen, "s s Enter Enter Enter Enter Enter y", "summary", &["signed by Ines Tidewell"]),
    (On::AllSeen, "s s Enter Enter Enter Enter Enter y Esc s", "sign-off review", &["signed by Ines Tidewell"]),
    // Lists lead to the walk and come back.
    (On::Site, "c Enter", "walk", &[]),
    (On::Site, "f Enter", "walk", &[]),
    (On::Site, "f Right Esc", "findings", &[]),
    // A note on an area, an area added.
    (On::Site, "Home e n d a r k Enter", "overview", &["note on hall: dark"]),
    (On::Site, "e n Enter", "text question", &[]),
    (
        On::Site,
        "e a s h e d Enter O l d Enter Enter Enter 9 5 Space F Enter 2 Space i n t - u p r i g h t Enter Enter Enter",
        "overview",
        &["area shed added"],
    ),
    (On::Site, "e a s h e d Enter O l d Enter Enter Enter Enter 2 Space n o n e Enter", "new area", &[]),
    (On::Site, "e a h a l l Enter", "new area", &[]),
    // The head's menu.
    (On::Site, "Home Enter j 2.1 Enter Enter 2", "walk", &["hall/2.1 cleaned"]),
    (On::Site, "Home Enter j 2.1 Enter Enter 3", "walk", &["hall/2.1 corrected"]),
    (On::Site, "Home Enter j 2.1 Enter Enter 1 2", "walk", &["hall/2.1 replaced by int-upright"]),
    (On::Site, "Home Enter j 2.1 Enter Enter 4 3", "walk", &["hall/2.1 is plate"]),
    (On::Site, "Home Enter j 2.1 Enter Enter 5 Enter", "walk", &["hall/2.1 not there"]),
    (On::Site, "Home Enter j 2.1 Enter Enter 6 Enter", "walk", &["hall/2.9 added, qr-pendent"]),
    (On::Site, "Home Enter j 2.1 Enter Enter 7 Enter", "walk", &["hall/2.9 added, qr-pendent"]),
    (On::Site, "Home Enter j 2.1 Enter Enter 8 Enter", "walk", &["hall/4.1 added, qr-pendent"]),
    (On::Site, "Home Enter j 2.1 Enter Enter 5 Esc", "walk", &[]),
    (On::Site, "Home Enter j 2.1 Enter Enter x", "explanation", &[]),
    // A new kind and its use are one step of the person: both are recorded.
    (
        On::Site,
        "Home Enter j 2.1 Enter Enter 1 n e s f r Down p Down e Down q Down e Down b Down 1 5 5 Space f Down 1 4 Down Down Down Down Down Down Down Down Down Enter",
        "walk",
        &["kind esfr added", "hall/2.1 replaced by esfr"],
    ),
    (On::Site, "Home Enter j 2.1 Enter Enter 1 n p l a t e Enter", "new kind", &[]),
    // Taking back: one's own at once, another's and what is about many heads only after a question.
    (On::Site, "Home Enter j 1.3 Enter Enter e Enter", "confirmation", &[]),
    (On::Site, "Home Enter j 1.3 Enter Enter e Enter n", "entries of a head", &[]),
    (On::Site, "Home Enter j 1.3 Enter Enter e Down Down Enter", "confirmation", &[]),
    // A disagreement is settled with a reason; without one the question stays.
    (On::Site, "Home Enter j 1.3 Enter Enter d Enter Enter", "text question", &[]),
    (On::Site, "Home Enter j 1.3 Enter Enter d Enter l i f t Enter", "walk", &["hall/1.3 settled: lift"]),
    (On::Site, "Home Enter j 1.3 Enter Enter d Right Enter l i f t Enter", "walk", &["hall/1.3 settled: lift"]),
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
fn an_own_entry_about_one_head_is_taken_back_at_once() {
    let mut bench = Bench::new(On::Site);
    bench.drive.keys("Home Enter j 1.3 Enter Enter e Down Enter");
    assert_eq!(bench.drive.top(), "entries of a head");
    let shown = bench.shown();
    assert!(shown.contains("(taken back) hall/1.3 paint on element, trace"), "{shown}");
    assert_eq!(bench.recorded().len(), 1);
    // Once more does nothing.
    bench.drive.keys("Down Enter");
    assert_eq!(bench.recorded().len(), 1, "{}", bench.shown());
}

#[test]
fn what_was_settled_is_no_disagreement_any_more_and_the_chosen_one_stands() {
    for (way, ruling) in [("", "replace"), ("Right", "watch")] {
        let mut bench = Bench::new(On::Site);
        bench.drive.keys(&format!("Home Enter j 1.3 Enter Enter d {way} Enter x Enter"));
        let state = bench.drive.app().desk().unwrap().state();
        assert_eq!(state.counts().disagreements, 0);
        let head = state.layout().find(&headround::trade::address::Address::parse("hall/1.3").unwrap()).unwrap();
        assert_eq!(state.judgement(head).unwrap().ruling.as_str(), ruling);
    }
}

#[test]
fn a_glove_that_strikes_twice_records_nothing_a_second_time() {
    let mut bench = Bench::new(On::Site);
    bench.drive.keys("i Enter Down Down Down").hasty("Enter Enter");
    assert_eq!(bench.recorded(), ["Fire service control room told (spoken)"]);
    assert_eq!(bench.drive.top(), "notices");
    let mut bench = Bench::new(On::AllSeen);
    bench.drive.keys("s s Enter Enter Enter Enter Enter").hasty("y y y");
    assert_eq!(bench.recorded(), ["signed by Ines Tidewell"]);
    let mut bench = Bench::new(On::Site);
    bench.drive.keys("Home Enter j 1.3 Enter Enter e Down").hasty("Enter Enter");
    assert_eq!(bench.recorded().len(), 1);
}

#[test]
fn a_notice_does_not_count_for_an_impairment_entered_after_it() {
    let mut bench = Bench::new(On::Site);
    bench.drive.keys("i");
    assert!(bench.shown().contains("told 2026-11-25 08:30, phone (ines)"), "{}", bench.shown());
    bench.drive.keys("Esc Home Enter j 1.1 Enter l 2 h q Esc i");
    let shown = bench.shown();
    assert!(shown.contains("▸□ Works safety manager") && shown.contains("not yet about hall/1.1"), "{shown}");
    bench.drive.keys("Enter Down Down Down Enter");
    assert!(!bench.shown().contains("not yet about"), "{}", bench.shown());
}

#[test]
fn an_area_is_added_with_one_head_at_least() {
    let mut bench = Bench::new(On::Site);
    bench.drive.keys("e a s h e d Enter O l d Enter Enter Enter Enter Enter Enter");
    assert!(bench.shown().contains("A line is wanted here"), "{}", bench.shown());
    assert!(bench.recorded().is_empty(), "{:?}", bench.recorded());
}

#[test]
fn heads_not_reached_show_in_an_overview_of_any_width() {
    let bench = Bench::new(On::Site);
    for columns in 60..=200 {
        let shown = bench.drive.shown(columns, 30);
        let office = shown.lines().find(|l| l.contains("Offices")).expect("the area");
        assert!(office.contains("⊘"), "{columns}: {shown}");
    }
}

#[test]
fn findings_are_sifted_by_the_one_under_the_cursor() {
    let mut bench = Bench::new(On::Site);
    bench.drive.keys("f");
    for (keys, title) in [
        ("", "Findings: 7 heads"),
        ("1", "Findings: 2 of 7 heads (replace)"),
        ("2", "Findings: 1 of 7 heads (replace, impairment)"),
        ("0", "Findings: 7 heads"),
        ("End 3", "Findings: 2 of 7 heads (dock  Loading dock)"),
        ("3", "Findings: 7 heads"),
    ] {
        bench.drive.keys(keys);
        assert!(bench.shown().contains(&format!(" {title}\n")), "{keys}: {}", bench.shown());
    }
}

#[test]
fn the_overview_resumes_where_one_left_off() {
    let mut bench = Bench::new(On::Site);
    bench.drive.keys("Home Down Enter Right Right Esc Esc Esc Esc");
    bench.drive.keys("Esc Esc");
    assert_eq!(bench.drive.top(), "opening", "{}", bench.shown());
    bench.drive.keys("1");
    let shown = bench.shown();
    assert!(shown.lines().any(|l| l.starts_with(" ▸ dock")), "{shown}");
}

#[test]
fn sites_of_one_name_are_told_apart_by_their_files() {
    let mut bench = Bench::new(On::Closed);
    assert!(bench.shown().contains("found"), "{}", bench.shown());
    let other = bench.path().with_file_name("quay-east.site.yaml");
    std::fs::copy(bench.path(), &other).unwrap();
    bench.drive.keys("o").text(&other.display().to_string()).keys("Enter Esc");
    let shown = bench.shown();
    let row = |file: &str| shown.lines().any(|l| l.contains("Marram Quay") && l.contains(file));
    assert!(row(" quay.site.yaml") && row(" quay-east.site.yaml"), "{shown}");
    assert!(!shown.contains("found"), "{shown}");
}

#[test]
fn the_summary_is_written_beside_the_site_file_and_replaced_only_when_asked() {
    let mut bench = Bench::new(On::Site);
    bench.drive.keys("r Enter");
    let text = bench.path().with_file_name("quay.summary-2026.txt");
    let markdown = bench.path().with_file_name("quay.summary-2026.md");
    assert!(std::fs::read_to_string(&text).unwrap().contains("DRAFT"), "{}", bench.shown());
    assert!(std::fs::read_to_string(&markdown).unwrap().contains("Marram Quay Cannery"));
    std::fs::write(&text, "mine").unwrap();
    bench.drive.keys("Enter");
    assert_eq!(bench.drive.top(), "confirmation", "{}", bench.shown());
    bench.drive.keys("n");
    assert_eq!(std::fs::read_to_string(&text).unwrap(), "mine");
    bench.drive.keys("Enter y");
    assert!(std::fs::read_to_string(&text).unwrap().contains("DRAFT"));
}

#[test]
fn the_summary_after_signing_is_no_draft() {
    let mut bench = Bench::new(On::AllSeen);
    bench.drive.keys("s s Enter Enter Enter Enter Enter y");
    assert!(!bench.shown().contains("DRAFT"), "{}", bench.shown());
}

#[test]
fn a_new_site_is_made_from_the_form_and_opened() {
    let mut bench = Bench::new(On::Nothing);
    let path = bench.path().with_file_name("shed.site.yaml");
    bench.drive.keys("n").text("Marram Shed").keys("Down").text("2 Quay Road").keys("Down");
    bench.drive.keys(&"Backspace ".repeat(40)).text(&path.display().to_string());
    bench
        .drive
        .keys(&"Down ".repeat(5))
        .keys("p Down e Down q Down Down b Down")
        .text("155 F")
        .keys("Down")
        .text("5.6");
    bench.drive.keys(&"Down ".repeat(9)).text("shed").keys("Down").text("Old shed").keys("Down Down Down Down");
    bench.drive.text("4 qr-pendent").keys("Enter Enter Enter");
    assert_eq!(bench.drive.top(), "overview", "{}", bench.shown());
    let state = bench.drive.app().desk().unwrap().state();
    assert_eq!(state.layout().heads.len(), 4);
    assert_eq!(state.register().site.id.len(), 26);
    assert_eq!(state.register().site.name, "Marram Shed");
}

#[test]
fn a_form_that_could_not_be_recorded_keeps_what_was_typed() {
    let mut bench = Bench::new(On::Site);
    bench.drive.keys("i Enter Down Down").text("spoke to Ada").keys("Down");
    // Another hand changes the file: the next append finds it changed and refuses.
    std::fs::write(bench.path(), "gone").unwrap();
    bench.drive.keys("Enter");
    if bench.drive.top() == "trouble" {
        bench.drive.keys("Esc");
        assert_eq!(bench.drive.top(), "notice");
        assert!(bench.shown().contains("spoke to Ada"), "{}", bench.shown());
        assert!(bench.recorded().is_empty());
    } else {
        panic!("the file was changed below the program, and it went on:\n{}", bench.shown());
    }
}

#[test]
fn text_from_a_file_cannot_steer_the_terminal() {
    let mut bench = Bench::new(On::Site);
    bench.drive.keys("Home e n").paste("a\u{1b}[2Jb\u{202e}c\nd").keys("Enter");
    assert_eq!(bench.recorded(), ["note on hall: a[2Jbc d"]);
    for (_, _, keys) in WAYS.iter().filter(|(_, on, _)| *on == On::Site) {
        let mut bench = Bench::new(On::Site);
        bench.drive.keys(keys);
        assert!(!bench.shown().chars().any(|c| c.is_control() && c != '\n'));
    }
}

/// The page, from the tables of every screen.
fn page() -> String {
    let mut page = String::from(
        "# Keys\n\nDrawn from the key tables of the program; a test holds this page to them. Letters are struck in lower or \
         upper case alike. `?` opens help over any screen that is not a text field; on a ruling in the walk and in the rule table it \
         explains the ruling first, and help is one `?` further.\n",
    );
    for (name, on, keys) in WAYS.iter().chain(WALK) {
        let mut bench = Bench::new(*on);
        bench.drive.keys(keys);
        assert_eq!(bench.drive.top(), *name, "'{keys}':\n{}", bench.shown());
        let (first, rest) = name.split_at(1);
        let title = format!("{}{rest}", first.to_uppercase());
        page.push_str(&format!("\n## {title}\n\n| keys | what they do |\n| --- | --- |\n"));
        for line in bench.drive.app().keys() {
            let cell = |t: &str| t.replace('|', "\\|");
            page.push_str(&format!("| {} | {} |\n", cell(&line.keys), cell(&line.help)));
        }
    }
    page
}

#[test]
fn the_page_about_keys_says_what_the_tables_say() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/keys.md");
    let page = page();
    if std::env::var_os("HEADROUND_UPDATE").is_some() {
        std::fs::write(path, &page).unwrap();
    }
    let written = std::fs::read_to_string(path).unwrap_or_default();
    assert!(
        written == page,
        "docs/keys.md is behind the key tables: run HEADROUND_UPDATE=1 cargo test --test screens_keys and read it"
    );
}

#[test]
fn every_key_in_a_footer_does_something() {
    for (name, on, keys) in WAYS {
        let lines = {
            let mut bench = Bench::new(*on);
            bench.drive.keys(keys);
            if bench.drive.shown(100, 40).lines().last().is_none_or(|l| l.trim().is_empty()) {
                panic!("{name} has an empty footer");
            }
            bench.drive.app().keys()
        };
        for line in lines.iter().filter(|l| l.works && l.rank < 9) {
            let key = line.keys.split('/').next().unwrap().to_owned();
            let mut bench = Bench::new(*on);
            bench.drive.keys(keys);
            let before = (bench.drive.styled(100, 40), bench.drive.top(), bench.recorded().len());
            bench.drive.keys(&key);
            let after = (bench.drive.styled(100, 40), bench.drive.top(), bench.recorded().len());
            assert!(before != after || bench.drive.app().is_done(), "{name}: '{key}' ({}) does nothing", line.name);
        }
    }
}
