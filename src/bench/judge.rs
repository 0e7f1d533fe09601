//! What one operated head shows: opened in time, slow, too fast, held, leaking only, did not operate, or void. It compares
//! with limits that somebody else sets, and it says why.

use super::heat::{Plunge, Window, rating_band};
use crate::trade::measure::{Conductivity, Pressure, Rti, Seconds, Speed};
use crate::trade::quantity::Temperature;
use crate::trade::words::words;

words! {
    /// The water seal after the test.
    pub enum WaterSeal ("state of a water seal") {
        /// It came free.
        Free = "free",
        /// It stuck and came free late or in part.
        Stuck = "stuck",
        /// Water came past it while it stayed.
        Leaking = "leaking",
        /// It stayed shut.
        Shut = "shut",
    }
}

words! {
    /// The deflector, before or after the test.
    pub enum Deflector ("state of a deflector") {
        /// Sound.
        Sound = "sound",
        /// Bent.
        Bent = "bent",
        /// Painted, corroded or loaded, so that the spray would suffer.
        Fouled = "fouled",
        /// Missing, or fallen off.
        Missing = "missing",
    }
}

words! {
    /// What an operated head shows.
    pub enum Verdict ("verdict") {
        /// It opened within the limits.
        InTime = "opened in time",
        /// It opened, and there is no limit to compare with.
        NoLimit = "opened, no limit set",
        /// It operated sooner than its kind may.
        TooFast = "too fast",
        /// It opened later than the limit.
        Slow = "slow",
        /// The element operated, the waterway did not clear.
        Held = "held",
        /// It leaked, the waterway did not clear.
        LeakingOnly = "leaking only",
        /// The element did not operate.
        NotOperated = "did not operate",
        /// The test says nothing.
        Void = "void",
    }
}

impl Verdict {
    /// Whether the head did what it must.
    #[must_use]
    pub const fn passes(self) -> bool {
        matches!(self, Self::InTime)
    }

    /// Whether the head failed.
    #[must_use]
    pub const fn fails(self) -> bool {
        matches!(self, Self::TooFast | Self::Slow | Self::Held | Self::LeakingOnly | Self::NotOperated)
    }

    /// Whether no water, or not enough of it, came out.
    #[must_use]
    pub const fn stayed_shut(self) -> bool {
        matches!(self, Self::Held | Self::LeakingOnly | Self::NotOperated)
    }
}

/// What a head is held to; what is left out is not asked.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Limits {
    /// The least response time index.
    pub rti_least: Option<Rti>,
    /// The most.
    pub rti_most: Option<Rti>,
    /// A time within which it may open whatever its index says.
    pub at_most: Option<Seconds>,
    /// The pressure at which the waterway must clear.
    pub waterway: Option<Pressure>,
    /// The oven's air, from and to.
    pub oven: Option<(Temperature, Temperature)>,
    /// The speed of the air, from and to.
    pub air: Option<(Speed, Speed)>,
    /// The temperature at the start, from and to.
    pub start: Option<(Temperature, Temperature)>,
}

/// What was read at the bench of one head; what is left out was not read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Its rating.
    pub rating: Temperature,
    /// The temperature at which it is taken to operate: measured in a bath, or its rating.
    pub operates: Temperature,
    /// The oven's air.
    pub oven: Option<Temperature>,
    /// Its speed.
    pub air: Option<Speed>,
    /// The head's temperature at the start.
    pub start: Option<Temperature>,
    /// The pressure of the supply.
    pub pressure: Option<Pressure>,
    /// When the element operated.
    pub element: Option<Seconds>,
    /// When it began to leak.
    pub leak: Option<Seconds>,
    /// When the waterway cleared.
    pub clear: Option<Seconds>,
    /// When the exposure ended.
    pub until: Option<Seconds>,
    /// Its conductivity factor; `None`: nothing is taken off.
    pub c: Option<Conductivity>,
    /// The index that a laboratory reports in place of times.
    pub rti: Option<Rti>,
    /// Whether the waterway cleared, where that is reported without a time.
    pub opened: Option<bool>,
    /// Whether water came past the seal while it stayed.
    pub leaking: bool,
    /// Whether the seal is said to have stayed shut.
    pub shut: bool,
}

