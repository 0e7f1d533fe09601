//! How wide text is on a terminal, and how it is cut, padded and wrapped to fit. Everything goes by grapheme, because
//! bytes and chars are no columns. Not a layout: it knows strings only.

use unicode_segmentation::UnicodeSegmentation;
use unicode_width::UnicodeWidthStr;

/// The columns a text takes on a terminal. Text from a file goes through [`plain`] first.
#[must_use]
pub fn width(text: &str) -> usize {
    text.graphemes(true).map(UnicodeWidthStr::width).sum()
}

/// One line that cannot steer a terminal: line breaks and tabs become spaces, other control characters and
/// bidirectional overrides become U+FFFD.
#[must_use]
pub fn plain(text: &str) -> String {
    let one_line: String = text.chars().map(|c| if matches!(c, '\n' | '\r' | '\t') { ' ' } else { c }).collect();
    crate::diag::plain(&one_line)
}

/// The longest beginning that fits `max` columns, and its width.
#[must_use]
pub fn take(text: &str, max: usize) -> (&str, usize) {
    let mut used = 0;
    for (at, grapheme) in text.grapheme_indices(true) {
        let wide = grapheme.width();
        if used + wide > max {
            return (text.get(..at).unwrap_or(""), used);
        }
        used += wide;
    }
    (text, used)
}

/// The text, or its beginning and `ellipsis` where it is wider than `max` columns. Never wider than `max`.
#[must_use]
pub fn truncate(text: &str, max: usize, ellipsis: &str) -> String {
    let (whole, _) = take(text, max);
    if whole.len() == text.len() {
        return text.to_owned();
    }
    let (mark, mark_width) = take(ellipsis, max);
    let (start, _) = take(text, max - mark_width);
    format!("{}{mark}", start.trim_end())
}

/// A line behind which more was left out: the words, then `ellipsis` once, in place of a comma, a stop or a mark that
/// stands there already. Where it has no room, the last words give way to it. Never wider than `max`.
#[must_use]
pub fn broken_off(words: &str, max: usize, ellipsis: &str) -> String {
    let bare = words.trim_end_matches(|c: char| c.is_whitespace() || matches!(c, '.' | ',' | ';' | ':' | '…'));
    let marked = format!("{bare} {ellipsis}");
    if width(&marked) <= max {
        return marked;
    }
    let (mark, mark_width) = take(ellipsis, max);
    let (start, _) = take(bare, max - mark_width);
    format!("{}{mark}", start.trim_end_matches(|c: char| c.is_whitespace() || matches!(c, '.' | ',' | ';' | ':')))
}

/// The text at the left of exactly `columns` columns, cut with `ellipsis` where it is wider.
#[must_use]
pub fn pad(text: &str, columns: usize, ellipsis: &str) -> String {
    let mut out = truncate(text, columns, ellipsis);
    out.push_str(&" ".repeat(columns.saturating_sub(width(&out))));
    out
}

/// The text at the right of exactly `columns` columns, cut with `ellipsis` where it is wider.
#[must_use]
pub fn pad_left(text: &str, columns: usize, ellipsis: &str) -> String {
    let cut = truncate(text, columns, ellipsis);
    format!("{}{cut}", " ".repeat(columns.saturating_sub(width(&cut))))
}

/// The text in the middle of exactly `columns` columns, cut with `ellipsis` where it is wider.
#[must_use]
pub fn centre(text: &str, columns: usize, ellipsis: &str) -> String {
    let cut = truncate(text, columns, ellipsis);
    let free = columns.saturating_sub(width(&cut));
    format!("{}{cut}{}", " ".repeat(free / 2), " ".repeat(free - free / 2))
}

/// The text in lines of at most `columns` columns: broken between words, words that are too long broken where they
/// must be. Line breaks in the text stay; an empty text is one empty line; no columns, no lines. A grapheme wider than
/// the line (a wide character in one column) becomes U+FFFD.
#[must_use]
pub fn wrap(text: &str, columns: usize) -> Vec<String> {
    if columns == 0 {
        return Vec::new();
    }
    let mut lines = Vec::new();
    for paragraph in text.split('\n') {
        wrap_paragraph(&plain(paragraph), columns, &mut lines);
    }
    lines
}

