//! What the fold promises: the same entries give the same state in whatever order they come, one entry at a time or all
//! at once; taking back restores what was; absence is never taken for fine.

mod rejudge;

use std::fmt::Write as _;
use std::sync::{Arc, OnceLock};

use proptest::prelude::*;

use super::act;
use super::entry::*;
use super::layout::HeadIx;
use super::notices;
use super::state::{State, Status};
use super::story::{Answer, Fate};
use crate::diag::Source;
use crate::rules::builtin;
use crate::rules::judge::Judge;
use crate::rules::model::{Class, Ruling};
use crate::trade::address::{Address, Heads};
use crate::trade::register::Register;
use crate::trade::register_text;

const SITE: &str = "\
format: headround site 1
site: {id: 01KAVQ5R8Z0000000000000000, name: Marram Quay Cannery, rules: nfpa25-2023}
kinds:
  qr: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome, made: 2009}
  up: {orientation: upright, response: standard, element: link, rating: 165 F, k: 5.6, finish: brass, made: 1988}
areas:
  pack: {name: Packing hall, ceiling_max: 100 F, lines: [5 qr, '2 qr, 1 gap, 2 up']}
  dock: {name: Dock, lines: [3 up]}
";

fn register() -> Register {
    let (register, complaints) = register_text::read(&Source::new("t", SITE));
    assert!(complaints.is_empty(), "{complaints:?}");
    register.unwrap()
}

fn judge() -> Judge {
    static JUDGE: OnceLock<Judge> = OnceLock::new();
    JUDGE.get_or_init(|| Judge::new(builtin::load("nfpa25-2023").expect("the built-in set is sound"), &[])).clone()
}

/// Entry number `n` of the tests, by `by`, in `round`.
fn entry(n: u128, by: &str, round: &str, what: What) -> Entry {
    let base = 0x019a_0000_0000_0000_0000_0000_0000_0000;
    Entry {
        id: Id(base + (n << 40)),
        at: chrono::DateTime::parse_from_rfc3339("2026-11-25T09:00:00-05:00").unwrap(),
        by: Arc::from(by),
        round: Arc::from(round),
        what,
        marks: None,
    }
}

fn id(n: u128) -> Id {
    entry(n, "x", "x", What::Retract(Id(0))).id
}

fn heads(text: &str) -> Heads {
    Heads::parse(text).unwrap()
}

fn begin(date: &str) -> What {
    What::Begin(Box::new(Begin {
        date: date.parse().unwrap(),
        inspector: "Ines Tidewell".into(),
        licence: "PT-118".into(),
        purpose: "annual inspection".into(),
        scope: String::new(),
        rules: None,
    }))
}

fn saw(head: &str, sign: &str, part: &str, extent: &str) -> What {
    What::Saw(Box::new(Saw {
        head: heads(head),
        sign: sign.into(),
        part: part.into(),
        extent: extent.into(),
        applied: Some(Applied::Field),
        how: How::Eye,
        doubtful: false,
        clearance: None,
        of: None,
        note: None,
    }))
}

fn seen(text: &str) -> What {
    What::Seen(heads(text))
}

fn did(head: &str, did: Deed) -> What {
    What::Did(Box::new(Did { head: heads(head), did, kind: None, from: None, who: None, note: None }))
}

fn fold(entries: Vec<Entry>) -> State {
    State::fold(register(), entries, judge(), None)
}

fn head(state: &State, address: &str) -> HeadIx {
    state.layout().find(&Address::parse(address).unwrap()).expect(address)
}

fn ruling(state: &State, address: &str) -> Option<Ruling> {
    state.judgement(head(state, address)).map(|j| j.ruling)
}

/// Everything a screen could show of a state.
fn picture(state: &State) -> String {
    let mut t = String::new();
    for area in 0..state.register().areas.len() {
        let area = u16::try_from(area).unwrap();
        let _ = writeln!(t, "{:?}", state.area_counts(area));
        for h in act::heads_in_order(state, area) {
            let _ = writeln!(
                t,
                "{} {:?} {:?} {:?} {} {} {:?}",
                state.address(h).unwrap(),
                state.layout().head(h),
                state.status(h),
                state.judgement(h).map(|j| (j.ruling, j.class)),
                state.has_open_carried(h),
                state.has_disagreement(h),
                state.seen_entry(h),
            );
        }
    }
    let _ = writeln!(t, "{:?}", state.ruled().collect::<Vec<_>>());
    let _ = writeln!(t, "{:?}", state.impaired().collect::<Vec<_>>());
    let _ = writeln!(t, "{:?}", state.open_carried().collect::<Vec<_>>());
    let _ = writeln!(t, "{:?}", state.disagreeing().collect::<Vec<_>>());
    let _ = writeln!(t, "{:?}", state.rounds().iter().collect::<Vec<_>>());
    let _ = writeln!(t, "{:?}", state.register());
    let mut problems: Vec<_> = state.problems().iter().map(|p| format!("{p:?}")).collect();
    problems.sort();
    let _ = writeln!(t, "{problems:?}");
    t
}

