//! The ruled heads of a round as rows: one a head, with every rule that spoke; what the register alone advises; and how
//! far the round has come, in numbers. Facts for reports and commands; it renders nothing.

mod advice;
mod against;
mod ages;
mod status;

use chrono::NaiveDate;
use serde::Serialize;

use super::act::heads_in_order;
use super::entry::{Applied, Entry, How, Id, Saw, What};
use super::layout::HeadIx;
use super::lots;
use super::state::{EntryIx, State, Status};
use super::story::{self, Answer, Carried, Fate, Finding, Story};
use crate::rules::judge::Judgement;
use crate::rules::model::{Class, Confidence, RuleIx, Ruling, Seen};
use crate::trade::address::{Address, AreaId};
use crate::trade::quantity::Length;
use crate::trade::register::KindIx;
use crate::trade::words::words;

pub use advice::{Advice, advice};
pub use against::{AdviceChanged, Advised, Against, Changed, Decided, NotKnown, against, not_known};
pub use ages::{DueBy, DueChanged};
pub use status::{AreaStatus, ByRuling, StatusRow, status};

words! {
    /// What became of a finding.
    pub enum Became ("fate of a finding") {
        /// It stands.
        Open = "open",
        /// It was mended in the round it was found in.
        Mended = "mended",
        /// It was looked at again and is gone.
        Gone = "gone",
        /// A disagreement was settled against it.
        SetAside = "set-aside",
    }
}

words! {
    /// How a finding of an earlier round stands in the present one.
    pub enum Standing ("standing of a carried finding") {
        /// Nobody has answered it yet.
        Unanswered = "unanswered",
        /// It is still there, as it was or less.
        Still = "still",
        /// It is still there, and more than it was.
        Worse = "worse",
        /// A repair is recorded; nobody has recorded a look at the head since.
        SaidFixed = "said-fixed-not-verified",
        /// It was looked at again and is gone.
        VerifiedFixed = "verified-fixed",
    }
}

/// One rule that spoke about a head.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reason {
    /// The rule's word; empty where no rule knows what was recorded.
    pub rule: String,
    /// The rule in one line.
    pub title: String,
    /// The clause of the adopted edition.
    pub clause: String,
    /// How far clause and ruling can be relied on.
    pub confidence: Confidence,
    /// How far the class can be relied on; `None` where the rule gives none, or no rule knows what was recorded.
    pub class_confidence: Option<Confidence>,
    /// The sign it speaks about.
    pub sign: String,
    /// The part; `None` where the sign is not one that is seen on a part.
    pub part: Option<String>,
    /// The extent; `None` likewise.
    pub extent: Option<String>,
    /// What this rule says must happen.
    pub ruling: Ruling,
    /// The weight this rule gives it.
    pub class: Option<Class>,
    /// The plain reason.
    pub because: String,
    /// What to do.
    pub remedy: String,
    /// What never to do.
    pub never: Option<String>,
    /// Who recorded it, by short name; `register` where it follows from the register alone.
    pub by: String,
    /// When, RFC 3339; empty where it follows from the register alone.
    pub at: String,
    /// The inspector's note.
    pub note: Option<String>,
    /// How it was looked at.
    pub how: How,
    /// Whether the inspector was in doubt.
    pub doubtful: bool,
    /// What became of it.
    pub fate: Became,
    /// Whether an earlier round had reported it.
    pub carried: bool,
}

