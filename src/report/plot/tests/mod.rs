//! Checks of plots: what they look like (snapshots, read as pictures), and what must hold for any data.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod axes;
mod laws;
mod pictures;
mod readable;
mod samples;
