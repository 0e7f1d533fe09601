//! What the record costs: reading a large file, and one append with and without its sync. Run with `cargo bench --bench record`.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

use std::fmt::Write as _;

use divan::counter::{BytesCount, ItemsCount};
use headround::record::journal::{self, Mode};
use headround::record::lock::Holder;
use headround::record::{digest, line, scan};
use headround::round::entry::{Entry, Id, Names};

fn main() {
    divan::main();
}

const ENTRIES: u128 = 200_000;

/// An area of `lines` lines of ten heads.
fn register(lines: usize) -> String {
    let mut text = "format: headround site 1\nsite: {id: s, name: Marram Quay Cannery, rules: nfpa25-2023}\nkinds:\n  \
        qr-pendent: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, made: 2009}\nareas:\n"
        .to_owned();
    for line in 0..lines {
        if line % 50 == 0 {
            let _ = write!(text, "  a{}:\n    lines:\n", line / 50);
        }
        text.push_str("      - 10 qr-pendent\n");
    }
    text
}

fn entry(n: u128) -> Entry {
    let verb = match n % 5 {
        0 => {
            r#""saw":{"head":"a7/12.7","sign":"paint","part":"element","extent":"trace","note":"drip from the beam above"}"#
        }
        1 => r#""note":{"text":"roof hatch open, rain on line 12"}"#,
        2 => r#""unreached":{"heads":"a7/12","why":"locked","denied_by":"night shift"}"#,
        _ => r#""seen":"a7/12.1..12.6""#,
    };
    let id = Id(Id::parse("01KAVQ5R8Z0000000000000000").expect("an id").0 + n);
    let json = format!(r#"{{"id":"{id}","at":"2026-11-25T09:14:02-05:00","by":"ines","round":"2026",{verb}}}"#);
    Entry::from_json(&json, &mut Names::default()).expect("an entry")
}

/// A site of 100,000 heads with 200,000 entries.
fn file() -> String {
    let mut text = register(10_000);
    let mut prev = None;
    for n in 1..=ENTRIES {
        let mut entry = entry(n);
        entry.mark(|m| m.prev = prev);
        prev = Some(entry.id);
        let _ = writeln!(text, "--- {}", line::encode(&entry, None));
    }
    text
}

#[divan::bench(sample_count = 10)]
fn scan_200_000_entries(bencher: divan::Bencher<'_, '_>) {
    let text = file();
    bencher
        .counter(BytesCount::new(text.len()))
        .counter(ItemsCount::new(ENTRIES as usize))
        .bench(|| scan::scan(text.as_bytes(), "t").expect("reads"));
}

#[divan::bench(sample_count = 10)]
fn scan_the_register_of_100_000_heads(bencher: divan::Bencher<'_, '_>) {
    let text = register(10_000);
    bencher.counter(BytesCount::new(text.len())).bench(|| scan::scan(text.as_bytes(), "t").expect("reads"));
}

#[divan::bench(sample_count = 5)]
fn digest_of_a_round_of_200_000_entries(bencher: divan::Bencher<'_, '_>) {
    let text = file();
    bencher
        .counter(BytesCount::new(text.len()))
        .bench(|| digest::collect(text.as_bytes(), "2026").expect("reads").digest());
}

#[divan::bench]
fn encode_an_entry(bencher: divan::Bencher<'_, '_>) {
    let entry = entry(5);
    bencher.bench(|| line::encode(divan::black_box(&entry), None));
}

#[divan::bench(args = ["/dev/shm", "."], sample_count = 200, sample_size = 1)]
fn append_an_entry_with_its_sync(bencher: divan::Bencher<'_, '_>, folder: &str) {
    let folder = tempfile::tempdir_in(folder).expect("a folder");
    let path = folder.path().join("t.site.yaml");
    std::fs::write(&path, register(10)).expect("written");
    let since = chrono::DateTime::parse_from_rfc3339("2026-11-25T09:14:02-05:00").expect("a time");
    let who = Holder { user: "ines".into(), host: "tablet-2".into(), pid: 1, since };
    let mut journal = journal::open(&path, Mode::Write, &who).expect("opens").writable.expect("writable");
    let mut n = 0;
    bencher.bench_local(|| {
        n += 1;
        journal.append(&mut entry(n)).expect("recorded");
    });
}
