//! The signs that a terminal plot is drawn with, in Unicode and in ASCII.

use crate::report::plot::model::Marker;

/// Which signs a terminal can draw.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Glyphs {
    /// Box drawing, braille, geometric shapes.
    Unicode,
    /// The printable signs of ASCII and nothing else.
    Ascii,
}

/// How a staircase is drawn: along, up and down, the corners of a fall (above, below) and of a rise (below, above), a tick.
pub(super) struct Stair {
    pub(super) along: char,
    pub(super) upright: char,
    pub(super) fall: (char, char),
    pub(super) rise: (char, char),
    pub(super) tick: char,
}

const UNICODE_STAIRS: [Stair; 4] = [
    Stair { along: '─', upright: '│', fall: ('┐', '└'), rise: ('┘', '┌'), tick: '┼' },
    Stair { along: '━', upright: '┃', fall: ('┓', '┗'), rise: ('┛', '┏'), tick: '╋' },
    Stair { along: '═', upright: '║', fall: ('╗', '╚'), rise: ('╝', '╔'), tick: '╬' },
    Stair { along: '╌', upright: '╎', fall: ('┐', '└'), rise: ('┘', '┌'), tick: '┼' },
];
const ASCII_STAIRS: [Stair; 4] = [
    Stair { along: '-', upright: '|', fall: ('.', '\''), rise: ('\'', '.'), tick: '+' },
    Stair { along: '=', upright: 'H', fall: ('=', '='), rise: ('=', '='), tick: '#' },
    Stair { along: '~', upright: '!', fall: ('~', '~'), rise: ('~', '~'), tick: '&' },
    Stair { along: 'o', upright: 'o', fall: ('o', 'o'), rise: ('o', 'o'), tick: '%' },
];
const UNICODE_DOTS: [char; 4] = ['●', '◆', '■', '▲'];
const ASCII_DOTS: [char; 4] = ['*', 'o', '+', 'x'];

/// The sign that a series carries where there are more of them than sorts of line: 1 to 9, then letters.
pub(super) fn tag(n: usize, all: usize) -> Option<char> {
    let number = u32::try_from(n % 35 + 1).ok()?;
    if all > UNICODE_STAIRS.len() { char::from_digit(number, 36).map(|c| c.to_ascii_uppercase()) } else { None }
}

impl Glyphs {
    pub(super) fn is_ascii(self) -> bool {
        self == Self::Ascii
    }

    const fn pick(self, unicode: char, ascii: char) -> char {
        match self {
            Self::Unicode => unicode,
            Self::Ascii => ascii,
        }
    }

    pub(super) const fn marker(self, marker: Marker) -> char {
        match marker {
            Marker::Ring => self.pick('○', 'o'),
            Marker::Disc => self.pick('●', '*'),
            Marker::Diamond => self.pick('◆', '#'),
            Marker::Square => self.pick('□', '%'),
            Marker::Triangle => self.pick('▲', '^'),
            Marker::Cross => self.pick('✕', 'x'),
            Marker::Onward => self.pick('▸', '>'),
            Marker::Before => self.pick('◂', '<'),
            Marker::Opens => '[',
            Marker::Closes => ']',
        }
    }

    pub(super) fn stair(self, series: usize) -> &'static Stair {
        let [first, second, third, fourth] = match self {
            Self::Unicode => &UNICODE_STAIRS,
            Self::Ascii => &ASCII_STAIRS,
        };
        match series % 4 {
            0 => first,
            1 => second,
            2 => third,
            _ => fourth,
        }
    }

    /// The sign that tells one line from another.
    pub(super) fn dot(self, series: usize) -> char {
        let dots = if self.is_ascii() { ASCII_DOTS } else { UNICODE_DOTS };
        dots.get(series % dots.len()).copied().unwrap_or('*')
    }

    pub(super) const fn mark(self) -> char {
        self.pick('◉', '@')
    }
    pub(super) const fn span(self) -> char {
        self.pick('─', '-')
    }
    pub(super) const fn upright(self) -> char {
        self.pick('│', '|')
    }
    pub(super) const fn base(self) -> char {
        self.pick('─', '-')
    }
    pub(super) const fn corner(self) -> char {
        self.pick('└', '+')
    }
    pub(super) const fn tick_below(self) -> char {
        self.pick('┬', '+')
    }
    pub(super) const fn tick_beside(self) -> char {
        self.pick('┤', '+')
    }
    pub(super) const fn limit_upright(self) -> char {
        self.pick('╎', ':')
    }
    pub(super) const fn limit_along(self) -> char {
        self.pick('╌', '.')
    }
    pub(super) const fn lead_upright(self) -> char {
        self.pick('┊', ':')
    }
    pub(super) const fn lead_along(self) -> char {
        self.pick('┈', '.')
    }
    pub(super) const fn shade(self) -> char {
        self.pick('·', '.')
    }
    pub(super) const fn ellipsis(self) -> &'static str {
        match self {
            Self::Unicode => "…",
            Self::Ascii => "..",
        }
    }
}
