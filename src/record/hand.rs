//! Entries written by hand: any YAML document that holds an entry, over one line or several. Pure. What the program writes
//! never comes here.

use std::sync::Arc;

use serde_json::Value as Json;

use crate::diag::tree::{self, Limits, Node, Value};
use crate::diag::{Diagnostic, Source};
use crate::round::entry::{Entry, Names};

/// Reads a document, `--- ` included; `None` where it holds nothing.
///
/// # Errors
/// What is wrong, with its place in `source`.
pub fn read(source: &Arc<Source>, names: &mut Names) -> Result<Option<Entry>, Box<Diagnostic>> {
    let node = tree::read(source, Limits::ENTRY)?;
    let items = match &node.value {
        Value::Null => return Ok(None),
        Value::Map(items) => items,
        _ => {
            let what = format!("an entry must be a mapping, not {}", node.what());
            return Err(Box::new(
                Diagnostic::error("bad-entry", source, node.span.clone(), what)
                    .help("write it as '--- {\"id\":…,\"at\":…,\"by\":…,\"round\":…,\"seen\":\"pack/1.1\"}'"),
            ));
        }
    };
    if let Some((key, _)) = items.iter().find(|(k, _)| k.text == "sum") {
        return Err(Box::new(wrong_sum(source, key.span.clone())));
    }
    // No key of an entry holds a list by itself; the reader would take one for a mapping whose keys are left out.
    if let Some((key, node)) = items.iter().find(|(_, node)| matches!(node.value, Value::List(_))) {
        let what = format!("'{}' must be text or a mapping, not {}", crate::diag::plain(&key.text), node.what());
        return Err(Box::new(Diagnostic::error("bad-entry", source, node.span.clone(), what)));
    }
    match Entry::from_value(&json(&node, ""), names) {
        Ok(entry) => Ok(Some(entry)),
        Err(why) => {
            let (why, _) = without_column(&why);
            let span = why.split('\'').nth(1).and_then(|word| span_of(&node, word)).unwrap_or(node.span);
            Err(Box::new(Diagnostic::error("bad-entry", source, span, why)))
        }
    }
}

/// The complaint about a sum that does not belong to its line.
pub fn wrong_sum(source: &Arc<Source>, span: std::ops::Range<usize>) -> Diagnostic {
    Diagnostic::error("wrong-sum", source, span, "the entry does not fit its checksum: it was damaged or changed after it was written")
        .help("restore the line from a copy of the file; if you changed it on purpose, take out its 'sum', and it counts as written by hand")
}

/// A sentence of the entry reader without its column, and the column in bytes from 1 where it names one.
pub fn without_column(why: &str) -> (String, Option<usize>) {
    if let Some((head, rest)) = why.split_once(" (column ")
        && let Some((column, tail)) = rest.split_once(')')
        && let Ok(column) = column.parse()
    {
        return (format!("{head}{tail}"), Some(column));
    }
    (why.to_owned(), None)
}

/// The node as JSON for the entry reader. Scalars stay text (`round: 2026` is the name of a round), save under the few keys that hold
/// a number or a yes or no.
fn json(node: &Node, key: &str) -> Json {
    match &node.value {
        Value::Null => Json::Null,
        Value::Text { text, plain: true } if matches!(key, "doubtful" | "dry" | "guard") => match text.as_str() {
            "yes" | "true" => Json::Bool(true),
            "no" | "false" => Json::Bool(false),
            _ => Json::String(text.clone()),
        },
        Value::Text { text, plain: true } if matches!(key, "lines" | "after") => {
            text.parse::<u64>().map_or_else(|_| Json::String(text.clone()), Json::from)
        }
        Value::Text { text, .. } => Json::String(text.clone()),
        Value::List(items) => Json::Array(items.iter().map(|n| json(n, "")).collect()),
        Value::Map(items) => Json::Object(items.iter().map(|(k, v)| (k.text.clone(), json(v, &k.text))).collect()),
    }
}

/// Where a word stands as a key or a scalar.
fn span_of(node: &Node, word: &str) -> Option<std::ops::Range<usize>> {
    match &node.value {
        Value::Text { text, .. } => (text == word).then(|| node.span.clone()),
        Value::Null => None,
        Value::List(items) => items.iter().find_map(|n| span_of(n, word)),
        Value::Map(items) => {
            items.iter().find_map(|(k, v)| if k.text == word { Some(k.span.clone()) } else { span_of(v, word) })
        }
    }
}
