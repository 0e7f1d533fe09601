//! State: a pure fold over the entries of a site in id order. The same entries give the same state, whatever order they
//! arrived in; adding one entry costs what it touches and not what there is.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};
use std::sync::Arc;

pub use super::counts::Counts;
use super::entry::{Deed, Entry, Id, What};
use super::layout::{HeadIx, Layout};
use super::lots::Failure;
use super::place_lots::is_about_lots;
use super::rounds::{RoundIx, Rounds};
use super::story::is_advisory;
use crate::rules::judge::{Judge, Judgement, Profile};
use crate::rules::model::Ruling;
use crate::trade::address::{Address, AreaId, Heads};
use crate::trade::register::{KindIx, Register};

/// The index of an entry in [`State::entries`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct EntryIx(pub u32);

impl EntryIx {
    pub(super) const NONE: Self = Self(u32::MAX);

    pub(super) fn some(self) -> Option<Self> {
        (self != Self::NONE).then_some(self)
    }

    /// As an index.
    #[must_use]
    pub const fn at(self) -> usize {
        self.0 as usize
    }
}

/// The most entries that are taken account of for one head, `seen` aside. No head gathers so many in a hundred years of honest
/// walks, and what is worked out of them takes time that grows with their square.
pub const MAX_OF_A_HEAD: usize = 5_000;

/// The most places at which entries over several heads are kept, `seen` aside, for a site: a short file of entries over a
/// whole large area would otherwise fill the memory.
pub(super) const MAX_OF_RANGES: usize = 10_000_000;

/// How far one has come with a head in the present round.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Status {
    /// Nothing was recorded: that never means fine.
    Unseen,
    /// It was not reached, for a recorded reason.
    Unreached,
    /// It was in sight but could not be judged.
    Unsure,
    /// It was looked at.
    Seen,
}

/// Something an entry says that the site does not bear out; the entry is kept and shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The entry.
    pub entry: Id,
    /// What is wrong, in a sentence.
    pub why: String,
    /// Whether it is the rule set that does not know what was recorded; another may.
    pub words: bool,
}

/// What is known of one head in the present round, kept ready so that a screen need not work it out.
#[derive(Clone, Debug)]
pub struct HeadNow {
    /// The last standing entry that says it was seen in order.
    pub(super) seen: EntryIx,
    /// Who says so, a bit a person (the last bit stands for every person beyond the 63rd).
    pub(super) seen_by: u64,
    /// Every entry about it but `seen`, of all rounds up to the present one, in id order.
    pub(super) marks: Vec<EntryIx>,
    /// How far one has come.
    pub(super) status: Status,
    /// What follows from what was seen; `None` while nothing was.
    pub(super) judgement: Option<Judgement>,
    /// An open finding of an earlier round has no answer yet.
    pub(super) carried: bool,
    /// People disagree and nobody has settled it.
    pub(super) disagreement: bool,
    /// A finding of this round was mended in this round.
    pub(super) mended: bool,
    /// An impairment is open on it, whichever finding its ruling turns on.
    pub(super) impaired: Option<EntryIx>,
    /// An impairment of an earlier round has no answer in this one.
    pub(super) impaired_before: bool,
    /// Whether the head is in its area's counts yet.
    pub(super) counted: bool,
}

impl Default for HeadNow {
    fn default() -> Self {
        Self {
            seen: EntryIx::NONE,
            seen_by: 0,
            marks: Vec::new(),
            status: Status::Unseen,
            judgement: None,
            carried: false,
            disagreement: false,
            mended: false,
            impaired: None,
            impaired_before: false,
            counted: false,
        }
    }
}

fn bit_of(person: usize) -> u64 {
    1 << person.min(63)
}

