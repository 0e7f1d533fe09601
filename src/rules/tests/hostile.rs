//! Rule files that mean harm or have got out of hand: each gets a few diagnostics, and none makes the reader go on and on. Their
//! time and memory are measured by the benches.

use std::fmt::Write as _;
use std::sync::Arc;

use crate::diag::render::{Form, render};
use crate::diag::{Diagnostic, Source};
use crate::rules::load;
use crate::rules::model::RuleSet;

/// The most diagnostics that a person is told at once.
const MOST: usize = load::MOST_COMPLAINTS;

const HEAD: &str = "format: headround rules 1\nname: bad\ntitle: Bad\nedition: none\n";

/// A small set that is sound; it ends within `rules`.
const SMALL: &str = "\
parts: [{part: frame, name: frame, hint: the arms}]
extents: [{extent: full, name: full, hint: all over}]
signs:
  - {sign: paint, name: paint, hint: paint, parts: frame, extents: full}
  - {sign: unsure, name: unsure, hint: not judged, seen: doubt, parts: frame, extents: full}
rules:
  - {rule: doubt, title: D, when: {sign: unsure}, ruling: look, clause: c, source: s, confidence: C, because: b, remedy: r, cases: [{see: x, then: look}, {see: y, sign: paint, instead: watch}]}
  - {rule: painted, title: P, when: {sign: paint}, ruling: watch, clause: c, source: s, confidence: C, because: b, remedy: r, contested: k, cases: [{see: x, then: watch}, {see: y, sign: unsure, instead: look}]}
";

fn sound() -> String {
    format!("{HEAD}{SMALL}")
}

fn read(text: &str) -> Result<RuleSet, Vec<Diagnostic>> {
    load::read(&Source::new("bad.yaml", text), &|_| None)
}

/// The complaints about a text, once they have been rendered in every form.
#[track_caller]
fn told(what: &str, text: &str) -> Vec<Diagnostic> {
    told_with(what, text, &|_| None)
}

#[track_caller]
fn told_with(what: &str, text: &str, resolve: &dyn Fn(&str) -> Option<Arc<Source>>) -> Vec<Diagnostic> {
    let all = load::read(&Source::new("bad.yaml", text), resolve).expect_err(what);
    assert!(!all.is_empty() && all.len() <= MOST, "{what}: {} complaints", all.len());
    for form in [Form::Full { colour: false, unicode: false, width: 100 }, Form::Short, Form::Narrated, Form::Json] {
        let shown = render(&all, form);
        assert!(shown.len() < 400_000, "{what}: {} bytes", shown.len());
        assert!(!shown.chars().any(|c| c != '\n' && crate::diag::is_unprintable(c)), "{what}");
    }
    all
}

fn codes(all: &[Diagnostic]) -> Vec<&'static str> {
    let mut codes: Vec<&str> = all.iter().map(|d| d.code).collect();
    codes.dedup();
    codes
}

#[test]
fn the_small_set_that_the_others_start_from_is_sound() {
    assert!(read(&sound()).is_ok());
}

#[test]
fn what_nests_or_repeats_without_end_is_refused_whole() {
    let mut bomb = "a: &a [x, x, x, x, x, x, x, x, x]\n".to_owned();
    for (c, p) in ('b'..='i').zip('a'..='h') {
        let _ = writeln!(bomb, "{c}: &{c} [{}]", vec![format!("*{p}"); 9].join(", "));
    }
    let deep = |open: &str| format!("{HEAD}rules: {}", open.repeat(2_000));
    for (what, text) in [
        ("lists in lists", deep("[")),
        ("mappings in mappings", deep("{a: ")),
        ("block lists in block lists", format!("{HEAD}rules:\n  {}", "- ".repeat(2_000))),
        ("aliases of aliases", format!("{HEAD}{bomb}")),
        ("an alias of itself", format!("{HEAD}rules: &a [*a]\n")),
        ("a tag", format!("{HEAD}rules: !!python/object:os.system x\n")),
        ("NULs", format!("{HEAD}rules: [\"\0\0\"]\n")),
        ("a repeated key", format!("{}name: other\n", sound())),
        ("a repeated key in a rule", sound().replacen("ruling: watch", "ruling: watch, ruling: keep", 1)),
        ("two documents", format!("{}---\n{}", sound(), sound())),
        ("nothing", String::new()),
        ("a list", "- a\n- b\n".to_owned()),
    ] {
        let all = told(what, &text);
        assert!(all.len() <= 4, "{what}: {all:?}");
        assert!(all[0].place.is_some(), "{what}");
    }
}

