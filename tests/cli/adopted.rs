//! A round keeps the edition it was walked under.

use insta::assert_snapshot;

use crate::rules_diff::AUTHORITY;
use crate::support::{HARBOUR, Place};

const SITE: &str = "@harbour.site.yaml";

/// The fixture under the authority's set, which lies beside it.
fn strict() -> Place {
    let place = Place::new();
    place.write("harbour.site.yaml", &HARBOUR.replace("rules: nfpa25-2023", "rules: stricter"));
    place.write("stricter.yaml", AUTHORITY);
    place
}

/// The same with specks on a frame arm, every head answered for, and the round signed.
fn signed() -> Place {
    let place = strict();
    place.fine(&["begin", SITE, "--inspector", "Ines Tidewell", "--licence", "PT-118"]);
    place.walk("area hall\ngo 1.3\ns\np 4 t\narea hall\nsweep area\nyes\narea plant\nsweep area\nyes\n");
    place.fine(&["signoff", SITE, "--name", "Ines Tidewell", "--licence", "PT-118", "--yes"]);
    place
}

/// The register names another set from now on.
fn adopt(place: &Place, from: &str, to: &str) {
    let text = place.read("harbour.site.yaml");
    place.write(
        "harbour.site.yaml",
        &text
            .replace(&format!("rules: {from}\n"), &format!("rules: {to}\n"))
            .replace(&format!("rules: {from},"), &format!("rules: {to},")),
    );
    assert_ne!(place.read("harbour.site.yaml"), text);
}

fn ruling(place: &Place, arguments: &[&str]) -> String {
    let rows = place.fine(&[&["rulings", SITE, "--json"], arguments].concat()).json();
    let row = rows.as_array().unwrap().iter().find(|r| r["head"] == "hall/1.4").cloned().unwrap();
    row["ruling"].as_str().map_or_else(|| row["carried"][0]["ruling"].to_string(), str::to_owned)
}

