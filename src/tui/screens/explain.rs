//! A ruling explained: every rule that spoke, a page each, with what it looks for, why it matters, what to do and on whose
//! word; what other editions say; and its cases, which are stepped through with the head drawn beside them.

use std::cell::{Cell, OnceCell};
use std::rc::Rc;
use std::sync::Arc;

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::widgets::Widget as _;

use super::explain_pages::{self, About, Page, Spoken};
use super::explain_sheet::{cases, write_page};
use super::moves::{MOVES, Scroll, key_lines};
use super::parts::{self, address, area_name, state};
use super::sheet::Sheet;
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::rules::builtin;
use crate::rules::editions_of::editions_of;
use crate::rules::explain::combination;
use crate::rules::model::{Case, Rule, RuleSet};
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::picture::{self, PictureSpec, Size};
use crate::tui::screen::{Effect, Input, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Back,
    Next,
    Before,
    Rule,
    RuleBefore,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Right],
        action: Action::Next,
        name: "case",
        help: "the rule's next case, drawn; behind the last the head itself",
        rank: 1,
    },
    Binding {
        keys: &[Key::Left],
        action: Action::Before,
        name: "case before",
        help: "the case before, then the head itself, then back to where one was",
        rank: 9,
    },
    Binding {
        keys: &[Key::Tab],
        action: Action::Rule,
        name: "next rule",
        help: "the next rule that spoke, where there are several",
        rank: 2,
    },
    Binding {
        keys: &[Key::BackTab],
        action: Action::RuleBefore,
        name: "rule before",
        help: "the rule before",
        rank: 9,
    },
    Binding {
        keys: &[Key::Esc, Key::Enter, Key::Char('q')],
        action: Action::Back,
        name: "back",
        help: "back to where one was",
        rank: 0,
    },
];

/// The explanation of what was ruled on one head, or of rules that speak together.
pub struct Explain {
    about: About,
    /// The page one reads.
    page: usize,
    /// The case one looks at; none: the head itself.
    case: Option<usize>,
    /// Whether the case must come into sight.
    follow: Cell<bool>,
    scroll: Scroll,
    /// The other editions, looked up when they are first shown.
    editions: OnceCell<Vec<Arc<RuleSet>>>,
}

impl Explain {
    /// The explanation for a head, as its findings stand.
    #[must_use]
    pub fn boxed(head: HeadIx) -> Box<dyn Screen> {
        Self::about(About::Head(head))
    }

    /// The explanation for a head where another set judges the record.
    #[must_use]
    pub fn under(other: Rc<State>, head: HeadIx) -> Box<dyn Screen> {
        Self::about(About::Under(other, head))
    }

    /// The explanation of rules that speak together.
    #[must_use]
    pub fn of_rules(spoken: Spoken) -> Box<dyn Screen> {
        Self::about(About::Rules(Box::new(spoken)))
    }

    fn about(about: About) -> Box<dyn Screen> {
        Box::new(Self {
            about,
            page: 0,
            case: None,
            follow: Cell::new(false),
            scroll: Scroll::default(),
            editions: OnceCell::new(),
        })
    }

    fn set<'a>(&'a self, view: &View<'a>) -> Option<&'a RuleSet> {
        match &self.about {
            About::Rules(spoken) => Some(&spoken.set),
            _ => Some(self.head(view)?.0.judge().set()),
        }
    }

