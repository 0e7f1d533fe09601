//! `headround walk`: the walk on screens, or as lines of text.

use std::io;
use std::path::PathBuf;

use clap::{Args, ValueHint};

use super::screens;
use super::session::{Done, Outcome, Session, read_line};
use super::surroundings::Streams;
use crate::diag::plain;
use crate::record::places::{Places, Recent};
use crate::tui::plain::{self as plain_walk, Lines};

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround walk harbour.site.yaml
  headround walk harbour.site.yaml --plain

The walk goes on where you left off. --plain asks line by line on standard input and answers in sentences on standard \
output: for screen readers, serial consoles and scripts. Type 'help' in it for what can be typed.")]
pub struct Walk {
    /// The site file
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: PathBuf,

    /// Walk in lines of text, without screens
    #[arg(long)]
    pub plain: bool,
}

/// Walks.
pub fn run(it: &Walk, session: &mut Session<'_, '_>) -> Done {
    if !it.plain {
        return screens::site(session, &it.file);
    }
    let round = session.global.round.clone();
    let mut desk = session.write(&it.file, round.as_deref())?;
    let site = desk.state().register().site.clone();
    let mut places = session.around.data.as_deref().map(Places::load).unwrap_or_default();
    let stood = places.stood.get(&site.id).cloned();
    let clock = session.clock();
    let mut lines = Streamed { streams: session.streams };
    let left = plain_walk::run(&mut desk, &*clock, stood.as_ref(), &mut lines)?;
    if let Some(address) = left {
        places.stood.insert(site.id, address);
    }
    places.opened(Recent { path: it.file.clone(), name: site.name, at: clock.now() });
    if let Some(folder) = &session.around.data
        && let Err(error) = places.save(folder)
    {
        let message = format!("where you are cannot be kept in mind: {error}");
        let it = crate::diag::Diagnostic::about(
            crate::diag::Severity::Warning,
            "places",
            folder.display().to_string(),
            message,
        );
        session.tell(&[it])?;
    }
    Ok(Outcome::Fine)
}

struct Streamed<'a, 'b> {
    streams: &'a mut Streams<'b>,
}

impl Lines for Streamed<'_, '_> {
    fn read(&mut self, prompt: &str) -> io::Result<Option<String>> {
        write!(self.streams.out, "{} ", plain(prompt))?;
        self.streams.out.flush()?;
        read_line(self.streams.input)
    }

    fn write(&mut self, line: &str) -> io::Result<()> {
        writeln!(self.streams.out, "{line}")
    }
}
