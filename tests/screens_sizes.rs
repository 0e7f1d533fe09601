//! Every screen at sizes from nothing to large: no panic anywhere, and pictures of each at the sizes it is made for.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod screens_support;

use screens_support::{Bench, On, REGISTER, WAYS};

fn there(name: &str, on: On, keys: &str, ascii: bool) -> Bench {
    let mut bench = if ascii { Bench::ascii(on) } else { Bench::new(on) };
    bench.drive.keys(keys);
    assert_eq!(bench.drive.top(), name, "'{keys}' leads elsewhere:\n{}", bench.shown());
    bench
}

#[test]
fn every_screen_looks_as_it_did() {
    for (name, on, keys) in WAYS {
        let mut pictures = String::new();
        for ascii in [false, true] {
            let bench = there(name, *on, keys, ascii);
            for (columns, rows) in [(80, 24), (60, 20), (140, 40)] {
                let set = if ascii { "ascii, mono" } else { "unicode, default" };
                pictures.push_str(&format!("=== {columns}x{rows}, {set}\n"));
                pictures.push_str(&bench.drive.styled(columns, rows));
            }
        }
        insta::with_settings!({ filters => vec![(r"/\S*/\.tmp\w+/", "FOLDER/"), (r"\S*\.tmp\w{6}/", "FOLDER/")], omit_expression => true }, {
            insta::assert_snapshot!(name.replace(' ', "-"), pictures);
        });
    }
}

#[test]
fn no_size_makes_a_screen_panic() {
    for (name, on, keys) in WAYS {
        let bench = there(name, *on, keys, false);
        for columns in 0..=40 {
            for rows in 0..=12 {
                let _ = bench.drive.buffer(columns, rows);
            }
        }
        for (columns, rows) in [(41, 10), (47, 11), (59, 13), (79, 17), (100, 10), (200, 60), (40, 60)] {
            let _ = bench.drive.buffer(columns, rows);
        }
    }
}

#[test]
fn an_ascii_screen_shows_nothing_but_ascii() {
    for (name, on, keys) in WAYS {
        let bench = there(name, *on, keys, true);
        let shown = bench.drive.shown(100, 40);
        let odd: String = shown.chars().filter(|c| !c.is_ascii() && !"°½".contains(*c)).collect();
        assert!(odd.is_empty(), "{name} shows '{odd}':\n{shown}");
    }
}

#[test]
fn scrolling_and_moving_never_panic_at_any_size() {
    for (name, on, keys) in WAYS {
        let mut bench = there(name, *on, keys, false);
        for (columns, rows) in [(40, 10), (80, 24), (1, 1)] {
            for key in ["PgDn", "PgDn", "Down", "End", "Up", "PgUp", "Home"] {
                let _ = bench.drive.buffer(columns, rows);
                bench.drive.keys(key);
            }
        }
        assert_eq!(bench.drive.top(), *name);
    }
}

#[test]
fn trouble_shows_the_line_it_is_about_and_points_at_the_place() {
    let bench = Bench::of(&REGISTER.replace("[4 int-upright]", "[4 int-uprigth]"));
    assert_eq!(bench.drive.top(), "trouble");
    let shown = bench.shown();
    let mut lines = shown.lines();
    let line = lines.find(|l| l.contains("│") && l.contains("int-uprigth")).expect("the line");
    let marks = lines.next().expect("marks");
    let at = |l: &str, what: &str| l.find(what).map(|i| l[..i].chars().count());
    assert_eq!(at(marks, "^^^"), at(line, "int-uprigth"), "{shown}");
    assert!(shown.contains("Did you mean 'int-upright'?"), "{shown}");
}

#[test]
fn of_thousands_of_areas_only_those_that_show_are_drawn_and_all_can_be_reached() {
    let (head, _) = REGISTER.split_once("areas:\n").expect("areas");
    let areas: String = (1..=3000).map(|n| format!("  a{n}: {{name: Bay {n}, lines: [1 qr-pendent]}}\n")).collect();
    let mut bench = Bench::of(&format!("{head}areas:\n{areas}"));
    for (keys, first) in [("Home", "a1 "), ("End", "a3000 "), ("PgUp", "a29"), ("Home PgDn Down", "a")] {
        bench.drive.keys(keys);
        let shown = bench.drive.shown(80, 24);
        let here = shown.lines().find(|l| l.starts_with(" ▸ ")).expect("a cursor");
        assert!(here.starts_with(&format!(" ▸ {first}")), "{keys}: {here}");
        assert!(shown.contains("3000 heads in 3000 areas"), "{shown}");
    }
}
