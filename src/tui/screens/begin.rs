//! The form that begins a round: its name, the day, who inspects and what for.

use chrono::{Datelike as _, NaiveDate};

use super::form::{Form, Row, Rows};
use super::parts::state;
use crate::round::entry;
use crate::round::state::State;
use crate::tui::screen::{Effect, Screen, View};

/// The form that begins a round.
pub struct Begin;

impl Begin {
    /// The form, filled in from the last round that the same person began.
    #[must_use]
    pub fn boxed(view: &View<'_>) -> Box<dyn Screen> {
        let by = view.desk.map_or("", |d| d.by());
        let last = state(view).and_then(|s| last_of(s, by));
        let last = last.as_ref();
        let name = state(view).map_or_else(String::new, |s| proposed(s, by, view.today));
        let of = |field: fn(&entry::Begin) -> &String| last.map_or("", |b| field(b).as_str());
        let purpose = last.map_or("annual inspection", |b| b.purpose.as_str());
        let rows = vec![
            Row::text(
                "name",
                "Round",
                &name,
                "the year, or another short name; an unsigned round's name joins that round",
            )
            .checked(good_name),
            Row::text("date", "Day", &view.today.to_string(), "the day of the walk, as 2026-11-25").checked(good_day),
            Row::text("inspector", "Inspector", of(|b| &b.inspector), "full name").needed(),
            Row::text("licence", "Licence", of(|b| &b.licence), "number; leave it empty where none is held"),
            Row::text("purpose", "Purpose", purpose, "annual inspection, follow-up, change of tenant ..."),
            Row::text("scope", "Scope", of(|b| &b.scope), "what the round covers and what it leaves out"),
        ];
        let intro = vec![
            "Every entry of the walk belongs to this round. Findings that earlier rounds left open come along."
                .to_owned(),
        ];
        Box::new(Form::new("begin", "Begin a round", rows, "Begin the round", Box::new(then)).intro(intro))
    }
}

fn then(rows: &Rows, _: &View<'_>) -> Vec<Effect> {
    let Ok(date) = rows.get("date").parse::<NaiveDate>() else { return Vec::new() };
    let begin = entry::Begin {
        date,
        inspector: rows.get("inspector"),
        licence: rows.get("licence"),
        purpose: rows.get("purpose"),
        scope: rows.get("scope"),
        rules: None,
    };
    vec![Effect::Begin { name: rows.get("name"), begin: Box::new(begin) }, Effect::Pop]
}

/// What the person filled in last.
fn last_of(state: &State, by: &str) -> Option<entry::Begin> {
    state
        .rounds()
        .iter()
        .rev()
        .flat_map(|r| r.inspectors.iter().rev())
        .find(|(p, _)| **p == *by)
        .map(|(_, b)| b.clone())
}

/// The unsigned round that others have begun and this person has not; else the year, with a number behind it where the
/// year is taken.
fn proposed(state: &State, by: &str, today: NaiveDate) -> String {
    let open = state.present_round().filter(|r| r.begin.is_some() && !r.is_signed());
    if let Some(round) = open.filter(|r| !r.inspectors.iter().any(|(p, _)| **p == *by)) {
        return round.name.to_string();
    }
    let year = today.year().to_string();
    let mut name = year.clone();
    let mut n = 2;
    while state.rounds().named(&name).is_some() {
        name = format!("{year}-{n}");
        n += 1;
    }
    name
}

fn good_name(name: &str, view: &View<'_>) -> Result<(), String> {
    let length = name.chars().count();
    if length == 0 || length > 32 || name.chars().any(crate::diag::is_unprintable) {
        return Err("A round's name has 1 to 32 characters, as 2026 or 2026-2".to_owned());
    }
    let Some(state) = state(view) else { return Ok(()) };
    match state.rounds().named(name).and_then(|ix| state.rounds().get(ix)) {
        Some(round) if round.is_signed() => Err("That round is signed; choose another name".to_owned()),
        // Whoever began it under another set than the site names now begins it anew.
        Some(round) if round.rules().is_some_and(|r| r != state.register().site.rules) => Ok(()),
        Some(round) if round.inspectors.iter().any(|(by, _)| Some(&**by) == view.desk.map(|d| d.by())) => {
            Err("You have begun that round already; choose another name".to_owned())
        }
        _ => Ok(()),
    }
}

fn good_day(day: &str, view: &View<'_>) -> Result<(), String> {
    let date: NaiveDate = day.parse().map_err(|_| "Write the day as 2026-11-25".to_owned())?;
    let Some(state) = state(view) else { return Ok(()) };
    match state.rounds().iter().map(crate::round::rounds::Round::date).max() {
        Some(last) if date < last => Err(format!("The last round is of {last}; a new one cannot be of an earlier day")),
        _ => Ok(()),
    }
}