/// Everything known of a site, as seen from one of its rounds. What does not hang on the rule set is shared with the states
/// that are the same record judged by another (see [`State::rejudged`]), for as long as nothing is added to either.
pub struct State {
    pub(super) register: Arc<Register>,
    pub(super) layout: Arc<Layout>,
    pub(super) entries: Arc<Vec<Entry>>,
    pub(super) against: HashMap<u32, u32>,
    pub(super) rounds: Rounds,
    pub(super) present: Option<RoundIx>,
    pub(super) heads: Vec<HeadNow>,
    /// Standing or not, every `seen` entry of the present round by area.
    pub(super) seen_in: Vec<Vec<EntryIx>>,
    pub(super) counts: Vec<Counts>,
    pub(super) judge: Judge,
    /// What a site file calls the set that judges.
    pub(super) rules: Arc<str>,
    pub(super) profiles: HashMap<(u16, KindIx), Profile>,
    pub(super) people: Vec<Arc<str>>,
    pub(super) person_of: HashMap<Arc<str>, usize>,
    pub(super) problems: Vec<Problem>,
    /// How many of the problems were found before any entry was placed; the others follow in the order of entries.
    pub(super) astray: usize,
    /// Places at which entries over several heads are kept.
    pub(super) ranged: usize,
    pub(super) ruled: BTreeSet<HeadIx>,
    pub(super) impaired: BTreeSet<HeadIx>,
    /// Every notice of the present round, standing or not.
    pub(super) notices: Vec<EntryIx>,
    /// Every entry about cabinets up to the present round, replacements from one among them, standing or not; in id order.
    pub(super) stock: Vec<EntryIx>,
    /// Every entry about lots up to the present round, standing or not; in id order.
    pub(super) lots: Vec<EntryIx>,
    /// The lots formed so far, with the addresses drawn for them; only for complaints.
    pub(super) formed: HashMap<AreaId, HashSet<Address>>,
    /// The heads that a failed test condemns.
    pub(super) failures: BTreeMap<HeadIx, Failure>,
    pub(super) open_carried: BTreeSet<HeadIx>,
    pub(super) disagreeing: BTreeSet<HeadIx>,
    pub(super) base: Arc<Register>,
}

impl State {
    /// Folds the entries of a site, as seen from the round named `present` or else the latest one. Entries of rounds
    /// later than that are left out of account.
    #[must_use]
    pub fn fold(register: Register, entries: Vec<Entry>, judge: Judge, present: Option<&str>) -> Self {
        let register = Arc::new(register);
        let mut state = Self {
            heads: Vec::new(),
            seen_in: Vec::new(),
            counts: Vec::new(),
            register: Arc::clone(&register),
            layout: Arc::default(),
            entries: Arc::default(),
            against: HashMap::new(),
            rounds: Rounds::default(),
            present: None,
            judge,
            rules: Arc::from(register.site.rules.as_str()),
            base: register,
            profiles: HashMap::new(),
            people: Vec::new(),
            person_of: HashMap::new(),
            problems: Vec::new(),
            astray: 0,
            ranged: 0,
            ruled: BTreeSet::new(),
            impaired: BTreeSet::new(),
            notices: Vec::new(),
            stock: Vec::new(),
            lots: Vec::new(),
            formed: HashMap::new(),
            failures: BTreeMap::new(),
            open_carried: BTreeSet::new(),
            disagreeing: BTreeSet::new(),
        };
        state.run(entries, present);
        state
    }

    /// Starts from the first document and goes through all entries.
    fn run(&mut self, mut entries: Vec<Entry>, present: Option<&str>) {
        if !entries.is_sorted_by_key(|e| e.id) {
            entries.sort_by_key(|e| e.id);
        }
        entries.dedup_by_key(|e| e.id);
        self.register = Arc::clone(&self.base);
        self.layout = Arc::new(Layout::of(&self.register));
        self.heads = vec![HeadNow::default(); self.layout.heads.len()];
        self.seen_in = vec![Vec::new(); self.layout.areas.len()];
        self.counts = vec![Counts::default(); self.layout.areas.len()];
        self.against.clear();
        self.profiles.clear();
        self.people.clear();
        self.person_of.clear();
        self.problems.clear();
        self.ranged = 0;
        self.ruled.clear();
        self.impaired.clear();
        self.notices.clear();
        self.stock.clear();
        self.lots.clear();
        self.formed.clear();
        self.open_carried.clear();
        self.disagreeing.clear();
        self.note_retractions(&entries);
        self.astray = self.problems.len();
        self.rounds = Rounds::of(&entries, |ix| !self.against.contains_key(&ix));
        self.present = match present {
            Some(name) => self.rounds.named(name),
            None => self.rounds.latest(),
        };
        // Neighbouring entries mostly share round and person: those are looked up where they change.
        let mut view: Option<(&Arc<str>, Option<bool>)> = None;
        let mut person: Option<(&Arc<str>, u64)> = None;
        for (ix, entry) in entries.iter().enumerate() {
            let now = match view.filter(|(name, _)| Arc::ptr_eq(name, &entry.round)) {
                Some((_, now)) => now,
                None => view.insert((&entry.round, self.in_view(entry))).1,
            };
            let Some(now) = now else { continue };
            let bit = match person.filter(|(name, _)| Arc::ptr_eq(name, &entry.by)) {
                Some((_, bit)) => bit,
                None => person.insert((&entry.by, self.person_bit(&entry.by))).1,
            };
            self.place_known(EntryIx(u32::try_from(ix).unwrap_or(u32::MAX)), entry, now, bit);
            self.check_settlement(entries.get(..ix).unwrap_or_default(), entry);
        }
        self.entries = Arc::new(entries);
        self.failures = self.find_failures();
        self.refresh_all();
    }

