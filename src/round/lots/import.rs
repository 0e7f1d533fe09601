//! A bench's results as comma-separated values: one head a row, the columns by name, each quantity with its unit in the head
//! of its column or in the cell. Everything that is wrong is told with its line and column, and then nothing is taken.

use std::collections::HashMap;
use std::ops::Range;
use std::sync::Arc;

use chrono::NaiveDate;

use super::{Lot, Sample};
use crate::bench::judge::{Deflector, WaterSeal};
use crate::diag::{Diagnostic, Source, nearest, plain};
use crate::round::entry::{Condition, Id, Readings, Tested};
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::trade::address::Address;
use crate::trade::measure::{Conductivity, Pressure, Rti, Seconds, Speed};
use crate::trade::quantity::Temperature;
use crate::trade::words::words;

words! {
    /// What a column holds.
    pub enum Column ("column") {
        /// The head's tag.
        Tag = "tag",
        /// Where it hung.
        Head = "head",
        /// The day of the test.
        Date = "date",
        /// Which bench.
        Bench = "bench",
        /// What it looked like before.
        Before = "before",
        /// The oven's air.
        Oven = "oven",
        /// Its speed.
        Air = "air",
        /// The head's temperature at the start.
        Start = "start",
        /// The pressure of the supply.
        Pressure = "pressure",
        /// When the heat element operated.
        Element = "element",
        /// When it began to leak.
        Leak = "leak",
        /// When the waterway cleared.
        Clear = "clear",
        /// When the exposure ended.
        Until = "until",
        /// The temperature its like operate at.
        Operating = "operating",
        /// The conductivity factor.
        C = "c",
        /// The response time index that a laboratory reports.
        Rti = "rti",
        /// Whether the waterway cleared.
        Opened = "opened",
        /// The water seal.
        Seal = "seal",
        /// Whether parts stayed in the waterway or on the frame.
        Lodged = "lodged",
        /// The deflector.
        Deflector = "deflector",
        /// Free text.
        Note = "note",
    }
}

impl Column {
    /// Whether a unit reads as one of this column's quantity; columns of words have none.
    fn takes(self, unit: &str) -> bool {
        let one = format!("1 {unit}");
        match self {
            Self::Oven | Self::Start | Self::Operating => Temperature::parse(&one).is_ok(),
            Self::Air => Speed::parse(&one).is_ok(),
            Self::Pressure => Pressure::parse(&one).is_ok(),
            Self::Element | Self::Leak | Self::Clear | Self::Until => Seconds::parse(&one).is_ok(),
            Self::C => Conductivity::parse(&one).is_ok(),
            Self::Rti => Rti::parse(&one).is_ok(),
            _ => false,
        }
    }

    /// Whether it holds a number.
    const fn is_number(self) -> bool {
        matches!(
            self,
            Self::Oven
                | Self::Start
                | Self::Operating
                | Self::Air
                | Self::Pressure
                | Self::Element
                | Self::Leak
                | Self::Clear
                | Self::Until
                | Self::C
                | Self::Rti
        )
    }
}

/// One head of the file.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Its line in the file, from 1.
    pub line: usize,
    /// Its tag.
    pub tag: String,
    /// Where it hung.
    pub head: HeadIx,
    /// What was seen.
    pub tested: Tested,
    /// The entry that it stands in place of.
    pub instead: Option<Id>,
}

/// The most complaints that are told one by one.
const MOST_TOLD: usize = 40;

/// Reads a bench's results for a lot. With `instead` a head may have a test already, and the row stands in its place.
///
/// # Errors
/// Every complaint, at its place.
pub fn read(state: &State, lot: &Lot, source: &Arc<Source>, instead: bool) -> Result<Vec<Row>, Vec<Diagnostic>> {
    let mut reader = Reader { state, lot, source, instead, told: Vec::new(), met: HashMap::new(), comma: false };
    let rows = reader.rows();
    if reader.told.is_empty() {
        return Ok(rows);
    }
    let mut told = reader.told;
    let rest = told.len().saturating_sub(MOST_TOLD);
    told.truncate(MOST_TOLD);
    if rest > 0 {
        let why = format!("{rest} more complaints are not shown");
        told.push(Diagnostic::error("bad-table", source, 0..0, why));
    }
    Err(told)
}

/// A column as its head names it.
struct Named {
    column: Column,
    unit: Option<String>,
}

struct Reader<'a> {
    state: &'a State,
    lot: &'a Lot,
    source: &'a Arc<Source>,
    instead: bool,
    told: Vec<Diagnostic>,
    /// By head, the line that told of it first.
    met: HashMap<HeadIx, usize>,
    /// Whether a comma may stand for the decimal point.
    comma: bool,
}

