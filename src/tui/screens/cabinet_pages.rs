//! The pages of the cabinets' screen as sheets: spares by type and by kind, ratings, readings, findings. What nobody has
//! counted is said so, never shown as none.

use std::collections::BTreeMap;

use ratatui::style::Style;

use super::cabinet_stock::Stock;
use super::parts::{self, count};
use super::sheet::{Sheet, Words};
use crate::round::state::State;
use crate::round::stock::{Barred, Reading, TypeRow, Weight, barred, lists};
use crate::trade::register::KindIx;
use crate::tui::screen::View;
use crate::tui::text;

/// Columns of a number.
const NUMBER: usize = 6;
/// Columns of the word behind the numbers.
const WORD: usize = 17;

/// The word on numbers of spares, with its glyph: what is short is never told by colour alone.
fn standing(known: bool, need: u32, held: u32, over: u32, view: &View<'_>) -> Words {
    if !known {
        return (format!("{} never counted", view.glyphs.unsure), view.theme.warning);
    }
    if held < need {
        return (format!("{} {} short", view.glyphs.cross, need - held), view.theme.error);
    }
    if over > 0 {
        return (format!("{} {over} over", view.glyphs.up), view.theme.text);
    }
    (format!("{} enough", view.glyphs.check), view.theme.good)
}

/// One row of a table: what it is about, numbers, a word. What is too long goes on below, where the numbers are not.
fn line(sheet: &mut Sheet, what: &str, numbers: &[String], word: Words, style: Style, view: &View<'_>) {
    let used = NUMBER * numbers.len() + WORD + 2;
    let wide = sheet.columns().saturating_sub(used).clamp(12, 56);
    let numbers: String = numbers.iter().map(|n| text::pad_left(n, NUMBER, view.glyphs.ellipsis)).collect();
    let indent = what.len() - what.trim_start().len();
    let mut lines = text::wrap(what, wide.saturating_sub(indent)).into_iter();
    let first = format!("{}{}", " ".repeat(indent), lines.next().unwrap_or_default());
    let first = text::pad(&first, wide, view.glyphs.ellipsis);
    sheet.row(vec![(first, style), (numbers, style), (format!("  {}", word.0), word.1)]);
    for more in lines {
        sheet.row(vec![(format!("{}{more}", " ".repeat(indent + 1)), style)]);
    }
}

fn head(sheet: &mut Sheet, what: &str, numbers: &[&str], view: &View<'_>) {
    let numbers: Vec<String> = numbers.iter().map(|n| (*n).to_owned()).collect();
    line(sheet, what, &numbers, (String::new(), view.theme.dim), view.theme.dim, view);
}

fn type_standing(row: &TypeRow, view: &View<'_>) -> Words {
    match (row.installed, row.excused) {
        (0, _) => (format!("{} none installed", view.glyphs.cross), view.theme.error),
        (_, true) if row.held == 0 => (format!("{} excused", view.glyphs.bullet), view.theme.dim),
        _ => standing(row.known, row.need, row.held, row.over(), view),
    }
}

/// A number, or a question mark where nobody has counted.
fn known(known: bool, n: u32) -> String {
    if known { n.to_string() } else { "?".to_owned() }
}

/// All cabinets together by type; one of them by kind.
pub(super) fn spares(state: &State, stock: &Stock, at: Option<usize>, view: &View<'_>, width: u16) -> Sheet {
    let mut sheet = Sheet::new(width);
    if let Some(at) = at {
        kinds(&mut sheet, state, stock, at, view);
        return sheet;
    }
    write_total(&mut sheet, stock, view);
    let units = state.register().site.units;
    head(&mut sheet, "type of head", &["heads", "asked", "held"], view);
    for row in &stock.required.rows {
        let words = row.head_type.describe(units);
        let numbers = [row.installed.to_string(), row.need.to_string(), known(row.known, row.held)];
        sheet.pickable(|s| line(s, &words, &numbers, type_standing(row, view), view.theme.text, view));
    }
    sheet
}

