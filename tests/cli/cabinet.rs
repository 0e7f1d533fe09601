//! The spare cabinets from the line: what is shown, what is recorded and told, what is refused.

use insta::assert_snapshot;

use crate::support::{HARBOUR, Place};

const CABINETS: &str = "\
cabinets:
  riser: {name: Valve room cabinet, place: 'Valve room, beside the riser'}
  dock: {name: Dock cabinet, serves: [hall], keep: {qr-pendent: 2}}
";

/// The fixture with two cabinets and a spare kind that hangs nowhere; a round has begun.
fn place() -> Place {
    let place = Place::new();
    let spare = "  qr-pendent-24: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome, \
                 made: 2024, wrench: small, number: MQ-118}\nareas:\n";
    place.write("harbour.site.yaml", &format!("{}{CABINETS}", HARBOUR.replacen("areas:\n", spare, 1)));
    place.fine(&["begin", "@harbour.site.yaml", "--inspector", "Ines Tidewell"]);
    place
}

fn act(place: &Place, words: &str) -> crate::support::Ran {
    let words: Vec<&str> = ["cabinet", "@harbour.site.yaml"].into_iter().chain(words.split_whitespace()).collect();
    place.run(&words)
}

#[test]
fn what_nobody_counted_is_not_shown_as_none() {
    assert_snapshot!(act(&place(), ""), @r"
    exit 0
    Harbour Office (harbour.site.yaml)
    Round '2026' of 2026-11-25, not signed

    10 heads installed: 6 spares asked for; how many are held is not known, as nobody has counted

    TYPE                             INSTALLED  REQUIRED  PLAN  HELD  SHORT  OVER  UNFIT
    pendent, quick, 155 °F, K5.6             7         1     4     ?      1     0      0
    upright, standard, 200 °F, K5.6          3         1     2     ?      1     0      0
    All                                     10         2     6     0      2     0      0

       READING       ASKS  SHORT  WHAT IT COUNTS                      CLAUSE
    *  total            6      6  All heads of the premises           NFPA 13 16.2.7.1, 16.2.7.2,
                                  together: 6, from 300: 12, from     16.2.7.5 [A]
                                  1001: 24, at least 1 of each type
       two-of-each      6      6  As before, and two of each type     NFPA 13 A.16.2.7.1 [B]
                                  and rating: 6, from 300: 12, from
                                  1001: 24, at least 2 of each type
       each-kind       12     12  The numbers for each type and       NFPA 13 16.2.7.5 [B]
                                  rating by itself: 6, from 300: 12,
                                  from 1001: 24
       not-over-300     6      6  Six for not over 300 heads, as one  Los Angeles 57.903 [A]
                                  city's code has it: 6, from 301:
                                  12, from 1001: 24, at least 1 of
                                  each type
    *: the reading that rules here. -: for a hazard that the site does not have.

    Cabinet riser: Valve room cabinet; Valve room, beside the riser; serves all areas
    Never counted.

    Cabinet dock: Dock cabinet; serves hall
    Never counted.
    KIND        HELD  UNFIT  LIST  HEADS  COUNTED  MOVED SINCE
    qr-pendent     ?      0     2      7  -        -
    HEADS: of its type, where the cabinet serves. ?: never counted nor put in.

    Not known, or not looked at in this round (13)
      10 heads installed ask for 6 spares; how many are held is not known
        -> count first (NFPA 13 16.2.7.1, 16.2.7.2, 16.2.7.5 [A])
      riser: never counted
        -> count it
      riser: nobody has looked for the wrench for qr-pendent, int-upright (the register names none) in
        this round
        -> look for it (NFPA 13 16.2.7.6 [C])
      riser: nobody has looked at the posted list in this round
        -> compare it with what lies in the cabinet (NFPA 13 16.2.7.7 [C])
      riser: nobody has said in this round how warm it gets; at most 100 °F
        -> read a thermometer, or ask (NFPA 13 16.2.7.3 [C])
      riser: nobody has said in this round whether it is dry there
        -> look
      riser: nobody has said in this round whether it hangs where it should
        -> look (NFPA 13 16.2.7 [practice])
      dock: never counted
        -> count it
      dock: nobody has looked for the wrench for qr-pendent (the register names none) in this round
        -> look for it (NFPA 13 16.2.7.6 [C])
      dock: nobody has looked at the posted list in this round
        -> compare it with what lies in the cabinet (NFPA 13 16.2.7.7 [C])
      dock: nobody has said in this round how warm it gets; at most 100 °F
        -> read a thermometer, or ask (NFPA 13 16.2.7.3 [C])
      dock: nobody has said in this round whether it is dry there
        -> look
      dock: nobody has said in this round whether it hangs where it should
        -> look (NFPA 13 16.2.7 [practice])

    [A] seen in the source's text; [B] seen in a secondary source; [C] from memory; check before
    quoting; [practice] common practice, no source. The adopted code and the authority decide.
    ");
}

#[test]
fn a_count_says_what_it_differs_by_what_was_left_out_and_what_is_short() {
    let place = place();
    assert_snapshot!(act(&place, "count riser qr-pendent=6 int-upright=1 --unfit qr-pendent=1"), @r"
    exit 0
    Counted: cabinet 'riser', 7 heads, round '2026'.
      qr-pendent: 6, 1 of which must not be used; counted for the first time
      int-upright: 1; counted for the first time
    6 of 6 spares held; none short.
    ");
    assert_snapshot!(act(&place, "count riser qr-pendent=4 --note given-away"), @r"
    exit 0
    Counted: cabinet 'riser', 4 heads, round '2026'.
      qr-pendent: 4; 2 fewer than the ledger's 6
      not counted, and as it was: int-upright 1
    5 of 6 spares held; 1 short:
      pendent, quick, 155 °F, K5.6: 4 held, plan 5
    ");
    assert_snapshot!(act(&place, "count riser qr-pendent=4 int-upright=1"), @r"
    exit 0
    Counted: cabinet 'riser', 5 heads, round '2026'.
      qr-pendent: 4; as the ledger held
      int-upright: 1; as the ledger held
    5 of 6 spares held; 1 short:
      pendent, quick, 155 °F, K5.6: 4 held, plan 5
    ");
}

#[test]
fn movements_say_what_is_held_now_and_tell_of_less_than_nothing() {
    let place = place();
    assert_snapshot!(act(&place, "put riser qr-pendent-24 4 --note delivery"), @r"
    exit 0
    Put in: 4 of 'qr-pendent-24', cabinet 'riser', round '2026'.
      qr-pendent-24: 4; never counted; what lay there before is not known
    4 of 6 spares held; 2 short:
      pendent, quick, 155 °F, K5.6: 4 held, plan 5
      upright, standard, 200 °F, K5.6: not known how many held, plan 1, 1 at least
    ");
    assert_snapshot!(act(&place, "take riser qr-pendent-24 1 --for hall/1.2"), @r"
    exit 0
    Taken out: 1 of 'qr-pendent-24' for hall/1.2, cabinet 'riser', round '2026'.
      qr-pendent-24: 3; 4 before
    3 of 6 spares held; 3 short:
      pendent, quick, 155 °F, K5.6: 3 held, plan 4
      upright, standard, 200 °F, K5.6: not known how many held, plan 2, 1 at least
    The replacement of hall/1.2 is not recorded by this: the walk does that, and takes its spare out by itself where it is told from which cabinet. Do not record both.
    ");
    assert_snapshot!(act(&place, "discard riser qr-pendent-24 1"), @r"
    exit 0
    Thrown away: 1 of 'qr-pendent-24', cabinet 'riser', round '2026'.
      qr-pendent-24: 2; 3 before
    2 of 6 spares held; 4 short:
      pendent, quick, 155 °F, K5.6: 2 held, plan 4
      upright, standard, 200 °F, K5.6: not known how many held, plan 2, 1 at least
    ");
    assert_snapshot!(act(&place, "take riser int-upright 2"), @r"
    exit 0
    Taken out: 2 of 'int-upright', cabinet 'riser', round '2026'.
      int-upright: -2; never counted; what lay there before is not known
    2 of 6 spares held; 4 short:
      pendent, quick, 155 °F, K5.6: 2 held, plan 4
      upright, standard, 200 °F, K5.6: 0 held, plan 2, 1 at least
    --- standard error
    warning[overdrawn]: the ledger of 'riser' holds -2 of 'int-upright' now: more was taken than it held
    --> harbour.site.yaml
     = help: count the cabinet: what is counted stands from then on
    ");
}

#[test]
fn a_spare_of_another_type_or_that_must_not_be_used_is_warned_of() {
    let place = place();
    act(&place, "count riser qr-pendent=2 --unfit qr-pendent=1");
    assert_snapshot!(act(&place, "take riser qr-pendent 2 --for plant/1.1..1.2").err, @r"
    warning[unlike]: 'qr-pendent' must not go in at plant/1.2: orientation upright there, pendent here
    --> harbour.site.yaml
     = help: field by field: headround cabinet harbour.site.yaml fits plant/1.2 --spare qr-pendent

    warning[unfit-taken]: of the 2 of 'qr-pendent' that the ledger held 1 must not be used
    --> harbour.site.yaml
     = help: a painted, dented, dropped or used head is thrown away: record that with 'discard'
    ");
}

#[test]
fn a_look_says_what_is_wrong_and_what_is_still_to_be_looked_at() {
    let place = place();
    assert_snapshot!(act(&place, "look riser --no-wrench - --list missing --warmest 105F --dry yes"), @r"
    exit 0
    Looked at: cabinet 'riser', round '2026'.
      the wrench for qr-pendent, int-upright (the register names none) is missing: put the fitting wrench into the cabinet
      no list is posted: print and post a new list
      it gets 105 °F where it hangs; at most 100 °F: hang it in a cooler place and ask what was stored too warm
      nobody has said in this round whether it hangs where it should: look
    ");
    let rest = act(&place, "look riser --wrench - --list right --warmest 35C --place yes");
    assert_eq!(rest.out, "Looked at: cabinet 'riser', round '2026'.\n");
}

#[test]
fn a_posted_list_is_what_was_named_or_what_is_proposed() {
    let place = place();
    assert_snapshot!(act(&place, "post riser"), @r"
    exit 0
    Posted: list of cabinet 'riser', dated 2026-11-25, with int-upright 2, qr-pendent-24 2, round '2026'.
    Print it with: headround report harbour.site.yaml --to posted-list --cabinet riser
    ");
    assert_snapshot!(act(&place, "post dock qr-pendent-24=1 --date 2026-11-24"), @r"
    exit 0
    Posted: list of cabinet 'dock', dated 2026-11-24, with qr-pendent-24 1, round '2026'.
    Print it with: headround report harbour.site.yaml --to posted-list --cabinet dock
    ");
    let list = place.fine(&["report", "@harbour.site.yaml", "--to", "posted-list", "--cabinet", "dock"]).out;
    assert!(list.contains("Issued    24 November 2026") && list.contains("   1  MQ-118 "), "{list}");
}

#[test]
fn a_cabinet_is_added_and_counted_at_once() {
    let place = place();
    assert_snapshot!(act(&place, "add loft --name Loft --place attic --serves hall,plant"), @r"
    exit 0
    Added: cabinet 'loft', Loft, round '2026'.
    Count it with: headround cabinet harbour.site.yaml count loft KIND=N …
    ");
    assert_eq!(act(&place, "count loft qr-pendent=0").code, 0);
    assert_eq!(act(&place, "add loft --name Loft").code, 2);
}

#[test]
fn what_cannot_be_meant_is_refused_with_the_nearest_name_and_nothing_is_written() {
    let place = place();
    let before = place.read("harbour.site.yaml");
    for (words, code, help) in [
        ("count risr qr-pendent=1", "unknown-cabinet", "did you mean 'riser'?"),
        ("count riser qr-pendnt=1", "unknown-kind", "did you mean 'qr-pendent'?"),
        ("count riser qr-pendent=1 qr-pendent=2", "named-twice", "name it once"),
        ("count riser qr-pendent=1 --unfit qr-pendent=2", "too-many-unfit", "takes in the unfit ones"),
        ("count riser qr-pendent=1 --unfit int-upright=1", "not-counted", "KIND=N"),
        ("put riser zzz 1", "unknown-kind", "its kinds: qr-pendent, int-upright, qr-pendent-24"),
        ("take riser qr-pendent 1 --for hall/9.9", "unknown-head", "AREA/LINE.PLACE"),
        ("take riser qr-pendent 1 --for hal/1.1", "unknown-area", "did you mean 'hall'?"),
        ("take riser qr-pendent 3 --for hall/1.1..1.2", "other-number", "one spare goes with each head"),
        ("look riser", "nothing-said", "--wrench"),
        ("look riser --wrench smal", "unknown-wrench", "did you mean 'small'?"),
        ("look riser --wrench - --no-wrench -", "contradiction", "name it once"),
        ("post riser qr-pendent=0", "empty-list", "KIND=N"),
        ("add riser --name Again", "cabinet-exists", "a name of its own"),
        ("add loft --name Loft --serves hal", "unknown-area", "did you mean 'hall'?"),
        ("--cabinet risr", "unknown-cabinet", "did you mean 'riser'?"),
    ] {
        let ran = act(&place, words);
        assert_eq!(ran.code, 2, "{words}: {ran}");
        assert!(ran.err.contains(&format!("error[{code}]")) && ran.err.contains(help), "{words}: {ran}");
    }
    for words in [
        "count riser",
        "count riser qr-pendent",
        "count riser qr-pendent=-1",
        "put riser qr-pendent 0",
        "put riser qr-pendent 10001",
    ] {
        assert_eq!(act(&place, words).code, 2, "{words}");
    }
    assert_eq!(place.read("harbour.site.yaml"), before);
}

#[test]
fn before_a_round_has_begun_nothing_is_recorded() {
    let place = Place::new();
    place.write("harbour.site.yaml", &format!("{HARBOUR}{CABINETS}"));
    assert!(act(&place, "count riser qr-pendent=1").err.contains("no round has begun"));
    assert!(act(&place, "").out.contains("No round has begun."));
}

#[test]
fn an_entry_after_the_sign_off_says_so() {
    let place = Place::signed();
    let ran = place.fine(&["cabinet", "@harbour.site.yaml", "add", "riser", "--name", "Riser"]);
    assert!(ran.out.starts_with("Added: cabinet 'riser', Riser, round '2026' (after its sign-off).\n"), "{ran}");
}

#[test]
fn the_years_are_told_where_they_are_asked_for() {
    let place = place();
    act(&place, "count riser qr-pendent=6 int-upright=2");
    act(&place, "take riser qr-pendent 1");
    act(&place, "put riser qr-pendent-24 2");
    act(&place, "count riser qr-pendent=4");
    let shown = act(&place, "--trends --on 2028-11-25").out;
    assert_snapshot!(&shown[shown.find("Taken out and put in").unwrap()..], @r"
    Taken out and put in, by calendar year
    YEAR  TYPE                          REPLACED  TAKEN  DISCARDED  PUT IN
    2026  pendent, quick, 155 °F, K5.6         0      1          0       2

    Counts that differed, by calendar year
    YEAR  CABINET  KIND        COUNTS  FEWER  MORE
    2026  riser    qr-pendent       1      1     0

    Stock that has not moved for a year or longer
    CABINET  KIND           HELD  SINCE       YEARS
    riser    qr-pendent        4  2026-11-25      2
    riser    int-upright       2  2026-11-25      2  first count
    riser    qr-pendent-24     2  2026-11-25      2

    Kinds of the register that are not installed
    KIND           MAKE-UP                                     WAS  OF ITS TYPE  HELD
    qr-pendent-24  pendent, quick, bulb, 155 °F, K5.6, chrome    0            7     2
    WAS: heads that were of it. OF ITS TYPE: heads of its type that are installed, which its spares fit.
    ");
}

#[test]
fn one_cabinet_and_one_table_can_be_asked_for() {
    let place = place();
    act(&place, "count dock qr-pendent=2");
    assert_snapshot!(act(&place, "--cabinet dock"), @r"
    exit 0
    Harbour Office (harbour.site.yaml)
    Round '2026' of 2026-11-25, not signed

    Cabinet dock: Dock cabinet; serves hall
    Counted in this round on 2026-11-25 by ines.
    KIND        HELD  UNFIT  LIST  HEADS  COUNTED     MOVED SINCE
    qr-pendent     2      0     2      7  2026-11-25  -
    HEADS: of its type, where the cabinet serves. ?: never counted nor put in.

    Not known, or not looked at in this round (5)
      dock: nobody has looked for the wrench for qr-pendent (the register names none) in this round
        -> look for it (NFPA 13 16.2.7.6 [C])
      dock: nobody has looked at the posted list in this round
        -> compare it with what lies in the cabinet (NFPA 13 16.2.7.7 [C])
      dock: nobody has said in this round how warm it gets; at most 100 °F
        -> read a thermometer, or ask (NFPA 13 16.2.7.3 [C])
      dock: nobody has said in this round whether it is dry there
        -> look
      dock: nobody has said in this round whether it hangs where it should
        -> look (NFPA 13 16.2.7 [practice])

    [C] from memory; check before quoting; [practice] common practice, no source. The adopted code and
    the authority decide.
    ");
    let by_rating = act(&place, "--table rating").out;
    assert!(by_rating.contains("RATING  RESPONSE  TYPES") && !by_rating.contains("\nTYPE "), "{by_rating}");
    let by_type = act(&place, "--table type").out;
    assert!(by_type.contains("\nTYPE ") && !by_type.contains("RATING  RESPONSE"), "{by_type}");
}

#[test]
fn strict_exits_with_1_while_something_is_short_wrong_or_not_looked_at() {
    let place = place();
    let strict = || act(&place, "--strict").code;
    assert_eq!(strict(), 1);
    act(&place, "count riser qr-pendent=4 int-upright=2 qr-pendent-24=0");
    act(&place, "count dock qr-pendent=2");
    assert_eq!(strict(), 1);
    act(&place, "look riser --wrench - --list right --warmest 90F --dry yes --place yes");
    act(&place, "look dock --wrench - --list right --warmest 90F --dry yes --place yes");
    assert_eq!(strict(), 0, "{}", act(&place, ""));
    assert_eq!(act(&place, "count riser int-upright=0 --strict").code, 1);
}

#[test]
fn json_holds_the_same_facts() {
    let place = place();
    let counted = act(&place, "count riser qr-pendent=6 int-upright=1 --unfit qr-pendent=1 --json").json();
    assert_eq!(counted["kinds"][0]["held"], 6);
    assert_eq!(counted["kinds"][0]["unfit"], 1);
    assert_eq!(counted["kinds"][0]["difference"], serde_json::Value::Null);
    let again = act(&place, "count riser qr-pendent=4 --json").json();
    assert_eq!(again["kinds"][0]["difference"], -2);
    assert_eq!(again["not_counted"][0], "int-upright 1");
    let shown = act(&place, "--json").json();
    assert_eq!(shown["asked"], 6);
    assert_eq!(shown["held"], 5);
    assert_eq!(shown["cabinets"][0]["differences"][0]["expected"], 6);
    assert!(shown.get("trends").is_none());
    assert!(act(&place, "--json --trends").json()["trends"]["gone"][0]["kind"] == "qr-pendent-24");
}

#[test]
fn which_spare_fits_is_told_field_by_field_with_reasons_and_clauses() {
    let place = place();
    assert!(act(&place, "fits hall/1.2").out.contains("No cabinet holds a spare that may be used."));
    act(&place, "count riser qr-pendent=2 qr-pendent-24=3 int-upright=1");
    assert_snapshot!(act(&place, "fits hall/1.2"), @r"
    exit 0
    hall/1.2 is qr-pendent: pendent, quick, bulb, 155 °F, K5.6, chrome

    VERDICT  SPARE          CABINET  THERE  WHY
    fits     qr-pendent     riser        2
    may      qr-pendent-24  riser        3  differs in thread
    never    int-upright    riser        1  differs in orientation and 4 more

    qr-pendent: fits
    FIELD                 HEAD              SPARE             VERDICT  CLAUSE
    orientation           pendent           pendent           fits
    style                 spray             spray             fits
    mount                 exposed           exposed           fits
    K-factor              K5.6              K5.6              fits
    thread                not recorded      not recorded      fits
    rating                155 °F, ordinary  155 °F, ordinary  fits
    response              quick             quick             fits
    coating               none              none              fits
    finish                chrome            chrome            fits
    dry or not            not dry           not dry           fits
    length of a dry head  none              none              fits

    qr-pendent-24: may go in, on the grounds named
    FIELD   HEAD          SPARE         VERDICT  CLAUSE
    thread  not recorded  not recorded  may      5.4.1 (replacement sprinklers) [practice]
      -> thread: The thread of one of the two is not written down. Hold the spare against the plug or
         the list of the cabinet first; if size and form are not the same, it does not go in.

    int-upright: must not go in
    FIELD        HEAD              SPARE                 VERDICT  CLAUSE
    orientation  pendent           upright               never    5.4.1 (replacement sprinklers)
                                                                  [reading]
    thread       not recorded      not recorded          may      5.4.1 (replacement sprinklers)
                                                                  [practice]
    rating       155 °F, ordinary  200 °F, intermediate  ask      NFPA 13 (temperature classes within a
                                                                  compartment) [reading]
    response     quick             standard              never    NFPA 13 (one response within a
                                                                  compartment) [reading]
    finish       chrome            brass                 may      5.4.1 (replacement sprinklers)
                                                                  [practice]
      -> orientation: The deflector is shaped for one way up. A pendent that stands, or an upright that
         hangs, throws its water at the ceiling or straight down; a sidewall in the middle of a room
         wets half of it.
      -> response: It opens after its quick neighbours or not at all, and the design counts on quick
         response for people's escape or for a smaller area under water.
      -> rating: Newer texts let ordinary and intermediate ratings be used throughout a building, but
         one green bulb among red ones opens after its neighbours. Whether that does is for the
         designer.
      -> thread: The thread of one of the two is not written down. Hold the spare against the plug or
         the list of the cabinet first; if size and form are not the same, it does not go in.
      -> finish: A colour from the factory changes nothing but the look. One that was painted on
         afterwards is no spare at all.

    [reading] this set's own reading of a text; [practice] common practice, no source. What goes in must
    be listed and suit its place; the adopted code and the authority decide. Work on a live system is
    for licensed people under an impairment procedure.
    ");
    let upright = act(&place, "fits int-upright --spare qr-pendent");
    assert!(upright.out.starts_with("plant/1.1 is int-upright"), "{upright}");
    assert!(upright.out.contains("qr-pendent: must not go in\n"), "{upright}");
    assert_eq!(act(&place, "fits plant/1.1 --spare qr-pendent --strict").code, 1);
    assert_eq!(act(&place, "fits plant/1.1 --strict").code, 0);
    for (words, code) in [
        ("fits hall/9.9", "unknown-head"),
        ("fits nothing", "unknown-kind"),
        ("fits hall/x", "bad-address"),
        ("fits qr-pendent-24", "not-installed"),
    ] {
        let ran = act(&place, words);
        assert!(ran.code == 2 && ran.err.contains(&format!("error[{code}]")), "{words}: {ran}");
    }
    let json = act(&place, "fits hall/1.2 --json").json();
    assert_eq!(json["spares"][0]["verdict"], "fits");
    assert_eq!(json["spares"][0]["fields"][0]["field"], "orientation");
}

#[test]
fn the_table_of_the_site_opens_in_a_spreadsheet() {
    let place = place();
    act(&place, "count riser qr-pendent=2");
    assert_snapshot!(act(&place, "--to csv").out, @r#"
    type,kinds,installed,required,planned,held,short,lacking,over,unfit
    "pendent, quick, 155 °F, K5.6",qr-pendent,7,1,4,2,0,2,0,0
    "upright, standard, 200 °F, K5.6",int-upright,3,1,2,,1,2,0,0
    "#);
    assert!(act(&place, "--to csv --table rating").out.starts_with("rating,response,types,installed,"));
}
