//! How a site's spares stand, in a few numbers and a line.

use chrono::NaiveDate;
use serde::Serialize;

use super::findings::{Weight, findings};
use super::ledger::ledger;
use super::required::required;
use crate::round::state::State;

/// How a site's spares stand, as seen from the present round.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SpareStatus {
    /// Cabinets in the register.
    pub cabinets: usize,
    /// Cabinets counted in the present round.
    pub counted: usize,
    /// How many spares the reading that rules asks for; `None`: the rule set says nothing of spares.
    pub asked: Option<u32>,
    /// Spares that may be used, of installed types.
    pub held: u32,
    /// How many are missing under that reading.
    pub short: u32,
    /// Findings of something wrong.
    pub wrong: usize,
    /// Findings of something nobody has looked at in this round.
    pub open: usize,
}

impl SpareStatus {
    /// Whether spares are short, something is wrong, or a cabinet was not counted in the present round.
    #[must_use]
    pub const fn asks(&self) -> bool {
        self.short > 0 || self.wrong > 0 || self.counted < self.cabinets
    }

    /// In a line without a full stop: `4 of 6 spares held, 2 short; 1 of 2 cabinets counted in this round`.
    #[must_use]
    pub fn words(&self) -> String {
        if self.cabinets == 0 {
            return format!("{} spares are asked for, and no cabinet is in the register", self.asked.unwrap_or(0));
        }
        let mut words = match self.asked {
            Some(asked) => format!("{} of {asked} spares held", self.held),
            None => format!("{} spares held", self.held),
        };
        if self.short > 0 {
            words.push_str(&format!(", {} short", self.short));
        }
        let counted = match (self.cabinets, self.counted) {
            (1, 0) => "the cabinet is not counted in this round".to_owned(),
            (1, _) => "the cabinet is counted in this round".to_owned(),
            (_, 0) => "no cabinet is counted in this round".to_owned(),
            (all, n) if n == all => "all cabinets are counted in this round".to_owned(),
            (all, n) => format!("{n} of {all} cabinets are counted in this round"),
        };
        format!("{words}; {counted}")
    }
}

/// How the spares stand; `None` where no cabinet is in the register and the rule set asks for no spares here.
#[must_use]
pub fn status(state: &State, today: NaiveDate) -> Option<SpareStatus> {
    let ledger = ledger(state);
    let required = required(state, &ledger, today);
    if ledger.shelves.is_empty() && required.ruling().is_none_or(|r| r.total == 0) {
        return None;
    }
    let findings = findings(state, &ledger, &required, today);
    let weighing = |weight: Weight| findings.iter().filter(|f| f.weight == weight).count();
    Some(SpareStatus {
        cabinets: ledger.shelves.len(),
        counted: ledger.shelves.iter().filter(|s| s.counted.is_some()).count(),
        asked: required.ruling().map(|r| r.total),
        held: required.held,
        short: required.short(),
        wrong: weighing(Weight::Wrong),
        open: weighing(Weight::Open),
    })
}
