//! The cabinets of spare heads: what the rule set asks for and what lies there, what is wrong with them, every movement. One
//! looks at all of them together or at one, page by page. What is worked out is kept until something is recorded.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::cabinet_count::Count;
use super::cabinet_forms as forms;
use super::cabinet_stock::Stock;
use super::moves::{Cursor, MOVES, Scroll, key_lines};
use super::parts::{self, state};
use super::{cabinet_ledger, cabinet_pages, cabinet_trends, head_entries};
use crate::round::entry::Way;
use crate::trade::address::AreaId;
use crate::tui::ask::{Choice, Choose};
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::screen::{Effect, Input, Message, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Count,
    PutIn,
    TakeOut,
    Discard,
    Look,
    Post,
    NewCabinet,
    TakeBack,
    NextPage,
    PageBefore,
    Before,
    After,
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
        &[Key::Char('c')],
        Action::Count,
        "count",
        "count a cabinet, kind by kind, without seeing the ledger's numbers",
        0,
    ),
    row(
        &[Key::Tab],
        Action::NextPage,
        "next page",
        "spares, ratings, readings of the rule set, findings, ledger, trends",
        1,
    ),
    row(&[Key::BackTab], Action::PageBefore, "page before", "the page before", 9),
    row(&[Key::Right], Action::After, "other cabinet", "the next cabinet; behind the last all of them together", 2),
    row(&[Key::Left], Action::Before, "cabinet before", "the cabinet before; before the first all of them together", 9),
    row(&[Key::Char('i')], Action::PutIn, "put in", "record spares put into a cabinet", 3),
    row(
        &[Key::Char('o')],
        Action::TakeOut,
        "take out",
        "record spares taken out; a head's replacement is recorded at the head",
        4,
    ),
    row(
        &[Key::Char('x')],
        Action::Discard,
        "discard",
        "record spares thrown away: painted, dented, without a cap, too old",
        5,
    ),
    row(
        &[Key::Char('l')],
        Action::Look,
        "look",
        "record what is seen of a cabinet itself: wrenches, list, warmth, dryness, place",
        3,
    ),
    row(
        &[Key::Char('p')],
        Action::Post,
        "post a list",
        "record that a list of what is kept was posted in a cabinet",
        6,
    ),
    row(&[Key::Char('n')], Action::NewCabinet, "new cabinet", "add a cabinet that the register does not hold", 7),
    row(&[Key::Enter], Action::TakeBack, "take back", "on the ledger's page: take the chosen entry back", 7),
    row(&[Key::Char('u')], Action::Undo, "undo", "take back your last entry", 8),
    row(&[Key::Char('y')], Action::Redo, "redo", "bring back what you took back last", 9),
    row(&[Key::Esc, Key::Char('q')], Action::Back, "back", "back to where one was", 6),
];

/// A page of the screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Page {
    /// What is asked for and held, type by type; of one cabinet kind by kind.
    Spares,
    /// The same by rating and response.
    Ratings,
    /// What each reading of the rule set asks for.
    Readings,
    /// What is wrong, open or good to know.
    Findings,
    /// Every entry about cabinets.
    Ledger,
    /// What the ledgers say over the years.
    Trends,
}

impl Page {
    const ALL: [Self; 6] = [Self::Spares, Self::Ratings, Self::Readings, Self::Findings, Self::Ledger, Self::Trends];

    const fn name(self) -> &'static str {
        match self {
            Self::Spares => "Spares",
            Self::Ratings => "Ratings",
            Self::Readings => "Readings",
            Self::Findings => "Findings",
            Self::Ledger => "Ledger",
            Self::Trends => "Trends",
        }
    }

    fn turned(self, by: usize) -> Self {
        let at = Self::ALL.iter().position(|p| *p == self).unwrap_or(0);
        Self::ALL.get((at + by) % Self::ALL.len()).copied().unwrap_or(self)
    }
}

/// The cabinets' screen.
pub struct Cabinets {
    /// Which cabinet; none: all of them together.
    at: Option<usize>,
    page: Page,
    cursor: Cursor,
    scroll: Scroll,
    stock: Option<Stock>,
}

impl Cabinets {
    /// All cabinets together.
    #[must_use]
    pub fn boxed(view: &View<'_>) -> Box<dyn Screen> {
        let mut it =
            Self { at: None, page: Page::Spares, cursor: Cursor::default(), scroll: Scroll::default(), stock: None };
        it.refresh(view);
        Box::new(it)
    }

