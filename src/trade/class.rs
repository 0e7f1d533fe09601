//! Temperature classes of heads: which rating belongs to which class, the ceiling it is meant for, and the colours by
//! which the class is told from the floor.

use super::quantity::Temperature;
use super::words::words;

words! {
    /// A temperature class (NFPA 13:2022 Table 7.2.4.1).
    pub enum Class ("temperature class") {
        /// 135–170 °F (57–77 °C).
        Ordinary = "ordinary",
        /// 175–225 °F (79–107 °C).
        Intermediate = "intermediate",
        /// 250–300 °F (121–149 °C).
        High = "high",
        /// 325–375 °F (163–191 °C).
        ExtraHigh = "extra-high",
        /// 400–475 °F (204–246 °C).
        VeryExtraHigh = "very-extra-high",
        /// 500–650 °F (260–343 °C).
        UltraHigh = "ultra-high",
    }
}

words! {
    /// The colour of a glass bulb's liquid or of a fusible head's frame.
    pub enum Colour ("colour") {
        /// No colour or black frame.
        Uncoloured = "uncoloured",
        /// Orange.
        Orange = "orange",
        /// Red.
        Red = "red",
        /// Yellow.
        Yellow = "yellow",
        /// Green.
        Green = "green",
        /// White.
        White = "white",
        /// Blue.
        Blue = "blue",
        /// Purple, which international texts call mauve.
        Purple = "purple",
        /// Black.
        Black = "black",
    }
}

/// One row of the table: whole degrees Fahrenheit, as printed.
struct Row {
    class: Class,
    rating: (i32, i32),
    frame: Colour,
}

/// NFPA 13:2022 Table 7.2.4.1 (the same figures as Table 6.2.5.1 of the 2007 to 2016 editions), without the ceilings:
/// which rating a ceiling calls for is said by the rule set.
const TABLE: [Row; 7] = [
    Row { class: Class::Ordinary, rating: (135, 170), frame: Colour::Uncoloured },
    Row { class: Class::Intermediate, rating: (175, 225), frame: Colour::White },
    Row { class: Class::High, rating: (250, 300), frame: Colour::Blue },
    Row { class: Class::ExtraHigh, rating: (325, 375), frame: Colour::Red },
    Row { class: Class::VeryExtraHigh, rating: (400, 475), frame: Colour::Green },
    Row { class: Class::UltraHigh, rating: (500, 575), frame: Colour::Orange },
    Row { class: Class::UltraHigh, rating: (650, 650), frame: Colour::Orange },
];

/// Published metric values are rounded to the whole degree Celsius, so a rating belongs to a row when it is within
/// 0.6 °C of its range: `57 C` is the row of 135 °F (57.22 °C).
const ROUNDING: f64 = 0.6;

fn row(rating: Temperature) -> Option<&'static Row> {
    TABLE.iter().find(|row| {
        let low = celsius(row.rating.0) - ROUNDING;
        let high = celsius(row.rating.1) + ROUNDING;
        (low..=high).contains(&rating.celsius())
    })
}

fn celsius(fahrenheit: i32) -> f64 {
    (f64::from(fahrenheit) - 32.0) / 1.8
}

impl Class {
    /// The class of a temperature rating, or `None` when no row of the table holds it.
    #[must_use]
    pub fn of(rating: Temperature) -> Option<Self> {
        row(rating).map(|r| r.class)
    }

    /// How many classes lie between two (0: the same).
    #[must_use]
    pub fn steps_to(self, other: Self) -> usize {
        let at = |c: Self| Self::ALL.iter().position(|x| *x == c).unwrap_or(0);
        at(self).abs_diff(at(other))
    }
}

/// The lowest class that has a rating of so many degrees Celsius or more, or `None` above the table.
#[must_use]
pub fn reaching(degrees: f64) -> Option<Class> {
    TABLE.iter().find(|row| degrees <= celsius(row.rating.1)).map(|r| r.class)
}

