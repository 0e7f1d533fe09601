//! What a rule set holds once it has been read and found sound.

use crate::trade::words::words;

words! {
    /// What the adopted rule set says must happen to a head, weakest first; the strongest that any rule gives stands.
    pub enum Ruling ("ruling") {
        /// Nothing need be done.
        Keep = "keep",
        /// Look at it again next time.
        Watch = "watch",
        /// It could not be judged: look from near by.
        Look = "look",
        /// Clean it without touching it.
        Clean = "clean",
        /// Put right what is around it, or the way it hangs.
        Correct = "correct",
        /// Have it, or a sample like it, tested.
        Test = "test",
        /// Replace it.
        Replace = "replace",
    }
}

words! {
    /// The standard's weight of a finding, weightiest last. Advisory findings are outside the adopted inspection: told
    /// to the owner in writing and kept apart.
    pub enum Class ("class") {
        /// Outside the adopted inspection.
        Advisory = "advisory",
        /// A deficiency without material effect on the ability to function.
        Noncritical = "noncritical",
        /// A deficiency that has a material effect if it is not corrected.
        Critical = "critical",
        /// Out of order: may not function in a fire.
        Impairment = "impairment",
    }
}

/// The index of a sign in its rule set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SignIx(pub u8);

/// The index of a part in its rule set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PartIx(pub u8);

/// The index of an extent in its rule set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ExtentIx(pub u8);

/// The index of a rule in its rule set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RuleIx(pub u16);
