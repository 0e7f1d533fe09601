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
