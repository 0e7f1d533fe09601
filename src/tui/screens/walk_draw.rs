//! How the walk is laid out, by the room there is, and its title and plan. The head's panel, the ruling and the strip
//! below have files of their own.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::walk::Walk;
use super::walk_ground::{At, Ground};
use super::walk_words::{cell_state, short_word};
use super::{head_list, walk_head, walk_ruling, walk_strip};
use crate::round::layout::{HeadIx, Slot};
use crate::round::story::Story;
use crate::tui::chrome::put;
use crate::tui::plan::{CellState, Plan};
use crate::tui::screen::View;
use crate::tui::text;

/// What is drawn of the walk, gathered once a frame.
pub struct Scene<'a> {
    /// The walk.
    pub walk: &'a Walk,
    /// Where its cursor moves.
    pub ground: Ground<'a>,
    /// Where it stands.
    pub at: At,
    /// The head there.
    pub head: HeadIx,
    /// The head's story.
    pub story: Story,
    /// Theme, glyphs, day.
    pub view: &'a View<'a>,
}

/// Where things stand on the screen; all within the area given, none overlapping.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rooms {
    pub title: Rect,
    pub plan: Rect,
    /// The line between plan and panel.
    pub bar: Rect,
    pub panel: Rect,
    /// The line with the ruling's word.
    pub rule: Rect,
    pub ruling: Rect,
    pub history: Rect,
    pub strip: Rect,
    /// Whether the head's panel is one line above the ruling.
    pub tight: bool,
}

impl Rooms {
    /// The rooms of an area.
    pub fn of(area: Rect) -> Self {
        let mut left = area;
        let title = top(&mut left, 1);
        if area.width < 56 || area.height < 14 {
            return Self::tight(title, left, area.height);
        }
        let body = (area.height.saturating_sub(4) * 7 / 20).clamp(4, 13);
        let strip = bottom(&mut left, if area.height >= 20 { 3 } else { 2 });
        let mut ruling = bottom(&mut left, body);
        let rule = bottom(&mut left, 1);
        let panel_width = match area.width {
            0..72 => 28,
            72..116 => 42,
            _ => 62,
        };
        let panel = Rect { x: left.right() - panel_width, width: panel_width, ..left };
        let plan = Rect { x: left.x + 1, width: left.width - panel_width - 3, ..left };
        let bar = Rect { x: plan.right(), width: 1, ..left };
        let mut history = Rect { width: 0, ..ruling };
        if area.width >= 116 {
            history = Rect { x: panel.x, width: panel.width, ..ruling };
            ruling.width = ruling.width.saturating_sub(panel.width + 2);
        }
        Self { title, plan, bar, panel, rule, ruling, history, strip, tight: false }
    }

    /// One thing under the other: a few lines of the plan, the head in one line, its ruling, the strip.
    fn tight(title: Rect, mut left: Rect, height: u16) -> Self {
        let strip = bottom(&mut left, if height >= 9 { 2 } else { 1 });
        let rows = if height >= 11 { 3 } else { 2.min(left.height.saturating_sub(2)) };
        let ruling = bottom(&mut left, rows);
        let rule = bottom(&mut left, 1);
        let none = Rect { height: 0, ..rule };
        Self { title, plan: left, bar: none, panel: none, rule, ruling, history: none, strip, tight: true }
    }
}

fn top(left: &mut Rect, rows: u16) -> Rect {
    let height = rows.min(left.height);
    let taken = Rect { height, ..*left };
    left.y += height;
    left.height -= height;
    taken
}

fn bottom(left: &mut Rect, rows: u16) -> Rect {
    let height = rows.min(left.height);
    left.height -= height;
    Rect { y: left.y + left.height, height, ..*left }
}

/// Draws the walk.
pub fn draw(walk: &Walk, view: &View<'_>, area: Rect, buf: &mut Buffer) {
    let Some((ground, at, head)) = walk.here(view) else {
        put(buf, Rect { height: area.height.min(1), ..area }, 1, "This area has no head", view.theme.dim, view);
        return;
    };
    let story = ground.state.story(head);
    let scene = Scene { walk, ground, at, head, story, view };
    let rooms = Rooms::of(area);
    title(&scene, rooms.title, buf);
    if walk.list {
        head_list::draw(ground, at, view, rooms.plan, buf);
    } else {
        plan(&scene, rooms.plan, buf);
    }
    for y in rooms.bar.y..rooms.bar.bottom() {
        put(buf, Rect { y, height: 1, ..rooms.bar }, 0, view.glyphs.bar, view.theme.border, view);
    }
    walk_head::panel(&scene, rooms.panel, buf);
    if walk.pending.is_some() {
        walk_strip::pending(&scene, &rooms, buf);
    } else {
        walk_ruling::draw(&scene, &rooms, buf);
        walk_strip::idle(&scene, rooms.strip, buf);
    }
}

