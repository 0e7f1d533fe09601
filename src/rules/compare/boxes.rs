//! Many cells of a grid as few boxes: a box takes some values on every axis, and all its cells hold the same number. It
//! knows nothing of rules. What comes out does not depend on the order of the values on an axis.

use std::collections::{BTreeMap, HashMap, HashSet};

/// The most boxes that are put together, before neighbours are joined.
const MOST_RAW: usize = 50_000;
/// The most boxes of one grid that are handed out; nobody reads more.
const MOST: usize = 400;
/// The most nodes that are visited to widen boxes.
const MOST_WORK: usize = 20_000_000;

/// Marks the number of an inner node; what does not bear it is a cell's own number.
const INNER: u32 = 1 << 31;

/// Values on every axis, as bits, and the number that all cells there hold.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Patch {
    pub key: u32,
    pub masks: Vec<u32>,
}

/// A grid as a diagram: on each level one axis is decided; an axis on which nothing depends is left out.
struct Diagram {
    /// The axis, and where each of its values leads.
    nodes: Vec<(usize, Vec<u32>)>,
    root: u32,
}

impl Diagram {
    fn of(cells: Vec<u32>, sizes: &[usize]) -> Self {
        let mut nodes: Vec<(usize, Vec<u32>)> = Vec::new();
        let mut level = cells;
        for (axis, size) in sizes.iter().enumerate().rev().filter(|(_, size)| **size > 1) {
            let mut known: HashMap<&[u32], u32> = HashMap::new();
            let mut above = Vec::with_capacity(level.len() / size);
            for chunk in level.chunks(*size) {
                let first = chunk.first().copied().unwrap_or(0);
                if chunk.iter().all(|c| *c == first) {
                    above.push(first);
                    continue;
                }
                let at = *known.entry(chunk).or_insert_with(|| {
                    nodes.push((axis, chunk.to_vec()));
                    INNER | u32::try_from(nodes.len() - 1).unwrap_or(0)
                });
                above.push(at);
            }
            level = above;
        }
        Self { nodes, root: level.first().copied().unwrap_or(0) }
    }

    fn node(&self, at: u32) -> Option<&(usize, Vec<u32>)> {
        if at & INNER == 0 { None } else { self.nodes.get((at & !INNER) as usize) }
    }

    /// Every way down that ends in a number above 0; `false`: there are too many.
    fn paths(&self, at: u32, masks: &mut Vec<u32>, out: &mut Vec<Patch>) -> bool {
        let Some((axis, children)) = self.node(at) else {
            if at != 0 {
                out.push(Patch { key: at, masks: masks.clone() });
            }
            return out.len() <= MOST_RAW;
        };
        let mut by_child: BTreeMap<u32, u32> = BTreeMap::new();
        for (value, child) in children.iter().enumerate() {
            *by_child.entry(*child).or_insert(0) |= 1 << value;
        }
        let Some(whole) = masks.get(*axis).copied() else { return true };
        for (child, mask) in by_child {
            if let Some(slot) = masks.get_mut(*axis) {
                *slot = mask;
            }
            if !self.paths(child, masks, out) {
                return false;
            }
        }
        if let Some(slot) = masks.get_mut(*axis) {
            *slot = whole;
        }
        true
    }

    /// Whether all cells of a patch hold its number.
    fn holds(&self, patch: &Patch, work: &mut usize) -> bool {
        let mut todo = vec![self.root];
        let mut met: HashSet<u32> = HashSet::new();
        while let Some(at) = todo.pop() {
            let Some((axis, children)) = self.node(at) else {
                if at != patch.key {
                    return false;
                }
                continue;
            };
            let mask = patch.masks.get(*axis).copied().unwrap_or(0);
            *work += children.len();
            for (value, child) in children.iter().enumerate() {
                if mask & (1 << value) != 0 && met.insert(*child) {
                    todo.push(*child);
                }
            }
        }
        true
    }
}

/// The cells that hold a number above 0, as boxes. The last axis of `sizes` changes from cell to cell; an axis has at most
/// 32 values. `None`: there are too many boxes to be read.
pub(super) fn patches(cells: Vec<u32>, sizes: &[usize]) -> Option<Vec<Patch>> {
    let diagram = Diagram::of(cells, sizes);
    let whole: Vec<u32> = sizes.iter().map(|s| all(*s)).collect();
    let mut list = Vec::new();
    if !diagram.paths(diagram.root, &mut whole.clone(), &mut list) {
        return None;
    }
    let list = joined(list, sizes.len());
    if list.len() > MOST {
        return None;
    }
    Some(widened(list, &whole, &diagram))
}

fn all(size: usize) -> u32 {
    u32::try_from((1u64 << size.min(32)) - 1).unwrap_or(u32::MAX)
}

