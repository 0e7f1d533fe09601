//! Heads and findings in a few words, for the walk and the screens around it. Words of the rule set where it knows them,
//! the file's own otherwise; nothing here decides anything.

use chrono::{Datelike as _, NaiveDate};

use crate::round::entry::{Entry, Gone, How, Saw, What};
use crate::round::layout::HeadIx;
use crate::round::state::{State, Status};
use crate::round::story::is_advisory;
use crate::round::words::entry_words;
use crate::rules::model::{RuleSet, Ruling};
use crate::trade::kind::{Applied, Element, Kind};
use crate::trade::quantity::{PartialDate, Units};
use crate::tui::plan::CellState;
use crate::tui::text::plain;

/// What the plan's cell of a head says. Costs the same for every head.
#[must_use]
pub fn cell_state(state: &State, head: HeadIx) -> CellState {
    let Some(known) = state.layout().head(head) else { return CellState::Gap };
    if known.removed {
        return CellState::Removed;
    }
    if state.has_disagreement(head) {
        return CellState::Disagreement;
    }
    let status = state.status(head);
    let judged = state.judgement(head);
    // On the plan, what a failed test says of a head must not pass for a look at it.
    let looked = status != Status::Unseen || state.failure(head).is_none();
    if let Some(judgement) = judged.filter(|j| looked && j.ruling > Ruling::Look && !is_advisory(*j)) {
        return CellState::Ruled(judgement.ruling);
    }
    if state.has_open_carried(head) {
        return CellState::Carried;
    }
    match (status, judged) {
        (Status::Unseen, _) if !looked => CellState::Condemned,
        (Status::Unseen, _) => CellState::Unseen,
        (Status::Unreached, _) => CellState::Unreached,
        (Status::Unsure, _) => CellState::Unsure,
        (Status::Seen, Some(j)) if is_advisory(j) => CellState::Advisory,
        // A ruling of keep with a reason is about a sign; without one nothing was seen.
        (Status::Seen, Some(j)) if j.ruling > Ruling::Keep || !state.judge().reasons(j).is_empty() => {
            CellState::Ruled(j.ruling)
        }
        (Status::Seen, _) => CellState::Seen,
    }
}

/// The word of a state where there is little room.
#[must_use]
pub const fn short_word(cell: CellState) -> &'static str {
    match cell {
        CellState::Carried => "earlier finding",
        CellState::Unsure => "not judged",
        other => other.word(),
    }
}

/// A sign that was seen: `paint on heat element, trace`. A sign's only part or only extent goes without saying.
#[must_use]
pub fn saw_words(set: &RuleSet, saw: &Saw) -> String {
    let sign = set.sign(&saw.sign).and_then(|s| set.sign_at(s));
    let part = set.part(&saw.part).and_then(|p| set.part_at(p)).map_or(saw.part.as_str(), |p| p.name.as_str());
    let extent =
        set.extent(&saw.extent).and_then(|e| set.extent_at(e)).map_or(saw.extent.as_str(), |e| e.name.as_str());
    let mut words = sign.map_or(saw.sign.as_str(), |s| s.name.as_str()).to_owned();
    if sign.is_none_or(|s| s.parts.len() > 1) {
        words.push_str(" on ");
        words.push_str(part);
    }
    if sign.is_none_or(|s| s.extents.len() > 1) {
        words.push_str(", ");
        words.push_str(extent);
    }
    plain(&words)
}

/// What belongs to a sighting besides: `by binoculars, doubtful, factory finish, clearance 10 in`; often nothing.
#[must_use]
pub fn saw_besides(saw: &Saw, units: Units) -> String {
    let mut words = Vec::new();
    if saw.how != How::Eye {
        words.push(how_words(saw.how).to_owned());
    }
    if saw.doubtful {
        words.push("doubtful".to_owned());
    }
    if let Some(applied) = saw.applied {
        words.push(applied_words(applied).to_owned());
    }
    if let Some(clearance) = saw.clearance {
        words.push(format!("clearance {}", clearance.show(units)));
    }
    words.join(", ")
}

/// How a head is looked at, as it reads after a finding.
#[must_use]
pub const fn how_words(how: How) -> &'static str {
    match how {
        How::Eye => "by eye",
        How::Binoculars => "by binoculars",
        How::Lift => "from a lift",
        How::Camera => "by camera",
    }
}

/// Who applied a finish, as it reads after a finding.
#[must_use]
pub const fn applied_words(applied: Applied) -> &'static str {
    match applied {
        Applied::Factory => "factory-applied",
        Applied::Field => "field-applied",
        Applied::Unknown => "origin unknown",
    }
}

/// What an entry says of a head whose address is known from elsewhere.
#[must_use]
pub fn short_words(state: &State, entry: &Entry) -> String {
    match &entry.what {
        What::Saw(saw) => saw_words(state.judge().set(), saw),
        What::Seen(_) => "seen in order".to_owned(),
        What::Unsure(x) => format!("could not be judged: {}", x.why),
        What::Unreached(x) => format!("not reached: {}", x.why),
        What::Note(x) => format!("note: {}", plain(&x.text)),
        What::Did(x) => match &x.kind {
            Some(kind) => format!("{}, now {}", x.did, plain(kind)),
            None => x.did.to_string(),
        },
        What::Gone(gone) => match gone_of(state, gone) {
            Some(words) => format!("{words}: gone"),
            None => "gone".to_owned(),
        },
        What::IsKind(x) => format!("is of kind {}", plain(&x.kind)),
        What::Added(_) => "found and added".to_owned(),
        What::Removed(_) => "not there".to_owned(),
        What::Settle(x) => format!("settled: {}", plain(&x.because)),
        _ => entry_words(entry),
    }
}

fn gone_of(state: &State, gone: &Gone) -> Option<String> {
    match &state.entry(state.find_entry(gone.of)?)?.what {
        What::Saw(saw) => Some(saw_words(state.judge().set(), saw)),
        _ => None,
    }
}

/// `ordinary, red bulb`; `intermediate, white frame`; a rating that no class holds is called so.
#[must_use]
pub fn class_words(kind: &Kind) -> String {
    let class = kind.class().map_or("rating of no class", |c| c.as_str());
    let what = match kind.element {
        Element::Bulb => "bulb",
        Element::Link => "frame",
    };
    match kind.colour() {
        Some(colour) => format!("{class}, {colour} {what}"),
        None => class.to_owned(),
    }
}

/// Whole years from a date that may lack its month or day, to a day; never negative.
#[must_use]
pub fn years_since(date: PartialDate, today: NaiveDate) -> i32 {
    let full = today.year() - date.year;
    let not_yet = date.month.is_some_and(|m| (m, date.day.unwrap_or(1)) > (today.month(), today.day()));
    (full - i32::from(not_yet)).max(0)
}

/// A count with its noun: `1 head`, `12 heads`.
#[must_use]
pub fn heads_words(count: usize) -> String {
    if count == 1 { "1 head".to_owned() } else { format!("{count} heads") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn years_in_service_count_only_what_is_full() {
        let today = NaiveDate::from_ymd_opt(2026, 11, 25).unwrap();
        for (date, years) in [("2009", 17), ("2009-11", 17), ("2009-12", 16), ("2009-11-26", 16), ("2027", 0)] {
            assert_eq!(years_since(PartialDate::parse(date).unwrap(), today), years, "{date}");
        }
    }
}
