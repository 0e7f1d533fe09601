//! Curves of times: which share of the heads has not opened yet, where some never did.

use super::special::normal_within;
use super::{TIE, USUAL_CONFIDENCE, check_confidence};

/// How long one head was under test.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Time {
    /// In s, 0 or more: until it opened or, if it did not, until one stopped waiting.
    pub seconds: f64,
    /// Whether it opened.
    pub opened: bool,
}

/// A time at which heads opened or were no longer waited for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// In s.
    pub seconds: f64,
    /// Heads still under test just before; those that end at this time are among them.
    pub at_risk: usize,
    /// Heads that opened.
    pub opened: usize,
    /// Heads that had not opened and were no longer waited for; they count as at risk up to this time.
    pub censored: usize,
    /// The share that has not opened behind this time, 0 to 1 (Kaplan and Meier, J. Am. Stat. Assoc. 53, 1958, 457–481).
    pub survival: f64,
    /// Its standard error (Greenwood 1926); `None` where the share is 0, for which the formula has no value.
    pub error: Option<f64>,
    /// The confidence band at this time, by the logarithm of the logarithm; `None` where the share is 1 or 0.
    pub band: Option<(f64, f64)>,
}

/// The curve of one group.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// Rising times.
    pub steps: Vec<Step>,
    /// The time in s by which half of the heads have opened; `None`: it was not reached.
    pub median: Option<f64>,
    /// The earliest median that the confidence band allows; `None`: it was not reached.
    pub median_from: Option<f64>,
    /// The latest; `None`: without end.
    pub median_to: Option<f64>,
    /// How many heads.
    pub heads: usize,
    /// How many of them opened.
    pub opened: usize,
    /// The confidence of the band.
    pub confidence: f64,
}

/// Looks whether times are times, and puts them in order.
pub(super) fn sorted(times: &[Time]) -> Result<Vec<Time>, String> {
    if times.is_empty() {
        return Err("a group without times has no curve; give one time a head".to_owned());
    }
    if let Some(bad) = times.iter().find(|t| !t.seconds.is_finite() || t.seconds < 0.0) {
        return Err(format!("a head was not under test for {} s; give times of 0 or more", bad.seconds));
    }
    let mut list = times.to_vec();
    list.sort_by(|a, b| a.seconds.total_cmp(&b.seconds));
    Ok(list)
}

/// The curve of a group, with a band of 95 %.
///
/// # Errors
/// A sentence: no times, a time below 0 or without end.
pub fn kaplan_meier(times: &[Time]) -> Result<Curve, String> {
    kaplan_meier_with(times, USUAL_CONFIDENCE)
}

