//! Comma-separated values that a spreadsheet can open without running anything: text that it would take for a formula gets an
//! apostrophe before it; figures stay figures.

/// One cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Cell {
    /// Text of whatever origin.
    Text(String),
    /// A number as it is to be read; written as it is.
    Number(String),
    /// Nothing.
    Empty,
}

impl Cell {
    /// A text cell.
    #[must_use]
    pub fn text(text: impl Into<String>) -> Self {
        Self::Text(text.into())
    }

    /// A whole number.
    #[must_use]
    pub fn count(n: impl Into<u64>) -> Self {
        Self::Number(n.into().to_string())
    }
}

/// Text as a spreadsheet takes for text. Signs count in their full-width forms too, and behind blanks.
#[must_use]
pub fn defused(text: &str) -> String {
    let clean = crate::diag::plain(text);
    let first = clean.trim_start().chars().next();
    let starts = |c: char| matches!(c, '=' | '+' | '-' | '@' | '|' | '%' | '＝' | '＋' | '－' | '＠');
    let control = text.chars().next().is_some_and(|c| matches!(c, '\t' | '\r' | '\n'));
    if control || first.is_some_and(starts) { format!("'{clean}") } else { clean }
}

/// The rows under their head line, by RFC 4180 with line feeds; UTF-8.
#[must_use]
pub fn render(head: &[&str], rows: &[Vec<Cell>]) -> String {
    let mut writer = ::csv::Writer::from_writer(Vec::new());
    // Writing to memory does not fail; a row that is not as long as its head would be told by the reader's tests.
    let mut ok = writer.write_record(head).is_ok();
    for row in rows {
        let cells = row.iter().map(|cell| match cell {
            Cell::Text(text) => defused(text),
            Cell::Number(number) => number.clone(),
            Cell::Empty => String::new(),
        });
        ok = ok && writer.write_record(cells).is_ok();
    }
    let bytes = writer.into_inner().unwrap_or_default();
    debug_assert!(ok, "a row has another number of cells than its head");
    String::from_utf8(bytes).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn what_a_spreadsheet_would_run_gets_an_apostrophe() {
        for text in ["=1+1", "+1", "-1", "@SUM(A1)", " =1", "\t=1", "\r=1", "＝1", "\t", "\u{a0}=1"] {
            assert!(defused(text).starts_with('\''), "{text:?}");
        }
        for text in ["", "pendent", "1/2 NPT", "a=b", "'=1", "5"] {
            assert_eq!(defused(text), text, "{text:?}");
        }
    }

    proptest! {
        #[test]
        fn every_text_comes_back_as_it_is_shown_and_no_cell_starts_a_formula(cells in prop::collection::vec(".*", 1..5)) {
            let head: Vec<&str> = (0..cells.len()).map(|_| "x").collect();
            let row = cells.iter().map(Cell::text).collect::<Vec<_>>();
            let text = render(&head, &[row]);
            let mut reader = ::csv::Reader::from_reader(text.as_bytes());
            let back = reader.records().next().unwrap().unwrap();
            for (cell, back) in cells.iter().zip(&back) {
                prop_assert_eq!(back, defused(cell));
                prop_assert!(!back.trim_start().starts_with(['=', '+', '-', '@']), "{back:?}");
            }
        }
    }
}
