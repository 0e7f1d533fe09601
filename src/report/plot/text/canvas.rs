//! A grid of cells that text and signs are put on. What falls outside is cut; nothing grows.

use unicode_segmentation::UnicodeSegmentation as _;
use unicode_width::UnicodeWidthStr as _;

use crate::report::plot::model::Ink;

/// One column of one line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cell {
    /// The sign; empty in the second column of a sign that takes two.
    pub glyph: String,
    /// What it stands for.
    pub ink: Ink,
}

impl Cell {
    fn blank() -> Self {
        Self { glyph: " ".to_owned(), ink: Ink::Text }
    }

    /// Whether nothing stands there.
    pub(super) fn is_blank(&self) -> bool {
        self.glyph == " "
    }
}

/// The grid while it is drawn on.
pub(super) struct Canvas {
    pub(super) columns: usize,
    rows: Vec<Vec<Cell>>,
}

impl Canvas {
    pub(super) fn new(columns: usize, rows: usize) -> Self {
        Self { columns, rows: vec![vec![Cell::blank(); columns]; rows] }
    }

    pub(super) fn into_rows(self) -> Vec<Vec<Cell>> {
        self.rows
    }

    pub(super) fn cell(&self, column: usize, row: usize) -> Option<&Cell> {
        self.rows.get(row)?.get(column)
    }

    /// Whether nothing stands there; outside is not blank.
    pub(super) fn is_blank(&self, column: usize, row: usize) -> bool {
        self.cell(column, row).is_some_and(Cell::is_blank)
    }

    /// Puts a sign of one column.
    pub(super) fn put(&mut self, column: usize, row: usize, sign: char, ink: Ink) {
        if let Some(cell) = self.rows.get_mut(row).and_then(|r| r.get_mut(column)) {
            *cell = Cell { glyph: sign.to_string(), ink };
        }
    }

    /// Puts a sign where nothing stands yet.
    pub(super) fn behind(&mut self, column: usize, row: usize, sign: char, ink: Ink) {
        if self.is_blank(column, row) {
            self.put(column, row, sign, ink);
        }
    }

    /// Puts text from a column on, and gives the columns it took. A wide sign that does not fit whole is left out.
    pub(super) fn write(&mut self, column: usize, row: usize, text: &str, ink: Ink) -> usize {
        let Some(cells) = self.rows.get_mut(row) else { return 0 };
        let mut at = column;
        for grapheme in text.graphemes(true) {
            let wide = grapheme.width();
            if wide == 0 {
                continue;
            }
            if at + wide > cells.len() {
                break;
            }
            for (n, cell) in cells.iter_mut().skip(at).take(wide).enumerate() {
                let glyph = if n == 0 { grapheme.to_owned() } else { String::new() };
                *cell = Cell { glyph, ink };
            }
            at += wide;
        }
        at - column
    }
}
