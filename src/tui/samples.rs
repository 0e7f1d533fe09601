//! What people at a lot and at the bench choose from and type: what comes next, how many heads are still to be drawn and which
//! kinds are missing, readings from words, limits and verdicts in words. Nothing is drawn and nothing recorded here.

use chrono::NaiveDate;

use super::spares::temperature;
use crate::bench::chance;
use crate::bench::heat::Window;
use crate::bench::judge::{self, Deflector, Judged, Limits, WaterSeal};
use crate::report::plot::{Operated, Weight};
use crate::round::act::ranges;
use crate::round::entry::{Condition, Drawn, DrawnBy, NewLot, Pick, Readings, What};
use crate::round::layout::HeadIx;
use crate::round::lots::{self, Lot, Proposal, Sample, Stage};
use crate::round::state::State;
use crate::trade::address::{AreaId, Heads};
use crate::trade::measure::{Conductivity, Pressure, Rti, Seconds, Speed};
use crate::trade::quantity::{Temperature, Units};
use crate::trade::register::KindIx;

/// What is said wherever heads are taken down for a sample. Common practice, no source.
pub const TAKING_DOWN: &str =
    "Impairment procedure while water is off; drain, trapped water in drops; never refit a head that was taken down.";

/// What is said of a lot that passed, and of a good look.
pub const WEAK: &str = "A sample that passed is weak evidence: it does not show that each of the others works.";

/// A number with its noun.
#[must_use]
pub fn counted(n: usize, one: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") }
}

fn narrow(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

/// A number of heads as one counts them.
#[must_use]
pub fn wide(n: u32) -> usize {
    usize::try_from(n).unwrap_or(usize::MAX)
}

/// A draw as it is recorded: by chance with a seed, by hand without; `None` where no head is chosen.
#[must_use]
pub fn draw_entry(state: &State, lot: &Lot, heads: &[HeadIx], pool: Pool, note: Option<String>) -> Option<Drawn> {
    let pick = |(n, head): (usize, &HeadIx)| {
        let kind = state.register().kind(state.layout().head(*head)?.kind)?;
        Some(Pick { head: state.address(*head)?, kind: kind.id.clone(), tag: lot.next_tag(n) })
    };
    let picks: Vec<Pick> = heads.iter().enumerate().filter_map(pick).collect();
    (!picks.is_empty()).then(|| Drawn {
        lot: lot.id.clone(),
        way: if pool.seed.is_some() { DrawnBy::Random } else { DrawnBy::ByHand },
        seed: pool.seed,
        eligible: narrow(pool.eligible),
        asked: lot.outcome.asked.heads,
        unseen: pool.unseen,
        picks,
        note,
    })
}

/// What a draw was made from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pool {
    /// The seed; `None`: a person chose.
    pub seed: Option<u32>,
    /// How many heads could have been drawn.
    pub eligible: usize,
    /// Whether heads that nobody had looked at could be drawn too.
    pub unseen: bool,
}

/// A proposed lot as it is recorded.
#[must_use]
pub fn lot_entry(state: &State, it: &Proposal) -> NewLot {
    NewLot {
        id: it.id.clone(),
        name: it.name.clone(),
        heads: ranges(state, &it.heads),
        why: Some(it.why.clone()),
        due: it.due,
        note: None,
    }
}

/// Heads as they are typed, separated by commas or blanks, every one of them in the register.
///
/// # Errors
/// A sentence: nothing typed, no address, or nothing of the register.
pub fn heads(state: &State, text: &str) -> Result<Vec<Heads>, String> {
    let words = text.split([',', ' ']).map(str::trim).filter(|w| !w.is_empty());
    let list: Vec<Heads> = words.map(Heads::parse).collect::<Result<_, _>>()?;
    match list.iter().find(|h| state.layout().heads_of(h).is_empty()) {
        Some(unknown) => Err(format!("'{unknown}' is not in the register")),
        None if list.is_empty() => Err("which heads? write them as 'pack/1.1..1.6, pack/3'".to_owned()),
        None => Ok(list),
    }
}

