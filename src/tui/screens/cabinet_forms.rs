//! The forms of a cabinet: spares moved, a look at the cabinet itself, a list posted, a cabinet added. What is left blank is
//! not recorded.

use std::collections::BTreeMap;
use std::path::PathBuf;

use chrono::NaiveDate;

use super::form::{Form, Row, Rows};
use super::kind_choice;
use super::parts::state;
use super::walk_act::{closed, is_signed};
use crate::report::posted_list;
use crate::report::sheets::Paper;
use crate::round::entry::{Checked, List, Moved, NewCabinet, Posted, Way, What};
use crate::round::state::State;
use crate::round::stock;
use crate::rules::duties::CabinetMatter;
use crate::trade::address::AreaId;
use crate::trade::register::{Cabinet, KindIx};
use crate::tui::ask::Confirm;
use crate::tui::screen::{Draft, Effect, Screen, View};
use crate::tui::spares::{in_order, number, proposal, temperature, to_count, wrench_words};
use crate::tui::text;

/// Does something that records, where something can be recorded; asks first where the round is signed.
pub(super) fn gated(view: &View<'_>, go: impl Fn(&View<'_>) -> Vec<Effect> + 'static) -> Vec<Effect> {
    if let Some(why) = closed(view) {
        return vec![Effect::Warn(why)];
    }
    if !state(view).is_some_and(is_signed) {
        return go(view);
    }
    let question = "This round is signed. What you record from now on is marked as made after the sign-off and shown apart. \
                    Go on?";
    vec![Effect::Push(Confirm::new("After the sign-off", question, Box::new(move |(), view| go(view))))]
}

/// A cabinet of the register.
pub(super) fn named<'a>(state: &'a State, id: &AreaId) -> Option<&'a Cabinet> {
    state.register().cabinets.iter().find(|c| c.id == *id)
}

/// What is done, as a question's title.
const fn deed(way: Way) -> &'static str {
    match way {
        Way::PutIn => "Put in",
        Way::TakenOut => "Taken out",
        Way::Discarded => "Thrown away",
    }
}

/// Spares put in, taken out or thrown away: first of which kind, then how many.
pub(super) fn moved(view: &View<'_>, id: &AreaId, way: Way) -> Vec<Effect> {
    let Some(state) = state(view) else { return Vec::new() };
    let ledger = stock::ledger(state);
    let shelf = ledger.shelf(id);
    let here = named(state, id).map(|c| to_count(state, c, shelf)).unwrap_or_default();
    // What lies there comes first; a new delivery may be of any kind.
    let held = |k: &KindIx| shelf.and_then(|s| s.holding(*k)).is_some_and(|h| h.held > 0);
    let all = in_order(state, (0u16..).map(KindIx).zip(&state.register().kinds).map(|(ix, _)| ix));
    let mut kinds: Vec<KindIx> = here.iter().copied().filter(held).collect();
    kinds.extend(here.iter().copied().filter(|k| !held(k)));
    kinds.extend(all.into_iter().filter(|k| !here.contains(k)));
    let names = kinds.into_iter().filter_map(|k| state.register().kind(k)).map(|k| k.id.clone()).collect();
    let id = id.clone();
    let go = move |kind: &str, view: &View<'_>| vec![Effect::Push(move_form(view, &id, kind, way))];
    vec![Effect::Push(kind_choice::choose_then(deed(way), names, view, go))]
}

fn move_form(view: &View<'_>, id: &AreaId, kind: &str, way: Way) -> Box<dyn Screen> {
    let (id, kind) = (id.clone(), kind.to_owned());
    let name = state(view).and_then(|s| named(s, &id)).map_or_else(String::new, |c| c.name.clone());
    let at_least_one = |t: &str, _: &View<'_>| match number(t) {
        Ok(0) => Err("none is no movement".to_owned()),
        other => other.map(|_| ()),
    };
    let note = match way {
        Way::PutIn => "where they come from: a delivery, brought back unused",
        Way::TakenOut => "what for; a head that was replaced is recorded at the head, with the cabinet",
        Way::Discarded => "why: painted, dented, without a cap, too old",
    };
    let rows = vec![
        Row::text("n", "How many", "", "heads of this kind").checked(at_least_one),
        Row::text("note", "Note", "", note),
    ];
    let intro = match way {
        Way::PutIn => "A head that was once installed, dropped, painted or stored without its cap is never put in.",
        Way::TakenOut => "Take the head and its wrench; leave the others in their caps.",
        Way::Discarded => "Unfit ones are taken off the ledger first. Make them unusable, so that nobody puts them in.",
    };
    let title = format!("{}: {kind}, {name}", deed(way));
    let then = move |rows: &Rows, _: &View<'_>| {
        let Ok(n) = number(&rows.get("n")) else { return Vec::new() };
        let moved = Moved { cabinet: id.clone(), kind: kind.clone(), n, way, head: None, note: rows.some("note") };
        vec![Effect::Record(vec![Draft::from(What::Moved(Box::new(moved)))]), Effect::Pop]
    };
    Box::new(Form::new("spares moved", title, rows, "Record it", Box::new(then)).intro(vec![intro.to_owned()]))
}

