//! Styles by meaning, in four themes. Not glyphs: a style never carries a meaning alone, every state has a glyph and a
//! word besides.

use crate::rules::model::{Class, Ruling};
use crate::trade::class::Colour;
use crate::trade::kind::Finish;
use ratatui::style::{Color, Modifier, Style};

/// The styles of a screen, each named for what it means.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Theme {
    /// The name it is chosen by.
    pub name: &'static str,
    /// Text, and the ground of every screen: filled in first.
    pub text: Style,
    /// What matters less.
    pub dim: Style,
    /// The heading of a screen or a box.
    pub title: Style,
    /// What the eye should find first.
    pub accent: Style,
    /// The head or row that keys act upon: patched over the state's own style.
    pub cursor: Style,
    /// Rows chosen for something.
    pub selected: Style,
    /// A box border.
    pub border: Style,
    /// The border of the box that has the keys.
    pub focus: Style,
    /// A key's name.
    pub key: Style,
    /// What a key does; advice.
    pub hint: Style,
    /// A text field being typed into.
    pub input: Style,
    /// Something went wrong.
    pub error: Style,
    /// Something deserves care.
    pub warning: Style,
    /// Something is done.
    pub good: Style,
    /// A head nobody has looked at in this round.
    pub unseen: Style,
    /// A head that a failed test condemns and nobody has looked at in this round.
    pub condemned: Style,
    /// A head looked at, nothing to say.
    pub seen: Style,
    /// A head that could not be reached.
    pub unreached: Style,
    /// A head that could not be judged: it needs a close look.
    pub unsure: Style,
    /// Ruling keep.
    pub keep: Style,
    /// Ruling watch.
    pub watch: Style,
    /// Ruling clean.
    pub clean: Style,
    /// Ruling correct.
    pub correct: Style,
    /// Ruling test.
    pub test: Style,
    /// Ruling replace.
    pub replace: Style,
    /// A finding of an earlier round not answered yet.
    pub carried: Style,
    /// Two people's entries that lead to different rulings.
    pub disagreement: Style,
    /// A place without a head, a head taken out.
    pub absent: Style,
    /// The banner of an impairment.
    pub impairment: Style,
    /// A critical finding.
    pub critical: Style,
    /// A noncritical finding.
    pub noncritical: Style,
    /// Outside the adopted inspection, told to the owner.
    pub advisory: Style,
    /// The done part of a progress bar.
    pub done: Style,
    /// The part of a head that a sign is about.
    pub touched: Style,
    /// Ceilings, walls and pipes around a head.
    pub around: Style,
    /// Water on a picture.
    pub water: Style,
    /// Corrosion on a picture.
    pub rust: Style,
    /// Paint on a picture.
    pub paint: Style,
    /// Dust on a picture.
    pub dust: Style,
    /// A thing that does not belong on or near a head: a strap, a hanger, stock.
    pub foreign: Style,
    palette: Palette,
}

/// The colours of materials, of which a theme without colour has none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Palette {
    brass: Option<Color>,
    steel: Option<Color>,
    white: Option<Color>,
    black: Option<Color>,
    orange: Option<Color>,
    red: Option<Color>,
    yellow: Option<Color>,
    green: Option<Color>,
    blue: Option<Color>,
    purple: Option<Color>,
}

const fn fg(colour: Color) -> Style {
    Style::new().fg(colour)
}

const fn bold(style: Style) -> Style {
    style.add_modifier(Modifier::BOLD)
}

const fn underlined(style: Style) -> Style {
    style.add_modifier(Modifier::UNDERLINED)
}

const fn reversed(style: Style) -> Style {
    style.add_modifier(Modifier::REVERSED)
}

