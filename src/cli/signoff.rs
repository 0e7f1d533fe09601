//! `headround signoff`: signs the round, or lists what stands in the way.

use std::path::PathBuf;

use chrono::NaiveDate;
use clap::{Args, ValueHint};

use super::args::day;
use super::session::{Done, Failure, Outcome, Session};
use crate::diag::{Diagnostic, Severity};
use crate::record::desk::Desk;
use crate::round::act::{self, Obstacles};
use crate::round::entry::What;
use crate::round::layout::HeadIx;
use crate::round::rulings::{self, CarriedRow, RulingRow, Standing};
use crate::round::state::State;
use crate::round::stock;
use crate::round::words;
use crate::rules::model::{Class, Ruling};

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround signoff harbour.site.yaml
  headround signoff harbour.site.yaml --name 'Ines Tidewell' --licence PT-118 --yes

The round is signed when every head was seen, judged to need a close look, or not reached for a reason, every finding \
of an earlier round has an answer, and no disagreement is open; otherwise what is missing is listed and the exit code \
is 2. The findings, and spares that are short or not counted, are shown first; spares keep no round from being signed. \
Nothing is signed before you say so. The sign-off holds a digest over the \
round's lines: what is entered later shows as later, and what is changed shows as changed.")]
pub struct Signoff {
    /// The site file
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: PathBuf,

    /// Who signs, by full name; asked for on a terminal
    #[arg(long, value_name = "NAME")]
    pub name: Option<String>,

    /// The signer's licence number
    #[arg(long, value_name = "NUMBER")]
    pub licence: Option<String>,

    /// The day it is signed for; today where it is left out
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub date: Option<NaiveDate>,

    /// A note to go with the signature
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,

    /// Sign without being asked
    #[arg(long)]
    pub yes: bool,
}

/// Signs.
pub fn run(it: &Signoff, session: &mut Session<'_, '_>) -> Done {
    let round = session.global.round.clone();
    let mut desk = session.write(&it.file, round.as_deref())?;
    let file = it.file.display().to_string();
    let obstacles = act::obstacles(desk.state());
    if !obstacles.is_clear() {
        return refuse(desk.state(), &obstacles, &file, session);
    }
    let today = session.today();
    let rows = rulings::rows(desk.state(), today);
    if !session.global.json {
        findings(desk.state(), &rows, session)?;
        spares(desk.state(), today, session)?;
    }
    let name = session.need(it.name.as_deref(), "--name", "Who signs (full name)?")?;
    let licence = match &it.licence {
        Some(licence) => licence.trim().to_owned(),
        None if session.can_ask() && !it.yes => {
            session.ask("Licence number? (Enter to leave it out)")?.unwrap_or_default().trim().to_owned()
        }
        None => String::new(),
    };
    let date = it.date.unwrap_or_else(|| session.today());
    if !it.yes && !agreed(&desk, &name, &licence, date, session)? {
        session.say("Not signed.")?;
        return Ok(Outcome::Partly);
    }
    let clock = session.clock();
    let id = desk.sign(name, licence, date, it.note.clone(), &*clock)?;
    let state = desk.state();
    let signed = state.find_entry(id).and_then(|ix| state.entry(ix)).and_then(|e| match &e.what {
        What::Signoff(signoff) => Some((e, signoff)),
        _ => None,
    });
    let Some((entry, signoff)) = signed else {
        return Err(Diagnostic::about(Severity::Error, "not-written", file, "the sign-off was not written").into());
    };
    if session.global.json {
        session.say_json(&serde_json::json!({
            "file": file,
            "round": &*entry.round,
            "signed": true,
            "spares": stock::status(desk.state(), today),
            "entry": id.to_string(),
            "signoff": signoff,
        }))?;
    } else {
        session.say(&format!("Signed: round '{}' by {} on {}.", entry.round, signoff.name, signoff.date))?;
        session.say(&format!("Digest over {} lines: {}", signoff.lines, signoff.digest))?;
        session.say(&format!("Write the summary with: headround report {file} --to text"))?;
    }
    Ok(Outcome::Fine)
}

fn agreed(
    desk: &Desk,
    name: &str,
    licence: &str,
    date: NaiveDate,
    session: &mut Session<'_, '_>,
) -> Result<bool, Failure> {
    if !session.can_ask() {
        let it = Diagnostic::about(
            Severity::Error,
            "not-told",
            desk.path().display().to_string(),
            "nothing was signed: nobody said so",
        );
        return Err(it.help("look at the findings, then add '--yes'").into());
    }
    let round = desk.state().present_round().map(|r| r.name.to_string()).unwrap_or_default();
    let licence = if licence.is_empty() { String::new() } else { format!(", licence {licence}") };
    let question =
        format!("Sign round '{round}' as {name}{licence}, on {date}? Type 'sign' to sign, anything else not to:");
    Ok(session.ask(&question)?.is_some_and(|a| a.trim().eq_ignore_ascii_case("sign")))
}

/// Heads as few ranges as will do, in words.
fn ranges(state: &State, heads: &[HeadIx]) -> Vec<String> {
    act::ranges(state, heads).iter().map(ToString::to_string).collect()
}

