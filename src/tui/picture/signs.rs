//! What the eye sees on a head, drawn over it. More extent, more marks; a heavier extent never marks less.

use super::canvas::{Canvas, Ink};
use super::scene::{empty_bulb, there};
use super::{Extent, Part, PictureSpec, Seen, Size, Touch, shapes, shapes_around, shapes_small};
use crate::trade::kind::{Element, Orientation};

/// Draws one sign on its part.
pub fn show(canvas: &mut Canvas, spec: &PictureSpec, size: Size, touch: &Touch) {
    let (part, extent) = (there(canvas, spec, touch), touch.extent());
    match touch.seen() {
        Some(Seen::Paint) => paint(canvas, part, extent),
        Some(Seen::Corrosion) => scatter(canvas, part, extent, '*', Ink::Rust),
        Some(Seen::Loading) => dust(canvas, part, extent),
        Some(Seen::Leak) => leak(canvas, part, extent),
        Some(Seen::FluidLoss) if spec.element == Element::Bulb => empty(canvas, spec, size, extent),
        Some(Seen::FluidLoss) => scatter(canvas, part, extent, '?', Ink::Harm),
        Some(Seen::Damage) if part == Part::Deflector => bend(canvas, spec, extent),
        Some(Seen::Damage) => crack(canvas, part, extent),
        Some(Seen::Cover) if matches!(part, Part::Escutcheon | Part::CoverPlate) => take_off(canvas, part, extent),
        Some(Seen::Missing) => ghost(canvas, Part::Whole),
        Some(Seen::Strap) => strap(canvas, spec, extent),
        Some(Seen::Hung) => hang(canvas, spec, size, extent),
        Some(Seen::Blocked) => block(canvas, spec, extent),
        Some(Seen::Guard) => broken_guard(canvas, spec, extent),
        // These show by the head's own make-up or way of hanging, or by nothing; the part is marked and named.
        Some(Seen::Cover | Seen::Turned | Seen::WrongRating | Seen::Recalled) | None => {}
    }
}

/// How many of `all` marks an extent makes: some at least, all when full.
const fn share(extent: Extent, all: usize) -> usize {
    let percent = match extent {
        Extent::Trace => 12,
        Extent::Light => 35,
        Extent::Heavy => 68,
        Extent::Full => 100,
    };
    (all * percent).div_ceil(100)
}

/// A fixed order that looks scattered.
fn scattered(x: usize, y: usize) -> u64 {
    // Fibonacci hashing (Knuth, The Art of Computer Programming 3, 6.4): near cells land far apart.
    let seed = (x as u64 * 73) ^ (y as u64 * 151);
    seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 40
}

/// Cells of the part, without those that a thing in front hides.
fn mark(canvas: &mut Canvas, places: &[(usize, usize)], glyph: char, ink: Ink) {
    for (x, y) in places {
        if let Some(dot) = canvas.get_mut(*x, *y) {
            (dot.glyph, dot.ink) = (glyph, ink);
        }
    }
}

fn scatter(canvas: &mut Canvas, part: Part, extent: Extent, glyph: char, ink: Ink) {
    let mut places = canvas.of_part(part);
    places.sort_by_key(|(x, y)| (scattered(*x, *y), *x));
    places.truncate(share(extent, places.len()));
    mark(canvas, &places, glyph, ink);
}

/// Overspray comes from one side: paint begins at the upper left and spreads.
fn paint(canvas: &mut Canvas, part: Part, extent: Extent) {
    let mut places = canvas.of_part(part);
    places.sort_by_key(|(x, y)| (x + y * 2, *x));
    places.truncate(share(extent, places.len()));
    let glyph = canvas.sign('▓', '%');
    mark(canvas, &places, glyph, Ink::Paint);
}

