//! The cabinet's screens.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod screens_support;

use screens_support::{Bench, On};

#[test]
fn look() {
    for (keys, size) in [("Home k", (80, 24)), ("Home k Right", (80, 24)), ("Home k Tab", (80,24)), ("Home k Tab Tab", (80,24)), ("Home k Tab Tab Tab", (100,40)), ("Home k Tab Tab Tab Tab", (80,24)), ("Home k Shift-Tab", (80, 24)), ("Home k Right c 4 Enter 2 u 1", (80,24)), ("Home k Right c 1 Enter 6 u 1 Enter Enter Enter 2 r", (80,24)), ("Home k Right l", (80,24)), ("Home k Right i", (80,24)), ("Home k Right i 1", (80,24)), ("Home k Right p", (80,24)), ("Home k n", (80,24)), ("Home Enter j 1.3 Enter =", (80,24)), ("Home Enter j 1.3 Enter = Down Down", (140,40)), ("Home k", (60, 20))] {
        let mut bench = Bench::new(On::Spares);
        bench.drive.keys(keys);
        println!("=== {keys} ({})\n{}", bench.drive.top(), bench.drive.shown(size.0, size.1));
    }
}
