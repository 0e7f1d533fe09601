//! Ways to draw the lots, side by side: how many lots, how many heads go to the bench, and what one failure would condemn. One
//! way is chosen and recorded, or one lot of it.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::cabinet_forms::gated;
use super::moves::{Cursor, MOVES, Move, Scroll, key_lines};
use super::parts::{self, count, state};
use super::sheet::Sheet;
use crate::round::due;
use crate::round::entry::What;
use crate::round::lots::{self, Proposal, Way, ways};
use crate::round::state::State;
use crate::trade::address::AreaId;
use crate::trade::measure::Span;
use crate::tui::ask::{Choice, Choose, Confirm};
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::samples::{self, lot_entry};
use crate::tui::screen::{Draft, Effect, Input, Message, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Form,
    One,
    Back,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Enter],
        action: Action::Form,
        name: "form these",
        help: "form all lots of the chosen way, after a question that names how many and what one failure condemns",
        rank: 0,
    },
    Binding {
        keys: &[Key::Char('o')],
        action: Action::One,
        name: "one of them",
        help: "form one lot of the chosen way alone",
        rank: 2,
    },
    Binding {
        keys: &[Key::Esc, Key::Char('q')],
        action: Action::Back,
        name: "back",
        help: "back without forming a lot",
        rank: 1,
    },
];

/// The ways.
pub struct Ways {
    within: Span,
    ways: Vec<Way>,
    cursor: Cursor,
    scroll: Scroll,
}

impl Ways {
    /// The ways for what is due within a span from today.
    #[must_use]
    pub fn boxed(view: &View<'_>, within: Span) -> Box<dyn Screen> {
        let mut it = Self { within, ways: Vec::new(), cursor: Cursor::default(), scroll: Scroll::default() };
        it.collect(view);
        Box::new(it)
    }

    fn collect(&mut self, view: &View<'_>) {
        let Some(state) = state(view) else { return };
        let lots = lots::lots(state);
        let taken: Vec<&AreaId> = lots.iter().map(|l| &l.id).collect();
        self.ways = ways(state, &due::due(state, &lots, view.today, self.within), &taken);
        self.cursor.keep_within(self.ways.len());
    }

    fn here(&self) -> Option<&Way> {
        self.ways.get(self.cursor.at)
    }

    fn form(&self, view: &View<'_>) -> Vec<Effect> {
        let Some(way) = self.here() else { return Vec::new() };
        // Where a sample would take every head there is nothing to test for the others.
        let (whole, lots): (Vec<Proposal>, Vec<Proposal>) = way.lots.iter().cloned().partition(|l| l.all);
        if lots.is_empty() {
            let words = "Each sample would take every head: replace them rather; o forms one lot all the same";
            return vec![Effect::Warn(words.to_owned())];
        }
        let way = Way { divide: way.divide.clone(), lots };
        let left = if whole.is_empty() {
            String::new()
        } else {
            let names: Vec<&str> = whole.iter().map(|l| l.id.as_str()).collect();
            format!(" Left out, because the sample would take every head: {}.", names.join(", "))
        };
        gated(view, move |view| {
            let question = format!(
                "Form {}, {}, of {}? Their samples take {} in all. {}.{left}",
                count(way.lots.len(), "lot"),
                way.words(),
                count(way.heads(), "head"),
                count(samples::wide(way.sampled()), "head"),
                samples::capital(&means(
                    view,
                    &format!("the lot it is of, up to {}", count(way.most_condemned(), "head"))
                )),
            );
            vec![Effect::Push(asked(question, way.lots.clone()))]
        })
    }

    fn one(&self, view: &View<'_>) -> Vec<Effect> {
        let Some(way) = self.here() else { return Vec::new() };
        let keys = ('1'..='9').chain(std::iter::repeat(' '));
        let choices = way.lots.iter().zip(keys).map(|(lot, key)| Choice {
            key,
            name: lot.id.to_string(),
            hint: format!("{}, sample of {}", count(lot.heads.len(), "head"), lot.asked.heads),
        });
        let choices = choices.collect();
        let lots = way.lots.clone();
        gated(view, move |_| {
            let lots = lots.clone();
            let then = move |at: usize, view: &View<'_>| {
                let Some(lot) = lots.get(at) else { return Vec::new() };
                let question = format!(
                    "Form the lot {} of {}? Its sample takes {}. {}.",
                    lot.id,
                    count(lot.heads.len(), "head"),
                    count(samples::wide(lot.asked.heads), "head"),
                    samples::capital(&means(view, &format!("all {}", lot.heads.len()))),
                );
                vec![Effect::Push(asked(question, vec![lot.clone()]))]
            };
            vec![Effect::Push(Choose::new("proposed lots", "Which lot?", Vec::clone(&choices), Box::new(then)))]
        })
    }
}

/// What one failure means under the adopted set.
fn means(view: &View<'_>, whom: &str) -> String {
    state(view).map_or_else(String::new, |s| s.one_failure(whom))
}

/// Asks, then records the lots and goes back.
fn asked(question: String, lots: Vec<Proposal>) -> Box<dyn Screen> {
    let then = move |(), view: &View<'_>| {
        let Some(state) = state(view) else { return Vec::new() };
        let drafts = lots.iter().map(|l| Draft::from(What::Lot(Box::new(lot_entry(state, l))))).collect();
        let told = format!("{} formed. What comes next with each: l, the lots", count(lots.len(), "lot"));
        vec![Effect::Record(drafts), Effect::Pop, Effect::Tell(told)]
    };
    Confirm::new("Form the lots?", question, Box::new(then))
}

