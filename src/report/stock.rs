//! The spare cabinets as rows: what is installed, asked for and held by type and by rating, what each reading asks for, what
//! lies in each cabinet, what differs and what was found. The command prints them, the summary lays them out.

use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::Serialize;

use super::phrases::said;
use crate::round::entry::What;
use crate::round::state::{EntryIx, State};
use crate::round::stock::{self, CabinetFinding, Required, Shelf, Weight, lists};
use crate::rules::duties::Hazard;
use crate::rules::model::Confidence;
use crate::trade::address::{AreaId, Heads};
use crate::trade::kind::Response;
use crate::trade::quantity::Units;
use crate::trade::register::{Cabinet, KindIx};

/// One type of head.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct TypeLine {
    /// In words, in the site's units.
    #[serde(rename = "type")]
    pub words: String,
    /// Its kinds that are installed, counted or moved, by name.
    pub kinds: Vec<String>,
    /// Heads installed.
    pub installed: u32,
    /// The least that the reading which rules asks for.
    pub required: u32,
    /// What should be kept so that the total is met too.
    pub planned: u32,
    /// Spares that may be used; 0 where nobody counted: see `known`.
    pub held: u32,
    /// Missing to `required`.
    pub short: u32,
    /// Missing to `planned`.
    pub lacking: u32,
    /// Held beyond `planned`.
    pub over: u32,
    /// Spares that lie there and do not count.
    pub unfit: u32,
    /// Whether some cabinet's ledger knows a kind of it.
    pub known: bool,
    /// Whether none is demanded because the register says how service is restored without a dry spare.
    pub excused: bool,
}

/// All types of one rating and response.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct GroupLine {
    /// The rating, in the site's units.
    pub rating: String,
    /// Thermal sensitivity.
    pub response: Response,
    /// How many types.
    pub types: usize,
    /// Heads installed.
    pub installed: u32,
    /// The least that the reading which rules asks for.
    pub required: u32,
    /// What should be kept.
    pub planned: u32,
    /// Spares that may be used.
    pub held: u32,
    /// Missing to `required`, type by type.
    pub short: u32,
    /// Missing to `planned`, type by type.
    pub lacking: u32,
    /// Held beyond `planned`, type by type.
    pub over: u32,
    /// Spares that lie there and do not count.
    pub unfit: u32,
}

/// What one reading of the adopted text asks for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ReadingLine {
    /// Its word.
    pub reading: String,
    /// One line.
    pub title: String,
    /// Its numbers: `6, from 300: 12, from 1001: 24`.
    pub bands: String,
    /// Whether it rules at this site.
    pub rules: bool,
    /// For which hazard.
    pub hazard: Hazard,
    /// Whether the site has areas that it speaks of.
    pub applies: bool,
    /// Heads asked for in all.
    pub total: u32,
    /// How many are missing to it.
    pub short: u32,
    /// Why, and how it is read.
    pub because: String,
    /// The clause.
    pub clause: String,
    /// How far it can be relied on.
    pub confidence: Confidence,
}

/// Who recorded something, and when.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Made {
    /// A short name.
    pub by: String,
    /// When.
    pub at: DateTime<FixedOffset>,
    /// In which round.
    pub round: String,
    /// The entry.
    pub entry: String,
}

/// What a cabinet holds of a kind.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct KindLine {
    /// The kind's name.
    pub kind: String,
    /// Its make-up, in the site's units.
    pub make_up: String,
    /// Heads that lie there, fit or not; `None`: never counted nor put in.
    pub held: Option<i64>,
    /// How many of them must not be used.
    pub unfit: i64,
    /// What the cabinet's list says is kept; `None`: it is not on the list, or there is none.
    pub listed: Option<u32>,
    /// The day of the last count that named it.
    pub counted_on: Option<NaiveDate>,
    /// The day of the last movement since.
    pub moved_on: Option<NaiveDate>,
    /// Heads of its type where the cabinet serves.
    pub served: u32,
}

/// A count that differed from the ledger.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct DifferenceLine {
    /// The kind's name.
    pub kind: String,
    /// What the ledger said.
    pub expected: i64,
    /// What was counted.
    pub counted: i64,
    /// The count.
    #[serde(flatten)]
    pub made: Made,
    /// Whether it was made in the present round.
    pub now: bool,
    /// The count's note.
    pub note: Option<String>,
}

