//! The pages of a lot as sheets: the sample head by head, what it comes to, the heads it stands for, its story.

use std::collections::BTreeMap;
use std::ops::Range;

use chrono::NaiveDate;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::lots_worked::{standing, verdict};
use super::parts::{self, address, count};
use super::plot_area;
use super::sheet::Sheet;
use crate::report::plot::operating_times;
use crate::round::act::ranges;
use crate::round::entry::{Entry, Readings, What};
use crate::round::lots::{self, Lot, Sample};
use crate::round::state::{EntryIx, State};
use crate::round::words::entry_words;
use crate::trade::register::KindIx;
use crate::tui::samples::{self, READINGS, capital, outcome_words};
use crate::tui::screen::View;
use crate::tui::text;

/// How many heads the sample takes, and by which clause.
fn asked_words(lot: &Lot) -> String {
    let asked = &lot.outcome.asked;
    let clause = if asked.clause.is_empty() { String::new() } else { format!(" ({})", asked.clause) };
    format!("{}{clause}.", capital(&asked.because))
}

/// The sample: what the lot comes to, in short where there is little room, then a row for each drawn head.
pub(super) fn sample(
    state: &State,
    lot: &Lot,
    overdue: Option<NaiveDate>,
    view: &View<'_>,
    width: u16,
    roomy: bool,
) -> Sheet {
    let mut sheet = Sheet::new(width);
    let (_, style) = standing(lot, overdue, view);
    let words = outcome_words(state, lot, view.today);
    let most = if roomy || lot.samples.is_empty() { words.len() } else { 1 };
    for (n, words) in words.iter().take(most).enumerate() {
        sheet.text(0, words, if n == 0 { style } else { view.theme.text });
    }
    if roomy || lot.samples.is_empty() {
        sheet.text(0, &asked_words(lot), view.theme.dim);
    }
    if lot.samples.is_empty() && lot.outcome.stage.is_decided() {
        sheet.gap().text(0, "It was decided without a head drawn here.", view.theme.text);
        return sheet;
    }
    if lot.samples.is_empty() {
        sheet.gap().text(0, "Nothing is drawn yet: d draws by chance, h by hand. Only heads without a visible defect are drawn: one that is known to be bad says nothing of the others.", view.theme.text);
        return sheet;
    }
    sheet.gap();
    let tag = lot.samples.iter().map(|s| text::width(&s.tag)).max().unwrap_or(0).min(if width < 70 { 14 } else { 24 });
    let head = lot.samples.iter().map(|s| text::width(&address(state, s.head))).max().unwrap_or(0).min(16);
    for sample in &lot.samples {
        let judged = sample.judged.as_ref();
        let (sign, style) = verdict(judged.map(|j| j.verdict), view);
        let word = match (judged, sample.taken) {
            (Some(j), _) => j.verdict.as_str().to_owned(),
            (None, Some(_)) => "taken down".to_owned(),
            (None, None) => "still hangs".to_owned(),
        };
        let kind = state.register().kind(sample.kind).map_or("", |k| k.id.as_str());
        let rti = judged.and_then(|j| j.rti).map_or_else(String::new, |r| format!("RTI {r:.0}"));
        let mut row = vec![
            (format!("{} ", tail(&sample.tag, tag, view)), view.theme.text),
            (format!("{} ", text::pad(&address(state, sample.head), head, view.glyphs.ellipsis)), view.theme.text),
        ];
        // The kind stands below the list too, for the chosen head.
        if width >= 70 {
            row.push((format!("{} ", text::pad(kind, 18, view.glyphs.ellipsis)), view.theme.dim));
        }
        row.push((text::pad(&format!("{sign} {word}"), 22, view.glyphs.ellipsis), style));
        row.push((format!(" {rti}"), view.theme.dim));
        sheet.pickable(|s| {
            s.row(row);
        });
    }
    sheet
}

/// A tag in so many columns: its end tells it from the others.
fn tail(tag: &str, columns: usize, view: &View<'_>) -> String {
    let tag = text::plain(tag);
    if text::width(&tag) <= columns {
        return text::pad(&tag, columns, view.glyphs.ellipsis);
    }
    let room = columns.saturating_sub(text::width(view.glyphs.ellipsis));
    let ends = tag.char_indices().filter_map(|(at, _)| tag.get(at..));
    let end = ends.into_iter().find(|end| text::width(end) <= room).unwrap_or_default();
    text::pad(&format!("{}{end}", view.glyphs.ellipsis), columns, view.glyphs.ellipsis)
}

