//! Which spare fits which head: how rows are read and checked, in which order they speak, and what is said of pairs.

use std::collections::BTreeSet;

use proptest::prelude::*;

use super::findings::SMALL;
use super::kind;
use crate::diag::Source;
use crate::rules::builtin;
use crate::rules::facts::{Ceiling, Facts, Field, setting_bit};
use crate::rules::fit::{Fit, fit};
use crate::rules::load::read;
use crate::rules::model::RuleSet;
use crate::rules::spares::{Differs, FitVerdict, SpareField};
use crate::trade::kind::{Element, Finish, Kind, Mount, Orientation, Response, Style};
use crate::trade::quantity::{KFactor, Length, Temperature, Units};
use crate::trade::register::Setting;

/// A row that speaks wherever the field differs, with a case of it.
fn fallback(field: SpareField) -> String {
    let case = match field {
        SpareField::Orientation => "spare: {orientation: upright}",
        SpareField::Style => "spare: {style: esfr}",
        SpareField::Mount => "spare: {mount: flush}",
        SpareField::K => "spare: {k: 4.2}",
        SpareField::Thread => "spare: {thread: R 1/2}",
        SpareField::Rating => "spare: {rating: 200 F}",
        SpareField::Response => "spare: {response: standard}",
        SpareField::Coating => "spare: {finish: wax}",
        SpareField::Finish => "spare: {finish: white}",
        SpareField::Dry => "spare: {dry: true}",
        SpareField::Length => "head: {dry: true, length: 12 in}, spare: {length: 14 in}",
    };
    format!(
        "  - {{spare: any-{field}, field: {field}, verdict: ask, because: b, clause: c, source: s, confidence: practice, \
         cases: [{{see: x, {case}, says: ask}}]}}\n"
    )
}

/// A set with these rows before the fallbacks of all fields.
fn rows(own: &str) -> String {
    let rest: String = SpareField::ALL.iter().map(|f| fallback(*f)).collect();
    format!("spares:\n{own}{rest}")
}

/// A row in one line.
fn row(id: &str, about: &str, verdict: &str, cases: &str) -> String {
    format!(
        "  - {{spare: {id}, {about}, verdict: {verdict}, because: b, clause: c, source: s, confidence: practice, \
         cases: [{cases}]}}\n"
    )
}

fn load(rows: &str) -> Result<RuleSet, Vec<(&'static str, usize, String)>> {
    read(&Source::new("small.yaml", format!("{SMALL}{rows}")), &|_| None).map_err(|all| {
        let from = SMALL.lines().count();
        all.into_iter().map(|d| (d.code, d.place.map_or(0, |p| p.line.saturating_sub(from)), d.message)).collect()
    })
}

fn first(text: &str) -> (&'static str, usize, String) {
    load(text).expect_err(text).into_iter().next().expect("one")
}

const LARGER: &str = "{see: x, spare: {k: 8.0}, says: never}, {see: y, spare: {k: 4.2}, instead: ask}";

#[test]
fn rows_are_read_and_their_cases_run() {
    let sound = row("larger", "field: k, differs: larger", "never", LARGER);
    load(&rows(&sound)).expect("sound");
    let changed = |from: &str, to: &str| {
        assert!(sound.contains(from), "{from}");
        first(&rows(&sound.replacen(from, to, 1)))
    };
    assert_eq!(
        changed("verdict: never", "verdict: may").2,
        "a case of 'larger' does not come out: the set says 'may' of the pair, not 'never'"
    );
    assert_eq!(changed("differs: larger", "differs: smaller").0, "case-fails");
    assert_eq!(changed("verdict: never", "verdict: fits").0, "bad-value");
    assert_eq!(changed("field: k", "field: kk").0, "bad-value");
    assert_eq!(
        changed("differs: larger", "differs: lost").2,
        "'differs': 'k' never differs as 'lost', but as same-nominal, smaller, larger"
    );
    assert_eq!(
        changed("differs: larger", "differs: larger, to: [8.0]").2,
        "'to': values of 'k' are not named; say how it differs, under 'differs'"
    );
    assert_eq!(changed("differs: larger", "when: {made: 1990}").0, "made-of-spare");
    assert_eq!(changed("differs: larger", "differs: larger, over: any-k").0, "unknown-key");
    assert_eq!(changed("spare: larger", "spare: any-k").0, "repeated-word");
    assert_eq!(changed(", {see: y, spare: {k: 4.2}, instead: ask}", "").0, "no-near-miss");
    assert_eq!(changed("{see: x, spare: {k: 8.0}, says: never}, ", "").0, "no-case");
    assert_eq!(changed("says: never", "says: never, instead: ask").0, "case-without-end");
    assert_eq!(changed("spare: {k: 8.0}", "spare: {k: 8.0, ceiling: fits}").0, "unknown-key");
}

