//! A price file on the disk.

use std::path::Path;

use super::rule_shelf::{source_of, unreadable};
use crate::diag::Diagnostic;
use crate::trade::prices::{self, Prices};

/// Reads a price file.
///
/// # Errors
/// It cannot be read, or every complaint about what it says, each at its place.
pub fn read(path: &Path) -> Result<Prices, Vec<Diagnostic>> {
    let source = source_of(path).map_err(|error| vec![unreadable(path, &error)])?;
    let (prices, told) = prices::read(&source);
    prices.ok_or(told)
}
