//! One key of the walk through the whole program: the key taken, its entry written and synced, put into the state, and the
//! frame drawn; over thousands of keys, for sites of three sizes and two screens: `cargo bench --bench keystroke`. The files
//! stand in the folder for temporary files: with TMPDIR on a disk in memory the sync costs nothing, and the rest shows.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod common;

use std::time::{Duration, Instant};

use headround::tui::drive::{Drive, TestClock};
use ratatui::Terminal;
use ratatui::backend::TestBackend;

/// A hand that walks on: heads in order, a defect, one taken back, the next unanswered one.
const KEYS: &[&str] = &["Space", "Space", "c", "4", "l", "Right", "Space", "p", "1", "t", "u", "Tab", "Space", "Right"];
const AREAS: usize = 20;
const ROUNDS: usize = 15;

fn main() {
    println!(
        "milliseconds; half of the keys are below the first figure, 99 of 100 below the second, none above the third"
    );
    for heads in [1_000, 10_000, 100_000] {
        let site = common::site(heads, heads);
        for (width, height) in [(80, 24), (140, 40)] {
            let folder = tempfile::tempdir().expect("a folder");
            let path = folder.path().join("keys.site.yaml");
            std::fs::write(&path, &site.text).expect("the file");
            let clock = TestClock::at("2027-01-04T08:00:00-05:00");
            let mut drive = Drive::on(&path, common::setting(&clock), clock);
            let mut terminal = Terminal::new(TestBackend::new(width, height)).expect("a screen");
            drive.keys("Enter");
            let (mut writing, mut moving, mut drawing) = (Vec::new(), Vec::new(), Vec::new());
            // From the end of the site, where nobody has been in this round.
            for area in site.register.areas.iter().rev().filter(|a| a.head_count() > 20).take(AREAS) {
                drive.keys("j").text(&format!("{}/1.1", area.id)).keys("Enter");
                assert_eq!(drive.top(), "walk");
                for key in std::iter::repeat_n(KEYS, ROUNDS).flatten() {
                    let before = count(&drive);
                    let start = Instant::now();
                    drive.keys(key);
                    let taken = start.elapsed();
                    terminal.draw(|frame| drive.app().draw(frame)).expect("a frame");
                    let drawn = start.elapsed();
                    drawing.push(drawn - taken);
                    if count(&drive) > before { writing.push(drawn) } else { moving.push(drawn) }
                }
            }
            let row = |name: &str, times: Vec<Duration>| {
                let n = times.len();
                let (half, most, worst) = common::figures(times);
                let ms = |t: Duration| t.as_secs_f64() * 1e3;
                println!(
                    "{heads:>7} heads  {width:>3}x{height}  {name:<24} {:7.3} {:7.3} {:7.3}  ({n} keys)",
                    ms(half),
                    ms(most),
                    ms(worst)
                );
            };
            row("keys that write, whole", writing);
            row("other keys, whole", moving);
            row("the frame alone", drawing);
        }
    }
}

fn count(drive: &Drive) -> usize {
    drive.app().desk().map_or(0, |d| d.state().entries().len())
}
