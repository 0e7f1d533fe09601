//! The app: a stack of screens around one open site. It turns terminal events into input, carries out effects, and
//! draws the frame that every screen stands in: site and round above, message and keys below, the impairment banner.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use chrono::{DateTime, FixedOffset, NaiveDate};
use crossterm::event::{Event, KeyEventKind};
use ratatui::Frame;
use ratatui::layout::Position;

use super::ask::Confirm;
use super::chrome;
use super::glyphs::Glyphs;
use super::keys::{Key, Strikes, Tables};
use super::screen::{Effect, Input, Message, Screen, View};
use super::theme::Theme;
use crate::diag::{Diagnostic, Severity};
use crate::record::desk::{Clock, Desk, Who};
use crate::record::journal::Mode;
use crate::record::places::{Places, Recent};
use crate::record::rule_offers::Offers;
use crate::round::entry::{Id, Marks, What};
use crate::round::layout::HeadIx;

/// How many of the things noticed at opening are shown one by one.
const MOST_SHOWN: usize = 4;

/// What the app is started with.
pub struct Setting {
    /// Clock and chance.
    pub clock: Box<dyn Clock>,
    /// The day it is taken to be, where the person fixed it.
    pub on: Option<NaiveDate>,
    /// Who opens sites.
    pub who: Who,
    /// Where the program keeps its own data, if it has a place.
    pub data: Option<PathBuf>,
    /// Colours.
    pub theme: &'static Theme,
    /// Characters.
    pub glyphs: &'static Glyphs,
    /// Makes the demo's site file and says where it is.
    pub demo: Box<dyn Fn() -> Result<PathBuf, Box<Diagnostic>>>,
    /// The screen to start from when no site is open.
    pub opening: fn() -> Box<dyn Screen>,
    /// The screen to start from when a site is open.
    pub overview: fn(&Desk) -> Box<dyn Screen>,
    /// The help screen over the names and keys of screens, the one on top first.
    pub help: fn(&View<'_>, Tables) -> Box<dyn Screen>,
    /// The screen that shows a diagnostic.
    pub trouble: fn(Box<Diagnostic>) -> Box<dyn Screen>,
}

/// The app.
pub struct App {
    setting: Setting,
    stack: Vec<Box<dyn Screen>>,
    desk: Option<Desk>,
    places: Places,
    there: Vec<bool>,
    offers: Offers,
    line: Option<(Severity, String)>,
    strikes: Strikes,
    now: DateTime<FixedOffset>,
    struck: DateTime<FixedOffset>,
    done: bool,
}

impl App {
    /// An app on its opening screen.
    #[must_use]
    pub fn new(setting: Setting) -> Self {
        let places = setting.data.as_deref().map(Places::load).unwrap_or_default();
        let now = setting.clock.now();
        let stack = vec![(setting.opening)()];
        let there = places.recent.iter().map(Recent::is_there).collect();
        let offers = Offers::new(None, setting.who.rules.as_deref());
        Self {
            setting,
            stack,
            desk: None,
            places,
            there,
            offers,
            line: None,
            strikes: Strikes::default(),
            now,
            struck: now,
            done: false,
        }
    }

    /// Opens a site file at once, as if it had been chosen.
    pub fn open(&mut self, path: &Path) {
        self.carry_out(Effect::Open(path.to_owned()));
    }

    /// Whether the person has left.
    #[must_use]
    pub const fn is_done(&self) -> bool {
        self.done
    }

    /// The open site.
    #[must_use]
    pub const fn desk(&self) -> Option<&Desk> {
        self.desk.as_ref()
    }

    /// The name of the screen on top.
    #[must_use]
    pub fn top(&self) -> &'static str {
        self.stack.last().map_or("", |s| s.name())
    }

    /// The keys of the screen on top.
    #[must_use]
    pub fn keys(&self) -> Vec<super::keys::KeyLine> {
        self.stack.last().map(|s| s.keys(&self.view())).unwrap_or_default()
    }

    /// Takes one terminal event that comes just now. Whether anything may look different comes back.
    pub fn take(&mut self, event: &Event) -> bool {
        self.take_struck(event, self.setting.clock.now())
    }

