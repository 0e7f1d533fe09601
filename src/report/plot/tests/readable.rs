//! Plots can be read on paper, without colour, and by people who tell colours apart in other ways.

use std::collections::BTreeSet;

use super::samples;
use crate::report::plot::{Glyphs, Ink, SvgSize, hex, survival, svg, text};

fn rgb(hex: &str) -> [f64; 3] {
    [1, 3, 5].map(|at| f64::from(u8::from_str_radix(&hex[at..at + 2], 16).unwrap()) / 255.0)
}

/// The light that a value of sRGB stands for (IEC 61966-2-1).
fn linear(v: f64) -> f64 {
    if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
}

/// Contrast with white, as WCAG 2.1 defines it.
fn contrast(hex: &str) -> f64 {
    let [r, g, b] = rgb(hex).map(linear);
    1.05 / (0.2126 * r + 0.7152 * g + 0.0722 * b + 0.05)
}

/// CIE 1976 L*a*b* under D65, from linear sRGB.
fn lab([r, g, b]: [f64; 3]) -> [f64; 3] {
    let x = (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505;
    let y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
    let z = (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.089;
    let [x, y, z] = [x, y, z].map(|v: f64| if v > 0.008_856 { v.cbrt() } else { 7.787 * v + 16.0 / 116.0 });
    [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
}

/// How colours look with each of the three sorts of dichromacy, on linear sRGB. Source: Machado, Oliveira and Fernandes, IEEE
/// Transactions on Visualization and Computer Graphics 15 (2009) 1291–1298, severity 1.0.
const DICHROMACIES: [[[f64; 3]; 3]; 3] = [
    [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
    [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
    [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
];
const ALL: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

fn seen(hex: &str, how: &[[f64; 3]; 3]) -> [f64; 3] {
    let colour = rgb(hex).map(linear);
    lab(how.map(|row| row.iter().zip(colour).map(|(a, b)| a * b).sum::<f64>().clamp(0.0, 1.0)))
}

const WORDS: [Ink; 8] = [Ink::Text, Ink::Faint, Ink::Title, Ink::Limit, Ink::Good, Ink::Watch, Ink::Bad, Ink::Mark];

#[test]
fn text_has_the_contrast_that_wcag_asks_of_text_and_strokes_that_of_graphics() {
    // Success criteria 1.4.3 (4.5 to 1) and 1.4.11 (3 to 1) of WCAG 2.1. The darkest ground that words stand on is #eeeeee.
    let ground = contrast("#eeeeee");
    for ink in WORDS {
        assert!(contrast(hex(ink)) / ground >= 4.5, "{ink:?}");
    }
    for n in 0..4 {
        assert!(contrast(hex(Ink::Series(n))) / ground >= 3.0, "series {n}");
    }
    assert!((contrast("#000000") - 21.0).abs() < 1e-9);
}

#[test]
fn colours_of_series_keep_apart_for_the_colour_blind_and_in_grey() {
    for how in DICHROMACIES.iter().chain([&ALL]) {
        for a in 0..4 {
            for b in 0..a {
                let (one, other) = (seen(hex(Ink::Series(a)), how), seen(hex(Ink::Series(b)), how));
                let apart: f64 = one.iter().zip(other).map(|(a, b)| (a - b).powi(2)).sum::<f64>().sqrt();
                assert!(apart > 20.0, "series {a} and {b} are {apart:.0} apart");
                if how == &ALL {
                    assert!((one[0] - other[0]).abs() > 5.0, "series {a} and {b} are the same grey");
                }
            }
        }
    }
}

#[test]
fn up_to_twenty_curves_differ_in_dash_or_marker_without_their_colour() {
    let curves: Vec<_> = (0..20).map(|n| samples::curve(&format!("group {n}"), &samples::CLEAN, false)).collect();
    let picture = svg(&survival("Groups", &curves), &SvgSize { width: 1200, height: 900 });
    let lines: Vec<&str> = picture.lines().collect();
    let mut looks = BTreeSet::new();
    for n in 0..20 {
        let name = format!(">group {n}<");
        let at = lines.iter().position(|l| l.contains(&name)).unwrap();
        let colourless = |line: &str| {
            let mut out = String::new();
            for part in line.split(' ').filter(|p| !p.contains('#')) {
                // Where it stands differs from entry to entry; what is left are dash, width and sort of marker.
                let place = ["x1=", "x2=", "y1=", "y2=", "cx=", "cy="].iter().any(|p| part.starts_with(p));
                if !place {
                    out.push_str(part);
                    out.push(' ');
                }
            }
            out
        };
        let (stroke, marker) = (colourless(lines[at - 2]), lines[at - 1]);
        let corners = marker.matches('L').count();
        let filled = !marker.contains("fill=\"#ffffff\"");
        looks.insert((stroke, marker.split(' ').next().unwrap().to_owned(), corners, filled));
    }
    assert_eq!(looks.len(), 20);
}

#[test]
fn the_key_of_a_terminal_plot_tells_many_curves_apart_without_their_colour() {
    for count in [2, 3, 4, 5, 9, 20] {
        let curves: Vec<_> =
            (0..count).map(|n| samples::curve(&format!("group {n:02}"), &samples::PAINTED, false)).collect();
        for glyphs in [Glyphs::Unicode, Glyphs::Ascii] {
            let lines = text(&survival("Groups", &curves), 160, 60, glyphs).lines();
            let swatches: BTreeSet<String> = (0..count)
                .map(|n| {
                    let name = format!(" group {n:02}");
                    let line = lines.iter().find(|l| l.contains(&name)).unwrap();
                    line[..line.find(&name).unwrap()].chars().rev().take(3).collect()
                })
                .collect();
            assert_eq!(swatches.len(), count, "{lines:#?}");
        }
    }
}

#[test]
fn every_row_says_in_words_how_it_ended() {
    let plot = samples::times();
    let picture = svg(&plot, &SvgSize::of(&plot));
    let grid = text(&plot, 60, 16, Glyphs::Ascii).lines();
    for row in &plot.rows {
        assert!(picture.contains(&format!(">{}<", row.word)), "{}", row.word);
        assert!(grid.iter().any(|l| l.starts_with(&row.label) && l.ends_with(&row.word)), "{}", row.word);
    }
    for limit in &plot.limits {
        assert!(picture.contains(&format!(">{}<", limit.label)));
        assert!(grid.iter().any(|l| l.contains(&limit.label)));
    }
}
