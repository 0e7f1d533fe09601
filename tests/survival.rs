//! What a power cut, a damaged or full disk, a write-protected place or a second person may cost: the real program is
//! killed, hindered and run on damaged files, and nothing that it acknowledged is lost or silently left out.
#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, missing_docs)]

#[path = "pty/place.rs"]
mod place;
#[path = "pty/term.rs"]
mod term;

use std::collections::BTreeSet;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::process::{Child, ChildStdin, ChildStdout, Stdio};
use std::time::Duration;

use headround::record::scan;
use headround::round::words::entry_words;
use place::{PROGRAM, Place, Ran, wait};
use term::Term;

const SITE: &str = "quay.site.yaml";
const WALK: [&str; 3] = ["walk", SITE, "--plain"];

/// Numbers that look like chance and are the same in every run (a linear congruence; constants from memory, after Knuth).
struct Chance(u64);

impl Chance {
    fn below(&mut self, bound: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % bound
    }
}

fn lines_of(text: &[u8]) -> usize {
    text.iter().filter(|b| **b == b'\n').count()
}

// ---- killed ----

#[test]
fn whatever_was_acknowledged_is_in_the_file_after_a_kill_at_any_moment() {
    const ROUNDS: u64 = 40;
    let place = Place::with_site();
    let mut chance = Chance(7);
    let mut acknowledged = BTreeSet::new();
    let (mut busy, mut written) = (0, 1);
    for round in 0..ROUNDS {
        let mut child = place.command(&WALK).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
        let mut typed = child.stdin.take().unwrap();
        let shown = child.stdout.take().unwrap();
        // More than the round will have time for; the notes tell the entries apart.
        let orders: String = (0..300).map(|n| format!("n round {round} line {n}\n")).collect();
        let typist = std::thread::spawn(move || drop(typed.write_all(orders.as_bytes())));
        let (ready, first_line) = std::sync::mpsc::channel();
        let reader = std::thread::spawn(move || {
            let told = BufReader::new(shown).lines().map_while(Result::ok).inspect(move |_| {
                // Nobody listens any more after the first.
                let _ = ready.send(());
            });
            let recorded =
                |line: String| line.split_once("Recorded: ").map(|(_, what)| what.trim_end_matches('.').to_owned());
            told.filter_map(recorded).collect::<Vec<_>>()
        });
        // Every fourth round is cut off while the program starts, the others while it writes.
        if round % 4 > 0 {
            first_line.recv().unwrap();
        }
        std::thread::sleep(Duration::from_micros(chance.below(40_000)));
        // SIGKILL: nothing of the program runs any more.
        child.kill().unwrap();
        wait(&mut child, "killed");
        typist.join().unwrap();
        let told = reader.join().unwrap();
        busy += u64::from(!told.is_empty());
        acknowledged.extend(told);

        let scan = place.scan(SITE);
        assert_eq!(scan.counts.broken, 0, "round {round}: {:?}", scan.findings);
        let there: BTreeSet<String> = scan.entries.iter().map(entry_words).collect();
        let lost: Vec<_> = acknowledged.difference(&there).collect();
        assert!(lost.is_empty(), "round {round}: {lost:?}");
        assert!(there.len() >= written, "round {round}: entries of earlier rounds are gone");
        written = there.len();
    }
    assert!(busy > ROUNDS / 2, "only {busy} of {ROUNDS} rounds came to record anything");
    let check = place.run(&["check", SITE]);
    assert_eq!(check.code, Some(0), "{check:?}");
    let status = place.run(&["status", SITE, "--json"]);
    assert_eq!(status.code, Some(0), "{status:?}");
}

#[test]
fn whatever_the_screen_counted_is_in_the_file_after_a_kill() {
    let place = Place::with_site();
    let mut chance = Chance(11);
    let (mut before, mut most) = (0, 0);
    // Nine in all: a number of one digit is never seen half drawn.
    for _ in 0..3 {
        let mut term = Term::start(&place, &["walk", SITE], 100, 30);
        term.see("Enter walk").keys("Enter Tab").see("Esc/q leave");
        // A defect each, on the next open head: letters and digits that never repeat.
        for _ in 0..3 {
            term.keys("p1t Tab");
        }
        std::thread::sleep(Duration::from_millis(chance.below(60)));
        let counted = counted(&term.text());
        term.kill_9();
        let there = place.entries(SITE).len();
        assert!(there >= counted && counted >= before, "{there} entries, {counted} on the screen, {before} before");
        before = there;
        most = most.max(counted);
    }
    assert!(most > 0, "nothing was ever counted on the screen");
}

