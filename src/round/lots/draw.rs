//! Drawing a sample by chance, so that anybody can draw it again: a head's rank is the SHA-256 of the seed and its address,
//! and the lines take turns.

use std::collections::{BTreeMap, HashMap};

use sha2::{Digest as _, Sha256};

use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::trade::register::KindIx;

/// Heads chosen for a sample, in the order in which they were drawn.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Choice {
    /// The heads.
    pub heads: Vec<HeadIx>,
    /// Kinds of the lot that no eligible head has, so that the sample cannot hold them.
    pub missing: Vec<KindIx>,
}

/// A head's rank under a seed: the SHA-256 of `SEED ADDRESS`, such as `2026 pack/3.7`; the lowest is drawn first.
#[must_use]
pub fn rank(seed: u32, address: &str) -> [u8; 32] {
    Sha256::digest(format!("{seed} {address}").as_bytes()).into()
}

/// Draws `want` heads of those that are eligible. First every kind of the lot gets one, the rarest kind first; then the lines
/// take turns, the one with the fewest drawn heads first, and within a line the lowest rank. `kinds` are those that must stand
/// in the sample; fewer heads come back where fewer are eligible, and more than `want` where there are more kinds.
#[must_use]
pub fn draw(state: &State, eligible: &[HeadIx], kinds: &[KindIx], want: u32, seed: u32) -> Choice {
    let mut pool: Vec<Ranked> = eligible.iter().filter_map(|head| ranked(state, *head, seed)).collect();
    pool.sort_unstable_by_key(|r| r.rank);
    let mut lines: HashMap<(u16, u16), usize> = HashMap::new();
    let mut heads = Vec::new();
    let mut per_kind: BTreeMap<KindIx, usize> = BTreeMap::new();
    for one in &pool {
        *per_kind.entry(one.kind).or_default() += 1;
    }
    let missing: Vec<KindIx> = kinds.iter().copied().filter(|k| !per_kind.contains_key(k)).collect();
    let mut turns: Vec<KindIx> = per_kind.keys().copied().filter(|k| kinds.contains(k)).collect();
    turns.sort_by_key(|k| (per_kind.get(k).copied(), *k));
    for kind in turns {
        take(&mut pool, &mut lines, &mut heads, |one| one.kind == kind);
    }
    let want = usize::try_from(want).unwrap_or(usize::MAX);
    // Lines by how many they gave and then by the rank of their best head; each turn takes from the first.
    let mut queues: BTreeMap<(usize, [u8; 32]), Vec<Ranked>> = BTreeMap::new();
    let mut by_line: HashMap<(u16, u16), Vec<Ranked>> = HashMap::new();
    for one in pool.into_iter().rev() {
        by_line.entry(one.line).or_default().push(one);
    }
    for (line, queue) in by_line {
        if let Some(best) = queue.last().map(|r| r.rank) {
            queues.insert((lines.get(&line).copied().unwrap_or(0), best), queue);
        }
    }
    while heads.len() < want
        && let Some(((given, _), mut queue)) = queues.pop_first()
    {
        if let Some(one) = queue.pop() {
            heads.push(one.head);
        }
        if let Some(best) = queue.last().map(|r| r.rank) {
            queues.insert((given + 1, best), queue);
        }
    }
    Choice { heads, missing }
}

#[derive(Clone, Copy)]
struct Ranked {
    rank: [u8; 32],
    head: HeadIx,
    line: (u16, u16),
    kind: KindIx,
}

fn ranked(state: &State, head: HeadIx, seed: u32) -> Option<Ranked> {
    let there = state.layout().head(head)?;
    let address = state.address(head)?.to_string();
    Some(Ranked { rank: rank(seed, &address), head, line: (there.area, there.spot.line), kind: there.kind })
}

/// Takes the lowest rank of the lines with the fewest drawn heads among those that `want` lets through.
fn take(
    pool: &mut Vec<Ranked>,
    lines: &mut HashMap<(u16, u16), usize>,
    heads: &mut Vec<HeadIx>,
    want: impl Fn(&Ranked) -> bool,
) {
    let given = |one: &Ranked| lines.get(&one.line).copied().unwrap_or(0);
    let found = pool.iter().enumerate().filter(|(_, one)| want(one));
    let Some(at) = found.min_by_key(|(_, one)| (given(one), one.rank)).map(|(at, _)| at) else { return };
    let one = pool.remove(at);
    *lines.entry(one.line).or_default() += 1;
    heads.push(one.head);
}