impl Run {
    /// Nothing read yet of a head of this rating.
    #[must_use]
    pub const fn of(rating: Temperature) -> Self {
        Self {
            rating,
            operates: rating,
            oven: None,
            air: None,
            start: None,
            pressure: None,
            element: None,
            leak: None,
            clear: None,
            until: None,
            c: None,
            rti: None,
            opened: None,
            leaking: false,
            shut: false,
        }
    }
}

/// What a head's test shows, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// In words.
    pub verdict: Verdict,
    /// Why, a sentence each.
    pub why: Vec<String>,
    /// Its response time index, (m·s)^½, where the test shows one.
    pub rti: Option<f64>,
    /// The times within which it had to open, where conditions and limits give any.
    pub window: Window,
}

/// The slowest that any class of new heads may be, (m·s)^½ (standard response, ISO 6182-1 and NFPA 13): where a set names no figure, a head
/// that has not opened by its time has not opened.
const SLOWEST: f64 = 350.0;

/// The most that the conductivity factor of any class of new heads may be, (m/s)^½ (standard response, ISO 6182-1, from memory).
const MOST_C: f64 = 2.0;

/// How far a gauge may stand above the pressure at which the waterway must clear: 5 % (common practice, no source).
const GAUGE: f64 = 1.05;

/// The times within which a head must open under these limits, where the conditions are known and within the method.
///
/// # Errors
/// A sentence: a condition is missing, outside the method's range, or nothing could operate under it.
pub fn window(run: &Run, limits: &Limits) -> Result<Window, String> {
    Ok(open_window(&plunge(run, limits)?, limits))
}

fn open_window(plunge: &Plunge, limits: &Limits) -> Window {
    let mut window = plunge.window(limits.rti_least.map(Rti::metric), limits.rti_most.map(Rti::metric));
    if let Some(longest) = limits.at_most.map(Seconds::seconds) {
        window.latest_s = Some(window.latest_s.map_or(longest, |t| t.max(longest)));
    }
    window
}

/// A temperature in the unit that another was written in.
fn like(reading: Temperature, value: Temperature) -> String {
    if reading.to_string().ends_with('F') {
        format!("{:.0} F", value.fahrenheit())
    } else {
        format!("{:.0} C", value.celsius())
    }
}

/// Whether a reading lies in a range; what conversion from another unit adds or takes is no matter.
fn within(from: f64, value: f64, to: f64) -> bool {
    const CONVERSION: f64 = 1e-6;
    from - CONVERSION <= value && value <= to + CONVERSION
}

fn plunge(run: &Run, limits: &Limits) -> Result<Plunge, String> {
    let missing = |what: &str| format!("the {what} is not recorded, so the times say nothing");
    let oven = run.oven.ok_or_else(|| missing("oven's temperature"))?;
    let air = run.air.ok_or_else(|| missing("speed of the air"))?;
    let start = run.start.ok_or_else(|| missing("temperature at the start"))?;
    if let Some((from, to)) = limits.oven
        && !within(from.celsius(), oven.celsius(), to.celsius())
    {
        let (from, to) = (like(oven, from), like(oven, to));
        return Err(format!("the oven stood at {oven}; the method asks for {from} to {to}"));
    }
    if let Some((from, to)) = limits.air
        && !within(from.metres_per_second(), air.metres_per_second(), to.metres_per_second())
    {
        let shown = |speed: Speed| match air.to_string().strip_suffix("ft/s") {
            Some(_) => format!("{:.2} ft/s", speed.metres_per_second() / 0.3048),
            None => speed.to_string(),
        };
        let (from, to) = (shown(from), shown(to));
        return Err(format!("the air moved at {air}; the method asks for {from} to {to}"));
    }
    if let Some((from, to)) = limits.start
        && !within(from.celsius(), start.celsius(), to.celsius())
    {
        let (from, to) = (like(start, from), like(start, to));
        return Err(format!("the head started at {start}; the method asks for {from} to {to}"));
    }
    let off = (run.operates.celsius() - run.rating.celsius()).abs();
    let band = rating_band(run.rating);
    if off > band + 1e-6 {
        return Err(format!(
            "it is said to operate at {}, more than {band:.1} K from its rating of {}: no new head may, and the times say nothing",
            run.operates, run.rating
        ));
    }
    if let Some(c) = run.c.filter(|c| c.metric() > MOST_C) {
        return Err(format!("a conductivity factor of {c} is beyond that of every class (2 (m/s)^0.5)"));
    }
    Plunge::new(run.operates, oven, air, start, run.c.unwrap_or_default())
}

