//! What the scanner makes of files that are whole, cut, damaged, edited by hand or hostile. No disk.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod record_support;

use std::io::{self, Read};

use headround::record::line;
use headround::record::scan::{MAX_TOLD, Sort, Tail, scan};
use headround::round::entry::Entry;
use proptest::prelude::*;
use record_support::*;

fn sorts(scan: &headround::record::scan::Scan) -> Vec<Sort> {
    scan.findings.iter().map(|f| f.sort).collect()
}

#[test]
fn a_whole_file_reads_without_a_word() {
    let (entries, text) = file(9);
    let scan = read(&text);
    assert_eq!(told(&scan), Vec::<String>::new());
    assert_eq!(scan.entries, entries);
    assert_eq!(scan.register.expect("a register").head_count(), 10);
    assert_eq!((scan.counts.clean, scan.tail), (9, Tail::Whole));
    assert_eq!(scan.lines[0] as usize, REGISTER.lines().count() + 1);
    assert!(scan.register_marked);
    assert_eq!(scan.len, text.len() as u64);
}

#[test]
fn every_prefix_opens_as_a_prefix_of_its_entries() {
    let (entries, of_seven) = lines(7, SMALL);
    let text = format!("{SMALL}{}", of_seven.concat());
    let ends: Vec<usize> = {
        // A line is whole without its line end too.
        of_seven
            .iter()
            .scan(SMALL.len(), |at, l| {
                *at += l.len();
                Some(*at - 1)
            })
            .collect()
    };
    for cut in 0..=text.len() {
        let scan = read(&text.as_bytes()[..cut]);
        let whole = ends.iter().filter(|end| **end <= cut).count();
        assert_eq!(scan.entries, entries[..whole], "cut at {cut}");
        assert_eq!(scan.counts.broken, 0, "cut at {cut}: {:?}", told(&scan));
        if cut < SMALL.len() {
            assert_eq!(scan.entries.len(), 0);
            continue;
        }
        assert!(scan.register.is_some(), "cut at {cut}");
        let line_start = cut == SMALL.len() || ends.iter().any(|e| e + 1 == cut);
        match scan.tail {
            Tail::Whole => assert!(line_start, "cut at {cut}"),
            Tail::NoLineEnd => assert!(ends.contains(&cut), "cut at {cut}"),
            Tail::Torn { range, after_line_end } => {
                assert!(!line_start && after_line_end);
                assert_eq!(range.end, cut as u64);
                assert!(sorts(&read(&text.as_bytes()[..cut])).contains(&Sort::Torn));
            }
        }
    }
}

/// Damage is noticed when something is told, or harmless when all reads as before.
fn noticed_or_harmless(bytes: &[u8], entries: &[Entry], what: &str) -> bool {
    let scan = read(bytes);
    let kept = scan.entries.iter().all(|e| entries.contains(e));
    assert!(kept, "{what}: a wrong entry was read");
    if scan.findings.is_empty() {
        assert_eq!(scan.entries, entries, "{what}: an entry vanished without a word");
        assert!(scan.register.is_some());
    }
    scan.findings.is_empty()
}

/// A register that is quick to read, for tests that read it thousands of times.
const SMALL: &str = "format: headround site 1\nsite: {id: s, name: n, rules: r}\nkinds: {}\nareas: {}\n";

#[test]
fn every_flipped_bit_is_noticed_and_never_makes_a_wrong_entry() {
    let (_, of_three) = lines(3, SMALL);
    let (_, of_one) = lines(1, REGISTER);
    // Each bit of the entries, and each bit of a register that an entry's mark guards.
    let small = format!("{SMALL}{}", of_three.concat());
    let large = format!("{REGISTER}{}", of_one.concat());
    for (text, range) in [(&small, SMALL.len()..small.len()), (&large, 0..REGISTER.len())] {
        let entries = read(text).entries;
        for at in range {
            for bit in 0..8 {
                let mut bytes = text.clone().into_bytes();
                bytes[at] ^= 1 << bit;
                let harmless = noticed_or_harmless(&bytes, &entries, &format!("bit {bit} of byte {at}"));
                assert!(!harmless, "bit {bit} of byte {at} was not noticed");
            }
        }
    }
}

