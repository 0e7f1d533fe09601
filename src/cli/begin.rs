//! `headround begin`: starts a round.

use std::path::PathBuf;
use std::sync::Arc;

use chrono::NaiveDate;
use clap::{Args, ValueHint};

use super::args::day;
use super::session::{Done, Outcome, Session};
use crate::diag::{Diagnostic, Severity};
use crate::round::entry::{self, Marks, What};

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  headround begin harbour.site.yaml --inspector 'Ines Tidewell' --licence PT-118 --purpose 'annual inspection'

A round takes the year as its name, or the name given with --round. Where the latest round is not signed yet, a new one \
begins only under a name of its own.")]
pub struct Begin {
    /// The site file
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: PathBuf,

    /// The day of the round; today where it is left out
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub date: Option<NaiveDate>,

    /// Who inspects, by full name; asked for on a terminal
    #[arg(long, value_name = "NAME")]
    pub inspector: Option<String>,

    /// The inspector's licence number
    #[arg(long, value_name = "NUMBER", default_value = "", hide_default_value = true)]
    pub licence: String,

    /// Why the round is walked, such as 'annual inspection'
    #[arg(long, value_name = "TEXT", default_value = "", hide_default_value = true)]
    pub purpose: String,

    /// What the round covers, in words
    #[arg(long, value_name = "TEXT", default_value = "", hide_default_value = true)]
    pub scope: String,
}

/// Begins a round.
pub fn run(it: &Begin, session: &mut Session<'_, '_>) -> Done {
    let mut desk = session.write(&it.file, None)?;
    let file = it.file.display().to_string();
    let wanted = session.global.round.clone();
    let problem = match (&wanted, desk.state().present_round()) {
        (Some(name), _) if name.trim().is_empty() => Some(("a round needs a name".to_owned(), "write '--round 2027'")),
        (Some(name), _) => desk
            .state()
            .rounds()
            .named(name)
            .and_then(|ix| desk.state().rounds().get(ix))
            .filter(|round| round.is_signed())
            .map(|_| (format!("round '{name}' is signed already"), "begin another one under a name of its own")),
        (None, Some(round)) if !round.is_signed() => Some((
            format!("round '{}' has begun and is not signed", round.name),
            "go on with it ('headround walk'), or name the new one with '--round NAME'",
        )),
        _ => None,
    };
    if let Some((message, help)) = problem {
        return Err(Diagnostic::about(Severity::Error, "round-exists", file, message).help(help).into());
    }
    let inspector = session.need(it.inspector.as_deref(), "--inspector", "Who inspects (full name)?")?;
    let begin = entry::Begin {
        date: it.date.unwrap_or_else(|| session.today()),
        inspector,
        licence: it.licence.trim().to_owned(),
        purpose: it.purpose.trim().to_owned(),
        scope: it.scope.trim().to_owned(),
        rules: None,
    };
    let drafts = vec![(What::Begin(Box::new(begin)), Marks::default())];
    let clock = session.clock();
    let ids = match &wanted {
        Some(name) => desk.record_in(Arc::from(name.as_str()), drafts, &*clock)?,
        None => desk.record(drafts, &*clock)?,
    };
    let entry = ids.first().and_then(|id| desk.state().find_entry(*id)).and_then(|ix| desk.state().entry(ix));
    let Some((entry, begin)) = entry.and_then(|e| match &e.what {
        What::Begin(begin) => Some((e, begin)),
        _ => None,
    }) else {
        return Err(Diagnostic::about(Severity::Error, "not-written", file, "the round was not begun").into());
    };
    if session.global.json {
        session.say_json(&serde_json::json!({
            "file": file,
            "round": &*entry.round,
            "entry": entry.id.to_string(),
            "begin": begin,
        }))?;
    } else {
        session.say(&format!("Round '{}' begun on {} by {}.", entry.round, begin.date, begin.inspector))?;
        session.say(&format!("Walk it with: headround walk {file}"))?;
    }
    Ok(Outcome::Fine)
}
