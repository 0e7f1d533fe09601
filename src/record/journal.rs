//! A site file open for reading or for writing: opening with recovery, and appending with acknowledgement. It holds no state of
//! the round; what the entries mean is the round's business.

use std::collections::HashMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::disk::{self, Disk, Handle, Real, Stat};
use super::line::{self, MARK, MAX_LINE};
use super::lock::{self, Guard, Holder, Locked};
use super::scan::{self, Counts, Scan, Sort, Tail};
use crate::diag::{Diagnostic, Severity, Source};
use crate::round::entry::{Entry, Id, Names, What};
use crate::trade::register::Register;

/// What a file is opened for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mode {
    /// To look at it: nothing is locked, mended or written.
    Read,
    /// To add entries.
    Write,
}

/// A site file as it was found.
#[derive(Debug)]
pub struct Opened {
    /// The register document's text, for complaints that point into it.
    pub source: Arc<Source>,
    /// The register; `None` where it cannot be used, and then `notices` say why.
    pub register: Option<Register>,
    /// The entries by id, each once.
    pub entries: Vec<Entry>,
    /// The line in the file of each entry, in the same order.
    pub lines: Vec<u32>,
    /// Entries that the register has taken in already, by id; they are not among `entries`.
    pub folded: Vec<Id>,
    /// What there is to tell.
    pub notices: Vec<Diagnostic>,
    /// How many lines of each sort.
    pub counts: Counts,
    /// The journal to append to, or why there is none.
    pub writable: Result<Journal, ReadOnly>,
}

/// Why a file cannot be written.
#[derive(Debug, thiserror::Error)]
pub enum ReadOnly {
    /// It was opened for reading.
    #[error("'{0}' was opened for reading only")]
    Asked(PathBuf),
    /// Another program has it open for writing.
    #[error("'{path}' is open for writing already: {holder}; close it there, or go on here without writing")]
    InUse {
        /// The site file.
        path: PathBuf,
        /// Who, in their own words.
        holder: String,
    },
    /// It is of a newer format.
    #[error("'{0}' is of a newer format than this program; open it with a newer headround; nothing was changed")]
    Newer(PathBuf),
    /// It has no usable register.
    #[error("the register of '{0}' cannot be used as it stands; mend what is told about it; nothing was changed")]
    Register(PathBuf),
    /// It has broken lines.
    #[error(
        "'{path}' has {count} broken lines or documents; mend them first, so that nothing is built on a damaged record; nothing was changed"
    )]
    Broken {
        /// The site file.
        path: PathBuf,
        /// How many.
        count: usize,
    },
    /// Somebody else wrote to it while it was read.
    #[error("'{0}' was changed by another program while it was read; open it again")]
    Moving(PathBuf),
    /// The file, its folder or its disk cannot be written.
    #[error(
        "'{path}' cannot be written: {source}; the entries can be read; to write, copy the file to where you may write"
    )]
    Disk {
        /// The site file.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
}

/// Why a file could not be opened at all.
#[derive(Debug, thiserror::Error)]
pub enum OpenError {
    /// There is no such file.
    #[error("there is no file '{0}'; start one with 'headround new', or check the name")]
    Missing(PathBuf),
    /// It could not be read to its end: nothing is known about it, and it is not taken for an empty one.
    #[error("'{path}' could not be read: {source}; nothing was changed; try again, or use a copy")]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
}

