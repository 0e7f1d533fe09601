//! What a set holds as things with fields, so that one comparison serves words, rules and duties alike: a new sort of duty
//! is one more list of things.

use std::collections::{HashMap, HashSet};

use super::{About, Change, FieldChange, Side};
use crate::rules::facts::{Field, setting_bit};
use crate::rules::model::{Cond, Rule, RuleSet, bit8, bit16};
use crate::trade::kind::Applied;
use crate::trade::register::Setting;

/// The value of a field.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Value {
    /// A few words.
    Words(String),
    /// Running text.
    Text(String),
    /// Words whose order says nothing.
    List(Vec<String>),
}

impl Value {
    fn shown(&self) -> String {
        match self {
            Self::Words(text) | Self::Text(text) => text.clone(),
            Self::List(words) => words.join(", "),
        }
    }

    fn same(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::List(a), Self::List(b)) => {
                let sorted = |list: &[String]| {
                    let mut list = list.to_vec();
                    list.sort_unstable();
                    list
                };
                sorted(a) == sorted(b)
            }
            _ => self == other,
        }
    }
}

/// One thing of a set.
#[derive(Clone, Debug)]
pub(super) struct Item {
    about: About,
    /// What makes it the same thing in another set.
    word: String,
    title: String,
    fields: Vec<(String, Value)>,
}

impl Item {
    pub(super) fn new(about: About, word: impl Into<String>, title: impl Into<String>) -> Self {
        Self { about, word: word.into(), title: title.into(), fields: Vec::new() }
    }

    /// Adds a short field, if it says anything.
    pub(super) fn words(mut self, field: &str, value: impl ToString) -> Self {
        let value = value.to_string();
        if !value.is_empty() {
            self.fields.push((field.to_owned(), Value::Words(value)));
        }
        self
    }

    /// The same where it may be missing.
    pub(super) fn maybe(self, field: &str, value: Option<impl ToString>) -> Self {
        match value {
            Some(value) => self.words(field, value),
            None => self,
        }
    }

    /// Adds running text, if there is any.
    pub(super) fn text(mut self, field: &str, value: &str) -> Self {
        if !value.is_empty() {
            self.fields.push((field.to_owned(), Value::Text(value.to_owned())));
        }
        self
    }

    /// Adds words whose order says nothing, if there are any.
    pub(super) fn list(mut self, field: &str, value: Vec<String>) -> Self {
        if !value.is_empty() {
            self.fields.push((field.to_owned(), Value::List(value)));
        }
        self
    }

    /// What every duty has: its clause, its source and its mark.
    pub(super) fn clause(self, clause: &str, source: &str, confidence: impl ToString) -> Self {
        self.words("clause", clause).text("source", source).words("confidence", confidence)
    }

    /// Adds what is asked of a head and its surroundings; what is not asked is left out.
    pub(super) fn conditions(mut self, set: &RuleSet, all: &Cond, unless: Option<&Cond>) -> Self {
        for (field, values) in asked(set, all) {
            self = self.list(&format!("when {field}"), values);
        }
        for (field, values) in unless.map(|u| asked(set, u)).unwrap_or_default() {
            self = self.list(&format!("unless {field}"), values);
        }
        self
    }

    fn value(&self, field: &str) -> Option<&Value> {
        self.fields.iter().find(|(name, _)| name == field).map(|(_, value)| value)
    }
}

/// What differs between two lists of things. Of things with the same word the first counts.
pub(super) fn differ(from: &[Item], to: &[Item]) -> Vec<Change> {
    let by_word = |list: &[Item]| {
        let mut known: HashMap<(About, String), usize> = HashMap::new();
        for (at, item) in list.iter().enumerate() {
            known.entry((item.about, item.word.clone())).or_insert(at);
        }
        known
    };
    let (ours, theirs) = (by_word(from), by_word(to));
    let mut changes = Vec::new();
    let mut told: HashSet<(About, &str)> = HashSet::new();
    let key = |item: &Item| (item.about, item.word.clone());
    for item in from {
        if !told.insert((item.about, &item.word)) {
            continue;
        }
        match theirs.get(&key(item)).and_then(|at| to.get(*at)) {
            Some(other) => changes.extend(both(item, other)),
            None => changes.push(alone(item, Side::From)),
        }
    }
    for item in to.iter().filter(|item| !ours.contains_key(&key(item))) {
        if told.insert((item.about, &item.word)) {
            changes.push(alone(item, Side::To));
        }
    }
    changes
}

