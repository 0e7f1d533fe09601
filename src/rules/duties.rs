//! What a rule set carries beside its visual rules: ages, samples, limits of the operating test, spare stock, cabinet,
//! cleaning, temperature suitability, visits. Each row names its clause, its source and how far it can be relied on.

use std::sync::Arc;

use super::facts::{Ceiling, Facts};
use super::model::{Class as Finding, Cond, Confidence};
use super::spares::SpareRow;
use crate::trade::class::{self, Class};
use crate::trade::kind::Kind;
use crate::trade::measure::{Pressure, Rti, Seconds, Span, Speed};
use crate::trade::quantity::Temperature;
use crate::trade::register::Area;
use crate::trade::words::words;

/// Where a row comes from, and how far it can be relied on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Basis {
    /// The clause.
    pub clause: String,
    /// Where it comes from.
    pub source: String,
    /// How far it can be relied on.
    pub confidence: Confidence,
}

/// Conditions of a row over a head's make-up and surroundings.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Where {
    pub(crate) all: Cond,
    pub(crate) unless: Option<Cond>,
}

impl Where {
    /// Whether a head with these facts is meant.
    #[must_use]
    pub fn holds(&self, facts: &Facts) -> bool {
        self.all.holds_for(facts) && !self.unless.as_ref().is_some_and(|u| u.holds_for(facts))
    }

    /// Whether it asks anything at all.
    #[must_use]
    pub fn asks(&self) -> bool {
        self.all != Cond::NOTHING || self.unless.is_some()
    }
}

words! {
    /// What an age asks for.
    pub enum Act ("duty of an age") {
        /// Test a sample of the heads, or replace them.
        Test = "test",
        /// Replace the heads.
        Replace = "replace",
    }
}

words! {
    /// The day from which an age counts.
    pub enum Since ("start of an age") {
        /// The day the head went into service.
        Service = "service",
        /// The year the head was made.
        Made = "made",
    }
}

/// Years made, both ends included; an end that is left out is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Years {
    /// The first year.
    pub from: Option<i32>,
    /// The last year.
    pub to: Option<i32>,
}

impl Years {
    /// Whether the year is among them.
    #[must_use]
    pub fn hold(self, year: i32) -> bool {
        self.from.is_none_or(|from| from <= year) && self.to.is_none_or(|to| year <= to)
    }
}

impl std::fmt::Display for Years {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if let (Some(from), Some(to)) = (self.from, self.to)
            && from == to
        {
            return write!(f, "{from}");
        }
        if let Some(from) = self.from {
            write!(f, "{from}")?;
        }
        f.write_str("..")?;
        if let Some(to) = self.to {
            write!(f, "{to}")?;
        }
        Ok(())
    }
}

/// When heads are due for a test of a sample, or for replacement. All rows that hold apply; the earliest date counts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AgeRule {
    /// Its word.
    pub id: String,
    /// One line.
    pub title: String,
    /// Which heads.
    pub when: Where,
    /// Years made; `None`: every year.
    pub made: Option<Years>,
    /// Rows, by index, that are silent where this one holds.
    pub over: Vec<usize>,
    /// From which day the age counts.
    pub since: Since,
    /// The age at which it is due first.
    pub first: Span,
    /// The interval after that; `None`: once.
    pub then: Option<Span>,
    /// What is due.
    pub act: Act,
    /// Why.
    pub because: String,
    /// Where it comes from.
    pub basis: Basis,
    /// Worked cases.
    pub cases: Vec<AgeCase>,
}

/// A worked case of an age: a head, and the earliest first age that the whole set asks of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AgeCase {
    /// The head, in a sentence.
    pub see: String,
    /// Its make-up and surroundings.
    pub facts: Facts,
    /// The year it was made, where the case names one.
    pub made: Option<i32>,
    /// Whether the row speaks in it.
    pub holds: bool,
    /// The earliest first age of the set.
    pub first: Span,
}

