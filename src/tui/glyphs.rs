//! The single-column signs that screens are drawn with, once in Unicode and once in ASCII. Not their styles: a state
//! must be told from another by its glyph alone.

use crate::rules::model::Ruling;
use ratatui::symbols::border;

/// A set of signs. Every string is one column wide, except `ellipsis` of the ASCII set (three dots).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Glyphs {
    /// Whether every sign is plain ASCII.
    pub ascii: bool,
    /// A head nobody has looked at in this round.
    pub unseen: &'static str,
    /// A head that a failed test condemns and nobody has looked at in this round.
    pub condemned: &'static str,
    /// A head looked at, nothing to say.
    pub seen: &'static str,
    /// A head with a sign whose ruling is keep.
    pub keep: &'static str,
    /// Ruling watch.
    pub watch: &'static str,
    /// Ruling look.
    pub look: &'static str,
    /// Ruling clean.
    pub clean: &'static str,
    /// Ruling correct.
    pub correct: &'static str,
    /// Ruling test.
    pub test: &'static str,
    /// Ruling replace.
    pub replace: &'static str,
    /// A head on which nothing but advisories is open.
    pub advisory: &'static str,
    /// A head that could not be judged.
    pub unsure: &'static str,
    /// A head that could not be reached, with its reason.
    pub unreached: &'static str,
    /// A finding of an earlier round that nobody has answered yet.
    pub carried: &'static str,
    /// Two people's entries that lead to different rulings.
    pub disagreement: &'static str,
    /// A place on the line without a head.
    pub gap: &'static str,
    /// A head that has been taken out.
    pub removed: &'static str,
    /// Box borders.
    pub border: border::Set<'static>,
    /// A horizontal line.
    pub rule: &'static str,
    /// A vertical line.
    pub bar: &'static str,
    /// Before an item of a list.
    pub bullet: &'static str,
    /// Between two facts on a line.
    pub dot: &'static str,
    /// Before the selected row, and at the left of a touched part.
    pub point_right: &'static str,
    /// At the right of a touched part.
    pub point_left: &'static str,
    /// Leads to something.
    pub arrow: &'static str,
    /// More above.
    pub up: &'static str,
    /// More below.
    pub down: &'static str,
    /// More at the left.
    pub left: &'static str,
    /// More at the right.
    pub right: &'static str,
    /// Where text was cut.
    pub ellipsis: &'static str,
    /// The done piece of a progress bar.
    pub progress_full: &'static str,
    /// The half-done piece of a progress bar.
    pub progress_half: &'static str,
    /// The piece of a progress bar still to do.
    pub progress_empty: &'static str,
    /// Done, sound, chosen.
    pub check: &'static str,
    /// Wrong, refused.
    pub cross: &'static str,
    /// A warning.
    pub warn: &'static str,
    /// An open task.
    pub open: &'static str,
}

static UNICODE: Glyphs = Glyphs {
    ascii: false,
    unseen: "·",
    condemned: "⊠",
    seen: "○",
    keep: "✓",
    watch: "◔",
    look: "◎",
    clean: "≈",
    correct: "↻",
    test: "△",
    replace: "✗",
    advisory: "¶",
    unsure: "?",
    unreached: "⊘",
    carried: "◆",
    disagreement: "≠",
    gap: " ",
    removed: "∅",
    border: border::ROUNDED,
    rule: "─",
    bar: "│",
    bullet: "•",
    dot: "·",
    point_right: "▸",
    point_left: "◂",
    arrow: "→",
    up: "▴",
    down: "▾",
    left: "‹",
    right: "›",
    ellipsis: "…",
    progress_full: "█",
    progress_half: "▌",
    progress_empty: "░",
    check: "✓",
    cross: "✗",
    warn: "▲",
    open: "□",
};

static ASCII: Glyphs = Glyphs {
    ascii: true,
    unseen: ".",
    condemned: "C",
    seen: "o",
    keep: "+",
    watch: "w",
    look: "L",
    clean: "~",
    correct: "@",
    test: "T",
    replace: "X",
    advisory: "i",
    unsure: "?",
    unreached: "/",
    carried: "!",
    disagreement: "#",
    gap: " ",
    removed: "_",
    border: border::Set {
        top_left: "+",
        top_right: "+",
        bottom_left: "+",
        bottom_right: "+",
        vertical_left: "|",
        vertical_right: "|",
        horizontal_top: "-",
        horizontal_bottom: "-",
    },
    rule: "-",
    bar: "|",
    bullet: "*",
    dot: "-",
    point_right: ">",
    point_left: "<",
    arrow: ">",
    up: "^",
    down: "v",
    left: "<",
    right: ">",
    ellipsis: "...",
    progress_full: "#",
    progress_half: "=",
    progress_empty: ".",
    check: "+",
    cross: "x",
    warn: "!",
    open: "o",
};

