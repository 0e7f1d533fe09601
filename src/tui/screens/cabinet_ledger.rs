//! The ledger's page: every entry about cabinets, newest first, with what a count changed; and the chosen one in full.

use std::ops::Range;

use super::cabinet_stock::{Stock, cabinet_of};
use super::head_entries::bar;
use super::parts::{self, ago};
use super::sheet::{Sheet, Words};
use crate::round::entry::{Entry, What};
use crate::round::state::{EntryIx, State};
use crate::round::words::entry_words;
use crate::tui::screen::View;
use crate::tui::text;

/// The rows of the list that show, one an entry.
pub(super) fn list(
    state: &State,
    stock: &Stock,
    at: Option<usize>,
    shown: Range<usize>,
    view: &View<'_>,
    width: u16,
) -> Sheet {
    let mut sheet = Sheet::new(width);
    let room = sheet.columns();
    for ix in stock.about(at).skip(shown.start).take(shown.len()) {
        let Some(entry) = state.entry(ix) else { continue };
        sheet.pickable(|s| {
            let mut words: Vec<Words> = vec![(parts::when(entry), view.theme.dim)];
            let by = text::pad(&text::plain(&entry.by), 6, view.glyphs.ellipsis);
            words.push((format!("  {by} "), view.theme.text));
            if !state.stands(ix) {
                words.push(("(taken back) ".to_owned(), view.theme.dim));
            } else if let Some(n) = Some(differences(stock, ix).count()).filter(|n| *n > 0) {
                let differ = if n == 1 { "differs" } else { "differ" };
                words.push((format!("{} {n} {differ}: ", view.glyphs.cross), view.theme.error));
            }
            let used: usize = words.iter().map(|(w, _)| text::width(w)).sum();
            let said = text::truncate(&short(entry, at.is_some()), room.saturating_sub(used), view.glyphs.ellipsis);
            let style = if state.stands(ix) { view.theme.text } else { view.theme.dim };
            words.push((said, style));
            s.row(words);
        });
    }
    if sheet.is_empty() {
        sheet.text(
            0,
            "Nothing was ever recorded here: c counts a cabinet, l records what it looks like.",
            view.theme.text,
        );
    }
    sheet
}

/// What an entry says; without the cabinet's name where one looks at that cabinet alone.
fn short(entry: &Entry, alone: bool) -> String {
    let words = entry_words(entry);
    let Some(id) = cabinet_of(entry).filter(|_| alone) else { return words };
    words
        .replace(&format!(", cabinet {id}"), "")
        .replace(&format!(" from cabinet {id}"), "")
        .replace(&format!("cabinet {id} "), "")
}

fn differences(stock: &Stock, ix: EntryIx) -> impl Iterator<Item = &crate::round::stock::Difference> {
    stock.ledger.shelves.iter().flat_map(|s| &s.differences).filter(move |d| d.entry == ix)
}

/// The chosen entry in full.
pub(super) fn one(state: &State, stock: &Stock, at: Option<usize>, pick: usize, view: &View<'_>, width: u16) -> Sheet {
    let mut sheet = Sheet::new(width);
    let Some((ix, entry)) = stock.about(at).nth(pick).and_then(|ix| Some((ix, state.entry(ix)?))) else { return sheet };
    sheet.text(0, &said(state, entry), view.theme.accent);
    for it in differences(stock, ix) {
        let kind = state.register().kind(it.kind).map_or("", |k| k.id.as_str());
        let by = it.counted - it.expected;
        let how = if by > 0 { format!("{by} more") } else { format!("{} fewer", -by) };
        let words = format!("{} of {kind}: {how} than the ledger's {}", it.counted, it.expected);
        sheet.item(0, vec![(format!("{} ", view.glyphs.cross), view.theme.error)], &words, view.theme.text);
    }
    let place = text::plain(&entry.round);
    let line = format!("{}, {}, round {place}; {}", entry.by, parts::when(entry), ago(entry.at, view.now));
    sheet.text(0, &line, view.theme.dim);
    if let Some(why) = bar(state, ix, view) {
        sheet.text(0, &format!("It stays: {why}."), view.theme.dim);
    }
    sheet
}

/// Everything an entry says, kind by kind.
fn said(state: &State, entry: &Entry) -> String {
    let units = state.register().site.units;
    let mut words = vec![entry_words(entry)];
    let yes = |there: bool, yes: &str, no: &str| if there { yes.to_owned() } else { no.to_owned() };
    let note = match &entry.what {
        What::Counted(x) => {
            let kinds = x.held.iter().map(|(kind, n)| match x.unfit.get(kind) {
                Some(unfit) => format!("{kind} {n}, {unfit} of them unfit"),
                None => format!("{kind} {n}"),
            });
            words.extend(kinds);
            &x.note
        }
        What::Moved(x) => &x.note,
        What::Did(x) => &x.note,
        What::Posted(x) => {
            words.push(format!("dated {}", x.date));
            words.extend(x.keep.iter().map(|(kind, n)| format!("{kind} {n}")));
            &None
        }
        What::Checked(x) => {
            let name = |w: &str| if w.is_empty() { "wrench".to_owned() } else { format!("wrench '{w}'") };
            words
                .extend(x.wrenches.iter().map(|(w, there)| format!("{} {}", name(w), yes(*there, "there", "missing"))));
            words.extend(x.list.map(|l| format!("list {l}")));
            words.extend(x.warmest.map(|t| format!("warmest {}", t.show(units))));
            words.extend(x.dry.map(|d| yes(d, "dry there", "damp there")));
            words.extend(x.place.map(|p| yes(p, "hangs where it should", "hangs in the wrong place")));
            &x.note
        }
        _ => &None,
    };
    words.extend(note.clone());
    text::plain(&words.join("; "))
}
