//! What the rows of ruled heads promise: one a head, in walking order, every rule that spoke, and what earlier rounds left.

use chrono::NaiveDate;

use std::sync::Arc;

use super::*;
use crate::diag::Source;
use crate::report::sample_tests::{draft, entry, signed};
use crate::rules::judge::Judge;
use crate::rules::{builtin, load};
use crate::trade::register_text;

fn on() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, 26).expect("a day")
}

fn row_at(rows: &[RulingRow], head: &str) -> RulingRow {
    rows.iter().find(|r| r.head.to_string() == head).unwrap_or_else(|| panic!("no row for {head}")).clone()
}

#[test]
fn a_row_is_written_in_its_documented_shape() {
    let rows = rows(&draft(), on());
    let row = row_at(&rows, "pack/1.7");
    insta::assert_snapshot!(serde_json::to_string_pretty(&row).expect("it is written"));
}

#[test]
fn heads_come_once_each_in_walking_order() {
    let rows = rows(&signed(), on());
    let heads: Vec<String> = rows.iter().map(|r| r.head.to_string()).collect();
    assert_eq!(
        heads,
        [
            "pack/1.2",
            "pack/1.4",
            "pack/1.7",
            "pack/1.9",
            "pack/2.1",
            "pack/2.2",
            "pack/2.3",
            "pack/2.4",
            "pack/2.5",
            "pack/2.8",
            "pack/2.9",
            "pack/3.1",
            "pack/3.2",
            "pack/3.4",
            "pack/3.5",
            "pack/3.6",
            "cold/2.1",
            "cold/2.4",
            "office/1.7"
        ]
    );
}

#[test]
fn the_strongest_ruling_stands_and_every_reason_is_kept() {
    let row = row_at(&rows(&draft(), on()), "pack/1.7");
    assert_eq!((row.ruling, row.class), (Some(Ruling::Replace), Some(Class::Impairment)));
    assert_eq!(row.signs, ["paint", "blocked"]);
    let rules: Vec<&str> = row.reasons.iter().map(|r| r.rule.as_str()).collect();
    assert_eq!(rules, ["paint-operating-part-heavy", "blocked-near"]);
    assert_eq!((row.by.as_str(), row.at.as_str()), ("ines", "2026-11-25T09:09:00-05:00"));
}

#[test]
fn what_was_mended_or_settled_stays_in_its_row_and_rules_nothing() {
    let rows = rows(&signed(), on());
    for (head, fate) in [
        ("pack/2.9", Became::Mended),
        ("pack/3.1", Became::Mended),
        ("pack/3.2", Became::Mended),
        ("pack/3.6", Became::SetAside),
    ] {
        let row = row_at(&rows, head);
        assert_eq!(row.ruling, Some(Ruling::Keep), "{head}");
        assert!(row.clauses.is_empty() && row.signs.is_empty());
        assert!(row.reasons.iter().all(|r| r.fate == fate), "{head}");
    }
}

#[test]
fn carried_findings_tell_how_they_stand() {
    let (before, after) = (rows(&draft(), on()), rows(&signed(), on()));
    let state_of = |rows: &[RulingRow], head: &str| row_at(rows, head).carried[0].state;
    assert_eq!(state_of(&before, "pack/1.2"), Standing::Worse);
    assert_eq!(state_of(&before, "pack/1.4"), Standing::Still);
    assert_eq!(state_of(&before, "pack/1.9"), Standing::VerifiedFixed);
    assert_eq!(state_of(&before, "pack/2.8"), Standing::SaidFixed);
    assert_eq!(state_of(&before, "pack/3.5"), Standing::Unanswered);
    assert_eq!(state_of(&after, "pack/2.8"), Standing::VerifiedFixed);
    assert_eq!(state_of(&after, "pack/3.5"), Standing::VerifiedFixed);
    let carried = &row_at(&before, "pack/1.4").carried[0];
    assert_eq!((carried.age_days, carried.times, carried.first_round.as_str()), (Some(371), 1, "2025"));
}

#[test]
fn a_head_that_could_not_be_judged_is_ruled_look() {
    let row = row_at(&rows(&draft(), on()), "cold/2.1");
    assert_eq!((row.ruling, row.class), (Some(Ruling::Look), None));
    assert_eq!(row.recorded[0].unsure, Some(crate::round::entry::UnsureWhy::Dirty));
    assert_eq!((row.reasons[0].part.as_deref(), row.reasons[0].extent.as_deref()), (None, None));
}

