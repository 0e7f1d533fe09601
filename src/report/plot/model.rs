//! What a plot holds, whoever draws it. Values are plain numbers: seconds, per cent, kilowatts; a date is its number of days.

use chrono::{Datelike as _, NaiveDate};

/// A plot: two axes, what is drawn between them, and the words around it.
#[derive(Clone, Debug, PartialEq)]
pub struct Plot {
    /// What is shown, in a few words.
    pub title: String,
    /// The axis that runs to the right.
    pub x: Axis,
    /// The axis that runs up; with [`Scale::Rows`] it runs down, one row of [`Plot::rows`] to a whole number.
    pub y: Axis,
    /// The rows of a plot whose `y` is [`Scale::Rows`]; empty otherwise.
    pub rows: Vec<Row>,
    /// What is drawn, the first at the back.
    pub series: Vec<Series>,
    /// Shaded stretches behind everything.
    pub bands: Vec<Band>,
    /// Labelled straight lines across the plot.
    pub limits: Vec<Limit>,
    /// Single points that are named.
    pub marks: Vec<Mark>,
    /// Sentences below the plot, what matters most first.
    pub note: Vec<String>,
    /// The plot in one sentence, for those who do not see it.
    pub describe: String,
    /// The same as numbers.
    pub numbers: Numbers,
}

/// One axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// What is measured, with its unit.
    pub label: String,
    /// The value at the near end.
    pub from: f64,
    /// The value at the far end; greater than `from`.
    pub to: f64,
    /// How values are laid along it.
    pub scale: Scale,
}

/// How values are laid along an axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// Evenly.
    Linear,
    /// By their logarithm; both ends are above zero.
    Log,
    /// Evenly by day; a value is what `day_number` gives.
    Date,
    /// One row after the other, from the top.
    Rows,
}

/// A row of a plot of rows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// What stands before it.
    pub label: String,
    /// The word behind it, which carries its meaning.
    pub word: String,
    /// What else stands behind it where there is room; empty for nothing.
    pub more: String,
    /// How much it asks for attention: chooses the ink of the word, and which rows stay when there are too many.
    pub weight: Weight,
}

/// How much something asks for attention.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// Nothing to say.
    Plain,
    /// As it should be.
    Good,
    /// Worth a look.
    Watch,
    /// Not as it should be.
    Bad,
}

/// What a cell or a stroke stands for; screens choose the colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ink {
    /// Ordinary text.
    Text,
    /// Text and strokes that stand back: tick numbers, shading, lines to the axes.
    Faint,
    /// The title.
    Title,
    /// The axes.
    Axis,
    /// A limit and its label.
    Limit,
    /// The series with that number, from 0.
    Series(u8),
    /// As it should be.
    Good,
    /// Worth a look.
    Watch,
    /// Not as it should be.
    Bad,
    /// A named point.
    Mark,
}

/// One set of values of one sort.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// What it is called in the key.
    pub name: String,
    /// Its colour; with `Ink::Series(n)` also its dash.
    pub ink: Ink,
    /// What is drawn.
    pub data: Data,
}

/// What a series draws.
#[derive(Clone, Debug, PartialEq)]
pub enum Data {
    /// Points joined by straight strokes.
    Line(Vec<Point>),
    /// A staircase: each value holds until the next point.
    Steps {
        /// The corners: the value from this `x` on.
        points: Vec<Point>,
        /// Where something was lost from sight without an event: a tick on the staircase.
        censored: Vec<Point>,
        /// The band of confidence, each holding until the next.
        spread: Vec<Spread>,
    },
    /// Markers.
    Points(Marker, Vec<Point>),
    /// Strokes along rows.
    Spans(Vec<Span>),
}

/// A place in the plot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Along `x`.
    pub x: f64,
    /// Along `y`.
    pub y: f64,
}

/// A stroke along a row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Where it begins.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// The row.
    pub y: f64,
}

/// A range at a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Along `x`.
    pub x: f64,
    /// The lower end.
    pub low: f64,
    /// The upper end.
    pub high: f64,
}