#[test]
fn a_head_without_an_entry_has_no_ruling() {
    let state = fold(vec![entry(1, "ines", "2026", begin("2026-11-25"))]);
    let at = head(&state, "pack/1.1");
    assert_eq!(state.status(at), Status::Unseen);
    assert_eq!(state.judgement(at), None);
    assert_eq!(state.counts().unseen, 12);
    assert!(!state.counts().complete());
    assert!(!act::obstacles(&state).is_clear());
}

#[test]
fn seen_is_keep_and_a_sign_is_ruled_upon_at_once() {
    let state = fold(vec![
        entry(1, "ines", "2026", begin("2026-11-25")),
        entry(2, "ines", "2026", seen("pack/1.1..1.3")),
        entry(3, "ines", "2026", saw("pack/1.4", "paint", "element", "trace")),
    ]);
    assert_eq!(ruling(&state, "pack/1.2"), Some(Ruling::Keep));
    assert_eq!(ruling(&state, "pack/1.4"), Some(Ruling::Replace));
    assert_eq!(ruling(&state, "pack/1.5"), None);
    assert_eq!(state.counts().seen, 4);
    assert_eq!(state.ruled().collect::<Vec<_>>(), [head(&state, "pack/1.4")]);
}

#[test]
fn the_strongest_ruling_stands_and_every_finding_is_kept() {
    let state = fold(vec![
        entry(1, "ines", "2026", begin("2026-11-25")),
        entry(2, "ines", "2026", saw("pack/1.4", "paint", "element", "heavy")),
        entry(3, "ines", "2026", saw("pack/1.4", "loading", "deflector", "light")),
    ]);
    assert_eq!(ruling(&state, "pack/1.4"), Some(Ruling::Replace));
    let story = state.story(head(&state, "pack/1.4"));
    assert_eq!(story.findings.len(), 2);
    assert_eq!(story.leading().unwrap().judgement.ruling, Ruling::Replace);
}

#[test]
fn what_only_an_advisory_asks_for_is_counted_apart_and_gives_way_to_what_the_inspection_asks_for() {
    let advised = saw("pack/1.4", "wrong-rating", "whole", "full");
    let mut entries = vec![
        entry(1, "ines", "2026", begin("2026-11-25")),
        entry(2, "ines", "2026", seen("pack/1")),
        entry(3, "ines", "2026", advised),
    ];
    let state = fold(entries.clone());
    let counts = state.counts();
    assert_eq!(state.judgement(head(&state, "pack/1.4")).unwrap().class, Some(Class::Advisory));
    assert_eq!((counts.ruled(Ruling::Replace), counts.ruled(Ruling::Keep), counts.advisory), (0, 4, 1));
    // A weaker ruling of the adopted inspection on the same head is the one that counts.
    entries.push(entry(4, "ines", "2026", saw("pack/1.4", "loading", "deflector", "light")));
    let state = fold(entries);
    let (counts, at) = (state.counts(), head(&state, "pack/1.4"));
    assert_eq!(ruling(&state, "pack/1.4"), Some(Ruling::Clean));
    assert_eq!((counts.ruled(Ruling::Clean), counts.advisory), (1, 0));
    assert_eq!(state.story(at).leading().unwrap().judgement.ruling, Ruling::Clean);
}

#[test]
fn somebody_is_still_to_be_told_until_a_notice_follows_every_open_impairment() {
    let fluid = |at: &str| saw(at, "fluid-loss", "element", "full");
    let list = judge().set().impairment.tell.clone();
    let all = list.len();
    assert!(all > 0);
    let notice = |told: &str, head: Option<&str>| {
        What::Notice(Box::new(Notice { told: told.into(), how: Channel::Phone, head: head.map(heads), note: None }))
    };
    let mut entries = vec![entry(1, "ines", "2026", begin("2026-11-25")), entry(2, "ines", "2026", fluid("pack/1.1"))];
    assert_eq!(notices::owing(&fold(entries.clone())), (all, all));
    for (n, who) in (3..).zip(&list) {
        entries.push(entry(n, "ines", "2026", notice(&who.to_uppercase(), None)));
    }
    assert_eq!(notices::owing(&fold(entries.clone())), (0, all));
    // A head that is found out of order after that has been told to nobody; a notice on it alone will do.
    entries.push(entry(60, "ines", "2026", fluid("pack/1.2")));
    assert_eq!(notices::owing(&fold(entries.clone())), (all, all));
    entries.push(entry(61, "ines", "2026", notice(&list[0], Some("pack/1.2"))));
    assert_eq!(notices::owing(&fold(entries.clone())), (all - 1, all));
    entries.push(entry(62, "ines", "2026", did("pack/1.1", Deed::Replaced)));
    entries.push(entry(63, "ines", "2026", did("pack/1.2", Deed::Replaced)));
    assert_eq!(notices::owing(&fold(entries)), (0, all));
}

