//! Test support: the app driven by written keys, with a clock that only moves when a key is struck, and its screen as
//! text. Not part of the program; public so that tests outside the library can use it.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};

use chrono::{DateTime, FixedOffset, TimeZone as _};
use crossterm::event::{Event, KeyCode, KeyEvent, KeyModifiers};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::app::{App, Setting};
use super::chrome::put;
use super::glyphs::Glyphs;
use super::keys::{Binding, DOUBLE_STRIKE_MS, Key, KeyLine, find, lines};
use super::screen::{Effect, Input, Screen, View};
use super::snap;
use super::theme::Theme;
use crate::diag::{Diagnostic, Severity};
use crate::record::desk::{Clock, Desk, Who};
use crate::round::words::entry_words;

/// A clock that stands still between keys, and chance that is none. Clones share the moment.
#[derive(Clone, Debug)]
pub struct TestClock {
    millis: Arc<AtomicI64>,
    drawn: Arc<AtomicU64>,
}

/// Five hours west of Greenwich, as the sample sites are.
const OFFSET: i32 = -5 * 3600;

impl TestClock {
    /// A clock at a moment such as `2026-11-25T09:00:00-05:00`; at the start of 1970 where it is no moment.
    #[must_use]
    pub fn at(moment: &str) -> Self {
        let millis = DateTime::parse_from_rfc3339(moment).map_or(0, |at| at.timestamp_millis());
        Self { millis: Arc::new(AtomicI64::new(millis)), drawn: Arc::new(AtomicU64::new(0)) }
    }

    /// Lets time pass.
    pub fn pass(&self, millis: i64) {
        self.millis.fetch_add(millis, Ordering::SeqCst);
    }
}

impl Clock for TestClock {
    fn now(&self) -> DateTime<FixedOffset> {
        let utc = DateTime::from_timestamp_millis(self.millis.load(Ordering::SeqCst)).unwrap_or_default();
        match FixedOffset::east_opt(OFFSET) {
            Some(offset) => offset.from_utc_datetime(&utc.naive_utc()),
            None => utc.fixed_offset(),
        }
    }

    fn random(&self) -> u128 {
        u128::from(self.drawn.fetch_add(1, Ordering::SeqCst))
    }
}

/// What an app is started with in a test: Ines Tidewell's short name, no data folder, the default theme, Unicode, and
/// plain stand-ins for the screens that the app is given. Replace what the test is about.
#[must_use]
pub fn setting(clock: &TestClock) -> Setting {
    Setting {
        clock: Box::new(clock.clone()),
        on: None,
        who: Who { by: "ines".to_owned(), host: "bench".to_owned(), pid: 1, rules: None },
        data: None,
        theme: Theme::terminal(),
        glyphs: Glyphs::unicode(),
        demo: Box::new(|| {
            Err(Box::new(Diagnostic::about(Severity::Error, "no-demo", "demo", "there is no demo in this test")))
        }),
        opening: || Page::boxed("opening", String::new()),
        overview: |_: &Desk| Page::boxed("overview", String::new()),
        help: |_, screens| {
            let text = screens.iter().map(|(name, keys)| {
                let keys: Vec<String> = keys.iter().map(|k| format!("{}  {}", k.keys, k.help)).collect();
                format!("{name}\n{}", keys.join("\n"))
            });
            Page::boxed("help", text.collect::<Vec<_>>().join("\n"))
        },
        trouble: |trouble| Page::boxed("trouble", format!("{}: {}", trouble.code, trouble.message)),
    }
}

/// A page of text that Esc leaves: a stand-in for a screen that the test is not about.
pub struct Page {
    name: &'static str,
    text: String,
}

#[derive(Clone, Copy)]
struct Leave;

const PAGE: &[Binding<Leave>] =
    &[Binding { keys: &[Key::Esc], action: Leave, name: "back", help: "leave the page", rank: 0 }];

impl Page {
    /// A page under a screen's name.
    #[must_use]
    pub fn boxed(name: &'static str, text: String) -> Box<dyn Screen> {
        Box::new(Self { name, text })
    }
}

impl Screen for Page {
    fn name(&self) -> &'static str {
        self.name
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        lines(PAGE, |_| true)
    }

    fn update(&mut self, input: &Input, _: &View<'_>) -> Vec<Effect> {
        match input {
            Input::Key(key) if find(PAGE, *key).is_some() => vec![Effect::Pop],
            _ => Vec::new(),
        }
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        for (y, line) in (area.y..area.bottom()).zip(self.text.lines()) {
            put(buf, Rect { y, height: 1, ..area }, 0, line, view.theme.text, view);
        }
        None
    }
}

/// An app with hands on its keys.
pub struct Drive {
    app: App,
    clock: TestClock,
    struck: usize,
}

/// Milliseconds between two strokes of an unhurried hand.
const UNHURRIED_MS: i64 = 400;

impl Drive {
    /// An app on its opening screen. `clock` is the one the setting was made with.
    #[must_use]
    pub fn new(setting: Setting, clock: TestClock) -> Self {
        Self { app: App::new(setting), clock, struck: 0 }
    }

    /// An app with a site file open.
    #[must_use]
    pub fn on(path: &Path, setting: Setting, clock: TestClock) -> Self {
        let mut drive = Self::new(setting, clock);
        drive.app.open(path);
        drive
    }

