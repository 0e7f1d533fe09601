use insta::assert_snapshot;

use crate::support::Place;

#[test]
fn the_plain_walk_records_what_is_typed() {
    let place = Place::with_harbour();
    place.fine(&["begin", "@harbour.site.yaml", "--inspector", "Ines Tidewell"]);
    assert_snapshot!(place.walk("s\np 1 t: white drops\nnext\nq\n"), @r"
    exit 0
    Harbour Office, nfpa25-2023
    Round 2026: 10 heads, 0 seen, 0 not judged, 0 not reached, 10 unseen.
    This covers heads, not valves, pipes, pumps or supply. 'help' lists what can be typed.
    hall/1.1: Entrance hall, line 1 of 2, place 1 of 4.
    qr-pendent: pendent, quick, bulb, 155 °F, K5.6, chrome; made 2009.
    A pendent head with a bulb of red liquid, finish chrome, no sign drawn on it.
    Not seen in this round.
    hall/1.1> Recorded: hall/1.1 seen.
    hall/1.2, the same kind.
    Not seen in this round.
    hall/1.2> Recorded: hall/1.2 paint on element, trace: white drops.
    Taken as field-applied; if it is not, 'undo' and add 'factory' or 'unknown'.
    Seen. Ruling: replace (critical).
    Paint on the heat element or the water seal (5.2.1.1.1(6); ruling: seen in a secondary source; class: from memory, check before quoting).
      Because: Paint is a blanket on the element and a glue between cap and seat. In a laboratory's small trial more than half of the painted heads failed. The adopted text asks whether paint is detrimental to performance; on element or seal this set takes any paint to be so.
      Do: Have the head replaced by its equal.
      Never: Never scrape, peel or dissolve paint on a head.
    hall/1.2> hall/1.3, the same kind.
    Not seen in this round.
    hall/1.3> Entrance hall: 5 heads without an answer: hall/1.3..1.4, hall/2.1..2.3.
    Left. Everything entered is in the file.
    ");
    let seen: Vec<String> = place
        .read("harbour.site.yaml")
        .lines()
        .filter(|l| l.starts_with("--- "))
        .map(|l| {
            let entry: serde_json::Value = serde_json::from_str(&l[4..]).unwrap();
            ["begin", "seen", "saw"].iter().find(|k| entry.get(**k).is_some()).unwrap().to_string()
        })
        .collect();
    assert_eq!(seen, ["begin", "seen", "saw"]);
}

#[test]
fn the_walk_goes_on_where_one_left_off() {
    let place = Place::half_walked();
    place.walk("go hall/2.3\n");
    let ran = place.walk("");
    assert!(ran.out.ends_with("hall/2.3> "), "{ran}");
}

#[test]
fn screens_need_a_terminal() {
    let place = Place::with_harbour();
    assert_snapshot!(place.run(&["walk", "@harbour.site.yaml"]), @r"
    exit 2
    --- standard error
    error[no-terminal]: the screens need a terminal
    --> headround
     = help: for lines of text use 'headround walk FILE --plain'; 'headround --help' lists the commands
    ");
    assert_snapshot!(place.run(&[]), @r"
    exit 2
    --- standard error
    error[no-terminal]: the screens need a terminal
    --> headround
     = help: for lines of text use 'headround walk FILE --plain'; 'headround --help' lists the commands
    ");
}

#[test]
fn a_second_writer_is_told_who_is_at_it() {
    let place = Place::half_walked();
    let who = headround::record::desk::Who { by: "osk".into(), host: "barge".into(), pid: 7, rules: None };
    let clock = std::sync::Arc::clone(&place.around.clock);
    let held = headround::record::desk::Desk::open(
        &place.path("harbour.site.yaml"),
        headround::record::journal::Mode::Write,
        &who,
        &*clock,
        None,
    );
    let ran = place.walk("s\n");
    assert_eq!(ran.code, 2, "{ran}");
    assert!(ran.err.contains("osk") && ran.err.contains("barge"), "{ran}");
    drop(held);
    assert_eq!(place.walk("s\n").code, 0);
}

#[test]
fn an_endless_line_is_cut_and_the_walk_goes_on() {
    let place = Place::half_walked();
    let ran = place.walk(&format!("note {}\ncount\nq\n", "x".repeat(300_000)));
    assert_eq!(ran.code, 0);
    assert!(ran.out.contains("Round 2026: 10 heads"), "{}", ran.out.len());
}
