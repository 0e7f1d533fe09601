//! The scanner's state while lines come in: which document a line belongs to, and whether it is whole, torn or broken. Pure.

use std::collections::HashMap;
use std::ops::Range;
use std::sync::Arc;

use sha2::{Digest, Sha256};

use super::faults::{at_line, damaged_line, entry_error, not_utf8, snippet, too_long, warning, zero_bytes};
use super::hand;
use super::line::{self, Folded, MARK, MAX_LINE, Sum};
use super::scan::{Counts, Finding, MAX_TOLD, Met, Sort, Tail, Written, hex};
use crate::diag::tree::Limits;
use crate::diag::{Diagnostic, Source};
use crate::round::entry::{Entry, Id, Names};
use crate::trade::register::Register;
use crate::trade::register_text;

/// One line as it was read.
pub(super) struct Raw<'a> {
    /// Its bytes without the line end; of an overlong line only the first ones.
    pub(super) bytes: &'a [u8],
    pub(super) number: usize,
    /// The line end included.
    pub(super) range: Range<u64>,
    pub(super) finished: bool,
    pub(super) overlong: bool,
    /// Whether the whole line is zero bytes.
    pub(super) zero: bool,
}

impl Raw<'_> {
    /// What stands behind the mark of an entry on one line.
    fn json(&self) -> Option<&[u8]> {
        self.bytes.strip_prefix(MARK.as_bytes()).map(<[u8]>::trim_ascii)
    }

    /// The same where it has a sum and the sum is right.
    pub(super) fn sealed_json(&self) -> Option<&str> {
        let json = self.json().filter(|json| !self.overlong && json.first() == Some(&b'{'))?;
        if line::check(json) == Sum::Right { std::str::from_utf8(json).ok() } else { None }
    }

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
    pub(super) fn is_entry_start(&self) -> bool {
        const STARTS: [&[u8]; 2] = [b"--- {\"id\":\"", b"--- {\"folded\":["];
        STARTS.iter().any(|s| self.bytes.starts_with(s) || (!self.finished && s.starts_with(self.bytes)))
    }

    /// A crash can leave zero bytes where data was to be; one zero byte alone is damage of another sort.
    fn is_zero_filled(&self) -> bool {
        self.zero || self.bytes.iter().filter(|b| **b == 0).nth(1).is_some()
    }
}

/// A document that was not ended yet.
pub(super) struct Open {
    text: Vec<u8>,
    first_line: usize,
    range: Range<u64>,
    lines: usize,
    finished: bool,
    overlong: bool,
}

pub(super) enum Phase {
    /// In the register document; `started` once `---` stood there, `content` once anything but comments did.
    Register { started: bool, content: bool },
    /// Behind it.
    Entries,
}

pub(super) struct Scanner<'a, F> {
    pub(super) name: &'a str,
    pub(super) meet: F,
    pub(super) names: Names,
    pub(super) phase: Phase,
    pub(super) hash: Sha256,
    pub(super) register_text: Vec<u8>,
    pub(super) register_len: u64,
    pub(super) register_ended_line: bool,
    pub(super) register_fault: Option<Diagnostic>,
    pub(super) open: Option<Open>,
    /// A finished line full of zero bytes: torn if it is the last one.
    pub(super) zero_line: Option<(usize, Range<u64>)>,
    pub(super) last_mark: Option<(usize, String)>,
    pub(super) marked: bool,
    pub(super) told: HashMap<(Sort, &'static str), usize>,
    pub(super) source: Arc<Source>,
    pub(super) register: Option<Register>,
    pub(super) register_hash: String,
    pub(super) entries: Vec<Entry>,
    pub(super) lines: Vec<u32>,
    pub(super) folded: Vec<Id>,
    pub(super) findings: Vec<Finding>,
    pub(super) counts: Counts,
    pub(super) tail: Tail,
    pub(super) last_line: usize,
    pub(super) stopped: bool,
}

