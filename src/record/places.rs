//! What the program keeps in mind between runs: which site files were opened and where one left off in each. It is a
//! convenience: losing it loses no record, so trouble with it is never fatal.

use std::collections::BTreeMap;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use crate::trade::address::Address;

/// A site file opened before.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Recent {
    /// Where it is.
    pub path: PathBuf,
    /// The site's name.
    pub name: String,
    /// When it was opened last.
    pub at: DateTime<FixedOffset>,
}

impl Recent {
    /// Whether the file is there now.
    #[must_use]
    pub fn is_there(&self) -> bool {
        self.path.is_file()
    }
}

/// Where one left off.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Places {
    /// Site files, latest first; at most [`Places::MOST`].
    #[serde(default)]
    pub recent: Vec<Recent>,
    /// The head one stood at, by site id.
    #[serde(default)]
    pub stood: BTreeMap<String, Address>,
    /// The theme chosen last.
    #[serde(default)]
    pub theme: Option<String>,
}

/// The file's name in the data folder.
const FILE: &str = "places.json";

impl Places {
    /// The most files kept in mind.
    pub const MOST: usize = 20;

    /// Reads what was kept; nothing, where there is nothing or it cannot be read.
    #[must_use]
    pub fn load(folder: &Path) -> Self {
        fs_err::read_to_string(folder.join(FILE))
            .ok()
            .and_then(|text| serde_json::from_str(&text).ok())
            .unwrap_or_default()
    }

    /// Writes it down, whole or not at all.
    ///
    /// # Errors
    /// The system's reason, with the path.
    pub fn save(&self, folder: &Path) -> std::io::Result<()> {
        fs_err::create_dir_all(folder)?;
        let mut file = tempfile::NamedTempFile::new_in(folder)?;
        let text = serde_json::to_string_pretty(self).map_err(std::io::Error::other)?;
        file.write_all(text.as_bytes())?;
        file.persist(folder.join(FILE)).map_err(|e| e.error)?;
        Ok(())
    }

    /// Puts a file first, under its path from the root: the next run may start in another folder.
    pub fn opened(&mut self, mut recent: Recent) {
        if let Ok(whole) = std::path::absolute(&recent.path) {
            recent.path = whole;
        }
        self.recent.retain(|r| r.path != recent.path);
        self.recent.insert(0, recent);
        self.recent.truncate(Self::MOST);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_kept_comes_back_and_a_damaged_file_is_no_trouble() {
        let folder = tempfile::tempdir().unwrap();
        let mut places = Places::default();
        for n in 0..30 {
            let at = DateTime::parse_from_rfc3339("2026-11-25T09:00:00-05:00").unwrap();
            places.opened(Recent { path: format!("{}.site.yaml", n % 25).into(), name: "Cannery".into(), at });
        }
        places.stood.insert("01K".into(), Address::parse("pack/3.7").unwrap());
        assert_eq!(places.recent.len(), Places::MOST);
        assert_eq!(places.recent[0].path, std::path::absolute("4.site.yaml").unwrap());
        places.save(folder.path()).unwrap();
        assert_eq!(Places::load(folder.path()), places);
        std::fs::write(folder.path().join(FILE), "{").unwrap();
        assert_eq!(Places::load(folder.path()), Places::default());
    }
}
