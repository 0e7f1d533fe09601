//! `headround rules diff`: what differs between two rule sets.

use super::super::session::{Done, Outcome, Session};
use super::load_any;
use crate::rules::compare::{compare, text};

/// Lists it.
pub fn run(from: &str, to: &str, full: bool, session: &mut Session<'_, '_>) -> Done {
    let (from, to) = (load_any(from, session)?, load_any(to, session)?);
    let it = compare(&from, &to);
    if session.global.json {
        session.say_json(&it)?;
    } else {
        session.say_text(&text(&it, full))?;
    }
    Ok(Outcome::of(!it.is_empty()))
}
