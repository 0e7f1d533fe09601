//! What can be recorded about lots: which heads one sample stands for, which were drawn, where the sample went, what the
//! bench saw of each head, and what a laboratory concluded.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::bench::judge::{Deflector, WaterSeal};
use crate::trade::address::{Address, AreaId, Heads};
use crate::trade::measure::{Conductivity, Pressure, Rti, Seconds, Speed};
use crate::trade::quantity::{PartialDate, Temperature};
use crate::trade::words::words;

/// The most heads that one sample may hold, and the most stretches that a lot may name; what is beyond is left out and told.
pub const MOST_OF_A_LOT: usize = 10_000;

words! {
    /// How the heads of a sample were chosen.
    pub enum DrawnBy ("way of drawing") {
        /// By chance, from a seed that anybody can draw by again.
        Random = "random",
        /// By a person.
        ByHand = "by-hand",
    }
}

words! {
    /// A step on the way of a sample.
    pub enum Step ("step of custody") {
        /// Packed, each head by itself.
        Packed = "packed",
        /// Given to another person, or sent.
        HandedOver = "handed-over",
        /// Taken in.
        Received = "received",
        /// Thrown away after the test.
        Scrapped = "scrapped",
    }
}

words! {
    /// What a sampled head looked like before its test.
    pub enum Condition ("condition before a test") {
        /// Nothing to remark.
        Clean = "clean",
        /// Paint that the maker did not put on.
        Painted = "painted",
        /// Corroded.
        Corroded = "corroded",
        /// Dust, lint or grease on it.
        Loaded = "loaded",
        /// Struck, bent, or otherwise harmed, on the way or before.
        Damaged = "damaged",
    }
}

/// The heads that one sample stands for, written down before any of them is tested.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NewLot {
    /// Its short name; of the same form as an area's.
    pub id: AreaId,
    /// Its name for people.
    pub name: String,
    /// The heads.
    pub heads: Vec<Heads>,
    /// The age of the rule set that asks for the test.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
    /// When the test is due by it; none: it could not be told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub due: Option<NaiveDate>,
    /// Free text.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A head drawn for a sample.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pick {
    /// Where it hangs.
    pub head: Address,
    /// What it is.
    pub kind: String,
    /// What its tag says.
    pub tag: String,
}

/// Heads were drawn for a lot's sample.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drawn {
    /// Which lot.
    pub lot: AreaId,
    /// How.
    pub way: DrawnBy,
    /// The seed, where chance chose.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seed: Option<u32>,
    /// How many heads could have been drawn.
    pub eligible: u32,
    /// How many the rule set asks for.
    pub asked: u32,
    /// Whether heads that nobody had looked at in the round could be drawn too.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub unseen: bool,
    /// The heads, in the order of their tags.
    pub picks: Vec<Pick>,
    /// Free text; why a person chose them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A sample, or part of it, changed hands or was packed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Custody {
    /// Which lot.
    pub lot: AreaId,
    /// What happened.
    pub step: Step,
    /// Which of its heads, by tag; none named: all of them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tags: Vec<String>,
    /// From whom.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
    /// To whom.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<String>,
    /// When, where it was another day than that of the entry.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on: Option<NaiveDate>,
    /// Free text: parcel number, seals.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// What the bench saw of one sampled head; what is left out was not measured or not told.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Readings {
    /// The day of the test, where it was another than that of the entry.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on: Option<NaiveDate>,
    /// Which bench or laboratory.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bench: Option<String>,
    /// What it looked like before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub before: Option<Condition>,
    /// The air of the oven.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub oven: Option<Temperature>,
    /// Its speed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air: Option<Speed>,
    /// The head's temperature at the start.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub start: Option<Temperature>,
    /// The pressure of the supply.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pressure: Option<Pressure>,
    /// When the heat element operated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub element: Option<Seconds>,
    /// When the head began to leak.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leak: Option<Seconds>,
    /// When the waterway cleared.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clear: Option<Seconds>,
    /// When the exposure ended.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<Seconds>,
    /// The temperature its like operate at in a liquid bath, where that was measured; else its rating counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub operating: Option<Temperature>,
    /// Its conductivity factor, where known; else none is taken off, which is the stricter reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub c: Option<Conductivity>,
    /// The response time index, where a laboratory reports it in place of times.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rti: Option<Rti>,
    /// Whether the waterway cleared, where a laboratory reports it without a time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub opened: Option<bool>,
    /// The water seal, after.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seal: Option<WaterSeal>,
    /// Whether parts stayed in the waterway or on the frame.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lodged: Option<bool>,
    /// The deflector.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub deflector: Option<Deflector>,
    /// Free text.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// One sampled head was operated.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tested {
    /// Which lot.
    pub lot: AreaId,
    /// Where it hung.
    pub head: Address,
    /// What was seen.
    pub readings: Readings,
}

/// A laboratory's result for a whole lot, where it does not tell of each head, or a test of earlier years.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Concluded {
    /// Which lot.
    pub lot: AreaId,
    /// When.
    pub on: PartialDate,
    /// Whether it passed.
    pub passed: bool,
    /// Who says so: the laboratory, the number of its report.
    pub by: String,
    /// How many heads it tested, where it says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tested: Option<u32>,
    /// Free text.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}
