//! Plots: one model, drawn as SVG, as a grid of cells for a terminal, and told as a table of numbers. The builders make the
//! model from plain numbers. Nothing here reads a rule set or judges: a builder draws the words it is given.
//!
//! What a plot means is never carried by colour alone: series differ by dash and marker, rows end in a word, limits are
//! labelled. Text that comes from files may hold anything; every renderer strips what could steer a terminal, and the SVG
//! renderer escapes the rest.

mod build;
mod colour;
mod model;
mod numbers;
mod shape;
mod svg;
mod text;
mod ticks;

pub use build::due::{DueRow, due_timeline};
pub use build::fire::{FirePoint, fire_size};
pub use build::odds::{OddsCurve, odds_curve};
pub use build::survival::{SurvivalCurve, SurvivalStep, survival};
pub use build::times::{Operated, operating_times};
pub use colour::hex;
pub use model::{
    Across, Axis, Band, Data, Ink, Limit, Mark, Marked, Marker, Numbers, Plot, Point, Row, Scale, Series, Span, Spread,
    Weight,
};
pub use numbers::table;
pub use svg::{SvgSize, svg};
pub use text::{Cell, Glyphs, LEAST_COLUMNS, LEAST_ROWS, TextPlot, text};
pub use ticks::Tick;

#[cfg(test)]
mod tests;
