//! The cabinets' screens: what keys record, what a count costs in keys and hides, which spares can be chosen for a head.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod screens_support;

use headround::round::entry::What;
use headround::round::state::State;
use headround::round::stock;
use headround::trade::address::Address;
use screens_support::{Bench, On, REGISTER};

fn state(bench: &Bench) -> &State {
    bench.drive.app().desk().expect("a site is open").state()
}

/// What the ledger holds of a kind in the valve room.
fn held(bench: &Bench, kind: &str) -> Option<(i64, i64)> {
    let state = state(bench);
    let ix = state.register().kind_named(kind)?;
    stock::ledger(state).shelves[0].holding(ix).map(|h| (h.held, h.unfit))
}

/// Start, keys, the screen one is on then, what is recorded.
type Row = (On, &'static str, &'static str, &'static [&'static str]);

const ROWS: &[Row] = &[
    // Looking records nothing.
    (On::Spares, "k Right Tab Tab Tab Tab Tab Tab Shift-Tab Left Down End Home PgDn Esc", "overview", &[]),
    // With several cabinets it is asked which; one that is looked at is meant.
    (On::Spares, "k c 2", "count", &[]),
    (On::Spares, "k l Esc", "cabinet", &[]),
    (On::Spares, "k Right Right l", "look at the cabinet", &[]),
    // A count: empty is not counted, 0 is none there.
    (
        On::Spares,
        "k Right c 5 Enter Enter Enter Enter 0 Enter Enter 2 Enter Enter",
        "cabinet",
        &["cabinet riser counted: 7 heads of 3 kinds"],
    ),
    (On::Spares, "k Right c 5 r p a i n t e d Enter", "cabinet", &["cabinet riser counted: 5 heads of 1 kind"]),
    // Nothing counted is no count; what was typed is not lost without a question, nor by going back from the review.
    (On::Spares, "k Right c Enter Enter r", "count", &[]),
    (On::Spares, "k Right c Esc", "cabinet", &[]),
    (On::Spares, "k Right c 5 Esc", "confirmation", &[]),
    (On::Spares, "k Right c 5 q n", "count", &[]),
    (On::Spares, "k Right c 5 Esc y", "cabinet", &[]),
    (On::Spares, "k Right c 5 r Esc r Enter", "cabinet", &["cabinet riser counted: 5 heads of 1 kind"]),
    // More unfit than there are: the row is not left.
    (On::Spares, "k Right c 2 u 3 Enter r", "count", &[]),
    (On::Spares, "k Right c u", "count", &[]),
    (On::Spares, "k Right c 2 u 3 Backspace 1 r Enter", "cabinet", &["cabinet riser counted: 2 heads of 1 kind"]),
    // A digit that is erased again leaves the kind uncounted.
    (On::Spares, "k Right c 5 Backspace Enter 1 r Enter", "cabinet", &["cabinet riser counted: 1 head of 1 kind"]),
    // Another kind that lies there.
    (On::Spares, "k Right c a 1 3 r Enter", "cabinet", &["cabinet riser counted: 3 heads of 1 kind"]),
    // Movements.
    (On::Spares, "k Right i 1 6 Enter d e l Enter Enter", "cabinet", &["6 qr-pendent put-in, cabinet riser"]),
    (On::Spares, "k Right o 1 1 Enter Enter Enter", "cabinet", &["1 qr-pendent taken-out, cabinet riser"]),
    (On::Spares, "k Right x 1 1 Enter Enter Enter", "cabinet", &["1 qr-pendent discarded, cabinet riser"]),
    (On::Spares, "k Right x 1 0 Enter", "spares moved", &[]),
    (On::Spares, "k Right x 1 2 Esc", "confirmation", &[]),
    // A look: what stays blank is not recorded, and nothing looked at is no look.
    (On::Spares, "k Right l Down Down Down Down Down Down Enter", "look at the cabinet", &[]),
    (On::Spares, "k Right l t Down r Down 9 5 Down Down Down Down Enter", "cabinet", &["cabinet riser looked at"]),
    (On::Spares, "k Right l Down Down w a r m Enter", "look at the cabinet", &[]),
    // A list: a proposal that is changed, then the question whether to write it.
    (
        On::Spares,
        "k Right p Up Down Down Down Down Down Down Down Down Enter n",
        "cabinet",
        &["list of cabinet riser posted"],
    ),
    (On::Spares, "k Right p Down Backspace Down Down Down Down Down Down Backspace Down Enter", "posted list", &[]),
    // A cabinet that was found.
    (On::Site, "k c", "cabinet", &[]),
    (
        On::Site,
        "k n d o c k - b o x Enter B o x Enter Enter d o c k Enter Enter",
        "cabinet",
        &["cabinet dock-box added"],
    ),
    (On::Spares, "k n r i s e r Enter", "new cabinet", &[]),
    (On::Spares, "k n b o x Enter b Enter Enter d o k Enter", "new cabinet", &[]),
    // Taking back: one's own at once, another's after a question, one of an earlier round not at all.
    (On::Spares, "k Tab Tab Tab Tab Down Enter", "confirmation", &[]),
    (On::Spares, "k Tab Tab Tab Tab End Enter", "cabinet", &[]),
    (On::Spares, "k Tab Tab Enter", "cabinet", &[]),
    // Nothing is recorded before a round has begun.
    (On::NoRound, "k n", "cabinet", &[]),
    // A head replaced: what fits at once, what may after a question, what somebody must decide with a name.
    (On::Spares, "Home Enter j 1.3 Enter = Enter", "walk", &["hall/1.3 replaced by qr-pendent from cabinet riser"]),
    (On::Spares, "Home Enter j 1.3 Enter + Enter", "walk", &["hall/1.3 replaced by qr-pendent from cabinet riser"]),
    (
        On::Spares,
        "Home Enter j 1.3 Enter Enter c Enter",
        "walk",
        &["hall/1.3 replaced by qr-pendent from cabinet riser"],
    ),
    (On::Spares, "Home Enter j 1.3 Enter = Down Enter", "confirmation", &[]),
    (On::Spares, "Home Enter j 1.3 Enter = Down Enter n", "replacement", &[]),
    (On::Spares, "Home Enter j 1.3 Enter = Down Enter y", "walk", &["hall/1.3 replaced by qr-24 from cabinet riser"]),
    (On::Spares, "Home Enter j 1.3 Enter = Down Down Down Enter", "text question", &[]),
    (On::Spares, "Home Enter j 1.3 Enter = Down Down Down Enter Enter", "text question", &[]),
    (On::Spares, "Home Enter j 1.3 Enter = Down Down Down Enter Esc", "replacement", &[]),
    (
        On::Spares,
        "Home Enter j 1.3 Enter = Down Down Down Enter A d a Enter",
        "walk",
        &["hall/1.3 replaced by qr-wax from cabinet riser"],
    ),
    (On::Spares, "Home Enter j 1.3 Enter = End Enter", "replacement", &[]),
    (On::Spares, "Home Enter j 1.3 Enter = k", "cabinet", &[]),
    (On::Spares, "Home Enter j 1.3 Enter = Esc", "walk", &[]),
    (On::Site, "Home Enter j 1.3 Enter = Enter", "replacement", &[]),
    (On::Uncounted, "Home Enter j 1.3 Enter = Enter", "replacement", &[]),
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

/// A site with twelve kinds in three areas and one cabinet, a round begun.
fn twelve_kinds() -> String {
    let (head, _) = REGISTER.split_once("kinds:\n").expect("kinds");
    let ratings = [135, 155, 175, 200, 250, 286];
    let mut kinds = String::new();
    let mut lines = Vec::new();
    for (n, rating) in ratings.iter().enumerate() {
        for response in ["quick", "standard"] {
            kinds.push_str(&format!(
                "  {response}-{n}: {{orientation: pendent, response: {response}, element: bulb, rating: {rating} F, k: 5.6}}\n"
            ));
            lines.push(format!("3 {response}-{n}"));
        }
    }
    let begin = r#"--- {"id":"01KB0000000000000000000001","at":"2026-11-25T08:00:00-05:00","by":"ines","round":"2026","begin":{"date":"2026-11-25","inspector":"Ines Tidewell"}}"#;
    format!(
        "{head}kinds:\n{kinds}areas:\n  hall: {{name: Hall, lines: [{}]}}\ncabinets:\n  riser: {{name: Valve room cabinet}}\n{begin}\n",
        lines.join(", ")
    )
}

#[test]
fn a_cabinet_of_twelve_kinds_is_counted_with_fewer_than_45_keys_from_the_overview() {
    let mut bench = Bench::of(&twelve_kinds());
    let before = bench.drive.struck();
    bench.drive.keys("k c");
    for n in 1..=12 {
        bench.drive.keys(&format!("{n} Enter"));
    }
    assert_eq!(bench.drive.top(), "count review", "{}", bench.shown());
    bench.drive.keys("Enter");
    let struck = bench.drive.struck() - before;
    assert_eq!(bench.drive.top(), "cabinet", "{}", bench.shown());
    // Two to get there, a number and Enter a kind, of which three numbers have two digits, one to record.
    assert_eq!(struck, 2 + 12 * 2 + 3 + 1);
    assert!(struck < 45);
    let What::Counted(count) = &state(&bench).entries().last().unwrap().what else { panic!("a count") };
    assert_eq!(count.held.len(), 12);
    // By rating, then response, as the heads lie in a cabinet; response has no order but the program's own.
    assert_eq!((count.held["standard-0"], count.held["quick-0"]), (1, 2));
    assert_eq!((count.held["standard-5"], count.held["quick-5"]), (11, 12));
    assert!(count.unfit.is_empty() && count.note.is_none());
}

#[test]
fn a_count_does_not_show_the_ledgers_numbers_and_its_review_does() {
    let mut bench = Bench::new(On::Spares);
    // The ledger is 77 heads, a number that stands nowhere else.
    bench.drive.keys("k Right i 1 7 3 Enter Enter Enter");
    assert_eq!(held(&bench, "qr-pendent"), Some((77, 1)));
    assert!(bench.shown().contains("77"), "{}", bench.shown());
    bench.drive.keys("c");
    assert!(!bench.shown().contains("77"), "{}", bench.shown());
    bench.drive.keys("7 6 r");
    let shown = bench.shown();
    assert!(
        shown.contains("1 kind differs from the ledger") && shown.contains("1 fewer than the ledger's 77"),
        "{shown}"
    );
    assert!(shown.contains("Not counted: qr-24, qr-white,"), "{shown}");
    bench.drive.text("two boxes moved").keys("Enter");
    let What::Counted(count) = &state(&bench).entries().last().unwrap().what else { panic!("a count") };
    assert_eq!(count.note.as_deref(), Some("two boxes moved"));
    assert_eq!(held(&bench, "qr-pendent"), Some((76, 0)));
    bench.drive.keys("Tab Tab Tab Tab");
    let shown = bench.shown();
    assert!(
        shown.contains("1 differs: counted: 76 heads")
            && shown.contains("76 of qr-pendent: 1 fewer than the ledger's 77"),
        "{shown}"
    );
}

#[test]
fn a_kind_that_is_described_during_a_count_is_counted_with_the_others() {
    let mut bench = Bench::new(On::Spares);
    bench.drive.keys("k Right c 5 a n n e w Down p Down e Down q Down Down b Down 1 5 5 Space f Down 5 . 6");
    bench.drive.keys(&"Down ".repeat(9)).keys("Enter");
    assert_eq!(bench.drive.top(), "count", "{}", bench.shown());
    bench.drive.keys("4 r Enter");
    assert_eq!(bench.recorded(), ["kind new added", "cabinet riser counted: 9 heads of 2 kinds"]);
    assert_eq!(held(&bench, "new"), Some((4, 0)));
}

#[test]
fn a_new_kind_that_is_delivered_is_described_and_put_in() {
    let mut bench = Bench::new(On::Spares);
    bench.drive.keys("k Right i n n e w Down p Down e Down q Down Down b Down 1 5 5 Space f Down 5 . 6");
    bench.drive.keys(&"Down ".repeat(9)).keys("Enter");
    assert_eq!(bench.drive.top(), "spares moved", "{}", bench.shown());
    bench.drive.keys("6 Enter Enter Enter");
    assert_eq!(bench.recorded(), ["kind new added", "6 new put-in, cabinet riser"]);
}

#[test]
fn what_nobody_has_counted_is_never_shown_as_none() {
    let mut bench = Bench::new(On::Uncounted);
    bench.drive.keys("k");
    let shown = bench.shown();
    let row = shown.lines().find(|l| l.contains("concealed pendent")).expect("the type");
    assert!(row.contains("never counted") && row.split_whitespace().any(|w| w == "?"), "{shown}");
    assert!(shown.contains("nobody has counted yet"), "{shown}");
    bench.drive.keys("Right");
    let shown = bench.shown();
    let row = shown.lines().find(|l| l.contains("int-upright")).expect("the kind");
    assert!(row.contains("never counted"), "{shown}");
    bench.drive.keys("Left Tab");
    assert!(bench.shown().contains("not all counted"), "{}", bench.shown());
    bench.drive.keys("Tab");
    assert!(bench.shown().contains("held: not known"), "{}", bench.shown());
}

#[test]
fn the_readings_part_at_exactly_300_heads_and_the_one_that_rules_is_marked() {
    let totals = |heads: u32| {
        let (head, _) = REGISTER.split_once("areas:\n").expect("areas");
        let lines = [100, 100, heads - 200].map(|n| format!("{n} qr-pendent"));
        let text = format!("{head}areas:\n  hall: {{name: Hall, lines: [{}]}}\n", lines.join(", "));
        let mut bench = Bench::of(&text);
        bench.drive.keys("k Tab Tab");
        let shown = bench.shown();
        assert_eq!(shown.matches("rules here").count(), 1, "{shown}");
        let words: Vec<String> = shown
            .lines()
            .filter_map(|l| l.split_once("asks for "))
            .map(|(_, rest)| rest.split_whitespace().next().unwrap().to_owned())
            .collect();
        words
    };
    // Fewer than 300 ask for 6, 300 and more for 12 (NFPA 13 16.2.7.5, from memory).
    assert_eq!(totals(299)[0], "6");
    assert_eq!(totals(301)[0], "12");
    assert_ne!(totals(300), totals(299));
}

#[test]
fn a_replacement_takes_two_keys_clears_the_ruling_and_takes_a_spare() {
    let mut bench = Bench::new(On::Spares);
    let head = Address::parse("hall/2.2").unwrap();
    bench.drive.keys("Home Enter j 2.2 Enter");
    let ruling = |bench: &Bench| {
        let state = state(bench);
        state.judgement(state.layout().find(&head).unwrap()).map(|j| j.ruling.as_str())
    };
    assert_eq!(ruling(&bench), Some("replace"));
    assert_eq!(held(&bench, "qr-pendent"), Some((4, 1)));
    let before = bench.drive.struck();
    bench.drive.keys("= Enter");
    assert_eq!(bench.drive.struck() - before, 2);
    assert_ne!(ruling(&bench), Some("replace"), "{}", bench.shown());
    assert_eq!(held(&bench, "qr-pendent"), Some((3, 1)));
    // Taken back, all of it is as it was.
    bench.drive.keys("u");
    assert_eq!((ruling(&bench), held(&bench, "qr-pendent")), (Some("replace"), Some((4, 1))));
}

#[test]
fn spares_are_listed_by_verdict_and_tell_field_by_field_what_differs() {
    let mut bench = Bench::new(On::Spares);
    bench.drive.keys("Home Enter j 1.3 Enter =");
    let shown = bench.shown();
    let order: Vec<usize> = ["✓ fits", "• may", "? ask", "✗ never"]
        .iter()
        .map(|v| shown.find(v).unwrap_or_else(|| panic!("{v}: {shown}")))
        .collect();
    assert!(order.is_sorted(), "{shown}");
    assert!(shown.contains("Live system: for licensed people"), "{shown}");
    bench.drive.keys("End");
    assert!(bench.shown().contains("orientation: head pendent, spare"), "{}", bench.shown());
    // Who allowed it becomes the note.
    bench.drive.keys("Home Down Down Down Enter").text("Ada Marl, fire engineer").keys("Enter");
    let What::Did(did) = &state(&bench).entries().last().unwrap().what else { panic!("a deed") };
    assert_eq!(did.note.as_deref(), Some("allowed by Ada Marl, fire engineer"));
}

#[test]
fn what_must_not_go_in_says_why_and_records_nothing() {
    let mut bench = Bench::new(On::Spares);
    bench.drive.keys("Home Enter j 1.3 Enter = End Enter");
    assert!(bench.shown().contains("It must not go in"), "{}", bench.shown());
    assert!(bench.recorded().is_empty());
    assert_eq!(bench.drive.top(), "replacement");
}

#[test]
fn a_glove_that_strikes_twice_skips_no_kind_and_records_no_count_twice() {
    let mut bench = Bench::new(On::Spares);
    bench.drive.keys("k Right c 1").hasty("Enter Enter").keys("2 r");
    bench.drive.hasty("Enter Enter Enter");
    assert_eq!(bench.recorded(), ["cabinet riser counted: 3 heads of 2 kinds"]);
    let mut bench = Bench::new(On::Spares);
    bench.drive.keys("Home Enter j 1.3 Enter").hasty("= = Enter Enter");
    assert_eq!(bench.recorded().len(), 1, "{}", bench.shown());
    // A number with two like digits is one, however fast.
    let mut bench = Bench::new(On::Spares);
    bench.drive.keys("k Right c").hasty("1 1").keys("r Enter");
    assert_eq!(held(&bench, "qr-pendent"), Some((11, 0)));
}

#[test]
fn a_posted_list_is_written_beside_the_site_file_when_asked() {
    let mut bench = Bench::new(On::Spares);
    bench.drive.keys("k Right p Down Backspace 8").keys(&"Down ".repeat(7)).keys("Enter y");
    assert_eq!(bench.recorded(), ["list of cabinet riser posted"], "{}", bench.shown());
    let list = std::fs::read_to_string(bench.path().with_file_name("quay.posted-list-riser.txt")).unwrap();
    assert!(list.contains("Valve room") && list.contains('8'), "{list}");
    let What::Posted(posted) = &state(&bench).entries().last().unwrap().what else { panic!("a list") };
    assert_eq!(posted.keep["qr-pendent"], 8);
    assert!(!posted.keep.contains_key("old-wall"));
}

#[test]
fn a_look_records_only_what_was_looked_at_in_the_sites_unit() {
    let mut bench = Bench::new(On::Spares);
    bench.drive.keys("k Right l t Down Down 9 5 Down Down w Down Down Enter");
    let What::Checked(look) = &state(&bench).entries().last().unwrap().what else {
        panic!("a look: {}", bench.shown())
    };
    assert_eq!(look.wrenches.values().collect::<Vec<_>>(), [&true]);
    assert_eq!((look.list, look.dry, look.place), (None, None, Some(false)));
    assert_eq!(look.warmest.map(|t| t.to_string()).as_deref(), Some("95 F"));
}

#[test]
fn an_entry_of_ones_own_is_taken_back_and_the_ledger_with_it() {
    let mut bench = Bench::new(On::Spares);
    bench.drive.keys("k Right i 1 6 Enter Enter Enter");
    assert_eq!(held(&bench, "qr-pendent"), Some((10, 1)));
    bench.drive.keys("Tab Tab Tab Tab Enter");
    assert_eq!(held(&bench, "qr-pendent"), Some((4, 1)), "{}", bench.shown());
    assert!(bench.shown().contains("(taken back) 6 qr-pendent put-in"), "{}", bench.shown());
}

#[test]
fn after_the_sign_off_a_count_is_asked_about_first() {
    let mut bench = Bench::new(On::AllSeen);
    bench.drive.keys("k n b o x Enter B o x Enter Enter Enter Enter Esc s s Enter Enter Enter Enter Enter y Esc");
    assert_eq!(bench.recorded(), ["cabinet box added", "signed by Ines Tidewell"], "{}", bench.shown());
    bench.drive.keys("k c");
    assert_eq!(bench.drive.top(), "confirmation", "{}", bench.shown());
    bench.drive.keys("y");
    assert_eq!(bench.drive.top(), "count");
}

#[test]
fn what_a_spare_must_share_is_asked_of_a_new_kind() {
    let mut bench = Bench::new(On::Spares);
    bench
        .drive
        .keys("k Right i n d r y Down p Down e Down q Down Down b Down 1 5 5 Space f Down 5 . 6 Down Down Down Down");
    // Dry, its length, its thread, no guard, its wrench.
    bench
        .drive
        .keys("y Down")
        .text("18 in")
        .keys("Down")
        .text("1 NPT")
        .keys("Down Down")
        .text("strap")
        .keys("Down Enter");
    assert_eq!(bench.drive.top(), "spares moved", "{}", bench.shown());
    let kind = state(&bench).register().kinds.last().unwrap();
    assert!(kind.dry);
    assert_eq!(kind.length.map(|l| l.to_string()).as_deref(), Some("18 in"));
    assert_eq!((kind.thread.as_deref(), kind.wrench.as_deref()), (Some("1 NPT"), Some("strap")));
}

#[test]
fn the_comparison_of_a_spare_is_read_to_its_end_on_a_small_screen() {
    let mut bench = Bench::new(On::Spares);
    bench.drive.keys("Home Enter j 1.3 Enter = End");
    let top = bench.drive.shown(60, 20);
    assert!(top.contains("▾") && !top.contains("agrees"), "{top}");
    let mut pages = 0;
    while !bench.drive.shown(60, 20).contains("agrees") {
        bench.drive.keys("PgDn");
        pages += 1;
        assert!(pages < 20, "{}", bench.drive.shown(60, 20));
    }
    // Another spare is read from its beginning.
    bench.drive.keys("Up");
    assert!(bench.drive.shown(60, 20).contains("it must not go in"), "{}", bench.drive.shown(60, 20));
}
