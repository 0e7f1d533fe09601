//! The plan at every size, scrolled to every corner, and what it asks for.

use super::*;
use crate::tui::snap::styled;
use std::cell::RefCell;
use std::collections::BTreeSet;

const ALL: [CellState; 17] = [
    CellState::Unseen,
    CellState::Condemned,
    CellState::Seen,
    CellState::Ruled(Ruling::Keep),
    CellState::Ruled(Ruling::Watch),
    CellState::Ruled(Ruling::Look),
    CellState::Ruled(Ruling::Clean),
    CellState::Ruled(Ruling::Correct),
    CellState::Ruled(Ruling::Test),
    CellState::Ruled(Ruling::Replace),
    CellState::Advisory,
    CellState::Unreached,
    CellState::Unsure,
    CellState::Carried,
    CellState::Disagreement,
    CellState::Gap,
    CellState::Removed,
];

/// A hall whose lines differ in length: line `n` has `places - n % 3` places.
fn hall(lines: usize, places: usize) -> impl Fn(usize, usize) -> Option<CellState> {
    move |line, place| {
        let len = places - (line % 3).min(places);
        (line < lines && place < len).then(|| ALL[(line * 7 + place) % ALL.len()])
    }
}

fn drawn(lines: usize, places: usize, cursor: (usize, usize), width: u16, height: u16) -> (String, Option<Position>) {
    let cell = hall(lines, places);
    let mut buf = Buffer::empty(Rect::new(0, 0, width, height));
    let plan = Plan { lines, places, cell: &cell, cursor, theme: Theme::mono(), glyphs: Glyphs::ascii() };
    let at = plan.draw(buf.area, &mut buf);
    (styled(&buf), at)
}

#[test]
fn states_differ_with_all_styles_stripped_and_carry_the_legends_word() {
    for glyphs in [Glyphs::unicode(), Glyphs::ascii()] {
        let seen: BTreeSet<_> = ALL.iter().map(|s| s.glyph(glyphs)).collect();
        assert_eq!(seen.len(), ALL.len());
        for state in ALL {
            assert!(glyphs.states().contains(&(state.word(), state.glyph(glyphs))), "{state:?}");
        }
    }
}

#[test]
fn every_size_is_drawn_and_stays_inside_its_area() {
    for (lines, places) in [(0, 0), (1, 0), (1, 1), (6, 12), (2000, 500)] {
        let cell = hall(lines, places);
        for cursor in [(0, 0), (lines / 2, places / 2), (lines, places), (usize::MAX, usize::MAX)] {
            for width in 0..=40 {
                for height in 0..=12 {
                    for glyphs in [Glyphs::unicode(), Glyphs::ascii()] {
                        let mut buf = Buffer::empty(Rect::new(0, 0, width + 2, height + 2));
                        let area = Rect::new(1, 1, width, height);
                        let plan = Plan { lines, places, cell: &cell, cursor, theme: Theme::terminal(), glyphs };
                        plan.draw(area, &mut buf);
                        for y in 0..buf.area.height {
                            for x in 0..buf.area.width {
                                let outside = !area.contains(Position::new(x, y));
                                assert!(!outside || buf[(x, y)].symbol() == " ", "{width}x{height} at {x},{y}");
                            }
                        }
                    }
                }
            }
        }
    }
}

#[test]
fn an_area_larger_than_the_buffer_is_clipped() {
    let cell = hall(6, 12);
    let mut buf = Buffer::empty(Rect::new(0, 0, 10, 4));
    let glyphs = Glyphs::ascii();
    let plan = Plan { lines: 6, places: 12, cell: &cell, cursor: (0, 0), theme: Theme::mono(), glyphs };
    plan.draw(Rect::new(5, 2, 90, 90), &mut buf);
    plan.draw(Rect::new(50, 50, 9, 9), &mut buf);
}

#[test]
fn the_cursor_is_always_visible_where_a_cell_fits() {
    for (line, place) in [(0, 0), (999, 250), (1999, 496), (1000, 0), (3, 499)] {
        for (width, height) in [(1, 1), (2, 1), (3, 2), (11, 3), (40, 12), (80, 24)] {
            let (_, at) = drawn(2000, 500, (line, place), width, height);
            assert_eq!(at.is_some(), width > 1, "{line}.{place} at {width}x{height}");
        }
    }
}

#[test]
fn only_visible_cells_and_their_neighbours_are_asked() {
    let asked = RefCell::new(BTreeSet::new());
    let inner = hall(2000, 500);
    let cell = |line, place| {
        asked.borrow_mut().insert((line, place));
        inner(line, place)
    };
    let mut buf = Buffer::empty(Rect::new(0, 0, 40, 12));
    let glyphs = Glyphs::ascii();
    let plan = Plan { lines: 2000, places: 500, cell: &cell, cursor: (1000, 250), theme: Theme::mono(), glyphs };
    plan.draw(buf.area, &mut buf);
    assert!(asked.borrow().len() <= 40 * 12, "{}", asked.borrow().len());
}

#[test]
fn a_small_hall_shows_whole_with_numbers_and_a_bracketed_cursor() {
    insta::assert_snapshot!(drawn(5, 12, (2, 4), 34, 7).0);
}

#[test]
fn a_long_hall_is_narrow_and_marks_what_is_cut() {
    insta::assert_snapshot!(drawn(2000, 500, (1000, 250), 40, 6).0);
}

#[test]
fn the_ends_of_a_long_hall_show_no_marks_beyond_them() {
    insta::assert_snapshot!(drawn(2000, 500, (0, 0), 30, 4).0);
    insta::assert_snapshot!(drawn(2000, 500, (1999, 498), 30, 4).0);
}
