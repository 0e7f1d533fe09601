//! `headround rulings`: one row a ruled head, with what must happen and why; under another rule set too.

mod changes;

use std::path::PathBuf;

use clap::{Args, ValueHint};

use super::rules;
use super::session::{Done, Failure, Outcome, Session};
use super::table;
use crate::diag::{Diagnostic, Severity, nearest};
use crate::round::rulings::{self, Became, Filter, RulingRow};
use crate::round::state::State;
use crate::round::story::weight;
use crate::rules::model::{Class, Ruling};
use crate::trade::address::AreaId;

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround rulings harbour.site.yaml
  headround rulings harbour.site.yaml --ruling replace --ruling test
  headround rulings harbour.site.yaml --class impairment,critical --area pack --json
  headround rulings harbour.site.yaml --against nfpa25-2020

A head is listed where the round records a finding on it, or an earlier round left one open. '-' as ruling: this round \
says nothing of it yet. With --strict the exit code is 1 where a listed head asks for something.

With --rules the same record is judged by another set; nothing in the file changes. With --against only those heads are \
listed on which the other set's ruling or class differs, with the leading rule of either; --ruling and --class then take \
a head where either side is meant, and with --strict the exit code is 1 where anything differs.")]
pub struct Rulings {
    /// The site file
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: PathBuf,

    /// Only heads with this ruling: keep, watch, look, clean, correct, test or replace
    #[arg(long, value_name = "RULING", value_delimiter = ',', value_parser = Ruling::parse)]
    pub ruling: Vec<Ruling>,

    /// Only heads of this area
    #[arg(long, value_name = "AREA", value_delimiter = ',', value_parser = AreaId::parse)]
    pub area: Vec<AreaId>,

    /// Only heads with a finding of this class: impairment, critical, noncritical or advisory
    #[arg(long, value_name = "CLASS", value_delimiter = ',', value_parser = Class::parse)]
    pub class: Vec<Class>,

    /// Judge the record by this rule set: a name, or the path of a rule-set file
    #[arg(long, value_name = "SET", value_hint = ValueHint::FilePath)]
    pub rules: Option<String>,

    /// Show only what this rule set would change: a name, or the path of a rule-set file
    #[arg(long, value_name = "SET", value_hint = ValueHint::FilePath)]
    pub against: Option<String>,
}

/// Lists them.
pub fn run(it: &Rulings, session: &mut Session<'_, '_>) -> Done {
    let desk = session.read(&it.file)?;
    for area in &it.area {
        area_index(desk.state(), area, &it.file.display().to_string())?;
    }
    let other = match &it.rules {
        Some(set) => Some(judged_by(set, it, desk.state(), session)?),
        None => None,
    };
    let state = other.as_ref().unwrap_or_else(|| desk.state());
    if other.is_some() {
        session.tell(&changes::not_known(state, &it.file.display().to_string()))?;
    }
    if let Some(set) = &it.against {
        let other = judged_by(set, it, state, session)?;
        return changes::run(it, state, &other, session);
    }
    let filter = Filter { rulings: it.ruling.clone(), classes: it.class.clone(), areas: it.area.clone() };
    let today = session.today();
    let rows: Vec<RulingRow> = rulings::rows(state, today).into_iter().filter(|r| filter.takes(r)).collect();
    if session.global.json {
        session.say_json(&rows)?;
    } else if rows.is_empty() {
        session.say("No head is listed: nothing was recorded that such a ruling follows from.")?;
    } else {
        let cells: Vec<Vec<String>> = rows.iter().map(cells).collect();
        let head = ["HEAD", "KIND", "RULING", "CLASS", "SIGNS", "CLAUSE", "REASON"];
        session.say_text(&table::aligned(&head, &cells))?;
    }
    Ok(Outcome::of(rows.iter().any(|r| r.ruling.is_none_or(|r| r > Ruling::Keep))))
}

/// The same record judged by the set of that name or path.
fn judged_by(set: &str, it: &Rulings, state: &State, session: &Session<'_, '_>) -> Result<State, Failure> {
    let (set, name) = rules::load_for(set, &it.file, session)?;
    Ok(state.rejudged(set, &name))
}

/// The area's index; a name that is not there is told with the nearest one.
pub fn area_index(state: &State, area: &AreaId, file: &str) -> Result<u16, Box<Diagnostic>> {
    let at = state.register().area_named(area.as_str()).and_then(|i| u16::try_from(i).ok());
    at.ok_or_else(|| {
        let it = Diagnostic::about(Severity::Error, "unknown-area", file, format!("the site has no area '{area}'"));
        let known: Vec<&str> = state.register().areas.iter().map(|a| a.id.as_str()).collect();
        Box::new(it.help(match nearest(area.as_str(), known.iter().copied()) {
            Some(near) => format!("did you mean '{near}'?"),
            None => format!("its areas: {}", known.join(", ")),
        }))
    })
}

fn cells(row: &RulingRow) -> Vec<String> {
    let dash = || "-".to_owned();
    let open = |r: &&rulings::Reason| r.fate == Became::Open;
    // The reason that the ruling turns on, in the rule's own line; where nothing is open, what became of the findings.
    let leading = row.reasons.iter().filter(open).max_by_key(|r| weight(r.ruling, r.class));
    let why = match leading {
        Some(reason) if reason.title.is_empty() => reason.because.clone(),
        Some(reason) => reason.title.clone(),
        None => match (row.reasons.first(), row.carried.first()) {
            (Some(reason), _) => format!("{} {}", reason.sign, reason.fate),
            (None, Some(carried)) => format!("{} of round {}: {}", carried.sign, carried.first_round, carried.state),
            (None, None) => dash(),
        },
    };
    let clause = leading.map(|r| r.clause.clone()).or_else(|| row.clauses.first().cloned());
    vec![
        row.head.to_string(),
        row.kind.clone(),
        row.ruling.map_or_else(dash, |r| r.to_string()),
        row.class.map_or_else(dash, |c| c.to_string()),
        if row.signs.is_empty() { dash() } else { row.signs.join(", ") },
        clause.filter(|c| !c.is_empty()).unwrap_or_else(dash),
        if row.disagreement { format!("{why} (people disagree)") } else { why },
    ]
}
