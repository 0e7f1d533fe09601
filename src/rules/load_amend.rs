//! Reads what an extending set changes in rules it inherits: single fields (`amend`), contested calls settled in a line
//! (`settle`), and sections that take nothing from the extended set (`fresh`).

use std::collections::HashSet;
use std::ops::Range;
use std::sync::Arc;

use super::load::{Draft, RulePlace, enough, truth};
use super::load_rule::{check_class, each, read_cases, read_over, read_unless, read_when};
use super::model::{Class, Confidence, ImpairmentDuty, Rule, Ruling};
use crate::diag::tree::{self, Fields, Node, Value};
use crate::diag::{Diagnostic, Source, plain};
use crate::trade::words::{unknown, words};

words! {
    /// A section that an extending set may begin afresh.
    pub enum Section ("section that can begin afresh") {
        /// Cautions.
        Cautions = "cautions",
        /// Clearances.
        Clearances = "clearances",
        /// Meanings of the classes.
        Classes = "classes",
        /// Reasons for not reaching a head.
        Unreached = "unreached",
        /// What an impairment demands.
        Impairment = "impairment",
        /// Recalled numbers.
        Recalled = "recalled",
        /// Retention of records.
        Retention = "retention",
        /// Ages.
        Ages = "ages",
        /// Sample sizes.
        Samples = "samples",
        /// What may be drawn for a sample.
        SampleRules = "sample_rules",
        /// Limits of the operating test.
        Limits = "limits",
        /// Spare stock.
        Stock = "stock",
        /// Cabinet.
        Cabinet = "cabinet",
        /// Which spare fits which head.
        Spares = "spares",
        /// Cleaning.
        Cleaning = "cleaning",
        /// Temperature suitability.
        Suitability = "suitability",
        /// Visits.
        Visits = "visits",
    }
}

/// The word that takes a field away.
const NONE: &str = "none";

/// Empties the sections that begin afresh, and drops single rows. What is handed back is looked at again once the file has
/// been read: [`still_empty`].
pub(crate) fn start_afresh(
    draft: &mut Draft,
    source: &Arc<Source>,
    top: &mut Fields<'_>,
    out: &mut Vec<Diagnostic>,
) -> Vec<(Section, Range<usize>)> {
    let mut begun = Vec::new();
    let items = match top.take("fresh") {
        None => &[],
        Some(Node { value: Value::List(items), .. }) => items.as_slice(),
        Some(one) => std::slice::from_ref(one),
    };
    for item in items {
        let Some(section) = tree::parse_node(source, item, "fresh", out, Section::parse) else { continue };
        begun.push((section, item.span.clone()));
        let rows = &mut draft.rows;
        match section {
            Section::Cautions => draft.cautions.clear(),
            Section::Clearances => draft.clearances.clear(),
            Section::Classes => draft.classes.clear(),
            Section::Unreached => draft.unreached.clear(),
            Section::Impairment => draft.impairment = ImpairmentDuty::default(),
            Section::Recalled => draft.recalled.clear(),
            Section::Retention => draft.retention.clear(),
            Section::Ages => rows.ages.clear(),
            Section::Samples => rows.samples.clear(),
            Section::SampleRules => rows.sample_rules.clear(),
            Section::Limits => rows.limits.clear(),
            Section::Stock => rows.stock.clear(),
            Section::Cabinet => rows.cabinet.clear(),
            Section::Spares => rows.spares.clear(),
            Section::Cleaning => rows.cleaning = None,
            Section::Suitability => rows.suitability = None,
            Section::Visits => rows.visits.clear(),
        }
    }
    if let Some(node) = top.take("drop_rows") {
        each(source, node, "drop_rows", out, |id| {
            if draft.rows.drop_row(id) {
                return Ok(());
            }
            Err(unknown("row of the extended set", id, &draft.rows.words()))
        });
    }
    begun
}

/// Complains about sections that were begun afresh and left empty, where a set without them would leave a duty out.
pub(crate) fn still_empty(
    draft: &Draft,
    source: &Arc<Source>,
    begun: &[(Section, Range<usize>)],
    out: &mut Vec<Diagnostic>,
) {
    for (section, span) in begun {
        let rows = &draft.rows;
        let empty = match section {
            Section::Unreached | Section::Recalled | Section::Retention => false,
            Section::Cautions => draft.cautions.is_empty(),
            Section::Clearances => draft.clearances.is_empty(),
            Section::Classes => draft.classes.is_empty(),
            Section::Impairment => draft.impairment == ImpairmentDuty::default(),
            Section::Ages => rows.ages.is_empty(),
            Section::Samples => rows.samples.is_empty(),
            Section::SampleRules => rows.sample_rules.is_empty(),
            Section::Limits => rows.limits.is_empty(),
            Section::Stock => rows.stock.is_empty(),
            Section::Cabinet => rows.cabinet.is_empty(),
            Section::Spares => rows.spares.is_empty(),
            Section::Cleaning => rows.cleaning.is_none(),
            Section::Suitability => rows.suitability.is_none(),
            Section::Visits => rows.visits.is_empty(),
        };
        if empty {
            let message = format!("'{section}' begins afresh and holds nothing, so the set would be without it");
            out.push(
                Diagnostic::error("empty-section", source, span.clone(), message)
                    .help(format!("add '{section}:' to the file, or take it from 'fresh'")),
            );
        }
    }
}

