//! The sample sites as they are committed: made by the generator from their registers, sound to the last sum, and saying
//! what a newcomer is told they say.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod boathouse;
mod cabinets;
mod cannery;
mod lots;
mod script;
mod sites;

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

use chrono::{Datelike as _, NaiveDate};
use headround::bench::judge::Verdict;
use headround::record::digest::{self, Lines};
use headround::record::scan::{self, Scan, Tail};
use headround::round::act;
use headround::round::entry::{Entry, What};
use headround::round::layout::HeadIx;
use headround::round::lots::{self as lot, Stage};
use headround::round::state::State;
use headround::round::stock::{self, Ledger, Matter};
use headround::round::story::Answer;
use headround::rules::builtin;
use headround::rules::judge::Judge;
use headround::rules::model::{Class, Ruling};
use headround::trade::address::{Address, AreaId};
use headround::trade::{register_text, register_write};

fn path(file: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("sample-sites").join(file)
}

fn text(file: &str) -> String {
    std::fs::read_to_string(path(file)).expect(file)
}

fn read(file: &str) -> Scan {
    scan::scan(text(file).as_bytes(), file).unwrap()
}

fn state(scan: Scan, present: Option<&str>) -> State {
    let register = scan.register.unwrap();
    let set = builtin::load(&register.site.rules).expect("the rule set");
    let judge = Judge::new(set, &register.recalled);
    State::fold(register, scan.entries, judge, present)
}

fn head(state: &State, at: &str) -> HeadIx {
    state.layout().find(&Address::parse(at).unwrap()).expect(at)
}

#[test]
fn the_committed_files_are_what_the_generator_makes_of_their_registers() {
    for site in sites::ALL {
        let old = text(site.file);
        let new = sites::remake(site, &old);
        if std::env::var_os("HEADROUND_UPDATE").is_some() {
            std::fs::write(path(site.file), &new).unwrap();
            continue;
        }
        assert_eq!(new, old, "{}: run 'HEADROUND_UPDATE=1 cargo test --test samples'", site.file);
    }
}

#[test]
fn nothing_is_wrong_with_the_samples() {
    for site in sites::ALL {
        let scan = read(site.file);
        let told: Vec<String> = scan.findings.iter().map(|f| f.diagnostic.to_string()).collect();
        assert!(told.is_empty(), "{told:?}");
        assert_eq!((scan.counts.by_hand, scan.counts.broken, scan.counts.copies), (0, 0, 0));
        assert_eq!(scan.counts.clean, scan.entries.len());
        assert_eq!(scan.tail, Tail::Whole);
        assert!(scan.register_marked);
        let register = scan.register.clone().unwrap();
        let (again, complaints) =
            register_text::read(&headround::diag::Source::new("again", register_write::write(&register)));
        assert!(complaints.is_empty(), "{complaints:?}");
        assert_eq!(again, Some(register));
        assert_eq!(state(scan, None).problems(), []);
    }
}

#[test]
fn every_sighting_is_one_the_rule_set_decides() {
    for site in sites::ALL {
        let state = state(read(site.file), None);
        for entry in state.entries() {
            if let What::Saw(saw) = &entry.what {
                assert!(state.sighting(saw).is_some(), "{saw:?}");
            }
        }
    }
}

#[test]
fn the_cannerys_signed_rounds_are_complete_and_their_digests_hold() {
    let scan = read("cannery.site.yaml");
    let signed: Vec<Entry> = scan.entries.iter().filter(|e| matches!(e.what, What::Signoff(_))).cloned().collect();
    let [earlier, last] = &signed[..] else { panic!("{signed:?}") };
    for (signoff, round, later) in [(earlier, "2024", 9), (last, "2025", 22)] {
        let lines = digest::collect(text("cannery.site.yaml").as_bytes(), round).unwrap();
        let verdict = lines.verify(signoff).unwrap();
        assert_eq!(verdict.lines, Lines::Unchanged, "{round}");
        assert_eq!((verdict.later, verdict.joined, verdict.register_same), (later, 0, Some(true)), "{round}");
        let before = state(read("cannery.site.yaml"), Some(round));
        let obstacles = act::obstacles(&before);
        assert!(obstacles.signed, "{round}");
        let open = (obstacles.unseen.len(), obstacles.carried.len(), obstacles.disagreements.len());
        assert_eq!(open, (0, 0, 0), "{round}");
    }
}