/// The number before `/115` in the screen's first line; none while it is being drawn.
fn counted(screen: &str) -> usize {
    let line = screen.lines().next().unwrap_or_default();
    let before = line.split("/115").next().unwrap_or_default();
    before.rsplit(' ').next().and_then(|n| n.parse().ok()).unwrap_or(0)
}

// ---- damaged ----

/// A walked site: its bytes, where its first entry starts, and its entries in words.
fn walked() -> (Place, Vec<u8>, usize) {
    let place = Place::with_site();
    let orders = "s\ns\np 1 t: white drops\nnext\nleak seal heavy\nnext\nv dirty\nnext\nx locked: no key\nn roof hatch open\nsweep line\nyes\nu\ny\nq\n";
    assert_eq!(place.typed(&WALK, orders).code, Some(0));
    let bytes = place.bytes(SITE);
    let first = place::REGISTER.len();
    (place, bytes, first)
}

fn check(place: &Place) -> (Ran, serde_json::Value) {
    let ran = place.run(&["check", SITE, "--json"]);
    let found = ran.json()[0].clone();
    (ran, found)
}

#[test]
fn a_file_cut_anywhere_keeps_every_whole_entry_and_can_be_walked_on() {
    let (place, bytes, first) = walked();
    let whole = lines_of(&bytes[first..]);
    assert!(whole > 9, "{whole}");
    let begun = first + place::BEGUN.len();
    let mut chance = Chance(3);
    for _ in 0..25 {
        let cut = begun + usize::try_from(chance.below((bytes.len() - begun) as u64)).unwrap();
        place.write(SITE, &bytes[..cut]);
        let kept = lines_of(&bytes[first..cut]);
        let (ran, found) = check(&place);
        // A line that only lacks its line end is whole; its sum says so.
        let entries = usize::try_from(found["entries"].as_u64().unwrap()).unwrap();
        assert!(entries == kept || (entries == kept + 1 && bytes[cut] == b'\n'), "{cut}: {entries} of {kept}");
        assert_eq!(ran.code, Some(0), "{cut}: {ran:?}");
        let torn = bytes[cut - 1] != b'\n' && entries == kept;
        assert_eq!(found["warnings"].as_u64() > Some(0), torn, "{cut}: {ran:?}");
        // One goes on: the rest of the torn line is kept beside the file, and the next entry stands on a line of its own.
        let went_on = place.typed(&WALK, "n went on\nq\n");
        assert_eq!(went_on.code, Some(0), "{cut}: {went_on:?}");
        assert!(went_on.out.contains("went on"), "{cut}: {went_on:?}");
        let (ran, found) = check(&place);
        assert_eq!((ran.code, found["entries"].as_u64()), (Some(0), Some(entries as u64 + 1)), "{cut}: {ran:?}");
        let beside: Vec<_> = std::fs::read_dir(place.folder())
            .unwrap()
            .map(|e| e.unwrap().path())
            .filter(|p| p.to_string_lossy().contains(".torn"))
            .collect();
        assert_eq!(beside.len(), usize::from(torn), "{cut}: {beside:?}");
        for path in beside {
            let start = bytes[..cut].iter().rposition(|b| *b == b'\n').unwrap() + 1;
            assert_eq!(std::fs::read(&path).unwrap(), &bytes[start..cut], "{cut}");
            assert!(went_on.err.contains(path.file_name().unwrap().to_str().unwrap()), "{cut}: {went_on:?}");
            std::fs::remove_file(path).unwrap();
        }
    }
    for cut in [1, 40, first / 2, first - 2] {
        place.write(SITE, &bytes[..cut]);
        let (ran, found) = check(&place);
        assert_eq!((ran.code, &found["sound"]), (Some(2), &false.into()), "{cut}: {ran:?}");
        assert!(ran.tells(&["error", SITE]), "{cut}: {ran:?}");
    }
}

