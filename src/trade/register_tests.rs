//! The register as it is read, complained about and written.

use super::address::AreaId;
use super::quantity::Units;
use super::register::{Cabinet, KindIx, Occupancy, Register, Run};
use super::register_text::*;
use super::register_write::*;
use crate::diag::{Diagnostic, Source};
use proptest::prelude::*;

const SMALL: &str = "\
format: headround site 1
site: {id: 01KAVQ5R8Z0000000000000000, name: Marram Quay Cannery, where: \"4 Saltpan Lane, Port Tarrow\", rules: nfpa25-2023, units: us}
kinds:
  qr-pendent: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome, made: 2009}
  int-upright: {orientation: upright, response: standard, element: link, rating: 200 F, k: 5.6, finish: brass, made: 1988}
areas:
  pack:
    name: Packing hall
    system: wet
    in_service: 2009-05
    setting: [damp, salt]
    ceiling_max: 100 F
    lines:                       # as the ceiling looks from below, one branch line a row
      - 10 qr-pendent
      - 4 qr-pendent, 1 int-upright, 5 qr-pendent
";

fn read_text(text: &str) -> (Option<Register>, Vec<Diagnostic>) {
    read(&Source::new("t.site.yaml", text))
}

#[test]
fn the_register_of_the_format_page_is_read() {
    let (register, complaints) = read_text(SMALL);
    assert!(complaints.is_empty(), "{complaints:?}");
    let register = register.expect("a register");
    assert_eq!(register.head_count(), 20);
    let area = &register.areas[0];
    assert_eq!(area.lines[1].runs.len(), 3);
    assert_eq!(area.lines[1].runs[2], Run { count: 5, kind: Some(KindIx(0)), from: 6 });
    assert_eq!(area.in_service.unwrap().to_string(), "2009-05");
    assert_eq!(register.kinds[0].describe(Units::Us), "pendent, quick, bulb, 155 °F, K5.6, chrome");
}

#[test]
fn every_mistake_is_told_at_once_with_its_place_and_the_nearest_word() {
    let bad = SMALL
        .replace("qr-pendent, 1 int", "qr-pendant, 1 int")
        .replace("response: quick", "response: quik")
        .replace("in_service", "in_sevice")
        .replace("rating: 200 F", "rating: 200");
    let (register, complaints) = read_text(&bad);
    assert!(register.is_none());
    let told: Vec<_> = complaints.iter().map(ToString::to_string).collect();
    assert_eq!(
        told,
        [
            "t.site.yaml:4:48: error: 'response': 'quik' is no response; did you mean 'quick'?",
            "t.site.yaml:5:82: error: 'rating': '200' has no unit; write '200 F' or '200 C'",
            "t.site.yaml:15:11: error: no kind is called 'qr-pendant'",
            "t.site.yaml:10:5: error: an area has no field 'in_sevice'",
        ]
    );
    assert_eq!(complaints[3].help.as_deref(), Some("did you mean 'in_service'?"));
}

#[test]
fn a_newer_format_is_named_as_such() {
    let (register, complaints) = read_text(&SMALL.replace("site 1", "site 7"));
    assert!(register.is_none());
    assert_eq!(complaints[0].code, "newer-format");
}

#[test]
fn places_keep_their_numbers_when_heads_come_and_go() {
    let named = |id: &str| ["a", "b"].iter().position(|k| *k == id);
    let line = parse_line("3 a, 1 b @11, 2 gap @4, 5 a", named).expect("a line");
    assert_eq!(line.runs[3].from, 6);
    for bad in [
        "3 a, 1 b @2",
        "a",
        "0 a",
        "3",
        "3 a b",
        "3 a @x",
        "3 a 4 b",
        "3 c",
        "1 a @20001",
        "10000 a, 10000 a, 1 a",
        "3 a,,2 b",
    ] {
        assert!(parse_line(bad, named).is_err(), "{bad}");
    }
    assert_eq!(parse_line("3 a, 2 c", named).unwrap_err().0, 7..8);
}

#[test]
fn what_is_written_reads_back_the_same() {
    let (register, _) = read_text(SMALL);
    let register = register.expect("a register");
    let (again, complaints) = read_text(&write(&register));
    assert!(complaints.is_empty(), "{complaints:?}");
    assert_eq!(again, Some(register));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn any_name_is_written_so_that_it_reads_back(name in "\\PC{0,40}", odd in "[ -~\\n\\t:#'\"{}\\[\\]]{0,20}", word in "(yes|no|null|1e3|012|~|-|true|1:30|2009-05-01)") {
        for text in [name, odd, word] {
            let (register, _) = read_text(SMALL);
            let mut register = register.expect("a register");
            register.site.name.clone_from(&text);
            register.areas[0].note = Some(text.clone());
            let (again, complaints) = read_text(&write(&register));
            prop_assert!(complaints.is_empty(), "{:?} {}", complaints, write(&register));
            prop_assert_eq!(again, Some(register));
        }
    }
}

