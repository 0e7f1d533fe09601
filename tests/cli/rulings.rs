use insta::assert_snapshot;

use crate::support::Place;

#[test]
fn ruled_heads_stand_in_a_table() {
    let place = Place::half_walked();
    assert_snapshot!(place.run(&["rulings", "@harbour.site.yaml"]), @r"
    exit 0
    HEAD      KIND        RULING   CLASS       SIGNS   CLAUSE        REASON
    hall/1.2  qr-pendent  replace  critical    paint   5.2.1.1.1(6)  Paint on the heat element or the water seal
    hall/1.4  qr-pendent  replace  impairment  leak    5.2.1.1.1(1)  Water runs or sprays from the head
    hall/2.2  qr-pendent  look     -           unsure  5.2.1.1       It could not be judged
    ");
}

#[test]
fn filters_take_several_values_and_work_together() {
    let place = Place::half_walked();
    let heads = |arguments: &[&str]| -> Vec<String> {
        let all = [&["rulings", "@harbour.site.yaml", "--json"], arguments].concat();
        let rows = place.fine(&all).json();
        rows.as_array().unwrap().iter().map(|r| r["head"].as_str().unwrap().to_owned()).collect()
    };
    assert_eq!(heads(&[]), ["hall/1.2", "hall/1.4", "hall/2.2"]);
    assert_eq!(heads(&["--ruling", "replace"]), ["hall/1.2", "hall/1.4"]);
    assert_eq!(heads(&["--ruling", "look,clean"]), ["hall/2.2"]);
    assert_eq!(heads(&["--ruling", "look", "--ruling", "replace"]).len(), 3);
    assert_eq!(heads(&["--class", "impairment"]), ["hall/1.4"]);
    assert_eq!(heads(&["--class", "critical", "--ruling", "look"]), [""; 0]);
    assert_eq!(heads(&["--area", "plant"]), [""; 0]);
    assert_eq!(heads(&["--area", "plant,hall"]).len(), 3);
}

#[test]
fn the_json_of_a_row_holds_every_rule_that_spoke() {
    let place = Place::half_walked();
    let rows =
        place.fine(&["rulings", "@harbour.site.yaml", "--ruling", "replace", "--class", "critical", "--json"]).json();
    let row = &rows[0];
    for key in ["head", "kind", "ruling", "class", "reasons", "by", "at"] {
        assert!(!row[key].is_null(), "{key}: {row}");
    }
    let reason = &row["reasons"][0];
    for key in ["rule", "clause", "sign", "part", "extent", "ruling", "because"] {
        assert!(reason[key].as_str().is_some_and(|t| !t.is_empty()), "{key}: {reason}");
    }
    assert_eq!(
        (&reason["sign"], &reason["part"], &reason["extent"]),
        (&"paint".into(), &"element".into(), &"trace".into())
    );
    assert_eq!(reason["note"], "white drops");
}

#[test]
fn words_that_are_not_known_are_told_with_the_nearest() {
    let place = Place::half_walked();
    assert_snapshot!(place.run(&["rulings", "@harbour.site.yaml", "--area", "hal"]), @r"
    exit 2
    --- standard error
    error[unknown-area]: the site has no area 'hal'
    --> harbour.site.yaml
     = help: did you mean 'hall'?
    ");
    assert_snapshot!(place.run(&["rulings", "@harbour.site.yaml", "--ruling", "replac"]), @r"
    exit 2
    --- standard error
    error: invalid value 'replac' for '--ruling <RULING>': 'replac' is no ruling; did you mean 'replace'?

    For more information, try '--help'.
    ");
    assert_snapshot!(place.run(&["rulings", "@harbour.site.yaml", "--class", "serious"]), @r"
    exit 2
    --- standard error
    error: invalid value 'serious' for '--class <CLASS>': 'serious' is no class; known: advisory, noncritical, critical, impairment

    For more information, try '--help'.
    ");
}

#[test]
fn strict_exits_with_1_where_a_head_asks_for_something() {
    let place = Place::half_walked();
    assert_eq!(place.run(&["rulings", "@harbour.site.yaml", "--strict"]).code, 1);
    assert_eq!(place.run(&["rulings", "@harbour.site.yaml", "--strict", "--area", "plant"]).code, 0);
}
