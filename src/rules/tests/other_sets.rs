//! One rule beside what other sets say under its word.

use std::sync::Arc;

use super::nfpa;
use crate::diag::Source;
use crate::rules::builtin;
use crate::rules::editions_of::{InSet, editions_of, text};
use crate::rules::load::read;
use crate::rules::model::{RuleIx, RuleSet};

/// A set that extends the 2023 one by these lines.
fn own(name: &str, lines: &str) -> Arc<RuleSet> {
    let text = format!(
        "format: headround rules 1\nname: {name}\ntitle: Own\nedition: the quay board\nextends: nfpa25-2023\n{lines}"
    );
    match read(&Source::new("own.yaml", text), &builtin::source) {
        Ok(set) => Arc::new(set),
        Err(all) => panic!("{}", all.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")),
    }
}

/// The set handed in, where `paint-frame` is explained from the 2023 set.
fn frame_in(other: Arc<RuleSet>) -> InSet {
    let set = nfpa();
    let list = editions_of(&set, set.rule("paint-frame").expect("a rule"), &[other]).expect("in the set");
    list.into_iter().find(|s| !s.here).expect("the other")
}

#[test]
fn a_rule_that_says_the_same_has_no_remarks() {
    let it = frame_in(own("own", ""));
    assert_eq!((it.ruling_words().as_str(), it.marks().as_str()), ("watch (noncritical)", "B, class B"));
    assert_eq!(it.remarks(), Vec::<String>::new());
}

#[test]
fn another_ruling_clause_and_mark_are_told_from_the_rules_own_line() {
    let it = frame_in(own(
        "own",
        "amend:\n  - {rules: paint-frame, ruling: replace, class: critical, clause: bulletin 4, source: the board, confidence: A}\n",
    ));
    assert_eq!(it.ruling_words(), "replace (critical)");
    assert_eq!(it.rule.as_ref().map(|r| r.clause.as_str()), Some("bulletin 4"));
    // The first case turns out otherwise too, but the line says so already.
    assert_eq!(it.first_case, None);
}

#[test]
fn a_rule_that_is_missing_says_what_its_first_case_is_there() {
    // Explained from a set with a rule more than the 2023 set has.
    let with = own(
        "board",
        "rules:\n  - rule: salt-white\n    title: White bloom on a frame in sea air\n    when: {sign: corrosion, part: frame, extent: trace, setting: salt, mount: exposed, finish: chrome}\n    ruling: replace\n    class: critical\n    class_confidence: practice\n    clause: bulletin 4\n    source: the board\n    confidence: practice\n    because: Salt goes on eating.\n    remedy: Replace it.\n    over: [corrosion-surface]\n    cases:\n      - {see: white bloom by the sea, part: frame, extent: trace, setting: salt, then: replace}\n      - {see: white bloom inland, part: frame, extent: trace, instead: watch}\n",
    );
    let list = editions_of(&with, with.rule("salt-white").expect("a rule"), &[nfpa()]).expect("in the set");
    let [here, there] = list.as_slice() else { panic!("{list:?}") };
    assert!(here.here && here.set == "board");
    assert_eq!((there.ruling_words().as_str(), there.marks().as_str()), ("not in this set", "-"));
    let case = there.first_case.as_ref().expect("ruled otherwise");
    assert_eq!(case.ruling.map(|r| r.to_string()).as_deref(), Some("watch"));
    assert_eq!(
        there.remarks(),
        [format!(
            "The first case (white bloom by the sea) is watch (noncritical) there, by {}.",
            case.rules.join(", ")
        )]
    );
}

#[test]
fn a_rule_of_the_same_word_whose_first_case_is_ruled_otherwise_says_so() {
    let other = own(
        "board",
        "rules:\n  - rule: spray-near-me\n    title: Overspray on a frame\n    when: {sign: paint, part: frame, extent: trace, origin: [field, unknown], mount: [exposed, recessed, flush]}\n    ruling: replace\n    class: critical\n    class_confidence: practice\n    clause: bulletin 9\n    source: the board\n    confidence: practice\n    because: Where some is, more is.\n    remedy: Replace it.\n    over: [paint-frame]\n    cases:\n      - {see: specks on an arm, part: frame, extent: trace, origin: field, then: replace}\n      - {see: specks on the boss, part: boss, extent: trace, origin: field, instead: watch}\n",
    );
    let it = frame_in(other);
    assert_eq!(it.ruling_words(), "watch (noncritical)");
    let case = it.first_case.expect("ruled otherwise");
    assert_eq!(case.rules.first().map(String::as_str), Some("spray-near-me"));
    assert_eq!(case.ruling.map(|r| r.to_string()).as_deref(), Some("replace"));
}

#[test]
fn other_conditions_under_the_same_word_are_remarked_upon() {
    let it = frame_in(own("own", "amend:\n  - {rules: paint-frame, title: Named otherwise}\n"));
    assert!(!it.rule.expect("there").asks_otherwise);
    let set = nfpa();
    let rule = set.rule_at(set.rule("paint-frame").expect("a rule")).expect("a rule");
    let mut changed = (*set).clone();
    let at = changed.rules.iter().position(|r| r.id == rule.id).expect("a rule");
    changed.rules[at].when.all.extent = 0b1;
    changed.name = "changed".into();
    let it = frame_in(Arc::new(changed));
    assert!(it.rule.as_ref().expect("there").asks_otherwise);
    assert_eq!(it.remarks(), ["It looks for other things there."]);
}

#[test]
fn every_rule_of_every_built_in_set_is_set_beside_all_of_them_within_the_width() {
    let sets: Vec<Arc<RuleSet>> =
        builtin::names().iter().map(|n| builtin::load(n).expect("the built-in sets are sound")).collect();
    for set in &sets {
        for number in 0..set.rules.len() {
            let ix = RuleIx(u16::try_from(number).expect("few"));
            let list = editions_of(set, ix, &sets).expect("in the set");
            let names: Vec<&str> = list.iter().map(|s| s.set.as_str()).collect();
            assert_eq!(names, builtin::names(), "each once, in their order");
            assert_eq!(list.iter().filter(|s| s.here).count(), 1);
            for line in text(&list, 78).lines() {
                assert!(line.chars().count() <= 78, "{}: {line}", set.rules[number].id);
            }
        }
        assert_eq!(editions_of(set, RuleIx(60_000), &sets), None);
    }
}

#[test]
fn a_set_of_ones_own_stands_before_the_built_in_ones() {
    let set = own("quay", "");
    let others = [nfpa()];
    let list = editions_of(&set, set.rule("paint-frame").expect("a rule"), &others).expect("in the set");
    assert_eq!(
        list.iter().map(|s| (s.set.as_str(), s.here)).collect::<Vec<_>>(),
        [("quay", true), ("nfpa25-2023", false)]
    );
}
