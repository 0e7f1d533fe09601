//! The rule sets that are built into the program. It reads no file: their texts are part of the program.

use std::sync::{Arc, Mutex};

use super::load;
use super::model::RuleSet;
use crate::diag::{Diagnostic, Severity, Source};
use crate::trade::words::unknown;

const SETS: [(&str, &str); 5] = [
    ("nfpa25-2023", include_str!("../../rules/nfpa25-2023.yaml")),
    ("nfpa25-2020", include_str!("../../rules/nfpa25-2020.yaml")),
    ("nfpa25-2017", include_str!("../../rules/nfpa25-2017.yaml")),
    ("nfpa25-2014", include_str!("../../rules/nfpa25-2014.yaml")),
    ("en12845", include_str!("../../rules/en12845.yaml")),
];

const NAMES: [&str; SETS.len()] = ["nfpa25-2023", "nfpa25-2020", "nfpa25-2017", "nfpa25-2014", "en12845"];

/// The names of the built-in sets.
#[must_use]
pub const fn names() -> &'static [&'static str] {
    &NAMES
}

/// The text of a built-in set, named `built-in NAME`.
#[must_use]
pub fn source(name: &str) -> Option<Arc<Source>> {
    SETS.iter().find(|(known, _)| *known == name).map(|(known, text)| Source::new(format!("built-in {known}"), *text))
}

/// Loads a built-in set.
///
/// # Errors
/// No set of that name (the nearest is suggested), or what is wrong with its text.
pub fn load(name: &str) -> Result<Arc<RuleSet>, Vec<Diagnostic>> {
    let Some(source) = source(name) else {
        let it = Diagnostic::about(Severity::Error, "unknown-set", name, unknown("built-in rule set", name, names()));
        return Err(vec![it]);
    };
    // Their texts never change, so each is read and checked once, however many sites ask for it.
    static READ: Mutex<Vec<Arc<RuleSet>>> = Mutex::new(Vec::new());
    let mut read = READ.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    if let Some(known) = read.iter().find(|set| set.name == name) {
        return Ok(Arc::clone(known));
    }
    let set = Arc::new(load::read(&source, &self::source)?);
    read.push(Arc::clone(&set));
    Ok(set)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_built_in_set_loads_under_its_own_name() {
        for name in names() {
            match load(name) {
                Ok(set) => assert_eq!(set.name, *name),
                Err(all) => {
                    let words: Vec<String> = all.iter().map(ToString::to_string).collect();
                    panic!("{name}: {} complaints\n{}", words.len(), words.join("\n"));
                }
            }
        }
        assert_eq!(
            load("nfpa25-2032").expect_err("unknown")[0].message,
            "'nfpa25-2032' is no built-in rule set; did you mean 'nfpa25-2023'?"
        );
    }
}
