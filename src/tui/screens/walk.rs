//! The walk's place, until its screen is here.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use crate::tui::keys::{Key, KeyLine};
use crate::tui::screen::{Effect, Input, Screen, View};

pub struct Walk;

impl Walk {
    pub fn open(_: &View<'_>, _: u16) -> Box<dyn Screen> {
        Box::new(Self)
    }
}

impl Screen for Walk {
    fn name(&self) -> &'static str {
        "walk"
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
