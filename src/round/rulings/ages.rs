//! When heads first fall due by their age, by area, kind and day of service, and where two rule sets differ in that. What
//! tests have shown since is not asked: it is the first date that a set names.

use chrono::NaiveDate;
use serde::Serialize;

use crate::round::act::heads_in_order;
use crate::round::due::since;
use crate::round::state::State;
use crate::rules::age::{self, Service};
use crate::rules::duties::Act;
use crate::trade::address::AreaId;
use crate::trade::quantity::PartialDate;
use crate::trade::register::KindIx;

/// When and by which row of a set heads first fall due.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct DueBy {
    /// The row that asks soonest.
    pub age: String,
    /// The row in one line.
    pub title: String,
    /// Its clause.
    pub clause: String,
    /// What is due.
    pub act: Act,
    /// The day; `None`: neither day of service nor year made is known, so it is to be taken as due.
    pub on: Option<NaiveDate>,
    /// Whether it may be earlier, because a row asks for the year made and that is not known.
    pub made_unknown: bool,
    /// Whether the day lies before the day it is taken to be.
    pub past: bool,
}

/// Heads of a kind in an area that first fall due on another day, or for something else, under the other set.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DueChanged {
    /// The area.
    pub area: AreaId,
    /// The kind's word.
    pub kind: String,
    /// Its make-up in the site's units.
    pub make_up: String,
    /// How many heads.
    pub heads: usize,
    /// When they went into service: the area's date, or the day of a replacement.
    pub since: Option<PartialDate>,
    /// When they were made.
    pub made: Option<PartialDate>,
    /// By the first set; `None`: it asks nothing of their age.
    pub from: Option<DueBy>,
    /// By the second set.
    pub to: Option<DueBy>,
}

fn due(state: &State, area: u16, kind: KindIx, service: &Service, today: NaiveDate) -> Option<DueBy> {
    let register = state.register();
    let facts = state.judge().facts(register.kind(kind)?, register.areas.get(usize::from(area))?);
    age::due(state.judge().set(), &facts, service).map(|due| DueBy {
        age: due.rule.id.clone(),
        title: due.rule.title.clone(),
        clause: due.rule.basis.clause.clone(),
        act: due.rule.act,
        on: due.on,
        made_unknown: due.made_unknown,
        past: due.on.is_some_and(|on| on < today),
    })
}

/// Where the first due date by age differs between two states of one record, by area and kind.
pub(super) fn changed(from: &State, to: &State, today: NaiveDate) -> Vec<DueChanged> {
    let register = from.register();
    let mut list = Vec::new();
    for (number, area) in register.areas.iter().enumerate() {
        let area_ix = u16::try_from(number).unwrap_or(u16::MAX);
        let mut groups: Vec<((KindIx, Option<PartialDate>), usize)> = Vec::new();
        for ix in heads_in_order(from, area_ix) {
            let Some(kind) = from.layout().head(ix).map(|h| h.kind) else { continue };
            let key = (kind, since(from, ix, area.in_service));
            match groups.iter_mut().find(|(known, _)| *known == key) {
                Some((_, count)) => *count += 1,
                None => groups.push((key, 1)),
            }
        }
        groups.sort_by_key(|((kind, since), _)| (*kind, since.and_then(PartialDate::earliest)));
        for ((kind_ix, since), heads) in groups {
            let Some(kind) = register.kind(kind_ix) else { continue };
            let service = Service { since, made: kind.made, tested: None };
            let (one, other) =
                (due(from, area_ix, kind_ix, &service, today), due(to, area_ix, kind_ix, &service, today));
            let asked = |due: &Option<DueBy>| due.as_ref().map(|d| (d.on, d.act));
            if asked(&one) == asked(&other) {
                continue;
            }
            list.push(DueChanged {
                area: area.id.clone(),
                kind: kind.id.clone(),
                make_up: kind.describe(register.site.units),
                heads,
                since,
                made: kind.made,
                from: one,
                to: other,
            });
        }
    }
    list
}
