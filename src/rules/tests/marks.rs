//! Marks of confidence: that none covers what its source was not seen for, and that ruling and class bear their own.

use std::sync::Arc;

use super::nfpa;
use crate::rules::builtin;
use crate::rules::duties::Basis;
use crate::rules::model::{Confidence, Rule, RuleSet};

/// What a text of source owns up to and a mark beside it does not, in words; phrases about the class are left to `class`.
fn overclaims_of(id: &str, source: &str, mark: Confidence, class: Option<Confidence>) -> Vec<String> {
    let mut found = Vec::new();
    let mut demand = |mark: Option<Confidence>, most: Confidence, phrase: &str| {
        if mark.is_some_and(|m| m < most) {
            found.push(format!("{id}: {mark:?} covers '{phrase}'"));
        }
    };
    for phrase in source.split("; ") {
        let mark = if phrase.starts_with("class ") { class } else { Some(mark) };
        if phrase.contains("from memory") {
            demand(mark, Confidence::Memory, phrase);
        }
        if ["stricter reading", "this set's", "a judgement"].iter().any(|w| phrase.contains(w)) {
            demand(mark, Confidence::Reading, phrase);
        }
        if ["by its effect", "by likeness"].iter().any(|w| phrase.contains(w)) {
            demand(mark, Confidence::Practice, phrase);
        }
        if phrase.contains("told apart") {
            demand(class, Confidence::Practice, phrase);
        }
        if phrase.starts_with("common practice") && !phrase.contains("from memory") {
            demand(mark, Confidence::Practice, phrase);
        }
        // What stands in an article, a note, a newsletter or an answer was not seen in the text, unless it quotes it.
        let second_hand =
            ["article", "newsletter", "note", "answer", "forum", "page"].iter().any(|w| phrase.contains(w));
        let quoted = ["quote", "listed in", "publicly reproduced", "public page", "bulletin", "fire marshal's page"]
            .iter()
            .any(|w| phrase.contains(w));
        // The trial is told in the reason and decides nothing.
        if second_hand && !quoted && !phrase.starts_with("the trial") {
            demand(mark, Confidence::Secondary, phrase);
        }
    }
    found
}

/// What a rule's source owns up to that its marks do not, in words.
fn overclaims(rule: &Rule) -> Vec<String> {
    overclaims_of(&rule.id, &rule.source, rule.confidence, rule.class_confidence)
}

fn every_set() -> impl Iterator<Item = Arc<RuleSet>> {
    builtin::names().iter().map(|name| builtin::load(name).expect(name))
}

/// Every row beside the rules: its word, source and mark.
fn rows(set: &RuleSet) -> Vec<(String, &str, Confidence)> {
    let of = |word: &str, basis: &'_ Basis| (word.to_owned(), basis.confidence);
    let mut all = Vec::new();
    let mut put = |(word, mark): (String, Confidence), source| all.push((word, source, mark));
    let duties = &set.duties;
    duties.ages.iter().for_each(|r| put(of(&r.id, &r.basis), r.basis.source.as_str()));
    duties.samples.iter().for_each(|r| put(of(&r.id, &r.basis), r.basis.source.as_str()));
    duties.sample_rules.iter().for_each(|r| put(of(r.matter.as_str(), &r.basis), r.basis.source.as_str()));
    duties.limits.iter().for_each(|r| put(of(&r.id, &r.basis), r.basis.source.as_str()));
    let methods = duties.limits.iter().filter_map(|r| r.method.as_ref().map(|m| (format!("{}, method", r.id), m)));
    methods.for_each(|(word, m)| put(of(&word, m), m.source.as_str()));
    duties.stock.iter().for_each(|r| put(of(&r.id, &r.basis), r.basis.source.as_str()));
    duties.cabinet.iter().for_each(|r| put(of(r.matter.as_str(), &r.basis), r.basis.source.as_str()));
    duties.spares.iter().for_each(|r| put(of(&r.id, &r.basis), r.basis.source.as_str()));
    duties.cleaning.iter().for_each(|r| put(of("cleaning", &r.basis), r.basis.source.as_str()));
    duties.suitability.iter().for_each(|r| put(of("suitability", &r.basis), r.basis.source.as_str()));
    duties.visits.iter().for_each(|r| put(of(&r.id, &r.basis), r.basis.source.as_str()));
    set.clearances.iter().for_each(|c| put(("clearance".into(), c.confidence), c.source.as_str()));
    set.unreached.iter().for_each(|u| put((u.why.clone(), u.confidence), u.source.as_str()));
    set.impairment.clocks.iter().for_each(|c| put((c.what.clone(), c.confidence), c.source.as_str()));
    set.retention.iter().for_each(|d| put((d.text.clone(), d.confidence), d.source.as_str()));
    set.classes.iter().for_each(|c| put((c.class.to_string(), c.duty.confidence), c.duty.source.as_str()));
    all
}

