//! The one module that names the YAML library: a text becomes a tree of nodes that keep their place, so that every
//! later check can point at the line it speaks of. Scalars are kept as they were written (`012` and `no` stay text);
//! what they mean is decided by whoever reads the node.

use std::fmt;
use std::ops::Range;
use std::sync::Arc;

use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_yaml::Spanned;

use super::{Diagnostic, Source, nearest};

/// A YAML node with the byte range it stands in.
#[derive(Clone, Debug)]
pub struct Node {
    /// Byte range in the source.
    pub span: Range<usize>,
    /// What stands there.
    pub value: Value,
}

/// What a node holds.
#[derive(Clone, Debug)]
pub enum Value {
    /// Nothing, `~` or `null`.
    Null,
    /// A scalar, as written (plain) or decoded (quoted).
    Text {
        /// The characters.
        text: String,
        /// Whether it stood without quotes: only then may it be a number or a boolean.
        plain: bool,
    },
    /// A sequence.
    List(Vec<Node>),
    /// A mapping in file order; keys are unique.
    Map(Vec<(Key, Node)>),
}

/// A mapping's key with its place.
#[derive(Clone, Debug)]
pub struct Key {
    /// Byte range in the source.
    pub span: Range<usize>,
    /// The key.
    pub text: String,
}

/// How large a text may be before it is refused; each bound keeps memory and time in step with honest files.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Bytes of text.
    pub bytes: usize,
    /// Nodes, counting those an alias repeats.
    pub nodes: usize,
    /// Nesting.
    pub depth: usize,
}

impl Limits {
    /// For a rule set or a settings file.
    pub const SMALL: Self = Self { bytes: 4 << 20, nodes: 400_000, depth: 32 };
    /// For a site's register.
    pub const REGISTER: Self = Self { bytes: 64 << 20, nodes: 4_000_000, depth: 24 };
    /// For one entry.
    pub const ENTRY: Self = Self { bytes: 1 << 20, nodes: 20_000, depth: 16 };
}

/// Reads one YAML document.
///
/// # Errors
/// One diagnostic with the place: not YAML, larger than `limits`, a repeated key, a tag.
pub fn read(source: &Arc<Source>, limits: Limits) -> Result<Node, Box<Diagnostic>> {
    let len = source.text.len();
    if len > limits.bytes {
        return Err(Box::new(
            Diagnostic::error(
                "too-large",
                source,
                0..0,
                format!("the text is {len} bytes long; at most {} are read", limits.bytes),
            )
            .help("check that this is the file you meant, or split it"),
        ));
    }
    let options = serde_yaml::options! {
        budget: serde_yaml::budget! {
            max_events: limits.nodes * 3,
            max_nodes: limits.nodes,
            max_depth: limits.depth,
            max_total_scalar_bytes: limits.bytes,
            max_documents: 1,
            max_anchors: 1000,
            max_aliases: 1000,
        },
        strict_booleans: true,
        reject_unsupported_tags: true,
    };
    let raw: Option<Raw> =
        serde_yaml::from_str_with_options(&source.text, options).map_err(|e| Box::new(yaml_error(source, &e)))?;
    Ok(raw.map_or(Node { span: 0..0, value: Value::Null }, |raw| raw.into_node(&source.text)))
}

