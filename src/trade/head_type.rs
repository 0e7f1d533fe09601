//! The type of a head: everything that a spare must share with the head whose place it takes. Kinds that differ only in year
//! made, identification number, colour or heat element are of one type.

use std::fmt;

use super::kind::{Finish, Kind, Mount, Orientation, Response, Style};
use super::quantity::{Length, Temperature, Units};

/// What a spare must share with the head whose place it takes. Ordered by rating, then response, so that a list reads as the
/// cabinet's list does.
#[derive(Clone, Debug)]
pub struct HeadType {
    rating: Temperature,
    k: super::quantity::KFactor,
    length: Option<Length>,
    key: Key,
}

#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
struct Key {
    /// Whole degrees Celsius: 155 °F and 68 °C are one rating.
    celsius: i32,
    response: Response,
    orientation: Orientation,
    mount: Mount,
    style: Style,
    /// Tenths of gpm/psi^½, of the nominal value where there is one.
    k: u32,
    coating: Option<Finish>,
    dry: bool,
    /// Millimetres.
    length: Option<u32>,
    thread: Option<String>,
}

#[expect(clippy::cast_possible_truncation, reason = "quantities are bounded: −60 to 700 °C, 0 to 1000 m, K 0.5 to 60")]
const fn whole(number: f64) -> i32 {
    number as i32
}

impl HeadType {
    /// The type of a kind.
    #[must_use]
    pub fn of(kind: &Kind) -> Self {
        let k = kind.k.nominal().map_or_else(|| kind.k.us(), |(us, _)| us);
        let key = Key {
            celsius: whole(kind.rating.celsius().round()),
            response: kind.response,
            orientation: kind.orientation,
            mount: kind.mount,
            style: kind.style,
            k: whole((k * 10.0).round()).unsigned_abs(),
            coating: Some(kind.finish).filter(|f| f.resists_corrosion()),
            dry: kind.dry,
            length: kind.length.map(|l| whole((l.metres() * 1000.0).round()).unsigned_abs()),
            thread: kind.thread.as_deref().map(thread_key).filter(|t| !t.is_empty()),
        };
        Self { rating: kind.rating, k: kind.k, length: kind.length, key }
    }

    /// The marked rating.
    #[must_use]
    pub const fn rating(&self) -> Temperature {
        self.rating
    }

    /// The rating in whole degrees Celsius, by which types are told apart.
    #[must_use]
    pub const fn celsius(&self) -> i32 {
        self.key.celsius
    }

    /// Thermal sensitivity.
    #[must_use]
    pub const fn response(&self) -> Response {
        self.key.response
    }

    /// Whether it is a dry head.
    #[must_use]
    pub const fn is_dry(&self) -> bool {
        self.key.dry
    }

    /// What it is listed for.
    #[must_use]
    pub const fn style(&self) -> Style {
        self.key.style
    }

    /// One line a person can look for it by: `pendent, quick, 155 °F, K5.6`.
    #[must_use]
    pub fn describe(&self, units: Units) -> String {
        let mut words = vec![self.placed(), self.key.response.to_string(), self.rating.show(units), self.k.show(units)];
        words.extend(self.key.coating.map(|c| c.to_string()));
        words.extend(self.length.map(|l| format!("{} long", l.show(units))));
        words.extend(self.key.thread.as_ref().map(|t| format!("thread {t}")));
        words.join(", ")
    }

    /// How it is placed and what it is listed for: `dry concealed sidewall, extended coverage`.
    fn placed(&self) -> String {
        let mut words = Vec::new();
        if self.key.dry {
            words.push("dry".to_owned());
        }
        if self.key.mount != Mount::Exposed {
            words.push(self.key.mount.to_string());
        }
        words.push(self.key.orientation.to_string());
        let mut placed = words.join(" ");
        placed.push_str(self.key.style.after_comma());
        placed
    }
}

impl PartialEq for HeadType {
    fn eq(&self, other: &Self) -> bool {
        self.key == other.key
    }
}

impl Eq for HeadType {}

impl PartialOrd for HeadType {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for HeadType {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.key.cmp(&other.key)
    }
}

impl std::hash::Hash for HeadType {
    fn hash<H: std::hash::Hasher>(&self, state: &mut H) {
        self.key.hash(state);
    }
}

impl fmt::Display for HeadType {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.describe(Units::Us))
    }
}

/// A thread as it is compared: fractions as figures, without blanks, quotes, unit or case. `½ in NPT` and `1/2" npt` are one.
#[must_use]
pub fn thread_key(text: &str) -> String {
    let spelled = text.to_lowercase().replace('½', "1/2").replace('¾', "3/4").replace('⅜', "3/8").replace('⅝', "5/8");
    let words = spelled.replace(['"', '″', '”'], " in ");
    let bare = words.split_whitespace().filter(|w| !matches!(*w, "in" | "inch" | "in." | "thread"));
    bare.collect::<Vec<_>>().join("").replace("mm", "").replace('-', "")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::kind::Element;
    use crate::trade::quantity::{KFactor, PartialDate};

    fn kind() -> Kind {
        Kind {
            id: "qr".to_owned(),
            orientation: Orientation::Pendent,
            mount: Mount::Exposed,
            response: Response::Quick,
            style: Style::Spray,
            element: Element::Bulb,
            rating: Temperature::parse("155 F").unwrap(),
            k: KFactor::parse("5.6").unwrap(),
            finish: Finish::Chrome,
            made: None,
            number: None,
            dry: false,
            length: None,
            thread: None,
            guard: false,
            wrench: None,
            note: None,
        }
    }

    #[test]
    fn year_number_colour_element_and_the_unit_system_make_no_other_type() {
        let one = HeadType::of(&kind());
        let same = [
            Kind { made: PartialDate::parse("2024").ok(), number: Some("MQ1".to_owned()), ..kind() },
            Kind { finish: Finish::White, element: Element::Link, guard: true, ..kind() },
            Kind { rating: Temperature::parse("68 C").unwrap(), k: KFactor::parse("80 metric").unwrap(), ..kind() },
        ];
        for kind in same {
            assert_eq!(HeadType::of(&kind), one, "{kind:?}");
        }
    }

    #[test]
    fn everything_that_a_spare_must_share_makes_another_type() {
        let one = HeadType::of(&kind());
        let other = [
            Kind { orientation: Orientation::Upright, ..kind() },
            Kind { mount: Mount::Concealed, ..kind() },
            Kind { response: Response::Standard, ..kind() },
            Kind { style: Style::Extended, ..kind() },
            Kind { rating: Temperature::parse("165 F").unwrap(), ..kind() },
            Kind { k: KFactor::parse("8.0").unwrap(), ..kind() },
            Kind { finish: Finish::Wax, ..kind() },
            Kind { dry: true, ..kind() },
            Kind { length: Length::parse("18 in").ok(), ..kind() },
            Kind { thread: Some("3/4 NPT".to_owned()), ..kind() },
        ];
        for kind in other {
            assert_ne!(HeadType::of(&kind), one, "{kind:?}");
        }
    }

    #[test]
    fn threads_are_compared_without_regard_to_how_they_are_written() {
        for text in ["½ in NPT", "1/2\" npt", "1/2 NPT", "1/2-in. NPT".replace("-in.", " in.").as_str()] {
            assert_eq!(thread_key(text), "1/2npt", "{text}");
        }
        assert_ne!(thread_key("3/4 NPT"), thread_key("1/2 NPT"));
    }
}