words! {
    /// What a number of heads is counted over.
    pub enum Counts ("thing that is counted") {
        /// The heads that one sample stands for.
        Lot = "lot",
        /// All heads installed at the site.
        Site = "site",
        /// The heads of each kind by themselves.
        Kind = "kind",
    }
}

words! {
    /// Hazard class of the occupancy that a row is for.
    pub enum Hazard ("hazard class") {
        /// Every hazard.
        Any = "any",
        /// Light hazard.
        Light = "light",
        /// Ordinary hazard.
        Ordinary = "ordinary",
        /// High or extra hazard, process or storage.
        High = "high",
    }
}

/// From a count of heads on, how many are taken: the greater of a number and a share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SampleStep {
    /// From so many heads on.
    pub from: u32,
    /// At least so many.
    pub least: u32,
    /// At least this share, in per cent, 0 to 100; rounded up to whole heads.
    pub percent: f64,
}

/// One reading of how many heads a sample has.
#[derive(Clone, Debug, PartialEq)]
pub struct SampleReading {
    /// Its word.
    pub id: String,
    /// One line.
    pub title: String,
    /// Whether this reading rules; exactly one of a set does.
    pub rules: bool,
    /// What is counted.
    pub counts: Counts,
    /// For which hazard.
    pub hazard: Hazard,
    /// Steps, rising.
    pub steps: Vec<SampleStep>,
    /// The most heads that the table speaks of; `None`: it has no end.
    pub ends: Option<u32>,
    /// Why, and how it is read.
    pub because: String,
    /// Where it comes from.
    pub basis: Basis,
}

impl SampleReading {
    /// That the table ends below so many heads, in a sentence; `None`: it speaks of them.
    #[must_use]
    pub fn beyond(&self, heads: u32) -> Option<String> {
        let ends = self.ends.filter(|e| heads > *e)?;
        Some(format!(
            "The table of '{}' ({}) ends at {ends} heads and says nothing of {heads}: the size here is that of its last step, and \
             the least to expect; ask the insurer and the authority for more.",
            self.id, self.basis.clause
        ))
    }

    /// How many heads of `heads` are taken; never more than there are.
    #[must_use]
    pub fn size(&self, heads: u32) -> u32 {
        let Some(step) = self.steps.iter().rev().find(|s| s.from <= heads) else { return 0 };
        // Per cent in thousandths, so that a share that comes out whole is not rounded up.
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 100 per cent by the loader")]
        let thousandths = (step.percent * 1000.0).round() as u64;
        let share = (u64::from(heads) * thousandths).div_ceil(100_000);
        u32::try_from(share).unwrap_or(u32::MAX).max(step.least).min(heads)
    }
}

words! {
    /// What a sample rule is about.
    pub enum SampleMatter ("matter of a sample") {
        /// Heads with a visible defect.
        VisiblyDefective = "visibly-defective",
        /// Spare heads from the cabinet.
        Spare = "spare",
        /// Heads replaced since the last interval.
        ReplacedSince = "replaced-since",
        /// Which kinds the sample must hold.
        RepresentedKinds = "represented-kinds",
        /// What follows when one of the sample fails.
        Failure = "failure",
    }
}

/// What may be drawn for a sample, or what follows from it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SampleRule {
    /// What it is about.
    pub matter: SampleMatter,
    /// Whether such heads are refused.
    pub refuse: bool,
    /// Whether one head that fails condemns all that the sample stands for; only of a failure, and `false` of all else.
    pub condemns: bool,
    /// The class of a head that opened too late; only of a failure. `None`: the set names none.
    pub late: Option<Finding>,
    /// The class of a head that did not operate, was held shut or only leaked; only of a failure. `None`: the set names none.
    pub shut: Option<Finding>,
    /// The class of a head that opened too fast; only of a failure. `None`: the set names none.
    pub early: Option<Finding>,
    /// How far the classes can be relied on, where there are any; `None`: as the rule.
    pub class_confidence: Option<Confidence>,
    /// In words.
    pub text: String,
    /// Where it comes from.
    pub basis: Basis,
}

