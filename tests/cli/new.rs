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
    Made a.site.yaml: Harbour: Office, 2 kinds, 2 areas, 10 heads.
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
    let answers =
        format!("Harbour Office\n2 Quay Street\n{KIND}\nqr-pendent=x\n\nhall=Hall: 4 qr\nhall=Hall: 4 qr-pendent\n\n");
    assert_snapshot!(place.typed(&["new", "@a.site.yaml"], &answers), @r"
    exit 0
    What is the site called? Where is it? (Enter to leave it out) Kinds of head, one a line; an empty line ends the list. For example:
      qr-pendent=orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, made: 2009
    Kind: Kind: Kind: Areas, one a line; an empty line ends the list. For example:
      hall=Entrance hall (wet, since 2009-05): 4 qr-pendent; 10 qr-pendent
    Area: Area: Area: Made a.site.yaml: Harbour Office, 1 kind, 1 area, 4 heads.
    Begin a round with: headround begin a.site.yaml
    --- standard error
    error[bad-option]: 'qr-pendent' cannot name a kind: the name is taken
    --> --kind
    error[bad-option]: no kind is called 'qr'
    --> --area hall
    ");
    assert_eq!(place.run(&["new", "@b.site.yaml", "--kind", KIND]).code, 2);
}
