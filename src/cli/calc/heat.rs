//! `calc rti`, `calc limits`, `calc delay`.

mod delay;
mod limits;

pub use delay::{DelayArgs, delay};
pub use limits::{LimitsArgs, limits};

use clap::Args;
use serde_json::{Value, json};

use crate::bench::heat::{Classed, Plunge, WorstCase, class_of, rating_band, worst_case};
use crate::cli::session::{Done, Failure, Outcome, Session};
use crate::diag::{Diagnostic, Severity};
use crate::trade::measure::{Conductivity, Rti, Seconds, Speed};
use crate::trade::quantity::Temperature;
use crate::tui::text;

/// The conditions of a plunge test.
#[derive(Debug, Args)]
pub struct Conditions {
    /// The temperature at which the element operates, such as 165F: measured in a liquid bath, otherwise as marked
    #[arg(long, value_name = "TEMPERATURE", value_parser = Temperature::parse, allow_hyphen_values = true)]
    pub rating: Temperature,

    /// The oven's air, such as 135C
    #[arg(long, value_name = "TEMPERATURE", value_parser = Temperature::parse, allow_hyphen_values = true)]
    pub oven: Temperature,

    /// The speed of the oven's air, such as 2.54m/s, 8.33ft/s or 500ft/min
    #[arg(long, value_name = "SPEED", value_parser = Speed::parse, allow_hyphen_values = true)]
    pub air: Speed,

    /// The head before the plunge, such as 20C
    #[arg(long, value_name = "TEMPERATURE", value_parser = Temperature::parse, allow_hyphen_values = true)]
    pub start: Temperature,

    /// The conductivity factor in (m/s)^0.5; without it 0 is taken
    #[arg(long, value_name = "C", value_parser = Conductivity::parse, allow_hyphen_values = true)]
    pub c: Option<Conductivity>,
}

impl Conditions {
    fn plunge(&self) -> Result<Plunge, String> {
        Plunge::new(self.rating, self.oven, self.air, self.start, self.c.unwrap_or_default())
    }

    /// The conditions as JSON has them, SI units.
    fn facts(&self, plunge: &Plunge) -> Value {
        json!({
            "rating_c": plunge.rating.celsius(),
            "oven_c": plunge.oven.celsius(),
            "air_m_s": plunge.air.metres_per_second(),
            "start_c": plunge.start.celsius(),
            "c": plunge.c.metric(),
            "c_given": self.c.is_some(),
        })
    }
}

/// `165 F in air of 135 C at 2.54 m/s, from 20 C, with C 0.5 (m/s)^0.5`.
fn in_words(it: &Plunge) -> String {
    format!("{} in air of {} at {}, from {}, with C {}", it.rating, it.oven, it.air, it.start, it.c)
}

/// Reads an index; a bare number is in (m·s)^½.
fn index(given: &str) -> Result<Rti, String> {
    let bare = !given.trim().is_empty() && given.trim().bytes().all(|b| b.is_ascii_digit() || b == b'.' || b == b'-');
    if bare { Rti::parse(&format!("{} (m.s)^0.5", given.trim())) } else { Rti::parse(given) }
}

/// A sentence of the arithmetic as a failure: what is wrong and, behind the last `; `, what to do.
fn refused(command: &str, sentence: &str) -> Failure {
    let about = |what: &str| Diagnostic::about(Severity::Error, "calc", format!("headround calc {command}"), what);
    match sentence.rsplit_once("; ") {
        Some((what, help)) => about(what).help(help),
        None => about(sentence),
    }
    .into()
}

/// Says a paragraph in lines as wide as there is room.
fn paragraph(session: &mut Session<'_, '_>, words: &str) -> Result<(), Failure> {
    let columns = session.around.columns.unwrap_or(crate::cli::COLUMNS);
    for line in text::wrap(words, columns) {
        session.say(&line)?;
    }
    Ok(())
}

/// Arguments.
#[derive(Debug, Args)]
#[command(
    override_usage = "headround calc rti --time <TIME> --rating <T> --oven <T> --air <SPEED> --start <T> [OPTIONS]"
)]
#[command(after_help = "\
Examples:
  headround calc rti --time 37s --rating 165F --oven 135C --air 2.54m/s --start 20C
  headround calc rti --time 37s --rating 165F --oven 275F --air 8.33ft/s --start 68F --c 0.5
  headround calc rti --time 14s --offset-time 25s --rating 68C --oven 135C --air 2.54m/s \\
      --start 20C --c 0.8