/// What a head's test shows. Where the record leaves a doubt that could hide a failure, the test is void and says what is
/// missing; a failure that no doubt can undo stays one.
#[must_use]
pub fn judge(run: &Run, limits: &Limits) -> Judged {
    if let Some(why) = contradiction(run) {
        return void(why);
    }
    let timed = run.element.or(run.clear).or(run.until).is_some();
    if !timed && (run.rti.is_some() || run.opened.is_some()) {
        return reported(run, limits);
    }
    let plunge = match plunge(run, limits) {
        Ok(plunge) => plunge,
        Err(why) => return void(why),
    };
    let window = open_window(&plunge, limits);
    let rti = run.element.or(run.clear).and_then(|t| plunge.rti(t).ok());
    let (mut verdict, mut why) = match run.clear {
        Some(clear) => opened(run, limits, window, clear),
        None => shut(run, limits, window, plunge.time(SLOWEST).ok()),
    };
    // What the element did by itself is certain, whatever is not known of the waterway.
    if verdict == Verdict::Void
        && let Some((certain, words)) = by_element(run, window)
    {
        why.insert(0, words);
        verdict = certain;
    }
    if let Some(words) = too_kind(run, limits, &plunge, verdict) {
        why.push(words);
    }
    if verdict.passes()
        && let Some(rti) = run.rti
        && let Some(words) = outside(rti, limits)
    {
        why = vec![format!("{words}, and the times say otherwise: one of the two is wrong")];
        verdict = Verdict::Void;
    }
    Judged { verdict, why, rti, window }
}

/// What the time of the element alone settles.
fn by_element(run: &Run, window: Window) -> Option<(Verdict, String)> {
    let element = run.element?.seconds();
    if let Some(latest) = window.latest_s.filter(|latest| element > *latest) {
        return Some((
            Verdict::Slow,
            format!("the element operated at {element:.2} s; at the latest it had to at {latest:.2} s"),
        ));
    }
    let earliest = window.earliest_s.filter(|earliest| element < *earliest)?;
    Some((Verdict::TooFast, too_fast(element, earliest)))
}

fn too_fast(element: f64, earliest: f64) -> String {
    format!("the element operated at {element:.2} s; a head of its kind does not before {earliest:.2} s")
}

/// That a head passes only because of the conductivity factor that was given.
fn too_kind(run: &Run, limits: &Limits, plunge: &Plunge, verdict: Verdict) -> Option<String> {
    let c = run.c.filter(|c| c.metric() > 0.0 && verdict.passes())?;
    let strict = Plunge { c: Conductivity::default(), ..*plunge };
    let latest = open_window(&strict, limits).latest_s?;
    let clear = run.clear.filter(|t| t.seconds() > latest)?;
    Some(format!("only with C = {c}; without it the limit is {latest:.2} s and {:.2} s too late", clear.seconds()))
}