    /// Strikes keys one after the other: `p1t Right Space ab`. A word that is a key's name as footers write it is that
    /// key, any other word is its characters.
    pub fn keys(&mut self, written: &str) -> &mut Self {
        for key in read_keys(written) {
            self.strike(key, UNHURRIED_MS);
        }
        self
    }

    /// Strikes keys as a glove does: each within the time in which the same key again counts as the glove's.
    pub fn hasty(&mut self, written: &str) -> &mut Self {
        for key in read_keys(written) {
            self.strike(key, DOUBLE_STRIKE_MS / 3);
        }
        self
    }

    /// Types text, capitals and spaces as they are.
    pub fn text(&mut self, typed: &str) -> &mut Self {
        for c in typed.chars() {
            self.strike(KeyCode::Char(c), UNHURRIED_MS);
        }
        self
    }

    /// Pastes text.
    pub fn paste(&mut self, pasted: &str) -> &mut Self {
        self.clock.pass(UNHURRIED_MS);
        self.app.take(&Event::Paste(pasted.to_owned()));
        self
    }

    /// Lets time pass without a key, and what is shown go on with it, ten times a second as in the loop.
    pub fn wait(&mut self, millis: i64) -> &mut Self {
        for _ in 0..millis / 100 {
            self.clock.pass(100);
            self.app.tick();
        }
        self.clock.pass(millis % 100);
        self.app.tick();
        self
    }

    /// Sets the clock forward, or back, between two ticks.
    pub fn set_clock(&mut self, millis: i64) -> &mut Self {
        self.clock.pass(millis);
        self.app.tick();
        self
    }

    fn strike(&mut self, code: KeyCode, after: i64) {
        self.clock.pass(after);
        self.struck += 1;
        self.app.take(&Event::Key(KeyEvent::new(code, KeyModifiers::NONE)));
    }

    /// How many keys were struck so far.
    #[must_use]
    pub const fn struck(&self) -> usize {
        self.struck
    }

    /// The app.
    #[must_use]
    pub const fn app(&self) -> &App {
        &self.app
    }

    /// The name of the screen on top.
    #[must_use]
    pub fn top(&self) -> &'static str {
        self.app.top()
    }

    /// Every entry of the open site in words, in order.
    #[must_use]
    pub fn entries(&self) -> Vec<String> {
        self.app.desk().map_or_else(Vec::new, |d| d.state().entries().iter().map(entry_words).collect())
    }

    /// The screen as it is drawn at a size.
    #[must_use]
    pub fn buffer(&self, columns: u16, rows: u16) -> Buffer {
        let mut buffer = Buffer::empty(Rect::new(0, 0, columns, rows));
        if let Ok(mut terminal) = Terminal::new(TestBackend::new(columns, rows))
            && terminal.draw(|frame| self.app.draw(frame)).is_ok()
        {
            buffer = terminal.backend().buffer().clone();
        }
        buffer
    }

    /// The screen as text with its styles, for snapshots.
    #[must_use]
    pub fn styled(&self, columns: u16, rows: u16) -> String {
        snap::styled(&self.buffer(columns, rows))
    }

    /// The screen as text alone.
    #[must_use]
    pub fn shown(&self, columns: u16, rows: u16) -> String {
        let mut text = self.styled(columns, rows);
        if let Some(at) = text.rfind("\nstyles\n") {
            text.truncate(at + 1);
        }
        text
    }

    /// The path of the open site file.
    #[must_use]
    pub fn path(&self) -> Option<PathBuf> {
        self.app.desk().map(|d| d.path().to_owned())
    }
}

/// Keys from their written form.
fn read_keys(written: &str) -> Vec<KeyCode> {
    let named = |word: &str| {
        Some(match word {
            "Space" => KeyCode::Char(' '),
            "Enter" => KeyCode::Enter,
            "Esc" => KeyCode::Esc,
            "Tab" => KeyCode::Tab,
            "Shift-Tab" => KeyCode::BackTab,
            "Backspace" => KeyCode::Backspace,
            "Del" => KeyCode::Delete,
            "Up" => KeyCode::Up,
            "Down" => KeyCode::Down,
            "Left" => KeyCode::Left,
            "Right" => KeyCode::Right,
            "Home" => KeyCode::Home,
            "End" => KeyCode::End,
            "PgUp" => KeyCode::PageUp,
            "PgDn" => KeyCode::PageDown,
            _ => return None,
        })
    };
    let mut keys = Vec::new();
    for word in written.split_whitespace() {
        match named(word) {
            Some(key) => keys.push(key),
            None => keys.extend(word.chars().map(KeyCode::Char)),
        }
    }
    keys
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_key_names_or_characters() {
        let space = KeyCode::Char(' ');
        assert_eq!(read_keys("p1 Space Esc"), [KeyCode::Char('p'), KeyCode::Char('1'), space, KeyCode::Esc]);
    }

    #[test]
    fn keys_reach_the_screen_and_time_passes_with_them() {
        let clock = TestClock::at("2026-11-25T09:00:00-05:00");
        let mut drive = Drive::new(setting(&clock), clock.clone());
        assert_eq!(drive.top(), "opening");
        drive.keys("?");
        assert_eq!((drive.top(), drive.struck()), ("help", 1));
        assert!(drive.shown(60, 12).contains("leave the page"), "{}", drive.shown(60, 12));
        drive.keys("Esc");
        assert_eq!(drive.top(), "opening");
        assert_eq!(clock.now().to_rfc3339(), "2026-11-25T09:00:00.800-05:00");
    }
}
