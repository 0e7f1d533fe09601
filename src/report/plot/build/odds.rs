//! The odds curve: how likely a lot passes its sample, against how many of its heads are bad.

use super::{largest, per_cent};
use crate::report::plot::model::{Axis, Data, Ink, Mark, Marked, Numbers, Plot, Point, Scale, Series};
use crate::report::plot::ticks::trimmed;

/// The curve of one way to sample.
#[derive(Clone, Debug, PartialEq)]
pub struct OddsCurve {
    /// What it is called, such as `sample of 4`.
    pub name: String,
    /// How many bad heads the lot holds, and the chance, 0 to 1, that the sample lets it pass.
    pub points: Vec<(f64, f64)>,
}

/// The chance that a lot of `heads` heads passes, per cent, against the bad heads in it. `marked` names points, with `x` in bad
/// heads and `y` as a chance from 0 to 1.
#[must_use]
pub fn odds_curve(title: &str, heads: u32, curves: &[OddsCurve], marked: &[Marked]) -> Plot {
    let all = || curves.iter().flat_map(|c| c.points.iter().copied());
    let told = all().filter(|(_, p)| *p > 0.01).map(|(bad, _)| bad);
    let end = largest(told.chain(marked.iter().map(|m| m.x))).unwrap_or(1.0) * 1.02;
    let line = |curve: &OddsCurve| {
        let finite = curve.points.iter().filter(|(a, b)| a.is_finite() && b.is_finite());
        Data::Line(finite.map(|(x, p)| Point { x: *x, y: p * 100.0 }).collect())
    };
    let series = curves.iter().zip(0_u8..);
    let series = series.map(|(c, n)| Series { name: c.name.clone(), ink: Ink::Series(n), data: line(c) }).collect();
    let mark = |m: &Marked| Mark { at: Point { x: m.x, y: m.y * 100.0 }, label: m.label.clone(), to_axes: true };
    Plot {
        title: title.to_owned(),
        x: Axis::new(&format!("bad heads among {heads}"), Scale::Linear, 0.0, end.max(1.0)),
        y: Axis::new("chance to pass, %", Scale::Linear, 0.0, 100.0),
        rows: Vec::new(),
        series,
        bands: Vec::new(),
        limits: Vec::new(),
        marks: marked.iter().map(mark).collect(),
        note: vec!["A lot that passes may still hold bad heads: the curve says how easily.".to_owned()],
        describe: describe(heads, marked),
        numbers: numbers(curves, marked),
    }
}

fn describe(heads: u32, marked: &[Marked]) -> String {
    let at = |m: &Marked| format!("; {}: {} bad, {}", m.label, trimmed(m.x, 1), per_cent(m.y));
    let marked: String = marked.iter().map(at).collect();
    format!("The chance that a lot of {heads} heads passes its sample, falling as more of them are bad{marked}.")
}

fn numbers(curves: &[OddsCurve], marked: &[Marked]) -> Numbers {
    let cells = |name: &str, bad: f64, p: f64| vec![name.to_owned(), trimmed(bad, 2), per_cent(p)];
    let mut rows: Vec<Vec<String>> =
        curves.iter().flat_map(|c| c.points.iter().map(|(bad, p)| cells(&c.name, *bad, *p))).collect();
    rows.extend(marked.iter().map(|m| cells(&m.label, m.x, m.y)));
    Numbers { columns: ["sample", "bad heads", "chance to pass"].map(str::to_owned).to_vec(), rows }
}
