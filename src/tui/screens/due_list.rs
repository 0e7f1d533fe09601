//! What falls due by age: a timeline with the heads of each day as bars, and the groups of heads below it. From a group one
//! goes to its lot, or forms lots.

use chrono::NaiveDate;
use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::style::Style;

use super::due_line;
use super::lot::LotScreen;
use super::lots::LotsScreen;
use super::lots_worked::Worked;
use super::moves::{Cursor, MOVES, Scroll, key_lines};
use super::parts::{self, count, state};
use super::sheet::Sheet;
use super::ways::Ways;
use crate::round::due::{self, DueList, DueRow, When};
use crate::rules::duties::Act;
use crate::trade::measure::Span;
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::samples::capital;
use crate::tui::screen::{Effect, Input, Message, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Open,
    Form,
    Lots,
    Further,
    Nearer,
    Back,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Enter],
        action: Action::Open,
        name: "lot",
        help: "the lot that the chosen heads stand in, or the ways to form lots of what is due",
        rank: 0,
    },
    Binding {
        keys: &[Key::Char('n')],
        action: Action::Form,
        name: "form lots",
        help: "the ways to form lots of what is due within the span: what each takes, and what one failure would condemn",
        rank: 1,
    },
    Binding { keys: &[Key::Char('l')], action: Action::Lots, name: "lots", help: "the lots that are formed", rank: 3 },
    Binding {
        keys: &[Key::Right],
        action: Action::Further,
        name: "further ahead",
        help: "look further ahead, up to 50 years",
        rank: 2,
    },
    Binding {
        keys: &[Key::Left],
        action: Action::Nearer,
        name: "less far",
        help: "look less far ahead, down to 6 months",
        rank: 5,
    },
    Binding {
        keys: &[Key::Esc, Key::Char('q')],
        action: Action::Back,
        name: "back",
        help: "back to where one was",
        rank: 4,
    },
];

/// How far one can look ahead.
const SPANS: [&str; 8] = ["6 months", "1 year", "2 years", "5 years", "10 years", "20 years", "30 years", "50 years"];

/// The span to start with.
const START: usize = 2;

fn span(at: usize) -> Option<Span> {
    SPANS.get(at).and_then(|s| Span::parse(s).ok())
}

/// The ways to form lots of what is due within the usual span.
pub(super) fn usual_ways(view: &View<'_>) -> Vec<Effect> {
    span(START).map(|within| Effect::Push(Ways::boxed(view, within))).into_iter().collect()
}

/// The list of what falls due.
pub struct DueScreen {
    at: usize,
    worked: Worked,
    list: DueList,
    cursor: Cursor,
}

impl DueScreen {
    /// What falls due within the usual span.
    #[must_use]
    pub fn boxed(view: &View<'_>) -> Box<dyn Screen> {
        let mut it = Self { at: START, worked: Worked::default(), list: DueList::default(), cursor: Cursor::default() };
        it.refresh(view);
        Box::new(it)
    }

    fn refresh(&mut self, view: &View<'_>) {
        if let Some(state) = state(view)
            && self.worked.refresh(state, view.today)
        {
            self.collect(view);
        }
    }

    fn collect(&mut self, view: &View<'_>) {
        let (Some(state), Some(within)) = (state(view), span(self.at)) else { return };
        self.list = due::due(state, &self.worked.lots, view.today, within);
        self.cursor.keep_within(self.list.rows.len());
    }

    fn here(&self) -> Option<&DueRow> {
        self.list.rows.get(self.cursor.at)
    }

    fn look(&mut self, at: usize, view: &View<'_>) {
        self.at = at.min(SPANS.len() - 1);
        self.collect(view);
    }

    fn open(&self, view: &View<'_>) -> Vec<Effect> {
        let Some(row) = self.here() else { return Vec::new() };
        if let Some(lot) = &row.lot {
            return vec![Effect::Push(LotScreen::boxed(view, lot.clone()))];
        }
        match (row.act, row.when) {
            (Act::Replace, _) => vec![Effect::Warn("These are to be replaced: no sample speaks for them".to_owned())],
            (Act::Test, When::Later) => vec![Effect::Warn("They are due later: Right looks further ahead".to_owned())],
            (Act::Test, _) => self.form(view),
        }
    }