impl Reader<'_> {
    fn tell(&mut self, code: &'static str, span: &Range<usize>, message: String, help: &str) {
        let it = Diagnostic::error(code, self.source, span.clone(), message);
        self.told.push(if help.is_empty() { it } else { it.help(help) });
    }

    fn rows(&mut self) -> Vec<Row> {
        let source = Arc::clone(self.source);
        let separator = separator(&source.text);
        self.comma = separator != ',';
        let mut table = match cells(&source.text, separator) {
            Ok(table) => table.into_iter(),
            Err((span, message)) => {
                self.tell(
                    "bad-table",
                    &span,
                    message.to_owned(),
                    "a cell that holds a quote is written in quotes, the quote twice",
                );
                return Vec::new();
            }
        };
        let Some(head) = table.next() else {
            let help = "the first row names the columns; docs/lots.md lists them";
            self.tell("empty-table", &(0..0), "the file holds no row".to_owned(), help);
            return Vec::new();
        };
        let columns = self.head(&head);
        if !self.told.is_empty() {
            return Vec::new();
        }
        let rows: Vec<Row> = table.filter_map(|row| self.row(&columns, &row)).collect();
        if rows.is_empty() && self.told.is_empty() {
            self.tell("empty-table", &(0..0), "the file names columns and no head".to_owned(), "");
        }
        rows
    }

    fn head(&mut self, head: &[Cell]) -> Vec<Named> {
        let mut columns: Vec<Named> = Vec::new();
        for cell in head {
            let (name, unit) = apart(&cell.text);
            let Ok(column) = Column::parse(&name) else {
                let known = Column::ALL.iter().map(|c| c.as_str());
                let help = match nearest(&name, known.clone()) {
                    Some(near) => format!("did you mean '{near}'?"),
                    None => format!("columns: {}", known.collect::<Vec<_>>().join(", ")),
                };
                self.tell("unknown-column", &cell.span, format!("'{}' is no column", short(&cell.text)), &help);
                continue;
            };
            if columns.iter().any(|c| c.column == column) {
                self.tell("named-twice", &cell.span, format!("the column '{column}' stands twice"), "");
            }
            if let Some(unit) = unit.as_deref().filter(|unit| !column.takes(unit)) {
                let message = format!("'{}' is no unit of '{column}'", short(unit));
                self.tell("bad-unit", &cell.span, message, units_of(column));
            }
            columns.push(Named { column, unit });
        }
        if self.told.is_empty() && !columns.iter().any(|c| matches!(c.column, Column::Tag | Column::Head)) {
            let span = head.first().map_or(0..0, |c| c.span.clone());
            self.tell("no-head", &span, "no column says which head".to_owned(), "add a column 'tag' or 'head'");
        }
        columns
    }

    fn row(&mut self, columns: &[Named], row: &[Cell]) -> Option<Row> {
        let before = self.told.len();
        let all = row.first()?.span.start..row.last()?.span.end;
        if row.iter().all(|c| c.text.trim().is_empty()) {
            return None;
        }
        for cell in row.iter().skip(columns.len()).filter(|c| !c.text.trim().is_empty()) {
            let message = format!("'{}' stands under no column", short(&cell.text));
            self.tell("bad-table", &cell.span, message, "");
        }
        let (mut tag, mut head) = (None, None);
        let mut readings = Readings::default();
        for (cell, named) in row.iter().zip(columns) {
            let text = cell.text.trim();
            if text.is_empty() {
                continue;
            }
            let read = match named.column {
                Column::Tag => {
                    tag = Some((text, &cell.span));
                    Ok(())
                }
                Column::Head => Address::parse(text).map(|a| head = Some((a, &cell.span))),
                column => take(&mut readings, column, &self.with_unit(named, text)),
            };
            if let Err(why) = read {
                let lacks = named.column.is_number() && named.unit.is_none() && is_number(text);
                let help = if lacks { "name the unit in the head of the column or in the cell" } else { "" };
                let help = if lacks { format!("{help}; {}", units_of(named.column)) } else { help.to_owned() };
                self.tell("bad-cell", &cell.span, why, &help);
            }
        }
        let sample = self.sample(tag, head, &all);
        let sample = sample.filter(|_| self.told.len() == before)?;
        let line = self.source.place(all.clone()).line;
        if let Some(first) = self.met.insert(sample.head, line) {
            let message = format!("'{}' stands in line {first} already", plain(&sample.tag));
            self.tell("named-twice", &all, message, "");
            return None;
        }
        if readings == Readings::default() {
            let message = format!("nothing is said of '{}'", plain(&sample.tag));
            self.tell("nothing-said", &all, message, "leave the row out, or say what was seen");
            return None;
        }
        let known = sample.test.and_then(|ix| self.state.entry(ix)).map(|e| e.id);
        if known.is_some() && !self.instead {
            let message = format!("'{}' has a test already", plain(&sample.tag));
            self.tell("tested-already", &all, message, "to put this in its place, add '--instead'");
            return None;
        }
        if sample.judged.as_ref().is_some_and(|j| j.verdict.fails()) && readings.note.is_none() {
            let message = format!(
                "the test of '{}' on record failed, and that is put aside only with a reason",
                plain(&sample.tag)
            );
            self.tell("no-reason", &all, message, "say why in the column 'note'");
            return None;
        }
        let address = self.state.address(sample.head)?;
        Some(Row {
            line,
            tag: sample.tag.clone(),
            head: sample.head,
            tested: Tested { lot: self.lot.id.clone(), head: address, readings },
            instead: known,
        })
    }

    /// The drawn head that a row names.
    fn sample(
        &mut self,
        tag: Option<(&str, &Range<usize>)>,
        head: Option<(Address, &Range<usize>)>,
        all: &Range<usize>,
    ) -> Option<Sample> {
        let lot = self.lot;
        let by_tag = tag.map(|(text, span)| (lot.tagged(text), text, span));
        if let Some((None, text, span)) = &by_tag {
            let message = format!("no head of lot '{}' bears the tag '{}'", lot.id, short(text));
            self.tell("unknown-tag", span, message, "see its tags: headround lot FILE show LOT");
            return None;
        }
        let by_head = match &head {
            None => None,
            Some((address, span)) => {
                let found = self.state.layout().find(address).and_then(|ix| lot.sample_at(ix));
                if found.is_none() {
                    let message = format!("'{address}' was not drawn for lot '{}'", lot.id);
                    self.tell(
                        "not-drawn",
                        span,
                        message,
                        "draw it first: headround lot FILE draw LOT --heads HEAD --note WHY",
                    );
                    return None;
                }
                found
            }
        };
        let by_tag = by_tag.and_then(|(sample, _, _)| sample);
        match (by_tag, by_head) {
            (Some(a), Some(b)) if a.head != b.head => {
                let message = format!("'{}' is not the tag of the head named", plain(&a.tag));
                self.tell("contradiction", all, message, "name one of them, or both alike");
                None
            }
            (Some(one), _) | (None, Some(one)) => Some(one.clone()),
            (None, None) => {
                self.tell("no-head", all, "the row does not say which head".to_owned(), "");
                None
            }
        }
    }

    /// A number with the unit of its column; a decimal comma becomes a point where no comma parts the cells.
    fn with_unit(&self, named: &Named, text: &str) -> String {
        if !named.column.is_number() {
            return text.to_owned();
        }
        let text = if self.comma && !text.contains('.') { text.replacen(',', ".", 1) } else { text.to_owned() };
        match &named.unit {
            Some(unit) if is_number(&text) => format!("{text} {unit}"),
            _ => text,
        }
    }
}