/// Why an entry was not recorded.
#[derive(Debug, thiserror::Error)]
pub enum AppendError {
    /// Writing failed; how much reached the disk is unknown.
    #[error(
        "the entry was not recorded: writing to '{path}' failed: {source}; make room or mend the disk, then open the file again"
    )]
    Disk {
        /// The site file.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// An earlier append failed.
    #[error("nothing more is recorded in '{path}' since an earlier entry failed ({why}); open the file again")]
    Poisoned {
        /// The site file.
        path: PathBuf,
        /// What the system said then.
        why: String,
    },
    /// The file is no longer as this program left it.
    #[error(
        "the entry was not recorded: another program changed '{0}' since it was opened; nothing was lost; open the file again"
    )]
    Changed(PathBuf),
    /// The id is not later than every other in the file.
    #[error("the entry was not recorded: its id {id} is not later than {last}, the last one in '{path}'")]
    NotLater {
        /// The site file.
        path: PathBuf,
        /// The entry's id.
        id: Id,
        /// The file's last id.
        last: Id,
    },
    /// Its text is too long.
    #[error(
        "the entry was not recorded: it is {len} bytes long, and a line of '{path}' holds at most {MAX_LINE}; shorten the note"
    )]
    TooLong {
        /// The site file.
        path: PathBuf,
        /// Its length in bytes.
        len: usize,
    },
    /// It would not read back as what it is.
    #[error("the entry was not recorded: it would not read back from '{path}': {why}")]
    Unreadable {
        /// The site file.
        path: PathBuf,
        /// What is wrong with it.
        why: String,
    },
}

/// A site file open for writing. Only one exists for a file at a time.
#[derive(Debug)]
pub struct Journal {
    pub(super) disk: Arc<dyn Disk>,
    /// As a person called it.
    pub(super) shown: PathBuf,
    /// Without links.
    pub(super) path: PathBuf,
    pub(super) handle: Box<dyn Handle>,
    pub(super) guard: Guard,
    pub(super) stat: Stat,
    /// Whether the file's last line still wants its line end.
    wants_line_end: bool,
    last_id: Option<Id>,
    last_by: HashMap<Arc<str>, Id>,
    register_hash: String,
    register_marked: bool,
    fault: Option<Fault>,
}

#[derive(Clone, Debug)]
enum Fault {
    Poisoned(String),
    Changed,
}

/// Opens a site file on the real disk; `who` is named to anybody else who wants to write meanwhile.
///
/// # Errors
/// The file is missing or could not be read to its end. All else is told in what is returned.
pub fn open(path: &Path, mode: Mode, who: &Holder) -> Result<Opened, OpenError> {
    open_on(Arc::new(Real), path, mode, who)
}

/// The same on a given disk.
///
/// # Errors
/// As [`open`].
pub fn open_on(disk: Arc<dyn Disk>, path: &Path, mode: Mode, who: &Holder) -> Result<Opened, OpenError> {
    let failed = |e: io::Error| match e.kind() {
        io::ErrorKind::NotFound => OpenError::Missing(path.to_owned()),
        _ => OpenError::Unreadable { path: path.to_owned(), source: e },
    };
    let real = disk.resolve(path).map_err(failed)?;
    // The lock comes before the reading: what is read under it stays as it is.
    let guard = match mode {
        Mode::Read => Err(ReadOnly::Asked(path.to_owned())),
        Mode::Write => match disk.lock(&lock::path_of(&real), who) {
            Ok(Locked::Ours(guard)) => Ok(guard),
            Ok(Locked::Theirs(holder)) => Err(ReadOnly::InUse { path: path.to_owned(), holder }),
            Err(source) => Err(ReadOnly::Disk { path: path.to_owned(), source }),
        },
    };
    let name = path.display().to_string();
    let scan = disk.read(&real, 0).and_then(|reader| scan::scan(reader, &name)).map_err(failed)?;
    let mut notices: Vec<Diagnostic> = scan.findings.iter().map(|f| f.diagnostic.clone()).collect();
    if scan.counts.by_hand > 0 {
        let n = scan.counts.by_hand;
        let text =
            if n == 1 { "1 entry was written by hand".to_owned() } else { format!("{n} entries were written by hand") };
        notices.push(Diagnostic::about(Severity::Note, "by-hand", name, format!("{text}: no checksum guards them")));
    }
    let writable = guard.and_then(|guard| Journal::start(disk, path, real, guard, &scan, &mut notices));
    if let Err(why) = &writable
        && !matches!(why, ReadOnly::Asked(_))
    {
        let severity = if matches!(why, ReadOnly::InUse { .. } | ReadOnly::Moving(_)) {
            Severity::Warning
        } else {
            Severity::Error
        };
        notices.push(Diagnostic::about(severity, "read-only", path.display().to_string(), why.to_string()));
    }
    Ok(Opened {
        source: scan.source,
        register: scan.register,
        entries: scan.entries,
        lines: scan.lines,
        folded: scan.folded,
        notices,
        counts: scan.counts,
        writable,
    })
}

