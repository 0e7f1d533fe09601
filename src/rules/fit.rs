//! Whether a spare fits a head: every field compared, and what the rule set thinks of each difference. An equivalent is
//! never invented: what no row covers is for the designer or the authority.

use super::facts::Facts;
use super::model::{Confidence, RuleSet};
use super::spares::{Differs, FitVerdict, NO_COATING, SpareField, SpareRow, UNLISTED};
use crate::trade::class::Class;
use crate::trade::head_type::thread_key;
use crate::trade::kind::{Finish, Kind};
use crate::trade::quantity::{Length, Units};

/// What is said of a difference that no row covers.
const UNCOVERED: &str =
    "The set has no word on this difference. Ask the designer or the authority before anything else goes in.";

/// What is said of a recalled spare.
const RECALLED: &str =
    "The number of the spare is on a list of recalled ones. It goes into no ceiling; set it apart and ask its maker.";

/// What is said of a field.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FieldFit {
    /// What was compared.
    pub field: SpareField,
    /// What the head has, in words and units.
    pub head: String,
    /// What the spare has, in words and units.
    pub spare: String,
    /// How the spare stands to the head; `None`: it does not differ.
    pub differs: Option<Differs>,
    /// What is to be thought of it.
    pub verdict: FitVerdict,
    /// Why; empty where it does not differ.
    pub because: String,
    /// The clause; empty where it does not differ, or where no row covers it.
    pub clause: String,
    /// How far clause and verdict can be relied on; `None` where no row speaks.
    pub confidence: Option<Confidence>,
    /// The row that speaks; `None`: it does not differ, or no row covers it.
    pub row: Option<String>,
}

/// What is said of a spare for a head.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fit {
    /// The worst of all fields.
    pub verdict: FitVerdict,
    /// Whether the spare is a recalled one: then it never goes in.
    pub recalled: bool,
    /// Every field, in the order in which the trade compares them.
    pub fields: Vec<FieldFit>,
}

impl Fit {
    /// The fields that differ, worst first and otherwise in order.
    #[must_use]
    pub fn differing(&self) -> Vec<&FieldFit> {
        let mut found: Vec<&FieldFit> = self.fields.iter().filter(|f| f.differs.is_some()).collect();
        found.sort_by_key(|f| std::cmp::Reverse(f.verdict));
        found
    }

    /// Why the spare is not simply the same: a recall first, then the fields, worst first.
    #[must_use]
    pub fn reasons(&self) -> Vec<&str> {
        let recalled = self.recalled.then_some(RECALLED);
        recalled.into_iter().chain(self.differing().into_iter().map(|f| f.because.as_str())).collect()
    }
}

/// Compares a spare with the head that it would replace. `facts` are the head's, in its place; `recalled`: whether the
/// spare's number is a recalled one.
#[must_use]
pub fn fit(set: &RuleSet, facts: &Facts, head: &Kind, spare: &Kind, recalled: bool, units: Units) -> Fit {
    let fields: Vec<FieldFit> = SpareField::ALL
        .iter()
        .map(|field| {
            let [of_head, of_spare] = [head, spare].map(|kind| shown(*field, kind, units));
            let row = speaking(&set.duties.spares, facts, head, spare, *field);
            field_fit(*field, of_head, of_spare, row)
        })
        .collect();
    let worst = fields.iter().map(|f| f.verdict).max().unwrap_or(FitVerdict::Same);
    Fit { verdict: if recalled { FitVerdict::Never } else { worst }, recalled, fields }
}

fn field_fit(field: SpareField, head: String, spare: String, said: Option<(Differs, Option<&SpareRow>)>) -> FieldFit {
    let differs = said.map(|(differs, _)| differs);
    let plain = |verdict, because: &str| FieldFit {
        field,
        head: head.clone(),
        spare: spare.clone(),
        differs,
        verdict,
        because: because.to_owned(),
        clause: String::new(),
        confidence: None,
        row: None,
    };
    match said {
        None => plain(FitVerdict::Same, ""),
        Some((_, None)) => plain(FitVerdict::Ask, UNCOVERED),
        Some((_, Some(row))) => FieldFit {
            clause: row.basis.clause.clone(),
            confidence: Some(row.basis.confidence),
            row: Some(row.id.clone()),
            ..plain(row.verdict, &row.because)
        },
    }
}

/// How the two differ in a field, and the row that speaks of it; `None`: they do not differ.
pub(crate) fn speaking<'r>(
    rows: &'r [SpareRow],
    facts: &Facts,
    head: &Kind,
    spare: &Kind,
    field: SpareField,
) -> Option<(Differs, Option<&'r SpareRow>)> {
    let differs = differs(field, head, spare)?;
    let [from, to] = [head, spare].map(|kind| word(field, kind));
    let applies = |row: &&SpareRow| row.field == field && row.meets(differs, from, to) && row.when.holds(facts);
    Some((differs, rows.iter().find(applies)))
}

/// What the rows say of a pair.
pub(crate) fn verdict(rows: &[SpareRow], facts: &Facts, head: &Kind, spare: &Kind) -> FitVerdict {
    let said = |field: &SpareField| match speaking(rows, facts, head, spare, *field) {
        None => FitVerdict::Same,
        Some((_, row)) => row.map_or(FitVerdict::Ask, |r| r.verdict),
    };
    SpareField::ALL.iter().map(said).max().unwrap_or(FitVerdict::Same)
}

