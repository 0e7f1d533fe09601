//! `due`: what is told, the CSV as a general reader has it, days to the day, bad sites, exit codes.

use insta::assert_snapshot;

use crate::lot::{OLD, place};
use crate::support::{HARBOUR, Place};

#[test]
fn what_is_overdue_what_has_no_date_and_what_was_assumed_is_told() {
    assert_snapshot!(place().run(&["due", "@old.site.yaml", "--all", "--plot"]));
}

#[test]
fn a_span_ends_on_its_day_and_a_day_that_is_past_is_overdue() {
    // Quick-response heads in service since 2009-05 are due after 25 years (NFPA 25:2023 5.3.1.1.1.1): on 2034-05-01.
    let place = Place::with_harbour();
    let when = |on: &str| {
        let ran = place.fine(&["due", "@harbour.site.yaml", "--within", "24 months", "--all", "--json", "--on", on]);
        ran.json()["sites"][0]["rows"][0]["when"].as_str().unwrap().to_owned()
    };
    for (on, word) in
        [("2032-04-30", "later"), ("2032-05-01", "soon"), ("2034-05-01", "soon"), ("2034-05-02", "overdue")]
    {
        assert_eq!(when(on), word, "{on}");
    }
}

#[test]
fn what_falls_due_later_is_counted_and_listed_only_when_asked_for() {
    let place = Place::with_harbour();
    let ran = place.run(&["due", "@harbour.site.yaml", "--strict"]);
    assert_eq!(ran.code, 0, "{ran}");
    assert!(ran.out.contains("Nothing falls due within the span.") && ran.out.contains("10 later"), "{ran}");
    let all = place.run(&["due", "@harbour.site.yaml", "--all", "--strict"]);
    assert_eq!(all.code, 0, "what is due later is nothing to act on: {all}");
    assert!(all.out.contains("2034-05-01"), "{all}");
}

#[test]
fn the_csv_has_a_row_a_group_and_starts_no_formula() {
    let place = place();
    place.write("=x.site.yaml", &OLD.replace("name: Old Quay", "name: '=HYPERLINK(A1)'").replace("AAA0", "AAA1"));
    let json = place.fine(&["due", "@old.site.yaml", "@=x.site.yaml", "--json"]).json();
    let rows: usize = json["sites"].as_array().unwrap().iter().map(|s| s["rows"].as_array().unwrap().len()).sum();
    let text = place.fine(&["due", "@old.site.yaml", "@=x.site.yaml", "--to", "csv"]).out;
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let head = reader.headers().unwrap().clone();
    let at = |name: &str| head.iter().position(|h| h == name).unwrap();
    let mut heads = 0;
    let records: Vec<_> = reader.records().map(Result::unwrap).collect();
    assert_eq!(records.len(), rows);
    for record in &records {
        assert!(!record[at("site")].starts_with('='), "{record:?}");
        heads += record[at("heads")].parse::<u64>().unwrap();
    }
    let sum = |site: &serde_json::Value| {
        site["rows"].as_array().unwrap().iter().map(|r| r["heads"].as_u64().unwrap()).sum::<u64>()
    };
    assert_eq!(heads, json["sites"].as_array().unwrap().iter().map(sum).sum::<u64>());
    assert_eq!(place.run(&["due", "@old.site.yaml", "--to", "csv", "--json"]).code, 2);
}

#[test]
fn a_list_is_written_once_and_replaced_when_asked_for() {
    let place = place();
    place.fine(&["due", "@old.site.yaml", "--to", "csv", "--out", "@due.csv"]);
    let again = place.run(&["due", "@old.site.yaml", "--to", "csv", "--out", "@due.csv"]);
    assert_eq!(again.code, 2, "{again}");
    place.fine(&["due", "@old.site.yaml", "--out", "@due.csv", "--over"]);
    assert!(place.read("due.csv").starts_with("Due by "));
    let site = place.run(&["due", "@old.site.yaml", "--out", "@old.site.yaml", "--over"]);
    assert_eq!(site.code, 2, "a site file is never written over: {site}");
}

#[test]
fn a_bad_site_is_told_and_left_out() {
    let place = place();
    place.write("broken.site.yaml", "format: headround site 1\nsite: [\n");
    let ran = place.run(&["due", "@broken.site.yaml", "@old.site.yaml"]);
    assert_eq!(ran.code, 2, "{ran}");
    assert!(ran.err.contains("broken.site.yaml") && ran.out.contains("Old Quay"), "{ran}");
    let nothing = place.run(&["due", "@broken.site.yaml"]);
    assert!(nothing.code == 2 && nothing.out.contains("No site could be read."), "{nothing}");
}

