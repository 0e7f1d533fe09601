use insta::assert_snapshot;

use crate::rules_diff::AUTHORITY;
use crate::support::Place;

/// Half walked, with specks on a frame arm; the authority's set lies beside the file.
fn specks() -> Place {
    let place = Place::half_walked();
    place.walk("go 1.3\ns\np 4 t\n");
    place.write("stricter.yaml", AUTHORITY);
    place
}

#[test]
fn only_heads_that_another_set_rules_otherwise_are_shown_with_both_rules() {
    let place = specks();
    assert_snapshot!(place.run(&["rulings", "@harbour.site.yaml", "--against", "stricter"]), @r"
    exit 0
    nfpa25-2023 -> stricter
    Visual inspection of sprinklers after NFPA 25, 2023 edition -> The harbour authority's stricter reading

    HEAD       KIND         FROM                BY                  TO                  BY                 REASON
    plant/1.3  int-upright  watch               paint-frame,        replace             paint-frame,       Any paint on
                            (noncritical)       5.2.1.1.1(6)        (noncritical)       harbour bulletin   frame or body
                                                                                        4

    1 of 4 listed heads changes: 1 stricter, 0 milder.

    First due by age, where that changes (tests made since are not counted):
    AREA  KIND        HEADS  IN SERVICE  FROM               BY                    TO                    BY
    hall  qr-pendent      7  2009-05     2034-05-01 (test)  fast-response,        2024-05-01 (test)     fast-response,
                                                            5.3.1.1.1.1           (past)                harbour bulletin 7
    ");
    assert_snapshot!(place.run(&["rulings", "@harbour.site.yaml", "--against", "@stricter.yaml", "--json"]), @r#"
    exit 0
    {
      "from": {
        "name": "nfpa25-2023",
        "title": "Visual inspection of sprinklers after NFPA 25, 2023 edition",
        "edition": "NFPA 25, 2023 edition"
      },
      "to": {
        "name": "stricter",
        "title": "The harbour authority's stricter reading",
        "edition": "The harbour authority's stricter reading, on NFPA 25, 2023 edition"
      },
      "listed": 4,
      "heads": [
        {
          "head": "plant/1.3",
          "area": "Plant room",
          "kind": "int-upright",
          "make_up": "upright, standard, link, 200 °F, K5.6, brass",
          "carried": false,
          "from": {
            "ruling": "watch",
            "class": "noncritical",
            "rule": "paint-frame",
            "clause": "5.2.1.1.1(6)",
            "title": "A little paint on frame or body only",
            "because": "A frame arm neither feels the heat nor shapes the spray. Paint on it alone harms nothing, but it shows that a brush or a spray gun was near.",
            "remedy": "Look whether any of it reaches the element, the seat or the deflector. Note it, and tell the owner to have heads covered before painting.",
            "known": true
          },
          "to": {
            "ruling": "replace",
            "class": "noncritical",
            "rule": "paint-frame",
            "clause": "harbour bulletin 4",
            "title": "Any paint on frame or body",
            "because": "The authority holds to the older reading.",
            "remedy": "Have the head replaced.",
            "known": true
          }
        }
      ],
      "advice": [],
      "due": [
        {
          "area": "hall",
          "kind": "qr-pendent",
          "make_up": "pendent, quick, bulb, 155 °F, K5.6, chrome",
          "heads": 7,
          "since": "2009-05",
          "made": "2009",
          "from": {
            "age": "fast-response",
            "title": "Fast-response heads",
            "clause": "5.3.1.1.1.1",
            "act": "test",
            "on": "2034-05-01",
            "made_unknown": false,
            "past": false
          },
          "to": {
            "age": "fast-response",
            "title": "Fast-response heads by the harbour",
            "clause": "harbour bulletin 7",
            "act": "test",
            "on": "2024-05-01",
            "made_unknown": false,
            "past": true
          }
        }
      ],
      "not_known": []
    }
    "#);
}

#[test]
fn a_set_that_changes_nothing_says_so() {
    let place = specks();
    assert_snapshot!(place.run(&["rulings", "@harbour.site.yaml", "--against", "nfpa25-2023", "--strict"]), @r"
    exit 0
    nfpa25-2023 -> nfpa25-2023
    Visual inspection of sprinklers after NFPA 25, 2023 edition -> Visual inspection of sprinklers after NFPA 25, 2023 edition

    No head changes its ruling or its class.
    ");
    assert_eq!(place.run(&["rulings", "@harbour.site.yaml", "--against", "stricter", "--strict"]).code, 1);
}

#[test]
fn the_same_record_is_judged_by_another_set() {
    let place = specks();
    let before = place.read("harbour.site.yaml");
    assert_snapshot!(place.run(&["rulings", "@harbour.site.yaml", "--rules", "stricter"]), @r"
    exit 0
    HEAD       KIND         RULING   CLASS        SIGNS   CLAUSE              REASON
    hall/1.2   qr-pendent   replace  critical     paint   5.2.1.1.1(6)        Paint on the heat element or the water seal
    hall/1.4   qr-pendent   replace  impairment   leak    5.2.1.1.1(1)        Water runs or sprays from the head
    hall/2.2   qr-pendent   look     -            unsure  5.2.1.1             It could not be judged
    plant/1.3  int-upright  replace  noncritical  paint   harbour bulletin 4  Any paint on frame or body
    ");
    assert_eq!(place.read("harbour.site.yaml"), before);
    // Both together: what the second set changes of what the first one says.
    assert_snapshot!(place.run(&["rulings", "@harbour.site.yaml", "--rules", "stricter", "--against", "nfpa25-2023"]), @r"
    exit 0
    stricter -> nfpa25-2023
    The harbour authority's stricter reading -> Visual inspection of sprinklers after NFPA 25, 2023 edition

    HEAD       KIND         FROM                BY                  TO                  BY                 REASON
    plant/1.3  int-upright  replace             paint-frame,        watch               paint-frame,       A little paint on
                            (noncritical)       harbour bulletin 4  (noncritical)       5.2.1.1.1(6)       frame or body
                                                                                                           only

    1 of 4 listed heads changes: 0 stricter, 1 milder.

    First due by age, where that changes (tests made since are not counted):
    AREA  KIND        HEADS  IN SERVICE  FROM                  BY                    TO                 BY
    hall  qr-pendent      7  2009-05     2024-05-01 (test)     fast-response,        2034-05-01 (test)  fast-response,
                                         (past)                harbour bulletin 7                       5.3.1.1.1.1
    ");
}

#[test]
fn filters_take_a_head_where_either_side_is_meant() {
    let place = specks();
    let heads = |arguments: &[&str]| -> usize {
        let all = [&["rulings", "@harbour.site.yaml", "--against", "stricter", "--json"], arguments].concat();
        place.fine(&all).json()["heads"].as_array().unwrap().len()
    };
    assert_eq!(heads(&["--ruling", "watch"]), 1);
    assert_eq!(heads(&["--ruling", "replace"]), 1);
    assert_eq!(heads(&["--ruling", "clean"]), 0);
    assert_eq!(heads(&["--class", "noncritical"]), 1);
    assert_eq!(heads(&["--class", "critical"]), 0);
    assert_eq!(heads(&["--area", "plant"]), 1);
    assert_eq!(heads(&["--area", "hall"]), 0);
}

#[test]
fn words_that_a_set_does_not_know_are_told_and_count_as_not_judged() {
    let place = specks();
    let site = place.read("harbour.site.yaml").replace("rules: nfpa25-2023", "rules: stricter");
    place.write("moss.site.yaml", &site);
    // Recorded by hand, under the authority's own set.
    let entry = r#"--- {"id":"01KZZZZZZZ0000000000000001","at":"2026-11-25T12:00:00-05:00","by":"ines","round":"2026","saw":{"head":"hall/1.3","sign":"moss","part":"frame","extent":"full"}}"#;
    place.write("moss.site.yaml", &format!("{site}{entry}\n"));
    assert_snapshot!(place.run(&["rulings", "@moss.site.yaml", "--against", "nfpa25-2023"]), @r"
    exit 0
    stricter -> nfpa25-2023
    The harbour authority's stricter reading -> Visual inspection of sprinklers after NFPA 25, 2023 edition

    HEAD       KIND         FROM                BY                  TO                  BY                 REASON
    hall/1.3   qr-pendent   clean               moss, harbour       look                -                  the set does not
                            (noncritical)       bulletin 5                                                 know what was
                                                                                                           recorded; it
                                                                                                           counts as not
                                                                                                           judged
    plant/1.3  int-upright  replace             paint-frame,        watch               paint-frame,       A little paint on
                            (noncritical)       harbour bulletin 4  (noncritical)       5.2.1.1.1(6)       frame or body
                                                                                                           only

    2 of 5 listed heads change: 0 stricter, 1 milder, 1 not judged.

    First due by age, where that changes (tests made since are not counted):
    AREA  KIND        HEADS  IN SERVICE  FROM                  BY                    TO                 BY
    hall  qr-pendent      7  2009-05     2024-05-01 (test)     fast-response,        2034-05-01 (test)  fast-response,
                                         (past)                harbour bulletin 7                       5.3.1.1.1.1

    Not judged under nfpa25-2023, which does not know the words:
      hall/1.3 (round 2026, entry 01KZZZZZZZ0000000000000001): 'moss' is no sign of the rule set; known: leak, corrosion,
        damage, fluid-loss, loading, paint, turned, blocked, cover, strap, hung, guard, wrong-rating, recalled, missing,
        ceiling-rating, recall-list, concealed-space, unsure, mixed
    --- standard error
    warning[register-changed]: the register was changed by hand, or damaged, after line 23 was written
    --> moss.site.yaml:1:1
     = help: if nobody edited it, compare it with a copy of the file

    warning[begun-under]: round '2026' was begun under 'nfpa25-2023' and is judged by 'stricter', which the site names now
    --> moss.site.yaml
     = help: begin it anew ('headround begin --round 2026') before it is signed, or name 'nfpa25-2023' in the register again
    ");
    assert_snapshot!(place.run(&["rulings", "@moss.site.yaml", "--rules", "nfpa25-2023"]), @r"
    exit 0
    HEAD       KIND         RULING   CLASS        SIGNS   CLAUSE        REASON
    hall/1.2   qr-pendent   replace  critical     paint   5.2.1.1.1(6)  Paint on the heat element or the water seal
    hall/1.3   qr-pendent   look     -            moss    5.2.1.1       It could not be judged
    hall/1.4   qr-pendent   replace  impairment   leak    5.2.1.1.1(1)  Water runs or sprays from the head
    hall/2.2   qr-pendent   look     -            unsure  5.2.1.1       It could not be judged
    plant/1.3  int-upright  watch    noncritical  paint   5.2.1.1.1(6)  A little paint on frame or body only
    --- standard error
    warning[register-changed]: the register was changed by hand, or damaged, after line 23 was written
    --> moss.site.yaml:1:1
     = help: if nobody edited it, compare it with a copy of the file

    warning[begun-under]: round '2026' was begun under 'nfpa25-2023' and is judged by 'stricter', which the site names now
    --> moss.site.yaml
     = help: begin it anew ('headround begin --round 2026') before it is signed, or name 'nfpa25-2023' in the register again
    warning[does-not-fit]: entry 01KZZZZZZZ0000000000000001: 'moss' is no sign of the rule set; known: leak, corrosion, damage, fluid-loss, loading, paint, turned, blocked, cover, strap, hung, guard, wrong-rating, recalled, missing, ceiling-rating, recall-list, concealed-space, unsure, mixed
    --> moss.site.yaml
     = help: 'hall/1.3' counts as not judged under 'nfpa25-2023'
    ");
}

#[test]
fn what_is_no_set_is_told() {
    let place = specks();
    assert_snapshot!(place.run(&["rulings", "@harbour.site.yaml", "--against", "nfpa25-2032"]), @r"
    exit 2
    --- standard error
    error[unknown-rules]: there is no rule set called 'nfpa25-2032'
    --> harbour.site.yaml
     = help: built in: nfpa25-2023, nfpa25-2020, nfpa25-2017, nfpa25-2014, en12845; put your own 'nfpa25-2032.yaml' beside the site file or in rules
    ");
    assert_snapshot!(place.run(&["rulings", "@harbour.site.yaml", "--rules", "@none.yaml"]), @r"
    exit 2
    --- standard error
    error[unreadable]: the file could not be read: No such file or directory (os error 2)
    --> none.yaml
     = help: check its name and its rights, and that it is UTF-8 text
    ");
}

#[test]
fn a_finding_of_an_earlier_round_without_an_answer_is_told_as_such() {
    let place = specks();
    place.walk("area hall\nsweep area\nyes\narea plant\nsweep area\nyes\n");
    place.fine(&["signoff", "@harbour.site.yaml", "--name", "Ines Tidewell", "--yes"]);
    place.fine(&[
        "begin",
        "@harbour.site.yaml",
        "--round",
        "2027",
        "--date",
        "2027-11-20",
        "--inspector",
        "Ines Tidewell",
    ]);
    assert_snapshot!(place.run(&["rulings", "@harbour.site.yaml", "--against", "stricter", "--ruling", "replace"]), @r"
    exit 0
    nfpa25-2023 -> stricter
    Visual inspection of sprinklers after NFPA 25, 2023 edition -> The harbour authority's stricter reading

    HEAD       KIND         FROM                BY                  TO                  BY                 REASON
    plant/1.3  int-upright  watch               paint-frame,        replace             paint-frame,       Any paint on
                            (noncritical)       5.2.1.1.1(6)        (noncritical)       harbour bulletin   frame or body (of
                                                                                        4                  an earlier round)

    1 of 3 listed heads changes: 1 stricter, 0 milder.
    ");
}

#[test]
fn what_another_built_in_edition_changes_is_what_it_changes_the_other_way_round() {
    let place = specks();
    for (one, other) in [("nfpa25-2023", "nfpa25-2020"), ("nfpa25-2020", "nfpa25-2014")] {
        let list = |from: &str, to: &str| {
            let json =
                place.fine(&["rulings", "@harbour.site.yaml", "--rules", from, "--against", to, "--json"]).json();
            let heads = json["heads"].as_array().unwrap().clone();
            heads.into_iter().map(|h| (h["head"].clone(), h["from"].clone(), h["to"].clone())).collect::<Vec<_>>()
        };
        let back: Vec<_> = list(other, one).into_iter().map(|(head, from, to)| (head, to, from)).collect();
        assert_eq!(list(one, other), back);
        // And each side is what that set says by itself.
        for (head, _, to) in list(one, other) {
            let rows = place.fine(&["rulings", "@harbour.site.yaml", "--rules", other, "--json"]).json();
            let row = rows.as_array().unwrap().iter().find(|r| r["head"] == head).unwrap().clone();
            assert_eq!((&row["ruling"], &row["class"]), (&to["ruling"], &to["class"]), "{head}");
        }
    }
    let json = place.fine(&["rulings", "@harbour.site.yaml", "--against", "nfpa25-2020", "--json"]).json();
    let changed: Vec<_> = json["heads"].as_array().unwrap().iter().map(|h| h["head"].as_str().unwrap()).collect();
    // Paint on a frame arm: the words before 2023 left no amount that was acceptable.
    assert_eq!(changed, ["plant/1.3"]);
}
