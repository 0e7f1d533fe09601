//! Replacing a head from a cabinet: what lies in the cabinets held against the head field by field, what fits first. What
//! must not go in cannot be chosen; what somebody must decide asks who did.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::cabinet::Cabinets;
use super::cabinet_forms::gated;
use super::moves::{Cursor, MOVES, Move, Scroll, key_lines};
use super::parts::{self, address, state};
use super::sheet::{Sheet, Words};
use crate::round::entry::{Deed, Did, What};
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::round::stock;
use crate::rules::spares::{FitVerdict, SpareField};
use crate::trade::address::Heads;
use crate::tui::ask::{Confirm, Line};
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::screen::{Draft, Effect, Input, Message, Screen, View};
use crate::tui::spares::{CAUTION, Candidate, candidates, field_words};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Take,
    Cabinet,
    Back,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Enter],
        action: Action::Take,
        name: "replaced by it",
        help: "record that the head was replaced by the chosen spare; asks first where it is not simply the same",
        rank: 0,
    },
    Binding {
        keys: &[Key::Char('k')],
        action: Action::Cabinet,
        name: "cabinet",
        help: "the cabinets: what lies in them, counts and movements",
        rank: 2,
    },
    Binding {
        keys: &[Key::Esc, Key::Char('q')],
        action: Action::Back,
        name: "back",
        help: "back to the head; nothing is recorded",
        rank: 1,
    },
];

/// The spares that could take a head's place.
pub struct Replacement {
    head: HeadIx,
    list: Vec<Candidate>,
    cursor: Cursor,
    /// How far the comparison is scrolled.
    scroll: Scroll,
}

impl Replacement {
    /// What lies in the cabinets now, standing on what fits best.
    #[must_use]
    pub fn boxed(view: &View<'_>, head: HeadIx) -> Box<dyn Screen> {
        let mut it = Self { head, list: Vec::new(), cursor: Cursor::default(), scroll: Scroll::default() };
        it.collect(view);
        // Of equals the first is of a cabinet that serves the area.
        let best = it.list.iter().enumerate().min_by_key(|(at, c)| (c.verdict(), *at)).map_or(0, |(at, _)| at);
        it.cursor.at = best;
        Box::new(it)
    }

    fn collect(&mut self, view: &View<'_>) {
        let Some(state) = state(view) else { return };
        self.list = candidates(state, &stock::ledger(state), self.head, view.today);
        self.cursor.keep_within(self.list.len());
    }

    fn take(&self, view: &View<'_>) -> Vec<Effect> {
        let (Some(spare), Some(state)) = (self.list.get(self.cursor.at), state(view)) else { return Vec::new() };
        let Some(kind) = state.register().kind(spare.kind).map(|k| k.id.clone()) else { return Vec::new() };
        let Some(at) = state.address(self.head) else { return Vec::new() };
        let (head, from, why) = (self.head, spare.cabinet.clone(), spare.why().unwrap_or_default());
        if spare.verdict() == FitVerdict::Never {
            let words = "It must not go in. What was done all the same: menu, replaced";
            return vec![Effect::Warn(words.to_owned())];
        }
        let heads = Heads::single(&at);
        let words = format!("{at} replaced by {kind} from cabinet {from}");
        let record = move |note: Option<String>| {
            let did = Did {
                head: heads.clone(),
                did: Deed::Replaced,
                kind: Some(kind.clone()),
                from: Some(from.clone()),
                who: None,
                note,
            };
            vec![
                Effect::Record(vec![Draft::from(What::Did(Box::new(did)))]),
                Effect::Pop,
                Effect::Remember(head),
                Effect::Tell(words.clone()),
            ]
        };
        match spare.verdict() {
            FitVerdict::Same => gated(view, move |_| record(None)),
            FitVerdict::May => gated(view, move |_| {
                let record = record.clone();
                let question = format!("{why} Replace the head by it?");
                vec![Effect::Push(Confirm::new("It may go in", question, Box::new(move |(), _| record(None))))]
            }),
            FitVerdict::Ask | FitVerdict::Never => {
                gated(view, move |_| vec![Effect::Push(allowed(&why, record.clone()))])
            }
        }
    }
}

