//! The rules as a grid for one head: for every sign on every part, what is ruled to each extent, and which of that hangs on
//! something that was not told about the head. It looks up; it lays nothing out.

use std::collections::BTreeSet;

use super::facts::{Facts, Field, setting_bit};
use super::model::{
    Class, Cond, ExtentIx, PartIx, Rule, RuleIx, RuleSet, Ruling, Seen, Sighting, Sign, SignIx, bit8, bit16,
};
use crate::trade::kind::Applied;
use crate::trade::register::Setting;
use crate::trade::words::words;

words! {
    /// Something about a head that a ruling may hang on and that need not be told.
    pub enum Untold ("thing left untold") {
        /// The system that feeds it.
        System = "system",
        /// How its rating stands to its ceiling.
        Ceiling = "ceiling",
        /// What its surroundings do to it.
        Setting = "setting",
        /// Who applied a finish seen on it.
        Origin = "origin",
    }
}

/// A head to look up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Asked {
    /// Its make-up and surroundings, with usual values for what is untold.
    pub facts: Facts,
    /// Who applied a finish seen on it.
    pub origin: Option<Applied>,
    /// What was not told.
    pub untold: Vec<Untold>,
}

/// What is ruled on one sign, on one part, to one extent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cell {
    /// What must happen.
    pub ruling: Ruling,
    /// The weight of the finding; `None`: no finding.
    pub class: Option<Class>,
    /// The rules that spoke, strongest first.
    pub rules: Vec<RuleIx>,
    /// What untold things the ruling or its class hangs on.
    pub hangs_on: Vec<Untold>,
    /// Every ruling it may be, weakest first; one alone where it hangs on nothing.
    pub may_be: Vec<Ruling>,
}

/// One sign on one part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// The sign.
    pub sign: SignIx,
    /// The part.
    pub part: PartIx,
    /// One cell for each of the grid's extents; `None`: the sign has no such extent.
    pub cells: Vec<Option<Cell>>,
}

/// The grid.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Grid {
    /// The extents that any of its signs has, least first.
    pub extents: Vec<ExtentIx>,
    /// Its rows, in the order of signs and parts in the set.
    pub rows: Vec<Row>,
}

impl Cell {
    /// The ruling in short, with a letter for the class and a star where it hangs on something untold: `replace C*`.
    #[must_use]
    pub fn short(&self) -> String {
        let class = self.class.map_or_else(String::new, |c| format!(" {}", letter(c)));
        format!("{}{class}{}", self.ruling, if self.hangs_on.is_empty() { "" } else { "*" })
    }
}

/// The letter of a class in a grid.
#[must_use]
pub const fn letter(class: Class) -> char {
    match class {
        Class::Impairment => 'I',
        Class::Critical => 'C',
        Class::Noncritical => 'N',
        Class::Advisory => 'A',
    }
}

impl Grid {
    /// For every sign with a cell that hangs on something, on what.
    #[must_use]
    pub fn hangs(&self) -> Vec<(SignIx, Vec<Untold>)> {
        let mut list: Vec<(SignIx, Vec<Untold>)> = Vec::new();
        for row in &self.rows {
            let on: BTreeSet<Untold> = row.cells.iter().flatten().flat_map(|c| c.hangs_on.iter().copied()).collect();
            if on.is_empty() {
                continue;
            }
            match list.iter_mut().find(|(sign, _)| *sign == row.sign) {
                Some((_, known)) => {
                    known.extend(on);
                    known.sort_unstable();
                    known.dedup();
                }
                None => list.push((row.sign, on.into_iter().collect())),
            }
        }
        list
    }
}

/// Whether a sign is about one head by itself; what is known of a compartment's heads together is not in a grid.
#[must_use]
pub fn is_of_a_head(sign: &Sign) -> bool {
    sign.seen != Seen::Compartment
}

/// The grid of a head; of these signs only, where any are given.
#[must_use]
pub fn grid(set: &RuleSet, asked: &Asked, signs: &[SignIx]) -> Grid {
    let wanted: Vec<(SignIx, &Sign)> = (0u8..)
        .map(SignIx)
        .zip(&set.signs)
        .filter(|(ix, sign)| is_of_a_head(sign) && (signs.is_empty() || signs.contains(ix)))
        .collect();
    let has = |e: ExtentIx| wanted.iter().any(|(_, s)| s.extents.contains(&e));
    let extents: Vec<ExtentIx> = (0u8..).map(ExtentIx).zip(&set.extents).map(|(e, _)| e).filter(|e| has(*e)).collect();
    let mut rows = Vec::new();
    for (ix, sign) in wanted {
        let ways = ways(set, ix, sign, asked);
        for part in (0u8..).map(PartIx).zip(&set.parts).map(|(p, _)| p).filter(|p| sign.parts.contains(p)) {
            let cell = |extent: &ExtentIx| {
                if sign.extents.contains(extent) { cell(set, ix, part, *extent, &ways) } else { None }
            };
            rows.push(Row { sign: ix, part, cells: extents.iter().map(cell).collect() });
        }
    }
    Grid { extents, rows }
}

/// The heads that fit what was told, as far as the rules of a sign tell them apart. The first is the one asked about;
/// `steps` are, for each untold thing, how far apart in the list stand those that differ only in it, and how many.
struct Ways {
    heads: Vec<(Facts, Option<Applied>)>,
    steps: Vec<(Untold, usize, usize)>,
}

/// The most groups of settings of which every choice is looked up.
const MOST_GROUPS: usize = 8;

