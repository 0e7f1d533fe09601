//! Addresses of heads: `pack/3.7` is the seventh head on the third line of area `pack`. Line and place numbers are
//! given once and kept: a head that is taken away leaves its number unused.

use std::fmt;

/// The name of an area in addresses: 1 to 32 of `a-z`, `0-9` and `-`, not starting with `-`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct AreaId(String);

impl AreaId {
    /// Reads an area's name.
    ///
    /// # Errors
    /// A sentence that says which characters may be used.
    pub fn parse(text: &str) -> Result<Self, String> {
        Self::named(text, "area name")
    }

    /// Reads the short name of a lot.
    ///
    /// # Errors
    /// A sentence that says which characters may be used.
    pub fn of_lot(text: &str) -> Result<Self, String> {
        Self::named(text, "short name of a lot")
    }

    /// Reads the name of a cabinet.
    ///
    /// # Errors
    /// A sentence that says which characters may be used.
    pub fn of_cabinet(text: &str) -> Result<Self, String> {
        Self::named(text, "name of a cabinet")
    }

    fn named(text: &str, what: &str) -> Result<Self, String> {
        let good = (1..=32).contains(&text.len())
            && !text.starts_with('-')
            && text.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-');
        if good {
            Ok(Self(text.to_owned()))
        } else {
            Err(format!(
                "'{}' is no {what}; use 1 to 32 of a-z, 0-9 and '-', not starting with '-'",
                crate::diag::plain(text).chars().take(40).collect::<String>()
            ))
        }
    }

    /// The name.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for AreaId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

/// Line and place within an area, both from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Spot {
    /// Branch line, from 1.
    pub line: u16,
    /// Place on the line, from 1.
    pub place: u16,
}

impl fmt::Display for Spot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.{}", self.line, self.place)
    }
}

/// The address of one head.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Address {
    /// Its area.
    pub area: AreaId,
    /// Its line and place.
    pub spot: Spot,
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = format!("{}/{}", self.area, self.spot);
        f.pad(&text)
    }
}

impl Address {
    /// Reads `pack/3.7`.
    ///
    /// # Errors
    /// A sentence when it is not the address of one head.
    pub fn parse(text: &str) -> Result<Self, String> {
        let heads = Heads::parse(text)?;
        heads
            .one()
            .ok_or_else(|| format!("'{}' names several heads; write one, as in 'pack/3.7'", crate::diag::plain(text)))
    }
}

/// One head, a range, whole lines, or a whole area: `pack/1.7`, `pack/1.1..1.6`, `pack/2`, `pack/2..4`, `pack`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Heads {
    /// The area.
    pub area: AreaId,
    from: (u16, u16),
    to: (u16, u16),
}

impl Heads {
    /// One head.
    #[must_use]
    pub fn single(address: &Address) -> Self {
        let at = (address.spot.line, address.spot.place);
        Self { area: address.area.clone(), from: at, to: at }
    }

    /// From one head to another of the same area, both included, by line and place number.
    #[must_use]
    pub fn range(area: &AreaId, from: Spot, to: Spot) -> Self {
        let (from, to) = if from <= to { (from, to) } else { (to, from) };
        Self { area: area.clone(), from: (from.line, from.place), to: (to.line, to.place) }
    }

    /// A whole line.
    #[must_use]
    pub fn line(area: &AreaId, line: u16) -> Self {
        Self { area: area.clone(), from: (line, 0), to: (line, u16::MAX) }
    }

    /// Whole lines, from one to another, both included.
    #[must_use]
    pub fn lines_between(area: &AreaId, from: u16, to: u16) -> Self {
        Self { area: area.clone(), from: (from, 0), to: (to, u16::MAX) }
    }

    /// A whole area.
    #[must_use]
    pub fn area(area: &AreaId) -> Self {
        Self { area: area.clone(), from: (0, 0), to: (u16::MAX, u16::MAX) }
    }

    /// The address, if it names one head.
    #[must_use]
    pub fn one(&self) -> Option<Address> {
        (self.from == self.to)
            .then(|| Address { area: self.area.clone(), spot: Spot { line: self.from.0, place: self.from.1 } })
    }

    /// Whether a spot of its area lies within.
    #[must_use]
    pub fn holds(&self, spot: Spot) -> bool {
        (self.from..=self.to).contains(&(spot.line, spot.place))
    }

    /// Whether every spot another form names is named by this one too.
    #[must_use]
    pub fn covers(&self, other: &Self) -> bool {
        self.area == other.area && self.from <= other.from && other.to <= self.to
    }

    /// Whether some spot is named by both.
    #[must_use]
    pub fn meets(&self, other: &Self) -> bool {
        self.area == other.area && self.from <= other.to && other.from <= self.to
    }

