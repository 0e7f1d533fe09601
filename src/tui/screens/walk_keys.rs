//! The walk's key tables: one for walking, one for a defect being entered. Signs, parts and extents bring their keys
//! from the rule set; what a key does is elsewhere.

use crate::rules::model::RuleSet;
use crate::tui::keys::{Binding, Key, KeyLine};

/// What a key does while walking.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Action {
    /// Seen, and on to the next.
    Seen,
    /// One head to the left, or the end of the line before.
    Left,
    /// One head to the right, or the start of the next line.
    Right,
    /// The line above.
    Up,
    /// The line below.
    Down,
    /// Start of the line.
    LineStart,
    /// End of the line.
    LineEnd,
    /// Several lines up.
    PageUp,
    /// Several lines down.
    PageDown,
    /// The next head without an answer.
    NextOpen,
    /// The next head whose ruling asks for something.
    NextRuled,
    /// The next head that wants a close look.
    NextLook,
    /// To an address.
    Jump,
    /// By words.
    Find,
    /// The rest of a line or of the area as seen.
    Sweep,
    /// A note.
    Note,
    /// Not reached.
    Unreached,
    /// Could not be judged.
    Unsure,
    /// The same on the next heads.
    Like,
    /// The finding of an earlier round is still there.
    Still,
    /// The finding of an earlier round is gone.
    Gone,
    /// Take back.
    Undo,
    /// Bring back.
    Redo,
    /// The head's menu.
    Menu,
    /// Replaced from a cabinet.
    Replace,
    /// Why it is ruled as it is.
    Why,
    /// Another way of looking.
    How,
    /// Plan or list.
    List,
    /// Leave the area.
    Leave,
}

const fn row(
    keys: &'static [Key],
    action: Action,
    name: &'static str,
    help: &'static str,
    rank: u8,
) -> Binding<Action> {
    Binding { keys, action, name, help, rank }
}

/// Keys while walking.
pub const WALKING: &[Binding<Action>] = &[
    row(
        &[Key::Char('?')],
        Action::Why,
        "why",
        "explain the ruling of the head: rules, editions, cases as pictures; struck again, or where there is no ruling, help",
        0,
    ),
    row(
        &[Key::Space],
        Action::Seen,
        "seen",
        "record the head as seen and go to the next; one with an entry is passed",
        0,
    ),
    row(&[Key::Char('a')], Action::Still, "still there", "the finding of an earlier round is as it was", 1),
    row(
        &[Key::Char('z')],
        Action::Gone,
        "gone",
        "the finding of an earlier round is gone; or a head not reached or not judged before is now seen in order",
        1,
    ),
    row(&[Key::Char('w')], Action::Sweep, "sweep", "record the rest of the line or of the area as seen", 3),
    row(&[Key::Tab], Action::NextOpen, "next", "go to the next head without an answer", 4),
    row(&[Key::Char('u')], Action::Undo, "undo", "take back what you recorded last", 8),
    row(&[Key::Enter], Action::Menu, "menu", "more about the head: what was done, its kind, its history, the rule", 6),
    row(
        &[Key::Esc, Key::Char('q')],
        Action::Leave,
        "leave",
        "go back to the areas; what is unanswered is shown first",
        7,
    ),
    row(
        &[Key::Char('v')],
        Action::Unsure,
        "cannot judge",
        "it is in sight and cannot be judged: a close look is needed",
        8,
    ),
    row(&[Key::Char('x')], Action::Unreached, "not reached", "it was not reached, with a reason", 8),
    row(&[Key::Char('n')], Action::Note, "note", "write a note about the head", 8),
    row(&[Key::Char('k')], Action::Like, "like this", "record the head's last defect on the next heads as well", 8),
    row(
        &[Key::Char('='), Key::Char('+')],
        Action::Replace,
        "from cabinet",
        "the head was replaced from a cabinet: what lies there, what of it fits; records only once one is chosen",
        9,
    ),
    row(&[Key::Char('y')], Action::Redo, "redo", "bring back what you took back last", 9),
    row(&[Key::Char('.')], Action::NextRuled, "next ruled", "go to the next head that something must be done about", 9),
    row(&[Key::Char(',')], Action::NextLook, "next look", "go to the next head that wants a close look", 9),
    row(&[Key::Char('j')], Action::Jump, "jump", "go to an address, such as 3.7 or pack/3.7", 9),
    row(&[Key::Char('/')], Action::Find, "find", "find heads by address, kind, sign or note", 9),
    row(&[Key::Char('-')], Action::How, "by eye", "change how heads are looked at: eye, binoculars, lift, camera", 9),
    row(&[Key::Char(';')], Action::List, "list", "change between the ceiling plan and the list of heads", 9),
    row(&[Key::Left], Action::Left, "left", "one head to the left; from a line's start to the line before", 9),
    row(&[Key::Right], Action::Right, "right", "one head to the right; from a line's end to the next line", 9),
    row(&[Key::Up], Action::Up, "up", "the line above, same column", 9),
    row(&[Key::Down], Action::Down, "down", "the line below, same column", 9),
    row(&[Key::Home], Action::LineStart, "line's start", "the first head of the line", 9),
    row(&[Key::End], Action::LineEnd, "line's end", "the last head of the line", 9),
    row(&[Key::PageUp], Action::PageUp, "lines up", "several lines up", 9),
    row(&[Key::PageDown], Action::PageDown, "lines down", "several lines down", 9),
];

