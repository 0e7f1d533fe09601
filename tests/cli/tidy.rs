use insta::assert_snapshot;

use crate::support::{HARBOUR, Place};

/// Entries of the field, as the walk writes them: a kind and a head found, one of another kind, one not there.
fn with_changes(place: &Place) {
    let entry = |n: u8, verb: &str| {
        format!(
            "--- {{\"id\":\"01KAVQ5R8Z00000000000000{n:02}\",\"at\":\"2026-11-25T09:14:0{n}-05:00\",\"by\":\"ines\",\"round\":\"2026\",{verb}}}\n"
        )
    };
    let verbs = [
        r#""begin":{"date":"2026-11-25","inspector":"Ines Tidewell"}"#,
        r#""new_kind":{"id":"old-pendent","orientation":"pendent","response":"standard","element":"link","rating":"165 F","k":"5.6","made":"1974"}"#,
        r#""added":{"head":"hall/2.4","kind":"old-pendent"}"#,
        r#""is_kind":{"head":"hall/1.2","kind":"old-pendent"}"#,
        r#""removed":{"head":"hall/1.1","why":"no head there"}"#,
        r#""seen":"hall/2.4""#,
    ];
    let lines: String = (1..).zip(verbs).map(|(n, v)| entry(n, v)).collect();
    place.write("harbour.site.yaml", &format!("{HARBOUR}{lines}"));
}