#[test]
fn a_flipped_bit_in_an_entry_is_told_with_its_line_and_every_other_entry_is_used() {
    let (place, bytes, first) = walked();
    // The round's beginning was written by hand and has no sum: what guards the others begins behind it.
    let first = first + bytes[first..].iter().position(|b| *b == b'\n').unwrap() + 1;
    let whole = lines_of(&bytes[first..]);
    let mut chance = Chance(5);
    let whole_file = scan::scan(&bytes[..], SITE).unwrap().entries;
    for _ in 0..40 {
        let at = first + usize::try_from(chance.below((bytes.len() - first) as u64)).unwrap();
        let mut bad = bytes.clone();
        bad[at] ^= 1 << chance.below(8);
        place.write(SITE, &bad);
        let (ran, found) = check(&place);
        let line = lines_of(&bytes[..at]) + 1;
        let told = ran.err.contains(&format!("{SITE}:{line}:")) || ran.err.contains(&format!("line {line}"));
        let last_byte = at + 1 == bytes.len();
        // The very last line may be a torn one; that is a warning, and the line is kept.
        assert!(ran.code == Some(2) || (last_byte && found["warnings"].as_u64() > Some(0)), "{at}: {ran:?}");
        assert!(told || last_byte, "{at}, line {line}: {ran:?}");
        let entries = usize::try_from(found["entries"].as_u64().unwrap()).unwrap();
        // A flipped line end damages two lines.
        let most_lost = if bytes[at] == b'\n' { 2 } else { 1 };
        assert!(entries + most_lost > whole, "{at}: {entries} of {whole}: {ran:?}");
        // Nothing is believed that nobody wrote.
        for entry in scan::scan(&bad[..], SITE).unwrap().entries {
            assert!(whole_file.contains(&entry), "{at}: {entry:?}");
        }
        // And nothing is built on it.
        if ran.code == Some(2) {
            let walk = place.typed(&WALK, "n on sand\nq\n");
            assert_eq!(walk.code, Some(2), "{at}: {walk:?}");
            assert_eq!(place.bytes(SITE), bad, "{at}: a damaged file was changed");
        }
    }
}

// ---- hindered ----

/// Holds that what a full disk left behind is whole up to what was acknowledged, and that one can go on with room.
fn full_disk_did_no_harm(place: &Place, ran: &Ran, file: &str) {
    let acknowledged = ran.out.matches("Recorded: ").count();
    assert!(acknowledged > 0, "{ran:?}");
    assert!(ran.out.contains("The entry was not recorded"), "what happened: {ran:?}");
    assert!(ran.out.to_lowercase().contains("make room"), "what to do: {ran:?}");
    let scan = place.scan(file);
    assert_eq!(scan.counts.broken, 0, "{:?}", scan.findings);
    assert!(scan.entries.len() > acknowledged, "{} entries, {acknowledged} acknowledged", scan.entries.len());
    let went_on = place.typed(&["walk", file, "--plain"], "n went on\nq\n");
    assert_eq!(went_on.code, Some(0), "{went_on:?}");
    let check = place.run(&["check", file, "--json"]);
    assert_eq!(check.code, Some(0), "{check:?}");
    assert!(check.json()[0]["entries"].as_u64().unwrap() > acknowledged as u64 + 1);
}

fn many_notes() -> String {
    (0..400).map(|n| format!("n {n} {}\n", "drip ".repeat(60))).collect::<String>() + "q\n"
}

#[test]
fn a_file_that_may_not_grow_loses_nothing_acknowledged() {
    let place = Place::with_site();
    // The system refuses to let files grow beyond 64 blocks, after taking a part of the last write.
    let ran = place.shell(&format!("trap '' XFSZ; ulimit -f 64; exec \"$PROGRAM\" walk {SITE} --plain"), &many_notes());
    full_disk_did_no_harm(&place, &ran, SITE);
}

#[test]
fn a_full_disk_loses_nothing_acknowledged() {
    let place = Place::with_site();
    std::fs::create_dir(place.path("disk")).unwrap();
    // A disk of 64 kB in a name space of its own: it is gone with the shell.
    let script = format!(
        "mount -t tmpfs -o size=64k none disk && cp {SITE} disk/ || exit 77
         \"$PROGRAM\" walk disk/{SITE} --plain; code=$?
         cp disk/{SITE} left.site.yaml; exit $code"
    );
    let mut command = place.other("unshare", &["--mount", "--map-root-user", "/bin/sh", "-c", &script]);
    command.env("PROGRAM", PROGRAM);
    let can =
        place.other("unshare", &["--mount", "--map-root-user", "true"]).output().is_ok_and(|o| o.status.success());
    if !can {
        println!("left out: no disk can be mounted here");
        return;
    }
    let ran = place::run(command, &many_notes());
    if ran.code == Some(77) {
        println!("left out: no disk can be mounted here: {}", ran.err);
        return;
    }
    full_disk_did_no_harm(&place, &ran, "left.site.yaml");
}

