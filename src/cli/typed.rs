//! A typed line without what keys and pasted text leave in it besides words: escape sequences and control characters.

use crate::diag::is_unprintable;

const ESCAPE: char = '\u{1B}';

/// Final characters of what arrow keys and the like send behind `ESC O`; any other letter there was typed.
const KEYPAD: &str = "ABCDEFHIMPQRS";

/// The line in words: escape sequences are gone as a whole, a tab is a blank, other control characters are gone.
#[must_use]
pub fn cleaned(line: &str) -> String {
    let mut out = String::with_capacity(line.len());
    let mut rest = line.chars();
    while let Some(c) = rest.next() {
        let behind = rest.clone().next();
        match (c, behind) {
            (ESCAPE, Some('[')) => {
                rest.next();
                skip_control(&mut rest);
            }
            ('\u{9B}', _) => skip_control(&mut rest),
            (ESCAPE, Some('O')) => {
                let mut ahead = rest.clone().skip(1);
                if ahead.next().is_some_and(|c| KEYPAD.contains(c)) {
                    rest.nth(1);
                }
            }
            (ESCAPE, Some(']' | 'P' | 'X' | '^' | '_')) => skip_string(&mut rest),
            ('\t', _) => out.push(' '),
            // Behind a lone escape stands what was typed next.
            (c, _) if is_unprintable(c) => {}
            (c, _) => out.push(c),
        }
    }
    out
}

/// Parameters and the character that ends them.
fn skip_control(rest: &mut std::str::Chars<'_>) {
    // The Linux console sends a second bracket for function keys.
    if rest.clone().next() == Some('[') {
        rest.nth(1);
        return;
    }
    while let Some(c) = rest.clone().next() {
        match c {
            ' '..='?' => {
                rest.next();
            }
            '@'..='~' => {
                rest.next();
                return;
            }
            // Not a sequence any more: what stands here was typed.
            _ => return,
        }
    }
}

/// A string that a bell or `ESC \` ends. Without an end it is none, and what was typed stays.
fn skip_string(rest: &mut std::str::Chars<'_>) {
    let mut ahead = rest.clone();
    while let Some(c) = ahead.next() {
        let ended = match c {
            '\u{7}' | '\u{9C}' => true,
            ESCAPE if ahead.clone().next() == Some('\\') => {
                ahead.next();
                true
            }
            _ => false,
        };
        if ended {
            *rest = ahead;
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn keys_and_pasted_colours_leave_nothing_behind_and_words_stay() {
        for (typed, left) in [
            ("Quay\u{1b}[D\u{1b}[C Office", "Quay Office"),
            ("\u{1b}OA\u{1b}OBhall", "hall"),
            ("\u{1b}[1;5Dx\u{1b}[3~y\u{1b}[200~z\u{1b}[201~", "xyz"),
            ("\u{1b}[31mred\u{1b}[0m", "red"),
            ("\u{9b}31mred", "red"),
            ("\u{1b}[[Aone", "one"),
            ("\u{1b}]0;title\u{7}a\u{1b}]8;;x\u{1b}\\b", "ab"),
            ("\u{1b}]no end", "]no end"),
            ("\u{1b}Office", "Office"),
            ("\u{1b}hall\u{1b}", "hall"),
            ("\u{1b}[", ""),
            ("\u{1b}[12é", "é"),
            ("a\tb\u{7f}\u{0}\u{202e}c\u{7}", "a bc"),
            ("Überseeboot 喷头 [x] {a: b}", "Überseeboot 喷头 [x] {a: b}"),
        ] {
            assert_eq!(cleaned(typed), left, "{typed:?}");
        }
    }

    proptest! {
        #[test]
        fn nothing_unprintable_is_left_and_clean_lines_are_left_alone(
            line in "([a-zO\\[\\]PA;0-9~ \u{1b}\u{9b}\u{7}\\\\é\t]|\\PC){0,40}"
        ) {
            let once = cleaned(&line);
            prop_assert!(!once.chars().any(is_unprintable), "{once:?}");
            prop_assert_eq!(cleaned(&once), once.clone());
            if !line.chars().any(is_unprintable) {
                prop_assert_eq!(once, line);
            }
        }
    }
}
