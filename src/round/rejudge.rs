//! The same record judged by another rule set. Only what hangs on the set is worked out anew; register, layout and entries
//! are shared.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::Arc;

use super::counts::Counts;
use super::entry::{Entry, What};
use super::state::{HeadNow, State};
use crate::rules::judge::Judge;
use crate::rules::model::RuleSet;

impl State {
    /// The name of the rule set that judges, as a site file would name it.
    #[must_use]
    pub fn rules(&self) -> &str {
        &self.rules
    }

    /// The same record, seen from the same round, judged by another set; `name` is what a site file calls it. It is what
    /// folding all entries under that set gives. Entries that are added to either later are not seen by the other.
    #[must_use]
    pub fn rejudged(&self, set: Arc<RuleSet>, name: &str) -> Self {
        let heads = self.heads.iter().map(|now| HeadNow {
            seen: now.seen,
            seen_by: now.seen_by,
            marks: now.marks.clone(),
            ..HeadNow::default()
        });
        let mut state = Self {
            register: Arc::clone(&self.register),
            layout: Arc::clone(&self.layout),
            entries: Arc::clone(&self.entries),
            against: self.against.clone(),
            rounds: self.rounds.clone(),
            present: self.present,
            heads: heads.collect(),
            seen_in: self.seen_in.clone(),
            counts: vec![Counts::default(); self.counts.len()],
            judge: Judge::new(set, &self.base.recalled),
            rules: Arc::from(name),
            profiles: HashMap::new(),
            people: self.people.clone(),
            person_of: self.person_of.clone(),
            problems: self.problems.iter().filter(|p| !p.words).cloned().collect(),
            astray: self.astray,
            ranged: self.ranged,
            ruled: BTreeSet::new(),
            impaired: BTreeSet::new(),
            notices: self.notices.clone(),
            stock: self.stock.clone(),
            lots: self.lots.clone(),
            formed: self.formed.clone(),
            failures: BTreeMap::new(),
            open_carried: BTreeSet::new(),
            disagreeing: BTreeSet::new(),
            base: Arc::clone(&self.base),
        };
        state.check_all_words();
        state.failures = state.find_failures();
        state.refresh_all();
        state
    }

    /// Complains of every entry in view whose words the set does not know, in the place where the fold would have.
    fn check_all_words(&mut self) {
        let entries = Arc::clone(&self.entries);
        let mut view: Option<(&Arc<str>, bool)> = None;
        for entry in entries.iter() {
            let Entry { id, what: What::Saw(saw), .. } = entry else { continue };
            let seen = match view.filter(|(name, _)| Arc::ptr_eq(name, &entry.round)) {
                Some((_, seen)) => seen,
                None => view.insert((&entry.round, self.in_view(entry).is_some())).1,
            };
            if seen {
                self.check_words(*id, saw);
            }
        }
        if let Some(placed) = self.problems.get_mut(self.astray..) {
            placed.sort_by_key(|p| (p.entry, !p.words));
        }
    }
}