/// Published metric ratings are rounded to the whole degree Celsius: 68 °C is 155 °F.
const SAME_RATING: f64 = 0.6;

/// Metric markings of K-factors are rounded by up to one in a hundred: 80 is 5.6.
const SAME_K: f64 = 0.01;

/// Lengths are the same to the millimetre.
const SAME_LENGTH: f64 = 0.001_001;

/// How the spare stands to the head; `None`: it does not differ.
pub(crate) fn differs(field: SpareField, head: &Kind, spare: &Kind) -> Option<Differs> {
    let other = |differ: bool| differ.then_some(Differs::Other);
    match field {
        SpareField::Orientation => other(head.orientation != spare.orientation),
        SpareField::Style => other(head.style != spare.style),
        SpareField::Mount => other(head.mount != spare.mount),
        SpareField::Response => other(head.response != spare.response),
        SpareField::Dry => other(head.dry != spare.dry),
        SpareField::Finish => other(coating(head).is_none() && coating(spare).is_none() && head.finish != spare.finish),
        SpareField::Coating => match (coating(head), coating(spare)) {
            (Some(_), None) => Some(Differs::Lost),
            (None, Some(_)) => Some(Differs::Gained),
            (one, two) => other(one != two),
        },
        SpareField::K => {
            let (one, two) = (head.k.us(), spare.k.us());
            if (one - two).abs() <= SAME_K * one.max(two) {
                None
            } else if head.k.nominal().is_some() && head.k.nominal() == spare.k.nominal() {
                Some(Differs::SameNominal)
            } else if two < one {
                Some(Differs::Smaller)
            } else {
                Some(Differs::Larger)
            }
        }
        SpareField::Rating => {
            if (head.rating.celsius() - spare.rating.celsius()).abs() <= SAME_RATING {
                return None;
            }
            Some(rating(head.class(), spare.class()))
        }
        SpareField::Thread => match (thread(head), thread(spare)) {
            (Some(one), Some(two)) => other(one != two),
            // Heads of one kind have one thread, whether it is written down or not.
            (None, None) if !head.id.is_empty() && head.id == spare.id => None,
            _ => Some(Differs::Unknown),
        },
        // A length is a dry head's; where only one of the two is dry, that speaks for itself.
        SpareField::Length if head.dry && spare.dry => match (head.length, spare.length) {
            (Some(one), Some(two)) => other((one.metres() - two.metres()).abs() > SAME_LENGTH),
            _ => Some(Differs::Unknown),
        },
        SpareField::Length => None,
    }
}

/// How two ratings that differ stand to each other by their classes.
pub(crate) fn rating(head: Option<Class>, spare: Option<Class>) -> Differs {
    match (head, spare) {
        (Some(one), Some(two)) => match two.cmp(&one) {
            std::cmp::Ordering::Equal => Differs::SameClass,
            std::cmp::Ordering::Greater => Differs::HigherClass,
            std::cmp::Ordering::Less => Differs::LowerClass,
        },
        _ => Differs::Unknown,
    }
}

fn coating(kind: &Kind) -> Option<Finish> {
    Some(kind.finish).filter(|f| f.resists_corrosion())
}

fn thread(kind: &Kind) -> Option<String> {
    kind.thread.as_deref().map(thread_key).filter(|key| !key.is_empty())
}

/// A kind's value of a field, as `from` and `to` name it; empty where they cannot.
pub(crate) fn word(field: SpareField, kind: &Kind) -> &'static str {
    match field {
        SpareField::Orientation => kind.orientation.as_str(),
        SpareField::Style => kind.style.as_str(),
        SpareField::Mount => kind.mount.as_str(),
        SpareField::Response => kind.response.as_str(),
        SpareField::Rating => kind.class().map_or(UNLISTED, Class::as_str),
        SpareField::Coating => coating(kind).map_or(NO_COATING, Finish::as_str),
        SpareField::Finish => kind.finish.as_str(),
        SpareField::Dry => {
            if kind.dry {
                "true"
            } else {
                "false"
            }
        }
        SpareField::K | SpareField::Thread | SpareField::Length => "",
    }
}

/// A kind's value of a field for people.
fn shown(field: SpareField, kind: &Kind, units: Units) -> String {
    let length = |l: Option<Length>| l.map_or_else(|| "not recorded".to_owned(), |l| l.show(units));
    match field {
        SpareField::Rating => {
            let class = kind.class().map_or_else(|| "no class of the table".to_owned(), |c| c.to_string());
            format!("{}, {class}", kind.rating.show(units))
        }
        SpareField::K => kind.k.show(units),
        SpareField::Thread => match &kind.thread {
            Some(text) if thread(kind).is_some() => crate::diag::plain(text.trim()),
            _ => "not recorded".to_owned(),
        },
        // What a coated head looks like is its coating's.
        SpareField::Finish if coating(kind).is_some() => "see coating".to_owned(),
        SpareField::Length if kind.dry => length(kind.length),
        SpareField::Length => "none".to_owned(),
        SpareField::Orientation
        | SpareField::Style
        | SpareField::Mount
        | SpareField::Response
        | SpareField::Coating
        | SpareField::Finish
        | SpareField::Dry => field.value(word(field, kind)).to_owned(),
    }
}
