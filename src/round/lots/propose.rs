//! Ways to draw the lots: which heads could share one sample, how many heads that takes, and how many one failure would condemn.

use std::collections::BTreeMap;

use super::size::{Asked, asked};
use crate::round::due::{DueList, DueRow};
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::rules::duties::Act;
use crate::trade::address::AreaId;
use crate::trade::quantity::PartialDate;
use crate::trade::register::{KindIx, Setting, System};
use crate::trade::words::words;

words! {
    /// What keeps heads out of one another's lot.
    pub enum Divide ("division of lots") {
        /// Their area.
        Area = "area",
        /// The kind of system that feeds them.
        System = "system",
        /// What their surroundings do to them.
        Setting = "setting",
        /// Their kind.
        Kind = "kind",
        /// The year they went into service.
        Year = "year",
    }
}

/// The division that keeps most apart: what one failure condemns is then as little as can be.
pub const SAFE: &[Divide] = &[Divide::Area, Divide::Kind, Divide::Year, Divide::Setting];

/// The divisions that are laid side by side.
const WAYS: &[&[Divide]] = &[
    SAFE,
    &[Divide::Area, Divide::Year],
    &[Divide::Kind, Divide::Year, Divide::Setting],
    &[Divide::System, Divide::Year, Divide::Setting],
    &[],
];

/// A lot that could be formed.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// A short name that no lot of the site bears.
    pub id: AreaId,
    /// A name for people.
    pub name: String,
    /// The heads, in the order of the register.
    pub heads: Vec<HeadIx>,
    /// The kinds among them.
    pub kinds: Vec<KindIx>,
    /// How many heads its sample takes.
    pub asked: Asked,
    /// The age that asks soonest.
    pub why: String,
    /// When; `None`: no date is known, and it counts as due.
    pub due: Option<chrono::NaiveDate>,
    /// Whether its sample would be no smaller than the lot: then it is replaced rather than tested.
    pub all: bool,
}

/// One way to draw the lots.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// What is kept apart; nothing: all in one.
    pub divide: Vec<Divide>,
    /// The lots.
    pub lots: Vec<Proposal>,
}

impl Way {
    /// How many heads the samples take in all.
    #[must_use]
    pub fn sampled(&self) -> u32 {
        self.lots.iter().map(|l| l.asked.heads).fold(0, u32::saturating_add)
    }

    /// How many heads the lots hold in all.
    #[must_use]
    pub fn heads(&self) -> usize {
        self.lots.iter().map(|l| l.heads.len()).sum()
    }

    /// The most heads that one failure condemns.
    #[must_use]
    pub fn most_condemned(&self) -> usize {
        self.lots.iter().map(|l| l.heads.len()).max().unwrap_or(0)
    }

    /// In words: `by area and year`, or `all in one lot`.
    #[must_use]
    pub fn words(&self) -> String {
        match self.divide.as_slice() {
            [] => "all in one lot".to_owned(),
            [one] => format!("by {one}"),
            [first @ .., last] => {
                let first: Vec<&str> = first.iter().map(|d| d.as_str()).collect();
                format!("by {} and {last}", first.join(", "))
            }
        }
    }
}

/// The rows for which a sample is due, that stand in no open lot.
fn wanted(due: &DueList) -> impl Iterator<Item = &DueRow> {
    due.due().filter(|r| r.act == Act::Test && r.lot.is_none())
}

/// The lots of one division among what is due.
#[must_use]
pub fn propose(state: &State, due: &DueList, divide: &[Divide], taken: &[&AreaId]) -> Vec<Proposal> {
    let mut groups: BTreeMap<Key, Vec<&DueRow>> = BTreeMap::new();
    for row in wanted(due) {
        groups.entry(key(state, row, divide)).or_default().push(row);
    }
    let mut used: Vec<String> = taken.iter().map(|id| id.as_str().to_owned()).collect();
    let mut list: Vec<Proposal> =
        groups.into_iter().filter_map(|(key, rows)| of(state, &key, &rows, &mut used)).collect();
    list.sort_by_key(|p| p.due);
    list
}

