//! A small grid of cells that shapes are stamped on. It knows glyphs, what each cell is made of and which part it
//! belongs to; it knows no colours.

use super::Part;
use super::shapes::Shape;
use unicode_width::UnicodeWidthChar as _;

/// What a cell is made of; the theme decides how that looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ink {
    /// Nothing.
    Empty,
    /// The head's own metal, in its finish.
    Metal,
    /// Bulb liquid or the frame's colour mark.
    Liquid,
    /// Glass without liquid.
    Glass,
    /// Ceiling, wall, pipe.
    Around,
    /// A guard's wire.
    Guard,
    /// Water.
    Water,
    /// Corrosion.
    Rust,
    /// Paint.
    Paint,
    /// Dust.
    Dust,
    /// Breakage.
    Harm,
    /// What does not belong there.
    Foreign,
    /// What should be there and is not.
    Absent,
    /// A pointer at the touched part.
    Pointer,
    /// Words below the head.
    Caption,
    /// The words that name the touched part.
    Finding,
}

/// One cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Dot {
    /// Its sign.
    pub glyph: char,
    /// What it is made of.
    pub ink: Ink,
    /// The part it belongs to.
    pub part: Option<Part>,
    /// Whether it belongs to a touched part.
    pub touched: bool,
}

impl Dot {
    const EMPTY: Self = Self { glyph: ' ', ink: Ink::Empty, part: None, touched: false };
}

/// The grid.
#[derive(Clone, Debug)]
pub struct Canvas {
    width: usize,
    height: usize,
    dots: Vec<Dot>,
    ascii: bool,
}

fn ink_of(key: char) -> Option<(Ink, Option<Part>)> {
    Some(match key {
        'b' => (Ink::Metal, Some(Part::Boss)),
        'f' => (Ink::Metal, Some(Part::Frame)),
        's' => (Ink::Metal, Some(Part::Seal)),
        'e' => (Ink::Metal, Some(Part::Element)),
        'd' => (Ink::Metal, Some(Part::Deflector)),
        'c' => (Ink::Metal, Some(Part::Escutcheon)),
        'p' => (Ink::Metal, Some(Part::CoverPlate)),
        'a' => (Ink::Around, None),
        'g' => (Ink::Guard, None),
        'x' => (Ink::Foreign, None),
        _ => return None,
    })
}

impl Canvas {
    /// An empty grid.
    pub fn new(width: usize, height: usize, ascii: bool) -> Self {
        Self { width, height, dots: vec![Dot::EMPTY; width * height], ascii }
    }

    /// Columns.
    pub const fn width(&self) -> usize {
        self.width
    }

    /// Rows.
    pub const fn height(&self) -> usize {
        self.height
    }

    /// Whether signs are ASCII.
    pub const fn ascii(&self) -> bool {
        self.ascii
    }

    /// The Unicode or the ASCII sign, as the canvas wants.
    pub const fn sign(&self, unicode: char, ascii: char) -> char {
        if self.ascii { ascii } else { unicode }
    }

    /// All cells, row by row.
    pub fn rows(&self) -> impl Iterator<Item = &[Dot]> {
        self.dots.chunks(self.width.max(1))
    }

    /// The cell there.
    pub fn get(&self, x: usize, y: usize) -> Option<&Dot> {
        if x >= self.width { None } else { self.dots.get(y * self.width + x) }
    }

    /// The cell there, to change.
    pub fn get_mut(&mut self, x: usize, y: usize) -> Option<&mut Dot> {
        if x >= self.width { None } else { self.dots.get_mut(y * self.width + x) }
    }

    /// Whether nothing stands there; outside the grid something always does.
    pub fn is_empty(&self, x: usize, y: usize) -> bool {
        self.get(x, y).is_some_and(|d| d.ink == Ink::Empty)
    }

    /// Puts a sign where nothing stands, and says whether it did.
    pub fn put_if_empty(&mut self, x: usize, y: usize, glyph: char, ink: Ink) -> bool {
        let free = self.is_empty(x, y);
        if free && let Some(dot) = self.get_mut(x, y) {
            *dot = Dot { glyph, ink, ..Dot::EMPTY };
        }
        free
    }

    /// The cells of a part, row by row.
    pub fn of_part(&self, part: Part) -> Vec<(usize, usize)> {
        self.places(|d| match part {
            Part::Whole => d.part.is_some(),
            part => d.part == Some(part),
        })
    }

    /// The cells that satisfy a condition, row by row.
    pub fn places(&self, want: impl Fn(&Dot) -> bool) -> Vec<(usize, usize)> {
        let width = self.width.max(1);
        self.dots.iter().enumerate().filter(|(_, d)| want(d)).map(|(i, _)| (i % width, i / width)).collect()
    }

    /// Stamps a shape with its upper left corner at `x`, `y`, over what stands there.
    pub fn stamp(&mut self, shape: &Shape, x: usize, y: usize) {
        self.stamp_where(shape, x, y, |_| true);
    }

    /// Stamps a shape behind what stands there.
    pub fn stamp_behind(&mut self, shape: &Shape, x: usize, y: usize) {
        self.stamp_where(shape, x, y, |d| d.ink == Ink::Empty);
    }

