//! The statistics against general libraries: every figure of tests/reference/statistics.json, which scipy and lifelines made on
//! published data and on random data, to one part in a thousand million. How it is made anew stands in
//! tests/reference/statistics.py.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

use headround::bench::chance::{self, Estimate, Time};
use serde_json::Value;

const CLOSE: f64 = 1e-9;

fn reference() -> Value {
    serde_json::from_str(include_str!("reference/statistics.json")).unwrap()
}

/// The cases of a part, of which there are at least so many.
fn cases(whole: &Value, part: &str, least: usize) -> Vec<Value> {
    let list = whole[part].as_array().unwrap().clone();
    assert!(list.len() >= least, "{part} has {} cases", list.len());
    list
}

fn number(of: &Value, key: &str) -> f64 {
    of[key].as_f64().unwrap_or_else(|| panic!("{key} of {of}"))
}

fn count(of: &Value, key: &str) -> u32 {
    u32::try_from(of[key].as_u64().unwrap_or_else(|| panic!("{key} of {of}"))).unwrap()
}

/// Holds two figures to one part in a thousand million of the larger.
fn same(is: f64, should: f64, about: &str) {
    assert!((is - should).abs() <= CLOSE * is.abs().max(should.abs()), "{is:e} should be {should:e}: {about}");
}

#[test]
fn the_reference_names_the_libraries_that_made_it() {
    let whole = reference();
    for library in ["scipy", "lifelines"] {
        let version = whole["made_with"][library].as_str().unwrap();
        let pinned = format!("{library}=={version}");
        assert!(include_str!("reference/statistics.py").contains(&pinned), "the script's head says {pinned}");
        assert!(include_str!("../.ci/run").contains(&pinned), "CI installs {pinned}");
    }
}

#[test]
fn draws_without_putting_back_are_scipys() {
    for case in cases(&reference(), "draws", 150) {
        let [heads, bad, sample, found] = ["heads", "bad", "sample", "found"].map(|key| count(&case, key));
        let about = case.to_string();
        same(chance::pmf(heads, bad, sample, found).unwrap(), number(&case, "pmf"), &about);
        same(chance::at_most(heads, bad, sample, found).unwrap(), number(&case, "at_most"), &about);
        if found == 0 {
            same(chance::none_bad(heads, bad, sample).unwrap(), number(&case, "pmf"), &about);
            same(chance::at_least_one(heads, bad, sample).unwrap(), number(&case, "more"), &about);
        }
    }
}

#[test]
fn bounds_on_the_share_are_scipys() {
    for case in cases(&reference(), "bounds", 140) {
        let (sample, failed, confidence) =
            (count(&case, "sample"), count(&case, "failed"), number(&case, "confidence"));
        let about = case.to_string();
        same(chance::upper_bound(sample, failed, confidence).unwrap(), number(&case, "upper"), &about);
        let both = chance::interval(sample, failed, confidence).unwrap();
        same(both.lower, number(&case, "low"), &about);
        same(both.upper, number(&case, "high"), &about);
    }
}

#[test]
fn bounds_on_the_number_and_smallest_samples_are_those_of_whole_numbers() {
    let whole = reference();
    for case in cases(&whole, "lots", 60) {
        let [heads, sample, failed] = ["heads", "sample", "failed"].map(|key| count(&case, key));
        let is = chance::upper_heads(heads, sample, failed, number(&case, "confidence")).unwrap();
        assert_eq!(is, count(&case, "upper_heads"), "{case}");
    }
    for case in cases(&whole, "smallest", 60) {
        let is = chance::smallest_sample(count(&case, "heads"), count(&case, "bad"), number(&case, "confidence"));
        assert_eq!(is.unwrap(), count(&case, "sample"), "{case}");
    }
}

#[test]
fn comparisons_of_two_groups_are_scipys() {
    for case in cases(&reference(), "fisher", 100) {
        let table: Vec<u32> = serde_json::from_value(case["table"].clone()).unwrap();
        same(chance::fisher(table[0], table[1], table[2], table[3]).unwrap(), number(&case, "p"), &case.to_string());
    }
}

fn times(group: &Value) -> Vec<Time> {
    let list: Vec<(f64, bool)> = serde_json::from_value(group.clone()).unwrap();
    list.into_iter().map(|(seconds, opened)| Time { seconds, opened }).collect()
}

#[test]
fn curves_and_medians_are_those_of_lifelines() {
    for case in cases(&reference(), "survival", 15) {
        let name = case["name"].as_str().unwrap();
        for (group, told) in case["groups"].as_array().unwrap().iter().zip(case["curves"].as_array().unwrap()) {
            let curve = chance::kaplan_meier(&times(group)).unwrap();
            assert_eq!(curve.median, told["median"].as_f64(), "{name}");
            let steps = told["steps"].as_array().unwrap();
            assert_eq!(curve.steps.len(), steps.len(), "{name}");
            for (step, told) in curve.steps.iter().zip(steps) {
                let about = format!("{name}: {told}");
                assert_eq!(step.seconds, number(told, "t"), "{about}");
                let counts = [step.at_risk, step.opened, step.censored].map(|n| u32::try_from(n).unwrap());
                assert_eq!(counts, ["at_risk", "opened", "censored"].map(|key| count(told, key)), "{about}");
                same(step.survival, number(told, "survival"), &about);
                assert_eq!(step.band.map(|_| ()), told["low"].as_f64().map(|_| ()), "{about}");
                if let Some((low, high)) = step.band {
                    same(low, number(told, "low"), &about);
                    same(high, number(told, "high"), &about);
                }
            }
        }
    }
}

