//! One ruling: a look-up in the compiled rule set: `cargo bench --bench ruling`.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod common;

use std::hint::black_box;

use divan::Bencher;
use divan::counter::ItemsCount;
use headround::round::entry::What;
use headround::rules::judge::{Judge, Profile, Sighting};

fn main() {
    divan::main();
}

/// Every combination that the set allows, on every make-up of a sample site.
fn all() -> (Judge, Vec<(Profile, Sighting)>) {
    let site = common::site(2_000, 2_000);
    let mut judge = Judge::new(common::rules(), &site.register.recalled);
    let mut profiles: Vec<Profile> = Vec::new();
    for area in &site.register.areas {
        for kind in &site.register.kinds {
            profiles.push(judge.profile(kind, area));
        }
    }
    let state = common::fold(&site);
    let sightings: Vec<Sighting> = site
        .entries
        .iter()
        .filter_map(|e| if let What::Saw(saw) = &e.what { state.sighting(saw) } else { None })
        .collect();
    // Crossed in an order that never repeats the last profile, so that no answer is found lying ready.
    let pairs =
        (0..100_000).map(|n| (profiles[n * 31 % profiles.len()], sightings[n * 17 % sightings.len()])).collect();
    (judge, pairs)
}

#[divan::bench]
fn looked_up(bencher: Bencher<'_, '_>) {
    let (judge, pairs) = all();
    bencher.counter(ItemsCount::new(pairs.len())).bench_local(|| {
        for (profile, sighting) in &pairs {
            black_box(judge.judge(*profile, *sighting));
        }
    });
}

#[divan::bench]
fn looked_up_with_its_reasons(bencher: Bencher<'_, '_>) {
    let (judge, pairs) = all();
    bencher.counter(ItemsCount::new(pairs.len())).bench_local(|| {
        for (profile, sighting) in &pairs {
            black_box(judge.reasons(judge.judge(*profile, *sighting)));
        }
    });
}