/// What a key does while a defect is being entered, besides signs, parts and extents.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Entering {
    /// Nothing of it.
    Clear,
    /// Without the last piece.
    Back,
    /// The line of the list that arrows stand on.
    Take,
    /// Along the list.
    Step,
    /// Another way of looking.
    How,
}

/// Keys while a defect is being entered.
pub const ENTERING: &[Binding<Entering>] = &[
    Binding {
        keys: &[Key::Esc],
        action: Entering::Clear,
        name: "clear",
        help: "drop the defect being entered",
        rank: 0,
    },
    Binding {
        keys: &[Key::Backspace],
        action: Entering::Back,
        name: "one back",
        help: "take back the last piece of it",
        rank: 1,
    },
    Binding {
        keys: &[Key::Left, Key::Right, Key::Up, Key::Down],
        action: Entering::Step,
        name: "along the list",
        help: "go along the list that is shown",
        rank: 2,
    },
    Binding { keys: &[Key::Enter], action: Entering::Take, name: "take", help: "take the line one stands on", rank: 3 },
    Binding {
        keys: &[Key::Char('-')],
        action: Entering::How,
        name: "by eye",
        help: "change how heads are looked at",
        rank: 9,
    },
];

/// The rows that the rule set brings: its signs, its parts, its extents and the two toggles of a defect.
pub fn rule_set_lines(set: &RuleSet) -> Vec<KeyLine> {
    let line = |keys: String, name: &str, help: String, rank: u8| KeyLine {
        keys,
        name: name.to_owned(),
        help,
        rank,
        works: true,
    };
    let mut lines = vec![line(
        "a-z 1-8".to_owned(),
        "defect",
        "a sign's letter and a part's digit in either order, then how much of it".to_owned(),
        2,
    )];
    for (_, sign) in set.eye_signs() {
        if let Some(key) = sign.key {
            lines.push(line(key.to_string(), &sign.id, format!("sign, {}: {}", sign.name, sign.hint), 9));
        }
    }
    for (n, part) in set.parts.iter().take(8).enumerate() {
        lines.push(line((n + 1).to_string(), &part.id, format!("part, {}: {}", part.name, part.hint), 9));
    }
    for (n, extent) in set.extents.iter().enumerate() {
        let Ok(n) = u8::try_from(n) else { break };
        if let Some(key) = super::walk_pending::extent_key(set, crate::rules::model::ExtentIx(n)) {
            let help = format!("extent, once sign and part are there, {}: {}", extent.name, extent.hint);
            lines.push(line(key.to_string(), &extent.id, help, 9));
        }
    }
    lines.push(line("9".into(), "applied", "who applied a finish: field, factory, unknown".into(), 9));
    lines.push(line("0".into(), "doubtful", "whether you are in doubt about the defect".into(), 9));
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::builtin;
    use std::collections::BTreeSet;

    #[test]
    fn no_key_means_two_things() {
        for table in
            [WALKING.iter().flat_map(|b| b.keys).collect::<Vec<_>>(), ENTERING.iter().flat_map(|b| b.keys).collect()]
        {
            let once: BTreeSet<String> = table.iter().map(|k| k.name()).collect();
            assert_eq!(once.len(), table.len());
        }
        for name in builtin::names() {
            let set = builtin::load(name).unwrap();
            for sign in &set.signs {
                let Some(key) = sign.key else { continue };
                assert!(!WALKING.iter().any(|b| b.keys.contains(&Key::Char(key))), "{name}: {}", sign.id);
            }
        }
    }
}
