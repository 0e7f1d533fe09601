//! The complaints about lines of a site file, in words. Pure; what is a fault is decided by the scanner.

use std::sync::Arc;

use super::hand;
use super::line::{MARK, MAX_LINE};
use super::scanner::Raw;
use crate::diag::{Diagnostic, Place, Severity, Source};

/// The same with a warning's weight.
pub(super) fn warning(mut it: Diagnostic) -> Diagnostic {
    it.severity = Severity::Warning;
    it
}

/// An error at a line whose text is not kept.
pub(super) fn at_line(name: &str, line: usize, code: &'static str, message: impl Into<String>) -> Diagnostic {
    let mut it = Diagnostic::about(Severity::Error, code, name, message);
    it.place = Some(Place { span: 0..0, line, column: 1 });
    it
}

/// A line's text to point into; a long one is cut.
pub(super) fn snippet(name: &str, line: usize, bytes: &[u8]) -> Arc<Source> {
    let shown = bytes.get(..4096).unwrap_or(bytes);
    Source::part(name, String::from_utf8_lossy(shown), line)
}

pub(super) fn too_long(name: &str, line: usize, bytes: &[u8]) -> Diagnostic {
    let source = snippet(name, line, bytes.get(..80).unwrap_or(bytes));
    Diagnostic::error(
        "line-too-long",
        &source,
        0..0,
        format!("the line or document is longer than {MAX_LINE} bytes and was not read"),
    )
    .help("headround never writes such lines; move it to another file")
}

pub(super) fn not_utf8(source: &Arc<Source>, at: usize) -> Diagnostic {
    Diagnostic::error("not-utf8", source, at..at + 1, "the bytes here are not UTF-8 text")
        .help("save the file as UTF-8, or restore the line from a copy")
}

pub(super) fn zero_bytes(name: &str, line: usize) -> Diagnostic {
    at_line(name, line, "zero-bytes", "the line holds zero bytes: writing it was cut off, or the disk lost it")
        .help("restore the line from a copy of the file, or move it to another file")
}

pub(super) fn damaged_line(name: &str, raw: &Raw<'_>) -> Diagnostic {
    let source = snippet(name, raw.number, raw.bytes);
    Diagnostic::error(
        "damaged-line",
        &source,
        0..1,
        "the line holds whole entries among damaged bytes; the entries are used",
    )
    .help("start each entry on a line of its own with '--- ', and move what is left over to another file")
}

/// The complaint of the entry reader at its place on the line.
pub(super) fn entry_error(name: &str, raw: &Raw<'_>, why: &str) -> Diagnostic {
    let source = snippet(name, raw.number, raw.bytes);
    let (why, column) = hand::without_column(why);
    let at = column.map_or(MARK.len(), |c| MARK.len() + c.saturating_sub(1));
    // The reader's column is where it stopped; the word it speaks of stands before that.
    let word = why.split('\'').nth(1).filter(|w| !w.is_empty());
    let span = word.and_then(|w| Some((source.text.get(..at + 1)?.rfind(w)?, w.len())));
    let (at, length) = span.unwrap_or((at, 1));
    Diagnostic::error("bad-entry", &source, at..at + length, why)
}
