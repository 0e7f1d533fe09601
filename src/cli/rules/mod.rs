//! `headround rules`: which rule sets there are, what one holds, why a rule says what it says, and whether a file of
//! one's own is sound.

mod check;
mod explain;
mod list;
mod new;
mod schema;
mod show;

use std::path::PathBuf;
use std::sync::Arc;

use clap::{Args, Subcommand, ValueHint};

use super::session::{Done, Failure, Session};
use crate::diag::{Diagnostic, Severity, nearest, plain};
use crate::record::rule_shelf;
use crate::rules::builtin;
use crate::rules::model::RuleSet;

/// The set used where none is named.
const USUAL: &str = "nfpa25-2023";

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround rules list
  headround rules show nfpa25-2023
  headround rules explain paint-operating-part
  headround rules new my-company.yaml
  headround rules check my-company.yaml

Your own sets are NAME.yaml files in the folder of --rules-folder or beside a site file.")]
pub struct Rules {
    /// What to do.
    #[command(subcommand)]
    pub what: What,
}

/// What to do with rule sets.
#[derive(Debug, Subcommand)]
pub enum What {
    /// List the rule sets there are
    List,
    /// Show what a rule set holds, and its rules
    Show {
        /// The set's name
        #[arg(default_value = USUAL)]
        name: String,
    },
    /// Explain a rule: what it looks for, why, what to do, its clause and cases
    Explain {
        /// The rule's name, as reports give it
        rule: String,
        /// The set it is in
        #[arg(long, value_name = "NAME", default_value = USUAL)]
        set: String,
    },
    /// Check rule-set files of your own exhaustively
    Check {
        /// The files
        #[arg(required = true, value_name = "FILE", value_hint = ValueHint::FilePath)]
        files: Vec<PathBuf>,
    },
    /// Make a rule file of your own to start from
    New(new::New),
    /// Print the JSON Schema of rule files, by which editors complete and check them
    #[command(after_help = schema::HELP)]
    Schema,
}

/// Does it.
pub fn run(it: &Rules, session: &mut Session<'_, '_>) -> Done {
    match &it.what {
        What::List => list::run(session),
        What::Show { name } => show::run(name, session),
        What::Explain { rule, set } => explain::run(rule, set, session),
        What::Check { files } => check::run(files, session),
        What::New(it) => new::run(it, session),
        What::Schema => schema::run(session),
    }
}

/// The set of that name: the person's own, or a built-in one.
pub(super) fn load(name: &str, session: &Session<'_, '_>) -> Result<Arc<RuleSet>, Failure> {
    let folder = session.rules_folder();
    let own = folder.as_deref().map(rule_shelf::names).unwrap_or_default();
    if let Some(folder) = folder.as_deref().filter(|_| own.iter().any(|n| n == name)) {
        return Ok(Arc::new(rule_shelf::read(&folder.join(format!("{name}.yaml")), Some(folder))?));
    }
    if builtin::names().contains(&name) {
        return Ok(builtin::load(name)?);
    }
    let shown: String = plain(name).chars().take(60).collect();
    let message = format!("there is no rule set called '{shown}'");
    let known: Vec<&str> = builtin::names().iter().copied().chain(own.iter().map(String::as_str)).collect();
    let it = Diagnostic::about(Severity::Error, "unknown-rules", "headround rules", message);
    Err(it
        .help(match nearest(name, known.iter().copied()) {
            Some(near) => format!("did you mean '{near}'?"),
            None => format!("there are: {}", known.join(", ")),
        })
        .into())
}
