//! The program: gathers what is around it once, runs the command line and turns the outcome into an exit code. Clock,
//! chance, environment and folders are read here and nowhere else.

use std::env;
use std::io::{self, BufWriter, IsTerminal as _};
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset, Local, SubsecRound as _};

use headround::cli;
use headround::cli::surroundings::{Streams, Surroundings};
use headround::record::desk::Clock;

struct System;

impl Clock for System {
    fn now(&self) -> DateTime<FixedOffset> {
        #[cfg(debug_assertions)]
        fall_into_the_trap();
        // Finer than a millisecond says nothing and only makes lines longer.
        Local::now().fixed_offset().trunc_subsecs(3)
    }

    fn random(&self) -> u128 {
        let mut bytes = [0; 16];
        // An id needs to be different more than it needs to be unguessable: without the system's chance, the finest
        // part of the clock and the process stand in for it.
        if getrandom::fill(&mut bytes).is_err() {
            let nanos = Local::now().timestamp_nanos_opt().unwrap_or_default();
            return u128::from(nanos.unsigned_abs()) << 32 | u128::from(std::process::id());
        }
        u128::from_le_bytes(bytes)
    }
}

/// For tests of what a panic leaves behind: panics once the file that `HEADROUND_TRAP` names is there. Programs that
/// people install are built without it.
#[cfg(debug_assertions)]
#[expect(clippy::panic, reason = "this is what it is for")]
fn fall_into_the_trap() {
    let main = std::thread::current().name() == Some("main");
    if main && folder("HEADROUND_TRAP").is_some_and(|trap| trap.exists()) {
        panic!("the trap of HEADROUND_TRAP");
    }
}

/// A variable of the environment, where it holds anything.
fn variable(name: &str) -> Option<String> {
    env::var(name).ok().filter(|value| !value.is_empty())
}

fn folder(name: &str) -> Option<PathBuf> {
    env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from)
}

fn surroundings() -> Surroundings {
    let data = folder("HEADROUND_DATA").or_else(|| dirs::data_dir().map(|d| d.join("headround")));
    let rules = folder("HEADROUND_RULES").or_else(|| dirs::config_dir().map(|d| d.join("headround").join("rules")));
    let host = variable("HOSTNAME").or_else(|| variable("COMPUTERNAME")).unwrap_or_else(|| "this machine".to_owned());
    Surroundings {
        clock: Arc::new(System),
        user: variable("USER").or_else(|| variable("USERNAME")).or_else(|| variable("LOGNAME")),
        host,
        pid: std::process::id(),
        data,
        rules,
        by: variable("HEADROUND_BY"),
        theme: variable("HEADROUND_THEME"),
        no_color: env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty()),
        term: variable("TERM"),
        in_is_terminal: io::stdin().is_terminal(),
        out_is_terminal: io::stdout().is_terminal(),
        err_is_terminal: io::stderr().is_terminal(),
        columns: variable("COLUMNS").and_then(|c| c.parse().ok()).filter(|c| (20..=400).contains(c)),
    }
}

fn main() -> ExitCode {
    let around = surroundings();
    // Not locked for the whole run: the screens write to standard output and read from the terminal themselves.
    let mut input = io::BufReader::new(io::stdin());
    let mut out = BufWriter::new(io::stdout());
    let mut err = io::stderr();
    let mut streams = Streams { input: &mut input, out: &mut out, err: &mut err };
    ExitCode::from(cli::run(env::args_os(), &around, &mut streams))
}
