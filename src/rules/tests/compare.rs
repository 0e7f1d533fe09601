//! What a comparison promises: a set against itself is empty, the other way round is the mirror image, every reported
//! decision is real when the judges are asked, and none is missing.

use std::collections::BTreeSet;
use std::sync::Arc;

use proptest::prelude::*;

use super::nfpa;
use crate::diag::Source;
use crate::rules::builtin;
use crate::rules::compare::{About, Change, Comparison, Decision, Place, Side, Verdict, compare, text};
use crate::rules::facts::{Facts, Field, setting_bit};
use crate::rules::judge::{Judge, Sighting};
use crate::rules::load;
use crate::rules::model::{
    Class, Cond, ExtentIx, PartIx, Rule, RuleIx, RuleSet, Ruling, Sign, SignIx, When, Word, bit8, bit16,
};
use crate::rules::table;
use crate::trade::kind::Applied;
use crate::trade::register::Setting;

/// A set that extends the built-in one.
pub(super) fn extending(text: &str) -> RuleSet {
    let text =
        format!("format: headround rules 1\nname: port-tarrow\ntitle: Port Tarrow\nextends: nfpa25-2023\n{text}");
    match load::read(&Source::new("port-tarrow.yaml", text), &builtin::source) {
        Ok(set) => set,
        Err(all) => panic!("{}", all.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")),
    }
}

const FRAME: &str = "\
rules:
  - rule: paint-frame
    title: Any paint on frame or body
    when: {sign: paint, part: [frame, boss], extent: trace..light, origin: [field, unknown]}
    ruling: replace
    class: noncritical
    clause: Port Tarrow bulletin 4
    source: the authority's bulletin
    confidence: A
    because: The authority holds to the older reading.
    remedy: Have the head replaced.
    cases:
      - {see: specks on a frame arm, part: frame, extent: trace, origin: field, then: replace}
      - {see: a factory finish, part: frame, extent: full, origin: factory, instead: keep}
";

fn words(decisions: &[Decision]) -> Vec<String> {
    let weight = |v: &Verdict| v.class.map_or_else(|| v.ruling.to_string(), |c| format!("{} {c}", v.ruling));
    decisions
        .iter()
        .flat_map(|d| d.places.iter().map(move |p| format!("{}: {} -> {}", p.words, weight(&d.from), weight(&d.to))))
        .collect()
}

#[test]
fn a_set_differs_from_itself_in_nothing() {
    let set = nfpa();
    let it = compare(&set, &set);
    assert!(it.is_empty(), "{it:?}");
    assert!(text(&it, true).contains("They decide alike"));
    let other = extending("");
    assert!(compare(&set, &other).is_empty());
}

#[test]
fn a_stricter_rule_is_told_where_it_changes_a_decision_and_field_by_field() {
    let it = compare(&nfpa(), &extending(FRAME));
    assert_eq!(
        words(&it.decisions),
        ["paint on frame arms or body and boss, trace to light, origin field or unknown, mount not concealed: \
             watch noncritical -> replace noncritical"]
    );
    let decision = &it.decisions[0];
    assert_eq!(
        (decision.from.rule.as_deref(), decision.to.rule.as_deref()),
        (Some("paint-frame"), Some("paint-frame"))
    );
    assert_eq!(decision.to.clause.as_deref(), Some("Port Tarrow bulletin 4"));
    insta::assert_snapshot!(text(&it, false));
    insta::assert_snapshot!("the_same_with_texts", text(&it, true));
}

#[test]
fn words_that_only_one_set_knows_are_told_and_nothing_is_decided_about_them() {
    let it = compare(
        &nfpa(),
        &extending(
            "extents:\n  - {extent: total, name: total, hint: nothing left}\n\
             signs:\n  - {sign: moss, key: x, name: moss, hint: green growth, parts: [frame], extents: [trace]}\n\
             rules:\n  - rule: moss\n    title: Moss\n    when: {sign: moss}\n    ruling: clean\n    class: noncritical\n    \
             clause: bulletin 5\n    source: bulletin\n    confidence: A\n    because: b\n    remedy: r\n    cases:\n      \
             - {see: moss, then: clean}\n      - {see: paint, sign: paint, part: frame, extent: full, origin: factory, instead: keep}\n"
                .replace("key: x, ", "")
                .as_str(),
        ),
    );
    assert_eq!(it.decisions, []);
    let told: Vec<_> = it.words.iter().map(|c| (c.about, c.word.as_str(), c.only_in)).collect();
    assert_eq!(told, [(About::Sign, "moss", Some(Side::To)), (About::Extent, "total", Some(Side::To))]);
    let rules: Vec<_> = it.rules.iter().map(|c| (c.word.as_str(), c.only_in)).collect();
    assert_eq!(rules, [("moss", Some(Side::To))]);
}

#[test]
fn duties_are_compared_by_what_they_are_about() {
    let it = compare(
        &nfpa(),
        &extending(
            "cautions: [Tell the harbour office first.]\n\
             clearances:\n  - {style: esfr, distance: 40 in, note: more, clause: bulletin 6, source: s, confidence: A}\n\
             recalled:\n  - {number: qz0417, made: 1998..2001, why: a list}\n",
        ),
    );
    let told: Vec<_> = it.duties.iter().map(|c| (c.about, c.word.as_str(), c.only_in)).collect();
    assert_eq!(
        told,
        [
            (About::Clearance, "esfr", None),
            (About::Recalled, "QZ0417", Some(Side::To)),
            (About::Caution, "Tell the harbour office first.", Some(Side::To)),
        ]
    );
    let distance = it.duties[0].fields.iter().find(|f| f.field == "distance").expect("a distance");
    assert_eq!((distance.from.as_deref(), distance.to.as_deref()), (Some("36 in"), Some("40 in")));
    assert!(text(&it, false).contains("distance: 36 in -> 40 in"));
}

#[test]
fn a_class_that_another_rule_gives_is_told_with_that_rule() {
    let small = Small { first: false, rules: vec![Loose { lead: true, ..Loose::plain() }, Loose::plain()] };
    let mut set = small.set();
    set.rules[1].ruling = Ruling::Watch;
    set.rules[1].class = Some(Class::Critical);
    set.rules[1].also = true;
    let mut rules = set.rules.clone();
    rules[2].over = vec![];
    rules[2].ruling = Ruling::Replace;
    rules[2].class = Some(Class::Noncritical);
    rules[0].over = vec![];
    let (table, _) = table::build(&set.signs, &rules);
    let other = RuleSet { rules, table: Arc::new(table), ..set.clone() };
    let it = compare(&set, &other);
    let decision = it.decisions.iter().find(|d| d.to.class_rule.is_some()).expect("a class of another rule");
    assert_eq!(decision.to.class, Some(Class::Critical));
    assert_eq!(decision.to.class_rule.as_deref(), Some("r0"));
    assert_ne!(decision.to.rule, decision.to.class_rule);
}

#[test]
fn rules_that_tell_too_much_apart_are_not_compared_and_that_is_told() {
    // Each rule asks about another field; together the two sets tell more combinations apart than either.
    let wide = |fields: &[Field]| {
        let mut small = Small { first: true, rules: Vec::new() };
        for field in fields {
            for value in 0..field.words().len() {
                small.rules.push(Loose { field: Some((*field, 1 << value)), ..Loose::plain() });
            }
        }
        small.set()
    };
    let a = wide(&[Field::Finish, Field::Temperature, Field::System, Field::Style]);
    let b = wide(&[Field::Ceiling, Field::Mount, Field::Mixture, Field::Response, Field::Orientation]);
    let it = compare(&a, &b);
    assert_eq!(it.unlisted.len(), 1);
    assert_eq!((it.unlisted[0].sign.as_str(), it.unlisted[0].differ), ("paint", None));
    assert!(text(&it, false).contains("paint: not compared; the rules tell"));
}

/// The situations of the sign that both sets know, by word, with what each set says.
fn asked(set: &RuleSet, judge: &mut Judge, facts: Facts, at: (&str, &str, &str, Applied)) -> Option<Verdict> {
    let (sign, part, extent, origin) = at;
    let s =
        Sighting { sign: set.sign(sign)?, part: set.part(part)?, extent: set.extent(extent)?, applied: Some(origin) };
    let declared = set.sign_at(s.sign)?;
    if !declared.parts.contains(&s.part) || !declared.extents.contains(&s.extent) {
        return None;
    }
    let profile = judge.remember(facts);
    let j = judge.judge(profile, s);
    let rules: Vec<&Rule> = judge.reasons(j).iter().filter_map(|r| set.rule_at(*r)).collect();
    let other = rules.iter().find(|r| r.class == j.class).filter(|_| rules.first().is_some_and(|r| r.class != j.class));
    Some(Verdict {
        ruling: j.ruling,
        class: j.class,
        rule: rules.first().map(|r| r.id.clone()),
        clause: rules.first().map(|r| r.clause.clone()),
        class_rule: other.map(|r| r.id.clone()),
    })
}

fn covers(place: &Place, facts: &Facts, part: &str, extent: &str, origin: Applied) -> bool {
    let holds = |list: &[String], word: &str| list.is_empty() || list.iter().any(|w| w == word);
    holds(&place.parts, part)
        && holds(&place.extents, extent)
        && (place.origins.is_empty() || place.origins.contains(&origin))
        && place.facts.iter().all(|fact| {
            let field = Field::ALL.iter().find(|f| f.as_str() == fact.field).expect("a field");
            let value = field.words()[usize::from(facts.get(*field))];
            fact.values.iter().any(|v| v == value)
        })
        && place.settings.iter().all(|s| {
            let any = s.any_of.iter().any(|w| {
                let setting = Setting::ALL.iter().find(|s| s.as_str() == w).expect("a setting");
                facts.settings() & setting_bit(*setting) != 0
            });
            any == s.there
        })
}

/// Holds that the decisions told of a situation are exactly the one that the judges bear out, if any.
fn check(
    it: &Comparison,
    a: (&RuleSet, &mut Judge),
    b: (&RuleSet, &mut Judge),
    facts: Facts,
    at: (&str, &str, &str, Applied),
) {
    let (sign, part, extent, origin) = at;
    let (one, other) = (asked(a.0, a.1, facts, at), asked(b.0, b.1, facts, at));
    let told: Vec<&Decision> = it
        .decisions
        .iter()
        .filter(|d| d.sign == sign && d.places.iter().any(|p| covers(p, &facts, part, extent, origin)))
        .collect();
    let expected = one.zip(other).filter(|(a, b)| (a.ruling, a.class) != (b.ruling, b.class));
    let found: Vec<(&Verdict, &Verdict)> = told.iter().map(|d| (&d.from, &d.to)).collect();
    let expected: Vec<(&Verdict, &Verdict)> = expected.iter().map(|(a, b)| (a, b)).collect();
    // A place that both sets know nothing of covers nothing.
    assert_eq!(found, expected, "{at:?} {:?}", facts.words());
}

/// The same told the other way round, in an order of its own.
fn mirrored(it: &Comparison) -> (BTreeSet<String>, BTreeSet<String>) {
    let swap = |side: Option<Side>| side.map(|s| if s == Side::From { Side::To } else { Side::From });
    let sorted = |list: &[String]| {
        let mut list = list.to_vec();
        list.sort();
        list
    };
    let decisions = it
        .decisions
        .iter()
        .flat_map(|d| {
            d.places.iter().map(move |p| {
                format!(
                    "{} {:?} {:?} {:?} {:?} {:?} {:?} {:?}",
                    d.sign,
                    d.to,
                    d.from,
                    sorted(&p.parts),
                    sorted(&p.extents),
                    p.origins,
                    p.facts,
                    p.settings
                )
            })
        })
        .chain(it.unlisted.iter().map(|u| format!("{u:?}")))
        .collect();
    let changes = [&it.words, &it.duties, &it.rules]
        .into_iter()
        .flatten()
        .map(|c: &Change| {
            let mut fields: Vec<String> =
                c.fields.iter().map(|f| format!("{} {:?} {:?} {}", f.field, f.to, f.from, f.text)).collect();
            fields.sort();
            format!("{} {} {:?} {fields:?}", c.about, c.word, swap(c.only_in))
        })
        .collect();
    (decisions, changes)
}

fn straight(it: &Comparison) -> (BTreeSet<String>, BTreeSet<String>) {
    let turned = Comparison {
        decisions: it
            .decisions
            .iter()
            .map(|d| Decision { from: d.to.clone(), to: d.from.clone(), ..d.clone() })
            .collect(),
        words: it.words.iter().map(turned_change).collect(),
        duties: it.duties.iter().map(turned_change).collect(),
        rules: it.rules.iter().map(turned_change).collect(),
        ..it.clone()
    };
    mirrored(&turned)
}

fn turned_change(c: &Change) -> Change {
    let mut c = c.clone();
    c.only_in = c.only_in.map(|s| if s == Side::From { Side::To } else { Side::From });
    for f in &mut c.fields {
        std::mem::swap(&mut f.from, &mut f.to);
    }
    c
}

#[test]
fn the_other_way_round_is_the_mirror_image() {
    let (a, b) = (nfpa(), extending(FRAME));
    assert_eq!(mirrored(&compare(&a, &b)), straight(&compare(&b, &a)));
}

/// One rule of an invented set, in words.
#[derive(Clone, Debug)]
struct Loose {
    parts: u8,
    extents: u8,
    origins: u8,
    field: Option<(Field, u16)>,
    setting: u8,
    unless: Option<(u8, u8)>,
    ruling: usize,
    class: usize,
    lead: bool,
}

impl Loose {
    fn plain() -> Self {
        Self {
            parts: 7,
            extents: 7,
            origins: 7,
            field: None,
            setting: 0,
            unless: None,
            ruling: 1,
            class: 1,
            lead: false,
        }
    }
}

const PARTS: [&str; 3] = ["element", "frame", "boss"];
const EXTENTS: [&str; 3] = ["trace", "light", "full"];
const SETTINGS: [Setting; 3] = [Setting::Salt, Setting::Dust, Setting::Grease];

/// A set of one sign, of which rule after rule is over all before it; not checked for anything.
#[derive(Clone, Debug)]
struct Small {
    /// Whether words stand in their first order; a set may number the same words otherwise.
    first: bool,
    rules: Vec<Loose>,
}

impl Small {
    fn set(&self) -> RuleSet {
        let order: Vec<usize> = if self.first { vec![0, 1, 2] } else { vec![2, 0, 1] };
        let word = |id: &str| Word { id: id.into(), name: id.into(), hint: String::new() };
        let base = nfpa();
        let sign = Sign {
            id: "paint".into(),
            parts: (0..3).map(PartIx).collect(),
            extents: (0..3).map(ExtentIx).collect(),
            extent_hints: Vec::new(),
            ask_applied: true,
            ..base.signs[0].clone()
        };
        let doubt = base.signs.iter().find(|s| s.id == "unsure").expect("a sign of doubt");
        let doubt = Sign { parts: vec![PartIx(0)], extents: vec![ExtentIx(0)], ..doubt.clone() };
        let bits =
            |mask: u8| (0u8..).zip(&order).filter(|(_, w)| mask & (1 << **w) != 0).map(|(i, _)| i).collect::<Vec<_>>();
        let cond = |parts: u8, extents: u8| Cond {
            part: bits(parts).into_iter().fold(0, |all, i| all | bit16(i)),
            extent: bits(extents).into_iter().fold(0, |all, i| all | bit8(i)),
            ..Cond::NOTHING
        };
        let one = |n: usize, loose: &Loose| {
            let mut all = cond(loose.parts, loose.extents);
            all.applied = loose.origins;
            if let Some((field, mask)) = loose.field {
                all.fields[field as usize] = mask;
            }
            for (i, s) in SETTINGS.iter().enumerate() {
                if loose.setting & (1 << i) != 0 {
                    all.setting |= setting_bit(*s);
                }
            }
            Rule {
                id: format!("r{n}"),
                when: When {
                    signs: vec![SignIx(0)],
                    any_sign: false,
                    all,
                    unless: loose.unless.map(|(p, e)| cond(p, e)),
                },
                ruling: Ruling::ALL[loose.ruling],
                class: [None, Some(Class::Noncritical), Some(Class::Critical)][loose.class],
                also: loose.lead,
                over: (0..=n).map(|i| RuleIx(u16::try_from(i).expect("small"))).collect(),
                ..base.rules[0].clone()
            }
        };
        let mut rules = vec![Rule {
            id: "base".into(),
            when: When { signs: vec![SignIx(0), SignIx(1)], any_sign: false, all: Cond::NOTHING, unless: None },
            ruling: Ruling::Watch,
            class: None,
            over: Vec::new(),
            ..base.rules[0].clone()
        }];
        rules.extend(self.rules.iter().enumerate().map(|(n, loose)| one(n, loose)));
        let signs = vec![sign, doubt];
        let (table, _) = table::build(&signs, &rules);
        RuleSet {
            name: "small".into(),
            parts: order.iter().map(|i| word(PARTS[*i])).collect(),
            extents: order.iter().map(|i| word(EXTENTS[*i])).collect(),
            signs,
            rules,
            table: Arc::new(table),
            ..(*base).clone()
        }
    }
}

fn any_loose() -> impl Strategy<Value = Loose> {
    let field = prop_oneof![
        3 => Just(None),
        1 => (1u16..4).prop_map(|m| Some((Field::Element, m))),
        1 => (1u16..16).prop_map(|m| Some((Field::Mount, m))),
        1 => (1u16..4).prop_map(|m| Some((Field::Dry, m))),
    ];
    let unless = prop_oneof![3 => Just(None), 1 => (1u8..8, 1u8..8).prop_map(Some)];
    let setting = prop_oneof![2 => Just(0u8), 1 => 1u8..8];
    ((1u8..8, 1u8..8, 1u8..8), field, setting, unless, 0usize..7, 0usize..3).prop_map(
        |((parts, extents, origins), field, setting, unless, ruling, class)| Loose {
            parts,
            extents,
            origins,
            field,
            setting,
            unless,
            ruling,
            class,
            lead: false,
        },
    )
}

/// Two sets, the second with some rules of the first changed, taken away or added, and its words in any order.
fn any_pair() -> impl Strategy<Value = (Small, Small)> {
    let rules = || prop::collection::vec(any_loose(), 0..5);
    (rules(), rules(), prop::collection::vec(any::<bool>(), 5), any::<bool>()).prop_map(|(a, b, keep, first)| {
        let other =
            (0..a.len().max(b.len())).filter_map(|i| if keep[i] { a.get(i) } else { b.get(i) }).cloned().collect();
        (Small { first: true, rules: a }, Small { first, rules: other })
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_decision_that_differs_is_told_and_every_one_told_is_real((a, b) in any_pair()) {
        let (a, b) = (a.set(), b.set());
        let it = compare(&a, &b);
        let (mut one, mut other) = (Judge::new(Arc::new(a.clone()), &[]), Judge::new(Arc::new(b.clone()), &[]));
        for element in 0..2 {
            for mount in 0..4 {
                for dry in 0..2 {
                    for settings in 0u8..8 {
                        let mut facts = Facts::plain();
                        facts.set(Field::Element, element);
                        facts.set(Field::Mount, mount);
                        facts.set(Field::Dry, dry);
                        for (_, s) in SETTINGS.iter().enumerate().filter(|(i, _)| settings & (1 << i) != 0) {
                            facts.add_settings(setting_bit(*s));
                        }
                        for part in PARTS {
                            for extent in EXTENTS {
                                for origin in Applied::ALL {
                                    check(&it, (&a, &mut one), (&b, &mut other), facts, ("paint", part, extent, *origin));
                                }
                            }
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn small_sets_mirror_one_another((a, b) in any_pair()) {
        let (a, b) = (a.set(), b.set());
        prop_assert_eq!(mirrored(&compare(&a, &b)), straight(&compare(&b, &a)));
        prop_assert!(compare(&a, &a).is_empty());
    }

    #[test]
    fn what_is_told_of_the_built_in_sets_is_real_for_any_head_and_all_of_it_is_told(
        values in prop::collection::vec(any::<u8>(), Field::ALL.len()), settings in any::<u16>(), pair in any::<prop::sample::Index>(),
        part in 0usize..8, extent in 0usize..4, origin in 0usize..3,
    ) {
        let (a, b, it) = &pairs()[pair.index(pairs().len())];
        let mut facts = Facts::plain();
        for (field, value) in Field::ALL.iter().zip(values) {
            facts.set(*field, value % u8::try_from(field.words().len()).expect("few"));
        }
        facts.add_settings(settings & ((1 << Setting::ALL.len()) - 1));
        let (mut one, mut other) = (Judge::new(Arc::clone(a), &[]), Judge::new(Arc::clone(b), &[]));
        for sign in &a.signs {
            let at = (sign.id.as_str(), a.parts[part].id.as_str(), a.extents[extent].id.as_str(), Applied::ALL[origin]);
            if asked(a, &mut one, facts, at).is_some() && asked(b, &mut other, facts, at).is_some() {
                check(it, (a, &mut one), (b, &mut other), facts, at);
            }
        }
    }
}

/// Two sets and what differs between them.
type Pair = (Arc<RuleSet>, Arc<RuleSet>, Comparison);

/// Every built-in set against every other, and a stricter one against the first.
fn pairs() -> &'static [Pair] {
    static PAIRS: std::sync::OnceLock<Vec<Pair>> = std::sync::OnceLock::new();
    PAIRS.get_or_init(|| {
        let mut sets: Vec<Arc<RuleSet>> = builtin::names().iter().map(|n| builtin::load(n).expect("sound")).collect();
        sets.push(Arc::new(extending(FRAME)));
        let mut list = Vec::new();
        for a in &sets {
            for b in sets.iter().filter(|b| !Arc::ptr_eq(a, b)) {
                list.push((Arc::clone(a), Arc::clone(b), compare(a, b)));
            }
        }
        list
    })
}

#[test]
fn the_built_in_sets_mirror_one_another_and_are_told_in_full() {
    for (a, b, it) in pairs() {
        assert_eq!(it.unlisted, [], "{} {}", a.name, b.name);
        assert!(!it.is_empty());
        let back = pairs().iter().find(|(x, y, _)| Arc::ptr_eq(x, b) && Arc::ptr_eq(y, a)).expect("the other way");
        assert_eq!(mirrored(it), straight(&back.2), "{} {}", a.name, b.name);
    }
    for set in pairs().iter().map(|(a, ..)| a) {
        assert!(compare(set, set).is_empty(), "{}", set.name);
    }
}
