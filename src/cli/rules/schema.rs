//! `headround rules schema`: the JSON Schema of rule files, for editors.

use super::super::session::{Done, Outcome, Session};
use crate::rules::{builtin, schema};

/// How an editor finds it.
pub const HELP: &str = "\
Write it beside your rule files:
  headround rules schema > rule-set.schema.json

and let their first line name it, for editors that know the YAML language server:
  # yaml-language-server: $schema=rule-set.schema.json

What takes more than one place of a file to see is told by 'headround rules check' alone.";

/// Prints it.
pub fn run(session: &mut Session<'_, '_>) -> Done {
    let mut sets = Vec::new();
    for name in builtin::names() {
        sets.push(builtin::load(name)?);
    }
    session.say_json(&schema::schema(&sets))?;
    Ok(Outcome::Fine)
}