/// Asks who allowed a spare that is not the head's equal; the answer becomes the note.
fn allowed(why: &str, record: impl Fn(Option<String>) -> Vec<Effect> + 'static) -> Box<dyn Screen> {
    let prompt = format!("{why} Who allowed it, and on what grounds? Esc leaves without it.");
    let check = |t: &str, _: &View<'_>| if t.is_empty() { Err("Nobody is named yet".to_owned()) } else { Ok(()) };
    let then = move |who: String, _: &View<'_>| record(Some(format!("allowed by {who}")));
    Line::new("Somebody must decide", prompt, "", Box::new(check), Box::new(then))
}

/// A verdict's glyph and word.
fn verdict(it: FitVerdict, view: &View<'_>) -> Words {
    match it {
        FitVerdict::Same => (format!("{} fits", view.glyphs.check), view.theme.good),
        FitVerdict::May => (format!("{} may", view.glyphs.bullet), view.theme.accent),
        FitVerdict::Ask => (format!("{} ask", view.glyphs.unsure), view.theme.warning),
        FitVerdict::Never => (format!("{} never", view.glyphs.cross), view.theme.error),
    }
}

impl Screen for Replacement {
    fn name(&self) -> &'static str {
        "replacement"
    }

    fn keys(&self, view: &View<'_>) -> Vec<KeyLine> {
        let may = self.list.get(self.cursor.at).is_some_and(|c| c.verdict() != FitVerdict::Never);
        let open = super::walk_act::closed(view).is_none();
        let own = lines(KEYS, |a| a != Action::Take || (may && open));
        let mut moves = key_lines(self.list.len() > 1);
        if let Some(page) = moves.iter_mut().find(|l| l.keys == "PgUp/PgDn") {
            page.name = "comparison".to_owned();
            page.help = "the comparison of the chosen spare, a page up or down".to_owned();
            page.rank = 3;
            page.works = self.scroll.is_longer();
        }
        own.into_iter().chain(moves).collect()
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        match find(KEYS, *key) {
            Some(Action::Back) => return vec![Effect::Pop],
            Some(Action::Take) => return self.take(view),
            Some(Action::Cabinet) => return vec![Effect::Push(Cabinets::boxed(view))],
            None => {}
        }
        match find(MOVES, *key) {
            Some(by @ (Move::PageUp | Move::PageDown)) => self.scroll.step(by),
            Some(by) => {
                self.cursor.step(by, self.list.len());
                self.scroll = Scroll::default();
            }
            None => {}
        }
        Vec::new()
    }

    fn hear(&mut self, _: &Message, view: &View<'_>) {
        self.collect(view);
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let state = state(view)?;
        let head = state.layout().head(self.head)?;
        let place = parts::area_name(state, head.area);
        let mut rest = parts::framed(&format!("Replace {} from a cabinet", address(state, self.head)), view, area, buf);
        if rest.height > 8 {
            let kind = state
                .register()
                .kind(head.kind)
                .map_or_else(String::new, |k| format!("{}: {}", k.id, k.describe(state.register().site.units)));
            put(buf, Rect { y: rest.y - 1, height: 1, ..rest }, 1, &format!("{place}; {kind}"), view.theme.dim, view);
        }
        for line in text::wrap(&format!("{} {CAUTION}", view.glyphs.warn), usize::from(rest.width.saturating_sub(2)))
            .iter()
            .rev()
        {
            rest.height = rest.height.saturating_sub(1);
            put(buf, Rect { y: rest.bottom(), height: 1, ..rest }, 1, line, view.theme.warning, view);
        }
        if self.list.is_empty() {
            let words = if state.register().cabinets.is_empty() {
                "No cabinet is in the register: k, then n adds one; count it, and what lies there is listed here."
            } else {
                "No cabinet's ledger knows of a spare that may be used: k opens the cabinets, c counts one."
            };
            parts::say(words, view, rest, buf);
            return None;
        }
        let (list, detail) = if area.width >= 110 {
            let list = Rect { width: rest.width / 2, ..rest };
            (list, Rect { x: list.right(), width: rest.width - list.width, ..rest })
        } else {
            // At least three spares show; the comparison takes what is left.
            let rows = u16::try_from(self.list.len() + 2).unwrap_or(u16::MAX).clamp(3, (rest.height / 3).max(3));
            let list = Rect { height: rows.min(rest.height), ..rest };
            (list, Rect { y: list.bottom(), height: rest.height - list.height, ..rest })
        };
        let sheet = self.sheet(state, view, list.width);
        self.cursor.window(self.list.len(), usize::from(list.height));
        sheet.draw(view, list, buf, &Scroll::default(), Some(self.cursor.at));
        if let Some(spare) = self.list.get(self.cursor.at) {
            let mut below = detail;
            if area.width < 110 && below.height > 1 {
                put(
                    buf,
                    Rect { height: 1, ..below },
                    1,
                    &view.glyphs.rule.repeat(usize::from(below.width.saturating_sub(2))),
                    view.theme.border,
                    view,
                );
                below = Rect { y: below.y + 1, height: below.height - 1, ..below };
            }
            compare(state, spare, view, below.width).draw(view, below, buf, &self.scroll, None);
        }
        None
    }
}

