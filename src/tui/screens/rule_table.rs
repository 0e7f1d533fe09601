//! The rules for one kind of head in one area as a grid: signs and parts down, extents across, what is ruled in every
//! cell. Standing on a cell tells its words and what it hangs on; Enter explains it.

use std::cell::Cell as Shared;
use std::sync::Arc;

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::widgets::Widget as _;

use super::explain::Explain;
use super::explain_pages::Spoken;
use super::moves::{Cursor, MOVES, Scroll, key_lines};
use super::parts;
use super::sheet::Sheet;
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::rules::grid::{Asked, Cell, Grid, Row, Untold, grid};
use crate::rules::model::{RuleSet, SignIx};
use crate::trade::kind::{Applied, Kind};
use crate::trade::register::{Area, KindIx};
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::picture::{self, PictureSpec, Size, Touch};
use crate::tui::screen::{Effect, Input, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Explain,
    Left,
    Right,
    SignBefore,
    SignAfter,
    Origin,
    Back,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Enter, Key::Char('?')],
        action: Action::Explain,
        name: "why",
        help: "explain the cell: its rules, what other editions say, cases as pictures; help is one ? further",
        rank: 0,
    },
    Binding { keys: &[Key::Left], action: Action::Left, name: "less", help: "the extent before", rank: 9 },
    Binding { keys: &[Key::Right], action: Action::Right, name: "more", help: "the next extent", rank: 9 },
    Binding { keys: &[Key::Tab], action: Action::SignAfter, name: "next sign", help: "the next sign", rank: 2 },
    Binding {
        keys: &[Key::BackTab],
        action: Action::SignBefore,
        name: "sign before",
        help: "the sign before",
        rank: 9,
    },
    Binding {
        keys: &[Key::Char('9')],
        action: Action::Origin,
        name: "applied",
        help: "who applied a finish that is seen: not told, field, factory, unknown",
        rank: 3,
    },
    Binding {
        keys: &[Key::Esc, Key::Char('q')],
        action: Action::Back,
        name: "back",
        help: "back to where one was",
        rank: 1,
    },
];

/// The rules for one kind in one area.
pub struct RuleTable {
    set: Arc<RuleSet>,
    kind: Kind,
    title: String,
    /// Make-up and surroundings, in words.
    made: String,
    around: String,
    asked: Asked,
    grid: Grid,
    cursor: Cursor,
    column: usize,
    /// How many columns the last drawing had room for.
    shown: Shared<usize>,
}

impl RuleTable {
    /// The rules for a head, as it hangs.
    #[must_use]
    pub fn of_head(state: &State, head: HeadIx) -> Option<Box<dyn Screen>> {
        let place = state.layout().head(head)?;
        Self::of_kind(state, place.kind, place.area)
    }

    /// The rules for heads of a kind in an area.
    #[must_use]
    pub fn of_kind(state: &State, kind: KindIx, area: u16) -> Option<Box<dyn Screen>> {
        let register = state.register();
        let kind = register.kind(kind)?.clone();
        let area = register.areas.get(usize::from(area))?;
        let mut untold = vec![Untold::Origin];
        if area.ceiling_max.is_none() {
            untold.push(Untold::Ceiling);
        }
        let asked = Asked { facts: state.judge().facts(&kind, area), origin: None, untold };
        let set = Arc::clone(state.judge().set());
        let grid = grid(&set, &asked, &[]);
        Some(Box::new(Self {
            title: format!("Rules for {} in {}", kind.id, text::plain(&area.name)),
            made: kind.describe(register.site.units),
            around: around(area, state),
            set,
            kind,
            asked,
            grid,
            cursor: Cursor::default(),
            column: 0,
            shown: Shared::new(1),
        }))
    }

    fn row(&self) -> Option<&Row> {
        self.grid.rows.get(self.cursor.at)
    }

    /// The cell one stands on; on a row without that extent, the nearest that it has.
    fn here(&self) -> Option<(usize, &Cell)> {
        let cells = &self.row()?.cells;
        let there = cells.iter().enumerate().filter_map(|(n, c)| c.as_ref().map(|c| (n, c)));
        there.min_by_key(|(n, _)| n.abs_diff(self.column))
    }

    fn sideways(&mut self, right: bool) {
        let Some((at, cells)) = self.here().map(|(at, _)| at).zip(self.row().map(|r| &r.cells)) else { return };
        let there = |n: &usize| cells.get(*n).is_some_and(Option::is_some);
        let to = if right { (at + 1..cells.len()).find(there) } else { (0..at).rev().find(there) };
        self.column = to.unwrap_or(at);
    }