/// A short name for a new lot that none bears yet.
///
/// # Errors
/// A sentence.
pub fn new_name(lots: &[Lot], text: &str) -> Result<AreaId, String> {
    let id = AreaId::of_lot(text)?;
    if lots.iter().any(|l| l.id == id) { Err(format!("a lot is called '{id}' already")) } else { Ok(id) }
}

/// What a lot comes to, in sentences.
#[must_use]
pub fn outcome_words(state: &State, lot: &Lot, today: NaiveDate) -> Vec<String> {
    let day = lot.outcome.on.map_or_else(String::new, |d| format!(" on {d}"));
    let mut lines = match lot.outcome.stage {
        Stage::Condemned => {
            let why = lot.outcome.failure.as_ref().map(|f| lots::failure_words(state, f)).unwrap_or_default();
            let class =
                lot.outcome.failure.as_ref().and_then(|f| f.class).map_or_else(String::new, |c| format!(" ({c})"));
            let all = counted(lots::condemned(state, lot), "head");
            vec![format!("Condemned{day}{class}: {why}. All {all} that it stands for are to be replaced.")]
        }
        Stage::Passed => {
            let next = match (overdue(state, lot, today), lots::next_due(state, lot)) {
                (Some(day), _) => format!(" OVERDUE since {day}: a new test, or new heads, are due."),
                (None, Some(day)) => format!(" Due again {day}."),
                (None, None) => String::new(),
            };
            vec![format!("Passed{day}.{next} {WEAK}{}", left_open(state, lot))]
        }
        stage => vec![format!("{}: next, {}.", capital(stage.label()), lots::next_step(state, lot))],
    };
    let told = lines.join(" ");
    // That so many are to be drawn is what comes next already.
    let again = |w: &str| told.contains(w) || (lot.outcome.stage == Stage::Formed && w.ends_with("to draw"));
    lines.extend(lot.outcome.why.iter().filter(|w| !again(w)).map(|w| format!("{}.", capital(w))));
    lines.extend(lot.still_hang(state).map(|w| format!("{}.", capital(&w))));
    lines
}

/// With a capital at the start.
#[must_use]
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|c| c.to_uppercase().chain(chars).collect()).unwrap_or_default()
}

/// A limit as a time, to the tenth.
#[must_use]
pub fn time(seconds: f64) -> String {
    format!("{seconds:.1} s")
}

/// A time as the stopwatch and its marks show it, to the hundredth.
#[must_use]
pub fn watched(seconds: f64) -> String {
    format!("{seconds:.2} s")
}

/// What a head is held to, in words: index and times; the sentence of the window's refusal where the conditions give no times.
#[must_use]
pub fn limit_words(limits: &Limits, window: &Result<Window, String>) -> (String, String) {
    let rti = match (limits.rti_least, limits.rti_most) {
        (Some(least), Some(most)) => format!("RTI {} to {most}", number(least.metric())),
        (None, Some(most)) => format!("RTI up to {most}"),
        (Some(least), None) => format!("RTI from {least}"),
        (None, None) => "the rule set names no RTI".to_owned(),
    };
    let times = match window {
        Err(why) => why.clone(),
        Ok(window) => window_words(*window),
    };
    (rti, times)
}

fn number(value: f64) -> String {
    format!("{}", (value * 10.0).round() / 10.0)
}

/// The times within which a head must open, in words.
#[must_use]
pub fn window_words(window: Window) -> String {
    match (window.earliest_s, window.latest_s) {
        (Some(from), Some(to)) => format!("must open from {} to {}", time(from), time(to)),
        (None, Some(to)) => format!("must open by {}", time(to)),
        (Some(from), None) => format!("not before {}; no latest time is set", time(from)),
        (None, None) => "no time is set".to_owned(),
    }
}

/// An index that a test shows, in words.
#[must_use]
pub fn index_words(judged: &Judged) -> String {
    judged.rti.map_or_else(String::new, |rti| format!("RTI {rti:.0} (m.s)^0.5"))
}

