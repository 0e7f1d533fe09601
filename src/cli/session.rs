//! One run of a command: its global options, its surroundings and its streams. Commands open sites, tell trouble and ask
//! questions through it, so that all do it alike.

use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use chrono::NaiveDate;

use super::args::{Diagnostics, Global};
use super::surroundings::{Streams, Surroundings};
use super::typed::cleaned;
use crate::diag::render::{self, Form};
use crate::diag::{Diagnostic, Severity, plain};
use crate::record::desk::{Clock, Desk, Who};
use crate::record::journal::Mode;

/// How a command ended, when it could do what it was asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// There is nothing to act on.
    Fine,
    /// There is something to act on.
    Act,
    /// A part could not be done; it was told.
    Partly,
}

impl Outcome {
    /// [`Outcome::Act`] where there is something to act on.
    #[must_use]
    pub const fn of(act: bool) -> Self {
        if act { Self::Act } else { Self::Fine }
    }
}

/// Why a command could not do what it was asked.
#[derive(Debug)]
pub enum Failure {
    /// Trouble that is still to be told.
    Told(Vec<Diagnostic>),
    /// A stream failed.
    Stream(io::Error),
}

impl From<io::Error> for Failure {
    fn from(error: io::Error) -> Self {
        Self::Stream(error)
    }
}

impl From<Box<Diagnostic>> for Failure {
    fn from(it: Box<Diagnostic>) -> Self {
        Self::Told(vec![*it])
    }
}

impl From<Diagnostic> for Failure {
    fn from(it: Diagnostic) -> Self {
        Self::Told(vec![it])
    }
}

impl From<Vec<Diagnostic>> for Failure {
    fn from(list: Vec<Diagnostic>) -> Self {
        Self::Told(list)
    }
}

/// What a command comes back with.
pub type Done = Result<Outcome, Failure>;

/// One run.
pub struct Session<'a, 'b> {
    /// Options that all commands share.
    pub global: &'a Global,
    /// What is around.
    pub around: &'a Surroundings,
    /// Where text goes and comes from.
    pub streams: &'a mut Streams<'b>,
    /// Diagnostics that wait for the end, where they are written as one JSON array.
    pub waiting: Vec<Diagnostic>,
    /// Whether a file that was read holds something that could not be: what is said of it may be incomplete.
    pub damaged: bool,
}

impl Session<'_, '_> {
    /// Clock and chance.
    #[must_use]
    pub fn clock(&self) -> Arc<dyn Clock> {
        Arc::clone(&self.around.clock)
    }

    /// The day it is taken to be.
    #[must_use]
    pub fn today(&self) -> NaiveDate {
        self.global.on.unwrap_or_else(|| self.around.clock.now().date_naive())
    }

    /// The folder of the person's own rule sets.
    #[must_use]
    pub fn rules_folder(&self) -> Option<PathBuf> {
        self.global.rules_folder.clone().or_else(|| self.around.rules.clone())
    }

    /// The short name entries are written under, if one is known.
    #[must_use]
    pub fn by(&self) -> Option<String> {
        let own = self.global.by.clone().or_else(|| self.around.by.clone());
        let name = own.or_else(|| self.around.user.as_ref().map(|u| u.to_lowercase()))?;
        let name = plain(name.trim());
        (!name.is_empty()).then_some(name)
    }

    /// Who opens a site for writing.
    ///
    /// # Errors
    /// Nobody knows the person's name.
    pub fn writer(&self) -> Result<Who, Failure> {
        let by = self.by().ok_or_else(|| {
            Diagnostic::about(Severity::Error, "no-name", "headround", "the system does not tell your name")
                .help("say who writes: '--by NAME', or set HEADROUND_BY")
        })?;
        Ok(self.who(by))
    }

    /// Who opens a site for reading.
    #[must_use]
    pub fn reader(&self) -> Who {
        self.who(self.by().unwrap_or_else(|| "reader".to_owned()))
    }

