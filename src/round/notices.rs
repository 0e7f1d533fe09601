//! Who has been told of the impairments that are open now. It says what the record holds; telling is for people.

use super::entry::{Entry, Id, Notice, What};
use super::layout::HeadIx;
use super::state::State;
use super::story::{Fate, Finding};
use crate::rules::model::Class;
use crate::trade::address::Address;

/// A head with an open impairment.
pub struct Impaired<'s> {
    /// The head.
    pub head: HeadIx,
    /// Its address.
    pub at: Address,
    /// The entry of the present round that says so.
    pub entry: &'s Entry,
}

/// What somebody was told of the open impairments.
pub enum Told<'s> {
    /// Of all; the last notice.
    All(&'s Entry, &'s Notice),
    /// Of some: the first head they were not told of, and how many more there are.
    Some(HeadIx, usize),
    /// Of none, or none is open.
    None,
}

impl Told<'_> {
    /// Whether a notice is still to be given, where an impairment is open.
    #[must_use]
    pub const fn owing(&self) -> bool {
        !matches!(self, Self::All(..))
    }
}

/// Whether a finding is an impairment that stands.
#[must_use]
pub fn impairs(finding: &Finding) -> bool {
    finding.fate == Fate::Open && finding.judgement.class == Some(Class::Impairment)
}

/// The entry of the present round that first said of a head that it is impaired.
#[must_use]
pub fn entered(state: &State, head: HeadIx) -> Option<&Entry> {
    state.impaired_by(head)
}

/// The heads with an open impairment.
#[must_use]
pub fn open(state: &State) -> Vec<Impaired<'_>> {
    let one = |head| Some(Impaired { head, at: state.address(head)?, entry: entered(state, head)? });
    state.impaired().filter_map(one).collect()
}

/// The standing notices of the present round, in order.
#[must_use]
pub fn log(state: &State) -> Vec<(&Entry, &Notice)> {
    state.notices().filter_map(|e| if let What::Notice(n) = &e.what { Some((e, &**n)) } else { None }).collect()
}

/// Whether a notice was given to somebody of a list; capitals do not matter.
#[must_use]
pub fn is_to(notice: &Notice, who: &str) -> bool {
    notice.told.trim().to_lowercase() == who.trim().to_lowercase()
}

/// Whether a notice tells of what `found` said of a head: it was given after, and it names the head or none.
#[must_use]
pub fn covers(entry: &Entry, notice: &Notice, at: &Address, found: Id) -> bool {
    entry.id > found && notice.head.as_ref().is_none_or(|h| h.area == at.area && h.holds(at.spot))
}

/// What somebody was told of these impairments by these notices.
#[must_use]
pub fn told<'s>(who: &str, open: &[Impaired<'_>], log: &[(&'s Entry, &'s Notice)]) -> Told<'s> {
    let mine: Vec<_> = log.iter().filter(|(_, n)| is_to(n, who)).collect();
    let covered = |i: &Impaired<'_>| mine.iter().any(|(e, n)| covers(e, n, &i.at, i.entry.id));
    let missing: Vec<HeadIx> = open.iter().filter(|i| !covered(i)).map(|i| i.head).collect();
    match (mine.last(), missing.as_slice()) {
        (Some((entry, notice)), []) if !open.is_empty() => Told::All(entry, notice),
        (_, [head, more @ ..]) if missing.len() < open.len() => Told::Some(*head, more.len()),
        _ => Told::None,
    }
}

/// How many of the site's own list have had no notice about some head that is impaired now, and how long the list is.
/// A site without a list goes by that of the adopted rules.
#[must_use]
pub fn owing(state: &State) -> (usize, usize) {
    let own = &state.register().site.tell;
    let list = if own.is_empty() { &state.judge().set().impairment.tell } else { own };
    if state.counts().impaired == 0 {
        return (0, list.len());
    }
    let log = log(state);
    if log.is_empty() {
        return (list.len(), list.len());
    }
    let open = open(state);
    (list.iter().filter(|who| told(who, &open, &log).owing()).count(), list.len())
}
