//! Makes the sample sites anew: `cargo run --example make_samples`. The register of each, all that stands before the
//! first entry, is written by hand in `sample-sites/` and stays; the entries behind it are written by the record, so that
//! every sum, link and digest in them is right.

#![allow(clippy::expect_used, missing_docs)]

#[path = "sites.rs"]
mod sites;

use std::path::Path;

fn main() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-sites");
    for site in sites::ALL {
        let path = folder.join(site.file);
        let old = std::fs::read_to_string(&path).expect("a sample site with its register");
        let new = sites::remake(site, &old);
        let word = if new == old { "unchanged" } else { "made anew" };
        std::fs::write(&path, new).expect("the sample site");
        println!("{}: {word}", site.file);
    }
}
