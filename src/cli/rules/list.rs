//! `headround rules list`: which rule sets there are.

use super::super::session::{Done, Failure, Outcome, Session};
use super::super::table;
use super::load;
use crate::record::rule_shelf;
use crate::rules::builtin;

#[derive(serde::Serialize)]
struct Listed {
    name: String,
    from: String,
    title: Option<String>,
    edition: Option<String>,
    rules: usize,
}

/// Lists them.
pub fn run(session: &mut Session<'_, '_>) -> Done {
    let folder = session.rules_folder();
    let mut own = folder.as_deref().map(rule_shelf::names).unwrap_or_default();
    // A built-in name always means the built-in set.
    own.retain(|name| !builtin::names().contains(&name.as_str()));
    let mut rows = Vec::new();
    let mut troubles = Vec::new();
    let built_in = builtin::names().iter().map(|n| ((*n).to_owned(), "built in".to_owned()));
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