/// More about one drawn head.
pub(super) fn one(state: &State, sample: &Sample, view: &View<'_>, width: u16) -> Sheet {
    let mut sheet = Sheet::new(width);
    let kind = |sheet: &mut Sheet| {
        if let Some(kind) = state.register().kind(sample.kind) {
            let made = kind.made.map_or_else(|| "year made not known".to_owned(), |m| format!("made {m}"));
            let words = format!("{}: {}; {made}", kind.id, kind.describe(state.register().site.units));
            sheet.text(0, &words, view.theme.accent);
        }
    };
    let test = sample.test.and_then(|ix| lots::tested(state, ix));
    match (test, &sample.judged) {
        (Some((entry, tested)), Some(judged)) => {
            let (sign, style) = verdict(Some(judged.verdict), view);
            let lead = vec![(format!("{sign} {}: ", judged.verdict), style)];
            sheet.item(0, lead, &format!("{}.", judged.why.join("; ")), view.theme.text);
            if let Some((limits, window, _)) = samples::judged(state, sample.head, sample.kind, &tested.readings) {
                let (rti, times) = samples::limit_words(&limits, &window);
                let own = samples::index_words(judged);
                let own = if own.is_empty() { own } else { format!("; it shows {own}") };
                sheet.text(0, &format!("{}; {times}{own}", capital(&rti)), view.theme.text);
            }
            kind(&mut sheet);
            sheet.text(0, &read(&tested.readings), view.theme.dim);
            let by = format!("{} by {}", parts::when(entry), text::plain(&entry.by));
            sheet.text(0, &by, view.theme.dim);
        }
        _ => {
            kind(&mut sheet);
            let words = match sample.taken.and_then(|ix| state.entry(ix)) {
                Some(entry) => format!("Taken down {}: {}.", parts::when(entry), entry_words(entry)),
                None => format!("It still hangs: r records which spare took its place. {}", samples::TAKING_DOWN),
            };
            sheet.text(0, &words, view.theme.text);
            sheet.text(0, "Enter tests it.", view.theme.dim);
        }
    }
    sheet
}

/// What was read, in one line.
fn read(readings: &Readings) -> String {
    let told = READINGS.iter().filter_map(|(word, name, _)| {
        let value = samples::shown(readings, word);
        let unit = if matches!(*word, "element" | "leak" | "clear" | "until") { " s" } else { "" };
        (!value.is_empty()).then(|| format!("{} {value}{unit}", name.to_lowercase()))
    });
    capital(&told.collect::<Vec<_>>().join("; "))
}

/// The operating times of the sample against the limits.
pub(super) fn times(state: &State, lot: &Lot, view: &View<'_>, area: Rect, buf: &mut Buffer) {
    let heads = samples::operated(state, lot);
    if heads.is_empty() {
        parts::say(
            "Nothing is tested yet: a plot of the operating times against the limits will stand here.",
            view,
            area,
            buf,
        );
        return;
    }
    let plot = operating_times(&format!("Operating times: {}", lot.id), &heads);
    plot_area::draw(&plot, view, area, buf);
}

/// The heads that the lot stands for, by kind.
pub(super) fn heads(state: &State, lot: &Lot, view: &View<'_>, width: u16) -> Sheet {
    let mut sheet = Sheet::new(width);
    sheet.text(0, &format!("{}: {}.", text::plain(&lot.name), count(lot.heads.len(), "head")), view.theme.accent);
    sheet.text(0, &asked_words(lot), view.theme.text);
    for words in outcome_words(state, lot, view.today).iter().skip(1) {
        sheet.text(0, words, view.theme.text);
    }
    let mut by_kind: BTreeMap<KindIx, Vec<_>> = BTreeMap::new();
    for (head, kind) in lot.heads.iter().zip(&lot.kinds) {
        by_kind.entry(*kind).or_default().push(*head);
    }
    for (kind, list) in by_kind {
        let Some(it) = state.register().kind(kind) else { continue };
        sheet.gap();
        let made = it.made.map_or_else(|| "year made not known".to_owned(), |m| format!("made {m}"));
        let words = format!("{}; {made}", it.describe(state.register().site.units));
        sheet.item(0, vec![(format!("{}  ", it.id), view.theme.accent)], &words, view.theme.text);
        let shown: Vec<String> = ranges(state, &list).iter().map(ToString::to_string).collect();
        sheet.text(2, &format!("{}: {}", count(list.len(), "head"), shown.join(", ")), view.theme.text);
    }
    let condemned: Vec<_> =
        lot.heads.iter().copied().filter(|h| state.failure(*h).is_some_and(|f| f.lot == lot.entry)).collect();
    if !condemned.is_empty() {
        let shown: Vec<String> = ranges(state, &condemned).iter().map(ToString::to_string).collect();
        let lead = vec![(format!("{} condemned: ", view.glyphs.cross), view.theme.error)];
        sheet.gap().item(
            0,
            lead,
            &format!("{}, {}", count(condemned.len(), "head"), shown.join(", ")),
            view.theme.error,
        );
    }
    sheet
}

