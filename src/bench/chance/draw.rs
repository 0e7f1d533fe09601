//! Drawing heads without putting them back: the hypergeometric distribution.

use super::special::{last_that, ln_binomial};

/// A lot, what is bad in it, and how many heads are drawn.
#[derive(Clone, Copy, Debug)]
pub(super) struct Draw {
    heads: f64,
    bad: f64,
    sample: f64,
}

impl Draw {
    pub(super) fn new(heads: u32, bad: u32, sample: u32) -> Result<Self, String> {
        if heads == 0 {
            return Err("a lot without heads has nothing to draw; give the number of heads it has".to_owned());
        }
        if bad > heads {
            return Err(format!("{bad} bad heads are more than the {heads} of the lot; give at most {heads}"));
        }
        check_sample(heads, sample)?;
        Ok(Self { heads: f64::from(heads), bad: f64::from(bad), sample: f64::from(sample) })
    }

    const fn least(self) -> f64 {
        (self.sample + self.bad - self.heads).max(0.0)
    }

    const fn most(self) -> f64 {
        self.sample.min(self.bad)
    }

    /// P(exactly x bad heads in the sample), as three binomials at the sampled share (Loader 2000).
    pub(super) fn exactly(self, x: f64) -> f64 {
        if x < self.least() || x > self.most() {
            return 0.0;
        }
        let (p, q) = (self.sample / self.heads, (self.heads - self.sample) / self.heads);
        let good = self.heads - self.bad;
        let ln = ln_binomial(x, self.bad, p, q) + ln_binomial(self.sample - x, good, p, q)
            - ln_binomial(self.sample, self.heads, p, q);
        ln.exp().min(1.0)
    }

    /// P(x − 1) / P(x).
    fn before(self, x: f64) -> f64 {
        x * (self.heads - self.bad - self.sample + x) / ((self.bad - x + 1.0) * (self.sample - x + 1.0))
    }

    /// P(x bad heads or fewer) and P(more than x), each added up where it is the smaller, so that both keep their digits.
    pub(super) fn split(self, x: f64) -> (f64, f64) {
        if x < self.least() {
            return (0.0, 1.0);
        }
        if x >= self.most() {
            return (1.0, 0.0);
        }
        // Away from the mean every further term is smaller.
        if (x + 1.0) * self.heads <= self.sample * self.bad {
            let (mut term, mut at) = (self.exactly(x), x);
            let mut sum = term;
            while at > self.least() && term > sum * 1e-18 {
                term *= self.before(at);
                sum += term;
                at -= 1.0;
            }
            let sum = sum.min(1.0);
            (sum, 1.0 - sum)
        } else {
            let mut at = x + 1.0;
            let mut term = self.exactly(at);
            let mut sum = term;
            while at < self.most() && term > sum * 1e-18 {
                at += 1.0;
                term /= self.before(at);
                sum += term;
            }
            let sum = sum.min(1.0);
            (1.0 - sum, sum)
        }
    }
}

/// Looks whether so many heads can be drawn from a lot.
pub(super) fn check_sample(heads: u32, sample: u32) -> Result<(), String> {
    match sample {
        0 => Err("a sample of no heads shows nothing; draw at least one".to_owned()),
        n if n > heads => {
            Err(format!("a sample of {n} heads is more than the {heads} of the lot; draw at most {heads}"))
        }
        _ => Ok(()),
    }
}

/// The chance, 0 to 1, that a sample drawn at random from a lot of which so many heads are bad holds none of the bad ones.
///
/// # Errors
/// A sentence: no heads, more bad heads than heads, a sample of none or larger than the lot.
pub fn none_bad(heads: u32, bad: u32, sample: u32) -> Result<f64, String> {
    Ok(Draw::new(heads, bad, sample)?.exactly(0.0))
}

/// The chance that the sample holds at least one of the bad heads.
///
/// # Errors
/// As [`none_bad`].
pub fn at_least_one(heads: u32, bad: u32, sample: u32) -> Result<f64, String> {
    Ok(Draw::new(heads, bad, sample)?.split(0.0).1)
}

/// The chance that the sample holds exactly `found` of the bad heads (hypergeometric distribution).
///
/// # Errors
/// As [`none_bad`].
pub fn pmf(heads: u32, bad: u32, sample: u32, found: u32) -> Result<f64, String> {
    Ok(Draw::new(heads, bad, sample)?.exactly(f64::from(found)))
}

/// The chance that the sample holds `found` of the bad heads or fewer.
///
/// # Errors
/// As [`none_bad`].
pub fn at_most(heads: u32, bad: u32, sample: u32, found: u32) -> Result<f64, String> {
    Ok(Draw::new(heads, bad, sample)?.split(f64::from(found)).0)
}

/// A curve's tail below this chance is told by its last point alone.
const FLAT: f64 = 1e-3;

