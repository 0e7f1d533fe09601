//! The outside check: the table of situations, ages, samples, stock and ratings that was written from published sources,
//! run against every built-in set.

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::NaiveDate;

use super::{area, kind};
use crate::diag::tree::{self, Fields, Limits, Node, Value};
use crate::diag::{Diagnostic, Source};
use crate::rules::age::{self, Service};
use crate::rules::builtin;
use crate::rules::duties::Hazard;
use crate::rules::facts::Facts;
use crate::rules::judge::Judge;
use crate::rules::load_rule::read_facts;
use crate::rules::model::{Class, Confidence, Rule, RuleSet, Ruling, Sighting};
use crate::trade::kind::{Applied, Kind};
use crate::trade::quantity::{PartialDate, Temperature};
use crate::trade::register::Area;

/// The sets of the table, which are the built-in ones.
pub(super) const SETS: [&str; 5] = ["nfpa25-2023", "nfpa25-2020", "nfpa25-2017", "nfpa25-2014", "en12845"];

/// The sets that follow one text or the other, for tables in which editions agree.
const GROUPS: [(&str, &[&str]); 2] = [("nfpa", SETS.split_at(4).0), ("en12845", &["en12845"])];

/// A published source of the table.
struct Origin {
    source: String,
    clause: String,
    mark: Confidence,
}

/// The table.
pub(super) struct Reference {
    source: Arc<Source>,
    top: Node,
}

pub(super) fn reference() -> Reference {
    let source = Source::new("situations.yaml", include_str!("../../../tests/reference/situations.yaml"));
    let top = tree::read(&source, Limits::SMALL).expect("YAML");
    Reference { source, top }
}

impl Reference {
    pub(super) fn rows(&self, section: &str) -> Vec<&Node> {
        let Value::Map(items) = &self.top.value else { panic!("a mapping") };
        let (_, list) = items.iter().find(|(k, _)| k.text == section).expect(section);
        let Value::List(rows) = &list.value else { panic!("{section} is a list") };
        rows.iter().collect()
    }

    /// Reads a row with nothing left over and nothing wrong.
    pub(super) fn read<'a, T>(
        &'a self,
        row: &'a Node,
        read: impl FnOnce(&mut Fields<'a>, &mut Vec<Diagnostic>) -> T,
    ) -> T {
        let mut out = Vec::new();
        let mut fields = Fields::of(&self.source, row, "a row", &mut out);
        let it = read(&mut fields, &mut out);
        fields.finish(&mut out);
        assert_eq!(out.iter().map(ToString::to_string).collect::<Vec<_>>(), Vec::<String>::new());
        it
    }

    fn origins(&self) -> BTreeMap<String, Origin> {
        let rows = self.rows("sources");
        let known: BTreeMap<String, Origin> = rows
            .iter()
            .map(|row| {
                self.read(row, |f, out| {
                    let word = f.need_text("word", out).expect("word");
                    let source = f.need_text("source", out).expect("source");
                    let clause = f.need_text("clause", out).expect("clause");
                    let mark = f.need_parse("mark", out, Confidence::parse).expect("mark");
                    (word, Origin { source, clause, mark })
                })
            })
            .collect();
        assert_eq!(known.len(), rows.len(), "a word of a source stands twice");
        known
    }

    /// The facts of a head; what a situation says of its sighting is left aside.
    fn head(&self, node: &Node) -> Facts {
        self.read(node, |f, out| {
            for key in ["sign", "part", "extent", "origin"] {
                f.take(key);
            }
            read_facts(f, out)
        })
    }
}

pub(super) fn load(name: &str) -> Arc<RuleSet> {
    builtin::load(name).expect(name)
}

/// What a row of the table expects: a ruling by a source, and a class by its own.
struct Expected<'t> {
    ruling: Ruling,
    by: &'t str,
    class: Option<(Class, &'t str)>,
}