/// The terminal's own ground and its sixteen colours; painted are only the selection and the banner.
const DEFAULT: Theme = Theme {
    name: "default",
    text: Style::new(),
    dim: Style::new().add_modifier(Modifier::DIM),
    title: bold(fg(Color::Cyan)),
    accent: bold(Style::new()),
    cursor: reversed(bold(Style::new())),
    selected: reversed(Style::new()),
    border: Style::new().add_modifier(Modifier::DIM),
    focus: fg(Color::Cyan),
    key: bold(fg(Color::Cyan)),
    hint: Style::new(),
    input: underlined(Style::new()),
    error: bold(fg(Color::Red)),
    warning: fg(Color::Yellow),
    good: fg(Color::Green),
    unseen: Style::new().add_modifier(Modifier::DIM),
    condemned: underlined(fg(Color::Red)),
    seen: fg(Color::Green),
    unreached: fg(Color::Magenta),
    unsure: bold(fg(Color::Magenta)),
    keep: fg(Color::Green),
    watch: fg(Color::Cyan),
    clean: bold(fg(Color::LightBlue)),
    correct: fg(Color::Yellow),
    test: bold(fg(Color::Yellow)),
    replace: bold(fg(Color::Red)),
    carried: bold(fg(Color::Cyan)),
    disagreement: bold(underlined(fg(Color::Red))),
    absent: Style::new().add_modifier(Modifier::DIM),
    impairment: bold(Style::new().fg(Color::White).bg(Color::Red)),
    critical: bold(fg(Color::Red)),
    noncritical: fg(Color::Yellow),
    advisory: fg(Color::Cyan),
    done: fg(Color::Green),
    touched: bold(fg(Color::Cyan)),
    around: Style::new().add_modifier(Modifier::DIM),
    water: bold(fg(Color::LightBlue)),
    rust: bold(fg(Color::Green)),
    paint: bold(fg(Color::Magenta)),
    dust: fg(Color::Yellow),
    foreign: bold(fg(Color::Magenta)),
    palette: Palette {
        brass: Some(Color::Yellow),
        steel: None,
        white: None,
        black: None,
        // Sixteen colours have no orange; the word beside the picture tells it from yellow.
        orange: Some(Color::Yellow),
        red: Some(Color::Red),
        yellow: Some(Color::LightYellow),
        green: Some(Color::Green),
        blue: Some(Color::LightBlue),
        purple: Some(Color::Magenta),
    },
};

const fn day(colour: u8) -> Style {
    Style::new().fg(Color::Indexed(colour)).bg(Color::Indexed(231))
}

/// High contrast for daylight: dark inks on painted white.
const DAY: Theme = Theme {
    name: "day",
    text: day(16),
    dim: day(238),
    title: bold(day(18)),
    accent: bold(day(16)),
    cursor: bold(Style::new().fg(Color::Indexed(231)).bg(Color::Indexed(16))),
    selected: Style::new().fg(Color::Indexed(231)).bg(Color::Indexed(18)),
    border: day(240),
    focus: bold(day(18)),
    key: bold(day(18)),
    hint: day(235),
    input: underlined(day(16)),
    error: bold(day(88)),
    warning: bold(day(58)),
    good: bold(day(22)),
    unseen: day(240),
    condemned: underlined(day(88)),
    seen: day(22),
    unreached: day(54),
    unsure: bold(day(54)),
    keep: day(22),
    watch: bold(day(23)),
    clean: bold(day(18)),
    correct: bold(day(58)),
    test: bold(day(53)),
    replace: bold(day(88)),
    carried: bold(day(23)),
    disagreement: bold(underlined(day(88))),
    absent: day(240),
    impairment: bold(Style::new().fg(Color::Indexed(231)).bg(Color::Indexed(88))),
    critical: bold(day(88)),
    noncritical: bold(day(58)),
    advisory: bold(day(23)),
    done: day(22),
    touched: bold(day(18)),
    around: day(240),
    water: bold(day(23)),
    rust: bold(day(22)),
    paint: bold(day(53)),
    dust: day(58),
    foreign: bold(day(53)),
    palette: Palette {
        brass: Some(Color::Indexed(58)),
        steel: Some(Color::Indexed(238)),
        white: Some(Color::Indexed(240)),
        black: Some(Color::Indexed(16)),
        orange: Some(Color::Indexed(94)),
        red: Some(Color::Indexed(124)),
        yellow: Some(Color::Indexed(58)),
        green: Some(Color::Indexed(22)),
        blue: Some(Color::Indexed(20)),
        purple: Some(Color::Indexed(54)),
    },
};

const fn night(colour: u8) -> Style {
    Style::new().fg(Color::Indexed(colour)).bg(Color::Indexed(233))
}

