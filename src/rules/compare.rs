//! What differs between two rule sets: the words they know, the decisions they lead to, the duties they name, and the
//! rules themselves. Decisions are compared combination by combination, each set asked in its own words.

mod boxes;
mod cells;
mod duties;
mod items;
mod text;

use std::collections::{BTreeMap, HashMap};

use serde::Serialize;

use super::model::{Class, RuleSet, Ruling};
use crate::trade::kind::Applied;
use crate::trade::words::words;

pub use text::text;

words! {
    /// What a difference is about.
    pub enum About ("thing of a rule set") {
        /// A sign.
        Sign = "sign",
        /// A part.
        Part = "part",
        /// An extent.
        Extent = "extent",
        /// A rule.
        Rule = "rule",
        /// A caution to show.
        Caution = "caution",
        /// When heads are due for a test or for replacement.
        Age = "age",
        /// How many heads a sample has.
        Sample = "sample",
        /// What may be drawn for a sample, or follows from it.
        SampleRule = "sample rule",
        /// What a head must do in the operating test.
        Limit = "limit",
        /// How many spare heads are held.
        Stock = "stock",
        /// The cabinet.
        Cabinet = "cabinet",
        /// Which spare fits which head.
        Spare = "spare",
        /// How far cleaning may go.
        Cleaning = "cleaning",
        /// Which rating a ceiling calls for.
        Suitability = "suitability",
        /// A visit that is due again and again.
        Visit = "visit",
        /// A distance to keep clear.
        Clearance = "clearance",
        /// What a class of finding means.
        Class = "class",
        /// A coded reason for not reaching a head.
        Unreached = "unreached",
        /// What an impairment demands.
        Impairment = "impairment",
        /// A clock that starts with an impairment.
        Clock = "clock",
        /// A recalled identification number.
        Recalled = "recalled",
        /// How long a record is kept.
        Retention = "retention",
    }
}

words! {
    /// One of the two sets that are compared.
    pub enum Side ("side of a comparison") {
        /// The first.
        From = "from",
        /// The second.
        To = "to",
    }
}

/// Which set it is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Named {
    /// Its word.
    pub name: String,
    /// One line for people.
    pub title: String,
    /// The edition it follows.
    pub edition: String,
}

/// One field of a thing that differs. A value that is `None` is not given, not asked, or of a thing that is not there.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct FieldChange {
    /// The field, such as `ruling` or `when part`.
    pub field: String,
    /// What the first set has.
    pub from: Option<String>,
    /// What the second set has.
    pub to: Option<String>,
    /// Whether it is running text, which a short listing only names.
    pub text: bool,
    /// Whether it is a list of words, parted by commas.
    #[serde(skip)]
    pub list: bool,
}

/// A thing that both sets have and that differs, or that only one of them has.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Change {
    /// What sort of thing.
    pub about: About,
    /// Its word.
    pub word: String,
    /// One line for people.
    pub title: String,
    /// The set that alone has it; `None`: both have it.
    pub only_in: Option<Side>,
    /// The fields that differ; of a thing that only one set has, all that are given.
    pub fields: Vec<FieldChange>,
}

/// What a set decides, and by which rule.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct Verdict {
    /// What must happen.
    pub ruling: Ruling,
    /// The weight of the finding.
    pub class: Option<Class>,
    /// The rule that leads; `None`: no rule has anything to say.
    pub rule: Option<String>,
    /// Its clause.
    pub clause: Option<String>,
    /// The rule that gives the class, where another than the leading one does.
    pub class_rule: Option<String>,
}

/// What a decision asks about the head or its surroundings.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Fact {
    /// The field, as in rule files.
    pub field: &'static str,
    /// The values for which it is so.
    pub values: Vec<String>,
}

/// Settings that a decision asks about.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Settings {
    /// The settings; they count alike.
    pub any_of: Vec<String>,
    /// Whether at least one of them is there, or none is.
    pub there: bool,
}

