//! Ages, samples, limits, stock and suitability: how rows are read, what is found wrong with them, and what they answer.

use chrono::NaiveDate;
use proptest::prelude::*;

use super::findings::SMALL;
use super::{area, kind};
use crate::diag::Source;
use crate::rules::age::{self, Service};
use crate::rules::duties::{SampleReading, SampleStep};
use crate::rules::facts::{Ceiling, Facts, Field};
use crate::rules::load::read;
use crate::rules::model::RuleSet;
use crate::trade::kind::Response;
use crate::trade::quantity::{PartialDate, Temperature};
use crate::trade::register::Setting;

const AGES: &str = "\
ages:
  - age: every
    title: Every head
    first: 50 years
    then: 10 years
    act: test
    because: It ages.
    clause: none
    source: none
    confidence: practice
    cases:
      - {see: an old head, response: standard, then: 50 years}
      - {see: a quick one, instead: 20 years}
  - age: quick
    title: Quick heads
    when: {response: quick}
    over: every
    first: 20 years
    then: 10 years
    act: test
    because: It ages.
    clause: none
    source: none
    confidence: practice
    cases:
      - {see: a quick one, then: 20 years}
      - {see: an old head, response: standard, instead: 50 years}
  - age: harsh
    title: In salt
    when: {setting: salt}
    unless: {finish: wax}
    first: 60 months
    act: test
    because: It ages.
    clause: none
    source: none
    confidence: practice
    cases:
      - {see: in salt, setting: salt, then: 5 years}
      - {see: waxed, setting: salt, finish: wax, instead: 20 years}
  - age: ancient
    title: Very old
    when: {made: ..1919}
    from: made
    first: 0 years
    act: replace
    because: It is too old.
    clause: none
    source: none
    confidence: practice
    cases:
      - {see: of 1919, made: 1919, response: standard, then: 0 years}
      - {see: of 1920, made: 1920, response: standard, instead: 50 years}
";

fn load(rows: &str) -> Result<RuleSet, Vec<(&'static str, usize, String)>> {
    read(&Source::new("small.yaml", format!("{SMALL}{rows}")), &|_| None).map_err(|all| {
        let from = SMALL.lines().count();
        all.into_iter().map(|d| (d.code, d.place.map_or(0, |p| p.line.saturating_sub(from)), d.message)).collect()
    })
}

fn changed(from: &str, to: &str) -> (&'static str, usize, String) {
    assert!(AGES.contains(from), "{from}");
    load(&AGES.replacen(from, to, 1)).expect_err(to).into_iter().next().expect("one")
}

#[test]
fn rows_of_ages_are_checked_like_rules() {
    load(AGES).expect("sound");
    assert_eq!(changed("first: 50 years", "first: 51 years").0, "case-fails");
    assert_eq!(
        changed("then: 20 years}", "then: 21 years}").2,
        "a case of 'quick' does not come out: the set asks 20 years first, not 21 years"
    );
    assert_eq!(
        changed("    title: Every head\n", "    title: Every head\n    when: {response: standard}\n").0,
        "undecided"
    );
    assert_eq!(changed("over: every", "over: evry").0, "unknown-rule");
    assert_eq!(
        changed("when: {response: quick}", "when: {response: quick}\n    unless: {response: quick}").0,
        "dead-rule"
    );
    assert_eq!(changed("made: ..1919", "made: 1919..1900").0, "bad-value");
    assert_eq!(changed("when: {made: ..1919}", "when: {mode: ..1919}").0, "unknown-key");
    assert_eq!(changed("act: replace", "act: remove").0, "bad-value");
    assert_eq!(changed("- age: quick", "- age: every").0, "repeated-word");
    assert_eq!(changed("      - {see: waxed, setting: salt, finish: wax, instead: 20 years}\n", "").0, "no-near-miss");
    assert_eq!(changed("first: 60 months", "first: 60").0, "bad-value");
    assert_eq!(changed("then: 10 years\n    act", "then: 0 years\n    act").0, "bad-value");
    let (code, line, message) = changed("    when: {response: quick}\n    over: every\n", "    over: every\n");
    assert_eq!((code, line), ("shadowed-rule", 2), "{message}");
}

fn day(text: &str) -> NaiveDate {
    text.parse().expect(text)
}

