//! What the cabinets' ledgers say over the years: kinds that are no longer installed, what was taken out and put in by
//! calendar year, stock that has not moved, and counts that differed from the ledger.

use std::collections::BTreeMap;

use chrono::{Datelike, NaiveDate};
use serde::Serialize;

use super::ledger::{Ledger, Shelf, standing};
use crate::round::entry::{Way, What};
use crate::round::state::{EntryIx, State};
use crate::trade::address::AreaId;
use crate::trade::head_type::HeadType;
use crate::trade::register::KindIx;

/// A kind of which no head hangs any more, or none ever did.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct GoneKind {
    /// The kind.
    #[serde(skip)]
    pub ix: KindIx,
    /// Its name.
    pub kind: String,
    /// Its make-up, in the site's units.
    pub make_up: String,
    /// Heads that the register or a head found gave this kind, and that are of another now, or not there.
    pub was: u32,
    /// Heads of the same type that are installed: its spares still fit those.
    pub of_its_type: u32,
    /// Spares of it, fit or not; `None`: no ledger knows of any.
    pub held: Option<i64>,
}

/// What went in and out of all cabinets in a calendar year, of one type.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct YearRow {
    /// The calendar year, by the writers' clocks.
    pub year: i32,
    /// The type.
    #[serde(skip)]
    pub head_type: HeadType,
    /// The type in words, in the site's units.
    #[serde(rename = "type")]
    pub words: String,
    /// The kinds that moved, by name.
    pub kinds: Vec<String>,
    /// Taken for heads that were replaced.
    pub replacements: u32,
    /// Taken out otherwise.
    pub taken: u32,
    /// Thrown away.
    pub discarded: u32,
    /// Put in.
    pub put_in: u32,
}

/// Stock of a kind in a cabinet that has lain there for a year or longer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct StillRow {
    /// The cabinet.
    pub cabinet: AreaId,
    /// The kind.
    #[serde(skip)]
    pub ix: KindIx,
    /// Its name.
    pub kind: String,
    /// Heads that lie there, fit or not.
    pub held: i64,
    /// Since which day: that of the last movement, or of the last count that differed; else of the first count.
    pub since: NaiveDate,
    /// Whole years from then to the day asked for, 1 at least.
    pub years: u32,
    /// Whether it has ever moved as far as the ledger goes; if not, `since` is the first count.
    pub moved: bool,
}

/// Counts of a calendar year that differed from the ledger, of one kind in one cabinet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct DifferenceRow {
    /// The calendar year.
    pub year: i32,
    /// The cabinet.
    pub cabinet: AreaId,
    /// The kind.
    #[serde(skip)]
    pub ix: KindIx,
    /// Its name.
    pub kind: String,
    /// How many counts differed.
    pub counts: u32,
    /// Heads that were missing to the ledger, over all of them.
    pub fewer: i64,
    /// Heads that were more than the ledger held, over all of them.
    pub more: i64,
}

/// What the ledgers say over the years.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Trends {
    /// Kinds of the register that are not installed, in its order.
    pub gone: Vec<GoneKind>,
    /// Movements by year, then type.
    pub years: Vec<YearRow>,
    /// Stock that has not moved, longest first.
    pub still: Vec<StillRow>,
    /// Differences by year, then cabinet and kind.
    pub differences: Vec<DifferenceRow>,
}

/// Works them out from the entries up to the present round. The day tells how long stock has lain.
#[must_use]
pub fn trends(state: &State, ledger: &Ledger, today: NaiveDate) -> Trends {
    Trends {
        gone: gone(state, ledger),
        years: years(state, ledger),
        still: still(state, ledger, today),
        differences: differences(state, ledger),
    }
}

fn day(state: &State, ix: EntryIx) -> Option<NaiveDate> {
    state.entry(ix).map(|e| e.at.date_naive())
}

fn name(state: &State, ix: KindIx) -> String {
    state.register().kind(ix).map_or_else(String::new, |k| k.id.clone())
}

fn gone(state: &State, ledger: &Ledger) -> Vec<GoneKind> {
    let kinds = &state.register().kinds;
    let (mut now, mut was) = (vec![0_u32; kinds.len()], vec![0_u32; kinds.len()]);
    for head in &state.layout().heads {
        if !head.removed
            && let Some(n) = now.get_mut(usize::from(head.kind.0))
        {
            *n += 1;
        }
        if (head.removed || head.base != head.kind)
            && let Some(n) = was.get_mut(usize::from(head.base.0))
        {
            *n += 1;
        }
    }
    let mut of_type: BTreeMap<HeadType, u32> = BTreeMap::new();
    let types = state.register().types();
    for (of, n) in types.iter().zip(&now) {
        *of_type.entry(of.clone()).or_default() += n;
    }
    let rows = kinds.iter().zip(now.iter().zip(&was)).enumerate().filter(|(_, (_, (now, _)))| **now == 0);
    rows.filter_map(|(at, (kind, (_, was)))| {
        let ix = KindIx(u16::try_from(at).ok()?);
        Some(GoneKind {
            ix,
            kind: kind.id.clone(),
            make_up: kind.describe(state.register().site.units),
            was: *was,
            of_its_type: types.get(at).and_then(|t| of_type.get(t)).copied().unwrap_or(0),
            held: ledger.held(ix),
        })
    })
    .collect()
}