/// Low glare for dark rooms: muted warm inks on a painted near-black, nothing bright.
const NIGHT: Theme = Theme {
    name: "night",
    text: night(145),
    dim: night(244),
    title: bold(night(180)),
    accent: bold(night(187)),
    cursor: bold(Style::new().fg(Color::Indexed(233)).bg(Color::Indexed(180))),
    selected: Style::new().fg(Color::Indexed(187)).bg(Color::Indexed(238)),
    border: night(243),
    focus: night(180),
    key: bold(night(180)),
    hint: night(145),
    input: underlined(night(187)),
    error: bold(night(173)),
    warning: night(179),
    good: night(108),
    unseen: night(244),
    condemned: underlined(night(173)),
    seen: night(108),
    unreached: night(139),
    unsure: bold(night(139)),
    keep: night(108),
    watch: night(109),
    clean: bold(night(110)),
    correct: night(179),
    test: bold(night(186)),
    replace: bold(night(173)),
    carried: bold(night(109)),
    disagreement: bold(underlined(night(173))),
    absent: night(243),
    impairment: bold(Style::new().fg(Color::Indexed(187)).bg(Color::Indexed(52))),
    critical: bold(night(173)),
    noncritical: night(179),
    advisory: night(109),
    done: night(108),
    touched: bold(night(116)),
    around: night(243),
    water: bold(night(110)),
    rust: bold(night(108)),
    paint: bold(night(175)),
    dust: night(179),
    foreign: bold(night(175)),
    palette: Palette {
        brass: Some(Color::Indexed(143)),
        steel: Some(Color::Indexed(248)),
        white: Some(Color::Indexed(187)),
        black: Some(Color::Indexed(244)),
        orange: Some(Color::Indexed(173)),
        red: Some(Color::Indexed(167)),
        yellow: Some(Color::Indexed(185)),
        green: Some(Color::Indexed(107)),
        blue: Some(Color::Indexed(68)),
        purple: Some(Color::Indexed(133)),
    },
};

const PLAIN: Style = Style::new();

/// No colour at all: weight, underline and reverse video only.
const MONO: Theme = Theme {
    name: "mono",
    text: PLAIN,
    dim: PLAIN,
    title: bold(PLAIN),
    accent: bold(PLAIN),
    cursor: reversed(bold(PLAIN)),
    selected: reversed(PLAIN),
    border: PLAIN,
    focus: bold(PLAIN),
    key: bold(PLAIN),
    hint: PLAIN,
    input: underlined(PLAIN),
    error: bold(underlined(PLAIN)),
    warning: underlined(PLAIN),
    good: PLAIN,
    unseen: PLAIN,
    condemned: underlined(PLAIN),
    seen: PLAIN,
    unreached: underlined(PLAIN),
    unsure: bold(underlined(PLAIN)),
    keep: PLAIN,
    watch: PLAIN,
    clean: bold(PLAIN),
    correct: bold(PLAIN),
    test: bold(PLAIN),
    replace: bold(underlined(PLAIN)),
    carried: bold(PLAIN),
    disagreement: bold(underlined(PLAIN)),
    absent: PLAIN,
    impairment: reversed(bold(PLAIN)),
    critical: bold(underlined(PLAIN)),
    noncritical: bold(PLAIN),
    advisory: underlined(PLAIN),
    done: PLAIN,
    touched: bold(underlined(PLAIN)),
    around: PLAIN,
    water: bold(PLAIN),
    rust: bold(PLAIN),
    paint: bold(PLAIN),
    dust: bold(PLAIN),
    foreign: bold(PLAIN),
    palette: Palette {
        brass: None,
        steel: None,
        white: None,
        black: None,
        orange: None,
        red: None,
        yellow: None,
        green: None,
        blue: None,
        purple: None,
    },
};

static THEMES: [Theme; 4] = [DEFAULT, DAY, NIGHT, MONO];