    /// Works out every head; none has been counted yet. Most have no entry but `seen`, and of those nothing else can follow
    /// than [`Self::refresh`] would find.
    pub(super) fn refresh_all(&mut self) {
        let keep = self.judge.keep();
        let mut profiled = None;
        for at in 0..self.layout.heads.len() {
            let ix = HeadIx(u32::try_from(at).unwrap_or(u32::MAX));
            let (Some(head), Some(now)) = (self.layout.heads.get(at), self.heads.get_mut(at)) else { continue };
            if !now.marks.is_empty() || head.found || (!self.failures.is_empty() && self.failures.contains_key(&ix)) {
                self.refresh(ix);
                continue;
            }
            let area = head.area;
            let seen = now.seen_by != 0;
            now.counted = true;
            if seen {
                now.status = Status::Seen;
                now.judgement = Some(keep);
            }
            if profiled != Some((area, head.kind)) {
                profiled = Some((area, head.kind));
                self.profile(ix);
            }
            if let Some(counts) = self.counts.get_mut(usize::from(area)) {
                counts.heads += 1;
                counts.seen += usize::from(seen);
                counts.unseen += usize::from(!seen);
                if let Some(kept) = counts.rulings.first_mut() {
                    *kept += usize::from(seen);
                }
            }
        }
    }

    /// Adds one entry. Where it is the newest, the cost is that of the heads it touches; otherwise, and where it
    /// changes which heads there are, everything is folded again.
    pub fn apply(&mut self, entry: Entry) {
        self.apply_all([entry]);
    }

    /// The same of several, one after the other; what failed tests condemn is found once for all of them.
    pub fn apply_all(&mut self, entries: impl IntoIterator<Item = Entry>) {
        let mut of_lots = false;
        for entry in entries {
            of_lots |= self.take_in(entry);
        }
        if of_lots {
            for head in self.refind_failures() {
                self.refresh(head);
            }
        }
    }

    /// Takes one entry in; comes back with whether failed tests may condemn other heads than before.
    fn take_in(&mut self, entry: Entry) -> bool {
        let newest = self.entries.last().is_none_or(|last| last.id < entry.id);
        let structural = |what: &What| {
            matches!(
                what,
                What::Begin(_)
                    | What::NewKind(_)
                    | What::NewArea(_)
                    | What::NewCabinet(_)
                    | What::Lot(_)
                    | What::Drawn(_)
                    | What::Added(_)
                    | What::Signoff(_)
            )
        };
        let undone = match &entry.what {
            What::Retract(target) => self.chain(*target),
            _ => Vec::new(),
        };
        let refold = !newest
            || matches!(entry.what, What::Begin(_) | What::NewArea(_) | What::Signoff(_))
            || undone.iter().any(|ix| self.entry(*ix).is_some_and(|e| structural(&e.what)))
            || self.rounds.named(&entry.round).is_none()
            || self.rounds.named(&entry.round) != self.present;
        if refold {
            self.refold(entry);
            return false;
        }
        let ix = u32::try_from(self.entries.len()).unwrap_or(u32::MAX);
        self.rounds.add(&entry);
        if let What::Retract(target) = entry.what {
            let entries = std::mem::take(&mut self.entries);
            self.note_retraction(&entries, &entry, target);
            self.entries = entries;
        }
        self.place(EntryIx(ix), &entry);
        let earlier = std::mem::take(&mut self.entries);
        self.check_settlement(&earlier, &entry);
        self.entries = earlier;
        let heads = entry.heads().map(std::borrow::Cow::into_owned);
        let of_lots = !self.lots.is_empty()
            && (is_about_lots(&entry.what)
                || undone.iter().any(|ix| self.entry(*ix).is_some_and(|e| is_about_lots(&e.what))));
        Arc::make_mut(&mut self.entries).push(entry);
        let mut touched = heads.map(|h| self.touched(&h)).unwrap_or_default();
        for target in undone {
            touched.extend(self.unplace(target));
        }
        touched.sort_unstable();
        touched.dedup();
        for head in touched {
            self.refresh(head);
        }
        of_lots
    }

