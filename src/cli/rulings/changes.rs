//! `headround rulings --against`: what another rule set would change at a site.

use serde::Serialize;

use super::super::session::{Done, Outcome, Session, many};
use super::super::table;
use super::Rulings;
use crate::diag::{Diagnostic, Severity};
use crate::round::rulings::{self, AdviceChanged, Advised, Against, Changed, Decided, DueBy, DueChanged, NotKnown};
use crate::round::state::State;
use crate::rules::model::{Class, Ruling};
use crate::tui::text;

/// The most columns a line takes.
const COLUMNS: usize = 120;

/// The most entries that are told one by one.
const MOST_TOLD: usize = 100;

#[derive(Serialize)]
struct Named<'a> {
    name: &'a str,
    title: &'a str,
    edition: &'a str,
}

#[derive(Serialize)]
struct Shown<'a> {
    from: Named<'a>,
    to: Named<'a>,
    listed: usize,
    heads: &'a [Changed],
    advice: &'a [AdviceChanged],
    due: &'a [DueChanged],
    not_known: &'a [NotKnown],
}

/// Shows what changes between two states of one record.
pub fn run(it: &Rulings, from: &State, to: &State, session: &mut Session<'_, '_>) -> Done {
    let mut found = rulings::against(from, to, session.today());
    found.heads.retain(|c| wanted(it, c));
    found.advice.retain(|a| {
        let sides = || [&a.from, &a.to].into_iter().flatten();
        (it.area.is_empty() || it.area.contains(&a.area))
            && (it.ruling.is_empty() || sides().any(|s| it.ruling.contains(&s.ruling)))
            && (it.class.is_empty() || sides().filter_map(|s| s.class).any(|c| it.class.contains(&c)))
    });
    // What falls due has neither ruling nor class.
    let by_ruling = !it.ruling.is_empty() || !it.class.is_empty();
    found.due.retain(|d| !by_ruling && (it.area.is_empty() || it.area.contains(&d.area)));
    let (old, new) = (named(from), named(to));
    if session.global.json {
        session.say_json(&Shown {
            from: old,
            to: new,
            listed: found.listed,
            heads: &found.heads,
            advice: &found.advice,
            due: &found.due,
            not_known: &found.not_known,
        })?;
    } else {
        session.say(&format!("{} -> {}", old.name, new.name))?;
        session.say(&format!("{} -> {}", old.title, new.title))?;
        session.say("")?;
        written(&found, new.name, session)?;
    }
    Ok(Outcome::of(!found.is_empty()))
}

fn named(state: &State) -> Named<'_> {
    let set = state.judge().set();
    Named { name: state.rules(), title: &set.title, edition: &set.edition }
}

fn wanted(it: &Rulings, change: &Changed) -> bool {
    let sides = [&change.from, &change.to];
    (it.area.is_empty() || it.area.contains(&change.head.area))
        && (it.ruling.is_empty() || sides.iter().filter_map(|s| s.ruling).any(|r| it.ruling.contains(&r)))
        && (it.class.is_empty() || sides.iter().filter_map(|s| s.class).any(|c| it.class.contains(&c)))
}

fn written(found: &Against, to: &str, session: &mut Session<'_, '_>) -> std::io::Result<()> {
    if found.heads.is_empty() {
        session.say("No head changes its ruling or its class.")?;
    } else {
        let cells: Vec<Vec<String>> = found.heads.iter().map(cells).collect();
        let head = ["HEAD", "KIND", "FROM", "BY", "TO", "BY", "REASON"];
        session.say_text(&table::fitted(&head, &cells, COLUMNS))?;
        session.say("")?;
        let n = found.heads.len();
        let verb = if n == 1 { "changes" } else { "change" };
        session.say(&format!("{n} of {} {verb}{}.", many(found.listed, "listed head"), sorts(&found.heads)))?;
    }
    if !found.advice.is_empty() {
        session.say("")?;
        session.say("What the register alone advises differently:")?;
        let cells: Vec<Vec<String>> = found.advice.iter().map(advice_cells).collect();
        session.say_text(&table::fitted(
            &["AREA", "KIND", "HEADS", "FROM", "TO", "RULE", "REASON"],
            &cells,
            COLUMNS,
        ))?;
    }
    if !found.due.is_empty() {
        session.say("")?;
        session.say("First due by age, where that changes (tests made since are not counted):")?;
        let cells: Vec<Vec<String>> = found.due.iter().map(due_cells).collect();
        session.say_text(&table::fitted(
            &["AREA", "KIND", "HEADS", "IN SERVICE", "FROM", "BY", "TO", "BY"],
            &cells,
            COLUMNS,
        ))?;
    }
    if !found.not_known.is_empty() {
        session.say("")?;
        session.say(&format!("Not judged under {to}, which does not know the words:"))?;
        for it in found.not_known.iter().take(MOST_TOLD) {
            let words = format!("{} (round {}, entry {}): {}", it.heads, it.round, it.entry, it.why);
            for (n, line) in text::wrap(&words, COLUMNS - 4).iter().enumerate() {
                session.say(&format!("{}{line}", if n == 0 { "  " } else { "    " }))?;
            }
        }
        let rest = found.not_known.len().saturating_sub(MOST_TOLD);
        if rest > 0 {
            session.say(&format!("  and {rest} more {}", if rest == 1 { "entry" } else { "entries" }))?;
        }
    }
    Ok(())
}

