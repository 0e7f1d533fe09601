//! What each built-in set says of itself: its own clauses and documents, the same rules under the same words, full duties, a
//! foreword; and that the example of an authority's file does what its remarks say.

use std::sync::Arc;

use crate::diag::Source;
use crate::rules::builtin;
use crate::rules::duties::{CabinetMatter, Hazard, SampleMatter};
use crate::rules::judge::Judge;
use crate::rules::load;
use crate::rules::model::{Class, Confidence, RuleSet, Ruling, Within};
use crate::trade::kind::{Applied, Kind};
use crate::trade::measure::Span;
use crate::trade::quantity::PartialDate;

use super::{area, kind};

const EDITIONS: [(&str, i32); 4] =
    [("nfpa25-2023", 2023), ("nfpa25-2020", 2020), ("nfpa25-2017", 2017), ("nfpa25-2014", 2014)];

fn set(name: &str) -> Arc<RuleSet> {
    builtin::load(name).expect(name)
}

/// Every clause of a set: of its rules and of its rows.
fn clauses(set: &RuleSet) -> Vec<&str> {
    let duties = &set.duties;
    (set.rules.iter().map(|r| &r.clause))
        .chain(duties.ages.iter().map(|r| &r.basis.clause))
        .chain(duties.samples.iter().map(|r| &r.basis.clause))
        .chain(duties.sample_rules.iter().map(|r| &r.basis.clause))
        .chain(duties.limits.iter().map(|r| &r.basis.clause))
        .chain(duties.limits.iter().filter_map(|r| r.method.as_ref()).map(|m| &m.clause))
        .chain(duties.stock.iter().map(|r| &r.basis.clause))
        .chain(duties.cabinet.iter().map(|r| &r.basis.clause))
        .chain(duties.spares.iter().map(|r| &r.basis.clause))
        .chain(duties.cleaning.iter().map(|r| &r.basis.clause))
        .chain(duties.suitability.iter().map(|r| &r.basis.clause))
        .chain(duties.visits.iter().map(|r| &r.basis.clause))
        .chain(set.clearances.iter().map(|c| &c.clause))
        .chain(set.unreached.iter().map(|u| &u.clause))
        .chain(set.impairment.clocks.iter().map(|c| &c.clause))
        .chain(set.retention.iter().map(|d| &d.clause))
        .chain(set.classes.iter().map(|c| &c.duty.clause))
        .map(String::as_str)
        .collect()
}

#[test]
fn every_extending_set_begins_with_a_foreword_on_what_differs_and_what_was_seen() {
    for name in builtin::names() {
        let text = &builtin::source(name).expect(name).text;
        let foreword: Vec<&str> = text.lines().take_while(|l| l.starts_with('#')).collect();
        let words = foreword.join(" ");
        assert!(foreword.len() >= 8, "{name}: {} lines", foreword.len());
        assert!(words.contains("seen"), "{name}");
        assert!(*name == "nfpa25-2023" || words.contains("differ"), "{name}");
    }
}

#[test]
fn the_best_mark_in_an_edition_names_that_edition_or_another_document() {
    for (name, year) in EDITIONS {
        let set = set(name);
        let own = format!("NFPA 25:{year}");
        let mut seen = 0;
        for rule in set.rules.iter().filter(|r| r.confidence == Confidence::Seen) {
            let criterion = rule.source.split("; class ").next().unwrap_or_default();
            assert!(criterion.contains(&own) || criterion.contains("NFPA 13:"), "{name} {}: {criterion}", rule.id);
            seen += 1;
        }
        assert!(year == 2017 || seen >= 8, "{name}: {seen}");
        for age in set.duties.ages.iter().filter(|a| a.basis.confidence == Confidence::Seen) {
            assert!(age.basis.source.contains(&own), "{name} {}: {}", age.id, age.basis.source);
        }
    }
    // Of the visual text of EN 12845 nothing was seen.
    assert!(set("en12845").rules.iter().all(|r| r.confidence > Confidence::Secondary));
}

#[test]
fn no_edition_leans_on_the_text_of_a_later_one_with_its_best_mark() {
    for (name, year) in EDITIONS {
        for rule in &set(name).rules {
            for (_, later) in EDITIONS.iter().filter(|(_, y)| *y > year) {
                assert!(!rule.source.contains(&format!("NFPA 25:{later}")), "{name} {}: {}", rule.id, rule.source);
            }
        }
    }
}

