//! A site in which everything occurs that the screens show, and ways to every screen.
#![allow(dead_code, reason = "each test file uses its own part")]
#![allow(clippy::unwrap_used, reason = "tests")]

use std::path::PathBuf;

use headround::tui::app::Setting;
use headround::tui::drive::{Drive, TestClock, setting};
use headround::tui::glyphs::Glyphs;
use headround::tui::screens::{help, opening, overview, trouble};
use headround::tui::theme::Theme;

/// Three kinds, four areas.
pub const REGISTER: &str = "\
format: headround site 1
site:
  id: 01KAVQ5R8Z0000000000000000
  name: Marram Quay Cannery
  where: 4 Saltpan Lane, Port Tarrow
  rules: nfpa25-2023
  units: us
  tell:
    - Works safety manager
    - Fire service control room
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
    lines: [8 qr-pendent, 8 qr-pendent, 8 qr-pendent]
  dock:
    name: Loading dock
    lines: ['2 int-upright, 2 gap, 3 int-upright', 4 int-upright]
  office:
    name: Offices and staff rooms above the canteen
    lines: [6 plate]
  boiler:
    name: Boiler house
    lines: [4 int-upright]
";

/// Two earlier rounds: they left findings on two heads of the dock, one of them said to be mended.
const EARLIER: &str = r#"
--- {"id":"01JDG0000000000000000000A1","at":"2024-11-20T09:00:00-05:00","by":"osk","round":"2024","begin":{"date":"2024-11-20","inspector":"Osk Brannagh-Fell","licence":"PT-090","purpose":"annual inspection"}}
--- {"id":"01JDG0000000000000000000A2","at":"2024-11-20T09:05:00-05:00","by":"osk","round":"2024","saw":{"head":"dock/1.2","sign":"paint","part":"frame","extent":"light","applied":"field"}}
--- {"id":"01KAF0000000000000000000B1","at":"2025-11-19T09:00:00-05:00","by":"osk","round":"2025","begin":{"date":"2025-11-19","inspector":"Osk Brannagh-Fell","licence":"PT-090","purpose":"annual inspection"}}
--- {"id":"01KAF0000000000000000000B2","at":"2025-11-19T09:05:00-05:00","by":"osk","round":"2025","saw":{"head":"dock/1.2","sign":"paint","part":"frame","extent":"light","applied":"field","of":"01JDG0000000000000000000A2"}}
--- {"id":"01KAF0000000000000000000B3","at":"2025-11-19T09:06:00-05:00","by":"osk","round":"2025","saw":{"head":"dock/2.3","sign":"loading","part":"deflector","extent":"light"}}
--- {"id":"01KAF0000000000000000000B4","at":"2025-11-20T15:00:00-05:00","by":"osk","round":"2025","did":{"head":"dock/2.3","did":"cleaned"}}
"#;

