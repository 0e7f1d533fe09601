//! Which spare fits a head: what lies in the cabinets, compared field by field under the rule set.

use std::path::Path;

use super::super::session::{Done, Outcome, Session};
use super::Fits;
use super::names::{heads_there, kind_index};
use super::show::{aligned, mark_words};
use crate::diag::{Diagnostic, Severity, plain};
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::round::stock::{self, Candidate};
use crate::rules::fit::FieldFit;
use crate::rules::spares::FitVerdict;
use crate::trade::address::{Address, Heads};
use crate::tui::text;

/// What stands under every answer.
const CAUTION: &str = "What goes in must be listed and suit its place; the adopted code and the authority decide. Work on a live \
                       system is for licensed people under an impairment procedure.";

/// Answers.
pub(super) fn run(file: &Path, it: &Fits, session: &mut Session<'_, '_>) -> Done {
    let shown = file.display().to_string();
    let today = session.today();
    let desk = session.read(file)?;
    let state = desk.state();
    let head = head_of(state, &it.head, &shown)?;
    let ledger = stock::ledger(state);
    let mut list = stock::candidates(state, &ledger, head, today);
    if let Some(spare) = &it.spare {
        let kind = kind_index(state, spare, &shown)?;
        list.retain(|c| c.kind == kind);
        if list.is_empty() {
            list.extend(stock::candidate(state, head, kind, today));
        }
    }
    let fits = list.iter().any(|c| c.verdict() <= FitVerdict::May && c.cabinet.is_some());
    if session.global.json {
        session.say_json(&json(state, head, &list, &shown))?;
        return Ok(Outcome::of(!fits));
    }
    let columns = session.around.columns.map_or(super::super::COLUMNS, |c| c.clamp(60, 120));
    let text = page(state, head, &list, it.spare.is_some(), columns);
    session.say_text(&text)?;
    Ok(Outcome::of(!fits))
}

/// The head of an address; of a kind the first head that is of it.
fn head_of(state: &State, text: &str, file: &str) -> Result<HeadIx, Box<Diagnostic>> {
    if text.contains('/') {
        let address = Address::parse(text).map_err(|why| {
            let it = Diagnostic::about(Severity::Error, "bad-address", file, why);
            Box::new(it.help("an address is AREA/LINE.PLACE, such as hall/1.2"))
        })?;
        let there = heads_there(state, &Heads::single(&address), file)?;
        return there.first().copied().ok_or_else(|| {
            Box::new(Diagnostic::about(Severity::Error, "unknown-head", file, format!("the site has no head '{text}'")))
        });
    }
    let kind = kind_index(state, text, file)?;
    let areas = 0..u16::try_from(state.register().areas.len()).unwrap_or(u16::MAX);
    let mut heads = areas.flat_map(|area| crate::round::act::heads_in_order(state, area));
    heads.find(|h| state.layout().head(*h).is_some_and(|h| h.kind == kind)).ok_or_else(|| {
        let message = format!("no head of kind '{}' is installed", plain(text));
        let it = Diagnostic::about(Severity::Error, "not-installed", file, message);
        Box::new(it.help("ask about a head, and name the kind with '--spare'"))
    })
}

fn name(state: &State, kind: crate::trade::register::KindIx) -> String {
    state.register().kind(kind).map_or_else(String::new, |k| k.id.clone())
}

fn make_up(state: &State, kind: crate::trade::register::KindIx) -> String {
    state.register().kind(kind).map_or_else(String::new, |k| k.describe(state.register().site.units))
}

/// A verdict in words.
const fn words(verdict: FitVerdict) -> &'static str {
    match verdict {
        FitVerdict::Same => "fits",
        FitVerdict::May => "may go in, on the grounds named",
        FitVerdict::Ask => "ask the designer or the authority first",
        FitVerdict::Never => "must not go in",
    }
}

fn where_it_lies(c: &Candidate) -> String {
    match &c.cabinet {
        None => "no cabinet".to_owned(),
        Some(id) if c.serves => id.to_string(),
        Some(id) => format!("{id} (serves other areas)"),
    }
}

/// Why it is not simply the same, in one clause.
fn why(c: &Candidate) -> String {
    let first = c.fit.differing().first().map(|f| f.field.name().to_owned());
    let more = c.fit.differing().len().saturating_sub(1);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    match (c.too_old, c.fit.recalled, first) {
        (true, _, _) => "too old to be used as a spare".to_owned(),
        (_, true, _) => "its number is recalled".to_owned(),
        (_, _, Some(field)) => format!("differs in {field}{more}"),
        (_, _, None) => String::new(),
    }
}

