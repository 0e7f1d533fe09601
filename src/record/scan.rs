//! Sorts the bytes of a site file into its register, its entries, and what is torn or broken. Pure over a stream of bytes: it opens
//! nothing, holds one line at a time and keeps entries, not bytes.

use std::collections::{HashMap, HashSet};
use std::io::{self, BufRead, BufReader, Read};
use std::ops::Range;
use std::sync::Arc;

use sha2::{Digest, Sha256};

use super::hand;
use super::line::{self, Folded, MARK, MAX_LINE, Sum};
use crate::diag::tree::Limits;
use crate::diag::{Diagnostic, Place, Severity, Source};
use crate::round::entry::{Entry, Id, Names};
use crate::trade::register::Register;
use crate::trade::register_text;

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
    let mut bytes = Vec::with_capacity(4096);
    let mut number = 0;
    let mut at = 0_u64;
    while !scanner.stopped {
        bytes.clear();
        // One byte more than a line may have, for its line end.
        let limit = MAX_LINE as u64 + 1;
        let mut length = (&mut reader).take(limit).read_until(b'\n', &mut bytes)? as u64;
        if length == 0 {
            break;
        }
        number += 1;
        let mut finished = bytes.last() == Some(&b'\n');
        let overlong = !finished && length == limit;
        let mut zero = !finished && bytes.iter().all(|b| *b == 0);
        if overlong {
            let (skipped, ended, more_zero) = skip_line(&mut reader)?;
            length += skipped;
            finished = ended;
            zero &= more_zero && !ended;
        }
        if finished && !overlong {
            bytes.pop();
        }
        scanner.feed(&Raw { bytes: &bytes, number, range: at..at + length, finished, overlong, zero });
        at += length;
    }
    Ok(scanner.finish(at))
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

/// One line as it was read.
struct Raw<'a> {
    /// Its bytes without the line end; of an overlong line only the first ones.
    bytes: &'a [u8],
    number: usize,
    /// The line end included.
    range: Range<u64>,
    finished: bool,
    overlong: bool,
    /// Whether the whole line is zero bytes.
    zero: bool,
}

impl Raw<'_> {
    /// Whether it is a document's first line: `---`, then a blank or nothing.
    fn is_mark(&self) -> bool {
        self.bytes.strip_prefix(b"---").is_some_and(|rest| matches!(rest.first(), None | Some(b' ' | b'\t' | b'\r')))
    }

    fn is_document_end(&self) -> bool {
        self.bytes.strip_prefix(b"...").is_some_and(|rest| rest.iter().all(u8::is_ascii_whitespace))
    }

    fn is_blank(&self) -> bool {
        self.bytes.iter().all(u8::is_ascii_whitespace)
    }

    fn is_comment(&self) -> bool {
        self.bytes.trim_ascii_start().first() == Some(&b'#')
    }

    /// What no other hand than a program's writes: the start of an entry's line, or of one that was cut.
    fn is_entry_start(&self) -> bool {
        const STARTS: [&[u8]; 2] = [b"--- {\"id\":\"", b"--- {\"folded\":["];
        STARTS.iter().any(|s| self.bytes.starts_with(s) || (!self.finished && s.starts_with(self.bytes)))
    }

    /// A crash can leave zero bytes where data was to be; one zero byte alone is damage of another sort.
    fn is_zero_filled(&self) -> bool {
        self.zero || self.bytes.iter().filter(|b| **b == 0).nth(1).is_some()
    }
}

/// A document that was not ended yet.
struct Open {
    text: Vec<u8>,
    first_line: usize,
    range: Range<u64>,
    lines: usize,
    finished: bool,
    overlong: bool,
}

enum Phase {
    /// In the register document; `started` once `---` stood there, `content` once anything but comments did.
    Register { started: bool, content: bool },
    /// Behind it.
    Entries,
}

struct Scanner<'a, F> {
    name: &'a str,
    meet: F,
    names: Names,
    phase: Phase,
    hash: Sha256,
    register_text: Vec<u8>,
    register_len: u64,
    register_ended_line: bool,
    register_fault: Option<Diagnostic>,
    open: Option<Open>,
    /// A finished line full of zero bytes: torn if it is the last one.
    zero_line: Option<(usize, Range<u64>)>,
    last_mark: Option<(usize, String)>,
    marked: bool,
    told: HashMap<(Sort, &'static str), usize>,
    source: Arc<Source>,
    register: Option<Register>,
    register_hash: String,
    entries: Vec<Entry>,
    lines: Vec<u32>,
    folded: Vec<Id>,
    findings: Vec<Finding>,
    counts: Counts,
    tail: Tail,
    last_line: usize,
    stopped: bool,
}