    /// To the first row of the next sign, or of the one before.
    fn go_to_sign(&mut self, after: bool) {
        let sign = |at: usize| self.grid.rows.get(at).map(|r| r.sign);
        let starts = |at: &usize| *at == 0 || sign(*at) != sign(*at - 1);
        let all = self.grid.rows.len();
        let to = if after { (self.cursor.at + 1..all).find(starts) } else { (0..self.cursor.at).rev().find(starts) };
        self.cursor.at = to.unwrap_or(self.cursor.at);
    }

    fn turn_origin(&mut self) {
        self.asked.origin = match self.asked.origin {
            None => Some(Applied::Field),
            Some(Applied::Field) => Some(Applied::Factory),
            Some(Applied::Factory) => Some(Applied::Unknown),
            Some(Applied::Unknown) => None,
        };
        self.asked.untold.retain(|u| *u != Untold::Origin);
        if self.asked.origin.is_none() {
            self.asked.untold.push(Untold::Origin);
        }
        self.grid = grid(&self.set, &self.asked, &[]);
    }

    fn explain(&self) -> Option<Effect> {
        let (at, cell) = self.here()?;
        Some(Effect::Push(Explain::of_rules(Spoken {
            set: Arc::clone(&self.set),
            rules: cell.rules.clone(),
            title: self.words(at)?,
            under: format!("{}; {}", self.made, self.around),
            picture: self.picture(at)?,
        })))
    }

    /// What the cell is about: `paint on heat element, trace`. An only part or extent goes without saying.
    fn words(&self, column: usize) -> Option<String> {
        let row = self.row()?;
        let sign = self.set.sign_at(row.sign)?;
        let mut words = sign.name.clone();
        if sign.parts.len() > 1 {
            words.push_str(&format!(" on {}", self.set.part_at(row.part)?.name));
        }
        if sign.extents.len() > 1 {
            words.push_str(&format!(", {}", self.set.extent_at(*self.grid.extents.get(column)?)?.name));
        }
        Some(text::plain(&words))
    }

    fn picture(&self, column: usize) -> Option<PictureSpec> {
        let row = self.row()?;
        let spec = PictureSpec::of(&self.kind);
        let (sign, part) = (self.set.sign_at(row.sign)?, self.set.part_at(row.part)?);
        let extent = self.set.extent_at(*self.grid.extents.get(column)?)?;
        let seen = sign.seen == crate::rules::model::Seen::Eye;
        Some(if seen { spec.with(Touch::new(&sign.id, &part.id, &extent.id)) } else { spec })
    }

    /// What an extent looks like for the sign one stands on.
    fn hint(&self, column: usize) -> Option<String> {
        let sign = self.set.sign_at(self.row()?.sign)?;
        let extent = self.grid.extents.get(column)?;
        let at = sign.extents.iter().position(|e| e == extent)?;
        let own = sign.extent_hints.get(at).filter(|h| !h.is_empty()).cloned();
        let hint = own.or_else(|| self.set.extent_at(*extent).map(|w| w.hint.clone()))?;
        Some(text::plain(&format!("{}: {hint}", self.set.extent_at(*extent)?.name)))
    }
}

/// What is around heads of an area, in a line.
fn around(area: &Area, state: &State) -> String {
    let units = state.register().site.units;
    let mut words = vec![format!("{} system", area.system)];
    words.extend(area.setting.iter().map(ToString::to_string));
    words.push(match area.ceiling_max {
        Some(most) => format!("ceiling to {}", most.show(units)),
        None => "ceiling not known".to_owned(),
    });
    words.join(", ")
}

/// How wide the columns are at a width.
struct Widths {
    sign: usize,
    part: usize,
    cell: usize,
    /// How many extents stand beside each other.
    shown: usize,
}

impl RuleTable {
    fn widths(&self, room: usize) -> Widths {
        let wide = |names: &mut dyn Iterator<Item = usize>, most: usize| names.max().unwrap_or(0).min(most) + 1;
        let signs = self.grid.rows.iter().filter_map(|r| self.set.sign_at(r.sign)).map(|s| text::width(&s.id));
        let parts = self.grid.rows.iter().filter_map(|r| self.set.part_at(r.part)).map(|w| text::width(&w.id));
        let most = if room >= 72 { 16 } else { 10 };
        let (sign, part) = (wide(&mut signs.into_iter(), most), wide(&mut parts.into_iter(), most));
        let part = if room >= 72 { part + 1 } else { part };
        // `replace C*`, or without the class where there is little room.
        let cell = if room >= 72 { 11 } else { 9 };
        let space = room.saturating_sub(sign + part + 2);
        Widths { sign, part, cell, shown: (space / cell).clamp(1, self.grid.extents.len().max(1)) }
    }

