//! The compiled rules: for every sign a block of cells, one a combination that its rules can tell apart, each holding
//! what is ruled. Building it visits every cell and so finds what is undecided, contradictory or dead. It says nothing
//! about files; `lint` turns its findings into diagnostics.

use std::collections::{BTreeSet, HashMap};

use super::facts::{FIELDS, Facts, Field, setting_bit};
use super::model::{Class, Cond, ExtentIx, PartIx, Rule, RuleIx, Ruling, Seen, Sighting, Sign, SignIx, bit8, bit16};
use crate::trade::kind::Applied;
use crate::trade::register::Setting;

/// The most parts a set may declare.
pub(crate) const MAX_PARTS: usize = 16;
/// The most extents a set may declare.
pub(crate) const MAX_EXTENTS: usize = 8;
/// The most cells of one sign; beyond it the rules tell too many fields apart.
const MAX_CELLS: usize = 1 << 20;
/// The most cells of a whole set.
const MAX_ALL_CELLS: usize = 1 << 22;
/// The most outcomes: sets of rules that speak together.
const MAX_OUTCOMES: usize = 60_000;

/// How many rules are tried on cells, and against one another there, before the rules of a sign are refused as too
/// many for its cells: some seconds of work.
const MAX_WORK: usize = 1 << 28;

/// No such part or extent for this sign.
const NONE: u32 = u32::MAX;

/// What is ruled in a cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Outcome {
    pub ruling: Ruling,
    pub class: Option<Class>,
    /// The rules that spoke, strongest first.
    pub rules: Box<[RuleIx]>,
}

impl Outcome {
    /// Joins rules that spoke: strongest ruling, weightiest class, strongest rules first.
    pub(crate) fn join(mut speaking: Vec<RuleIx>, rules: &[Rule]) -> Self {
        let weight = |ix: &RuleIx| rules.get(usize::from(ix.0)).map(|r| (r.ruling, r.class));
        speaking.sort_by(|a, b| weight(b).cmp(&weight(a)).then(a.cmp(b)));
        speaking.dedup();
        let ruling = speaking.iter().filter_map(weight).map(|w| w.0).max().unwrap_or(Ruling::Keep);
        let class = speaking.iter().filter_map(weight).filter_map(|w| w.1).max();
        Self { ruling, class, rules: speaking.into() }
    }
}

/// One thing the rules of a sign tell apart about the head.
#[derive(Clone, Debug)]
struct Axis {
    field: Field,
    /// The offset of each value.
    offsets: Vec<u32>,
}

/// Settings that the rules of a sign treat alike.
#[derive(Clone, Copy, Debug)]
struct Flags {
    mask: u16,
    stride: u32,
}

#[derive(Clone, Debug)]
struct Block {
    /// Where its cells start.
    base: u32,
    parts: [u32; MAX_PARTS],
    extents: [u32; MAX_EXTENTS],
    applied: [u32; 3],
    axes: Vec<Axis>,
    flags: Vec<Flags>,
}

/// The compiled rules of a set.
#[derive(Clone, Debug, Default)]
pub(crate) struct Table {
    blocks: Vec<Block>,
    cells: Vec<u16>,
    pub outcomes: Vec<Outcome>,
}

/// A combination in the terms of the vocabulary.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Spot {
    pub sign: SignIx,
    pub part: PartIx,
    pub extent: ExtentIx,
    /// `None` where the rules of the sign do not tell origins apart.
    pub applied: Option<Applied>,
    pub facts: Facts,
    /// The fields that the sign's rules tell apart.
    pub told: Vec<Field>,
}

impl Spot {
    fn telling(mut self, fields: &[Field]) -> Self {
        self.told = fields.to_vec();
        self
    }
}

/// What building the table found wrong.
#[derive(Clone, Debug)]
pub(crate) enum Fault {
    /// No rule decides these combinations; the first, and how many.
    Undecided { first: Spot, count: usize },
    /// Two rules decide the same combination differently; the first such.
    Contradiction { one: RuleIx, other: RuleIx, first: Spot },
    /// Two rules decide the same combination alike; the first such.
    Twice { one: RuleIx, other: RuleIx, first: Spot },
    /// The rule's conditions never hold.
    Never { rule: RuleIx },
    /// The rule holds somewhere and never speaks there.
    Shadowed { rule: RuleIx, by: RuleIx },
    /// A rule claims to be over one that never holds together with it.
    Idle { rule: RuleIx, over: RuleIx },
    /// More combinations than are checked.
    TooWide { sign: SignIx, cells: usize },
}

