//! How many spares the rule set asks for, under each of its readings, and what is held against it: by type of head, and by
//! rating and response. Only spares that may be used and whose type is installed count.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::ledger::Ledger;
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::rules::duties::{CabinetMatter, Counts, Hazard, StockReading};
use crate::rules::facts::Recalled;
use crate::rules::model::Confidence;
use crate::trade::address::AreaId;
use crate::trade::head_type::HeadType;
use crate::trade::kind::{Kind, Response};
use crate::trade::quantity::{PartialDate, Temperature};
use crate::trade::register::{KindIx, Occupancy};

/// One type of head: what is installed, asked for and held.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TypeRow {
    /// The type.
    pub head_type: HeadType,
    /// The kinds of this type that are installed, counted, moved or on a list, in the register's order.
    pub kinds: Vec<KindIx>,
    /// Heads installed.
    pub installed: u32,
    /// Spares that may be used.
    pub held: u32,
    /// Spares that lie there and do not count: unfit, too old, recalled; all of them where the type is not installed.
    pub useless: u32,
    /// Whether some cabinet's ledger knows a kind of it; if not, `held` is 0 because nobody has counted.
    pub known: bool,
    /// The least that the reading which rules asks for.
    pub need: u32,
    /// What the posted lists say is kept; never below `need`, and 0 where the type is not installed.
    pub listed: u32,
    /// What should be kept so that the total is met too; never below `listed`. What goes beyond it is a proposal.
    pub plan: u32,
    /// Whether the least number is not demanded because the register says how service is restored without a dry spare.
    pub excused: bool,
}

impl TypeRow {
    /// How many are missing to what the reading asks of this type.
    #[must_use]
    pub const fn short(&self) -> u32 {
        self.need.saturating_sub(self.held)
    }

    /// How many are missing to what should be kept.
    #[must_use]
    pub const fn lacking(&self) -> u32 {
        self.plan.saturating_sub(self.held)
    }

    /// How many are held beyond what should be kept.
    #[must_use]
    pub const fn over(&self) -> u32 {
        self.held.saturating_sub(self.plan)
    }
}

/// All types of one rating and response together.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// The rating, as it is marked on the first of them.
    pub rating: Temperature,
    /// Thermal sensitivity.
    pub response: Response,
    /// The rows, as indices of [`Required::rows`].
    pub rows: Vec<usize>,
    /// Heads installed.
    pub installed: u32,
    /// Spares that may be used, of installed types.
    pub held: u32,
    /// The least that the reading which rules asks for.
    pub need: u32,
    /// What should be kept.
    pub plan: u32,
    /// Missing to `need`, type by type: plenty of one type is no cover for another.
    pub short: u32,
    /// Missing to `plan`, type by type.
    pub lacking: u32,
    /// Held beyond `plan`, type by type.
    pub over: u32,
}

/// What one reading of the adopted text asks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reading {
    /// Its word.
    pub id: String,
    /// One line.
    pub title: String,
    /// Its numbers: `6, from 300: 12, from 1001: 24`.
    pub bands: String,
    /// Whether it is the one that rules at this site.
    pub rules: bool,
    /// For which hazard.
    pub hazard: Hazard,
    /// Whether the site has areas that it speaks of.
    pub applies: bool,
    /// Heads asked for in all.
    pub total: u32,
    /// The least of each type, in the order of [`Required::rows`].
    pub each: Vec<u32>,
    /// How many heads are missing in all: to the total, or type by type, whichever is more.
    pub short: u32,
    /// Why, and how it is read.
    pub because: String,
    /// The clause.
    pub clause: String,
    /// How far it can be relied on.
    pub confidence: Confidence,
}

/// What is asked for and what is held.
#[derive(Clone, Debug, PartialEq)]
pub struct Required {
    /// Heads installed.
    pub installed: u32,
    /// Spares that may be used, of installed types.
    pub held: u32,
    /// The type of every kind of the register.
    pub types: Vec<HeadType>,
    /// Types installed or held: by rating, then response.
    pub rows: Vec<TypeRow>,
    /// The same by rating and response.
    pub groups: Vec<Group>,
    /// What each reading asks for, in the set's order.
    pub readings: Vec<Reading>,
    /// The reading that rules here, as an index of `readings`; `None`: the set says nothing of spares.
    pub rules: Option<usize>,
    /// Areas with heads whose hazard the register does not say, where a reading asks for it: the strictest was taken.
    pub no_hazard: Vec<AreaId>,
}

impl Required {
    /// The reading that rules.
    #[must_use]
    pub fn ruling(&self) -> Option<&Reading> {
        self.readings.get(self.rules?)
    }

    /// The row of a kind's type.
    #[must_use]
    pub fn row_of(&self, ix: KindIx) -> Option<&TypeRow> {
        let of = self.types.get(usize::from(ix.0))?;
        self.rows.iter().find(|r| r.head_type == *of)
    }

