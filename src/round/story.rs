//! The story of one head: what was found in the present round, what was carried over from earlier ones and how it was
//! answered, and what follows from it.

use std::sync::Arc;

use super::entry::{Deed, Entry, How, Id, Saw, Settle, UnreachedWhy, UnsureWhy, What};
use super::layout::HeadIx;
use super::notices;
use super::state::{EntryIx, State, Status};
use crate::rules::judge::{Judgement, Profile, Sighting};
use crate::rules::model::{Class, Ruling};
use crate::trade::words::unknown;

/// What became of a finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
    /// It stands.
    Open,
    /// It was mended in this round, by that entry.
    Mended(EntryIx),
    /// It was looked at again in this round and is gone.
    Gone(EntryIx),
    /// A disagreement was settled against it.
    SetAside(EntryIx),
}

/// A sign seen in the present round.
#[derive(Clone, Debug)]
pub struct Finding {
    /// The entry.
    pub entry: EntryIx,
    /// What the rule set says of it.
    pub judgement: Judgement,
    /// Whether the rule set knows its words; if not, the judgement is that it could not be judged.
    pub known: bool,
    /// What became of it.
    pub fate: Fate,
    /// Whether it answers a finding of an earlier round.
    pub carried: bool,
}

/// How a finding of an earlier round was answered in the present one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answer {
    /// Not yet.
    Open,
    /// It is still there, as it was or less.
    Still(EntryIx),
    /// It is still there and more than it was.
    Worse(EntryIx),
    /// Something was done about it in this round; nobody has looked at it again.
    Mended(EntryIx),
    /// It was looked at and is gone.
    Gone(EntryIx),
}

/// A finding that earlier rounds left open.
#[derive(Clone, Debug)]
pub struct Carried {
    /// The entry that reported it first.
    pub first: EntryIx,
    /// The entry that reported it last before the present round.
    pub last: EntryIx,
    /// In how many earlier rounds it was reported.
    pub times: usize,
    /// The entry, made before the present round, that says it was mended.
    pub said_fixed: Option<EntryIx>,
    /// How it was answered.
    pub answer: Answer,
}

/// Everything about one head.
#[derive(Clone, Debug, Default)]
pub struct Story {
    /// What was found in the present round, in order.
    pub findings: Vec<Finding>,
    /// What earlier rounds left open.
    pub carried: Vec<Carried>,
    /// The standing entry that says it could not be judged.
    pub unsure: Option<EntryIx>,
    /// The standing entry that says it was not reached.
    pub unreached: Option<EntryIx>,
    /// What was done in the present round.
    pub deeds: Vec<EntryIx>,
    /// Notes of the present round.
    pub notes: Vec<EntryIx>,
    /// Entries of earlier rounds and changes of the register, in order.
    pub history: Vec<EntryIx>,
    /// Entries by which somebody says that a finding another person has just made is not there.
    denied: Vec<EntryIx>,
    settled: Option<EntryIx>,
    looked: bool,
}

/// What [`State`] keeps of a story.
pub(super) struct Worked {
    pub(super) status: Status,
    pub(super) judgement: Option<Judgement>,
    pub(super) carried: bool,
    pub(super) disagreement: bool,
    pub(super) mended: bool,
    pub(super) impaired: Option<EntryIx>,
    pub(super) impaired_before: bool,
}

struct Chain {
    key: (String, String),
    entries: Vec<Id>,
    rounds: Vec<Arc<str>>,
    closed: bool,
    carried: Carried,
}