/// The round that is being walked: an impairment, a doubtful finding, a disagreement, heads not judged, heads not
/// reached, a head replaced, a notice given.
const NOW: &str = r#"
--- {"id":"01KB0000000000000000000001","at":"2026-11-25T08:00:00-05:00","by":"ines","round":"2026","begin":{"date":"2026-11-25","inspector":"Ines Tidewell","licence":"PT-118","purpose":"annual inspection"}}
--- {"id":"01KB0000000000000000000002","at":"2026-11-25T08:01:00-05:00","by":"osk","round":"2026","begin":{"date":"2026-11-25","inspector":"Osk Brannagh-Fell","licence":"PT-090"}}
--- {"id":"01KB0000000000000000000003","at":"2026-11-25T08:10:00-05:00","by":"ines","round":"2026","seen":"hall/1.1..1.8"}
--- {"id":"01KB0000000000000000000004","at":"2026-11-25T08:12:00-05:00","by":"ines","round":"2026","saw":{"head":"hall/1.3","sign":"paint","part":"element","extent":"trace","applied":"field"}}
--- {"id":"01KB0000000000000000000005","at":"2026-11-25T08:13:00-05:00","by":"ines","round":"2026","saw":{"head":"hall/2.2","sign":"fluid-loss","part":"element","extent":"full","how":"binoculars","note":"bubble far too large"}}
--- {"id":"01KB0000000000000000000006","at":"2026-11-25T08:14:00-05:00","by":"ines","round":"2026","saw":{"head":"hall/2.5","sign":"corrosion","part":"deflector","extent":"light","doubtful":true}}
--- {"id":"01KB0000000000000000000007","at":"2026-11-25T08:15:00-05:00","by":"ines","round":"2026","unsure":{"head":"hall/2.7","why":"too-far"}}
--- {"id":"01KB0000000000000000000008","at":"2026-11-25T08:16:00-05:00","by":"ines","round":"2026","unreached":{"heads":"office","why":"locked","denied_by":"wages office"}}
--- {"id":"01KB0000000000000000000009","at":"2026-11-25T08:20:00-05:00","by":"osk","round":"2026","saw":{"head":"hall/1.3","sign":"paint","part":"frame","extent":"light","applied":"field","how":"lift"}}
--- {"id":"01KB000000000000000000000A","at":"2026-11-25T08:22:00-05:00","by":"ines","round":"2026","saw":{"head":"hall/2.8","sign":"damage","part":"deflector","extent":"light"}}
--- {"id":"01KB000000000000000000000B","at":"2026-11-25T08:25:00-05:00","by":"ines","round":"2026","did":{"head":"hall/2.8","did":"replaced","kind":"qr-pendent"}}
--- {"id":"01KB000000000000000000000C","at":"2026-11-25T08:30:00-05:00","by":"ines","round":"2026","notice":{"told":"Works safety manager","how":"phone","note":"starts the procedure"}}
--- {"id":"01KB000000000000000000000D","at":"2026-11-25T08:40:00-05:00","by":"ines","round":"2026","seen":"boiler"}
"#;

/// Cabinets: one with a list, counted in the round before and out of step now; one that nobody has counted. A kind that is
/// old, one that points the wrong way, one that may go in on grounds, one that somebody must decide on.
const CABINETS: &str = "  qr-24: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome, made: 2024, thread: 1/2 NPT, wrench: small}
  qr-white: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: white, made: 2023, wrench: small}
  qr-upright: {orientation: upright, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: brass, made: 2022}
  qr-wax: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: wax, made: 2022}
  old-wall: {orientation: sidewall, response: standard, element: link, rating: 165 F, k: 8.0, finish: brass, made: 1970}
";

const SERVED: &str = "\
cabinets:
  riser:
    name: Valve room cabinet
    place: Valve room, beside the riser
    serves: [hall, dock, boiler]
    keep: {qr-pendent: 6, int-upright: 2}
  annex:
    name: Office cabinet
    serves: [office]
";

/// Spares in the rounds before and now.
const SPARES_EARLIER: &str = r#"
--- {"id":"01KAF0000000000000000000C1","at":"2025-11-20T15:10:00-05:00","by":"osk","round":"2025","counted":{"cabinet":"riser","held":{"qr-pendent":6,"qr-24":2,"int-upright":2,"qr-white":1,"qr-upright":1,"qr-wax":1,"old-wall":2}}}
--- {"id":"01KAF0000000000000000000C2","at":"2025-11-20T15:12:00-05:00","by":"osk","round":"2025","checked":{"cabinet":"riser","wrenches":{"":true},"list":"right","warmest":"95 F","dry":true,"place":true}}
"#;

const SPARES_NOW: &str = r#"
--- {"id":"01KB000000000000000000000E","at":"2026-11-25T08:41:00-05:00","by":"ines","round":"2026","moved":{"cabinet":"riser","kind":"qr-pendent","n":1,"way":"taken-out","note":"for the boiler house, not used"}}
--- {"id":"01KB000000000000000000000F","at":"2026-11-25T08:42:00-05:00","by":"osk","round":"2026","counted":{"cabinet":"riser","held":{"qr-pendent":4,"int-upright":2},"unfit":{"qr-pendent":1},"note":"one painted"}}
--- {"id":"01KB000000000000000000000G","at":"2026-11-25T08:44:00-05:00","by":"ines","round":"2026","checked":{"cabinet":"riser","wrenches":{"":false},"list":"wrong","warmest":"104 F"}}
"#;

