//! How many spares are asked for, against published numbers.

use proptest::prelude::*;

use super::*;
use crate::round::stock::required::apportion;

/// What a reading asks for of one kind installed so many times.
fn totals(rules: &'static str, n: u32) -> Vec<(String, u32, bool)> {
    let text = Text::new(rules).kind("qr", "").area("a", "", &format!("{n} qr"));
    let (_, required) = stock(&text.state(Vec::new()));
    required.readings.iter().map(|r| (r.id.clone(), r.total, r.rules)).collect()
}

/// Every reading of the built-in sets that counts heads installed, and what it asks for at the edges of its steps.
///
/// 299, 300, 1000, 1001: NFPA 13:2022 16.2.7.5 and a state fire marshal's answers (fewer than 300: 6; 300 to 1000: 12; more
/// than 1000: 24). `not-over-300`: Los Angeles 57.903 (not over 300: 6; 301 to 1000: 12; over 1000: 24). EN: CEA 4001 18.1.2
/// (light 6, ordinary 24, high 36), whatever the number of heads.
const ASKED: &[(&str, &str, [u32; 7])] = &[
    ("nfpa25-2014", "total", [6, 6, 12, 12, 12, 24, 24]),
    ("nfpa25-2014", "two-of-each", [6, 6, 12, 12, 12, 24, 24]),
    ("nfpa25-2014", "each-kind", [6, 6, 12, 12, 12, 24, 24]),
    ("nfpa25-2014", "not-over-300", [6, 6, 6, 12, 12, 24, 24]),
    ("nfpa25-2017", "total", [6, 6, 12, 12, 12, 24, 24]),
    ("nfpa25-2017", "two-of-each", [6, 6, 12, 12, 12, 24, 24]),
    ("nfpa25-2017", "each-kind", [6, 6, 12, 12, 12, 24, 24]),
    ("nfpa25-2017", "not-over-300", [6, 6, 6, 12, 12, 24, 24]),
    ("nfpa25-2020", "total", [6, 6, 12, 12, 12, 24, 24]),
    ("nfpa25-2020", "two-of-each", [6, 6, 12, 12, 12, 24, 24]),
    ("nfpa25-2020", "each-kind", [6, 6, 12, 12, 12, 24, 24]),
    ("nfpa25-2020", "not-over-300", [6, 6, 6, 12, 12, 24, 24]),
    ("nfpa25-2023", "total", [6, 6, 12, 12, 12, 24, 24]),
    ("nfpa25-2023", "two-of-each", [6, 6, 12, 12, 12, 24, 24]),
    ("nfpa25-2023", "each-kind", [6, 6, 12, 12, 12, 24, 24]),
    ("nfpa25-2023", "not-over-300", [6, 6, 6, 12, 12, 24, 24]),
    ("en12845", "light", [6; 7]),
    ("en12845", "ordinary", [24; 7]),
    ("en12845", "high", [36; 7]),
];
const EDGES: [u32; 7] = [1, 299, 300, 301, 1000, 1001, 2500];

#[test]
fn every_reading_of_every_set_asks_for_what_is_published_at_the_edges_of_its_steps() {
    let mut met = Vec::new();
    for rules in builtin::names() {
        for (at, n) in EDGES.into_iter().enumerate() {
            for (id, total, _) in totals(rules, n) {
                let row = ASKED.iter().find(|(set, reading, _)| set == rules && *reading == id);
                let (set, reading, asked) = row.unwrap_or_else(|| panic!("nothing is published for {rules} {id}"));
                assert_eq!(total, asked[at], "{rules} {id} of {n}");
                met.push((*set, *reading));
            }
        }
    }
    assert!(ASKED.iter().all(|(set, reading, _)| met.contains(&(*set, *reading))));
}

#[test]
fn three_hundred_heads_ask_for_twelve_and_the_citys_reading_is_shown_beside_it() {
    let all = totals("nfpa25-2023", 300);
    let of = |id: &str| all.iter().find(|(r, ..)| r == id).map(|(_, n, rules)| (*n, *rules)).unwrap();
    assert_eq!(of("total"), (12, true));
    assert_eq!(of("not-over-300"), (6, false));
}