#[test]
fn a_site_that_cannot_be_written_can_be_read_and_says_what_to_do() {
    use std::os::unix::fs::PermissionsExt as _;
    let rights = |place: &Place, name: &str, mode: u32| {
        std::fs::set_permissions(place.path(name), std::fs::Permissions::from_mode(mode)).unwrap();
    };
    // Root may write everywhere; without its powers it is held to the rights as anybody.
    let root = std::fs::metadata("/proc/self").is_ok_and(|m| std::os::unix::fs::MetadataExt::uid(&m) == 0);
    let lower = if root { "setpriv --bounding-set=-all --inh-caps=-all" } else { "" };
    let place = Place::new();
    if place.shell(&format!("{lower} true"), "").code != Some(0) {
        println!("left out: the rights of root cannot be lowered here");
        return;
    }
    std::fs::create_dir(place.path("folder")).unwrap();
    let site = "folder/quay.site.yaml";
    place.write(site, format!("{}{}", place::REGISTER, place::BEGUN));
    for (what, name, mode, back) in [("file", site, 0o444, 0o644), ("folder", "folder", 0o555, 0o755)] {
        let _ = std::fs::remove_file(place.path(&format!("{site}.lock")));
        rights(&place, name, mode);
        let before = place.bytes(site);
        let walk = place.shell(&format!("{lower} \"$PROGRAM\" walk {site} --plain"), "n lost\nq\n");
        assert_eq!(walk.code, Some(2), "{what}: {walk:?}");
        assert!(
            walk.tells(&["error", site, "cannot be written", "copy the file to where you may write"]),
            "{what}: {walk:?}"
        );
        let status = place.shell(&format!("{lower} \"$PROGRAM\" status {site}"), "");
        assert_eq!((status.code, status.err.as_str()), (Some(0), ""), "{what}: {status:?}");
        let report = place.shell(&format!("{lower} \"$PROGRAM\" report {site} --to text"), "");
        assert_eq!(report.code, Some(0), "{what}: {report:?}");
        assert_eq!(place.bytes(site), before, "{what}");
        rights(&place, name, back);
    }
    assert_eq!(place.typed(&["walk", site, "--plain"], "n kept\nq\n").code, Some(0));
}

/// A plain walk that holds the file, standing at its prompt.
fn holding(place: &Place) -> (Child, ChildStdin, ChildStdout) {
    let mut child = place.command(&WALK).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    let typed = child.stdin.take().unwrap();
    let mut shown = child.stdout.take().unwrap();
    let mut seen = Vec::new();
    let mut byte = [0];
    while !seen.ends_with(b"> ") && shown.read(&mut byte).unwrap() == 1 {
        seen.push(byte[0]);
    }
    assert!(seen.ends_with(b"> "), "{}", String::from_utf8_lossy(&seen));
    (child, typed, shown)
}

#[test]
fn a_second_instance_is_told_who_has_the_file_and_may_read_it() {
    let place = Place::with_site();
    let (mut first, typed, shown) = holding(&place);
    let who = format!("ines on quay (process {}) since", first.id());
    for command in [&WALK[..], &["signoff", SITE, "--name", "X", "--licence", "Y", "--yes"], &["tidy", SITE]] {
        let second = place.typed(command, "n second\nq\n");
        assert_eq!(second.code, Some(2), "{command:?}: {second:?}");
        assert!(second.tells(&[SITE, &who]), "{command:?}: {second:?}");
    }
    assert_eq!(place.run(&["status", SITE]).code, Some(0));
    let mut term = Term::start(&place, &["walk", SITE], 100, 30);
    term.see(&who).see("read-only").keys("Esc").see("Enter walk").keys("Enter Space").see("Nothing can be recorded");
    // A lock's file that a crash left behind keeps nobody out.
    first.kill().unwrap();
    wait(&mut first, "the first");
    drop((typed, shown));
    let third = place.typed(&WALK, "n third\nq\n");
    assert_eq!(third.code, Some(0), "{third:?}");
    assert_eq!(place.entries(SITE), ["note on hall/1.1: third"]);
}

#[test]
fn a_file_from_a_newer_program_is_left_alone() {
    let place = Place::with_site();
    let newer = place::REGISTER.replace("headround site 1", "headround site 2") + place::BEGUN;
    place.write(SITE, &newer);
    for command in [&WALK[..], &["status", SITE], &["check", SITE], &["rulings", SITE], &["tidy", SITE]] {
        let ran = place.typed(command, "n x\nq\n");
        assert_eq!(ran.code, Some(2), "{command:?}: {ran:?}");
        assert!(ran.tells(&["newer", &format!("{SITE}:1:")]), "{command:?}: {ran:?}");
    }
    assert_eq!(place.bytes(SITE), newer.as_bytes());
}
