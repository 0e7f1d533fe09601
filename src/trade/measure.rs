//! Quantities of tests and intervals: response time index in (m·s)^½, pressure in kPa, spans of time in months. A file
//! names the unit.

use std::fmt;

/// kPa in one psi (exact definitions of pound-force and inch).
const KPA_PER_PSI: f64 = 6.894_757_293_168;

/// (m·s)^½ in one (ft·s)^½: the root of 0.3048.
const METRIC_PER_US_RTI: f64 = 0.552_086_949_495_8;

/// A response time index, above 0 to 2000 (m·s)^½.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rti {
    metric: f64,
    us: bool,
}

impl Rti {
    /// In (m·s)^½.
    #[must_use]
    pub const fn metric(self) -> f64 {
        self.metric
    }

    /// Reads `65 (m.s)^0.5` or `118 (ft.s)^0.5`.
    ///
    /// # Errors
    /// A sentence: no number, no unit, out of range.
    pub fn parse(text: &str) -> Result<Self, String> {
        let bad = || format!("'{}' is no response time index; write '65 (m.s)^0.5' or '118 (ft.s)^0.5'", shown(text));
        let (number, unit) = text.trim().split_once(' ').ok_or_else(bad)?;
        let number: f64 = number.parse().map_err(|_| bad())?;
        let unit: String = unit.chars().filter(|c| !c.is_whitespace()).collect();
        let (factor, us) = match unit.as_str() {
            "(m.s)^0.5" | "(m·s)^0.5" | "(m·s)^½" => (1.0, false),
            "(ft.s)^0.5" | "(ft·s)^0.5" | "(ft·s)^½" => (METRIC_PER_US_RTI, true),
            _ => return Err(bad()),
        };
        let metric = number * factor;
        if metric > 0.0 && metric <= 2000.0 {
            Ok(Self { metric, us })
        } else {
            Err(format!("'{}' is outside 0 to 2000 (m.s)^0.5", shown(text)))
        }
    }
}

impl fmt::Display for Rti {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.us {
            write!(f, "{} (ft.s)^0.5", tidy(self.metric / METRIC_PER_US_RTI))
        } else {
            write!(f, "{} (m.s)^0.5", tidy(self.metric))
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum PressureUnit {
    Psi,
    Bar,
    Kilopascal,
}

/// A pressure above that of the air, 0 to 10,000 kPa.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pressure {
    kpa: f64,
    unit: PressureUnit,
}

impl Pressure {
    /// In kPa.
    #[must_use]
    pub const fn kpa(self) -> f64 {
        self.kpa
    }

    /// Reads `7 psi`, `0.5 bar` or `50 kPa`.
    ///
    /// # Errors
    /// A sentence: no number, no unit, out of range.
    pub fn parse(text: &str) -> Result<Self, String> {
        let bad = || format!("'{}' is no pressure; write '7 psi', '0.5 bar' or '50 kPa'", shown(text));
        let (number, unit) = text.trim().split_once(' ').ok_or_else(bad)?;
        let number: f64 = number.parse().map_err(|_| bad())?;
        let (factor, unit) = match unit.trim() {
            "psi" => (KPA_PER_PSI, PressureUnit::Psi),
            "bar" => (100.0, PressureUnit::Bar),
            "kPa" => (1.0, PressureUnit::Kilopascal),
            _ => return Err(bad()),
        };
        let kpa = number * factor;
        if (0.0..=10_000.0).contains(&kpa) {
            Ok(Self { kpa, unit })
        } else {
            Err(format!("'{}' is outside 0 to 10000 kPa", shown(text)))
        }
    }
}

impl fmt::Display for Pressure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.unit {
            PressureUnit::Psi => write!(f, "{} psi", tidy(self.kpa / KPA_PER_PSI)),
            PressureUnit::Bar => write!(f, "{} bar", tidy(self.kpa / 100.0)),
            PressureUnit::Kilopascal => write!(f, "{} kPa", tidy(self.kpa)),
        }
    }
}

/// A span of whole months, 0 to 2400.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    months: u32,
}

impl Span {
    /// In months.
    #[must_use]
    pub const fn months(self) -> u32 {
        self.months
    }

    /// Reads `25 years`, `1 year`, `18 months` or `1 month`.
    ///
    /// # Errors
    /// A sentence: no whole number, no unit, more than 200 years.
    pub fn parse(text: &str) -> Result<Self, String> {
        let bad =
            || format!("'{}' is no span of time; write '25 years' or '18 months', at most 200 years", shown(text));
        let (number, unit) = text.trim().split_once(' ').ok_or_else(bad)?;
        let number: u32 = number.parse().map_err(|_| bad())?;
        let months = match unit.trim() {
            "year" | "years" => number.checked_mul(12),
            "month" | "months" => Some(number),
            _ => None,
        };
        months.filter(|m| *m <= 2400).map(|months| Self { months }).ok_or_else(bad)
    }
}

impl fmt::Display for Span {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (n, unit) =
            if self.months.is_multiple_of(12) { (self.months / 12, "year") } else { (self.months, "month") };
        write!(f, "{n} {unit}{}", if n == 1 { "" } else { "s" })
    }
}

impl serde::Serialize for Span {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

fn shown(text: &str) -> String {
    crate::diag::plain(text).chars().take(40).collect()
}

/// A number without needless decimals: conversions there and back give what was written.
fn tidy(number: f64) -> f64 {
    (number * 10_000.0).round() / 10_000.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantities_are_read_in_both_unit_systems() {
        // 350 (ft·s)^½ is 193.23 (m·s)^½, and 350 (m·s)^½ is 633.96 (ft·s)^½: the root of 0.3048.
        assert!((Rti::parse("633.96 (ft.s)^0.5").unwrap().metric() - 350.0).abs() < 0.01);
        assert!((Rti::parse("65 (m·s)^½").unwrap().metric() - 65.0).abs() < 1e-12);
        // 7 psi is printed as 0.48 bar (NFPA 25:2023 A.5.3.1.1).
        assert!((Pressure::parse("7 psi").unwrap().kpa() - 48.26).abs() < 0.01);
        assert!((Pressure::parse("0.5 bar").unwrap().kpa() - 50.0).abs() < 1e-9);
        assert_eq!(Span::parse("25 years").unwrap().months(), 300);
    }

    #[test]
    fn quantities_are_written_as_they_were_read() {
        for text in ["65 (m.s)^0.5", "118 (ft.s)^0.5"] {
            assert_eq!(Rti::parse(text).unwrap().to_string(), text);
        }
        for text in ["7 psi", "0.5 bar", "50 kPa"] {
            assert_eq!(Pressure::parse(text).unwrap().to_string(), text);
        }
        for text in ["25 years", "1 year", "18 months", "1 month", "0 years"] {
            assert_eq!(Span::parse(text).unwrap().to_string(), text);
        }
        assert_eq!(Span::parse("24 months").unwrap().to_string(), "2 years");
    }

    #[test]
    fn a_quantity_that_cannot_be_meant_is_refused_with_a_sentence() {
        for bad in ["", "65", "65 s", "0 (m.s)^0.5", "NaN (m.s)^0.5", "1e9 (m.s)^0.5", "-5 (m.s)^0.5"] {
            assert!(Rti::parse(bad).is_err(), "{bad}");
        }
        for bad in ["", "7", "7 atm", "-1 psi", "inf bar"] {
            assert!(Pressure::parse(bad).is_err(), "{bad}");
        }
        for bad in ["", "25", "2.5 years", "-1 year", "201 years", "4294967295 years", "3 weeks"] {
            assert!(Span::parse(bad).is_err(), "{bad}");
        }
    }
}
