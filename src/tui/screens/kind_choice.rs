//! Choosing a kind of head from those the register holds, or describing another.

use super::kind_form;
use super::parts::state;
use crate::tui::ask::{Choice, Choose};
use crate::tui::screen::{Draft, Effect, Screen, View};

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
    let mut names: Vec<(String, String)> =
        register.kinds.iter().map(|k| (k.id.clone(), k.describe(register.site.units))).collect();
    names.sort_by_key(|(id, _)| Some(id.as_str()) != first);
    let wide = names.iter().map(|(id, _)| id.len()).max().unwrap_or(0);
    let mut choices: Vec<Choice> = names
        .iter()
        .zip(('1'..='9').chain(std::iter::repeat(' ')))
        .map(|((id, hint), key)| Choice { key, name: format!("{id:<wide$}"), hint: hint.clone() })
        .collect();
    choices.push(Choice {
        key: 'n',
        name: "another".to_owned(),
        hint: "a kind that the register does not hold".to_owned(),
    });
    let then = move |at: usize, _: &View<'_>| match names.get(at) {
        Some((id, _)) => vec![Effect::Record(use_it(id))],
        None => vec![Effect::Push(kind_form::new_kind(use_it.clone()))],
    };
    Choose::new("kinds", title, choices, Box::new(then))
}
