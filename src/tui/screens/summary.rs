//! The summary's place, until the report is here.
use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use crate::tui::keys::{Key, KeyLine};
use crate::tui::screen::{Effect, Input, Screen, View};

pub struct SummaryReader;

impl SummaryReader {
    pub fn boxed(_: &View<'_>) -> Box<dyn Screen> {
        Box::new(Self)
    }
}

impl Screen for SummaryReader {
    fn name(&self) -> &'static str {
        "summary"
    }
    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        Vec::new()
    }
    fn update(&mut self, input: &Input, _: &View<'_>) -> Vec<Effect> {
        if *input == Input::Key(Key::Esc) { vec![Effect::Pop] } else { Vec::new() }
    }
    fn draw(&self, _: &View<'_>, _: Rect, _: &mut Buffer) -> Option<Position> {
        None
    }
}
