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
      sign only in stricter: moss
          name: moss
          parts: frame, whole
          extents: trace, full
          seen: eye

    Duties: 1 differs, 1 only in stricter
      clearance esfr (clearance below the deflector, esfr)
          distance: 36 in -> 40 in
          clause: NFPA 13 (clearance to storage) -> harbour bulletin 6
          confidence: C -> A
          in other words: note, source
      caution only in stricter: Tell the harbour office before the first ladder
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
      moss: only in stricter
          title: Moss on a head
          ruling: clean
          class: noncritical
          clause: harbour bulletin 5
          confidence: A
          class confidence: A
          when sign: moss
    ");
    assert_snapshot!(place.run(&["rules", "diff", "@stricter.yaml", "nfpa25-2023", "--full"]), @r"
    exit 0
    stricter -> nfpa25-2023
    The harbour authority's stricter reading -> Visual inspection of sprinklers after NFPA 25, 2023 edition

    Decisions: 1 place differs
      paint on frame arms or body and boss, trace to light, origin field or
        unknown, mount not concealed
          replace (noncritical) -> watch (noncritical)
          paint-frame, harbour bulletin 4 -> paint-frame, 5.2.1.1.1(6)

    Words: 1 only in stricter
      sign only in stricter: moss
          name: moss
          parts: frame, whole
          extents: trace, full
          seen: eye
          hint:
            - green growth

    Duties: 1 differs, 1 only in stricter
      clearance esfr (clearance below the deflector, esfr)
          distance: 40 in -> 36 in
          clause: harbour bulletin 6 -> NFPA 13 (clearance to storage)
          confidence: A -> C
          note:
            - Measured to the top of the goods.
            + Rubber tyres ask for 36 in. below any head.
          source:
            - the authority's bulletin
            + NFPA 13 from memory
      caution only in stricter: Tell the harbour office before the first ladder
        goes up.

    Rules: 1 differs, 1 only in stricter
      paint-frame
          title: Any paint on frame or body -> A little paint on frame or body
            only
          ruling: replace -> watch
          clause: harbour bulletin 4 -> 5.2.1.1.1(6)
          confidence: A -> B
          class confidence: A -> B
          source:
            - the authority's bulletin
            + annex A.5.2.1.1.1 of 2023 as quoted in a trade article lets limited
              corrosion, loading or paint stay where it does not matter; paint on
              the frame alone by a test laboratory's newsletter of February 2024;
              class noncritical by the same laboratory's newsletter of May 2023
          because:
            - The authority holds to the older reading.
            + A frame arm neither feels the heat nor shapes the spray. Paint on it
              alone harms nothing, but it shows that a brush or a spray gun was
              near.
          remedy:
            - Have the head replaced.
            + Look whether any of it reaches the element, the seat or the
              deflector. Note it, and tell the owner to have heads covered before
              painting.
          never:
            + Never scrape, peel or dissolve paint on a head.
          contested:
            + Before the 2023 edition the words left no amount that was
              acceptable, though an informal reading of 2016 already spared frame
              arms. A trainer's sheet still fails any paint. Since 2023 only paint
              that harms performance counts. Practice differs; the authority
              decides.
      moss: only in stricter
          title: Moss on a head
          ruling: clean
          class: noncritical
          clause: harbour bulletin 5
          confidence: A
          class confidence: A
          when sign: moss
          source:
            - the authority's bulletin
          because:
            - It holds water against the metal.
          remedy:
            - Have it blown off.
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
    assert_eq!(json["duties"][0]["about"], "clearance");
}

#[test]
fn what_is_no_set_is_told() {
    let place = Place::new();
    assert_snapshot!(place.run(&["rules", "diff", "nfpa25-2032", "nfpa25-2023"]), @r"
    exit 2
    --- standard error
    error[unknown-rules]: there is no rule set called 'nfpa25-2032'
    --> headround rules
     = help: did you mean 'nfpa25-2023'?
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
