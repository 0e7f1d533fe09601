//! The few things the record asks of a disk, as a trait, and the real disk. The failing one for tests is in `failing`.

use std::fmt;
use std::io::{self, Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};

use super::lock::{self, Locked};

/// What tells one state of a file from another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stat {
    /// Bytes.
    pub len: u64,
    /// Which file it is: device and number, where the system has them. Another file under the same name has another one.
    pub file: Option<(u64, u64)>,
    /// When it was written last, in nanoseconds, where that is dependable the moment after a write.
    pub written: Option<i128>,
}

/// A file open for writing at its end.
pub trait Handle: fmt::Debug + Send {
    /// One write; may write less than asked.
    ///
    /// # Errors
    /// The system's, with the path.
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize>;
    /// Returns once the bytes, and the length that finds them, are on the disk.
    ///
    /// # Errors
    /// The system's, with the path.
    fn sync(&mut self) -> io::Result<()>;
}

/// What the record asks of a disk. Every error names its path.
pub trait Disk: fmt::Debug + Send + Sync {
    /// The path without links, so that a renamed file lands where the file is.
    ///
    /// # Errors
    /// The system's, with the path.
    fn resolve(&self, path: &Path) -> io::Result<PathBuf>;
    /// A file's bytes from an offset on.
    ///
    /// # Errors
    /// The system's, with the path.
    fn read(&self, path: &Path, from: u64) -> io::Result<Box<dyn Read>>;
    /// A file that exists, to write at its end.
    ///
    /// # Errors
    /// The system's, with the path.
    fn append(&self, path: &Path) -> io::Result<Box<dyn Handle>>;
    /// A file that does not exist yet; its permissions are those of `like` where given.
    ///
    /// # Errors
    /// The system's, with the path.
    fn create_new(&self, path: &Path, like: Option<&Path>) -> io::Result<Box<dyn Handle>>;
    /// State of the file under a name.
    ///
    /// # Errors
    /// The system's, with the path.
    fn stat(&self, path: &Path) -> io::Result<Stat>;
    /// Cuts a file and syncs it.
    ///
    /// # Errors
    /// The system's, with the path.
    fn truncate(&self, path: &Path, len: u64) -> io::Result<()>;
    /// Gives a file another name, replacing what has it.
    ///
    /// # Errors
    /// The system's, with the path.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;
    /// Gives a file another name that nothing has yet.
    ///
    /// # Errors
    /// The system's, with the path.
    fn rename_new(&self, from: &Path, to: &Path) -> io::Result<()>;
    /// Removes a file.
    ///
    /// # Errors
    /// The system's, with the path.
    fn remove(&self, path: &Path) -> io::Result<()>;
    /// Returns once the names in a folder are on the disk, where the system can promise that.
    ///
    /// # Errors
    /// The system's, with the path.
    fn sync_folder(&self, folder: &Path) -> io::Result<()>;
    /// Takes the lock file, or names who has it.
    ///
    /// # Errors
    /// The system's, with the path.
    fn lock(&self, path: &Path, holder: &lock::Holder) -> io::Result<Locked>;
}

/// The folder a file is in.
#[must_use]
pub fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// A name beside a file: its whole name with something added.
#[must_use]
pub fn beside(path: &Path, added: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(added);
    PathBuf::from(name)
}

/// Creates the first file of `NAME-1`, `NAME-2` … that does not exist, with the permissions of `like`.
///
/// # Errors
/// The disk's.
pub fn create_numbered(disk: &dyn Disk, path: &Path, like: &Path) -> io::Result<(PathBuf, Box<dyn Handle>)> {
    let mut n = 1_u32;
    loop {
        let name = beside(path, &format!("-{n}"));
        match disk.create_new(&name, Some(like)) {
            Ok(handle) => return Ok((name, handle)),
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists && n < 10_000 => n += 1,
            Err(e) => return Err(e),
        }
    }
}

/// Writes all bytes, in as many writes as it takes.
///
/// # Errors
/// The disk's.
pub fn write_all(handle: &mut dyn Handle, mut bytes: &[u8]) -> io::Result<()> {
    while !bytes.is_empty() {
        match handle.write(bytes) {
            Ok(0) => return Err(io::Error::new(io::ErrorKind::WriteZero, "the disk takes no more bytes")),
            Ok(n) => bytes = bytes.get(n..).unwrap_or_default(),
            Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
            Err(e) => return Err(e),
        }
    }
    Ok(())
}

