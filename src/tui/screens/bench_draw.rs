//! How a head at the bench is drawn: what it is held to, the time on a line between the limits, the stopwatch, the verdict as it
//! stands, then the rows.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::style::Style;

use super::bench::BenchScreen;
use super::lots_worked::verdict;
use super::parts::{address, state};
use crate::bench::heat::Window;
use crate::round::entry::Readings;
use crate::round::state::State;
use crate::trade::measure::Seconds;
use crate::tui::chrome::put;
use crate::tui::samples::{self, time, watched};
use crate::tui::screen::{Screen as _, View};
use crate::tui::text;

/// Draws it; where the caret stands comes back.
pub(super) fn draw(it: &BenchScreen, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
    let state = state(view)?;
    let mut rest = area;
    let next = |rest: &mut Rect| {
        let row = Rect { x: rest.x + 1, width: rest.width.saturating_sub(2), height: rest.height.min(1), y: rest.y };
        rest.y += row.height;
        rest.height -= row.height;
        row
    };
    let roomy = area.height >= 18;
    let row = next(&mut rest);
    let column = put(buf, row, 0, &it.tag, view.theme.title, view);
    let column = put(buf, row, column + 2, &address(state, it.head), view.theme.accent, view);
    let of = format!("{} of {}", it.number.0, it.number.1);
    let column = put(buf, row, column + 2, &of, view.theme.dim, view);
    if it.corrects.is_some() {
        put(buf, row, column + 2, "tested already: this corrects it", view.theme.warning, view);
    }
    put(buf, next(&mut rest), 0, &what_it_is(state, it), view.theme.text, view);
    let Some(shown) = &it.shown else { return None };
    let (rti, times) = samples::limit_words(&shown.limits, &shown.window);
    let style = if shown.window.is_err() { view.theme.warning } else { view.theme.text };
    let row = next(&mut rest);
    let column = put(buf, row, 0, &rti, view.theme.text, view);
    // Two facts that do not fit on one row stand on two.
    if usize::from(row.width) < usize::from(column) + 2 + text::width(&times) {
        put(buf, next(&mut rest), 0, &samples::capital(&times), style, view);
    } else {
        put(buf, row, column, "; ", view.theme.text, view);
        put(buf, row, column + 2, &times, style, view);
    }
    let now = it.watch.seconds(view.now).filter(|_| it.watch.is_started());
    let window = shown.window.clone().unwrap_or_default();
    // Of a watch that stands the mark that stopped it tells, which may have been typed over.
    let runs = now.filter(|_| it.watch.is_running());
    if roomy {
        ends(window, &shown.readings, runs, view, next(&mut rest), buf);
    }
    gauge(window, &shown.readings, runs, view, next(&mut rest), buf);
    watch(it, now, window, view, next(&mut rest), buf);
    verdict_of(it, state, view, &mut rest, if area.height >= 15 { 2 } else { 1 }, buf);
    let row = next(&mut rest);
    put(buf, row, 0, &view.glyphs.rule.repeat(usize::from(row.width)), view.theme.border, view);
    it.form.draw(view, rest, buf).filter(|_| !it.on_watch)
}

fn what_it_is(state: &State, it: &BenchScreen) -> String {
    let Some(kind) = state.register().kind(it.kind) else { return String::new() };
    let made = kind.made.map_or_else(String::new, |m| format!("; made {m}"));
    format!("{}: {}{made}", kind.id, kind.describe(state.register().site.units))
}

/// The stopwatch, or where to go for it.
fn watch(it: &BenchScreen, now: Option<f64>, window: Window, view: &View<'_>, row: Rect, buf: &mut Buffer) {
    let mark = if it.on_watch { view.glyphs.point_right } else { " " };
    let column = put(buf, row, 0, mark, view.theme.accent, view);
    let style = match (it.on_watch, it.watch.is_running()) {
        (true, true) => view.theme.cursor,
        (true, false) => view.theme.accent,
        _ => view.theme.text,
    };
    let face = match (now, it.watch.is_started()) {
        (Some(at), _) => format!(" {} ", watched(at)),
        (None, true) => " no time ".to_owned(),
        (None, false) => " stopwatch ".to_owned(),
    };
    let column = put(buf, row, column + 1, &face, style, view) + 1;
    let words = match (it.on_watch, it.watch.next()) {
        _ if it.watch.has_jumped() => "the clock jumped: type the times by hand".to_owned(),
        (_, Some(next)) if it.watch.is_running() => {
            let late = window.latest_s.zip(now).filter(|(to, at)| at > to);
            let late = late.map_or_else(String::new, |(to, _)| format!("past {}; ", time(to)));
            let key = if it.on_watch { "Space" } else { "Esc, then Space" };
            format!("{late}{key}: {}; e: end", next.words())
        }
        (true, _) if it.watch.is_started() => "stopped; Enter records, Backspace takes back".to_owned(),
        (true, _) if it.shown.as_ref().is_some_and(|s| s.judged.is_some()) => {
            "Enter records what stands below".to_owned()
        }
        (true, _) => "Space starts it as the head goes into the oven".to_owned(),
        (false, _) => "Esc leads to it".to_owned(),
    };
    let style = if it.on_watch { view.theme.text } else { view.theme.dim };
    put(buf, row, column, &words, style, view);
}