fn alone(item: &Item, side: Side) -> Change {
    let fields = item.fields.iter().map(|(field, value)| {
        let shown = Some(value.shown());
        let (from, to) = if side == Side::From { (shown, None) } else { (None, shown) };
        let (text, list) = (matches!(value, Value::Text(_)), matches!(value, Value::List(_)));
        FieldChange { field: field.clone(), from, to, text, list }
    });
    Change {
        about: item.about,
        word: item.word.clone(),
        title: item.title.clone(),
        only_in: Some(side),
        fields: fields.collect(),
    }
}

fn both(from: &Item, to: &Item) -> Option<Change> {
    let mut names: Vec<&String> = from.fields.iter().map(|(name, _)| name).collect();
    names.extend(to.fields.iter().map(|(name, _)| name).filter(|n| from.value(n).is_none()));
    let mut fields = Vec::new();
    for name in names {
        let (one, other) = (from.value(name), to.value(name));
        if one.zip(other).is_some_and(|(a, b)| a.same(b)) {
            continue;
        }
        fields.push(FieldChange {
            field: name.clone(),
            from: one.map(Value::shown),
            to: other.map(Value::shown),
            text: [one, other].into_iter().flatten().any(|v| matches!(v, Value::Text(_))),
            list: one.zip(other).is_some_and(|both| matches!(both, (Value::List(_), Value::List(_)))),
        });
    }
    (!fields.is_empty()).then(|| Change {
        about: from.about,
        word: from.word.clone(),
        title: from.title.clone(),
        only_in: None,
        fields,
    })
}

pub(super) fn yes(so: bool) -> Option<&'static str> {
    so.then_some("yes")
}

/// Signs, parts and extents that differ.
pub(super) fn words(from: &RuleSet, to: &RuleSet) -> Vec<Change> {
    let mut changes = differ(&vocabulary(from), &vocabulary(to));
    for (about, ours, theirs) in
        [(About::Part, ids(&from.parts), ids(&to.parts)), (About::Extent, ids(&from.extents), ids(&to.extents))]
    {
        let common = |list: &[&str], other: &[&str]| -> Vec<String> {
            list.iter().filter(|w| other.contains(w)).map(|w| (*w).to_owned()).collect()
        };
        let (one, other) = (common(&ours, &theirs), common(&theirs, &ours));
        if one != other {
            let order = |list: Vec<String>| Some(list.join(", "));
            let field =
                FieldChange { field: "order".into(), from: order(one), to: order(other), text: false, list: false };
            let title = format!("the order of the {about}s");
            changes.push(Change { about, word: "order".into(), title, only_in: None, fields: vec![field] });
        }
    }
    changes
}

fn ids(list: &[crate::rules::model::Word]) -> Vec<&str> {
    list.iter().map(|w| w.id.as_str()).collect()
}

fn vocabulary(set: &RuleSet) -> Vec<Item> {
    let word = |about, list: &[crate::rules::model::Word]| -> Vec<Item> {
        list.iter().map(|w| Item::new(about, &w.id, &w.name).words("name", &w.name).text("hint", &w.hint)).collect()
    };
    let mut items: Vec<Item> = set.signs.iter().map(|sign| sign_item(set, sign)).collect();
    items.extend(word(About::Part, &set.parts));
    items.extend(word(About::Extent, &set.extents));
    items
}

