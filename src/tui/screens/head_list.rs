//! The heads of an area one below the other, in place of the plan: the same cursor, in words. Costs what it shows.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::walk_ground::{At, Ground};
use super::walk_words::{cell_state, saw_words, short_words};
use crate::round::entry::What;
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::tui::chrome::put;
use crate::tui::screen::View;
use crate::tui::text;

/// Draws the heads around the one at `at`.
pub fn draw(ground: Ground<'_>, at: At, view: &View<'_>, area: Rect, buf: &mut Buffer) {
    let rows = usize::from(area.height);
    let mut places = vec![at];
    // As many before as after, and what one end lacks goes to the other.
    let mut first = at;
    for _ in 0..rows / 2 {
        let Some(before) = ground.before(first) else { break };
        first = before;
        places.insert(0, before);
    }
    let mut last = at;
    while places.len() < rows {
        let Some(next) = ground.next(last) else { break };
        last = next;
        places.push(next);
    }
    while places.len() < rows {
        let Some(before) = ground.before(first) else { break };
        first = before;
        places.insert(0, before);
    }
    for (y, place) in (area.y..area.bottom()).zip(places) {
        let Some(head) = ground.head(place) else { continue };
        line(ground.state, head, place == at, view, Rect { y, height: 1, ..area }, buf);
    }
}

fn line(state: &State, head: HeadIx, here: bool, view: &View<'_>, row: Rect, buf: &mut Buffer) {
    let Some(known) = state.layout().head(head) else { return };
    let cell = cell_state(state, head);
    let style = if here { view.theme.cursor } else { view.theme.text };
    let mark = if here { view.glyphs.point_right } else { " " };
    let at = put(buf, row, 0, mark, view.theme.accent, view);
    let at = put(buf, row, at + 1, cell.glyph(view.glyphs), cell.style(view.theme), view);
    let at = put(buf, row, at + 1, &text::pad(&known.spot.to_string(), 7, view.glyphs.ellipsis), style, view);
    let kind = state.register().kind(known.kind).map_or(String::new(), |k| text::plain(&k.id));
    let words = in_words(state, head).unwrap_or_else(|| format!("{}, {kind}", cell.word()));
    put(buf, row, at + 1, &words, if here { view.theme.accent } else { style }, view);
}

/// What is known of a head besides having been seen.
pub fn in_words(state: &State, head: HeadIx) -> Option<String> {
    let story = state.story(head);
    let of = |ix| state.entry(ix);
    if let Some(finding) = story.leading() {
        let saw = match of(finding.entry).map(|e| &e.what) {
            Some(What::Saw(saw)) => saw_words(state.judge().set(), saw),
            _ => String::new(),
        };
        return Some(format!("{}: {saw}", finding.judgement.ruling));
    }
    if let Some(carried) = story.carried.iter().find(|c| c.answer == crate::round::story::Answer::Open) {
        return of(carried.last).map(|e| format!("earlier: {}", short_words(state, e)));
    }
    let last = story.unsure.or(story.unreached).or_else(|| story.notes.last().copied())?;
    of(last).map(|e| short_words(state, e))
}
