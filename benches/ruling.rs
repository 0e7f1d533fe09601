//! One ruling: a look-up in the compiled rule set, beside the same rules as scripts of a general-purpose expression engine
//! that answers alike: `cargo bench --bench ruling`.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod common;

use std::hint::black_box;

use divan::Bencher;
use divan::counter::ItemsCount;
use headround::round::entry::What;
use headround::rules::explain::{self, Asked};
use headround::rules::facts::Field;
use headround::rules::judge::{Judge, Profile, Sighting};
use headround::rules::model::{RuleSet, Ruling};
use headround::trade::kind::Kind;
use headround::trade::register::{Area, Setting as Place};

fn main() {
    divan::main();
}

/// Every combination that the set allows, on every make-up of a sample site.
fn all() -> (Judge, Vec<(Profile, Sighting)>) {
    let site = common::site(2_000, 2_000);
    let mut judge = Judge::new(common::rules(), &site.register.recalled);
    let mut profiles: Vec<Profile> = Vec::new();
    for area in &site.register.areas {
        for kind in &site.register.kinds {
            profiles.push(judge.profile(kind, area));
        }
    }
    let state = common::fold(&site);
    let sightings: Vec<Sighting> = site
        .entries
        .iter()
        .filter_map(|e| if let What::Saw(saw) = &e.what { state.sighting(saw) } else { None })
        .collect();
    // Crossed in an order that never repeats the last profile, so that no answer is found lying ready.
    let pairs =
        (0..100_000).map(|n| (profiles[n * 31 % profiles.len()], sightings[n * 17 % sightings.len()])).collect();
    (judge, pairs)
}

#[divan::bench]
fn looked_up(bencher: Bencher<'_, '_>) {
    let (judge, pairs) = all();
    bencher.counter(ItemsCount::new(pairs.len())).bench_local(|| {
        for (profile, sighting) in &pairs {
            black_box(judge.judge(*profile, *sighting));
        }
    });
}

#[divan::bench]
fn looked_up_with_its_reasons(bencher: Bencher<'_, '_>) {
    let (judge, pairs) = all();
    bencher.counter(ItemsCount::new(pairs.len())).bench_local(|| {
        for (profile, sighting) in &pairs {
            black_box(judge.reasons(judge.judge(*profile, *sighting)));
        }
    });
}

/// The same rules for a general-purpose expression engine: one compiled script a sign, which answers which of its rules
/// hold, as bits; silencing and joining are done beside it, as the table does them when it is built.
struct Engine {
    engine: rhai::Engine,
    /// By sign: the script, and its rules.
    scripts: Vec<(rhai::AST, Vec<usize>)>,
    /// By rule: the rules that are silent where it holds.
    below: Vec<Vec<usize>>,
    judge: Judge,
}

const ORIGINS: [&str; 3] = ["factory", "field", "unknown"];

impl Engine {
    fn new(judge: &Judge) -> Self {
        let set = judge.set();
        let engine = rhai::Engine::new();
        let scripts = (0..set.signs.len())
            .map(|sign| {
                let of_sign: Vec<usize> = (0..set.rules.len())
                    .filter(|r| set.rules[*r].when.signs.iter().any(|s| usize::from(s.0) == sign))
                    .collect();
                let mut text = String::from("let held = 0;\n");
                for (bit, rule) in of_sign.iter().enumerate() {
                    let (all, unless) = explain::conditions(set, &set.rules[*rule]);
                    let mut words: Vec<String> =
                        all.iter().filter(|a| a.field != "sign").map(|a| asked(set, a)).collect();
                    if !unless.is_empty() {
                        let inner: Vec<String> = unless.iter().map(|a| asked(set, a)).collect();
                        words.push(format!("!({})", inner.join(" && ")));
                    }
                    let cond = if words.is_empty() { "true".to_owned() } else { words.join(" && ") };
                    text.push_str(&format!("if {cond} {{ held |= {}; }}\n", 1_i64 << bit));
                }
                text.push_str("held");
                (engine.compile(text).expect("compiles"), of_sign)
            })
            .collect();
        let below = (0..set.rules.len()).map(|rule| silenced(set, rule)).collect();
        Self { engine, scripts, below, judge: judge.clone() }
    }