impl State {
    /// The story of a head.
    #[must_use]
    pub fn story(&self, ix: HeadIx) -> Story {
        let mut story = Story::default();
        let Some(now) = self.heads.get(ix.at()) else { return story };
        if now.marks.is_empty() {
            story.looked = now.seen_by != 0;
            return story;
        }
        let mut superseded: Vec<Id> = now
            .marks
            .iter()
            .chain(std::iter::once(&now.seen))
            .filter(|m| self.stands(**m))
            .filter_map(|m| self.entry(*m).and_then(Entry::instead))
            .collect();
        superseded.sort_unstable();
        let mut chains: Vec<Chain> = Vec::new();
        for mark in &now.marks {
            let Some(entry) = self.entry(*mark) else { continue };
            if !self.stands(*mark) || superseded.binary_search(&entry.id).is_ok() {
                continue;
            }
            if self.present_round().is_some_and(|r| r.name == entry.round) {
                self.tell_now(&mut story, &mut chains, ix, *mark, entry);
            } else {
                story.history.push(*mark);
                self.tell_before(&mut chains, ix, *mark, entry);
            }
        }
        story.carried = chains.into_iter().filter(|c| !c.closed).map(|c| c.carried).collect();
        self.resolve(&mut story, ix);
        story
    }

    /// An entry of an earlier round: it opens, repeats or closes a chain of findings.
    fn tell_before(&self, chains: &mut Vec<Chain>, ix: HeadIx, mark: EntryIx, entry: &Entry) {
        match &entry.what {
            What::Saw(saw) => {
                let chain = chains.iter_mut().find(|c| c.is_of(saw));
                match chain {
                    Some(chain) => {
                        if chain.closed {
                            chain.carried.first = mark;
                            chain.rounds.clear();
                        }
                        chain.closed = false;
                        chain.entries.push(entry.id);
                        chain.carried.last = mark;
                        chain.carried.said_fixed = None;
                        if !chain.rounds.contains(&entry.round) {
                            chain.rounds.push(Arc::clone(&entry.round));
                        }
                        chain.carried.times = chain.rounds.len();
                    }
                    None => chains.push(Chain {
                        key: (saw.sign.clone(), saw.part.clone()),
                        entries: vec![entry.id],
                        rounds: vec![Arc::clone(&entry.round)],
                        closed: false,
                        carried: Carried { first: mark, last: mark, times: 1, said_fixed: None, answer: Answer::Open },
                    }),
                }
            }
            What::Gone(gone) => {
                for chain in chains.iter_mut().filter(|c| c.entries.contains(&gone.of)) {
                    chain.closed = true;
                }
            }
            What::Did(did) => {
                for chain in chains.iter_mut().filter(|c| !c.closed) {
                    if self.would_mend(did.did, ix, chain.carried.last) {
                        chain.carried.said_fixed = Some(mark);
                    }
                }
            }
            _ => {}
        }
    }

    fn tell_now(&self, story: &mut Story, chains: &mut [Chain], ix: HeadIx, mark: EntryIx, entry: &Entry) {
        match &entry.what {
            What::Saw(saw) => {
                let chain = chains.iter_mut().find(|c| !c.closed && c.is_of(saw));
                let carried = chain.is_some();
                if let Some(chain) = chain {
                    let worse = self.extent_of(chain.carried.last) < self.extent_rank(&saw.extent);
                    chain.entries.push(entry.id);
                    chain.carried.answer = if worse { Answer::Worse(mark) } else { Answer::Still(mark) };
                }
                let (judgement, known) = self.judge_saw(ix, saw);
                story.findings.push(Finding { entry: mark, judgement, known, fate: Fate::Open, carried });
                story.looked = true;
                story.unsure = None;
                story.unreached = None;
            }
            What::Gone(gone) => {
                for chain in chains.iter_mut().filter(|c| c.entries.contains(&gone.of)) {
                    chain.carried.answer = Answer::Gone(mark);
                }
                for finding in &mut story.findings {
                    let Some(found) = self.entry(finding.entry).filter(|e| e.id == gone.of) else { continue };
                    // Where nothing was done in between, another person's "gone" is another opinion.
                    if finding.fate == Fate::Open && found.by != entry.by {
                        story.denied.push(mark);
                    } else {
                        finding.fate = Fate::Gone(mark);
                    }
                }
                story.looked = true;
                story.unsure = None;
                story.unreached = None;
            }
            What::Did(did) => {
                story.deeds.push(mark);
                if did.did == Deed::Replaced {
                    // What could not be judged is no longer there; the new head has yet to be looked at.
                    story.unsure = None;
                }
                for finding in story.findings.iter_mut().filter(|f| f.fate == Fate::Open) {
                    if mends(did.did, finding.judgement.ruling) {
                        finding.fate = Fate::Mended(mark);
                    }
                }
                for chain in chains.iter_mut().filter(|c| !c.closed && c.carried.answer == Answer::Open) {
                    if self.would_mend(did.did, ix, chain.carried.last) {
                        chain.carried.answer = Answer::Mended(mark);
                    }
                }
            }
            What::Unsure(_) => {
                story.unsure = Some(mark);
                story.unreached = None;
            }
            What::Unreached(_) => story.unreached = Some(mark),
            What::Settle(settle) => {
                if let Some(winner) = self.settled_for(settle, mark) {
                    story.settled = Some(mark);
                    self.set_aside(story, &winner, mark);
                }
            }
            What::Note(_) | What::Notice(_) => story.notes.push(mark),
            _ => story.history.push(mark),
        }
    }

