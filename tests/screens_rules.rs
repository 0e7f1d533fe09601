//! The screens that explain rules: `?` on a ruling, a rule's cases and editions, the grid of a kind, and the choice of a
//! rule set.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod screens_support;

use headround::rules::builtin;
use headround::tui::theme::Theme;
use screens_support::{Bench, On, REGISTER};

/// Stands in the walk at a head with a ruling, and at one without.
const RULED: &str = "Home Enter j 1.3 Enter";
const UNRULED: &str = "Home Enter j 3.1 Enter";

fn at(on: On, keys: &str) -> Bench {
    let mut bench = Bench::new(on);
    bench.drive.keys(keys);
    bench
}

#[test]
fn a_question_mark_explains_a_ruling_and_helps_where_there_is_none() {
    for (keys, top) in [
        (format!("{RULED} ?"), "explanation"),
        (format!("{RULED} ? ?"), "help"),
        (format!("{RULED} ? ? ?"), "explanation"),
        (format!("{RULED} ? ? ? Esc"), "walk"),
        (format!("{UNRULED} ?"), "help"),
        (format!("{UNRULED} ? ?"), "walk"),
        // A defect that is being entered is no ruling yet.
        (format!("{RULED} p ?"), "help"),
        ("?".to_owned(), "help"),
    ] {
        let bench = at(On::Site, &keys);
        assert_eq!(bench.drive.top(), top, "{keys}:\n{}", bench.shown());
        assert!(bench.recorded().is_empty());
    }
}

#[test]
fn a_glove_that_strikes_the_question_mark_twice_reads_the_explanation() {
    let mut bench = at(On::Site, RULED);
    bench.drive.hasty("? ?");
    assert_eq!(bench.drive.top(), "explanation");
}

#[test]
fn help_over_an_explanation_lists_the_keys_of_the_walk_too() {
    let bench = at(On::Site, &format!("{RULED} ? ?"));
    let shown = bench.drive.shown(100, 70);
    assert!(shown.contains("Keys: explanation") && shown.contains("Keys: walk"), "{shown}");
    let bench = at(On::Site, &format!("{UNRULED} ?"));
    assert!(!bench.drive.shown(100, 70).contains("Keys: explanation"));
}

#[test]
fn the_footer_says_what_the_question_mark_does() {
    assert!(at(On::Site, RULED).shown().contains(" ? why  Space seen"));
    assert!(at(On::Site, UNRULED).shown().contains(" ? help  Space seen"));
}

#[test]
fn every_built_in_edition_stands_in_the_strip_once_and_the_adopted_one_is_marked() {
    let bench = at(On::Site, &format!("{RULED} ?"));
    let shown = bench.drive.shown(120, 80);
    let strip: Vec<&str> = shown
        .lines()
        .skip_while(|l| !l.contains("How the editions differ"))
        .take_while(|l| !l.contains("Cases"))
        .collect();
    for name in builtin::names() {
        assert_eq!(strip.iter().filter(|l| l.contains(name)).count(), 1, "{name}:\n{shown}");
    }
    assert!(strip.iter().any(|l| l.starts_with(" ▸ nfpa25-2023")), "{shown}");
}

#[test]
fn cases_are_stepped_through_with_the_head_drawn_beside_them() {
    let mut bench = at(On::Site, &format!("{RULED} ?"));
    let own = bench.shown();
    assert!(!own.contains("1 of 6"), "{own}");
    for (key, wanted) in [("Right", "1 of 6, case"), ("Right", "2 of 6, case"), ("Left", "1 of 6, case")] {
        bench.drive.keys(key);
        assert!(bench.shown().contains(wanted), "{key}: {}", bench.shown());
    }
    bench.drive.keys("Right Right Right");
    let near = bench.shown();
    assert!(near.contains("4 of 6, near miss") && near.contains("✓ keep"), "{near}");
    // Behind the last case comes the head itself; before the first, too, and then one is back.
    bench.drive.keys("Right Right Right");
    assert_eq!(bench.shown(), own);
    bench.drive.keys("Right Left");
    assert_eq!(bench.shown(), own);
    bench.drive.keys("Left");
    assert_eq!(bench.drive.top(), "walk");
}