    /// Works everything out again where something was recorded since.
    fn refresh(&mut self, view: &View<'_>) {
        let Some(state) = state(view) else { return };
        if self.stock.as_ref().is_none_or(|s| s.is_behind(state, view.today)) {
            self.stock = Some(Stock::of(state, view.today));
        }
        self.at = self.at.filter(|at| *at < state.register().cabinets.len());
        self.cursor.keep_within(self.picks());
    }

    /// How many rows of the page can be chosen.
    fn picks(&self) -> usize {
        let Some(stock) = &self.stock else { return 0 };
        match self.page {
            Page::Spares => self.at.map_or(stock.required.rows.len(), |at| stock.kinds(at).len()),
            Page::Ledger => stock.about(self.at).count(),
            _ => 0,
        }
    }

    fn turn(&mut self, by: usize) {
        self.page = self.page.turned(by);
        self.cursor = Cursor::default();
        self.scroll = Scroll::default();
    }

    fn go_to(&mut self, forward: bool, all: usize) {
        // One beyond the last is all of them together.
        let here = self.at.unwrap_or(all);
        let next = if forward { here + 1 } else { here + all } % (all + 1);
        self.at = Some(next).filter(|at| *at < all);
        self.cursor = Cursor::default();
        self.scroll = Scroll::default();
    }

    fn act(&mut self, action: Action, view: &View<'_>) -> Vec<Effect> {
        let Some(state) = state(view) else { return Vec::new() };
        let all = state.register().cabinets.len();
        match action {
            Action::Back => return vec![Effect::Pop],
            Action::NextPage => self.turn(1),
            Action::PageBefore => self.turn(Page::ALL.len() - 1),
            Action::After if all > 0 => self.go_to(true, all),
            Action::Before if all > 0 => self.go_to(false, all),
            Action::After | Action::Before => return vec![Effect::Warn(NONE.to_owned())],
            Action::Count => return self.with_cabinet(view, |view, id| vec![Effect::Push(Count::boxed(view, id))]),
            Action::Look => return self.with_cabinet(view, forms::look),
            Action::Post => return self.with_cabinet(view, forms::post),
            Action::PutIn => return self.with_cabinet(view, |view, id| forms::moved(view, id, Way::PutIn)),
            Action::TakeOut => return self.with_cabinet(view, |view, id| forms::moved(view, id, Way::TakenOut)),
            Action::Discard => return self.with_cabinet(view, |view, id| forms::moved(view, id, Way::Discarded)),
            Action::NewCabinet => return forms::gated(view, |_| vec![Effect::Push(forms::new_cabinet())]),
            Action::TakeBack if self.page == Page::Ledger => {
                let entry = self.stock.as_ref().and_then(|s| s.about(self.at).nth(self.cursor.at));
                return entry.map(|ix| head_entries::take_back(ix, view)).unwrap_or_default();
            }
            Action::TakeBack => return Vec::new(),
            Action::Undo => return forms::gated(view, |_| vec![Effect::Undo]),
            Action::Redo => return forms::gated(view, |_| vec![Effect::Redo]),
        }
        Vec::new()
    }

    /// Does something with the cabinet one looks at, or with the only one, or asks which.
    fn with_cabinet(&self, view: &View<'_>, go: fn(&View<'_>, &AreaId) -> Vec<Effect>) -> Vec<Effect> {
        let Some(state) = state(view) else { return Vec::new() };
        let list = &state.register().cabinets;
        let chosen = match (self.at, list.as_slice()) {
            (Some(at), _) => list.get(at),
            (None, [only]) => Some(only),
            (None, []) => return vec![Effect::Warn(NONE.to_owned())],
            (None, _) => None,
        };
        if let Some(id) = chosen.map(|c| c.id.clone()) {
            return forms::gated(view, move |view| go(view, &id));
        }
        forms::gated(view, move |view| vec![Effect::Push(which(view, go))])
    }
}

/// What is said where there is no cabinet.
const NONE: &str = "No cabinet is in the register yet: n adds the one that was found";

fn which(view: &View<'_>, go: fn(&View<'_>, &AreaId) -> Vec<Effect>) -> Box<dyn Screen> {
    let cabinets = state(view).map(|s| s.register().cabinets.as_slice()).unwrap_or_default();
    let choices = cabinets
        .iter()
        .zip(('1'..='9').chain(std::iter::repeat(' ')))
        .map(|(c, key)| Choice {
            key,
            name: text::plain(&c.name),
            hint: text::plain(c.place.as_deref().unwrap_or_default()),
        })
        .collect();
    let ids: Vec<AreaId> = cabinets.iter().map(|c| c.id.clone()).collect();
    let then = move |at: usize, view: &View<'_>| ids.get(at).map(|id| go(view, id)).unwrap_or_default();
    Choose::new("cabinets", "Which cabinet?", choices, Box::new(then))
}

