//! What a person's next step would be, worked out from the state: what undo and redo take back, which heads a sweep
//! takes in, what is still unanswered, what a repeated defect covers.

use super::entry::{Entry, Id, What};
use super::layout::{HeadIx, Slot};
use super::state::{EntryIx, State, Status};
use crate::trade::address::{Heads, Spot};

/// The entry that undo takes back: the writer's last standing entry of the present round that says something, but not
/// a begin or a sign-off.
#[must_use]
pub fn undo_target(state: &State, by: &str) -> Option<Id> {
    mine(state, by)
        .find(|(ix, e)| state.stands(*ix) && !matches!(e.what, What::Retract(_) | What::Begin(_) | What::Signoff(_)))
        .map(|(_, e)| e.id)
}

/// The retraction that redo takes back: the writer's last standing one, unless they have recorded something since.
#[must_use]
pub fn redo_target(state: &State, by: &str) -> Option<Id> {
    for (ix, entry) in mine(state, by) {
        match entry.what {
            // A taking back of a taking back is a redo: the step before it may be redone too.
            What::Retract(target) => {
                let of_retract = state
                    .find_entry(target)
                    .and_then(|t| state.entry(t))
                    .is_some_and(|e| matches!(e.what, What::Retract(_)));
                if state.stands(ix) && !of_retract {
                    return Some(entry.id);
                }
            }
            _ if state.stands(ix) && is_after_its_undoing(state, ix) => {}
            _ if state.stands(ix) => return None,
            _ => {}
        }
    }
    None
}

/// Whether an entry that stands was taken back and brought back again: it is then no new step.
fn is_after_its_undoing(state: &State, ix: EntryIx) -> bool {
    let Some(id) = state.entry(ix).map(|e| e.id) else { return false };
    state.entries().iter().skip(ix.at() + 1).any(|e| matches!(e.what, What::Retract(target) if target == id))
}

/// A writer's entries of the present round, newest first.
fn mine<'a>(state: &'a State, by: &'a str) -> impl Iterator<Item = (EntryIx, &'a Entry)> {
    let round = state.present_round().map(|r| r.name.clone());
    state.entries().iter().enumerate().rev().filter_map(move |(ix, e)| {
        (&*e.by == by && round.as_ref() == Some(&e.round))
            .then(|| u32::try_from(ix).ok().map(|ix| (EntryIx(ix), e)))
            .flatten()
    })
}

/// How far a sweep goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// The rest of one line.
    Line(u16),
    /// The rest of the area.
    Area,
}

/// The heads a sweep would record as seen: those of the reach that nothing was recorded about in this round and that
/// carry no unanswered finding, as few ranges as will do. A head that is unsure, unreached or ruled is never swept.
#[must_use]
pub fn sweep(state: &State, area: u16, reach: Reach) -> (usize, Vec<Heads>) {
    let Some(id) = state.register().areas.get(usize::from(area)).map(|a| a.id.clone()) else {
        return (0, Vec::new());
    };
    let mut count = 0;
    let mut ranges: Vec<Heads> = Vec::new();
    let mut open: Option<(Spot, Spot)> = None;
    for (number, row) in state.layout().rows(area).iter().enumerate() {
        let line = u16::try_from(number + 1).unwrap_or(u16::MAX);
        if matches!(reach, Reach::Line(l) if l != line) {
            continue;
        }
        let mut heads: Vec<(Spot, bool)> = row
            .slots
            .iter()
            .filter_map(|s| if let Slot::Head(h) = s { Some(*h) } else { None })
            .filter_map(|h| state.layout().head(h).map(|head| (h, *head)))
            .map(|(h, head)| (head.spot, !head.removed && is_sweepable(state, h)))
            .collect();
        heads.sort_unstable_by_key(|(spot, _)| *spot);
        for (spot, take) in heads {
            if take {
                count += 1;
                open = Some(open.map_or((spot, spot), |(from, _)| (from, spot)));
            } else if let Some((from, to)) = open.take() {
                ranges.push(Heads::range(&id, from, to));
            }
        }
    }
    if let Some((from, to)) = open {
        ranges.push(Heads::range(&id, from, to));
    }
    (count, ranges)
}

fn is_sweepable(state: &State, head: HeadIx) -> bool {
    state.status(head) == Status::Unseen && !state.has_open_carried(head)
}

/// The heads that "the same on the next `count` heads" covers after `from`, in the order one meets them within the
/// area; fewer where the area ends.
#[must_use]
pub fn like_this(state: &State, from: HeadIx, count: usize) -> Vec<HeadIx> {
    let Some(head) = state.layout().head(from) else { return Vec::new() };
    state
        .layout()
        .rows(head.area)
        .iter()
        .skip(usize::from(head.spot.line).saturating_sub(1))
        .flat_map(|r| &r.slots)
        .filter_map(|s| if let Slot::Head(h) = s { Some(*h) } else { None })
        .filter(|h| state.layout().head(*h).is_some_and(|h| !h.removed))
        .skip_while(|h| *h != from)
        .skip(1)
        .take(count)
        .collect()
}

/// A list of heads as few ranges as will do; heads of one area whose numbers follow each other on a line make one.
#[must_use]
pub fn ranges(state: &State, heads: &[HeadIx]) -> Vec<Heads> {
    Heads::ranges(heads.iter().filter_map(|h| state.address(*h)))
}

