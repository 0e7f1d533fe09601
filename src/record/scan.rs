//! Sorts the bytes of a site file into its register, its entries, and what is torn or broken. Pure over a stream of bytes: it opens
//! nothing, holds one line at a time and keeps entries, not bytes.

use std::io::{self, BufRead, BufReader, Read};
use std::ops::Range;
use std::sync::Arc;

use sha2::{Digest, Sha256};

use super::line::MAX_LINE;
use super::scanner::{Raw, Scanner};
use crate::diag::{Diagnostic, Source};
use crate::round::entry::{Entry, Id, Names};
use crate::trade::register::Register;

/// How many findings of one sort are told one by one; the rest is told as a number.
pub const MAX_TOLD: usize = 100;

/// What a finding is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Sort {
    /// The register document.
    Register,
    /// A finished line or document that cannot be used: the file is opened read-only until it is mended.
    Broken,
    /// An unfinished last line.
    Torn,
    /// An entry that stands in the file more than once, all the same.
    Copy,
    /// Something that should be looked at; everything was read.
    Odd,
}

/// Something to tell about a place of the file.
#[derive(Clone, Debug)]
pub struct Finding {
    /// What it is about.
    pub sort: Sort,
    /// Line in the file, from 1.
    pub line: usize,
    /// Bytes of the file.
    pub range: Range<u64>,
    /// What to tell.
    pub diagnostic: Diagnostic,
}

/// How the file ends.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Tail {
    /// With a line end, or it is empty.
    Whole,
    /// The last line is whole but for its line end.
    NoLineEnd,
    /// With an unfinished line.
    Torn {
        /// Its bytes in the file.
        range: Range<u64>,
        /// Whether a line end stands before it.
        after_line_end: bool,
    },
}

/// How many of each.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Entries with a right sum.
    pub clean: usize,
    /// Entries without a sum.
    pub by_hand: usize,
    /// Further copies of an entry.
    pub copies: usize,
    /// Finished lines or documents that cannot be used.
    pub broken: usize,
}

/// How an entry stands in the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Written {
    /// On one line with a sum, as the program writes.
    ByProgram,
    /// On one line of JSON without a sum.
    ByHand,
    /// As another YAML document.
    AsDocument,
}

/// An entry as it is met, in file order.
#[derive(Debug)]
pub struct Met<'a> {
    /// The entry.
    pub entry: &'a Entry,
    /// Its JSON text as it stands; for a document, as the program would write it without a sum.
    pub json: &'a str,
    /// How it stands there.
    pub written: Written,
    /// Line in the file, from 1.
    pub line: usize,
    /// Bytes of the file, the line end included.
    pub range: Range<u64>,
}

/// What a site file holds.
#[derive(Debug)]
pub struct Scan {
    /// The register document's text.
    pub source: Arc<Source>,
    /// The register, where it could be read.
    pub register: Option<Register>,
    /// SHA-256, in hexadecimal, of all bytes before the first entry.
    pub register_hash: String,
    /// Whether the last mark of the register in the file is that hash.
    pub register_marked: bool,
    /// How many bytes those are.
    pub register_len: u64,
    /// The entries by id, each once.
    pub entries: Vec<Entry>,
    /// The line of each entry, in the same order.
    pub lines: Vec<u32>,
    /// Entries that the register has taken in, by id.
    pub folded: Vec<Id>,
    /// What there is to tell, in file order.
    pub findings: Vec<Finding>,
    /// How many of each.
    pub counts: Counts,
    /// How the file ends.
    pub tail: Tail,
    /// Bytes read.
    pub len: u64,
    /// Whether reading stopped after the register because this is no site file or one of a newer format.
    pub stopped: bool,
}

/// Reads a whole file. `name` is what a person calls it.
///
/// # Errors
/// The reader's own error: then nothing is known about the file.
pub fn scan(reader: impl Read, name: &str) -> io::Result<Scan> {
    scan_with(reader, name, |_| ())
}

