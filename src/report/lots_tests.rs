//! What the summary and the papers of a lot say: due, drawn, passed, condemned; and that nothing is said where nothing is known.

use chrono::NaiveDate;

use super::sample_tests::{entry, state};
use super::sheets::Paper;
use super::summary::Summary;
use super::{custody_form, json, lines, markdown, pull_list, tags, text};
use crate::round::entry::Entry;
use crate::round::lots::{Lot, lots};
use crate::round::state::State;

/// A mill of standard links of 1971, of quick bulbs of 2000, and a few heads of unknown day in the yard.
const MILL: &str = "\
format: headround site 1
site:
  id: 01KAVQ5R8Z0000000000000000
  name: Tarrow Mill
  where: 2 Weir Street, Port Tarrow
  owner: Tarrow Milling, Wenna Quillfeather
  rules: nfpa25-2023
  units: us
  tell: [owner, fire department]
kinds:
  old-link: {orientation: upright, response: standard, element: link, rating: 165 F, k: 5.6, finish: brass, made: 1970}
  qr-bulb: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome, made: 2000}
  blank-link: {orientation: upright, response: standard, element: link, rating: 165 F, k: 5.6, finish: brass}
  new-link: {orientation: upright, response: standard, element: link, rating: 165 F, k: 5.6, finish: brass, made: 2024}
areas:
  mill: {name: Mill, system: wet, in_service: 1971-04, ceiling_max: 100 F, lines: [8 old-link, 8 old-link, 8 old-link]}
  shop: {name: Shop, system: dry, in_service: 2003, ceiling_max: 100 F, lines: [6 qr-bulb]}
  yard: {name: Yard, system: wet, ceiling_max: 100 F, setting: [salt], lines: [3 blank-link]}
cabinets:
  riser: {name: Valve room cabinet, place: 'Valve room, beside the riser'}
";

const LOT: &str =
    r#""lot":{"id":"links","name":"Links of 1971","heads":["mill"],"why":"fifty-years","due":"2021-04-01"}"#;
const DRAWN: &str = r#""drawn":{"lot":"links","way":"random","seed":2026,"eligible":24,"asked":4,"picks":[{"head":"mill/3.8","kind":"old-link","tag":"links-1"},{"head":"mill/1.1","kind":"old-link","tag":"links-2"},{"head":"mill/2.3","kind":"old-link","tag":"links-3"},{"head":"mill/1.5","kind":"old-link","tag":"links-4"}]}"#;
const COUNTED: &str = r#""counted":{"cabinet":"riser","held":{"new-link":3}}"#;
const PACKED: &str = r#""custody":{"lot":"links","step":"packed","note":"four bags in one box"}"#;
const HANDED: &str = r#""custody":{"lot":"links","step":"handed-over","from":"Ines Tidewell","to":"bench of Port Tarrow","on":"2026-11-26"}"#;
const FOUR: [&str; 4] = ["mill/3.8", "mill/1.1", "mill/2.3", "mill/1.5"];
const FINE: &str = r#""element":"40 s","clear":"40.5 s""#;
/// The element goes and the water stays: the sources of such a course stand beside the judgement's own tests.
const HELD: &str = r#""element":"45 s","until":"300 s","before":"painted","seal":"shut""#;

fn on() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, 28).expect("a day")
}

