//! `calc sample`, `odds`, `bound` and `survival`: what they print, their JSON, and what bad numbers get.

use std::fs;
use std::path::Path;

use insta::assert_snapshot;
use serde_json::Value;

use crate::support::Place;

fn calc(arguments: &[&str]) -> crate::support::Ran {
    Place::new().run(&[&["calc"], arguments].concat())
}

fn json(arguments: &[&str]) -> Value {
    let ran = calc(&[arguments, &["--json"]].concat());
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{ran}");
    ran.json()
}

fn number(of: &Value, key: &str) -> f64 {
    of[key].as_f64().unwrap_or_else(|| panic!("no number '{key}' in {of}"))
}

#[test]
fn people_are_told_in_sentences() {
    assert_snapshot!("sample", calc(&["sample", "--heads", "640", "--kinds", "9", "--bad", "32"]));
    assert_snapshot!("sample_whole_lot", calc(&["sample", "--heads", "3", "--reading", "whole-site"]));
    assert_snapshot!(
        "sample_each_kind",
        calc(&["sample", "--heads", "80", "--rules", "en12845", "--reading", "insurers-high"])
    );
    assert_snapshot!("odds", calc(&["odds", "--heads", "400", "--bad", "20", "--curve"]));
    assert_snapshot!(
        "odds_accept",
        calc(&["odds", "--heads", "400", "--bad", "20", "--sample", "30", "--accept", "1"])
    );
    assert_snapshot!(
        "bound",
        calc(&["bound", "--sample", "4", "--failed", "0", "--heads", "400", "--confidence", "0.95"])
    );
    let groups = ["survival", "--group", "clean=41.2,44.0", "--group", "painted=66,150+"];
    assert_snapshot!("survival", calc(&groups));
    assert_snapshot!("survival_steps", calc(&[&groups[..], &["--steps"]].concat()));
    assert_snapshot!(
        "survival_apart",
        calc(&["survival", "--group", "a=1+", "--group", "b=3,4", "--confidence", "90%"])
    );
}

#[test]
fn programs_are_told_in_json() {
    assert_snapshot!("sample_json", calc(&["sample", "--heads", "640", "--bad", "32", "--json"]));
    assert_snapshot!("odds_json", calc(&["odds", "--heads", "50", "--bad", "5", "--json"]));
    assert_snapshot!("bound_json", calc(&["bound", "--sample", "4", "--failed", "0", "--heads", "400", "--json"]));
    assert_snapshot!("survival_json", calc(&["survival", "--group", "9.1,10 s,2min+", "--json"]));
}

/// NFPA 25:2014 5.3.1.2 as quoted: four heads or one in a hundred, whichever is more; rounded up to whole heads.
#[test]
fn one_in_a_hundred_and_at_least_four_is_rounded_up_and_grows_with_the_kinds() {
    for (heads, sample) in [
        ("1", 1),
        ("3", 3),
        ("4", 4),
        ("400", 4),
        ("401", 5),
        ("450", 5),
        ("500", 5),
        ("501", 6),
        ("640", 7),
        ("1000", 10),
        ("1001", 11),
        ("2500", 25),
    ] {
        assert_eq!(json(&["sample", "--heads", heads])["sample"], sample, "{heads}");
    }
    assert_eq!(json(&["sample", "--heads", "640", "--kinds", "9"])["sample"], 9);
    assert_eq!(json(&["sample", "--heads", "640", "--kinds", "6"])["sample"], 7);
}

