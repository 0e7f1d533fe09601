//! The JSON Schema of rule files against the reader: what one takes the other takes, key by key and complaint by complaint.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::sync::Arc;

use headround::diag::tree::{self, Limits};
use headround::diag::{Diagnostic, Source};
use headround::rules::model::RuleSet;
use headround::rules::{builtin, load, schema};
use jsonschema::Validator;
use serde_json::{Value, json};

use crate::support::Place;

/// A set by itself, and one that extends it; between them they use every key.
const BASE: &str = include_str!("../fixtures/whole-base.yaml");
const OWN: &str = include_str!("../fixtures/whole-own.yaml");

fn the_schema() -> Value {
    let sets: Vec<Arc<RuleSet>> = builtin::names().iter().map(|name| builtin::load(name).expect("sound")).collect();
    schema::schema(&sets)
}

fn validator() -> Validator {
    jsonschema::draft202012::new(&the_schema()).expect("a schema that holds to its own draft")
}

/// The file's values as other readers see them.
fn values(text: &str) -> Value {
    tree::read(&Source::new("t.yaml", text), Limits::SMALL).expect("YAML").to_json()
}

fn complaints(it: &Validator, value: &Value) -> Vec<String> {
    it.iter_errors(value).map(|e| format!("{}: {e}", e.instance_path())).collect()
}

fn load(text: &str) -> Result<RuleSet, Vec<Diagnostic>> {
    load::read(&Source::new("t.yaml", text), &|name| match name {
        "whole-base" => Some(Source::new("base", BASE)),
        other => builtin::source(other),
    })
}

#[track_caller]
fn is_sound(text: &str) {
    if let Err(all) = load(text) {
        panic!("{}", all.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"));
    }
}

#[test]
fn the_command_prints_the_schema_that_is_kept_beside_the_pages() {
    let printed = Place::new().fine(&["rules", "schema"]).out;
    assert_eq!(serde_json::from_str::<Value>(&printed).unwrap(), the_schema());
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/rules/rule-set.schema.json");
    if std::env::var_os("HEADROUND_UPDATE").is_some() {
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(&path, &printed).unwrap();
    }
    let kept = fs::read_to_string(&path).unwrap_or_default();
    assert!(kept == printed, "write it anew: HEADROUND_UPDATE=1 cargo test --test cli");
}

#[test]
fn every_rule_file_of_the_project_is_valid() {
    let it = validator();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut seen = 0;
    for folder in ["rules", "sample-sites"] {
        for item in fs::read_dir(root.join(folder)).unwrap() {
            let path = item.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            if !name.ends_with(".yaml") || name.ends_with(".site.yaml") {
                continue;
            }
            seen += 1;
            assert_eq!(complaints(&it, &values(&fs::read_to_string(&path).unwrap())), Vec::<String>::new(), "{name}");
        }
    }
    assert!(seen >= builtin::names().len(), "{seen}");
    assert_eq!(complaints(&it, &values(BASE)), Vec::<String>::new());
    is_sound(BASE);
}

#[test]
fn every_key_says_what_it_is() {
    fn walk(path: &str, it: &Value, silent: &mut Vec<String>) {
        let Some(map) = it.as_object() else { return };
        for (key, value) in map {
            let here = format!("{path}/{key}");
            match value {
                Value::Object(properties) if key == "properties" && map.contains_key("additionalProperties") => {
                    for (name, property) in properties {
                        // A key that is never allowed needs no words.
                        let never = property == &Value::Bool(false);
                        if !never && property.get("description").is_none() && property.get("$ref").is_none() {
                            silent.push(format!("{here}/{name}"));
                        }
                        walk(&format!("{here}/{name}"), property, silent);
                    }
                }
                Value::Array(items) => items.iter().for_each(|item| walk(&here, item, silent)),
                other => walk(&here, other, silent),
            }
        }
    }
    let mut silent = Vec::new();
    walk("", &the_schema(), &mut silent);
    assert_eq!(silent, Vec::<String>::new());
}

/// Follows a reference to a definition.
fn resolved<'a>(schema: &'a Value, mut it: &'a Value) -> &'a Value {
    while let Some(name) = it.get("$ref").and_then(Value::as_str) {
        it = schema.pointer(name.trim_start_matches('#')).expect(name);
    }
    it
}

/// The mappings that a piece of schema may stand for.
fn mappings<'a>(schema: &'a Value, it: &'a Value, found: &mut Vec<&'a Value>) {
    let it = resolved(schema, it);
    if it.get("properties").is_some() && it.get("additionalProperties").is_some() {
        found.push(it);
    }
    for key in ["anyOf", "oneOf"] {
        for alternative in it.get(key).and_then(Value::as_array).into_iter().flatten() {
            mappings(schema, alternative, found);
        }
    }
}