/// Every source of a set: of its rules and of its rows.
fn sources(set: &RuleSet) -> Vec<&str> {
    let duties = &set.duties;
    (set.rules.iter().map(|r| &r.source))
        .chain(duties.ages.iter().map(|r| &r.basis.source))
        .chain(duties.samples.iter().map(|r| &r.basis.source))
        .chain(duties.sample_rules.iter().map(|r| &r.basis.source))
        .chain(duties.limits.iter().map(|r| &r.basis.source))
        .chain(duties.limits.iter().filter_map(|r| r.method.as_ref()).map(|m| &m.source))
        .chain(duties.stock.iter().map(|r| &r.basis.source))
        .chain(duties.cabinet.iter().map(|r| &r.basis.source))
        .chain(duties.spares.iter().map(|r| &r.basis.source))
        .chain(duties.cleaning.iter().map(|r| &r.basis.source))
        .chain(duties.suitability.iter().map(|r| &r.basis.source))
        .chain(duties.visits.iter().map(|r| &r.basis.source))
        .chain(set.clearances.iter().map(|c| &c.source))
        .chain(set.unreached.iter().map(|u| &u.source))
        .chain(set.impairment.clocks.iter().map(|c| &c.source))
        .chain(set.retention.iter().map(|d| &d.source))
        .chain(set.classes.iter().map(|c| &c.duty.source))
        .map(String::as_str)
        .collect()
}

#[test]
fn tables_and_numbers_of_a_later_edition_are_named_by_no_earlier_set() {
    for (name, year) in EDITIONS {
        let set = set(name);
        let (clauses, sources) = (clauses(&set), sources(&set));
        let names = |text: &str| clauses.iter().chain(&sources).any(|t| t.contains(text));
        // The table of classes: A.3.3.7 until 2020, A.3.3.8 in 2023.
        assert_eq!(names("A.3.3.8"), year == 2023, "{name}");
        assert_eq!(names("A.3.3.7"), year != 2023, "{name}");
        // Spare heads in NFPA 13: 6.2.9 until 2016, 16.2.7 since; ratings: 6.2.5.1 until 2016, 7.2.4.1 since.
        let clause = |text: &str| clauses.iter().any(|t| t.contains(text));
        assert_eq!((clause("16.2.7"), clause("6.2.9")), (year > 2017, year <= 2017), "{name}");
        assert_eq!((clause("7.2.4.1"), clause("6.2.5.1")), (year > 2017, year <= 2017), "{name}");
    }
}

#[test]
fn no_source_of_an_edition_says_what_stands_unchanged_in_another_one_only() {
    for (name, year) in EDITIONS {
        let set = set(name);
        for source in sources(&set) {
            assert!(!source.contains("both editions"), "{name}: {source}");
            for (_, other) in EDITIONS.iter().filter(|(_, y)| *y != year) {
                for text in [format!("unchanged in {other}"), format!("same in {other}"), format!("stands in {other}")]
                {
                    // An edition that says the same is a reason if it is quoted; a span of editions may end with the set's own.
                    let reason =
                        [format!("{text} as quoted"), format!("{text} to {year}")].iter().any(|r| source.contains(r));
                    assert!(reason || !source.contains(&text), "{name}: {source}");
                }
            }
        }
    }
}

#[test]
fn causes_bear_the_numbers_of_their_edition() {
    for (name, year) in EDITIONS {
        let (own, other) = if year == 2014 { ("5.2.1.1.2(", "5.2.1.1.1(") } else { ("5.2.1.1.1(", "5.2.1.1.2(") };
        let set = set(name);
        let clauses = clauses(&set);
        assert!(clauses.iter().filter(|c| c.contains(own)).count() > 30, "{name}");
        // The annex of 2014 is named only where it stands: by its own number.
        let strangers: Vec<_> = clauses.iter().filter(|c| c.contains(other)).collect();
        assert!(strangers.is_empty(), "{name}: {strangers:?}");
    }
    // Ages: the numbers of fast-response, storage and dry heads changed with 2023.
    let age = |name: &str, id: &str| {
        set(name).duties.ages.iter().find(|a| a.id == id).map(|a| a.basis.clause.clone()).expect(id)
    };
    assert_eq!(age("nfpa25-2023", "fast-response"), "5.3.1.1.1.1");
    assert_eq!(age("nfpa25-2023", "storage-heads"), "5.3.1.1.1.2");
    assert_eq!(age("nfpa25-2023", "dry-heads"), "5.3.1.1.1.5");
    for older in ["nfpa25-2020", "nfpa25-2017", "nfpa25-2014"] {
        assert_eq!(age(older, "fast-response"), "5.3.1.1.1.3");
        assert_eq!(age(older, "dry-heads"), "5.3.1.1.1.6");
    }
}

#[test]
fn the_european_set_quotes_no_north_american_clause_and_owns_up_to_its_classes() {
    let set = set("en12845");
    // The sample has a clause of its own in the insurers' bulletin; spares that are too old have the one above it.
    let old = set.duties.cabinet.iter().find(|c| c.matter == CabinetMatter::OverAge).expect("a row");
    assert_eq!(old.basis.clause, "TB203.3.9");
    for clause in clauses(&set) {
        let foreign = ["5.", "A.5", "15.5", "4.3", "NFPA"].iter().any(|w| clause.starts_with(w));
        assert!(!foreign, "{clause}");
    }
    for rule in &set.rules {
        assert_eq!(rule.class.is_some(), rule.class_confidence == Some(Confidence::Practice), "{}", rule.id);
        for text in [&rule.because, &rule.remedy, &rule.title] {
            assert!(!text.contains("NFPA") && !text.contains("edition"), "{}: {text}", rule.id);
        }
        // Where the standard is silent the rule says so.
        assert!(!rule.clause.starts_with("none") || rule.confidence == Confidence::Practice, "{}", rule.id);
    }
    for meaning in set.classes.iter().filter(|c| c.class != Class::Advisory) {
        assert!(meaning.duty.text.contains("This set's own word"), "{}", meaning.class);
    }
    assert!(set.cautions.iter().any(|c| c.contains("names no finding classes")));
    assert!(set.excuse("concealed").is_some_and(|e| !e.waived));
}

