//! The rule sets a person may choose from: the built-in ones, then those of their own, with title and edition. They are
//! looked up when first asked for, because nobody who does not choose should wait for it.

use std::cell::OnceCell;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::{rule_files, rule_shelf};
use crate::diag::Diagnostic;
use crate::rules::builtin;
use crate::rules::model::RuleSet;

/// A rule set to choose.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offer {
    /// Its name, as site files write it.
    pub name: String,
    /// One line; empty where the set cannot be used.
    pub title: String,
    /// The edition it follows; empty where the set cannot be used.
    pub edition: String,
    /// Whether it is built in.
    pub built_in: bool,
    /// Whether it can be used as it stands.
    pub sound: bool,
}

/// What there is to choose from.
#[derive(Debug, Default)]
pub struct Offers {
    /// The site file, beside which sets may lie.
    site: Option<PathBuf>,
    /// The person's own folder.
    folder: Option<PathBuf>,
    list: OnceCell<Vec<Offer>>,
}

impl Offers {
    /// The sets beside a site file, where one is open, and in the person's own folder.
    #[must_use]
    pub fn new(site: Option<&Path>, folder: Option<&Path>) -> Self {
        Self { site: site.map(Path::to_owned), folder: folder.map(Path::to_owned), list: OnceCell::new() }
    }

    /// All of them, built-in ones first, newest first; own ones by name. A file with a built-in name is left out, as it is
    /// when sets are loaded.
    pub fn list(&self) -> &[Offer] {
        self.list.get_or_init(|| {
            // A bare file name lies in the folder one works in.
            let here = |p| if p == Path::new("") { Path::new(".") } else { p };
            let beside = self.site.as_deref().and_then(Path::parent).map(here);
            let mut own: Vec<String> = [beside, self.folder.as_deref()]
                .into_iter()
                .flatten()
                .flat_map(rule_shelf::names)
                .filter(|name| !builtin::names().contains(&name.as_str()))
                .collect();
            own.sort();
            own.dedup();
            let built_in = builtin::names().iter().map(|n| ((*n).to_owned(), true));
            let all = built_in.chain(own.into_iter().map(|n| (n, false)));
            all.map(|(name, built_in)| self.offer(name, built_in)).collect()
        })
    }

    fn offer(&self, name: String, built_in: bool) -> Offer {
        let (title, edition, sound) = match self.load(&name) {
            Ok(set) => (set.title.clone(), set.edition.clone(), true),
            Err(_) => (String::new(), String::new(), false),
        };
        Offer { name, title, edition, built_in, sound }
    }

    /// Loads one of them.
    ///
    /// # Errors
    /// Every complaint about it, or that there is none of that name.
    pub fn load(&self, name: &str) -> Result<Arc<RuleSet>, Vec<Diagnostic>> {
        rule_files::load(name, self.site.as_deref().unwrap_or(Path::new("")), self.folder.as_deref())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn built_in_sets_come_first_and_own_ones_that_cannot_be_used_are_told_apart() {
        let folder = tempfile::tempdir().unwrap();
        let beside = tempfile::tempdir().unwrap();
        let own = "format: headround rules 1\nname: quay\ntitle: Quay Board\nedition: the board's own\nextends: nfpa25-2023\n";
        std::fs::write(folder.path().join("quay.yaml"), own).unwrap();
        std::fs::write(folder.path().join("broken.yaml"), "format: headround rules 1\n").unwrap();
        std::fs::write(folder.path().join("nfpa25-2023.yaml"), own).unwrap();
        std::fs::write(beside.path().join("east.yaml"), own.replace("name: quay", "name: east")).unwrap();
        let site = beside.path().join("x.site.yaml");
        let offers = Offers::new(Some(&site), Some(folder.path()));
        let list: Vec<(&str, bool, bool)> =
            offers.list().iter().map(|o| (o.name.as_str(), o.built_in, o.sound)).collect();
        let own = [("broken", false, false), ("east", false, true), ("quay", false, true)];
        let built_in = builtin::names().iter().map(|n| (*n, true, true));
        assert_eq!(list, built_in.chain(own).collect::<Vec<_>>());
        assert_eq!(offers.list().last().unwrap().title, "Quay Board");
        assert!(offers.load("broken").is_err());
        assert_eq!(offers.load("east").unwrap().name, "east");
    }

    #[test]
    fn without_folders_only_the_built_in_sets_are_there() {
        assert!(Offers::default().list().iter().all(|o| o.built_in && o.sound));
    }
}