#[test]
fn sets_that_extend_one_another_without_end_are_told_with_the_chain() {
    let set =
        |name: &str, parent: &str| format!("format: headround rules 1\nname: {name}\ntitle: T\nextends: {parent}\n");
    let all = told_with("itself", &set("bad", "bad"), &|_| Some(Source::new("bad.yaml", set("bad", "bad"))));
    assert_eq!(all[0].message, "the sets extend one another without end: bad -> bad");
    let ring = |name: &str| match name {
        "a" => Some(Source::new("a.yaml", set("a", "b"))),
        "b" => Some(Source::new("b.yaml", set("b", "a"))),
        _ => None,
    };
    let all = told_with("a ring", &set("bad", "a"), &ring);
    assert_eq!(all[0].message, "the sets extend one another without end: bad -> a -> b -> a");
    assert_eq!((all[0].code, all[0].file.as_str()), ("extends-cycle", "b.yaml"));
    // A file that does not bear the name it is found by is no way around, and neither is a chain of ever new names.
    let masked = |name: &str| Some(Source::new("x.yaml", set(&format!("{name}x"), name)));
    assert_eq!(codes(&told_with("a mask", &set("bad", "a"), &masked)), ["extends-cycle"]);
    let ever_new = |name: &str| Some(Source::new("x.yaml", set(name, &format!("{name}x"))));
    assert_eq!(codes(&told_with("ever new", &set("bad", "a"), &ever_new)), ["extends-cycle"]);
    assert_eq!(codes(&told("missing", &set("bad", "none"))), ["unknown-set"]);
    let odd = told("no word", &set("bad", "\"../../etc/\\e[2J\""));
    assert_eq!(odd[0].code, "bad-value");
}

#[test]
fn a_set_below_that_is_unsound_is_told_in_its_own_file() {
    let own = "format: headround rules 1\nname: own\ntitle: T\nextends: bad\n";
    let below = |text: String| move |_: &str| Some(Source::new("below.yaml", text.as_str()));
    let all = told_with("unknown key", own, &below(sound().replacen("remedy: r", "remedi: r", 1)));
    assert!(all.iter().all(|d| d.file == "below.yaml"), "{all:?}");
    let all = told_with("garbage", own, &below("][".to_owned()));
    assert_eq!((all[0].code, all[0].file.as_str()), ("not-yaml", "below.yaml"));
}

/// A line so often that the text stays below the most bytes.
fn often(line: &str, times: usize) -> String {
    line.repeat(times)
}

#[test]
fn what_goes_wrong_in_every_line_is_told_so_often_and_no_more() {
    let keys: String = (0..2_000).fold(String::new(), |mut t, n| {
        let _ = writeln!(t, "k{n}: x");
        t
    });
    let inside =
        |section: &str, item: &str, times| format!("{HEAD}{section}:\n{}", often(&format!("  - {item}\n"), times));
    let numbered = |line: fn(usize) -> String, times: usize| (0..times).map(line).collect::<String>();
    for (what, text) in [
        ("unknown keys", format!("{}{keys}", sound())),
        (
            "unknown keys of a rule",
            sound().replacen("title: P", &format!("title: P, {}", keys.trim_end().replace('\n', ", ")), 1),
        ),
        ("parts", inside("parts", "x", 2_000)),
        ("parts without names", inside("parts", "{part: a}", 2_000)),
        ("extents", inside("extents", "[x]", 2_000)),
        ("signs", inside("signs", "{}", 2_000)),
        ("rules", inside("rules", "{}", 2_000)),
        ("rules that are text", inside("rules", "x", 2_000)),
        ("cautions", inside("cautions", "[x]", 2_000)),
        ("ages", inside("ages", "{age: a}", 2_000)),
        ("samples", inside("samples", "{}", 2_000)),
        ("sample rules", inside("sample_rules", "{}", 2_000)),
        ("limits", inside("limits", "{}", 2_000)),
        ("stock", inside("stock", "{}", 2_000)),
        ("cabinet", inside("cabinet", "{}", 2_000)),
        ("spares", inside("spares", "{}", 2_000)),
        ("visits", inside("visits", "{}", 2_000)),
        ("clearances", inside("clearances", "{}", 2_000)),
        ("classes", inside("classes", "{}", 2_000)),
        ("unreached", inside("unreached", "{}", 2_000)),
        ("recalled", inside("recalled", "{}", 2_000)),
        ("retention", inside("retention", "{}", 2_000)),
        ("clocks", format!("{HEAD}impairment:\n  clocks:\n{}", often("    - {}\n", 2_000))),
        ("steps", format!("{HEAD}samples:\n  - reading: x\n    steps:\n{}", often("      - {}\n", 2_000))),
        ("ceilings", format!("{HEAD}suitability:\n  ceilings:\n{}", often("    - {}\n", 2_000))),
        (
            "rules that nothing declares",
            format!("{}drop: [{}]\n", sound().replacen("edition", "extends: a\nedition", 1), often("x, ", 2_000)),
        ),
        ("conditions", sound().replacen("{sign: paint}", &format!("{{sign: [{}]}}", often("x, ", 2_000)), 1)),
        (
            "settings",
            sound().replacen("{sign: paint}", &format!("{{sign: paint, setting: [{}]}}", often("x, ", 2_000)), 1),
        ),
        ("over", sound().replacen("title: P", &format!("over: [{}], title: P", often("x, ", 2_000)), 1)),
        (
            "cases",
            sound().replacen(
                "cases: [{see: x, then: watch}",
                &format!("cases: [{}{{see: x, then: watch}}", often("x, ", 2_000)),
                1,
            ),
        ),
        (
            "extents of a sign",
            sound().replacen(
                "extents: full}",
                &format!("extents: {{{}}}}}", numbered(|n| format!("e{n}: x, "), 2_000)),
                1,
            ),
        ),
    ] {
        let base = Source::new("a.yaml", sound().replacen("name: bad", "name: a", 1));
        told_with(what, &text, &|_| Some(Arc::clone(&base)));
    }
}
/// Rules in which nothing is wrong by itself, each about every head; `more` tells what stands in each beside that.
fn many_rules(count: usize, more: impl Fn(usize) -> String) -> String {
    let mut text = sound();
    for n in 0..count {
        let _ = writeln!(
            text,
            "  - {{rule: r{n}, title: T, when: {{sign: paint}}, ruling: watch, clause: c, source: s, confidence: C, because: b, remedy: r{}}}",
            more(n)
        );
    }
    text
}

