//! Quantities of tests and intervals: response time index in (m·s)^½, conductivity factor in (m/s)^½, pressure in kPa,
//! speed of air in m/s, times in seconds, spans of time in months. A file names the unit.

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
        let (number, unit) = apart(text).ok_or_else(bad)?;
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
        let (number, unit) = apart(text).ok_or_else(bad)?;
        let (factor, unit) = match unit {
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
    /// So many months, at most 2400.
    #[must_use]
    pub const fn of_months(months: u32) -> Self {
        Self { months: if months > 2400 { 2400 } else { months } }
    }

    /// In months.
    #[must_use]
    pub const fn months(self) -> u32 {
        self.months
    }

    /// Reads `25 years`, `1 year`, `18 months` or `1 month`, with or without a space.
    ///
    /// # Errors
    /// A sentence: no whole number, no unit, more than 200 years.
    pub fn parse(text: &str) -> Result<Self, String> {
        let bad =
            || format!("'{}' is no span of time; write '25 years' or '18 months', at most 200 years", shown(text));
        let text = text.trim();
        let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
        let (number, unit) = text.split_at_checked(end).ok_or_else(bad)?;
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

/// The number at the start of a quantity and the unit behind it, with or without a space between.
fn apart(text: &str) -> Option<(f64, &str)> {
    let text = text.trim();
    let numeric = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+');
    let end = text.find(|c: char| !numeric(c)).unwrap_or(text.len());
    let (number, unit) = text.split_at_checked(end)?;
    number.parse().ok().map(|n| (n, unit.trim()))
}

/// A speed of air, above 0 to 100 m/s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Speed {
    metres: f64,
    unit: SpeedUnit,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum SpeedUnit {
    Metres,
    Feet,
    FeetPerMinute,
}

impl SpeedUnit {
    /// m/s in one of it.
    const fn metres(self) -> f64 {
        match self {
            Self::Metres => 1.0,
            Self::Feet => 0.3048,
            Self::FeetPerMinute => 0.3048 / 60.0,
        }
    }
}

impl Speed {
    /// In m/s.
    #[must_use]
    pub const fn metres_per_second(self) -> f64 {
        self.metres
    }

    /// Reads `2.54 m/s`, `8.33 ft/s` or `500 ft/min`, with or without a space.
    ///
    /// # Errors
    /// A sentence: no number, no unit, out of range.
    pub fn parse(text: &str) -> Result<Self, String> {
        let bad = || format!("'{}' is no speed of air; write '2.54 m/s', '8.33 ft/s' or '500 ft/min'", shown(text));
        let (number, unit) = apart(text).ok_or_else(bad)?;
        let unit = match unit {
            "m/s" => SpeedUnit::Metres,
            "ft/s" => SpeedUnit::Feet,
            "ft/min" => SpeedUnit::FeetPerMinute,
            _ => return Err(bad()),
        };
        let metres = number * unit.metres();
        if metres > 0.0 && metres <= 100.0 {
            Ok(Self { metres, unit })
        } else {
            Err(format!("'{}' is outside 0 to 100 m/s", shown(text)))
        }
    }
}

impl fmt::Display for Speed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let unit = match self.unit {
            SpeedUnit::Metres => "m/s",
            SpeedUnit::Feet => "ft/s",
            SpeedUnit::FeetPerMinute => "ft/min",
        };
        write!(f, "{} {unit}", tidy(self.metres / self.unit.metres()))
    }
}

/// A time of a test, 0 to 86,400 s.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Seconds(f64);

impl Seconds {
    /// From seconds; `None` outside 0 to 86,400 s.
    #[must_use]
    pub fn new(seconds: f64) -> Option<Self> {
        (0.0..=86_400.0).contains(&seconds).then_some(Self(seconds))
    }

    /// In s.
    #[must_use]
    pub const fn seconds(self) -> f64 {
        self.0
    }

    /// Reads `37 s`, `37.25s`, `2 min` or `1:07.5`, with or without a space.
    ///
    /// # Errors
    /// A sentence: no number, no unit, out of range.
    pub fn parse(text: &str) -> Result<Self, String> {
        let bad = || format!("'{}' is no time; write '37 s', '2 min' or '1:07.5'", shown(text));
        let seconds = if let Some((minutes, rest)) = text.trim().split_once(':') {
            let minutes: u32 = minutes.parse().map_err(|_| bad())?;
            let (rest, unit) = apart(rest).ok_or_else(bad)?;
            if !(0.0..60.0).contains(&rest) || !unit.is_empty() {
                return Err(bad());
            }
            f64::from(minutes).mul_add(60.0, rest)
        } else {
            match apart(text).ok_or_else(bad)? {
                (number, "s") => number,
                (number, "min") => number * 60.0,
                _ => return Err(bad()),
            }
        };
        Self::new(seconds).ok_or_else(|| format!("'{}' is outside 0 to 86400 s", shown(text)))
    }
}

