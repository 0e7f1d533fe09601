//! The order list of many small sites: `cargo bench --bench order [-- SITES]`. Every run is a process of the program's own,
//! from its start to its end: it opens the files one finds in a folder, works the list out and writes it. The files are in
//! the system's cache. Beside it stands what opening them takes, on one processor and on all.

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
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use chrono::Duration as Later;
use headround::record::desk::{Desk, Who};
use headround::record::journal::Mode;
use headround::round::entry::{Counted, Entry, Id, Moved, Way, What};
use headround::round::sample::{self, Dice};
use headround::round::stock;
use headround::trade::address::AreaId;
use headround::trade::register::{Cabinet, Occupancy, Register};

const SITES: usize = 5_000;
const RUNS: usize = 11;

const PRICES: &str = "\
format: headround prices 1
currency: USD
prices:
  - {orientation: pendent, response: quick, pack: 10, price: 234.50}
  - {orientation: upright, response: standard, rating: 165 F, pack: 25, price: 310}
  - {part: cover-plate, orientation: pendent, mount: concealed, price: 9.75}
";

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let asked = arguments.iter().find(|a| *a != "--bench").map(|a| a.parse().expect("a number of sites"));
    // Without the word that `cargo bench` adds, somebody only wants to know that it runs.
    let (usual, runs) = if arguments.iter().any(|a| a == "--bench") { (SITES, RUNS) } else { (10, 1) };
    let sites = asked.unwrap_or(usual);
    let folder = tempfile::tempdir().expect("a folder");
    let prices = folder.path().join("prices.yaml");
    std::fs::write(&prices, PRICES).expect("the price file");
    let files = make(folder.path(), sites);
    let bytes: u64 = files.iter().map(|f| std::fs::metadata(f).expect("the file").len()).sum();
    let (heads, condemned) = open(&files, 1);
    println!("{sites} sites, {heads} heads, {condemned} of them condemned, {:.0} MB", bytes as f64 / 1e6);
    println!("milliseconds: half of {runs} runs are below the first figure; the least; the most");
    for form in ["table", "csv", "json"] {
        let mut written = 0;
        row(&format!("headround order --to {form}"), runs, || written = order(&files, &prices, form));
        println!("  {:<36} {:8} kB written", "", written / 1_000);
    }
    row("opened, one after the other", runs, || open(&files, 1));
    let all = std::thread::available_parallelism().map_or(1, usize::from);
    row(&format!("opened, {all} at a time"), runs, || open(&files, all));
}

fn row<T>(name: &str, runs: usize, mut run: impl FnMut() -> T) {
    let mut times: Vec<Duration> = Vec::with_capacity(runs);
    for _ in 0..runs {
        let start = Instant::now();
        std::hint::black_box(run());
        times.push(start.elapsed());
    }
    times.sort_unstable();
    let ms = |at: usize| times[at].as_secs_f64() * 1e3;
    println!("  {name:<36} {:8.0} {:8.0} {:8.0}", ms(runs / 2), ms(0), ms(runs - 1));
}

/// Runs the program; says how much it wrote.
fn order(files: &[PathBuf], prices: &Path, form: &str) -> usize {
    let program = env!("CARGO_BIN_EXE_headround");
    let mut command = Command::new(program);
    command.args(["order", "--to", form, "--prices"]).arg(prices).args(files);
    let ran = command.output().expect("a process");
    assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
    assert!(ran.stderr.is_empty(), "{}", String::from_utf8_lossy(&ran.stderr));
    ran.stdout.len()
}

/// Sites of 60 to 140 heads that differ in everything that chance decides: an earlier round, signed, a present one under way,
/// and for nine of ten a cabinet that was counted and, here and there, filled up since.
fn make(folder: &Path, sites: usize) -> Vec<PathBuf> {
    (0..sites)
        .map(|number| {
            let seed = common::SEED + number as u64;
            let mut dice = Dice::new(seed);
            let register = register(number, &mut dice);
            let heads = register.head_count();
            let site =
                common::site_of(register.clone(), heads * 2, seed, |walked| stocked(&register, walked, &mut dice));
            let path = folder.join(format!("site-{number:05}.site.yaml"));
            std::fs::write(&path, site.text).expect("the file");
            path
        })
        .collect()
}

fn register(number: usize, dice: &mut Dice) -> Register {
    let mut register = sample::register(dice.between(60, 140), dice.bits());
    register.site.name = format!("Site {number} of Port Tarrow");
    let hazards = [Occupancy::Light, Occupancy::Ordinary];
    for area in &mut register.areas {
        area.hazard = dice.pick(&hazards).copied();
    }
    if dice.happens(9_000) {
        register.cabinets.push(Cabinet {
            id: cabinet(),
            name: "Valve room cabinet".to_owned(),
            place: Some("Valve room, beside the riser".to_owned()),
            serves: Vec::new(),
            keep: vec![("qr-pendent".to_owned(), 2)],
        });
    }
    register
}

fn cabinet() -> AreaId {
    AreaId::parse("riser").expect("a name")
}

/// A count of the cabinet's spares, and what was put in after it.
fn stocked(register: &Register, walked: &[Entry], dice: &mut Dice) -> Vec<Entry> {
    let Some(mut last) = walked.last().filter(|_| !register.cabinets.is_empty()).cloned() else { return Vec::new() };
    let installed = installed(register);
    let held: BTreeMap<String, u32> =
        installed.iter().map(|k| (k.clone(), u32::try_from(dice.between(0, 6)).expect("few"))).collect();
    let unfit = held.iter().filter(|(_, n)| **n > 0 && dice.happens(1_000)).map(|(k, _)| (k.clone(), 1)).collect();
    let mut whats = vec![What::Counted(Box::new(Counted { cabinet: cabinet(), held, unfit, note: None }))];
    if let Some(kind) = dice.pick(&installed).filter(|_| dice.happens(3_000)) {
        whats.push(What::Moved(Box::new(Moved {
            cabinet: cabinet(),
            kind: kind.clone(),
            n: 2,
            way: Way::PutIn,
            head: None,
            note: None,
        })));
    }
    whats
        .into_iter()
        .map(|what| {
            let at = last.at + Later::seconds(60);
            let unix = u64::try_from(at.timestamp_millis()).expect("after 1970");
            last =
                Entry { id: Id::after(Some(last.id), unix, dice.bits().into()), at, what, marks: None, ..last.clone() };
            last.clone()
        })
        .collect()
}

fn installed(register: &Register) -> Vec<String> {
    let runs = register.areas.iter().flat_map(|a| &a.lines).flat_map(|l| &l.runs);
    let mut names: Vec<String> = runs.filter_map(|r| register.kind(r.kind?)).map(|k| k.id.clone()).collect();
    names.sort();
    names.dedup();
    names
}

/// Opens all files for reading; says how many heads they have and how many of those are condemned.
fn open(files: &[PathBuf], threads: usize) -> (usize, usize) {
    let who = Who { by: "ines".to_owned(), host: "bench".to_owned(), pid: 1, rules: None };
    let (next, heads, condemned) = (AtomicUsize::new(0), AtomicUsize::new(0), AtomicUsize::new(0));
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                while let Some(file) = files.get(next.fetch_add(1, Ordering::Relaxed)) {
                    let (desk, _) = Desk::open(file, Mode::Read, &who, &common::Still, None).expect("a site");
                    heads.fetch_add(desk.state().layout().heads.len(), Ordering::Relaxed);
                    condemned.fetch_add(stock::condemned(desk.state()).len(), Ordering::Relaxed);
                }
            });
        }
    });
    (heads.into_inner(), condemned.into_inner())
}
