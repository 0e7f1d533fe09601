//! Rows as an aligned table in plain text: columns as wide as their widest cell, the last one left as it is.

use crate::diag::plain;
use crate::tui::text;

/// Writes a head line and rows; each row should have as many cells as the head. Every line ends with a line end.
#[must_use]
pub fn aligned(head: &[&str], rows: &[Vec<String>]) -> String {
    let rows: Vec<Vec<String>> = rows.iter().map(|r| r.iter().map(|c| plain(c)).collect()).collect();
    let mut widths: Vec<usize> = head.iter().map(|h| text::width(h)).collect();
    for row in &rows {
        for (width, cell) in widths.iter_mut().zip(row) {
            *width = (*width).max(text::width(cell));
        }
    }
    let mut out = String::new();
    let mut line = |cells: &mut dyn Iterator<Item = &str>| {
        let mut t = String::new();
        for (cell, width) in cells.zip(&widths) {
            t.push_str(cell);
            t.extend(std::iter::repeat_n(' ', width.saturating_sub(text::width(cell)) + 2));
        }
        out.push_str(t.trim_end());
        out.push('\n');
    };
    line(&mut head.iter().copied());
    for row in &rows {
        line(&mut row.iter().map(String::as_str));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_line_up_by_what_the_eye_sees() {
        let rows = vec![vec!["喷头".into(), "1".into()], vec!["a\u{1b}".into(), "22".into()]];
        assert_eq!(aligned(&["head", "n"], &rows), "head  n\n喷头  1\na\u{fffd}    22\n");
    }
}
