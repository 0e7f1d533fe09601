//! What holds for any data, any size and any text.

use proptest::prelude::*;
use unicode_width::UnicodeWidthStr as _;

use super::samples;
use crate::report::plot::{
    Data, DueRow, FirePoint, Glyphs, Ink, Marked, OddsCurve, Operated, Plot, SurvivalCurve, SurvivalStep, SvgSize,
    Weight, due_timeline, fire_size, odds_curve, operating_times, survival, svg, table, text,
};

fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        6 => 0.0..200.0_f64,
        1 => prop_oneof![Just(f64::NAN), Just(f64::INFINITY), Just(f64::NEG_INFINITY), Just(0.0), Just(-3.0), Just(1e300), Just(1e-300)],
    ]
}

fn words() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => "[a-z/.0-9 ]{0,24}",
        1 => Just("喷头喷头 – “quick” & <b>\"bold\"</b>".to_owned()),
        1 => Just("a\u{1b}[2Jb\u{7}\u{202e}c\u{0}\u{fffe}\n\td".to_owned()),
        1 => any::<String>(),
    ]
}

fn weight() -> impl Strategy<Value = Weight> {
    prop_oneof![Just(Weight::Plain), Just(Weight::Good), Just(Weight::Watch), Just(Weight::Bad)]
}

fn operated() -> impl Strategy<Value = Operated> {
    let maybe = || proptest::option::of(number());
    (words(), maybe(), maybe(), maybe(), maybe(), maybe(), words(), weight()).prop_map(
        |(label, element_s, cleared_s, watched_s, earliest_s, latest_s, outcome, weight)| Operated {
            label,
            element_s,
            cleared_s,
            watched_s,
            earliest_s,
            latest_s,
            outcome,
            weight,
        },
    )
}

fn marked() -> impl Strategy<Value = Marked> {
    (number(), number(), words()).prop_map(|(x, y, label)| Marked { x, y, label })
}

fn day() -> impl Strategy<Value = chrono::NaiveDate> {
    (-4000_i64..4000).prop_map(|n| samples::day("2026-11-28") + chrono::Duration::days(n))
}