/// `RULING by SOURCE` or `RULING CLASS by SOURCE, class by SOURCE`.
fn expected(text: &str) -> Expected<'_> {
    let (call, by) = text.split_once(" by ").expect(text);
    let (ruling, class) = call.split_once(' ').map_or((call, None), |(r, c)| (r, Some(c)));
    let (by, class_by) = by.split_once(", class by ").map_or((by, None), |(b, c)| (b, Some(c)));
    assert_eq!(class.is_some(), class_by.is_some(), "a class has a source of its own: '{text}'");
    let class = class.zip(class_by).map(|(c, by)| (Class::parse(c).expect(text), by));
    Expected { ruling: Ruling::parse(ruling).expect(text), by, class }
}

struct Situation {
    see: String,
    sign: String,
    part: String,
    extent: String,
    origin: Option<Applied>,
    facts: Facts,
    rulings: Vec<(&'static str, String)>,
}

fn situations(table: &Reference) -> Vec<Situation> {
    let rows = table.rows("situations");
    rows.into_iter()
        .map(|row| {
            table.read(row, |f, out| {
                let see = f.need_text("see", out).expect("see");
                let head = f.need("head", out).expect("head");
                let rulings = SETS.iter().filter_map(|s| Some((*s, f.need_text(s, out)?))).collect();
                f.text("note", out);
                let facts = table.head(head);
                let (sign, part, extent, origin) = table.read(head, |h, out| {
                    let sign = h.need_text("sign", out).expect("sign");
                    let part = h.text("part", out).unwrap_or_default();
                    let extent = h.text("extent", out).unwrap_or_default();
                    let origin = h.parse("origin", out, Applied::parse);
                    read_facts(h, out);
                    (sign, part, extent, origin)
                });
                Situation { see, sign, part, extent, origin, facts, rulings }
            })
        })
        .collect()
}

/// What a set says to a situation: the judgement's ruling and class, and the rules that spoke.
fn judged(judge: &mut Judge, it: &Situation) -> (Ruling, Option<Class>, Vec<Rule>) {
    let profile = judge.remember(it.facts);
    let got = match it.sign.as_str() {
        "register" => judge.standing(profile),
        "doubt" => judge.unsure(profile),
        sign => {
            let sighting: Sighting = judge.set().sighting(sign, &it.part, &it.extent, it.origin).expect(&it.see);
            judge.judge(profile, sighting)
        }
    };
    let spoke = judge.reasons(got).iter().filter_map(|r| judge.set().rule_at(*r));
    (got.ruling, got.class, spoke.cloned().collect())
}

#[test]
fn the_table_covers_every_built_in_set() {
    assert_eq!(SETS.as_slice(), builtin::names());
}

#[test]
fn at_least_seventy_five_situations_name_source_clause_and_mark_for_every_set() {
    let table = reference();
    let origins = table.origins();
    let all = situations(&table);
    assert!(all.len() >= 75, "{}", all.len());
    let mut used: Vec<&str> = Vec::new();
    for it in &all {
        assert_eq!(it.rulings.len(), SETS.len(), "{}", it.see);
        for (set, text) in &it.rulings {
            let it_is = expected(text);
            for by in std::iter::once(it_is.by).chain(it_is.class.map(|(_, by)| by)) {
                let origin = origins.get(by).unwrap_or_else(|| panic!("{}, {set}: no source '{by}'", it.see));
                assert!(!origin.source.is_empty() && !origin.clause.is_empty(), "{by}");
                // Only what has no source says so, and only what has one bears the mark of one.
                assert_eq!(origin.mark == Confidence::Practice, origin.source == "common practice, no source", "{by}");
                used.push(by);
            }
        }
    }
    let of_published = |by: &&str| origins[*by].mark <= Confidence::Memory;
    let published = all.iter().filter(|it| it.rulings.iter().any(|(_, t)| of_published(&expected(t).by))).count();
    assert!(published >= 60, "{published} situations have a published source under some set");
    for section in ["ages"] {
        for row in table.rows(section) {
            let Value::Map(items) = &row.value else { panic!("a mapping") };
            used.extend(
                items.iter().filter_map(|(_, v)| v.text()).filter_map(|t| t.split_once(" by ")).map(|(_, by)| by),
            );
        }
    }
    let unused: Vec<&String> = origins.keys().filter(|word| !used.contains(&word.as_str())).collect();
    assert!(unused.is_empty(), "sources that decide nothing: {unused:?}");
}

#[test]
fn every_situation_comes_out_under_every_set_as_its_source_says() {
    let table = reference();
    let all = situations(&table);
    let mut wrong = Vec::new();
    for set in SETS {
        let mut judge = Judge::new(load(set), &[]);
        for it in &all {
            let text = &it.rulings.iter().find(|(s, _)| *s == set).expect(set).1;
            let it_is = expected(text);
            let (got, got_class, spoke) = judged(&mut judge, it);
            if got != it_is.ruling || it_is.class.is_some_and(|(c, _)| got_class != Some(c)) {
                let spoke: Vec<_> = spoke.iter().map(|r| &r.id).collect();
                wrong.push(format!("{set}, {}: {got} {got_class:?} instead of '{text}' {spoke:?}", it.see));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_rule_claims_a_better_mark_than_the_source_that_decides_the_situation() {
    let table = reference();
    let origins = table.origins();
    let mut wrong = Vec::new();
    for set in SETS {
        let mut judge = Judge::new(load(set), &[]);
        for it in situations(&table) {
            let text = &it.rulings.iter().find(|(s, _)| *s == set).expect(set).1;
            let it_is = expected(text);
            let (_, _, spoke) = judged(&mut judge, &it);
            // The mark of the ruling is that of the best rule that gives it, and so with the class.
            let claimed = spoke.iter().filter(|r| r.ruling == it_is.ruling).map(|r| r.confidence).min();
            let mut demand = |what: &str, claimed: Option<Confidence>, by: &str| {
                let mark = origins[by].mark;
                if claimed.is_none_or(|c| c < mark) {
                    wrong.push(format!("{set}, {}: {what} {claimed:?} where '{by}' is {mark}", it.see));
                }
            };
            demand("ruling", claimed, it_is.by);
            if let Some((class, by)) = it_is.class {
                let of_class = spoke.iter().filter(|r| r.class == Some(class));
                demand("class", of_class.filter_map(|r| r.class_confidence).min(), by);
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn editions_differ_where_their_sources_do() {
    let all = situations(&reference());
    let call = |it: &Situation, set: &str| {
        let text = &it.rulings.iter().find(|(s, _)| *s == set).expect(set).1;
        expected(text).ruling
    };
    let differing = |a: &str, b: &str| all.iter().filter(|it| call(it, a) != call(it, b)).count();
    // Paint from 2020 to 2023, loading from 2014 to 2017; 2017 and 2020 have the same words.
    assert!(differing("nfpa25-2020", "nfpa25-2023") >= 5);
    assert!(differing("nfpa25-2014", "nfpa25-2017") >= 2);
    assert_eq!(differing("nfpa25-2017", "nfpa25-2020"), 0);
    assert!(differing("en12845", "nfpa25-2023") >= 5);
}

#[test]
fn ages_are_those_of_the_sources() {
    let table = reference();
    let origins = table.origins();
    let mut wrong = Vec::new();
    for row in table.rows("ages") {
        let (see, facts, made, texts) = table.read(row, |f, out| {
            let see = f.need_text("see", out).expect("see");
            let facts = table.head(f.need("head", out).expect("head"));
            let made = f.text("made", out).map(|t| t.parse::<i32>().expect("a year"));
            let texts: Vec<_> = SETS.iter().map(|s| (*s, f.need_text(s, out).expect(s))).collect();
            (see, facts, made, texts)
        });
        for (name, text) in texts {
            let set = load(name);
            let soonest = age::speaking(&set, &facts, made).into_iter().min_by_key(|r| r.first).expect(name);
            let got = match (soonest.first.months(), soonest.then) {
                (0, _) => "at once".to_owned(),
                (_, Some(then)) => format!("{}, then {then}", soonest.first),
                (_, None) => soonest.first.to_string(),
            };
            let (ages, by) = text.split_once(" by ").expect(&text);
            let mark = origins[by].mark;
            if got != ages || soonest.basis.confidence < mark {
                wrong.push(format!("{name}, {see}: {got} ({}) instead of {text} ({mark})", soonest.basis.confidence));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn days_fall_due_as_reckoned_by_hand() {
    let table = reference();
    let mut rows = 0;
    for row in table.rows("due") {
        let (see, facts, since, tested, days) = table.read(row, |f, out| {
            let see = f.need_text("see", out).expect("see");
            let facts = table.head(f.need("head", out).expect("head"));
            let since = PartialDate::parse(&f.need_text("since", out).expect("since")).expect("a day");
            let tested = f.text("tested", out).map(|t| t.parse::<NaiveDate>().expect("a day"));
            let days: Vec<_> = SETS.iter().filter_map(|s| Some((*s, f.text(s, out)?))).collect();
            (see, facts, since, tested, days)
        });
        for (name, day) in days {
            let set = load(name);
            let service = Service { since: Some(since), made: None, tested };
            let due = age::due(&set, &facts, &service).expect(name);
            assert_eq!(due.on, Some(day.parse().expect("a day")), "{name}, {see}: by {}", due.rule.id);
            rows += 1;
        }
    }
    assert!(rows >= 15);
}

/// A mapping from a number of heads to another number.
fn numbers(node: &Node) -> Vec<(u32, u32)> {
    let Value::Map(items) = &node.value else { panic!("a mapping") };
    let number = |t: &str| t.parse::<u32>().expect("a number");
    items.iter().map(|(k, v)| (number(&k.text), number(v.text().expect("a number")))).collect()
}

pub(super) fn of_sets(f: &mut Fields<'_>, out: &mut Vec<Diagnostic>) -> Vec<String> {
    f.list("sets", out, |t| Ok(t.to_owned()))
}

#[test]
fn samples_are_as_large_as_the_sources_say() {
    let table = reference();
    for row in table.rows("samples") {
        let (reading, sets, takes) = table.read(row, |f, out| {
            (f.need_text("reading", out).expect("reading"), of_sets(f, out), f.need("takes", out).map(numbers))
        });
        assert!(!sets.is_empty());
        for name in sets {
            let set = load(&name);
            let rule = set.duties.samples.iter().find(|r| r.id == reading).expect(&reading);
            for (heads, taken) in takes.clone().expect("numbers") {
                assert_eq!(rule.size(heads), taken, "{name} {reading}: of {heads}");
            }
        }
    }
}

#[test]
fn spare_heads_are_counted_as_the_sources_count_them() {
    let table = reference();
    for row in table.rows("stock") {
        let (reading, sets, hazard, holds) = table.read(row, |f, out| {
            let reading = f.need_text("reading", out).expect("reading");
            let hazard = f.need_parse("hazard", out, Hazard::parse).expect("hazard");
            (reading, of_sets(f, out), hazard, f.need("holds", out).map(numbers))
        });
        assert!(!sets.is_empty());
        for name in sets {
            let set = load(&name);
            let rule = set.duties.stock.iter().find(|r| r.id == reading).expect(&reading);
            assert_eq!(rule.hazard, hazard, "{name} {reading}");
            for (heads, held) in holds.clone().expect("numbers") {
                assert_eq!(rule.hold(heads), held, "{name} {reading}: of {heads}");
            }
        }
    }
}

#[test]
fn ratings_suit_ceilings_by_table_or_by_margin() {
    let table = reference();
    for row in table.rows("suitability") {
        let (rating, ceiling, words) = table.read(row, |f, out| {
            let rating = f.need_parse("rating", out, Temperature::parse).expect("rating");
            let ceiling = f.need_parse("ceiling", out, Temperature::parse).expect("ceiling");
            let words: Vec<_> = GROUPS.iter().map(|(g, of)| (*of, f.need_text(g, out).expect(g))).collect();
            (rating, ceiling, words)
        });
        let kind = Kind { rating, ..kind() };
        let area = Area { ceiling_max: Some(ceiling), ..area() };
        for (sets, word) in words {
            for name in sets {
                assert_eq!(load(name).ceiling(&kind, &area).as_str(), word, "{name}: {rating} under {ceiling}");
            }
        }
    }
}
