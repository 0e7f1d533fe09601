//! Tidying: a new site file in which the register has taken in entries that changed it. The old file stays beside it. What the
//! entries make of the register is worked out elsewhere; which of them may go is decided here.

use std::collections::{HashMap, HashSet};
use std::io;
use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};

use super::disk::{self, Handle};
use super::journal::Journal;
use super::line::{Folded, MARK};
use super::scan::{self, Scan};
use crate::diag::tree::Limits;
use crate::round::entry::{Entry, Id, What};
use crate::round::lots;
use crate::trade::address::{AreaId, Heads};
use crate::trade::register::Register;
use crate::trade::register_write;

/// Why a change of the register stays an entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Stay {
    /// A sign-off covers it, or an entry that takes it back: its line may not go. Or it was made after a sign-off: taken in, it
    /// would hold for the signed round too, whose heads and rulings would no longer be those that were signed for.
    Signed(Id),
    /// It builds on an earlier change that stays.
    After(Id),
    /// An entry that is no change of the register corrects it.
    Corrected(Id),
    /// An earlier entry speaks of the place where it put a head, or a lot speaks of the heads that it took away. Taken in, the head would have been there when that entry was
    /// made: a line swept before the head was found would say that it was seen.
    Spoken(Id),
}

/// Which changes of the register may be taken in.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Foldable {
    /// These may, and the entries that take them back with them; by id.
    pub may: Vec<Id>,
    /// These stay, and why; by id.
    pub stays: Vec<(Id, Stay)>,
}

/// What tidying did.
#[derive(Debug)]
pub struct Tidied {
    /// The file as it was before.
    pub kept: PathBuf,
    /// How many entries the register has taken in.
    pub folded: usize,
}

/// Why tidying did nothing.
#[derive(Debug, thiserror::Error)]
pub enum TidyError {
    /// An entry was named that may not go.
    #[error("'{path}' was not tidied: the entry {id} must stay in the file")]
    MustStay {
        /// The site file.
        path: PathBuf,
        /// The entry.
        id: Id,
    },
    /// The file is no longer as this program left it.
    #[error("'{0}' was not tidied: another program changed it since it was opened; open it again")]
    Changed(PathBuf),
    /// The new file would not read back as meant.
    #[error(
        "'{path}' was not tidied: the new file would not read back as the same record ({why}); nothing was changed"
    )]
    NotTheSame {
        /// The site file.
        path: PathBuf,
        /// What differs.
        why: String,
    },
    /// The disk failed before the new file took the old one's place.
    #[error("'{path}' was not tidied: {source}; the file is as it was")]
    Disk {
        /// The site file.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// The disk failed after the new file took the old one's place.
    #[error(
        "'{path}' was tidied, but the folder could not be synced: {source}; after a power cut the file may be as it was before, as it also is in '{kept}'"
    )]
    NotSynced {
        /// The site file.
        path: PathBuf,
        /// The file as it was before.
        kept: PathBuf,
        /// What the system says.
        source: io::Error,
    },
}

/// Whether an entry changes the register.
#[must_use]
pub const fn changes_register(what: &What) -> bool {
    matches!(
        what,
        What::Added(_) | What::Removed(_) | What::IsKind(_) | What::NewKind(_) | What::NewArea(_) | What::NewCabinet(_)
    )
}

/// Whether a change says which heads there are or what they are; a new kind or a new cabinet does not.
const fn touches_heads(what: &What) -> bool {
    changes_register(what) && !matches!(what, What::NewKind(_) | What::NewCabinet(_))
}

/// The areas and kinds a change speaks of: a change builds on an earlier one that speaks of the same.
fn subjects(entry: &Entry) -> Vec<String> {
    let mut words: Vec<String> = entry.heads().map(|h| format!("area {}", h.area)).into_iter().collect();
    match &entry.what {
        What::NewKind(kind) => words.push(format!("kind {}", kind.id)),
        What::NewCabinet(x) => words.extend(x.serves.iter().map(|area| format!("area {area}"))),
        What::Added(x) => words.push(format!("kind {}", x.kind)),
        What::IsKind(x) => words.push(format!("kind {}", x.kind)),
        What::NewArea(x) => {
            words.push(format!("area {}", x.id));
            let names = x.lines.iter().flat_map(|l| l.split(',')).filter_map(|run| run.split_whitespace().nth(1));
            words.extend(names.map(|kind| format!("kind {kind}")));
        }
        _ => {}
    }
    words
}