/// What readings of a drawn head show so far, and the times within which it must open.
#[must_use]
pub fn judged(
    state: &State,
    head: HeadIx,
    kind: KindIx,
    readings: &Readings,
) -> Option<(Limits, Result<Window, String>, Judged)> {
    let run = lots::run_of(state, kind, readings)?;
    let limits = lots::limit_of(state, head, kind).map(lots::limits_of).unwrap_or_default();
    let window = judge::window(&run, &limits);
    Some((limits, window, judge::judge(&run, &limits)))
}

/// A failed test that another entry about the same head would undo.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Undone {
    /// What is undone, without a full stop: `This undoes a failed test of osk: 14 heads are condemned by it`.
    pub words: String,
    /// What the failed test notes.
    pub note: Option<String>,
}

/// The failed test of a drawn head that stands; `None`: it has none.
#[must_use]
pub fn undone(state: &State, lot: &Lot, sample: &Sample) -> Option<Undone> {
    sample.judged.as_ref().filter(|j| j.verdict.fails())?;
    let (entry, tested) = lots::tested(state, sample.test?)?;
    let condemned = match lots::condemned(state, lot) {
        0 => String::new(),
        1 => ": 1 head is condemned by it".to_owned(),
        n => format!(": {n} heads are condemned by it"),
    };
    let by = crate::diag::plain(&entry.by);
    Some(Undone { words: format!("This undoes a failed test of {by}{condemned}"), note: tested.readings.note.clone() })
}

/// Why nothing more is drawn for a lot or taken down for it; `None`: it is not decided.
#[must_use]
pub fn decided(lot: &Lot) -> Option<String> {
    let stage = lot.outcome.stage;
    stage
        .is_decided()
        .then(|| format!("Lot {} is {} already: form another lot for another test", lot.id, stage.label()))
}

/// The day since which a lot that passed is due again; `None`: it is not.
#[must_use]
pub fn overdue(state: &State, lot: &Lot, today: NaiveDate) -> Option<NaiveDate> {
    lots::next_due(state, lot).filter(|day| *day < today)
}

/// How a lot stands, in a word or two: its stage, or that it is due again after it passed.
#[must_use]
pub fn standing(lot: &Lot, overdue: Option<NaiveDate>) -> String {
    overdue.map_or_else(|| lot.outcome.stage.label().to_owned(), |day| format!("OVERDUE since {day}"))
}

/// A failed lot in a few words: `lot dry-1988 failed: held`.
#[must_use]
pub fn failed_words(state: &State, failure: &lots::Failure) -> String {
    let lot = match state.entry(failure.lot).map(|e| &e.what) {
        Some(What::Lot(x)) => x.id.to_string(),
        _ => String::new(),
    };
    let how = failure.verdict.map_or_else(|| "by a laboratory's report".to_owned(), |v| v.to_string());
    format!("lot {lot} failed: {how}")
}

/// The next step with a lot where there is little room.
#[must_use]
pub fn short_step(state: &State, lot: &Lot, overdue: Option<NaiveDate>) -> String {
    if let Some(day) = overdue {
        return format!("since {day}");
    }
    let wanted = lots::wanted(state, lot).heads;
    match lot.outcome.stage {
        Stage::Formed | Stage::Undecided if wanted > 0 => format!("draw {wanted}"),
        Stage::Formed | Stage::Undecided => "ask the lab".to_owned(),
        Stage::Drawn => {
            let hang = lot.samples.iter().filter(|s| s.taken.is_none() && s.test.is_none()).count();
            format!("take down {hang}")
        }
        Stage::TakenDown => "to the bench".to_owned(),
        Stage::AtBench => format!("test {}", lot.outcome.open),
        Stage::Passed => lots::next_due(state, lot).map_or_else(|| "nothing".to_owned(), |day| format!("due {day}")),
        Stage::Condemned => match lots::condemned(state, lot) {
            0 => "all replaced".to_owned(),
            n => format!("replace {n}"),
        },
    }
}

