//! Whether groups of times differ: the log-rank test.

use super::special::chi_squared_beyond;
use super::survival::{Time, sorted};

/// What one group came to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Side {
    /// Heads that opened.
    pub observed: f64,
    /// Heads that would have, did all groups open alike.
    pub expected: f64,
}

/// What the comparison came to.
#[derive(Clone, Debug, PartialEq)]
pub struct LogRank {
    /// The statistic.
    pub chi2: f64,
    /// Its degrees of freedom: one less than the groups that can be compared.
    pub df: usize,
    /// The chance, 0 to 1, of groups that open alike differing as much.
    pub p: f64,
    /// The groups, in the order in which they were handed in.
    pub sides: Vec<Side>,
}

/// A variance below this part of what it was at first is what rounding left of none.
const NOTHING: f64 = 1e-10;

/// The log-rank test of two or more groups (Mantel, Cancer Chemother. Rep. 50, 1966, 163–170), with the hypergeometric variance,
/// which takes heads that open at the same time into account.
///
/// # Errors
/// A sentence: fewer than two groups, a group without times, bad times, or groups of which never two were under test when a head
/// opened, or all that were opened at once.
pub fn log_rank(groups: &[&[Time]]) -> Result<LogRank, String> {
    if groups.len() < 2 {
        return Err("a comparison needs at least two groups; give another".to_owned());
    }
    let mut all: Vec<(Time, usize)> = Vec::new();
    for (number, group) in groups.iter().enumerate() {
        all.extend(sorted(group)?.into_iter().map(|t| (t, number)));
    }
    all.sort_by(|a, b| a.0.seconds.total_cmp(&b.0.seconds));
    let mut at_risk: Vec<f64> = groups.iter().map(|g| g.len() as f64).collect();
    let mut sides = vec![Side { observed: 0.0, expected: 0.0 }; groups.len()];
    let mut variance = vec![vec![0.0; groups.len()]; groups.len()];
    for together in all.chunk_by(|a, b| a.0.seconds == b.0.seconds) {
        let risk: f64 = at_risk.iter().sum();
        let opened = together.iter().filter(|(t, _)| t.opened).count() as f64;
        if opened > 0.0 {
            for (side, own) in sides.iter_mut().zip(&at_risk) {
                side.expected += opened * own / risk;
            }
            if risk > 1.0 {
                let scale = opened * (risk - opened) / (risk - 1.0);
                for (i, (row, own)) in variance.iter_mut().zip(&at_risk).enumerate() {
                    for (j, (cell, other)) in row.iter_mut().zip(&at_risk).enumerate() {
                        let rest = if i == j { (risk - own) / risk } else { -other / risk };
                        *cell += scale * own / risk * rest;
                    }
                }
            }
        }
        for (time, group) in together {
            if let (Some(side), Some(risk)) = (sides.get_mut(*group), at_risk.get_mut(*group)) {
                *risk -= 1.0;
                if time.opened {
                    side.observed += 1.0;
                }
            }
        }
    }
    let excess: Vec<f64> = sides.iter().map(|s| s.observed - s.expected).collect();
    let (chi2, df) = measure(variance, excess);
    if df == 0 {
        return Err("the groups cannot be compared: no head opened while heads of two groups were under test, or all \
                    that were left opened at once"
            .to_owned());
    }
    Ok(LogRank { chi2, df, p: chi_squared_beyond(chi2, df), sides })
}

