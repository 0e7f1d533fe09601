//! The page of one set: its rules by sign, its duties as tables. What differs from the set it extends is marked.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use super::super::compare::{Side, compare};
use super::super::explain::conditions;
use super::super::model::{Rule, RuleSet, Seen, Sign, SignIx};
use super::duties::{Row, Section, sections};
use super::{CAUTION, GENERATED, md, ruling_words, table};

/// Marks what differs from the set that is extended.
const DIFFERS: &str = "◆";

/// What differs from the set that is extended: fields by rule, and what only one of the two has.
struct Differences<'a> {
    parent: &'a RuleSet,
    changed: BTreeMap<String, Vec<String>>,
    added: Vec<String>,
    dropped: Vec<(String, String)>,
}

impl<'a> Differences<'a> {
    fn of(set: &RuleSet, parent: &'a RuleSet) -> Self {
        let mut it = Self { parent, changed: BTreeMap::new(), added: Vec::new(), dropped: Vec::new() };
        for change in compare(parent, set).rules {
            match change.only_in {
                Some(Side::From) => it.dropped.push((change.word, change.title)),
                Some(Side::To) => it.added.push(change.word),
                None => {
                    let mut fields: Vec<String> = change.fields.into_iter().map(|f| f.field).collect();
                    fields.iter_mut().filter(|f| *f == "confidence").for_each(|f| *f = "mark".to_owned());
                    fields
                        .iter_mut()
                        .filter(|f| *f == "class confidence")
                        .for_each(|f| *f = "mark of the class".to_owned());
                    it.changed.insert(change.word, fields);
                }
            }
        }
        it
    }

    /// What is said of a rule that differs.
    fn words(&self, rule: &str) -> Option<String> {
        if self.added.iter().any(|r| r == rule) {
            return Some("new".to_owned());
        }
        self.changed.get(rule).map(|fields| fields.join(", "))
    }
}

/// The page of a set; `parent` is the set that it extends.
pub(super) fn page(set: &RuleSet, parent: Option<&RuleSet>) -> String {
    let differences = parent.map(|p| Differences::of(set, p));
    let mut t = format!("# {}\n\n{GENERATED}\n\n{CAUTION}\n\n", md(&set.title));
    let _ = writeln!(
        t,
        "Set `{}`, after {}. {} rules. [What the marks mean](README.md#how-far-a-rule-can-be-relied-on).",
        set.name,
        md(&set.edition),
        set.rules.len()
    );
    if let Some(d) = &differences {
        let _ = writeln!(
            t,
            "\nIt extends [`{0}`]({0}.md). What differs from there is marked {DIFFERS}; everything is told in full.",
            d.parent.name
        );
    }
    if !set.cautions.is_empty() {
        t.push_str("\n## Cautions\n\n");
        for caution in &set.cautions {
            let _ = writeln!(t, "- {}", md(caution));
        }
    }
    if let Some(d) = &differences {
        overview(&mut t, set, d);
    }
    t.push_str("\n## Signs and rules\n");
    for (ix, sign) in (0u8..).map(SignIx).zip(&set.signs) {
        let rules: Vec<&Rule> =
            set.rules.iter().filter(|r| !r.when.any_sign && r.when.signs.first() == Some(&ix)).collect();
        of_sign(&mut t, set, sign, &rules, differences.as_ref());
    }
    let any: Vec<&Rule> = set.rules.iter().filter(|r| r.when.any_sign).collect();
    if !any.is_empty() {
        t.push_str("\n### Any sign\n\nWhatever an eye sees.\n");
        rules_of(&mut t, set, &any, differences.as_ref());
    }
    let theirs = parent.map(sections).unwrap_or_default();
    for section in sections(set) {
        let same = theirs.iter().find(|s| s.heading == section.heading);
        duty(&mut t, &section, parent.map(|p| (p, same)));
    }
    impairment(&mut t, set);
    t
}

/// The rules that differ, at a glance.
fn overview(t: &mut String, set: &RuleSet, d: &Differences<'_>) {
    let _ = writeln!(t, "\n## What differs from `{}`\n", d.parent.name);
    let mut rows: Vec<Vec<String>> = set
        .rules
        .iter()
        .filter_map(|rule| {
            let words = d.words(&rule.id)?;
            let was = d.parent.rule(&rule.id).and_then(|ix| d.parent.rule_at(ix));
            let was = was.map_or_else(|| "–".to_owned(), |r| ruling_words(r.ruling, r.class));
            let is = ruling_words(rule.ruling, rule.class);
            let ruling = if was == is { is } else { format!("**{is}** ({was})") };
            Some(vec![format!("[{0}](#{0})", rule.id), ruling, md(&words)])
        })
        .collect();
    // Other rulings first: they are what changes on the walk.
    rows.sort_by_key(|cells| !cells.get(1).is_some_and(|ruling| ruling.starts_with("**")));
    if rows.is_empty() {
        t.push_str("No rule differs.\n");
    } else {
        let there = format!("ruling ({})", d.parent.name);
        table(t, &["rule", &there, "what differs"], &rows);
    }
    if !d.dropped.is_empty() {
        let words: Vec<String> = d.dropped.iter().map(|(word, title)| format!("`{word}` ({})", md(title))).collect();
        let _ = writeln!(t, "\nNot in this set: {}.", words.join(", "));
    }
}

