//! What a picture promises for every make-up, part, sign and extent, and how a dozen of them look.

use super::*;
use crate::tui::text::width;
use ratatui::layout::Position;
use std::collections::BTreeSet;

const SIZES: [Size; 2] = [Size::Small, Size::Large];

fn sets() -> [&'static Glyphs; 2] {
    [Glyphs::unicode(), Glyphs::ascii()]
}

fn head(orientation: Orientation, mount: Mount, element: Element) -> PictureSpec {
    let colour = Some(if element == Element::Bulb { Colour::Red } else { Colour::White });
    PictureSpec {
        orientation,
        mount,
        element,
        colour,
        finish: Finish::Brass,
        guard: false,
        dry: false,
        touches: vec![],
    }
}

fn pendent() -> PictureSpec {
    head(Orientation::Pendent, Mount::Exposed, Element::Bulb)
}

/// Every make-up that is drawn in its own way.
fn heads() -> Vec<PictureSpec> {
    let mut all = Vec::new();
    for orientation in Orientation::ALL {
        for mount in Mount::ALL {
            for element in Element::ALL {
                for (guard, dry) in [(false, false), (true, false), (false, true), (true, true)] {
                    all.push(PictureSpec { guard, dry, ..head(*orientation, *mount, *element) });
                }
            }
        }
    }
    all
}

fn plainly(spec: &PictureSpec, size: Size) -> Picture {
    draw(spec, size, Theme::mono(), Glyphs::ascii())
}

/// The picture's text without its captions.
fn art(picture: &Picture) -> String {
    let rows = picture.rows.len() - 2;
    picture.text().lines().take(rows).map(|l| format!("{l}\n")).collect()
}

fn differences(a: &Picture, b: &Picture) -> usize {
    art(a)
        .lines()
        .zip(art(b).lines())
        .map(|(a, b)| {
            let (a, b): (Vec<_>, Vec<_>) = (a.chars().collect(), b.chars().collect());
            (0..a.len().max(b.len())).filter(|i| a.get(*i).unwrap_or(&' ') != b.get(*i).unwrap_or(&' ')).count()
        })
        .sum()
}

fn check_cells(picture: &Picture, ascii: bool) {
    let (columns, rows) = picture.size.cells();
    assert_eq!(picture.rows.len(), usize::from(rows));
    for row in &picture.rows {
        assert_eq!(row.len(), usize::from(columns));
        for cell in row {
            assert_eq!(width(&cell.glyph.to_string()), 1, "{:?}", cell.glyph);
            assert!(cell.glyph.is_ascii() || !ascii, "{:?}", cell.glyph);
        }
    }
}

#[test]
fn every_combination_fills_its_size_with_single_columns() {
    for spec in heads() {
        for (size, nth) in SIZES.into_iter().zip(0..) {
            for glyphs in sets() {
                check_cells(&draw(&spec, size, Theme::terminal(), glyphs), glyphs.ascii);
                if spec.guard != spec.dry {
                    continue;
                }
                // One part a sign, another at the other size, so that all are met over all heads.
                for (i, sign) in Seen::ALL.iter().enumerate() {
                    let part = Part::ALL[(i + nth * 3) % Part::ALL.len()];
                    let extent = Extent::ALL[(i + nth) % Extent::ALL.len()];
                    let touch = Touch::new(sign.as_str(), part.as_str(), extent.as_str());
                    check_cells(&draw(&spec.clone().with(touch), size, Theme::terminal(), glyphs), glyphs.ascii);
                }
            }
        }
    }
}

#[test]
fn every_sign_on_every_part_to_every_extent_can_be_drawn() {
    for orientation in Orientation::ALL {
        for mount in [Mount::Exposed, Mount::Concealed] {
            for sign in Seen::ALL {
                for part in Part::ALL {
                    for extent in Extent::ALL {
                        let touch = Touch::new(sign.as_str(), part.as_str(), extent.as_str());
                        let spec = head(*orientation, mount, Element::Link).with(touch);
                        for size in SIZES {
                            check_cells(&plainly(&spec, size), true);
                        }
                    }
                }
            }
        }
    }
}

#[test]
fn every_part_a_head_has_is_marked_by_style_and_by_a_pointer() {
    let looks = [(Theme::terminal(), Glyphs::unicode()), (Theme::mono(), Glyphs::ascii())];
    for spec in heads().into_iter().filter(|s| s.guard == s.dry) {
        for size in SIZES {
            for (theme, glyphs) in looks {
                let bare = draw(&spec, size, theme, glyphs);
                for part in spec.parts() {
                    let marked = draw(&spec.clone().with(Touch::part(part)), size, theme, glyphs);
                    check_marks(&bare, &marked, part, glyphs);
                }
            }
        }
    }
}

