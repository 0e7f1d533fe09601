//! What a lot comes to: each operated head against the limits of the rule set, and what that means for all it stands for.

use std::collections::{BTreeSet, HashMap};
use std::sync::Arc;

use chrono::NaiveDate;

use super::size::{Asked, asked};
use super::{Failure, Lot, Sample, concluded, custody, tested, tested_on};
use crate::bench::heat::Window;
use crate::bench::judge::{Deflector, Judged, Limits, Run, Verdict, WaterSeal, judge};
use crate::round::due::plus;
use crate::round::entry::{Readings, Step};
use crate::round::layout::HeadIx;
use crate::round::state::{EntryIx, State};
use crate::rules::age::EARLY;
use crate::rules::duties::{Limit, SampleMatter, SampleRule};
use crate::rules::limits;
use crate::rules::model::Class;
use crate::trade::quantity::PartialDate;
use crate::trade::register::KindIx;
use crate::trade::words::words;

words! {
    /// How far a lot has come.
    #[derive(Default)]
    pub enum Stage ("stage of a lot") {
        /// Its heads are written down; none is drawn.
        #[default]
        Formed = "formed",
        /// Heads are drawn, and some of them still hang.
        Drawn = "drawn",
        /// All that was drawn is taken down.
        TakenDown = "taken-down",
        /// The sample was handed over, or some of it is tested.
        AtBench = "at-bench",
        /// All that was drawn is tested, and it is not enough to say that it passed.
        Undecided = "undecided",
        /// Enough heads did what they must, and none failed.
        Passed = "passed",
        /// A head failed, and the set condemns all that it stands for.
        Condemned = "condemned",
    }
}

impl Stage {
    /// Whether it has been decided.
    #[must_use]
    pub const fn is_decided(self) -> bool {
        matches!(self, Self::Passed | Self::Condemned)
    }

    /// The word for people.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::TakenDown => "taken down",
            Self::AtBench => "at the bench",
            other => other.as_str(),
        }
    }
}

/// What a lot comes to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outcome {
    /// How far it has come.
    pub stage: Stage,
    /// How many heads its sample takes.
    pub asked: Asked,
    /// Sampled heads that did what they must.
    pub passed: u32,
    /// Those that failed.
    pub failed: u32,
    /// Those whose test says nothing.
    pub void: u32,
    /// Those for which the set has no figure.
    pub no_limit: u32,
    /// Drawn heads without a test.
    pub open: u32,
    /// The day of the decision: of the last test that was needed, or of the first failure.
    pub on: Option<NaiveDate>,
    /// The failure that decides.
    pub failure: Option<Failure>,
    /// Why, a sentence each.
    pub why: Vec<String>,
}

/// The limit of the set for a head of this kind where it hangs.
#[must_use]
pub fn limit_of(state: &State, head: HeadIx, kind: KindIx) -> Option<&Limit> {
    let area = state.register().areas.get(usize::from(state.layout().head(head)?.area))?;
    let facts = state.judge().facts(state.register().kind(kind)?, area);
    limits::of(state.judge().set(), &facts)
}

/// A row of the set as what a head is held to.
#[must_use]
pub const fn limits_of(limit: &Limit) -> Limits {
    Limits {
        rti_least: limit.rti_least,
        rti_most: limit.rti,
        at_most: limit.at_most,
        waterway: limit.waterway,
        oven: limit.oven,
        air: limit.air,
        start: limit.start,
    }
}

/// What was read of a head of this kind, as the bench judges it; `None`: the kind is not in the register.
#[must_use]
pub fn run_of(state: &State, kind: KindIx, readings: &Readings) -> Option<Run> {
    let rating = state.register().kind(kind)?.rating;
    Some(Run {
        rating,
        operates: readings.operating.unwrap_or(rating),
        oven: readings.oven,
        air: readings.air,
        start: readings.start,
        pressure: readings.pressure,
        element: readings.element,
        leak: readings.leak,
        clear: readings.clear,
        until: readings.until,
        c: readings.c,
        rti: readings.rti,
        opened: readings.opened,
        leaking: readings.seal == Some(WaterSeal::Leaking),
        shut: readings.seal == Some(WaterSeal::Shut),
    })
}