/// What was recorded about a head at one time, with what the rule set says of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Recorded {
    /// The entry.
    pub entry: EntryIx,
    /// The sign's word; for a head that could not be judged, the rule set's sign for that.
    pub sign: String,
    /// The part, where an eye saw one.
    pub part: Option<String>,
    /// The extent, where an eye saw one.
    pub extent: Option<String>,
    /// Who applied the finish, where it was said.
    pub applied: Option<Applied>,
    /// A measured clearance.
    pub clearance: Option<Length>,
    /// How it was looked at.
    pub how: How,
    /// Whether the inspector was in doubt.
    pub doubtful: bool,
    /// The inspector's note.
    pub note: Option<String>,
    /// Why it could not be judged, where that is what was recorded.
    pub unsure: Option<super::entry::UnsureWhy>,
    /// What must happen.
    pub ruling: Ruling,
    /// The weight of it.
    pub class: Option<Class>,
    /// Every rule that spoke, strongest first.
    pub rules: Vec<RuleIx>,
    /// Whether the rule set knows the words.
    pub known: bool,
    /// What became of it.
    pub fate: Became,
    /// The entry that says so.
    pub fate_entry: Option<EntryIx>,
    /// Whether an earlier round had reported it.
    pub carried: bool,
    /// The entry that reported it first: an earlier round's where it was carried.
    pub first: EntryIx,
}

/// A finding that earlier rounds left open.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CarriedRow {
    /// The sign.
    pub sign: String,
    /// The part.
    pub part: String,
    /// The extent, as last reported.
    pub extent: String,
    /// What the adopted set says of it, as last reported.
    pub ruling: Ruling,
    /// The weight of it.
    pub class: Option<Class>,
    /// The clauses of the rules that speak of it.
    pub clauses: Vec<String>,
    /// How it stands now.
    pub state: Standing,
    /// The round that reported it first.
    pub first_round: String,
    /// The day it was reported first.
    pub first_on: NaiveDate,
    /// The round that reported it last before the present one.
    pub last_round: String,
    /// In how many earlier rounds it was reported.
    pub times: usize,
    /// Days from the first report to the day asked for; none where that lies before the report.
    pub age_days: Option<i64>,
    /// Whether the present round says anything about it.
    pub answered: bool,
    /// The entry that says a repair was made, in whichever round.
    #[serde(skip)]
    pub repair: Option<EntryIx>,
    /// The entry of the present round that answers it.
    #[serde(skip)]
    pub answer: Option<EntryIx>,
    /// The entry that reported it first.
    #[serde(skip)]
    pub first: EntryIx,
    /// The entry that reported it last before the present round.
    #[serde(skip)]
    pub last: EntryIx,
}

/// One head about which the present round records a finding, or an earlier one left one open.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RulingRow {
    /// Its address.
    pub head: Address,
    /// Its area's name for people.
    pub area: String,
    /// Its kind's word.
    pub kind: String,
    /// Its make-up in the site's units.
    pub make_up: String,
    /// What must happen: the strongest open ruling, advisory ones last; `None` while the present round says nothing of it.
    pub ruling: Option<Ruling>,
    /// The weight of the finding that decides.
    pub class: Option<Class>,
    /// The signs of its open findings.
    pub signs: Vec<String>,
    /// The clauses of every reason that is open.
    pub clauses: Vec<String>,
    /// Every rule that spoke.
    pub reasons: Vec<Reason>,
    /// Findings that earlier rounds left open.
    pub carried: Vec<CarriedRow>,
    /// Whether people disagree on it and nobody has settled it.
    pub disagreement: bool,
    /// Who recorded what decides, by short name.
    pub by: String,
    /// When, RFC 3339.
    pub at: String,
    /// The head.
    #[serde(skip)]
    pub ix: HeadIx,
    /// The index of its area.
    #[serde(skip)]
    pub area_ix: u16,
    /// The kind.
    #[serde(skip)]
    pub kind_ix: KindIx,
    /// What was recorded in the present round, in order.
    #[serde(skip)]
    pub recorded: Vec<Recorded>,
}

impl RulingRow {
    /// What was recorded and still stands.
    pub fn open(&self) -> impl Iterator<Item = &Recorded> {
        self.recorded.iter().filter(|r| r.fate == Became::Open)
    }
}

/// Which rows are wanted; an empty list asks nothing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Filter {
    /// Rulings.
    pub rulings: Vec<Ruling>,
    /// Classes of any open reason.
    pub classes: Vec<Class>,
    /// Areas.
    pub areas: Vec<AreaId>,
}