RTI = -t * u^0.5 * k / ln(1 - k * dTe / dTg), k = 1 + C / u^0.5; docs/bench-heat.md gives symbols, sources and ranges. \
The class is that of a new head. Whether a head from service passes is for the adopted rules: see 'calc limits'.")]
pub struct RtiArgs {
    /// From the plunge to the operation of the element, such as 37s
    #[arg(long, value_name = "TIME", value_parser = Seconds::parse, allow_hyphen_values = true)]
    pub time: Seconds,

    /// The conditions.
    #[command(flatten)]
    pub conditions: Conditions,

    /// The time in worst-case orientation under the same conditions
    #[arg(long, value_name = "TIME", value_parser = Seconds::parse, allow_hyphen_values = true)]
    pub offset_time: Option<Seconds>,
}

/// What a plunge shows.
struct Shown {
    plunge: Plunge,
    rti: f64,
    class: Classed,
    /// The index if the element operates at the one or the other end of the band around its rating; `None`: it would not.
    band: Option<(f64, f64)>,
    offset: Option<WorstCase>,
}

impl Shown {
    fn of(it: &RtiArgs) -> Result<Self, String> {
        let plunge = it.conditions.plunge()?;
        let rti = plunge.rti(it.time)?;
        let class = class_of(rti, plunge.c.metric())?;
        let band = rating_band(plunge.rating);
        let at = |kelvin: f64| {
            let rating = Temperature::from_celsius(plunge.rating.celsius() + kelvin)?;
            Plunge { rating, ..plunge }.rti(it.time).ok()
        };
        // A higher operating temperature means a lower index.
        let band = at(band).zip(at(-band));
        let offset = it.offset_time.map(|offset| worst_case(&plunge, it.time, offset)).transpose()?;
        Ok(Self { plunge, rti, class, band, offset })
    }

    fn facts(&self, it: &RtiArgs) -> Value {
        json!({
            "rti": self.rti,
            "class": self.class.class,
            "why": self.class.why,
            "time_s": it.time.seconds(),
            "conditions": it.conditions.facts(&self.plunge),
            "rti_band": self.band.map(|(from, to)| [from, to]),
            "offset": self.offset.map(|o| json!({
                "rti": o.offset, "ratio": o.ratio(), "c": o.c, "rti_max": o.most(), "keeps": o.keeps(),
            })),
        })
    }
}

/// The index that a plunge test shows.
pub fn rti(it: &RtiArgs, session: &mut Session<'_, '_>) -> Done {
    let shown = Shown::of(it).map_err(|why| refused("rti", &why))?;
    if session.global.json {
        session.say_json(&shown.facts(it))?;
        return Ok(Outcome::Fine);
    }
    let class = shown.class.class.map_or("of no class".to_owned(), |c| format!("{c} response"));
    session.say(&format!("Response time index {:.1} (m.s)^0.5: {class}", shown.rti))?;
    session.say("")?;
    paragraph(session, &format!("Operated after {} at {}.", it.time, in_words(&shown.plunge)))?;
    paragraph(session, &format!("Class of a new head: {}.", shown.class.why))?;
    if let Some(o) = shown.offset {
        let keeps = if o.keeps() { "within" } else { "above" };
        let words = format!(
            "Worst-case orientation: index {:.1} (m.s)^0.5, {:.2} times the other, {keeps} the {:.0} that is allowed (C taken as \
             {:.3}).",
            o.offset,
            o.ratio(),
            o.most(),
            o.c
        );
        paragraph(session, &words)?;
    }
    if it.conditions.c.is_none() {
        let with = |c: f64| {
            let c = Conductivity::new(c)?;
            Plunge { c, ..shown.plunge }.rti(it.time).ok().map(|rti| format!("with C {} it is {rti:.1}", c.metric()))
        };
        let others: Vec<String> = [0.5, 1.0].into_iter().filter_map(with).collect();
        let others = if others.is_empty() { String::new() } else { format!("; {}", others.join(", ")) };
        paragraph(session, &format!("No C was given. With C 0 the index is at its greatest{others}."))?;
    }
    if let Some((from, to)) = shown.band {
        let words = format!(
            "A new head may operate {:.1} K above or below its marked rating. If {} is the marked rating and not a measured \
             temperature, the index lies between {from:.1} and {to:.1}.",
            rating_band(shown.plunge.rating),
            shown.plunge.rating
        );
        paragraph(session, &words)?;
    }
    paragraph(
        session,
        "The class is no verdict on a head from service: the adopted rules' limits are ('headround calc limits').",
    )?;
    Ok(Outcome::Fine)
}
