//! Which rule set judges: a signed round keeps the one it was walked under, every other is judged by the one that the site
//! names. It finds the set and judges the record anew where another is wanted.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::rule_files;
use crate::diag::{Diagnostic, Severity};
use crate::round::rounds::Round;
use crate::round::state::State;
use crate::round::words::set_word;
use crate::rules::model::RuleSet;

/// The set that a site names, and where others are looked for.
pub(super) struct Adopted {
    /// The site's own.
    pub site: Arc<RuleSet>,
    /// The site file: a set may lie beside it.
    pub path: PathBuf,
    /// The person's own folder of sets.
    pub folder: Option<PathBuf>,
}

impl Adopted {
    /// Sees to it that the round looked from is judged by its set; what there is to say about that comes back.
    pub(super) fn settle(&self, state: &mut State) -> Option<Diagnostic> {
        let own = state.register().site.rules.clone();
        let (wanted, told) = self.wanted(state, &own);
        let (set, name) = wanted.unwrap_or_else(|| (Arc::clone(&self.site), own));
        if state.rules() != name {
            *state = state.rejudged(set, &name);
        }
        told
    }

    /// The set that the round looked from asks for, where that is another than the site's, and can be had.
    fn wanted(&self, state: &State, own: &str) -> (Option<(Arc<RuleSet>, String)>, Option<Diagnostic>) {
        let Some(round) = state.present_round() else { return (None, None) };
        let Some(name) = round.rules().filter(|name| *name != own) else { return (None, None) };
        if !round.is_signed() {
            return (None, Some(self.begun_under(round, name, own)));
        }
        // What judges already need not be read again.
        if state.rules() == name {
            return (Some((Arc::clone(state.judge().set()), name.to_owned())), None);
        }
        match rule_files::load(name, &self.path, self.folder.as_deref()) {
            Ok(set) => (Some((set, name.to_owned())), Some(self.walked_under(round, name, own))),
            Err(troubles) => (None, Some(self.not_to_be_had(round, name, own, &troubles))),
        }
    }

    fn about(&self, severity: Severity, code: &'static str, message: String) -> Diagnostic {
        Diagnostic::about(severity, code, file(&self.path), message)
    }

    fn walked_under(&self, round: &Round, name: &str, own: &str) -> Diagnostic {
        let (round, name, own) = (set_word(&round.name), set_word(name), set_word(own));
        let message =
            format!("round '{round}' is judged by '{name}', under which it was walked; the site now names '{own}'");
        self.about(Severity::Note, "walked-under", message)
    }

    fn begun_under(&self, round: &Round, name: &str, own: &str) -> Diagnostic {
        let (round, name, own) = (set_word(&round.name), set_word(name), set_word(own));
        let message =
            format!("round '{round}' was begun under '{name}' and is judged by '{own}', which the site names now");
        self.about(Severity::Warning, "begun-under", message).help(format!(
            "begin it anew ('headround begin --round {round}') before it is signed, or name '{name}' in the register again"
        ))
    }

    fn not_to_be_had(&self, round: &Round, name: &str, own: &str, troubles: &[Diagnostic]) -> Diagnostic {
        let (round, name, own) = (set_word(&round.name), set_word(name), set_word(own));
        let why = troubles.first().map_or_else(String::new, |t| {
            // A set that is not there is told by its name already.
            if t.code == "unknown-rules" { String::new() } else { format!(" ({})", t.message) }
        });
        let message = format!(
            "round '{round}' was walked under '{name}', which cannot be had here{why}; '{own}' judges it instead, and its rulings may be others than those signed for"
        );
        let help = match why.as_str() {
            "" => format!("put '{name}.yaml' beside the site file"),
            _ => "'headround rules check' tells all that is wrong with its file".to_owned(),
        };
        self.about(Severity::Warning, "set-not-found", message).help(help)
    }
}

fn file(path: &Path) -> String {
    path.display().to_string()
}
