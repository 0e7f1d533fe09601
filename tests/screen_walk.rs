//! The walk, driven by keys through the app with a real file below it.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, missing_docs)]

mod common;

use common::Site;

#[test]
fn look() {
    let mut site = Site::new();
    site.drive.keys("Enter p1t Right Space Down");
    println!("{}", site.drive.shown(80, 24));
    site.drive.keys("p");
    println!("{}", site.drive.shown(80, 24));
    site.drive.keys("4");
    println!("{}", site.drive.shown(80, 24));
    println!("{}", site.drive.shown(60, 20));
    println!("{}", site.drive.shown(140, 40));
    site.drive.keys("h");
    println!("{}", site.drive.shown(140, 40));
    println!("{}", site.drive.shown(60, 20));
    println!("{}", site.drive.shown(40, 10));
    println!("{:#?}", site.recorded());
}
