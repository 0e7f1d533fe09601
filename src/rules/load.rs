//! Reads a rule file: vocabulary, rules and duties, with every complaint placed, and hands a sound set out compiled.
//! What is wrong between rules is `lint`'s concern; how one rule is read is `load_rule`'s.

use std::collections::{HashMap, HashSet};
use std::ops::Range;
use std::sync::Arc;

use super::lint;
use super::lint_rows;
use super::load_amend as amend;
use super::load_duties::read_duties;
use super::load_rows::{Row, Rows, read_rows};
use super::load_rule::{each, read_rule};
use super::load_words::{read_sign, read_word};
use super::model::{
    ClassMeaning, Clearance, Duty, Excuse, ImpairmentDuty, Rule, RuleIx, RuleSet, Seen, Sign, SignIx, Word,
};
use super::table::{MAX_EXTENTS, MAX_PARTS, build};
use crate::diag::tree::{self, Fields, Limits, Node, Value};
use crate::diag::{Diagnostic, Source, nearest, plain};
use crate::trade::register::Recall;
use crate::trade::words::unknown;

/// The first value of every rule file.
pub const FORMAT: &str = "headround rules 1";

/// Letters that a sign may use in the walk; the others belong to its commands.
pub const SIGN_KEYS: &str = "lcdfoptbeshgirm";

/// How many sets may extend one another.
const MAX_CHAIN: usize = 8;
/// How many complaints are collected; a text with more is not one that a person mends line by line.
pub(crate) const MOST_COMPLAINTS: usize = 200;
const MAX_SIGNS: usize = 64;
const MAX_RULES: usize = 5_000;
const MAX_CASES: usize = 100_000;

/// Something that was declared, with the place where.
#[derive(Clone, Debug)]
pub(crate) struct Placed<T> {
    pub it: T,
    pub source: Arc<Source>,
    pub span: Range<usize>,
}

/// Where a rule was written.
#[derive(Clone, Debug)]
pub(crate) struct RulePlace {
    pub source: Arc<Source>,
    pub span: Range<usize>,
    /// The rules it is over, by word: they may stand further down.
    pub over: Vec<Placed<String>>,
    /// The file its cases stand in.
    pub cases_source: Arc<Source>,
    pub cases: Vec<Range<usize>>,
    /// How many `extends` away the file is that its cases were written in; 0: the file that is read.
    pub depth: usize,
    /// Where an amendment changed its conditions without bringing cases.
    pub bare: Option<(Arc<Source>, Range<usize>)>,
}

/// A set while it is put together.
#[derive(Clone, Debug, Default)]
pub(crate) struct Draft {
    pub name: String,
    pub title: String,
    pub edition: String,
    pub extends: Vec<String>,
    pub parts: Vec<Placed<Word>>,
    pub extents: Vec<Placed<Word>>,
    pub signs: Vec<Placed<Sign>>,
    pub rules: Vec<(Rule, RulePlace)>,
    pub cautions: Vec<String>,
    pub impairment: ImpairmentDuty,
    pub recalled: Vec<Recall>,
    pub clearances: Vec<Clearance>,
    pub classes: Vec<ClassMeaning>,
    pub unreached: Vec<Excuse>,
    pub retention: Vec<Duty>,
    pub rows: Rows,
    /// Inherited rules that were left out: what is missing for want of them is told where they were dropped.
    pub dropped: Vec<Dropped>,
}

/// An inherited rule that was left out.
#[derive(Clone, Debug)]
pub(crate) struct Dropped {
    pub rule: Rule,
    pub source: Arc<Source>,
    pub span: Range<usize>,
}

/// Reads a rule set; `resolve` finds the file of a set that it extends.
///
/// # Errors
/// Every complaint about the text; when there is none, every finding of the exhaustive check: combinations that no
/// rule decides, contradictions, rules that never speak, cases that do not come out.
pub fn read(source: &Arc<Source>, resolve: &dyn Fn(&str) -> Option<Arc<Source>>) -> Result<RuleSet, Vec<Diagnostic>> {
    compile(draft(source, resolve)?)
}