/// What a reported index breaks.
fn outside(rti: Rti, limits: &Limits) -> Option<String> {
    let value = rti.metric();
    if let Some(most) = limits.rti_most.filter(|most| value > most.metric()) {
        return Some(format!("the laboratory reports an index of {rti}; the limit is {most}"));
    }
    let least = limits.rti_least.filter(|least| value < least.metric())?;
    Some(format!("the laboratory reports an index of {rti}; its kind has {least} or more"))
}

fn void(why: String) -> Judged {
    Judged { verdict: Verdict::Void, why: vec![why], rti: None, window: Window::default() }
}

/// What cannot have been.
fn contradiction(run: &Run) -> Option<String> {
    let after = |a: Option<Seconds>, b: Option<Seconds>| matches!((a, b), (Some(a), Some(b)) if a > b);
    if after(run.element, run.clear) {
        return Some("the waterway is said to have cleared before the element operated".to_owned());
    }
    if after(run.element, run.until) || after(run.clear, run.until) || after(run.leak, run.until) {
        return Some("something is said to have happened after the exposure ended".to_owned());
    }
    if run.clear.is_some() && run.shut {
        return Some("the waterway has a time of clearing, and the water seal is said to have stayed shut".to_owned());
    }
    if after(run.leak, run.clear) {
        return Some("it is said to have begun to leak after the waterway had cleared".to_owned());
    }
    if run.clear.is_some() && run.opened == Some(false) {
        return Some("the waterway has a time of clearing and is said not to have cleared".to_owned());
    }
    if run.element.or(run.clear).is_some_and(|t| t.seconds() <= 0.0) {
        return Some("a head cannot operate at 0 s".to_owned());
    }
    None
}

/// Why the pressure may excuse a waterway that stayed shut, or cleared late, though the element operated in time; `None`: it does not.
fn pressure_excuses(run: &Run, limits: &Limits) -> Option<String> {
    let asked = limits.waterway?;
    match run.pressure {
        None => Some(format!("the supply's pressure is not recorded; below {asked} the waterway need not clear")),
        Some(p) if p.kpa() * GAUGE < asked.kpa() => {
            Some(format!("the supply stood at {p}, and the waterway need not clear below {asked}"))
        }
        Some(_) => None,
    }
}

/// Whether clearing at this pressure says something about the pressure that is asked for; if not, why.
fn pressure_hides_a_failure(run: &Run, limits: &Limits) -> Option<String> {
    let asked = limits.waterway?;
    match run.pressure {
        None => Some(format!("the supply's pressure is not recorded; the waterway must clear at {asked}")),
        Some(p) if p.kpa() > asked.kpa() * GAUGE => {
            Some(format!("the waterway cleared at {p}, which does not show that it clears at {asked}"))
        }
        Some(_) => None,
    }
}

fn opened(run: &Run, limits: &Limits, window: Window, clear: Seconds) -> (Verdict, Vec<String>) {
    let t = clear.seconds();
    if let Some(latest) = window.latest_s.filter(|latest| t > *latest) {
        let mut why = vec![format!("the waterway cleared at {t:.2} s; at the latest it had to at {latest:.2} s")];
        if let Some(e) = run.element.map(Seconds::seconds).filter(|e| *e <= latest) {
            why.push(format!("the element had operated at {e:.2} s: the water seal held the rest of the time"));
            // Water that presses less than it must may take longer to push free what the element has let go.
            if let Some(excuse) = pressure_excuses(run, limits) {
                why.push(excuse);
                return (Verdict::Void, why);
            }
        }
        return (Verdict::Slow, why);
    }
    if let (Some(earliest), Some(element)) = (window.earliest_s, run.element.map(Seconds::seconds))
        && element < earliest
    {
        return (Verdict::TooFast, vec![too_fast(element, earliest)]);
    }
    if let Some(why) = pressure_hides_a_failure(run, limits) {
        return (Verdict::Void, vec![why]);
    }
    match (window.earliest_s, window.latest_s) {
        (_, None) => {
            (Verdict::NoLimit, vec![format!("the waterway cleared at {t:.2} s; the rule set names no figure")])
        }
        (Some(earliest), Some(_)) if run.element.is_none() && t < earliest => {
            let why = format!("the waterway cleared at {t:.2} s, before a head of its kind operates ({earliest:.2} s)");
            (Verdict::TooFast, vec![why])
        }
        (_, Some(latest)) => {
            (Verdict::InTime, vec![format!("the waterway cleared at {t:.2} s; it had to by {latest:.2} s")])
        }
    }
}

