//! Reads the ages of a rule file, and the conditions on make-up and surroundings that rows share.

use std::sync::Arc;

use super::duties::{Act, AgeCase, AgeRule, Since, Where, Years};
use super::load::{enough, section, word};
use super::load_rows::{Row, read_basis, word_span};
use super::load_rule::{read_facts, read_facts_cond, read_over};
use super::model::Cond;
use crate::diag::tree::{Fields, Node};
use crate::diag::{Diagnostic, Source, plain};
use crate::trade::measure::Span;

/// Reads `..1919`, `1998..2001`, `1960..` or `1975`.
fn years(text: &str) -> Result<Years, String> {
    let bad = || {
        let shown: String = plain(text).chars().take(20).collect();
        format!("'{shown}' names no years; write '1975', '1998..2001', '..1919' or '1960..'")
    };
    let year = |t: &str| match t.trim() {
        "" => Ok(None),
        t => t.parse::<i32>().ok().filter(|y| (1800..=2200).contains(y)).map(Some).ok_or_else(bad),
    };
    let (from, to) = match text.split_once("..") {
        Some((a, b)) => (year(a)?, year(b)?),
        None => (year(text)?, year(text)?),
    };
    let backwards = matches!((from, to), (Some(a), Some(b)) if a > b);
    if backwards || (from.is_none() && to.is_none()) { Err(bad()) } else { Ok(Years { from, to }) }
}

fn read_cond(
    source: &Arc<Source>,
    node: &Node,
    what: &'static str,
    out: &mut Vec<Diagnostic>,
) -> (Cond, Option<Years>) {
    let mut cond = Cond::NOTHING;
    let mut f = Fields::of(source, node, what, out);
    read_facts_cond(source, &mut f, &mut cond, out);
    let made = if what == "'when'" { f.parse("made", out, years) } else { None };
    f.finish(out);
    (cond, made)
}

/// `when` and `unless` of a row, with the years made.
pub(crate) fn read_where(
    source: &Arc<Source>,
    f: &mut Fields<'_>,
    out: &mut Vec<Diagnostic>,
) -> (Where, Option<Years>) {
    let (all, made) = f.take("when").map_or((Cond::NOTHING, None), |n| read_cond(source, n, "'when'", out));
    let unless = f.take("unless").map(|node| {
        let (cond, _) = read_cond(source, node, "'unless'", out);
        if cond == Cond::NOTHING {
            let message = "'unless' asks nothing, so the row never holds";
            out.push(
                Diagnostic::error("empty-unless", source, node.span.clone(), message)
                    .help("name at least one condition, or leave 'unless' out"),
            );
        }
        cond
    });
    (Where { all, unless }, made)
}

pub(crate) fn read_age(source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) -> Option<Row<AgeRule>> {
    let complaints = out.len();
    let mut f = Fields::of(source, node, "an age", out);
    let id = f.need_parse("age", out, word);
    let title = f.need_text("title", out);
    let (when, made) = read_where(source, &mut f, out);
    let over = read_over(source, f.take("over"), out);
    let since = f.parse("from", out, Since::parse).unwrap_or(Since::Service);
    let first = f.need_parse("first", out, Span::parse);
    let then = f.parse("then", out, |t| {
        Span::parse(t)
            .and_then(|s| if s.months() == 0 { Err("an interval is longer than nothing".to_owned()) } else { Ok(s) })
    });
    let act = f.need_parse("act", out, Act::parse);
    let because = f.need_text("because", out);
    let basis = read_basis(&mut f, out);
    let mut cases = Vec::new();
    let mut spans = Vec::new();
    for item in section(source, &mut f, "cases", out) {
        if enough(out) {
            break;
        }
        if let Some(case) = read_age_case(source, item, out) {
            cases.push(case);
            spans.push(item.span.clone());
        }
    }
    f.finish(out);
    if out.len() > complaints {
        return None;
    }
    Some(Row {
        it: AgeRule {
            id: id?,
            title: title?,
            when,
            made,
            over: Vec::new(),
            since,
            first: first?,
            then,
            act: act?,
            because: because?,
            basis: basis?,
            cases,
        },
        source: Arc::clone(source),
        span: word_span(node),
        over,
        cases: spans,
        own: true,
    })
}

fn read_age_case(source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) -> Option<AgeCase> {
    let complaints = out.len();
    let mut f = Fields::of(source, node, "a case", out);
    let see = f.need_text("see", out);
    let facts = read_facts(&mut f, out);
    let year = |t: &str| {
        let known = t.parse::<i32>().ok().filter(|y| (1800..=2200).contains(y));
        known.ok_or_else(|| format!("'{}' is no year", plain(t).chars().take(20).collect::<String>()))
    };
    let made = f.parse("made", out, year);
    let then = f.parse("then", out, Span::parse);
    let instead = f.parse("instead", out, Span::parse);
    f.finish(out);
    let (holds, first) = match (then, instead) {
        (Some(first), None) => (true, first),
        (None, Some(first)) => (false, first),
        _ if out.len() > complaints => return None,
        _ => {
            out.push(
                Diagnostic::error(
                    "case-without-end",
                    source,
                    node.span.clone(),
                    "a case says either 'then' (the row holds) or 'instead' (it does not), with the set's earliest first age",
                )
                .help("add 'then: 25 years', or 'instead: 50 years' for a near miss"),
            );
            return None;
        }
    };
    Some(AgeCase { see: see?, facts, made, holds, first })
}