    fn form(&self, view: &View<'_>) -> Vec<Effect> {
        span(self.at).map(|within| Effect::Push(Ways::boxed(view, within))).into_iter().collect()
    }
}

/// How a day stands to today: sign, word, style.
fn standing(row: &DueRow, view: &View<'_>) -> (&'static str, String, Style) {
    match row.when {
        When::Unknown => (view.glyphs.unsure, "no date known".to_owned(), view.theme.error),
        When::Overdue => {
            let late = match row.months_late {
                0 => "overdue".to_owned(),
                n if n < 24 => format!("{n} mo late"),
                n => format!("{} y late", n / 12),
            };
            (view.glyphs.cross, late, view.theme.error)
        }
        When::Soon => (view.glyphs.open, "to come".to_owned(), view.theme.warning),
        When::Later => (view.glyphs.dot, "later".to_owned(), view.theme.dim),
    }
}

fn act_words(row: &DueRow) -> String {
    match (row.act, row.stage) {
        (Act::Replace, _) => "replace".to_owned(),
        (Act::Test, Some(stage)) => format!("lot {}", stage.label()),
        (Act::Test, None) => "sample".to_owned(),
    }
}

impl Screen for DueScreen {
    fn name(&self) -> &'static str {
        "due"
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        let own = lines(KEYS, |a| match a {
            Action::Open => self.here().is_some(),
            Action::Further => self.at + 1 < SPANS.len(),
            Action::Nearer => self.at > 0,
            Action::Form | Action::Lots | Action::Back => true,
        });
        own.into_iter().chain(key_lines(self.list.rows.len() > 1)).collect()
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        match find(KEYS, *key) {
            Some(Action::Back) => return vec![Effect::Pop],
            Some(Action::Open) => return self.open(view),
            Some(Action::Form) => return self.form(view),
            Some(Action::Lots) => return vec![Effect::Push(LotsScreen::boxed(view))],
            Some(Action::Further) => self.look(self.at + 1, view),
            Some(Action::Nearer) => self.look(self.at.saturating_sub(1), view),
            None => {
                if let Some(by) = find(MOVES, *key) {
                    self.cursor.step(by, self.list.rows.len());
                }
            }
        }
        Vec::new()
    }

    fn hear(&mut self, _: &Message, view: &View<'_>) {
        self.refresh(view);
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let heads = self.list.due().map(|r| r.heads).sum();
        let title = format!("Due within {}: {}", SPANS.get(self.at).unwrap_or(&""), count(heads, "head"));
        let mut rest = parts::framed(&title, view, area, buf);
        if self.list.condemned > 0 {
            let at = u16::try_from(text::width(&title) + 1).unwrap_or(u16::MAX);
            let words = format!("; {} condemned", count(self.list.condemned, "head"));
            put(buf, Rect { height: area.height.min(1), ..area }, at, &words, view.theme.error, view);
        }
        if self.list.rows.is_empty() {
            let words = if self.list.condemned > 0 {
                "Nothing falls due by age. Heads that a failed test condemns are to be replaced: see the findings."
            } else {
                "The rule set asks nothing of the age of these heads."
            };
            parts::say(words, view, rest, buf);
            return None;
        }
        let bars = match rest.height {
            0..=9 => 0,
            10..=17 => 3,
            18..=27 => 4,
            _ => 6,
        };
        if bars > 0 {
            due_line::draw(
                &self.list,
                view,
                Rect { x: rest.x + 1, height: bars, width: rest.width.saturating_sub(2), ..rest },
                buf,
            );
            rest = Rect { y: rest.y + bars + 1, height: rest.height - bars - 1, ..rest };
        }
        let (list, below) = parts::split(rest, if rest.height > 18 { 8 } else { 5 });
        let rows = &self.list.rows;
        let wide = rows.iter().map(|r| text::width(r.area.as_str())).max().unwrap_or(0).clamp(4, 12);
        for (n, at) in self.cursor.window(rows.len(), usize::from(list.height)).enumerate() {
            let (Ok(n), Some(it)) = (u16::try_from(n), rows.get(at)) else { break };
            let row = Rect { y: list.y + n, height: 1, ..list };
            draw_row(it, wide, view, row, buf);
            if at == self.cursor.at {
                put(buf, row, 0, view.glyphs.point_right, view.theme.accent, view);
                parts::select(row, view, buf);
            }
        }
        if below.height > 0
            && let Some(row) = self.here()
        {
            let rule = Rect { y: below.y - 1, height: 1, ..below };
            put(
                buf,
                rule,
                1,
                &view.glyphs.rule.repeat(usize::from(rule.width.saturating_sub(2))),
                view.theme.border,
                view,
            );
            detail(row, view, below.width).draw(view, below, buf, &Scroll::default(), None);
        }
        None
    }
}

