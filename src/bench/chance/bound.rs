//! What a sample's result still allows: exact bounds on the share of bad heads, and on their number in a lot.

use super::draw::{Draw, check_sample};
use super::special::{last_that, ln_binomial, root};
use super::{TIE, check_confidence};

/// Both ends of an interval, as shares from 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// The lower end.
    pub lower: f64,
    /// The upper end.
    pub upper: f64,
}

fn check(sample: u32, failed: u32, confidence: f64) -> Result<(), String> {
    if sample == 0 {
        return Err("a sample of no heads shows nothing; draw at least one".to_owned());
    }
    if failed > sample {
        return Err(format!("{failed} failures are more than the {sample} heads of the sample; give at most {sample}"));
    }
    check_confidence(confidence)
}

/// P(x or fewer of n) at chance p, q = 1 − p, for x below n; added up on the side where terms fall, which keeps the digits of a
/// small tail.
fn at_most(x: f64, n: f64, p: f64, q: f64) -> f64 {
    if x + 1.0 > n * p { 1.0 - downwards(n - x - 1.0, n, q, p) } else { downwards(x, n, p, q) }
}

fn downwards(x: f64, n: f64, p: f64, q: f64) -> f64 {
    let (mut term, mut at) = (ln_binomial(x, n, p, q).exp(), x);
    let mut sum = term;
    while at > 0.0 && term > sum * 1e-18 {
        term *= at * q / ((n - at + 1.0) * p);
        sum += term;
        at -= 1.0;
    }
    sum
}

/// The share p at which P(x or fewer of n) has fallen to `left`, and 1 − p; for x below n. Sought by the logarithm of p / q, so that
/// shares near 0 and near 1 keep their digits.
fn share_at(x: f64, n: f64, left: f64) -> (f64, f64) {
    if x == 0.0 {
        let ln = left.ln() / n;
        return (-ln.exp_m1(), ln.exp());
    }
    let shares = |odds: f64| (1.0 / (1.0 + (-odds).exp()), 1.0 / (1.0 + odds.exp()));
    shares(root(-80.0, 80.0, |odds| {
        let (p, q) = shares(odds);
        at_most(x, n, p, q) > left
    }))
}

fn upper(sample: u32, failed: u32, left: f64) -> f64 {
    if failed == sample { 1.0 } else { share_at(f64::from(failed), f64::from(sample), left).0 }
}

fn lower(sample: u32, failed: u32, left: f64) -> f64 {
    // What is said of the failures from below is said of the others from above.
    if failed == 0 { 0.0 } else { share_at(f64::from(sample - failed), f64::from(sample), left).1 }
}

/// The largest share of bad heads, 0 to 1, that so many failures in a sample do not exclude with this confidence: the one-sided
/// bound of Clopper and Pearson (Biometrika 26, 1934, 404–413), which takes the lot as without end.
///
/// # Errors
/// A sentence: an empty sample, more failures than heads, a confidence that is none.
pub fn upper_bound(sample: u32, failed: u32, confidence: f64) -> Result<f64, String> {
    check(sample, failed, confidence)?;
    Ok(upper(sample, failed, 1.0 - confidence))
}

/// The two-sided interval of Clopper and Pearson for the share of bad heads; half of what is left of the confidence lies at each end.
///
/// # Errors
/// As [`upper_bound`].
pub fn interval(sample: u32, failed: u32, confidence: f64) -> Result<Interval, String> {
    check(sample, failed, confidence)?;
    let left = (1.0 - confidence) / 2.0;
    Ok(Interval { lower: lower(sample, failed, left), upper: upper(sample, failed, left) })
}

/// The largest number of bad heads in a lot, those of the sample included, that the result does not exclude: with one more, so few
/// failures or fewer would come by chance less often than the confidence leaves.
///
/// # Errors
/// As [`upper_bound`]; a sample larger than the lot.
pub fn upper_heads(heads: u32, sample: u32, failed: u32, confidence: f64) -> Result<u32, String> {
    check(sample, failed, confidence)?;
    check_sample(heads, sample)?;
    let left = (1.0 - confidence) * (1.0 - TIE);
    let most = heads - (sample - failed);
    let allowed = |bad: u32| Draw::new(heads, bad, sample).is_ok_and(|d| d.split(f64::from(failed)).0 >= left);
    Ok(last_that(failed, most, allowed).unwrap_or(failed))
}

