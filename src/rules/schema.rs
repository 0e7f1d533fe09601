//! The JSON Schema (draft 2020-12) of rule files, by which editors complete and check them. It is drawn from the word
//! lists the reader uses. What takes two places of a file to see, such as a combination that no rule decides, is the
//! exhaustive check's concern.

mod conditions;
mod duties;
mod forms;
mod limits;
mod spares;

use std::sync::Arc;

use serde_json::{Map, Value, json};

use self::forms::{
    basis, described, join, listed, mark, object, offered, one_of, refer, refer_as, section, some_of, text, truth,
    word, words,
};
use super::load::{FORMAT, SIGN_KEYS};
use super::model::{Class, RuleSet, Ruling, Seen};

/// The identifier of the schema.
const ID: &str = "urn:headround:rule-set:1";

/// The schema of rule files. The words that the given sets declare are offered for completion; any other word is
/// accepted where a file may declare its own.
#[must_use]
pub fn schema(sets: &[Arc<RuleSet>]) -> Value {
    let known = Known::of(sets);
    let mut top = vec![
        ("format", json!({"description": "The file's format; the first thing in every rule file.", "const": FORMAT})),
        ("name", word("The word by which a site file names the set; the file is called NAME.yaml.")),
        ("title", text("One line for people.")),
        ("edition", text("The edition that the set follows; left out: that of the set it extends.")),
        ("extends", offered("The set whose rules, words and duties this one takes over.", &known.sets)),
        ("drop", listed("Rules of the extended set that are left out.", &refer("rule-word"))),
        ("cautions", listed("Sentences to show beside the set; added to inherited ones.", &text(""))),
        (
            "parts",
            section("Parts of a head, in the order of their digits on the walk; at most 16.", part_or_extent("part")),
        ),
        ("extents", section("How much is seen, least first; at most 8.", part_or_extent("extent"))),
        ("signs", section("What an eye sees, or the register tells.", refer("sign"))),
        (
            "rules",
            section(
                "What must happen when a sign is seen. A rule of an inherited word takes its place.",
                refer("rule"),
            ),
        ),
        ("amend", section("Changes single fields of inherited rules; what is not given stays.", amendment())),
        ("settle", settle(&known)),
    ];
    top.extend(duties::sections());
    let mut defs = Map::new();
    let own = [
        ("mark", mark()),
        ("part-word", offered("", &known.parts)),
        ("extent-word", offered("", &known.extents)),
        ("sign-word", offered("", &known.signs)),
        ("rule-word", offered("", &known.rules)),
        ("sign", sign(&known)),
        ("rule", rule()),
        ("call", call()),
    ];
    defs.extend(own.into_iter().chain(duties::defs()).map(|(name, def)| (name.to_owned(), def)));
    defs.extend(conditions::defs(&known));
    let mut it = object(
        "A rule set: what must happen when an eye sees a sign on a part of a sprinkler head.",
        &["format", "name", "title"],
        top,
    );
    join(
        &mut it,
        json!({
            "$schema": "https://json-schema.org/draft/2020-12/schema",
            "$id": ID,
            "title": "Headround rule set",
            "$defs": defs,
            "if": {"required": ["extends"]},
            "else": {"required": ["edition", "parts", "extents", "signs", "rules"]},
            "dependentRequired": {
                "drop": ["extends"], "drop_rows": ["extends"], "fresh": ["extends"], "amend": ["extends"],
                "settle": ["extends"],
            },
        }),
    );
    it
}

/// Words that built-in sets declare, offered for completion.
#[derive(Default)]
struct Known {
    sets: Vec<String>,
    parts: Vec<String>,
    extents: Vec<String>,
    signs: Vec<String>,
    rules: Vec<String>,
    contested: Vec<(String, String)>,
}

