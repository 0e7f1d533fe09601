//! What falls due by age: which heads are to be sampled or replaced, when, and why. An unknown month or day counts as the
//! earliest it can be; where no date is known at all, the heads count as due.

use std::collections::{BTreeMap, HashMap};

use chrono::{Datelike as _, Months, NaiveDate};
use serde::Serialize;

use super::act::heads_in_order;
use super::layout::HeadIx;
use super::lots::{Lot, Stage};
use super::state::State;
use crate::rules::age::{self, Due, Service};
use crate::rules::duties::Act;
use crate::rules::facts::Facts;
use crate::rules::model::Confidence;
use crate::trade::address::{AreaId, Heads};
use crate::trade::measure::Span;
use crate::trade::quantity::PartialDate;
use crate::trade::register::{KindIx, Setting};
use crate::trade::words::words;

words! {
    /// How a day that something is due stands to today.
    pub enum When ("standing of a due day") {
        /// The day is past.
        Overdue = "overdue",
        /// No date is known, so it counts as due.
        Unknown = "no-date",
        /// It lies within the span that was asked for.
        Soon = "soon",
        /// It lies beyond.
        Later = "later",
    }
}

/// Heads of one kind in one area with one day of service and one last test.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DueRow {
    /// The area.
    pub area: AreaId,
    /// Its name for people.
    pub area_name: String,
    /// What its surroundings do to heads.
    pub setting: Vec<Setting>,
    /// The kind's word.
    pub kind: String,
    /// Its make-up in the site's units.
    pub make_up: String,
    /// How many heads.
    pub heads: usize,
    /// Which, as few stretches as will do.
    pub which: Vec<Heads>,
    /// When they went into service: the area's date, or the day of a replacement.
    pub since: Option<PartialDate>,
    /// When they were made.
    pub made: Option<PartialDate>,
    /// When a sample that stands for them was last tested with success.
    pub tested: Option<NaiveDate>,
    /// What is due.
    pub act: Act,
    /// When; `None`: no date is known, and it counts as due.
    pub on: Option<NaiveDate>,
    /// How that stands to today.
    pub when: When,
    /// Whole months that it is late; 0 where it is not, or no date is known.
    pub months_late: u32,
    /// What had to be assumed, a sentence each.
    pub assumed: Vec<String>,
    /// The age that asks, by its word.
    pub age: String,
    /// It in one line.
    pub title: String,
    /// Why.
    pub because: String,
    /// Its clause.
    pub clause: String,
    /// How far it can be relied on.
    pub confidence: Confidence,
    /// The lot that they stand in and that is not decided yet.
    pub lot: Option<AreaId>,
    /// How far that lot has come.
    pub stage: Option<Stage>,
    /// The days on which it falls due again if every sample passes on the day it is due (what is overdue: today), up to the horizon.
    pub then: Vec<NaiveDate>,
    /// The heads.
    #[serde(skip)]
    pub ixs: Vec<HeadIx>,
    /// The index of the area.
    #[serde(skip)]
    pub area_ix: u16,
    /// The kind.
    #[serde(skip)]
    pub kind_ix: KindIx,
}

/// What falls due at a site.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct DueList {
    /// The day it is taken to be.
    pub today: Option<NaiveDate>,
    /// The last day of the span that was asked for.
    pub until: Option<NaiveDate>,
    /// The rows: what has no date, then by day.
    pub rows: Vec<DueRow>,
    /// Heads of whose age the rule set asks nothing.
    pub not_asked: usize,
    /// Heads that a failed test condemns: they are to be replaced, and no further test is due.
    pub condemned: usize,
}

impl DueList {
    /// The rows that are due by the end of the span.
    pub fn due(&self) -> impl Iterator<Item = &DueRow> {
        self.rows.iter().filter(|r| r.when != When::Later)
    }
}

/// When a head falls due.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OfHead {
    /// The day; `None`: it cannot be told, and counts as due.
    pub on: Option<NaiveDate>,
    /// What is due.
    pub act: Act,
}

/// When one head falls due, given when a sample that stands for it was last tested with success; `None`: the set asks nothing of
/// its age.
#[must_use]
pub fn of_head(state: &State, head: HeadIx, tested: Option<NaiveDate>) -> Option<OfHead> {
    let there = state.layout().head(head)?;
    let area = state.register().areas.get(usize::from(there.area))?;
    let kind = state.register().kind(there.kind)?;
    let service = Service { since: since(state, head, area.in_service), made: kind.made, tested };
    let due = age::due(state.judge().set(), &state.judge().facts(kind, area), &service)?;
    Some(OfHead { on: due.on, act: due.rule.act })
}

