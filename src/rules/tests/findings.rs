//! Every finding of reading and checking, with its place; each starts from a small sound set with one thing changed.

use std::sync::Arc;

use crate::diag::{Diagnostic, Source};
use crate::rules::load::read;
use crate::rules::model::{RuleSet, Ruling};

pub(super) const SMALL: &str = "\
format: headround rules 1
name: small
title: A small set
edition: none
parts:
  - {part: element, name: heat element, hint: bulb or link}
  - {part: frame, name: frame, hint: the arms}
extents:
  - {extent: trace, name: trace, hint: a little}
  - {extent: full, name: full, hint: all over}
signs:
  - {sign: paint, key: p, name: paint, hint: paint, parts: [element, frame], extents: [trace, full], asks_origin: true}
  - {sign: unsure, name: unsure, hint: not judged, seen: doubt, parts: [frame], extents: [full]}
rules:
  - rule: factory
    title: By the maker
    when: {sign: paint, origin: factory}
    ruling: keep
    clause: none
    source: none
    confidence: practice
    because: It is listed so.
    remedy: Nothing.
    cases:
      - {see: a white head, part: frame, extent: full, origin: factory, then: keep}
      - {see: a painted bulb, part: element, extent: full, origin: field, instead: replace}
  - rule: painted
    title: Painted
    when: {sign: paint, origin: [field, unknown]}
    ruling: replace
    class: critical
    clause: none
    source: none
    confidence: practice
    because: It insulates.
    remedy: Replace it.
    cases:
      - {see: a painted bulb, part: element, extent: full, origin: field, then: replace}
      - {see: a white head, part: frame, extent: full, origin: factory, instead: keep}
  - rule: speck
    title: A speck on the frame
    when: {sign: paint, origin: [field, unknown], part: frame, extent: trace}
    over: painted
    ruling: watch
    class: noncritical
    clause: none
    source: none
    confidence: practice
    because: It does no harm.
    remedy: Note it.
    cases:
      - {see: a speck on an arm, part: frame, extent: trace, origin: field, then: watch}
      - {see: a painted arm, part: frame, extent: full, origin: field, instead: replace}
  - rule: doubt
    title: Not judged
    when: {sign: unsure}
    ruling: look
    clause: none
    source: none
    confidence: practice
    because: Nobody saw it.
    remedy: Look again.
    cases:
      - {see: too far away, then: look}
      - {see: a painted bulb, sign: paint, part: element, extent: full, origin: field, instead: replace}
";

fn load(text: &str) -> Result<RuleSet, Vec<Diagnostic>> {
    read(&Source::new("small.yaml", text), &|_| None)
}

fn nothing(_: &str) -> Option<Arc<Source>> {
    None
}

/// The codes, lines and messages of what is found after `from` has been replaced by `to`.
fn found(from: &str, to: &str) -> Vec<(&'static str, usize, String)> {
    assert!(SMALL.contains(from), "{from}");
    let text = SMALL.replacen(from, to, 1);
    match load(&text) {
        Ok(_) => Vec::new(),
        Err(all) => all.into_iter().map(|d| (d.code, d.place.map_or(0, |p| p.line), d.message)).collect(),
    }
}

fn line_of(part: &str) -> usize {
    SMALL.lines().position(|l| l.contains(part)).expect(part) + 1
}

#[test]
fn the_small_set_is_sound() {
    let set = load(SMALL).expect("sound");
    assert_eq!((set.rules.len(), set.table.len()), (4, 9));
    assert_eq!(read(&Source::new("x", SMALL), &nothing).expect("sound").rules[2].ruling, Ruling::Watch);
}

#[test]
fn a_combination_without_a_rule_is_named_at_its_sign() {
    let all = found("when: {sign: paint, origin: [field, unknown]}\n", "when: {sign: paint, origin: field}\n");
    let (code, line, message) = &all[0];
    assert_eq!((*code, *line), ("undecided", line_of("sign: paint, key")));
    assert_eq!(message, "no rule decides paint on element, trace, origin unknown, and 2 more combinations");
}