impl Known {
    fn of(sets: &[Arc<RuleSet>]) -> Self {
        let mut it = Self::default();
        let put = |list: &mut Vec<String>, word: &String| {
            if !list.contains(word) {
                list.push(word.clone());
            }
        };
        for set in sets {
            put(&mut it.sets, &set.name);
            set.parts.iter().for_each(|w| put(&mut it.parts, &w.id));
            set.extents.iter().for_each(|w| put(&mut it.extents, &w.id));
            set.signs.iter().for_each(|s| put(&mut it.signs, &s.id));
            for rule in &set.rules {
                put(&mut it.rules, &rule.id);
                if let Some(argument) = &rule.contested
                    && !it.contested.iter().any(|(id, _)| *id == rule.id)
                {
                    it.contested.push((rule.id.clone(), format!("{}. {argument}", rule.title)));
                }
            }
        }
        it
    }
}

fn part_or_extent(key: &'static str) -> Value {
    object(
        "",
        &[key, "name", "hint"],
        vec![
            (key, word("The word in files.")),
            ("name", text("The name for people.")),
            ("hint", text("A few words on what it is.")),
        ],
    )
}

/// By what a sign is known.
const SEEN: &str = "By what it is known. eye (the default): entered on the walk. register: follows from the register \
    alone. doubt: a head that could not be judged; a set has exactly one such sign. compartment: follows from the \
    kinds in one compartment.";

/// What is so where no rule decides.
const OTHERWISE: &str = "keep: where no rule decides there is nothing to say. Only for what follows from register or \
    compartment.";

fn sign(known: &Known) -> Value {
    let letters: Vec<String> = SIGN_KEYS.chars().map(String::from).collect();
    let extent = refer("extent-word");
    let mut meanings: Map<String, Value> = Map::new();
    for word in &known.extents {
        meanings.insert(word.clone(), text("What this extent means for the sign."));
    }
    let mut it = object(
        "",
        &["sign", "name", "hint", "parts", "extents"],
        vec![
            ("sign", word("The word in files.")),
            ("name", text("The name for people.")),
            ("hint", text("What the eye sees, in a few words.")),
            ("key", one_of("Its letter on the walk; without one it is reached by the menu.", &letters)),
            ("parts", some_of("Parts it can be seen on; one alone is not asked.", &refer("part-word"))),
            (
                "extents",
                described(
                    "Extents it can have, as a list or with what each means for this sign; one alone is not asked.",
                    json!({"anyOf": [
                        extent,
                        {"type": "array", "items": extent, "minItems": 1},
                        {
                            "type": "object",
                            "properties": meanings,
                            "propertyNames": word(""),
                            "additionalProperties": text(""),
                            "minProperties": 1,
                        },
                    ]}),
                ),
            ),
            ("asks_origin", truth("Whether the walk asks who applied a finish.")),
            ("asks_clearance", truth("Whether a measured clearance belongs to it.")),
            ("seen", one_of(SEEN, &words(Seen::ALL, |s| s.as_str()))),
            ("otherwise", json!({"description": OTHERWISE, "const": "keep"})),
        ],
    );
    let by_itself = [Seen::Register, Seen::Doubt, Seen::Compartment];
    let single = json!({"not": {"anyOf": [{"type": "array", "minItems": 2}, {"type": "object", "minProperties": 2}]}});
    let no = json!({"enum": [false, "false"]});
    join(
        &mut it,
        json!({"allOf": [
            {
                "if": {"required": ["seen"], "properties": {"seen": {"enum": by_itself}}},
                "then": {"properties": {
                    "key": false, "parts": single, "extents": single, "asks_origin": no, "asks_clearance": no,
                }},
            },
            {
                "if": {"required": ["otherwise"]},
                "then": {"required": ["seen"], "properties": {"seen": {"enum": [Seen::Register, Seen::Compartment]}}},
            },
        ]}),
    );
    it
}

/// The texts of a rule that may also be amended.
fn rule_texts() -> Vec<(&'static str, Value)> {
    let mut it = vec![
        ("title", text("One line.")),
        ("because", text("The plain reason, with the physics.")),
        ("remedy", text("What to do.")),
        ("never", text("What never to do.")),
        ("contested", text("Both sides of a contested call; such a rule can be settled in one line.")),
    ];
    it.extend(basis());
    it
}

