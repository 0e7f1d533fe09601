//! What is taken back: which entries stand, and which taking back is none.

use super::entry::{Entry, Id, What};
use super::state::{EntryIx, State};

impl State {
    /// The entry a retraction is about and, where that is a retraction itself, the one that one is about, and so on.
    pub(super) fn chain(&self, target: Id) -> Vec<EntryIx> {
        let mut list: Vec<EntryIx> = Vec::new();
        let mut next = Some(target);
        while let Some(ix) = next.and_then(|id| self.find_entry(id)) {
            // Only a taking back of something earlier counts: a ring of them would never end.
            if list.last().is_some_and(|last| ix >= *last) {
                break;
            }
            list.push(ix);
            next = match self.entry(ix).map(|e| &e.what) {
                Some(What::Retract(target)) => Some(*target),
                _ => None,
            };
        }
        list
    }

    /// Counts the retractions, the newest first: only a later one can take another back, so each is met when its standing
    /// is settled, and a long chain of them costs no more than its length.
    pub(super) fn note_retractions(&mut self, entries: &[Entry]) {
        let astray = self.problems.len();
        for (ix, entry) in entries.iter().enumerate().rev() {
            let What::Retract(target) = entry.what else { continue };
            match taken_back(entries, entry, target) {
                Ok(at) if self.stands(EntryIx(u32::try_from(ix).unwrap_or(u32::MAX))) => {
                    *self.against.entry(at).or_insert(0) += 1;
                }
                Ok(_) => {}
                Err(why) => self.problem(entry.id, why),
            }
        }
        if let Some(told) = self.problems.get_mut(astray..) {
            told.reverse();
        }
    }

    /// Counts a retraction against its target; one that loses or regains its standing passes that on.
    pub(super) fn note_retraction(&mut self, entries: &[Entry], entry: &Entry, target: Id) {
        let mut at = match taken_back(entries, entry, target) {
            Ok(at) => at,
            Err(why) => return self.problem(entry.id, why),
        };
        let mut more = true;
        loop {
            let count = self.against.entry(at).or_insert(0);
            let stood = *count == 0;
            *count = if more { *count + 1 } else { count.saturating_sub(1) };
            let stands = *count == 0;
            if *count == 0 {
                self.against.remove(&at);
            }
            match entries.get(at as usize) {
                Some(next @ Entry { what: What::Retract(target), .. }) if stood != stands => {
                    let Ok(next) = taken_back(entries, next, *target) else { return };
                    more = stands;
                    at = next;
                }
                _ => return,
            }
        }
    }

    /// Whether an entry stands: nobody has taken it back, or the taking back was taken back.
    #[must_use]
    pub fn stands(&self, ix: EntryIx) -> bool {
        !self.against.contains_key(&ix.0)
    }
}

/// The index of the entry that a retraction takes back. It must be an earlier one of the same round, so that nothing said
/// in a later round changes what an earlier one was signed for, and no sign-off: what comes after one stands after it.
fn taken_back(entries: &[Entry], by: &Entry, target: Id) -> Result<u32, String> {
    let at = entries.binary_search_by_key(&target, |e| e.id).ok().filter(|_| target < by.id);
    let found = at.and_then(|at| Some((u32::try_from(at).ok()?, entries.get(at)?)));
    match found {
        None => Err(format!("it takes back {target}, which is not in this file or is not earlier")),
        Some((_, entry)) if entry.round != by.round => Err(format!(
            "it takes back {target} of round '{}'; what a round says is taken back in that round",
            crate::diag::plain(&entry.round)
        )),
        Some((_, entry)) if matches!(entry.what, What::Signoff(_)) => Err(format!(
            "it takes back {target}, a sign-off; a sign-off stands, and what is entered later is kept as such"
        )),
        Some((at, _)) => Ok(at),
    }
}
