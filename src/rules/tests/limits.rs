//! Limits of the operating test and what follows from a failure: how they are read, what is found wrong with them, which one
//! speaks, and how they are told.

use super::compare::extending;
use super::findings::SMALL;
use super::{area, kind, nfpa};
use crate::diag::Source;
use crate::rules::compare::{About, compare};
use crate::rules::duties::SampleMatter;
use crate::rules::facts::{Ceiling, Facts, Recalled};
use crate::rules::limits;
use crate::rules::load::read;
use crate::rules::model::{Class, Confidence, RuleSet};
use crate::rules::show_duties::duty_rows;
use crate::trade::kind::{Finish, Kind, Response};
use crate::trade::quantity::Temperature;

const LIMITS: &str = "\
limits:
  - limit: every
    title: Every head
    because: b
    clause: c
    source: s
    confidence: A
  - limit: standard
    title: Standard
    when: {response: standard}
    over: every
    rti: 350 (m.s)^0.5
    rti_least: 80 (m.s)^0.5
    waterway: 7 psi
    oven: {from: 130 C, to: 200 C}
    air: {from: 2.4 m/s, to: 2.6 m/s}
    start: {from: 59 F, to: 30 C}
    method: {clause: m, source: n, confidence: C}
    because: b
    clause: c
    source: s
    confidence: A
  - limit: waxed
    title: Waxed
    when: {response: standard, finish: wax}
    over: standard
    rti: 350 (m.s)^0.5
    time: 3 min
    because: b
    clause: c
    source: s
    confidence: A
";

