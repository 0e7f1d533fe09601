//! Survival curves: which share of a group's heads was still shut after how long in the oven.

use super::{largest, per_cent, seconds};
use crate::report::phrases::{counted, listed};
use crate::report::plot::model::{Across, Axis, Data, Ink, Limit, Numbers, Plot, Point, Scale, Series, Spread};
use crate::report::plot::ticks::trimmed;

/// One group of heads.
#[derive(Clone, Debug, PartialEq)]
pub struct SurvivalCurve {
    /// The group's name.
    pub name: String,
    /// The steps in order of time.
    pub steps: Vec<SurvivalStep>,
    /// The time by which half had opened, s; nothing where fewer than half did.
    pub median_s: Option<f64>,
}

/// What happened at one time in one group.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SurvivalStep {
    /// The time, s.
    pub at_s: f64,
    /// Heads still shut and watched just before it.
    pub at_risk: u32,
    /// Heads that opened at it.
    pub opened: u32,
    /// Heads whose test ended then while they were shut.
    pub censored: u32,
    /// The estimated share still shut from then on, 0 to 1.
    pub shut: f64,
    /// The band of confidence of that share, 0 to 1; nothing where none is drawn.
    pub band: Option<(f64, f64)>,
}

/// The curves of several groups over one another. Times in s from 0, shares in per cent. A stroke across a curve is a head whose test
/// ended while it was shut.
#[must_use]
pub fn survival(title: &str, curves: &[SurvivalCurve]) -> Plot {
    let end = largest(curves.iter().flat_map(|c| &c.steps).map(|s| s.at_s)).unwrap_or(60.0).max(1.0) * 1.04;
    let series = curves.iter().zip(0_u8..).map(|(curve, n)| one(curve, n, end)).collect();
    let mut note = Vec::new();
    if curves.iter().flat_map(|c| &c.steps).any(|s| s.censored > 0) {
        note.push("A stroke across a curve: a head that was still shut when its test ended.".to_owned());
    }
    Plot {
        title: title.to_owned(),
        x: Axis::new("time in the oven, s", Scale::Linear, 0.0, end),
        y: Axis::new("still shut, %", Scale::Linear, 0.0, 100.0),
        rows: Vec::new(),
        series,
        bands: Vec::new(),
        limits: vec![Limit { across: Across::Y, at: 50.0, label: "half".to_owned() }],
        marks: Vec::new(),
        note,
        describe: describe(curves),
        numbers: numbers(curves),
    }
}

fn one(curve: &SurvivalCurve, n: u8, end: f64) -> Series {
    let steps: Vec<&SurvivalStep> = curve.steps.iter().filter(|s| s.at_s.is_finite() && s.shut.is_finite()).collect();
    let mut points = vec![Point { x: 0.0, y: 100.0 }];
    points.extend(steps.iter().filter(|s| s.opened > 0).map(|s| Point { x: s.at_s, y: s.shut * 100.0 }));
    // The curve ends with the last head that was watched, not at the edge of the plot: nothing is known beyond.
    let last = steps.last().map_or(end, |s| s.at_s);
    if let Some(y) = points.last().filter(|p| p.x < last).map(|p| p.y) {
        points.push(Point { x: last, y });
    }
    let censored = steps.iter().filter(|s| s.censored > 0).map(|s| Point { x: s.at_s, y: s.shut * 100.0 }).collect();
    let within = |v: f64| v.clamp(0.0, 1.0) * 100.0;
    let spread = steps.iter().filter_map(|s| {
        let (low, high) = s.band.filter(|(a, b)| a.is_finite() && b.is_finite())?;
        Some(Spread { x: s.at_s, low: within(low), high: within(high) })
    });
    Series {
        name: curve.name.clone(),
        ink: Ink::Series(n),
        data: Data::Steps { points, censored, spread: spread.collect() },
    }
}

/// Heads watched in the group, and how many of them opened.
fn counts(curve: &SurvivalCurve) -> (u32, u32) {
    let sum = |f: fn(&SurvivalStep) -> u32| curve.steps.iter().map(f).fold(0_u32, u32::saturating_add);
    (curve.steps.first().map_or(0, |s| s.at_risk), sum(|s| s.opened))
}

fn describe(curves: &[SurvivalCurve]) -> String {
    let told: Vec<String> = curves
        .iter()
        .map(|curve| {
            let (heads, opened) = counts(curve);
            let half = curve.median_s.filter(|m| m.is_finite());
            let half = half.map_or_else(|| "half never opened".to_owned(), |m| format!("half by {} s", trimmed(m, 1)));
            format!("of {} {opened} of {heads} opened, {half}", curve.name)
        })
        .collect();
    let groups = counted(curves.len(), "group", "groups");
    if told.is_empty() {
        return "Heads still shut against time: no group is shown.".to_owned();
    }
    format!("Heads still shut against time in {groups}: {}.", listed(&told))
}

fn numbers(curves: &[SurvivalCurve]) -> Numbers {
    let columns = ["group", "time, s", "watched", "opened", "test ended", "still shut", "from", "to"];
    let cells = |name: &str, s: &SurvivalStep| {
        let (low, high) = s.band.map_or(("-".to_owned(), "-".to_owned()), |(a, b)| (per_cent(a), per_cent(b)));
        let counts = [s.at_risk, s.opened, s.censored].map(|n| n.to_string());
        let [risk, opened, censored] = counts;
        vec![name.to_owned(), seconds(Some(s.at_s)), risk, opened, censored, per_cent(s.shut), low, high]
    };
    let rows = curves.iter().flat_map(|c| c.steps.iter().map(move |s| cells(&c.name, s))).collect();
    Numbers { columns: columns.map(str::to_owned).to_vec(), rows }
}
