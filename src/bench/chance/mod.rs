//! Chance: what a sample shows and what it cannot. Draws without putting back, exact bounds, curves of times, agreement of two
//! benches. Every figure is exact to about 1e-12 of itself; the checks against general libraries stand in tests/statistics.rs.

mod agreement;
mod bound;
mod draw;
mod fisher;
mod log_rank;
mod special;
mod survival;

pub use agreement::{Agreement, Estimate, agreement};
pub use bound::{Interval, interval, smallest_sample, upper_bound, upper_heads};
pub use draw::{at_least_one, at_most, none_bad, operating_characteristic, pmf};
pub use fisher::fisher;
pub use log_rank::{LogRank, Side, log_rank};
pub use survival::{Curve, Step, Time, kaplan_meier, kaplan_meier_with};

/// The confidence that is used where none is asked for.
pub const USUAL_CONFIDENCE: f64 = 0.95;

/// Looks whether a confidence is one: a share above 0 and at most 0.999999.
///
/// # Errors
/// A sentence.
pub fn check_confidence(confidence: f64) -> Result<(), String> {
    if confidence > 0.0 && confidence <= 0.999_999 {
        return Ok(());
    }
    Err("that is no confidence to work with; write a share above 0 and at most 0.999999, such as 0.95".to_owned())
}

/// What two figures that are equal on paper may differ by once computed; a tie is decided by this, to the safe side.
const TIE: f64 = 1e-11;
