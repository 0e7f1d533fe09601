//! A small invented site for tests of reports, with an earlier signed round and a present one that hold every kind of
//! entry; and a short way of writing sites and entries.

use std::sync::{Arc, OnceLock};

use crate::diag::Source;
use crate::round::entry::{Entry, Id, Names};
use crate::round::state::State;
use crate::rules::builtin;
use crate::rules::judge::Judge;
use crate::rules::model::RuleSet;
use crate::trade::register_text;

/// The register of the sample site.
pub const SITE: &str = "\
format: headround site 1
site:
  id: 01KAVQ5R8Z0000000000000000
  name: Marram Quay Cannery
  where: 4 Saltpan Lane, Port Tarrow
  owner: Marram Quay Canning, Wenna Quillfeather
  rules: nfpa25-2023
  units: us
  tell:
    - owner
    - impairment coordinator
    - fire department
kinds:
  qr-pendent: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome, made: 2009}
  int-upright: {orientation: upright, response: standard, element: link, rating: 200 F, k: 5.6, finish: brass, made: 1988}
  cold-dry: {orientation: pendent, response: standard, element: bulb, rating: 155 F, k: 5.6, finish: brass, dry: true, number: SQ-417}
areas:
  pack:
    name: Packing hall
    system: wet
    in_service: 2009-05
    setting: [damp, salt]
    ceiling_max: 100 F
    lines: [10 qr-pendent, '4 qr-pendent, 1 int-upright, 5 qr-pendent', 8 qr-pendent]
  cold:
    name: Cold store 1
    system: dry
    setting: [freezing, storage]
    ceiling_max: 90 F
    lines: [6 cold-dry, 6 cold-dry]
  office:
    name: Office
    system: wet
    ceiling_max: 100 F
    lines: [6 qr-pendent]
recalled:
  - {number: SQ-417, why: notice to owners on bulbs of that number}
";

