//! Which spare fits which head: the rows of a rule set that speak where a spare differs from the head it would replace.

use super::duties::{Basis, Where};
use super::facts::{Facts, Field};
use crate::trade::class::Class;
use crate::trade::kind::{Finish, Kind};
use crate::trade::words::words;

words! {
    /// What of a head and its spare is compared, in the order in which the trade compares it.
    pub enum SpareField ("field of a spare") {
        /// Which way it points.
        Orientation = "orientation",
        /// What it is listed for.
        Style = "style",
        /// How it sits.
        Mount = "mount",
        /// Discharge coefficient.
        K = "k",
        /// Thread.
        Thread = "thread",
        /// Temperature rating.
        Rating = "rating",
        /// Thermal sensitivity.
        Response = "response",
        /// Coating or metal that resists corrosion.
        Coating = "coating",
        /// Finish that only looks different.
        Finish = "finish",
        /// Whether it is a dry head.
        Dry = "dry",
        /// Length of a dry head.
        Length = "length",
    }
}

/// The word for a head without a corrosion-resistant coating.
pub(crate) const NO_COATING: &str = "none";

/// The word for a rating that no class of the table holds.
pub(crate) const UNLISTED: &str = "unlisted";

impl SpareField {
    /// The words of its values, as `from` and `to` name them; empty where values are compared by size or as text.
    #[must_use]
    pub fn words(self) -> Vec<&'static str> {
        let finishes = |resists: bool| Finish::ALL.iter().filter(move |f| f.resists_corrosion() == resists);
        match self {
            Self::Orientation => Field::Orientation.words(),
            Self::Style => Field::Style.words(),
            Self::Mount => Field::Mount.words(),
            Self::Response => Field::Response.words(),
            Self::Rating => Class::ALL.iter().map(|c| c.as_str()).chain([UNLISTED]).collect(),
            Self::Coating => std::iter::once(NO_COATING).chain(finishes(true).map(|f| f.as_str())).collect(),
            Self::Finish => finishes(false).map(|f| f.as_str()).collect(),
            Self::Dry => Field::Dry.words(),
            Self::K | Self::Thread | Self::Length => Vec::new(),
        }
    }

    /// What people call it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::K => "K-factor",
            Self::Dry => "dry or not",
            Self::Length => "length of a dry head",
            other => other.as_str(),
        }
    }

    /// A word of its values as people read it.
    #[must_use]
    pub fn value(self, word: &str) -> &str {
        match (self, word) {
            (Self::Dry, "true") => "dry",
            (Self::Dry, "false") => "not dry",
            (_, word) => word,
        }
    }

    /// The relations of a spare to the head that the field can have.
    #[must_use]
    pub const fn relations(self) -> &'static [Differs] {
        match self {
            Self::Orientation | Self::Style | Self::Mount | Self::Response | Self::Finish | Self::Dry => {
                &[Differs::Other]
            }
            Self::K => &[Differs::SameNominal, Differs::Smaller, Differs::Larger],
            Self::Thread | Self::Length => &[Differs::Other, Differs::Unknown],
            Self::Rating => &[Differs::SameClass, Differs::HigherClass, Differs::LowerClass, Differs::Unknown],
            Self::Coating => &[Differs::Lost, Differs::Gained, Differs::Other],
        }
    }
}

words! {
    /// How a spare stands to the head where the two differ.
    pub enum Differs ("relation of spare and head") {
        /// Another rating of the same temperature class.
        SameClass = "same-class",
        /// A rating of a higher class.
        HigherClass = "higher-class",
        /// A rating of a lower class.
        LowerClass = "lower-class",
        /// Another K-factor that goes by the same nominal one.
        SameNominal = "same-nominal",
        /// A smaller K-factor.
        Smaller = "smaller",
        /// A larger K-factor.
        Larger = "larger",
        /// The head is coated, the spare is not.
        Lost = "lost",
        /// The spare is coated, the head is not.
        Gained = "gained",
        /// Another one.
        Other = "other",
        /// It cannot be told, because it is not known of one of the two.
        Unknown = "unknown",
    }
}

