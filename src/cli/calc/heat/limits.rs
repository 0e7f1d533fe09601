//! `calc limits`: the times within which a head must operate.

use std::sync::Arc;

use clap::{Args, ValueHint};
use serde_json::{Value, json};

use super::{Conditions, in_words, index, paragraph, refused};
use crate::bench::heat::{Plunge, Window};
use crate::bench::judge::{self, Limits, Run};
use crate::cli::rules::{USUAL, load_any};
use crate::cli::session::{Done, Failure, Outcome, Session};
use crate::round::lots::limits_of;
use crate::rules::duties::Limit;
use crate::rules::facts::{Facts, Field};
use crate::rules::limits as rows;
use crate::rules::model::RuleSet;
use crate::trade::class::Class;
use crate::trade::kind::{Finish, Response, Style};
use crate::trade::measure::{Rti, Seconds};

/// Arguments.
#[derive(Debug, Args)]
#[command(override_usage = "headround calc limits --rating <T> --oven <T> --air <SPEED> --start <T> [OPTIONS]")]
#[command(after_help = "\
Examples:
  headround calc limits --rating 165F --response standard --oven 135C --air 2.54m/s --start 20C
  headround calc limits --rating 155F --response quick --oven 135C --air 2.54m/s --start 20C \\
      --rti-max 50
  headround calc limits --rating 155F --style residential --oven 275F --air 8.33ft/s --start 68F \\
      --rules nfpa25-2017

The greatest and the least index are those of the rule set's row for the head, or those of --rti-max and --rti-min. The \
times follow from them; a time that the row allows always counts where it is longer. The adopted edition, the laboratory's \
procedure and the authority decide.")]
pub struct LimitsArgs {
    /// The conditions.
    #[command(flatten)]
    pub conditions: Conditions,

    /// How the head responds: standard, special or quick
    #[arg(long, value_name = "RESPONSE", value_parser = Response::parse)]
    pub response: Option<Response>,

    /// What the head is listed for: spray, extended, residential, esfr, cmsa or conventional
    #[arg(long, value_name = "STYLE", value_parser = Style::parse)]
    pub style: Option<Style>,

    /// The maker's finish, such as wax: a coated head may be slower
    #[arg(long, value_name = "FINISH", value_parser = Finish::parse)]
    pub finish: Option<Finish>,

    /// Take the limits from this rule set: a name, or the path of a rule-set file
    #[arg(long, value_name = "SET", default_value = USUAL, value_hint = ValueHint::FilePath)]
    pub rules: String,

    /// The greatest index instead of the rule set's: 50, or '118 (ft.s)^0.5'
    #[arg(long, value_name = "RTI", value_parser = index, allow_hyphen_values = true)]
    pub rti_max: Option<Rti>,

    /// The least index instead of the rule set's
    #[arg(long, value_name = "RTI", value_parser = index, allow_hyphen_values = true)]
    pub rti_min: Option<Rti>,
}

impl LimitsArgs {
    /// The make-up that the rule set is asked about; `None`: nothing was said of it.
    fn facts(&self) -> Result<Option<Facts>, String> {
        let response = match (self.response, self.style) {
            (Some(response), _) => response,
            (None, Some(Style::Residential | Style::Esfr)) => Response::Quick,
            (None, None) if self.finish.is_none() => return Ok(None),
            (None, _) => {
                return Err(
                    "the response of the head is not told; add '--response standard', 'special' or 'quick'".into()
                );
            }
        };
        let mut facts = Facts::plain();
        facts.set(Field::Response, response as u8);
        facts.set(Field::Style, self.style.unwrap_or(Style::Spray) as u8);
        facts.set(Field::Finish, self.finish.unwrap_or(Finish::Chrome) as u8);
        if let Some(class) = Class::of(self.conditions.rating) {
            facts.set(Field::Temperature, class as u8);
        }
        Ok(Some(facts))
    }
}

/// The limits of a head, as indices and as times.
struct Found {
    plunge: Plunge,
    set: Option<Arc<RuleSet>>,
    row: Option<Limit>,
    limits: Limits,
    window: Window,
    /// Why a test under these conditions would say nothing.
    void: Option<String>,
}

