//! Which spares could take a head's place: what lies in the cabinets, compared with the head field by field.

use chrono::NaiveDate;

use super::ledger::{Holding, Ledger};
use super::required::{Barred, barred};
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::rules::facts::Recalled;
use crate::rules::fit::{Fit, fit};
use crate::rules::spares::FitVerdict;
use crate::trade::address::AreaId;
use crate::trade::register::KindIx;

/// A spare that could take a head's place, or must not.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Candidate {
    /// The cabinet; `None`: a kind that was asked about and that no cabinet holds.
    pub cabinet: Option<AreaId>,
    /// Whether the cabinet serves the head's area.
    pub serves: bool,
    /// The kind of the spare.
    pub kind: KindIx,
    /// How many that may be used lie there, as far as the cabinet goes.
    pub there: u32,
    /// Field by field.
    pub fit: Fit,
    /// Whether spares of this kind have grown too old to count.
    pub too_old: bool,
}

impl Candidate {
    /// What is to be thought of it: a spare that has grown too old goes nowhere.
    #[must_use]
    pub const fn verdict(&self) -> FitVerdict {
        if self.too_old { FitVerdict::Never } else { self.fit.verdict }
    }
}

/// What lies in the cabinets and may be used as far as the cabinets go: first those that serve the head's area, then what
/// fits best, of a type's kinds in the register's order.
#[must_use]
pub fn candidates(state: &State, ledger: &Ledger, head: HeadIx, today: NaiveDate) -> Vec<Candidate> {
    let Some(area) = state.layout().head(head).and_then(|h| state.register().areas.get(usize::from(h.area))) else {
        return Vec::new();
    };
    let mut list: Vec<Candidate> = Vec::new();
    for (shelf, cabinet) in ledger.shelves.iter().zip(&state.register().cabinets) {
        let there = shelf.holdings.iter().map(|(kind, h)| (*kind, Holding::fit(h))).filter(|(_, n)| *n > 0);
        list.extend(there.filter_map(|(kind, n)| {
            let of = candidate(state, head, kind, today)?;
            Some(Candidate { cabinet: Some(cabinet.id.clone()), serves: cabinet.serves(&area.id), there: n, ..of })
        }));
    }
    list.sort_by_key(|c| (!c.serves, c.verdict()));
    list
}

/// A kind of the register as a spare for a head, wherever it lies; `None`: one of the two is not there.
#[must_use]
pub fn candidate(state: &State, head: HeadIx, kind: KindIx, today: NaiveDate) -> Option<Candidate> {
    let there = state.layout().head(head)?;
    let register = state.register();
    let wanted = register.kind(there.kind)?;
    let area = register.areas.get(usize::from(there.area))?;
    let spare = register.kind(kind)?;
    let recalled = state.judge().recalled(spare) != Recalled::No;
    let facts = state.judge().facts(wanted, area);
    Some(Candidate {
        cabinet: None,
        serves: false,
        kind,
        there: 0,
        fit: fit(state.judge().set(), &facts, wanted, spare, recalled, register.site.units),
        too_old: barred(state, spare, today) == Some(Barred::TooOld),
    })
}
