//! What can be done to the register from the overview: an area found in the field, a note on an area.

use super::form::{Form, Row, Rows};
use super::new_site::{area_rows, grow, lines_of, settings_of};
use super::parts::{area_name, state};
use crate::round::entry::{NewArea, Note, What};
use crate::trade::address::{AreaId, Heads};
use crate::trade::quantity::Temperature;
use crate::trade::register::System;
use crate::trade::register_text::parse_line;
use crate::tui::ask::{Choice, Choose, Line};
use crate::tui::screen::{Draft, Effect, Screen, View};

/// The menu of an area.
pub struct AreaMenu;

impl AreaMenu {
    /// The menu of the area one stands on.
    #[must_use]
    pub fn boxed(view: &View<'_>, area: u16) -> Box<dyn Screen> {
        let mut choices = vec![Choice {
            key: 'a',
            name: "add an area".to_owned(),
            hint: "found in the field; the register does not hold it".to_owned(),
        }];
        let name = state(view).map(|s| area_name(s, area)).unwrap_or_default();
        if !name.is_empty() {
            choices.push(Choice { key: 'n', name: "note".to_owned(), hint: format!("on {name}") });
        }
        Choose::new(
            "area menu",
            "Areas",
            choices,
            Box::new(move |at, view| match at {
                0 => vec![Effect::Push(add_area())],
                _ => note(view, area),
            }),
        )
    }
}

fn note(view: &View<'_>, area: u16) -> Vec<Effect> {
    let Some(id) = state(view).and_then(|s| s.register().areas.get(usize::from(area))).map(|a| a.id.clone()) else {
        return Vec::new();
    };
    let prompt = format!("A note on area {id}:");
    let check = |t: &str, _: &View<'_>| if t.is_empty() { Err("Nothing was typed yet".to_owned()) } else { Ok(()) };
    let then = move |text: String, _: &View<'_>| {
        let note = Note { head: Some(Heads::area(&id)), text };
        vec![Effect::Record(vec![Draft::from(What::Note(Box::new(note)))])]
    };
    vec![Effect::Push(Line::new("Note", prompt, "", Box::new(check), Box::new(then)))]
}

/// The form that adds an area.
fn add_area() -> Box<dyn Screen> {
    let mut rows: Vec<Row> = area_rows();
    for row in &mut rows {
        if row.key == "line-1" {
            row.set_check(first_line);
        }
        if row.key == "area" {
            row.heading = None;
            row.set_check(good_id);
        }
    }
    let intro = vec![
        "It is recorded as found in this round and belongs to the register from then on. Its kinds must be known: \
         another kind is added from a head's menu in the walk."
            .to_owned(),
    ];
    let form = Form::new("new area", "An area that the register does not hold", rows, "Add the area", Box::new(then));
    Box::new(form.intro(intro).live(|rows, key, view| {
        if grow(rows)
            && let Some(row) = rows.0.last_mut()
        {
            row.set_check(good_line);
        }
        // A line is checked as it is typed, once it says more than a count.
        let typed = rows.get(key);
        if let Some(row) = rows.row(key).filter(|r| r.key.starts_with("line-") && typed.contains(' ')) {
            row.complain(good_line(&typed, view).err());
        }
    }))
}

fn good_id(id: &str, view: &View<'_>) -> Result<(), String> {
    AreaId::parse(id)?;
    match state(view).and_then(|s| s.register().area_named(id)) {
        Some(_) => Err(format!("An area is called '{id}' already")),
        None => Ok(()),
    }
}

/// An area without a head could not be walked, and a head is added beside another one.
fn first_line(text: &str, view: &View<'_>) -> Result<(), String> {
    if text.is_empty() {
        return Err("A line is wanted here: at least one head, such as 1 and its kind".to_owned());
    }
    good_line(text, view)
}

fn good_line(text: &str, view: &View<'_>) -> Result<(), String> {
    let Some(state) = state(view) else { return Ok(()) };
    let known = |name: &str| state.register().kind_named(name).map(|k| usize::from(k.0));
    parse_line(text, known).map(|_| ()).map_err(|(range, why)| {
        let kinds: Vec<&str> = state.register().kinds.iter().map(|k| k.id.as_str()).collect();
        let word = text.get(range).unwrap_or_default();
        match crate::diag::nearest(word, kinds) {
            Some(near) if why.starts_with("no kind") => format!("{why}; did you mean '{near}'?"),
            _ => why,
        }
    })
}

fn then(rows: &Rows, _: &View<'_>) -> Vec<Effect> {
    let new = || -> Result<NewArea, String> {
        Ok(NewArea {
            id: AreaId::parse(&rows.get("area"))?,
            name: rows.get("area-name"),
            system: System::parse(&rows.get("system"))?,
            in_service: None,
            setting: settings_of(rows),
            ceiling_max: rows.some("ceiling-max").map(|t| Temperature::parse(&t)).transpose()?,
            lines: lines_of(rows),
        })
    };
    match new() {
        Ok(area) => vec![Effect::Record(vec![Draft::from(What::NewArea(Box::new(area)))]), Effect::Pop],
        Err(why) => vec![Effect::Warn(why)],
    }
}