/// `slowest`: the time of the slowest class, which stands in where no limit is set.
fn shut(run: &Run, limits: &Limits, window: Window, slowest: Option<f64>) -> (Verdict, Vec<String>) {
    let void = |why: &str| (Verdict::Void, vec![why.to_owned()]);
    if run.opened == Some(true) {
        return void("the waterway cleared, but not when is recorded");
    }
    let Some(until) = run.until.map(Seconds::seconds) else {
        return void("neither the time of clearing nor the end of the exposure is recorded");
    };
    let (least, what) = match window.latest_s {
        Some(latest) => (Some(latest), "the limit"),
        None => (slowest, "as long as the slowest class may take; the rule set names no figure"),
    };
    let Some(least) = least else {
        return void("no limit is set, and under these conditions no class has a time");
    };
    if until < least {
        return void(&format!(
            "the exposure ended at {until:.2} s, before {least:.2} s ({what}): it could still have opened"
        ));
    }
    let leaks = run.leak.is_some() || run.leaking;
    let Some(element) = run.element.map(Seconds::seconds) else {
        if leaks {
            return (Verdict::LeakingOnly, vec![format!("it leaked; by {until:.2} s the element had not operated")]);
        }
        return (Verdict::NotOperated, vec![format!("by {until:.2} s the element had not operated")]);
    };
    if let Some(why) = pressure_excuses(run, limits) {
        return (Verdict::Void, vec![why]);
    }
    let operated = format!("the element operated at {element:.2} s");
    if leaks {
        let why = format!("{operated}; it leaked, and by {until:.2} s the waterway had not cleared");
        return (Verdict::LeakingOnly, vec![why]);
    }
    (Verdict::Held, vec![format!("{operated}; by {until:.2} s the waterway had not cleared")])
}

/// A laboratory's word in place of times.
fn reported(run: &Run, limits: &Limits) -> Judged {
    let value = run.rti.map(Rti::metric);
    let judged = |verdict, why: String| Judged { verdict, why: vec![why], rti: value, window: Window::default() };
    let leaked = run.leaking || run.leak.is_some();
    let Some(rti) = run.rti else {
        return match run.opened {
            Some(false) if leaked => {
                judged(Verdict::LeakingOnly, "the laboratory reports that it only leaked".to_owned())
            }
            Some(false) => judged(Verdict::NotOperated, "the laboratory reports that it did not open".to_owned()),
            _ => void("the laboratory reports that it opened, and neither when nor its index".to_owned()),
        };
    };
    if run.opened == Some(false) {
        let (verdict, did) = if leaked {
            (Verdict::LeakingOnly, "it only leaked")
        } else {
            (Verdict::Held, "the waterway did not clear")
        };
        return judged(verdict, format!("the laboratory reports that {did}"));
    }
    if let Some(words) = outside(rti, limits) {
        let slow = limits.rti_most.is_some_and(|most| rti.metric() > most.metric());
        return judged(if slow { Verdict::Slow } else { Verdict::TooFast }, words);
    }
    if run.opened.is_none() {
        return judged(
            Verdict::Void,
            "the laboratory's index is recorded, and not whether the waterway cleared".to_owned(),
        );
    }
    match limits.rti_most {
        Some(most) => judged(Verdict::InTime, format!("the laboratory reports an index of {rti}, within {most}")),
        None => judged(Verdict::NoLimit, format!("the laboratory reports an index of {rti}; no figure is set")),
    }
}

#[cfg(test)]
mod tests;