fn date(text: &str) -> Option<PartialDate> {
    Some(PartialDate::parse(text).expect(text))
}

#[test]
fn the_soonest_row_says_when_a_head_is_due() {
    let set = load(AGES).expect("sound");
    let mut standard = Facts::plain();
    standard.set(Field::Response, Response::Standard as u8);
    let mut salt = Facts::plain();
    salt.add_settings(crate::rules::facts::setting_bit(Setting::Salt));
    let due = |facts: &Facts, since: Option<PartialDate>, made, tested| {
        let found = age::due(&set, facts, &Service { since, made, tested }).expect("an age");
        (found.rule.id.as_str(), found.on, found.made_unknown)
    };
    // Installed 1975-06-01, standard response: due 2025-06-01, after a test then ten years on.
    let made = date("1974");
    assert_eq!(due(&standard, date("1975-06"), made, None), ("every", Some(day("2025-06-01")), false));
    assert_eq!(
        due(&standard, date("1975-06"), made, Some(day("2025-08-10"))),
        ("every", Some(day("2035-08-10")), false)
    );
    // A test before the first age does not put it off.
    assert_eq!(
        due(&standard, date("1975-06"), made, Some(day("2020-08-10"))),
        ("every", Some(day("2025-06-01")), false)
    );
    assert_eq!(due(&Facts::plain(), date("2001"), date("2001"), None), ("quick", Some(day("2021-01-01")), false));
    assert_eq!(due(&salt, date("2001"), date("2001"), None), ("harsh", Some(day("2006-01-01")), false));
    // Without a day of service the year made stands for it, on the safe side; without either the day is not known.
    assert_eq!(due(&standard, None, date("1960"), None), ("every", Some(day("2010-01-01")), false));
    assert_eq!(due(&standard, None, None, None), ("every", None, true));
    // Made before 1920: at once.
    assert_eq!(due(&standard, date("1921"), date("1919"), None), ("ancient", Some(day("1919-01-01")), false));
    assert_eq!(due(&standard, date("1921"), None, None), ("every", Some(day("1971-01-01")), true));
}

#[test]
fn a_29th_of_february_falls_due_on_the_last_of_february() {
    let set = load(AGES).expect("sound");
    let service = Service { since: date("2004-02-29"), made: date("2003"), tested: None };
    let plain = age::due(&set, &Facts::plain(), &service).expect("an age");
    assert_eq!(plain.on, Some(day("2024-02-29")));
    let service = Service { tested: Some(day("2024-02-29")), ..service };
    assert_eq!(age::due(&set, &Facts::plain(), &service).expect("an age").on, Some(day("2034-02-28")));
}

fn reading(least: u32, percent: f64) -> SampleReading {
    let text = format!(
        "samples:\n  - {{reading: a, title: t, rules: true, counts: lot, steps: [{{from: 1, least: {least}, percent: {percent}}}], because: b, clause: c, source: s, confidence: A}}\n"
    );
    load(&text).expect("sound").duties.samples.remove(0)
}

#[test]
fn a_sample_is_rounded_up_and_never_larger_than_what_there_is() {
    let one = reading(4, 1.0);
    for (heads, size) in
        [(0, 0), (1, 1), (3, 3), (4, 4), (100, 4), (400, 4), (401, 5), (450, 5), (500, 5), (501, 6), (1001, 11)]
    {
        assert_eq!(one.size(heads), size, "{heads}");
    }
    assert_eq!(reading(0, 0.1).size(1000), 1);
    assert_eq!(reading(0, 100.0).size(4_000_000), 4_000_000);
}

#[test]
fn readings_and_steps_are_checked() {
    let stock = |rules: &str, from: u32| {
        format!(
            "stock:\n  - {{reading: a, title: t, rules: true, counts: site, steps: [{{from: 1, hold: 6}}, {{from: {from}, hold: 12}}], because: b, clause: c, source: s, confidence: A}}\n  - {{reading: b, title: t, {rules}, counts: kind, steps: [{{from: 1, hold: 2}}], because: b, clause: c, source: s, confidence: A}}\n"
        )
    };
    let set = load(&stock("rules: false", 300)).expect("sound");
    let hold: Vec<u32> = [0, 1, 299, 300, 5000].map(|n| set.duties.stock[0].hold(n)).to_vec();
    assert_eq!(hold, [0, 6, 6, 12, 12]);
    assert_eq!(load(&stock("rules: true", 300)).expect_err("two")[0].0, "readings");
    load(&stock("rules: false, hazard: high", 300)).expect("sound");
    assert_eq!(load(&stock("rules: false", 1)).expect_err("not rising")[0].0, "steps");
    let none = stock("rules: false", 300).replace("rules: true", "rules: false");
    assert_eq!(load(&none).expect_err("none")[0].2, "no reading of the spare stock rules for light hazard");
}