    /// The ruling by the engine's word.
    fn rule(&self, scope: &mut rhai::Scope<'_>, s: Sighting) -> Ruling {
        let (script, rules) = &self.scripts[usize::from(s.sign.0)];
        scope.set_value("part", 1_i64 << s.part.0);
        scope.set_value("extent", 1_i64 << s.extent.0);
        scope.set_value("origin", 1_i64 << s.applied.map_or(2, |a| a as i64));
        let held: i64 = self.engine.eval_ast_with_scope(scope, script).expect("evaluates");
        let holds = |bit: usize| held & (1 << bit) != 0;
        let held: Vec<usize> = (0..rules.len()).filter(|b| holds(*b)).map(|b| rules[b]).collect();
        let set = self.judge.set();
        let speaks = |rule: &&usize| !held.iter().any(|above| self.below[*above].contains(rule));
        held.iter().filter(speaks).map(|r| set.rules[*r].ruling).max().unwrap_or(Ruling::Keep)
    }
}

fn silenced(set: &RuleSet, rule: usize) -> Vec<usize> {
    let mut found = Vec::new();
    let mut todo = set.rules[rule].over.clone();
    while let Some(next) = todo.pop() {
        let at = usize::from(next.0);
        if !found.contains(&at) {
            found.push(at);
            todo.extend(&set.rules[at].over);
        }
    }
    found
}

/// One condition as an expression on bits.
fn asked(set: &RuleSet, a: &Asked) -> String {
    let at = |value: &String| -> usize {
        let found = match a.field {
            "part" => set.parts.iter().position(|w| w.name == *value),
            "extent" => set.extents.iter().position(|w| w.name == *value),
            "origin" => ORIGINS.iter().position(|w| w == value),
            "setting" => Place::ALL.iter().position(|w| w.as_str() == value),
            field => {
                let field = Field::ALL.iter().find(|f| f.as_str() == field).expect("a field");
                field.words().iter().position(|w| w == value)
            }
        };
        found.expect("a known word")
    };
    let bits: i64 = a.values.iter().map(|v| 1 << at(v)).sum();
    format!("({} & {bits}) != 0", a.field)
}

/// The variables of one make-up.
fn scope(judge: &Judge, kind: &Kind, area: &Area) -> rhai::Scope<'static> {
    let facts = judge.facts(kind, area);
    let mut scope = rhai::Scope::new();
    for name in ["part", "extent", "origin"] {
        scope.push(name, 0_i64);
    }
    for field in Field::ALL {
        scope.push(field.as_str(), 1_i64 << facts.get(*field));
    }
    let places: i64 = area.setting.iter().map(|s| 1_i64 << (*s as i64)).sum();
    scope.push("setting", places);
    scope
}

#[divan::bench(sample_count = 20)]
fn by_a_general_expression_engine(bencher: Bencher<'_, '_>) {
    let site = common::site(2_000, 2_000);
    let (mut judge, pairs) = all();
    let engine = Engine::new(&judge);
    let mut scopes = Vec::new();
    let mut of_profile = std::collections::HashMap::new();
    for area in &site.register.areas {
        for kind in &site.register.kinds {
            let profile = judge.profile(kind, area);
            of_profile.entry(profile).or_insert_with(|| {
                scopes.push(scope(&judge, kind, area));
                scopes.len() - 1
            });
        }
    }
    let pairs: Vec<(usize, Profile, Sighting)> =
        pairs.into_iter().take(2_000).map(|(p, s)| (of_profile[&p], p, s)).collect();
    for (scope, profile, sighting) in &pairs {
        let found = engine.rule(&mut scopes[*scope], *sighting);
        assert_eq!(found, judge.judge(*profile, *sighting).ruling, "{sighting:?}");
    }
    bencher.counter(ItemsCount::new(pairs.len())).bench_local(|| {
        for (scope, _, sighting) in &pairs {
            black_box(engine.rule(&mut scopes[*scope], *sighting));
        }
    });
}
