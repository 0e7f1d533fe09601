//! Which rules a rule silences, followed through: by way of those that it is over, what they are over, and so on. Rings
//! are followed once.

use super::model::{Rule, RuleIx};

/// Rules as bits.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct RuleBits(Vec<u64>);

impl RuleBits {
    /// Whether the rule is among them.
    pub fn contains(&self, rule: RuleIx) -> bool {
        self.0.get(usize::from(rule.0) / 64).is_some_and(|word| word >> (rule.0 % 64) & 1 == 1)
    }

    /// Adds a rule; whether it was not there.
    fn insert(&mut self, rule: RuleIx) -> bool {
        let at = usize::from(rule.0) / 64;
        if at >= self.0.len() {
            self.0.resize(at + 1, 0);
        }
        let Some(word) = self.0.get_mut(at) else { return false };
        let bit = 1 << (rule.0 % 64);
        let new = *word & bit == 0;
        *word |= bit;
        new
    }

    fn add(&mut self, others: &Self) {
        if others.0.len() > self.0.len() {
            self.0.resize(others.0.len(), 0);
        }
        self.0.iter_mut().zip(&others.0).for_each(|(own, other)| *own |= other);
    }
}

/// For every rule the rules it silences, followed through.
pub(crate) fn closure(rules: &[Rule]) -> Vec<RuleBits> {
    let mut known: Vec<RuleBits> = Vec::with_capacity(rules.len());
    for rule in rules {
        let mut all = RuleBits::default();
        let mut todo: Vec<RuleIx> = rule.over.clone();
        while let Some(next) = todo.pop() {
            if !all.insert(next) {
                continue;
            }
            // What an earlier rule reaches is known whole, and need not be followed again.
            match known.get(usize::from(next.0)) {
                Some(reached) => all.add(reached),
                None => todo.extend(rules.get(usize::from(next.0)).into_iter().flat_map(|r| &r.over)),
            }
        }
        known.push(all);
    }
    known
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use proptest::prelude::*;

    use super::*;
    use crate::rules::builtin;

    /// What is reached step by step, without any short cut.
    fn plainly(over: &[Vec<u16>], from: usize) -> BTreeSet<u16> {
        let mut found = BTreeSet::new();
        let mut todo = over[from].clone();
        while let Some(next) = todo.pop() {
            if found.insert(next) {
                todo.extend(&over[usize::from(next)]);
            }
        }
        found
    }

    proptest! {
        #[test]
        fn what_is_reached_is_reached_step_by_step(
            over in prop::collection::vec(prop::collection::vec(0u16..70, 0..3), 70),
        ) {
            let sample = builtin::load("nfpa25-2023").expect("sound").rules[0].clone();
            let rules: Vec<Rule> = over
                .iter()
                .map(|list| Rule { over: list.iter().map(|r| RuleIx(*r)).collect(), ..sample.clone() })
                .collect();
            for (at, reached) in closure(&rules).iter().enumerate() {
                let told: BTreeSet<u16> = (0..70).filter(|r| reached.contains(RuleIx(*r))).collect();
                prop_assert_eq!(told, plainly(&over, at), "{}", at);
            }
        }
    }
}