/// The pieces of schema for the items of a list.
fn items<'a>(schema: &'a Value, it: &'a Value, found: &mut Vec<&'a Value>) {
    let it = resolved(schema, it);
    found.extend(it.get("items"));
    for alternative in it.get("anyOf").and_then(Value::as_array).into_iter().flatten() {
        items(schema, alternative, found);
    }
}

/// A key that is near to none.
const NO_KEY: &str = "zzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzz";

/// The keys that the reader knows at a place: it names them all where one is far from every one.
fn known_keys(document: &Value, place: &str) -> BTreeSet<String> {
    let mut document = document.clone();
    let map = document.pointer_mut(place).and_then(Value::as_object_mut).expect("a mapping");
    map.insert(NO_KEY.to_owned(), json!(1));
    let all = load(&document.to_string()).expect_err("an unknown key");
    let told = all.iter().find(|d| d.code == "unknown-key" && d.message.contains(NO_KEY));
    let help = told.and_then(|d| d.help.clone()).unwrap_or_else(|| panic!("nothing is told at {place}: {all:?}"));
    help.strip_prefix("known fields: ").expect(&help).split(", ").map(str::to_owned).collect()
}

/// The keys that the reader knows, by the mapping of the schema that stands for the place.
type Met = BTreeMap<String, BTreeSet<String>>;

/// Goes through every mapping of a document and asks the reader for the keys it knows there.
fn ask(schema: &Value, document: &Value, place: &str, pieces: &[&Value], met: &mut Met) {
    let inside = document.pointer(place).expect(place);
    match inside {
        Value::Object(map) => {
            let mut found = Vec::new();
            pieces.iter().for_each(|piece| mappings(schema, piece, &mut found));
            let [it] = found.as_slice() else { panic!("{} mappings at {place}", found.len()) };
            let properties = it["properties"].as_object().expect("properties");
            if it["additionalProperties"] == json!(false) {
                met.entry(it.to_string()).or_default().extend(known_keys(document, place));
            }
            for key in map.keys() {
                let piece = properties.get(key).unwrap_or(&it["additionalProperties"]);
                ask(schema, document, &format!("{place}/{key}"), &[piece], met);
            }
        }
        Value::Array(list) => {
            let mut found = Vec::new();
            pieces.iter().for_each(|piece| items(schema, piece, &mut found));
            for at in 0..list.len() {
                ask(schema, document, &format!("{place}/{at}"), &found, met);
            }
        }
        _ => {}
    }
}

/// Every mapping of the schema that knows its keys.
fn closed_mappings(it: &Value, found: &mut Met) {
    if let Some(properties) = it.get("properties").and_then(Value::as_object)
        && it.get("additionalProperties") == Some(&json!(false))
    {
        found.insert(it.to_string(), properties.keys().cloned().collect());
    }
    match it {
        Value::Object(map) => map.values().for_each(|v| closed_mappings(v, found)),
        Value::Array(list) => list.iter().for_each(|v| closed_mappings(v, found)),
        _ => {}
    }
}

