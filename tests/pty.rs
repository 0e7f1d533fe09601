//! The program in a real terminal: what only a terminal can show.
#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, missing_docs)]

#[path = "pty/place.rs"]
mod place;
#[path = "pty/term.rs"]
mod term;

use place::Place;
use term::Term;

#[test]
fn look() {
    let place = Place::with_site();
    let mut term = Term::start(&place, &["walk", "quay.site.yaml"], 100, 30);
    term.see("Packing hall");
    println!("{}", term.text());
    term.keys("Enter").see("hall/1.1");
    println!("{}", term.text());
    term.keys("p1t").see("replace");
    println!("{}", term.text());
    println!("{:?}", term.line_modes());
    term.keys("Right Space").see("hall/1.3");
    println!("{}", term.text());
    term.keys("q").see("not answered yet");
    println!("{}", term.text());
    term.keys("q");
    std::thread::sleep(std::time::Duration::from_secs(1));
    println!("{}", term.text());
    term.keys("q");
    std::thread::sleep(std::time::Duration::from_secs(1));
    println!("{}", term.text());
    term.keys("q");
    println!("{:?}", term.ended());
    println!("{:?}", term.unrestored());
    println!("{:?}", term.line_modes());
    println!("{:#?}", place.entries("quay.site.yaml"));
}
