//! Lots: all heads that one sample stands for; which of them were drawn, where the sample is, what the bench says of each,
//! and what that means for the others. All of it follows from the entries; nothing is kept but which heads are condemned.

pub mod cost;
mod draw;
mod eligible;
pub mod import;
#[cfg(test)]
mod more_tests;
mod next;
mod outcome;
mod propose;
mod repeat;
mod size;
#[cfg(test)]
mod tests;

use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

use chrono::NaiveDate;

pub use draw::{Choice, draw, rank};
pub use eligible::{Eligible, Refused, Why, eligible, refusal};
pub use next::{Wanted, condemned, next_due, next_step, wanted};
pub use outcome::{Outcome, Stage, class_of, failure_rule, limit_of, limits_of, run_of};
pub use propose::{Divide, Proposal, SAFE, Way, propose, ways};
pub use repeat::{Repeated, repeat};
pub use size::{Asked, asked};

use super::entry::{Concluded, Custody, Deed, Drawn, Entry, Id, NewLot, Tested, What};
use super::layout::HeadIx;
use super::state::{EntryIx, State};
use crate::bench::judge::{Judged, Verdict};
use crate::rules::judge::Judgement;
use crate::rules::model::Class;
use crate::trade::address::{Address, AreaId, Heads};
use crate::trade::register::KindIx;

/// One drawn head.
#[derive(Clone, Debug, PartialEq)]
pub struct Sample {
    /// What its tag says.
    pub tag: String,
    /// Where it hung.
    pub head: HeadIx,
    /// What it was when it was drawn, as far as is known now.
    pub kind: KindIx,
    /// The entry that drew it.
    pub drawn: EntryIx,
    /// The entry that says it was taken down and replaced: the first replacement there after it was drawn.
    pub taken: Option<EntryIx>,
    /// The entry of its test: of several the last one that failed, or else the last.
    pub test: Option<EntryIx>,
    /// Every test of it that counts, in order. Of two people's tests the one that failed stands until it is taken back, or corrected with
    /// a reason.
    pub tests: Vec<EntryIx>,
    /// Tests that a later one corrects, and so do not count; in order.
    pub corrected: Vec<EntryIx>,
    /// What its test shows.
    pub judged: Option<Judged>,
}

/// A lot as it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Lot {
    /// Its short name.
    pub id: AreaId,
    /// Its name for people.
    pub name: String,
    /// The entry that formed it.
    pub entry: EntryIx,
    /// The heads that it stands for: those named that were there when it was formed, in the order of the register.
    pub heads: Vec<HeadIx>,
    /// What each of them was then.
    pub kinds: Vec<KindIx>,
    /// The age of the rule set that asks for the test.
    pub why: Option<String>,
    /// When the test is due.
    pub due: Option<NaiveDate>,
    /// The draws that stand, in order.
    pub draws: Vec<EntryIx>,
    /// The heads drawn, in order.
    pub samples: Vec<Sample>,
    /// Where each drawn head stands among the samples.
    by_head: HashMap<HeadIx, usize>,
    /// Steps of custody, in order.
    pub custody: Vec<EntryIx>,
    /// A laboratory's result for the whole: the last that stands, of those that say it failed where there is one.
    pub concluded: Option<EntryIx>,
    /// What it comes to.
    pub outcome: Outcome,
}

impl Lot {
    /// The drawn head that hung there.
    #[must_use]
    pub fn sample_at(&self, head: HeadIx) -> Option<&Sample> {
        self.samples.get(*self.by_head.get(&head)?)
    }

    /// The drawn head of that tag; capitals do not matter.
    #[must_use]
    pub fn tagged(&self, tag: &str) -> Option<&Sample> {
        self.samples.iter().find(|s| s.tag.eq_ignore_ascii_case(tag.trim()))
    }

    /// What formed it.
    #[must_use]
    pub fn formed<'s>(&self, state: &'s State) -> Option<&'s NewLot> {
        match state.entry(self.entry).map(|e| &e.what) {
            Some(What::Lot(x)) => Some(x),
            _ => None,
        }
    }

    /// A tag that none of its heads bears yet: the lot's name and the next number.
    #[must_use]
    pub fn next_tag(&self, more: usize) -> String {
        let taken = |n: usize| self.samples.iter().any(|s| s.tag == format!("{}-{n}", self.id));
        let mut n = self.samples.len() + 1;
        let mut left = more;
        loop {
            if !taken(n) {
                if left == 0 {
                    return format!("{}-{n}", self.id);
                }
                left -= 1;
            }
            n += 1;
        }
    }
}

