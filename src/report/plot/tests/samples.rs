//! One plot of every builder, from invented heads. The figures behave as real ones would; they are no measurements.

use chrono::NaiveDate;

use crate::report::plot::{
    DueRow, FirePoint, Marked, OddsCurve, Operated, Plot, SurvivalCurve, SurvivalStep, Weight, due_timeline, fire_size,
    odds_curve, operating_times, survival,
};

pub fn head(label: &str, element: Option<f64>, cleared: Option<f64>, outcome: &str, weight: Weight) -> Operated {
    Operated {
        label: label.to_owned(),
        element_s: element,
        cleared_s: cleared,
        watched_s: Some(150.0),
        earliest_s: Some(30.4),
        latest_s: Some(138.6),
        outcome: outcome.to_owned(),
        weight,
    }
}

/// A sample of a painted hall: the figures of common practice that the judgement is checked with, no source.
pub fn times() -> Plot {
    operating_times(
        "Packing hall, upright 165 °F of 1988: sample of 2026",
        &[
            head("pack/1.4", Some(39.8), Some(41.2), "opened in time", Weight::Good),
            head("pack/2.9", Some(42.6), Some(43.0), "opened in time", Weight::Good),
            head("pack/3.7", Some(45.1), None, "held", Weight::Bad),
            head("pack/4.2", Some(62.0), None, "leaking only", Weight::Bad),
            head("pack/5.5", Some(126.3), Some(129.0), "opened in time", Weight::Good),
            head("pack/6.1", Some(144.0), Some(146.5), "slow", Weight::Bad),
            head("pack/7.3", Some(22.0), Some(24.1), "too fast", Weight::Watch),
            head("pack/8.8", None, None, "did not operate", Weight::Bad),
        ],
    )
}

/// Two kinds in one lot, each with its own window.
pub fn mixed_times() -> Plot {
    let quick = |label: &str, s: f64, outcome: &str, weight| Operated {
        earliest_s: None,
        latest_s: Some(17.2),
        ..head(label, Some(s), Some(s + 0.3), outcome, weight)
    };
    operating_times(
        "Ice store and office: sample of 2026",
        &[
            quick("office/1.1", 10.4, "opened in time", Weight::Good),
            quick("office/2.3", 19.5, "slow", Weight::Bad),
            head("ice/1.2", Some(39.8), Some(41.2), "opened in time", Weight::Good),
            head("ice/4.9", Some(38.8), Some(39.2), "opened in time", Weight::Good),
        ],
    )
}

/// A large sample: most heads opened, three did not.
pub fn many_times() -> Plot {
    let rows: Vec<Operated> = (0..90_u32)
        .map(|n| {
            let s = 36.0 + f64::from(n * 37 % 71) / 10.0;
            match n {
                17 | 55 => head(&format!("hall/{n}"), Some(s), None, "held", Weight::Bad),
                70 => head(&format!("hall/{n}"), None, None, "did not operate", Weight::Bad),
                _ => head(&format!("hall/{n}"), Some(s), Some(s + 0.6), "opened in time", Weight::Good),
            }
        })
        .collect();
    operating_times("Dry store: sample of 2026", &rows)
}

/// A product-limit curve of times, `+` marked by `false`, without a band.
pub fn curve(name: &str, times: &[(f64, bool)], banded: bool) -> SurvivalCurve {
    let mut sorted = times.to_vec();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut shut, mut steps, mut median) = (1.0, Vec::<SurvivalStep>::new(), None);
    let mut risk = u32::try_from(sorted.len()).unwrap();
    for (at_s, opened) in sorted {
        let before = risk;
        if opened {
            shut *= 1.0 - 1.0 / f64::from(risk);
        }
        risk -= 1;
        if median.is_none() && shut <= 0.5 {
            median = Some(at_s);
        }
        let wide = 0.9 * (shut * (1.0 - shut) / f64::from(before)).sqrt() + 0.02;
        steps.push(SurvivalStep {
            at_s,
            at_risk: before,
            opened: u32::from(opened),
            censored: u32::from(!opened),
            shut,
            band: banded.then_some(((shut - wide).max(0.0), (shut + wide).min(1.0))),
        });
    }
    SurvivalCurve { name: name.to_owned(), steps, median_s: median }
}