/// Joins boxes that differ on one axis only, until none do.
fn joined(mut list: Vec<Patch>, axes: usize) -> Vec<Patch> {
    loop {
        let before = list.len();
        for axis in (0..axes).rev() {
            let mut by_rest: BTreeMap<Patch, u32> = BTreeMap::new();
            for mut patch in list {
                let mask = patch.masks.get_mut(axis).map_or(0, std::mem::take);
                *by_rest.entry(patch).or_insert(0) |= mask;
            }
            list = by_rest
                .into_iter()
                .map(|(mut patch, mask)| {
                    if let Some(slot) = patch.masks.get_mut(axis) {
                        *slot = mask;
                    }
                    patch
                })
                .collect();
        }
        if list.len() == before {
            return list;
        }
    }
}

/// Lets every box forget the axes that do not matter there, the last first, though boxes then overlap; those that lie in
/// another are left out.
fn widened(list: Vec<Patch>, whole: &[u32], diagram: &Diagram) -> Vec<Patch> {
    let mut work = 0;
    let mut wide: Vec<Patch> = Vec::with_capacity(list.len());
    for mut patch in list {
        for (axis, full) in whole.iter().enumerate().rev() {
            let Some(mask) = patch.masks.get(axis).copied().filter(|m| m != full) else { continue };
            if let Some(slot) = patch.masks.get_mut(axis) {
                *slot = *full;
            }
            let wider = work < MOST_WORK && diagram.holds(&patch, &mut work);
            if let Some(slot) = patch.masks.get_mut(axis).filter(|_| !wider) {
                *slot = mask;
            }
        }
        wide.push(patch);
    }
    wide.sort();
    wide.dedup();
    let lies_in = |a: &Patch, b: &Patch| a.key == b.key && a.masks.iter().zip(&b.masks).all(|(a, b)| a & !b == 0);
    let outer: Vec<Patch> = wide.iter().filter(|a| !wide.iter().any(|b| *a != b && lies_in(a, b))).cloned().collect();
    outer
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn cell_masks(mut index: usize, sizes: &[usize]) -> Vec<u32> {
        let mut masks = vec![0; sizes.len()];
        for (axis, size) in sizes.iter().enumerate().rev() {
            masks[axis] = 1 << (index % size);
            index /= size;
        }
        masks
    }

    fn within(cell: &[u32], patch: &Patch) -> bool {
        cell.iter().zip(&patch.masks).all(|(c, m)| c & m != 0)
    }

    #[test]
    fn a_rectangle_is_one_box() {
        // 3 by 4 by 2; the middle row, columns 1 and 2, whichever on the last axis.
        let cells: Vec<u32> = (0..24).map(|i| u32::from(i / 8 == 1 && matches!(i / 2 % 4, 1 | 2))).collect();
        assert_eq!(patches(cells, &[3, 4, 2]), Some(vec![Patch { key: 1, masks: vec![0b010, 0b0110, 0b11] }]));
    }

    #[test]
    fn what_overlaps_is_told_by_what_matters() {
        // On 2 by 2: the first value on one axis or on the other, that is all but the last cell.
        let boxes = patches(vec![1, 1, 1, 0], &[2, 2]).unwrap();
        assert_eq!(boxes, [Patch { key: 1, masks: vec![1, 3] }, Patch { key: 1, masks: vec![3, 1] }]);
    }

    #[test]
    fn a_grid_without_any_pattern_is_too_much_to_read() {
        // Every second cell of a chequered cube: no two neighbours agree.
        let cells: Vec<u32> = (0..4096u32).map(|i| i.count_ones() % 2).collect();
        assert_eq!(patches(cells, &[2; 12]), None);
    }

    #[test]
    fn grids_of_one_cell_or_without_an_axis_are_read() {
        assert_eq!(patches(vec![7], &[]), Some(vec![Patch { key: 7, masks: vec![] }]));
        assert_eq!(patches(vec![0], &[1, 1]), Some(vec![]));
        assert_eq!(patches(vec![3], &[1, 1]), Some(vec![Patch { key: 3, masks: vec![1, 1] }]));
    }

    proptest! {
        #[test]
        fn boxes_hold_exactly_the_cells_that_bear_their_number(
            sizes in prop::collection::vec(1usize..4, 1..6),
            seed in prop::collection::vec(0u32..3, 1..30),
        ) {
            let count: usize = sizes.iter().product();
            let cells: Vec<u32> = (0..count).map(|i| seed[(i * 7 + i / 5) % seed.len()]).collect();
            let boxes = patches(cells.clone(), &sizes).unwrap();
            for (index, key) in cells.iter().enumerate() {
                let cell = cell_masks(index, &sizes);
                let told: Vec<u32> = boxes.iter().filter(|b| within(&cell, b)).map(|b| b.key).collect();
                prop_assert!(told.iter().all(|k| k == key), "{index}");
                prop_assert_eq!(*key > 0, !told.is_empty());
            }
        }
    }
}