/// A round in which every head was seen and nothing found.
const ALL_SEEN: &str = r#"
--- {"id":"01KB0000000000000000000001","at":"2026-11-25T08:00:00-05:00","by":"ines","round":"2026","begin":{"date":"2026-11-25","inspector":"Ines Tidewell","licence":"PT-118"}}
--- {"id":"01KB0000000000000000000002","at":"2026-11-25T08:10:00-05:00","by":"ines","round":"2026","seen":"hall"}
--- {"id":"01KB0000000000000000000003","at":"2026-11-25T08:11:00-05:00","by":"ines","round":"2026","seen":"dock"}
--- {"id":"01KB0000000000000000000004","at":"2026-11-25T08:12:00-05:00","by":"ines","round":"2026","seen":"office"}
--- {"id":"01KB0000000000000000000005","at":"2026-11-25T08:13:00-05:00","by":"ines","round":"2026","seen":"boiler"}
"#;

/// A site with old heads and a spare cabinet.
pub const OLD: &str = "\
format: headround site 1
site:
  id: 01KAVQ5R8Z0000000000000000
  name: Marram Quay Cannery
  where: 4 Saltpan Lane, Port Tarrow
  rules: nfpa25-2023
  units: us
kinds:
  qr-pendent: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome, made: 2009}
  int-upright: {orientation: upright, response: standard, element: link, rating: 165 F, k: 5.6, finish: brass, made: 1974}
  old-upright: {orientation: upright, response: standard, element: link, rating: 165 F, k: 5.6, finish: brass, made: 1975}
  plate: {orientation: pendent, mount: concealed, response: quick, element: link, rating: 165 F, k: 5.6, finish: white}
  dry-side: {orientation: sidewall, dry: true, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome, made: 2008}
areas:
  hall:
    name: Packing hall
    in_service: 2009-05
    setting: [damp, salt]
    ceiling_max: 100 F
    lines: [8 qr-pendent, 8 qr-pendent, 8 qr-pendent]
  dock:
    name: Loading dock
    in_service: 1974-06
    lines: [8 int-upright, '6 int-upright, 2 old-upright', 8 int-upright]
  cold:
    name: Cold store
    in_service: 2008-11
    system: dry
    lines: [6 dry-side]
  office:
    name: Offices and staff rooms above the canteen
    lines: [6 plate]
  boiler:
    name: Boiler house
    in_service: 1975-02
    lines: [5 int-upright]
cabinets:
  riser:
    name: Valve room cabinet
    keep: {qr-pendent: 6, int-upright: 8}
";