/// Heads that were replaced from a cabinet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ReplacedLine {
    /// Which.
    pub heads: Heads,
    /// By which kind.
    pub kind: String,
    /// How many.
    pub n: u32,
    /// The entry.
    #[serde(flatten)]
    pub made: Made,
    /// Whether it was made in the present round.
    pub now: bool,
}

/// One cabinet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct CabinetLine {
    /// Its short name.
    pub cabinet: AreaId,
    /// Its name for people.
    pub name: String,
    /// Where it hangs.
    pub place: Option<String>,
    /// The areas it serves; none: all of them.
    pub serves: Vec<AreaId>,
    /// The last count of the present round.
    pub counted: Option<Made>,
    /// Kinds that lie there by the ledger and that the count does not name.
    pub left_out: Vec<String>,
    /// The last count of any round.
    pub last_counted: Option<Made>,
    /// The date that its list bears, where one was posted.
    pub list_of: Option<NaiveDate>,
    /// What lies in it or is on its list, in the register's order of kinds.
    pub kinds: Vec<KindLine>,
    /// Counts that differed from the ledger, in order.
    pub differences: Vec<DifferenceLine>,
    /// Heads replaced from it, in order.
    pub replaced: Vec<ReplacedLine>,
}

/// Everything there is to say of a site's spares, as seen from the present round.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stock {
    /// Heads installed.
    pub installed: u32,
    /// Spares that may be used, of installed types.
    pub held: u32,
    /// How many the reading that rules asks for; `None`: the rule set says nothing of spares.
    pub asked: Option<u32>,
    /// How many are missing under it: to the total, or type by type, whichever is more.
    pub short: u32,
    /// By type.
    pub types: Vec<TypeLine>,
    /// By rating and response.
    pub ratings: Vec<GroupLine>,
    /// Every reading, in the set's order.
    pub readings: Vec<ReadingLine>,
    /// Every cabinet, in the register's order.
    pub cabinets: Vec<CabinetLine>,
    /// What is wrong, what nobody has looked at, what is to be known.
    pub findings: Vec<CabinetFinding>,
}

impl Stock {
    /// Works it out; the day decides which spares have grown too old.
    #[must_use]
    pub fn of(state: &State, on: NaiveDate) -> Self {
        let ledger = stock::ledger(state);
        let required = stock::required(state, &ledger, on);
        let findings = stock::findings(state, &ledger, &required, on);
        let units = state.register().site.units;
        let cabinets = ledger.shelves.iter().zip(&state.register().cabinets);
        Self {
            installed: required.installed,
            held: required.held,
            asked: required.ruling().map(|r| r.total),
            short: required.short(),
            types: types(state, &required, units),
            ratings: ratings(&required, units),
            readings: readings(&required),
            cabinets: cabinets.map(|(shelf, cabinet)| one(state, shelf, cabinet)).collect(),
            findings,
        }
    }

    /// Whether there is nothing to say: no cabinet is in the register and the rule set asks for no spares here.
    #[must_use]
    pub fn is_silent(&self) -> bool {
        self.cabinets.is_empty() && self.asked.is_none()
    }

    /// How many findings are of a weight.
    #[must_use]
    pub fn weighing(&self, weight: Weight) -> usize {
        self.findings.iter().filter(|f| f.weight == weight).count()
    }

    /// Whether anything is short, wrong or not looked at.
    #[must_use]
    pub fn asks(&self) -> bool {
        self.short > 0 || self.findings.iter().any(|f| f.weight > Weight::Told)
    }
}

fn types(state: &State, required: &Required, units: Units) -> Vec<TypeLine> {
    let name = |ix: &KindIx| state.register().kind(*ix).map(|k| said(&k.id));
    let line = |row: &stock::TypeRow| TypeLine {
        words: said(&row.head_type.describe(units)),
        kinds: row.kinds.iter().filter_map(name).collect(),
        installed: row.installed,
        required: row.need,
        planned: row.plan,
        held: row.held,
        short: row.short(),
        lacking: row.lacking(),
        over: row.over(),
        unfit: row.useless,
        known: row.known,
        excused: row.excused,
    };
    required.rows.iter().map(line).collect()
}

fn ratings(required: &Required, units: Units) -> Vec<GroupLine> {
    let useless = |at: &usize| required.rows.get(*at).map_or(0, |r| r.useless);
    let line = |group: &stock::Group| GroupLine {
        rating: group.rating.show(units),
        response: group.response,
        types: group.rows.len(),
        installed: group.installed,
        required: group.need,
        planned: group.plan,
        held: group.held,
        short: group.short,
        lacking: group.lacking,
        over: group.over,
        unfit: group.rows.iter().map(useless).sum(),
    };
    required.groups.iter().map(line).collect()
}

