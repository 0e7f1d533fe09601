//! Reads a rule file: vocabulary, rules and duties, with every complaint placed, and hands a sound set out compiled.
//! What is wrong between rules is `lint`'s concern; how one rule is read is `load_rule`'s.

use std::ops::Range;
use std::sync::Arc;

use super::lint;
use super::load_rule::read_rule;
use super::model::{
    Class, ClassMeaning, Clearance, Clock, Confidence, Duty, Excuse, ExtentIx, ImpairmentDuty, PartIx, Rule, RuleIx,
    RuleSet, Seen, Sign, SignIx, Within, Word,
};
use super::table::{MAX_EXTENTS, MAX_PARTS, build};
use crate::diag::tree::{self, Fields, Limits, Node, Value};
use crate::diag::{Diagnostic, Source, nearest, plain};
use crate::trade::kind::Style;
use crate::trade::quantity::Length;
use crate::trade::register::Recall;
use crate::trade::register_text::read_recall;
use crate::trade::words::unknown;

/// The first value of every rule file.
pub const FORMAT: &str = "headround rules 1";

/// Letters that a sign may use in the walk; the others belong to its commands.
pub const SIGN_KEYS: &str = "lcdfoptbeshgirm";

/// How many sets may extend one another.
const MAX_CHAIN: usize = 8;
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
    pub over: Vec<(String, Range<usize>)>,
    pub cases: Vec<Range<usize>>,
    /// How many `extends` away the file is that it was written in; 0: the file that is read.
    pub depth: usize,
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
    cautions: Vec<String>,
    impairment: ImpairmentDuty,
    recalled: Vec<Recall>,
    clearances: Vec<Clearance>,
    classes: Vec<ClassMeaning>,
    unreached: Vec<Excuse>,
    retention: Vec<Duty>,
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
    if out.is_empty() { Ok(draft) } else { Err(out) }
}

/// Checks a draft exhaustively and compiles it.
pub(crate) fn compile(draft: Draft) -> Result<RuleSet, Vec<Diagnostic>> {
    let mut out = Vec::new();
    let signs: Vec<Sign> = draft.signs.iter().map(|p| p.it.clone()).collect();
    let mut rules: Vec<Rule> = draft.rules.iter().map(|(r, _)| r.clone()).collect();
    let (table, faults) = build(&signs, &rules);
    lint::report(&draft, &table, &faults, &mut out);
    if !out.is_empty() {
        return Err(out);
    }
    lint::drop_changed_cases(&draft, &table, &mut rules);
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
        extend(draft, source, parent, resolve, chain, out);
    }
    // A set that extends another is of its edition unless it says otherwise.
    let edition = if parent.is_some() { top.text("edition", out) } else { top.need_text("edition", out) };
    if parent.is_some() {
        let above = std::mem::take(&mut draft.name);
        draft.extends.insert(0, above);
    }
    draft.name = name;
    draft.title = title;
    if let Some(edition) = edition {
        draft.edition = edition;
    }
    let cautions = top.list("cautions", out, |t| Ok(t.to_owned()));
    draft.cautions.extend(cautions);
    let mut section = |key: &'static str, top: &mut Fields<'_>, out: &mut Vec<Diagnostic>| -> Vec<Node> {
        match top.take(key) {
            None => Vec::new(),
            Some(Node { value: Value::List(items), .. }) => items.clone(),
            Some(other) => {
                out.push(Diagnostic::error(
                    "wrong-type",
                    source,
                    other.span.clone(),
                    format!("'{key}' must be a list, not {}", other.what()),
                ));
                Vec::new()
            }
        }
    };
    for item in section("parts", &mut top, out) {
        if let Some(it) = read_word(source, &item, "part", out) {
            put(&mut draft.parts, it, |w| &w.id, "part", MAX_PARTS, out);
        }
    }
    for item in section("extents", &mut top, out) {
        if let Some(it) = read_word(source, &item, "extent", out) {
            put(&mut draft.extents, it, |w| &w.id, "extent", MAX_EXTENTS, out);
        }
    }
    for item in section("signs", &mut top, out) {
        if let Some(it) = read_sign(draft, source, &item, out) {
            put(&mut draft.signs, it, |s| &s.id, "sign", MAX_SIGNS, out);
        }
    }
    for id in top.list("drop", out, |t| Ok(t.to_owned())) {
        let before = draft.rules.len();
        draft.rules.retain(|(r, _)| r.id != id);
        if draft.rules.len() == before {
            let known: Vec<&str> = draft.rules.iter().map(|(r, _)| r.id.as_str()).collect();
            out.push(Diagnostic::error(
                "unknown-rule",
                source,
                node.span.start..node.span.start,
                format!("'drop': {}", unknown("rule of the extended set", &id, &known)),
            ));
        }
    }
    for (_, place) in &mut draft.rules {
        place.depth += 1;
    }
    for item in section("rules", &mut top, out) {
        if let Some((rule, place)) = read_rule(draft, source, &item, out) {
            put_rule(draft, rule, place, out);
        }
    }
    read_duties(draft, source, &mut top, &mut section, out);
    top.finish(out);
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
        chain.push(name);
        out.push(
            Diagnostic::error(
                "extends-cycle",
                source,
                parent.span.clone(),
                format!("the sets extend one another without end: {}", chain.join(" -> ")),
            )
            .help(format!("let one of them stand on its own; at most {MAX_CHAIN} may be chained")),
        );
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