/// The operating-characteristic curve of a sample rule: for rising numbers of bad heads in the lot, the chance that the sample
/// passes, which is when it holds `accept` bad heads or fewer. At most `points` points, 2 or more, from no bad head to all bad;
/// they stand close where the chance still falls.
///
/// # Errors
/// As [`none_bad`]; a rule that accepts as many as it draws; fewer than two points.
pub fn operating_characteristic(
    heads: u32,
    sample: u32,
    accept: u32,
    points: usize,
) -> Result<Vec<(u32, f64)>, String> {
    Draw::new(heads, 0, sample)?;
    if accept >= sample {
        return Err(format!(
            "a rule that accepts {accept} failures in a sample of {sample} accepts every lot; accept fewer than {sample}"
        ));
    }
    if points < 2 {
        return Err("a curve has at least two points; ask for more".to_owned());
    }
    let passes = |bad: u32| at_most(heads, bad, sample, accept);
    let steep = last_that(0, heads, |bad| passes(bad).is_ok_and(|p| p >= FLAT)).unwrap_or(0);
    let end = steep.saturating_add(1).min(heads);
    // The last point is kept for the lot of bad heads only.
    let spans = u64::try_from(points - 1).unwrap_or(u64::MAX).saturating_sub(u64::from(end < heads)).max(1);
    let mut at: Vec<u32> = Vec::new();
    let spans = spans.min(u64::from(end));
    for i in 0..=spans {
        at.push(u32::try_from(u64::from(end) * i / spans.max(1)).unwrap_or(end));
    }
    at.push(heads);
    at.dedup();
    if at.len() > points {
        at = vec![0, heads];
    }
    at.into_iter().map(|bad| Ok((bad, passes(bad)?))).collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn a_hand_count_of_twenty_heads_holds() {
        // C(5, x)·C(15, 4 − x) / C(20, 4): counted by hand.
        let ways = [1365.0, 2275.0, 1050.0, 150.0, 5.0];
        for (found, ways) in (0..).zip(ways) {
            let p = pmf(20, 5, 4, found).unwrap();
            assert!((p * 4845.0 / ways - 1.0).abs() < 1e-13, "{found}: {p}");
        }
        assert!((none_bad(400, 1, 4).unwrap() - 0.99).abs() < 1e-15);
        assert!((at_least_one(1_000_000, 1, 4).unwrap() / 4e-6 - 1.0).abs() < 1e-13);
    }

    #[test]
    fn what_cannot_be_drawn_gets_a_sentence() {
        for (heads, bad, sample) in [(0, 0, 0), (10, 11, 4), (10, 1, 11), (10, 1, 0)] {
            let sentence = none_bad(heads, bad, sample).unwrap_err();
            assert!(sentence.contains(' ') && !sentence.ends_with('.'), "{sentence}");
        }
        assert!(operating_characteristic(10, 4, 4, 10).is_err());
        assert!(operating_characteristic(10, 4, 0, 1).is_err());
    }

    #[test]
    fn certainties_are_exact() {
        assert_eq!(none_bad(10, 0, 4).unwrap(), 1.0);
        assert_eq!(none_bad(10, 10, 4).unwrap(), 0.0);
        assert_eq!(none_bad(10, 7, 4).unwrap(), 0.0);
        assert_eq!(none_bad(10, 3, 10).unwrap(), 0.0);
        assert_eq!(at_least_one(10, 0, 4).unwrap(), 0.0);
        assert_eq!(at_least_one(10, 7, 4).unwrap(), 1.0);
        assert_eq!(none_bad(1, 0, 1).unwrap(), 1.0);
    }

    #[test]
    fn the_largest_lots_give_numbers() {
        for bad in [0, 1, 1_000, u32::MAX / 2, u32::MAX] {
            for sample in [1, 4, 1_000_000, u32::MAX] {
                let p = at_most(u32::MAX, bad, sample, sample / 2).unwrap();
                assert!((0.0..=1.0).contains(&p), "{bad} {sample}: {p}");
            }
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn all_outcomes_together_are_certain_and_drawing_may_be_turned_about(
            (heads, bad, sample) in (1_u32..400).prop_flat_map(|n| (Just(n), 0..=n, 1..=n))
        ) {
            let all: f64 = (0..=sample).map(|x| pmf(heads, bad, sample, x).unwrap()).sum();
            prop_assert!((all - 1.0).abs() < 1e-11, "{all}");
            // Which heads are drawn and which are bad may change places.
            if bad > 0 {
                for x in 0..=bad.min(sample) {
                    let (one, other) = (pmf(heads, bad, sample, x).unwrap(), pmf(heads, sample, bad, x).unwrap());
                    prop_assert!((one - other).abs() <= 1e-11 * one.max(other), "{x}: {one} {other}");
                }
            }
            let mut sum = 0.0;
            for x in 0..=sample {
                sum += pmf(heads, bad, sample, x).unwrap();
                prop_assert!((at_most(heads, bad, sample, x).unwrap() - sum).abs() < 1e-11);
            }
        }

        #[test]
        fn curves_fall_from_one_and_have_no_more_points_than_asked(
            (heads, sample) in (1_u32..5_000).prop_flat_map(|n| (Just(n), 1..=n)), accept in 0_u32..3, points in 2_usize..60
        ) {
            prop_assume!(accept < sample);
            let curve = operating_characteristic(heads, sample, accept, points).unwrap();
            prop_assert!(curve.len() <= points && curve.len() >= 2);
            prop_assert_eq!(curve.first().copied(), Some((0, 1.0)));
            prop_assert_eq!(curve.last().map(|p| p.0), Some(heads));
            for pair in curve.windows(2) {
                prop_assert!(pair[0].0 < pair[1].0 && pair[0].1 >= pair[1].1, "{pair:?}");
            }
        }
    }
}
