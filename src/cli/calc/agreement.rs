//! `calc agreement`: whether two benches read alike.

use clap::Args;
use serde_json::json;

use super::figures::{self, CAUTION, Page, asked, refused};
use crate::bench::chance::{self, Estimate};
use crate::cli::session::{Done, Outcome, Session, many};
use crate::trade::measure::Seconds;

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround calc agreement --pairs 41.2/40.6,38.9/39.4,43.0/42.1,40.2/40.9

A pair is what the first and the second bench read of like heads, in seconds unless a unit stands there. A head operates once: \
pairs are heads of one kind and age, dealt out to the two by chance.")]
pub struct AgreementArgs {
    /// Readings of the two benches: FIRST/SECOND,…; three pairs or more
    #[arg(long, value_name = "PAIRS", value_parser = pairs, required = true)]
    pub pairs: Vec<Pairs>,

    /// How sure the intervals are, as 0.95 or 95%
    #[arg(long, value_name = "SHARE", value_parser = figures::confidence, default_value = "0.95", allow_negative_numbers = true)]
    pub confidence: f64,
}

/// Pairs of readings.
#[derive(Clone, Debug)]
pub struct Pairs(Vec<(f64, f64)>);

fn pairs(text: &str) -> Result<Pairs, String> {
    text.split(',').map(pair).collect::<Result<_, _>>().map(Pairs)
}

fn pair(text: &str) -> Result<(f64, f64), String> {
    let (first, second) = text.split_once('/').ok_or("write each pair as FIRST/SECOND, such as 41.2/40.6")?;
    Ok((reading(first)?, reading(second)?))
}

fn reading(text: &str) -> Result<f64, String> {
    let text = text.trim();
    match text.parse::<f64>() {
        Ok(plain) => {
            Seconds::new(plain).ok_or_else(|| format!("'{}' is outside 0 to 86400 s", crate::diag::plain(text)))
        }
        Err(_) => Seconds::parse(text),
    }
    .map(Seconds::seconds)
}

/// Tells how the two agree.
pub fn run(it: &AgreementArgs, session: &mut Session<'_, '_>) -> Done {
    let pairs: Vec<(f64, f64)> = it.pairs.iter().flat_map(|p| p.0.iter().copied()).collect();
    let found = chance::agreement(&pairs, it.confidence).map_err(|why| refused("headround calc agreement", &why))?;
    if session.global.json {
        let estimate = |e: &Estimate| json!({ "value": e.value, "lower": e.lower, "upper": e.upper });
        session.say_json(&json!({
            "pairs": found.pairs,
            "confidence": it.confidence,
            "bias": estimate(&found.bias),
            "spread": found.spread,
            "low": estimate(&found.low),
            "high": estimate(&found.high),
            "concordance": found.concordance,
            "correlation": found.correlation,
        }))?;
        return Ok(Outcome::Fine);
    }
    let mut page = Page::of(figures::columns(session));
    let seconds = |e: &Estimate| vec![format!("{:.2} s", e.value), format!("{:.2} s to {:.2} s", e.lower, e.upper)];
    let row = |name: &str, e: &Estimate| [vec![name.to_owned()], seconds(e)].concat();
    page.say(&format!("{} of readings, the first bench less the second.", many(found.pairs, "pair")));
    page.say("");
    let within = format!("WITHIN ({})", asked(it.confidence));
    let rows = [
        row("mean difference", &found.bias),
        row("limit of agreement below", &found.low),
        row("limit of agreement above", &found.high),
    ];
    page.grid(&["", "VALUE", &within], &rows);
    page.say("");
    if let Some(concordance) = found.concordance {
        page.say(&format!("Concordance {concordance:.4}: 1 where every pair is equal."));
    }
    page.say(&format!(
        "Of further pairs {} lie between the two limits; whether that is near enough is for the laboratory to say.",
        asked(it.confidence)
    ));
    page.say("");
    page.say(CAUTION);
    session.say_text(&page.text())?;
    Ok(Outcome::Fine)
}
