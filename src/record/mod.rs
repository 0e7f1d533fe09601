//! The record: the only folder that writes. A site file is its own journal; its format, to the byte, is
//! docs/site-file.md. `line` and `scan` are pure over bytes; everything that touches a disk goes through `disk`.

mod adopted;
pub mod bench_file;
mod conclude;
pub mod demo;
pub mod desk;
pub mod digest;
pub mod disk;
pub mod export;
pub mod failing;
mod faults;
mod hand;
pub mod journal;
pub mod line;
pub mod lock;
pub mod places;
pub mod price_file;
pub mod rule_files;
pub mod rule_offers;
pub mod rule_shelf;
pub mod save;
pub mod scan;
mod scanner;
pub mod tidy;
