//! The rule set: what must happen when an eye sees a sign on a part of a head. It is data (`rules/*.yaml`), read with
//! its places, checked exhaustively, and compiled into a table so that a ruling is a look-up. Pure.

#![deny(clippy::disallowed_methods)]

pub mod age;
pub mod builtin;
pub mod compare;
pub mod duties;
pub mod editions_of;
pub mod explain;
pub mod facts;
pub mod fit;
pub mod grid;
pub mod judge;
pub mod limits;
mod lint;
mod lint_rows;
mod lint_spares;
pub mod load;
mod load_ages;
mod load_amend;
mod load_duties;
mod load_limits;
mod load_rows;
mod load_rule;
mod load_spares;
mod load_words;
pub mod mixed;
pub mod model;
pub mod pages;
mod reach;
pub mod schema;
pub mod show;
pub mod show_duties;
pub mod spares;
pub mod starter;
mod table;

#[cfg(test)]
mod tests;