/// EN 12845:2015 Table K.1 on public pages, and the insurers' bulletin TB203 beside it.
#[test]
fn other_sets_give_their_tables_and_every_reading_is_listed() {
    for (heads, sample) in [("10", 10), ("5000", 20), ("5001", 40), ("10001", 60), ("20001", 80), ("40000", 100)] {
        assert_eq!(json(&["sample", "--heads", heads, "--rules", "en12845"])["sample"], sample, "{heads}");
    }
    // The table ends at 40,000 heads (EN 12845:2015 Table K.1): the head of the answer says so.
    assert_eq!(json(&["sample", "--heads", "40000", "--rules", "en12845"])["beyond"], serde_json::Value::Null);
    for what in [&["sample", "--heads", "40001"][..], &["odds", "--heads", "40001", "--bad", "5"]] {
        let words = [what, &["--rules", "en12845"]].concat();
        assert!(json(&words)["beyond"].as_str().unwrap().contains("ends at 40000 heads"));
        let text = calc(&words).out;
        assert!(text.lines().take(3).any(|l| l.contains("ends at 40000 heads")), "{text}");
    }
    let named = ["sample", "--heads", "8000", "--rules", "en12845", "--hazard", "high"];
    let told = json(&named);
    let readings: Vec<_> = told["readings"].as_array().unwrap().iter().map(|r| (&r["reading"], &r["sample"])).collect();
    assert_eq!(
        readings,
        [
            (&"table-k1".into(), &40.into()),
            (&"table-k1-each-kind".into(), &40.into()),
            (&"insurers-high".into(), &50.into())
        ]
    );
    let told = json(&[&named[..], &["--reading", "insurers-high"]].concat());
    assert_eq!(
        (&told["sample"], &told["each_kind"], &told["reading"]),
        (&50.into(), &true.into(), &"insurers-high".into())
    );
}

#[test]
fn odds_without_a_sample_take_the_rule_sets_size() {
    let told = json(&["odds", "--heads", "400", "--bad", "20"]);
    assert_eq!((&told["sample"], &told["reading"]), (&4.into(), &"one-per-cent".into()));
    // Worked out in whole numbers.
    assert!((number(&told, "at_least_one") - 0.186_140).abs() < 6e-7);
    let own = json(&["odds", "--heads", "400", "--bad", "20", "--sample", "4"]);
    assert_eq!((&own["probability"], &own["reading"]), (&told["probability"], &Value::Null));
}

#[test]
fn bounds_are_the_published_ones() {
    // Clopper and Pearson's method; the number of heads worked out in whole numbers.
    let told = json(&["bound", "--sample", "4", "--failed", "0", "--heads", "400"]);
    assert!((number(&told, "upper") - 0.527_129).abs() < 6e-7, "{told}");
    assert_eq!((&told["upper_heads"], &told["upper_untested"]), (&210.into(), &210.into()));
    let told = json(&["bound", "--sample", "10", "--failed", "2", "--confidence", "95%"]);
    assert!((told["between"][0].as_f64().unwrap() - 0.025_211).abs() < 6e-7, "{told}");
    assert_eq!(told["upper_heads"], Value::Null);
}

/// Freireich and others, Blood 21 (1963) 699–716.
#[test]
fn the_remission_times_come_out_as_in_textbooks() {
    let told = json(&[
        "survival",
        "--group",
        "treated=6,6,6,6+,7,9+,10,10+,11+,13,16,17+,19+,20+,22,23,25+,32+,32+,34+,35+",
        "--group",
        "placebo=1,1,2,2,3,4,4,5,5,8,8,8,8,11,11,12,12,15,17,22,23",
    ]);
    let group = |at: usize, key: &str| told["groups"][at][key].clone();
    assert_eq!([group(0, "median"), group(1, "median")], [23.0.into(), Value::from(8.0)]);
    assert_eq!([group(0, "n"), group(0, "opened")], [Value::from(21), 9.into()]);
    assert!((number(&told, "chi2") - 16.792_941).abs() < 6e-7 && (number(&told, "p") - 4.168_809e-5).abs() < 1e-11);
    assert_eq!((&told["df"], &told["median"]), (&1.into(), &Value::Null));
    assert_eq!(json(&["survival", "--group", "9,10.5,0:12+"])["median"], 10.5);
}

