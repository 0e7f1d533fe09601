//! `headround rules show`: what a rule set holds.

use super::super::session::{Done, Outcome, Session};
use super::load;
use crate::rules::show;

/// Shows one.
pub fn run(name: &str, session: &mut Session<'_, '_>) -> Done {
    let set = load(name, session)?;
    let (overview, rows) = (show::overview(&set), show::rows(&set));
    if session.global.json {
        session.say_json(&serde_json::json!({ "overview": overview, "rules": rows }))?;
    } else {
        session.say_text(&show::overview_text(&overview))?;
        session.say("")?;
        session.say_text(&show::rows_text(&rows))?;
    }
    Ok(Outcome::Fine)
}
