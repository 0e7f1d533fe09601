//! A disagreement about one head: what each person holds, with the rules behind it, side by side where there is room;
//! whose entry stands is chosen with a reason.

use std::sync::Arc;

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::explain_sheet::write_rule;
use super::moves::{MOVES, Scroll, key_lines};
use super::parts::{self, address, area_name, state};
use super::sheet::Sheet;
use crate::round::entry::{Id, Settle, What};
use crate::round::layout::HeadIx;
use crate::round::state::{EntryIx, State};
use crate::round::story::{Fate, how_seen};
use crate::rules::judge::Judgement;
use crate::rules::model::Ruling;
use crate::trade::address::Heads;
use crate::tui::ask::Line;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::screen::{Draft, Effect, Input, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Before,
    After,
    Stands,
    Back,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Enter],
        action: Action::Stands,
        name: "this one stands",
        help: "let what the chosen person holds stand; asks why",
        rank: 0,
    },
    Binding { keys: &[Key::Left], action: Action::Before, name: "before", help: "the person before", rank: 9 },
    Binding { keys: &[Key::Right], action: Action::After, name: "other person", help: "the next person", rank: 1 },
    Binding {
        keys: &[Key::Esc, Key::Char('q')],
        action: Action::Back,
        name: "back",
        help: "leave it open: the stronger ruling stands until somebody settles it, and the round cannot be signed",
        rank: 2,
    },
];

/// What one person holds about the head.
struct Opinion {
    by: Arc<str>,
    /// The entry that a settlement in this person's favour names.
    entry: EntryIx,
    /// Every finding of theirs.
    findings: Vec<(EntryIx, Judgement)>,
    ruling: Ruling,
}

/// Opinions about a head, strongest first.
fn opinions(state: &State, head: HeadIx) -> Vec<Opinion> {
    let story = state.story(head);
    let mut list: Vec<Opinion> = Vec::new();
    for finding in story.findings.iter().filter(|f| !matches!(f.fate, Fate::SetAside(_))) {
        let Some(by) = state.entry(finding.entry).map(|e| Arc::clone(&e.by)) else { continue };
        let held = (finding.entry, finding.judgement);
        match list.iter_mut().find(|o| o.by == by) {
            Some(opinion) => {
                if finding.judgement.ruling > opinion.ruling {
                    (opinion.ruling, opinion.entry) = (finding.judgement.ruling, finding.entry);
                }
                opinion.findings.push(held);
            }
            None => {
                list.push(Opinion { by, entry: finding.entry, findings: vec![held], ruling: finding.judgement.ruling });
            }
        }
    }
    if let Some((ix, entry)) = state.seen_entry(head).and_then(|ix| state.entry(ix).map(|e| (ix, e)))
        && !list.iter().any(|o| o.by == entry.by)
    {
        list.push(Opinion { by: Arc::clone(&entry.by), entry: ix, findings: Vec::new(), ruling: Ruling::Keep });
    }
    list.sort_by_key(|o| std::cmp::Reverse(o.ruling));
    list
}

/// The screen that settles a disagreement.
pub struct Settlement {
    head: HeadIx,
    at: usize,
    scroll: Vec<Scroll>,
}

impl Settlement {
    /// The disagreement about a head; the stronger ruling is chosen to start with.
    #[must_use]
    pub fn boxed(head: HeadIx) -> Box<dyn Screen> {
        Box::new(Self { head, at: 0, scroll: (0..MOST).map(|_| Scroll::default()).collect() })
    }

    fn settle(&self, opinion: &Opinion, state: &State) -> Vec<Effect> {
        let (Some(stands), Some(address)) = (state.entry(opinion.entry).map(|e| e.id), state.address(self.head)) else {
            return Vec::new();
        };
        let heads = Heads::single(&address);
        let prompt = format!("What {} holds shall stand, because:", text::plain(&opinion.by));
        let check = |t: &str, _: &View<'_>| {
            if t.is_empty() { Err("A reason is wanted: the others will read it".to_owned()) } else { Ok(()) }
        };
        vec![Effect::Push(Line::new(
            "Settle",
            prompt,
            "",
            Box::new(check),
            Box::new(move |because, _| record(&heads, stands, because)),
        ))]
    }
}

fn record(heads: &Heads, stands: Id, because: String) -> Vec<Effect> {
    let settle = Settle { head: heads.clone(), stands, because };
    vec![Effect::Record(vec![Draft::from(What::Settle(Box::new(settle)))]), Effect::Pop]
}

/// The most people whose opinions are drawn.
const MOST: usize = 8;

