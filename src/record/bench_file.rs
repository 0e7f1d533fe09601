//! A bench's results on the disk.

use std::path::Path;
use std::sync::Arc;

use super::rule_shelf::{source_of, unreadable};
use crate::diag::{Diagnostic, Source};

/// Reads a table of a bench's results as text.
///
/// # Errors
/// It cannot be read, is no text in UTF-8, or is longer than an honest one.
pub fn read(path: &Path) -> Result<Arc<Source>, Box<Diagnostic>> {
    source_of(path).map_err(|error| Box::new(unreadable(path, &error)))
}
