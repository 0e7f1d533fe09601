//! Lots from their forming to what they mean for the building: the site and the entries that the tests share.

mod drawing;
mod falling_due;
mod record;
mod stages;

use std::fmt::Write as _;

use chrono::NaiveDate;

use super::*;
use crate::bench::judge::Verdict;
use crate::report::sample_tests::{entry, id, state};
use crate::round::due;
use crate::round::entry::Entry as Written;
use crate::round::rulings;
use crate::round::stock;
use crate::rules::model::Ruling;
use crate::trade::measure::Span;

/// A mill of standard links of 1970, of quick bulbs of 2000, and a few of each in the yard.
pub(super) const MILL: &str = "\
format: headround site 1
site: {id: 01KAVQ5R8Z0000000000000000, name: Tarrow Mill, where: Port Tarrow, rules: nfpa25-2023, units: us}
kinds:
  old-link: {orientation: upright, response: standard, element: link, rating: 165 F, k: 5.6, finish: brass, made: 1970}
  qr-bulb: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome, made: 2000}
  new-link: {orientation: upright, response: standard, element: link, rating: 165 F, k: 5.6, finish: brass, made: 2024}
areas:
  mill: {name: Mill, system: wet, in_service: 1971-04, ceiling_max: 100 F, lines: [8 old-link, 8 old-link, 8 old-link]}
  shop: {name: Shop, system: wet, in_service: 2000-09-15, ceiling_max: 100 F, lines: [6 qr-bulb, '5 qr-bulb, 1 old-link']}
  yard: {name: Yard, system: wet, ceiling_max: 100 F, setting: [salt], lines: [3 old-link]}
  annex: {name: Annex, system: wet, in_service: 2024-05, ceiling_max: 100 F, lines: [4 new-link]}
";

pub(super) const BEGIN: &str = r#""begin":{"date":"2026-11-25","inspector":"Ines Tidewell"}"#;
const ALL_SEEN: [&str; 4] = [r#""seen":"mill""#, r#""seen":"shop""#, r#""seen":"yard""#, r#""seen":"annex""#];
pub(super) const LOT: &str =
    r#""lot":{"id":"links","name":"Links of 1971","heads":["mill"],"why":"fifty-years","due":"2021-04-01"}"#;

pub(super) fn today() -> NaiveDate {
    "2026-11-28".parse().expect("a day")
}

pub(super) fn mill(said: &[&str]) -> State {
    let said: Vec<&str> = std::iter::once(BEGIN).chain(ALL_SEEN).chain(said.iter().copied()).collect();
    of(&said)
}

pub(super) fn of(said: &[&str]) -> State {
    state(MILL, written(said))
}

pub(super) fn written(said: &[&str]) -> Vec<Written> {
    said.iter().zip(1..).map(|(what, n)| entry(n, "2026-11-25T09:00:00-05:00", "ines", "2026", what)).collect()
}

pub(super) fn at(state: &State, address: &str) -> HeadIx {
    state.layout().find(&crate::trade::address::Address::parse(address).expect("an address")).expect("a head")
}

pub(super) fn drawn(heads: &[&str]) -> String {
    let picks: Vec<String> = heads
        .iter()
        .zip(1..)
        .map(|(head, n)| format!(r#"{{"head":"{head}","kind":"old-link","tag":"links-{n}"}}"#))
        .collect();
    format!(r#""drawn":{{"lot":"links","way":"by-hand","eligible":24,"asked":4,"picks":[{}]}}"#, picks.join(","))
}

/// A head of the field test's conditions.
pub(super) fn tested(head: &str, rest: &str) -> String {
    format!(
        r#""tested":{{"lot":"links","head":"{head}","readings":{{"oven":"135 C","air":"2.54 m/s","start":"20 C","pressure":"7 psi",{rest}}}}}"#
    )
}

pub(super) fn replaced(head: &str) -> String {
    format!(r#""did":{{"head":"{head}","did":"replaced","kind":"new-link"}}"#)
}

pub(super) const FOUR: [&str; 4] = ["mill/1.1", "mill/1.5", "mill/2.3", "mill/3.8"];
pub(super) const FINE: &str = r#""element":"40 s","clear":"40.5 s""#;

/// The lot formed, drawn, taken down, and these heads tested.
fn run_through(tests: &[(&str, &str)]) -> State {
    let mut said: Vec<String> = vec![LOT.to_owned(), self::drawn(&FOUR)];
    said.extend(FOUR.iter().map(|h| replaced(h)));
    said.extend(tests.iter().map(|(head, rest)| tested(head, rest)));
    mill(&said.iter().map(String::as_str).collect::<Vec<_>>())
}

pub(super) fn only(state: &State) -> Lot {
    let mut lots = lots(state);
    assert_eq!(lots.len(), 1);
    lots.remove(0)
}

fn picture(state: &State) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{:?}", state.counts());
    let _ = writeln!(text, "{:?} {:?}", state.ruled().collect::<Vec<_>>(), state.impaired().collect::<Vec<_>>());
    for lot in lots(state) {
        let _ = writeln!(text, "{:?} {:?}", lot.outcome, lot.samples);
    }
    text
}
