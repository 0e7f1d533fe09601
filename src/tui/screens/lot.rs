//! One lot, page by page: its sample head by head, the operating times against the limits, the heads it stands for, and its
//! story. From here heads are drawn, taken down, handed on and tested.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::bench::BenchScreen;
use super::cabinet_forms::gated;
use super::cabinet_replace::Replacement;
use super::draw::DrawScreen;
use super::draw_hand::ByHand;
use super::head_entries;
use super::lot_pages;
use super::lots_forms;
use super::lots_worked::{Worked, standing};
use super::moves::{Cursor, MOVES, Scroll, key_lines};
use super::parts::{self, count, state};
use crate::round::lots::{Lot, Sample};
use crate::round::state::EntryIx;
use crate::trade::address::AreaId;
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::samples::{self, decided};
use crate::tui::screen::{Effect, Input, Message, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Bench,
    ToBench,
    Draw,
    ByHand,
    Taken,
    Custody,
    Concluded,
    NextPage,
    PageBefore,
    Undo,
    Redo,
    Back,
}

const fn row(
    keys: &'static [Key],
    action: Action,
    name: &'static str,
    help: &'static str,
    rank: u8,
) -> Binding<Action> {
    Binding { keys, action, name, help, rank }
}

const KEYS: &[Binding<Action>] = &[
    row(
        &[Key::Enter],
        Action::Bench,
        "bench",
        "the chosen head at the bench: conditions, stopwatch, verdict; on the story's page: take the chosen entry back",
        0,
    ),
    row(&[Key::Char('b')], Action::ToBench, "bench", "the chosen head of the sample at the bench, as Enter does", 9),
    row(
        &[Key::Char('d')],
        Action::Draw,
        "draw",
        "draw heads by chance: how many may be drawn, which may not and why, the seed",
        1,
    ),
    row(&[Key::Char('h')], Action::ByHand, "by hand", "choose heads by hand, with the reason for it", 5),
    row(
        &[Key::Char('r')],
        Action::Taken,
        "taken down",
        "the chosen head was taken down: record which spare took its place",
        2,
    ),
    row(
        &[Key::Char('c')],
        Action::Custody,
        "custody",
        "record that the sample was packed, handed over, received or scrapped",
        3,
    ),
    row(
        &[Key::Char('x')],
        Action::Concluded,
        "lab result",
        "record a laboratory's result for the whole lot, or one of earlier years",
        6,
    ),
    row(&[Key::Tab], Action::NextPage, "next page", "sample, times, heads, story", 4),
    row(&[Key::BackTab], Action::PageBefore, "page before", "the page before", 9),
    row(&[Key::Char('u')], Action::Undo, "undo", "take back your last entry; a draw is only made again so", 7),
    row(&[Key::Char('y')], Action::Redo, "redo", "bring back what you took back last", 9),
    row(&[Key::Esc, Key::Char('q')], Action::Back, "back", "back to the lots", 5),
];

/// A page of the screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Page {
    Sample,
    Times,
    Heads,
    Story,
}

impl Page {
    const ALL: [Self; 4] = [Self::Sample, Self::Times, Self::Heads, Self::Story];

    const fn name(self) -> &'static str {
        match self {
            Self::Sample => "Sample",
            Self::Times => "Times",
            Self::Heads => "Heads",
            Self::Story => "Story",
        }
    }

    fn turned(self, by: usize) -> Self {
        let at = Self::ALL.iter().position(|p| *p == self).unwrap_or(0);
        Self::ALL.get((at + by) % Self::ALL.len()).copied().unwrap_or(self)
    }
}

/// One lot.
pub struct LotScreen {
    id: AreaId,
    page: Page,
    worked: Worked,
    cursor: Cursor,
    scroll: Scroll,
}

impl LotScreen {
    /// The lot of that name, on its sample.
    #[must_use]
    pub fn boxed(view: &View<'_>, id: AreaId) -> Box<dyn Screen> {
        let mut it = Self {
            id,
            page: Page::Sample,
            worked: Worked::default(),
            cursor: Cursor::default(),
            scroll: Scroll::default(),
        };
        it.refresh(view);
        it.cursor.at = it.lot().and_then(|l| l.samples.iter().position(|s| s.test.is_none())).unwrap_or(0);
        Box::new(it)
    }

