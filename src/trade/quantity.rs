//! Quantities: a number that knows its unit, its valid range and how it was written. Temperatures are held in °C,
//! lengths in m, K-factors in L/min/bar^½; a file may write either unit system, and always names the unit (a bare
//! K-factor is gpm/psi^½, as the trade writes it).

use std::fmt;

/// Which unit system a site shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Units {
    /// °F, in, gpm/psi^½.
    #[default]
    Us,
    /// °C, mm, L/min/bar^½.
    Metric,
}

impl Units {
    /// Reads `us` or `metric`.
    ///
    /// # Errors
    /// A sentence when it is neither.
    pub fn parse(text: &str) -> Result<Self, String> {
        match text {
            "us" => Ok(Self::Us),
            "metric" => Ok(Self::Metric),
            other => Err(super::words::unknown("unit system", other, &["us", "metric"])),
        }
    }

    /// `us` or `metric`.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Us => "us",
            Self::Metric => "metric",
        }
    }
}

/// L/min/bar^½ in one gpm/psi^½: 3.785411784 L per gallon, √14.50377377 psi per bar (exact definitions of gallon,
/// pound-force and inch).
pub const METRIC_PER_US_K: f64 = 14.416_287_3;

/// A temperature, −60 °C to 700 °C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Temperature {
    celsius: f64,
    fahrenheit: bool,
}

impl Temperature {
    /// From degrees Celsius; `None` outside −60 to 700 °C.
    #[must_use]
    pub fn from_celsius(celsius: f64) -> Option<Self> {
        (-60.0..=700.0).contains(&celsius).then_some(Self { celsius, fahrenheit: false })
    }

    /// From degrees Fahrenheit; `None` outside −60 to 700 °C.
    #[must_use]
    pub fn from_fahrenheit(fahrenheit: f64) -> Option<Self> {
        Self::from_celsius((fahrenheit - 32.0) / 1.8).map(|t| Self { fahrenheit: true, ..t })
    }

    /// Degrees Celsius.
    #[must_use]
    pub const fn celsius(self) -> f64 {
        self.celsius
    }

    /// Degrees Fahrenheit.
    #[must_use]
    pub fn fahrenheit(self) -> f64 {
        self.celsius.mul_add(1.8, 32.0)
    }

    /// Reads `155 F`, `68 C`, with or without a degree sign or a space.
    ///
    /// # Errors
    /// A sentence: no number, no unit, out of range.
    pub fn parse(text: &str) -> Result<Self, String> {
        let (number, unit) = split(text)?;
        let made = match unit.trim_start_matches('°') {
            "F" | "f" => Self::from_fahrenheit(number),
            "C" | "c" => Self::from_celsius(number),
            "" => return Err(format!("'{}' has no unit; write '{} F' or '{} C'", shown(text), number, number)),
            _ => return Err(format!("'{}' is no temperature; write it as '155 F' or '68 C'", shown(text))),
        };
        made.ok_or_else(|| format!("'{}' is outside -60 C to 700 C", shown(text)))
    }

    /// In the given unit system, to the whole degree.
    #[must_use]
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => format!("{:.0} °F", self.fahrenheit()),
            Units::Metric => format!("{:.0} °C", self.celsius),
        }
    }
}

impl fmt::Display for Temperature {
    /// As it stands in a file, in the unit it was written in.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.fahrenheit { write!(f, "{} F", tidy(self.fahrenheit())) } else { write!(f, "{} C", tidy(self.celsius)) }
    }
}

/// A nominal K-factor of the published table.
struct Nominal {
    /// gpm/psi^½.
    us: f64,
    /// The label in L/min/bar^½.
    label: f64,
    /// Actual values that go by it, gpm/psi^½.
    range: (f64, f64),
    /// The same as printed in L/min/bar^½: rounded by itself, and wider here and there than the other.
    metric: (f64, f64),
}

const fn nominal(us: f64, label: f64, range: (f64, f64), metric: (f64, f64)) -> Nominal {
    Nominal { us, label, range, metric }
}