/// A test that condemns heads.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Failure {
    /// The entry of the failed test, or of the laboratory's result.
    pub entry: EntryIx,
    /// The entry that formed the lot.
    pub lot: EntryIx,
    /// The class that the rule set gives it.
    pub class: Option<Class>,
    /// What the head showed; `None`: a laboratory only told that the sample failed.
    pub verdict: Option<Verdict>,
    /// Why, in words; empty where a laboratory only told that the sample failed.
    pub why: Arc<str>,
}

/// That the head which hung here went into a sample, and nobody has written down that another took its place, in a sentence without
/// a full stop; `None`: nothing of the sort is known.
#[must_use]
pub fn no_replacement(state: &State, head: HeadIx) -> Option<String> {
    // Whether a head was drawn at all is known at once; only then are the lots worked out.
    let address = state.address(head)?;
    if !state.formed.values().any(|drawn| drawn.contains(&address)) {
        return None;
    }
    let lots = lots(state);
    let sample = |lot: &Lot| lot.sample_at(head).map(|s| (lot.id.clone(), s.tag.clone(), s.test, s.taken));
    match lots.iter().rev().find_map(sample)? {
        (_, _, _, Some(_)) => None,
        (lot, tag, Some(test), None) => {
            let on = tested_on(state, test).map_or(String::new(), |d| format!(" on {d}"));
            Some(format!(
                "tested{on} as {tag} of lot {lot}, and no replacement is written down: does a head hang here?"
            ))
        }
        (lot, tag, None, None) => Some(format!("drawn for lot {lot} as {tag}: it is to be taken down and replaced")),
    }
}

/// What a failed test means for a head; `None`: none condemns it.
#[must_use]
pub fn condemnation(state: &State, head: HeadIx) -> Option<Condemnation<'_>> {
    let failure = state.failure(head)?;
    let rule = failure_rule(state)?;
    Some(Condemnation {
        judgement: state.judge().condemned(failure.class),
        words: failure_words(state, &failure),
        clause: &rule.basis.clause,
        because: &rule.text,
        failure,
    })
}

/// What a failed test means for a head.
#[derive(Clone, Debug, PartialEq)]
pub struct Condemnation<'s> {
    /// What must happen, and its weight.
    pub judgement: Judgement,
    /// The failed test in words, without a full stop.
    pub words: String,
    /// The clause of the adopted set.
    pub clause: &'s str,
    /// Why.
    pub because: &'s str,
    /// The test.
    pub failure: Failure,
}

/// A failed test in words, without a full stop: `lot dry-1988: the head from pack/3.7 was held on 2026-11-20`.
#[must_use]
pub fn failure_words(state: &State, failure: &Failure) -> String {
    let lot = match state.entry(failure.lot).map(|e| &e.what) {
        Some(What::Lot(x)) => x.id.to_string(),
        _ => String::new(),
    };
    if let Some((_, test)) = tested(state, failure.entry) {
        let on = tested_on(state, failure.entry).map_or(String::new(), |d| format!(" on {d}"));
        let did = match failure.verdict {
            Some(Verdict::TooFast) => "operated too fast",
            Some(Verdict::Slow) => "opened too late",
            Some(Verdict::Held) => "held shut though its element operated",
            Some(Verdict::LeakingOnly) => "only leaked",
            _ => "did not operate",
        };
        let why = if failure.why.is_empty() { String::new() } else { format!(": {}", failure.why) };
        return format!("lot {lot}: the head from {} {did}{on}{why}", test.head);
    }
    let by = concluded(state, failure.entry).map_or(String::new(), |(_, c)| format!(", says {} of {}", c.by, c.on));
    crate::diag::plain(&format!("lot {lot}: its sample failed{by}"))
}

/// The lots of a site, in the order in which they were formed, as seen from the present round.
#[must_use]
pub fn lots(state: &State) -> Vec<Lot> {
    let mut list: Vec<Lot> = Vec::new();
    let mut named: HashMap<&str, usize> = HashMap::new();
    let superseded: HashMap<Id, &Entry> = {
        let standing = state.lots.iter().filter(|ix| state.stands(**ix)).filter_map(|ix| state.entry(*ix));
        standing.filter_map(|e| Some((e.instead()?, e))).collect()
    };
    for ix in state.lots.iter().copied().filter(|ix| state.stands(*ix)) {
        let Some(entry) = state.entry(ix) else { continue };
        if let Some(by) = superseded.get(&entry.id).filter(|by| corrects(entry, by)) {
            if let (What::Tested(old), What::Tested(_)) = (&entry.what, &by.what)
                && let Some(lot) = named.get(old.lot.as_str()).and_then(|at| list.get_mut(*at))
                && let Some(sample) = sample_mut(state, lot, &old.head)
            {
                sample.corrected.push(ix);
            }
            continue;
        }
        match &entry.what {
            What::Lot(new) => {
                if !named.contains_key(new.id.as_str()) {
                    named.insert(new.id.as_str(), list.len());
                    list.push(formed(state, ix, new));
                }
            }
            what => {
                let Some(lot) = lot_of(what).and_then(|id| named.get(id.as_str())) else { continue };
                if let Some(lot) = list.get_mut(*lot) {
                    take_account(state, lot, ix, what);
                }
            }
        }
    }
    for lot in &mut list {
        outcome::settle(state, lot);
    }
    list
}

