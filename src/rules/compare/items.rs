//! What a set holds as things with fields, so that one comparison serves words, rules and duties alike: a new sort of duty
//! is one more list of things.

use std::collections::{HashMap, HashSet};

use super::{About, Change, FieldChange, Side};
use crate::rules::facts::{Field, setting_bit};
use crate::rules::model::{Cond, Rule, RuleSet, bit8, bit16};
use crate::trade::kind::{Applied, Style};
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
struct Item {
    about: About,
    /// What makes it the same thing in another set.
    word: String,
    title: String,
    fields: Vec<(String, Value)>,
}

impl Item {
    fn new(about: About, word: impl Into<String>, title: impl Into<String>) -> Self {
        Self { about, word: word.into(), title: title.into(), fields: Vec::new() }
    }

    /// Adds a short field, if it says anything.
    fn words(mut self, field: &str, value: impl ToString) -> Self {
        let value = value.to_string();
        if !value.is_empty() {
            self.fields.push((field.to_owned(), Value::Words(value)));
        }
        self
    }

    /// The same where it may be missing.
    fn maybe(self, field: &str, value: Option<impl ToString>) -> Self {
        match value {
            Some(value) => self.words(field, value),
            None => self,
        }
    }

    /// Adds running text, if there is any.
    fn text(mut self, field: &str, value: &str) -> Self {
        if !value.is_empty() {
            self.fields.push((field.to_owned(), Value::Text(value.to_owned())));
        }
        self
    }

    /// Adds words whose order says nothing, if there are any.
    fn list(mut self, field: &str, value: Vec<String>) -> Self {
        if !value.is_empty() {
            self.fields.push((field.to_owned(), Value::List(value)));
        }
        self
    }

    /// What every duty has: its clause, its source and its mark.
    fn clause(self, clause: &str, source: &str, confidence: impl ToString) -> Self {
        self.words("clause", clause).text("source", source).words("confidence", confidence)
    }

    fn value(&self, field: &str) -> Option<&Value> {
        self.fields.iter().find(|(name, _)| name == field).map(|(_, value)| value)
    }
}

/// What differs between two lists of things. Of things with the same word the first counts.
fn differ(from: &[Item], to: &[Item]) -> Vec<Change> {
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
        FieldChange { field: field.clone(), from, to, text: matches!(value, Value::Text(_)) }
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

fn yes(so: bool) -> Option<&'static str> {
    so.then_some("yes")
}

/// Signs, parts and extents that differ.
pub(super) fn words(from: &RuleSet, to: &RuleSet) -> Vec<Change> {
    let mut changes = differ(&vocabulary(from), &vocabulary(to));
    for (about, ours, theirs) in [
        (About::Part, ids(&from.parts), ids(&to.parts)),
        (About::Extent, ids(&from.extents), ids(&to.extents)),
    ] {
        let common = |list: &[&str], other: &[&str]| -> Vec<String> {
            list.iter().filter(|w| other.contains(w)).map(|w| (*w).to_owned()).collect()
        };
        let (one, other) = (common(&ours, &theirs), common(&theirs, &ours));
        if one != other {
            let order = |list: Vec<String>| Some(list.join(", "));
            let field = FieldChange { field: "order".into(), from: order(one), to: order(other), text: false };
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
    let extents: Vec<String> =
        sign.extents.iter().filter_map(|e| set.extent_at(*e)).map(|w| w.id.clone()).collect();
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
    for (field, values) in asked(set, &rule.when.all) {
        item = item.list(&format!("when {field}"), values);
    }
    if let Some(unless) = &rule.when.unless {
        for (field, values) in asked(set, unless) {
            item = item.list(&format!("unless {field}"), values);
        }
    }
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

/// Duties that differ.
pub(super) fn duties(from: &RuleSet, to: &RuleSet) -> Vec<Change> {
    differ(&duty_items(from), &duty_items(to))
}

fn duty_items(set: &RuleSet) -> Vec<Item> {
    let mut items = Vec::new();
    for style in Style::ALL {
        if let Some(row) = set.clearances.iter().find(|c| c.styles.contains(style)) {
            let title = format!("clearance below the deflector, {style}");
            let item = Item::new(About::Clearance, style.as_str(), title).words("distance", row.distance);
            items.push(item.text("note", &row.note).clause(&row.clause, &row.source, row.confidence));
        }
    }
    for row in &set.classes {
        let item = Item::new(About::Class, row.class.as_str(), format!("what '{}' means", row.class));
        items.push(item.text("means", &row.duty.text).clause(&row.duty.clause, &row.duty.source, row.duty.confidence));
    }
    for row in &set.unreached {
        let item = Item::new(About::Unreached, &row.why, format!("not reached: {}", row.why));
        let item = item.maybe("waived", yes(row.waived)).text("because", &row.because);
        items.push(item.clause(&row.clause, &row.source, row.confidence));
    }
    let lines = |list: &[String]| list.join("; ");
    items.push(
        Item::new(About::Impairment, "tell", "whom to tell of an impairment").text("tell", &lines(&set.impairment.tell)),
    );
    items.push(
        Item::new(About::Impairment, "steps", "what to do in an impairment")
            .text("steps", &lines(&set.impairment.steps)),
    );
    for row in &set.impairment.clocks {
        let item = Item::new(About::Clock, &row.what, &row.what).words("within", row.within);
        items.push(item.clause(&row.clause, &row.source, row.confidence));
    }
    let mut numbers: Vec<(String, Vec<String>, Vec<&str>)> = Vec::new();
    for row in &set.recalled {
        // As the judge reads them: trimmed, capitals or not.
        let number = row.number.trim().to_uppercase();
        let made = row.made.map_or_else(|| "every year".to_owned(), |(a, b)| format!("{a}..{b}"));
        match numbers.iter_mut().find(|(n, ..)| *n == number) {
            Some((_, years, why)) => {
                years.push(made);
                why.push(&row.why);
            }
            None => numbers.push((number, vec![made], vec![&row.why])),
        }
    }
    for (number, years, why) in numbers {
        let item = Item::new(About::Recalled, &number, format!("recalled number {number}"));
        items.push(item.list("made", years).text("why", &why.join("; ")));
    }
    for row in &set.retention {
        let item = Item::new(About::Retention, &row.text, &row.text);
        items.push(item.clause(&row.clause, &row.source, row.confidence));
    }
    items.extend(set.cautions.iter().map(|text| Item::new(About::Caution, text, text)));
    items
}