/// Reads a set's text and those it extends, up to the point where the rules stand side by side.
pub(crate) fn draft(
    source: &Arc<Source>,
    resolve: &dyn Fn(&str) -> Option<Arc<Source>>,
) -> Result<Draft, Vec<Diagnostic>> {
    let mut out = Vec::new();
    let mut draft = Draft::default();
    read_into(&mut draft, source, resolve, &mut Vec::new(), &mut out);
    if out.is_empty() {
        finish(&mut draft, &mut out);
    }
    if out.is_empty() { Ok(draft) } else { Err(in_order(out)) }
}

/// Complaints as one mends them: file by file, from the top; never more than a person reads.
fn in_order(mut out: Vec<Diagnostic>) -> Vec<Diagnostic> {
    out.truncate(MOST_COMPLAINTS);
    let mut files: Vec<String> = Vec::new();
    for it in &out {
        if !files.contains(&it.file) {
            files.push(it.file.clone());
        }
    }
    out.sort_by_key(|it| {
        let place = it.place.as_ref().map_or((0, 0), |p| (p.line, p.column));
        (files.iter().position(|f| *f == it.file), place)
    });
    out
}

/// Checks a draft exhaustively and compiles it.
pub(crate) fn compile(mut draft: Draft) -> Result<RuleSet, Vec<Diagnostic>> {
    let mut out = Vec::new();
    let signs: Vec<Sign> = draft.signs.iter().map(|p| p.it.clone()).collect();
    let rules: Vec<Rule> = draft.rules.iter().map(|(r, _)| r.clone()).collect();
    let (table, faults) = build(&signs, &rules);
    lint::report(&draft, &table, &faults, &mut out);
    lint_rows::report(&mut draft.rows, &mut out);
    if !out.is_empty() {
        return Err(in_order(out));
    }
    lint::refresh_cases(&mut draft, &table);
    let rules = draft.rules.into_iter().map(|(r, _)| r).collect();
    Ok(RuleSet {
        name: draft.name,
        title: draft.title,
        edition: draft.edition,
        extends: draft.extends,
        signs,
        parts: draft.parts.into_iter().map(|p| p.it).collect(),
        extents: draft.extents.into_iter().map(|p| p.it).collect(),
        rules,
        cautions: draft.cautions,
        impairment: draft.impairment,
        recalled: draft.recalled,
        clearances: draft.clearances,
        classes: draft.classes,
        unreached: draft.unreached,
        retention: draft.retention,
        duties: draft.rows.into_duties(),
        table: Arc::new(table),
    })
}

