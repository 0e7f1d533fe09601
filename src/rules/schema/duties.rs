//! The part of the schema of rule files that is about duties: what a set carries beside its vocabulary and its rules.

use serde_json::{Value, json};

use super::conditions::{facts, make_up, one_end};
use super::forms::{
    BASIS, basis, described, join, listed, object, one_of, pattern, refer, section, some_of, text, truth, word, words,
};
use super::{limits, spares};
use crate::rules::duties::{Act, CabinetMatter, Counts, Hazard, Since};
use crate::rules::load_amend::Section;
use crate::rules::model::Class;
use crate::trade::class::Class as RatingClass;
use crate::trade::kind::Style;

/// A number without a sign.
pub(super) const NUMBER: &str = "[0-9]+(?:\\.[0-9]+)?";

/// A span of time, as in `25 years`.
fn span(about: &str) -> Value {
    pattern(about, "[0-9]+ ?(?:years?|months?)")
}

/// A span of time longer than nothing.
fn interval(about: &str) -> Value {
    pattern(about, "[1-9][0-9]* ?(?:years?|months?)")
}

/// A number of heads, quoted or not.
fn heads(about: &str) -> Value {
    described(about, json!({"type": ["integer", "string"], "minimum": 0, "maximum": 10_000_000, "pattern": "^[0-9]+$"}))
}

pub(super) fn temperature(about: &str) -> Value {
    pattern(about, &format!("-?{NUMBER} ?°?[FC]"))
}

/// One year, or a range of years.
fn years(about: &str, open: bool) -> Value {
    let form = if open {
        "[0-9]{4}|[0-9]{4}\\.\\.|\\.\\.[0-9]{4}|[0-9]{4}\\.\\.[0-9]{4}"
    } else {
        "[0-9]{4}(?:\\.\\.[0-9]{4})?"
    };
    described(
        about,
        json!({"type": ["integer", "string"], "minimum": 1800, "maximum": 2200, "pattern": format!("^(?:{form})$")}),
    )
}

/// A row with its basis.
pub(super) fn row(about: &str, required: &[&str], mut fields: Vec<(&str, Value)>) -> Value {
    fields.extend(basis());
    let required: Vec<&str> = required.iter().copied().chain(BASIS).collect();
    object(about, &required, fields)
}

/// The duties' keys at the top of a file.
pub(super) fn sections() -> Vec<(&'static str, Value)> {
    let sections = words(Section::ALL, |s| s.as_str());
    vec![
        (
            "ages",
            section(
                "When heads are due for test or replacement. All rows that hold apply; the earliest counts.",
                refer("age"),
            ),
        ),
        ("samples", section("How many heads a sample has; of several readings exactly one rules.", sample())),
        ("sample_rules", section("What may be drawn for a sample, and what follows from it.", limits::sample_rule())),
        ("limits", section("What a head must do in the operating test; every head has one row.", limits::row())),
        ("stock", section("How many spares are held; of several readings exactly one rules for a hazard.", stock())),
        ("cabinet", section("Duties of the cabinet of spare heads.", cabinet())),
        (
            "spares",
            section(
                "Which spare fits which head: of the rows for a field that differs the first that applies speaks.",
                refer("spare"),
            ),
        ),
        ("cleaning", cleaning()),
        ("suitability", suitability()),
        ("visits", section("What is due again and again.", visit())),
        ("fresh", listed("Sections that take nothing from the extended set.", &one_of("", &sections))),
        (
            "drop_rows",
            listed("Inherited ages, samples, limits, stock, spares and visits that are left out.", &word("")),
        ),
        ("clearances", section("The distance to keep clear below the deflector, by style.", clearance())),
        ("classes", section("What the classes of findings mean.", class())),
        ("unreached", section("What coded reasons for not reaching a head mean.", excuse())),
        ("impairment", impairment()),
        ("recalled", section("Recalled identification numbers; added to inherited ones.", recall())),
        (
            "retention",
            section(
                "How long records are kept; added to inherited ones.",
                row("", &["text"], vec![("text", text("The duty in words."))]),
            ),
        ),
    ]
}

