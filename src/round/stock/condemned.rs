//! Heads that are ruled to be replaced and have not been.

use crate::round::entry::What;
use crate::round::layout::HeadIx;
use crate::round::rulings::judged;
use crate::round::state::{EntryIx, State};
use crate::round::story::{Answer, Fate, weight};
use crate::rules::model::{Class, Ruling};
use crate::trade::register::KindIx;

/// A head that waits for a spare.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Condemned {
    /// The head.
    pub head: HeadIx,
    /// The index of its area.
    pub area: u16,
    /// Its kind.
    pub kind: KindIx,
    /// The entry its ruling turns on.
    pub entry: EntryIx,
    /// The class of the finding.
    pub class: Option<Class>,
    /// Whether only an earlier round found it: this round has not answered it.
    pub before: bool,
    /// Whether people disagree about the head.
    pub disagreement: bool,
}

impl Condemned {
    /// Whether the adopted inspection does not ask for it: it is advised.
    #[must_use]
    pub fn is_advised(&self) -> bool {
        self.class == Some(Class::Advisory)
    }
}

/// The heads whose standing findings mean replacement, by area and in the order one meets them: those of the present round, and
/// those of earlier rounds that nobody has answered or said to be mended; and those that a failed test of their lot condemns. A
/// head that was replaced is not among them.
#[must_use]
pub fn condemned(state: &State) -> Vec<Condemned> {
    let mut list = Vec::new();
    for area in 0..state.register().areas.len() {
        let area = u16::try_from(area).unwrap_or(u16::MAX);
        let heads = crate::round::act::heads_in_order(state, area);
        list.extend(
            heads
                .filter(|h| state.failure(*h).is_some() || state.heads.get(h.at()).is_some_and(|n| !n.marks.is_empty()))
                .filter_map(|h| one(state, h)),
        );
    }
    list
}

fn one(state: &State, ix: HeadIx) -> Option<Condemned> {
    let head = state.layout().head(ix)?;
    let story = state.story(ix);
    let now = story.findings.iter().filter(|f| f.fate == Fate::Open).map(|f| (f.entry, f.judgement, false));
    // Once somebody has said that it was mended the finding waits for a look, not for a spare.
    let before = story.carried.iter().filter(|c| c.answer == Answer::Open && c.said_fixed.is_none());
    let before = before.filter_map(|c| match state.entry(c.last).map(|e| &e.what) {
        Some(What::Saw(saw)) => judged(state, ix, saw).map(|j| (c.last, j, true)),
        _ => None,
    });
    let failed = state.failure(ix).map(|f| (f.entry, state.judge().condemned(f.class), false));
    let (entry, judgement, before) = now
        .chain(before)
        .chain(failed)
        .filter(|(_, j, _)| j.ruling == Ruling::Replace)
        .max_by_key(|(_, j, before)| (weight(j.ruling, j.class), !before))?;
    Some(Condemned {
        head: ix,
        area: head.area,
        kind: head.kind,
        entry,
        class: judgement.class,
        before,
        disagreement: state.has_disagreement(ix),
    })
}