/// What stands in a row that nobody has answered.
const NOT_LOOKED: &str = "not looked at";

/// A look at the cabinet itself.
pub(super) fn look(view: &View<'_>, id: &AreaId) -> Vec<Effect> {
    let Some(state) = state(view) else { return Vec::new() };
    let Some(cabinet) = named(state, id) else { return Vec::new() };
    let needed = stock::wrenches_needed(state, cabinet);
    let mut rows = Vec::new();
    let words: Vec<String> = needed.keys().cloned().collect();
    for (n, (word, kinds)) in needed.iter().enumerate() {
        let label = if word.is_empty() { "Wrench".to_owned() } else { format!("Wrench {}", text::plain(word)) };
        let about = wrench_words(state, word, kinds);
        rows.push(Row::one(&format!("wrench-{n}"), &label, vec![NOT_LOOKED, "there", "missing"], 0, &about));
    }
    let units = state.register().site.units;
    let most = state.judge().set().duties.cabinet.iter().find(|d| d.matter == CabinetMatter::Temperature);
    let most = most.and_then(|d| d.at_most).map_or(String::new(), |t| format!("; at most {}", t.show(units)));
    rows.extend([
        Row::one(
            "list",
            "Posted list",
            vec![NOT_LOOKED, "right", "wrong", "missing"],
            0,
            "whether it agrees with what lies there and bears a date",
        ),
        Row::text("warmest", "Warmest", "", &format!("the warmest it gets there, as far as can be told{most}"))
            .checked(move |t, _| if t.is_empty() { Ok(()) } else { temperature(t, units).map(|_| ()) }),
        Row::one("dry", "Dry there", vec![NOT_LOOKED, "yes", "no"], 0, "no damp, no drips, no corrosive air"),
        Row::one(
            "place",
            "Place",
            vec![NOT_LOOKED, "right", "wrong"],
            0,
            "found and reached by everybody who needs it",
        ),
        Row::text("note", "Note", "", "anything else about the cabinet"),
    ]);
    let id = id.clone();
    let title = format!("Look at it: {}", cabinet.name);
    let then = move |rows: &Rows, _: &View<'_>| {
        let of = |key: &str, yes: &str| Some(rows.get(key)).filter(|w| w != NOT_LOOKED).map(|w| w == yes);
        let wrenches: BTreeMap<String, bool> = words
            .iter()
            .enumerate()
            .filter_map(|(n, word)| Some((word.clone(), of(&format!("wrench-{n}"), "there")?)))
            .collect();
        let checked = Checked {
            cabinet: id.clone(),
            wrenches,
            list: List::parse(&rows.get("list")).ok(),
            warmest: rows.some("warmest").and_then(|t| temperature(&t, units).ok()),
            dry: of("dry", "yes"),
            place: of("place", "right"),
            note: rows.some("note"),
        };
        if !says_something(&checked) {
            return vec![Effect::Warn("Nothing was looked at, so nothing is recorded: Esc leaves".to_owned())];
        }
        vec![Effect::Record(vec![Draft::from(What::Checked(Box::new(checked)))]), Effect::Pop]
    };
    let intro = vec!["What stays 'not looked at' or empty is not recorded: it never counts as right.".to_owned()];
    vec![Effect::Push(Box::new(
        Form::new("look at the cabinet", title, rows, "Record it", Box::new(then)).intro(intro),
    ))]
}

/// Whether anything was looked at or noted.
pub(super) fn says_something(it: &Checked) -> bool {
    !it.wrenches.is_empty()
        || it.list.is_some()
        || it.warmest.is_some()
        || it.dry.is_some()
        || it.place.is_some()
        || it.note.is_some()
}

/// A list that was posted: quantities proposed kind by kind.
pub(super) fn post(view: &View<'_>, id: &AreaId) -> Vec<Effect> {
    let Some(state) = state(view) else { return Vec::new() };
    let Some(cabinet) = named(state, id) else { return Vec::new() };
    let units = state.register().site.units;
    let good_date = |t: &str, _: &View<'_>| match t.parse::<NaiveDate>() {
        Ok(_) => Ok(()),
        Err(_) => Err("write the date as 2026-11-25".to_owned()),
    };
    let mut rows = vec![Row::text("date", "Date", &view.today.to_string(), "the date it bears").checked(good_date)];
    let mut kinds = Vec::new();
    for (ix, keep) in proposal(state, cabinet, view.today) {
        let Some(kind) = state.register().kind(ix) else { continue };
        let key = format!("keep-{}", kinds.len());
        let row = Row::text(key, kind.id.clone(), &keep.to_string(), &kind.describe(units))
            .checked(|t, _| if t.is_empty() { Ok(()) } else { number(t).map(|_| ()) });
        rows.push(if kinds.is_empty() { row.under("How many are kept of each kind") } else { row });
        kinds.push(kind.id.clone());
    }
    let id = id.clone();
    let title = format!("A list is posted: {}", cabinet.name);
    let then = move |rows: &Rows, _: &View<'_>| {
        let Ok(date) = rows.get("date").parse::<NaiveDate>() else { return Vec::new() };
        let keep: BTreeMap<String, u32> = kinds
            .iter()
            .enumerate()
            .filter_map(|(n, kind)| Some((kind.clone(), number(&rows.get(&format!("keep-{n}"))).ok()?)))
            .filter(|(_, n)| *n > 0)
            .collect();
        if keep.is_empty() {
            return vec![Effect::Warn("The list would say that nothing is kept: type how many".to_owned())];
        }
        let posted = Posted { cabinet: id.clone(), date, keep };
        let id = id.clone();
        vec![Effect::Record(vec![Draft::from(What::Posted(Box::new(posted)))]), Effect::Pop, Effect::Push(offer(id))]
    };
    let intro = "The numbers are a proposal from what the rule set asks for and what lies there: change them to what the list \
                 says. 0 or nothing: not on the list.";
    let form = Form::new("posted list", title, rows, "Record it", Box::new(then)).intro(vec![intro.to_owned()]);
    vec![Effect::Push(Box::new(form))]
}

