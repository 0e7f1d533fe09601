//! What the cabinets' screen shows, worked out once and kept until something is recorded: nothing of it is worked out while
//! a frame is drawn.

use chrono::NaiveDate;

use crate::round::entry::{Entry, What};
use crate::round::state::{EntryIx, State};
use crate::round::stock::{self, CabinetFinding, Ledger, Required, Shelf, Trends, condemned};
use crate::trade::address::AreaId;
use crate::trade::register::KindIx;
use crate::tui::spares::to_count;

/// Everything about the cabinets at one moment.
pub(super) struct Stock {
    entries: usize,
    today: NaiveDate,
    pub(super) ledger: Ledger,
    pub(super) required: Required,
    pub(super) findings: Vec<CabinetFinding>,
    pub(super) trends: Trends,
    /// Heads that are ruled to be replaced and wait for a spare.
    pub(super) waiting: usize,
    /// Heads whose replacement is advised and not asked for.
    pub(super) advised: usize,
    /// Entries about cabinets, newest first, each with the index of its cabinet.
    about: Vec<(EntryIx, usize)>,
    /// The kinds of each cabinet's page, in the order in which they lie there.
    kinds: Vec<Vec<KindIx>>,
}

impl Stock {
    pub(super) fn of(state: &State, today: NaiveDate) -> Self {
        let ledger = stock::ledger(state);
        let required = stock::required(state, &ledger, today);
        let findings = stock::findings(state, &ledger, &required, today);
        let waiting = condemned(state);
        let advised = waiting.iter().filter(|c| c.is_advised()).count();
        let register = state.register();
        let about = state.entries().iter().enumerate().rev().filter_map(|(at, e)| {
            let cabinet = register.cabinet_named(cabinet_of(e)?.as_str())?;
            Some((EntryIx(u32::try_from(at).ok()?), cabinet))
        });
        Self {
            entries: state.entries().len(),
            today,
            waiting: waiting.len() - advised,
            advised,
            about: about.collect(),
            kinds: register.cabinets.iter().zip(&ledger.shelves).map(|(c, s)| to_count(state, c, Some(s))).collect(),
            trends: stock::trends(state, &ledger, today),
            ledger,
            required,
            findings,
        }
    }

    /// Whether something was recorded since, or another day has begun.
    pub(super) fn is_behind(&self, state: &State, today: NaiveDate) -> bool {
        self.entries != state.entries().len() || self.today != today
    }

    /// The entries about a cabinet, or about all of them, newest first.
    pub(super) fn about(&self, cabinet: Option<usize>) -> impl Iterator<Item = EntryIx> + '_ {
        self.about.iter().filter(move |(_, at)| cabinet.is_none_or(|c| c == *at)).map(|(ix, _)| *ix)
    }

    /// The kinds to show of a cabinet: those of its ledger, of its list, and those installed where it serves.
    pub(super) fn kinds(&self, cabinet: usize) -> &[KindIx] {
        self.kinds.get(cabinet).map_or(&[], Vec::as_slice)
    }

    /// The shelf of a cabinet.
    pub(super) fn shelf(&self, cabinet: usize) -> Option<&Shelf> {
        self.ledger.shelves.get(cabinet)
    }
}

/// The cabinet an entry is about.
pub(super) fn cabinet_of(entry: &Entry) -> Option<&AreaId> {
    match &entry.what {
        What::Counted(x) => Some(&x.cabinet),
        What::Moved(x) => Some(&x.cabinet),
        What::Checked(x) => Some(&x.cabinet),
        What::Posted(x) => Some(&x.cabinet),
        What::NewCabinet(x) => Some(&x.id),
        What::Did(x) => x.from.as_ref(),
        _ => None,
    }
}
