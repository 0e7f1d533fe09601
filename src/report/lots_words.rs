//! How lots are worded: what was asked and drawn, what the bench saw, the limits as an index and as times, what a result shows,
//! and what comes next. Every part of the summary and every sheet of a lot takes its words from here.

use super::phrases::{capital, counted, day, heads, said, sentence};
use super::summary::Scene;
use crate::bench::chance::{self, USUAL_CONFIDENCE};
use crate::bench::heat::Window;
use crate::bench::judge::{Judged, Limits, WaterSeal};
use crate::round::entry::{Concluded, Custody, Drawn, DrawnBy, Readings, Step};
use crate::round::layout::HeadIx;
use crate::round::lots::{self, Lot, Sample, Stage};
use crate::round::state::State;
use crate::rules::duties::SampleMatter;
use crate::trade::register::KindIx;

/// The unit of a response time index.
const UNIT: &str = "(m.s)^0.5";

/// `Links of 1971 (links)`.
pub(super) fn name(lot: &Lot) -> String {
    let name = said(&lot.name);
    if name.is_empty() || name == lot.id.as_str() { lot.id.to_string() } else { format!("{name} ({})", lot.id) }
}

/// The heads of a failed lot that a failed test condemns now; those that were replaced since are not among them.
pub(super) fn condemned(state: &State, lot: &Lot) -> Vec<HeadIx> {
    let failed = lot.outcome.failure.is_some();
    lot.heads.iter().copied().filter(|h| failed && state.failure(*h).is_some()).collect()
}

/// What comes next for a lot, as a sentence.
pub(super) fn next_step(state: &State, lot: &Lot) -> String {
    sentence(&capital(&said(&lots::next_step(state, lot))))
}

/// How strongly the tests of a lot speak, in a sentence; `None`: none of its heads has a test that says anything.
pub(super) fn evidence(state: &State, lot: &Lot) -> Option<String> {
    let told = lot.concluded.and_then(|ix| lots::concluded(state, ix)).map(|(_, c)| c);
    let own = lot.outcome.passed.saturating_add(lot.outcome.failed);
    let (tested, failed) = match told {
        Some(Concluded { tested: Some(n), passed: true, .. }) if own == 0 => (*n, 0),
        _ => (own, lot.outcome.failed),
    };
    if tested == 0 && lot.outcome.stage == Stage::Passed {
        return Some(
            "How many heads were tested is not recorded, so nobody can tell how strongly it speaks.".to_owned(),
        );
    }
    let share = chance::upper_bound(tested, failed, USUAL_CONFIDENCE).ok()?;
    let of_lot = u32::try_from(lot.heads.len()).ok();
    let most = of_lot.and_then(|n| Some((n, chance::upper_heads(n, tested, failed, USUAL_CONFIDENCE).ok()?)));
    let here = most.map_or(String::new(), |(n, most)| format!(", and up to {most} of the {n} of this lot"));
    let by_hand =
        |ix: &crate::round::state::EntryIx| lots::drawn(state, *ix).is_some_and(|(_, d)| d.way == DrawnBy::ByHand);
    let chosen = if lot.draws.iter().any(by_hand) {
        "; that holds for heads drawn by chance, and some were chosen by hand"
    } else {
        ""
    };
    Some(format!(
        "{failed} of {tested} failed: up to {:.0} % of such heads could still be bad at {:.0} % confidence{here}{chosen}.",
        // Never less than it is.
        (share * 100.0 - 1e-9).ceil(),
        USUAL_CONFIDENCE * 100.0,
    ))
}

/// How many heads are asked for and why, with its clause.
pub(super) fn asked(lot: &Lot) -> String {
    let asked = &lot.outcome.asked;
    let because = said(&asked.because);
    match super::phrases::clause(&asked.clause) {
        _ if asked.reading.is_none() => because,
        clause => format!("{because} ({clause})"),
    }
}

/// How heads were drawn: `4 heads by chance from seed 2026, of 22 that could be drawn`.
pub(super) fn drawn(it: &Drawn) -> String {
    let n = heads(it.picks.len());
    let pool = format!("of {} that could be drawn", it.eligible);
    let unseen = if it.unseen { ", those among them that nobody had looked at" } else { "" };
    let how = match (it.way, it.seed) {
        (DrawnBy::Random, Some(seed)) => format!("{n} by chance from seed {seed}, {pool}{unseen}"),
        (DrawnBy::Random, None) => format!("{n} by chance, no seed recorded, {pool}{unseen}"),
        (DrawnBy::ByHand, _) => format!("{n} by hand, {pool}{unseen}"),
    };
    match it.note.as_deref().map(said).filter(|t| !t.is_empty()) {
        Some(note) => format!("{how}: {note}"),
        None => how,
    }
}

