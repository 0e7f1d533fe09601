//! What every rendering of a summary promises: the same facts, no promise about the system, no markup from what people
//! typed, and no state that it cannot print.

use std::collections::BTreeSet;

use chrono::NaiveDate;
use proptest::prelude::*;

use super::lines::width;
use super::sample_tests::{SITE, draft, entries, entry, signed, state};
use super::summary::{Block, Section, Summary};
use super::{json, markdown, sheets, text};
use crate::round::entry::Entry;
use crate::round::state::State;
use crate::rules::model::Class;

fn on() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, 26).expect("a day")
}

fn plain_text(summary: &Summary) -> String {
    text::render(summary, text::Layout::default())
}

#[test]
fn a_signed_round_as_text() {
    insta::assert_snapshot!(plain_text(&Summary::of(&signed(), on())));
}

#[test]
fn a_draft_as_text() {
    insta::assert_snapshot!(plain_text(&Summary::of(&draft(), on())));
}

#[test]
fn a_signed_round_as_markdown() {
    insta::assert_snapshot!(markdown::render(&Summary::of(&signed(), on())));
}

#[test]
fn walk_sheets_of_all_areas() {
    let paper = sheets::Paper { form_feed: false, ..sheets::Paper::default() };
    insta::assert_snapshot!(sheets::render(&draft(), &[], on(), paper));
}

const EMPTY: &str = "\
format: headround site 1
site: {id: 01KAVQ5R8Z0000000000000000, name: Empty Loft, rules: nfpa25-2023, units: metric}
kinds: {}
areas: {}
";

#[test]
fn a_site_without_heads_or_rounds_as_text() {
    insta::assert_snapshot!(plain_text(&Summary::of(&state(EMPTY, Vec::new()), on())));
}

/// Letters and digits only, so that wrapping, escapes and tables do not matter.
fn bare(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

fn unescaped(markdown: &str) -> String {
    let text = markdown.replace("<br>", " ").replace("&lt;", "<").replace("&gt;", ">").replace("&#64;", "@");
    text.replace("&amp;", "&")
}

/// The facts that a rendering lacks.
fn lacking<'s>(summary: &'s Summary, rendering: &str) -> Vec<&'s str> {
    let all = bare(rendering);
    summary.facts().into_iter().filter(|f| !all.contains(&bare(&f.text))).map(|f| f.id.as_str()).collect()
}

#[test]
fn a_table_of_counts_stays_a_table_however_long_the_names_of_areas_are() {
    let long = "The long hall behind the old weighing room and the stair to the upper store";
    let summary = Summary::of(&state(&SITE.replace("name: Packing hall", &format!("name: {long}")), Vec::new()), on());
    let page = plain_text(&summary);
    check_text(&page, 80);
    let end = page.lines().position(|l| l.starts_with("  ") && l.ends_with(" 28         28") && l.contains("(pack)"));
    assert!(end.is_some(), "{page}");
    assert!(page.contains("None anywhere (0): Judged, Not judged, Not reached."), "{page}");
    assert_eq!(lacking(&summary, &page), [""; 0]);
}

#[test]
fn every_fact_appears_in_every_rendering() {
    for state in [draft(), signed(), state(EMPTY, Vec::new())] {
        let summary = Summary::of(&state, on());
        assert!(summary.facts().len() > 20);
        assert_eq!(lacking(&summary, &plain_text(&summary)), [""; 0]);
        assert_eq!(lacking(&summary, &unescaped(&markdown::render(&summary))), [""; 0]);
        let read: serde_json::Value = serde_json::from_str(&json::render(&summary)).expect("it is JSON");
        let mut ids = BTreeSet::new();
        collect_ids(&read, &mut ids);
        assert!(summary.facts().iter().all(|f| ids.contains(&f.id)));
    }
}