/// Decides which changes of the register may be taken in; `entries` by id, each once.
#[must_use]
pub fn foldable(entries: &[Entry]) -> Foldable {
    let mut signed: HashMap<&str, Id> = HashMap::new();
    let mut first_signed: Option<Id> = None;
    let mut retracts: HashMap<Id, Vec<&Entry>> = HashMap::new();
    let mut corrected: HashMap<Id, Id> = HashMap::new();
    for entry in entries {
        match &entry.what {
            What::Signoff(_) => {
                signed.insert(&entry.round, entry.id);
                first_signed.get_or_insert(entry.id);
            }
            What::Retract(of) => retracts.entry(*of).or_default().push(entry),
            _ => {}
        }
        if let Some(of) = entry.instead()
            && !changes_register(&entry.what)
        {
            corrected.insert(of, entry.id);
        }
    }
    let mut spoken: HashMap<AreaId, Vec<(Id, Heads)>> = HashMap::new();
    let mut out = Foldable::default();
    let in_lots: Vec<(Id, Heads)> =
        entries.iter().flat_map(|e| lots::heads_of(&e.what).into_iter().map(|heads| (e.id, heads))).collect();
    let mut staying: HashMap<String, Id> = HashMap::new();
    for entry in entries {
        if !changes_register(&entry.what) {
            if let Some(heads) = entry.heads() {
                spoken.entry(heads.area.clone()).or_default().push((entry.id, heads.into_owned()));
            }
            for heads in lots::heads_of(&entry.what) {
                spoken.entry(heads.area.clone()).or_default().push((entry.id, heads));
            }
            continue;
        }
        // The entry, what takes it back, what takes that back, and so on.
        let mut chain = vec![entry];
        let mut seen = HashSet::from([entry.id]);
        let mut next = 0;
        while let Some(link) = chain.get(next) {
            next += 1;
            chain.extend(retracts.get(&link.id).into_iter().flatten().filter(|e| seen.insert(e.id)));
        }
        let covered = |e: &&&Entry| signed.get(&*e.round).is_some_and(|s| e.id < *s);
        let subjects = subjects(entry);
        let stay = if let Some(link) = chain.iter().find(covered) {
            Some(Stay::Signed(signed.get(&*link.round).copied().unwrap_or(link.id)))
        } else if let Some(by) = chain.iter().find_map(|e| corrected.get(&e.id)) {
            Some(Stay::Corrected(*by))
        } else if let Some(by) = first_signed.filter(|s| touches_heads(&entry.what) && *s < entry.id) {
            Some(Stay::Signed(by))
        } else if let Some(by) = spoken_before(&spoken, &entry.what).or_else(|| of_lots(&in_lots, &entry.what)) {
            Some(Stay::Spoken(by))
        } else {
            subjects.iter().find_map(|s| staying.get(s)).map(|id| Stay::After(*id))
        };
        match stay {
            Some(why) => {
                staying.extend(subjects.into_iter().map(|s| (s, entry.id)));
                out.stays.push((entry.id, why));
            }
            None => out.may.extend(chain.iter().map(|e| e.id)),
        }
    }
    out.may.sort_unstable();
    out.may.dedup();
    out
}

/// The earliest entry that speaks of the place where a change puts a head.
fn spoken_before(spoken: &HashMap<AreaId, Vec<(Id, Heads)>>, what: &What) -> Option<Id> {
    let of = |area: &AreaId, here: &dyn Fn(&Heads) -> bool| {
        spoken.get(area).into_iter().flatten().find(|(_, heads)| here(heads)).map(|(id, _)| *id)
    };
    match what {
        What::Added(x) => of(&x.head.area, &|heads| heads.holds(x.head.spot)),
        What::NewArea(x) => of(&x.id, &|_| true),
        _ => None,
    }
}

/// An entry about a lot, earlier or later, that speaks of heads which a change takes away: without them in the register the lot would
/// have lost them.
fn of_lots(in_lots: &[(Id, Heads)], what: &What) -> Option<Id> {
    let What::Removed(gone) = what else { return None };
    in_lots.iter().find(|(_, heads)| heads.meets(&gone.head)).map(|(id, _)| *id)
}