#[test]
fn every_begin_names_the_set_it_is_walked_under() {
    let place = strict();
    let json = place.fine(&["begin", SITE, "--inspector", "Ines Tidewell", "--json"]).json();
    assert_eq!(json["begin"]["rules"], "stricter");
    assert!(place.read("harbour.site.yaml").contains(r#""rules":"stricter"}"#));
    // In line mode too.
    let place = Place::with_harbour();
    place.walk("begin Ines Tidewell\n");
    assert!(
        place.read("harbour.site.yaml").contains(r#""rules":"nfpa25-2023"}"#),
        "{}",
        place.read("harbour.site.yaml")
    );
}

#[test]
fn a_signed_round_is_judged_by_the_set_it_was_walked_under() {
    let place = signed();
    assert_eq!(ruling(&place, &[]), "replace");
    adopt(&place, "stricter", "nfpa25-2023");
    assert_eq!(ruling(&place, &[]), "replace");
    assert_snapshot!(place.run(&["check", SITE]), @r"
    exit 0
    harbour.site.yaml: sound; 10 heads, 7 entries; 2 warnings; 1 note
      round '2026', signed by Ines Tidewell: the signed lines are unchanged
    --- standard error
    warning[register-changed]: the register was changed by hand, or damaged, after line 29 was written
    --> harbour.site.yaml:1:1
     = help: if nobody edited it, compare it with a copy of the file

    note[walked-under]: round '2026' is judged by 'stricter', under which it was walked; the site now names 'nfpa25-2023'
    --> harbour.site.yaml

    warning[register-changed]: the register is not the one that was there when round '2026' was signed
    --> harbour.site.yaml
     = help: changes after a sign-off are no fault; the summary of that round was written with the older register
    ");
    let report = place.fine(&["report", SITE]);
    let lines: Vec<&str> = report.out.lines().skip_while(|l| !l.starts_with("Adopted rules")).take(6).collect();
    assert_snapshot!(lines.join("\n"), @r"
    Adopted rules  The harbour authority's stricter reading (stricter)
                   Edition: The harbour authority's stricter reading, on NFPA 25,
                   2023 edition
                   It builds on nfpa25-2023.
                   The round was walked under this set. The site names nfpa25-2023
                   now.
    ");
    // The next round is walked under what the site names, and asks for less; the signed one stays as it was.
    place.fine(&["begin", SITE, "--round", "2027", "--date", "2027-11-20", "--inspector", "Ines Tidewell"]);
    assert!(place.read("harbour.site.yaml").contains(r#""rules":"nfpa25-2023"}"#));
    assert_eq!(ruling(&place, &[]), "\"watch\"");
    assert_eq!(ruling(&place, &["--round", "2026"]), "replace");
}

#[test]
fn a_built_in_edition_is_kept_too() {
    let place = Place::new();
    place.write("harbour.site.yaml", &HARBOUR.replace("rules: nfpa25-2023", "rules: nfpa25-2020"));
    place.fine(&["begin", SITE, "--inspector", "Ines Tidewell", "--licence", "PT-118"]);
    place.walk("area hall\ngo 1.3\ns\np 4 t\narea hall\nsweep area\nyes\narea plant\nsweep area\nyes\n");
    place.fine(&["signoff", SITE, "--name", "Ines Tidewell", "--licence", "PT-118", "--yes"]);
    adopt(&place, "nfpa25-2020", "nfpa25-2023");
    assert_eq!(ruling(&place, &[]), "replace");
    assert_eq!(ruling(&place, &["--rules", "nfpa25-2023"]), "watch");
    // What the edition adopted since would change of a round that was walked under the earlier one.
    let json = place.fine(&["rulings", SITE, "--against", "nfpa25-2023", "--json"]).json();
    assert_eq!((&json["from"]["name"], &json["heads"][0]["head"]), (&"nfpa25-2020".into(), &"hall/1.4".into()));
}

#[test]
fn in_one_sitting_a_new_round_is_judged_by_the_sites_set_at_once() {
    let place = signed();
    adopt(&place, "stricter", "nfpa25-2023");
    let ran = place.walk("begin Ines Tidewell\narea hall\ngo 1.4\ns\np 4 t\n");
    assert!(ran.out.contains("watch"), "{ran}");
    assert!(!ran.out.contains("replace (noncritical)"), "{ran}");
}

#[test]
fn a_set_that_cannot_be_had_is_told_and_the_sites_set_judges() {
    let place = signed();
    adopt(&place, "stricter", "nfpa25-2023");
    std::fs::remove_file(place.path("stricter.yaml")).unwrap();
    assert_snapshot!(place.run(&["rulings", SITE]), @r"
    exit 0
    HEAD      KIND        RULING  CLASS        SIGNS  CLAUSE        REASON
    hall/1.4  qr-pendent  watch   noncritical  paint  5.2.1.1.1(6)  A little paint on frame or body only
    --- standard error
    warning[register-changed]: the register was changed by hand, or damaged, after line 29 was written
    --> harbour.site.yaml:1:1
     = help: if nobody edited it, compare it with a copy of the file

    warning[set-not-found]: round '2026' was walked under 'stricter', which cannot be had here; 'nfpa25-2023' judges it instead, and its rulings may be others than those signed for
    --> harbour.site.yaml
     = help: put 'stricter.yaml' beside the site file
    ");
    let report = place.run(&["report", SITE]);
    let lines: Vec<&str> = report.out.lines().skip_while(|l| !l.starts_with("Adopted rules")).take(5).collect();
    assert_snapshot!(lines.join("\n"), @r"
    Adopted rules  Visual inspection of sprinklers after NFPA 25, 2023 edition
                   (nfpa25-2023)
                   Edition: NFPA 25, 2023 edition
                   The round was walked under stricter, which was not at hand:
                   rulings may be others than those signed for.
    ");
    // Nor is one that is there and not sound passed over in silence.
    place.write("stricter.yaml", "format: headround rules 1\nname: stricter\n");
    assert_snapshot!(place.run(&["status", SITE]), @r"
    exit 0
    Harbour Office (harbour.site.yaml)
    Round '2026' of 2026-11-25, signed by Ines Tidewell

    AREA   NAME           HEADS  SEEN  UNREACHED  UNSURE  UNSEEN  RULINGS
    hall   Entrance hall      7     7          0       0       0  1 watch, 6 keep
    plant  Plant room         3     3          0       0       0  3 keep
           All               10    10          0       0       0  1 watch, 9 keep
    6 spares are asked for, and no cabinet is in the register
    --- standard error
    warning[register-changed]: the register was changed by hand, or damaged, after line 29 was written
    --> harbour.site.yaml:1:1
     = help: if nobody edited it, compare it with a copy of the file

    warning[set-not-found]: round '2026' was walked under 'stricter', which cannot be had here (a rule set has no 'title'); 'nfpa25-2023' judges it instead, and its rulings may be others than those signed for
    --> harbour.site.yaml
     = help: 'headround rules check' tells all that is wrong with its file
    ");
}

#[test]
fn an_unsigned_round_begun_under_another_set_is_judged_by_the_sites_and_must_be_begun_anew() {
    let place = strict();
    place.fine(&["begin", SITE, "--inspector", "Ines Tidewell", "--licence", "PT-118"]);
    place.walk("area hall\ngo 1.3\ns\np 4 t\narea hall\nsweep area\nyes\narea plant\nsweep area\nyes\n");
    adopt(&place, "stricter", "nfpa25-2023");
    assert_eq!(ruling(&place, &[]), "watch");
    let sign = ["signoff", SITE, "--name", "Ines Tidewell", "--licence", "PT-118", "--yes"];
    assert_snapshot!(place.run(&sign), @r"
    exit 2
    --- standard error
    warning[register-changed]: the register was changed by hand, or damaged, after line 23 was written
    --> harbour.site.yaml:1:1
     = help: if nobody edited it, compare it with a copy of the file

    warning[begun-under]: round '2026' was begun under 'stricter' and is judged by 'nfpa25-2023', which the site names now
    --> harbour.site.yaml
     = help: begin it anew ('headround begin --round 2026') before it is signed, or name 'stricter' in the register again
    error[not-ready]: round '2026' cannot be signed: it was begun under 'stricter' and is judged by 'nfpa25-2023'
    --> harbour.site.yaml
     = help: begin it anew under its own name ('headround begin --round NAME'), or name the earlier set in the register again
    ");
    assert_eq!(
        place.run(&["signoff", SITE, "--json"]).json()["other_rules"],
        serde_json::json!({ "begun_under": "stricter", "judged_by": "nfpa25-2023" })
    );
    place.fine(&["begin", SITE, "--round", "2026", "--inspector", "Ines Tidewell", "--licence", "PT-118"]);
    let ran = place.fine(&sign);
    assert!(!ran.err.contains("begun-under"), "{ran}");
    assert_eq!(ruling(&place, &[]), "watch");
}

#[test]
fn files_that_do_not_say_are_judged_by_the_sites_set_as_before() {
    let place = signed();
    let text = place.read("harbour.site.yaml");
    // A begin of an earlier program, written by hand here: without the set, and so without its sum.
    let old: String = text
        .lines()
        .map(|l| {
            let l = if l.contains(r#""begin":"#) { l.replace(r#","rules":"stricter"}"#, "}") } else { l.to_owned() };
            let at = if l.contains(r#""begin":"#) { l.find(r#","sum""#) } else { None };
            at.map_or(l.clone(), |at| format!("{}}}", &l[..at])) + "\n"
        })
        .collect();
    place.write("harbour.site.yaml", &old);
    adopt(&place, "stricter", "nfpa25-2023");
    let ran = place.run(&["rulings", SITE]);
    assert!(ran.out.contains("watch") && !ran.err.contains("walked under"), "{ran}");
}

#[test]
fn what_a_begin_names_is_no_path_and_steers_nothing() {
    let place = signed();
    let text = place.read("harbour.site.yaml");
    place.write("secret/hidden.yaml", AUTHORITY);
    for name in
        ["../secret/hidden", "secret/hidden", "/etc/passwd", ".hidden", "", "\\u001b[31mred", &"x".repeat(100_000)]
    {
        let hostile: String = text
            .lines()
            .filter(|l| !l.contains(r#""signoff":"#))
            .map(|l| {
                let begin = l.contains(r#""begin":"#);
                let l = if begin {
                    l.replace(r#""rules":"stricter""#, &format!(r#""rules":"{name}""#))
                } else {
                    l.to_owned()
                };
                let at = if begin { l.find(r#","sum""#) } else { None };
                at.map_or(l.clone(), |at| format!("{}}}", &l[..at])) + "\n"
            })
            .collect();
        let signoff = text.lines().find(|l| l.contains(r#""signoff":"#)).unwrap();
        place.write("harbour.site.yaml", &format!("{hostile}{signoff}\n"));
        let ran = place.run(&["status", SITE]);
        assert_eq!(ran.code, 0, "{ran}");
        assert!(ran.err.contains("set-not-found"), "{ran}");
        assert!(!ran.err.contains('\u{1b}') && ran.err.len() < 3_000, "{}", ran.err.len());
    }
}