/// What is asked for and held in all.
fn write_total(sheet: &mut Sheet, stock: &Stock, view: &View<'_>) {
    let required = &stock.required;
    let Some(ruling) = required.ruling() else {
        sheet.text(0, "The rule set says nothing of spares.", view.theme.text);
        return;
    };
    let counted = required.rows.iter().any(|r| r.known);
    let (mark, style, words) = if !counted {
        (view.glyphs.unsure, view.theme.warning, "nobody has counted yet".to_owned())
    } else if ruling.short > 0 {
        (
            view.glyphs.cross,
            view.theme.error,
            match ruling.total.saturating_sub(required.held) {
                0 => {
                    let few = required.rows.iter().filter(|r| r.short() > 0).count();
                    let have = if few == 1 { "has" } else { "have" };
                    format!("{} held; {} {have} too few", required.held, count(few, "type"))
                }
                _ => format!("{} held, {} short", required.held, ruling.short),
            },
        )
    } else {
        (view.glyphs.check, view.theme.good, format!("{} held", required.held))
    };
    // Short enough for one line of a small terminal; how many heads are installed stands on the page of readings.
    let asked = format!("{} asked for; ", count_u32(ruling.total, "spare"));
    sheet.item(0, vec![(format!("{mark} "), style)], &format!("{asked}{words}"), view.theme.text);
    if stock.waiting > 0 {
        let words = match stock.waiting {
            1 => "1 head to replace waits for a spare".to_owned(),
            n => format!("{n} heads to replace wait for a spare"),
        };
        let words = match stock.advised {
            0 => words,
            n => format!("{words} ({n} more advised)"),
        };
        sheet.item(0, vec![(format!("{} ", view.glyphs.replace), view.theme.replace)], &words, view.theme.text);
    }
}

fn count_u32(n: u32, one: &str) -> String {
    count(usize::try_from(n).unwrap_or(usize::MAX), one)
}

fn kinds(sheet: &mut Sheet, state: &State, stock: &Stock, at: usize, view: &View<'_>) {
    let Some(shelf) = stock.shelf(at) else { return };
    let list = lists::kept(state, shelf);
    let posted = match lists::posted_on(state, shelf) {
        Some(date) => format!("list posted {date}"),
        None if list.is_empty() => "no list is known of".to_owned(),
        None => "list as the register has it".to_owned(),
    };
    let counted = shelf.counted.and_then(|ix| state.entry(ix)).map_or_else(
        || (format!("{} not counted in this round", view.glyphs.open), view.theme.warning),
        |e| match shelf.not_counted(state).len() {
            0 => (format!("{} counted {}", view.glyphs.check, parts::when(e)), view.theme.good),
            n => {
                let words = format!("{} counted in part, without {}", view.glyphs.open, count(n, "kind"));
                (words, view.theme.warning)
            }
        },
    );
    sheet.row(vec![counted, (format!(" {} {posted}", view.glyphs.dot), view.theme.dim)]);
    head(sheet, "kind", &["list", "held", "unfit"], view);
    for kind in stock.kinds(at) {
        let Some(it) = state.register().kind(*kind) else { continue };
        let keep = list.iter().find(|(k, _)| k == kind).map(|(_, n)| *n);
        let holding = shelf.holding(*kind);
        let numbers = [
            keep.map_or_else(|| "-".to_owned(), |n| n.to_string()),
            holding.map_or_else(|| "?".to_owned(), |h| h.held.to_string()),
            holding.map_or_else(|| "?".to_owned(), |h| h.unfit.to_string()),
        ];
        let word = match (holding, keep) {
            (None, _) => (format!("{} never counted", view.glyphs.unsure), view.theme.warning),
            (Some(h), _) if h.held < 0 => (format!("{} overdrawn", view.glyphs.cross), view.theme.error),
            (Some(h), Some(keep)) if h.held < i64::from(keep) => {
                (format!("{} {} short of list", view.glyphs.cross, i64::from(keep) - h.held), view.theme.error)
            }
            (Some(h), Some(keep)) if h.held > i64::from(keep) => {
                (format!("{} {} over list", view.glyphs.up, h.held - i64::from(keep)), view.theme.text)
            }
            (Some(_), Some(_)) => (format!("{} as listed", view.glyphs.check), view.theme.good),
            (Some(h), None) if h.held > 0 && !list.is_empty() => {
                (format!("{} not listed", view.glyphs.cross), view.theme.error)
            }
            (Some(_), None) => (String::new(), view.theme.text),
        };
        sheet.pickable(|s| line(s, &it.id, &numbers, word, view.theme.text, view));
    }
    if sheet.picks() == 0 {
        sheet.text(0, "No kind of head is installed where it serves, and none was counted in it.", view.theme.text);
    }
}