/// The curve of a group, with a band of the confidence that is asked for.
///
/// # Errors
/// As [`kaplan_meier`]; a confidence that is none.
pub fn kaplan_meier_with(times: &[Time], confidence: f64) -> Result<Curve, String> {
    check_confidence(confidence)?;
    let times = sorted(times)?;
    let z = normal_within(confidence);
    let (mut steps, mut at_risk) = (Vec::new(), times.len());
    let (mut survival, mut greenwood) = (1.0_f64, 0.0_f64);
    for together in times.chunk_by(|a, b| a.seconds == b.seconds) {
        let opened = together.iter().filter(|t| t.opened).count();
        let censored = together.len() - opened;
        let (risk, out) = (at_risk as f64, opened as f64);
        if opened == at_risk {
            survival = 0.0;
        } else {
            survival *= (risk - out) / risk;
            greenwood += out / (risk * (risk - out));
        }
        let within = survival > 0.0 && survival < 1.0;
        steps.push(Step {
            seconds: together.first().map_or(0.0, |t| t.seconds),
            at_risk,
            opened,
            censored,
            survival,
            error: (survival > 0.0).then(|| survival * greenwood.sqrt()),
            band: within.then(|| {
                let spread = (z * greenwood.sqrt() / survival.ln().abs()).exp();
                (survival.powf(spread), survival.powf(1.0 / spread))
            }),
        });
        at_risk -= together.len();
    }
    // A share of one half that was reached by several steps may have missed it by its last digit.
    let half = |share: f64| share <= 0.5 * (1.0 + TIE);
    let first = |of: &dyn Fn(&Step) -> bool| steps.iter().find(|s| of(s)).map(|s| s.seconds);
    let end = |s: &Step, pick: fn((f64, f64)) -> f64| s.band.map_or(s.survival, pick);
    Ok(Curve {
        median: first(&|s| half(s.survival)),
        median_from: first(&|s| half(end(s, |b| b.0))),
        median_to: first(&|s| half(end(s, |b| b.1))),
        heads: times.len(),
        opened: times.iter().filter(|t| t.opened).count(),
        confidence,
        steps,
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn times(list: &[(f64, bool)]) -> Vec<Time> {
        list.iter().map(|(seconds, opened)| Time { seconds: *seconds, opened: *opened }).collect()
    }

    #[test]
    fn heads_that_end_at_the_same_time_are_all_at_risk_until_then() {
        let curve = kaplan_meier(&times(&[(41.0, true), (66.0, false), (66.0, true), (150.0, false)])).unwrap();
        let told: Vec<_> =
            curve.steps.iter().map(|s| (s.seconds, s.at_risk, s.opened, s.censored, s.survival)).collect();
        assert_eq!(told, [(41.0, 4, 1, 0, 0.75), (66.0, 3, 1, 1, 0.5), (150.0, 1, 0, 1, 0.5)]);
        assert_eq!((curve.median, curve.heads, curve.opened), (Some(66.0), 4, 2));
    }

    #[test]
    fn a_group_of_which_none_opened_has_no_median() {
        let curve = kaplan_meier(&times(&[(150.0, false), (150.0, false)])).unwrap();
        assert_eq!((curve.median, curve.median_from, curve.median_to), (None, None, None));
        assert_eq!(curve.steps.first().map(|s| (s.survival, s.error, s.band)), Some((1.0, Some(0.0), None)));
    }

    #[test]
    fn a_group_of_which_all_opened_ends_at_nothing_without_an_error_bar() {
        let curve = kaplan_meier(&times(&[(9.0, true)])).unwrap();
        assert_eq!(curve.steps.first().map(|s| (s.survival, s.error, s.band)), Some((0.0, None, None)));
        assert_eq!(curve.median, Some(9.0));
    }

    #[test]
    fn what_is_no_time_gets_a_sentence() {
        for bad in [-1.0, f64::NAN, f64::INFINITY] {
            assert!(kaplan_meier(&times(&[(bad, true)])).unwrap_err().contains("0 or more"));
        }
        assert!(kaplan_meier(&[]).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn without_censoring_the_curve_is_the_share_that_is_still_shut(list in prop::collection::vec(0_u8..40, 1..60)) {
            let all: Vec<Time> = list.iter().map(|s| Time { seconds: f64::from(*s), opened: true }).collect();
            for step in kaplan_meier(&all).unwrap().steps {
                let shut = list.iter().filter(|s| f64::from(**s) > step.seconds).count();
                prop_assert!((step.survival - shut as f64 / list.len() as f64).abs() < 1e-12);
            }
        }

        #[test]
        fn curves_never_rise_and_lie_within_their_bands(list in prop::collection::vec((0_u8..90, any::<bool>()), 1..80)) {
            let all: Vec<Time> = list.iter().map(|(s, o)| Time { seconds: f64::from(*s), opened: *o }).collect();
            let curve = kaplan_meier(&all).unwrap();
            prop_assert_eq!(curve.steps.iter().map(|s| s.opened + s.censored).sum::<usize>(), list.len());
            let mut before = 1.0;
            for step in &curve.steps {
                prop_assert!(step.survival <= before && step.survival >= 0.0);
                before = step.survival;
                if let Some((low, high)) = step.band {
                    prop_assert!(0.0 <= low && low <= step.survival && step.survival <= high && high <= 1.0);
                }
            }
        }
    }
}