fn page(state: &State, head: HeadIx, list: &[Candidate], one: bool, columns: usize) -> String {
    let mut out = String::new();
    let mut line = |text: &str| {
        for (n, part) in text::wrap(&plain(text), columns).iter().enumerate() {
            out.push_str(if n == 0 { "" } else { "  " });
            out.push_str(part);
            out.push('\n');
        }
    };
    let kind = state.layout().head(head).map(|h| h.kind);
    let address = state.address(head).map_or_else(String::new, |a| a.to_string());
    line(&format!(
        "{address} is {}: {}",
        kind.map_or_else(String::new, |k| name(state, k)),
        kind.map_or_else(String::new, |k| make_up(state, k))
    ));
    if list.is_empty() {
        line("No cabinet holds a spare that may be used.");
    }
    if !list.is_empty() {
        let rows = list.iter().map(|c| {
            let there = c.there.to_string();
            vec![c.verdict().to_string(), name(state, c.kind), where_it_lies(c), there, why(c)]
        });
        out.push('\n');
        out.push_str(&aligned(&["VERDICT", "SPARE", "CABINET", "#THERE", "WHY"], rows.collect(), columns));
    }
    let mut met: Vec<crate::trade::register::KindIx> = Vec::new();
    for c in list {
        if met.contains(&c.kind) {
            continue;
        }
        met.push(c.kind);
        let first = met.len() == 1;
        // The best one is told in full, the others by what they differ in.
        let fields: Vec<&FieldFit> = c.fit.fields.iter().filter(|f| one || first || f.differs.is_some()).collect();
        out.push('\n');
        out.push_str(&plain(&format!("{}: {}", name(state, c.kind), words(c.verdict()))));
        out.push('\n');
        let rows = fields.iter().map(|f| {
            let clause = match f.confidence {
                Some(mark) if !f.clause.is_empty() => format!("{} [{mark}]", f.clause),
                _ => String::new(),
            };
            vec![f.field.name().to_owned(), f.head.clone(), f.spare.clone(), f.verdict.to_string(), clause]
        });
        if !fields.is_empty() {
            out.push_str(&aligned(&["FIELD", "HEAD", "SPARE", "VERDICT", "CLAUSE"], rows.collect(), columns));
        }
        let recalled = c.fit.recalled.then(|| c.fit.reasons().first().map(|r| (*r).to_owned())).flatten();
        let of_fields = c.fit.differing().into_iter().map(|f| format!("{}: {}", f.field.name(), f.because));
        for reason in recalled.into_iter().chain(of_fields) {
            for (n, part) in text::wrap(&plain(&reason), columns.saturating_sub(5)).iter().enumerate() {
                out.push_str(if n == 0 { "  -> " } else { "     " });
                out.push_str(part);
                out.push('\n');
            }
        }
    }
    let marks = list.iter().flat_map(|c| &c.fit.fields).filter(|f| !f.clause.is_empty()).filter_map(|f| f.confidence);
    let marks = mark_words(marks);
    out.push('\n');
    for part in text::wrap(&[marks.as_str(), CAUTION].join(" "), columns) {
        out.push_str(&part);
        out.push('\n');
    }
    out
}

fn json(state: &State, head: HeadIx, list: &[Candidate], file: &str) -> serde_json::Value {
    let kind = state.layout().head(head).map(|h| h.kind);
    let field = |f: &FieldFit| {
        serde_json::json!({
            "field": f.field,
            "head": f.head,
            "spare": f.spare,
            "differs": f.differs,
            "verdict": f.verdict,
            "because": f.because,
            "clause": f.clause,
            "confidence": f.confidence,
            "row": f.row,
        })
    };
    let one = |c: &Candidate| {
        serde_json::json!({
            "kind": name(state, c.kind),
            "make_up": make_up(state, c.kind),
            "cabinet": c.cabinet,
            "serves": c.serves,
            "there": c.there,
            "verdict": c.verdict(),
            "recalled": c.fit.recalled,
            "too_old": c.too_old,
            "fields": c.fit.fields.iter().map(field).collect::<Vec<_>>(),
        })
    };
    serde_json::json!({
        "file": file,
        "head": state.address(head).map(|a| a.to_string()),
        "kind": kind.map(|k| name(state, k)),
        "make_up": kind.map(|k| make_up(state, k)),
        "spares": list.iter().map(one).collect::<Vec<_>>(),
    })
}
