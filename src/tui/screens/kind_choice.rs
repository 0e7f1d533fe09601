//! Choosing a kind of head from those the register holds, or describing another.

use std::rc::Rc;

use super::kind_form;
use super::parts::state;
use crate::trade::register::KindIx;
use crate::tui::ask::{Choice, Choose};
use crate::tui::screen::{Draft, Effect, Message, Screen, View};

/// A choice of kind, the one named `first` on top; what `use_it` says of the chosen name is recorded.
#[must_use]
pub fn choose(
    title: &str,
    first: Option<&str>,
    view: &View<'_>,
    use_it: impl Fn(&str) -> Vec<Draft> + Clone + 'static,
) -> Box<dyn Screen> {
    let Some(register) = state(view).map(|s| s.register()) else {
        return kind_form::new_kind(use_it);
    };
    let mut names: Vec<String> = register.kinds.iter().map(|k| k.id.clone()).collect();
    names.sort_by_key(|id| Some(id.as_str()) != first);
    let choices = choices(view, &names);
    let then = move |at: usize, _: &View<'_>| match names.get(at) {
        Some(id) => vec![Effect::Record(use_it(id))],
        None => vec![Effect::Push(kind_form::new_kind(use_it.clone()))],
    };
    Choose::new("kinds", title, choices, Box::new(then))
}

/// A choice of kind in the order of `names`; a kind that is described first is recorded at once, and then `go` says of the
/// name what comes up.
#[must_use]
pub fn choose_then(
    title: &str,
    names: Vec<String>,
    view: &View<'_>,
    go: impl Fn(&str, &View<'_>) -> Vec<Effect> + 'static,
) -> Box<dyn Screen> {
    let choices = choices(view, &names);
    let go = Rc::new(go);
    let then = move |at: usize, view: &View<'_>| match names.get(at) {
        Some(id) => go(id, view),
        None => {
            let go = Rc::clone(&go);
            vec![Effect::Push(kind_form::new_kind_then(move |id, view| go(id, view)))]
        }
    };
    Choose::new("kinds", title, choices, Box::new(then))
}

/// A choice among the kinds that are not listed yet; the screen below hears of the chosen one, and finds a kind that is
/// described here in the register.
#[must_use]
pub fn for_count(view: &View<'_>, listed: &[KindIx]) -> Box<dyn Screen> {
    let kinds = state(view).map(|s| s.register().kinds.as_slice()).unwrap_or_default();
    let left: Vec<(KindIx, String)> = (0u16..)
        .map(KindIx)
        .zip(kinds)
        .filter(|(ix, _)| !listed.contains(ix))
        .map(|(ix, kind)| (ix, kind.id.clone()))
        .collect();
    let (indices, names): (Vec<KindIx>, Vec<String>) = left.into_iter().unzip();
    let choices = choices(view, &names);
    let then = move |at: usize, _: &View<'_>| match indices.get(at) {
        Some(ix) => vec![Effect::Say(Message::Kind(*ix))],
        None => vec![Effect::Push(kind_form::new_kind(|_| Vec::new()))],
    };
    Choose::new("kinds", "Which kind lies there?", choices, Box::new(then))
}

/// The lines of a choice: the named kinds, then another one.
fn choices(view: &View<'_>, names: &[String]) -> Vec<Choice> {
    let register = state(view).map(|s| s.register());
    let hint = |id: &str| {
        let kind = register.and_then(|r| r.kind(r.kind_named(id)?));
        kind.map_or_else(String::new, |k| k.describe(register.map_or_else(Default::default, |r| r.site.units)))
    };
    let wide = names.iter().map(String::len).max().unwrap_or(0);
    let mut choices: Vec<Choice> = names
        .iter()
        .zip(('1'..='9').chain(std::iter::repeat(' ')))
        .map(|(id, key)| Choice { key, name: format!("{id:<wide$}"), hint: hint(id) })
        .collect();
    choices.push(Choice {
        key: 'n',
        name: "another".to_owned(),
        hint: "a kind that the register does not hold".to_owned(),
    });
    choices
}