    /// The first extent that shows.
    fn first(&self, shown: usize) -> usize {
        let at = self.here().map_or(0, |(at, _)| at);
        (at + 1).saturating_sub(shown)
    }

    fn draw_grid(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) {
        let widths = self.widths(usize::from(area.width));
        self.shown.set(widths.shown);
        let first = self.first(widths.shown);
        let lead = u16::try_from(1 + widths.sign + widths.part).unwrap_or(u16::MAX);
        let column = |n: usize| lead.saturating_add(u16::try_from(n * widths.cell).unwrap_or(u16::MAX));
        let head = Rect { height: area.height.min(1), ..area };
        for (n, extent) in self.grid.extents.iter().skip(first).take(widths.shown).enumerate() {
            let name = self.set.extent_at(*extent).map_or("", |w| w.id.as_str());
            put(buf, head, column(n), &text::pad(name, widths.cell - 1, view.glyphs.ellipsis), view.theme.hint, view);
        }
        if first > 0 {
            put(buf, head, lead.saturating_sub(2), view.glyphs.point_left, view.theme.accent, view);
        }
        if first + widths.shown < self.grid.extents.len() {
            put(buf, head, column(widths.shown), view.glyphs.point_right, view.theme.accent, view);
        }
        let list = Rect { y: area.y + head.height, height: area.height - head.height, ..area };
        let window = self.cursor.window(self.grid.rows.len(), usize::from(list.height));
        let (above, below) = (window.start > 0, window.end < self.grid.rows.len());
        let mut last: Option<SignIx> = None;
        for (y, at) in (list.y..list.bottom()).zip(window) {
            let Some(row) = self.grid.rows.get(at) else { break };
            let line = Rect { y, height: 1, ..list };
            let here = at == self.cursor.at;
            if here {
                put(buf, line, 0, view.glyphs.point_right, view.theme.accent, view);
            }
            if last != Some(row.sign) || here {
                let name = self.set.sign_at(row.sign).map_or("", |s| s.id.as_str());
                put(buf, line, 1, &text::pad(name, widths.sign - 1, view.glyphs.ellipsis), view.theme.accent, view);
            }
            last = Some(row.sign);
            let name = self.set.part_at(row.part).map_or("", |w| w.id.as_str());
            let at_part = u16::try_from(1 + widths.sign).unwrap_or(u16::MAX);
            put(buf, line, at_part, &text::pad(name, widths.part - 1, view.glyphs.ellipsis), view.theme.text, view);
            for (n, cell) in row.cells.iter().skip(first).take(widths.shown).enumerate() {
                let x = column(n);
                match cell {
                    Some(cell) => {
                        let words = if widths.cell > 9 { cell.short() } else { bare(cell) };
                        put(buf, line, x, &words, view.theme.ruling_style(cell.ruling), view);
                    }
                    None => {
                        put(buf, line, x, "-", view.theme.dim, view);
                    }
                }
                if here && self.here().is_some_and(|(at, _)| at == first + n) {
                    let wide = u16::try_from(widths.cell - 1).unwrap_or(0).min(line.width.saturating_sub(x));
                    parts::select(Rect { x: line.x + x, width: wide, ..line }, view, buf);
                }
            }
        }
        let mark = |y: u16| Rect { x: area.right().saturating_sub(1), y, width: 1, height: 1 };
        if above && area.width > 1 {
            put(buf, mark(list.y), 0, view.glyphs.up, view.theme.accent, view);
        }
        if below && area.width > 1 && list.height > 0 {
            put(buf, mark(list.bottom() - 1), 0, view.glyphs.down, view.theme.accent, view);
        }
    }

