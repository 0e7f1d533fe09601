//! The forms of a lot: one named by hand, a step of custody, a laboratory's result. What is left blank is not recorded.

use super::form::{Form, Row, Rows};
use super::parts::state;
use crate::round::entry::{Concluded, Custody, NewLot, Step, What};
use crate::round::lots::{self, Lot};
use crate::trade::address::AreaId;
use crate::trade::quantity::PartialDate;
use crate::tui::samples::{self, day, heads, new_name};
use crate::tui::screen::{Draft, Effect, Screen, View};
use crate::tui::text;

fn named(view: &View<'_>, id: &AreaId) -> Option<Lot> {
    state(view).and_then(|s| lots::lots(s).into_iter().find(|l| l.id == *id))
}

/// The form of a lot whose heads are named.
pub(super) fn new_lot(view: &View<'_>) -> Box<dyn Screen> {
    let good_id = |t: &str, view: &View<'_>| match state(view) {
        Some(state) => new_name(&lots::lots(state), t).map(|_| ()),
        None => Ok(()),
    };
    let rows = vec![
        Row::text("id", "Short name", "", "as dry-1988: a-z, 0-9 and '-'").checked(good_id),
        Row::text("name", "Name", "", "as people call it: Dry heads of 1988, both docks").needed(),
        Row::text("heads", "Heads", "", "addresses and stretches, with commas: pack/1.1..1.6, pack/3, dock")
            .checked(|t, view| state(view).map_or(Ok(()), |s| heads(s, t).map(|_| ()))),
        Row::text("note", "Note", "", "why these stand together"),
    ];
    let then = |rows: &Rows, view: &View<'_>| {
        let Some(state) = state(view) else { return Vec::new() };
        let (Ok(id), Ok(heads)) = (AreaId::parse(&rows.get("id")), heads(state, &rows.get("heads"))) else {
            return Vec::new();
        };
        let new = NewLot { id, name: rows.get("name"), heads, why: None, due: None, note: rows.some("note") };
        vec![Effect::Record(vec![Draft::from(What::Lot(Box::new(new)))]), Effect::Pop]
    };
    let means = state(view).map_or_else(String::new, |s| s.one_failure("all heads named here"));
    let intro = format!("A lot is written down before any of it is tested: {means}.");
    Box::new(Form::new("new lot", "A lot named by hand", rows, "Form the lot", Box::new(then)).intro(vec![intro]))
}

/// A step on the way of a sample.
pub(super) fn custody(view: &View<'_>, id: &AreaId) -> Vec<Effect> {
    let Some(lot) = named(view, id).filter(|l| !l.samples.is_empty()) else {
        return vec![Effect::Warn("Nothing is drawn yet, so there is nothing to hand on".to_owned())];
    };
    let steps: Vec<&'static str> = Step::ALL.iter().map(|s| s.as_str()).collect();
    // The next step of those that are recorded already is what one mostly wants.
    let last =
        state(view).and_then(|s| lot.custody.iter().rev().find_map(|ix| lots::custody(s, *ix)).map(|(_, c)| c.step));
    let next = last.and_then(|l| Step::ALL.iter().position(|s| *s == l)).map_or(0, |n| (n + 1).min(steps.len() - 1));
    let tags: Vec<String> = lot.samples.iter().map(|s| s.tag.clone()).collect();
    let known = tags.clone();
    let rows = vec![
        Row::one(
            "step",
            "Step",
            steps,
            next,
            "packed: each head bagged alone, its element protected, the bag marked and not the head",
        ),
        Row::text("tags", "Tags", "", &format!("which of them, with commas; empty: all {}", tags.len()))
            .checked(move |t, _| tags_of(t, &known).map(|_| ())),
        Row::text("from", "From", "", "who gave it"),
        Row::text("to", "To", "", "who took it, or the laboratory"),
        Row::text("on", "Day", "", "as 2026-11-25; empty: today")
            .checked(|t, _| if t.is_empty() { Ok(()) } else { day(t).map(|_| ()) }),
        Row::text("note", "Note", "", "parcel number, seals"),
    ];
    let (id, title) = (id.clone(), format!("Custody: {}", text::plain(&lot.name)));
    let then = move |rows: &Rows, view: &View<'_>| {
        let (Ok(step), Ok(tags)) = (Step::parse(&rows.get("step")), tags_of(&rows.get("tags"), &tags)) else {
            return Vec::new();
        };
        let custody = Custody {
            lot: id.clone(),
            step,
            tags,
            from: rows.some("from"),
            to: rows.some("to"),
            on: rows.some("on").and_then(|t| day(&t).ok()),
            note: rows.some("note"),
        };
        if step == Step::HandedOver && custody.to.is_none() {
            return vec![Effect::Warn("Who took it? Write a name under 'To'".to_owned())];
        }
        let odd = state(view).zip(named(view, &id)).and_then(|(s, lot)| lot.odd_step(s, step, &custody.tags));
        let record = Effect::Record(vec![Draft::from(What::Custody(Box::new(custody)))]);
        let odd = odd.map(|o| Effect::Warn(samples::capital(&o)));
        [record, Effect::Pop].into_iter().chain(odd).collect()
    };
    let intro = "Keep the sample cool and in the dark of its box: heat softens solder. Nothing is cleaned, no paint pen touches an element.";
    vec![Effect::Push(Box::new(
        Form::new("custody", title, rows, "Record it", Box::new(then)).intro(vec![intro.to_owned()]),
    ))]
}

