//! Rows as an aligned table in plain text: columns as wide as their widest cell, numbers to the right.

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
    let is_number = |cell: &str| !cell.is_empty() && cell.bytes().all(|b| b.is_ascii_digit());
    let numbers: Vec<bool> =
        (0..head.len()).map(|at| rows.iter().all(|r| r.get(at).is_some_and(|c| is_number(c)))).collect();
    let mut out = String::new();
    let mut line = |cells: &mut dyn Iterator<Item = &str>| {
        let mut t = String::new();
        for ((cell, width), number) in cells.zip(&widths).zip(&numbers) {
            let room = std::iter::repeat_n(' ', width.saturating_sub(text::width(cell)));
            if *number {
                t.extend(room);
                t.push_str(cell);
            } else {
                t.push_str(cell);
                t.extend(room);
            }
            t.push_str("  ");
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
        let row = |cells: [&str; 3]| cells.map(str::to_owned).to_vec();
        let rows = [row(["喷头", "1", "x"]), row(["a\u{1b}", "22", ""])];
        assert_eq!(aligned(&["head", "n", "y"], &rows), "head   n  y\n喷头   1  x\na\u{fffd}    22\n");
    }
}