#[test]
fn changes_of_the_field_go_into_the_register_and_the_old_file_stays() {
    let place = Place::new();
    with_changes(&place);
    let before = place.read("harbour.site.yaml");
    let status = place.fine(&["status", "@harbour.site.yaml"]).out;
    assert_snapshot!(place.run(&["tidy", "@harbour.site.yaml"]), @r"
    exit 0
    Tidied harbour.site.yaml: the register has taken in 4 entries.
    The file as it was: harbour.site.yaml.before-tidy-1
    ");
    assert_eq!(place.read("harbour.site.yaml.before-tidy-1"), before);
    let after = place.read("harbour.site.yaml");
    let register = &after[..after.find("\n--- ").unwrap()];
    assert!(register.contains("- 1 gap, 1 old-pendent, 2 qr-pendent"), "{register}");
    assert!(register.contains("- 3 qr-pendent, 1 old-pendent"), "{register}");
    assert_eq!(place.fine(&["status", "@harbour.site.yaml"]).out, status);
    let again = place.run(&["tidy", "@harbour.site.yaml", "--json"]);
    assert_eq!((again.code, again.json()["taken_in"].as_u64()), (0, Some(0)), "{again}");
    assert_eq!(place.read("harbour.site.yaml"), after);
}

#[test]
fn what_a_signature_covers_stays() {
    let place = Place::new();
    with_changes(&place);
    place.walk("area hall\nsweep area\nyes\narea plant\nsweep area\nyes\n");
    place.fine(&["signoff", "@harbour.site.yaml", "--name", "Ines Tidewell", "--yes"]);
    let before = place.read("harbour.site.yaml");
    assert_snapshot!(place.run(&["tidy", "@harbour.site.yaml"]), @r"
    exit 0
    harbour.site.yaml: there is nothing to take in; the file is as it was.
    4 changes stay entries: a sign-off covers or precedes them, another entry builds on them, or an earlier one speaks of their place.
    ");
    assert_eq!(place.read("harbour.site.yaml"), before);
}

#[test]
fn a_head_found_after_its_line_was_swept_is_still_unseen_after_tidying() {
    let place = Place::new();
    let entry = |n: u8, verb: &str| {
        format!(
            "--- {{\"id\":\"01KAVQ5R8Z00000000000000{n:02}\",\"at\":\"2026-11-25T09:14:0{n}-05:00\",\"by\":\"ines\",\"round\":\"2026\",{verb}}}\n"
        )
    };
    let verbs = [
        r#""begin":{"date":"2026-11-25","inspector":"Ines Tidewell"}"#,
        r#""seen":"hall""#,
        r#""added":{"head":"hall/2.4","kind":"qr-pendent"}"#,
    ];
    let lines: String = (1..).zip(verbs).map(|(n, v)| entry(n, v)).collect();
    place.write("harbour.site.yaml", &format!("{HARBOUR}{lines}"));
    let status = place.fine(&["status", "@harbour.site.yaml"]).out;
    let done = place.run(&["tidy", "@harbour.site.yaml", "--json"]);
    assert_eq!((done.json()["taken_in"].as_u64(), done.json()["stay"].as_u64()), (Some(0), Some(1)), "{done}");
    assert_eq!(place.fine(&["status", "@harbour.site.yaml"]).out, status);
}

#[test]
fn tidying_changes_nothing_of_a_round_that_was_signed() {
    let place = Place::signed();
    let year = |place: &Place, command: &str| place.fine(&[command, "@harbour.site.yaml", "--round", "2026"]).out;
    place.fine(&["begin", "@harbour.site.yaml", "--round", "2027", "--inspector", "Ines Tidewell"]);
    let id = |n: u8| format!("7ZZZZZZZZZ00000000000000{n:02}");
    let entry = |n: u8, verb: &str| {
        let head =
            format!("\"id\":\"{}\",\"at\":\"2027-11-25T09:14:0{n}-05:00\",\"by\":\"ines\",\"round\":\"2027\"", id(n));
        format!("--- {{{head},{verb}}}\n")
    };
    let kind = r#""new_kind":{"id":"old-upright","orientation":"upright","response":"standard","element":"link","rating":"165 F","k":"5.6","made":"1974"}"#;
    let lines = [
        entry(1, kind),
        entry(2, r#""is_kind":{"head":"hall/1.1","kind":"old-upright"}"#),
        entry(3, r#""removed":{"head":"hall/1.2","why":"no head there"}"#),
    ];
    place.write("harbour.site.yaml", &format!("{}{}", place.read("harbour.site.yaml"), lines.concat()));
    let before = (year(&place, "status"), year(&place, "rulings"));
    let done = place.run(&["tidy", "@harbour.site.yaml", "--json"]);
    assert_eq!((done.json()["taken_in"].as_u64(), done.json()["stay"].as_u64()), (Some(1), Some(2)), "{done}");
    assert_eq!((year(&place, "status"), year(&place, "rulings")), before);
}

#[test]
fn a_file_that_is_not_there_or_not_sound_is_left_alone() {
    let place = Place::new();
    assert_snapshot!(place.run(&["tidy", "@none.site.yaml"]), @r"
    exit 2
    --- standard error
    error[no-such-file]: there is no file 'none.site.yaml'
    --> none.site.yaml
     = help: start one with 'headround new', or check the name
    ");
    place.write("bad.site.yaml", &format!("{HARBOUR}--- {{\"id\":1}}\n"));
    assert_eq!(place.run(&["tidy", "@bad.site.yaml"]).code, 2);
    assert!(place.read("bad.site.yaml").ends_with("{\"id\":1}\n"));
}

#[test]
fn a_cabinet_found_goes_into_the_register_and_what_was_said_of_it_stays() {
    let place = Place::new();
    let entry = |n: u8, verb: &str| {
        format!(
            "--- {{\"id\":\"01KAVQ5R8Z00000000000000{n:02}\",\"at\":\"2026-11-25T09:14:0{n}-05:00\",\"by\":\"ines\",\"round\":\"2026\",{verb}}}\n"
        )
    };
    let verbs = [
        r#""begin":{"date":"2026-11-25","inspector":"Ines Tidewell"}"#,
        r#""new_cabinet":{"id":"riser","name":"yes: the \"valve\" room","place":"beside the riser","serves":["plant"]}"#,
        r#""counted":{"cabinet":"riser","held":{"qr-pendent":6},"unfit":{"qr-pendent":1}}"#,
        r#""moved":{"cabinet":"riser","kind":"qr-pendent","n":2,"way":"taken-out"}"#,
        r#""checked":{"cabinet":"riser","wrenches":{"":true},"dry":true}"#,
        r#""posted":{"cabinet":"riser","date":"2026-11-25","keep":{"qr-pendent":6}}"#,
        r#""did":{"head":"hall/1.1","did":"replaced","kind":"qr-pendent","from":"riser"}"#,
    ];
    let lines: Vec<String> = (1..).zip(verbs).map(|(n, v)| entry(n, v)).collect();
    place.write("harbour.site.yaml", &format!("{HARBOUR}{}", lines.concat()));
    let stock = |place: &Place| {
        let state = headround::record::scan::scan(place.read("harbour.site.yaml").as_bytes(), "t").unwrap();
        let register = state.register.unwrap();
        let set = headround::rules::builtin::load("nfpa25-2023").unwrap();
        let judge = headround::rules::judge::Judge::new(set, &register.recalled);
        let state = headround::round::state::State::fold(register, state.entries, judge, None);
        assert_eq!(state.problems(), []);
        let ledger = headround::round::stock::ledger(&state);
        let held: Vec<i64> = ledger.shelves.iter().flat_map(|s| s.holdings.values()).map(|h| h.held).collect();
        (state.register().cabinets.clone(), held)
    };
    let before = stock(&place);
    assert_eq!(before.1, [3]);
    assert!(place.fine(&["tidy", "@harbour.site.yaml"]).out.contains("taken in 1 entry"));
    let after = place.read("harbour.site.yaml");
    for (n, line) in lines.iter().enumerate() {
        assert_eq!(after.contains(line.as_str()), n != 1, "{line}");
    }
    assert_eq!(stock(&place), before);
}

#[test]
fn a_cabinet_that_serves_an_area_nobody_knows_is_told_and_nothing_is_tidied() {
    let place = Place::new();
    let line = "--- {\"id\":\"01KAVQ5R8Z0000000000000001\",\"at\":\"2026-11-25T09:14:00-05:00\",\"by\":\"ines\",\"round\":\"2026\",\"new_cabinet\":{\"id\":\"riser\",\"name\":\"Riser\",\"serves\":[\"cellar\"]}}\n";
    let text = format!("{HARBOUR}{line}");
    place.write("harbour.site.yaml", &text);
    let ran = place.run(&["tidy", "@harbour.site.yaml"]);
    assert_eq!(ran.code, 2, "{ran}");
    assert!(ran.err.contains("no area is called 'cellar'") && ran.err.contains("take the entry back"), "{ran}");
    assert_eq!(place.read("harbour.site.yaml"), text);
}
