//! The well-known calls, each with the source that decides it (by its number in published texts, or as common practice).
//! The expected rulings are written here from the sources, not read off the rule file.

use super::{area, judge, kind, nfpa};
use crate::rules::judge::Judge;
use crate::rules::mixed;
use crate::rules::model::{Class, Ruling, Within};
use crate::trade::kind::{Applied, Element, Kind, Mount, Orientation, Response, Style};
use crate::trade::quantity::{Length, PartialDate, Temperature};
use crate::trade::register::{Area, Recall, Setting};

const FIELD: Option<Applied> = Some(Applied::Field);
const FACTORY: Option<Applied> = Some(Applied::Factory);
const UNKNOWN: Option<Applied> = Some(Applied::Unknown);

fn concealed() -> Kind {
    Kind { mount: Mount::Concealed, ..kind() }
}

fn recessed() -> Kind {
    Kind { mount: Mount::Recessed, ..kind() }
}

fn link() -> Kind {
    Kind { element: Element::Link, response: Response::Standard, ..kind() }
}

fn set_in(setting: Setting) -> Area {
    Area { setting: vec![setting], ..area() }
}

#[test]
fn the_well_known_calls_come_out_as_their_sources_say() {
    use Class::{Advisory, Critical, Impairment, Noncritical};
    use Ruling::{Clean, Correct, Keep, Look, Replace, Watch};
    let plain = area();
    let kitchen = set_in(Setting::Grease);
    let brine = set_in(Setting::Salt);
    let booth = set_in(Setting::Overspray);
    let hot = set_in(Setting::Heat);
    let dock = set_in(Setting::Impact);
    let loft = set_in(Setting::Concealed);
    let guarded = Kind { guard: true, ..kind() };
    let esfr = Kind { style: Style::Esfr, ..kind() };
    let sidewall = Kind { orientation: Orientation::Sidewall, ..kind() };
    let wax = Kind { finish: crate::trade::kind::Finish::Wax, ..kind() };
    let kind = kind();
    let table = [
        // NFPA 25:2023 5.2.1.1.1 as publicly reproduced: leakage, physical damage and loss of fluid are not qualified.
        (&kind, &plain, "leak seal light", None, Replace, Some(Critical)),
        (&kind, &plain, "leak seal heavy", None, Replace, Some(Impairment)),
        (&kind, &plain, "damage deflector light", None, Replace, Some(Critical)),
        (&kind, &plain, "damage frame trace", None, Replace, Some(Critical)),
        (&kind, &plain, "damage element heavy", None, Replace, Some(Impairment)),
        (&kind, &plain, "fluid-loss element full", None, Replace, Some(Impairment)),
        (&kind, &plain, "fluid-loss element light", None, Replace, Some(Impairment)),
        // Common practice, no source: a link has no fluid to lose; the entry contradicts the register.
        (&link(), &plain, "fluid-loss element full", None, Look, None),
        // Annex to 5.2.1.1 by trade articles: corrosion counts on seat, operating element, built up on the deflector;
        // light surface corrosion of boss, frame arms and deflector does not ask for replacement.
        (&kind, &plain, "corrosion seal trace", None, Replace, Some(Critical)),
        (&kind, &plain, "corrosion element light", None, Replace, Some(Critical)),
        (&kind, &plain, "corrosion frame light", None, Watch, Some(Noncritical)),
        (&kind, &brine, "corrosion boss light", None, Watch, Some(Noncritical)),
        (&kind, &plain, "corrosion deflector trace", None, Watch, Some(Noncritical)),
        (&kind, &plain, "corrosion deflector heavy", None, Replace, Some(Critical)),
        (&wax, &plain, "corrosion frame trace", None, Replace, Some(Noncritical)),
        // Annex by trade articles: cleaning by air or vacuum without touching; what will not blow off is replaced.
        (&kind, &plain, "loading element light", None, Clean, Some(Noncritical)),
        (&kind, &plain, "loading deflector light", None, Clean, Some(Noncritical)),
        (&kind, &plain, "loading element full", None, Replace, Some(Critical)),
        (&kind, &plain, "loading frame trace", None, Watch, None),
        (&kind, &kitchen, "loading element light", None, Replace, Some(Critical)),
        // 2023: paint not applied by the maker, only if it harms performance (5.2.1.1.1, A); frame alone noncritical (B).
        (&kind, &plain, "paint element trace", FIELD, Replace, Some(Critical)),
        (&kind, &plain, "paint element trace", UNKNOWN, Replace, Some(Critical)),
        (&kind, &plain, "paint element trace", None, Replace, Some(Critical)),
        (&kind, &plain, "paint seal full", FIELD, Replace, Some(Impairment)),
        (&kind, &plain, "paint frame trace", FIELD, Watch, Some(Noncritical)),
        (&kind, &plain, "paint deflector heavy", FIELD, Replace, Some(Critical)),
        (&kind, &plain, "paint whole full", FACTORY, Keep, None),
        (&concealed(), &plain, "paint frame trace", FIELD, Replace, Some(Critical)),
        // Association list: a painted plain escutcheon is harmless, a painted cover plate is not.
        (&kind, &plain, "paint escutcheon full", FIELD, Keep, None),
        (&concealed(), &plain, "paint cover-plate light", FIELD, Correct, Some(Critical)),
        // 5.2.1.1.2 (2023): reposition or replace.
        (&sidewall, &plain, "turned whole full", None, Correct, Some(Critical)),
        // Clearance: 18 in. standard spray (B), 36 in. ESFR and CMSA (C).
        (&kind, &plain, "blocked deflector light", None, Correct, Some(Noncritical)),
        (&esfr, &plain, "blocked deflector light", None, Correct, Some(Critical)),
        // 5.2.1.1.5 and following (C): recessed, flush and concealed need the listed part; a plain skirt does not.
        (&recessed(), &plain, "cover escutcheon full", None, Correct, Some(Noncritical)),
        (&concealed(), &plain, "cover cover-plate full", None, Correct, Some(Noncritical)),
        (&concealed(), &plain, "cover cover-plate heavy", None, Correct, Some(Critical)),
        (&kind, &plain, "cover escutcheon full", None, Keep, None),
        (&kind, &plain, "cover cover-plate full", None, Look, None),
        // Survey statements: caps and film are acted on today; common practice for the class.
        (&kind, &plain, "strap whole full", None, Correct, Some(Impairment)),
        (&kind, &plain, "hung whole heavy", None, Correct, Some(Critical)),
        // A fire marshal's bulletin of 2011: cellophane or thin paper bags in spray areas.
        (&kind, &booth, "hung whole trace", None, Watch, None),
        (&kind, &booth, "hung whole light", None, Correct, Some(Noncritical)),
        (&kind, &booth, "hung whole heavy", None, Correct, Some(Critical)),
        (&kind, &booth, "hung whole full", None, Correct, Some(Critical)),
        (&kind, &plain, "hung whole trace", None, Correct, Some(Critical)),
        // Guards: inspection added in 2023 (B).
        (&guarded, &plain, "guard whole full", None, Correct, Some(Noncritical)),
        (&kind, &dock, "guard whole full", None, Correct, Some(Advisory)),
        (&kind, &plain, "guard whole full", None, Look, None),
        // NFPA 13 Table 7.2.4.1; outside the inspection, so advisory.
        (&kind, &plain, "wrong-rating whole full", None, Replace, Some(Advisory)),
        (&kind, &hot, "wrong-rating whole light", None, Keep, None),
        (&kind, &plain, "recalled whole full", None, Replace, Some(Advisory)),
        // Common practice, no source.
        (&kind, &plain, "missing whole full", None, Replace, Some(Impairment)),
        // 5.2.1.1.3 (2023, A): no inspection required; what was seen is told all the same.
        (&kind, &loft, "leak seal light", None, Replace, Some(Critical)),
    ];
    let mut judge = judge();
    for (kind, area, words, applied, ruling, class) in table {
        let [sign, part, extent] = words.split(' ').collect::<Vec<_>>()[..] else { panic!("{words}") };
        let s = judge.set().sighting(sign, part, extent, applied).expect(words);
        let profile = judge.profile(kind, area);
        let got = judge.judge(profile, s);
        let reasons: Vec<_> =
            judge.reasons(got).iter().filter_map(|r| judge.set().rule_at(*r)).map(|r| r.id.as_str()).collect();
        assert_eq!((got.ruling, got.class), (ruling, class), "{words} {applied:?}: {reasons:?}");
    }
}

