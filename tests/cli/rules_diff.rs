use insta::assert_snapshot;

use crate::support::Place;

/// An authority's own set: stricter on frame arms, wider clearance, one caution more.
pub const AUTHORITY: &str = include_str!("../fixtures/stricter-rules.yaml");

#[test]
fn a_file_is_compared_with_a_built_in_set() {
    let place = Place::new();
    place.write("stricter.yaml", AUTHORITY);
    assert_snapshot!(place.run(&["rules", "diff", "nfpa25-2023", "@stricter.yaml"]), @r"
    exit 0
    nfpa25-2023 -> stricter
    Visual inspection of sprinklers after NFPA 25, 2023 edition -> The harbour authority's stricter reading

    Decisions: 1 place differs
      paint on frame arms or body and boss, trace to light, origin field or
        unknown, mount not concealed
          watch (noncritical) -> replace (noncritical)
          paint-frame, 5.2.1.1.1(6) -> paint-frame, harbour bulletin 4

    Words: 1 only in stricter
      sign, only in stricter: moss
          name moss; parts frame, whole; extents trace, full; seen eye

    Duties: 2 differ, 1 only in stricter
      age fast-response
          title: Fast-response heads -> Fast-response heads by the harbour
          first: 25 years -> 15 years
          clause: 5.3.1.1.1.1 -> harbour bulletin 7
          confidence: B -> A
          in other words: because, source
      clearance esfr (clearance below the deflector, esfr)
          distance: 36 in -> 40 in
          clause: NFPA 13 (clearance to storage) -> harbour bulletin 6
          confidence: C -> A
          in other words: note, source
      caution, only in stricter: Tell the harbour office before the first ladder
        goes up.

    Rules: 1 differs, 1 only in stricter
      paint-frame
          title: A little paint on frame or body only -> Any paint on frame or
            body
          ruling: watch -> replace
          clause: 5.2.1.1.1(6) -> harbour bulletin 4
          confidence: B -> A
          class confidence: B -> A
          in other words: source, because, remedy, never, contested
      moss (Moss on a head): only in stricter
          ruling clean; class noncritical; clause harbour bulletin 5; when sign
            moss
    ");
    // With the texts; the other set is the same with some of them changed.
    let milder = AUTHORITY
        .replace("name: stricter", "name: milder")
        .replace("ruling: replace\n", "ruling: watch\n")
        .replace("then: replace}", "then: watch}")
        .replace("The authority holds to the older reading.", "A speck on an arm harms nothing.")
        .replace("first: 15 years", "first: 20 years")
        .replace("then: 15 years}", "then: 20 years}");
    place.write("milder.yaml", &milder);
    assert_snapshot!(place.run(&["rules", "diff", "@stricter.yaml", "@milder.yaml", "--full"]), @r"
    exit 0
    stricter -> milder
    The harbour authority's stricter reading -> The harbour authority's stricter reading

    Decisions: 1 place differs
      paint on frame arms or body and boss, trace to light, origin field or
        unknown, mount not concealed
          replace (noncritical) -> watch (noncritical)
          paint-frame, harbour bulletin 4 -> paint-frame, harbour bulletin 4

    Duties: 1 differs
      age fast-response (Fast-response heads by the harbour)
          first: 15 years -> 20 years

    Rules: 1 differs
      paint-frame (Any paint on frame or body)
          ruling: replace -> watch
          because:
            - The authority holds to the older reading.
            + A speck on an arm harms nothing.
    ");
}

#[test]
fn sets_of_the_folder_go_by_their_names() {
    let place = Place::new();
    place.write("rules/stricter.yaml", AUTHORITY);
    let by_name = place.fine(&["rules", "diff", "nfpa25-2023", "stricter"]);
    place.write("elsewhere/stricter.yaml", AUTHORITY);
    assert_eq!(by_name.out, place.fine(&["rules", "diff", "nfpa25-2023", "@elsewhere/stricter.yaml"]).out);
}

#[test]
fn a_set_and_itself_differ_in_nothing() {
    let place = Place::new();
    assert_snapshot!(place.run(&["rules", "diff", "nfpa25-2023", "nfpa25-2023", "--strict"]), @r"
    exit 0
    nfpa25-2023 -> nfpa25-2023
    Visual inspection of sprinklers after NFPA 25, 2023 edition -> Visual inspection of sprinklers after NFPA 25, 2023 edition

    They decide alike, and nothing else differs.
    ");
}

#[test]
fn strict_exits_with_1_where_sets_differ() {
    let place = Place::new();
    place.write("rules/stricter.yaml", AUTHORITY);
    assert_eq!(place.run(&["rules", "diff", "nfpa25-2023", "stricter", "--strict"]).code, 1);
    assert_eq!(place.run(&["rules", "diff", "nfpa25-2023", "stricter", "--strict", "--json"]).code, 1);
}

#[test]
fn the_json_holds_every_decision_with_both_rules_and_every_field() {
    let place = Place::new();
    place.write("rules/stricter.yaml", AUTHORITY);
    let json = place.fine(&["rules", "diff", "nfpa25-2023", "stricter", "--json"]).json();
    assert_snapshot!(serde_json::to_string_pretty(&json["decisions"]).unwrap(), @r#"
    [
      {
        "from": {
          "class": "noncritical",
          "class_rule": null,
          "clause": "5.2.1.1.1(6)",
          "rule": "paint-frame",
          "ruling": "watch"
        },
        "places": [
          {
            "extents": [
              "trace",
              "light"
            ],
            "facts": [
              {
                "field": "mount",
                "values": [
                  "exposed",
                  "recessed",
                  "flush"
                ]
              }
            ],
            "origins": [
              "field",
              "unknown"
            ],
            "parts": [
              "frame",
              "boss"
            ],
            "settings": [],
            "words": "paint on frame arms or body and boss, trace to light, origin field or unknown, mount not concealed"
          }
        ],
        "sign": "paint",
        "to": {
          "class": "noncritical",
          "class_rule": null,
          "clause": "harbour bulletin 4",
          "rule": "paint-frame",
          "ruling": "replace"
        }
      }
    ]
    "#);
    let rule = json["rules"].as_array().unwrap().iter().find(|r| r["word"] == "paint-frame").unwrap();
    let field = |name: &str| rule["fields"].as_array().unwrap().iter().find(|f| f["field"] == name).cloned().unwrap();
    assert_eq!((field("ruling")["from"].clone(), field("ruling")["to"].clone()), ("watch".into(), "replace".into()));
    assert_eq!(field("because")["text"], true);
    assert_eq!(json["from"]["name"], "nfpa25-2023");
    assert_eq!(json["unlisted"], serde_json::json!([]));
    let abouts: Vec<_> = json["duties"].as_array().unwrap().iter().map(|d| d["about"].as_str().unwrap()).collect();
    assert_eq!(abouts, ["age", "clearance", "caution"]);
    assert_eq!(
        json["duties"][0]["fields"][1],
        serde_json::json!({ "field": "first", "from": "25 years", "to": "15 years", "text": false })
    );
}

#[test]
fn what_is_no_set_is_told() {
    let place = Place::new();
    assert_snapshot!(place.run(&["rules", "diff", "nfpa25-2032", "nfpa25-2023"]), @r"
    exit 2
    --- standard error
    error[unknown-rules]: there is no rule set called 'nfpa25-2032'
    --> headround rules
     = help: did you mean 'nfpa25-2023'? for a file write its path, as in ./nfpa25-2032.yaml, or give --rules-folder
    ");
    assert_snapshot!(place.run(&["rules", "diff", "nfpa25-2023", "@none.yaml"]), @r"
    exit 2
    --- standard error
    error[unreadable]: the file could not be read: No such file or directory (os error 2)
    --> none.yaml
     = help: check its name and its rights, and that it is UTF-8 text
    ");
    place.write("bad.yaml", &AUTHORITY.replace("ruling: replace", "ruling: replaced"));
    assert_snapshot!(place.run(&["rules", "diff", "nfpa25-2023", "@bad.yaml"]), @r"
    exit 2
    --- standard error
    error[bad-value]: 'ruling': 'replaced' is no ruling; did you mean 'replace'?
      --> bad.yaml:27:13
       |
    27 |     ruling: replaced
       |             ^^^^^^^^
    ");
}
