//! Closing the round: first what stands in the way, what was found and what was not inspected; then, on a form of its
//! own, the sign-off.

use chrono::NaiveDate;
use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::close_looks;
use super::findings::answered;
use super::form::{Form, Row, Rows};
use super::moves::{MOVES, Move, Scroll, key_lines};
use super::parts::{self, address, class_style, count, go_to, state};
use super::sheet::Sheet;
use super::summary::SummaryReader;
use crate::round::act::{self, Obstacles};
use crate::round::layout::HeadIx;
use crate::round::state::{State, Status};
use crate::round::stock;
use crate::round::words::set_word;
use crate::rules::model::{Class, Ruling};
use crate::tui::ask::Confirm;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::screen::{Effect, Input, Message, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Go,
    Sign,
    Back,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Enter],
        action: Action::Go,
        name: "go there",
        help: "go to the chosen head in the walk; leaving the walk comes back here",
        rank: 1,
    },
    Binding {
        keys: &[Key::Char('s')],
        action: Action::Sign,
        name: "sign",
        help: "go on to the sign-off, once nothing stands in the way",
        rank: 0,
    },
    Binding {
        keys: &[Key::Esc, Key::Char('q')],
        action: Action::Back,
        name: "back",
        help: "back to the overview; nothing is signed",
        rank: 2,
    },
];

/// Heads listed one by one under each heading.
const MOST: usize = 8;

/// The review before the sign-off.
pub struct SignoffReview {
    obstacles: Obstacles,
    /// Heads not inspected, as ranges with the reason.
    unreached: Vec<(String, String)>,
    looks: Vec<HeadIx>,
    /// What is to be known of the spares; it stands in nobody's way.
    spares: Vec<String>,
    unanswered: Vec<HeadIx>,
    classes: Vec<(Option<Class>, Ruling, usize)>,
    at: usize,
    scroll: Scroll,
}

impl SignoffReview {
    /// The review as the round stands now.
    #[must_use]
    pub fn boxed(view: &View<'_>) -> Box<dyn Screen> {
        let mut it = Self {
            obstacles: Obstacles::default(),
            unreached: Vec::new(),
            looks: Vec::new(),
            spares: Vec::new(),
            unanswered: Vec::new(),
            classes: Vec::new(),
            at: 0,
            scroll: Scroll::default(),
        };
        it.collect(view);
        Box::new(it)
    }

    fn collect(&mut self, view: &View<'_>) {
        let Some(state) = state(view) else { return };
        self.obstacles = act::obstacles(state);
        self.unreached = unreached(state);
        self.looks = close_looks::of(state);
        self.spares = stock::before_signing(state, view.today);
        self.classes = classes(state);
        let o = &self.obstacles;
        self.unanswered = [&o.unseen, &o.carried, &o.disagreements]
            .into_iter()
            .flat_map(|list| list.iter().take(MOST))
            .copied()
            .collect();
        self.at = self.at.min(self.unanswered.len().saturating_sub(1));
    }

    fn sheet(&self, state: &State, view: &View<'_>, width: u16) -> Sheet {
        let mut sheet = Sheet::new(width);
        let round = state.present_round().map_or("no round".to_owned(), |r| format!("round {}", r.name));
        sheet.text(0, &format!("Closing {round}"), view.theme.title);
        self.write_obstacles(&mut sheet, state, view);
        self.write_findings(&mut sheet, state, view);
        self.write_rest(&mut sheet, state, view);
        if !self.spares.is_empty() {
            sheet.heading("Spare heads (they keep no round from being signed)", view);
            for line in &self.spares {
                sheet.item(0, vec![(format!("{} ", view.glyphs.warn), view.theme.warning)], line, view.theme.text);
            }
        }
        sheet.heading("Cautions", view);
        for caution in &state.judge().set().cautions {
            sheet.item(0, vec![(format!("{} ", view.glyphs.warn), view.theme.warning)], caution, view.theme.text);
        }
        sheet
    }