#[test]
fn an_impairment_counts_although_the_ruling_turns_on_another_finding() {
    let state = fold(vec![
        entry(1, "ines", "2026", begin("2026-11-25")),
        entry(2, "ines", "2026", saw("pack/1.4", "strap", "whole", "full")),
        entry(3, "ines", "2026", saw("pack/1.4", "paint", "element", "trace")),
    ]);
    let at = head(&state, "pack/1.4");
    assert_eq!(state.judgement(at).map(|j| (j.ruling, j.class)), Some((Ruling::Replace, Some(Class::Critical))));
    assert_eq!((state.counts().impaired, state.impaired().collect::<Vec<_>>()), (1, vec![at]));
}

#[test]
fn words_the_rule_set_does_not_know_lead_to_a_close_look() {
    let state = fold(vec![
        entry(1, "ines", "2026", begin("2026-11-25")),
        entry(2, "ines", "2026", saw("pack/1.4", "moss", "element", "heavy")),
        entry(3, "ines", "2026", saw("pack/1.5", "paint", "element", "enormous")),
    ]);
    for address in ["pack/1.4", "pack/1.5"] {
        assert_eq!(ruling(&state, address), Some(Ruling::Look), "{address}");
        assert!(!state.story(head(&state, address)).findings[0].known);
    }
}

#[test]
fn what_could_not_be_judged_is_settled_only_by_going_near() {
    let unsure =
        |at: &str| What::Unsure(Box::new(Unsure { head: heads(at), why: UnsureWhy::Dirty, how: How::Eye, note: None }));
    let mut entries = vec![
        entry(1, "ines", "2026", begin("2026-11-25")),
        entry(2, "ines", "2026", unsure("pack/1.1")),
        entry(3, "ines", "2026", seen("pack/1")),
    ];
    let state = fold(entries.clone());
    assert_eq!(state.status(head(&state, "pack/1.1")), Status::Unsure);
    assert_eq!(ruling(&state, "pack/1.1"), Some(Ruling::Look));
    assert_eq!(state.status(head(&state, "pack/1.2")), Status::Seen);
    entries.push(entry(4, "ines", "2026", seen("pack/1.1")));
    let state = fold(entries);
    assert_eq!(state.status(head(&state, "pack/1.1")), Status::Seen);
    assert_eq!(ruling(&state, "pack/1.1"), Some(Ruling::Keep));
}

#[test]
fn an_unreached_head_is_answered_for_but_never_kept() {
    let unreached = What::Unreached(Box::new(Unreached {
        heads: heads("dock"),
        why: UnreachedWhy::Locked,
        denied_by: Some("night shift".into()),
        note: None,
    }));
    let state = fold(vec![
        entry(1, "ines", "2026", begin("2026-11-25")),
        entry(2, "ines", "2026", unreached),
        entry(3, "ines", "2026", seen("dock/1.2")),
    ]);
    assert_eq!(state.status(head(&state, "dock/1.1")), Status::Unreached);
    assert_eq!(ruling(&state, "dock/1.1"), None);
    assert_eq!(state.status(head(&state, "dock/1.2")), Status::Seen);
}

#[test]
fn findings_of_an_earlier_round_wait_for_an_answer() {
    let earlier = vec![
        entry(1, "ines", "2025", begin("2025-11-20")),
        entry(2, "ines", "2025", saw("pack/1.1", "corrosion", "frame", "light")),
        entry(3, "ines", "2025", saw("pack/1.2", "corrosion", "frame", "light")),
        entry(4, "ines", "2025", saw("pack/1.3", "paint", "element", "trace")),
        entry(5, "ines", "2025", saw("pack/1.4", "paint", "element", "trace")),
        entry(6, "osk", "2025", did("pack/1.4", Deed::Replaced)),
        entry(10, "ines", "2026", begin("2026-11-25")),
        entry(11, "ines", "2026", seen("pack/1")),
    ];
    let state = fold(earlier.clone());
    assert_eq!(state.counts().carried, 4);
    assert_eq!(act::sweep(&state, 0, act::Reach::Line(1)).0, 0);
    assert!(state.story(head(&state, "pack/1.4")).carried[0].said_fixed.is_some());
    let mut entries = earlier;
    let gone = |at: &str, of: u128| What::Gone(Box::new(Gone { head: heads(at), of: id(of), note: None }));
    entries.push(entry(12, "ines", "2026", saw("pack/1.1", "corrosion", "frame", "light")));
    entries.push(entry(13, "ines", "2026", saw("pack/1.2", "corrosion", "frame", "full")));
    entries.push(entry(14, "ines", "2026", gone("pack/1.3", 4)));
    let state = fold(entries.clone());
    let answer = |at: &str| state.story(head(&state, at)).carried[0].answer;
    assert!(matches!(answer("pack/1.1"), Answer::Still(_)));
    assert!(matches!(answer("pack/1.2"), Answer::Worse(_)));
    assert!(matches!(answer("pack/1.3"), Answer::Gone(_)));
    assert!(matches!(answer("pack/1.4"), Answer::Open));
    assert_eq!(state.counts().carried, 1);
    // A year later, what was gone is not carried, and what was still there has been reported twice.
    entries.push(entry(20, "ines", "2027", begin("2027-11-25")));
    let state = fold(entries);
    assert_eq!(state.story(head(&state, "pack/1.1")).carried[0].times, 2);
    assert!(state.story(head(&state, "pack/1.3")).carried.is_empty());
}