/// The shape of a marker.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Marker {
    /// An empty circle.
    Ring,
    /// A filled circle.
    Disc,
    /// A filled diamond.
    Diamond,
    /// An empty square.
    Square,
    /// A filled triangle.
    Triangle,
    /// Two crossed strokes.
    Cross,
    /// Goes on beyond, to the right.
    Onward,
    /// Goes on beyond, to the left.
    Before,
    /// The near end of a window.
    Opens,
    /// The far end of a window.
    Closes,
}

/// Which way something lies across the plot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Across {
    /// At a value of `x`, from bottom to top.
    X,
    /// At a value of `y`, from left to right.
    Y,
}

/// A shaded stretch.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// Of which axis its ends are values.
    pub across: Across,
    /// Its near end.
    pub from: f64,
    /// Its far end.
    pub to: f64,
    /// What it is called; empty for none.
    pub label: String,
}

/// A labelled straight line across the plot.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Of which axis `at` is a value.
    pub across: Across,
    /// Where.
    pub at: f64,
    /// What it is.
    pub label: String,
}

/// A named point.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Where.
    pub at: Point,
    /// What it is.
    pub label: String,
    /// Whether strokes lead from it to both axes.
    pub to_axes: bool,
}

/// A named point, as builders take it.
#[derive(Clone, Debug, PartialEq)]
pub struct Marked {
    /// Along `x`, in the unit of the builder.
    pub x: f64,
    /// Along `y`, in the unit of the builder.
    pub y: f64,
    /// What it is.
    pub label: String,
}

/// A table of what the plot shows.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Numbers {
    /// The heads of the columns.
    pub columns: Vec<String>,
    /// The rows, as many cells as there are columns.
    pub rows: Vec<Vec<String>>,
}

/// A date as a value of a [`Scale::Date`] axis: whole days.
#[must_use]
pub fn day_number(day: NaiveDate) -> f64 {
    f64::from(day.num_days_from_ce())
}

impl Weight {
    /// The ink of a word of this weight.
    #[must_use]
    pub const fn ink(self) -> Ink {
        match self {
            Self::Plain => Ink::Text,
            Self::Good => Ink::Good,
            Self::Watch => Ink::Watch,
            Self::Bad => Ink::Bad,
        }
    }
}

impl Axis {
    /// An axis from `from` to `to`. Ends that are no numbers, run backwards or meet are mended: the axis is never empty, and a
    /// [`Scale::Log`] axis begins above zero.
    #[must_use]
    pub fn new(label: &str, scale: Scale, from: f64, to: f64) -> Self {
        let finite = |v: f64, instead: f64| if v.is_finite() { v } else { instead };
        let (mut from, mut to) = (finite(from, 0.0), finite(to, 1.0));
        if scale == Scale::Log {
            from = if from > 0.0 { from } else { to.abs().max(1.0) / 1000.0 };
        }
        if to - from <= f64::EPSILON * from.abs().max(1.0) {
            to = if scale == Scale::Log { from * 10.0 } else { from + from.abs().max(1.0) };
        }
        Self { label: label.to_owned(), from, to, scale }
    }

    /// Where a value lies: 0 at the near end, 1 at the far end, less or more outside. Nothing for what has no place on it.
    #[must_use]
    pub fn place(&self, value: f64) -> Option<f64> {
        let place = match self.scale {
            Scale::Log if value <= 0.0 => return None,
            Scale::Log => (value / self.from).ln() / (self.to / self.from).ln(),
            Scale::Linear | Scale::Date | Scale::Rows => (value - self.from) / (self.to - self.from),
        };
        place.is_finite().then_some(place)
    }

    /// The same, but only for what lies on it.
    #[must_use]
    pub fn inside(&self, value: f64) -> Option<f64> {
        const HAIR: f64 = 1e-9;
        self.place(value).filter(|p| (-HAIR..=1.0 + HAIR).contains(p)).map(|p| p.clamp(0.0, 1.0))
    }
}
