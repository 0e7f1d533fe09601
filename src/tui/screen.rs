//! What a screen is: a key table, an update that turns input into effects, and a drawing that changes nothing. What
//! touches the world is an [`Effect`], carried out in one place.

use std::path::PathBuf;

use chrono::{DateTime, FixedOffset, NaiveDate};
use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::glyphs::Glyphs;
use super::keys::{Key, KeyLine};
use super::theme::Theme;
use crate::diag::Diagnostic;
use crate::record::desk::Desk;
use crate::record::places::{Places, Recent};
use crate::record::rule_offers::Offers;
use crate::round::entry::{Begin, Id, Marks, What};
use crate::round::layout::HeadIx;
use crate::rules::model::SignIx;
use crate::trade::register::{KindIx, Register};

/// What a screen may look at and not change.
pub struct View<'a> {
    /// The open site, if one is open.
    pub desk: Option<&'a Desk>,
    /// Site files opened before, latest first.
    pub recent: &'a [Recent],
    /// Whether each of those files was there when the program last looked.
    pub there: &'a [bool],
    /// Where one left off, by site.
    pub places: &'a Places,
    /// The rule sets there are to choose from.
    pub offers: &'a Offers,
    /// Styles by meaning.
    pub theme: &'a Theme,
    /// Characters to draw with.
    pub glyphs: &'a Glyphs,
    /// The day it is taken to be.
    pub today: NaiveDate,
    /// The moment of the input, or of the drawing while a stopwatch runs.
    pub now: DateTime<FixedOffset>,
    /// The moment the last key was struck, however late its turn came.
    pub struck: DateTime<FixedOffset>,
}

/// What reaches a screen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Input {
    /// A key was struck.
    Key(Key),
    /// The same key again, so soon that it may be the glove: it must never write.
    Again(Key),
    /// Text was pasted; only a focused text field takes it.
    Paste(String),
}

/// What a screen below hears when something happened above it.
#[derive(Clone, Debug)]
pub enum Message {
    /// Go to that head.
    Goto(HeadIx),
    /// These entries were recorded, in order.
    Recorded(Vec<Id>),
    /// An entry was taken back or brought back.
    Undone(Id),
    /// Something could not be recorded.
    Failed,
    /// A sign was chosen from a list, as if its letter had been struck.
    Sign(SignIx),
    /// A kind of head was chosen from a list.
    Kind(KindIx),
    /// A number that chance gave.
    Chance(u32),
    /// A screen above was left.
    Back,
}

/// An entry about to be recorded.
#[derive(Clone, Debug)]
pub struct Draft {
    /// What it says.
    pub what: What,
    /// Links.
    pub marks: Marks,
}

impl From<What> for Draft {
    fn from(what: What) -> Self {
        Self { what, marks: Marks::default() }
    }
}

/// Something to be done in the world or with the stack of screens. Effects are carried out in order; where one fails,
/// those behind it are left undone, so that a form that could not be recorded stays with what was typed into it.
pub enum Effect {
    /// Put a screen on top.
    Push(Box<dyn Screen>),
    /// Leave the top screen; the one below hears [`Message::Back`].
    Pop,
    /// Put a screen in place of the top one.
    Swap(Box<dyn Screen>),
    /// Leave screens until the one of that name is on top.
    PopTo(&'static str),
    /// Tell the screen that is on top by then.
    Say(Message),
    /// Tell the screen that is on top by then a number from chance.
    Chance,
    /// Record entries in one write; the top screen hears whether that worked.
    Record(Vec<Draft>),
    /// Begin a round under a name, or join the one that has it.
    Begin {
        /// The round's name.
        name: String,
        /// Day, inspector, purpose.
        begin: Box<Begin>,
    },
    /// Take back the last entry.
    Undo,
    /// Bring back what was taken back last.
    Redo,
    /// Open a site file.
    Open(PathBuf),
    /// Open the demo.
    Demo,
    /// Make a new site file and open it. A register without an identity gets one.
    Create {
        /// Where.
        path: PathBuf,
        /// Its register.
        register: Box<Register>,
    },
    /// Close the open site.
    Close,
    /// Write files beside the site file, such as the summary; asks before it replaces any that is there.
    Write {
        /// Where, and what.
        files: Vec<(PathBuf, String)>,
        /// Whether existing files may be replaced.
        over: bool,
    },
    /// Sign the round: the digest is worked out from the file at that moment.
    Sign {
        /// Full name.
        name: String,
        /// Licence number.
        licence: String,
        /// The day it is signed for.
        date: NaiveDate,
        /// Free text.
        note: Option<String>,
    },
    /// Keep in mind where one is.
    Remember(HeadIx),
    /// Show a line at the bottom until the next key.
    Tell(String),
    /// The same, as a warning.
    Warn(String),
    /// Show a diagnostic on its own screen.
    Show(Box<Diagnostic>),
    /// Next theme.
    NextTheme,
    /// Leave the program.
    Quit,
}

/// One screen.
pub trait Screen {
    /// Its name, as help and docs call it; unique.
    fn name(&self) -> &'static str;

    /// Its keys, with whether each does something just now.
    fn keys(&self, view: &View<'_>) -> Vec<KeyLine>;

    /// Takes one input and says what is to be done.
    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect>;

    /// Hears what happened above it or through its effects.
    fn hear(&mut self, _message: &Message, _view: &View<'_>) {}

    /// Draws itself; where a text caret stands comes back.
    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position>;

    /// Whether `?` is a key of the screen's own just now: what it stands on has a ruling to explain. Help is then one `?`
    /// further.
    fn explains(&self, _view: &View<'_>) -> bool {
        false
    }

    /// Whether a text field is focused: characters then arrive as typed, and `?` is a character.
    fn takes_text(&self) -> bool {
        false
    }

    /// Whether it shows a time that runs: it is then drawn several times a second, and otherwise only when something happens.
    fn is_running(&self) -> bool {
        false
    }

    /// Looks at the clock while such a time runs.
    fn tick(&mut self, _view: &View<'_>) -> Vec<Effect> {
        Vec::new()
    }

    /// Whether the screen below shows through around it (a question, a menu).
    fn is_overlay(&self) -> bool {
        false
    }
}
