//! Reads one rule of a rule file: its conditions over the closed vocabulary, its texts and its worked cases. It checks
//! what can be seen in the rule alone.

use std::ops::Range;
use std::sync::Arc;

use super::facts::{Facts, Field, setting_bit};
use super::load::{Draft, Placed, RulePlace, enough, position, word};
use super::model::{
    Case, Class, Cond, Confidence, ExtentIx, PartIx, Rule, Ruling, Seen, Sign, SignIx, When, bit8, bit16,
};
use crate::diag::tree::{self, Fields, Node, Value};
use crate::diag::{Diagnostic, Source, plain};
use crate::trade::kind::{Applied, Finish};
use crate::trade::register::Setting;
use crate::trade::words::unknown;

/// The word for every sign that an eye sees.
const ANY: &str = "any";

/// Reads a rule; complaints go to `out`, and a rule with any complaint of its own is not handed out.
pub(crate) fn read_rule(
    draft: &Draft,
    source: &Arc<Source>,
    node: &Node,
    out: &mut Vec<Diagnostic>,
) -> Option<(Rule, RulePlace)> {
    let complaints = out.len();
    let mut f = Fields::of(source, node, "a rule", out);
    let id_node = f.need("rule", out)?;
    let id = tree::parse_node(source, id_node, "rule", out, word);
    let title = f.need_text("title", out);
    let when_node = f.need("when", out);
    let unless_node = f.take("unless");
    let ruling = f.need_parse("ruling", out, Ruling::parse);
    let class = f.parse("class", out, Class::parse);
    let clause = f.need_text("clause", out);
    let origin = f.need_text("source", out);
    let confidence = f.need_parse("confidence", out, Confidence::parse);
    let class_confidence = f.parse("class_confidence", out, Confidence::parse);
    let because = f.need_text("because", out);
    let remedy = f.need_text("remedy", out);
    let never = f.text("never", out);
    let contested = f.text("contested", out);
    let also = f.parse("also", out, super::load::truth).unwrap_or(false);
    let over = read_over(source, f.take("over"), out);
    let cases_node = f.take("cases");
    f.finish(out);

    let id = id?;
    let mut when = None;
    if let Some(when_node) = when_node {
        when = read_when(draft, source, when_node, unless_node, out);
    }
    check_class(source, &id_node.span, &id, ruling, class, class_confidence, out);
    let default_sign = when.as_ref().and_then(|w| w.signs.first().copied());
    let (cases, spans) = read_cases(draft, source, cases_node, default_sign, out);
    if out.len() > complaints {
        return None;
    }
    let place = RulePlace {
        source: Arc::clone(source),
        span: id_node.span.clone(),
        over,
        cases_source: Arc::clone(source),
        cases: spans,
        depth: 0,
        bare: None,
    };
    let rule = Rule {
        id,
        title: title?,
        when: when?,
        ruling: ruling?,
        class,
        clause: clause?,
        source: origin?,
        confidence: confidence?,
        class_confidence: class.and(class_confidence.or(confidence)),
        because: because?,
        remedy: remedy?,
        never,
        contested,
        also,
        over: Vec::new(),
        cases,
    };
    Some((rule, place))
}

/// The rules or rows that one is over, by word: they may stand further down.
pub(crate) fn read_over(source: &Arc<Source>, node: Option<&Node>, out: &mut Vec<Diagnostic>) -> Vec<Placed<String>> {
    let items = match node {
        None => &[],
        Some(Node { value: Value::List(items), .. }) => items.as_slice(),
        Some(one) => std::slice::from_ref(one),
    };
    let mut named = Vec::new();
    for item in items {
        if enough(out) {
            break;
        }
        let word = tree::parse_node(source, item, "over", out, word);
        named.extend(word.map(|it| Placed { it, source: Arc::clone(source), span: item.span.clone() }));
    }
    named
}