/// Whether an entry about a lot corrects another: one's own, or another person's with a reason.
fn corrects(old: &Entry, new: &Entry) -> bool {
    let reason = match &new.what {
        What::Tested(x) => x.readings.note.is_some(),
        What::Concluded(x) => x.note.is_some(),
        _ => true,
    };
    old.by == new.by || reason
}

fn sample_mut<'l>(state: &State, lot: &'l mut Lot, head: &Address) -> Option<&'l mut Sample> {
    let at = *lot.by_head.get(&state.layout().find(head)?)?;
    lot.samples.get_mut(at)
}

/// The heads that an entry about lots speaks of; nothing of other entries.
#[must_use]
pub fn heads_of(what: &What) -> Vec<Heads> {
    match what {
        What::Lot(x) => x.heads.clone(),
        What::Drawn(x) => x.picks.iter().map(|p| Heads::single(&p.head)).collect(),
        What::Tested(x) => vec![Heads::single(&x.head)],
        _ => Vec::new(),
    }
}

/// The lot an entry speaks of.
pub(super) fn lot_of(what: &What) -> Option<&AreaId> {
    match what {
        What::Drawn(x) => Some(&x.lot),
        What::Custody(x) => Some(&x.lot),
        What::Tested(x) => Some(&x.lot),
        What::Concluded(x) => Some(&x.lot),
        _ => None,
    }
}

fn formed(state: &State, ix: EntryIx, new: &NewLot) -> Lot {
    let mut heads: Vec<HeadIx> =
        new.heads.iter().take(super::entry::MOST_OF_A_LOT).flat_map(|h| state.touched(h)).collect();
    heads.sort_unstable();
    heads.dedup();
    heads.retain(|h| {
        // A head that was found later was never among those named.
        let later = state.found_by(*h).is_some_and(|found| found > ix);
        !later && state.layout().head(*h).is_some_and(|head| !head.removed || state.was_there(*h, ix))
    });
    let kinds = heads.iter().map(|h| state.kind_then(*h, ix)).collect();
    Lot {
        id: new.id.clone(),
        name: new.name.clone(),
        entry: ix,
        heads,
        kinds,
        why: new.why.clone(),
        due: new.due,
        draws: Vec::new(),
        samples: Vec::new(),
        by_head: HashMap::new(),
        custody: Vec::new(),
        concluded: None,
        outcome: Outcome::default(),
    }
}

fn take_account(state: &State, lot: &mut Lot, ix: EntryIx, what: &What) {
    match what {
        What::Drawn(drawn) => take_drawn(state, lot, ix, drawn),
        What::Custody(_) => lot.custody.push(ix),
        // A result that condemns stands until it is taken back or corrected, whoever says otherwise later.
        What::Concluded(new) => {
            let failed = lot.concluded.and_then(|at| concluded(state, at)).is_some_and(|(_, c)| !c.passed);
            if !(failed && new.passed) {
                lot.concluded = Some(ix);
            }
        }
        What::Tested(tested) => {
            if let Some(sample) = sample_mut(state, lot, &tested.head) {
                sample.tests.push(ix);
            }
        }
        _ => {}
    }
}

fn take_drawn(state: &State, lot: &mut Lot, ix: EntryIx, drawn: &Drawn) {
    let picks = drawn.picks.iter().take(super::entry::MOST_OF_A_LOT);
    for pick in picks {
        let Some(head) = state.layout().find(&pick.head) else { continue };
        // What the entry calls it may have been corrected since, and the limits are those of what it was.
        let kind = state.kind_then(head, ix);
        if lot.heads.binary_search(&head).is_ok() && !lot.by_head.contains_key(&head) {
            lot.by_head.insert(head, lot.samples.len());
            lot.samples.push(Sample {
                tag: pick.tag.clone(),
                head,
                kind,
                drawn: ix,
                taken: state.replacements(head).filter(|at| *at > ix).last(),
                test: None,
                tests: Vec::new(),
                corrected: Vec::new(),
                judged: None,
            });
        }
    }
    lot.draws.push(ix);
}

