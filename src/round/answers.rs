//! What screens, commands and reports ask of a state.

use std::sync::Arc;

use super::counts::Counts;
use super::entry::{Entry, Id};
use super::layout::{HeadIx, Layout};
use super::rounds::{Round, Rounds};
use super::state::{EntryIx, Problem, State, Status};
use crate::rules::judge::{Judge, Judgement};
use crate::trade::address::Address;
use crate::trade::register::Register;

impl State {
    /// The register, with what was found in the field.
    #[must_use]
    pub fn register(&self) -> &Register {
        &self.register
    }

    /// Where the heads are.
    #[must_use]
    pub fn layout(&self) -> &Layout {
        &self.layout
    }

    /// The compiled rule set.
    #[must_use]
    pub fn judge(&self) -> &Judge {
        &self.judge
    }

    /// Every entry, in id order.
    #[must_use]
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// An entry.
    #[must_use]
    pub fn entry(&self, ix: EntryIx) -> Option<&Entry> {
        self.entries.get(ix.at())
    }

    /// The entry with an id.
    #[must_use]
    pub fn find_entry(&self, id: Id) -> Option<EntryIx> {
        self.entries.binary_search_by_key(&id, |e| e.id).ok().and_then(|i| u32::try_from(i).ok()).map(EntryIx)
    }

    /// The rounds of the site.
    #[must_use]
    pub fn rounds(&self) -> &Rounds {
        &self.rounds
    }

    /// The round one looks from.
    #[must_use]
    pub fn present_round(&self) -> Option<&Round> {
        self.present.and_then(|ix| self.rounds.get(ix))
    }

    /// What entries say that the site does not bear out.
    #[must_use]
    pub fn problems(&self) -> &[Problem] {
        &self.problems
    }

    /// Counts of one area.
    #[must_use]
    pub fn area_counts(&self, area: u16) -> Counts {
        self.counts.get(usize::from(area)).copied().unwrap_or_default()
    }

    /// Counts of the whole site.
    #[must_use]
    pub fn counts(&self) -> Counts {
        let mut total = Counts::default();
        for counts in &self.counts {
            total.add(counts);
        }
        total
    }

    /// How far one has come with a head.
    #[must_use]
    pub fn status(&self, ix: HeadIx) -> Status {
        self.heads.get(ix.at()).map_or(Status::Unseen, |h| h.status)
    }

    /// What follows from what was seen on a head; `None` while nothing was recorded about it.
    #[must_use]
    pub fn judgement(&self, ix: HeadIx) -> Option<Judgement> {
        self.heads.get(ix.at()).and_then(|h| h.judgement)
    }

    /// What the register alone says of a head: a rating that does not suit the ceiling, a recalled number.
    #[must_use]
    pub fn standing(&self, ix: HeadIx) -> Option<Judgement> {
        let head = self.layout.head(ix)?;
        let profile = self.profiles.get(&(head.area, head.kind))?;
        Some(self.judge.standing(*profile))
    }

    /// Whether an open finding of an earlier round has no answer yet.
    #[must_use]
    pub fn has_open_carried(&self, ix: HeadIx) -> bool {
        self.heads.get(ix.at()).is_some_and(|h| h.carried)
    }

    /// Whether people disagree on a head and nobody has settled it.
    #[must_use]
    pub fn has_disagreement(&self, ix: HeadIx) -> bool {
        self.heads.get(ix.at()).is_some_and(|h| h.disagreement)
    }

    /// Heads with a ruling that asks for something, or mended in this round, by index.
    pub fn ruled(&self) -> impl Iterator<Item = HeadIx> + '_ {
        self.ruled.iter().copied()
    }

    /// The standing notices of the present round, in order.
    pub fn notices(&self) -> impl Iterator<Item = &Entry> + '_ {
        self.notices.iter().filter(|ix| self.stands(**ix)).filter_map(|ix| self.entry(*ix))
    }

    /// The entry of the present round that first said of a head what is an open impairment of it.
    #[must_use]
    pub fn impaired_by(&self, ix: HeadIx) -> Option<&Entry> {
        self.heads.get(ix.at()).and_then(|h| h.impaired).and_then(|e| self.entry(e))
    }

    /// Heads with an open impairment.
    pub fn impaired(&self) -> impl Iterator<Item = HeadIx> + '_ {
        self.impaired.iter().copied()
    }

    /// Heads whose findings of an earlier round have no answer yet.
    pub fn open_carried(&self) -> impl Iterator<Item = HeadIx> + '_ {
        self.open_carried.iter().copied()
    }

    /// Heads on which people disagree.
    pub fn disagreeing(&self) -> impl Iterator<Item = HeadIx> + '_ {
        self.disagreeing.iter().copied()
    }

    /// The last standing entry of this round that says a head was seen in order.
    #[must_use]
    pub fn seen_entry(&self, ix: HeadIx) -> Option<EntryIx> {
        self.heads.get(ix.at()).and_then(|h| h.seen.some())
    }

    /// A head's address.
    #[must_use]
    pub fn address(&self, ix: HeadIx) -> Option<Address> {
        let head = self.layout.head(ix)?;
        let area = self.register.areas.get(usize::from(head.area))?;
        Some(Address { area: area.id.clone(), spot: head.spot })
    }

    /// People who wrote entries, in the order of their first.
    #[must_use]
    pub fn people(&self) -> &[Arc<str>] {
        &self.people
    }
}
