//! What can be recorded about a cabinet of spare heads: counts, movements, what was looked at, the posted list.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::trade::address::{AreaId, Heads};
use crate::trade::quantity::Temperature;
use crate::trade::words::words;

/// The most heads of one kind that a count or a movement may name; a number beyond that is left out of account and told.
pub const MOST_SPARES: u32 = 10_000;

words! {
    /// Which way a spare went.
    pub enum Way ("way of a spare") {
        /// Into the cabinet: bought, or brought back unused.
        PutIn = "put-in",
        /// Out of the cabinet.
        TakenOut = "taken-out",
        /// Thrown away: painted, dented, without its cap, too old.
        Discarded = "discarded",
    }
}

words! {
    /// How a posted list was found.
    pub enum List ("state of a posted list") {
        /// It is there and agrees with what lies in the cabinet.
        Right = "right",
        /// It is there and does not agree, or lacks a date.
        Wrong = "wrong",
        /// There is none.
        Missing = "missing",
    }
}

/// A count of spares; kinds that are not named were not counted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Counted {
    /// Which cabinet.
    pub cabinet: AreaId,
    /// How many heads of each kind lie there, fit or not.
    pub held: BTreeMap<String, u32>,
    /// How many of those must not be used: painted, dented, without a cap, used before.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub unfit: BTreeMap<String, u32>,
    /// Free text; why the count differs from the ledger, where that is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// Spares put into a cabinet, taken out or thrown away.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Moved {
    /// Which cabinet.
    pub cabinet: AreaId,
    /// Of which kind.
    pub kind: String,
    /// How many heads.
    pub n: u32,
    /// Which way.
    pub way: Way,
    /// For which head one was taken; the replacement itself is a `did` with `from`, which takes its own spare.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub head: Option<Heads>,
    /// Free text.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// What was seen of a cabinet itself; what is left out was not looked at.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Checked {
    /// Which cabinet.
    pub cabinet: AreaId,
    /// Whether each wrench is there, by the word that kinds name it by; empty: that of kinds which name none.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub wrenches: BTreeMap<String, bool>,
    /// The posted list.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub list: Option<List>,
    /// The warmest it gets where the cabinet hangs, as far as can be told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub warmest: Option<Temperature>,
    /// Whether it is dry there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dry: Option<bool>,
    /// Whether it hangs where it should: found and reached by everybody who needs it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<bool>,
    /// Free text.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A list of what is kept was posted in a cabinet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Posted {
    /// Which cabinet.
    pub cabinet: AreaId,
    /// The date it bears.
    pub date: NaiveDate,
    /// How many heads of each kind it says are kept.
    pub keep: BTreeMap<String, u32>,
}

/// A cabinet was found that the register did not hold.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NewCabinet {
    /// Its short name; of the same form as an area's.
    pub id: AreaId,
    /// Its name for people.
    pub name: String,
    /// Where it hangs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
    /// The areas it serves; none named: all of them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub serves: Vec<AreaId>,
}