/// For every rule the rules it silences, followed through.
pub(crate) fn closure(rules: &[Rule]) -> Vec<BTreeSet<RuleIx>> {
    rules
        .iter()
        .map(|rule| {
            let mut all = BTreeSet::new();
            let mut todo: Vec<RuleIx> = rule.over.clone();
            while let Some(next) = todo.pop() {
                if all.insert(next) {
                    todo.extend(rules.get(usize::from(next.0)).into_iter().flat_map(|r| &r.over).copied());
                }
            }
            all
        })
        .collect()
}

/// Groups `0..count` by which of the masks hold each value; values outside `allowed` get no group.
fn group(count: usize, allowed: u32, masks: &[u32]) -> (Vec<Option<u32>>, Vec<u8>) {
    let mut seen: HashMap<Vec<bool>, u32> = HashMap::new();
    let mut representatives = Vec::new();
    let groups = (0..count)
        .map(|value| {
            let bit = 1u32.checked_shl(u32::try_from(value).unwrap_or(32)).unwrap_or(0);
            if allowed & bit == 0 {
                return None;
            }
            let signature: Vec<bool> = masks.iter().map(|m| m & bit != 0).collect();
            let next = u32::try_from(seen.len()).unwrap_or(0);
            let at = *seen.entry(signature).or_insert_with(|| {
                representatives.push(u8::try_from(value).unwrap_or(u8::MAX));
                next
            });
            Some(at)
        })
        .collect();
    (groups, representatives)
}

fn bits(indices: impl Iterator<Item = u8>) -> u32 {
    indices.fold(0, |all, i| all | 1u32.checked_shl(u32::from(i)).unwrap_or(0))
}

/// One position of the enumeration: which representative stands on each axis.
enum Wheel {
    Part(Vec<u8>),
    Extent(Vec<u8>),
    Applied(Vec<u8>, bool),
    Field(Field, Vec<u8>),
    Flag(u16),
}

impl Wheel {
    fn len(&self) -> usize {
        match self {
            Self::Part(v) | Self::Extent(v) | Self::Applied(v, _) | Self::Field(_, v) => v.len(),
            Self::Flag(_) => 2,
        }
    }
}

/// Conditions with only what is asked, in the order that fails soonest: the check visits them for every cell.
struct Lean<'a> {
    cond: &'a Cond,
    fields: Vec<(Field, u16)>,
}

impl<'a> Lean<'a> {
    fn of(cond: &'a Cond) -> Self {
        let fields = Field::ALL.iter().map(|f| (*f, cond.field(*f))).filter(|(_, bits)| *bits != u16::MAX).collect();
        Self { cond, fields }
    }

    fn holds(&self, here: &Spot) -> bool {
        let origin = here.applied.unwrap_or(Applied::Unknown);
        self.cond.part & bit16(here.part.0) != 0
            && self.cond.extent & bit8(here.extent.0) != 0
            && self.cond.applied & bit8(origin as u8) != 0
            && (self.cond.setting == 0 || self.cond.setting & here.facts.settings() != 0)
            && self.fields.iter().all(|(field, bits)| bits & bit16(here.facts.get(*field)) != 0)
    }
}

struct Layout {
    block: Block,
    wheels: Vec<Wheel>,
    told: Vec<Field>,
    cells: usize,
}

