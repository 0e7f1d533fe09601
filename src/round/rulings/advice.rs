//! What the register alone says of heads, grouped by area and kind: a rating that does not suit its ceiling, a recalled
//! number. It judges nothing that an eye saw.

use serde::Serialize;

use crate::round::act::{heads_in_order, ranges};
use crate::round::layout::HeadIx;
use crate::round::state::{State, Status};
use crate::rules::model::{Class, RuleIx, Ruling};
use crate::trade::address::{AreaId, Heads};
use crate::trade::register::KindIx;

/// A rule that speaks about heads because of what the register says of them, grouped by area and kind.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Advice {
    /// The area.
    pub area: AreaId,
    /// Its kind's word.
    pub kind: String,
    /// Its make-up in the site's units.
    pub make_up: String,
    /// The rule's word.
    pub rule: String,
    /// The rule in one line.
    pub title: String,
    /// Its clause.
    pub clause: String,
    /// What it says.
    pub ruling: Ruling,
    /// The weight it gives.
    pub class: Option<Class>,
    /// The plain reason.
    pub because: String,
    /// What to do.
    pub remedy: String,
    /// Heads of that kind in the area.
    pub heads: usize,
    /// How many of them were looked at in the present round.
    pub looked_at: usize,
    /// Those looked at, as few ranges as will do.
    pub ranges: Vec<Heads>,
    /// The area's index.
    #[serde(skip)]
    pub area_ix: u16,
    /// The rule.
    #[serde(skip)]
    pub rule_ix: RuleIx,
}

/// What the register alone says of the heads that were looked at, by area, then kind, then rule.
#[must_use]
pub fn advice(state: &State) -> Vec<Advice> {
    let mut list = Vec::new();
    let register = state.register();
    for (number, area) in register.areas.iter().enumerate() {
        let area_ix = u16::try_from(number).unwrap_or(u16::MAX);
        let mut by_kind: Vec<(KindIx, usize, Vec<HeadIx>)> = Vec::new();
        for ix in heads_in_order(state, area_ix) {
            let Some(kind) = state.layout().head(ix).map(|h| h.kind) else { continue };
            let at = by_kind.iter().position(|(k, _, _)| *k == kind).unwrap_or_else(|| {
                by_kind.push((kind, 0, Vec::new()));
                by_kind.len() - 1
            });
            if let Some((_, count, looked)) = by_kind.get_mut(at) {
                *count += 1;
                if state.status(ix) == Status::Seen {
                    looked.push(ix);
                }
            }
        }
        by_kind.sort_by_key(|(kind, _, _)| *kind);
        for (kind_ix, heads, looked) in by_kind {
            let (Some(first), Some(kind)) = (looked.first(), register.kind(kind_ix)) else { continue };
            let Some(standing) = state.standing(*first) else { continue };
            for rule_ix in state.judge().reasons(standing) {
                let Some(rule) = state.judge().set().rule_at(*rule_ix) else { continue };
                if rule.ruling == Ruling::Keep && rule.class.is_none() {
                    continue;
                }
                list.push(Advice {
                    area: area.id.clone(),
                    kind: kind.id.clone(),
                    make_up: kind.describe(register.site.units),
                    rule: rule.id.clone(),
                    title: rule.title.clone(),
                    clause: rule.clause.clone(),
                    ruling: rule.ruling,
                    class: rule.class,
                    because: rule.because.clone(),
                    remedy: rule.remedy.clone(),
                    heads,
                    looked_at: looked.len(),
                    ranges: ranges(state, &looked),
                    area_ix,
                    rule_ix: *rule_ix,
                });
            }
        }
    }
    list
}