    /// Finds anew which heads failed tests condemn; those of which that changes come back.
    fn refind_failures(&mut self) -> Vec<HeadIx> {
        let found = self.find_failures();
        let before = std::mem::replace(&mut self.failures, found);
        let gone = before.iter().filter(|(head, was)| self.failures.get(head) != Some(was)).map(|(head, _)| *head);
        let new = self.failures.keys().filter(|head| !before.contains_key(head)).copied();
        gone.chain(new).collect()
    }

    /// Goes through everything anew. A round that begins becomes the present one.
    fn refold(&mut self, entry: Entry) {
        let began = matches!(entry.what, What::Begin(_));
        let name = self.present_round().map(|r| Arc::clone(&r.name)).filter(|_| !began);
        let mut entries = Arc::unwrap_or_clone(std::mem::take(&mut self.entries));
        entries.push(entry);
        self.run(entries, name.as_deref());
    }

    pub(super) fn problem(&mut self, entry: Id, why: impl Into<String>) {
        self.problems.push(Problem { entry, why: why.into(), words: false });
    }

    pub(super) fn touched(&self, heads: &Heads) -> Vec<HeadIx> {
        let mut list = Vec::new();
        self.layout.each(heads, |h| list.push(h));
        list
    }

    /// Whether an entry's round is the present one or an earlier one.
    pub(super) fn in_view(&self, entry: &Entry) -> Option<bool> {
        let round = self.rounds.named(&entry.round)?;
        let present = self.present?;
        (self.rounds.rank(round) <= self.rounds.rank(present)).then_some(round == present)
    }

    /// Takes account of an entry's lost or regained standing; the heads it touches come back.
    fn unplace(&mut self, ix: EntryIx) -> Vec<HeadIx> {
        let Some(entry) = self.entries.get(ix.at()) else { return Vec::new() };
        let Some(heads) = entry.heads().map(std::borrow::Cow::into_owned) else { return Vec::new() };
        let touched = self.touched(&heads);
        if matches!(entry.what, What::Seen(_))
            && let Some(area) = self.layout.area(&heads.area)
        {
            for head in &touched {
                self.recollect_seen(area, *head);
            }
        }
        touched
    }

    /// Works out anew who has seen a head, from the area's `seen` entries.
    pub(super) fn recollect_seen(&mut self, area: u16, head: HeadIx) {
        let Some(spot) = self.layout.head(head).map(|h| h.spot) else { return };
        // What was said of a line before a head was found on it does not speak of that head.
        let since = self.found_by(head);
        let (mut seen, mut seen_by) = (EntryIx::NONE, 0);
        for ix in self.seen_in.get(usize::from(area)).into_iter().flatten() {
            if !self.stands(*ix) || since.is_some_and(|s| *ix < s) {
                continue;
            }
            if let Some(Entry { what: What::Seen(heads), by, .. }) = self.entries.get(ix.at())
                && heads.holds(spot)
            {
                seen = *ix;
                seen_by |= self.bit(by);
            }
        }
        if let Some(now) = self.heads.get_mut(head.at()) {
            now.seen = seen;
            now.seen_by = seen_by;
        }
    }

    /// The standing entry that brought a head in, where the register did not.
    pub(super) fn found_by(&self, head: HeadIx) -> Option<EntryIx> {
        if !self.layout.head(head)?.found {
            return None;
        }
        let is_added = |ix: &&EntryIx| self.entry(**ix).is_some_and(|e| matches!(e.what, What::Added(_)));
        self.heads.get(head.at())?.marks.iter().filter(|ix| self.stands(**ix)).find(is_added).copied()
    }

    pub(super) fn person_bit(&mut self, by: &Arc<str>) -> u64 {
        if let Some(known) = self.person_of.get(by) {
            return bit_of(*known);
        }
        let number = self.people.len();
        self.person_of.insert(Arc::clone(by), number);
        self.people.push(Arc::clone(by));
        bit_of(number)
    }

    /// The bit that stands for a person; beyond the 63rd they share one.
    pub(super) fn bit(&self, by: &Arc<str>) -> u64 {
        bit_of(self.person_of.get(by).copied().unwrap_or(usize::MAX))
    }