#[test]
fn an_earlier_finding_on_a_head_that_is_not_reached_goes_on_to_the_next_round() {
    let unreached = What::Unreached(Box::new(Unreached {
        heads: heads("pack/1.1"),
        why: UnreachedWhy::Process,
        denied_by: None,
        note: None,
    }));
    let mut entries = vec![
        entry(1, "ines", "2025", begin("2025-11-20")),
        entry(2, "ines", "2025", saw("pack/1.1", "corrosion", "frame", "light")),
        entry(10, "ines", "2026", begin("2026-11-25")),
        entry(11, "ines", "2026", unreached),
    ];
    let state = fold(entries.clone());
    assert_eq!(state.counts().carried, 0, "nobody can answer for a head that was not reached");
    assert_eq!(state.story(head(&state, "pack/1.1")).carried[0].answer, Answer::Open);
    entries.push(entry(20, "ines", "2027", begin("2027-11-25")));
    assert_eq!(fold(entries).counts().carried, 1);
}

#[test]
fn a_replacement_mends_what_was_found_and_gives_the_head_its_new_kind() {
    let replaced = What::Did(Box::new(Did {
        head: heads("pack/1.4"),
        did: Deed::Replaced,
        kind: Some("up".into()),
        from: None,
        who: None,
        note: None,
    }));
    let mut state = fold(vec![
        entry(1, "ines", "2026", begin("2026-11-25")),
        entry(2, "ines", "2026", saw("pack/1.4", "paint", "element", "heavy")),
        entry(3, "ines", "2026", replaced),
    ]);
    let at = head(&state, "pack/1.4");
    assert_eq!(ruling(&state, "pack/1.4"), Some(Ruling::Keep));
    assert!(matches!(state.story(at).findings[0].fate, Fate::Mended(_)));
    assert_eq!(state.register().kind(state.layout().head(at).unwrap().kind).unwrap().id, "up");
    // Cleaning does not mend a head that must be replaced.
    state.apply(entry(4, "ines", "2026", saw("pack/1.5", "paint", "element", "heavy")));
    state.apply(entry(5, "ines", "2026", did("pack/1.5", Deed::Cleaned)));
    assert_eq!(ruling(&state, "pack/1.5"), Some(Ruling::Replace));
    state.apply(entry(6, "ines", "2026", What::Retract(id(3))));
    assert_eq!(ruling(&state, "pack/1.4"), Some(Ruling::Replace));
    assert_eq!(state.register().kind(state.layout().head(at).unwrap().kind).unwrap().id, "qr");
}

#[test]
fn whoever_looks_at_a_mended_head_contradicts_nobody() {
    let mut state = fold(vec![
        entry(1, "ines", "2026", begin("2026-11-25")),
        entry(2, "ines", "2026", saw("pack/1.4", "paint", "element", "trace")),
        entry(3, "osk", "2026", did("pack/1.4", Deed::Replaced)),
        entry(4, "osk", "2026", seen("pack/1.4")),
    ]);
    let at = head(&state, "pack/1.4");
    assert!(!state.has_disagreement(at));
    assert_eq!(ruling(&state, "pack/1.4"), Some(Ruling::Keep));
    // Without the replacement the two do differ.
    state.apply(entry(5, "osk", "2026", What::Retract(id(3))));
    assert!(state.has_disagreement(at));
}

#[test]
fn cleaning_does_not_answer_an_earlier_finding_that_asks_for_replacement() {
    let entries = |deed| {
        vec![
            entry(1, "ines", "2025", begin("2025-11-20")),
            entry(2, "ines", "2025", saw("pack/1.1", "paint", "element", "full")),
            entry(3, "ines", "2025", saw("pack/1.2", "paint", "element", "full")),
            entry(4, "osk", "2025", did("pack/1.2", deed)),
            entry(10, "ines", "2026", begin("2026-11-25")),
            entry(11, "osk", "2026", did("pack/1.1", deed)),
            entry(12, "ines", "2026", seen("pack/1")),
        ]
    };
    let state = fold(entries(Deed::Cleaned));
    let carried = |state: &State, at: &str| state.story(head(state, at)).carried[0].clone();
    assert_eq!(carried(&state, "pack/1.1").answer, Answer::Open);
    assert_eq!(carried(&state, "pack/1.2").said_fixed, None);
    assert_eq!(state.counts().carried, 2);
    let state = fold(entries(Deed::Replaced));
    assert!(matches!(carried(&state, "pack/1.1").answer, Answer::Mended(_)));
    assert!(carried(&state, "pack/1.2").said_fixed.is_some());
    assert_eq!(state.counts().carried, 1);
}

