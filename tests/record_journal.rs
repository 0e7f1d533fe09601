//! Opening and appending on a real disk, and on one that fails on purpose: nothing acknowledged is lost, nothing is silently dropped.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod record_support;

use std::io::ErrorKind;
use std::path::Path;
use std::sync::Arc;

use headround::record::failing::{Call, Failing, Fault, When};
use headround::record::journal::{AppendError, Journal, Mode, OpenError, Opened, ReadOnly, open, open_on};
use headround::record::save::{create_new, create_new_on};
use headround::record::scan::Tail;
use headround::round::entry::Entry;
use record_support::*;

fn writable(path: &Path) -> (Opened2, Journal) {
    let opened = open(path, Mode::Write, &holder("ines")).expect("opens");
    (
        Opened2 { entries: opened.entries, notices: opened.notices.iter().map(ToString::to_string).collect() },
        opened.writable.expect("writable"),
    )
}

struct Opened2 {
    entries: Vec<Entry>,
    notices: Vec<String>,
}

fn failing(path: &Path, when: When, fault: Fault) -> (Failing, Result<Opened, OpenError>) {
    let disk = Failing::new(when, fault);
    let opened = open_on(Arc::new(disk.clone()), path, Mode::Write, &holder("ines"));
    (disk, opened)
}

fn reopened(site: &Site) -> Opened {
    open(&site.path, Mode::Write, &holder("ines")).expect("opens")
}

#[test]
fn what_is_appended_is_found_again_byte_for_byte_as_documented() {
    let (mut expected, text) = file(5);
    let site = Site::new(REGISTER);
    {
        let (opened, mut journal) = writable(&site.path);
        assert!(opened.entries.is_empty() && opened.notices.is_empty());
        for n in 1..=3 {
            journal.append(&mut entry(n)).expect("recorded");
        }
        let mut two = [entry(4), entry(5)];
        journal.append_all(&mut two).expect("recorded");
        assert_eq!(two, expected[3..]);
        journal.append_all(&mut []).expect("nothing to do");
        assert_eq!(journal.last_id(), Some(id(5)));
    }
    assert_eq!(String::from_utf8(site.bytes()).expect("text"), text);
    let opened = reopened(&site);
    assert_eq!(opened.entries, expected);
    assert!(opened.notices.is_empty());
    // The next session goes on with the chain and says nothing of the register that has not changed.
    let mut next = entry(6);
    opened.writable.expect("writable").append(&mut next).expect("recorded");
    assert_eq!(next.prev(), Some(id(3)));
    expected.push(next);
    assert_eq!(read(site.bytes()).entries, expected);
    assert_eq!(String::from_utf8(site.bytes()).expect("text").matches("\"register\"").count(), 1);
    assert_eq!(site.names(), ["quay.site.yaml"]);
}

#[test]
fn a_torn_last_line_loses_only_itself_and_is_kept_beside_the_file() {
    let (entries, text) = file(3);
    let cut = text.len() - 30;
    let site = Site::new(&text[..cut]);
    // Looking changes nothing.
    let looked = open(&site.path, Mode::Read, &holder("osk")).expect("opens");
    assert_eq!(looked.entries, entries[..2]);
    assert!(matches!(looked.writable, Err(ReadOnly::Asked(_))));
    assert_eq!(site.bytes(), text.as_bytes()[..cut]);
    let opened = reopened(&site);
    assert_eq!(opened.entries, entries[..2]);
    let last_line = text[..cut].rfind('\n').expect("a line end") + 1;
    assert_eq!(opened.notices.len(), 1);
    let shown = site.path.display();
    assert_eq!(
        opened.notices[0].to_string(),
        format!(
            "{shown}:14:1: warning: the last line is unfinished ({} bytes): writing it was cut off, so it was never acknowledged",
            cut - last_line
        )
    );
    assert!(opened.notices[0].help.as_deref().expect("help").contains("quay.site.yaml.torn-1'"));
    assert_eq!(
        std::fs::read(site.folder.path().join("quay.site.yaml.torn-1")).expect("kept"),
        text.as_bytes()[last_line..cut]
    );
    assert_eq!(site.bytes(), text.as_bytes()[..last_line]);
    let mut again = entry(3);
    opened.writable.expect("writable").append(&mut again).expect("recorded");
    assert_eq!(site.bytes(), text.as_bytes());
}

