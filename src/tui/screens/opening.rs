//! The opening screen: what the program is, what it is not, the site files opened before, and the ways to another.

use std::path::PathBuf;

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::moves::{Cursor, MOVES, key_lines};
use super::new_site::NewSite;
use super::parts;
use crate::tui::ask::Line;
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::screen::{Effect, Input, Screen, View};
use crate::tui::text;

/// What the program is, in a sentence.
const WHAT: &str = "Inspect fire sprinklers head by head: what you see, what the adopted rules say of it, and a \
                    signed summary of the round.";

/// What must be said before anything else.
pub const CAUTIONS: [&str; 2] = [
    "It covers heads and what is around them, not valves, pipes, pumps or supply. A look from the floor cannot show that \
     a head will operate.",
    "The adopted code and the authority having jurisdiction decide. Work on a live system is for licensed people. \
     Never touch, scrape or wash a head to save it.",
];

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Open,
    Number,
    Demo,
    New,
    Path,
    Theme,
    Quit,
}

const fn digits() -> [Key; 9] {
    [
        Key::Char('1'),
        Key::Char('2'),
        Key::Char('3'),
        Key::Char('4'),
        Key::Char('5'),
        Key::Char('6'),
        Key::Char('7'),
        Key::Char('8'),
        Key::Char('9'),
    ]
}

const DIGITS: [Key; 9] = digits();

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Enter],
        action: Action::Open,
        name: "open",
        help: "open the site file one stands on",
        rank: 0,
    },
    Binding { keys: &DIGITS, action: Action::Number, name: "open", help: "open the site file of that number", rank: 9 },
    Binding {
        keys: &[Key::Char('d')],
        action: Action::Demo,
        name: "demo",
        help: "open the demo, a cannery and cold store that do not exist",
        rank: 1,
    },
    Binding {
        keys: &[Key::Char('n')],
        action: Action::New,
        name: "new site",
        help: "make a site file: its kinds of head, its first area",
        rank: 2,
    },
    Binding {
        keys: &[Key::Char('o')],
        action: Action::Path,
        name: "open by path",
        help: "open a site file by typing where it is",
        rank: 3,
    },
    Binding { keys: &[Key::Char('t')], action: Action::Theme, name: "theme", help: "the next theme", rank: 5 },
    Binding {
        keys: &[Key::Char('q'), Key::Esc],
        action: Action::Quit,
        name: "quit",
        help: "leave the program; whatever was recorded is on the disk already",
        rank: 4,
    },
];

/// The opening screen.
#[derive(Default)]
pub struct Opening {
    cursor: Cursor,
}

impl Opening {
    /// The opening screen on its first row.
    #[must_use]
    pub fn boxed() -> Box<dyn Screen> {
        Box::new(Self::default())
    }

    fn act(&self, action: Action, key: Key, view: &View<'_>) -> Vec<Effect> {
        match action {
            Action::Open => match view.recent.get(self.cursor.at) {
                Some(recent) => vec![Effect::Open(recent.path.clone())],
                None => vec![Effect::Warn("No site file was opened before: d opens the demo, n makes one".to_owned())],
            },
            Action::Number => {
                let number = DIGITS.iter().position(|k| *k == key).unwrap_or(usize::MAX);
                view.recent.get(number).map(|recent| Effect::Open(recent.path.clone())).into_iter().collect()
            }
            Action::Demo => vec![Effect::Demo],
            Action::New => vec![Effect::Push(NewSite::boxed(view))],
            Action::Path => {
                let check = |typed: &str, _: &View<'_>| {
                    if typed.is_empty() {
                        Err("Type where the file is, as in sites/quay.site.yaml".to_owned())
                    } else {
                        Ok(())
                    }
                };
                let then = |typed: String, _: &View<'_>| vec![Effect::Open(PathBuf::from(typed))];
                let prompt = "Where is the site file?";
                vec![Effect::Push(Line::new("Open a site file", prompt, "", Box::new(check), Box::new(then)))]
            }
            Action::Theme => vec![Effect::NextTheme],
            Action::Quit => vec![Effect::Quit],
        }
    }

    fn draw_recent(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) {
        // Where there is no room for a path in every row, the chosen one's stands below the list.
        let wide = area.width >= 100;
        let below = if wide || area.height < 3 { 0 } else { 2 };
        let list = Rect { height: area.height - below, ..area };
        let shown = u16::try_from(view.recent.len()).unwrap_or(u16::MAX).min(list.height);
        if let Some(recent) = view.recent.get(self.cursor.at).filter(|_| below > 0) {
            let row = Rect { y: area.y + shown + 1, height: 1, ..area };
            let path = recent.path.display().to_string();
            put(buf, row, 5, &tail(&path, usize::from(row.width.saturating_sub(5)), view), view.theme.dim, view);
        }
        let area = list;
        let name = view.recent.iter().map(|r| text::width(&text::plain(&r.name))).max().unwrap_or(0).clamp(12, 32);
        // Sites of one name are told apart by their files.
        let files = view.recent.iter().filter(|r| view.recent.iter().filter(|o| o.name == r.name).count() > 1);
        let files = files.filter_map(|r| r.path.file_name()).map(|f| text::width(&text::plain(&f.to_string_lossy())));
        let wanted = files.max().unwrap_or(0).clamp(7, 32);
        for (n, at) in self.cursor.window(view.recent.len(), usize::from(area.height)).enumerate() {
            let (Ok(n), Some(recent)) = (u16::try_from(n), view.recent.get(at)) else { return };
            let row = Rect { y: area.y + n, height: 1, ..area };
            let here = at == self.cursor.at;
            let there = view.there.get(at).copied().unwrap_or(false);
            let number = if at < 9 { (at + 1).to_string() } else { " ".to_owned() };
            let column = put(buf, row, 0, if here { view.glyphs.point_right } else { " " }, view.theme.accent, view);
            let column = put(buf, row, column + 1, &number, view.theme.key, view);
            let shown = text::pad(&text::plain(&recent.name), name, view.glyphs.ellipsis);
            let style = if there { view.theme.text } else { view.theme.dim };
            let column = put(buf, row, column + 2, &shown, style, view);
            let when = recent.at.format("%Y-%m-%d %H:%M").to_string();
            let column = put(buf, row, column + 2, &when, view.theme.dim, view);
            let same = view.recent.iter().filter(|r| r.name == recent.name).count() > 1;
            let (word, style) = match recent.path.file_name().filter(|_| same) {
                _ if !there => ("missing".to_owned(), view.theme.warning),
                Some(file) => (text::plain(&file.to_string_lossy()), view.theme.good),
                None => ("found".to_owned(), view.theme.good),
            };
            let space = usize::from(row.width.saturating_sub(column + 2)).min(wanted);
            let word = text::pad(&word, space, view.glyphs.ellipsis);
            let column = put(buf, row, column + 2, &word, style, view);
            if wide {
                let room = usize::from(row.width.saturating_sub(column + 2));
                put(buf, row, column + 2, &tail(&recent.path.display().to_string(), room, view), view.theme.dim, view);
            }
            if here {
                parts::select(row, view, buf);
            }
        }
    }
}

