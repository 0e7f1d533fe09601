use insta::assert_snapshot;

use crate::support::Place;

#[test]
fn progress_is_counted_by_area() {
    let place = Place::half_walked();
    assert_snapshot!(place.run(&["status", "@harbour.site.yaml"]), @r"
    exit 0
    Harbour Office (harbour.site.yaml)
    Round '2026' of 2026-11-25, not signed

    AREA   NAME           HEADS  SEEN  UNREACHED  UNSURE  UNSEEN  RULINGS
    hall   Entrance hall      7     5          0       1       1  2 replace, 1 look, 3 keep
    plant  Plant room         3     0          2       0       1
           All               10     5          2       1       2  2 replace, 1 look, 3 keep
    1 head has an open impairment
    6 spares are asked for, and no cabinet is in the register
    ");
}

#[test]
fn a_site_without_a_round_says_so() {
    let place = Place::with_harbour();
    assert_snapshot!(place.run(&["status", "@harbour.site.yaml"]), @r"
    exit 0
    Harbour Office (harbour.site.yaml)
    No round has begun.

    AREA   NAME           HEADS  SEEN  UNREACHED  UNSURE  UNSEEN  RULINGS
    hall   Entrance hall      7     0          0       0       7
    plant  Plant room         3     0          0       0       3
           All               10     0          0       0      10
    6 spares are asked for, and no cabinet is in the register
    ");
}

#[test]
fn the_json_shape_is_the_documented_one() {
    let place = Place::half_walked();
    assert_snapshot!(place.run(&["status", "@harbour.site.yaml", "--json"]), @r#"
    exit 0
    [
      {
        "file": "harbour.site.yaml",
        "site": "Harbour Office",
        "round": "2026",
        "date": "2026-11-25",
        "heads": 10,
        "seen": 5,
        "unreached": 2,
        "unseen": 2,
        "unsure": 1,
        "rulings": {
          "keep": 3,
          "watch": 0,
          "look": 1,
          "clean": 0,
          "correct": 0,
          "test": 0,
          "replace": 2
        },
        "advisory": 0,
        "carried": 0,
        "disagreements": 0,
        "impairments": 1,
        "impairments_before": 0,
        "signed": false,
        "signed_by": null,
        "spares": {
          "cabinets": 0,
          "counted": 0,
          "asked": 6,
          "held": 0,
          "known": false,
          "short": 6,
          "wrong": 1,
          "open": 0
        },
        "areas": [
          {
            "area": "hall",
            "name": "Entrance hall",
            "heads": 7,
            "seen": 5,
            "unreached": 0,
            "unseen": 1,
            "unsure": 1,
            "rulings": {
              "keep": 3,
              "watch": 0,
              "look": 1,
              "clean": 0,
              "correct": 0,
              "test": 0,
              "replace": 2
            },
            "advisory": 0,
            "carried": 0,
            "disagreements": 0,
            "impairments": 1,
            "impairments_before": 0
          },
          {
            "area": "plant",
            "name": "Plant room",
            "heads": 3,
            "seen": 0,
            "unreached": 2,
            "unseen": 1,
            "unsure": 0,
            "rulings": {
              "keep": 0,
              "watch": 0,
              "look": 0,
              "clean": 0,
              "correct": 0,
              "test": 0,
              "replace": 0
            },
            "advisory": 0,
            "carried": 0,
            "disagreements": 0,
            "impairments": 0,
            "impairments_before": 0
          }
        ]
      }
    ]
    "#);
}

#[test]
fn of_several_files_a_bad_one_is_told_and_left_out() {
    let place = Place::half_walked();
    place.write("bad.site.yaml", "format: headround site 1\nsite: {name: x}\n");
    let ran =
        place.run(&["status", "@missing.site.yaml", "@harbour.site.yaml", "@bad.site.yaml", "--diagnostics", "short"]);
    assert_snapshot!(ran, @r"
    exit 2
    Harbour Office (harbour.site.yaml)
    Round '2026' of 2026-11-25, not signed

    AREA   NAME           HEADS  SEEN  UNREACHED  UNSURE  UNSEEN  RULINGS
    hall   Entrance hall      7     5          0       1       1  2 replace, 1 look, 3 keep
    plant  Plant room         3     0          2       0       1
           All               10     5          2       1       2  2 replace, 1 look, 3 keep
    1 head has an open impairment
    6 spares are asked for, and no cabinet is in the register
    --- standard error
    missing.site.yaml: error: there is no file 'missing.site.yaml'
    bad.site.yaml:1:1: error: the register has no 'kinds'
    bad.site.yaml:1:1: error: the register has no 'areas'
    bad.site.yaml:2:7: error: the site has no 'id'
    bad.site.yaml:2:7: error: the site has no 'rules'
    ");
    let json = place.run(&["status", "@missing.site.yaml", "@harbour.site.yaml", "--json"]);
    assert_eq!(json.code, 2);
    assert_eq!(json.json().as_array().unwrap().len(), 1);
}

#[test]
fn strict_exits_with_1_while_something_is_left() {
    let place = Place::half_walked();
    assert_eq!(place.run(&["status", "@harbour.site.yaml", "--strict"]).code, 1);
    let clean = Place::with_harbour();
    clean.fine(&["begin", "@harbour.site.yaml", "--inspector", "Ines Tidewell"]);
    clean.walk("sweep area\nyes\narea plant\nsweep area\nyes\n");
    // The set asks for six spares: nobody knows of any yet.
    let strict = || clean.run(&["status", "@harbour.site.yaml", "--strict"]).code;
    assert_eq!(strict(), 1);
    clean.fine(&["cabinet", "@harbour.site.yaml", "add", "riser", "--name", "Valve room cabinet"]);
    assert_eq!(strict(), 1);
    clean.fine(&["cabinet", "@harbour.site.yaml", "count", "riser", "qr-pendent=4", "int-upright=2"]);
    assert_eq!(strict(), 0);
    clean.fine(&["cabinet", "@harbour.site.yaml", "take", "riser", "int-upright", "1"]);
    assert_eq!(strict(), 1);
}

#[test]
fn an_unknown_round_is_told_with_those_there_are() {
    let place = Place::half_walked();
    assert_snapshot!(place.run(&["status", "@harbour.site.yaml", "--round", "2025"]), @r"
    exit 2
    --- standard error
    error[unknown-round]: the file has no round '2025'
    --> harbour.site.yaml
     = help: its rounds: 2026
    ");
}

#[test]
fn diagnostics_come_as_one_json_array_even_when_there_are_none() {
    let place = Place::half_walked();
    let ran = place.run(&["status", "@a.site.yaml", "@harbour.site.yaml", "@b.site.yaml", "--diagnostics", "json"]);
    let told: serde_json::Value = serde_json::from_str(&ran.err).unwrap();
    assert_eq!(told.as_array().unwrap().len(), 2);
    assert_eq!(told[0]["code"], "no-such-file");
    assert_eq!(place.run(&["status", "@harbour.site.yaml", "--diagnostics", "json"]).err.trim(), "[]");
}
