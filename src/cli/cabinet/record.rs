//! Recording counts, movements, looks, posted lists and cabinets. Names are checked first; what cannot be meant is refused.

use std::collections::BTreeMap;
use std::path::Path;

use super::super::rulings::area_index;
use super::super::session::{Done, Failure, Session};
use super::names::{cabinet_index, heads_there, kind_index, kinds_and_numbers, unknown};
use super::tell::{Told, record};
use super::{Add, Count, Look, Move, Post};
use crate::diag::{Diagnostic, Severity, plain};
use crate::record::desk::Desk;
use crate::round::entry::{Checked, Counted, Moved, NewCabinet, Posted, Way, What};
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::round::stock::{self, Matter, lists, wrenches_needed};
use crate::rules::spares::FitVerdict;
use crate::trade::address::Heads;
use crate::trade::register::KindIx;

/// Opens the site for writing, in the round asked for.
fn open(file: &Path, session: &mut Session<'_, '_>) -> Result<Desk, Failure> {
    let round = session.global.round.clone();
    session.write(file, round.as_deref())
}

fn refuse(code: &'static str, file: &Path, message: String, help: &str) -> Failure {
    Diagnostic::about(Severity::Error, code, file.display().to_string(), message).help(help).into()
}

/// A text that says something.
fn said(text: Option<&String>) -> Option<String> {
    text.map(|t| t.trim().to_owned()).filter(|t| !t.is_empty())
}

fn indices(state: &State, kinds: &BTreeMap<String, u32>) -> Vec<KindIx> {
    let mut list: Vec<KindIx> = kinds.keys().filter_map(|k| state.register().kind_named(k)).collect();
    list.sort_unstable();
    list
}

/// Records a count.
pub(super) fn count(file: &Path, it: &Count, session: &mut Session<'_, '_>) -> Done {
    let mut desk = open(file, session)?;
    let (state, shown) = (desk.state(), file.display().to_string());
    cabinet_index(state, &it.cabinet, &shown)?;
    let held = kinds_and_numbers(state, &it.held, &shown)?;
    let unfit = kinds_and_numbers(state, &it.unfit, &shown)?;
    for (kind, n) in &unfit {
        let Some(all) = held.get(kind) else {
            let message = format!("'{}' is not among the kinds counted", plain(kind));
            return Err(refuse("not-counted", file, message, "say how many lie there: KIND=N"));
        };
        if n > all {
            let message = format!("of {all} heads of '{}' {n} cannot be unfit", plain(kind));
            return Err(refuse("too-many-unfit", file, message, "a count takes in the unfit ones"));
        }
    }
    let kinds = indices(state, &held);
    let heads: u64 = held.values().map(|n| u64::from(*n)).sum();
    let headline = format!("Counted: cabinet '{}', {}", it.cabinet, heads_words(heads));
    let unfit = unfit.into_iter().filter(|(_, n)| *n > 0).collect();
    let what = Counted { cabinet: it.cabinet.clone(), held, unfit, note: said(it.note.as_ref()) };
    let matters = [Matter::NotInstalled, Matter::TooOld, Matter::Recalled, Matter::List];
    let told = Told { cabinet: &it.cabinet, kinds, headline, matters: &matters, next: None };
    record(file, &mut desk, What::Counted(Box::new(what)), &told, session)
}

fn heads_words(n: u64) -> String {
    if n == 1 { "1 head".to_owned() } else { format!("{n} heads") }
}

/// Records spares put in, taken out or thrown away.
pub(super) fn moved(file: &Path, it: &Move, way: Way, head: Option<&Heads>, session: &mut Session<'_, '_>) -> Done {
    let mut desk = open(file, session)?;
    let (state, shown) = (desk.state(), file.display().to_string());
    let cabinet = cabinet_index(state, &it.cabinet, &shown)?;
    let kind = kind_index(state, &it.kind, &shown)?;
    let mut warnings = Vec::new();
    if let Some(heads) = head {
        let there = heads_there(state, heads, &shown)?;
        if there.len() != it.n as usize {
            let message = format!("'{heads}' is {}, and {} are taken", heads_words(there.len() as u64), it.n);
            return Err(refuse(
                "other-number",
                file,
                message,
                "one spare goes with each head; leave '--for' out for the rest",
            ));
        }
        warnings.extend(unlike(state, kind, &there, session.today(), &shown));
    }
    if way == Way::TakenOut {
        warnings.extend(unfit_taken(state, cabinet, kind, it, &shown));
    }
    let word = match way {
        Way::PutIn => "Put in",
        Way::TakenOut => "Taken out",
        Way::Discarded => "Thrown away",
    };
    let whom = head.map_or(String::new(), |h| format!(" for {h}"));
    let headline = format!("{word}: {} of '{}'{whom}, cabinet '{}'", it.n, it.kind, it.cabinet);
    let next = head.map(|h| {
        format!(
            "The replacement of {h} is not recorded by this: the walk does that, and takes its spare out by itself where it is \
             told from which cabinet. Do not record both."
        )
    });
    let what = Moved {
        cabinet: it.cabinet.clone(),
        kind: it.kind.clone(),
        n: it.n,
        way,
        head: head.cloned(),
        note: said(it.note.as_ref()),
    };
    let matters: &[Matter] = if way == Way::PutIn {
        &[Matter::NotInstalled, Matter::TooOld, Matter::Recalled]
    } else {
        &[Matter::NotInstalled, Matter::Unfit, Matter::TooOld, Matter::Recalled]
    };
    let told = Told { cabinet: &it.cabinet, kinds: vec![kind], headline, matters, next };
    let done = record(file, &mut desk, What::Moved(Box::new(what)), &told, session)?;
    session.tell(&warnings)?;
    Ok(done)
}