/// The day a head went into service: that of its last replacement, else the area's, or when it was made where that is later: nothing
/// goes into service before it is made.
pub(super) fn since(state: &State, ix: HeadIx, of_area: Option<PartialDate>) -> Option<PartialDate> {
    let replaced = state.replacements(ix).next().and_then(|e| state.entry(e)).map(|e| e.at.date_naive());
    if let Some(d) = replaced {
        return Some(PartialDate { year: d.year(), month: Some(d.month()), day: Some(d.day()) });
    }
    let made = state.layout().head(ix).and_then(|h| state.register().kind(h.kind)?.made);
    match (of_area.and_then(PartialDate::earliest), made.and_then(PartialDate::earliest)) {
        (Some(area), Some(of_kind)) if of_kind > area => made,
        _ => of_area,
    }
}

/// The earliest day on which a head may have gone into service, where anything is known of it.
fn in_service(state: &State, head: HeadIx) -> Option<NaiveDate> {
    let area = state.register().areas.get(usize::from(state.layout().head(head)?.area))?;
    since(state, head, area.in_service).and_then(PartialDate::earliest)
}

/// When a sample that stands for a head was last tested with success; heads replaced since are not among them.
#[must_use]
pub fn passed(state: &State, lots: &[Lot]) -> HashMap<HeadIx, NaiveDate> {
    let mut found: HashMap<HeadIx, NaiveDate> = HashMap::new();
    for lot in lots.iter().filter(|l| l.outcome.stage == Stage::Passed) {
        let Some(on) = lot.outcome.on else { continue };
        for head in lot.heads.iter().filter(|h| !state.replaced_after(**h, lot.entry)) {
            // Nobody tests for heads that hang there only later.
            if in_service(state, *head).is_some_and(|since| since > on) {
                continue;
            }
            let known = found.entry(*head).or_insert(on);
            *known = on.max(*known);
        }
    }
    found
}

/// What falls due at a site within a span from today, and after it.
#[must_use]
pub fn due(state: &State, lots: &[Lot], today: NaiveDate, within: Span) -> DueList {
    let until = plus(today, within.months());
    let passed = passed(state, lots);
    let mut open: HashMap<HeadIx, usize> = HashMap::new();
    for (at, lot) in lots.iter().enumerate().filter(|(_, l)| !l.outcome.stage.is_decided()) {
        open.extend(lot.heads.iter().filter(|h| !state.replaced_after(**h, lot.entry)).map(|h| (*h, at)));
    }
    let mut list = DueList { today: Some(today), until: Some(until), ..DueList::default() };
    type Key = (KindIx, Option<PartialDate>, Option<NaiveDate>, Option<usize>);
    for (number, area) in state.register().areas.iter().enumerate() {
        let area_ix = u16::try_from(number).unwrap_or(u16::MAX);
        let mut groups: BTreeMap<Key, Vec<HeadIx>> = BTreeMap::new();
        let mut last: Option<(Key, Vec<HeadIx>)> = None;
        for ix in heads_in_order(state, area_ix) {
            if state.failure(ix).is_some() {
                list.condemned += 1;
                continue;
            }
            let Some(kind) = state.layout().head(ix).map(|h| h.kind) else { continue };
            let key = (kind, since(state, ix, area.in_service), passed.get(&ix).copied(), open.get(&ix).copied());
            // Neighbours mostly share a group.
            match &mut last {
                Some((known, heads)) if *known == key => heads.push(ix),
                _ => {
                    if let Some((known, heads)) = last.replace((key, vec![ix])) {
                        groups.entry(known).or_default().extend(heads);
                    }
                }
            }
        }
        if let Some((known, heads)) = last {
            groups.entry(known).or_default().extend(heads);
        }
        for ((kind_ix, since, tested, lot), ixs) in groups {
            let lot = lot.and_then(|at| lots.get(at));
            let count = ixs.len();
            match row(state, area_ix, kind_ix, Service { since, made: None, tested }, ixs, lot, today, until) {
                Some(row) => list.rows.push(row),
                None => list.not_asked += count,
            }
        }
    }
    list.rows.sort_by_key(|r| (r.on, r.area_ix, r.kind_ix, r.since));
    list
}

