//! The summary as Markdown with tables (CommonMark and the table extension). Text that people typed is escaped: it comes
//! out as text, never as markup, a link or HTML.

use std::fmt::Write as _;

use super::summary::{Block, Cell, Fact, Section, Summary, Table};

/// The summary as Markdown.
#[must_use]
pub fn render(summary: &Summary) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "# {}", escape(&summary.title.text));
    for part in &summary.head {
        block(&mut out, part);
    }
    for part in &summary.sections {
        section(&mut out, part, 2);
    }
    let _ = write!(out, "\n---\n\n{}\n", summary.closing);
    out
}

fn section(out: &mut String, section_: &Section, level: usize) {
    let _ = write!(out, "\n{} {}\n", "#".repeat(level.min(6)), escape(&section_.title));
    for part in &section_.blocks {
        block(out, part);
    }
    for part in &section_.parts {
        section(out, part, level + 1);
    }
}

fn block(out: &mut String, block: &Block) {
    out.push('\n');
    match block {
        Block::Banner { facts, .. } => {
            let lines: Vec<String> = facts.iter().map(|f| format!("> **{}**\n", escape(&f.text))).collect();
            out.push_str(&lines.join(">\n"));
        }
        Block::Para { fact } => {
            let _ = writeln!(out, "{}", escape(&fact.text));
        }
        Block::Pairs { pairs } => {
            out.push_str("| | |\n| --- | --- |\n");
            for pair in pairs {
                let _ = writeln!(out, "| **{}** | {} |", escape(pair.label), joined(&pair.facts, "<br>"));
            }
        }
        Block::Items { numbered, facts } => {
            for (n, fact) in facts.iter().enumerate() {
                let mark = if *numbered { format!("{}.", n + 1) } else { "-".to_owned() };
                let _ = writeln!(out, "{mark} {}", escape(&fact.text));
            }
        }
        Block::Table { table: it } => table(out, it),
        Block::Blanks { labels } => {
            out.push_str("| | |\n| --- | --- |\n");
            for label in labels {
                let _ = writeln!(out, "| {} | {} |", escape(label), "\\_".repeat(30));
            }
        }
    }
}

fn table(out: &mut String, table: &Table) {
    if !table.caption.is_empty() {
        let _ = write!(out, "**{}**\n\n", escape(&table.caption));
    }
    // A column that is empty in every row only takes room from the others.
    let used: Vec<bool> = (0..table.columns.len())
        .map(|at| table.rows.iter().any(|row| row.get(at).is_some_and(|c| !c.facts.is_empty())))
        .collect();
    let kept = || table.columns.iter().zip(&used).filter(|(_, used)| **used).map(|(c, _)| c);
    let labels: Vec<String> = kept().map(|c| escape(c.label)).collect();
    let _ = writeln!(out, "| {} |", labels.join(" | "));
    let marks: Vec<&str> = kept().map(|c| if c.numeric { "---:" } else { "---" }).collect();
    let _ = writeln!(out, "| {} |", marks.join(" | "));
    for row in &table.rows {
        let cells: Vec<String> = row.iter().zip(&used).filter(|(_, used)| **used).map(|(c, _)| cell(c)).collect();
        let _ = writeln!(out, "| {} |", cells.join(" | "));
    }
}

fn cell(cell: &Cell) -> String {
    joined(&cell.facts, if cell.inline { ", " } else { "<br>" })
}

fn joined(facts: &[Fact], by: &str) -> String {
    facts.iter().map(|f| escape(&f.text)).collect::<Vec<_>>().join(by)
}

/// Text as Markdown that shows it as it is: every character that could start markup, a table cell, HTML, an entity or
/// a link is escaped. The text must be one line.
#[must_use]
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    let lead = text.len() - text.trim_start().len();
    // `1.` and `1)` open a list at the start of a line.
    let digits = text.trim_start().bytes().take_while(u8::is_ascii_digit).count();
    let list_mark = (digits > 0).then_some(lead + digits);
    for (at, c) in text.char_indices() {
        let before = text.get(..at).unwrap_or_default();
        let after = text.get(at + c.len_utf8()..).unwrap_or_default();
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '\\' | '`' | '*' | '_' | '[' | ']' | '|' | '~' | '$' | '{' | '}' | '^' => {
                out.push('\\');
                out.push(c);
            }
            '#' | '-' | '+' | '=' if at == lead => {
                out.push('\\');
                out.push(c);
            }
            '.' | ')' if Some(at) == list_mark => {
                out.push('\\');
                out.push(c);
            }
            // What some readers turn into links by themselves.
            ':' if after.starts_with("//") => out.push_str("\\:"),
            '.' if ends_with_www(before) => out.push_str("\\."),
            '@' => out.push_str("&#64;"),
            '\n' | '\r' => out.push(' '),
            _ => out.push(c),
        }
    }
    out
}

fn ends_with_www(text: &str) -> bool {
    text.get(text.len().saturating_sub(3)..).is_some_and(|end| end.eq_ignore_ascii_case("www"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_people_typed_comes_out_as_text() {
        for (text, escaped) in [
            ("<script>alert(1)</script>", "&lt;script&gt;alert(1)&lt;/script&gt;"),
            ("[a](http://b.example)", "\\[a\\](http\\://b.example)"),
            ("www.b.example a@b.example", "www\\.b.example a&#64;b.example"),
            (
                "| cell | **bold** _it_ ~~no~~ `code`",
                "\\| cell \\| \\*\\*bold\\*\\* \\_it\\_ \\~\\~no\\~\\~ \\`code\\`",
            ),
            ("&lt; \\n", "&amp;lt; \\\\n"),
            ("# not a heading", "\\# not a heading"),
            ("1. not a list", "1\\. not a list"),
            ("- nor this", "\\- nor this"),
            ("qr-pendent at pack/1.7, K5.6", "qr-pendent at pack/1.7, K5.6"),
        ] {
            assert_eq!(escape(text), escaped);
        }
    }
}
