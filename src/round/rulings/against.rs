//! The same record under two rule sets: which heads are ruled differently, and by which rules; what the register alone
//! advises differently; what falls due by age on another day; and what a set does not know. It renders nothing.

use chrono::NaiveDate;
use serde::Serialize;

use super::ages::{self, DueChanged};
use super::{Became, CarriedRow, RulingRow, Standing, advice, is_listed, judged, row};
use crate::round::act::heads_in_order;
use crate::round::entry::{Id, What};
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::round::story::weight;
use crate::rules::model::{Class, Rule, Ruling};
use crate::trade::address::{Address, AreaId};

/// What one set says of a head, and which of its rules leads.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Decided {
    /// What must happen.
    pub ruling: Option<Ruling>,
    /// The weight of the finding that decides.
    pub class: Option<Class>,
    /// The leading rule; `None`: no rule spoke, or none knows what was recorded.
    pub rule: Option<String>,
    /// Its clause.
    pub clause: Option<String>,
    /// The reason in one line.
    pub title: String,
    /// The plain reason; empty where no rule spoke.
    pub because: String,
    /// What to do; empty where no rule spoke.
    pub remedy: String,
    /// Whether the set knows the words of what decides; if not, the finding counts as not judged.
    pub known: bool,
}

/// A head that the sets rule differently.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Changed {
    /// Its address.
    pub head: Address,
    /// Its area's name for people.
    pub area: String,
    /// Its kind's word.
    pub kind: String,
    /// Its make-up in the site's units.
    pub make_up: String,
    /// Whether it is a finding of an earlier round that decides, to which the present round says nothing yet.
    pub carried: bool,
    /// What the first set says.
    pub from: Decided,
    /// What the second set says.
    pub to: Decided,
    /// The index of its area.
    #[serde(skip)]
    pub area_ix: u16,
    /// The head.
    #[serde(skip)]
    pub ix: HeadIx,
}

/// What the register alone says of the heads of a kind in an area, where the sets differ.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AdviceChanged {
    /// The area.
    pub area: AreaId,
    /// The kind's word.
    pub kind: String,
    /// Its make-up in the site's units.
    pub make_up: String,
    /// Heads of that kind in the area.
    pub heads: usize,
    /// The rule.
    pub rule: String,
    /// The rule in one line.
    pub title: String,
    /// What the first set's rule says; `None`: it says nothing.
    pub from: Option<Advised>,
    /// What the second set's rule says.
    pub to: Option<Advised>,
}

/// What a rule says of heads because of what the register says of them.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Advised {
    /// What it asks for.
    pub ruling: Ruling,
    /// The weight it gives.
    pub class: Option<Class>,
    /// Its clause.
    pub clause: String,
}

/// An entry whose words a set does not know; what it found counts as not judged there.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct NotKnown {
    /// The entry.
    #[serde(serialize_with = "as_text")]
    pub entry: Id,
    /// The heads it speaks of.
    pub heads: String,
    /// Its round.
    pub round: String,
    /// What is not known.
    pub why: String,
}

fn as_text<S: serde::Serializer>(id: &Id, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_str(id)
}

/// The same record under two sets.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Against {
    /// Heads whose ruling or class differs, in walking order.
    pub heads: Vec<Changed>,
    /// How many heads are listed under either set, changed or not.
    pub listed: usize,
    /// What the register alone advises differently.
    pub advice: Vec<AdviceChanged>,
    /// Heads that first fall due by their age on another day, or for something else, by area and kind.
    pub due: Vec<DueChanged>,
    /// Standing entries whose words the second set does not know.
    pub not_known: Vec<NotKnown>,
}

impl Against {
    /// Whether the second set changes nothing and knows every word.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.heads.is_empty() && self.advice.is_empty() && self.due.is_empty() && self.not_known.is_empty()
    }
}

/// Compares two states of one record, the second judged by another set (see [`State::rejudged`]).
#[must_use]
pub fn against(from: &State, to: &State, on: NaiveDate) -> Against {
    let (mut heads, mut listed) = (Vec::new(), 0);
    for area in 0..from.register().areas.len() {
        let start = heads.len();
        for ix in heads_in_order(from, u16::try_from(area).unwrap_or(u16::MAX)) {
            // Which heads are listed hangs on what was recorded and not on the set.
            if !is_listed(from, ix) {
                continue;
            }
            listed += 1;
            // A row is costly, and most heads are ruled alike; where the present round says nothing, the earlier one's do.
            let said = |state: &State| state.judgement(ix).map(|j| (j.ruling, j.class));
            if said(from).is_some() && said(from) == said(to) {
                continue;
            }
            let rows = row(from, ix, on).zip(row(to, ix, on));
            heads.extend(rows.and_then(|(ours, theirs)| changed((from, &ours), (to, &theirs))));
        }
        if let Some(new) = heads.get_mut(start..) {
            new.sort_by_key(|c: &Changed| c.head.spot);
        }
    }
    Against {
        heads,
        listed,
        advice: advice_changed(from, to),
        due: ages::changed(from, to, on),
        not_known: not_known(to),
    }
}

