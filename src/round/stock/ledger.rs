//! The ledger: the last count of each kind and every movement since, cabinet by cabinet. A count that differs from what the
//! ledger said is kept as a difference; the ledger goes on from the count.

use std::collections::{BTreeMap, HashMap, HashSet};

use crate::round::entry::{Checked, Counted, Deed, Did, Entry, Id, List, MOST_SPARES, Way, What};
use crate::round::layout::HeadIx;
use crate::round::state::{EntryIx, State};
use crate::trade::address::AreaId;
use crate::trade::quantity::Temperature;
use crate::trade::register::KindIx;

/// What the ledger says of one kind in one cabinet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Holding {
    /// Heads that lie there, fit or not; below zero where more was taken than the ledger held.
    pub held: i64,
    /// How many of them must not be used; at most `held`.
    pub unfit: i64,
    /// The last count that named the kind; `None`: it was never counted.
    pub counted: Option<EntryIx>,
    /// The last movement, counts aside.
    pub moved: Option<EntryIx>,
}

impl Holding {
    /// Heads that may be used, as far as the cabinet goes; never below zero.
    #[must_use]
    pub fn fit(&self) -> u32 {
        u32::try_from((self.held - self.unfit).max(0)).unwrap_or(u32::MAX)
    }
}

/// A count that found another number than the ledger held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Difference {
    /// The count.
    pub entry: EntryIx,
    /// The kind.
    pub kind: KindIx,
    /// What the ledger said.
    pub expected: i64,
    /// What was counted.
    pub counted: i64,
}

/// A movement that took more than the ledger held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Overdrawn {
    /// The movement.
    pub entry: EntryIx,
    /// The kind.
    pub kind: KindIx,
    /// What the ledger holds after it, below zero.
    pub held: i64,
}

/// One movement of spares of a kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Movement {
    /// The entry.
    pub entry: EntryIx,
    /// The kind.
    pub kind: KindIx,
    /// How many.
    pub n: u32,
    /// Which way.
    pub way: Way,
}

/// What was last seen of a cabinet itself, each with the entry that says so; `None`: never looked at.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Looked {
    /// Wrenches by their word.
    pub wrenches: BTreeMap<String, (bool, EntryIx)>,
    /// The posted list.
    pub list: Option<(List, EntryIx)>,
    /// The warmest it gets there.
    pub warmest: Option<(Temperature, EntryIx)>,
    /// Whether it is dry there.
    pub dry: Option<(bool, EntryIx)>,
    /// Whether it hangs where it should.
    pub place: Option<(bool, EntryIx)>,
}

/// One cabinet's ledger.
#[derive(Clone, Debug, PartialEq)]
pub struct Shelf {
    /// The cabinet.
    pub cabinet: AreaId,
    /// What is held, by kind; a kind that was neither counted nor moved is not there.
    pub holdings: BTreeMap<KindIx, Holding>,
    /// Counts that differed from the ledger, in order.
    pub differences: Vec<Difference>,
    /// Movements that took more than was held, in order.
    pub overdrawn: Vec<Overdrawn>,
    /// Every movement, in order.
    pub movements: Vec<Movement>,
    /// What was last seen of the cabinet itself.
    pub looked: Looked,
    /// The last list that was posted.
    pub posted: Option<EntryIx>,
    /// The last count of the present round.
    pub counted: Option<EntryIx>,
}

impl Shelf {
    fn of(cabinet: AreaId) -> Self {
        Self {
            cabinet,
            holdings: BTreeMap::new(),
            differences: Vec::new(),
            overdrawn: Vec::new(),
            movements: Vec::new(),
            looked: Looked::default(),
            posted: None,
            counted: None,
        }
    }

    /// What is held of a kind; `None`: the ledger knows nothing of it, which is not zero.
    #[must_use]
    pub fn holding(&self, kind: KindIx) -> Option<&Holding> {
        self.holdings.get(&kind)
    }

