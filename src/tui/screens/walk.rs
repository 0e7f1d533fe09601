//! The walk: the ceiling plan of an area, the head one stands at, and what is ruled on it. This file holds the cursor and
//! turns keys into actions; what actions record is in `walk_act`, what is drawn in `walk_draw` and its neighbours.

use std::cell::Cell;
use std::rc::Rc;

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::cabinet_replace::Replacement;
use super::explain::Explain;
use super::find::Find;
use super::head_menu::HeadMenu;
use super::jump::Jump;
use super::leave_check::LeaveCheck;
use super::walk_ground::{At, Ground};
use super::walk_keys::{Action, ENTERING, Entering, WALKING, rule_set_lines};
use super::walk_pending::{Pending, Taken};
use super::{walk_act, walk_draw, walk_words};
use crate::round::act;
use crate::round::entry::{How, Id, What};
use crate::round::layout::HeadIx;
use crate::round::state::{State, Status};
use crate::rules::model::Ruling;
use crate::tui::keys::{Key, KeyLine, find, lines};
use crate::tui::screen::{Effect, Input, Message, Screen, View};

/// The walk through one area.
pub struct Walk {
    pub(super) area: u16,
    start: Option<HeadIx>,
    /// Where one stands; none until a key is struck, and then never again.
    at: Option<At>,
    /// The column that Up and Down keep to.
    column: usize,
    pub(super) pending: Option<Pending>,
    pub(super) how: How,
    pub(super) list: bool,
    /// Go on to the next head once the recording has worked.
    pub(super) onward: bool,
    /// Whether it was said that entries after the sign-off are meant.
    pub(super) late: Rc<Cell<bool>>,
}

/// The lines that a page key passes.
const PAGE: usize = 5;

impl Walk {
    /// A walk through an area, from `start`, or else from where one left off in it, or from its first head.
    #[must_use]
    pub fn new(area: u16, start: Option<HeadIx>) -> Box<Self> {
        Box::new(Self {
            area,
            start,
            at: None,
            column: 0,
            pending: None,
            how: How::Eye,
            list: false,
            onward: false,
            late: Rc::new(Cell::new(false)),
        })
    }

    /// The same, from where one left off in the area, or else from its first head without an answer.
    #[must_use]
    pub fn open(view: &View<'_>, area: u16) -> Box<dyn Screen> {
        let first_open = view.desk.and_then(|desk| {
            let state = desk.state();
            let stood = view.places.stood.get(&state.register().site.id);
            let here = stood.is_some_and(|at| state.layout().area(&at.area) == Some(area));
            let open = |h| act::is_unanswered(state, h);
            if here { None } else { act::next_where(state, area, None, open) }
        });
        Self::new(area, first_open)
    }