/// A warning where the rule set does not let the spare take the place of a head that it is taken for.
fn unlike(state: &State, kind: KindIx, there: &[HeadIx], today: chrono::NaiveDate, file: &str) -> Option<Diagnostic> {
    let candidates = there.iter().filter_map(|h| Some((*h, stock::candidate(state, *h, kind, today)?)));
    let (head, worst) = candidates.max_by_key(|(_, c)| c.verdict()).filter(|(_, c)| c.verdict() >= FitVerdict::Ask)?;
    let address = state.address(head).map_or_else(String::new, |a| a.to_string());
    let spare = state.register().kind(kind).map_or("", |k| k.id.as_str());
    let so = if worst.verdict() == FitVerdict::Never { "must not go in at" } else { "is not simply the like of" };
    let differing = worst.fit.differing();
    let why = match differing.first() {
        _ if worst.too_old => "it has grown too old".to_owned(),
        _ if worst.fit.recalled => "its number is recalled".to_owned(),
        Some(f) => format!("{} {} there, {} here", f.field.name(), f.head, f.spare),
        None => String::new(),
    };
    let it = Diagnostic::about(Severity::Warning, "unlike", file, format!("'{}' {so} {address}: {why}", plain(spare)));
    Some(it.help(format!("field by field: headround cabinet {file} fits {address} --spare {}", plain(spare))))
}

/// A warning where fewer spares of the kind may be used than are taken.
fn unfit_taken(state: &State, cabinet: usize, kind: KindIx, it: &Move, file: &str) -> Option<Diagnostic> {
    let ledger = stock::ledger(state);
    let holding = ledger.shelves.get(cabinet)?.holding(kind)?;
    if holding.unfit == 0 || holding.fit() >= it.n {
        return None;
    }
    let message = format!(
        "of the {} of '{}' that the ledger held {} must not be used",
        holding.held,
        plain(&it.kind),
        holding.unfit
    );
    let it = Diagnostic::about(Severity::Warning, "unfit-taken", file, message);
    Some(it.help("a painted, dented, dropped or used head is thrown away: record that with 'discard'"))
}

/// The word of a wrench as entries hold it: `-` is that of kinds which name none.
fn wrench(state: &State, cabinet: usize, name: &str, file: &str) -> Result<String, Failure> {
    let word = if name == "-" { "" } else { name.trim() };
    let needed = state.register().cabinets.get(cabinet).map(|c| wrenches_needed(state, c)).unwrap_or_default();
    let of_kinds = state.register().kinds.iter().filter_map(|k| k.wrench.as_deref());
    if needed.contains_key(word) || of_kinds.clone().any(|w| w == word) {
        return Ok(word.to_owned());
    }
    if word.is_empty() {
        let message = "every kind that this cabinet serves names its wrench".to_owned();
        let known: Vec<&str> = needed.keys().map(String::as_str).collect();
        let it = Diagnostic::about(Severity::Error, "unknown-wrench", file, message);
        return Err(it.help(format!("name it: {}", known.join(", "))).into());
    }
    let known: Vec<&str> = of_kinds.chain(needed.contains_key("").then_some("-")).collect();
    let mut known: Vec<&str> = known;
    known.sort_unstable();
    known.dedup();
    let message = format!("no kind of the register asks for a wrench '{}'", plain(word));
    Err(unknown("unknown-wrench", file, &message, word, "wrenches", known.iter().copied()).into())
}