#[test]
fn every_field_needs_a_row_that_always_speaks_once_there_is_any_row() {
    load("").expect("a set may say nothing of spares");
    let text = rows("").replacen("field: thread,", "field: thread, when: {dry: true},", 1);
    let (code, line, message) = first(&text);
    assert_eq!((code, message.as_str()), ("no-fallback", "no row speaks of every spare that differs in 'thread'"));
    assert_eq!(line, 6);
    let alone = row("larger", "field: k, differs: larger", "never", LARGER);
    let all = load(&format!("spares:\n{alone}")).expect_err("no fallbacks");
    assert_eq!(all.iter().filter(|(code, ..)| *code == "no-fallback").count(), SpareField::ALL.len());
}

#[test]
fn rows_that_can_never_speak_are_found() {
    let told = |own: &str| {
        let (code, _, message) = first(&rows(own));
        (code, message)
    };
    let case = "{see: x, says: ask}, {see: y, instead: ask}";
    // Covered whole by one row, by two together, by the field's own relations.
    let (code, message) = told(&format!(
        "{}{}",
        row("quick", "field: response, to: [quick]", "ask", case),
        row("by-goods", "field: response, from: [standard], to: [quick], when: {setting: storage}", "never", case)
    ));
    assert_eq!(code, "shadowed-rule");
    assert_eq!(message, "the row 'by-goods' never speaks: where it applies, rows before it do, such as 'quick'");
    let (code, message) = told(&format!(
        "{}{}{}",
        row("dry", "field: k, differs: larger, when: {dry: true}", "ask", case),
        row("wet", "field: k, differs: larger, when: {dry: false}", "ask", case),
        row("larger", "field: k, differs: larger", "never", case)
    ));
    assert_eq!((code, message.contains("'larger' never speaks")), ("shadowed-rule", true));
    let relations = ["same-class", "higher-class", "lower-class", "unknown"];
    let all: String = relations.iter().map(|d| row(d, &format!("field: rating, differs: {d}"), "ask", case)).collect();
    assert!(told(&all).1.contains("'any-rating' never speaks"));
    // Never together: a value that does not differ, a class that is not lower, a head that is another.
    for about in [
        "field: style, from: [esfr], to: [esfr]",
        "field: rating, differs: lower-class, from: [ordinary]",
        "field: rating, differs: same-class, from: [unlisted]",
        "field: response, from: [quick], when: {response: standard}",
        "field: coating, differs: gained, to: [none]",
        "field: finish, when: {finish: wax}",
        "field: length, when: {dry: false}",
        "field: k, when: {dry: true}, unless: {dry: true}",
    ] {
        let (code, message) = told(&row("dead", about, "never", case));
        assert_eq!((code, message.as_str()), ("dead-rule", "what 'dead' asks for never comes together"), "{about}");
    }
}