fn years(state: &State, ledger: &Ledger) -> Vec<YearRow> {
    let types = state.register().types();
    let mut rows: BTreeMap<(i32, HeadType), YearRow> = BTreeMap::new();
    for movement in ledger.shelves.iter().flat_map(|s| &s.movements) {
        let (entry, kind) = (state.entry(movement.entry), state.register().kind(movement.kind));
        let head_type = types.get(usize::from(movement.kind.0)).cloned();
        let (Some(entry), Some(kind), Some(head_type)) = (entry, kind, head_type) else { continue };
        let year = entry.at.year();
        let row = rows.entry((year, head_type.clone())).or_insert_with(|| YearRow {
            year,
            words: head_type.describe(state.register().site.units),
            head_type,
            kinds: Vec::new(),
            replacements: 0,
            taken: 0,
            discarded: 0,
            put_in: 0,
        });
        if !row.kinds.contains(&kind.id) {
            row.kinds.push(kind.id.clone());
        }
        let sum = match (movement.way, &entry.what) {
            (Way::TakenOut, What::Did(_)) => &mut row.replacements,
            (Way::TakenOut, _) => &mut row.taken,
            (Way::Discarded, _) => &mut row.discarded,
            (Way::PutIn, _) => &mut row.put_in,
        };
        *sum = sum.saturating_add(movement.n);
    }
    rows.into_values().collect()
}

/// The first count of every kind that a cabinet's counts name.
fn first_counts(state: &State) -> BTreeMap<(AreaId, KindIx), EntryIx> {
    let mut first = BTreeMap::new();
    for (ix, entry) in standing(state) {
        let What::Counted(count) = &entry.what else { continue };
        for kind in count.held.keys().filter_map(|name| state.register().kind_named(name)) {
            first.entry((count.cabinet.clone(), kind)).or_insert(ix);
        }
    }
    first
}

fn still(state: &State, ledger: &Ledger, today: NaiveDate) -> Vec<StillRow> {
    let first = first_counts(state);
    let mut rows: Vec<StillRow> = Vec::new();
    for shelf in &ledger.shelves {
        for (ix, holding) in shelf.holdings.iter().filter(|(_, h)| h.held > 0) {
            let moved = holding.moved.max(last_difference(shelf, *ix));
            let since = moved.or_else(|| first.get(&(shelf.cabinet.clone(), *ix)).copied());
            let Some(since) = since.and_then(|e| day(state, e)) else { continue };
            let Some(years) = today.years_since(since).filter(|y| *y > 0) else { continue };
            rows.push(StillRow {
                cabinet: shelf.cabinet.clone(),
                ix: *ix,
                kind: name(state, *ix),
                held: holding.held,
                since,
                years,
                moved: moved.is_some(),
            });
        }
    }
    rows.sort_by_key(|r| r.since);
    rows
}

fn last_difference(shelf: &Shelf, kind: KindIx) -> Option<EntryIx> {
    shelf.differences.iter().filter(|d| d.kind == kind).map(|d| d.entry).max()
}

fn differences(state: &State, ledger: &Ledger) -> Vec<DifferenceRow> {
    let mut rows: BTreeMap<(i32, usize, KindIx), DifferenceRow> = BTreeMap::new();
    for (at, shelf) in ledger.shelves.iter().enumerate() {
        for it in &shelf.differences {
            let Some(year) = day(state, it.entry).map(|d| d.year()) else { continue };
            let row = rows.entry((year, at, it.kind)).or_insert_with(|| DifferenceRow {
                year,
                cabinet: shelf.cabinet.clone(),
                ix: it.kind,
                kind: name(state, it.kind),
                counts: 0,
                fewer: 0,
                more: 0,
            });
            row.counts += 1;
            row.fewer += (it.expected - it.counted).max(0);
            row.more += (it.counted - it.expected).max(0);
        }
    }
    rows.into_values().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample_tests::{entry, state};
    use crate::round::stock::ledger;

    const SITE: &str = "\
format: headround site 1
site: {id: 01KAVQ5R8Z0000000000000000, name: Marram Quay Cannery, rules: nfpa25-2023}
kinds:
  qr-09: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome, made: 2009}
  qr-24: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: white, made: 2024}
  up: {orientation: upright, response: standard, element: link, rating: 165 F, k: 5.6}
  never: {orientation: sidewall, response: quick, element: bulb, rating: 155 F, k: 5.6}
