//! The head itself, drawn in a terminal's cells from its make-up, with the touched part and what is seen on it. A pure
//! function from a description to cells and a sentence; it judges nothing and reads nothing.

mod canvas;
mod scene;
mod shapes;
mod shapes_around;
mod shapes_small;
mod signs;
mod words;

use super::glyphs::Glyphs;
use super::theme::Theme;
use crate::rules::facts::{Facts, Field};
use crate::rules::model::{Case, RuleSet, Seen as Known, Word};
use crate::trade::class::{self, Colour};
use crate::trade::kind::{Element, Finish, Kind, Mount, Orientation};
use crate::trade::quantity::Temperature;
use crate::trade::words::words;
use canvas::Ink;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::text::{Line, Span};
use ratatui::widgets::Widget;

words! {
    /// A part of a head, as far as it can be drawn.
    pub enum Part ("part") {
        /// Bulb or link.
        Element = "element",
        /// The water seal and its cap.
        Seal = "seal",
        /// The deflector.
        Deflector = "deflector",
        /// The frame arms.
        Frame = "frame",
        /// The boss with its wrench flats and threads.
        Boss = "boss",
        /// The escutcheon, or the housing of a recessed, flush or concealed head.
        Escutcheon = "escutcheon",
        /// The cover plate of a concealed head.
        CoverPlate = "cover-plate",
        /// The whole head.
        Whole = "whole",
    }
}

words! {
    /// How much is drawn.
    pub enum Extent ("extent") {
        /// A few specks.
        Trace = "trace",
        /// About a third.
        Light = "light",
        /// About two thirds.
        Heavy = "heavy",
        /// All of it.
        Full = "full",
    }
}

words! {
    /// A sign that can be drawn. A rule set may know others: those are named below the head and their part is marked.
    pub enum Seen ("sign") {
        /// Water comes out.
        Leak = "leak",
        /// Corrosion.
        Corrosion = "corrosion",
        /// Bent or broken.
        Damage = "damage",
        /// The bulb's liquid is gone.
        FluidLoss = "fluid-loss",
        /// Dust, lint, grease.
        Loading = "loading",
        /// Paint that the factory did not put on.
        Paint = "paint",
        /// It points the wrong way.
        Turned = "turned",
        /// Something is in the way of its spray.
        Blocked = "blocked",
        /// Escutcheon or cover plate missing.
        Cover = "cover",
        /// A shipping cap or strap is still on.
        Strap = "strap",
        /// Something hangs on it.
        Hung = "hung",
        /// Its guard is missing or wrong.
        Guard = "guard",
        /// The head itself is missing.
        Missing = "missing",
        /// Its rating does not suit the ceiling.
        WrongRating = "wrong-rating",
        /// It is of a recalled make.
        Recalled = "recalled",
    }
}

/// Something seen on a head, in the rule set's own words.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Touch {
    sign: String,
    part: String,
    extent: String,
}

impl Touch {
    /// A sign on a part to an extent. Words that cannot be drawn are kept and shown; an unknown part marks the whole
    /// head, an unknown extent is drawn as light. Pass an empty sign to mark a part only.
    #[must_use]
    pub fn new(sign: &str, part: &str, extent: &str) -> Self {
        Self { sign: super::text::plain(sign), part: super::text::plain(part), extent: super::text::plain(extent) }
    }

    /// Marks a part, with no sign on it.
    #[must_use]
    pub fn part(part: Part) -> Self {
        Self::new("", part.as_str(), "")
    }

    fn seen(&self) -> Option<Seen> {
        Seen::parse(&self.sign).ok()
    }

    fn extent(&self) -> Extent {
        Extent::parse(&self.extent).unwrap_or(Extent::Light)
    }

    /// The part as it can be marked on this head: the whole head where the head has no such part.
    fn part_on(&self, spec: &PictureSpec) -> Part {
        Part::parse(&self.part).ok().filter(|p| spec.parts().contains(p)).unwrap_or(Part::Whole)
    }
}