#[expect(clippy::too_many_arguments, reason = "the key of a group, spread out once")]
fn row(
    state: &State,
    area_ix: u16,
    kind_ix: KindIx,
    service: Service,
    ixs: Vec<HeadIx>,
    lot: Option<&Lot>,
    today: NaiveDate,
    until: NaiveDate,
) -> Option<DueRow> {
    let register = state.register();
    let area = register.areas.get(usize::from(area_ix))?;
    let kind = register.kind(kind_ix)?;
    let service = Service { made: kind.made, ..service };
    let facts = state.judge().facts(kind, area);
    let due = age::due(state.judge().set(), &facts, &service)?;
    let when = match due.on {
        None => When::Unknown,
        Some(on) if on < today => When::Overdue,
        Some(on) if on <= until => When::Soon,
        Some(_) => When::Later,
    };
    Some(DueRow {
        area: area.id.clone(),
        area_name: area.name.clone(),
        setting: area.setting.clone(),
        kind: kind.id.clone(),
        make_up: kind.describe(register.site.units),
        heads: ixs.len(),
        which: super::act::stretches(state, &ixs),
        since: service.since,
        made: service.made,
        tested: service.tested,
        act: due.rule.act,
        on: due.on,
        when,
        months_late: due.on.map_or(0, |on| whole_months(on, today)),
        assumed: assumed(&due, &service, area.in_service),
        age: due.rule.id.clone(),
        title: due.rule.title.clone(),
        because: due.rule.because.clone(),
        clause: due.rule.basis.clause.clone(),
        confidence: due.rule.basis.confidence,
        lot: lot.map(|l| l.id.clone()),
        stage: lot.map(|l| l.outcome.stage),
        then: then(state, &facts, &service, &due, (today, until)),
        ixs,
        area_ix,
        kind_ix,
    })
}

/// What had to be assumed to name the day.
fn assumed(due: &Due<'_>, service: &Service, of_area: Option<PartialDate>) -> Vec<String> {
    let mut list = Vec::new();
    let of_year = |d: PartialDate| d.month.is_none();
    match (service.since, service.made) {
        (None, None) => list.push("neither day of service nor year made is known: it counts as due".to_owned()),
        (None, Some(made)) => list.push(format!("no day of service is known: counted from the year made, {made}")),
        (Some(since), Some(made)) if since == made && of_area.is_some_and(|area| area != since) => {
            list.push(format!("made {made}, after its area went into service: counted from when it was made"));
        }
        (Some(since), _) if of_year(since) => {
            if let Some(day) = since.earliest() {
                list.push(format!("in service since {since}: counted from {day}"));
            }
        }
        _ => {}
    }
    if due.made_unknown {
        list.push("the year made is not known: it may be due earlier".to_owned());
    }
    list
}

/// The most later days that a row names.
const MOST_LATER: usize = 40;

fn then(
    state: &State,
    facts: &Facts,
    service: &Service,
    due: &Due<'_>,
    (today, until): (NaiveDate, NaiveDate),
) -> Vec<NaiveDate> {
    let mut days = Vec::new();
    // What is overdue can be tested today at the soonest.
    let (mut last, mut act) = (Some(due.on.map_or(today, |on| on.max(today))), due.rule.act);
    while let Some(on) = last.filter(|on| *on <= until && act == Act::Test && days.len() < MOST_LATER) {
        let tested = Service { tested: Some(on), ..*service };
        let Some(next) = age::due(state.judge().set(), facts, &tested) else { break };
        // A row that asks once, or for something else at once, ends the line.
        let Some(day) = next.on.filter(|day| *day > on) else { break };
        if day <= until {
            days.push(day);
        }
        (last, act) = (Some(day), next.rule.act);
    }
    days
}

/// A day so many months later; the last there is where there are no more.
#[must_use]
pub fn plus(day: NaiveDate, months: u32) -> NaiveDate {
    day.checked_add_months(Months::new(months)).unwrap_or(NaiveDate::MAX)
}

/// Whole months from one day to another; 0 where it is not later.
#[must_use]
pub fn whole_months(from: NaiveDate, to: NaiveDate) -> u32 {
    let months =
        (to.year() - from.year()) * 12 + (to.month() as i32 - from.month() as i32) - i32::from(to.day() < from.day());
    u32::try_from(months).unwrap_or(0)
}
