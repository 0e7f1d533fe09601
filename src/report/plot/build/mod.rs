//! The builders: plain numbers in, a plot out. What is not a number is left out of the drawing and told in the table.

pub mod due;
pub mod fire;
pub mod odds;
pub mod survival;
pub mod times;

use super::ticks::trimmed;

/// The largest of the values that are numbers.
fn largest(values: impl Iterator<Item = f64>) -> Option<f64> {
    values.filter(|v| v.is_finite()).reduce(f64::max)
}

/// A number of seconds as a cell of a table; a dash for none.
fn seconds(value: Option<f64>) -> String {
    let one = |v: f64| if v.abs() < 1e9 { format!("{v:.1}") } else { trimmed(v, 1) };
    value.filter(|v| v.is_finite()).map_or_else(|| "-".to_owned(), one)
}

/// A share of one as per cent, more precise where it is close to none or all.
fn per_cent(share: f64) -> String {
    let value = share * 100.0;
    if !value.is_finite() {
        return "-".to_owned();
    }
    let near = value.min(100.0 - value);
    if (0.0..1.0).contains(&near) && near > 0.0 { format!("{value:.3} %") } else { format!("{value:.1} %") }
}