impl Filter {
    /// Whether a row is wanted.
    #[must_use]
    pub fn takes(&self, row: &RulingRow) -> bool {
        let open = || row.reasons.iter().filter(|r| r.fate == Became::Open);
        (self.rulings.is_empty() || row.ruling.is_some_and(|r| self.rulings.contains(&r)))
            && (self.classes.is_empty()
                || row.class.is_some_and(|c| self.classes.contains(&c))
                || open().filter_map(|r| r.class).any(|c| self.classes.contains(&c)))
            && (self.areas.is_empty() || self.areas.contains(&row.head.area))
    }
}

/// The rows of the present round, by area, then line and place. Ages are counted up to the day `on`.
#[must_use]
pub fn rows(state: &State, on: NaiveDate) -> Vec<RulingRow> {
    let mut rows = Vec::new();
    for area in 0..state.register().areas.len() {
        let area = u16::try_from(area).unwrap_or(u16::MAX);
        let start = rows.len();
        rows.extend(
            heads_in_order(state, area)
                .filter(|h| {
                    state.heads.get(h.at()).is_some_and(|now| !now.marks.is_empty()) || state.failure(*h).is_some()
                })
                .filter_map(|h| row(state, h, on)),
        );
        if let Some(new) = rows.get_mut(start..) {
            new.sort_by_key(|r: &RulingRow| r.head.spot);
        }
    }
    rows
}

/// Whether there is anything to say about a head, and so a row of it.
fn is_listed(state: &State, ix: HeadIx) -> bool {
    state.failure(ix).is_some()
        || state.heads.get(ix.at()).is_some_and(|now| !now.marks.is_empty()) && says_something(&state.story(ix))
}

const fn says_something(story: &Story) -> bool {
    !(story.findings.is_empty() && story.carried.is_empty() && story.unsure.is_none())
}

/// The row of one head, if there is anything to say about it.
#[must_use]
pub fn row(state: &State, ix: HeadIx, on: NaiveDate) -> Option<RulingRow> {
    let story = state.story(ix);
    if !says_something(&story) && state.failure(ix).is_none() {
        return None;
    }
    let head = state.layout().head(ix)?;
    let area = state.register().areas.get(usize::from(head.area))?;
    let kind = state.register().kind(head.kind)?;
    let recorded = recorded(state, ix, &story);
    let mut reasons: Vec<Reason> = recorded.iter().flat_map(|r| reasons_of(state, r)).collect();
    if state.status(ix) == Status::Seen {
        reasons.extend(register_reasons(state, ix));
    }
    reasons.extend(failure_reason(state, ix));
    let carried: Vec<CarriedRow> = story.carried.iter().filter_map(|c| carried_row(state, ix, c, on)).collect();
    let judgement = state.judgement(ix);
    let leading = recorded
        .iter()
        .filter(|r| r.fate == Became::Open)
        .max_by_key(|r| story::weight(r.ruling, r.class))
        .or_else(|| recorded.last())
        .map(|r| r.fate_entry.unwrap_or(r.entry))
        .or_else(|| state.failure(ix).map(|f| f.entry))
        .or_else(|| carried.first().map(|c| c.answer.unwrap_or(c.last)));
    let (by, at) = leading.and_then(|e| state.entry(e)).map(who_and_when).unwrap_or_default();
    let mut signs: Vec<String> = Vec::new();
    for one in recorded.iter().filter(|r| r.fate == Became::Open) {
        if !signs.contains(&one.sign) {
            signs.push(one.sign.clone());
        }
    }
    let mut clauses: Vec<String> = Vec::new();
    for reason in reasons.iter().filter(|r| r.fate == Became::Open && !r.clause.is_empty()) {
        if !clauses.contains(&reason.clause) {
            clauses.push(reason.clause.clone());
        }
    }
    Some(RulingRow {
        head: Address { area: area.id.clone(), spot: head.spot },
        area: area.name.clone(),
        kind: kind.id.clone(),
        make_up: kind.describe(state.register().site.units),
        ruling: judgement.map(|j| j.ruling),
        class: judgement.and_then(|j| j.class),
        signs,
        clauses,
        reasons,
        carried,
        disagreement: state.has_disagreement(ix),
        by,
        at,
        ix,
        area_ix: head.area,
        kind_ix: head.kind,
        recorded,
    })
}