    /// What should be kept of each row's type once so many of each are held instead; as [`TypeRow::plan`].
    #[must_use]
    pub fn plan_for(&self, held: &[u32]) -> Vec<u32> {
        self.ruling().map_or_else(|| vec![0; self.rows.len()], |r| planned(r.total, &self.rows, held))
    }

    /// How many heads are missing in all, under the reading that rules.
    #[must_use]
    pub fn short(&self) -> u32 {
        self.ruling().map_or(0, |r| r.short)
    }
}

/// Why spares of a kind do not count though they are fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Barred {
    /// They have grown older than spares may be.
    TooOld,
    /// Their number is recalled, or may be.
    Recalled(Recalled),
}

/// Whether the adopted text or a recall bars spares of this kind. A year made that is not known bars nothing by age.
#[must_use]
pub fn barred(state: &State, kind: &Kind, today: NaiveDate) -> Option<Barred> {
    match state.judge().recalled(kind) {
        Recalled::No => {}
        recalled => return Some(Barred::Recalled(recalled)),
    }
    let duties = &state.judge().set().duties.cabinet;
    let age = duties.iter().find(|d| d.matter == CabinetMatter::OverAge).and_then(|d| d.age)?;
    let made = kind.made.and_then(PartialDate::earliest)?;
    let due = made.checked_add_months(chrono::Months::new(age.months()))?;
    (due <= today).then_some(Barred::TooOld)
}

/// How many spares of a kind may be used, in all cabinets together: none where their age or a recall bars them.
#[must_use]
pub fn usable(state: &State, ledger: &Ledger, ix: KindIx, today: NaiveDate) -> u32 {
    match state.register().kind(ix) {
        Some(kind) if barred(state, kind, today).is_none() => {
            ledger.shelves.iter().filter_map(|s| s.holding(ix)).fold(0, |sum, h| sum.saturating_add(h.fit()))
        }
        _ => 0,
    }
}

/// Works out what the rule set asks for at this site. The day decides which spares have grown too old.
#[must_use]
pub fn required(state: &State, ledger: &Ledger, today: NaiveDate) -> Required {
    let types = state.register().types();
    let mut rows = type_rows(state, ledger, &types, today);
    let installed: u32 = rows.iter().fold(0, |sum, r| sum.saturating_add(r.installed));
    let held: u32 = rows.iter().fold(0, |sum, r| sum.saturating_add(r.held));
    let excused = state.register().site.dry_restored.is_some()
        && state.judge().set().duties.cabinet.iter().any(|d| d.matter == CabinetMatter::DryLengths);
    for row in &mut rows {
        row.excused = excused && row.head_type.is_dry() && row.installed > 0;
    }
    let (hazards, no_hazard) = hazards(state);
    let stock = &state.judge().set().duties.stock;
    let strictest = no_hazard.first().and_then(|_| strictest(stock, installed));
    let mut readings: Vec<Reading> = stock
        .iter()
        .map(|r| {
            let applies = installed > 0 && (speaks(r.hazard, &hazards) || strictest == Some(r.hazard));
            reading(r, &rows, installed, held, applies)
        })
        .collect();
    // Of a site with several hazards the greatest number holds: the spares serve all of it.
    let rules = stock
        .iter()
        .zip(&readings)
        .enumerate()
        .filter(|(_, (set, here))| set.rules && here.applies)
        .max_by_key(|(at, (_, here))| (here.total, std::cmp::Reverse(*at)))
        .map(|(at, _)| at);
    if let Some(ruling) = rules.and_then(|at| readings.get_mut(at)) {
        ruling.rules = true;
        plan(state, ledger, (&types, ruling), &mut rows);
    }
    let asks_hazard = stock.iter().any(|r| r.hazard != Hazard::Any);
    Required {
        installed,
        held,
        groups: groups(&rows),
        types,
        rows,
        readings,
        rules,
        no_hazard: if asks_hazard { no_hazard } else { Vec::new() },
    }
}

