//! `headround status`: how far the round has come, for one or several sites.

use std::path::PathBuf;

use clap::{Args, ValueHint};

use super::session::{Done, Failure, Outcome, Session};
use super::table;
use crate::round::rulings::{self, StatusRow};
use crate::round::stock::SpareStatus;
use crate::rules::model::Ruling;

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround status harbour.site.yaml
  headround status sites/*.site.yaml --json

Heads that were not looked at have no ruling: absence never means fine. A file that cannot be read is told and left out; \
the exit code is then 2. With --strict the exit code is 1 where heads are unseen, findings unanswered, people disagree, \
a head has a ruling that asks for something, or spares are short, wrong or not counted.")]
pub struct Status {
    /// The site files
    #[arg(required = true, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub files: Vec<PathBuf>,
}

/// Shows it.
pub fn run(it: &Status, session: &mut Session<'_, '_>) -> Done {
    let today = session.today();
    let mut rows = Vec::new();
    let mut bad = false;
    for path in &it.files {
        match session.read(path) {
            Ok(desk) => rows.push(rulings::status(desk.state(), Some(&path.display().to_string()), today)),
            Err(Failure::Told(list)) => {
                bad = true;
                session.tell(&list)?;
            }
            Err(failure) => return Err(failure),
        }
    }
    if session.global.json {
        session.say_json(&rows)?;
    } else {
        for (number, row) in rows.iter().enumerate() {
            if number > 0 {
                session.say("")?;
            }
            one(row, session)?;
        }
    }
    if bad {
        return Ok(Outcome::Partly);
    }
    Ok(Outcome::of(rows.iter().any(asks_for_something)))
}

/// Whether anything is left to do.
fn asks_for_something(row: &StatusRow) -> bool {
    row.tally.unseen > 0
        || row.tally.unsure > 0
        || row.tally.carried > 0
        || row.tally.disagreements > 0
        || row.tally.advisory > 0
        || row.spares.as_ref().is_some_and(SpareStatus::asks)
        || Ruling::ALL.iter().zip(row.tally.rulings.0).any(|(r, n)| *r > Ruling::Keep && n > 0)
}

fn one(row: &StatusRow, session: &mut Session<'_, '_>) -> std::io::Result<()> {
    let file = row.file.as_deref().unwrap_or_default();
    session.say(&format!("{} ({file})", row.site))?;
    match (&row.round, &row.date) {
        (Some(round), Some(date)) => {
            let signed = match &row.signed_by {
                Some(name) => format!("signed by {name}"),
                None => "not signed".to_owned(),
            };
            session.say(&format!("Round '{round}' of {date}, {signed}"))?;
        }
        _ => session.say("No round has begun.")?,
    }
    session.say("")?;
    let head = ["AREA", "NAME", "HEADS", "SEEN", "UNREACHED", "UNSURE", "UNSEEN", "RULINGS"];
    let line = |area: &str, name: &str, n: [usize; 5], rulings: &str| {
        let mut cells = vec![area.to_owned(), name.to_owned()];
        cells.extend(n.iter().map(ToString::to_string));
        cells.push(rulings.to_owned());
        cells
    };
    let mut cells: Vec<Vec<String>> = row
        .areas
        .iter()
        .map(|a| {
            let n = [a.tally.heads, a.tally.seen, a.tally.unreached, a.tally.unsure, a.tally.unseen];
            line(a.area.as_str(), &a.name, n, &ruling_words(&a.tally.rulings.0, a.tally.advisory))
        })
        .collect();
    let n = [row.tally.heads, row.tally.seen, row.tally.unreached, row.tally.unsure, row.tally.unseen];
    cells.push(line("", "All", n, &ruling_words(&row.tally.rulings.0, row.tally.advisory)));
    session.say_text(&table::aligned(&head, &cells))?;
    for (n, one, many) in [
        (row.tally.impairments, "head has an open impairment", "heads have an open impairment"),
        (
            row.tally.impairments_before,
            "head has an impairment of an earlier round that nobody has looked at since",
            "heads have impairments of an earlier round that nobody has looked at since",
        ),
        (
            row.tally.carried,
            "head has a finding of an earlier round without an answer",
            "heads have findings of an earlier round without an answer",
        ),
        (row.tally.disagreements, "disagreement is open", "disagreements are open"),
    ] {
        if n > 0 {
            session.say(&format!("{n} {}", if n == 1 { one } else { many }))?;
        }
    }
    if let Some(spares) = &row.spares {
        session.say(&spares.words())?;
    }
    Ok(())
}

/// Counts by ruling, strongest first, without those of none; heads with nothing but advisories at the end.
fn ruling_words(counts: &[usize; 7], advisory: usize) -> String {
    let mut list: Vec<String> = Ruling::ALL
        .iter()
        .zip(counts)
        .rev()
        .filter(|(_, n)| **n > 0)
        .map(|(ruling, n)| format!("{n} {ruling}"))
        .collect();
    if advisory > 0 {
        list.push(format!("{advisory} advisory"));
    }
    list.join(", ")
}