/// Dust lies on the part and is piled on top of it.
fn dust(canvas: &mut Canvas, part: Part, extent: Extent) {
    let places = canvas.of_part(part);
    let mut above: Vec<_> = places
        .iter()
        .filter_map(|(x, y)| y.checked_sub(1).map(|y| (*x, y)))
        .filter(|(x, y)| canvas.is_empty(*x, *y))
        .collect();
    above.sort_by_key(|(x, y)| (scattered(*x, *y), *x));
    above.truncate(share(extent, above.len()));
    let (flock, speck) = (canvas.sign('░', ':'), canvas.sign('∴', '.'));
    scatter(canvas, part, extent, flock, Ink::Dust);
    for (x, y) in above {
        canvas.put_if_empty(x, y, speck, Ink::Dust);
    }
}

/// Drops fall from the part through the free cells below it.
fn leak(canvas: &mut Canvas, part: Part, extent: Extent) {
    let places = canvas.of_part(part);
    let from = places.iter().map(|p| p.0).min().unwrap_or(0);
    let to = places.iter().map(|p| p.0).max().unwrap_or(0);
    let top = places.iter().map(|p| p.1).max().unwrap_or(0);
    let rows = canvas.height().saturating_sub(2);
    let mut free: Vec<(usize, usize)> = (top.saturating_sub(1)..rows)
        .flat_map(|y| (from.saturating_sub(1)..=to + 1).map(move |x| (x, y)))
        .filter(|(x, y)| canvas.is_empty(*x, *y))
        .collect();
    if free.is_empty() {
        free = canvas.places(|d| d.ink == Ink::Empty).into_iter().filter(|p| p.1 < rows).collect();
    }
    free.sort_by_key(|(x, y)| (scattered(*x, *y), *x));
    let drops = match extent {
        Extent::Trace => 1,
        Extent::Light => 3,
        Extent::Heavy => 6,
        Extent::Full => 12,
    };
    let (round, long) = (canvas.sign('•', 'o'), canvas.sign('╿', '!'));
    for (i, (x, y)) in free.into_iter().take(drops).enumerate() {
        canvas.put_if_empty(x, y, if i % 3 == 1 { long } else { round }, Ink::Water);
    }
}

/// Takes liquid out of the bulb from its upper or inner end; what is left stays coloured.
fn empty(canvas: &mut Canvas, spec: &PictureSpec, size: Size, extent: Extent) {
    let places = canvas.of_part(Part::Element);
    let (Some(x0), Some(y0)) = (places.iter().map(|p| p.0).min(), places.iter().map(|p| p.1).min()) else { return };
    let lying = spec.orientation == Orientation::Sidewall;
    let depth = |p: &(usize, usize)| if lying { p.0 - x0 } else { p.1 - y0 };
    let length = places.iter().map(depth).max().unwrap_or(0) + 1;
    let gone = match extent {
        Extent::Trace => length.div_ceil(5),
        Extent::Light => length.div_ceil(2),
        Extent::Heavy => length.saturating_sub(1).max(1),
        Extent::Full => length,
    };
    let mut hollow = Canvas::new(canvas.width(), canvas.height(), canvas.ascii());
    hollow.stamp(empty_bulb(spec.orientation, size), x0, y0);
    for (x, y) in places.iter().copied().filter(|p| depth(p) < gone) {
        let glyph = hollow.get(x, y).map_or(' ', |d| d.glyph);
        mark(canvas, &[(x, y)], glyph, Ink::Glass);
    }
}