fn who_and_when(entry: &Entry) -> (String, String) {
    (entry.by.to_string(), entry.at.to_rfc3339())
}

fn recorded(state: &State, ix: HeadIx, story: &Story) -> Vec<Recorded> {
    let mut list: Vec<Recorded> = story.findings.iter().filter_map(|f| found(state, story, f)).collect();
    if let Some(entry_ix) = story.unsure
        && let Some(What::Unsure(unsure)) = state.entry(entry_ix).map(|e| &e.what)
    {
        let judgement = unsure_judgement(state, ix);
        let set = state.judge().set();
        let sign = set.signs.iter().find(|s| s.seen == Seen::Doubt).map_or("unsure", |s| s.id.as_str());
        list.push(Recorded {
            entry: entry_ix,
            sign: sign.to_owned(),
            part: None,
            extent: None,
            applied: None,
            clearance: None,
            how: unsure.how,
            doubtful: false,
            note: unsure.note.clone(),
            unsure: Some(unsure.why),
            ruling: judgement.ruling,
            class: judgement.class,
            rules: state.judge().reasons(judgement).to_vec(),
            known: true,
            fate: Became::Open,
            fate_entry: None,
            carried: false,
            first: entry_ix,
        });
    }
    list
}

fn unsure_judgement(state: &State, ix: HeadIx) -> Judgement {
    let profile = state.layout().head(ix).and_then(|h| state.profiles.get(&(h.area, h.kind)));
    profile.map_or_else(|| state.judge().keep(), |p| state.judge().unsure(*p))
}

fn found(state: &State, story: &Story, finding: &Finding) -> Option<Recorded> {
    let entry = state.entry(finding.entry)?;
    let What::Saw(saw) = &entry.what else { return None };
    let (fate, fate_entry) = match finding.fate {
        Fate::Open => (Became::Open, None),
        Fate::Mended(by) => (Became::Mended, Some(by)),
        Fate::Gone(by) => (Became::Gone, Some(by)),
        Fate::SetAside(by) => (Became::SetAside, Some(by)),
    };
    let first = finding.carried.then(|| chain_start(state, story, saw)).flatten().unwrap_or(finding.entry);
    Some(Recorded {
        entry: finding.entry,
        sign: saw.sign.clone(),
        part: Some(saw.part.clone()),
        extent: Some(saw.extent.clone()),
        applied: saw.applied,
        clearance: saw.clearance,
        how: story::how_seen(entry),
        doubtful: saw.doubtful,
        note: saw.note.clone(),
        unsure: None,
        ruling: finding.judgement.ruling,
        class: finding.judgement.class,
        rules: state.judge().reasons(finding.judgement).to_vec(),
        known: finding.known,
        fate,
        fate_entry,
        carried: finding.carried,
        first,
    })
}

/// The first report of what a sighting carries on.
fn chain_start(state: &State, story: &Story, saw: &Saw) -> Option<EntryIx> {
    let same = |c: &&Carried| match state.entry(c.last).map(|e| &e.what) {
        Some(What::Saw(last)) => last.sign == saw.sign && last.part == saw.part,
        _ => false,
    };
    let named = |c: &&Carried| {
        saw.of.is_some_and(|of| [c.first, c.last].iter().any(|e| state.entry(*e).is_some_and(|e| e.id == of)))
    };
    story.carried.iter().find(named).or_else(|| story.carried.iter().find(same)).map(|c| c.first)
}

