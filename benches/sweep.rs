//! The sweep of an area: working out what it takes in, and putting it into the state: `cargo bench --bench sweep`.

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
use headround::round::act::{self, Reach};
use headround::round::entry::{Entry, Id, What};
use headround::round::state::State;

fn main() {
    divan::main();
}

/// A site on which the present round has only begun, and a large area of it that was not walked.
fn state(heads: usize) -> (State, u16) {
    let site = common::site(heads, heads * 2);
    let begun =
        site.entries.iter().position(|e| matches!(e.what, What::Begin(_)) && &*e.round == "2026").expect("a begin");
    let entries = site.entries.iter().take(begun + 1).cloned().collect();
    let site = common::Site { entries, ..site };
    let state = common::fold(&site);
    let area = (0..site.register.areas.len())
        .filter_map(|a| u16::try_from(a).ok())
        .max_by_key(|a| state.area_counts(*a).unseen)
        .expect("an area");
    (state, area)
}

#[divan::bench(args = [1_000, 10_000, 100_000], sample_count = 50)]
fn worked_out(bencher: Bencher<'_, '_>, heads: usize) {
    let (state, area) = state(heads);
    bencher.bench_local(|| act::sweep(&state, area, Reach::Area));
}

#[divan::bench(args = [1_000, 10_000, 100_000], sample_count = 50, sample_size = 1)]
fn put_into_the_state(bencher: Bencher<'_, '_>, heads: usize) {
    let (mut state, area) = state(heads);
    let (_, ranges) = act::sweep(&state, area, Reach::Area);
    bencher.bench_local(|| {
        for heads in &ranges {
            let last = state.entries().last().expect("entries");
            let entry = Entry {
                id: Id::after(Some(last.id), 0, 0),
                at: last.at,
                by: Arc::from("ines"),
                round: Arc::from("2026"),
                what: What::Seen(heads.clone()),
                marks: None,
            };
            state.apply(entry);
        }
    });
}