impl Screen for Cabinets {
    fn name(&self) -> &'static str {
        "cabinet"
    }

    fn keys(&self, view: &View<'_>) -> Vec<KeyLine> {
        let any = state(view).is_some_and(|s| !s.register().cabinets.is_empty());
        let open = super::walk_act::closed(view).is_none();
        let mut own = lines(KEYS, |a| match a {
            Action::NextPage | Action::PageBefore | Action::Back => true,
            Action::Before | Action::After => any,
            Action::NewCabinet | Action::Undo | Action::Redo => open,
            Action::TakeBack => open && self.page == Page::Ledger && self.picks() > 0,
            _ => any && open,
        });
        for line in &mut own {
            // Taking back stands in the footer only where it can be done; adding a cabinet first where there is none.
            if line.keys == "Enter" && self.page != Page::Ledger {
                line.rank = 9;
            }
            if line.keys == "n" && !any {
                line.rank = 0;
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
                Page::Spares | Page::Ledger => self.cursor.step(by, self.picks()),
                _ => self.scroll.step(by),
            }
        }
        Vec::new()
    }

    fn hear(&mut self, _: &Message, view: &View<'_>) {
        self.refresh(view);
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let (state, stock) = (state(view)?, self.stock.as_ref()?);
        let page = self.draw_top(view, area, buf);
        match self.page {
            Page::Spares | Page::Ledger => {
                let (list, below) = parts::split(page, if page.height > 24 { 7 } else { 5 });
                let (all, room) = (self.picks(), usize::from(list.height));
                let shown = self.cursor.window(all, room);
                let (sheet, detail, first) = if self.page == Page::Spares {
                    let list = cabinet_pages::spares(state, stock, self.at, view, page.width);
                    (list, cabinet_pages::spare(state, stock, self.at, self.cursor.at, view, page.width), 0)
                } else {
                    let first = shown.start;
                    let list = cabinet_ledger::list(state, stock, self.at, shown, view, page.width);
                    (list, cabinet_ledger::one(state, stock, self.at, self.cursor.at, view, page.width), first)
                };
                let at = self.cursor.at.checked_sub(first).filter(|_| sheet.picks() > 0);
                sheet.draw(view, list, buf, &self.scroll, at);
                if below.height > 0 && sheet.picks() > 0 {
                    let rule = Rect { y: below.y - 1, height: 1, ..below };
                    let wide = usize::from(rule.width.saturating_sub(2));
                    put(buf, rule, 1, &view.glyphs.rule.repeat(wide), view.theme.border, view);
                    detail.draw(view, below, buf, &Scroll::default(), None);
                }
            }
            Page::Ratings | Page::Readings | Page::Findings | Page::Trends => {
                let width = page.width;
                let sheet = match self.page {
                    Page::Ratings => cabinet_pages::ratings(state, stock, view, width),
                    Page::Readings => cabinet_pages::readings(state, stock, view, width),
                    Page::Trends => cabinet_trends::trends(state, stock, self.at, view, width),
                    _ => cabinet_pages::findings(state, stock, self.at, view, width),
                };
                sheet.draw(view, page, buf, &self.scroll, None);
            }
        }
        None
    }
}

impl Cabinets {
    /// Which cabinet, and the pages there are; the area below comes back.
    fn draw_top(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Rect {
        let cabinets = state(view).map(|s| s.register().cabinets.as_slice()).unwrap_or_default();
        let row = Rect { height: area.height.min(1), ..area };
        let (name, more) = match self.at.and_then(|at| cabinets.get(at)) {
            Some(c) => {
                let serves: Vec<&str> = c.serves.iter().map(AreaId::as_str).collect();
                let serves = if serves.is_empty() { "all areas".to_owned() } else { serves.join(", ") };
                let place = c.place.as_deref().map_or(String::new(), |p| format!("{p}; "));
                (c.name.clone(), format!("{place}serves {serves}"))
            }
            None => match cabinets.len() {
                0 => ("Spare heads".to_owned(), "no cabinet in the register".to_owned()),
                1 => ("Spare heads".to_owned(), "one cabinet".to_owned()),
                n => ("Spare heads".to_owned(), format!("{n} cabinets together")),
            },
        };
        let at = put(buf, row, 1, &text::plain(&name), view.theme.title, view);
        put(buf, row, at + 2, &text::plain(&more), view.theme.dim, view);
        let tabs = Rect { y: area.y + row.height, height: area.height.saturating_sub(1).min(1), ..area };
        let mut column = 1;
        for page in Page::ALL {
            let here = page == self.page;
            let (words, style) = if here {
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
