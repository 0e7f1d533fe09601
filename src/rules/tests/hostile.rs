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
    let deep = |open: &str| format!("{HEAD}rules: {}", open.repeat(20_000));
    for (what, text) in [
        ("lists in lists", deep("[")),
        ("mappings in mappings", deep("{a: ")),
        ("block lists in block lists", format!("{HEAD}rules:\n  {}", "- ".repeat(20_000))),
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
    let set = |name: &str, parent: &str| format!("format: headround rules 1\nname: {name}\ntitle: T\nextends: {parent}\n");
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
    let keys: String = (0..20_000).fold(String::new(), |mut t, n| {
        let _ = writeln!(t, "k{n}: x");
        t
    });
    let inside = |section: &str, item: &str, times| format!("{HEAD}{section}:\n{}", often(&format!("  - {item}\n"), times));
    let numbered = |line: fn(usize) -> String, times: usize| (0..times).map(line).collect::<String>();
    for (what, text) in [
        ("unknown keys", format!("{}{keys}", sound())),
        ("unknown keys of a rule", sound().replacen("title: P", &format!("title: P, {}", keys.trim_end().replace('\n', ", ")), 1)),
        ("parts", inside("parts", "x", 20_000)),
        ("parts without names", inside("parts", "{part: a}", 5_000)),
        ("extents", inside("extents", "[x]", 20_000)),
        ("signs", inside("signs", "{}", 20_000)),
        ("rules", inside("rules", "{}", 20_000)),
        ("rules that are text", inside("rules", "x", 20_000)),
        ("cautions", inside("cautions", "[x]", 20_000)),
        ("ages", inside("ages", "{age: a}", 5_000)),
        ("samples", inside("samples", "{}", 5_000)),
        ("sample rules", inside("sample_rules", "{}", 5_000)),
        ("limits", inside("limits", "{}", 5_000)),
        ("stock", inside("stock", "{}", 5_000)),
        ("cabinet", inside("cabinet", "{}", 5_000)),
        ("visits", inside("visits", "{}", 5_000)),
        ("clearances", inside("clearances", "{}", 5_000)),
        ("classes", inside("classes", "{}", 5_000)),
        ("unreached", inside("unreached", "{}", 5_000)),
        ("recalled", inside("recalled", "{}", 5_000)),
        ("retention", inside("retention", "{}", 5_000)),
        ("clocks", format!("{HEAD}impairment:\n  clocks:\n{}", often("    - {}\n", 5_000))),
        ("steps", format!("{HEAD}samples:\n  - reading: x\n    steps:\n{}", often("      - {}\n", 5_000))),
        ("ceilings", format!("{HEAD}suitability:\n  ceilings:\n{}", often("    - {}\n", 5_000))),
        ("rules that nothing declares", format!("{}drop: [{}]\n", sound().replacen("edition", "extends: a\nedition", 1), often("x, ", 20_000))),
        ("conditions", sound().replacen("{sign: paint}", &format!("{{sign: [{}]}}", often("x, ", 20_000)), 1)),
        ("settings", sound().replacen("{sign: paint}", &format!("{{sign: paint, setting: [{}]}}", often("x, ", 20_000)), 1)),
        ("over", sound().replacen("title: P", &format!("over: [{}], title: P", often("x, ", 20_000)), 1)),
        ("cases", sound().replacen("cases: [{see: x, then: watch}", &format!("cases: [{}{{see: x, then: watch}}", often("x, ", 20_000)), 1)),
        ("extents of a sign", sound().replacen("extents: full}", &format!("extents: {{{}}}}}", numbered(|n| format!("e{n}: x, "), 10_000)), 1)),
    ] {
        let base = Source::new("a.yaml", sound().replacen("name: bad", "name: a", 1));
        told_with(what, &text, &|_| Some(Arc::clone(&base)));
    }
}

