//! What the summary says of spare cabinets: counted or not, short under which reading, what was found, what was replaced from
//! them; and that it says nothing where there is nothing to say.

use chrono::NaiveDate;

use super::sample_tests::{SITE, entries, entry, state};
use super::summary::{Section, Summary};
use super::{markdown, text};
use crate::round::entry::Entry;

fn on() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, 26).expect("a day")
}

const CABINETS: &str = "\
cabinets:
  riser: {name: Valve room cabinet, place: 'Valve room, beside the riser'}
  dock: {name: Dock cabinet, serves: [cold], keep: {cold-dry: 2}}
";

/// The sample's entries and more of the present round.
fn with(more: &[&str]) -> Vec<Entry> {
    let mut all = entries();
    for what in more {
        let n = all.len() as u128 + 1;
        all.push(entry(n, "2026-11-25T15:00:00-05:00", "ines", "2026", what));
    }
    all
}

fn summary(site: &str, more: &[&str]) -> Summary {
    Summary::of(&state(site, with(more)), on())
}

fn section(summary: &Summary) -> Option<&Section> {
    summary.sections.iter().find(|s| s.id == "spares")
}

fn fact(summary: &Summary, id: &str) -> Option<String> {
    summary.facts().into_iter().find(|f| f.id == id).map(|f| f.text.clone())
}

#[test]
fn a_counted_and_an_uncounted_cabinet_as_text() {
    let mut summary = summary(
        &format!("{SITE}{CABINETS}"),
        &[
            r#""counted":{"cabinet":"riser","held":{"qr-pendent":6},"unfit":{"qr-pendent":1}}"#,
            r#""counted":{"cabinet":"riser","held":{"qr-pendent":5},"unfit":{"qr-pendent":1},"note":"one given away"}"#,
            r#""did":{"head":"pack/1.7","did":"replaced","kind":"qr-pendent","from":"riser"}"#,
            r#""checked":{"cabinet":"riser","wrenches":{"":true},"list":"missing","warmest":"105 F","dry":true,"place":true}"#,
        ],
    );
    summary.sections.retain(|s| s.id == "spares" || s.id == "changes");
    summary.head.clear();
    insta::assert_snapshot!(text::render(&summary, text::Layout::default()));
    insta::assert_snapshot!(markdown::render(&summary));
}

#[test]
fn a_site_whose_set_asks_for_spares_and_that_has_no_cabinet_is_told() {
    let summary = summary(SITE, &[]);
    assert!(fact(&summary, "spares.none").is_some_and(|t| t.contains("the adopted rules ask for spares")));
    let front = fact(&summary, "short.spares").expect("the front page says it");
    assert_eq!(front, "6 spares are asked for, and no cabinet is in the register; see 'Spare cabinet'");
    // Nobody has counted: the table must not say that none is held.
    assert_eq!(fact(&summary, "spares.type.qr-pendent.held").as_deref(), Some("?"));
}

#[test]
fn a_site_without_heads_and_cabinets_has_no_section() {
    let empty = "format: headround site 1\nsite: {id: 01KAVQ5R8Z0000000000000000, name: Loft, rules: nfpa25-2023}\nkinds: {}\nareas: {}\n";
    let summary = Summary::of(&state(empty, Vec::new()), on());
    assert!(section(&summary).is_none());
    assert_eq!(fact(&summary, "short.spares"), None);
}

#[test]
fn a_cabinet_that_was_not_counted_in_this_round_is_said_though_it_was_counted_before() {
    let mut all = entries();
    let n = all.len() as u128 + 1;
    let count = r#""counted":{"cabinet":"riser","held":{"qr-pendent":6}}"#;
    all.push(entry(n, "2025-11-25T15:00:00-05:00", "ines", "2025", count));
    let summary = Summary::of(&state(&format!("{SITE}{CABINETS}"), all), on());
    assert!(
        fact(&summary, "spares.uncounted").is_some_and(|t| t.starts_with("Not counted in this round: riser and dock."))
    );
    let counted = fact(&summary, "spares.cabinet.riser.counted").expect("it is told");
    assert!(counted.starts_with("not in this round; last by Ines Tidewell, 25 November 2025"), "{counted}");
    assert_eq!(fact(&summary, "spares.cabinet.dock.counted").as_deref(), Some("never"));
}

#[test]
fn a_new_cabinet_and_where_a_spare_came_from_are_changes_to_the_register() {
    let summary = summary(
        SITE,
        &[
            r#""new_cabinet":{"id":"riser","name":"Valve room cabinet","place":"Valve room","serves":["pack","cold"]}"#,
            r#""did":{"head":"pack/1.7","did":"replaced","kind":"qr-pendent","from":"riser"}"#,
            r#""did":{"head":"pack/1.8","did":"replaced","kind":"qr-pendent","from":"gone"}"#,
        ],
    );
    let changes: Vec<String> =
        summary.facts().into_iter().filter(|f| f.id.ends_with(".change")).map(|f| f.text.clone()).collect();
    assert!(changes.contains(&"added: Valve room cabinet, Valve room, for pack and cold".to_owned()), "{changes:?}");
    let from = |what: &str| changes.iter().any(|c| c.starts_with("replaced, now qr-pendent") && c.ends_with(what));
    assert!(from("; from cabinet Valve room cabinet (riser)"), "{changes:?}");
    assert!(from("; from cabinet gone (not in the register)"), "{changes:?}");
}

#[test]
fn no_two_facts_of_the_section_share_an_id_and_every_one_is_printed() {
    let site = format!("{SITE}{CABINETS}");
    let count = r#""counted":{"cabinet":"dock","held":{"cold-dry":1,"qr-pendent":2}}"#;
    let summary = summary(&site, &[count]);
    let ids: Vec<&str> = summary.facts().into_iter().map(|f| f.id.as_str()).collect();
    let once: std::collections::BTreeSet<&str> = ids.iter().copied().collect();
    assert_eq!(ids.len(), once.len());
    let bare = |t: &str| t.chars().filter(|c| c.is_alphanumeric()).collect::<String>();
    let page = bare(&text::render(&summary, text::Layout::default()));
    for fact in summary.facts().iter().filter(|f| f.id.starts_with("spares.")) {
        assert!(page.contains(&bare(&fact.text)), "{}", fact.id);
    }
}