impl Journal {
    fn start(
        disk: Arc<dyn Disk>,
        shown: &Path,
        path: PathBuf,
        guard: Guard,
        scan: &Scan,
        notices: &mut Vec<Diagnostic>,
    ) -> Result<Self, ReadOnly> {
        if scan.stopped && scan.findings.iter().any(|f| f.diagnostic.code == "newer-format") {
            return Err(ReadOnly::Newer(shown.to_owned()));
        }
        if scan.register.is_none() {
            return Err(ReadOnly::Register(shown.to_owned()));
        }
        if scan.counts.broken > 0 {
            return Err(ReadOnly::Broken { path: shown.to_owned(), count: scan.counts.broken });
        }
        let failed = |source| ReadOnly::Disk { path: shown.to_owned(), source };
        if disk.stat(&path).map_err(failed)?.len != scan.len {
            return Err(ReadOnly::Moving(shown.to_owned()));
        }
        // Asked first: where nothing may be written, nothing is set aside either.
        let handle = disk.append(&path).map_err(failed)?;
        let mut wants_line_end = scan.tail == Tail::NoLineEnd;
        if let Tail::Torn { range, after_line_end } = &scan.tail {
            let kept = set_aside(&*disk, &path, range.start, range.end - range.start).map_err(failed)?;
            wants_line_end = !after_line_end;
            for (finding, notice) in scan.findings.iter().zip(notices) {
                if finding.sort == Sort::Torn {
                    notice.help = Some(format!(
                        "it was moved to '{}'; look whether it says something worth entering again",
                        kept.display()
                    ));
                }
            }
        }
        let stat = disk.stat(&path).map_err(failed)?;
        let mut last_by = HashMap::new();
        for entry in &scan.entries {
            match last_by.get_mut(&entry.by) {
                Some(last) => *last = entry.id,
                None => {
                    last_by.insert(Arc::clone(&entry.by), entry.id);
                }
            }
        }
        Ok(Self {
            disk,
            shown: shown.to_owned(),
            path,
            handle,
            guard,
            stat,
            wants_line_end,
            last_id: scan.entries.last().map(|e| e.id).max(scan.folded.last().copied()),
            last_by,
            register_hash: scan.register_hash.clone(),
            register_marked: scan.register_marked,
            fault: None,
        })
    }

    /// The file, as a person called it.
    #[must_use]
    #[expect(clippy::misnamed_getters, reason = "the path without links is for this folder alone")]
    pub fn path(&self) -> &Path {
        &self.shown
    }

    /// The latest id in the file; the next entry's must be later (`Id::after`).
    #[must_use]
    pub const fn last_id(&self) -> Option<Id> {
        self.last_id
    }

    /// SHA-256, in hexadecimal, of the register document as it was when the file was opened.
    #[must_use]
    pub fn register_hash(&self) -> &str {
        &self.register_hash
    }

    /// Records one entry: links it to its writer's previous one, writes its line in one write and syncs. When this returns, the
    /// entry is on the disk.
    ///
    /// # Errors
    /// The entry counts as not recorded, and the sentence says why and what to do.
    pub fn append(&mut self, entry: &mut Entry) -> Result<(), AppendError> {
        self.append_all(std::slice::from_mut(entry))
    }

