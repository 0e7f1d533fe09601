//! The clocks of an impairment: when what the adopted rules ask for is due, counted from the moment it was entered.
//! Holidays are the authority's and are not known here; working days are Monday to Friday.

use chrono::{DateTime, Datelike as _, Days, FixedOffset, NaiveDate, TimeDelta, Weekday};

use super::parts::span;
use crate::rules::model::Within;

/// How a clock stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Due {
    /// Whether the time is up.
    pub over: bool,
    /// In words, with the moment it is due.
    pub words: String,
}

/// How a clock stands at `now` that has run since `start`.
#[must_use]
pub fn due(within: Within, start: DateTime<FixedOffset>, now: DateTime<FixedOffset>) -> Due {
    let end = match within {
        Within::AtOnce => return Due { over: false, words: format!("at once; entered {} ago", span(now - start)) },
        Within::Minutes(n) => start.checked_add_signed(TimeDelta::minutes(i64::from(n))),
        Within::Hours(n) => start.checked_add_signed(TimeDelta::hours(i64::from(n))),
        Within::BusinessDays(n) => return due_by_day(n, start.date_naive(), now.date_naive()),
    };
    let Some(end) = end else { return Due { over: false, words: within.to_string() } };
    let by = end.format("%Y-%m-%d %H:%M");
    if now > end {
        Due { over: true, words: format!("time is up since {} (was due {by})", span(now - end)) }
    } else {
        Due { over: false, words: format!("{} left (due {by})", span(end - now)) }
    }
}

fn due_by_day(days: u32, start: NaiveDate, now: NaiveDate) -> Due {
    let end = business_days_after(start, days);
    let words = if now > end {
        format!("time is up (was due {end}; holidays not counted)")
    } else {
        format!("due {end}, {} from today (holidays not counted)", plural((end - now).num_days()))
    };
    Due { over: now > end, words }
}

fn plural(days: i64) -> String {
    if days == 1 { "1 day".to_owned() } else { format!("{days} days") }
}

/// The day that is `days` working days after `start`; the start itself is not counted.
#[must_use]
pub fn business_days_after(start: NaiveDate, days: u32) -> NaiveDate {
    let mut day = start;
    let mut left = days;
    while left > 0 {
        let Some(next) = day.checked_add_days(Days::new(1)) else { return day };
        day = next;
        if !matches!(day.weekday(), Weekday::Sat | Weekday::Sun) {
            left -= 1;
        }
    }
    day
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> DateTime<FixedOffset> {
        DateTime::parse_from_rfc3339(text).unwrap()
    }

    #[test]
    fn a_clock_says_what_is_left_and_when_it_is_up() {
        // 2026-11-25 is a Wednesday.
        let start = at("2026-11-25T09:14:00-05:00");
        let cases = [
            (Within::AtOnce, "2026-11-25T09:26:00-05:00", false, "at once; entered 12 min ago"),
            (Within::Minutes(30), "2026-11-25T09:26:00-05:00", false, "18 min left (due 2026-11-25 09:44)"),
            (Within::Hours(10), "2026-11-25T09:14:00-05:00", false, "10 h 0 min left (due 2026-11-25 19:14)"),
            (Within::Hours(10), "2026-11-25T19:15:00-05:00", true, "time is up since 1 min (was due 2026-11-25 19:14)"),
            (
                Within::Hours(10),
                "2026-11-27T19:14:00-05:00",
                true,
                "time is up since 2 days 0 h (was due 2026-11-25 19:14)",
            ),
            (
                Within::BusinessDays(5),
                "2026-12-01T08:00:00-05:00",
                false,
                "due 2026-12-02, 1 day from today (holidays not counted)",
            ),
            (
                Within::BusinessDays(5),
                "2026-12-03T08:00:00-05:00",
                true,
                "time is up (was due 2026-12-02; holidays not counted)",
            ),
        ];
        for (within, now, over, words) in cases {
            assert_eq!(due(within, start, at(now)), Due { over, words: words.to_owned() }, "{within} at {now}");
        }
    }

    #[test]
    fn business_days_leap_over_weekends() {
        for (start, days, end) in [
            ("2026-11-25", 0, "2026-11-25"),
            ("2026-11-25", 1, "2026-11-26"),
            ("2026-11-25", 2, "2026-11-27"),
            ("2026-11-25", 3, "2026-11-30"),
            ("2026-11-28", 1, "2026-11-30"),
            ("2026-11-27", 5, "2026-12-04"),
        ] {
            assert_eq!(business_days_after(start.parse().unwrap(), days), end.parse().unwrap(), "{start} + {days}");
        }
    }
}
