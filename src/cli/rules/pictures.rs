//! The cases of a rule as pictures in plain text: the head of each as it would look, two beside each other, with what is
//! seen, what that puts together and what the set rules below it. A case about nothing that an eye sees has words only.

use unicode_width::UnicodeWidthStr as _;

use crate::rules::explain::{WIDTH, combination, ending};
use crate::rules::model::{Case, Rule, RuleSet};
use crate::tui::glyphs::Glyphs;
use crate::tui::picture::{self, PictureSpec, Size};
use crate::tui::text;
use crate::tui::theme::Theme;

/// How many stand beside each other, and the columns between them.
const BESIDE: usize = 2;
const GAP: usize = 2;

/// The cases and the near misses of a rule.
#[must_use]
pub fn cases(set: &RuleSet, rule: &Rule, glyphs: &Glyphs) -> String {
    let mut out = String::new();
    for (holds, title) in [(true, "Cases"), (false, "Near misses")] {
        let cases: Vec<&Case> = rule.cases.iter().filter(|c| c.holds == holds).collect();
        if cases.is_empty() {
            continue;
        }
        out.push_str(&format!("\n{title}\n"));
        for row in cases.chunks(BESIDE) {
            out.push('\n');
            let columns: Vec<Vec<String>> = row.iter().map(|c| column(set, c, glyphs)).collect();
            beside(&columns, &mut out);
        }
    }
    out
}

/// One case: its picture and the words below it.
fn column(set: &RuleSet, case: &Case, glyphs: &Glyphs) -> Vec<String> {
    let wide = (WIDTH - GAP * (BESIDE - 1)) / BESIDE;
    // Bare text has no colours, so any theme gives the same.
    let drawn = |spec| picture::draw(&spec, Size::Large, Theme::mono(), glyphs).text();
    let picture = PictureSpec::of_case(set, case).map(drawn).unwrap_or_default();
    let mut lines: Vec<String> = picture.lines().map(|l| format!("  {l}")).collect();
    for words in
        [&case.see, &format!("({})", combination(set, case)), &format!("{} {}", glyphs.arrow, ending(set, case))]
    {
        lines.extend(text::wrap(words, wide - 2).into_iter().map(|l| format!("  {l}")));
    }
    lines
}

/// Writes columns beside each other; no line ends in spaces.
fn beside(columns: &[Vec<String>], out: &mut String) {
    let wide = (WIDTH - GAP * (BESIDE - 1)) / BESIDE + GAP;
    let rows = columns.iter().map(Vec::len).max().unwrap_or(0);
    for at in 0..rows {
        let mut line = String::new();
        for (n, column) in columns.iter().enumerate() {
            line.extend(std::iter::repeat_n(' ', (n * wide).saturating_sub(line.width())));
            line.push_str(column.get(at).map_or("", String::as_str));
        }
        out.push_str(line.trim_end());
        out.push('\n');
    }
}
