//! `calc odds`, `calc bound`, `calc survival`.

use clap::{Args, ValueHint};
use serde::Serialize;

use super::figures::{self, CAUTION, Page, asked, heads, per_cent, refused};
use super::picture::{self, Picture};
use super::sample;
use crate::bench::chance::{self, Curve, LogRank, Time};
use crate::cli::rules::{self, USUAL};
use crate::cli::session::{Done, Outcome, Session};
use crate::report::plot::{Marked, OddsCurve, odds_curve};
use crate::trade::measure::Seconds;

/// Arguments of `odds`.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround calc odds --heads 400 --bad 20 --sample 4
  headround calc odds --heads 400 --bad 20
  headround calc odds --heads 400 --bad 20 --sample 4 --curve

Heads are drawn at random and not put back. Without --sample the rule set's own size is taken. --curve adds the chance of \
passing for every share of bad heads.")]
pub struct OddsArgs {
    /// Heads in the lot
    #[arg(long, value_name = "N", value_parser = figures::count, allow_negative_numbers = true)]
    pub heads: u32,

    /// Bad heads among them
    #[arg(long, value_name = "N", value_parser = figures::count, allow_negative_numbers = true)]
    pub bad: u32,

    /// Heads drawn; otherwise as many as the rule set asks for
    #[arg(long, value_name = "N", value_parser = figures::count, allow_negative_numbers = true)]
    pub sample: Option<u32>,

    /// Failures with which the sample still passes
    #[arg(long, value_name = "N", value_parser = figures::count, default_value = "0", allow_negative_numbers = true)]
    pub accept: u32,

    /// The rule set: a name, or the path of a rule-set file
    #[arg(long, value_name = "SET", default_value = USUAL, value_hint = ValueHint::FilePath)]
    pub rules: String,

    /// Tell the odds for rising numbers of bad heads
    #[arg(long)]
    pub curve: bool,

    /// The odds for every number of bad heads as a picture
    #[command(flatten)]
    pub picture: Picture,
}

#[derive(Debug, Serialize)]
struct Odds<'a> {
    heads: u32,
    bad: u32,
    sample: u32,
    accept: u32,
    rules: Option<&'a str>,
    reading: Option<&'a str>,
    /// That the reading's table ends before so many heads.
    beyond: Option<String>,
    probability: f64,
    at_least_one: f64,
    passes: f64,
    curve: Option<Vec<Point>>,
}

#[derive(Debug, Serialize)]
struct Point {
    bad: u32,
    share: f64,
    passes: f64,
}

/// The points of a curve that is told in figures.
const POINTS: usize = 25;

/// Tells the odds.
pub fn odds(it: &OddsArgs, session: &mut Session<'_, '_>) -> Done {
    let told = |sentence: String| refused("headround calc odds", &sentence);
    // What is wrong with the lot is told before any rule set is asked.
    chance::none_bad(it.heads, it.bad, 1).map_err(told)?;
    let set = if it.sample.is_none() { Some(rules::load_any(&it.rules, session)?) } else { None };
    let by_rule = set.as_deref().map(|set| sample::ruling(set, None, None, it.heads, 1)).transpose().map_err(told)?;
    let drawn = it.sample.or(by_rule.map(|(_, n)| n)).unwrap_or(0);
    let reckon = || -> Result<Odds<'_>, String> {
        let curve = chance::operating_characteristic(it.heads, drawn, it.accept, POINTS)?;
        let point = |(bad, passes)| Point { bad, share: f64::from(bad) / f64::from(it.heads), passes };
        let probability = chance::none_bad(it.heads, it.bad, drawn)?;
        let passes = chance::at_most(it.heads, it.bad, drawn, it.accept)?;
        Ok(Odds {
            heads: it.heads,
            bad: it.bad,
            sample: drawn,
            accept: it.accept,
            rules: set.as_deref().map(|s| s.name.as_str()),
            reading: by_rule.map(|(r, _)| r.id.as_str()),
            beyond: by_rule.and_then(|(r, _)| r.beyond(it.heads)),
            probability,
            at_least_one: chance::at_least_one(it.heads, it.bad, drawn)?,
            // The same chance reckoned another way may differ in its last digit.
            passes: if it.accept == 0 { probability } else { passes },
            curve: it.curve.then(|| curve.into_iter().map(point).collect()),
        })
    };
    let facts = reckon().map_err(told)?;
    let points = chance::operating_characteristic(it.heads, drawn, it.accept, 200).map_err(told)?;
    let plot = || {
        let points = points.iter().map(|(bad, p)| (f64::from(*bad), *p)).collect();
        let curves = [OddsCurve { name: format!("sample of {drawn}"), points }];
        let marked = Marked { x: f64::from(it.bad), y: facts.passes, label: format!("{} bad", it.bad) };
        odds_curve(&format!("Odds that a sample of {} passes", heads(drawn)), it.heads, &curves, &[marked])
    };
    if session.global.json {
        session.say_json(&facts)?;
        it.picture.draw(plot, session)?;
        return Ok(Outcome::Fine);
    }
    let mut page = Page::of(figures::columns(session));
    let share = per_cent(f64::from(facts.bad) / f64::from(facts.heads));
    page.say(&format!(
        "A lot of {}, {} of them bad ({share}); a sample of {}.",
        heads(facts.heads),
        facts.bad,
        facts.sample
    ));
    if let (Some(rules), Some(reading)) = (facts.rules, facts.reading) {
        page.say(&format!("The size is that of {rules} by '{reading}'."));
    }
    if let Some(beyond) = &facts.beyond {
        page.say(beyond);
    }
    page.say("");
    page.say(&format!("The sample shows no failure: {}", per_cent(facts.probability)));
    page.say(&format!("It meets at least one bad head: {}", per_cent(facts.at_least_one)));
    if facts.accept > 0 {
        page.say(&format!("It shows no more failures than {}: {}", facts.accept, per_cent(facts.passes)));
    }
    if let Some(curve) = &facts.curve {
        page.say("");
        let row = |p: &Point| vec![p.bad.to_string(), per_cent(p.share), per_cent(p.passes)];
        page.grid(&["BAD", "SHARE", "SAMPLE PASSES"], &curve.iter().map(row).collect::<Vec<_>>());
    }
    page.say("");
    page.say(CAUTION);
    session.say_text(&page.text())?;
    it.picture.draw(plot, session)?;
    Ok(Outcome::Fine)
}

