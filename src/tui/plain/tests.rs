//! The plain walk, driven by lines, on a small site in a folder of its own.

use std::collections::VecDeque;
use std::io;
use std::sync::atomic::{AtomicU64, Ordering};

use chrono::{DateTime, FixedOffset, TimeDelta};
use insta::assert_snapshot;

use super::order::{Order, Sweep, WORDS, Want, read};
use super::{Lines, run};
use crate::record::desk::{Clock, Desk, Who};
use crate::record::journal::Mode;
use crate::round::entry::{Applied, Entry, How, What};
use crate::rules::builtin;

const SITE: &str = include_str!("../../../tests/fixtures/harbour.site.yaml");
const HEAD: &str = r#""by":"osk","round":"2025""#;

struct Ticking(AtomicU64);

impl Clock for Ticking {
    fn now(&self) -> DateTime<FixedOffset> {
        let n = self.0.fetch_add(1, Ordering::Relaxed);
        let start = DateTime::parse_from_rfc3339("2026-11-25T09:00:00-05:00").unwrap();
        start + TimeDelta::seconds(i64::try_from(n).unwrap())
    }

    fn random(&self) -> u128 {
        7
    }
}

struct Typed {
    lines: VecDeque<String>,
    out: String,
}

impl Lines for Typed {
    fn read(&mut self, prompt: &str) -> io::Result<Option<String>> {
        let line = self.lines.pop_front();
        let typed = line.as_deref().unwrap_or("(end)");
        self.out.push_str(&format!("{prompt} {typed}\n"));
        Ok(line)
    }

    fn write(&mut self, line: &str) -> io::Result<()> {
        self.out.push_str(line);
        self.out.push('\n');
        Ok(())
    }
}

/// A walk: what was said, and what was recorded in it, in words.
pub(super) struct Walked {
    pub(super) out: String,
    pub(super) recorded: Vec<String>,
    pub(super) entries: Vec<Entry>,
}

pub(super) fn walk_on(site: &str, typed: &[&str]) -> Walked {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("harbour.site.yaml");
    std::fs::write(&path, site).unwrap();
    let who = Who { by: "ines".into(), host: "quay".into(), pid: 1, rules: None };
    let clock = Ticking(AtomicU64::new(0));
    let (mut desk, _) = Desk::open(&path, Mode::Write, &who, &clock, None).unwrap();
    let before = desk.state().entries().len();
    let mut lines = Typed { lines: typed.iter().map(|l| (*l).to_owned()).collect(), out: String::new() };
    run(&mut desk, &clock, None, &mut lines).unwrap();
    let entries: Vec<Entry> = desk.state().entries()[before..].to_vec();
    let recorded = entries.iter().map(crate::round::words::entry_words).collect();
    Walked { out: lines.out, recorded, entries }
}

/// A walk of a round that has begun.
fn walk(typed: &[&str]) -> Walked {
    let all = [&["begin Ines Tidewell, PT-118"], typed].concat();
    let mut walked = walk_on(SITE, &all);
    walked.recorded.remove(0);
    walked.entries.remove(0);
    walked
}

