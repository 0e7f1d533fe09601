//! What opening consists of, step by step, and what a sign-off reads: `cargo bench --bench open`.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod common;

use std::sync::LazyLock;

use divan::Bencher;
use divan::counter::{BytesCount, ItemsCount};
use headround::record::line::{self, Sum};
use headround::record::{digest, scan};
use headround::round::entry::{Entry, Names};
use headround::round::layout::Layout;
use headround::round::state::State;
use headround::rules::{self, builtin, judge::Judge};
use headround::trade::{register_text, register_write};

static LARGE: LazyLock<common::Site> = LazyLock::new(|| common::site(100_000, 200_000));

fn main() {
    divan::main();
}

fn lines() -> Vec<&'static str> {
    LARGE.text.lines().filter_map(|l| l.strip_prefix("--- ")).collect()
}

/// From its text; the program does it once.
#[divan::bench(sample_count = 20, sample_size = 1)]
fn rules_read(bencher: Bencher<'_, '_>) {
    let source = builtin::source("nfpa25-2023").expect("the built-in set");
    bencher.counter(BytesCount::of_str(&source.text)).bench_local(|| rules::load::read(&source, &|_| None));
}

#[divan::bench(sample_count = 20, sample_size = 1)]
fn register_read(bencher: Bencher<'_, '_>) {
    let text = register_write::write(&LARGE.register);
    bencher.counter(BytesCount::of_str(&text)).bench_local(|| register_text::read(&common::source(&text)));
}

#[divan::bench(sample_count = 20, sample_size = 1)]
fn sums_checked(bencher: Bencher<'_, '_>) {
    let lines = lines();
    bencher.counter(ItemsCount::new(lines.len())).bench_local(|| {
        assert!(lines.iter().all(|l| line::check(l.as_bytes()) == Sum::Right));
    });
}

#[divan::bench(sample_count = 20, sample_size = 1)]
fn entries_parsed(bencher: Bencher<'_, '_>) {
    let lines = lines();
    bencher.counter(ItemsCount::new(lines.len())).with_inputs(Names::default).bench_local_values(|mut names| {
        lines.iter().map(|l| Entry::from_json(l, &mut names)).collect::<Result<Vec<_>, _>>().expect("entries")
    });
}

#[divan::bench(sample_count = 20, sample_size = 1)]
fn scanned(bencher: Bencher<'_, '_>) {
    bencher
        .counter(BytesCount::of_str(&LARGE.text))
        .bench_local(|| scan::scan(LARGE.text.as_bytes(), "bench").expect("a scan"));
}

#[divan::bench(sample_count = 20, sample_size = 1)]
fn heads_laid_out(bencher: Bencher<'_, '_>) {
    bencher.counter(ItemsCount::new(100_000_usize)).bench_local(|| Layout::of(&LARGE.register));
}

#[divan::bench(sample_count = 20, sample_size = 1)]
fn folded(bencher: Bencher<'_, '_>) {
    let rules = common::rules();
    bencher
        .counter(ItemsCount::new(LARGE.entries.len()))
        .with_inputs(|| {
            let judge = Judge::new(std::sync::Arc::clone(&rules), &LARGE.register.recalled);
            (LARGE.register.clone(), LARGE.entries.clone(), judge)
        })
        .bench_local_values(|(register, entries, judge)| State::fold(register, entries, judge, None));
}

#[divan::bench(sample_count = 20, sample_size = 1)]
fn digest_of_the_signed_round(bencher: Bencher<'_, '_>) {
    let text = LARGE.text.as_bytes();
    bencher
        .counter(BytesCount::new(text.len()))
        .bench_local(|| digest::collect(text, "2025").expect("the lines").digest());
}
