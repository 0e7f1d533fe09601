//! The colours of the SVG renderer. They are dark enough for white paper, keep apart for people who tell colours apart in other
//! ways, and mean nothing without the dash, marker or word beside them.

use super::model::Ink;

/// The colour of an ink on white, as `#rrggbb`. Series beyond the fourth begin again: dashes and markers tell them apart.
#[must_use]
pub const fn hex(ink: Ink) -> &'static str {
    match ink {
        Ink::Text | Ink::Title | Ink::Mark => "#1a1a1a",
        Ink::Faint => "#5c5c5c",
        Ink::Axis => "#333333",
        Ink::Limit => "#8a1c4a",
        Ink::Good => "#1f5f3f",
        Ink::Watch => "#7a5200",
        Ink::Bad => "#9c1f1f",
        Ink::Series(n) => match n % 4 {
            0 => "#0b286d",
            1 => "#995603",
            2 => "#2e8a99",
            _ => "#5c2f48",
        },
    }
}
