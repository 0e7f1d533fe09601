//! The arithmetic of the test bench: what a plunge oven's times mean, what a sample can show, and how long a slow head
//! lets a fire grow. Pure: numbers in, numbers or a sentence out.

#![deny(clippy::disallowed_methods)]

pub mod chance;
pub mod heat;
pub mod judge;
