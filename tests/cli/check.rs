use insta::assert_snapshot;

use crate::support::{HARBOUR, Place};

#[test]
fn a_sound_file_says_so_in_a_line() {
    let place = Place::signed();
    assert_snapshot!(place.run(&["check", "@harbour.site.yaml"]), @r"
    exit 0
    harbour.site.yaml: sound; 10 heads, 12 entries
      round '2026', signed by Ines Tidewell: the signed lines are unchanged
    ");
    assert_snapshot!(place.run(&["check", "@harbour.site.yaml", "--json"]), @r#"
    exit 0
    [
      {
        "file": "harbour.site.yaml",
        "sound": true,
        "site": "Harbour Office",
        "heads": 10,
        "entries": 12,
        "errors": 0,
        "warnings": 0,
        "notes": 0,
        "signoffs": [
          {
            "round": "2026",
            "entry": "01M89G430R009WDVSQ5ZMMZ0N0",
            "by": "Ines Tidewell",
            "lines": "unchanged",
            "count": 0,
            "later": 0,
            "joined": 0,
            "register_same": true
          }
        ]
      }
    ]
    "#);
    assert_eq!(place.run(&["check", "@harbour.site.yaml", "--strict"]).code, 0);
}

#[test]
fn a_signed_line_that_was_changed_is_told() {
    let place = Place::signed();
    let text = place.read("harbour.site.yaml");
    // A whole line rewritten by hand, without its sum: sound by itself, but not what was signed.
    let line = text.lines().find(|l| l.contains("white drops")).unwrap();
    let json = line.strip_prefix("--- ").unwrap();
    let mut entry: serde_json::Value = serde_json::from_str(json).unwrap();
    entry.as_object_mut().unwrap().remove("sum");
    entry["saw"]["note"] = "nothing".into();
    place.write("harbour.site.yaml", &text.replace(line, &format!("--- {entry}")));
    let ran = place.run(&["check", "@harbour.site.yaml", "--diagnostics", "short"]);
    assert_eq!(ran.code, 2);
    assert_snapshot!(ran, @r"
    exit 2
    harbour.site.yaml: not sound; 10 heads, 12 entries; 1 error; 1 note
      round '2026', signed by Ines Tidewell: the signed lines were changed
    --- standard error
    harbour.site.yaml: note: 1 entry was written by hand: no checksum guards them
    harbour.site.yaml: error: lines of the signed round '2026' were changed
    ");
}

#[test]
fn a_signed_line_that_is_missing_is_told_and_later_ones_are_no_fault() {
    let place = Place::signed();
    place.walk("note all clear below\n");
    let later = place.run(&["check", "@harbour.site.yaml", "--strict"]);
    assert_snapshot!(later, @r"
    exit 0
    harbour.site.yaml: sound; 10 heads, 13 entries
      round '2026', signed by Ines Tidewell: the signed lines are unchanged; 1 made after the sign-off
    ");
    let text = place.read("harbour.site.yaml");
    let line = text.lines().find(|l| l.contains("white drops")).unwrap();
    place.write("harbour.site.yaml", &text.replace(&format!("{line}\n"), ""));
    let ran = place.run(&["check", "@harbour.site.yaml", "--diagnostics", "short"]);
    assert_eq!(ran.code, 2);
    assert_snapshot!(ran, @r"
    exit 2
    harbour.site.yaml: not sound; 10 heads, 12 entries; 1 error; 1 warning
      round '2026', signed by Ines Tidewell: of the signed lines 1 missing; 1 made after the sign-off
    --- standard error
    harbour.site.yaml:25:1: warning: the entry 01M89G3BJR002F3EYDSFX57R58 of 'ines' is missing: its line was cut away or damaged
    harbour.site.yaml: error: a line of the signed round '2026' is missing
    ");
}

#[test]
fn lines_written_by_hand_and_entries_that_do_not_fit_are_counted() {
    let place = Place::with_harbour();
    let hand = r#"--- {"id":"01KAVQ5R8Z0000000000000001","at":"2026-11-25T09:14:02-05:00","by":"osk","round":"2026","seen":"attic/1.1"}"#;
    place.write("harbour.site.yaml", &format!("{HARBOUR}{hand}\n"));
    let ran = place.run(&["check", "@harbour.site.yaml", "--diagnostics", "short"]);
    assert_snapshot!(ran, @r"
    exit 0
    harbour.site.yaml: sound; 10 heads, 1 entry; 1 warning; 1 note
    --- standard error
    harbour.site.yaml: note: 1 entry was written by hand: no checksum guards them
    harbour.site.yaml:23:1: warning: entry 01KAVQ5R8Z0000000000000001: 'attic/1.1' is not in the register
    ");
    assert_eq!(place.run(&["check", "@harbour.site.yaml", "--strict"]).code, 1);
}

#[test]
fn several_files_are_checked_and_the_bad_ones_decide_the_exit_code() {
    let place = Place::walked();
    place.write("torn.site.yaml", &format!("{HARBOUR}--- {{\"id\":\"01KAVQ5R8Z00000000000"));
    place.write("rules.site.yaml", &HARBOUR.replace("nfpa25-2023", "house-rules"));
    let ran =
        place.run(&["check", "@torn.site.yaml", "@rules.site.yaml", "@harbour.site.yaml", "--diagnostics", "short"]);
    assert_eq!(ran.code, 2);
    assert_snapshot!(ran, @r"
    exit 2
    torn.site.yaml: sound; 10 heads, 0 entries; 1 warning
    rules.site.yaml: not sound; 1 error
    harbour.site.yaml: sound; 10 heads, 11 entries
    --- standard error
    torn.site.yaml:23:1: warning: the last line is unfinished (32 bytes): writing it was cut off, so it was never acknowledged
    rules.site.yaml: error: there is no rule set called 'house-rules'
    ");
    let torn = place.read("torn.site.yaml");
    assert!(torn.ends_with("00000"), "checking writes nothing: {torn}");
}