    /// What there is to say of the cell one stands on.
    fn detail(&self, view: &View<'_>, width: u16) -> Sheet {
        let mut sheet = Sheet::new(width);
        let Some((at, cell)) = self.here() else { return sheet };
        let (ruling, style) = parts::ruling(cell.ruling, 0, view);
        let mut head = vec![(format!("{ruling}  "), style)];
        if let Some(class) = cell.class {
            head.push((format!("{class}  "), parts::class_style(class, view)));
        }
        sheet.item(0, head, &self.words(at).unwrap_or_default(), view.theme.title);
        for rule in cell.rules.iter().filter_map(|r| self.set.rule_at(*r)) {
            sheet.item(2, vec![], &format!("{} ({})", rule.title, rule.clause), view.theme.text);
        }
        if cell.rules.is_empty() {
            sheet.text(2, "No rule has anything to say about it.", view.theme.text);
        }
        if !cell.hangs_on.is_empty() {
            let on: Vec<&str> = cell.hangs_on.iter().map(|u| u.as_str()).collect();
            let may: Vec<&str> = cell.may_be.iter().map(|r| r.as_str()).collect();
            let may = if may.len() > 1 { format!(": may be {}", may.join(" or ")) } else { String::new() };
            sheet.text(2, &format!("* hangs on {}{may}", on.join(" and ")), view.theme.warning);
        }
        if let Some(hint) = self.hint(at) {
            sheet.text(2, &hint, view.theme.dim);
        }
        sheet
    }

    /// What was told of the head besides its make-up.
    fn told(&self) -> String {
        let origin = self.asked.origin.map_or_else(|| "not told".to_owned(), |o| o.to_string());
        format!("finish by: {origin} (9); {}", self.around)
    }
}

/// The ruling with a star where it hangs on something, without its class.
fn bare(cell: &Cell) -> String {
    format!("{}{}", cell.ruling, if cell.hangs_on.is_empty() { "" } else { "*" })
}

/// Columns of the grid that are enough for any set of four extents.
const GRID: u16 = 82;

impl Screen for RuleTable {
    fn name(&self) -> &'static str {
        "rule table"
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        let asks = |r: &Row| self.set.sign_at(r.sign).is_some_and(|s| s.ask_applied);
        let asks = self.row().is_some_and(asks);
        let any = self.here().is_some();
        let own = lines(KEYS, |a| match a {
            Action::Back => true,
            Action::Origin => asks,
            _ => any,
        });
        own.into_iter().chain(key_lines(any)).collect()
    }

    fn explains(&self, _: &View<'_>) -> bool {
        self.here().is_some()
    }

    fn update(&mut self, input: &Input, _: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        if let Some(by) = find(MOVES, *key) {
            self.cursor.step(by, self.grid.rows.len());
            return Vec::new();
        }
        match find(KEYS, *key) {
            Some(Action::Explain) => return self.explain().into_iter().collect(),
            Some(Action::Back) => return vec![Effect::Pop],
            Some(Action::Left) => self.sideways(false),
            Some(Action::Right) => self.sideways(true),
            Some(Action::SignBefore) => self.go_to_sign(false),
            Some(Action::SignAfter) => self.go_to_sign(true),
            Some(Action::Origin) => self.turn_origin(),
            None => {}
        }
        Vec::new()
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let mut rest = parts::framed(&self.title, view, area, buf);
        if area.height >= 12 {
            // The blank row below the title holds what the kind is and where it hangs.
            let row = Rect { y: rest.y - 1, height: 1, ..rest };
            put(buf, Rect { width: row.width.saturating_sub(1), ..row }, 1, &self.made, view.theme.dim, view);
            let row = Rect { y: rest.y, height: 1, ..rest };
            put(buf, Rect { width: row.width.saturating_sub(1), ..row }, 1, &self.told(), view.theme.dim, view);
            rest = Rect { y: rest.y + 1, height: rest.height - 1, ..rest };
        }
        let (width, _) = Size::Large.cells();
        if area.width >= GRID + width + 2 {
            let side = Rect { x: rest.x + GRID, width: rest.width - GRID, ..rest };
            self.draw_grid(view, Rect { width: GRID, ..rest }, buf);
            if let Some(spec) = self.here().and_then(|(at, _)| self.picture(at))
                && let Some(size) = Size::fitting(side)
            {
                let x = side.x + (side.width - size.cells().0) / 2;
                (&picture::draw(&spec, size, view.theme, view.glyphs)).render(Rect { x, ..side }, buf);
                let used = size.cells().1.min(side.height);
                let below = Rect { y: side.y + used, height: side.height - used, ..side };
                self.detail(view, below.width).draw(view, below, buf, &Scroll::default(), None);
            }
            return None;
        }
        let (list, below) = parts::split(rest, if rest.height >= 18 { 5 } else { 4 });
        self.draw_grid(view, list, buf);
        if below.height > 0 {
            let row = Rect { y: below.y - 1, height: 1, ..below };
            put(buf, row, 0, &view.glyphs.rule.repeat(usize::from(row.width)), view.theme.border, view);
        }
        self.detail(view, below.width).draw(view, below, buf, &Scroll::default(), None);
        None
    }
}
