//! Reports: one summary model, one renderer a file. Pure: text in memory goes out, nothing is read and nothing written.

#![deny(clippy::disallowed_methods)]

mod actions;
mod advisories;
mod answers;
mod counts;
pub mod csv;
pub mod custody_form;
mod findings;
mod front;
mod impairments;
pub mod json;
mod lines;
mod lots;
mod lots_due;
mod lots_words;
pub mod markdown;
mod phrases;
pub mod plot;
pub mod posted_list;
pub mod pull_list;
mod record;
pub mod sheets;
mod spares;
pub mod stock;
pub mod summary;
pub mod tags;
pub mod text;

#[cfg(test)]
mod lots_tests;
#[cfg(test)]
pub(crate) mod sample_tests;
#[cfg(test)]
mod spares_tests;
#[cfg(test)]
mod tests;