#[test]
fn every_cut_can_be_written_after_and_loses_nothing_that_was_whole() {
    let (entries, text) = file(3);
    for cut in REGISTER.len()..text.len() {
        let site = Site::new(&text.as_bytes()[..cut]);
        let opened = reopened(&site);
        let kept = opened.entries.clone();
        assert_eq!(kept, entries[..kept.len()]);
        let mut late = entry(9);
        opened.writable.unwrap_or_else(|e| panic!("cut at {cut}: {e}")).append(&mut late).expect("recorded");
        let after = read(site.bytes());
        assert_eq!(after.entries.len(), kept.len() + 1, "cut at {cut}");
        assert_eq!(after.entries[..kept.len()], kept);
        assert_eq!((told(&after), after.tail), (vec![], Tail::Whole), "cut at {cut}");
    }
}

#[test]
fn a_missing_line_end_is_completed_in_the_same_write_as_the_next_entry() {
    let (entries, text) = file(2);
    let site = Site::new(text.trim_end());
    let opened = reopened(&site);
    assert_eq!(opened.entries, entries);
    assert_eq!(site.bytes(), text.trim_end().as_bytes(), "opening alone writes nothing");
    let mut next = entry(3);
    opened.writable.expect("writable").append(&mut next).expect("recorded");
    assert_eq!(site.bytes(), file(3).1.as_bytes());
    // A register that a person left without its last line end.
    let site = Site::new(REGISTER.trim_end());
    let mut first = entry(1);
    reopened(&site).writable.expect("writable").append(&mut first).expect("recorded");
    assert_eq!(site.bytes(), file(1).1.as_bytes());
}

#[test]
fn a_broken_line_opens_the_file_for_reading_only_and_changes_nothing() {
    let (entries, text) = file(3);
    let bad = text.replacen("roof", "r00f", 1);
    let site = Site::new(&bad);
    let opened = reopened(&site);
    assert_eq!(opened.entries, [entries[0].clone(), entries[2].clone()]);
    let why = opened.writable.expect_err("read-only").to_string();
    assert!(why.contains("quay.site.yaml' has 1 broken line"), "{why}");
    assert_eq!(opened.notices.last().expect("told").code, "read-only");
    assert_eq!((site.bytes(), site.names()), (bad.into_bytes(), vec!["quay.site.yaml".to_owned()]));
}

#[test]
fn a_torn_tail_is_left_alone_where_the_file_is_not_opened_for_writing() {
    let (_, text) = file(3);
    let bad = text[..text.len() - 9].replacen("roof", "r00f", 1);
    let site = Site::new(&bad);
    assert!(reopened(&site).writable.is_err());
    assert_eq!((site.bytes(), site.names().len()), (bad.into_bytes(), 1));
}

#[test]
fn a_newer_format_and_a_register_that_cannot_be_read_are_never_written() {
    let (_, text) = file(2);
    for (text, part) in [
        (text.replace("site 1\n", "site 2\n"), "is of a newer format than this program"),
        (text.replace("areas:", "aeras:"), "cannot be used as it stands"),
        (String::new(), "cannot be used as it stands"),
        ("\0".repeat(500), "cannot be used as it stands"),
        ("not a site file at all".to_owned(), "cannot be used as it stands"),
    ] {
        let site = Site::new(&text);
        let opened = reopened(&site);
        assert!(opened.register.is_none());
        let why = opened.writable.expect_err("read-only").to_string();
        assert!(why.contains(part) && why.contains("quay.site.yaml"), "{why}");
        assert_eq!((site.bytes(), site.names().len()), (text.into_bytes(), 1));
        assert!(!opened.notices.is_empty());
    }
}

