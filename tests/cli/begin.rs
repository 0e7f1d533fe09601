use insta::assert_snapshot;

use crate::support::Place;

#[test]
fn a_round_takes_the_year_as_its_name() {
    let place = Place::with_harbour();
    let begin = [
        "begin",
        "@harbour.site.yaml",
        "--inspector",
        "Ines Tidewell",
        "--licence",
        "PT-118",
        "--purpose",
        "annual inspection",
    ];
    assert_snapshot!(place.run(&begin), @r"
    exit 0
    Round '2026' begun on 2026-11-25 by Ines Tidewell.
    Walk it with: headround walk harbour.site.yaml
    ");
    let last = place.read("harbour.site.yaml").lines().last().unwrap().to_owned();
    let entry: serde_json::Value = serde_json::from_str(last.strip_prefix("--- ").unwrap()).unwrap();
    assert_eq!(entry["by"], "ines");
    assert_eq!(entry["begin"]["purpose"], "annual inspection");
    assert_snapshot!(place.run(&begin), @r"
    exit 2
    --- standard error
    error[round-exists]: round '2026' has begun and is not signed
    --> harbour.site.yaml
     = help: go on with it ('headround walk'), or name the new one with '--round NAME'
    ");
}

#[test]
fn a_name_of_ones_own_begins_a_second_round_and_json_tells_the_entry() {
    let place = Place::half_walked();
    let ran = place.fine(&[
        "begin",
        "@harbour.site.yaml",
        "--inspector",
        "Osk Brannagh-Fell",
        "--round",
        "follow-up",
        "--date",
        "2026-12-01",
        "--json",
    ]);
    let told = ran.json();
    assert_eq!(told["round"], "follow-up");
    assert_eq!(told["begin"]["date"], "2026-12-01");
    assert_eq!(told["entry"].as_str().unwrap().len(), 26);
}

#[test]
fn a_signed_round_is_not_begun_again() {
    let place = Place::signed();
    let again = ["begin", "@harbour.site.yaml", "--inspector", "Ines Tidewell", "--round", "2026"];
    assert_snapshot!(place.run(&again), @r"
    exit 2
    --- standard error
    error[round-exists]: round '2026' is signed already
    --> harbour.site.yaml
     = help: begin another one under a name of its own
    ");
    let next = place.fine(&["begin", "@harbour.site.yaml", "--inspector", "Ines Tidewell", "--on", "2026-12-24"]);
    assert!(next.out.starts_with("Round '2026-2' begun"), "{next}");
}

#[test]
fn without_an_inspector_nothing_begins() {
    let place = Place::with_harbour();
    assert_snapshot!(place.run(&["begin", "@harbour.site.yaml"]), @r"
    exit 2
    --- standard error
    error[missing-option]: '--inspector' is missing
    --> headround
     = help: add '--inspector …'; on a terminal you are asked for it
    ");
    assert_eq!(place.read("harbour.site.yaml"), crate::support::HARBOUR);
}

#[test]
fn nobody_writes_without_a_name() {
    let mut place = Place::with_harbour();
    place.around.user = None;
    assert_snapshot!(place.run(&["begin", "@harbour.site.yaml", "--inspector", "Ines Tidewell"]), @r"
    exit 2
    --- standard error
    error[no-name]: the system does not tell your name
    --> headround
     = help: say who writes: '--by NAME', or set HEADROUND_BY
    ");
    assert_eq!(place.run(&["begin", "@harbour.site.yaml", "--inspector", "Ines Tidewell", "--by", "ines"]).code, 0);
}

#[test]
fn on_a_terminal_the_inspector_is_asked_for() {
    let mut place = Place::with_harbour();
    place.around.in_is_terminal = true;
    place.around.out_is_terminal = true;
    assert_snapshot!(place.typed(&["begin", "@harbour.site.yaml"], "\nInes Tidewell\n"), @r"
    exit 0
    Who inspects (full name)? Who inspects (full name)? Round '2026' begun on 2026-11-25 by Ines Tidewell.
    Walk it with: headround walk harbour.site.yaml
    ");
}

#[test]
fn where_a_program_reads_json_nothing_is_asked() {
    let mut place = Place::with_harbour();
    place.around.in_is_terminal = true;
    place.around.out_is_terminal = true;
    let ran = place.typed(&["begin", "@harbour.site.yaml", "--json"], "Ines Tidewell\n");
    assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{ran}");
}