#[test]
fn rows_that_tell_too_many_heads_apart_are_refused_and_not_tried_out() {
    let each: String = Field::ALL
        .iter()
        .flat_map(|f| {
            let words = f.words();
            let quoted = words.into_iter().map(move |w| (*f, format!("\"{w}\"")));
            quoted.collect::<Vec<_>>()
        })
        .enumerate()
        .map(|(n, (f, w))| row(&format!("r{n}"), &format!("field: k, when: {{{}: {w}}}", f.as_str()), "ask", ""))
        .collect();
    assert_eq!(first(&rows(&each)).0, "too-many-combinations");
}

#[test]
fn own_rows_stand_before_inherited_ones_and_take_the_place_of_those_of_their_word() {
    let below = rows(&row("larger", "field: k, differs: larger", "never", LARGER));
    let below = Source::new("below.yaml", format!("{SMALL}{below}").replacen("name: small", "name: below", 1));
    let above = |more: &str| {
        let text = format!("format: headround rules 1\nname: above\ntitle: Above\nextends: below\n{more}");
        read(&Source::new("above.yaml", text), &|_| Some(std::sync::Arc::clone(&below)))
            .map_err(|all| all.into_iter().map(|d| (d.code, d.file, d.message)).collect::<Vec<_>>())
    };
    let ids = |set: &RuleSet| set.duties.spares.iter().map(|r| r.id.clone()).collect::<Vec<_>>();
    let inherited = ids(&above("").expect("sound"));
    assert_eq!(&inherited[..2], ["larger", "any-orientation"]);

    let dry = row(
        "larger-dry",
        "field: k, differs: larger, when: {dry: true}",
        "ask",
        "{see: x, head: {dry: true, length: 1 ft}, spare: {k: 8.0}, says: ask}, {see: y, spare: {k: 8.0}, instead: never}",
    );
    let smaller = row(
        "smaller",
        "field: k, differs: smaller",
        "never",
        "{see: x, spare: {k: 4.2}, says: never}, {see: y, spare: {k: 8.0}, instead: never}",
    );
    let set = above(&format!("spares:\n{dry}{smaller}")).expect("sound");
    assert_eq!(&ids(&set)[..3], ["larger-dry", "smaller", "larger"]);
    // A case that is inherited keeps its meaning and takes the verdict of the set as it stands now.
    let larger = set.duties.spares.iter().find(|r| r.id == "larger").expect("inherited");
    assert_eq!(larger.cases.iter().map(|c| c.says).collect::<Vec<_>>(), [FitVerdict::Never, FitVerdict::Never]);

    let ask = row("any-k", "field: k", "never", "{see: x, spare: {k: 4.2}, says: never}");
    let set = above(&format!("spares:\n{ask}")).expect("the fallback is replaced where it stands");
    assert_eq!(ids(&set), inherited);
    let set = above("drop_rows: larger\n").expect("sound");
    assert_eq!(&ids(&set)[..], &inherited[1..]);
    assert_eq!(above("drop_rows: any-k\n").expect_err("no fallback")[0].0, "no-fallback");
    assert_eq!(above("fresh: spares\n").expect_err("nothing left")[0].0, "empty-section");
    let larger = row("mine", "field: k, differs: larger", "never", LARGER);
    let all = above(&format!("spares:\n{larger}")).expect_err("the inherited row is dead");
    assert_eq!((all[0].0, all[0].1.as_str()), ("shadowed-rule", "below.yaml"), "{all:?}");
}

fn nfpa() -> std::sync::Arc<RuleSet> {
    super::nfpa()
}

/// A quick pendent bulb of 155 F and K5.6, with a thread.
fn head() -> Kind {
    Kind { id: "head".to_owned(), thread: Some("1/2 NPT".to_owned()), ..kind() }
}

fn spare() -> Kind {
    Kind { id: "spare".to_owned(), ..head() }
}

fn rated(text: &str) -> Temperature {
    Temperature::parse(text).expect(text)
}

fn k(text: &str) -> KFactor {
    KFactor::parse(text).expect(text)
}