    fn refresh(&mut self, view: &View<'_>) {
        let Some(state) = state(view) else { return };
        self.worked.refresh(state, view.today);
        self.cursor.keep_within(self.picks());
    }

    fn lot(&self) -> Option<&Lot> {
        self.worked.named(&self.id)
    }

    fn sample(&self) -> Option<&Sample> {
        self.lot().filter(|_| self.page == Page::Sample)?.samples.get(self.cursor.at)
    }

    /// The entries about the lot, newest first.
    fn entries(&self) -> Vec<EntryIx> {
        self.lot().map(lot_pages::entries).unwrap_or_default()
    }

    fn picks(&self) -> usize {
        match self.page {
            Page::Sample => self.lot().map_or(0, |l| l.samples.len()),
            Page::Story => self.entries().len(),
            Page::Times | Page::Heads => 0,
        }
    }

    fn turn(&mut self, by: usize) {
        self.page = self.page.turned(by);
        self.cursor = Cursor::default();
        self.scroll = Scroll::default();
    }

    fn act(&mut self, action: Action, view: &View<'_>) -> Vec<Effect> {
        let id = self.id.clone();
        match action {
            Action::Back => vec![Effect::Pop],
            Action::NextPage => {
                self.turn(1);
                Vec::new()
            }
            Action::PageBefore => {
                self.turn(Page::ALL.len() - 1);
                Vec::new()
            }
            Action::Bench if self.page == Page::Story => {
                self.entries().get(self.cursor.at).map(|ix| head_entries::take_back(*ix, view)).unwrap_or_default()
            }
            Action::Draw | Action::ByHand | Action::Taken if self.lot().is_some_and(|l| decided(l).is_some()) => {
                self.lot().and_then(decided).map(Effect::Warn).into_iter().collect()
            }
            Action::Bench | Action::ToBench => match self.sample().map(|s| s.head) {
                Some(head) => gated(view, move |view| vec![Effect::Push(BenchScreen::boxed(view, &id, head))]),
                None if self.page == Page::Sample && self.lot().is_some_and(|l| decided(l).is_some()) => {
                    vec![Effect::Warn("No head of this lot was drawn, so there is none for the bench".to_owned())]
                }
                None if self.page == Page::Sample => {
                    vec![Effect::Warn("Nothing is drawn yet: d draws by chance, h by hand".to_owned())]
                }
                None => vec![Effect::Warn("On the page of the sample a head is chosen for the bench: Tab".to_owned())],
            },
            Action::Draw => gated(view, move |view| vec![Effect::Push(DrawScreen::boxed(view, &id)), Effect::Chance]),
            Action::ByHand => gated(view, move |view| vec![Effect::Push(ByHand::boxed(view, &id))]),
            Action::Taken => match self.sample() {
                Some(sample) if sample.taken.is_some() => {
                    vec![Effect::Warn("It is recorded as taken down already: u takes your last entry back".to_owned())]
                }
                Some(sample) => vec![Effect::Push(Replacement::boxed(view, sample.head))],
                None => vec![Effect::Warn("Choose a head of the sample first".to_owned())],
            },
            Action::Custody => gated(view, move |view| lots_forms::custody(view, &id)),
            Action::Concluded => gated(view, move |view| lots_forms::concluded(view, &id)),
            Action::Undo => gated(view, |_| vec![Effect::Undo]),
            Action::Redo => gated(view, |_| vec![Effect::Redo]),
        }
    }
}