#[test]
fn rules_that_contradict_are_named_with_a_combination_and_both_places() {
    let text = SMALL.replacen("    over: painted\n", "", 1);
    let mut all = load(&text).expect_err("refused");
    // The speck's case fails too: the stronger rule wins where both speak.
    assert_eq!(all.iter().map(|d| d.code).collect::<Vec<_>>(), ["contradiction", "case-fails"]);
    all.truncate(1);
    assert_eq!(
        all[0].message,
        "the rules 'painted' and 'speck' contradict each other on paint on frame, trace, origin field: 'replace' (critical) against 'watch' (noncritical)"
    );
    let place = all[0].place.as_ref().expect("a place");
    assert_eq!((place.line, place.column), (line_of("rule: speck"), 11));
    assert_eq!(all[0].also[0].0.line, line_of("rule: painted"));
    let shown = crate::diag::render::render(
        &all,
        crate::diag::render::Form::Full { colour: false, unicode: false, width: 100 },
    );
    insta::assert_snapshot!("contradiction_in_full", shown);
}

#[test]
fn rules_that_agree_must_still_leave_the_deciding_to_one() {
    let all = found("    ruling: watch\n    class: noncritical\n", "    ruling: replace\n    class: critical\n");
    // With `over` in place they do not meet; without it they decide twice.
    assert!(all.iter().all(|(code, ..)| *code == "case-fails"), "{all:?}");
    let text = SMALL
        .replacen(
            "    over: painted\n    ruling: watch\n    class: noncritical\n",
            "    ruling: replace\n    class: critical\n",
            1,
        )
        .replacen("origin: field, then: watch", "origin: field, then: replace", 1);
    let all = load(&text).expect_err("refused");
    assert_eq!(all.iter().map(|d| d.code).collect::<Vec<_>>(), ["decided-twice"]);
    let mended =
        text.replacen("    title: A speck on the frame\n", "    title: A speck on the frame\n    also: true\n", 1);
    assert!(load(&mended).is_ok());
}

#[test]
fn a_rule_that_never_speaks_is_dead_or_shadowed() {
    let all = found(
        "    when: {sign: paint, origin: factory}\n",
        "    when: {sign: paint, origin: factory}\n    unless: {origin: factory}\n",
    );
    assert!(all.iter().any(|(code, line, m)| *code == "dead-rule"
        && *line == line_of("rule: factory")
        && m == "the conditions of 'factory' never hold together"));
    let all = found("part: frame, extent: trace}\n    over: painted", "}\n    over: painted");
    assert!(
        all.iter().any(|(code, line, m)| *code == "shadowed-rule"
            && *line == line_of("rule: painted")
            && m.contains("such as 'speck'")),
        "{all:?}"
    );
}

#[test]
fn over_must_name_a_rule_that_is_met_and_never_run_in_a_ring() {
    let all = found("    over: painted\n", "    over: pianted\n");
    assert_eq!(
        all[0],
        (
            "unknown-rule",
            line_of("    over: painted"),
            "the rule 'speck' is over 'pianted', which is not in the set".into()
        )
    );
    let all = found("    over: painted\n", "    over: [painted, factory]\n");
    assert_eq!(
        all,
        [(
            "idle-over",
            line_of("    over: painted"),
            "the rule 'speck' is over 'factory', and the two never hold together".into()
        )]
    );
    let all = found("    title: Painted\n", "    title: Painted\n    over: speck\n");
    assert_eq!(all.iter().map(|a| a.0).collect::<Vec<_>>(), ["over-cycle", "over-cycle"]);
}

#[test]
fn every_rule_needs_a_case_and_a_near_miss_that_come_out() {
    let all = found("      - {see: a speck on an arm, part: frame, extent: trace, origin: field, then: watch}\n", "");
    assert_eq!(all, [("no-case", line_of("rule: speck"), "the rule 'speck' has no case in which it speaks".into())]);
    let all = found("      - {see: a painted arm, part: frame, extent: full, origin: field, instead: replace}\n", "");
    assert_eq!(
        all,
        [(
            "no-near-miss",
            line_of("rule: speck"),
            "the rule 'speck' has no near miss, in which it does not speak".into()
        )]
    );
    let all = found("extent: trace, origin: field, then: watch", "extent: full, origin: field, then: watch");
    assert_eq!(
        all,
        [(
            "case-fails",
            line_of("a speck on an arm"),
            "a case of 'speck' does not come out: the rule does not speak; 'painted' speaks".into()
        )]
    );
    let all = found("extent: trace, origin: field, then: watch", "extent: trace, origin: field, then: replace");
    assert_eq!(all[0].2, "a case of 'speck' does not come out: the set rules 'watch', not 'replace'; 'speck' speaks");
    let all = found(
        "extent: full, origin: field, instead: replace}\n  - rule: doubt",
        "extent: trace, origin: field, instead: replace}\n  - rule: doubt",
    );
    assert_eq!(all[0].2, "a case of 'speck' does not come out: it is meant as a near miss, and the rule speaks");
    let all = found("then: watch", "then: watch, instead: replace");
    assert_eq!((all[0].0, all[0].1), ("case-without-end", line_of("a speck on an arm")));
}

