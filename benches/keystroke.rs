//! One key of the walk: the entry put into the state and the frame drawn, over thousands of keys, for sites of three sizes and two
//! screens: `cargo bench --bench keystroke`. The disk is left out; `--bench append` measures it.

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
use std::time::Instant;

use headround::round::act;
use headround::round::entry::{Entry, Id, What};
use headround::round::layout::HeadIx;
use headround::round::state::State;
use headround::trade::address::Heads;
use headround::tui::glyphs::Glyphs;
use headround::tui::theme::Theme;
use ratatui::Terminal;
use ratatui::backend::TestBackend;

const KEYS: usize = 4_000;

fn main() {
    println!("{KEYS} keys each: half are below the first figure, 99 of 100 below the second, none above the third");
    for heads in [1_000, 10_000, 100_000] {
        let site = common::site(heads, heads * 2);
        for (width, height) in [(80, 24), (140, 40)] {
            let mut state = common::fold(&site);
            let mut terminal = Terminal::new(TestBackend::new(width, height)).expect("a screen");
            let (theme, glyphs) = (Theme::terminal(), Glyphs::unicode());
            let (mut apply, mut frame, mut both) = (Vec::new(), Vec::new(), Vec::new());
            for key in 0..KEYS {
                // Walking on through the site; a defect now and then, and now and then the last entry is taken back.
                let head = HeadIx(u32::try_from((key * 7) % heads).expect("a head"));
                let entry = entry(&state, head, key);
                let start = Instant::now();
                state.apply(entry);
                let applied = start.elapsed();
                terminal.draw(|f| common::draw(f, &state, head, theme, glyphs)).expect("a frame");
                let drawn = start.elapsed();
                apply.push(applied);
                frame.push(drawn - applied);
                both.push(drawn);
            }
            let row = |name: &str, times: Vec<_>| {
                let (half, most, worst) = common::figures(times);
                println!("{heads:>7} heads  {width:>3}x{height}  {name:<8} {half:>10.1?} {most:>10.1?} {worst:>10.1?}");
            };
            row("entry", apply);
            row("frame", frame);
            row("both", both);
        }
    }
}

fn entry(state: &State, head: HeadIx, key: usize) -> Entry {
    let last = state.entries().last().expect("entries");
    let heads = Heads::single(&state.address(head).expect("a head"));
    let what = match key % 20 {
        5 | 11 => What::Saw(Box::new(headround::round::entry::Saw {
            head: heads,
            sign: "corrosion".to_owned(),
            part: "frame".to_owned(),
            extent: "light".to_owned(),
            applied: None,
            how: headround::round::entry::How::Eye,
            doubtful: false,
            clearance: None,
            of: None,
            note: None,
        })),
        12 => act::undo_target(state, "ines").map_or(What::Seen(heads), What::Retract),
        _ => What::Seen(heads),
    };
    Entry {
        id: Id::after(Some(last.id), 0, 0),
        at: last.at,
        by: Arc::from("ines"),
        round: Arc::clone(&state.present_round().expect("a round").name),
        what,
        marks: None,
    }
}
