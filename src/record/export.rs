//! Files the program writes beside a site file: a new register, a summary. Each is written whole or not at all, and
//! never over another file unless that was asked for.

use std::fs::File;
use std::io::{ErrorKind, Read as _, Write as _};
use std::path::Path;

use super::{disk, save};
use crate::diag::{Diagnostic, Severity};

/// Makes a new site file from a register's text.
///
/// # Errors
/// A file of that name exists, or the system refused.
pub fn new_site(path: &Path, register: &str) -> Result<(), Box<Diagnostic>> {
    save::create_new(path, register).map_err(|e| trouble(path, &e))
}

/// Writes a text file; with `over` it may replace one that is there, but never a site file: that is the record itself.
///
/// # Errors
/// A file of that name exists and `over` is false, the file there is a site file, or the system refused.
pub fn write_out(path: &Path, text: &str, over: bool) -> Result<(), Box<Diagnostic>> {
    if !over {
        return save::create_new(path, text).map_err(|e| trouble(path, &e));
    }
    if is_site(path) {
        let words = "that is a site file, and the only record of its rounds; it was left as it is";
        let it = Diagnostic::about(Severity::Error, "site-file", path.display().to_string(), words);
        return Err(Box::new(it.help("choose another name for what is to be written")));
    }
    let written = tempfile::NamedTempFile::new_in(disk::folder_of(path)).and_then(|mut file| {
        file.write_all(text.as_bytes())?;
        file.as_file().sync_all()?;
        file.persist(path).map_err(|e| e.error)?;
        Ok(())
    });
    written.map_err(|e| trouble(path, &e))
}

/// How much of a file is looked at for its format; comments may stand before it.
const HEAD: u64 = 1 << 16;

/// Whether a site file is there, by its name or by what it says; one that cannot be read counts by its name alone.
fn is_site(path: &Path) -> bool {
    if path.to_string_lossy().to_lowercase().ends_with(".site.yaml") && path.exists() {
        return true;
    }
    let mut head = Vec::new();
    let read = File::open(path).and_then(|file| file.take(HEAD).read_to_end(&mut head));
    read.is_ok() && head.split(|b| *b == b'\n').any(|line| line.starts_with(b"format: headround site"))
}

fn trouble(path: &Path, error: &std::io::Error) -> Box<Diagnostic> {
    let file = path.display().to_string();
    let it = if error.kind() == ErrorKind::AlreadyExists {
        Diagnostic::about(Severity::Error, "exists", file, "a file of that name exists already and was left as it is")
            .help("choose another name")
    } else {
        Diagnostic::about(Severity::Error, "not-written", file, format!("the file could not be written: {error}"))
            .help("check the folder, its rights and the room on the disk")
    };
    Box::new(it)
}
