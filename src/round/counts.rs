//! Counts over heads, kept in step as entries come.

use crate::rules::model::Ruling;

/// Counts over heads.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Heads that are there.
    pub heads: usize,
    /// Looked at and judged.
    pub seen: usize,
    /// In sight but not judged.
    pub unsure: usize,
    /// Not reached, with a reason.
    pub unreached: usize,
    /// Without any record.
    pub unseen: usize,
    /// By ruling, in the order of [`Ruling::ALL`]; heads without a ruling are in none, nor are those of `advisory`.
    pub rulings: [usize; 7],
    /// With a ruling above keep that only advisory findings ask for: kept apart from those of the adopted inspection.
    pub advisory: usize,
    /// With an open impairment.
    pub impaired: usize,
    /// With an impairment that an earlier round reported and nobody has answered in this one.
    pub impaired_before: usize,
    /// With an open finding of an earlier round that has no answer yet.
    pub carried: usize,
    /// On which people disagree.
    pub disagreements: usize,
}

impl Counts {
    pub(super) fn add(&mut self, other: &Self) {
        self.heads += other.heads;
        self.seen += other.seen;
        self.unsure += other.unsure;
        self.unreached += other.unreached;
        self.unseen += other.unseen;
        for (mine, theirs) in self.rulings.iter_mut().zip(other.rulings) {
            *mine += theirs;
        }
        self.advisory += other.advisory;
        self.impaired += other.impaired;
        self.impaired_before += other.impaired_before;
        self.carried += other.carried;
        self.disagreements += other.disagreements;
    }

    pub(super) fn take(&mut self, other: &Self) {
        self.heads -= other.heads.min(self.heads);
        self.seen -= other.seen.min(self.seen);
        self.unsure -= other.unsure.min(self.unsure);
        self.unreached -= other.unreached.min(self.unreached);
        self.unseen -= other.unseen.min(self.unseen);
        for (mine, theirs) in self.rulings.iter_mut().zip(other.rulings) {
            *mine -= theirs.min(*mine);
        }
        self.advisory -= other.advisory.min(self.advisory);
        self.impaired -= other.impaired.min(self.impaired);
        self.impaired_before -= other.impaired_before.min(self.impaired_before);
        self.carried -= other.carried.min(self.carried);
        self.disagreements -= other.disagreements.min(self.disagreements);
    }

    /// How many heads have this ruling, those of advisory findings left out.
    #[must_use]
    pub fn ruled(&self, ruling: Ruling) -> usize {
        Ruling::ALL.iter().zip(self.rulings).find(|(r, _)| **r == ruling).map_or(0, |(_, n)| n)
    }

    /// Whether every head has been answered for: seen, not judged, or not reached with a reason, and every finding of
    /// an earlier round too.
    #[must_use]
    pub const fn complete(&self) -> bool {
        self.unseen == 0 && self.carried == 0
    }

    /// Heads answered for.
    #[must_use]
    pub const fn answered(&self) -> usize {
        self.seen + self.unsure + self.unreached
    }
}
