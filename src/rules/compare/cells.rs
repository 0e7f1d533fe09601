//! The decisions of two sets on one sign, cell by cell. The cells are those that the rules of either set can tell apart:
//! a value on an axis stands for all that no rule of the two treats otherwise.

use std::collections::HashMap;

use super::boxes::{Patch, patches};
use super::{Fact, Place, Settings, Verdict, text};
use crate::rules::facts::{Facts, Field, setting_bit};
use crate::rules::model::{Cond, ExtentIx, PartIx, RuleSet, Sighting, Sign, SignIx, bit8, bit16};
use crate::trade::kind::Applied;
use crate::trade::register::Setting;

/// The most cells of one sign that are compared.
const MOST_CELLS: usize = 1 << 20;
/// The most cells of all signs together.
pub(super) const MOST_CELLS_OF_ALL: usize = 1 << 22;

/// What comparing the decisions of a sign comes to.
pub(super) enum Found {
    /// Where they differ, in the order of the first set's words.
    Places(Vec<(Verdict, Verdict, Place)>),
    /// Too much to be compared or to be listed.
    TooMany { combinations: usize, differ: Option<usize> },
}

/// One set's side of the sign.
struct Half<'a> {
    set: &'a RuleSet,
    ix: SignIx,
    sign: &'a Sign,
    conds: Vec<&'a Cond>,
}

impl<'a> Half<'a> {
    fn of(set: &'a RuleSet, word: &str) -> Option<Self> {
        let ix = set.sign(word)?;
        let sign = set.sign_at(ix)?;
        let of_sign = set.rules.iter().filter(|r| r.when.signs.contains(&ix));
        let conds = of_sign.flat_map(|r| [Some(&r.when.all), r.when.unless.as_ref()]).flatten().collect();
        Some(Self { set, ix, sign, conds })
    }

    fn parts(&self) -> Vec<&'a str> {
        self.sign.parts.iter().filter_map(|p| self.set.part_at(*p)).map(|w| w.id.as_str()).collect()
    }

    fn extents(&self) -> Vec<&'a str> {
        self.sign.extents.iter().filter_map(|e| self.set.extent_at(*e)).map(|w| w.id.as_str()).collect()
    }

    /// Which conditions hold for a value, as `holds` tells.
    fn signature(&self, holds: impl Fn(&Cond) -> bool) -> impl Iterator<Item = bool> {
        self.conds.iter().map(move |c| holds(c))
    }

    fn verdict(&self, outcome: u16) -> Verdict {
        let outcome = self.set.table.outcomes.get(usize::from(outcome));
        let rules: Vec<_> = outcome.map_or(&[][..], |o| &o.rules).iter().filter_map(|r| self.set.rule_at(*r)).collect();
        let (lead, class) = (rules.first(), outcome.and_then(|o| o.class));
        let other = rules.iter().find(|r| r.class == class).filter(|_| lead.is_some_and(|l| l.class != class));
        Verdict {
            ruling: outcome.map_or(crate::rules::model::Ruling::Keep, |o| o.ruling),
            class,
            rule: lead.map(|r| r.id.clone()),
            clause: lead.map(|r| r.clause.clone()),
            class_rule: other.map(|r| r.id.clone()),
        }
    }
}

/// A word that both sets know, with the place it has in each.
#[derive(Clone)]
struct Shared<Ix> {
    word: String,
    from: Ix,
    to: Ix,
}

/// What an axis is about.
enum Of {
    Part,
    Extent,
    Origin,
    Field(Field),
    Settings(u16),
}

/// Values that no rule of either set tells apart stand together, by their place in the axis's own list of values.
struct Axis {
    of: Of,
    groups: Vec<Vec<usize>>,
}

impl Axis {
    /// Groups `count` values by the conditions that hold for them.
    fn grouped(of: Of, count: usize, signature: impl Fn(usize) -> Vec<bool>) -> Self {
        let mut known: HashMap<Vec<bool>, usize> = HashMap::new();
        let mut groups: Vec<Vec<usize>> = Vec::new();
        for value in 0..count {
            let at = *known.entry(signature(value)).or_insert(groups.len());
            match groups.get_mut(at) {
                Some(group) => group.push(value),
                None => groups.push(vec![value]),
            }
        }
        Self { of, groups }
    }