fn day(on: Option<NaiveDate>) -> String {
    on.map_or_else(|| "-".to_owned(), |d| d.to_string())
}

fn draw_row(it: &DueRow, wide: usize, view: &View<'_>, row: Rect, buf: &mut Buffer) {
    let (sign, word, style) = standing(it, view);
    let dim = if it.when == When::Later { view.theme.dim } else { view.theme.text };
    let column = put(buf, row, 1, sign, style, view);
    let column = put(buf, row, column + 1, &text::pad(&day(it.on), 10, view.glyphs.ellipsis), dim, view);
    let column = put(buf, row, column + 1, &text::pad(&word, 13, view.glyphs.ellipsis), style, view);
    let mark = if it.assumed.is_empty() { " " } else { "?" };
    let column = put(buf, row, column, mark, view.theme.warning, view);
    let column = put(buf, row, column + 1, &format!("{:>5}", it.heads), dim, view);
    let column = put(buf, row, column + 2, &text::pad(it.area.as_str(), wide, view.glyphs.ellipsis), dim, view);
    let act = act_words(it);
    let room = usize::from(row.width).saturating_sub(usize::from(column) + 3 + text::width(&act));
    let kind = text::pad(&it.kind, room.min(26), view.glyphs.ellipsis);
    let column = put(buf, row, column + 1, &kind, dim, view);
    put(buf, row, column + 1, &act, if it.lot.is_some() { view.theme.accent } else { dim }, view);
}

fn detail(row: &DueRow, view: &View<'_>, width: u16) -> Sheet {
    let mut sheet = Sheet::new(width);
    let which: Vec<String> = row.which.iter().take(4).map(ToString::to_string).collect();
    let more = if row.which.len() > 4 {
        format!(" and {} more", count(row.which.len() - 4, "stretch").replace("stretchs", "stretches"))
    } else {
        String::new()
    };
    sheet.text(0, &format!("{}: {}{more}", text::plain(&row.area_name), which.join(", ")), view.theme.accent);
    let lot = row.lot.as_ref().zip(row.stage).map(|(l, s)| format!(" In lot {l}, {}.", s.label())).unwrap_or_default();
    sheet.text(0, &format!("{}.{lot}", capital(row.title.trim_end_matches('.'))), view.theme.text);
    for words in &row.assumed {
        let lead = vec![(format!("{} ", view.glyphs.warn), view.theme.warning)];
        sheet.item(0, lead, &format!("{}.", capital(words)), view.theme.warning);
    }
    sheet.text(0, &format!("{}: {}", row.kind, row.make_up), view.theme.text);
    let dates = [
        ("in service", row.since.map(|d| d.to_string())),
        ("made", row.made.map(|d| d.to_string())),
        ("tested", row.tested.map(|d| d.to_string())),
    ];
    let dates: Vec<String> = dates
        .into_iter()
        .map(|(w, d)| {
            format!("{w} {}", d.unwrap_or_else(|| if w == "tested" { "never" } else { "not known" }.to_owned()))
        })
        .collect();
    sheet.text(0, &format!("{}.", capital(&dates.join("; "))), view.theme.text);
    if !row.then.is_empty() {
        let then: Vec<String> = row.then.iter().map(ToString::to_string).collect();
        sheet.text(0, &format!("If each sample passes, due again {}.", then.join(", ")), view.theme.dim);
    }
    let clause = if row.clause.is_empty() { String::new() } else { format!("{}; ", row.clause) };
    sheet.text(0, &format!("{} ({clause}{})", row.because, row.confidence.means()), view.theme.dim);
    sheet
}