fn any_text() -> impl Strategy<Value = String> {
    prop_oneof!["\\PC{0,20}", "[ -~\\n\\t:#'\"{}\\[\\]]{0,12}", "(yes|no|null|1e3|012|~|-|2009-05-01|6)"]
}

fn any_cabinets() -> impl Strategy<Value = Vec<Cabinet>> {
    let one = |n: usize| {
        let serves = prop::sample::subsequence(vec!["pack", "dock"], 0..=2);
        let keep = prop::sample::subsequence(vec!["qr-pendent", "int-upright"], 0..=2);
        (any_text(), prop::option::of(any_text()), serves, keep, 0u32..=10_000).prop_map(
            move |(name, place, serves, keep, many)| {
                let id = |text: &str| AreaId::parse(text).expect("a name");
                Cabinet {
                    id: id(["riser", "0", "no", "null"][n]),
                    name,
                    place,
                    serves: serves.into_iter().map(id).collect(),
                    keep: keep.into_iter().map(|k| (k.to_owned(), many)).collect(),
                }
            },
        )
    };
    (0usize..=4).prop_flat_map(move |n| (0..n).map(one).collect::<Vec<_>>())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn cabinets_hazards_wrenches_and_how_dry_heads_are_restored_read_back_as_written(
        cabinets in any_cabinets(), hazard in prop::option::of(prop::sample::select(Occupancy::ALL.to_vec())),
        wrench in prop::option::of(any_text()), restored in prop::option::of(any_text())
    ) {
        let text = format!("{SMALL}  dock: {{name: Dock, lines: [1 int-upright]}}\n");
        let (register, complaints) = read_text(&text);
        prop_assert!(complaints.is_empty(), "{:?}", complaints);
        let mut register = register.expect("a register");
        register.cabinets = cabinets;
        register.areas[1].hazard = hazard;
        register.kinds[0].wrench = wrench;
        register.site.dry_restored = restored;
        let (again, complaints) = read_text(&write(&register));
        prop_assert!(complaints.is_empty(), "{:?} {}", complaints, write(&register));
        prop_assert_eq!(again, Some(register));
    }
}

#[test]
fn names_that_mean_something_to_yaml_name_kinds_areas_and_cabinets_all_the_same() {
    for name in ["null", "no", "yes", "true", "0", "12", "1e3", "0x1f", "2009-05-01", "on", "y"] {
        let (register, _) = read_text(SMALL);
        let mut register = register.expect("a register");
        let id = AreaId::parse(name).expect(name);
        register.areas[0].id = id.clone();
        register.kinds[0].id = name.to_owned();
        let keep = vec![(name.to_owned(), 6)];
        register.cabinets =
            vec![Cabinet { id: id.clone(), name: name.to_owned(), place: None, serves: vec![id], keep }];
        let (again, complaints) = read_text(&write(&register));
        assert!(complaints.is_empty(), "{complaints:?} {}", write(&register));
        assert_eq!(again, Some(register));
    }
}

#[test]
fn what_is_wrong_with_a_cabinet_is_told_with_its_place_and_the_nearest_word() {
    let cases = [
        ("cabinets: {Riser: {}}", "t.site.yaml:16:12: error: 'Riser' cannot name a cabinet", "use 1 to 32 of a-z"),
        ("cabinets: {r: {serves: [pak]}}", "'serves'", "no area is called 'pak'; did you mean 'pack'?"),
        ("cabinets: {r: {keep: {qr-pendant: 6}}}", "no kind is called 'qr-pendant'", "did you mean 'qr-pendent'?"),
        ("cabinets: {r: {keep: {qr-pendent: 10001}}}", "write a number of heads, 0 to 10000", ""),
        ("cabinets: {r: {keep: {qr-pendent: -1}}}", "write a number of heads, 0 to 10000", ""),
        ("cabinets: {r: {keep: {qr-pendent: many}}}", "write a number of heads, 0 to 10000", ""),
        ("cabinets: {r: {keep: [6]}}", "keep", ""),
        ("cabinets: {r: {keeps: {qr-pendent: 6}}}", "a cabinet has no field 'keeps'", "did you mean 'keep'?"),
        ("cabinets: {r: {}, r: {}}", "r", ""),
        ("cabinets: riser", "cabinets", ""),
    ];
    for (text, said, more) in cases {
        let (_, complaints) = read_text(&format!("{SMALL}{text}\n"));
        let told: Vec<String> =
            complaints.iter().map(|c| format!("{c} {}", c.help.as_deref().unwrap_or_default())).collect();
        assert_eq!(told.len(), 1, "{text}: {told:?}");
        assert!(told[0].contains(said) && told[0].contains(more), "{text}: {told:?}");
        assert!(told[0].starts_with("t.site.yaml:16:"), "{text}: {told:?}");
    }
    let (_, complaints) = read_text(&SMALL.replace("    ceiling_max: 100 F", "    hazard: hihg"));
    assert_eq!(complaints.len(), 1, "{complaints:?}");
    assert!(complaints[0].to_string().contains("did you mean 'high'?"), "{complaints:?}");
}