impl Differs {
    /// The relation as it follows the field: `rating, of a higher class`.
    #[must_use]
    pub const fn phrase(self) -> &'static str {
        match self {
            Self::SameClass => "of the same class",
            Self::HigherClass => "of a higher class",
            Self::LowerClass => "of a lower class",
            Self::SameNominal => "of the same nominal size",
            Self::Smaller => "smaller",
            Self::Larger => "larger",
            Self::Lost => "lost",
            Self::Gained => "gained",
            Self::Other => "another",
            Self::Unknown => "unknown on one side",
        }
    }
}

words! {
    /// Whether a spare may go in where a head comes out, best first; the worst of all fields stands for the pair.
    pub enum FitVerdict ("verdict on a spare") {
        /// It does not differ.
        Same = "fits",
        /// It differs, and may go in on the grounds that the row names.
        May = "may",
        /// The designer or the authority decides.
        Ask = "ask",
        /// It must not go in.
        Never = "never",
    }
}

/// A row: what is to be thought of a spare that differs in one field. Of the rows for a field the first that applies
/// speaks.
#[derive(Clone, Debug, PartialEq)]
pub struct SpareRow {
    /// Its word.
    pub id: String,
    /// What differs.
    pub field: SpareField,
    /// In which way; `None`: in any.
    pub differs: Option<Differs>,
    /// Values of the head, of [`SpareField::words`]; empty: any.
    pub from: Vec<&'static str>,
    /// Values of the spare, of [`SpareField::words`]; empty: any.
    pub to: Vec<&'static str>,
    /// Which heads.
    pub when: Where,
    /// What is to be thought of it.
    pub verdict: FitVerdict,
    /// Why: what differs and what comes of it.
    pub because: String,
    /// Where it comes from.
    pub basis: Basis,
    /// Worked cases.
    pub cases: Vec<SpareCase>,
}

impl SpareRow {
    /// Whether it speaks wherever its field differs.
    #[must_use]
    pub fn always(&self) -> bool {
        self.differs.is_none() && self.from.is_empty() && self.to.is_empty() && !self.when.asks()
    }

    /// What it is about, in words: `style, from conventional, to spray`, `rating, of a higher class`.
    #[must_use]
    pub fn difference(&self) -> String {
        let list = |list: &[&str]| list.iter().map(|w| self.field.value(w)).collect::<Vec<_>>().join(" or ");
        let mut words = vec![self.field.name().to_owned()];
        words.extend(self.differs.map(|d| d.phrase().to_owned()));
        words.extend((!self.from.is_empty()).then(|| format!("from {}", list(&self.from))));
        words.extend((!self.to.is_empty()).then(|| format!("to {}", list(&self.to))));
        if self.always() {
            words.push("any other difference".to_owned());
        } else if words.len() == 1 {
            words.push("any difference".to_owned());
        }
        words.join(", ")
    }

    /// Whether it applies to a difference, the surroundings aside.
    pub(crate) fn meets(&self, differs: Differs, from: &str, to: &str) -> bool {
        let among = |list: &[&str], word: &str| list.is_empty() || list.contains(&word);
        self.differs.is_none_or(|d| d == differs) && among(&self.from, from) && among(&self.to, to)
    }
}

/// A worked case: a head in its surroundings, a spare, and what the whole set says of the pair.
#[derive(Clone, Debug, PartialEq)]
pub struct SpareCase {
    /// Head and spare, in a sentence.
    pub see: String,
    /// The head.
    pub head: Kind,
    /// Its make-up and surroundings.
    pub facts: Facts,
    /// The spare.
    pub spare: Kind,
    /// Whether the row speaks in it.
    pub holds: bool,
    /// What the set says of the pair.
    pub says: FitVerdict,
}