    /// Works out a head anew from the entries about it, and keeps the counts and lists in step.
    fn refresh(&mut self, ix: HeadIx) {
        let Some(head) = self.layout.head(ix).copied() else { return };
        let before = self.contribution(ix);
        let (kind, removed) = self.make_up_now(ix, head.base, head.found);
        // Only what changes is written: the layout may be shared.
        if (head.kind, head.removed) != (kind, removed)
            && let Some(head) = Arc::make_mut(&mut self.layout).heads.get_mut(ix.at())
        {
            head.kind = kind;
            head.removed = removed;
        }
        let worked = self.work_out(ix);
        if let Some(now) = self.heads.get_mut(ix.at()) {
            now.status = worked.status;
            now.judgement = worked.judgement;
            now.carried = worked.carried;
            now.disagreement = worked.disagreement;
            now.mended = worked.mended;
            now.impaired = worked.impaired;
            now.impaired_before = worked.impaired_before;
            now.counted = true;
        }
        let after = self.contribution(ix);
        if let Some(counts) = self.counts.get_mut(usize::from(head.area)) {
            counts.take(&before);
            counts.add(&after);
        }
        let keep_in = |list: &mut BTreeSet<HeadIx>, there: bool| {
            if there {
                list.insert(ix);
            } else {
                list.remove(&ix);
            }
        };
        let there = after.heads > 0;
        let ruling = worked.judgement.map(|j| j.ruling);
        keep_in(&mut self.ruled, there && (ruling.is_some_and(|r| r > Ruling::Keep) || worked.mended));
        keep_in(&mut self.impaired, after.impaired > 0);
        keep_in(&mut self.open_carried, after.carried > 0);
        keep_in(&mut self.disagreeing, after.disagreements > 0);
    }

    /// What one head adds to its area's counts, from what is kept of it. Before the first working out: nothing.
    fn contribution(&self, ix: HeadIx) -> Counts {
        let mut counts = Counts::default();
        let (Some(head), Some(now)) = (self.layout.head(ix), self.heads.get(ix.at())) else { return counts };
        if head.removed || !now.counted {
            return counts;
        }
        counts.heads = 1;
        match now.status {
            Status::Unseen => counts.unseen = 1,
            Status::Unreached => counts.unreached = 1,
            Status::Unsure => counts.unsure = 1,
            Status::Seen => counts.seen = 1,
        }
        if let Some(judgement) = now.judgement {
            if is_advisory(judgement) {
                counts.advisory = 1;
            } else {
                for (count, ruling) in counts.rulings.iter_mut().zip(Ruling::ALL) {
                    *count = usize::from(*ruling == judgement.ruling);
                }
            }
        }
        counts.impaired = usize::from(now.impaired.is_some());
        counts.impaired_before = usize::from(now.impaired_before);
        counts.carried = usize::from(now.carried);
        counts.disagreements = usize::from(now.disagreement);
        counts
    }

    /// The kind a head is of and whether it is gone, from the standing entries about it.
    fn make_up_now(&self, ix: HeadIx, base: KindIx, found: bool) -> (KindIx, bool) {
        let (mut kind, mut removed) = (base, false);
        let mut brought_in = !found;
        for mark in self.heads.get(ix.at()).map_or(&[][..], |n| &n.marks) {
            if !self.stands(*mark) {
                continue;
            }
            let named = match self.entries.get(mark.at()).map(|e| &e.what) {
                Some(What::IsKind(x)) => Some(&x.kind),
                Some(What::Did(x)) if x.did == Deed::Replaced => x.kind.as_ref(),
                Some(What::Removed(_)) => {
                    removed = true;
                    None
                }
                Some(What::Added(_)) => {
                    brought_in = true;
                    None
                }
                _ => None,
            };
            if let Some(now) = named.and_then(|n| self.register.kind_named(n)) {
                kind = now;
            }
        }
        (kind, removed || !brought_in)
    }

    /// The profile of a head's make-up in its surroundings.
    pub(super) fn profile(&mut self, ix: HeadIx) -> Option<Profile> {
        let head = *self.layout.head(ix)?;
        if let Some(known) = self.profiles.get(&(head.area, head.kind)) {
            return Some(*known);
        }
        let area = self.register.areas.get(usize::from(head.area))?;
        let kind = self.register.kind(head.kind)?;
        let profile = self.judge.profile(kind, area);
        self.profiles.insert((head.area, head.kind), profile);
        Some(profile)
    }
}
