//! The summary as plain text for a screen or a printer: lines of at most the asked width, nothing but line feeds and
//! printable characters.

use super::lines::{ascii, left, right, width, wrap};
use super::summary::{Block, Cell, Fact, Pair, Section, Summary, Table, Tone};

/// How the text is laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Layout {
    /// Columns of a line, 40 at least.
    pub columns: usize,
    /// Whether only ASCII may appear.
    pub ascii: bool,
}

impl Default for Layout {
    fn default() -> Self {
        Self { columns: 80, ascii: false }
    }
}

/// The summary as text.
#[must_use]
pub fn render(summary: &Summary, layout: Layout) -> String {
    let mut page = Page { out: String::new(), columns: layout.columns.max(40), ascii: layout.ascii };
    for line in wrap(&page.words(&summary.title.text).to_uppercase(), page.columns) {
        page.line(&line);
    }
    page.rule('=');
    for block in &summary.head {
        page.block(block, 0);
    }
    for section in &summary.sections {
        page.section(section, 0);
    }
    page.blank();
    page.line(summary.closing);
    page.out
}

/// The fewest columns a table's first column is wrapped to; below, its rows become records.
const LEAST_FIRST: usize = 16;

/// A table without the number columns that are zero in every row, and the labels of those. One that holds nothing but
/// zeros, or no rows, stays whole.
fn without_zeros(table: &Table) -> (Table, Vec<&'static str>) {
    let zero = |at: usize| {
        table.rows.iter().all(|r| r.get(at).is_some_and(|c| matches!(c.facts.as_slice(), [f] if f.text == "0")))
    };
    let kept: Vec<bool> = table.columns.iter().enumerate().map(|(at, c)| !c.numeric || !zero(at)).collect();
    let any = table.columns.iter().zip(&kept).any(|(c, kept)| c.numeric && *kept);
    if !any || table.rows.is_empty() {
        return (table.clone(), Vec::new());
    }
    let empty = table.columns.iter().zip(&kept).filter(|(_, kept)| !**kept).map(|(c, _)| c.label).collect();
    let pick = |row: &Vec<Cell>| row.iter().zip(&kept).filter(|(_, kept)| **kept).map(|(c, _)| c.clone()).collect();
    let columns = table.columns.iter().zip(&kept).filter(|(_, kept)| **kept).map(|(c, _)| *c).collect();
    (Table { columns, rows: table.rows.iter().map(pick).collect(), ..table.clone() }, empty)
}

struct Page {
    out: String,
    columns: usize,
    ascii: bool,
}

impl Page {
    fn words(&self, text: &str) -> String {
        if self.ascii { ascii(text) } else { text.to_owned() }
    }

    fn line(&mut self, text: &str) {
        self.out.push_str(text.trim_end());
        self.out.push('\n');
    }

    /// One empty line, never two.
    fn blank(&mut self) {
        if !self.out.is_empty() && !self.out.ends_with("\n\n") {
            self.out.push('\n');
        }
    }

    fn rule(&mut self, c: char) {
        let line = String::from(c).repeat(self.columns);
        self.line(&line);
    }

    /// Text with a first mark and further lines under the text's start.
    fn hang(&mut self, mark: &str, indent: usize, text: &str) {
        let mark = format!("{}{mark}", " ".repeat(indent));
        let room = self.columns.saturating_sub(width(&mark)).max(10);
        let text = self.words(text);
        for (n, line) in wrap(&text, room).iter().enumerate() {
            let start = if n == 0 { mark.clone() } else { " ".repeat(width(&mark)) };
            self.line(&format!("{start}{line}"));
        }
    }

    fn section(&mut self, section: &Section, depth: usize) {
        self.blank();
        let title = self.words(&section.title);
        if depth == 0 {
            self.blank();
            self.rule('-');
            for line in wrap(&title.to_uppercase(), self.columns) {
                self.line(&line);
            }
            self.rule('-');
        } else {
            for line in wrap(&title, self.columns) {
                self.line(&line);
            }
            let under = "~".repeat(width(&title).min(self.columns));
            self.line(&under);
        }
        for block in &section.blocks {
            self.block(block, depth);
        }
        for part in &section.parts {
            self.section(part, depth + 1);
        }
    }

    fn block(&mut self, block: &Block, depth: usize) {
        match block {
            Block::Banner { tone, facts } => self.banner(*tone, facts),
            Block::Para { fact } => {
                self.blank_unless_heading();
                self.hang("", 0, &fact.text);
            }
            Block::Pairs { pairs } => {
                self.blank_unless_heading();
                self.pairs(pairs, 0);
            }
            Block::Items { numbered, facts } => {
                self.blank_unless_heading();
                for (n, fact) in facts.iter().enumerate() {
                    let mark = if *numbered { format!("{}. ", n + 1) } else { "* ".to_owned() };
                    self.hang(&mark, 2, &fact.text);
                }
            }
            Block::Table { table } => self.table(table, depth),
            Block::Blanks { labels } => {
                for label in labels {
                    self.blank();
                    let label = left(&format!("{label} "), 28);
                    let line = format!("{label}{}", "_".repeat(self.columns.saturating_sub(28)));
                    self.line(&line);
                }
            }
        }
    }

    fn blank_unless_heading(&mut self) {
        let last = self.out.trim_end_matches('\n').rsplit('\n').next().unwrap_or_default();
        let heading = !last.is_empty() && last.chars().all(|c| matches!(c, '-' | '~' | '='));
        if !heading {
            self.blank();
        }
    }

