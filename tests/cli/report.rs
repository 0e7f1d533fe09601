use crate::support::Place;

#[test]
fn the_summary_goes_to_standard_output_in_the_form_asked_for() {
    let place = Place::signed();
    let text = place.fine(&["report", "@harbour.site.yaml"]);
    let markdown = place.fine(&["report", "@harbour.site.yaml", "--to", "markdown"]);
    assert!(markdown.out.starts_with("# "), "{markdown}");
    assert_ne!(text.out, markdown.out);
    for out in [&text.out, &markdown.out] {
        for words in ["Harbour Office", "hall/1.2", "hall/1.4", "Ines Tidewell", "PT-118"] {
            assert!(out.contains(words), "{words}: {out}");
        }
    }
    assert_eq!(place.fine(&["report", "@harbour.site.yaml", "--to", "text"]).out, text.out);
}

#[test]
fn sheets_are_written_by_area() {
    let place = Place::with_harbour();
    let all = place.fine(&["report", "@harbour.site.yaml", "--to", "sheets"]).out;
    let plant = place.fine(&["report", "@harbour.site.yaml", "--to", "sheets", "--area", "plant"]).out;
    assert!(all.contains("Entrance hall") && all.contains("Plant room"), "{all}");
    assert!(!plant.contains("Entrance hall") && plant.contains("Plant room"), "{plant}");
    assert_eq!(place.run(&["report", "@harbour.site.yaml", "--to", "sheets", "--area", "plan"]).code, 2);
    assert_eq!(place.run(&["report", "@harbour.site.yaml", "--area", "plant"]).code, 2);
}

#[test]
fn a_file_that_is_there_is_replaced_only_when_told() {
    let place = Place::half_walked();
    let report = ["report", "@harbour.site.yaml", "--out", "@summary.txt", "--over"];
    insta::assert_snapshot!(place.run(&report[..4]), @r"
    exit 0
    Written: summary.txt
    ");
    let first = place.read("summary.txt");
    place.write("summary.txt", "mine");
    insta::assert_snapshot!(place.run(&report[..4]), @r"
    exit 2
    --- standard error
    error[exists]: a file of that name exists already and was left as it is
    --> summary.txt
     = help: choose another name, or replace it with '--over'
    ");
    assert_eq!(place.read("summary.txt"), "mine");
    place.fine(&report);
    assert_eq!(place.read("summary.txt"), first);
    assert_eq!(place.run(&["report", "@harbour.site.yaml", "--over"]).code, 2);
    assert_eq!(place.run(&["report", "@harbour.site.yaml", "--out", "@none/summary.txt"]).code, 2);
}

#[test]
fn a_summary_never_replaces_a_site_file() {
    let place = Place::half_walked();
    let site = place.read("harbour.site.yaml");
    place.write("copy.txt", &site);
    for there in ["@harbour.site.yaml", "@copy.txt"] {
        let run = place.run(&["report", "@harbour.site.yaml", "--out", there, "--over"]);
        assert_eq!(run.code, 2, "{run}");
        assert!(run.err.contains("site-file"), "{run}");
    }
    assert_eq!(place.read("harbour.site.yaml"), site);
    assert_eq!(place.read("copy.txt"), site);
}

#[test]
fn an_earlier_round_is_reported_as_it_was() {
    let place = Place::signed();
    place.fine(&[
        "begin",
        "@harbour.site.yaml",
        "--inspector",
        "Osk Brannagh-Fell",
        "--round",
        "2027",
        "--date",
        "2027-11-20",
    ]);
    let before = place.fine(&["report", "@harbour.site.yaml", "--round", "2026", "--on", "2026-11-25"]).out;
    assert!(before.contains("hall/1.2"), "{before}");
    assert_ne!(place.fine(&["report", "@harbour.site.yaml", "--on", "2026-11-25"]).out, before);
}
