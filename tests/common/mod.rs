//! A site for tests of the terminal, and an app standing in its overview.

use std::path::PathBuf;

use headround::tui::app::Setting;
use headround::tui::drive::{Drive, TestClock, setting};
use headround::tui::glyphs::Glyphs;
use headround::tui::screens::help::Help;
use headround::tui::screens::opening::Opening;
use headround::tui::screens::overview::Overview;
use headround::tui::screens::trouble::Trouble;
use headround::tui::theme::Theme;

/// Kinds and areas; the first area has 100 heads on 10 lines.
pub const REGISTER: &str = "\
format: headround site 1
site: {id: 01KAVQ5R8Z0000000000000000, name: Marram Quay Cannery, where: \"4 Saltpan Lane, Port Tarrow\", rules: nfpa25-2023, units: us}
kinds:
  qr-pendent: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome, made: 2009}
  int-upright: {orientation: upright, response: standard, element: link, rating: 200 F, k: 5.6, finish: brass, made: 1988}
  plate: {orientation: pendent, mount: concealed, response: quick, element: link, rating: 165 F, k: 5.6, finish: white}
areas:
  hall:
    name: Packing hall
    in_service: 2009-05
    setting: [damp, salt]
    ceiling_max: 100 F
    lines: [10 qr-pendent, '4 qr-pendent, 1 int-upright, 5 qr-pendent', 10 qr-pendent, 10 qr-pendent, 10 qr-pendent, 10 qr-pendent, 10 qr-pendent, 10 qr-pendent, 10 qr-pendent, 10 qr-pendent]
  dock:
    name: Dock
    lines: ['2 int-upright, 2 gap, 3 int-upright', 4 int-upright]
  office:
    name: Offices
    lines: [6 plate]
";

/// An earlier round by another inspector: it left findings on two heads of the dock, one of them said to be mended.
pub const EARLIER: &str = "\
--- {\"id\":\"01JDG0000000000000000000A1\",\"at\":\"2024-11-20T09:00:00-05:00\",\"by\":\"osk\",\"round\":\"2024\",\"begin\":{\"date\":\"2024-11-20\",\"inspector\":\"Osk Brannagh-Fell\",\"licence\":\"PT-090\",\"purpose\":\"annual inspection\"}}
--- {\"id\":\"01JDG0000000000000000000A2\",\"at\":\"2024-11-20T09:05:00-05:00\",\"by\":\"osk\",\"round\":\"2024\",\"saw\":{\"head\":\"dock/1.2\",\"sign\":\"paint\",\"part\":\"frame\",\"extent\":\"light\",\"applied\":\"field\"}}
--- {\"id\":\"01JDG0000000000000000000A3\",\"at\":\"2024-11-20T09:06:00-05:00\",\"by\":\"osk\",\"round\":\"2024\",\"saw\":{\"head\":\"dock/2.3\",\"sign\":\"loading\",\"part\":\"whole\",\"extent\":\"heavy\"}}
--- {\"id\":\"01KAF0000000000000000000B1\",\"at\":\"2025-11-19T09:00:00-05:00\",\"by\":\"osk\",\"round\":\"2025\",\"begin\":{\"date\":\"2025-11-19\",\"inspector\":\"Osk Brannagh-Fell\",\"licence\":\"PT-090\",\"purpose\":\"annual inspection\"}}
--- {\"id\":\"01KAF0000000000000000000B2\",\"at\":\"2025-11-19T09:05:00-05:00\",\"by\":\"osk\",\"round\":\"2025\",\"saw\":{\"head\":\"dock/1.2\",\"sign\":\"paint\",\"part\":\"frame\",\"extent\":\"light\",\"applied\":\"field\",\"of\":\"01JDG0000000000000000000A2\"}}
--- {\"id\":\"01KAF0000000000000000000B3\",\"at\":\"2025-11-19T09:06:00-05:00\",\"by\":\"osk\",\"round\":\"2025\",\"saw\":{\"head\":\"dock/2.3\",\"sign\":\"loading\",\"part\":\"whole\",\"extent\":\"heavy\",\"of\":\"01JDG0000000000000000000A3\"}}
--- {\"id\":\"01KAF0000000000000000000B4\",\"at\":\"2025-11-20T15:00:00-05:00\",\"by\":\"osk\",\"round\":\"2025\",\"did\":{\"head\":\"dock/2.3\",\"did\":\"cleaned\"}}
";

/// The round that is being walked.
pub const BEGUN: &str = "\
--- {\"id\":\"01KB0000000000000000000001\",\"at\":\"2025-11-26T08:00:00-05:00\",\"by\":\"ines\",\"round\":\"2025-b\",\"begin\":{\"date\":\"2025-11-26\",\"inspector\":\"Ines Tidewell\",\"licence\":\"PT-118\",\"purpose\":\"annual inspection\"}}
";

/// The setting with the program's own screens.
pub fn with_screens(setting: Setting) -> Setting {
    Setting {
        opening: Opening::boxed,
        overview: Overview::boxed,
        help: Help::boxed,
        trouble: Trouble::boxed,
        ..setting
    }
}

/// A site file in a folder of its own, and the app that has it open.
pub struct Site {
    _folder: tempfile::TempDir,
    /// The file.
    pub path: PathBuf,
    /// The app, standing in its first screen with a site.
    pub drive: Drive,
    /// How many entries there were before the first key.
    before: usize,
    /// How many keys were struck before that.
    struck: usize,
}

impl Site {
    /// The site with both earlier rounds and a round begun.
    pub fn new() -> Self {
        Self::of(&format!("{REGISTER}{EARLIER}{BEGUN}"), |s| s)
    }

    /// The same without colour and in ASCII.
    pub fn plain() -> Self {
        let plain = |s| Setting { theme: Theme::mono(), glyphs: Glyphs::ascii(), ..s };
        Self::of(&format!("{REGISTER}{EARLIER}{BEGUN}"), plain)
    }

    /// A site of that text.
    pub fn of(text: &str, change: impl FnOnce(Setting) -> Setting) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("quay.site.yaml");
        std::fs::write(&path, text).unwrap();
        let clock = TestClock::at("2025-11-26T09:00:00-05:00");
        let setting = change(with_screens(setting(&clock)));
        let mut drive = Drive::on(&path, setting, clock);
        // What was noticed on opening is read and left.
        while drive.top() == "trouble" {
            drive.keys("Esc");
        }
        assert_ne!(drive.top(), "opening", "{}", drive.shown(100, 30));
        let (before, struck) = (drive.entries().len(), drive.struck());
        Self { _folder: folder, path, drive, before, struck }
    }

    /// How many keys were struck since the overview stood there.
    pub fn struck(&self) -> usize {
        self.drive.struck() - self.struck
    }

    /// What was recorded since the site was opened, in words; nothing once it is closed.
    pub fn recorded(&self) -> Vec<String> {
        self.drive.entries().into_iter().skip(self.before).collect()
    }
}