/// The frame colour of a fusible head of this rating (NFPA 13:2022 Table 7.2.4.1; IMO MSC/Circ.668 App. A Table 1).
#[must_use]
pub fn frame_colour(rating: Temperature) -> Option<Colour> {
    row(rating).map(|r| r.frame)
}

/// The colour of a glass bulb of this rating (NFPA 13:2022 Table 7.2.4.1; IMO MSC/Circ.668 App. A Table 1: orange 57,
/// red 68, yellow 79, green 93–100, blue 121–141, mauve 163–182, black 204–343 °C).
#[must_use]
pub fn bulb_colour(rating: Temperature) -> Option<Colour> {
    // Upper bounds in °C half-way to the next published point.
    let c = rating.celsius();
    row(rating)?;
    Some(if c < 62.5 {
        Colour::Orange
    } else if c < 77.6 {
        Colour::Red
    } else if c < 86.0 {
        Colour::Yellow
    } else if c < 114.0 {
        Colour::Green
    } else if c < 156.0 {
        Colour::Blue
    } else if c < 198.0 {
        Colour::Purple
    } else {
        Colour::Black
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn t(text: &str) -> Temperature {
        Temperature::parse(text).expect(text)
    }

    #[test]
    fn classes_and_frames_are_those_of_nfpa_13_table_7_2_4_1() {
        let rows = [
            ("135 F", "170 F", Class::Ordinary, Colour::Uncoloured),
            ("175 F", "225 F", Class::Intermediate, Colour::White),
            ("250 F", "300 F", Class::High, Colour::Blue),
            ("325 F", "375 F", Class::ExtraHigh, Colour::Red),
            ("400 F", "475 F", Class::VeryExtraHigh, Colour::Green),
            ("500 F", "575 F", Class::UltraHigh, Colour::Orange),
            ("650 F", "650 F", Class::UltraHigh, Colour::Orange),
            ("57 C", "77 C", Class::Ordinary, Colour::Uncoloured),
            ("79 C", "107 C", Class::Intermediate, Colour::White),
            ("121 C", "149 C", Class::High, Colour::Blue),
            ("163 C", "191 C", Class::ExtraHigh, Colour::Red),
            ("204 C", "246 C", Class::VeryExtraHigh, Colour::Green),
            ("260 C", "302 C", Class::UltraHigh, Colour::Orange),
            ("343 C", "343 C", Class::UltraHigh, Colour::Orange),
        ];
        for (low, high, class, frame) in rows {
            for rating in [low, high] {
                assert_eq!(Class::of(t(rating)), Some(class), "{rating}");
                assert_eq!(frame_colour(t(rating)), Some(frame), "{rating}");
            }
        }
        for none in ["100 F", "240 F", "310 F", "390 F", "490 F", "700 F", "20 C"] {
            assert_eq!(Class::of(t(none)), None, "{none}");
        }
        assert_eq!(reaching(68.0), Some(Class::Ordinary));
        assert_eq!(reaching(78.0), Some(Class::Intermediate));
        assert_eq!(reaching(400.0), None);
    }

    #[test]
    fn bulb_colours_are_those_of_imo_msc_circ_668_and_nfpa_13() {
        let rows = [
            ("57 C", Colour::Orange),
            ("68 C", Colour::Red),
            ("79 C", Colour::Yellow),
            ("93 C", Colour::Green),
            ("100 C", Colour::Green),
            ("121 C", Colour::Blue),
            ("141 C", Colour::Blue),
            ("163 C", Colour::Purple),
            ("182 C", Colour::Purple),
            ("204 C", Colour::Black),
            ("343 C", Colour::Black),
            ("135 F", Colour::Orange),
            ("155 F", Colour::Red),
            ("175 F", Colour::Yellow),
            ("200 F", Colour::Green),
            ("286 F", Colour::Blue),
            ("360 F", Colour::Purple),
            ("500 F", Colour::Black),
        ];
        for (rating, colour) in rows {
            assert_eq!(bulb_colour(t(rating)), Some(colour), "{rating}");
        }
    }
}