fn refuse(state: &State, obstacles: &Obstacles, file: &str, session: &mut Session<'_, '_>) -> Done {
    let round = state.present_round().map(|r| r.name.to_string());
    let lists = [
        ("unseen", "Neither seen nor unreached with a reason", &obstacles.unseen),
        ("carried", "A finding of an earlier round has no answer", &obstacles.carried),
        ("disagreements", "People disagree", &obstacles.disagreements),
    ];
    if session.global.json {
        let mut value = serde_json::json!({
            "file": file,
            "round": round,
            "signed": obstacles.signed,
            "begun": !obstacles.not_begun,
            "other_rules": obstacles.other_rules.as_ref().map(|(begun, judging)| {
                serde_json::json!({ "begun_under": begun, "judged_by": judging })
            }),
        });
        if let Some(map) = value.as_object_mut() {
            for (key, _, heads) in lists {
                map.insert(key.to_owned(), serde_json::json!({"count": heads.len(), "heads": ranges(state, heads)}));
            }
        }
        session.say_json(&value)?;
    } else {
        for (_, title, heads) in lists.iter().filter(|(_, _, heads)| !heads.is_empty()) {
            session.say(&format!("{title} ({}):", heads.len()))?;
            for line in wrapped(&ranges(state, heads), 96) {
                session.say(&format!("  {line}"))?;
            }
        }
    }
    let round = round.map_or("the round".to_owned(), |r| format!("round '{r}'"));
    let why = words::obstacle_words(obstacles);
    let help = if obstacles.signed {
        "what is still to be said is entered after the sign-off, or in a new round"
    } else if obstacles.not_begun {
        "begin it with 'headround begin'"
    } else if obstacles.other_rules.is_some() && lists.iter().all(|(_, _, heads)| heads.is_empty()) {
        "begin it anew under its own name ('headround begin --round NAME'), or name the earlier set in the register again"
    } else {
        "answer for them on the walk, then sign"
    };
    let it = Diagnostic::about(Severity::Error, "not-ready", file, format!("{round} cannot be signed: {why}"));
    Err(it.help(help).into())
}

/// Words joined by commas into lines of at most so many columns.
fn wrapped(words: &[String], columns: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words {
        match lines.last_mut().filter(|l| l.len() + word.len() + 2 <= columns) {
            Some(line) => {
                line.push_str(", ");
                line.push_str(word);
            }
            None => lines.push(word.clone()),
        }
    }
    lines
}

/// The spares, where they are short, wrong or not counted: told, and no hindrance.
fn spares(state: &State, today: NaiveDate, session: &mut Session<'_, '_>) -> std::io::Result<()> {
    let told = stock::before_signing(state, today);
    if told.is_empty() {
        return Ok(());
    }
    session.say("Spare heads (they keep no round from being signed)")?;
    for line in &told {
        session.say(&format!("  {line}"))?;
    }
    session.say("")
}

/// The findings by class, weightiest first, then what is not a finding but asks for something.
fn findings(state: &State, rows: &[RulingRow], session: &mut Session<'_, '_>) -> std::io::Result<()> {
    let counts = state.counts();
    let round = state.present_round().map(|r| r.name.to_string()).unwrap_or_default();
    session.say(&format!("{}, round '{round}'", state.register().site.name))?;
    session.say(&format!(
        "{} heads: {} seen, {} not judged, {} not reached",
        counts.heads, counts.seen, counts.unsure, counts.unreached
    ))?;
    let open: Vec<&RulingRow> =
        rows.iter().filter(|r| r.ruling.is_some_and(|r| r > Ruling::Keep) || r.class.is_some()).collect();
    let classes = Class::ALL.iter().rev().map(|c| Some(*c)).chain([None]);
    for class in classes {
        let of: Vec<&&RulingRow> = open.iter().filter(|r| r.class == class).collect();
        if of.is_empty() {
            continue;
        }
        let title = match class {
            Some(Class::Impairment) => "Impairments",
            Some(Class::Critical) => "Critical findings",
            Some(Class::Noncritical) => "Noncritical findings",
            Some(Class::Advisory) => "Advisory, outside the adopted inspection",
            None => "Without a class",
        };
        session.say("")?;
        session.say(&format!("{title} ({})", of.len()))?;
        for row in of {
            let ruling = row.ruling.map(|r| r.to_string()).unwrap_or_default();
            session.say(&format!("  {}  {ruling}  {}  {}", row.head, row.signs.join(", "), row.clauses.join(", ")))?;
        }
    }
    let unanswered = |c: &&CarriedRow| matches!(c.state, Standing::Unanswered | Standing::SaidFixed);
    let carried: Vec<_> =
        rows.iter().flat_map(|r| r.carried.iter().filter(unanswered).map(move |c| (&r.head, c))).collect();
    if !carried.is_empty() {
        session.say("")?;
        session.say(&format!("Of earlier rounds, not looked at since ({})", carried.len()))?;
        for (head, it) in &carried {
            let class = it.class.map(|c| format!(", {c}")).unwrap_or_default();
            session.say(&format!("  {head}  {}{class}  {}  since {}", it.ruling, it.sign, it.first_round))?;
        }
    }
    session.say("")?;
    if open.is_empty() && carried.is_empty() {
        session.say(
            "No finding asks for anything. That covers heads as seen from where they were looked at, and no more.",
        )?;
        session.say("")?;
    }
    Ok(())
}
