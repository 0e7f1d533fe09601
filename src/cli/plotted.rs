//! Plots on a terminal and as pictures in files.

use std::path::Path;

use super::due::{put, written};
use super::session::{Failure, Session};
use crate::report::plot::{Glyphs, Plot, SvgSize, svg, text};

/// The lines that a plot takes on a terminal, beside a line for each row it holds.
const LINES: usize = 20;

/// A plot as lines of text, as wide as there is room; the notes that have none in it come below.
pub fn lines(plot: &Plot, session: &Session<'_, '_>) -> String {
    let columns = session.around.columns.map_or(super::COLUMNS, |c| c.clamp(60, 140));
    let glyphs = if session.draws_ascii() { Glyphs::Ascii } else { Glyphs::Unicode };
    let drawn = text(plot, columns, LINES.max(plot.rows.len().min(60) + 10), glyphs);
    let mut out = String::new();
    for line in drawn.lines().iter().map(String::as_str).chain(drawn.left_out.iter().map(String::as_str)) {
        out.push_str(line.trim_end());
        out.push('\n');
    }
    out
}

/// Writes a plot as a picture beside an answer in JSON, which says nothing of it.
///
/// # Errors
/// A file of that name exists, or the system refused.
pub fn picture_beside_json(plot: &Plot, out: &Path, over: bool) -> Result<(), Failure> {
    Ok(put(out, &svg(plot, &SvgSize::of(plot)), over)?)
}

/// Writes a plot as a picture and says so.
///
/// # Errors
/// A file of that name exists, or the system refused.
pub fn picture(plot: &Plot, out: &Path, over: bool, session: &mut Session<'_, '_>) -> Result<(), Failure> {
    written(out, &svg(plot, &SvgSize::of(plot)), over, session)
}
