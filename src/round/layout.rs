//! Where the heads are: the register's compact lines spread out into numbered heads, in the order in which one meets
//! them looking up, with look-ups from address to head and back that do not depend on how many there are.

use std::collections::HashMap;

use crate::trade::address::{Address, AreaId, Heads, Spot};
use crate::trade::register::{Area, KindIx, Line, Register, Run};

/// The index of a head in its site.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct HeadIx(pub u32);

impl HeadIx {
    /// As an index.
    #[must_use]
    pub const fn at(self) -> usize {
        self.0 as usize
    }
}

/// One head as the register and the entries about it describe it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Head {
    /// Index of its area.
    pub area: u16,
    /// Its line and place.
    pub spot: Spot,
    /// The kind the register gave it.
    pub base: KindIx,
    /// The kind it is of now.
    pub kind: KindIx,
    /// Whether an entry says it is not there.
    pub removed: bool,
    /// Whether an entry, not the register, brought it in.
    pub found: bool,
}

/// One place on a line, in the order one meets them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Slot {
    /// A head (which may have been removed).
    Head(HeadIx),
    /// A numbered place without a head.
    Gap(u16),
}

/// A line spread out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Row {
    /// Its places from left to right.
    pub slots: Vec<Slot>,
    /// Place number to head; sorted by place.
    by_place: Vec<(u16, HeadIx)>,
}

impl Row {
    /// The head at a place.
    #[must_use]
    pub fn head_at(&self, place: u16) -> Option<HeadIx> {
        let at = self.by_place.binary_search_by_key(&place, |(p, _)| *p).ok()?;
        self.by_place.get(at).map(|(_, h)| *h)
    }

    /// The first place number not yet used.
    #[must_use]
    pub fn next_place(&self) -> u16 {
        let head = self.by_place.last().map_or(0, |(p, _)| *p);
        let gap = self.slots.iter().filter_map(|s| if let Slot::Gap(p) = s { Some(*p) } else { None }).max();
        head.max(gap.unwrap_or(0)).saturating_add(1)
    }

    fn heads_between(&self, from: u16, to: u16) -> &[(u16, HeadIx)] {
        let start = self.by_place.partition_point(|(p, _)| *p < from);
        let end = self.by_place.partition_point(|(p, _)| *p <= to);
        self.by_place.get(start..end).unwrap_or_default()
    }
}

/// Every head of a site, by address and by order.
#[derive(Clone, Debug, Default)]
pub struct Layout {
    /// All heads; a head keeps its index for good.
    pub heads: Vec<Head>,
    /// Areas, each a list of rows; index as in the register.
    pub areas: Vec<Vec<Row>>,
    names: HashMap<AreaId, u16>,
}

impl Layout {
    /// Spreads out a register.
    #[must_use]
    pub fn of(register: &Register) -> Self {
        let mut layout = Self::default();
        for area in &register.areas {
            layout.add_area(area);
        }
        layout
    }

    /// Adds an area with its lines; its index is returned. A second area of the same name is not added.
    pub fn add_area(&mut self, area: &Area) -> Option<u16> {
        let ix = u16::try_from(self.areas.len()).ok()?;
        if self.names.contains_key(&area.id) {
            return None;
        }
        self.names.insert(area.id.clone(), ix);
        self.areas.push(Vec::with_capacity(area.lines.len()));
        for (number, line) in area.lines.iter().enumerate() {
            let number = u16::try_from(number + 1).ok()?;
            let row = self.spread(ix, number, line);
            if let Some(rows) = self.areas.get_mut(usize::from(ix)) {
                rows.push(row);
            }
        }
        Some(ix)
    }

    fn spread(&mut self, area: u16, line_number: u16, line: &Line) -> Row {
        let mut row = Row::default();
        for run in &line.runs {
            for place in run.from..run.from.saturating_add(run.count) {
                match run.kind {
                    None => row.slots.push(Slot::Gap(place)),
                    Some(kind) => {
                        let head = self.push(area, Spot { line: line_number, place }, kind, false);
                        row.slots.push(Slot::Head(head));
                        row.by_place.push((place, head));
                    }
                }
            }
        }
        row.by_place.sort_unstable_by_key(|(p, _)| *p);
        row
    }

    fn push(&mut self, area: u16, spot: Spot, kind: KindIx, found: bool) -> HeadIx {
        let ix = HeadIx(u32::try_from(self.heads.len()).unwrap_or(u32::MAX));
        self.heads.push(Head { area, spot, base: kind, kind, removed: false, found });
        ix
    }