/// A step of custody as people read it.
pub(super) const fn step(step: Step) -> &'static str {
    match step {
        Step::Packed => "packed",
        Step::HandedOver => "handed over",
        Step::Received => "received",
        Step::Scrapped => "scrapped",
    }
}

/// Which heads a step of custody is about.
pub(super) fn tags(it: &Custody) -> String {
    if it.tags.is_empty() {
        "all of the sample".to_owned()
    } else {
        super::phrases::listed(&it.tags.iter().map(|t| said(t)).collect::<Vec<_>>())
    }
}

/// What a laboratory told of the whole.
pub(super) fn concluded(it: &Concluded) -> String {
    let result = if it.passed { "passed" } else { "failed" };
    let n =
        it.tested.map_or(String::new(), |n| format!(", {} tested", heads(usize::try_from(n).unwrap_or(usize::MAX))));
    let note = it.note.as_deref().map(said).filter(|t| !t.is_empty()).map_or(String::new(), |t| format!(": {t}"));
    format!("{result}, says {} of {}{n}{note}", said(&it.by), it.on)
}

/// The conditions of a test: `oven 135 C, air 2.54 m/s, start 20 C, supply 7 psi`.
pub(super) fn conditions(it: &Readings) -> String {
    let mut parts: Vec<String> = Vec::new();
    parts.extend(it.oven.map(|v| format!("oven {v}")));
    parts.extend(it.air.map(|v| format!("air {v}")));
    parts.extend(it.start.map(|v| format!("start {v}")));
    parts.extend(it.pressure.map(|v| format!("supply {v}")));
    parts.extend(it.operating.map(|v| format!("operates at {v}")));
    parts.extend(it.c.map(|v| format!("C {v}")));
    parts.join(", ")
}

