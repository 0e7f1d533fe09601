//! The ground the walk's cursor moves on: rows of an area with their gaps and heads taken out, which it passes over.
//! Every step costs what it passes and not what the area holds. Not the cursor itself.

use crate::round::layout::{HeadIx, Row, Slot};
use crate::round::state::State;

/// A place on the ground: the index of a row and of a slot on it, both from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct At {
    /// Index of the branch line.
    pub row: usize,
    /// Index of the place on it, as one meets them.
    pub slot: usize,
}

/// An area to move about in.
#[derive(Clone, Copy)]
pub struct Ground<'a> {
    /// The site.
    pub state: &'a State,
    /// The area's index.
    pub area: u16,
}

impl<'a> Ground<'a> {
    /// The area's rows.
    pub fn rows(self) -> &'a [Row] {
        self.state.layout().rows(self.area)
    }

    fn slots(self, row: usize) -> &'a [Slot] {
        self.rows().get(row).map_or(&[], |r| r.slots.as_slice())
    }

    fn there(self, slot: Slot) -> Option<HeadIx> {
        match slot {
            Slot::Head(head) if self.state.layout().head(head).is_some_and(|h| !h.removed) => Some(head),
            _ => None,
        }
    }

    /// The head at a place, if one is there.
    pub fn head(self, at: At) -> Option<HeadIx> {
        self.slots(at.row).get(at.slot).and_then(|s| self.there(*s))
    }

    /// Where a head of this area stands.
    pub fn place_of(self, head: HeadIx) -> Option<At> {
        let known = self.state.layout().head(head)?;
        if known.area != self.area {
            return None;
        }
        let row = usize::from(known.spot.line).checked_sub(1)?;
        let slot = self.slots(row).iter().position(|s| *s == Slot::Head(head))?;
        Some(At { row, slot })
    }

    /// The first head of the area.
    pub fn first(self) -> Option<At> {
        (0..self.rows().len()).find_map(|row| self.first_of(row))
    }

    /// The first head of a row.
    pub fn first_of(self, row: usize) -> Option<At> {
        self.slots(row).iter().position(|s| self.there(*s).is_some()).map(|slot| At { row, slot })
    }

    /// The last head of a row.
    pub fn last_of(self, row: usize) -> Option<At> {
        self.slots(row).iter().rposition(|s| self.there(*s).is_some()).map(|slot| At { row, slot })
    }

    /// The next head as one walks, on this row or a later one.
    pub fn next(self, at: At) -> Option<At> {
        let on_row = self.slots(at.row).iter().enumerate().skip(at.slot + 1);
        if let Some((slot, _)) = on_row.into_iter().find(|(_, s)| self.there(**s).is_some()) {
            return Some(At { row: at.row, slot });
        }
        (at.row + 1..self.rows().len()).find_map(|row| self.first_of(row))
    }

    /// The head before it as one walks.
    pub fn before(self, at: At) -> Option<At> {
        let on_row = self.slots(at.row).iter().take(at.slot).rposition(|s| self.there(*s).is_some());
        if let Some(slot) = on_row {
            return Some(At { row: at.row, slot });
        }
        (0..at.row).rev().find_map(|row| self.last_of(row))
    }

    /// The head nearest to a column on the next row above or below that has any; rows without heads are passed over,
    /// and `rows` says how many to go (fewer where the area ends).
    pub fn across(self, at: At, column: usize, down: bool, rows: usize) -> Option<At> {
        let mut reached = None;
        let mut left = rows;
        let mut row = at.row;
        while left > 0 {
            row = if down { row + 1 } else { row.checked_sub(1).unwrap_or(usize::MAX) };
            if row >= self.rows().len() {
                break;
            }
            if let Some(place) = self.nearest(row, column) {
                reached = Some(place);
                left -= 1;
            }
        }
        reached
    }

    fn nearest(self, row: usize, column: usize) -> Option<At> {
        let slots = self.slots(row);
        let heads = slots.iter().enumerate().filter(|(_, s)| self.there(**s).is_some());
        heads.map(|(slot, _)| slot).min_by_key(|slot| slot.abs_diff(column)).map(|slot| At { row, slot })
    }

    /// The next head after `from`, going round once, for which `want` holds; `from` itself comes last.
    pub fn search(self, from: At, want: impl Fn(HeadIx) -> bool) -> Option<At> {
        let rows = self.rows().len();
        let holds = |at: &At| self.head(*at).is_some_and(&want);
        let on = |row: usize, slots: std::ops::Range<usize>| slots.map(move |slot| At { row, slot });
        let len = |row: usize| self.slots(row).len();
        let here = len(from.row);
        on(from.row, (from.slot + 1).min(here)..here)
            .chain((from.row + 1..rows).flat_map(|row| on(row, 0..len(row))))
            .chain((0..from.row.min(rows)).flat_map(|row| on(row, 0..len(row))))
            .chain(on(from.row, 0..(from.slot + 1).min(here)))
            .find(holds)
    }
}