/// Tags as they are typed, each one of the sample's.
fn tags_of(text: &str, known: &[String]) -> Result<Vec<String>, String> {
    let words = text.split([',', ' ']).map(str::trim).filter(|w| !w.is_empty());
    words
        .map(|word| {
            let found = known.iter().find(|k| k.eq_ignore_ascii_case(word)).cloned();
            found.ok_or_else(|| format!("No head of the sample bears the tag '{}'", text::plain(word)))
        })
        .collect()
}

/// A laboratory's result for the whole.
pub(super) fn concluded(view: &View<'_>, id: &AreaId) -> Vec<Effect> {
    let Some(lot) = named(view, id) else { return Vec::new() };
    let number = |t: &str, _: &View<'_>| {
        if t.is_empty() || t.parse::<u32>().is_ok_and(|n| n > 0) {
            Ok(())
        } else {
            Err("write a number of heads".to_owned())
        }
    };
    let rows = vec![
        Row::one("result", "Result", vec!["not chosen", "passed", "failed"], 0, "what the report says of the sample"),
        Row::text("on", "Day", "", "of the report: 2024-05-03, 2024-05 or 2024")
            .checked(|t, _| PartialDate::parse(t).map(|_| ())),
        Row::text("by", "By", "", "the laboratory and the number of its report").needed(),
        Row::text("tested", "Tested", "", "how many heads it tested, where it says").checked(number),
        Row::text("note", "Note", "", "anything else"),
    ];
    let (id, heads) = (id.clone(), lot.heads.len());
    let then = move |rows: &Rows, _: &View<'_>| {
        let passed = match rows.get("result").as_str() {
            "passed" => true,
            "failed" => false,
            _ => return vec![Effect::Warn("Choose what the report says: passed or failed".to_owned())],
        };
        let Ok(on) = PartialDate::parse(&rows.get("on")) else { return Vec::new() };
        let tested = rows.some("tested").and_then(|t| t.parse().ok());
        let it = Concluded { lot: id.clone(), on, passed, by: rows.get("by"), tested, note: rows.some("note") };
        vec![Effect::Record(vec![Draft::from(What::Concluded(Box::new(it)))]), Effect::Pop]
    };
    let intro = format!(
        "For a laboratory that does not tell of each head, or a test of earlier years. {}.",
        samples::capital(&state(view).map_or_else(String::new, |s| {
            s.failed_sample(&format!("what the lot stands for: {}", super::parts::count(heads, "head")))
        }))
    );
    let title = format!("A laboratory's result: {}", text::plain(&lot.name));
    let form = Form::new("laboratory result", title, rows, "Record it", Box::new(then)).intro(vec![intro]);
    vec![Effect::Push(Box::new(form))]
}
