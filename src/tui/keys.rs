//! Keys: what a terminal sends, reduced to what gloves can strike, and the tables that bind keys to actions. A key can
//! only be handled where it is listed, so footers, help and docs cannot drift from what works.

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

/// A key that a screen can bind. There are no chords and no function keys.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Key {
    /// A character; letters arrive in lower case unless a text field is focused.
    Char(char),
    /// The space bar.
    Space,
    /// Enter.
    Enter,
    /// Escape: always back, never a loss.
    Esc,
    /// Tab.
    Tab,
    /// Shift and Tab; every use has a twin without it.
    BackTab,
    /// Backspace.
    Backspace,
    /// Delete.
    Delete,
    /// Up.
    Up,
    /// Down.
    Down,
    /// Left.
    Left,
    /// Right.
    Right,
    /// Home.
    Home,
    /// End.
    End,
    /// Page up.
    PageUp,
    /// Page down.
    PageDown,
}

impl Key {
    /// The key of a terminal event, or `None` for releases and for keys nobody binds. `raw` keeps a letter's case.
    #[must_use]
    pub fn of(event: &KeyEvent, raw: bool) -> Option<Self> {
        if event.kind == KeyEventKind::Release {
            return None;
        }
        if event.modifiers.intersects(KeyModifiers::CONTROL | KeyModifiers::ALT | KeyModifiers::SUPER) {
            return None;
        }
        Some(match event.code {
            KeyCode::Char(' ') => Self::Space,
            KeyCode::Char(c) if raw => Self::Char(c),
            KeyCode::Char(c) => Self::Char(c.to_ascii_lowercase()),
            KeyCode::Enter => Self::Enter,
            KeyCode::Esc => Self::Esc,
            KeyCode::Tab => Self::Tab,
            KeyCode::BackTab => Self::BackTab,
            KeyCode::Backspace => Self::Backspace,
            KeyCode::Delete => Self::Delete,
            KeyCode::Up => Self::Up,
            KeyCode::Down => Self::Down,
            KeyCode::Left => Self::Left,
            KeyCode::Right => Self::Right,
            KeyCode::Home => Self::Home,
            KeyCode::End => Self::End,
            KeyCode::PageUp => Self::PageUp,
            KeyCode::PageDown => Self::PageDown,
            _ => return None,
        })
    }

    /// Whether the event asks to leave the program at once (Ctrl-C): nothing is ever unsaved, so it may.
    #[must_use]
    pub fn is_interrupt(event: &KeyEvent) -> bool {
        event.kind != KeyEventKind::Release
            && event.modifiers.contains(KeyModifiers::CONTROL)
            && matches!(event.code, KeyCode::Char('c' | 'C'))
    }

    /// Whether holding the key down may repeat it without harm.
    #[must_use]
    pub const fn moves(self) -> bool {
        matches!(
            self,
            Self::Up
                | Self::Down
                | Self::Left
                | Self::Right
                | Self::Home
                | Self::End
                | Self::PageUp
                | Self::PageDown
                | Self::Backspace
                | Self::Delete
        )
    }

    /// The key's name as footers and docs write it.
    #[must_use]
    pub fn name(self) -> String {
        match self {
            Self::Char(c) => c.to_string(),
            Self::Space => "Space".into(),
            Self::Enter => "Enter".into(),
            Self::Esc => "Esc".into(),
            Self::Tab => "Tab".into(),
            Self::BackTab => "Shift-Tab".into(),
            Self::Backspace => "Backspace".into(),
            Self::Delete => "Del".into(),
            Self::Up => "Up".into(),
            Self::Down => "Down".into(),
            Self::Left => "Left".into(),
            Self::Right => "Right".into(),
            Self::Home => "Home".into(),
            Self::End => "End".into(),
            Self::PageUp => "PgUp".into(),
            Self::PageDown => "PgDn".into(),
        }
    }
}

/// One row of a screen's key table.
#[derive(Clone, Copy, Debug)]
pub struct Binding<A: 'static> {
    /// The keys that do it.
    pub keys: &'static [Key],
    /// What they do.
    pub action: A,
    /// A word or two for the footer.
    pub name: &'static str,
    /// A sentence for help and docs, without a full stop.
    pub help: &'static str,
    /// What comes first in a footer that is too short for all; 0 is first, 9 never stands in the footer.
    pub rank: u8,
}

/// A key table's row without its action, for footers, help and docs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeyLine {
    /// The keys, as written.
    pub keys: String,
    /// A word or two.
    pub name: String,
    /// A sentence.
    pub help: String,
    /// What comes first in a footer.
    pub rank: u8,
    /// Whether it does something just now; otherwise it is shown dimmed.
    pub works: bool,
}

/// Screens by name with their keys, for help over them.
pub type Tables = Vec<(&'static str, Vec<KeyLine>)>;

/// The action a key is bound to.
#[must_use]
pub fn find<A: Copy>(table: &[Binding<A>], key: Key) -> Option<A> {
    table.iter().find(|b| b.keys.contains(&key)).map(|b| b.action)
}

/// A table's rows for footers, help and docs; `works` tells whether an action does something just now.
#[must_use]
pub fn lines<A: Copy>(table: &[Binding<A>], works: impl Fn(A) -> bool) -> Vec<KeyLine> {
    table
        .iter()
        .map(|b| KeyLine {
            keys: key_names(b.keys),
            name: b.name.to_owned(),
            help: b.help.to_owned(),
            rank: b.rank,
            works: works(b.action),
        })
        .collect()
}

fn key_names(keys: &[Key]) -> String {
    use Key::{Down, Left, Right, Up};
    match keys {
        [Left, Right, Up, Down] => "arrows".to_owned(),
        [Up, Down] => "Up/Down".to_owned(),
        keys => keys.iter().map(|k| k.name()).collect::<Vec<_>>().join("/"),
    }
}

/// Milliseconds within which the same key struck again is taken for the glove and not for the hand.
pub const DOUBLE_STRIKE_MS: i64 = 120;

/// Tells a glove's double strike from a second stroke.
#[derive(Debug, Default)]
pub struct Strikes {
    last: Option<(Key, i64)>,
}

impl Strikes {
    /// Whether this stroke, at `millis`, repeats the last one too soon. Keys that only move may repeat freely.
    pub fn is_double(&mut self, key: Key, millis: i64) -> bool {
        let double = !key.moves()
            && self.last.is_some_and(|(last, at)| last == key && (0..DOUBLE_STRIKE_MS).contains(&(millis - at)));
        self.last = Some((key, millis));
        double
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_key_within_the_window_is_a_double_strike_and_movement_never_is() {
        let mut strikes = Strikes::default();
        let space = Key::Space;
        let cases = [
            (space, 1000, false),
            (space, 1080, true),
            (space, 1199, true),
            (space, 1319, false),
            (Key::Char('p'), 1330, false),
            (space, 1340, false),
            (Key::Right, 1350, false),
            (Key::Right, 1351, false),
            (Key::Char('u'), 900, false),
            (Key::Char('u'), 800, false),
        ];
        for (key, at, double) in cases {
            assert_eq!(strikes.is_double(key, at), double, "{key:?} at {at}");
        }
    }
}
