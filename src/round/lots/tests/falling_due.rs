//! What falls due, how lots are formed of it, and what a passed lot puts off.

use super::*;

#[test]
fn what_is_due_is_told_with_its_day_its_clause_and_what_was_assumed() {
    let now = mill(&[]);
    let list = due::due(&now, &lots(&now), today(), Span::parse("24 months").expect("a span"));
    let rows: Vec<String> = list
        .rows
        .iter()
        .map(|r| {
            format!(
                "{} {} {} {} {} {:?}",
                r.area,
                r.kind,
                r.heads,
                r.on.map_or("-".to_owned(), |d| d.to_string()),
                r.when,
                r.assumed
            )
        })
        .collect();
    assert_eq!(
        rows,
        [
            // Salt air, five years (5.3.1.1.2), counted from the year made as no day of service is known.
            "yard old-link 3 1975-01-01 overdue [\"no day of service is known: counted from the year made, 1970\"]",
            // Standard response, fifty years (5.3.1.1.1).
            "mill old-link 24 2021-04-01 overdue []",
            // Fast response, twenty-five years in the edition of 2023 (5.3.1.1.1.1).
            "shop qr-bulb 11 2025-09-15 overdue []",
            "shop old-link 1 2050-09-15 later []",
            "annex new-link 4 2074-05-01 later []",
        ]
    );
    // Where no date is known at all, the shortest of the ages speaks: five years in salt air.
    let undated = state(&MILL.replace("made: 1970}", "made: unknown}"), written(&[BEGIN]));
    let list_undated = due::due(&undated, &[], today(), Span::parse("24 months").expect("a span"));
    let row = &list_undated.rows[0];
    assert_eq!(
        (row.area.as_str(), row.on, row.when, row.clause.as_str()),
        ("yard", None, due::When::Unknown, "5.3.1.1.2")
    );
    assert_eq!(list.rows[2].months_late, 14);
    assert_eq!(list.rows[1].clause, "5.3.1.1.1");
}

#[test]
fn stretches_name_whole_areas_and_lines_and_hold_just_the_heads_they_are_made_of() {
    let state = mill(&[]);
    let heads = |list: &str| -> Vec<HeadIx> {
        list.split(' ').flat_map(|text| state.touched(&Heads::parse(text).expect(text))).collect()
    };
    for text in
        ["mill", "mill/1", "mill/1..2", "mill/1 mill/2.1..2.7 mill/3", "mill/1.2..1.4 mill/2..3 shop", "shop/2.6"]
    {
        let told: Vec<String> =
            crate::round::act::stretches(&state, &heads(text)).iter().map(ToString::to_string).collect();
        assert_eq!(told.join(" "), text);
    }
}

#[test]
fn a_passed_lot_puts_the_next_test_off_and_one_still_open_is_named() {
    let span = Span::parse("24 months").expect("a span");
    let open = run_through(&[(FOUR[0], FINE)]);
    let list = due::due(&open, &lots(&open), today(), span);
    let mill_row = |list: &due::DueList| {
        list.rows.iter().find(|r| r.area.as_str() == "mill" && r.kind == "old-link").cloned().expect("a row")
    };
    assert_eq!((mill_row(&list).heads, mill_row(&list).lot.map(|l| l.to_string())), (20, Some("links".to_owned())));
    let state = run_through(&FOUR.map(|h| (h, FINE)));
    let row = mill_row(&due::due(&state, &lots(&state), today(), span));
    // Fifty years and then every ten (5.3.1.1.1).
    assert_eq!((row.on, row.tested, row.lot), ("2036-11-25".parse().ok(), "2026-11-25".parse().ok(), None));
    // The seventy-five-year rule speaks from 2046 on: every five years (from 5.3.1.1.1.4, by an article).
    let list = due::due(&state, &lots(&state), today(), Span::parse("40 years").expect("a span"));
    let days: Vec<String> = mill_row(&list).then.iter().map(ToString::to_string).collect();
    assert_eq!(days, ["2046-04-01", "2051-04-01", "2056-04-01", "2061-04-01", "2066-04-01"]);
}

#[test]
fn ways_to_draw_the_lots_say_what_one_failure_condemns() {
    let state = mill(&[]);
    let list = due::due(&state, &lots(&state), today(), Span::parse("24 months").expect("a span"));
    let ways: Vec<String> = ways(&state, &list, &[])
        .iter()
        .map(|w| {
            format!(
                "{}: {} lots, {} of {} sampled, {} condemned",
                w.words(),
                w.lots.len(),
                w.sampled(),
                w.heads(),
                w.most_condemned()
            )
        })
        .collect();
    assert_eq!(
        ways,
        [
            "by area, kind, year and setting: 3 lots, 11 of 38 sampled, 24 condemned",
            "all in one lot: 1 lots, 4 of 38 sampled, 38 condemned",
        ]
    );
    let proposals = propose(&state, &list, SAFE, &[]);
    let names: Vec<&str> = proposals.iter().map(|p| p.id.as_str()).collect();
    assert_eq!(names, ["yard-old-link-undated", "mill-old-link-1971", "shop-qr-bulb-2000"]);
    assert!(proposals[0].all && !proposals[1].all);
}
