//! Spares that lie there and do not count, each told.

use super::*;
use crate::round::stock::{CabinetFinding, Matter, Weight, findings};

/// Spares of one kind, the kind's own words, and what is installed: the usable spares of what is installed, and what is told
/// of the kind.
fn told(rules: &'static str, but: &str, unfit: &str, on: &str) -> (u32, Vec<Matter>) {
    let state = Text::new(rules)
        .kind("qr", "made: 2020")
        .kind("spare", but)
        .area("a", ", hazard: light", "5 qr")
        .rest("cabinets: {riser: {name: Valve room}}\nrecalled: [{number: QZ0417, made: 1998..2001, why: invented}, {number: QZ9, why: invented}]\n")
        .state(round([counted("riser", "3 spare", unfit)]));
    let ledger = work_out(&state);
    let required = ask(&state, &ledger, day(on));
    let spare = state.register().kind_named("spare");
    let matters: Vec<Matter> = findings(&state, &ledger, &required, day(on))
        .iter()
        .filter(|f| f.cabinet.is_some() && f.kind == spare)
        .map(|f| f.matter)
        .collect();
    (required.held, matters)
}

#[test]
fn a_spare_that_must_not_be_used_does_not_count_and_is_told() {
    let cases: &[(&str, &str, &str, u32, &[Matter])] = &[
        ("nfpa25-2023", "made: 2024", "", 3, &[]),
        ("nfpa25-2023", "orientation: upright", "", 0, &[Matter::NotInstalled]),
        ("nfpa25-2023", "made: 2024", "2 spare", 1, &[Matter::Unfit]),
        ("nfpa25-2023", "made: 2024", "3 spare", 0, &[Matter::Unfit]),
        ("nfpa25-2023", "made: 2024, number: QZ9", "", 0, &[Matter::Recalled]),
        ("nfpa25-2023", "made: 1999, number: QZ0417", "", 0, &[Matter::Recalled]),
        ("nfpa25-2023", "number: QZ0417", "", 0, &[Matter::Recalled]),
        ("nfpa25-2023", "made: 2002, number: QZ0417", "", 3, &[]),
        ("nfpa25-2023", "made: 2024, number: QZ9", "1 spare", 0, &[Matter::Unfit, Matter::Recalled]),
        // Ages count from the day a head goes into service: the American sets bar no spare by its year.
        ("nfpa25-2023", "made: 1988", "", 3, &[]),
        ("nfpa25-2023", "", "", 3, &[]),
        // TB203.3.9, as published: spares of 25 years and older are replaced by new ones.
        ("en12845", "made: 1988", "", 0, &[Matter::TooOld]),
        ("en12845", "", "", 3, &[Matter::AgeUnknown]),
        ("en12845", "made: 2024", "", 3, &[]),
    ];
    for (rules, but, unfit, held, matters) in cases {
        assert_eq!(told(rules, but, unfit, "2026-11-25"), (*held, matters.to_vec()), "{rules} {but} {unfit}");
    }
}

#[test]
fn a_spare_grows_too_old_on_the_day_it_is_twenty_five_years_old() {
    // TB203.3.9: 25 years from manufacture. Of a year or a month alone the first day is taken.
    for (made, last, first) in [
        ("2001-11-26", "2026-11-25", "2026-11-26"),
        ("2001-12", "2026-11-30", "2026-12-01"),
        ("2001", "2025-12-31", "2026-01-01"),
        ("2004-02-29", "2029-02-27", "2029-02-28"),
    ] {
        let but = format!("made: {made}");
        assert_eq!(told("en12845", &but, "", last), (3, Vec::new()), "{made} on {last}");
        assert_eq!(told("en12845", &but, "", first), (0, vec![Matter::TooOld]), "{made} on {first}");
    }
}

fn all(state: &State) -> Vec<CabinetFinding> {
    let (ledger, required) = stock(state);
    findings(state, &ledger, &required, today())
}

fn of(state: &State, matter: Matter) -> Vec<(Weight, String)> {
    all(state).into_iter().filter(|f| f.matter == matter).map(|f| (f.weight, f.text)).collect()
}

fn plain() -> Text {
    Text::new("nfpa25-2023").kind("qr", "").kind("up", "orientation: upright").area("a", "", "5 qr, 2 up")
}

#[test]
fn what_nobody_has_looked_at_in_this_round_is_told_as_open_and_never_as_fine() {
    let state = plain().state(round([]));
    let open: Vec<Matter> = all(&state).iter().filter(|f| f.weight == Weight::Open).map(|f| f.matter).collect();
    for matter in
        [Matter::NotCounted, Matter::Wrench, Matter::List, Matter::Temperature, Matter::Dryness, Matter::Place]
    {
        assert!(open.contains(&matter), "{matter}: {open:?}");
    }
}