#[test]
fn the_register_speaks_only_of_heads_that_were_looked_at() {
    let state = draft();
    let advice = advice(&state);
    assert_eq!(advice.len(), 1);
    assert_eq!((advice[0].rule.as_str(), advice[0].heads, advice[0].looked_at), ("recall-listed", 12, 5));
    let row = row_at(&rows(&state, on()), "cold/2.4");
    assert!(row.reasons.iter().any(|r| r.by == "register" && r.rule == "recall-listed"));
    assert!(!row_at(&rows(&state, on()), "cold/2.1").reasons.iter().any(|r| r.by == "register"));
}

#[test]
fn filters_take_what_they_name() {
    let rows = rows(&draft(), on());
    let count = |filter: Filter| rows.iter().filter(|r| filter.takes(r)).count();
    assert_eq!(count(Filter::default()), rows.len());
    assert_eq!(count(Filter { rulings: vec![Ruling::Clean], ..Filter::default() }), 5);
    assert_eq!(count(Filter { classes: vec![Class::Impairment], ..Filter::default() }), 2);
    assert_eq!(count(Filter { classes: vec![Class::Advisory], ..Filter::default() }), 1);
    let cold = AreaId::parse("cold").expect("an area");
    assert_eq!(count(Filter { areas: vec![cold.clone()], ..Filter::default() }), 2);
    assert_eq!(count(Filter { areas: vec![cold], rulings: vec![Ruling::Clean], ..Filter::default() }), 0);
}

#[test]
fn the_status_row_is_written_in_its_documented_shape() {
    let row = status(&draft(), Some("cannery.site.yaml"), on());
    assert_eq!(row.tally.heads, row.tally.seen + row.tally.unsure + row.tally.unreached + row.tally.unseen);
    insta::assert_snapshot!(serde_json::to_string_pretty(&row).expect("it is written"));
}

#[test]
fn what_falls_due_by_age_on_another_day_is_told_by_area_kind_and_day_of_service() {
    let site = "\
format: headround site 1
site: {id: 01KAVQ5R8Z0000000000000000, name: Quay, rules: nfpa25-2023}
kinds:
  qr: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome, made: 2009}
  up: {orientation: upright, response: standard, element: link, rating: 165 F, k: 5.6, finish: brass}
areas:
  pack: {name: Packing hall, in_service: 2009-05, lines: [5 qr, 2 up]}
  loft: {name: Loft, lines: [2 qr]}
";
    let (register, complaints) = register_text::read(&Source::new("t", site));
    assert!(complaints.is_empty());
    let entries = vec![
        entry(1, "2026-11-25T09:00:00-05:00", "ines", "2026", r#""begin":{"date":"2026-11-25","inspector":"I"}"#),
        entry(2, "2026-11-25T09:10:00-05:00", "ines", "2026", r#""did":{"head":"pack/1.2","did":"replaced"}"#),
        entry(3, "2026-11-25T09:11:00-05:00", "ines", "2026", r#""did":{"head":"pack/1.3","did":"cleaned"}"#),
    ];
    let set = |first: &str| {
        let text = include_str!("../../../tests/fixtures/stricter-rules.yaml").replace("15 years", first);
        Arc::new(load::read(&Source::new("t.yaml", text), &builtin::source).expect("sound"))
    };
    let register = register.expect("a register");
    let state = State::fold(register, entries, Judge::new(set("15 years"), &[]), None);
    let it = against(&state, &state.rejudged(set("20 years"), "other"), on());
    let told: Vec<_> = it
        .due
        .iter()
        .map(|d| {
            let day = |due: &Option<DueBy>| due.as_ref().and_then(|d| d.on).expect("a day").to_string();
            (d.area.to_string(), d.heads, d.since.map(|s| s.to_string()), day(&d.from), day(&d.to))
        })
        .collect();
    let day = |d: &str| d.to_owned();
    assert_eq!(
        told,
        [
            ("pack".into(), 4, Some(day("2009-05")), day("2024-05-01"), day("2029-05-01")),
            ("pack".into(), 1, Some(day("2026-11-25")), day("2041-11-25"), day("2046-11-25")),
            // Without a day of service the year made counts.
            ("loft".into(), 2, None, day("2024-01-01"), day("2029-01-01")),
        ]
    );
    assert!(it.heads.is_empty() && !it.is_empty());
    assert!(against(&state, &state.rejudged(set("15 years"), "same"), on()).due.is_empty());
}