#[test]
fn the_schema_and_the_reader_know_the_same_keys_everywhere() {
    let schema = the_schema();
    let mut met = Met::new();
    for text in [BASE, OWN] {
        is_sound(text);
        let document = values(text);
        assert_eq!(complaints(&validator(), &document), Vec::<String>::new());
        ask(&schema, &document, "", &[&schema], &mut met);
    }
    let mut all = Met::new();
    closed_mappings(&schema, &mut all);
    for (mapping, keys) in &all {
        let shown: String = mapping.chars().take(200).collect();
        let known = met.get(mapping).unwrap_or_else(|| panic!("the two sets use no such mapping: {shown}"));
        assert_eq!(known, keys, "the reader, then the schema, for {shown}");
    }
}

/// The places of documents: those of values, and those of mappings. Of places that differ only in where they stand in a
/// list, the first.
#[derive(Default)]
struct Places {
    values: Vec<String>,
    maps: Vec<String>,
    shapes: BTreeSet<String>,
}

impl Places {
    fn walk(&mut self, it: &Value, place: &str, shape: &str) {
        let new = self.shapes.insert(format!("{shape} {}", it.is_object()));
        match it {
            Value::Object(map) => {
                if new {
                    self.maps.push(place.to_owned());
                }
                map.iter().for_each(|(key, v)| self.walk(v, &format!("{place}/{key}"), &format!("{shape}/{key}")));
            }
            _ if new => self.values.push(place.to_owned()),
            _ => {}
        }
        for (at, value) in it.as_array().into_iter().flatten().enumerate() {
            self.walk(value, &format!("{place}/{at}"), &format!("{shape}/*"));
        }
    }
}

/// What the reader complains of in single values, those left out that hang on the words a set declares.
fn complaint_of_a_value(document: &Value) -> Result<(), Option<String>> {
    const CODES: [&str; 6] =
        ["bad-value", "unknown-key", "missing-key", "wrong-type", "class-of-keep", "case-without-end"];
    const DECLARED: [&str; 10] = [
        "is no sign",
        "is no part",
        "is no extent",
        "of the extended set",
        "a case has no 'part'",
        "a case has no 'extent'",
        "a case has no 'origin'",
        "a case has no field 'origin'",
        "has no part",
        "has no extent",
    ];
    let Err(all) = load(&document.to_string()) else { return Ok(()) };
    let closed = |d: &Diagnostic| CODES.contains(&d.code) && !DECLARED.iter().any(|words| d.message.contains(words));
    Err(all.iter().find(|d| closed(d)).map(ToString::to_string))
}