    fn stamp_where(&mut self, shape: &Shape, x: usize, y: usize, may: impl Fn(&Dot) -> bool) {
        let art = if self.ascii { shape.ascii } else { shape.unicode };
        let mut glyph_rows = art.lines().skip(1);
        for (dy, keys) in shape.key.lines().skip(1).enumerate() {
            let mut glyphs = glyph_rows.next().unwrap_or("").chars();
            for (dx, key) in keys.chars().enumerate() {
                let glyph = glyphs.next().unwrap_or(' ');
                let Some((ink, part)) = ink_of(key) else { continue };
                if let Some(dot) = self.get_mut(x + dx, y + dy).filter(|d| may(d)) {
                    *dot = Dot { glyph, ink, part, touched: false };
                }
            }
        }
    }

    /// Lays another canvas over this one.
    pub fn overlay(&mut self, other: &Self, x: usize, y: usize) {
        for (dy, row) in other.rows().enumerate() {
            for (dx, dot) in row.iter().enumerate().filter(|(_, d)| d.ink != Ink::Empty) {
                if let Some(at) = self.get_mut(x + dx, y + dy) {
                    *at = *dot;
                }
            }
        }
    }

    /// Turns the picture upside down, glyphs included.
    pub fn flip(&mut self) {
        let rows: Vec<Vec<Dot>> = self.rows().map(<[Dot]>::to_vec).collect();
        self.dots = rows.into_iter().rev().flatten().collect();
        for dot in &mut self.dots {
            dot.glyph = flipped(dot.glyph);
        }
    }

    /// Writes words from the left, cut at the right edge. A character that is not one column wide, or not ASCII where
    /// ASCII is wanted, becomes a question mark, so that every cell keeps its one column.
    pub fn write(&mut self, x: usize, y: usize, words: &str, ink: Ink) {
        for (dx, glyph) in words.chars().enumerate() {
            let fits = glyph.width() == Some(1) && (glyph.is_ascii() || !self.ascii);
            let glyph = if fits { glyph } else { '?' };
            if let Some(dot) = self.get_mut(x + dx, y) {
                *dot = Dot { glyph, ink, ..Dot::EMPTY };
            }
        }
    }
}

/// The glyph as it looks upside down.
const fn flipped(glyph: char) -> char {
    match glyph {
        '▀' => '▄',
        '▄' => '▀',
        '▘' => '▖',
        '▖' => '▘',
        '▝' => '▗',
        '▗' => '▝',
        '▛' => '▙',
        '▙' => '▛',
        '▜' => '▟',
        '▟' => '▜',
        '╭' => '╰',
        '╰' => '╭',
        '╮' => '╯',
        '╯' => '╮',
        '┌' => '└',
        '└' => '┌',
        '┐' => '┘',
        '┘' => '┐',
        '┏' => '┗',
        '┗' => '┏',
        '┓' => '┛',
        '┛' => '┓',
        '┻' => '┳',
        '┳' => '┻',
        '╧' => '╤',
        '╤' => '╧',
        '╱' => '╲',
        '╲' => '╱',
        '▔' => '▁',
        '▁' => '▔',
        '/' => '\\',
        '\\' => '/',
        '.' => '\'',
        '\'' => '.',
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::picture::{shapes, shapes_around, shapes_small};

    fn every_shape() -> impl Iterator<Item = &'static &'static Shape> {
        shapes::ALL.iter().chain(shapes_around::ALL).chain(shapes_small::ALL)
    }

    #[test]
    fn turning_a_glyph_twice_gives_it_back() {
        for shape in every_shape() {
            for glyph in shape.unicode.chars().chain(shape.ascii.chars()) {
                assert_eq!(flipped(flipped(glyph)), glyph);
            }
        }
    }

    #[test]
    fn the_blocks_of_a_shape_have_one_size() {
        for shape in every_shape() {
            let size = |block: &str| block.lines().skip(1).map(|l| l.chars().count()).collect::<Vec<_>>();
            let (keys, name) = (size(shape.key), shape.name);
            for (block, what) in [(shape.unicode, "unicode"), (shape.ascii, "ascii")] {
                assert_eq!(size(block), keys, "{name} {what}");
            }
            assert!(shape.ascii.is_ascii(), "{name}");
            let drawn = shape.key.lines().zip(shape.unicode.lines()).zip(shape.ascii.lines());
            for ((key, unicode), ascii) in drawn.skip(1) {
                for ((k, u), a) in key.chars().zip(unicode.chars()).zip(ascii.chars()) {
                    assert!(k == ' ' || ink_of(k).is_some(), "{name}: key {k}");
                    assert!(k != ' ' || (u == ' ' && a == ' '), "{name}: '{u}' or '{a}' belongs to nothing");
                    assert_eq!(crate::tui::text::width(&u.to_string()), 1, "{name}: {u}");
                }
            }
        }
    }

    #[test]
    fn nothing_outside_the_grid_is_touched() {
        let mut canvas = Canvas::new(4, 2, false);
        canvas.stamp(&shapes::PENDENT, 2, 1);
        canvas.write(3, 1, "words", Ink::Caption);
        canvas.write(9, 9, "words", Ink::Caption);
        assert_eq!(canvas.rows().count(), 2);
        assert!(!canvas.is_empty(9, 0));
        assert!(!canvas.put_if_empty(0, 5, 'x', Ink::Harm));
    }
}
