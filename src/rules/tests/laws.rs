//! Laws that hold for every combination: the judge answers everything, the strongest rule wins, what must be done has a
//! reason, and the table says what the rules say.

use proptest::prelude::*;

use super::{area, judge, kind, nfpa};
use crate::rules::facts::{Facts, Field, Recalled, setting_bit};
use crate::rules::judge::Sighting;
use crate::rules::model::{Cond, ExtentIx, PartIx, Rule, RuleIx, RuleSet, Ruling, SignIx, bit8, bit16};
use crate::rules::reach::closure;
use crate::trade::kind::{Applied, Element, Finish, Kind, Mount, Orientation, Response, Style};
use crate::trade::quantity::{PartialDate, Temperature};
use crate::trade::register::{Area, Recall, Setting, System};

fn any_kind() -> impl Strategy<Value = Kind> {
    let pick = |n: usize| 0..n;
    (
        pick(Orientation::ALL.len()),
        pick(Mount::ALL.len()),
        pick(Response::ALL.len()),
        pick(Style::ALL.len()),
        pick(Element::ALL.len()),
        pick(Finish::ALL.len()),
        proptest::sample::select(vec!["135 F", "155 F", "200 F", "240 F", "286 F", "360 F", "500 F", "650 F"]),
        any::<bool>(),
        any::<bool>(),
        proptest::sample::select(vec![None, Some(1999), Some(2010)]),
        any::<bool>(),
    )
        .prop_map(|(o, m, r, s, e, f, rating, dry, guard, made, numbered)| Kind {
            orientation: Orientation::ALL[o],
            mount: Mount::ALL[m],
            response: Response::ALL[r],
            style: Style::ALL[s],
            element: Element::ALL[e],
            finish: Finish::ALL[f],
            rating: Temperature::parse(rating).expect("a rating"),
            dry,
            guard,
            made: made.map(|year| PartialDate { year, month: None, day: None }),
            number: numbered.then(|| "PT-104".to_owned()),
            ..kind()
        })
}

fn any_area() -> impl Strategy<Value = Area> {
    (
        0..System::ALL.len(),
        proptest::collection::vec(proptest::sample::select(Setting::ALL.to_vec()), 0..4),
        proptest::sample::select(vec![None, Some("100 F"), Some("140 F"), Some("300 F"), Some("640 F"), Some("700 F")]),
    )
        .prop_map(|(s, setting, ceiling)| Area {
            system: System::ALL[s],
            setting,
            ceiling_max: ceiling.map(|c| Temperature::parse(c).expect("a temperature")),
            ..area()
        })
}

fn recalls() -> [Recall; 1] {
    [Recall { number: "pt-104".into(), made: Some((1998, 2001)), why: "a list".into() }]
}

/// The conditions read one by one, without the table.
fn holds(cond: &Cond, part: PartIx, extent: ExtentIx, origin: Applied, facts: &Facts) -> bool {
    cond.part & bit16(part.0) != 0
        && cond.extent & bit8(extent.0) != 0
        && cond.applied & bit8(origin as u8) != 0
        && (cond.setting == 0 || cond.setting & facts.settings() != 0)
        && Field::ALL.iter().all(|f| cond.field(*f) & bit16(facts.get(*f)) != 0)
}

/// The rules that speak, found the slow way.
fn speakers(set: &RuleSet, s: Sighting, facts: &Facts) -> Vec<RuleIx> {
    let asks = set.sign_at(s.sign).is_some_and(|sign| sign.ask_applied);
    let origin = if asks { s.applied.unwrap_or(Applied::Unknown) } else { Applied::Unknown };
    let held: Vec<RuleIx> = (0u16..)
        .zip(&set.rules)
        .filter(|(_, r): &(u16, &Rule)| {
            r.when.signs.contains(&s.sign)
                && holds(&r.when.all, s.part, s.extent, origin, facts)
                && !r.when.unless.as_ref().is_some_and(|u| holds(u, s.part, s.extent, origin, facts))
        })
        .map(|(i, _)| RuleIx(i))
        .collect();
    let over = closure(&set.rules);
    held.iter().filter(|r| !held.iter().any(|o| over[usize::from(o.0)].contains(**r))).copied().collect()
}

#[test]
fn every_sighting_of_every_sign_has_a_ruling_and_what_must_be_done_has_a_reason() {
    let mut judge = judge();
    let set = nfpa();
    let profile = judge.profile(&kind(), &area());
    let mut met = 0;
    for (sign, declared) in set.eye_signs() {
        for part in &declared.parts {
            for extent in &declared.extents {
                for applied in [None, Some(Applied::Factory), Some(Applied::Field), Some(Applied::Unknown)] {
                    let j = judge.judge(profile, Sighting { sign, part: *part, extent: *extent, applied });
                    assert!(!judge.reasons(j).is_empty(), "{} has no reason", declared.id);
                    met += 1;
                }
            }
        }
    }
    assert!(met > 500);
}

#[test]
fn a_part_or_an_extent_that_the_sign_does_not_have_asks_for_a_look() {
    let mut judge = judge();
    let set = nfpa();
    let profile = judge.profile(&kind(), &area());
    let leak = set.sign("leak").expect("leak");
    let element = set.part("element").expect("element");
    let full = set.extent("full").expect("full");
    for (sign, part, extent) in [
        (leak, element, full),
        (leak, PartIx(15), full),
        (leak, PartIx(200), ExtentIx(200)),
        (SignIx(63), element, full),
        (SignIx(255), element, full),
    ] {
        let j = judge.judge(profile, Sighting { sign, part, extent, applied: None });
        assert_eq!(j.ruling, Ruling::Look);
        assert!(!judge.reasons(j).is_empty());
    }
}

