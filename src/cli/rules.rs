//! `headround rules`: which rule sets there are, what one holds, why a rule says what it says, and whether a file of
//! one's own is sound.

use std::path::PathBuf;
use std::sync::Arc;

use clap::{Args, Subcommand, ValueHint};

use super::session::{Done, Failure, Outcome, Session};
use super::table;
use crate::diag::{Diagnostic, Severity, nearest, plain};
use crate::record::rule_shelf;
use crate::rules::model::RuleSet;
use crate::rules::{builtin, explain, show};

/// The set used where none is named.
const USUAL: &str = "nfpa25-2023";

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround rules list
  headround rules show nfpa25-2023
  headround rules explain paint-operating-part
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
}

/// Does it.
pub fn run(it: &Rules, session: &mut Session<'_, '_>) -> Done {
    match &it.what {
        What::List => list(session),
        What::Show { name } => show(name, session),
        What::Explain { rule, set } => explain(rule, set, session),
        What::Check { files } => check(files, session),
    }
}

fn load(name: &str, session: &Session<'_, '_>) -> Result<Arc<RuleSet>, Failure> {
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

#[derive(serde::Serialize)]
struct Listed {
    name: String,
    from: String,
    title: Option<String>,
    edition: Option<String>,
    rules: usize,
}

fn list(session: &mut Session<'_, '_>) -> Done {
    let folder = session.rules_folder();
    let own = folder.as_deref().map(rule_shelf::names).unwrap_or_default();
    let mut rows = Vec::new();
    let mut troubles = Vec::new();
    let built_in = builtin::names().iter().filter(|n| !own.iter().any(|o| o == *n));
    let built_in = built_in.map(|n| ((*n).to_owned(), "built in".to_owned()));
    let from_folder = folder.iter().flat_map(|f| {
        let from = f.display().to_string();
        own.iter().map(move |n| (n.clone(), from.clone()))
    });
    for (name, from) in built_in.chain(from_folder) {
        match load(&name, session) {
            Ok(set) => rows.push(Listed {
                name,
                from,
                title: Some(set.title.clone()),
                edition: Some(set.edition.clone()),
                rules: set.rules.len(),
            }),
            Err(failure) => {
                if let Failure::Told(list) = failure {
                    troubles.extend(list);
                }
                rows.push(Listed { name, from, title: None, edition: None, rules: 0 });
            }
        }
    }
    session.tell(&troubles)?;
    if session.global.json {
        session.say_json(&rows)?;
    } else {
        let cells: Vec<Vec<String>> = rows
            .into_iter()
            .map(|r| {
                let title = r.title.unwrap_or_else(|| "cannot be used as it stands".to_owned());
                vec![r.name, r.rules.to_string(), r.from, title]
            })
            .collect();
        session.say_text(&table::aligned(&["SET", "RULES", "FROM", "TITLE"], &cells))?;
    }
    Ok(if troubles.is_empty() { Outcome::Fine } else { Outcome::Partly })
}

fn show(name: &str, session: &mut Session<'_, '_>) -> Done {
    let set = load(name, session)?;
    let (overview, rows) = (show::overview(&set), show::rows(&set));
    if session.global.json {
        session.say_json(&serde_json::json!({ "overview": overview, "rules": rows }))?;
    } else {
        session.say_text(&show::overview_text(&overview))?;
        session.say("")?;
        session.say_text(&show::rows_text(&rows))?;
    }
    Ok(Outcome::Fine)
}

fn explain(rule: &str, name: &str, session: &mut Session<'_, '_>) -> Done {
    let set = load(name, session)?;
    let found = set.rule(rule).and_then(|ix| Some((set.rule_at(ix)?, explain::explain(&set, ix)?)));
    let Some((it, text)) = found else {
        let mut trouble = Diagnostic::about(
            Severity::Error,
            "unknown-rule",
            name,
            format!("the set has no rule '{}'", plain(rule).chars().take(60).collect::<String>()),
        );
        trouble = trouble.help(match nearest(rule, set.rules.iter().map(|r| r.id.as_str())) {
            Some(near) => format!("did you mean '{near}'?"),
            None => format!("'headround rules show {name}' lists its rules"),
        });
        return Err(trouble.into());
    };
    if session.global.json {
        let (when, unless) = explain::conditions(&set, it);
        let cases: Vec<String> = it.cases.iter().map(|c| explain::case_words(&set, c)).collect();
        session.say_json(&serde_json::json!({
            "set": set.name,
            "rule": it.id,
            "title": it.title,
            "ruling": it.ruling,
            "class": it.class,
            "clause": it.clause,
            "source": it.source,
            "confidence": it.confidence,
            "class_confidence": it.class_confidence,
            "because": it.because,
            "remedy": it.remedy,
            "never": it.never,
            "contested": it.contested,
            "when": when,
            "unless": unless,
            "cases": cases,
        }))?;
    } else {
        session.say_text(&text)?;
    }
    Ok(Outcome::Fine)
}

#[derive(serde::Serialize)]
struct Checked {
    file: String,
    sound: bool,
    rules: usize,
    cases: usize,
    complaints: usize,
}

fn check(files: &[PathBuf], session: &mut Session<'_, '_>) -> Done {
    let folder = session.rules_folder();
    let mut all = Vec::new();
    for path in files {
        let file = path.display().to_string();
        let checked = match rule_shelf::read(path, folder.as_deref()) {
            Ok(set) => {
                let cases = set.rules.iter().map(|r| r.cases.len()).sum();
                Checked { file, sound: true, rules: set.rules.len(), cases, complaints: 0 }
            }
            Err(list) => {
                session.tell(&list)?;
                Checked { file, sound: false, rules: 0, cases: 0, complaints: list.len() }
            }
        };
        if !session.global.json {
            session.say(&if checked.sound {
                format!(
                    "{}: sound; {} rules decide every combination, {} cases come out",
                    checked.file, checked.rules, checked.cases
                )
            } else {
                format!("{}: cannot be used as it stands", checked.file)
            })?;
        }
        all.push(checked);
    }
    if session.global.json {
        session.say_json(&all)?;
    }
    Ok(if all.iter().all(|c| c.sound) { Outcome::Fine } else { Outcome::Partly })
}