fn plot() -> impl Strategy<Value = Plot> {
    let step = (number(), 0..50_u32, 0..3_u32, 0..3_u32, number(), proptest::option::of((number(), number())));
    let step = step.prop_map(|(at_s, at_risk, opened, censored, shut, band)| SurvivalStep {
        at_s,
        at_risk,
        opened,
        censored,
        shut: shut / 200.0,
        band,
    });
    let curve = (words(), proptest::collection::vec(step, 0..8), proptest::option::of(number()))
        .prop_map(|(name, steps, median_s)| SurvivalCurve { name, steps, median_s });
    let odds = (words(), proptest::collection::vec((number(), 0.0..1.0_f64), 0..9))
        .prop_map(|(name, points)| OddsCurve { name, points });
    let due = (day(), any::<bool>(), words(), any::<usize>(), words())
        .prop_map(|(date, assumed, label, heads, what)| DueRow { date, assumed, label, heads, what });
    let fire = (number(), number(), number()).prop_map(|(rti, opens_s, kw)| FirePoint { rti, opens_s, kw });
    prop_oneof![
        (words(), proptest::collection::vec(operated(), 0..40)).prop_map(|(t, h)| operating_times(&t, &h)),
        (words(), proptest::collection::vec(curve, 0..7)).prop_map(|(t, c)| survival(&t, &c)),
        (words(), any::<u32>(), proptest::collection::vec(odds, 0..4), proptest::collection::vec(marked(), 0..4))
            .prop_map(|(t, n, c, m)| odds_curve(&t, n, &c, &m)),
        (words(), proptest::collection::vec(due, 0..30), day(), day())
            .prop_map(|(t, r, a, b)| due_timeline(&t, &r, a, b)),
        (
            words(),
            proptest::collection::vec(fire, 0..9),
            words(),
            number(),
            number(),
            proptest::collection::vec(marked(), 0..4)
        )
            .prop_map(|(t, p, w, a, b, m)| fire_size(&t, &p, &[(a, b, &w)], &m)),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 300, ..ProptestConfig::default() })]

    #[test]
    fn a_terminal_plot_keeps_to_its_size_whatever_it_shows(plot in plot(), columns in 0..170_usize, rows in 0..60_usize, ascii: bool) {
        let glyphs = if ascii { Glyphs::Ascii } else { Glyphs::Unicode };
        let drawn = text(&plot, columns, rows, glyphs);
        prop_assert!(drawn.rows.len() <= rows);
        for (cells, line) in drawn.rows.iter().zip(drawn.lines()) {
            prop_assert_eq!(cells.len(), columns);
            prop_assert!(line.width() <= columns, "{}", line);
            prop_assert!(!ascii || line.is_ascii(), "{}", line);
            prop_assert!(!line.chars().any(char::is_control), "{}", line);
        }
        let runs: Vec<String> = drawn.runs().iter().map(|r| r.iter().map(|(t, _)| t.as_str()).collect::<String>()).collect();
        prop_assert_eq!(runs.iter().map(|l| l.trim_end()).collect::<Vec<_>>(), drawn.lines());
    }

    #[test]
    fn every_picture_is_the_same_twice_and_holds_no_number_that_is_none(plot in plot(), width in 0..5000_u32, height in 0..5000_u32) {
        let size = SvgSize { width, height };
        let picture = svg(&plot, &size);
        prop_assert_eq!(&picture, &svg(&plot, &size));
        let markup: String = picture.lines().filter(|l| !l.contains("</text>") && !l.contains("<desc>") && !l.contains("title")).collect();
        prop_assert!(!markup.contains("NaN") && !markup.contains("inf"), "{}", markup);
        let controls = picture.chars().filter(|c| c.is_control() && *c != '\n').count();
        prop_assert_eq!(controls, 0);
        let told = table(&plot);
        prop_assert!(!told.chars().any(|c| c.is_control() && c != '\n'));
    }

    #[test]
    fn what_happened_to_a_head_is_drawn_in_its_own_row(heads in proptest::collection::vec((31.0..140.0_f64, any::<bool>()), 1..60), rows in 8..40_usize) {
        let list: Vec<Operated> = heads.iter().enumerate().map(|(n, (s, opened))| {
            let (outcome, weight) = if *opened { ("opened in time", Weight::Good) } else { ("held", Weight::Bad) };
            samples::head(&format!("hall/{n}"), Some(*s), opened.then_some(*s), outcome, weight)
        }).collect();
        let lines = text(&operating_times("Times", &list), 80, rows, Glyphs::Ascii).lines();
        let mut told = 0;
        for (n, (_, opened)) in heads.iter().enumerate() {
            let label = format!("hall/{n} ");
            let Some(line) = lines.iter().find(|l| l.starts_with(&label)) else { continue };
            told += 1;
            prop_assert!(line.ends_with(if *opened { "opened in time" } else { "held" }), "{}", line);
            prop_assert_eq!(line.contains('>'), !opened, "{}", line);
            prop_assert_eq!(line.contains('*'), *opened, "{}", line);
        }
        let more = lines.iter().find_map(|l| l.split_once(" more")).map_or(0, |(n, _)| n.trim().parse::<usize>().unwrap());
        prop_assert_eq!(told + more, heads.len());
    }

    #[test]
    fn bad_heads_are_the_last_to_be_drawn_over_one_another(bad in proptest::collection::btree_set(0..60_usize, 1..4), rows in 14..30_usize) {
        let list: Vec<Operated> = (0..60).map(|n| {
            let held = bad.contains(&n);
            let (outcome, weight) = if held { ("held", Weight::Bad) } else { ("opened in time", Weight::Good) };
            samples::head(&format!("hall/{n}"), Some(40.0), (!held).then_some(41.0), outcome, weight)
        }).collect();
        let lines = text(&operating_times("Times", &list), 80, rows, Glyphs::Unicode).lines();
        for n in bad {
            let label = format!("hall/{n} ");
            prop_assert!(lines.iter().any(|l| l.starts_with(&label) && l.ends_with("held")), "{:#?}", lines);
        }
    }

    #[test]
    fn no_note_is_lost(plot in plot(), rows in 8..40_usize) {
        let drawn = text(&plot, 200, rows, Glyphs::Unicode);
        let lines = drawn.lines();
        for note in &plot.note {
            let start: String = note.chars().take(20).collect();
            let told = lines.iter().any(|l| l.contains(&start)) || drawn.left_out.contains(note);
            prop_assert!(told, "{}: {:#?}", note, drawn);
        }
    }

    #[test]
    fn a_curve_falls_where_its_numbers_fall(falls in proptest::collection::vec(5.0..95.0_f64, 2..6), columns in 60..140_usize) {
        // The staircase is read back from its signs: the share of columns before the first corner is the share of time.
        let mut times = falls.clone();
        times.sort_by(f64::total_cmp);
        let curve = samples::curve("all", &times.iter().map(|t| (*t, true)).collect::<Vec<_>>(), false);
        let plot = survival("Fall", &[curve]);
        let cells = text(&plot, columns, 24, Glyphs::Unicode).rows;
        let top = cells.iter().find(|r| r.iter().any(|c| c.glyph == "┤")).unwrap();
        let left = top.iter().position(|c| c.glyph == "┤").unwrap() + 1;
        let corner = top.iter().position(|c| c.glyph == "┐").unwrap_or(0);
        let wide = columns - left - 1;
        let told = (corner as f64 - left as f64) / (wide as f64 - 1.0) * plot.x.to;
        let column = plot.x.to / (wide as f64 - 1.0);
        prop_assert!((told - times[0]).abs() <= column * 1.01, "{} for {}", told, times[0]);
    }
}

