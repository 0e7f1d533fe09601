//! The summary of a round: what an owner, an insurer and an authority are told, as facts with stable ids, worded, rounded
//! and ordered. Renderers only lay it out; nothing is decided after this.

use std::collections::{HashMap, HashSet};

use chrono::NaiveDate;
use serde::Serialize;

use super::stock::Stock;
use super::{actions, advisories, answers, counts, findings, front, impairments, lots, lots_due, record, spares};
use crate::round::due::{self, DueList};
use crate::round::entry::Id;
use crate::round::lots::{Lot, lots as lots_of};
use crate::round::rounds::Round;
use crate::round::rulings::{self, RulingRow};
use crate::round::state::State;
use crate::rules::model::RuleSet;
use crate::trade::measure::Span;
use crate::trade::quantity::Units;

/// One fact, ready to print.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Fact {
    /// What it is a fact about, unique within the summary and the same each time: `counts.heads`.
    pub id: String,
    /// The words, on one line, without characters that could steer a terminal. They may hold text that people typed.
    pub text: String,
}

/// How loudly something is said.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Tone {
    /// Something is out of order.
    Alarm,
    /// The summary is not final.
    Draft,
    /// Worth setting apart.
    Notice,
}

/// A label and what it says.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Pair {
    /// The label.
    pub label: &'static str,
    /// The facts, each on its own line.
    pub facts: Vec<Fact>,
}

/// A cell of a table.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Cell {
    /// The facts; none: the cell is empty.
    pub facts: Vec<Fact>,
    /// Whether they stand on one line, parted by commas, or each on its own.
    pub inline: bool,
}

/// A column of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Column {
    /// Its label.
    pub label: &'static str,
    /// Whether it holds numbers.
    pub numeric: bool,
}

/// Rows of like facts. Where a table is too wide, a renderer may set each row as a small record under its first cells.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Table {
    /// What it is, unique within the summary.
    pub id: String,
    /// What stands above it; empty: nothing.
    pub caption: String,
    /// The columns.
    pub columns: Vec<Column>,
    /// How many of the first columns make a record's heading.
    pub lead: usize,
    /// The rows, as many cells each as there are columns.
    pub rows: Vec<Vec<Cell>>,
}

/// A piece of a section.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "block", rename_all = "kebab-case")]
pub enum Block {
    /// Set apart so that nobody misses it.
    Banner {
        /// How loudly.
        tone: Tone,
        /// What.
        facts: Vec<Fact>,
    },
    /// A paragraph.
    Para {
        /// What.
        fact: Fact,
    },
    /// Labelled facts.
    Pairs {
        /// The pairs.
        pairs: Vec<Pair>,
    },
    /// A list.
    Items {
        /// Whether the order matters.
        numbered: bool,
        /// The items.
        facts: Vec<Fact>,
    },
    /// A table.
    Table {
        /// The table.
        table: Table,
    },
    /// Lines for a hand to fill in.
    Blanks {
        /// A label a line.
        labels: Vec<&'static str>,
    },
}

/// A part of the summary under a heading.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Section {
    /// What it is, unique within the summary.
    pub id: String,
    /// Its heading. It may hold text that people typed.
    pub title: String,
    /// What it says.
    pub blocks: Vec<Block>,
    /// Sections under it.
    pub parts: Vec<Section>,
}

/// The summary of a round.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Summary {
    /// The title.
    pub title: Fact,
    /// Whether nobody has signed it.
    pub draft: bool,
    /// Whether an impairment is open in it.
    pub impaired: bool,
    /// What stands before the first section: whose it is, of which day.
    pub head: Vec<Block>,
    /// The sections, in order.
    pub sections: Vec<Section>,
    /// What renderers for people put at the end.
    #[serde(skip)]
    pub closing: &'static str,
}

impl Summary {
    /// Another sheet of facts, laid out by the same renderers.
    pub(super) fn sheet(title: &str, head: Vec<Block>, sections: Vec<Section>, closing: &'static str) -> Self {
        Self { title: fact("title", title), draft: false, impaired: false, head, sections, closing }
    }

    /// The same, with an alarm first where so many lines of the file could not be read.
    #[must_use]
    pub fn with_unread(mut self, lines: usize) -> Self {
        if lines > 0 {
            let (what, are) = if lines == 1 { ("1 line", "is") } else { ("lines", "are") };
            let what = if lines == 1 { what.to_owned() } else { format!("{lines} {what}") };
            let text = format!(
                "INCOMPLETE. {what} of the site file cannot be read, and what was written there {are} missing here: a finding or a failed \
                 test may be among it. Restore the file from a copy ('headround check') before anybody relies on this."
            );
            self.head.insert(0, Block::Banner { tone: Tone::Alarm, facts: vec![fact("unread", text)] });
        }
        self
    }

    /// The summary of a state's present round. Ages are counted up to the day `on`, which is also the summary's day.
    #[must_use]
    pub fn of(state: &State, on: NaiveDate) -> Self {
        let scene = Scene::of(state, on);
        let mut sections = vec![impairments::section(&scene), actions::section(&scene)];
        sections.push(front::section(&scene));
        sections.push(counts::section(&scene));
        sections.push(findings::section(&scene));
        sections.extend(answers::sections(&scene));
        sections.extend(lots::section(&scene));
        sections.extend(lots_due::section(&scene));
        sections.extend(spares::section(&scene));
        let advisories = advisories::section(&scene);
        let points = advisories.as_ref().map_or(0, Section::rows);
        sections.extend(advisories);
        sections.extend(record::sections(&scene));
        Self {
            title: fact("title", format!("Sprinkler heads: summary of inspection, {}", scene.site_name())),
            draft: !scene.signed(),
            closing: if scene.signed() { "End of the summary." } else { "End of the draft." },
            impaired: !impairments::open(&scene).is_empty() || !impairments::failed(&scene).is_empty(),
            head: front::head(&scene, points),
            sections,
        }
    }

