//! What the ledgers say over the years, as a page of the cabinets' screen.

use super::cabinet_stock::Stock;
use super::parts::count;
use super::sheet::Sheet;
use crate::round::state::State;
use crate::tui::screen::View;

/// Kinds that hang nowhere any more, movements by year, stock that lies still, counts that differed; of one cabinet only what
/// is kept apart by cabinet.
pub(super) fn trends(state: &State, stock: &Stock, at: Option<usize>, view: &View<'_>, width: u16) -> Sheet {
    let mut sheet = Sheet::new(width);
    let trends = &stock.trends;
    let only = at.and_then(|at| state.register().cabinets.get(at)).map(|c| &c.id);
    let here = |id| only.is_none_or(|o| o == id);
    let (text, dim) = (view.theme.text, view.theme.dim);
    if only.is_none() {
        sheet.heading("Movements by year and type, all cabinets", view);
        for row in &trends.years {
            let moved = [
                (row.replacements, "for heads replaced"),
                (row.taken, "taken otherwise"),
                (row.discarded, "thrown away"),
                (row.put_in, "put in"),
            ];
            let moved = moved.iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!("{n} {what}"));
            let words = format!("{}: {}", row.words, moved.collect::<Vec<_>>().join(", "));
            sheet.item(0, vec![(format!("{}  ", row.year), dim)], &words, text);
        }
        if trends.years.is_empty() {
            sheet.text(0, "no movement was recorded", dim);
        }
    }
    sheet.heading("Lying still for a year or longer", view);
    let mut any = false;
    for row in trends.still.iter().filter(|r| here(&r.cabinet)) {
        any = true;
        let since = if row.moved { "last moved" } else { "never moved; first counted" };
        let words = format!(
            "{} of {} in {}: {since} {}, {} ago",
            row.held,
            row.kind,
            row.cabinet,
            row.since,
            count(usize::try_from(row.years).unwrap_or(usize::MAX), "year")
        );
        sheet.item(0, vec![(format!("{} ", view.glyphs.bullet), dim)], &words, text);
    }
    if !any {
        sheet.text(0, "nothing", dim);
    }
    sheet.heading("Counts that differed", view);
    let mut any = false;
    for row in trends.differences.iter().filter(|r| here(&r.cabinet)) {
        any = true;
        let counts = count(usize::try_from(row.counts).unwrap_or(usize::MAX), "count");
        let words = format!("{} in {}: {counts}; {} fewer, {} more in all", row.kind, row.cabinet, row.fewer, row.more);
        let lead = vec![(format!("{}  ", row.year), dim), (format!("{} ", view.glyphs.cross), view.theme.error)];
        sheet.item(0, lead, &words, text);
    }
    if !any {
        sheet.text(0, "none", dim);
    }
    if only.is_none() && !trends.gone.is_empty() {
        sheet.heading("Kinds of the register that hang nowhere", view);
        for row in &trends.gone {
            let held = row.held.map_or_else(|| "spares never counted".to_owned(), |n| format!("{n} held"));
            let fits = match row.of_its_type {
                0 => "nothing of its type is installed".to_owned(),
                n => format!("{} of its type installed", count(usize::try_from(n).unwrap_or(usize::MAX), "head")),
            };
            let words = format!("{}; {held}; {fits}", row.make_up);
            sheet.item(0, vec![(format!("{}  ", row.kind), view.theme.accent)], &words, text);
        }
    }
    sheet
}