    fn who(&self, by: String) -> Who {
        Who { by, host: self.around.host.clone(), pid: self.around.pid, rules: self.rules_folder() }
    }

    /// Opens a site for reading, as seen from the round asked for. What was noticed is told, notes left out.
    ///
    /// # Errors
    /// Everything that keeps the file from being used.
    pub fn read(&mut self, file: &Path) -> Result<Desk, Failure> {
        let who = self.reader();
        let round = self.global.round.clone();
        let (desk, notices) = Desk::open(file, Mode::Read, &who, &*self.around.clock, round.as_deref())?;
        self.tell_weighty(&notices)?;
        Ok(desk)
    }

    /// Opens a site for writing, as seen from the round asked for.
    ///
    /// # Errors
    /// Everything that keeps the file from being used or written.
    pub fn write(&mut self, file: &Path, round: Option<&str>) -> Result<Desk, Failure> {
        let who = self.writer()?;
        let (desk, mut notices) = Desk::open(file, Mode::Write, &who, &*self.around.clock, round)?;
        if let Some(why) = desk.read_only() {
            match notices.iter().position(|n| n.code == "read-only") {
                // The journal and the desk both say so; once is enough.
                Some(first) => {
                    let mut at = 0..;
                    notices.retain(|n| at.next() == Some(first) || n.code != "read-only");
                }
                None => notices.push(told(file, "read-only", why)),
            }
            // To a reader it is a warning; whoever came to write has failed.
            notices.iter_mut().filter(|n| n.code == "read-only").for_each(|n| n.severity = Severity::Error);
            return Err(notices.into());
        }
        self.tell_weighty(&notices)?;
        Ok(desk)
    }

    fn tell_weighty(&mut self, notices: &[Diagnostic]) -> io::Result<()> {
        self.damaged |= notices.iter().any(|n| n.severity == Severity::Error);
        let weighty: Vec<_> = notices.iter().filter(|n| n.severity > Severity::Note).cloned().collect();
        self.tell(&weighty)
    }

    /// Tells diagnostics on standard error: at once, or as one JSON array at the end.
    ///
    /// # Errors
    /// The stream's.
    pub fn tell(&mut self, list: &[Diagnostic]) -> io::Result<()> {
        let colour = self.around.err_is_terminal && !self.around.no_color;
        let unicode = self.around.err_is_terminal && !self.draws_ascii();
        let width = self.around.columns.unwrap_or(super::COLUMNS);
        let form = match self.global.diagnostics {
            Diagnostics::Full => Form::Full { colour, unicode, width },
            Diagnostics::Short => Form::Short,
            Diagnostics::Narrated => Form::Narrated,
            Diagnostics::Json => {
                self.waiting.extend_from_slice(list);
                return Ok(());
            }
        };
        if list.is_empty() {
            return Ok(());
        }
        // What was said before comes before.
        self.streams.out.flush()?;
        self.streams.err.write_all(render::render(list, form).as_bytes())
    }

    /// Ends the run: what waited is written.
    ///
    /// # Errors
    /// The stream's.
    pub fn finish(&mut self) -> io::Result<()> {
        if self.global.diagnostics == Diagnostics::Json {
            self.streams.err.write_all(render::render(&self.waiting, Form::Json).as_bytes())?;
        }
        Ok(())
    }

    /// Whether only ASCII characters are drawn.
    #[must_use]
    pub fn draws_ascii(&self) -> bool {
        self.global.ascii || matches!(self.around.term.as_deref(), Some("linux" | "dumb"))
    }

    /// Writes a line of facts. Control characters never get through.
    ///
    /// # Errors
    /// The stream's.
    pub fn say(&mut self, line: &str) -> io::Result<()> {
        writeln!(self.streams.out, "{}", plain(line))
    }

