//! Rows as an aligned table in plain text: columns as wide as their widest cell or as there is room, numbers to the right.

use crate::diag::plain;
use crate::tui::text;

/// The columns between two cells.
const GAP: usize = 2;

/// Writes a head line and rows; each row should have as many cells as the head. Every line ends with a line end.
#[must_use]
pub fn aligned(head: &[&str], rows: &[Vec<String>]) -> String {
    fitted(head, rows, usize::MAX)
}

/// The same in at most so many columns, where words can be broken between: a cell that has no room goes on below itself.
/// A word is never broken, so that what has too many long words runs wider all the same.
#[must_use]
pub fn fitted(head: &[&str], rows: &[Vec<String>], columns: usize) -> String {
    let rows: Vec<Vec<String>> = rows.iter().map(|r| r.iter().map(|c| plain(c)).collect()).collect();
    // Wide as the widest cell, and as the widest word.
    let mut widths: Vec<(usize, usize)> = head.iter().map(|h| (text::width(h), longest_word(h))).collect();
    for row in &rows {
        for ((wide, least), cell) in widths.iter_mut().zip(row) {
            *wide = (*wide).max(text::width(cell));
            *least = (*least).max(longest_word(cell));
        }
    }
    let widths = narrowed(widths, columns);
    let is_number = |cell: &str| !cell.is_empty() && cell.bytes().all(|b| b.is_ascii_digit());
    let numbers: Vec<bool> =
        (0..head.len()).map(|at| rows.iter().all(|r| r.get(at).is_some_and(|c| is_number(c)))).collect();
    let mut out = String::new();
    let mut line = |cells: &[&str]| {
        let lines = |(cell, wide): (&&str, &usize)| {
            if text::width(cell) > *wide { text::wrap(cell, *wide) } else { vec![(*cell).to_owned()] }
        };
        let cells: Vec<Vec<String>> = cells.iter().zip(&widths).map(lines).collect();
        for at in 0..cells.iter().map(Vec::len).max().unwrap_or(0) {
            let mut t = String::new();
            for ((cell, width), number) in cells.iter().zip(&widths).zip(&numbers) {
                let cell = cell.get(at).map_or("", String::as_str);
                let room = std::iter::repeat_n(' ', width.saturating_sub(text::width(cell)));
                if *number {
                    t.extend(room);
                    t.push_str(cell);
                } else {
                    t.push_str(cell);
                    t.extend(room);
                }
                t.extend(std::iter::repeat_n(' ', GAP));
            }
            out.push_str(t.trim_end());
            out.push('\n');
        }
    };
    line(head);
    for row in &rows {
        line(&row.iter().map(String::as_str).collect::<Vec<_>>());
    }
    out
}

fn longest_word(cell: &str) -> usize {
    cell.split(' ').map(text::width).max().unwrap_or(0)
}

/// Takes columns from the widest until all have room, or every one is as narrow as its longest word.
fn narrowed(mut widths: Vec<(usize, usize)>, columns: usize) -> Vec<usize> {
    let gaps = GAP * widths.len().saturating_sub(1);
    while widths.iter().map(|w| w.0).sum::<usize>() + gaps > columns {
        let loose = widths.iter_mut().filter(|(wide, least)| wide > least);
        let Some(widest) = loose.max_by_key(|w| w.0) else { break };
        widest.0 -= 1;
    }
    // A column without a word still has its place.
    widths.into_iter().map(|w| w.0.max(1)).collect()
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

    #[test]
    fn a_cell_without_room_goes_on_below_itself_and_no_word_is_broken() {
        let row = |cells: [&str; 3]| cells.map(str::to_owned).to_vec();
        let rows = [row(["hall/1.2", "12", "a reason of several words"]), row(["x", "3", "short"])];
        assert_eq!(
            fitted(&["HEAD", "N", "REASON"], &rows, 26),
            "HEAD       N  REASON\nhall/1.2  12  a reason of\n              several\n              words\nx          3  short\n"
        );
        assert_eq!(fitted(&["HEAD", "N", "REASON"], &rows, 200), aligned(&["HEAD", "N", "REASON"], &rows));
        // Too little room for the longest words: they stay whole.
        let tight = fitted(&["HEAD", "N", "REASON"], &rows, 5);
        assert!(tight.contains("hall/1.2  12  a\n") && tight.contains("several\n"), "{tight}");
    }
}
