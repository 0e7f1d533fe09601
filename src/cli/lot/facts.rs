//! A lot and its tests as facts: what is printed, and what programs read.

use chrono::NaiveDate;
use serde::Serialize;

use crate::bench::judge::Verdict;
use crate::round::act::ranges;
use crate::round::entry::{DrawnBy, Readings, Step};
use crate::round::lots::{self, Lot, Sample, Stage};
use crate::round::state::{EntryIx, State};
use crate::rules::model::{Class, Confidence};
use crate::trade::address::{Address, AreaId, Heads};
use crate::trade::measure::{Rti, Seconds};
use crate::trade::register::KindIx;

/// A lot.
#[derive(Debug, Serialize)]
pub struct LotFacts {
    pub lot: AreaId,
    pub name: String,
    pub stage: Stage,
    pub next: String,
    /// When it is due again after it passed.
    pub next_due: Option<NaiveDate>,
    pub heads: usize,
    pub which: Vec<Heads>,
    pub kinds: Vec<KindCount>,
    pub why: Option<String>,
    pub due: Option<NaiveDate>,
    pub formed: Made,
    pub note: Option<String>,
    pub asked: AskedFacts,
    pub to_draw: u32,
    pub draws: Vec<DrawFacts>,
    pub samples: Vec<SampleFacts>,
    pub custody: Vec<CustodyFacts>,
    pub concluded: Option<ConcludedFacts>,
    pub passed: u32,
    pub failed: u32,
    pub void: u32,
    pub no_limit: u32,
    pub open: u32,
    pub decided: Option<NaiveDate>,
    pub failure: Option<FailureFacts>,
    /// How many of its heads it condemns that still hang.
    pub condemned: usize,
    pub because: Vec<String>,
    /// That drawn heads whose test or result is known still hang by the record.
    pub still_hang: Option<String>,
}

/// How many heads of a kind.
#[derive(Debug, Serialize)]
pub struct KindCount {
    pub kind: String,
    pub make_up: String,
    pub heads: usize,
}

/// Who wrote something, and when.
#[derive(Debug, Serialize)]
pub struct Made {
    pub by: String,
    pub on: Option<NaiveDate>,
}

/// How many heads the sample takes, and why.
#[derive(Debug, Serialize)]
pub struct AskedFacts {
    pub heads: u32,
    pub reading: Option<String>,
    pub clause: String,
    pub because: String,
}

/// A draw.
#[derive(Debug, Serialize)]
pub struct DrawFacts {
    pub way: DrawnBy,
    pub seed: Option<u32>,
    pub eligible: u32,
    pub asked: u32,
    pub unseen: bool,
    pub tags: Vec<String>,
    pub made: Made,
    pub note: Option<String>,
}

/// A drawn head.
#[derive(Debug, Serialize)]
pub struct SampleFacts {
    pub tag: String,
    pub head: Address,
    pub kind: String,
    /// When it was taken down and replaced.
    pub taken: Option<NaiveDate>,
    pub test: Option<TestFacts>,
}

/// A step of custody.
#[derive(Debug, Serialize)]
pub struct CustodyFacts {
    pub step: Step,
    pub tags: Vec<String>,
    pub from: Option<String>,
    pub to: Option<String>,
    pub on: NaiveDate,
    pub by: String,
    pub note: Option<String>,
}

/// A laboratory's result for the whole.
#[derive(Debug, Serialize)]
pub struct ConcludedFacts {
    pub passed: bool,
    pub on: String,
    pub by: String,
    pub tested: Option<u32>,
    pub note: Option<String>,
}

/// The failure that decides.
#[derive(Debug, Serialize)]
pub struct FailureFacts {
    pub said: String,
    pub class: Option<Class>,
}

/// One head's test against its limits.
#[derive(Debug, Serialize)]
pub struct TestFacts {
    pub lot: AreaId,
    pub tag: String,
    pub head: Address,
    pub kind: String,
    pub on: NaiveDate,
    pub verdict: Verdict,
    pub passes: bool,
    pub fails: bool,
    pub because: Vec<String>,
    /// (m·s)^½.
    pub rti: Option<f64>,
    pub limits: LimitFacts,
    pub readings: Readings,
    pub by: String,
}

/// What a head is held to, as indices and as times.
#[derive(Debug, Default, Serialize)]
pub struct LimitFacts {
    pub limit: Option<String>,
    /// (m·s)^½.
    pub rti_min: Option<f64>,
    /// (m·s)^½.
    pub rti_max: Option<f64>,
    pub at_most_s: Option<f64>,
    pub earliest_s: Option<f64>,
    pub latest_s: Option<f64>,
    pub clause: String,
    pub confidence: Option<Confidence>,
}

impl LotFacts {
    /// What there is to say of a lot.
    pub fn of(state: &State, lot: &Lot) -> Self {
        let out = &lot.outcome;
        let formed = lot.formed(state);
        Self {
            lot: lot.id.clone(),
            name: lot.name.clone(),
            stage: out.stage,
            next: lots::next_step(state, lot),
            next_due: lots::next_due(state, lot),
            heads: lot.heads.len(),
            which: ranges(state, &lot.heads),
            kinds: kinds(state, lot),
            why: lot.why.clone(),
            due: lot.due,
            formed: made(state, lot.entry),
            note: formed.and_then(|f| f.note.clone()),
            asked: AskedFacts {
                heads: out.asked.heads,
                reading: out.asked.reading.clone(),
                clause: out.asked.clause.clone(),
                because: out.asked.because.clone(),
            },
            to_draw: if out.stage.is_decided() { 0 } else { lots::wanted(state, lot).heads },
            draws: lot.draws.iter().filter_map(|ix| draw(state, *ix)).collect(),
            samples: lot.samples.iter().filter_map(|s| sample(state, lot, s)).collect(),
            custody: lot.custody.iter().filter_map(|ix| custody(state, *ix)).collect(),
            concluded: lot.concluded.and_then(|ix| concluded(state, ix)),
            passed: out.passed,
            failed: out.failed,
            void: out.void,
            no_limit: out.no_limit,
            open: out.open,
            decided: out.on,
            failure: out.failure.as_ref().map(|f| FailureFacts { said: lots::failure_words(state, f), class: f.class }),
            condemned: lots::condemned(state, lot),
            because: out.why.clone(),
            still_hang: lot.still_hang(state),
        }
    }
}

