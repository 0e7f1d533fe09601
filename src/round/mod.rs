//! The round: what can be recorded, and what follows from it. Pure: state is a fold over entries, whatever order they
//! arrived in.

#![deny(clippy::disallowed_methods)]

pub mod act;
mod answers;
mod counts;
pub mod due;
pub mod entry;
mod entry_lots;
mod entry_stock;
#[cfg(test)]
mod entry_tests;
pub mod layout;
pub mod lots;
pub mod notices;
pub mod order;
mod place;
mod place_lots;
mod place_stock;
mod quick;
mod rejudge;
mod retract;
pub mod rounds;
pub mod rulings;
pub mod sample;
pub mod state;
#[cfg(test)]
mod state_tests;
pub mod stock;
pub mod story;
pub mod wire;
pub mod words;