/// The site with a finding of an earlier round on hall/1.2.
fn with_an_earlier_round() -> String {
    let entry = |n: u8, verb: &str| {
        format!(
            "--- {{\"id\":\"01KAVQ5R8Z00000000000000{n:02}\",\"at\":\"2025-11-25T09:14:0{n}-05:00\",{HEAD},{verb}}}\n"
        )
    };
    let begin = entry(1, r#""begin":{"date":"2025-11-25","inspector":"Osk Brannagh-Fell"}"#);
    let saw = entry(2, r#""saw":{"head":"hall/1.2","sign":"paint","part":"frame","extent":"light"}"#);
    let sign = entry(3, r#""signoff":{"name":"Osk Brannagh-Fell","date":"2025-11-25","digest":"sha256:00","lines":2}"#);
    format!("{SITE}{begin}{saw}{sign}")
}

#[test]
fn a_line_is_walked_in_words() {
    let walked = walk(&["s", "p 1 t: white drops", "next", "sweep line", "yes", "left", "q"]);
    assert_snapshot!(walked.out, @r"
    Harbour Office, nfpa25-2023
    No round has begun: 10 heads, 0 seen, 0 not judged, 0 not reached, 10 unseen.
    Begin a round first: type 'begin FULL NAME, LICENCE'.
    This covers heads, not valves, pipes, pumps or supply. 'help' lists what can be typed.
    hall/1.1: Entrance hall, line 1 of 2, place 1 of 4.
    qr-pendent: pendent, quick, bulb, 155 °F, K5.6, chrome; made 2009.
    A pendent head with a bulb of red liquid, finish chrome, no sign drawn on it.
    Not seen in this round.
    hall/1.1> begin Ines Tidewell, PT-118
    Round 2026: 10 heads, 0 seen, 0 not judged, 0 not reached, 10 unseen.
    hall/1.1> s
    Recorded: hall/1.1 seen.
    hall/1.2, the same kind.
    Not seen in this round.
    hall/1.2> p 1 t: white drops
    Recorded: hall/1.2 paint on element, trace: white drops.
    Taken as field-applied; if it is not, 'undo' and add 'factory' or 'unknown'.
    Seen. Ruling: replace (critical).
    Paint on the heat element or the water seal (5.2.1.1.1(6); ruling: seen in a secondary source; class: from memory, check before quoting).
      Because: Paint is a blanket on the element and a glue between cap and seat. In a laboratory's small trial more than half of the painted heads failed. The adopted text asks whether paint is detrimental to performance; on element or seal this set takes any paint to be so.
      Do: Have the head replaced by its equal.
      Never: Never scrape, peel or dissolve paint on a head.
    hall/1.2> next
    hall/1.3, the same kind.
    Not seen in this round.
    hall/1.3> sweep line
    Record 2 heads as seen, hall/1.3..1.4? Type 'yes' to record it.
    yes or no? yes
    Recorded: hall/1.3..1.4 seen.
    2 heads seen.
    hall/2.1, the same kind.
    Not seen in this round.
    hall/2.1> left
    Entrance hall: 3 heads without an answer: hall/2.1..2.3.
    Plant room: 3 heads without an answer: plant/1.1..1.3.
    hall/2.1> q
    Entrance hall: 3 heads without an answer: hall/2.1..2.3.
    Left. Everything entered is in the file.
    ");
    assert_eq!(
        walked.recorded,
        ["hall/1.1 seen", "hall/1.2 paint on element, trace: white drops", "hall/1.3..1.4 seen"]
    );
}

#[test]
fn a_sign_can_be_typed_in_every_way() {
    for typed in [
        "p 1 t",
        "p1t",
        "1pt",
        "P1T",
        "1 p t",
        "paint element trace",
        "PAINT 1 trace",
        "p t 1",
        "paint t element field",
    ] {
        let walked = walk(&[typed]);
        assert_eq!(walked.recorded, ["hall/1.1 paint on element, trace"], "{typed}: {}", walked.out);
    }
    let walked = walk(&["leak seal heavy binoculars doubtful: drips on the desk"]);
    let What::Saw(saw) = &walked.entries[0].what else { panic!("{}", walked.out) };
    assert_eq!((saw.how, saw.doubtful, saw.note.as_deref()), (How::Binoculars, true, Some("drips on the desk")));
    assert_eq!(saw.applied, None);
    let walked = walk(&["p 3 l factory"]);
    let What::Saw(saw) = &walked.entries[0].what else { panic!("{}", walked.out) };
    assert_eq!(saw.applied, Some(Applied::Factory));
}

#[test]
fn one_letter_or_a_slip_never_writes() {
    for typed in [
        "p",
        "p 1",
        "p t",
        "p 9 t",
        "p 1 x",
        "h",
        "zz",
        "sweep",
        "sweep line",
        "like 3",
        "note",
        "did eaten",
        "x",
        "x nowhere",
        "v tired",
        "go 9.9",
        "area attic",
        "yes",
        "next up",
        "x other",
        "\u{1b}[2J",
    ] {
        let walked = walk(&[typed, "no"]);
        assert_eq!(walked.recorded, [""; 0], "{typed}: {}", walked.out);
        assert!(!walked.out.contains('\u{1b}') || typed.contains('\u{1b}'), "{typed:?}");
    }
    assert_snapshot!(walk(&["p", "paint 9 t", "paunt 1 t", "strap"]).out.lines().filter(|l| l.starts_with(['W', 'P', '\'', 'F'])).collect::<Vec<_>>().join("\n"), @r"
    Paint: write the part (1 element, 2 seal, 3 deflector, 4 frame, 5 boss, 6 escutcheon, 7 cover-plate, 8 whole) and how much: t trace (specks or a brush's touch), l light (a thin coat on a part of it), h heavy (thick or running), f full (covered).
    '9' is no part, extent or way of looking for paint; paint: write the part (1 element, 2 seal, 3 deflector, 4 frame, 5 boss, 6 escutcheon, 7 cover-plate, 8 whole) and how much: t trace (specks or a brush's touch), l light (a thin coat on a part of it), h heavy (thick or running), f full (covered).
    'paunt' is nothing that can be typed here; did you mean 'paint'?
    ");
}

#[test]
fn the_same_goes_to_the_next_heads_after_a_question() {
    let walked = walk(&["l seal t", "like 2", "yes"]);
    assert_eq!(walked.recorded, ["hall/1.1 leak on seal, trace", "hall/1.2..1.3 leak on seal, trace"]);
    assert!(
        walked.out.contains("Record leak seal, trace on 2 heads, hall/1.2..1.3? Type 'yes' to record it."),
        "{}",
        walked.out
    );
    let walked = walk(&["l seal t", "next", "like 2", "yes"]);
    assert_eq!(walked.recorded.len(), 1, "the sign was on another head: {}", walked.out);
}

#[test]
fn a_question_is_answered_by_yes_alone() {
    for answer in ["no", "y", "s", "", "next"] {
        let walked = walk(&["sweep area", answer]);
        assert!(!walked.recorded.iter().any(|r| r.contains("..")), "{answer}: {}", walked.out);
    }
    assert_eq!(walk(&["sweep area", "Yes"]).recorded, ["hall/1.1..2.3 seen"]);
}

#[test]
fn a_letter_at_a_question_is_no_order_and_the_question_stays() {
    let walked = walk(&["s", "undo", "sweep area", "y", "n", "yes"]);
    assert_eq!(walked.out.matches("Type 'yes' to record it, or 'no' to leave it.").count(), 2, "{}", walked.out);
    assert_eq!(walked.recorded.last().map(String::as_str), Some("hall/1.1..2.3 seen"), "{:?}", walked.recorded);
    assert!(!walked.out.contains("Brought back"), "{}", walked.out);
}

#[test]
fn a_bare_address_goes_there() {
    for (line, prompt) in [("2.2", "hall/2.2>"), ("plant/1.3", "plant/1.3>")] {
        let walked = walk(&[line, "s"]);
        assert!(walked.out.contains(&format!("{prompt} s")), "{line}: {}", walked.out);
    }
}

#[test]
fn unreached_and_unsure_heads_have_their_reasons() {
    let walked =
        walk(&["v dirty: cobwebs", "go 2.2", "x locked line: no key", "yes", "area plant", "x process area", "yes"]);
    assert_eq!(
        walked.recorded,
        ["hall/1.1 could not be judged (dirty)", "hall/2.1..2.3 not reached (locked)", "plant not reached (process)"]
            .map(|s| s.replace("plant not", "plant/1.1..1.3 not"))
    );
    let walked = walk(&["v dirty", "s", "go 1.1", "s"]);
    assert_eq!(walked.recorded.len(), 1, "a head that could not be judged is not seen by going on: {}", walked.out);
}

#[test]
fn a_finding_of_an_earlier_round_is_answered_before_the_head_is_seen() {
    let site = with_an_earlier_round();
    let walked = walk_on(&site, &["begin Ines Tidewell", "s", "s", "s", "still", "s"]);
    assert_eq!(walked.recorded[1..], ["hall/1.1 seen", "hall/1.2 paint on frame, light"]);
    let What::Saw(saw) = &walked.entries[2].what else { panic!("{}", walked.out) };
    assert_eq!(saw.of.map(|id| id.to_string()).as_deref(), Some("01KAVQ5R8Z0000000000000002"));
    let walked = walk_on(&site, &["begin Ines Tidewell", "go 1.2", "gone", "gone"]);
    assert_eq!(walked.recorded[1..], ["hall/1.2 looked at again, gone"]);
    let walked = walk_on(&site, &["begin Ines Tidewell", "go 1.2", "paint frame heavy", "left"]);
    assert_eq!(walked.recorded.len(), 2, "worse answers it too");
    assert!(walked.out.contains("hall/1.1, hall/1.3..1.4"), "{}", walked.out);
}

#[test]
fn steps_are_taken_back_and_brought_back() {
    let walked = walk(&["s", "u", "u", "y", "y", "here"]);
    assert_eq!(walked.recorded.len(), 3, "{:?}", walked.recorded);
    for words in [
        "Taken back: hall/1.1 seen.",
        "Nothing of yours to take back.",
        "Brought back: hall/1.1 seen.",
        "Nothing to bring back.",
    ] {
        assert!(walked.out.contains(words), "{words}: {}", walked.out);
    }
}

#[test]
fn one_finds_ones_way() {
    let walked = walk(&[
        "back",
        "next",
        "next",
        "back",
        "area 2",
        "next",
        "go hall/2.3",
        "next",
        "next open",
        "find upright",
        "go 2",
        "areas",
        "count",
        "why",
    ]);
    assert_eq!(walked.recorded, [""; 0]);
    assert_snapshot!(walked.out, @r"
    Harbour Office, nfpa25-2023
    No round has begun: 10 heads, 0 seen, 0 not judged, 0 not reached, 10 unseen.
    Begin a round first: type 'begin FULL NAME, LICENCE'.
    This covers heads, not valves, pipes, pumps or supply. 'help' lists what can be typed.
    hall/1.1: Entrance hall, line 1 of 2, place 1 of 4.
    qr-pendent: pendent, quick, bulb, 155 °F, K5.6, chrome; made 2009.
    A pendent head with a bulb of red liquid, finish chrome, no sign drawn on it.
    Not seen in this round.
    hall/1.1> begin Ines Tidewell, PT-118
    Round 2026: 10 heads, 0 seen, 0 not judged, 0 not reached, 10 unseen.
    hall/1.1> back
    That is the first head of the area.
    hall/1.1> next
    hall/1.2, the same kind.
    Not seen in this round.
    hall/1.2> next
    hall/1.3, the same kind.
    Not seen in this round.
    hall/1.3> back
    hall/1.2, the same kind.
    Not seen in this round.
    hall/1.2> area 2
    plant/1.1: Plant room, line 1 of 1, place 1 of 3.
    int-upright: upright, standard, link, 200 °F, K5.6, brass; made 1988.
    An upright head with a solder link and a white mark on its frame, finish brass, no sign drawn on it.
    Not seen in this round.
    plant/1.1> next
    plant/1.2, the same kind.
    Not seen in this round.
    plant/1.2> go hall/2.3
    hall/2.3: Entrance hall, line 2 of 2, place 3 of 3.
    qr-pendent: pendent, quick, bulb, 155 °F, K5.6, chrome; made 2009.
    A pendent head with a bulb of red liquid, finish chrome, no sign drawn on it.
    Not seen in this round.
    hall/2.3> next
    That was the last head of Entrance hall.
    Entrance hall: 7 heads without an answer: hall/1.1..1.4, hall/2.1..2.3.
    'areas' lists the areas.
    hall/2.3> next open
    hall/1.1, the same kind.
    Not seen in this round.
    hall/1.1> find upright
    1. plant/1.1
    2. plant/1.2
    3. plant/1.3
    Type 'go' and a number to go there.
    hall/1.1> go 2
    plant/1.2: Plant room, line 1 of 1, place 2 of 3.
    int-upright: upright, standard, link, 200 °F, K5.6, brass; made 1988.
    An upright head with a solder link and a white mark on its frame, finish brass, no sign drawn on it.
    Not seen in this round.
    plant/1.2> areas
    1. Entrance hall (hall): 7 heads, 7 heads without an answer
    2. Plant room (plant): 3 heads, 3 heads without an answer
    plant/1.2> count
    Round 2026: 10 heads, 0 seen, 0 not judged, 0 not reached, 10 unseen.
    plant/1.2> why
    This head has no ruling: nothing was recorded about it in this round.
    plant/1.2> (end)
    ");
}

#[test]
fn a_ruling_is_explained_with_its_argument_what_other_editions_say_and_what_cases_look_like() {
    let walked = walk(&["p 4 t", "why", "editions", "cases"]);
    let said = |order: &str| walked.out.split_once(&format!("hall/1.1> {order}\n")).unwrap().1;
    let why = said("why").split_once("hall/1.1>").unwrap().0;
    assert!(why.contains("\nContested: ") && why.contains("'editions' tells what other editions say"), "{why}");
    let editions = said("editions").split_once("hall/1.1>").unwrap().0;
    assert!(editions.contains("  NFPA 25, 2023 edition, adopted here: watch (noncritical); clause "), "{editions}");
    assert!(editions.contains("  NFPA 25, 2020 edition: replace (noncritical); clause "), "{editions}");
    for name in builtin::names() {
        assert!(editions.contains(&builtin::load(name).unwrap().edition), "{name}: {editions}");
    }
    let cases = said("cases");
    for words in [
        "  Case: overspray specks on one frame arm. Ruling: watch.\n    A pendent head with a bulb of red liquid, finish chrome: paint on the frame (trace).",
        "  Near miss: a thick coat on both arms. Ruling: look.\n    A pendent head",
    ] {
        assert!(cases.contains(words), "{cases}");
    }
}

#[test]
fn without_a_ruling_there_is_nothing_to_explain() {
    let walked = walk(&["why", "editions", "cases", "s", "back", "editions"]);
    assert_eq!(walked.out.matches("This head has no ruling").count(), 3, "{}", walked.out);
    assert!(
        walked.out.ends_with("editions\nRuling: keep.\nNo rule had anything to say.\nhall/1.1> (end)\n"),
        "{}",
        walked.out
    );
}

#[test]
fn without_a_round_it_says_how_to_begin() {
    let walked = walk_on(SITE, &["s", "begin", "begin Ines Tidewell", "begin Ines Tidewell", "s"]);
    assert_snapshot!(walked.out, @r"
    Harbour Office, nfpa25-2023
    No round has begun: 10 heads, 0 seen, 0 not judged, 0 not reached, 10 unseen.
    Begin a round first: type 'begin FULL NAME, LICENCE'.
    This covers heads, not valves, pipes, pumps or supply. 'help' lists what can be typed.
    hall/1.1: Entrance hall, line 1 of 2, place 1 of 4.
    qr-pendent: pendent, quick, bulb, 155 °F, K5.6, chrome; made 2009.
    A pendent head with a bulb of red liquid, finish chrome, no sign drawn on it.
    Not seen in this round.
    hall/1.1> s
    No round has begun.
    Begin a round first: type 'begin FULL NAME, LICENCE'.
    hall/1.1> begin
    Who inspects? write 'begin FULL NAME, LICENCE'.
    hall/1.1> begin Ines Tidewell
    Round 2026: 10 heads, 0 seen, 0 not judged, 0 not reached, 10 unseen.
    hall/1.1> begin Ines Tidewell
    Round 2026 has begun and is not signed: go on with it.
    hall/1.1> s
    Recorded: hall/1.1 seen.
    hall/1.2, the same kind.
    Not seen in this round.
    hall/1.2> (end)
    ");
    assert_eq!(walked.recorded.len(), 2);
}

#[test]
fn what_help_lists_is_understood_and_nothing_else_is_a_word() {
    let set = builtin::load("nfpa25-2023").unwrap();
    let example = |word: &str| match word {
        "k" | "like" => "12",
        "v" | "unsure" => "dirty",
        "x" | "unreached" => "locked line: no key",
        "did" => "replaced qr-pendent",
        "n" | "note" | "find" => "text",
        "w" | "sweep" => "line",
        "j" | "go" => "3.7",
        "begin" => "Ines Tidewell, PT-118",
        "area" => "hall",
        "SIGN" => "1 t",
        _ => "",
    };
    for (words, _, _) in WORDS {
        let orders: Vec<Order> = words
            .iter()
            .map(|w| {
                let typed = if *w == "SIGN" { "paint" } else { w };
                read(&format!("{typed} {}", example(w)), &set).unwrap_or_else(|e| panic!("{w}: {e}"))
            })
            .collect();
        assert!(orders.windows(2).all(|pair| pair[0] == pair[1]), "{words:?}");
    }
    assert_eq!(read("next look", &set), Ok(Order::Next(Want::Look)));
    assert_eq!(read("w area", &set), Ok(Order::Sweep(Sweep::Area)));
    assert_eq!(read("s", &set), Ok(Order::Seen));
    assert!(matches!(read("s full", &set), Ok(Order::Saw(_))), "behind a letter the sign is meant");
    for sign in set.eye_signs().map(|(_, s)| s) {
        assert!(!WORDS.iter().any(|(words, _, _)| words.contains(&sign.id.as_str())), "{} is a word already", sign.id);
    }
}

#[test]
fn help_and_signs_tell_everything() {
    let walked = walk(&["help", "signs"]);
    let set = builtin::load("nfpa25-2023").unwrap();
    for sign in set.eye_signs().map(|(_, s)| s) {
        assert!(walked.out.contains(&format!("{}: {}", sign.id, sign.hint)), "{}", sign.id);
    }
    for (words, _, what) in WORDS {
        assert!(walked.out.contains(&format!("{what}.")), "{words:?}");
    }
}

/// The site with a recalled number on the kind of the plant room.
fn with_a_recall() -> String {
    SITE.replace("brass, made: 1988}", "brass, made: 1988, number: QZ0417}")
        .replace("areas:\n", "recalled:\n  - {number: QZ0417, made: 1980..1990, why: its link sticks}\nareas:\n")
}

#[test]
fn what_the_register_alone_says_is_told_and_never_passed_off_as_no_rule() {
    let walked = walk_on(
        &with_a_recall(),
        &["begin Ines Tidewell", "area plant", "why", "s", "back", "why", "editions", "cases", "d 4 h", "why"],
    );
    assert!(!walked.out.contains("No rule had anything to say"), "{}", walked.out);
    let whys: Vec<&str> = walked.out.split("> why\n").skip(1).map(|t| t.split_once("plant/1.1> ").unwrap().0).collect();
    assert_snapshot!(whys.join("----\n"), @r"
    This head has no ruling: nothing was recorded about it in this round.
    What the register alone says: replace (advisory).
    The registered number is recalled (outside the 2023 inspection; ruling: seen in a secondary source; class: common practice, no source).
      Because: The identification number and the year of this kind stand on a list of recalled heads.
      Do: Tell the owner in writing, with the number and the list it stands on. The authority's rules decide whether it is a deficiency.
    Contested: One side: a 2008 clause demanded replacement, and a fire code asks for it still; one state wants a yellow tag. The other: since then the annex has called it the owner's matter, and one state forbids noting voluntary recalls. The 2026 edition asks for a written notice. Practice differs; the authority decides.
    'editions' tells what other editions say, 'cases' what it looks like.
    ----
    Ruling: keep.
    What the register alone says: replace (advisory).
    The registered number is recalled (outside the 2023 inspection; ruling: seen in a secondary source; class: common practice, no source).
      Because: The identification number and the year of this kind stand on a list of recalled heads.
      Do: Tell the owner in writing, with the number and the list it stands on. The authority's rules decide whether it is a deficiency.
    Contested: One side: a 2008 clause demanded replacement, and a fire code asks for it still; one state wants a yellow tag. The other: since then the annex has called it the owner's matter, and one state forbids noting voluntary recalls. The 2026 edition asks for a written notice. Practice differs; the authority decides.
    'editions' tells what other editions say, 'cases' what it looks like.
    ----
    Ruling: replace (critical).
    Damage to deflector, frame or body (5.2.1.1.1(3); ruling: seen in the source's text; class: from memory, check before quoting).
      Because: A bent tooth or deflector throws the water beside the fire. A bent arm has moved the seat it holds. Physical damage is one of the causes that the 2023 text does not qualify.
      Do: Have the head replaced. If it was struck once, ask whether a guard belongs there.
      Never: Never bend a deflector back.
    'editions' tells what other editions say, 'cases' what it looks like.
    What the register alone says: replace (advisory).
    The registered number is recalled (outside the 2023 inspection; ruling: seen in a secondary source; class: common practice, no source).
      Because: The identification number and the year of this kind stand on a list of recalled heads.
      Do: Tell the owner in writing, with the number and the list it stands on. The authority's rules decide whether it is a deficiency.
    Contested: One side: a 2008 clause demanded replacement, and a fire code asks for it still; one state wants a yellow tag. The other: since then the annex has called it the owner's matter, and one state forbids noting voluntary recalls. The 2026 edition asks for a written notice. Practice differs; the authority decides.
    'editions' tells what other editions say, 'cases' what it looks like.
    ");
    for order in ["editions", "cases"] {
        let said = walked.out.split_once(&format!("> {order}\n")).unwrap().1.split_once("plant/1.1> ").unwrap().0;
        assert!(said.contains("What the register alone says: ") && said.contains("(recall-listed)."), "{said}");
    }
}

#[test]
fn what_an_extent_means_for_a_sign_is_told_where_it_is_chosen() {
    let walked = walk(&["signs hung", "signs H", "signs paint", "signs hungg", "hung", "h", "signs"]);
    let said = |order: &str| {
        let after = walked.out.split_once(&format!("hall/1.1> {order}\n")).unwrap().1;
        after.split_once("hall/1.1> ").unwrap().0.to_owned()
    };
    assert_snapshot!(said("signs hung"), @r"
    h or hung: something hangs on the head or its pipe, or bags it.
      8 whole (all over, or the head as it hangs).
      t trace (one clean, whole bag of cellophane or thin paper).
      l light (light things: cord, cable tie, decoration).
      h heavy (loads: cables, banners; or a thin bag loaded or brittle).
      f full (other film, plastic, tape, cloth, or several layers).
    ");
    assert_eq!(said("signs hung"), said("signs H"));
    assert_snapshot!(said("signs paint"), @r"
    p or paint: paint, lacquer, overspray, plaster.
      1 element (the glass bulb, or the solder link with its levers).
      2 seal (the cap and seat where the water is held back).
      3 deflector (the toothed plate that spreads the water).
      4 frame (the arms between body and deflector).
      5 boss (the wrench flats, the body and its thread).
      6 escutcheon (the ring at the ceiling, or the recessed cup).
      7 cover-plate (the plate that hides a concealed head).
      8 whole (all over, or the head as it hangs).
      t trace (specks or a brush's touch).
      l light (a thin coat on a part of it).
      h heavy (thick or running).
      f full (covered).
    ");
    assert_snapshot!(said("signs hungg"), @"'hungg' is no sign; did you mean 'hung'?");
    assert_snapshot!(said("hung"), @"Hung: write the part (8 whole) and how much: t trace (one clean, whole bag of cellophane or thin paper), l light (light things: cord, cable tie, decoration), h heavy (loads: cables, banners; or a thin bag loaded or brittle), f full (other film, plastic, tape, cloth, or several layers).");
    assert!(said("signs").contains("trace (one clean, whole bag of cellophane or thin paper)"), "{}", said("signs"));
    assert_eq!(walked.recorded, [""; 0]);
}
