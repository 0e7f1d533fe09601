//! How large a fire is by the time a head opens, against the head's RTI: an illustration of delay.

use super::largest;
use crate::report::plot::model::{Across, Axis, Band, Data, Ink, Mark, Marked, Numbers, Plot, Point, Scale, Series};
use crate::report::plot::ticks::trimmed;

/// A head of one RTI in one fire.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FirePoint {
    /// The head's response time index, (m·s)^½, above 0.
    pub rti: f64,
    /// When it opens, s.
    pub opens_s: f64,
    /// The fire's heat release by then, kW.
    pub kw: f64,
}

/// The fire at opening, kW, against RTI, (m·s)^½, on a logarithmic axis. `classes` are stretches of RTI with their names;
/// `marked` names heads, with `x` as RTI and `y` in kW. It always says that it is no design.
#[must_use]
pub fn fire_size(title: &str, points: &[FirePoint], classes: &[(f64, f64, &str)], marked: &[Marked]) -> Plot {
    let good = |p: &&FirePoint| p.rti.is_finite() && p.rti > 0.0 && p.kw.is_finite() && p.kw >= 0.0;
    let mut line: Vec<Point> = points.iter().filter(good).map(|p| Point { x: p.rti, y: p.kw }).collect();
    line.sort_by(|a, b| a.x.total_cmp(&b.x));
    let rtis = || line.iter().map(|p| p.x).chain(marked.iter().map(|m| m.x)).filter(|v| v.is_finite() && *v > 0.0);
    let (from, to) = (rtis().reduce(f64::min).unwrap_or(10.0), rtis().reduce(f64::max).unwrap_or(1000.0));
    let top = largest(line.iter().map(|p| p.y).chain(marked.iter().map(|m| m.y))).unwrap_or(1.0) * 1.08;
    let band = |(a, b, word): &(f64, f64, &str)| {
        let (a, b) = (a.max(from), b.min(to));
        (a < b).then(|| Band { across: Across::X, from: a, to: b, label: (*word).to_owned() })
    };
    let mark = |m: &Marked| Mark { at: Point { x: m.x, y: m.y }, label: m.label.clone(), to_axes: true };
    Plot {
        title: title.to_owned(),
        x: Axis::new("RTI, (m·s)^½, logarithmic", Scale::Log, from, to),
        y: Axis::new("fire when it opens, kW", Scale::Linear, 0.0, top),
        rows: Vec::new(),
        series: vec![Series { name: "fire at opening".to_owned(), ink: Ink::Series(0), data: Data::Line(line) }],
        bands: classes.iter().filter_map(band).collect(),
        limits: Vec::new(),
        marks: marked.iter().filter(|m| m.x.is_finite() && m.y.is_finite()).map(mark).collect(),
        note: vec!["An illustration of delay, not a design: real fires and ceilings differ.".to_owned()],
        describe: describe(points, marked),
        numbers: numbers(points, marked),
    }
}

fn describe(points: &[FirePoint], marked: &[Marked]) -> String {
    let ends = match (
        points.iter().min_by(|a, b| a.rti.total_cmp(&b.rti)),
        points.iter().max_by(|a, b| a.rti.total_cmp(&b.rti)),
    ) {
        (Some(a), Some(b)) => {
            let [r1, k1, r2, k2] = [a.rti, a.kw, b.rti, b.kw].map(|v| trimmed(v, 0));
            format!(": {k1} kW at RTI {r1}, {k2} kW at RTI {r2}")
        }
        _ => String::new(),
    };
    let at = |m: &Marked| format!("; {}: {} kW at RTI {}", m.label, trimmed(m.y, 0), trimmed(m.x, 0));
    let marked: String = marked.iter().map(at).collect();
    format!("The size of a growing fire when a head opens, against its RTI{ends}{marked}.")
}

fn numbers(points: &[FirePoint], marked: &[Marked]) -> Numbers {
    let mut rows: Vec<Vec<String>> = points
        .iter()
        .map(|p| vec![trimmed(p.rti, 1), trimmed(p.opens_s, 1), trimmed(p.kw, 0), String::new()])
        .collect();
    rows.extend(marked.iter().map(|m| vec![trimmed(m.x, 1), "-".to_owned(), trimmed(m.y, 0), m.label.clone()]));
    Numbers { columns: ["RTI, (m·s)^½", "opens, s", "fire, kW", "head"].map(str::to_owned).to_vec(), rows }
}