#[test]
fn bad_numbers_get_a_sentence_and_no_number() {
    for arguments in [
        &["sample", "--heads", "0"][..],
        &["sample", "--heads", "-4"],
        &["sample", "--heads", "4.5"],
        &["sample", "--heads", "1,000"],
        &["sample", "--heads", "5", "--kinds", "6"],
        &["sample", "--heads", "5", "--kinds", "0"],
        &["sample", "--heads", "5", "--bad", "6"],
        &["sample", "--heads", "5", "--bad", "0"],
        &["sample", "--heads", "5", "--hazard", "any"],
        &["sample", "--heads", "5", "--hazard", "hgih"],
        &["sample", "--heads", "5", "--reading", "one-percent"],
        &["sample", "--heads", "5", "--rules", "nfpa25-1999"],
        &["odds", "--heads", "400", "--bad", "401"],
        &["odds", "--heads", "400", "--bad", "20", "--sample", "401"],
        &["odds", "--heads", "400", "--bad", "20", "--sample", "0"],
        &["odds", "--heads", "400", "--bad", "20", "--sample", "4", "--accept", "4"],
        &["odds", "--heads", "0", "--bad", "0"],
        &["bound", "--sample", "4", "--failed", "5"],
        &["bound", "--sample", "4", "--failed", "0", "--heads", "3"],
        &["bound", "--sample", "0", "--failed", "0"],
        &["bound", "--sample", "4", "--failed", "0", "--confidence", "1"],
        &["bound", "--sample", "4", "--failed", "0", "--confidence", "95"],
        &["bound", "--sample", "4", "--failed", "0", "--confidence", "-0.5"],
        &["bound", "--sample", "4", "--failed", "0", "--confidence", "nan"],
        &["survival", "--group", "a="],
        &["survival", "--group", "=3"],
        &["survival", "--group", "a=-3"],
        &["survival", "--group", "a=3,,4"],
        &["survival", "--group", "a=+"],
        &["survival", "--group", "a=inf"],
        &["survival", "--group", "a=3 weeks"],
        &["survival", "--group", "a=3", "--group", "a=4"],
    ] {
        for form in [&[][..], &["--json"]] {
            let ran = calc(&[arguments, form].concat());
            assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{arguments:?}: {ran}");
            assert!(
                ran.err.starts_with("error") && ran.err.contains(' ') && !ran.err.contains("NaN"),
                "{arguments:?}: {ran}"
            );
        }
    }
}

#[test]
fn what_is_wrong_is_said_with_what_to_do() {
    assert_snapshot!("bad_sample", calc(&["odds", "--heads", "4", "--bad", "3", "--sample", "5"]));
    assert_snapshot!("bad_time", calc(&["survival", "--group", "a=41,x"]));
    assert_snapshot!("bad_reading", calc(&["sample", "--heads", "40", "--reading", "one-percent"]));
}

#[test]
fn a_set_of_ones_own_is_asked_like_a_built_in_one() {
    let place = Place::new();
    place.write("rules/stricter.yaml", crate::rules_diff::AUTHORITY);
    let told = place.fine(&["calc", "sample", "--heads", "640", "--rules", "stricter", "--json"]).json();
    assert_eq!((&told["rules"], &told["sample"]), (&"stricter".into(), &7.into()));
}

#[test]
fn names_of_groups_steer_no_terminal() {
    let ran = calc(&["survival", "--group", "a\u{1b}[31m=3,4", "--steps"]);
    assert!(ran.code == 0 && !ran.out.contains('\u{1b}'), "{ran:?}", ran = ran.out);
}

#[test]
fn every_key_of_the_json_stands_in_the_page() {
    let page = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/json.md")).unwrap();
    let documented: Vec<&str> = page.split('`').skip(1).step_by(2).collect();
    fn keys(value: &Value, list: &mut Vec<String>) {
        match value {
            Value::Object(map) => map.iter().for_each(|(key, value)| {
                list.push(key.clone());
                keys(value, list);
            }),
            Value::Array(items) => items.iter().for_each(|item| keys(item, list)),
            _ => {}
        }
    }
    let mut told = Vec::new();
    keys(&json(&["sample", "--heads", "640", "--bad", "32"]), &mut told);
    keys(&json(&["odds", "--heads", "400", "--bad", "20", "--curve"]), &mut told);
    keys(&json(&["bound", "--sample", "4", "--failed", "0", "--heads", "400"]), &mut told);
    keys(&json(&["survival", "--group", "a=3,4+", "--group", "b=5,6"]), &mut told);
    assert!(told.len() > 60);
    for key in told {
        assert!(documented.contains(&key.as_str()), "docs/json.md does not name '{key}'");
    }
}