impl Screen for LotScreen {
    fn name(&self) -> &'static str {
        "lot"
    }

    fn keys(&self, view: &View<'_>) -> Vec<KeyLine> {
        let open = super::walk_act::closed(view).is_none() && self.lot().is_some();
        let drawn = self.lot().is_some_and(|l| !l.samples.is_empty());
        let undecided = self.lot().is_some_and(|l| decided(l).is_none());
        let mut own = lines(KEYS, |a| match a {
            Action::Back | Action::NextPage | Action::PageBefore => true,
            Action::Bench => open && self.picks() > 0,
            Action::ToBench => open && self.sample().is_some(),
            Action::Draw | Action::ByHand => open && undecided,
            Action::Taken => open && undecided && self.sample().is_some_and(|s| s.taken.is_none()),
            Action::Custody => open && drawn,
            _ => open,
        });
        for line in &mut own {
            if line.keys == "Enter" && self.page == Page::Story {
                line.name = "take back".to_owned();
            }
        }
        own.into_iter().chain(key_lines(true)).collect()
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        if let Some(action) = find(KEYS, *key) {
            return self.act(action, view);
        }
        if let Some(by) = find(MOVES, *key) {
            match self.page {
                Page::Sample | Page::Story => self.cursor.step(by, self.picks()),
                Page::Times | Page::Heads => self.scroll.step(by),
            }
        }
        Vec::new()
    }

    fn hear(&mut self, _: &Message, view: &View<'_>) {
        self.refresh(view);
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let state = state(view)?;
        let Some(lot) = self.lot() else {
            parts::say("The lot is there no longer: what formed it was taken back.", view, area, buf);
            return None;
        };
        let page = self.draw_top(lot, view, area, buf);
        let overdue = self.worked.overdue(&self.id);
        match self.page {
            Page::Sample => {
                let rows = match page.height {
                    0..=15 => 4,
                    16..=24 => 6,
                    _ => 10,
                };
                let (list, below) = parts::split(page, rows);
                let sheet = lot_pages::sample(state, lot, overdue, view, page.width, page.height > 15);
                let at = Some(self.cursor.at).filter(|_| sheet.picks() > 0);
                self.cursor.window(lot.samples.len(), usize::from(list.height));
                if at.is_none() {
                    sheet.draw(view, page, buf, &self.scroll, None);
                    return None;
                }
                sheet.draw(view, list, buf, &self.scroll, at);
                if below.height > 0
                    && let Some(sample) = lot.samples.get(self.cursor.at)
                {
                    line_above(view, below, buf);
                    let one = lot_pages::one(state, sample, view, below.width);
                    one.draw(view, below, buf, &Scroll::default(), None);
                }
            }
            Page::Times => lot_pages::times(state, lot, view, page, buf),
            Page::Heads => lot_pages::heads(state, lot, view, page.width).draw(view, page, buf, &self.scroll, None),
            Page::Story => {
                let (list, below) = parts::split(page, 5);
                let entries = self.entries();
                let shown = self.cursor.window(entries.len(), usize::from(list.height));
                let first = shown.start;
                let sheet = lot_pages::story(state, &entries, shown, view, page.width);
                sheet.draw(view, list, buf, &Scroll::default(), self.cursor.at.checked_sub(first));
                if below.height > 0
                    && let Some(ix) = entries.get(self.cursor.at)
                {
                    line_above(view, below, buf);
                    let one = lot_pages::entry(state, *ix, view, below.width);
                    one.draw(view, below, buf, &Scroll::default(), None);
                }
            }
        }
        None
    }
}

fn line_above(view: &View<'_>, below: Rect, buf: &mut Buffer) {
    let rule = Rect { y: below.y - 1, height: 1, ..below };
    put(buf, rule, 1, &view.glyphs.rule.repeat(usize::from(rule.width.saturating_sub(2))), view.theme.border, view);
}

impl LotScreen {
    /// The lot, its stage, and the pages there are; the area below comes back.
    fn draw_top(&self, lot: &Lot, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Rect {
        let row = Rect { height: area.height.min(1), ..area };
        let overdue = self.worked.overdue(&self.id);
        let (sign, style) = standing(lot, overdue, view);
        let column = put(buf, row, 1, lot.id.as_str(), view.theme.title, view);
        let words = format!("{sign} {}", samples::standing(lot, overdue));
        let column = put(buf, row, column + 2, &words, style, view);
        let words = format!("{}, sample of {}", count(lot.heads.len(), "head"), lot.outcome.asked.heads);
        let column = put(buf, row, column + 2, &words, view.theme.text, view);
        put(buf, row, column + 2, &text::plain(&lot.name), view.theme.dim, view);
        let tabs = Rect { y: area.y + row.height, height: area.height.saturating_sub(1).min(1), ..area };
        let mut column = 1;
        for page in Page::ALL {
            let (words, style) = if page == self.page {
                (format!("{}{}{}", view.glyphs.point_right, page.name(), view.glyphs.point_left), view.theme.accent)
            } else {
                (format!(" {} ", page.name()), view.theme.dim)
            };
            column = put(buf, tabs, column, &words, style, view) + 1;
        }
        let used = (row.height + tabs.height + u16::from(area.height >= 12)).min(area.height);
        Rect { y: area.y + used, height: area.height - used, ..area }
    }
}
