//! Which heads of a lot may be drawn, and why the others may not.

use serde::Serialize;

use super::Lot;
use crate::round::due;
use crate::round::entry::What;
use crate::round::layout::HeadIx;
use crate::round::state::{State, Status};
use crate::rules::duties::SampleMatter;
use crate::rules::model::Ruling;
use crate::trade::words::words;

words! {
    /// Why a head may not be drawn.
    pub enum Why ("reason for refusal") {
        /// It shows a defect, or an earlier round's finding has no answer.
        Defect = "visible-defect",
        /// Nobody has looked at it in this round.
        NotSeen = "not-seen",
        /// It could not be judged, or not be reached.
        NotJudged = "not-judged",
        /// It was replaced and is newer than those the sample speaks for.
        Newer = "replaced-since",
        /// It was drawn already.
        Drawn = "drawn-already",
        /// It is no longer there.
        Gone = "not-there",
        /// It does not belong to the lot.
        Stranger = "not-of-the-lot",
        /// A failed test condemns it.
        Condemned = "condemned",
    }
}

/// A head that may not be drawn.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Refused {
    /// The head.
    #[serde(skip)]
    pub head: HeadIx,
    /// Why, as a word.
    pub why: Why,
    /// Why, in words.
    pub words: String,
    /// The clause that refuses it; empty where none is needed.
    pub clause: String,
}

/// Which heads of a lot may be drawn.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Eligible {
    /// These may, in the order of the register.
    pub heads: Vec<HeadIx>,
    /// These may not.
    pub refused: Vec<Refused>,
}

/// Which heads of a lot may be drawn; `unseen`: also those that nobody has looked at in this round.
#[must_use]
pub fn eligible(state: &State, lot: &Lot, unseen: bool) -> Eligible {
    let mut found = Eligible::default();
    for head in &lot.heads {
        match refusal(state, lot, *head, unseen) {
            None => found.heads.push(*head),
            Some(refused) => found.refused.push(refused),
        }
    }
    found
}

/// Why a head may not be drawn for a lot; `None`: it may.
#[must_use]
pub fn refusal(state: &State, lot: &Lot, head: HeadIx, unseen: bool) -> Option<Refused> {
    let refused = |why, words: String, clause: String| Some(Refused { head, why, words, clause });
    let plain = |why, words: &str| refused(why, words.to_owned(), String::new());
    let Some(there) = state.layout().head(head).filter(|_| lot.heads.binary_search(&head).is_ok()) else {
        return plain(Why::Stranger, "it does not belong to the lot");
    };
    if there.removed {
        return plain(Why::Gone, "it is no longer there");
    }
    if lot.sample_at(head).is_some() {
        return plain(Why::Drawn, "it is drawn already");
    }
    if state.failure(head).is_some() {
        return plain(Why::Condemned, "a failed test condemns it: it is to be replaced");
    }
    let rule = |matter| state.judge().set().duties.sample_rules.iter().find(|r| r.matter == matter && r.refuse);
    if let Some(rule) = rule(SampleMatter::ReplacedSince)
        && let Some(words) = newer(state, lot, head)
    {
        return refused(Why::Newer, words, rule.basis.clause.clone());
    }
    let rule = rule(SampleMatter::VisiblyDefective)?;
    let clause = || rule.basis.clause.clone();
    let judged = state.judgement(head);
    if let Some(judged) = judged.filter(|j| j.ruling > Ruling::Watch && j.ruling != Ruling::Look) {
        let words =
            format!("a visible defect: {} to {}; it would condemn the others", signs(state, head), judged.ruling);
        return refused(Why::Defect, words, clause());
    }
    if state.has_open_carried(head) {
        let words = "an earlier round found a defect, and nobody has answered that".to_owned();
        return refused(Why::Defect, words, clause());
    }
    match state.status(head) {
        Status::Seen if judged.is_some_and(|j| j.ruling == Ruling::Look) => {
            refused(Why::NotJudged, "it has yet to be looked at closely".to_owned(), clause())
        }
        Status::Seen => None,
        Status::Unseen if unseen => None,
        Status::Unseen => refused(Why::NotSeen, "nobody has looked at it in this round".to_owned(), clause()),
        Status::Unsure => refused(Why::NotJudged, "it could not be judged".to_owned(), clause()),
        Status::Unreached => refused(Why::NotJudged, "it was not reached".to_owned(), clause()),
    }
}

fn signs(state: &State, head: HeadIx) -> String {
    let story = state.story(head);
    let leading = story.leading().and_then(|f| state.entry(f.entry)).map(|e| &e.what);
    match leading {
        Some(What::Saw(saw)) => format!("{} on the {} is", saw.sign, saw.part),
        _ => "it is".to_owned(),
    }
}

/// Whether a head was replaced, and is not due yet by its own day where the lot is.
fn newer(state: &State, lot: &Lot, head: HeadIx) -> Option<String> {
    let replaced = state.replacements(head).next()?;
    let day = state.entry(replaced)?.at.date_naive();
    let formed = state.entry(lot.entry)?.at.date_naive();
    let own = due::of_head(state, head, None)?;
    let is_due = own.on.is_none_or(|on| on <= lot.due.unwrap_or(formed).max(formed));
    (!is_due).then(|| format!("it was replaced on {day} and is newer than those the sample speaks for"))
}