/// Definitions that the duties share.
pub(super) fn defs() -> Vec<(&'static str, Value)> {
    let about = "Conditions that must all hold; left out: every head.";
    let mut aged = make_up();
    aged.push(("made", years("Years made; an end that is left out is open, as in ..1919.", true)));
    let mut now = make_up();
    now.push(("made", Value::Bool(false)));
    let mut some = object("Conditions that must not all hold together.", &[], make_up());
    join(&mut some, json!({"minProperties": 1}));
    vec![
        ("aged-heads", object(about, &[], aged)),
        // A limit has no years; the key is named so that the refusal is about it.
        ("heads", object(about, &[], now)),
        ("some-heads", some),
        ("age", age()),
        ("age-case", age_case()),
        ("spare", spares::row()),
        ("spare-case", spares::case()),
    ]
}

pub(super) fn title() -> (&'static str, Value) {
    ("title", text("One line."))
}

pub(super) fn because() -> (&'static str, Value) {
    ("because", text("Why."))
}

pub(super) fn over() -> (&'static str, Value) {
    ("over", listed("Rows that are silent where this one holds.", &word("")))
}

fn age() -> Value {
    row(
        "",
        &["age", "title", "first", "act", "because", "cases"],
        vec![
            ("age", word("Its word; a row of an inherited word takes its place.")),
            title(),
            ("when", refer("aged-heads")),
            ("unless", refer("some-heads")),
            over(),
            (
                "from",
                one_of("From when the age counts: service (the default), or made.", &words(Since::ALL, |s| s.as_str())),
            ),
            ("first", span("The age at which it is due first; 0 years: at once.")),
            ("then", interval("The interval after that; left out: once.")),
            (
                "act",
                one_of(
                    "test: test a sample of the heads, or replace them. replace: replace them.",
                    &words(Act::ALL, |a| a.as_str()),
                ),
            ),
            because(),
            (
                "cases",
                json!({
                    "description": "Worked cases: at least one in which the row holds (then) \
                and one near miss (instead).",
                    "type": "array",
                    "items": refer("age-case"),
                }),
            ),
        ],
    )
}

fn age_case() -> Value {
    let mut fields = vec![
        ("see", text("The head, in a sentence.")),
        ("made", years("The year it was made.", false)),
        ("then", span("The row holds, and this is the earliest first age of the set.")),
        ("instead", span("The row does not hold, and this is the earliest first age of the set.")),
    ];
    fields.extend(facts());
    let mut it = object("", &["see"], fields);
    join(&mut it, one_end());
    it
}

fn steps(about: &str, step: Value) -> Value {
    described(about, json!({"type": "array", "minItems": 1, "items": step}))
}

fn from() -> (&'static str, Value) {
    ("from", heads("From so many heads on."))
}

fn reading() -> (&'static str, Value) {
    ("reading", word("Its word; a reading of an inherited word takes its place."))
}

fn rules() -> (&'static str, Value) {
    ("rules", truth("Whether this reading rules."))
}

fn hazard() -> (&'static str, Value) {
    ("hazard", one_of("The hazard it is for; left out: any.", &words(Hazard::ALL, |h| h.as_str())))
}

/// What is counted.
const COUNTS: &str = "lot: the heads that the sample stands for. site: all heads installed. kind: each kind by itself.";

fn sample() -> Value {
    let counts = words(Counts::ALL, |c| c.as_str());
    let fields = vec![
        from(),
        ("least", heads("At least so many heads.")),
        (
            "percent",
            json!({
                "description": "At least so many of a hundred, rounded up.",
                "type": ["number", "string"],
                "minimum": 0,
                "maximum": 100,
                "pattern": format!("^{NUMBER}$"),
            }),
        ),
    ];
    let mut step = object("", &["from"], fields);
    join(&mut step, json!({"anyOf": [{"required": ["least"]}, {"required": ["percent"]}]}));
    row(
        "",
        &["reading", "title", "counts", "steps", "because"],
        vec![
            reading(),
            title(),
            rules(),
            ("counts", one_of(COUNTS, &counts)),
            hazard(),
            ("steps", steps("From a count of heads on: how many are taken, the greater of number and share.", step)),
            ("ends", heads("The most heads that the table speaks of; left out: it has no end.")),
            because(),
        ],
    )
}

fn stock() -> Value {
    let counts = words(Counts::ALL, |c| c.as_str());
    let step = object("", &["from", "hold"], vec![from(), ("hold", heads("So many spares."))]);
    row(
        "",
        &["reading", "title", "counts", "steps", "because"],
        vec![
            reading(),
            title(),
            rules(),
            ("counts", one_of(COUNTS, &counts)),
            hazard(),
            ("steps", steps("From a count of heads on: how many spares are held.", step)),
            ("per_kind", heads("At least so many of each kind installed.")),
            because(),
        ],
    )
}