#[test]
fn a_matter_is_told_once_in_a_file() {
    let more = "text: t, clause: c, source: s, confidence: A";
    for (section, word) in
        [("cabinet", "about: list"), ("sample_rules", "about: spare"), ("visits", "visit: a, every: 1 year")]
    {
        let row = format!("  - {{{word}, {more}}}\n");
        load(&format!("{section}:\n{row}")).expect(section);
        assert_eq!(load(&format!("{section}:\n{row}{row}")).expect_err(section)[0].0, "repeated-word");
    }
}

#[test]
fn every_head_has_exactly_one_limit() {
    let limits = "limits:
  - {limit: standard, title: t, when: {response: standard}, rti: 350 (m.s)^0.5, waterway: 7 psi, because: b, clause: c, source: s, confidence: A}
  - {limit: quick, title: t, when: {response: [quick, special]}, rti: 65 (m.s)^0.5, because: b, clause: c, source: s, confidence: A}
";
    let set = load(limits).expect("sound");
    assert_eq!(set.duties.limits[0].waterway.map(|p| p.to_string()), Some("7 psi".to_owned()));
    assert_eq!(load(&limits.replace(", special]", "]")).expect_err("gap")[0].0, "undecided");
    assert_eq!(
        load(&limits.replace("[quick, special]", "[quick, special, standard]")).expect_err("twice")[0].0,
        "decided-twice"
    );
    assert_eq!(
        load(&limits.replace("{response: standard}", "{response: standard, made: 1990}")).expect_err("made")[0].0,
        "made-of-limit"
    );
}

#[test]
fn a_margin_suits_ratings_to_ceilings() {
    // EN 12845 asks for a rating some 30 K above the highest temperature expected.
    let text = "suitability: {margin: 30 K, because: b, clause: c, source: s, confidence: A}\n";
    let set = load(text).expect("sound");
    let at = |rating: &str, max: &str| {
        let mut kind = kind();
        kind.rating = Temperature::parse(rating).expect(rating);
        let mut area = area();
        area.ceiling_max = Some(Temperature::parse(max).expect(max));
        set.ceiling(&kind, &area)
    };
    assert_eq!(at("68 C", "38 C"), Ceiling::Fits);
    assert_eq!(at("68 C", "39 C"), Ceiling::TooLow);
    assert_eq!(at("57 C", "38 C"), Ceiling::TooLow);
    assert_eq!(at("93 C", "30 C"), Ceiling::Higher);
    assert_eq!(at("141 C", "30 C"), Ceiling::MuchHigher);
    assert_eq!(at("93 C", "63 C"), Ceiling::Fits);
    for bad in ["margin: 30", "margin: -1 K", "margin: 30 K, ceilings: [{up_to: 38 C, class: ordinary}]"] {
        let text = text.replace("margin: 30 K", bad);
        assert!(load(&text).is_err(), "{bad}");
    }
    assert_eq!(
        load(SMALL.lines().next().map_or("", |_| "")).expect("sound").ceiling(&kind(), &area()),
        Ceiling::Unknown
    );
}

proptest! {
    #[test]
    fn a_sample_never_shrinks_when_the_lot_grows(least in 0u32..50, percent in 0.0f64..100.0, heads in 0u32..100_000) {
        let one = SampleReading { steps: vec![SampleStep { from: 1, least, percent }], ..reading(4, 1.0) };
        prop_assert!(one.size(heads) <= one.size(heads + 1));
        prop_assert!(one.size(heads) <= heads);
        prop_assert!(f64::from(one.size(heads)) + 1e-6 >= f64::from(heads) * (percent - 0.0005).max(0.0) / 100.0);
    }
}