fn wrap_paragraph(text: &str, columns: usize, lines: &mut Vec<String>) {
    let mut line = String::new();
    let mut used = 0;
    // A no-break space holds its neighbours together, so only ordinary spaces part words.
    for word in text.split(' ').filter(|w| !w.is_empty()) {
        let wide = width(word);
        if used > 0 && used + 1 + wide <= columns {
            line.push(' ');
            line.push_str(word);
            used += 1 + wide;
            continue;
        }
        if used > 0 {
            lines.push(std::mem::take(&mut line));
        }
        used = 0;
        for grapheme in word.graphemes(true) {
            let (grapheme, wide) = match grapheme.width() {
                w if w > columns => ("\u{FFFD}", 1),
                w => (grapheme, w),
            };
            if used + wide > columns {
                lines.push(std::mem::take(&mut line));
                used = 0;
            }
            line.push_str(grapheme);
            used += wide;
        }
    }
    lines.push(line);
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn width_counts_columns_not_bytes_or_chars() {
        for (text, columns) in [
            ("", 0),
            ("head", 4),
            ("喷头", 4),
            ("é", 1),
            ("e\u{301}", 1),
            ("a\u{200B}b", 2),
            ("👩‍🚒", 2),
            ("🇳🇴", 2),
            ("①", 1),
            ("ｆｕｌｌ", 8),
        ] {
            assert_eq!(width(text), columns, "{text:?}");
        }
    }

    #[test]
    fn plain_text_cannot_steer_a_terminal() {
        assert_eq!(plain("a\u{1b}[31mb\r\nc\td\u{202E}e"), "a\u{FFFD}[31mb  c d\u{FFFD}e");
    }

    #[test]
    fn truncating_never_splits_a_wide_character() {
        assert_eq!(truncate("喷头喷头", 8, "…"), "喷头喷头");
        assert_eq!(truncate("喷头喷头", 7, "…"), "喷头喷…");
        assert_eq!(truncate("喷头喷头", 6, "…"), "喷头…");
        assert_eq!(truncate("e\u{301}e\u{301}e\u{301}", 2, "…"), "e\u{301}…");
        assert_eq!(truncate("escutcheon", 6, "..."), "esc...");
        assert_eq!(truncate("escutcheon", 2, "..."), "..");
        assert_eq!(truncate("escutcheon", 0, "…"), "");
        assert_eq!(truncate("pack hall", 6, "…"), "pack…");
    }

    #[test]
    fn padding_fills_exactly_the_columns() {
        assert_eq!(pad("喷头", 5, "…"), "喷头 ");
        assert_eq!(pad("喷头头", 5, "…"), "喷头…");
        assert_eq!(pad("喷头头", 4, "…"), "喷… ");
        assert_eq!(pad_left("7", 3, "…"), "  7");
        assert_eq!(centre("ab", 5, "…"), " ab  ");
    }

    #[test]
    fn wrapping_breaks_between_words_and_inside_long_ones() {
        assert_eq!(wrap("paint on the element", 9), ["paint on", "the", "element"]);
        assert_eq!(wrap("escutcheon off", 4), ["escu", "tche", "on", "off"]);
        assert_eq!(wrap("喷头喷头", 5), ["喷头", "喷头"]);
        assert_eq!(wrap("a\n\nb", 5), ["a", "", "b"]);
        assert_eq!(wrap("喷", 1), ["\u{FFFD}"]);
        assert_eq!(wrap("", 5), [""]);
        assert!(wrap("anything", 0).is_empty());
    }

    #[test]
    fn a_line_broken_off_has_one_mark_and_no_stop_before_it() {
        for (words, max, shown) in [
            ("paint on the", 14, "paint on the …"),
            ("paint on the", 13, "paint on the…"),
            ("paint on the", 12, "paint on th…"),
            ("(loading,", 14, "(loading …"),
            ("it ends.", 14, "it ends …"),
            ("cut already…", 14, "cut already …"),
            ("", 1, "…"),
            ("x", 0, ""),
        ] {
            assert_eq!(broken_off(words, max, "…").trim_start(), shown);
        }
        assert_eq!(broken_off("frame arm.", 13, "..."), "frame arm ...");
        assert_eq!(broken_off("frame arm...", 12, "..."), "frame arm...");
    }

    #[test]
    fn wrapped_notes_hold_no_control_characters() {
        assert_eq!(wrap("a\u{7}b \u{1b}c", 80), ["a\u{FFFD}b \u{FFFD}c"]);
    }

    proptest! {
        #[test]
        fn nothing_cut_padded_or_wrapped_is_wider_than_asked(text in any::<String>(), columns in 0usize..20) {
            let text = plain(&text);
            prop_assert!(width(&truncate(&text, columns, "…")) <= columns);
            prop_assert_eq!(width(&pad(&text, columns, "…")), columns);
            prop_assert_eq!(width(&pad_left(&text, columns, "...")), columns);
            prop_assert_eq!(width(&centre(&text, columns, "…")), columns);
            for line in wrap(&text, columns) {
                prop_assert!(width(&line) <= columns);
            }
        }

        #[test]
        fn wrapping_loses_no_word(words in prop::collection::vec("[a-z喷]{1,12}", 0..12), columns in 2usize..20) {
            let joined: String = wrap(&words.join(" "), columns).concat().split(' ').collect();
            prop_assert_eq!(joined, words.concat());
        }
    }
}