impl Screen for Ways {
    fn name(&self) -> &'static str {
        "ways to draw lots"
    }

    fn keys(&self, view: &View<'_>) -> Vec<KeyLine> {
        let open = super::walk_act::closed(view).is_none() && !self.ways.is_empty();
        let own = lines(KEYS, |a| a == Action::Back || open);
        let mut moves = key_lines(self.ways.len() > 1);
        if let Some(page) = moves.iter_mut().find(|l| l.keys == "PgUp/PgDn") {
            page.help = "the lots of the chosen way, a page up or down".to_owned();
            page.works = self.scroll.is_longer();
        }
        own.into_iter().chain(moves).collect()
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        match find(KEYS, *key) {
            Some(Action::Back) => return vec![Effect::Pop],
            Some(Action::Form) => return self.form(view),
            Some(Action::One) => return self.one(view),
            None => {}
        }
        match find(MOVES, *key) {
            Some(by @ (Move::PageUp | Move::PageDown)) => self.scroll.step(by),
            Some(by) => {
                self.cursor.step(by, self.ways.len());
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
        let title = format!("Lots of what is due within {}", self.within);
        let mut rest = parts::framed(&title, view, area, buf);
        let Some(way) = self.here() else {
            let words = "No sample is due within that span, or all that is due stands in a lot already. The due list looks \
                         further ahead.";
            parts::say(words, view, rest, buf);
            return None;
        };
        let (wide, most) = if state.one_condemns() {
            (
                "A wide lot is cheap to test until one head fails: then all that it stands for are to be replaced"
                    .to_owned(),
                "condemned",
            )
        } else {
            (samples::capital(&state.one_failure("")), "at stake")
        };
        let words = format!(
            "{wide}. Missed: the chance that a sample meets none of five bad heads in a hundred, in the lot where that is likeliest."
        );
        for line in text::wrap(&words, usize::from(rest.width.saturating_sub(2))) {
            if rest.height > 10 {
                put(buf, Rect { height: 1, ..rest }, 1, &line, view.theme.dim, view);
                rest = Rect { y: rest.y + 1, height: rest.height - 1, ..rest };
            }
        }
        let wide = self
            .ways
            .iter()
            .map(|w| text::width(&w.words()))
            .max()
            .unwrap_or(0)
            .min(usize::from(rest.width).saturating_sub(45));
        put(
            buf,
            Rect { height: rest.height.min(1), ..rest },
            3,
            &row("way", wide, ["lots", "heads", "sample", most, "missed"], view),
            view.theme.dim,
            view,
        );
        rest = Rect { y: rest.y + rest.height.min(1), height: rest.height.saturating_sub(1), ..rest };
        for (n, it) in self.ways.iter().enumerate() {
            let Some(y) = u16::try_from(n).ok().filter(|n| *n < rest.height) else { break };
            let line = Rect { y: rest.y + y, height: 1, ..rest };
            let [lots, heads, sample] = [it.lots.len(), it.heads(), samples::wide(it.sampled())].map(|n| n.to_string());
            let most = format!("up to {}", it.most_condemned());
            let cells = [lots.as_str(), &heads, &sample, &most, &missed(it)];
            put(buf, line, 3, &row(&it.words(), wide, cells, view), view.theme.text, view);
            if n == self.cursor.at {
                put(buf, line, 1, view.glyphs.point_right, view.theme.accent, view);
                parts::select(line, view, buf);
            }
        }
        let used = u16::try_from(self.ways.len()).unwrap_or(u16::MAX).min(rest.height);
        let below = Rect { y: rest.y + used, height: rest.height - used, ..rest };
        if below.height > 1 {
            let rule = Rect { height: 1, ..below };
            put(
                buf,
                rule,
                1,
                &view.glyphs.rule.repeat(usize::from(rule.width.saturating_sub(2))),
                view.theme.border,
                view,
            );
            let below = Rect { y: below.y + 1, height: below.height - 1, ..below };
            lots_of(state, way, view, below.width).draw(view, below, buf, &self.scroll, None);
        }
        None
    }
}

fn row(way: &str, wide: usize, [lots, heads, sample, most, missed]: [&str; 5], view: &View<'_>) -> String {
    let way = text::pad(way, wide, view.glyphs.ellipsis);
    format!("{way} {lots:>5} {heads:>6} {sample:>7} {most:>10} {missed:>7}")
}

/// The chance that a sample misses five bad heads in a hundred, in the lot where that is likeliest.
fn missed(way: &Way) -> String {
    let chances = way.lots.iter().filter_map(|l| samples::missed(l.heads.len(), l.asked.heads));
    chances.reduce(f64::max).map_or_else(|| "-".to_owned(), |p| format!("{:.0} %", p * 100.0))
}

/// The lots of a way, one below the other.
fn lots_of(state: &State, way: &Way, view: &View<'_>, width: u16) -> Sheet {
    let mut sheet = Sheet::new(width);
    for lot in &way.lots {
        let due = lot.due.map_or_else(|| "no date known, so due".to_owned(), |d| format!("due {d}"));
        let words = format!("{}, sample of {}, {due}", count(lot.heads.len(), "head"), lot.asked.heads);
        sheet.item(0, vec![(format!("{}  ", lot.id), view.theme.accent)], &words, view.theme.text);
        let kinds: Vec<&str> =
            lot.kinds.iter().filter_map(|k| state.register().kind(*k)).map(|k| k.id.as_str()).collect();
        sheet.text(2, &format!("{}: {}", lot.name, kinds.join(", ")), view.theme.dim);
        if lot.all {
            let words = "its sample would take every head: replace them rather than test them";
            sheet.item(2, vec![(format!("{} ", view.glyphs.warn), view.theme.warning)], words, view.theme.warning);
        }
    }
    sheet
}