    fn write_obstacles(&self, sheet: &mut Sheet, state: &State, view: &View<'_>) {
        let o = &self.obstacles;
        if o.is_clear() {
            let lead = vec![(format!("{} ", view.glyphs.check), view.theme.good)];
            sheet.gap().item(0, lead, "Nothing stands in the way of signing: s goes on.", view.theme.text);
            return;
        }
        sheet.heading("What stands in the way", view);
        let mut plain = |words: &str| {
            sheet.item(0, vec![(format!("{} ", view.glyphs.cross), view.theme.error)], words, view.theme.text);
        };
        if o.not_begun {
            plain("Nobody has begun the round.");
        }
        if o.signed {
            plain("The round is signed already; later entries stand as made after the sign-off.");
        }
        if let Some((begun, judging)) = &o.other_rules {
            let (begun, judging) = (set_word(begun), set_word(judging));
            plain(&format!(
                "The round was begun under '{begun}' and is judged by '{judging}': begin it anew under its own name, or \
                 name the earlier set in the register again."
            ));
        }
        for (heads, one, many) in [
            (
                &o.unseen,
                "head is neither seen nor unreached with a reason",
                "heads are neither seen nor unreached with a reason",
            ),
            (
                &o.carried,
                "head has an earlier finding without an answer",
                "heads have earlier findings without an answer",
            ),
            (&o.disagreements, "head on which people disagree", "heads on which people disagree"),
        ] {
            if heads.is_empty() {
                continue;
            }
            let words = format!("{} {}", heads.len(), if heads.len() == 1 { one } else { many });
            sheet.item(0, vec![(format!("{} ", view.glyphs.cross), view.theme.error)], &words, view.theme.text);
            for head in heads.iter().take(MOST) {
                let words = about(state, *head);
                let lead = format!("{}  ", text::pad(&address(state, *head), 14, view.glyphs.ellipsis));
                sheet.pickable(|s| {
                    s.row(vec![("    ".to_owned(), view.theme.text), (lead, view.theme.text), (words, view.theme.dim)]);
                });
            }
            if heads.len() > MOST {
                sheet.text(4, &format!("and {} more", heads.len() - MOST), view.theme.dim);
            }
        }
    }

    fn write_findings(&self, sheet: &mut Sheet, state: &State, view: &View<'_>) {
        sheet.heading("Findings by class", view);
        if self.classes.is_empty() {
            sheet.text(0, "none", view.theme.text);
        }
        for (class, ruling, n) in &self.classes {
            let (word, style) = class.map_or(("no class", view.theme.dim), |c| (c.as_str(), class_style(c, view)));
            let (ruled, ruled_style) = parts::ruling(*ruling, 8, view);
            let pad = 13_usize.saturating_sub(word.len());
            sheet.row(vec![
                (word.to_owned(), style),
                (" ".repeat(pad), view.theme.text),
                (ruled, ruled_style),
                (format!(" {}", count(*n, "head")), view.theme.text),
            ]);
        }
        let counts = state.counts();
        if counts.impaired > 0 {
            let words = format!("{} open: signing does not end an impairment.", count(counts.impaired, "impairment"));
            sheet.item(0, vec![(format!("{} ", view.glyphs.warn), view.theme.warning)], &words, view.theme.warning);
        }
    }

