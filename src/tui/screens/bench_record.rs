//! A test at the bench as it is recorded: what is asked first where it is void, or undoes a test that failed.

use super::bench::{BenchScreen, named};
use super::parts::{address, count, state};
use crate::bench::judge::Verdict;
use crate::round::entry::{Marks, Readings, Tested, What};
use crate::round::lots::Sample;
use crate::round::state::State;
use crate::tui::ask::{Confirm, Line};
use crate::tui::samples;
use crate::tui::screen::{Draft, Effect, View};

impl BenchScreen {
    /// Records the test as it stands, after what has to be asked.
    pub(super) fn record(&mut self, view: &View<'_>) -> Vec<Effect> {
        if self.watch.is_running() {
            return vec![Effect::Warn(
                "The stopwatch runs: w when the waterway clears, e when the exposure ends".to_owned(),
            )];
        }
        if !self.form.examine_all(view) {
            self.on_watch = false;
            return vec![Effect::Warn("Something cannot be read: see the marked row".to_owned())];
        }
        self.work_out(view);
        let (Some(state), Some(shown)) = (state(view), &self.shown) else { return Vec::new() };
        let Some(judged) = &shown.judged else {
            return vec![Effect::Warn(
                "Nothing is measured yet: Space starts the stopwatch, or type the times".to_owned(),
            )];
        };
        let (Some(lot), Some(head)) = (named(state, &self.id), state.address(self.head)) else { return Vec::new() };
        let tested = Tested { lot: self.id.clone(), head: head.clone(), readings: shown.readings.clone() };
        let marks = Marks { instead: self.corrects, ..Marks::default() };
        let open = |s: &&Sample| s.head != self.head && s.test.is_none();
        let (before, after) = lot.samples.split_at(self.number.0.min(lot.samples.len()));
        let next = after.iter().chain(before).find(open).map(|s| s.head).filter(|_| self.corrects.is_none());
        let verdict = judged.verdict;
        let stake = if verdict.fails() { self.stake(state) } else { String::new() };
        let told = match next {
            Some(next) => format!("{head} {verdict}.{stake} Next: {}", address(state, next)),
            None => format!("{head} {verdict}.{stake} Every drawn head is tested"),
        };
        let leave = next.is_none();
        let record = move |why: Option<String>| {
            let note = why.or_else(|| tested.readings.note.clone());
            let tested = Tested { readings: Readings { note, ..tested.readings.clone() }, ..tested.clone() };
            let mut effects =
                vec![Effect::Record(vec![Draft { what: What::Tested(Box::new(tested)), marks: marks.clone() }])];
            if leave {
                effects.push(Effect::Pop);
            }
            effects.push(if verdict.fails() || verdict == Verdict::Void {
                Effect::Warn(told.clone())
            } else {
                Effect::Tell(told.clone())
            });
            effects
        };
        let undone = lot.sample_at(self.head).and_then(|s| samples::undone(state, &lot, s));
        let typed = shown.readings.note.clone().unwrap_or_default();
        let void = (verdict == Verdict::Void).then(|| judged.why.join("; "));
        self.onward = next;
        let ask = move || match &undone {
            None => record(None),
            Some(undone) => {
                // What the old entry notes is no reason for the new one.
                let start = if undone.note.as_deref() == Some(typed.as_str()) { "" } else { typed.as_str() };
                let prompt = format!("{}. Why? The reason stands in the record.", undone.words);
                let check = |t: &str, _: &View<'_>| {
                    if t.is_empty() {
                        Err("Write the reason, as in 'the gauge was misread by 20 s'".to_owned())
                    } else {
                        Ok(())
                    }
                };
                let record = record.clone();
                let then = move |why: String, _: &View<'_>| record(Some(why));
                vec![Effect::Push(Line::new("Undo a failed test?", prompt, start, Box::new(check), Box::new(then)))]
            }
        };
        let Some(void) = void else { return ask() };
        let question = format!("The test is void: {void}. It says nothing of the head. Record it all the same?");
        vec![Effect::Push(Confirm::new("A void test", question, Box::new(move |(), _| ask())))]
    }

    /// What a failure means for the others.
    pub(super) fn stake(&self, state: &State) -> String {
        if state.one_condemns() {
            format!(" It condemns {}.", count(self.at_stake, "head"))
        } else {
            format!(" {}.", samples::capital(&state.one_failure("")))
        }
    }
}
