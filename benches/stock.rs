//! The spare cabinet of a large site: ledger, required stock, findings, heads that wait for a spare: `cargo bench --bench stock`.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod common;

use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock};

use chrono::NaiveDate;
use divan::Bencher;
use divan::counter::ItemsCount;
use headround::round::entry::{Counted, Deed, Did, Entry, Id, Moved, Way, What};
use headround::round::sample::Dice;
use headround::round::state::State;
use headround::round::stock::{self, Ledger, Required};
use headround::trade::address::{AreaId, Heads};
use headround::trade::register::Cabinet;

const CABINETS: usize = 4;
/// Entries about cabinets: decades of a busy site.
const ENTRIES: usize = 10_000;

static LARGE: LazyLock<(State, Ledger, Required)> = LazyLock::new(|| {
    let state = large();
    let ledger = stock::ledger(&state);
    let required = stock::required(&state, &ledger, today());
    (state, ledger, required)
});

fn main() {
    divan::main();
}

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2027, 1, 4).expect("a day")
}

fn cabinet(at: usize) -> AreaId {
    AreaId::parse(&format!("cabinet-{at}")).expect("a name")
}

/// The site of the other benches with four cabinets: counted now and then, filled, taken from, heads replaced out of them.
fn large() -> State {
    let mut site = common::site(100_000, 200_000);
    let areas: Vec<AreaId> = site.register.areas.iter().map(|a| a.id.clone()).collect();
    for (at, serves) in areas.chunks(areas.len().div_ceil(CABINETS)).enumerate() {
        site.register.cabinets.push(Cabinet {
            id: cabinet(at),
            name: format!("Cabinet {at}"),
            place: None,
            serves: serves.to_vec(),
            keep: Vec::new(),
        });
    }
    let kinds: Vec<String> = site.register.kinds.iter().map(|k| k.id.clone()).collect();
    let mut dice = Dice::new(common::SEED);
    for n in 0..ENTRIES {
        let last = site.entries.last().expect("entries");
        let (at, kind) = (cabinet(dice.between(0, CABINETS - 1)), dice.pick(&kinds).expect("a kind").clone());
        let what = match dice.between(0, 9) {
            0 => {
                let held: BTreeMap<String, u32> =
                    kinds.iter().map(|k| (k.clone(), dice.between(0, 9) as u32)).collect();
                What::Counted(Box::new(Counted { cabinet: at, held, unfit: BTreeMap::new(), note: None }))
            }
            1..=4 => {
                let way = *dice.pick(Way::ALL).expect("a way");
                What::Moved(Box::new(Moved { cabinet: at, kind, n: 2, way, head: None, note: None }))
            }
            _ => {
                let head =
                    Heads::parse(&format!("{}/1.{}", areas[n % areas.len()], dice.between(1, 5))).expect("a head");
                let (did, kind, from) = (Deed::Replaced, Some(kind), Some(at));
                What::Did(Box::new(Did { head, did, kind, from, who: None, note: None }))
            }
        };
        let (id, at, round) = (Id::after(Some(last.id), 0, 0), last.at, Arc::clone(&last.round));
        site.entries.push(Entry { id, at, by: Arc::from("ines"), round, what, marks: None });
    }
    let state = common::fold(&site);
    assert!(state.problems().len() < ENTRIES / 10, "{:?}", state.problems().first());
    state
}

#[divan::bench(sample_count = 50, sample_size = 1)]
fn ledger(bencher: Bencher<'_, '_>) {
    let (state, ..) = &*LARGE;
    bencher.counter(ItemsCount::new(ENTRIES)).bench_local(|| stock::ledger(state));
}

#[divan::bench(sample_count = 50, sample_size = 1)]
fn required(bencher: Bencher<'_, '_>) {
    let (state, ledger, _) = &*LARGE;
    bencher.bench_local(|| stock::required(state, ledger, today()));
}

#[divan::bench(sample_count = 50, sample_size = 1)]
fn findings(bencher: Bencher<'_, '_>) {
    let (state, ledger, required) = &*LARGE;
    bencher.bench_local(|| stock::findings(state, ledger, required, today()));
}

#[divan::bench(sample_count = 50, sample_size = 1)]
fn condemned(bencher: Bencher<'_, '_>) {
    let (state, ..) = &*LARGE;
    let heads = stock::condemned(state).len();
    bencher.counter(ItemsCount::new(heads)).bench_local(|| stock::condemned(state));
}