    fn write_rest(&self, sheet: &mut Sheet, state: &State, view: &View<'_>) {
        sheet.heading("Not inspected", view);
        if self.unreached.is_empty() && self.looks.is_empty() {
            sheet.text(0, "every head was reached and judged", view.theme.text);
        }
        for (heads, why) in self.unreached.iter().take(2 * MOST) {
            sheet.item(
                0,
                vec![(format!("{} {heads}  ", view.glyphs.unreached), view.theme.unreached)],
                why,
                view.theme.text,
            );
        }
        if self.unreached.len() > 2 * MOST {
            sheet.text(2, &format!("and {} more", self.unreached.len() - 2 * MOST), view.theme.dim);
        }
        for head in self.looks.iter().take(2 * MOST) {
            let story = state.story(*head);
            let lead = vec![(format!("{} {}  ", view.glyphs.unsure, address(state, *head)), view.theme.unsure)];
            let words = format!("{}; needs {}", close_looks::reason(state, &story), close_looks::need(state, &story));
            sheet.item(0, lead, &words, view.theme.text);
        }
        if self.looks.len() > 2 * MOST {
            let words = format!("and {} more close looks", self.looks.len() - 2 * MOST);
            sheet.text(2, &words, view.theme.dim);
        }
    }
}

/// What there is to say of a head in the way.
fn about(state: &State, head: HeadIx) -> String {
    let story = state.story(head);
    match story.carried.first().filter(|_| state.has_open_carried(head)) {
        Some(carried) => match state.entry(carried.last).map(|e| &e.what) {
            Some(crate::round::entry::What::Saw(saw)) => {
                format!("{}: {}", parts::saw(state, saw), answered(carried.answer, carried.said_fixed.is_some()))
            }
            _ => String::new(),
        },
        None if state.has_disagreement(head) => "settle it from the head's menu in the walk".to_owned(),
        None => "unseen".to_owned(),
    }
}

/// The ruled heads by class and ruling, weightiest first.
fn classes(state: &State) -> Vec<(Option<Class>, Ruling, usize)> {
    let mut list: Vec<(Option<Class>, Ruling, usize)> = Vec::new();
    for judgement in state.ruled().filter_map(|h| state.judgement(h)).filter(|j| j.ruling > Ruling::Keep) {
        match list.iter_mut().find(|(c, r, _)| (*c, *r) == (judgement.class, judgement.ruling)) {
            Some((_, _, n)) => *n += 1,
            None => list.push((judgement.class, judgement.ruling, 1)),
        }
    }
    list.sort_by_key(|(class, ruling, _)| std::cmp::Reverse((*class, *ruling)));
    list
}

/// Unreached heads as ranges of neighbours with the same reason.
fn unreached(state: &State) -> Vec<(String, String)> {
    let mut list: Vec<(Vec<HeadIx>, String)> = Vec::new();
    for area in 0..u16::try_from(state.register().areas.len()).unwrap_or(u16::MAX) {
        if state.area_counts(area).unreached == 0 {
            continue;
        }
        for head in act::heads_in_order(state, area).filter(|h| state.status(*h) == Status::Unreached) {
            let story = state.story(head);
            let why = match story.unreached.and_then(|e| state.entry(e)).map(|e| &e.what) {
                Some(crate::round::entry::What::Unreached(x)) => {
                    let denied = x.denied_by.as_deref().map_or(String::new(), |d| format!(", denied by {d}"));
                    let note = x.note.as_deref().map_or(String::new(), |n| format!(": {n}"));
                    text::plain(&format!("{}{denied}{note}", x.why))
                }
                _ => String::new(),
            };
            match list.last_mut().filter(|(_, w)| *w == why) {
                Some((heads, _)) => heads.push(head),
                None => list.push((vec![head], why)),
            }
        }
    }
    list.into_iter()
        .flat_map(|(heads, why)| {
            act::ranges(state, &heads)
                .into_iter()
                .map(move |range| (range.to_string(), why.clone()))
                .collect::<Vec<_>>()
        })
        .collect()
}