fn said(set: &RuleSet, head: &Kind, spare: &Kind) -> Fit {
    fit(set, &Facts::of_kind(head), head, spare, false, Units::Us)
}

#[test]
fn all_fields_are_told_in_the_order_of_the_trade_the_same_ones_too() {
    let it = said(&nfpa(), &head(), &Kind { response: Response::Standard, rating: rated("165 F"), ..spare() });
    let told: Vec<(&str, &str, &str, &str, &str)> = it
        .fields
        .iter()
        .map(|f| {
            let row = f.row.as_deref().unwrap_or_default();
            (f.field.as_str(), f.head.as_str(), f.spare.as_str(), f.verdict.as_str(), row)
        })
        .collect();
    assert_eq!(
        told,
        [
            ("orientation", "pendent", "pendent", "fits", ""),
            ("style", "spray", "spray", "fits", ""),
            ("mount", "exposed", "exposed", "fits", ""),
            ("k", "K5.6", "K5.6", "fits", ""),
            ("thread", "1/2 NPT", "1/2 NPT", "fits", ""),
            ("rating", "155 °F, ordinary", "165 °F, ordinary", "may", "rating-same-class"),
            ("response", "quick", "standard", "never", "slower-for-quick"),
            ("coating", "none", "none", "fits", ""),
            ("finish", "chrome", "chrome", "fits", ""),
            ("dry", "not dry", "not dry", "fits", ""),
            ("length", "none", "none", "fits", ""),
        ]
    );
    assert_eq!(it.verdict, FitVerdict::Never);
    assert_eq!(it.differing().iter().map(|f| f.field).collect::<Vec<_>>(), [SpareField::Response, SpareField::Rating]);
    let worst = it.differing()[0];
    assert_eq!(worst.clause, "NFPA 13 (one response within a compartment)");
    assert!(worst.confidence.is_some() && it.reasons()[0] == worst.because);
    let metric = fit(&nfpa(), &Facts::of_kind(&head()), &head(), &spare(), false, Units::Metric);
    let shown = |field: SpareField| metric.fields.iter().find(|f| f.field == field).expect("told").head.clone();
    assert_eq!((shown(SpareField::Rating), shown(SpareField::K)), ("68 °C, ordinary".into(), "K81".into()));
}

#[test]
fn a_recalled_spare_never_fits() {
    let it = fit(&nfpa(), &Facts::of_kind(&head()), &head(), &spare(), true, Units::Us);
    assert_eq!((it.verdict, it.recalled), (FitVerdict::Never, true));
    assert!(it.differing().is_empty() && it.reasons()[0].contains("recalled"));
}

#[test]
fn a_set_that_says_nothing_invents_no_equivalent() {
    let set = load("").expect("sound");
    assert_eq!(said(&set, &head(), &spare()).verdict, FitVerdict::Same);
    let it = said(&set, &head(), &Kind { finish: Finish::White, ..spare() });
    assert_eq!(it.verdict, FitVerdict::Ask);
    let finish = it.differing()[0];
    assert_eq!((finish.field, &finish.row, finish.confidence), (SpareField::Finish, &None, None));
    assert!(finish.because.contains("Ask the designer"), "{}", finish.because);
}

#[test]
fn what_is_not_part_of_a_head_s_type_makes_no_difference() {
    let other = Kind {
        element: Element::Link,
        made: None,
        number: Some("PT0009".to_owned()),
        guard: true,
        note: Some("from the other store".to_owned()),
        thread: Some("½\" npt".to_owned()),
        rating: rated("68 C"),
        k: k("80 metric"),
        ..spare()
    };
    assert_eq!(said(&nfpa(), &head(), &other).verdict, FitVerdict::Same);
}

