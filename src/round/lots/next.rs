//! What a lot waits for: heads that have yet to be drawn, and the next step in words.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::{Lot, Stage};
use crate::bench::judge::Verdict;
use crate::round::due;
use crate::round::state::State;
use crate::rules::duties::SampleMatter;
use crate::trade::register::KindIx;

/// What has yet to be drawn for a lot.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wanted {
    /// So many heads: what the sample takes, less those drawn whose test is not void.
    pub heads: u32,
    /// Kinds that must stand in the sample, and of which no head is drawn whose test is not void.
    pub kinds: Vec<KindIx>,
}

/// What has yet to be drawn for a lot; as many heads as there are kinds, where those are more.
#[must_use]
pub fn wanted(state: &State, lot: &Lot) -> Wanted {
    let rules = &state.judge().set().duties.sample_rules;
    let every_kind = rules.iter().any(|r| r.matter == SampleMatter::RepresentedKinds);
    let void = |v: Option<Verdict>| v == Some(Verdict::Void);
    let good = lot.samples.iter().filter(|s| !void(s.judged.as_ref().map(|j| j.verdict)));
    let spoken: BTreeSet<KindIx> = good.clone().map(|s| s.kind).collect();
    let kinds: BTreeSet<KindIx> = lot.kinds.iter().copied().filter(|_| every_kind).collect();
    let kinds: Vec<KindIx> = kinds.difference(&spoken).copied().collect();
    let drawn = u32::try_from(good.count()).unwrap_or(u32::MAX);
    let heads = lot.outcome.asked.heads.saturating_sub(drawn).max(u32::try_from(kinds.len()).unwrap_or(u32::MAX));
    Wanted { heads, kinds }
}

/// How many of its heads a failed test condemns that still hang there.
#[must_use]
pub fn condemned(state: &State, lot: &Lot) -> usize {
    if lot.outcome.failure.is_none() {
        return 0;
    }
    lot.heads.iter().filter(|h| state.failure(**h).is_some()).count()
}

/// The first day on which one of its heads falls due again after it passed; `None`: it has not passed, or nothing more is asked.
#[must_use]
pub fn next_due(state: &State, lot: &Lot) -> Option<NaiveDate> {
    let on = lot.outcome.on.filter(|_| lot.outcome.stage == Stage::Passed)?;
    let mut met = BTreeSet::new();
    let mut soonest = None;
    for head in lot.heads.iter().filter(|h| !state.replaced_after(**h, lot.entry)) {
        let Some(there) = state.layout().head(*head).filter(|h| !h.removed) else { continue };
        // Only a head that was replaced before has a day of its own.
        let own = state.replacements(*head).next();
        if met.insert((there.area, there.kind, own))
            && let Some(day) = due::of_head(state, *head, Some(on)).and_then(|d| d.on)
        {
            soonest = Some(soonest.map_or(day, |known: NaiveDate| known.min(day)));
        }
    }
    soonest
}

/// The next step with a lot, without a full stop.
#[must_use]
pub fn next_step(state: &State, lot: &Lot) -> String {
    let n = |n: usize, one: &str| format!("{n} {one}{}", if n == 1 { "" } else { "s" });
    let count = |n: u32| n as usize;
    let wanted = count(wanted(state, lot).heads);
    match lot.outcome.stage {
        Stage::Formed | Stage::Undecided if wanted > 0 => {
            let more = if lot.samples.is_empty() { "" } else { "more " };
            format!("draw {wanted} {more}head{}", if wanted == 1 { "" } else { "s" })
        }
        Stage::Formed => "ask the laboratory and the authority how many heads are enough, and draw them".to_owned(),
        Stage::Undecided => "ask the laboratory and the authority, and write down what they conclude".to_owned(),
        Stage::Drawn => {
            let hang = lot.samples.iter().filter(|s| s.taken.is_none() && s.test.is_none()).count();
            format!("take down {}, put replacements in, and write that down", n(hang, "head"))
        }
        Stage::TakenDown => "hand the sample over to the bench".to_owned(),
        Stage::AtBench => format!("write down what the bench saw of {}", n(count(lot.outcome.open), "head")),
        Stage::Passed => match next_due(state, lot) {
            Some(day) => format!("due again on {day}"),
            None => "nothing; the rule set asks for no further test".to_owned(),
        },
        Stage::Condemned => match condemned(state, lot) {
            0 => "nothing; every head that it condemned is replaced or gone".to_owned(),
            left => format!("replace {}", n(left, "head")),
        },
    }
}