impl<'a, F: FnMut(Met<'_>)> Scanner<'a, F> {
    fn new(name: &'a str, meet: F) -> Self {
        Self {
            name,
            meet,
            names: Names::default(),
            phase: Phase::Register { started: false, content: false },
            hash: Sha256::new(),
            register_text: Vec::new(),
            register_len: 0,
            register_ended_line: true,
            register_fault: None,
            open: None,
            zero_line: None,
            last_mark: None,
            marked: false,
            told: HashMap::new(),
            source: Source::new(name, ""),
            register: None,
            register_hash: String::new(),
            entries: Vec::new(),
            lines: Vec::new(),
            folded: Vec::new(),
            findings: Vec::new(),
            counts: Counts::default(),
            tail: Tail::Whole,
            last_line: 1,
            stopped: false,
        }
    }

    fn feed(&mut self, raw: &Raw<'_>) {
        if let Some((number, range)) = self.zero_line.take() {
            self.broken(number, range, zero_bytes(self.name, number));
        }
        if !raw.finished {
            self.tail = Tail::NoLineEnd;
        }
        self.last_line = raw.number;
        match self.phase {
            Phase::Register { started, content } => self.register_line(raw, started, content),
            Phase::Entries => self.entry_line(raw),
        }
    }

    fn register_line(&mut self, raw: &Raw<'_>, started: bool, content: bool) {
        let over = raw.is_entry_start() && (raw.finished || started || content)
            || raw.is_mark() && (started || content)
            || raw.is_zero_filled() && (!raw.finished || content)
            || line::speaks_of_a_sum(raw.bytes) && !line::salvage(raw.bytes).is_empty();
        if over {
            self.end_register();
            if !self.stopped {
                self.entry_line(raw);
            }
            return;
        }
        self.hash.update(raw.bytes);
        self.register_len = raw.range.end;
        self.register_ended_line = raw.finished;
        if raw.finished {
            self.hash.update(b"\n");
        }
        if raw.overlong && self.register_fault.is_none() {
            self.register_fault = Some(too_long(self.name, raw.number, raw.bytes));
        }
        if raw.is_document_end() && (started || content) {
            self.end_register();
            return;
        }
        let text = if raw.number == 1 { raw.bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(raw.bytes) } else { raw.bytes };
        if self.register_text.len() + text.len() < Limits::REGISTER.bytes {
            self.register_text.extend_from_slice(text);
            self.register_text.push(b'\n');
        } else if self.register_fault.is_none() {
            self.register_fault = Some(
                at_line(self.name, raw.number, "too-large", format!("the register is longer than {} bytes", Limits::REGISTER.bytes))
                    .help("check that this is the file you meant"),
            );
        }
        let inner = if raw.is_mark() { raw.bytes.get(3..).unwrap_or_default() } else { text }.trim_ascii();
        let says = !inner.is_empty() && inner.first() != Some(&b'#') && (started || inner.first() != Some(&b'%'));
        self.phase = Phase::Register { started: started || raw.is_mark(), content: content || says };
    }

    fn end_register(&mut self) {
        self.phase = Phase::Entries;
        if !self.register_ended_line {
            // The line end that is missing is completed before anything is appended.
            self.hash.update(b"\n");
        }
        self.register_hash = hex(&std::mem::take(&mut self.hash).finalize());
        let (source, fault) = match String::from_utf8(std::mem::take(&mut self.register_text)) {
            Ok(text) => (Source::new(self.name, text), None),
            Err(e) => {
                let at = e.utf8_error().valid_up_to();
                // Up to the fault the lossy text has the same bytes, so the place stands.
                let source = Source::new(self.name, String::from_utf8_lossy(e.as_bytes()).into_owned());
                let fault = not_utf8(&source, at);
                (source, Some(fault))
            }
        };
        self.source = source;
        let (register, complaints) = match fault.or_else(|| self.register_fault.take()) {
            Some(fault) => (None, vec![fault]),
            None => register_text::read(&self.source),
        };
        self.register = register;
        self.stopped =
            self.register.is_none() && complaints.iter().any(|d| matches!(d.code, "newer-format" | "unknown-format"));
        for it in complaints {
            let line = it.place.as_ref().map_or(1, |p| p.line);
            self.tell(Sort::Register, line, 0..self.register_len, it);
        }
    }

    fn entry_line(&mut self, raw: &Raw<'_>) {
        if self.fast(raw) {
            return;
        }
        if let Some(open) = &mut self.open {
            let ends = raw.is_mark() || raw.is_document_end() || raw.is_zero_filled();
            if !ends && !(line::speaks_of_a_sum(raw.bytes) && !line::salvage(raw.bytes).is_empty()) {
                open.range.end = raw.range.end;
                open.lines += 1;
                open.finished = raw.finished;
                open.overlong |= raw.overlong || open.text.len() + raw.bytes.len() > MAX_LINE;
                if !open.overlong {
                    open.text.push(b'\n');
                    open.text.extend_from_slice(raw.bytes);
                }
                return;
            }
            self.close();
        }
        if raw.is_document_end() || raw.is_blank() || raw.bytes.starts_with(b"%YAML") {
            return;
        }
        if raw.is_zero_filled() {
            self.salvaged(raw);
            return;
        }
        if raw.overlong {
            self.broken(raw.number, raw.range.clone(), too_long(self.name, raw.number, raw.bytes));
        } else if raw.is_comment() {
            if line::speaks_of_a_sum(raw.bytes) {
                self.in_comment(raw.number, raw.range.clone());
            }
        } else if raw.is_mark() && (!raw.is_entry_start() || !line::speaks_of_a_sum(raw.bytes)) {
            self.open = Some(Open {
                text: raw.bytes.to_vec(),
                first_line: raw.number,
                range: raw.range.clone(),
                lines: 1,
                finished: raw.finished,
                overlong: false,
            });
        } else {
            self.salvaged(raw);
        }
    }

    /// The line the program writes; anything else is left to the slow way.
    fn fast(&mut self, raw: &Raw<'_>) -> bool {
        let Some(json) = raw.bytes.strip_prefix(MARK.as_bytes()).map(<[u8]>::trim_ascii) else { return false };
        if raw.overlong || json.first() != Some(&b'{') || line::check(json) != Sum::Right {
            return false;
        }
        let Ok(json) = std::str::from_utf8(json) else { return false };
        if self.open.is_some() {
            self.close();
        }
        self.sealed(json, raw);
        true
    }

    /// A text whose sum is right.
    fn sealed(&mut self, json: &str, raw: &Raw<'_>) {
        let read = if json.starts_with(Folded::START) {
            serde_json::from_str::<Folded>(json).map(|it| self.folded.extend(it.folded)).map_err(|e| e.to_string())
        } else {
            Entry::from_json(json, &mut self.names).map(|entry| {
                self.counts.clean += 1;
                self.keep(entry, json, Written::ByProgram, raw.number, raw.range.clone());
            })
        };
        match read {
            Ok(()) => {
                if let Some(hash) = line::register_mark(json) {
                    self.last_mark = Some((raw.number, hash.to_owned()));
                }
            }
            Err(why) => {
                let it = entry_error(self.name, raw, &why)
                    .help("its checksum is right, so a newer headround may have written it; open the file with that one");
                self.broken(raw.number, raw.range.clone(), it);
            }
        }
    }

    /// A line that is neither whole nor a document: what entries it holds are kept, the rest is told.
    fn salvaged(&mut self, raw: &Raw<'_>) {
        let whole = line::salvage(raw.bytes);
        for json in whole.iter().filter_map(|r| std::str::from_utf8(raw.bytes.get(r.clone())?).ok()) {
            self.sealed(json, raw);
        }
        let json = raw.bytes.strip_prefix(MARK.as_bytes()).unwrap_or(raw.bytes).trim_ascii();
        match whole.as_slice() {
            // What a cut leaves behind never closes its JSON: a closed one is damaged, not cut.
            [] if !raw.finished && line::check(json) != Sum::Wrong => self.torn(raw.number, raw.range.clone(), true),
            [] if raw.finished && raw.is_zero_filled() => self.zero_line = Some((raw.number, raw.range.clone())),
            [only] if !raw.finished && raw.bytes.get(..only.start) == Some(MARK.as_bytes()) => {
                self.torn(raw.number, raw.range.start + only.end as u64..raw.range.end, false);
            }
            [] => {
                let it = self.why_unusable(raw);
                self.broken(raw.number, raw.range.clone(), it);
            }
            _ => self.broken(raw.number, raw.range.clone(), damaged_line(self.name, raw)),
        }
    }

    fn why_unusable(&mut self, raw: &Raw<'_>) -> Diagnostic {
        let source = snippet(self.name, raw.number, raw.bytes);
        if let Err(e) = std::str::from_utf8(raw.bytes) {
            not_utf8(&source, e.valid_up_to())
        } else if raw.is_entry_start() {
            self.sum_or_json_error(raw)
        } else {
            let end = source.text.len();
            Diagnostic::error("stray-text", &source, 0..end, "this line belongs to no entry")
                .help("an entry starts with '--- '; put '#' before a comment")
        }
    }

    fn sum_or_json_error(&mut self, raw: &Raw<'_>) -> Diagnostic {
        let text = std::str::from_utf8(raw.bytes).unwrap_or_default();
        let json = text.strip_prefix(MARK).unwrap_or(text).trim();
        let source = snippet(self.name, raw.number, raw.bytes);
        match Entry::from_json(json, &mut self.names) {
            Ok(_) => {
                let at = text.rfind("\"sum\"").unwrap_or(0);
                hand::wrong_sum(&source, at..text.trim_end().len().saturating_sub(1))
            }
            Err(why) => entry_error(self.name, raw, &why)
                .help("its checksum does not fit either: the line was damaged or changed; restore it from a copy of the file"),
        }
    }

    /// Ends the open document and reads it.
    fn close(&mut self) {
        let Some(open) = self.open.take() else { return };
        let line = open.first_line;
        if open.overlong {
            self.broken(line, open.range, too_long(self.name, line, &open.text));
            return;
        }
        let text = match String::from_utf8(open.text) {
            Ok(text) => text,
            Err(e) => {
                // A cut can go through a character.
                if !open.finished && open.lines == 1 && e.utf8_error().error_len().is_none() {
                    self.torn(line, open.range, true);
                    return;
                }
                let at = e.utf8_error().valid_up_to();
                let source = Source::part(self.name, String::from_utf8_lossy(e.as_bytes()), line);
                self.broken(line, open.range, not_utf8(&source, at));
                return;
            }
        };
        let source = Source::part(self.name, text, line);
        let json = source.text.strip_prefix(MARK).map(str::trim).filter(|t| t.starts_with('{'));
        if let Some(json) = json
            && let Ok(serde_json::Value::Object(value)) = serde_json::from_str(json)
            && !value.contains_key("sum")
            && let Ok(entry) = Entry::from_json(json, &mut self.names)
        {
            let written = if open.lines == 1 { Written::ByHand } else { Written::AsDocument };
            self.by_hand(entry, written, json, &open.range, line);
            return;
        }
        match hand::read(&source, &mut self.names) {
            Ok(Some(entry)) => self.by_hand(entry, Written::AsDocument, "", &open.range, line),
            Ok(None) if line::speaks_of_a_sum(source.text.as_bytes()) => self.in_comment(line, open.range),
            Ok(None) if open.finished || source.text.trim_end() != "---" => {}
            Ok(None) => self.torn(line, open.range, true),
            // What a cut leaves behind is no YAML either: a document that can be read was written so.
            Err(it) if !open.finished && open.lines == 1 && it.code == "not-yaml" => self.torn(line, open.range, true),
            Err(it) => self.broken(line, open.range, *it),
        }
    }

    fn by_hand(&mut self, entry: Entry, written: Written, json: &str, range: &Range<u64>, line: usize) {
        self.counts.by_hand += 1;
        let canonical = if written == Written::ByHand { json.to_owned() } else { entry.to_json() };
        self.keep(entry, &canonical, written, line, range.clone());
    }

    fn keep(&mut self, entry: Entry, json: &str, written: Written, line: usize, range: Range<u64>) {
        (self.meet)(Met { entry: &entry, json, written, line, range });
        self.entries.push(entry);
        self.lines.push(u32::try_from(line).unwrap_or(u32::MAX));
    }

    fn in_comment(&mut self, line: usize, range: Range<u64>) {
        let it = at_line(self.name, line, "entry-in-comment", "an entry stands in a comment and is not counted")
            .help("take the '#' away, or take the entry back with a 'retract' instead");
        self.tell(Sort::Odd, line, range, warning(it));
    }

    fn torn(&mut self, line: usize, range: Range<u64>, after_line_end: bool) {
        let length = range.end - range.start;
        let it = at_line(self.name, line, "torn-tail", format!("the last line is unfinished ({length} bytes): writing it was cut off, so it was never acknowledged"))
            .help("it is kept in a file beside this one before anything is written");
        self.tail = Tail::Torn { range: range.clone(), after_line_end };
        self.tell(Sort::Torn, line, range, warning(it));
    }

    fn broken(&mut self, line: usize, range: Range<u64>, it: Diagnostic) {
        self.counts.broken += 1;
        self.tell(Sort::Broken, line, range, it);
    }

    fn tell(&mut self, sort: Sort, line: usize, range: Range<u64>, diagnostic: Diagnostic) {
        let told = self.told.entry((sort, diagnostic.code)).or_default();
        *told += 1;
        if *told <= MAX_TOLD {
            self.findings.push(Finding { sort, line, range, diagnostic });
        }
    }

    fn finish(mut self, len: u64) -> Scan {
        if !self.stopped {
            if matches!(self.phase, Phase::Register { .. }) {
                self.end_register();
            }
            self.close();
            if let Some((number, range)) = self.zero_line.take() {
                self.torn(number, range, true);
            }
            self.sort();
            self.check_chain();
            self.check_mark();
            if self.tail == Tail::NoLineEnd && self.counts.clean + self.counts.by_hand > 0 {
                let mut it = at_line(self.name, self.last_line, "no-line-end", "the last line has no line end; it is whole all the same")
                    .help("the line end is added before the next entry");
                it.severity = Severity::Note;
                self.tell(Sort::Odd, self.last_line, 0..0, it);
            }
            self.tell_rest();
        }
        self.findings.sort_by_key(|f| f.line);
        Scan {
            source: self.source,
            register: self.register,
            register_hash: self.register_hash,
            register_marked: self.marked,
            register_len: self.register_len,
            entries: self.entries,
            lines: self.lines,
            folded: self.folded,
            findings: self.findings,
            counts: self.counts,
            tail: self.tail,
            len,
            stopped: self.stopped,
        }
    }

    /// Puts the entries in order and each there once.
    fn sort(&mut self) {
        self.folded.sort_unstable();
        self.folded.dedup();
        let grows = self.entries.is_sorted_by(|a, b| a.id < b.id);
        if grows && self.folded.is_empty() {
            return;
        }
        let mut all: Vec<(Entry, u32)> = std::mem::take(&mut self.entries).into_iter().zip(std::mem::take(&mut self.lines)).collect();
        all.sort_by_key(|(e, _)| e.id);
        for (entry, line) in all {
            let number = line as usize;
            let id = entry.id;
            if self.folded.binary_search(&id).is_ok() {
                let it = at_line(self.name, number, "folded-entry", format!("the entry {id} stands in the file though the register has taken it in; it is not applied again"));
                self.tell(Sort::Odd, number, 0..0, warning(it));
                continue;
            }
            match (self.entries.last(), self.lines.last()) {
                (Some(last), Some(first)) if last.id == id => {
                    if *last == entry {
                        self.counts.copies += 1;
                        let it = at_line(self.name, number, "copy", format!("the entry {id} stands on line {first} already; it counts once"));
                        self.tell(Sort::Copy, number, 0..0, warning(it));
                    } else {
                        let it = at_line(self.name, number, "two-entries-one-id", format!("another entry with the id {id} stands on line {first}; that one is used"))
                            .help("compare the two lines with a copy of the file; the wrong one must go, or get an id of its own");
                        self.broken(number, 0..0, it);
                    }
                }
                _ => {
                    self.entries.push(entry);
                    self.lines.push(line);
                }
            }
        }
        self.entries.shrink_to_fit();
        self.lines.shrink_to_fit();
    }

    /// Every writer's entries form a chain; a link into nowhere says that a line was cut away.
    fn check_chain(&mut self) {
        let mut lasts: HashMap<&str, Id> = HashMap::new();
        // The writer at work and their last entry; it goes into the map when another one takes over.
        let mut at_work: Option<(&Arc<str>, Id)> = None;
        let mut gaps = Vec::new();
        let mut missing = HashSet::new();
        for (entry, line) in self.entries.iter().zip(&self.lines) {
            let last = match at_work {
                Some((by, last)) if Arc::ptr_eq(by, &entry.by) => Some(last),
                _ => {
                    if let Some((by, last)) = at_work {
                        lasts.insert(by, last);
                    }
                    lasts.get(&*entry.by).copied()
                }
            };
            at_work = Some((&entry.by, entry.id));
            if let Some(prev) = entry.prev()
                && last != Some(prev)
                && self.entries.binary_search_by_key(&prev, |e| e.id).is_err()
                && self.folded.binary_search(&prev).is_err()
                && missing.insert(prev)
            {
                gaps.push((*line as usize, prev, Arc::clone(&entry.by)));
            }
        }
        for (line, prev, by) in gaps {
            let it = at_line(self.name, line, "line-cut-away", format!("the entry {prev} of '{}' is missing: its line was cut away or damaged", crate::diag::plain(&by)))
                .help("look for it in a copy of the file; merging that copy brings it back");
            self.tell(Sort::Odd, line, 0..0, warning(it));
        }
    }

    fn check_mark(&mut self) {
        let Some((line, hash)) = self.last_mark.take() else { return };
        self.marked = hash == self.register_hash;
        if !self.marked {
            let it = at_line(self.name, 1, "register-changed", format!("the register was changed by hand, or damaged, after line {line} was written"))
                .help("if nobody edited it, compare it with a copy of the file");
            self.tell(Sort::Odd, 1, 0..self.register_len, warning(it));
        }
    }

    fn tell_rest(&mut self) {
        let mut rest: Vec<_> = self.told.drain().filter(|(_, n)| *n > MAX_TOLD).collect();
        rest.sort_unstable();
        for ((sort, code), n) in rest {
            let it = Diagnostic::about(Severity::Warning, code, self.name, format!("{} more of the same ('{code}') are not shown", n - MAX_TOLD));
            self.findings.push(Finding { sort, line: usize::MAX, range: 0..0, diagnostic: it });
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

fn warning(mut it: Diagnostic) -> Diagnostic {
    it.severity = Severity::Warning;
    it
}

/// An error at a line whose text is not kept.
fn at_line(name: &str, line: usize, code: &'static str, message: impl Into<String>) -> Diagnostic {
    let mut it = Diagnostic::about(Severity::Error, code, name, message);
    it.place = Some(Place { span: 0..0, line, column: 1 });
    it
}

/// A line's text to point into; a long one is cut.
fn snippet(name: &str, line: usize, bytes: &[u8]) -> Arc<Source> {
    let shown = bytes.get(..4096).unwrap_or(bytes);
    Source::part(name, String::from_utf8_lossy(shown), line)
}

fn too_long(name: &str, line: usize, bytes: &[u8]) -> Diagnostic {
    let source = snippet(name, line, bytes.get(..80).unwrap_or(bytes));
    Diagnostic::error("line-too-long", &source, 0..0, format!("the line or document is longer than {MAX_LINE} bytes and was not read"))
        .help("headround never writes such lines; move it to another file")
}

fn not_utf8(source: &Arc<Source>, at: usize) -> Diagnostic {
    Diagnostic::error("not-utf8", source, at..at + 1, "the bytes here are not UTF-8 text")
        .help("save the file as UTF-8, or restore the line from a copy")
}

fn zero_bytes(name: &str, line: usize) -> Diagnostic {
    at_line(name, line, "zero-bytes", "the line holds zero bytes: writing it was cut off, or the disk lost it")
        .help("restore the line from a copy of the file, or move it to another file")
}

fn damaged_line(name: &str, raw: &Raw<'_>) -> Diagnostic {
    let source = snippet(name, raw.number, raw.bytes);
    Diagnostic::error("damaged-line", &source, 0..1, "the line holds whole entries among damaged bytes; the entries are used")
        .help("start each entry on a line of its own with '--- ', and move what is left over to another file")
}

/// The complaint of the entry reader at its place on the line.
fn entry_error(name: &str, raw: &Raw<'_>, why: &str) -> Diagnostic {
    let source = snippet(name, raw.number, raw.bytes);
    let (why, column) = hand::without_column(why);
    let at = column.map_or(MARK.len(), |c| MARK.len() + c.saturating_sub(1));
    // The reader's column is where it stopped; the word it speaks of stands before that.
    let word = why.split('\'').nth(1).filter(|w| !w.is_empty());
    let span = word.and_then(|w| Some((source.text.get(..at + 1)?.rfind(w)?, w.len())));
    let (at, length) = span.unwrap_or((at, 1));
    Diagnostic::error("bad-entry", &source, at..at + length, why)
}

/// SHA-256 in hexadecimal.
pub(super) fn hash(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}