    /// Kinds that lie there by the ledger and that no count of the present round names; what was first put in in this round was
    /// there to be seen.
    #[must_use]
    pub fn not_counted(&self, state: &State) -> Vec<KindIx> {
        let now = state.present_round().map(|r| &r.name);
        let is_now = |ix: Option<EntryIx>| ix.and_then(|ix| state.entry(ix)).is_some_and(|e| now == Some(&e.round));
        let open = |h: &Holding| h.held != 0 && !is_now(h.counted) && !(h.counted.is_none() && is_now(h.moved));
        self.holdings.iter().filter(|(_, h)| open(h)).map(|(kind, _)| *kind).collect()
    }

    /// Takes a count; whether it counted anything comes back.
    fn count(&mut self, kinds: &HashMap<&str, KindIx>, ix: EntryIx, count: &Counted) -> bool {
        let mut any = false;
        for (name, n) in count.held.iter().filter(|(_, n)| **n <= MOST_SPARES) {
            let Some(kind) = kinds.get(name.as_str()).copied() else { continue };
            any = true;
            let counted = i64::from(*n);
            let unfit = i64::from(count.unfit.get(name).copied().unwrap_or(0)).min(counted);
            let known = self.holdings.contains_key(&kind);
            let holding = self.holdings.entry(kind).or_default();
            if known && holding.held != counted {
                self.differences.push(Difference { entry: ix, kind, expected: holding.held, counted });
            }
            *holding = Holding { held: counted, unfit, counted: Some(ix), moved: holding.moved };
        }
        any
    }

    fn move_spares(&mut self, movement: Movement) {
        let n = i64::from(movement.n);
        // Of none that were moved follows nothing, least of all that the kind's stock is known.
        if n == 0 {
            return;
        }
        let holding = self.holdings.entry(movement.kind).or_default();
        holding.moved = Some(movement.entry);
        match movement.way {
            Way::PutIn => holding.held += n,
            Way::TakenOut => holding.held -= n,
            // What is thrown away is what was unfit, as far as there is any.
            Way::Discarded => {
                holding.held -= n;
                holding.unfit -= n.min(holding.unfit);
            }
        }
        holding.unfit = holding.unfit.min(holding.held.max(0));
        let held = holding.held;
        if held < 0 && movement.way != Way::PutIn {
            self.overdrawn.push(Overdrawn { entry: movement.entry, kind: movement.kind, held });
        }
        self.movements.push(movement);
    }

    fn look(&mut self, ix: EntryIx, seen: &Checked) {
        for (wrench, there) in &seen.wrenches {
            self.looked.wrenches.insert(wrench.clone(), (*there, ix));
        }
        let looked = &mut self.looked;
        looked.list = seen.list.map(|x| (x, ix)).or(looked.list);
        looked.warmest = seen.warmest.map(|x| (x, ix)).or(looked.warmest);
        looked.dry = seen.dry.map(|x| (x, ix)).or(looked.dry);
        looked.place = seen.place.map(|x| (x, ix)).or(looked.place);
    }
}

/// The ledger of every cabinet; same order as the register's cabinets.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ledger {
    /// One a cabinet.
    pub shelves: Vec<Shelf>,
}

impl Ledger {
    /// The shelf of a cabinet.
    #[must_use]
    pub fn shelf(&self, cabinet: &AreaId) -> Option<&Shelf> {
        self.shelves.iter().find(|s| s.cabinet == *cabinet)
    }

    /// What all cabinets hold of a kind together, fit or not; `None`: no cabinet's ledger knows it.
    #[must_use]
    pub fn held(&self, kind: KindIx) -> Option<i64> {
        let mut known = self.shelves.iter().filter_map(|s| s.holding(kind)).map(|h| h.held).peekable();
        known.peek()?;
        Some(known.sum())
    }
}

