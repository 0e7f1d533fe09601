//! The terminal: screens, keys, themes and pictures. Only this room names ratatui.

pub mod app;
pub mod ask;
pub mod chrome;
pub mod drive;
pub mod glyphs;
pub mod keys;
pub mod picture;
pub mod plain;
pub mod plan;
pub mod run;
pub mod samples;
pub mod screen;
pub mod screens;
pub mod snap;
pub mod spares;
pub mod text;
pub mod theme;