#[test]
fn one_may_scroll_away_from_a_case_and_comes_back_with_the_next() {
    let mut bench = at(On::Site, &format!("{RULED} ? Right"));
    let picked = |b: &Bench| b.drive.shown(80, 24).lines().any(|l| l.starts_with("▸"));
    assert!(picked(&bench));
    bench.drive.keys("Home");
    assert!(!picked(&bench), "{}", bench.drive.shown(80, 24));
    bench.drive.keys("Right");
    assert!(picked(&bench));
}

#[test]
fn rules_that_spoke_are_read_one_after_the_other() {
    let mut bench = at(On::Site, &format!("{RULED} ?"));
    assert!(bench.shown().contains("rule 1 of 2") && bench.shown().contains("Paint on heat element, trace"));
    bench.drive.keys("Tab");
    assert!(bench.shown().contains("rule 2 of 2") && bench.shown().contains("Paint on frame arms, light"));
    bench.drive.keys("Tab");
    assert!(bench.shown().contains("rule 1 of 2"));
    bench.drive.keys("Shift-Tab");
    assert!(bench.shown().contains("rule 2 of 2"));
}

#[test]
fn an_explanation_shows_well_in_every_theme_and_size() {
    let mut pictures = String::new();
    for name in Theme::NAMES {
        let mut bench = Bench::themed(On::Site, Theme::named(name).unwrap());
        bench.drive.keys(&format!("{RULED} ? Tab Right Right"));
        for (columns, rows) in [(80, 24), (60, 20), (140, 40)] {
            pictures.push_str(&format!("=== {columns}x{rows}, {name}\n"));
            pictures.push_str(&bench.drive.styled(columns, rows));
        }
    }
    let mut bench = Bench::ascii(On::Site);
    bench.drive.keys(&format!("{RULED} ? Tab Right Right"));
    pictures.push_str("=== 80x24, ascii\n");
    pictures.push_str(&bench.drive.shown(80, 24));
    insta::assert_snapshot!("explanation_with_a_case", pictures);
}

#[test]
fn the_rules_for_a_kind_are_reached_from_the_overview_and_from_a_heads_menu() {
    for keys in ["Home b 1".to_owned(), "Home b Enter".to_owned(), format!("{RULED} Enter r")] {
        let bench = at(On::Site, &keys);
        assert_eq!(bench.drive.top(), "rule table", "{keys}");
        assert!(bench.shown().contains("Rules for qr-pendent in Packing hall"), "{}", bench.shown());
    }
}

#[test]
fn the_grid_is_walked_with_arrows_and_enter_explains_the_cell() {
    let mut bench = at(On::Site, "Home b 1");
    for (keys, wanted) in [
        ("", "leak on water seal, trace"),
        ("Right", "leak on water seal, light"),
        ("Down", "leak on body and boss, light"),
        ("End", "could not be judged"),
        ("Home Left Left", "leak on water seal, trace"),
        ("Tab", "corrosion on heat element, trace"),
        ("Tab Tab", "fluid loss, trace"),
        ("Shift-Tab", "damage on heat element, trace"),
    ] {
        bench.drive.keys(keys);
        assert!(bench.shown().contains(wanted), "'{keys}' shows no '{wanted}':\n{}", bench.shown());
    }
    for key in ["Enter", "?"] {
        bench.drive.keys(key);
        assert_eq!(bench.drive.top(), "explanation");
        assert!(bench.shown().contains("Damage on heat element, trace"), "{}", bench.shown());
        bench.drive.keys("Esc");
        assert_eq!(bench.drive.top(), "rule table");
    }
    assert!(bench.recorded().is_empty());
}

#[test]
fn a_row_without_the_extent_lends_the_nearest_it_has() {
    // A leak has no extent 'full'; what one stands on is then the heaviest it has.
    let mut bench = at(On::Site, "Home b 1 Tab Right Right Right Home");
    assert!(bench.shown().contains("leak on water seal, heavy"), "{}", bench.shown());
    bench.drive.keys("Tab");
    assert!(bench.shown().contains("corrosion on heat element, full"), "{}", bench.shown());
}

