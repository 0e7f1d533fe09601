//! Reading and checking rule sets: `cargo bench --bench rules`. The check visits every combination that the rules can
//! tell apart; a set of 500 rules is to be read and checked in under 100 ms.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod common;

use std::sync::Arc;

use divan::Bencher;
use divan::counter::BytesCount;
use headround::diag::Source;
use headround::rules::{builtin, load};

fn main() {
    divan::main();
}

fn check(bencher: Bencher<'_, '_>, source: &Arc<Source>) {
    bencher
        .counter(BytesCount::new(source.text.len()))
        .bench_local(|| load::read(source, &builtin::source).map_err(|all| all[0].to_string()).expect("sound"));
}

#[divan::bench(args = builtin::names())]
fn built_in(bencher: Bencher<'_, '_>, name: &str) {
    check(bencher, &builtin::source(name).expect("built in"));
}

#[divan::bench(sample_count = 20)]
fn of_500_rules(bencher: Bencher<'_, '_>) {
    let text = common::rules_text::large(500);
    check(bencher, &Source::new("large.yaml", text));
}

/// Rule files that have got out of hand or mean harm: what each costs until its complaints are there.
mod hostile {
    use super::{Bencher, Source, load};

    const HEAD: &str = "\
format: headround rules 1
name: bad
title: Bad
edition: none
parts: [{part: frame, name: frame, hint: the arms}]
extents: [{extent: full, name: full, hint: all over}]
signs:
  - {sign: paint, name: paint, hint: paint, parts: frame, extents: full}
  - {sign: unsure, name: unsure, hint: not judged, seen: doubt, parts: frame, extents: full}
";
    const TEXTS: &str = "ruling: watch, clause: c, source: s, confidence: C, because: b, remedy: r";

    fn rules(count: usize, when: impl Fn(usize) -> String, more: impl Fn(usize) -> String) -> String {
        let rule = |n| format!("  - {{rule: r{n}, title: T, when: {{sign: paint{}}}, {TEXTS}{}}}\n", when(n), more(n));
        format!("{HEAD}rules:\n{}", (0..count).map(rule).collect::<String>())
    }

    const VALUES: [(&str, &[&str]); 6] = [
        ("response", &["standard", "special", "quick"]),
        ("mount", &["exposed", "recessed", "flush", "concealed"]),
        ("style", &["spray", "extended", "residential", "esfr", "cmsa", "conventional"]),
        ("finish", &["brass", "chrome", "white", "black", "coloured", "stainless", "nickel", "wax"]),
        ("system", &["wet", "dry", "preaction", "antifreeze"]),
        ("setting", &["damp", "salt", "corrosive", "dust", "grease", "heat"]),
    ];

    fn wide(fields: usize) -> impl Fn(usize) -> String {
        move |n| VALUES.iter().take(fields).map(|(f, v)| format!(", {f}: {}", v[n % v.len()])).collect()
    }

    fn bomb() -> String {
        let mut text = "a: &a [x, x, x, x, x, x, x, x, x]\n".to_owned();
        for (c, p) in ('b'..='i').zip('a'..='h') {
            text.push_str(&format!("{c}: &{c} [{}]\n", vec![format!("*{p}"); 9].join(", ")));
        }
        text
    }

    fn text(name: &str) -> String {
        let none = |_: usize| String::new();
        match name {
            "alias bomb" => bomb(),
            "lists in lists" => "[".repeat(4 << 20),
            "a million cases" => {
                format!("{HEAD}rules:\n  - cases:\n{}", "      - {see: x, then: watch}\n".repeat(1_000_000))
            }
            "100000 cases" => {
                format!("{HEAD}rules:\n  - cases:\n{}", "      - {see: x, then: watch}\n".repeat(100_000))
            }
            "unknown keys" => format!("{HEAD}{}", (0..200_000).map(|n| format!("k{n}: x\n")).collect::<String>()),
            "5000 rules, one field" => rules(5_000, wide(1), none),
            "5000 rules, three fields" => rules(5_000, wide(3), none),
            "5000 rules, six fields" => rules(5_000, wide(6), none),
            "5000 rules, each over the last" => {
                rules(5_000, none, |n| if n == 0 { String::new() } else { format!(", over: r{}", n - 1) })
            }
            "5000 rules, over thirty each" => rules(5_000, none, |n| {
                format!(
                    ", over: [{}]",
                    (1..=30).map(|k| format!("r{}", (n + k * 131) % 5_000)).collect::<Vec<_>>().join(", ")
                )
            }),
            other => panic!("{other}"),
        }
    }

    const NAMES: [&str; 10] = [
        "alias bomb",
        "lists in lists",
        "a million cases",
        "100000 cases",
        "unknown keys",
        "5000 rules, one field",
        "5000 rules, three fields",
        "5000 rules, six fields",
        "5000 rules, each over the last",
        "5000 rules, over thirty each",
    ];

    #[divan::bench(args = NAMES, sample_count = 3, sample_size = 1)]
    fn refused(bencher: Bencher<'_, '_>, name: &str) {
        let source = Source::new("bad.yaml", text(name));
        bencher.bench_local(|| {
            let all = load::read(&source, &|_| None).expect_err(name);
            assert!(all.len() <= 200, "{name}: {}", all.len());
            all.len()
        });
    }
}
