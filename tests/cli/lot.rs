//! `lot`: forming, drawing, drawing again, custody, conclusions, and what they lead to elsewhere.

use insta::assert_snapshot;

use crate::support::{Place, Ran};

/// Three areas: one overdue, one of which nothing is known, one that is not due.
pub const OLD: &str = "\
format: headround site 1
site: {id: 01KAVQ5R8Z00000000000AAA0, name: Old Quay, where: \"4 Quay Street, Port Tarrow\", rules: nfpa25-2023, units: us}
kinds:
  sr-upright: {orientation: upright, response: standard, element: link, rating: 165 F, k: 5.6, finish: brass, made: 1970}
  qr-pendent: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome, made: unknown}
  qr-new: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome, made: 2020}
areas:
  loft:
    name: Net loft
    system: wet
    in_service: 1971
    ceiling_max: 100 F
    hazard: ordinary
    lines:
      - 4 sr-upright
      - 4 sr-upright
  store:
    name: Rope store
    system: wet
    ceiling_max: 100 F
    lines:
      - 3 qr-pendent
  office:
    name: Office
    system: wet
    in_service: 2020-06-15
    ceiling_max: 100 F
    lines:
      - 2 qr-new
";

pub const PRICES: &str = "\
format: headround prices 1
currency: USD
prices:
  - {orientation: upright, response: standard, rating: 165 F, k: 5.6, price: 21.50}
work: {test: 45.00, swap: 30.00}
";

/// It, with a round in which everything was looked at but the store, and one head of the loft is painted.
pub fn place() -> Place {
    let place = Place::new();
    place.write("old.site.yaml", OLD);
    place.fine(&["begin", "@old.site.yaml", "--inspector", "Ines Tidewell"]);
    let typed = "s\np 1 t: white drops\narea loft\nsweep area\nyes\narea office\nsweep area\nyes\n";
    place.typed(&["walk", "@old.site.yaml", "--plain"], typed);
    place
}

pub fn lot(place: &Place, words: &[&str]) -> Ran {
    place.run(&[&["lot", "@old.site.yaml"], words].concat())
}

/// With a lot of the loft, drawn by a seed.
pub fn drawn() -> Place {
    let place = place();
    assert_eq!(lot(&place, &["form", "loft", "--heads", "loft", "--name", "Net loft, 1971"]).code, 0);
    let ran = lot(&place, &["draw", "loft", "--seed", "7"]);
    assert_eq!(ran.code, 0, "{ran}");
    place
}

