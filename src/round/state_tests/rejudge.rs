//! Judging a record by another rule set gives what folding it under that set gives, and leaves the record as it was.

use super::*;
use crate::round::rulings;
use crate::rules::load;
use crate::rules::model::RuleSet;

/// Stricter on frame arms, and it knows moss.
const OWN: &str = "\
format: headround rules 1
name: own
title: Own
extends: nfpa25-2023
signs:
  - {sign: moss, name: moss, hint: green growth, parts: [frame, whole], extents: [trace, light, full]}
rules:
  - rule: moss
    title: Moss
    when: {sign: moss}
    ruling: clean
    class: noncritical
    clause: none
    source: none
    confidence: practice
    because: It holds water.
    remedy: Have it cleaned.
    cases:
      - {see: moss, part: frame, extent: trace, then: clean}
      - {see: a factory finish, sign: paint, part: frame, extent: full, origin: factory, instead: keep}
  - rule: paint-frame
    title: Any paint on frame or body
    when: {sign: paint, part: [frame, boss], extent: trace..light, origin: [field, unknown]}
    ruling: replace
    class: impairment
    clause: none
    source: none
    confidence: practice
    because: The authority says so.
    remedy: Have the head replaced.
    cases:
      - {see: specks, part: frame, extent: trace, origin: field, then: replace}
      - {see: a factory finish, part: frame, extent: full, origin: factory, instead: keep}
";

/// Knows paint on two parts and nothing else.
const SMALL: &str = "\
format: headround rules 1
name: small
title: Small
edition: none
parts:
  - {part: frame, name: frame, hint: the arms}
  - {part: element, name: heat element, hint: bulb or link}
extents:
  - {extent: trace, name: trace, hint: a little}
  - {extent: full, name: full, hint: all over}
signs:
  - {sign: unsure, name: unsure, hint: not judged, seen: doubt, parts: [frame], extents: [full]}
  - {sign: paint, key: p, name: paint, hint: paint, parts: [element, frame], extents: [trace, full]}
rules:
  - rule: painted
    title: Painted
    when: {sign: paint}
    ruling: watch
    class: noncritical
    clause: none
    source: none
    confidence: practice
    because: It insulates.
    remedy: Watch it.
    cases:
      - {see: a painted bulb, part: element, extent: full, then: watch}
      - {see: not judged, sign: unsure, instead: look}
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
      - {see: a painted bulb, sign: paint, part: element, extent: full, instead: watch}
";

fn set(text: &str) -> Arc<RuleSet> {
    match load::read(&Source::new("t.yaml", text), &builtin::source) {
        Ok(set) => Arc::new(set),
        Err(all) => panic!("{}", all.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")),
    }
}

fn sets() -> &'static [Arc<RuleSet>; 2] {
    static SETS: OnceLock<[Arc<RuleSet>; 2]> = OnceLock::new();
    SETS.get_or_init(|| [set(OWN), set(SMALL)])
}

fn folded(entries: Vec<Entry>, set: &Arc<RuleSet>, present: Option<&str>) -> State {
    State::fold(register(), entries, Judge::new(Arc::clone(set), &[]), present)
}

/// Everything that a state tells, its problems in order.
fn told(state: &State) -> String {
    let mut t = picture(state);
    let _ = writeln!(t, "{:?}", state.problems());
    for area in 0..state.register().areas.len() {
        for h in act::heads_in_order(state, u16::try_from(area).unwrap()) {
            let story = state.story(h);
            let rules = |j| state.judge().reasons(j).to_vec();
            let findings: Vec<_> =
                story.findings.iter().map(|f| (f.entry, rules(f.judgement), f.known, f.fate)).collect();
            let _ = writeln!(t, "{findings:?} {:?} {:?}", story.carried, state.standing(h).map(rules));
        }
    }
    t
}

#[test]
fn another_set_changes_rulings_and_shares_the_record() {
    let state = fold(vec![
        entry(1, "ines", "2026", begin("2026-11-25")),
        entry(2, "ines", "2026", saw("pack/1.1", "paint", "frame", "trace")),
        entry(3, "ines", "2026", saw("pack/1.2", "moss", "frame", "trace")),
        entry(4, "ines", "2026", seen("pack/1.3")),
    ]);
    assert_eq!(state.rules(), "nfpa25-2023");
    let [own, small] = sets();
    let other = state.rejudged(Arc::clone(own), "own");
    assert_eq!((other.rules(), other.judge().set().name.as_str()), ("own", "own"));
    assert_eq!((ruling(&state, "pack/1.1"), ruling(&other, "pack/1.1")), (Some(Ruling::Watch), Some(Ruling::Replace)));
    assert_eq!((ruling(&state, "pack/1.2"), ruling(&other, "pack/1.2")), (Some(Ruling::Look), Some(Ruling::Clean)));
    assert_eq!((state.problems().len(), other.problems().len()), (1, 0));
    assert_eq!((state.counts().impaired, other.counts().impaired), (0, 1));
    assert!(std::ptr::eq(state.entries(), other.entries()) && std::ptr::eq(state.layout(), other.layout()));
    let small = other.rejudged(Arc::clone(small), "small");
    assert_eq!(small.problems().iter().map(|p| (p.entry, p.words)).collect::<Vec<_>>(), [(id(3), true)]);
    assert_eq!(ruling(&small, "pack/1.2"), Some(Ruling::Look));
}

