//! The cabinet in the plain walk: what lies in it, counts, movements, a look at it, its list, a head replaced from it.

use std::collections::BTreeMap;

use super::{Pending, Walk, plainly, sentence, words};
use crate::diag::nearest;
use crate::record::desk::{Clock, Desk};
use crate::round::entry::{Checked, Counted, Deed, Did, List, Marks, Moved, NewCabinet, Posted, Way, What};
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::round::stock::{self, wrenches_needed};
use crate::rules::spares::FitVerdict;
use crate::trade::address::{AreaId, Heads};
use crate::trade::register::{Cabinet, KindIx};
use crate::tui::spares::{
    CAUTION, Candidate, against, candidates, number, proposal, temperature, to_count, wrench_words,
};

/// A count that is asked for kind by kind.
pub(super) struct Asking {
    kinds: Vec<KindIx>,
    at: usize,
    count: Counted,
}

impl Asking {
    /// What is asked next.
    pub(super) fn prompt(&self, state: &State) -> String {
        match self.kinds.get(self.at).and_then(|k| state.register().kind(*k)) {
            Some(kind) => format!("{} ({} of {})?", kind.id, self.at + 1, self.kinds.len()),
            None => "a note?".to_owned(),
        }
    }
}

/// The cabinet that a line starts with, or the only one; and the rest of the line.
fn cabinet_of<'a, 't>(state: &'a State, text: &'t str) -> Result<(&'a Cabinet, &'t str), String> {
    let all = &state.register().cabinets;
    let text = text.trim();
    let (first, rest) = text.split_once(char::is_whitespace).map_or((text, ""), |(w, r)| (w, r.trim()));
    if let Some(cabinet) = all.iter().find(|c| c.id.as_str() == first) {
        return Ok((cabinet, rest));
    }
    match all.as_slice() {
        [] => Err("no cabinet is in the register; 'new-cabinet riser Valve room cabinet' adds one".to_owned()),
        [only] => Ok((only, text)),
        _ => {
            let names: Vec<&str> = all.iter().map(|c| c.id.as_str()).collect();
            Err(format!("which cabinet? write one of {} first", names.join(", ")))
        }
    }
}

/// What stands before a colon, and the note behind it.
pub(super) fn noted(text: &str) -> (&str, Option<String>) {
    let (text, note) = text.split_once(':').unwrap_or((text, ""));
    (text.trim(), Some(note.trim().to_owned()).filter(|n| !n.is_empty()))
}

fn kind_named(state: &State, name: &str) -> Result<String, String> {
    if state.register().kind_named(name).is_some() {
        return Ok(name.to_owned());
    }
    let near = nearest(name, state.register().kinds.iter().map(|k| k.id.as_str()));
    let near = near.map_or_else(String::new, |n| format!("; did you mean '{n}'?"));
    Err(format!("no kind is called '{}'{near}", crate::diag::plain(name)))
}

/// A count of one kind: `6`, or `6/1` where one of them is unfit.
fn tally(text: &str) -> Result<(u32, u32), String> {
    let (held, unfit) = text.split_once('/').unwrap_or((text, "0"));
    let (held, unfit) = (number(held)?, number(unfit)?);
    if unfit > held { Err(format!("of {held} heads {unfit} cannot be unfit")) } else { Ok((held, unfit)) }
}

fn pairs<T>(state: &State, text: &str, read: impl Fn(&str) -> Result<T, String>) -> Result<Vec<(String, T)>, String> {
    text.split_whitespace()
        .map(|pair| {
            let (kind, value) = pair.split_once('=').ok_or("write KIND=NUMBER, as in 'qr-pendent=6'")?;
            Ok((kind_named(state, kind)?, read(value)?))
        })
        .collect()
}

fn counted(state: &State, cabinet: &AreaId, text: &str) -> Result<Counted, String> {
    let (text, note) = noted(text);
    let (mut held, mut unfit) = (BTreeMap::new(), BTreeMap::new());
    for (kind, (n, bad)) in pairs(state, text, tally)? {
        held.insert(kind.clone(), n);
        if bad > 0 {
            unfit.insert(kind, bad);
        }
    }
    Ok(Counted { cabinet: cabinet.clone(), held, unfit, note })
}

