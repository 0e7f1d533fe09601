//! A ruling explained in sentences: its rules with their arguments, what other editions say, and their cases with what they
//! look like.

use crate::round::state::State;
use crate::rules::builtin;
use crate::rules::editions_of::editions_of;
use crate::rules::judge::Judgement;
use crate::rules::model::Rule;
use crate::tui::picture::PictureSpec;

use super::words;

/// The rules behind a ruling, with what is contested about them.
#[must_use]
pub fn rules(state: &State, judgement: Judgement) -> Vec<String> {
    let mut lines = words::reasons(state, judgement);
    for rule in spoken(state, judgement) {
        if let Some(contested) = &rule.contested {
            lines.push(format!("Contested: {contested}"));
        }
    }
    if !state.judge().reasons(judgement).is_empty() {
        lines.push("'editions' tells what other editions say, 'cases' what it looks like.".to_owned());
    }
    lines
}

/// What every edition says under the rules behind a ruling.
#[must_use]
pub fn editions(state: &State, judgement: Judgement) -> Vec<String> {
    let set = state.judge().set();
    let others: Vec<_> = builtin::names().iter().filter_map(|name| builtin::load(name).ok()).collect();
    let mut lines = Vec::new();
    for ix in state.judge().reasons(judgement) {
        let (Some(rule), Some(editions)) = (set.rule_at(*ix), editions_of(set, *ix, &others)) else { continue };
        lines.push(format!("{} ({}).", rule.title, rule.id));
        for it in editions {
            let here = if it.here { ", adopted here" } else { "" };
            let clause = it.rule.as_ref().map_or_else(String::new, |says| format!("; clause {}", says.clause));
            lines.push(format!("  {}{here}: {}{clause}.", it.edition, it.ruling_words()));
            lines.extend(it.remarks().into_iter().map(|remark| format!("    {remark}")));
        }
    }
    or_none(lines)
}

/// The cases and near misses of the rules behind a ruling, each with its picture in a sentence.
#[must_use]
pub fn cases(state: &State, judgement: Judgement) -> Vec<String> {
    let set = state.judge().set();
    let mut lines = Vec::new();
    for rule in spoken(state, judgement) {
        lines.push(format!("{} ({}).", rule.title, rule.id));
        for (holds, word) in [(true, "Case"), (false, "Near miss")] {
            for case in rule.cases.iter().filter(|c| c.holds == holds) {
                lines.push(format!("  {word}: {}. Ruling: {}.", case.see, case.ruling));
                lines.extend(PictureSpec::of_case(set, case).map(|spec| format!("    {}", spec.describe())));
            }
        }
    }
    or_none(lines)
}

fn spoken(state: &State, judgement: Judgement) -> impl Iterator<Item = &Rule> {
    let set = state.judge().set();
    state.judge().reasons(judgement).iter().filter_map(|r| set.rule_at(*r))
}

fn or_none(lines: Vec<String>) -> Vec<String> {
    if lines.is_empty() { vec!["No rule had anything to say.".to_owned()] } else { lines }
}