#[test]
fn a_missing_file_and_a_folder_are_named() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("none.site.yaml");
    let why = open(&path, Mode::Write, &holder("ines")).expect_err("missing").to_string();
    assert_eq!(
        why,
        format!("there is no file '{}'; start one with 'headround new', or check the name", path.display())
    );
    assert_eq!(std::fs::read_dir(folder.path()).expect("a folder").count(), 0, "not even a lock file is made");
    let why = open(folder.path(), Mode::Read, &holder("ines")).expect_err("a folder");
    assert!(matches!(why, OpenError::Unreadable { .. }), "{why}");
}

#[test]
fn a_second_instance_reads_and_is_told_who_writes() {
    let (entries, text) = file(2);
    let site = Site::new(&text);
    let (_, journal) = writable(&site.path);
    let second = open(&site.path, Mode::Write, &holder("osk")).expect("opens");
    assert_eq!(second.entries, entries);
    let why = second.writable.expect_err("in use").to_string();
    assert!(why.ends_with("is open for writing already: ines on tablet-2 (process 4711) since 2026-11-25 09:14; close it there, or go on here without writing"), "{why}");
    drop(journal);
    // What the first left in the lock file means nothing without its lock.
    let lock = site.folder.path().join("quay.site.yaml.lock");
    assert!(std::fs::read_to_string(&lock).expect("left").starts_with("ines on tablet-2"));
    assert!(open(&site.path, Mode::Write, &holder("osk")).expect("opens").writable.is_ok());
    assert!(std::fs::read_to_string(&lock).expect("left").starts_with("osk on tablet-2"));
}

#[cfg(unix)]
#[test]
fn a_link_to_the_file_shares_its_lock() {
    let site = Site::new(file(1).1);
    let link = site.folder.path().join("link.site.yaml");
    std::os::unix::fs::symlink(&site.path, &link).expect("a link");
    let (_, _journal) = writable(&site.path);
    let second = open(&link, Mode::Write, &holder("osk")).expect("opens");
    assert!(matches!(second.writable, Err(ReadOnly::InUse { .. })));
}

#[test]
fn a_folder_or_file_that_may_not_be_written_is_read() {
    let (entries, text) = file(2);
    for call in [Call::Lock, Call::Append] {
        let site = Site::new(&text);
        let (_, opened) = failing(&site.path, When::Every(call), Fault::Error(ErrorKind::PermissionDenied));
        let opened = opened.expect("reads");
        assert_eq!(opened.entries, entries);
        let why = opened.writable.expect_err("read-only").to_string();
        assert!(
            why.contains("quay.site.yaml' cannot be written: ") && why.contains("the entries can be read"),
            "{why}"
        );
        assert_eq!(opened.notices.last().expect("told").code, "read-only");
    }
    // As the system itself says it: a folder stands where the lock file should be made.
    let site = Site::new(&text);
    std::fs::create_dir(site.folder.path().join("quay.site.yaml.lock")).expect("a folder");
    let opened = reopened(&site);
    assert_eq!(opened.entries, entries);
    assert!(opened.writable.expect_err("read-only").to_string().contains("quay.site.yaml.lock"));
}

#[test]
fn a_read_only_file_is_read_and_its_torn_tail_left() {
    let (entries, text) = file(2);
    let site = Site::new(&text[..text.len() - 9]);
    let (_, opened) = failing(&site.path, When::Every(Call::Append), Fault::Error(ErrorKind::ReadOnlyFilesystem));
    assert_eq!(opened.expect("reads").entries, entries[..1]);
    assert_eq!((site.bytes().len(), site.names().len()), (text.len() - 9, 1));
}

