//! Reads the vocabulary of a rule file: parts, extents and signs.

use std::ops::Range;
use std::sync::Arc;

use super::load::{Draft, Placed, SIGN_KEYS, enough, position, truth, word};
use super::model::{ExtentIx, PartIx, Seen, Sign, Word};
use crate::diag::tree::{self, Fields, Node, Value};
use crate::diag::{Diagnostic, Source, plain};
use crate::trade::words::unknown;

/// Reads a part or an extent.
pub(crate) fn read_word(
    source: &Arc<Source>,
    node: &Node,
    what: &'static str,
    out: &mut Vec<Diagnostic>,
) -> Option<Placed<Word>> {
    let mut f = Fields::of(source, node, what, out);
    let id_node = f.need(what, out)?;
    let id = tree::parse_node(source, id_node, what, out, word);
    let name = f.need_text("name", out);
    let hint = f.need_text("hint", out);
    f.finish(out);
    Some(Placed {
        it: Word { id: id?, name: name?, hint: hint? },
        source: Arc::clone(source),
        span: id_node.span.clone(),
    })
}

/// Reads a sign over the parts and extents declared so far.
pub(crate) fn read_sign(
    draft: &Draft,
    source: &Arc<Source>,
    node: &Node,
    out: &mut Vec<Diagnostic>,
) -> Option<Placed<Sign>> {
    let mut f = Fields::of(source, node, "a sign", out);
    let id_node = f.need("sign", out)?;
    let id = tree::parse_node(source, id_node, "sign", out, word);
    let key = f.parse("key", out, |t| {
        let mut chars = t.chars();
        match (chars.next(), chars.next()) {
            (Some(c), None) if SIGN_KEYS.contains(c) => Ok(c),
            _ => Err(format!(
                "'{}' cannot be a sign's letter; the letters are {}",
                plain(t).chars().take(20).collect::<String>(),
                SIGN_KEYS.chars().map(String::from).collect::<Vec<_>>().join(" ")
            )),
        }
    });
    let name = f.need_text("name", out);
    let hint = f.need_text("hint", out);
    let seen = f.parse("seen", out, Seen::parse).unwrap_or(Seen::Eye);
    let part_words: Vec<&str> = draft.parts.iter().map(|p| p.it.id.as_str()).collect();
    let mut parts =
        f.list("parts", out, |t| position(&part_words, t).map(PartIx).ok_or_else(|| unknown("part", t, &part_words)));
    let extent_words: Vec<&str> = draft.extents.iter().map(|p| p.it.id.as_str()).collect();
    let (mut extents, extent_hints) = match f.take("extents") {
        None => (Vec::new(), Vec::new()),
        Some(node) => read_extents(source, node, &extent_words, out),
    };
    let ask_applied = f.parse("asks_origin", out, truth).unwrap_or(false);
    let asks_clearance = f.parse("asks_clearance", out, truth).unwrap_or(false);
    let otherwise = f.parse("otherwise", out, |t| match t {
        "keep" => Ok(true),
        _ => Err(format!("'{}' is not 'keep'", plain(t).chars().take(20).collect::<String>())),
    });
    f.finish(out);
    let mut bad = |code, message: String, help: &str| {
        out.push(Diagnostic::error(code, source, id_node.span.clone(), message).help(help));
    };
    let id = id?;
    parts.sort();
    parts.dedup();
    if parts.is_empty() && !part_words.is_empty() {
        bad("sign-without-part", format!("the sign '{id}' names no part"), "add 'parts:', at least one");
    }
    if extents.is_empty() && !extent_words.is_empty() {
        bad("sign-without-extent", format!("the sign '{id}' names no extent"), "add 'extents:', at least one");
        extents.clear();
    }
    if seen != Seen::Eye && (parts.len() > 1 || extents.len() > 1 || key.is_some() || ask_applied || asks_clearance) {
        bad(
            "sign-not-entered",
            format!(
                "the sign '{id}' is not entered by eye and cannot have a letter, a choice of parts or extents, or questions"
            ),
            "give it one part and one extent, and no letter",
        );
    }
    if otherwise.is_some() && matches!(seen, Seen::Eye | Seen::Doubt) {
        bad(
            "otherwise-by-eye",
            format!("the sign '{id}' may not leave combinations undecided"),
            "leave out 'otherwise' and write a rule for every combination",
        );
    }
    if let Some(key) = key
        && let Some(other) = draft.signs.iter().find(|s| s.it.key == Some(key) && s.it.id != id)
    {
        let mut it = Diagnostic::error(
            "repeated-letter",
            source,
            id_node.span.clone(),
            format!("the letter '{key}' belongs to '{}' already", other.it.id),
        )
        .help("choose another letter, or leave it out: the sign is then reached by the menu");
        if Arc::ptr_eq(source, &other.source) {
            it = it.and_at(other.span.clone(), "has it already");
        }
        out.push(it);
    }
    Some(Placed {
        it: Sign {
            id,
            name: name?,
            key,
            hint: hint?,
            parts,
            extents,
            extent_hints,
            ask_applied,
            asks_clearance,
            standing: seen != Seen::Eye,
            seen,
            otherwise_keep: otherwise.is_some(),
        },
        source: Arc::clone(source),
        span: id_node.span.clone(),
    })
}

/// Extents as a list of words, or as a mapping from the word to what it means for the sign.
fn read_extents(
    source: &Arc<Source>,
    node: &Node,
    words: &[&str],
    out: &mut Vec<Diagnostic>,
) -> (Vec<ExtentIx>, Vec<String>) {
    let mut found: Vec<(ExtentIx, String)> = Vec::new();
    let mut add = |text: &str, span: &Range<usize>, hint: String, out: &mut Vec<Diagnostic>| match position(words, text)
    {
        Some(ix) => found.push((ExtentIx(ix), hint)),
        None => out.push(Diagnostic::error(
            "bad-value",
            source,
            span.clone(),
            format!("'extents': {}", unknown("extent", text, words)),
        )),
    };
    match &node.value {
        Value::Map(items) => {
            for (key, value) in items {
                if enough(out) {
                    break;
                }
                let hint = tree::text_of(source, value, "extents", out).unwrap_or_default();
                add(&key.text, &key.span, hint, out);
            }
        }
        Value::List(items) => {
            for item in items {
                if enough(out) {
                    break;
                }
                if let Some(text) = tree::text_of(source, item, "extents", out) {
                    add(&text, &item.span, String::new(), out);
                }
            }
        }
        _ => {
            if let Some(text) = tree::text_of(source, node, "extents", out) {
                add(&text, &node.span, String::new(), out);
            }
        }
    }
    found.sort_by_key(|(ix, _)| *ix);
    found.dedup_by_key(|(ix, _)| *ix);
    found.into_iter().unzip()
}
