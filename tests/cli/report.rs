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

/// A site with a lot of which four heads are drawn.
fn with_a_lot() -> Place {
    let place = Place::walked();
    place.fine(&["lot", "@harbour.site.yaml", "form", "hall-2009", "--heads", "hall", "--name", "Entrance hall, 2009"]);
    place.fine(&["lot", "@harbour.site.yaml", "draw", "hall-2009", "--seed", "7"]);
    place
}

#[test]
fn the_papers_of_a_lot_are_written_as_text_markdown_and_json() {
    let place = with_a_lot();
    let paper = |to: &str, more: &[&str]| {
        let mut line = vec!["report", "@harbour.site.yaml", "--to", to, "--lot", "hall-2009"];
        line.extend(more);
        place.fine(&line)
    };
    for (to, title) in [("pull-list", "Pull list"), ("tags", "Tags"), ("custody", "Chain of custody")] {
        let (text, markdown, json) = (paper(to, &[]), paper(to, &["--markdown"]), paper(to, &["--json"]));
        assert!(text.out.starts_with(&title.to_uppercase()), "{text}");
        assert!(markdown.out.starts_with(&format!("# {title} of lot hall-2009")), "{markdown}");
        let value = json.json();
        assert!(value["title"]["text"].as_str().is_some_and(|t| t.starts_with(title)), "{value}");
        for out in [&text.out, &markdown.out, &json.out] {
            assert!(out.contains("hall-2009-1") && out.contains("hall/"), "{out}");
        }
    }
    let written = paper("tags", &["--out", "@tags.txt"]);
    assert!(written.out.starts_with("Written: "), "{written}");
    assert!(place.read("tags.txt").starts_with("TAGS OF LOT hall-2009"));
}

#[test]
fn a_paper_of_a_lot_needs_one_lot_that_is_there() {
    let place = with_a_lot();
    insta::assert_snapshot!(place.run(&["report", "@harbour.site.yaml", "--to", "pull-list"]));
    insta::assert_snapshot!(place.run(&["report", "@harbour.site.yaml", "--to", "tags", "--lot", "hall-209"]));
    insta::assert_snapshot!(place.run(&["report", "@harbour.site.yaml", "--lot", "hall-2009"]));
    insta::assert_snapshot!(place.run(&["report", "@harbour.site.yaml", "--markdown"]));
    let bare = Place::walked();
    insta::assert_snapshot!(bare.run(&["report", "@harbour.site.yaml", "--to", "custody", "--lot", "hall-2009"]));
}

#[test]
fn a_failed_test_reaches_the_summary_and_the_order() {
    let place = with_a_lot();
    let record = "bench @harbour.site.yaml record hall-2009 hall-2009-1 --oven 135C --air 2.54m/s --start 20C --pressure 7psi --element 12s --until 300s";
    place.fine(&record.split(' ').collect::<Vec<_>>());
    let summary = place.fine(&["report", "@harbour.site.yaml"]).out;
    assert!(summary.contains("LOT Entrance hall, 2009 (hall-2009) FAILED ITS TEST"), "{summary}");
    assert!(summary.contains("TESTS OF SAMPLES") && summary.contains("HELD"), "{summary}");
    let order = place.fine(&["order", "@harbour.site.yaml"]).out;
    assert!(order.contains("(lot") && order.contains("hall-2009 failed)"), "{order}");
    assert!(order.contains("Lot hall-2009 failed its test: 7 heads wait because of it."), "{order}");
    let csv = place.fine(&["order", "@harbour.site.yaml", "--to", "csv"]).out;
    assert!(csv.lines().next().is_some_and(|l| l.contains(",heads,not_looked_at,disagreement,failed_lots,")), "{csv}");
    assert!(csv.lines().any(|l| l.contains(",hall/1.1 hall/1.2") && l.contains(",,,hall-2009,")), "{csv}");
}