    /// The same for an event that came at `struck`. A second stroke waits while the first is written to a slow disk: what
    /// tells a glove's double strike is when keys were struck, not when their turn came.
    pub fn take_struck(&mut self, event: &Event, struck_at: DateTime<FixedOffset>) -> bool {
        self.now = self.setting.clock.now();
        self.struck = struck_at;
        match event {
            Event::Key(key) if Key::is_interrupt(key) => {
                self.done = true;
                false
            }
            Event::Key(key) if key.kind != KeyEventKind::Release => {
                let raw = self.stack.last().is_some_and(|s| s.takes_text());
                let Some(struck) = Key::of(key, raw) else { return false };
                if key.kind == KeyEventKind::Repeat && !struck.moves() && !raw {
                    return false;
                }
                let again = self.strikes.is_double(struck, struck_at.timestamp_millis());
                self.strike(struck, again);
                true
            }
            Event::Paste(text) => {
                if self.stack.last().is_some_and(|s| s.takes_text()) {
                    self.feed(&Input::Paste(text.clone()));
                } else {
                    self.line = Some((Severity::Warning, "Pasted text is taken only by a text field".to_owned()));
                }
                true
            }
            Event::Resize(..) => true,
            _ => false,
        }
    }

    /// Whether a time runs, shown or below what is shown: a stopwatch has to see the clock go on.
    #[must_use]
    pub fn is_running(&self) -> bool {
        self.stack.iter().any(|s| s.is_running())
    }

    /// Lets all screens go on to the present moment.
    pub fn tick(&mut self) {
        self.now = self.setting.clock.now();
        let mut stack = std::mem::take(&mut self.stack);
        let effects: Vec<Effect> = stack.iter_mut().flat_map(|s| s.tick(&self.view())).collect();
        self.stack = stack;
        for effect in effects {
            self.carry_out(effect);
        }
    }

    fn strike(&mut self, key: Key, again: bool) {
        self.line = None;
        let own = self.stack.last().is_some_and(|s| s.takes_text() || s.explains(&self.view()));
        if key == Key::Char('?') && !again && !own && self.top() != "help" {
            let help = (self.setting.help)(&self.view(), self.keys_for_help());
            self.stack.push(help);
            return;
        }
        self.feed(&if again { Input::Again(key) } else { Input::Key(key) });
    }

    /// The keys of the screen on top, and of those below it that kept `?` for themselves.
    fn keys_for_help(&self) -> Tables {
        let view = self.view();
        let mut below = self.stack.iter().rev();
        let top = below.next().map(|s| (s.name(), s.keys(&view)));
        top.into_iter().chain(below.take_while(|s| s.explains(&view)).map(|s| (s.name(), s.keys(&view)))).collect()
    }

    fn feed(&mut self, input: &Input) {
        let Some(mut top) = self.stack.pop() else { return };
        let effects = top.update(input, &self.view());
        self.stack.push(top);
        for effect in effects {
            if !self.carry_out(effect) {
                return;
            }
        }
    }

    fn say(&mut self, message: &Message) {
        let Some(mut top) = self.stack.pop() else { return };
        top.hear(message, &self.view());
        self.stack.push(top);
    }