/// The entries about a lot, newest first.
pub(super) fn entries(lot: &Lot) -> Vec<EntryIx> {
    let tests = lot.samples.iter().filter_map(|s| s.test);
    let taken = lot.samples.iter().filter_map(|s| s.taken);
    let mut list: Vec<EntryIx> = std::iter::once(lot.entry).chain(lot.draws.iter().copied()).collect();
    list.extend(lot.custody.iter().copied().chain(lot.concluded).chain(tests).chain(taken));
    list.sort_unstable();
    list.dedup();
    list.reverse();
    list
}

/// The story: who did what when.
pub(super) fn story(state: &State, entries: &[EntryIx], shown: Range<usize>, view: &View<'_>, width: u16) -> Sheet {
    let mut sheet = Sheet::new(width);
    for entry in entries.get(shown).unwrap_or_default().iter().filter_map(|ix| state.entry(*ix)) {
        sheet.pickable(|s| {
            s.row(vec![
                (format!("{}  ", parts::when(entry)), view.theme.dim),
                (format!("{} ", text::pad(&text::plain(&entry.by), 6, view.glyphs.ellipsis)), view.theme.text),
                (entry_words(entry), view.theme.text),
            ]);
        });
    }
    sheet
}

/// One entry in full.
pub(super) fn entry(state: &State, ix: EntryIx, view: &View<'_>, width: u16) -> Sheet {
    let mut sheet = Sheet::new(width);
    let Some(entry) = state.entry(ix) else { return sheet };
    sheet.text(0, &entry_words(entry), view.theme.accent);
    let more = more(entry);
    if !more.is_empty() {
        sheet.text(0, &format!("{}.", capital(&more)), view.theme.text);
    }
    if let Some(why) = head_bar(state, ix, view) {
        sheet.text(0, &format!("It stays: {why}."), view.theme.dim);
    }
    sheet
}

fn head_bar(state: &State, ix: EntryIx, view: &View<'_>) -> Option<String> {
    super::head_entries::bar(state, ix, view)
}

fn more(entry: &Entry) -> String {
    let note = |n: &Option<String>| n.as_ref().map_or_else(String::new, |n| format!("; {}", text::plain(n)));
    match &entry.what {
        What::Lot(x) => {
            let heads: Vec<String> = x.heads.iter().take(12).map(ToString::to_string).collect();
            let more = if x.heads.len() > 12 { " and more" } else { "" };
            format!("{}: {}{more}{}", text::plain(&x.name), heads.join(", "), note(&x.note))
        }
        What::Drawn(x) => {
            let seed = x.seed.map_or_else(String::new, |s| format!(", seed {s}"));
            let picks: Vec<String> = x.picks.iter().take(12).map(|p| p.head.to_string()).collect();
            let unseen = if x.unseen { "; heads nobody had looked at could be drawn too" } else { "" };
            format!(
                "{}{seed}: {} of {} that could be drawn, {} asked for: {}{unseen}{}",
                x.way,
                x.picks.len(),
                x.eligible,
                x.asked,
                picks.join(", "),
                note(&x.note)
            )
        }
        What::Custody(x) => {
            let tags = if x.tags.is_empty() { "all of it".to_owned() } else { x.tags.join(", ") };
            let from = x.from.as_ref().map_or_else(String::new, |f| format!(", from {f}"));
            let to = x.to.as_ref().map_or_else(String::new, |f| format!(", to {f}"));
            let on = x.on.map_or_else(String::new, |d| format!(", {d}"));
            format!("{}: {}{from}{to}{on}{}", x.step, text::plain(&tags), note(&x.note))
        }
        What::Tested(x) => read(&x.readings),
        What::Concluded(x) => {
            let n = x.tested.map_or_else(String::new, |n| format!(", {} tested", count(samples::wide(n), "head")));
            format!("{} on {}{n}{}", text::plain(&x.by), x.on, note(&x.note))
        }
        _ => String::new(),
    }
}
