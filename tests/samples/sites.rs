//! The sample sites and how their files come about.

#![allow(clippy::expect_used, clippy::unwrap_used, clippy::panic, missing_docs)]

use super::{boathouse, cannery, script};
use crate::script::Script;

/// A sample site.
pub struct Site {
    /// Its file in `sample-sites/`.
    pub file: &'static str,
    entries: fn() -> Script,
}

pub const ALL: &[Site] = &[
    Site { file: "boathouse.site.yaml", entries: boathouse::script },
    Site { file: "cannery.site.yaml", entries: cannery::script },
];

/// The file of a site: the register as it stands in `old`, and the entries written behind it.
pub fn remake(site: &Site, old: &str) -> String {
    let register: String = old.split_inclusive('\n').take_while(|line| !line.starts_with("--- {")).collect();
    script::write(&register, (site.entries)())
}