fn of_sign(t: &mut String, set: &RuleSet, sign: &Sign, rules: &[&Rule], d: Option<&Differences<'_>>) {
    let _ = writeln!(t, "\n### Sign: {}\n\n{} (`{}`): {}.", md(&sign.id), md(&sign.name), sign.id, md(&sign.hint));
    match sign.seen {
        Seen::Eye => {
            let letter = sign.key.map_or_else(|| "reached by the menu".to_owned(), |k| format!("letter `{k}`"));
            let parts: Vec<String> = sign.parts.iter().filter_map(|p| set.part_at(*p)).map(|w| md(&w.name)).collect();
            let extents = sign.extents.iter().enumerate().filter_map(|(at, e)| {
                let word = set.extent_at(*e)?;
                let hint = sign.extent_hints.get(at).filter(|h| !h.is_empty()).unwrap_or(&word.hint);
                Some(format!("{} ({})", md(&word.name), md(hint)))
            });
            let _ = writeln!(
                t,
                "On the walk: {letter}. Parts: {}. Extents: {}.",
                parts.join(", "),
                extents.collect::<Vec<_>>().join("; ")
            );
            if sign.ask_applied {
                t.push_str("Who applied the finish is asked.\n");
            }
        }
        Seen::Register => t.push_str("It follows from the register alone.\n"),
        Seen::Doubt => t.push_str("It stands for a head that was in sight and could not be judged.\n"),
        Seen::Compartment => t.push_str("It follows from the kinds that hang in one compartment.\n"),
    }
    if sign.otherwise_keep {
        t.push_str("Where no rule holds there is nothing to say.\n");
    }
    if !rules.is_empty() {
        rules_of(t, set, rules, d);
    }
}

fn rules_of(t: &mut String, set: &RuleSet, rules: &[&Rule], d: Option<&Differences<'_>>) {
    let rows: Vec<Vec<String>> = rules
        .iter()
        .map(|r| {
            let mut cells = vec![
                format!("[{0}](#{0})", r.id),
                format!("**{}**", r.ruling),
                r.class.map_or_else(|| "–".to_owned(), |c| c.to_string()),
                md(&r.clause),
                r.marks(),
            ];
            if let Some(d) = d {
                cells.push(d.words(&r.id).map_or_else(String::new, |_| DIFFERS.to_owned()));
            }
            cells
        })
        .collect();
    t.push('\n');
    let mut head = vec!["rule", "ruling", "class", "clause", "mark"];
    if d.is_some() {
        head.push(DIFFERS);
    }
    table(t, &head, &rows);
    for r in rules {
        rule(t, set, r, d);
    }
}

fn rule(t: &mut String, set: &RuleSet, it: &Rule, d: Option<&Differences<'_>>) {
    let _ = writeln!(
        t,
        "\n#### {}\n\n{}: **{}**{}. Clause {}. Mark {}.\n",
        it.id,
        md(&it.title),
        it.ruling,
        it.class.map_or_else(String::new, |c| format!(", {c}")),
        md(&it.clause),
        it.marks()
    );
    let mut item = |what: &str, text: &str| {
        let _ = writeln!(t, "- **{what}:** {}", md(text));
    };
    let (all, unless) = conditions(set, it);
    let signs = if it.when.any_sign || it.when.signs.len() > 1 { 0 } else { 1 };
    let asked: Vec<String> = all.iter().skip(signs).map(|a| format!("{} {}", a.field, a.values.join(" or "))).collect();
    item(
        "Looks for",
        if asked.is_empty() { "the sign, wherever and however much".to_owned() } else { asked.join("; ") }.as_str(),
    );
    if !unless.is_empty() {
        let words: Vec<String> = unless.iter().map(|a| format!("{} {}", a.field, a.values.join(" or "))).collect();
        item("Not where", &words.join(" and "));
    }
    item("Why", &it.because);
    item("Do", &it.remedy);
    if let Some(never) = &it.never {
        item("Never", never);
    }
    if let Some(contested) = &it.contested {
        item("Contested", contested);
    }
    item("Source", &it.source);
    if it.also {
        item("Beside", "it speaks beside the rule that decides, and decides nothing alone");
    }
    let over: Vec<&str> = it.over.iter().filter_map(|o| set.rule_at(*o)).map(|r| r.id.as_str()).collect();
    if !over.is_empty() {
        item("Silent where it holds", &over.join(", "));
    }
    if let Some((d, words)) = d.and_then(|d| Some((d, d.words(&it.id)?))) {
        let words = if words == "new" { "not there".to_owned() } else { words };
        let _ = writeln!(t, "- {DIFFERS} **From `{}`:** {}", d.parent.name, md(&words));
    }
}