/// Complains about a ruling and a class that do not go together.
pub(crate) fn check_class(
    source: &Arc<Source>,
    span: &Range<usize>,
    id: &str,
    ruling: Option<Ruling>,
    class: Option<Class>,
    class_confidence: Option<Confidence>,
    out: &mut Vec<Diagnostic>,
) {
    if let (Some(Ruling::Keep), Some(class)) = (ruling, class) {
        out.push(
            Diagnostic::error(
                "class-of-keep",
                source,
                span.clone(),
                format!("the rule '{id}' rules 'keep' and calls it {class}"),
            )
            .help("leave 'class' out: where nothing need be done there is no finding"),
        );
    }
    if class.is_none() && class_confidence.is_some() {
        out.push(
            Diagnostic::error(
                "mark-without-class",
                source,
                span.clone(),
                format!("the rule '{id}' says how far its class can be relied on, and has none"),
            )
            .help("leave 'class_confidence' out, or give the rule a 'class'"),
        );
    }
}

/// Reads a rule's worked cases, with their places.
pub(crate) fn read_cases(
    draft: &Draft,
    source: &Arc<Source>,
    node: Option<&Node>,
    default_sign: Option<SignIx>,
    out: &mut Vec<Diagnostic>,
) -> (Vec<Case>, Vec<Range<usize>>) {
    let mut cases = Vec::new();
    let mut spans = Vec::new();
    match node.map(|n| (&n.value, n)) {
        None => {}
        Some((Value::List(items), _)) => {
            for item in items {
                if enough(out) {
                    break;
                }
                if let Some(case) = read_case(draft, source, item, default_sign, out) {
                    cases.push(case);
                    spans.push(item.span.clone());
                }
            }
        }
        Some((_, node)) => out.push(Diagnostic::error(
            "wrong-type",
            source,
            node.span.clone(),
            format!("'cases' must be a list, not {}", node.what()),
        )),
    }
    (cases, spans)
}

fn sign_words(draft: &Draft) -> Vec<&str> {
    draft.signs.iter().map(|s| s.it.id.as_str()).collect()
}

/// Reads `when`, and `unless` beside it.
pub(crate) fn read_when(
    draft: &Draft,
    source: &Arc<Source>,
    node: &Node,
    unless: Option<&Node>,
    out: &mut Vec<Diagnostic>,
) -> Option<When> {
    let mut f = Fields::of(source, node, "'when'", out);
    let words = sign_words(draft);
    let sign_node = f.need("sign", out);
    let any_sign = sign_node.and_then(Node::text) == Some(ANY);
    let mut signs = Vec::new();
    if any_sign {
        signs.extend((0u8..=u8::MAX).zip(&draft.signs).filter(|(_, s)| s.it.seen == Seen::Eye).map(|(i, _)| SignIx(i)));
    } else if let Some(sign_node) = sign_node {
        each(source, sign_node, "sign", out, |t| {
            position(&words, t).map(|i| signs.push(SignIx(i))).ok_or_else(|| unknown("sign", t, &words))
        });
    }
    signs.sort();
    signs.dedup();
    let declared: Vec<&Sign> = signs.iter().filter_map(|s| draft.signs.get(usize::from(s.0))).map(|s| &s.it).collect();
    let all = read_cond(draft, source, &mut f, &declared, out);
    f.finish(out);
    let unless = unless.map(|node| read_unless(draft, source, node, &signs, out));
    (!signs.is_empty()).then_some(When { signs, any_sign, all, unless })
}

/// Reads `unless` of a rule about these signs.
pub(crate) fn read_unless(
    draft: &Draft,
    source: &Arc<Source>,
    node: &Node,
    signs: &[SignIx],
    out: &mut Vec<Diagnostic>,
) -> Cond {
    let declared: Vec<&Sign> = signs.iter().filter_map(|s| draft.signs.get(usize::from(s.0))).map(|s| &s.it).collect();
    let mut f = Fields::of(source, node, "'unless'", out);
    let cond = read_cond(draft, source, &mut f, &declared, out);
    f.finish(out);
    if cond == Cond::NOTHING {
        out.push(
            Diagnostic::error(
                "empty-unless",
                source,
                node.span.clone(),
                "'unless' asks nothing, so the rule never holds",
            )
            .help("name at least one condition, or leave 'unless' out"),
        );
    }
    cond
}

/// Visits each scalar of a list, or one standing alone.
pub(crate) fn each(
    source: &Arc<Source>,
    node: &Node,
    key: &str,
    out: &mut Vec<Diagnostic>,
    mut take: impl FnMut(&str) -> Result<(), String>,
) {
    let items = match &node.value {
        Value::List(items) => items.as_slice(),
        _ => std::slice::from_ref(node),
    };
    for item in items {
        if enough(out) {
            break;
        }
        if let Some(text) = tree::text_of(source, item, key, out)
            && let Err(why) = take(&text)
        {
            out.push(Diagnostic::error("bad-value", source, item.span.clone(), format!("'{key}': {why}")));
        }
    }
}