areas:
  pack: {name: Packing hall, lines: [2 qr-09, 3 up]}
cabinets:
  riser: {name: Valve room cabinet}
  dock: {name: Dock cabinet}
";

    fn walked() -> State {
        let begin = |year: &str| format!(r#""begin":{{"date":"{year}-11-25","inspector":"Ines Tidewell"}}"#);
        let at = |year: &str| format!("{year}-11-25T09:00:00-05:00");
        let rows = [
            ("2022", begin("2022")),
            ("2022", r#""counted":{"cabinet":"riser","held":{"qr-09":6,"up":4}}"#.to_owned()),
            ("2022", r#""counted":{"cabinet":"dock","held":{"up":2}}"#.to_owned()),
            ("2023", begin("2023")),
            ("2023", r#""moved":{"cabinet":"riser","kind":"qr-24","n":6,"way":"put-in"}"#.to_owned()),
            ("2023", r#""did":{"head":"pack/1.1..1.2","did":"replaced","kind":"qr-24","from":"riser"}"#.to_owned()),
            ("2023", r#""moved":{"cabinet":"riser","kind":"qr-09","n":1,"way":"taken-out"}"#.to_owned()),
            ("2024", begin("2024")),
            ("2024", r#""counted":{"cabinet":"riser","held":{"qr-09":3,"up":4}}"#.to_owned()),
            ("2024", r#""moved":{"cabinet":"riser","kind":"qr-09","n":1,"way":"discarded"}"#.to_owned()),
            ("2026", begin("2026")),
            ("2026", r#""counted":{"cabinet":"riser","held":{"qr-09":3}}"#.to_owned()),
        ];
        let entries = rows.iter().zip(1..).map(|((year, what), n)| entry(n, &at(year), "ines", year, what)).collect();
        state(SITE, entries)
    }

    fn of(state: &State, on: &str) -> Trends {
        trends(state, &ledger(state), on.parse().unwrap())
    }

    #[test]
    fn a_kind_that_was_replaced_everywhere_is_no_longer_installed_but_its_spares_fit_the_type() {
        let gone = of(&walked(), "2026-11-25").gone;
        let rows: Vec<_> = gone.iter().map(|g| (g.kind.as_str(), g.was, g.of_its_type, g.held)).collect();
        assert_eq!(rows, [("qr-09", 2, 2, Some(3)), ("never", 0, 0, None)]);
    }

    #[test]
    fn movements_are_summed_by_year_and_type_and_a_replacement_is_not_taken_out_twice() {
        let rows: Vec<_> = of(&walked(), "2026-11-25")
            .years
            .into_iter()
            .map(|y| (y.year, y.kinds.join(" "), [y.replacements, y.taken, y.discarded, y.put_in]))
            .collect();
        assert_eq!(rows, [(2023, "qr-24 qr-09".into(), [2, 1, 0, 6]), (2024, "qr-09".into(), [0, 0, 1, 0])]);
    }

    #[test]
    fn stock_lies_still_since_it_last_moved_or_differed_or_was_first_counted() {
        let state = walked();
        let rows = |on| {
            let still = of(&state, on).still;
            still
                .into_iter()
                .map(|s| (s.cabinet.to_string(), s.kind, s.since.to_string(), s.years, s.moved))
                .collect::<Vec<_>>()
        };
        let row = |cabinet: &str, kind: &str, since: &str, years, moved| {
            (cabinet.to_owned(), kind.to_owned(), since.to_owned(), years, moved)
        };
        let up = [row("riser", "up", "2022-11-25", 4, false), row("dock", "up", "2022-11-25", 4, false)];
        // The count of 2026 found one more than the ledger's two: somebody moved them.
        assert_eq!(rows("2026-11-25"), [&up[..], &[row("riser", "qr-24", "2023-11-25", 3, true)]].concat());
        assert_eq!(rows("2026-11-24").first(), Some(&row("riser", "up", "2022-11-25", 3, false)));
        assert_eq!(rows("2027-11-25").last(), Some(&row("riser", "qr-09", "2026-11-25", 1, true)));
    }

    #[test]
    fn differences_are_summed_by_year() {
        let rows: Vec<_> = of(&walked(), "2026-11-25")
            .differences
            .into_iter()
            .map(|d| (d.year, d.cabinet.to_string(), d.kind, d.counts, d.fewer, d.more))
            .collect();
        let row = |year, fewer, more| (year, "riser".to_owned(), "qr-09".to_owned(), 1, fewer, more);
        assert_eq!(rows, [row(2024, 2, 0), row(2026, 0, 1)]);
    }
}
