//! What a lot waits for: heads that have yet to be drawn, and the next step in words.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::{Lot, Sample, Stage, custody, failure_rule};
use crate::bench::judge::Verdict;
use crate::round::due;
use crate::round::entry::{Custody, Step};
use crate::round::state::State;
use crate::rules::duties::SampleMatter;
use crate::trade::register::KindIx;

/// What has yet to be drawn for a lot.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wanted {
    /// So many heads: what the sample takes, less those drawn whose test is not void.
    pub heads: u32,
    /// Kinds that must stand in the sample, and of which no head is drawn whose test is not void.
    pub kinds: Vec<KindIx>,
}

impl Lot {
    /// That heads whose test or result is known still hang by the record, without capital and full stop; `None`: none does.
    #[must_use]
    pub fn still_hang(&self, state: &State) -> Option<String> {
        let there = |s: &&Sample| state.layout().head(s.head).is_some_and(|h| !h.removed);
        let known = |s: &&Sample| s.test.is_some() || self.outcome.stage.is_decided();
        let hang = self.samples.iter().filter(|s| s.taken.is_none()).filter(known).filter(there);
        let hang: Vec<String> = hang.filter_map(|s| state.address(s.head)).map(|a| a.to_string()).collect();
        let (what, they) = match hang.len() {
            0 => return None,
            1 => ("1 drawn head still hangs".to_owned(), "it was"),
            n => (format!("{n} drawn heads still hang"), "they were"),
        };
        let shown = hang.iter().take(12).map(String::as_str).collect::<Vec<_>>().join(", ");
        let rest = if hang.len() > 12 { format!(" and {} more", hang.len() - 12) } else { String::new() };
        Some(format!("by the record {what} ({shown}{rest}): write down that {they} taken down and replaced"))
    }

    /// What is odd about a step of custody after those recorded, without a full stop; `None`: it follows. No tags: the whole
    /// sample.
    #[must_use]
    pub fn odd_step(&self, state: &State, step: Step, tags: &[String]) -> Option<String> {
        let of = |c: &&Custody| c.tags.is_empty() || tags.is_empty() || c.tags.iter().any(|t| tags.contains(t));
        let known = self.custody.iter().filter_map(|ix| custody(state, *ix)).map(|(_, c)| c).filter(of);
        let has = |step: Step| known.clone().any(|c| c.step == step);
        match step {
            _ if has(Step::Scrapped) => Some("written down already that it was scrapped".to_owned()),
            Step::Received if !has(Step::HandedOver) => Some(
                "not written down that it was handed over, and to whom; it stands as received all the same".to_owned(),
            ),
            _ => None,
        }
    }
}

impl State {
    /// Whether one failed head condemns by itself, under the adopted set, all that its sample stands for.
    #[must_use]
    pub fn one_condemns(&self) -> bool {
        failure_rule(self).is_some_and(|r| r.condemns)
    }

    /// What one failed head means for the others under the adopted set, without capital and full stop: `one failure condemns
    /// up to 12 heads`, or that it condemns none. `whom`: those at stake, as the sentence names them.
    #[must_use]
    pub fn one_failure(&self, whom: &str) -> String {
        self.means("one failure", whom)
    }

    /// The same of a sample that a laboratory says failed.
    #[must_use]
    pub fn failed_sample(&self, whom: &str) -> String {
        self.means("a failed sample", whom)
    }

    fn means(&self, what: &str, whom: &str) -> String {
        match failure_rule(self) {
            Some(rule) if rule.condemns => format!("{what} condemns {whom}"),
            Some(rule) => {
                format!(
                    "{what} condemns none of the others by this rule set ({}): people decide what follows",
                    rule.basis.clause
                )
            }
            None => format!("what {what} means this rule set does not say: people decide what follows"),
        }
    }
}

/// What has yet to be drawn for a lot; as many heads as there are kinds, where those are more.
#[must_use]
pub fn wanted(state: &State, lot: &Lot) -> Wanted {
    let rules = &state.judge().set().duties.sample_rules;
    let every_kind = rules.iter().any(|r| r.matter == SampleMatter::RepresentedKinds);
    let void = |v: Option<Verdict>| v == Some(Verdict::Void);
    let good = lot.samples.iter().filter(|s| !void(s.judged.as_ref().map(|j| j.verdict)));
    let spoken: BTreeSet<KindIx> = good.clone().map(|s| s.kind).collect();
    let kinds: BTreeSet<KindIx> = lot.kinds.iter().copied().filter(|_| every_kind).collect();
    let kinds: Vec<KindIx> = kinds.difference(&spoken).copied().collect();
    let drawn = u32::try_from(good.count()).unwrap_or(u32::MAX);
    let heads = lot.outcome.asked.heads.saturating_sub(drawn).max(u32::try_from(kinds.len()).unwrap_or(u32::MAX));
    Wanted { heads, kinds }
}

/// How many of its heads a failed test condemns that still hang there.
#[must_use]
pub fn condemned(state: &State, lot: &Lot) -> usize {
    if lot.outcome.failure.is_none() {
        return 0;
    }
    lot.heads.iter().filter(|h| state.failure(**h).is_some()).count()
}

/// The first day on which one of its heads falls due again after it passed; `None`: it has not passed, or nothing more is asked.
#[must_use]
pub fn next_due(state: &State, lot: &Lot) -> Option<NaiveDate> {
    let on = lot.outcome.on.filter(|_| lot.outcome.stage == Stage::Passed)?;
    let mut met = BTreeSet::new();
    let mut soonest = None;
    for head in lot.heads.iter().filter(|h| !state.replaced_after(**h, lot.entry)) {
        let Some(there) = state.layout().head(*head).filter(|h| !h.removed) else { continue };
        // Only a head that was replaced before has a day of its own.
        let own = state.replacements(*head).next();
        if met.insert((there.area, there.kind, own))
            && let Some(day) = due::of_head(state, *head, Some(on)).and_then(|d| d.on)
        {
            soonest = Some(soonest.map_or(day, |known: NaiveDate| known.min(day)));
        }
    }
    soonest
}

/// The next step with a lot, without a full stop.
#[must_use]
pub fn next_step(state: &State, lot: &Lot) -> String {
    let n = |n: usize, one: &str| format!("{n} {one}{}", if n == 1 { "" } else { "s" });
    let count = |n: u32| n as usize;
    let wanted = count(wanted(state, lot).heads);
    match lot.outcome.stage {
        Stage::Formed | Stage::Undecided if wanted > 0 => {
            let more = if lot.samples.is_empty() { "" } else { "more " };
            format!("draw {wanted} {more}head{}", if wanted == 1 { "" } else { "s" })
        }
        Stage::Formed => "ask the laboratory and the authority how many heads are enough, and draw them".to_owned(),
        Stage::Undecided => "ask the laboratory and the authority, and write down what they conclude".to_owned(),
        Stage::Drawn => {
            let hang = lot.samples.iter().filter(|s| s.taken.is_none() && s.test.is_none()).count();
            format!("take down {}, put replacements in, and write that down", n(hang, "head"))
        }
        Stage::TakenDown => "hand the sample over to the bench".to_owned(),
        Stage::AtBench => format!("write down what the bench saw of {}", n(count(lot.outcome.open), "head")),
        Stage::Passed => match next_due(state, lot) {
            Some(day) => format!("due again on {day}"),
            None => "nothing; the rule set asks for no further test".to_owned(),
        },
        Stage::Condemned => match condemned(state, lot) {
            0 => "nothing; every head that it condemned is replaced or gone".to_owned(),
            left => format!("replace {}", n(left, "head")),
        },
    }
}