/// A round in which lots have come different ways: one condemned, one passed by a laboratory's word, one at the bench, one formed.
const LOTS: &str = r#"
--- {"id":"01KB0000000000000000000001","at":"2026-11-24T08:00:00-05:00","by":"ines","round":"2026","begin":{"date":"2026-11-24","inspector":"Ines Tidewell","licence":"PT-118","purpose":"annual inspection"}}
--- {"id":"01KB0000000000000000000002","at":"2026-11-24T08:10:00-05:00","by":"ines","round":"2026","seen":"hall"}
--- {"id":"01KB0000000000000000000003","at":"2026-11-24T08:11:00-05:00","by":"ines","round":"2026","seen":"dock"}
--- {"id":"01KB0000000000000000000004","at":"2026-11-24T08:12:00-05:00","by":"ines","round":"2026","seen":"boiler/1.1..1.4"}
--- {"id":"01KB0000000000000000000005","at":"2026-11-24T08:13:00-05:00","by":"ines","round":"2026","saw":{"head":"boiler/1.3","sign":"corrosion","part":"deflector","extent":"heavy"}}
--- {"id":"01KB0000000000000000000006","at":"2026-11-24T08:20:00-05:00","by":"ines","round":"2026","counted":{"cabinet":"riser","held":{"qr-pendent":6,"int-upright":8}}}
--- {"id":"01KB0000000000000000000007","at":"2026-11-24T08:30:00-05:00","by":"ines","round":"2026","lot":{"id":"dock-1974","name":"Loading dock, 1974","heads":["dock"],"due":"2024-06-01"}}
--- {"id":"01KB0000000000000000000008","at":"2026-11-24T08:31:00-05:00","by":"ines","round":"2026","lot":{"id":"hall-2009","name":"Packing hall, 2009","heads":["hall"],"due":"2014-05-01"}}
--- {"id":"01KB0000000000000000000009","at":"2026-11-24T08:32:00-05:00","by":"ines","round":"2026","lot":{"id":"boiler","name":"Boiler house","heads":["boiler"],"due":"2025-02-01"}}
--- {"id":"01KB000000000000000000000A","at":"2026-11-24T08:33:00-05:00","by":"ines","round":"2026","lot":{"id":"cold-2008","name":"Cold store, dry heads","heads":["cold"],"due":"2028-11-01"}}
--- {"id":"01KB000000000000000000000B","at":"2026-11-24T08:40:00-05:00","by":"ines","round":"2026","drawn":{"lot":"dock-1974","way":"random","seed":7,"eligible":24,"asked":4,"picks":[{"head":"dock/1.2","kind":"int-upright","tag":"dock-1974-1"},{"head":"dock/2.7","kind":"old-upright","tag":"dock-1974-2"},{"head":"dock/2.3","kind":"int-upright","tag":"dock-1974-3"},{"head":"dock/3.5","kind":"int-upright","tag":"dock-1974-4"}]}}
--- {"id":"01KB000000000000000000000C","at":"2026-11-24T08:41:00-05:00","by":"ines","round":"2026","drawn":{"lot":"hall-2009","way":"random","seed":8,"eligible":24,"asked":4,"picks":[{"head":"hall/1.2","kind":"qr-pendent","tag":"hall-2009-1"},{"head":"hall/2.7","kind":"qr-pendent","tag":"hall-2009-2"},{"head":"hall/3.1","kind":"qr-pendent","tag":"hall-2009-3"},{"head":"hall/3.8","kind":"qr-pendent","tag":"hall-2009-4"}]}}
--- {"id":"01KB000000000000000000000D","at":"2026-11-24T09:00:00-05:00","by":"ines","round":"2026","did":{"head":"hall/1.2","did":"replaced","kind":"qr-pendent","from":"riser"}}
--- {"id":"01KB000000000000000000000E","at":"2026-11-24T09:05:00-05:00","by":"ines","round":"2026","custody":{"lot":"dock-1974","step":"handed-over","to":"Port Tarrow test bench"}}
--- {"id":"01KB000000000000000000000F","at":"2026-11-24T10:00:00-05:00","by":"osk","round":"2026","tested":{"lot":"dock-1974","head":"dock/1.2","readings":{"before":"clean","oven":"135 C","air":"2.54 m/s","start":"20 C","pressure":"7 psi","element":"39.8 s","clear":"40.1 s"}}}
--- {"id":"01KB000000000000000000000G","at":"2026-11-24T10:10:00-05:00","by":"osk","round":"2026","tested":{"lot":"dock-1974","head":"dock/2.7","readings":{"before":"painted","oven":"135 C","air":"2.54 m/s","start":"20 C","pressure":"7 psi","element":"45.2 s","until":"180 s","seal":"stuck"}}}
--- {"id":"01KB000000000000000000000H","at":"2026-11-24T10:20:00-05:00","by":"osk","round":"2026","tested":{"lot":"dock-1974","head":"dock/2.3","readings":{"before":"clean","oven":"135 C","air":"2.54 m/s","start":"20 C","pressure":"7 psi","element":"41.7 s","clear":"42 s"}}}
--- {"id":"01KB000000000000000000000J","at":"2026-11-24T10:30:00-05:00","by":"osk","round":"2026","concluded":{"lot":"cold-2008","on":"2026-11-20","passed":true,"by":"Port Tarrow test bench, report 26-118","tested":4}}
"#;

