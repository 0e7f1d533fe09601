//! `headround rules table`: the rules as a grid for one kind of head, sign and part down, extent across.

use std::path::PathBuf;

use clap::{Args, ValueHint};

use super::super::session::{Done, Failure, Outcome, Session};
use super::super::{rulings, table};
use super::{USUAL, load_any, load_for};
use crate::diag::{Diagnostic, Severity, Source, nearest, plain, tree};
use crate::rules::explain;
use crate::rules::grid::{self, Asked, Cell, Grid, Untold, letter};
use crate::rules::judge::Judge;
use crate::rules::model::{Class, RuleSet, SignIx};
use crate::trade::address::AreaId;
use crate::trade::kind::{Applied, Kind};
use crate::trade::quantity::{Temperature, Units};
use crate::trade::register::{Area, Setting, System};
use crate::trade::register_text;
use crate::tui::text;

/// What the head is where none is given.
const PLAIN: &str = "orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome";

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround rules table
  headround rules table --sign paint,loading --setting salt,damp
  headround rules table --kind 'orientation: upright, response: standard, element: link, rating: 200 F, k: 5.6'
  headround rules table --site harbour.site.yaml --kind qr-pendent --area hall

Without --kind it is a quick-response pendent head with a bulb of 155 F, chromed. What is not told about the head's \
surroundings, or about who applied a finish, is left open: cells that hang on it have a star, and below the grid stands \
on what.")]
pub struct Table {
    /// The rule set, a name or the path of a rule-set file; otherwise that of the site, or nfpa25-2023
    #[arg(value_hint = ValueHint::FilePath)]
    pub set: Option<String>,

    /// The kind of head: the fields of the site file, or with --site a kind of the site
    #[arg(long, value_name = "KIND")]
    pub kind: Option<String>,

    /// The site file that the kind is in
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath, requires = "kind")]
    pub site: Option<PathBuf>,

    /// The area of the site that it hangs in: its system, settings and ceiling
    #[arg(long, value_name = "AREA", value_parser = AreaId::parse, requires = "site")]
    pub area: Option<AreaId>,

    /// What its surroundings do to it, such as salt,damp; none: nothing
    #[arg(long, value_name = "SETTING", value_delimiter = ',', value_parser = setting)]
    pub setting: Vec<Option<Setting>>,

    /// The system that feeds it, such as dry
    #[arg(long, value_name = "SYSTEM", value_parser = System::parse)]
    pub system: Option<System>,

    /// The highest temperature expected at its ceiling, such as '100 F'
    #[arg(long, value_name = "TEMPERATURE", value_parser = Temperature::parse)]
    pub ceiling: Option<Temperature>,

    /// Who applied a finish seen on it: factory, field or unknown
    #[arg(long, value_name = "ORIGIN", value_parser = Applied::parse)]
    pub origin: Option<Applied>,

    /// Only these signs
    #[arg(long, value_name = "SIGN", value_delimiter = ',')]
    pub sign: Vec<String>,
}

/// Reads a setting, or `none`.
fn setting(word: &str) -> Result<Option<Setting>, String> {
    if word == "none" { Ok(None) } else { Setting::parse(word).map(Some) }
}

/// A head with its surroundings and what was told of them.
struct Head {
    kind: Kind,
    area: Area,
    untold: Vec<Untold>,
    units: Units,
}

/// Prints it.
pub fn run(it: &Table, session: &mut Session<'_, '_>) -> Done {
    let (set, mut head, recalled) = match &it.site {
        Some(file) => {
            let desk = session.read(file)?;
            let state = desk.state();
            let register = state.register();
            let name = it.kind.as_deref().unwrap_or_default();
            let kind = register.kind_named(name).and_then(|ix| register.kind(ix)).cloned().ok_or_else(|| {
                let kinds = register.kinds.iter().map(|k| k.id.as_str());
                missing("kind", name, &file.display().to_string(), kinds)
            })?;
            let area = match &it.area {
                Some(area) => {
                    let at = rulings::area_index(state, area, &file.display().to_string())?;
                    register.areas.get(usize::from(at)).cloned()
                }
                None => None,
            };
            let set = match &it.set {
                Some(name) => load_for(name, file, session)?.0,
                None => std::sync::Arc::clone(state.judge().set()),
            };
            (set, Head::of(kind, area, register.site.units)?, register.recalled.clone())
        }
        None => {
            let set = load_any(it.set.as_deref().unwrap_or(USUAL), session)?;
            let kind = kind(it.kind.as_deref().unwrap_or(PLAIN))?;
            (set, Head::of(kind, None, Units::Us)?, Vec::new())
        }
    };
    head.tell(it);
    let signs = it.sign.iter().map(|word| sign(&set, word)).collect::<Result<Vec<_>, _>>()?;
    let facts = Judge::new(std::sync::Arc::clone(&set), &recalled).facts(&head.kind, &head.area);
    let asked = Asked { facts, origin: it.origin, untold: head.untold.clone() };
    let grid = grid::grid(&set, &asked, &signs);
    if session.global.json {
        session.say_json(&json(&set, &head, it.origin, &grid))?;
    } else {
        session.say_text(&written(&set, &head, it.origin, &grid))?;
    }
    Ok(Outcome::Fine)
}