#[test]
fn words_that_are_not_the_sets_are_refused_with_the_nearest() {
    let set = nfpa();
    assert_eq!(
        set.sighting("piant", "frame", "trace", None),
        Err("'piant' is no sign that is entered by eye; did you mean 'paint'?".into())
    );
    assert_eq!(
        set.sighting("leak", "element", "light", None),
        Err("'element' is no part for leak; known: seal, boss".into())
    );
    assert!(set.sighting("turned", "whole", "trace", None).is_err());
    assert!(set.sighting("unsure", "whole", "full", None).is_err());
    assert!(set.sighting("ceiling-rating", "whole", "full", None).is_err());
}

#[test]
fn letters_are_those_of_the_walk_and_each_finds_its_sign() {
    let set = nfpa();
    for (key, sign) in [
        ('l', "leak"),
        ('c', "corrosion"),
        ('d', "damage"),
        ('f', "fluid-loss"),
        ('o', "loading"),
        ('p', "paint"),
        ('t', "turned"),
        ('b', "blocked"),
        ('e', "cover"),
        ('s', "strap"),
        ('h', "hung"),
        ('g', "guard"),
        ('i', "wrong-rating"),
        ('r', "recalled"),
        ('m', "missing"),
    ] {
        assert_eq!(set.sign_by_key(key), set.sign(sign), "{key}");
    }
    assert_eq!(set.sign_by_key('x'), None);
    let parts: Vec<_> = set.parts.iter().map(|w| w.id.as_str()).collect();
    assert_eq!(parts, ["element", "seal", "deflector", "frame", "boss", "escutcheon", "cover-plate", "whole"]);
    let extents: Vec<_> = set.extents.iter().map(|w| w.id.as_str()).collect();
    assert_eq!(extents, ["trace", "light", "heavy", "full"]);
}

#[test]
fn the_same_facts_give_the_same_profile() {
    let mut judge = judge();
    let a = judge.profile(&kind(), &area());
    let b = judge.profile(
        &Kind { id: "another".into(), note: Some("x".into()), ..kind() },
        &Area { name: "Y".into(), ..area() },
    );
    let c = judge.profile(&Kind { dry: true, ..kind() }, &area());
    assert_eq!(a, b);
    assert_ne!(a, c);
}

proptest! {
    #[test]
    fn the_table_says_what_the_rules_say(
        kind in any_kind(), area in any_area(), sign in 0u8..20, part in 0u8..9, extent in 0u8..5,
        applied in proptest::option::of(0usize..3),
    ) {
        let mut judge = crate::rules::judge::Judge::new(nfpa_cached(), &recalls());
        let profile = judge.profile(&kind, &area);
        let s = Sighting {
            sign: SignIx(sign), part: PartIx(part), extent: ExtentIx(extent), applied: applied.map(|a| Applied::ALL[a]),
        };
        let j = judge.judge(profile, s);
        let set = judge.set();
        let declared = set.sign_at(s.sign);
        if !declared.is_some_and(|d| d.parts.contains(&s.part) && d.extents.contains(&s.extent)) {
            prop_assert_eq!(j.ruling, Ruling::Look);
            return Ok(());
        }
        let recalled = match (&kind.number, kind.made) {
            (None, _) => Recalled::No,
            (Some(_), None) => Recalled::Perhaps,
            (Some(_), Some(made)) if (1998..=2001).contains(&made.year) => Recalled::Yes,
            _ => Recalled::No,
        };
        let facts = Facts::of(&kind, &area, set.ceiling(&kind, &area), recalled);
        prop_assert_eq!(facts.settings(), area.setting.iter().fold(0, |all, s| all | setting_bit(*s)));
        let mut expected = speakers(set, s, &facts);
        let mut got = judge.reasons(j).to_vec();
        // Strongest first, and the ruling is the strongest's.
        let rulings: Vec<Ruling> = got.iter().filter_map(|r| set.rule_at(*r)).map(|r| r.ruling).collect();
        prop_assert!(rulings.windows(2).all(|w| w[0] >= w[1]));
        prop_assert_eq!(rulings.first().copied().unwrap_or(Ruling::Keep), j.ruling);
        let class = got.iter().filter_map(|r| set.rule_at(*r)).filter_map(|r| r.class).max();
        prop_assert_eq!(class, j.class);
        prop_assert!(j.ruling == Ruling::Keep || !got.is_empty());
        expected.sort();
        got.sort();
        prop_assert_eq!(got, expected);
        // Standing and unsure judgements answer too, with reasons for whatever must be done.
        let standing = judge.standing(profile);
        prop_assert!(standing.ruling == Ruling::Keep || !judge.reasons(standing).is_empty());
        prop_assert_eq!(judge.unsure(profile).ruling, Ruling::Look);
    }
}

fn nfpa_cached() -> std::sync::Arc<RuleSet> {
    static SET: std::sync::OnceLock<std::sync::Arc<RuleSet>> = std::sync::OnceLock::new();
    std::sync::Arc::clone(SET.get_or_init(nfpa))
}
