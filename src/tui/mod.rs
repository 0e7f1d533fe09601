//! The terminal: screens, keys, themes and pictures. Only this room names ratatui.

pub mod glyphs;
pub mod picture;
pub mod plan;
pub mod snap;
pub mod text;
pub mod theme;