#[test]
fn entries_beyond_what_an_honest_file_holds_are_told_and_left_out_of_account() {
    let most = u128::try_from(super::state::MAX_OF_A_HEAD).unwrap();
    let begun = entry(1, "ines", "2026", begin("2026-11-25"));
    let noted = |n: u128| {
        let note = Note { head: Some(heads("pack/1.1")), text: "again".into() };
        entry(n, "ines", "2026", What::Note(Box::new(note)))
    };
    let mut entries = vec![begun];
    entries.extend((2..most + 2).map(noted));
    let mut state = fold(entries);
    assert!(state.problems().is_empty());
    assert_eq!(state.story(head(&state, "pack/1.1")).notes.len(), super::state::MAX_OF_A_HEAD);
    state.apply(noted(most + 2));
    assert_eq!(state.problems().len(), 1, "{:?}", state.problems());
    assert_eq!(state.entries().len(), super::state::MAX_OF_A_HEAD + 2);
    assert_eq!(state.story(head(&state, "pack/1.1")).notes.len(), super::state::MAX_OF_A_HEAD);
}

#[test]
fn a_chain_of_takings_back_ends_as_its_length_says_and_those_astray_are_told_in_order() {
    let mut entries = vec![entry(1, "ines", "2026", begin("2026-11-25")), entry(2, "ines", "2026", seen("pack/1.1"))];
    for n in 3..40 {
        entries.push(entry(n, "ines", "2026", What::Retract(id(n - 1))));
        let stands = n % 2 == 0;
        assert_eq!(fold(entries.clone()).counts().seen, usize::from(stands), "after {n}");
    }
    entries.push(entry(50, "ines", "2026", What::Retract(id(99))));
    entries.push(entry(51, "ines", "2026", What::Retract(id(51))));
    let astray: Vec<Id> = fold(entries).problems().iter().map(|p| p.entry).collect();
    assert_eq!(astray, [id(50), id(51)]);
}

#[test]
fn what_a_later_round_takes_back_still_stands_in_the_round_it_was_said_in() {
    let entries = vec![
        entry(1, "ines", "2025", begin("2025-11-20")),
        entry(2, "ines", "2025", saw("pack/1.1", "fluid-loss", "element", "full")),
        entry(3, "ines", "2025", saw("pack/1.2", "fluid-loss", "element", "full")),
        entry(4, "ines", "2025", What::Retract(id(3))),
        entry(10, "osk", "2026", begin("2026-11-25")),
        entry(11, "osk", "2026", What::Retract(id(2))),
        entry(12, "osk", "2026", What::Retract(id(4))),
    ];
    let then = State::fold(register(), entries.clone(), judge(), Some("2025"));
    assert_eq!((ruling(&then, "pack/1.1"), ruling(&then, "pack/1.2")), (Some(Ruling::Replace), None));
    assert_eq!(then.counts().impaired, 1);
    let now = fold(entries);
    assert_eq!(now.story(head(&now, "pack/1.1")).carried.len(), 1);
    assert!(now.story(head(&now, "pack/1.2")).carried.is_empty());
    let told: Vec<Id> = now.problems().iter().map(|p| p.entry).collect();
    assert_eq!(told, [id(11), id(12)]);
}

#[test]
fn an_impairment_of_an_earlier_round_is_counted_until_it_is_answered() {
    let mut entries = vec![
        entry(1, "ines", "2025", begin("2025-11-20")),
        entry(2, "ines", "2025", saw("pack/1.4", "fluid-loss", "element", "full")),
        entry(10, "ines", "2026", begin("2026-11-25")),
    ];
    assert_eq!((fold(entries.clone()).counts().impaired, fold(entries.clone()).counts().impaired_before), (0, 1));
    entries.push(entry(11, "ines", "2026", saw("pack/1.4", "fluid-loss", "element", "full")));
    assert_eq!((fold(entries.clone()).counts().impaired, fold(entries).counts().impaired_before), (1, 0));
}

#[test]
fn a_sign_off_cannot_be_taken_back() {
    let signoff = What::Signoff(Box::new(Signoff {
        name: "Ines Tidewell".into(),
        licence: String::new(),
        date: "2026-11-25".parse().unwrap(),
        digest: "sha256:00".into(),
        lines: 2,
        note: None,
    }));
    let mut state = fold(vec![entry(1, "ines", "2026", begin("2026-11-25")), entry(2, "ines", "2026", signoff)]);
    state.apply(entry(3, "ines", "2026", What::Retract(id(2))));
    assert!(state.present_round().unwrap().is_signed());
    assert_eq!(state.problems().len(), 1);
    assert_eq!(state.present_round().unwrap().late, [id(3)]);
}

#[test]
fn gone_said_of_another_persons_fresh_finding_is_a_disagreement() {
    let gone = |of: u128| What::Gone(Box::new(Gone { head: heads("pack/1.4"), of: id(of), note: None }));
    let mut entries = vec![
        entry(1, "ines", "2026", begin("2026-11-25")),
        entry(2, "ines", "2026", saw("pack/1.4", "fluid-loss", "element", "full")),
        entry(3, "osk", "2026", gone(2)),
    ];
    let state = fold(entries.clone());
    assert!(state.has_disagreement(head(&state, "pack/1.4")));
    assert_eq!(ruling(&state, "pack/1.4"), Some(Ruling::Replace));
    // After a replacement there is nothing to disagree on.
    entries[2] = entry(3, "osk", "2026", did("pack/1.4", Deed::Replaced));
    entries.push(entry(4, "osk", "2026", gone(2)));
    let state = fold(entries);
    assert!(!state.has_disagreement(head(&state, "pack/1.4")));
    assert_eq!(ruling(&state, "pack/1.4"), Some(Ruling::Keep));
}

