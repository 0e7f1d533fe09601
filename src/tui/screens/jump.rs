//! Going to a head by its address: `3.7` in the area one is in, `pack/3.7` anywhere.

use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::trade::address::Address;
use crate::tui::ask::Line;
use crate::tui::screen::{Effect, Message, Screen, View};

/// The question.
pub struct Jump;

impl Jump {
    /// Asks for an address; without an area it means the one at index `area`.
    #[must_use]
    #[expect(clippy::new_ret_no_self, reason = "the question is a line of text, and this names what it asks")]
    pub fn new(area: u16) -> Box<dyn Screen> {
        let read = move |text: &str, view: &View<'_>| match view.desk {
            Some(desk) => target(text, area, desk.state()),
            None => Err("no site is open".to_owned()),
        };
        let check = move |text: &str, view: &View<'_>| read(text, view).map(|_| ());
        let then = move |text: String, view: &View<'_>| match read(&text, view) {
            Ok(head) => vec![Effect::Say(Message::Goto(head)), Effect::Remember(head)],
            Err(why) => vec![Effect::Warn(why)],
        };
        let prompt = "Line and place, such as 3.7; with an area, such as pack/3.7";
        Line::new("Go to a head", prompt, "", Box::new(check), Box::new(then))
    }
}

/// The head that was typed.
fn target(text: &str, area: u16, state: &State) -> Result<HeadIx, String> {
    let text = text.trim().to_ascii_lowercase();
    let here = state.register().areas.get(usize::from(area)).map_or("", |a| a.id.as_str());
    // A comma or a space between two numbers is a full stop that a glove missed.
    let spot = text.replace([',', ' '], ".");
    let whole = if text.contains('/') { text } else { format!("{here}/{spot}") };
    let address = Address::parse(&whole)?;
    let head = state.layout().find(&address).ok_or_else(|| nowhere(&address, state))?;
    match state.layout().head(head) {
        Some(known) if known.removed => Err(format!("{address} has been taken out")),
        _ => Ok(head),
    }
}

fn nowhere(address: &Address, state: &State) -> String {
    let Some(area) = state.layout().area(&address.area) else {
        return match crate::diag::nearest(address.area.as_str(), state.register().areas.iter().map(|a| a.id.as_str())) {
            Some(near) => format!("no area is called '{}'; did you mean '{near}'?", address.area),
            None => format!("no area is called '{}'", address.area),
        };
    };
    match state.layout().row(area, address.spot.line) {
        None => format!("{} has {} lines", address.area, state.layout().rows(area).len()),
        Some(row) => format!(
            "line {} of {} has no place {}; its last is {}",
            address.spot.line,
            address.area,
            address.spot.place,
            row.next_place().saturating_sub(1)
        ),
    }
}