    /// Whether a deed answers what an earlier entry found: cleaning is no answer to a finding that asks for replacement.
    fn would_mend(&self, deed: Deed, ix: HeadIx, found: EntryIx) -> bool {
        match self.entry(found).map(|e| &e.what) {
            Some(What::Saw(saw)) => mends(deed, self.judge_saw(ix, saw).0.ruling),
            _ => false,
        }
    }

    /// Whose side a settlement takes; `None` where the entry it names is not an earlier one about the head, or no longer
    /// stands: such a settlement decides nothing.
    fn settled_for(&self, settle: &Settle, mark: EntryIx) -> Option<Arc<str>> {
        let ix = self.find_entry(settle.stands).filter(|ix| *ix < mark && self.stands(*ix))?;
        let entry = self.entry(ix)?;
        entry.heads()?.covers(&settle.head).then(|| Arc::clone(&entry.by))
    }

    /// Takes the findings that a settlement decided against out of account.
    fn set_aside(&self, story: &mut Story, winner: &Arc<str>, mark: EntryIx) {
        for finding in story.findings.iter_mut().filter(|f| f.fate == Fate::Open) {
            if self.entry(finding.entry).is_some_and(|e| e.by != *winner) {
                finding.fate = Fate::SetAside(mark);
            }
        }
    }

    /// What a later look at the head settles.
    fn resolve(&self, story: &mut Story, ix: HeadIx) {
        let Some(now) = self.heads.get(ix.at()).filter(|n| n.seen_by != 0) else { return };
        story.looked = true;
        if story.unreached.is_some_and(|u| u < now.seen) {
            story.unreached = None;
        }
        // A head that could not be judged is only settled by an entry about that head alone: a sweep over many heads
        // does not say that somebody went near.
        let alone = matches!(self.entry(now.seen).map(|e| &e.what), Some(What::Seen(heads)) if heads.one().is_some());
        if alone && story.unsure.is_some_and(|u| u < now.seen) {
            story.unsure = None;
        }
    }

    fn judge_saw(&self, ix: HeadIx, saw: &Saw) -> (Judgement, bool) {
        let Some(profile) = self.known_profile(ix) else { return (self.judge.keep(), false) };
        match self.sighting(saw) {
            Some(sighting) => (self.judge.judge(profile, sighting), true),
            None => (self.judge.unsure(profile), false),
        }
    }

    /// Whether what an entry saw is an impairment, by what the head is now.
    fn impaired_once(&self, ix: HeadIx, entry: EntryIx) -> bool {
        match self.entry(entry).map(|e| &e.what) {
            Some(What::Saw(saw)) => self.judge_saw(ix, saw).0.class == Some(Class::Impairment),
            _ => false,
        }
    }

    /// A sighting in the rule set's terms, if it knows the words and allows them together.
    #[must_use]
    pub fn sighting(&self, saw: &Saw) -> Option<Sighting> {
        let set = self.judge.set();
        let (sign, part, extent) = (set.sign(&saw.sign)?, set.part(&saw.part)?, set.extent(&saw.extent)?);
        let declared = set.sign_at(sign)?;
        (declared.parts.contains(&part) && declared.extents.contains(&extent)).then_some(Sighting {
            sign,
            part,
            extent,
            applied: saw.applied,
        })
    }