fn yaml_error(source: &Arc<Source>, error: &serde_yaml::Error) -> Diagnostic {
    let error = error.without_snippet();
    let span = error.location().and_then(|l| {
        let start = usize::try_from(l.span().byte_offset()?).ok()?;
        let length = usize::try_from(l.span().byte_len().unwrap_or(1)).ok()?;
        Some(start..start.saturating_add(length))
    });
    let words = error.to_string();
    let first = words.lines().next().unwrap_or("not readable as YAML");
    let first = first.rsplit_once(" at line ").map_or(first, |(head, _)| head);
    let beyond = words.contains("budget");
    let first = if beyond { "this nests or repeats more than is read from one document" } else { first };
    // The library's advice is for programmers.
    let first = first.split_once(", set DuplicateKeyPolicy").map_or(first, |(head, _)| head);
    let code = if words.contains("duplicate") { "repeated-key" } else { "not-yaml" };
    let mut it = match span {
        Some(span) => Diagnostic::error(code, source, span, super::plain(first)),
        None => {
            let mut it = Diagnostic::error(code, source, 0..0, super::plain(first));
            if let (Some(l), Some(place)) = (error.location(), it.place.as_mut()) {
                place.line = source.first_line + usize::try_from(l.line()).unwrap_or(1).saturating_sub(1);
                place.column = usize::try_from(l.column()).unwrap_or(1);
                let start = byte_of(&source.text, usize::try_from(l.line()).unwrap_or(1), place.column);
                place.span = start..start;
            }
            it
        }
    };
    if beyond {
        it = it.help("it goes far beyond what an honest file needs, and nothing was read from it; look whether it is the file you meant");
    }
    it
}

fn byte_of(text: &str, line: usize, column: usize) -> usize {
    let mut start = 0;
    for (number, l) in text.split_inclusive('\n').enumerate() {
        if number + 1 == line {
            return start + l.chars().take(column.saturating_sub(1)).map(char::len_utf8).sum::<usize>();
        }
        start += l.len();
    }
    text.len()
}

/// What the YAML library hands over: spans around untyped values.
struct Raw(Spanned<RawValue>);

enum RawValue {
    Null,
    /// A plain scalar that the library took for a number or a boolean: its text is read from the source.
    Typed(String),
    Text(String),
    List(Vec<Raw>),
    Map(Vec<(Spanned<String>, Raw)>),
}

impl<'de> Deserialize<'de> for Raw {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Spanned::<RawValue>::deserialize(deserializer).map(Raw)
    }
}

impl<'de> Deserialize<'de> for RawValue {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Any;
        impl<'de> Visitor<'de> for Any {
            type Value = RawValue;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a YAML value")
            }
            fn visit_unit<E>(self) -> Result<RawValue, E> {
                Ok(RawValue::Null)
            }
            fn visit_none<E>(self) -> Result<RawValue, E> {
                Ok(RawValue::Null)
            }
            fn visit_bool<E>(self, v: bool) -> Result<RawValue, E> {
                Ok(RawValue::Typed(v.to_string()))
            }
            fn visit_i64<E>(self, v: i64) -> Result<RawValue, E> {
                Ok(RawValue::Typed(v.to_string()))
            }
            fn visit_u64<E>(self, v: u64) -> Result<RawValue, E> {
                Ok(RawValue::Typed(v.to_string()))
            }
            fn visit_i128<E>(self, v: i128) -> Result<RawValue, E> {
                Ok(RawValue::Typed(v.to_string()))
            }
            fn visit_u128<E>(self, v: u128) -> Result<RawValue, E> {
                Ok(RawValue::Typed(v.to_string()))
            }
            fn visit_f64<E>(self, v: f64) -> Result<RawValue, E> {
                Ok(RawValue::Typed(v.to_string()))
            }
            fn visit_str<E>(self, v: &str) -> Result<RawValue, E> {
                Ok(RawValue::Text(v.to_owned()))
            }
            fn visit_string<E>(self, v: String) -> Result<RawValue, E> {
                Ok(RawValue::Text(v))
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<RawValue, A::Error> {
                let mut items = Vec::new();
                while let Some(item) = seq.next_element::<Raw>()? {
                    items.push(item);
                }
                Ok(RawValue::List(items))
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<RawValue, A::Error> {
                let mut items = Vec::new();
                while let Some(key) = map.next_key::<Spanned<String>>()? {
                    items.push((key, map.next_value::<Raw>()?));
                }
                Ok(RawValue::Map(items))
            }
        }
        deserializer.deserialize_any(Any)
    }
}