/// Puts what a cell says into the readings.
fn take(readings: &mut Readings, column: Column, text: &str) -> Result<(), String> {
    match column {
        Column::Tag | Column::Head => {}
        Column::Date => {
            let bad = |_| format!("'{}' is no day; write it as in 2026-11-25", short(text));
            readings.on = Some(NaiveDate::parse_from_str(text, "%Y-%m-%d").map_err(bad)?);
        }
        Column::Bench => readings.bench = Some(text.to_owned()),
        Column::Before => readings.before = Some(Condition::parse(&text.to_lowercase())?),
        Column::Oven => readings.oven = Some(Temperature::parse(text)?),
        Column::Air => readings.air = Some(Speed::parse(text)?),
        Column::Start => readings.start = Some(Temperature::parse(text)?),
        Column::Pressure => readings.pressure = Some(Pressure::parse(text)?),
        Column::Element => readings.element = Some(Seconds::parse(text)?),
        Column::Leak => readings.leak = Some(Seconds::parse(text)?),
        Column::Clear => readings.clear = Some(Seconds::parse(text)?),
        Column::Until => readings.until = Some(Seconds::parse(text)?),
        Column::Operating => readings.operating = Some(Temperature::parse(text)?),
        Column::C => readings.c = Some(Conductivity::parse(text)?),
        Column::Rti => readings.rti = Some(Rti::parse(text)?),
        Column::Opened => readings.opened = Some(yes_or_no(text)?),
        Column::Seal => readings.seal = Some(WaterSeal::parse(&text.to_lowercase())?),
        Column::Lodged => readings.lodged = Some(yes_or_no(text)?),
        Column::Deflector => readings.deflector = Some(Deflector::parse(&text.to_lowercase())?),
        Column::Note => readings.note = Some(text.to_owned()),
    }
    Ok(())
}