/// More about the chosen row.
pub(super) fn spare(
    state: &State,
    stock: &Stock,
    at: Option<usize>,
    pick: usize,
    view: &View<'_>,
    width: u16,
) -> Sheet {
    let mut sheet = Sheet::new(width);
    match at {
        Some(at) => {
            if let Some(kind) = stock.kinds(at).get(pick) {
                kind_detail(&mut sheet, state, stock, at, *kind, view);
            }
        }
        None => {
            if let Some(row) = stock.required.rows.get(pick) {
                type_detail(&mut sheet, state, stock, row, view);
            }
        }
    }
    sheet
}

fn type_detail(sheet: &mut Sheet, state: &State, stock: &Stock, row: &TypeRow, view: &View<'_>) {
    sheet.text(0, &row.head_type.describe(state.register().site.units), view.theme.accent);
    let mut words = vec![
        count_u32(row.installed, "head") + " installed",
        format!("{} asked for", row.need),
        format!("{} should be kept", row.plan),
    ];
    if row.known {
        words.push(format!("{} may be used", row.held));
    } else {
        words.push("no cabinet's ledger knows of any".to_owned());
    }
    if row.useless > 0 {
        words.push(format!("{} besides that do not count", row.useless));
    }
    if row.excused {
        words.push("the register says how service is restored without a dry spare".to_owned());
    }
    sheet.text(0, &words.join("; "), view.theme.text);
    for kind in &row.kinds {
        let name = state.register().kind(*kind).map_or("", |k| k.id.as_str());
        let there = stock.ledger.shelves.iter().zip(&state.register().cabinets).filter_map(|(s, c)| {
            let h = s.holding(*kind)?;
            let unfit = if h.unfit > 0 { format!(" ({} unfit)", h.unfit) } else { String::new() };
            Some(format!("{} in {}{unfit}", h.held, c.id))
        });
        let there: Vec<String> = there.collect();
        let there = if there.is_empty() { "never counted".to_owned() } else { there.join(", ") };
        sheet.item(0, vec![(format!("{name}  "), view.theme.dim)], &there, view.theme.text);
    }
}

fn kind_detail(sheet: &mut Sheet, state: &State, stock: &Stock, at: usize, ix: KindIx, view: &View<'_>) {
    let (Some(kind), Some(shelf)) = (state.register().kind(ix), stock.shelf(at)) else { return };
    let made = kind.made.map_or_else(|| "year made not known".to_owned(), |m| format!("made {m}"));
    let number = kind.number.as_deref().map_or(String::new(), |n| format!("; number {n}"));
    let words = format!("{}: {}; {made}{number}", kind.id, kind.describe(state.register().site.units));
    sheet.text(0, &words, view.theme.accent);
    let by = |ix| state.entry(ix).map_or(String::new(), |e| format!("{} by {}", parts::when(e), text::plain(&e.by)));
    match shelf.holding(ix) {
        Some(h) => {
            let counted =
                h.counted.map_or_else(|| "never counted, only moved".to_owned(), |ix| format!("counted {}", by(ix)));
            let moved = h.moved.map_or(String::new(), |ix| format!("; last moved {}", by(ix)));
            sheet.text(0, &format!("{counted}{moved}"), view.theme.text);
        }
        None => {
            sheet.text(0, "Nobody has counted or moved it: that is not the same as none.", view.theme.text);
        }
    }
    if let Some(bar) = barred(state, kind, view.today) {
        let why = match bar {
            Barred::TooOld => "too old to count as spares: replace them by new ones",
            Barred::Recalled(_) => "the number is recalled, or may be: do not use them",
        };
        sheet.item(0, vec![(format!("{} ", view.glyphs.warn), view.theme.error)], why, view.theme.text);
    }
    if let Some(row) = stock.required.row_of(ix) {
        let words = format!(
            "its type: {} installed, {} asked for, {} may be used in all cabinets",
            row.installed,
            row.need,
            known(row.known, row.held)
        );
        sheet.text(0, &words, view.theme.dim);
    }
}