/// What a head must do in the operating test, and under which conditions the test counts.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Its word.
    pub id: String,
    /// One line.
    pub title: String,
    /// Which heads.
    pub when: Where,
    /// Rows, by index, that are silent where this one holds.
    pub over: Vec<usize>,
    /// The most that the response time index may be; `None`: the set names no figure.
    pub rti: Option<Rti>,
    /// The least that it may be, below the most; `None`: no head is too fast.
    pub rti_least: Option<Rti>,
    /// A time that is always allowed: where the most of the index comes to less, this one stands. Where there is no index it
    /// stands alone. `None`: the index alone.
    pub at_most: Option<Seconds>,
    /// The pressure at which the waterway must clear; `None`: the set names no figure.
    pub waterway: Option<Pressure>,
    /// From what to what temperature the oven may have, above any start; `None`: the set names no range.
    pub oven: Option<(Temperature, Temperature)>,
    /// From what to what speed the air may have; `None`: the set names no range.
    pub air: Option<(Speed, Speed)>,
    /// From what to what temperature the head may have at the start; `None`: the set names no range.
    pub start: Option<(Temperature, Temperature)>,
    /// Where the ranges of oven, air and start come from; `Some` exactly where there is one.
    pub method: Option<Basis>,
    /// Why.
    pub because: String,
    /// Where the figures come from that a head must keep.
    pub basis: Basis,
}

/// From a count of heads on, how many spares are held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StockStep {
    /// From so many heads on.
    pub from: u32,
    /// So many spares.
    pub hold: u32,
}

/// One reading of how many spare heads are held.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StockReading {
    /// Its word.
    pub id: String,
    /// One line.
    pub title: String,
    /// Whether this reading rules; for every hazard exactly one of a set does.
    pub rules: bool,
    /// What is counted.
    pub counts: Counts,
    /// For which hazard.
    pub hazard: Hazard,
    /// Steps, rising.
    pub steps: Vec<StockStep>,
    /// At least so many of each kind installed.
    pub per_kind: u32,
    /// Why, and how it is read.
    pub because: String,
    /// Where it comes from.
    pub basis: Basis,
}

impl StockReading {
    /// Its numbers in a line: `6, from 300: 12, from 1001: 24`.
    #[must_use]
    pub fn bands(&self) -> String {
        let step = |s: &StockStep| if s.from > 1 { format!("from {}: {}", s.from, s.hold) } else { s.hold.to_string() };
        let mut list: Vec<String> = self.steps.iter().map(step).collect();
        if self.per_kind > 0 {
            list.push(format!("at least {} of each type", self.per_kind));
        }
        list.join(", ")
    }

    /// How many spares a count of heads asks for; 0 where there is none.
    #[must_use]
    pub fn hold(&self, heads: u32) -> u32 {
        self.steps.iter().rev().find(|s| s.from <= heads).map_or(0, |s| s.hold)
    }
}

words! {
    /// What a cabinet duty is about.
    pub enum CabinetMatter ("matter of a cabinet") {
        /// How warm it may get where the cabinet hangs.
        Temperature = "temperature",
        /// Where it hangs.
        Place = "place",
        /// The wrenches.
        Wrench = "wrench",
        /// The posted list.
        List = "list",
        /// Which kinds are held.
        Kinds = "kinds",
        /// Dry heads of several lengths.
        DryLengths = "dry-lengths",
        /// When what was taken is put back.
        Refill = "refill",
        /// Spares that have grown too old.
        OverAge = "over-age",
    }
}

/// A duty of the cabinet.
#[derive(Clone, Debug, PartialEq)]
pub struct CabinetDuty {
    /// What it is about.
    pub matter: CabinetMatter,
    /// The highest temperature, where it is about one.
    pub at_most: Option<Temperature>,
    /// The age, where it is about one.
    pub age: Option<Span>,
    /// In words.
    pub text: String,
    /// Where it comes from.
    pub basis: Basis,
}