fn read_into(
    draft: &mut Draft,
    source: &Arc<Source>,
    resolve: &dyn Fn(&str) -> Option<Arc<Source>>,
    chain: &mut Vec<String>,
    out: &mut Vec<Diagnostic>,
) {
    let node = match tree::read(source, Limits::SMALL) {
        Ok(node) => node,
        Err(error) => {
            out.push(*error);
            return;
        }
    };
    let mut top = Fields::of(source, &node, "a rule set", out);
    let format = top.need_parse("format", out, |t| {
        if t == FORMAT { Ok(()) } else { Err(format!("'{}' is not '{FORMAT}'", plain(t))) }
    });
    if format.is_none() {
        // Of an unknown format nothing else can be understood; one complaint is enough.
        return;
    }
    let name = top.need_parse("name", out, word).unwrap_or_default();
    let title = top.need_text("title", out).unwrap_or_default();
    chain.push(name.clone());
    let parent = top.take("extends");
    if let Some(parent) = parent {
        let complaints = out.len();
        extend(draft, source, parent, resolve, chain, out);
        if out.len() > complaints {
            // Of what is not read nothing is inherited, and every line of this file would be found wrong.
            return;
        }
    }
    if parent.is_none() {
        for key in ["amend", "settle", "drop", "fresh", "drop_rows"] {
            if let Some(node) = top.take(key) {
                out.push(
                    Diagnostic::error(
                        "nothing-inherited",
                        source,
                        node.span.clone(),
                        format!("'{key}' changes what is inherited, and the set extends none"),
                    )
                    .help("name the set under 'extends:', or leave this out"),
                );
            }
        }
    }
    // A set that extends another is of its edition unless it says otherwise.
    let edition = if parent.is_some() { top.text("edition", out) } else { top.need_text("edition", out) };
    if parent.is_some() {
        let above = std::mem::take(&mut draft.name);
        draft.extends.insert(0, above);
    }
    // A set that names no edition is one's own: what it says is not the edition's word.
    draft.edition = match edition {
        Some(edition) => edition,
        None if draft.edition.is_empty() || title.is_empty() => std::mem::take(&mut draft.edition),
        None => format!("{title}, on {}", draft.edition),
    };
    draft.name = name;
    draft.title = title;
    for item in section(source, &mut top, "parts", out) {
        if enough(out) {
            break;
        }
        if let Some(it) = read_word(source, item, "part", out) {
            put(&mut draft.parts, it, |w| &w.id, "part", MAX_PARTS, out);
        }
    }
    for item in section(source, &mut top, "extents", out) {
        if enough(out) {
            break;
        }
        if let Some(it) = read_word(source, item, "extent", out) {
            put(&mut draft.extents, it, |w| &w.id, "extent", MAX_EXTENTS, out);
        }
    }
    for item in section(source, &mut top, "signs", out) {
        if enough(out) {
            break;
        }
        if let Some(it) = read_sign(draft, source, item, out) {
            put(&mut draft.signs, it, |s| &s.id, "sign", MAX_SIGNS, out);
        }
    }
    // Before anything of this file that begins afresh is added.
    let begun = amend::start_afresh(draft, source, &mut top, out);
    let cautions = top.list("cautions", out, |t| Ok(t.to_owned()));
    draft.cautions.extend(cautions);
    if let Some(node) = top.take("drop") {
        each(source, node, "drop", out, |id| {
            if let Some(at) = draft.rules.iter().position(|(r, _)| r.id == id) {
                let (rule, _) = draft.rules.remove(at);
                draft.dropped.push(Dropped { rule, source: Arc::clone(source), span: node.span.clone() });
                return Ok(());
            }
            let known: Vec<&str> = draft.rules.iter().map(|(r, _)| r.id.as_str()).collect();
            Err(unknown("rule of the extended set", id, &known))
        });
    }
    for (_, place) in &mut draft.rules {
        place.depth += 1;
    }
    draft.rows.inherited();
    for item in section(source, &mut top, "amend", out) {
        if enough(out) {
            break;
        }
        amend::amend(draft, source, item, out);
    }
    if let Some(node) = top.take("settle") {
        amend::settle(draft, source, node, out);
    }
    for item in section(source, &mut top, "rules", out) {
        if enough(out) {
            break;
        }
        if let Some((rule, place)) = read_rule(draft, source, item, out) {
            put_rule(draft, rule, place, out);
        }
    }
    read_duties(draft, source, &mut top, out);
    read_rows(draft, source, &mut top, out);
    amend::still_empty(draft, source, &begun, out);
    top.finish(out);
}

/// Whether so much is wrong already that nothing more is looked for.
pub(crate) fn enough(out: &[Diagnostic]) -> bool {
    out.len() >= MOST_COMPLAINTS
}

/// The items of a list field.
pub(crate) fn section<'a>(
    source: &Arc<Source>,
    f: &mut Fields<'a>,
    key: &'static str,
    out: &mut Vec<Diagnostic>,
) -> &'a [Node] {
    match f.take(key) {
        None => &[],
        Some(Node { value: Value::List(items), .. }) => items,
        Some(other) => {
            out.push(Diagnostic::error(
                "wrong-type",
                source,
                other.span.clone(),
                format!("'{key}' must be a list, not {}", other.what()),
            ));
            &[]
        }
    }
}

