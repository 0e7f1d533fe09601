//! Going about in the plain walk: to the next head, to a place, to an area, to what was searched for. Nothing here records.

use super::order::Want;
use super::{Walk, sentence, words};
use crate::round::act;
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::rules::model::Ruling;
use crate::trade::address::{Address, AreaId};

impl Walk {
    pub(super) fn find(&mut self, state: &State, text: &str) -> Vec<String> {
        const MOST: usize = 50;
        let wanted = text.to_lowercase();
        let holds = |h: HeadIx| {
            let kind = state.layout().head(h).and_then(|x| state.register().kind(x.kind));
            let story = state.story(h);
            let entries = story.findings.iter().map(|f| f.entry).chain(story.notes.iter().copied());
            kind.is_some_and(|k| k.id.contains(&wanted))
                || entries
                    .filter_map(|e| state.entry(e))
                    .any(|e| crate::round::words::entry_words(e).to_lowercase().contains(&wanted))
        };
        let areas = (0..state.register().areas.len()).filter_map(|n| u16::try_from(n).ok());
        self.list = areas.flat_map(|area| act::heads_in_order(state, area)).filter(|h| holds(*h)).take(MOST).collect();
        if self.list.is_empty() {
            return vec![format!("Nothing is found for '{text}'.")];
        }
        let mut lines: Vec<String> = self
            .list
            .iter()
            .enumerate()
            .filter_map(|(n, h)| {
                let judgement = state.judgement(*h).map_or(String::new(), |j| format!(", {}", j.ruling));
                Some(format!("{}. {}{judgement}", n + 1, state.address(*h)?))
            })
            .collect();
        if self.list.len() == MOST {
            lines.push(format!("Only the first {MOST} are listed."));
        }
        lines.push("Type 'go' and a number to go there.".to_owned());
        lines
    }

    /// Moves to the next head that is wanted, if there is one.
    pub(super) fn step(&mut self, state: &State, want: Want) -> bool {
        let next = if want == Want::Any {
            let mut after = act::heads_in_order(state, self.area).skip_while(|h| Some(*h) != self.at);
            after.next();
            after.next()
        } else {
            act::next_where(state, self.area, self.at, |h| match want {
                Want::Any => true,
                Want::Open => act::is_unanswered(state, h),
                Want::Ruled => state.judgement(h).is_some_and(|j| j.ruling > Ruling::Keep),
                Want::Look => state.judgement(h).is_some_and(|j| j.ruling == Ruling::Look),
            })
        };
        let moved = next.is_some_and(|n| Some(n) != self.at);
        if moved {
            self.at = next;
        }
        moved
    }

    pub(super) fn go_on(&mut self, state: &State, want: Want) -> Vec<String> {
        if self.step(state, want) {
            return self.here(state, false);
        }
        let mut lines = vec![if want == Want::Any {
            format!("That was the last head of {}.", words::area_name(state, self.area))
        } else {
            "There is no other such head in the area.".to_owned()
        }];
        lines.extend(words::left(state, self.area));
        lines.push("'areas' lists the areas.".to_owned());
        lines
    }

    pub(super) fn go_back(&mut self, state: &State) -> Vec<String> {
        let before = act::heads_in_order(state, self.area).take_while(|h| Some(*h) != self.at).last();
        match before {
            Some(head) => {
                self.at = Some(head);
                self.here(state, false)
            }
            None => vec!["That is the first head of the area.".to_owned()],
        }
    }

    pub(super) fn go(&mut self, state: &State, text: &str) -> Vec<String> {
        let listed = text.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
        let area = state.register().areas.get(usize::from(self.area)).map(|a| a.id.to_string()).unwrap_or_default();
        let full = if text.contains('/') { text.to_owned() } else { format!("{area}/{text}") };
        let head = match listed {
            Some(n) => self.list.get(n).copied(),
            None => match Address::parse(&full) {
                Ok(address) => state.layout().find(&address),
                Err(why) => return vec![sentence(&why)],
            },
        };
        match head.filter(|h| state.layout().head(*h).is_some_and(|x| !x.removed)) {
            Some(head) => {
                self.at = Some(head);
                self.area = state.layout().head(head).map_or(self.area, |h| h.area);
                self.here(state, true)
            }
            None => vec![format!("There is no head '{text}'.")],
        }
    }

    pub(super) fn go_area(&mut self, state: &State, text: &str) -> Vec<String> {
        let number = text.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
        let by_name = AreaId::parse(text).ok().and_then(|id| state.register().area_named(id.as_str()));
        let area = by_name.or(number).filter(|n| *n < state.register().areas.len()).and_then(|n| u16::try_from(n).ok());
        let Some(area) = area else {
            let mut lines = vec![format!("There is no area '{text}'. The areas:")];
            lines.extend(words::areas(state));
            return lines;
        };
        self.area = area;
        self.at = act::next_where(state, area, None, |h| act::is_unanswered(state, h))
            .or_else(|| act::heads_in_order(state, area).next());
        self.here(state, true)
    }
}