fn ruling() -> Value {
    one_of("What must happen, weakest first.", &words(Ruling::ALL, |r| r.as_str()))
}

fn over() -> Value {
    listed("Rules that are silent where this one holds.", &refer("rule-word"))
}

fn class_confidence() -> Value {
    refer_as("The same mark for the class; left out: as 'confidence'.", "mark")
}

/// Where nothing need be done there is no finding, and so no class.
fn no_class_of_keep() -> Value {
    json!({
        "if": {"required": ["ruling"], "properties": {"ruling": {"const": Ruling::Keep.as_str()}}},
        "then": {"properties": {"class": false}},
    })
}

fn rule() -> Value {
    let mut fields = vec![
        ("rule", refer_as("The rule's word; the same from edition to edition.", "rule-word")),
        ("when", refer("when")),
        ("unless", refer("unless")),
        ("over", over()),
        ("also", truth("Whether it speaks beside the rule that decides, and decides nothing alone.")),
        ("ruling", ruling()),
        ("class", one_of("The weight of the finding; left out: no finding.", &words(Class::ALL, |c| c.as_str()))),
        ("class_confidence", class_confidence()),
        (
            "cases",
            json!({
                "description": "Worked cases: at least one in which the rule speaks (then) \
            and one near miss (instead).",
                "type": "array",
                "items": refer("case"),
                "allOf": [{"contains": {"required": ["then"]}}, {"contains": {"required": ["instead"]}}],
            }),
        ),
    ];
    fields.extend(rule_texts());
    let required = ["rule", "title", "when", "ruling", "clause", "source", "confidence", "because", "remedy", "cases"];
    let mut it = object("", &required, fields);
    join(&mut it, no_class_of_keep());
    join(&mut it, json!({"dependentRequired": {"class_confidence": ["class"]}}));
    it
}

fn amendment() -> Value {
    let with_none: Vec<&str> = words(Class::ALL, |c| c.as_str()).into_iter().chain([NONE]).collect();
    let mut unless = refer("unless");
    unless = json!({"anyOf": [unless, {"const": NONE}]});
    let mut fields = vec![
        ("rules", some_of("The inherited rules that are changed.", &refer("rule-word"))),
        ("when", refer("when")),
        ("unless", described("Takes the place of the whole condition; none takes it away.", unless)),
        ("over", over()),
        ("also", truth("Whether it speaks beside the rule that decides, and decides nothing alone.")),
        ("ruling", ruling()),
        ("class", one_of("The weight of the finding; none takes it away.", &with_none)),
        ("class_confidence", class_confidence()),
        (
            "cases",
            json!({
                "description": "Worked cases that take the place of the inherited ones.",
                "type": "array",
                "items": refer("case"),
            }),
        ),
    ];
    fields.extend(rule_texts());
    let mut it = object("", &["rules"], fields);
    join(&mut it, json!({"minProperties": 2}));
    join(&mut it, no_class_of_keep());
    it
}

/// What takes away an inherited value.
const NONE: &str = "none";

/// `replace`, or `replace noncritical`; what is kept has no class.
fn call() -> Value {
    let mut calls: Vec<String> = Ruling::ALL.iter().map(ToString::to_string).collect();
    for ruling in Ruling::ALL.iter().filter(|r| **r != Ruling::Keep) {
        calls.extend(Class::ALL.iter().map(|class| format!("{ruling} {class}")));
    }
    one_of("", &calls)
}

fn settle(known: &Known) -> Value {
    let mut rules = Map::new();
    for (id, argument) in &known.contested {
        rules.insert(id.clone(), described(argument, refer("call")));
    }
    json!({
        "description": "The authority's word on contested calls, one line each: 'paint-frame: replace', or \
    with a class 'paint-frame: replace noncritical'.",
        "type": ["object", "null"],
        "properties": rules,
        "propertyNames": word(""),
        "additionalProperties": refer("call"),
    })
}
