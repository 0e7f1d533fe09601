//! Price files: what is read, what is told, which price is taken.

use super::*;
use crate::trade::register_text::read_kind;

fn kind(text: &str) -> Kind {
    let source = Source::new("kind", text);
    let node = tree::read(&source, Limits::REGISTER).unwrap();
    let mut out = Vec::new();
    read_kind(&source, "k", &node, &mut out).unwrap()
}

fn file(rows: &str) -> (Option<Prices>, Vec<Diagnostic>) {
    read(&Source::new("prices.yaml", format!("format: headround prices 1\ncurrency: USD\nprices:\n{rows}")))
}

fn complaints(rows: &str) -> Vec<(String, usize)> {
    let (prices, out) = file(rows);
    assert!(prices.is_none(), "{rows}");
    out.iter().map(|d| (d.message.clone(), d.place.as_ref().unwrap().line)).collect()
}

const QR: &str =
    "{orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome, number: mq1}";

#[test]
fn a_price_is_read_to_the_hundredth_and_nothing_else_is_a_price() {
    for (text, hundredths) in [("0", 0), ("12", 1200), ("12.5", 1250), ("12.50", 1250), ("100000000", 10_000_000_000)] {
        assert_eq!(Money::parse(text), Ok(Money(hundredths)), "{text}");
    }
    for text in [
        "",
        "-1",
        "1,50",
        "1.234",
        "1e3",
        ".5",
        "5.",
        "NaN",
        "inf",
        "$5",
        "5 USD",
        "100000001",
        "１２",
        "1 000",
        "0x10",
        "99999999999999999999999",
    ] {
        assert!(Money::parse(text).is_err(), "{text}");
    }
    assert_eq!(Money(1205).to_string(), "12.05");
    assert_eq!(Money(u64::MAX).times(2), Money(u64::MAX));
}

#[test]
fn a_bad_number_a_duplicate_and_another_currency_are_told_with_their_lines() {
    let told = complaints(
        "  - {orientation: pendent, rating: 155 F, price: 12.345}\n  - {number: MQ1, price: 3}\n  - {number: mq1, price: 4, pack: 0}\n  - {number: ' mq1', price: 4}\n  - {number: MQ2, price: 4, currency: EUR}\n  - {price: 4}\n  - {number: MQ3, prise: 4}\n",
    );
    let lines: Vec<usize> = told.iter().map(|(_, line)| *line).collect();
    assert_eq!(lines, [4, 6, 6, 7, 8, 9, 10, 10], "{told:?}");
    assert!(told[2].0.contains("same as the one in line 5"), "{told:?}");
    assert!(told[4].0.contains("EUR") && told[4].0.contains("USD"), "{told:?}");
}

#[test]
fn a_file_of_another_sort_is_no_price_file() {
    for text in [
        "",
        "[]",
        "format: headround site 1",
        "format: headround prices 1\ncurrency: usd\nprices: []",
        "format: headround prices 1\ncurrency: USD\nprices: {a: 1}",
    ] {
        let (prices, out) = read(&Source::new("p", text));
        assert!(prices.is_none() && !out.is_empty(), "{text}");
    }
}

#[test]
fn the_price_that_says_most_is_taken_and_a_number_before_all() {
    let (prices, out) = file(
        "  - {orientation: pendent, rating: 68 C, price: 1}\n  - {orientation: pendent, rating: 155 F, k: 80 metric, price: 2}\n  - {number: MQ1, price: 3}\n  - {part: escutcheon, orientation: pendent, price: 4}\n  - {orientation: pendent, finish: white, price: 5}\n",
    );
    assert!(out.is_empty(), "{out:?}");
    let prices = prices.unwrap();
    let kind = kind(QR);
    let numbers = ["mq1".to_owned()];
    let wanted = Wanted { part: Part::Head, kind: &kind, numbers: &numbers, elements: &[Element::Bulb] };
    let cents = |found| match found {
        Found::One(p) => p.price.0,
        other => panic!("{other:?}"),
    };
    assert_eq!(cents(prices.find(wanted)), 300);
    assert_eq!(cents(prices.find(Wanted { numbers: &[], ..wanted })), 200);
    assert_eq!(cents(prices.find(Wanted { part: Part::Escutcheon, numbers: &[], ..wanted })), 400);
    assert_eq!(prices.find(Wanted { part: Part::CoverPlate, ..wanted }), Found::None);
    let white = Kind { finish: Finish::White, k: KFactor::parse("8.0").unwrap(), ..kind.clone() };
    assert!(matches!(prices.find(Wanted { kind: &white, numbers: &[], ..wanted }), Found::Two(_, _)));
}

#[test]
fn a_price_for_one_heat_element_is_none_for_heads_of_both() {
    let (prices, out) = file("  - {element: link, price: 7}\n");
    assert!(out.is_empty(), "{out:?}");
    let prices = prices.unwrap();
    let kind = kind(QR);
    let found = |elements| prices.find(Wanted { part: Part::Head, kind: &kind, numbers: &[], elements });
    assert!(matches!(found(&[Element::Link]), Found::One(_)));
    assert_eq!(found(&[Element::Bulb]), Found::None);
    assert_eq!(found(&[Element::Bulb, Element::Link]), Found::None);
}

#[test]
fn what_work_costs_may_stand_in_the_file_and_a_bad_figure_is_told() {
    let rows = "  - {number: MQ1, price: 3}\n";
    assert_eq!(file(rows).0.unwrap().work, Work::default());
    let (prices, out) = file(&format!("{rows}work: {{test: 45.00, swap: 30.5}}\n"));
    assert!(out.is_empty(), "{out:?}");
    assert_eq!(prices.unwrap().work, Work { test: Some(Money(4500)), swap: Some(Money(3050)) });
    assert_eq!(file(&format!("{rows}work: {{test: 45}}\n")).0.unwrap().work.swap, None);
    for bad in ["work: {test: -1}", "work: {tset: 4}", "work: 45", "work: [45]", "work: {swap: 30 USD}"] {
        let told = complaints(&format!("{rows}{bad}\n"));
        assert_eq!(told.iter().map(|(_, line)| *line).collect::<Vec<_>>(), [5], "{bad}: {told:?}");
    }
}