#[test]
fn a_head_put_in_for_one_that_could_not_be_judged_has_yet_to_be_looked_at() {
    let unsure =
        What::Unsure(Box::new(Unsure { head: heads("pack/1.1"), why: UnsureWhy::Dirty, how: How::Eye, note: None }));
    let state = fold(vec![
        entry(1, "ines", "2026", begin("2026-11-25")),
        entry(2, "ines", "2026", unsure),
        entry(3, "ines", "2026", did("pack/1.1", Deed::Replaced)),
    ]);
    assert_eq!(state.status(head(&state, "pack/1.1")), Status::Unseen);
}

#[test]
fn two_people_who_differ_are_shown_until_somebody_settles_it() {
    let mut entries = vec![
        entry(1, "ines", "2026", begin("2026-11-25")),
        entry(2, "ines", "2026", seen("pack/1")),
        entry(3, "osk", "2026", saw("pack/1.4", "paint", "element", "trace")),
    ];
    let state = fold(entries.clone());
    assert!(state.has_disagreement(head(&state, "pack/1.4")));
    assert_eq!(ruling(&state, "pack/1.4"), Some(Ruling::Replace), "the stronger ruling stands meanwhile");
    assert!(!act::obstacles(&state).is_clear());
    let settle = |stands: u128| {
        What::Settle(Box::new(Settle {
            head: heads("pack/1.4"),
            stands: id(stands),
            because: "seen from the lift".into(),
        }))
    };
    entries.push(entry(4, "marl", "2026", settle(2)));
    let state = fold(entries.clone());
    assert!(!state.has_disagreement(head(&state, "pack/1.4")));
    assert_eq!(ruling(&state, "pack/1.4"), Some(Ruling::Keep));
    // What was settled for was taken back: nothing is decided any more.
    entries.push(entry(5, "ines", "2026", What::Retract(id(2))));
    assert_eq!(ruling(&fold(entries.clone()), "pack/1.4"), Some(Ruling::Replace));
    entries.truncate(3);
    entries.push(entry(4, "marl", "2026", settle(3)));
    let state = fold(entries.clone());
    assert!(!state.has_disagreement(head(&state, "pack/1.4")));
    assert_eq!(ruling(&state, "pack/1.4"), Some(Ruling::Replace));
    // A settlement for an entry that is not there, or about another head, decides nothing and is told.
    for astray in [99, 5] {
        entries.truncate(3);
        entries.push(entry(5, "marl", "2026", seen("dock")));
        entries.push(entry(6, "marl", "2026", settle(astray)));
        let state = fold(entries.clone());
        assert!(state.has_disagreement(head(&state, "pack/1.4")));
        assert_eq!(ruling(&state, "pack/1.4"), Some(Ruling::Replace));
        assert_eq!(state.problems().len(), 1);
    }
}

#[test]
fn an_entry_that_corrects_another_persons_is_no_disagreement() {
    let mut corrected = entry(3, "osk", "2026", saw("pack/1.4", "paint", "element", "trace"));
    corrected.mark(|m| m.instead = Some(id(2)));
    let state = fold(vec![
        entry(1, "ines", "2026", begin("2026-11-25")),
        entry(2, "ines", "2026", saw("pack/1.4", "paint", "frame", "trace")),
        corrected,
    ]);
    assert!(!state.has_disagreement(head(&state, "pack/1.4")));
    assert_eq!(state.story(head(&state, "pack/1.4")).findings.len(), 1);
}

#[test]
fn undo_and_redo_walk_back_and_forth_through_ones_own_steps() {
    let mut state = fold(vec![
        entry(1, "ines", "2026", begin("2026-11-25")),
        entry(2, "ines", "2026", seen("pack/1.1")),
        entry(3, "osk", "2026", seen("pack/1.2")),
        entry(4, "ines", "2026", saw("pack/1.3", "leak", "seal", "light")),
    ]);
    let mut n = 5;
    let mut step = |state: &mut State, target: Option<Id>| {
        state.apply(entry(n, "ines", "2026", What::Retract(target.expect("a step"))));
        n += 1;
    };
    let before = picture(&state);
    assert_eq!(act::redo_target(&state, "ines"), None);
    assert_eq!(act::undo_target(&state, "ines"), Some(id(4)));
    let target = act::undo_target(&state, "ines");
    step(&mut state, target);
    assert_eq!(state.status(head(&state, "pack/1.3")), Status::Unseen);
    let target = act::undo_target(&state, "ines");
    step(&mut state, target);
    assert_eq!(act::undo_target(&state, "ines"), None, "another person's step and a begin are not taken back");
    assert_eq!(state.status(head(&state, "pack/1.1")), Status::Unseen);
    for _ in 0..2 {
        let target = act::redo_target(&state, "ines");
        step(&mut state, target);
    }
    assert_eq!(act::redo_target(&state, "ines"), None);
    assert_eq!(before.lines().take(14).collect::<Vec<_>>(), picture(&state).lines().take(14).collect::<Vec<_>>());
    state.apply(entry(90, "ines", "2026", seen("pack/2.1")));
    assert_eq!(act::redo_target(&state, "ines"), None, "a new step ends what can be brought back");
}

