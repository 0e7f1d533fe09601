//! A price file of the user's own: what a pack of heads or parts costs, by what it is. Money is counted in hundredths, never
//! in fractions that a computer rounds.

use std::fmt;
use std::sync::Arc;

use super::head_type::{HeadType, thread_key};
use super::kind::{Element, Finish, Kind, Mount, Orientation, Response, Style};
use super::quantity::{KFactor, Length, Temperature};
use super::words::words;
use crate::diag::tree::{self, Fields, Limits, Node, Value};
use crate::diag::{Diagnostic, Source, plain};

/// The format line of a price file.
pub const FORMAT: &str = "headround prices 1";

/// The most that a pack may cost, in whole units of the currency.
const MAX_PRICE: u64 = 100_000_000;

/// The most pieces in a pack.
const MAX_PACK: u32 = 10_000;

words! {
    /// What is ordered.
    pub enum Part ("part to order") {
        /// A head.
        Head = "head",
        /// The escutcheon or recessed cup listed with a head.
        Escutcheon = "escutcheon",
        /// The cover plate listed with a concealed head.
        CoverPlate = "cover-plate",
    }
}

/// An amount of money in hundredths of the currency's unit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Money(pub u64);

impl Money {
    /// Reads `12`, `12.5` or `12.50`: figures with at most two behind a point, at most a hundred million.
    ///
    /// # Errors
    /// A sentence that says what is wrong with it.
    pub fn parse(text: &str) -> Result<Self, String> {
        let shown = || plain(text).chars().take(40).collect::<String>();
        let bad = |why: &str| Err(format!("'{}' is no price: {why}; write it as 234.50", shown()));
        let (whole, rest) = text.split_once('.').unwrap_or((text, "0"));
        let figures = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
        if text.starts_with('-') {
            return bad("a price is not below zero");
        }
        if text.contains(',') || text.contains('\'') || text.contains(' ') {
            return bad("only figures and one point, without a currency sign and without signs between thousands");
        }
        if !figures(whole) || !figures(rest) {
            return bad("only figures and one point may stand there");
        }
        if rest.len() > 2 {
            return bad("at most two figures behind the point");
        }
        let Some(whole) = whole.parse::<u64>().ok().filter(|n| *n <= MAX_PRICE) else {
            return bad("it is more than a hundred million");
        };
        let cents = rest.parse::<u64>().unwrap_or(0) * if rest.len() == 1 { 10 } else { 1 };
        Ok(Self(whole * 100 + cents))
    }

    /// So many times as much; at most what can be held.
    #[must_use]
    pub const fn times(self, n: u64) -> Self {
        Self(self.0.saturating_mul(n))
    }

    /// Both together; at most what can be held.
    #[must_use]
    pub const fn plus(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{}.{:02}", self.0 / 100, self.0 % 100))
    }
}

impl serde::Serialize for Money {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// What a price is for: every field that is given must agree.
#[derive(Clone, Debug, Default, PartialEq)]
struct Select {
    part: Option<Part>,
    number: Option<String>,
    orientation: Option<Orientation>,
    mount: Option<Mount>,
    response: Option<Response>,
    style: Option<Style>,
    element: Option<Element>,
    rating: Option<i32>,
    k: Option<u32>,
    finish: Option<Finish>,
    dry: Option<bool>,
    length: Option<u32>,
    thread: Option<String>,
}

impl Select {
    /// How many fields it asks for, the part aside, which every price has.
    fn asks(&self) -> usize {
        [
            self.number.is_some(),
            self.orientation.is_some(),
            self.mount.is_some(),
            self.response.is_some(),
            self.style.is_some(),
            self.element.is_some(),
            self.rating.is_some(),
            self.k.is_some(),
            self.finish.is_some(),
            self.dry.is_some(),
            self.length.is_some(),
            self.thread.is_some(),
        ]
        .into_iter()
        .filter(|asks| *asks)
        .count()
    }

    fn takes(&self, wanted: &Wanted<'_>) -> bool {
        fn agrees<T: PartialEq>(asked: Option<&T>, is: &T) -> bool {
            asked.is_none_or(|a| a == is)
        }
        let kind = wanted.kind;
        let of = Self::of(kind);
        self.part.unwrap_or(Part::Head) == wanted.part
            && self.number.as_ref().is_none_or(|n| wanted.numbers.iter().any(|w| same_number(n, w)))
            && agrees(self.orientation.as_ref(), &kind.orientation)
            && agrees(self.mount.as_ref(), &kind.mount)
            && agrees(self.response.as_ref(), &kind.response)
            && agrees(self.style.as_ref(), &kind.style)
            && self.element.is_none_or(|e| wanted.elements.iter().all(|w| *w == e))
            && (self.rating.is_none() || self.rating == of.rating)
            && (self.k.is_none() || self.k == of.k)
            && agrees(self.finish.as_ref(), &kind.finish)
            && agrees(self.dry.as_ref(), &kind.dry)
            && (self.length.is_none() || self.length == of.length)
            && (self.thread.is_none() || self.thread == of.thread)
    }