#[test]
fn whatever_stands_at_a_place_the_schema_and_the_reader_judge_it_alike() {
    let it = validator();
    let mut changed: Vec<(String, Value)> = Vec::new();
    let mut places = Places::default();
    for text in [BASE, OWN] {
        let sound = values(text);
        (places.values, places.maps) = (Vec::new(), Vec::new());
        places.walk(&sound, "", "");
        for place in &places.values {
            // One of another kind, and one of the same that is seldom meant.
            for value in [json!({}), json!("zzzz")] {
                let mut document = sound.clone();
                let what = format!("{place}: {value}");
                *document.pointer_mut(place).unwrap() = value;
                changed.push((what, document));
            }
        }
        for place in &places.maps {
            for key in sound.pointer(place).unwrap().as_object().unwrap().keys() {
                let mut document = sound.clone();
                document.pointer_mut(place).unwrap().as_object_mut().unwrap().remove(key);
                changed.push((format!("{place} without {key}"), document));
            }
        }
    }
    assert!(changed.len() > 500, "{}", changed.len());
    // A clearance of no style is nobody's: the reader lets it pass.
    let idle = |what: &str| what.ends_with("without style");
    let mut wrong = Vec::new();
    for (what, document) in changed {
        match (it.is_valid(&document), complaint_of_a_value(&document)) {
            (false, Ok(())) if !idle(&what) => wrong.push(format!("{what}: only the schema refuses it")),
            (true, Err(Some(why))) => wrong.push(format!("{what}: only the reader refuses it: {why}")),
            _ => {}
        }
    }
    assert!(wrong.is_empty(), "{}\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn what_the_reader_complains_of_the_schema_refuses_too() {
    let it = validator();
    // What is replaced, by what, the reader's code.
    let table = [
        ("title: A small set with every key", "titel: A small set", "unknown-key"),
        ("edition: none\n", "", "missing-key"),
        ("format: headround rules 1", "format: headround rules 2", "bad-value"),
        ("key: p", "key: q", "bad-value"),
        ("key: p", "key: pp", "bad-value"),
        ("seen: register", "seen: registre", "bad-value"),
        ("seen: doubt,", "seen: doubt, key: d,", "sign-not-entered"),
        ("seen: doubt, parts: [frame]", "seen: doubt, parts: [frame, element]", "sign-not-entered"),
        ("seen: doubt,", "seen: doubt, otherwise: keep,", "otherwise-by-eye"),
        ("asks_origin: true", "asks_origin: perhaps", "bad-value"),
        ("ruling: watch", "ruling: wach", "bad-value"),
        ("    ruling: watch\n", "", "missing-key"),
        ("class: noncritical", "class: minor", "bad-value"),
        ("    ruling: keep\n", "    ruling: keep\n    class: critical\n", "class-of-keep"),
        ("    ruling: look\n", "    ruling: look\n    class_confidence: A\n", "mark-without-class"),
        ("confidence: A\n    class_confidence", "confidence: D\n    class_confidence", "bad-value"),
        ("element: bulb,", "element: blub,", "bad-value"),
        ("finish: brass..coloured", "finish: coloured..brass", "bad-value"),
        ("{sign: paint, origin: factory}", "{origin: factory}", "missing-key"),
        ("{sign: paint, origin: factory}", "{sign: paint, orgin: factory}", "unknown-key"),
        ("unless: {setting: [heat, corrosive], resists_corrosion: false}", "unless: {}", "empty-unless"),
        ("setting: [heat, corrosive]", "setting: [hot]", "bad-value"),
        ("resists_corrosion: false}\n    over: painted", "resists_corrosion: no}\n    over: painted", "bad-value"),
        ("over: painted", "over: Painted", "bad-value"),
        (", then: keep}", "}", "case-without-end"),
        (", then: keep}", ", then: keep, instead: look}", "case-without-end"),
        (", then: keep}", ", than: keep}", "unknown-key"),
        ("      - {see: too far away, then: look}\n", "", "no-case"),
        ("distance: 18 in", "distance: 18", "bad-value"),
        ("distance: 18 in", "distance: far", "bad-value"),
        ("style: [spray, residential]", "style: [sprey]", "bad-value"),
        ("within: at once", "within: soon", "bad-value"),
        ("within: at once", "within: 0 hours", "bad-value"),
        ("made: 1998..2001", "made: long ago", "bad-value"),
        ("    first: 50 years", "    first: 50", "bad-value"),
        ("    first: 50 years", "    first: 2.5 years", "bad-value"),
        ("    then: 10 years", "    then: 0 years", "bad-value"),
        ("act: replace", "act: paint", "bad-value"),
        ("from: made", "from: birth", "bad-value"),
        ("made: ..1919", "made: ..", "bad-value"),
        ("{from: 1001, percent: 0.5}", "{from: 1001}", "steps"),
        ("percent: 0.5", "percent: 101", "bad-value"),
        ("counts: lot", "counts: lots", "bad-value"),
        ("hazard: any", "hazard: extra", "bad-value"),
        ("{about: spare,", "{about: spares,", "bad-value"),
        ("rti: 65 (m.s)^0.5", "rti: 65", "bad-value"),
        ("rti_least: 20 (m.s)^0.5", "rti_least: 20", "bad-value"),
        ("time: 180 s", "time: 180", "bad-value"),
        ("waterway: 7 psi", "waterway: 7", "bad-value"),
        ("oven: {from: 266 F, to: 200 C}", "oven: 135 C", "wrong-type"),
        ("oven: {from: 266 F,", "oven: {from: 130,", "bad-value"),
        ("air: {from: 2.4 m/s, to: 8.5 ft/s}", "air: {from: 2.4 m/s}", "missing-key"),
        ("to: 8.5 ft/s", "to: 8.5 mph", "bad-value"),
        ("to: 80 F}", "to: 80 F, mean: 20 C}", "unknown-key"),
        ("    method: {clause: none, source: none, confidence: C}\n", "", "method"),
        ("method: {clause: none, source: none,", "method: {clause: none,", "missing-key"),
        ("because: No figure.", "method: {clause: c, source: s, confidence: C}, because: No figure.", "method"),
        ("late: critical", "late: grave", "bad-value"),
        ("condemns: false", "condemns: perhaps", "bad-value"),
        ("late: critical, shut: impairment, early: noncritical, ", "", "mark-without-class"),
        ("{about: spare, refuse: true,", "{about: spare, condemns: false,", "failure-only"),
        ("{about: spare, refuse: true,", "{about: spare, early: critical,", "failure-only"),
        ("when: {response: quick}", "when: {response: quick, made: ..1919}", "made-of-limit"),
        ("at_most: 100 F", "at_most: warm", "bad-value"),
        ("differs: same-class", "differs: larger", "bad-value"),
        ("field: rating\n", "field: colour\n", "bad-value"),
        ("from: [ordinary]", "from: [quick]", "bad-value"),
        ("field: k, verdict", "field: k, to: [5.6], verdict", "bad-value"),
        ("field: k, verdict", "field: k, differs: lost, verdict", "bad-value"),
        (
            "when: {response: quick}\n    unless: {setting: heat}\n    verdict",
            "when: {made: 1999}\n    verdict",
            "made-of-spare",
        ),
        ("verdict: may", "verdict: fits", "bad-value"),
        ("verdict: may", "verdict: perhaps", "bad-value"),
        ("        says: may\n", "", "case-without-end"),
        ("        says: may\n", "        says: may\n        instead: ask\n", "case-without-end"),
        ("rating: 74 C", "rating: 74", "bad-value"),
        ("k: 80 metric", "k: 80 m", "bad-value"),
        ("length: 305 mm", "length: 305", "bad-value"),
        ("spare: {rating: 165 F}", "spare: {rating: 165 F, ceiling: fits}", "unknown-key"),
        ("head: {setting: heat}", "head: {setting: hot}", "bad-value"),
        ("suitability:\n", "suitability:\n  margin: 30 K\n", "suitability"),
        ("up_to: 100 F, class: ordinary", "up_to: 100 F, class: critical", "bad-value"),
        ("every: 12 months", "every: year", "bad-value"),
        ("signs:\n", "signs: none\nsings:\n", "wrong-type"),
        ("cautions: [One caution.]", "cautions: [[One caution.]]", "wrong-type"),
        ("impairment:\n", "impairment: none\nimpairments:\n", "wrong-type"),
    ];
    let own = [
        ("speck: watch noncritical", "speck: watch minor", "bad-value"),
        ("speck: watch noncritical", "speck: keep critical", "class-of-keep"),
        ("settle:\n", "settle: [speck]\nsettled:\n", "wrong-type"),
        ("  - rules: speck\n", "  - rule: speck\n", "missing-key"),
        ("class: noncritical\n", "class: nothing\n", "bad-value"),
        ("fresh: [clearances, suitability]", "fresh: [rules]", "bad-value"),
        ("margin: 30 K", "margin: 30", "bad-value"),
        ("extends: whole-base\n", "", "nothing-inherited"),
    ];
    let mut wrong = Vec::new();
    for (text, (from, to, code)) in table.map(|row| (BASE, row)).into_iter().chain(own.map(|row| (OWN, row))) {
        assert!(text.contains(from), "{from}");
        let bad = text.replacen(from, to, 1);
        let codes: Vec<&str> = load(&bad).err().into_iter().flatten().map(|d| d.code).collect();
        if !codes.contains(&code) {
            wrong.push(format!("{from} -> {to}: the reader says {codes:?}"));
        }
        if it.is_valid(&values(&bad)) {
            wrong.push(format!("{from} -> {to}: the schema takes it"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