fn kind_name(state: &State, kind: KindIx) -> String {
    state.register().kind(kind).map_or_else(String::new, |k| k.id.clone())
}

fn kinds(state: &State, lot: &Lot) -> Vec<KindCount> {
    let mut list = lot.kinds.clone();
    list.sort_unstable();
    let units = state.register().site.units;
    let make_up = |k: KindIx| state.register().kind(k).map_or_else(String::new, |k| k.describe(units));
    let count = |kinds: &[KindIx]| {
        let first = *kinds.first()?;
        Some(KindCount { kind: kind_name(state, first), make_up: make_up(first), heads: kinds.len() })
    };
    list.chunk_by(|a, b| a == b).filter_map(count).collect()
}

fn made(state: &State, ix: EntryIx) -> Made {
    let entry = state.entry(ix);
    Made { by: entry.map_or_else(String::new, |e| e.by.to_string()), on: entry.map(|e| e.at.date_naive()) }
}

fn draw(state: &State, ix: EntryIx) -> Option<DrawFacts> {
    let (_, it) = lots::drawn(state, ix)?;
    Some(DrawFacts {
        way: it.way,
        seed: it.seed,
        eligible: it.eligible,
        asked: it.asked,
        unseen: it.unseen,
        tags: it.picks.iter().map(|p| p.tag.clone()).collect(),
        made: made(state, ix),
        note: it.note.clone(),
    })
}

fn sample(state: &State, lot: &Lot, it: &Sample) -> Option<SampleFacts> {
    Some(SampleFacts {
        tag: it.tag.clone(),
        head: state.address(it.head)?,
        kind: kind_name(state, it.kind),
        taken: it.taken.and_then(|ix| state.entry(ix)).map(|e| e.at.date_naive()),
        test: TestFacts::of(state, lot, it),
    })
}

fn custody(state: &State, ix: EntryIx) -> Option<CustodyFacts> {
    let (entry, it) = lots::custody(state, ix)?;
    Some(CustodyFacts {
        step: it.step,
        tags: it.tags.clone(),
        from: it.from.clone(),
        to: it.to.clone(),
        on: it.on.unwrap_or_else(|| entry.at.date_naive()),
        by: entry.by.to_string(),
        note: it.note.clone(),
    })
}

fn concluded(state: &State, ix: EntryIx) -> Option<ConcludedFacts> {
    let (_, it) = lots::concluded(state, ix)?;
    Some(ConcludedFacts {
        passed: it.passed,
        on: it.on.to_string(),
        by: it.by.clone(),
        tested: it.tested,
        note: it.note.clone(),
    })
}

impl TestFacts {
    /// The test of a drawn head, if it has one.
    pub fn of(state: &State, lot: &Lot, sample: &Sample) -> Option<Self> {
        let (entry, tested) = lots::tested(state, sample.test?)?;
        let judged = sample.judged.as_ref()?;
        let mut limits = LimitFacts::of(state, sample);
        (limits.earliest_s, limits.latest_s) = (judged.window.earliest_s, judged.window.latest_s);
        Some(Self {
            lot: lot.id.clone(),
            tag: sample.tag.clone(),
            head: tested.head.clone(),
            kind: kind_name(state, sample.kind),
            on: lots::tested_on(state, sample.test?)?,
            verdict: judged.verdict,
            passes: judged.verdict.passes(),
            fails: judged.verdict.fails(),
            because: judged.why.clone(),
            rti: judged.rti,
            limits,
            readings: tested.readings.clone(),
            by: entry.by.to_string(),
        })
    }
}

impl LimitFacts {
    /// What the set holds a drawn head to; the times hang on the conditions of its test.
    pub fn of(state: &State, sample: &Sample) -> Self {
        let Some(limit) = lots::limit_of(state, sample.head, sample.kind) else { return Self::default() };
        Self {
            limit: Some(limit.id.clone()),
            rti_min: limit.rti_least.map(Rti::metric),
            rti_max: limit.rti.map(Rti::metric),
            at_most_s: limit.at_most.map(Seconds::seconds),
            earliest_s: None,
            latest_s: None,
            clause: limit.basis.clause.clone(),
            confidence: Some(limit.basis.confidence),
        }
    }

    /// The indices as people read them: `80 to 350`, `to 50`, `-`.
    pub fn indices(&self) -> String {
        span(self.rti_min, self.rti_max, 0)
    }

    /// The times as people read them, s.
    pub fn times(&self) -> String {
        span(self.earliest_s, self.latest_s, 1)
    }
}

/// A range of which an end may be open.
pub fn span(from: Option<f64>, to: Option<f64>, places: usize) -> String {
    match (from, to) {
        (Some(from), Some(to)) => format!("{from:.places$} to {to:.places$}"),
        (None, Some(to)) => format!("to {to:.places$}"),
        (Some(from), None) => format!("from {from:.places$}"),
        (None, None) => "-".to_owned(),
    }
}