/// Bends the deflector's far end out of its plane, towards the frame: what is left of the plane stays, the end rises
/// from where it is free to.
fn bend(canvas: &mut Canvas, spec: &PictureSpec, extent: Extent) {
    let places = canvas.of_part(Part::Deflector);
    let cells = match extent {
        Extent::Trace => 2,
        Extent::Light => 3,
        Extent::Heavy => 4,
        Extent::Full => 6,
    };
    let right = places.iter().map(|p| p.0).max().unwrap_or(0);
    let bottom = places.iter().map(|p| p.1).max().unwrap_or(0);
    let top = places.iter().map(|p| p.1).min().unwrap_or(0);
    let frame_below = canvas.of_part(Part::Frame).iter().any(|p| p.1 > bottom);
    let (rise, fall) = (canvas.sign('▞', '/'), canvas.sign('▚', '\\'));
    // The cell of the bent end that is `i` further from the plane, when the bend begins at `from`.
    let step = |from: usize, i: usize| match (spec.orientation, frame_below) {
        (Orientation::Sidewall, _) => (right.checked_sub(2 + i), Some(from + i), rise),
        (_, true) => (Some(from + i), Some(bottom + 1 + i), fall),
        (_, false) => (Some(from + i), top.checked_sub(1 + i), rise),
    };
    let free = |canvas: &Canvas, from: usize, i: usize| match step(from, i) {
        (Some(x), Some(y), _) => canvas.is_empty(x, y),
        _ => false,
    };
    let lying = spec.orientation == Orientation::Sidewall;
    let end = if lying { bottom } else { right };
    let Some(from) = (end + 1 - cells..=end).find(|from| free(canvas, *from, 0)) else {
        return crack(canvas, Part::Deflector, extent);
    };
    let lost: Vec<_> = places.into_iter().filter(|p| if lying { p.1 >= from } else { p.0 >= from }).collect();
    let ghost = canvas.sign('·', '.');
    mark(canvas, &lost, ghost, Ink::Absent);
    for i in 0..cells.min(4) {
        let (Some(x), Some(y), glyph) = step(from, i) else { break };
        if !canvas.is_empty(x, y) || y + 2 >= canvas.height() {
            break;
        }
        if let Some(dot) = canvas.get_mut(x, y) {
            (dot.glyph, dot.ink, dot.part, dot.touched) = (glyph, Ink::Harm, Some(Part::Deflector), true);
        }
    }
}

fn crack(canvas: &mut Canvas, part: Part, extent: Extent) {
    let glyph = canvas.sign('╳', 'x');
    scatter(canvas, part, extent, glyph, Ink::Harm);
}

/// Takes a plate or escutcheon off, from the right.
fn take_off(canvas: &mut Canvas, part: Part, extent: Extent) {
    let mut places = canvas.of_part(part);
    places.sort_by_key(|(x, y)| (std::cmp::Reverse(*x), *y));
    places.truncate(share(extent, places.len()));
    let glyph = canvas.sign('·', '.');
    mark(canvas, &places, glyph, Ink::Absent);
}

fn ghost(canvas: &mut Canvas, part: Part) {
    let places = canvas.of_part(part);
    let glyph = canvas.sign('·', '.');
    mark(canvas, &places, glyph, Ink::Absent);
}

/// A shipping strap: a clip along both sides of the element, with bands across it.
fn strap(canvas: &mut Canvas, spec: &PictureSpec, extent: Extent) {
    let places = canvas.of_part(Part::Element);
    let (Some(x0), Some(y0)) = (places.iter().map(|p| p.0).min(), places.iter().map(|p| p.1).min()) else { return };
    let x1 = places.iter().map(|p| p.0).max().unwrap_or(x0);
    let y1 = places.iter().map(|p| p.1).max().unwrap_or(y0);
    let (side, band) = (canvas.sign('║', 'H'), canvas.sign('═', '='));
    let lying = spec.orientation == Orientation::Sidewall;
    if lying {
        for x in x0..=x1 {
            canvas.put_if_empty(x, y0.saturating_sub(1), band, Ink::Foreign);
            canvas.put_if_empty(x, y1 + 1, band, Ink::Foreign);
        }
    } else {
        for y in y0..=y1 {
            canvas.put_if_empty(x0.saturating_sub(1), y, side, Ink::Foreign);
            canvas.put_if_empty(x1 + 1, y, side, Ink::Foreign);
        }
    }
    let (length, start) = if lying { (x1 - x0 + 1, x0) } else { (y1 - y0 + 1, y0) };
    let bands = share(extent, length.div_ceil(2)).max(1);
    for i in 0..bands {
        let at = start + (i * 2 + length / 2) % length;
        let across: Vec<_> = places.iter().filter(|p| if lying { p.0 == at } else { p.1 == at }).copied().collect();
        mark(canvas, &across, if lying { side } else { band }, Ink::Foreign);
    }
}