/// Combinations that are decided alike. An empty list asks nothing: it is so for everything that both sets know.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Place {
    /// Parts, by word.
    pub parts: Vec<String>,
    /// Extents, by word.
    pub extents: Vec<String>,
    /// Who applied a finish.
    pub origins: Vec<Applied>,
    /// What must be so about the head and its surroundings.
    pub facts: Vec<Fact>,
    /// What must be so about the settings of its area.
    pub settings: Vec<Settings>,
    /// All of it for people.
    pub words: String,
}

/// Combinations of one sign on which the sets decide differently.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Decision {
    /// The sign, by word.
    pub sign: String,
    /// What the first set decides.
    pub from: Verdict,
    /// What the second set decides.
    pub to: Verdict,
    /// Where; the places may overlap.
    pub places: Vec<Place>,
}

/// A sign whose decisions are not listed one by one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Unlisted {
    /// The sign, by word.
    pub sign: String,
    /// How many combinations the rules of both sets tell apart.
    pub combinations: usize,
    /// How many of them are decided differently; `None`: too many to look at.
    pub differ: Option<usize>,
}

/// What differs between two sets.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Comparison {
    /// The first set.
    pub from: Named,
    /// The second set.
    pub to: Named,
    /// Decisions that differ, on the words that both sets know.
    pub decisions: Vec<Decision>,
    /// Signs on which too much differs to be listed, or too much to be compared.
    pub unlisted: Vec<Unlisted>,
    /// Signs, parts and extents that differ. Nothing is decided in the set that does not know a word.
    pub words: Vec<Change>,
    /// Duties that differ.
    pub duties: Vec<Change>,
    /// Rules that differ. Their worked cases are not compared: what those say follows from the decisions.
    pub rules: Vec<Change>,
}

impl Comparison {
    /// Whether nothing differs but the names of the sets.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.decisions.is_empty()
            && self.unlisted.is_empty()
            && self.words.is_empty()
            && self.duties.is_empty()
            && self.rules.is_empty()
    }
}

/// Compares two sets.
#[must_use]
pub fn compare(from: &RuleSet, to: &RuleSet) -> Comparison {
    let (decisions, unlisted) = decisions(from, to);
    Comparison {
        from: named(from),
        to: named(to),
        decisions,
        unlisted,
        words: items::words(from, to),
        duties: duties::duties(from, to),
        rules: items::rules(from, to),
    }
}

fn named(set: &RuleSet) -> Named {
    Named { name: set.name.clone(), title: set.title.clone(), edition: set.edition.clone() }
}

/// Signs are compared in the order of their words, so that what is left out when there is too much does not hang on which
/// set comes first; they are told in the order of the first set.
fn decisions(from: &RuleSet, to: &RuleSet) -> (Vec<Decision>, Vec<Unlisted>) {
    let mut common: Vec<&str> = from.signs.iter().map(|s| s.id.as_str()).filter(|id| to.sign(id).is_some()).collect();
    common.sort_unstable();
    let mut room = cells::MOST_CELLS_OF_ALL;
    let mut found: HashMap<&str, cells::Found> = HashMap::new();
    for sign in common {
        found.insert(sign, cells::compare_sign(from, to, sign, &mut room));
    }
    let (mut decisions, mut unlisted) = (Vec::new(), Vec::new());
    for sign in &from.signs {
        match found.remove(sign.id.as_str()) {
            Some(cells::Found::Places(list)) => decisions.extend(gathered(&sign.id, list)),
            Some(cells::Found::TooMany { combinations, differ }) => {
                unlisted.push(Unlisted { sign: sign.id.clone(), combinations, differ });
            }
            None => {}
        }
    }
    (decisions, unlisted)
}

/// Places that lead to the same change stand together, in the order of the first of them.
fn gathered(sign: &str, list: Vec<(Verdict, Verdict, Place)>) -> Vec<Decision> {
    let mut known: BTreeMap<(Verdict, Verdict), usize> = BTreeMap::new();
    let mut decisions: Vec<Decision> = Vec::new();
    for (from, to, place) in list {
        let at = *known.entry((from.clone(), to.clone())).or_insert(decisions.len());
        match decisions.get_mut(at) {
            Some(decision) => decision.places.push(place),
            None => decisions.push(Decision { sign: sign.to_owned(), from, to, places: vec![place] }),
        }
    }
    decisions
}
