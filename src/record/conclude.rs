//! What can be said only once a whole file was read: the order of its entries, copies, gaps in the writers' chains, and whether the
//! register is the one the last mark names. Pure.

use std::collections::{HashMap, HashSet};
use std::sync::Arc;

use super::faults::{at_line, warning};
use super::scan::{Finding, MAX_TOLD, Met, Scan, Sort, Tail};
use super::scanner::{Phase, Scanner};
use crate::diag::{Diagnostic, Severity};
use crate::round::entry::{Entry, Id};

impl<F: FnMut(Met<'_>)> Scanner<'_, F> {
    /// Ends the file after `len` bytes.
    pub(super) fn finish(mut self, len: u64) -> Scan {
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
                let mut it = at_line(
                    self.name,
                    self.last_line,
                    "no-line-end",
                    "the last line has no line end; it is whole all the same",
                )
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
            self.entries.shrink_to_fit();
            self.lines.shrink_to_fit();
            return;
        }
        let mut all: Vec<(Entry, u32)> =
            std::mem::take(&mut self.entries).into_iter().zip(std::mem::take(&mut self.lines)).collect();
        all.sort_by_key(|(e, _)| e.id);
        for (entry, line) in all {
            let number = line as usize;
            let id = entry.id;
            if self.folded.binary_search(&id).is_ok() {
                let it = at_line(
                    self.name,
                    number,
                    "folded-entry",
                    format!(
                        "the entry {id} stands in the file though the register has taken it in; it is not applied again"
                    ),
                );
                self.tell(Sort::Odd, number, 0..0, warning(it));
                continue;
            }
            match (self.entries.last(), self.lines.last()) {
                (Some(last), Some(first)) if last.id == id => {
                    if *last == entry {
                        self.counts.copies += 1;
                        let it = at_line(
                            self.name,
                            number,
                            "copy",
                            format!("the entry {id} stands on line {first} already; it counts once"),
                        );
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
            let it = at_line(
                self.name,
                line,
                "line-cut-away",
                format!(
                    "the entry {prev} of '{}' is missing: its line was cut away or damaged",
                    crate::diag::plain(&by)
                ),
            )
            .help("look for it in a copy of the file; merging that copy brings it back");
            self.tell(Sort::Odd, line, 0..0, warning(it));
        }
    }

    fn check_mark(&mut self) {
        let Some((line, hash)) = self.last_mark.take() else { return };
        self.marked = hash == self.register_hash;
        if !self.marked {
            let it = at_line(
                self.name,
                1,
                "register-changed",
                format!("the register was changed by hand, or damaged, after line {line} was written"),
            )
            .help("if nobody edited it, compare it with a copy of the file");
            self.tell(Sort::Odd, 1, 0..self.register_len, warning(it));
        }
    }

    fn tell_rest(&mut self) {
        let mut rest: Vec<_> = self.told.drain().filter(|(_, n)| *n > MAX_TOLD).collect();
        rest.sort_unstable();
        for ((sort, code), n) in rest {
            let it = Diagnostic::about(
                Severity::Warning,
                code,
                self.name,
                format!("{} more of the same ('{code}') are not shown", n - MAX_TOLD),
            );
            self.findings.push(Finding { sort, line: usize::MAX, range: 0..0, diagnostic: it });
        }
    }
}
