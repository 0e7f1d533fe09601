//! The digest a sign-off carries: over the lines of its round, so that anybody with `grep`, `sort` and `sha256sum` can check it.
//! It shows that lines are the same; who signed is another matter.

use std::io::{self, Read};
use std::path::Path;

use sha2::{Digest, Sha256};

use super::disk::Disk;
use super::line::{self, MARK};
use super::scan::{self, Written, hex};
use crate::round::entry::{Entry, Id, What};

/// The lines of one round, as they stand in the file.
#[derive(Debug)]
pub struct RoundLines {
    /// SHA-256, in hexadecimal, of the register document as it stands now.
    pub register: String,
    lines: Vec<RoundLine>,
}

#[derive(Debug)]
struct RoundLine {
    id: Id,
    /// `--- ` and the JSON, without a line end.
    text: String,
    /// Line in the file, from 1.
    number: usize,
    written: Written,
}

/// What a sign-off says of the lines before it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RoundDigest {
    /// `sha256:` and 64 hexadecimal digits.
    pub digest: String,
    /// How many entry lines it covers.
    pub lines: u64,
    /// How many of them stand in the file in another form than the line that was digested: the shell command in docs/site-file.md
    /// gives the digest only when this is 0.
    pub documents: u64,
}

/// What became of a signed round's lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lines {
    /// All signed lines are there, byte for byte.
    Unchanged,
    /// So many fewer than were signed.
    Missing(u64),
    /// So many more than were signed, with ids from before the sign-off, and not as lines added at the file's end.
    More(u64),
    /// As many as were signed, but not the same.
    Changed,
}

/// What a check of a sign-off found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verdict {
    /// The signed lines.
    pub lines: Lines,
    /// Lines of the round with ids after the sign-off: made later, which is no tampering.
    pub later: u64,
    /// Lines with ids from before the sign-off that came into the file behind it, as merging another person's file does.
    pub joined: u64,
    /// Whether the register is still the one that was signed; `None` where the sign-off does not say which that was.
    pub register_same: Option<bool>,
}

/// Reads a file's lines of a round. Lines count by their own text: copies once.
///
/// # Errors
/// The disk's.
pub fn round_lines(disk: &dyn Disk, path: &Path, round: &str) -> io::Result<RoundLines> {
    collect(disk.read(path, 0)?, round)
}

/// The same from any reader.
///
/// # Errors
/// The reader's.
pub fn collect(reader: impl Read, round: &str) -> io::Result<RoundLines> {
    let mut lines: Vec<RoundLine> = Vec::new();
    let scan = scan::scan_with(reader, "", |met| {
        if &*met.entry.round == round {
            let text = format!("{MARK}{}", met.json);
            lines.push(RoundLine { id: met.entry.id, text, number: met.line, written: met.written });
        }
    })?;
    // Byte order is the order of `LC_ALL=C sort`; every line starts with its id, so it is the order of ids too.
    lines.sort_by(|a, b| a.text.cmp(&b.text).then(a.number.cmp(&b.number)));
    lines.dedup_by(|a, b| a.text == b.text);
    Ok(RoundLines { register: scan.register_hash, lines })
}

fn digest<'a>(register: &str, lines: impl Iterator<Item = &'a RoundLine>) -> RoundDigest {
    let mut hash = Sha256::new();
    hash.update(format!("register sha256:{register}\n"));
    let (mut count, mut documents) = (0, 0);
    for line in lines {
        hash.update(&line.text);
        hash.update(b"\n");
        count += 1;
        documents += u64::from(line.written == Written::AsDocument);
    }
    RoundDigest { digest: format!("sha256:{}", hex(&hash.finalize())), lines: count, documents }
}

impl RoundLines {
    /// The digest over the register and all lines of the round as they stand: what a sign-off made now carries.
    #[must_use]
    pub fn digest(&self) -> RoundDigest {
        digest(&self.register, self.lines.iter())
    }

    /// Checks a sign-off of this round. `None` where the entry is no sign-off, or none in these lines.
    #[must_use]
    pub fn verify(&self, entry: &Entry) -> Option<Verdict> {
        let What::Signoff(signed) = &entry.what else { return None };
        let own = self.lines.iter().find(|l| l.id == entry.id)?;
        let mark = line::register_mark(&own.text);
        let register = mark.unwrap_or(&self.register);
        let before = || self.lines.iter().filter(|l| l.id < entry.id);
        let later = self.lines.iter().filter(|l| l.id > entry.id).count() as u64;
        let now = digest(register, before());
        let fits = |d: &RoundDigest| d.digest == signed.digest && d.lines == signed.lines;
        // By place in the file where ids do not tell: what merging brought in stands behind the sign-off.
        let joined = before().filter(|l| l.number > own.number).count() as u64;
        let (lines, joined) = if fits(&now) {
            (Lines::Unchanged, 0)
        } else if joined > 0 && fits(&digest(register, before().filter(|l| l.number < own.number))) {
            (Lines::Unchanged, joined)
        } else if now.lines < signed.lines {
            (Lines::Missing(signed.lines - now.lines), 0)
        } else if now.lines > signed.lines {
            (Lines::More(now.lines - signed.lines), 0)
        } else {
            (Lines::Changed, 0)
        };
        Some(Verdict { lines, later, joined, register_same: mark.map(|m| m == self.register) })
    }
}
