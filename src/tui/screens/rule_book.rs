//! What one may ask of the adopted rules from the overview: a grid for each kind of head in the area one stands on.

use super::parts::state;
use super::rule_table::RuleTable;
use crate::round::layout::{Row, Slot};
use crate::round::state::State;
use crate::trade::register::KindIx;
use crate::tui::ask::{Choice, Choose};
use crate::tui::screen::{Screen, View};
use crate::tui::text;

/// The choice, for an area.
#[must_use]
pub fn choose(view: &View<'_>, area: u16) -> Option<Box<dyn Screen>> {
    let state = state(view)?;
    let register = state.register();
    let kinds = kinds(state, area);
    let choices = kinds
        .iter()
        .zip(('1'..='9').chain(std::iter::repeat(' ')))
        .filter_map(|(ix, key)| register.kind(*ix).map(|kind| (kind, key)))
        .map(|(kind, key)| Choice { key, name: kind.id.clone(), hint: kind.describe(register.site.units) })
        .collect();
    let name = register.areas.get(usize::from(area)).map_or("", |a| a.name.as_str());
    let title = format!("Rules for which kind in {}?", text::plain(name));
    let then = move |at: usize, view: &View<'_>| {
        let table =
            super::parts::state(view).zip(kinds.get(at)).and_then(|(s, kind)| RuleTable::of_kind(s, *kind, area));
        table.map(crate::tui::screen::Effect::Push).into_iter().collect()
    };
    Some(Choose::new("rule book", title, choices, Box::new(then)))
}

/// The kinds that hang in an area, as one meets them.
fn kinds(state: &State, area: u16) -> Vec<KindIx> {
    let mut kinds = Vec::new();
    for slot in state.layout().rows(area).iter().flat_map(|r: &Row| &r.slots) {
        if let Slot::Head(head) = slot
            && let Some(head) = state.layout().head(*head).filter(|h| !h.removed)
            && !kinds.contains(&head.kind)
        {
            kinds.push(head.kind);
        }
    }
    kinds
}