/// The tested heads of a lot as a plot takes them.
#[must_use]
pub fn operated(state: &State, lot: &Lot) -> Vec<Operated> {
    let one = |s: &Sample| {
        let (_, tested) = lots::tested(state, s.test?)?;
        let judged = s.judged.as_ref()?;
        let read = &tested.readings;
        let seconds = |t: Option<Seconds>| t.map(Seconds::seconds);
        Some(Operated {
            label: tested.head.to_string(),
            element_s: seconds(read.element),
            cleared_s: seconds(read.clear),
            watched_s: seconds(read.until),
            earliest_s: judged.window.earliest_s,
            latest_s: judged.window.latest_s,
            outcome: judged.verdict.to_string(),
            weight: match judged.verdict {
                v if v.fails() => Weight::Bad,
                v if v.passes() => Weight::Good,
                _ => Weight::Watch,
            },
        })
    };
    lot.samples.iter().filter_map(one).collect()
}

/// The chance that a lot's sample holds none of the bad heads where five in a hundred are bad; `None`: there is no sample.
#[must_use]
pub fn missed(heads: usize, sample: u32) -> Option<f64> {
    let heads = narrow(heads);
    let sample = sample.min(heads);
    let bad = heads.div_ceil(20);
    chance::none_bad(heads, bad, sample).ok().filter(|_| sample > 0)
}

/// What a sample without a failure leaves open, in a sentence; empty where nobody tells how many were tested.
#[must_use]
pub fn left_open(state: &State, lot: &Lot) -> String {
    let told = lot.concluded.and_then(|ix| lots::concluded(state, ix)).and_then(|(_, c)| c.tested);
    let tested = if lot.outcome.passed > 0 { lot.outcome.passed } else { told.unwrap_or(0) };
    let all = narrow(lot.heads.len());
    match chance::upper_heads(all, tested, 0, chance::USUAL_CONFIDENCE) {
        Ok(bad) if tested > 0 && bad > 0 => {
            format!(" None of {tested} failed: up to {bad} of {all} could still be bad (95 % confidence).")
        }
        _ => String::new(),
    }
}

/// A reading by its word: the word, what it is called, what is typed.
pub const READINGS: &[(&str, &str, &str)] = &[
    ("oven", "Oven", "temperature of the air"),
    ("air", "Air speed", "speed of the air past the head"),
    ("start", "Start", "temperature of the head before"),
    ("pressure", "Pressure", "of the supply at the head"),
    ("element", "Element", "when the heat element operated, s"),
    ("leak", "Leak", "when it began to leak, s; empty: it did not"),
    ("clear", "Cleared", "when the waterway cleared, s; empty: it did not"),
    ("until", "Until", "when the exposure ended, s"),
    ("before", "Before", "what it looked like before the test"),
    ("seal", "Water seal", "the water seal after the test"),
    ("lodged", "Lodged", "whether parts stayed in the waterway or on the frame"),
    ("deflector", "Deflector", "the deflector after the test"),
    ("c", "C", "conductivity factor, where known; without it the stricter reading counts"),
    ("operating", "Operates at", "bath-tested operating temperature; empty: the rating"),
    ("rti", "Lab's RTI", "where a laboratory reports an index and no times"),
    ("opened", "Lab: opened", "where a laboratory reports it without a time"),
    ("on", "Day", "the day of the test; empty: today"),
    ("bench", "Bench", "which bench or laboratory"),
    ("note", "Note", "anything else"),
];

