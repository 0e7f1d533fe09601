//! `headround rules check`: whether rule-set files are sound.

use std::path::PathBuf;

use super::super::session::{Done, Outcome, Session};
use crate::record::rule_shelf;

#[derive(serde::Serialize)]
struct Checked {
    file: String,
    sound: bool,
    rules: usize,
    cases: usize,
    complaints: usize,
}

/// Checks them.
pub fn run(files: &[PathBuf], session: &mut Session<'_, '_>) -> Done {
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