    fn view(&self) -> View<'_> {
        View {
            desk: self.desk.as_ref(),
            recent: &self.places.recent,
            there: &self.there,
            places: &self.places,
            offers: &self.offers,
            theme: self.setting.theme,
            glyphs: self.setting.glyphs,
            today: self.today(),
            now: self.now,
            struck: self.struck,
        }
    }

    fn today(&self) -> NaiveDate {
        self.setting.on.unwrap_or_else(|| self.now.date_naive())
    }

    /// Carries out one effect; whether it went well comes back.
    fn carry_out(&mut self, effect: Effect) -> bool {
        match effect {
            Effect::Push(screen) => self.stack.push(screen),
            Effect::Pop => self.pop(),
            Effect::Swap(screen) => {
                self.stack.pop();
                self.stack.push(screen);
            }
            Effect::PopTo(name) => {
                while self.stack.len() > 1 && self.top() != name {
                    self.stack.pop();
                }
                self.say(&Message::Back);
            }
            Effect::Say(message) => self.say(&message),
            Effect::Chance => {
                let [a, b, c, d, ..] = self.setting.clock.random().to_le_bytes();
                self.say(&Message::Chance(u32::from_le_bytes([a, b, c, d])));
            }
            Effect::Record(drafts) => {
                let drafts = drafts.into_iter().map(|d| (d.what, d.marks)).collect();
                return self.write(|desk, clock| desk.record(drafts, clock));
            }
            Effect::Begin { name, begin } => {
                let drafts = vec![(What::Begin(begin), Marks::default())];
                return self.write(|desk, clock| desk.record_in(Arc::from(name), drafts, clock));
            }
            Effect::Sign { name, licence, date, note } => {
                return self.write(|desk, clock| desk.sign(name, licence, date, note, clock).map(|id| vec![id]));
            }
            Effect::Undo => return self.undo(false),
            Effect::Redo => return self.undo(true),
            Effect::Open(path) => return self.open_site(&path),
            Effect::Demo => {
                return match (self.setting.demo)() {
                    Ok(path) => self.open_site(&path),
                    Err(trouble) => self.trouble(trouble),
                };
            }
            Effect::Create { path, mut register } => {
                if register.site.id.is_empty() {
                    let millis = u64::try_from(self.now.timestamp_millis()).unwrap_or(0);
                    register.site.id = Id::after(None, millis, self.setting.clock.random()).to_string();
                }
                let text = crate::trade::register_write::write(&register);
                return match crate::record::export::new_site(&path, &text) {
                    Ok(()) => self.open_site(&path),
                    Err(trouble) => self.trouble(trouble),
                };
            }
            Effect::Close => {
                self.desk = None;
                self.offers = Offers::new(None, self.setting.who.rules.as_deref());
                self.stack.clear();
                self.stack.push((self.setting.opening)());
                self.look_for_recent();
            }
            Effect::Write { files, over } => return self.write_files(files, over),
            Effect::Remember(head) => self.remember(head),
            Effect::Tell(text) => self.line = Some((Severity::Note, text)),
            Effect::Warn(text) => self.line = Some((Severity::Warning, text)),
            Effect::Show(trouble) => {
                self.trouble(trouble);
            }
            Effect::NextTheme => {
                self.setting.theme = self.setting.theme.next();
                self.places.theme = Some(self.setting.theme.name.to_owned());
                self.line = Some((Severity::Note, format!("Theme: {}", self.setting.theme.name)));
                self.keep_places();
            }
            Effect::Quit => self.done = true,
        }
        true
    }

    /// Writes files; where one is there already, a question comes up that writes them all over.
    fn write_files(&mut self, files: Vec<(PathBuf, String)>, over: bool) -> bool {
        for (path, text) in &files {
            match crate::record::export::write_out(path, text, over) {
                Ok(()) => {}
                Err(trouble) if trouble.code == "exists" => {
                    let question = format!("{} is there already. Replace it?", path.display());
                    let again = move |(), _: &View<'_>| vec![Effect::Write { files: files.clone(), over: true }];
                    self.stack.push(Confirm::new("Replace?", crate::tui::text::plain(&question), Box::new(again)));
                    return false;
                }
                Err(trouble) => return self.trouble(trouble),
            }
        }
        let names: Vec<String> = files.iter().map(|(path, _)| path.display().to_string()).collect();
        self.line = Some((Severity::Note, format!("Written: {}", names.join(", "))));
        true
    }

    fn look_for_recent(&mut self) {
        self.there = self.places.recent.iter().map(Recent::is_there).collect();
    }

    fn pop(&mut self) {
        if self.stack.len() > 1 {
            self.stack.pop();
            self.say(&Message::Back);
        } else {
            self.done = true;
        }
    }

    /// Records something; a failure is shown over the top screen, with nothing lost below.
    fn write(&mut self, how: impl FnOnce(&mut Desk, &dyn Clock) -> Result<Vec<Id>, Box<Diagnostic>>) -> bool {
        let Some(desk) = &mut self.desk else { return false };
        match how(desk, self.setting.clock.as_ref()) {
            Ok(ids) => {
                self.say(&Message::Recorded(ids));
                true
            }
            Err(trouble) => {
                self.say(&Message::Failed);
                self.trouble(trouble)
            }
        }
    }

    fn undo(&mut self, redo: bool) -> bool {
        let Some(desk) = &mut self.desk else { return false };
        let clock = self.setting.clock.as_ref();
        match if redo { desk.redo(clock) } else { desk.undo(clock) } {
            Ok(Some((id, words))) => {
                self.line = Some((Severity::Note, words));
                self.say(&Message::Undone(id));
                true
            }
            Ok(None) => {
                let words = if redo { "Nothing to bring back" } else { "Nothing of yours to take back" };
                self.line = Some((Severity::Note, words.to_owned()));
                true
            }
            Err(trouble) => {
                self.say(&Message::Failed);
                self.trouble(trouble)
            }
        }
    }

    /// Shows a diagnostic on top; `false`, because whatever led to it did not go well.
    fn trouble(&mut self, trouble: Box<Diagnostic>) -> bool {
        let screen = (self.setting.trouble)(trouble);
        self.stack.push(screen);
        false
    }

    fn open_site(&mut self, path: &Path) -> bool {
        match Desk::open(path, Mode::Write, &self.setting.who, self.setting.clock.as_ref(), None) {
            Ok((desk, notices)) => {
                let site = &desk.state().register().site;
                let recent = Recent { path: desk.path().to_owned(), name: site.name.clone(), at: self.now };
                self.places.opened(recent);
                let overview = (self.setting.overview)(&desk);
                self.offers = Offers::new(Some(desk.path()), self.setting.who.rules.as_deref());
                self.desk = Some(desk);
                self.stack.clear();
                self.stack.push((self.setting.opening)());
                self.stack.push(overview);
                self.say(&Message::Back);
                self.tell_first(path, notices);
                self.look_for_recent();
                self.keep_places();
                true
            }
            Err(troubles) => {
                self.tell_first(path, troubles);
                false
            }
        }
    }

    /// Shows the first of what was noticed, the very first on top, and says where the others are listed: nobody in gloves closes
    /// a hundred screens one by one.
    fn tell_first(&mut self, path: &Path, notices: Vec<Diagnostic>) {
        let mut weighty: Vec<Diagnostic> = notices.into_iter().filter(|n| n.severity > Severity::Note).collect();
        let rest = weighty.len().saturating_sub(MOST_SHOWN);
        if rest > 1 {
            weighty.truncate(MOST_SHOWN);
            let file = path.display().to_string();
            let help = format!("'headround check {file}' lists them all");
            let what = format!("{rest} more things were noticed in this file");
            weighty.push(Diagnostic::about(Severity::Warning, "more", file, what).help(help));
        }
        for notice in weighty.into_iter().rev() {
            self.trouble(Box::new(notice));
        }
    }

    fn remember(&mut self, head: HeadIx) {
        let Some(state) = self.desk.as_ref().map(Desk::state) else { return };
        if let Some(address) = state.address(head) {
            self.places.stood.insert(state.register().site.id.clone(), address);
            self.keep_places();
        }
    }

    /// Trouble with the program's own memory is told and stops nothing.
    fn keep_places(&mut self) {
        if let Some(folder) = &self.setting.data
            && let Err(error) = self.places.save(folder)
        {
            self.line = Some((Severity::Warning, format!("Where you are cannot be kept in mind: {error}")));
        }
    }

    /// Draws everything.
    pub fn draw(&self, frame: &mut Frame<'_>) {
        let view = self.view();
        let area = frame.area();
        let caret: Option<Position> = chrome::draw(&self.stack, self.line.as_ref(), &view, area, frame.buffer_mut());
        if let Some(caret) = caret {
            frame.set_cursor_position(caret);
        }
    }
}
