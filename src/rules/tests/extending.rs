//! What a set that extends another may change: single fields, contested calls in a line, sections begun afresh.

use std::sync::Arc;

use super::findings::SMALL;
use crate::diag::{Diagnostic, Source};
use crate::rules::load::read;
use crate::rules::model::{Class, Confidence, RuleSet, Ruling};

const HEAD: &str = "format: headround rules 1\nname: own\ntitle: Port Tarrow\nextends: small\n";

fn base(text: String) -> impl Fn(&str) -> Option<Arc<Source>> {
    move |name| (name == "small").then(|| Source::new("small.yaml", text.as_str()))
}

/// The set that extends the small one, whose speck is contested, by these lines.
fn own(lines: &str) -> Result<RuleSet, Vec<Diagnostic>> {
    let small = SMALL.replace(
        "    because: It does no harm.\n",
        "    because: It does no harm.\n    contested: Some say any paint counts. Practice differs; the authority decides.\n",
    );
    assert_ne!(small, SMALL);
    read(&Source::new("own.yaml", format!("{HEAD}{lines}")), &base(small))
}

fn found(lines: &str) -> Vec<(&'static str, usize, String)> {
    match own(lines) {
        Ok(_) => Vec::new(),
        Err(all) => all.into_iter().map(|d| (d.code, d.place.map_or(0, |p| p.line), d.message)).collect(),
    }
}

#[test]
fn an_amendment_changes_what_it_names_and_nothing_else() {
    let set = own("amend:\n  - rules: [painted, speck]\n    clause: bulletin 4\n    confidence: A\n  - {rules: painted, title: Painted at all}\n")
        .expect("sound");
    let rule = |id: &str| set.rule_at(set.rule(id).expect(id)).expect(id);
    assert_eq!((rule("painted").clause.as_str(), rule("speck").clause.as_str()), ("bulletin 4", "bulletin 4"));
    assert_eq!(
        (rule("painted").title.as_str(), rule("speck").title.as_str()),
        ("Painted at all", "A speck on the frame")
    );
    assert_eq!(rule("painted").confidence, Confidence::Seen);
    // The class is not touched, and its mark stays as it was.
    assert_eq!(
        (rule("painted").class, rule("painted").class_confidence),
        (Some(Class::Critical), Some(Confidence::Practice))
    );
    assert_eq!(rule("speck").over.len(), 1);
    assert_eq!((rule("factory").clause.as_str(), &set.extends[..]), ("none", &["small".to_owned()][..]));
}

#[test]
fn inherited_cases_end_in_what_the_extending_set_rules() {
    let set = own("amend:\n  - {rules: speck, ruling: replace}\n").expect("sound");
    let rule = |id: &str| set.rule_at(set.rule(id).expect(id)).expect(id);
    let ends: Vec<(bool, Ruling)> = rule("speck").cases.iter().map(|c| (c.holds, c.ruling)).collect();
    assert_eq!(ends, [(true, Ruling::Replace), (false, Ruling::Replace)]);
}

#[test]
fn inherited_cases_in_which_the_rule_no_longer_speaks_are_left_out() {
    let set = own("amend:\n  - {rules: painted, over: speck}\n  - {rules: speck, over: []}\n");
    // Now the speck never speaks: that is a finding, at the amendment that silences it.
    let all = set.expect_err("shadowed");
    assert_eq!(all[0].code, "shadowed-rule");
    let lines = "amend:
  - rules: speck
    when: {sign: paint, origin: [field, unknown], part: frame}
    cases:
      - {see: a painted arm, part: frame, extent: full, origin: field, then: watch}
      - {see: a painted bulb, part: element, extent: full, origin: field, instead: replace}
";
    let set = own(lines).expect("sound");
    assert_eq!(set.rule_at(set.rule("speck").expect("there")).expect("there").cases.len(), 2);
}

#[test]
fn an_amendment_takes_away_by_the_word_none() {
    let set = own("amend:\n  - {rules: speck, ruling: keep, class: none, contested: none}\n").expect("sound");
    let rule = set.rule_at(set.rule("speck").expect("there")).expect("there");
    assert_eq!((rule.ruling, rule.class, rule.class_confidence, &rule.contested), (Ruling::Keep, None, None, &None));
}

#[test]
fn what_is_wrong_with_an_amendment_is_told_at_its_place() {
    let first = |lines: &str| found(lines).into_iter().next().expect(lines);
    let (code, line, message) = first("amend:\n  - {rules: spek, clause: x}\n");
    assert_eq!((code, line), ("bad-value", 6));
    assert_eq!(message, "'rules': 'spek' is no rule of the extended set; did you mean 'speck'?");
    assert_eq!(first("amend:\n  - {clause: x}\n").0, "missing-key");
    assert_eq!(first("amend:\n  - {rules: speck, colour: red}\n").0, "unknown-key");
    let bare = found("amend:\n  - {rules: speck, when: {sign: paint, part: frame, extent: trace}}\n");
    assert!(bare.iter().any(|(code, line, _)| (*code, *line) == ("amended-without-cases", 6)), "{bare:?}");
    let unless = "amend:\n  - rules: speck\n    unless: {extent: trace}\n    cases: []\n";
    assert_eq!(first(unless).0, "dead-rule");
    assert_eq!(first("amend:\n  - {rules: speck, ruling: keep}\n").0, "class-of-keep");
    assert_eq!(first("amend:\n  - {rules: speck, class: none, class_confidence: A}\n").0, "mark-without-class");
    // A case of its own must come out.
    let case = "amend:\n  - rules: speck\n    cases:\n      - {see: x, part: frame, extent: trace, origin: field, then: replace}\n      - {see: y, part: frame, extent: full, origin: field, instead: replace}\n";
    assert_eq!((first(case).0, first(case).1), ("case-fails", 8));
    assert_eq!(first("amend: yes\n").0, "wrong-type");
}