fn judged(state: &State, sample: &Sample, ix: EntryIx, limits: &Limits) -> Option<Judged> {
    let (_, test) = tested(state, ix)?;
    let (on, drawn) = (tested_on(state, ix)?, state.entry(sample.drawn)?.at.date_naive());
    if on < drawn {
        let why = vec![format!("the test is dated {on}, before the head was drawn on {drawn}")];
        return Some(Judged { verdict: Verdict::Void, why, rti: None, window: Window::default() });
    }
    let run = run_of(state, sample.kind, &test.readings)?;
    let mut judged = judge(&run, limits);
    if judged.verdict.passes() && is_unsound(&test.readings) {
        judged.why.push("but parts stayed lodged or the deflector is not sound: ask the laboratory".to_owned());
    }
    Some(judged)
}

/// The class that the set gives a head which failed so.
#[must_use]
pub fn class_of(rule: &SampleRule, verdict: Verdict) -> Option<Class> {
    match verdict {
        Verdict::Slow => rule.late,
        Verdict::TooFast => rule.early,
        v if v.stayed_shut() => rule.shut,
        _ => None,
    }
}

/// The rule on what follows from a failure.
#[must_use]
pub fn failure_rule(state: &State) -> Option<&SampleRule> {
    state.judge().set().duties.sample_rules.iter().find(|r| r.matter == SampleMatter::Failure)
}

/// Works out what a lot comes to.
pub(super) fn settle(state: &State, lot: &mut Lot) {
    let mut known: HashMap<(u16, KindIx), Limits> = HashMap::new();
    for sample in &mut lot.samples {
        let Some(area) = state.layout().head(sample.head).map(|h| h.area) else { continue };
        let limits = known
            .entry((area, sample.kind))
            .or_insert_with(|| limit_of(state, sample.head, sample.kind).map(limits_of).unwrap_or_default());
        let tests = sample.tests.iter().filter_map(|ix| Some((*ix, judged(state, sample, *ix, limits)?)));
        let tests: Vec<(EntryIx, Judged)> = tests.collect();
        let failed = tests.iter().rposition(|(_, j)| j.verdict.fails());
        let deciding = failed.or(tests.len().checked_sub(1)).and_then(|at| tests.into_iter().nth(at));
        (sample.test, sample.judged) = deciding.map_or((None, None), |(ix, judged)| (Some(ix), Some(judged)));
    }
    let mut outcome =
        Outcome { asked: asked(state, lot.heads.iter().copied().zip(lot.kinds.iter().copied())), ..Outcome::default() };
    for sample in &lot.samples {
        match sample.judged.as_ref().map(|j| j.verdict) {
            None => outcome.open += 1,
            Some(Verdict::Void) => outcome.void += 1,
            Some(Verdict::NoLimit) => outcome.no_limit += 1,
            Some(v) if v.fails() => outcome.failed += 1,
            Some(_) => outcome.passed += 1,
        }
    }
    let rule = failure_rule(state);
    outcome.failure = failure(state, lot, rule);
    outcome.stage = stage(state, lot, &outcome);
    outcome.on = match outcome.stage {
        Stage::Condemned => outcome.failure.as_ref().and_then(|f| day(state, f.entry)),
        Stage::Passed => passed_on(state, lot),
        _ => None,
    };
    explain(state, lot, &mut outcome, rule);
    lot.outcome = outcome;
}

/// The failure that weighs most, and of those alike the first entered.
fn failure(state: &State, lot: &Lot, rule: Option<&SampleRule>) -> Option<Failure> {
    let condemns = rule.is_some_and(|r| r.condemns);
    let of_sample = lot.samples.iter().filter(|_| condemns).filter_map(|s| {
        let rule = rule?;
        let judged = s.judged.as_ref()?;
        let verdict = judged.verdict;
        let (entry, class) = (s.test?, class_of(rule, verdict));
        let why = Arc::from(judged.why.first().map_or("", String::as_str));
        verdict.fails().then_some(Failure { entry, lot: lot.entry, class, verdict: Some(verdict), why })
    });
    // A laboratory that only says "failed" leaves open how; the heavier is the safe reading.
    let told = lot.concluded.and_then(|ix| concluded(state, ix).filter(|(_, c)| !c.passed).map(|_| ix));
    let class = rule.and_then(|r| r.shut.max(r.late));
    let told = told.map(|entry| Failure { entry, lot: lot.entry, class, verdict: None, why: Arc::from("") });
    of_sample.chain(told).max_by_key(|f| (f.class, std::cmp::Reverse(f.entry)))
}

