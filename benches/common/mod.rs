//! What the benches share: invented sites as files, a frame of the walk, figures over many measurements.

#![allow(dead_code, clippy::expect_used, clippy::indexing_slicing, missing_docs)]

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use chrono::{DateTime, FixedOffset};
use headround::diag::{Diagnostic, Source};
use headround::record::desk::{Clock, Who};
use headround::record::digest;
use headround::record::line::{self, MARK};
use headround::round::act;
use headround::round::entry::{Entry, Signoff, What};
use headround::round::layout::{HeadIx, Slot};
use headround::round::sample;
use headround::round::state::{State, Status};
use headround::rules::builtin;
use headround::rules::judge::Judge;
use headround::rules::model::{RuleSet, Ruling};
use headround::trade::register::Register;
use headround::trade::register_text;
use headround::tui::glyphs::Glyphs;
use headround::tui::plan::{CellState, Plan};
use headround::tui::theme::Theme;
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout};

pub const SEED: u64 = 2026;

/// A site as a file holds it: its text, and the same as values.
pub struct Site {
    pub register: Register,
    pub entries: Vec<Entry>,
    pub text: String,
}

/// An invented site; its earlier round is signed with the digest of its lines.
pub fn site(heads: usize, entries: usize) -> Site {
    let register = sample::register(heads, SEED);
    let source = register_text::write(&register);
    let hash = digest::collect(source.as_bytes(), "").expect("the register").register;
    let mut text = source.clone();
    let entries = sample::entries(&register, entries, SEED, &mut |round| {
        let mut file = source.clone();
        write(&mut file, round, &hash);
        let digest = digest::collect(file.as_bytes(), "2025").expect("the lines").digest();
        Some(Signoff {
            name: "Osk Brannagh-Fell".to_owned(),
            licence: "PT-0097".to_owned(),
            date: round.last().map(|e| e.at.date_naive()).unwrap_or_default(),
            digest: digest.digest,
            lines: digest.lines,
            note: None,
        })
    });
    write(&mut text, &entries, &hash);
    Site { register, entries, text }
}

fn write(text: &mut String, entries: &[Entry], hash: &str) {
    for (number, entry) in entries.iter().enumerate() {
        let marked = number == 0 || matches!(entry.what, What::Signoff(_));
        text.push_str(MARK);
        text.push_str(&line::encode(entry, marked.then_some(hash)));
        text.push('\n');
    }
}

pub fn rules() -> Arc<RuleSet> {
    builtin::load("nfpa25-2023").expect("the built-in set")
}

pub fn fold(site: &Site) -> State {
    State::fold(site.register.clone(), site.entries.clone(), Judge::new(rules(), &site.register.recalled), None)
}

/// A clock that stands still; ids grow all the same.
pub struct Still;

impl Clock for Still {
    fn now(&self) -> DateTime<FixedOffset> {
        DateTime::parse_from_rfc3339("2027-01-04T08:00:00-05:00").expect("a moment")
    }

    fn random(&self) -> u128 {
        7
    }
}

pub fn who() -> Who {
    Who { by: "ines".to_owned(), host: "bench".to_owned(), pid: 1, rules: None }
}

/// Desk::open tells what it noticed; for a sample that is nothing.
pub fn open(path: &Path) -> headround::record::desk::Desk {
    let opened =
        headround::record::desk::Desk::open(path, headround::record::journal::Mode::Write, &who(), &Still, None);
    let (desk, notices) = opened.unwrap_or_else(|complaints| panic_with(&complaints));
    assert!(notices.is_empty(), "{notices:?}");
    desk
}

fn panic_with(complaints: &[Diagnostic]) -> ! {
    let told: Vec<String> = complaints.iter().map(ToString::to_string).collect();
    unreachable!("{}", told.join("\n"))
}

pub fn source(text: &str) -> Arc<Source> {
    Source::new("bench.site.yaml", text)
}

/// What the walk shows of one area: a row of counts, and the ceiling plan with a cell a head.
pub fn draw(frame: &mut Frame<'_>, state: &State, at: HeadIx, theme: &Theme, glyphs: &Glyphs) {
    let Some(head) = state.layout().head(at).copied() else { return };
    let rows = state.layout().rows(head.area);
    let [top, plan, foot] =
        Layout::vertical([Constraint::Length(1), Constraint::Min(1), Constraint::Length(3)]).areas(frame.area());
    let (here, all) = (state.area_counts(head.area), state.counts());
    frame.render_widget(
        format!("{} of {} · site {} of {}", here.answered(), here.heads, all.answered(), all.heads),
        top,
    );
    let cell = |line: usize, place: usize| {
        let slot = rows.get(line)?.slots.get(place)?;
        Some(match slot {
            Slot::Gap(_) => CellState::Gap,
            Slot::Head(h) => cell_of(state, *h),
        })
    };
    let picture = Plan {
        lines: rows.len(),
        places: rows.iter().map(|r| r.slots.len()).max().unwrap_or(0),
        cell: &cell,
        cursor: (usize::from(head.spot.line) - 1, usize::from(head.spot.place) - 1),
        theme,
        glyphs,
    };
    picture.draw(plan, frame.buffer_mut());
    let story = state.story(at);
    let ruling = state.judgement(at);
    let reasons = ruling.map_or(0, |j| state.judge().reasons(j).len());
    let next = act::next_where(state, head.area, Some(at), |h| act::is_unanswered(state, h));
    frame.render_widget(
        format!(
            "{}\n{:?} {reasons} reasons, {} findings, {} earlier\nnext {:?}",
            state.address(at).map(|a| a.to_string()).unwrap_or_default(),
            ruling.map(|j| j.ruling),
            story.findings.len(),
            story.carried.len(),
            next.and_then(|h| state.layout().head(h)).map(|h| h.spot),
        ),
        foot,
    );
}

fn cell_of(state: &State, head: HeadIx) -> CellState {
    if state.has_disagreement(head) {
        return CellState::Disagreement;
    }
    if state.has_open_carried(head) {
        return CellState::Carried;
    }
    match (state.status(head), state.judgement(head)) {
        (Status::Unseen, _) => CellState::Unseen,
        (Status::Unreached, _) => CellState::Unreached,
        (Status::Unsure, _) => CellState::Unsure,
        (Status::Seen, Some(j)) if j.ruling != Ruling::Keep => CellState::Ruled(j.ruling),
        (Status::Seen, _) => CellState::Seen,
    }
}

/// Figures over many measurements: half are below the first, 99 of 100 below the second, none above the third.
pub fn figures(mut times: Vec<Duration>) -> (Duration, Duration, Duration) {
    times.sort_unstable();
    let at = |share: f64| times[((times.len() - 1) as f64 * share) as usize];
    (at(0.5), at(0.99), at(1.0))
}
