//! Where rule sets come from: built in, beside the site file, or in the person's own folder.

use std::path::Path;
use std::sync::Arc;

use crate::diag::{Diagnostic, Severity, Source};
use crate::rules::model::RuleSet;
use crate::rules::{builtin, load as reader};

/// Loads a rule set by name: `NAME.yaml` beside the site file, then in the person's folder, then built in.
///
/// # Errors
/// Every complaint about the file, or that there is no set of that name.
pub fn load(name: &str, site: &Path, folder: Option<&Path>) -> Result<Arc<RuleSet>, Vec<Diagnostic>> {
    match find(name, site, folder) {
        Some(source) => reader::read(&source, &|base| find(base, site, folder)).map(Arc::new),
        None if builtin::names().contains(&name) => builtin::load(name),
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
fn find(name: &str, site: &Path, folder: Option<&Path>) -> Option<Arc<Source>> {
    let tame = !name.is_empty()
        && !name.starts_with('.')
        && name.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.'));
    if !tame {
        return None;
    }
    let beside = site.parent().map(|p| p.join(format!("{name}.yaml")));
    let own = folder.map(|f| f.join(format!("{name}.yaml")));
    [beside, own]
        .into_iter()
        .flatten()
        .find_map(|path| fs_err::read_to_string(&path).ok().map(|text| Source::new(path.display().to_string(), text)))
}
