//! Every sample at every size, as SVG and as numbers.

use super::samples;
use crate::report::plot::{Glyphs, SvgSize, svg, table, text};

#[test]
fn terminal_plots_at_three_sizes_in_both_sets_of_signs() {
    for (name, plot) in samples::all() {
        for (glyphs, set) in [(Glyphs::Unicode, "unicode"), (Glyphs::Ascii, "ascii")] {
            let mut all = String::new();
            for (columns, rows) in [(60, 16), (80, 20), (140, 36)] {
                let drawn = text(&plot, columns, rows, glyphs);
                all.push_str(&format!("{columns}x{rows}\n{}\n", drawn.lines().join("\n")));
                for note in drawn.left_out {
                    all.push_str(&format!("(left out: {note})\n"));
                }
            }
            insta::assert_snapshot!(format!("text_{name}_{set}"), all);
        }
    }
}

#[test]
fn svg_pictures() {
    for (name, plot) in samples::all() {
        insta::assert_snapshot!(format!("svg_{name}"), svg(&plot, &SvgSize::of(&plot)));
    }
}

#[test]
fn plots_as_numbers() {
    for (name, plot) in samples::all() {
        if !["times-many", "odds", "fire"].contains(&name) {
            insta::assert_snapshot!(format!("numbers_{name}"), table(&plot));
        }
    }
}