type Told = (&'static str, usize, String);

fn load(rows: &str) -> Result<RuleSet, Vec<Told>> {
    read(&Source::new("small.yaml", format!("{SMALL}{rows}")), &|_| None).map_err(|all| {
        let from = SMALL.lines().count();
        all.into_iter().map(|d| (d.code, d.place.map_or(0, |p| p.line.saturating_sub(from)), d.message)).collect()
    })
}

/// The complaints about the limits with one thing changed.
#[track_caller]
fn changed(from: &str, to: &str) -> Vec<Told> {
    assert!(LIMITS.contains(from), "{from}");
    load(&LIMITS.replacen(from, to, 1)).expect_err(to)
}

fn line_of(part: &str) -> usize {
    LIMITS.lines().position(|l| l.contains(part)).expect(part) + 1
}

fn facts(response: Response, finish: Finish) -> Facts {
    Facts::of(&Kind { response, finish, ..kind() }, &area(), Ceiling::Fits, Recalled::No)
}

#[test]
fn a_limit_is_read_with_all_its_figures_and_the_source_of_its_ranges() {
    let set = load(LIMITS).expect("sound");
    let it = &set.duties.limits[1];
    assert_eq!((it.rti.map(|r| r.metric()), it.rti_least.map(|r| r.metric())), (Some(350.0), Some(80.0)));
    let celsius = |r: Option<(Temperature, Temperature)>| r.map(|(from, to)| (from.celsius(), to.celsius()));
    assert_eq!((celsius(it.oven), celsius(it.start)), (Some((130.0, 200.0)), Some((15.0, 30.0))));
    assert_eq!(it.air.map(|(from, to)| (from.metres_per_second(), to.metres_per_second())), Some((2.4, 2.6)));
    let method = it.method.as_ref().expect("a method");
    assert_eq!((method.clause.as_str(), method.source.as_str(), method.confidence), ("m", "n", Confidence::Memory));
    assert_eq!(it.basis.confidence, Confidence::Seen);
    assert_eq!((it.at_most, set.duties.limits[2].at_most.map(|t| t.seconds())), (None, Some(180.0)));
}

#[test]
fn ranges_that_run_backwards_are_refused_at_their_place() {
    for (from, to, message) in [
        (
            "oven: {from: 130 C, to: 200 C}",
            "oven: {from: 200 C, to: 130 C}",
            "the range of the oven runs backwards, from 200 C to 130 C",
        ),
        (
            "air: {from: 2.4 m/s, to: 2.6 m/s}",
            "air: {from: 2.4 m/s, to: 2.6 ft/s}",
            "the range of the air runs backwards, from 2.4 m/s to 2.6 ft/s",
        ),
        (
            "start: {from: 59 F, to: 30 C}",
            "start: {from: 59 F, to: 14 C}",
            "the range of the start runs backwards, from 59 F to 14 C",
        ),
        (
            "start: {from: 59 F, to: 30 C}",
            "start: {from: 59 F, to: 130 C}",
            "the oven may have 130 C where the head starts at 130 C: it would not be heated",
        ),
    ] {
        let at = line_of(if message.contains("the oven") { "oven:" } else { from });
        assert_eq!(changed(from, to), [("range", at, message.to_owned())]);
    }
    load(&LIMITS.replace("to: 2.6 m/s", "to: 2.4 m/s")).expect("one speed is a range too");
}

#[test]
fn figures_that_no_head_can_keep_are_refused() {
    for least in ["350 (m.s)^0.5", "640 (ft.s)^0.5"] {
        let told = changed("rti_least: 80 (m.s)^0.5", &format!("rti_least: {least}"));
        assert_eq!((told.len(), told[0].0, told[0].1), (1, "range", line_of("limit: standard")), "{told:?}");
        assert!(told[0].2.contains(least), "{told:?}");
    }
    load(&LIMITS.replace("rti_least: 80 (m.s)^0.5", "rti_least: 633 (ft.s)^0.5")).expect("just below 350 in metres");
    assert_eq!(changed("time: 3 min", "time: 0 s")[0].0, "bad-value");
}

#[test]
fn ranges_say_where_they_come_from_and_nothing_else_does() {
    let method = "    method: {clause: m, source: n, confidence: C}\n";
    assert_eq!(changed(method, "")[0].0, "method");
    assert_eq!(changed("    time: 3 min\n", &format!("    time: 3 min\n{method}"))[0].0, "method");
    assert_eq!(changed("confidence: C}", "confidence: C, rules: true}")[0].0, "unknown-key");
    assert_eq!(changed(", to: 200 C}", "}")[0].0, "missing-key");
}

#[test]
fn the_limit_that_speaks_is_the_one_over_all_others_that_hold() {
    let set = load(LIMITS).expect("sound");
    let speaks = |response, finish| limits::of(&set, &facts(response, finish)).map(|l| l.id.as_str());
    assert_eq!(speaks(Response::Quick, Finish::Wax), Some("every"));
    assert_eq!(speaks(Response::Standard, Finish::Chrome), Some("standard"));
    // Over 'standard', and by it over 'every'.
    assert_eq!(speaks(Response::Standard, Finish::Wax), Some("waxed"));
    assert_eq!(limits::of(&load("").expect("sound"), &Facts::plain()), None);
}

#[test]
fn a_limit_is_told_with_every_figure_and_its_unit() {
    let set = load(LIMITS).expect("sound");
    let says: Vec<String> = duty_rows(&set).into_iter().filter(|r| r.section == "limits").map(|r| r.says).collect();
    assert_eq!(
        says,
        [
            "Every head: no figure for the response",
            "Standard: 80 (m.s)^0.5 to 350 (m.s)^0.5, waterway clear at 7 psi; oven 130 C to 200 C, air 2.4 m/s to 2.6 m/s, \
             start 59 F to 30 C (C)",
            "Waxed: at most 350 (m.s)^0.5, within 180 s, or longer where the index allows it",
        ]
    );
}

fn failure(more: &str) -> String {
    format!("sample_rules:\n  - {{about: failure, {more}text: One fails., clause: c, source: s, confidence: A}}\n")
}

#[test]
fn a_failure_condemns_unless_its_rule_says_otherwise_and_no_other_matter_does() {
    let rule = |text: &str| load(text).expect("sound").duties.sample_rules.remove(0);
    let plain = rule(&failure(""));
    assert_eq!((plain.condemns, plain.late, plain.shut, plain.early), (true, None, None, None));
    assert!(!rule(&failure("condemns: false, ")).condemns);
    for matter in SampleMatter::ALL.iter().filter(|m| **m != SampleMatter::Failure) {
        let other = failure("").replace("about: failure", &format!("about: {matter}"));
        assert!(!rule(&other).condemns, "{matter}");
        for key in ["condemns: false", "late: critical", "shut: critical", "early: critical", "class_confidence: A"] {
            let text = other.replace("text:", &format!("{key}, text:"));
            let told = load(&text).expect_err(key);
            assert_eq!((told.len(), told[0].0, told[0].1), (1, "failure-only", 2), "{matter} {key}");
        }
    }
}

#[test]
fn the_ways_of_failing_have_classes_with_a_mark_of_their_own() {
    let classed = failure("late: critical, shut: impairment, class_confidence: reading, ");
    let set = load(&classed).expect("sound");
    let rule = &set.duties.sample_rules[0];
    assert_eq!((rule.late, rule.shut, rule.early), (Some(Class::Critical), Some(Class::Impairment), None));
    assert_eq!((rule.class_confidence, rule.basis.confidence), (Some(Confidence::Reading), Confidence::Seen));
    let says = |text: &str| duty_rows(&load(text).expect("sound")).remove(0).says;
    assert_eq!(says(&classed), "One fails. Classes (reading): late critical, not opened impairment.");
    assert_eq!(says(&failure("early: noncritical, ")), "One fails. Classes: too fast noncritical.");
    assert_eq!(says(&failure("condemns: false, ")), "One fails. One failure condemns nothing by itself.");
    assert_eq!(load(&failure("class_confidence: A, ")).expect_err("none")[0].0, "mark-without-class");
    assert_eq!(load(&failure("late: grave, ")).expect_err("no class")[0].0, "bad-value");
}

#[test]
fn a_sets_own_rows_take_the_place_of_inherited_ones_with_every_figure() {
    let base = format!("{SMALL}{LIMITS}{}", failure("late: critical, "));
    let own = "format: headround rules 1\nname: own\ntitle: t\nedition: e\nextends: small\nlimits:\n  - {limit: standard, \
               title: Ours, when: {response: standard}, over: every, rti: 300 (m.s)^0.5, because: b, clause: c, source: s, \
               confidence: A}\nsample_rules:\n  - {about: failure, condemns: false, text: Ask., clause: c, source: s, \
               confidence: A}\n";
    let set =
        read(&Source::new("own.yaml", own), &|name| (name == "small").then(|| Source::new("small", base.clone())))
            .expect("sound");
    let it = limits::of(&set, &facts(Response::Standard, Finish::Chrome)).expect("a limit");
    assert_eq!((it.rti.map(|r| r.metric()), it.rti_least, it.oven), (Some(300.0), None, None));
    assert_eq!(limits::of(&set, &facts(Response::Standard, Finish::Wax)).map(|l| l.id.as_str()), Some("waxed"));
    let [rule] = set.duties.sample_rules.as_slice() else { panic!("one rule") };
    assert_eq!((rule.condemns, rule.late), (false, None));
}

#[test]
fn a_limit_and_a_failure_are_compared_figure_by_figure() {
    let it = compare(
        &nfpa(),
        &extending(
            "limits:\n  - {limit: esfr, title: ESFR, when: {style: esfr}, rti: 40 (m.s)^0.5, rti_least: 10 (m.s)^0.5, time: 20 s, \
             waterway: 7 psi, oven: {from: 130 C, to: 140 C}, air: {from: 2.4 m/s, to: 2.6 m/s}, start: {from: 20 C, to: 25 C}, \
             method: {clause: m, source: s, confidence: A}, because: b, clause: c, source: s, confidence: A}\n\
             sample_rules:\n  - {about: failure, condemns: false, late: impairment, class_confidence: A, text: t, clause: c, \
             source: s, confidence: A}\n",
        ),
    );
    let fields = |about| -> Vec<(String, Option<String>, Option<String>)> {
        let change = it.duties.iter().find(|c| c.about == about).expect("a change");
        let told =
            change.fields.iter().filter(|f| !["clause", "source", "text", "because"].contains(&f.field.as_str()));
        told.map(|f| (f.field.clone(), f.from.clone(), f.to.clone())).collect()
    };
    let row = |field: &str, from: &str, to: &str| {
        let some = |text: &str| (!text.is_empty()).then(|| text.to_owned());
        (field.to_owned(), some(from), some(to))
    };
    let limit = fields(About::Limit);
    for told in [
        row("rti at most", "50 (m.s)^0.5", "40 (m.s)^0.5"),
        row("rti at least", "", "10 (m.s)^0.5"),
        row("time always allowed", "", "20 s"),
        row("oven", "129 C to 432 C", "130 C to 140 C"),
        row("air", "1.65 m/s to 2.6 m/s", "2.4 m/s to 2.6 m/s"),
        row("start", "15 C to 30 C", "20 C to 25 C"),
        row("mark of the method", "reading", "A"),
    ] {
        assert!(limit.contains(&told), "{told:?} is not in {limit:?}");
    }
    let failure = fields(About::SampleRule);
    for told in [
        row("condemns", "yes", ""),
        row("class of late", "critical", "impairment"),
        row("class of not opened", "impairment", ""),
        row("class of too fast", "noncritical", ""),
        row("mark of the classes", "reading", "A"),
    ] {
        assert!(failure.contains(&told), "{told:?} is not in {failure:?}");
    }
}