impl Glyphs {
    /// The signs for terminals that draw Unicode.
    #[must_use]
    pub fn unicode() -> &'static Self {
        &UNICODE
    }

    /// The signs for terminals that do not.
    #[must_use]
    pub fn ascii() -> &'static Self {
        &ASCII
    }

    /// The sign of a ruling.
    #[must_use]
    pub const fn ruling(&self, ruling: Ruling) -> &'static str {
        match ruling {
            Ruling::Keep => self.keep,
            Ruling::Watch => self.watch,
            Ruling::Look => self.look,
            Ruling::Clean => self.clean,
            Ruling::Correct => self.correct,
            Ruling::Test => self.test,
            Ruling::Replace => self.replace,
        }
    }

    /// A progress bar of `columns` columns, `done` of `all` full. A bar looks full only when all is done, and looks
    /// begun as soon as anything is. An `all` of 0 is full.
    #[must_use]
    pub fn progress(&self, done: usize, all: usize, columns: usize) -> String {
        let halves = if done >= all { columns * 2 } else { (done * columns * 2 / all).max(usize::from(done > 0)) };
        let (full, half) = (halves / 2, halves % 2);
        let mut bar = self.progress_full.repeat(full);
        bar.push_str(&self.progress_half.repeat(half.min(columns - full)));
        bar.push_str(&self.progress_empty.repeat(columns.saturating_sub(full + half)));
        bar
    }

    /// Every sign with its name, for the legend and for tests.
    #[must_use]
    pub fn states(&self) -> [(&'static str, &'static str); 17] {
        [
            ("unseen", self.unseen),
            ("condemned, unseen", self.condemned),
            ("seen", self.seen),
            ("keep", self.keep),
            ("watch", self.watch),
            ("look", self.look),
            ("clean", self.clean),
            ("correct", self.correct),
            ("test", self.test),
            ("replace", self.replace),
            ("advisory", self.advisory),
            ("could not be judged", self.unsure),
            ("not reached", self.unreached),
            ("earlier finding, not answered", self.carried),
            ("disagreement", self.disagreement),
            ("no head here", self.gap),
            ("taken out", self.removed),
        ]
    }

    /// The other one-column signs with their names.
    #[must_use]
    pub fn others(&self) -> Vec<(&'static str, &'static str)> {
        let b = &self.border;
        vec![
            ("top left", b.top_left),
            ("top right", b.top_right),
            ("bottom left", b.bottom_left),
            ("bottom right", b.bottom_right),
            ("left side", b.vertical_left),
            ("right side", b.vertical_right),
            ("top", b.horizontal_top),
            ("bottom", b.horizontal_bottom),
            ("rule", self.rule),
            ("bar", self.bar),
            ("bullet", self.bullet),
            ("dot", self.dot),
            ("point right", self.point_right),
            ("point left", self.point_left),
            ("arrow", self.arrow),
            ("up", self.up),
            ("down", self.down),
            ("left", self.left),
            ("right", self.right),
            ("full", self.progress_full),
            ("half", self.progress_half),
            ("empty", self.progress_empty),
            ("check", self.check),
            ("cross", self.cross),
            ("warn", self.warn),
            ("open", self.open),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::text::width;
    use std::collections::BTreeMap;

    #[test]
    fn every_state_of_a_head_has_a_glyph_of_its_own() {
        for set in [Glyphs::unicode(), Glyphs::ascii()] {
            let mut known = BTreeMap::new();
            for (name, glyph) in set.states() {
                assert_eq!(known.insert(glyph, name), None, "'{glyph}' is {name} too");
            }
        }
    }

    #[test]
    fn every_ruling_has_a_state() {
        for set in [Glyphs::unicode(), Glyphs::ascii()] {
            for ruling in Ruling::ALL {
                assert!(set.states().contains(&(ruling.as_str(), set.ruling(*ruling))), "{ruling}");
            }
        }
    }

    #[test]
    fn every_sign_is_one_column_wide() {
        for set in [Glyphs::unicode(), Glyphs::ascii()] {
            for (name, glyph) in set.states().into_iter().chain(set.others()) {
                assert_eq!(width(glyph), 1, "{name}");
            }
        }
    }

    #[test]
    fn the_ascii_set_is_ascii() {
        let set = Glyphs::ascii();
        for (name, glyph) in set.states().into_iter().chain(set.others()) {
            assert!(glyph.is_ascii(), "{name}");
        }
        assert!(set.ellipsis.is_ascii());
    }

    #[test]
    fn pointers_of_the_two_sides_differ() {
        for set in [Glyphs::unicode(), Glyphs::ascii()] {
            assert_ne!(set.point_left, set.point_right);
            assert_ne!(set.progress_full, set.progress_empty);
            assert_ne!(set.progress_full, set.progress_half);
        }
    }

    #[test]
    fn a_progress_bar_is_full_only_when_all_is_done() {
        let set = Glyphs::ascii();
        for (done, all, bar) in [
            (0, 100, "....."),
            (1, 100, "=...."),
            (50, 100, "##=.."),
            (99, 100, "####="),
            (100, 100, "#####"),
            (0, 0, "#####"),
        ] {
            assert_eq!(set.progress(done, all, 5), bar);
        }
        assert_eq!(set.progress(1, 2, 0), "");
    }
}