    /// The comparable figures of a kind.
    fn of(kind: &Kind) -> Self {
        Self {
            rating: Some(degrees(kind.rating)),
            k: Some(tenths(kind.k)),
            length: kind.length.map(millimetres),
            thread: kind.thread.as_deref().map(thread_key),
            ..Self::default()
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "−60 to 700 °C")]
fn degrees(rating: Temperature) -> i32 {
    rating.celsius().round() as i32
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0.5 to 60")]
fn tenths(k: KFactor) -> u32 {
    (k.nominal().map_or_else(|| k.us(), |(us, _)| us) * 10.0).round() as u32
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 1000 m")]
fn millimetres(length: Length) -> u32 {
    (length.metres() * 1000.0).round() as u32
}

fn same_number(a: &str, b: &str) -> bool {
    a.trim().eq_ignore_ascii_case(b.trim())
}

/// One price.
#[derive(Clone, Debug, PartialEq)]
pub struct Price {
    select: Select,
    /// Pieces in a pack, from 1.
    pub pack: u32,
    /// What a pack costs.
    pub price: Money,
    /// Free text, such as where it is ordered.
    pub note: Option<String>,
    /// The line of the file it stands on, from 1.
    pub line: usize,
}

/// A thing to be ordered, as prices look at it.
#[derive(Clone, Copy, Debug)]
pub struct Wanted<'a> {
    /// A head or a part of it.
    pub part: Part,
    /// A kind of the make-up wanted.
    pub kind: &'a Kind,
    /// Identification numbers of the heads installed, without recalled ones: those are not ordered.
    pub numbers: &'a [String],
    /// The heat elements of the heads installed: no part of a make-up, so there may be both.
    pub elements: &'a [Element],
}

/// What a price file says of something wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Found<'a> {
    /// No price is for it.
    None,
    /// This one is.
    One(&'a Price),
    /// Two are, and neither says more than the other.
    Two(&'a Price, &'a Price),
}

/// What work on one head costs, beside the head itself.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Work {
    /// The test of one head, by a laboratory or at a bench.
    pub test: Option<Money>,
    /// Taking one head down and putting another in, with what the impairment costs.
    pub swap: Option<Money>,
}

/// A price file.
#[derive(Clone, Debug, PartialEq)]
pub struct Prices {
    /// The currency: three capitals.
    pub currency: String,
    /// The prices in the file's order.
    pub prices: Vec<Price>,
    /// What work costs.
    pub work: Work,
}

impl Prices {
    /// The price of something: of those that are for it, one that names the number; else the one that asks for most fields.
    #[must_use]
    pub fn find(&self, wanted: Wanted<'_>) -> Found<'_> {
        let weight = |p: &Price| (p.select.number.is_some(), p.select.asks());
        let mut fitting: Vec<&Price> = self.prices.iter().filter(|p| p.select.takes(&wanted)).collect();
        fitting.sort_by_key(|p| std::cmp::Reverse(weight(p)));
        match fitting.as_slice() {
            [] => Found::None,
            [first, second, ..] if weight(first) == weight(second) => Found::Two(first, second),
            [first, ..] => Found::One(first),
        }
    }
}

/// Reads a price file; everything that is wrong is told at once, each at its place. With a complaint of weight `Error` it cannot be
/// used.
pub fn read(source: &Arc<Source>) -> (Option<Prices>, Vec<Diagnostic>) {
    let mut out = Vec::new();
    let node = match tree::read(source, Limits::REGISTER) {
        Ok(node) => node,
        Err(it) => return (None, vec![*it]),
    };
    let mut top = Fields::of(source, &node, "the price file", &mut out);
    let format = top.need_parse("format", &mut out, |text| {
        if text == FORMAT {
            return Ok(());
        }
        Err(format!("'{}' is not the format of a price file; write 'format: {FORMAT}'", plain(text)))
    });
    let currency = top.need_parse("currency", &mut out, currency);
    let rows = top.need("prices", &mut out);
    let mut prices: Vec<Price> = Vec::new();
    match rows.map(|n| (n, &n.value)) {
        Some((_, Value::List(items))) => {
            for item in items {
                if let Some(price) = read_price(source, item, currency.as_deref(), &mut out) {
                    match prices.iter().find(|p| p.select == price.select) {
                        Some(first) => {
                            let why = format!("this price is for the same as the one in line {}", first.line);
                            let it = Diagnostic::error("duplicate-price", source, item.span.clone(), why);
                            out.push(it.help("keep one of them"));
                        }
                        None => prices.push(price),
                    }
                }
            }
        }
        Some((node, _)) => {
            let why = format!("'prices' must be a list, one price an item, not {}", node.what());
            let it = Diagnostic::error("wrong-type", source, node.span.clone(), why);
            out.push(it.help("write '- {orientation: pendent, rating: 155 F, pack: 10, price: 234.50}'"));
        }
        None => {}
    }
    let work = top.take("work").map_or_else(Work::default, |node| read_work(source, node, &mut out));
    top.finish(&mut out);
    let sound = format.is_some() && out.iter().all(|d| d.severity != crate::diag::Severity::Error);
    (currency.filter(|_| sound).map(|currency| Prices { currency, prices, work }), out)
}

fn read_work(source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) -> Work {
    let mut f = Fields::of(source, node, "'work'", out);
    let work = Work { test: f.parse("test", out, Money::parse), swap: f.parse("swap", out, Money::parse) };
    f.finish(out);
    work
}

fn currency(text: &str) -> Result<String, String> {
    if text.len() == 3 && text.bytes().all(|b| b.is_ascii_uppercase()) {
        return Ok(text.to_owned());
    }
    let shown: String = plain(text).chars().take(20).collect();
    Err(format!("'{shown}' is no currency; write its three capitals, such as USD or EUR"))
}

fn read_price(source: &Arc<Source>, node: &Node, of_file: Option<&str>, out: &mut Vec<Diagnostic>) -> Option<Price> {
    let mut f = Fields::of(source, node, "a price", out);
    let before = out.len();
    let select = Select {
        part: Some(f.parse("part", out, Part::parse).unwrap_or(Part::Head)),
        number: f.text("number", out).map(|n| n.trim().to_uppercase()).filter(|n| !n.is_empty()),
        orientation: f.parse("orientation", out, Orientation::parse),
        mount: f.parse("mount", out, Mount::parse),
        response: f.parse("response", out, Response::parse),
        style: f.parse("style", out, Style::parse),
        element: f.parse("element", out, Element::parse),
        rating: f.parse("rating", out, Temperature::parse).map(degrees),
        k: f.parse("k", out, KFactor::parse).map(tenths),
        finish: f.parse("finish", out, Finish::parse),
        dry: f.parse("dry", out, super::register_text::boolean),
        length: f.parse("length", out, Length::parse).map(millimetres),
        thread: f.text("thread", out).map(|t| thread_key(&t)),
    };
    let pack = f.parse("pack", out, |text| {
        let n = text.parse::<u32>().ok().filter(|n| (1..=MAX_PACK).contains(n));
        n.ok_or_else(|| format!("'{}' is no pack size; write a whole number from 1 to {MAX_PACK}", plain(text)))
    });
    let price = f.need_parse("price", out, Money::parse);
    f.parse("currency", out, |text| {
        let own = currency(text)?;
        match of_file {
            Some(file) if file != own => Err(format!(
                "this price is in {own} and the file in {file}; prices of two currencies cannot be added up"
            )),
            _ => Ok(()),
        }
    });
    let note = f.text("note", out);
    f.finish(out);
    if out.len() == before && select.asks() == 0 {
        let it =
            Diagnostic::error("price-for-all", source, node.span.clone(), "this price does not say what it is for");
        out.push(it.help("add what it is for, such as 'orientation', 'response', 'rating' and 'k', or a 'number'"));
        return None;
    }
    Some(Price { select, pack: pack.unwrap_or(1), price: price?, note, line: source.place(node.span.clone()).line })
}

/// What prices and orders call a make-up: its type and its finish.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MakeUp {
    /// The type.
    pub head_type: HeadType,
    /// The finish, which only the eye minds.
    pub finish: Finish,
}

impl MakeUp {
    /// That of a kind.
    #[must_use]
    pub fn of(kind: &Kind) -> Self {
        Self { head_type: HeadType::of(kind), finish: kind.finish }
    }
}

#[cfg(test)]
mod tests;
