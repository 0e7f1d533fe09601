//! The cabinet's core held against published figures, an independent ledger, and what must never happen.

mod condemned;
mod ledger;
mod required;
mod types;
mod wrong;

use std::collections::HashMap;
use std::fmt::Write as _;
use std::sync::{Arc, Mutex};

use chrono::NaiveDate;

use super::{Ledger, Required, ledger as work_out, required as ask};
use crate::diag::Source;
use crate::round::entry::*;
use crate::round::state::State;
use crate::rules::builtin;
use crate::rules::judge::Judge;
use crate::rules::model::RuleSet;
use crate::trade::address::{AreaId, Heads};
use crate::trade::kind::Kind;
use crate::trade::register::Register;
use crate::trade::register_text;

/// A plain quick pendent of 155 °F and K5.6.
const PLAIN: &str = "orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6";

/// A site in the words of a register: kinds, areas and the rest as they are written there.
struct Text {
    rules: &'static str,
    site: String,
    kinds: String,
    areas: String,
    rest: String,
}

impl Text {
    fn new(rules: &'static str) -> Self {
        Self {
            rules,
            site: String::new(),
            kinds: String::new(),
            areas: String::new(),
            rest: "cabinets: {riser: {name: Valve room}}\n".to_owned(),
        }
    }

    /// A kind like the plain one but for what is named here.
    fn kind(mut self, id: &str, but: &str) -> Self {
        let _ = writeln!(self.kinds, "  {id}: {{{}}}", fields(but));
        self
    }

    /// An area of one line.
    fn area(mut self, id: &str, more: &str, line: &str) -> Self {
        let _ = writeln!(self.areas, "  {id}: {{name: {id}{more}, lines: ['{line}']}}");
        self
    }

    fn rest(mut self, text: &str) -> Self {
        text.clone_into(&mut self.rest);
        self
    }

    fn site(mut self, text: &str) -> Self {
        text.clone_into(&mut self.site);
        self
    }

    fn register(&self) -> Register {
        let text = format!(
            "format: headround site 1\nsite: {{id: 01KAVQ5R8Z0000000000000000, name: Quay, rules: {}{}}}\nkinds:\n{}areas:\n{}{}",
            self.rules, self.site, self.kinds, self.areas, self.rest
        );
        let (register, complaints) = register_text::read(&Source::new("t", text));
        assert!(complaints.is_empty(), "{complaints:?}");
        register.expect("a register")
    }

    fn state(&self, entries: Vec<Entry>) -> State {
        let register = self.register();
        let judge = if register.recalled.is_empty() {
            judge(self.rules)
        } else {
            Judge::new(set(self.rules), &register.recalled)
        };
        State::fold(register, entries, judge, None)
    }
}

/// The plain kind's fields, those named in `but` in place of its own.
fn fields(but: &str) -> String {
    let key = |field: &str| field.split(':').next().unwrap_or_default().trim().to_owned();
    let own: Vec<&str> = but.split(", ").filter(|f| !f.is_empty()).collect();
    let kept = PLAIN.split(", ").filter(|f| own.iter().all(|o| key(o) != key(f)));
    kept.chain(own.iter().copied()).collect::<Vec<_>>().join(", ")
}

fn set(name: &str) -> Arc<RuleSet> {
    static SETS: Mutex<Option<HashMap<String, Arc<RuleSet>>>> = Mutex::new(None);
    let mut sets = SETS.lock().unwrap();
    let sets = sets.get_or_insert_default();
    let load = || builtin::load(name).expect("a built-in set is sound");
    Arc::clone(sets.entry(name.to_owned()).or_insert_with(load))
}

/// A judge of a set without a recall of the site's own, made once.
fn judge(rules: &str) -> Judge {
    static JUDGES: Mutex<Option<HashMap<String, Judge>>> = Mutex::new(None);
    let mut judges = JUDGES.lock().unwrap();
    judges.get_or_insert_default().entry(rules.to_owned()).or_insert_with(|| Judge::new(set(rules), &[])).clone()
}

fn kind(but: &str) -> Kind {
    Text::new("nfpa25-2023").kind("k", but).area("a", "", "1 k").register().kinds.remove(0)
}

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn today() -> NaiveDate {
    day("2026-11-25")
}

fn stock(state: &State) -> (Ledger, Required) {
    let ledger = work_out(state);
    let required = ask(state, &ledger, today());
    (ledger, required)
}

fn heads(text: &str) -> Heads {
    Heads::parse(text).unwrap()
}

fn area(text: &str) -> AreaId {
    AreaId::parse(text).unwrap()
}

/// Entry number `n`, by `by`, in `round`.
fn entry(n: u128, by: &str, round: &str, what: What) -> Entry {
    Entry {
        id: id(n),
        at: chrono::DateTime::parse_from_rfc3339("2026-11-25T09:00:00-05:00").unwrap(),
        by: Arc::from(by),
        round: Arc::from(round),
        what,
        marks: None,
    }
}

fn id(n: u128) -> Id {
    Id(0x019a_0000_0000_0000_0000_0000_0000_0000 + (n << 40))
}

/// Entries of one person in the round of 2026, numbered from 1; its begin stands before them.
fn round(list: impl IntoIterator<Item = What>) -> Vec<Entry> {
    let mut entries = vec![entry(0, "ines", "2026", begin("2026-11-25"))];
    entries.extend(list.into_iter().enumerate().map(|(n, what)| entry(n as u128 + 1, "ines", "2026", what)));
    entries
}

fn begin(date: &str) -> What {
    What::Begin(Box::new(Begin {
        date: date.parse().unwrap(),
        inspector: "Ines Tidewell".into(),
        licence: "PT-118".into(),
        purpose: "annual inspection".into(),
        scope: String::new(),
        rules: None,
    }))
}

/// `6 qr, 2 up` as kinds and numbers.
fn spares(text: &str) -> std::collections::BTreeMap<String, u32> {
    let parts = text.split(", ").filter(|p| !p.is_empty());
    parts.map(|p| p.split_once(' ').map(|(n, k)| (k.to_owned(), n.parse().unwrap())).expect(p)).collect()
}

fn counted(cabinet: &str, held: &str, unfit: &str) -> What {
    let (held, unfit) = (spares(held), spares(unfit));
    What::Counted(Box::new(Counted { cabinet: area(cabinet), held, unfit, note: None }))
}

fn moved(cabinet: &str, n: u32, kind: &str, way: Way) -> What {
    What::Moved(Box::new(Moved { cabinet: area(cabinet), kind: kind.into(), n, way, head: None, note: None }))
}

fn replaced(head: &str, kind: &str, from: Option<&str>) -> What {
    What::Did(Box::new(Did {
        head: heads(head),
        did: Deed::Replaced,
        kind: Some(kind.into()),
        from: from.map(area),
        who: None,
        note: None,
    }))
}

fn posted(cabinet: &str, keep: &str) -> What {
    What::Posted(Box::new(Posted { cabinet: area(cabinet), date: today(), keep: spares(keep) }))
}
