//! Headround inspects fire sprinklers head by head. The rooms, from the bottom up; see docs/architecture.md.

#![cfg_attr(test, allow(clippy::string_slice))]

pub mod bench;
pub mod cli;
pub mod diag;
pub mod record;
pub mod report;
pub mod round;
pub mod rules;
pub mod trade;
pub mod tui;
