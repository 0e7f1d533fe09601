//! `headround rules check`: whether rule-set files are sound.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::super::session::{Done, Outcome, Session};
use crate::record::rule_shelf;
use crate::rules::builtin;
use crate::rules::compare::compare;
use crate::rules::model::{RuleSet, Ruling};

/// The most milder calls that are listed.
const MOST_LISTED: usize = 20;

/// A call on which a set is milder than the one it extends.
#[derive(serde::Serialize)]
struct Milder {
    /// Sign and place, in words.
    place: String,
    from: Ruling,
    to: Ruling,
    /// The rule that leads here; `None`: no rule has anything to say.
    rule: Option<String>,
}

#[derive(serde::Serialize)]
struct Checked {
    file: String,
    sound: bool,
    rules: usize,
    cases: usize,
    complaints: usize,
    /// The set that it extends.
    extends: Option<String>,
    milder: Vec<Milder>,
}

/// The calls on which a set is milder than the one it extends; none where that cannot be found.
fn milder(set: &RuleSet, path: &Path, folder: Option<&Path>) -> Vec<Milder> {
    let Some(name) = set.extends.first() else { return Vec::new() };
    let above = builtin::load(name).ok().or_else(|| {
        let folders = path.parent().into_iter().chain(folder);
        let read = |f: &Path| rule_shelf::read(&f.join(format!("{name}.yaml")), folder).ok();
        folders.filter_map(read).next().map(Arc::new)
    });
    let Some(above) = above else { return Vec::new() };
    let milder = compare(&above, set).decisions.into_iter().filter(|d| d.to.ruling < d.from.ruling);
    milder
        .flat_map(|d| {
            let (from, to, rule) = (d.from.ruling, d.to.ruling, d.to.rule);
            d.places.into_iter().map(move |p| Milder { place: p.words, from, to, rule: rule.clone() })
        })
        .collect()
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
                let milder = milder(&set, path, folder.as_deref());
                let extends = set.extends.first().cloned();
                Checked { file, sound: true, rules: set.rules.len(), cases, complaints: 0, extends, milder }
            }
            Err(list) => {
                session.tell(&list)?;
                Checked {
                    file,
                    sound: false,
                    rules: 0,
                    cases: 0,
                    complaints: list.len(),
                    extends: None,
                    milder: Vec::new(),
                }
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
            tell_milder(&checked, session)?;
        }
        all.push(checked);
    }
    if session.global.json {
        session.say_json(&all)?;
    }
    if all.iter().any(|c| !c.sound) {
        return Ok(Outcome::Partly);
    }
    Ok(Outcome::of(all.iter().any(|c| !c.milder.is_empty())))
}

/// What is milder here than in the set it extends: sound it may be, and yet nobody should overlook it.
fn tell_milder(checked: &Checked, session: &mut Session<'_, '_>) -> Result<(), crate::cli::session::Failure> {
    if checked.milder.is_empty() {
        return Ok(());
    }
    let above = checked.extends.as_deref().unwrap_or_default();
    let (count, places) = (checked.milder.len(), if checked.milder.len() == 1 { "place" } else { "places" });
    session.say(&format!(
        "  milder than {above} in {count} {places}; that is for the authority having jurisdiction to decide:"
    ))?;
    for it in checked.milder.iter().take(MOST_LISTED) {
        let rule = it.rule.as_ref().map(|r| format!(" ({r})")).unwrap_or_default();
        session.say(&format!("    {}: {} -> {}{rule}", it.place, it.from, it.to))?;
    }
    if count > MOST_LISTED {
        session.say(&format!("    and {} more: 'headround rules diff' lists them", count - MOST_LISTED))?;
    }
    Ok(())
}