fn type_rows(state: &State, ledger: &Ledger, types: &[HeadType], today: NaiveDate) -> Vec<TypeRow> {
    let register = state.register();
    let installed = installed_where(state, |_| true);
    let shelved: BTreeSet<KindIx> = ledger.shelves.iter().flat_map(|s| s.holdings.keys().copied()).collect();
    let mut rows: BTreeMap<HeadType, TypeRow> = BTreeMap::new();
    let kinds: BTreeSet<KindIx> = installed.keys().copied().chain(shelved).collect();
    for ix in kinds {
        let (kind, head_type) = (register.kind(ix), types.get(usize::from(ix.0)).cloned());
        let (Some(kind), Some(head_type)) = (kind, head_type) else { continue };
        let row = rows.entry(head_type.clone()).or_insert_with(|| TypeRow {
            head_type,
            kinds: Vec::new(),
            installed: 0,
            held: 0,
            useless: 0,
            known: false,
            need: 0,
            listed: 0,
            plan: 0,
            excused: false,
        });
        row.kinds.push(ix);
        row.installed += installed.get(&ix).copied().unwrap_or(0);
        let bar = barred(state, kind, today).is_some();
        for holding in ledger.shelves.iter().filter_map(|s| s.holding(ix)) {
            row.known = true;
            let all = u32::try_from(holding.held.max(0)).unwrap_or(u32::MAX);
            let fit = if bar { 0 } else { holding.fit() };
            row.held = row.held.saturating_add(fit);
            row.useless = row.useless.saturating_add(all.saturating_sub(fit));
        }
    }
    let mut rows: Vec<TypeRow> = rows.into_values().collect();
    for row in rows.iter_mut().filter(|r| r.installed == 0) {
        row.useless = row.useless.saturating_add(row.held);
        row.held = 0;
    }
    rows
}

/// Kinds installed in the areas asked for, with how many heads; neighbours mostly share a kind.
pub(super) fn installed_where(state: &State, area: impl Fn(u16) -> bool) -> BTreeMap<KindIx, u32> {
    let mut kinds: BTreeMap<KindIx, u32> = BTreeMap::new();
    let there = state.layout().heads.iter().filter(|h| !h.removed);
    for run in there.collect::<Vec<_>>().chunk_by(|a, b| a.kind == b.kind && a.area == b.area) {
        if let Some(head) = run.first().filter(|h| area(h.area)) {
            let n = kinds.entry(head.kind).or_default();
            *n = n.saturating_add(u32::try_from(run.len()).unwrap_or(u32::MAX));
        }
    }
    kinds
}

/// The hazards of areas with heads, and the areas with heads whose hazard is not known.
fn hazards(state: &State) -> (BTreeSet<Occupancy>, Vec<AreaId>) {
    let (mut known, mut unknown) = (BTreeSet::new(), Vec::new());
    for (at, area) in state.register().areas.iter().enumerate() {
        let at = u16::try_from(at).unwrap_or(u16::MAX);
        let there = |h: HeadIx| state.layout().head(h).is_some_and(|h| !h.removed);
        if !crate::round::act::heads_in_order(state, at).any(there) {
            continue;
        }
        match area.hazard {
            Some(hazard) => {
                known.insert(hazard);
            }
            None => unknown.push(area.id.clone()),
        }
    }
    (known, unknown)
}

fn speaks(hazard: Hazard, of_site: &BTreeSet<Occupancy>) -> bool {
    match hazard {
        Hazard::Any => true,
        Hazard::Light => of_site.contains(&Occupancy::Light),
        Hazard::Ordinary => of_site.contains(&Occupancy::Ordinary),
        Hazard::High => of_site.contains(&Occupancy::High),
    }
}

/// The hazard whose reading asks for most of so many heads.
fn strictest(stock: &[StockReading], installed: u32) -> Option<Hazard> {
    let rows = stock.iter().filter(|r| r.rules && r.hazard != Hazard::Any);
    rows.max_by_key(|r| r.hold(installed)).map(|r| r.hazard)
}

fn reading(of: &StockReading, rows: &[TypeRow], installed: u32, held: u32, applies: bool) -> Reading {
    let each: Vec<u32> = rows
        .iter()
        .map(|row| match (row.installed, row.excused) {
            (0, _) | (_, true) => 0,
            (n, false) if of.counts == Counts::Kind => of.hold(n).max(of.per_kind),
            _ => of.per_kind,
        })
        .collect();
    let least: u32 = each.iter().fold(0, |sum, n| sum.saturating_add(*n));
    let total = if of.counts == Counts::Kind { least } else { of.hold(installed).max(least) };
    let missing = rows.iter().zip(&each).map(|(row, need)| need.saturating_sub(row.held));
    let missing: u32 = missing.fold(0, u32::saturating_add);
    Reading {
        id: of.id.clone(),
        title: of.title.clone(),
        bands: of.bands(),
        rules: false,
        hazard: of.hazard,
        applies,
        total,
        short: missing.max(total.saturating_sub(held)),
        each,
        because: of.because.clone(),
        clause: of.basis.clause.clone(),
        confidence: of.basis.confidence,
    }
}

