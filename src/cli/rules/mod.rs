//! `headround rules`: which rule sets there are, what one holds, why a rule says what it says, how two sets differ, and
//! whether a file of one's own is sound.

mod check;
mod diff;
mod explain;
mod list;
mod new;
mod pictures;
mod schema;
mod show;
mod table;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::{Args, Subcommand, ValueHint};

use super::session::{Done, Failure, Session};
use crate::diag::{Diagnostic, Severity, nearest, plain};
use crate::record::{rule_files, rule_shelf};
use crate::rules::builtin;
use crate::rules::model::RuleSet;

/// The set used where none is named.
pub(in crate::cli) const USUAL: &str = "nfpa25-2023";

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround rules list
  headround rules show nfpa25-2023
  headround rules show ./my-company.yaml
  headround rules explain paint-operating-part
  headround rules table --sign paint --setting salt
  headround rules new my-company.yaml
  headround rules diff nfpa25-2023 my-company.yaml
  headround rules check my-company.yaml

Your own sets are NAME.yaml files in the folder of --rules-folder or beside a site file; show, explain, table and diff \
take the path of such a file too.")]
pub struct Rules {
    /// What to do.
    #[command(subcommand)]
    pub what: What,
}

const DIFF_HELP: &str = "\
Examples:
  headround rules diff nfpa25-2023 harbour
  headround rules diff nfpa25-2023 ./harbour.yaml --full

Every combination that the rules of either set can tell apart is decided by both; those on which the ruling or the class \
differs are listed in as few lines as will do. Lines may overlap. With --strict the exit code is 1 where the sets differ.";

/// What to do with rule sets.
#[derive(Debug, Subcommand)]
pub enum What {
    /// List the rule sets there are
    List,
    /// Show what a rule set holds, and its rules
    Show {
        /// A set by name, or a rule-set file by its path
        #[arg(value_name = "SET", default_value = USUAL, value_hint = ValueHint::FilePath)]
        name: String,
    },
    /// Explain a rule: what it looks for, why, what to do, its clause, how the editions differ, its cases as pictures
    Explain {
        /// The rule's name, as reports give it
        rule: String,
        /// The set it is in: a name, or the path of a rule-set file
        #[arg(long, value_name = "SET", default_value = USUAL, value_hint = ValueHint::FilePath)]
        set: String,
        /// Tell the cases in words only
        #[arg(long)]
        no_pictures: bool,
    },
    /// Print the rules as a grid for one kind of head: sign and part down, extent across
    Table(Box<table::Table>),
    /// List what differs between two sets: decisions, words, duties and rules
    #[command(after_help = DIFF_HELP)]
    Diff {
        /// A set by name, or a rule-set file by its path
        #[arg(value_name = "A", value_hint = ValueHint::FilePath)]
        from: String,
        /// The other
        #[arg(value_name = "B", value_hint = ValueHint::FilePath)]
        to: String,
        /// Write out the texts that differ, not only which do
        #[arg(long)]
        full: bool,
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
        What::Explain { rule, set, no_pictures } => explain::run(rule, set, *no_pictures, session),
        What::Table(it) => table::run(it, session),
        What::Diff { from, to, full } => diff::run(from, to, *full, session),
        What::Check { files } => check::run(files, session),
        What::New(it) => new::run(it, session),
        What::Schema => schema::run(session),
    }
}

/// Whether somebody means a file: it has a folder in front or ends as rule-set files do. A set's name never does.
pub(super) fn is_path(set: &str) -> bool {
    let path = Path::new(set);
    set.contains(['/', '\\']) || path.extension().is_some_and(|e| e == "yaml" || e == "yml")
}

/// The set of that name, or the one in the file of that path.
pub(super) fn load_any(set: &str, session: &Session<'_, '_>) -> Result<Arc<RuleSet>, Failure> {
    if is_path(set) {
        return Ok(Arc::new(rule_shelf::read(Path::new(set), session.rules_folder().as_deref())?));
    }
    load(set, session)
}

/// The set that a site file beside it would mean by that name, or the one in the file of that path; with what the site file
/// would call it.
pub(in crate::cli) fn load_for(
    set: &str,
    site: &Path,
    session: &Session<'_, '_>,
) -> Result<(Arc<RuleSet>, String), Failure> {
    let folder = session.rules_folder();
    if is_path(set) {
        let set = rule_shelf::read(Path::new(set), folder.as_deref())?;
        let name = set.name.clone();
        return Ok((Arc::new(set), name));
    }
    Ok((rule_files::load(set, site, folder.as_deref())?, set.to_owned()))
}

/// The set of that name: a built-in one, or the person's own. A built-in name always means the built-in set.
pub(super) fn load(name: &str, session: &Session<'_, '_>) -> Result<Arc<RuleSet>, Failure> {
    if builtin::names().contains(&name) {
        return Ok(builtin::load(name)?);
    }
    let folder = session.rules_folder();
    let own = folder.as_deref().map(rule_shelf::names).unwrap_or_default();
    if let Some(folder) = folder.as_deref().filter(|_| own.iter().any(|n| n == name)) {
        return Ok(Arc::new(rule_shelf::read(&folder.join(format!("{name}.yaml")), Some(folder))?));
    }
    let shown: String = plain(name).chars().take(60).collect();
    let message = format!("there is no rule set called '{shown}'");
    let known: Vec<&str> = builtin::names().iter().copied().chain(own.iter().map(String::as_str)).collect();
    let it = Diagnostic::about(Severity::Error, "unknown-rules", "headround rules", message);
    let first = match nearest(name, known.iter().copied()) {
        Some(near) => format!("did you mean '{near}'?"),
        None => format!("there are: {};", known.join(", ")),
    };
    // What cannot name a file would make no example.
    let tame = name.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.'));
    let file = if tame && !shown.is_empty() { shown.as_str() } else { "NAME" };
    Err(it.help(format!("{first} for a file write its path, as in ./{file}.yaml, or give --rules-folder")).into())
}
