//! What people at a cabinet choose from: the kinds to count in the order in which they lie there, what a count differs in,
//! what a posted list would say, and which spares could take a head's place. Nothing is drawn and nothing recorded here.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use crate::round::entry::Counted;
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::round::stock::{self, Ledger, Shelf, lists, wrenches_needed};
use crate::rules::fit::Fit;
use crate::rules::spares::{FitVerdict, SpareField};
use crate::trade::address::AreaId;
use crate::trade::head_type::HeadType;
use crate::trade::kind::Kind;
use crate::trade::quantity::{Temperature, Units};
use crate::trade::register::{Cabinet, KindIx};

/// The most heads of one kind that a count or a movement may name.
pub const MOST: u32 = 10_000;

/// The caution under every replacement. Common practice, no source.
pub const CAUTION: &str = "Live system: for licensed people; impairment procedure while water is off.";

/// Kinds by rating, then response, as a cabinet's list reads; of one type in the register's order.
#[must_use]
pub fn in_order(state: &State, kinds: impl IntoIterator<Item = KindIx>) -> Vec<KindIx> {
    let once: BTreeSet<KindIx> = kinds.into_iter().collect();
    let types = state.register().types();
    let mut list: Vec<(&HeadType, KindIx)> =
        once.into_iter().filter_map(|ix| Some((types.get(usize::from(ix.0))?, ix))).collect();
    list.sort();
    list.into_iter().map(|(_, ix)| ix).collect()
}

/// The kinds that a count of a cabinet asks for: those that its ledger knows, those of its list, those installed where it
/// serves.
#[must_use]
pub fn to_count(state: &State, cabinet: &Cabinet, shelf: Option<&Shelf>) -> Vec<KindIx> {
    let known = shelf.into_iter().flat_map(|s| s.holdings.keys().copied());
    let listed = shelf.into_iter().flat_map(|s| lists::kept(state, s)).map(|(kind, _)| kind);
    let installed = wrenches_needed(state, cabinet).into_values().flatten();
    in_order(state, known.chain(listed).chain(installed))
}

/// How a count stands to what the ledger said of one kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Against {
    /// The ledger knew nothing of the kind.
    New,
    /// The same.
    Same,
    /// So many fewer than the ledger's number.
    Fewer(u64, i64),
    /// So many more than the ledger's number.
    More(u64, i64),
}

impl Against {
    /// The count of a kind held against the ledger's number.
    #[must_use]
    pub fn of(expected: Option<i64>, counted: u32) -> Self {
        let Some(ledger) = expected else { return Self::New };
        let by = i64::from(counted) - ledger;
        match by {
            0 => Self::Same,
            1.. => Self::More(by.unsigned_abs(), ledger),
            _ => Self::Fewer(by.unsigned_abs(), ledger),
        }
    }

    /// In words.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Self::New => "new to the ledger".to_owned(),
            Self::Same => "as the ledger says".to_owned(),
            Self::Fewer(by, ledger) => format!("{by} fewer than the ledger's {ledger}"),
            Self::More(by, ledger) => format!("{by} more than the ledger's {ledger}"),
        }
    }

    /// Whether it differs from what the ledger said.
    #[must_use]
    pub const fn differs(self) -> bool {
        matches!(self, Self::Fewer(..) | Self::More(..))
    }
}

/// A count held against the ledger, kind by kind in the order in which they lie there.
#[must_use]
pub fn against(state: &State, shelf: Option<&Shelf>, count: &Counted) -> Vec<(KindIx, u32, u32, Against)> {
    let named: BTreeMap<KindIx, (&str, u32)> = count
        .held
        .iter()
        .filter_map(|(name, n)| Some((state.register().kind_named(name)?, (name.as_str(), *n))))
        .collect();
    in_order(state, named.keys().copied())
        .into_iter()
        .filter_map(|kind| {
            let (name, held) = *named.get(&kind)?;
            let unfit = count.unfit.get(name).copied().unwrap_or(0);
            let ledger = shelf.and_then(|s| s.holding(kind)).map(|h| h.held);
            Some((kind, held, unfit, Against::of(ledger, held)))
        })
        .collect()
}