fn extend(
    draft: &mut Draft,
    source: &Arc<Source>,
    parent: &Node,
    resolve: &dyn Fn(&str) -> Option<Arc<Source>>,
    chain: &mut Vec<String>,
    out: &mut Vec<Diagnostic>,
) {
    let Some(name) = tree::parse_node(source, parent, "extends", out, word) else { return };
    if chain.contains(&name) || chain.len() >= MAX_CHAIN {
        let ring = chain.contains(&name);
        chain.push(name);
        let names = chain.join(" -> ");
        let (message, help) = if ring {
            (format!("the sets extend one another without end: {names}"), "let one of them stand on its own".to_owned())
        } else {
            let message = format!("more than {MAX_CHAIN} sets are chained: {names}");
            (message, "let one of them extend a set further down".to_owned())
        };
        out.push(Diagnostic::error("extends-cycle", source, parent.span.clone(), message).help(help));
        return;
    }
    let Some(found) = resolve(&name) else {
        out.push(
            Diagnostic::error(
                "unknown-set",
                source,
                parent.span.clone(),
                format!("there is no rule set called '{}'", plain(&name)),
            )
            .help("name a built-in set, or put the file beside this one"),
        );
        return;
    };
    read_into(draft, &found, resolve, chain, out);
}

/// Reads a word of a rule file: lower-case letters, digits and hyphens, at most 60.
///
/// # Errors
/// A sentence when it is none.
pub fn word(text: &str) -> Result<String, String> {
    let fine = !text.is_empty()
        && text.len() <= 60
        && text.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
        && !text.starts_with('-');
    if fine {
        Ok(text.to_owned())
    } else {
        let shown: String = plain(text).chars().take(40).collect();
        Err(format!("'{shown}' is no word; use lower-case letters, digits and hyphens, at most 60"))
    }
}

/// Adds a declaration, or puts it in the place of an inherited one of the same word.
fn put<T>(
    list: &mut Vec<Placed<T>>,
    it: Placed<T>,
    id: impl Fn(&T) -> &String,
    what: &str,
    most: usize,
    out: &mut Vec<Diagnostic>,
) {
    if let Some(known) = list.iter_mut().find(|p| id(&p.it) == id(&it.it)) {
        if Arc::ptr_eq(&known.source, &it.source) {
            out.push(
                Diagnostic::error(
                    "repeated-word",
                    &it.source,
                    it.span.clone(),
                    format!("the {what} '{}' is declared twice", id(&it.it)),
                )
                .and_at(known.span.clone(), "first here"),
            );
        } else {
            *known = it;
        }
    } else if list.len() >= most {
        out.push(Diagnostic::error(
            "too-many",
            &it.source,
            it.span.clone(),
            format!("a set declares at most {most} {what}s"),
        ));
    } else {
        list.push(it);
    }
}

fn put_rule(draft: &mut Draft, rule: Rule, place: RulePlace, out: &mut Vec<Diagnostic>) {
    let cases: usize = draft.rules.iter().map(|(r, _)| r.cases.len()).sum();
    if let Some(known) = draft.rules.iter_mut().find(|(r, _)| r.id == rule.id) {
        if Arc::ptr_eq(&known.1.source, &place.source) {
            out.push(
                Diagnostic::error(
                    "repeated-word",
                    &place.source,
                    place.span.clone(),
                    format!("the rule '{}' stands twice", rule.id),
                )
                .and_at(known.1.span.clone(), "first here"),
            );
        } else {
            *known = (rule, place);
        }
    } else if draft.rules.len() >= MAX_RULES || cases + rule.cases.len() > MAX_CASES {
        if !out.iter().any(|d| d.code == "too-many") {
            out.push(Diagnostic::error(
                "too-many",
                &place.source,
                place.span,
                format!("a set holds at most {MAX_RULES} rules and {MAX_CASES} cases"),
            ));
        }
    } else {
        draft.rules.push((rule, place));
    }
}

pub(crate) fn position(words: &[&str], text: &str) -> Option<u8> {
    words.iter().position(|w| *w == text).and_then(|i| u8::try_from(i).ok())
}

pub(crate) fn truth(text: &str) -> Result<bool, String> {
    match text {
        "true" => Ok(true),
        "false" => Ok(false),
        other => Err(format!("'{}' is neither 'true' nor 'false'", plain(other).chars().take(20).collect::<String>())),
    }
}

fn by_word(ids: &[String]) -> HashMap<&str, usize> {
    ids.iter().enumerate().map(|(at, id)| (id.as_str(), at)).collect()
}