#[test]
fn no_mark_of_a_built_in_set_covers_what_its_source_was_not_seen_for() {
    for set in every_set() {
        let found: Vec<String> = set.rules.iter().flat_map(overclaims).collect();
        assert_eq!(found, Vec::<String>::new(), "{}", set.name);
    }
}

#[test]
fn no_mark_of_a_row_covers_what_its_source_was_not_seen_for() {
    for set in every_set() {
        let rows = rows(&set);
        let found: Vec<String> =
            rows.iter().flat_map(|(word, source, mark)| overclaims_of(word, source, *mark, None)).collect();
        assert_eq!(found, Vec::<String>::new(), "{}", set.name);
        // Marks below the best are in use, so the check has something to say.
        assert!(rows.iter().any(|(_, source, _)| source.contains("from memory")), "{}", set.name);
        assert!(rows.len() > 35, "{}: {}", set.name, rows.len());
    }
}

#[test]
fn no_mark_of_a_failures_classes_covers_what_their_source_was_not_seen_for() {
    for set in every_set() {
        for rule in &set.duties.sample_rules {
            let classed = [rule.late, rule.shut, rule.early].iter().any(Option::is_some);
            assert_eq!(classed, rule.class_confidence.is_some(), "{} {}", set.name, rule.matter);
            assert!(!classed || rule.basis.source.contains("class"), "{} {}", set.name, rule.matter);
            let Basis { source, confidence, .. } = &rule.basis;
            let found = overclaims_of(rule.matter.as_str(), source, *confidence, rule.class_confidence);
            assert_eq!(found, Vec::<String>::new(), "{}", set.name);
            if classed {
                let best = overclaims_of(rule.matter.as_str(), source, *confidence, Some(Confidence::Seen));
                assert_ne!(best, Vec::<String>::new(), "{}: the check sees the classes", set.name);
            }
        }
    }
}

#[test]
fn a_mark_that_claims_too_much_is_found() {
    let set = nfpa();
    let rule = |id: &str| set.rule_at(set.rule(id).expect(id)).expect(id).clone();
    let mut leak = rule("leak-run");
    leak.class_confidence = Some(Confidence::Seen);
    assert_eq!(overclaims(&leak).len(), 1, "{:?}", overclaims(&leak));
    let mut paint = rule("paint-behind-plate");
    paint.confidence = Confidence::Seen;
    assert_eq!(overclaims(&paint).len(), 1, "{:?}", overclaims(&paint));
    let mut plate = rule("damage-plate");
    plate.confidence = Confidence::Secondary;
    assert_eq!(overclaims(&plate).len(), 1, "{:?}", overclaims(&plate));
}

#[test]
fn every_class_of_a_built_in_set_says_where_it_comes_from() {
    for set in every_set() {
        for rule in &set.rules {
            assert_eq!(rule.class.is_some(), rule.class_confidence.is_some(), "{}", rule.id);
            // The classification table was not seen, so no class may bear the best mark.
            assert_ne!(rule.class_confidence, Some(Confidence::Seen), "{} {}", set.name, rule.id);
            let said = ["class", "noncritical", "told apart"].iter().any(|w| rule.source.contains(w));
            assert!(rule.class.is_none() || said, "{} {}: {}", set.name, rule.id, rule.source);
        }
    }
}

#[test]
fn a_contested_call_says_that_practice_differs_and_who_decides() {
    for set in every_set() {
        contested_calls_of(&set);
    }
}

fn contested_calls_of(set: &RuleSet) {
    let contested: Vec<&Rule> = set.rules.iter().filter(|r| r.contested.is_some()).collect();
    for rule in &contested {
        let text = rule.contested.as_deref().unwrap_or_default();
        assert!(text.ends_with("Practice differs; the authority decides."), "{} {}: {text}", set.name, rule.id);
    }
    // The contested calls that trade and authorities are known to answer differently.
    for id in [
        "corrosion-surface",
        "loading-film",
        "loading-operating-part",
        "loading-operating-part-heavy",
        "loading-all-over",
        "paint-operating-part",
        "paint-deflector-thin",
        "paint-frame",
        "paint-all-over",
        "paint-plain-ring",
        "paint-listed-ring-thick",
        "paint-plate",
        "cover-plain-ring",
        "cover-listed-ring",
        "cover-plate-missing",
        "hung-booth-bag",
        "hung-booth-other-film",
        "recall-read",
        "recall-listed",
    ] {
        assert!(contested.iter().any(|r| r.id == id), "{} {id}", set.name);
    }
}

#[test]
fn both_marks_are_put_into_words_with_what_they_stand_for() {
    let set = nfpa();
    let rule = |id: &str| set.rule_at(set.rule(id).expect(id)).expect(id);
    assert_eq!(rule("leak-drip").marks(), "A, class C");
    assert_eq!(
        rule("leak-drip").reliance(),
        "ruling: seen in the source's text; class: from memory, check before quoting"
    );
    assert_eq!(rule("paint-frame").reliance(), "ruling and class: seen in a secondary source");
    assert_eq!(rule("not-judged").marks(), "practice");
    assert_eq!(rule("not-judged").reliance(), "ruling: common practice, no source");
}
