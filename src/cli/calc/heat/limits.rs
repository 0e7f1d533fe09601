//! `calc limits`: the times within which a head must operate.

use std::sync::Arc;

use clap::{Args, ValueHint};
use serde_json::{Value, json};

use super::{Conditions, in_words, index, paragraph, refused};
use crate::bench::heat::{Plunge, Window};
use crate::cli::rules::{USUAL, load_any};
use crate::cli::session::{Done, Failure, Outcome, Session};
use crate::rules::duties::Limit;
use crate::rules::facts::{Facts, Field};
use crate::rules::limits as rows;
use crate::rules::model::RuleSet;
use crate::trade::class::Class;
use crate::trade::kind::{Finish, Response, Style};
use crate::trade::measure::Rti;

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround calc limits --rating 165F --response standard --oven 135C --air 2.54m/s --start 20C
  headround calc limits --rating 155F --response quick --oven 135C --air 2.54m/s --start 20C --rti-max 50
  headround calc limits --rating 155F --style residential --oven 275F --air 8.33ft/s --start 68F --rules nfpa25-2017

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
    limit: Option<Limit>,
    least: Option<f64>,
    most: Option<f64>,
    /// A time of the rule set that is always allowed, s.
    allowed: Option<f64>,
    window: Window,
    /// Conditions outside the ranges of the method.
    outside: Vec<String>,
}

fn found(it: &LimitsArgs, session: &Session<'_, '_>) -> Result<Found, Failure> {
    let refused = |why: String| refused("limits", &why);
    let plunge = it.conditions.plunge().map_err(refused)?;
    let facts = it.facts().map_err(refused)?;
    let set = facts.map(|_| load_any(&it.rules, session)).transpose()?;
    let limit = facts.zip(set.as_ref()).and_then(|(facts, set)| rows::of(set, &facts).cloned());
    if limit.is_none() && it.rti_max.is_none() && it.rti_min.is_none() {
        return Err(refused(match set {
            Some(set) => format!("'{}' says nothing of an operating test; give --rti-max", set.name),
            None => "the limits are not told; say which head with --response, or give --rti-max and --rti-min".into(),
        }));
    }
    let least = it.rti_min.or_else(|| limit.as_ref()?.rti_least).map(Rti::metric);
    let most = it.rti_max.or_else(|| limit.as_ref()?.rti).map(Rti::metric);
    if let (Some(least), Some(most)) = (least, most)
        && least > most
    {
        return Err(refused(format!(
            "a least index of {least:.1} is above the greatest of {most:.1} (m.s)^0.5; give --rti-min below --rti-max"
        )));
    }
    // Whoever gives an index wants its time.
    let allowed = limit.as_ref().filter(|_| it.rti_max.is_none()).and_then(|l| l.at_most).map(|t| t.seconds());
    let mut window = plunge.window(least, most);
    window.latest_s = match (window.latest_s, allowed) {
        (Some(by_index), Some(allowed)) => Some(by_index.max(allowed)),
        (by_index, allowed) => by_index.or(allowed),
    };
    let outside = limit.as_ref().map(|l| outside(l, &plunge)).unwrap_or_default();
    Ok(Found { plunge, set, limit, least, most, allowed, window, outside })
}

/// Which conditions are outside the ranges that the rule set names for the method.
fn outside(limit: &Limit, plunge: &Plunge) -> Vec<String> {
    let mut list = Vec::new();
    let mut look = |what: &str, is: &dyn std::fmt::Display, value: f64, range: Option<(f64, f64, String)>| {
        if let Some((from, to, words)) = range
            && !(from - 1e-9..=to + 1e-9).contains(&value)
        {
            list.push(format!("{what} of {is} is outside {words}"));
        }
    };
    let warm = |(from, to): (crate::trade::quantity::Temperature, crate::trade::quantity::Temperature)| {
        (from.celsius(), to.celsius(), format!("{from} to {to}"))
    };
    look("an oven", &plunge.oven, plunge.oven.celsius(), limit.oven.map(warm));
    let air = limit.air.map(|(from, to)| (from.metres_per_second(), to.metres_per_second(), format!("{from} to {to}")));
    look("an air speed", &plunge.air, plunge.air.metres_per_second(), air);
    look("a start", &plunge.start, plunge.start.celsius(), limit.start.map(warm));
    list
}

impl Found {
    fn facts(&self, it: &LimitsArgs) -> Value {
        json!({
            "earliest_s": self.window.earliest_s,
            "latest_s": self.window.latest_s,
            "rti_min": self.least,
            "rti_max": self.most,
            "allowed_s": self.allowed,
            "conditions": it.conditions.facts(&self.plunge),
            "rules": self.set.as_ref().map(|s| &s.name),
            "limit": self.limit.as_ref().map(|l| json!({
                "limit": l.id, "title": l.title, "because": l.because, "clause": l.basis.clause, "source": l.basis.source,
                "confidence": l.basis.confidence,
            })),
            "void": !self.outside.is_empty(),
            "outside": self.outside,
        })
    }

    /// The window's ends, with what they follow from. Times are rounded inwards, so that a printed one is never too mild.
    fn lines(&self) -> Vec<String> {
        let of = |index: Option<f64>| index.map_or(String::new(), |rti| format!("  index {rti:.1} (m.s)^0.5"));
        let earliest = match self.window.earliest_s {
            Some(s) => format!("not before {:>7.1} s{}", (s * 10.0).ceil() / 10.0, of(self.least)),
            None => "not before       - s  no least index is given".to_owned(),
        };
        let latest = match self.window.latest_s {
            Some(s) => {
                let by_time = self.allowed.is_some_and(|a| a >= s);
                let why = if by_time { "  a time that is always allowed".to_owned() } else { of(self.most) };
                format!("not after  {:>7.1} s{why}", (s * 10.0).floor() / 10.0)
            }
            None => "not after        - s  no greatest index is given".to_owned(),
        };
        vec![earliest, latest]
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
    if let Some((limit, set)) = found.limit.as_ref().zip(found.set.as_ref())
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
    for what in &found.outside {
        paragraph(session, &format!("By the rule set a test under these conditions is void: {what}."))?;
    }
    if let Some(method) = found.limit.as_ref().and_then(|l| l.method.as_ref()).filter(|_| !found.outside.is_empty()) {
        let words = format!("Conditions: {} [{}]. Source: {}.", method.clause, method.confidence, method.source);
        paragraph(session, &words)?;
    }
    paragraph(session, "The adopted edition, the laboratory's procedure and the authority decide.")?;
    Ok(Outcome::Fine)
}