fn ways(set: &RuleSet, ix: SignIx, sign: &Sign, asked: &Asked) -> Ways {
    let about = |r: &&Rule| r.when.signs.contains(&ix) || (r.when.any_sign && sign.seen == Seen::Eye);
    let conds: Vec<&Cond> = set
        .rules
        .iter()
        .filter(about)
        .flat_map(|r| std::iter::once(&r.when.all).chain(r.when.unless.as_ref()))
        .collect();
    let mut axes: Vec<(Untold, Vec<Change>)> = Vec::new();
    for untold in Untold::ALL {
        if asked.untold.contains(untold) {
            let changes = changes(*untold, &conds, asked);
            if !changes.is_empty() && (*untold != Untold::Origin || sign.ask_applied) {
                axes.push((*untold, changes));
            }
        }
    }
    let mut it = Ways { heads: vec![(asked.facts, asked.origin)], steps: Vec::new() };
    for (untold, changes) in &axes {
        let step = it.heads.len();
        let before = it.heads.clone();
        for change in changes {
            it.heads.extend(before.iter().map(|h| change.on(*h)));
        }
        it.steps.push((*untold, step, changes.len() + 1));
    }
    it
}

/// One other value of an untold thing.
#[derive(Clone, Copy)]
enum Change {
    Value(Field, u8),
    Settings(u16),
    Origin(Applied),
}

impl Change {
    fn on(self, (mut facts, mut origin): (Facts, Option<Applied>)) -> (Facts, Option<Applied>) {
        match self {
            Self::Value(field, value) => facts.set(field, value),
            Self::Settings(bits) => facts.add_settings(bits),
            Self::Origin(applied) => origin = Some(applied),
        }
        (facts, origin)
    }
}

/// Other values of an untold thing, one for each way in which the conditions treat values alike, without that of the
/// head asked about.
fn changes(untold: Untold, conds: &[&Cond], asked: &Asked) -> Vec<Change> {
    match untold {
        Untold::System => values(Field::System, conds, asked),
        Untold::Ceiling => values(Field::Ceiling, conds, asked),
        Untold::Origin => {
            let own = asked.origin.unwrap_or(Applied::Unknown);
            let alike = |a: Applied| -> Vec<bool> { conds.iter().map(|c| c.applied & bit8(a as u8) != 0).collect() };
            let mut known = vec![alike(own)];
            let mut list = Vec::new();
            for applied in Applied::ALL {
                let like = alike(*applied);
                if !known.contains(&like) {
                    known.push(like);
                    list.push(Change::Origin(*applied));
                }
            }
            list
        }
        Untold::Setting => {
            let alike = |s: Setting| -> Vec<bool> { conds.iter().map(|c| c.setting & setting_bit(s) != 0).collect() };
            let mut groups: Vec<(Vec<bool>, u16)> = Vec::new();
            for setting in Setting::ALL {
                let like = alike(*setting);
                if like.contains(&true) && !groups.iter().any(|(known, _)| *known == like) {
                    groups.push((like, setting_bit(*setting)));
                }
            }
            // Settings may come together: every choice of groups but none of them, as long as those are few.
            let bits: Vec<u16> = groups.into_iter().map(|(_, bit)| bit).collect();
            let together =
                |n: usize| bits.iter().enumerate().filter(|(i, _)| n >> i & 1 == 1).fold(0, |all, (_, bit)| all | bit);
            match bits.len() {
                n @ 0..=MOST_GROUPS => (1..1usize << n).map(|n| Change::Settings(together(n))).collect(),
                _ => bits.iter().copied().chain([u16::MAX]).map(Change::Settings).collect(),
            }
        }
    }
}

fn values(field: Field, conds: &[&Cond], asked: &Asked) -> Vec<Change> {
    let alike = |value: u8| -> Vec<bool> { conds.iter().map(|c| c.field(field) & bit16(value) != 0).collect() };
    let mut known = vec![alike(asked.facts.get(field))];
    let mut list = Vec::new();
    for (value, _) in (0u8..).zip(field.words()) {
        let like = alike(value);
        if !known.contains(&like) {
            known.push(like);
            list.push(Change::Value(field, value));
        }
    }
    list
}

fn cell(set: &RuleSet, sign: SignIx, part: PartIx, extent: ExtentIx, ways: &Ways) -> Option<Cell> {
    let ruled: Vec<_> = ways
        .heads
        .iter()
        .map(|(facts, origin)| {
            let start = set.table.start(sign, facts);
            let at = set.table.outcome(start, Sighting { sign, part, extent, applied: *origin })?;
            set.table.outcomes.get(usize::from(at))
        })
        .collect::<Option<_>>()?;
    let first = *ruled.first()?;
    let differ = |a: usize, b: usize| match (ruled.get(a), ruled.get(b)) {
        (Some(a), Some(b)) => (a.ruling, a.class) != (b.ruling, b.class),
        _ => false,
    };
    let matters = |(_, step, count): &&(Untold, usize, usize)| {
        (0..ruled.len()).any(|at| {
            let digit = at / step % count;
            differ(at, at - digit * step)
        })
    };
    let mut may_be: Vec<Ruling> = ruled.iter().map(|o| o.ruling).collect();
    may_be.sort_unstable();
    may_be.dedup();
    Some(Cell {
        ruling: first.ruling,
        class: first.class,
        rules: first.rules.to_vec(),
        hangs_on: ways.steps.iter().filter(matters).map(|s| s.0).collect(),
        may_be,
    })
}