/// Rows of the form that stay in sight below a long verdict, with the line above them.
const ROWS: u16 = 6;

/// The verdict as it stands, on so many rows at least, and on as many as it needs where the form keeps some.
fn verdict_of(it: &BenchScreen, state: &State, view: &View<'_>, rest: &mut Rect, least: u16, buf: &mut Buffer) {
    let judged = it.shown.as_ref().and_then(|s| s.judged.as_ref()).filter(|_| !it.watch.is_running());
    let (words, style): (String, Style) = match judged {
        Some(judged) => {
            let (sign, style) = verdict(Some(judged.verdict), view);
            let own = samples::index_words(judged);
            let own = if own.is_empty() { own } else { format!(" {} {own}", view.glyphs.dot) };
            let stake = if judged.verdict.fails() { it.stake(state) } else { String::new() };
            (
                format!("{sign} {}{own}: {}.{stake}", samples::capital(judged.verdict.as_str()), judged.why.join("; ")),
                style,
            )
        }
        None => match it.shown.as_ref().and_then(|s| Some((s.void.as_ref()?, s.window.is_err()))) {
            // Why stands in place of the times already.
            Some((_, true)) => {
                (format!("{} Void as things stand, whatever is timed", view.glyphs.unsure), view.theme.warning)
            }
            Some((why, false)) => (format!("{} Void as things stand: {why}", view.glyphs.unsure), view.theme.warning),
            None => (format!("{} No verdict yet", view.glyphs.open), view.theme.dim),
        },
    };
    let width = rest.width.saturating_sub(2);
    let lines = text::wrap(&words, usize::from(width));
    let most = rest.height.saturating_sub(ROWS).max(least);
    let rows = u16::try_from(lines.len()).unwrap_or(u16::MAX).clamp(least, most);
    let area = Rect { x: rest.x + 1, width, height: rest.height.min(rows), y: rest.y };
    rest.y += area.height;
    rest.height -= area.height;
    for (n, line) in (0..area.height).zip(lines.iter()) {
        let last = n + 1 == area.height && lines.len() > usize::from(area.height);
        let line = if last {
            text::broken_off(
                &format!("{line} {}", lines.get(usize::from(n) + 1).map_or("", String::as_str)),
                usize::from(area.width),
                view.glyphs.ellipsis,
            )
        } else {
            line.clone()
        };
        put(buf, Rect { y: area.y + n, height: 1, ..area }, 0, &line, style, view);
    }
}

/// What happened when, each with its letter.
fn marks(readings: &Readings) -> [(&'static str, Option<f64>); 4] {
    let seconds = |s: Option<Seconds>| s.map(Seconds::seconds);
    [
        ("E", seconds(readings.element)),
        ("L", seconds(readings.leak)),
        ("W", seconds(readings.clear)),
        ("X", seconds(readings.until)),
    ]
}

/// The time at the far end of the line; `None`: there is no line.
fn far(window: Window, readings: &Readings, now: Option<f64>, row: Rect) -> Option<f64> {
    let marks = marks(readings);
    let ends = marks.iter().filter_map(|(_, at)| *at).chain(window.latest_s).chain(window.earliest_s).chain(now);
    let end = ends.fold(0.0_f64, f64::max);
    (end > 0.0 && row.width >= 20 && row.height > 0).then_some(end * 1.15)
}

/// The column of a time on a line that ends at another.
fn place(at: f64, end: f64, row: Rect) -> u16 {
    let wide = row.width.saturating_sub(1);
    // Between 0 and the row's width, both of which a u16 holds.
    (at / end * f64::from(wide)).clamp(0.0, f64::from(wide)) as u16
}

/// The limits' times over the line.
fn ends(window: Window, readings: &Readings, now: Option<f64>, view: &View<'_>, row: Rect, buf: &mut Buffer) {
    let Some(end) = far(window, readings, now, row) else { return };
    let mut free = 0;
    for at in [window.earliest_s, window.latest_s].into_iter().flatten() {
        let words = time(at);
        let half = u16::try_from(text::width(&words) / 2).unwrap_or(0);
        let column = place(at, end, row).saturating_sub(half);
        if column >= free {
            free = put(buf, row, column, &words, view.theme.dim, view) + 1;
        }
    }
}

/// The times of the run on a line: where it may open is drawn double, what happened stands as a letter.
fn gauge(window: Window, readings: &Readings, now: Option<f64>, view: &View<'_>, row: Rect, buf: &mut Buffer) {
    let Some(end) = far(window, readings, now, row) else { return };
    let place = |at: f64| place(at, end, row);
    let marks = marks(readings);
    let (thin, thick) = if view.glyphs.ascii { ("-", "=") } else { (view.glyphs.rule, "═") };
    let (from, to) = (window.earliest_s.map_or(0, place), window.latest_s.map(place));
    for x in 0..row.width {
        let inside = to.is_some_and(|to| x >= from && x <= to);
        let (sign, style) = if inside { (thick, view.theme.good) } else { (thin, view.theme.dim) };
        put(buf, row, x, sign, style, view);
    }
    if let Some(now) = now {
        put(buf, row, place(now), view.glyphs.down, view.theme.accent, view);
    }
    for (letter, at) in marks {
        if let Some(at) = at {
            put(buf, row, place(at), letter, view.theme.cursor, view);
        }
    }
}