impl<'a, F: FnMut(Met<'_>)> Scanner<'a, F> {
    pub(super) fn new(name: &'a str, meet: F) -> Self {
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

    /// Takes the next line; `ready` is its entry where it was read already.
    pub(super) fn feed(&mut self, raw: &Raw<'_>, ready: Option<Entry>) {
        if let Some((number, range)) = self.zero_line.take() {
            self.broken(number, range, zero_bytes(self.name, number));
        }
        if !raw.finished {
            self.tail = Tail::NoLineEnd;
        }
        self.last_line = raw.number;
        match self.phase {
            Phase::Register { started, content } => self.register_line(raw, ready, started, content),
            Phase::Entries => self.entry_line(raw, ready),
        }
    }

    fn register_line(&mut self, raw: &Raw<'_>, ready: Option<Entry>, started: bool, content: bool) {
        let over = raw.is_entry_start() && (raw.finished || started || content)
            || raw.is_mark() && (started || content)
            || raw.is_zero_filled() && (!raw.finished || content)
            || line::speaks_of_a_sum(raw.bytes) && !line::salvage(raw.bytes).is_empty();
        if over {
            self.end_register();
            if !self.stopped {
                self.entry_line(raw, ready);
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
        let text =
            if raw.number == 1 { raw.bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(raw.bytes) } else { raw.bytes };
        if self.register_text.len() + text.len() < Limits::REGISTER.bytes {
            self.register_text.extend_from_slice(text);
            self.register_text.push(b'\n');
        } else if self.register_fault.is_none() {
            self.register_fault = Some(
                at_line(
                    self.name,
                    raw.number,
                    "too-large",
                    format!("the register is longer than {} bytes", Limits::REGISTER.bytes),
                )
                .help("check that this is the file you meant"),
            );
        }
        let inner = if raw.is_mark() { raw.bytes.get(3..).unwrap_or_default() } else { text }.trim_ascii();
        let says = !inner.is_empty() && inner.first() != Some(&b'#') && (started || inner.first() != Some(&b'%'));
        self.phase = Phase::Register { started: started || raw.is_mark(), content: content || says };
    }

    pub(super) fn end_register(&mut self) {
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

    fn entry_line(&mut self, raw: &Raw<'_>, ready: Option<Entry>) {
        if self.fast(raw, ready) {
            return;
        }
        if let Some(open) = &mut self.open {
            let holds_entry = line::speaks_of_a_sum(raw.bytes) && !line::salvage(raw.bytes).is_empty();
            if !(holds_entry || raw.is_mark() || raw.is_document_end() || raw.is_zero_filled()) {
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
    fn fast(&mut self, raw: &Raw<'_>, ready: Option<Entry>) -> bool {
        let json = match &ready {
            // Read already, so its sum is right.
            Some(_) => raw.json().and_then(|json| std::str::from_utf8(json).ok()),
            None => raw.sealed_json(),
        };
        let Some(json) = json else { return false };
        if self.open.is_some() {
            self.close();
        }
        match ready {
            Some(mut entry) => {
                entry.by = self.names.share(&entry.by);
                entry.round = self.names.share(&entry.round);
                self.clean(entry, json, raw);
                self.note_mark(json, raw.number);
            }
            None => self.sealed(json, raw),
        }
        true
    }

    fn clean(&mut self, entry: Entry, json: &str, raw: &Raw<'_>) {
        self.counts.clean += 1;
        self.keep(entry, json, Written::ByProgram, raw.number, raw.range.clone());
    }

    fn note_mark(&mut self, json: &str, number: usize) {
        if let Some(hash) = line::register_mark(json) {
            self.last_mark = Some((number, hash.to_owned()));
        }
    }

    /// A text whose sum is right.
    fn sealed(&mut self, json: &str, raw: &Raw<'_>) {
        let read = if json.starts_with(Folded::START) {
            serde_json::from_str::<Folded>(json).map(|it| self.folded.extend(it.folded)).map_err(|e| e.to_string())
        } else {
            Entry::from_json(json, &mut self.names).map(|entry| self.clean(entry, json, raw))
        };
        match read {
            Ok(()) => self.note_mark(json, raw.number),
            Err(why) => {
                let it = entry_error(self.name, raw, &why).help(
                    "its checksum is right, so a newer headround may have written it; open the file with that one",
                );
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
            Err(why) => entry_error(self.name, raw, &why).help(
                "its checksum does not fit either: the line was damaged or changed; restore it from a copy of the file",
            ),
        }
    }

    /// Ends the open document and reads it.
    pub(super) fn close(&mut self) {
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
        let cut = |json: &str| serde_json::from_str::<serde::de::IgnoredAny>(json).is_err_and(|e| e.is_eof());
        if !open.finished && open.lines == 1 && json.is_some_and(cut) {
            self.torn(line, open.range, true);
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

    pub(super) fn torn(&mut self, line: usize, range: Range<u64>, after_line_end: bool) {
        let length = range.end - range.start;
        let it = at_line(
            self.name,
            line,
            "torn-tail",
            format!(
                "the last line is unfinished ({length} bytes): writing it was cut off, so it was never acknowledged"
            ),
        )
        .help("it is kept in a file beside this one before anything is written");
        self.tail = Tail::Torn { range: range.clone(), after_line_end };
        self.tell(Sort::Torn, line, range, warning(it));
    }

    pub(super) fn broken(&mut self, line: usize, range: Range<u64>, it: Diagnostic) {
        self.counts.broken += 1;
        self.tell(Sort::Broken, line, range, it);
    }

    pub(super) fn tell(&mut self, sort: Sort, line: usize, range: Range<u64>, diagnostic: Diagnostic) {
        let told = self.told.entry((sort, diagnostic.code)).or_default();
        *told += 1;
        if *told <= MAX_TOLD {
            self.findings.push(Finding { sort, line, range, diagnostic });
        }
    }
}