    /// The ground and where one stands on it; nothing where the area has no head.
    pub(super) fn here<'a>(&self, view: &View<'a>) -> Option<(Ground<'a>, At, HeadIx)> {
        let state = view.desk?.state();
        let ground = Ground { state, area: self.area };
        let stood = || {
            let address = view.places.stood.get(&state.register().site.id)?;
            state.layout().find(address).and_then(|h| ground.place_of(h))
        };
        let start = || self.start.and_then(|h| ground.place_of(h));
        let alive = |at: &At| ground.head(*at).is_some();
        // A head taken out under the cursor hands over to its neighbour.
        let near = |at: At| ground.next(at).or_else(|| ground.before(at));
        let at = match self.at {
            Some(at) => Some(at).filter(alive).or_else(|| near(at)),
            None => start().filter(alive).or_else(|| stood().filter(alive)).or_else(|| ground.first()),
        }?;
        ground.head(at).map(|head| (ground, at, head))
    }

    pub(super) fn stand(&mut self, at: At) {
        self.at = Some(at);
        self.column = at.slot;
    }

    /// Goes to a head, of another area too.
    fn go(&mut self, head: HeadIx, state: &State) {
        let Some(area) = state.layout().head(head).map(|h| h.area) else { return };
        if area != self.area {
            self.area = area;
            self.how = How::Eye;
        }
        self.pending = None;
        if let Some(at) = (Ground { state, area }).place_of(head) {
            self.stand(at);
        }
    }

    fn walk(&mut self, key: Key, view: &View<'_>) -> Vec<Effect> {
        let Some((ground, at, head)) = self.here(view) else {
            return match find(WALKING, key) {
                Some(Action::Leave) => vec![Effect::Pop],
                _ => vec![Effect::Warn("This area has no head: Esc goes back".to_owned())],
            };
        };
        if self.at.is_none() {
            self.stand(at);
        }
        let set = ground.state.judge().set();
        if let Some(pending) = Pending::start(key, set) {
            return match self.gate(view) {
                Ok(()) => {
                    self.pending = Some(pending);
                    Vec::new()
                }
                Err(effects) => effects,
            };
        }
        let Some(action) = find(WALKING, key) else { return Vec::new() };
        match action {
            Action::Left | Action::Right | Action::LineStart | Action::LineEnd => self.along(action, ground, at),
            Action::Up | Action::Down | Action::PageUp | Action::PageDown => self.across(action, ground, at),
            Action::NextOpen | Action::NextRuled | Action::NextLook => self.search(action, ground, at),
            Action::Jump => vec![Effect::Push(Jump::new(self.area))],
            Action::Find => vec![Effect::Push(Find::new(self.area))],
            Action::How => {
                self.next_how();
                Vec::new()
            }
            Action::List => {
                self.list = !self.list;
                Vec::new()
            }
            Action::Leave => self.leave(ground, head),
            Action::Menu => vec![Effect::Push(HeadMenu::boxed(view, head))],
            Action::Replace => vec![Effect::Push(Replacement::boxed(view, head))],
            Action::Why => vec![Effect::Push(Explain::boxed(head))],
            Action::Undo => self.step_back(false, view),
            Action::Redo => self.step_back(true, view),
            Action::Seen => self.seen(ground, at, head, view),
            Action::Sweep
            | Action::Note
            | Action::Unreached
            | Action::Unsure
            | Action::Like
            | Action::Still
            | Action::Gone => match self.gate(view) {
                Ok(()) => self.record_about(action, ground, at, head, view),
                Err(effects) => effects,
            },
        }
    }

    fn along(&mut self, action: Action, ground: Ground<'_>, at: At) -> Vec<Effect> {
        let to = match action {
            Action::Left => ground.before(at),
            Action::LineStart => ground.first_of(at.row),
            Action::LineEnd => ground.last_of(at.row),
            _ => ground.next(at),
        };
        if let Some(to) = to {
            self.stand(to);
        }
        Vec::new()
    }

    fn across(&mut self, action: Action, ground: Ground<'_>, at: At) -> Vec<Effect> {
        let down = matches!(action, Action::Down | Action::PageDown);
        let rows = if matches!(action, Action::PageUp | Action::PageDown) { PAGE } else { 1 };
        if self.list {
            // In the list heads stand one below the other.
            let mut to = at;
            for _ in 0..rows {
                to = if down { ground.next(to) } else { ground.before(to) }.unwrap_or(to);
            }
            self.stand(to);
        } else if let Some(to) = ground.across(at, self.column, down, rows) {
            self.at = Some(to);
        }
        Vec::new()
    }

    fn search(&mut self, action: Action, ground: Ground<'_>, at: At) -> Vec<Effect> {
        let state = ground.state;
        let counts = state.area_counts(self.area);
        let none = |words: &str| vec![Effect::Tell(words.to_owned())];
        // The counts say at once that there is none, so that nobody looks through a large area for nothing.
        let found = match action {
            Action::NextOpen if counts.complete() => return none("Every head of this area is answered: Esc leaves it"),
            Action::NextOpen => ground.search(at, |h| act::is_unanswered(state, h)),
            _ if counts.rulings.iter().skip(1).sum::<usize>() + counts.advisory == 0 => {
                return none("No head of this area has a ruling that asks for something");
            }
            Action::NextRuled => ground.search(at, |h| state.judgement(h).is_some_and(|j| j.ruling > Ruling::Keep)),
            _ => ground.search(at, |h| wants_look(state, h)),
        };
        match found {
            Some(to) => {
                self.stand(to);
                Vec::new()
            }
            None => none("No head of this area wants a close look"),
        }
    }

    pub(super) fn next_how(&mut self) {
        let at = How::ALL.iter().position(|h| *h == self.how).map_or(0, |i| (i + 1) % How::ALL.len());
        self.how = How::ALL.get(at).copied().unwrap_or(How::Eye);
    }

    fn leave(&self, ground: Ground<'_>, head: HeadIx) -> Vec<Effect> {
        if ground.state.area_counts(self.area).complete() {
            return vec![Effect::Remember(head), Effect::Pop];
        }
        vec![Effect::Push(LeaveCheck::new(ground.state, self.area, head))]
    }

    fn enter(&mut self, key: Key, view: &View<'_>) -> Vec<Effect> {
        let Some((ground, at, head)) = self.here(view) else { return Vec::new() };
        let set = ground.state.judge().set();
        let Some(pending) = &mut self.pending else { return Vec::new() };
        match pending.take(key, set) {
            Taken::Whole(whole) => return self.defect(whole, ground, at, head, view),
            Taken::Wrong(why) => return vec![Effect::Warn(why)],
            Taken::Yes => return Vec::new(),
            Taken::No => {}
        }
        match find(ENTERING, key) {
            Some(Entering::Clear) => self.pending = None,
            Some(Entering::Back) => {
                if !pending.back(set) {
                    self.pending = None;
                }
            }
            Some(Entering::How) => self.next_how(),
            Some(Entering::Take | Entering::Step) => {}
            None => return vec![Effect::Warn("A defect is being entered: Esc drops it".to_owned())],
        }
        Vec::new()
    }

    /// After undo and redo one stands at the head they were about.
    fn follow(&mut self, id: Id, state: &State) {
        let mut next = Some(id);
        while let Some(entry) = next.and_then(|id| state.find_entry(id)).and_then(|ix| state.entry(ix)) {
            next = match entry.what {
                What::Retract(target) => Some(target),
                _ => None,
            };
            let head = entry.heads().and_then(|h| h.one()).and_then(|address| state.layout().find(&address));
            if let Some(head) = head {
                self.go(head, state);
            }
        }
    }
}