/// How the spare stands to the head, as published tables and plain arithmetic have it: temperature classes after NFPA 13:2022
/// Table 7.2.4.1, nominal K-factors after its Table 7.2.2.1 as publicly reproduced; the rest common practice, no source.
#[test]
fn relations_are_worked_out_as_the_published_tables_have_them() {
    let dry = |length: Option<&str>| Kind { dry: true, length: length.map(|t| Length::parse(t).expect(t)), ..head() };
    let threaded = |text: Option<&str>| Kind { thread: text.map(str::to_owned), ..spare() };
    let table = [
        (
            SpareField::Rating,
            Kind { rating: rated("135 F"), ..head() },
            Kind { rating: rated("170 F"), ..spare() },
            Some(Differs::SameClass),
        ),
        (SpareField::Rating, head(), Kind { rating: rated("175 F"), ..spare() }, Some(Differs::HigherClass)),
        (
            SpareField::Rating,
            Kind { rating: rated("250 F"), ..head() },
            Kind { rating: rated("225 F"), ..spare() },
            Some(Differs::LowerClass),
        ),
        (SpareField::Rating, head(), Kind { rating: rated("68 C"), ..spare() }, None),
        (
            SpareField::Rating,
            Kind { rating: rated("286 F"), ..head() },
            Kind { rating: rated("141 C"), ..spare() },
            None,
        ),
        (SpareField::Rating, head(), Kind { rating: rated("240 F"), ..spare() }, Some(Differs::Unknown)),
        (SpareField::K, head(), Kind { k: k("80 metric"), ..spare() }, None),
        (SpareField::K, Kind { k: k("11.2"), ..head() }, Kind { k: k("160 metric"), ..spare() }, None),
        (SpareField::K, head(), Kind { k: k("5.8"), ..spare() }, Some(Differs::SameNominal)),
        (SpareField::K, head(), Kind { k: k("5.3"), ..spare() }, Some(Differs::SameNominal)),
        (SpareField::K, head(), Kind { k: k("4.2"), ..spare() }, Some(Differs::Smaller)),
        (SpareField::K, head(), Kind { k: k("115 metric"), ..spare() }, Some(Differs::Larger)),
        (SpareField::K, Kind { k: k("4.9"), ..head() }, spare(), Some(Differs::Larger)),
        (SpareField::Thread, head(), threaded(Some("NPT 1/2")), None),
        (SpareField::Thread, head(), threaded(Some("3/4 NPT")), Some(Differs::Other)),
        (SpareField::Thread, head(), threaded(Some("1/2 BSPT")), Some(Differs::Other)),
        (SpareField::Thread, head(), threaded(None), Some(Differs::Unknown)),
        (SpareField::Thread, head(), threaded(Some(" \" ")), Some(Differs::Unknown)),
        (SpareField::Thread, Kind { thread: None, ..head() }, threaded(None), Some(Differs::Unknown)),
        (SpareField::Thread, Kind { thread: None, ..head() }, Kind { thread: None, ..head() }, None),
        (SpareField::Coating, Kind { finish: Finish::Wax, ..head() }, spare(), Some(Differs::Lost)),
        (SpareField::Coating, head(), Kind { finish: Finish::Lead, ..spare() }, Some(Differs::Gained)),
        (
            SpareField::Coating,
            Kind { finish: Finish::Wax, ..head() },
            Kind { finish: Finish::Polymer, ..spare() },
            Some(Differs::Other),
        ),
        (SpareField::Coating, head(), Kind { finish: Finish::Black, ..spare() }, None),
        (SpareField::Finish, head(), Kind { finish: Finish::Black, ..spare() }, Some(Differs::Other)),
        (SpareField::Finish, head(), Kind { finish: Finish::Wax, ..spare() }, None),
        (SpareField::Length, dry(Some("12 in")), dry(Some("305 mm")), None),
        (SpareField::Length, dry(Some("12 in")), dry(Some("12.25 in")), Some(Differs::Other)),
        (SpareField::Length, dry(Some("12 in")), dry(None), Some(Differs::Unknown)),
        (SpareField::Length, dry(None), dry(None), Some(Differs::Unknown)),
        (SpareField::Length, dry(Some("12 in")), spare(), None),
        (SpareField::Dry, dry(Some("12 in")), spare(), Some(Differs::Other)),
    ];
    for (field, head, spare, differs) in table {
        let it = said(&nfpa(), &head, &spare);
        let found = it.fields.iter().find(|f| f.field == field).expect("told");
        assert_eq!(found.differs, differs, "{field}: {} / {}", found.head, found.spare);
        assert_eq!(found.verdict == FitVerdict::Same, differs.is_none(), "{field}");
    }
}