#[test]
fn a_site_without_heads_asks_for_nothing() {
    let state = Text::new("nfpa25-2023").kind("qr", "").area("a", "", "").state(Vec::new());
    let (_, required) = stock(&state);
    assert_eq!((required.installed, required.ruling(), required.short()), (0, None, 0));
}

/// So many types, `last` heads of the last one and one of each other.
fn many_types(types: usize, last: usize, wrenches: usize) -> Text {
    let ratings = [135, 155, 165, 175, 200, 212, 250, 286, 325, 360, 400, 500, 575, 650];
    let mut text = Text::new("nfpa25-2023");
    let mut line = Vec::new();
    for at in 0..types {
        let (rating, k) = (ratings[at % 14], ["5.6", "8.0", "11.2"][at / 14]);
        text = text.kind(&format!("k{at}"), &format!("rating: {rating} F, k: {k}, wrench: w{}", at % wrenches.max(1)));
        line.push(format!("{} k{at}", if at + 1 == types { last } else { 1 }));
    }
    text.area("hall", "", &line.join(", "))
}

#[test]
fn ten_types_and_over_a_thousand_heads_two_of_each_are_twenty_and_four_more_are_to_choose() {
    // A published worked example: a trade article on spares.
    let state = many_types(10, 1500, 1).state(Vec::new());
    let (_, required) = stock(&state);
    let two = required.readings.iter().find(|r| r.id == "two-of-each").unwrap();
    assert_eq!(two.each, [2; 10]);
    assert_eq!((two.total, two.total - two.each.iter().sum::<u32>()), (24, 4));
    let ruling = required.ruling().unwrap();
    assert_eq!((ruling.total, ruling.each.iter().sum::<u32>()), (24, 10));
    assert_eq!(required.rows.iter().map(|r| r.plan).sum::<u32>(), 24, "the proposal meets the total");
}

#[test]
fn forty_one_types_two_of_each_are_eighty_two_and_eleven_wrenches() {
    // A published worked example: a hospital, in answers on life safety by NFPA 13:2010.
    let state = many_types(41, 1500, 11).state(Vec::new());
    let (_, required) = stock(&state);
    let of = |id: &str| required.readings.iter().find(|r| r.id == id).unwrap();
    assert_eq!(of("two-of-each").total, 82);
    assert_eq!(of("total").total, 41, "one of each is more than twenty-four");
    let cabinet = &state.register().cabinets[0];
    assert_eq!(super::super::wrenches_needed(&state, cabinet).len(), 11);
}

#[test]
fn readings_by_kind_count_each_type_by_itself() {
    let text = Text::new("nfpa25-2023").kind("qr", "").kind("up", "orientation: upright").kind("si", "rating: 200 F");
    let (_, required) = stock(&text.area("hall", "", "299 qr, 300 up, 1001 si").state(Vec::new()));
    let reading = required.readings.iter().find(|r| r.id == "each-kind").unwrap();
    let mut each = reading.each.clone();
    each.sort_unstable();
    assert_eq!((each, reading.total, reading.short), (vec![6, 12, 24], 42, 42));
}