/// Arguments of `bound`.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround calc bound --sample 4 --failed 0
  headround calc bound --sample 4 --failed 0 --heads 400
  headround calc bound --sample 60 --failed 1 --confidence 99%

The bound is the exact one of Clopper and Pearson. With --heads it is told as a number of heads of that lot, those of the \
sample included.")]
pub struct BoundArgs {
    /// Heads tested
    #[arg(long, value_name = "N", value_parser = figures::count, allow_negative_numbers = true)]
    pub sample: u32,

    /// Heads of them that failed
    #[arg(long, value_name = "N", value_parser = figures::count, allow_negative_numbers = true)]
    pub failed: u32,

    /// Heads in the lot
    #[arg(long, value_name = "N", value_parser = figures::count, allow_negative_numbers = true)]
    pub heads: Option<u32>,

    /// How sure to be, as 0.95 or 95%
    #[arg(long, value_name = "SHARE", value_parser = figures::confidence, default_value = "0.95", allow_negative_numbers = true)]
    pub confidence: f64,
}

#[derive(Debug, Serialize)]
struct Bound {
    sample: u32,
    failed: u32,
    confidence: f64,
    upper: f64,
    between: [f64; 2],
    heads: Option<u32>,
    upper_heads: Option<u32>,
    upper_untested: Option<u32>,
}

/// Tells the bound.
pub fn bound(it: &BoundArgs, session: &mut Session<'_, '_>) -> Done {
    let reckon = || -> Result<Bound, String> {
        let both = chance::interval(it.sample, it.failed, it.confidence)?;
        let lot = |heads| chance::upper_heads(heads, it.sample, it.failed, it.confidence);
        let upper_heads = it.heads.map(lot).transpose()?;
        Ok(Bound {
            sample: it.sample,
            failed: it.failed,
            confidence: it.confidence,
            upper: chance::upper_bound(it.sample, it.failed, it.confidence)?,
            between: [both.lower, both.upper],
            heads: it.heads,
            upper_heads,
            upper_untested: upper_heads.map(|n| n.saturating_sub(it.failed)),
        })
    };
    let facts = reckon().map_err(|sentence| refused("headround calc bound", &sentence))?;
    if session.global.json {
        session.say_json(&facts)?;
        return Ok(Outcome::Fine);
    }
    let mut page = Page::of(figures::columns(session));
    page.say(&format!(
        "{} tested, {} failed; a confidence of {}.",
        heads(facts.sample),
        facts.failed,
        asked(facts.confidence)
    ));
    page.say("");
    page.say(&format!("Not excluded: up to {} of such heads are bad.", per_cent(facts.upper)));
    let [low, high] = facts.between.map(per_cent);
    page.say(&format!("From both sides: {low} to {high}."));
    if let (Some(lot), Some(bad), Some(rest)) = (facts.heads, facts.upper_heads, facts.upper_untested) {
        page.say(&format!(
            "In a lot of {}: up to {bad} bad, {rest} of them among the {} that were not tested.",
            heads(lot),
            lot.saturating_sub(facts.sample)
        ));
    }
    page.say("");
    page.say(CAUTION);
    session.say_text(&page.text())?;
    Ok(Outcome::Fine)
}

