//! The part of the schema of rule files that is about the operating test: its limits, and what may be drawn for a sample or
//! follows from it.

use serde_json::{Value, json};

use super::class_confidence;
use super::duties::{NUMBER, because, over, temperature, title};
use super::forms::{BASIS, basis, join, object, one_of, pattern, refer, text, truth, word, words};
use crate::rules::duties::SampleMatter;
use crate::rules::model::Class;

/// What only the rule on failures has.
const OF_FAILURES: [&str; 5] = ["condemns", "late", "shut", "early", "class_confidence"];

fn class(about: &str) -> Value {
    one_of(about, &words(Class::ALL, |c| c.as_str()))
}

pub(super) fn sample_rule() -> Value {
    let matters = words(SampleMatter::ALL, |m| m.as_str());
    let mut it = super::duties::row(
        "",
        &["about", "text"],
        vec![
            ("about", one_of("What it is about.", &matters)),
            ("refuse", truth("Whether such heads may not be drawn.")),
            (
                "condemns",
                truth(
                    "Whether one failure condemns all heads that the sample stands for; left out: true. Of failures only.",
                ),
            ),
            ("late", class("The class of a head that opened too late. Of failures only.")),
            ("shut", class("The class of a head that did not operate, was held or only leaked. Of failures only.")),
            ("early", class("The class of a head that opened too fast. Of failures only.")),
            ("class_confidence", class_confidence()),
            ("text", text("The duty in words.")),
        ],
    );
    let never: serde_json::Map<String, Value> =
        OF_FAILURES.iter().map(|key| ((*key).to_owned(), Value::Bool(false))).collect();
    join(
        &mut it,
        json!({
            "if": {"properties": {"about": {"const": SampleMatter::Failure.as_str()}}, "required": ["about"]},
            "else": {"properties": never},
            "dependentSchemas": {"class_confidence": one_at_least(&["late", "shut", "early"])},
        }),
    );
    it
}

fn one_at_least(keys: &[&str]) -> Value {
    let each: Vec<Value> = keys.iter().map(|key| json!({"required": [key]})).collect();
    json!({"anyOf": each})
}

fn index(about: &str) -> Value {
    pattern(about, &format!("{NUMBER} \\((?:m|ft)[.·]s\\)\\^(?:0\\.5|½)"))
}

/// A range with both its ends.
fn range(about: &str, end: &Value) -> Value {
    object(about, &["from", "to"], vec![("from", end.clone()), ("to", end.clone())])
}

/// A row of the limits.
pub(super) fn row() -> Value {
    let speed = pattern("A speed of air, as in '2.54 m/s'.", &format!("{NUMBER} ?(?:m/s|ft/s|ft/min)"));
    let warm = temperature("A temperature, as in '135 C'.");
    let mut it = super::duties::row(
        "",
        &["limit", "title", "because"],
        vec![
            ("limit", word("Its word; a row of an inherited word takes its place.")),
            title(),
            ("when", refer("heads")),
            ("unless", refer("some-heads")),
            over(),
            ("rti", index("The most that the response time index may be, as in '65 (m.s)^0.5'; left out: no figure.")),
            ("rti_least", index("The least that it may be, below the most; left out: no head is too fast.")),
            (
                "time",
                pattern(
                    "A time that is always allowed, as in '180 s'; it stands where the index comes to less, or alone where \
                     there is no index.",
                    &format!("{NUMBER} ?(?:s|min)|[0-9]+:{NUMBER}"),
                ),
            ),
            (
                "waterway",
                pattern(
                    "The pressure at which the waterway must clear, as in '7 psi' or '0.5 bar'.",
                    &format!("{NUMBER} ?(?:psi|bar|kPa)"),
                ),
            ),
            ("oven", range("What the oven may have for the test to count.", &warm)),
            ("air", range("What speed its air may have.", &speed)),
            ("start", range("What the head may have at the start.", &warm)),
            (
                "method",
                object("Where oven, air and start come from; needed where one of them stands.", &BASIS, basis()),
            ),
            because(),
        ],
    );
    let ranges = ["oven", "air", "start"];
    join(
        &mut it,
        json!({
            "dependentRequired": {"oven": ["method"], "air": ["method"], "start": ["method"]},
            "dependentSchemas": {"method": one_at_least(&ranges)},
        }),
    );
    it
}