/// The outside check. What the sources say, each beside its rows:
/// - NFPA 25:2014 5.4.1, as quoted in a standards body's forum, lists style, K-factor, rating, coating, deflector type and design among
///   the proper characteristics of a replacement: none of them may just differ.
/// - An association's informal answer on NFPA 13:2016: 155 F and 165 F heads may hang in one compartment.
/// - NFPA 13:2013 8.4.5.3, as quoted in an association's informal answer: residential heads and others are not mixed.
/// - NFPA 13:2019 9.4.3.2, as quoted in a questions forum: quick and standard response are not mixed in a compartment.
/// - NFPA 13:1999 5-3.1.5.1, as quoted on an association's page: a single standard head may be replaced by a standard one.
#[test]
fn verdicts_are_those_of_the_published_sources() {
    let standard = || Kind { response: Response::Standard, ..head() };
    let residential = || Kind { style: Style::Residential, ..head() };
    let as_spare = |kind: Kind| Kind { id: "spare".to_owned(), ..kind };
    let never = &[FitVerdict::Never][..];
    let not_by_itself = &[FitVerdict::Ask, FitVerdict::Never][..];
    let table = [
        (
            standard(),
            Kind { rating: rated("165 F"), element: Element::Link, ..as_spare(standard()) },
            &[FitVerdict::May][..],
        ),
        (standard(), as_spare(standard()), &[FitVerdict::Same][..]),
        (residential(), spare(), never),
        (head(), as_spare(residential()), never),
        (standard(), spare(), not_by_itself),
        (head(), as_spare(standard()), not_by_itself),
        (head(), Kind { style: Style::Extended, ..spare() }, not_by_itself),
        (head(), Kind { k: k("8.0"), ..spare() }, not_by_itself),
        (head(), Kind { k: k("4.2"), ..spare() }, not_by_itself),
        (head(), Kind { rating: rated("200 F"), ..spare() }, not_by_itself),
        (Kind { rating: rated("200 F"), ..head() }, spare(), not_by_itself),
        (Kind { finish: Finish::Wax, ..head() }, spare(), not_by_itself),
        (head(), Kind { finish: Finish::Wax, ..spare() }, not_by_itself),
        (head(), Kind { orientation: Orientation::Upright, ..spare() }, not_by_itself),
        (Kind { orientation: Orientation::Sidewall, ..head() }, spare(), not_by_itself),
        (head(), Kind { mount: Mount::Concealed, ..spare() }, not_by_itself),
    ];
    for name in ["nfpa25-2023", "nfpa25-2020", "nfpa25-2017", "nfpa25-2014"] {
        let set = builtin::load(name).expect(name);
        for (head, spare, verdicts) in &table {
            let it = said(&set, head, spare);
            assert!(verdicts.contains(&it.verdict), "{name}: {spare:?} for {head:?}: {}", it.verdict);
        }
    }
}

#[test]
fn surroundings_of_the_head_tell() {
    let set = nfpa();
    let warm = Kind { rating: rated("286 F"), ..spare() };
    let verdict = |facts: &Facts| fit(&set, facts, &head(), &warm, false, Units::Us).verdict;
    let mut facts = Facts::of_kind(&head());
    assert_eq!(verdict(&facts), FitVerdict::Never);
    facts.set(Field::Ceiling, Ceiling::TooLow as u8);
    assert_eq!(verdict(&facts), FitVerdict::Ask);
    let mut heater = Facts::of_kind(&head());
    heater.add_settings(setting_bit(Setting::Heat));
    assert_eq!(verdict(&heater), FitVerdict::Ask);
}

