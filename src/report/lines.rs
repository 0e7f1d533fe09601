//! Lines of plain text: how wide they are, how they wrap, and how they are written where only ASCII prints. It knows
//! strings and nothing of summaries.

use unicode_segmentation::UnicodeSegmentation;
use unicode_width::UnicodeWidthStr;

/// The columns a text takes in a fixed-width face.
pub(super) fn width(text: &str) -> usize {
    text.graphemes(true).map(UnicodeWidthStr::width).sum()
}

/// The text in lines of at most `columns` columns, broken between words; a word that is longer than a line is broken
/// where it must be. A grapheme wider than the line stands alone on one. An empty text has no lines.
pub(super) fn wrap(text: &str, columns: usize) -> Vec<String> {
    let columns = columns.max(1);
    let mut lines = Vec::new();
    let (mut line, mut used) = (String::new(), 0);
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
            used = 0;
        }
        if wide <= columns {
            line.push_str(word);
            used = wide;
            continue;
        }
        for grapheme in word.graphemes(true) {
            let one = grapheme.width();
            if used > 0 && used + one > columns {
                lines.push(std::mem::take(&mut line));
                used = 0;
            }
            line.push_str(grapheme);
            used += one;
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// The text at the left of `columns` columns.
pub(super) fn left(text: &str, columns: usize) -> String {
    format!("{text}{}", " ".repeat(columns.saturating_sub(width(text))))
}

/// The text at the right of `columns` columns.
pub(super) fn right(text: &str, columns: usize) -> String {
    format!("{}{text}", " ".repeat(columns.saturating_sub(width(text))))
}

/// The longest beginning that fits `columns` columns.
pub(super) fn cut(text: &str, columns: usize) -> String {
    let mut used = 0;
    let mut out = String::new();
    for grapheme in text.graphemes(true) {
        used += grapheme.width();
        if used > columns {
            break;
        }
        out.push_str(grapheme);
    }
    out
}

/// The text in ASCII: signs are spelled out, letters of Latin scripts lose their marks, anything else becomes `?`.
pub(super) fn ascii(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_ascii() {
            out.push(c);
            continue;
        }
        match c {
            '°' => {}
            '½' => out.push_str("1/2"),
            '×' => out.push('x'),
            '–' | '—' | '‐' | '‑' | '−' => out.push('-'),
            '‘' | '’' | '‚' | '′' => out.push('\''),
            '“' | '”' | '„' | '″' | '«' | '»' => out.push('"'),
            '…' => out.push_str("..."),
            '·' | '•' => out.push('*'),
            '\u{A0}' | '\u{2009}' | '\u{202F}' => out.push(' '),
            'ß' => out.push_str("ss"),
            'Æ' => out.push_str("AE"),
            'æ' => out.push_str("ae"),
            'Œ' => out.push_str("OE"),
            'œ' => out.push_str("oe"),
            'Þ' => out.push_str("Th"),
            'þ' => out.push_str("th"),
            _ => out.push(letter(c)),
        }
    }
    out
}

/// The letter without its marks.
fn letter(c: char) -> char {
    const MARKED: &[(char, &str)] = &[
        ('A', "ÀÁÂÃÄÅĀĂĄ"),
        ('a', "àáâãäåāăą"),
        ('C', "ÇĆĈĊČ"),
        ('c', "çćĉċč"),
        ('D', "ÐĎĐ"),
        ('d', "ðďđ"),
        ('E', "ÈÉÊËĒĔĖĘĚ"),
        ('e', "èéêëēĕėęě"),
        ('G', "ĜĞĠĢ"),
        ('g', "ĝğġģ"),
        ('I', "ÌÍÎÏĨĪĬĮİ"),
        ('i', "ìíîïĩīĭįı"),
        ('L', "ĹĻĽĿŁ"),
        ('l', "ĺļľŀł"),
        ('N', "ÑŃŅŇ"),
        ('n', "ñńņň"),
        ('O', "ÒÓÔÕÖØŌŎŐ"),
        ('o', "òóôõöøōŏő"),
        ('R', "ŔŖŘ"),
        ('r', "ŕŗř"),
        ('S', "ŚŜŞŠȘ"),
        ('s', "śŝşšș"),
        ('T', "ŢŤŦȚ"),
        ('t', "ţťŧț"),
        ('U', "ÙÚÛÜŨŪŬŮŰŲ"),
        ('u', "ùúûüũūŭůűų"),
        ('Y', "ÝŶŸ"),
        ('y', "ýÿŷ"),
        ('Z', "ŹŻŽ"),
        ('z', "źżž"),
    ];
    MARKED.iter().find(|(_, marked)| marked.contains(c)).map_or('?', |(plain, _)| *plain)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_wider_than_asked_and_nothing_is_lost() {
        for (text, columns) in [
            ("the quick head opens", 7),
            ("a_word_that_is_far_longer_than_any_line of words", 10),
            ("喷头 sprinkler 喷头喷头喷头喷头", 6),
            ("", 10),
            ("one", 1),
        ] {
            let lines = wrap(text, columns);
            assert!(lines.iter().all(|l| width(l) <= columns), "{text}: {lines:?}");
            let kept: String = lines.concat().chars().filter(|c| *c != ' ').collect();
            assert_eq!(kept, text.chars().filter(|c| *c != ' ').collect::<String>());
        }
    }

    #[test]
    fn ascii_keeps_what_a_reader_needs() {
        assert_eq!(ascii("155 °F – Ødegård’s “½” … 喷"), "155 F - Odegard's \"1/2\" ... ?");
    }
}