/// The same, showing every entry as it is met: also copies, and entries the register has taken in.
///
/// # Errors
/// The reader's own error.
pub fn scan_with(reader: impl Read, name: &str, meet: impl FnMut(Met<'_>)) -> io::Result<Scan> {
    let mut reader = BufReader::with_capacity(1 << 18, reader);
    let mut scanner = Scanner::new(name, meet);
    let mut batch = Batch::default();
    let (mut number, mut at, mut ended) = (0, 0_u64, false);
    while !ended && !scanner.stopped {
        batch.clear();
        while batch.bytes.len() < BATCH {
            let start = batch.bytes.len();
            // One byte more than a line may have, for its line end.
            let limit = MAX_LINE as u64 + 1;
            let mut length = (&mut reader).take(limit).read_until(b'\n', &mut batch.bytes)? as u64;
            if length == 0 {
                ended = true;
                break;
            }
            number += 1;
            let bytes = batch.bytes.get(start..).unwrap_or_default();
            let mut finished = bytes.last() == Some(&b'\n');
            let overlong = !finished && length == limit;
            let mut zero = !finished && bytes.iter().all(|b| *b == 0);
            let end = start + bytes.len() - usize::from(finished);
            if overlong {
                let (skipped, line_ended, more_zero) = skip_line(&mut reader)?;
                length += skipped;
                finished = line_ended;
                zero &= more_zero && !line_ended;
            }
            batch.lines.push(Cut { within: start..end, number, range: at..at + length, finished, overlong, zero });
            at += length;
        }
        let mut read = batch.read_ahead();
        for line in &batch.lines {
            if scanner.stopped {
                break;
            }
            let ready = read.next().unwrap_or_default();
            scanner.feed(&batch.raw(line), ready);
        }
    }
    Ok(scanner.finish(at))
}

/// Bytes read before their lines are sorted: enough to keep several processors busy.
const BATCH: usize = 2 << 20;

/// Lines that were read but not sorted yet.
#[derive(Default)]
struct Batch {
    bytes: Vec<u8>,
    lines: Vec<Cut>,
}

/// A line of a batch.
struct Cut {
    within: Range<usize>,
    number: usize,
    range: Range<u64>,
    finished: bool,
    overlong: bool,
    zero: bool,
}

impl Batch {
    fn clear(&mut self) {
        self.bytes.clear();
        self.lines.clear();
    }

    fn raw(&self, line: &Cut) -> Raw<'_> {
        Raw {
            bytes: self.bytes.get(line.within.clone()).unwrap_or_default(),
            number: line.number,
            range: line.range.clone(),
            finished: line.finished,
            overlong: line.overlong,
            zero: line.zero,
        }
    }

    /// Reads the lines that the program wrote, on all processors where there are many: what a line says does not depend on any
    /// other. What is not read here the scanner reads in its turn.
    fn read_ahead(&self) -> impl Iterator<Item = Option<Entry>> + use<> {
        let workers = std::thread::available_parallelism().map_or(1, usize::from).min(4);
        let share = self.lines.len().div_ceil(workers);
        let mut read = Vec::new();
        if workers > 1 && share > 500 {
            std::thread::scope(|scope| {
                let work = |lines| move || self.read_lines(lines);
                let started: Vec<_> = self.lines.chunks(share).map(|lines| scope.spawn(work(lines))).collect();
                for worker in started {
                    // Without its result the scanner reads the lines itself, but the ones after them must not move up.
                    read.push(worker.join().unwrap_or_else(|_| (0..share).map(|_| None).collect()));
                }
            });
        }
        read.into_iter().flatten()
    }

    fn read_lines(&self, lines: &[Cut]) -> Vec<Option<Entry>> {
        let mut names = Names::default();
        lines
            .iter()
            .map(|line| self.raw(line).sealed_json().and_then(|json| Entry::from_json(json, &mut names).ok()))
            .collect()
    }
}

/// Skips to the end of the line: bytes skipped, whether a line end came, whether all bytes were zero.
fn skip_line(reader: &mut impl BufRead) -> io::Result<(u64, bool, bool)> {
    let (mut skipped, mut zero) = (0, true);
    loop {
        let buffer = match reader.fill_buf() {
            Ok(buffer) => buffer,
            Err(e) if e.kind() == io::ErrorKind::Interrupted => continue,
            Err(e) => return Err(e),
        };
        if buffer.is_empty() {
            return Ok((skipped, false, zero));
        }
        zero = zero && buffer.iter().all(|b| *b == 0);
        // `contains` is the standard library's fast search for a byte; only the line's last buffer is searched slowly.
        let end = if buffer.contains(&b'\n') { buffer.iter().position(|b| *b == b'\n') } else { None };
        let taken = end.map_or(buffer.len(), |i| i + 1);
        reader.consume(taken);
        skipped += taken as u64;
        if end.is_some() {
            return Ok((skipped, true, zero));
        }
    }
}

pub(super) fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    bytes.iter().fold(String::with_capacity(64), |mut t, b| {
        let _ = write!(t, "{b:02x}");
        t
    })
}

/// SHA-256 in hexadecimal.
pub(super) fn hash(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}