#[test]
fn who_applied_a_finish_is_told_with_nine_as_in_the_walk() {
    let mut bench = at(On::Site, "Home b 1 Tab Tab Tab Tab Tab");
    let paint = |b: &Bench| {
        let shown = b.shown();
        shown.lines().find(|l| l.contains("paint ") && l.contains("element")).unwrap_or("").to_owned()
    };
    assert!(paint(&bench).contains("replace C*"), "{}", bench.shown());
    assert!(bench.shown().contains("* hangs on origin: may be keep or replace"));
    for (told, cell) in
        [("field", "replace C "), ("factory", "keep "), ("unknown", "replace C "), ("not told", "replace C*")]
    {
        bench.drive.keys("9");
        assert!(bench.shown().contains(&format!("finish by: {told} (9)")), "{}", bench.shown());
        assert!(paint(&bench).contains(cell), "{told}: {}", bench.shown());
    }
}

#[test]
fn a_head_that_no_rule_spoke_of_says_so() {
    let bench = at(On::AllSeen, "Home Enter j 1.1 Enter Enter x");
    assert!(bench.shown().contains("no rule has spoken"), "{}", bench.shown());
}

#[test]
fn the_rule_set_of_a_new_site_is_chosen_from_all_there_are() {
    let folder = tempfile::tempdir().unwrap();
    let own = "format: headround rules 1\nname: quay\ntitle: Quay Board rules\nedition: the board's edition\nextends: nfpa25-2023\n";
    std::fs::write(folder.path().join("quay.yaml"), own).unwrap();
    std::fs::write(folder.path().join("broken.yaml"), "format: headround rules 1\n").unwrap();
    let mut bench = Bench::with_rules(On::Nothing, folder.path());
    bench.drive.keys("n Down Down Down");
    for name in builtin::names() {
        let shown: Vec<String> = bench.shown().split_whitespace().map(str::to_owned).collect();
        let shown = shown.join(" ");
        let set = builtin::load(name).unwrap();
        assert!(shown.contains(name), "{shown}");
        assert!(shown.contains(&format!("follows {} (built in)", set.edition)), "{shown}");
        bench.drive.keys("Right");
    }
    assert!(
        bench.shown().contains("broken") && bench.shown().contains("cannot be used as it stands"),
        "{}",
        bench.shown()
    );
    bench.drive.keys("Enter");
    assert!(bench.shown().contains("This rule set cannot be used as it stands; choose another"), "{}", bench.shown());
    bench.drive.keys("q");
    let shown = bench.shown();
    assert!(shown.contains("Quay Board rules; follows the board's edition (your own)"), "{shown}");
}

/// A company's own set, one sign and one stricter ruling more than the 2023 edition has.
const STRICTER: &str = include_str!("fixtures/stricter-rules.yaml");

/// A folder with that set, and one that cannot be used.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("stricter.yaml"), STRICTER).unwrap();
    std::fs::write(folder.path().join("broken.yaml"), "format: headround rules 1\n").unwrap();
    folder
}

#[test]
fn the_heads_that_another_set_rules_otherwise_are_listed_from_what_to_what_and_why() {
    let bench = at(On::Site, "o 1");
    assert_eq!(bench.drive.top(), "other set");
    let shown = bench.shown();
    assert!(
        shown.contains(" nfpa25-2023 → nfpa25-2020\n 1 of 7 listed heads changes: 1 stricter, 0 milder\n"),
        "{shown}"
    );
    assert!(
        shown.contains(
            " ▸dock/1.2      ◔ watch N   → ✗ replace N A little paint on frame or body only (earlier finding)"
        ),
        "{shown}"
    );
    assert!(bench.recorded().is_empty());
    // The record is judged by its own set as before.
    assert_eq!(bench.drive.app().desk().unwrap().state().rules(), "nfpa25-2023");
}

#[test]
fn enter_explains_what_the_other_set_rules_on_the_head() {
    for key in ["Enter", "?"] {
        let mut bench = at(On::Site, &format!("o 1 {key}"));
        assert_eq!(bench.drive.top(), "explanation");
        let shown = bench.shown();
        assert!(shown.contains("dock/1.2  under nfpa25-2020") && shown.contains("✗ replace · noncritical"), "{shown}");
        bench.drive.keys("Esc");
        assert_eq!(bench.drive.top(), "other set");
    }
}