fn changed((from, ours): (&State, &RulingRow), (to, theirs): (&State, &RulingRow)) -> Option<Changed> {
    let ((one, carried), (other, _)) = (decided(from, ours), decided(to, theirs));
    if (one.ruling, one.class) == (other.ruling, other.class) {
        return None;
    }
    Some(Changed {
        head: ours.head.clone(),
        area: ours.area.clone(),
        kind: ours.kind.clone(),
        make_up: ours.make_up.clone(),
        carried,
        from: one,
        to: other,
        area_ix: ours.area_ix,
        ix: ours.ix,
    })
}

/// What decides on a head, and whether that is a finding of an earlier round without an answer.
fn decided(state: &State, row: &RulingRow) -> (Decided, bool) {
    if row.ruling.is_none()
        && let Some(carried) = strongest(&row.carried)
    {
        return (of_carried(state, row.ix, carried), true);
    }
    let open = row.recorded.iter().filter(|r| r.fate == Became::Open);
    let leading = open.rev().max_by_key(|r| weight(r.ruling, r.class));
    let rule = leading.and_then(|r| r.rules.first()).and_then(|r| state.judge().set().rule_at(*r));
    let gone = row.recorded.first().map_or_else(String::new, |r| format!("{} {}", r.sign, r.fate));
    (Decided::by(row.ruling, row.class, rule, leading.is_none_or(|r| r.known), gone), false)
}

fn strongest(carried: &[CarriedRow]) -> Option<&CarriedRow> {
    let open = carried.iter().filter(|c| matches!(c.state, Standing::Unanswered | Standing::SaidFixed));
    open.rev().max_by_key(|c| weight(c.ruling, c.class))
}

fn of_carried(state: &State, ix: HeadIx, carried: &CarriedRow) -> Decided {
    let saw = match state.entry(carried.last).map(|e| &e.what) {
        Some(What::Saw(saw)) => Some(saw),
        _ => None,
    };
    let known = saw.is_some_and(|s| state.sighting(s).is_some());
    let judgement = saw.and_then(|s| judged(state, ix, s));
    let rules = judgement.map(|j| state.judge().reasons(j)).unwrap_or_default();
    let rule = rules.first().and_then(|r| state.judge().set().rule_at(*r));
    Decided::by(Some(carried.ruling), carried.class, rule, known, String::new())
}

/// What is said of a finding whose words a set does not know.
const NOT_JUDGED: &str = "the set does not know what was recorded; it counts as not judged";

impl Decided {
    /// `besides` is said where no rule is.
    fn by(ruling: Option<Ruling>, class: Option<Class>, rule: Option<&Rule>, known: bool, besides: String) -> Self {
        // The rule that speaks for what could not be judged says nothing of words that the set does not know.
        let rule = rule.filter(|_| known);
        let title = if known { rule.map_or(besides, |r| r.title.clone()) } else { NOT_JUDGED.to_owned() };
        Self {
            ruling,
            class,
            rule: rule.map(|r| r.id.clone()),
            clause: rule.map(|r| r.clause.clone()),
            title,
            because: rule.map(|r| r.because.clone()).unwrap_or_default(),
            remedy: rule.map(|r| r.remedy.clone()).unwrap_or_default(),
            known,
        }
    }
}

fn advice_changed(from: &State, to: &State) -> Vec<AdviceChanged> {
    let mut list: Vec<(u16, AdviceChanged)> = Vec::new();
    for (second, one) in [(false, advice(from)), (true, advice(to))] {
        for it in one {
            let known = list.iter_mut().find(|(area, c)| *area == it.area_ix && c.kind == it.kind && c.rule == it.rule);
            let advised = Some(Advised { ruling: it.ruling, class: it.class, clause: it.clause });
            match known {
                Some((_, change)) => change.to = advised,
                None => list.push((
                    it.area_ix,
                    AdviceChanged {
                        area: it.area,
                        kind: it.kind,
                        make_up: it.make_up,
                        heads: it.heads,
                        rule: it.rule,
                        title: it.title,
                        from: advised.clone().filter(|_| !second),
                        to: advised.filter(|_| second),
                    },
                )),
            }
        }
    }
    list.sort_by_key(|(area, _)| *area);
    let weight = |advised: &Option<Advised>| advised.as_ref().map(|a| (a.ruling, a.class));
    list.into_iter().map(|(_, c)| c).filter(|c| weight(&c.from) != weight(&c.to)).collect()
}

/// What stands in the record and the set does not know; what was taken back needs no judging.
#[must_use]
pub fn not_known(state: &State) -> Vec<NotKnown> {
    let problems = state.problems().iter().filter(|p| p.words);
    let one = |p: &crate::round::state::Problem| {
        let ix = state.find_entry(p.entry).filter(|ix| state.stands(*ix))?;
        let entry = state.entry(ix)?;
        Some(NotKnown {
            entry: p.entry,
            heads: entry.heads().map(|h| h.to_string()).unwrap_or_default(),
            round: entry.round.to_string(),
            why: p.why.clone(),
        })
    };
    problems.filter_map(one).collect()
}