fn found(it: &LimitsArgs, session: &Session<'_, '_>) -> Result<Found, Failure> {
    let refused = |why: String| refused("limits", &why);
    let plunge = it.conditions.plunge().map_err(refused)?;
    let facts = it.facts().map_err(refused)?;
    let set = facts.map(|_| load_any(&it.rules, session)).transpose()?;
    let row = facts.zip(set.as_ref()).and_then(|(facts, set)| rows::of(set, &facts).cloned());
    if row.is_none() && it.rti_max.is_none() && it.rti_min.is_none() {
        return Err(refused(match set {
            Some(set) => format!("'{}' says nothing of an operating test; give --rti-max", set.name),
            None => "the limits are not told; say which head with --response, or give --rti-max and --rti-min".into(),
        }));
    }
    let mut limits = row.as_ref().map(limits_of).unwrap_or_default();
    if it.rti_max.is_some() {
        // Whoever gives an index wants its time.
        limits = Limits { rti_most: it.rti_max, at_most: None, ..limits };
    }
    limits.rti_least = it.rti_min.or(limits.rti_least);
    if let (Some(least), Some(most)) = (limits.rti_least, limits.rti_most)
        && least.metric() > most.metric()
    {
        return Err(refused(format!(
            "a least index of {least} is above the greatest of {most}; give --rti-min below --rti-max"
        )));
    }
    let run = Run {
        oven: Some(plunge.oven),
        air: Some(plunge.air),
        start: Some(plunge.start),
        c: Some(plunge.c),
        ..Run::of(plunge.rating)
    };
    // The times stand all the same where the method's ranges are not kept.
    let anywhere = Limits { oven: None, air: None, start: None, ..limits };
    let window = judge::window(&run, &anywhere).map_err(refused)?;
    let void = judge::window(&run, &limits).err();
    Ok(Found { plunge, set, row, limits, window, void })
}

impl Found {
    fn facts(&self, it: &LimitsArgs) -> Value {
        json!({
            "earliest_s": self.window.earliest_s,
            "latest_s": self.window.latest_s,
            "rti_min": self.limits.rti_least.map(Rti::metric),
            "rti_max": self.limits.rti_most.map(Rti::metric),
            "allowed_s": self.limits.at_most.map(Seconds::seconds),
            "conditions": it.conditions.facts(&self.plunge),
            "void": self.void,
            "rules": self.set.as_ref().map(|s| &s.name),
            "limit": self.row.as_ref().map(|l| json!({
                "limit": l.id, "title": l.title, "because": l.because, "clause": l.basis.clause, "source": l.basis.source,
                "confidence": l.basis.confidence,
            })),
        })
    }

    /// The window's ends, with what they follow from. Times are rounded inwards, so that a printed one is never too mild.
    fn lines(&self) -> [String; 2] {
        let of = |index: Option<Rti>| index.map_or(String::new(), |rti| format!("  index {rti}"));
        let earliest = match self.window.earliest_s {
            Some(s) => format!("not before {:>7.1} s{}", (s * 10.0).ceil() / 10.0, of(self.limits.rti_least)),
            None => "not before       - s  there is no least index".to_owned(),
        };
        let latest = match self.window.latest_s {
            Some(s) => {
                let by_time = self.limits.at_most.is_some_and(|a| a.seconds() >= s);
                let why = if by_time { "  a time that is always allowed".to_owned() } else { of(self.limits.rti_most) };
                format!("not after  {:>7.1} s{why}", (s * 10.0).floor() / 10.0)
            }
            None => "not after        - s  there is no greatest index".to_owned(),
        };
        [earliest, latest]
    }
}

/// The times within which a head must operate.
pub fn limits(it: &LimitsArgs, session: &mut Session<'_, '_>) -> Done {
    let found = found(it, session)?;
    if session.global.json {
        session.say_json(&found.facts(it))?;
        return Ok(Outcome::Fine);
    }
    paragraph(session, &format!("A head of {}:", in_words(&found.plunge)))?;
    session.say("")?;
    for line in found.lines() {
        session.say(&format!("  {line}"))?;
    }
    session.say("")?;
    if it.conditions.c.is_none() {
        paragraph(session, "No C was given: 0 is taken, with which both times are shortest.")?;
    }
    let given = it.rti_max.is_some() || it.rti_min.is_some();
    if let Some((limit, set)) = found.row.as_ref().zip(found.set.as_ref())
        && !(it.rti_max.is_some() && it.rti_min.is_some())
    {
        let words = format!(
            "Limits of {}{}: {} ({} [{}]). {} Source: {}.",
            set.name,
            if given { " where the command line names none" } else { "" },
            limit.title,
            limit.basis.clause,
            limit.basis.confidence,
            limit.because,
            limit.basis.source
        );
        paragraph(session, &words)?;
        paragraph(session, &format!("[{}]: {}.", limit.basis.confidence, limit.basis.confidence.means()))?;
    }
    if let Some(why) = &found.void {
        paragraph(session, &format!("By the rule set a test under these conditions is void: {why}."))?;
        if let Some(method) = found.row.as_ref().and_then(|l| l.method.as_ref()) {
            let words = format!("Conditions: {} [{}]. Source: {}.", method.clause, method.confidence, method.source);
            paragraph(session, &words)?;
        }
    }
    paragraph(session, "The adopted edition, the laboratory's procedure and the authority decide.")?;
    Ok(Outcome::Fine)
}