fn replaced(head: &str) -> String {
    format!(r#""did":{{"head":"{head}","did":"replaced","kind":"new-link","from":"riser"}}"#)
}

fn tested(head: &str, rest: &str) -> String {
    format!(
        r#""tested":{{"lot":"links","head":"{head}","readings":{{"bench":"bench of Port Tarrow","oven":"135 C","air":"2.54 m/s","start":"20 C","pressure":"7 psi",{rest}}}}}"#
    )
}

fn mill(said: &[String]) -> State {
    let begin = r#""begin":{"date":"2026-11-25","inspector":"Ines Tidewell","licence":"PT-118"}"#;
    let seen = ["mill", "shop", "yard"].map(|a| format!(r#""seen":"{a}""#));
    let all = std::iter::once(begin.to_owned()).chain(seen).chain(said.iter().cloned());
    let written: Vec<Entry> =
        all.zip(1..).map(|(what, n)| entry(n, "2026-11-25T09:00:00-05:00", "ines", "2026", &what)).collect();
    state(MILL, written)
}

fn drawn() -> Vec<String> {
    [COUNTED, LOT, DRAWN].map(str::to_owned).to_vec()
}

fn through(tests: &[(&str, &str)]) -> State {
    let mut said = drawn();
    said.extend(FOUR.iter().map(|h| replaced(h)));
    said.extend([PACKED, HANDED].map(str::to_owned));
    said.extend(tests.iter().map(|(head, rest)| tested(head, rest)));
    mill(&said)
}

fn passed() -> State {
    through(&FOUR.map(|h| (h, FINE)))
}

fn condemned() -> State {
    through(&[("mill/1.1", HELD), ("mill/1.5", FINE), ("mill/2.3", FINE), ("mill/3.8", FINE)])
}

fn lot(state: &State) -> Lot {
    lots(state).remove(0)
}

fn fact(summary: &Summary, id: &str) -> String {
    summary.facts().into_iter().find(|f| f.id == id).map_or_else(|| format!("no fact {id}"), |f| f.text.clone())
}

fn has(summary: &Summary, id: &str) -> bool {
    summary.facts().iter().any(|f| f.id == id)
}

fn plain(summary: &Summary) -> String {
    text::render(summary, text::Layout::default())
}

/// The parts of a summary that speak of lots and ages.
fn about_lots(mut summary: Summary) -> Summary {
    summary.sections.retain(|s| matches!(s.id.as_str(), "impairments" | "actions" | "lots" | "due"));
    summary
}

#[test]
fn a_condemned_lot_as_text_and_markdown() {
    let summary = about_lots(Summary::of(&condemned(), on()));
    insta::assert_snapshot!(plain(&summary));
    insta::assert_snapshot!(markdown::render(&summary));
}

#[test]
fn a_passed_lot_as_text() {
    let mut summary = about_lots(Summary::of(&passed(), on()));
    summary.sections.retain(|s| s.id == "lots");
    insta::assert_snapshot!(plain(&summary));
}

#[test]
fn a_condemned_lot_cannot_be_missed_on_the_front_page() {
    let summary = Summary::of(&condemned(), on());
    assert!(summary.impaired);
    let front = Summary { sections: Vec::new(), ..summary.clone() };
    let page = plain(&front);
    assert!(page.contains("LOT Links of 1971 (links) FAILED ITS TEST: 20 heads condemned"), "{page}");
    assert!(page.contains("the head from mill/1.1 held shut though its element operated"), "{page}");
    assert_eq!(fact(&summary, "impairments.count"), "IMPAIRMENT: 20 heads out of order.");
    assert!(fact(&summary, "short.lots").contains("1 condemned; 20 heads condemned and still in place"));
    assert!(fact(&summary, "short.orders").starts_with("Replace 20"), "{}", fact(&summary, "short.orders"));
}

#[test]
fn condemned_heads_stand_among_what_must_be_replaced_with_the_test_as_the_reason() {
    let summary = Summary::of(&condemned(), on());
    let why: Vec<String> = summary
        .facts()
        .into_iter()
        .filter(|f| f.id.starts_with("do.replace.") && f.id.ends_with(".why.failed-test"))
        .map(|f| f.text.clone())
        .collect();
    // Of the mill's heads all but the four replaced; nothing else is condemned.
    assert_eq!(why.len(), 1, "{why:?}");
    assert!(why[0].starts_with("Lot links: the head from mill/1.1 held shut") && why[0].contains("5.3.1.3"), "{why:?}");
    assert!(!summary.facts().iter().any(|f| f.id.starts_with("do.replace.") && f.text.contains("does not know")));
}

#[test]
fn replaced_heads_leave_nothing_condemned() {
    let mut said = drawn();
    said.extend(FOUR.iter().map(|h| replaced(h)));
    said.push(tested("mill/1.1", HELD));
    said.push(r#""did":{"head":"mill","did":"replaced","kind":"new-link"}"#.to_owned());
    let state = mill(&said);
    let summary = Summary::of(&state, on());
    assert!(!summary.impaired && !has(&summary, "lots.banner.links") && !has(&summary, "short.orders.failed"));
    assert_eq!(fact(&summary, "lots.links.condemned"), "none hangs any more: all were replaced");
    assert!(fact(&summary, "lots.links.todo").starts_with("Nothing; every head"));
}

#[test]
fn a_passed_lot_says_how_weak_that_is_and_when_it_is_due_again() {
    let summary = Summary::of(&passed(), on());
    assert!(!summary.impaired && !has(&summary, "lots.banner.links"));
    // 1 − 0.05^(1/4) = 0.527, by hand.
    let evidence = fact(&summary, "lots.links.evidence");
    assert!(
        evidence.starts_with("0 of 4 failed: up to 53 % of such heads could still be bad at 95 % confidence"),
        "{evidence}"
    );
    assert!(evidence.contains(" of the 24 of this lot"), "{evidence}");
    // Tested at 55 years of age on 25 November 2026; the set asks for a test every ten years from fifty.
    assert_eq!(fact(&summary, "lots.links.next"), "25 November 2036");
}

#[test]
fn both_limits_of_a_head_stand_beside_its_verdict() {
    let summary = Summary::of(&condemned(), on());
    // Common practice, no source: a standard head of 165 °F in such an oven opens by about 139 s (RTI 350).
    let most = fact(&summary, "lots.links.sample.2.most");
    let time = most.strip_prefix("index at most 350 (m.s)^0.5, here open by ").and_then(|t| t.strip_suffix(" s"));
    let time: f64 = time.unwrap_or_else(|| panic!("{most}")).parse().expect("seconds");
    assert!((time - 139.0).abs() < 1.0, "{most}");
    assert_eq!(fact(&summary, "lots.links.sample.2.verdict"), "HELD");
    assert_eq!(fact(&summary, "lots.links.sample.1.verdict"), "opened in time");
}

#[test]
fn what_is_due_is_told_with_its_clause_and_what_was_assumed() {
    let summary = Summary::of(&mill(&[]), on());
    let front = fact(&summary, "short.due");
    assert!(front.starts_with("24 heads overdue") && front.contains("3 heads without a known date"), "{front}");
    assert!(fact(&summary, "due.overdue.1.on").starts_with("1 April 2021, 5 years 7 months late"));
    assert!(fact(&summary, "due.overdue.1.why").contains("5.3.1.1"), "{}", fact(&summary, "due.overdue.1.why"));
    assert!(
        fact(&summary, "due.no-date.1.heads").starts_with("yard (3 heads)"),
        "{}",
        fact(&summary, "due.no-date.1.heads")
    );
    // In service since 2003, quick response: due at 25 years, from the first day that the year can mean.
    assert_eq!(fact(&summary, "due.soon.1.on"), "1 January 2028");
    assert!(fact(&summary, "due.soon.1.assumed.1").contains("counted from 2003-01-01"));
    assert!(!has(&summary, "lots.lead") && !has(&summary, "short.lots"));
}

#[test]
fn every_fact_has_its_own_id_and_is_printed() {
    for state in [condemned(), passed(), mill(&drawn()), mill(&[LOT.to_owned()])] {
        let lot = lot(&state);
        for summary in [
            Summary::of(&state, on()),
            pull_list::document(&state, &lot, on()),
            custody_form::document(&state, &lot, on()),
            tags::document(&state, &lot, on()),
        ] {
            let ids: Vec<&str> = summary.facts().into_iter().map(|f| f.id.as_str()).collect();
            let once: std::collections::BTreeSet<&str> = ids.iter().copied().collect();
            assert_eq!(ids.len(), once.len(), "{}", summary.title.text);
            let bare = |t: &str| t.chars().filter(|c| c.is_alphanumeric()).collect::<String>();
            let page = bare(&plain(&summary));
            for fact in summary.facts().iter().filter(|f| f.id != "title") {
                assert!(page.contains(&bare(&fact.text)), "{} of {}", fact.id, summary.title.text);
            }
        }
    }
}

#[test]
fn a_pull_list_goes_in_walking_order_and_promises_no_spare_twice() {
    let state = mill(&drawn());
    let document = pull_list::document(&state, &lot(&state), on());
    insta::assert_snapshot!(plain(&document));
    let heads: Vec<String> = document
        .facts()
        .into_iter()
        .filter(|f| f.id.starts_with("pull.") && f.id.ends_with(".head"))
        .map(|f| f.text.clone())
        .collect();
    assert_eq!(heads, ["mill/1.1", "mill/1.5", "mill/2.3", "mill/3.8"]);
    // Three lie there, and four are drawn.
    let there: Vec<&str> =
        document.facts().into_iter().filter(|f| f.id.ends_with(".from")).map(|f| f.text.as_str()).collect();
    assert_eq!(there.len(), 3);
    assert!(there[0].ends_with(": 3 there") && there[2].ends_with(": 1 there"), "{there:?}");
    assert!(fact(&document, "pull.order.old-link").starts_with("1 to take the place of old-link"));
}

#[test]
fn a_pull_list_does_not_send_anybody_to_a_head_that_is_down() {
    let mut said = drawn();
    said.push(replaced("mill/1.5"));
    let state = mill(&said);
    let document = pull_list::document(&state, &lot(&state), on());
    assert_eq!(fact(&document, "lot.hang"), "3 heads; 1 down already");
    assert!(fact(&document, "pull.4.done").starts_with("down: Ines Tidewell"), "{}", fact(&document, "pull.4.done"));
    assert!(!has(&document, "pull.4.put"));
}

#[test]
fn a_pull_list_stops_at_a_head_with_a_finding_and_at_a_condemned_one() {
    let mut said = drawn();
    assert!(!has(&pull_list::document(&mill(&said), &lot(&mill(&said)), on()), "pull.2.stop"));
    said.push(r#""saw":{"head":"mill/1.1","sign":"leak","part":"seal","extent":"light"}"#.to_owned());
    let state = mill(&said);
    let document = pull_list::document(&state, &lot(&state), on());
    assert!(fact(&document, "pull.2.stop").starts_with("something was found on it since"));
    assert!(!has(&document, "pull.1.stop"));
    said.extend([replaced("mill/1.5"), tested("mill/1.5", HELD)]);
    let state = mill(&said);
    let document = pull_list::document(&state, &lot(&state), on());
    assert!(fact(&document, "pull.1.stop").starts_with("a failed test condemns it"));
    assert!(!has(&document, "pull.4.stop"), "it is down");
}

#[test]
fn a_custody_form_shows_what_was_recorded_and_leaves_the_rest_to_a_pen() {
    let state = through(&[]);
    let document = custody_form::document(&state, &lot(&state), on());
    insta::assert_snapshot!(plain(&document));
    assert_eq!(fact(&document, "custody.size"), "24 heads");
    assert_eq!(fact(&document, "custody.step.2.on"), "26 November 2026");
}

#[test]
fn tags_stand_two_and_two() {
    let mut said = drawn();
    said.push(replaced("mill/1.5"));
    let state = mill(&said);
    insta::assert_snapshot!(tags::render(&state, &lot(&state), on(), Paper { form_feed: false, ..Paper::default() }));
}

#[test]
fn a_lot_of_which_nothing_is_drawn_has_papers_that_say_so() {
    let state = mill(&[LOT.to_owned()]);
    let lot = lot(&state);
    assert!(tags::render(&state, &lot, on(), Paper::default()).contains("Nothing is drawn"));
    assert!(has(&custody_form::document(&state, &lot, on()), "custody.sample.none"));
    assert_eq!(fact(&pull_list::document(&state, &lot, on()), "lot.hang"), "0 heads");
}

#[test]
fn a_sheet_as_json_does_not_claim_to_be_signed() {
    let state = mill(&drawn());
    let text = json::sheet(&pull_list::document(&state, &lot(&state), on()));
    let value: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let keys: Vec<&String> = value.as_object().expect("an object").keys().collect();
    assert_eq!(keys, ["head", "sections", "title"]);
}

#[test]
fn hostile_names_keep_to_the_paper() {
    let long = format!("<script> \u{1b}[2J \u{202e}evil {}", "x".repeat(300));
    let name = serde_json::to_string(&long).expect("text");
    let said: Vec<String> = drawn()
        .iter()
        .map(|s| s.replace(r#""Links of 1971""#, &name).replace(r#""tag":"links-1""#, &format!(r#""tag":{name}"#)))
        .chain([format!(r#""custody":{{"lot":"links","step":"packed","from":{name},"note":{name}}}"#)])
        .collect();
    let state = mill(&said);
    let lot = lot(&state);
    let steers = |c: char| !matches!(c, '\n' | '\u{c}') && crate::diag::is_unprintable(c);
    for ascii in [false, true] {
        let paper = Paper { ascii, lines: 40, form_feed: true };
        let mut pages = vec![tags::render(&state, &lot, on(), paper)];
        for document in [pull_list::document(&state, &lot, on()), custody_form::document(&state, &lot, on())] {
            pages.push(text::render(&document, text::Layout { columns: 80, ascii }));
        }
        for page in pages {
            assert!(page.split(['\n', '\u{c}']).all(|l| lines::width(l) <= 80), "{page}");
            assert!(!page.chars().any(steers), "a control character");
            assert!(!ascii || page.is_ascii());
        }
    }
}

#[test]
fn a_laboratory_s_word_alone_passes_a_lot_and_its_strength_is_told_where_it_can_be() {
    let word = |rest: &str| {
        let told = format!(r#""concluded":{{"lot":"links","on":"2026-10","passed":true,"by":"report 77"{rest}}}"#);
        Summary::of(&mill(&[LOT.to_owned(), told]), on())
    };
    let told = word(r#","tested":4"#);
    assert!(fact(&told, "lots.links.evidence").starts_with("0 of 4 failed: up to 53 %"), "{told:?}");
    assert!(fact(&told, "lots.links.laboratory").starts_with("passed, says report 77 of 2026-10, 4 heads tested"));
    assert!(fact(&word(""), "lots.links.evidence").starts_with("How many heads were tested is not recorded"));
}

#[test]
fn an_order_says_which_lot_s_failure_heads_wait_for() {
    let state = condemned();
    let order = crate::round::order::of_site(&state, "mill.site.yaml", crate::round::order::Scope::Condemned, on());
    let waiting: Vec<_> = order.lines.iter().flat_map(|l| &l.waiting).collect();
    assert_eq!(waiting.len(), 20);
    assert!(waiting.iter().all(|w| w.failed_lot.as_ref().is_some_and(|l| l.as_str() == "links")));
    assert!(
        order.remarks.contains(&"Lot links failed its test: 20 heads wait because of it.".to_owned()),
        "{:?}",
        order.remarks
    );
}