/// A word: lower-case letters, digits and hyphens.
pub(crate) fn word(text: &str) -> Result<String, String> {
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

fn read_word(source: &Arc<Source>, node: &Node, what: &'static str, out: &mut Vec<Diagnostic>) -> Option<Placed<Word>> {
    let mut f = Fields::of(source, node, what, out);
    let id_node = f.need(what, out)?;
    let id = tree::parse_node(source, id_node, what, out, word);
    let name = f.need_text("name", out);
    let hint = f.need_text("hint", out);
    f.finish(out);
    Some(Placed {
        it: Word { id: id?, name: name?, hint: hint? },
        source: Arc::clone(source),
        span: id_node.span.clone(),
    })
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

fn read_sign(draft: &Draft, source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) -> Option<Placed<Sign>> {
    let mut f = Fields::of(source, node, "a sign", out);
    let id_node = f.need("sign", out)?;
    let id = tree::parse_node(source, id_node, "sign", out, word);
    let key = f.parse("key", out, |t| {
        let mut chars = t.chars();
        match (chars.next(), chars.next()) {
            (Some(c), None) if SIGN_KEYS.contains(c) => Ok(c),
            _ => Err(format!(
                "'{}' cannot be a sign's letter; the letters are {}",
                plain(t).chars().take(20).collect::<String>(),
                SIGN_KEYS.chars().map(String::from).collect::<Vec<_>>().join(" ")
            )),
        }
    });
    let name = f.need_text("name", out);
    let hint = f.need_text("hint", out);
    let seen = f.parse("seen", out, Seen::parse).unwrap_or(Seen::Eye);
    let part_words: Vec<&str> = draft.parts.iter().map(|p| p.it.id.as_str()).collect();
    let mut parts =
        f.list("parts", out, |t| position(&part_words, t).map(PartIx).ok_or_else(|| unknown("part", t, &part_words)));
    let extent_words: Vec<&str> = draft.extents.iter().map(|p| p.it.id.as_str()).collect();
    let (mut extents, extent_hints) = match f.take("extents") {
        None => (Vec::new(), Vec::new()),
        Some(node) => read_extents(source, node, &extent_words, out),
    };
    let ask_applied = f.parse("asks_origin", out, truth).unwrap_or(false);
    let asks_clearance = f.parse("asks_clearance", out, truth).unwrap_or(false);
    let otherwise = f.parse("otherwise", out, |t| match t {
        "keep" => Ok(true),
        _ => Err(format!("'{}' is not 'keep'", plain(t).chars().take(20).collect::<String>())),
    });
    f.finish(out);
    let mut bad = |code, message: String, help: &str| {
        out.push(Diagnostic::error(code, source, id_node.span.clone(), message).help(help));
    };
    let id = id?;
    parts.sort();
    parts.dedup();
    if parts.is_empty() && !part_words.is_empty() {
        bad("sign-without-part", format!("the sign '{id}' names no part"), "add 'parts:', at least one");
    }
    if extents.is_empty() && !extent_words.is_empty() {
        bad("sign-without-extent", format!("the sign '{id}' names no extent"), "add 'extents:', at least one");
        extents.clear();
    }
    if seen != Seen::Eye && (parts.len() > 1 || extents.len() > 1 || key.is_some() || ask_applied || asks_clearance) {
        bad(
            "sign-not-entered",
            format!(
                "the sign '{id}' is not entered by eye and cannot have a letter, a choice of parts or extents, or questions"
            ),
            "give it one part and one extent, and no letter",
        );
    }
    if otherwise.is_some() && matches!(seen, Seen::Eye | Seen::Doubt) {
        bad(
            "otherwise-by-eye",
            format!("the sign '{id}' may not leave combinations undecided"),
            "leave out 'otherwise' and write a rule for every combination",
        );
    }
    if let Some(key) = key
        && let Some(other) = draft.signs.iter().find(|s| s.it.key == Some(key) && s.it.id != id)
    {
        let mut it = Diagnostic::error(
            "repeated-letter",
            source,
            id_node.span.clone(),
            format!("the letter '{key}' belongs to '{}' already", other.it.id),
        )
        .help("choose another letter, or leave it out: the sign is then reached by the menu");
        if Arc::ptr_eq(source, &other.source) {
            it = it.and_at(other.span.clone(), "has it already");
        }
        out.push(it);
    }
    Some(Placed {
        it: Sign {
            id,
            name: name?,
            key,
            hint: hint?,
            parts,
            extents,
            extent_hints,
            ask_applied,
            asks_clearance,
            standing: seen != Seen::Eye,
            seen,
            otherwise_keep: otherwise.is_some(),
        },
        source: Arc::clone(source),
        span: id_node.span.clone(),
    })
}

/// Extents as a list of words, or as a mapping from the word to what it means for the sign.
fn read_extents(
    source: &Arc<Source>,
    node: &Node,
    words: &[&str],
    out: &mut Vec<Diagnostic>,
) -> (Vec<ExtentIx>, Vec<String>) {
    let mut found: Vec<(ExtentIx, String)> = Vec::new();
    let mut add = |text: &str, span: &Range<usize>, hint: String, out: &mut Vec<Diagnostic>| match position(words, text)
    {
        Some(ix) => found.push((ExtentIx(ix), hint)),
        None => out.push(Diagnostic::error(
            "bad-value",
            source,
            span.clone(),
            format!("'extents': {}", unknown("extent", text, words)),
        )),
    };
    match &node.value {
        Value::Map(items) => {
            for (key, value) in items {
                let hint = tree::text_of(source, value, "extents", out).unwrap_or_default();
                add(&key.text, &key.span, hint, out);
            }
        }
        Value::List(items) => {
            for item in items {
                if let Some(text) = tree::text_of(source, item, "extents", out) {
                    add(&text, &item.span, String::new(), out);
                }
            }
        }
        _ => {
            if let Some(text) = tree::text_of(source, node, "extents", out) {
                add(&text, &node.span, String::new(), out);
            }
        }
    }
    found.sort_by_key(|(ix, _)| *ix);
    found.dedup_by_key(|(ix, _)| *ix);
    found.into_iter().unzip()
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

fn read_duty(f: &mut Fields<'_>, key: &'static str, out: &mut Vec<Diagnostic>) -> Option<Duty> {
    let text = f.need_text(key, out);
    let clause = f.need_text("clause", out);
    let origin = f.need_text("source", out);
    let confidence = f.need_parse("confidence", out, Confidence::parse);
    Some(Duty { text: text?, clause: clause?, source: origin?, confidence: confidence? })
}

fn read_duties(
    draft: &mut Draft,
    source: &Arc<Source>,
    top: &mut Fields<'_>,
    section: &mut dyn FnMut(&'static str, &mut Fields<'_>, &mut Vec<Diagnostic>) -> Vec<Node>,
    out: &mut Vec<Diagnostic>,
) {
    for item in section("clearances", top, out) {
        let mut f = Fields::of(source, &item, "a clearance", out);
        let styles = f.list("style", out, Style::parse);
        let distance = f.need_parse("distance", out, Length::parse);
        let duty = read_duty(&mut f, "note", out);
        f.finish(out);
        if let (Some(distance), Some(d)) = (distance, duty) {
            // A later row for a style takes its place from an inherited one.
            for row in &mut draft.clearances {
                row.styles.retain(|s| !styles.contains(s));
            }
            draft.clearances.retain(|row| !row.styles.is_empty());
            draft.clearances.push(Clearance {
                styles,
                distance,
                clause: d.clause,
                source: d.source,
                confidence: d.confidence,
                note: d.text,
            });
        }
    }
    for item in section("classes", top, out) {
        let mut f = Fields::of(source, &item, "a class", out);
        let class = f.need_parse("class", out, Class::parse);
        let duty = read_duty(&mut f, "means", out);
        f.finish(out);
        if let (Some(class), Some(duty)) = (class, duty) {
            draft.classes.retain(|c| c.class != class);
            draft.classes.push(ClassMeaning { class, duty });
        }
    }
    for item in section("unreached", top, out) {
        let mut f = Fields::of(source, &item, "a reason for not reaching", out);
        let why = f.need_parse("why", out, word);
        let waived = f.parse("waived", out, truth).unwrap_or(false);
        let duty = read_duty(&mut f, "because", out);
        f.finish(out);
        if let (Some(why), Some(d)) = (why, duty) {
            draft.unreached.retain(|e| e.why != why);
            draft.unreached.push(Excuse {
                why,
                waived,
                because: d.text,
                clause: d.clause,
                source: d.source,
                confidence: d.confidence,
            });
        }
    }
    for item in section("retention", top, out) {
        let mut f = Fields::of(source, &item, "a retention rule", out);
        let duty = read_duty(&mut f, "text", out);
        f.finish(out);
        draft.retention.extend(duty);
    }
    for item in section("recalled", top, out) {
        draft.recalled.extend(read_recall(source, &item, out));
    }
    if let Some(node) = top.take("impairment") {
        let mut f = Fields::of(source, node, "the impairment duty", out);
        let tell = f.list("tell", out, |t| Ok(t.to_owned()));
        let steps = f.list("steps", out, |t| Ok(t.to_owned()));
        let mut clocks = Vec::new();
        for item in section("clocks", &mut f, out) {
            let mut c = Fields::of(source, &item, "a clock", out);
            let within = c.need_parse("within", out, Within::parse);
            let duty = read_duty(&mut c, "what", out);
            c.finish(out);
            if let (Some(within), Some(d)) = (within, duty) {
                clocks.push(Clock {
                    what: d.text,
                    within,
                    clause: d.clause,
                    source: d.source,
                    confidence: d.confidence,
                });
            }
        }
        f.finish(out);
        // A list that is given takes the place of the inherited one; one that is left out is inherited.
        if !tell.is_empty() {
            draft.impairment.tell = tell;
        }
        if !steps.is_empty() {
            draft.impairment.steps = steps;
        }
        if !clocks.is_empty() {
            draft.impairment.clocks = clocks;
        }
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
    for (rule, place) in &mut draft.rules {
        if rule.when.any_sign {
            rule.when.signs.clone_from(&eye);
        }
        rule.over.clear();
        for (id, span) in &place.over {
            if let Some(at) = ids.iter().position(|known| known == id).and_then(|i| u16::try_from(i).ok()) {
                rule.over.push(RuleIx(at));
            } else {
                let mut it = Diagnostic::error(
                    "unknown-rule",
                    &place.source,
                    span.clone(),
                    format!("the rule '{}' is over '{}', which is not in the set", rule.id, plain(id)),
                );
                if let Some(near) = nearest(id, ids.iter().map(String::as_str)) {
                    it = it.help(format!("did you mean '{near}'?"));
                }
                out.push(it);
            }
        }
    }
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