    /// The first value of a group.
    fn value(&self, group: usize) -> usize {
        self.groups.get(group).and_then(|g| g.first()).copied().unwrap_or(0)
    }
}

/// The axes of both sets together. Words stand in the order of the alphabet, so that it does not matter which set is first.
struct Grid {
    parts: Vec<Shared<PartIx>>,
    extents: Vec<Shared<ExtentIx>>,
    origins: Vec<Applied>,
    /// Part, extent, origin, then fields and settings.
    axes: Vec<Axis>,
}

fn shared<Ix>(
    (from, from_ix): (&[&str], impl Fn(&str) -> Option<Ix>),
    (to, to_ix): (&[&str], impl Fn(&str) -> Option<Ix>),
) -> Vec<Shared<Ix>> {
    let mut common: Vec<&str> = from.iter().copied().filter(|w| to.contains(w)).collect();
    common.sort_unstable();
    common.dedup();
    common.into_iter().filter_map(|w| Some(Shared { word: w.to_owned(), from: from_ix(w)?, to: to_ix(w)? })).collect()
}

impl Grid {
    fn of(a: &Half<'_>, b: &Half<'_>) -> Self {
        let parts = shared((&a.parts(), |w: &str| a.set.part(w)), (&b.parts(), |w: &str| b.set.part(w)));
        let extents = shared((&a.extents(), |w: &str| a.set.extent(w)), (&b.extents(), |w: &str| b.set.extent(w)));
        // Where neither asks, every sighting counts as of unknown origin.
        let asks = a.sign.ask_applied || b.sign.ask_applied;
        let origins: Vec<Applied> = if asks { Applied::ALL.to_vec() } else { vec![Applied::Unknown] };
        let both = |one: &dyn Fn(&Cond) -> bool, other: &dyn Fn(&Cond) -> bool| {
            a.signature(one).chain(b.signature(other)).collect::<Vec<bool>>()
        };
        let mut axes = vec![
            Axis::grouped(Of::Part, parts.len(), |v| {
                parts.get(v).map_or_else(Vec::new, |w| {
                    both(&|c| c.part & bit16(w.from.0) != 0, &|c| c.part & bit16(w.to.0) != 0)
                })
            }),
            Axis::grouped(Of::Extent, extents.len(), |v| {
                extents.get(v).map_or_else(Vec::new, |w| {
                    both(&|c| c.extent & bit8(w.from.0) != 0, &|c| c.extent & bit8(w.to.0) != 0)
                })
            }),
            Axis::grouped(Of::Origin, origins.len(), |v| {
                // A set that does not ask takes every origin for unknown.
                let counted = |asks: bool| origins.get(v).copied().filter(|_| asks).unwrap_or(Applied::Unknown) as u8;
                let (one, other) = (counted(a.sign.ask_applied), counted(b.sign.ask_applied));
                both(&|c| c.applied & bit8(one) != 0, &|c| c.applied & bit8(other) != 0)
            }),
        ];
        for field in Field::ALL {
            let axis = Axis::grouped(Of::Field(*field), field.words().len(), |v| {
                let bit = u8::try_from(v).map_or(0, bit16);
                let holds = |c: &Cond| c.field(*field) & bit != 0;
                both(&holds, &holds)
            });
            if axis.groups.len() > 1 {
                axes.push(axis);
            }
        }
        let mut flags: Vec<(Vec<bool>, u16)> = Vec::new();
        for setting in Setting::ALL {
            let bit = setting_bit(*setting);
            let asks = |c: &Cond| c.setting & bit != 0;
            let signature = both(&asks, &asks);
            if !signature.contains(&true) {
                continue;
            }
            match flags.iter_mut().find(|(known, _)| *known == signature) {
                Some((_, mask)) => *mask |= bit,
                None => flags.push((signature, bit)),
            }
        }
        axes.extend(flags.into_iter().map(|(_, m)| Axis { of: Of::Settings(m), groups: vec![vec![0], vec![1]] }));
        Self { parts, extents, origins, axes }
    }

