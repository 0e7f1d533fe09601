//! The picture in words: the sentence for those who do not see it, and the captions below it.

use super::{Part, PictureSpec, Seen, Touch};
use crate::trade::class::Colour;
use crate::trade::kind::{Element, Mount};

fn name(spec: &PictureSpec) -> String {
    let mount = if spec.mount == Mount::Exposed { String::new() } else { format!("{} ", spec.mount) };
    format!("{mount}{}", spec.orientation)
}

fn element(spec: &PictureSpec) -> String {
    match (spec.element, spec.colour) {
        (Element::Bulb, Some(Colour::Uncoloured)) => "clear bulb".to_owned(),
        (Element::Bulb, Some(colour)) => format!("{colour} bulb"),
        (Element::Bulb, None) => "bulb".to_owned(),
        (Element::Link, Some(Colour::Uncoloured)) => "link, unmarked".to_owned(),
        (Element::Link, Some(colour)) => format!("link, {colour} mark"),
        (Element::Link, None) => "link".to_owned(),
    }
}

/// Captions of what the head is, the fullest first.
pub fn make_up(spec: &PictureSpec) -> Vec<String> {
    let (name, element) = (name(spec), element(spec));
    let dry = if spec.dry { "dry " } else { "" };
    let mut options = vec![
        format!("{dry}{name}, {element}"),
        format!("{dry}{}, {element}", spec.orientation),
        format!("{dry}{element}"),
        element.clone(),
    ];
    if let (Element::Link, Some(colour)) = (spec.element, spec.colour) {
        options.push(format!("link, {colour}"));
    }
    options
}

/// Captions of what is seen: on one line with the part first, because it matters most, or on two; fullest first.
pub struct Finding {
    pub whole: Vec<String>,
    pub part: String,
    pub sign: Vec<String>,
}

/// The captions of a touch that is the first of `count`.
pub fn finding(touch: &Touch, count: usize) -> Finding {
    let more = if count > 1 { format!(" +{}", count - 1) } else { String::new() };
    let Touch { sign, part, extent } = touch;
    let mut signs = Vec::new();
    if !extent.is_empty() {
        signs.push(format!("{sign}, {extent}{more}"));
    }
    signs.push(format!("{sign}{more}"));
    let whole = if sign.is_empty() {
        vec![format!("{part}{more}")]
    } else {
        signs.iter().map(|s| format!("{part}: {s}")).collect()
    };
    Finding { whole, part: part.clone(), sign: signs }
}

/// One sentence with everything the picture shows.
pub fn sentence(spec: &PictureSpec) -> String {
    let dry = if spec.dry { "dry " } else { "" };
    let colour = match (spec.element, spec.colour) {
        (Element::Bulb, None) => "with a bulb whose colour is not known".to_owned(),
        (Element::Bulb, Some(Colour::Uncoloured)) => "with a bulb of clear liquid".to_owned(),
        (Element::Bulb, Some(colour)) => format!("with a bulb of {colour} liquid"),
        (Element::Link, None) => "with a solder link, its colour mark not known".to_owned(),
        (Element::Link, Some(Colour::Uncoloured)) => "with a solder link and no colour mark".to_owned(),
        (Element::Link, Some(colour)) => format!("with a solder link and a {colour} mark on its frame"),
    };
    let guard = if spec.guard { ", in a guard" } else { "" };
    let what = format!("{dry}{}", name(spec));
    let article = if what.starts_with(['a', 'e', 'i', 'o', 'u']) { "An" } else { "A" };
    let mut text = format!("{article} {what} head {colour}, finish {}{guard}", spec.finish);
    if spec.touches.is_empty() {
        text.push_str(", no sign drawn on it");
    }
    for (i, touch) in spec.touches.iter().enumerate() {
        text.push_str(if i == 0 { ": " } else { "; " });
        text.push_str(&seen(touch));
    }
    text.push('.');
    text
}

fn seen(touch: &Touch) -> String {
    let part = match Part::parse(&touch.part) {
        Ok(Part::Whole) => "the whole head".to_owned(),
        Ok(Part::CoverPlate) => "the cover plate".to_owned(),
        _ if touch.part.is_empty() => "the whole head".to_owned(),
        _ => format!("the {}", touch.part),
    };
    let what = match touch.seen() {
        Some(Seen::Leak) => format!("water leaks at {part}"),
        Some(Seen::Corrosion) => format!("corrosion on {part}"),
        Some(Seen::Damage) => format!("{part} is bent or broken"),
        Some(Seen::FluidLoss) => format!("liquid is missing from {part}"),
        Some(Seen::Loading) => format!("dust or lint on {part}"),
        Some(Seen::Paint) => format!("paint on {part}"),
        Some(Seen::Turned) => format!("{part} is mounted the wrong way up"),
        Some(Seen::Blocked) => format!("something blocks the spray of {part}"),
        Some(Seen::Cover) => format!("{part} is missing or incomplete"),
        Some(Seen::Strap) => format!("a shipping strap is still on {part}"),
        Some(Seen::Hung) => format!("something hangs on {part}"),
        Some(Seen::Guard) => format!("the guard around {part} is missing or wrong"),
        Some(Seen::Missing) => format!("{part} is not there"),
        Some(Seen::WrongRating) => format!("the rating told by {part} does not suit the ceiling"),
        Some(Seen::Recalled) => format!("{part} is of a recalled make"),
        None if touch.sign.is_empty() => format!("{part} is marked"),
        None => format!("{} on {part}", touch.sign),
    };
    if touch.extent.is_empty() { what } else { format!("{what} ({})", touch.extent) }
}