/// The bits of a condition's values: words, or ranges `from..to` in declared order.
fn mask(source: &Arc<Source>, node: &Node, key: &str, words: &[&str], out: &mut Vec<Diagnostic>) -> u16 {
    let mut bits = 0u16;
    each(source, node, key, out, |text| {
        let find = |t: &str| position(words, t.trim()).ok_or_else(|| unknown(key, t.trim(), words));
        let (from, to) = match text.split_once("..") {
            Some((a, b)) => (find(a)?, find(b)?),
            None => (find(text)?, find(text)?),
        };
        if from > to {
            return Err(format!("'{}' runs backwards; the order is {}", plain(text), words.join(", ")));
        }
        bits |= (from..=to).fold(0, |all, i| all | bit16(i));
        Ok(())
    });
    bits
}

fn read_cond(
    draft: &Draft,
    source: &Arc<Source>,
    f: &mut Fields<'_>,
    signs: &[&Sign],
    out: &mut Vec<Diagnostic>,
) -> Cond {
    let mut cond = Cond::NOTHING;
    if let Some(node) = f.take("part") {
        let words: Vec<&str> = draft.parts.iter().map(|p| p.it.id.as_str()).collect();
        cond.part = mask(source, node, "part", &words, out);
        let idle = |i: u8| !signs.iter().any(|s| s.parts.contains(&PartIx(i)));
        beyond(source, node, "part", cond.part, &words, idle, signs, out);
    }
    if let Some(node) = f.take("extent") {
        let words: Vec<&str> = draft.extents.iter().map(|p| p.it.id.as_str()).collect();
        let bits = mask(source, node, "extent", &words, out);
        cond.extent = u8::try_from(bits & 0xFF).unwrap_or(u8::MAX);
        // A range may run over extents that the sign leaves out; a word standing alone may not.
        let all_idle = !signs.iter().flat_map(|s| &s.extents).any(|e| cond.extent & bit8(e.0) != 0);
        beyond(source, node, "extent", bits, &words, |_| all_idle, signs, out);
    }
    if let Some(node) = f.take("origin") {
        let words: Vec<&str> = Applied::ALL.iter().map(|a| a.as_str()).collect();
        cond.applied = u8::try_from(mask(source, node, "origin", &words, out) & 0xFF).unwrap_or(u8::MAX);
        if !signs.iter().any(|s| s.ask_applied) {
            out.push(
                Diagnostic::error(
                    "origin-not-asked",
                    source,
                    node.span.clone(),
                    "the rule asks who applied a finish, and none of its signs does",
                )
                .help("set 'asks_origin: true' on the sign, or leave 'origin' out"),
            );
        }
    }
    read_facts_cond(source, f, &mut cond, out);
    cond
}

/// Reads the conditions on make-up and surroundings.
pub(crate) fn read_facts_cond(source: &Arc<Source>, f: &mut Fields<'_>, cond: &mut Cond, out: &mut Vec<Diagnostic>) {
    for field in Field::ALL {
        if let Some(node) = f.take(field.as_str()) {
            let bits = mask(source, node, field.as_str(), &field.words(), out);
            if let Some(slot) = cond.fields.get_mut(*field as usize) {
                *slot &= bits;
            }
        }
    }
    if let Some(resists) = f.parse("resists_corrosion", out, super::load::truth) {
        let bits = (0u8..)
            .zip(Finish::ALL)
            .filter(|(_, finish)| finish.resists_corrosion() == resists)
            .fold(0, |all, (i, _)| all | bit16(i));
        if let Some(slot) = cond.fields.get_mut(Field::Finish as usize) {
            *slot &= bits;
        }
    }
    for setting in f.list("setting", out, Setting::parse) {
        cond.setting |= setting_bit(setting);
    }
}