    /// Why the rule set cannot decide a sighting; the head is ruled to be looked at.
    pub(super) fn undecided(&self, saw: &Saw) -> String {
        let set = self.judge.set();
        let words = |list: &[crate::rules::model::Word], what: &str, word: &str| {
            unknown(what, word, &list.iter().map(|w| w.id.as_str()).collect::<Vec<_>>())
        };
        if set.sign(&saw.sign).is_none() {
            let known: Vec<&str> = set.signs.iter().map(|s| s.id.as_str()).collect();
            unknown("sign of the rule set", &saw.sign, &known)
        } else if set.part(&saw.part).is_none() {
            words(&set.parts, "part of the rule set", &saw.part)
        } else if set.extent(&saw.extent).is_none() {
            words(&set.extents, "extent of the rule set", &saw.extent)
        } else {
            format!("the rule set has no '{}' on '{}' with the extent '{}'", saw.sign, saw.part, saw.extent)
        }
    }

    fn extent_rank(&self, extent: &str) -> Option<u8> {
        self.judge.set().extent(extent).map(|e| e.0)
    }

    fn extent_of(&self, entry: EntryIx) -> Option<u8> {
        match self.entry(entry).map(|e| &e.what) {
            Some(What::Saw(saw)) => self.extent_rank(&saw.extent),
            _ => None,
        }
    }

    fn known_profile(&self, ix: HeadIx) -> Option<Profile> {
        let head = self.layout.head(ix)?;
        self.profiles.get(&(head.area, head.kind)).copied()
    }

    /// What is kept of a head's story. Heads without any entry but `seen` cost no more than a glance.
    pub(super) fn work_out(&mut self, ix: HeadIx) -> Worked {
        self.profile(ix);
        let story = self.story(ix);
        let profile = self.known_profile(ix);
        let status = if story.unsure.is_some() {
            Status::Unsure
        } else if story.looked {
            Status::Seen
        } else if story.unreached.is_some() {
            Status::Unreached
        } else {
            Status::Unseen
        };
        let open = story.findings.iter().filter(|f| f.fate == Fate::Open).map(|f| f.judgement);
        let unsure = story.unsure.and(profile).map(|p| self.judge.unsure(p));
        let failed = self.failures.get(&ix);
        let condemned = failed.map(|f| self.judge.condemned(f.class));
        let strongest = open.chain(unsure).chain(condemned).max_by_key(|j| weight(j.ruling, j.class));
        let judgement = strongest.or_else(|| (status == Status::Seen).then(|| self.judge.keep()));
        Worked {
            status,
            judgement,
            // What could not be reached or judged answers for itself: the finding stays open and goes on to the next round.
            carried: matches!(status, Status::Seen | Status::Unseen)
                && story.carried.iter().any(|c| c.answer == Answer::Open),
            disagreement: self.disagree(ix, &story),
            impaired: story
                .findings
                .iter()
                .filter(|f| notices::impairs(f))
                .map(|f| f.entry)
                .chain(failed.filter(|f| f.class == Some(Class::Impairment)).map(|f| f.entry))
                .min_by_key(|ix| self.entry(*ix).map(|e| e.at)),
            impaired_before: story.carried.iter().any(|c| c.answer == Answer::Open && self.impaired_once(ix, c.last)),
            mended: story.findings.iter().any(|f| matches!(f.fate, Fate::Mended(_))),
        }
    }

