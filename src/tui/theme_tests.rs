//! What holds for every theme: names, contrast, absence of colour where none is promised.

use super::*;

fn named(name: &str) -> &'static Theme {
    Theme::named(name).unwrap()
}

/// Every style a theme can give, materials included.
fn all(theme: &Theme) -> Vec<(String, Style)> {
    let mut styles: Vec<_> = theme.styles().into_iter().map(|(n, s)| (n.to_owned(), s)).collect();
    styles.extend(Colour::ALL.iter().map(|c| (format!("colour {c}"), theme.colour_style(*c))));
    styles.extend(Finish::ALL.iter().map(|f| (format!("finish {f}"), theme.finish_style(*f))));
    styles
}

/// The usual red, green and blue of a colour of the 256-colour palette above the first sixteen (xterm's cube and ramp).
fn rgb(colour: Color) -> [f64; 3] {
    let Color::Indexed(i) = colour else { panic!("{colour:?} is not of the fixed palette") };
    assert!(i >= 16, "the first sixteen colours differ between terminals");
    let level = |n: u8| if n == 0 { 0.0 } else { f64::from(n) * 40.0 + 55.0 };
    if i >= 232 {
        [f64::from(i - 232) * 10.0 + 8.0; 3]
    } else {
        [(i - 16) / 36, (i - 16) / 6 % 6, (i - 16) % 6].map(level)
    }
}

/// Relative luminance, 0 to 1 (WCAG 2.2, definition of relative luminance).
fn luminance(colour: Color) -> f64 {
    let [r, g, b] = rgb(colour).map(|v| {
        let v = v / 255.0;
        if v <= 0.040_45 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
    });
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

/// Contrast ratio, 1 to 21 (WCAG 2.2, definition of contrast ratio).
fn contrast(style: Style) -> f64 {
    let (a, b) = (luminance(style.fg.unwrap()), luminance(style.bg.unwrap()));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn every_name_finds_its_theme() {
    for name in Theme::NAMES {
        assert_eq!(named(name).name, *name);
    }
    assert_eq!(Theme::NAMES.len(), THEMES.len());
    assert_eq!(Theme::named("Day"), None);
    assert_eq!(Theme::terminal(), named("default"));
    assert_eq!(Theme::mono(), named("mono"));
}

#[test]
fn contrast_follows_the_published_formula() {
    let black_on_white = Style::new().fg(Color::Indexed(16)).bg(Color::Indexed(231));
    assert!((contrast(black_on_white) - 21.0).abs() < 1e-9);
}

/// WCAG 2.2 asks 4.5:1 for text (1.4.3), 7:1 for enhanced contrast (1.4.6) and 3:1 for lines of drawings (1.4.11).
/// Text keeps the enhanced ratio with room to spare; coloured inks stay near it, where ochre is the lightest.
#[test]
fn day_has_high_contrast_everywhere() {
    assert!(contrast(named("day").text) > 15.0);
    for (name, style) in all(named("day")) {
        let least = if name.starts_with("colour") || name.starts_with("finish") { 4.5 } else { 6.5 };
        assert!(contrast(style) >= least, "{name}: {:.2}", contrast(style));
    }
}

/// WCAG 2.2 asks 4.5:1 for text (1.4.3) and 3:1 for lines of drawings (1.4.11).
#[test]
fn night_stays_readable_and_never_glares() {
    let drawn = ["border", "around", "absent"];
    for (name, style) in all(named("night")) {
        let line = drawn.contains(&name.as_str()) || name.starts_with("colour") || name.starts_with("finish");
        let least = if line { 3.0 } else { 4.5 };
        assert!(contrast(style) >= least, "{name}: {:.2}", contrast(style));
        for colour in [style.fg, style.bg].into_iter().flatten() {
            assert!(luminance(colour) < 0.7, "{name} glares");
        }
        if !["cursor", "selected", "impairment"].contains(&name.as_str()) {
            assert!(luminance(style.bg.unwrap()) < 0.01, "{name} paints a bright ground");
        }
    }
}

#[test]
fn mono_has_no_colour_and_keeps_reverse() {
    let allowed = Modifier::BOLD | Modifier::UNDERLINED | Modifier::REVERSED;
    for (name, style) in all(named("mono")) {
        assert_eq!((style.fg, style.bg, style.underline_color), (None, None, None), "{name}");
        assert!(allowed.contains(style.add_modifier), "{name}");
    }
    for style in [Theme::mono().cursor, Theme::mono().selected, Theme::mono().impairment] {
        assert!(style.add_modifier.contains(Modifier::REVERSED));
    }
}

#[test]
fn the_default_theme_paints_no_ground_and_stays_within_sixteen_colours() {
    for (name, style) in all(named("default")) {
        assert!(style.bg.is_none() || name == "impairment", "{name} paints a ground");
        for colour in [style.fg, style.bg].into_iter().flatten() {
            assert!(!matches!(colour, Color::Rgb(..) | Color::Indexed(_)), "{name} leaves the sixteen colours");
        }
    }
}

#[test]
fn the_cursor_shows_on_every_state() {
    for theme in &THEMES {
        for (name, style) in theme.styles() {
            if name != "cursor" && name != "impairment" {
                assert_ne!(style.patch(theme.cursor), style, "{}: {name}", theme.name);
            }
        }
    }
}

#[test]
fn strong_rulings_stand_out_from_keep() {
    for theme in &THEMES {
        for ruling in [Ruling::Look, Ruling::Clean, Ruling::Correct, Ruling::Test, Ruling::Replace] {
            assert_ne!(theme.ruling_style(ruling), theme.ruling_style(Ruling::Keep), "{}: {ruling}", theme.name);
        }
    }
}
