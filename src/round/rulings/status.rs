//! How far a round has come, in numbers.

use chrono::NaiveDate;
use serde::{Serialize, Serializer};

use crate::round::rounds::Round;
use crate::round::state::{Counts, State};
use crate::round::stock::{self, SpareStatus};
use crate::rules::model::Ruling;
use crate::trade::address::AreaId;

/// Counts by ruling, written as an object with every ruling's word.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ByRuling(pub [usize; 7]);

impl Serialize for ByRuling {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(Ruling::ALL.iter().zip(self.0))
    }
}

/// What is counted of an area and of a site alike.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Tally {
    /// Heads that are there.
    pub heads: usize,
    /// Looked at and judged.
    pub seen: usize,
    /// Not reached, with a reason.
    pub unreached: usize,
    /// Without any record.
    pub unseen: usize,
    /// In sight but not judged.
    pub unsure: usize,
    /// Heads by ruling, those of `advisory` left out.
    pub rulings: ByRuling,
    /// Heads with a ruling above keep that only advisory findings ask for.
    pub advisory: usize,
    /// Heads with a finding of an earlier round that has no answer yet.
    pub carried: usize,
    /// Heads on which people disagree.
    pub disagreements: usize,
    /// Heads with an open impairment.
    pub impairments: usize,
    /// Heads with an impairment of an earlier round that nobody has answered in this one.
    pub impairments_before: usize,
}

impl From<Counts> for Tally {
    fn from(counts: Counts) -> Self {
        Self {
            heads: counts.heads,
            seen: counts.seen,
            unreached: counts.unreached,
            unseen: counts.unseen,
            unsure: counts.unsure,
            rulings: ByRuling(counts.rulings),
            advisory: counts.advisory,
            carried: counts.carried,
            disagreements: counts.disagreements,
            impairments: counts.impaired,
            impairments_before: counts.impaired_before,
        }
    }
}

/// How far the present round has come in one area.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct AreaStatus {
    /// The area.
    pub area: AreaId,
    /// Its name for people.
    pub name: String,
    /// What was counted.
    #[serde(flatten)]
    pub tally: Tally,
}

/// How far the present round has come at a site.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct StatusRow {
    /// The file, where the caller names it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub file: Option<String>,
    /// The site's name.
    pub site: String,
    /// The round; `None` where none has begun.
    pub round: Option<String>,
    /// The round's day.
    pub date: Option<NaiveDate>,
    /// What was counted.
    #[serde(flatten)]
    pub tally: Tally,
    /// Whether the round is signed.
    pub signed: bool,
    /// Who signed it.
    pub signed_by: Option<String>,
    /// The spare heads; `None` where no cabinet is in the register and the rule set asks for none.
    pub spares: Option<SpareStatus>,
    /// The same by area, in walking order.
    pub areas: Vec<AreaStatus>,
}

/// How far the present round has come. `file` is what the caller calls the file; the day decides which spares are too old.
#[must_use]
pub fn status(state: &State, file: Option<&str>, today: NaiveDate) -> StatusRow {
    let round = state.present_round();
    let areas = state
        .register()
        .areas
        .iter()
        .enumerate()
        .map(|(number, area)| area_status(&state.area_counts(u16::try_from(number).unwrap_or(u16::MAX)), area))
        .collect();
    let counts = state.counts();
    StatusRow {
        file: file.map(str::to_owned),
        site: state.register().site.name.clone(),
        round: round.map(|r| r.name.to_string()),
        date: round.map(Round::date),
        tally: counts.into(),
        signed: round.is_some_and(Round::is_signed),
        signed_by: round.and_then(|r| r.signoff.as_ref()).map(|(_, s)| s.name.clone()),
        spares: stock::status(state, today),
        areas,
    }
}

fn area_status(counts: &Counts, area: &crate::trade::register::Area) -> AreaStatus {
    AreaStatus { area: area.id.clone(), name: area.name.clone(), tally: (*counts).into() }
}
