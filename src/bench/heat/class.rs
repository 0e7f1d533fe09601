//! Classes of thermal sensitivity by index and conductivity.
//!
//! Source: IMO Res. A.800(19) App. 1, 4.14.1 and its figure, and ISO 6182-1, 6.14: fast up to 50 and C up to 1.0;
//! special 50 to 80 and C up to 1.0; standard 80 to 350 and C up to 2.0 (the index limits from secondary sources, the
//! limits of C from memory). NFPA 13 calls 50 and below fast, 80 and above standard.

use crate::trade::words::words;

words! {
    /// Class of thermal sensitivity.
    pub enum Sensitivity ("class of sensitivity") {
        /// RTI up to 50, C up to 1.0.
        Fast = "fast",
        /// RTI between 50 and 80, C up to 1.0.
        Special = "special",
        /// RTI from 80 to 350, C up to 2.0.
        Standard = "standard",
    }
}

impl Sensitivity {
    /// The least and the greatest index, (m·s)^½.
    #[must_use]
    pub const fn range(self) -> (f64, f64) {
        match self {
            Self::Fast => (0.0, 50.0),
            Self::Special => (50.0, 80.0),
            Self::Standard => (80.0, 350.0),
        }
    }

    /// The greatest conductivity factor, (m/s)^½.
    #[must_use]
    pub const fn most_c(self) -> f64 {
        match self {
            Self::Fast | Self::Special => 1.0,
            Self::Standard => 2.0,
        }
    }
}

/// The class of a head, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Classed {
    /// `None`: it is of no class.
    pub class: Option<Sensitivity>,
    /// A sentence without a full stop.
    pub why: String,
}

/// The class of a new head with this index in (m·s)^½ and conductivity factor in (m/s)^½.
///
/// An index of 50 is fast and one of 80 standard, as NFPA 13 has it. A special head is rightly classed by the mean of a
/// sample (50 to 80, none below 40 or above 100); a single head shows only where it lies. A head in service that is slower
/// than when it was new may pass its field test all the same: that is for the rule set to say.
///
/// # Errors
/// A sentence: an index that is not above 0, or a C below 0.
pub fn class_of(rti: f64, c: f64) -> Result<Classed, String> {
    if !rti.is_finite() || rti <= 0.0 {
        return Err(format!("a response time index of {rti} cannot be; give one above 0 (m.s)^0.5"));
    }
    if !c.is_finite() || c < 0.0 {
        return Err(format!("a conductivity factor of {c} cannot be; give one of 0 or above"));
    }
    let class = match rti {
        r if r <= Sensitivity::Fast.range().1 => Sensitivity::Fast,
        r if r < Sensitivity::Standard.range().0 => Sensitivity::Special,
        r if r <= Sensitivity::Standard.range().1 => Sensitivity::Standard,
        _ => {
            let why = format!("an index of {rti:.1} is above 350, the slowest that a standard head may be when new");
            return Ok(Classed { class: None, why });
        }
    };
    let ((from, to), most_c) = (class.range(), class.most_c());
    let within =
        if class == Sensitivity::Fast { format!("no more than {to:.0}") } else { format!("from {from:.0} to {to:.0}") };
    if c > most_c {
        let why = format!(
            "an index of {rti:.1} is {within} as for {class} heads, but C {c:.2} is above the {most_c:.1} of that class"
        );
        return Ok(Classed { class: None, why });
    }
    let why = format!("an index of {rti:.1} is {within}, and C {c:.2} no more than {most_c:.1}");
    Ok(Classed { class: Some(class), why })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_end_where_the_published_limits_say() {
        // IMO Res. A.800(19) App. 1, 4.14.1; on the limits themselves NFPA 13's definition: 50 is fast, 80 is standard.
        for (rti, c, class) in [
            (28.0, 0.0, Some(Sensitivity::Fast)),
            (50.0, 1.0, Some(Sensitivity::Fast)),
            (50.0, 1.001, None),
            (50.001, 0.5, Some(Sensitivity::Special)),
            (65.0, 1.0, Some(Sensitivity::Special)),
            (65.0, 1.5, None),
            (79.999, 1.0, Some(Sensitivity::Special)),
            (80.0, 2.0, Some(Sensitivity::Standard)),
            (135.0, 1.5, Some(Sensitivity::Standard)),
            (350.0, 2.0, Some(Sensitivity::Standard)),
            (350.0, 2.001, None),
            (350.001, 0.0, None),
        ] {
            assert_eq!(class_of(rti, c).unwrap().class, class, "{rti} {c}");
        }
    }

    #[test]
    fn a_head_of_no_class_is_told_why() {
        let why = |rti, c| class_of(rti, c).unwrap().why;
        assert!(why(400.0, 0.0).contains("above 350"));
        assert!(why(45.0, 1.2).contains("C 1.20 is above the 1.0"));
        assert!(why(120.0, 2.5).contains("C 2.50 is above the 2.0"));
    }

    #[test]
    fn what_is_no_index_and_no_factor_gets_a_sentence() {
        for (rti, c) in [(0.0, 0.5), (-3.0, 0.5), (f64::NAN, 0.5), (f64::INFINITY, 0.5), (50.0, -0.1), (50.0, f64::NAN)]
        {
            assert!(class_of(rti, c).is_err(), "{rti} {c}");
        }
    }
}
