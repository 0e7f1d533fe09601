//! Lots of a large site: what a lot of 10,000 heads comes to, draws, what falls due, a test recorded: `cargo bench --bench lots`.

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

use chrono::NaiveDate;
use divan::Bencher;
use divan::counter::ItemsCount;
use headround::round::due;
use headround::round::entry::{Drawn, DrawnBy, Entry, Id, NewLot, Pick, Readings, Tested, What};
use headround::round::layout::HeadIx;
use headround::round::lots;
use headround::round::state::State;
use headround::trade::address::{AreaId, Heads};
use headround::trade::measure::{Pressure, Seconds, Span, Speed};
use headround::trade::quantity::Temperature;

/// Heads of the lot; all of them are sampled and tested.
const LOT: usize = 10_000;

static LARGE: LazyLock<State> = LazyLock::new(large);

fn main() {
    divan::main();
}

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2027, 1, 4).expect("a day")
}

fn name() -> AreaId {
    AreaId::parse("large").expect("a name")
}

fn readings(seconds: f64) -> Readings {
    Readings {
        oven: Temperature::parse("135 C").ok(),
        air: Speed::parse("2.54 m/s").ok(),
        start: Temperature::parse("20 C").ok(),
        pressure: Pressure::parse("7 psi").ok(),
        element: Seconds::new(seconds),
        clear: Seconds::new(seconds + 0.2),
        ..Readings::default()
    }
}

/// The site of the other benches with a lot of its first heads, every one of them drawn and tested.
fn large() -> State {
    let mut site = common::site(100_000, 200_000);
    let state = common::fold(&site);
    let heads: Vec<HeadIx> = (0..LOT as u32).map(HeadIx).collect();
    let picks: Vec<Pick> = heads
        .iter()
        .map(|h| {
            let kind = state.layout().head(*h).expect("a head").kind;
            let kind = state.register().kind(kind).expect("a kind").id.clone();
            Pick { head: state.address(*h).expect("an address"), kind, tag: format!("large-{}", h.0 + 1) }
        })
        .collect();
    let stretches = Heads::ranges(picks.iter().map(|p| p.head.clone()));
    let lot = NewLot { id: name(), name: "Large".to_owned(), heads: stretches, why: None, due: None, note: None };
    let (eligible, asked) = (LOT as u32, 100);
    let tests: Vec<What> = picks
        .iter()
        .map(|p| What::Tested(Box::new(Tested { lot: name(), head: p.head.clone(), readings: readings(9.5) })))
        .collect();
    let drawn =
        Drawn { lot: name(), way: DrawnBy::ByHand, seed: None, eligible, asked, unseen: false, picks, note: None };
    for what in [What::Lot(Box::new(lot)), What::Drawn(Box::new(drawn))].into_iter().chain(tests) {
        push(&mut site.entries, what);
    }
    let state = common::fold(&site);
    assert_eq!(lots::lots(&state)[0].samples.len(), LOT);
    state
}

fn push(entries: &mut Vec<Entry>, what: What) {
    let last = entries.last().expect("entries");
    let (id, at, round) = (Id::after(Some(last.id), 0, 0), last.at, Arc::clone(&last.round));
    entries.push(Entry { id, at, by: Arc::from("ines"), round, what, marks: None });
}

#[divan::bench(sample_count = 50, sample_size = 1)]
fn judge_a_lot(bencher: Bencher<'_, '_>) {
    let state = &*LARGE;
    bencher.counter(ItemsCount::new(LOT)).bench_local(|| lots::lots(state));
}

#[divan::bench(sample_count = 50, sample_size = 1)]
fn draw_a_sample(bencher: Bencher<'_, '_>) {
    let state = &*LARGE;
    let heads: Vec<HeadIx> = (0..LOT as u32).map(HeadIx).collect();
    bencher.counter(ItemsCount::new(LOT)).bench_local(|| lots::draw(state, &heads, &[], 100, 2026));
}

#[divan::bench(sample_count = 50, sample_size = 1)]
fn what_falls_due(bencher: Bencher<'_, '_>) {
    let state = &*LARGE;
    let lots = lots::lots(state);
    let within = Span::parse("24 months").expect("a span");
    bencher.counter(ItemsCount::new(100_000_usize)).bench_local(|| due::due(state, &lots, today(), within));
}

/// A table of a laboratory is taken in at once.
#[divan::bench(sample_count = 3, sample_size = 1)]
fn take_in_a_table(bencher: Bencher<'_, '_>) {
    let state = &*LARGE;
    let last = state.entries().iter().rposition(|e| matches!(e.what, What::Drawn(_))).expect("a draw");
    let (before, tests) = state.entries().split_at(last + 1);
    bencher
        .with_inputs(|| {
            let mut site = common::site(100_000, 200_000);
            site.entries = before.to_vec();
            (common::fold(&site), tests.to_vec())
        })
        .counter(ItemsCount::new(LOT))
        .bench_local_values(|(mut state, tests)| {
            state.apply_all(tests);
            state
        });
}

/// One more test that fails is taken in: the lot is judged anew and its heads are condemned.
#[divan::bench(sample_count = 10, sample_size = 1)]
fn take_in_a_failure(bencher: Bencher<'_, '_>) {
    let mut entries = LARGE.entries().to_vec();
    let head = LARGE.address(HeadIx(0)).expect("an address");
    push(&mut entries, What::Tested(Box::new(Tested { lot: name(), head, readings: readings(99.0) })));
    let failure = entries.pop().expect("an entry");
    bencher.with_inputs(|| (large(), failure.clone())).bench_local_values(|(mut state, failure)| {
        state.apply(failure);
        state
    });
}