/// The end of a text, with a mark where its beginning was cut off: the end of a path tells more than its beginning.
fn tail(words: &str, columns: usize, view: &View<'_>) -> String {
    let words = text::plain(words);
    if text::width(&words) <= columns {
        return words;
    }
    let mark = view.glyphs.ellipsis;
    let room = columns.saturating_sub(text::width(mark));
    let mut rest = words.as_str();
    while text::width(rest) > room {
        let mut chars = rest.chars();
        chars.next();
        rest = chars.as_str();
    }
    text::truncate(&format!("{mark}{rest}"), columns, mark)
}

/// The program's name, set wide.
fn lettering(view: &View<'_>, row: Rect, buf: &mut Buffer) {
    let spaced: Vec<String> = "HEADROUND".chars().map(String::from).collect();
    put(buf, row, 0, &spaced.join(" "), view.theme.title, view);
}

impl Screen for Opening {
    fn name(&self) -> &'static str {
        "opening"
    }

    fn keys(&self, view: &View<'_>) -> Vec<KeyLine> {
        let any = !view.recent.is_empty();
        let mut own = lines(KEYS, |a| any || !matches!(a, Action::Open | Action::Number));
        if let Some(digits) = own.get_mut(1) {
            digits.keys = "1-9".to_owned();
        }
        own.extend(key_lines(any));
        own
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        if let Some(action) = find(KEYS, *key) {
            return self.act(action, *key, view);
        }
        if let Some(by) = find(MOVES, *key) {
            self.cursor.step(by, view.recent.len());
        }
        Vec::new()
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let margin = if area.width >= 76 { 3 } else { 1 };
        let mut rest = Rect { x: area.x + margin, width: area.width.saturating_sub(2 * margin), ..area };
        let roomy = area.height >= 18;
        let skip = |rest: &mut Rect, rows: u16| {
            let rows = rows.min(rest.height);
            rest.y += rows;
            rest.height -= rows;
        };
        if roomy {
            skip(&mut rest, 1);
        }
        lettering(view, Rect { height: rest.height.min(1), ..rest }, buf);
        skip(&mut rest, if roomy { 2 } else { 1 });
        let columns = usize::from(rest.width).min(88);
        for line in text::wrap(WHAT, columns) {
            put(buf, Rect { height: rest.height.min(1), ..rest }, 0, &line, view.theme.text, view);
            skip(&mut rest, 1);
        }
        skip(&mut rest, u16::from(area.height >= 12));
        for caution in CAUTIONS {
            for (n, line) in text::wrap(caution, columns.saturating_sub(2)).iter().enumerate() {
                let row = Rect { height: rest.height.min(1), ..rest };
                if n == 0 {
                    put(buf, row, 0, view.glyphs.warn, view.theme.warning, view);
                }
                put(buf, row, 2, line, view.theme.dim, view);
                skip(&mut rest, 1);
            }
        }
        skip(&mut rest, u16::from(roomy));
        let row = Rect { height: rest.height.min(1), ..rest };
        if view.recent.is_empty() {
            skip(&mut rest, u16::from(roomy));
            for (key, words) in [
                ("d", "opens the demo, a cannery and cold store that do not exist"),
                ("n", "makes a site file of your own"),
                ("o", "opens one by its path"),
            ] {
                let row = Rect { height: rest.height.min(1), ..rest };
                let column = put(buf, row, 0, key, view.theme.key, view);
                put(buf, row, column + 2, words, view.theme.text, view);
                skip(&mut rest, 1);
            }
            return None;
        }
        put(buf, row, 0, "Site files", view.theme.title, view);
        skip(&mut rest, 1);
        self.draw_recent(view, rest, buf);
        None
    }
}
