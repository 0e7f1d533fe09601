//! Entries as they are written and read back.

use std::sync::Arc;

use proptest::prelude::*;

use super::entry::*;
use super::wire::*;
use crate::trade::address::{AreaId, Heads};
use crate::trade::quantity::Temperature;

fn read(json: &str) -> Result<Entry, String> {
    Entry::from_json(json, &mut Names::default())
}

const HEAD: &str = r#""id":"01KAVQ5R8Z0000000000000001","at":"2026-11-25T09:14:02-05:00","by":"ines","round":"2026""#;

#[test]
fn every_verb_reads_back_as_it_was_written() {
    let verbs = [
        r#""begin":{"date":"2026-11-25","inspector":"Ines Tidewell","licence":"PT-118","purpose":"annual inspection"}"#,
        r#""seen":"pack/1.1..1.6""#,
        r#""saw":{"head":"pack/1.7","sign":"paint","part":"element","extent":"trace","applied":"field","how":"lift","doubtful":true,"note":"ü\u007f\u0085"}"#,
        r#""saw":{"head":"pack/1.7","sign":"blocked","part":"deflector","extent":"light","clearance":"12 in"}"#,
        r#""unsure":{"head":"pack/2","why":"dirty"}"#,
        r#""unreached":{"heads":"cold","why":"locked","denied_by":"night shift"}"#,
        r#""note":{"text":"roof hatch open"}"#,
        r#""notice":{"told":"owner","how":"phone"}"#,
        r#""did":{"head":"pack/1.7","did":"replaced","kind":"qr-pendent"}"#,
        r#""did":{"head":"pack/1.7","did":"replaced","kind":"qr-pendent-24","from":"riser"}"#,
        r#""counted":{"cabinet":"riser","held":{"int-upright":2,"qr-pendent":6},"unfit":{"qr-pendent":1},"note":"one painted"}"#,
        r#""counted":{"cabinet":"riser","held":{}}"#,
        r#""moved":{"cabinet":"riser","kind":"qr-pendent","n":6,"way":"put-in","note":"delivery"}"#,
        r#""moved":{"cabinet":"riser","kind":"qr-pendent","n":1,"way":"taken-out","head":"pack/1.7"}"#,
        r#""checked":{"cabinet":"riser","wrenches":{"":false,"small":true},"list":"right","warmest":"95 F","dry":true,"place":true,"note":"ü\u007f"}"#,
        r#""checked":{"cabinet":"riser"}"#,
        r#""posted":{"cabinet":"riser","date":"2026-11-25","keep":{"qr-pendent":6}}"#,
        r#""new_cabinet":{"id":"riser","name":"Valve room","place":"beside the riser","serves":["pack"]}"#,
        r#""gone":{"head":"pack/1.7","of":"01KAVQ5R8Z0000000000000000"}"#,
        r#""added":{"head":"pack/1.11","kind":"qr-pendent","after":4}"#,
        r#""removed":{"head":"pack/1.3"}"#,
        r#""is_kind":{"head":"pack/1.3","kind":"int-upright"}"#,
        r#""new_kind":{"id":"esfr","orientation":"pendent","mount":"exposed","response":"quick","style":"esfr","element":"link","rating":"165 F","k":"14","finish":"brass","made":"2011"}"#,
        r#""new_area":{"id":"dock","name":"Dock","system":"dry","setting":["freezing"],"ceiling_max":"38 C","lines":["4 qr-pendent"]}"#,
        r#""retract":"01KAVQ5R8Z0000000000000000""#,
        r#""settle":{"head":"pack/1.7","stands":"01KAVQ5R8Z0000000000000000","because":"seen from the lift"}"#,
        r#""signoff":{"name":"Ines Tidewell","date":"2026-11-25","digest":"sha256:00","lines":3}"#,
    ];
    for verb in verbs {
        let json = format!("{{{HEAD},{verb},\"prev\":\"01KAVQ5R8Z0000000000000000\"}}");
        let entry = read(&json).expect(&json);
        assert_eq!(entry.to_json(), json);
    }
    assert_eq!(verbs.len(), 27);
}