/// By rating and response, as a cabinet's list is laid out.
pub(super) fn ratings(state: &State, stock: &Stock, view: &View<'_>, width: u16) -> Sheet {
    let mut sheet = Sheet::new(width);
    let units = state.register().site.units;
    sheet.text(0, "All cabinets together. Plenty of one type is no cover for another.", view.theme.dim);
    head(&mut sheet, "rating and response", &["heads", "asked", "held"], view);
    for group in &stock.required.groups {
        let known_all = group.rows.iter().filter_map(|at| stock.required.rows.get(*at)).all(|r| r.known);
        let word = if group.installed == 0 {
            (format!("{} none installed", view.glyphs.cross), view.theme.error)
        } else if !known_all {
            (format!("{} not all counted", view.glyphs.unsure), view.theme.warning)
        } else if group.short > 0 {
            (format!("{} {} short", view.glyphs.cross, group.short), view.theme.error)
        } else if group.over > 0 {
            (format!("{} {} over", view.glyphs.up, group.over), view.theme.text)
        } else {
            (format!("{} enough", view.glyphs.check), view.theme.good)
        };
        let any = group.rows.iter().filter_map(|at| stock.required.rows.get(*at)).any(|r| r.known);
        let numbers = [group.installed.to_string(), group.need.to_string(), known(any, group.held)];
        let what = format!("{}, {}", group.rating.show(units), group.response);
        line(&mut sheet, &what, &numbers, word, view.theme.accent, view);
        for row in group.rows.iter().filter_map(|at| stock.required.rows.get(*at)) {
            let what = format!("  {}", row.head_type.describe(units));
            let numbers = [row.installed.to_string(), row.need.to_string(), known(row.known, row.held)];
            line(&mut sheet, &what, &numbers, type_standing(row, view), view.theme.text, view);
        }
    }
    if stock.required.groups.is_empty() {
        sheet.text(0, "No head is installed and none is held.", view.theme.text);
    }
    sheet
}

/// What each reading of the rule set asks for, the one that rules marked.
pub(super) fn readings(state: &State, stock: &Stock, view: &View<'_>, width: u16) -> Sheet {
    let mut sheet = Sheet::new(width);
    let required = &stock.required;
    let counted = required.rows.iter().any(|r| r.known);
    let held = if counted {
        format!("{} that may be used are held", required.held)
    } else {
        "nobody has counted yet".to_owned()
    };
    sheet.text(0, &format!("{} installed; {held}.", count_u32(required.installed, "head")), view.theme.text);
    for area in &required.no_hazard {
        let words = format!("The hazard of area '{area}' is not in the register: the strictest reading was taken.");
        sheet.item(0, vec![(format!("{} ", view.glyphs.open), view.theme.warning)], &words, view.theme.text);
    }
    for reading in &required.readings {
        write_reading(&mut sheet, state, stock, reading, counted, view);
    }
    if required.readings.is_empty() {
        sheet.text(0, "The rule set says nothing of spares.", view.theme.text);
    }
    sheet
}

