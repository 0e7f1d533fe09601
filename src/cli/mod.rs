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

fn parse_and_run(
    arguments: impl IntoIterator<Item = OsString>,
    around: &Surroundings,
    streams: &mut Streams<'_>,
) -> io::Result<u8> {
    let command = Cli::command().term_width(around.columns.unwrap_or(COLUMNS));
    let cli = match command.try_get_matches_from(arguments).and_then(|m| Cli::from_arg_matches(&m)) {
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
