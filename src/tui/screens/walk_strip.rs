//! The strip at the foot of the walk: the signs one may strike, or why nothing can be recorded; and while a defect is
//! being entered, what is asked and what can be answered, with the rule set's own hints.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::walk_act::{closed, is_open};
use super::walk_draw::{Rooms, Scene};
use super::walk_pending::{Asking, Pending, extent_key, part_key};
use super::walk_words::{applied_words, how_words};
use super::{walk_head, walk_ruling};
use crate::round::entry::How;
use crate::rules::model::RuleSet;
use crate::tui::chrome::put;
use crate::tui::text;

fn rows(area: Rect) -> impl Iterator<Item = Rect> {
    (area.y..area.bottom()).map(move |y| Rect { y, height: 1, ..area })
}

/// The strip while walking.
pub fn idle(scene: &Scene<'_>, area: Rect, buf: &mut Buffer) {
    let view = scene.view;
    let mut rows = rows(area);
    if let Some(why) = closed(view) {
        if let Some(row) = rows.next() {
            put(buf, row, 1, &format!("{} {why}", view.glyphs.warn), view.theme.warning, view);
        }
        return;
    }
    let state = scene.ground.state;
    if state.has_open_carried(scene.head)
        && let Some(row) = rows.next()
    {
        let mut at = put(buf, row, 1, "earlier finding: ", view.theme.carried, view);
        for (key, words) in [("a", " still there  "), ("z", " gone  ")] {
            at = put(buf, row, at, key, view.theme.key, view);
            at = put(buf, row, at, words, view.theme.hint, view);
        }
        put(buf, row, at, "or enter it anew if it is worse", view.theme.dim, view);
    }
    if is_open(state, scene.head)
        && !state.has_open_carried(scene.head)
        && let Some(row) = rows.next()
    {
        let at = put(buf, row, 1, "looked at since? ", view.theme.unsure, view);
        let at = put(buf, row, at, "z", view.theme.key, view);
        let at = put(buf, row, at, " in order  ", view.theme.hint, view);
        put(buf, row, at, "or enter what you see", view.theme.dim, view);
    }
    let set = state.judge().set();
    let mut words: Vec<(String, String)> =
        set.eye_signs().filter_map(|(_, sign)| sign.key.map(|key| (key.to_string(), text::plain(&sign.id)))).collect();
    let how = if scene.walk.how == How::Eye { String::new() } else { format!(" {}", how_words(scene.walk.how)) };
    // Where the signs leave room, what the footer has no room for.
    let more =
        ["u undo", "v cannot judge", "x not reached", "n note", "k like this", "j jump", "/ find", ". next ruled"];
    words.extend(more.iter().filter_map(|m| m.split_once(' ')).map(|(key, words)| (key.to_owned(), words.to_owned())));
    let left: Vec<Rect> = rows.collect();
    flow(scene, &format!("sign{how}"), &words, &left, buf);
}

/// Sets keys with their words one after the other, over as many rows as there are; a mark says that some did not fit.
fn flow(scene: &Scene<'_>, lead: &str, list: &[(String, String)], rows: &[Rect], buf: &mut Buffer) {
    let view = scene.view;
    let mut rows = rows.iter().copied();
    let Some(mut row) = rows.next() else { return };
    let mut last_row = rows.len() == 0;
    let mut at = put(buf, row, 1, lead, view.theme.dim, view) + 2;
    let margin = at;
    let mark = u16::try_from(text::width(view.glyphs.ellipsis)).unwrap_or(1) + 1;
    for (n, (key, words)) in list.iter().enumerate() {
        let gap = u16::from(!words.is_empty());
        let wide = u16::try_from(text::width(key) + text::width(words)).unwrap_or(u16::MAX).saturating_add(gap);
        let reserve = if last_row && n + 1 < list.len() { mark } else { 0 };
        if at.saturating_add(wide + reserve) > row.width {
            let Some(next) = rows.next() else {
                put(buf, row, at, view.glyphs.ellipsis, view.theme.dim, view);
                return;
            };
            row = next;
            last_row = rows.len() == 0;
            at = margin;
        }
        at = put(buf, row, at, key, view.theme.key, view);
        at = put(buf, row, at + gap, words, view.theme.hint, view) + 1 + gap;
    }
}

/// A line of the list that is shown while a defect is being entered.
struct Offer {
    key: String,
    word: String,
    name: String,
    hint: String,
}

/// The defect being entered: in place of the ruling, so that what is asked stands where the answer will.
pub fn pending(scene: &Scene<'_>, rooms: &Rooms, buf: &mut Buffer) {
    let Some(pending) = &scene.walk.pending else { return };
    let set = scene.ground.state.judge().set();
    let view = scene.view;
    let offers = offers(pending, set);
    let question = question(pending, set);
    if rooms.tight {
        walk_head::one_line(scene, rooms.rule, buf);
    } else {
        walk_ruling::line(scene, rooms.rule, buf);
        let at = put(buf, rooms.rule, 2, &format!(" {} ", entered(pending, set)), view.theme.accent, view);
        put(buf, rooms.rule, at + 1, &format!(" {question} "), view.theme.title, view);
    }
    let area = Rect { width: rooms.ruling.width + rooms.history.width, ..rooms.ruling };
    list(scene, &offers, pending.at(), area, rooms.tight, buf);
    let mut rows: Vec<Rect> = rows(rooms.strip).collect();
    let last = if rows.len() > 1 { rows.pop() } else { None };
    if !rows.is_empty() {
        let lead = format!("{} {} {question}", entered(pending, set), view.glyphs.dot);
        let short: Vec<(String, String)> = offers.iter().map(|o| (o.key.clone(), o.word.clone())).collect();
        // Keys alone, where their words would push some of them out of sight.
        let space: usize = rows.iter().map(|r| usize::from(r.width)).sum();
        let needed: usize = short.iter().map(|(key, words)| text::width(key) + text::width(words) + 3).sum();
        let bare = rows.len() == 1 && text::width(&lead) + 3 + needed > space;
        let short = if bare { short.into_iter().map(|(key, _)| (key, String::new())).collect() } else { short };
        flow(scene, &lead, &short, &rows, buf);
    }
    if let Some(row) = last {
        toggles(scene, pending, set, row, buf);
    }
}

