//! The forms that values of a rule file take, as pieces of its schema.

use serde_json::{Map, Value, json};

use crate::rules::model::Confidence;

/// A word of a set's own.
pub(super) const WORD: &str = "[a-z0-9][a-z0-9-]{0,59}";

/// Adds the keys of one object to another.
pub(super) fn join(it: &mut Value, more: Value) {
    if let (Value::Object(it), Value::Object(more)) = (it, more) {
        it.extend(more);
    }
}

/// A mapping with exactly these keys.
pub(super) fn object(about: &str, required: &[&str], properties: Vec<(&str, Value)>) -> Value {
    let properties: Map<String, Value> = properties.into_iter().map(|(k, v)| (k.to_owned(), v)).collect();
    described(
        about,
        json!({"type": "object", "properties": properties, "required": required, "additionalProperties": false}),
    )
}

/// A schema with a description; an empty one is left out.
pub(super) fn described(about: &str, mut it: Value) -> Value {
    if !about.is_empty() {
        join(&mut it, json!({"description": about}));
    }
    it
}

/// Text as it stands: what other readers take for a number or a truth value is text here.
pub(super) fn text(about: &str) -> Value {
    described(about, json!({"type": ["string", "number", "boolean"]}))
}

/// A word of the set's own; digits alone are one too.
pub(super) fn word(about: &str) -> Value {
    described(about, json!({"type": ["string", "integer"], "minimum": 0, "pattern": format!("^{WORD}$")}))
}

/// Text of a form, from its first character to its last.
pub(super) fn pattern(about: &str, form: &str) -> Value {
    described(about, json!({"type": "string", "pattern": format!("^(?:{form})$")}))
}

/// One of a closed list of words.
pub(super) fn one_of(about: &str, words: &[impl AsRef<str>]) -> Value {
    let words: Vec<&str> = words.iter().map(AsRef::as_ref).collect();
    described(about, json!({"enum": words}))
}

/// True or false, quoted or not.
pub(super) fn truth(about: &str) -> Value {
    described(about, json!({"enum": [true, false, "true", "false"]}))
}

/// A word of a set: those known are offered, others are accepted.
pub(super) fn offered(about: &str, known: &[String]) -> Value {
    described(about, json!({"anyOf": [{"enum": known}, word("")]}))
}

/// One value standing alone, or a list of them; the list may be empty.
pub(super) fn listed(about: &str, item: &Value) -> Value {
    described(about, json!({"anyOf": [item, {"type": "array", "items": item}]}))
}

/// One value standing alone, or a list of one at least.
pub(super) fn some_of(about: &str, item: &Value) -> Value {
    described(about, json!({"anyOf": [item, {"type": "array", "items": item, "minItems": 1}]}))
}

/// A list at the top of the file; a key with nothing behind it counts as left out.
pub(super) fn section(about: &str, item: Value) -> Value {
    described(about, json!({"type": ["array", "null"], "items": item}))
}

/// A definition of the schema, by its name.
pub(super) fn refer(def: &str) -> Value {
    json!({"$ref": format!("#/$defs/{def}")})
}

/// The same with words of its own on what it is for here.
pub(super) fn refer_as(about: &str, def: &str) -> Value {
    described(about, refer(def))
}

/// The clause, the source and the mark that every rule and every duty bears.
pub(super) fn basis() -> Vec<(&'static str, Value)> {
    vec![
        ("clause", text("The clause of the edition.")),
        ("source", text("Where clause and criterion come from.")),
        ("confidence", refer("mark")),
    ]
}

/// The keys of [`basis`]; all of them must be there.
pub(super) const BASIS: [&str; 3] = ["clause", "source", "confidence"];

/// The marks of how far something can be relied on.
pub(super) fn mark() -> Value {
    let marks: Vec<String> = Confidence::ALL.iter().map(|c| format!("{c}: {}", c.means())).collect();
    let about = format!("How far it can be relied on. {}.", marks.join(". "));
    one_of(&about, &words(Confidence::ALL, |c| c.as_str()))
}

/// The words of a closed list.
pub(super) fn words<T: Copy>(all: &[T], word: impl Fn(T) -> &'static str) -> Vec<&'static str> {
    all.iter().map(|it| word(*it)).collect()
}
