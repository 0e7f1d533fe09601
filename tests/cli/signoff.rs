use insta::assert_snapshot;

use crate::support::{HARBOUR, Place};

#[test]
fn what_is_missing_is_listed_in_ranges_and_nothing_is_signed() {
    let place = Place::half_walked();
    let before = place.read("harbour.site.yaml");
    assert_snapshot!(place.run(&["signoff", "@harbour.site.yaml", "--name", "Ines Tidewell", "--yes"]), @r"
    exit 2
    Neither seen nor unreached with a reason (2):
      hall/2.3, plant/1.3
    --- standard error
    error[not-ready]: round '2026' cannot be signed: 2 heads are neither seen nor unreached with a reason
    --> harbour.site.yaml
     = help: answer for them on the walk, then sign
    ");
    assert_eq!(place.read("harbour.site.yaml"), before);
    let told = place.run(&["signoff", "@harbour.site.yaml", "--name", "Ines Tidewell", "--yes", "--json"]);
    assert_eq!(told.code, 2);
    assert_snapshot!(told.out, @r#"
    {
      "begun": true,
      "carried": {
        "count": 0,
        "heads": []
      },
      "disagreements": {
        "count": 0,
        "heads": []
      },
      "file": "harbour.site.yaml",
      "other_rules": null,
      "round": "2026",
      "signed": false,
      "unseen": {
        "count": 2,
        "heads": [
          "hall/2.3",
          "plant/1.3"
        ]
      }
    }
    "#);
}

#[test]
fn nothing_is_signed_before_somebody_says_so() {
    let place = Place::walked();
    let before = place.read("harbour.site.yaml");
    assert_snapshot!(place.run(&["signoff", "@harbour.site.yaml", "--name", "Ines Tidewell"]), @r"
    exit 2
    Harbour Office, round '2026'
    10 heads: 7 seen, 1 not judged, 2 not reached

    Impairments (1)
      hall/1.4  replace  leak  5.2.1.1.1(1)

    Critical findings (1)
      hall/1.2  replace  paint  5.2.1.1.1(6)

    Without a class (1)
      hall/2.2  look  unsure  5.2.1.1

    Spare heads (they keep no round from being signed)
      6 spares are asked for, and no cabinet is in the register
      1 finding of something wrong with the spares; the summary tells them

    --- standard error
    error[not-told]: nothing was signed: nobody said so
    --> harbour.site.yaml
     = help: look at the findings, then add '--yes'
    ");
    assert_eq!(place.read("harbour.site.yaml"), before);
}

#[test]
fn on_a_terminal_only_the_word_signs() {
    let mut place = Place::walked();
    place.around.in_is_terminal = true;
    place.around.out_is_terminal = true;
    let before = place.read("harbour.site.yaml");
    for answer in ["", "Ines Tidewell\nPT-118\n\n", "Ines Tidewell\nPT-118\nyes\n", "Ines Tidewell\nPT-118\n"] {
        assert_eq!(place.typed(&["signoff", "@harbour.site.yaml"], answer).code, 2, "{answer:?}");
        assert_eq!(place.read("harbour.site.yaml"), before, "{answer:?}");
    }
    assert_snapshot!(place.typed(&["signoff", "@harbour.site.yaml"], "Ines Tidewell\nPT-118\nSign\n"), @r"
    exit 0
    Harbour Office, round '2026'
    10 heads: 7 seen, 1 not judged, 2 not reached

    Impairments (1)
      hall/1.4  replace  leak  5.2.1.1.1(1)

    Critical findings (1)
      hall/1.2  replace  paint  5.2.1.1.1(6)

    Without a class (1)
      hall/2.2  look  unsure  5.2.1.1

    Spare heads (they keep no round from being signed)
      6 spares are asked for, and no cabinet is in the register
      1 finding of something wrong with the spares; the summary tells them

    Who signs (full name)? Licence number? (Enter to leave it out) Sign round '2026' as Ines Tidewell, licence PT-118, on 2026-11-25? Type 'sign' to sign, anything else not to: Signed: round '2026' by Ines Tidewell on 2026-11-25.
    Digest over 11 lines: sha256:…
    Write the summary with: headround report harbour.site.yaml --to text
    ");
}

#[test]
fn the_signature_holds_name_licence_day_note_and_digest() {
    let place = Place::walked();
    let sign = [
        "signoff",
        "@harbour.site.yaml",
        "--name",
        "Ines Tidewell",
        "--licence",
        "PT-118",
        "--date",
        "2026-11-26",
        "--note",
        "plant room locked",
        "--yes",
        "--json",
    ];
    let told = place.fine(&sign).json();
    assert_eq!(told["signed"], true);
    let signoff = &told["signoff"];
    assert_eq!(signoff["name"], "Ines Tidewell");
    assert_eq!(signoff["licence"], "PT-118");
    assert_eq!(signoff["date"], "2026-11-26");
    assert_eq!(signoff["note"], "plant room locked");
    assert_eq!(signoff["digest"], "sha256:…");
    assert_eq!(
        signoff["lines"].as_u64().unwrap(),
        place.read("harbour.site.yaml").lines().filter(|l| l.starts_with("--- ")).count() as u64 - 1
    );
    assert_snapshot!(place.run(&sign[..7]), @r"
    exit 2
    --- standard error
    error: a value is required for '--date <DATE>' but none was supplied

    For more information, try '--help'.
    ");
}

#[test]
fn an_impairment_of_last_year_on_a_head_not_reached_is_told_before_signing_and_on_the_first_page() {
    let place = Place::new();
    let entry = |n: u8, round: &str, verb: &str| {
        format!(
            "--- {{\"id\":\"01KAVQ5R8Z00000000000000{n:02}\",\"at\":\"2026-11-25T09:14:0{n}-05:00\",\"by\":\"ines\",\"round\":\"{round}\",{verb}}}\n"
        )
    };
    let begin = |day: &str| format!(r#""begin":{{"date":"{day}","inspector":"Ines Tidewell"}}"#);
    let lines = [
        entry(1, "2025", &begin("2025-11-25")),
        entry(2, "2025", r#""saw":{"head":"hall/1.1","sign":"leak","part":"seal","extent":"heavy"}"#),
        entry(3, "2026", &begin("2026-11-25")),
        entry(4, "2026", r#""unreached":{"heads":"hall/1.1","why":"locked"}"#),
        entry(5, "2026", r#""seen":"hall/1.2..9.9""#),
        entry(6, "2026", r#""seen":"plant""#),
    ];
    place.write("harbour.site.yaml", &format!("{HARBOUR}{}", lines.concat()));
    let front = place.fine(&["report", "@harbour.site.yaml"]).out;
    let front = front.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        front.contains("Impairments none found in this round; of earlier rounds 1 head not looked at since"),
        "{front}"
    );
    let signed = place.fine(&["signoff", "@harbour.site.yaml", "--name", "Ines Tidewell", "--licence", "PT", "--yes"]);
    assert!(
        signed.out.contains("Of earlier rounds, not looked at since (1)\n  hall/1.1  replace, impairment  leak"),
        "{signed}"
    );
    assert!(!signed.out.contains("No finding asks for anything"), "{signed}");
}
