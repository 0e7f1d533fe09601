//! Limits of the operating test: which row speaks about a head.

use super::age::silenced;
use super::duties::Limit;
use super::facts::Facts;
use super::model::RuleSet;

/// The limit that speaks about a head with these facts; `None` where the set has no limits at all, because a set that has any
/// gives exactly one to every head.
#[must_use]
pub fn of<'s>(set: &'s RuleSet, facts: &Facts) -> Option<&'s Limit> {
    among(&set.duties.limits, facts).first().copied()
}

/// The rows that speak, in their order.
pub(crate) fn among<'s>(rows: &'s [Limit], facts: &Facts) -> Vec<&'s Limit> {
    let holding: Vec<usize> =
        rows.iter().enumerate().filter(|(_, row)| row.when.holds(facts)).map(|(at, _)| at).collect();
    let silent = silenced(&holding, |at| rows.get(at).map_or(&[], |r| &r.over));
    holding.into_iter().filter(|at| !silent.contains(at)).filter_map(|at| rows.get(at)).collect()
}
