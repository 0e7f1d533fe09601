//! The part of the schema of rule files that is about conditions and cases: what a rule asks, and what a case is.

use serde_json::{Value, json};

use super::Known;
use super::forms::{
    WORD, join, listed, object, offered, one_of, pattern, refer, refer_as, some_of, text, truth, words,
};
use crate::rules::facts::Field;
use crate::rules::model::Ruling;
use crate::trade::kind::Applied;
use crate::trade::register::Setting;

/// Whether these are the words of a field that is true or false.
fn is_truth(words: &[&str]) -> bool {
    words == ["false", "true"]
}

/// Values of a condition: a word, a range in declared order, or a list of them.
fn values(about: &str, words: &[&str]) -> Value {
    let ranges: Vec<String> = words
        .iter()
        .enumerate()
        .map(|(at, from)| format!("{from} *\\.\\. *(?:{})", words.get(at..).unwrap_or_default().join("|")))
        .collect();
    let item =
        if is_truth(words) { truth("") } else { json!({"anyOf": [{"enum": words}, pattern("", &ranges.join("|"))]}) };
    some_of(about, &item)
}

/// A word that a set declares, or a range of them.
fn declared(known: &[String]) -> Value {
    json!({"anyOf": [{"enum": known}, pattern("", &format!("{WORD}(?: *\\.\\. *{WORD})?"))]})
}

/// What a field is, in a few words.
const fn field_about(field: Field) -> &'static str {
    match field {
        Field::Orientation => "Which way it points.",
        Field::Mount => "How it sits.",
        Field::Response => "Thermal sensitivity.",
        Field::Style => "What it is listed for.",
        Field::Element => "What holds it shut.",
        Field::Finish => "Factory finish.",
        Field::Temperature => "Temperature class of its rating.",
        Field::Dry => "Whether it is a dry head.",
        Field::Guard => "Whether a guard belongs on it.",
        Field::System => "The system that feeds it.",
        Field::Ceiling => "How its rating stands to the highest temperature at its ceiling.",
        Field::Recalled => "Whether its number is recalled; write the words in quotes.",
        Field::Mixture => "What is mixed in its compartment.",
    }
}

/// The name of the definition of a condition on a field.
fn asks(field: Field) -> String {
    format!("asks-{}", field.as_str())
}

/// Conditions on make-up and surroundings.
pub(super) fn make_up() -> Vec<(&'static str, Value)> {
    let mut it: Vec<(&str, Value)> = Field::ALL.iter().map(|f| (f.as_str(), refer(&asks(*f)))).collect();
    it.push(("resists_corrosion", truth("Whether the finish resists corrosion.")));
    it.push(("setting", refer_as("At least one of these is there.", "settings")));
    it
}

/// The facts of a case: what differs from the plain head.
pub(super) fn facts() -> Vec<(&'static str, Value)> {
    let mut it: Vec<(&str, Value)> = Field::ALL
        .iter()
        .map(|f| {
            let words = f.words();
            (f.as_str(), if is_truth(&words) { truth(field_about(*f)) } else { one_of(field_about(*f), &words) })
        })
        .collect();
    it.push(("setting", refer_as("What the surroundings do to it.", "settings")));
    it
}

fn seen_on() -> Vec<(&'static str, Value)> {
    vec![
        ("part", some_of("Where it is seen.", &refer("part-range"))),
        ("extent", some_of("How much is seen; ranges such as trace..light.", &refer("extent-range"))),
        ("origin", values("Who applied a finish; only for signs that ask.", &words(Applied::ALL, |a| a.as_str()))),
    ]
}

fn when() -> Value {
    let mut fields =
        vec![("sign", some_of("The signs it is about; any: every sign that an eye sees.", &refer("sign-or-any")))];
    fields.extend(seen_on());
    fields.extend(make_up());
    object("Conditions that must all hold.", &["sign"], fields)
}

fn unless() -> Value {
    let mut fields = seen_on();
    fields.extend(make_up());
    let mut it = object("Conditions that must not all hold together.", &[], fields);
    join(&mut it, json!({"minProperties": 1}));
    it
}

fn case() -> Value {
    let rulings = words(Ruling::ALL, |r| r.as_str());
    let near_miss = "A near miss: the rule does not speak, and this is the whole set's ruling.";
    let mut fields = vec![
        ("see", text("What is seen, in a sentence.")),
        ("sign", refer_as("The sign; left out: the rule's first.", "sign-word")),
        ("part", refer_as("Where it is seen; left out where the sign has one part only.", "part-word")),
        ("extent", refer_as("How much is seen; left out where the sign has one extent only.", "extent-word")),
        ("origin", one_of("Who applied the finish; where the sign asks.", &words(Applied::ALL, |a| a.as_str()))),
        ("then", one_of("The rule speaks, and this is the whole set's ruling.", &rulings)),
        ("instead", one_of(near_miss, &rulings)),
    ];
    fields.extend(facts());
    let mut it = object("", &["see"], fields);
    join(&mut it, one_end());
    it
}

/// A case ends in exactly one of two ways.
pub(super) fn one_end() -> Value {
    json!({"oneOf": [{"required": ["then"]}, {"required": ["instead"]}]})
}

/// Definitions of conditions and cases.
pub(super) fn defs(known: &Known) -> Vec<(String, Value)> {
    let any: Vec<String> = std::iter::once("any".to_owned()).chain(known.signs.iter().cloned()).collect();
    let mut it: Vec<(String, Value)> =
        Field::ALL.iter().map(|f| (asks(*f), values(field_about(*f), &f.words()))).collect();
    let more = [
        ("settings", listed("", &one_of("", &words(Setting::ALL, |s| s.as_str())))),
        ("part-range", declared(&known.parts)),
        ("extent-range", declared(&known.extents)),
        ("sign-or-any", offered("", &any)),
        ("when", when()),
        ("unless", unless()),
        ("case", case()),
    ];
    it.extend(more.map(|(name, def)| (name.to_owned(), def)));
    it
}
