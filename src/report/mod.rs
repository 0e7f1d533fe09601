//! Reports: one summary model, one renderer a file. Pure.

#![deny(clippy::disallowed_methods)]
