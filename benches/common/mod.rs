//! What the benches share: invented sites as files, the program's own screens, figures over many measurements.

#![allow(dead_code, clippy::expect_used, clippy::indexing_slicing, clippy::unwrap_used, missing_docs)]

use std::sync::Arc;
use std::time::Duration;

use chrono::{DateTime, FixedOffset};
use headround::diag::Source;
use headround::record::desk::Clock;
use headround::record::digest;
use headround::record::line::{self, MARK};
use headround::round::entry::{Entry, Signoff, What};
use headround::round::sample;
use headround::round::state::State;
use headround::rules::builtin;
use headround::rules::judge::Judge;
use headround::rules::model::RuleSet;
use headround::trade::register::Register;
use headround::trade::register_write;
use headround::tui::app::Setting;
use headround::tui::drive::{self, TestClock};
use headround::tui::screens::help::Help;
use headround::tui::screens::opening::Opening;
use headround::tui::screens::overview::Overview;
use headround::tui::screens::trouble::Trouble;

pub mod rules_text;

pub const SEED: u64 = 2026;

/// A site as a file holds it: its text, and the same as values.
pub struct Site {
    pub register: Register,
    pub entries: Vec<Entry>,
    pub text: String,
}

/// An invented site; its earlier round is signed with the digest of its lines.
pub fn site(heads: usize, entries: usize) -> Site {
    site_of(sample::register(heads, SEED), entries, SEED, |_| Vec::new())
}

/// The same of a register of one's own, with further entries at the end.
pub fn site_of(register: Register, entries: usize, seed: u64, further: impl FnOnce(&[Entry]) -> Vec<Entry>) -> Site {
    let source = register_write::write(&register);
    let hash = digest::collect(source.as_bytes(), "").expect("the register").register;
    let mut text = source.clone();
    let mut entries = sample::entries(&register, entries, seed, &mut |round| {
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
    let more = further(&entries);
    entries.extend(more);
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

pub fn source(text: &str) -> Arc<Source> {
    Source::new("bench.site.yaml", text)
}

/// The program's own screens over a clock that moves with the keys.
pub fn setting(clock: &TestClock) -> Setting {
    Setting {
        opening: Opening::boxed,
        overview: Overview::boxed,
        help: Help::boxed,
        trouble: Trouble::boxed,
        ..drive::setting(clock)
    }
}

/// Figures over many measurements: half are below the first, 99 of 100 below the second, none above the third.
pub fn figures(mut times: Vec<Duration>) -> (Duration, Duration, Duration) {
    times.sort_unstable();
    let at = |share: f64| times[((times.len() - 1) as f64 * share) as usize];
    (at(0.5), at(0.99), at(1.0))
}
