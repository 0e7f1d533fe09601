//! The commands, run in a place of their own: what they print, what they tell, how they exit. One file a command.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod adopted;
mod begin;
mod bench;
mod cabinet;
mod calc_chance;
mod calc_heat;
mod calc_plots;
mod check;
mod damaged;
mod demo;
mod docs;
mod due;
mod help;
mod hostile;
mod lot;
mod new;
mod order;
mod program;
mod report;
mod rule_pages;
mod rule_schema;
mod rules;
mod rules_diff;
mod rules_new;
mod rulings;
mod rulings_against;
mod signoff;
mod status;
mod support;
mod terminal;
mod tidy;
mod walk;
