//! `headround rules show`: what a rule set holds.

use super::super::session::{Done, Outcome, Session};
use super::load_any;
use crate::rules::{show, show_duties};

/// Shows one.
pub fn run(name: &str, session: &mut Session<'_, '_>) -> Done {
    let set = load_any(name, session)?;
    let (overview, rows, duties) = (show::overview(&set), show::rows(&set), show_duties::duty_rows(&set));
    if session.global.json {
        session.say_json(&serde_json::json!({ "overview": overview, "rules": rows, "duties": duties }))?;
    } else {
        session.say_text(&show::overview_text(&overview))?;
        session.say("")?;
        session.say_text(&show::rows_text(&rows))?;
        session.say_text(&show_duties::duties_text(&duties))?;
    }
    Ok(Outcome::Fine)
}