#[test]
fn the_cannerys_present_round_is_half_walked_and_shows_every_sort_of_thing() {
    let state = state(read("cannery.site.yaml"), None);
    assert_eq!(&*state.present_round().unwrap().name, "2026");
    let done: BTreeMap<&str, bool> = state
        .register()
        .areas
        .iter()
        .enumerate()
        .map(|(ix, a)| (a.id.as_str(), state.area_counts(u16::try_from(ix).unwrap()).complete()))
        .collect();
    let want = [
        ("boiler", true),
        ("canteen", false),
        ("cold", false),
        ("dock", false),
        ("label", true),
        ("loft", false),
        ("office", true),
        ("pack", false),
        ("retort", true),
        ("void", true),
    ];
    assert_eq!(done, BTreeMap::from(want));
    let counts = state.counts();
    assert!((300..=600).contains(&counts.heads), "{counts:?}");
    assert!(counts.seen > 100 && counts.unseen > 100 && counts.unreached > 30 && counts.unsure >= 4, "{counts:?}");
    assert_eq!((counts.impaired, counts.disagreements), (1, 1), "{counts:?}");

    let judged = |at: &str| state.judgement(head(&state, at)).map(|j| (j.ruling, j.class));
    assert_eq!(judged("retort/1.4"), Some((Ruling::Replace, Some(Class::Impairment))));
    assert_eq!(judged("label/2.2"), Some((Ruling::Replace, Some(Class::Critical))));
    assert_eq!(judged("pack/4.6"), Some((Ruling::Watch, Some(Class::Noncritical))));
    assert_eq!(judged("retort/5.3"), Some((Ruling::Replace, Some(Class::Advisory))));
    assert_eq!(judged("retort/2.7").map(|(r, _)| r), Some(Ruling::Look));
    assert_eq!(judged("pack/1.12"), Some((Ruling::Keep, None)), "the slip was taken back");
    assert_eq!(judged("loft/1.1"), None);
    assert!(state.has_disagreement(head(&state, "pack/2.9")));

    let answer = |at: &str| state.story(head(&state, at)).carried.first().map(|c| c.answer);
    assert!(matches!(answer("office/3.2"), Some(Answer::Still(_))));
    assert!(matches!(answer("retort/1.4"), Some(Answer::Worse(_))));
    assert!(matches!(answer("label/1.3"), Some(Answer::Gone(_))));
    assert!(matches!(answer("canteen/1.3"), Some(Answer::Open)));
    assert!(state.story(head(&state, "canteen/1.3")).carried[0].said_fixed.is_some());
    assert!(answer("office/2.4").is_none(), "mended and looked at within its round");
    let notices = state.entries().iter().filter(|e| matches!(e.what, What::Notice(_))).count();
    assert_eq!(notices, 1);
}

/// What a cabinet holds of a kind: all heads, and those that must not be used.
fn held(state: &State, ledger: &Ledger, cabinet: &str, kind: &str) -> Option<(i64, i64)> {
    let shelf = ledger.shelf(&AreaId::parse(cabinet).unwrap()).expect(cabinet);
    let holding = shelf.holding(state.register().kind_named(kind).expect(kind));
    holding.map(|h| (h.held, h.unfit))
}

