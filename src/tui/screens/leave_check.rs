//! What is unanswered in an area, shown before it is left. Enter goes to the first of it; the key that leaves the area,
//! struck again, leaves it anyway.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::walk_words::heads_words;
use crate::round::act;
use crate::round::layout::HeadIx;
use crate::round::state::{State, Status};
use crate::tui::ask::boxed;
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::screen::{Effect, Input, Message, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy)]
enum Answer {
    First,
    Leave,
}

const KEYS: &[Binding<Answer>] = &[
    Binding {
        keys: &[Key::Enter],
        action: Answer::First,
        name: "to the first",
        help: "stay, and go to the first of them",
        rank: 0,
    },
    Binding {
        keys: &[Key::Esc, Key::Char('q')],
        action: Answer::Leave,
        name: "leave anyway",
        help: "leave the area; what is unanswered stays so",
        rank: 1,
    },
];

/// The list.
pub struct LeaveCheck {
    area: String,
    head: HeadIx,
    first: Option<HeadIx>,
    groups: Vec<(String, String)>,
}

/// The most heads that are spelt out; the count is always whole.
const SPELT: usize = 400;

impl LeaveCheck {
    /// What is unanswered in an area; `head` is where one stands.
    #[must_use]
    pub fn new(state: &State, area: u16, head: HeadIx) -> Box<Self> {
        let open = act::unanswered(state, area);
        let (unseen, carried): (Vec<HeadIx>, Vec<HeadIx>) =
            open.iter().partition(|h| state.status(**h) == Status::Unseen && !state.has_open_carried(**h));
        let spelt = |heads: &[HeadIx]| {
            let some = heads.get(..heads.len().min(SPELT)).unwrap_or_default();
            // The area goes without saying here.
            let short = |heads: &crate::trade::address::Heads| {
                let whole = heads.to_string();
                whole.split_once('/').map_or(whole.clone(), |(_, spots)| spots.to_owned())
            };
            act::ranges(state, some).iter().map(short).collect::<Vec<_>>().join(", ")
        };
        let groups = [(unseen, "without an entry"), (carried, "with an earlier finding to answer")]
            .into_iter()
            .filter(|(heads, _)| !heads.is_empty())
            .map(|(heads, what)| (format!("{} {what}", heads_words(heads.len())), spelt(&heads)))
            .collect();
        let area = state.register().areas.get(usize::from(area)).map_or(String::new(), |a| text::plain(&a.name));
        Box::new(Self { area, head, first: open.first().copied(), groups })
    }
}

impl Screen for LeaveCheck {
    fn name(&self) -> &'static str {
        "unanswered"
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        lines(KEYS, |_| true)
    }

    fn update(&mut self, input: &Input, _: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        match (find(KEYS, *key), self.first) {
            (Some(Answer::First), Some(first)) => vec![Effect::Pop, Effect::Say(Message::Goto(first))],
            (Some(Answer::First), None) => vec![Effect::Pop],
            (Some(Answer::Leave), _) => vec![Effect::Remember(self.head), Effect::Pop, Effect::Pop],
            (None, _) => Vec::new(),
        }
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let width = area.width.saturating_sub(4).min(62);
        let columns = usize::from(width).saturating_sub(2);
        // Every group keeps its heading; the addresses share the rows that are left.
        let room = usize::from(area.height).saturating_sub(4 + self.groups.len() * 2) / self.groups.len().max(1);
        let mut rows = Vec::new();
        for (heading, spelt) in &self.groups {
            rows.push((heading.clone(), view.theme.accent));
            let wrapped = text::wrap(spelt, columns.saturating_sub(2));
            let cut = wrapped.len() > room;
            for (n, line) in wrapped.iter().take(room).enumerate() {
                let more = if cut && n + 1 == room { format!(" {}", view.glyphs.ellipsis) } else { String::new() };
                rows.push((format!("  {line}{more}"), view.theme.text));
            }
        }
        let height = u16::try_from(rows.len() + 2).unwrap_or(u16::MAX);
        let title = format!("{}: not answered yet", self.area);
        let inner = boxed(view, area, buf, &title, width, height);
        let mut places = (inner.y..inner.bottom()).map(|y| Rect { y, height: 1, ..inner });
        for ((words, style), row) in rows.iter().zip(places.by_ref()) {
            put(buf, row, 1, words, *style, view);
        }
        let last = Rect { y: inner.bottom().saturating_sub(1), height: 1.min(inner.height), ..inner };
        let at = put(buf, last, 1, "Enter", view.theme.key, view);
        let at = put(buf, last, at, " to the first   ", view.theme.hint, view);
        let at = put(buf, last, at, "Esc", view.theme.key, view);
        put(buf, last, at, " leave anyway", view.theme.hint, view);
        None
    }

    fn is_overlay(&self) -> bool {
        true
    }
}
