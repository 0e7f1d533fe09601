//! The part of the schema of rule files that is about spares: what a row is about, and what a case of one is.

use serde_json::{Value, json};

use super::conditions::facts;
use super::forms::{described, join, listed, object, one_of, pattern, refer, text, truth, word, words};
use crate::rules::load_spares::SURROUNDINGS;
use crate::rules::spares::{Differs, FitVerdict, SpareField};
use crate::trade::kind::{Element, Finish, Mount, Orientation, Response, Style};

/// A row.
pub(super) fn row() -> Value {
    let verdicts: Vec<&str> = FitVerdict::ALL.iter().filter(|v| **v != FitVerdict::Same).map(|v| v.as_str()).collect();
    let mut it = super::duties::row(
        "",
        &["spare", "field", "verdict", "because", "cases"],
        vec![
            (
                "spare",
                word(
                    "Its word; a row of an inherited word takes its place, any other stands before all inherited ones.",
                ),
            ),
            ("field", one_of("What differs.", &words(SpareField::ALL, |f| f.as_str()))),
            ("differs", one_of("In which way; left out: in any.", &words(Differs::ALL, |d| d.as_str()))),
            ("from", described("What the head has; left out: anything.", json!({}))),
            ("to", described("What the spare has; left out: anything.", json!({}))),
            ("when", refer("heads")),
            ("unless", refer("some-heads")),
            (
                "verdict",
                one_of(
                    "may: it may go in on the grounds of 'because'. ask: the designer or the authority decides. never: it must not \
                     go in.",
                    &verdicts,
                ),
            ),
            ("because", text("Why: what differs, and what comes of it.")),
            (
                "cases",
                json!({
                    "description": "Worked cases: at least one in which the row speaks (says) and one near miss (instead).",
                    "type": "array",
                    "items": refer("spare-case"),
                }),
            ),
        ],
    );
    let of_field: Vec<Value> = SpareField::ALL.iter().map(|field| only_its_own(*field)).collect();
    join(&mut it, json!({"allOf": of_field}));
    it
}

/// Each field has relations and values of its own.
fn only_its_own(field: SpareField) -> Value {
    let known = field.words();
    let values = if known.is_empty() {
        // Compared by size or as text: no values are named.
        Value::Bool(false)
    } else if known == ["false", "true"] {
        listed("", &truth(""))
    } else {
        listed("", &one_of("", &known))
    };
    let relations = words(field.relations(), |d| d.as_str());
    json!({
        "if": {"properties": {"field": {"const": field.as_str()}}, "required": ["field"]},
        "then": {"properties": {"differs": {"enum": relations}, "from": values, "to": values}},
    })
}

/// What a spare has otherwise than its head.
fn make_up() -> Vec<(&'static str, Value)> {
    vec![
        ("orientation", one_of("Which way it points.", &words(Orientation::ALL, |v| v.as_str()))),
        ("mount", one_of("How it sits.", &words(Mount::ALL, |v| v.as_str()))),
        ("response", one_of("Thermal sensitivity.", &words(Response::ALL, |v| v.as_str()))),
        ("style", one_of("What it is listed for.", &words(Style::ALL, |v| v.as_str()))),
        ("element", one_of("What holds it shut.", &words(Element::ALL, |v| v.as_str()))),
        ("rating", pattern("Its rating, as in '155 F' or '68 C'.", "-?[0-9]+(?:\\.[0-9]+)? ?°?[FC]")),
        (
            "k",
            described(
                "Its K-factor, as in 5.6 or '80 metric'.",
                json!({"type": ["number", "string"], "pattern": "^[0-9]+(?:\\.[0-9]+)?(?: ?(?:us|metric))?$"}),
            ),
        ),
        ("finish", one_of("Factory finish.", &words(Finish::ALL, |v| v.as_str()))),
        ("dry", truth("Whether it is a dry head.")),
        ("length", pattern("Length of a dry head; none: not known.", "none|[0-9]+(?:\\.[0-9]+)? ?(?:in|ft|mm|m|\"|')")),
        ("thread", text("Thread, as written; none: not known.")),
    ]
}

/// A worked case.
pub(super) fn case() -> Value {
    let verdicts = words(FitVerdict::ALL, |v| v.as_str());
    let mut head = make_up();
    head.extend(
        facts().into_iter().filter(|(key, _)| *key == "setting" || SURROUNDINGS.iter().any(|f| f.as_str() == *key)),
    );
    let plain = "What the head has otherwise than a quick pendent bulb of 155 F and K5.6, chromed, with a thread of 1/2 NPT, in an \
                 ordinary place.";
    let mut it = object(
        "",
        &["see"],
        vec![
            ("see", text("Head and spare, in a sentence.")),
            ("head", object(plain, &[], head)),
            ("spare", object("What the spare has otherwise than the head.", &[], make_up())),
            ("says", one_of("The row speaks, and this is the whole set's verdict on the pair.", &verdicts)),
            ("instead", one_of("A near miss: the row does not speak, and this is the set's verdict.", &verdicts)),
        ],
    );
    join(&mut it, json!({"oneOf": [{"required": ["says"]}, {"required": ["instead"]}]}));
    it
}