/// A count in lines: what differs from the ledger, what was not counted.
fn differences(state: &State, count: &Counted) -> Vec<String> {
    let ledger = stock::ledger(state);
    let shelf = ledger.shelf(&count.cabinet);
    let name = |k: KindIx| state.register().kind(k).map_or("", |k| k.id.as_str());
    let mut lines: Vec<String> = against(state, shelf, count)
        .into_iter()
        .map(|(kind, held, unfit, against)| {
            let unfit = if unfit > 0 { format!(", {unfit} of them unfit") } else { String::new() };
            format!("{} {held}{unfit}: {}.", name(kind), against.words())
        })
        .collect();
    let cabinet = state.register().cabinets.iter().find(|c| c.id == count.cabinet);
    let left: Vec<&str> = cabinet
        .map(|c| to_count(state, c, shelf))
        .unwrap_or_default()
        .into_iter()
        .map(name)
        .filter(|n| !count.held.contains_key(*n))
        .collect();
    if !left.is_empty() {
        lines.push(format!("Not counted: {}.", left.join(", ")));
    }
    lines
}

/// A look: `wrench-small=there list=right warmest=95 dry=yes place=right`.
fn checked(state: &State, cabinet: &Cabinet, text: &str) -> Result<Checked, String> {
    let (text, note) = noted(text);
    let mut out = Checked {
        cabinet: cabinet.id.clone(),
        wrenches: BTreeMap::new(),
        list: None,
        warmest: None,
        dry: None,
        place: None,
        note,
    };
    let either = |key: &str, value: &str, yes: &[&str], no: &[&str]| match value {
        v if yes.contains(&v) => Ok(true),
        v if no.contains(&v) => Ok(false),
        _ => Err(format!("write '{key}={}' or '{key}={}'", yes.first().unwrap_or(&""), no.first().unwrap_or(&""))),
    };
    for pair in text.split_whitespace() {
        let (key, value) = pair.split_once('=').ok_or_else(|| look_words(state, cabinet))?;
        match key {
            "list" => out.list = Some(List::parse(value)?),
            "warmest" => out.warmest = Some(temperature(value, state.register().site.units)?),
            "dry" => out.dry = Some(either(key, value, &["yes"], &["no"])?),
            "place" => out.place = Some(either(key, value, &["right", "yes"], &["wrong", "no"])?),
            _ => {
                let word = match key.strip_prefix("wrench-") {
                    Some(word) => word,
                    None if key == "wrench" => "",
                    None => return Err(look_words(state, cabinet)),
                };
                out.wrenches.insert(word.to_owned(), either(key, value, &["there", "yes"], &["missing", "no"])?);
            }
        }
    }
    Ok(out)
}

/// What can be written about a cabinet itself.
fn look_words(state: &State, cabinet: &Cabinet) -> String {
    let wrenches = wrenches_needed(state, cabinet);
    let mut list: Vec<String> = wrenches
        .iter()
        .map(|(word, kinds)| {
            let name = if word.is_empty() { "wrench".to_owned() } else { format!("wrench-{word}") };
            format!("{name}=there or missing ({})", wrench_words(state, word, kinds))
        })
        .collect();
    list.extend(
        ["list=right, wrong or missing", "warmest=95", "dry=yes or no", "place=right or wrong"].map(str::to_owned),
    );
    format!("what was looked at? write {}; what is left out is not recorded", list.join(", "))
}

fn verdict(it: FitVerdict) -> &'static str {
    match it {
        FitVerdict::Same => "fits",
        FitVerdict::May => "may go in",
        FitVerdict::Ask => "ask the designer or the authority",
        FitVerdict::Never => "never",
    }
}