/// A usual rating of each temperature class, in degrees Fahrenheit (common practice, no source); by its position in
/// [`Field::Temperature`].
const USUAL: [f64; 6] = [155.0, 200.0, 286.0, 360.0, 400.0, 500.0];

/// Everything a picture shows.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct PictureSpec {
    /// Which way it points.
    pub orientation: Orientation,
    /// How it sits. An upright head is always drawn exposed.
    pub mount: Mount,
    /// What holds it shut.
    pub element: Element,
    /// The bulb's liquid or the frame's mark ([`Kind::colour`]).
    pub colour: Option<Colour>,
    /// Factory finish.
    pub finish: Finish,
    /// Whether it has a guard.
    pub guard: bool,
    /// Whether it is a dry head with a barrel.
    pub dry: bool,
    /// What is seen on it; pointers and words go to the first.
    pub touches: Vec<Touch>,
}

impl PictureSpec {
    /// A sound head of that kind.
    #[must_use]
    pub fn of(kind: &Kind) -> Self {
        Self {
            orientation: kind.orientation,
            mount: kind.mount,
            element: kind.element,
            colour: kind.colour(),
            finish: kind.finish,
            guard: kind.guard,
            dry: kind.dry,
            touches: Vec::new(),
        }
    }

    /// A sound head with these facts. Of a rating only the class is known, so the colour is that of a usual rating of it.
    #[must_use]
    pub fn of_facts(facts: &Facts) -> Self {
        let at = |field: Field| usize::from(facts.get(field));
        let element = Element::ALL.get(at(Field::Element)).copied().unwrap_or(Element::Bulb);
        let usual = USUAL.get(at(Field::Temperature)).and_then(|f| Temperature::from_fahrenheit(*f));
        Self {
            orientation: Orientation::ALL.get(at(Field::Orientation)).copied().unwrap_or(Orientation::Pendent),
            mount: Mount::ALL.get(at(Field::Mount)).copied().unwrap_or(Mount::Exposed),
            element,
            colour: usual.and_then(|rating| match element {
                Element::Bulb => class::bulb_colour(rating),
                Element::Link => class::frame_colour(rating),
            }),
            finish: Finish::ALL.get(at(Field::Finish)).copied().unwrap_or(Finish::Chrome),
            guard: at(Field::Guard) != 0,
            dry: at(Field::Dry) != 0,
            touches: Vec::new(),
        }
    }

    /// A worked case of a rule, as it would look; `None` where it is about nothing that an eye sees.
    #[must_use]
    pub fn of_case(set: &RuleSet, case: &Case) -> Option<Self> {
        let sign = set.sign_at(case.sign).filter(|s| s.seen == Known::Eye)?;
        let word = |w: Option<&Word>| w.map_or("", |w| w.id.as_str()).to_owned();
        let touch = Touch::new(&sign.id, &word(set.part_at(case.part)), &word(set.extent_at(case.extent)));
        Some(Self::of_facts(&case.facts).with(touch))
    }

    /// The same head with one more thing seen on it.
    #[must_use]
    pub fn with(mut self, touch: Touch) -> Self {
        self.touches.push(touch);
        self
    }

    /// The parts this head is drawn with.
    #[must_use]
    pub fn parts(&self) -> Vec<Part> {
        let has = |part: &Part| match part {
            Part::Escutcheon => self.orientation != Orientation::Upright,
            Part::CoverPlate => self.drawn_mount() == Mount::Concealed,
            _ => true,
        };
        Part::ALL.iter().copied().filter(has).collect()
    }

    fn drawn_mount(&self) -> Mount {
        if self.orientation == Orientation::Upright { Mount::Exposed } else { self.mount }
    }

    /// The head in one sentence, for those who do not see the picture.
    #[must_use]
    pub fn describe(&self) -> String {
        words::sentence(self)
    }
}

/// How large a picture is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Size {
    /// 16 × 9 cells.
    Small,
    /// 28 × 15 cells.
    Large,
}