/// What has been entered so far: `sign p paint`, `part 1 element`, or both.
fn entered(pending: &Pending, set: &RuleSet) -> String {
    let mut words = Vec::new();
    if let Some(sign) = pending.sign().and_then(|s| set.sign_at(s)) {
        let key = sign.key.map_or(String::new(), |k| format!("{k} "));
        words.push(format!("{key}{}", text::plain(&sign.id)));
    }
    if let Some(part) = pending.part(set)
        && let Some(word) = set.part_at(part)
    {
        let key = part_key(part).map_or(String::new(), |k| format!("{k} "));
        words.push(format!("{key}{}", text::plain(&word.id)));
    }
    words.join(" + ")
}

fn question(pending: &Pending, set: &RuleSet) -> &'static str {
    match pending.asking(set) {
        Asking::Sign(_) => "sign?",
        Asking::Part(_) => "part?",
        Asking::Extent(_) => "extent?",
        Asking::Yes => "record it?",
    }
}

fn offers(pending: &Pending, set: &RuleSet) -> Vec<Offer> {
    let sign = pending.sign().and_then(|s| set.sign_at(s));
    match pending.asking(set) {
        Asking::Sign(list) => list
            .into_iter()
            .filter_map(|ix| set.sign_at(ix))
            .map(|s| Offer {
                key: s.key.map_or(String::new(), String::from),
                word: text::plain(&s.id),
                name: text::plain(&s.name),
                hint: text::plain(&s.hint),
            })
            .collect(),
        Asking::Part(list) => list
            .into_iter()
            .filter_map(|ix| set.part_at(ix).map(|w| (ix, w)))
            .map(|(ix, w)| Offer {
                key: part_key(ix).map_or(String::new(), String::from),
                word: text::plain(&w.id),
                name: text::plain(&w.name),
                hint: text::plain(&w.hint),
            })
            .collect(),
        Asking::Extent(list) => list
            .into_iter()
            .enumerate()
            .filter_map(|(n, ix)| set.extent_at(ix).map(|w| (n, ix, w)))
            .map(|(n, ix, w)| Offer {
                key: extent_key(set, ix).map_or(String::new(), String::from),
                word: text::plain(&w.id),
                name: text::plain(&w.name),
                // What the extent means for this sign says more than what it means for all.
                hint: text::plain(
                    sign.and_then(|s| s.extent_hints.get(n)).filter(|h| !h.is_empty()).unwrap_or(&w.hint),
                ),
            })
            .collect(),
        Asking::Yes => sign
            .map(|s| Offer {
                key: "Enter".to_owned(),
                word: "record".to_owned(),
                name: text::plain(&s.name),
                hint: text::plain(&s.hint),
            })
            .into_iter()
            .collect(),
    }
}

/// The list with its hints, in two columns where one is not long enough, around the line one stands on.
fn list(scene: &Scene<'_>, offers: &[Offer], at: Option<usize>, area: Rect, tight: bool, buf: &mut Buffer) {
    let view = scene.view;
    let rows = usize::from(area.height);
    if rows == 0 {
        return;
    }
    let columns = if tight { 1 } else { offers.len().div_ceil(rows).clamp(1, usize::from(area.width / 38).max(1)) };
    let shown = rows * columns;
    let first = at.map_or(0, |at| at.saturating_sub(shown.saturating_sub(1)));
    let width = area.width / u16::try_from(columns).unwrap_or(1);
    let key_width = offers.iter().map(|o| text::width(&o.key)).max().unwrap_or(1);
    let name_width = offers.iter().map(|o| text::width(&o.name)).max().unwrap_or(0).min(usize::from(width / 2));
    for (n, offer) in offers.iter().enumerate().skip(first).take(shown) {
        let place = n - first;
        let (Ok(column), Ok(down)) = (u16::try_from(place / rows), u16::try_from(place % rows)) else { return };
        let row = Rect { x: area.x + column * width, y: area.y + down, width: width.saturating_sub(1), height: 1 };
        let here = at == Some(n);
        let mark = if here { view.glyphs.point_right } else { " " };
        let style = if here { view.theme.accent } else { view.theme.text };
        let from = put(buf, row, 0, mark, view.theme.accent, view);
        let from = put(buf, row, from, &text::pad(&offer.key, key_width, ""), view.theme.key, view);
        let name = text::pad(&offer.name, name_width, view.glyphs.ellipsis);
        let from = put(buf, row, from + 1, &name, style, view);
        put(buf, row, from + 2, &offer.hint, view.theme.dim, view);
    }
}

/// `- by eye   0 sure   9 field-applied   Esc clear`.
fn toggles(scene: &Scene<'_>, pending: &Pending, set: &RuleSet, row: Rect, buf: &mut Buffer) {
    let view = scene.view;
    let mut list = vec![("-", how_words(scene.walk.how)), ("0", if pending.doubtful { "in doubt" } else { "sure" })];
    if pending.asks_applied(set) {
        list.push(("9", applied_words(pending.applied)));
    }
    let mut at = 1;
    for (key, words) in list {
        at = put(buf, row, at, key, view.theme.key, view);
        at = put(buf, row, at + 1, words, view.theme.text, view) + 3;
    }
}