#[test]
fn what_is_no_entry_is_told_in_a_sentence() {
    let cases = [
        (format!("{{{HEAD}}}"), "the entry says nothing: 'seen', 'saw' or another verb is missing"),
        (
            format!(r#"{{{HEAD},"seen":"a","retract":"01KAVQ5R8Z0000000000000000"}}"#),
            "the entry says two things, 'seen' and 'retract'; write two entries",
        ),
        (format!(r#"{{{HEAD},"sen":"a"}}"#), "there is no field 'sen' here (column 100); did you mean 'seen'?"),
        (
            format!(r#"{{{HEAD},"seen":"A/1"}}"#),
            "'A/1' is no address; write 'pack/3.7', 'pack/1.1..1.6', 'pack/2' or 'pack' (column 108)",
        ),
        (
            format!(r#"{{{HEAD},"notice":{{"told":"owner","how":"phon"}}}}"#),
            "'phon' is no way of telling; did you mean 'phone'? (column 133)",
        ),
    ];
    for (json, words) in cases {
        assert_eq!(read(&json).expect_err(&json), words);
    }
    assert!(read(&format!(r#"{{{HEAD},"seen":"a","seen":"b"}}"#)).is_err());
}

#[test]
fn numbers_of_spares_that_cannot_be_meant_are_refused_with_their_place() {
    let cases = [
        r#""counted":{"cabinet":"riser","held":{"qr":-1}}"#,
        r#""counted":{"cabinet":"riser","held":{"qr":4294967296}}"#,
        r#""counted":{"cabinet":"riser","held":{"qr":1.5}}"#,
        r#""counted":{"cabinet":"riser","held":{"qr":"6"}}"#,
        r#""counted":{"cabinet":"riser","held":{"qr":1},"unfit":{"qr":-1}}"#,
        r#""counted":{"cabinet":"Riser room","held":{}}"#,
        r#""counted":{"cabinet":"riser"}"#,
        r#""moved":{"cabinet":"riser","kind":"qr","n":-3,"way":"put-in"}"#,
        r#""moved":{"cabinet":"riser","kind":"qr","n":3,"way":"lent"}"#,
        r#""moved":{"cabinet":"riser","kind":"qr","n":99999999999999999999999,"way":"put-in"}"#,
        r#""checked":{"cabinet":"riser","warmest":"95"}"#,
        r#""checked":{"cabinet":"riser","warmest":"1e9 F"}"#,
        r#""checked":{"cabinet":"riser","wrench":true}"#,
        r#""posted":{"cabinet":"riser","date":"2026-13-01","keep":{}}"#,
        r#""posted":{"cabinet":"riser","keep":{}}"#,
        r#""new_cabinet":{"id":"","name":"x"}"#,
        r#""new_cabinet":{"id":"riser","name":"x","serves":["No Such"]}"#,
    ];
    for verb in cases {
        let why = read(&format!("{{{HEAD},{verb}}}")).expect_err(verb);
        assert!(why.contains("(column ") && !why.contains('`'), "{verb}: {why}");
    }
    let most = format!(r#"{{{HEAD},"counted":{{"cabinet":"riser","held":{{"qr":{}}}}}}}"#, u32::MAX);
    assert_eq!(read(&most).expect(&most).to_json(), most);
}

fn any_spares() -> impl Strategy<Value = std::collections::BTreeMap<String, u32>> {
    prop::collection::btree_map(any::<String>(), any::<u32>(), 0..6)
}

fn any_of_cabinets() -> impl Strategy<Value = What> {
    let id = || "[a-z0-9][a-z0-9-]{0,31}".prop_map(|t| AreaId::parse(&t).expect("a name"));
    let note = || prop::option::of(any::<String>());
    let head = prop::option::of(prop::sample::select(vec!["pack/1.7", "pack", "pack/1.1..2.3"]));
    let way = prop::sample::select(Way::ALL.to_vec());
    let list = prop::option::of(prop::sample::select(List::ALL.to_vec()));
    let warmest =
        prop::option::of((-50i32..600).prop_map(|n| Temperature::parse(&format!("{n} C")).expect("a temperature")));
    let wrenches = prop::collection::btree_map(any::<String>(), any::<bool>(), 0..4);
    let day = (1970i32..2200, 1u32..366).prop_filter_map("a day", |(y, d)| chrono::NaiveDate::from_yo_opt(y, d));
    prop_oneof![
        (id(), any_spares(), any_spares(), note())
            .prop_map(|(cabinet, held, unfit, note)| What::Counted(Box::new(Counted { cabinet, held, unfit, note }))),
        (id(), any::<String>(), any::<u32>(), way, head, note()).prop_map(|(cabinet, kind, n, way, head, note)| {
            let head = head.map(|h| Heads::parse(h).expect("heads"));
            What::Moved(Box::new(Moved { cabinet, kind, n, way, head, note }))
        }),
        (id(), wrenches, list, warmest, prop::option::of(any::<bool>()), prop::option::of(any::<bool>()), note())
            .prop_map(|(cabinet, wrenches, list, warmest, dry, place, note)| {
                What::Checked(Box::new(Checked { cabinet, wrenches, list, warmest, dry, place, note }))
            }),
        (id(), day, any_spares()).prop_map(|(cabinet, date, keep)| What::Posted(Box::new(Posted {
            cabinet,
            date,
            keep
        }))),
        (id(), any::<String>(), note(), prop::collection::vec(id(), 0..4))
            .prop_map(|(id, name, place, serves)| What::NewCabinet(Box::new(NewCabinet { id, name, place, serves }))),
        (any::<String>(), prop::option::of(id())).prop_map(|(kind, from)| {
            let head = Heads::parse("pack/1.7").expect("heads");
            What::Did(Box::new(Did { head, did: Deed::Replaced, kind: Some(kind), from, who: None, note: None }))
        }),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_said_of_cabinets_reads_back_as_it_was_written(what in any_of_cabinets()) {
        let mut entry = read(&format!("{{{HEAD},\"seen\":\"pack\"}}")).expect("an entry");
        entry.what = what;
        let json = entry.to_json();
        prop_assert!(!json.chars().any(crate::diag::is_unprintable), "{}", json);
        let again = read(&json);
        prop_assert_eq!(again.as_ref(), Ok(&entry), "{}", json);
        prop_assert_eq!(again.expect("an entry").to_json(), json);
    }
}

#[test]
fn the_quick_reader_of_times_agrees_with_the_general_one() {
    let times = [
        "2026-11-25T09:14:02-05:00",
        "2024-02-29T23:59:59+14:00",
        "0001-01-01T00:00:00+00:00",
        "2026-11-25T09:14:02+00:30",
        "2026-02-29T09:14:02-05:00",
        "2026-11-25T24:00:00-05:00",
        "2026-11-25T09:60:02-05:00",
        "2026-11-25T09:14:60-05:00",
        "2026-11-25T09:14:02-24:00",
        "2026-11-25T09:14:02-05:60",
        "2026-11-25 09:14:02-05:00",
        "2026-11-25T09:14:02.5-05:0",
        "2026-13-25T09:14:02-05:00",
        "+026-11-25T09:14:02-05:00",
        "2026-11-25T09:14:02Z",
        "",
    ];
    let mut quick = 0;
    for text in times {
        if let Some(moment) = plain_moment(text) {
            assert_eq!(text.parse(), Ok(moment), "{text}");
            assert_eq!(moment.to_rfc3339(), text);
            quick += 1;
        }
    }
    assert_eq!(quick, 4);
}

#[test]
fn equal_names_are_one_however_many_there_are() {
    let mut names = Names::default();
    let first: Vec<_> = (0..20).map(|n| names.share(&n.to_string())).collect();
    for _ in 0..2 {
        for (n, known) in first.iter().enumerate() {
            assert!(Arc::ptr_eq(known, &names.share(&n.to_string())));
        }
    }
}

#[test]
#[cfg(target_pointer_width = "64")]
fn an_entry_takes_no_more_room_than_docs_performance_says() {
    assert_eq!((size_of::<Entry>(), size_of::<Marks>(), align_of::<Id>()), (104, 72, 8));
}

#[test]
fn ids_only_ever_grow() {
    let first = Id::after(None, 1_800_000_000_000, 7);
    let same_moment = Id::after(Some(first), 1_800_000_000_000, 3);
    let clock_went_back = Id::after(Some(same_moment), 1_000_000_000_000, 9);
    assert!(first < same_moment && same_moment < clock_went_back);
    assert_eq!(Id::parse(&first.to_string()), Ok(first));
    for bad in [
        "",
        "01KAVQ5R8Z000000000000000",
        "01kavq5r8z0000000000000001",
        "81KAVQ5R8Z0000000000000001",
        "01KAVQ5R8ZI000000000000001",
    ] {
        assert!(Id::parse(bad).is_err(), "{bad}");
    }
}