/// How many changes ask for more, how many for less, and how many are none of these because a set does not know the words.
fn sorts(heads: &[Changed]) -> String {
    let weight = |d: &Decided| (d.ruling, d.class);
    let (judged, not): (Vec<&Changed>, Vec<&Changed>) = heads.iter().partition(|c| c.from.known && c.to.known);
    let stricter = judged.iter().filter(|c| weight(&c.from) < weight(&c.to)).count();
    let not = if not.is_empty() { String::new() } else { format!(", {} not judged", not.len()) };
    format!(": {stricter} stricter, {} milder{not}", judged.len() - stricter)
}

fn said(ruling: Option<Ruling>, class: Option<Class>) -> String {
    let ruling = ruling.map_or_else(|| "-".to_owned(), |r| r.to_string());
    class.map_or_else(|| ruling.clone(), |c| format!("{ruling} ({c})"))
}

fn by(it: &Decided) -> String {
    match (&it.rule, &it.clause) {
        (Some(rule), Some(clause)) if !clause.is_empty() => format!("{rule}, {clause}"),
        (Some(rule), _) => rule.clone(),
        (None, _) => "-".to_owned(),
    }
}

fn cells(change: &Changed) -> Vec<String> {
    // What leads to the new ruling says why; where no rule does any more, what led to the old one.
    let why = if change.to.title.is_empty() { &change.from.title } else { &change.to.title };
    vec![
        change.head.to_string(),
        change.kind.clone(),
        said(change.from.ruling, change.from.class),
        by(&change.from),
        said(change.to.ruling, change.to.class),
        by(&change.to),
        if change.carried { format!("{why} (of an earlier round)") } else { why.clone() },
    ]
}

fn advice_cells(it: &AdviceChanged) -> Vec<String> {
    let side = |a: &Option<Advised>| a.as_ref().map_or_else(|| "-".to_owned(), |a| said(Some(a.ruling), a.class));
    vec![
        it.area.to_string(),
        it.kind.clone(),
        it.heads.to_string(),
        side(&it.from),
        side(&it.to),
        it.rule.clone(),
        it.title.clone(),
    ]
}

fn due_cells(it: &DueChanged) -> Vec<String> {
    let when = |due: &Option<DueBy>| match due {
        None => "-".to_owned(),
        Some(due) => {
            let day = due.on.map_or_else(|| "day not known".to_owned(), |d| d.to_string());
            let earlier = if due.made_unknown { " or earlier" } else { "" };
            format!("{day}{earlier} ({}){}", due.act, if due.past { " (past)" } else { "" })
        }
    };
    let by = |due: &Option<DueBy>| {
        due.as_ref().map_or_else(|| "no age asked".to_owned(), |d| format!("{}, {}", d.age, d.clause))
    };
    vec![
        it.area.to_string(),
        it.kind.clone(),
        it.heads.to_string(),
        it.since.map_or_else(|| "not known".to_owned(), |s| s.to_string()),
        when(&it.from),
        by(&it.from),
        when(&it.to),
        by(&it.to),
    ]
}

/// A warning for every standing entry whose words the set that judges does not know.
pub fn not_known(state: &State, file: &str) -> Vec<Diagnostic> {
    let all = rulings::not_known(state);
    let warn = |why: String| Diagnostic::about(Severity::Warning, "does-not-fit", file, why);
    let mut list: Vec<Diagnostic> = all
        .iter()
        .take(MOST_TOLD)
        .map(|it| {
            warn(format!("entry {}: {}", it.entry, it.why)).help(format!(
                "'{}' counts as not judged under '{}'",
                it.heads,
                crate::diag::plain(state.rules())
            ))
        })
        .collect();
    let rest = all.len().saturating_sub(MOST_TOLD);
    if rest > 0 {
        list.push(warn(format!("{rest} more of the same ('does-not-fit') are not shown")));
    }
    list
}
