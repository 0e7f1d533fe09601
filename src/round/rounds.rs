//! The rounds of a site: each dated walk with its begin, its people and its sign-off.

use std::collections::HashMap;
use std::sync::Arc;

use chrono::NaiveDate;

use super::entry::{Begin, Entry, Id, Signoff, What};

/// The index of a round in [`Rounds`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RoundIx(pub u32);

/// One dated walk of the site.
#[derive(Clone, Debug, PartialEq)]
pub struct Round {
    /// Its name.
    pub name: Arc<str>,
    /// How it began, if an entry says so.
    pub begin: Option<Begin>,
    /// Every begin of a person who took part, with their short name.
    pub inspectors: Vec<(Arc<str>, Begin)>,
    /// Its first and last entry.
    pub span: (Id, Id),
    /// How many entries it has.
    pub entries: usize,
    /// People who wrote in it.
    pub people: Vec<Arc<str>>,
    /// The rule set that its begins name last, those after the sign-off left out.
    rules: Option<String>,
    /// Its first standing sign-off.
    pub signoff: Option<(Id, Signoff)>,
    /// Entries made after the sign-off.
    pub late: Vec<Id>,
    date: NaiveDate,
}

impl Round {
    fn new(entry: &Entry) -> Self {
        Self {
            name: Arc::clone(&entry.round),
            begin: None,
            inspectors: Vec::new(),
            span: (entry.id, entry.id),
            entries: 0,
            people: Vec::new(),
            rules: None,
            signoff: None,
            late: Vec::new(),
            date: entry.at.date_naive(),
        }
    }

    /// The day of the round.
    #[must_use]
    pub const fn date(&self) -> NaiveDate {
        self.date
    }

    /// The rule set that it was begun under, as the site file named it; `None`: its begins do not say.
    #[must_use]
    pub fn rules(&self) -> Option<&str> {
        self.rules.as_deref()
    }

    /// Whether it is signed.
    #[must_use]
    pub const fn is_signed(&self) -> bool {
        self.signoff.is_some()
    }

    fn add(&mut self, entry: &Entry, stands: bool) {
        self.entries += 1;
        self.span.1 = self.span.1.max(entry.id);
        if self.people.last() != Some(&entry.by) && self.people.len() < MAX_PEOPLE && !self.people.contains(&entry.by) {
            self.people.push(Arc::clone(&entry.by));
        }
        if self.signoff.is_some() {
            self.late.push(entry.id);
        }
        match &entry.what {
            What::Begin(begin) if stands => {
                if self.begin.is_none() {
                    self.date = begin.date;
                    self.begin = Some((**begin).clone());
                }
                // Nothing that comes after a sign-off changes by what the round was judged when it was signed.
                if self.signoff.is_none() && begin.rules.is_some() {
                    self.rules.clone_from(&begin.rules);
                }
                self.inspectors.push((Arc::clone(&entry.by), (**begin).clone()));
            }
            What::Signoff(signoff) if stands && self.signoff.is_none() => {
                self.signoff = Some((entry.id, (**signoff).clone()));
            }
            _ => {}
        }
    }
}

/// The rounds of a site, in the order of their days.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rounds {
    list: Vec<Round>,
    ranks: Vec<usize>,
    names: HashMap<Arc<str>, u32>,
}

/// The most people a round lists; a file with more is not an honest one, and listing must not cost time without end.
const MAX_PEOPLE: usize = 1000;

impl Rounds {
    /// The rounds of entries in id order; `stands` tells of an entry's index whether it stands.
    #[must_use]
    pub fn of(entries: &[Entry], stands: impl Fn(u32) -> bool) -> Self {
        let mut rounds = Self::default();
        let mut last = 0;
        for (ix, entry) in entries.iter().enumerate() {
            let stands = u32::try_from(ix).is_ok_and(&stands);
            match rounds.list.get_mut(last).filter(|r| r.name == entry.round) {
                Some(round) => round.add(entry, stands),
                None => last = rounds.put(entry, stands),
            }
        }
        rounds.order();
        rounds
    }

    fn put(&mut self, entry: &Entry, stands: bool) -> usize {
        let at = match self.names.get(&entry.round) {
            Some(at) => *at as usize,
            None => {
                let at = self.list.len();
                self.names.insert(Arc::clone(&entry.round), u32::try_from(at).unwrap_or(u32::MAX));
                self.list.push(Round::new(entry));
                at
            }
        };
        if let Some(round) = self.list.get_mut(at) {
            round.add(entry, stands);
        }
        at
    }

    fn order(&mut self) {
        let mut order: Vec<usize> = (0..self.list.len()).collect();
        order.sort_by_key(|at| self.list.get(*at).map(|r| (r.date, r.span.0)));
        self.ranks = vec![0; self.list.len()];
        for (rank, at) in order.into_iter().enumerate() {
            if let Some(slot) = self.ranks.get_mut(at) {
                *slot = rank;
            }
        }
    }

    /// Takes account of one more entry that stands and is the newest.
    pub fn add(&mut self, entry: &Entry) {
        let known = self.list.len();
        self.put(entry, true);
        if self.list.len() != known || matches!(entry.what, What::Begin(_)) {
            self.order();
        }
    }

    /// A round.
    #[must_use]
    pub fn get(&self, ix: RoundIx) -> Option<&Round> {
        self.list.get(ix.0 as usize)
    }

    /// The round of a name.
    #[must_use]
    pub fn named(&self, name: &str) -> Option<RoundIx> {
        self.names.get(name).copied().map(RoundIx)
    }

    /// The round of the latest day.
    #[must_use]
    pub fn latest(&self) -> Option<RoundIx> {
        let at = self.ranks.iter().enumerate().max_by_key(|(_, rank)| **rank)?.0;
        u32::try_from(at).ok().map(RoundIx)
    }

    /// A round's place in the order of days, from 0.
    #[must_use]
    pub fn rank(&self, ix: RoundIx) -> usize {
        self.ranks.get(ix.0 as usize).copied().unwrap_or(usize::MAX)
    }

    /// All rounds in the order of their days.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = &Round> {
        let mut order: Vec<(usize, &Round)> = self.ranks.iter().copied().zip(&self.list).collect();
        order.sort_by_key(|(rank, _)| *rank);
        order.into_iter().map(|(_, round)| round)
    }

    /// How many rounds there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.list.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }
}
