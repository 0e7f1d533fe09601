//! What people read: an explanation, the list, the overview.

use std::sync::Arc;

use super::nfpa;
use crate::rules::model::{RuleIx, RuleSet};
use crate::rules::{builtin, explain, show, show_duties};

fn built_in() -> Vec<Arc<RuleSet>> {
    builtin::names().iter().map(|n| builtin::load(n).expect("the built-in sets are sound")).collect()
}

/// A rule with its cases, as it is read without pictures.
fn in_words(set: &RuleSet, ix: RuleIx, others: &[Arc<RuleSet>]) -> String {
    let it = explain::explain(set, ix, others).expect("explained");
    it.text() + &explain::cases_text(set, set.rule_at(ix).expect("a rule"))
}

#[test]
fn an_explanation_says_what_why_what_to_do_and_where_it_stands() {
    let set = nfpa();
    for (name, rule) in
        [("explain_paint_frame", "paint-frame"), ("explain_rating_much_too_high", "rating-much-too-high")]
    {
        insta::assert_snapshot!(name, in_words(&set, set.rule(rule).expect("a rule"), &built_in()));
    }
}

#[test]
fn every_rule_can_be_explained_within_eighty_columns() {
    let set = nfpa();
    let others = built_in();
    for number in 0..set.rules.len() {
        let ix = RuleIx(u16::try_from(number).expect("few"));
        for line in in_words(&set, ix, &others).lines() {
            assert!(line.chars().count() <= 80 || !line.trim_start().contains(' '), "{line}");
        }
    }
    assert_eq!(explain::explain(&set, RuleIx(60_000), &others), None);
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
