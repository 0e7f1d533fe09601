//! The menu of one head: why it is ruled as it is, what was recorded about it, what was done to it, what the register
//! has wrong about it, and the signs that have no letter.

use super::cabinet_replace::Replacement;
use super::explain::Explain;
use super::head_entries::HeadEntries;
use super::kind_choice;
use super::parts::{address, state};
use super::rule_table::RuleTable;
use super::settle::Settlement;
use crate::round::entry::{Added, Deed, Did, IsKind, Removed, What};
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::rules::model::SignIx;
use crate::trade::address::{Address, Heads, Spot};
use crate::tui::ask::{Choice, Choose, Line};
use crate::tui::screen::{Draft, Effect, Message, Screen, View};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Item {
    Explain,
    Table,
    Entries,
    Settle,
    Signs,
    FromCabinet,
    Replaced,
    Cleaned,
    Corrected,
    Kind,
    Missing,
    AddAfter,
    AddAtEnd,
    AddLine,
}

/// Key, name, a few words more.
const fn words(item: Item) -> (char, &'static str, &'static str) {
    match item {
        Item::Explain => ('x', "explain the ruling", "rules, editions, cases; also ? in the walk"),
        Item::Table => ('r', "rules for this kind", "all signs and parts at a glance"),
        Item::Entries => ('e', "entries and history", "all rounds; take one back"),
        Item::Settle => ('d', "settle the disagreement", "which entry stands, and why"),
        Item::Signs => ('s', "other signs", "those without a letter"),
        Item::FromCabinet => ('c', "replaced from a cabinet", "which spare fits; also = in the walk"),
        Item::Replaced => ('1', "replaced", "asks by which kind"),
        Item::Cleaned => ('2', "cleaned", "without touching it"),
        Item::Corrected => ('3', "corrected", "turned, cleared, a part put on"),
        Item::Kind => ('4', "another kind", "than the register says"),
        Item::Missing => ('5', "not there", "and none belongs there"),
        Item::AddAfter => ('6', "add a head after it", "asks its kind"),
        Item::AddAtEnd => ('7', "add a head at the line's end", "asks its kind"),
        Item::AddLine => ('8', "add a head on a new line", "asks its kind"),
    }
}

/// The menu of one head.
pub struct HeadMenu;

impl HeadMenu {
    /// The menu; what can be done depends on the head and on whether anything can be recorded. The first line is one
    /// that changes nothing, for whoever strikes Enter twice.
    #[must_use]
    pub fn boxed(view: &View<'_>, head: HeadIx) -> Box<dyn Screen> {
        let items = state(view).map(|s| items(s, head, view)).unwrap_or_default();
        let choices = items
            .iter()
            .map(|item| {
                let (key, name, hint) = words(*item);
                Choice { key, name: name.to_owned(), hint: hint.to_owned() }
            })
            .collect();
        let title = state(view).map_or_else(String::new, |s| address(s, head));
        let then = move |at: usize, view: &View<'_>| match (items.get(at), state(view)) {
            (Some(item), Some(state)) => act(*item, head, state, view),
            _ => Vec::new(),
        };
        Choose::new("head menu", title, choices, Box::new(then))
    }
}

fn items(state: &State, head: HeadIx, view: &View<'_>) -> Vec<Item> {
    let mut items = vec![Item::Explain, Item::Entries, Item::Table];
    let begun = state.present_round().is_some();
    if !begun || view.desk.is_none_or(|d| d.read_only().is_some()) {
        return items;
    }
    if state.has_disagreement(head) {
        items.push(Item::Settle);
    }
    if signs(state).next().is_some() {
        items.push(Item::Signs);
    }
    if !state.register().cabinets.is_empty() {
        items.push(Item::FromCabinet);
    }
    items.extend([
        Item::Replaced,
        Item::Cleaned,
        Item::Corrected,
        Item::Kind,
        Item::Missing,
        Item::AddAfter,
        Item::AddAtEnd,
        Item::AddLine,
    ]);
    items
}

/// Signs that an eye sees and that no letter stands for.
fn signs(state: &State) -> impl Iterator<Item = (SignIx, &crate::rules::model::Sign)> {
    state.judge().set().eye_signs().filter(|(_, s)| s.key.is_none())
}