fn layout(sign: &Sign, conds: &[&Cond]) -> Layout {
    let mut stride: usize = 1;
    let mut wheels = Vec::new();
    let mut told = Vec::new();
    let offset = |group: Option<u32>, stride: usize| match (group, u32::try_from(stride)) {
        (Some(g), Ok(s)) => g.saturating_mul(s),
        _ => NONE,
    };
    let mut block = Block {
        base: 0,
        parts: [NONE; MAX_PARTS],
        extents: [NONE; MAX_EXTENTS],
        applied: [0; 3],
        axes: Vec::new(),
        flags: Vec::new(),
    };

    let masks: Vec<u32> = conds.iter().map(|c| u32::from(c.part)).collect();
    let (groups, reps) = group(MAX_PARTS, bits(sign.parts.iter().map(|p| p.0)), &masks);
    for (slot, g) in block.parts.iter_mut().zip(groups) {
        *slot = offset(g, stride);
    }
    stride = stride.saturating_mul(reps.len());
    wheels.push(Wheel::Part(reps));

    let masks: Vec<u32> = conds.iter().map(|c| u32::from(c.extent)).collect();
    let (groups, reps) = group(MAX_EXTENTS, bits(sign.extents.iter().map(|e| e.0)), &masks);
    for (slot, g) in block.extents.iter_mut().zip(groups) {
        *slot = offset(g, stride);
    }
    stride = stride.saturating_mul(reps.len());
    wheels.push(Wheel::Extent(reps));

    // Where origins are not asked, every sighting counts as of unknown origin.
    let origins = if sign.ask_applied { 0b111 } else { bits([Applied::Unknown as u8].into_iter()) };
    let masks: Vec<u32> = conds.iter().map(|c| u32::from(c.applied)).collect();
    let (groups, reps) = group(3, origins, &masks);
    for (slot, g) in block.applied.iter_mut().zip(groups) {
        *slot = g.map_or(0, |g| offset(Some(g), stride));
    }
    stride = stride.saturating_mul(reps.len());
    let tells = reps.len() > 1;
    wheels.push(Wheel::Applied(reps, tells));

    for field in Field::ALL {
        let masks: Vec<u32> = conds.iter().map(|c| u32::from(c.field(*field))).collect();
        let (groups, reps) = group(field.words().len(), u32::MAX, &masks);
        if reps.len() < 2 {
            continue;
        }
        block.axes.push(Axis { field: *field, offsets: groups.into_iter().map(|g| offset(g, stride)).collect() });
        stride = stride.saturating_mul(reps.len());
        told.push(*field);
        wheels.push(Wheel::Field(*field, reps));
    }

    let mut flags: HashMap<Vec<bool>, usize> = HashMap::new();
    for setting in Setting::ALL {
        let bit = setting_bit(*setting);
        let signature: Vec<bool> = conds.iter().map(|c| c.setting & bit != 0).collect();
        if !signature.contains(&true) {
            continue;
        }
        let known = flags.get(&signature).and_then(|at| block.flags.get_mut(*at));
        if let Some(known) = known {
            known.mask |= bit;
        } else {
            flags.insert(signature, block.flags.len());
            block.flags.push(Flags { mask: bit, stride: u32::try_from(stride).unwrap_or(NONE) });
            stride = stride.saturating_mul(2);
            wheels.push(Wheel::Flag(bit));
        }
    }
    Layout { block, wheels, told, cells: stride }
}

fn spot(sign: SignIx, layout: &Layout, mut index: usize) -> Spot {
    let mut it =
        Spot { sign, part: PartIx(0), extent: ExtentIx(0), applied: None, facts: Facts::plain(), told: Vec::new() };
    for wheel in &layout.wheels {
        let at = index % wheel.len().max(1);
        index /= wheel.len().max(1);
        match wheel {
            Wheel::Part(v) => it.part = PartIx(v.get(at).copied().unwrap_or(0)),
            Wheel::Extent(v) => it.extent = ExtentIx(v.get(at).copied().unwrap_or(0)),
            Wheel::Applied(v, tells) => {
                it.applied = v.get(at).and_then(|i| Applied::ALL.get(usize::from(*i))).copied().filter(|_| *tells);
            }
            Wheel::Field(field, v) => it.facts.set(*field, v.get(at).copied().unwrap_or(0)),
            Wheel::Flag(bit) => {
                if at == 1 {
                    it.facts.add_settings(*bit);
                }
            }
        }
    }
    it
}

/// What the check remembers of rules while it visits cells.
struct Tally<'a> {
    rules: &'a [Rule],
    over: Vec<BTreeSet<RuleIx>>,
    /// Rules of signs that were not gone through to the end: nothing can be said of where they hold.
    unseen: BTreeSet<RuleIx>,
    held: BTreeSet<RuleIx>,
    spoke: BTreeSet<RuleIx>,
    silenced_by: HashMap<RuleIx, RuleIx>,
    met: BTreeSet<(RuleIx, RuleIx)>,
    clashes: BTreeSet<(RuleIx, RuleIx)>,
    faults: Vec<Fault>,
}