    fn sizes(&self) -> Vec<usize> {
        self.axes.iter().map(|a| a.groups.len()).collect()
    }

    /// The groups of a cell, axis by axis.
    fn at(&self, mut index: usize) -> Vec<usize> {
        let mut groups: Vec<usize> = self
            .axes
            .iter()
            .rev()
            .map(|axis| {
                let size = axis.groups.len().max(1);
                let at = index % size;
                index /= size;
                at
            })
            .collect();
        groups.reverse();
        groups
    }

    /// The facts that stand for a cell.
    fn facts(&self, groups: &[usize]) -> Facts {
        let mut facts = Facts::plain();
        for (axis, group) in self.axes.iter().zip(groups) {
            match axis.of {
                Of::Field(field) => facts.set(field, u8::try_from(axis.value(*group)).unwrap_or(0)),
                // One of several settings that count alike is enough.
                Of::Settings(mask) if *group == 1 => facts.add_settings(mask & mask.wrapping_neg()),
                _ => {}
            }
        }
        facts
    }
}

/// Compares what the two sets decide on a sign that both know.
pub(super) fn compare_sign(from: &RuleSet, to: &RuleSet, word: &str, room: &mut usize) -> Found {
    let (Some(a), Some(b)) = (Half::of(from, word), Half::of(to, word)) else { return Found::Places(Vec::new()) };
    let grid = Grid::of(&a, &b);
    let sizes = grid.sizes();
    let combinations = sizes.iter().fold(1usize, |all, s| all.saturating_mul(*s));
    if combinations > MOST_CELLS || combinations > *room {
        return Found::TooMany { combinations, differ: None };
    }
    *room -= combinations;
    if combinations == 0 {
        return Found::Places(Vec::new());
    }
    let (cells, changes) = walked(&a, &b, &grid, combinations);
    let differ = cells.iter().filter(|c| **c != 0).count();
    let Some(list) = patches(cells, &sizes) else { return Found::TooMany { combinations, differ: Some(differ) } };
    let mut places: Vec<(Vec<usize>, Verdict, Verdict, Place)> = list
        .iter()
        .filter_map(|patch| {
            let (from, to) = changes.get(patch.key.checked_sub(1)? as usize)?;
            let (order, place) = place(&a, &b, &grid, patch);
            Some((order, from.clone(), to.clone(), place))
        })
        .collect();
    places.sort_by(|x, y| x.0.cmp(&y.0).then_with(|| x.3.cmp(&y.3)));
    Found::Places(places.into_iter().map(|(_, from, to, place)| (from, to, place)).collect())
}

/// For every cell 0 where the sets decide alike, else the number of a change, counted from 1.
fn walked(a: &Half<'_>, b: &Half<'_>, grid: &Grid, combinations: usize) -> (Vec<u32>, Vec<(Verdict, Verdict)>) {
    let mut cells = vec![0u32; combinations];
    let mut changes: Vec<(Verdict, Verdict)> = Vec::new();
    let mut numbers: HashMap<(Verdict, Verdict), u32> = HashMap::new();
    let mut known: HashMap<(u16, u16), u32> = HashMap::new();
    let spots: usize = grid.axes.iter().take(3).map(|x| x.groups.len()).product();
    let facts_count = combinations / spots.max(1);
    for number in 0..facts_count {
        let facts = grid.facts(&grid.at(number));
        let (start_a, start_b) = (a.set.table.start(a.ix, &facts), b.set.table.start(b.ix, &facts));
        for spot in 0..spots {
            let index = spot * facts_count + number;
            let groups = grid.at(index);
            let value = |axis: usize| {
                let group = groups.get(axis).copied().unwrap_or(0);
                grid.axes.get(axis).map_or(0, |x| x.value(group))
            };
            let (Some(part), Some(extent)) = (grid.parts.get(value(0)), grid.extents.get(value(1))) else { continue };
            let applied = grid.origins.get(value(2)).copied();
            let one =
                a.set.table.outcome(start_a, Sighting { sign: a.ix, part: part.from, extent: extent.from, applied });
            let other =
                b.set.table.outcome(start_b, Sighting { sign: b.ix, part: part.to, extent: extent.to, applied });
            let (Some(one), Some(other)) = (one, other) else { continue };
            let key = *known.entry((one, other)).or_insert_with(|| {
                let pair = (a.verdict(one), b.verdict(other));
                if (pair.0.ruling, pair.0.class) == (pair.1.ruling, pair.1.class) {
                    return 0;
                }
                *numbers.entry(pair.clone()).or_insert_with(|| {
                    changes.push(pair);
                    u32::try_from(changes.len()).unwrap_or(0)
                })
            });
            if let Some(cell) = cells.get_mut(index) {
                *cell = key;
            }
        }
    }
    (cells, changes)
}

