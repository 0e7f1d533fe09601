//! What is installed: heads and their kinds, addresses, areas and the register of a site; quantities with their units;
//! temperature classes. Pure: nothing here reads a file, a clock or the environment.

#![deny(clippy::disallowed_methods)]

pub mod address;
pub mod class;
pub mod head_type;
pub mod kind;
pub mod measure;
pub mod prices;
pub mod quantity;
pub mod register;
mod register_cabinets;
#[cfg(test)]
mod register_tests;
pub mod register_text;
pub mod register_write;
pub mod words;
