//! What is offered at a cabinet: the kinds to count, what a count differs in, what a list would say, which spares a head could
//! take.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod screens_support;

use chrono::NaiveDate;
use headround::round::stock;
use headround::rules::spares::FitVerdict;
use headround::trade::address::Address;
use headround::trade::quantity::Units;
use headround::tui::spares::{Against, candidates, proposal, temperature, to_count};
use screens_support::Bench;

const REGISTER: &str = "\
format: headround site 1
site: {id: 01KAVQ5R8Z0000000000000000, name: Marram Quay, where: Port Tarrow, rules: nfpa25-2023, units: us}
kinds:
  old: {orientation: pendent, response: standard, element: bulb, rating: 200 F, k: 5.6, made: 2010}
  new: {orientation: pendent, response: standard, element: bulb, rating: 200 F, k: 5.6, made: 2024}
  quick: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, made: 2015}
  called: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, made: 2015, number: QZ0417}
  upright: {orientation: upright, response: quick, element: bulb, rating: 155 F, k: 5.6, made: 2015}
areas:
  hall: {name: Hall, lines: [20 quick]}
  dock: {name: Dock, lines: [4 old, 2 new]}
cabinets:
  riser: {name: Valve room, serves: [hall]}
  annex: {name: Annex, serves: [dock]}
recalled:
  - {number: QZ0417, why: told by its maker}
";

const TODAY: &str = "2026-11-25";

/// The site with lines in a round that has begun.
fn site(entries: &[&str]) -> Bench {
    let mut text = REGISTER.to_owned();
    let begin = r#""begin":{"date":"2026-11-25","inspector":"Ines Tidewell"}"#;
    for (n, verb) in std::iter::once(&begin).chain(entries).enumerate() {
        text.push_str(&format!(
            "--- {{\"id\":\"01KB00000000000000000000{n:02}\",\"at\":\"2026-11-25T08:00:00-05:00\",\"by\":\"ines\",\"round\":\"2026\",{verb}}}\n"
        ));
    }
    Bench::of(&text)
}

/// The spares for a head: kind, cabinet, how many, verdict.
fn offered(entries: &[&str], head: &str) -> Vec<(String, String, u32, FitVerdict)> {
    let bench = site(entries);
    let state = bench.drive.app().desk().expect("a site").state();
    let head = state.layout().find(&Address::parse(head).unwrap()).unwrap();
    let today: NaiveDate = TODAY.parse().unwrap();
    let list = candidates(state, &stock::ledger(state), head, today);
    list.iter()
        .map(|c| (state.register().kind(c.kind).unwrap().id.clone(), c.cabinet.to_string(), c.there, c.verdict()))
        .collect()
}

fn row(kind: &str, cabinet: &str, n: u32, verdict: FitVerdict) -> (String, String, u32, FitVerdict) {
    (kind.to_owned(), cabinet.to_owned(), n, verdict)
}

#[test]
fn spares_of_the_cabinet_that_serves_come_first_and_only_fit_ones_are_offered() {
    use FitVerdict::{Never, Same};
    let riser =
        r#""counted":{"cabinet":"riser","held":{"upright":2,"quick":3,"called":1,"new":0},"unfit":{"quick":1}}"#;
    let annex = r#""counted":{"cabinet":"annex","held":{"quick":2,"upright":1},"unfit":{"upright":1}}"#;
    assert_eq!(
        offered(&[riser, annex], "hall/1.1"),
        [
            row("quick", "riser", 2, Same),
            // Recalled: the same in every field, and never used.
            row("called", "riser", 1, Never),
            row("upright", "riser", 2, Never),
            row("quick", "annex", 2, Same),
        ]
    );
    assert!(offered(&[], "hall/1.1").is_empty());
}

#[test]
fn the_screen_stands_on_what_fits_best_though_it_lies_in_another_cabinet() {
    let riser = r#""counted":{"cabinet":"riser","held":{"upright":2}}"#;
    let annex = r#""counted":{"cabinet":"annex","held":{"quick":2}}"#;
    let mut bench = site(&[riser, annex]);
    bench.drive.keys("Home Enter =");
    let shown = bench.shown();
    let here = shown.lines().find(|l| l.starts_with('▸')).expect("a row");
    assert!(here.contains("quick") && here.contains("Annex (serves elsewhere)"), "{shown}");
    bench.drive.keys("Enter");
    assert_eq!(bench.recorded(), ["hall/1.1 replaced by quick from cabinet annex"]);
}