    fn banner(&mut self, tone: Tone, facts: &[Fact]) {
        let mark = match tone {
            Tone::Alarm => '!',
            Tone::Draft => '#',
            Tone::Notice => '*',
        };
        self.blank_unless_heading();
        self.rule(mark);
        for fact in facts {
            let room = self.columns.saturating_sub(6).max(10);
            for line in wrap(&self.words(&fact.text), room) {
                let line = format!("{mark}{mark} {} {mark}{mark}", left(&line, room));
                self.line(&line);
            }
        }
        self.rule(mark);
    }

    fn pairs(&mut self, pairs: &[Pair], indent: usize) {
        let label = pairs.iter().map(|p| width(p.label)).max().unwrap_or(0) + 2;
        for pair in pairs {
            for (n, fact) in pair.facts.iter().enumerate() {
                let mark = if n == 0 { pair.label } else { "" };
                // A digest is compared by eye: where it fits a line of its own, it is not broken.
                let longest = self.words(&fact.text).split(' ').map(width).max().unwrap_or(0);
                if longest + label + indent > self.columns && longest + 2 <= self.columns {
                    self.line(mark);
                    self.hang("", 2, &fact.text);
                    continue;
                }
                self.hang(&left(mark, label), indent, &fact.text);
            }
        }
    }

    fn table(&mut self, table: &Table, depth: usize) {
        if !table.caption.is_empty() {
            self.blank_unless_heading();
            let caption = if depth == 0 { format!("{}:", table.caption) } else { table.caption.clone() };
            self.hang("", 0, &caption);
        }
        let (table, empty) = without_zeros(table);
        let table = &table;
        let mut widths = self.widths(table);
        let whole = widths.iter().sum::<usize>() + 2 * widths.len().saturating_sub(1);
        let one_line = table.rows.iter().flatten().all(|c| c.facts.len() <= 1 || c.inline);
        if let Some(first) = widths.first_mut().filter(|_| one_line && whole > self.columns) {
            let room = first.saturating_sub(whole - self.columns);
            if room >= LEAST_FIRST {
                *first = room;
            }
        }
        if widths.iter().sum::<usize>() + 2 * widths.len().saturating_sub(1) <= self.columns && one_line {
            self.grid(table, &widths);
            if !empty.is_empty() {
                self.blank();
                self.hang("", 0, &format!("None anywhere (0): {}.", empty.join(", ")));
            }
        } else {
            for row in &table.rows {
                self.record(table, row);
            }
        }
    }

    fn cell(&self, cell: &Cell) -> String {
        let parts: Vec<&str> = cell.facts.iter().map(|f| f.text.as_str()).collect();
        self.words(&parts.join(", "))
    }

    fn widths(&self, table: &Table) -> Vec<usize> {
        let mut widths: Vec<usize> = table.columns.iter().map(|c| width(c.label)).collect();
        for row in &table.rows {
            for (cell, wide) in row.iter().zip(&mut widths) {
                *wide = (*wide).max(width(&self.cell(cell)));
            }
        }
        widths
    }

    fn grid(&mut self, table: &Table, widths: &[usize]) {
        self.blank_unless_heading();
        let set = |text: &str, wide: usize, numeric: bool| if numeric { right(text, wide) } else { left(text, wide) };
        let labels: Vec<String> = table.columns.iter().zip(widths).map(|(c, w)| set(c.label, *w, c.numeric)).collect();
        self.line(&labels.join("  "));
        let under: Vec<String> = widths.iter().map(|w| "-".repeat(*w)).collect();
        self.line(&under.join("  "));
        for row in &table.rows {
            // A first cell that is too wide runs over lines of its own; the row's other cells stand beside its end.
            let first = row.first().map(|c| self.cell(c)).unwrap_or_default();
            let wide = widths.first().copied().unwrap_or(0);
            let mut lines = if width(&first) > wide { wrap(&first, wide.saturating_sub(2)) } else { vec![first] };
            for line in lines.iter_mut().skip(1) {
                line.insert_str(0, "  ");
            }
            let last = lines.pop().unwrap_or_default();
            for line in lines {
                self.line(&line);
            }
            let cells = row.iter().map(|c| self.cell(c)).skip(1);
            let cells: Vec<String> = std::iter::once(last)
                .chain(cells)
                .zip(&table.columns)
                .zip(widths)
                .map(|((cell, column), w)| set(&cell, *w, column.numeric))
                .collect();
            self.line(&cells.join("  "));
        }
    }

    /// One row as a small record: its first cells as a heading, the others labelled below.
    fn record(&mut self, table: &Table, row: &[Cell]) {
        self.blank_unless_heading();
        let lead: Vec<String> = row.iter().take(table.lead).map(|c| self.cell(c)).filter(|t| !t.is_empty()).collect();
        let mark = "> ";
        // A heading that fits stands on one line; otherwise each of its cells has its own.
        let joined = lead.join("  |  ");
        if width(&joined) + width(mark) <= self.columns {
            self.hang_exact(mark, &joined);
        } else {
            for (n, text) in lead.iter().enumerate() {
                self.hang(if n == 0 { mark } else { "  " }, 0, text);
            }
        }
        let label = table.columns.iter().skip(table.lead).map(|c| width(c.label)).max().unwrap_or(0) + 2;
        for (cell, column) in row.iter().zip(&table.columns).skip(table.lead) {
            let lines: Vec<String> =
                if cell.inline { vec![self.cell(cell)] } else { cell.facts.iter().map(|f| f.text.clone()).collect() };
            for (n, text) in lines.iter().enumerate() {
                let mark = if n == 0 { column.label } else { "" };
                self.hang(&left(mark, label), 4, text);
            }
        }
    }

    /// A line that is known to fit, its spacing kept.
    fn hang_exact(&mut self, mark: &str, text: &str) {
        let line = format!("{mark}{text}");
        self.line(&line);
    }
}