fn act(item: Item, head: HeadIx, state: &State, view: &View<'_>) -> Vec<Effect> {
    let Some(at) = state.address(head) else { return Vec::new() };
    let heads = Heads::single(&at);
    let kind = state.layout().head(head).and_then(|h| state.register().kind(h.kind)).map(|k| k.id.as_str());
    match item {
        Item::Explain => vec![Effect::Push(Explain::boxed(head))],
        Item::Entries => vec![Effect::Push(HeadEntries::boxed(view, head))],
        Item::Table => RuleTable::of_head(state, head).map(Effect::Push).into_iter().collect(),
        Item::Settle => vec![Effect::Push(Settlement::boxed(head))],
        Item::Signs => vec![Effect::Push(sign_list(state))],
        Item::FromCabinet => vec![Effect::Push(Replacement::boxed(view, head))],
        Item::Replaced => {
            let use_it = move |kind: &str| vec![did(&heads, Deed::Replaced, Some(kind))];
            vec![Effect::Push(kind_choice::choose("Replaced by", kind, view, use_it))]
        }
        Item::Cleaned => vec![Effect::Record(vec![did(&heads, Deed::Cleaned, None)])],
        Item::Corrected => vec![Effect::Record(vec![did(&heads, Deed::Corrected, None)])],
        Item::Kind => {
            let use_it = move |kind: &str| {
                vec![Draft::from(What::IsKind(Box::new(IsKind { head: heads.clone(), kind: kind.to_owned() })))]
            };
            vec![Effect::Push(kind_choice::choose("It is of the kind", kind, view, use_it))]
        }
        Item::Missing => vec![Effect::Push(missing(heads))],
        Item::AddAfter => {
            let row = state.layout().rows(area(state, head)).get(usize::from(at.spot.line).saturating_sub(1));
            let place = row.map_or(1, crate::round::layout::Row::next_place);
            add(view, &at, Spot { line: at.spot.line, place }, Some(at.spot.place), kind)
        }
        Item::AddAtEnd => {
            let row = state.layout().rows(area(state, head)).get(usize::from(at.spot.line).saturating_sub(1));
            let place = row.map_or(1, crate::round::layout::Row::next_place);
            add(view, &at, Spot { line: at.spot.line, place }, None, kind)
        }
        Item::AddLine => {
            let lines = state.layout().rows(area(state, head)).len();
            let line = u16::try_from(lines + 1).unwrap_or(u16::MAX);
            add(view, &at, Spot { line, place: 1 }, None, kind)
        }
    }
}

fn area(state: &State, head: HeadIx) -> u16 {
    state.layout().head(head).map_or(u16::MAX, |h| h.area)
}

fn did(heads: &Heads, did: Deed, kind: Option<&str>) -> Draft {
    let kind = kind.map(str::to_owned);
    Draft::from(What::Did(Box::new(Did { head: heads.clone(), did, kind, from: None, who: None, note: None })))
}

fn add(view: &View<'_>, beside: &Address, spot: Spot, after: Option<u16>, kind: Option<&str>) -> Vec<Effect> {
    let head = Address { area: beside.area.clone(), spot };
    let title = format!("{head} is new; its kind");
    let use_it = move |kind: &str| {
        vec![Draft::from(What::Added(Box::new(Added { head: head.clone(), kind: kind.to_owned(), after })))]
    };
    vec![Effect::Push(kind_choice::choose(&title, kind, view, use_it))]
}

fn missing(heads: Heads) -> Box<dyn Screen> {
    let prompt = format!(
        "{heads} is not there and none belongs there. A head that is missing where one belongs is a finding instead. \
         Why is it gone? (may stay empty)"
    );
    let then = move |why: String, _: &View<'_>| {
        let why = Some(why).filter(|w| !w.is_empty());
        vec![Effect::Record(vec![Draft::from(What::Removed(Box::new(Removed { head: heads.clone(), why })))])]
    };
    Line::new("Not there", prompt, "", Box::new(|_, _| Ok(())), Box::new(then))
}

/// The signs without a letter; the walk hears which was chosen.
fn sign_list(state: &State) -> Box<dyn Screen> {
    let (indices, choices): (Vec<SignIx>, Vec<Choice>) = signs(state)
        .zip(('1'..='9').chain(std::iter::repeat(' ')))
        .map(|((ix, sign), key)| (ix, Choice { key, name: sign.name.clone(), hint: sign.hint.clone() }))
        .unzip();
    let then = move |at: usize, _: &View<'_>| {
        indices.get(at).map(|ix| vec![Effect::Say(Message::Sign(*ix))]).unwrap_or_default()
    };
    Choose::new("signs", "Signs without a letter", choices, Box::new(then))
}
