//! The stopwatch of the bench: started once, marked as the head operates. It knows moments and marks and nothing of heads; the
//! clock is handed in.

use chrono::{DateTime, FixedOffset};

/// What a mark says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Mark {
    /// The heat element operated.
    Element,
    /// It began to leak.
    Leak,
    /// The waterway cleared.
    Clear,
    /// The exposure ended.
    Until,
}

impl Mark {
    /// The reading that it is.
    pub(super) const fn reading(self) -> &'static str {
        match self {
            Self::Element => "element",
            Self::Leak => "leak",
            Self::Clear => "clear",
            Self::Until => "until",
        }
    }

    /// In words, as something that happened.
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::Element => "element operated",
            Self::Leak => "began to leak",
            Self::Clear => "waterway cleared",
            Self::Until => "exposure ended",
        }
    }

    /// Whether the watch stops with it.
    const fn ends(self) -> bool {
        matches!(self, Self::Clear | Self::Until)
    }
}

/// The longest that the clock may go on between two looks at it while the watch runs, ms: the loop looks ten times a second.
/// A longer step is no time that one can rely on; the clock was set, or the computer slept or was held up.
const LONGEST_STEP: i64 = 5_000;

/// How far the clock may seem to go back, ms: a key is timed by one thread and shown by another.
const BACK_STEP: i64 = 500;

/// A stopwatch.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Watch {
    started: Option<DateTime<FixedOffset>>,
    marks: Vec<(Mark, f64)>,
    /// The clock when it was last looked at.
    looked: Option<DateTime<FixedOffset>>,
    /// Whether the clock jumped: no time of this run can be relied on from there on.
    jumped: bool,
}

impl Watch {
    /// Starts it.
    pub(super) fn start(&mut self, now: DateTime<FixedOffset>) {
        *self = Self { started: Some(now), looked: Some(now), ..Self::default() };
    }

    /// Looks at the clock while the watch runs, as often as the loop turns; whether a jump shows for the first time comes back.
    pub(super) fn look(&mut self, now: DateTime<FixedOffset>) -> bool {
        if !self.is_running() {
            return false;
        }
        let Some(before) = self.looked else { return false };
        let step = (now - before).num_milliseconds();
        self.jumped = !(-BACK_STEP..=LONGEST_STEP).contains(&step);
        self.looked = Some(before.max(now));
        self.jumped
    }

    /// Whether the clock jumped since the start, so that times are to be typed by hand.
    pub(super) const fn has_jumped(&self) -> bool {
        self.jumped
    }

    /// Whether it was started.
    pub(super) const fn is_started(&self) -> bool {
        self.started.is_some()
    }

    /// Whether it was started and nothing has stopped it; a jump of the clock does.
    pub(super) fn is_running(&self) -> bool {
        self.started.is_some() && !self.jumped && !self.marks.iter().any(|(m, _)| m.ends())
    }

    /// Seconds since the start, to the hundredth; of a watch that stands, those of its last mark. `None`: not started, or the
    /// clock jumped since.
    pub(super) fn seconds(&self, now: DateTime<FixedOffset>) -> Option<f64> {
        if let Some((_, at)) = self.marks.iter().find(|(m, _)| m.ends()) {
            return Some(*at);
        }
        let millis = (now - self.started.filter(|_| !self.jumped)?).num_milliseconds();
        // A day is longer than any exposure.
        let millis = u32::try_from(millis).ok().filter(|m| *m <= 86_400_000)?;
        Some(f64::from((millis + 5) / 10) / 100.0)
    }

    /// Marks what happened; the time comes back, or nothing where it is marked already or the watch does not run.
    pub(super) fn mark(&mut self, mark: Mark, now: DateTime<FixedOffset>) -> Option<f64> {
        if !self.is_running() || self.marks.iter().any(|(m, _)| *m == mark) {
            return None;
        }
        let at = self.seconds(now)?;
        self.marks.push((mark, at));
        Some(at)
    }

    /// What the next plain mark would say; `None`: it does not run.
    pub(super) fn next(&self) -> Option<Mark> {
        self.is_running()
            .then(|| if self.marks.iter().any(|(m, _)| *m == Mark::Element) { Mark::Clear } else { Mark::Element })
    }

    /// Takes the last mark back, and what it said comes back; without marks, the start.
    pub(super) fn take_back(&mut self) -> Option<Mark> {
        let last = self.marks.pop();
        if last.is_none() {
            self.started = None;
        }
        last.map(|(mark, _)| mark)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(seconds: f64) -> DateTime<FixedOffset> {
        let start = DateTime::parse_from_rfc3339("2026-11-25T09:00:00-05:00").unwrap();
        start + chrono::TimeDelta::milliseconds((seconds * 1000.0) as i64)
    }

    #[test]
    fn marks_follow_one_another_and_the_last_one_stops_the_watch() {
        let mut watch = Watch::default();
        assert_eq!((watch.next(), watch.seconds(at(0.0))), (None, None));
        watch.start(at(0.0));
        assert_eq!(watch.next(), Some(Mark::Element));
        assert_eq!(watch.mark(Mark::Element, at(37.26)), Some(37.26));
        assert_eq!(watch.mark(Mark::Element, at(38.0)), None);
        assert_eq!(watch.next(), Some(Mark::Clear));
        assert_eq!(watch.mark(Mark::Clear, at(38.404)), Some(38.4));
        assert!(!watch.is_running());
        assert_eq!(watch.seconds(at(99.0)), Some(38.4));
        assert_eq!((watch.next(), watch.mark(Mark::Leak, at(99.0))), (None, None));
    }

    #[test]
    fn a_mark_that_is_taken_back_lets_the_watch_run_on_as_if_it_had_not_been() {
        let mut watch = Watch::default();
        watch.start(at(0.0));
        watch.mark(Mark::Clear, at(20.0));
        assert_eq!(watch.take_back(), Some(Mark::Clear));
        assert_eq!(watch.seconds(at(31.5)), Some(31.5));
        assert_eq!(watch.take_back(), None);
        assert!(!watch.is_started());
    }

    #[test]
    fn a_clock_that_was_set_back_gives_no_time() {
        let mut watch = Watch::default();
        watch.start(at(10.0));
        assert_eq!(watch.seconds(at(9.0)), None);
        assert_eq!(watch.mark(Mark::Element, at(9.0)), None);
        assert_eq!(watch.seconds(at(10.0 + 90_000.0)), None);
    }

    #[test]
    fn a_clock_that_jumps_between_two_looks_gives_no_time_from_there_on() {
        for (jump, found) in [(0.1, false), (4.9, false), (-0.2, false), (5.1, true), (-3.0, true), (3600.0, true)] {
            let mut watch = Watch::default();
            watch.start(at(100.0));
            assert!(!watch.look(at(100.1)));
            assert_eq!(watch.mark(Mark::Leak, at(100.13)), Some(0.13));
            assert_eq!(watch.look(at(100.1 + jump)), found, "{jump}");
            assert_eq!(watch.has_jumped(), found, "{jump}");
            // It is told once, and a clock that is set right again mends nothing.
            assert!(!watch.look(at(100.2 + jump)), "{jump}");
            assert_eq!(watch.mark(Mark::Clear, at(104.0)).is_none(), found, "{jump}");
        }
        // A watch that nobody started, or that stands, minds no clock.
        let mut watch = Watch::default();
        assert!(!watch.look(at(9000.0)));
        watch.start(at(0.0));
        watch.mark(Mark::Clear, at(2.0));
        assert!(!watch.look(at(9000.0)));
    }
}