/// What an app is started on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum On {
    /// The opening screen, nothing opened before.
    Nothing,
    /// The opening screen, with the site closed again.
    Closed,
    /// A site without any round.
    NoRound,
    /// The site in which everything occurs.
    Site,
    /// The site with every head seen.
    AllSeen,
    /// The site in which everything occurs, with cabinets.
    Spares,
    /// The same before anything was recorded of its cabinets.
    Uncounted,
    /// A site with old heads, where lots have come different ways.
    Lots,
    /// The same without any lot.
    Old,
}

/// The register with cabinets and the kinds that lie in them.
pub fn with_cabinets() -> String {
    format!("{}{SERVED}", REGISTER.replace("areas:\n", &format!("{CABINETS}areas:\n")))
}

/// An app and the folder its site is in.
pub struct Bench {
    folder: tempfile::TempDir,
    /// The app with hands on its keys.
    pub drive: Drive,
    before: usize,
}

impl Bench {
    /// An app with colours and Unicode.
    pub fn new(on: On) -> Self {
        Self::with(on, |s| s)
    }

    /// An app without colour and with ASCII only.
    pub fn ascii(on: On) -> Self {
        Self::with(on, |s| Setting { theme: Theme::mono(), glyphs: Glyphs::ascii(), ..s })
    }

    /// An app with that theme and Unicode.
    pub fn themed(on: On, theme: &'static Theme) -> Self {
        Self::with(on, |s| Setting { theme, ..s })
    }

    /// An app whose person has rule sets of their own in a folder.
    pub fn with_rules(on: On, folder: &std::path::Path) -> Self {
        Self::with(on, |mut s| {
            s.who.rules = Some(folder.to_owned());
            s
        })
    }

    /// An app on a site of that text, whose person has rule sets of their own in a folder.
    pub fn of_with_rules(text: &str, folder: &std::path::Path) -> Self {
        Self::start(text, On::Site, |mut s| {
            s.who.rules = Some(folder.to_owned());
            s
        })
    }

    /// An app told to open a file of that text, whatever comes of it.
    pub fn of(text: &str) -> Self {
        Self::start(text, On::Site, |s| s)
    }

    fn with(on: On, change: impl FnOnce(Setting) -> Setting) -> Self {
        let text = match on {
            On::Nothing | On::NoRound => REGISTER.to_owned(),
            On::AllSeen => format!("{REGISTER}{}", ALL_SEEN.trim_start()),
            On::Spares => {
                let (spares, now) = (SPARES_EARLIER.trim_start(), SPARES_NOW.trim_start());
                format!("{}{}{spares}{}{now}", with_cabinets(), EARLIER.trim_start(), NOW.trim_start())
            }
            On::Lots => format!("{OLD}{}", LOTS.trim_start()),
            On::Old => {
                let round: Vec<&str> = LOTS.trim_start().lines().take(6).collect();
                format!("{OLD}{}\n", round.join("\n"))
            }
            On::Uncounted => format!("{}{}{}", with_cabinets(), EARLIER.trim_start(), NOW.trim_start()),
            On::Site | On::Closed => format!("{REGISTER}{}{}", EARLIER.trim_start(), NOW.trim_start()),
        };
        let mut bench = Self::start(&text, on, change);
        if on != On::Nothing {
            assert_eq!(bench.drive.top(), "overview", "{}", bench.drive.shown(100, 30));
        }
        if on == On::Closed {
            bench.drive.keys("Esc");
        }
        bench
    }