/// Whether somebody must go near: it could not be judged, or the inspector was in doubt.
#[must_use]
pub fn wants_look(state: &State, head: HeadIx) -> bool {
    if state.status(head) == Status::Unsure {
        return true;
    }
    let Some(ruling) = state.judgement(head).map(|j| j.ruling).filter(|r| *r > Ruling::Keep) else { return false };
    ruling == Ruling::Look
        || state.story(head).findings.iter().any(|f| {
            f.fate == crate::round::story::Fate::Open
                && matches!(state.entry(f.entry).map(|e| &e.what), Some(What::Saw(saw)) if saw.doubtful)
        })
}

impl Screen for Walk {
    fn name(&self) -> &'static str {
        "walk"
    }

    fn keys(&self, view: &View<'_>) -> Vec<KeyLine> {
        let here = self.here(view);
        let set = here.map(|(ground, _, _)| ground.state.judge().set());
        let mut all = if self.pending.is_some() {
            lines(ENTERING, |_| true)
        } else {
            let carried = here.is_some_and(|(ground, _, head)| ground.state.has_open_carried(head));
            let open = here.is_some_and(|(ground, _, head)| walk_act::is_open(ground.state, head));
            let unseen = here.is_some_and(|(ground, ..)| ground.state.area_counts(self.area).unseen > 0);
            let mine = here.is_some_and(|(ground, _, head)| self.last_saw(ground.state, head, view).is_some());
            let mut all = lines(WALKING, |action| match action {
                Action::Still => carried,
                Action::Gone => carried || open,
                Action::Sweep => unseen,
                Action::Like => mine,
                Action::Why => self.explains(view),
                _ => here.is_some() || action == Action::Leave,
            });
            for line in &mut all {
                // An answer to an earlier finding is offered only where one is asked for, an explanation where one is due.
                if !line.works && matches!(line.keys.as_str(), "a" | "z" | "?") {
                    line.rank = 9;
                }
                if line.keys == "z" && !carried {
                    line.name = "in order".to_owned();
                }
                if line.keys == "-" {
                    line.name = walk_words::how_words(self.how).to_owned();
                }
            }
            all
        };
        if let Some(set) = set {
            let mut own = rule_set_lines(set);
            if self.pending.is_some()
                && let Some(defect) = own.first_mut()
            {
                defect.rank = 9;
            }
            all.append(&mut own);
        }
        all
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        // A glove's double strike does nothing here at all: it can neither write nor pass a head by.
        let Input::Key(key) = input else { return Vec::new() };
        if self.pending.is_some() { self.enter(*key, view) } else { self.walk(*key, view) }
    }

    fn hear(&mut self, message: &Message, view: &View<'_>) {
        let Some(state) = view.desk.map(|d| d.state()) else { return };
        match message {
            Message::Goto(head) => self.go(*head, state),
            Message::Recorded(_) => {
                self.pending = None;
                if std::mem::take(&mut self.onward)
                    && let Some((ground, at, _)) = self.here(view)
                    && let Some(next) = ground.next(at)
                {
                    self.stand(next);
                }
            }
            Message::Undone(id) => self.follow(*id, state),
            Message::Failed => self.onward = false,
            Message::Sign(sign) => self.pending = Some(Pending::of_sign(*sign)),
            Message::Kind(_) | Message::Chance(_) | Message::Back => {}
        }
    }

    fn explains(&self, view: &View<'_>) -> bool {
        let ruled = |(ground, _, head): (Ground<'_>, At, HeadIx)| {
            let state = ground.state;
            let spoken = |j| !state.judge().reasons(j).is_empty();
            state.judgement(head).is_some_and(spoken)
                || state.standing(head).is_some_and(spoken)
                || state.has_open_carried(head)
                || state.failure(head).is_some()
        };
        self.pending.is_none() && self.here(view).is_some_and(ruled)
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        walk_draw::draw(self, view, area, buf);
        None
    }
}
