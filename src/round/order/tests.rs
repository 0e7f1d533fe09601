//! What is ordered: by make-up, from which cabinet, never for a head that was replaced.

use std::fmt::Write as _;
use std::sync::OnceLock;

use proptest::prelude::*;

use super::*;
use crate::diag::Source;
use crate::round::entry::{Entry, Id, Names};
use crate::rules::builtin;
use crate::rules::judge::Judge;
use crate::trade::{prices, register_text};

const SITE: &str = "\
format: headround site 1
site: {id: 01KAVQ5R8Z0000000000000000, name: Marram Quay Cannery, rules: nfpa25-2023}
kinds:
  qr: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome, made: 2009, number: MQ1}
  qr-white: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: white, made: 2012}
  qr-new: {orientation: pendent, response: quick, element: bulb, rating: 68 C, k: 80 metric, finish: chrome, made: 2025}
  up: {orientation: upright, response: standard, element: link, rating: 165 F, k: 5.6, finish: brass, made: 1988, number: MQ7}
  up-new: {orientation: upright, response: standard, element: link, rating: 165 F, k: 5.6, finish: brass, made: 2025}
  conc: {orientation: pendent, mount: concealed, response: quick, element: link, rating: 165 F, k: 5.6, finish: white}
areas:
  pack: {name: Packing hall, ceiling_max: 100 F, lines: [6 qr, 4 up]}
  shop: {name: Shop, ceiling_max: 100 F, lines: [3 qr-white, 3 conc]}
cabinets:
  riser: {name: Valve room}
recalled:
  - {number: MQ7, why: seals stick}
";

fn judge() -> &'static Judge {
    static JUDGE: OnceLock<Judge> = OnceLock::new();
    JUDGE.get_or_init(|| {
        let recalls = read(SITE).recalled;
        Judge::new(builtin::load("nfpa25-2023").expect("the built-in set is sound"), &recalls)
    })
}

fn read(text: &str) -> crate::trade::register::Register {
    let (register, complaints) = register_text::read(&Source::new("t", text));
    assert!(complaints.is_empty(), "{complaints:?}");
    register.unwrap()
}

