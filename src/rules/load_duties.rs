//! Reads what a rule file says beyond its rules: clearances, the classes' meanings, reasons for not reaching a head,
//! impairment, recalled numbers, retention.

use std::sync::Arc;

use super::load::{Draft, enough, section, truth, word};
use super::model::{Class, ClassMeaning, Clearance, Clock, Confidence, Duty, Excuse, Within};
use crate::diag::tree::Fields;
use crate::diag::{Diagnostic, Source};
use crate::trade::kind::Style;
use crate::trade::quantity::Length;
use crate::trade::register_text::read_recall;

fn read_duty(f: &mut Fields<'_>, key: &'static str, out: &mut Vec<Diagnostic>) -> Option<Duty> {
    let text = f.need_text(key, out);
    let clause = f.need_text("clause", out);
    let origin = f.need_text("source", out);
    let confidence = f.need_parse("confidence", out, Confidence::parse);
    Some(Duty { text: text?, clause: clause?, source: origin?, confidence: confidence? })
}

/// Reads the duties into the draft; those of an extending set take the place of inherited ones of the same key.
pub(crate) fn read_duties(draft: &mut Draft, source: &Arc<Source>, top: &mut Fields<'_>, out: &mut Vec<Diagnostic>) {
    for item in section(source, top, "clearances", out) {
        if enough(out) {
            break;
        }
        let mut f = Fields::of(source, item, "a clearance", out);
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
    for item in section(source, top, "classes", out) {
        if enough(out) {
            break;
        }
        let mut f = Fields::of(source, item, "a class", out);
        let class = f.need_parse("class", out, Class::parse);
        let duty = read_duty(&mut f, "means", out);
        f.finish(out);
        if let (Some(class), Some(duty)) = (class, duty) {
            draft.classes.retain(|c| c.class != class);
            draft.classes.push(ClassMeaning { class, duty });
        }
    }
    for item in section(source, top, "unreached", out) {
        if enough(out) {
            break;
        }
        let mut f = Fields::of(source, item, "a reason for not reaching", out);
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
    for item in section(source, top, "retention", out) {
        if enough(out) {
            break;
        }
        let mut f = Fields::of(source, item, "a retention rule", out);
        let duty = read_duty(&mut f, "text", out);
        f.finish(out);
        draft.retention.extend(duty);
    }
    for item in section(source, top, "recalled", out) {
        if enough(out) {
            break;
        }
        draft.recalled.extend(read_recall(source, item, out));
    }
    if let Some(node) = top.take("impairment") {
        let mut f = Fields::of(source, node, "the impairment duty", out);
        let tell = f.list("tell", out, |t| Ok(t.to_owned()));
        let steps = f.list("steps", out, |t| Ok(t.to_owned()));
        let mut clocks = Vec::new();
        for item in section(source, &mut f, "clocks", out) {
            if enough(out) {
                break;
            }
            let mut c = Fields::of(source, item, "a clock", out);
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