    /// Addresses as few ranges as will do: those of one area whose numbers follow each other on a line make one.
    #[must_use]
    pub fn ranges(addresses: impl IntoIterator<Item = Address>) -> Vec<Self> {
        let mut list: Vec<Self> = Vec::new();
        for Address { area, spot } in addresses {
            let at = (spot.line, spot.place);
            match list.last_mut() {
                Some(last) if last.area == area && last.to.0 == at.0 && last.to.1.checked_add(1) == Some(at.1) => {
                    last.to = at;
                }
                _ => list.push(Self { area, from: at, to: at }),
            }
        }
        list
    }

    /// First and last place it can reach on a line.
    #[must_use]
    pub const fn places_on(&self, line: u16) -> (u16, u16) {
        let low = if line == self.from.0 { self.from.1 } else { 0 };
        let high = if line == self.to.0 { self.to.1 } else { u16::MAX };
        (low, high)
    }

    /// First and last line it can reach.
    #[must_use]
    pub const fn lines(&self) -> (u16, u16) {
        (self.from.0, self.to.0)
    }

    /// Reads any of the forms.
    ///
    /// # Errors
    /// A sentence that shows the forms.
    pub fn parse(text: &str) -> Result<Self, String> {
        let bad = || {
            format!(
                "'{}' is no address; write 'pack/3.7', 'pack/1.1..1.6', 'pack/2' or 'pack'",
                crate::diag::plain(text).chars().take(60).collect::<String>()
            )
        };
        let Some((area, rest)) = text.split_once('/') else {
            return AreaId::parse(text).map(|area| Self::area(&area)).map_err(|_| bad());
        };
        let area = AreaId::parse(area).map_err(|_| bad())?;
        let number =
            |t: &str| t.bytes().all(|b| b.is_ascii_digit()).then(|| t.parse::<u16>().ok()).flatten().filter(|n| *n > 0);
        let spot = |t: &str| match t.split_once('.') {
            Some((line, place)) => Some((number(line)?, Some(number(place)?))),
            None => Some((number(t)?, None)),
        };
        let (from, to) = match rest.split_once("..") {
            Some((a, b)) => (spot(a).ok_or_else(bad)?, spot(b).ok_or_else(bad)?),
            None => {
                let at = spot(rest).ok_or_else(bad)?;
                (at, at)
            }
        };
        let heads = Self { area, from: (from.0, from.1.unwrap_or(0)), to: (to.0, to.1.unwrap_or(u16::MAX)) };
        if from.1.is_some() != to.1.is_some() || heads.from > heads.to {
            return Err(bad());
        }
        Ok(heads)
    }
}

impl fmt::Display for Heads {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let area = &self.area;
        let ((l1, p1), (l2, p2)) = (self.from, self.to);
        let text = match (p1, p2) {
            _ if l1 == 0 => area.to_string(),
            (0, _) if l1 == l2 => format!("{area}/{l1}"),
            (0, _) => format!("{area}/{l1}..{l2}"),
            _ if self.from == self.to => format!("{area}/{l1}.{p1}"),
            _ => format!("{area}/{l1}.{p1}..{l2}.{p2}"),
        };
        f.pad(&text)
    }
}

macro_rules! address_serde {
    ($($name:ident)+) => {$(
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
address_serde!(AreaId Address Heads);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_of_address_reads_back_as_written() {
        for text in ["pack", "pack/2", "pack/2..4", "pack/3.7", "pack/1.1..1.6", "pack/1.8..3.2", "cold-store-2/12.40"]
        {
            let heads = Heads::parse(text).expect(text);
            assert_eq!(heads.to_string(), text);
        }
        assert_eq!(Address::parse("pack/3.7").expect("one").spot, Spot { line: 3, place: 7 });
    }

    #[test]
    fn what_is_no_address_is_refused() {
        for text in [
            "",
            "/",
            "Pack",
            "pack/",
            "pack/0",
            "pack/1.0",
            "pack/0.1",
            "pack/1.2.3",
            "pack/+1.2",
            "pack/99999.1",
            "pack/2..1",
            "pack/1.5..1.2",
            "pack/1..1.6",
            "pack/1.1..2",
            "pa ck",
            "-a",
            "pack/1.\u{1b}[2J",
            "abcdefghijklmnopqrstuvwxyz0123456789",
        ] {
            assert!(Heads::parse(text).is_err(), "{text}");
        }
        assert!(Address::parse("pack/2").is_err());
    }

    #[test]
    fn a_range_holds_what_lies_between_by_number() {
        let range = Heads::parse("pack/1.8..3.2").expect("range");
        for (line, place, held) in
            [(1, 7, false), (1, 8, true), (2, 1, true), (2, 99, true), (3, 2, true), (3, 3, false)]
        {
            assert_eq!(range.holds(Spot { line, place }), held, "{line}.{place}");
        }
        assert!(Heads::parse("pack").expect("area").holds(Spot { line: 40, place: 40 }));
        assert!(Heads::parse("pack/2").expect("line").holds(Spot { line: 2, place: 400 }));
    }
}