#[test]
fn rules_keep_their_words_from_edition_to_edition() {
    let root = set("nfpa25-2023");
    for name in builtin::names() {
        let set = set(name);
        for rule in &root.rules {
            assert!(set.rule(&rule.id).is_some(), "{name} lacks {}", rule.id);
        }
        let own: Vec<&str> = set.rules.iter().filter(|r| root.rule(&r.id).is_none()).map(|r| r.id.as_str()).collect();
        let expected: &[&str] = if *name == "nfpa25-2014" { &["loading-film-trim"] } else { &[] };
        assert_eq!(own, expected, "{name}");
    }
}

#[test]
fn every_set_carries_every_duty() {
    for name in builtin::names() {
        let set = set(name);
        let d = &set.duties;
        assert!(d.ages.len() >= 2 && !d.limits.is_empty() && !d.visits.is_empty(), "{name}");
        assert!(d.cleaning.is_some() && d.suitability.is_some(), "{name}");
        for matter in SampleMatter::ALL {
            assert!(d.sample_rules.iter().any(|r| r.matter == *matter), "{name}: {matter}");
        }
        for matter in CabinetMatter::ALL {
            assert!(d.cabinet.iter().any(|r| r.matter == *matter), "{name}: {matter}");
        }
        for hazard in [Hazard::Light, Hazard::Ordinary, Hazard::High] {
            let ruling = d.stock.iter().filter(|r| r.rules && [hazard, Hazard::Any].contains(&r.hazard)).count();
            assert_eq!(ruling, 1, "{name}: {hazard}");
        }
        assert!(!set.retention.is_empty() && !set.impairment.tell.is_empty() && set.cautions.len() >= 6, "{name}");
    }
}

fn port_tarrow() -> RuleSet {
    let source = Source::new("example-authority.yaml", include_str!("../../../rules/example-authority.yaml"));
    load::read(&source, &builtin::source).unwrap_or_else(|all| {
        panic!("{}", all.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"));
    })
}

#[test]
fn the_example_of_an_authority_does_what_its_remarks_say() {
    let set = port_tarrow();
    let root = builtin::load("nfpa25-2023").expect("built in");
    assert_eq!(set.cautions.len(), root.cautions.len() + 1);
    assert_eq!(set.recalled.len(), 2);
    let rule = |id: &str| set.rule_at(set.rule(id).expect(id)).expect(id);
    assert_eq!((rule("paint-frame").ruling, rule("paint-frame").class), (Ruling::Replace, Some(Class::Noncritical)));
    assert_eq!(rule("loading-operating-part-heavy").ruling, Ruling::Replace);
    assert_eq!((rule("hung-light").ruling, rule("hung-light").class), (Ruling::Correct, Some(Class::Critical)));
    assert_eq!(rule("damage-plain-ring").ruling, Ruling::Look);
    let dry = set.duties.ages.iter().find(|a| a.id == "dry-heads").expect("dry-heads");
    assert_eq!(dry.first, Span::parse("15 years").expect("a span"));
    let waits: Vec<Within> = set.impairment.clocks.iter().map(|c| c.within).collect();
    assert_eq!(waits, [Within::AtOnce, Within::Hours(4)]);
    assert_eq!(set.impairment.tell, root.impairment.tell);

    let mut judge = Judge::new(Arc::new(set), &[]);
    let plain = judge.profile(&kind(), &area());
    let ruled = |sign, part, extent, origin| {
        let sighting = judge.set().sighting(sign, part, extent, origin).expect(sign);
        judge.judge(plain, sighting).ruling
    };
    assert_eq!(ruled("paint", "frame", "trace", Some(Applied::Field)), Ruling::Replace);
    assert_eq!(ruled("nest", "whole", "light", None), Ruling::Correct);
    assert_eq!(ruled("nest", "whole", "heavy", None), Ruling::Replace);
    let made =
        |year| Kind { number: Some("PT0001".into()), made: Some(PartialDate::parse(year).expect(year)), ..kind() };
    let listed = judge.profile(&made("1999"), &area());
    assert_eq!(judge.standing(listed).ruling, Ruling::Replace);
    let later = judge.profile(&made("2002"), &area());
    assert_eq!(judge.standing(later).ruling, Ruling::Keep);
}

#[test]
fn settling_a_contested_call_leaves_what_was_argued_in_sight() {
    let set = port_tarrow();
    let rule = set.rule_at(set.rule("paint-frame").expect("a rule")).expect("a rule");
    assert!(rule.source.contains(&set.title), "{}", rule.source);
    assert!(rule.contested.as_deref().is_some_and(|c| c.contains("Before the 2023 edition") && c.contains("settled")));
}