/// Writes the file anew with `register` as its first document and without the lines of `absorbed`, which it has taken in; every other
/// byte behind the register stays as it is, and a last line names what was taken in, when and by whom. The file as it was stays as
/// `NAME.before-tidy-1`, `-2` …. The journal is used up: open the file again.
///
/// # Errors
/// The file is as it was, save for [`TidyError::NotSynced`].
pub fn tidy(
    journal: Journal,
    register: &Register,
    absorbed: &[Id],
    at: DateTime<FixedOffset>,
    by: &str,
) -> Result<Tidied, TidyError> {
    // The lock is held to the end; the handle is closed first, as Windows replaces no file that is open.
    let Journal { disk, shown, path, handle, guard: _guard, stat, .. } = journal;
    drop(handle);
    let (disk, path) = (&*disk, path.as_path());
    let failed = |source| TidyError::Disk { path: shown.clone(), source };
    if disk.stat(path).map_err(failed)? != stat {
        return Err(TidyError::Changed(shown.clone()));
    }
    let gone: HashSet<Id> = absorbed.iter().copied().collect();
    // Where the lines that go stand, and how the file is now.
    let mut holes = Vec::new();
    let read = |path: &Path, from| disk.read(path, from);
    let before = scan::scan_with(read(path, 0).map_err(failed)?, &shown.display().to_string(), |met| {
        if gone.contains(&met.entry.id) {
            holes.push(met.range);
        }
    })
    .map_err(failed)?;
    let may: HashSet<Id> = foldable(&before.entries).may.into_iter().collect();
    if let Some(id) = absorbed.iter().find(|id| !may.contains(id)) {
        return Err(TidyError::MustStay { path: shown.clone(), id: *id });
    }
    if before.counts.broken > 0 || before.register.is_none() {
        let why = "the file has broken lines".to_owned();
        return Err(TidyError::NotTheSame { path: shown.clone(), why });
    }

    // The file as it was, kept before anything else happens.
    let (kept, mut copy) = disk::create_numbered(disk, &disk::beside(path, ".before-tidy"), path).map_err(failed)?;
    disk::copy(&mut *read(path, 0).map_err(failed)?, &mut *copy, u64::MAX).map_err(failed)?;
    copy.sync().map_err(failed)?;
    drop(copy);

    let (temp, mut handle) = disk::create_numbered(disk, &disk::beside(path, ".tidy"), path).map_err(failed)?;
    let done = write_new(
        &mut *handle,
        read(path, before.register_len),
        register,
        &before,
        &holes,
        &Folded::new(absorbed.to_vec(), at, by.to_owned()),
    )
    .and_then(|()| handle.sync())
    .map_err(failed)
    .and_then(|()| {
        drop(handle);
        let after = scan::scan(read(&temp, 0).map_err(failed)?, "").map_err(failed)?;
        same(&before, &after, register, &gone).map_err(|why| TidyError::NotTheSame { path: shown.clone(), why })?;
        disk.rename(&temp, path).map_err(failed)
    });
    if let Err(e) = done {
        let _ = disk.remove(&temp);
        return Err(e);
    }
    disk.sync_folder(disk::folder_of(path)).map_err(|source| TidyError::NotSynced {
        path: shown.clone(),
        kept: kept.clone(),
        source,
    })?;
    Ok(Tidied { kept, folded: absorbed.len() })
}

fn write_new(
    handle: &mut dyn Handle,
    rest: io::Result<Box<dyn io::Read>>,
    register: &Register,
    before: &Scan,
    holes: &[std::ops::Range<u64>],
    folded: &Folded,
) -> io::Result<()> {
    let head = format!("{}{}", head_comment(&before.source.text), register_write::write(register));
    disk::write_all(handle, head.as_bytes())?;
    let mut rest = rest?;
    let mut at = before.register_len;
    for hole in holes {
        disk::copy(&mut *rest, handle, hole.start - at)?;
        io::copy(&mut io::Read::take(&mut *rest, hole.end - hole.start), &mut io::sink())?;
        at = hole.end;
    }
    disk::copy(&mut *rest, handle, u64::MAX)?;
    let line_end = if before.tail == scan::Tail::Whole { "" } else { "\n" };
    // The comments that stood between the register and the first entry belong to the register's bytes and went with it.
    let line = format!("{line_end}{MARK}{}\n", folded.encode(&scan::hash(head.as_bytes())));
    disk::write_all(handle, line.as_bytes())
}

/// The comment lines a person put at the very top.
fn head_comment(text: &str) -> String {
    text.lines().take_while(|l| l.starts_with('#')).flat_map(|l| [l.trim_end(), "\n"]).collect()
}

/// Whether the new file is the old one but for what was taken in.
fn same(before: &Scan, after: &Scan, register: &Register, gone: &HashSet<Id>) -> Result<(), String> {
    if after.register.as_ref() != Some(register) {
        return Err(match after.findings.first() {
            Some(f) => f.diagnostic.message.clone(),
            None => "the register reads back differently".to_owned(),
        });
    }
    let kept = before.entries.iter().filter(|e| !gone.contains(&e.id));
    if !kept.eq(after.entries.iter()) || after.counts.broken > 0 || !after.register_marked {
        return Err("the entries read back differently".to_owned());
    }
    if !gone.iter().chain(&before.folded).all(|id| after.folded.binary_search(id).is_ok()) {
        return Err("the list of what was taken in reads back differently".to_owned());
    }
    let limit = Limits::REGISTER.bytes as u64;
    if after.register_len > limit { Err(format!("the register would be longer than {limit} bytes")) } else { Ok(()) }
}
