//! One rule in plain text: what it looks for, why it matters, what to do and never to do, where it stands, how far it can
//! be relied on, and its cases. It lays out; the words are the rule file's.

use std::fmt::Write as _;

use super::facts::{Field, setting_bit};
use super::model::{Case, Cond, ExtentIx, PartIx, Rule, RuleIx, RuleSet, bit8, bit16};
use crate::trade::kind::Applied;
use crate::trade::register::Setting;

/// The columns that text is wrapped to.
const WIDTH: usize = 78;

/// One condition in words.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Asked {
    /// What is asked about: `part`, `setting`, `mount` ….
    pub field: &'static str,
    /// The accepted values, by name where the set names them.
    pub values: Vec<String>,
}

/// What a rule asks: its conditions, and those that must not hold together.
#[must_use]
pub fn conditions(set: &RuleSet, rule: &Rule) -> (Vec<Asked>, Vec<Asked>) {
    let signs = rule.when.signs.iter().filter_map(|s| set.sign_at(*s)).map(|s| s.name.clone()).collect();
    let sign = if rule.when.any_sign { vec!["any".to_owned()] } else { signs };
    let mut all = vec![Asked { field: "sign", values: sign }];
    all.extend(asked(set, &rule.when.all));
    (all, rule.when.unless.as_ref().map(|u| asked(set, u)).unwrap_or_default())
}

fn asked(set: &RuleSet, cond: &Cond) -> Vec<Asked> {
    let mut found = Vec::new();
    let mut put = |field: &'static str, values: Vec<String>| found.push(Asked { field, values });
    if cond.part != u16::MAX {
        let parts = (0u8..).zip(&set.parts).filter(|(i, _)| cond.part & bit16(*i) != 0);
        put("part", parts.map(|(_, w)| w.name.clone()).collect());
    }
    if cond.extent != u8::MAX {
        let extents = (0u8..).zip(&set.extents).filter(|(i, _)| cond.extent & bit8(*i) != 0);
        put("extent", extents.map(|(_, w)| w.name.clone()).collect());
    }
    if cond.applied != u8::MAX {
        let origins = Applied::ALL.iter().filter(|a| cond.applied & bit8(**a as u8) != 0);
        put("origin", origins.map(ToString::to_string).collect());
    }
    for field in Field::ALL {
        let bits = cond.field(*field);
        if bits != u16::MAX {
            let words = (0u8..).zip(field.words()).filter(|(i, _)| bits & bit16(*i) != 0);
            put(field.as_str(), words.map(|(_, w)| w.to_owned()).collect());
        }
    }
    if cond.setting != 0 {
        let settings = Setting::ALL.iter().filter(|s| cond.setting & setting_bit(**s) != 0);
        put("setting", settings.map(ToString::to_string).collect());
    }
    found
}

/// Explains one rule; `None` for an index outside the set.
#[must_use]
pub fn explain(set: &RuleSet, ix: RuleIx) -> Option<String> {
    let rule = set.rule_at(ix)?;
    let mut text = String::new();
    wrap(&mut text, &format!("{}: {}", rule.id, rule.title), "", "  ");
    let _ = writeln!(text, "{}", set.edition);
    let class = rule.class.map_or_else(|| "no finding".to_owned(), |c| c.to_string());
    let _ = writeln!(text, "\nRuling: {} ({class})", rule.ruling);
    let (all, unless) = conditions(set, rule);
    let _ = writeln!(text, "\nWhat it looks for");
    for one in &all {
        item(&mut text, &format!("{}: {}", one.field, one.values.join(", ")));
    }
    if !unless.is_empty() {
        let words: Vec<String> = unless.iter().map(|a| format!("{} {}", a.field, a.values.join(" or "))).collect();
        item(&mut text, &format!("but not where: {}", words.join(", and ")));
    }
    section(&mut text, "Why it matters", &rule.because);
    section(&mut text, "What to do", &rule.remedy);
    if let Some(never) = &rule.never {
        section(&mut text, "What never to do", never);
    }
    if let Some(contested) = &rule.contested {
        section(&mut text, "Contested", contested);
    }
    section(
        &mut text,
        "Where it stands",
        &format!("Clause {}. Source: {}. Confidence {} ({}).", rule.clause, rule.source, rule.marks(), rule.reliance()),
    );
    let mut beside = Vec::new();
    if rule.also {
        beside.push("It speaks beside the rule that decides, and decides nothing alone.".to_owned());
    }
    let named = |list: Vec<&str>| list.join(", ");
    let below: Vec<&str> = rule.over.iter().filter_map(|o| set.rule_at(*o)).map(|r| r.id.as_str()).collect();
    if !below.is_empty() {
        beside.push(format!("Where it holds, these are silent: {}.", named(below)));
    }
    let above: Vec<&str> = set.rules.iter().filter(|r| r.over.contains(&ix)).map(|r| r.id.as_str()).collect();
    if !above.is_empty() {
        beside.push(format!("It is silent where these hold: {}.", named(above)));
    }
    if !beside.is_empty() {
        section(&mut text, "Beside other rules", &beside.join(" "));
    }
    for (holds, title) in [(true, "Cases"), (false, "Near misses")] {
        let cases: Vec<&Case> = rule.cases.iter().filter(|c| c.holds == holds).collect();
        if !cases.is_empty() {
            let _ = writeln!(text, "\n{title}");
            for case in cases {
                item(&mut text, &case_words(set, case));
            }
        }
    }
    Some(text)
}

/// A case in one line: what is seen, the combination, the set's ruling.
#[must_use]
pub fn case_words(set: &RuleSet, case: &Case) -> String {
    let sign = set.sign_at(case.sign).map_or("?", |s| s.name.as_str());
    let part = |p: PartIx| set.part_at(p).map_or("?", |w| w.name.as_str());
    let extent = |e: ExtentIx| set.extent_at(e).map_or("?", |w| w.name.as_str());
    let mut words = vec![sign.to_owned()];
    if set.sign_at(case.sign).is_some_and(|s| s.parts.len() > 1) {
        words.push(part(case.part).to_owned());
    }
    if set.sign_at(case.sign).is_some_and(|s| s.extents.len() > 1) {
        words.push(extent(case.extent).to_owned());
    }
    if let Some(applied) = case.applied {
        words.push(format!("origin {applied}"));
    }
    words.extend(case.facts.words());
    format!("{} ({}): {}", case.see, words.join(", "), case.ruling)
}

fn section(text: &mut String, title: &str, body: &str) {
    let _ = writeln!(text, "\n{title}");
    wrap(text, body, "  ", "  ");
}

fn item(text: &mut String, body: &str) {
    wrap(text, body, "  - ", "    ");
}

/// Writes words wrapped to [`WIDTH`] columns; widths are those of a terminal.
pub(super) fn wrap(text: &mut String, body: &str, first: &str, rest: &str) {
    let width = unicode_width::UnicodeWidthStr::width;
    let mut line = first.to_owned();
    let mut empty = true;
    for word in crate::diag::plain(body).split_whitespace() {
        if !empty && width(line.as_str()) + 1 + width(word) > WIDTH {
            let _ = writeln!(text, "{line}");
            rest.clone_into(&mut line);
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    let _ = writeln!(text, "{line}");
}