impl Screen for SignoffReview {
    fn name(&self) -> &'static str {
        "sign-off review"
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        lines(KEYS, |a| match a {
            Action::Go => !self.unanswered.is_empty(),
            Action::Sign => self.obstacles.is_clear(),
            Action::Back => true,
        })
        .into_iter()
        .chain(key_lines(true))
        .collect()
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        match find(KEYS, *key) {
            Some(Action::Back) => return vec![Effect::Pop],
            Some(Action::Go) => return self.unanswered.get(self.at).map(|h| go_to(view, *h)).unwrap_or_default(),
            Some(Action::Sign) if self.obstacles.is_clear() => return vec![Effect::Push(SignoffForm::boxed(view))],
            Some(Action::Sign) => {
                let why = crate::round::words::obstacle_words(&self.obstacles);
                return vec![Effect::Warn(format!("Not yet: {why}"))];
            }
            None => {}
        }
        match find(MOVES, *key) {
            Some(Move::Up) if !self.unanswered.is_empty() => self.at = self.at.saturating_sub(1),
            Some(Move::Down) if !self.unanswered.is_empty() => {
                self.at = (self.at + 1).min(self.unanswered.len().saturating_sub(1));
            }
            Some(by) => self.scroll.step(by),
            None => {}
        }
        Vec::new()
    }

    fn hear(&mut self, _: &Message, view: &View<'_>) {
        self.collect(view);
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let at = (!self.unanswered.is_empty()).then_some(self.at);
        self.sheet(state(view)?, view, area.width).draw(view, area, buf, &self.scroll, at);
        None
    }
}

/// The form that signs.
pub struct SignoffForm;

impl SignoffForm {
    /// The form, filled in with the inspector's name and licence.
    #[must_use]
    pub fn boxed(view: &View<'_>) -> Box<dyn Screen> {
        let round = state(view).and_then(State::present_round);
        let by = view.desk.map_or("", |d| d.by());
        let mine = round.and_then(|r| r.inspectors.iter().rev().find(|(p, _)| **p == *by)).map(|(_, b)| b);
        let rows = vec![
            Row::text("name", "Name", mine.map_or("", |b| &b.inspector), "full name of the one who signs").needed(),
            Row::text(
                "licence",
                "Licence",
                mine.map_or("", |b| &b.licence),
                "number; leave it empty where none is held",
            ),
            Row::text("date", "Day", &view.today.to_string(), "the day it is signed for, as 2026-11-25").checked(
                |t, _| t.parse::<NaiveDate>().map(|_| ()).map_err(|_| "Write the day as 2026-11-25".to_owned()),
            ),
            Row::text("note", "Note", "", "anything the reader of the summary should know"),
        ];
        let intro = vec![
            "To sign says: these are the entries of this round as I leave them. A digest of them is kept, so that a \
             line changed or cut away later can be told. Entries made afterwards stand as made after the sign-off."
                .to_owned(),
            "It does not say that the system is in order, and it does not replace a signature, a seal or a form that \
             law, contract or the authority asks for."
                .to_owned(),
        ];
        Box::new(Form::new("sign-off", "Sign the round", rows, "Sign", Box::new(sign)).intro(intro))
    }
}

fn sign(rows: &Rows, view: &View<'_>) -> Vec<Effect> {
    let (Some(state), Ok(date)) = (state(view), rows.get("date").parse::<NaiveDate>()) else { return Vec::new() };
    let round = state.present_round().map(|r| r.name.to_string()).unwrap_or_default();
    let counts = state.counts();
    let (name, licence, note) = (rows.get("name"), rows.get("licence"), rows.some("note"));
    let question = format!(
        "Sign round {} as {}: {}, {} seen, {} not reached, {} not judged?",
        text::plain(&round),
        text::plain(&name),
        count(counts.heads, "head"),
        counts.seen,
        counts.unreached,
        counts.unsure
    );
    let then = move |(), view: &View<'_>| {
        vec![
            Effect::Sign { name: name.clone(), licence: licence.clone(), date, note: note.clone() },
            Effect::PopTo("overview"),
            Effect::Push(SummaryReader::boxed(view)),
            Effect::Tell("Signed. Enter writes the summary beside the site file".to_owned()),
        ]
    };
    vec![Effect::Push(Confirm::new("Sign the round?", question, Box::new(then)))]
}
