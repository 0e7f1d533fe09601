//! Files the program writes beside a site file: a new register, a summary. Each is written whole or not at all, and
//! never over another file unless that was asked for.

use std::io::{ErrorKind, Write as _};
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

/// Writes a text file; with `over` it may replace one that is there.
///
/// # Errors
/// A file of that name exists and `over` is false, or the system refused.
pub fn write_out(path: &Path, text: &str, over: bool) -> Result<(), Box<Diagnostic>> {
    if !over {
        return save::create_new(path, text).map_err(|e| trouble(path, &e));
    }
    let written = tempfile::NamedTempFile::new_in(disk::folder_of(path)).and_then(|mut file| {
        file.write_all(text.as_bytes())?;
        file.as_file().sync_all()?;
        file.persist(path).map_err(|e| e.error)?;
        Ok(())
    });
    written.map_err(|e| trouble(path, &e))
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
