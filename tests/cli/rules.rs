use insta::assert_snapshot;

use crate::support::Place;

/// A small set that is sound: one sign with all that a set needs.
const OWN: &str = include_str!("../fixtures/harbour-rules.yaml");

#[test]
fn built_in_sets_and_those_of_the_folder_are_listed() {
    let place = Place::new();
    assert_snapshot!(place.run(&["rules", "list"]), @r"
    exit 0
    SET          RULES  FROM      TITLE
    nfpa25-2023     91  built in  Visual inspection of sprinklers after NFPA 25, 2023 edition
    nfpa25-2020     91  built in  Visual inspection of sprinklers after NFPA 25, 2020 edition
    nfpa25-2017     91  built in  Visual inspection of sprinklers after NFPA 25, 2017 edition
    nfpa25-2014     93  built in  Visual inspection of sprinklers after NFPA 25, 2014 edition
    en12845         91  built in  Spares, samples, ages and visual inspection of sprinklers after EN 12845
    ");
    place.write("rules/harbour.yaml", OWN);
    place.write("rules/broken.yaml", "format: headround rules 1\nname: broken\n");
    let ran = place.run(&["rules", "list", "--json"]);
    assert_eq!(ran.code, 2, "{ran}");
    let names: Vec<_> =
        ran.json().as_array().unwrap().iter().map(|r| (r["name"].clone(), r["title"].is_null())).collect();
    assert_eq!(names, [("nfpa25-2023".into(), false), ("broken".into(), true), ("harbour".into(), false)]);
}

#[test]
fn a_set_is_shown_with_its_rules() {
    let place = Place::new();
    let ran = place.fine(&["rules", "show"]);
    assert!(ran.out.contains("NFPA 25, 2023 edition"), "{ran}");
    let json = place.fine(&["rules", "show", "nfpa25-2023", "--json"]).json();
    assert_eq!(json["rules"].as_array().unwrap().len() as u64, json["overview"]["rules"].as_u64().unwrap());
    assert_snapshot!(place.run(&["rules", "show", "nfpa25-2032"]), @r"
    exit 2
    --- standard error
    error[unknown-rules]: there is no rule set called 'nfpa25-2032'
    --> headround rules
     = help: did you mean 'nfpa25-2023'?
    ");
}

#[test]
fn rules_are_explained_with_clause_reason_and_remedy() {
    let place = Place::new();
    let rules = place.fine(&["rules", "show", "--json"]).json();
    // Each command reads and checks the whole set anew: a rule in twenty will do.
    for rule in rules["rules"].as_array().unwrap().iter().step_by(20) {
        let id = rule["rule"].as_str().unwrap();
        let ran = place.fine(&["rules", "explain", id]);
        assert!(ran.out.contains(rule["title"].as_str().unwrap()), "{ran}");
        let json = place.fine(&["rules", "explain", id, "--json"]).json();
        for key in ["clause", "source", "because", "remedy", "ruling", "confidence"] {
            assert!(json[key].as_str().is_some_and(|t| !t.is_empty()), "{id} {key}");
        }
        assert_eq!(json["class"].is_null(), json["class_confidence"].is_null(), "{id}");
        assert!(json["cases"].as_array().unwrap().len() >= 2, "{id}");
    }
}

#[test]
fn an_unknown_rule_is_told_with_the_nearest() {
    let place = Place::new();
    let rules = place.fine(&["rules", "show", "--json"]).json();
    let id = rules["rules"][0]["rule"].as_str().unwrap().to_owned();
    let ran = place.run(&["rules", "explain", &format!("{id}x")]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains(&format!("did you mean '{id}'?")), "{ran}");
}

#[test]
fn a_set_of_ones_own_is_checked_and_complaints_have_their_place() {
    let place = Place::new();
    place.write("harbour.yaml", OWN);
    assert_snapshot!(place.run(&["rules", "check", "@harbour.yaml"]), @r"
    exit 0
    harbour.yaml: sound; 91 rules decide every combination, 364 cases come out
    ");
    place.write("bad.yaml", &OWN.replace("extends", "extend"));
    assert_snapshot!(place.run(&["rules", "check", "@bad.yaml", "@harbour.yaml"]), @r"
    exit 2
    bad.yaml: cannot be used as it stands
    harbour.yaml: sound; 91 rules decide every combination, 364 cases come out
    --- standard error
    error[missing-key]: a rule set has no 'edition'
     --> bad.yaml:2:1
      |
    2 | format: headround rules 1
      | ^
      |
      = help: add 'edition:'

    error[unknown-key]: a rule set has no field 'extend'
     --> bad.yaml:5:1
      |
    5 | extend: nfpa25-2023
      | ^^^^^^
      |
      = help: did you mean 'extends'?
    ");
    assert_snapshot!(place.run(&["rules", "check", "@none.yaml"]), @r"
    exit 2
    none.yaml: cannot be used as it stands
    --- standard error
    error[unreadable]: the file could not be read: No such file or directory (os error 2)
    --> none.yaml
     = help: check its name and its rights, and that it is UTF-8 text
    ");
}