/// Works out the ledger from the entries that stand, as seen from the present round; entries of later rounds are left out.
#[must_use]
pub fn ledger(state: &State) -> Ledger {
    let register = state.register();
    let mut shelves: Vec<Shelf> = register.cabinets.iter().map(|c| Shelf::of(c.id.clone())).collect();
    let shelf_of: HashMap<&AreaId, usize> = register.cabinets.iter().enumerate().map(|(at, c)| (&c.id, at)).collect();
    let mut kinds: HashMap<&str, KindIx> = HashMap::new();
    for (at, kind) in register.kinds.iter().enumerate() {
        if let Ok(at) = u16::try_from(at) {
            kinds.entry(kind.id.as_str()).or_insert(KindIx(at));
        }
    }
    let present = state.present_round().map(|r| r.name.clone());
    for (ix, entry) in standing(state) {
        let at = cabinet_of(entry).and_then(|id| shelf_of.get(id));
        let Some(shelf) = at.and_then(|at| shelves.get_mut(*at)) else { continue };
        match &entry.what {
            What::Counted(x) => {
                let any = shelf.count(&kinds, ix, x);
                if any && present.as_ref() == Some(&entry.round) {
                    shelf.counted = Some(ix);
                }
            }
            What::Moved(x) if x.n <= MOST_SPARES => {
                if let Some(kind) = kinds.get(x.kind.as_str()).copied() {
                    shelf.move_spares(Movement { entry: ix, kind, n: x.n, way: x.way });
                }
            }
            What::Did(x) if x.did == Deed::Replaced => {
                if let Some(kind) = x.kind.as_deref().and_then(|k| kinds.get(k)).copied() {
                    let n = spares_taken(state, ix, entry.id, x);
                    shelf.move_spares(Movement { entry: ix, kind, n, way: Way::TakenOut });
                }
            }
            What::Checked(x) => shelf.look(ix, x),
            What::Posted(_) => shelf.posted = Some(ix),
            _ => {}
        }
    }
    Ledger { shelves }
}

/// The entries about cabinets up to the present round that stand and that nobody has corrected, in order. Whether a deed is
/// corrected by another is a matter of each of its heads.
pub(super) fn standing(state: &State) -> Vec<(EntryIx, &Entry)> {
    let all = || state.stock.iter().filter(|ix| state.stands(**ix)).filter_map(|ix| Some((*ix, state.entry(*ix)?)));
    let is_deed =
        |ix: Option<EntryIx>| ix.and_then(|ix| state.entry(ix)).is_some_and(|e| matches!(e.what, What::Did(_)));
    let corrected: HashSet<Id> = all()
        .filter_map(|(_, e)| Some((e, e.instead().filter(|of| *of < e.id)?)))
        .filter(|(e, of)| !matches!(e.what, What::Did(_)) || !is_deed(state.find_entry(*of)))
        .map(|(_, of)| of)
        .collect();
    all().filter(|(_, e)| !corrected.contains(&e.id)).collect()
}

/// How many spares a replacement took: one a head, of the heads that were there when it was made and for which nobody has
/// corrected it.
fn spares_taken(state: &State, ix: EntryIx, id: Id, did: &Did) -> u32 {
    let mut n = 0;
    state.layout().each(&did.head, |head| n += u32::from(took(state, ix, id, head)));
    n
}

fn took(state: &State, ix: EntryIx, id: Id, head: HeadIx) -> bool {
    let marks = state.heads.get(head.at()).map_or(&[][..], |now| &now.marks);
    let Ok(at) = marks.binary_search(&ix) else { return false };
    let (before, after) = marks.split_at(at);
    let entry = |ix: &EntryIx| state.entry(*ix).filter(|_| state.stands(*ix));
    let gone = before.iter().filter_map(entry).any(|e| matches!(e.what, What::Removed(_)));
    let corrected = after.iter().filter_map(entry).any(|e| e.id > id && e.instead() == Some(id));
    !gone && !corrected
}

/// The cabinet an entry is about.
fn cabinet_of(entry: &Entry) -> Option<&AreaId> {
    match &entry.what {
        What::Counted(x) => Some(&x.cabinet),
        What::Moved(x) => Some(&x.cabinet),
        What::Checked(x) => Some(&x.cabinet),
        What::Posted(x) => Some(&x.cabinet),
        What::Did(x) => x.from.as_ref(),
        _ => None,
    }
}
