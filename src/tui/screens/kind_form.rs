//! The rows that describe a kind of head, and the kind read back from them.

use super::form::{Form, Row, Rows};
use super::parts::state;
use crate::round::entry::What;
use crate::trade::kind::{Element, Finish, Kind, Mount, Orientation, Response, Style};
use crate::trade::quantity::{KFactor, PartialDate, Temperature};
use crate::tui::screen::{Draft, Effect, Screen, View};

/// The rows of a kind that is to be called `name`.
#[must_use]
pub fn rows(name: &str) -> Vec<Row> {
    macro_rules! words {
        ($kind:ident) => {
            $kind::ALL.iter().map(|w| w.as_str()).collect()
        };
    }
    vec![
        Row::text("kind", "Short name", name, "as lines use it: a-z, 0-9 and '-'").checked(good_name),
        Row::one("orientation", "Orientation", words!(Orientation), 0, "which way it points"),
        Row::one("mount", "Mount", words!(Mount), 0, "how it sits in the ceiling or wall"),
        Row::one("response", "Response", words!(Response), 2, "thermal sensitivity"),
        Row::one("style", "Style", words!(Style), 0, "what it is listed for"),
        Row::one("element", "Element", words!(Element), 0, "what holds it shut"),
        Row::text("rating", "Rating", "155 F", "marked temperature rating, as 155 F or 68 C")
            .checked(|t, _| Temperature::parse(t).map(|_| ())),
        Row::text("k", "K-factor", "5.6", "as 5.6, or 80 metric").checked(|t, _| KFactor::parse(t).map(|_| ())),
        Row::one("finish", "Finish", words!(Finish), 0, "as it left the factory"),
        Row::text("made", "Made", "", "the year; leave it empty where it cannot be read")
            .checked(|t, _| if t.is_empty() { Ok(()) } else { PartialDate::parse(t).map(|_| ()) }),
        Row::text("number", "Number", "", "sprinkler identification number, where one is marked"),
    ]
}

fn good_name(name: &str, view: &View<'_>) -> Result<(), String> {
    let taken = state(view).is_some_and(|s| s.register().kind_named(name).is_some());
    if taken {
        return Err(format!("A kind is called '{name}' already"));
    }
    if name == crate::trade::register_text::GAP || crate::trade::address::AreaId::parse(name).is_err() {
        return Err("Use 1 to 32 of a-z, 0-9 and '-', not starting with '-'".to_owned());
    }
    Ok(())
}

/// The kind that the rows describe.
///
/// # Errors
/// A sentence about the first row that cannot be read.
pub fn read(rows: &Rows) -> Result<Kind, String> {
    Ok(Kind {
        id: rows.get("kind"),
        orientation: Orientation::parse(&rows.get("orientation"))?,
        mount: Mount::parse(&rows.get("mount"))?,
        response: Response::parse(&rows.get("response"))?,
        style: Style::parse(&rows.get("style"))?,
        element: Element::parse(&rows.get("element"))?,
        rating: Temperature::parse(&rows.get("rating"))?,
        k: KFactor::parse(&rows.get("k"))?,
        finish: Finish::parse(&rows.get("finish"))?,
        made: rows.some("made").map(|t| PartialDate::parse(&t)).transpose()?,
        number: rows.some("number"),
        dry: false,
        length: None,
        thread: None,
        guard: false,
        note: None,
    })
}

/// A form that adds a kind to the site and, in the same write, records what `use_it` says of its name.
#[must_use]
pub fn new_kind(use_it: impl Fn(&str) -> Vec<Draft> + 'static) -> Box<dyn Screen> {
    let then = move |rows: &Rows, _: &View<'_>| match read(rows) {
        Ok(kind) => {
            let mut drafts = use_it(&kind.id);
            drafts.insert(0, Draft::from(What::NewKind(Box::new(kind))));
            vec![Effect::Record(drafts), Effect::Pop]
        }
        Err(why) => vec![Effect::Warn(why)],
    };
    let form = Form::new("new kind", "A kind that the register does not hold", rows(""), "Add it", Box::new(then));
    Box::new(form.intro(vec!["What can be read from the floor will do; the rest stays unknown.".to_owned()]))
}