#[test]
fn another_programs_change_is_noticed_before_anything_is_written() {
    let (_, text) = file(2);
    let other = line_of(7);
    type Change = fn(&Path, &str);
    let changes: [(&str, Change); 4] = [
        ("longer", |p, other| {
            std::fs::write(p, format!("{}{other}", std::fs::read_to_string(p).expect("read"))).expect("written")
        }),
        ("shorter", |p, _| std::fs::write(p, REGISTER).expect("written")),
        ("another file", |p, _| {
            let copy = p.with_extension("copy");
            std::fs::copy(p, &copy).expect("copied");
            std::fs::rename(copy, p).expect("renamed");
        }),
        ("the same length", |p, _| {
            std::thread::sleep(std::time::Duration::from_millis(20));
            std::fs::write(p, std::fs::read_to_string(p).expect("read").replace("155 F", "165 F")).expect("written");
        }),
    ];
    for (what, change) in changes {
        let site = Site::new(&text);
        let (_, mut journal) = writable(&site.path);
        change(&site.path, &other);
        let theirs = site.bytes();
        for _ in 0..2 {
            let why = journal.append(&mut entry(8)).expect_err(what);
            assert!(
                matches!(&why, AppendError::Changed(_)) && why.to_string().contains("nothing was lost"),
                "{what}: {why}"
            );
        }
        assert_eq!(site.bytes(), theirs, "{what}");
        drop(journal);
        let opened = reopened(&site);
        opened.writable.expect("writable").append(&mut entry(8)).expect("recorded");
    }
    let site = Site::new(&text);
    let (_, mut journal) = writable(&site.path);
    std::fs::remove_file(&site.path).expect("removed");
    let why = journal.append(&mut entry(8)).expect_err("gone").to_string();
    assert!(why.contains("quay.site.yaml"), "{why}");
}

fn line_of(n: u128) -> String {
    format!("--- {}\n", entry(n).to_json())
}

#[test]
fn an_id_that_is_not_later_is_refused_and_the_journal_goes_on() {
    let site = Site::new(file(3).1);
    let (_, mut journal) = writable(&site.path);
    let before = site.bytes();
    for n in [1, 3] {
        let why = journal.append(&mut entry(n)).expect_err("not later").to_string();
        assert!(why.contains(&format!("its id {} is not later than {}", id(n), id(3))), "{why}");
    }
    let why = journal.append_all(&mut [entry(5), entry(4)]).expect_err("not growing");
    assert!(matches!(why, AppendError::NotLater { .. }));
    assert_eq!(site.bytes(), before);
    journal.append(&mut entry(4)).expect("recorded");
}

