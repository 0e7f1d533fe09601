//! The worst-case orientation: a head turned so that its frame shields the element.
//!
//! Sources: IMO Res. A.800(19) App. 1, 5.6.2.4 (the scaled C, from memory) and 4.14.1 (the limit, seen).

use super::plunge::Plunge;
use crate::trade::measure::Seconds;

/// The greatest index at the offset, (m·s)^½.
const MOST: f64 = 600.0;

/// The greatest index at the offset as a multiple of the standard one.
const MOST_RATIO: f64 = 2.5;

/// What two plunges, in standard and in worst-case orientation, show.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorstCase {
    /// The index in standard orientation, (m·s)^½.
    pub standard: f64,
    /// The index in worst-case orientation, (m·s)^½.
    pub offset: f64,
    /// The factor that the second was found with, C·offset/standard, (m/s)^½.
    pub c: f64,
}

impl WorstCase {
    /// The second index over the first.
    #[must_use]
    pub fn ratio(&self) -> f64 {
        self.offset / self.standard
    }

    /// The greatest index allowed at the offset, (m·s)^½: 600 or 250 % of the standard one, whichever is less.
    #[must_use]
    pub fn most(&self) -> f64 {
        (self.standard * MOST_RATIO).min(MOST)
    }

    /// Whether the limit is kept.
    #[must_use]
    pub fn keeps(&self) -> bool {
        self.offset <= self.most()
    }
}

/// The indices of a head by its times in standard and in worst-case orientation under the same conditions.
///
/// The second solves R = RTI(t, C·R/standard). Its right side falls as R grows, so that there is just one solution; it is
/// halved down to the last figure.
///
/// # Errors
/// A sentence: what [`Plunge::rti`] refuses.
pub fn worst_case(plunge: &Plunge, standard: Seconds, offset: Seconds) -> Result<WorstCase, String> {
    let first = plunge.rti(standard)?;
    let unscaled = plunge.rti(offset)?;
    // `None`: a C with which no head operates.
    let with = |ratio: f64| {
        let factor = plunge.factor_with(plunge.c.metric() * ratio).ok().flatten();
        factor.map(|factor| offset.seconds() / factor / first)
    };
    // Without conduction the index is at its greatest.
    let greatest = with(0.0).unwrap_or(unscaled / first);
    let (mut low, mut high) = (0.0_f64, greatest);
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if with(middle).is_some_and(|ratio| ratio > middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    let ratio = if plunge.c.metric() > 0.0 { f64::midpoint(low, high) } else { greatest };
    Ok(WorstCase { standard: first, offset: first * ratio, c: plunge.c.metric() * ratio })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::measure::{Conductivity, Speed};
    use crate::trade::quantity::Temperature;

    fn usual(c: f64) -> Plunge {
        let t = |text| Temperature::parse(text).unwrap();
        let air = Speed::parse("2.54 m/s").unwrap();
        Plunge::new(t("68 C"), t("135 C"), air, t("20 C"), Conductivity::new(c).unwrap()).unwrap()
    }

    fn s(seconds: f64) -> Seconds {
        Seconds::new(seconds).unwrap()
    }

    #[test]
    fn the_fixed_point_is_the_one_worked_apart() {
        // 68 °C at 135 °C, 2.54 m/s from 20 °C, C 0.8; 14 s in standard orientation, 25 s at the offset.
        let it = worst_case(&usual(0.8), s(14.0), s(25.0)).unwrap();
        assert!((it.standard - 33.990_7).abs() < 6e-5, "{it:?}");
        assert!((it.offset - 52.406_0).abs() < 6e-5, "{it:?}");
        assert!((it.ratio() - 1.541_78).abs() < 6e-6, "{it:?}");
        // Without scaling C it would be 60.6976.
        assert!((usual(0.8).rti(s(25.0)).unwrap() - 60.697_6).abs() < 6e-5);
        // The solution solves: the index with the scaled factor is the index itself.
        let again = usual(it.c).rti(s(25.0)).unwrap();
        assert!((again / it.offset - 1.0).abs() < 1e-12, "{again}");
    }

    #[test]
    fn without_conduction_the_indices_are_as_the_times() {
        let it = worst_case(&usual(0.0), s(14.0), s(28.0)).unwrap();
        assert!((it.ratio() - 2.0).abs() < 1e-12, "{it:?}");
    }

    #[test]
    fn the_limit_is_600_or_two_and_a_half_times_whichever_is_less() {
        // IMO Res. A.800(19) App. 1, 4.14.1.
        let at = |standard, offset| WorstCase { standard, offset, c: 0.0 };
        assert!(at(40.0, 100.0).keeps() && !at(40.0, 100.1).keeps());
        assert!(at(300.0, 600.0).keeps() && !at(300.0, 600.1).keeps());
    }

    #[test]
    fn an_offset_far_slower_still_has_a_solution() {
        // So slow that it would be the balance of gain and loss that holds it: the factor comes to its bound.
        let it = worst_case(&usual(1.0), s(10.0), s(600.0)).unwrap();
        let most = usual(1.0).most_c().unwrap();
        assert!(it.ratio() > 1.0 && (it.c / most - 1.0).abs() < 1e-9, "{it:?}");
        assert!(worst_case(&usual(1.0), s(10.0), s(0.0)).is_err());
    }
}
