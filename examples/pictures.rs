//! Prints pictures of heads to the terminal, to look at them: `pictures [ascii] [small] [theme] [page]`.

use headround::trade::class::Colour;
use headround::trade::kind::{Element, Finish, Mount, Orientation};
use headround::tui::glyphs::Glyphs;
use headround::tui::picture::{Extent, Part, Picture, PictureSpec, Seen, Size, Touch, draw};
use headround::tui::theme::Theme;
use ratatui::backend::IntoCrossterm as _;
use std::io::Write as _;

fn head(orientation: Orientation, mount: Mount, element: Element, colour: Colour) -> PictureSpec {
    PictureSpec {
        orientation,
        mount,
        element,
        colour: Some(colour),
        finish: Finish::Brass,
        guard: false,
        dry: false,
        touches: Vec::new(),
    }
}

fn page(name: &str) -> Vec<PictureSpec> {
    let mut specs = Vec::new();
    match name {
        "signs" | "signs-upright" | "signs-sidewall" => {
            let orientation = match name {
                "signs" => Orientation::Pendent,
                "signs-upright" => Orientation::Upright,
                _ => Orientation::Sidewall,
            };
            for (sign, part, extent) in [
                ("leak", "seal", "heavy"),
                ("corrosion", "seal", "heavy"),
                ("damage", "deflector", "heavy"),
                ("fluid-loss", "element", "full"),
                ("loading", "deflector", "heavy"),
                ("paint", "element", "light"),
                ("turned", "whole", "full"),
                ("blocked", "deflector", "heavy"),
                ("cover", "escutcheon", "full"),
                ("strap", "element", "light"),
                ("hung", "frame", "heavy"),
                ("missing", "whole", "full"),
            ] {
                let head = head(orientation, Mount::Exposed, Element::Bulb, Colour::Red);
                specs.push(head.with(Touch::new(sign, part, extent)));
            }
        }
        "links" => {
            for orientation in Orientation::ALL {
                for (sign, part, extent) in [
                    ("paint", "element", "heavy"),
                    ("corrosion", "frame", "light"),
                    ("guard", "whole", "light"),
                    ("damage", "frame", "light"),
                ] {
                    let mut head = head(*orientation, Mount::Exposed, Element::Link, Colour::Blue);
                    head.guard = sign == "guard";
                    specs.push(head.with(Touch::new(sign, part, extent)));
                }
            }
        }
        "extents" => {
            for (sign, part) in [("fluid-loss", "element"), ("paint", "deflector"), ("loading", "whole")] {
                for extent in Extent::ALL {
                    let head = head(Orientation::Pendent, Mount::Exposed, Element::Bulb, Colour::Green);
                    specs.push(head.with(Touch::new(sign, part, extent.as_str())));
                }
            }
        }
        "parts" => {
            for part in Part::ALL {
                for orientation in [Orientation::Pendent, Orientation::Sidewall] {
                    let mount = if *part == Part::CoverPlate { Mount::Concealed } else { Mount::Exposed };
                    specs.push(head(orientation, mount, Element::Bulb, Colour::Red).with(Touch::part(*part)));
                }
            }
        }
        "guards" => {
            for orientation in Orientation::ALL {
                let plain = head(*orientation, Mount::Exposed, Element::Bulb, Colour::Red);
                specs.push(PictureSpec { guard: true, ..plain.clone() });
                specs.push(PictureSpec { dry: true, ..plain.clone() });
                specs.push(PictureSpec { guard: true, dry: true, finish: Finish::Chrome, ..plain.clone() });
                specs.push(plain.with(Touch::new(Seen::Turned.as_str(), "whole", "full")));
            }
        }
        _ => {
            for orientation in Orientation::ALL {
                for mount in Mount::ALL {
                    let link = *mount == Mount::Exposed && *orientation == Orientation::Upright;
                    let element = if link { Element::Link } else { Element::Bulb };
                    specs.push(head(*orientation, *mount, element, Colour::Red));
                }
            }
        }
    }
    specs
}

fn main() -> std::io::Result<()> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let has = |word: &str| words.iter().any(|w| w == word);
    let glyphs = if has("ascii") { Glyphs::ascii() } else { Glyphs::unicode() };
    let size = if has("small") { Size::Small } else { Size::Large };
    let theme = words.iter().find_map(|w| Theme::named(w)).unwrap_or_else(Theme::terminal);
    let pictures: Vec<Picture> =
        page(words.last().map_or("", String::as_str)).iter().map(|s| draw(s, size, theme, glyphs)).collect();
    let mut out = std::io::stdout().lock();
    let row = if size == Size::Small { 6 } else { 4 };
    for group in pictures.chunks(row) {
        for y in 0..usize::from(size.cells().1) {
            for picture in group {
                for cell in picture.rows.get(y).into_iter().flatten() {
                    let style: crossterm::style::ContentStyle = cell.style.into_crossterm();
                    write!(out, "{}", style.apply(cell.glyph))?;
                }
                write!(out, "   ")?;
            }
            writeln!(out)?;
        }
    }
    for picture in &pictures {
        if has("words") {
            writeln!(out, "{}", picture.description)?;
        }
    }
    out.flush()?;
    if has("hold") {
        std::thread::sleep(std::time::Duration::from_secs(5));
    }
    Ok(())
}
