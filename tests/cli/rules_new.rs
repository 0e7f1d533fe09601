use insta::assert_snapshot;

use crate::support::Place;

#[test]
fn a_rule_file_to_start_from_is_made_and_is_sound() {
    let place = Place::new();
    assert_snapshot!(place.run(&["rules", "new", "@harbour.yaml", "--title", "Harbour Board"]), @r"
    exit 0
    Made harbour.yaml: it extends nfpa25-2023, and changes nothing yet.
    Look into it, and check it with: headround rules check harbour.yaml
    ");
    assert!(place.fine(&["rules", "check", "@harbour.yaml"]).out.starts_with("harbour.yaml: sound; "));
    let text = place.read("harbour.yaml");
    assert!(text.contains("\nname: harbour\ntitle: Harbour Board\nextends: nfpa25-2023\n"), "{text}");
    assert!(text.starts_with("# yaml-language-server: $schema=rule-set.schema.json\n"), "{text}");
    // It can be used at once, and changes no ruling.
    let diff = place.fine(&["rules", "diff", "nfpa25-2023", "@harbour.yaml", "--json"]).json();
    for what in ["decisions", "rules", "words", "duties"] {
        assert_eq!(diff[what].as_array().map(Vec::len), Some(0), "{what}");
    }
}

#[test]
fn a_file_that_is_there_is_never_overwritten() {
    let place = Place::new();
    place.write("harbour.yaml", "mine\n");
    assert_snapshot!(place.run(&["rules", "new", "@harbour.yaml"]), @r"
    exit 2
    --- standard error
    error[exists]: a file of that name exists already and was left as it is
    --> harbour.yaml
     = help: choose another name
    ");
    assert_eq!(place.read("harbour.yaml"), "mine\n");
}

#[test]
fn without_a_file_the_text_is_printed() {
    let place = Place::new();
    let printed = place.fine(&["rules", "new", "--extends", "nfpa25-2014", "--name", "port-tarrow"]).out;
    assert_snapshot!("printed", printed);
    place.write("port-tarrow.yaml", &printed);
    place.fine(&["rules", "check", "@port-tarrow.yaml"]);
    let json = place.fine(&["rules", "new", "--extends", "nfpa25-2014", "--name", "port-tarrow", "--json"]).json();
    assert_eq!(json["text"], printed);
}

#[test]
fn a_set_of_ones_own_can_be_extended_from_the_folder_or_from_beside_the_file() {
    let place = Place::new();
    place.fine(&["rules", "new", "@harbour.yaml"]);
    std::fs::create_dir(place.path("rules")).unwrap();
    place.fine(&["rules", "new", "@rules/board.yaml", "--title", "The board's"]);
    for (file, parent) in [("@pier.yaml", "harbour"), ("@quay.yaml", "board")] {
        let json = place.fine(&["rules", "new", file, "--extends", parent, "--json"]).json();
        assert_eq!(json["extends"], parent);
        place.fine(&["rules", "check", file]);
    }
    // A third generation, and a title that YAML could take for something else.
    place.fine(&["rules", "new", "@berth.yaml", "--extends", "pier", "--title", "a: [b] # \"c\"\u{7}\nname: x"]);
    assert!(place.read("berth.yaml").contains("title: \"a: [b] # \\\"c\\\"\\u0007\\nname: x\"\n"));
    place.fine(&["rules", "check", "@berth.yaml"]);
}

#[test]
fn a_name_that_no_site_file_could_find_is_refused() {
    let place = Place::new();
    let all: Vec<String> = [
        &["@harbour.yml"][..],
        &["@Harbour Board.yaml"],
        &["@harbour.yaml", "--name", "pier"],
        &["@nfpa25-2017.yaml"],
        &["@harbour.yaml", "--extends", "harbour"],
        &["@harbour.yaml", "--extends", "nfpa25-2032"],
        &["@none/harbour.yaml"],
        &["--name", "../x"],
    ]
    .iter()
    .map(|more| place.run(&[&["rules", "new"], *more, &["--diagnostics", "short"]].concat()))
    .map(|ran| ran.to_string())
    .collect();
    assert_snapshot!("refused", all.join("\n"));
    let files: Vec<_> = std::fs::read_dir(place.path("")).unwrap().map(|f| f.unwrap().file_name()).collect();
    assert!(!files.iter().any(|f| f.to_string_lossy().ends_with("yaml")), "{files:?}");
}
