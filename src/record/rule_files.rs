//! Where rule sets come from: built in, beside the site file, or in the person's own folder.

use std::cell::RefCell;
use std::io::ErrorKind;
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

use super::rule_shelf;
use crate::diag::{Diagnostic, Severity, Source};
use crate::rules::model::RuleSet;
use crate::rules::{builtin, load as reader};

/// Loads a rule set by name: a built-in one, else `NAME.yaml` beside the site file or in the person's folder. A built-in
/// name always means the built-in set: a file of that name would change rulings behind a reader's back. A file may
/// extend any of them.
///
/// # Errors
/// Every complaint about the file, or that there is no set of that name. A file that is there and cannot be read is never
/// passed over for another of the same name.
pub fn load(name: &str, site: &Path, folder: Option<&Path>) -> Result<Arc<RuleSet>, Vec<Diagnostic>> {
    if builtin::names().contains(&name) {
        return builtin::load(name);
    }
    match find(name, site, folder).map_err(|it| vec![*it])? {
        Some(source) => {
            if let Some(known) = remembered(&source, site, folder) {
                return Ok(known);
            }
            let unread = RefCell::new(Vec::new());
            let used = RefCell::new(vec![(name.to_owned(), Arc::clone(&source))]);
            let base = |name: &str| {
                builtin::source(name).or_else(|| match find(name, site, folder) {
                    Ok(found) => {
                        used.borrow_mut().extend(found.clone().map(|f| (name.to_owned(), f)));
                        found
                    }
                    Err(it) => {
                        unread.borrow_mut().push(*it);
                        None
                    }
                })
            };
            match reader::read(&source, &base) {
                Ok(set) => {
                    let set = Arc::new(set);
                    remember(used.into_inner(), Arc::clone(&set));
                    Ok(set)
                }
                Err(mut list) => {
                    list.splice(0..0, unread.take());
                    Err(list)
                }
            }
        }
        None => {
            let mut it = Diagnostic::about(
                Severity::Error,
                "unknown-rules",
                site.display().to_string(),
                format!("there is no rule set called '{}'", crate::diag::plain(name)),
            );
            let folder = folder.map_or(String::new(), |f| format!(" or in {}", f.display()));
            it = it.help(format!(
                "built in: {}; put your own '{}.yaml' beside the site file{folder}",
                builtin::names().join(", "),
                crate::diag::plain(name)
            ));
            Err(vec![it])
        }
    }
}

/// A set that was read before, and the files that it was read from: its own first, then those that it extends.
type Read = (Vec<(String, Arc<Source>)>, Arc<RuleSet>);

/// Sets read before. Thousands of sites of one company share a few sets of its own, and reading one takes longer than its files.
static READ: Mutex<Vec<Read>> = Mutex::new(Vec::new());

/// The most sets that are kept; more than a company has.
const MOST_KEPT: usize = 16;

/// The set that was read from this very file and from files that are the same still.
fn remembered(source: &Source, site: &Path, folder: Option<&Path>) -> Option<Arc<RuleSet>> {
    let same = |a: &Source, b: &Source| a.name == b.name && a.text == b.text;
    let known = {
        let read = READ.lock().unwrap_or_else(PoisonError::into_inner);
        read.iter().find(|(files, _)| files.first().is_some_and(|(_, own)| same(own, source))).cloned()
    };
    let (files, set) = known?;
    let still =
        |(name, was): &(String, Arc<Source>)| matches!(find(name, site, folder), Ok(Some(now)) if same(&now, was));
    files.iter().skip(1).all(still).then_some(set)
}

fn remember(files: Vec<(String, Arc<Source>)>, set: Arc<RuleSet>) {
    let mut read = READ.lock().unwrap_or_else(PoisonError::into_inner);
    let own = files.first().map(|(_, own)| own.name.clone());
    read.retain(|(known, _)| known.first().map(|(_, k)| &k.name) != own.as_ref());
    if read.len() >= MOST_KEPT {
        read.remove(0);
    }
    read.push((files, set));
}

/// The file of a rule set outside the program, if there is one. A name with anything but letters, digits, `-`, `_` and
/// `.` is never taken for a file.
fn find(name: &str, site: &Path, folder: Option<&Path>) -> Result<Option<Arc<Source>>, Box<Diagnostic>> {
    let tame = !name.is_empty()
        && !name.starts_with('.')
        && name.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.'));
    if !tame {
        return Ok(None);
    }
    let beside = site.parent().map(|p| p.join(format!("{name}.yaml")));
    let own = folder.map(|f| f.join(format!("{name}.yaml")));
    for path in [beside, own].into_iter().flatten() {
        match rule_shelf::source_of(&path) {
            Ok(source) => return Ok(Some(source)),
            Err(e) if matches!(e.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) => {}
            Err(error) => return Err(Box::new(rule_shelf::unreadable(&path, &error))),
        }
    }
    Ok(None)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::model::Ruling;

    const OWN: &str = "\
format: headround rules 1
name: harbour
title: Harbour Board
extends: nfpa25-2023
";

    #[test]
    fn a_set_beside_the_site_file_may_extend_a_built_in_one() {
        let folder = tempfile::tempdir().unwrap();
        let site = folder.path().join("x.site.yaml");
        std::fs::write(folder.path().join("harbour.yaml"), OWN).unwrap();
        match load("harbour", &site, None) {
            Ok(set) => {
                assert_eq!(set.name, "harbour");
                assert!(set.rules.iter().any(|r| r.ruling == Ruling::Replace));
            }
            Err(all) => panic!("{}", all.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")),
        }
    }

    #[test]
    fn a_set_is_read_once_and_again_when_it_or_one_that_it_extends_has_changed() {
        let folder = tempfile::tempdir().unwrap();
        let site = folder.path().join("x.site.yaml");
        let write = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
        let load = || load("quay", &site, None).unwrap();
        write("harbour.yaml", OWN);
        write("quay.yaml", &OWN.replace("name: harbour", "name: quay").replace("nfpa25-2023", "harbour"));
        let first = load();
        assert!(Arc::ptr_eq(&first, &load()));
        write("harbour.yaml", &OWN.replace("nfpa25-2023", "nfpa25-2014"));
        let second = load();
        assert!(!Arc::ptr_eq(&first, &second));
        assert_ne!(first.rules.len(), second.rules.len());
        write("quay.yaml", &OWN.replace("name: harbour", "name: quay"));
        assert_eq!(load().rules.len(), first.rules.len());
    }

    #[test]
    fn a_file_with_a_built_in_name_does_not_take_its_place() {
        let folder = tempfile::tempdir().unwrap();
        let site = folder.path().join("x.site.yaml");
        std::fs::write(folder.path().join("nfpa25-2023.yaml"), "garbage: true\n").unwrap();
        assert_eq!(load("nfpa25-2023", &site, None).unwrap().name, "nfpa25-2023");
        assert!(load("../x", &site, None).is_err());
        assert_eq!(load("nfpa26", &site, None).unwrap_err()[0].code, "unknown-rules");
    }
}
