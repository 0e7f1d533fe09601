//! What the walk's actions record. Everything goes out as drafts; nothing here writes, and a cursor only moves once the
//! recording has worked.

use super::like_this::LikeThis;
use super::note::Note;
use super::sweep::Sweep;
use super::walk::Walk;
use super::walk_ground::{At, Ground};
use super::walk_keys::Action;
use super::walk_pending::Whole;
use super::walk_prompts;
use super::walk_words::heads_words;
use crate::round::entry::{Gone, Saw, What};
use crate::round::layout::HeadIx;
use crate::round::state::{EntryIx, State, Status};
use crate::round::story::{Answer, Carried, Fate};
use crate::trade::address::Heads;
use crate::tui::ask::Confirm;
use crate::tui::screen::{Draft, Effect, View};

/// Why nothing can be recorded just now, in a sentence without a full stop.
pub(super) fn closed(view: &View<'_>) -> Option<String> {
    let desk = view.desk?;
    if let Some(why) = desk.read_only() {
        return Some(format!("Nothing can be recorded, the file is read-only: {why}"));
    }
    match desk.state().present_round() {
        Some(round) if round.begin.is_some() => None,
        _ => Some("Nothing can be recorded before a round has begun: leave with Esc, then g begins one".to_owned()),
    }
}

pub(super) fn is_signed(state: &State) -> bool {
    state.present_round().is_some_and(crate::round::rounds::Round::is_signed)
}

/// The heads of one.
pub(super) fn only(state: &State, head: HeadIx) -> Option<Heads> {
    state.address(head).map(|a| Heads::single(&a))
}

/// Whether a head waits for a look: it was not reached or could not be judged.
pub(super) fn is_open(state: &State, head: HeadIx) -> bool {
    matches!(state.status(head), Status::Unsure | Status::Unreached)
}