    /// Puts a head that was found in the field at its place: after place `after` as one meets them, or at the end.
    ///
    /// # Errors
    /// A sentence when the line cannot be or the place is taken.
    pub fn add_head(
        &mut self,
        area: u16,
        spot: Spot,
        kind: KindIx,
        after: Option<u16>,
    ) -> Result<HeadIx, &'static str> {
        let rows = self.areas.get(usize::from(area)).ok_or("the area does not exist")?;
        let lines = rows.len();
        let number = usize::from(spot.line);
        if number == 0 || number > lines + 1 {
            return Err("the line would leave a gap in the numbering of lines");
        }
        if let Some(row) = rows.get(number - 1) {
            let taken = row.head_at(spot.place).is_some() || row.slots.contains(&Slot::Gap(spot.place));
            let gap = row.slots.contains(&Slot::Gap(spot.place)) && row.head_at(spot.place).is_none();
            if taken && !gap {
                return Err("the place is taken");
            }
        }
        let head = self.push(area, spot, kind, true);
        let slot_place = |heads: &[Head], slot: &Slot| match slot {
            Slot::Gap(p) => *p,
            Slot::Head(h) => heads.get(h.at()).map_or(0, |h| h.spot.place),
        };
        let heads = &self.heads;
        let Some(rows) = self.areas.get_mut(usize::from(area)) else { return Err("the area does not exist") };
        if number > rows.len() {
            rows.push(Row::default());
        }
        if let Some(row) = rows.get_mut(number - 1) {
            if let Some(gap) = row.slots.iter_mut().find(|s| **s == Slot::Gap(spot.place)) {
                *gap = Slot::Head(head);
            } else {
                let at = match after {
                    Some(0) => 0,
                    Some(place) => {
                        row.slots.iter().position(|s| slot_place(heads, s) == place).map_or(row.slots.len(), |i| i + 1)
                    }
                    None => row.slots.len(),
                };
                row.slots.insert(at, Slot::Head(head));
            }
            let at = row.by_place.partition_point(|(p, _)| *p < spot.place);
            row.by_place.insert(at, (spot.place, head));
        }
        Ok(head)
    }

    /// The index of an area.
    #[must_use]
    pub fn area(&self, id: &AreaId) -> Option<u16> {
        self.names.get(id).copied()
    }

    /// A head.
    #[must_use]
    pub fn head(&self, ix: HeadIx) -> Option<&Head> {
        self.heads.get(ix.at())
    }

    /// The head at an address.
    #[must_use]
    pub fn find(&self, address: &Address) -> Option<HeadIx> {
        let area = self.area(&address.area)?;
        self.row(area, address.spot.line)?.head_at(address.spot.place)
    }

    /// A row by its line number, from 1.
    #[must_use]
    pub fn row(&self, area: u16, line: u16) -> Option<&Row> {
        self.areas.get(usize::from(area))?.get(usize::from(line).checked_sub(1)?)
    }

    /// The rows of an area.
    #[must_use]
    pub fn rows(&self, area: u16) -> &[Row] {
        self.areas.get(usize::from(area)).map_or(&[], Vec::as_slice)
    }

    /// Calls `each` for every head an address form names, removed ones included, by line and place.
    pub fn each(&self, heads: &Heads, each: impl FnMut(HeadIx)) {
        if let Some(area) = self.area(&heads.area) {
            self.each_in(area, heads, each);
        }
    }

    /// The same where the index of the address form's area is known.
    pub(super) fn each_in(&self, area: u16, heads: &Heads, mut each: impl FnMut(HeadIx)) {
        let rows = self.rows(area);
        let (first, last) = heads.lines();
        let from = usize::from(first).saturating_sub(1);
        let to = usize::from(last).min(rows.len());
        for (number, row) in rows.iter().enumerate().take(to).skip(from) {
            let line = u16::try_from(number + 1).unwrap_or(u16::MAX);
            let (low, high) = heads.places_on(line);
            for (_, head) in row.heads_between(low, high) {
                each(*head);
            }
        }
    }

    /// Every head that an address form names and that is there.
    #[must_use]
    pub fn heads_of(&self, heads: &Heads) -> Vec<HeadIx> {
        let mut list = Vec::new();
        self.each(heads, |h| {
            if self.head(h).is_some_and(|h| !h.removed) {
                list.push(h);
            }
        });
        list
    }
}

/// A row back in the compact form, without heads that were removed (their places become gaps where others follow).
#[must_use]
pub fn compact(layout: &Layout, row: &Row) -> Line {
    let mut runs: Vec<Run> = Vec::new();
    let mut push = |kind: Option<KindIx>, place: u16| match runs.last_mut() {
        Some(run) if run.kind == kind && run.from.saturating_add(run.count) == place => run.count += 1,
        _ => runs.push(Run { count: 1, kind, from: place }),
    };
    for slot in &row.slots {
        match slot {
            Slot::Gap(place) => push(None, *place),
            Slot::Head(ix) => {
                if let Some(head) = layout.head(*ix) {
                    push((!head.removed).then_some(head.kind), head.spot.place);
                }
            }
        }
    }
    Line { runs }
}
