//! A finding of a cabinet: what it is about, how it is to be taken, what to do.

use crate::rules::model::Confidence;
use crate::trade::address::AreaId;
use crate::trade::register::KindIx;
use crate::trade::words::words;

words! {
    /// What a finding of a cabinet is about.
    pub enum Matter ("matter of a cabinet's finding") {
        /// No cabinet is in the register.
        NoCabinet = "no-cabinet",
        /// An area with heads is served by no cabinet.
        Unserved = "unserved",
        /// It was not counted in this round.
        NotCounted = "not-counted",
        /// Fewer spares are held than heads of this number ask for.
        Total = "total",
        /// A type that is installed is not held, or too few of it.
        Type = "type",
        /// A type is held, but not in the cabinet that serves it.
        Elsewhere = "elsewhere",
        /// A kind whose type is installed nowhere.
        NotInstalled = "not-installed",
        /// A kind that has grown too old.
        TooOld = "too-old",
        /// A kind that may be too old; its year is not known.
        AgeUnknown = "age-unknown",
        /// Heads that must not be used.
        Unfit = "unfit",
        /// A kind with a recalled number.
        Recalled = "recalled",
        /// A wrench.
        Wrench = "wrench",
        /// The posted list.
        List = "list",
        /// How warm it gets.
        Temperature = "temperature",
        /// Whether it is dry.
        Dryness = "dryness",
        /// Where it hangs.
        Place = "place",
        /// A count that differs from the ledger.
        Difference = "difference",
        /// More was taken than the ledger held.
        Overdrawn = "overdrawn",
        /// Dry heads that need not be held.
        DryLengths = "dry-lengths",
        /// A thread is not in the register.
        Thread = "thread",
        /// An area's hazard is not in the register.
        Hazard = "hazard",
    }
}

words! {
    /// How a finding of a cabinet is to be taken.
    pub enum Weight ("weight of a cabinet's finding") {
        /// Good to know; nothing to mend.
        Told = "told",
        /// Nobody has looked at it in this round: that never means fine.
        Open = "open",
        /// Something is wrong.
        Wrong = "wrong",
    }
}

/// One finding.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct CabinetFinding {
    /// The cabinet; `None`: all of them together.
    pub cabinet: Option<AreaId>,
    /// What it is about.
    pub matter: Matter,
    /// How it is to be taken.
    pub weight: Weight,
    /// The kind it is about.
    #[serde(skip)]
    pub kind: Option<KindIx>,
    /// What was found, one sentence without a full stop.
    pub text: String,
    /// What to do.
    pub remedy: String,
    /// The clause; empty where none speaks of it.
    pub clause: String,
    /// How far the clause can be relied on.
    pub confidence: Confidence,
}