fn span_of(location: &serde_yaml::Location) -> Range<usize> {
    let span = location.span();
    let start = usize::try_from(span.byte_offset().unwrap_or(0)).unwrap_or(0);
    let length = usize::try_from(span.byte_len().unwrap_or(0)).unwrap_or(0);
    start..start.saturating_add(length)
}

impl Raw {
    fn into_node(self, text: &str) -> Node {
        let written = span_of(&self.0.defined);
        let span = span_of(&self.0.referenced);
        let raw = text.get(written).map(str::trim_end).unwrap_or_default();
        let value = match self.0.value {
            RawValue::Null => Value::Null,
            RawValue::Typed(shown) => {
                Value::Text { text: if raw.is_empty() { shown } else { raw.to_owned() }, plain: true }
            }
            RawValue::Text(decoded) => {
                let plain = !raw.starts_with(['"', '\'', '|', '>']);
                Value::Text { text: decoded, plain }
            }
            RawValue::List(items) => Value::List(items.into_iter().map(|i| i.into_node(text)).collect()),
            RawValue::Map(items) => Value::Map(
                items
                    .into_iter()
                    .map(|(k, v)| (Key { span: span_of(&k.referenced), text: k.value }, v.into_node(text)))
                    .collect(),
            ),
        };
        // A collection's own span may end where it starts: stretch it over what it holds.
        let end = match &value {
            Value::List(items) => items.last().map_or(span.end, |n| n.span.end.max(span.end)),
            Value::Map(items) => items.last().map_or(span.end, |(_, n)| n.span.end.max(span.end)),
            _ => span.end,
        };
        Node { span: span.start..end, value }
    }
}

impl Node {
    /// What kind of node this is, in a person's words.
    #[must_use]
    pub const fn what(&self) -> &'static str {
        match self.value {
            Value::Null => "nothing",
            Value::Text { .. } => "text",
            Value::List(_) => "a list",
            Value::Map(_) => "a mapping",
        }
    }

    /// The scalar's characters, if it is one.
    #[must_use]
    pub fn text(&self) -> Option<&str> {
        match &self.value {
            Value::Text { text, .. } => Some(text),
            _ => None,
        }
    }

    /// The node as a JSON value; plain numbers, `true` and `false` become what they look like.
    #[must_use]
    pub fn to_json(&self) -> serde_json::Value {
        use serde_json::Value as Json;
        match &self.value {
            Value::Null => Json::Null,
            Value::Text { text, plain: true } if text == "true" => Json::Bool(true),
            Value::Text { text, plain: true } if text == "false" => Json::Bool(false),
            Value::Text { text, plain } => {
                if *plain && let Ok(number) = serde_json::from_str::<serde_json::Number>(text) {
                    return Json::Number(number);
                }
                Json::String(text.clone())
            }
            Value::List(items) => Json::Array(items.iter().map(Self::to_json).collect()),
            Value::Map(items) => Json::Object(items.iter().map(|(k, v)| (k.text.clone(), v.to_json())).collect()),
        }
    }
}

/// The most complaints about the keys of one mapping, or about the items of one list. A text with more is not one that a
/// person mends line by line, and finding the place of each costs time.
const MOST_OF_ONE: usize = 200;

/// Reads the fields of one mapping and collects every complaint on the way, so that a person mends a file once.
pub struct Fields<'a> {
    source: &'a Arc<Source>,
    what: &'a str,
    span: Range<usize>,
    rest: Vec<(&'a Key, &'a Node)>,
    asked: Vec<&'static str>,
}

impl<'a> Fields<'a> {
    /// Starts on a node that should be a mapping; `what` names it in messages, such as `a kind`.
    pub fn of(source: &'a Arc<Source>, node: &'a Node, what: &'a str, out: &mut Vec<Diagnostic>) -> Self {
        let rest = match &node.value {
            Value::Map(items) => items.iter().map(|(k, v)| (k, v)).collect(),
            _ => {
                out.push(Diagnostic::error(
                    "wrong-type",
                    source,
                    node.span.clone(),
                    format!("{what} must be a mapping, not {}", node.what()),
                ));
                Vec::new()
            }
        };
        Self { source, what, span: node.span.clone(), rest, asked: Vec::new() }
    }

