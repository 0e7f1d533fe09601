//! The spare cabinet: what the ledger says lies in it, what the rule set asks for, what is wrong with it, and which heads
//! still wait for a spare. All of it follows from the state; nothing is kept.

mod candidates;
mod condemned;
mod finding;
mod findings;
mod ledger;
pub mod lists;
mod required;
mod status;
#[cfg(test)]
mod tests;
mod trends;

pub use candidates::{Candidate, candidate, candidates};
pub use condemned::{Condemned, condemned};
pub use finding::{CabinetFinding, Matter, Weight};
pub use findings::{findings, wrenches_needed};
pub use ledger::{Difference, Holding, Ledger, Looked, Movement, Overdrawn, Shelf, ledger};
pub use required::{Barred, Group, Reading, Required, TypeRow, barred, required, usable};
pub use status::{SpareStatus, before_signing, held_words, status};
pub use trends::{DifferenceRow, GoneKind, StillRow, Trends, YearRow, trends};