/// How far cleaning may go.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cleaning {
    /// What is allowed.
    pub may: Vec<String>,
    /// What never is.
    pub never: Vec<String>,
    /// When cleaning ends and replacement begins.
    pub limit: String,
    /// Where it comes from.
    pub basis: Basis,
}

/// Up to a ceiling temperature, the class that is called for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CeilingStep {
    /// The highest temperature expected at the ceiling.
    pub up_to: Temperature,
    /// The class.
    pub class: Class,
    /// The least rating that the step is for, where a class has several steps.
    pub rating: Option<Temperature>,
}

/// How ratings are suited to ceilings.
#[derive(Clone, Debug, PartialEq)]
pub enum Suits {
    /// By a table of ceiling temperatures, rising.
    Table(Arc<[CeilingStep]>),
    /// The rating lies at least so many kelvin above the highest temperature at the ceiling.
    Margin(f64),
}

/// Which rating a ceiling calls for.
#[derive(Clone, Debug, PartialEq)]
pub struct Suitability {
    /// How.
    pub suits: Suits,
    /// In words.
    pub because: String,
    /// Where it comes from.
    pub basis: Basis,
}

/// Published figures are rounded to the whole degree Celsius.
const ROUNDING: f64 = 0.6;

impl Suitability {
    /// How a kind's rating stands to an area's highest ceiling temperature.
    #[must_use]
    pub fn ceiling(&self, kind: &Kind, area: &Area) -> Ceiling {
        let (Some(rated), Some(max)) = (kind.class(), area.ceiling_max) else { return Ceiling::Unknown };
        let (called_for, holds) = match &self.suits {
            Suits::Table(steps) => {
                let called_for = steps.iter().find(|s| max.celsius() <= s.up_to.celsius() + ROUNDING).map(|s| s.class);
                let fine = |s: &&CeilingStep| {
                    s.class == rated && s.rating.is_none_or(|r| kind.rating.celsius() + ROUNDING >= r.celsius())
                };
                let own = steps.iter().rev().find(fine);
                (called_for, own.is_some_and(|own| own.up_to.celsius() + ROUNDING >= max.celsius()))
            }
            Suits::Margin(kelvin) => {
                let needed = max.celsius() + kelvin;
                (class::reaching(needed - ROUNDING), kind.rating.celsius() + ROUNDING >= needed)
            }
        };
        match (holds, called_for) {
            (true, Some(called_for)) => match rated.steps_to(called_for) {
                0 => Ceiling::Fits,
                1 => Ceiling::Higher,
                _ => Ceiling::MuchHigher,
            },
            _ => Ceiling::TooLow,
        }
    }
}

/// A visit that is due again and again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Visit {
    /// Its word.
    pub id: String,
    /// In words.
    pub text: String,
    /// How often.
    pub every: Span,
    /// The least time since the last; `None`: the set names none.
    pub earliest: Option<Span>,
    /// The most time since the last; `None`: the set names none.
    pub latest: Option<Span>,
    /// Where it comes from.
    pub basis: Basis,
}

/// Everything that a set carries beside rules, clearances and the other duties of the walk.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Duties {
    /// Ages.
    pub ages: Vec<AgeRule>,
    /// How many heads a sample has.
    pub samples: Vec<SampleReading>,
    /// What may be drawn, and what follows.
    pub sample_rules: Vec<SampleRule>,
    /// Limits of the operating test.
    pub limits: Vec<Limit>,
    /// How many spares are held.
    pub stock: Vec<StockReading>,
    /// The cabinet.
    pub cabinet: Vec<CabinetDuty>,
    /// Which spare fits which head, in the order in which they are read; empty: the set says nothing.
    pub spares: Vec<SpareRow>,
    /// Cleaning; `None`: the set says nothing.
    pub cleaning: Option<Cleaning>,
    /// Temperature suitability; `None`: the set says nothing, and no rating is compared.
    pub suitability: Option<Suitability>,
    /// Visits.
    pub visits: Vec<Visit>,
}
