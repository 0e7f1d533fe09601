//! Where a sample went, and what a laboratory concluded.

use std::path::Path;

use super::super::session::{Done, Failure, Session, many};
use super::tell::{Told, record};
use super::{Conclude, Hand, find, open, refuse, said, tags_of};
use crate::diag::plain;
use crate::record::desk::Desk;
use crate::round::entry::{Concluded, Custody, Marks, Step, What};
use crate::round::lots::{self, Lot};

/// Records a step of custody.
pub(super) fn hand(file: &Path, it: &Hand, session: &mut Session<'_, '_>) -> Done {
    let mut desk = open(file, session)?;
    let lot = find(desk.state(), &it.lot, file)?;
    if lot.samples.is_empty() {
        return Err(refuse("not-drawn", file, format!("lot '{}' has no sample yet", lot.id), "draw it first"));
    }
    let tags = tags(&lot, it, file)?;
    if it.step == Step::HandedOver && said(it.to.as_ref()).is_none() {
        return Err(refuse("missing-option", file, "it does not say to whom".to_owned(), "add '--to WHO'"));
    }
    if let Some(date) = it.date.filter(|d| *d > session.today()) {
        return Err(refuse("in-the-future", file, format!("{date} is yet to come"), "write it down once it is done"));
    }
    let mut lines = Vec::new();
    let meant = |tag: &str| tags.is_empty() || tags.iter().any(|t| t == tag);
    let hang = lot.samples.iter().filter(|s| s.taken.is_none() && meant(&s.tag)).count();
    if hang > 0 {
        let n = many(hang, "head");
        lines.push(format!("not written down yet that they were taken down and replaced: {n}; the walk does that"));
    }
    lines.extend(lot.odd_step(desk.state(), it.step, &tags));
    let to = said(it.to.as_ref());
    let whom = to.as_deref().map_or(String::new(), |t| format!(" to {}", plain(t)));
    let which = if tags.is_empty() { many(lot.samples.len(), "head") } else { tags.join(", ") };
    let headline = format!("{}{whom}: {which} of lot {}", capital(it.step.as_str()), lot.id);
    let date = it.date;
    let what = Custody {
        lot: lot.id.clone(),
        step: it.step,
        tags,
        from: said(it.from.as_ref()),
        to,
        on: date,
        note: said(it.note.as_ref()),
    };
    let told = Told { headline, lots: vec![lot.id], lines, more: serde_json::json!({}) };
    record(file, &mut desk, vec![(What::Custody(Box::new(what)), Marks::default())], |_: &Desk| told, session)
}

/// A word of the record at the start of a sentence.
fn capital(word: &str) -> String {
    let word = word.replace('-', " ");
    let mut rest = word.chars();
    rest.next().map_or_else(String::new, |first| first.to_uppercase().chain(rest).collect())
}

/// Tags as they were given to the heads.
fn tags(lot: &Lot, it: &Hand, file: &Path) -> Result<Vec<String>, Failure> {
    let mut tags = Vec::new();
    for tag in &it.tag {
        let Some(sample) = lot.tagged(tag) else {
            let message = format!("no head of lot '{}' bears the tag '{}'", lot.id, plain(tag));
            return Err(refuse("unknown-tag", file, message, &format!("its tags: {}", tags_of(lot))));
        };
        if !tags.contains(&sample.tag) {
            tags.push(sample.tag.clone());
        }
    }
    Ok(tags)
}

/// Records a laboratory's result.
pub(super) fn conclude(file: &Path, it: &Conclude, session: &mut Session<'_, '_>) -> Done {
    let mut desk = open(file, session)?;
    let lot = find(desk.state(), &it.lot, file)?;
    let Some(lab) = said(Some(&it.lab)) else {
        return Err(refuse("missing-option", file, "it does not say who says so".to_owned(), "add '--lab WHO'"));
    };
    if it.date.earliest().is_some_and(|d| d > session.today()) {
        let message = format!("{} is yet to come", it.date);
        return Err(refuse("in-the-future", file, message, "write a result down once there is one"));
    }
    let heads = u32::try_from(lot.heads.len()).unwrap_or(u32::MAX);
    if let Some(n) = it.tested.filter(|n| *n == 0 || *n > heads) {
        let message = format!("{n} heads cannot have been tested of a lot of {heads}");
        return Err(refuse("bad-number", file, message, "say how many heads of the lot were operated"));
    }
    let mut lines = Vec::new();
    let failed_before = lot.concluded.and_then(|ix| lots::concluded(desk.state(), ix)).is_some_and(|(_, c)| !c.passed);
    if it.passed && failed_before {
        let message = format!("a result on record says that lot '{}' failed", lot.id);
        let help =
            "that stands until it is taken back by who wrote it, in the round it was written in ('undo' in the walk)";
        return Err(refuse("failed-on-record", file, message, help));
    }
    if it.passed && lot.outcome.failure.is_some() {
        let n = many(lot.outcome.failed as usize, "head");
        lines.push(format!("the record holds the tests of {n} that failed: the lot stays condemned"));
    } else if it.passed && lot.outcome.failed > 0 {
        let n = many(lot.outcome.failed as usize, "head");
        lines.push(format!("the record holds the tests of {n} that failed; the adopted set leaves what that means to whoever says so here"));
    }
    let asked = lot.outcome.asked.heads;
    if let Some(n) = it.tested.filter(|n| *n < asked) {
        lines.push(format!("{n} tested, and the rule set asks for {asked}: that is not enough to have passed"));
    }
    let word = if it.passed { "passed" } else { "failed" };
    let headline = format!("Concluded: lot {} {word}, says {} of {}", lot.id, plain(&lab), it.date);
    let what = Concluded {
        lot: lot.id.clone(),
        on: it.date,
        passed: it.passed,
        by: lab,
        tested: it.tested,
        note: said(it.note.as_ref()),
    };
    let told = Told { headline, lots: vec![lot.id], lines, more: serde_json::json!({}) };
    record(file, &mut desk, vec![(What::Concluded(Box::new(what)), Marks::default())], |_: &Desk| told, session)
}
