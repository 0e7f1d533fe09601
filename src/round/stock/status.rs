//! How a site's spares stand, in a few numbers and a line.

use chrono::NaiveDate;
use serde::Serialize;

use super::finding::Weight;
use super::findings::findings;
use super::ledger::ledger;
use super::required::required;
use crate::round::state::State;

/// How a site's spares stand, as seen from the present round.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SpareStatus {
    /// Cabinets in the register.
    pub cabinets: usize,
    /// Cabinets wholly counted in the present round.
    pub counted: usize,
    /// How many spares the reading that rules asks for; `None`: the rule set says nothing of spares.
    pub asked: Option<u32>,
    /// Spares that may be used, of installed types.
    pub held: u32,
    /// Whether any cabinet's ledger knows of spares; if not, `held` is 0 because nobody has counted.
    pub known: bool,
    /// How many are missing under that reading.
    pub short: u32,
    /// Findings of something wrong.
    pub wrong: usize,
    /// Findings of something nobody has looked at in this round.
    pub open: usize,
}

impl SpareStatus {
    /// Whether spares are short, something is wrong, or a cabinet was not counted in the present round.
    #[must_use]
    pub const fn asks(&self) -> bool {
        self.short > 0 || self.wrong > 0 || self.counted < self.cabinets
    }

    /// In a line without a full stop: `4 of 6 spares held, 2 short; 1 of 2 cabinets counted in this round`.
    #[must_use]
    pub fn words(&self) -> String {
        if self.cabinets == 0 {
            return format!("{} spares are asked for, and no cabinet is in the register", self.asked.unwrap_or(0));
        }
        let words = match self.asked {
            Some(asked) => held_words(asked, self.held, self.short, self.known),
            None => format!("{} spares held", self.held),
        };
        let counted = match (self.cabinets, self.counted) {
            (1, 0) => "the cabinet is not counted in this round".to_owned(),
            (1, _) => "the cabinet is counted in this round".to_owned(),
            (_, 0) => "no cabinet is counted in this round".to_owned(),
            (all, n) if n == all => "all cabinets are counted in this round".to_owned(),
            (all, n) => format!("{n} of {all} cabinets are counted in this round"),
        };
        format!("{words}; {counted}")
    }
}

/// What is asked for and held, in words without a full stop: `12 spares asked for, 21 held; 1 more is needed of a type that has too
/// few`. Plenty of one type is no cover for another.
#[must_use]
pub fn held_words(asked: u32, held: u32, short: u32, known: bool) -> String {
    if !known {
        return format!("{asked} spares asked for; how many are held is not known, as nobody has counted");
    }
    let need = if short == 1 { "is" } else { "are" };
    match (short, asked.saturating_sub(held)) {
        (0, _) => format!("{asked} spares asked for, {held} held"),
        (_, 0) => {
            format!("{asked} spares asked for, {held} held; {short} more {need} needed of types that have too few")
        }
        _ => format!("{asked} spares asked for, {held} held; {short} short"),
    }
}

/// How the spares stand; `None` where no cabinet is in the register and the rule set asks for no spares here.
#[must_use]
pub fn status(state: &State, today: NaiveDate) -> Option<SpareStatus> {
    let ledger = ledger(state);
    let required = required(state, &ledger, today);
    if ledger.shelves.is_empty() && required.ruling().is_none_or(|r| r.total == 0) {
        return None;
    }
    let findings = findings(state, &ledger, &required, today);
    let weighing = |weight: Weight| findings.iter().filter(|f| f.weight == weight).count();
    Some(SpareStatus {
        cabinets: ledger.shelves.len(),
        counted: ledger.shelves.iter().filter(|s| s.counted.is_some() && s.not_counted(state).is_empty()).count(),
        asked: required.ruling().map(|r| r.total),
        held: required.held,
        known: ledger.shelves.iter().any(|s| !s.holdings.is_empty()),
        short: required.short(),
        wrong: weighing(Weight::Wrong),
        open: weighing(Weight::Open),
    })
}

