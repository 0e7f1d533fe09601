//! Heads that hang together in one compartment and should not: an advisory check over counted kinds. It judges no
//! single head and no design; what is said comes from the set's rules for compartments.

use std::collections::BTreeMap;

use super::facts::{Facts, Field, Mixture};
use super::model::{RuleIx, RuleSet, Seen, Sighting, SignIx};
use crate::trade::class::Class;
use crate::trade::kind::{Kind, Response, Style};

/// One thing to tell the owner about a compartment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// The compartment.
    pub compartment: String,
    /// The rule that speaks.
    pub rule: RuleIx,
    /// Each group that hangs there, with its count and the words of its kinds: `12 quick (qr-pendent)`.
    pub kinds: Vec<Group>,
    /// The rule's reason.
    pub because: String,
}

/// Heads of a compartment that are alike in what the finding is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Group {
    /// What they are: `quick`, `standard`, `residential`, `ordinary`.
    pub what: String,
    /// How many heads.
    pub count: usize,
    /// The kinds, in the order met.
    pub kinds: Vec<String>,
}

/// Looks over compartments; kinds of one compartment may come in any order and more than once.
pub fn check<'a>(set: &RuleSet, heads: impl IntoIterator<Item = (&'a str, &'a Kind, usize)>) -> Vec<Finding> {
    let mut rooms: BTreeMap<&str, Vec<(&Kind, usize)>> = BTreeMap::new();
    for (room, kind, count) in heads {
        if count > 0 {
            rooms.entry(room).or_default().push((kind, count));
        }
    }
    let mut found = Vec::new();
    for (room, kinds) in rooms {
        for (mixture, groups) in mixtures(&kinds) {
            for rule in speaking(set, mixture) {
                found.push(Finding {
                    compartment: room.to_owned(),
                    rule,
                    kinds: groups.clone(),
                    because: set.rule_at(rule).map(|r| r.because.clone()).unwrap_or_default(),
                });
            }
        }
    }
    found
}

fn mixtures(kinds: &[(&Kind, usize)]) -> Vec<(Mixture, Vec<Group>)> {
    let mut found = Vec::new();
    // A residential head is fast too: it is told apart by its own rule and left out of the comparison of responses.
    let by_response = groups(kinds, |k| (k.style != Style::Residential).then_some(k.response.as_str()));
    if by_response.iter().any(|g| g.what == Response::Standard.as_str()) && by_response.len() > 1 {
        found.push((Mixture::Response, by_response));
    }
    let by_style = groups(kinds, |k| Some(if k.style == Style::Residential { "residential" } else { "other" }));
    if by_style.len() > 1 {
        found.push((Mixture::Residential, by_style));
    }
    let by_class = groups(kinds, |k| k.class().map(Class::as_str));
    if by_class.len() > 1 {
        found.push((Mixture::Temperature, by_class));
    }
    found
}

fn groups(kinds: &[(&Kind, usize)], what: impl Fn(&Kind) -> Option<&'static str>) -> Vec<Group> {
    let mut found: Vec<Group> = Vec::new();
    for (kind, count) in kinds {
        let Some(word) = what(kind) else { continue };
        let at = found.iter().position(|g| g.what == word).unwrap_or_else(|| {
            found.push(Group { what: word.to_owned(), count: 0, kinds: Vec::new() });
            found.len() - 1
        });
        if let Some(group) = found.get_mut(at) {
            group.count += count;
            if !group.kinds.contains(&kind.id) {
                group.kinds.push(kind.id.clone());
            }
        }
    }
    found.sort_by(|a, b| b.count.cmp(&a.count).then_with(|| a.what.cmp(&b.what)));
    found
}

fn speaking(set: &RuleSet, mixture: Mixture) -> Vec<RuleIx> {
    let mut facts = Facts::plain();
    facts.set(Field::Mixture, mixture as u8);
    let mut found = Vec::new();
    for (number, sign) in set.signs.iter().enumerate() {
        if sign.seen != Seen::Compartment {
            continue;
        }
        let Ok(ix) = u8::try_from(number).map(SignIx) else { break };
        let (Some(part), Some(extent)) = (sign.parts.first(), sign.extents.first()) else { continue };
        let s = Sighting { sign: ix, part: *part, extent: *extent, applied: None };
        let outcome = set.table.outcome(set.table.start(ix, &facts), s);
        found.extend(
            outcome.and_then(|o| set.table.outcomes.get(usize::from(o))).into_iter().flat_map(|o| o.rules.to_vec()),
        );
    }
    found
}
