//! Whether two benches agree about the same heads.

use super::check_confidence;
use super::special::{normal_within, student_within};

/// A figure with its confidence interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The figure.
    pub value: f64,
    /// The lower end.
    pub lower: f64,
    /// The upper end.
    pub upper: f64,
}

/// How two benches agree. All but the last two are in the unit of the readings, first less second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Agreement {
    /// How many heads both tested.
    pub pairs: usize,
    /// The mean difference.
    pub bias: Estimate,
    /// The standard deviation of the differences.
    pub spread: f64,
    /// The limit of agreement below: of the differences of further heads, the share of the confidence lies between the limits.
    pub low: Estimate,
    /// The limit of agreement above.
    pub high: Estimate,
    /// Lin's concordance, −1 to 1; 1: every pair is equal. `None` where all readings are the same.
    pub concordance: Option<f64>,
    /// The correlation, −1 to 1, which a bias leaves as it is; `None` where a bench's readings are all the same.
    pub correlation: Option<f64>,
}

/// Agreement of two benches that tested the same heads, or heads of one lot in pairs: bias and limits of agreement (Bland and Altman,
/// Lancet 1986; intervals of the limits by Stat. Methods Med. Res. 8, 1999, 135–160), concordance (Lin, Biometrics 45, 1989, 255–268,
/// with divisor n). Readings of any unit; differences should not grow with the reading.
///
/// # Errors
/// A sentence: fewer than three pairs, a reading that is no number, a confidence that is none.
pub fn agreement(pairs: &[(f64, f64)], confidence: f64) -> Result<Agreement, String> {
    check_confidence(confidence)?;
    if pairs.len() < 3 {
        let (n, say) =
            if pairs.len() == 1 { ("1 pair".to_owned(), "says") } else { (format!("{} pairs", pairs.len()), "say") };
        return Err(format!("{n} of readings {say} nothing about agreement; give at least three"));
    }
    if pairs.iter().any(|(a, b)| !(a.abs() < 1e150 && b.abs() < 1e150)) {
        return Err("a reading is no number of a usual size; give each as the bench read it".to_owned());
    }
    let n = pairs.len() as f64;
    let mean = |of: &dyn Fn(&(f64, f64)) -> f64| pairs.iter().map(of).sum::<f64>() / n;
    let (first, second) = (mean(&|p| p.0), mean(&|p| p.1));
    let bias = mean(&|p| p.0 - p.1);
    let square = |x: f64| x * x;
    let spread = (pairs.iter().map(|p| square(p.0 - p.1 - bias)).sum::<f64>() / (n - 1.0)).sqrt();
    let (z, t) = (normal_within(confidence), student_within(confidence, pairs.len() - 1));
    let around = |value: f64, half: f64| Estimate { value, lower: value - half, upper: value + half };
    let limit_half = t * spread * (1.0 / n + z * z / (2.0 * (n - 1.0))).sqrt();
    let (xx, yy) = (mean(&|p| square(p.0 - first)), mean(&|p| square(p.1 - second)));
    let xy = mean(&|p| (p.0 - first) * (p.1 - second));
    let whole = xx + yy + square(first - second);
    Ok(Agreement {
        pairs: pairs.len(),
        bias: around(bias, t * spread / n.sqrt()),
        spread,
        low: around(bias - z * spread, limit_half),
        high: around(bias + z * spread, limit_half),
        concordance: (whole > 0.0).then(|| 2.0 * xy / whole),
        correlation: (xx > 0.0 && yy > 0.0).then(|| (xy / (xx.sqrt() * yy.sqrt())).clamp(-1.0, 1.0)),
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn the_two_meters_of_the_founding_paper_hold() {
        // Bland and Altman, Lancet 1986, 307–310: peak flow of 17 people by two meters, first readings, and their results
        // (bias −2.1, spread 38.8, limits −79.7 and 75.5 at two spreads, bias −22.0 to 17.8); readings and results from memory.
        let wright = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427];
        let mini = [512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451];
        let pairs: Vec<(f64, f64)> = wright.iter().zip(mini).map(|(a, b)| (f64::from(*a), f64::from(b))).collect();
        let it = agreement(&pairs, 0.95).unwrap();
        for (is, should, within) in [
            (it.bias.value, -2.1, 0.05),
            (it.spread, 38.8, 0.05),
            (it.bias.value - 2.0 * it.spread, -79.7, 0.1),
            (it.bias.value + 2.0 * it.spread, 75.5, 0.1),
            (it.bias.lower, -22.0, 0.1),
            (it.bias.upper, 17.8, 0.1),
            // The paper takes the root of 3/n for the limits' error.
            (it.high.upper, 110.1, 2.0),
            (it.low.lower, -114.3, 2.0),
        ] {
            assert!((is - should).abs() <= within, "{is} {should}");
        }
    }

    #[test]
    fn benches_that_read_alike_agree_wholly() {
        let it = agreement(&[(37.0, 37.0), (41.0, 41.0), (43.5, 43.5)], 0.95).unwrap();
        assert_eq!((it.bias.value, it.spread, it.concordance, it.correlation), (0.0, 0.0, Some(1.0), Some(1.0)));
        let same = agreement(&[(37.0, 37.0); 3], 0.95).unwrap();
        assert_eq!((same.concordance, same.correlation), (None, None));
    }

    #[test]
    fn too_few_pairs_and_no_numbers_get_a_sentence() {
        assert!(agreement(&[(1.0, 2.0), (2.0, 3.0)], 0.95).unwrap_err().contains("three"));
        assert!(agreement(&[(1.0, 2.0), (2.0, f64::NAN), (3.0, 4.0)], 0.95).is_err());
        assert!(agreement(&[(1.0, 2.0); 4], 1.0).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn a_constant_shift_of_one_bench_moves_the_bias_and_never_helps_concordance(
            list in prop::collection::vec((10.0_f64..200.0, -5.0_f64..5.0), 3..30), shift in 1.0_f64..50.0
        ) {
            let pairs: Vec<(f64, f64)> = list.iter().map(|(a, d)| (*a, a + d)).collect();
            let base = agreement(&pairs, 0.95).unwrap();
            let centred: Vec<(f64, f64)> = pairs.iter().map(|(a, b)| (a - base.bias.value, *b)).collect();
            let moved: Vec<(f64, f64)> = centred.iter().map(|(a, b)| (a + shift, *b)).collect();
            let (centred, moved) = (agreement(&centred, 0.95).unwrap(), agreement(&moved, 0.95).unwrap());
            prop_assert!((moved.bias.value - shift).abs() < 1e-9 && centred.bias.value.abs() < 1e-9);
            prop_assert!((moved.spread - base.spread).abs() < 1e-9);
            if let (Some(c), Some(m)) = (centred.concordance, moved.concordance) {
                prop_assert!(m.abs() <= c.abs() + 1e-12);
            }
        }
    }
}