#[test]
fn the_greatest_hazard_of_the_site_rules_and_an_unknown_one_is_taken_for_the_strictest() {
    // CEA 4001 18.1.2: light 6, ordinary 24, high 36.
    let cases: &[(&[&str], u32, usize)] = &[
        (&["light"], 6, 0),
        (&["ordinary"], 24, 0),
        (&["high"], 36, 0),
        (&["light", "ordinary"], 24, 0),
        (&["high", "light"], 36, 0),
        (&["light", "high", "ordinary"], 36, 0),
        (&[""], 36, 1),
        (&["light", ""], 36, 1),
        (&["", "ordinary", ""], 36, 2),
    ];
    for (hazards, total, unknown) in cases {
        let mut text = Text::new("en12845").kind("qr", "");
        for (at, hazard) in hazards.iter().enumerate() {
            let hazard = if hazard.is_empty() { String::new() } else { format!(", hazard: {hazard}") };
            text = text.area(&format!("a{at}"), &hazard, "5 qr");
        }
        // An area without heads asks for nothing, whatever its hazard.
        let state = text.area("empty", "", "").state(Vec::new());
        let (ledger, required) = stock(&state);
        assert_eq!(required.ruling().map(|r| r.total), Some(*total), "{hazards:?}");
        assert_eq!(required.readings.iter().filter(|r| r.rules).count(), 1, "{hazards:?}");
        assert_eq!(required.no_hazard.len(), *unknown, "{hazards:?}");
        let told = super::super::findings(&state, &ledger, &required, today());
        assert_eq!(told.iter().filter(|f| f.matter == super::super::Matter::Hazard).count(), *unknown, "{hazards:?}");
    }
    let state = Text::new("nfpa25-2023").kind("qr", "").area("a", "", "5 qr").state(Vec::new());
    assert_eq!(stock(&state).1.no_hazard, [], "a set that does not ask for the hazard misses none");
}

#[test]
fn what_is_missing_is_counted_by_type_and_to_the_total_whichever_is_more() {
    // Of 400 heads of two types: twelve in all, one of each at least.
    let text =
        Text::new("nfpa25-2023").kind("qr", "").kind("up", "orientation: upright").area("a", "", "390 qr, 10 up");
    for (held, short) in [
        ("", 12),
        ("12 qr", 1),
        ("11 qr", 1),
        ("10 qr", 2),
        ("11 qr, 1 up", 0),
        ("1 up", 11),
        ("30 qr, 0 up", 1),
        ("5 qr, 5 up", 2),
    ] {
        let (_, required) = stock(&text.state(round([counted("riser", held, "")])));
        assert_eq!(required.short(), short, "{held}");
    }
}

#[test]
fn what_should_be_kept_follows_the_lists_and_meets_the_total() {
    let text = Text::new("nfpa25-2023")
        .kind("qr", "made: 2009")
        .kind("qr-24", "made: 2024")
        .kind("up", "orientation: upright")
        .area("a", "", "390 qr, 10 up")
        .rest("cabinets: {riser: {name: Valve room, keep: {qr-24: 20, up: 3}}}\n");
    // The kind on the list hangs nowhere and was never counted; it is of a type that hangs.
    let plans = |entries| stock(&text.state(entries)).1.rows.iter().map(|r| r.plan).collect::<Vec<_>>();
    assert_eq!(plans(Vec::new()), [20, 3]);
    assert_eq!(plans(round([posted("riser", "2 qr-24")])), [11, 1], "a posted list takes its place");
}

#[test]
fn dry_lengths_esfr_and_special_response_are_types_of_their_own_and_dry_ones_can_be_excused() {
    let text = || {
        Text::new("nfpa25-2023")
            .kind("qr", "")
            .kind("special", "response: special")
            .kind("esfr", "style: esfr")
            .kind("dry-10", "dry: yes, length: 10 in")
            .kind("dry-12", "dry: yes, length: 12 in")
            .kind("dry", "dry: yes")
            .area("a", "", "5 qr, 5 special, 5 esfr, 5 dry-10, 5 dry-12, 5 dry")
    };
    let (_, required) = stock(&text().state(Vec::new()));
    assert_eq!((required.rows.len(), required.ruling().unwrap().each.iter().sum::<u32>()), (6, 6));
    let state = text().site(", dry_restored: plugs and caps in the valve room").state(Vec::new());
    let (ledger, required) = stock(&state);
    let excused: Vec<bool> = required.rows.iter().map(|r| r.excused).collect();
    assert_eq!(excused.iter().filter(|e| **e).count(), 3);
    assert!(required.rows.iter().all(|r| r.excused == r.head_type.is_dry()));
    assert_eq!(required.ruling().unwrap().each.iter().sum::<u32>(), 3);
    assert_eq!(required.ruling().unwrap().total, 6, "the total is asked for all the same");
    assert!(required.rows.iter().all(|r| !r.excused || r.plan == 0), "{:?}", required.rows);
    let told = super::super::findings(&state, &ledger, &required, today());
    let dry: Vec<&str> =
        told.iter().filter(|f| f.matter == super::super::Matter::DryLengths).map(|f| f.text.as_str()).collect();
    assert_eq!(
        dry,
        [
            "3 types of dry head are not held; the register says how service is restored: plugs and caps in the valve room"
        ]
    );
}

