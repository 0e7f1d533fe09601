//! The posted list: what is kept in a cabinet, by identification number and description.

use chrono::NaiveDate;

use super::ledger::{Holding, Ledger, Shelf};
use super::required::{Required, apportion, barred};
use crate::round::entry::What;
use crate::round::state::State;
use crate::trade::head_type::HeadType;
use crate::trade::quantity::PartialDate;
use crate::trade::register::{Cabinet, KindIx};

/// What a cabinet's list says is kept, in the register's order of kinds: the last one posted, else the register's `keep`.
#[must_use]
pub fn kept(state: &State, shelf: &Shelf) -> Vec<(KindIx, u32)> {
    let register = state.register();
    let named = |name: &str, n: u32| register.kind_named(name).map(|k| (k, n));
    let mut list: Vec<(KindIx, u32)> = match shelf.posted.and_then(|ix| state.entry(ix)).map(|e| &e.what) {
        Some(What::Posted(x)) => x.keep.iter().filter_map(|(k, n)| named(k, *n)).collect(),
        _ => {
            let cabinet = register.cabinets.iter().find(|c| c.id == shelf.cabinet);
            cabinet.into_iter().flat_map(|c| &c.keep).filter_map(|(k, n)| named(k, *n)).collect()
        }
    };
    list.sort_unstable();
    list
}

/// The date that the last posted list bears, if one was posted.
#[must_use]
pub fn posted_on(state: &State, shelf: &Shelf) -> Option<NaiveDate> {
    match state.entry(shelf.posted?).map(|e| &e.what) {
        Some(What::Posted(x)) => Some(x.date),
        _ => None,
    }
}

/// Where the numbers of a list come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// The list that was posted, of this date.
    Posted(NaiveDate),
    /// The register's `keep`.
    Register,
    /// Nobody has said what is kept: what the rule set asks for, spread over the types installed.
    Proposed,
}

/// The list a cabinet should bear: what its list says is kept, else a proposal; and where the numbers come from.
#[must_use]
pub fn to_post(
    state: &State,
    ledger: &Ledger,
    required: &Required,
    cabinet: usize,
    today: NaiveDate,
) -> (Source, Vec<(KindIx, u32)>) {
    let Some(shelf) = ledger.shelves.get(cabinet) else { return (Source::Proposed, Vec::new()) };
    let kept = kept(state, shelf);
    match posted_on(state, shelf) {
        Some(date) => (Source::Posted(date), kept),
        None if !kept.is_empty() => (Source::Register, kept),
        None => (Source::Proposed, proposed(state, ledger, required, cabinet, today)),
    }
}

/// What a cabinet without a list might keep so that all cabinets together hold what should be kept: of each type its share
/// by the heads it serves, first as the kinds that lie there, the rest as the kind made last. Kinds in the register's order.
#[must_use]
pub fn proposed(
    state: &State,
    ledger: &Ledger,
    required: &Required,
    cabinet: usize,
    today: NaiveDate,
) -> Vec<(KindIx, u32)> {
    let register = state.register();
    let lists: Vec<Vec<(KindIx, u32)>> = ledger.shelves.iter().map(|s| kept(state, s)).collect();
    let mut out = Vec::new();
    for row in required.rows.iter().filter(|r| r.plan > 0) {
        let of_type = kinds_of(state, &row.head_type);
        let listed: u32 = lists.iter().flatten().filter(|(k, _)| of_type.contains(k)).map(|(_, n)| n).sum();
        let shares: Vec<u32> = register
            .cabinets
            .iter()
            .zip(&lists)
            .map(|(c, list)| if list.is_empty() { served_heads(state, c, &row.kinds) } else { 0 })
            .collect();
        let here = apportion(row.plan.saturating_sub(listed), &shares).get(cabinet).copied().unwrap_or(0);
        let kinds = of_type.iter().filter_map(|ix| Some((*ix, register.kind(*ix)?)));
        let mut kinds: Vec<(KindIx, Option<NaiveDate>, u32)> = kinds
            .filter(|(_, k)| barred(state, k, today).is_none())
            .map(|(ix, k)| {
                let held = ledger.shelves.get(cabinet).and_then(|s| s.holding(ix)).map_or(0, Holding::fit);
                (ix, k.made.and_then(PartialDate::earliest), held)
            })
            .collect();
        kinds.sort_by_key(|(ix, made, _)| (std::cmp::Reverse(*made), *ix));
        let mut rest = here;
        let mut parts: Vec<(KindIx, u32)> = Vec::new();
        for (ix, _, held) in &kinds {
            let n = rest.min(*held);
            rest -= n;
            parts.push((*ix, n));
        }
        // Where every kind of the type is barred, its first one still names the type.
        match (parts.first_mut(), row.kinds.first()) {
            (Some((_, n)), _) => *n += rest,
            (None, Some(ix)) => parts.push((*ix, rest)),
            _ => {}
        }
        out.extend(parts.into_iter().filter(|(_, n)| *n > 0));
    }
    out.sort_unstable();
    out
}