fn sign_item(set: &RuleSet, sign: &crate::rules::model::Sign) -> Item {
    let parts = sign.parts.iter().filter_map(|p| set.part_at(*p)).map(|w| w.id.clone()).collect();
    let extents: Vec<String> = sign.extents.iter().filter_map(|e| set.extent_at(*e)).map(|w| w.id.clone()).collect();
    let mut item = Item::new(About::Sign, &sign.id, &sign.name)
        .words("name", &sign.name)
        .maybe("key", sign.key)
        .text("hint", &sign.hint)
        .list("parts", parts)
        .list("extents", extents.clone());
    for (extent, hint) in extents.iter().zip(&sign.extent_hints) {
        item = item.text(&format!("{extent} means"), hint);
    }
    item.maybe("asks origin", yes(sign.ask_applied))
        .maybe("asks clearance", yes(sign.asks_clearance))
        .words("seen", sign.seen)
        .maybe("otherwise", sign.otherwise_keep.then_some("keep"))
}

/// Rules that differ.
pub(super) fn rules(from: &RuleSet, to: &RuleSet) -> Vec<Change> {
    let items = |set: &RuleSet| -> Vec<Item> { set.rules.iter().map(|r| rule_item(set, r)).collect() };
    differ(&items(from), &items(to))
}

fn rule_item(set: &RuleSet, rule: &Rule) -> Item {
    let signs = if rule.when.any_sign {
        vec!["any".to_owned()]
    } else {
        rule.when.signs.iter().filter_map(|s| set.sign_at(*s)).map(|s| s.id.clone()).collect()
    };
    let mut item = Item::new(About::Rule, &rule.id, &rule.title)
        .words("title", &rule.title)
        .words("ruling", rule.ruling)
        .maybe("class", rule.class)
        .words("clause", &rule.clause)
        .words("confidence", rule.confidence)
        .maybe("class confidence", rule.class_confidence)
        .list("when sign", signs);
    item = item.conditions(set, &rule.when.all, rule.when.unless.as_ref());
    let over = rule.over.iter().filter_map(|o| set.rule_at(*o)).map(|r| r.id.clone()).collect();
    item.list("over", over)
        .maybe("also", yes(rule.also))
        .text("source", &rule.source)
        .text("because", &rule.because)
        .text("remedy", &rule.remedy)
        .text("never", rule.never.as_deref().unwrap_or_default())
        .text("contested", rule.contested.as_deref().unwrap_or_default())
}

/// Conditions by the words of the file; what is not asked is left out.
fn asked(set: &RuleSet, cond: &Cond) -> Vec<(&'static str, Vec<String>)> {
    let mut found: Vec<(&'static str, Vec<String>)> = Vec::new();
    if cond.part != u16::MAX {
        let parts = (0u8..).zip(&set.parts).filter(|(i, _)| cond.part & bit16(*i) != 0);
        found.push(("part", parts.map(|(_, w)| w.id.clone()).collect()));
    }
    if cond.extent != u8::MAX {
        let extents = (0u8..).zip(&set.extents).filter(|(i, _)| cond.extent & bit8(*i) != 0);
        found.push(("extent", extents.map(|(_, w)| w.id.clone()).collect()));
    }
    if cond.applied != u8::MAX {
        let origins = Applied::ALL.iter().filter(|a| cond.applied & bit8(**a as u8) != 0);
        found.push(("origin", origins.map(ToString::to_string).collect()));
    }
    for field in Field::ALL {
        let bits = cond.field(*field);
        if bits != u16::MAX {
            let words = (0u8..).zip(field.words()).filter(|(i, _)| bits & bit16(*i) != 0);
            found.push((field.as_str(), words.map(|(_, w)| w.to_owned()).collect()));
        }
    }
    if cond.setting != 0 {
        let settings = Setting::ALL.iter().filter(|s| cond.setting & setting_bit(**s) != 0);
        found.push(("setting", settings.map(ToString::to_string).collect()));
    }
    found
}