/// What should be kept of each type: the least, or what the lists say where that is more; what the total asks for beyond that
/// is spread over the types in proportion to the heads installed. A proposal: no text says which kinds the rest are of.
fn plan(state: &State, ledger: &Ledger, (types, ruling): (&[HeadType], &Reading), rows: &mut [TypeRow]) {
    let listed = listed(state, ledger);
    for (kind, of) in listed.keys().filter_map(|k| Some((*k, types.get(usize::from(k.0))?))) {
        if let Some(row) = rows.iter_mut().find(|r| r.head_type == *of && !r.kinds.contains(&kind)) {
            row.kinds.push(kind);
            row.kinds.sort_unstable();
        }
    }
    for (row, need) in rows.iter_mut().zip(&ruling.each) {
        row.need = *need;
        let kept: u32 = row.kinds.iter().filter_map(|k| listed.get(k)).fold(0, |sum, n| sum.saturating_add(*n));
        row.listed = if row.installed > 0 { row.need.max(kept) } else { 0 };
    }
    let held: Vec<u32> = rows.iter().map(|r| r.held).collect();
    let plans = planned(ruling.total, rows, &held);
    for (row, plan) in rows.iter_mut().zip(plans) {
        row.plan = plan;
    }
}

/// What should be kept of each type if so many of each are held: what the lists say, at the least; of what the total asks for
/// beyond that, first whatever is held beyond it, as a cabinet that holds enough needs nothing more; the rest in proportion to
/// the heads installed.
fn planned(total: u32, rows: &[TypeRow], held: &[u32]) -> Vec<u32> {
    let sum: u32 = rows.iter().fold(0, |sum, r| sum.saturating_add(r.listed));
    let rest = total.saturating_sub(sum);
    let spare: Vec<u32> = rows
        .iter()
        .zip(held)
        .map(|(r, held)| if r.installed > 0 { held.saturating_sub(r.listed) } else { 0 })
        .collect();
    let there = spare.iter().fold(0, |sum: u32, n| sum.saturating_add(*n));
    let covered = apportion(rest.min(there), &spare);
    // Of excused types nothing more is proposed, unless there are no others to make up the total.
    let all_excused = rows.iter().all(|r| r.excused || r.installed == 0);
    let shares: Vec<u32> = rows.iter().map(|r| if r.excused && !all_excused { 0 } else { r.installed }).collect();
    let more = apportion(rest.saturating_sub(there), &shares);
    let both = covered.iter().zip(&more).map(|(a, b)| a.saturating_add(*b));
    rows.iter().zip(both).map(|(r, more)| r.listed.saturating_add(more)).collect()
}

/// What the posted lists of all cabinets say is kept, by kind: the last list posted, else the register's.
fn listed(state: &State, ledger: &Ledger) -> BTreeMap<KindIx, u32> {
    let mut sums: BTreeMap<KindIx, u32> = BTreeMap::new();
    for shelf in &ledger.shelves {
        for (kind, n) in super::lists::kept(state, shelf) {
            let sum = sums.entry(kind).or_default();
            *sum = sum.saturating_add(n);
        }
    }
    sums
}

/// Spreads `n` in proportion to `shares` by the greatest remainders; of equal ones the first gets more. Nothing where all
/// shares are zero.
pub(super) fn apportion(n: u32, shares: &[u32]) -> Vec<u32> {
    let sum: u64 = shares.iter().map(|s| u64::from(*s)).sum();
    if sum == 0 {
        return vec![0; shares.len()];
    }
    let exact = |share: &u32| u64::from(n) * u64::from(*share);
    let mut out: Vec<u32> = shares.iter().map(|s| u32::try_from(exact(s) / sum).unwrap_or(u32::MAX)).collect();
    let given: u32 = out.iter().sum();
    let mut order: Vec<usize> = (0..shares.len()).collect();
    order.sort_by_key(|at| std::cmp::Reverse(shares.get(*at).map_or(0, |s| exact(s) % sum)));
    for at in order.into_iter().take(usize::try_from(n - given).unwrap_or(0)) {
        if let Some(more) = out.get_mut(at) {
            *more += 1;
        }
    }
    out
}

fn groups(rows: &[TypeRow]) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    // Rows are ordered by rating and response, so those of one group follow each other.
    let mut last: Option<(i32, Response)> = None;
    for (at, row) in rows.iter().enumerate() {
        let key = (row.head_type.celsius(), row.head_type.response());
        if last != Some(key) {
            last = Some(key);
            groups.push(Group {
                rating: row.head_type.rating(),
                response: row.head_type.response(),
                rows: Vec::new(),
                installed: 0,
                held: 0,
                need: 0,
                plan: 0,
                short: 0,
                lacking: 0,
                over: 0,
            });
        }
        let Some(group) = groups.last_mut() else { continue };
        group.rows.push(at);
        group.installed = group.installed.saturating_add(row.installed);
        group.held = group.held.saturating_add(row.held);
        group.need = group.need.saturating_add(row.need);
        group.plan = group.plan.saturating_add(row.plan);
        group.short = group.short.saturating_add(row.short());
        group.lacking = group.lacking.saturating_add(row.lacking());
        group.over = group.over.saturating_add(row.over());
    }
    groups
}