fn check_marks(bare: &Picture, marked: &Picture, part: Part, glyphs: &Glyphs) {
    let place = format!("{}\n{}", marked.description, marked.text());
    let pairs: Vec<_> = bare.rows.iter().flatten().zip(marked.rows.iter().flatten()).collect();
    let touched: Vec<_> = pairs.iter().filter(|(_, m)| m.touched).collect();
    assert!(!touched.is_empty(), "{place}");
    assert!(touched.iter().all(|(_, m)| part == Part::Whole || m.part == Some(part)), "{place}");
    assert!(touched.iter().any(|(b, m)| b.style != m.style), "no style: {place}");
    let pointers = [glyphs.point_left, glyphs.point_right, glyphs.up, glyphs.down];
    let art = pairs.len() - 2 * bare.rows[0].len();
    let points =
        |(b, m): &(&PictureCell, &PictureCell)| b.glyph == ' ' && pointers.contains(&m.glyph.to_string().as_str());
    assert!(pairs[..art].iter().any(points), "no pointer: {place}");
    assert!(marked.text().lines().last().unwrap().contains(part.as_str()), "{place}");
}

#[test]
fn every_sign_shows_without_colour() {
    let drawn = |s: &&&Seen| !matches!(s, Seen::WrongRating | Seen::Recalled);
    for orientation in Orientation::ALL {
        for size in SIZES {
            for sign in Seen::ALL.iter().filter(|s| drawn(&s)) {
                if *sign == Seen::Cover && *orientation == Orientation::Upright {
                    continue;
                }
                let part = match sign {
                    Seen::Leak | Seen::Corrosion => Part::Seal,
                    Seen::FluidLoss | Seen::Paint | Seen::Strap => Part::Element,
                    Seen::Damage | Seen::Loading | Seen::Blocked => Part::Deflector,
                    Seen::Cover => Part::Escutcheon,
                    Seen::Hung => Part::Frame,
                    _ => Part::Whole,
                };
                let spec = head(*orientation, Mount::Exposed, Element::Bulb);
                let touch = Touch::new(sign.as_str(), part.as_str(), "full");
                let (only, with) = (spec.clone().with(Touch::part(part)), spec.with(touch));
                for glyphs in sets() {
                    let only = draw(&only, size, Theme::mono(), glyphs);
                    let with = draw(&with, size, Theme::mono(), glyphs);
                    assert_ne!(art(&only), art(&with), "{sign} on {part} of {orientation} {size:?}");
                }
            }
        }
    }
}

#[test]
fn a_heavier_extent_never_marks_less() {
    for orientation in Orientation::ALL {
        for (sign, part) in [
            ("leak", "seal"),
            ("corrosion", "frame"),
            ("damage", "frame"),
            ("fluid-loss", "element"),
            ("loading", "deflector"),
            ("paint", "frame"),
            ("blocked", "deflector"),
        ] {
            for size in SIZES {
                let spec = head(*orientation, Mount::Exposed, Element::Bulb);
                let bare = plainly(&spec, size);
                let marks: Vec<usize> = Extent::ALL
                    .iter()
                    .map(|e| differences(&bare, &plainly(&spec.clone().with(Touch::new(sign, part, e.as_str())), size)))
                    .collect();
                assert!(marks.is_sorted(), "{sign} {orientation} {size:?}: {marks:?}");
                assert!(marks[0] > 0 && marks[0] < marks[3], "{sign} {orientation} {size:?}: {marks:?}");
            }
        }
    }
}

#[test]
fn make_ups_are_told_apart_by_glyphs_alone() {
    for size in SIZES {
        for glyphs in sets() {
            let mut known = BTreeSet::new();
            for spec in heads() {
                // An upright head has no ceiling to be recessed in, and a small wall guard leaves no room for more.
                if spec.orientation == Orientation::Upright && spec.mount != Mount::Exposed || spec.guard {
                    continue;
                }
                let text = art(&draw(&spec, size, Theme::mono(), glyphs));
                assert!(known.insert(text.clone()), "{size:?} {spec:?}\n{text}");
            }
        }
    }
}