fn picks(place: &Place) -> Vec<String> {
    let json = lot(place, &["show", "loft", "--json"]).json();
    let samples = json["lots"][0]["samples"].as_array().unwrap().clone();
    samples.iter().map(|s| s["head"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn a_site_without_lots_says_how_one_comes_about() {
    let place = place();
    assert_snapshot!(lot(&place, &[]), @r"
    exit 0
    Old Quay (old.site.yaml)
    No lot is formed. What falls due: headround due FILE; ways to draw lots: headround lot FILE ways
    ");
    let ran = lot(&place, &["show", "loft"]);
    assert!(ran.code == 2 && ran.err.contains("the site has no lot"), "{ran}");
}

#[test]
fn the_ways_lie_side_by_side_with_what_a_failure_condemns_and_costs() {
    let place = place();
    place.write("prices.yaml", PRICES);
    assert_snapshot!(lot(&place, &["ways", "--prices", "@prices.yaml"]));
}

#[test]
fn the_odds_of_a_way_are_those_of_its_weakest_lot() {
    let place = place();
    let json = lot(&place, &["ways", "--json"]).json();
    for way in json["ways"].as_array().unwrap() {
        let lots = way["lots"].as_array().unwrap();
        let odds = |l: &serde_json::Value| l["unseen_odds"].as_f64().unwrap();
        let worst = lots.iter().map(odds).fold(0.0, f64::max);
        assert!((way["unseen_odds"].as_f64().unwrap() - worst).abs() < 1e-12, "{way}");
        for lot in lots {
            // Of n heads one is bad: it stays unseen where it is not among the s drawn, (n - s) of n times.
            let (n, s) = (lot["heads"].as_f64().unwrap(), lot["sample"].as_f64().unwrap());
            assert!((odds(lot) - (n - s).max(0.0) / n).abs() < 1e-12, "{lot}");
        }
    }
}

#[test]
fn lots_of_what_is_due_are_formed_and_one_too_small_to_sample_is_left_out() {
    let place = place();
    assert_snapshot!(lot(&place, &["form", "--apart", "area,kind", "--all-due"]));
    let again = lot(&place, &["form", "--apart", "area,kind", "--all-due"]);
    assert_eq!(again.code, 2, "only the store is left, and it is too small: {again}");
    let named = lot(&place, &["form", "store-qr-pendent", "--apart", "area,kind"]);
    assert_eq!(named.code, 0, "{named}");
}

#[test]
fn a_lot_that_cannot_be_meant_is_refused_and_nothing_is_written() {
    let place = place();
    assert_eq!(lot(&place, &["form", "loft", "--heads", "loft/1"]).code, 0);
    let before = place.read("old.site.yaml");
    for (words, why) in [
        (&["form", "loft", "--heads", "loft/2"][..], "a lot named 'loft' exists already"),
        (&["form", "other", "--heads", "loft"], "'loft/1.1' stands in lot 'loft', which is not decided yet"),
        (&["form", "other", "--heads", "loft/9"], "the site has no head 'loft/9'"),
        (&["form", "other", "--heads", "attic"], "the site has no area 'attic'"),
        (&["form", "--heads", "loft/2"], "the lot has no short name"),
        (&["form", "x", "--apart", "area"], "no lot 'x' is proposed so"),
        (&["form", "--apart", "area"], "no lot is named"),
        (&["form", "x", "--apart", "colour"], "'colour' is no division of lots"),
    ] {
        let ran = lot(&place, words);
        assert!(ran.code == 2 && ran.err.contains(why), "{words:?}: {ran}");
    }
    assert_eq!(place.read("old.site.yaml"), before);
}

#[test]
fn a_draw_shows_its_seed_who_could_be_drawn_and_why_the_others_not() {
    let place = place();
    lot(&place, &["form", "loft", "--heads", "loft", "--name", "Net loft, 1971"]);
    assert_snapshot!(lot(&place, &["draw", "loft", "--seed", "7"]));
    assert_snapshot!(lot(&place, &["show", "loft"]));
}

#[test]
fn a_dry_run_records_nothing_and_a_draw_by_the_same_seed_takes_the_same_heads() {
    let place = place();
    lot(&place, &["form", "loft", "--heads", "loft"]);
    let before = place.read("old.site.yaml");
    let dry = lot(&place, &["draw", "loft", "--seed", "7", "--dry-run", "--json"]).json();
    assert_eq!(place.read("old.site.yaml"), before);
    lot(&place, &["draw", "loft", "--seed", "7"]);
    let heads: Vec<&str> = dry["picks"].as_array().unwrap().iter().map(|p| p["head"].as_str().unwrap()).collect();
    assert_eq!(picks(&place), heads);
    assert!(!heads.contains(&"loft/1.2"), "a painted head is never drawn");
}

#[test]
fn a_recorded_draw_comes_out_again_after_the_heads_have_been_replaced_and_painted() {
    let place = drawn();
    let heads = picks(&place);
    for head in &heads {
        let ran = place
            .typed(&["walk", "@old.site.yaml", "--plain"], &format!("go {head}\ndid replaced sr-upright\np 4 t\n"));
        assert!(ran.out.contains("replaced"), "{ran}");
    }
    let json = lot(&place, &["draw", "loft", "--seed", "7", "--dry-run", "--json"]).json();
    assert_eq!(json["same"], true, "{json}");
    assert_eq!(json["eligible"], 7, "{json}");
}

#[test]
fn a_draw_that_was_tampered_with_does_not_come_out_again() {
    let place = drawn();
    let heads = picks(&place);
    let all: Vec<String> = (1..=2).flat_map(|l| (1..=4).map(move |p| format!("loft/{l}.{p}"))).collect();
    let other = all.iter().find(|h| !heads.contains(h) && *h != "loft/1.2").unwrap();
    // By hand, without the sum: with it the line would be broken and count for nothing.
    let text = place.read("old.site.yaml");
    let line = text.lines().find(|l| l.contains("\"drawn\"")).unwrap();
    let (entry, _) = line.split_once(",\"prev\"").unwrap();
    let changed = format!("{}}}", entry.replacen(&heads[0], other, 1));
    place.write("old.site.yaml", &text.replace(line, &changed));
    let ran = lot(&place, &["draw", "loft", "--seed", "7", "--dry-run", "--strict"]);
    assert!(ran.code == 1 && ran.out.contains("OTHER HEADS COME OUT"), "{ran}");
}

#[test]
fn chance_gives_a_seed_where_none_is_named_and_it_is_recorded() {
    let place = place();
    lot(&place, &["form", "loft", "--heads", "loft"]);
    let ran = lot(&place, &["draw", "loft", "--json"]).json();
    let seed = ran["lots"][0]["draws"][0]["seed"].as_u64().unwrap();
    assert!((100_000..1_000_000).contains(&seed), "{seed}");
    let again = lot(&place, &["draw", "loft", "--seed", &seed.to_string(), "--dry-run", "--json"]).json();
    assert_eq!(again["same"], true, "{again}");
}

#[test]
fn heads_nobody_has_looked_at_are_drawn_only_when_that_is_said() {
    let place = place();
    lot(&place, &["form", "store", "--heads", "store"]);
    let ran = lot(&place, &["draw", "store", "--seed", "1"]);
    assert!(ran.code == 2 && ran.err.contains("nobody has looked at it in this round"), "{ran}");
    let ran = lot(&place, &["draw", "store", "--seed", "1", "--unseen", "--json"]);
    assert_eq!(ran.json()["lots"][0]["draws"][0]["unseen"], true, "{ran}");
}

#[test]
fn heads_chosen_by_hand_are_refused_with_the_reason() {
    let place = place();
    lot(&place, &["form", "loft", "--heads", "loft"]);
    for (words, why) in [
        (&["--heads", "loft/1.2", "--note", "wanted"][..], "a visible defect"),
        (&["--heads", "store/1.1", "--note", "wanted"], "it does not belong to the lot"),
        (&["--heads", "loft/9.9", "--note", "wanted"], "the site has no head 'loft/9.9'"),
        (&["--heads", "loft/1.3"], "--note"),
        (&["--heads", "loft/1.3", "--note", " "], "it does not say why these"),
        (&["--heads", "loft/1.3", "--note", "x", "--seed", "7"], "cannot be used with"),
    ] {
        let ran = lot(&place, &[&["draw", "loft"], words].concat());
        assert!(ran.code == 2 && ran.err.contains(why), "{words:?}: {ran}");
    }
    let ran = lot(&place, &["draw", "loft", "--heads", "loft/1.1,loft/2.2", "--note", "asked for", "--json"]);
    assert_eq!(ran.json()["lots"][0]["to_draw"], 2, "two of four are drawn: {ran}");
    let rest = lot(&place, &["draw", "loft", "--seed", "3", "--json"]);
    assert_eq!(rest.json()["lots"][0]["samples"].as_array().unwrap().len(), 4, "{rest}");
}

#[test]
fn a_lot_is_not_drawn_twice_by_mistake() {
    let place = drawn();
    let ran = lot(&place, &["draw", "loft", "--seed", "8"]);
    assert!(ran.code == 2 && ran.err.contains("has all 4 heads that its sample takes"), "{ran}");
    let more = lot(&place, &["draw", "loft", "--seed", "8", "--more", "1", "--json"]);
    assert_eq!(more.json()["lots"][0]["samples"].as_array().unwrap().len(), 5, "{more}");
    let again = lot(&place, &["draw", "loft", "--seed", "8", "--more", "1"]);
    assert!(again.code == 2 && again.err.contains("seed 8 drew for lot 'loft' already"), "{again}");
    let dry = lot(&place, &["draw", "loft", "--seed", "8", "--dry-run", "--json"]);
    assert_eq!((&dry.json()["same"], dry.json()["again"].as_array().unwrap().len()), (&true.into(), 1), "{dry}");
}

#[test]
fn what_is_typed_for_a_lot_is_refused_in_words_about_lots() {
    let place = drawn();
    for (words, why) in [
        (&["draw", "loft", "--more", "0"][..], "a whole number from 1 to 10000"),
        (&["draw", "loft", "--more", "-3"], "a whole number from 1 to 10000"),
        (&["form", "X Y", "--heads", "loft"], "'X Y' is no short name of a lot"),
    ] {
        let ran = lot(&place, words);
        assert!(ran.code == 2 && ran.err.contains(why), "{ran}");
    }
}

#[test]
fn under_a_set_that_condemns_none_by_one_failure_no_answer_says_that_it_does() {
    let place = place();
    place.write("en.site.yaml", &OLD.replace("rules: nfpa25-2023", "rules: en12845").replace("AAA0", "AAA2"));
    place.fine(&["begin", "@en.site.yaml", "--inspector", "Ines Tidewell"]);
    let formed = place.fine(&["lot", "@en.site.yaml", "form", "loft", "--heads", "loft"]);
    assert!(formed.out.contains("condemns none of the others") && !formed.out.contains("condemns all"), "{formed}");
    let ways = place.fine(&["lot", "@en.site.yaml", "ways", "--within", "40 years", "--json"]).json();
    for way in ways["ways"].as_array().unwrap() {
        assert!(way["most_condemned"] == 0 && way["most_at_stake"].as_u64().unwrap() > 0, "{way}");
    }
}

#[test]
fn the_way_of_a_sample_is_written_down() {
    let place = drawn();
    for (words, why) in [
        (&["hand", "loft", "--step", "handed-over"][..], "it does not say to whom"),
        (&["hand", "loft", "--step", "packed", "--tag", "loft-9"], "no head of lot 'loft' bears the tag 'loft-9'"),
        (&["hand", "loft", "--step", "packed", "--date", "2027-01-01"], "is yet to come"),
        (&["hand", "loft", "--step", "lost"], "'lost' is no step of custody"),
    ] {
        let ran = lot(&place, words);
        assert!(ran.code == 2 && ran.err.contains(why), "{words:?}: {ran}");
    }
    assert_snapshot!(lot(&place, &["hand", "loft", "--step", "packed", "--tag", "LOFT-1,loft-2", "--note", "box 3"]));
    let to = ["hand", "loft", "--step", "handed-over", "--from", "Ines Tidewell", "--to", "Saltpan Test House"];
    let json = lot(&place, &[&to[..], &["--date", "2026-11-20", "--json"]].concat()).json();
    assert_eq!(json["lots"][0]["stage"], "at-bench");
    let steps = json["lots"][0]["custody"].as_array().unwrap();
    assert_eq!((&steps[0]["tags"][0], &steps[1]["on"]), (&"loft-1".into(), &"2026-11-20".into()));
}

#[test]
fn a_failed_lot_condemns_every_head_in_rulings_order_and_list() {
    let place = drawn();
    let conclude = ["conclude", "loft", "--failed", "--date", "2026-11", "--lab", "Saltpan Test House, report 118"];
    assert_snapshot!(lot(&place, &[&conclude[..], &["--tested", "4"]].concat()));
    assert_snapshot!(lot(&place, &["--strict"]));
    let rulings = place.fine(&["rulings", "@old.site.yaml", "--ruling", "replace", "--json"]).json();
    assert_eq!(rulings.as_array().unwrap().len(), 8, "{rulings}");
    let order = place.fine(&["order", "@old.site.yaml", "--only", "condemned", "--json"]).json();
    assert_eq!(order["lines"][0]["condemned"], 8, "{order}");
    let due = place.fine(&["due", "@old.site.yaml", "--json"]).json();
    assert_eq!(due["sites"][0]["condemned"], 8, "{due}");
    let other = lot(&place, &["form", "again", "--heads", "loft"]);
    assert!(other.code == 2 && other.err.contains("a failed test condemns 'loft/1.1'"), "{other}");
    let draw = lot(&place, &["draw", "loft", "--more", "1"]);
    assert!(draw.code == 2 && draw.err.contains("is decided already"), "{draw}");
}

#[test]
fn a_passed_lot_says_how_little_that_proves() {
    let place = drawn();
    let conclude = ["conclude", "loft", "--passed", "--date", "2026-11-25", "--lab", "Saltpan", "--tested", "4"];
    assert_eq!(lot(&place, &conclude).code, 0);
    let shown = lot(&place, &["show", "loft"]);
    // With 3 of 8 bad, 4 drawn show none with C(5,4)/C(8,4) = 5/70 = 7 %; with 4 bad 1/70 = 1.4 %, which 95 % excludes.
    let words = shown.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("at 95 % confidence up to 3 of the 8 heads could still be bad"), "{shown}");
    for (more, why) in [("9", "9 heads cannot have been tested of a lot of 8"), ("0", "0 heads cannot")] {
        let ran = lot(&place, &["conclude", "loft", "--passed", "--date", "2026", "--lab", "x", "--tested", more]);
        assert!(ran.code == 2 && ran.err.contains(why), "{ran}");
    }
    let ran = lot(&place, &["conclude", "loft", "--passed", "--date", "2027", "--lab", "x"]);
    assert!(ran.code == 2 && ran.err.contains("2027 is yet to come"), "{ran}");
}

#[test]
fn an_act_without_a_round_is_refused() {
    let place = Place::new();
    place.write("old.site.yaml", OLD);
    let ran = lot(&place, &["form", "loft", "--heads", "loft"]);
    assert!(ran.code == 2 && ran.err.contains("no round has begun"), "{ran}");
}