/// The inherited rules that are named, by position; one that is named twice counts once.
fn named(
    draft: &Draft,
    source: &Arc<Source>,
    node: &Node,
    key: &'static str,
    out: &mut Vec<Diagnostic>,
) -> Vec<(usize, Range<usize>)> {
    let ids: Vec<&str> = draft.rules.iter().map(|(r, _)| r.id.as_str()).collect();
    let items = match &node.value {
        Value::List(items) => items.as_slice(),
        _ => std::slice::from_ref(node),
    };
    let mut found = Vec::new();
    let mut seen = HashSet::new();
    for item in items {
        if enough(out) {
            break;
        }
        let at =
            |t: &str| ids.iter().position(|id| *id == t).ok_or_else(|| unknown("rule of the extended set", t, &ids));
        if let Some(at) = tree::parse_node(source, item, key, out, at)
            && seen.insert(at)
        {
            found.push((at, item.span.clone()));
        }
    }
    found
}

/// A text that may be taken away by `none`: `None`, not given; `Some(None)`, taken away.
fn taken_away(f: &mut Fields<'_>, key: &'static str, out: &mut Vec<Diagnostic>) -> Option<Option<String>> {
    f.text(key, out).map(|t| (t != NONE).then_some(t))
}

/// Changes single fields of inherited rules.
pub(crate) fn amend(draft: &mut Draft, source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) {
    let mut f = Fields::of(source, node, "an amendment", out);
    let names = f.need("rules", out).map(|n| named(draft, source, n, "rules", out)).unwrap_or_default();
    let title = f.text("title", out);
    let when = f.take("when");
    let unless = f.take("unless");
    let over_node = f.take("over");
    let also = f.parse("also", out, truth);
    let ruling = f.parse("ruling", out, Ruling::parse);
    let class = f.parse("class", out, |t| if t == NONE { Ok(None) } else { Class::parse(t).map(Some) });
    let class_confidence = f.parse("class_confidence", out, Confidence::parse);
    let clause = f.text("clause", out);
    let origin = f.text("source", out);
    let confidence = f.parse("confidence", out, Confidence::parse);
    let because = f.text("because", out);
    let remedy = f.text("remedy", out);
    let never = taken_away(&mut f, "never", out);
    let contested = taken_away(&mut f, "contested", out);
    let cases_node = f.take("cases");
    f.finish(out);
    let over = over_node.map(|n| read_over(source, Some(n), out));
    let bare = when.or(unless).filter(|_| cases_node.is_none()).map(|n| (Arc::clone(source), n.span.clone()));
    let mut unheard = Vec::new();
    for (number, (at, span)) in names.into_iter().enumerate() {
        // What is wrong with the amendment is told once, not for each rule that it names.
        let out = if number == 0 { &mut *out } else { &mut unheard };
        let Some((known, known_place)) = draft.rules.get_mut(at) else { continue };
        // Cases are moved, not copied: a rule may have many, and be amended often.
        let cases = (std::mem::take(&mut known.cases), std::mem::take(&mut known_place.cases));
        let (mut rule, mut place) = (known.clone(), known_place.clone());
        (rule.cases, place.cases) = cases;
        if let Some(when) = when {
            let Some(read) = read_when(draft, source, when, None, out) else { continue };
            let unless = rule.when.unless.take();
            rule.when = read;
            rule.when.unless = unless;
        }
        match unless {
            Some(node) if node.text() == Some(NONE) => rule.when.unless = None,
            Some(node) => rule.when.unless = Some(read_unless(draft, source, node, &rule.when.signs, out)),
            None => {}
        }
        put(&mut rule.title, title.as_ref());
        put(&mut rule.clause, clause.as_ref());
        put(&mut rule.source, origin.as_ref());
        put(&mut rule.because, because.as_ref());
        put(&mut rule.remedy, remedy.as_ref());
        put(&mut rule.never, never.as_ref());
        put(&mut rule.contested, contested.as_ref());
        put(&mut rule.also, also.as_ref());
        put(&mut rule.ruling, ruling.as_ref());
        put(&mut rule.confidence, confidence.as_ref());
        put(&mut rule.class, class.as_ref());
        check_class(source, &span, &rule.id, Some(rule.ruling), rule.class, class_confidence, out);
        // A class that stays keeps its mark; a new one without a mark of its own bears the rule's.
        let mark = class_confidence.or(if class.is_some() { None } else { rule.class_confidence });
        rule.class_confidence = rule.class.and(mark.or(Some(rule.confidence)));
        let mut place = RulePlace { source: Arc::clone(source), span, ..place };
        if bare.is_some() {
            place.bare.clone_from(&bare);
        }
        if let Some(over) = &over {
            place.over.clone_from(over);
        }
        if cases_node.is_some() {
            let sign = rule.when.signs.first().copied();
            (rule.cases, place.cases) = read_cases(draft, source, cases_node, sign, out);
            place.cases_source = Arc::clone(source);
            place.depth = 0;
            place.bare = None;
        }
        if let Some(slot) = draft.rules.get_mut(at) {
            *slot = (rule, place);
        }
    }
}