fn reasons_of(state: &State, recorded: &Recorded) -> Vec<Reason> {
    let (by, at) = state.entry(recorded.entry).map(who_and_when).unwrap_or_default();
    let reason = |rule: Option<RuleIx>| {
        let rule = rule.and_then(|r| state.judge().set().rule_at(r));
        Reason {
            rule: rule.map(|r| r.id.clone()).unwrap_or_default(),
            title: rule.map(|r| r.title.clone()).unwrap_or_default(),
            clause: rule.map(|r| r.clause.clone()).unwrap_or_default(),
            confidence: rule.map_or(Confidence::Practice, |r| r.confidence),
            class_confidence: rule.and_then(|r| r.class_confidence),
            sign: recorded.sign.clone(),
            part: recorded.part.clone(),
            extent: recorded.extent.clone(),
            ruling: rule.map_or(recorded.ruling, |r| r.ruling),
            class: rule.map_or(recorded.class, |r| r.class),
            because: rule.map_or_else(|| UNKNOWN_WORDS.to_owned(), |r| r.because.clone()),
            remedy: rule.map(|r| r.remedy.clone()).unwrap_or_default(),
            never: rule.and_then(|r| r.never.clone()),
            by: by.clone(),
            at: at.clone(),
            note: recorded.note.clone(),
            how: recorded.how,
            doubtful: recorded.doubtful,
            fate: recorded.fate,
            carried: recorded.carried,
        }
    };
    if recorded.rules.is_empty() {
        return vec![reason(None)];
    }
    recorded.rules.iter().map(|r| reason(Some(*r))).collect()
}

/// What is said where the adopted set has no rule for the recorded words.
pub const UNKNOWN_WORDS: &str = "the adopted rule set has no rule for what was recorded";

fn register_reasons(state: &State, ix: HeadIx) -> Vec<Reason> {
    let Some(standing) = state.standing(ix) else { return Vec::new() };
    state
        .judge()
        .reasons(standing)
        .iter()
        .filter_map(|r| state.judge().set().rule_at(*r))
        .filter(|r| r.ruling > Ruling::Keep || r.class.is_some())
        .map(|rule| Reason {
            rule: rule.id.clone(),
            title: rule.title.clone(),
            clause: rule.clause.clone(),
            confidence: rule.confidence,
            class_confidence: rule.class_confidence,
            sign: register_sign(state, rule.when.signs.iter().copied()),
            part: None,
            extent: None,
            ruling: rule.ruling,
            class: rule.class,
            because: rule.because.clone(),
            remedy: rule.remedy.clone(),
            never: rule.never.clone(),
            by: "register".to_owned(),
            at: String::new(),
            note: None,
            how: How::Eye,
            doubtful: false,
            fate: Became::Open,
            carried: false,
        })
        .collect()
}

/// What a failed test of a head's lot says of it.
fn failure_reason(state: &State, ix: HeadIx) -> Option<Reason> {
    let failure = state.failure(ix)?;
    let rule = lots::failure_rule(state)?;
    let (by, at) = state.entry(failure.entry).map(who_and_when).unwrap_or_default();
    Some(Reason {
        rule: FAILED_TEST.to_owned(),
        title: lots::failure_words(state, &failure),
        clause: rule.basis.clause.clone(),
        confidence: rule.basis.confidence,
        class_confidence: failure.class.map(|_| rule.class_confidence.unwrap_or(rule.basis.confidence)),
        sign: FAILED_TEST.to_owned(),
        part: None,
        extent: None,
        ruling: Ruling::Replace,
        class: failure.class,
        because: rule.text.clone(),
        remedy: "Replace every head that the sample stands for.".to_owned(),
        never: None,
        by,
        at,
        note: None,
        how: How::Eye,
        doubtful: false,
        fate: Became::Open,
        carried: false,
    })
}

/// What stands in the place of a rule's and a sign's word where a failed test of the head's lot speaks.
pub const FAILED_TEST: &str = "failed-test";

fn register_sign(state: &State, signs: impl Iterator<Item = crate::rules::model::SignIx>) -> String {
    let set = state.judge().set();
    signs.filter_map(|s| set.sign_at(s)).find(|s| s.seen == Seen::Register).map(|s| s.id.clone()).unwrap_or_default()
}

/// What the set that judges says of a sighting on a head as it is now; a sighting in words that it does not know counts as
/// not judged. `None`: there is no such head.
#[must_use]
pub fn judged(state: &State, ix: HeadIx, saw: &Saw) -> Option<Judgement> {
    let head = state.layout().head(ix)?;
    Some(match (state.profiles.get(&(head.area, head.kind)), state.sighting(saw)) {
        (Some(profile), Some(sighting)) => state.judge().judge(*profile, sighting),
        (Some(profile), None) => state.judge().unsure(*profile),
        (None, _) => state.judge().keep(),
    })
}