fn write_reading(sheet: &mut Sheet, state: &State, stock: &Stock, reading: &Reading, counted: bool, view: &View<'_>) {
    let (mark, style, word) = match (reading.rules, reading.applies) {
        (true, _) => (view.glyphs.point_right, view.theme.accent, "rules here"),
        (false, true) => (view.glyphs.bullet, view.theme.text, "another reading"),
        (false, false) => (view.glyphs.bullet, view.theme.dim, "for another hazard"),
    };
    sheet.gap();
    sheet.item(0, vec![(format!("{mark} {word}: "), style)], &format!("{}: {}", reading.title, reading.bands), style);
    let short = match (counted, reading.short) {
        (false, _) => (format!("{} held: not known", view.glyphs.unsure), view.theme.warning),
        (true, 0) => (format!("{} enough", view.glyphs.check), view.theme.good),
        (true, n) => (format!("{} {n} short", view.glyphs.cross), view.theme.error),
    };
    let asks = format!("  asks for {}  ", count_u32(reading.total, "spare"));
    sheet.row(vec![(asks, view.theme.text), short]);
    let units = state.register().site.units;
    // Types of which it asks for the same number are told together.
    let mut each: BTreeMap<u32, Vec<&TypeRow>> = BTreeMap::new();
    let mut excused = 0;
    for (n, row) in reading.each.iter().zip(&stock.required.rows).filter(|(_, r)| r.installed > 0) {
        if row.excused {
            excused += 1;
        } else {
            each.entry(*n).or_default().push(row);
        }
    }
    for (n, rows) in each.iter().rev() {
        if let [one] = rows.as_slice() {
            sheet.text(2, &format!("at least {n} of {}", one.head_type.describe(units)), view.theme.text);
        } else {
            sheet.text(2, &format!("at least {n} of each of {}", count(rows.len(), "type")), view.theme.text);
        }
    }
    if excused > 0 {
        let words = format!("none of {} of dry head: service is restored otherwise", count(excused, "type"));
        sheet.text(2, &words, view.theme.text);
    }
    sheet.text(2, &reading.because, view.theme.dim);
    let clause = if reading.clause.is_empty() { String::new() } else { format!("{}; ", reading.clause) };
    sheet.text(2, &format!("{clause}{}", reading.confidence.means()), view.theme.dim);
}

/// What is wrong, open, or good to know.
pub(super) fn findings(state: &State, stock: &Stock, at: Option<usize>, view: &View<'_>, width: u16) -> Sheet {
    let mut sheet = Sheet::new(width);
    let only = at.and_then(|at| state.register().cabinets.get(at)).map(|c| &c.id);
    let mut of = None;
    let shown = stock.findings.iter().filter(|f| only.is_none() || f.cabinet.as_ref() == only);
    for finding in shown {
        if only.is_none() && of != Some(finding.cabinet.as_ref()) {
            of = Some(finding.cabinet.as_ref());
            let cabinet =
                finding.cabinet.as_ref().and_then(|id| state.register().cabinets.iter().find(|c| c.id == *id));
            sheet.heading(&cabinet.map_or_else(|| "All cabinets together".to_owned(), |c| c.name.clone()), view);
        }
        let (mark, style) = match finding.weight {
            Weight::Wrong => (view.glyphs.cross, view.theme.error),
            Weight::Open => (view.glyphs.open, view.theme.warning),
            Weight::Told => (view.glyphs.bullet, view.theme.dim),
        };
        let lead = vec![(format!("{mark} {:<6}", finding.weight.as_str()), style)];
        sheet.item(0, lead, &finding.text, view.theme.text);
        let clause = match finding.clause.as_str() {
            "" => String::new(),
            clause => format!(" ({clause}; {})", finding.confidence.means()),
        };
        if !finding.remedy.is_empty() {
            sheet.item(
                8,
                vec![(format!("{} ", view.glyphs.arrow), view.theme.dim)],
                &format!("{}{clause}", finding.remedy),
                view.theme.dim,
            );
        }
    }
    if sheet.is_empty() {
        sheet.text(0, "Nothing is wrong and nothing is open.", view.theme.text);
    }
    sheet
}
