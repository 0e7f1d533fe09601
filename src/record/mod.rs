//! The record: the only folder that writes. A site file is its own journal; see docs/site-file.md.

pub mod desk;
pub mod digest;
pub mod journal;
pub mod places;
pub mod rule_files;
pub mod save;
