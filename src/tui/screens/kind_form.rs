//! The rows that describe a kind of head, and the kind read back from them.

use super::form::{Form, Row, Rows};
use super::parts::state;
use crate::round::entry::What;
use crate::trade::kind::{Element, Finish, Kind, Mount, Orientation, Response, Style};
use crate::trade::quantity::{KFactor, Length, PartialDate, Temperature};
use crate::tui::screen::{Draft, Effect, Screen, View};

/// The rows of a kind that is to be called `name`.
#[must_use]
pub fn rows(name: &str) -> Vec<Row> {
    macro_rules! words {
        ($kind:ident) => {
            $kind::ALL.iter().map(|w| w.as_str()).collect()
        };
    }
    // Rulings rest on these: nothing is filled in that nobody has read.
    macro_rules! unread {
        ($kind:ident) => {
            std::iter::once(UNREAD).chain($kind::ALL.iter().map(|w| w.as_str())).collect()
        };
    }
    vec![
        Row::text("kind", "Short name", name, "as lines use it: a-z, 0-9 and '-'").checked(good_name),
        Row::one("orientation", "Orientation", unread!(Orientation), 0, "which way it points").checked(was_read),
        Row::one("mount", "Mount", unread!(Mount), 0, "how it sits in the ceiling or wall").checked(was_read),
        Row::one("response", "Response", unread!(Response), 0, "thermal sensitivity").checked(was_read),
        Row::one("style", "Style", words!(Style), 0, "what it is listed for"),
        Row::one("element", "Element", unread!(Element), 0, "what holds it shut").checked(was_read),
        Row::text("rating", "Rating", "", "marked temperature rating, as 155 F or 68 C")
            .checked(|t, _| Temperature::parse(t).map(|_| ())),
        Row::text("k", "K-factor", "", "as 5.6, or 80 metric").checked(|t, _| KFactor::parse(t).map(|_| ())),
        Row::one("finish", "Finish", words!(Finish), 0, "as it left the factory"),
        Row::text("made", "Made", "", "the year; leave it empty where it cannot be read")
            .checked(|t, _| if t.is_empty() { Ok(()) } else { PartialDate::parse(t).map(|_| ()) }),
        Row::text("number", "Number", "", "sprinkler identification number, where one is marked"),
        Row::one("dry", "Dry head", vec!["no", "yes"], 0, "a dry head: its barrel reaches into the cold"),
        Row::text("length", "Length", "", "of a dry head, as 18 in or 450 mm: a spare of another length does not fit")
            .checked(|t, _| if t.is_empty() { Ok(()) } else { Length::parse(t).map(|_| ()) }),
        Row::text("thread", "Thread", "", "as 1/2 NPT; leave it empty where it is not known"),
        Row::one("guard", "Guard", vec!["no", "yes"], 0, "whether a guard belongs on it"),
        Row::text(
            "wrench",
            "Wrench",
            "",
            "the one that fits it, by a word of your own; kinds with one word share a wrench",
        ),
    ]
}

/// What stands in a row that nobody has chosen for yet.
const UNREAD: &str = "?";

fn was_read(chosen: &str, _: &View<'_>) -> Result<(), String> {
    if chosen == UNREAD { Err("Choose one: a ruling may rest on it".to_owned()) } else { Ok(()) }
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
        dry: rows.get("dry") == "yes",
        length: rows.some("length").filter(|_| rows.get("dry") == "yes").map(|t| Length::parse(&t)).transpose()?,
        thread: rows.some("thread"),
        guard: rows.get("guard") == "yes",
        wrench: rows.some("wrench"),
        note: None,
    })
}

/// A form that adds a kind to the site and, in the same write, records what `use_it` says of its name.
#[must_use]
pub fn new_kind(use_it: impl Fn(&str) -> Vec<Draft> + 'static) -> Box<dyn Screen> {
    described(move |kind, _| {
        let mut drafts = use_it(&kind.id);
        drafts.insert(0, Draft::from(What::NewKind(Box::new(kind))));
        vec![Effect::Record(drafts), Effect::Pop]
    })
}

/// A form that adds a kind to the site; `go` then says of its name what comes up.
#[must_use]
pub fn new_kind_then(go: impl Fn(&str, &View<'_>) -> Vec<Effect> + 'static) -> Box<dyn Screen> {
    described(move |kind, view| {
        let next = go(&kind.id, view);
        let record = Effect::Record(vec![Draft::from(What::NewKind(Box::new(kind)))]);
        [record, Effect::Pop].into_iter().chain(next).collect()
    })
}

fn described(then: impl Fn(Kind, &View<'_>) -> Vec<Effect> + 'static) -> Box<dyn Screen> {
    let then = move |rows: &Rows, view: &View<'_>| match read(rows) {
        Ok(kind) => then(kind, view),
        Err(why) => vec![Effect::Warn(why)],
    };
    let form = Form::new("new kind", "A kind that the register does not hold", rows(""), "Add it", Box::new(then));
    Box::new(form.intro(vec!["Enter what was read on the head; look closer rather than guess.".to_owned()]))
}
