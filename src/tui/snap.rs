//! A screen as text that keeps its styles, for snapshots: ratatui's own text form of a buffer drops them, so two frames
//! that differ only in the selected row would look the same. Not used outside tests.

use ratatui::buffer::{Buffer, Cell};
use ratatui::style::{Color, Modifier};
use std::fmt::Write as _;
use unicode_width::UnicodeWidthStr;

/// The text of the screen, one row a line without trailing spaces, then a line for every row that is styled:
/// `3: 0-11 bold cyan, 12-14 reverse` (row and columns from 0, both ends included). The cell that a wide character
/// hides belongs to that character, so its stale style breaks no run.
#[must_use]
pub fn styled(buffer: &Buffer) -> String {
    let mut text = String::new();
    let mut styles = String::new();
    let area = buffer.area;
    for y in area.top()..area.bottom() {
        let mut line = String::new();
        let mut runs: Vec<(u16, u16, String)> = Vec::new();
        let mut x = area.left();
        while x < area.right() {
            let Some(cell) = buffer.cell((x, y)) else { break };
            line.push_str(cell.symbol());
            let wide = u16::try_from(cell.symbol().width()).unwrap_or(1).clamp(1, area.right() - x);
            let (from, to) = (x - area.left(), x - area.left() + wide - 1);
            let style = words(cell);
            match runs.last_mut() {
                Some(run) if run.2 == style => run.1 = to,
                _ => runs.push((from, to, style)),
            }
            x += wide;
        }
        text.push_str(line.trim_end());
        text.push('\n');
        let shown: Vec<String> = runs
            .iter()
            .filter(|(_, _, style)| !style.is_empty())
            .map(
                |(from, to, style)| if from == to { format!("{from} {style}") } else { format!("{from}-{to} {style}") },
            )
            .collect();
        if !shown.is_empty() {
            // Writing to a string cannot fail.
            let _ = writeln!(styles, "{}: {}", y - area.top(), shown.join(", "));
        }
    }
    if !styles.is_empty() {
        text.push_str("styles\n");
        text.push_str(&styles);
    }
    text
}

fn words(cell: &Cell) -> String {
    let mut words = Vec::new();
    for (modifier, word) in [
        (Modifier::BOLD, "bold"),
        (Modifier::DIM, "dim"),
        (Modifier::ITALIC, "italic"),
        (Modifier::UNDERLINED, "underline"),
        (Modifier::REVERSED, "reverse"),
        (Modifier::CROSSED_OUT, "crossed"),
        (Modifier::SLOW_BLINK, "blink"),
        (Modifier::RAPID_BLINK, "blink"),
        (Modifier::HIDDEN, "hidden"),
    ] {
        if cell.modifier.contains(modifier) {
            words.push(word.to_owned());
        }
    }
    if cell.fg != Color::Reset {
        words.push(colour(cell.fg));
    }
    if cell.bg != Color::Reset {
        words.push(format!("on {}", colour(cell.bg)));
    }
    if cell.underline_color != Color::Reset {
        words.push(format!("under {}", colour(cell.underline_color)));
    }
    words.join(" ")
}

fn colour(colour: Color) -> String {
    match colour {
        Color::Indexed(i) => format!("#{i}"),
        other => other.to_string().to_lowercase(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ratatui::layout::Rect;
    use ratatui::style::Style;

    #[test]
    fn text_comes_first_and_runs_follow() {
        let mut buffer = Buffer::empty(Rect::new(2, 3, 12, 3));
        buffer.set_string(2, 3, "pack hall", Style::new().fg(Color::Cyan).add_modifier(Modifier::BOLD));
        buffer.set_string(2, 5, "ab", Style::new());
        buffer.set_string(4, 5, "c", Style::new().add_modifier(Modifier::REVERSED));
        buffer.set_string(5, 5, "d", Style::new().fg(Color::Indexed(16)).bg(Color::Indexed(231)));
        assert_eq!(styled(&buffer), "pack hall\n\nabcd\nstyles\n0: 0-8 bold cyan\n2: 2 reverse, 3 #16 on #231\n");
    }

    #[test]
    fn a_wide_character_does_not_break_its_run() {
        let mut buffer = Buffer::empty(Rect::new(0, 0, 6, 1));
        buffer.set_string(0, 0, "喷头!", Style::new().add_modifier(Modifier::REVERSED));
        buffer[(1, 0)].set_style(Style::new().fg(Color::Red));
        assert_eq!(styled(&buffer), "喷头!\nstyles\n0: 0-4 reverse\n");
    }

    #[test]
    fn frames_that_differ_only_in_style_differ() {
        let mut a = Buffer::empty(Rect::new(0, 0, 4, 1));
        a.set_string(0, 0, "row", Style::new());
        let mut b = a.clone();
        b.set_style(b.area, Style::new().add_modifier(Modifier::REVERSED));
        assert_ne!(styled(&a), styled(&b));
    }

    #[test]
    fn an_empty_buffer_is_empty_text() {
        assert_eq!(styled(&Buffer::empty(Rect::ZERO)), "");
    }
}
