//! The demo's own copy: put in place where it is not there, kept where it is, put aside where one starts over.

use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use super::{disk, save};
use crate::diag::{Diagnostic, Severity};

/// The demo site as it is built into the program.
pub const SITE: &str = include_str!("../../sample-sites/cannery.site.yaml");

const FILE: &str = "cannery.site.yaml";

/// Where the demo is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// Its site file.
    pub path: PathBuf,
    /// Whether it was made just now.
    pub made: bool,
    /// Where the copy walked before was put.
    pub kept: Option<PathBuf>,
}

/// The demo's file in a folder. With `fresh`, one that is there is put aside as `….before-1`, `-2` … and a new one made.
///
/// # Errors
/// The folder cannot be made or written.
pub fn place(folder: &Path, fresh: bool) -> Result<Place, Box<Diagnostic>> {
    let path = folder.join(FILE);
    let trouble = |error: std::io::Error| {
        let it = Diagnostic::about(
            Severity::Error,
            "not-written",
            path.display().to_string(),
            format!("the demo could not be put there: {error}"),
        );
        Box::new(it.help("check the folder, or set HEADROUND_DATA to another one"))
    };
    fs_err::create_dir_all(folder).map_err(trouble)?;
    let kept = if fresh && path.exists() { Some(put_aside(&path).map_err(trouble)?) } else { None };
    match save::create_new(&path, SITE) {
        Ok(()) => Ok(Place { path, made: true, kept }),
        Err(e) if e.kind() == ErrorKind::AlreadyExists => Ok(Place { path, made: false, kept }),
        Err(e) => Err(trouble(e)),
    }
}

fn put_aside(path: &Path) -> std::io::Result<PathBuf> {
    let mut n = 1_u32;
    loop {
        let aside = disk::beside(path, &format!(".before-{n}"));
        if !aside.exists() {
            fs_err::rename(path, &aside)?;
            return Ok(aside);
        }
        n += 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_walked_copy_is_kept_and_starting_over_puts_it_aside() {
        let folder = tempfile::tempdir().unwrap();
        let folder = folder.path().join("demo");
        let first = place(&folder, false).unwrap();
        assert!(first.made && first.kept.is_none());
        std::fs::write(&first.path, "walked").unwrap();
        let again = place(&folder, false).unwrap();
        assert_eq!(again, Place { path: first.path.clone(), made: false, kept: None });
        for _ in 0..2 {
            let fresh = place(&folder, true).unwrap();
            assert!(fresh.made);
            assert_eq!(std::fs::read_to_string(&fresh.path).unwrap(), SITE);
            std::fs::write(&fresh.path, "again").unwrap();
        }
        assert_eq!(std::fs::read_dir(&folder).unwrap().count(), 3);
        let aside = disk::beside(&first.path, ".before-1");
        assert_eq!(std::fs::read_to_string(aside).unwrap(), "walked");
    }
}
