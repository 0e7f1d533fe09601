//! What the program finds around it, gathered once by `main` and handed in: clock and chance, the person, the machine,
//! folders, facts about the terminal. Nothing here reads any of them.

use std::io::{BufRead, Write};
use std::path::PathBuf;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset};

use crate::record::desk::Clock;

/// Everything from outside that a command may depend on, besides its arguments and files.
#[derive(Clone)]
pub struct Surroundings {
    /// Clock and chance.
    pub clock: Arc<dyn Clock>,
    /// The person's user name, where the system tells it.
    pub user: Option<String>,
    /// The machine's name.
    pub host: String,
    /// The process's number.
    pub pid: u32,
    /// Where the program keeps its own data: `HEADROUND_DATA`, or a folder of the system's choice.
    pub data: Option<PathBuf>,
    /// The folder of the person's own rule sets: `HEADROUND_RULES`, or a folder of the system's choice.
    pub rules: Option<PathBuf>,
    /// `HEADROUND_BY`: the short name entries are written under.
    pub by: Option<String>,
    /// `HEADROUND_THEME`: the theme's name.
    pub theme: Option<String>,
    /// `NO_COLOR` is set to something.
    pub no_color: bool,
    /// `TERM`.
    pub term: Option<String>,
    /// Whether standard input is a terminal.
    pub in_is_terminal: bool,
    /// Whether standard output is a terminal.
    pub out_is_terminal: bool,
    /// Whether standard error is a terminal.
    pub err_is_terminal: bool,
    /// The terminal's width in columns, where it is known.
    pub columns: Option<usize>,
}

/// A clock that several owners share.
pub struct Shared(pub Arc<dyn Clock>);

impl Clock for Shared {
    fn now(&self) -> DateTime<FixedOffset> {
        self.0.now()
    }

    fn random(&self) -> u128 {
        self.0.random()
    }
}

/// Standard input, output and error, or what stands in for them.
pub struct Streams<'a> {
    /// Where answers come from.
    pub input: &'a mut dyn BufRead,
    /// Where facts go.
    pub out: &'a mut dyn Write,
    /// Where everything else goes.
    pub err: &'a mut dyn Write,
}