/// Copies from a reader, in pieces, until it ends or `most` bytes came; returns how many.
///
/// # Errors
/// The reader's or the disk's.
pub fn copy(reader: &mut dyn Read, handle: &mut dyn Handle, most: u64) -> io::Result<u64> {
    let mut reader = reader.take(most);
    let mut buffer = vec![0; 1 << 16];
    let mut copied = 0;
    loop {
        match reader.read(&mut buffer) {
            Ok(0) => return Ok(copied),
            Ok(n) => {
                write_all(handle, buffer.get(..n).unwrap_or_default())?;
                copied += n as u64;
            }
            Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
            Err(e) => return Err(e),
        }
    }
}

/// The real disk.
#[derive(Clone, Copy, Debug, Default)]
pub struct Real;

#[derive(Debug)]
struct RealHandle(fs_err::File);

impl Handle for RealHandle {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        io::Write::write(&mut self.0, bytes)
    }

    fn sync(&mut self) -> io::Result<()> {
        self.0.sync_data()
    }
}

impl Disk for Real {
    fn resolve(&self, path: &Path) -> io::Result<PathBuf> {
        fs_err::canonicalize(path)
    }

    fn read(&self, path: &Path, from: u64) -> io::Result<Box<dyn Read>> {
        // Looked at before it is opened: opening a pipe would wait for whoever writes to it.
        if !fs_err::metadata(path)?.is_file() {
            return Err(io::Error::new(io::ErrorKind::InvalidInput, format!("'{}' is no file", path.display())));
        }
        let mut file = fs_err::File::open(path)?;
        if from > 0 {
            file.seek(SeekFrom::Start(from))?;
        }
        Ok(Box::new(file))
    }

    fn append(&self, path: &Path) -> io::Result<Box<dyn Handle>> {
        Ok(Box::new(RealHandle(fs_err::OpenOptions::new().append(true).open(path)?)))
    }

    fn create_new(&self, path: &Path, like: Option<&Path>) -> io::Result<Box<dyn Handle>> {
        let file = fs_err::OpenOptions::new().append(true).create_new(true).open(path)?;
        if let Some(like) = like {
            let permissions = fs_err::metadata(like)?.permissions();
            // A read-only file must not make a copy that cannot be written now.
            if !permissions.readonly() {
                fs_err::set_permissions(path, permissions)?;
            }
        }
        Ok(Box::new(RealHandle(file)))
    }

    fn stat(&self, path: &Path) -> io::Result<Stat> {
        let meta = fs_err::metadata(path)?;
        #[cfg(unix)]
        {
            use std::os::unix::fs::MetadataExt as _;
            let written = i128::from(meta.mtime()) * 1_000_000_000 + i128::from(meta.mtime_nsec());
            Ok(Stat { len: meta.len(), file: Some((meta.dev(), meta.ino())), written: Some(written) })
        }
        // Elsewhere the time of the last write is brought up to date late, and the standard library has no number of a file.
        #[cfg(not(unix))]
        Ok(Stat { len: meta.len(), file: None, written: None })
    }

    fn truncate(&self, path: &Path, len: u64) -> io::Result<()> {
        let file = fs_err::OpenOptions::new().write(true).open(path)?;
        file.set_len(len)?;
        file.sync_all()
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        retry(|| fs_err::rename(from, to))
    }

    fn rename_new(&self, from: &Path, to: &Path) -> io::Result<()> {
        match fs_err::hard_link(from, to) {
            Ok(()) => fs_err::remove_file(from),
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists => Err(e),
            // Disks without links (memory sticks): look, then rename. Between the two another program could take the name.
            Err(_) if fs_err::symlink_metadata(to).is_ok() => {
                Err(io::Error::new(io::ErrorKind::AlreadyExists, format!("'{}' exists already", to.display())))
            }
            Err(_) => retry(|| fs_err::rename(from, to)),
        }
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        fs_err::remove_file(path)
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        #[cfg(unix)]
        fs_err::File::open(folder)?.sync_all()?;
        // Windows opens no folder for this and writes names through by itself.
        #[cfg(not(unix))]
        let _ = folder;
        Ok(())
    }

    fn lock(&self, path: &Path, holder: &lock::Holder) -> io::Result<Locked> {
        lock::take(path, holder)
    }
}

/// Windows refuses to replace a file that a virus scanner or an indexer has open for a moment.
fn retry(mut rename: impl FnMut() -> io::Result<()>) -> io::Result<()> {
    let tries = if cfg!(windows) { 20 } else { 1 };
    for _ in 1..tries {
        match rename() {
            Err(e) if e.kind() == io::ErrorKind::PermissionDenied => {
                std::thread::sleep(std::time::Duration::from_millis(25));
            }
            other => return other,
        }
    }
    rename()
}
