//! Ages: which rows speak about a head, and when it is due by them. Dates are days; an unknown month or day counts as
//! the earliest that it can be.

use chrono::{Months, NaiveDate};

use super::duties::{AgeRule, Since, Years};
use super::facts::Facts;
use super::model::RuleSet;
use crate::trade::measure::Span;
use crate::trade::quantity::PartialDate;

/// What is known about how long a head has been there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Service {
    /// When it went into service.
    pub since: Option<PartialDate>,
    /// When it was made.
    pub made: Option<PartialDate>,
    /// When a sample that stands for it was last tested, with success.
    pub tested: Option<NaiveDate>,
}

/// A day on which something falls due by an age.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Due<'s> {
    /// The row that asks soonest.
    pub rule: &'s AgeRule,
    /// The day; `None`: it cannot be told, because neither date is known. It is then to be taken as due.
    pub on: Option<NaiveDate>,
    /// Whether a row depends on the year made, and that is not known: the day may be earlier.
    pub made_unknown: bool,
}

/// The rows that speak about a head, in the set's order. A row for certain years made is silent where the year is not
/// known.
#[must_use]
pub fn speaking<'s>(set: &'s RuleSet, facts: &Facts, made: Option<i32>) -> Vec<&'s AgeRule> {
    among(&set.duties.ages, facts, made).into_iter().filter_map(|at| set.duties.ages.get(at)).collect()
}

/// The positions of the rows that speak.
pub(crate) fn among(rows: &[AgeRule], facts: &Facts, made: Option<i32>) -> Vec<usize> {
    among_where(rows, facts, |years| made.is_some_and(|year| years.hold(year)))
}

fn among_where(rows: &[AgeRule], facts: &Facts, made: impl Fn(Years) -> bool) -> Vec<usize> {
    let holds = |row: &AgeRule| row.when.holds(facts) && row.made.is_none_or(&made);
    let holding: Vec<usize> = rows.iter().enumerate().filter(|(_, row)| holds(row)).map(|(i, _)| i).collect();
    let silenced = silenced(&holding, |at| rows.get(at).map_or(&[], |r| &r.over));
    holding.into_iter().filter(|at| !silenced.contains(at)).collect()
}

/// The rows that these are over, followed through.
pub(crate) fn silenced<'r>(holding: &[usize], over: impl Fn(usize) -> &'r [usize]) -> Vec<usize> {
    let mut found: Vec<usize> = Vec::new();
    let mut todo: Vec<usize> = holding.iter().flat_map(|at| over(*at)).copied().collect();
    while let Some(next) = todo.pop() {
        if !found.contains(&next) {
            found.push(next);
            todo.extend(over(next));
        }
    }
    found
}

/// The earliest first age that the rows ask of a head; `None` where none speaks.
pub(crate) fn first(rows: &[AgeRule], facts: &Facts, made: Option<i32>) -> Option<Span> {
    among(rows, facts, made).into_iter().filter_map(|at| rows.get(at)).map(|r| r.first).min()
}

fn plus(day: NaiveDate, span: Span) -> NaiveDate {
    day.checked_add_months(Months::new(span.months())).unwrap_or(NaiveDate::MAX)
}

/// How long before its day a test may be made and still count for it: two years (this program's reading, no source). The interval
/// then runs from the test, so that nothing is won by testing early.
pub const EARLY: Span = Span::of_months(24);

/// When a row asks next: at its first age, or its interval after a test that was made at that age, not long before it, or later.
fn next(row: &AgeRule, service: &Service) -> Option<NaiveDate> {
    let (one, other) = match row.since {
        Since::Service => (service.since, service.made),
        Since::Made => (service.made, service.since),
    };
    let start = one.or(other).and_then(PartialDate::earliest)?;
    let first = plus(start, row.first);
    match (service.tested, row.then) {
        (Some(tested), Some(then)) if plus(tested, EARLY) >= first => Some(plus(tested, then)),
        _ => Some(first),
    }
}

/// What falls due first for a head with these facts; `None` where the set asks nothing of its age.
#[must_use]
pub fn due<'s>(set: &'s RuleSet, facts: &Facts, service: &Service) -> Option<Due<'s>> {
    let made = service.made.map(|m| m.year);
    let certainly = |years: Years| match (made, service.since) {
        (Some(year), _) => years.hold(year),
        // Nothing is made after it went into service.
        (None, Some(since)) => years.from.is_none() && years.to.is_some_and(|to| since.year <= to),
        (None, None) => false,
    };
    let rows = among_where(&set.duties.ages, facts, certainly);
    let mut rows: Vec<&AgeRule> = rows.into_iter().filter_map(|at| set.duties.ages.get(at)).collect();
    let made_unknown = made.is_none()
        && set
            .duties
            .ages
            .iter()
            .any(|row| row.made.is_some_and(|y| may_hold(y, service) && !certainly(y)) && row.when.holds(facts));
    // Unknown is the soonest of all; where no date is known at all, the row with the shortest age speaks.
    rows.sort_by_key(|row| (next(row, service), row.first));
    let rule = rows.first().copied()?;
    Some(Due { rule, on: next(rule, service), made_unknown })
}

/// Whether a head whose year is unknown may have been made in these years: never after it went into service.
fn may_hold(years: Years, service: &Service) -> bool {
    match (service.since, years.from) {
        (Some(since), Some(from)) => from <= since.year,
        _ => true,
    }
}