    /// Takes a field if it is there and not null.
    pub fn take(&mut self, key: &'static str) -> Option<&'a Node> {
        self.asked.push(key);
        let at = self.rest.iter().position(|(k, _)| k.text == key)?;
        let (_, node) = self.rest.remove(at);
        (!matches!(node.value, Value::Null)).then_some(node)
    }

    /// Takes a field that must be there.
    pub fn need(&mut self, key: &'static str, out: &mut Vec<Diagnostic>) -> Option<&'a Node> {
        let found = self.take(key);
        if found.is_none() {
            let end = self.span.start.saturating_add(1).min(self.span.end.max(self.span.start));
            out.push(
                Diagnostic::error(
                    "missing-key",
                    self.source,
                    self.span.start..end,
                    format!("{} has no '{key}'", self.what),
                )
                .help(format!("add '{key}:'")),
            );
        }
        found
    }

    /// Takes a text field.
    pub fn text(&mut self, key: &'static str, out: &mut Vec<Diagnostic>) -> Option<String> {
        let node = self.take(key)?;
        text_of(self.source, node, key, out)
    }

    /// Takes a text field that must be there.
    pub fn need_text(&mut self, key: &'static str, out: &mut Vec<Diagnostic>) -> Option<String> {
        let node = self.need(key, out)?;
        text_of(self.source, node, key, out)
    }

    /// Takes a field and reads it with a parser of text whose error is a sentence.
    pub fn parse<T>(
        &mut self,
        key: &'static str,
        out: &mut Vec<Diagnostic>,
        parse: impl Fn(&str) -> Result<T, String>,
    ) -> Option<T> {
        let node = self.take(key)?;
        parse_node(self.source, node, key, out, parse)
    }

    /// Takes a field that must be there and reads it.
    pub fn need_parse<T>(
        &mut self,
        key: &'static str,
        out: &mut Vec<Diagnostic>,
        parse: impl Fn(&str) -> Result<T, String>,
    ) -> Option<T> {
        let node = self.need(key, out)?;
        parse_node(self.source, node, key, out, parse)
    }

    /// Whether a field is there and is a list without items.
    #[must_use]
    pub fn is_empty_list(&self, key: &str) -> bool {
        let found = self.rest.iter().find(|(k, _)| k.text == key);
        matches!(found, Some((_, Node { value: Value::List(items), .. })) if items.is_empty())
    }

    /// Takes a list field, or one item standing alone, and reads each item.
    pub fn list<T>(
        &mut self,
        key: &'static str,
        out: &mut Vec<Diagnostic>,
        parse: impl Fn(&str) -> Result<T, String>,
    ) -> Vec<T> {
        match self.take(key) {
            None => Vec::new(),
            Some(Node { value: Value::List(items), .. }) => {
                let before = out.len();
                let mut values = Vec::new();
                for item in items {
                    if out.len() - before >= MOST_OF_ONE {
                        break;
                    }
                    values.extend(parse_node(self.source, item, key, out, &parse));
                }
                values
            }
            Some(node) => parse_node(self.source, node, key, out, &parse).into_iter().collect(),
        }
    }

    /// Complains about every field nobody asked for, with the nearest known one; of very many, about the first.
    pub fn finish(self, out: &mut Vec<Diagnostic>) {
        for (key, _) in self.rest.iter().take(MOST_OF_ONE) {
            let mut it = Diagnostic::error(
                "unknown-key",
                self.source,
                key.span.clone(),
                format!("{} has no field '{}'", self.what, super::plain(&key.text)),
            );
            it = match nearest(&key.text, self.asked.iter().copied()) {
                Some(near) => it.help(format!("did you mean '{near}'?")),
                None => it.help(format!("known fields: {}", self.asked.join(", "))),
            };
            out.push(it);
        }
    }
}

/// Reads a scalar node as text.
pub fn text_of(source: &Arc<Source>, node: &Node, what: &str, out: &mut Vec<Diagnostic>) -> Option<String> {
    parse_node(source, node, what, out, |t| Ok(t.to_owned()))
}

/// Reads a scalar node with a parser of text whose error is a sentence.
pub fn parse_node<T>(
    source: &Arc<Source>,
    node: &Node,
    what: &str,
    out: &mut Vec<Diagnostic>,
    parse: impl Fn(&str) -> Result<T, String>,
) -> Option<T> {
    let Some(text) = node.text() else {
        out.push(Diagnostic::error(
            "wrong-type",
            source,
            node.span.clone(),
            format!("'{what}' must be text, not {}", node.what()),
        ));
        return None;
    };
    match parse(text) {
        Ok(value) => Some(value),
        Err(why) => {
            out.push(Diagnostic::error("bad-value", source, node.span.clone(), format!("'{what}': {why}")));
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tree(text: &str) -> Node {
        read(&Source::new("t.yaml", text), Limits::SMALL).expect("reads")
    }

    fn fails(text: &str) -> Diagnostic {
        *read(&Source::new("t.yaml", text), Limits::SMALL).expect_err("refused")
    }

    #[test]
    fn plain_scalars_keep_the_characters_that_were_written() {
        let node = tree("a: 012\nb: no\nc: 155 F\nd: '9'\ne: 5.60\nf: true\ng: 1_000\nh: ä\nI: 4\n");
        let Value::Map(items) = &node.value else { panic!("a map") };
        let got: Vec<_> = items.iter().map(|(_, n)| n.text().unwrap_or("?")).collect();
        assert_eq!(got, ["012", "no", "155 F", "9", "5.60", "true", "1_000", "ä", "4"]);
        assert!(matches!(&items[3].1.value, Value::Text { plain: false, .. }));
        assert!(matches!(&items[4].1.value, Value::Text { plain: true, .. }));
    }

    #[test]
    fn every_node_knows_its_line_and_column() {
        let source = Source::part("t.yaml", "ü: [1, {k: v}]\nlast: \"x\"\n", 10);
        let node = read(&source, Limits::SMALL).expect("reads");
        let Value::Map(items) = &node.value else { panic!("a map") };
        let Value::List(list) = &items[0].1.value else { panic!("a list") };
        let Value::Map(inner) = &list[1].value else { panic!("a map") };
        let place = source.place(inner[0].1.span.clone());
        assert_eq!((place.line, place.column), (10, 12));
        let key = source.place(items[1].0.span.clone());
        assert_eq!((key.line, key.column), (11, 1));
    }

    #[test]
    fn hostile_texts_are_refused_with_a_place_and_without_delay() {
        let bomb = "a: &a [x,x,x,x,x,x,x,x,x]\nb: &b [*a,*a,*a,*a,*a,*a,*a,*a]\nc: &c [*b,*b,*b,*b,*b,*b,*b,*b]\nd: &d [*c,*c,*c,*c,*c,*c,*c,*c]\ne: &e [*d,*d,*d,*d,*d,*d,*d,*d]\nf: &f [*e,*e,*e,*e,*e,*e,*e,*e]\ng: [*f,*f,*f,*f,*f,*f,*f,*f]\n";
        for text in
            [bomb.to_owned(), "[".repeat(100_000), "- ".repeat(100_000), "a: 1\na: 2\n".into(), "a: \"x\n".into()]
        {
            let it = fails(&text);
            assert!(it.place.is_some(), "{it}");
        }
        assert_eq!(fails("a: 1\nb: 3\na: 2\n").place.map(|p| p.line), Some(3));
        assert_eq!(fails("a: 1\na: 2\n").code, "repeated-key");
    }
}