/// Offers to write the list out for printing.
fn offer(id: AreaId) -> Box<dyn Screen> {
    let question = "The list is recorded. Write it beside the site file as a page to print and hang up?";
    let then = move |(), view: &View<'_>| {
        let (Some(state), Some(desk)) = (state(view), view.desk) else { return Vec::new() };
        let Some(at) = state.register().cabinet_named(id.as_str()) else { return Vec::new() };
        let text = posted_list::render(state, at, view.today, Paper { ascii: view.glyphs.ascii, ..Paper::default() });
        vec![Effect::Write { files: vec![(file(desk.path(), &id), text)], over: false }]
    };
    Confirm::new("Write the list?", question, Box::new(then))
}

/// Where a cabinet's list is written: beside the site file, under its name.
fn file(site: &std::path::Path, id: &AreaId) -> PathBuf {
    let name = site.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    let name = name.strip_suffix(".site.yaml").unwrap_or(&name).to_owned();
    site.with_file_name(format!("{name}.posted-list-{id}.txt"))
}

/// The form that adds a cabinet.
pub(super) fn new_cabinet() -> Box<dyn Screen> {
    let good_id = |t: &str, view: &View<'_>| {
        AreaId::parse(t)?;
        let taken = state(view).is_some_and(|s| s.register().cabinet_named(t).is_some());
        if taken { Err(format!("A cabinet is called '{t}' already")) } else { Ok(()) }
    };
    let rows = vec![
        Row::text("id", "Short name", "", "as riser: a-z, 0-9 and '-'").checked(good_id),
        Row::text("name", "Name", "", "as people call it: Valve room cabinet").needed(),
        Row::text("place", "Where", "", "where it hangs, so that it can be found"),
        Row::text("serves", "Serves", "", "short names of areas, with commas; empty: all of them")
            .checked(|t, view| areas(t, view).map(|_| ())),
    ];
    let then = |rows: &Rows, view: &View<'_>| {
        let new = || -> Result<NewCabinet, String> {
            let id = AreaId::parse(&rows.get("id"))?;
            let serves = areas(&rows.get("serves"), view)?;
            Ok(NewCabinet { id, name: rows.get("name"), place: rows.some("place"), serves })
        };
        match new() {
            Ok(cabinet) => vec![Effect::Record(vec![Draft::from(What::NewCabinet(Box::new(cabinet)))]), Effect::Pop],
            Err(why) => vec![Effect::Warn(why)],
        }
    };
    let intro = "It is recorded as found in this round and belongs to the register from then on. Count it next.";
    let title = "A cabinet that the register does not hold";
    Box::new(Form::new("new cabinet", title, rows, "Add the cabinet", Box::new(then)).intro(vec![intro.to_owned()]))
}

/// The areas that are named, separated by commas or blanks.
fn areas(text: &str, view: &View<'_>) -> Result<Vec<AreaId>, String> {
    let Some(state) = state(view) else { return Ok(Vec::new()) };
    let known: Vec<&str> = state.register().areas.iter().map(|a| a.id.as_str()).collect();
    let words = text.split([',', ' ']).map(str::trim).filter(|w| !w.is_empty());
    words
        .map(|word| match AreaId::parse(word) {
            Ok(id) if known.contains(&word) => Ok(id),
            _ => {
                let near = crate::diag::nearest(word, known.iter().copied());
                let near = near.map_or_else(String::new, |n| format!("; did you mean '{n}'?"));
                Err(format!("No area is called '{}'{near}", parts_word(word)))
            }
        })
        .collect()
}

fn parts_word(word: &str) -> String {
    text::truncate(&text::plain(word), 32, "...")
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    #[test]
    fn a_list_is_written_beside_the_site_file_under_the_cabinets_name() {
        let riser = AreaId::parse("riser").unwrap();
        for (site, list) in [
            ("sites/quay.site.yaml", "sites/quay.posted-list-riser.txt"),
            ("quay.yaml", "quay.yaml.posted-list-riser.txt"),
        ] {
            assert_eq!(file(Path::new(site), &riser), Path::new(list));
        }
    }
}