#[test]
fn entries_about_what_is_not_there_are_told_and_kept() {
    let state = fold(vec![
        entry(1, "ines", "2026", begin("2026-11-25")),
        entry(2, "ines", "2026", seen("pack/9.9")),
        entry(3, "ines", "2026", saw("attic/1.1", "paint", "element", "trace")),
        entry(4, "ines", "2026", What::Retract(id(77))),
        entry(5, "ines", "2026", What::IsKind(Box::new(IsKind { head: heads("pack/1.1"), kind: "nope".into() }))),
    ]);
    let told: Vec<_> = state.problems().iter().map(|p| p.entry).collect();
    assert_eq!(told, [id(4), id(2), id(3), id(5)]);
    assert_eq!(state.entries().len(), 5);
}

#[test]
fn heads_and_areas_found_in_the_field_join_the_walk() {
    let added =
        What::Added(Box::new(Added { head: Address::parse("pack/1.6").unwrap(), kind: "up".into(), after: Some(2) }));
    let area = What::NewArea(Box::new(NewArea {
        id: crate::trade::address::AreaId::parse("loft").unwrap(),
        name: "Loft".into(),
        system: crate::trade::register::System::Wet,
        in_service: None,
        setting: Vec::new(),
        ceiling_max: None,
        lines: vec!["2 up".into(), "1 qr".into()],
    }));
    let mut state = fold(vec![entry(1, "ines", "2026", begin("2026-11-25"))]);
    state.apply(entry(2, "ines", "2026", added));
    state.apply(entry(3, "ines", "2026", area));
    let order: Vec<_> = act::heads_in_order(&state, 0).take(4).map(|h| state.address(h).unwrap().to_string()).collect();
    assert_eq!(order, ["pack/1.1", "pack/1.2", "pack/1.6", "pack/1.3"]);
    assert_eq!(state.counts().heads, 12 + 1 + 3);
    let removed = What::Removed(Box::new(Removed { head: heads("loft/1"), why: None }));
    state.apply(entry(4, "ines", "2026", removed));
    assert_eq!(state.counts().heads, 14);
    state.apply(entry(5, "ines", "2026", What::Retract(id(2))));
    assert_eq!(state.counts().heads, 13);
    assert!(state.layout().find(&Address::parse("pack/1.6").unwrap()).is_none());
}

#[test]
fn a_sweep_takes_only_heads_that_nothing_was_recorded_about() {
    let state = fold(vec![
        entry(1, "ines", "2026", begin("2026-11-25")),
        entry(2, "ines", "2026", saw("pack/1.3", "paint", "element", "trace")),
    ]);
    let (count, ranges) = act::sweep(&state, 0, act::Reach::Area);
    assert_eq!(count, 8);
    let ranges: Vec<_> = ranges.iter().map(ToString::to_string).collect();
    assert_eq!(ranges, ["pack/1.1..1.2", "pack/1.4..2.5"]);
    let (count, ranges) = act::sweep(&state, 0, act::Reach::Line(1));
    assert_eq!((count, ranges.len()), (4, 2));
}

#[test]
fn a_leak_is_an_impairment_or_worse_than_noncritical_and_is_listed() {
    let state = fold(vec![
        entry(1, "ines", "2026", begin("2026-11-25")),
        entry(2, "ines", "2026", saw("pack/1.3", "strap", "whole", "full")),
    ]);
    let class = state.judgement(head(&state, "pack/1.3")).and_then(|j| j.class);
    assert_eq!(class, Some(Class::Impairment));
    assert_eq!(state.impaired().count(), 1);
}

// ---- laws ----