/// The earliest report that made of a finding what it is now, an impairment: an earlier round's where that round's words
/// already amount to one, else the present entry. A lesser finding that has grown worse is an impairment only since then.
#[must_use]
pub fn impaired_since<'s>(state: &'s State, ix: HeadIx, entry: EntryIx) -> Option<&'s Entry> {
    let impairs = |e: &&'s Entry| match &e.what {
        What::Saw(saw) => judged(state, ix, saw).is_some_and(|j| j.class == Some(Class::Impairment)),
        _ => false,
    };
    let answered = |c: &&Carried| matches!(c.answer, Answer::Still(by) | Answer::Worse(by) if by == entry);
    let story = state.story(ix);
    let earlier = story.carried.iter().filter(answered).flat_map(|c| [c.first, c.last]);
    let reports = earlier.filter_map(|e| state.entry(e)).filter(impairs);
    reports.min_by_key(|e| e.at).or_else(|| state.entry(entry))
}

fn carried_row(state: &State, ix: HeadIx, carried: &Carried, on: NaiveDate) -> Option<CarriedRow> {
    let (first, last) = (state.entry(carried.first)?, state.entry(carried.last)?);
    let What::Saw(saw) = &last.what else { return None };
    let judgement = judged(state, ix, saw)?;
    let mut clauses: Vec<String> = Vec::new();
    for rule in state.judge().reasons(judgement).iter().filter_map(|r| state.judge().set().rule_at(*r)) {
        if !clauses.contains(&rule.clause) {
            clauses.push(rule.clause.clone());
        }
    }
    let (standing, answer, repair) = match carried.answer {
        Answer::Open if carried.said_fixed.is_some() => (Standing::SaidFixed, None, carried.said_fixed),
        Answer::Open => (Standing::Unanswered, None, None),
        Answer::Still(by) => (Standing::Still, Some(by), carried.said_fixed),
        Answer::Worse(by) => (Standing::Worse, Some(by), carried.said_fixed),
        Answer::Mended(by) => (Standing::SaidFixed, Some(by), Some(by)),
        Answer::Gone(by) => (Standing::VerifiedFixed, Some(by), carried.said_fixed),
    };
    let first_on = first.at.date_naive();
    let age = (on - first_on).num_days();
    Some(CarriedRow {
        sign: saw.sign.clone(),
        part: saw.part.clone(),
        extent: saw.extent.clone(),
        ruling: judgement.ruling,
        class: judgement.class,
        clauses,
        state: standing,
        first_round: first.round.to_string(),
        first_on,
        last_round: last.round.to_string(),
        times: carried.times,
        age_days: (age >= 0).then_some(age),
        answered: answer.is_some(),
        repair,
        answer,
        first: carried.first,
        last: carried.last,
    })
}

/// The standing entries of the present round, in order.
pub fn standing(state: &State) -> impl Iterator<Item = (EntryIx, &Entry)> {
    let round = state.present_round();
    let (name, span) = (round.map(|r| r.name.clone()), round.map(|r| r.span));
    entries_between(state, span).filter(move |(ix, e)| Some(&e.round) == name.as_ref() && state.stands(*ix))
}

fn entries_between(state: &State, span: Option<(Id, Id)>) -> impl Iterator<Item = (EntryIx, &Entry)> {
    let start = span.map_or(state.entries().len(), |(from, _)| state.entries().partition_point(|e| e.id < from));
    let end = span.map_or(start, |(_, to)| state.entries().partition_point(|e| e.id <= to));
    let entries = state.entries().get(start..end.max(start)).unwrap_or_default();
    entries.iter().enumerate().filter_map(move |(at, e)| u32::try_from(start + at).ok().map(|ix| (EntryIx(ix), e)))
}

#[cfg(test)]
mod tests;
