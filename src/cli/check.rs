//! `headround check`: looks whether site files are sound: what scanning and folding notice, the rule set, entries
//! written by hand, and whether signed lines are still what was signed.

use std::path::{Path, PathBuf};

use clap::{Args, ValueHint};
use serde::Serialize;

use super::session::{Done, Outcome, Session, many};
use crate::diag::{Diagnostic, Severity};
use crate::record::desk::Desk;
use crate::record::digest::{self, Lines, Verdict};
use crate::record::disk::Real;
use crate::record::journal::Mode;
use crate::round::state::State;

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround check harbour.site.yaml
  headround check sites/*.site.yaml --strict

What is noticed goes to standard error, a line a file to standard output. A file with errors makes the exit code 2; \
with --strict, warnings make it 1. Nothing is written.")]
pub struct Check {
    /// The site files
    #[arg(required = true, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub files: Vec<PathBuf>,
}

/// What is found out about one file.
#[derive(Debug, Serialize)]
struct Found {
    file: String,
    sound: bool,
    site: Option<String>,
    heads: usize,
    entries: usize,
    errors: usize,
    warnings: usize,
    notes: usize,
    signoffs: Vec<Signed>,
}

/// What became of one sign-off.
#[derive(Debug, Serialize)]
struct Signed {
    round: String,
    entry: String,
    by: String,
    lines: &'static str,
    count: u64,
    later: u64,
    joined: u64,
    register_same: Option<bool>,
}

/// Checks.
pub fn run(it: &Check, session: &mut Session<'_, '_>) -> Done {
    let mut all = Vec::new();
    for path in &it.files {
        let found = one(path, session)?;
        if !session.global.json {
            say(&found, session)?;
        }
        all.push(found);
    }
    if session.global.json {
        session.say_json(&all)?;
    }
    if all.iter().any(|f| f.errors > 0) {
        return Ok(Outcome::Partly);
    }
    Ok(Outcome::of(all.iter().any(|f| f.warnings > 0)))
}

fn one(path: &Path, session: &mut Session<'_, '_>) -> std::io::Result<Found> {
    let who = session.reader();
    let mut found = Found {
        file: path.display().to_string(),
        sound: false,
        site: None,
        heads: 0,
        entries: 0,
        errors: 0,
        warnings: 0,
        notes: 0,
        signoffs: Vec::new(),
    };
    let round = session.global.round.clone();
    let notices = match Desk::open(path, Mode::Read, &who, &*session.around.clock, round.as_deref()) {
        Ok((desk, mut notices)) => {
            let state = desk.state();
            found.site = Some(state.register().site.name.clone());
            found.heads = state.counts().heads;
            found.entries = state.entries().len();
            signoffs(path, state, &mut found, &mut notices);
            notices
        }
        Err(list) => list,
    };
    for notice in &notices {
        match notice.severity {
            Severity::Error => found.errors += 1,
            Severity::Warning => found.warnings += 1,
            Severity::Note => found.notes += 1,
        }
    }
    found.sound = found.errors == 0 && found.site.is_some();
    session.tell(&notices)?;
    Ok(found)
}

fn signoffs(path: &Path, state: &State, found: &mut Found, notices: &mut Vec<Diagnostic>) {
    let file = path.display().to_string();
    for round in state.rounds().iter() {
        let Some((id, signoff)) = &round.signoff else { continue };
        let entry = state.find_entry(*id).and_then(|ix| state.entry(ix));
        let lines = digest::round_lines(&Real, path, &round.name);
        let verdict = match (&lines, entry) {
            (Ok(lines), Some(entry)) => lines.verify(entry),
            (Err(error), _) => {
                let message = format!("the lines of round '{}' could not be read: {error}", round.name);
                notices.push(Diagnostic::about(Severity::Error, "unreadable", file.clone(), message));
                continue;
            }
            (Ok(_), None) => None,
        };
        let Some(verdict) = verdict else {
            let message = format!("the sign-off of round '{}' is not among its lines", round.name);
            notices.push(Diagnostic::about(Severity::Error, "signoff-missing", file.clone(), message));
            continue;
        };
        notices.extend(complaint(&verdict, &round.name, &file));
        let (word, count) = match verdict.lines {
            Lines::Unchanged => ("unchanged", 0),
            Lines::Missing(n) => ("missing", n),
            Lines::More(n) => ("more", n),
            Lines::Changed => ("changed", 0),
        };
        found.signoffs.push(Signed {
            round: round.name.to_string(),
            entry: id.to_string(),
            by: signoff.name.clone(),
            lines: word,
            count,
            later: verdict.later,
            joined: verdict.joined,
            register_same: verdict.register_same,
        });
    }
}

/// What there is to tell of a sign-off that no longer fits its lines.
fn complaint(verdict: &Verdict, round: &str, file: &str) -> Vec<Diagnostic> {
    let mut list = Vec::new();
    let mut put = |severity, code, message: String, help: &str| {
        list.push(Diagnostic::about(severity, code, file, message).help(help));
    };
    let copy = "compare it with a copy from the day it was signed";
    match verdict.lines {
        Lines::Unchanged => {}
        Lines::Missing(n) => {
            let message = match n {
                1 => format!("a line of the signed round '{round}' is missing"),
                n => format!("{n} lines of the signed round '{round}' are missing"),
            };
            put(Severity::Error, "signed-missing", message, copy);
        }
        Lines::More(n) => {
            let message = match n {
                1 => format!("a line stands in the signed round '{round}' that was not there when it was signed"),
                n => format!("{n} lines stand in the signed round '{round}' that were not there when it was signed"),
            };
            put(Severity::Error, "signed-more", message, copy);
        }
        Lines::Changed => {
            put(Severity::Error, "signed-changed", format!("lines of the signed round '{round}' were changed"), copy);
        }
    }
    if verdict.register_same == Some(false) {
        put(
            Severity::Warning,
            "register-changed",
            format!("the register is not the one that was there when round '{round}' was signed"),
            "changes after a sign-off are no fault; the summary of that round was written with the older register",
        );
    }
    list
}

fn say(found: &Found, session: &mut Session<'_, '_>) -> std::io::Result<()> {
    let word = if found.sound { "sound" } else { "not sound" };
    let mut parts = vec![format!("{}: {word}", found.file)];
    if found.site.is_some() {
        parts.push(format!(
            "{}, {}",
            many(found.heads, "head"),
            if found.entries == 1 { "1 entry".to_owned() } else { format!("{} entries", found.entries) }
        ));
    }
    for (n, name) in [(found.errors, "error"), (found.warnings, "warning"), (found.notes, "note")] {
        if n > 0 {
            parts.push(many(n, name));
        }
    }
    session.say(&parts.join("; "))?;
    for signed in &found.signoffs {
        let lines = match signed.lines {
            "unchanged" => "the signed lines are unchanged".to_owned(),
            "changed" => "the signed lines were changed".to_owned(),
            "missing" => format!("of the signed lines {} missing", signed.count),
            _ => format!("among the signed lines {} more", signed.count),
        };
        let mut text = format!("  round '{}', signed by {}: {lines}", signed.round, signed.by);
        if signed.later > 0 {
            text.push_str(&format!("; {} made after the sign-off", signed.later));
        }
        if signed.joined > 0 {
            text.push_str(&format!("; {} joined by merging", signed.joined));
        }
        session.say(&text)?;
    }
    Ok(())
}