#[test]
fn strict_says_that_something_is_due() {
    let place = place();
    assert_eq!(place.run(&["due", "@old.site.yaml", "--strict"]).code, 1);
    assert_eq!(place.run(&["due", "@old.site.yaml"]).code, 0);
}

#[test]
fn the_timeline_keeps_to_ascii_where_that_is_asked_for() {
    let ran = place().fine(&["due", "@old.site.yaml", "--plot", "--ascii"]);
    let plot = ran.out.split("What falls due: ").nth(1).unwrap();
    let plot = plot.split("[B]").next().unwrap();
    assert!(plot.lines().count() > 5 && plot.is_ascii(), "{plot}");
}

#[test]
fn a_lot_that_passed_moves_its_heads_on() {
    let place = place();
    let first = |place: &Place| {
        let json = place.fine(&["due", "@old.site.yaml", "--all", "--json"]).json();
        let rows = json["sites"][0]["rows"].as_array().unwrap().clone();
        rows.into_iter().find(|r| r["kind"] == "sr-upright").unwrap()
    };
    assert_eq!(first(&place)["when"], "overdue");
    place.fine(&["lot", "@old.site.yaml", "form", "loft", "--heads", "loft"]);
    assert_eq!(first(&place)["lot"], "loft");
    let conclude =
        ["conclude", "loft", "--passed", "--date", "2026-11-20", "--lab", "Saltpan Test House", "--tested", "4"];
    place.fine(&[&["lot", "@old.site.yaml"][..], &conclude].concat());
    // Ten years after the test (NFPA 25:2023 5.3.1.1.1, as the set has it).
    let now = first(&place);
    assert_eq!((now["on"].as_str(), now["tested"].as_str()), (Some("2036-11-20"), Some("2026-11-20")), "{now}");
}

#[test]
fn a_span_that_is_none_is_refused() {
    let ran = Place::with_harbour().run(&["due", "@harbour.site.yaml", "--within", "soon"]);
    assert!(ran.code == 2 && ran.err.contains("'soon' is no span of time"), "{ran}");
    assert!(HARBOUR.contains("2009-05"));
}

#[test]
fn a_span_is_taken_as_it_is_typed_without_quotes_too() {
    let place = place();
    let whole = place.fine(&["due", "@old.site.yaml", "--within", "24 months"]).out;
    for words in [
        &["due", "@old.site.yaml", "--within", "24", "months"][..],
        &["due", "--within", "24", "months", "@old.site.yaml"],
        &["due", "--within", "24months", "@old.site.yaml"],
        &["due", "@old.site.yaml", "--within=2years"],
        &["due", "@old.site.yaml", "--within", "2", "years", "--on", "2026-11-28"],
    ] {
        let ran = place.fine(words);
        assert_eq!(ran.out.lines().nth(2), whole.lines().nth(2), "{ran}");
        assert!(ran.out.contains("within 2 years"), "{ran}");
    }
    let bare = place.run(&["due", "@old.site.yaml", "--within", "24"]);
    assert!(bare.code == 2 && bare.err.contains("write '25 years' or '18 months'"), "{bare}");
}

#[test]
fn the_timeline_of_one_site_is_written_as_a_picture() {
    let place = place();
    let words = ["due", "@old.site.yaml", "--svg", "@due.svg"];
    let ran = place.fine(&words);
    assert!(ran.out.starts_with("Written: "), "{ran}");
    let svg = place.read("due.svg");
    assert!(svg.starts_with("<svg") && svg.contains("What falls due: Old Quay"), "{svg}");
    assert_eq!(place.run(&words).code, 2, "it stands there already");
    let json = place.fine(&[&words[..], &["--over", "--json"]].concat()).json();
    assert!(!json["sites"][0]["rows"].as_array().unwrap().is_empty());
    let harbour = Place::with_harbour();
    let none = harbour.run(&["due", "@harbour.site.yaml", "--svg", "@due.svg"]);
    assert!(none.code == 2 && none.err.contains("nothing falls due within the span"), "{none}");
    place.write("two.site.yaml", &OLD.replace("AAA0", "AAA1"));
    let two = place.run(&["due", "@old.site.yaml", "@two.site.yaml", "--svg", "@two.svg"]);
    assert!(two.code == 2 && two.err.contains("a picture shows one site"), "{two}");
    let over = place.run(&["due", "@old.site.yaml", "--over"]);
    assert!(over.code == 2 && over.err.contains("no file is to be written"), "{over}");
}