#[test]
fn every_byte_that_means_something_to_yaml_or_json_in_place_of_another_is_noticed_or_harmless() {
    let (entries, lines) = lines(2, SMALL);
    let text = format!("{SMALL}{}", lines.concat());
    let mut harmless = 0;
    for at in SMALL.len() - 1..text.len() {
        for other in *b"\0\n \"#,:{}\\-0\xff" {
            let mut bytes = text.clone().into_bytes();
            if bytes[at] == other {
                continue;
            }
            bytes[at] = other;
            if noticed_or_harmless(&bytes, &entries, &format!("{other:#x} at byte {at}")) {
                harmless += 1;
                // Another blank behind `---`, or none at all; nothing else goes without a word.
                assert!(other.is_ascii_whitespace() && text.as_bytes()[at].is_ascii_whitespace(), "{other:#x} at {at}");
            }
        }
    }
    assert!(harmless <= 8, "{harmless}");
}

#[test]
fn a_damaged_line_end_costs_no_entry() {
    let (entries, text) = file(5);
    for (at, _) in text.char_indices().filter(|(i, c)| *c == '\n' && *i > REGISTER.len()) {
        for other in [b'x', 0x8A, 0, b' '] {
            let mut bytes = text.clone().into_bytes();
            bytes[at] = other;
            let scan = read(&bytes);
            assert_eq!(scan.entries, entries, "{other:#x} at {at}: {:?}", told(&scan));
            assert!(!scan.findings.is_empty());
        }
    }
}

#[test]
fn a_line_cut_away_is_told_by_the_next_of_its_writer() {
    let (_, lines) = lines(8, REGISTER);
    for gone in 0..8 {
        let rest: String = lines.iter().enumerate().filter(|(i, _)| *i != gone).map(|(_, l)| l.as_str()).collect();
        let scan = read(format!("{REGISTER}{rest}"));
        assert_eq!(scan.entries.len(), 7);
        // Entries 6 (osk) and 8 (ines) are the last of their writers: nothing after them can tell.
        let told = told(&scan);
        if [5, 7].contains(&gone) {
            assert_eq!(told, Vec::<String>::new(), "{gone}");
        } else {
            assert_eq!(scan.findings[0].diagnostic.code, "line-cut-away", "{gone} {told:?}");
            assert!(told[0].contains(&id(gone as u128 + 1).to_string()));
            assert_eq!(scan.counts.broken, 0);
        }
    }
}

#[test]
fn a_zero_filled_tail_is_torn_with_and_without_its_line_end() {
    let (entries, text) = file(3);
    let (_, more) = lines(4, REGISTER);
    for tail in [
        "\0\0\0\0",
        "\0\0\0\0\n",
        "--- {\"id\":\"01\0\0\0\0\0\0",
        &format!("{}\0\0\0\n", &more[3][..40]),
        &"\0".repeat(3 << 20),
    ] {
        let scan = read(format!("{text}{tail}"));
        assert_eq!(scan.entries, entries);
        assert_eq!(sorts(&scan), [Sort::Torn]);
        assert_eq!(
            scan.tail,
            Tail::Torn { range: text.len() as u64..(text.len() + tail.len()) as u64, after_line_end: true }
        );
    }
    // Whole but for zero bytes in place of the line end and what was to follow.
    let scan = read(format!("{}\0\0\0\0", text.trim_end()));
    assert_eq!(scan.entries, entries);
    assert_eq!(scan.tail, Tail::Torn { range: text.len() as u64 - 1..text.len() as u64 + 3, after_line_end: false });
    // One zero byte in a finished line is damage, not a cut.
    let scan = read(format!("{text}{}", more[3].replacen("2026-11", "2026\u{0}11", 1)));
    assert_eq!((sorts(&scan), scan.tail), (vec![Sort::Broken], Tail::Whole));
    // Zero bytes with lines after them were not the last thing written.
    let scan = read(format!("{text}\0\0\0\n{}", more[3]));
    assert_eq!((sorts(&scan), scan.entries.len()), (vec![Sort::Broken], 4));
    assert!(told(&scan)[0].starts_with("t.site.yaml:15:1: error: the line holds zero bytes"), "{:?}", told(&scan));
}

