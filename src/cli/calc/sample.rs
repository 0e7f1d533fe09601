//! `calc sample`: how many heads a sample takes under each reading of a rule set.

use clap::{Args, ValueHint};
use serde::Serialize;

use super::figures::{self, CAUTION, Page, asked, heads, per_cent, refused};
use crate::bench::chance;
use crate::cli::rules::{self, USUAL};
use crate::cli::session::{Done, Outcome, Session};
use crate::diag::nearest;
use crate::rules::duties::{Counts, Hazard, SampleMatter, SampleReading};
use crate::rules::model::RuleSet;

const NAME: &str = "headround calc sample";

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround calc sample --heads 640
  headround calc sample --heads 640 --kinds 9
  headround calc sample --heads 8000 --rules en12845 --hazard ordinary
  headround calc sample --heads 400 --bad 20 --confidence 0.95

Every reading of the rule set is listed; the one that rules gives the size. With --bad the smallest sample that would meet \
at least one of so many bad heads stands beside it: the rule set's size is a rule, not a proof.")]
pub struct SampleArgs {
    /// Heads that the sample stands for; for a reading that counts the site, all heads of the site
    #[arg(long, value_name = "N", value_parser = figures::count, allow_negative_numbers = true)]
    pub heads: u32,

    /// The rule set: a name, or the path of a rule-set file
    #[arg(long, value_name = "SET", default_value = USUAL, value_hint = ValueHint::FilePath)]
    pub rules: String,

    /// Kinds of head among them; a sample holds at least one of each
    #[arg(long, value_name = "N", value_parser = figures::count, default_value = "1", allow_negative_numbers = true)]
    pub kinds: u32,

    /// Only readings for this hazard: light, ordinary or high
    #[arg(long, value_name = "WORD", value_parser = hazard)]
    pub hazard: Option<Hazard>,

    /// Take this reading instead of the one that rules
    #[arg(long, value_name = "WORD")]
    pub reading: Option<String>,

    /// Tell also how many to draw so as to meet one of so many bad heads
    #[arg(long, value_name = "N", value_parser = figures::count, allow_negative_numbers = true)]
    pub bad: Option<u32>,

    /// How sure to be, as 0.95 or 95%
    #[arg(long, value_name = "SHARE", value_parser = figures::confidence, default_value = "0.95", allow_negative_numbers = true)]
    pub confidence: f64,
}

fn hazard(text: &str) -> Result<Hazard, String> {
    match Hazard::parse(text)? {
        Hazard::Any => Err("write light, ordinary or high; without --hazard all readings are taken".to_owned()),
        one => Ok(one),
    }
}

/// The size under one reading.
#[derive(Debug, Serialize)]
struct Row<'a> {
    reading: &'a str,
    title: &'a str,
    rules: bool,
    counts: Counts,
    hazard: Hazard,
    sample: u32,
    clause: &'a str,
    source: &'a str,
    confidence: &'a str,
    because: &'a str,
}

/// What a sample without a failure would leave open.
#[derive(Debug, Serialize)]
struct Clean {
    confidence: f64,
    upper: f64,
    upper_heads: u32,
}

/// How many to draw to meet a bad head.
#[derive(Debug, Serialize)]
struct Meet {
    bad: u32,
    confidence: f64,
    sample: u32,
    probability: f64,
}

#[derive(Debug, Serialize)]
struct Facts<'a> {
    rules: &'a str,
    heads: u32,
    kinds: u32,
    reading: &'a str,
    sample: u32,
    /// That the table ends before so many heads.
    beyond: Option<String>,
    each_kind: bool,
    if_none_fails: Clean,
    to_meet: Option<Meet>,
    readings: Vec<Row<'a>>,
}

/// The size under a reading, at least one of each kind where the set asks for that.
fn size(set: &RuleSet, reading: &SampleReading, all: u32, kinds: u32) -> u32 {
    let represented = set.duties.sample_rules.iter().any(|r| r.matter == SampleMatter::RepresentedKinds);
    let size = reading.size(all);
    if represented && reading.counts != Counts::Kind && size > 0 { size.max(kinds).min(all) } else { size }
}

fn is_for(reading: &SampleReading, hazard: Option<Hazard>) -> bool {
    hazard.is_none_or(|h| reading.hazard == Hazard::Any || reading.hazard == h)
}

/// The reading that gives a set's sample size, and the size.
///
/// # Errors
/// A sentence.
pub(super) fn ruling<'a>(
    set: &'a RuleSet,
    named: Option<&str>,
    hazard: Option<Hazard>,
    all: u32,
    kinds: u32,
) -> Result<(&'a SampleReading, u32), String> {
    let list: Vec<&SampleReading> = set.duties.samples.iter().filter(|r| is_for(r, hazard)).collect();
    let known = || list.iter().map(|r| r.id.as_str());
    if list.is_empty() {
        return Err(format!("rule set '{}' gives no sample size here; choose another with --rules", set.name));
    }
    let reading = match named {
        Some(word) => list.iter().find(|r| r.id == word).copied().ok_or_else(|| match nearest(word, known()) {
            Some(near) => format!("rule set '{}' has no reading '{word}'; did you mean '{near}'?", set.name),
            None => {
                let known: Vec<&str> = known().collect();
                format!("rule set '{}' has no reading '{word}'; it has: {}", set.name, known.join(", "))
            }
        })?,
        None => list.iter().find(|r| r.rules).copied().ok_or_else(|| {
            let known: Vec<&str> = known().collect();
            format!("none of the readings rules; choose one with --reading: {}", known.join(", "))
        })?,
    };
    match size(set, reading, all, kinds) {
        0 => Err(format!("reading '{}' gives no size for {}; choose another with --reading", reading.id, heads(all))),
        n => Ok((reading, n)),
    }
}

