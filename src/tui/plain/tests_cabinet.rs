//! The cabinet in the plain walk, driven by lines.

use super::tests::{Walked, walk_on};
use crate::round::entry::What;

/// The fixture's site with spares: one kind that fits, one that may, one that somebody must decide on, one that never does.
fn site() -> String {
    let site = include_str!("../../../tests/fixtures/harbour.site.yaml");
    let kinds = "kinds:\n  qr-white: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: white}\n  \
                 qr-wax: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: wax}\n  \
                 qr-wall: {orientation: sidewall, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome}\n";
    let cabinets = "cabinets:\n  riser: {name: Valve room cabinet, place: Valve room}\n";
    format!("{}{cabinets}", site.replacen("kinds:\n", kinds, 1))
}

fn walk(typed: &[&str]) -> Walked {
    let all = [&["begin Ines Tidewell, PT-118"], typed].concat();
    let mut walked = walk_on(&site(), &all);
    walked.recorded.remove(0);
    walked.entries.remove(0);
    walked
}

const STOCK: &str = "count riser qr-pendent=6/1 qr-white=1 qr-wax=2 qr-wall=1";

#[test]
fn a_count_is_held_against_the_ledger_and_recorded_after_a_question() {
    let walked =
        walk(&[STOCK, "yes", "count riser qr-pendent=4: two gone", "no", "count riser qr-pendent=4: two gone", "yes"]);
    assert_eq!(
        walked.recorded,
        ["cabinet riser counted: 10 heads of 4 kinds", "cabinet riser counted: 4 heads of 1 kind"],
        "{}",
        walked.out
    );
    assert!(walked.out.contains("qr-pendent 4: 2 fewer than the ledger's 6."), "{}", walked.out);
    assert!(walked.out.contains("Not counted: "), "{}", walked.out);
    let What::Counted(count) = &walked.entries[1].what else { panic!("a count") };
    assert_eq!(count.note.as_deref(), Some("two gone"));
}

#[test]
fn a_count_is_asked_for_kind_by_kind_without_the_ledgers_numbers() {
    let walked = walk(&[
        STOCK,
        "yes",
        "count riser",
        "5/6",
        "5/2",
        "back",
        "4",
        "",
        "x",
        "0",
        "stop",
        "count",
        "count riser",
        "7",
    ]);
    let (_, asked) = walked.out.split_once("Counting Valve room cabinet").expect("the count");
    assert!(!asked.contains("ledger's"), "{asked}");
    assert!(asked.contains("Of 5 heads 6 cannot be unfit."), "{asked}");
    assert!(asked.contains("The count was left; nothing of it was recorded."), "{asked}");
    assert_eq!(walked.recorded.len(), 1, "{}", walked.out);
    // To the end: every kind, a note, the question.
    let kinds = asked.lines().find_map(|l| l.split_once("(1 of ")?.1.split_once(')')).expect("a number").0;
    let mut typed = vec![STOCK, "yes", "count riser", "6/1"];
    typed.extend(std::iter::repeat_n("", kinds.parse::<usize>().unwrap() - 1));
    typed.extend(["one painted", "yes"]);
    let walked = walk(&typed);
    let What::Counted(count) = &walked.entries[1].what else { panic!("a count: {}", walked.out) };
    assert_eq!((count.held.len(), count.unfit.len(), count.note.as_deref()), (1, 1, Some("one painted")));
}

#[test]
fn movements_looks_lists_and_cabinets_are_recorded() {
    for (typed, recorded) in [
        ("put riser 6 qr-pendent: delivery", "6 qr-pendent put-in, cabinet riser"),
        ("put 6 qr-pendent", "6 qr-pendent put-in, cabinet riser"),
        ("take 1 qr-white", "1 qr-white taken-out, cabinet riser"),
        ("discard riser 1 qr-wax: dented", "1 qr-wax discarded, cabinet riser"),
        ("look wrench=there list=right warmest=95 dry=yes place=right: tidy", "cabinet riser looked at"),
        ("look riser wrench-small=missing", "cabinet riser looked at"),
        ("post riser qr-pendent=6", "list of cabinet riser posted"),
        ("new-cabinet annex Office cabinet, under the stairs", "cabinet annex added"),
    ] {
        let walked = walk(&[typed]);
        assert_eq!(walked.recorded, [recorded], "{typed}: {}", walked.out);
    }
    let walked = walk(&["look list=wrong warmest=35"]);
    let What::Checked(look) = &walked.entries[0].what else { panic!("a look") };
    assert_eq!(look.warmest.map(|t| t.to_string()).as_deref(), Some("35 F"));
    assert!(look.wrenches.is_empty() && look.dry.is_none());
}

