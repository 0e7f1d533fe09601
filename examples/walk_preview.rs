//! Walks a site file in the terminal without the program around it: `cargo run --example walk_preview -- FILE`. Without
//! a file it makes the tests' site in a temporary folder.

use chrono::{DateTime, FixedOffset, Local};
use headround::record::desk::Clock;
use headround::tui::app::{App, Setting};
use headround::tui::drive::{TestClock, setting};
use headround::tui::glyphs::Glyphs;
use headround::tui::theme::Theme;

#[path = "../tests/common/mod.rs"]
#[allow(dead_code, clippy::unwrap_used, clippy::expect_used)]
mod common;

struct Wall;

impl Clock for Wall {
    fn now(&self) -> DateTime<FixedOffset> {
        Local::now().fixed_offset()
    }

    fn random(&self) -> u128 {
        Local::now().timestamp_nanos_opt().map_or(0, i64::unsigned_abs).into()
    }
}

fn main() -> std::io::Result<()> {
    let mut arguments = std::env::args().skip(1);
    let folder = tempfile::tempdir()?;
    let path = match arguments.next() {
        Some(path) if path != "-" => path.into(),
        _ => {
            let path = folder.path().join("quay.site.yaml");
            std::fs::write(&path, format!("{}{}{}", common::REGISTER, common::EARLIER, common::BEGUN))?;
            path
        }
    };
    let theme = arguments.next().and_then(|name| Theme::named(&name)).unwrap_or_else(Theme::terminal);
    let glyphs = if arguments.next().is_some() { Glyphs::ascii() } else { Glyphs::unicode() };
    let plain = setting(&TestClock::at(""));
    let mut app = App::new(Setting { clock: Box::new(Wall), theme, glyphs, ..common::with_screens(plain) });
    app.open(&path);
    headround::tui::run::run(&mut app)
}
