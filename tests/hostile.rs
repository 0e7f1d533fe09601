//! Input that means harm or is merely broken, given to the real program with little memory: it says what is wrong and
//! where, exits with 2 (or warns where the rest can be used), ends in time, and lets nothing steer the terminal.
#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, missing_docs)]

#[path = "pty/place.rs"]
mod place;
#[path = "pty/term.rs"]
mod term;

use place::{BEGUN, Place, REGISTER, Ran};
use term::Term;

/// Kilobytes of address space a run may take: threads and their stacks count, so this is far above what is used.
const MEMORY: u32 = 1_500_000;

/// Runs the program with bounded memory.
fn bounded(place: &Place, arguments: &str, typed: &str) -> Ran {
    place.shell(&format!("ulimit -v {MEMORY}; exec \"$PROGRAM\" {arguments}"), typed)
}

/// Holds what every run on bad input must keep to.
#[track_caller]
fn is_orderly(ran: &Ran, what: &str) {
    assert!(matches!(ran.code, Some(0 | 2)), "{what}: {ran:?}");
    assert!(!ran.err.contains("panicked") && !ran.err.contains("RUST_BACKTRACE"), "{what}: {ran:?}");
    assert_eq!(ran.steers(), None, "{what}: {ran:?}");
    assert!(ran.out.len() + ran.err.len() < 200_000, "{what}: {} bytes", ran.out.len() + ran.err.len());
}

/// A file and what must be said of it: the exit code, and words that standard error holds.
struct Case {
    name: &'static str,
    bytes: Vec<u8>,
    code: i32,
    told: &'static [&'static str],
}