impl Replacement {
    fn sheet(&self, state: &State, view: &View<'_>, width: u16) -> Sheet {
        let mut sheet = Sheet::new(width);
        let wide = self.list.iter().filter_map(|c| state.register().kind(c.kind)).map(|k| text::width(&k.id)).max();
        let wide = wide.unwrap_or(0).min(18);
        for spare in &self.list {
            let Some(kind) = state.register().kind(spare.kind) else { continue };
            let (word, style) = verdict(spare.verdict(), view);
            let place = text::plain(&spare.place);
            let place = if spare.serves { place } else { format!("{place} (serves elsewhere)") };
            sheet.pickable(|s| {
                s.row(vec![
                    (text::pad(&word, 8, view.glyphs.ellipsis), style),
                    (text::pad(&kind.id, wide, view.glyphs.ellipsis), view.theme.text),
                    (format!("  {:>3} in {place}", spare.there), view.theme.dim),
                ]);
            });
        }
        sheet
    }
}

/// Field by field: what differs first, with what is to be thought of it; then what agrees.
fn compare(state: &State, spare: &Candidate, view: &View<'_>, width: u16) -> Sheet {
    let mut sheet = Sheet::new(width);
    let name = state.register().kind(spare.kind).map_or("", |k| k.id.as_str());
    let (word, style) = verdict(spare.verdict(), view);
    let means = match spare.verdict() {
        FitVerdict::Same => "it does not differ",
        FitVerdict::May => "it may go in on these grounds",
        FitVerdict::Ask => "the designer or the authority decides",
        FitVerdict::Never => "it must not go in",
    };
    sheet.item(0, vec![(format!("{word}  "), style), (format!("{name}: "), view.theme.accent)], means, view.theme.text);
    if spare.too_old || spare.fit.recalled {
        let why = spare.why().unwrap_or_default();
        sheet.item(0, vec![(format!("{} ", view.glyphs.cross), view.theme.error)], &why, view.theme.text);
    }
    for field in spare.fit.differing() {
        let (word, style) = verdict(field.verdict, view);
        let lead = vec![(format!("{word:<8}"), style)];
        let words = format!("{}: head {}, spare {}", field_words(field.field), field.head, field.spare);
        sheet.item(0, lead, &words, view.theme.text);
        let marks = field.confidence.map_or(String::new(), |c| format!(" ({}; {})", field.clause, c.means()));
        sheet.text(8, &format!("{}{}", field.because, marks.replace("(; ", "(")), view.theme.dim);
    }
    let same: Vec<String> = spare
        .fit
        .fields
        .iter()
        .filter(|f| f.differs.is_none() && !(f.field == SpareField::Length && f.spare == "none"))
        .map(|f| match f.field {
            SpareField::K | SpareField::Dry => f.spare.clone(),
            field => format!("{field} {}", f.spare),
        })
        .collect();
    if !same.is_empty() {
        let lead = vec![(format!("{} agrees: ", view.glyphs.check), view.theme.good)];
        sheet.item(0, lead, &same.join("; "), view.theme.text);
    }
    sheet
}
