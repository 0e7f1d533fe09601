use insta::assert_snapshot;

use crate::support::Place;
use headround::rules::builtin;

/// A small set that is sound: one sign with all that a set needs.
const OWN: &str = include_str!("../fixtures/harbour-rules.yaml");

#[test]
fn built_in_sets_and_those_of_the_folder_are_listed() {
    let place = Place::new();
    let listed = place.fine(&["rules", "list"]).out;
    let mut lines = listed.lines();
    assert_eq!(lines.next(), Some("SET          RULES  FROM      TITLE"));
    let sets: Vec<&str> = lines.filter(|l| l.contains("  built in  ")).filter_map(|l| l.split(' ').next()).collect();
    assert_eq!(sets, builtin::names());
    place.write("rules/harbour.yaml", OWN);
    place.write("rules/broken.yaml", "format: headround rules 1\nname: broken\n");
    let ran = place.run(&["rules", "list", "--json"]);
    assert_eq!(ran.code, 2, "{ran}");
    let names: Vec<_> =
        ran.json().as_array().unwrap().iter().map(|r| (r["name"].clone(), r["title"].is_null())).collect();
    let built_in = builtin::names().iter().map(|n| (serde_json::Value::from(*n), false));
    let own = [("broken".into(), true), ("harbour".into(), false)];
    assert_eq!(names, built_in.chain(own).collect::<Vec<_>>());
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
     = help: did you mean 'nfpa25-2023'? for a file write its path, as in ./nfpa25-2032.yaml, or give --rules-folder
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
        // A long title is broken into lines.
        let out = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(out.contains(rule["title"].as_str().unwrap()), "{ran}");
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
    harbour.yaml: sound; 92 rules decide every combination, 383 cases come out
    ");
    place.write("bad.yaml", &OWN.replace("extends", "extend"));
    assert_snapshot!(place.run(&["rules", "check", "@bad.yaml", "@harbour.yaml"]), @r"
    exit 2
    bad.yaml: cannot be used as it stands
    harbour.yaml: sound; 92 rules decide every combination, 383 cases come out
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

#[test]
fn a_rule_is_explained_beside_the_other_editions_and_with_its_cases_drawn() {
    let place = Place::new();
    let ran = place.fine(&["rules", "explain", "leak-dried"]);
    insta::assert_snapshot!("explain_pictures", ran.out);
    let ran = place.fine(&["rules", "explain", "leak-dried", "--ascii"]);
    let drawn = ran.out.split_once("\nCases\n").unwrap().1;
    assert!(drawn.is_ascii(), "{drawn}");
    let words = place.fine(&["rules", "explain", "leak-dried", "--no-pictures"]).out;
    assert!(ran.out.starts_with(words.split_once("\nCases\n").unwrap().0), "{words}");
    assert!(!words.contains('█') && words.contains("\nNear misses\n"), "{words}");
}

#[test]
fn no_line_of_an_explanation_is_wider_than_eighty_columns() {
    let place = Place::new();
    let rules = place.fine(&["rules", "show", "--json"]).json();
    for rule in rules["rules"].as_array().unwrap().iter().step_by(7) {
        let ran = place.fine(&["rules", "explain", rule["rule"].as_str().unwrap()]);
        for line in ran.out.lines() {
            assert!(line.chars().count() <= 80 && line == line.trim_end(), "{line}");
        }
    }
}

#[test]
fn an_explanation_as_json_tells_every_edition_and_every_case_apart() {
    let place = Place::new();
    let json = place.fine(&["rules", "explain", "paint-frame", "--json"]).json();
    let editions: Vec<_> = json["editions"].as_array().unwrap().iter().map(|e| &e["set"]).collect();
    assert_eq!(editions, builtin::names());
    assert_eq!(json["editions"][0]["here"], true);
    assert_eq!(json["editions"][0]["rule"]["ruling"], json["ruling"]);
    assert_eq!(json["editions"][1]["rule"]["ruling"], "replace");
    let case = &json["cases"][0];
    assert_eq!(
        (&case["sign"], &case["part"], &case["extent"], &case["origin"], &case["holds"], &case["ruling"]),
        (&"paint".into(), &"frame".into(), &"trace".into(), &"field".into(), &true.into(), &"watch".into())
    );
}

#[test]
fn a_rule_of_another_set_is_told_where_it_is() {
    let place = Place::new();
    place.write("rules/harbour.yaml", OWN);
    let known = place.fine(&["rules", "explain", "leak-dried", "--set", "harbour"]);
    assert!(known.out.contains("\n  * harbour "), "{known}");
    assert_snapshot!(place.run(&["rules", "explain", "loading-film-trim"]), @r"
    exit 2
    --- standard error
    error[unknown-rule]: the set has no rule 'loading-film-trim'
    --> nfpa25-2023
     = help: it is a rule of nfpa25-2014: 'headround rules explain loading-film-trim --set nfpa25-2014'
    ");
    let there = place.fine(&["rules", "explain", "loading-film-trim", "--set", "nfpa25-2014", "--no-pictures"]);
    assert!(there.out.contains("    nfpa25-2023  not in this set  "), "{there}");
}

#[test]
fn the_rules_of_a_kind_stand_in_a_grid() {
    let place = Place::with_harbour();
    insta::assert_snapshot!("table_plain", place.run(&["rules", "table"]));
    insta::assert_snapshot!(
        "table_told",
        place.run(&[
            "rules",
            "table",
            "nfpa25-2020",
            "--sign",
            "paint,loading",
            "--setting",
            "dust",
            "--origin",
            "field",
            "--system",
            "dry",
            "--ceiling",
            "100 F"
        ])
    );
    insta::assert_snapshot!(
        "table_site",
        place.run(&[
            "rules",
            "table",
            "--site",
            "@harbour.site.yaml",
            "--kind",
            "int-upright",
            "--area",
            "plant",
            "--sign",
            "corrosion,cover"
        ])
    );
    for table in [
        vec!["rules", "table"],
        vec![
            "rules",
            "table",
            "--setting",
            "none",
            "--kind",
            "orientation: sidewall, response: standard, element: link, rating: 286 F, k: 8.0, mount: concealed",
        ],
    ] {
        for line in place.fine(&table).out.lines() {
            assert!(line.chars().count() <= 80 && line == line.trim_end(), "{line}");
        }
    }
}

#[test]
fn a_grid_as_json_names_the_rules_that_spoke_and_what_a_cell_hangs_on() {
    let place = Place::new();
    let json = place.fine(&["rules", "table", "--sign", "paint", "--json"]).json();
    assert_eq!(json["untold"], serde_json::json!(["system", "ceiling", "setting", "origin"]));
    let row = json["rows"].as_array().unwrap().iter().find(|r| r["part"] == "element").unwrap();
    let cell = &row["cells"][0];
    assert_eq!(cell["extent"], "trace");
    assert_eq!(cell["ruling"], "replace");
    assert_eq!(cell["rules"][0], "paint-operating-part");
    assert_eq!(cell["hangs_on"], serde_json::json!(["origin"]));
    assert_eq!(cell["may_be"], serde_json::json!(["keep", "replace"]));
    let told = place.fine(&["rules", "table", "--sign", "paint", "--origin", "factory", "--json"]).json();
    let row = told["rows"].as_array().unwrap().iter().find(|r| r["part"] == "element").unwrap();
    assert_eq!(row["cells"][0]["ruling"], "keep");
    let leak = place.fine(&["rules", "table", "--sign", "leak", "--json"]).json();
    let extents: Vec<_> = leak["rows"][0]["cells"].as_array().unwrap().iter().map(|c| &c["extent"]).collect();
    assert_eq!(extents, ["trace", "light", "heavy"], "a leak has no other extent");
}

#[test]
fn what_a_grid_cannot_be_drawn_for_is_told() {
    let place = Place::with_harbour();
    assert_snapshot!(place.run(&["rules", "table", "--sign", "pant"]), @r"
    exit 2
    --- standard error
    error[unknown-sign]: a grid of the set has no sign 'pant'
    --> nfpa25-2023
     = help: did you mean 'paint'?
    ");
    assert_snapshot!(place.run(&["rules", "table", "--site", "@harbour.site.yaml", "--kind", "qr-pendant"]), @r"
    exit 2
    --- standard error
    error[unknown-kind]: the site has no kind 'qr-pendant'
    --> harbour.site.yaml
     = help: did you mean 'qr-pendent'?
    ");
    assert_snapshot!(place.run(&["rules", "table", "--kind", "orientation: pendant"]), @r"
    exit 2
    --- standard error
    error[bad-value]: 'orientation': 'pendant' is no orientation; did you mean 'pendent'?
     --> --kind:1:15
      |
    1 | {orientation: pendant}
      |               ^^^^^^^

    error[missing-key]: a kind has no 'response'
     --> --kind:1:1
      |
    1 | {orientation: pendant}
      | ^
      |
      = help: add 'response:'

    error[missing-key]: a kind has no 'element'
     --> --kind:1:1
      |
    1 | {orientation: pendant}
      | ^
      |
      = help: add 'element:'

    error[missing-key]: a kind has no 'rating'
     --> --kind:1:1
      |
    1 | {orientation: pendant}
      | ^
      |
      = help: add 'rating:'

    error[missing-key]: a kind has no 'k'
     --> --kind:1:1
      |
    1 | {orientation: pendant}
      | ^
      |
      = help: add 'k:'
    ");
    assert_snapshot!(place.run(&["rules", "table", "--sign", "mixed"]), @r"
    exit 2
    --- standard error
    error[unknown-sign]: a grid of the set has no sign 'mixed'
    --> nfpa25-2023
     = help: there are: leak, corrosion, damage, fluid-loss, loading, paint, turned, blocked, cover, strap, hung, guard, wrong-rating, recalled, missing, ceiling-rating, recall-list, concealed-space, unsure
    ");
    let ran = place.run(&["rules", "table", "--area", "hall"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("--site <FILE>"), "{ran}");
}

#[test]
fn what_is_milder_than_the_extended_set_is_listed_and_counts_with_strict() {
    let place = Place::new();
    let mild = "format: headround rules 1\nname: mild\ntitle: Harbour Board\nextends: nfpa25-2017\nsettle: {paint-frame: watch}\n";
    place.write("mild.yaml", mild);
    place.write("strict.yaml", &mild.replace("2017", "2023").replace("watch", "replace"));
    insta::assert_snapshot!(place.run(&["rules", "check", "@mild.yaml"]), @r"
    exit 0
    mild.yaml: sound; 92 rules decide every combination, 383 cases come out
      milder than nfpa25-2017 in 1 place; that is for the authority having jurisdiction to decide:
        paint on frame arms or body and boss, trace to light, origin field or unknown, mount not concealed: replace -> watch (paint-frame)
    ");
    assert_eq!(place.run(&["rules", "check", "@mild.yaml", "--strict"]).code, 1);
    let strict = place.run(&["rules", "check", "@strict.yaml", "--strict"]);
    assert_eq!(strict.code, 0, "{strict}");
    let json = place.run(&["rules", "check", "@mild.yaml", "--json"]).json();
    assert_eq!(json[0]["extends"], "nfpa25-2017");
    assert_eq!(json[0]["milder"][0]["from"], "replace");
    assert_eq!(json[0]["milder"][0]["rule"], "paint-frame");
}

#[test]
fn a_set_is_shown_explained_and_laid_out_by_the_path_of_its_file() {
    let place = Place::with_harbour();
    place.write("own/quay.yaml", crate::rules_diff::AUTHORITY);
    let shown = place.fine(&["rules", "show", "@own/quay.yaml"]);
    assert!(shown.out.contains("The harbour authority's stricter reading"), "{shown}");
    let told = place.fine(&["rules", "explain", "paint-frame", "--set", "@own/quay.yaml", "--no-pictures"]);
    assert!(told.out.contains("harbour bulletin 4"), "{told}");
    let grid = place.fine(&["rules", "table", "@own/quay.yaml", "--sign", "paint"]);
    assert_ne!(grid.out, place.fine(&["rules", "table", "--sign", "paint"]).out);
    let site = ["--site", "@harbour.site.yaml", "--kind", "qr-pendent", "--sign", "paint"];
    let beside = place.fine(&[&["rules", "table", "@own/quay.yaml"][..], &site].concat());
    // A set that lies beside the site file is known there by its name.
    place.write("stricter.yaml", crate::rules_diff::AUTHORITY);
    assert_eq!(place.fine(&[&["rules", "table", "stricter"][..], &site].concat()).out, beside.out);
    for command in
        [&["rules", "show", "quay"][..], &["rules", "table", "quay"], &["rules", "explain", "x", "--set", "quay"]]
    {
        let ran = place.run(command);
        assert_eq!(ran.code, 2, "{ran}");
        assert!(ran.err.contains("for a file write its path, as in ./quay.yaml, or give --rules-folder"), "{ran}");
    }
    assert!(place.run(&["rules", "show", "@own/none.yaml"]).err.contains("the file could not be read"));
}
