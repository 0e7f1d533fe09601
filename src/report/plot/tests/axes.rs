//! Axes: ticks stand at round values, on the axis, and say what they mean.

use chrono::{Datelike as _, NaiveDate};
use proptest::prelude::*;

use crate::report::plot::{Axis, Scale};

fn dates(from: &str, to: &str, most: usize) -> Vec<String> {
    let day = |t: &str| f64::from(t.parse::<NaiveDate>().unwrap().num_days_from_ce());
    Axis::new("", Scale::Date, day(from), day(to)).ticks(most).into_iter().map(|t| t.text).collect()
}

#[test]
fn linear_ticks_are_round() {
    let texts = |from, to, most| {
        let ticks = Axis::new("", Scale::Linear, from, to).ticks(most);
        ticks.into_iter().map(|t| t.text).collect::<Vec<_>>()
    };
    assert_eq!(texts(0.0, 150.0, 4), ["0", "50", "100", "150"]);
    assert_eq!(texts(0.0, 1.0, 5), ["0", "0.2", "0.4", "0.6", "0.8", "1"]);
    assert_eq!(texts(-3.0, 3.0, 3), ["-2", "0", "2"]);
    assert_eq!(texts(0.0, 25_000.0, 5), ["0", "5000", "10000", "15000", "20000", "25000"]);
}

#[test]
fn logarithmic_ticks_are_what_people_expect() {
    let ticks = Axis::new("", Scale::Log, 10.0, 1000.0).ticks(8);
    assert_eq!(
        ticks.iter().map(|t| t.text.as_str()).collect::<Vec<_>>(),
        ["10", "20", "50", "100", "200", "500", "1000"]
    );
    let axis = Axis::new("", Scale::Log, 10.0, 1000.0);
    assert!((axis.place(100.0).unwrap() - 0.5).abs() < 1e-12);
    assert_eq!(axis.place(0.0), None);
    assert_eq!(axis.place(-5.0), None);
}

#[test]
fn ticks_of_dates_are_firsts_of_months_or_years() {
    assert_eq!(dates("2026-11-28", "2028-11-28", 3), ["2027", "2028"]);
    assert_eq!(dates("2026-11-28", "2027-11-28", 4), ["2027-01", "2027-04", "2027-07", "2027-10"]);
    assert_eq!(dates("2026-11-28", "2027-01-05", 4), ["2026-12", "2027-01"]);
    assert_eq!(dates("1988-01-01", "2033-01-01", 6), ["1990", "2000", "2010", "2020", "2030"]);
}

#[test]
fn an_axis_without_length_is_mended() {
    for scale in [Scale::Linear, Scale::Log, Scale::Date] {
        for (from, to) in [(5.0, 5.0), (5.0, 1.0), (f64::NAN, f64::INFINITY), (0.0, 0.0), (-1.0, -1.0), (1e300, 1e300)]
        {
            let axis = Axis::new("", scale, from, to);
            assert!(axis.from.is_finite() && axis.to.is_finite() && axis.from < axis.to, "{axis:?}");
            assert!(scale != Scale::Log || axis.from > 0.0, "{axis:?}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn ticks_lie_on_the_axis_in_order_and_tell_their_value(from in -1e6..1e6_f64, long in 1e-3..1e6_f64, most in 2..20_usize, log: bool) {
        let (scale, from) = if log { (Scale::Log, from.abs() + 1e-3) } else { (Scale::Linear, from) };
        let axis = Axis::new("", scale, from, from + long);
        let ticks = axis.ticks(most);
        prop_assert!(ticks.len() <= most + 1, "{:?}", ticks);
        prop_assert!(log || !ticks.is_empty());
        for tick in &ticks {
            prop_assert!(axis.inside(tick.at).is_some(), "{:?} on {:?}", tick, axis);
            let told: f64 = tick.text.parse().unwrap();
            prop_assert!((told - tick.at).abs() <= (axis.to - axis.from) * 1e-6 + 1e-9 * tick.at.abs(), "{:?}", tick);
        }
        for pair in ticks.windows(2) {
            prop_assert!(pair[0].at < pair[1].at && pair[0].text != pair[1].text, "{:?}", pair);
        }
    }
}