#[test]
fn what_is_not_understood_at_a_cabinet_is_said_and_nothing_recorded() {
    for (typed, said) in [
        ("put riser qr-pendent", "How many of which kind? write '6 qr-pendent'."),
        ("put riser 6 qr-pendant", "No kind is called 'qr-pendant'; did you mean 'qr-pendent'?"),
        ("put riser 0 qr-pendent", "None is no movement."),
        ("put riser -1 qr-pendent", "Write a number of heads, 0 to 10000."),
        ("count riser qr-pendent", "Write KIND=NUMBER, as in 'qr-pendent=6'."),
        ("count riser qr-pendent=6/7", "Of 6 heads 7 cannot be unfit."),
        ("look", "What was looked at? write wrench=there or missing"),
        ("look dry=perhaps", "Write 'dry=yes' or 'dry=no'."),
        ("look warmest=hot", "'hot' does not start with a number."),
        ("new-cabinet annex", "What is it called?"),
        ("new-cabinet riser Another", "riser"),
        ("replace 9", "No spare has that number"),
        ("cabinet nowhere", "No cabinet is called 'nowhere'."),
    ] {
        let walked = walk(&[typed]);
        assert!(walked.out.contains(said), "{typed}: {}", walked.out);
        if !typed.starts_with("new-cabinet riser") {
            assert!(walked.recorded.is_empty(), "{typed}: {:?}", walked.recorded);
        }
    }
    let none =
        walk_on(include_str!("../../../tests/fixtures/harbour.site.yaml"), &["put 6 qr-pendent", "replace", "cabinet"]);
    assert!(none.out.contains("No cabinet is in the register; 'new-cabinet"), "{}", none.out);
}

#[test]
fn a_head_is_replaced_by_the_number_of_a_spare_as_far_as_its_verdict_lets_it() {
    let start = [STOCK, "yes", "p 1 t"];
    let with = |typed: &[&str]| walk(&[&start, typed].concat());
    let listed = with(&["replace"]).out;
    let numbers: Vec<&str> = listed.lines().filter(|l| l.contains(" in cabinet riser: ")).collect();
    assert!(numbers[0].starts_with("1. qr-pendent, 5 in cabinet riser: fits"), "{listed}");
    assert!(numbers[3].starts_with("4. qr-wall") && numbers[3].contains("never: orientation"), "{listed}");
    assert!(listed.contains("Live system: for licensed people"), "{listed}");
    let from = |kind: &str| format!("hall/1.1 replaced by {kind} from cabinet riser");
    for (typed, last) in [
        (&["replace 1"][..], Some(from("qr-pendent"))),
        (&["replace 2"], None),
        (&["replace 2", "yes"], Some(from("qr-white"))),
        (&["replace 2", "no"], None),
        (&["replace 3"], None),
        (&["replace 3: Ada Marl, engineer"], Some(from("qr-wax"))),
        (&["replace 4"], None),
        (&["replace 4: Ada Marl"], None),
    ] {
        let walked = with(typed);
        assert_eq!(walked.recorded.get(2), last.as_ref(), "{typed:?}: {}", walked.out);
    }
    let walked = with(&["replace 1"]);
    assert!(!walked.out.rsplit("Recorded: ").next().unwrap().contains("Ruling: replace"), "{}", walked.out);
}

#[test]
fn a_cabinet_tells_what_lies_in_it_and_what_is_open() {
    let walked = walk(&["cabinet", STOCK, "yes", "cabinet", "cabinet riser"]);
    let (before, after) = walked.out.split_once("Recorded: ").expect("a count");
    assert!(
        before.contains("never counted") && before.contains("Cabinet riser: Valve room cabinet, Valve room."),
        "{before}"
    );
    assert!(after.contains("qr-pendent: 6 held, 1 of them unfit."), "{after}");
    assert!(after.contains("Wrong: 1 of 6 heads of qr-pendent must not be used. Do: discard them"), "{after}");
    assert!(after.contains("Open: "), "{after}");
}