/// Records what was seen of a cabinet itself.
pub(super) fn look(file: &Path, it: &Look, session: &mut Session<'_, '_>) -> Done {
    let mut desk = open(file, session)?;
    let (state, shown) = (desk.state(), file.display().to_string());
    let cabinet = cabinet_index(state, &it.cabinet, &shown)?;
    let mut wrenches = BTreeMap::new();
    for (names, there) in [(&it.wrench, true), (&it.no_wrench, false)] {
        for name in names {
            let word = wrench(state, cabinet, name, &shown)?;
            if wrenches.insert(word, there).is_some_and(|before| before != there) {
                let message = format!("wrench '{}' cannot be there and missing", plain(name));
                return Err(refuse("contradiction", file, message, "name it once"));
            }
        }
    }
    let what = Checked {
        cabinet: it.cabinet.clone(),
        wrenches,
        list: it.list,
        warmest: it.warmest,
        dry: it.dry,
        place: it.place,
        note: said(it.note.as_ref()),
    };
    let nothing = Checked {
        cabinet: it.cabinet.clone(),
        wrenches: BTreeMap::new(),
        list: None,
        warmest: None,
        dry: None,
        place: None,
        note: None,
    };
    if what == nothing {
        let message = "nothing is said that was looked at".to_owned();
        return Err(refuse("nothing-said", file, message, "add --wrench, --list, --warmest, --dry, --place or --note"));
    }
    let matters = [Matter::Wrench, Matter::List, Matter::Temperature, Matter::Dryness, Matter::Place];
    let headline = format!("Looked at: cabinet '{}'", it.cabinet);
    let told = Told { cabinet: &it.cabinet, kinds: Vec::new(), headline, matters: &matters, next: None };
    record(file, &mut desk, What::Checked(Box::new(what)), &told, session)
}

/// Records that a list was posted.
pub(super) fn post(file: &Path, it: &Post, session: &mut Session<'_, '_>) -> Done {
    let mut desk = open(file, session)?;
    let (state, shown) = (desk.state(), file.display().to_string());
    let cabinet = cabinet_index(state, &it.cabinet, &shown)?;
    let mut keep = kinds_and_numbers(state, &it.keep, &shown)?;
    if keep.is_empty() {
        let ledger = stock::ledger(state);
        let today = session.today();
        let required = stock::required(state, &ledger, today);
        let (_, list) = lists::to_post(state, &ledger, &required, cabinet, today);
        let name = |ix: KindIx| state.register().kind(ix).map(|k| k.id.clone());
        keep = list.into_iter().filter_map(|(ix, n)| Some((name(ix)?, n))).collect();
    }
    if keep.values().all(|n| *n == 0) {
        let message = "a list without a head is none".to_owned();
        return Err(refuse("empty-list", file, message, "say what is kept: KIND=N"));
    }
    let kept: Vec<String> = keep.iter().map(|(k, n)| format!("{k} {n}")).collect();
    let date = it.date.unwrap_or_else(|| session.today());
    let headline = format!("Posted: list of cabinet '{}', dated {date}, with {}", it.cabinet, kept.join(", "));
    let what = Posted { cabinet: it.cabinet.clone(), date, keep };
    let next = format!("Print it with: headround report {shown} --to posted-list --cabinet {}", it.cabinet);
    let told = Told { cabinet: &it.cabinet, kinds: Vec::new(), headline, matters: &[Matter::List], next: Some(next) };
    record(file, &mut desk, What::Posted(Box::new(what)), &told, session)
}

/// Adds a cabinet.
pub(super) fn add(file: &Path, it: &Add, session: &mut Session<'_, '_>) -> Done {
    let mut desk = open(file, session)?;
    let (state, shown) = (desk.state(), file.display().to_string());
    if state.register().cabinet_named(it.cabinet.as_str()).is_some() {
        let message = format!("a cabinet named '{}' exists already", it.cabinet);
        return Err(refuse("cabinet-exists", file, message, "give the new one a name of its own"));
    }
    for area in &it.serves {
        area_index(state, area, &shown)?;
    }
    let name = session.need(it.name.as_deref(), "--name", "What is the cabinet called?")?;
    let headline = format!("Added: cabinet '{}', {}", it.cabinet, plain(&name));
    let what = NewCabinet { id: it.cabinet.clone(), name, place: said(it.place.as_ref()), serves: it.serves.clone() };
    let next = format!("Count it with: headround cabinet {shown} count {} KIND=N …", it.cabinet);
    let told = Told { cabinet: &it.cabinet, kinds: Vec::new(), headline, matters: &[], next: Some(next) };
    record(file, &mut desk, What::NewCabinet(Box::new(what)), &told, session)
}