/// `Packing hall · pack · line 3 of 12 · 41/120`.
fn title(scene: &Scene<'_>, row: Rect, buf: &mut Buffer) {
    let (view, state, area) = (scene.view, scene.ground.state, scene.ground.area);
    let dot = view.glyphs.dot;
    let (name, id) = state
        .register()
        .areas
        .get(usize::from(area))
        .map_or((String::new(), ""), |a| (text::plain(&a.name), a.id.as_str()));
    let counts = state.area_counts(area);
    let line = format!("line {} of {}", scene.at.row + 1, scene.ground.rows().len());
    let done = if counts.complete() { " all answered" } else { "" };
    let id = if row.width < 56 { String::new() } else { format!(" {dot} {id}") };
    let facts = format!("{id} {dot} {line} {dot} {}/{}{done}", counts.answered(), counts.heads);
    let wide = text::width(&facts);
    let space = usize::from(row.width).saturating_sub(wide + 2).max(8);
    let at = put(buf, row, 1, &text::truncate(&name, space, view.glyphs.ellipsis), view.theme.title, view);
    let at = put(buf, row, at, &facts, view.theme.text, view);
    let bar = usize::from(row.width).saturating_sub(usize::from(at) + 3).min(30);
    if bar >= 10 {
        let from = row.width.saturating_sub(u16::try_from(bar + 1).unwrap_or(0));
        let style = if counts.complete() { view.theme.good } else { view.theme.done };
        put(buf, row, from, &view.glyphs.progress(counts.answered(), counts.heads, bar), style, view);
    }
}

fn plan(scene: &Scene<'_>, area: Rect, buf: &mut Buffer) {
    let (view, ground) = (scene.view, scene.ground);
    let rows = ground.rows();
    let cell = |line: usize, place: usize| {
        rows.get(line)?.slots.get(place).map(|slot| match slot {
            Slot::Gap(_) => CellState::Gap,
            Slot::Head(head) => cell_state(ground.state, *head),
        })
    };
    let places = longest(scene, area);
    let plan = Plan {
        lines: rows.len(),
        places,
        cell: &cell,
        cursor: (scene.at.row, scene.at.slot),
        theme: view.theme,
        glyphs: view.glyphs,
    };
    plan.draw(area, buf);
    // The numbers above and the lines; the legend is set at the foot and leaves a row between where there is one.
    let used = u16::try_from(rows.len() + 1).unwrap_or(u16::MAX);
    if area.height > used.saturating_add(2) {
        let shown = |state: CellState| {
            let width = usize::from(area.width);
            (0..rows.len()).any(|line| (0..places.min(width)).any(|place| cell(line, place) == Some(state)))
        };
        legend(shown, view, Rect { y: area.y + used, height: area.height - used, ..area }, buf);
    }
}

/// The longest line among those that can show; looking at all of a large area would cost what the area holds.
fn longest(scene: &Scene<'_>, area: Rect) -> usize {
    let rows = scene.ground.rows();
    let near = usize::from(area.height);
    let from = scene.at.row.saturating_sub(near);
    rows.iter().skip(from).take(2 * near + 1).map(|r| r.slots.len()).max().unwrap_or(0)
}

/// What the plan's signs mean: all of them where there is room, otherwise those that the plan shows.
fn legend(shown: impl Fn(CellState) -> bool, view: &View<'_>, area: Rect, buf: &mut Buffer) {
    use crate::rules::model::Ruling;
    let mut states = vec![
        CellState::Unseen,
        CellState::Condemned,
        CellState::Seen,
        CellState::Ruled(Ruling::Replace),
        CellState::Ruled(Ruling::Correct),
        CellState::Ruled(Ruling::Clean),
        CellState::Ruled(Ruling::Test),
        CellState::Ruled(Ruling::Look),
        CellState::Ruled(Ruling::Watch),
        CellState::Advisory,
        CellState::Carried,
        CellState::Unsure,
        CellState::Unreached,
        CellState::Disagreement,
    ];
    // Set at the foot of the plan, as few rows as will do.
    let space = usize::from(area.width).saturating_sub(1);
    let mut rows = legend_rows(&states, space);
    if rows.len() > usize::from(area.height) {
        states.retain(|s| shown(*s));
        rows = legend_rows(&states, space);
    }
    rows.truncate(usize::from(area.height));
    let first = area.bottom().saturating_sub(u16::try_from(rows.len()).unwrap_or(0));
    for (y, row) in (first..area.bottom()).zip(rows) {
        let place = Rect { y, height: 1, ..area };
        let mut at = 1;
        for state in row.iter().filter_map(|n| states.get(*n)) {
            let column = put(buf, place, at, state.glyph(view.glyphs), state.style(view.theme), view);
            at = put(buf, place, column + 1, short_word(*state), view.theme.dim, view) + 2;
        }
    }
}

/// The legend's entries by rows, each row as full as the space allows.
fn legend_rows(states: &[CellState], space: usize) -> Vec<Vec<usize>> {
    let mut rows: Vec<Vec<usize>> = vec![Vec::new()];
    let mut used = 0;
    for (n, state) in states.iter().enumerate() {
        let width = 2 + text::width(short_word(*state)) + 2;
        if used + width > space && used > 0 {
            rows.push(Vec::new());
            used = 0;
        }
        if let Some(row) = rows.last_mut() {
            row.push(n);
        }
        used += width;
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rooms_lie_within_their_area_and_overlap_nowhere() {
        for width in 0..160 {
            for height in 0..60 {
                let area = Rect::new(3, 2, width, height);
                let r = Rooms::of(area);
                let all = [r.title, r.plan, r.bar, r.panel, r.rule, r.ruling, r.history, r.strip];
                for (n, a) in all.iter().enumerate() {
                    assert_eq!(a.intersection(area).area(), a.area(), "{width}x{height} room {n}");
                    for b in all.iter().skip(n + 1) {
                        assert_eq!(a.intersection(*b).area(), 0, "{width}x{height}: {a:?} {b:?}");
                    }
                }
            }
        }
    }
}