impl Tally<'_> {
    /// The rules that speak where these hold, which stand in the order of the set; the others are silenced.
    fn speaking<'r>(&mut self, holding: &[(RuleIx, &'r Rule)]) -> Vec<(RuleIx, &'r Rule)> {
        let mut speaking = Vec::new();
        for (ix, rule) in holding {
            self.held.insert(*ix);
            let by = holding.iter().find(|(o, _)| self.over.get(usize::from(o.0)).is_some_and(|s| s.contains(ix)));
            if let Some((by, _)) = by {
                self.silenced_by.insert(*ix, *by);
            } else {
                self.spoke.insert(*ix);
                speaking.push((*ix, *rule));
            }
            for below in &rule.over {
                if holding.binary_search_by_key(below, |(o, _)| *o).is_ok() {
                    self.met.insert((*ix, *below));
                }
            }
        }
        speaking
    }

    /// Whether one rule decides; more than one is a fault.
    fn decided(&mut self, speaking: &[(RuleIx, &Rule)], here: &Spot, told: &[Field]) -> bool {
        let mut deciding = speaking.iter().filter(|(_, r)| !r.also);
        let Some((one, first)) = deciding.next() else { return false };
        for (other, second) in deciding {
            if self.clashes.insert((*one, *other)) {
                let alike = (first.ruling, first.class) == (second.ruling, second.class);
                let (one, other, first) = (*one, *other, here.clone().telling(told));
                self.faults.push(if alike {
                    Fault::Twice { one, other, first }
                } else {
                    Fault::Contradiction { one, other, first }
                });
            }
        }
        true
    }

    /// After the last cell: rules that never held or never spoke, and those over rules they never met.
    fn finish(mut self) -> Vec<Fault> {
        for (number, rule) in self.rules.iter().enumerate() {
            let Ok(ix) = u16::try_from(number).map(RuleIx) else { break };
            if self.unseen.contains(&ix) {
                continue;
            }
            if !self.held.contains(&ix) {
                self.faults.push(Fault::Never { rule: ix });
                continue;
            }
            if !self.spoke.contains(&ix)
                && let Some(by) = self.silenced_by.get(&ix)
            {
                self.faults.push(Fault::Shadowed { rule: ix, by: *by });
            }
            for below in rule.over.iter().filter(|below| !self.met.contains(&(ix, **below))) {
                self.faults.push(Fault::Idle { rule: ix, over: *below });
            }
        }
        self.faults
    }
}

/// How many rules may decide a combination.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Deciders {
    /// Exactly one, beside those that only add a reason.
    One,
    /// One or more.
    Some,
}

/// Compiles rules and finds every fault on the way. The table is of use only when there is none.
pub(crate) fn build(signs: &[Sign], rules: &[Rule]) -> (Table, Vec<Fault>) {
    build_for(signs, rules, Deciders::One)
}