impl State {
    /// Whether a head was replaced by a standing entry later than another.
    pub(super) fn replaced_after(&self, head: HeadIx, ix: EntryIx) -> bool {
        self.replacements(head).any(|at| at > ix)
    }

    /// The standing entries by which a head was replaced, the newest first.
    pub(super) fn replacements(&self, head: HeadIx) -> impl Iterator<Item = EntryIx> + '_ {
        let marks = self.heads.get(head.at()).map_or(&[][..], |n| &n.marks);
        let replaced = |ix: &EntryIx| match self.entry(*ix).map(|e| &e.what) {
            Some(What::Did(did)) => did.did == Deed::Replaced,
            _ => false,
        };
        marks.iter().rev().copied().filter(|ix| self.stands(*ix)).filter(replaced)
    }

    /// What a head was at an entry. That it is of another kind than the register said was true all along, until it was replaced.
    fn kind_then(&self, head: HeadIx, then: EntryIx) -> KindIx {
        let Some(there) = self.layout.head(head) else { return KindIx(0) };
        let mut kind = there.base;
        for ix in self.heads.get(head.at()).map_or(&[][..], |n| &n.marks).iter().filter(|ix| self.stands(**ix)) {
            let named = match self.entry(*ix).map(|e| &e.what) {
                Some(What::IsKind(x)) => Some(&x.kind),
                Some(What::Did(x)) if x.did == Deed::Replaced && *ix > then => break,
                Some(What::Did(x)) if x.did == Deed::Replaced => x.kind.as_ref(),
                _ => None,
            };
            if let Some(now) = named.and_then(|n| self.register.kind_named(n)) {
                kind = now;
            }
        }
        kind
    }

    /// Whether a head that is gone now was still there at an entry.
    fn was_there(&self, head: HeadIx, at: EntryIx) -> bool {
        let marks = self.heads.get(head.at()).map_or(&[][..], |n| &n.marks);
        let mut gone = marks
            .iter()
            .filter(|ix| self.stands(**ix))
            .filter(|ix| matches!(self.entry(**ix).map(|e| &e.what), Some(What::Removed(_))));
        gone.next().is_some_and(|first| *first > at)
    }

    /// The failed test that condemns a head, if one does.
    #[must_use]
    pub fn failure(&self, ix: HeadIx) -> Option<Failure> {
        self.failures.get(&ix).cloned()
    }

    /// Every head that a failed test condemns.
    pub(super) fn find_failures(&self) -> BTreeMap<HeadIx, Failure> {
        let mut found = BTreeMap::new();
        if self.lots.is_empty() {
            return found;
        }
        for lot in lots(self) {
            let Some(failure) = &lot.outcome.failure else { continue };
            for head in &lot.heads {
                let there = self.layout.head(*head).is_some_and(|h| !h.removed);
                if there && !self.replaced_after(*head, lot.entry) {
                    // The heavier class counts, and the earlier failure of two alike.
                    let known = found.entry(*head).or_insert_with(|| failure.clone());
                    if failure.class > known.class {
                        known.clone_from(failure);
                    }
                }
            }
        }
        found
    }
}

/// The entry of a test, as it was written.
#[must_use]
pub fn tested(state: &State, ix: EntryIx) -> Option<(&Entry, &Tested)> {
    state.entry(ix).and_then(|e| if let What::Tested(x) = &e.what { Some((e, &**x)) } else { None })
}

/// The day of a test.
#[must_use]
pub fn tested_on(state: &State, ix: EntryIx) -> Option<NaiveDate> {
    tested(state, ix).map(|(e, t)| t.readings.on.unwrap_or_else(|| e.at.date_naive()))
}

/// A laboratory's result, as it was written.
#[must_use]
pub fn concluded(state: &State, ix: EntryIx) -> Option<(&Entry, &Concluded)> {
    state.entry(ix).and_then(|e| if let What::Concluded(x) = &e.what { Some((e, &**x)) } else { None })
}

/// A step of custody, as it was written.
#[must_use]
pub fn custody(state: &State, ix: EntryIx) -> Option<(&Entry, &Custody)> {
    state.entry(ix).and_then(|e| if let What::Custody(x) = &e.what { Some((e, &**x)) } else { None })
}

/// A draw, as it was written.
#[must_use]
pub fn drawn(state: &State, ix: EntryIx) -> Option<(&Entry, &Drawn)> {
    state.entry(ix).and_then(|e| if let What::Drawn(x) = &e.what { Some((e, &**x)) } else { None })
}