fn ids(judge: &Judge, j: crate::rules::judge::Judgement) -> Vec<String> {
    judge.reasons(j).iter().filter_map(|r| judge.set().rule_at(*r)).map(|r| r.id.clone()).collect()
}

#[test]
fn a_rating_below_what_the_ceiling_calls_for_is_told_from_the_register_alone() {
    // NFPA 13:2022 Table 7.2.4.1: ordinary up to 100 °F, intermediate up to 150 °F, high up to 225 °F.
    let mut judge = judge();
    let rows = [
        ("155 F", Some("100 F"), Ruling::Keep, None),
        ("155 F", Some("120 F"), Ruling::Replace, Some(Class::Advisory)),
        ("200 F", Some("120 F"), Ruling::Keep, None),
        ("200 F", Some("100 F"), Ruling::Keep, None),
        ("286 F", Some("100 F"), Ruling::Watch, Some(Class::Advisory)),
        ("155 F", None, Ruling::Keep, None),
        ("68 C", Some("38 C"), Ruling::Keep, None),
        ("500 F", Some("600 F"), Ruling::Replace, Some(Class::Advisory)),
        ("650 F", Some("600 F"), Ruling::Keep, None),
    ];
    for (rating, ceiling, ruling, class) in rows {
        let kind = Kind { rating: Temperature::parse(rating).expect(rating), ..kind() };
        let area = Area { ceiling_max: ceiling.map(|c| Temperature::parse(c).expect(c)), ..area() };
        let profile = judge.profile(&kind, &area);
        let got = judge.standing(profile);
        assert_eq!((got.ruling, got.class), (ruling, class), "{rating} under {ceiling:?}: {:?}", ids(&judge, got));
    }
}