#[test]
fn a_count_asks_for_what_is_known_listed_or_installed_where_the_cabinet_serves_by_rating_then_response() {
    for (entries, cabinet, kinds) in [
        (&[][..], "riser", &["quick"][..]),
        (&[], "annex", &["old", "new"]),
        (&[r#""moved":{"cabinet":"riser","kind":"new","n":1,"way":"put-in"}"#], "riser", &["quick", "new"]),
        (&[r#""posted":{"cabinet":"riser","date":"2026-11-25","keep":{"upright":2}}"#], "riser", &["quick", "upright"]),
        (&[r#""counted":{"cabinet":"riser","held":{"old":0}}"#], "riser", &["quick", "old"]),
    ] {
        let bench = site(entries);
        let state = bench.drive.app().desk().expect("a site").state();
        let ledger = stock::ledger(state);
        let at = state.register().cabinet_named(cabinet).unwrap();
        let list = to_count(state, &state.register().cabinets[at], ledger.shelves.get(at));
        let names: Vec<&str> = list.iter().map(|k| state.register().kind(*k).unwrap().id.as_str()).collect();
        assert_eq!(names, kinds, "{cabinet} {entries:?}");
    }
}

#[test]
fn the_lists_of_all_cabinets_together_say_what_the_rule_set_asks_for() {
    // Six for 26 heads: at least one of each of two types, the rest in proportion to 20 and 6 heads.
    let said = |entries: &[&str], cabinet: &str| -> Vec<(String, u32)> {
        let bench = site(entries);
        let state = bench.drive.app().desk().expect("a site").state();
        let at = state.register().cabinet_named(cabinet).unwrap();
        let list = proposal(state, &state.register().cabinets[at], TODAY.parse().unwrap());
        list.iter().map(|(k, n)| (state.register().kind(*k).unwrap().id.clone(), *n)).collect()
    };
    let sum =
        |entries: &[&str]| -> u32 { ["riser", "annex"].iter().flat_map(|c| said(entries, c)).map(|(_, n)| n).sum() };
    assert_eq!(sum(&[]), 6);
    // Of a type's kinds the newest takes what is missing.
    assert!(said(&[], "annex").iter().any(|(k, n)| k == "new" && *n > 0), "{:?}", said(&[], "annex"));
    assert!(said(&[], "annex").iter().any(|(k, n)| k == "old" && *n == 0));
    // What lies there keeps its number as far as it is wanted.
    let old = r#""counted":{"cabinet":"annex","held":{"old":1}}"#;
    assert!(said(&[old], "annex").iter().any(|(k, n)| k == "old" && *n == 1), "{:?}", said(&[old], "annex"));
    // A list that is short of it is topped up when the next one is posted.
    let short = r#""posted":{"cabinet":"riser","date":"2026-11-25","keep":{"quick":1}}"#;
    assert_eq!(sum(&[short]), 6, "{:?} {:?}", said(&[short], "riser"), said(&[short], "annex"));
    let full = r#""posted":{"cabinet":"riser","date":"2026-11-25","keep":{"quick":9}}"#;
    assert!(said(&[full], "riser").contains(&("quick".to_owned(), 9)));
}

#[test]
fn a_count_tells_how_it_stands_to_the_ledger() {
    for (ledger, counted, words) in [
        (None, 0, "new to the ledger"),
        (Some(6), 6, "as the ledger says"),
        (Some(6), 4, "2 fewer than the ledger's 6"),
        (Some(6), 7, "1 more than the ledger's 6"),
        (Some(-1), 0, "1 more than the ledger's -1"),
        (Some(0), 0, "as the ledger says"),
    ] {
        assert_eq!(Against::of(ledger, counted).words(), words, "{ledger:?} {counted}");
    }
}

#[test]
fn a_bare_temperature_is_in_the_sites_unit() {
    for (text, units, written) in [
        ("95", Units::Us, Some("95 F")),
        (" 35 ", Units::Metric, Some("35 C")),
        ("35 C", Units::Us, Some("35 C")),
        ("95.5", Units::Us, Some("95.5 F")),
        ("9000", Units::Us, None),
        ("nan", Units::Us, None),
        ("warm", Units::Us, None),
        ("", Units::Us, None),
    ] {
        assert_eq!(temperature(text, units).ok().map(|t| t.to_string()).as_deref(), written, "{text}");
    }
}