impl Walk {
    /// What is asked for and held; of one cabinet what lies in it and what is wrong with it.
    pub(super) fn cabinet(state: &State, text: &str, today: chrono::NaiveDate) -> Vec<String> {
        let ledger = stock::ledger(state);
        let required = stock::required(state, &ledger, today);
        let units = state.register().site.units;
        let mut lines = Vec::new();
        if text.is_empty() {
            if let Some(ruling) = required.ruling() {
                let known = required.rows.iter().any(|r| r.known);
                let held = stock::held_words(ruling.total, required.held, ruling.short, known);
                let installed = words::count(usize::try_from(required.installed).unwrap_or(usize::MAX), "head");
                lines.push(format!("{installed} installed: {held} ({}).", ruling.title));
            }
            for row in &required.rows {
                let held = if row.known { format!("{} held", row.held) } else { "never counted".to_owned() };
                let short =
                    if row.known && row.short() > 0 { format!(", {} short", row.short()) } else { String::new() };
                let (what, installed, need) = (row.head_type.describe(units), row.installed, row.need);
                lines.push(format!("{what}: {installed} installed, {need} asked for, {held}{short}."));
            }
        }
        for (shelf, cabinet) in ledger.shelves.iter().zip(&state.register().cabinets) {
            let place = cabinet.place.as_deref().map_or_else(String::new, |p| format!(", {p}"));
            if text.is_empty() {
                lines.push(format!("Cabinet {}: {}{place}.", cabinet.id, cabinet.name));
            } else if cabinet.id.as_str() == text {
                lines.push(format!("{}{place}.", cabinet.name));
                for kind in to_count(state, cabinet, Some(shelf)) {
                    let Some(name) = state.register().kind(kind).map(|k| &k.id) else { continue };
                    lines.push(match shelf.holding(kind) {
                        Some(h) if h.unfit > 0 => format!("{name}: {} held, {} of them unfit.", h.held, h.unfit),
                        Some(h) => format!("{name}: {} held.", h.held),
                        None => format!("{name}: never counted, which is not none."),
                    });
                }
            }
        }
        if !text.is_empty() && lines.is_empty() {
            return vec![
                cabinet_of(state, "").err().map_or_else(|| format!("No cabinet is called '{text}'."), |w| sentence(&w)),
            ];
        }
        for it in stock::findings(state, &ledger, &required, today) {
            if it.cabinet.as_ref().map_or("", AreaId::as_str) == text {
                let clause = if it.clause.is_empty() { String::new() } else { format!(" ({})", it.clause) };
                lines.push(format!(
                    "{}: {}. Do: {}{clause}.",
                    sentence(it.weight.as_str()).trim_end_matches('.'),
                    it.text,
                    it.remedy
                ));
            }
        }
        lines
    }

    /// A count: written out, or asked for kind by kind. Either way it is held against the ledger before it is recorded.
    pub(super) fn count_cabinet(&mut self, state: &State, text: &str) -> Vec<String> {
        let (cabinet, rest) = match cabinet_of(state, text) {
            Ok(found) => found,
            Err(why) => return vec![sentence(&why)],
        };
        if rest.is_empty() {
            let ledger = stock::ledger(state);
            let kinds = to_count(state, cabinet, ledger.shelf(&cabinet.id));
            let count =
                Counted { cabinet: cabinet.id.clone(), held: BTreeMap::new(), unfit: BTreeMap::new(), note: None };
            self.asking = Some(Asking { kinds, at: 0, count });
            return vec![
                format!("Counting {}: type how many heads of each kind lie there, fit or not.", cabinet.name),
                "'6/1': one of six is unfit. An empty line: not counted. 0: none there. 'back', 'stop'.".to_owned(),
            ];
        }
        match counted(state, &cabinet.id, rest) {
            Ok(count) => self.ask_to_record(state, count),
            Err(why) => vec![sentence(&why)],
        }
    }

    fn ask_to_record(&mut self, state: &State, count: Counted) -> Vec<String> {
        if count.held.is_empty() {
            return vec!["Nothing was counted, so nothing is recorded.".to_owned()];
        }
        let mut lines = differences(state, &count);
        self.pending = Some(staying(vec![plainly(What::Counted(Box::new(count)))]));
        lines.push("Record this count? Type 'yes' to record it.".to_owned());
        lines
    }

