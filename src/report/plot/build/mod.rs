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
    value.filter(|v| v.is_finite()).map_or_else(|| "-".to_owned(), |v| trimmed(v, 1))
}

/// A share of one as per cent, precise where it is small or close to one.
fn per_cent(share: f64) -> String {
    if !share.is_finite() {
        return "-".to_owned();
    }
    let value = share * 100.0;
    let near = value.min(100.0 - value);
    let decimals = if near >= 1.0 || near <= 0.0 { 1 } else { 3 };
    format!("{} %", trimmed(value, decimals))
}
