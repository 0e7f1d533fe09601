//! The rows of the bench's form, and the readings that stand in them.

use super::form::{Form, Row, Rows};
use crate::bench::judge::{Deflector, WaterSeal};
use crate::round::entry::{Condition, Readings};
use crate::trade::quantity::Units;
use crate::tui::samples::{READINGS, put, shown};

/// What stands in a row that nobody has answered.
const NOT_TOLD: &str = "not told";

/// Headings above rows.
const HEADINGS: [(&str, &str); 4] =
    [("oven", "Conditions"), ("element", "What happened"), ("before", "What was seen"), ("c", "Besides")];

/// What a bare number means in the site's units.
pub(super) const fn bare(units: Units) -> &'static str {
    match units {
        Units::Us => "Readings; a bare number is in °F, ft/s, psi, s",
        Units::Metric => "Readings; a bare number is in °C, m/s, kPa, s",
    }
}

/// The words of a row that is answered by choosing.
fn choices(word: &str) -> Option<Vec<&'static str>> {
    let mut words = vec![NOT_TOLD];
    match word {
        "before" => words.extend(Condition::ALL.iter().map(|w| w.as_str())),
        "seal" => words.extend(WaterSeal::ALL.iter().map(|w| w.as_str())),
        "deflector" => words.extend(Deflector::ALL.iter().map(|w| w.as_str())),
        "lodged" | "opened" => words.extend(["no", "yes"]),
        _ => return None,
    }
    Some(words)
}

/// The form over readings that are known already.
pub(super) fn form(known: &Readings, units: Units) -> Form {
    let row = |(word, name, about): &(&'static str, &'static str, &'static str)| {
        let value = shown(known, word);
        let row = match choices(word) {
            Some(words) => {
                let at = words.iter().position(|w| *w == value).unwrap_or(0);
                let numbered: Vec<String> = words.iter().enumerate().map(|(n, w)| format!("{} {w}", n + 1)).collect();
                Row::one(word, name, words, at, &format!("{about}: {}", numbered.join(", ")))
            }
            None => {
                let word = *word;
                Row::text(word, *name, &value, about).checked(move |t, _| put(&mut Readings::default(), word, t, units))
            }
        };
        match HEADINGS.iter().find(|(at, _)| at == word) {
            Some((_, heading)) => row.under(heading),
            None => row,
        }
    };
    let rows = READINGS.iter().map(row).collect();
    Form::new("bench", bare(units), rows, "Record it", Box::new(|_, _| Vec::new()))
}

/// The readings that stand in the rows; what cannot be read is left out, its row says why.
pub(super) fn readings(rows: &Rows, units: Units) -> Readings {
    let mut found = Readings::default();
    for (word, _, _) in READINGS {
        let typed = rows.get(word);
        if typed != NOT_TOLD {
            // A row in which something else stands keeps its own complaint.
            let _ = put(&mut found, word, &typed, units);
        }
    }
    found
}

/// Whether anything was seen of how it operated.
pub(super) const fn is_measured(it: &Readings) -> bool {
    it.element.is_some()
        || it.leak.is_some()
        || it.clear.is_some()
        || it.until.is_some()
        || it.rti.is_some()
        || it.opened.is_some()
}

/// What the next head is tested under: the oven, the bench, the day; of a head of the same kind also what is known of the kind.
pub(super) fn carried(from: &Readings, same_kind: bool) -> Readings {
    Readings {
        on: from.on,
        bench: from.bench.clone(),
        oven: from.oven,
        air: from.air,
        start: from.start,
        pressure: from.pressure,
        operating: from.operating.filter(|_| same_kind),
        c: from.c.filter(|_| same_kind),
        ..Readings::default()
    }
}