#[test]
fn broken_lines_are_told_with_their_places() {
    let (_, l) = lines(4, REGISTER);
    let cases: &[(String, &str)] = &[
        (
            l[1].replace("roof", "r00f"),
            "t.site.yaml:13:210: error: the entry does not fit its checksum: it was damaged or changed after it was written",
        ),
        (
            l[1].replace("\"note\":{\"text\"", "\"note\":{\"txet\""),
            "t.site.yaml:13:109: error: there is no field 'txet' here; did you mean 'text'?",
        ),
        ("hello\n".to_owned(), "t.site.yaml:13:1: error: this line belongs to no entry"),
        ("--- hello\n".to_owned(), "t.site.yaml:13:5: error: an entry must be a mapping, not text"),
        ("--- [1, 2]\n".to_owned(), "t.site.yaml:13:5: error: an entry must be a mapping, not a list"),
        (
            format!(
                "--- {{\"id\":\"{}\",\"at\":\"2026-11-25T09:14:02-05:00\",\"by\":\"ines\",\"round\":\"2026\",\"sen\":\"pack\"}}\n",
                id(70)
            ),
            "t.site.yaml:13:100: error: there is no field 'sen' here; did you mean 'seen'?",
        ),
        (
            format!(
                "--- {{\"id\":\"{}\",\"at\":\"2026-11-25T09:14:02-05:00\",\"by\":\"ines\",\"round\":\"2026\",\"seen\":\"Pack!\"}}\n",
                id(70)
            ),
            "t.site.yaml:13:107: error: 'Pack!' is no address; write 'pack/3.7', 'pack/1.1..1.6', 'pack/2' or 'pack'",
        ),
        (
            l[1].replace("roof", "r\u{0}of"),
            "t.site.yaml:13:117: error: control character (\\u0000-\\u001F) found while parsing a string",
        ),
        (
            l[1].replace(",\"sum\"", ", \"sum\""),
            "t.site.yaml:13:211: error: the entry does not fit its checksum: it was damaged or changed after it was written",
        ),
    ];
    for (bad, words) in cases {
        let scan = read(format!("{REGISTER}{}{bad}{}", l[0], l[2]));
        let broken: Vec<_> = scan.findings.iter().filter(|f| f.sort == Sort::Broken).collect();
        assert_eq!(broken.len(), 1, "{bad} {:?}", told(&scan));
        assert_eq!(broken[0].diagnostic.to_string(), *words, "{bad}");
        assert_eq!(scan.counts.broken, 1);
        assert_eq!(scan.entries.len(), 2);
        let start = (REGISTER.len() + l[0].len()) as u64;
        assert_eq!(broken[0].range, start..start + bad.len() as u64);
    }
    let mut bytes = format!("{REGISTER}{}", l.concat()).into_bytes();
    let at = REGISTER.len() + l[0].len() + 20;
    bytes[at] = 0xFF;
    assert_eq!(told(&read(&bytes))[0], "t.site.yaml:13:21: error: the bytes here are not UTF-8 text");
}

