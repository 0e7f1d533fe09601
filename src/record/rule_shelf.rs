//! Rule-set files as files: the ones in a folder, and one by its path.

use std::path::Path;
use std::sync::Arc;

use crate::diag::{Diagnostic, Severity, Source};
use crate::rules::model::RuleSet;
use crate::rules::{builtin, load as reader};

/// The most bytes a rule-set file may have.
const MOST: u64 = 8 << 20;

/// The names of the rule-set files (`NAME.yaml`) in a folder, sorted; none where it cannot be read.
#[must_use]
pub fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs_err::read_dir(folder)
        .into_iter()
        .flatten()
        .filter_map(Result::ok)
        // A pipe or a folder of that name is none: opening it might wait for ever.
        .filter(|item| item.path().is_file())
        .filter_map(|item| item.file_name().to_str()?.strip_suffix(".yaml").map(str::to_owned))
        .filter(|name| !name.ends_with(".site") && !name.starts_with('.'))
        .collect();
    names.sort();
    names
}

/// Reads and checks the rule set in a file. Sets it extends are looked for among those built in, beside it and in the
/// person's folder.
///
/// # Errors
/// The file cannot be read, or every complaint about it.
pub fn read(path: &Path, folder: Option<&Path>) -> Result<RuleSet, Vec<Diagnostic>> {
    let source = source(path)?;
    let beside = path.parent();
    // As everywhere, a built-in name means the built-in set.
    let base = |name: &str| builtin::source(name).or_else(|| beside_or_in(name, beside, folder, path));
    reader::read(&source, &base)
}

/// The text of the rule-set file of that name beside another or in the person's folder, `but` left out. A name that could
/// lead out of them is none.
#[must_use]
pub fn beside_or_in(name: &str, beside: Option<&Path>, folder: Option<&Path>, but: &Path) -> Option<Arc<Source>> {
    let tame =
        name.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.')) && !name.starts_with('.');
    let folders = beside.into_iter().chain(folder).filter(|_| tame);
    folders.map(|f| f.join(format!("{name}.yaml"))).filter(|p| p != but).find_map(|p| source_of(&p).ok())
}

fn source(path: &Path) -> Result<Arc<Source>, Vec<Diagnostic>> {
    source_of(path).map_err(|error| vec![unreadable(path, &error)])
}

/// The complaint about a rule-set file that is there and cannot be read.
pub(super) fn unreadable(path: &Path, error: &std::io::Error) -> Diagnostic {
    let file = path.display().to_string();
    Diagnostic::about(Severity::Error, "unreadable", file, format!("the file could not be read: {error}"))
        .help("check its name and its rights, and that it is UTF-8 text")
}

/// The text of a rule-set file; never more of it than an honest one holds.
pub(super) fn source_of(path: &Path) -> std::io::Result<Arc<Source>> {
    use std::io::Read as _;
    // Looked at before it is opened: opening a pipe would wait for whoever writes to it.
    if !std::fs::metadata(path)?.is_file() {
        return Err(std::io::Error::other("it is no file"));
    }
    let mut text = String::new();
    let file = std::fs::File::open(path)?;
    if file.take(MOST + 1).read_to_string(&mut text)? as u64 > MOST {
        return Err(std::io::Error::other(format!("it is longer than {MOST} bytes")));
    }
    Ok(Source::new(path.display().to_string(), text))
}