/// The excess measured by its variance, and in how many directions there is any. The excesses of all groups add up to 0, so that
/// one direction less than groups is left; elimination by the largest variance takes each in turn and stops where none is left.
fn measure(mut variance: Vec<Vec<f64>>, mut excess: Vec<f64>) -> (f64, usize) {
    let diagonal = |v: &[Vec<f64>]| v.iter().enumerate().map(|(i, row)| row.get(i).copied().unwrap_or(0.0)).collect();
    let first: Vec<f64> = diagonal(&variance);
    let smallest = first.iter().copied().fold(0.0, f64::max) * NOTHING;
    let (mut sum, mut directions) = (0.0, 0);
    while directions + 1 < first.len() {
        let now: Vec<f64> = diagonal(&variance);
        let Some((at, most)) = now.iter().copied().enumerate().max_by(|a, b| a.1.total_cmp(&b.1)) else { break };
        if most <= smallest || at >= variance.len() {
            break;
        }
        let pivot = variance.swap_remove(at);
        let taken = excess.swap_remove(at);
        let without = |row: &[f64]| {
            let mut row = row.to_vec();
            row.swap_remove(at);
            row
        };
        sum += taken * taken / most;
        directions += 1;
        let across = without(&pivot);
        for (row, z) in variance.iter_mut().zip(&mut excess) {
            let factor = row.get(at).copied().unwrap_or(0.0) / most;
            *z -= factor * taken;
            let rest = without(row);
            *row = rest.iter().zip(&across).map(|(cell, a)| cell - factor * a).collect();
        }
    }
    (sum, directions)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn opened(list: &[f64]) -> Vec<Time> {
        list.iter().map(|s| Time { seconds: *s, opened: true }).collect()
    }

    #[test]
    fn two_heads_against_two_hold_by_hand() {
        // Openings at 1, 2 (first group), 3, 4: expected 2/4 + 1/3 = 5/6, variance 1/4 + 2/9 = 17/36; (2 − 5/6)² / (17/36) = 49/17.
        let it = log_rank(&[&opened(&[1.0, 2.0]), &opened(&[3.0, 4.0])]).unwrap();
        assert!((it.chi2 - 49.0 / 17.0).abs() < 1e-14, "{it:?}");
        assert_eq!(it.df, 1);
        assert!((it.sides[0].expected - 5.0 / 6.0).abs() < 1e-15 && it.sides[0].observed == 2.0);
    }

    #[test]
    fn groups_that_never_met_get_a_sentence() {
        let shut = [Time { seconds: 1.0, opened: false }];
        assert!(log_rank(&[&shut, &opened(&[2.0, 3.0])]).unwrap_err().contains("cannot be compared"));
        assert!(log_rank(&[&shut, &shut]).is_err());
        assert!(log_rank(&[&opened(&[5.0]), &opened(&[5.0])]).is_err());
        assert!(log_rank(&[&opened(&[5.0])]).is_err());
        assert!(log_rank(&[&opened(&[5.0]), &[]]).is_err());
    }

    #[test]
    fn a_group_that_left_before_anything_opened_costs_no_degree_of_freedom() {
        let gone = [Time { seconds: 0.5, opened: false }];
        let (a, b) = (opened(&[1.0, 2.0]), opened(&[3.0, 4.0]));
        let (with, without) = (log_rank(&[&a, &gone, &b]).unwrap(), log_rank(&[&a, &b]).unwrap());
        assert_eq!(with.df, 1);
        assert!((with.chi2 - without.chi2).abs() < 1e-13);
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn the_order_of_groups_and_the_unit_of_time_change_nothing(
            groups in prop::collection::vec(prop::collection::vec((1_u8..30, any::<bool>()), 1..15), 2..5)
        ) {
            let as_times = |factor: f64| -> Vec<Vec<Time>> {
                let one = |(s, o): &(u8, bool)| Time { seconds: f64::from(*s) * factor, opened: *o };
                groups.iter().map(|g| g.iter().map(one).collect()).collect()
            };
            let (seconds, minutes) = (as_times(1.0), as_times(1.0 / 64.0));
            let refs = |g: &'_ [Vec<Time>]| -> Result<LogRank, String> { log_rank(&g.iter().map(Vec::as_slice).collect::<Vec<_>>()) };
            let mut turned = seconds.clone();
            turned.reverse();
            match (refs(&seconds), refs(&minutes), refs(&turned)) {
                (Ok(a), Ok(b), Ok(c)) => {
                    prop_assert!((0.0..=1.0).contains(&a.p));
                    let sums: (f64, f64) = a.sides.iter().fold((0.0, 0.0), |s, x| (s.0 + x.observed, s.1 + x.expected));
                    prop_assert!((sums.0 - sums.1).abs() < 1e-9);
                    for other in [b, c] {
                        prop_assert_eq!(a.df, other.df);
                        prop_assert!((a.chi2 - other.chi2).abs() <= 1e-9 * a.chi2.max(1e-3), "{} {}", a.chi2, other.chi2);
                    }
                }
                (a, b, c) => prop_assert!(a.is_err() && b.is_err() && c.is_err()),
            }
        }
    }
}
