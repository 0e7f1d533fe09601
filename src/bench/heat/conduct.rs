//! The conductivity factor C: how much of the element's heat its mount carries away.
//!
//! Sources: IMO Res. A.800(19) App. 1, 5.6.2.2 and Table 3 (the procedure and the table were seen; the equation, the 15
//! minutes, the ratio of 1.1, the three repeats and the ramp are from memory).

use crate::trade::measure::Speed;
use crate::trade::quantity::Temperature;

/// The greatest ratio of the roots of the two speeds of a prolonged exposure.
const MOST_RATIO: f64 = 1.1;

/// C from the balance of a prolonged exposure, (m/s)^½: C = (dTg/dTe − 1)·√u, both rises above the mount.
///
/// At the speed at which a head just operates, the heat gained at its operating temperature is the heat lost.
///
/// # Errors
/// A sentence: the oven is not above the operating temperature, or that is not above the mount's.
pub fn conductivity(
    oven: Temperature,
    operated_at: Temperature,
    mount: Temperature,
    air: Speed,
) -> Result<f64, String> {
    if operated_at.celsius() <= mount.celsius() {
        return Err(format!(
            "a head that operates at {operated_at} cannot have its mount at {mount}; give a cooler mount"
        ));
    }
    if oven.celsius() <= operated_at.celsius() {
        return Err(format!(
            "a head that operates at {operated_at} never does in air of {oven}; give an oven temperature above it"
        ));
    }
    let (gas, element) = (oven.celsius() - mount.celsius(), operated_at.celsius() - mount.celsius());
    Ok((gas / element - 1.0) * air.metres_per_second().sqrt())
}

/// C from a prolonged exposure: the mean of the values at the greatest speed without operation within 15 minutes and at the
/// least speed with it, (m/s)^½. The published method repeats it three times, each time with new heads, and takes the mean.
///
/// # Errors
/// A sentence: the first speed is not below the second, their roots are further apart than 1.1 to 1, or what
/// [`conductivity`] refuses.
pub fn prolonged(
    oven: Temperature,
    operated_at: Temperature,
    mount: Temperature,
    held: Speed,
    operated: Speed,
) -> Result<f64, String> {
    let (low, high) = (held.metres_per_second(), operated.metres_per_second());
    if low >= high {
        return Err(format!(
            "a head that held at {held} cannot have operated at {operated}; the second speed must be above the first"
        ));
    }
    let ratio = (high / low).sqrt();
    if ratio > MOST_RATIO * (1.0 + 1e-12) {
        return Err(format!(
            "the roots of {operated} and {held} are {ratio:.3} to 1 apart; try a speed between them until they are at most \
             {MOST_RATIO} to 1 apart"
        ));
    }
    let at = |air| conductivity(oven, operated_at, mount, air);
    Ok(f64::midpoint(at(held)?, at(operated)?))
}

/// C from a ramp: the mean over heads that were plunged into slowly heated air at 1 m/s, each by the air's temperature at
/// the moment it operated, (m/s)^½.
///
/// # Errors
/// A sentence: no reading, a speed further than 10 % from 1 m/s, or what [`conductivity`] refuses.
pub fn ramp(
    operated_in: &[Temperature],
    operated_at: Temperature,
    mount: Temperature,
    air: Speed,
) -> Result<f64, String> {
    if operated_in.is_empty() {
        return Err("a ramp without a reading shows no C; give the air's temperature at each operation".to_owned());
    }
    if (air.metres_per_second() - 1.0).abs() > 0.1 + 1e-12 {
        return Err(format!("the ramp is run at 1 m/s within 10 %, not at {air}; repeat it at that speed"));
    }
    let each: Result<Vec<f64>, String> =
        operated_in.iter().map(|gas| conductivity(*gas, operated_at, mount, air)).collect();
    let each = each?;
    #[expect(clippy::cast_precision_loss, reason = "a handful of readings")]
    let count = each.len() as f64;
    Ok(each.iter().sum::<f64>() / count)
}

/// The C that an index is worked out with, (m/s)^½: 0.25 where less than 0.5 was found, else what was found.
///
/// Source: IMO Res. A.800(19) App. 1, Table 3, footnote.
#[must_use]
pub fn for_index(found: f64) -> f64 {
    if found < 0.5 { 0.25 } else { found }
}

/// The oven of a prolonged exposure, °C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExposureOven {
    /// From.
    pub from: f64,
    /// To.
    pub to: f64,
    /// How far it may stray during the test, K to either side.
    pub stray: f64,
}

/// The oven in which C is found for a nominal rating; `None` where the published table has no row.
///
/// Source: IMO Res. A.800(19) App. 1, Table 3.
#[must_use]
pub fn exposure_oven(rating: Temperature) -> Option<ExposureOven> {
    let oven = |from, to, stray| Some(ExposureOven { from, to, stray });
    // The table's rows are whole degrees.
    match rating.celsius().round() {
        57.0 => oven(85.0, 91.0, 1.0),
        58.0..=77.0 => oven(124.0, 130.0, 1.5),
        78.0..=107.0 => oven(193.0, 201.0, 3.0),
        121.0..=149.0 => oven(287.0, 295.0, 4.5),
        163.0..=191.0 => oven(402.0, 412.0, 6.0),
        _ => None,
    }
}