fn yes_or_no(text: &str) -> Result<bool, String> {
    match text.to_lowercase().as_str() {
        "yes" | "y" => Ok(true),
        "no" | "n" => Ok(false),
        _ => Err(format!("'{}' is neither yes nor no", short(text))),
    }
}

fn is_number(text: &str) -> bool {
    !text.is_empty() && text.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+'))
}

const fn units_of(column: Column) -> &'static str {
    match column {
        Column::Oven | Column::Start | Column::Operating => "units: F, C",
        Column::Air => "units: m/s, ft/s, ft/min",
        Column::Pressure => "units: psi, bar, kPa",
        Column::Element | Column::Leak | Column::Clear | Column::Until => "units: s, min",
        Column::C => "units: (m/s)^0.5",
        Column::Rti => "units: (m.s)^0.5, (ft.s)^0.5",
        _ => "it takes no unit",
    }
}

/// The name of a column and the unit in brackets behind it: `oven [C]`, `rti ((m.s)^0.5)`.
fn apart(text: &str) -> (String, Option<String>) {
    let text = text.trim();
    let found =
        ['[', '('].iter().filter_map(|open| text.split_once(*open).map(|(name, rest)| (name.len(), *open, name, rest)));
    match found.min_by_key(|(at, ..)| *at) {
        Some((_, open, name, rest)) => {
            let close = if open == '[' { ']' } else { ')' };
            let unit = rest.strip_suffix(close).unwrap_or(rest).trim();
            (name.trim().to_lowercase(), Some(unit.to_owned()))
        }
        None => (text.to_lowercase(), None),
    }
}

fn short(text: &str) -> String {
    plain(text.trim()).chars().take(40).collect()
}

/// A cell and where it stands, its quotes with it.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Cell {
    text: String,
    span: Range<usize>,
}

/// What parts the cells: of comma, semicolon and tab the one that stands most in the first line.
fn separator(text: &str) -> char {
    let first = text.lines().next().unwrap_or_default();
    let count = |c: char| first.chars().filter(|x| *x == c).count();
    [',', ';', '\t'].into_iter().rev().max_by_key(|c| count(*c)).unwrap_or(',')
}

/// The rows of a table by RFC 4180, lines ended in any way, empty lines left out.
fn cells(text: &str, separator: char) -> Result<Vec<Vec<Cell>>, (Range<usize>, &'static str)> {
    // A byte order mark is no text.
    let start = if text.starts_with('\u{FEFF}') { '\u{FEFF}'.len_utf8() } else { 0 };
    let mut rows = Vec::new();
    let mut row: Vec<Cell> = Vec::new();
    let mut cell = Cell { text: String::new(), span: start..start };
    let mut rest = text.char_indices().skip_while(|(at, _)| *at < start).peekable();
    // Whether it is within quotes, and whether quotes have ended in this cell.
    let (mut quoted, mut ended) = (false, false);
    let mut end_row = |row: &mut Vec<Cell>| {
        let blank = row.iter().all(|c| c.text.is_empty() && c.span.is_empty()) && row.len() < 2;
        let full = std::mem::take(row);
        if !blank {
            rows.push(full);
        }
    };
    while let Some((at, c)) = rest.next() {
        let after = at + c.len_utf8();
        match c {
            '"' if quoted => {
                if rest.next_if(|(_, c)| *c == '"').is_some() {
                    cell.text.push('"');
                } else {
                    (quoted, ended) = (false, true);
                }
                cell.span.end = after;
            }
            c if quoted => {
                cell.text.push(c);
                cell.span.end = after;
            }
            '"' if cell.span.is_empty() => {
                quoted = true;
                cell.span.end = after;
            }
            c if c == separator => {
                row.push(std::mem::replace(&mut cell, Cell { text: String::new(), span: after..after }));
                ended = false;
            }
            '\n' | '\r' => {
                row.push(std::mem::replace(&mut cell, Cell { text: String::new(), span: after..after }));
                ended = false;
                end_row(&mut row);
            }
            _ if ended => return Err((at..after, "something stands behind the closing quote")),
            c => {
                cell.text.push(c);
                cell.span.end = after;
            }
        }
    }
    if quoted {
        return Err((cell.span, "a quote opens here and never closes"));
    }
    row.push(cell);
    end_row(&mut row);
    Ok(rows)
}

#[cfg(test)]
mod tests;
