//! A plot as numbers: the title, the sentence, the limits, a table, the notes. For line mode and screen readers.

use super::model::{Across, Plot};
use crate::report::lines::{left, right, width};
use crate::report::phrases::{said, sentence};

/// The plot without a picture. Columns of numbers stand to the right; every text is one line and cannot steer a terminal.
#[must_use]
pub fn table(plot: &Plot) -> String {
    let mut out = format!("{}\n{}\n", said(&plot.title), sentence(&plot.describe));
    for limit in &plot.limits {
        let axis = match limit.across {
            Across::X => &plot.x,
            Across::Y => &plot.y,
        };
        if !axis.label.is_empty() {
            out.push_str(&format!("Line: {} ({})\n", said(&limit.label), said(&axis.label)));
        }
    }
    let head: Vec<String> = plot.numbers.columns.iter().map(|c| said(c)).collect();
    let body: Vec<Vec<String>> = plot.numbers.rows.iter().map(|r| r.iter().map(|c| said(c)).collect()).collect();
    let cell = |row: &Vec<String>, n: usize| row.get(n).cloned().unwrap_or_default();
    let numeric = |n: usize| !body.is_empty() && body.iter().all(|r| is_number(&cell(r, n)));
    let wide = |n: usize| std::iter::once(&head).chain(&body).map(|r| width(&cell(r, n))).max().unwrap_or(0);
    let columns: Vec<(usize, bool)> = (0..head.len()).map(|n| (wide(n), numeric(n))).collect();
    out.push('\n');
    for row in std::iter::once(&head).chain(&body) {
        let cells = columns.iter().enumerate().map(|(n, (wide, numeric))| {
            let text = cell(row, n);
            if *numeric { right(&text, *wide) } else { left(&text, *wide) }
        });
        out.push_str(cells.collect::<Vec<_>>().join("  ").trim_end());
        out.push('\n');
    }
    if body.is_empty() {
        out.push_str("Nothing to show.\n");
    }
    for note in &plot.note {
        out.push_str(&format!("\n{}", sentence(note)));
    }
    if !plot.note.is_empty() {
        out.push('\n');
    }
    out
}

fn is_number(text: &str) -> bool {
    let bare = text.trim_end_matches(" %");
    bare == "-" || bare.parse::<f64>().is_ok_and(f64::is_finite)
}
