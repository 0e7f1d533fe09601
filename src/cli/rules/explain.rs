//! `headround rules explain`: why a rule says what it says, with its cases as pictures.

use std::sync::Arc;

use super::super::session::{Done, Failure, Outcome, Session};
use super::{load_any, pictures};
use crate::diag::{Diagnostic, Severity, nearest, plain};
use crate::rules::builtin;
use crate::rules::explain::{self, Explanation};
use crate::rules::model::{Rule, RuleSet};
use crate::tui::glyphs::Glyphs;

/// Explains one rule.
pub fn run(rule: &str, name: &str, no_pictures: bool, session: &mut Session<'_, '_>) -> Done {
    let set = load_any(name, session)?;
    let others = built_in()?;
    let (it, told) = find(rule, name, &set, &others)?;
    if session.global.json {
        session.say_json(&told)?;
        return Ok(Outcome::Fine);
    }
    session.say_text(&told.text())?;
    if no_pictures {
        session.say_text(&explain::cases_text(&set, it))?;
    } else {
        let glyphs = if session.draws_ascii() { Glyphs::ascii() } else { Glyphs::unicode() };
        session.say_text(&pictures::cases(&set, it, glyphs))?;
    }
    Ok(Outcome::Fine)
}

/// Every built-in set, for what each says under the rule's word.
fn built_in() -> Result<Vec<Arc<RuleSet>>, Failure> {
    Ok(builtin::names().iter().map(|name| builtin::load(name)).collect::<Result<_, _>>()?)
}

fn find<'a>(
    rule: &str,
    name: &str,
    set: &'a RuleSet,
    others: &[Arc<RuleSet>],
) -> Result<(&'a Rule, Explanation), Failure> {
    if let Some(found) = set.rule(rule).and_then(|ix| Some((set.rule_at(ix)?, explain::explain(set, ix, others)?))) {
        return Ok(found);
    }
    let shown: String = plain(rule).chars().take(60).collect();
    let it = Diagnostic::about(Severity::Error, "unknown-rule", name, format!("the set has no rule '{shown}'"));
    let elsewhere: Vec<&str> =
        others.iter().filter(|s| s.name != set.name && s.rule(rule).is_some()).map(|s| s.name.as_str()).collect();
    Err(it
        .help(match (elsewhere.as_slice(), nearest(rule, set.rules.iter().map(|r| r.id.as_str()))) {
            ([first, ..], _) => {
                let all = elsewhere.join(", ");
                format!("it is a rule of {all}: 'headround rules explain {shown} --set {first}'")
            }
            ([], Some(near)) => format!("did you mean '{near}'?"),
            ([], None) => format!("'headround rules show {name}' lists its rules"),
        })
        .into())
}