fn cabinet() -> Value {
    let matters = words(CabinetMatter::ALL, |m| m.as_str());
    row(
        "",
        &["about", "text"],
        vec![
            ("about", one_of("What it is about.", &matters)),
            ("at_most", temperature("The highest temperature, as in '100 F'.")),
            ("age", span("The age, as in '10 years'.")),
            ("text", text("The duty in words.")),
        ],
    )
}

fn cleaning() -> Value {
    row(
        "How far cleaning may go.",
        &["limit"],
        vec![
            ("may", listed("What is allowed: sentences.", &text(""))),
            ("never", listed("What never is: sentences.", &text(""))),
            ("limit", text("When cleaning ends and replacement begins.")),
        ],
    )
}

fn suitability() -> Value {
    let step = object(
        "",
        &["up_to", "class"],
        vec![
            ("up_to", temperature("The highest temperature expected at the ceiling, as in '100 F'.")),
            ("class", one_of("The class that is called for.", &words(RatingClass::ALL, |c| c.as_str()))),
            ("rating", temperature("The least rating that the step is for, where a class has several.")),
        ],
    );
    let mut it = row(
        "Which rating a ceiling calls for: by a table, or by a margin.",
        &["because"],
        vec![
            (
                "ceilings",
                json!({
                    "description": "Steps by the ceiling's highest temperature, rising.",
                    "type": "array",
                    "minItems": 1,
                    "items": step,
                }),
            ),
            (
                "margin",
                pattern(
                    "How far the rating lies above the ceiling's highest temperature, as in '30 K'.",
                    &format!("{NUMBER} ?K"),
                ),
            ),
            because(),
        ],
    );
    join(&mut it, json!({"oneOf": [{"required": ["ceilings"]}, {"required": ["margin"]}]}));
    it
}

fn visit() -> Value {
    row(
        "",
        &["visit", "text", "every"],
        vec![
            ("visit", word("Its word; a row of an inherited word takes its place.")),
            ("text", text("The duty in words.")),
            ("every", span("How often, as in '12 months'.")),
            ("earliest", span("The least time since the last.")),
            ("latest", span("The most time since the last.")),
        ],
    )
}

fn clearance() -> Value {
    row(
        "",
        &["style", "distance", "note"],
        vec![
            ("style", some_of("Styles of head it is for.", &one_of("", &words(Style::ALL, |s| s.as_str())))),
            (
                "distance",
                pattern(
                    "The distance with its unit, as in '18 in' or '450 mm'.",
                    &format!("{NUMBER} ?(?:in|ft|mm|m|\"|')"),
                ),
            ),
            ("note", text("What it leaves out or allows besides.")),
        ],
    )
}

fn class() -> Value {
    row(
        "",
        &["class", "means"],
        vec![("class", one_of("The class.", &words(Class::ALL, |c| c.as_str()))), ("means", text("What it means."))],
    )
}

fn excuse() -> Value {
    row(
        "",
        &["why", "because"],
        vec![
            ("why", word("The coded reason, such as 'process'.")),
            ("waived", truth("Whether no inspection is required at all.")),
            ("because", text("What follows.")),
        ],
    )
}

fn impairment() -> Value {
    let clock = row(
        "",
        &["what", "within"],
        vec![
            ("what", text("What must be done.")),
            (
                "within",
                pattern(
                    "The time for it, as in 'at once', '30 minutes', '10 hours' or '5 business days'.",
                    "at once|[1-9][0-9]{0,4} (?:minutes?|hours?|business days?)",
                ),
            ),
        ],
    );
    object(
        "What an impairment demands at once. A list that is given takes the place of the inherited one.",
        &[],
        vec![
            ("tell", listed("Whom to tell: roles, in order.", &text(""))),
            ("steps", listed("What to do, step by step.", &text(""))),
            (
                "clocks",
                json!({"description": "Clocks that start with an impairment.", "type": "array", "items": clock}),
            ),
        ],
    )
}

fn recall() -> Value {
    object(
        "",
        &["number", "why"],
        vec![
            ("number", text("The identification number.")),
            ("made", years("The year made, or years as in 1998..2001; left out: every year.", false)),
            ("why", text("Who recalled it, and why.")),
        ],
    )
}