/// What a new list of a cabinet would say is kept: what its list says or what is proposed for one, and besides what the rule
/// set asks for of types whose lists fall short of it; of a type's kinds here the most listed takes that. A proposal, to be
/// changed by hand; kinds that lie there or are installed where it serves stand in it with 0 where nothing is kept of them.
#[must_use]
pub fn proposal(state: &State, cabinet: &Cabinet, today: NaiveDate) -> Vec<(KindIx, u32)> {
    let Some(at) = state.register().cabinet_named(cabinet.id.as_str()) else { return Vec::new() };
    let ledger = stock::ledger(state);
    let required = stock::required(state, &ledger, today);
    let (_, list) = lists::to_post(state, &ledger, &required, at, today);
    let mut keep: BTreeMap<KindIx, u32> =
        to_count(state, cabinet, ledger.shelves.get(at)).into_iter().map(|k| (k, 0)).collect();
    keep.extend(list.iter().copied());
    let others = ledger.shelves.iter().enumerate().filter(|(n, _)| *n != at);
    let others: Vec<(KindIx, u32)> =
        others.flat_map(|(n, _)| lists::to_post(state, &ledger, &required, n, today).1).collect();
    for row in &required.rows {
        let of_type = |(kind, _): &&(KindIx, u32)| row.kinds.contains(kind);
        let listed = list.iter().chain(&others).filter(of_type).map(|(_, n)| *n).fold(0, u32::saturating_add);
        let here = row.kinds.iter().copied().filter(|k| keep.contains_key(k));
        let most = here.max_by_key(|k| (keep.get(k).copied(), std::cmp::Reverse(*k)));
        if let Some(n) = most.and_then(|k| keep.get_mut(&k)) {
            *n = n.saturating_add(row.plan.saturating_sub(listed));
        }
    }
    in_order(state, keep.keys().copied()).into_iter().filter_map(|k| Some((k, *keep.get(&k)?))).collect()
}

/// A spare that lies in a cabinet and could take a head's place, or must not.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Candidate {
    /// The cabinet.
    pub cabinet: AreaId,
    /// Its name for people.
    pub place: String,
    /// Whether the cabinet serves the head's area.
    pub serves: bool,
    /// The kind of the spare.
    pub kind: KindIx,
    /// How many that may be used lie there.
    pub there: u32,
    /// Field by field.
    pub fit: Fit,
    /// Whether spares of this kind have grown too old to count.
    pub too_old: bool,
    verdict: FitVerdict,
}

impl Candidate {
    /// What is to be thought of it.
    #[must_use]
    pub const fn verdict(&self) -> FitVerdict {
        self.verdict
    }

    /// The first reason why it is not simply the same, with the field it is about.
    #[must_use]
    pub fn why(&self) -> Option<String> {
        if self.too_old {
            return Some("it has grown too old to be used as a spare".to_owned());
        }
        if self.fit.recalled {
            return self.fit.reasons().first().map(|r| (*r).to_owned());
        }
        let field = self.fit.differing().into_iter().next()?;
        let name = field_words(field.field);
        Some(format!("{name}: the head's is {}, the spare's {}. {}", field.head, field.spare, field.because))
    }
}

/// What is compared, in words.
#[must_use]
pub const fn field_words(field: SpareField) -> &'static str {
    match field {
        SpareField::K => "K-factor",
        SpareField::Dry => "dry head",
        other => other.as_str(),
    }
}

/// What lies in the cabinets and may be used as far as the cabinets go: first those that serve the head's area, then what
/// fits best.
#[must_use]
pub fn candidates(state: &State, ledger: &Ledger, head: HeadIx, today: NaiveDate) -> Vec<Candidate> {
    let register = state.register();
    let named = |of: stock::Candidate| {
        let verdict = of.verdict();
        let cabinet = of.cabinet?;
        let place = register.cabinets.iter().find(|c| c.id == cabinet).map(|c| c.name.clone()).unwrap_or_default();
        let stock::Candidate { serves, kind, there, fit, too_old, .. } = of;
        Some(Candidate { cabinet, place, serves, kind, there, fit, too_old, verdict })
    };
    stock::candidates(state, ledger, head, today).into_iter().filter_map(named).collect()
}

/// Reads how warm it gets; a bare number is in the site's unit.
///
/// # Errors
/// A sentence when it is no temperature.
pub fn temperature(text: &str, units: Units) -> Result<Temperature, String> {
    if text.trim().parse::<f64>().is_err() {
        return Temperature::parse(text);
    }
    let unit = if units == Units::Metric { "C" } else { "F" };
    Temperature::parse(&format!("{} {unit}", text.trim()))
}

/// Reads a number of heads that is counted or moved.
///
/// # Errors
/// A sentence when it is none.
pub fn number(text: &str) -> Result<u32, String> {
    let n = text.trim().parse::<u32>().ok().filter(|n| *n <= MOST);
    n.ok_or_else(|| format!("write a number of heads, 0 to {MOST}"))
}

/// A wrench in words.
#[must_use]
pub fn wrench_words(state: &State, word: &str, kinds: &[KindIx]) -> String {
    let names: Vec<&str> =
        kinds.iter().filter_map(|k| state.register().kind(*k)).map(|k: &Kind| k.id.as_str()).collect();
    if word.is_empty() {
        format!("for {}; the register names no wrench of theirs", names.join(", "))
    } else {
        format!("for {}", names.join(", "))
    }
}
