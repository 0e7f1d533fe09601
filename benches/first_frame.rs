//! From the start of a process to the first frame of a large site, and the most memory it held on the way:
//! `cargo bench --bench first_frame [-- HEADS ENTRIES]`. Each run is a process of its own, so nothing is warm but the
//! system's file cache. The peak is the system's own figure, where it has one (Linux: VmHWM of /proc/self/status).

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod common;

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use headround::tui::app::App;
use headround::tui::drive::TestClock;
use ratatui::Terminal;
use ratatui::backend::TestBackend;

const RUNS: usize = 15;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).filter(|a| a != "--bench").collect();
    match arguments.as_slice() {
        [word, path] if word == "open" => child(Path::new(path)),
        [] => parent(100_000, 200_000),
        [heads, entries] => {
            parent(heads.parse().expect("a number of heads"), entries.parse().expect("a number of entries"))
        }
        [word, path, heads, entries] if word == "make" => {
            let site = common::site(heads.parse().expect("heads"), entries.parse().expect("entries"));
            std::fs::write(path, site.text).expect("the file");
        }
        _ => eprintln!(
            "give nothing, or HEADS ENTRIES, or for a profiler 'make' FILE HEADS ENTRIES and then 'open' FILE"
        ),
    }
}

fn parent(heads: usize, entries: usize) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("large.site.yaml");
    let site = common::site(heads, entries);
    std::fs::write(&path, &site.text).expect("the file");
    let megabytes = site.text.len() as f64 / 1e6;
    drop(site);
    let (mut times, mut steps, mut peaks) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..RUNS {
        let started = Instant::now();
        let exe = std::env::current_exe().expect("this program");
        let output = Command::new(exe).arg("open").arg(&path).output().expect("a process");
        times.push(started.elapsed());
        let text = String::from_utf8_lossy(&output.stdout).into_owned();
        assert!(output.status.success(), "{text}{}", String::from_utf8_lossy(&output.stderr));
        let mut words = text.split_whitespace().map(|w| w.parse::<u64>().expect("a number"));
        steps.push(Duration::from_micros(words.next().expect("microseconds")));
        peaks.push(words.next().expect("kB"));
    }
    times.sort_unstable();
    steps.sort_unstable();
    peaks.sort_unstable();
    let ms = |t: &[Duration], at: usize| t.get(at).map_or(0.0, |t| t.as_secs_f64() * 1e3);
    let mb = |at: usize| peaks.get(at).map_or(0.0, |kb| *kb as f64 * 1024.0 / 1e6);
    println!("{heads} heads, {entries} entries, {megabytes:.1} MB, {RUNS} processes");
    println!(
        "  open to first frame  {:6.1} ms median, {:6.1} least, {:6.1} most",
        ms(&steps, RUNS / 2),
        ms(&steps, 0),
        ms(&steps, RUNS - 1)
    );
    println!(
        "  process in all       {:6.1} ms median, {:6.1} least, {:6.1} most",
        ms(&times, RUNS / 2),
        ms(&times, 0),
        ms(&times, RUNS - 1)
    );
    println!("  peak memory          {:6.1} MB median, {:6.1} least, {:6.1} most", mb(RUNS / 2), mb(0), mb(RUNS - 1));
}

fn child(path: &Path) {
    let started = Instant::now();
    let clock = TestClock::at("2027-01-04T08:00:00-05:00");
    let mut app = App::new(common::setting(&clock));
    app.open(path);
    let mut terminal = Terminal::new(TestBackend::new(80, 24)).expect("a screen");
    terminal.draw(|frame| app.draw(frame)).expect("a frame");
    let took = started.elapsed().as_micros();
    assert_eq!(app.top(), "overview");
    println!("{took} {}", peak_kb());
    // As the program does: the system takes the memory back faster than the program can give it back piece by piece.
    std::process::exit(0);
}

fn peak_kb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"));
    line.and_then(|l| l.split_whitespace().next()).and_then(|n| n.parse().ok()).unwrap_or(0)
}