    /// The head and the record that speaks of it; nothing where rules are explained by themselves.
    fn head<'a>(&'a self, view: &View<'a>) -> Option<(&'a State, HeadIx)> {
        match &self.about {
            About::Head(head) => Some((state(view)?, *head)),
            About::Under(other, head) => Some((other, *head)),
            About::Rules(_) => None,
        }
    }

    fn pages(&self, view: &View<'_>) -> Vec<Page> {
        match &self.about {
            About::Rules(spoken) => explain_pages::of_rules(spoken),
            _ => self.head(view).map(|(state, head)| explain_pages::of_head(state, head)).unwrap_or_default(),
        }
    }

    fn editions(&self) -> &[Arc<RuleSet>] {
        // A built-in set that cannot be read is a fault that the tests find; the others are still worth showing.
        self.editions.get_or_init(|| builtin::names().iter().filter_map(|name| builtin::load(name).ok()).collect())
    }

    /// What is drawn where no case is chosen: the head with what the page is about.
    fn own_picture(&self, page: &Page, view: &View<'_>) -> Option<PictureSpec> {
        match &self.about {
            About::Head(_) | About::Under(..) => {
                let (state, head) = self.head(view)?;
                let kind = state.register().kind(state.layout().head(head)?.kind)?;
                let spec = PictureSpec::of(kind);
                Some(match &page.touch {
                    Some(touch) => spec.with(touch.clone()),
                    None => spec,
                })
            }
            About::Rules(spoken) => Some(spoken.picture.clone()),
        }
    }

    fn title(&self, view: &View<'_>) -> String {
        if let About::Rules(spoken) = &self.about {
            return format!("{}  {}", spoken.set.name, spoken.set.edition);
        }
        let Some((state, head)) = self.head(view) else { return String::new() };
        let under = match &self.about {
            About::Under(other, _) => format!("  under {}", other.rules()),
            _ => String::new(),
        };
        let area = state.layout().head(head).map(|h| area_name(state, h.area)).unwrap_or_default();
        format!("{}{under}  {area}", address(state, head))
    }

    fn sheet(&self, page: &Page, set: &RuleSet, view: &View<'_>, width: u16) -> Sheet {
        let mut sheet = Sheet::new(width);
        if let Some((state, head)) = self.head(view)
            && let Some(kind) = state.layout().head(head).and_then(|h| state.register().kind(h.kind))
        {
            let words = format!("{}: {}", kind.id, kind.describe(state.register().site.units));
            sheet.text(0, &words, view.theme.dim);
        }
        let editions = page.rule.and_then(|rule| editions_of(set, rule, self.editions())).unwrap_or_default();
        write_page(&mut sheet, set, page, &editions, view);
        let words = format!(
            "After {}, in words of our own. The adopted edition and the authority having jurisdiction decide.",
            set.edition
        );
        sheet.gap().text(0, &words, view.theme.dim);
        sheet
    }

    fn turn(&mut self, by: isize, pages: usize) {
        if pages > 1 {
            self.page = (self.page.min(pages - 1) + pages).saturating_add_signed(by) % pages;
            self.case = None;
            self.scroll = Scroll::default();
        }
    }

    fn step(&mut self, action: Action, all: usize) -> Vec<Effect> {
        self.case = match (action, self.case) {
            (Action::Next, None) => Some(0).filter(|_| all > 0),
            (Action::Next, Some(at)) => Some(at + 1).filter(|at| *at < all),
            (_, Some(at)) => at.checked_sub(1),
            (_, None) => return vec![Effect::Pop],
        };
        self.follow.set(self.case.is_some());
        if self.case.is_none() {
            self.scroll = Scroll::default();
        }
        Vec::new()
    }
}

/// The rule of a page.
fn rule_of<'a>(page: Option<&Page>, set: Option<&'a RuleSet>) -> Option<&'a Rule> {
    set?.rule_at(page?.rule?)
}