/// Entry number `n`, by a person at a time of a day, in a round, saying `what` (the JSON of its verb).
pub fn entry(n: u128, at: &str, by: &str, round: &str, what: &str) -> Entry {
    let id = id(n);
    let json = format!(r#"{{"id":"{id}","at":"{at}","by":"{by}","round":"{round}",{what}}}"#);
    Entry::from_json(&json, &mut Names::default()).unwrap_or_else(|why| panic!("{json}: {why}"))
}

/// The id of entry number `n`.
pub fn id(n: u128) -> Id {
    Id(0x019a_0000_0000_0000_0000_0000_0000_0000 + (n << 40))
}

/// The built-in set, read once for all tests.
fn set() -> Arc<RuleSet> {
    static SET: OnceLock<Arc<RuleSet>> = OnceLock::new();
    Arc::clone(SET.get_or_init(|| builtin::load("nfpa25-2023").expect("the built-in set is sound")))
}

/// The state of a site's register and entries.
pub fn state(site: &str, entries: Vec<Entry>) -> State {
    let (register, complaints) = register_text::read(&Source::new("sample", site));
    assert!(complaints.is_empty(), "{complaints:?}");
    let register = register.expect("the register is read");
    let judge = Judge::new(set(), &register.recalled);
    State::fold(register, entries, judge, None)
}

const LAST: &str = "2025";
const NOW: &str = "2026";

/// Everything up to, and without, the sign-off of the present round.
pub fn entries() -> Vec<Entry> {
    let mut list: Vec<Entry> = Vec::new();
    let mut put = |day: &str, clock: &str, by: &str, round: &str, what: &str| {
        let n = list.len() as u128 + 1;
        let mut entry = entry(n, &format!("{day}T{clock}:00-05:00"), by, round, what);
        let before = list.iter().rev().find(|e: &&Entry| &*e.by == by).map(|e| e.id);
        entry.mark(|m| m.prev = before);
        list.push(entry);
        n
    };
    let day = "2025-11-20";
    put(
        day,
        "08:50",
        "osk",
        LAST,
        r#""begin":{"date":"2025-11-20","inspector":"Osk Brannagh-Fell","licence":"PT-097","purpose":"annual inspection"}"#,
    );
    put(day, "09:10", "osk", LAST, r#""saw":{"head":"pack/1.2","sign":"corrosion","part":"frame","extent":"light"}"#);
    put(day, "09:12", "osk", LAST, r#""saw":{"head":"pack/1.4","sign":"loading","part":"deflector","extent":"light"}"#);
    put(
        day,
        "09:15",
        "osk",
        LAST,
        r#""saw":{"head":"pack/1.9","sign":"paint","part":"element","extent":"trace","applied":"field"}"#,
    );
    put(day, "09:20", "osk", LAST, r#""saw":{"head":"pack/2.8","sign":"loading","part":"element","extent":"light"}"#);
    put(day, "09:25", "osk", LAST, r#""saw":{"head":"pack/3.5","sign":"hung","part":"whole","extent":"light"}"#);
    put(day, "09:30", "osk", LAST, r#""seen":"pack/1.1""#);
    put(
        day,
        "10:30",
        "osk",
        LAST,
        r#""signoff":{"name":"Osk Brannagh-Fell","licence":"PT-097","date":"2025-11-20","digest":"sha256:1111111111111111111111111111111111111111111111111111111111111111","lines":7}"#,
    );
    let day = "2026-03-02";
    put(
        day,
        "14:00",
        "osk",
        LAST,
        r#""did":{"head":"pack/1.9","did":"replaced","kind":"qr-pendent","who":"Tarrow Pipe Crew"}"#,
    );
    put(day, "14:20", "osk", LAST, r#""did":{"head":"pack/2.8","did":"cleaned"}"#);

    let day = "2026-11-25";
    put(
        day,
        "08:40",
        "ines",
        NOW,
        r#""begin":{"date":"2026-11-25","inspector":"Ines Tidewell","licence":"PT-118","purpose":"annual inspection","scope":"heads of all areas"}"#,
    );
    put(
        day,
        "08:45",
        "osk",
        NOW,
        r#""begin":{"date":"2026-11-25","inspector":"Osk Brannagh-Fell","licence":"PT-097"}"#,
    );
    put(day, "09:02", "ines", NOW, r#""seen":"pack/1.1""#);
    // Carried from last year: worse, still there, said to be mended and looked at, said to be mended and not looked at.
    put(
        day,
        "09:03",
        "ines",
        NOW,
        r#""saw":{"head":"pack/1.2","sign":"corrosion","part":"frame","extent":"heavy","how":"binoculars"}"#,
    );
    put(day, "09:04", "ines", NOW, r#""saw":{"head":"pack/1.4","sign":"loading","part":"deflector","extent":"light"}"#);
    let of = id(4);
    put(day, "09:05", "ines", NOW, &format!(r#""gone":{{"head":"pack/1.9","of":"{of}"}}"#));
    put(day, "09:06", "ines", NOW, r#""seen":"pack/1.3""#);
    put(day, "09:07", "ines", NOW, r#""seen":"pack/1.5..1.6""#);
    put(
        day,
        "09:09",
        "ines",
        NOW,
        r#""saw":{"head":"pack/1.7","sign":"paint","part":"element","extent":"heavy","applied":"field","how":"lift","note":"overspray from the new duct; a passer-by said \"these were safe last year\""}"#,
    );
    put(
        day,
        "09:10",
        "ines",
        NOW,
        r#""saw":{"head":"pack/1.7","sign":"blocked","part":"deflector","extent":"light","clearance":"12 in"}"#,
    );
    put(day, "09:11", "ines", NOW, r#""seen":"pack/1.8..1.10""#);
    put(day, "09:15", "ines", NOW, r#""notice":{"told":"owner","how":"spoken","head":"pack/1.7"}"#);
    put(
        day,
        "09:20",
        "ines",
        NOW,
        r#""saw":{"head":"pack/2.1..2.4","sign":"loading","part":"element","extent":"light"}"#,
    );
    put(
        day,
        "09:22",
        "ines",
        NOW,
        r#""saw":{"head":"pack/2.5","sign":"damage","part":"deflector","extent":"heavy","doubtful":true}"#,
    );
    put(day, "09:25", "ines", NOW, r#""seen":"pack/2.6..2.10""#);
    put(day, "09:26", "ines", NOW, r#""saw":{"head":"pack/2.9","sign":"leak","part":"seal","extent":"heavy"}"#);
    put(
        day,
        "09:30",
        "ines",
        NOW,
        r#""notice":{"told":"Owner","how":"phone","note":"Wenna Quillfeather, asked to keep the line clear"}"#,
    );
    put(day, "09:33", "ines", NOW, r#""notice":{"told":"fire department","how":"phone"}"#);
    put(
        day,
        "09:50",
        "ines",
        NOW,
        r#""did":{"head":"pack/2.9","did":"replaced","kind":"qr-pendent","who":"Tarrow Pipe Crew"}"#,
    );
    put(day, "09:52", "ines", NOW, r#""saw":{"head":"pack/3.1","sign":"strap","part":"whole","extent":"full"}"#);
    put(day, "10:02", "ines", NOW, r#""saw":{"head":"pack/3.2","sign":"turned","part":"whole","extent":"light"}"#);
    put(day, "10:03", "ines", NOW, r#""did":{"head":"pack/3.2","did":"corrected","note":"by the crew on site"}"#);
    put(day, "10:05", "ines", NOW, r#""seen":"pack/3.3..3.8""#);
    put(day, "10:06", "osk", NOW, r#""saw":{"head":"pack/3.4","sign":"corrosion","part":"seal","extent":"light"}"#);
    let of = put(
        day,
        "10:07",
        "osk",
        NOW,
        r#""saw":{"head":"pack/3.6","sign":"loading","part":"element","extent":"light"}"#,
    );
    put(
        day,
        "10:20",
        "ines",
        NOW,
        &format!(
            r#""settle":{{"head":"pack/3.6","stands":"{}","because":"looked at from the lift: a cobweb, blown off"}}"#,
            id(33)
        ),
    );
    let _ = of;
    // The cold store: not reached, not judged, an advisory seen.
    put(
        day,
        "10:30",
        "osk",
        NOW,
        r#""unreached":{"heads":"cold/1","why":"process","denied_by":"night shift, freezer tunnel","note":"next shutdown on 12 December"}"#,
    );
    put(
        day,
        "10:31",
        "osk",
        NOW,
        r#""unsure":{"head":"cold/2.1","why":"dirty","how":"binoculars","note":"ice on the frame"}"#,
    );
    put(day, "10:32", "osk", NOW, r#""seen":"cold/2.2..2.6""#);
    put(
        day,
        "10:33",
        "osk",
        NOW,
        r#""saw":{"head":"cold/2.4","sign":"recalled","part":"whole","extent":"full","how":"binoculars"}"#,
    );
    // The office: the register is put right.
    put(
        day,
        "11:00",
        "osk",
        NOW,
        r#""new_kind":{"id":"white-concealed","orientation":"pendent","mount":"concealed","response":"quick","element":"link","rating":"162 F","k":"5.6","finish":"white"}"#,
    );
    put(day, "11:01", "osk", NOW, r#""is_kind":{"head":"office/1.5..1.6","kind":"white-concealed"}"#);
    put(day, "11:02", "osk", NOW, r#""added":{"head":"office/1.7","kind":"white-concealed"}"#);
    put(day, "11:03", "osk", NOW, r#""removed":{"head":"office/1.2","why":"wall taken out"}"#);
    put(day, "11:04", "osk", NOW, r#""seen":"office""#);
    put(day, "11:05", "osk", NOW, r#""saw":{"head":"office/1.7","sign":"cover","part":"cover-plate","extent":"full"}"#);
    let of =
        put(day, "11:06", "osk", NOW, r#""saw":{"head":"office/1.1","sign":"paint","part":"frame","extent":"trace"}"#);
    put(day, "11:07", "osk", NOW, &format!(r#""retract":"{}""#, id(of)));
    put(day, "11:10", "osk", NOW, r#""note":{"text":"Ceiling tiles are out in the corridor; works until Friday."}"#);
    put(day, "11:11", "osk", NOW, r#""note":{"head":"office/1.7","text":"plate lies on the cupboard below"}"#);
    list
}

/// What settles the disagreement and answers what was left.
pub fn closing() -> Vec<Entry> {
    let day = "2026-11-25";
    let n = entries().len() as u128;
    let seal = entries().iter().find(|e| e.to_json().contains(r#""pack/3.4""#)).map(|e| e.id).expect("it is there");
    let hung = id(6);
    let loading = id(5);
    [
        ("11:30", format!(r#""settle":{{"head":"pack/3.4","stands":"{seal}","because":"green bloom between cap and seat, seen from the lift"}}"#)),
        ("11:31", format!(r#""gone":{{"head":"pack/3.5","of":"{hung}"}}"#)),
        ("11:32", format!(r#""gone":{{"head":"pack/2.8","of":"{loading}"}}"#)),
        ("11:45", r#""signoff":{"name":"Ines Tidewell","licence":"PT-118","date":"2026-11-25","digest":"sha256:2c26b46b68ffc68ff99b453c1d30413413422d706483bfa0f98a5e886266e7ae","lines":46}"#.to_owned()),
        ("15:10", r#""did":{"head":"pack/3.1","did":"corrected","who":"Tarrow Pipe Crew"}"#.to_owned()),
    ]
    .into_iter()
    .zip(n + 1..)
    .map(|((clock, what), n)| entry(n, &format!("{day}T{clock}:00-05:00"), "ines", "2026", &what))
    .collect()
}

/// The site half done: something is unanswered, and people disagree.
pub fn draft() -> State {
    state(SITE, entries())
}

/// The site signed, with one entry after the sign-off.
pub fn signed() -> State {
    let mut all = entries();
    all.extend(closing());
    state(SITE, all)
}
