//! Puts a head together: where it sits, the head with its element, the guard, what is seen on it, pointers and words.

use super::canvas::{Canvas, Ink};
use super::shapes::Shape;
use super::{Part, PictureSpec, Seen, Size, Touch, shapes, shapes_around, shapes_small, signs, words};
use crate::trade::class::Colour;
use crate::trade::kind::{Element, Mount, Orientation};
use crate::tui::glyphs::Glyphs;

/// A head's shape, where its element goes on it, and the element's shapes.
struct Head {
    shape: &'static Shape,
    size: (usize, usize),
    bulb: (&'static Shape, usize, usize),
    link: (&'static Shape, usize, usize),
}

const fn head(orientation: Orientation, size: Size) -> Head {
    match (size, orientation) {
        (Size::Large, Orientation::Pendent) => {
            Head { shape: &shapes::PENDENT, size: (17, 10), bulb: (&shapes::BULB, 7, 3), link: (&shapes::LINK, 5, 3) }
        }
        (Size::Large, Orientation::Upright) => {
            Head { shape: &shapes::UPRIGHT, size: (19, 11), bulb: (&shapes::BULB, 8, 3), link: (&shapes::LINK, 6, 3) }
        }
        (Size::Large, Orientation::Sidewall) => Head {
            shape: &shapes::SIDEWALL,
            size: (19, 11),
            bulb: (&shapes::BULB_LYING, 5, 5),
            link: (&shapes::LINK_LYING, 5, 4),
        },
        (Size::Small, Orientation::Pendent) => Head {
            shape: &shapes_small::PENDENT,
            size: (12, 6),
            bulb: (&shapes_small::BULB, 5, 2),
            link: (&shapes_small::LINK, 4, 2),
        },
        (Size::Small, Orientation::Upright) => Head {
            shape: &shapes_small::UPRIGHT,
            size: (13, 6),
            bulb: (&shapes_small::BULB, 5, 2),
            link: (&shapes_small::LINK, 4, 2),
        },
        (Size::Small, Orientation::Sidewall) => Head {
            shape: &shapes_small::SIDEWALL,
            size: (11, 7),
            bulb: (&shapes_small::BULB_LYING, 3, 3),
            link: (&shapes_small::LINK_LYING, 3, 3),
        },
    }
}

/// A shape and its upper left corner.
type Stamp = (&'static Shape, usize, usize);

/// Where a head sits: the head's corner, what is around it, and its guard (turned over where it stands).
struct Setting {
    at: (usize, usize),
    around: Vec<Stamp>,
    guard: (Stamp, bool),
}

fn setting(spec: &PictureSpec, size: Size, turned: bool) -> Setting {
    match (size, spec.orientation) {
        (Size::Large, Orientation::Sidewall) => large_wall(spec.drawn_mount()),
        (Size::Small, Orientation::Sidewall) => small_wall(spec.drawn_mount()),
        (Size::Large, Orientation::Pendent) if turned => Setting {
            at: (5, 2),
            around: vec![(&shapes_around::DECK, 1, 0), (&shapes_around::PIPE_BELOW, 1, 12)],
            guard: ((&shapes_around::GUARD, 1, 1), true),
        },
        (Size::Small, Orientation::Pendent) if turned => Setting {
            at: (1, 0),
            around: vec![(&shapes_small::PIPE_BELOW, 1, 6)],
            guard: ((&shapes_small::GUARD, 1, 0), true),
        },
        (Size::Large, Orientation::Upright) if turned => Setting {
            at: (4, 1),
            around: vec![(&shapes_around::PIPE_ABOVE, 1, 0)],
            guard: ((&shapes_around::GUARD, 1, 2), false),
        },
        (Size::Small, Orientation::Upright) if turned => {
            Setting { at: (1, 0), around: Vec::new(), guard: ((&shapes_small::GUARD, 1, 0), false) }
        }
        (Size::Large, Orientation::Upright) if spec.dry => Setting {
            at: (4, 0),
            around: vec![(&shapes_around::BARREL, 9, 11), (&shapes_around::PIPE_BELOW, 1, 12)],
            guard: ((&shapes_around::GUARD, 1, 0), true),
        },
        (Size::Large, Orientation::Upright) => Setting {
            at: (4, 1),
            around: if spec.guard {
                vec![(&shapes_around::PIPE_BELOW, 1, 12)]
            } else {
                vec![(&shapes_around::DECK, 1, 0), (&shapes_around::PIPE_BELOW, 1, 12)]
            },
            guard: ((&shapes_around::GUARD, 1, 0), true),
        },
        (Size::Small, Orientation::Upright) => Setting {
            at: (1, 1),
            around: if spec.guard { Vec::new() } else { vec![(&shapes_small::DECK, 1, 0)] },
            guard: ((&shapes_small::GUARD_ABOVE, 1, 0), false),
        },
        (Size::Large, Orientation::Pendent) => {
            let (at, around): ((usize, usize), Stamp) = match spec.drawn_mount() {
                Mount::Exposed if spec.dry => ((5, 3), (&shapes_around::CEILING_DRY, 1, 0)),
                Mount::Exposed => ((5, 2), (&shapes_around::CEILING, 1, 0)),
                Mount::Recessed => ((5, 1), (&shapes_around::RECESS, 1, 0)),
                Mount::Flush => ((5, 1), (&shapes_around::FLUSH, 1, 0)),
                Mount::Concealed => ((5, 1), (&shapes_around::CONCEAL, 1, 0)),
            };
            Setting { at, around: vec![around], guard: ((&shapes_around::GUARD, 1, 2), false) }
        }
        (Size::Small, Orientation::Pendent) => {
            let (at, around): ((usize, usize), Stamp) = match spec.drawn_mount() {
                Mount::Exposed => ((1, 1), (&shapes_small::CEILING, 1, 0)),
                Mount::Recessed => ((1, 1), (&shapes_small::RECESS, 1, 0)),
                Mount::Flush => ((1, 1), (&shapes_small::FLUSH, 1, 0)),
                Mount::Concealed => ((1, 0), (&shapes_small::CONCEAL, 1, 0)),
            };
            Setting { at, around: vec![around], guard: ((&shapes_small::GUARD, 1, 1), false) }
        }
    }
}

fn large_wall(mount: Mount) -> Setting {
    let (at, around): ((usize, usize), Stamp) = match mount {
        Mount::Exposed => ((4, 1), (&shapes_around::WALL, 1, 0)),
        Mount::Recessed => ((2, 1), (&shapes_around::WALL_RECESS, 1, 0)),
        Mount::Flush => ((2, 1), (&shapes_around::WALL_FLUSH, 1, 0)),
        Mount::Concealed => ((2, 1), (&shapes_around::WALL_CONCEAL, 1, 0)),
    };
    Setting { at, around: vec![around], guard: ((&shapes_around::GUARD_LYING, 4, 0), false) }
}

fn small_wall(mount: Mount) -> Setting {
    let (at, around): ((usize, usize), Stamp) = match mount {
        Mount::Exposed => ((3, 0), (&shapes_small::WALL, 1, 0)),
        Mount::Recessed => ((2, 0), (&shapes_small::WALL_RECESS, 1, 0)),
        Mount::Flush => ((2, 0), (&shapes_small::WALL_FLUSH, 1, 0)),
        Mount::Concealed => ((2, 0), (&shapes_small::WALL_CONCEAL, 1, 0)),
    };
    Setting { at, around: vec![around], guard: ((&shapes_small::GUARD_LYING, 3, 0), false) }
}

/// The empty shape of a bulb, by which liquid is taken out.
pub const fn empty_bulb(orientation: Orientation, size: Size) -> &'static Shape {
    match (size, orientation) {
        (Size::Large, Orientation::Sidewall) => &shapes::BULB_LYING_EMPTY,
        (Size::Large, _) => &shapes::BULB_EMPTY,
        (Size::Small, Orientation::Sidewall) => &shapes_small::BULB_LYING_EMPTY,
        (Size::Small, _) => &shapes_small::BULB_EMPTY,
    }
}

/// The whole picture, captions included.
pub fn compose(spec: &PictureSpec, size: Size, glyphs: &Glyphs) -> Canvas {
    let (width, height) = size.cells();
    let mut canvas = Canvas::new(usize::from(width), usize::from(height), glyphs.ascii);
    let turned = spec.touches.iter().any(|t| t.seen() == Some(Seen::Turned));
    let setting = setting(spec, size, turned);
    for (shape, x, y) in setting.around {
        canvas.stamp(shape, x, y);
    }
    canvas.overlay(&body(spec, size, turned, glyphs.ascii), setting.at.0, setting.at.1);
    if spec.dry {
        for (x, y) in canvas.of_part(Part::Boss) {
            let barrel = canvas.sign('▒', '%');
            if let Some(dot) = canvas.get_mut(x, y).filter(|d| matches!(d.glyph, '█' | '#')) {
                dot.glyph = barrel;
            }
        }
    }
    let ((shape, x, y), over) = setting.guard;
    if spec.guard || spec.touches.iter().any(|t| t.seen() == Some(Seen::Guard)) {
        let rows = shape.key.lines().count().saturating_sub(1);
        let mut guard = Canvas::new(usize::from(width), rows, glyphs.ascii);
        guard.stamp(shape, x, 0);
        if over {
            guard.flip();
        }
        for (gx, gy) in guard.places(|d| d.ink == Ink::Guard) {
            let glyph = guard.get(gx, gy).map_or(' ', |d| d.glyph);
            canvas.put_if_empty(gx, gy + y, glyph, Ink::Guard);
        }
    }
    for touch in &spec.touches {
        for (x, y) in canvas.of_part(there(&canvas, spec, touch)) {
            if let Some(dot) = canvas.get_mut(x, y) {
                dot.touched = true;
            }
        }
    }
    for touch in &spec.touches {
        signs::show(&mut canvas, spec, size, touch);
    }
    if let Some(first) = spec.touches.first() {
        let part = there(&canvas, spec, first);
        point(&mut canvas, part, glyphs);
    }
    caption(&mut canvas, spec, glyphs);
    canvas
}

/// The touched part as it stands on the canvas: a head turned over has lost its escutcheon, so all of it is marked.
pub fn there(canvas: &Canvas, spec: &PictureSpec, touch: &Touch) -> Part {
    let part = touch.part_on(spec);
    if canvas.of_part(part).is_empty() { Part::Whole } else { part }
}

fn body(spec: &PictureSpec, size: Size, turned: bool, ascii: bool) -> Canvas {
    let head = head(spec.orientation, size);
    let mut body = Canvas::new(head.size.0, head.size.1, ascii);
    body.stamp(head.shape, 0, 0);
    let (shape, x, y) = match spec.element {
        Element::Bulb => head.bulb,
        Element::Link => head.link,
    };
    body.stamp(shape, x, y);
    match spec.element {
        Element::Bulb => {
            for (x, y) in body.of_part(Part::Element) {
                if let Some(dot) = body.get_mut(x, y) {
                    dot.ink = Ink::Liquid;
                }
            }
        }
        Element::Link => {
            if spec.colour.is_some_and(|c| c != Colour::Uncoloured) {
                mark_frame(&mut body, spec.orientation);
            }
        }
    }
    if turned {
        body.flip();
    }
    body
}

/// The colour by which a fusible head's rating is told: a mark in the middle of each frame arm.
fn mark_frame(body: &mut Canvas, orientation: Orientation) {
    let frame = body.of_part(Part::Frame);
    let lying = orientation == Orientation::Sidewall;
    // Along a standing head the arms are a column each, along a lying one a row each.
    let along = |p: &(usize, usize)| if lying { p.0 } else { p.1 };
    let across = |p: &(usize, usize)| if lying { p.1 } else { p.0 };
    let element = body.of_part(Part::Element);
    let middle = element.iter().map(along).sum::<usize>() / element.len().max(1);
    let there: Vec<_> = frame.into_iter().filter(|p| along(p) == middle).collect();
    let sign = body.sign('■', 'H');
    let ends = [there.iter().min_by_key(|p| across(p)), there.iter().max_by_key(|p| across(p))];
    for (x, y) in ends.into_iter().flatten().copied() {
        if let Some(dot) = body.get_mut(x, y) {
            (dot.glyph, dot.ink) = (sign, Ink::Liquid);
        }
    }
}

/// Sets pointers beside the touched part, on cells where nothing stands.
fn point(canvas: &mut Canvas, part: Part, glyphs: &Glyphs) {
    let rows = canvas.height().saturating_sub(2);
    let right = canvas.width().saturating_sub(1);
    let sign = |s: &str| s.chars().next().unwrap_or('*');
    let (into_right, into_left) = (sign(glyphs.point_right), sign(glyphs.point_left));
    let (into_down, into_up) = (sign(glyphs.down), sign(glyphs.up));
    let cells = canvas.of_part(part);
    let middle = |values: &mut Vec<usize>| {
        values.sort_unstable();
        values.dedup();
        values.get(values.len() / 2).copied().unwrap_or(0)
    };
    let mut ys: Vec<usize> = cells.iter().map(|c| c.1).collect();
    let mid = middle(&mut ys);
    if part == Part::Whole {
        canvas.put_if_empty(0, mid, into_right, Ink::Pointer);
        canvas.put_if_empty(right, mid, into_left, Ink::Pointer);
        return;
    }
    // Where the part is widest the pointers stand outside of it, and of those rows the middle one.
    let span = |y: usize| {
        let xs = cells.iter().filter(|c| c.1 == y).map(|c| c.0);
        xs.clone().max().unwrap_or(0) - xs.min().unwrap_or(0)
    };
    ys.sort_by_key(|y| (std::cmp::Reverse(span(*y)), y.abs_diff(mid)));
    for reach in [1, 2] {
        for y in &ys {
            let xs = cells.iter().filter(|c| c.1 == *y).map(|c| c.0);
            let (Some(from), Some(to)) = (xs.clone().min(), xs.max()) else { continue };
            let left = (1..=reach).filter_map(|d| from.checked_sub(d)).find(|x| canvas.is_empty(*x, *y));
            let after = (1..=reach).map(|d| to + d).find(|x| canvas.is_empty(*x, *y));
            if let (Some(left), Some(after)) = (left, after) {
                canvas.put_if_empty(left, *y, into_right, Ink::Pointer);
                canvas.put_if_empty(after, *y, into_left, Ink::Pointer);
                return;
            }
        }
    }
    let mut xs: Vec<usize> = cells.iter().map(|c| c.0).collect();
    xs.sort_unstable();
    xs.dedup();
    let mid_x = (xs.first().unwrap_or(&0) + xs.last().unwrap_or(&0)) / 2;
    xs.sort_by_key(|x| x.abs_diff(mid_x));
    let free = |canvas: &Canvas, x: usize| {
        let column = cells.iter().filter(|c| c.0 == x).map(|c| c.1);
        let above = column.clone().min()?.checked_sub(1).filter(|y| canvas.is_empty(x, *y));
        let below = column.max().map(|y| y + 1).filter(|y| *y < rows && canvas.is_empty(x, *y));
        (above.is_some() || below.is_some()).then_some((above, below))
    };
    if let Some(x) = xs.iter().copied().find(|x| free(canvas, *x).is_some()) {
        // A part that goes around another is pointed at on both sides.
        let mirrored = (mid_x * 2).saturating_sub(x);
        for x in [x, mirrored] {
            let Some((above, below)) = free(canvas, x) else { continue };
            above.map(|y| canvas.put_if_empty(x, y, into_down, Ink::Pointer));
            below.map(|y| canvas.put_if_empty(x, y, into_up, Ink::Pointer));
        }
        return;
    }
    // The outermost columns are kept free for this.
    canvas.put_if_empty(0, mid, into_right, Ink::Pointer);
    canvas.put_if_empty(right, mid, into_left, Ink::Pointer);
}

fn caption(canvas: &mut Canvas, spec: &PictureSpec, glyphs: &Glyphs) {
    let room = canvas.width().saturating_sub(1);
    let width = crate::tui::text::width;
    let cut = |text: &str| crate::tui::text::truncate(text, room, glyphs.ellipsis);
    let fitting = |options: &[String]| {
        let best = options.iter().find(|o| width(o) <= room).or(options.last());
        best.map(|o| cut(o)).unwrap_or_default()
    };
    let (upper, lower) = (canvas.height().saturating_sub(2), canvas.height().saturating_sub(1));
    let Some(first) = spec.touches.first() else {
        canvas.write(1, upper, &fitting(&words::make_up(spec)), Ink::Caption);
        return;
    };
    let found = words::finding(first, spec.touches.len());
    if found.whole.iter().any(|o| width(o) <= room) {
        canvas.write(1, upper, &fitting(&words::make_up(spec)), Ink::Caption);
        canvas.write(1, lower, &fitting(&found.whole), Ink::Finding);
        canvas.write(0, lower, glyphs.point_right, Ink::Pointer);
    } else {
        // The part and its sign matter more here than the make-up, which the words beside a picture name too.
        canvas.write(0, upper, glyphs.point_right, Ink::Pointer);
        canvas.write(1, upper, &cut(&found.part), Ink::Finding);
        canvas.write(1, lower, &fitting(&found.sign), Ink::Finding);
    }
}