#[test]
fn the_adopted_set_is_not_offered_for_comparison_and_all_others_are() {
    let folder = folder();
    let mut bench = Bench::with_rules(On::Site, folder.path());
    bench.drive.keys("o");
    let shown = bench.shown();
    for name in builtin::names().iter().skip(1).chain(["broken", "stricter"].iter()) {
        assert!(shown.contains(&format!("  {name} ")), "{name}: {shown}");
    }
    assert!(!shown.contains("  nfpa25-2023 "), "{shown}");
    assert!(shown.contains("cannot be used as it stands"), "{shown}");
}

#[test]
fn a_set_that_cannot_be_used_says_why() {
    let folder = folder();
    let mut bench = Bench::with_rules(On::Site, folder.path());
    let own = builtin::names().len();
    bench.drive.keys(&format!("o {own}"));
    assert_eq!(bench.drive.top(), "trouble", "{}", bench.shown());
    bench.drive.keys("Esc");
    assert_eq!(bench.drive.top(), "overview");
}

#[test]
fn what_is_recorded_on_the_way_is_compared_when_one_comes_back() {
    let mut bench = at(On::Site, "o 1 g");
    assert_eq!(bench.drive.top(), "walk");
    bench.drive.keys("z Esc Esc");
    assert_eq!(bench.recorded(), ["dock/1.2 looked at again, gone"]);
    assert_eq!(bench.drive.top(), "other set", "{}", bench.shown());
    assert!(bench.shown().contains("none of 7 listed heads changes"), "{}", bench.shown());
    assert!(bench.shown().contains("No head changes its ruling or its class."), "{}", bench.shown());
}

#[test]
fn another_set_can_be_chosen_from_the_comparison_without_piling_up() {
    let mut bench = at(On::Site, "o 1 o 2");
    assert!(bench.shown().contains("nfpa25-2023 → nfpa25-2017"), "{}", bench.shown());
    bench.drive.keys("Esc");
    assert_eq!(bench.drive.top(), "overview");
}

#[test]
fn entries_in_words_that_the_other_set_does_not_know_are_listed_by_themselves() {
    let folder = folder();
    let moss = r#"--- {"id":"01KB0000000000000000000001","at":"2026-11-25T08:00:00-05:00","by":"ines","round":"2026","begin":{"date":"2026-11-25","inspector":"Ines Tidewell","licence":"PT-118"}}
--- {"id":"01KB0000000000000000000002","at":"2026-11-25T08:10:00-05:00","by":"ines","round":"2026","saw":{"head":"hall/1.3","sign":"moss","part":"frame","extent":"full"}}
"#;
    let text = format!("{}{moss}", REGISTER.replace("rules: nfpa25-2023", "rules: stricter"));
    let mut bench = Bench::of_with_rules(&text, folder.path());
    bench.drive.keys("o 1");
    assert_eq!(bench.drive.top(), "other set", "{}", bench.shown());
    assert!(
        bench.shown().contains("1 of 1 listed head changes: 0 stricter, 0 milder, 1 not judged"),
        "{}",
        bench.shown()
    );
    assert!(bench.shown().contains("hall/1.3      ≈ clean N   → ◎ look"), "{}", bench.shown());
    bench.drive.keys("Shift-Tab");
    let shown = bench.shown();
    assert!(shown.contains("▸not known 1") && shown.contains("'moss' is no sign of the rule set"), "{shown}");
    bench.drive.keys("Tab");
    assert!(bench.shown().contains("▸heads 1"));
    bench.drive.keys("Tab");
    assert!(bench.shown().contains("▸register 0") && bench.shown().contains("is the same under both sets"));
}

#[test]
fn what_first_falls_due_by_age_on_another_day_is_listed_with_the_rows_that_ask() {
    let european = builtin::names().iter().position(|n| *n == "en12845").unwrap();
    let mut bench = at(On::Site, &format!("o {european} Tab Tab"));
    let shown = bench.shown();
    assert!(shown.contains("▸ages "), "{shown}");
    assert!(shown.contains(" ▸hall qr-pendent        23 2014-05-01 test (past) → 2034-05-01 test\n"), "{shown}");
    assert!(shown.contains("made 2009, in service since 2009-05"), "{shown}");
    assert!(!shown.contains(" ? why"), "there is no ruling to explain: {shown}");
    bench.drive.keys("Enter");
    assert_eq!(bench.drive.top(), "other set");
}