#[test]
fn the_cannerys_cabinets_show_every_sort_of_thing() {
    let state = state(read("cannery.site.yaml"), None);
    let ledger = stock::ledger(&state);
    let now = |cabinet: &str, kind: &str| held(&state, &ledger, cabinet, kind);
    assert_eq!(now("riser", "qr-pendent-24"), Some((4, 0)), "five were counted, one hangs at pack/1.7 since");
    assert_eq!(now("riser", "int-upright"), Some((1, 1)), "the one that is left must not be used");
    assert_eq!(now("riser", "sr-pendent"), Some((2, 0)));
    assert_eq!(now("dock", "dock-upright"), Some((4, 0)));
    assert_eq!(now("dock", "qr-pendent-24"), None, "neither counted nor put in");

    let differences: Vec<_> = ledger.shelves.iter().flat_map(|s| &s.differences).collect();
    let [difference] = differences[..] else { panic!("{differences:?}") };
    assert_eq!((difference.expected, difference.counted), (6, 5));
    assert!(ledger.shelves.iter().all(|s| s.overdrawn.is_empty()));
    let years: BTreeSet<i32> = ledger
        .shelves
        .iter()
        .flat_map(|s| &s.movements)
        .filter_map(|m| state.entry(m.entry).map(|e| e.at.date_naive().year()))
        .collect();
    assert_eq!(years, BTreeSet::from([2024, 2025, 2026]));

    let today = NaiveDate::from_ymd_opt(2026, 11, 25).unwrap();
    let required = stock::required(&state, &ledger, today);
    let ruling = required.ruling().expect("a reading that rules");
    assert_eq!((required.installed, ruling.total), (394, 12));
    let type_of = |kind: &str| {
        let ix = state.register().kind_named(kind).expect(kind);
        required.row_of(ix).expect(kind)
    };
    assert_eq!((type_of("int-upright").held, type_of("int-upright").short()), (0, 1));
    assert_eq!((type_of("qr-pendent-24").held, type_of("qr-pendent-24").installed), (4, 58));
    assert_eq!((type_of("sr-pendent").installed, type_of("sr-pendent").useless), (0, 2));
    assert!(type_of("dry-pendent").excused && !type_of("esfr-pendent").excused);

    let found: BTreeSet<Matter> = stock::findings(&state, &ledger, &required, today).iter().map(|f| f.matter).collect();
    for matter in [
        Matter::Type,
        Matter::NotInstalled,
        Matter::Unfit,
        Matter::Wrench,
        Matter::List,
        Matter::NotCounted,
        Matter::Difference,
        Matter::DryLengths,
    ] {
        assert!(found.contains(&matter), "{matter}: {found:?}");
    }

    let condemned: BTreeSet<String> =
        stock::condemned(&state).iter().filter_map(|c| Some(state.address(c.head)?.to_string())).collect();
    assert!(condemned.contains("retort/1.4"), "no spare of its type may be used: {condemned:?}");
    assert!(condemned.contains("label/2.2"), "a spare of its type lies in the riser's cabinet: {condemned:?}");
    assert!(!condemned.contains("pack/1.7"), "replaced: {condemned:?}");
}

#[test]
fn the_cannerys_lots_are_at_every_stage_and_their_draws_can_be_made_again() {
    let state = state(read("cannery.site.yaml"), None);
    let list = lot::lots(&state);
    let stages: Vec<(&str, Stage)> = list.iter().map(|l| (l.id.as_str(), l.outcome.stage)).collect();
    assert_eq!(stages, [("roof", Stage::Passed), ("dock", Stage::Condemned), ("pack-quick", Stage::Drawn)]);
    let verdicts: Vec<_> = list[1].samples.iter().filter_map(|s| s.judged.as_ref()).map(|j| j.verdict).collect();
    assert_eq!(verdicts, [Verdict::InTime, Verdict::InTime, Verdict::Slow, Verdict::InTime]);
    let failure = state.failure(head(&state, "dock/1.1")).expect("the dock is condemned");
    assert_eq!(failure.class, Some(Class::Critical));
    for fine in ["dock/1.5", "dock/1.9", "dock/2.4", "dock/3.1"] {
        assert!(state.failure(head(&state, fine)).is_none(), "{fine}");
    }
    for lot in &list {
        for at in &lot.draws {
            let (entry, drawn) = lot::drawn(&state, *at).expect("a draw");
            let mut scan = read("cannery.site.yaml");
            scan.entries.retain(|e| e.id < entry.id);
            let then = self::state(scan, Some(&entry.round));
            let formed = lot::lots(&then).into_iter().find(|l| l.id == lot.id).expect("the lot");
            let eligible = lot::eligible(&then, &formed, drawn.unseen).heads;
            let mut kinds = formed.kinds.clone();
            kinds.sort_unstable();
            kinds.dedup();
            let again = lot::draw(&then, &eligible, &kinds, drawn.asked, drawn.seed.expect("a seed"));
            let again: Vec<String> =
                again.heads.iter().filter_map(|h| then.address(*h)).map(|a| a.to_string()).collect();
            let recorded: Vec<String> = drawn.picks.iter().map(|p| p.head.to_string()).collect();
            assert_eq!((again, eligible.len()), (recorded, drawn.eligible as usize), "{}", lot.id);
        }
    }
}

#[test]
fn the_boathouse_is_begun_and_nothing_is_recorded_in_it() {
    let state = state(read("boathouse.site.yaml"), None);
    let counts = state.counts();
    assert_eq!((counts.heads, counts.unseen), (20, 20));
    assert!(state.present_round().unwrap().begin.is_some());
    assert_eq!(state.entries().len(), 1);
}
