//! One entry recorded: `cargo bench --bench append`. Says how many writes and syncs each costs, and what they take on the
//! disk of the folder for temporary files (set TMPDIR to measure another one).

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod common;

use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use headround::record::disk::{Disk, Handle, Real, Stat};
use headround::record::journal::{self, Journal, Mode};
use headround::record::lock::{Holder, Locked};
use headround::round::entry::{Entry, Id, What};
use headround::trade::address::Heads;

const ENTRIES: usize = 2_000;

fn main() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("append.site.yaml");
    std::fs::write(&path, common::site(10_000, 20_000).text).expect("the file");
    for (name, sync) in [("encoded and written", false), ("encoded, written and synced", true)] {
        let counting = Counting { sync, calls: Arc::default() };
        let mut journal = open(&counting, &path);
        let calls = Arc::clone(&counting.calls);
        let before = calls.now();
        let mut times = Vec::with_capacity(ENTRIES);
        for _ in 0..ENTRIES {
            times.push(record(&mut journal));
        }
        let after = calls.now();
        let (half, most, worst) = common::figures(times);
        println!("{name:<28} {half:>10.1?} half, {most:>10.1?} 99 of 100, {worst:>10.1?} most");
        let each = |at: usize| (after[at] - before[at]) as f64 / ENTRIES as f64;
        println!("{:<28} {} writes, {} syncs, {} looks at the file's state an entry", "", each(0), each(1), each(2));
    }
}

fn open(disk: &Counting, path: &Path) -> Journal {
    let since = headround::record::desk::Clock::now(&common::Still);
    let holder = Holder { user: "ines".to_owned(), host: "bench".to_owned(), pid: 1, since };
    let opened = journal::open_on(Arc::new(disk.clone()), path, Mode::Write, &holder).expect("the file");
    opened.writable.expect("a journal")
}

fn record(journal: &mut Journal) -> Duration {
    let mut entry = Entry {
        id: Id::after(journal.last_id(), 0, 0),
        at: headround::record::desk::Clock::now(&common::Still),
        by: Arc::from("ines"),
        round: Arc::from("2026"),
        what: What::Seen(Heads::parse("hall-1/1.1").expect("an address")),
        marks: None,
    };
    let start = Instant::now();
    journal.append(&mut entry).expect("an entry");
    start.elapsed()
}

#[derive(Debug, Default)]
struct Calls {
    writes: AtomicUsize,
    syncs: AtomicUsize,
    stats: AtomicUsize,
}

impl Calls {
    fn now(&self) -> [usize; 3] {
        [&self.writes, &self.syncs, &self.stats].map(|n| n.load(Ordering::Relaxed))
    }
}

/// The real disk, counting what is asked of it; without `sync` it returns from a sync at once.
#[derive(Clone, Debug)]
struct Counting {
    sync: bool,
    calls: Arc<Calls>,
}

#[derive(Debug)]
struct CountingHandle {
    inner: Box<dyn Handle>,
    disk: Counting,
}

impl Handle for CountingHandle {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.disk.calls.writes.fetch_add(1, Ordering::Relaxed);
        self.inner.write(bytes)
    }

    fn sync(&mut self) -> io::Result<()> {
        self.disk.calls.syncs.fetch_add(1, Ordering::Relaxed);
        if self.disk.sync { self.inner.sync() } else { Ok(()) }
    }
}

impl Disk for Counting {
    fn resolve(&self, path: &Path) -> io::Result<PathBuf> {
        Real.resolve(path)
    }

    fn read(&self, path: &Path, from: u64) -> io::Result<Box<dyn Read>> {
        Real.read(path, from)
    }

    fn append(&self, path: &Path) -> io::Result<Box<dyn Handle>> {
        Ok(Box::new(CountingHandle { inner: Real.append(path)?, disk: self.clone() }))
    }

    fn create_new(&self, path: &Path, like: Option<&Path>) -> io::Result<Box<dyn Handle>> {
        Real.create_new(path, like)
    }

    fn stat(&self, path: &Path) -> io::Result<Stat> {
        self.calls.stats.fetch_add(1, Ordering::Relaxed);
        Real.stat(path)
    }

    fn truncate(&self, path: &Path, len: u64) -> io::Result<()> {
        Real.truncate(path, len)
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        Real.rename(from, to)
    }

    fn rename_new(&self, from: &Path, to: &Path) -> io::Result<()> {
        Real.rename_new(from, to)
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        Real.remove(path)
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        Real.sync_folder(folder)
    }

    fn lock(&self, path: &Path, holder: &Holder) -> io::Result<Locked> {
        Real.lock(path, holder)
    }
}