#[test]
fn several_complaints_come_at_once_with_the_nearest_word() {
    let text = SMALL
        .replacen("ruling: watch", "ruling: wach", 1)
        .replacen("part: frame, extent: trace}", "part: frmae, extent: trace}", 1)
        .replacen("because: It insulates.", "becuase: It insulates.", 1)
        .replacen("key: p,", "key: x,", 1);
    let all = load(&text).expect_err("refused");
    let words: Vec<String> = all.iter().map(|d| format!("{d} [{}]", d.help.clone().unwrap_or_default())).collect();
    for needle in [
        "'ruling': 'wach' is no ruling; did you mean 'watch'?",
        "'part': 'frmae' is no part; did you mean 'frame'?",
        "a rule has no field 'becuase'",
        "a rule has no 'because'",
        "'x' cannot be a sign's letter",
    ] {
        assert!(words.iter().any(|w| w.contains(needle)), "{needle}\n{}", words.join("\n"));
    }
    assert!(all.iter().all(|d| d.place.is_some()));
}

#[test]
fn what_a_rule_asks_must_be_something_its_signs_have() {
    let rows = [
        ("{sign: unsure}", "{sign: unsure, part: element}", "not-of-the-sign", "the part 'element' is not one"),
        ("{sign: unsure}", "{sign: unsure, extent: trace}", "not-of-the-sign", "the extent 'trace' is not one"),
        ("{sign: unsure}", "{sign: unsure, origin: field}", "origin-not-asked", "none of its signs does"),
        ("{sign: unsure}", "{sign: unsure, mount: upstairs}", "bad-value", "'mount': 'upstairs' is no mount"),
        ("{sign: unsure}", "{sign: unsure, temperature: high..ordinary}", "bad-value", "runs backwards"),
        ("{sign: unsure}", "{sign: unsure, setting: salty}", "bad-value", "did you mean 'salt'?"),
        ("{sign: unsure}", "{sign: unsure, colour: red}", "unknown-key", "'when' has no field 'colour'"),
        ("{sign: unsure}\n", "{sign: unsure}\n    unless: {}\n", "empty-unless", "asks nothing"),
        (
            "    ruling: keep\n",
            "    ruling: keep\n    class: critical\n",
            "class-of-keep",
            "rules 'keep' and calls it critical",
        ),
    ];
    for (from, to, code, needle) in rows {
        let all = found(from, to);
        assert!(all.iter().any(|(c, line, m)| *c == code && m.contains(needle) && *line > 0), "{to}: {all:?}");
    }
}

#[test]
fn what_is_declared_twice_or_wrongly_is_told() {
    let rows = [
        ("key: p,", "key: q,", "bad-value", "'q' cannot be a sign's letter"),
        (
            "seen: doubt, parts: [frame]",
            "seen: doubt, key: l, parts: [frame]",
            "sign-not-entered",
            "is not entered by eye",
        ),
        (
            "seen: doubt, parts: [frame]",
            "seen: doubt, parts: [frame, element]",
            "sign-not-entered",
            "is not entered by eye",
        ),
        (
            "asks_origin: true",
            "asks_origin: true, otherwise: keep",
            "otherwise-by-eye",
            "may not leave combinations undecided",
        ),
        ("  - {sign: unsure,", "  - {sign: paint,", "repeated-word", "the sign 'paint' is declared twice"),
        ("- {part: frame,", "- {part: element,", "repeated-word", "the part 'element' is declared twice"),
        ("rule: speck", "rule: painted", "repeated-word", "the rule 'painted' stands twice"),
        ("rule: speck", "rule: A Speck", "bad-value", "is no word"),
        ("seen: doubt, ", "", "no-doubt", "could not be judged"),
        (
            "parts: [element, frame], extents: [trace, full]",
            "extents: [trace, full]",
            "sign-without-part",
            "names no part",
        ),
        ("extents: [trace, full], asks", "asks", "sign-without-extent", "names no extent"),
        ("format: headround rules 1", "format: headround rules 9", "bad-value", "is not 'headround rules 1'"),
        ("edition: none", "edition: none\nextends: other", "unknown-set", "there is no rule set called 'other'"),
        ("edition: none", "edition: none\nextends: small", "extends-cycle", "small -> small"),
        ("edition: none", "edition: none\nclocks: []", "unknown-key", "a rule set has no field 'clocks'"),
    ];
    for (from, to, code, needle) in rows {
        let all = found(from, to);
        assert!(all.iter().any(|(c, _, m)| *c == code && m.contains(needle)), "{to}: {all:?}");
    }
    let doubled = SMALL.replacen(
        "rules:\n",
        "  - {sign: leak, key: p, name: leak, hint: drops, parts: [frame], extents: [full]}\nrules:\n",
        1,
    );
    assert!(load(&doubled).expect_err("refused").iter().any(|d| d.code == "repeated-letter"));
}