#[test]
fn a_guard_is_drawn_around_every_exposed_head() {
    for orientation in Orientation::ALL {
        for size in SIZES {
            let bare = head(*orientation, Mount::Exposed, Element::Bulb);
            let guarded = PictureSpec { guard: true, ..bare.clone() };
            assert!(differences(&plainly(&bare, size), &plainly(&guarded, size)) > 8, "{orientation} {size:?}");
        }
    }
}

#[test]
fn a_head_turned_over_is_not_the_other_kind() {
    let turned = |o| head(o, Mount::Exposed, Element::Bulb).with(Touch::new("turned", "whole", "full"));
    let upright = head(Orientation::Upright, Mount::Exposed, Element::Bulb).with(Touch::part(Part::Whole));
    let pendent = pendent().with(Touch::part(Part::Whole));
    for size in SIZES {
        assert_ne!(art(&plainly(&turned(Orientation::Pendent), size)), art(&plainly(&upright, size)));
        assert_ne!(art(&plainly(&turned(Orientation::Upright), size)), art(&plainly(&pendent, size)));
    }
}

#[test]
fn a_bulb_keeps_the_colour_of_its_rating_when_it_is_touched() {
    for colour in Colour::ALL {
        let spec = PictureSpec { colour: Some(*colour), ..pendent() }.with(Touch::part(Part::Element));
        let picture = draw(&spec, Size::Large, Theme::terminal(), Glyphs::unicode());
        let bulb: Vec<_> = picture.rows.iter().flatten().filter(|c| c.part == Some(Part::Element)).collect();
        assert!(!bulb.is_empty());
        assert!(bulb.iter().all(|c| c.style.fg == Theme::terminal().colour_style(*colour).fg), "{colour}");
    }
}

#[test]
fn the_colour_is_named_as_well_as_shown() {
    for colour in Colour::ALL.iter().filter(|c| **c != Colour::Uncoloured) {
        for element in Element::ALL {
            for size in SIZES {
                let spec = PictureSpec { element: *element, colour: Some(*colour), ..pendent() };
                let picture = plainly(&spec, size);
                assert!(picture.description.contains(colour.as_str()), "{}", picture.description);
                let caption = picture.text();
                assert!(caption.contains(&colour.as_str()[..3]), "{caption}");
            }
        }
    }
}

#[test]
fn descriptions_differ_when_heads_differ() {
    let mut known = BTreeSet::new();
    let mut add = |spec: &PictureSpec| {
        let text = spec.describe();
        assert!(text.ends_with('.') && text.matches('.').count() == 1, "{text}");
        assert!(known.insert(text.clone()), "{text}");
    };
    for spec in heads() {
        for colour in Colour::ALL.iter().map(|c| Some(*c)).chain([None]) {
            add(&PictureSpec { colour, ..spec.clone() });
        }
    }
    for finish in Finish::ALL.iter().filter(|f| **f != Finish::Brass) {
        add(&PictureSpec { finish: *finish, ..pendent() });
    }
    for sign in Seen::ALL.iter().map(|s| s.as_str()).chain(["", "cobweb"]) {
        for part in Part::ALL {
            for extent in Extent::ALL {
                add(&pendent().with(Touch::new(sign, part.as_str(), extent.as_str())));
            }
        }
    }
}

#[test]
fn words_that_cannot_be_drawn_are_kept_and_shown_harmlessly() {
    let spec = pendent().with(Touch::new("cob\u{1b}web 喷", "tine", "much"));
    assert!(spec.describe().contains("cob\u{FFFD}web 喷 on the tine (much)"), "{}", spec.describe());
    for size in SIZES {
        for glyphs in sets() {
            let picture = draw(&spec, size, Theme::terminal(), glyphs);
            check_cells(&picture, glyphs.ascii);
            assert!(picture.text().contains("tine"));
            assert!(picture.rows.iter().flatten().any(|c| c.touched));
        }
    }
}

#[test]
fn several_findings_are_all_drawn_and_the_first_is_named() {
    let spec = pendent().with(Touch::new("paint", "frame", "full")).with(Touch::new("fluid-loss", "element", "full"));
    let text = plainly(&spec, Size::Large).text();
    assert!(text.contains("frame: paint, full +1"), "{text}");
    assert!(text.contains("%   | |   %"), "{text}");
}