    /// Takes an answer to a count that is asked for kind by kind.
    pub(super) fn answered(&mut self, mut asking: Asking, line: &str, state: &State) -> Vec<String> {
        let line = line.trim();
        let Some(kind) = asking.kinds.get(asking.at).and_then(|k| state.register().kind(*k)) else {
            asking.count.note = Some(line.to_owned()).filter(|n| !n.is_empty());
            return self.ask_to_record(state, asking.count);
        };
        let mut said = Vec::new();
        match line.to_lowercase().as_str() {
            "stop" => return vec!["The count was left; nothing of it was recorded.".to_owned()],
            "back" => asking.at = asking.at.saturating_sub(1),
            "" => {
                asking.count.held.remove(&kind.id);
                asking.count.unfit.remove(&kind.id);
                asking.at += 1;
            }
            typed => match tally(typed) {
                Ok((held, unfit)) => {
                    asking.count.held.insert(kind.id.clone(), held);
                    asking.count.unfit.remove(&kind.id);
                    if unfit > 0 {
                        asking.count.unfit.insert(kind.id.clone(), unfit);
                    }
                    asking.at += 1;
                }
                Err(why) => said.push(sentence(&why)),
            },
        }
        if asking.at == asking.kinds.len() {
            said.push("That was the last kind. A note, or an empty line?".to_owned());
        }
        self.asking = Some(asking);
        said
    }

    /// Spares put in, taken out or thrown away; a look; a list; a cabinet that was found.
    pub(super) fn at_cabinet(&mut self, order: &Doing, desk: &mut Desk, clock: &dyn Clock) -> Vec<String> {
        let today = clock.now().date_naive();
        let what = match order {
            Doing::Move(way, text) => moved(desk.state(), *way, text),
            Doing::Look(text) => looked(desk.state(), text),
            Doing::Post(text) => return self.post(desk, clock, text, today),
            Doing::New(text) => new_cabinet(text),
        };
        match what {
            Ok(what) => {
                let mut lines = Vec::new();
                self.record(desk, clock, vec![plainly(what)], &mut lines);
                lines
            }
            Err(why) => vec![sentence(&why)],
        }
    }

    fn post(&mut self, desk: &mut Desk, clock: &dyn Clock, text: &str, date: chrono::NaiveDate) -> Vec<String> {
        let state = desk.state();
        let read = cabinet_of(state, text).and_then(|(cabinet, rest)| {
            let keep: BTreeMap<String, u32> = pairs(state, rest, number)?.into_iter().filter(|(_, n)| *n > 0).collect();
            Ok((cabinet, keep))
        });
        let (cabinet, mut keep) = match read {
            Ok(read) => read,
            Err(why) => return vec![sentence(&why)],
        };
        let proposed = keep.is_empty();
        if proposed {
            let list = proposal(state, cabinet, date).into_iter().filter(|(_, n)| *n > 0);
            keep = list.filter_map(|(k, n)| Some((state.register().kind(k)?.id.clone(), n))).collect();
        }
        if keep.is_empty() {
            return vec!["Nothing is to be kept here: write 'post riser qr-pendent=6'.".to_owned()];
        }
        let said: Vec<String> = keep.iter().map(|(kind, n)| format!("{kind} {n}")).collect();
        let what = vec![plainly(What::Posted(Box::new(Posted { cabinet: cabinet.id.clone(), date, keep })))];
        if proposed {
            self.pending = Some(staying(what));
            return vec![format!(
                "Proposed: {}. Record that such a list is posted? Type 'yes' to record it.",
                said.join(", ")
            )];
        }
        let mut lines = Vec::new();
        self.record(desk, clock, what, &mut lines);
        lines
    }

