//! `headround rules new`: a rule file to start from. What is written is read back by the reader of rule files before.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::{Args, ValueHint};

use super::super::session::{Done, Failure, Outcome, Session};
use super::{USUAL, load};
use crate::diag::{Diagnostic, Severity, Source, plain};
use crate::record::{export, rule_shelf};
use crate::rules::model::RuleSet;
use crate::rules::starter::{Starter, starter};
use crate::rules::{builtin, load as reader};

/// The name of a set that is only printed.
const UNNAMED: &str = "our-rules";

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround rules new harbour.yaml --title 'Harbour Board, on the 2023 edition'
  headround rules new harbour.yaml --extends nfpa25-2017
  headround rules new | less

The file extends a set and changes nothing yet. Its comments show how to settle a contested call, amend a rule, add \
a sign with its rules and cases, tighten an age or a clearance, and add a recalled number; each of these examples \
holds as it stands. A file that is there is never overwritten, and without FILE the text is printed.

A set of your own need not be complete: what it does not say is taken from the set that it extends.")]
pub struct New {
    /// The file to make, NAME.yaml; a site file finds it by that name
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: Option<PathBuf>,

    /// The set it extends
    #[arg(long, value_name = "SET", default_value = USUAL)]
    pub extends: String,

    /// The set's word, where it is only printed; otherwise it is the file's
    #[arg(long, value_name = "NAME")]
    pub name: Option<String>,

    /// One line for people
    #[arg(long, value_name = "TITLE")]
    pub title: Option<String>,
}

/// Makes one.
pub fn run(it: &New, session: &mut Session<'_, '_>) -> Done {
    let name = name(it)?;
    let parent = parent(it, session)?;
    if name == parent.name || builtin::names().contains(&name.as_str()) {
        let message = format!("'{name}' is the name of the set it extends, or of one that is built in");
        let about = it.file.as_ref().map_or_else(|| "--name".to_owned(), |f| f.display().to_string());
        return Err(refused(&about, message, "choose another name; a built-in name always means the built-in set"));
    }
    let title = match it.title.as_deref().map(str::trim).filter(|t| !t.is_empty()) {
        Some(title) => title.to_owned(),
        None => format!("Our own rules on {}", parent.edition),
    };
    let text = starter(&Starter { name: &name, title: &title, extends: &parent });
    let shown = it.file.as_ref().map_or_else(|| format!("{name}.yaml"), |f| f.display().to_string());
    reader::read(&Source::new(shown.clone(), text.as_str()), &|word| text_of(word, it, session))?;
    let Some(file) = &it.file else {
        if session.global.json {
            session.say_json(&serde_json::json!({ "name": name, "extends": parent.name, "text": text }))?;
        } else {
            session.say_text(&text)?;
        }
        return Ok(Outcome::Fine);
    };
    export::write_out(file, &text, false)?;
    if session.global.json {
        session.say_json(&serde_json::json!({ "file": shown, "name": name, "extends": parent.name }))?;
    } else {
        session.say(&format!("Made {shown}: it extends {}, and changes nothing yet.", parent.name))?;
        session.say(&format!("Look into it, and check it with: headround rules check {shown}"))?;
    }
    Ok(Outcome::Fine)
}

/// A site file names the set by the name of its file, so the two may not differ.
fn name(it: &New) -> Result<String, Failure> {
    let given = it.name.as_deref().map(str::trim);
    let Some(file) = &it.file else {
        return reader::word(given.unwrap_or(UNNAMED))
            .map_err(|why| refused("--name", why, "write it as in 'port-tarrow'"));
    };
    let stem = file.file_name().and_then(|n| n.to_str()).and_then(|n| n.strip_suffix(".yaml"));
    let shown = file.display().to_string();
    let Some(stem) = stem else {
        let message = "a rule file is called NAME.yaml, with the set's name in it";
        return Err(refused(&shown, message.to_owned(), "call it as in 'port-tarrow.yaml'"));
    };
    let word = reader::word(stem).map_err(|why| refused(&shown, why, "call it as in 'port-tarrow.yaml'"))?;
    match given.filter(|g| *g != word) {
        Some(other) => Err(refused(
            "--name",
            format!("a site file looks for the set '{}' in another file than {shown}", plain(other)),
            "leave '--name' out, or give the file that name",
        )),
        None => Ok(word),
    }
}

/// The text of a set that the new one may extend: built in, beside the file that is made, or in the person's folder.
fn text_of(word: &str, it: &New, session: &Session<'_, '_>) -> Option<Arc<Source>> {
    let file = it.file.as_deref().unwrap_or_else(|| Path::new(""));
    let folder = session.rules_folder();
    builtin::source(word).or_else(|| rule_shelf::beside_or_in(word, file.parent(), folder.as_deref(), file))
}

/// The set that is extended.
fn parent(it: &New, session: &Session<'_, '_>) -> Result<Arc<RuleSet>, Failure> {
    match text_of(&it.extends, it, session).filter(|_| !builtin::names().contains(&it.extends.as_str())) {
        Some(source) => Ok(Arc::new(reader::read(&source, &|word| text_of(word, it, session))?)),
        None => load(&it.extends, session),
    }
}

fn refused(about: &str, message: String, help: &str) -> Failure {
    Diagnostic::about(Severity::Error, "bad-option", about, message).help(help).into()
}