#[test]
fn hostile_text_is_told_as_text() {
    let plot = operating_times(
        "<script>alert(1)</script>",
        &[samples::head("a&b\"c\u{1b}[2J", Some(1.0), Some(2.0), "]]>", Weight::Plain)],
    );
    let picture = svg(&plot, &SvgSize::of(&plot));
    assert!(!picture.contains("<script") && !picture.contains('\u{1b}'));
    assert!(picture.contains("&lt;script&gt;alert(1)&lt;/script&gt;") && picture.contains("a&amp;b&quot;c\u{FFFD}[2J"));
    assert!(!table(&plot).contains('\u{1b}'));
}

#[test]
fn a_picture_asks_for_nothing_from_outside() {
    for (name, plot) in samples::all() {
        let picture = svg(&plot, &SvgSize::of(&plot));
        for word in
            ["href", "url(", "<script", "<style", "@font-face", "<image", "<foreignObject", "<!DOCTYPE", "<!ENTITY"]
        {
            assert!(!picture.contains(word), "{name}: {word}");
        }
        assert_eq!(picture.matches("http").count(), 1, "{name}: only the name of the language");
        assert!(picture.contains("<title>") && picture.contains("<desc>"), "{name}");
    }
}

#[test]
fn the_fire_plot_always_says_that_it_is_no_design() {
    let plot = samples::fire();
    let smallest = text(&plot, 60, 16, Glyphs::Unicode);
    assert!(smallest.lines().join(" ").contains("not a design"));
    assert!(svg(&plot, &SvgSize::of(&plot)).contains("not a design"));
    assert!(table(&plot).contains("not a design"));
}

#[test]
fn a_head_without_any_time_still_has_its_row_and_its_word() {
    let mut none = samples::head("pack/1.1", None, None, "void", Weight::Watch);
    none.watched_s = None;
    none.earliest_s = None;
    none.latest_s = None;
    let plot = operating_times("Void", &[none]);
    assert!(plot.series.iter().all(|s| !matches!(&s.data, Data::Points(..))), "{plot:?}");
    assert!(
        text(&plot, 60, 16, Glyphs::Ascii).lines().iter().any(|l| l.starts_with("pack/1.1") && l.ends_with("void"))
    );
}

#[test]
fn inks_of_a_terminal_plot_tell_what_cells_stand_for() {
    let grid = text(&samples::times(), 80, 20, Glyphs::Unicode);
    let all: Vec<(String, Ink)> = grid.runs().concat();
    assert!(all.iter().any(|(t, ink)| t == "held" && *ink == Ink::Bad));
    assert!(all.iter().any(|(t, ink)| t == "latest 138.6 s" && *ink == Ink::Limit));
    assert!(all.iter().any(|(t, ink)| t.contains('●') && *ink == Ink::Series(1)));
}