/// Arguments of `survival`.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround calc survival --group clean=41.2,44.0 --group painted=66,150+
  headround calc survival --group '9.1 s, 10.4 s, 2 min+' --steps

A time with + behind it is that of a head that had not opened when one stopped waiting. Times without a unit are in seconds.")]
pub struct SurvivalArgs {
    /// A group: NAME=TIME,TIME+,…; once for every group
    #[arg(long, required = true, value_name = "NAME=TIMES", value_parser = group)]
    pub group: Vec<Group>,

    /// How sure the bands are, as 0.95 or 95%
    #[arg(long, value_name = "SHARE", value_parser = figures::confidence, default_value = "0.95", allow_negative_numbers = true)]
    pub confidence: f64,

    /// Tell every step of the curves
    #[arg(long)]
    pub steps: bool,

    /// The curves as a picture
    #[command(flatten)]
    pub picture: Picture,
}

/// A group of times.
#[derive(Clone, Debug)]
pub struct Group {
    name: Option<String>,
    times: Vec<Time>,
}

fn group(text: &str) -> Result<Group, String> {
    let (name, list) = match text.split_once('=') {
        Some((name, list)) if name.trim().is_empty() => return Err(format!("write a name before '={list}'")),
        Some((name, list)) => (Some(name.trim().to_owned()), list),
        None => (None, text),
    };
    if list.trim().is_empty() {
        return Err("a group without times has no curve; write NAME=41.2,44,150+".to_owned());
    }
    Ok(Group { name, times: list.split(',').map(time).collect::<Result<_, _>>()? })
}

/// A time, in seconds unless a unit stands there; `+` behind it where the head had not opened.
fn time(text: &str) -> Result<Time, String> {
    let text = text.trim();
    let (of, opened) = text.strip_suffix('+').map_or((text, true), |of| (of.trim_end(), false));
    let seconds = match of.parse::<f64>() {
        Ok(plain) => Seconds::new(plain).ok_or_else(|| format!("'{text}' is outside 0 to 86400 s")),
        Err(_) => Seconds::parse(of).map_err(|why| format!("{why}, and with + where the head had not opened")),
    }?;
    Ok(Time { seconds: seconds.seconds(), opened })
}

#[derive(Debug, Serialize)]
struct Survival {
    groups: Vec<GroupFacts>,
    confidence: f64,
    median: Option<f64>,
    chi2: Option<f64>,
    df: Option<usize>,
    p: Option<f64>,
    not_compared: Option<String>,
}

#[derive(Debug, Serialize)]
struct GroupFacts {
    name: String,
    n: usize,
    opened: usize,
    median: Option<f64>,
    median_from: Option<f64>,
    median_to: Option<f64>,
    observed: Option<f64>,
    expected: Option<f64>,
    steps: Vec<StepFacts>,
}

#[derive(Debug, Serialize)]
struct StepFacts {
    seconds: f64,
    at_risk: usize,
    opened: usize,
    censored: usize,
    survival: f64,
    error: Option<f64>,
    lower: Option<f64>,
    upper: Option<f64>,
}

/// Tells curves, and whether they differ.
pub fn survival(it: &SurvivalArgs, session: &mut Session<'_, '_>) -> Done {
    let told = |sentence: String| refused("headround calc survival", &sentence);
    let mut named: Vec<(String, &[Time])> = Vec::new();
    for (group, number) in it.group.iter().zip(1..) {
        let name = group.name.clone().unwrap_or_else(|| format!("group {number}"));
        if named.iter().any(|(known, _)| *known == name) {
            return Err(told(format!("two groups are called '{name}'; give each its own name")));
        }
        named.push((name, &group.times));
    }
    let curves = named.iter().map(|(_, times)| chance::kaplan_meier_with(times, it.confidence));
    let curves: Vec<Curve> = curves.collect::<Result<_, _>>().map_err(told)?;
    let compared = (named.len() > 1).then(|| chance::log_rank(&named.iter().map(|(_, t)| *t).collect::<Vec<_>>()));
    let (test, not_compared) = match compared {
        None => (None, None),
        Some(Ok(test)) => (Some(test), None),
        Some(Err(why)) => (None, Some(why)),
    };
    let facts = Survival {
        median: curves.first().filter(|_| curves.len() == 1).and_then(|c| c.median),
        groups: named.into_iter().zip(&curves).enumerate().map(|(at, g)| facts_of(at, g, test.as_ref())).collect(),
        confidence: it.confidence,
        chi2: test.as_ref().map(|t| t.chi2),
        df: test.as_ref().map(|t| t.df),
        p: test.as_ref().map(|t| t.p),
        not_compared,
    };
    if session.global.json {
        session.say_json(&facts)?;
    } else {
        let text = survival_text(&facts, it.steps, figures::columns(session));
        session.say_text(&text)?;
    }
    let plot = || {
        let named = facts.groups.iter().zip(&curves).map(|(g, c)| (g.name.as_str(), c));
        picture::curves("Heads still shut, by group", named)
    };
    it.picture.draw(plot, session)?;
    Ok(Outcome::Fine)
}