/// A box in words, with what puts it in order: its parts and extents by their place in the first set.
fn place(a: &Half<'_>, b: &Half<'_>, grid: &Grid, patch: &Patch) -> (Vec<usize>, Place) {
    let mut place = Place {
        parts: Vec::new(),
        extents: Vec::new(),
        origins: Vec::new(),
        facts: Vec::new(),
        settings: Vec::new(),
        words: String::new(),
    };
    for (axis, mask) in grid.axes.iter().zip(&patch.masks) {
        let taken = |group: &usize| 1u32.checked_shl(u32::try_from(*group).unwrap_or(32)).unwrap_or(0) & mask != 0;
        if (0..axis.groups.len()).all(|g| taken(&g)) {
            continue;
        }
        let mut values: Vec<usize> =
            axis.groups.iter().enumerate().filter(|(g, _)| taken(g)).flat_map(|(_, v)| v.iter().copied()).collect();
        values.sort_unstable();
        match axis.of {
            Of::Part => {
                place.parts = values.iter().filter_map(|v| grid.parts.get(*v)).map(|w| w.word.clone()).collect()
            }
            Of::Extent => {
                place.extents = values.iter().filter_map(|v| grid.extents.get(*v)).map(|w| w.word.clone()).collect();
            }
            Of::Origin => place.origins = values.iter().filter_map(|v| grid.origins.get(*v)).copied().collect(),
            Of::Field(field) => {
                let words = field.words();
                let values = values.iter().filter_map(|v| words.get(*v)).map(|w| (*w).to_owned()).collect();
                place.facts.push(Fact { field: field.as_str(), values });
            }
            Of::Settings(mask) => {
                let any_of = Setting::ALL.iter().filter(|s| mask & setting_bit(**s) != 0);
                let any_of = any_of.map(ToString::to_string).collect();
                place.settings.push(Settings { any_of, there: values == [1] });
            }
        }
    }
    let rank = |list: &[&str], word: &String| list.iter().position(|w| w == word).unwrap_or(usize::MAX);
    let (parts, extents) = (a.parts(), a.extents());
    place.parts.sort_by_key(|w| rank(&parts, w));
    place.extents.sort_by_key(|w| rank(&extents, w));
    let first = |words: &[String], list: &[&str]| words.first().map_or(0, |w| rank(list, w));
    let order = vec![first(&place.parts, &parts), first(&place.extents, &extents)];
    let known: Vec<&str> = extents.iter().copied().filter(|w| grid.extents.iter().any(|e| e.word == *w)).collect();
    let theirs: Vec<&str> = b.extents().into_iter().filter(|w| known.contains(w)).collect();
    let counts = text::Known {
        set: a.set,
        sign: a.sign,
        parts: parts.iter().copied().filter(|w| grid.parts.iter().any(|p| p.word == *w)).collect(),
        // Where the sets put extents in another order there is no "from … to".
        in_order: theirs == known,
        extents: known,
    };
    place.words = text::place(&counts, &place);
    (order, place)
}
