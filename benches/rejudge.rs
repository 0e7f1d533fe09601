//! A record judged by another edition, and what that changes: `cargo bench --bench rejudge`.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod common;

use std::sync::{Arc, LazyLock};

use divan::Bencher;
use divan::counter::ItemsCount;
use headround::diag::Source;
use headround::round::rulings;
use headround::round::state::State;
use headround::rules::compare::compare;
use headround::rules::model::RuleSet;
use headround::rules::{builtin, load};

/// An edition that rules paint on frame arms otherwise.
const OTHER: &str = include_str!("../tests/fixtures/stricter-rules.yaml");

static LARGE: LazyLock<State> = LazyLock::new(|| common::fold(&common::site(100_000, 200_000)));

fn main() {
    divan::main();
}

fn other() -> Arc<RuleSet> {
    Arc::new(load::read(&Source::new("other.yaml", OTHER), &builtin::source).expect("the other edition"))
}

/// Everything that hangs on the rule set, for every head; the old state stays as it was.
#[divan::bench(sample_count = 20, sample_size = 1)]
fn rejudged(bencher: Bencher<'_, '_>) {
    let set = other();
    let state = &*LARGE;
    bencher
        .counter(ItemsCount::new(state.entries().len()))
        .bench_local(|| state.rejudged(Arc::clone(&set), "stricter"));
}

/// The list of heads whose ruling changes, with both rules.
#[divan::bench(sample_count = 20, sample_size = 1)]
fn changes_listed(bencher: Bencher<'_, '_>) {
    let state = &*LARGE;
    let other = state.rejudged(other(), "stricter");
    let on = "2027-01-04".parse().expect("a day");
    bencher.bench_local(|| rulings::against(state, &other, on));
}

/// Two sets compared, decision by decision.
#[divan::bench(sample_count = 20, sample_size = 1)]
fn sets_compared(bencher: Bencher<'_, '_>) {
    let (one, two) = (common::rules(), other());
    bencher.bench_local(|| compare(&one, &two));
}