#[test]
fn entries_written_by_hand_are_read_whatever_their_style() {
    let (entries, text) = file(2);
    let (i, j, k, m) = (id(50), id(51), id(52), id(53));
    let by_hand = format!(
        "\n# a word in between\n--- {{\"id\":\"{i}\",\"at\":\"2026-11-26T09:00:00-05:00\",\"by\":\"osk\",\"round\":\"2026\",\"seen\":\"pack/1.2\"}}\n\
         ---\nid: {j}\nat: 2026-11-26T09:01:00-05:00\nby: osk\nround: 2026   # a number to YAML, a name to us\nsaw:\n  head: pack/1.3\n  sign: paint\n  part: element\n  extent: trace\n  doubtful: yes\n  note: 155\n...\n\
         --- {{id: {k}, at: 2026-11-26T09:02:00-05:00, by: osk, round: '2026',\n  added: {{head: pack/1.11, kind: qr-pendent, after: 4}}}}\n\
         ---\n\
         --- # the last one\nid: {m}\nat: '2026-11-26T09:03:00-05:00'\nby: osk\nround: 2026\nsignoff: {{name: Osk Brannagh-Fell, date: 2026-11-26, digest: 'sha256:00', lines: 3}}"
    );
    for newline in ["\n", "\r\n"] {
        let scan = read(format!("{text}{by_hand}").replace('\n', newline));
        let warnings: Vec<_> = scan
            .findings
            .iter()
            .filter(|f| f.diagnostic.code != "no-line-end" && f.diagnostic.code != "register-changed")
            .collect();
        assert!(warnings.is_empty(), "{:?}", told(&scan));
        assert_eq!(scan.entries.len(), 6);
        assert_eq!(scan.entries[..2], entries);
        assert_eq!((scan.counts.clean, scan.counts.by_hand), (2, 4));
        let at = "\"at\":\"2026-11-26T09:01:00-05:00\",\"by\":\"osk\",\"round\":\"2026\"";
        assert_eq!(
            scan.entries[3].to_json(),
            format!(
                "{{\"id\":\"{j}\",{at},\"saw\":{{\"head\":\"pack/1.3\",\"sign\":\"paint\",\"part\":\"element\",\"extent\":\"trace\",\"doubtful\":true,\"note\":\"155\"}}}}"
            )
        );
        assert_eq!(scan.tail, Tail::NoLineEnd);
    }
}

#[test]
fn a_finished_mistake_in_the_last_line_is_broken_and_not_torn_though_its_line_end_is_missing() {
    let (_, text) = file(2);
    let head = format!("\"id\":\"{}\",\"at\":\"2026-11-25T09:14:02-05:00\",\"by\":\"osk\",\"round\":\"2026\"", id(60));
    for bad in [
        format!("--- {{{head},\"sen\":\"pack\"}}"),
        format!("--- {{{head},\"seen\":\"pack\",\"sum\":\"00000000\"}}"),
        format!("---\n{{{head},\n\"seen\":"),
    ] {
        let scan = read(format!("{text}{bad}"));
        assert_eq!((scan.counts.broken, scan.entries.len()), (1, 2), "{bad} {:?}", told(&scan));
    }
}

#[test]
fn dos_line_ends_and_a_byte_order_mark_are_read() {
    let (entries, text) = file(4);
    let scan = read(format!("\u{feff}{text}").replace('\n', "\r\n"));
    assert_eq!(scan.entries, entries);
    assert_eq!(scan.counts.clean, 4);
    assert_eq!(scan.register.expect("a register").head_count(), 10);
    assert_eq!(scan.findings.len(), 1);
    assert_eq!(scan.findings[0].diagnostic.code, "register-changed");
}

#[test]
fn a_register_may_start_like_any_yaml_document() {
    let (entries, l) = lines(2, REGISTER);
    for head in ["# a comment\n\n---\n", "%YAML 1.2\n---\n", "\u{feff}--- # heads\n", "---\n# so\n"] {
        for end in ["", "...\n", "\n# entries follow\n"] {
            let scan = read(format!("{head}{REGISTER}{end}{}", l.concat()));
            assert!(scan.register.is_some(), "{head:?} {end:?} {:?}", told(&scan));
            assert_eq!(scan.entries, entries, "{head:?} {end:?}");
        }
    }
}

