//! The cells of a table against a general reader of such files.

use proptest::prelude::*;

use super::*;

fn texts(text: &str, separator: char) -> Vec<Vec<String>> {
    let rows = cells(text, separator).expect("well formed");
    rows.into_iter().map(|r| r.into_iter().map(|c| c.text).collect()).collect()
}

#[test]
fn cells_keep_quotes_line_ends_and_empty_places() {
    assert_eq!(
        texts("a,b\r\n1,\"x \"\"y\"\"\n,z\"\n\n,\n", ','),
        [vec!["a", "b"], vec!["1", "x \"y\"\n,z"], vec!["", ""]]
    );
    assert_eq!(texts("\u{FEFF}tag;oven\n1;2,5", ';'), [vec!["tag", "oven"], vec!["1", "2,5"]]);
    assert!(texts("", ',').is_empty() && texts("\n\r\n", ',').is_empty());
}

#[test]
fn a_broken_quote_is_told_at_its_place() {
    assert_eq!(cells("a,\"b", ',').unwrap_err().0, 2..4);
    assert_eq!(cells("a,\"b\"c", ',').unwrap_err().0, 5..6);
}

#[test]
fn what_parts_the_cells_is_seen_in_the_first_line() {
    for (text, found) in [("tag,oven", ','), ("tag;oven,x;y", ';'), ("tag\toven", '\t'), ("tag", ','), ("", ',')] {
        assert_eq!(separator(text), found, "{text}");
    }
}

#[test]
fn a_unit_stands_in_brackets_behind_the_name() {
    for (text, name, unit) in [
        ("oven [C]", "oven", Some("C")),
        (" Oven (°F) ", "oven", Some("°F")),
        ("rti ((m.s)^0.5)", "rti", Some("(m.s)^0.5")),
        ("rti [(m.s)^0.5]", "rti", Some("(m.s)^0.5")),
        ("tag", "tag", None),
    ] {
        assert_eq!(apart(text), (name.to_owned(), unit.map(str::to_owned)), "{text}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_cells_are_those_that_a_general_writer_put_in(
        rows in prop::collection::vec(prop::collection::vec("[a-z0-9 ,;\"\n\r\t.°é]{0,6}", 2..4), 1..6),
        which in 0..3usize,
    ) {
        let separator = [',', ';', '\t'][which];
        let mut writer =
            ::csv::WriterBuilder::new().delimiter(u8::try_from(separator).unwrap()).flexible(true).from_writer(Vec::new());
        for row in &rows {
            writer.write_record(row).unwrap();
        }
        let text = String::from_utf8(writer.into_inner().unwrap()).unwrap();
        prop_assert_eq!(texts(&text, separator), rows);
    }

    #[test]
    fn any_text_is_read_or_told_and_spans_lie_within(text in "\\PC{0,40}|[a,\"\n;]{0,20}") {
        match cells(&text, separator(&text)) {
            Ok(rows) => for cell in rows.iter().flatten() {
                prop_assert!(text.get(cell.span.clone()).is_some());
            },
            Err((span, _)) => prop_assert!(text.get(span).is_some()),
        }
    }
}