/// The kinds of the register that are of a type, installed or not.
#[must_use]
pub fn kinds_of(state: &State, head_type: &HeadType) -> Vec<KindIx> {
    let types = state.register().types();
    let kinds = types.iter().enumerate().filter(|(_, of)| *of == head_type);
    kinds.filter_map(|(at, _)| u16::try_from(at).ok().map(KindIx)).collect()
}

/// How many heads of some kinds hang where a cabinet serves.
#[must_use]
pub fn served_heads(state: &State, cabinet: &Cabinet, kinds: &[KindIx]) -> u32 {
    served_by_area(state, cabinet, kinds).iter().map(|(_, n)| n).sum()
}

/// The same by area, as indices, areas without such heads left out.
#[must_use]
pub fn served_by_area(state: &State, cabinet: &Cabinet, kinds: &[KindIx]) -> Vec<(usize, u32)> {
    let mut by_area = vec![0_u32; state.register().areas.len()];
    for head in state.layout().heads.iter().filter(|h| !h.removed && kinds.contains(&h.kind)) {
        if let Some(n) = by_area.get_mut(usize::from(head.area)) {
            *n += 1;
        }
    }
    let areas = state.register().areas.iter().zip(by_area).enumerate();
    areas.filter(|(_, (area, n))| *n > 0 && cabinet.serves(&area.id)).map(|(at, (_, n))| (at, n)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample_tests::{entry, state};
    use crate::round::stock::{ledger, required};

    const SITE: &str = "\
format: headround site 1
site: {id: 01KAVQ5R8Z0000000000000000, name: Marram Quay Cannery, rules: nfpa25-2023}
kinds:
  qr-09: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, made: 2009}
  qr-24: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, made: 2024}
  up: {orientation: upright, response: standard, element: link, rating: 165 F, k: 5.6}
areas:
  pack: {name: Packing hall, lines: [6 qr-09, 2 qr-24]}
  dock: {name: Dock, lines: [4 up]}
";

    /// What each cabinet is told to keep: where from, and kinds with numbers.
    fn lists(cabinets: &str, entries: &[&str]) -> Vec<(Source, Vec<(String, u32)>)> {
        let begin = r#""begin":{"date":"2026-11-25","inspector":"Ines Tidewell"}"#;
        let entries = std::iter::once(&begin).chain(entries).zip(1..);
        let entries = entries.map(|(w, n)| entry(n, "2026-11-25T09:00:00-05:00", "ines", "2026", w)).collect();
        let state = state(&format!("{SITE}cabinets:\n{cabinets}"), entries);
        let today = "2026-11-25".parse().expect("a day");
        let ledger = ledger(&state);
        let required = required(&state, &ledger, today);
        let name = |ix| state.register().kind(ix).expect("a kind").id.clone();
        (0..ledger.shelves.len())
            .map(|at| to_post(&state, &ledger, &required, at, today))
            .map(|(source, list)| (source, list.into_iter().map(|(ix, n)| (name(ix), n)).collect()))
            .collect()
    }

    fn row(kind: &str, n: u32) -> (String, u32) {
        (kind.to_owned(), n)
    }

    #[test]
    fn without_a_list_the_kind_made_last_stands_for_its_type() {
        // Twelve heads ask for six spares: one of each type, four in proportion to eight and four heads.
        let list = lists("  riser: {name: Riser}\n", &[]);
        assert_eq!(list, [(Source::Proposed, vec![row("qr-24", 4), row("up", 2)])]);
    }

    #[test]
    fn what_lies_there_is_listed_as_what_it_is() {
        let count = r#""counted":{"cabinet":"riser","held":{"qr-09":3,"qr-24":0}}"#;
        let list = lists("  riser: {name: Riser}\n", &[count]);
        assert_eq!(list, [(Source::Proposed, vec![row("qr-09", 3), row("qr-24", 1), row("up", 2)])]);
    }

    #[test]
    fn cabinets_share_by_the_heads_they_serve() {
        let list = lists("  one: {name: One, serves: [pack]}\n  two: {name: Two}\n", &[]);
        // Both serve the eight pendents, only the second the four uprights.
        assert_eq!(
            list,
            [(Source::Proposed, vec![row("qr-24", 2)]), (Source::Proposed, vec![row("qr-24", 2), row("up", 2)])]
        );
    }

    #[test]
    fn what_is_on_one_list_is_not_proposed_for_another() {
        let list = lists("  one: {name: One, keep: {qr-24: 5}}\n  two: {name: Two}\n", &[]);
        assert_eq!(list, [(Source::Register, vec![row("qr-24", 5)]), (Source::Proposed, vec![row("up", 1)])]);
    }

    #[test]
    fn the_list_posted_last_goes_before_the_register() {
        let posted = r#""posted":{"cabinet":"riser","date":"2026-11-24","keep":{"up":7}}"#;
        let list = lists("  riser: {name: Riser, keep: {qr-24: 4}}\n", &[posted]);
        let date = "2026-11-24".parse().expect("a day");
        assert_eq!(list, [(Source::Posted(date), vec![row("up", 7)])]);
    }
}