fn case(name: &'static str, bytes: impl Into<Vec<u8>>, code: i32, told: &'static [&'static str]) -> Case {
    Case { name, bytes: bytes.into(), code, told }
}

/// The register with something replaced.
fn with(old: &str, new: &str) -> String {
    assert!(REGISTER.contains(old), "{old}");
    REGISTER.replacen(old, new, 1)
}

/// The register, the round's beginning and one line more, which is line 19.
fn and(verb: &str) -> String {
    format!(
        "{REGISTER}{BEGUN}--- {{\"id\":\"01KB0000000000000000000002\",\"at\":\"2025-11-26T09:00:00-05:00\",\"by\":\"ines\",\"round\":\"2025\",{verb}}}\n"
    )
}

/// Aliases of aliases: nine to the eighth values from a few hundred bytes.
fn alias_bomb() -> String {
    let mut text = "a: &a [x, x, x, x, x, x, x, x, x]\n".to_owned();
    for (c, p) in ('b'..='i').zip('a'..='h') {
        let list = vec![format!("*{p}"); 9].join(", ");
        text.push_str(&format!("{c}: &{c} [{list}]\n"));
    }
    text
}

fn utf16(text: &str) -> Vec<u8> {
    [0xFEFF].into_iter().chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect()
}

/// An area whose lines claim the most heads a line can claim, over and over.
fn lines_of(count: &str, times: usize) -> String {
    format!("{}{}", REGISTER.split("areas:").next().unwrap(), "areas:\n  hall:\n    name: Hall\n    lines:\n")
        + &format!("      - {count}\n").repeat(times)
}

/// So many kinds of which one spare each is held.
fn many_kinds(n: usize) -> String {
    (0..n).map(|n| format!("\"k{n:x}\":1")).collect::<Vec<_>>().join(",")
}

#[test]
fn a_site_file_with_something_wrong_is_told_with_its_place() {
    let cases = [
        case("empty", "", 2, &["the file holds no register", "headround new"]),
        case("blank", "\n\n\n", 2, &["the file holds no register"]),
        case("binary", (0..=255).cycle().take(70_000).collect::<Vec<u8>>(), 2, &["binary.site.yaml"]),
        case("zeros", vec![0; 300_000], 2, &["holds no register", "restore the file from a copy"]),
        case("utf-16", utf16(REGISTER), 2, &["not UTF-8", "utf-16.site.yaml:1:1", "save the file as UTF-8"]),
        case(
            "not-utf8",
            b"format: headround site 1\nsite: {name: \"\xff\xfe\"}\n".to_vec(),
            2,
            &["not UTF-8", ":2:15"],
        ),
        case("other-yaml", "hosts: [a, b]\n", 2, &["format", "other-yaml.site.yaml:1:"]),
        case("alias-bomb", alias_bomb() + REGISTER, 2, &["repeats more than is read", "alias-bomb.site.yaml:"]),
        case("deep-flow", format!("a: {}", "[".repeat(200_000)), 2, &["deep-flow.site.yaml:1:"]),
        case("deep-map", "{a: ".repeat(100_000), 2, &["deep-map.site.yaml:1:"]),
        case("deep-block", "- ".repeat(50_000), 2, &["deep-block.site.yaml:1:"]),
        case("deep-entry", and(&format!("\"seen\":{}", "[".repeat(100_000))), 2, &["deep-entry.site.yaml:19:"]),
        case("tag", with("name: Dock", "name: !!python/object:os.system Dock"), 2, &["tag", ":13:"]),
        case("unknown-key", with("ceiling_max", "cieling_max"), 2, &["did you mean 'ceiling_max'?", ":10:5"]),
        case("unknown-word", with("bulb", "blub"), 2, &["did you mean 'bulb'?", ":4:"]),
        case("unknown-kind", with("5 int-upright", "5 int-uprite"), 2, &["did you mean 'int-upright'?", ":14:"]),
        case("unknown-rules", with("nfpa25-2023", "nfpa25-2032"), 2, &["no rule set called 'nfpa25-2032'", "built in"]),
        case("repeated-area", with("  dock:", "  hall:"), 2, &["duplicate", "hall", ":12:3"]),
        case("repeated-kind", with("int-upright:", "qr-pendent:"), 2, &["duplicate", "qr-pendent", ":5:3"]),
        case("list-for-map", with("kinds:\n", "kinds: [a, b]\nx:\n"), 2, &["kinds", ":3:"]),
        case("map-for-text", with("name: Dock", "name: {a: b}"), 2, &["name", ":13:"]),
        case("text-for-map", with("site: {", "site: quay #{"), 2, &["site", ":2:"]),
        case("hot", with("155 F", "99999 F"), 2, &["'99999 F' is outside", ":4:"]),
        case("colder-than-cold", with("200 F", "-9000 C"), 2, &["'-9000 C' is outside", ":5:"]),
        case("not-finite", with("155 F", "inf F"), 2, &["'inf F'", ":4:"]),
        case("k-of-nothing", with("k: 5.6", "k: 0"), 2, &["'0' is outside", ":4:"]),
        case("no-such-day", with("2009-05", "2009-13"), 2, &["2009-13", ":9:"]),
        case("far-year", with("made: 1988", "made: 999999999999"), 2, &["999999999999", ":5:"]),
        case("no-heads", with("5 int-upright", "0 int-upright"), 2, &["a count from 1 to 10000", ":14:"]),
        case(
            "too-many-heads",
            with("5 int-upright", "99999999999999999999 int-upright"),
            2,
            &["a count from 1 to 10000"],
        ),
        case(
            "twice-a-place",
            with("5 int-upright", "'5 int-upright, 1 int-upright @5'"),
            2,
            &["place 5", "already", ":14:"],
        ),
        case("many-full-lines", lines_of("10000 qr-pendent", 60_000), 2, &["more than 2000000 heads"]),
        case("many-gaps", lines_of("10000 gap", 60_000), 2, &["more than 4000000 places"]),
        case(
            "long-line",
            format!("{REGISTER}{BEGUN}--- {{\"id\":\"{}\"}}\n", "x".repeat(30_000_000)),
            2,
            &["longer than", ":19:"],
        ),
        case("long-key", format!("{}: 1\n{REGISTER}", "k".repeat(3_000_000)), 2, &["long-key.site.yaml:1:"]),
        case(
            "same-id",
            format!("{REGISTER}{BEGUN}{}", BEGUN.replace("Ines", "Osk")),
            2,
            &["another entry with the id", ":19:"],
        ),
        case("unknown-verb", and("\"seeen\":\"hall/1.1\""), 2, &["did you mean 'seen'?", ":19:"]),
        case("no-verb", and("\"x\":1"), 2, &["'x'", ":19:"]),
        case("two-verbs", and("\"seen\":\"hall/1.1\",\"retract\":\"01KB0000000000000000000001\""), 2, &[":19:"]),
        case("list-for-verb", and("\"saw\":[\"x\"]"), 2, &["'saw' must be text or a mapping", ":19:"]),
        case("no-address", and("\"seen\":\"hall/-1.99999999\""), 2, &["hall/-1.99999999", ":19:"]),
        case(
            "huge-quantity",
            and(
                "\"saw\":{\"head\":\"hall/1.1\",\"sign\":\"blocked\",\"part\":\"deflector\",\"extent\":\"light\",\"clearance\":\"1e300 in\"}",
            ),
            2,
            &["1e300 in", ":19:"],
        ),
        // The rest of the file can be used: a warning, never silence.
        case(
            "no-such-head",
            and("\"seen\":\"hall/11.1\""),
            0,
            &["warning", "'hall/11.1' is not in the register", ":19:"],
        ),
        case(
            "no-such-cabinet",
            and("\"counted\":{\"cabinet\":\"riser\",\"held\":{\"qr-pendent\":6,\"\u{202e}odd\":1}}"),
            0,
            &["warning", "no cabinet is called 'riser'", "no kind is called '", ":19:"],
        ),
        case(
            "spares-below-zero",
            and("\"moved\":{\"cabinet\":\"riser\",\"kind\":\"qr-pendent\",\"n\":-6,\"way\":\"put-in\"}"),
            2,
            &["-6", ":19:"],
        ),
        case(
            "spares-beyond-counting",
            and(
                "\"moved\":{\"cabinet\":\"riser\",\"kind\":\"qr-pendent\",\"n\":99999999999999999999,\"way\":\"put-in\"}",
            ),
            2,
            &[":19:"],
        ),
        case(
            "a-count-of-a-hundred-thousand-kinds",
            and(&format!("\"counted\":{{\"cabinet\":\"riser\",\"held\":{{{}}}}}", many_kinds(100_000))),
            0,
            &["warning", "no kinds are called 'k0', 'k1', 'k10' and 99997 more", ":19:"],
        ),
        case("no-such-area", and("\"seen\":\"cellar\""), 0, &["warning", "'cellar' is not in the register", ":19:"]),
        case(
            "no-such-sign",
            and("\"saw\":{\"head\":\"hall/1.1\",\"sign\":\"pain\",\"part\":\"element\",\"extent\":\"trace\"}"),
            0,
            &["warning", "did you mean 'paint'?", ":19:"],
        ),
        case("no-such-entry", and("\"retract\":\"01KB0000000000000000000009\""), 0, &["warning", "takes back", ":19:"]),
        case("ring", and("\"retract\":\"01KB0000000000000000000002\""), 0, &["warning", "takes back", ":19:"]),
        case(
            "huge-new-area",
            and(&format!(
                "\"new_area\":{{\"id\":\"x\",\"name\":\"X\",\"system\":\"wet\",\"lines\":[\"{}\"]}}",
                vec!["10000 qr-pendent"; 9000].join("\",\"")
            )),
            0,
            &["warning", "more than 2000000 heads", ":19:"],
        ),
        case(
            "dates-of-nowhen",
            format!("{REGISTER}{}", BEGUN.replace("2025-11-26T08", "0000-00-00T99")),
            2,
            &["'0000-00-00T99:00:00-05:00' is no moment", ":18:"],
        ),
    ];
    let place = Place::new();
    let mut wrong = Vec::new();
    for it in &cases {
        let file = format!("{}.site.yaml", it.name);
        place.write(&file, &it.bytes);
        let ran = bounded(&place, &format!("check {file} --diagnostics full"), "");
        is_orderly(&ran, it.name);
        let missing: Vec<_> = it.told.iter().filter(|w| !ran.err.contains(**w)).collect();
        if ran.code != Some(it.code) || !missing.is_empty() {
            let shown: String = ran.err.chars().take(700).collect();
            wrong.push(format!("{}: exit {:?}, not told: {missing:?}\n{shown}", it.name, ran.code));
        }
        assert_eq!(place.bytes(&file), it.bytes, "{}: the file was changed", it.name);
        std::fs::remove_file(place.path(&file)).unwrap();
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_line_of_a_gigabyte_is_refused_without_the_memory_for_it() {
    let place = Place::new();
    place.write("quay.site.yaml", format!("{REGISTER}{BEGUN}--- "));
    // A hole in the file: it takes no room on the disk and reads as a line of a gigabyte.
    let file = std::fs::OpenOptions::new().write(true).open(place.path("quay.site.yaml")).unwrap();
    file.set_len(1 << 30).unwrap();
    let mut file = std::fs::OpenOptions::new().append(true).open(place.path("quay.site.yaml")).unwrap();
    let after = BEGUN.replace("01KB0000000000000000000001", "01KB0000000000000000000002");
    std::io::Write::write_all(&mut file, format!("\n{after}").as_bytes()).unwrap();
    let ran = bounded(&place, "check quay.site.yaml", "");
    is_orderly(&ran, "a gigabyte");
    assert_eq!(ran.code, Some(2), "{ran:?}");
    assert!(ran.tells(&["zero bytes", "quay.site.yaml:19:"]), "{ran:?}");
}

#[test]
fn what_is_no_file_is_told_and_not_waited_for() {
    let place = Place::new();
    std::fs::create_dir(place.path("folder.site.yaml")).unwrap();
    std::os::unix::fs::symlink("nowhere", place.path("dangling.site.yaml")).unwrap();
    std::os::unix::fs::symlink("ring.site.yaml", place.path("ring.site.yaml")).unwrap();
    let made = place.other("mkfifo", &["pipe.site.yaml"]).status().is_ok_and(|s| s.success());
    let files = ["folder", "dangling", "ring", "none", "pipe"].into_iter().filter(|f| *f != "pipe" || made);
    for file in files {
        for command in ["check", "status", "walk --plain"] {
            let ran = bounded(&place, &format!("{command} {file}.site.yaml"), "q\n");
            is_orderly(&ran, file);
            assert_eq!(ran.code, Some(2), "{command} {file}: {ran:?}");
            assert!(ran.tells(&["error", &format!("{file}.site.yaml")]), "{command} {file}: {ran:?}");
        }
    }
    let ran = bounded(&place, "check /dev/zero", "");
    assert_eq!(ran.code, Some(2), "{ran:?}");
}

/// Text that would clear a screen, set a title, ring a bell, turn letters around or break a line.
const STEERING: &str = "\u{1b}[2J\u{1b}]0;owned\u{7}\u{9b}31m\u{202e}txet\u{2066}\u{2028}\r\u{8}\u{7f}end";

/// A site where every text that a person writes holds it.
fn steering_site() -> String {
    // Escaped in full: YAML takes no raw control characters, but their escapes are honest YAML.
    let quoted: String = STEERING.encode_utf16().map(|unit| format!("\\u{unit:04x}")).collect();
    let quoted = format!("\"{quoted}\"");
    let inner = quoted.trim_matches('"');
    let mut text = with("name: Marram Quay Cannery", &format!("owner: {quoted}, name: {quoted}"));
    text = text.replace("\"4 Saltpan Lane, Port Tarrow\"", &quoted);
    text = text.replace("name: Packing hall", &format!("name: {quoted}\n    note: {quoted}"));
    text.push_str(&BEGUN.replace("Ines Tidewell", inner).replace("PT-118", inner).replace("annual inspection", inner));
    let entry = |n: u8, verb: String| {
        format!(
            "--- {{\"id\":\"01KB00000000000000000000{n:02}\",\"at\":\"2025-11-26T09:00:00-05:00\",\"by\":{quoted},\"round\":\"2025\",{verb}}}\n"
        )
    };
    text.push_str(&entry(2, format!("\"saw\":{{\"head\":\"hall/1.1\",\"sign\":\"leak\",\"part\":\"seal\",\"extent\":\"heavy\",\"note\":{quoted}}}")));
    text.push_str(&entry(3, format!("\"note\":{{\"text\":{quoted}}}")));
    text.push_str(&entry(
        4,
        format!("\"unreached\":{{\"heads\":\"hall/1.2\",\"why\":\"other\",\"denied_by\":{quoted},\"note\":{quoted}}}"),
    ));
    text.push_str(&entry(5, format!("\"unsure\":{{\"head\":\"hall/1.3\",\"why\":\"dirty\",\"note\":{quoted}}}")));
    text.push_str(&entry(6, format!("\"notice\":{{\"told\":{quoted},\"how\":\"phone\",\"note\":{quoted}}}")));
    text
}

#[test]
fn nothing_written_in_a_file_steers_the_terminal() {
    let place = Place::new();
    place.write("quay.site.yaml", steering_site());
    let scan = place.scan("quay.site.yaml");
    assert_eq!((scan.entries.len(), scan.counts.broken), (6, 0), "{:?}", scan.findings);
    let commands = [
        "check quay.site.yaml",
        "status quay.site.yaml",
        "status quay.site.yaml --json",
        "rulings quay.site.yaml",
        "rulings quay.site.yaml --json",
        "report quay.site.yaml --to text",
        "report quay.site.yaml --to markdown",
        "report quay.site.yaml --json",
        "rulings quay.site.yaml --diagnostics json",
        "signoff quay.site.yaml",
        "check quay.site.yaml --round \"$(printf '\\033[2J\\302\\233')\"",
        "check \"$(printf 'no\\033[2J.site.yaml')\"",
        "\"$(printf '\\033[2J')\"",
        "rules explain \"$(printf '\\033[2J')\"",
    ];
    for command in commands {
        let ran = bounded(&place, command, "");
        is_orderly(&ran, command);
    }
    let mut sheets = bounded(&place, "report quay.site.yaml --to sheets", "");
    // Sheets are for printers: each ends its page, and nothing else of the kind stands in them.
    sheets.out = sheets.out.replace("\n\u{c}", "\n");
    is_orderly(&sheets, "sheets");
    let typed = format!(
        "find {0}\n{0}\nn typed {0}\np 1 t: {0}\ngo {0}\narea {0}\nbegin {0}\nleft\nq\n",
        STEERING.replace('\r', "")
    );
    let ran = bounded(&place, "walk quay.site.yaml --plain", &typed);
    is_orderly(&ran, "the plain walk");
    assert!(ran.out.contains("Recorded: note on"), "{ran:?}");
}

#[test]
fn nothing_written_in_a_file_steers_the_screens() {
    let place = Place::new();
    place.write("quay.site.yaml", steering_site());
    let mut term = Term::start(&place, &["walk", "quay.site.yaml"], 100, 30);
    // Each wait is for words that only the next screen has.
    term.see("Enter walk").keys("f").see("go there").keys("Esc").see("Enter walk").unsee("go there");
    term.keys("r").see("SUMMARY OF INSPECTION").see("write it").keys("Esc").see("Enter walk").unsee("write it");
    term.keys("Enter").see("Esc/q leave").keys("Home Enter").see("history").keys("Esc").unsee("history");
    term.keys("n").see("new line");
    // Pasted text, in the brackets that the terminal puts around it.
    term.send(format!("\u{1b}[200~{}\u{1b}[201~", STEERING.replace('\u{1b}', "")).as_bytes());
    term.see("end");
    let raw = String::from_utf8_lossy(&term.raw()).into_owned();
    for bad in ["\u{1b}]", "\u{7}", "\u{202e}", "\u{2066}", "\u{2028}", "\u{9b}", "\u{8}", "\u{7f}"] {
        assert!(!raw.contains(bad), "{bad:?} reached the terminal");
    }
    // The terminal's own commands end in a few letters; clearing the whole screen is one that the file asked for with text behind.
    assert!(!raw.contains("\u{1b}[2J\u{1b}]") && !raw.contains("31m\u{202e}"));
}

/// Rules that are over one another so that each can be reached from each in many ways.
fn knot() -> String {
    let over = |n: usize| (1..=20).map(|k| format!("r{}", (n + k * 131) % 1_000)).collect::<Vec<_>>().join(", ");
    let rest = "ruling: watch, clause: c, source: s, confidence: C, because: b, remedy: r";
    let rule = |n| format!("  - {{rule: r{n}, title: T, when: {{sign: paint}}, {rest}, over: [{}]}}\n", over(n));
    (0..1_000).map(rule).collect()
}

#[test]
fn a_rule_set_that_means_harm_is_told_with_its_place_by_itself_and_through_a_site() {
    let own = "format: headround rules 1\nname: own\ntitle: Own rules\nextends: nfpa25-2023\n";
    let cases = [
        case("empty", "", 2, &[]),
        case("binary", (0..=255).cycle().take(70_000).collect::<Vec<u8>>(), 2, &["UTF-8"]),
        case("utf-16", utf16(own), 2, &["UTF-8"]),
        case("alias-bomb", alias_bomb(), 2, &["repeats more than is read", "own.yaml:"]),
        case("deep", format!("{own}signs: {}", "[".repeat(200_000)), 2, &["own.yaml:5:"]),
        case("unknown-key", format!("{own}titel: x\n"), 2, &["did you mean 'title'?", "own.yaml:5:1"]),
        case("repeated-key", format!("{own}name: own\n"), 2, &["duplicate", "own.yaml:5:1"]),
        case("wrong-type", format!("{own}cautions: {{a: b}}\n"), 2, &["cautions", "own.yaml:5:"]),
        case("no-base", own.replace("2023", "2032"), 2, &["no rule set called 'nfpa25-2032'", "own.yaml:4:"]),
        case("ring", own.replace("extends: nfpa25-2023", "extends: own"), 2, &["own.yaml:4:"]),
        case("ring-of-two", own.replace("nfpa25-2023", "not-own"), 2, &["own -> not-own -> own", "not-own.yaml:4:"]),
        case("outside", own.replace("nfpa25-2023", "../../etc/passwd"), 2, &["is no word", "own.yaml:4:"]),
        case("knot", format!("{own}rules:\n{}", knot()), 2, &["over itself", "own.yaml:6:"]),
        case("steering", format!("{own}\"\\e[2J\\u202e\": 1\n"), 2, &["own.yaml:5:1"]),
        case("long", format!("{own}cautions: [{}]\n", "x".repeat(9 << 20)), 2, &["longer than"]),
        case("other-format", own.replace("rules 1", "rules 9"), 2, &["own.yaml:1:"]),
    ];
    let place = Place::new();
    place.write("quay.site.yaml", with("nfpa25-2023", "own") + BEGUN);
    place.write("not-own.yaml", own.replace("name: own", "name: not-own").replace("nfpa25-2023", "own"));
    let mut wrong = Vec::new();
    for it in &cases {
        place.write("own.yaml", &it.bytes);
        for command in ["rules check own.yaml", "check quay.site.yaml", "walk --plain quay.site.yaml"] {
            let ran = bounded(&place, command, "p 1 t\nq\n");
            let what = format!("{} with {command}", it.name);
            is_orderly(&ran, &what);
            let missing: Vec<_> = it.told.iter().filter(|w| !ran.err.contains(**w)).collect();
            if ran.code != Some(it.code) || !missing.is_empty() || !ran.err.contains("own.yaml") {
                let shown: String = ran.err.chars().take(500).collect();
                wrong.push(format!("{what}: exit {:?}, not told: {missing:?}\n{shown}", ran.code));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // A hole of more than the memory there is.
    std::fs::OpenOptions::new().write(true).open(place.path("own.yaml")).unwrap().set_len(3 << 30).unwrap();
    let ran = bounded(&place, "check quay.site.yaml", "");
    assert!(ran.code == Some(2) && ran.tells(&["longer than", "own.yaml"]), "{ran:?}");
    // And a sound one works, so that the cases above fail for what is wrong with them.
    place.write("own.yaml", own);
    let ran = bounded(&place, "walk quay.site.yaml --plain", "p 1 t\nq\n");
    assert!(ran.code == Some(0) && ran.out.contains("Recorded: hall/1.1 paint"), "{ran:?}");
}