fn stage(state: &State, lot: &Lot, outcome: &Outcome) -> Stage {
    if outcome.failure.is_some() {
        return Stage::Condemned;
    }
    let told = lot.concluded.and_then(|ix| concluded(state, ix)).map(|(_, c)| c);
    // Where the set does not condemn by one failure, whoever is asked says what the failures mean.
    let cleared = told.is_some_and(|c| {
        c.passed && !before_draw(state, lot, c.on) && c.tested.is_none_or(|n| n >= outcome.asked.heads)
    });
    if cleared || (outcome.failed == 0 && enough(state, lot, outcome)) {
        return Stage::Passed;
    }
    if lot.samples.is_empty() {
        return if told.is_some() { Stage::Undecided } else { Stage::Formed };
    }
    if outcome.open == 0 {
        return Stage::Undecided;
    }
    let handed =
        |ix: &EntryIx| custody(state, *ix).is_some_and(|(_, c)| matches!(c.step, Step::HandedOver | Step::Received));
    if lot.samples.iter().any(|s| s.test.is_some()) || lot.custody.iter().any(handed) {
        return Stage::AtBench;
    }
    if lot.samples.iter().all(|s| s.taken.is_some()) { Stage::TakenDown } else { Stage::Drawn }
}

/// Whether enough heads passed, of every kind where the set asks for that, and no drawn head is still without a test.
fn enough(state: &State, lot: &Lot, outcome: &Outcome) -> bool {
    outcome.asked.heads > 0
        && outcome.open == 0
        && outcome.passed >= outcome.asked.heads
        && missing(state, lot).is_empty()
}

/// Kinds of the lot that no passed head of the sample speaks for, where the set asks for every kind.
fn missing(state: &State, lot: &Lot) -> Vec<KindIx> {
    let asks = state.judge().set().duties.sample_rules.iter().any(|r| r.matter == SampleMatter::RepresentedKinds);
    if !asks {
        return Vec::new();
    }
    let passed = |s: &&Sample| s.judged.as_ref().is_some_and(|j| j.verdict.passes());
    let spoken: BTreeSet<KindIx> = lot.samples.iter().filter(passed).map(|s| s.kind).collect();
    let kinds: BTreeSet<KindIx> = lot.kinds.iter().copied().collect();
    kinds.difference(&spoken).copied().collect()
}

/// Whether a day lies before the sample was drawn.
fn before_draw(state: &State, lot: &Lot, on: PartialDate) -> bool {
    let drawn = lot.draws.first().and_then(|ix| state.entry(*ix)).map(|e| e.at.date_naive());
    drawn.zip(latest(on)).is_some_and(|(drawn, on)| on < drawn)
}

/// The last day that a date known in part can be.
fn latest(date: PartialDate) -> Option<NaiveDate> {
    let day = date.earliest()?;
    let months = match (date.month, date.day) {
        (_, Some(_)) => return Some(day),
        (Some(_), None) => 1,
        (None, None) => 12,
    };
    plus(day, months).pred_opt()
}

/// A failed test that another has put aside, in words.
fn undone(state: &State, sample: &Sample, ix: EntryIx) -> Option<String> {
    let limits = limit_of(state, sample.head, sample.kind).map(limits_of).unwrap_or_default();
    let verdict = judged(state, sample, ix, &limits)?.verdict;
    let by = &state.entry(ix)?.by;
    verdict
        .fails()
        .then(|| crate::diag::plain(&format!("{}: a test of {by} that says '{verdict}' was corrected", sample.tag)))
}

/// Whether something was remarked on a tested head that no limit weighs.
fn unsound(state: &State, sample: &Sample) -> bool {
    sample.test.and_then(|ix| tested(state, ix)).is_some_and(|(_, t)| is_unsound(&t.readings))
}

fn is_unsound(readings: &Readings) -> bool {
    readings.lodged == Some(true) || readings.deflector.is_some_and(|d| d != Deflector::Sound)
}

fn day(state: &State, ix: EntryIx) -> Option<NaiveDate> {
    match concluded(state, ix) {
        // An unknown month or day counts as the earliest, so that what follows from it is due no later.
        Some((_, c)) => c.on.earliest(),
        None => tested_on(state, ix),
    }
}

/// The last test of those that passed; a laboratory's own date where it only tells the whole.
fn passed_on(state: &State, lot: &Lot) -> Option<NaiveDate> {
    let tests = lot.samples.iter().filter(|s| s.judged.as_ref().is_some_and(|j| j.verdict.passes()));
    tests.filter_map(|s| tested_on(state, s.test?)).max().or_else(|| day(state, lot.concluded?))
}