    /// Whether standing entries of two people lead to different rulings and nobody has settled it since.
    fn disagree(&self, ix: HeadIx, story: &Story) -> bool {
        let Some(now) = self.heads.get(ix.at()) else { return false };
        if story.findings.is_empty() {
            return false;
        }
        let settled = story.settled;
        let fresh = |entry: EntryIx| settled.is_none_or(|s| s < entry);
        let later = story.findings.iter().map(|f| f.entry).chain(story.denied.iter().copied()).any(fresh);
        if settled.is_some() && !later && !fresh(now.seen) {
            return false;
        }
        let mut opinions: Vec<(&Arc<str>, Ruling)> = Vec::new();
        // What was mended or is gone leads to no ruling any more: whoever looks at the mended head contradicts nobody.
        for finding in story.findings.iter().filter(|f| f.fate == Fate::Open) {
            let Some(by) = self.entry(finding.entry).map(|e| &e.by) else { continue };
            match opinions.iter_mut().find(|(p, _)| *p == by) {
                Some((_, ruling)) => *ruling = (*ruling).max(finding.judgement.ruling),
                None => opinions.push((by, finding.judgement.ruling)),
            }
        }
        let Some((_, first)) = opinions.first() else { return false };
        if *first != Ruling::Keep && story.denied.iter().any(|d| fresh(*d)) {
            return true;
        }
        if opinions.iter().any(|(_, ruling)| ruling != first) {
            return true;
        }
        // Those who only saw it in order hold that it be kept.
        let found = story.findings.iter().filter(|f| !matches!(f.fate, Fate::SetAside(_)));
        let with_finding = found.filter_map(|f| self.entry(f.entry)).fold(0, |bits, entry| bits | self.bit(&entry.by));
        let instead = story.findings.iter().filter_map(|f| self.entry(f.entry).and_then(Entry::instead));
        let corrected = instead
            .filter_map(|id| self.find_entry(id).and_then(|e| self.entry(e)))
            .fold(0, |bits, entry| bits | self.bit(&entry.by));
        *first != Ruling::Keep && fresh(now.seen) && now.seen_by & !with_finding & !corrected != 0
    }
}

impl Chain {
    fn is_of(&self, saw: &Saw) -> bool {
        saw.of.is_some_and(|of| self.entries.contains(&of)) || (self.key.0 == saw.sign && self.key.1 == saw.part)
    }
}

/// Whether a deed answers a ruling: a replacement answers all, the others what they are meant for.
const fn mends(deed: Deed, ruling: Ruling) -> bool {
    match deed {
        Deed::Replaced => true,
        Deed::Cleaned => matches!(ruling, Ruling::Clean | Ruling::Watch | Ruling::Keep),
        Deed::Corrected => matches!(ruling, Ruling::Correct | Ruling::Watch | Ruling::Keep),
    }
}

impl Story {
    /// Why the head was not reached.
    #[must_use]
    pub fn unreached_why(&self, state: &State) -> Option<UnreachedWhy> {
        match state.entry(self.unreached?).map(|e| &e.what) {
            Some(What::Unreached(x)) => Some(x.why),
            _ => None,
        }
    }

    /// Why it could not be judged.
    #[must_use]
    pub fn unsure_why(&self, state: &State) -> Option<UnsureWhy> {
        match state.entry(self.unsure?).map(|e| &e.what) {
            Some(What::Unsure(x)) => Some(x.why),
            _ => None,
        }
    }

    /// The finding that the head's ruling turns on.
    #[must_use]
    pub fn leading(&self) -> Option<&Finding> {
        let open = self.findings.iter().filter(|f| f.fate == Fate::Open);
        open.max_by_key(|f| weight(f.judgement.ruling, f.judgement.class))
    }
}

/// What decides which finding a head's ruling turns on, the greatest: what the adopted inspection asks for before any
/// advisory, lest the weaker but binding ruling be hidden behind advice; then the ruling, then the class.
#[must_use]
pub fn weight(ruling: Ruling, class: Option<Class>) -> (bool, Ruling, Option<Class>) {
    (ruling > Ruling::Keep && class != Some(Class::Advisory), ruling, class)
}

/// Whether a head of this judgement is counted apart: something is advised, and the adopted inspection asks for nothing.
#[must_use]
pub fn is_advisory(judgement: Judgement) -> bool {
    judgement.class == Some(Class::Advisory) && judgement.ruling > Ruling::Keep
}

/// How a finding was looked at, from its entry.
#[must_use]
pub fn how_seen(entry: &Entry) -> How {
    match &entry.what {
        What::Saw(x) => x.how,
        What::Unsure(x) => x.how,
        _ => How::Eye,
    }
}