fn facts_of(at: usize, ((name, _), curve): ((String, &[Time]), &Curve), test: Option<&LogRank>) -> GroupFacts {
    let side = test.and_then(|t| t.sides.get(at));
    GroupFacts {
        name,
        n: curve.heads,
        opened: curve.opened,
        median: curve.median,
        median_from: curve.median_from,
        median_to: curve.median_to,
        observed: side.map(|s| s.observed),
        expected: side.map(|s| s.expected),
        steps: curve
            .steps
            .iter()
            .map(|s| StepFacts {
                seconds: s.seconds,
                at_risk: s.at_risk,
                opened: s.opened,
                censored: s.censored,
                survival: s.survival,
                error: s.error,
                lower: s.band.map(|b| b.0),
                upper: s.band.map(|b| b.1),
            })
            .collect(),
    }
}

/// A time to a hundredth of a second, without needless noughts.
fn seconds(time: Option<f64>, otherwise: &str) -> String {
    time.map_or_else(|| otherwise.to_owned(), |t| format!("{} s", (t * 100.0).round() / 100.0))
}

fn survival_text(facts: &Survival, steps: bool, columns: usize) -> String {
    let mut page = Page::of(columns);
    let row = |g: &GroupFacts| {
        let range = match (g.median_from, g.median_to) {
            (None, None) => "-".to_owned(),
            (from, to) => format!("{} to {}", seconds(from, "-"), seconds(to, "no end")),
        };
        let shut = g.n.saturating_sub(g.opened);
        vec![
            g.name.clone(),
            g.n.to_string(),
            g.opened.to_string(),
            shut.to_string(),
            seconds(g.median, "not reached"),
            range,
        ]
    };
    let band = format!("MEDIAN WITHIN ({})", asked(facts.confidence));
    let head = ["GROUP", "HEADS", "OPENED", "NOT OPENED", "MEDIAN", &band];
    page.grid(&head, &facts.groups.iter().map(row).collect::<Vec<_>>());
    if steps {
        for group in &facts.groups {
            page.say("");
            page.say(&group.name);
            let row = |s: &StepFacts| {
                let band = match (s.lower, s.upper) {
                    (Some(low), Some(high)) => format!("{} to {}", per_cent(low), per_cent(high)),
                    _ => "-".to_owned(),
                };
                let counts = [s.at_risk, s.opened, s.censored].map(|n| n.to_string());
                let mut cells = vec![seconds(Some(s.seconds), "")];
                cells.extend(counts);
                cells.extend([per_cent(s.survival), band]);
                cells
            };
            let head = ["TIME", "UNDER TEST", "OPENED", "LEFT SHUT", "STILL SHUT", "BAND"];
            page.grid(&head, &group.steps.iter().map(row).collect::<Vec<_>>());
        }
    }
    if let (Some(chi2), Some(df), Some(p)) = (facts.chi2, facts.df, facts.p) {
        page.say("");
        page.say(&format!("Log-rank test: chi-squared {chi2:.4}, degrees of freedom {df}, p {}.", probability(p)));
        page.say(&format!("Groups that open alike differ as much in {} of such comparisons.", per_cent(p)));
        if facts.groups.iter().map(|g| g.opened).sum::<usize>() < FEW {
            page.say("Few heads opened: the test is a rough one here.");
        }
    }
    if let Some(why) = &facts.not_compared {
        page.say("");
        page.say(&format!("Log-rank test: {why}."));
    }
    page.say("");
    page.say(CAUTION);
    page.text()
}

/// Below so many openings the log-rank test is told to be rough (common practice, no source).
const FEW: usize = 10;

/// A chance as a plain number.
fn probability(p: f64) -> String {
    if p < 0.0001 { "below 0.0001".to_owned() } else { format!("{p:.4}") }
}