fn explain(state: &State, lot: &Lot, outcome: &mut Outcome, rule: Option<&SampleRule>) {
    let n = |n: u32, one: &str, many: &str| if n == 1 { format!("1 {one}") } else { format!("{n} {many}") };
    let mut why = Vec::new();
    if let Some((_, c)) = lot.concluded.and_then(|ix| concluded(state, ix)) {
        let word = if c.passed { "passed" } else { "failed" };
        why.push(crate::diag::plain(&format!("{} says that it {word}", c.by)));
        if c.passed && before_draw(state, lot, c.on) {
            why.push(format!("that is dated {}, before the sample was drawn: it is not of this sample", c.on));
        }
        if let Some(n) = c.tested.filter(|n| c.passed && *n < outcome.asked.heads) {
            why.push(format!(
                "{n} tested there, and the rule set asks for {}: that is not enough",
                outcome.asked.heads
            ));
        }
    }
    if outcome.failed > 0 {
        why.push(format!("{} failed", n(outcome.failed, "head", "heads")));
    }
    if outcome.void > 0 {
        why.push(format!("{} void", n(outcome.void, "test is", "tests are")));
    }
    if outcome.no_limit > 0 {
        why.push(format!(
            "{} opened, and the rule set names no figure to compare with",
            n(outcome.no_limit, "head", "heads")
        ));
    }
    if outcome.open > 0 {
        why.push(format!("{} yet to be tested", n(outcome.open, "drawn head is", "drawn heads are")));
    }
    let undone: Vec<String> = lot
        .samples
        .iter()
        .flat_map(|s| s.corrected.iter().map(move |ix| (s, *ix)))
        .filter_map(|(s, ix)| undone(state, s, ix))
        .collect();
    why.extend(undone);
    let standing = lot.samples.iter().filter(|s| s.test.is_some() && s.taken.is_none()).count();
    if standing > 0 {
        let heads = n(u32::try_from(standing).unwrap_or(u32::MAX), "tested head", "tested heads");
        why.push(format!("{heads} of the sample: no replacement is written down"));
    }
    let drawn: BTreeSet<KindIx> = {
        let good = lot.samples.iter().filter(|s| s.judged.as_ref().is_none_or(|j| j.verdict != Verdict::Void));
        good.map(|s| s.kind).collect()
    };
    let asks = state.judge().set().duties.sample_rules.iter().any(|r| r.matter == SampleMatter::RepresentedKinds);
    if asks && !lot.samples.is_empty() && !outcome.stage.is_decided() {
        let kinds: BTreeSet<KindIx> = lot.kinds.iter().copied().collect();
        let names: Vec<&str> =
            kinds.difference(&drawn).filter_map(|k| state.register().kind(*k)).map(|k| k.id.as_str()).collect();
        if !names.is_empty() {
            why.push(format!("no drawn head speaks for {}: draw one of each", names.join(", ")));
        }
    }
    let marked = lot.samples.iter().filter(|s| unsound(state, s)).count();
    if marked > 0 {
        let heads = n(u32::try_from(marked).unwrap_or(u32::MAX), "head has", "heads have");
        why.push(format!(
            "{heads} parts lodged or a deflector that is not sound: the laboratory and the authority weigh that"
        ));
    }
    let formed = state.entry(lot.entry).map(|e| e.at.date_naive());
    if let (Some(due), Some(day)) = (lot.due, outcome.on.or(formed))
        && plus(day, EARLY.months()) < due
    {
        why.push(format!("it falls due on {due}: a test more than {EARLY} before that puts nothing off"));
    }
    if outcome.stage != Stage::Passed && outcome.failure.is_none() {
        let drawn = u32::try_from(lot.samples.len()).unwrap_or(u32::MAX).saturating_sub(outcome.void);
        if outcome.asked.heads > drawn {
            why.push(format!("{} to draw", n(outcome.asked.heads - drawn, "more head is", "more heads are")));
        }
        if outcome.asked.heads == 0 {
            why.push(
                "the rule set names no size of a sample: the laboratory and the authority say what is enough"
                    .to_owned(),
            );
        }
    }
    if outcome.failed > 0 && outcome.failure.is_none() && outcome.stage != Stage::Passed {
        let words = rule.map_or("the rule set does not say what follows from a failure", |r| r.text.as_str());
        why.push(words.to_owned());
    }
    outcome.why = why;
}
