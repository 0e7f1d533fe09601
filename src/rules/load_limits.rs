//! Reads the limits of the operating test, and what may be drawn for a sample or follows from it.

use std::fmt::Display;
use std::ops::Range;
use std::sync::Arc;

use super::duties::{Basis, Limit, SampleMatter, SampleRule};
use super::load::{truth, word};
use super::load_ages::read_where;
use super::load_rows::{Row, plain_row, read_basis, word_span};
use super::load_rule::read_over;
use super::model::{Class, Confidence};
use crate::diag::tree::{Fields, Node};
use crate::diag::{Diagnostic, Source};
use crate::trade::measure::{Pressure, Rti, Seconds, Speed};
use crate::trade::quantity::Temperature;

pub(crate) fn read_sample_rule(source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) -> Option<SampleRule> {
    let complaints = out.len();
    let mut f = Fields::of(source, node, "a sample rule", out);
    let matter = f.need_parse("about", out, SampleMatter::parse);
    let refuse = f.parse("refuse", out, truth).unwrap_or(false);
    let condemns = f.parse("condemns", out, truth);
    let [late, shut, early] = ["late", "shut", "early"].map(|key| f.parse(key, out, Class::parse));
    let class_confidence = f.parse("class_confidence", out, Confidence::parse);
    let text = f.need_text("text", out);
    let basis = read_basis(&mut f, out);
    f.finish(out);
    let classed = late.or(shut).or(early).is_some();
    let fails = matter == Some(SampleMatter::Failure);
    let mut wrong = |code, message: &str, help: &str| {
        out.push(Diagnostic::error(code, source, word_span(node), message).help(help));
    };
    if matter.is_some() && !fails && (condemns.is_some() || classed || class_confidence.is_some()) {
        wrong(
            "failure-only",
            "only the rule on failures says what a failed head condemns and which class it has",
            "take 'condemns', 'late', 'shut', 'early' and 'class_confidence' to 'about: failure'",
        );
    }
    if fails && class_confidence.is_some() && !classed {
        wrong(
            "mark-without-class",
            "the rule on failures says how far its classes can be relied on, and has none",
            "leave 'class_confidence' out, or give 'late', 'shut' or 'early' a class",
        );
    }
    if out.len() > complaints {
        return None;
    }
    let condemns = fails && condemns.unwrap_or(true);
    Some(SampleRule {
        matter: matter?,
        refuse,
        condemns,
        late,
        shut,
        early,
        class_confidence,
        text: text?,
        basis: basis?,
    })
}

/// What is measured in a range, from the lesser to the greater.
struct Measured<T> {
    key: &'static str,
    what: &'static str,
    parse: fn(&str) -> Result<T, String>,
    value: fn(&T) -> f64,
}

/// Two ends of a range, and where it stands.
type Ends<T> = (T, T, Range<usize>);

fn read_range<T: Display>(
    source: &Arc<Source>,
    f: &mut Fields<'_>,
    of: &Measured<T>,
    out: &mut Vec<Diagnostic>,
) -> Option<Ends<T>> {
    let node = f.take(of.key)?;
    let mut ends = Fields::of(source, node, of.what, out);
    let from = ends.need_parse("from", out, of.parse);
    let to = ends.need_parse("to", out, of.parse);
    ends.finish(out);
    let (from, to) = (from?, to?);
    if (of.value)(&from) > (of.value)(&to) {
        let message = format!("{} runs backwards, from {from} to {to}", of.what);
        let help = "write the lesser end behind 'from' and the greater behind 'to'";
        out.push(Diagnostic::error("range", source, node.span.clone(), message).help(help));
    }
    Some((from, to, node.span.clone()))
}

/// The conditions under which a test counts.
struct Method {
    oven: Option<Ends<Temperature>>,
    air: Option<Ends<Speed>>,
    start: Option<Ends<Temperature>>,
    basis: Option<Basis>,
}

fn read_method(source: &Arc<Source>, node: &Node, f: &mut Fields<'_>, out: &mut Vec<Diagnostic>) -> Method {
    let celsius = |t: &Temperature| t.celsius();
    let temperatures = |key, what| Measured { key, what, parse: Temperature::parse, value: celsius };
    let oven = read_range(source, f, &temperatures("oven", "the range of the oven"), out);
    let speeds = Measured {
        key: "air",
        what: "the range of the air",
        parse: Speed::parse,
        value: |s: &Speed| s.metres_per_second(),
    };
    let air = read_range(source, f, &speeds, out);
    let start = read_range(source, f, &temperatures("start", "the range of the start"), out);
    if let (Some((oven, _, span)), Some((_, start, _))) = (&oven, &start)
        && oven.celsius() <= start.celsius()
    {
        let message = format!("the oven may have {oven} where the head starts at {start}: it would not be heated");
        let help = "let the oven's range begin above the end of the start's";
        out.push(Diagnostic::error("range", source, span.clone(), message).help(help));
    }
    let told = f.take("method");
    let basis = told.and_then(|node| {
        let mut m = Fields::of(source, node, "the method's basis", out);
        let basis = read_basis(&mut m, out);
        m.finish(out);
        basis
    });
    let ranges = oven.is_some() || air.is_some() || start.is_some();
    if ranges != told.is_some() {
        let (message, help) = if ranges {
            let message = "ranges of oven, air or start stand here without saying where they come from";
            (message, "add 'method:' with 'clause', 'source' and 'confidence'")
        } else {
            (
                "'method' says where ranges come from, and none stands here",
                "add 'oven', 'air' or 'start', or leave 'method' out",
            )
        };
        out.push(Diagnostic::error("method", source, word_span(node), message).help(help));
    }
    Method { oven, air, start, basis }
}

pub(crate) fn read_limit(source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) -> Option<Row<Limit>> {
    let complaints = out.len();
    let mut f = Fields::of(source, node, "a limit", out);
    let id = f.need_parse("limit", out, word);
    let title = f.need_text("title", out);
    let (when, made) = read_where(source, &mut f, out);
    if made.is_some() {
        let message = "a limit does not ask for years made";
        out.push(Diagnostic::error("made-of-limit", source, word_span(node), message).help("leave 'made' out"));
    }
    let over = read_over(source, f.take("over"), out);
    let rti = f.parse("rti", out, Rti::parse);
    let rti_least = f.parse("rti_least", out, Rti::parse);
    let at_most = f.parse("time", out, |t| {
        Seconds::parse(t)
            .and_then(|s| if s.seconds() > 0.0 { Ok(s) } else { Err("no head opens in no time at all".to_owned()) })
    });
    let waterway = f.parse("waterway", out, Pressure::parse);
    let method = read_method(source, node, &mut f, out);
    let because = f.need_text("because", out);
    let basis = read_basis(&mut f, out);
    f.finish(out);
    if let (Some(least), Some(most)) = (rti_least, rti)
        && least.metric() >= most.metric()
    {
        let message =
            format!("the response time index is to be at least {least} and at most {most}: no head can be both");
        let help = "let 'rti_least' be less than 'rti'";
        out.push(Diagnostic::error("range", source, word_span(node), message).help(help));
    }
    if out.len() > complaints {
        return None;
    }
    let it = Limit {
        id: id?,
        title: title?,
        when,
        over: Vec::new(),
        rti,
        rti_least,
        at_most,
        waterway,
        oven: method.oven.map(|(from, to, _)| (from, to)),
        air: method.air.map(|(from, to, _)| (from, to)),
        start: method.start.map(|(from, to, _)| (from, to)),
        method: method.basis,
        because: because?,
        basis: basis?,
    };
    Some(Row { over, ..plain_row(source, node, it) })
}