/// Puts a reading, as it was typed, where it belongs; nothing typed is nothing read.
///
/// # Errors
/// A sentence about what was typed.
pub fn put(into: &mut Readings, word: &str, typed: &str, units: Units) -> Result<(), String> {
    let typed = typed.trim();
    if typed.is_empty() {
        return Ok(());
    }
    match word {
        "oven" => into.oven = Some(temperature(typed, units)?),
        "air" => into.air = Some(speed(typed, units)?),
        "start" => into.start = Some(temperature(typed, units)?),
        "pressure" => into.pressure = Some(pressure(typed, units)?),
        "element" => into.element = Some(seconds(typed)?),
        "leak" => into.leak = Some(seconds(typed)?),
        "clear" => into.clear = Some(seconds(typed)?),
        "until" => into.until = Some(seconds(typed)?),
        "before" => into.before = Some(Condition::parse(typed)?),
        "seal" => into.seal = Some(WaterSeal::parse(typed)?),
        "lodged" => into.lodged = Some(yes_no(typed)?),
        "deflector" => into.deflector = Some(Deflector::parse(typed)?),
        "c" => into.c = Some(Conductivity::parse(typed)?),
        "operating" => into.operating = Some(temperature(typed, units)?),
        "rti" => into.rti = Some(bare(typed, "(m.s)^0.5", Rti::parse)?),
        "opened" => into.opened = Some(yes_no(typed)?),
        "on" => into.on = Some(day(typed)?),
        "bench" => into.bench = Some(typed.to_owned()),
        "note" => into.note = Some(typed.to_owned()),
        _ => {
            let words: Vec<&str> = READINGS.iter().map(|(w, _, _)| *w).collect();
            let near = crate::diag::nearest(word, words.iter().copied());
            let near = near
                .map_or_else(|| format!("; write one of {}", words.join(", ")), |n| format!("; did you mean '{n}'?"));
            return Err(format!("no reading is called '{}'{near}", crate::diag::plain(word)));
        }
    }
    Ok(())
}

/// A number without a unit gets this one.
fn bare<T>(text: &str, unit: &str, parse: impl Fn(&str) -> Result<T, String>) -> Result<T, String> {
    if text.parse::<f64>().is_ok() { parse(&format!("{text} {unit}")) } else { parse(text) }
}

/// A time; a bare number is in seconds.
///
/// # Errors
/// A sentence when it is none.
pub fn seconds(text: &str) -> Result<Seconds, String> {
    bare(text.trim(), "s", Seconds::parse)
}

fn speed(text: &str, units: Units) -> Result<Speed, String> {
    bare(text, if units == Units::Metric { "m/s" } else { "ft/s" }, Speed::parse)
}

fn pressure(text: &str, units: Units) -> Result<Pressure, String> {
    bare(text, if units == Units::Metric { "kPa" } else { "psi" }, Pressure::parse)
}

fn yes_no(text: &str) -> Result<bool, String> {
    match text {
        "yes" => Ok(true),
        "no" => Ok(false),
        _ => Err(format!("'{}' is neither 'yes' nor 'no'", crate::diag::plain(text))),
    }
}

/// A day.
///
/// # Errors
/// A sentence when it is none.
pub fn day(text: &str) -> Result<NaiveDate, String> {
    text.trim().parse().map_err(|_| "write the date as 2026-11-25".to_owned())
}

/// A reading as it stands in a form; empty where it was not taken.
#[must_use]
pub fn shown(readings: &Readings, word: &str) -> String {
    let temperature = |t: Option<Temperature>| t.map(|t| t.to_string());
    let yes_no = |b: Option<bool>| b.map(|b| if b { "yes" } else { "no" }.to_owned());
    let seconds = |s: Option<Seconds>| s.map(|s| format!("{}", s.seconds()));
    match word {
        "oven" => temperature(readings.oven),
        "air" => readings.air.map(|x| x.to_string()),
        "start" => temperature(readings.start),
        "pressure" => readings.pressure.map(|x| x.to_string()),
        "element" => seconds(readings.element),
        "leak" => seconds(readings.leak),
        "clear" => seconds(readings.clear),
        "until" => seconds(readings.until),
        "before" => readings.before.map(|x| x.to_string()),
        "seal" => readings.seal.map(|x| x.to_string()),
        "lodged" => yes_no(readings.lodged),
        "deflector" => readings.deflector.map(|x| x.to_string()),
        "c" => readings.c.map(|c| c.metric().to_string()),
        "operating" => temperature(readings.operating),
        "rti" => readings.rti.map(|x| x.to_string()),
        "opened" => yes_no(readings.opened),
        "on" => readings.on.map(|x| x.to_string()),
        "bench" => readings.bench.clone(),
        "note" => readings.note.clone(),
        _ => None,
    }
    .unwrap_or_default()
}
