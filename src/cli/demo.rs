//! `headround demo`: puts a copy of the demo site into the program's data folder and walks it.

use std::path::PathBuf;

use clap::Args;

use super::screens;
use super::session::{Done, Failure, Outcome, Session};
use super::surroundings::Surroundings;
use crate::diag::{Diagnostic, Severity};
use crate::record::demo;

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround demo
  headround demo --fresh

The demo is a site file like any other, an invented cannery in the program's data folder: walk it and write in it. A \
half-walked copy is kept; --fresh puts it aside and starts over. Where there is no terminal, the command only says \
where the file is.")]
pub struct Demo {
    /// Start over; the copy that was walked is kept beside the new one
    #[arg(long)]
    pub fresh: bool,
}

/// The demo's site file in the data folder; it is made where it is not there.
///
/// # Errors
/// There is no data folder, or it cannot be written.
pub fn place(around: &Surroundings, fresh: bool) -> Result<demo::Place, Box<Diagnostic>> {
    let Some(data) = &around.data else {
        let it = Diagnostic::about(Severity::Error, "no-data-folder", "headround", "there is no folder for the demo");
        return Err(Box::new(it.help("set HEADROUND_DATA to a folder of yours")));
    };
    demo::place(&data.join("demo"), fresh)
}

/// Opens the demo.
pub fn run(it: &Demo, session: &mut Session<'_, '_>) -> Done {
    let place = place(session.around, it.fresh).map_err(Failure::from)?;
    let path: PathBuf = place.path;
    let shown = path.display().to_string();
    if session.global.json {
        session.say_json(&serde_json::json!({
            "file": shown,
            "made": place.made,
            "kept": place.kept.map(|k| k.display().to_string()),
        }))?;
        return Ok(Outcome::Fine);
    }
    let words = if place.made { "The demo was made" } else { "The demo is" };
    session.say(&format!("{words} at {shown}"))?;
    if let Some(kept) = place.kept {
        session.say(&format!("The copy walked before is kept at {}", kept.display()))?;
    }
    if session.can_ask() {
        return screens::site(session, &path);
    }
    session.say(&format!("Walk it with: headround walk '{shown}'"))?;
    Ok(Outcome::Fine)
}