/// A coat hanger on a frame arm; heavier, and another hangs on the other side.
fn hang(canvas: &mut Canvas, spec: &PictureSpec, size: Size, extent: Extent) {
    let frame = canvas.of_part(Part::Frame);
    let left = frame.iter().map(|p| p.0).min().unwrap_or(0);
    let right = frame.iter().map(|p| p.0).max().unwrap_or(0);
    let bottom = frame.iter().map(|p| p.1).max().unwrap_or(0);
    let top = frame.iter().filter(|p| p.0 == left).map(|p| p.1).min().unwrap_or(0);
    let heavy = matches!(extent, Extent::Heavy | Extent::Full);
    match (spec.orientation, size) {
        (Orientation::Sidewall, Size::Large) => {
            canvas.stamp_behind(&shapes_around::HANGER_BELOW, left + 1, bottom + 1);
            if heavy {
                canvas.stamp_behind(&shapes_around::HANGER_BELOW, left + 7, bottom + 1);
            }
        }
        (Orientation::Sidewall, Size::Small) => {
            canvas.stamp_behind(&shapes_small::HANGER_BELOW, left, bottom + 1);
            if heavy {
                canvas.stamp_behind(&shapes_small::HANGER_BELOW, left + 4, bottom + 1);
            }
        }
        (_, Size::Large) => {
            canvas.stamp_behind(&shapes_around::HANGER, left.saturating_sub(5), top + 1);
            if heavy {
                mirror(canvas, &shapes_around::HANGER, 5, right + 1, top + 1);
            }
        }
        (_, Size::Small) => {
            canvas.stamp_behind(&shapes_small::HANGER, left.saturating_sub(2), top);
            if heavy {
                mirror(canvas, &shapes_small::HANGER, 2, right + 1, top);
            }
        }
    }
}

/// Stamps a shape seen in a mirror, behind what stands there.
fn mirror(canvas: &mut Canvas, shape: &shapes::Shape, width: usize, x: usize, y: usize) {
    let mut aside = Canvas::new(width, canvas.height(), canvas.ascii());
    aside.stamp(shape, 0, 0);
    for (dx, dy) in aside.places(|d| d.ink != Ink::Empty) {
        let glyph = aside.get(dx, dy).map_or(' ', |d| d.glyph);
        let glyph = match glyph {
            '╭' => '╮',
            '╱' => '╲',
            '╲' => '╱',
            '╴' => '╶',
            '/' => '\\',
            '\\' => '/',
            other => other,
        };
        canvas.put_if_empty(x + width - 1 - dx, y + dy, glyph, Ink::Foreign);
    }
}

/// Stock or a beam in the way: a mass at the side, nearer and larger with the extent.
fn block(canvas: &mut Canvas, spec: &PictureSpec, extent: Extent) {
    let rows = canvas.height().saturating_sub(2);
    let deflector = canvas.of_part(Part::Deflector);
    let right = deflector.iter().map(|p| p.0).max().unwrap_or(0);
    let edge = canvas.width().saturating_sub(1);
    let near = if right + 2 < edge { right + 2 } else { right + 1 };
    let high = share(extent, rows);
    let glyph = canvas.sign('▓', '&');
    let from = if spec.orientation == Orientation::Upright { 0 } else { rows - high };
    for y in from..from + high {
        for x in near..edge {
            canvas.put_if_empty(x, y, glyph, Ink::Foreign);
        }
    }
    let bottom = deflector.iter().map(|p| p.1).max().unwrap_or(0);
    if spec.orientation == Orientation::Pendent && extent != Extent::Trace {
        let columns = share(extent, edge.saturating_sub(1));
        for y in bottom + 1..rows {
            for x in edge.saturating_sub(columns)..edge {
                canvas.put_if_empty(x, y, glyph, Ink::Foreign);
            }
        }
    }
}

/// Part of the guard is gone, or all of it.
fn broken_guard(canvas: &mut Canvas, spec: &PictureSpec, extent: Extent) {
    let mut wires = canvas.places(|d| d.ink == Ink::Guard);
    wires.sort_by_key(|(x, y)| (std::cmp::Reverse(*x), *y));
    let lost = if spec.guard { share(extent, wires.len()) } else { wires.len() };
    wires.truncate(lost);
    let glyph = canvas.sign('·', '.');
    mark(canvas, &wires, glyph, Ink::Absent);
}
