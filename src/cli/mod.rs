//! The command line: one file a command. Only this room names clap. A run gets its arguments, surroundings and streams
//! handed in and comes back with an exit code, so that tests run commands as the program does.

pub mod args;
mod begin;
mod bench;
mod cabinet;
mod calc;
mod check;
mod completions;
mod demo;
pub mod docs;
mod due;
mod every;
mod lot;
mod new;
mod order;
mod plotted;
mod report;
mod rules;
mod rulings;
mod screens;
mod session;
mod signoff;
mod status;
pub mod surroundings;
mod table;
mod tidy;
mod typed;
mod walk;

use std::ffi::OsString;
use std::io::{self, ErrorKind};

use clap::{CommandFactory as _, FromArgMatches as _};

use args::{Cli, Command};
use session::{Done, Failure, Outcome, Session};
use surroundings::{Streams, Surroundings};

use crate::diag::{Diagnostic, Severity};

/// There is nothing to act on.
pub const FINE: u8 = 0;
/// There is something to act on, and `--strict` asks to be told.
pub const ACT: u8 = 1;
/// It could not be done, or not all of it.
pub const COULD_NOT: u8 = 2;

/// The width that help is written for where the terminal does not tell its own.
const COLUMNS: usize = 100;

/// Runs one command and says with which code to exit. Nobody listening on standard output any more is no trouble.
pub fn run(arguments: impl IntoIterator<Item = OsString>, around: &Surroundings, streams: &mut Streams<'_>) -> u8 {
    let ended = parse_and_run(arguments, around, streams).and_then(|code| {
        streams.out.flush()?;
        streams.err.flush()?;
        Ok(code)
    });
    match ended {
        Ok(code) => code,
        Err(error) if error.kind() == ErrorKind::BrokenPipe => FINE,
        Err(error) => {
            // Where even this cannot be told, the exit code still says it.
            let _ = writeln!(streams.err, "headround: what was asked for could not be written: {error}");
            COULD_NOT
        }
    }
}

/// A span of time that was typed as two words, `--within 24 months`, as one: a number behind `--within` is no span alone, and no
/// file is meant by the unit behind it.
fn whole_spans(arguments: impl IntoIterator<Item = OsString>) -> Vec<OsString> {
    let mut out: Vec<OsString> = Vec::new();
    let is_number = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
    let mut options = true;
    for argument in arguments {
        options &= argument != "--";
        let unit = argument.to_str().filter(|a| options && matches!(*a, "month" | "months" | "year" | "years"));
        let number = out.last().and_then(|l| l.to_str()).and_then(|last| match last.strip_prefix("--within=") {
            Some(number) => Some(number),
            None => out.len().checked_sub(2).and_then(|at| out.get(at)).filter(|b| *b == "--within").map(|_| last),
        });
        match unit.zip(number.filter(|n| is_number(n))) {
            Some((unit, number)) => {
                let whole = format!("--within={number} {unit}");
                if out.last().is_some_and(|l| l.to_str() == Some(number)) {
                    out.truncate(out.len().saturating_sub(2));
                } else {
                    out.pop();
                }
                out.push(whole.into());
            }
            None => out.push(argument),
        }
    }
    out
}

fn parse_and_run(
    arguments: impl IntoIterator<Item = OsString>,
    around: &Surroundings,
    streams: &mut Streams<'_>,
) -> io::Result<u8> {
    let command = Cli::command().term_width(around.columns.unwrap_or(COLUMNS));
    let cli = match command.try_get_matches_from(whole_spans(arguments)).and_then(|m| Cli::from_arg_matches(&m)) {
        Ok(cli) => cli,
        Err(error) => {
            let text = error.render().to_string();
            if error.use_stderr() {
                streams.err.write_all(text.as_bytes())?;
                return Ok(COULD_NOT);
            }
            streams.out.write_all(text.as_bytes())?;
            return Ok(FINE);
        }
    };
    let mut session = Session { global: &cli.global, around, streams, waiting: Vec::new(), damaged: false };
    let code = match dispatch(cli.command.as_ref(), &mut session) {
        Ok(Outcome::Fine) => FINE,
        Ok(Outcome::Act) if cli.global.strict => ACT,
        Ok(Outcome::Act) => FINE,
        Ok(Outcome::Partly) => COULD_NOT,
        Err(Failure::Stream(error)) => return Err(error),
        Err(Failure::Told(mut list)) => {
            if list.is_empty() {
                list.push(Diagnostic::about(Severity::Error, "unknown", "headround", "it could not be done"));
            }
            session.tell(&list)?;
            COULD_NOT
        }
    };
    session.finish()?;
    // What was left out of a damaged file may have been what mattered most.
    Ok(if session.damaged { COULD_NOT } else { code })
}

fn dispatch(command: Option<&Command>, session: &mut Session<'_, '_>) -> Done {
    match command {
        None => screens::opening(session),
        Some(Command::Demo(it)) => demo::run(it, session),
        Some(Command::New(it)) => new::run(it, session),
        Some(Command::Begin(it)) => begin::run(it, session),
        Some(Command::Walk(it)) => walk::run(it, session),
        Some(Command::Status(it)) => status::run(it, session),
        Some(Command::Rulings(it)) => rulings::run(it, session),
        Some(Command::Order(it)) => order::run(it, session),
        Some(Command::Cabinet(it)) => cabinet::run(it, session),
        Some(Command::Due(it)) => due::run(it, session),
        Some(Command::Lot(it)) => lot::run(it, session),
        Some(Command::Bench(it)) => bench::run(it, session),
        Some(Command::Calc(it)) => calc::run(it, session),
        Some(Command::Signoff(it)) => signoff::run(it, session),
        Some(Command::Report(it)) => report::run(it, session),
        Some(Command::Rules(it)) => rules::run(it, session),
        Some(Command::Tidy(it)) => tidy::run(it, session),
        Some(Command::Check(it)) => check::run(it, session),
        Some(Command::Completions(it)) => completions::run(it, session),
        Some(Command::Man(it)) => completions::man(it, session),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_span_of_two_words_is_one_value_and_nothing_else_is_joined() {
        let joined = |line: &str| {
            let words = whole_spans(line.split(' ').map(OsString::from));
            words.iter().map(|w| w.to_str().expect("text").to_owned()).collect::<Vec<_>>().join("|")
        };
        for (line, words) in [
            ("due a.yaml --within 24 months", "due|a.yaml|--within=24 months"),
            ("due --within 2 years a.yaml", "due|--within=2 years|a.yaml"),
            ("due --within=1 month a.yaml", "due|--within=1 month|a.yaml"),
            ("due --within 24months months", "due|--within|24months|months"),
            ("due --within months 24", "due|--within|months|24"),
            ("due a.yaml --within 24 a.yaml", "due|a.yaml|--within|24|a.yaml"),
            ("due 24 months", "due|24|months"),
            ("due -- --within 24 months", "due|--|--within|24|months"),
        ] {
            assert_eq!(joined(line), words);
        }
    }
}
