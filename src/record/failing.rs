//! A disk for tests that fails on purpose: at the n-th call, or at every call of one sort. Never used by the program itself.

use std::fmt;
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use super::disk::{Disk, Handle, Real, Stat};
use super::lock::{Holder, Locked};

/// The sorts of calls.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Call {
    /// [`Disk::resolve`]
    Resolve,
    /// [`Disk::read`], and every read from what it returns
    Read,
    /// [`Disk::append`]
    Append,
    /// [`Disk::create_new`]
    Create,
    /// [`Disk::stat`]
    Stat,
    /// [`Disk::truncate`]
    Truncate,
    /// [`Disk::rename`] and [`Disk::rename_new`]
    Rename,
    /// [`Disk::remove`]
    Remove,
    /// [`Disk::sync_folder`]
    SyncFolder,
    /// [`Disk::lock`]
    Lock,
    /// [`Handle::write`]
    Write,
    /// [`Handle::sync`]
    Sync,
}

/// When to fail.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum When {
    /// Never: only count.
    Never,
    /// At the n-th call, from 0, and at every one after it: the disk is gone.
    From(usize),
    /// At the n-th call only.
    At(usize),
    /// At every call of a sort.
    Every(Call),
}

/// How to fail.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// With an error of this kind, having done nothing.
    Error(io::ErrorKind),
    /// A write takes this many bytes and says so; every other call fails with [`io::ErrorKind::StorageFull`].
    Short(usize),
    /// A write takes this many bytes and then fails with [`io::ErrorKind::StorageFull`], as does every other call.
    Partial(usize),
}

#[derive(Debug)]
struct Plan {
    when: When,
    fault: Fault,
    calls: AtomicUsize,
}

/// The real disk, failing as planned.
#[derive(Clone, Debug)]
pub struct Failing(Arc<Plan>);

impl Failing {
    /// A disk that fails as planned.
    #[must_use]
    pub fn new(when: When, fault: Fault) -> Self {
        Self(Arc::new(Plan { when, fault, calls: AtomicUsize::new(0) }))
    }

    /// How many calls there were.
    #[must_use]
    pub fn calls(&self) -> usize {
        self.0.calls.load(Ordering::Relaxed)
    }

    fn fault(&self, call: Call) -> Option<Fault> {
        let n = self.0.calls.fetch_add(1, Ordering::Relaxed);
        let now = match self.0.when {
            When::Never => false,
            When::From(first) => n >= first,
            When::At(only) => n == only,
            When::Every(sort) => sort == call,
        };
        now.then_some(self.0.fault)
    }

    fn check(&self, call: Call, path: &Path) -> io::Result<()> {
        match self.fault(call) {
            None => Ok(()),
            Some(Fault::Error(kind)) => Err(error(kind, path)),
            Some(Fault::Short(_) | Fault::Partial(_)) => Err(error(io::ErrorKind::StorageFull, path)),
        }
    }

    fn handle(&self, path: &Path, inner: Box<dyn Handle>) -> Box<dyn Handle> {
        Box::new(FailingHandle { plan: self.clone(), path: path.to_owned(), inner })
    }
}

fn error(kind: io::ErrorKind, path: &Path) -> io::Error {
    io::Error::new(kind, format!("planned fault at '{}'", path.display()))
}

struct FailingHandle {
    plan: Failing,
    path: PathBuf,
    inner: Box<dyn Handle>,
}

impl fmt::Debug for FailingHandle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "FailingHandle({})", self.path.display())
    }
}

impl Handle for FailingHandle {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match self.plan.fault(Call::Write) {
            None => self.inner.write(bytes),
            Some(Fault::Error(kind)) => Err(error(kind, &self.path)),
            Some(Fault::Short(n)) => self.inner.write(bytes.get(..n).unwrap_or(bytes)),
            Some(Fault::Partial(n)) => {
                self.inner.write(bytes.get(..n).unwrap_or(bytes))?;
                Err(error(io::ErrorKind::StorageFull, &self.path))
            }
        }
    }

    fn sync(&mut self) -> io::Result<()> {
        self.plan.check(Call::Sync, &self.path)?;
        self.inner.sync()
    }
}

struct FailingReader {
    plan: Failing,
    path: PathBuf,
    inner: Box<dyn Read>,
}

impl Read for FailingReader {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        self.plan.check(Call::Read, &self.path)?;
        self.inner.read(buffer)
    }
}

impl Disk for Failing {
    fn resolve(&self, path: &Path) -> io::Result<PathBuf> {
        self.check(Call::Resolve, path)?;
        Real.resolve(path)
    }

    fn read(&self, path: &Path, from: u64) -> io::Result<Box<dyn Read>> {
        self.check(Call::Read, path)?;
        let inner = Real.read(path, from)?;
        Ok(Box::new(FailingReader { plan: self.clone(), path: path.to_owned(), inner }))
    }

    fn append(&self, path: &Path) -> io::Result<Box<dyn Handle>> {
        self.check(Call::Append, path)?;
        Ok(self.handle(path, Real.append(path)?))
    }

    fn create_new(&self, path: &Path, like: Option<&Path>) -> io::Result<Box<dyn Handle>> {
        self.check(Call::Create, path)?;
        Ok(self.handle(path, Real.create_new(path, like)?))
    }

    fn stat(&self, path: &Path) -> io::Result<Stat> {
        self.check(Call::Stat, path)?;
        Real.stat(path)
    }

    fn truncate(&self, path: &Path, len: u64) -> io::Result<()> {
        self.check(Call::Truncate, path)?;
        Real.truncate(path, len)
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.check(Call::Rename, to)?;
        Real.rename(from, to)
    }

    fn rename_new(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.check(Call::Rename, to)?;
        Real.rename_new(from, to)
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        self.check(Call::Remove, path)?;
        Real.remove(path)
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        self.check(Call::SyncFolder, folder)?;
        Real.sync_folder(folder)
    }

    fn lock(&self, path: &Path, holder: &Holder) -> io::Result<Locked> {
        self.check(Call::Lock, path)?;
        Real.lock(path, holder)
    }
}
