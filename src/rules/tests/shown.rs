//! What people read: an explanation, the list, the overview.

use super::nfpa;
use crate::rules::{explain, show, show_duties};

#[test]
fn an_explanation_says_what_why_what_to_do_and_where_it_stands() {
    let set = nfpa();
    let text = explain::explain(&set, set.rule("paint-frame").expect("a rule"), &[]).expect("explained").text();
    insta::assert_snapshot!("explain_paint_frame", text);
    let text =
        explain::explain(&set, set.rule("rating-much-too-high").expect("a rule"), &[]).expect("explained").text();
    insta::assert_snapshot!("explain_rating_much_too_high", text);
}

#[test]
fn every_rule_can_be_explained_within_eighty_columns() {
    let set = nfpa();
    for number in 0..set.rules.len() {
        let ix = crate::rules::model::RuleIx(u16::try_from(number).expect("few"));
        let text = explain::explain(&set, ix, &[]).expect("explained").text();
        for line in text.lines() {
            assert!(line.chars().count() <= 80 || !line.trim_start().contains(' '), "{line}");
        }
    }
    assert!(explain::explain(&set, crate::rules::model::RuleIx(60_000), &[]).is_none());
}

#[test]
fn the_overview_shows_the_whole_set() {
    insta::assert_snapshot!("overview", show::overview_text(&show::overview(&nfpa())));
}

#[test]
fn the_duties_are_shown_with_their_figures() {
    let rows = show_duties::duty_rows(&nfpa());
    insta::assert_snapshot!("duties", show_duties::duties_text(&rows));
}

#[test]
fn the_list_has_a_row_for_every_rule() {
    let set = nfpa();
    let rows = show::rows(&set);
    assert_eq!(rows.len(), set.rules.len());
    let text = show::rows_text(&rows);
    assert_eq!(text.lines().count(), rows.len() + 1);
    insta::assert_snapshot!("first_rows", text.lines().take(12).collect::<Vec<_>>().join("\n"));
    assert_eq!(
        serde_json::to_value(&rows[0]).expect("json"),
        serde_json::json!({
            "rule": "leak-dried", "signs": ["leak"], "ruling": "replace", "class": "critical",
            "clause": "5.2.1.1.1(1)", "confidence": "reading", "class_confidence": "C",
            "title": "The dried run of drops at the water seal",
        })
    );
}