impl Theme {
    /// The names [`Theme::named`] knows.
    pub const NAMES: &'static [&'static str] = &["default", "day", "night", "mono"];

    /// The theme of that name.
    #[must_use]
    pub fn named(name: &str) -> Option<&'static Self> {
        THEMES.iter().find(|t| t.name == name)
    }

    /// The theme that uses the terminal's own ground and colours.
    #[must_use]
    pub fn terminal() -> &'static Self {
        static THEME: Theme = DEFAULT;
        &THEME
    }

    /// The theme after this one, going round.
    #[must_use]
    pub fn next(&self) -> &'static Self {
        let at = THEMES.iter().position(|t| t.name == self.name).map_or(0, |i| (i + 1) % THEMES.len());
        THEMES.get(at).unwrap_or_else(|| Self::terminal())
    }

    /// The theme without any colour.
    #[must_use]
    pub fn mono() -> &'static Self {
        static THEME: Theme = MONO;
        &THEME
    }

    /// The style of a ruling. Its glyph is [`super::glyphs::Glyphs::ruling`], its word the ruling's own.
    #[must_use]
    pub const fn ruling_style(&self, ruling: Ruling) -> Style {
        match ruling {
            Ruling::Keep => self.keep,
            Ruling::Watch => self.watch,
            Ruling::Look => self.unsure,
            Ruling::Clean => self.clean,
            Ruling::Correct => self.correct,
            Ruling::Test => self.test,
            Ruling::Replace => self.replace,
        }
    }

    /// The style of a finding's class.
    #[must_use]
    pub const fn class_style(&self, class: Class) -> Style {
        match class {
            Class::Advisory => self.advisory,
            Class::Noncritical => self.noncritical,
            Class::Critical => self.critical,
            Class::Impairment => self.impairment,
        }
    }

    /// The style of a bulb's liquid or a frame's colour mark (NFPA 13:2022 Table 7.2.4.1 names the colours).
    #[must_use]
    pub const fn colour_style(&self, colour: Colour) -> Style {
        let p = &self.palette;
        self.inked(match colour {
            Colour::Uncoloured => None,
            Colour::Orange => p.orange,
            Colour::Red => p.red,
            Colour::Yellow => p.yellow,
            Colour::Green => p.green,
            Colour::White => p.white,
            Colour::Blue => p.blue,
            Colour::Purple => p.purple,
            Colour::Black => p.black,
        })
    }

    /// The style of a factory finish.
    #[must_use]
    pub const fn finish_style(&self, finish: Finish) -> Style {
        let p = &self.palette;
        self.inked(match finish {
            Finish::Brass | Finish::Wax => p.brass,
            Finish::White => p.white,
            Finish::Black => p.black,
            Finish::Coloured => p.blue,
            Finish::Chrome | Finish::Stainless | Finish::Nickel | Finish::Lead | Finish::Polymer => p.steel,
        })
    }

    const fn inked(&self, ink: Option<Color>) -> Style {
        match ink {
            Some(colour) => self.text.fg(colour),
            None => self.text,
        }
    }

    /// Every named style, for tests and the page that shows a theme.
    #[must_use]
    pub fn styles(&self) -> Vec<(&'static str, Style)> {
        vec![
            ("text", self.text),
            ("dim", self.dim),
            ("title", self.title),
            ("accent", self.accent),
            ("cursor", self.cursor),
            ("selected", self.selected),
            ("border", self.border),
            ("focus", self.focus),
            ("key", self.key),
            ("hint", self.hint),
            ("input", self.input),
            ("error", self.error),
            ("warning", self.warning),
            ("good", self.good),
            ("unseen", self.unseen),
            ("condemned", self.condemned),
            ("seen", self.seen),
            ("unreached", self.unreached),
            ("unsure", self.unsure),
            ("keep", self.keep),
            ("watch", self.watch),
            ("clean", self.clean),
            ("correct", self.correct),
            ("test", self.test),
            ("replace", self.replace),
            ("carried", self.carried),
            ("disagreement", self.disagreement),
            ("absent", self.absent),
            ("impairment", self.impairment),
            ("critical", self.critical),
            ("noncritical", self.noncritical),
            ("advisory", self.advisory),
            ("done", self.done),
            ("touched", self.touched),
            ("around", self.around),
            ("water", self.water),
            ("rust", self.rust),
            ("paint", self.paint),
            ("dust", self.dust),
            ("foreign", self.foreign),
        ]
    }
}

#[cfg(test)]
#[path = "theme_tests.rs"]
mod tests;