#[test]
fn a_recalled_number_counts_for_its_years_and_an_unknown_year_asks_for_a_look() {
    let recalls = [Recall { number: "PT-104".into(), made: Some((1998, 2001)), why: "the site's list".into() }];
    let mut judge = Judge::new(nfpa(), &recalls);
    let rows = [
        (Some("PT-104"), Some("1999"), Ruling::Replace),
        (Some(" pt-104 "), Some("2001-05"), Ruling::Replace),
        (Some("PT-104"), Some("2002"), Ruling::Keep),
        (Some("PT-104"), None, Ruling::Look),
        (Some("PT-105"), None, Ruling::Keep),
        (None, Some("1999"), Ruling::Keep),
    ];
    for (number, made, ruling) in rows {
        let kind =
            Kind { number: number.map(str::to_owned), made: made.map(|m| PartialDate::parse(m).expect(m)), ..kind() };
        let profile = judge.profile(&kind, &area());
        assert_eq!(judge.standing(profile).ruling, ruling, "{number:?} {made:?}");
    }
}

#[test]
fn in_a_concealed_space_no_inspection_is_required_and_the_reason_is_given() {
    let mut judge = judge();
    let profile = judge.profile(&kind(), &set_in(Setting::Concealed));
    let standing = judge.standing(profile);
    assert_eq!(standing.ruling, Ruling::Keep);
    assert_eq!(ids(&judge, standing), ["concealed-not-required"]);
    let open = judge.profile(&kind(), &area());
    assert_eq!(judge.standing(open), judge.keep());
    assert!(judge.set().excuse("concealed").is_some_and(|e| e.waived));
    assert!(judge.set().excuse("locked").is_some_and(|e| !e.waived));
}

#[test]
fn what_could_not_be_judged_asks_for_a_look_with_its_reason() {
    let mut judge = judge();
    let profile = judge.profile(&kind(), &area());
    let unsure = judge.unsure(profile);
    assert_eq!((unsure.ruling, unsure.class), (Ruling::Look, None));
    assert_eq!(ids(&judge, unsure), ["not-judged"]);
}

#[test]
fn clearances_follow_the_style_of_head() {
    let set = nfpa();
    let of = |style| set.required_clearance(&Kind { style, ..kind() }, &area());
    assert_eq!(of(Style::Spray), Length::parse("18 in").ok());
    assert_eq!(of(Style::Esfr), Length::parse("36 in").ok());
    assert_eq!(of(Style::Cmsa), Length::parse("36 in").ok());
    for style in Style::ALL {
        assert!(of(*style).is_some(), "{style}");
    }
}

#[test]
fn an_impairment_names_whom_to_tell_and_starts_clocks() {
    let set = nfpa();
    assert!(set.impairment.tell.len() >= 5);
    assert!(!set.impairment.steps.is_empty());
    assert!(set.impairment.clocks.iter().any(|c| c.within == Within::AtOnce));
    assert!(set.impairment.clocks.iter().any(|c| c.within == Within::Hours(10) && c.clause == "15.5.2"));
}

#[test]
fn only_one_class_of_heads_may_hang_in_a_compartment_without_a_word() {
    let set = nfpa();
    let rated = |text: &str| Kind { id: text.into(), rating: Temperature::parse(text).expect(text), ..kind() };
    let (a, b, c) = (rated("155 F"), rated("165 F"), rated("200 F"));
    let slow = Kind { id: "slow".into(), response: Response::Standard, ..kind() };
    let home = Kind { id: "home".into(), style: Style::Residential, ..kind() };
    let told = |heads: &[(&str, &Kind, usize)]| -> Vec<(String, String)> {
        mixed::check(&set, heads.iter().copied())
            .into_iter()
            .map(|f| (f.compartment, set.rule_at(f.rule).expect("a rule").id.clone()))
            .collect()
    };
    // 155 F and 165 F are one class (association list); 200 F is another.
    assert_eq!(told(&[("hall", &a, 20), ("hall", &b, 4)]), []);
    assert_eq!(told(&[("hall", &a, 20), ("hall", &c, 1)]), [("hall".into(), "mixed-temperature".into())]);
    assert_eq!(told(&[("hall", &a, 20), ("other", &c, 1)]), []);
    assert_eq!(told(&[("hall", &a, 20), ("hall", &slow, 1)]), [("hall".into(), "mixed-response".into())]);
    // Residential with quick response may not be mixed, though both are fast (association note, since 2013).
    assert_eq!(told(&[("b", &home, 2), ("a", &a, 1), ("b", &a, 1)]), [("b".into(), "mixed-residential".into())]);
    assert_eq!(told(&[("hall", &a, 20), ("hall", &c, 0)]), []);
    let found = mixed::check(&set, [("hall", &a, 2), ("hall", &slow, 1), ("hall", &b, 3)]);
    let groups: Vec<_> = found[0].kinds.iter().map(|g| (g.what.as_str(), g.count, g.kinds.len())).collect();
    assert_eq!(groups, [("quick", 5, 2), ("standard", 1, 1)]);
}