fn readings(required: &Required) -> Vec<ReadingLine> {
    let line = |r: &stock::Reading| ReadingLine {
        reading: said(&r.id),
        title: said(&r.title),
        bands: r.bands.clone(),
        rules: r.rules,
        hazard: r.hazard,
        applies: r.applies,
        total: r.total,
        short: r.short,
        because: said(&r.because),
        clause: said(&r.clause),
        confidence: r.confidence,
    };
    required.readings.iter().map(line).collect()
}

/// Who made an entry.
fn made(state: &State, ix: EntryIx) -> Option<Made> {
    state.entry(ix).map(|e| Made { by: said(&e.by), at: e.at, round: said(&e.round), entry: e.id.to_string() })
}

fn day(state: &State, ix: EntryIx) -> Option<NaiveDate> {
    state.entry(ix).map(|e| e.at.date_naive())
}

fn is_now(state: &State, ix: EntryIx) -> bool {
    let now = state.present_round().map(|r| &r.name);
    state.entry(ix).is_some_and(|e| now == Some(&e.round))
}

fn one(state: &State, shelf: &Shelf, cabinet: &Cabinet) -> CabinetLine {
    let name = |ix: KindIx| state.register().kind(ix).map_or_else(String::new, |k| said(&k.id));
    let last = shelf.holdings.values().filter_map(|h| h.counted).max();
    let difference = |it: &stock::Difference| {
        let note = match state.entry(it.entry).map(|e| &e.what) {
            Some(What::Counted(count)) => count.note.as_deref().map(said),
            _ => None,
        };
        Some(DifferenceLine {
            kind: name(it.kind),
            expected: it.expected,
            counted: it.counted,
            made: made(state, it.entry)?,
            now: is_now(state, it.entry),
            note,
        })
    };
    let replaced = |it: &stock::Movement| match state.entry(it.entry).map(|e| &e.what) {
        Some(What::Did(did)) => Some(ReplacedLine {
            heads: did.head.clone(),
            kind: name(it.kind),
            n: it.n,
            made: made(state, it.entry)?,
            now: is_now(state, it.entry),
        }),
        _ => None,
    };
    CabinetLine {
        cabinet: cabinet.id.clone(),
        name: said(&cabinet.name),
        place: cabinet.place.as_deref().map(said),
        serves: cabinet.serves.clone(),
        counted: shelf.counted.and_then(|ix| made(state, ix)),
        left_out: if shelf.counted.is_some() {
            shelf.not_counted(state).iter().filter_map(|ix| Some(said(&state.register().kind(*ix)?.id))).collect()
        } else {
            Vec::new()
        },
        last_counted: last.and_then(|ix| made(state, ix)),
        list_of: lists::posted_on(state, shelf),
        kinds: kinds(state, shelf, cabinet),
        differences: shelf.differences.iter().filter_map(difference).collect(),
        replaced: shelf.movements.iter().filter_map(replaced).collect(),
    }
}

fn kinds(state: &State, shelf: &Shelf, cabinet: &Cabinet) -> Vec<KindLine> {
    let register = state.register();
    let kept = lists::kept(state, shelf);
    let mut all: Vec<KindIx> = shelf.holdings.keys().copied().chain(kept.iter().map(|(k, _)| *k)).collect();
    all.sort_unstable();
    all.dedup();
    let line = |ix: KindIx| {
        let kind = register.kind(ix)?;
        let holding = shelf.holding(ix);
        let counted = holding.and_then(|h| h.counted);
        let moved = holding.and_then(|h| h.moved).filter(|m| counted.is_none_or(|c| c < *m));
        Some(KindLine {
            kind: said(&kind.id),
            make_up: said(&kind.describe(register.site.units)),
            held: holding.map(|h| h.held),
            unfit: holding.map_or(0, |h| h.unfit),
            listed: kept.iter().find(|(k, _)| *k == ix).map(|(_, n)| *n),
            counted_on: counted.and_then(|c| day(state, c)),
            moved_on: moved.and_then(|m| day(state, m)),
            served: lists::served_heads(state, cabinet, &lists::kinds_of(state, &register.type_of(kind))),
        })
    };
    all.into_iter().filter_map(line).collect()
}