/// What a rule or a row is over, by position; a word that stands there twice counts once.
fn resolved(
    names: &[Placed<String>],
    known: &HashMap<&str, usize>,
    missing: impl Fn(&Placed<String>) -> Diagnostic,
    out: &mut Vec<Diagnostic>,
) -> Vec<usize> {
    let mut found = Vec::new();
    let mut seen = HashSet::new();
    for name in names {
        match known.get(name.it.as_str()) {
            Some(at) if seen.insert(*at) => found.push(*at),
            Some(_) => {}
            None if enough(out) => break,
            None => out.push(missing(name)),
        }
    }
    found
}

fn not_in_set(what: &str, name: &Placed<String>, ids: &[String]) -> Diagnostic {
    let message = format!("the {what} is over '{}', which is not in the set", plain(&name.it));
    let it = Diagnostic::error("unknown-rule", &name.source, name.span.clone(), message);
    match nearest(&name.it, ids.iter().map(String::as_str)) {
        Some(near) => it.help(format!("did you mean '{near}'?")),
        None => it,
    }
}

/// A rule is over one that was dropped: told where it was dropped, for that is what can be changed.
fn dropped_below(dropped: &Dropped, above: &str) -> Diagnostic {
    let id = &dropped.rule.id;
    let message = format!("'{id}' is dropped, and the rule '{above}' is over it");
    Diagnostic::error("unknown-rule", &dropped.source, dropped.span.clone(), message)
        .help(format!("drop '{above}' too, or give it another 'over' under 'amend:'"))
}

/// Resolves what the rows of one section are over.
fn finish_rows<T>(
    rows: &mut [Row<T>],
    id: fn(&T) -> &String,
    over: fn(&mut T) -> &mut Vec<usize>,
    out: &mut Vec<Diagnostic>,
) {
    let ids: Vec<String> = rows.iter().map(|r| id(&r.it).clone()).collect();
    for row in rows {
        let what = format!("row '{}'", id(&row.it));
        *over(&mut row.it) = resolved(&row.over, &by_word(&ids), |name| not_in_set(&what, name, &ids), out);
    }
}

/// Resolves what needed the whole file: rules by word, rules about every sign, the one sign of doubt.
fn finish(draft: &mut Draft, out: &mut Vec<Diagnostic>) {
    let eye: Vec<SignIx> = draft
        .signs
        .iter()
        .enumerate()
        .filter(|(_, s)| s.it.seen == Seen::Eye)
        .filter_map(|(i, _)| u8::try_from(i).ok().map(SignIx))
        .collect();
    let ids: Vec<String> = draft.rules.iter().map(|(r, _)| r.id.clone()).collect();
    let known = by_word(&ids);
    for (rule, place) in &mut draft.rules {
        if rule.when.any_sign {
            rule.when.signs.clone_from(&eye);
        }
        let missing = |name: &Placed<String>| match draft.dropped.iter().find(|d| d.rule.id == name.it) {
            Some(dropped) => dropped_below(dropped, &rule.id),
            None => not_in_set(&format!("rule '{}'", rule.id), name, &ids),
        };
        let over = resolved(&place.over, &known, missing, out);
        rule.over = over.into_iter().filter_map(|at| u16::try_from(at).ok()).map(RuleIx).collect();
    }
    finish_rows(&mut draft.rows.ages, |r| &r.id, |r| &mut r.over, out);
    finish_rows(&mut draft.rows.limits, |r| &r.id, |r| &mut r.over, out);
    let doubts: Vec<&Placed<Sign>> = draft.signs.iter().filter(|s| s.it.seen == Seen::Doubt).collect();
    match doubts.as_slice() {
        [_] => {}
        [] => {
            if let Some((_, place)) = draft.rules.first() {
                out.push(
                    Diagnostic::error(
                        "no-doubt",
                        &place.source,
                        0..0,
                        "the set has no sign for a head that could not be judged",
                    )
                    .help("declare one sign with 'seen: doubt' and a rule for it"),
                );
            } else {
                out.push(Diagnostic::about(
                    crate::diag::Severity::Error,
                    "no-rules",
                    draft.name.clone(),
                    "the set holds no rule",
                ));
            }
        }
        [first, second, ..] => out.push(
            Diagnostic::error(
                "two-doubts",
                &second.source,
                second.span.clone(),
                format!("'{}' and '{}' both stand for a head that could not be judged", first.it.id, second.it.id),
            )
            .help("keep one of them"),
        ),
    }
}
