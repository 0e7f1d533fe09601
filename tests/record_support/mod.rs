//! What the tests of the record share: a small register, entries, whole files, a temporary folder. Holds no test.
#![allow(
    dead_code,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice
)]

use std::path::PathBuf;
use std::sync::Arc;

use chrono::DateTime;
use headround::record::lock::Holder;
use headround::record::scan::{Scan, scan};
use headround::record::{digest, line};
use headround::round::entry::{Entry, Id, Names};

pub const REGISTER: &str = "\
# Marram Quay Cannery, heads and where they hang
format: headround site 1
site: {id: 01KAVQ5R8Z0000000000000000, name: Marram Quay Cannery, where: \"4 Saltpan Lane, Port Tarrow\", rules: nfpa25-2023, units: us}
kinds:
  qr-pendent: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome, made: 2009}
areas:
  pack:
    name: Packing hall
    in_service: 2009-05
    lines:   # one branch line a row
      - 10 qr-pendent
";

pub fn id(n: u128) -> Id {
    Id::parse("01KAVQ5R8Z0000000000000000").map(|id| Id(id.0 + n)).expect("an id")
}

/// An entry with that verb.
pub fn entry_saying(n: u128, by: &str, round: &str, verb: &str) -> Entry {
    let json = format!(r#"{{"id":"{}","at":"2026-11-25T09:14:02-05:00","by":"{by}","round":"{round}",{verb}}}"#, id(n));
    Entry::from_json(&json, &mut Names::default()).expect(&json)
}

/// Entries of several sorts by two people.
pub fn entry(n: u128) -> Entry {
    let by = if n.is_multiple_of(3) { "osk" } else { "ines" };
    let verb = match n % 4 {
        0 => format!(r#""seen":"pack/1.1..1.{}""#, n % 9 + 1),
        1 => r#""saw":{"head":"pack/1.7","sign":"paint","part":"element","extent":"trace","note":"ü – \"drip\" \u001b[31m 喷头"}"#.to_owned(),
        2 => r#""note":{"text":"roof hatch open --- {\"id\":\"x\",\"sum\":\"00000000\"}"}"#.to_owned(),
        _ => r#""unreached":{"heads":"pack/1.10","why":"locked"}"#.to_owned(),
    };
    entry_saying(n, by, "2026", &verb)
}

/// The lines of entries 1 to `n` as the program writes them, each with its line end; entries with their links.
pub fn lines(n: u128, register: &str) -> (Vec<Entry>, Vec<String>) {
    let hash = scan(register.as_bytes(), "t").expect("reads").register_hash;
    let mut last: std::collections::HashMap<Arc<str>, Id> = std::collections::HashMap::new();
    let mut entries = Vec::new();
    let mut out = Vec::new();
    for i in 1..=n {
        let mut entry = entry(i);
        if let Some(prev) = last.insert(Arc::clone(&entry.by), entry.id) {
            entry.mark(|m| m.prev = Some(prev));
        }
        out.push(format!("--- {}\n", line::encode(&entry, (i == 1).then_some(hash.as_str()))));
        entries.push(entry);
    }
    (entries, out)
}

/// A whole file with `n` entries.
pub fn file(n: u128) -> (Vec<Entry>, String) {
    let (entries, lines) = lines(n, REGISTER);
    (entries, format!("{REGISTER}{}", lines.concat()))
}

pub fn read(bytes: impl AsRef<[u8]>) -> Scan {
    scan(bytes.as_ref(), "t.site.yaml").expect("memory reads")
}

/// What there is to tell, one line each.
pub fn told(scan: &Scan) -> Vec<String> {
    scan.findings.iter().map(|f| f.diagnostic.to_string()).collect()
}

pub fn holder(user: &str) -> Holder {
    Holder {
        user: user.to_owned(),
        host: "tablet-2".to_owned(),
        pid: 4711,
        since: DateTime::parse_from_rfc3339("2026-11-25T09:14:02-05:00").expect("a time"),
    }
}

/// A folder with one site file.
pub struct Site {
    pub folder: tempfile::TempDir,
    pub path: PathBuf,
}

impl Site {
    pub fn new(text: impl AsRef<[u8]>) -> Self {
        // In memory where there is such a place: hundreds of syncs to a disk would take their time.
        let memory = std::path::Path::new("/dev/shm");
        let folder = tempfile::tempdir_in(memory).or_else(|_| tempfile::tempdir()).expect("a folder");
        let path = folder.path().join("quay.site.yaml");
        std::fs::write(&path, text).expect("written");
        Self { folder, path }
    }

    pub fn bytes(&self) -> Vec<u8> {
        std::fs::read(&self.path).expect("read")
    }

    /// Every file of the folder, without the lock.
    pub fn names(&self) -> Vec<String> {
        let mut names: Vec<_> = std::fs::read_dir(self.folder.path())
            .expect("a folder")
            .map(|e| e.expect("an entry").file_name().into_string().expect("a name"))
            .filter(|n| !n.ends_with(".lock"))
            .collect();
        names.sort();
        names
    }
}

pub fn round_digest(text: &str, round: &str) -> digest::RoundDigest {
    digest::collect(text.as_bytes(), round).expect("reads").digest()
}