#[test]
fn a_site_of_excused_dry_heads_alone_still_has_a_proposal_that_meets_the_total() {
    let text = Text::new("nfpa25-2023").kind("dry", "dry: yes, length: 10 in").area("a", "", "50 dry");
    let (_, required) = stock(&text.site(", dry_restored: caps").state(Vec::new()));
    assert_eq!((required.short(), required.rows[0].plan), (6, 6));
}

#[test]
fn numbers_beyond_any_cabinet_are_left_out_and_told_and_many_great_ones_add_up_without_harm() {
    let text = Text::new("nfpa25-2023").kind("qr", "").kind("up", "orientation: upright").area("a", "", "9 qr, 9 up");
    let held = |list: Vec<What>| {
        let state = text.state(round(list));
        let (ledger, required) = stock(&state);
        assert!(!super::super::findings(&state, &ledger, &required, today()).is_empty());
        (required.held, state.problems().len())
    };
    let most = format!("{MOST_SPARES} qr, {MOST_SPARES} up");
    assert_eq!(held(vec![counted("riser", &most, "")]), (2 * MOST_SPARES, 0));
    assert_eq!(
        held(vec![counted("riser", &most, ""), moved("riser", MOST_SPARES, "qr", Way::PutIn)]),
        (3 * MOST_SPARES, 0)
    );
    for n in [MOST_SPARES + 1, u32::MAX] {
        assert_eq!(held(vec![counted("riser", &format!("{n} qr, 3 up"), "")]), (3, 1), "{n}");
        for way in Way::ALL {
            assert_eq!(held(vec![counted("riser", "3 up", ""), moved("riser", n, "up", *way)]), (3, 1), "{n} {way}");
        }
        let list = posted("riser", &format!("{n} qr, {n} up"));
        assert_eq!(held(vec![counted("riser", "3 up", ""), list]).0, 3, "{n} on a list");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 512, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_spread_adds_up_and_leans_to_the_greater_share(
        n in 0u32..200_000, shares in prop::collection::vec(prop_oneof![2 => Just(0u32), 5 => 0u32..50, 3 => any::<u32>()], 0..12)
    ) {
        let out = apportion(n, &shares);
        prop_assert_eq!(out.len(), shares.len());
        let sum: u64 = shares.iter().map(|s| u64::from(*s)).sum();
        prop_assert_eq!(out.iter().sum::<u32>(), if sum == 0 { 0 } else { n });
        for (a, share) in out.iter().zip(&shares) {
            prop_assert!(*share > 0 || *a == 0, "nothing for a share of none");
            if let Some(exact) = (u64::from(n) * u64::from(*share)).checked_div(sum) {
                prop_assert!(exact == u64::from(*a) || exact + 1 == u64::from(*a), "within one of the exact share");
            }
            for (b, other) in out.iter().zip(&shares) {
                prop_assert!(share <= other || a >= b, "the greater share never gets less: {:?} {:?}", shares, out);
            }
        }
    }

    #[test]
    fn more_held_of_an_installed_type_never_makes_more_missing(n in 1u32..1500, a in 0u32..30, b in 0u32..30, more in 0u32..10) {
        let text = Text::new("nfpa25-2023").kind("qr", "").kind("up", "orientation: upright").area("a", "", &format!("{n} qr, 1 up"));
        let short = |a: u32, b: u32| stock(&text.state(round([counted("riser", &format!("{a} qr, {b} up"), "")]))).1.short();
        prop_assert!(short(a + more, b) <= short(a, b));
        prop_assert!(short(a, b + more) <= short(a, b));
        let missing = short(a, b);
        prop_assert_eq!(short(a + missing, b + missing), 0, "whoever adds what is missing of each lacks nothing");
    }
}