#[test]
fn a_count_of_some_kinds_leaves_the_others_of_the_ledger_open() {
    let mut entries = vec![entry(0, "osk", "2025", begin("2025-11-20"))];
    entries.push(entry(1, "osk", "2025", counted("riser", "6 qr, 2 up", "")));
    entries.push(entry(2, "ines", "2026", begin("2026-11-25")));
    entries.push(entry(3, "ines", "2026", counted("riser", "6 qr", "")));
    let state = plain().state(entries.clone());
    let left = "not named by this round's count, though the ledger has them: up (2)".to_owned();
    assert_eq!(of(&state, Matter::NotCounted), [(Weight::Open, left)]);
    entries.push(entry(4, "ines", "2026", counted("riser", "0 up", "")));
    entries.push(entry(5, "ines", "2026", moved("riser", 3, "up", Way::PutIn)));
    assert_eq!(of(&plain().state(entries), Matter::NotCounted), []);
}

fn listed(found: List) -> What {
    What::Checked(Box::new(Checked {
        cabinet: area("riser"),
        wrenches: std::collections::BTreeMap::new(),
        list: Some(found),
        warmest: None,
        dry: None,
        place: None,
        note: None,
    }))
}

#[test]
fn a_list_posted_after_a_look_has_mended_what_the_look_found_and_is_to_be_looked_at_next_year() {
    let open = "nobody has looked at the posted list in this round";
    let held = || counted("riser", "6 qr", "");
    let cases: [(Vec<What>, Vec<What>, Option<&str>); 7] = [
        (vec![], vec![], Some(open)),
        (vec![], vec![listed(List::Missing)], Some("no list is posted")),
        (vec![], vec![listed(List::Missing), posted("riser", "6 qr")], None),
        (vec![], vec![posted("riser", "6 qr"), listed(List::Wrong)], Some("the posted list is not right")),
        (vec![listed(List::Missing)], vec![], Some("no list is posted")),
        (vec![listed(List::Missing), posted("riser", "6 qr")], vec![], Some(open)),
        (vec![listed(List::Right)], vec![], Some(open)),
    ];
    for (before, now, told) in cases {
        let mut entries = vec![entry(0, "osk", "2025", begin("2025-11-20"))];
        let name = format!("{before:?} {now:?}");
        for (n, what) in before.into_iter().chain([held()]).enumerate() {
            entries.push(entry(n as u128 + 1, "osk", "2025", what));
        }
        entries.push(entry(50, "ines", "2026", begin("2026-11-25")));
        for (n, what) in now.into_iter().enumerate() {
            entries.push(entry(n as u128 + 51, "ines", "2026", what));
        }
        let texts: Vec<String> = of(&plain().state(entries), Matter::List).into_iter().map(|(_, t)| t).collect();
        assert_eq!(texts, told.map(str::to_owned).into_iter().collect::<Vec<_>>(), "{name}");
    }
}

#[test]
fn thirty_eight_and_a_hundred_degrees_are_one_limit_and_one_degree_more_is_told() {
    // 100 °F is printed as 38 °C (37.78): a state fire marshal's page, CEA 4001 18.1.2.
    for (warmest, wrong) in [("38 C", false), ("100 F", false), ("101 F", true), ("39 C", true)] {
        let mut what = listed(List::Right);
        if let What::Checked(seen) = &mut what {
            seen.warmest = crate::trade::quantity::Temperature::parse(warmest).ok();
        }
        let state = plain().state(round([what]));
        assert_eq!(!of(&state, Matter::Temperature).is_empty(), wrong, "{warmest}");
    }
}

#[test]
fn an_area_that_no_cabinet_serves_is_told_and_a_spare_in_the_far_cabinet_too() {
    let text = Text::new("nfpa25-2023")
        .kind("qr", "")
        .kind("up", "orientation: upright")
        .area("a", "", "5 qr")
        .area("b", "", "5 up");
    let one = text.rest("cabinets: {riser: {name: Valve room, serves: [a]}, dock: {name: Dock, serves: [a]}}\n");
    let state = one.state(round([counted("riser", "6 qr, 6 up", ""), counted("dock", "0 qr", "")]));
    assert_eq!(of(&state, Matter::Unserved), [(Weight::Wrong, "area 'b' is served by no cabinet".to_owned())]);
    let far = one.rest("cabinets: {riser: {name: Valve room, serves: [a]}, dock: {name: Dock, serves: [b]}}\n");
    let state = far.state(round([counted("riser", "6 qr, 6 up", ""), counted("dock", "0 up", "")]));
    assert_eq!(of(&state, Matter::Elsewhere).len(), 1);
    assert_eq!(of(&state, Matter::Type), [], "the site holds enough of it");
}