fn any_what() -> impl Strategy<Value = What> {
    let place = prop_oneof![
        Just("pack/1.1"),
        Just("pack/1.2"),
        Just("pack/2.4"),
        Just("dock/1.1"),
        Just("pack/1"),
        Just("pack"),
        Just("pack/1.2..2.1"),
        Just("dock"),
        Just("pack/9.1"),
        Just("pack/1.6"),
    ];
    let sign = prop_oneof![Just("paint"), Just("corrosion"), Just("leak"), Just("moss"), Just("wrong-rating")];
    let part = prop_oneof![Just("element"), Just("frame"), Just("seal"), Just("whole")];
    let extent = prop_oneof![Just("trace"), Just("light"), Just("full")];
    prop_oneof![
        4 => place.clone().prop_map(seen),
        6 => (place.clone(), sign, part, extent).prop_map(|(h, s, p, e)| saw(h, s, p, e)),
        1 => place.clone().prop_map(|h| What::Unsure(Box::new(Unsure { head: heads(h), why: UnsureWhy::Light, how: How::Eye, note: None }))),
        1 => place.clone().prop_map(|h| What::Unreached(Box::new(Unreached { heads: heads(h), why: UnreachedWhy::Height, denied_by: None, note: None }))),
        2 => (place.clone(), prop_oneof![Just(Deed::Replaced), Just(Deed::Cleaned), Just(Deed::Corrected)]).prop_map(|(h, d)| did(h, d)),
        1 => (place.clone(), 1u128..30).prop_map(|(h, of)| What::Gone(Box::new(Gone { head: heads(h), of: id(of), note: None }))),
        1 => place.clone().prop_map(|h| What::Removed(Box::new(Removed { head: heads(h), why: None }))),
        1 => (place, prop_oneof![Just("up"), Just("qr"), Just("new")]).prop_map(|(h, k)| What::IsKind(Box::new(IsKind { head: heads(h), kind: k.into() }))),
        1 => Just(What::Added(Box::new(Added { head: Address::parse("pack/1.6").unwrap(), kind: "up".into(), after: None }))),
        4 => (0u128..30).prop_map(|n| What::Retract(id(n))),
        1 => (1u128..30).prop_map(|n| What::Settle(Box::new(Settle { head: heads("pack/1.1"), stands: id(n), because: "b".into() }))),
        1 => prop_oneof![Just("2025-01-01"), Just("2026-01-01")].prop_map(begin),
    ]
}

fn any_entries() -> impl Strategy<Value = Vec<Entry>> {
    let one = (any_what(), prop_oneof![Just("ines"), Just("osk")], prop_oneof![1 => Just("2025"), 4 => Just("2026")]);
    prop::collection::vec(one, 0..30).prop_map(|list| {
        let mut entries = vec![entry(0, "ines", "2025", begin("2025-01-01"))];
        for (n, (what, by, round)) in list.into_iter().enumerate() {
            entries.push(entry(n as u128 + 1, by, round, what));
        }
        entries
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn state_does_not_depend_on_the_order_in_which_entries_arrive(entries in any_entries(), seed in any::<u64>()) {
        let mut shuffled = entries.clone();
        let mut x = seed | 1;
        for i in (1..shuffled.len()).rev() {
            x = x.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            shuffled.swap(i, (x >> 33) as usize % (i + 1));
        }
        // A line that stands twice counts once.
        shuffled.extend(entries.first().cloned());
        prop_assert_eq!(picture(&fold(entries)), picture(&fold(shuffled)));
    }

    #[test]
    fn one_entry_at_a_time_gives_what_all_at_once_gives(entries in any_entries()) {
        let whole = fold(entries.clone());
        let mut step = State::fold(register(), Vec::new(), judge(), None);
        for entry in entries {
            step.apply(entry);
        }
        let latest = State::fold(register(), step.entries().to_vec(), judge(), step.present_round().map(|r| &*r.name));
        prop_assert_eq!(picture(&step), picture(&latest));
        if whole.present_round().map(|r| r.name.clone()) == step.present_round().map(|r| r.name.clone()) {
            prop_assert_eq!(picture(&step), picture(&whole));
        }
    }

    #[test]
    fn counts_are_what_counting_the_heads_gives(entries in any_entries()) {
        let state = fold(entries);
        let (mut seen, mut unseen, mut carried, mut ruled, mut advisory) = (0, 0, 0, 0, 0);
        for area in 0..state.register().areas.len() {
            for h in act::heads_in_order(&state, u16::try_from(area).unwrap()) {
                seen += usize::from(state.status(h) == Status::Seen);
                unseen += usize::from(state.status(h) == Status::Unseen);
                carried += usize::from(state.has_open_carried(h));
                ruled += usize::from(state.judgement(h).is_some());
                let story = state.story(h);
                let open = || story.findings.iter().filter(|f| f.fate == Fate::Open).map(|f| f.judgement);
                let asked = open().any(|j| j.ruling > Ruling::Keep && j.class != Some(Class::Advisory));
                let advised = open().any(|j| j.ruling > Ruling::Keep);
                advisory += usize::from(advised && !asked && story.unsure.is_none());
                prop_assert!(state.status(h) != Status::Unseen || state.judgement(h).is_none());
            }
        }
        let counts = state.counts();
        prop_assert_eq!((seen, unseen, carried), (counts.seen, counts.unseen, counts.carried));
        prop_assert_eq!(ruled, counts.rulings.iter().sum::<usize>() + counts.advisory);
        prop_assert_eq!(advisory, counts.advisory);
        prop_assert_eq!(counts.carried, state.open_carried().count());
    }

    #[test]
    fn taking_back_and_bringing_back_leaves_things_as_they_were(entries in any_entries(), pick in any::<prop::sample::Index>()) {
        let mut state = fold(entries.clone());
        let before = picture(&state);
        let target = &entries[pick.index(entries.len())];
        let (round, target) = (target.round.to_string(), target.id);
        state.apply(entry(90, "ines", &round, What::Retract(target)));
        state.apply(entry(91, "ines", &round, What::Retract(id(90))));
        let strip = |t: &str| t.lines().filter(|l| !l.contains("Round {") ).map(str::to_owned).collect::<Vec<_>>();
        prop_assert_eq!(strip(&before), strip(&picture(&state)));
    }
}