fn put<T: Clone>(slot: &mut T, new: Option<&T>) {
    if let Some(new) = new {
        slot.clone_from(new);
    }
}

/// Settles contested calls, one line each: `paint-frame: replace`, or `paint-frame: replace critical`.
pub(crate) fn settle(draft: &mut Draft, source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) {
    let Value::Map(items) = &node.value else {
        out.push(
            Diagnostic::error(
                "wrong-type",
                source,
                node.span.clone(),
                format!("'settle' must be a mapping, not {}", node.what()),
            )
            .help("write one line a rule: 'paint-frame: replace'"),
        );
        return;
    };
    let by = draft.title.clone();
    for (key, value) in items {
        if enough(out) {
            break;
        }
        let read = tree::parse_node(source, value, "settle", out, |t| {
            let (ruling, class) = t.trim().split_once(' ').map_or((t.trim(), None), |(r, c)| (r, Some(c.trim())));
            Ok((Ruling::parse(ruling)?, class.map(Class::parse).transpose()?))
        });
        let ids: Vec<&str> = draft.rules.iter().map(|(r, _)| r.id.as_str()).collect();
        let Some(at) = ids.iter().position(|id| *id == key.text) else {
            let message = format!("'settle': {}", unknown("rule of the extended set", &key.text, &ids));
            out.push(
                Diagnostic::error("bad-value", source, key.span.clone(), message)
                    .help("name a contested rule of the extended set; 'headround rules show' lists a set's rules"),
            );
            continue;
        };
        let Some((ruling, class)) = read else { continue };
        let Some((rule, place)) = draft.rules.get_mut(at) else { continue };
        let Some(argument) = rule.contested.clone() else {
            let message = format!("the rule '{}' is not contested, so there is nothing to settle", plain(&rule.id));
            out.push(
                Diagnostic::error("not-contested", source, key.span.clone(), message)
                    .help("change it under 'amend:', with its clause, source and reason"),
            );
            continue;
        };
        let class = match ruling {
            Ruling::Keep => class,
            _ => class.or(rule.class),
        };
        check_class(source, &value.span, &rule.id, Some(ruling), class, None, out);
        if ruling > Ruling::Look && class.is_none() {
            out.push(
                Diagnostic::error(
                    "settled-without-class",
                    source,
                    value.span.clone(),
                    format!("'{}' has had no class, and '{ruling}' is a finding", plain(&rule.id)),
                )
                .help(format!("write '{}: {ruling} noncritical', or another class", plain(&rule.id))),
            );
        }
        settle_one(rule, ruling, class, &by, argument);
        *place = RulePlace { source: Arc::clone(source), span: key.span.clone(), ..place.clone() };
    }
}

/// The texts of a rule speak for its ruling; where the ruling changes they are kept as what was thought before.
fn settle_one(rule: &mut Rule, ruling: Ruling, class: Option<Class>, by: &str, argument: String) {
    if ruling != rule.ruling {
        rule.because = format!(
            "{by} has settled this call as '{ruling}'. Without that word the ruling would be '{}': {}",
            rule.ruling, rule.because
        );
        rule.remedy = remedy(ruling).to_owned();
    }
    rule.class_confidence =
        class.and(if class == rule.class { rule.class_confidence } else { Some(Confidence::Settled) });
    rule.ruling = ruling;
    rule.class = class;
    rule.confidence = Confidence::Settled;
    rule.source = format!("settled by {by}; before that: {}", rule.source);
    rule.contested = Some(format!("{argument} Here it is settled: {ruling}."));
}

/// What to do where an authority has given the word.
const fn remedy(ruling: Ruling) -> &'static str {
    match ruling {
        Ruling::Keep => "Nothing need be done.",
        Ruling::Watch => "Note it and compare next year.",
        Ruling::Look => "Look at it from near by, and judge it then.",
        Ruling::Clean => "Have it cleaned without touching it, by the means that the set allows.",
        Ruling::Correct => "Have licensed people put right what is around the head, or the way it hangs.",
        Ruling::Test => "Have it, or a sample like it, tested.",
        Ruling::Replace => "Have the head replaced by its equal.",
    }
}
