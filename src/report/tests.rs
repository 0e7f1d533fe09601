//! What every rendering of a summary promises: the same facts, no promise about the system, and no markup from what
//! people typed.

use chrono::NaiveDate;

use super::sample_tests::{draft, signed};
use super::summary::Summary;
use super::{markdown, sheets, text};

fn on() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, 26).expect("a day")
}

#[test]
fn a_signed_round_as_text() {
    insta::assert_snapshot!(text::render(&Summary::of(&signed(), on()), text::Layout::default()));
}

#[test]
fn a_draft_as_text() {
    insta::assert_snapshot!(text::render(&Summary::of(&draft(), on()), text::Layout::default()));
}

#[test]
fn a_signed_round_as_markdown() {
    insta::assert_snapshot!(markdown::render(&Summary::of(&signed(), on())));
}

#[test]
fn walk_sheets_of_all_areas() {
    let paper = sheets::Paper { form_feed: false, ..sheets::Paper::default() };
    insta::assert_snapshot!(sheets::render(&draft(), &[], on(), paper));
}
