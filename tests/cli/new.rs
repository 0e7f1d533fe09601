use insta::assert_snapshot;

use crate::support::Place;

const KIND: &str = "qr-pendent=orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, made: 2009";

#[test]
fn flags_make_a_register_that_reads_back() {
    let place = Place::new();
    let ran = place.run(&[
        "new",
        "@a.site.yaml",
        "--name",
        "Harbour: Office",
        "--where",
        "2 Quay Street, Port Tarrow",
        "--kind",
        KIND,
        "--kind",
        "int-upright={orientation: upright, response: standard, element: link, rating: 93 C, k: 80 metric}",
        "--area",
        "hall=Entrance hall (dry, since 2009-05, ceiling 100 F, damp, salt): 4 qr-pendent; 2 qr-pendent, 1 int-upright",
        "--area",
        "loft=: 3 int-upright",
        "--units",
        "metric",
    ]);
    assert_snapshot!(ran, @r"
    exit 0
    Made a.site.yaml: Harbour: Office, inspected by nfpa25-2023 (NFPA 25, 2023 edition); 2 kinds, 2 areas, 10 heads.
    Begin a round with: headround begin a.site.yaml
    ");
    assert_snapshot!(place.read("a.site.yaml"), @r#"
    format: headround site 1
    site:
      id: "01M89G34R00009WDVSQ5ZMMZ0N"
      name: "Harbour: Office"
      where: "2 Quay Street, Port Tarrow"
      rules: nfpa25-2023
      units: metric
    kinds:
      qr-pendent: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: brass, made: 2009}
      int-upright: {orientation: upright, response: standard, element: link, rating: 93 C, k: 80 metric, finish: brass, made: unknown}
    areas:
      hall:
        name: Entrance hall
        system: dry
        in_service: 2009-05
        setting: [damp, salt]
        ceiling_max: 100 F
        lines:
          - 4 qr-pendent
          - 2 qr-pendent, 1 int-upright
      loft:
        name: loft
        system: wet
        lines:
          - 3 int-upright
    "#);
    assert_eq!(place.run(&["check", "@a.site.yaml", "--strict"]).code, 0);
}

#[test]
fn a_file_that_is_there_is_never_overwritten() {
    let place = Place::with_harbour();
    assert_snapshot!(place.run(&["new", "@harbour.site.yaml", "--name", "X"]), @r"
    exit 2
    --- standard error
    error[exists]: a file of that name exists already and was left as it is
    --> harbour.site.yaml
     = help: choose another name
    ");
    assert_eq!(place.read("harbour.site.yaml"), crate::support::HARBOUR);
}

#[test]
fn every_slip_in_the_flags_is_told_and_nothing_is_made() {
    let place = Place::new();
    let ran = place.run(&[
        "new",
        "@a.site.yaml",
        "--name",
        "X",
        "--kind",
        "qr=orientation: pendant, response: quick, element: bulb, rating: 155, k: 5.6",
        "--kind",
        "no equals sign",
        "--kind",
        "gap=a: b",
        "--area",
        "hall: 4 qr",
        "--area",
        "hall=Hall 4 qr",
        "--area",
        "hall=Hall (dampp): 4 qr",
        "--area",
        "hall=Hall: 4 other",
        "--diagnostics",
        "short",
    ]);
    assert_snapshot!(ran, @r"
    exit 2
    --- standard error
    --kind qr:1:15: error: 'orientation': 'pendant' is no orientation; did you mean 'pendent'?
    --kind qr:1:64: error: 'rating': '155' has no unit; write '155 F' or '155 C'
    --kind: error: 'no equals sign' has no '='
    --kind: error: 'gap' cannot name a kind: the name is taken
    --area: error: 'hall: 4 qr' has no '='
    --area hall: error: there is no ':' before the lines
    --area hall: error: 'dampp' is no setting; did you mean 'damp'?
    --area hall: error: no kind is called 'other'
    ");
    assert!(!place.path("a.site.yaml").exists());
}

#[test]
fn the_rule_set_must_be_there() {
    let place = Place::new();
    let ran = place.run(&["new", "@a.site.yaml", "--name", "X", "--rules", "house"]).to_string();
    assert_snapshot!(ran.replace(&headround::rules::builtin::names().join(", "), "NAMES"), @r"
    exit 2
    --- standard error
    error[unknown-rules]: there is no rule set called 'house'
    --> a.site.yaml
     = help: built in: NAMES; put your own 'house.yaml' beside the site file or in rules
    ");
}

#[test]
fn an_invented_site_has_exactly_so_many_heads() {
    let place = Place::new();
    for heads in [1, 7, 400, 401, 3_333] {
        let file = format!("@{heads}.site.yaml");
        let told = place.fine(&["new", &file, "--name", "Trial", "--size", &heads.to_string(), "--json"]).json();
        assert_eq!(told["heads"], heads);
        assert_eq!(place.fine(&["status", &file, "--json"]).json()[0]["heads"], heads);
        assert_eq!(place.run(&["check", &file, "--strict"]).code, 0);
    }
    assert_eq!(place.run(&["new", "@0.site.yaml", "--name", "Trial", "--size", "0"]).code, 2);
}

#[test]
fn on_a_terminal_what_is_missing_is_asked_for() {
    let mut place = Place::new();
    place.around.in_is_terminal = true;
    place.around.out_is_terminal = true;
    let own =
        "format: headround rules 1\nname: quay\ntitle: Quay Board\nedition: the board's own\nextends: nfpa25-2023\n";
    place.write("quay.yaml", own);
    place.write("rules/broken.yaml", "format: headround rules 1\n");
    let answers = format!(
        "Harbour Office\n2 Quay Street\n9\nhouse\nbroken\n\n{KIND}\nqr-pendent=x\n\nhall=Hall: 4 qr\nhall=Hall: 4 qr-pendent\n\n"
    );
    assert_snapshot!(place.typed(&["new", "@a.site.yaml"], &answers), @r"
    exit 0
    What is the site called? Where is it? (Enter to leave it out) By which rule set is it inspected?
      1. nfpa25-2023: Visual inspection of sprinklers after NFPA 25, 2023 edition
      2. nfpa25-2020: Visual inspection of sprinklers after NFPA 25, 2020 edition
      3. nfpa25-2017: Visual inspection of sprinklers after NFPA 25, 2017 edition
      4. nfpa25-2014: Visual inspection of sprinklers after NFPA 25, 2014 edition
      5. en12845: Spares, samples, ages and visual inspection of sprinklers after EN 12845
      6. broken: cannot be used as it stands
      7. quay: Quay Board; follows the board's own (your own)
    Number or name (Enter for the first): Number or name (Enter for the first): Number or name (Enter for the first): Number or name (Enter for the first): Kinds of head, one a line; an empty line ends the list. For example:
      qr-pendent=orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, made: 2009
    Kind: Kind: Kind: Areas, one a line; an empty line ends the list. For example:
      hall=Entrance hall (wet, since 2009-05): 4 qr-pendent; 10 qr-pendent
    Area: Area: Area: Made a.site.yaml: Harbour Office, inspected by nfpa25-2023 (NFPA 25, 2023 edition); 1 kind, 1 area, 4 heads.
    Begin a round with: headround begin a.site.yaml
    --- standard error
    error[unknown-rules]: '9' is not in the list
    --> --rules
     = help: write a number from 1 to 7, or a name of the list
    error[unknown-rules]: 'house' is not in the list
    --> --rules
     = help: write a number from 1 to 7, or a name of the list
    error[missing-key]: a rule set has no 'name'
     --> rules/broken.yaml:1:1
      |
    1 | format: headround rules 1
      | ^
      |
      = help: add 'name:'

    error[missing-key]: a rule set has no 'title'
     --> rules/broken.yaml:1:1
      |
    1 | format: headround rules 1
      | ^
      |
      = help: add 'title:'

    error[missing-key]: a rule set has no 'edition'
     --> rules/broken.yaml:1:1
      |
    1 | format: headround rules 1
      | ^
      |
      = help: add 'edition:'
    error[bad-option]: 'qr-pendent' cannot name a kind: the name is taken
    --> --kind
    error[bad-option]: no kind is called 'qr'
    --> --area hall
    ");
    assert_eq!(place.run(&["new", "@b.site.yaml", "--kind", KIND]).code, 2);
}

#[test]
fn the_rule_set_is_chosen_by_number_or_name_and_keys_leave_nothing_in_the_file() {
    let mut place = Place::new();
    place.around.in_is_terminal = true;
    place.around.out_is_terminal = true;
    let own =
        "format: headround rules 1\nname: quay\ntitle: Quay Board\nedition: the board's own\nextends: nfpa25-2023\n";
    place.write("rules/quay.yaml", own);
    let number = headround::rules::builtin::names().len() + 1;
    for (file, answer, rules) in [
        ("one.site.yaml", "2", headround::rules::builtin::names()[1]),
        ("two.site.yaml", "\u{1b}[A\u{1b}[Bquay", "quay"),
        ("three.site.yaml", &number.to_string(), "quay"),
        ("four.site.yaml", "", "nfpa25-2023"),
    ] {
        let typed = format!("Qu\u{1b}[Day\u{1b}OC \u{7f}Hall\n2 Quay\tStreet\u{1b}[1;5C\n{answer}\n\n");
        let ran = place.typed(&["new", &format!("@{file}")], &typed);
        assert_eq!(ran.code, 0, "{ran}");
        assert!(ran.out.contains(&format!("Made {file}: Quay Hall, inspected by {rules} (")), "{ran}");
        let text = place.read(file);
        assert!(text.contains(&format!("rules: {rules}\n")), "{text}");
        assert!(text.contains("name: Quay Hall\n") && text.contains("where: \"2 Quay Street\"\n"), "{text}");
    }
}