fn collect_ids(value: &serde_json::Value, ids: &mut BTreeSet<String>) {
    match value {
        serde_json::Value::Object(map) => {
            if let (Some(id), true) = (map.get("id").and_then(|i| i.as_str()), map.contains_key("text")) {
                ids.insert(id.to_owned());
            }
            map.values().for_each(|v| collect_ids(v, ids));
        }
        serde_json::Value::Array(list) => list.iter().for_each(|v| collect_ids(v, ids)),
        _ => {}
    }
}

fn twice(summary: &Summary) -> Vec<String> {
    let mut met = BTreeSet::new();
    summary.facts().into_iter().filter(|f| !met.insert(f.id.clone())).map(|f| f.id.clone()).collect()
}

#[test]
fn no_two_facts_share_an_id() {
    for state in [draft(), signed()] {
        assert_eq!(twice(&Summary::of(&state, on())), [""; 0]);
    }
}

/// Words that would promise something an inspection of heads cannot promise.
const PROMISES: [&str; 13] = [
    "passed",
    "safe",
    "safely",
    "safety",
    "compliant",
    "complies",
    "certified",
    "approved",
    "satisfactory",
    "acceptable",
    "faultless",
    "fine",
    "ok",
];

fn promises(rendering: &str) -> Vec<&'static str> {
    let words: Vec<String> =
        rendering.split(|c: char| !c.is_alphanumeric()).map(str::to_lowercase).filter(|w| !w.is_empty()).collect();
    PROMISES.into_iter().filter(|p| words.iter().any(|w| w == p)).collect()
}

#[test]
fn no_rendering_says_that_a_system_passed_or_is_safe() {
    let quoted = |e: &Entry| e.to_json().contains("safe last year");
    let mut kept = entries();
    kept.retain(|e| !quoted(e));
    assert!(entries().iter().any(quoted), "the words of a passer-by are quoted where they stand");
    for state in [state(SITE, kept), state(SITE, clean_round()), state(EMPTY, Vec::new())] {
        let summary = Summary::of(&state, on());
        // A rule set says in its own words what never to do.
        let ours = plain_text(&summary).replace("its neighbours were fine", "");
        assert_eq!(promises(&ours), [""; 0]);
        assert_eq!(promises(&sheets::render(&state, &[], on(), sheets::Paper::default())), [""; 0]);
        assert!(promises("The system passed. It is safe.").len() == 2);
    }
}