impl Head {
    fn of(kind: Kind, area: Option<Area>, units: Units) -> Result<Self, Box<Diagnostic>> {
        let mut untold = vec![Untold::Origin];
        if area.as_ref().is_none_or(|a| a.ceiling_max.is_none()) {
            untold.push(Untold::Ceiling);
        }
        if area.is_none() {
            untold.extend([Untold::System, Untold::Setting]);
        }
        untold.sort_unstable();
        Ok(Self { kind, area: area.map_or_else(nowhere, Ok)?, untold, units })
    }

    /// Takes in what was told besides.
    fn tell(&mut self, it: &Table) {
        let mut told = Vec::new();
        if let Some(system) = it.system {
            self.area.system = system;
            told.push(Untold::System);
        }
        if let Some(ceiling) = it.ceiling {
            self.area.ceiling_max = Some(ceiling);
            told.push(Untold::Ceiling);
        }
        if !it.setting.is_empty() {
            self.area.setting = it.setting.iter().flatten().copied().collect();
            told.push(Untold::Setting);
        }
        if it.origin.is_some() {
            told.push(Untold::Origin);
        }
        self.untold.retain(|u| !told.contains(u));
    }

    /// What was told, in words.
    fn told(&self, origin: Option<Applied>) -> Vec<String> {
        let open = |u: Untold| self.untold.contains(&u);
        let mut words = Vec::new();
        if !open(Untold::System) {
            words.push(format!("system {}", self.area.system));
        }
        if let Some(ceiling) = self.area.ceiling_max {
            words.push(format!("ceiling to {}", ceiling.show(self.units)));
        }
        if !open(Untold::Setting) {
            let names: Vec<String> = self.area.setting.iter().map(ToString::to_string).collect();
            words.push(format!("setting {}", if names.is_empty() { "none".to_owned() } else { names.join(" and ") }));
        }
        if let Some(origin) = origin {
            words.push(format!("origin {origin}"));
        }
        words
    }
}

/// Surroundings of which nothing is told.
fn nowhere() -> Result<Area, Box<Diagnostic>> {
    let bad = |why| Box::new(Diagnostic::about(Severity::Error, "bad-option", "--area", why));
    Ok(Area {
        id: AreaId::parse("nowhere").map_err(bad)?,
        name: String::new(),
        system: System::Wet,
        in_service: None,
        setting: Vec::new(),
        ceiling_max: None,
        height: None,
        hazard: None,
        compartment: None,
        note: None,
        lines: Vec::new(),
    })
}

/// Reads the fields of a kind, with or without braces around them.
fn kind(fields: &str) -> Result<Kind, Vec<Diagnostic>> {
    let braced = if fields.trim_start().starts_with('{') { fields.to_owned() } else { format!("{{{fields}}}") };
    let source = Source::new("--kind", braced);
    let node = tree::read(&source, tree::Limits::SMALL).map_err(|it| vec![*it])?;
    let mut troubles = Vec::new();
    match register_text::read_kind(&source, "kind", &node, &mut troubles) {
        Some(kind) if troubles.is_empty() => Ok(kind),
        _ => Err(troubles),
    }
}

fn sign(set: &RuleSet, word: &str) -> Result<SignIx, Failure> {
    let known = set.signs.iter().filter(|s| grid::is_of_a_head(s)).map(|s| s.id.as_str());
    let found = set.sign(word).filter(|ix| set.sign_at(*ix).is_some_and(grid::is_of_a_head));
    found.ok_or_else(|| missing("sign", word, &set.name, known).into())
}

fn missing<'a>(what: &str, word: &str, at: &str, known: impl Iterator<Item = &'a str> + Clone) -> Diagnostic {
    let shown: String = plain(word).chars().take(60).collect();
    let (code, of) = if what == "kind" { ("unknown-kind", "the site") } else { ("unknown-sign", "a grid of the set") };
    Diagnostic::about(Severity::Error, code, at, format!("{of} has no {what} '{shown}'")).help(
        match nearest(word, known.clone()) {
            Some(near) => format!("did you mean '{near}'?"),
            None => format!("there are: {}", known.collect::<Vec<_>>().join(", ")),
        },
    )
}