const CASES: &str = ", cases: [{see: x, then: watch}, {see: y, sign: unsure, instead: look}]";

#[test]
fn a_set_that_is_larger_than_any_honest_one_is_refused_with_its_place() {
    let case = "      - {see: x, then: watch}\n";
    for (what, text, code) in [
        ("a million cases", format!("{}    cases:\n{}", sound(), often(case, 1_000_000)), "too-large"),
        ("more nodes than are read", format!("{HEAD}rules:\n  - cases:\n{}", often(case, 100_000)), "not-yaml"),
        ("a title of 5 MiB", format!("{HEAD}cautions: [{}]\n", often("x", 5 << 20)), "too-large"),
        ("more rules than a set holds", many_rules(5_000, |_| String::new()), "too-many"),
    ] {
        let all = told(what, &text);
        assert_eq!((all.len(), all[0].code), (1, code), "{what}: {all:?}");
        assert!(all[0].place.is_some(), "{what}");
    }
}

#[test]
fn rules_that_ask_about_everything_are_refused_before_they_are_gone_through() {
    // Every rule tells one value of every field from the others.
    let fields = [
        ("orientation", &["pendent", "upright", "sidewall"][..]),
        ("mount", &["exposed", "recessed", "flush", "concealed"]),
        ("response", &["standard", "special", "quick"]),
        ("style", &["spray", "extended", "residential", "esfr", "cmsa", "conventional"]),
        ("finish", &["brass", "chrome", "white", "black", "coloured", "stainless", "nickel", "wax"]),
        ("temperature", &["ordinary", "intermediate", "high", "extra-high", "very-extra-high"]),
        ("system", &["wet", "dry", "preaction", "antifreeze"]),
        ("setting", &["damp", "salt", "corrosive", "dust", "grease", "heat", "freezing", "outdoors"]),
    ];
    let conditions = |n: usize| -> String {
        fields.iter().map(|(field, values)| format!(", {field}: {}", values[n % values.len()])).collect()
    };
    let text = many_rules(300, |n| format!(", over: painted{CASES}, also: {}", n % 2 == 0));
    let mut at = 0;
    let text: String = text
        .lines()
        .map(|line| match line.strip_prefix("  - {rule: r") {
            None => format!("{line}\n"),
            Some(_) => {
                at += 1;
                format!("{}\n", line.replacen("{sign: paint}", &format!("{{sign: paint{}}}", conditions(at)), 1))
            }
        })
        .collect();
    let all = told("wide conditions", &text);
    assert_eq!(codes(&all), ["too-many-combinations"]);
    // All hold everywhere: every pair of them contradicts, agrees or is idle, and still only so much is told.
    assert_eq!(codes(&told("all alike", &many_rules(400, |_| CASES.to_owned()))), ["decided-twice"]);
    let chain = many_rules(400, |n| if n == 0 { CASES.to_owned() } else { format!("{CASES}, over: r{}", n - 1) });
    let all = told("a chain of overs", &chain);
    assert!(codes(&all).contains(&"shadowed-rule"), "{:?}", codes(&all));
    let ring = many_rules(400, |n| format!("{CASES}, over: r{}", (n + 1) % 400));
    assert_eq!(codes(&told("a ring of overs", &ring)), ["over-cycle"]);
}