/// Reckons and tells it.
pub fn run(it: &SampleArgs, session: &mut Session<'_, '_>) -> Done {
    if it.heads == 0 {
        return Err(refused(NAME, "a lot without heads has nothing to draw; give the number of heads it has"));
    }
    if it.kinds == 0 || it.kinds > it.heads {
        let sentence = format!("{} cannot be of {} kinds; give 1 to {}", heads(it.heads), it.kinds, it.heads);
        return Err(refused(NAME, &sentence));
    }
    let set = rules::load_any(&it.rules, session)?;
    let told = |sentence: String| refused(NAME, &sentence);
    let (reading, sample) = ruling(&set, it.reading.as_deref(), it.hazard, it.heads, it.kinds).map_err(told)?;
    let meet = |bad: u32| -> Result<Meet, String> {
        let sample = chance::smallest_sample(it.heads, bad, it.confidence)?;
        let probability = chance::at_least_one(it.heads, bad, sample)?;
        Ok(Meet { bad, confidence: it.confidence, sample, probability })
    };
    let facts = Facts {
        rules: &set.name,
        heads: it.heads,
        kinds: it.kinds,
        reading: &reading.id,
        sample,
        beyond: reading.beyond(it.heads),
        each_kind: reading.counts == Counts::Kind,
        if_none_fails: Clean {
            confidence: it.confidence,
            upper: chance::upper_bound(sample, 0, it.confidence).map_err(told)?,
            upper_heads: chance::upper_heads(it.heads, sample, 0, it.confidence).map_err(told)?,
        },
        to_meet: it.bad.map(meet).transpose().map_err(told)?,
        readings: set
            .duties
            .samples
            .iter()
            .filter(|r| is_for(r, it.hazard))
            .map(|r| Row {
                reading: &r.id,
                title: &r.title,
                rules: r.rules,
                counts: r.counts,
                hazard: r.hazard,
                sample: size(&set, r, it.heads, it.kinds),
                clause: &r.basis.clause,
                source: &r.basis.source,
                confidence: r.basis.confidence.as_str(),
                because: &r.because,
            })
            .collect(),
    };
    if session.global.json {
        session.say_json(&facts)?;
    } else {
        let text = as_text(&facts, &set, figures::columns(session));
        session.say_text(&text)?;
    }
    Ok(Outcome::Fine)
}

fn as_text(facts: &Facts<'_>, set: &RuleSet, columns: usize) -> String {
    let mut page = Page::of(columns);
    let each = if facts.each_kind { " of each kind" } else { "" };
    page.say(&format!(
        "Sample of {}{each} for {} under {} by '{}'.",
        heads(facts.sample),
        heads(facts.heads),
        facts.rules,
        facts.reading
    ));
    if let Some(beyond) = &facts.beyond {
        page.say(beyond);
    }
    page.say("");
    let row = |r: &Row<'_>| {
        let mark = if r.rules { "rules" } else { "" };
        [&r.sample.to_string(), r.reading, mark, r.counts.as_str(), r.clause, r.title].map(str::to_owned).to_vec()
    };
    let rows: Vec<Vec<String>> = facts.readings.iter().map(row).collect();
    page.grid(&["SAMPLE", "READING", "", "COUNTS", "CLAUSE", "TITLE"], &rows);
    page.say("");
    if let Some(by) = facts.readings.iter().find(|r| r.reading == facts.reading) {
        page.say(&format!("{}: {}", by.reading, by.because));
        page.say("");
    }
    let clean = &facts.if_none_fails;
    if facts.sample == facts.heads {
        page.say("The sample is the whole lot: no head is left that it would speak for.");
    } else {
        page.say(&format!(
            "Should none of {} fail, as many as {} bad among the {} are still not excluded with a confidence of {}.",
            heads(facts.sample),
            clean.upper_heads,
            heads(facts.heads),
            asked(clean.confidence)
        ));
    }
    if let Some(meet) = &facts.to_meet {
        page.say(&format!(
            "To meet at least one of {} bad with a confidence of {}, draw {} ({}).",
            meet.bad,
            asked(meet.confidence),
            meet.sample,
            per_cent(meet.probability)
        ));
    }
    for rule in set.duties.sample_rules.iter().filter(|r| r.refuse || r.matter == SampleMatter::RepresentedKinds) {
        page.say("");
        page.say(&format!("{} ({}): {}", rule.matter, rule.basis.clause, rule.text));
    }
    page.say("");
    page.say(CAUTION);
    page.text()
}