    /// Records several entries in one write and one sync; ids must grow. None counts as recorded unless this returns `Ok`;
    /// after a crash some of the first ones may be found recorded.
    ///
    /// # Errors
    /// As [`Journal::append`].
    pub fn append_all(&mut self, entries: &mut [Entry]) -> Result<(), AppendError> {
        match &self.fault {
            Some(Fault::Poisoned(why)) => {
                return Err(AppendError::Poisoned { path: self.shown.clone(), why: why.clone() });
            }
            Some(Fault::Changed) => return Err(AppendError::Changed(self.shown.clone())),
            None => {}
        }
        if entries.is_empty() {
            return Ok(());
        }
        let mut lasts: HashMap<Arc<str>, Id> = HashMap::new();
        let text = self.encode(entries, &mut lasts)?;
        let now = self.disk.stat(&self.path).map_err(|e| self.poison(e))?;
        if now != self.stat {
            self.fault = Some(Fault::Changed);
            return Err(AppendError::Changed(self.shown.clone()));
        }
        let written = loop {
            match self.handle.write(text.as_bytes()) {
                Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
                other => break other.map_err(|e| self.poison(e))?,
            }
        };
        if written != text.len() {
            let why = format!("only {written} of {} bytes were taken; the disk may be full", text.len());
            return Err(self.poison(io::Error::new(io::ErrorKind::StorageFull, why)));
        }
        self.handle.sync().map_err(|e| self.poison(e))?;
        // From here on the entries are recorded, whatever else happens.
        let expected = self.stat.len + text.len() as u64;
        match self.disk.stat(&self.path) {
            Ok(stat) if stat.len == expected && stat.file == self.stat.file => self.stat = stat,
            Ok(_) => self.fault = Some(Fault::Changed),
            Err(e) => self.fault = Some(Fault::Poisoned(e.to_string())),
        }
        self.wants_line_end = false;
        self.register_marked = true;
        self.last_id = entries.last().map(|e| e.id).max(self.last_id);
        self.last_by.extend(lasts);
        Ok(())
    }

    /// The lines as they will be written; nothing of the journal changes.
    fn encode(&self, entries: &mut [Entry], lasts: &mut HashMap<Arc<str>, Id>) -> Result<String, AppendError> {
        let mut text = String::with_capacity(256 * entries.len());
        if self.wants_line_end {
            text.push('\n');
        }
        let mut last_id = self.last_id;
        let mut marked = self.register_marked;
        for entry in entries {
            if let Some(last) = last_id.filter(|last| entry.id <= *last) {
                return Err(AppendError::NotLater { path: self.shown.clone(), id: entry.id, last });
            }
            let prev = lasts.get(&entry.by).or_else(|| self.last_by.get(&entry.by)).copied();
            if prev.is_some() || entry.marks.is_some() {
                entry.mark(|m| m.prev = prev);
            }
            if entry.marks.as_deref().is_some_and(|m| *m == crate::round::entry::Marks::default()) {
                entry.marks = None;
            }
            // A sign-off always says which register it was made over.
            let with_mark = !marked || matches!(entry.what, What::Signoff(_));
            let json = line::encode(entry, with_mark.then_some(self.register_hash.as_str()));
            let len = MARK.len() + json.len();
            if len > MAX_LINE {
                return Err(AppendError::TooLong { path: self.shown.clone(), len });
            }
            // What does not read back would turn the file read-only.
            let unreadable = |why| AppendError::Unreadable { path: self.shown.clone(), why };
            let back = Entry::from_json(&json, &mut Names::default()).map_err(unreadable)?;
            if back != *entry {
                return Err(unreadable("it would read back as another entry".to_owned()));
            }
            text.push_str(MARK);
            text.push_str(&json);
            text.push('\n');
            marked = true;
            last_id = Some(entry.id);
            lasts.insert(Arc::clone(&entry.by), entry.id);
        }
        Ok(text)
    }

    fn poison(&mut self, source: io::Error) -> AppendError {
        self.fault = Some(Fault::Poisoned(source.to_string()));
        AppendError::Disk { path: self.shown.clone(), source }
    }
}

/// Moves the bytes of a torn tail into a new file beside the site file: that file is on the disk before this one is cut.
fn set_aside(disk: &dyn Disk, path: &Path, from: u64, length: u64) -> io::Result<PathBuf> {
    let (kept, mut handle) = disk::create_numbered(disk, &disk::beside(path, ".torn"), path)?;
    let copied = disk::copy(&mut *disk.read(path, from)?, &mut *handle, length)?;
    if copied != length {
        let why = format!("'{}' became shorter while its last line was copied", path.display());
        return Err(io::Error::new(io::ErrorKind::UnexpectedEof, why));
    }
    handle.sync()?;
    disk.sync_folder(disk::folder_of(path))?;
    disk.truncate(path, from)?;
    Ok(kept)
}