/// The smallest sample that, with this confidence, holds at least one of so many bad heads.
///
/// # Errors
/// A sentence: no heads, no bad head (nothing could be met), more bad heads than heads, a confidence that is none.
pub fn smallest_sample(heads: u32, bad: u32, confidence: f64) -> Result<u32, String> {
    check_confidence(confidence)?;
    if bad == 0 {
        return Err("where no head is bad, no sample meets a bad one; give at least one".to_owned());
    }
    Draw::new(heads, bad, 1)?;
    let left = (1.0 - confidence) * (1.0 + TIE);
    let misses = |sample: u32| Draw::new(heads, bad, sample).is_ok_and(|d| d.exactly(0.0) > left);
    Ok(last_that(1, heads, misses).map_or(1, |n| n.saturating_add(1).min(heads)))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn bounds_of_the_published_table_hold() {
        // Clopper and Pearson's method; figures to six digits by an independent library.
        for (failed, sample, low, high, one_sided) in [
            (0, 4, 0.0, 0.602_365, 0.527_129),
            (1, 4, 0.006_309, 0.805_880, 0.751_395),
            (2, 10, 0.025_211, 0.556_095, 0.506_901),
            (3, 100, 0.006_230, 0.085_176, 0.075_711),
            (4, 400, 0.002_731, 0.025_405, 0.022_737),
        ] {
            let both = interval(sample, failed, 0.95).unwrap();
            let one = upper_bound(sample, failed, 0.95).unwrap();
            for (is, should) in [(both.lower, low), (both.upper, high), (one, one_sided)] {
                assert!((is - should).abs() < 6e-7, "{failed}/{sample}: {is} {should}");
            }
        }
    }

    #[test]
    fn samples_without_a_failure_for_a_wanted_reliability() {
        // Zero-failure sample sizes at 95 %: 29, 59, 299 and 2995 heads for 0.90, 0.95, 0.99 and 0.999 (tables of acceptance sampling).
        for (sample, share) in [(29, 0.10), (59, 0.05), (299, 0.01), (2995, 0.001)] {
            assert!(upper_bound(sample, 0, 0.95).unwrap() <= share);
            assert!(upper_bound(sample - 1, 0, 0.95).unwrap() > share);
        }
    }

    #[test]
    fn a_lot_that_is_drawn_whole_leaves_no_doubt() {
        assert_eq!(upper_heads(40, 40, 0, 0.95).unwrap(), 0);
        assert_eq!(upper_heads(40, 40, 3, 0.95).unwrap(), 3);
        assert_eq!(upper_heads(40, 4, 4, 0.95).unwrap(), 40);
        assert_eq!(upper_bound(4, 4, 0.95).unwrap(), 1.0);
        assert_eq!(smallest_sample(40, 40, 0.95).unwrap(), 1);
    }

    #[test]
    fn a_chance_of_exactly_what_is_left_counts_to_the_safe_side() {
        // One drawn of twenty: nineteen bad leave a clean head with chance one in twenty, exactly what 95 % leaves.
        assert_eq!(upper_heads(20, 1, 0, 0.95).unwrap(), 19);
        assert_eq!(smallest_sample(100, 1, 0.95).unwrap(), 95);
    }

    #[test]
    fn what_cannot_be_bounded_gets_a_sentence() {
        assert!(upper_bound(0, 0, 0.95).is_err());
        assert!(upper_bound(4, 5, 0.95).is_err());
        for confidence in [0.0, 1.0, 95.0, -0.5, f64::NAN, f64::INFINITY] {
            assert!(upper_bound(4, 0, confidence).unwrap_err().contains("0.95"));
        }
        assert!(upper_heads(3, 4, 0, 0.95).unwrap_err().contains("more than the 3"));
        assert!(smallest_sample(10, 0, 0.95).is_err());
        assert!(smallest_sample(10, 11, 0.95).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn one_bad_head_more_than_the_bound_is_excluded_and_the_bound_is_not(
            (heads, sample, failed) in (1_u32..600).prop_flat_map(|n| (Just(n), 1..=n)).prop_flat_map(|(n, s)| (Just(n), Just(s), 0..=s)),
            confidence in 0.5_f64..0.999
        ) {
            let bad = upper_heads(heads, sample, failed, confidence).unwrap();
            prop_assert!(bad >= failed && bad <= heads - (sample - failed));
            let chance = |bad| super::super::draw::at_most(heads, bad, sample, failed).unwrap();
            prop_assert!(chance(bad) >= (1.0 - confidence) * (1.0 - 1e-9));
            if bad < heads - (sample - failed) {
                prop_assert!(chance(bad + 1) < 1.0 - confidence);
            }
        }

        #[test]
        fn intervals_hold_the_share_that_was_seen_and_shrink_with_the_sample(sample in 1_u32..3_000, part in 0.0_f64..1.0) {
            let failed = (f64::from(sample) * part) as u32;
            let share = f64::from(failed) / f64::from(sample);
            let small = interval(sample, failed, 0.9).unwrap();
            prop_assert!(small.lower <= share && share <= small.upper);
            let large = interval(sample * 4, failed * 4, 0.9).unwrap();
            prop_assert!(large.upper - large.lower < small.upper - small.lower);
            // Counting what passed instead turns the interval about.
            let other = interval(sample, sample - failed, 0.9).unwrap();
            prop_assert!((small.lower + other.upper - 1.0).abs() < 1e-12);
        }
    }
}