impl Screen for Explain {
    fn name(&self) -> &'static str {
        "explanation"
    }

    fn keys(&self, view: &View<'_>) -> Vec<KeyLine> {
        let pages = self.pages(view);
        let rule = rule_of(pages.get(self.page), self.set(view));
        let own = lines(KEYS, |action| match action {
            Action::Next => rule.is_some_and(|r| !r.cases.is_empty()),
            Action::Rule | Action::RuleBefore => pages.len() > 1,
            Action::Back | Action::Before => true,
        });
        // Where one rule spoke there is no next one to be told of, not even as something for later.
        let several = |line: &KeyLine| pages.len() > 1 || !matches!(line.keys.as_str(), "Tab" | "Shift-Tab");
        own.into_iter().filter(several).chain(key_lines(true)).collect()
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        if let Some(by) = find(MOVES, *key) {
            self.follow.set(false);
            self.scroll.step(by);
            return Vec::new();
        }
        let pages = self.pages(view);
        match find(KEYS, *key) {
            Some(Action::Back) => return vec![Effect::Pop],
            Some(Action::Rule) => self.turn(1, pages.len()),
            Some(Action::RuleBefore) => self.turn(-1, pages.len()),
            Some(action @ (Action::Next | Action::Before)) => {
                let all = rule_of(pages.get(self.page), self.set(view)).map_or(0, |r| r.cases.len());
                return self.step(action, all);
            }
            None => {}
        }
        Vec::new()
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let set = self.set(view)?;
        let pages = self.pages(view);
        let page = pages.get(self.page).or(pages.first())?;
        let rest = parts::framed(&self.title(view), view, area, buf);
        if pages.len() > 1 {
            let words = format!("rule {} of {}", self.page + 1, pages.len());
            let row = Rect { height: area.height.min(1), ..area };
            let column = row.width.saturating_sub(u16::try_from(words.len() + 1).unwrap_or(0));
            put(buf, row, column, &words, view.theme.accent, view);
        }
        let rule = rule_of(Some(page), Some(set));
        let case = self.case.and_then(|at| Some((at, cases(rule?).nth(at)?)));
        let pane = pane(rest);
        let read = Rect { width: rest.width - pane.width, ..rest };
        let at = case.map(|(at, _)| at);
        self.sheet(page, set, view, read.width).draw_from(view, read, buf, &self.scroll, at, self.follow.get());
        let spec = match case {
            Some((_, case)) => PictureSpec::of_case(set, case),
            None => self.own_picture(page, view),
        };
        let all = rule.map_or(0, |r| r.cases.len());
        draw_pane(spec.as_ref(), case.map(|(at, case)| (at, all, case)), set, view, pane, buf);
        None
    }
}

/// The least columns in which an explanation can be read beside a picture.
const NARROW: u16 = 40;

/// The most columns beside the text: the picture and words below it.
const PANE: u16 = 40;

/// Where the picture stands, at the right; empty where there is no room for one.
fn pane(area: Rect) -> Rect {
    let room = Rect { width: area.width.saturating_sub(NARROW), ..area };
    let width = Size::fitting(room).map_or(0, |size| size.cells().0.max(area.width.saturating_sub(99).min(PANE)));
    Rect { x: area.right() - width, width, ..area }
}

/// The picture, and below it the case in words or what the picture shows.
fn draw_pane(
    spec: Option<&PictureSpec>,
    case: Option<(usize, usize, &Case)>,
    set: &RuleSet,
    view: &View<'_>,
    pane: Rect,
    buf: &mut Buffer,
) {
    let Some(size) = Size::fitting(pane) else { return };
    let picture = spec.map(|spec| picture::draw(spec, size, view.theme, view.glyphs));
    let used = if let Some(picture) = &picture {
        picture.render(pane, buf);
        size.cells().1
    } else {
        0
    };
    let below = Rect { y: pane.y + used, height: pane.height - used, ..pane };
    let mut rows: Vec<(String, ratatui::style::Style)> = Vec::new();
    let columns = usize::from(pane.width.saturating_sub(2));
    let mut say = |words: &str, style| rows.extend(text::wrap(words, columns).into_iter().map(|l| (l, style)));
    match case {
        Some((at, all, case)) => {
            let kind = if case.holds { "case" } else { "near miss" };
            say(&format!("{} of {all}, {kind}", at + 1), view.theme.dim);
            let (ruling, style) = parts::ruling(case.ruling, 0, view);
            say(&ruling, style);
            say(&case.see, view.theme.text);
            say(&format!("({})", combination(set, case)), view.theme.dim);
        }
        None => say(picture.as_ref().map_or("", |p| p.description.as_str()), view.theme.dim),
    }
    let room = usize::from(below.height);
    if rows.len() > room
        && let Some((words, _)) = rows.get_mut(room.saturating_sub(1))
    {
        *words = text::broken_off(words, columns, view.glyphs.ellipsis);
    }
    for (y, (words, style)) in (below.y..below.bottom()).zip(rows) {
        put(buf, Rect { y, height: 1, ..below }, 1, &words, style, view);
    }
}
