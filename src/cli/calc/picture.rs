//! Pictures of what was reckoned: as text below the answer, or in a file.

use std::path::PathBuf;

use clap::{Args, ValueHint};

use crate::bench::chance::Curve;
use crate::cli::plotted::{lines, picture, picture_beside_json};
use crate::cli::session::{Failure, Session};
use crate::report::plot::{Plot, SurvivalCurve, SurvivalStep, survival};

/// How an answer is drawn.
#[derive(Debug, Args)]
pub struct Picture {
    /// Draw it below the answer
    #[arg(long)]
    pub plot: bool,

    /// Write it as a picture to this SVG file
    #[arg(long, value_name = "PATH", value_hint = ValueHint::FilePath)]
    pub svg: Option<PathBuf>,

    /// Replace the file if it is there
    #[arg(long, requires = "svg")]
    pub over: bool,
}

impl Picture {
    /// Whether any picture is asked for.
    pub const fn is_asked(&self) -> bool {
        self.plot || self.svg.is_some()
    }

    /// Draws what was asked for; beside JSON only the file.
    ///
    /// # Errors
    /// The file exists or cannot be written.
    pub fn draw(&self, plot: impl Fn() -> Plot, session: &mut Session<'_, '_>) -> Result<(), Failure> {
        if self.plot && !session.global.json {
            let text = lines(&plot(), session);
            session.say("")?;
            session.say_text(&text)?;
        }
        match &self.svg {
            Some(out) if session.global.json => picture_beside_json(&plot(), out, self.over),
            Some(out) => picture(&plot(), out, self.over, session),
            None => Ok(()),
        }
    }
}

/// Curves of groups of heads over one another.
pub fn curves<'c>(title: &str, groups: impl Iterator<Item = (&'c str, &'c Curve)>) -> Plot {
    let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    let curve = |(name, curve): (&str, &Curve)| SurvivalCurve {
        name: name.to_owned(),
        steps: curve
            .steps
            .iter()
            .map(|s| SurvivalStep {
                at_s: s.seconds,
                at_risk: count(s.at_risk),
                opened: count(s.opened),
                censored: count(s.censored),
                shut: s.survival,
                band: s.band,
            })
            .collect(),
        median_s: curve.median,
    };
    survival(title, &groups.map(curve).collect::<Vec<_>>())
}