/// As [`build`], with the number of rules that may decide.
pub(crate) fn build_for(signs: &[Sign], rules: &[Rule], deciders: Deciders) -> (Table, Vec<Fault>) {
    let mut table = Table::default();
    table.outcomes.push(Outcome::join(Vec::new(), rules));
    let mut interned: HashMap<Box<[RuleIx]>, u16> = HashMap::from([(Box::default(), 0)]);
    let mut tally = Tally {
        rules,
        over: closure(rules),
        unseen: BTreeSet::new(),
        held: BTreeSet::new(),
        spoke: BTreeSet::new(),
        silenced_by: HashMap::new(),
        met: BTreeSet::new(),
        clashes: BTreeSet::new(),
        faults: Vec::new(),
    };
    for (number, sign) in signs.iter().enumerate() {
        let Ok(sign_ix) = u8::try_from(number).map(SignIx) else { break };
        let of_sign: Vec<(RuleIx, &Rule)> = rules
            .iter()
            .enumerate()
            .filter(|(_, r)| r.when.signs.contains(&sign_ix))
            .filter_map(|(i, r)| u16::try_from(i).ok().map(|i| (RuleIx(i), r)))
            .collect();
        let lean: Vec<(Lean<'_>, Option<Lean<'_>>)> =
            of_sign.iter().map(|(_, r)| (Lean::of(&r.when.all), r.when.unless.as_ref().map(Lean::of))).collect();
        let conds: Vec<&Cond> =
            of_sign.iter().flat_map(|(_, r)| [Some(&r.when.all), r.when.unless.as_ref()]).flatten().collect();
        let mut plan = layout(sign, &conds);
        let total = table.cells.len().saturating_add(plan.cells);
        if plan.cells > MAX_CELLS || total > MAX_ALL_CELLS || interned.len() > MAX_OUTCOMES {
            tally.faults.push(Fault::TooWide { sign: sign_ix, cells: plan.cells });
            tally.unseen.extend(of_sign.iter().map(|(ix, _)| *ix));
            plan.block.parts = [NONE; MAX_PARTS];
            table.blocks.push(plan.block);
            continue;
        }
        plan.block.base = u32::try_from(table.cells.len()).unwrap_or(NONE);
        let mut undecided: Option<(Spot, usize)> = None;
        let mut holding: Vec<(RuleIx, &Rule)> = Vec::new();
        let mut work = 0;
        let overs: usize = of_sign.iter().map(|(_, r)| r.over.len()).sum();
        for index in 0..plan.cells {
            work += of_sign.len() + overs + holding.len() * holding.len();
            // An outcome beyond the count has no number, and must not pass for the one that asks for nothing.
            if work > MAX_WORK || table.outcomes.len() > MAX_OUTCOMES {
                tally.faults.push(Fault::TooWide { sign: sign_ix, cells: plan.cells });
                tally.unseen.extend(of_sign.iter().map(|(ix, _)| *ix));
                break;
            }
            let here = spot(sign_ix, &plan, index);
            holding.clear();
            holding.extend(
                of_sign
                    .iter()
                    .zip(&lean)
                    .filter(|(_, (all, unless))| all.holds(&here) && !unless.as_ref().is_some_and(|u| u.holds(&here)))
                    .map(|(rule, _)| *rule),
            );
            let speaking = tally.speaking(&holding);
            let decided = match deciders {
                Deciders::One => tally.decided(&speaking, &here, &plan.told),
                Deciders::Some => !speaking.is_empty(),
            };
            if !decided && !sign.otherwise_keep {
                undecided.get_or_insert_with(|| (here.telling(&plan.told), 0)).1 += 1;
            }
            let outcome = Outcome::join(speaking.iter().map(|(ix, _)| *ix).collect(), rules);
            let next = u16::try_from(table.outcomes.len()).unwrap_or(0);
            let at = *interned.entry(outcome.rules.clone()).or_insert_with(|| {
                table.outcomes.push(outcome);
                next
            });
            table.cells.push(at);
        }
        if let Some((first, count)) = undecided {
            tally.faults.push(Fault::Undecided { first, count });
        }
        table.blocks.push(plan.block);
    }
    (table, tally.finish())
}

impl Table {
    /// Where the cells of a sign start for a head with these facts.
    pub(crate) fn start(&self, sign: SignIx, facts: &Facts) -> u32 {
        let Some(block) = self.blocks.get(usize::from(sign.0)) else { return NONE };
        let axes = block
            .axes
            .iter()
            .map(|a| a.offsets.get(usize::from(facts.get(a.field))).copied().unwrap_or(0))
            .fold(block.base, u32::saturating_add);
        block.flags.iter().filter(|f| f.mask & facts.settings() != 0).fold(axes, |sum, f| sum.saturating_add(f.stride))
    }

    /// The number of the outcome for a sighting on a head whose cells for that sign start at `start`; `None` where the
    /// sign has no such part or extent.
    #[inline]
    pub(crate) fn outcome(&self, start: u32, s: Sighting) -> Option<u16> {
        let block = self.blocks.get(usize::from(s.sign.0))?;
        let part = *block.parts.get(usize::from(s.part.0))?;
        let extent = *block.extents.get(usize::from(s.extent.0))?;
        if part == NONE || extent == NONE {
            return None;
        }
        let applied = *block.applied.get(s.applied.unwrap_or(Applied::Unknown) as usize)?;
        let at = start.checked_add(part)?.checked_add(extent)?.checked_add(applied)?;
        self.cells.get(at as usize).copied()
    }

    /// How many cells there are.
    pub(crate) fn len(&self) -> usize {
        self.cells.len()
    }
}

/// Signs that are judged with every head, from its register alone.
pub(crate) fn standing_signs(signs: &[Sign]) -> impl Iterator<Item = (SignIx, &Sign)> {
    signs
        .iter()
        .enumerate()
        .filter(|(_, s)| s.seen == Seen::Register)
        .filter_map(|(i, s)| u8::try_from(i).ok().map(|i| (SignIx(i), s)))
}

const _: () = assert!(FIELDS <= 16 && Setting::ALL.len() <= 16);
