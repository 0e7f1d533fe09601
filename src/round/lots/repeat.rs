//! A draw made again from the record as it stood then, to see whether the same heads come out.

use std::sync::Arc;

use super::{Eligible, Lot, drawn, eligible, lots, wanted};
use crate::round::entry::DrawnBy;
use crate::round::layout::HeadIx;
use crate::round::state::{EntryIx, State};
use crate::rules::judge::Judge;
use crate::trade::address::Address;

/// A recorded draw, and what comes out when it is made again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Repeated {
    /// The heads that the entry names, in its order.
    pub recorded: Vec<Address>,
    /// Those that come out now, in the order drawn.
    pub again: Vec<Address>,
    /// Which heads could be drawn then.
    pub eligible: Eligible,
}

impl Repeated {
    /// Whether the same heads come out in the same order.
    #[must_use]
    pub fn is_same(&self) -> bool {
        self.recorded == self.again
    }
}

impl State {
    /// The record as it stood before an entry, seen from the round of that entry and judged by the set that judges now. An
    /// entry that was merged in later from another copy counts by its own time.
    #[must_use]
    pub fn before(&self, ix: EntryIx) -> Option<Self> {
        let round = Arc::clone(&self.entry(ix)?.round);
        let entries = self.entries.get(..ix.at())?.to_vec();
        let judge = Judge::new(Arc::clone(self.judge.set()), &self.base.recalled);
        Some(Self::fold((*self.base).clone(), entries, judge, Some(&round)))
    }
}

impl Lot {
    /// Its standing draws by that seed, in order: a second one is refused, and a record may hold several all the same.
    #[must_use]
    pub fn draws_by(&self, state: &State, seed: u32) -> Vec<EntryIx> {
        self.draws.iter().copied().filter(|ix| drawn(state, *ix).is_some_and(|(_, d)| d.seed == Some(seed))).collect()
    }

    /// Why a draw by that seed is refused, without a full stop; `None`: no standing draw has it.
    #[must_use]
    pub fn seed_taken(&self, state: &State, seed: u32) -> Option<String> {
        let first = self.draws_by(state, seed).first().and_then(|ix| state.entry(*ix))?;
        let on = first.at.date_naive();
        Some(format!(
            "seed {seed} drew for lot '{}' already, on {on}: each draw of a lot has a seed of its own",
            self.id
        ))
    }
}

/// Makes a recorded draw by chance again; `None`: a person chose the heads, or it is no draw of the lot.
#[must_use]
pub fn repeat(state: &State, lot: &Lot, draw: EntryIx) -> Option<Repeated> {
    let (_, entry) = drawn(state, draw).filter(|(_, d)| d.lot == lot.id && d.way == DrawnBy::Random)?;
    let then = state.before(draw)?;
    let was = lots(&then).into_iter().find(|l| l.id == lot.id)?;
    let eligible = eligible(&then, &was, entry.unseen);
    let want = u32::try_from(entry.picks.len()).unwrap_or(u32::MAX);
    let kinds = wanted(&then, &was).kinds;
    let choice = super::draw(&then, &eligible.heads, &kinds, want, entry.seed?);
    let address = |head: &HeadIx| then.address(*head);
    Some(Repeated {
        recorded: entry.picks.iter().map(|p| p.head.clone()).collect(),
        again: choice.heads.iter().filter_map(address).collect(),
        eligible,
    })
}