    /// Writes facts as JSON.
    ///
    /// # Errors
    /// The stream's.
    pub fn say_json(&mut self, value: &impl serde::Serialize) -> io::Result<()> {
        // JSON itself escapes only some of the characters that steer a terminal; they stand nowhere but within strings.
        let text = serde_json::to_string_pretty(value)?;
        let mut safe = String::with_capacity(text.len());
        for c in text.chars() {
            if c != '\n' && crate::diag::is_unprintable(c) {
                safe.push_str(&format!("\\u{:04x}", u32::from(c)));
            } else {
                safe.push(c);
            }
        }
        writeln!(self.streams.out, "{safe}")
    }

    /// Writes a text as it is: it was made free of control characters by whoever made it.
    ///
    /// # Errors
    /// The stream's.
    pub fn say_text(&mut self, text: &str) -> io::Result<()> {
        self.streams.out.write_all(text.as_bytes())
    }

    /// Whether the person can be asked: on a terminal, and not where a program reads JSON.
    #[must_use]
    pub const fn can_ask(&self) -> bool {
        self.around.in_is_terminal && self.around.out_is_terminal && !self.global.json
    }

    /// Asks a question and waits for a line; `None` at the end of the input.
    ///
    /// # Errors
    /// The streams'.
    pub fn ask(&mut self, question: &str) -> io::Result<Option<String>> {
        write!(self.streams.out, "{} ", plain(question))?;
        self.streams.out.flush()?;
        read_line(self.streams.input)
    }

    /// A value from an option or, on a terminal, from the person.
    ///
    /// # Errors
    /// Neither gave one.
    pub fn need(&mut self, given: Option<&str>, option: &str, question: &str) -> Result<String, Failure> {
        if let Some(given) = given.map(str::trim).filter(|g| !g.is_empty()) {
            return Ok(given.to_owned());
        }
        let missing = || {
            Failure::from(
                Diagnostic::about(Severity::Error, "missing-option", "headround", format!("'{option}' is missing"))
                    .help(format!("add '{option} …'; on a terminal you are asked for it")),
            )
        };
        if !self.can_ask() {
            return Err(missing());
        }
        for _ in 0..3 {
            match self.ask(question)? {
                Some(answer) if !answer.trim().is_empty() => return Ok(answer.trim().to_owned()),
                Some(_) => {}
                None => break,
            }
        }
        Err(missing())
    }
}

/// A count with its noun.
#[must_use]
pub fn many(n: usize, one: &str) -> String {
    format!("{n} {one}{}", if n == 1 { "" } else { "s" })
}

/// A sentence of the record as a diagnostic: what happened and, behind the last `; `, what to do.
#[must_use]
pub fn told(file: &Path, code: &'static str, sentence: &str) -> Diagnostic {
    let file = file.display().to_string();
    match sentence.rsplit_once("; ") {
        Some((what, help)) => Diagnostic::about(Severity::Error, code, file, what).help(help),
        None => Diagnostic::about(Severity::Error, code, file, sentence),
    }
}

/// The longest line taken from a person, in bytes.
const LONGEST: u64 = 64 << 10;

/// Reads a line without its end, escape sequences and control characters; what goes beyond [`LONGEST`] is left out.
///
/// # Errors
/// The stream's.
pub fn read_line(input: &mut dyn io::BufRead) -> io::Result<Option<String>> {
    let mut bytes = Vec::new();
    let read = io::BufRead::read_until(&mut io::Read::take(&mut *input, LONGEST), b'\n', &mut bytes)?;
    if read == 0 {
        return Ok(None);
    }
    if bytes.last() != Some(&b'\n') && read as u64 == LONGEST {
        skip_line(input)?;
    }
    let text = String::from_utf8_lossy(&bytes);
    Ok(Some(cleaned(text.trim_end_matches(['\n', '\r']))))
}

fn skip_line(input: &mut dyn io::BufRead) -> io::Result<()> {
    loop {
        let buffer = input.fill_buf()?;
        let (used, done) = match buffer.iter().position(|b| *b == b'\n') {
            Some(at) => (at + 1, true),
            None => (buffer.len(), buffer.is_empty()),
        };
        input.consume(used);
        if done {
            return Ok(());
        }
    }
}