/// Source: NFPA 13 Table 7.2.2.1 (6.2.3.1 in older editions); 1.4, 1.9, 19.6 and 28.0 from memory.
const NOMINAL_K: [Nominal; 13] = [
    nominal(1.4, 20.0, (1.3, 1.5), (19.0, 22.0)),
    nominal(1.9, 27.0, (1.8, 2.0), (26.0, 29.0)),
    nominal(2.8, 40.0, (2.6, 2.9), (38.0, 42.0)),
    nominal(4.2, 60.0, (4.0, 4.4), (57.0, 63.0)),
    nominal(5.6, 80.0, (5.3, 5.8), (76.0, 84.0)),
    nominal(8.0, 115.0, (7.4, 8.2), (107.0, 118.0)),
    nominal(11.2, 160.0, (10.7, 11.7), (159.0, 166.0)),
    nominal(14.0, 200.0, (13.5, 14.5), (195.0, 209.0)),
    nominal(16.8, 240.0, (16.0, 17.6), (231.0, 254.0)),
    nominal(19.6, 280.0, (18.6, 20.6), (272.0, 301.0)),
    nominal(22.4, 320.0, (21.3, 23.5), (311.0, 343.0)),
    nominal(25.2, 360.0, (23.9, 26.5), (349.0, 387.0)),
    nominal(28.0, 400.0, (26.6, 29.4), (389.0, 430.0)),
];

/// A discharge coefficient, 0.5 to 60 gpm/psi^½.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KFactor {
    metric: f64,
    us: bool,
}

impl KFactor {
    /// gpm/psi^½.
    #[must_use]
    pub fn us(self) -> f64 {
        self.metric / METRIC_PER_US_K
    }

    /// L/min/bar^½.
    #[must_use]
    pub const fn metric(self) -> f64 {
        self.metric
    }

    /// The nominal value that it goes by, gpm/psi^½ and L/min/bar^½: 5.6, 5.7 and 80 metric are one. `None` between the
    /// ranges of the published table.
    #[must_use]
    pub fn nominal(self) -> Option<(f64, f64)> {
        let within = |value: f64, (from, to): (f64, f64)| (from - 1e-9..=to + 1e-9).contains(&value);
        let printed = NOMINAL_K.iter().find(|n| !self.us && within(self.metric, n.metric));
        let hit = printed.or_else(|| NOMINAL_K.iter().find(|n| within(self.us(), n.range)));
        hit.map(|n| (n.us, n.label))
    }

    /// Reads `5.6` (gpm/psi^½) or `80 metric` (L/min/bar^½).
    ///
    /// # Errors
    /// A sentence: no number, unknown unit, out of range.
    pub fn parse(text: &str) -> Result<Self, String> {
        let (number, unit) = split(text)?;
        let made = match unit {
            "" | "us" => Self { metric: number * METRIC_PER_US_K, us: true },
            "metric" => Self { metric: number, us: false },
            _ => return Err(format!("'{}' is no K-factor; write '5.6', or '80 metric'", shown(text))),
        };
        if (0.5..=60.0).contains(&made.us()) {
            Ok(made)
        } else {
            Err(format!("'{}' is outside 0.5 to 60 (7 to 865 metric)", shown(text)))
        }
    }

    /// In the given unit system, to the trade's precision.
    #[must_use]
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => format!("K{:.1}", self.us()),
            Units::Metric => format!("K{:.0}", self.metric),
        }
    }
}

impl fmt::Display for KFactor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.us { write!(f, "{}", tidy(self.us())) } else { write!(f, "{} metric", tidy(self.metric)) }
    }
}

/// The unit a length was written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum LengthUnit {
    Millimetre,
    Metre,
    Inch,
    Foot,
}

/// A length, 0 to 1000 m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Length {
    metres: f64,
    unit: LengthUnit,
}

impl Length {
    /// Metres.
    #[must_use]
    pub const fn metres(self) -> f64 {
        self.metres
    }