/// A row beside the same one of the set that is extended, if that has it.
fn row_differs(row: &Row, section: &Section, theirs: Option<&Section>) -> Option<String> {
    match theirs.and_then(|s| s.rows.iter().find(|r| r.word == row.word)) {
        None => Some("not there".to_owned()),
        Some(other) => {
            let fields = row.differs_from(other, section.columns);
            (!fields.is_empty()).then(|| fields.join(", "))
        }
    }
}

fn duty(t: &mut String, section: &Section, parent: Option<(&RuleSet, Option<&Section>)>) {
    let _ = writeln!(t, "\n## {}\n", section.heading);
    if !section.about.is_empty() {
        let _ = writeln!(t, "{}\n", section.about);
    }
    let differs = |row: &Row| parent.and_then(|(_, theirs)| row_differs(row, section, theirs));
    let rows: Vec<Vec<String>> = section
        .rows
        .iter()
        .map(|row| {
            let mut cells = vec![md(&row.word)];
            cells.extend(row.cells.iter().map(|c| md(c)));
            cells.extend([md(&row.basis.clause), row.basis.confidence.to_string()]);
            if parent.is_some() {
                cells.push(differs(row).map_or_else(String::new, |_| DIFFERS.to_owned()));
            }
            cells
        })
        .collect();
    let mut head = section.columns.to_vec();
    head.extend(["clause", "mark"]);
    if parent.is_some() {
        head.push(DIFFERS);
    }
    table(t, &head, &rows);
    t.push('\n');
    notes(t, section, &differs, parent.map(|(p, _)| p.name.as_str()));
    if let Some((p, Some(theirs))) = parent {
        let gone: Vec<String> = theirs
            .rows
            .iter()
            .filter(|r| !section.rows.iter().any(|own| own.word == r.word))
            .map(|r| md(&r.word))
            .collect();
        if !gone.is_empty() {
            let _ = writeln!(t, "\n{DIFFERS} Only in `{}`: {}.", p.name, gone.join("; "));
        }
    }
}

/// Reasons and sources below a table; rows with the same ones stand together.
fn notes(t: &mut String, section: &Section, differs: &dyn Fn(&Row) -> Option<String>, parent: Option<&str>) {
    let mut told: Vec<(String, Vec<String>)> = Vec::new();
    for row in &section.rows {
        let mut text = String::new();
        if let Some(why) = &row.why {
            let _ = write!(text, "{} ", md(why));
        }
        let _ = write!(text, "Source: {}.", md(row.basis.source.trim_end_matches('.')));
        if let (Some(words), Some(parent)) = (differs(row), parent) {
            let _ = write!(text, " {DIFFERS} From `{parent}`: {}.", md(&words));
        }
        match told.iter_mut().find(|(known, _)| *known == text) {
            Some((_, words)) => words.push(row.short()),
            None => told.push((text, vec![row.short()])),
        }
    }
    for (text, words) in told {
        let words =
            if words.len() == section.rows.len() { String::new() } else { format!("**{}**: ", md(&words.join("; "))) };
        let _ = writeln!(t, "- {words}{text}");
    }
}

fn impairment(t: &mut String, set: &RuleSet) {
    let it = &set.impairment;
    if !it.tell.is_empty() || !it.steps.is_empty() {
        t.push_str("\n## In an impairment\n");
    }
    if !it.tell.is_empty() {
        let _ = writeln!(t, "\nTell, in this order: {}.\n", md(&it.tell.join("; ")));
    }
    for (number, step) in (1..).zip(&it.steps) {
        let _ = writeln!(t, "{number}. {}", md(step));
    }
    if !set.recalled.is_empty() {
        t.push_str("\n## Recalled numbers\n\n");
        let rows: Vec<Vec<String>> = set
            .recalled
            .iter()
            .map(|r| {
                let made = r.made.map_or_else(|| "every year".to_owned(), |(a, b)| format!("{a} to {b}"));
                vec![md(&r.number), made, md(&r.why)]
            })
            .collect();
        table(t, &["number", "made", "why"], &rows);
    }
}
