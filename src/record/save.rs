//! Makes a new site file, whole or not at all; never replaces one that is there.

use std::io;
use std::path::Path;

use super::disk::{self, Disk, Real};

/// Writes a register's text to a file that does not exist yet: first under another name, synced, then under its own.
///
/// # Errors
/// The system's, with the path; [`io::ErrorKind::AlreadyExists`] if something has that name. Then no file has that name. (One
/// exception: if the folder itself could not be synced, the file is there, but a power cut could still take it away.)
pub fn create_new(path: &Path, register_text: &str) -> io::Result<()> {
    create_new_on(&Real, path, register_text)
}

/// The same on a given disk.
///
/// # Errors
/// As [`create_new`].
pub fn create_new_on(disk: &dyn Disk, path: &Path, register_text: &str) -> io::Result<()> {
    if disk.stat(path).is_ok() {
        let why = format!("'{}' exists already; choose another name", path.display());
        return Err(io::Error::new(io::ErrorKind::AlreadyExists, why));
    }
    let mut n = 1_u32;
    let (temp, mut handle) = loop {
        let temp = disk::beside(path, &format!(".new-{n}"));
        match disk.create_new(&temp, None) {
            Ok(handle) => break (temp, handle),
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists && n < 100 => n += 1,
            Err(e) => return Err(e),
        }
    };
    let end = if register_text.ends_with('\n') { "" } else { "\n" };
    let done = disk::write_all(&mut *handle, register_text.as_bytes())
        .and_then(|()| disk::write_all(&mut *handle, end.as_bytes()))
        .and_then(|()| handle.sync())
        .and_then(|()| {
            drop(handle);
            disk.rename_new(&temp, path)
        });
    if let Err(e) = done {
        let _ = disk.remove(&temp);
        return Err(e);
    }
    disk.sync_folder(disk::folder_of(path))
}