    /// Reads `18 in`, `3 ft`, `450 mm`, `0.45 m`.
    ///
    /// # Errors
    /// A sentence: no number, no unit, out of range.
    pub fn parse(text: &str) -> Result<Self, String> {
        let (number, unit) = split(text)?;
        let (factor, unit) = match unit {
            "mm" => (0.001, LengthUnit::Millimetre),
            "m" => (1.0, LengthUnit::Metre),
            "in" | "\"" => (0.0254, LengthUnit::Inch),
            "ft" | "'" => (0.3048, LengthUnit::Foot),
            "" => return Err(format!("'{}' has no unit; write '18 in', '3 ft', '450 mm' or '0.45 m'", shown(text))),
            _ => return Err(format!("'{}' is no length; write '18 in', '3 ft', '450 mm' or '0.45 m'", shown(text))),
        };
        let metres = number * factor;
        if (0.0..=1000.0).contains(&metres) {
            Ok(Self { metres, unit })
        } else {
            Err(format!("'{}' is outside 0 to 1000 m", shown(text)))
        }
    }

    /// In the given unit system: inches, or millimetres.
    #[must_use]
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => format!("{:.0} in", self.metres / 0.0254),
            Units::Metric => format!("{:.0} mm", self.metres * 1000.0),
        }
    }
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.unit {
            LengthUnit::Millimetre => write!(f, "{} mm", tidy(self.metres * 1000.0)),
            LengthUnit::Metre => write!(f, "{} m", tidy(self.metres)),
            LengthUnit::Inch => write!(f, "{} in", tidy(self.metres / 0.0254)),
            LengthUnit::Foot => write!(f, "{} ft", tidy(self.metres / 0.3048)),
        }
    }
}

macro_rules! text_serde {
    ($($name:ident)+) => {$(
        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.collect_str(self)
            }
        }
        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                deserializer.deserialize_any(Scalar).and_then(|t| Self::parse(&t).map_err(serde::de::Error::custom))
            }
        }
    )+};
}
/// Text, or a number that a hand-written entry left without quotes (`made: 2009`, `k: 5.6`).
struct Scalar;

impl<'de> serde::de::Visitor<'de> for Scalar {
    type Value = std::borrow::Cow<'de, str>;
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a quantity with its unit")
    }
    fn visit_borrowed_str<E>(self, v: &'de str) -> Result<Self::Value, E> {
        Ok(v.into())
    }
    fn visit_str<E>(self, v: &str) -> Result<Self::Value, E> {
        Ok(v.to_owned().into())
    }
    fn visit_i64<E>(self, v: i64) -> Result<Self::Value, E> {
        Ok(v.to_string().into())
    }
    fn visit_u64<E>(self, v: u64) -> Result<Self::Value, E> {
        Ok(v.to_string().into())
    }
    fn visit_f64<E>(self, v: f64) -> Result<Self::Value, E> {
        Ok(v.to_string().into())
    }
}

text_serde!(Temperature KFactor Length);

/// A date of which the day or the month may be unknown: `2009`, `2009-05` or `2009-05-17`, 1870 to 2200.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PartialDate {
    /// Year.
    pub year: i32,
    /// Month, 1 to 12, if known.
    pub month: Option<u32>,
    /// Day of the month, if known.
    pub day: Option<u32>,
}

impl PartialDate {
    /// Reads `2009`, `2009-05` or `2009-05-17`.
    ///
    /// # Errors
    /// A sentence when it is no such date.
    pub fn parse(text: &str) -> Result<Self, String> {
        let bad = || format!("'{}' is no date; write 2009, 2009-05 or 2009-05-17", shown(text));
        let mut parts = text.trim().split('-');
        let year: i32 = parts.next().filter(|y| y.len() == 4).and_then(|y| y.parse().ok()).ok_or_else(bad)?;
        let month = parts.next().map(str::parse::<u32>).transpose().map_err(|_| bad())?;
        let day = parts.next().map(str::parse::<u32>).transpose().map_err(|_| bad())?;
        if parts.next().is_some() || !(1870..=2200).contains(&year) {
            return Err(bad());
        }
        let date = Self { year, month, day };
        chrono::NaiveDate::from_ymd_opt(year, month.unwrap_or(1), day.unwrap_or(1)).ok_or_else(bad)?;
        Ok(date)
    }

    /// The earliest day it can mean.
    #[must_use]
    pub fn earliest(self) -> Option<chrono::NaiveDate> {
        chrono::NaiveDate::from_ymd_opt(self.year, self.month.unwrap_or(1), self.day.unwrap_or(1))
    }
}