/// Every division side by side, each that comes to the same lots only once.
#[must_use]
pub fn ways(state: &State, due: &DueList, taken: &[&AreaId]) -> Vec<Way> {
    let mut list: Vec<Way> = Vec::new();
    for divide in WAYS {
        let lots = propose(state, due, divide, taken);
        let same =
            |way: &Way| way.lots.len() == lots.len() && way.lots.iter().zip(&lots).all(|(a, b)| a.heads == b.heads);
        if !lots.is_empty() && !list.iter().any(same) {
            list.push(Way { divide: divide.to_vec(), lots });
        }
    }
    list
}

#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Key {
    area: Option<u16>,
    system: Option<System>,
    setting: Option<Vec<Setting>>,
    kind: Option<KindIx>,
    year: Option<Option<i32>>,
}

fn key(state: &State, row: &DueRow, divide: &[Divide]) -> Key {
    let mut key = Key::default();
    for by in divide {
        match by {
            Divide::Area => key.area = Some(row.area_ix),
            Divide::System => {
                key.system = state.register().areas.get(usize::from(row.area_ix)).map(|a| a.system);
            }
            Divide::Setting => {
                let mut setting = row.setting.clone();
                setting.sort_unstable();
                setting.dedup();
                key.setting = Some(setting);
            }
            Divide::Kind => key.kind = Some(row.kind_ix),
            Divide::Year => key.year = Some(row.since.map(|d: PartialDate| d.year)),
        }
    }
    key
}

fn of(state: &State, key: &Key, rows: &[&DueRow], used: &mut Vec<String>) -> Option<Proposal> {
    let first = rows.iter().min_by_key(|r| r.on)?;
    let mut pairs: Vec<(HeadIx, KindIx)> = rows.iter().flat_map(|r| r.ixs.iter().map(|h| (*h, r.kind_ix))).collect();
    pairs.sort_unstable();
    let mut kinds: Vec<KindIx> = rows.iter().map(|r| r.kind_ix).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let asked = asked(state, pairs.iter().copied());
    let heads: Vec<HeadIx> = pairs.into_iter().map(|(h, _)| h).collect();
    let id = free(&short_name(state, key), used)?;
    used.push(id.as_str().to_owned());
    let all = usize::try_from(asked.heads).is_ok_and(|n| n >= heads.len());
    Some(Proposal { id, name: name(state, key), heads, kinds, asked, why: first.age.clone(), due: first.on, all })
}

fn parts(state: &State, key: &Key, long: bool) -> Vec<String> {
    let mut parts = Vec::new();
    if let Some(area) = key.area.and_then(|a| state.register().areas.get(usize::from(a))) {
        parts.push(if long { area.name.clone() } else { area.id.to_string() });
    }
    if let Some(system) = key.system {
        parts.push(system.to_string());
    }
    if let Some(kind) = key.kind.and_then(|k| state.register().kind(k)) {
        parts.push(kind.id.clone());
    }
    if let Some(year) = key.year {
        parts.push(
            year.map_or_else(|| if long { "year unknown".to_owned() } else { "undated".to_owned() }, |y| y.to_string()),
        );
    }
    // A setting tells lots apart only where no area does.
    if let Some(setting) = key.setting.as_ref().filter(|s| key.area.is_none() && !s.is_empty()) {
        let words: Vec<&str> = setting.iter().map(|s| s.as_str()).collect();
        parts.push(words.join(if long { " and " } else { "-" }));
    }
    parts
}

fn name(state: &State, key: &Key) -> String {
    let parts = parts(state, key, true);
    if parts.is_empty() { "All heads that are due".to_owned() } else { parts.join(", ") }
}

fn short_name(state: &State, key: &Key) -> String {
    let mut text = parts(state, key, false).join("-");
    if text.is_empty() {
        "all".clone_into(&mut text);
    }
    let fine = |c: char| if c.is_ascii_lowercase() || c.is_ascii_digit() { c } else { '-' };
    let text: String = text.to_lowercase().chars().map(fine).take(28).collect();
    let text = text.trim_matches('-').to_owned();
    if text.is_empty() { "lot".to_owned() } else { text }
}

/// The name itself, or with the first number that makes it one that is not used.
fn free(text: &str, used: &[String]) -> Option<AreaId> {
    let fresh = |t: &String| !used.contains(t);
    let name = std::iter::once(text.to_owned()).chain((2..1000).map(|n| format!("{text}-{n}"))).find(fresh)?;
    AreaId::parse(&name).ok()
}