#[test]
fn amending_and_settling_what_is_not_there_is_told_and_bounded() {
    let base = Source::new("a.yaml", sound().replacen("name: bad", "name: a", 1));
    let own = |more: &str| format!("format: headround rules 1\nname: own\ntitle: Own\nextends: a\n{more}");
    let found = |what: &str, more: &str| codes(&told_with(what, &own(more), &|_| Some(Arc::clone(&base))));
    assert_eq!(found("an unknown rule", "amend: [{rules: [doubt, paintd], title: T}]\n"), ["bad-value"]);
    assert_eq!(found("settling what is not contested", "settle: {doubt: replace noncritical}\n"), ["not-contested"]);
    assert_eq!(found("settling what is not there", "settle: {none: watch}\n"), ["bad-value"]);
    assert_eq!(found("an amendment of nothing", "amend: [{title: T}]\n"), ["missing-key"]);
    let bare = found("conditions without cases", "amend: [{rules: doubt, when: {sign: paint}}]\n");
    assert!(bare.contains(&"amended-without-cases"), "{bare:?}");
    assert_eq!(found("no such section", "fresh: [rules]\n"), ["bad-value"]);
    assert_eq!(found("no such row", "drop_rows: [none]\n"), ["bad-value"]);
    assert_eq!(found("all dropped", "drop: [doubt, painted]\n"), ["undecided"]);
    let many = |line: &str| often(&format!("  - {line}\n"), 2_000);
    assert_eq!(found("many amendments", &format!("amend:\n{}", many("{rules: none, title: T}"))), ["bad-value"]);
    let settled: String = (0..2_000).map(|n| format!("  r{n}: watch\n")).collect();
    assert_eq!(found("many settled", &format!("settle:\n{settled}")), ["bad-value"]);
}

#[test]
fn a_rule_that_is_amended_over_and_over_ends_as_the_last_says() {
    // Each set amends what the one below has amended; within a set the lines follow one another.
    let set = |n: usize| {
        let parent = if n == 0 { "a".to_owned() } else { format!("s{}", n - 1) };
        let lines: String =
            (0..200).map(|k| format!("  - {{rules: [painted, painted], title: \"{n} {k}\"}}\n")).collect();
        format!("format: headround rules 1\nname: s{n}\ntitle: T\nextends: {parent}\namend:\n{lines}")
    };
    let resolve = |name: &str| match name {
        "a" => Some(Source::new("a.yaml", sound().replacen("name: bad", "name: a", 1))),
        other => other.strip_prefix('s').and_then(|n| n.parse().ok()).map(|n| Source::new(other, set(n))),
    };
    let end = load::read(&Source::new("s6.yaml", set(6)), &resolve).expect("seven sets on a base are read");
    assert_eq!(end.rules[1].title, "6 199");
    assert_eq!(end.extends.len(), 7);
    let all = load::read(&Source::new("s7.yaml", set(7)), &resolve).expect_err("eight are too many");
    assert_eq!(codes(&all), ["extends-cycle"]);
}

#[test]
fn strings_of_any_length_and_kind_are_taken_as_text_or_refused() {
    let with = |from: &str, to: &str| sound().replacen(from, to, 1);
    let long = "x".repeat(200_000);
    let set = read(&with("because: b", &format!("because: {long}"))).expect("a long reason is a reason");
    assert_eq!(set.rules[0].because.len(), 200_000);
    for (what, text, code) in [
        ("a long word", with("rule: painted", &format!("rule: {long}")), "bad-value"),
        ("a long key", with("title: P", &format!("title: P, {long}: x")), "not-yaml"),
        ("a long ruling", with("ruling: watch", &format!("ruling: {long}")), "bad-value"),
        ("a long condition", with("{sign: paint}", &format!("{{sign: {long}..{long}}}")), "bad-value"),
        ("a long letter", with("name: paint,", &format!("key: {long}, name: paint,")), "bad-value"),
        ("a steering word", with("rule: painted", "rule: \"\\e[2J\\u202e\""), "bad-value"),
        ("a steering key", with("title: P", "title: P, \"\\e[2J\\u0000\": x"), "unknown-key"),
        ("a word out of other letters", with("rule: painted", "rule: \u{43f}ainted"), "bad-value"),
    ] {
        let all = told(what, &text);
        assert!(codes(&all).contains(&code), "{what}: {all:?}");
    }
    let steering =
        read(&with("because: b", "because: \"\\e[2J\\0\\u202e\"")).expect("any character may stand in a reason");
    assert_eq!(steering.rules[0].because, "\u{1b}[2J\0\u{202e}");
}