#[test]
fn a_file_long_enough_to_be_read_on_several_processors_reads_the_same() {
    let (entries, mut l) = lines(3000, SMALL);
    let whole = read(format!("{SMALL}{}", l.concat()));
    assert_eq!((told(&whole), whole.counts.clean), (vec![], 3000));
    assert_eq!(whole.entries, entries);
    l[1499] = l[1499].replace("roof", "r00f").replace("pack", "pock").replace("drip", "drap");
    l[2000] = format!("{}# a comment\n", entries[2000].to_json().replacen('{', "--- {", 1) + "\n");
    l.swap(700, 2900);
    let damaged = read(format!("{SMALL}{}", l.concat()));
    assert_eq!((damaged.counts.clean, damaged.counts.by_hand, damaged.counts.broken), (2998, 1, 1));
    let rest: Vec<_> = entries.iter().filter(|e| e.id != id(1500)).cloned().collect();
    assert_eq!(damaged.entries, rest);
    assert_eq!(damaged.findings[0].line, 4 + 1500);
    let line_of = |n: u128| damaged.lines[damaged.entries.iter().position(|e| e.id == id(n)).expect("there")];
    assert_eq!((line_of(1), line_of(701), line_of(2901), line_of(3000)), (5, 2906, 705, 3005));
}

#[test]
fn entries_out_of_order_are_put_in_order() {
    let (entries, mut l) = lines(6, REGISTER);
    l.reverse();
    let scan = read(format!("{REGISTER}{}", l.concat()));
    assert_eq!(scan.entries, entries);
    assert!(scan.lines.is_sorted_by(|a, b| a > b));
    assert_eq!(told(&scan), Vec::<String>::new());
}

#[test]
fn a_copy_of_a_line_counts_once_and_another_line_of_the_same_id_is_broken() {
    let (entries, text) = file(4);
    let (_, l) = lines(4, REGISTER);
    let scan = read(format!("{text}{}", l[1]));
    assert_eq!((&scan.entries, scan.counts.copies, scan.counts.broken), (&entries, 1, 0));
    assert_eq!(
        told(&scan),
        [format!("t.site.yaml:16:1: warning: the entry {} stands on line 13 already; it counts once", id(2))]
    );
    let mut other = entries[1].clone();
    other.by = "osk".into();
    let scan = read(format!("{text}--- {}\n", line::encode(&other, None)));
    assert_eq!((&scan.entries, scan.counts.copies, scan.counts.broken), (&entries, 0, 1));
    assert_eq!(
        told(&scan),
        [format!("t.site.yaml:16:1: error: another entry with the id {} stands on line 13; that one is used", id(2))]
    );
}

#[test]
fn an_entry_in_a_comment_is_told() {
    let (_, l) = lines(2, REGISTER);
    let scan = read(format!("{REGISTER}{}#{}", l[0], l[1]));
    assert_eq!(scan.entries.len(), 1);
    assert_eq!(told(&scan), ["t.site.yaml:13:1: warning: an entry stands in a comment and is not counted"]);
}

#[test]
fn an_edited_register_is_told_until_the_next_entry_is_written() {
    let (_, text) = file(2);
    let edited = text.replace("155 F", "165 F");
    let scan = read(&edited);
    assert_eq!(
        told(&scan),
        ["t.site.yaml:1:1: warning: the register was changed by hand, or damaged, after line 12 was written"]
    );
    let next = line::encode(&entry(3), Some(&scan.register_hash));
    assert_eq!(told(&read(format!("{edited}--- {next}\n"))), Vec::<String>::new());
}

#[test]
fn a_file_of_a_newer_format_or_none_is_not_read_further() {
    let (_, text) = file(3);
    let scan = read(text.replace("site 1\n", "site 2\n").replace("\"seen\"", "\"beheld\""));
    assert!(scan.stopped && scan.entries.is_empty());
    assert_eq!(
        told(&scan),
        ["t.site.yaml:2:9: error: this file is written in 'headround site 2', which is newer than this program"]
    );
    for text in ["", "\0\0\0\0", "# nothing\n", "just text\n", "---\n---\n", "\u{feff}"] {
        let scan = read(text);
        assert!(scan.register.is_none(), "{text:?}");
        assert!(!scan.findings.is_empty() && scan.findings[0].sort == Sort::Register, "{text:?}");
    }
    let entries_only = read(&text[REGISTER.len()..]);
    assert!(entries_only.register.is_none());
    assert_eq!(entries_only.entries.len(), 3);
}