#[test]
fn a_finding_of_an_earlier_round_is_explained_before_it_is_answered() {
    let mut bench = at(On::Site, "Home Down Enter j 1.2 Enter");
    assert!(bench.shown().contains(" ? why "), "{}", bench.shown());
    bench.drive.keys("?");
    let shown = bench.shown();
    assert_eq!(bench.drive.top(), "explanation");
    assert!(shown.contains("not answered in this round") && shown.contains("◔ watch · noncritical"), "{shown}");
}

#[test]
fn words_below_a_picture_are_broken_off_with_one_mark_and_a_single_rule_has_no_next_one() {
    for ascii in [false, true] {
        let mut bench = if ascii { Bench::ascii(On::Site) } else { Bench::new(On::Site) };
        let mark = if ascii { "..." } else { "…" };
        bench.drive.keys(&format!("{RULED} ? Right"));
        assert!(bench.shown().contains("rule 1 of 2") && bench.drive.shown(140, 40).contains("next rule"));
        // The grid's cells are explained by as many rules as speak.
        bench.drive.keys("Esc Esc Esc Home b 1");
        let (mut single, mut broken) = (0, 0);
        for _ in 0..24 {
            bench.drive.keys("Down Enter");
            for _ in 0..6 {
                let shown = bench.drive.shown(60, 20);
                for line in shown.lines().map(str::trim_end).filter(|l| l.ends_with(mark)) {
                    broken += 1;
                    let before = line.strip_suffix(mark).unwrap().trim_end();
                    assert!(!before.ends_with([',', '.', ';', ':', '…']), "{line}");
                }
                if !shown.contains("rule 1 of ") {
                    single += 1;
                    assert!(!bench.drive.shown(140, 40).contains("next rule"), "{shown}");
                }
                bench.drive.keys("Right");
            }
            bench.drive.keys("Esc");
        }
        assert!(single > 0 && broken > 0, "{single} {broken}");
    }
}

#[test]
fn a_first_day_that_is_past_is_told_as_such_where_it_has_room() {
    let own = builtin::names().iter().position(|n| *n == "en12845").unwrap();
    let bench = at(On::Site, &format!("o {own} Tab Tab"));
    let wide = bench.drive.shown(140, 40);
    assert!(wide.contains("2014-05-01 test (past)") && !wide.contains("2034-05-01 test (past)"), "{wide}");
    // Narrow, the words below the list say it.
    let narrow = bench.drive.shown(60, 20);
    assert_eq!(narrow.matches("(past)").count(), 1, "{narrow}");
}

#[test]
fn what_the_register_alone_says_of_a_seen_head_stands_on_its_card_and_is_explained() {
    let listed = REGISTER
        .replace("finish: chrome, made: 2009", "finish: chrome, made: 2009, number: QZ0417")
        .replace("areas:\n", "recalled:\n  - {number: QZ0417, made: 2005..2010, why: its bulb cracks}\nareas:\n");
    let round = r#"--- {"id":"01KB0000000000000000000001","at":"2026-11-25T08:00:00-05:00","by":"ines","round":"2026","begin":{"date":"2026-11-25","inspector":"Ines Tidewell"}}
--- {"id":"01KB0000000000000000000002","at":"2026-11-25T08:10:00-05:00","by":"ines","round":"2026","seen":"hall"}
"#;
    let mut bench = Bench::of(&format!("{listed}{round}"));
    bench.drive.keys("Home Enter j 1.3 Enter");
    let card = bench.shown();
    assert!(card.contains("REPLACE · advisory") && card.contains("stand on a list of recalled heads"), "{card}");
    bench.drive.keys("?");
    let shown = bench.shown();
    assert_eq!(bench.drive.top(), "explanation");
    assert!(shown.contains("What the register alone says") && !shown.contains("no rule has spoken"), "{shown}");
    // With a finding that leads, the card still names the register's rule, and it has its page.
    bench.drive.keys("Esc d 3 l");
    let card = bench.shown();
    assert!(card.contains("also    register: The registered number is recalled (replace, advisory"), "{card}");
    bench.drive.keys("? Tab");
    assert!(bench.shown().contains("What the register alone says"), "{}", bench.shown());
}
