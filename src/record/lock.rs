//! One writer at a time: an operating-system lock on a file beside the site file. The lock decides, never the file's text or
//! its being there, so what a crash leaves behind harms nobody. Not made for network drives whose locks do not reach other machines.

use std::fmt;
use std::fs::TryLockError;
use std::io::{self, Read as _, Write as _};
use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};

use super::disk::beside;

/// Who holds a site file open for writing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Holder {
    /// The person's name at the machine.
    pub user: String,
    /// The machine.
    pub host: String,
    /// The process number.
    pub pid: u32,
    /// Since when.
    pub since: DateTime<FixedOffset>,
}

impl fmt::Display for Holder {
    /// `ines on tablet-2 (process 4711) since 2026-11-25 09:14`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let since = self.since.format("%Y-%m-%d %H:%M");
        write!(f, "{} on {} (process {}) since {since}", self.user, self.host, self.pid)
    }
}

/// The lock; it is given back when this is dropped or the process ends, however it ends.
#[derive(Debug)]
pub struct Guard(#[expect(dead_code, reason = "held open: closing it gives the lock back")] std::fs::File);

/// What came of asking for the lock.
#[derive(Debug)]
pub enum Locked {
    /// It is ours.
    Ours(Guard),
    /// Somebody else has it: their words about themselves, made harmless for a screen.
    Theirs(String),
}

/// The lock file of a site file.
#[must_use]
pub fn path_of(site_file: &Path) -> PathBuf {
    beside(site_file, ".lock")
}

/// Windows lets nobody read a locked file, so there the holder's name stands beside it.
fn holder_path(lock: &Path) -> PathBuf {
    if cfg!(windows) { beside(lock, ".who") } else { lock.to_owned() }
}

/// How often a taken lock is tried again, 40 ms apart: one that is just being given back (a program that is ending, or a child
/// process on its way to its own program) is not somebody at work.
const PATIENCE: u32 = 5;

/// Takes the lock, or tells who has it.
///
/// # Errors
/// The lock file cannot be made, opened or locked; the error names it.
pub fn take(path: &Path, holder: &Holder) -> io::Result<Locked> {
    let file = fs_err::OpenOptions::new().read(true).write(true).create(true).truncate(false).open(path)?;
    let file = file.into_parts().0;
    let mut tried = file.try_lock();
    for _ in 0..PATIENCE {
        if !matches!(tried, Err(TryLockError::WouldBlock)) {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(40));
        tried = file.try_lock();
    }
    match tried {
        Ok(()) => {
            // The name is a courtesy: failing to write it must not keep anybody from working.
            let _ = write_holder(&file, path, holder);
            Ok(Locked::Ours(Guard(file)))
        }
        Err(TryLockError::WouldBlock) => Ok(Locked::Theirs(read_holder(path))),
        Err(TryLockError::Error(e)) => {
            Err(io::Error::new(e.kind(), format!("the lock on '{}' could not be taken: {e}", path.display())))
        }
    }
}

fn write_holder(file: &std::fs::File, path: &Path, holder: &Holder) -> io::Result<()> {
    if cfg!(windows) {
        return fs_err::write(holder_path(path), format!("{holder}\n"));
    }
    file.set_len(0)?;
    let mut file = file;
    writeln!(file, "{holder}")
}

fn read_holder(path: &Path) -> String {
    let mut text = String::new();
    let read = fs_err::File::open(holder_path(path)).and_then(|f| f.take(500).read_to_string(&mut text));
    let line = crate::diag::plain(text.lines().next().unwrap_or_default());
    if read.is_ok() && !line.is_empty() { line } else { "another program".to_owned() }
}