impl Walk {
    /// Whether something may be recorded; otherwise what to do instead.
    pub(super) fn gate(&self, view: &View<'_>) -> Result<(), Vec<Effect>> {
        if let Some(why) = closed(view) {
            return Err(vec![Effect::Warn(why)]);
        }
        if self.late.get() || !view.desk.is_some_and(|d| is_signed(d.state())) {
            return Ok(());
        }
        let late = std::rc::Rc::clone(&self.late);
        let question = "This round is signed. What you record from now on is marked as made after the sign-off and shown \
                        apart. Go on?";
        let then = move |(), _: &View<'_>| {
            late.set(true);
            vec![Effect::Tell("Recording after the sign-off: strike the key again".to_owned())]
        };
        Err(vec![Effect::Push(Confirm::new("After the sign-off", question, Box::new(then)))])
    }

    pub(super) fn step_back(&self, redo: bool, view: &View<'_>) -> Vec<Effect> {
        match self.gate(view) {
            Ok(()) => vec![if redo { Effect::Redo } else { Effect::Undo }],
            Err(effects) => effects,
        }
    }

    pub(super) fn seen(&mut self, ground: Ground<'_>, at: At, head: HeadIx, view: &View<'_>) -> Vec<Effect> {
        let state = ground.state;
        if state.has_open_carried(head) {
            return vec![Effect::Warn(
                "An earlier finding waits here: a still there, z gone, or enter it anew".to_owned(),
            )];
        }
        let next = ground.next(at);
        if state.status(head) != Status::Unseen {
            if let Some(next) = next {
                self.stand(next);
                return Vec::new();
            }
            return vec![Effect::Tell(at_the_end(state, self.area, 0))];
        }
        if let Err(effects) = self.gate(view) {
            return effects;
        }
        let Some(heads) = only(state, head) else { return Vec::new() };
        self.onward = true;
        let mut effects = vec![
            Effect::Record(vec![Draft::from(What::Seen(heads))]),
            Effect::Remember(next.and_then(|n| ground.head(n)).unwrap_or(head)),
        ];
        if next.is_none() {
            effects.push(Effect::Tell(at_the_end(state, self.area, 1)));
        }
        effects
    }

    /// A defect entered in full; a sign that asks for a measured clearance asks for it first.
    pub(super) fn defect(
        &mut self,
        whole: Whole,
        ground: Ground<'_>,
        _: At,
        head: HeadIx,
        view: &View<'_>,
    ) -> Vec<Effect> {
        if let Err(effects) = self.gate(view) {
            return effects;
        }
        let state = ground.state;
        let Some(saw) = self.saw(whole, state, head) else { return Vec::new() };
        if state.judge().set().sign_at(whole.sign).is_some_and(|s| s.asks_clearance) {
            return walk_prompts::clearance(saw, head, state);
        }
        vec![Effect::Record(vec![Draft::from(What::Saw(Box::new(saw)))]), Effect::Remember(head)]
    }

    fn saw(&self, whole: Whole, state: &State, head: HeadIx) -> Option<Saw> {
        let set = state.judge().set();
        let (sign, part) = (set.sign_at(whole.sign)?.id.clone(), set.part_at(whole.part)?.id.clone());
        // The same sign on the same part as in an earlier round is that finding again, worse or not.
        let same = |carried: &Carried| match state.entry(carried.last).map(|e| (e.id, &e.what)) {
            Some((id, What::Saw(last))) if last.sign == sign && last.part == part => Some(id),
            _ => None,
        };
        let of = state.story(head).carried.iter().find_map(same);
        Some(Saw {
            head: only(state, head)?,
            extent: set.extent_at(whole.extent)?.id.clone(),
            sign,
            part,
            applied: whole.applied,
            how: self.how,
            doubtful: whole.doubtful,
            clearance: None,
            of,
            note: None,
        })
    }

    pub(super) fn record_about(
        &self,
        action: Action,
        ground: Ground<'_>,
        at: At,
        head: HeadIx,
        view: &View<'_>,
    ) -> Vec<Effect> {
        let state = ground.state;
        match action {
            Action::Sweep if state.area_counts(self.area).unseen == 0 => {
                vec![Effect::Warn("Nothing to sweep: every head of this area has an entry".to_owned())]
            }
            Action::Sweep => {
                let line = u16::try_from(at.row + 1).unwrap_or(u16::MAX);
                vec![Effect::Push(Sweep::new(state, self.area, line, head))]
            }
            Action::Note => only(state, head).map_or_else(Vec::new, |heads| vec![Effect::Push(Note::new(heads, view))]),
            Action::Unreached => match state.status(head) {
                Status::Unseen | Status::Unreached => walk_prompts::unreached(self.area, at, head, state),
                _ => vec![Effect::Warn("This head was in sight already: Enter, then e, takes that back".to_owned())],
            },
            Action::Unsure => walk_prompts::unsure(head, self.how, state),
            Action::Like => match self.last_saw(state, head, view) {
                Some(saw) => vec![Effect::Push(LikeThis::new(head, saw))],
                None => vec![Effect::Warn("You have entered no defect on this head that could be repeated".to_owned())],
            },
            // Seen by a person who stands at this one head: that is what settles an earlier doubt.
            Action::Gone if is_open(state, head) && !state.has_open_carried(head) => match only(state, head) {
                Some(heads) => vec![Effect::Record(vec![Draft::from(What::Seen(heads))]), Effect::Remember(head)],
                None => Vec::new(),
            },
            Action::Still | Action::Gone => self.answer(action == Action::Still, state, head),
            _ => Vec::new(),
        }
    }

    /// The last defect that the person at the keys has entered on a head and that still stands.
    pub(super) fn last_saw(&self, state: &State, head: HeadIx, view: &View<'_>) -> Option<Saw> {
        // A head without a ruling has no finding; most have none, and the footer asks at every frame.
        state.judgement(head)?;
        let by = view.desk?.by();
        let story = state.story(head);
        let mine = |ix: EntryIx| state.entry(ix).filter(|e| &*e.by == by);
        story.findings.iter().rev().filter(|f| f.fate == Fate::Open).find_map(|f| match &mine(f.entry)?.what {
            What::Saw(saw) => Some((**saw).clone()),
            _ => None,
        })
    }

    /// The earlier findings of a head: still there, or gone. With several open ones it is asked which.
    fn answer(&self, still: bool, state: &State, head: HeadIx) -> Vec<Effect> {
        let story = state.story(head);
        let open: Vec<(String, Draft)> = story
            .carried
            .iter()
            .filter(|c| c.answer == Answer::Open)
            .filter_map(|c| self.answer_draft(still, c, state, head))
            .collect();
        match open.as_slice() {
            [] => vec![Effect::Warn("No earlier finding waits for an answer here".to_owned())],
            [(_, draft)] => vec![Effect::Record(vec![draft.clone()]), Effect::Remember(head)],
            _ => walk_prompts::which_carried(still, open, head),
        }
    }

    fn answer_draft(&self, still: bool, carried: &Carried, state: &State, head: HeadIx) -> Option<(String, Draft)> {
        let entry = state.entry(carried.last)?;
        let What::Saw(last) = &entry.what else { return None };
        let heads = only(state, head)?;
        let words = super::walk_words::saw_words(state.judge().set(), last);
        let what = if still {
            What::Saw(Box::new(Saw {
                head: heads,
                how: self.how,
                doubtful: false,
                clearance: None,
                of: Some(entry.id),
                note: None,
                ..(**last).clone()
            }))
        } else {
            What::Gone(Box::new(Gone { head: heads, of: entry.id, note: None }))
        };
        Some((words, Draft::from(what)))
    }
}

/// What is told at the last head of an area of which `more` heads are just being recorded.
fn at_the_end(state: &State, area: u16, more: usize) -> String {
    let counts = state.area_counts(area);
    let left = counts.unseen.saturating_sub(more);
    match (left, counts.carried) {
        (0, 0) => "The last head; every head of this area is answered: Esc leaves it".to_owned(),
        (0, n) => format!("The last head; {} with an earlier finding to answer: Tab goes there", heads_words(n)),
        (n, _) => format!("The last head; {} without an answer: Tab goes there", heads_words(n)),
    }
}
