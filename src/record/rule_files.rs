//! Where rule sets come from: built in, beside the site file, or in the person's own folder.

use std::cell::RefCell;
use std::io::ErrorKind;
use std::path::Path;
use std::sync::Arc;

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
            let unread = RefCell::new(Vec::new());
            let base = |name: &str| {
                builtin::source(name).or_else(|| match find(name, site, folder) {
                    Ok(found) => found,
                    Err(it) => {
                        unread.borrow_mut().push(*it);
                        None
                    }
                })
            };
            reader::read(&source, &base).map(Arc::new).map_err(|mut list| {
                list.splice(0..0, unread.take());
                list
            })
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
    fn a_file_with_a_built_in_name_does_not_take_its_place() {
        let folder = tempfile::tempdir().unwrap();
        let site = folder.path().join("x.site.yaml");
        std::fs::write(folder.path().join("nfpa25-2023.yaml"), "garbage: true\n").unwrap();
        assert_eq!(load("nfpa25-2023", &site, None).unwrap().name, "nfpa25-2023");
        assert!(load("../x", &site, None).is_err());
        assert_eq!(load("nfpa26", &site, None).unwrap_err()[0].code, "unknown-rules");
    }
}