    fn start(text: &str, on: On, change: impl FnOnce(Setting) -> Setting) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("quay.site.yaml");
        std::fs::write(&path, text).unwrap();
        let clock = TestClock::at("2026-11-25T09:00:00-05:00");
        let setting = change(Setting {
            opening: opening::Opening::boxed,
            overview: overview::Overview::boxed,
            help: help::Help::boxed,
            trouble: trouble::Trouble::boxed,
            ..setting(&clock)
        });
        let drive = if on == On::Nothing { Drive::new(setting, clock) } else { Drive::on(&path, setting, clock) };
        let before = drive.entries().len();
        Self { folder, drive, before }
    }

    /// Where the site is.
    pub fn path(&self) -> PathBuf {
        self.folder.path().join("quay.site.yaml")
    }

    /// Entries recorded since the start, in words.
    pub fn recorded(&self) -> Vec<String> {
        self.drive.entries().into_iter().skip(self.before).collect()
    }

    /// What is shown at 100 columns and 40 rows, without the folder's name.
    pub fn shown(&self) -> String {
        self.drive.shown(100, 40).replace(&self.folder.path().display().to_string(), "FOLDER")
    }
}

/// A screen, what to start on, the keys that lead to it.
pub type Way = (&'static str, On, &'static str);

/// Ways to every screen of the program that is not a part of the walk's own keys.
pub const WAYS: &[Way] = &[
    ("opening", On::Closed, ""),
    ("new site", On::Nothing, "n"),
    ("trouble", On::Nothing, "o lost.site.yaml Enter"),
    ("overview", On::Site, ""),
    ("begin", On::Site, "g"),
    ("close looks", On::Site, "c"),
    ("findings", On::Site, "f"),
    ("explanation", On::Site, "Home Enter j 1.3 Enter ?"),
    ("notices", On::Site, "i"),
    ("notice", On::Site, "i Enter"),
    ("sign-off review", On::Site, "s"),
    ("sign-off", On::AllSeen, "s s"),
    ("summary", On::Site, "r"),
    ("area menu", On::Site, "e"),
    ("new area", On::Site, "e a"),
    ("help", On::Site, "?"),
    ("head menu", On::Site, "Home Enter j 1.3 Enter Enter"),
    ("kinds", On::Site, "Home Enter j 1.3 Enter Enter 1"),
    ("new kind", On::Site, "Home Enter j 1.3 Enter Enter 1 n"),
    ("entries of a head", On::Site, "Home Enter j 1.3 Enter Enter e"),
    ("other sets", On::Site, "Home o"),
    ("other set", On::Site, "Home o 1"),
    ("rule book", On::Site, "Home b"),
    ("rule table", On::Site, "Home b 1"),
    ("disagreement", On::Site, "Home Enter j 1.3 Enter Enter d"),
    ("cabinet", On::Spares, "Home k"),
    ("cabinets", On::Spares, "Home k c"),
    ("count", On::Spares, "Home k Right c 4 Enter 2 u 1"),
    ("count review", On::Spares, "Home k Right c 1 Enter 6 u 1 Enter Enter Enter Enter 2 r"),
    ("look at the cabinet", On::Spares, "Home k Right l"),
    ("spares moved", On::Spares, "Home k Right i 1"),
    ("posted list", On::Spares, "Home k Right p"),
    ("new cabinet", On::Spares, "Home k n"),
    ("replacement", On::Spares, "Home Enter j 1.3 Enter ="),
    ("due", On::Lots, "d"),
    ("ways to draw lots", On::Old, "d n"),
    ("proposed lots", On::Old, "d n o"),
    ("lots", On::Lots, "l"),
    ("new lot", On::Lots, "l a"),
    ("lot", On::Lots, "l Home Enter"),
    ("draw", On::Lots, "l Home Down Down Enter d"),
    ("draw by hand", On::Lots, "l Home Down Down Enter h Space Down Space"),
    ("custody", On::Lots, "l Home Down Enter c"),
    ("laboratory result", On::Lots, "l Home Down Enter x"),
    ("bench", On::Lots, "l Home Enter End Enter"),
    ("confirmation", On::Site, "g x Esc"),
    ("text question", On::Nothing, "o"),
];