/// What whoever signs is told of the spares first, a sentence each without a full stop; nothing where nothing is short, wrong
/// or uncounted. None of it keeps a round from being signed.
#[must_use]
pub fn before_signing(state: &State, today: NaiveDate) -> Vec<String> {
    let Some(status) = status(state, today).filter(SpareStatus::asks) else { return Vec::new() };
    let mut list = vec![status.words()];
    if status.counted < status.cabinets {
        let ledger = ledger(state);
        let names: Vec<&str> = ledger
            .shelves
            .iter()
            .filter(|s| s.counted.is_none() || !s.not_counted(state).is_empty())
            .map(|s| s.cabinet.as_str())
            .collect();
        list.push(format!("not wholly counted in this round: {}", names.join(", ")));
    }
    if status.wrong > 0 {
        let n = if status.wrong == 1 { "1 finding".to_owned() } else { format!("{} findings", status.wrong) };
        list.push(format!("{n} of something wrong with the spares; the summary tells them"));
    }
    list
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample_tests::{SITE, entry, state};

    fn told(cabinets: &str, entries: &[&str]) -> (Option<SpareStatus>, Vec<String>) {
        let begin = r#""begin":{"date":"2026-11-25","inspector":"Ines Tidewell"}"#;
        let entries = std::iter::once(&begin).chain(entries).zip(1..);
        let entries = entries.map(|(w, n)| entry(n, "2026-11-25T09:00:00-05:00", "ines", "2026", w)).collect();
        let state = state(&format!("{SITE}{cabinets}"), entries);
        let today = "2026-11-25".parse().expect("a day");
        (status(&state, today), before_signing(&state, today))
    }

    #[test]
    fn a_set_that_asks_for_spares_tells_that_there_is_no_cabinet() {
        let (status, told) = told("", &[]);
        assert_eq!(status.map(|s| (s.asked, s.cabinets, s.wrong)), Some((Some(6), 0, 1)));
        assert_eq!(told[0], "6 spares are asked for, and no cabinet is in the register");
    }

    #[test]
    fn how_many_cabinets_are_counted_is_said_in_words() {
        let two = "cabinets:\n  riser: {name: Riser}\n  dock: {name: Dock, serves: [cold]}\n";
        let count = |cabinet: &str| format!(r#""counted":{{"cabinet":"{cabinet}","held":{{"qr-pendent":2}}}}"#);
        let (riser, dock) = (count("riser"), count("dock"));
        let words = |cabinets: &str, entries: &[&str]| told(cabinets, entries).0.map(|s| s.words()).unwrap_or_default();
        let ends = |words: String, end: &str| assert!(words.ends_with(end), "{words}");
        ends(words(two, &[]), "; no cabinet is counted in this round");
        ends(words(two, &[&riser]), "6 spares asked for, 2 held; 4 short; 1 of 2 cabinets are counted in this round");
        ends(words(two, &[&riser, &dock]), "; all cabinets are counted in this round");
        let one = "cabinets: {riser: {name: Riser}}\n";
        ends(words(one, &[]), "; the cabinet is not counted in this round");
        ends(words(one, &[&riser]), "; the cabinet is counted in this round");
        assert_eq!(told(two, &[&riser]).1[1], "not wholly counted in this round: dock");
    }

    #[test]
    fn nothing_is_told_where_nothing_is_short_wrong_or_uncounted() {
        let full = r#""counted":{"cabinet":"riser","held":{"qr-pendent":5,"int-upright":1}}"#;
        let site =
            SITE.replace(", 1 int-upright", "").replace("lines: [6 cold-dry, 6 cold-dry]", "lines: [6 int-upright]");
        let begin = r#""begin":{"date":"2026-11-25","inspector":"Ines Tidewell"}"#;
        let at = "2026-11-25T09:00:00-05:00";
        let entries = vec![entry(1, at, "ines", "2026", begin), entry(2, at, "ines", "2026", full)];
        let state = state(&format!("{site}cabinets: {{riser: {{name: Riser}}}}\n"), entries);
        let today = "2026-11-25".parse().expect("a day");
        assert_eq!(before_signing(&state, today), [""; 0]);
        // What nobody looked at yet is kept apart from what is wrong.
        assert!(status(&state, today).is_some_and(|s| s.open > 0 && s.wrong == 0));
    }
}