#[test]
fn a_contested_call_is_settled_in_one_line() {
    let set = own("settle:\n  speck: replace\n").expect("sound");
    let rule = set.rule_at(set.rule("speck").expect("there")).expect("there");
    assert_eq!((rule.ruling, rule.class), (Ruling::Replace, Some(Class::Noncritical)));
    assert_eq!(rule.remedy, "Have the head replaced by its equal.");
    assert!(rule.because.starts_with("Port Tarrow has settled this call as 'replace'."), "{}", rule.because);
    assert!(rule.source.starts_with("settled by Port Tarrow; "), "{}", rule.source);
    assert!(rule.contested.as_deref().is_some_and(|c| c.ends_with("Here it is settled: replace.")));
    let set = own("settle:\n  speck: replace critical\n").expect("sound");
    let rule = set.rule_at(set.rule("speck").expect("there")).expect("there");
    assert_eq!((rule.class, rule.class_confidence), (Some(Class::Critical), Some(Confidence::Settled)));
    let set = own("settle: {speck: keep}\n").expect("sound");
    let rule = set.rule_at(set.rule("speck").expect("there")).expect("there");
    assert_eq!((rule.ruling, rule.class), (Ruling::Keep, None));
    // Settled as it stood: the texts stay.
    let set = own("settle: {speck: watch}\n").expect("sound");
    assert_eq!(set.rule_at(set.rule("speck").expect("there")).expect("there").because, "It does no harm.");
}

#[test]
fn what_is_not_contested_cannot_be_settled() {
    let first = |lines: &str| found(lines).into_iter().next().expect(lines);
    assert_eq!(first("settle: {painted: watch}\n").0, "not-contested");
    assert_eq!(
        first("settle: {spek: watch}\n").2,
        "'settle': 'spek' is no rule of the extended set; did you mean 'speck'?"
    );
    assert_eq!(first("settle: {speck: repair}\n").0, "bad-value");
    assert_eq!(first("settle: {speck: keep critical}\n").0, "class-of-keep");
    assert_eq!(first("settle: [speck]\n").0, "wrong-type");
}

#[test]
fn what_a_dropped_rule_leaves_behind_is_told_where_it_was_dropped() {
    let all = found("drop: factory\n");
    assert_eq!((all[0].0, all[0].1), ("undecided", 5));
    assert!(all[0].2.ends_with(", since 'factory' is dropped"), "{}", all[0].2);
    let all = found("drop: [painted]\n");
    assert_eq!((all[0].0, all[0].1), ("unknown-rule", 5));
    assert_eq!(all[0].2, "'painted' is dropped, and the rule 'speck' is over it");
}

#[test]
fn an_inherited_rule_that_an_own_one_silences_is_told_at_the_own_one() {
    let own = "rules:
  - rule: mine
    title: Mine
    when: {sign: paint, origin: [field, unknown], part: frame, extent: trace}
    over: speck
    ruling: clean
    class: critical
    clause: none
    source: none
    confidence: practice
    because: It is so.
    remedy: Clean it.
    cases:
      - {see: a speck, part: frame, extent: trace, origin: field, then: clean}
      - {see: a painted arm, part: frame, extent: full, origin: field, instead: replace}
";
    let all = found(own);
    assert_eq!((all[0].0, all[0].1), ("shadowed-rule", 6), "{all:?}");
}

#[test]
fn a_section_that_begins_afresh_and_holds_nothing_is_told() {
    let all = found("fresh: [recalled, ages, stock]\n");
    assert_eq!(all.iter().map(|(code, line, _)| (*code, *line)).collect::<Vec<_>>(), [("empty-section", 5); 2]);
    assert!(own("fresh: [recalled, unreached, retention]\n").is_ok());
}

#[test]
fn complaints_stand_in_the_order_of_the_file() {
    let all = found("settle: {speck: repair}\namend:\n  - {rules: spek}\ncautions: {}\nfresh: agse\n");
    let lines: Vec<usize> = all.iter().map(|(_, line, _)| *line).collect();
    assert_eq!(lines, [5, 7, 8, 9], "{all:?}");
}

#[test]
fn a_set_that_stands_alone_has_nothing_to_amend() {
    let text = format!("{SMALL}amend:\n  - {{rules: speck, clause: x}}\n");
    let all = read(&Source::new("x", text), &|_| None).expect_err("nothing is inherited");
    assert_eq!((all.len(), all[0].code), (1, "nothing-inherited"));
}