/// A round in which every head was seen and nothing found, signed.
fn clean_round() -> Vec<Entry> {
    let begin = r#""begin":{"date":"2026-11-25","inspector":"Ines Tidewell","licence":"PT-118"}"#;
    let at = "2026-11-25T09:00:00-05:00";
    let mut list = vec![entry(1, at, "ines", "2026", begin)];
    for (n, area) in (2..).zip(["pack", "cold", "office"]) {
        list.push(entry(n, at, "ines", "2026", &format!(r#""seen":"{area}""#)));
    }
    let digest = "0".repeat(64);
    let sign =
        format!(r#""signoff":{{"name":"Ines Tidewell","date":"2026-11-25","digest":"sha256:{digest}","lines":4}}"#);
    list.push(entry(5, at, "ines", "2026", &sign));
    list
}

#[test]
fn a_round_without_findings_promises_nothing() {
    let page = plain_text(&Summary::of(&state(SITE, clean_round()), on()));
    for words in [
        "No finding that is open in this round is classed as an impairment.",
        "That says nothing about heads that were not inspected",
        "A visual inspection from the floor cannot show that a head will operate.",
        "46 of 46 heads looked at and judged",
    ] {
        assert!(bare(&page).contains(&bare(words)), "{words}");
    }
}

#[test]
fn a_draft_says_so_and_a_signed_round_shows_its_digest() {
    let (draft, signed) = (Summary::of(&draft(), on()), Summary::of(&signed(), on()));
    assert!(draft.draft && !signed.draft);
    for page in [plain_text(&draft), markdown::render(&draft)] {
        assert!(page.contains("DRAFT. Nobody has signed") && page.contains("DRAFT. This round is not signed"));
        assert!(page.contains("End of the draft."));
        assert!(!page.contains("sha256:"));
    }
    for page in [plain_text(&signed), markdown::render(&signed)] {
        assert!(!page.contains("DRAFT"));
        assert!(page.contains("sha256:2c26b46b68ffc68ff99b453c1d30413413422d706483bfa0f98a5e886266e7ae"), "unbroken");
        assert!(page.contains("headround check"));
        assert!(bare(&page).contains(&bare("Amendments after sign-off")));
    }
}

#[test]
fn impairments_come_first() {
    let summary = Summary::of(&draft(), on());
    assert_eq!(summary.sections.first().map(|s| s.id.as_str()), Some("impairments"));
    assert!(summary.impaired);
    let banner = |s: &Section| matches!(s.blocks.first(), Some(Block::Banner { .. }));
    assert!(summary.sections.first().is_some_and(banner));
    let quiet = Summary::of(&state(SITE, clean_round()), on());
    assert!(!quiet.impaired && !quiet.sections.first().is_some_and(banner));
}

fn fact<'s>(summary: &'s Summary, id: &str) -> &'s str {
    let found: Vec<_> = summary.facts().into_iter().filter(|f| f.id == id).collect();
    assert_eq!(found.len(), 1, "{id}");
    &found[0].text
}

#[test]
fn a_notice_counts_for_what_was_found_before_it() {
    let summary = Summary::of(&draft(), on());
    // pack/3.1 was found at 09:52, after the owner and the fire department were told at 09:30 and 09:33.
    assert!(fact(&summary, "tell.1.told").ends_with("NOT YET about pack/3.1"));
    assert!(fact(&summary, "tell.2.told").starts_with("NOT YET"));
    assert!(fact(&summary, "tell.3.told").ends_with("NOT YET about pack/3.1"));
    let signed = Summary::of(&signed(), on());
    assert!(fact(&signed, "tell.1.told").starts_with("25 November 2026, 09:15, in person"));
}

#[test]
fn an_impairment_nobody_was_told_of_says_so() {
    let mut kept = entries();
    kept.retain(|e| !e.to_json().contains("\"notice\""));
    let summary = Summary::of(&state(SITE, kept), on());
    assert!(fact(&summary, "notices.none").starts_with("Nobody has been told yet"));
}

#[test]
fn the_time_limit_of_a_carried_impairment_starts_with_its_first_report() {
    let begin = |day: &str| format!(r#""begin":{{"date":"{day}","inspector":"Ines Tidewell"}}"#);
    let saw = r#""saw":{"head":"pack/1.1","sign":"leak","part":"seal","extent":"heavy"}"#;
    let entries = vec![
        entry(1, "2025-11-25T08:00:00-05:00", "ines", "2025", &begin("2025-11-25")),
        entry(2, "2025-11-25T09:00:00-05:00", "ines", "2025", saw),
        entry(3, "2026-11-25T08:00:00-05:00", "ines", "2026", &begin("2026-11-25")),
        entry(4, "2026-11-25T09:00:00-05:00", "ines", "2026", saw),
    ];
    let summary = Summary::of(&state(SITE, entries), on());
    assert_eq!(fact(&summary, "clock.2.by"), "25 November 2025, 19:00");
    assert!(fact(&summary, "clock.2.from").starts_with("25 November 2025, 09:00"));
}

#[test]
fn the_time_limit_of_a_finding_grown_worse_starts_when_it_became_an_impairment() {
    let begin = |day: &str| format!(r#""begin":{{"date":"{day}","inspector":"Ines Tidewell"}}"#);
    let saw = |extent: &str| format!(r#""saw":{{"head":"pack/1.1","sign":"leak","part":"seal","extent":"{extent}"}}"#);
    let entries = vec![
        entry(1, "2024-11-25T08:00:00-05:00", "ines", "2024", &begin("2024-11-25")),
        entry(2, "2024-11-25T09:00:00-05:00", "ines", "2024", &saw("trace")),
        entry(3, "2025-11-25T08:00:00-05:00", "ines", "2025", &begin("2025-11-25")),
        entry(4, "2025-11-25T09:30:00-05:00", "ines", "2025", &saw("heavy")),
    ];
    let summary = Summary::of(&state(SITE, entries), on());
    assert_eq!(fact(&summary, "clock.2.by"), "25 November 2025, 19:30");
    assert!(fact(&summary, "clock.2.from").starts_with("25 November 2025, 09:30"));
}

#[test]
fn what_is_ruled_replace_still_needs_its_surroundings_put_right() {
    let summary = Summary::of(&draft(), on());
    let ids: Vec<&str> = summary.facts().iter().map(|f| f.id.as_str()).collect();
    assert!(ids.contains(&"do.replace.pack/1.7.heads"));
    assert_eq!(fact(&summary, "do.correct.pack/1.7.besides"), "Listed under 'replace' too.");
}

#[test]
fn an_advisory_is_kept_out_of_the_findings() {
    let state = signed();
    let summary = Summary::of(&state, on());
    let rows = crate::round::rulings::rows(&state, on());
    assert!(rows.iter().any(|r| r.class == Some(Class::Advisory)));
    let ids: Vec<&str> = summary.facts().iter().map(|f| f.id.as_str()).collect();
    assert!(ids.iter().any(|i| i.starts_with("advisory.cold/2.4.")));
    assert!(!ids.iter().any(|i| i.starts_with("finding.cold/2.4.") || i.starts_with("do.replace.cold/2.4")));
    assert!(ids.iter().any(|i| i.starts_with("mixed.area pack.")));
    assert!(ids.contains(&"advice.cold.cold-dry.recall-listed.heads"));
}

/// Text that would be markup, steer a terminal, or break a table.
const HOSTILE: &str = "<script>alert(1)</script> | </td> [a](http://b.example) ![i](x) **b** `c` <!-- \
    &lt; \u{1b}[2J \u{202e}evil \u{7} \\ https://b.example www.b.example\n# heading\n\n- item\n1. one\t~~x~~";

fn hostile_site() -> State {
    let name = serde_json::to_string(HOSTILE).expect("text");
    let site = SITE
        .replace("name: Marram Quay Cannery", &format!("name: {name}"))
        .replace("name: Packing hall", &format!("name: {name}"))
        .replace("    - owner\n", &format!("    - {name}\n"));
    let long = serde_json::to_string(&format!("{HOSTILE} {}", "x".repeat(5000))).expect("text");
    let mut all = entries();
    let n = all.len() as u128;
    let at = "2026-11-25T12:00:00-05:00";
    for (k, what) in [
        format!(r#""note":{{"text":{long}}}"#),
        format!(r#""saw":{{"head":"pack/1.1","sign":"paint","part":"element","extent":"trace","note":{long}}}"#),
        format!(r#""saw":{{"head":"pack/1.3","sign":{name},"part":{name},"extent":{name}}}"#),
        format!(r#""notice":{{"told":{name},"how":"phone","note":{long}}}"#),
        format!(r#""unreached":{{"heads":"cold/2.6","why":"other","denied_by":{name},"note":{long}}}"#),
        format!(r#""begin":{{"date":"2026-11-25","inspector":{name},"licence":{name},"scope":{name}}}"#),
    ]
    .into_iter()
    .enumerate()
    {
        all.push(entry(n + 1 + k as u128, at, "ines", "2026", &what));
    }
    state(&site, all)
}

fn check_text(page: &str, columns: usize) {
    for line in page.lines() {
        assert!(width(line) <= columns, "{} columns: {line}", width(line));
    }
    assert!(!page.chars().any(|c| c != '\n' && crate::diag::is_unprintable(c)), "a control character");
}

fn check_markdown(page: &str) {
    assert!(!page.chars().any(|c| c != '\n' && crate::diag::is_unprintable(c)), "a control character");
    let mut columns = None;
    for line in page.lines() {
        let bare = line.replace("<br>", "");
        assert!(!bare.contains('<'), "HTML: {line}");
        let chars: Vec<char> = bare.chars().collect();
        let open = |at: usize| chars[..at].iter().rev().take_while(|c| **c == '\\').count() % 2 == 0;
        let loose = |mark: char| (0..chars.len()).filter(|at| chars[*at] == mark && open(*at)).count();
        for mark in ['[', ']', '`', '~', '_'] {
            assert_eq!(loose(mark), 0, "{mark}: {line}");
        }
        assert!(!bare.contains("://") || !bare.contains("http://"), "a link: {line}");
        if line.starts_with('|') {
            let cells = loose('|');
            assert_eq!(*columns.get_or_insert(cells), cells, "{line}");
        } else {
            columns = None;
        }
    }
}

#[test]
fn hostile_text_comes_out_as_text() {
    let state = hostile_site();
    let summary = Summary::of(&state, on());
    let page = plain_text(&summary);
    check_text(&page, 80);
    check_markdown(&markdown::render(&summary));
    assert_eq!(lacking(&summary, &page), [""; 0]);
    assert_eq!(lacking(&summary, &unescaped(&markdown::render(&summary))), [""; 0]);
    let paper = sheets::Paper { form_feed: false, ..sheets::Paper::default() };
    check_text(&sheets::render(&state, &[], on(), paper), 80);
}

#[test]
fn ascii_pages_hold_nothing_but_ascii() {
    let state = hostile_site();
    let page = text::render(&Summary::of(&state, on()), text::Layout { columns: 72, ascii: true });
    assert!(page.is_ascii());
    check_text(&page, 72);
    assert!(page.contains("155 F"));
    let paper = sheets::Paper { ascii: true, ..sheets::Paper::default() };
    assert!(sheets::render(&state, &[], on(), paper).is_ascii());
}

#[test]
fn sheets_keep_to_their_paper() {
    let mut lines = String::new();
    for n in 1..40 {
        lines.push_str(&format!("      - {n} qr-pendent, 1 gap, 12 int-upright\n"));
    }
    let site = SITE.replace("    lines: [6 qr-pendent]\n", &format!("    lines:\n{lines}"));
    let state = state(&site, entries());
    let paper = sheets::Paper { lines: 58, ..sheets::Paper::default() };
    let out = sheets::render(&state, &[2], on(), paper);
    let pages: Vec<&str> = out.split('\u{c}').collect();
    assert!(pages.len() > 5);
    for page in &pages {
        assert!(page.lines().count() <= 58);
        check_text(page, 80);
    }
    // Every head has its box, and no line of heads is torn from its boxes.
    let heads = state.area_counts(2).heads;
    assert_eq!(out.matches("[   ] ").count() + out.matches("[   ]\n").count(), heads + known_boxes(&out));
}

/// Boxes of the list of findings to look at again.
fn known_boxes(out: &str) -> usize {
    out.lines().filter(|l| l.starts_with("[   ]   ")).count()
}

fn what() -> impl Strategy<Value = String> {
    let head =
        prop::sample::select(vec!["pack/1.1", "pack/1.2", "pack/2.5", "cold/1.1", "office/1.1", "pack", "none/1.1"]);
    let sign = prop::sample::select(vec!["leak", "paint", "loading", "corrosion", "cover", "recalled", "strap", "odd"]);
    let part = prop::sample::select(vec!["element", "seal", "deflector", "frame", "whole", "cover-plate"]);
    let extent = prop::sample::select(vec!["trace", "light", "heavy", "full"]);
    let note = "\\PC{0,30}";
    (head, sign, part, extent, note, 0_u8..17, 1_u64..40).prop_map(|(head, sign, part, extent, note, verb, of)| {
        let note = serde_json::to_string(&note).expect("text");
        let of = super::sample_tests::id(u128::from(of));
        match verb {
            0 | 1 => format!(r#""seen":"{head}""#),
            2..=5 => format!(
                r#""saw":{{"head":"{head}","sign":"{sign}","part":"{part}","extent":"{extent}","applied":"field","note":{note}}}"#
            ),
            6 => format!(r#""unsure":{{"head":"{head}","why":"dirty","note":{note}}}"#),
            7 => format!(r#""unreached":{{"heads":"{head}","why":"locked","denied_by":{note}}}"#),
            8 => format!(r#""note":{{"head":"{head}","text":{note}}}"#),
            9 => format!(r#""notice":{{"told":{note},"how":"phone"}}"#),
            10 => format!(r#""did":{{"head":"{head}","did":"replaced","kind":"int-upright","who":{note}}}"#),
            11 => format!(r#""did":{{"head":"{head}","did":"cleaned"}}"#),
            12 => format!(r#""gone":{{"head":"{head}","of":"{of}"}}"#),
            13 => format!(r#""retract":"{of}""#),
            14 => format!(r#""settle":{{"head":"{head}","stands":"{of}","because":{note}}}"#),
            15 => format!(r#""removed":{{"head":"{head}","why":{note}}}"#),
            _ => r#""signoff":{"name":"Ines","date":"2026-11-25","digest":"sha256:00","lines":3}"#.to_owned(),
        }
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_small_state_can_be_printed(
        whats in prop::collection::vec((what(), 0_u8..3, any::<bool>()), 0..40),
        days in -4000_i64..4000,
    ) {
        let begin = |day: &str| format!(r#""begin":{{"date":"{day}","inspector":"Ines Tidewell"}}"#);
        let mut list = vec![
            entry(1, "2025-11-25T08:00:00-05:00", "ines", "2025", &begin("2025-11-25")),
            entry(2, "2026-11-25T08:00:00-05:00", "osk", "2026", &begin("2026-11-25")),
        ];
        for (n, (what, by, early)) in whats.iter().enumerate() {
            let by = ["ines", "osk", "wenna"][usize::from(*by)];
            let (round, at) = if *early { ("2025", "2025-11-25T09:00:00-05:00") } else { ("2026", "2026-11-25T09:00:00-05:00") };
            list.push(entry(n as u128 + 3, at, by, round, what));
        }
        let state = state(SITE, list);
        let day = on() + chrono::TimeDelta::days(days);
        let summary = Summary::of(&state, day);
        prop_assert_eq!(twice(&summary), Vec::<String>::new());
        let page = plain_text(&summary);
        check_text(&page, 80);
        prop_assert_eq!(lacking(&summary, &page), Vec::<&str>::new());
        check_markdown(&markdown::render(&summary));
        prop_assert!(serde_json::from_str::<serde_json::Value>(&json::render(&summary)).is_ok());
        let paper = sheets::Paper { form_feed: false, ..sheets::Paper::default() };
        check_text(&sheets::render(&state, &[], day, paper), 80);
        // What is told to be done covers every head that the adopted inspection rules on, and no other.
        let rows = crate::round::rulings::rows(&state, day);
        prop_assert!(rows.is_sorted_by_key(|r| (r.area_ix, r.head.spot)));
        let counts = state.counts();
        for (ruling, n) in crate::rules::model::Ruling::ALL.iter().zip(counts.rulings).skip(1) {
            let of = |r: &&crate::round::rulings::RulingRow| r.ruling == Some(*ruling) && r.class != Some(Class::Advisory);
            prop_assert_eq!(rows.iter().filter(of).count(), n);
            // What the front tells to do is what is counted.
            let told = super::actions::tally(&super::summary::Scene::of(&state, day));
            prop_assert_eq!(told.iter().find(|(r, _)| r == ruling).map_or(0, |(_, n)| *n), n);
        }
    }
}