impl Size {
    /// Columns and rows.
    #[must_use]
    pub const fn cells(self) -> (u16, u16) {
        match self {
            Self::Small => (16, 9),
            Self::Large => (28, 15),
        }
    }

    /// The largest size that fits.
    #[must_use]
    pub fn fitting(area: Rect) -> Option<Self> {
        [Self::Large, Self::Small].into_iter().find(|s| {
            let (width, height) = s.cells();
            width <= area.width && height <= area.height
        })
    }
}

/// One cell of a picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PictureCell {
    /// Its sign, one column wide.
    pub glyph: char,
    /// Its style.
    pub style: Style,
    /// The part of the head it belongs to.
    pub part: Option<Part>,
    /// Whether that part is a touched one.
    pub touched: bool,
}

/// A drawn head.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// Its size.
    pub size: Size,
    /// Its rows, all of the same length.
    pub rows: Vec<Vec<PictureCell>>,
    /// The head in one sentence.
    pub description: String,
}

/// Draws a head. The same arguments give the same picture.
#[must_use]
pub fn draw(spec: &PictureSpec, size: Size, theme: &Theme, glyphs: &Glyphs) -> Picture {
    let canvas = scene::compose(spec, size, glyphs);
    let rows = canvas.rows().map(|row| row.iter().map(|d| cell(d, spec, theme)).collect()).collect();
    Picture { size, rows, description: spec.describe() }
}

fn cell(dot: &canvas::Dot, spec: &PictureSpec, theme: &Theme) -> PictureCell {
    let style = match dot.ink {
        Ink::Empty => theme.text,
        Ink::Metal if dot.touched => theme.touched,
        // The cap and washer of the seal are another metal than the frame.
        Ink::Metal if dot.part == Some(Part::Seal) => theme.text,
        Ink::Metal => theme.finish_style(spec.finish),
        Ink::Liquid => spec.colour.map_or(theme.text, |c| theme.colour_style(c)),
        Ink::Glass if dot.touched => theme.touched,
        Ink::Glass => theme.text,
        Ink::Around => theme.around,
        Ink::Guard => theme.dim,
        Ink::Water => theme.water,
        Ink::Rust => theme.rust,
        Ink::Paint => theme.paint,
        Ink::Dust => theme.dust,
        Ink::Harm => theme.error,
        Ink::Foreign => theme.foreign,
        Ink::Absent => theme.absent,
        Ink::Pointer | Ink::Finding => theme.accent,
        Ink::Caption => theme.dim,
    };
    // A touched bulb keeps its colour, which tells its rating; weight marks it.
    let style =
        if dot.touched && dot.ink == Ink::Liquid { style.add_modifier(theme.touched.add_modifier) } else { style };
    PictureCell { glyph: dot.glyph, style, part: dot.part, touched: dot.touched }
}

impl Picture {
    /// The picture as lines, for a paragraph.
    #[must_use]
    pub fn lines(&self) -> Vec<Line<'static>> {
        self.rows
            .iter()
            .map(|row| {
                let runs = row.chunk_by(|a, b| a.style == b.style);
                let spans = runs.map(|run| {
                    let style = run.first().map_or(Style::new(), |c| c.style);
                    Span::styled(run.iter().map(|c| c.glyph).collect::<String>(), style)
                });
                spans.collect()
            })
            .collect()
    }

    /// The picture as bare text, rows without trailing spaces.
    #[must_use]
    pub fn text(&self) -> String {
        let rows = self.rows.iter().map(|row| row.iter().map(|c| c.glyph).collect::<String>());
        rows.map(|row| format!("{}\n", row.trim_end())).collect()
    }
}

impl Widget for &Picture {
    /// Draws as much as the area holds.
    fn render(self, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        for (y, row) in (area.top()..area.bottom()).zip(&self.rows) {
            for (x, cell) in (area.left()..area.right()).zip(row) {
                if let Some(at) = buf.cell_mut((x, y)) {
                    at.set_char(cell.glyph).set_style(cell.style);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests;