#[test]
fn hostile_entries_are_refused_with_a_place_and_the_rest_is_read() {
    let (_, text) = file(2);
    let bomb = "--- {a: &a [x,x,x,x,x,x,x,x,x], b: &b [*a,*a,*a,*a,*a,*a,*a,*a], c: &c [*b,*b,*b,*b,*b,*b,*b,*b], d: &d [*c,*c,*c,*c,*c,*c,*c,*c], e: &e [*d,*d,*d,*d,*d,*d,*d,*d], f: [*e,*e,*e,*e,*e,*e,*e,*e]}\n";
    for bad in [
        bomb.to_owned(),
        format!("--- {}\n", "[".repeat(100_000)),
        format!("--- {}\n", "{\"id\":".repeat(100_000)),
        format!("--- {{\"id\":\"{}\"}}\n", "x".repeat(900_000)),
        format!("--- {{\"id\":\"{}\n", ",\"sum\":\"".repeat(100_000)),
        format!("---\n{}", "- \n".repeat(300_000)),
        "--- !!binary aGVsbG8=\n".to_owned(),
        "--- {? {a: b} : c}\n".to_owned(),
    ] {
        let (_, l) = lines(3, REGISTER);
        let scan = read(format!("{text}{bad}{}", l[2]));
        assert_eq!(scan.entries.len(), 3, "{}", &bad[..30]);
        assert_eq!(scan.counts.broken, 1, "{} {:?}", &bad[..20], told(&scan));
        let it = &scan.findings[0].diagnostic;
        assert_eq!(it.place.as_ref().map(|p| p.line >= 14), Some(true), "{it}");
    }
}

#[test]
fn many_broken_lines_are_counted_and_not_all_told() {
    let (_, text) = file(2);
    let scan = read(format!("{text}{}", "junk\n".repeat(100_000)));
    assert_eq!(scan.counts.broken, 100_000);
    assert_eq!(scan.findings.len(), MAX_TOLD + 1);
    assert!(told(&scan).last().expect("one").contains("99900 more of the same ('stray-text') are not shown"));
}

/// A stream that is made as it is read.
struct Long<'a> {
    head: &'a [u8],
    middle: u64,
    fill: u8,
    tail: &'a [u8],
}

impl Read for Long<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if !self.head.is_empty() {
            return self.head.read(buffer);
        }
        if self.middle > 0 {
            let n = buffer.len().min(usize::try_from(self.middle).unwrap_or(usize::MAX));
            buffer[..n].fill(self.fill);
            self.middle -= n as u64;
            return Ok(n);
        }
        self.tail.read(buffer)
    }
}

#[test]
fn a_line_of_a_gigabyte_is_skipped_without_being_held() {
    let (entries, text) = file(2);
    let (all, l) = lines(3, REGISTER);
    let tail = format!("\"}}\n{}", l[2]);
    let head = format!("{text}--- {{\"id\":\"");
    let reader = Long { head: head.as_bytes(), middle: 1 << 30, fill: b'A', tail: tail.as_bytes() };
    let before = peak_kb();
    let scan = scan(reader, "t.site.yaml").expect("reads");
    let grown = peak_kb().saturating_sub(before);
    assert!(grown < 64 << 10, "{grown} kB more were held");
    assert_eq!(scan.entries, all);
    assert_eq!(
        told(&scan),
        ["t.site.yaml:14:1: error: the line or document is longer than 1048576 bytes and was not read"]
    );
    assert_eq!(scan.findings[0].range, text.len() as u64..(text.len() + 14 + (1 << 30)) as u64);
    // Without a line end it is not taken for a cut: the program writes no such lines.
    let reader = Long { head: head.as_bytes(), middle: 3 << 20, fill: b'A', tail: b"" };
    let scan = headround::record::scan::scan(reader, "t").expect("reads");
    assert_eq!((scan.counts.broken, scan.entries), (1, entries));
    // In the register it is told, too.
    let reader = Long { head: REGISTER.as_bytes(), middle: 3 << 20, fill: b'A', tail: b"\n" };
    let scan = headround::record::scan::scan(reader, "t").expect("reads");
    assert!(scan.register.is_none());
    assert_eq!(scan.findings[0].diagnostic.code, "line-too-long");
}

