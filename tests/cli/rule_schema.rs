//! The JSON Schema of rule files against the reader: what one takes the other takes, key by key and complaint by complaint.

use std::fs;
use std::path::Path;
use std::sync::Arc;

use headround::diag::tree::{self, Limits};
use headround::diag::{Diagnostic, Source};
use headround::rules::model::RuleSet;
use headround::rules::{builtin, load, schema};
use jsonschema::Validator;
use serde_json::Value;

use crate::support::Place;

/// A set by itself, and one that extends it; between them they use every key.
const BASE: &str = include_str!("../fixtures/whole-base.yaml");

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
                        if property.get("description").is_none() && property.get("$ref").is_none() {
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
