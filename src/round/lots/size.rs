//! How many heads a lot's sample takes, by the rule set.

use std::collections::BTreeMap;

use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::rules::duties::{Counts, Hazard, SampleMatter, SampleReading};
use crate::trade::register::{KindIx, Occupancy};

/// How many heads a sample takes, and why so many.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Asked {
    /// So many.
    pub heads: u32,
    /// The reading of the set that asks; `None`: it names no number, and nothing is asked.
    pub reading: Option<String>,
    /// Its clause; empty where no reading asks.
    pub clause: String,
    /// How it comes about, in a sentence.
    pub because: String,
    /// How many kinds the lot holds.
    pub kinds: u32,
}

/// How many of these heads, each with its kind, a sample takes by the reading that rules; with several for different hazards the one for the
/// areas' hazard, and the strictest where that is not known.
#[must_use]
pub fn asked(state: &State, made_up: impl Iterator<Item = (HeadIx, KindIx)>) -> Asked {
    let mut by_kind: BTreeMap<KindIx, u32> = BTreeMap::new();
    let mut heads = Vec::new();
    for (head, kind) in made_up {
        *by_kind.entry(kind).or_default() += 1;
        heads.push(head);
    }
    let heads = heads.as_slice();
    let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    let (lot, kinds) = (count(heads.len()), count(by_kind.len()));
    let set = state.judge().set();
    let hazards = hazards(state, heads);
    let ruling = set.duties.samples.iter().filter(|r| r.rules && fits(r.hazard, &hazards));
    let sized = ruling.map(|r| (of(r, lot, count(state.counts().heads), &by_kind), r));
    let Some((size, reading)) = sized.max_by_key(|(n, _)| *n) else {
        return Asked {
            heads: 0,
            reading: None,
            clause: String::new(),
            because: "the rule set names no size of a sample".to_owned(),
            kinds,
        };
    };
    let every_kind = set.duties.sample_rules.iter().any(|r| r.matter == SampleMatter::RepresentedKinds);
    let (heads, mut because) = match reading.counts {
        Counts::Lot => (size, format!("{} heads of {lot}: {}", size, reading.title)),
        Counts::Site => (size, format!("{} heads, by the whole site: {}", size, reading.title)),
        Counts::Kind => (size, format!("{} heads, kind by kind: {}", size, reading.title)),
    };
    let heads = if every_kind && kinds > heads {
        because = format!("{kinds} heads, because every one of {kinds} kinds stands in the sample");
        kinds
    } else {
        heads
    };
    let counted = match reading.counts {
        Counts::Lot => lot,
        Counts::Site => count(state.counts().heads),
        Counts::Kind => by_kind.values().copied().max().unwrap_or(0),
    };
    if let Some(beyond) = reading.beyond(counted) {
        because = format!("{because}. {}", beyond.trim_end_matches('.'));
    }
    Asked { heads, reading: Some(reading.id.clone()), clause: reading.basis.clause.clone(), because, kinds }
}

fn of(reading: &SampleReading, lot: u32, site: u32, by_kind: &BTreeMap<KindIx, u32>) -> u32 {
    match reading.counts {
        Counts::Lot => reading.size(lot),
        Counts::Site => reading.size(site).min(lot),
        Counts::Kind => by_kind.values().map(|n| reading.size(*n)).fold(0, u32::saturating_add),
    }
}

fn hazards(state: &State, heads: &[HeadIx]) -> Vec<Option<Occupancy>> {
    let mut list: Vec<Option<Occupancy>> = Vec::new();
    let mut last = None;
    for area in heads.iter().filter_map(|h| state.layout().head(*h)).map(|h| h.area) {
        if last == Some(area) {
            continue;
        }
        last = Some(area);
        let hazard = state.register().areas.get(usize::from(area)).and_then(|a| a.hazard);
        if !list.contains(&hazard) {
            list.push(hazard);
        }
    }
    list
}

fn fits(hazard: Hazard, of_areas: &[Option<Occupancy>]) -> bool {
    of_areas.iter().any(|of| match (hazard, of) {
        (Hazard::Any, _) | (_, None) => true,
        (Hazard::Light, Some(of)) => *of == Occupancy::Light,
        (Hazard::Ordinary, Some(of)) => *of == Occupancy::Ordinary,
        (Hazard::High, Some(of)) => *of == Occupancy::High,
    })
}
