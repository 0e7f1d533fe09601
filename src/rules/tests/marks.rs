//! Marks of confidence: that none covers what its source was not seen for, and that ruling and class bear their own.

use super::nfpa;
use crate::rules::model::{Confidence, Rule};

/// What a rule's source owns up to that its marks do not, in words.
fn overclaims(rule: &Rule) -> Vec<String> {
    let mut found = Vec::new();
    let mut demand = |mark: Option<Confidence>, most: Confidence, phrase: &str| {
        if mark.is_some_and(|m| m < most) {
            found.push(format!("{}: {mark:?} covers '{phrase}'", rule.id));
        }
    };
    for phrase in rule.source.split("; ") {
        let of_class = phrase.starts_with("class ");
        let mark = if of_class { rule.class_confidence } else { Some(rule.confidence) };
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
            demand(rule.class_confidence, Confidence::Practice, phrase);
        }
        if phrase.starts_with("common practice") && !phrase.contains("from memory") {
            demand(Some(rule.confidence), Confidence::Practice, phrase);
        }
    }
    found
}

#[test]
fn no_mark_of_the_built_in_set_covers_what_its_source_was_not_seen_for() {
    let set = nfpa();
    let found: Vec<String> = set.rules.iter().flat_map(overclaims).collect();
    assert_eq!(found, Vec::<String>::new());
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
fn every_class_of_the_built_in_set_says_where_it_comes_from() {
    for rule in &nfpa().rules {
        assert_eq!(rule.class.is_some(), rule.class_confidence.is_some(), "{}", rule.id);
        // The classification table was not seen, so no class may bear the best mark.
        assert_ne!(rule.class_confidence, Some(Confidence::Seen), "{}", rule.id);
        let said = ["class", "noncritical", "told apart"].iter().any(|w| rule.source.contains(w));
        assert!(rule.class.is_none() || said, "{}: {}", rule.id, rule.source);
    }
}

#[test]
fn duties_from_memory_never_bear_the_mark_of_what_was_seen() {
    let set = nfpa();
    let marks = (set.clearances.iter().map(|c| (&c.source, c.confidence)))
        .chain(set.unreached.iter().map(|u| (&u.source, u.confidence)))
        .chain(set.impairment.clocks.iter().map(|c| (&c.source, c.confidence)))
        .chain(set.retention.iter().map(|d| (&d.source, d.confidence)))
        .chain(set.classes.iter().map(|c| (&c.duty.source, c.duty.confidence)));
    let mut memories = 0;
    for (source, mark) in marks.filter(|(source, _)| source.contains("from memory")) {
        assert!(mark >= Confidence::Memory, "{mark}: {source}");
        memories += 1;
    }
    assert!(memories > 0);
}

#[test]
fn a_contested_call_says_that_practice_differs_and_who_decides() {
    let set = nfpa();
    let contested: Vec<&Rule> = set.rules.iter().filter(|r| r.contested.is_some()).collect();
    for rule in &contested {
        let text = rule.contested.as_deref().unwrap_or_default();
        assert!(text.contains("Practice differs; the authority decides."), "{}: {text}", rule.id);
    }
    // The contested calls that trade and authorities are known to answer differently.
    for id in [
        "corrosion-surface",
        "loading-film",
        "loading-operating-part",
        "paint-operating-part",
        "paint-deflector-thin",
        "paint-frame",
        "paint-all-over",
        "paint-plain-ring",
        "paint-plate",
        "cover-plain-ring",
        "cover-listed-ring",
        "cover-plate-missing",
        "hung-booth-bag",
        "hung-booth-other-film",
        "recall-read",
        "recall-listed",
    ] {
        assert!(contested.iter().any(|r| r.id == id), "{id}");
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