fn json(set: &RuleSet, head: &Head, origin: Option<Applied>, grid: &Grid) -> serde_json::Value {
    let sign = |ix| set.sign_at(ix).map(|s| s.id.as_str());
    let part = |ix| set.part_at(ix).map(|w| w.id.as_str());
    let extent = |ix| set.extent_at(ix).map(|w| w.id.as_str());
    let cell = |at: crate::rules::model::ExtentIx, cell: &Cell| {
        let rules: Vec<_> = cell.rules.iter().filter_map(|r| set.rule_at(*r)).map(|r| r.id.as_str()).collect();
        serde_json::json!({
            "extent": extent(at),
            "ruling": cell.ruling,
            "class": cell.class,
            "rules": rules,
            "hangs_on": cell.hangs_on,
            "may_be": cell.may_be,
        })
    };
    let rows: Vec<_> = grid
        .rows
        .iter()
        .map(|row| {
            let there = grid.extents.iter().zip(&row.cells).filter_map(|(e, c)| Some(cell(*e, c.as_ref()?)));
            serde_json::json!({ "sign": sign(row.sign), "part": part(row.part), "cells": there.collect::<Vec<_>>() })
        })
        .collect();
    serde_json::json!({
        "set": set.name,
        "edition": set.edition,
        "head": head.kind.describe(head.units),
        "told": head.told(origin),
        "untold": head.untold,
        "extents": grid.extents.iter().filter_map(|e| extent(*e)).collect::<Vec<_>>(),
        "rows": rows,
    })
}

/// The grid as text of at most [`explain::WIDTH`] columns: what does not fit beside each other stands in a grid below.
fn written(set: &RuleSet, head: &Head, origin: Option<Applied>, grid: &Grid) -> String {
    let mut lines = vec![format!("{}: {}", set.name, set.edition), head.kind.describe(head.units)];
    let told = head.told(origin);
    if !told.is_empty() {
        lines.push(format!("told: {}", told.join(", ")));
    }
    let untold: Vec<String> = head.untold.iter().map(ToString::to_string).collect();
    if !untold.is_empty() {
        lines.push(format!("not told: {}", untold.join(", ")));
    }
    let mut out: String = lines.iter().flat_map(|l| text::wrap(l, explain::WIDTH)).map(|l| l + "\n").collect();
    let word = |w: Option<&crate::rules::model::Word>| w.map(|w| plain(&w.id)).unwrap_or_default();
    let columns: Vec<(String, Vec<String>)> = (0..)
        .zip(&grid.extents)
        .map(|(at, extent)| {
            let short = |c: &Option<Cell>| c.as_ref().map_or_else(|| "-".to_owned(), Cell::short);
            let cells = grid.rows.iter().map(|r| r.cells.get(at).map_or_else(|| "-".to_owned(), short)).collect();
            (word(set.extent_at(*extent)).to_uppercase(), cells)
        })
        .collect();
    let mut last = None;
    let names: Vec<[String; 2]> = grid
        .rows
        .iter()
        .map(|row| {
            let sign = set.sign_at(row.sign).filter(|_| last != Some(row.sign)).map(|s| plain(&s.id));
            last = Some(row.sign);
            [sign.unwrap_or_default(), word(set.part_at(row.part))]
        })
        .collect();
    let wide = |cells: &mut dyn Iterator<Item = &String>| cells.map(|c| text::width(c)).max().unwrap_or(0);
    let lead: usize = (0..2).map(|at| wide(&mut names.iter().filter_map(|n| n.get(at))).max(4) + 2).sum();
    let mut rest = columns.as_slice();
    while !rest.is_empty() {
        let mut used = lead;
        let fits = rest.iter().take_while(|(head, cells)| {
            used += wide(&mut cells.iter().chain([head])) + 2;
            used <= explain::WIDTH + 2
        });
        let (now, later) = rest.split_at(fits.count().clamp(1, rest.len()));
        rest = later;
        let heads: Vec<&str> = ["SIGN", "PART"].into_iter().chain(now.iter().map(|c| c.0.as_str())).collect();
        let cells: Vec<Vec<String>> = names
            .iter()
            .enumerate()
            .map(|(n, name)| name.iter().chain(now.iter().filter_map(|c| c.1.get(n))).cloned().collect())
            .collect();
        out.push('\n');
        out.push_str(&table::aligned(&heads, &cells));
    }
    out.push('\n');
    let letters: Vec<String> = Class::ALL.iter().rev().map(|c| format!("{} {c}", letter(*c))).collect();
    let mut notes = vec![format!("{}; -: the sign has no such extent", letters.join(", "))];
    let hangs = grid.hangs();
    if !hangs.is_empty() {
        notes.push(format!("*: hangs on what was not told; shown as for {}:", assumed(&head.untold)));
        notes.extend(hangs.iter().map(|(sign, on)| {
            let words: Vec<&str> = on.iter().map(|u| u.as_str()).collect();
            format!("   {}: {}", set.sign_at(*sign).map_or("?", |s| s.id.as_str()), words.join(", "))
        }));
    }
    notes.push("The adopted edition and the authority having jurisdiction decide.".to_owned());
    for note in notes {
        explain::wrap(&mut out, &note, if note.starts_with(' ') { "   " } else { "" }, "   ", explain::WIDTH);
    }
    out
}

/// What is taken for what was not told.
fn assumed(untold: &[Untold]) -> String {
    let words: Vec<&str> = untold
        .iter()
        .map(|u| match u {
            Untold::System => "a wet system",
            Untold::Ceiling => "a ceiling not known",
            Untold::Setting => "an ordinary place",
            Untold::Origin => "an origin not known",
        })
        .collect();
    words.join(", ")
}