/// A list of heads in the order of the register, as few stretches as will do for people: whole areas and whole lines by their names,
/// the rest by the numbers. A stretch may take in numbers of places without a head.
#[must_use]
pub fn stretches(state: &State, heads: &[HeadIx]) -> Vec<Heads> {
    let mut list: Vec<Heads> = Vec::new();
    let spots: Vec<(u16, u16, HeadIx)> =
        heads.iter().filter_map(|h| state.layout().head(*h).map(|there| (there.area, there.spot.line, *h))).collect();
    for of_area in spots.chunk_by(|a, b| a.0 == b.0) {
        let Some((area, ..)) = of_area.first().copied() else { continue };
        let Some(id) = state.register().areas.get(usize::from(area)).map(|a| &a.id) else { continue };
        let there = |line: u16| {
            let row = state.layout().rows(area).get(usize::from(line).saturating_sub(1));
            let slots = row.into_iter().flat_map(|r| &r.slots);
            slots.filter(|s| matches!(s, Slot::Head(h) if state.layout().head(*h).is_some_and(|h| !h.removed))).count()
        };
        if of_area.len() == heads_in_order(state, area).count() {
            list.push(Heads::area(id));
            continue;
        }
        let mut whole: Option<(u16, u16)> = None;
        for of_line in of_area.chunk_by(|a, b| a.1 == b.1) {
            let Some((_, line, _)) = of_line.first().copied() else { continue };
            if of_line.len() == there(line) {
                whole = match whole {
                    Some((from, to)) if to.checked_add(1) == Some(line) => Some((from, line)),
                    earlier => {
                        list.extend(earlier.map(|(from, to)| Heads::lines_between(id, from, to)));
                        Some((line, line))
                    }
                };
                continue;
            }
            list.extend(whole.take().map(|(from, to)| Heads::lines_between(id, from, to)));
            let here: Vec<HeadIx> = of_line.iter().map(|(_, _, h)| *h).collect();
            list.extend(ranges(state, &here));
        }
        list.extend(whole.map(|(from, to)| Heads::lines_between(id, from, to)));
    }
    list
}

/// The heads of an area without an answer: nothing recorded in this round, or a finding of an earlier round not
/// answered.
#[must_use]
pub fn unanswered(state: &State, area: u16) -> Vec<HeadIx> {
    heads_in_order(state, area).filter(|h| is_unanswered(state, *h)).collect()
}

/// Whether a head has no answer yet.
#[must_use]
pub fn is_unanswered(state: &State, head: HeadIx) -> bool {
    state.status(head) == Status::Unseen || state.has_open_carried(head)
}

/// The heads of an area that are there, in the order one meets them.
pub fn heads_in_order(state: &State, area: u16) -> impl Iterator<Item = HeadIx> + '_ {
    state.layout().rows(area).iter().flat_map(|r| &r.slots).filter_map(|slot| match slot {
        Slot::Head(h) if state.layout().head(*h).is_some_and(|h| !h.removed) => Some(*h),
        _ => None,
    })
}

/// The next head after `from` in the area, going round once, for which `want` holds; without `from`, the first.
#[must_use]
pub fn next_where(state: &State, area: u16, from: Option<HeadIx>, want: impl Fn(HeadIx) -> bool) -> Option<HeadIx> {
    let mut before = None;
    let mut passed = from.is_none();
    for head in heads_in_order(state, area) {
        if passed && want(head) {
            return Some(head);
        }
        if Some(head) == from {
            passed = true;
        } else if !passed && before.is_none() && want(head) {
            before = Some(head);
        }
    }
    before.or_else(|| from.filter(|h| want(*h)))
}

/// What stands in the way of signing a round, or nothing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Obstacles {
    /// Nobody has begun the round.
    pub not_begun: bool,
    /// It is signed already.
    pub signed: bool,
    /// It was begun under the first of these rule sets, and the second judges it: what is signed would be judged otherwise
    /// when it is opened again.
    pub other_rules: Option<(String, String)>,
    /// Heads without any record.
    pub unseen: Vec<HeadIx>,
    /// Heads whose findings of earlier rounds have no answer.
    pub carried: Vec<HeadIx>,
    /// Heads on which people disagree.
    pub disagreements: Vec<HeadIx>,
}

impl Obstacles {
    /// Whether the round may be signed.
    #[must_use]
    pub const fn is_clear(&self) -> bool {
        !self.not_begun
            && !self.signed
            && self.other_rules.is_none()
            && self.unseen.is_empty()
            && self.carried.is_empty()
            && self.disagreements.is_empty()
    }
}

/// What stands in the way of signing the present round.
#[must_use]
pub fn obstacles(state: &State) -> Obstacles {
    let round = state.present_round();
    let mut unseen = Vec::new();
    for area in 0..state.register().areas.len() {
        let area = u16::try_from(area).unwrap_or(u16::MAX);
        if state.area_counts(area).unseen > 0 {
            unseen.extend(heads_in_order(state, area).filter(|h| state.status(*h) == Status::Unseen));
        }
    }
    Obstacles {
        not_begun: round.is_none_or(|r| r.begin.is_none()),
        signed: round.is_some_and(super::rounds::Round::is_signed),
        other_rules: round
            .filter(|r| !r.is_signed())
            .and_then(super::rounds::Round::rules)
            .filter(|begun| *begun != state.rules())
            .map(|begun| (begun.to_owned(), state.rules().to_owned())),
        unseen,
        carried: state.open_carried().collect(),
        disagreements: state.disagreeing().collect(),
    }
}
