//! Every screen at sizes from nothing to large: no panic anywhere, and pictures of each at the sizes it is made for.

mod screens_support;

use screens_support::{Bench, On, WAYS};

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