    /// Every fact, in order.
    #[must_use]
    pub fn facts(&self) -> Vec<&Fact> {
        let mut list = vec![&self.title];
        for block in &self.head {
            facts_of(block, &mut list);
        }
        for section in &self.sections {
            section.collect(&mut list);
        }
        list
    }
}

impl Section {
    pub(super) fn new(id: impl Into<String>, title: impl Into<String>) -> Self {
        Self { id: id.into(), title: title.into(), blocks: Vec::new(), parts: Vec::new() }
    }

    /// How many rows its own tables have.
    fn rows(&self) -> usize {
        self.blocks.iter().map(|b| if let Block::Table { table } = b { table.rows.len() } else { 0 }).sum()
    }

    fn collect<'a>(&'a self, list: &mut Vec<&'a Fact>) {
        for block in &self.blocks {
            facts_of(block, list);
        }
        for part in &self.parts {
            part.collect(list);
        }
    }

    pub(super) fn para(&mut self, id: impl Into<String>, text: impl Into<String>) {
        self.blocks.push(Block::Para { fact: fact(id, text) });
    }

    pub(super) fn table(&mut self, table: Table) {
        if !table.rows.is_empty() {
            self.blocks.push(Block::Table { table });
        }
    }
}

fn facts_of<'a>(block: &'a Block, list: &mut Vec<&'a Fact>) {
    match block {
        Block::Para { fact } => list.push(fact),
        Block::Banner { facts, .. } | Block::Items { facts, .. } => list.extend(facts),
        Block::Pairs { pairs } => list.extend(pairs.iter().flat_map(|p| &p.facts)),
        Block::Table { table } => list.extend(table.rows.iter().flatten().flat_map(|c| &c.facts)),
        Block::Blanks { .. } => {}
    }
}

/// A fact.
pub(super) fn fact(id: impl Into<String>, text: impl Into<String>) -> Fact {
    Fact { id: id.into(), text: text.into() }
}

impl Table {
    pub(super) fn new(id: impl Into<String>, caption: impl Into<String>, lead: usize, labels: &[&'static str]) -> Self {
        let columns = labels
            .iter()
            .map(|l| {
                l.strip_prefix('#').map_or(Column { label: l, numeric: false }, |l| Column { label: l, numeric: true })
            })
            .collect();
        Self { id: id.into(), caption: caption.into(), columns, lead, rows: Vec::new() }
    }

    /// Adds a row; cells that are missing are empty.
    pub(super) fn row(&mut self, mut cells: Vec<Cell>) {
        cells.resize_with(self.columns.len(), Cell::default);
        self.rows.push(cells);
    }
}

impl Cell {
    /// A cell of one fact; no words, no fact.
    pub(super) fn one(id: impl Into<String>, text: impl Into<String>) -> Self {
        let text = text.into();
        let facts = if text.is_empty() { Vec::new() } else { vec![fact(id, text)] };
        Self { facts, inline: false }
    }

    /// A cell of several facts, each on its own line.
    pub(super) const fn lines(facts: Vec<Fact>) -> Self {
        Self { facts, inline: false }
    }

    /// A cell of several facts on one line.
    pub(super) const fn inline(facts: Vec<Fact>) -> Self {
        Self { facts, inline: true }
    }
}

impl Pair {
    /// A pair of one fact.
    pub(super) fn one(label: &'static str, id: impl Into<String>, text: impl Into<String>) -> Self {
        Self { label, facts: vec![fact(id, text)] }
    }
}

/// What every section looks at.
pub(super) struct Scene<'a> {
    pub(super) state: &'a State,
    pub(super) on: NaiveDate,
    pub(super) rows: Vec<RulingRow>,
    /// Full names by short ones, as the rounds' begins give them.
    pub(super) people: HashMap<String, String>,
    pub(super) late: HashSet<Id>,
    pub(super) units: Units,
    /// The spare cabinets.
    pub(super) stock: Stock,
    /// The lots.
    pub(super) lots: Vec<Lot>,
    /// What falls due by age.
    pub(super) due: DueList,
}

impl<'a> Scene<'a> {
    pub(super) fn of(state: &'a State, on: NaiveDate) -> Self {
        let mut people = HashMap::new();
        for (by, begin) in state.rounds().iter().flat_map(|r| &r.inspectors) {
            people.insert(by.to_string(), super::phrases::said(&begin.inspector));
        }
        let late = state.present_round().map(|r| r.late.iter().copied().collect()).unwrap_or_default();
        let units = state.register().site.units;
        let lots = lots_of(state);
        let due = Span::parse(lots_due::AHEAD).map(|ahead| due::due(state, &lots, on, ahead)).unwrap_or_default();
        Self { state, on, rows: rulings::rows(state, on), people, late, units, stock: Stock::of(state, on), lots, due }
    }

    pub(super) fn round(&self) -> Option<&'a Round> {
        self.state.present_round()
    }

    pub(super) fn set(&self) -> &'a RuleSet {
        self.state.judge().set()
    }

    pub(super) fn signed(&self) -> bool {
        self.round().is_some_and(Round::is_signed)
    }

    pub(super) fn site_name(&self) -> String {
        super::phrases::said(&self.state.register().site.name)
    }
}