/// A state from verbs in JSON, one entry each, in rounds of the years given.
fn state(verbs: &[(&str, String)]) -> State {
    let mut names = Names::default();
    let mut entries = Vec::new();
    let mut begun: Vec<&str> = Vec::new();
    let mut n = 0_u128;
    let mut add = |year: &str, verb: &str| {
        n += 1;
        let id = Id(0x019a_0000_0000_0000_0000_0000_0000_0000 + (n << 40));
        let json = format!(r#"{{"id":"{id}","at":"{year}-11-25T09:00:00-05:00","by":"ines","round":"{year}",{verb}}}"#);
        entries.push(Entry::from_json(&json, &mut names).unwrap_or_else(|e| panic!("{json}: {e}")));
    };
    for (year, verb) in verbs {
        if !begun.contains(year) {
            begun.push(year);
            add(year, &format!(r#""begin":{{"date":"{year}-11-25","inspector":"Ines Tidewell"}}"#));
        }
        add(year, verb);
    }
    State::fold(read(SITE), entries, judge().clone(), None)
}

fn saw(head: &str) -> String {
    format!(r#""saw":{{"head":"{head}","sign":"paint","part":"element","extent":"light","applied":"field"}}"#)
}

fn counted(held: &str) -> String {
    format!(r#""counted":{{"cabinet":"riser","held":{{{held}}}}}"#)
}

fn replaced(head: &str, kind: &str, from: bool) -> String {
    let from = if from { r#","from":"riser""# } else { "" };
    format!(r#""did":{{"head":"{head}","did":"replaced","kind":"{kind}"{from}}}"#)
}

fn day() -> chrono::NaiveDate {
    chrono::NaiveDate::from_ymd_opt(2026, 11, 25).unwrap()
}

/// One line a make-up: what, wait, given, fill, buy.
fn lines(verbs: &[(&str, String)], scope: Scope) -> String {
    let order = together(&[of_site(&state(verbs), "f", scope, day())], None);
    let mut t = String::new();
    for l in &order.lines {
        let _ = writeln!(t, "{}: {} {} {} {}", l.what, l.condemned, l.from_cabinet, l.to_fill, l.to_buy);
    }
    t
}

#[test]
fn what_the_cabinet_gives_is_not_bought_for_the_ceiling_and_is_bought_again_for_the_cabinet() {
    // 16 heads of three types: six spares in all, by the set's ruling reading, one of each type at least. Three are left
    // over. Once the cabinet has given two, two that lie in it beyond the least count towards them; the third is of the type
    // of which most heads are installed.
    let walk = [("2026", saw("pack/1.1")), ("2026", saw("pack/1.2")), ("2026", saw("pack/2.1"))];
    let all = [&walk[..], &[("2026", counted(r#""qr":1,"qr-new":4,"up":0,"conc":1"#))]].concat();
    assert_eq!(
        lines(&all, Scope::All),
        "pendent, quick, 155 °F, K5.6, chrome: 2 2 1 1\nupright, standard, 165 °F, K5.6, brass: 1 0 1 2\n"
    );
    assert_eq!(
        lines(&all, Scope::Condemned).lines().last().unwrap(),
        "upright, standard, 165 °F, K5.6, brass: 1 0 0 1"
    );
    // Six lie there before anything is taken: only the type that has none is short.
    assert_eq!(lines(&all, Scope::Stock), "upright, standard, 165 °F, K5.6, brass: 0 0 1 1\n");
}

#[test]
fn a_cabinet_that_holds_enough_is_ordered_nothing() {
    for held in [r#""qr":1,"qr-new":1,"up-new":3,"conc":1"#, r#""qr":9,"qr-new":9,"up-new":1,"conc":1"#] {
        assert_eq!(lines(&[("2026", counted(held))], Scope::All), "", "{held}");
    }
}

#[test]
fn a_finish_is_served_from_its_own_spares_first_and_then_from_the_others() {
    let walk = [saw("pack/1.1"), saw("pack/1.2"), saw("shop/1.1"), counted(r#""qr-white":1,"qr":2,"up":9,"conc":9"#)];
    let walk: Vec<(&str, String)> = walk.into_iter().map(|v| ("2026", v)).collect();
    let shown = lines(&walk, Scope::Condemned);
    assert_eq!(shown, "pendent, quick, 155 °F, K5.6, chrome: 2 2 0 0\npendent, quick, 155 °F, K5.6, white: 1 1 0 0\n");
    let other = [saw("shop/1.1"), saw("shop/1.2"), counted(r#""qr":1,"up":9,"conc":9"#)];
    let other: Vec<(&str, String)> = other.into_iter().map(|v| ("2026", v)).collect();
    assert_eq!(lines(&other, Scope::Condemned), "pendent, quick, 155 °F, K5.6, white: 2 1 0 1\n");
}

#[test]
fn a_head_found_in_an_earlier_round_waits_until_somebody_says_it_was_replaced() {
    let before =
        [("2025", saw("pack/1.3")), ("2025", saw("pack/1.4")), ("2025", saw("pack/1.5")), ("2025", saw("pack/1.6"))];
    let now = [
        ("2026", replaced("pack/1.4", "qr-new", false)),
        ("2026", saw("pack/1.5")),
        ("2026", r#""seen":"pack/1.1..1.2""#.to_owned()),
    ];
    let state = state(&[&before[..], &[("2025", replaced("pack/1.6", "qr-new", true))], &now[..]].concat());
    let order = of_site(&state, "f", Scope::Condemned, day());
    let waiting: Vec<(String, bool)> =
        order.lines[0].waiting.iter().map(|w| (w.head.to_string(), w.not_looked_at)).collect();
    assert_eq!(waiting, [("pack/1.3".to_owned(), true), ("pack/1.5".to_owned(), false)]);
}

#[test]
fn a_missing_cover_plate_is_ordered_and_a_loose_one_is_put_right() {
    let cover = |head: &str, part: &str, extent: &str| {
        ("2026", format!(r#""saw":{{"head":"{head}","sign":"cover","part":"{part}","extent":"{extent}"}}"#))
    };
    let walk = [
        cover("shop/2.1", "cover-plate", "full"),
        cover("shop/2.2", "cover-plate", "light"),
        cover("shop/2.3", "cover-plate", "heavy"),
        cover("pack/1.1", "escutcheon", "full"),
    ];
    assert_eq!(
        lines(&walk, Scope::Condemned),
        "cover plate for concealed pendent, quick, 165 °F, K5.6, white: 2 0 0 2\n"
    );
}

#[test]
fn recalled_numbers_are_marked_and_advised_heads_are_not_counted() {
    let sighting = r#""saw":{"head":"pack/2.1","sign":"recalled","part":"whole","extent":"full"}"#.to_owned();
    let order = of_site(&state(&[("2026", saw("pack/2.2")), ("2026", sighting)]), "f", Scope::Condemned, day());
    let line = order.lines.iter().find(|l| l.numbers.contains(&"MQ7".to_owned())).unwrap();
    assert_eq!((line.wanted(), &line.recalled), (1, &vec!["MQ7".to_owned()]));
    let advised: Vec<String> = line.advised.iter().map(ToString::to_string).collect();
    assert_eq!(advised, ["pack/2.1"]);
    assert!(order.remarks.iter().any(|r| r.contains("Recalled")), "{:?}", order.remarks);
}

#[test]
fn whole_packs_are_paid_for_and_a_line_without_a_price_is_told() {
    let source = Source::new(
        "p",
        "format: headround prices 1\ncurrency: EUR\nprices:\n  - {orientation: pendent, mount: exposed, finish: chrome, pack: 5, price: 100.10}\n",
    );
    let (prices, told) = prices::read(&source);
    assert!(told.is_empty(), "{told:?}");
    let walk: Vec<(&str, String)> =
        ["pack/1.1", "pack/1.2", "pack/1.3", "pack/1.4", "pack/1.5", "pack/1.6", "pack/2.1"]
            .map(|h| ("2026", saw(h)))
            .into();
    let one = of_site(&state(&walk), "f", Scope::Condemned, day());
    let order = together(&[one.clone(), SiteOrder { file: "g".to_owned(), ..one }], prices.as_ref());
    let cost = order.lines[0].cost.as_ref().unwrap();
    assert_eq!((order.lines[0].to_buy, cost.packs, cost.total), (12, 3, Money(30_030)));
    assert_eq!((order.total, order.without_price), (Some(Money(30_030)), 1));
    assert!(order.lines[1].no_price.as_ref().unwrap().contains("no price"));
}

#[test]
fn the_price_of_a_recalled_number_is_not_taken() {
    let rows = "  - {number: MQ7, price: 1}\n  - {orientation: upright, price: 2}\n";
    let source = Source::new("p", format!("format: headround prices 1\ncurrency: EUR\nprices:\n{rows}"));
    let (prices, told) = prices::read(&source);
    assert!(told.is_empty(), "{told:?}");
    let site = of_site(&state(&[("2026", saw("pack/2.2"))]), "f", Scope::Condemned, day());
    let order = together(&[site], prices.as_ref());
    assert_eq!(order.lines[0].numbers, ["MQ7"]);
    assert_eq!(order.lines[0].cost.as_ref().unwrap().price, Money(200));
}

#[test]
fn which_site_is_named_first_changes_no_price() {
    let rows = "  - {element: link, price: 1}\n  - {element: bulb, price: 2}\n";
    let source = Source::new("p", format!("format: headround prices 1\ncurrency: EUR\nprices:\n{rows}"));
    let (prices, told) = prices::read(&source);
    assert!(told.is_empty(), "{told:?}");
    let bulb = of_site(&state(&[("2026", saw("pack/1.1"))]), "f", Scope::Condemned, day());
    let mut link = SiteOrder { id: "another".to_owned(), file: "g".to_owned(), ..bulb.clone() };
    link.lines[0].kind.element = Element::Link;
    link.lines[0].elements = BTreeSet::from([Element::Link]);
    let cost = |sites: &[SiteOrder]| together(sites, prices.as_ref()).lines[0].cost.as_ref().map(|c| c.price);
    assert_eq!(cost(std::slice::from_ref(&bulb)), Some(Money(200)));
    assert_eq!(cost(std::slice::from_ref(&link)), Some(Money(100)));
    assert_eq!(cost(&[bulb.clone(), link.clone()]), None);
    assert_eq!(cost(&[link, bulb]), None);
}

#[derive(Clone, Debug)]
enum Step {
    Saw(u8),
    Replaced(u8, bool),
    Count(u8, u8, u8),
    Seen(u8),
}

fn step() -> impl Strategy<Value = Step> {
    prop_oneof![
        (1..11_u8).prop_map(Step::Saw),
        (1..11_u8, any::<bool>()).prop_map(|(h, from)| Step::Replaced(h, from)),
        (0..4_u8, 0..4_u8, 0..4_u8).prop_map(|(a, b, c)| Step::Count(a, b, c)),
        (1..11_u8).prop_map(Step::Seen),
    ]
}

fn place(n: u8) -> String {
    if n <= 6 { format!("pack/1.{n}") } else { format!("pack/2.{}", n - 6) }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_replaced_head_never_waits_and_the_sums_hold(
        steps in prop::collection::vec((prop_oneof![Just("2025"), Just("2026")], step()), 0..30),
        scope in prop_oneof![Just(Scope::All), Just(Scope::Condemned), Just(Scope::Stock)],
    ) {
        let mut steps = steps;
        steps.sort_by_key(|(year, _)| *year);
        let mut open: BTreeSet<String> = BTreeSet::new();
        let mut verbs: Vec<(&str, String)> = Vec::new();
        for (year, step) in &steps {
            let verb = match step {
                Step::Saw(n) => {
                    open.insert(place(*n));
                    saw(&place(*n))
                }
                Step::Replaced(n, from) => {
                    open.remove(&place(*n));
                    replaced(&place(*n), if *n <= 6 { "qr-new" } else { "up" }, *from)
                }
                Step::Count(a, b, c) => counted(&format!(r#""qr":{a},"qr-new":{b},"up":{c}"#)),
                Step::Seen(n) => format!(r#""seen":"{}""#, place(*n)),
            };
            verbs.push((year, verb));
        }
        let state = state(&verbs);
        let site = of_site(&state, "f", scope, day());
        let waiting: BTreeSet<String> =
            site.lines.iter().flat_map(|l| &l.waiting).map(|w| w.head.to_string()).collect();
        // A model of its own: what was seen and not replaced since waits; nothing else does.
        let expected = if scope == Scope::Stock { BTreeSet::new() } else { open };
        prop_assert_eq!(&waiting, &expected);
        let ledger = stock::ledger(&state);
        let required = stock::required(&state, &ledger, day());
        // What is bought for the cabinets is the least that makes every type and the total whole, once they have given.
        let (mut fills, mut missing, mut then) = (0, 0, 0);
        for row in &required.rows {
            let of_type: Vec<&SiteLine> = site.lines.iter().filter(|l| l.is_of(row)).collect();
            let given: u32 = of_type.iter().map(|l| l.given).sum();
            let wanted: u32 = of_type.iter().map(|l| l.wanted()).sum();
            let fill: u32 = of_type.iter().map(|l| l.fill).sum();
            prop_assert_eq!(given, wanted.min(row.held));
            let left = row.held - given;
            prop_assert!(scope == Scope::Condemned || left + fill >= row.need, "{:?}", row);
            fills += fill;
            missing += row.need.saturating_sub(left);
            then += left.max(row.need);
        }
        let total = required.ruling().map_or(0, |r| r.total);
        let least = if scope == Scope::Condemned { 0 } else { missing + total.saturating_sub(then) };
        prop_assert_eq!(fills, least);
        let order = together(&[site.clone(), SiteOrder { file: "g".to_owned(), ..site }], None);
        for line in &order.lines {
            prop_assert_eq!(line.to_buy, line.sites.iter().map(|s| s.to_buy).sum::<u32>());
            prop_assert_eq!(line.to_buy, line.condemned - line.from_cabinet + line.to_fill);
            prop_assert_eq!(line.sites.len(), 2);
        }
    }
}