#[test]
fn comparisons_of_curves_are_those_of_lifelines() {
    for case in cases(&reference(), "survival", 15) {
        let groups: Vec<Vec<Time>> = case["groups"].as_array().unwrap().iter().map(times).collect();
        let it = chance::log_rank(&groups.iter().map(Vec::as_slice).collect::<Vec<_>>()).unwrap();
        let (told, about) = (&case["log_rank"], case["name"].as_str().unwrap());
        same(it.chi2, number(told, "chi2"), about);
        same(it.p, number(told, "p"), about);
        assert_eq!(u32::try_from(it.df).unwrap(), count(told, "df"), "{about}");
    }
}

/// Freireich and others, Blood 21 (1963) 699–716: shares, Greenwood's errors, medians, expected numbers and the statistic of the
/// set that textbooks print, to the digits printed.
#[test]
fn the_textbook_figures_of_the_remission_times_hold() {
    let whole = reference();
    let case = &whole["survival"][0];
    assert!(case["name"].as_str().unwrap().contains("Freireich"));
    let (treated, placebo) = (times(&case["groups"][0]), times(&case["groups"][1]));
    let curve = chance::kaplan_meier(&treated).unwrap();
    let printed = [
        (6.0, 21, 3, 0.857_143, 0.076_360),
        (7.0, 17, 1, 0.806_723, 0.086_935),
        (10.0, 15, 1, 0.752_941, 0.096_350),
        (13.0, 12, 1, 0.690_196, 0.106_815),
        (16.0, 11, 1, 0.627_451, 0.114_054),
        (22.0, 7, 1, 0.537_815, 0.128_234),
        (23.0, 6, 1, 0.448_179, 0.134_591),
    ];
    let ended: Vec<_> = curve.steps.iter().filter(|s| s.opened > 0).collect();
    assert_eq!(ended.len(), printed.len());
    for (step, (t, at_risk, events, share, error)) in ended.into_iter().zip(printed) {
        assert_eq!((step.seconds, step.at_risk, step.opened), (t, at_risk, events));
        assert!((step.survival - share).abs() < 6e-7 && (step.error.unwrap() - error).abs() < 6e-7, "{step:?}");
    }
    assert_eq!((curve.median, curve.heads, curve.opened), (Some(23.0), 21, 9));
    assert_eq!(chance::kaplan_meier(&placebo).unwrap().median, Some(8.0));
    let it = chance::log_rank(&[&treated, &placebo]).unwrap();
    assert!((it.chi2 - 16.792_941).abs() < 6e-7 && (it.p / 4.168_809e-5 - 1.0).abs() < 2e-7, "{it:?}");
    assert_eq!((it.df, it.sides[0].observed, it.sides[1].observed), (1, 9.0, 21.0));
    assert!((it.sides[0].expected - 19.250_501).abs() < 6e-7 && (it.sides[1].expected - 10.749_499).abs() < 6e-7);
}

#[test]
fn agreement_of_two_benches_is_what_numpy_and_scipy_say() {
    for case in cases(&reference(), "agreement", 20) {
        let pairs: Vec<(f64, f64)> = serde_json::from_value(case["pairs"].clone()).unwrap();
        let it = chance::agreement(&pairs, number(&case, "confidence")).unwrap();
        let about = case.to_string();
        // A small difference of larger figures keeps as many digits as those have.
        let scale = it.spread.max(it.bias.value.abs());
        for (is, key) in [(it.bias, "bias"), (it.low, "low"), (it.high, "high")] {
            let Estimate { value, lower, upper } = is;
            for (is, at) in [value, lower, upper].into_iter().zip(0..) {
                let should = case[key][at].as_f64().unwrap();
                assert!((is - should).abs() <= CLOSE * scale, "{key} {is} {should}: {about}");
            }
        }
        same(it.spread, number(&case, "spread"), &about);
        same(it.concordance.unwrap(), number(&case, "concordance"), &about);
        same(it.correlation.unwrap(), number(&case, "correlation"), &about);
    }
}

/// Chances that a sample of four or one in a hundred meets a bad head, worked out in whole numbers to six digits.
#[test]
fn a_sample_of_one_in_a_hundred_meets_a_bad_head_as_seldom_as_it_does() {
    for (heads, sample, met) in [
        (100, 4, [(1, 0.040_000), (10, 0.348_369), (50, 0.941_268)]),
        (400, 4, [(4, 0.039_550), (40, 0.344_999), (200, 0.938_439)]),
        (401, 5, [(4, 0.049_131), (40, 0.410_336), (200, 0.969_143)]),
        (1000, 10, [(10, 0.096_032), (100, 0.653_072), (500, 0.999_067)]),
        (2000, 20, [(20, 0.182_883), (200, 0.879_709), (1000, 0.999_999)]),
        (5000, 50, [(50, 0.396_499), (250, 0.924_048), (500, 0.994_986)]),
    ] {
        for (bad, should) in met {
            let is = chance::at_least_one(heads, bad, sample).unwrap();
            assert!((is - should).abs() < 6e-7, "{heads} {bad}: {is}");
        }
    }
}