#[test]
fn what_is_added_to_one_is_not_seen_by_the_other() {
    let mut state = fold(vec![
        entry(1, "ines", "2026", begin("2026-11-25")),
        entry(2, "ines", "2026", saw("pack/1.1", "paint", "frame", "trace")),
    ]);
    let other = state.rejudged(Arc::clone(&sets()[0]), "own");
    let before = told(&other);
    let removed = What::Removed(Box::new(Removed { head: heads("pack/1.5"), why: None }));
    let added =
        What::Added(Box::new(Added { head: Address::parse("pack/1.6").unwrap(), kind: "up".into(), after: None }));
    let kind = What::IsKind(Box::new(IsKind { head: heads("pack/1.2"), kind: "up".into() }));
    for (n, what) in [removed, added, kind].into_iter().enumerate() {
        state.apply(entry(n as u128 + 3, "ines", "2026", what));
    }
    assert_eq!(told(&other), before);
    assert_eq!((state.counts().heads, other.counts().heads), (12, 12));
    assert_eq!(told(&state.rejudged(Arc::clone(&sets()[0]), "own")), {
        told(&folded(state.entries().to_vec(), &sets()[0], None))
    });
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn judging_anew_gives_what_folding_under_that_set_gives(entries in any_entries(), early in any::<bool>(), which in 0usize..2) {
        let present = early.then_some("2025");
        let set = &sets()[which];
        let state = State::fold(register(), entries.clone(), judge(), present);
        let other = state.rejudged(Arc::clone(set), &set.name);
        prop_assert_eq!(told(&other), told(&folded(entries.clone(), set, present)));
        // There and back again.
        let base = Arc::clone(state.judge().set());
        prop_assert_eq!(told(&other.rejudged(base, "nfpa25-2023")), told(&state));
    }

    #[test]
    fn heads_that_change_are_those_whose_judgement_differs(entries in any_entries(), which in 0usize..2) {
        let state = fold(entries);
        let other = state.rejudged(Arc::clone(&sets()[which]), "other");
        let it = rulings::against(&state, &other, "2026-12-01".parse().unwrap());
        let said = |s: &State, h| s.judgement(h).map(|j| (j.ruling, j.class));
        let mut differ = Vec::new();
        for area in 0..state.register().areas.len() {
            let heads = act::heads_in_order(&state, u16::try_from(area).unwrap());
            differ.extend(heads.filter(|h| said(&state, *h) != said(&other, *h)));
        }
        let mut told: Vec<HeadIx> = it.heads.iter().filter(|c| !c.carried).map(|c| c.ix).collect();
        differ.sort();
        told.sort();
        prop_assert_eq!(told, differ);
        for change in &it.heads {
            prop_assert_ne!((change.from.ruling, change.from.class), (change.to.ruling, change.to.class));
            if change.carried {
                prop_assert!(said(&state, change.ix).is_none());
            } else {
                let now = (said(&state, change.ix), said(&other, change.ix));
                prop_assert_eq!(now.0.map(|j| j.0), change.from.ruling);
                prop_assert_eq!(now.1.map(|j| j.0), change.to.ruling);
            }
            // Whoever is listed is told by which rule, or why there is none.
            prop_assert!(!change.to.title.is_empty() || change.to.ruling.is_none_or(|r| r == Ruling::Keep));
        }
        // No entry with words that the second set does not know goes untold while it stands.
        for entry in other.entries() {
            let What::Saw(saw) = &entry.what else { continue };
            let stands = other.find_entry(entry.id).is_some_and(|ix| other.stands(ix));
            let in_view = other.rounds().named(&entry.round).map(|r| other.rounds().rank(r))
                <= other.present_round().and_then(|r| other.rounds().named(&r.name)).map(|r| other.rounds().rank(r));
            let unknown = stands && in_view && other.sighting(saw).is_none();
            prop_assert_eq!(unknown, it.not_known.iter().any(|n| n.entry == entry.id));
        }
    }

    #[test]
    fn a_record_that_grew_entry_by_entry_is_judged_anew_alike(entries in any_entries(), which in 0usize..2) {
        let set = &sets()[which];
        let (mut step, mut other) = (fold(Vec::new()), folded(Vec::new(), set, None));
        for entry in entries {
            step.apply(entry.clone());
            other.apply(entry);
        }
        prop_assert_eq!(told(&step.rejudged(Arc::clone(set), &set.name)), told(&other));
    }
}