/// Reads a head's make-up and surroundings as what differs from the plain head.
pub(crate) fn read_facts(f: &mut Fields<'_>, out: &mut Vec<Diagnostic>) -> Facts {
    let mut facts = Facts::plain();
    for field in Field::ALL {
        let words = field.words();
        let value =
            f.parse(field.as_str(), out, |t| position(&words, t).ok_or_else(|| unknown(field.as_str(), t, &words)));
        if let Some(value) = value {
            facts.set(*field, value);
        }
    }
    for setting in f.list("setting", out, Setting::parse) {
        facts.add_settings(setting_bit(setting));
    }
    facts
}

/// Complains about values that none of the rule's signs has.
#[expect(clippy::too_many_arguments, reason = "one call site a field, all of it about one node")]
fn beyond(
    source: &Arc<Source>,
    node: &Node,
    what: &str,
    bits: u16,
    words: &[&str],
    idle: impl Fn(u8) -> bool,
    signs: &[&Sign],
    out: &mut Vec<Diagnostic>,
) {
    if signs.is_empty() {
        return;
    }
    for (i, word) in (0u8..).zip(words) {
        if bits & bit16(i) != 0 && idle(i) {
            out.push(
                Diagnostic::error(
                    "not-of-the-sign",
                    source,
                    node.span.clone(),
                    format!("the {what} '{word}' is not one that the rule's signs can have"),
                )
                .help(format!("leave it out, or allow it in the sign's '{what}s'")),
            );
        }
    }
}

fn read_case(
    draft: &Draft,
    source: &Arc<Source>,
    node: &Node,
    default_sign: Option<SignIx>,
    out: &mut Vec<Diagnostic>,
) -> Option<Case> {
    let complaints = out.len();
    let mut f = Fields::of(source, node, "a case", out);
    let see = f.need_text("see", out);
    let words = sign_words(draft);
    let sign = f
        .parse("sign", out, |t| position(&words, t).map(SignIx).ok_or_else(|| unknown("sign", t, &words)))
        .or(default_sign);
    let declared = sign.and_then(|s| draft.signs.get(usize::from(s.0))).map(|s| &s.it);
    let parts: Vec<&str> = draft.parts.iter().map(|p| p.it.id.as_str()).collect();
    let extents: Vec<&str> = draft.extents.iter().map(|p| p.it.id.as_str()).collect();
    let part_of = |t: &str| {
        let ix = position(&parts, t).map(PartIx).ok_or_else(|| unknown("part", t, &parts))?;
        match declared {
            Some(s) if !s.parts.contains(&ix) => Err(format!("the sign '{}' has no part '{t}'", s.id)),
            _ => Ok(ix),
        }
    };
    let extent_of = |t: &str| {
        let ix = position(&extents, t).map(ExtentIx).ok_or_else(|| unknown("extent", t, &extents))?;
        match declared {
            Some(s) if !s.extents.contains(&ix) => Err(format!("the sign '{}' has no extent '{t}'", s.id)),
            _ => Ok(ix),
        }
    };
    let only_part = declared.and_then(|s| if let [one] = s.parts.as_slice() { Some(*one) } else { None });
    let only_extent = declared.and_then(|s| if let [one] = s.extents.as_slice() { Some(*one) } else { None });
    let part = match only_part {
        Some(one) => f.parse("part", out, part_of).or(Some(one)),
        None => f.need_parse("part", out, part_of),
    };
    let extent = match only_extent {
        Some(one) => f.parse("extent", out, extent_of).or(Some(one)),
        None => f.need_parse("extent", out, extent_of),
    };
    let asks = declared.is_some_and(|s| s.ask_applied);
    let applied = if asks { f.need_parse("origin", out, Applied::parse) } else { None };
    let facts = read_facts(&mut f, out);
    let then = f.parse("then", out, Ruling::parse);
    let instead = f.parse("instead", out, Ruling::parse);
    f.finish(out);
    let (holds, ruling) = match (then, instead) {
        (Some(r), None) => (true, r),
        (None, Some(r)) => (false, r),
        _ => {
            if out.len() == complaints {
                out.push(
                    Diagnostic::error(
                        "case-without-end",
                        source,
                        node.span.clone(),
                        "a case says either 'then' (the rule speaks) or 'instead' (it does not), with the set's ruling",
                    )
                    .help("add 'then: replace', or 'instead: watch' for a near miss"),
                );
            }
            return None;
        }
    };
    if out.len() > complaints {
        return None;
    }
    Some(Case { see: see?, sign: sign?, part: part?, extent: extent?, applied, facts, holds, ruling })
}
