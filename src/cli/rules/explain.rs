//! `headround rules explain`: why a rule says what it says.

use super::super::session::{Done, Outcome, Session};
use super::load;
use crate::diag::{Diagnostic, Severity, nearest, plain};
use crate::rules::explain;

/// Explains one rule.
pub fn run(rule: &str, name: &str, session: &mut Session<'_, '_>) -> Done {
    let set = load(name, session)?;
    let found = set.rule(rule).and_then(|ix| Some((set.rule_at(ix)?, explain::explain(&set, ix)?)));
    let Some((it, text)) = found else {
        let mut trouble = Diagnostic::about(
            Severity::Error,
            "unknown-rule",
            name,
            format!("the set has no rule '{}'", plain(rule).chars().take(60).collect::<String>()),
        );
        trouble = trouble.help(match nearest(rule, set.rules.iter().map(|r| r.id.as_str())) {
            Some(near) => format!("did you mean '{near}'?"),
            None => format!("'headround rules show {name}' lists its rules"),
        });
        return Err(trouble.into());
    };
    if session.global.json {
        let (when, unless) = explain::conditions(&set, it);
        let cases: Vec<String> = it.cases.iter().map(|c| explain::case_words(&set, c)).collect();
        session.say_json(&serde_json::json!({
            "set": set.name,
            "rule": it.id,
            "title": it.title,
            "ruling": it.ruling,
            "class": it.class,
            "clause": it.clause,
            "source": it.source,
            "confidence": it.confidence,
            "class_confidence": it.class_confidence,
            "because": it.because,
            "remedy": it.remedy,
            "never": it.never,
            "contested": it.contested,
            "when": when,
            "unless": unless,
            "cases": cases,
        }))?;
    } else {
        session.say_text(&text)?;
    }
    Ok(Outcome::Fine)
}
