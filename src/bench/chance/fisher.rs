//! Whether two groups failed alike: Fisher's exact test.

use super::TIE;
use super::draw::Draw;
use super::special::last_that;

/// Fisher's exact test of two groups, of which so many failed and passed: the two-sided chance, 0 to 1, that groups which fail alike
/// differ as much (all tables with the same sums that are no likelier than this one).
///
/// # Errors
/// A sentence: no heads at all, or more than fit a count.
pub fn fisher(failed: u32, passed: u32, other_failed: u32, other_passed: u32) -> Result<f64, String> {
    let sum = |a: u32, b: u32| a.checked_add(b).ok_or_else(|| "the groups are larger than can be counted".to_owned());
    let (group, bad) = (sum(failed, passed)?, sum(failed, other_failed)?);
    let heads = sum(group, sum(other_failed, other_passed)?)?;
    if heads == 0 {
        return Err("groups without heads cannot be compared".to_owned());
    }
    if group == 0 || group == heads || bad == 0 || bad == heads {
        return Ok(1.0);
    }
    let draw = Draw::new(heads, bad, group)?;
    let limit = draw.exactly(f64::from(failed)) * (1.0 + TIE);
    let (least, most) = (group.saturating_sub(heads - bad), group.min(bad));
    let rare = |x: u32| draw.exactly(f64::from(x)) <= limit;
    // Chances rise to the likeliest number and fall behind it.
    let mode = ((f64::from(group) + 1.0) * (f64::from(bad) + 1.0) / (f64::from(heads) + 2.0)).floor();
    let mode = last_that(least, most, |x| f64::from(x) <= mode).unwrap_or(least);
    if rare(mode) {
        return Ok(1.0);
    }
    let below = last_that(least, mode, rare).map_or(0.0, |x| draw.split(f64::from(x)).0);
    let first = last_that(mode, most, |x| !rare(x)).unwrap_or(mode);
    let above = draw.split(f64::from(first)).1;
    Ok((below + above).min(1.0))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn the_tea_tasting_of_eight_cups_holds() {
        // Fisher, The Design of Experiments (1935): three of four cups right, 34 of 70 ways as far from even; all four, 2 of 70.
        assert!((fisher(3, 1, 1, 3).unwrap() - 34.0 / 70.0).abs() < 1e-14);
        assert!((fisher(4, 0, 0, 4).unwrap() - 2.0 / 70.0).abs() < 1e-14);
    }

    #[test]
    fn groups_of_nothing_get_a_sentence_and_groups_that_cannot_differ_do_not() {
        assert!(fisher(0, 0, 0, 0).is_err());
        assert!(fisher(u32::MAX, 1, 0, 0).is_err());
        assert_eq!(fisher(0, 4, 0, 9).unwrap(), 1.0);
        assert_eq!(fisher(0, 0, 3, 9).unwrap(), 1.0);
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn groups_and_outcomes_may_change_places(a in 0_u32..60, b in 0_u32..60, c in 0_u32..60, d in 0_u32..60) {
            prop_assume!(a + b + c + d > 0);
            let p = fisher(a, b, c, d).unwrap();
            prop_assert!((0.0..=1.0).contains(&p));
            for other in [fisher(c, d, a, b), fisher(b, a, d, c), fisher(a, c, b, d)] {
                prop_assert!((other.unwrap() - p).abs() <= 1e-10 * p);
            }
        }
    }
}