/// The most memory this process ever held, in kB; 0 where the system does not say.
fn peak_kb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"));
    line.and_then(|l| l.split_whitespace().next()).and_then(|n| n.parse().ok()).unwrap_or(0)
}

#[test]
fn a_reader_that_fails_midway_gives_an_error_and_no_part_of_the_file() {
    struct Fails<'a>(&'a [u8]);
    impl Read for Fails<'_> {
        fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
            if self.0.is_empty() { Err(io::Error::other("bad sector")) } else { self.0.read(buffer) }
        }
    }
    let (_, text) = file(3);
    assert!(scan(Fails(text.as_bytes()), "t").is_err());
}

#[test]
fn a_link_to_a_folded_entry_is_no_gap_and_a_folded_entry_is_not_applied_again() {
    let (entries, l) = lines(4, REGISTER);
    let folded = line::Folded::new(vec![id(2)], entries[0].at, "ines".to_owned());
    let hash = read(REGISTER).register_hash;
    let text = format!("{REGISTER}{}{}{}--- {}\n", l[0], l[2], l[3], folded.encode(&hash));
    let scan = read(&text);
    assert_eq!(told(&scan), Vec::<String>::new());
    assert_eq!((scan.entries.len(), scan.folded), (3, vec![id(2)]));
    let scan = read(format!("{text}{}", l[1]));
    assert_eq!(scan.entries.len(), 3);
    assert_eq!(scan.findings[0].diagnostic.code, "folded-entry");
}

fn any_entry() -> impl Strategy<Value = Entry> {
    let text = prop_oneof!["\\PC{0,30}", "[\\x00-\\x7f]{0,30}", any::<String>()];
    (1..5_000_u128, text, "\\PC{1,8}", "[ -~]{1,8}", any::<bool>()).prop_filter_map(
        "names must not be blank",
        |(n, text, by, round, noted)| {
            (!by.trim().is_empty() && !round.trim().is_empty()).then(|| {
                let mut it = entry(if noted { n * 4 + 2 } else { n });
                if let headround::round::entry::What::Note(note) = &mut it.what {
                    note.text = text;
                }
                it.by = by.into();
                it.round = round.into();
                it
            })
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_encoded_is_scanned_as_the_same(entries in proptest::collection::vec(any_entry(), 0..12), sealed in any::<bool>()) {
        let mut by_id: Vec<Entry> = entries;
        by_id.sort_by_key(|e| e.id);
        by_id.dedup_by_key(|e| e.id);
        let text: String = by_id.iter().map(|e| {
            let json = if sealed { line::encode(e, None) } else { e.to_json() };
            assert!(!json.chars().any(headround::diag::is_unprintable));
            format!("--- {json}\n")
        }).collect();
        let scan = read(format!("{REGISTER}{text}"));
        prop_assert_eq!(told(&scan), Vec::<String>::new());
        prop_assert_eq!(&scan.entries, &by_id);
        prop_assert_eq!(scan.counts.by_hand, if sealed { 0 } else { by_id.len() });
    }

    #[test]
    fn no_bytes_make_the_scanner_panic_or_invent_entries(junk in proptest::collection::vec(any::<u8>(), 0..300), at in 0..2000_usize) {
        let (entries, text) = file(4);
        let at = at.min(text.len());
        let bytes = [&text.as_bytes()[..at], &junk, &text.as_bytes()[at..]].concat();
        let scan = read(&bytes);
        for entry in &scan.entries {
            prop_assert!(entries.contains(entry));
        }
    }
}
