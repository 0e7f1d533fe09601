//! `headround tidy`: takes changes of the register made in the field into the register document.

use std::path::PathBuf;

use clap::{Args, ValueHint};

use super::session::{Done, Failure, Outcome, Session, many, told};
use crate::diag::{Diagnostic, Severity};
use crate::record::journal::{self, Mode};
use crate::record::lock::Holder;
use crate::record::{rule_files, tidy};
use crate::round::entry::Entry;
use crate::round::layout;
use crate::round::state::State;
use crate::rules::judge::Judge;
use crate::trade::register::Register;

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  headround tidy harbour.site.yaml

Heads added, removed or found to be of another kind, kinds and areas found: entries say so, and tidying writes a new \
register that says it itself. The file as it was stays beside the new one. What a sign-off covers stays as it is.")]
pub struct Tidy {
    /// The site file
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
}

/// Tidies.
pub fn run(it: &Tidy, session: &mut Session<'_, '_>) -> Done {
    let file = it.file.display().to_string();
    let who = session.writer()?;
    let now = session.around.clock.now();
    let trouble = |code, message: String| Diagnostic::about(Severity::Error, code, file.clone(), message);
    let holder = Holder { user: who.by.clone(), host: who.host.clone(), pid: who.pid, since: now };
    let opened = journal::open(&it.file, Mode::Write, &holder).map_err(|e| {
        let code = if matches!(e, journal::OpenError::Missing(_)) { "no-such-file" } else { "unreadable" };
        Failure::from(told(&it.file, code, &e.to_string()))
    })?;
    let weighty: Vec<Diagnostic> = opened.notices.into_iter().filter(|n| n.severity > Severity::Note).collect();
    let (Some(register), Ok(journal)) = (opened.register, opened.writable) else {
        return Err(weighty.into());
    };
    session.tell(&weighty)?;
    let foldable = tidy::foldable(&opened.entries);
    let (folded, kept) = if foldable.may.is_empty() {
        (0, None)
    } else {
        let set = rule_files::load(&register.site.rules, &it.file, who.rules.as_deref())?;
        let judge = Judge::new(set, &register.recalled);
        let taken: Vec<Entry> =
            opened.entries.iter().filter(|e| foldable.may.binary_search(&e.id).is_ok()).cloned().collect();
        let state = State::fold(register, taken, judge, None);
        if let Some(problem) = state.problems().first() {
            return Err(trouble("does-not-fit", format!("entry {}: {}", problem.entry, problem.why))
                .help("nothing was changed; take the entry back on the walk, then tidy")
                .into());
        }
        let register = taken_in(&state);
        let done = tidy::tidy(journal, &register, &foldable.may, now, &who.by)
            .map_err(|e| Failure::from(told(&it.file, "not-tidied", &e.to_string())))?;
        (done.folded, Some(done.kept.display().to_string()))
    };
    if session.global.json {
        session.say_json(&serde_json::json!({
            "file": file,
            "taken_in": folded,
            "stay": foldable.stays.len(),
            "kept": kept,
        }))?;
        return Ok(Outcome::Fine);
    }
    match kept {
        Some(kept) => {
            session.say(&format!(
                "Tidied {file}: the register has taken in {}.",
                if folded == 1 { "1 entry".to_owned() } else { format!("{folded} entries") }
            ))?;
            session.say(&format!("The file as it was: {kept}"))?;
        }
        None => session.say(&format!("{file}: there is nothing to take in; the file is as it was."))?,
    }
    if !foldable.stays.is_empty() {
        let n = foldable.stays.len();
        let stay = if n == 1 {
            "stays an entry: a sign-off covers or precedes it, another entry builds on it, or an earlier one speaks of its place"
        } else {
            "stay entries: a sign-off covers or precedes them, another entry builds on them, or an earlier one speaks of their place"
        };
        session.say(&format!("{} {stay}.", many(n, "change")))?;
    }
    Ok(Outcome::Fine)
}

/// The register with what the entries say, lines included.
fn taken_in(state: &State) -> Register {
    let mut register = state.register().clone();
    for (number, area) in register.areas.iter_mut().enumerate() {
        let rows = state.layout().rows(u16::try_from(number).unwrap_or(u16::MAX));
        area.lines = rows.iter().map(|row| layout::compact(state.layout(), row)).collect();
    }
    register
}