/// The least columns in which an opinion can be read.
const NARROW: u16 = 36;

impl Screen for Settlement {
    fn name(&self) -> &'static str {
        "disagreement"
    }

    fn keys(&self, view: &View<'_>) -> Vec<KeyLine> {
        let any = state(view).is_some_and(|s| s.has_disagreement(self.head));
        lines(KEYS, |a| any || a == Action::Back).into_iter().chain(key_lines(any)).collect()
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let (Input::Key(key), Some(state)) = (input, state(view)) else { return Vec::new() };
        let list = opinions(state, self.head);
        let last = list.len().min(MOST).saturating_sub(1);
        match find(KEYS, *key) {
            Some(Action::Back) => return vec![Effect::Pop],
            Some(Action::Stands) => {
                return match list.get(self.at) {
                    Some(opinion) if state.has_disagreement(self.head) => self.settle(opinion, state),
                    _ => vec![Effect::Warn("Nobody disagrees about this head any more".to_owned())],
                };
            }
            Some(Action::Before) => self.at = self.at.saturating_sub(1),
            Some(Action::After) => self.at = (self.at + 1).min(last),
            None => match find(MOVES, *key) {
                Some(by) => {
                    for scroll in &mut self.scroll {
                        scroll.step(by);
                    }
                }
                None => return Vec::new(),
            },
        }
        Vec::new()
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let state = state(view)?;
        let place = state.layout().head(self.head).map(|h| area_name(state, h.area)).unwrap_or_default();
        let title = format!("Disagreement about {}  {place}", address(state, self.head));
        let rest = parts::framed(&title, view, area, buf);
        let list = opinions(state, self.head);
        let shown = u16::try_from(list.len().clamp(1, MOST)).unwrap_or(1);
        let beside = (rest.width / NARROW).clamp(1, shown);
        // Where not all fit beside each other, the chosen one and its neighbours show.
        let first = (self.at + 1).saturating_sub(usize::from(beside));
        let width = rest.width / beside;
        for (n, (at, opinion)) in list.iter().enumerate().take(MOST).skip(first).take(usize::from(beside)).enumerate() {
            let Ok(n) = u16::try_from(n) else { break };
            let column = Rect { x: rest.x + n * width, width, ..rest };
            let Some(scroll) = self.scroll.get(at) else { break };
            opinion_sheet(state, opinion, at == self.at, view, width).draw(view, column, buf, scroll, None);
        }
        if list.len() > usize::from(beside) {
            let words = format!("{} of {}", self.at + 1, list.len());
            let row = Rect { height: area.height.min(1), ..area };
            let column = row.width.saturating_sub(u16::try_from(words.len() + 1).unwrap_or(0));
            crate::tui::chrome::put(buf, row, column, &words, view.theme.accent, view);
        }
        None
    }
}

fn opinion_sheet(state: &State, opinion: &Opinion, chosen: bool, view: &View<'_>, width: u16) -> Sheet {
    let mut sheet = Sheet::new(width);
    let mark = if chosen { view.glyphs.point_right } else { " " };
    let style = if chosen { view.theme.cursor } else { view.theme.text };
    sheet.row(vec![
        (format!("{mark} "), view.theme.accent),
        (format!(" {} ", opinion.by), style),
        (format!("  {}", if chosen { "Enter: this one stands" } else { "" }), view.theme.hint),
    ]);
    let set = state.judge().set();
    if opinion.findings.is_empty() {
        if let Some(entry) = state.entry(opinion.entry) {
            sheet.gap().text(0, &format!("seen in order, {}", parts::when(entry)), view.theme.text);
        }
        sheet.row(vec![parts::ruling(Ruling::Keep, 0, view)]);
    }
    for (ix, judgement) in &opinion.findings {
        let Some(entry) = state.entry(*ix) else { continue };
        let What::Saw(saw) = &entry.what else { continue };
        sheet.gap().text(0, &parts::saw(state, saw), view.theme.accent);
        let doubt = if saw.doubtful { ", in doubt" } else { "" };
        sheet.text(0, &format!("{}, {}{doubt}", parts::when(entry), parts::how(how_seen(entry))), view.theme.dim);
        if let Some(note) = &saw.note {
            sheet.text(0, note, view.theme.text);
        }
        sheet.row(parts::judgement(*judgement, view));
        for ix in state.judge().reasons(*judgement) {
            if let Some(rule) = set.rule_at(*ix) {
                write_rule(&mut sheet, set, rule, view);
            }
        }
    }
    sheet
}