/// What the bench saw, a piece each.
pub(super) fn seen(it: &Readings) -> Vec<(&'static str, String)> {
    let mut parts: Vec<(&'static str, String)> = Vec::new();
    parts.extend(it.before.map(|v| ("before", format!("before: {v}"))));
    parts.extend(it.element.map(|v| ("element", format!("element operated at {v}"))));
    parts.extend(it.leak.map(|v| ("leak", format!("leaked from {v}"))));
    parts.extend(it.clear.map(|v| ("clear", format!("waterway cleared at {v}"))));
    parts.extend(it.until.map(|v| ("until", format!("exposure ended at {v}"))));
    parts.extend(it.rti.map(|v| ("rti", format!("index reported: {v}"))));
    parts.extend(
        it.opened
            .map(|v| ("opened", if v { "reported to have opened" } else { "reported not to have opened" }.to_owned())),
    );
    parts.extend(it.seal.map(|v| {
        let words = match v {
            WaterSeal::Free => "water seal free",
            WaterSeal::Stuck => "water seal stuck",
            WaterSeal::Leaking => "water seal leaking",
            WaterSeal::Shut => "water seal shut",
        };
        ("seal", words.to_owned())
    }));
    parts.extend(it.lodged.map(|v| ("lodged", if v { "parts lodged" } else { "no parts lodged" }.to_owned())));
    parts.extend(it.deflector.map(|v| ("deflector", format!("deflector {v}"))));
    parts.extend(it.note.as_deref().map(said).filter(|t| !t.is_empty()).map(|t| ("note", t)));
    parts
}

/// What a head is held to, each as an index and, where the conditions are known, as a time.
pub(super) fn limits(limits: &Limits, window: Option<&Window>) -> Vec<(&'static str, String)> {
    let at = |time: Option<f64>, words: &str| time.map_or(String::new(), |t| format!(", here {words} {t:.1} s"));
    let (earliest, latest) = (window.and_then(|w| w.earliest_s), window.and_then(|w| w.latest_s));
    let mut parts = Vec::new();
    match (limits.rti_most, limits.at_most) {
        (Some(most), _) => parts.push(("most", format!("index at most {most}{}", at(latest, "open by")))),
        (None, Some(longest)) => parts.push(("most", format!("open by {longest}"))),
        (None, None) => parts.push(("most", "the rule set names no figure".to_owned())),
    }
    if let (Some(_), Some(longest)) = (limits.rti_most, limits.at_most) {
        parts.push(("allowed", format!("{longest} are allowed whatever the index")));
    }
    parts.extend(
        limits.rti_least.map(|least| ("least", format!("index at least {least}{}", at(earliest, "not before")))),
    );
    parts.extend(limits.waterway.map(|p| ("waterway", format!("waterway clears at {p}"))));
    parts
}

/// The limits of one sampled head.
pub(super) fn limits_of(state: &State, sample: &Sample) -> Vec<(&'static str, String)> {
    let of_head = lots::limit_of(state, sample.head, sample.kind).map(lots::limits_of).unwrap_or_default();
    limits(&of_head, sample.judged.as_ref().map(|j| &j.window))
}

/// The response time index that a test shows.
pub(super) fn index(judged: &Judged) -> String {
    judged.rti.map_or(String::new(), |rti| format!("{rti:.1} {UNIT}"))
}

/// What the set says follows from a failure, with its clause.
pub(super) fn failure_rule(state: &State) -> Option<String> {
    let rule = lots::failure_rule(state)?;
    let text = said(&rule.text);
    Some(format!(
        "{} ({}, {})",
        text.trim_end_matches('.'),
        super::phrases::clause(&rule.basis.clause),
        rule.basis.confidence.means()
    ))
}

/// Why only such heads are drawn: the set's own words on heads with a visible defect.
pub(super) fn visible_rule(state: &State) -> Option<String> {
    let rules = &state.judge().set().duties.sample_rules;
    rules.iter().find(|r| r.matter == SampleMatter::VisiblyDefective && r.refuse).map(|r| sentence(&r.text))
}

/// What keeps a sample as it came down, for whoever handles it. Common practice, no source.
pub(super) const HANDLING: [&str; 6] = [
    "Hold the head by its frame, and turn it with its own wrench only. Nothing may touch the element or the deflector.",
    "Leave it as it is: no wiping, no cleaning, no paint pen. What is on it is part of what is tested.",
    "Put the protector over a bulb or a link at once, if one was supplied for it, and say so on the tag.",
    "Bag each head by itself, and mark the bag and not the head.",
    "Pack so that nothing knocks. Keep it cool and out of the sun and of a hot vehicle: heat changes what is tested.",
    "A head that came down never goes back, into a ceiling or a cabinet, whatever the test shows.",
];

/// Why a lot is tested: the age that asks and the day it was due.
pub(super) fn why(state: &State, lot: &Lot) -> String {
    let ages = &state.judge().set().duties.ages;
    let by = lot.why.as_deref().map(|id| match ages.iter().find(|a| a.id == id) {
        Some(age) => format!("{} ({})", said(&age.title), super::phrases::clause(&age.basis.clause)),
        None => format!("{} (not in the rule set that judges)", said(id)),
    });
    match (by, lot.due) {
        (Some(by), Some(on)) => format!("{by}; due {}", day(on)),
        (Some(by), None) => format!("{by}; the day it was due could not be told"),
        (None, Some(on)) => format!("no age is named; due {}", day(on)),
        (None, None) => "no age is named".to_owned(),
    }
}

impl Scene<'_> {
    /// When, by whom and by what a drawn head was taken down and replaced; empty where it still hangs.
    pub(super) fn taken(&self, sample: &Sample) -> String {
        let Some(entry) = sample.taken.and_then(|ix| self.state.entry(ix)) else { return "still hangs".to_owned() };
        let now = self.state.layout().head(sample.head).map(|h| h.kind);
        let kind = now.map_or(String::new(), |k: KindIx| self.kind_word(k));
        format!("{}, now {kind}", self.who_when(entry))
    }

    /// A kind's own word.
    pub(super) fn kind_word(&self, kind: KindIx) -> String {
        self.state.register().kind(kind).map_or_else(String::new, |k| said(&k.id))
    }
}

/// `2 passed, 1 failed`.
pub(super) fn tally(lot: &Lot) -> String {
    let o = &lot.outcome;
    let parts: Vec<String> = [
        (o.passed, "passed"),
        (o.failed, "failed"),
        (o.void, "void"),
        (o.no_limit, "without a figure to compare with"),
        (o.open, "not tested"),
    ]
    .iter()
    .filter(|(n, _)| *n > 0)
    .map(|(n, words)| format!("{n} {words}"))
    .collect();
    if parts.is_empty() { "nothing drawn".to_owned() } else { capital(&parts.join(", ")) }
}

/// `1 lot`, `3 lots`.
pub(super) fn lots_counted(n: usize) -> String {
    counted(n, "lot", "lots")
}
