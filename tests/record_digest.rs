//! Digests of rounds, checked with the tools the format's page names, and tidying.

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
use std::process::Command;
use std::sync::Arc;

use headround::record::digest::{Lines, Verdict, collect};
use headround::record::failing::{Failing, Fault, When};
use headround::record::journal::{Journal, Mode, open, open_on};
use headround::record::tidy::{Foldable, Stay, TidyError, foldable, tidy};
use headround::round::entry::{Entry, Id, What};
use headround::trade::quantity::Temperature;
use headround::trade::register::Register;
use record_support::*;

fn journal(site: &Site) -> Journal {
    open(&site.path, Mode::Write, &holder("ines")).expect("opens").writable.expect("writable")
}

fn signoff(n: u128, site: &Site, round: &str) -> Entry {
    let d = round_digest(&String::from_utf8(site.bytes()).expect("text"), round);
    let verb = format!(
        r#""signoff":{{"name":"Ines Tidewell","date":"2026-11-25","digest":"{}","lines":{}}}"#,
        d.digest, d.lines
    );
    entry_saying(n, "ines", round, &verb)
}

/// A file with entries 1 to 4 of round 2026, one of another round between them, signed by entry 10.
fn signed() -> Site {
    let site = Site::new(REGISTER);
    let mut journal = journal(&site);
    for n in 1..=4 {
        journal.append(&mut entry(n)).expect("recorded");
    }
    journal
        .append(&mut entry_saying(5, "osk", "2025", r#""note":{"text":"of \"round\":\"2026\" not"}"#))
        .expect("recorded");
    journal.append(&mut signoff(10, &site, "2026")).expect("recorded");
    site
}

fn verdict(text: &str) -> Verdict {
    let scan = read(text);
    let sign = scan.entries.iter().find(|e| e.id == id(10)).expect("the sign-off");
    collect(text.as_bytes(), "2026").expect("reads").verify(sign).expect("a verdict")
}

const FINE: Verdict = Verdict { lines: Lines::Unchanged, later: 0, joined: 0, register_same: Some(true) };

fn text_of(site: &Site) -> String {
    String::from_utf8(site.bytes()).expect("text")
}

#[test]
fn a_signed_round_is_found_unchanged_and_later_lines_are_no_tampering() {
    let site = signed();
    assert_eq!(verdict(&text_of(&site)), FINE);
    let mut journal = journal(&site);
    let mut late = entry(11);
    late.mark(|m| m.after = Some(id(10)));
    journal.append(&mut late).expect("recorded");
    journal.append(&mut entry_saying(12, "osk", "2025", r#""note":{"text":"x"}"#)).expect("recorded");
    assert_eq!(verdict(&text_of(&site)), Verdict { later: 1, ..FINE });
}

#[test]
fn what_was_done_to_a_signed_round_is_named() {
    let text = text_of(&signed());
    let lines: Vec<&str> = text.lines().collect();
    let at = REGISTER.lines().count();
    let without = |n: usize| {
        lines.iter().enumerate().filter(|(i, _)| *i != at + n).map(|(_, l)| format!("{l}\n")).collect::<String>()
    };
    assert_eq!(verdict(&without(1)).lines, Lines::Missing(1));
    assert_eq!(verdict(&without(4)), FINE, "a line of another round is not covered");
    let line = |e: &Entry| format!("--- {}\n", headround::record::line::encode(e, None));
    // A changed line with a sum that fits again.
    let mut changed = read(&text).entries[1].clone();
    changed.at += chrono::TimeDelta::seconds(1);
    let forged = text.replace(&format!("{}\n", lines[at + 1]), &line(&changed));
    assert_ne!(forged, text);
    assert_eq!(verdict(&forged).lines, Lines::Changed);
    // A line slipped in before the sign-off, and one that merging brings in behind it.
    let slipped = line(&entry(7));
    let sign = format!("{}\n", lines[at + 5]);
    assert_eq!(verdict(&text.replace(&sign, &format!("{slipped}{sign}"))).lines, Lines::More(1));
    assert_eq!(verdict(&format!("{text}{slipped}")), Verdict { joined: 1, ..FINE });
    // The register.
    assert_eq!(verdict(&text.replace("made: 2009", "made: 1988")), Verdict { register_same: Some(false), ..FINE });
    let hash = read(REGISTER).register_hash;
    let other = read(REGISTER.replace("made: 2009", "made: 1988")).register_hash;
    let (before, after) = text.split_at(text.rfind("--- ").expect("a line"));
    let _ = &hash;
    let sign = read(&text).entries.iter().find(|e| e.id == id(10)).expect("one").clone();
    assert!(after.contains(&hash));
    let forged = format!(
        "{}--- {}\n",
        before.replace("made: 2009", "made: 1988"),
        headround::record::line::encode(&sign, Some(&other))
    );
    assert_eq!(verdict(&forged).lines, Lines::Changed, "the digest covers the register the sign-off names");
}

#[test]
fn the_order_of_lines_copies_and_line_ends_do_not_matter_to_the_digest() {
    let text = text_of(&signed());
    let at = REGISTER.len();
    let mut lines: Vec<&str> = text[at..].lines().collect();
    let shuffled = {
        let first = lines.remove(0);
        lines.insert(3, first);
        format!("{}{}\n", &text[..at], lines.join("\n"))
    };
    assert_eq!(verdict(&shuffled), FINE);
    assert_eq!(verdict(&format!("{text}{}\n", lines[0])), FINE);
    let dos = format!("{}{}", &text[..at], text[at..].replace('\n', "\r\n"));
    assert_eq!(verdict(&dos), FINE);
}

#[test]
fn entries_written_by_hand_are_covered() {
    let site = signed();
    let text = text_of(&site);
    let by_hand = format!("---\nid: {}\nat: 2026-11-25T09:14:02-05:00\nby: osk\nround: 2026\nseen: pack/1.2\n", id(6));
    let cut = text.rfind("--- ").expect("the sign-off");
    let unsigned = Site::new(format!("{}{by_hand}", &text[..cut]));
    let d = round_digest(&text_of(&unsigned), "2026");
    assert_eq!((d.lines, d.documents), (5, 1));
    let sign = signoff(10, &unsigned, "2026");
    journal(&unsigned).append(&mut sign.clone()).expect("recorded");
    assert_eq!(verdict(&text_of(&unsigned)), FINE);
    assert_eq!(verdict(&text_of(&unsigned).replace("seen: pack/1.2", "seen: pack/1.3")).lines, Lines::Changed);
    assert_eq!(verdict(&text_of(&unsigned).replace("seen: pack/1.2", "seen: 'pack/1.2'   # the same")), FINE);
}

/// The commands of docs/site-file.md, run as they stand there.
#[cfg(unix)]
#[test]
fn the_commands_of_the_format_page_give_the_digest_and_the_sum() {
    let page = include_str!("../docs/site-file.md");
    let block = |name: &str| -> String {
        let from = page.find(&format!("<!-- {name} -->\n```sh\n")).unwrap_or_else(|| panic!("no block {name}"))
            + name.len()
            + 15;
        page[from..].split("```").next().expect("an end").to_owned()
    };
    let site = signed();
    let mut journal = journal(&site);
    journal.append(&mut entry(11)).expect("recorded");
    let run = |script: &str| {
        let out = Command::new("sh").arg("-c").arg(script).current_dir(site.folder.path()).output().expect("a shell");
        assert!(out.status.success(), "{script}\n{}", String::from_utf8_lossy(&out.stderr));
        String::from_utf8(out.stdout).expect("text")
    };
    let sets = format!("FILE=quay.site.yaml ROUND=2026 SIGNOFF={}\n", id(10));
    let told = run(&format!("{sets}{}", block("digest")));
    let scan = read(site.bytes());
    let What::Signoff(sign) = &scan.entries.iter().find(|e| e.id == id(10)).expect("one").what else {
        panic!("a sign-off")
    };
    assert_eq!(format!("sha256:{}", told.split_whitespace().next().expect("a digest")), sign.digest);
    assert_eq!(
        run(&format!("{sets}{}", block("register"))).split_whitespace().next(),
        Some(scan.register_hash.as_str())
    );
    assert_eq!(run(&format!("{sets}{}", block("count"))).trim(), sign.lines.to_string());
    let sums = run(&format!("{sets}{}", block("sums")));
    assert_eq!(sums.trim(), "7 lines, 0 wrong");
    std::fs::write(&site.path, text_of(&site).replacen("roof", "r00f", 1)).expect("written");
    assert_eq!(run(&format!("{sets}{}", block("sums"))).trim(), "7 lines, 1 wrong");
}

fn change(n: u128, round: &str, verb: &str) -> Entry {
    entry_saying(n, "ines", round, verb)
}

#[test]
fn what_may_be_taken_into_the_register_is_decided_by_signatures_and_by_what_builds_on_what() {
    let added = r#""added":{"head":"pack/1.11","kind":"qr-pendent"}"#;
    let is_kind = r#""is_kind":{"head":"pack/1.11","kind":"qr-pendent"}"#;
    let dock = r#""new_area":{"id":"dock","name":"Dock","system":"dry","lines":["4 qr-pendent"]}"#;
    let gone = r#""removed":{"head":"dock/1.1"}"#;
    let sign = r#""signoff":{"name":"I","date":"2026-11-25","digest":"sha256:0","lines":1}"#;
    let retract = |of: u128| format!(r#""retract":"{}""#, id(of));
    let may = |entries: &[Entry]| foldable(entries);
    let fold = |may: &[u128], stays: &[(u128, Stay)]| Foldable {
        may: may.iter().map(|n| id(*n)).collect(),
        stays: stays.iter().map(|(n, why)| (id(*n), *why)).collect(),
    };
    assert_eq!(may(&[change(1, "a", added), entry(2), change(3, "a", is_kind)]), fold(&[1, 3], &[]));
    // A change that was taken back goes with what took it back.
    assert_eq!(
        may(&[change(1, "a", added), change(2, "a", &retract(1)), change(3, "a", &retract(2))]),
        fold(&[1, 2, 3], &[])
    );
    // Signed ones stay, and what was made after a sign-off: it must not reach back to what was signed for.
    let signed = [
        change(1, "a", added),
        change(2, "a", sign),
        change(3, "b", is_kind),
        change(4, "b", gone),
        change(5, "a", gone),
    ];
    assert_eq!(may(&signed[..4]), fold(&[], &[1, 3, 4].map(|n| (n, Stay::Signed(id(2))))));
    assert_eq!(may(&signed), fold(&[], &[1, 3, 4, 5].map(|n| (n, Stay::Signed(id(2))))));
    let before = [change(1, "b", is_kind), change(3, "a", sign), change(4, "b", dock)];
    assert_eq!(may(&before), fold(&[1], &[(4, Stay::Signed(id(3)))]));
    // The same where only the taking back is signed.
    let back = [change(1, "a", dock), change(2, "b", &retract(1)), change(3, "b", sign), change(4, "c", gone)];
    assert_eq!(may(&back), fold(&[], &[(1, Stay::Signed(id(3))), (4, Stay::Signed(id(3)))]));
    assert_eq!(may(&[change(1, "a", added), change(2, "a", r#""seen":"a/1""#), change(3, "b", sign)]), fold(&[1], &[]));
    // A head found after its line was swept stays, and what builds on it.
    let swept = [change(1, "a", r#""seen":"pack/1""#), change(2, "a", added), change(3, "a", is_kind)];
    assert_eq!(may(&swept), fold(&[], &[(2, Stay::Spoken(id(1))), (3, Stay::After(id(2)))]));
    // So does one found within a lot's stretch, and a head taken away that a lot speaks of, before or after.
    let lot = r#""lot":{"id":"x","name":"X","heads":["dock","pack/1"]}"#;
    assert_eq!(may(&[change(1, "a", lot), change(2, "a", added)]), fold(&[], &[(2, Stay::Spoken(id(1)))]));
    assert_eq!(may(&[change(1, "a", gone), change(2, "a", lot)]), fold(&[], &[(1, Stay::Spoken(id(2)))]));
    let mut note = entry(2);
    note.mark(|m| m.instead = Some(id(1)));
    assert_eq!(may(&[change(1, "a", added), note]), fold(&[], &[(1, Stay::Corrected(id(2)))]));
}

/// A file with two changes of the register among other entries, a comment and an entry by hand; and the register with them taken in.
fn to_tidy() -> (Site, Register, Vec<Id>) {
    let site = Site::new(REGISTER);
    {
        let mut journal = journal(&site);
        journal.append(&mut entry(1)).expect("recorded");
        journal
            .append(&mut change(2, "2026", r#""added":{"head":"pack/1.11","kind":"qr-pendent"}"#))
            .expect("recorded");
        journal.append(&mut entry(4)).expect("recorded");
    }
    let by_hand =
        format!("# by hand\n---\nid: {}\nat: 2026-11-25T09:14:02-05:00\nby: osk\nround: 2026\nseen: pack/1.2\n", id(5));
    std::fs::write(&site.path, format!("{}{by_hand}", text_of(&site))).expect("written");
    journal(&site).append(&mut change(6, "2026", r#""removed":{"head":"pack/1.11"}"#)).expect("recorded");
    journal(&site).append(&mut entry(7)).expect("recorded");
    let mut register = read(REGISTER).register.expect("a register");
    register.areas[0].ceiling_max = Some(Temperature::parse("100 F").expect("a temperature"));
    (site, register, vec![id(2), id(6)])
}

#[test]
fn tidying_takes_changes_into_the_register_and_leaves_every_other_byte() {
    let (site, register, absorbed) = to_tidy();
    let before = text_of(&site);
    let at = entry(1).at;
    let done = tidy(journal(&site), &register, &absorbed, at, "ines").expect("tidied");
    assert_eq!(
        (done.folded, done.kept.clone()),
        (2, site.folder.path().canonicalize().expect("real").join("quay.site.yaml.before-tidy-1"))
    );
    assert_eq!(std::fs::read_to_string(done.kept).expect("kept"), before);
    assert_eq!(site.names(), ["quay.site.yaml", "quay.site.yaml.before-tidy-1"]);
    let after = text_of(&site);
    let gone = |l: &&str| !absorbed.iter().any(|id| l.starts_with(&format!("--- {{\"id\":\"{id}")));
    let kept: Vec<&str> = before[REGISTER.len()..].lines().filter(gone).collect();
    let (rest, folded) = after.trim_end().rsplit_once('\n').expect("lines");
    assert!(rest.ends_with(&format!("\n{}", kept.join("\n"))), "{after}");
    assert!(rest.starts_with("# Marram Quay Cannery, heads and where they hang\nformat: headround site 1\n"));
    assert!(folded.starts_with(&format!("--- {{\"folded\":[\"{}\",\"{}\"],\"at\":\"2026-11-25T09:14:02-05:00\",\"by\":\"ines\",\"register\":\"sha256:", id(2), id(6))), "{folded}");
    let opened = open(&site.path, Mode::Write, &holder("ines")).expect("opens");
    assert_eq!(opened.register, Some(register.clone()));
    assert_eq!(opened.folded, absorbed);
    assert_eq!(opened.notices.iter().map(|n| n.code).collect::<Vec<_>>(), ["by-hand"], "{:?}", opened.notices);
    let mut journal = opened.writable.expect("writable");
    journal.append(&mut entry(8)).expect("recorded");
    // Once more, over what was taken in before.
    journal.append(&mut change(9, "2026", r#""removed":{"head":"pack/1.10"}"#)).expect("recorded");
    tidy(journal, &register, &[id(9)], at, "osk").expect("tidied");
    let opened = open(&site.path, Mode::Write, &holder("ines")).expect("opens");
    assert_eq!(opened.folded, [id(2), id(6), id(9)]);
    assert_eq!(
        opened.writable.expect("writable").last_id(),
        Some(id(9)),
        "an id that was taken in is never used again"
    );
}

#[test]
fn a_signed_change_is_never_taken_in() {
    let (site, register, absorbed) = to_tidy();
    journal(&site).append(&mut signoff(10, &site, "2026")).expect("recorded");
    let before = site.bytes();
    let why = tidy(journal(&site), &register, &absorbed, entry(1).at, "ines").expect_err("refused");
    assert!(matches!(why, TidyError::MustStay { .. }), "{why}");
    assert_eq!((site.bytes(), site.names().len()), (before, 1));
}

#[test]
fn tidying_refuses_a_file_that_changed_meanwhile() {
    let (site, register, absorbed) = to_tidy();
    let journal = journal(&site);
    std::fs::write(&site.path, format!("{}# edited\n", text_of(&site))).expect("written");
    let before = site.bytes();
    assert!(matches!(tidy(journal, &register, &absorbed, entry(1).at, "ines"), Err(TidyError::Changed(_))));
    assert_eq!(site.bytes(), before);
}

#[test]
fn a_disk_that_fails_at_any_call_while_tidying_leaves_the_old_file_or_the_new_one_whole() {
    let (site, register, absorbed) = to_tidy();
    let old = site.bytes();
    let run = |disk: &Failing, path: &Path| {
        let opened = open_on(Arc::new(disk.clone()), path, Mode::Write, &holder("ines"));
        opened.ok().and_then(|o| o.writable.ok()).map(|j| tidy(j, &register, &absorbed, entry(1).at, "ines"))
    };
    let count = Failing::new(When::Never, Fault::Short(0));
    run(&count, &site.path).expect("opens").expect("tidied");
    let new = site.bytes();
    assert_ne!(old, new);
    let mut failed = 0;
    for n in 0..count.calls() {
        for fault in [Fault::Error(ErrorKind::StorageFull), Fault::Short(30), Fault::Partial(30)] {
            for when in [When::At(n), When::From(n)] {
                let site = Site::new(&old);
                let place = format!("{when:?} {fault:?}");
                match run(&Failing::new(when, fault), &site.path) {
                    Some(Ok(_)) => assert_eq!(site.bytes(), new, "{place}"),
                    Some(Err(why)) => {
                        failed += 1;
                        assert!(why.to_string().contains("quay.site.yaml"), "{place} {why}");
                        let synced = !matches!(why, TidyError::NotSynced { .. });
                        assert_eq!(site.bytes() == old, synced, "{place} {why}");
                        assert!(site.bytes() == old || site.bytes() == new, "{place}");
                    }
                    None => assert_eq!(site.bytes(), old, "{place}"),
                }
            }
        }
    }
    assert!(failed > 30, "{failed}");
}