#[test]
fn every_built_in_set_speaks_of_every_relation_of_every_field() {
    for name in builtin::names() {
        let set = builtin::load(name).expect(name);
        for field in SpareField::ALL {
            let rows: Vec<_> = set.duties.spares.iter().filter(|r| r.field == *field).collect();
            let last = rows.last().expect("rows");
            assert!(last.always(), "{name}: {}", last.id);
        }
        let verdicts: BTreeSet<FitVerdict> = set.duties.spares.iter().map(|r| r.verdict).collect();
        assert_eq!(verdicts.len(), 3, "{name}");
        // What harms at once is never left to a mere 'may'.
        for row in set.duties.spares.iter().filter(|r| r.verdict == FitVerdict::May) {
            let harmless = matches!(
                row.field,
                SpareField::K | SpareField::Thread | SpareField::Rating | SpareField::Coating | SpareField::Finish
            ) || row.id == "old-style-by-spray";
            assert!(harmless, "{name}: {}", row.id);
        }
    }
}

fn any_kind() -> impl Strategy<Value = Kind> {
    let words = (
        prop::sample::select(Orientation::ALL),
        prop::sample::select(Mount::ALL),
        prop::sample::select(Response::ALL),
        prop::sample::select(Style::ALL),
        prop::sample::select(Finish::ALL),
    );
    let figures = (
        prop::sample::select(vec!["135 F", "155 F", "68 C", "200 F", "240 F", "286 F", "360 F"]),
        prop::sample::select(vec!["2.8", "5.5", "5.6", "80 metric", "8", "14", "4.9"]),
        prop::option::of(prop::sample::select(vec!["1/2 NPT", "½ npt", "3/4 NPT", "R 1/2", ""])),
        any::<bool>(),
        prop::option::of(prop::sample::select(vec!["12 in", "305 mm", "14 in"])),
    );
    (words, figures).prop_map(
        |((orientation, mount, response, style, finish), (rating, factor, thread, dry, length))| Kind {
            orientation,
            mount,
            response,
            style,
            finish,
            rating: rated(rating),
            k: k(factor),
            thread: thread.map(str::to_owned),
            dry,
            length: length.map(|t| Length::parse(t).expect(t)),
            ..kind()
        },
    )
}

proptest! {
    #[test]
    fn the_worst_field_stands_for_the_pair_and_a_head_fits_itself(head in any_kind(), spare in any_kind()) {
        let spare = Kind { id: "other".to_owned(), ..spare };
        for name in builtin::names() {
            let set = builtin::load(name).expect(name);
            let it = said(&set, &head, &spare);
            prop_assert_eq!(it.fields.len(), SpareField::ALL.len());
            prop_assert_eq!(Some(it.verdict), it.fields.iter().map(|f| f.verdict).max());
            for field in &it.fields {
                prop_assert_eq!(field.differs.is_none(), field.verdict == FitVerdict::Same);
                prop_assert_eq!(field.differs.is_none(), field.row.is_none());
                prop_assert!(field.differs.is_none_or(|d| field.field.relations().contains(&d)));
            }
            let own = said(&set, &head, &head);
            // A dry head whose length nobody wrote down may be of any.
            let unmeasured = head.dry && head.length.is_none();
            prop_assert_eq!(own.verdict == FitVerdict::Same, !unmeasured);
        }
    }

    #[test]
    fn whether_two_heads_differ_does_not_hang_on_which_is_the_spare(head in any_kind(), spare in any_kind()) {
        let set = nfpa();
        let fields = |it: &Fit| it.differing().iter().map(|f| f.field).collect::<BTreeSet<_>>();
        prop_assert_eq!(fields(&said(&set, &head, &spare)), fields(&said(&set, &spare, &head)));
    }
}
