//! The operating times of a lot's heads against their limits, one head a row.

use super::{largest, seconds};
use crate::report::phrases::{counted, listed};
use crate::report::plot::model::{
    Across, Axis, Band, Data, Ink, Limit, Marker, Numbers, Plot, Point, Row, Scale, Series, Span, Weight,
};
use crate::report::plot::ticks::trimmed;

/// One head in the oven.
#[derive(Clone, Debug, PartialEq)]
pub struct Operated {
    /// The head's address or tag.
    pub label: String,
    /// When the heat element operated, s; nothing where it did not.
    pub element_s: Option<f64>,
    /// When the waterway cleared, s; nothing where it did not.
    pub cleared_s: Option<f64>,
    /// How long the head was watched, s; nothing where nobody knows.
    pub watched_s: Option<f64>,
    /// Before this it opened too fast, s; nothing where no limit speaks.
    pub earliest_s: Option<f64>,
    /// After this it opened too late, s; nothing where no limit speaks.
    pub latest_s: Option<f64>,
    /// The judgement in a word or two.
    pub outcome: String,
    /// How much that asks for attention.
    pub weight: Weight,
}

/// Heads as rows: when the element operated, when the waterway cleared, and the window of limits. Where all heads share one
/// window it is a shaded band with labelled lines; where they do not, each row has its own ends. Times in s, from 0.
#[must_use]
pub fn operating_times(title: &str, heads: &[Operated]) -> Plot {
    let end = heads.iter().flat_map(|h| [h.element_s, h.cleared_s, h.watched_s, h.earliest_s, h.latest_s]);
    let end = largest(end.flatten()).unwrap_or(60.0).max(1.0) * 1.04;
    let shared = shared_window(heads);
    let mut series = vec![
        Series { name: String::new(), ink: Ink::Faint, data: Data::Spans(waits(heads)) },
        points("element operated", Ink::Series(0), Marker::Ring, heads, |h| h.element_s),
        points("waterway cleared", Ink::Series(1), Marker::Disc, heads, |h| h.cleared_s),
        points("still shut when the test ended", Ink::Bad, Marker::Onward, heads, |h| {
            if h.cleared_s.is_some() { None } else { h.watched_s.or(h.latest_s).or(h.element_s) }
        }),
    ];
    let (mut bands, mut limits) = (Vec::new(), Vec::new());
    match shared {
        Some((earliest, latest)) => {
            if earliest.is_some() || latest.is_some() {
                bands.push(Band {
                    across: Across::X,
                    from: earliest.unwrap_or(0.0),
                    to: latest.unwrap_or(end),
                    label: String::new(),
                });
            }
            for (at, word) in [(earliest, "earliest"), (latest, "latest")] {
                let line = |at: f64| Limit { across: Across::X, at, label: format!("{word} {} s", trimmed(at, 1)) };
                limits.extend(at.map(line));
            }
        }
        None => {
            series.insert(0, points("earliest allowed", Ink::Limit, Marker::Opens, heads, |h| h.earliest_s));
            series.insert(1, points("latest allowed", Ink::Limit, Marker::Closes, heads, |h| h.latest_s));
        }
    }
    series.retain(|s| !matches!(&s.data, Data::Points(_, p) if p.is_empty()));
    series.retain(|s| !matches!(&s.data, Data::Spans(p) if p.is_empty()));
    Plot {
        title: title.to_owned(),
        x: Axis::new("time in the oven, s", Scale::Linear, 0.0, end),
        y: Axis::new("", Scale::Rows, -0.5, index(heads.len().max(1)) - 0.5),
        rows: heads.iter().map(row).collect(),
        series,
        bands,
        limits,
        marks: Vec::new(),
        note: Vec::new(),
        describe: describe(heads, shared),
        numbers: numbers(heads),
    }
}

/// The number of a row as a value of `y`.
fn index(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}

fn row(head: &Operated) -> Row {
    let more = head.cleared_s.filter(|v| v.is_finite()).map_or_else(String::new, |v| format!("{v:.1} s"));
    Row { label: head.label.clone(), word: head.outcome.clone(), more, weight: head.weight }
}

/// The window that all heads have, if it is one and the same.
fn shared_window(heads: &[Operated]) -> Option<(Option<f64>, Option<f64>)> {
    let mut windows = heads.iter().map(|h| (h.earliest_s, h.latest_s));
    let first = windows.next().unwrap_or((None, None));
    windows.all(|w| w == first).then_some(first)
}

fn points(name: &str, ink: Ink, marker: Marker, heads: &[Operated], at: impl Fn(&Operated) -> Option<f64>) -> Series {
    let place = |(n, head): (usize, &Operated)| at(head).map(|x| Point { x, y: index(n) });
    let points = heads.iter().enumerate().filter_map(place).filter(|p| p.x.is_finite()).collect();
    Series { name: name.to_owned(), ink, data: Data::Points(marker, points) }
}

/// From the element to the waterway, or to the end of the test where the waterway never cleared.
fn waits(heads: &[Operated]) -> Vec<Span> {
    let wait = |(n, h): (usize, &Operated)| {
        let to = h.cleared_s.or(h.watched_s).or(h.latest_s)?;
        let from = h.element_s?;
        (from.is_finite() && to.is_finite() && from < to).then(|| Span { from, to, y: index(n) })
    };
    heads.iter().enumerate().filter_map(wait).collect()
}

fn describe(heads: &[Operated], shared: Option<(Option<f64>, Option<f64>)>) -> String {
    let mut words: Vec<(&str, usize)> = Vec::new();
    for head in heads {
        match words.iter_mut().find(|(w, _)| *w == head.outcome) {
            Some((_, n)) => *n += 1,
            None => words.push((&head.outcome, 1)),
        }
    }
    let told: Vec<String> = words.iter().map(|(word, n)| format!("{n} {word}")).collect();
    let told = if told.is_empty() { String::new() } else { format!(": {}", listed(&told)) };
    let window = match shared {
        None => "; the limits differ from head to head".to_owned(),
        Some((Some(a), Some(b))) => format!("; allowed from {} s to {} s", trimmed(a, 1), trimmed(b, 1)),
        Some((None, Some(b))) => format!("; allowed up to {} s", trimmed(b, 1)),
        Some((Some(a), None)) => format!("; allowed from {} s", trimmed(a, 1)),
        Some((None, None)) => String::new(),
    };
    format!("Operating times of {}{told}{window}.", counted(heads.len(), "head", "heads"))
}

fn numbers(heads: &[Operated]) -> Numbers {
    let columns = ["head", "element, s", "cleared, s", "watched, s", "earliest, s", "latest, s", "judgement"];
    let cells = |h: &Operated| {
        let times = [h.element_s, h.cleared_s, h.watched_s, h.earliest_s, h.latest_s].map(seconds);
        std::iter::once(h.label.clone()).chain(times).chain([h.outcome.clone()]).collect()
    };
    Numbers { columns: columns.map(str::to_owned).to_vec(), rows: heads.iter().map(cells).collect() }
}