#[test]
fn an_extending_set_overrides_single_rules_and_keeps_the_rest() {
    let text = "\
format: headround rules 1
name: strict
title: A stricter authority
extends: small
cautions: [Ask the authority.]
drop: speck
recalled:
  - {number: PT-104, made: 1998..2001, why: the authority's list}
clearances:
  - {style: spray, distance: 0.5 m, note: stricter, clause: local, source: local, confidence: practice}
impairment:
  tell: [authority]
  clocks:
    - {what: Write to the authority, within: 5 business days, clause: local, source: local, confidence: practice}
";
    let base = |name: &str| (name == "small").then(|| Source::new("small.yaml", SMALL));
    let set = read(&Source::new("strict.yaml", text), &base).expect("sound");
    assert_eq!(set.extends, ["small"]);
    assert_eq!(set.edition, "A stricter authority, on none");
    assert_eq!(set.rules.iter().map(|r| r.id.as_str()).collect::<Vec<_>>(), ["factory", "painted", "doubt"]);
    assert_eq!(set.recalled.len(), 1);
    assert_eq!(set.impairment.clocks[0].within.to_string(), "5 business days");
    let overriding = text.replacen("drop: speck\n", "", 1)
        + "rules:\n  - rule: speck\n    title: Any paint\n    when: {sign: paint, origin: [field, unknown], part: frame, extent: trace}\n    over: painted\n    ruling: replace\n    class: critical\n    clause: local\n    source: local\n    confidence: practice\n    because: The authority asks for it.\n    remedy: Replace it.\n    cases:\n      - {see: a speck, part: frame, extent: trace, origin: field, then: replace}\n      - {see: a painted arm, part: frame, extent: full, origin: field, instead: replace}\n";
    let set = read(&Source::new("strict.yaml", overriding), &base).expect("sound");
    let speck = &set.rules[usize::from(set.rule("speck").expect("there").0)];
    assert_eq!((speck.ruling, speck.title.as_str()), (Ruling::Replace, "Any paint"));
    assert_eq!(set.rules.len(), 4);
}

#[test]
fn hostile_texts_are_refused_in_bounded_time() {
    let mut many = SMALL.to_owned();
    for i in 0..40 {
        let bits: Vec<&str> = ["salt", "damp", "dust", "heat", "works", "grease", "storage", "impact", "freezing"]
            .into_iter()
            .enumerate()
            .filter(|(b, _)| (i >> (b % 5)) & 1 == 1)
            .map(|(_, w)| w)
            .collect();
        many.push_str(&format!(
            "  - {{rule: r{i}, title: t, when: {{sign: paint, setting: [{}], finish: brass, style: spray, temperature: ordinary, orientation: pendent, mount: exposed, response: quick, element: bulb, system: wet, ceiling: fits, recalled: \"no\", dry: false, guard: true, mixture: none}}, also: true, ruling: keep, clause: c, source: s, confidence: C, because: b, remedy: r}}\n",
            bits.join(", ")
        ));
    }
    let all = load(&many).expect_err("refused");
    assert!(all.iter().all(|d| d.code == "too-many-combinations"), "{all:?}");
    for text in [
        "",
        "[]",
        "a",
        "format: headround rules 1\n",
        "format: headround rules 1\nrules: {}\nname: x\ntitle: t\nedition: e\n",
    ] {
        let all = load(text).expect_err("refused");
        assert!(!all.is_empty());
    }
}

#[test]
fn more_outcomes_than_can_be_numbered_are_refused_and_none_passes_for_keep() {
    use std::fmt::Write as _;
    // The wide sign stands last: no later one finds the count exceeded. Eight parts and fourteen settings, each with a rule of its own that only adds: 131,072 sets of rules that speak.
    let parts = ["element", "frame", "c", "d", "e", "f", "g", "h"];
    let more: String = parts.iter().skip(2).fold(String::new(), |mut t, p| {
        let _ = writeln!(t, "  - {{part: {p}, name: {p}, hint: {p}}}");
        t
    });
    let mut rules = String::new();
    let wheres = parts.iter().map(|p| format!("part: {p}"));
    let settings = crate::trade::register::Setting::ALL.iter().map(|s| format!("setting: [{}]", s.as_str()));
    for (n, when) in wheres.chain(settings).enumerate() {
        let _ = writeln!(
            rules,
            "  - rule: also-{n}\n    title: t\n    when: {{sign: paint, {when}}}\n    also: true\n    ruling: watch\n    class: noncritical\n    clause: none\n    source: none\n    confidence: practice\n    because: It is so.\n    remedy: Note it.\n    cases: []"
        );
    }
    let doubt = SMALL.lines().find(|l| l.contains("sign: unsure, name")).expect("the sign of doubt");
    let text = SMALL
        .replace(&format!("{doubt}\n"), "")
        .replace("signs:\n", &format!("signs:\n{doubt}\n"))
        .replace("extents:\n  - {extent: trace", &format!("{more}extents:\n  - {{extent: trace"))
        .replace("parts: [element, frame]", &format!("parts: [{}]", parts.join(", ")))
        .replace("  - rule: doubt\n", &format!("{rules}  - rule: doubt\n"));
    let complaints = load(&text).expect_err("refused");
    let codes: Vec<_> = complaints.iter().map(|d| d.code).collect();
    assert!(codes.contains(&"too-many-combinations"), "{codes:?}");
}

#[test]
fn the_example_of_the_handbook_loads_and_changes_what_it_says() {
    let page = include_str!("../../../docs/rule-set.md");
    let text = page.split("```yaml\n").nth(1).and_then(|t| t.split("```").next()).expect("an example");
    let set = read(&Source::new("docs/rule-set.md", text), &crate::rules::builtin::source).expect("sound");
    let rule = set.rule_at(set.rule("paint-frame").expect("there")).expect("there");
    assert_eq!(rule.ruling, Ruling::Replace);
    // Inherited near misses that the change contradicts are gone; those it does not touch have stayed.
    let plain_ring = set.rule_at(set.rule("paint-plain-ring").expect("there")).expect("there");
    assert!(plain_ring.cases.iter().all(|c| c.ruling != Ruling::Watch) && plain_ring.cases.len() >= 2);
}

#[test]
fn every_key_of_a_condition_is_in_the_handbook() {
    let page = include_str!("../../../docs/rule-set.md");
    for field in crate::rules::facts::Field::ALL {
        assert!(page.contains(&format!("`{}`", field.as_str())), "{}", field.as_str());
        for word in field.words() {
            assert!(page.contains(word), "{word}");
        }
    }
    for setting in crate::trade::register::Setting::ALL {
        assert!(page.contains(setting.as_str()), "{setting}");
    }
}

#[test]
fn the_mark_of_a_class_is_the_rules_own_until_it_is_given() {
    let class_mark = |text: &str| {
        let set = load(text).expect("sound");
        set.rule_at(set.rule("painted").expect("a rule")).expect("a rule").class_confidence.map(|c| c.to_string())
    };
    assert_eq!(class_mark(SMALL), Some("practice".to_owned()));
    let marked = SMALL.replacen("class: critical\n", "class: critical\n    class_confidence: C\n", 1);
    assert_eq!(class_mark(&marked), Some("C".to_owned()));
}

#[test]
fn a_mark_for_a_class_that_is_not_there_is_refused() {
    let text = SMALL.replacen("ruling: look\n", "ruling: look\n    class_confidence: C\n", 1);
    let complaints = load(&text).expect_err("refused");
    assert_eq!(complaints.iter().map(|d| d.code.to_string()).collect::<Vec<_>>(), ["mark-without-class"]);
}

#[test]
fn a_section_that_begins_afresh_holds_what_the_file_itself_says() {
    let base = SMALL.replacen(
        "rules:\n",
        "cautions: [inherited]\nretention: [{text: inherited, clause: none, source: none, confidence: C}]\nrules:\n",
        1,
    );
    let own = "format: headround rules 1\nname: own\ntitle: Own\nextends: small\nfresh: [cautions, retention]\ncautions: [own]\n";
    let set = read(&Source::new("own.yaml", own), &|_| Some(Source::new("small.yaml", base.as_str()))).expect("sound");
    assert_eq!((set.cautions, set.retention.len()), (vec!["own".to_owned()], 0));
}