    /// The spares that could take the head's place, or the head replaced by one of them.
    pub(super) fn replace(&mut self, text: &str, at: HeadIx, desk: &mut Desk, clock: &dyn Clock) -> Vec<String> {
        let state = desk.state();
        let list = candidates(state, &stock::ledger(state), at, clock.now().date_naive());
        let (chosen, by) = noted(text);
        if chosen.is_empty() {
            return listed(state, &list);
        }
        let spare = chosen.parse::<usize>().ok().and_then(|n| list.get(n.checked_sub(1)?));
        let (Some(spare), Some(address)) = (spare, state.address(at)) else {
            return vec!["No spare has that number: 'replace' lists them.".to_owned()];
        };
        let Some(kind) = state.register().kind(spare.kind).map(|k| k.id.clone()) else { return Vec::new() };
        let why = spare.why().unwrap_or_default();
        let did = |note: Option<String>| {
            let (head, from) = (Heads::single(&address), Some(spare.cabinet.clone()));
            let kind = Some(kind.clone());
            plainly(What::Did(Box::new(Did { head, did: Deed::Replaced, kind, from, who: None, note })))
        };
        match (spare.verdict(), by) {
            (FitVerdict::Never, _) => {
                vec![
                    format!("It must not go in. {why}"),
                    "'did replaced KIND' records what was done all the same.".to_owned(),
                ]
            }
            (FitVerdict::Ask, None) => {
                vec![why, format!("Who allowed it? Write 'replace {chosen}: NAME, grounds'. Nothing was recorded.")]
            }
            (FitVerdict::May, None) => {
                self.pending = Some(staying(vec![did(None)]));
                vec![why, format!("Record that {address} was replaced by {kind}? Type 'yes' to record it.")]
            }
            (verdict, by) => {
                let note = by.map(|b| if verdict == FitVerdict::Same { b } else { format!("allowed by {b}") });
                let drafts = vec![did(note)];
                let mut lines = Vec::new();
                self.record(desk, clock, drafts, &mut lines);
                lines.extend(words::head_state(desk.state(), at));
                lines
            }
        }
    }
}

/// What is done at a cabinet, as it was typed.
#[derive(Clone, Debug, PartialEq)]
pub enum Doing {
    /// Spares moved.
    Move(Way, String),
    /// A look at the cabinet itself.
    Look(String),
    /// A list posted.
    Post(String),
    /// A cabinet found.
    New(String),
}

/// A question after whose answer one stays where one is.
pub(super) fn staying(drafts: Vec<(What, Marks)>) -> Pending {
    Pending { drafts, done: String::new(), stay: true }
}

fn listed(state: &State, list: &[Candidate]) -> Vec<String> {
    if list.is_empty() {
        return vec![
            "No cabinet's ledger knows of a spare that may be used: 'count' and a cabinet counts one.".to_owned(),
        ];
    }
    let mut lines: Vec<String> = list
        .iter()
        .enumerate()
        .filter_map(|(n, c)| {
            let kind = state.register().kind(c.kind)?;
            let why = c.why().map_or_else(|| ".".to_owned(), |w| format!(": {w}"));
            let serves = if c.serves { "" } else { ", which serves elsewhere" };
            Some(format!(
                "{}. {}, {} in cabinet {}{serves}: {}{why}",
                n + 1,
                kind.id,
                c.there,
                c.cabinet,
                verdict(c.verdict())
            ))
        })
        .collect();
    lines.push("Type 'replace' and a number once it is done.".to_owned());
    lines.push(CAUTION.to_owned());
    lines
}

fn moved(state: &State, way: Way, text: &str) -> Result<What, String> {
    let (cabinet, rest) = cabinet_of(state, text)?;
    let (rest, note) = noted(rest);
    let (n, kind) = rest.split_once(char::is_whitespace).ok_or("how many of which kind? write '6 qr-pendent'")?;
    let n = number(n)?;
    if n == 0 {
        return Err("none is no movement".to_owned());
    }
    let kind = kind_named(state, kind.trim())?;
    Ok(What::Moved(Box::new(Moved { cabinet: cabinet.id.clone(), kind, n, way, head: None, note })))
}

fn looked(state: &State, text: &str) -> Result<What, String> {
    let (cabinet, rest) = cabinet_of(state, text)?;
    if rest.is_empty() {
        return Err(look_words(state, cabinet));
    }
    Ok(What::Checked(Box::new(checked(state, cabinet, rest)?)))
}

fn new_cabinet(text: &str) -> Result<What, String> {
    let (id, name) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    let (name, place) = name.split_once(',').unwrap_or((name, ""));
    if name.trim().is_empty() {
        return Err("what is it called? write 'new-cabinet riser Valve room cabinet, where it hangs'".to_owned());
    }
    let place = Some(place.trim().to_owned()).filter(|p| !p.is_empty());
    let new = NewCabinet { id: AreaId::parse(id)?, name: name.trim().to_owned(), place, serves: Vec::new() };
    Ok(What::NewCabinet(Box::new(new)))
}