#[test]
fn lines_and_buffer_show_the_same_cells_and_a_small_area_clips() {
    let picture = draw(&pendent().with(Touch::part(Part::Seal)), Size::Small, Theme::terminal(), Glyphs::unicode());
    let lines: Vec<String> = picture.lines().iter().map(ToString::to_string).collect();
    let rows: Vec<String> = picture.rows.iter().map(|r| r.iter().map(|c| c.glyph).collect()).collect();
    assert_eq!(lines, rows);
    for (columns, height) in [(0, 0), (3, 2), (16, 9), (40, 12)] {
        let mut buffer = Buffer::empty(Rect::new(0, 0, columns, height));
        (&picture).render(Rect::new(0, 0, 99, 99), &mut buffer);
        for y in 0..height.min(9) {
            for x in 0..columns.min(16) {
                let glyph = picture.rows[usize::from(y)][usize::from(x)].glyph.to_string();
                assert_eq!(buffer.cell(Position::new(x, y)).unwrap().symbol(), glyph);
            }
        }
    }
}

#[test]
fn the_largest_size_that_fits_is_chosen() {
    for (columns, rows, size) in [
        (15, 9, None),
        (16, 8, None),
        (16, 9, Some(Size::Small)),
        (28, 14, Some(Size::Small)),
        (28, 15, Some(Size::Large)),
        (200, 100, Some(Size::Large)),
    ] {
        assert_eq!(Size::fitting(Rect::new(0, 0, columns, rows)), size);
    }
}

#[test]
fn a_kind_gives_its_own_picture() {
    let json = r#"{"orientation": "sidewall", "mount": "recessed", "response": "quick", "element": "bulb",
        "rating": "200 F", "k": "5.6", "finish": "white", "dry": true, "guard": true}"#;
    let kind: Kind = serde_json::from_str(json).unwrap();
    let spec = PictureSpec::of(&kind);
    assert_eq!(
        spec.describe(),
        "A dry recessed sidewall head with a bulb of green liquid, finish white, in a guard, no sign drawn on it."
    );
}

/// Unicode and ASCII side by side, and the sentence.
fn both(spec: &PictureSpec, size: Size) -> String {
    let columns = usize::from(size.cells().0) + 2;
    let [unicode, ascii] = sets().map(|g| draw(spec, size, Theme::mono(), g));
    let rows = unicode
        .text()
        .lines()
        .zip(ascii.text().lines())
        .map(|(u, a)| {
            let row = format!("{u}{}{a}", " ".repeat(columns - width(u)));
            format!("{}\n", row.trim_end())
        })
        .collect::<String>();
    format!("{rows}{}\n", spec.describe())
}

#[test]
fn representative_heads_look_as_drawn() {
    let link = |o| head(o, Mount::Exposed, Element::Link);
    let bulb = |o, m| head(o, m, Element::Bulb);
    let saw = |spec: PictureSpec, sign, part, extent| spec.with(Touch::new(sign, part, extent));
    let upright = bulb(Orientation::Upright, Mount::Exposed);
    let sidewall = bulb(Orientation::Sidewall, Mount::Exposed);
    for (name, spec) in [
        ("pendent_bulb", pendent()),
        ("upright_link_in_a_guard", PictureSpec { guard: true, ..link(Orientation::Upright) }),
        ("recessed_sidewall", bulb(Orientation::Sidewall, Mount::Recessed)),
        ("paint_on_a_link", saw(link(Orientation::Pendent), "paint", "element", "light")),
        ("an_empty_bulb", saw(upright.clone(), "fluid-loss", "element", "full")),
        ("a_bent_deflector", saw(pendent(), "damage", "deflector", "heavy")),
        ("a_corroded_seat", saw(upright.clone(), "corrosion", "seal", "heavy")),
        ("dust", saw(upright.clone(), "loading", "deflector", "heavy")),
        ("a_missing_escutcheon", saw(pendent(), "cover", "escutcheon", "full")),
        ("a_painted_cover_plate", saw(bulb(Orientation::Pendent, Mount::Concealed), "paint", "cover-plate", "heavy")),
        ("an_upright_hung_upside_down", saw(upright, "turned", "whole", "full")),
        ("a_strap_left_on", saw(sidewall, "strap", "element", "light")),
        ("a_leak_on_a_dry_pendent", saw(PictureSpec { dry: true, ..pendent() }, "leak", "seal", "heavy")),
        ("something_hung", saw(pendent(), "hung", "frame", "light")),
    ] {
        let text = format!("{}\n{}", both(&spec, Size::Large), both(&spec, Size::Small));
        insta::assert_snapshot!(name, text);
    }
}