pub const CLEAN: [(f64, bool); 10] = [
    (37.2, true),
    (38.0, true),
    (38.9, true),
    (39.5, true),
    (40.1, true),
    (41.2, true),
    (41.8, true),
    (42.4, true),
    (43.0, true),
    (44.0, true),
];
pub const PAINTED: [(f64, bool); 9] = [
    (45.4, true),
    (52.0, true),
    (62.0, false),
    (66.0, true),
    (71.0, false),
    (88.5, true),
    (129.0, true),
    (150.0, false),
    (150.0, false),
];
pub const LOADED: [(f64, bool); 6] =
    [(41.0, true), (48.0, true), (55.5, true), (61.0, true), (90.0, true), (150.0, false)];

pub fn groups() -> Plot {
    survival(
        "Heads still shut: clean against painted",
        &[curve("clean", &CLEAN, true), curve("painted", &PAINTED, true)],
    )
}

pub fn three_groups() -> Plot {
    survival(
        "Heads still shut, by condition",
        &[curve("clean", &CLEAN, false), curve("painted", &PAINTED, false), curve("loaded with dust", &LOADED, false)],
    )
}

/// The chance that none of `sample` heads is bad, drawing one after the other.
pub fn none_bad(heads: u32, bad: u32, sample: u32) -> f64 {
    (0..sample).map(|n| f64::from((heads - bad).saturating_sub(n)) / f64::from(heads - n)).product()
}

pub fn odds() -> Plot {
    let points = |sample| (0..=400).map(|bad| (f64::from(bad), none_bad(400, bad, sample))).collect();
    let curves = [4, 12].map(|n| OddsCurve { name: format!("sample of {n}"), points: points(n) });
    let marked = Marked { x: 20.0, y: none_bad(400, 20, 4), label: "20 bad, sample of 4: 81.4 %".to_owned() };
    odds_curve("How likely 400 heads pass with bad ones among them", 400, &curves, &[marked])
}

pub fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

pub fn due() -> Plot {
    let row = |date: &str, assumed, label: &str, heads, what: &str| DueRow {
        date: day(date),
        assumed,
        label: label.to_owned(),
        heads,
        what: what.to_owned(),
    };
    due_timeline(
        "What falls due at the cannery",
        &[
            row("2027-05-01", false, "Packing hall, quick pendent 2002", 36, "sample"),
            row("2023-06-01", false, "Boiler room, upright 1948", 6, "replace"),
            row("2026-08-01", true, "Loading dock, dry pendent", 12, "sample"),
            row("2028-01-01", false, "Ice store, dry upright 2013", 24, "sample"),
            row("2028-11-01", false, "Office, quick pendent 2003", 18, "replace"),
            row("2033-01-01", false, "Smokehouse, upright 1983", 9, "replace"),
        ],
        day("2026-11-28"),
        day("2028-11-28"),
    )
}

pub fn fire() -> Plot {
    let points: Vec<FirePoint> = (0..=40)
        .map(|n| {
            let rti = 10.0 * 120_f64.powf(f64::from(n) / 40.0);
            let opens_s = 95.0 + 14.0 * rti.powf(0.42);
            FirePoint { rti, opens_s, kw: 0.0469 * opens_s * opens_s }
        })
        .collect();
    let at = |rti: f64| 0.0469 * (95.0 + 14.0 * rti.powf(0.42)).powi(2);
    let mark = |rti: f64, label: &str| Marked { x: rti, y: at(rti), label: label.to_owned() };
    fire_size(
        "Fire at opening under a 6 m ceiling, fast growth",
        &points,
        &[
            (1.0, 50.0, "fast"),
            (50.0, 80.0, "special"),
            (80.0, 350.0, "standard"),
            (350.0, 2000.0, "slower than any class"),
        ],
        &[mark(50.0, "limit of a fast head"), mark(165.0, "clean"), mark(620.0, "painted")],
    )
}

/// Every sample with a name for its snapshots.
pub fn all() -> Vec<(&'static str, Plot)> {
    vec![
        ("times", times()),
        ("times-mixed", mixed_times()),
        ("times-many", many_times()),
        ("survival", groups()),
        ("survival-three", three_groups()),
        ("odds", odds()),
        ("due", due()),
        ("fire", fire()),
    ]
}