impl fmt::Display for PartialDate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}", self.year)?;
        if let Some(month) = self.month {
            write!(f, "-{month:02}")?;
        }
        if let Some(day) = self.day {
            write!(f, "-{day:02}")?;
        }
        Ok(())
    }
}
text_serde!(PartialDate);

/// Splits `155 F` into the number and the unit.
fn split(text: &str) -> Result<(f64, &str), String> {
    let text = text.trim();
    let end = text.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-' || c == '+')).unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    match number.parse::<f64>() {
        Ok(n) if n.is_finite() => Ok((n, unit.trim())),
        _ => Err(format!("'{}' does not start with a number", shown(text))),
    }
}

fn shown(text: &str) -> String {
    crate::diag::plain(text).chars().take(40).collect()
}

/// A number without needless decimals, to six significant digits: conversions there and back give what was written.
fn tidy(number: f64) -> f64 {
    let rounded = (number * 10_000.0).round() / 10_000.0;
    if rounded == 0.0 { 0.0 } else { rounded }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn quantities_are_read_in_both_unit_systems() {
        // NFPA 13 Table 7.2.4.1 prints 155 °F with 68 °C, 100 °F with 38 °C.
        assert!((Temperature::parse("155 F").unwrap().celsius() - 68.33).abs() < 0.01);
        assert_eq!(Temperature::parse("155F").unwrap().show(Units::Metric), "68 °C");
        assert_eq!(Temperature::parse("68 °C").unwrap().show(Units::Us), "154 °F");
        // NFPA 13 Table 7.2.2.1: nominal 5.6 is 80 in metric units; 14.416 L/min/bar^½ to one gpm/psi^½.
        assert!((KFactor::parse("5.6").unwrap().metric() - 80.73).abs() < 0.01);
        assert!((KFactor::parse("80 metric").unwrap().us() - 5.549).abs() < 0.001);
        assert_eq!(KFactor::parse("5.6").unwrap().show(Units::Metric), "K81");
        // NFPA 13 prints 18 in. as 457 mm, 36 in. as 914 mm.
        assert_eq!(Length::parse("18 in").unwrap().show(Units::Metric), "457 mm");
        assert_eq!(Length::parse("3 ft").unwrap().show(Units::Metric), "914 mm");
    }

    #[test]
    fn a_quantity_that_cannot_be_meant_is_refused_with_a_sentence() {
        for bad in ["", "155", "F", "155 K", "1e5 F", "NaN C", "2000 C", "--3 F", "1.2.3 C"] {
            assert!(Temperature::parse(bad).is_err(), "{bad}");
        }
        for bad in ["", "x", "0", "900", "5.6 mm", "-5.6"] {
            assert!(KFactor::parse(bad).is_err(), "{bad}");
        }
        for bad in ["", "18", "18 furlongs", "-1 m", "2000 m"] {
            assert!(Length::parse(bad).is_err(), "{bad}");
        }
        assert_eq!(Temperature::parse("155").unwrap_err(), "'155' has no unit; write '155 F' or '155 C'");
    }

    #[test]
    fn a_date_may_leave_out_what_is_unknown() {
        for good in ["2009", "2009-05", "2009-05-17"] {
            assert_eq!(PartialDate::parse(good).unwrap().to_string(), good);
        }
        for bad in ["", "09", "2009-13", "2009-02-30", "2009-5-1-1", "last year", "20090101"] {
            assert!(PartialDate::parse(bad).is_err(), "{bad}");
        }
    }

    proptest! {
        #[test]
        fn a_quantity_reads_back_as_it_was_written(n in 1u32..9000, f in any::<bool>()) {
            let number = f64::from(n) / 10.0;
            for text in [
                format!("{number} {}", if f { "F" } else { "C" }),
            ] {
                if let Ok(t) = Temperature::parse(&text) {
                    prop_assert_eq!(t.to_string(), text);
                }
            }
            for unit in ["in", "ft", "mm", "m"] {
                let text = format!("{number} {unit}");
                if let Ok(t) = Length::parse(&text) {
                    prop_assert_eq!(t.to_string(), text);
                }
            }
            for text in [format!("{number}"), format!("{number} metric")] {
                if let Ok(t) = KFactor::parse(&text) {
                    prop_assert_eq!(t.to_string(), text);
                }
            }
        }
    }
}
