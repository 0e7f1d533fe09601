//! A file with a damaged line: what is said of it is marked as incomplete, and the exit code says so.

use crate::support::Place;

/// The demo with the failed test of its dock damaged: a digit of a time is another than its line was summed with.
fn damaged() -> Place {
    let place = Place::new();
    let demo = include_str!("../../sample-sites/cannery.site.yaml");
    assert!(demo.contains("204.5 s"));
    place.write("cannery.site.yaml", &demo.replacen("204.5 s", "104.5 s", 1));
    place
}

#[test]
fn a_summary_of_a_damaged_file_says_first_that_it_is_incomplete() {
    let place = damaged();
    for form in [&["--to", "text"][..], &["--to", "markdown"], &["--json"]] {
        let ran = place.run(&[&["report", "@cannery.site.yaml"], form].concat());
        assert_eq!(ran.code, 2, "{form:?}: {}", ran.err);
        assert!(ran.out.contains("INCOMPLETE"), "{form:?}");
        assert!(ran.err.contains("wrong-sum"), "{}", ran.err);
    }
    let whole = Place::new();
    whole.write("cannery.site.yaml", include_str!("../../sample-sites/cannery.site.yaml"));
    let ran = whole.run(&["report", "@cannery.site.yaml"]);
    assert_eq!((ran.code, ran.out.contains("INCOMPLETE")), (0, false));
}

#[test]
fn every_question_to_a_damaged_file_ends_with_the_code_for_what_could_not_be_done() {
    let place = damaged();
    for command in ["status", "rulings", "order", "due", "lot", "bench", "cabinet"] {
        let ran = place.run(&[command, "@cannery.site.yaml"]);
        assert_eq!(ran.code, 2, "{command}: {}", ran.err);
        assert!(!ran.out.is_empty(), "{command}");
    }
}