impl fmt::Display for Seconds {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} s", tidy(self.0))
    }
}

/// A conductivity factor C, 0 to 20 (m/s)^½.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Conductivity(f64);

impl Conductivity {
    /// From (m/s)^½; `None` outside 0 to 20.
    #[must_use]
    pub fn new(c: f64) -> Option<Self> {
        (0.0..=20.0).contains(&c).then_some(Self(c))
    }

    /// In (m/s)^½.
    #[must_use]
    pub const fn metric(self) -> f64 {
        self.0
    }

    /// Reads `0.5` or `0.5 (m/s)^0.5`.
    ///
    /// # Errors
    /// A sentence: no number, another unit, out of range.
    pub fn parse(text: &str) -> Result<Self, String> {
        let bad = || format!("'{}' is no conductivity factor; write '0.5 (m/s)^0.5'", shown(text));
        let (number, unit) = apart(text).ok_or_else(bad)?;
        if !matches!(unit.replace(' ', "").as_str(), "" | "(m/s)^0.5" | "(m/s)^½") {
            return Err(bad());
        }
        Self::new(number).ok_or_else(|| format!("'{}' is outside 0 to 20 (m/s)^0.5", shown(text)))
    }
}

impl fmt::Display for Conductivity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} (m/s)^0.5", tidy(self.0))
    }
}

/// Quantities stand in entries as the texts they are read from.
macro_rules! as_text {
    ($($name:ident),+) => {$(
        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.collect_str(self)
            }
        }

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let text = <std::borrow::Cow<'de, str>>::deserialize(deserializer)?;
                Self::parse(&text).map_err(serde::de::Error::custom)
            }
        }
    )+};
}
as_text!(Rti, Pressure, Speed, Seconds, Conductivity);

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
        for (text, months) in [("24months", 24), ("2years", 24), ("1year", 12), (" 18  months ", 18)] {
            assert_eq!(Span::parse(text).unwrap().months(), months, "{text}");
        }
    }

    #[test]
    fn figures_of_a_plunge_test_are_read_in_any_unit_and_written_as_they_were_read() {
        assert!((Speed::parse("8.33ft/s").unwrap().metres_per_second() - 2.539).abs() < 0.001);
        for (text, seconds) in [("37 s", 37.0), ("37.25s", 37.25), ("2 min", 120.0), ("1:07.5", 67.5)] {
            assert!((Seconds::parse(text).unwrap().seconds() - seconds).abs() < 1e-12, "{text}");
        }
        // 500 ft/min is 2.54 m/s exactly: 500 · 0.3048 / 60.
        assert!((Speed::parse("500ft/min").unwrap().metres_per_second() - 2.54).abs() < 1e-12);
        for text in ["2.54 m/s", "8.33 ft/s", "500 ft/min"] {
            assert_eq!(Speed::parse(text).unwrap().to_string(), text);
        }
        assert_eq!(Seconds::parse("37.25 s").unwrap().to_string(), "37.25 s");
        assert_eq!(Conductivity::parse("0.5").unwrap().to_string(), "0.5 (m/s)^0.5");
        for bad in ["", "2", "0 m/s", "-1 m/s", "NaN m/s", "inf m/s", "2 mph", "101 m/s"] {
            assert!(Speed::parse(bad).is_err(), "{bad}");
        }
        for bad in ["", "37", "-1 s", "1:60", "1:5 s", "x:10", "NaN s", "86401 s"] {
            assert!(Seconds::parse(bad).is_err(), "{bad}");
        }
        for bad in ["", "-0.1", "21", "0.5 (m.s)^0.5", "NaN"] {
            assert!(Conductivity::parse(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_quantity_that_cannot_be_meant_is_refused_with_a_sentence() {
        for bad in ["", "65", "65 s", "0 (m.s)^0.5", "NaN (m.s)^0.5", "1e9 (m.s)^0.5", "-5 (m.s)^0.5"] {
            assert!(Rti::parse(bad).is_err(), "{bad}");
        }
        for bad in ["", "7", "7 atm", "-1 psi", "inf bar"] {
            assert!(Pressure::parse(bad).is_err(), "{bad}");
        }
        for bad in
            ["", "25", "2.5 years", "-1 year", "201 years", "4294967295 years", "3 weeks", "years", "3y", "2 4 months"]
        {
            assert!(Span::parse(bad).is_err(), "{bad}");
        }
    }
}