#[test]
fn what_would_not_read_back_or_is_too_long_is_refused_and_the_journal_goes_on() {
    let site = Site::new(REGISTER);
    let (_, mut journal) = writable(&site.path);
    let mut nameless = entry(1);
    nameless.by = " ".into();
    assert!(matches!(journal.append(&mut nameless), Err(AppendError::Unreadable { .. })));
    let mut long = entry_saying(1, "ines", "2026", &format!(r#""note":{{"text":"{}"}}"#, "x".repeat(1 << 20)));
    let why = journal.append(&mut long).expect_err("too long").to_string();
    assert!(why.contains("shorten the note"), "{why}");
    assert_eq!(site.bytes(), REGISTER.as_bytes());
    journal.append(&mut entry(1)).expect("recorded");
}

/// Opens, appends three times; returns how many were acknowledged and what was said.
fn session(disk: &Failing, path: &Path) -> (usize, Vec<String>) {
    let mut said = Vec::new();
    let mut acknowledged = 0;
    match open_on(Arc::new(disk.clone()), path, Mode::Write, &holder("ines")) {
        Err(e) => said.push(e.to_string()),
        Ok(opened) => match opened.writable {
            Err(e) => said.push(e.to_string()),
            Ok(mut journal) => {
                for n in 11..=13 {
                    match journal.append(&mut entry(n)) {
                        Ok(()) => acknowledged += 1,
                        Err(e) => said.push(e.to_string()),
                    }
                }
            }
        },
    }
    (acknowledged, said)
}

#[test]
fn a_disk_that_fails_at_any_call_loses_nothing_acknowledged_and_names_the_path() {
    let (entries, text) = file(3);
    let torn = &text[..text.len() - 30];
    let faults = [
        Fault::Error(ErrorKind::StorageFull),
        Fault::Error(ErrorKind::Other),
        Fault::Error(ErrorKind::PermissionDenied),
        Fault::Short(0),
        Fault::Short(40),
        Fault::Partial(1),
        Fault::Partial(150),
    ];
    for (start, whole) in [(text.as_str(), 3), (torn, 2), (text.trim_end(), 3)] {
        let count = Failing::new(When::Never, faults[0]);
        let site = Site::new(start);
        assert_eq!(session(&count, &site.path).0, 3);
        for n in 0..count.calls() {
            for fault in faults {
                for when in [When::At(n), When::From(n)] {
                    let site = Site::new(start);
                    let disk = Failing::new(when, fault);
                    let (acknowledged, said) = session(&disk, &site.path);
                    let place = format!("{when:?} {fault:?} {said:?}");
                    assert!(said.iter().all(|s| s.contains("quay.site.yaml")), "{place}");
                    if acknowledged < 3 {
                        assert!(!said.is_empty(), "{place}");
                    }
                    // What was there and what was acknowledged is there, in order, and what is there besides was asked for.
                    let opened = reopened(&site);
                    assert_eq!(opened.entries[..whole], entries[..whole], "{place}");
                    let added: Vec<_> = opened.entries[whole..].iter().map(|e| e.id).collect();
                    assert!(added.len() >= acknowledged, "{place}");
                    assert_eq!(added, [id(11), id(12), id(13)][..added.len()], "{place}");
                    assert!(opened.counts.broken == 0 && opened.writable.is_ok(), "{place} {:?}", opened.notices);
                    if start == torn {
                        let kept: Vec<_> = site.names().into_iter().filter(|n| n.contains(".torn-")).collect();
                        let tail = &torn.as_bytes()[torn.rfind('\n').expect("one") + 1..];
                        let found =
                            kept.iter().any(|n| std::fs::read(site.folder.path().join(n)).expect("kept") == tail);
                        assert!(found, "{place}: the torn bytes are gone");
                    }
                }
            }
        }
    }
}

#[test]
fn after_a_failed_append_the_journal_refuses_and_says_why() {
    for fault in [Fault::Short(60), Fault::Partial(60), Fault::Error(ErrorKind::StorageFull)] {
        let site = Site::new(file(2).1);
        let (_, opened) = failing(&site.path, When::Every(Call::Write), fault);
        let mut journal = opened.expect("opens").writable.expect("writable");
        let mut lost = entry(3);
        let first = journal.append(&mut lost).expect_err("fails").to_string();
        assert!(
            first.starts_with(&format!("the entry was not recorded: writing to '{}' failed: ", site.path.display())),
            "{first}"
        );
        let second = journal.append(&mut entry(4)).expect_err("refuses").to_string();
        assert!(second.contains("nothing more is recorded") && second.contains("open the file again"), "{second}");
        drop(journal);
        let opened = reopened(&site);
        assert_eq!(opened.entries.len(), 2);
        // The same entry can be recorded then.
        opened.writable.expect("writable").append(&mut lost).expect("recorded");
        assert_eq!(read(site.bytes()).entries, file(3).0);
    }
}

#[test]
fn an_entry_that_was_written_but_not_synced_is_not_acknowledged() {
    let site = Site::new(file(2).1);
    let (_, opened) = failing(&site.path, When::Every(Call::Sync), Fault::Error(ErrorKind::Other));
    let mut journal = opened.expect("opens").writable.expect("writable");
    assert!(matches!(journal.append(&mut entry(3)), Err(AppendError::Disk { .. })));
    assert!(matches!(journal.append(&mut entry(4)), Err(AppendError::Poisoned { .. })));
}

#[test]
fn an_interrupted_write_is_tried_again() {
    let site = Site::new(file(2).1);
    let count = Failing::new(When::Never, Fault::Short(0));
    let opened = open_on(Arc::new(count.clone()), &site.path, Mode::Write, &holder("ines")).expect("opens");
    let before_append = count.calls();
    drop(opened);
    // The append asks for the state first, then writes.
    let disk = Failing::new(When::At(before_append + 1), Fault::Error(ErrorKind::Interrupted));
    let opened = open_on(Arc::new(disk), &site.path, Mode::Write, &holder("ines")).expect("opens");
    opened.writable.expect("writable").append(&mut entry(3)).expect("recorded");
    assert_eq!(read(site.bytes()).entries, file(3).0);
}

#[test]
fn the_disk_cannot_take_back_an_acknowledgement() {
    // The call after the sync only learns the file's state; if it fails the entry is recorded all the same.
    let site = Site::new(file(2).1);
    let count = Failing::new(When::Never, Fault::Short(0));
    let opened = open_on(Arc::new(count.clone()), &site.path, Mode::Write, &holder("ines")).expect("opens");
    let before_append = count.calls();
    drop(opened);
    let disk = Failing::new(When::At(before_append + 3), Fault::Error(ErrorKind::Other));
    let opened = open_on(Arc::new(disk), &site.path, Mode::Write, &holder("ines")).expect("opens");
    let mut journal = opened.writable.expect("writable");
    journal.append(&mut entry(3)).expect("recorded");
    assert!(matches!(journal.append(&mut entry(4)), Err(AppendError::Poisoned { .. })));
    drop(journal);
    assert_eq!(reopened(&site).entries.len(), 3);
}

#[test]
fn by_hand_entries_are_counted_and_told() {
    let site = Site::new(format!("{}{}{}", file(2).1, line_of(8), line_of(9)));
    let opened = reopened(&site);
    assert_eq!((opened.counts.by_hand, opened.entries.len()), (2, 4));
    assert!(opened.notices.iter().any(|n| n.message == "2 entries were written by hand: no checksum guards them"));
    assert!(opened.writable.is_ok());
}

#[test]
fn a_new_file_is_made_whole_and_never_over_another() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("new.site.yaml");
    create_new(&path, REGISTER.trim_end()).expect("made");
    assert_eq!(std::fs::read_to_string(&path).expect("read"), REGISTER);
    let again = create_new(&path, "format: other").expect_err("exists");
    assert_eq!(again.kind(), ErrorKind::AlreadyExists);
    assert!(again.to_string().contains("new.site.yaml"), "{again}");
    assert_eq!(std::fs::read_to_string(&path).expect("read"), REGISTER);
    assert_eq!(std::fs::read_dir(folder.path()).expect("a folder").count(), 1);
}

#[test]
fn a_new_file_on_a_failing_disk_is_whole_or_not_there() {
    let count = Failing::new(When::Never, Fault::Short(0));
    let folder = tempfile::tempdir().expect("a folder");
    create_new_on(&count, &folder.path().join("a.site.yaml"), REGISTER).expect("made");
    for n in 0..count.calls() {
        for fault in [Fault::Error(ErrorKind::StorageFull), Fault::Partial(20), Fault::Short(20)] {
            let folder = tempfile::tempdir().expect("a folder");
            let path = folder.path().join("a.site.yaml");
            let made = create_new_on(&Failing::new(When::At(n), fault), &path, REGISTER);
            match std::fs::read_to_string(&path) {
                Ok(text) => assert_eq!(text, REGISTER, "call {n} {fault:?}"),
                Err(_) => assert!(made.expect_err("told").to_string().contains("a.site.yaml")),
            }
            let litter = std::fs::read_dir(folder.path())
                .expect("a folder")
                .filter(|e| e.as_ref().expect("one").file_name() != "a.site.yaml")
                .count();
            assert_eq!(litter, 0, "call {n} {fault:?}");
        }
    }
}
