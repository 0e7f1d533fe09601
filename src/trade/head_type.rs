//! The type of a head: everything that a spare must share with the head whose place it takes. Kinds that differ only in year
//! made, identification number, colour or heat element are of one type.

use std::collections::{BTreeMap, BTreeSet};
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
        // Residential heads are listed with their own K-factors: 5.5 and 5.8 are two there, though both go by 5.6.
        let nominal = kind.k.nominal().filter(|_| kind.style != Style::Residential);
        let k = nominal.map_or_else(|| kind.k.us(), |(us, _)| us);
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

    /// Whether the thread is known.
    #[must_use]
    pub const fn has_thread(&self) -> bool {
        self.key.thread.is_some()
    }

    /// The types of kinds, in their order. A kind whose thread is not known is taken for one of the only thread that other kinds
    /// of the same make-up bear; where they bear several, it stays a type of its own.
    #[must_use]
    pub fn of_all(kinds: &[Kind]) -> Vec<Self> {
        let mut types: Vec<Self> = kinds.iter().map(Self::of).collect();
        let mut threads: BTreeMap<Key, BTreeSet<String>> = BTreeMap::new();
        for key in types.iter().map(|t| &t.key) {
            threads.entry(Key { thread: None, ..key.clone() }).or_default().extend(key.thread.clone());
        }
        for of in types.iter_mut().filter(|t| !t.has_thread()) {
            let known = threads.get(&of.key).into_iter().flatten();
            if let [only] = known.collect::<Vec<_>>().as_slice() {
                of.key.thread = Some((*only).clone());
            }
        }
        types
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

/// Spellings that are one thread: `½" NPT`, `1/2 in. npt` and `NPT 1/2` come out alike; empty where nothing is written.
/// Sizes are compared as written, so `1/2` and `DN 15` stay apart.
#[must_use]
pub fn thread_key(text: &str) -> String {
    let mut sizes: Vec<String> = Vec::new();
    let mut names: Vec<String> = Vec::new();
    let mut pitched = false;
    for word in words(&spelled_out(text)) {
        match word {
            // Threads to the inch, written behind the size, follow from size and name: `1/2-14 NPT`.
            Word::Hyphen => pitched = sizes.last().is_some_and(|size| size.contains('/')),
            Word::Size(size) => {
                if !std::mem::take(&mut pitched) || size.contains('/') {
                    sizes.push(size);
                }
            }
            Word::Name(name) => {
                pitched = false;
                // A unit may be run into the name: `1/2inNPT`. No name of a thread begins with `in`.
                let mut name = name.as_str();
                while let Some(rest) = ["inches", "inch", "in"].iter().find_map(|unit| name.strip_prefix(unit)) {
                    name = rest;
                }
                if !name.is_empty() {
                    names.push(name.to_owned());
                }
            }
        }
    }
    sizes.append(&mut names);
    sizes.join(" ")
}

enum Word {
    Size(String),
    Name(String),
    Hyphen,
}

/// Small letters, and fractions of one sign in digits.
fn spelled_out(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '¼' => out.push_str(" 1/4"),
            '½' => out.push_str(" 1/2"),
            '¾' => out.push_str(" 3/4"),
            '⅛' => out.push_str(" 1/8"),
            '⅜' => out.push_str(" 3/8"),
            '⅝' => out.push_str(" 5/8"),
            '⅞' => out.push_str(" 7/8"),
            '⁄' | '∕' => out.push('/'),
            '‐' | '‑' | '–' | '—' => out.push('-'),
            c => out.extend(c.to_lowercase()),
        }
    }
    out
}

/// Runs of digits (with `/` and a point between digits), runs of letters, hyphens; everything else parts them.
fn words(text: &str) -> Vec<Word> {
    let mut found = Vec::new();
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        let run = |first: char, chars: &mut std::iter::Peekable<std::str::Chars<'_>>, takes: fn(char) -> bool| {
            let mut run = String::from(first);
            while let Some(c) = chars.next_if(|c| takes(*c)) {
                run.push(c);
            }
            run
        };
        if c.is_ascii_digit() {
            let size = run(c, &mut chars, |c| c.is_ascii_digit() || c == '/' || c == '.');
            found.push(Word::Size(size.trim_end_matches(['/', '.']).to_owned()));
        } else if c.is_alphabetic() {
            found.push(Word::Name(run(c, &mut chars, char::is_alphabetic)));
        } else if c == '-' {
            found.push(Word::Hyphen);
        }
    }
    found
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
    fn an_unknown_thread_is_taken_for_the_only_known_one_and_never_for_one_of_two() {
        let with = |thread: Option<&str>| Kind { thread: thread.map(str::to_owned), ..kind() };
        let same = HeadType::of_all(&[with(None), with(Some("1/2 NPT")), with(Some("½ npt"))]);
        assert!(same.windows(2).all(|w| w[0] == w[1]), "{same:?}");
        let two = HeadType::of_all(&[with(None), with(Some("1/2 NPT")), with(Some("R 1/2"))]);
        assert!(two[0] != two[1] && two[0] != two[2] && two[1] != two[2], "{two:?}");
        let other = Kind { response: Response::Standard, ..with(Some("3/4 NPT")) };
        assert!(!HeadType::of_all(&[with(None), other])[0].has_thread());
    }

    #[test]
    fn near_k_factors_are_one_but_for_residential_heads() {
        let of = |k: &str, style: Style| HeadType::of(&Kind { k: KFactor::parse(k).unwrap(), style, ..kind() });
        assert_eq!(of("5.5", Style::Spray), of("5.8", Style::Spray));
        assert_ne!(of("5.5", Style::Residential), of("5.8", Style::Residential));
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
    fn one_thread_has_many_spellings() {
        for text in [
            "1/2 NPT",
            "½ NPT",
            "½\" NPT",
            "1/2\u{2033} npt",
            " 1/2 in. NPT ",
            "1/2in NPT",
            "1/2inNPT",
            "1/2 inch NPT",
            "1⁄2 NPT",
            "NPT 1/2",
            "NPT ½",
            "1/2\"NPT",
            "1/2-NPT",
            "1/2-14 NPT",
            "½–14 NPT",
            "1/2 Npt.",
        ] {
            assert_eq!(thread_key(text), "1/2 npt", "{text}");
        }
        assert_eq!(thread_key("R 3/8"), thread_key("⅜ R"));
        assert_eq!(thread_key("1-1/4 NPT"), thread_key("1¼ in NPT"));
        assert_eq!(thread_key("M22x1.5"), thread_key("m 22 x 1.5"));
    }

    #[test]
    fn threads_that_do_not_fit_one_another_stay_apart() {
        let keys =
            ["1/2 NPT", "3/4 NPT", "1 NPT", "1/2 BSPT", "R 1/2", "3/8 R", "1/4 NPT", "1-1/4 NPT", "11/4 NPT", "1/2"];
        for (i, one) in keys.iter().enumerate() {
            for other in &keys[i + 1..] {
                assert_ne!(thread_key(one), thread_key(other), "{one} and {other}");
            }
        }
    }

    #[test]
    fn nothing_written_is_no_thread() {
        for text in ["", "  ", "\"", "in.", "-"] {
            assert_eq!(thread_key(text), "", "{text}");
        }
    }

    proptest::proptest! {
        #[test]
        fn a_key_is_its_own_key(text in "\\PC{0,24}") {
            let key = thread_key(&text);
            proptest::prop_assert_eq!(thread_key(&key), key);
        }
    }
}
