//! The rule set: what must happen when an eye sees a sign on a part of a head. It is data (`rules/*.yaml`), read with
//! its places, checked exhaustively, and compiled into a table so that a ruling is a look-up. Pure.

#![deny(clippy::disallowed_methods)]

pub mod builtin;
pub mod facts;
pub mod judge;
pub mod load;
pub mod model;
mod table;
