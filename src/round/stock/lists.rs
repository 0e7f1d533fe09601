//! The posted list: what is kept in a cabinet, by identification number and description.

use chrono::NaiveDate;

use super::ledger::Shelf;
use crate::round::entry::What;
use crate::round::state::State;
use crate::trade::register::KindIx;

/// What a cabinet's list says is kept, in the register's order of kinds: the last one posted, else the register's `keep`.
#[must_use]
pub fn kept(state: &State, shelf: &Shelf) -> Vec<(KindIx, u32)> {
    let register = state.register();
    let named = |name: &str, n: u32| register.kind_named(name).map(|k| (k, n));
    let mut list: Vec<(KindIx, u32)> = match shelf.posted.and_then(|ix| state.entry(ix)).map(|e| &e.what) {
        Some(What::Posted(x)) => x.keep.iter().filter_map(|(k, n)| named(k, *n)).collect(),
        _ => {
            let cabinet = register.cabinets.iter().find(|c| c.id == shelf.cabinet);
            cabinet.into_iter().flat_map(|c| &c.keep).filter_map(|(k, n)| named(k, *n)).collect()
        }
    };
    list.sort_unstable();
    list
}

/// The date that the last posted list bears, if one was posted.
#[must_use]
pub fn posted_on(state: &State, shelf: &Shelf) -> Option<NaiveDate> {
    match state.entry(shelf.posted?).map(|e| &e.what) {
        Some(What::Posted(x)) => Some(x.date),
        _ => None,
    }
}