/// How far the mount may warm during a plunge of so many seconds, K: 2 up to 55 s, 0.036 a second beyond.
///
/// Source: IMO Res. A.800(19) App. 1, 5.6.2.1 (the 0.036 from memory).
#[must_use]
pub fn mount_rise_allowed(seconds: f64) -> f64 {
    if seconds <= 55.0 { 2.0 } else { 0.036 * seconds }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn t(text: &str) -> Temperature {
        Temperature::parse(text).unwrap()
    }

    fn u(text: &str) -> Speed {
        Speed::parse(text).unwrap()
    }

    #[test]
    fn the_balance_gives_the_factors_worked_apart() {
        // Air 127 °C, mount 20 °C, operation at 68 °C; worked from the equation, to the last figure given.
        for (air, c) in [("0.20 m/s", 0.549_70), ("0.25 m/s", 0.614_58), ("0.36 m/s", 0.737_50)] {
            let found = conductivity(t("127 C"), t("68 C"), t("20 C"), u(air)).unwrap();
            assert!((found - c).abs() < 5.1e-6, "{found}");
        }
        // A ramp at 1 m/s that operates at 92 °C: exactly 0.5.
        let found = conductivity(t("92 C"), t("68 C"), t("20 C"), u("1 m/s")).unwrap();
        assert!((found - 0.5).abs() < 1e-15, "{found}");
    }

    #[test]
    fn a_prolonged_exposure_is_the_mean_of_two_close_speeds() {
        let run = |held, operated| prolonged(t("127 C"), t("68 C"), t("20 C"), u(held), u(operated));
        // Half of 0.54970 + 0.60226 = 1.22917·√0.24 (worked apart); the roots lie 1.0954 to 1 apart.
        let found = run("0.20 m/s", "0.24 m/s").unwrap();
        assert!((found - 0.575_93).abs() < 1e-5, "{found}");
        // On the bound of 1.1 to 1: 1.21 of the speed.
        assert!(run("1 m/s", "1.21 m/s").is_ok());
        assert!(run("0.20 m/s", "0.25 m/s").unwrap_err().contains("1.118 to 1"));
        assert!(run("0.25 m/s", "0.20 m/s").unwrap_err().contains("above the first"));
        assert!(run("0.25 m/s", "0.25 m/s").is_err());
    }

    #[test]
    fn a_ramp_is_the_mean_of_its_heads() {
        let run = |gas: &[&str], air| {
            let gas: Vec<Temperature> = gas.iter().map(|g| t(g)).collect();
            ramp(&gas, t("68 C"), t("20 C"), u(air))
        };
        // 92 °C is 0.5, 116 °C is 1.0 by hand.
        assert!((run(&["92 C", "116 C"], "1 m/s").unwrap() - 0.75).abs() < 1e-15);
        assert!(run(&["92 C"], "1.1 m/s").is_ok());
        assert!(run(&["92 C"], "1.2 m/s").unwrap_err().contains("within 10 %"));
        assert!(run(&[], "1 m/s").unwrap_err().contains("without a reading"));
        assert!(run(&["92 C", "60 C"], "1 m/s").unwrap_err().contains("60 C"));
    }

    #[test]
    fn a_head_that_cannot_operate_shows_no_factor() {
        assert!(conductivity(t("60 C"), t("68 C"), t("20 C"), u("1 m/s")).unwrap_err().contains("never does"));
        assert!(conductivity(t("127 C"), t("20 C"), t("20 C"), u("1 m/s")).unwrap_err().contains("cooler mount"));
    }

    #[test]
    fn small_factors_ovens_and_the_mount_s_rise_are_those_of_the_resolution() {
        // IMO Res. A.800(19) App. 1, Table 3 with its footnote, and 5.6.2.1.
        assert_eq!([0.0, 0.49, 0.5, 0.8].map(for_index), [0.25, 0.25, 0.5, 0.8]);
        let span = |rating: &str| exposure_oven(t(rating)).map(|o| (o.from, o.to, o.stray));
        assert_eq!(span("57 C"), Some((85.0, 91.0, 1.0)));
        assert_eq!(span("68 C"), Some((124.0, 130.0, 1.5)));
        assert_eq!(span("155 F"), Some((124.0, 130.0, 1.5)));
        assert_eq!(span("93 C"), Some((193.0, 201.0, 3.0)));
        assert_eq!(span("141 C"), Some((287.0, 295.0, 4.5)));
        assert_eq!(span("182 C"), Some((402.0, 412.0, 6.0)));
        assert_eq!((span("115 C"), span("260 C")), (None, None));
        assert!((mount_rise_allowed(17.0) - 2.0).abs() < 1e-12);
        assert!((mount_rise_allowed(139.0) - 5.004).abs() < 1e-12);
    }
}
