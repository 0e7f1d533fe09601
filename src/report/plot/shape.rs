//! Strokes as fractions of the plot's width and height, cut at its edges. What the renderers share.

use std::borrow::Cow;

use super::model::{Data, Plot, Point, Row, Scale};
use crate::report::phrases::counted;

/// A place as fractions of the plot: to the right, and down from the top.
pub(super) type Unit = (f64, f64);

/// The fraction down from the top, of a place along `y`.
fn down(plot: &Plot, place: f64) -> f64 {
    if plot.y.scale == Scale::Rows { place } else { 1.0 - place }
}

/// A point inside the plot.
pub(super) fn unit(plot: &Plot, at: Point) -> Option<Unit> {
    Some((plot.x.inside(at.x)?, down(plot, plot.y.inside(at.y)?)))
}

/// A point wherever it is.
fn anywhere(plot: &Plot, at: Point) -> Option<Unit> {
    Some((plot.x.place(at.x)?, down(plot, plot.y.place(at.y)?)))
}

/// The corners of a staircase: each value holds until the next point.
fn corners(points: &[Point]) -> Vec<Point> {
    let mut out: Vec<Point> = Vec::with_capacity(points.len() * 2);
    for point in points {
        if let Some(y) = out.last().map(|p| p.y) {
            out.push(Point { x: point.x, y });
        }
        out.push(*point);
    }
    out
}

/// The strokes through the points, cut at the edges of the plot. A point without a place parts them.
pub(super) fn strokes(plot: &Plot, points: &[Point], steps: bool) -> Vec<Vec<Unit>> {
    let all = if steps { Cow::Owned(corners(points)) } else { Cow::Borrowed(points) };
    let mut out: Vec<Vec<Unit>> = Vec::new();
    let mut before: Option<Unit> = None;
    for point in all.iter() {
        let here = anywhere(plot, *point);
        if let (Some(a), Some(b)) = (before, here)
            && let Some((a, b)) = cut(a, b)
        {
            match out.last_mut() {
                Some(stroke) if stroke.last().is_some_and(|last| same(*last, a)) => stroke.push(b),
                _ => out.push(vec![a, b]),
            }
        }
        before = here;
    }
    out
}

fn same(a: Unit, b: Unit) -> bool {
    (a.0 - b.0).abs() < 1e-9 && (a.1 - b.1).abs() < 1e-9
}

/// The part of a stroke inside the unit square (Liang and Barsky, ACM Transactions on Graphics 3 (1984) 1–22).
fn cut(a: Unit, b: Unit) -> Option<(Unit, Unit)> {
    const HAIR: f64 = 1e-9;
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for (step, room) in [(-dx, a.0 + HAIR), (dx, 1.0 + HAIR - a.0), (-dy, a.1 + HAIR), (dy, 1.0 + HAIR - a.1)] {
        if step.abs() < 1e-300 {
            if room < 0.0 {
                return None;
            }
            continue;
        }
        let at = room / step;
        if step < 0.0 {
            enter = enter.max(at);
        } else {
            leave = leave.min(at);
        }
    }
    let on = |t: f64| ((a.0 + t * dx).clamp(0.0, 1.0), (a.1 + t * dy).clamp(0.0, 1.0));
    (enter <= leave).then(|| (on(enter), on(leave)))
}

/// Where a broken line passes a fraction to the right; nothing where it does not.
pub(super) fn height_at(strokes: &[Vec<Unit>], right: f64) -> Option<f64> {
    let pairs = strokes.iter().flat_map(|s| s.iter().zip(s.iter().skip(1)));
    let (a, b) = pairs.into_iter().find(|(a, b)| a.0 <= right && right <= b.0)?;
    let wide = b.0 - a.0;
    Some(if wide <= 0.0 { a.1 } else { a.1 + (b.1 - a.1) * (right - a.0) / wide })
}

/// The plot with at most `most` rows. The rows that ask for attention stay, then the first ones; all others are drawn over one
/// another in the last row, and a note says so.
pub(super) fn folded(plot: &Plot, most: usize) -> Cow<'_, Plot> {
    let most = most.max(1);
    if plot.y.scale != Scale::Rows || plot.rows.len() <= most {
        return Cow::Borrowed(plot);
    }
    let mut order: Vec<usize> = (0..plot.rows.len()).collect();
    order.sort_by_key(|n| (std::cmp::Reverse(plot.rows.get(*n).map(|r| r.weight)), *n));
    let mut kept: Vec<usize> = order.iter().copied().take(most - 1).collect();
    kept.sort_unstable();
    let place: Vec<usize> = (0..plot.rows.len()).map(|n| kept.binary_search(&n).unwrap_or(kept.len())).collect();
    let mut rows: Vec<Row> = kept.iter().filter_map(|n| plot.rows.get(*n).cloned()).collect();
    let others = plot.rows.len() - rows.len();
    rows.push(others_row(order.iter().skip(most - 1).filter_map(|n| plot.rows.get(*n)), others));
    let mut out = plot.clone();
    out.rows = rows;
    out.y.to = count(out.rows.len()) - 0.5;
    let moved = |y: f64| {
        let at = (0..place.len()).find(|n| (count(*n) - y).abs() < 0.25);
        at.and_then(|n| place.get(n)).map_or(y, |n| count(*n))
    };
    for series in &mut out.series {
        match &mut series.data {
            Data::Line(points) | Data::Points(_, points) | Data::Steps { points, .. } => {
                for point in points {
                    point.y = moved(point.y);
                }
            }
            Data::Spans(spans) => {
                for span in &mut *spans {
                    span.y = moved(span.y);
                }
                let last = count(kept.len());
                spans.retain(|s| s.y < last);
            }
        }
    }
    out.note.push(format!("{} are drawn over one another in the last line.", counted(others, "row", "rows")));
    Cow::Owned(out)
}

fn others_row<'a>(rows: impl Iterator<Item = &'a Row>, others: usize) -> Row {
    let rows: Vec<&Row> = rows.collect();
    let word = rows.first().map_or("", |r| r.word.as_str());
    let word = if rows.iter().all(|r| r.word == word) { word } else { "various" };
    Row {
        label: format!("{others} more"),
        word: word.to_owned(),
        more: String::new(),
        weight: rows.iter().map(|r| r.weight).max().unwrap_or(super::model::Weight::Plain),
    }
}

fn count(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}
