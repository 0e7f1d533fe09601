//! Reads the rows of a rule file beside its rules: ages, samples, limits of the operating test, spare stock, cabinet, spares
//! that fit, cleaning, suitability, visits. What is wrong between rows is `lint_rows`' concern.

use std::collections::HashSet;
use std::ops::Range;
use std::sync::Arc;

use super::duties::{
    AgeRule, Basis, CabinetDuty, CabinetMatter, CeilingStep, Cleaning, Counts, Duties, Hazard, Limit, SampleReading,
    SampleRule, SampleStep, StockReading, StockStep, Suitability, Suits, Visit,
};
use super::load::{Draft, Placed, enough, section, truth, word};
use super::load_ages::read_age;
use super::load_limits::{read_limit, read_sample_rule};
use super::load_spares::{put_spare, read_spare};
use super::model::Confidence;
use super::spares::SpareRow;
use crate::diag::tree::{Fields, Node};
use crate::diag::{Diagnostic, Source, plain};
use crate::trade::class::Class;
use crate::trade::measure::Span;
use crate::trade::quantity::Temperature;

/// The most rows of one section.
pub(crate) const MOST_ROWS: usize = 200;
/// The most heads that a step may name.
const MOST_HEADS: u32 = 10_000_000;

/// A row with its place.
#[derive(Clone, Debug)]
pub(crate) struct Row<T> {
    pub it: T,
    pub source: Arc<Source>,
    pub span: Range<usize>,
    /// The rows it is over, by word: they may stand further down.
    pub over: Vec<Placed<String>>,
    pub cases: Vec<Range<usize>>,
    /// Whether it stands in the file that is read.
    pub own: bool,
}

/// The rows of a set while it is put together.
#[derive(Clone, Debug, Default)]
pub(crate) struct Rows {
    pub ages: Vec<Row<AgeRule>>,
    pub samples: Vec<Row<SampleReading>>,
    pub sample_rules: Vec<SampleRule>,
    pub limits: Vec<Row<Limit>>,
    pub stock: Vec<Row<StockReading>>,
    pub cabinet: Vec<CabinetDuty>,
    pub spares: Vec<Row<SpareRow>>,
    pub cleaning: Option<Cleaning>,
    pub suitability: Option<Suitability>,
    pub visits: Vec<Visit>,
}

impl Rows {
    /// Marks everything read so far as inherited.
    pub fn inherited(&mut self) {
        self.ages.iter_mut().for_each(|r| r.own = false);
        self.samples.iter_mut().for_each(|r| r.own = false);
        self.limits.iter_mut().for_each(|r| r.own = false);
        self.stock.iter_mut().for_each(|r| r.own = false);
        self.spares.iter_mut().for_each(|r| r.own = false);
    }

    /// The words of all rows that can be dropped.
    pub fn words(&self) -> Vec<&str> {
        let ages = self.ages.iter().map(|r| r.it.id.as_str());
        ages.chain(self.samples.iter().map(|r| r.it.id.as_str()))
            .chain(self.limits.iter().map(|r| r.it.id.as_str()))
            .chain(self.stock.iter().map(|r| r.it.id.as_str()))
            .chain(self.spares.iter().map(|r| r.it.id.as_str()))
            .chain(self.visits.iter().map(|v| v.id.as_str()))
            .collect()
    }

    /// Drops the rows of that word; whether there was one.
    pub fn drop_row(&mut self, id: &str) -> bool {
        let before = self.words().len();
        self.ages.retain(|r| r.it.id != id);
        self.samples.retain(|r| r.it.id != id);
        self.limits.retain(|r| r.it.id != id);
        self.stock.retain(|r| r.it.id != id);
        self.spares.retain(|r| r.it.id != id);
        self.visits.retain(|v| v.id != id);
        self.words().len() < before
    }

    /// The rows as the set carries them.
    pub fn into_duties(self) -> Duties {
        Duties {
            ages: self.ages.into_iter().map(|r| r.it).collect(),
            samples: self.samples.into_iter().map(|r| r.it).collect(),
            sample_rules: self.sample_rules,
            limits: self.limits.into_iter().map(|r| r.it).collect(),
            stock: self.stock.into_iter().map(|r| r.it).collect(),
            cabinet: self.cabinet,
            spares: self.spares.into_iter().map(|r| r.it).collect(),
            cleaning: self.cleaning,
            suitability: self.suitability,
            visits: self.visits,
        }
    }
}

/// Reads every section of rows into the draft; a row of the same word takes the place of an inherited one.
pub(crate) fn read_rows(draft: &mut Draft, source: &Arc<Source>, top: &mut Fields<'_>, out: &mut Vec<Diagnostic>) {
    let rows = &mut draft.rows;
    every(source, top, "ages", out, |item, out| {
        put(&mut rows.ages, read_age(source, item, out), |r| &r.id, "age", out);
    });
    every(source, top, "samples", out, |item, out| {
        put(&mut rows.samples, read_sample(source, item, out), |r| &r.id, "reading", out);
    });
    let mut told = HashSet::new();
    every(source, top, "sample_rules", out, |item, out| {
        if let Some(row) = read_sample_rule(source, item, out) {
            once(&mut told, row.matter.as_str(), source, item, out);
            rows.sample_rules.retain(|r| r.matter != row.matter);
            rows.sample_rules.push(row);
        }
    });
    every(source, top, "limits", out, |item, out| {
        put(&mut rows.limits, read_limit(source, item, out), |r| &r.id, "limit", out);
    });
    every(source, top, "stock", out, |item, out| {
        put(&mut rows.stock, read_stock(source, item, out), |r| &r.id, "reading", out);
    });
    told.clear();
    every(source, top, "cabinet", out, |item, out| {
        if let Some(row) = read_cabinet(source, item, out) {
            once(&mut told, row.matter.as_str(), source, item, out);
            rows.cabinet.retain(|r| r.matter != row.matter);
            rows.cabinet.push(row);
        }
    });
    let mut own = Vec::new();
    every(source, top, "spares", out, |item, out| {
        if let Some(row) = read_spare(source, item, out) {
            put_spare(&mut rows.spares, &mut own, row, out);
        }
    });
    // The first row that applies speaks, so a file's own stand before those it inherits.
    rows.spares.splice(0..0, own);
    if let Some(node) = top.take("cleaning")
        && let Some(read) = read_cleaning(source, node, out)
    {
        rows.cleaning = Some(read);
    }
    if let Some(node) = top.take("suitability")
        && let Some(read) = read_suitability(source, node, out)
    {
        rows.suitability = Some(read);
    }
    told.clear();
    every(source, top, "visits", out, |item, out| {
        if let Some(row) = read_visit(source, item, out) {
            once(&mut told, &row.id, source, item, out);
            rows.visits.retain(|v| v.id != row.id);
            rows.visits.push(row);
        }
    });
}

/// Takes the items of a list field one by one, until enough is wrong.
fn every<'a>(
    source: &Arc<Source>,
    top: &mut Fields<'a>,
    key: &'static str,
    out: &mut Vec<Diagnostic>,
    mut take: impl FnMut(&'a Node, &mut Vec<Diagnostic>),
) {
    for item in section(source, top, key, out) {
        if enough(out) {
            break;
        }
        take(item, out);
    }
}

fn read_cleaning(source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) -> Option<Cleaning> {
    let mut f = Fields::of(source, node, "the cleaning rule", out);
    let may = f.list("may", out, |t| Ok(t.to_owned()));
    let never = f.list("never", out, |t| Ok(t.to_owned()));
    let limit = f.need_text("limit", out);
    let basis = read_basis(&mut f, out);
    f.finish(out);
    Some(Cleaning { may, never, limit: limit?, basis: basis? })
}

fn read_visit(source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) -> Option<Visit> {
    let mut f = Fields::of(source, node, "a visit", out);
    let id = f.need_parse("visit", out, word);
    let text = f.need_text("text", out);
    let every = f.need_parse("every", out, Span::parse);
    let earliest = f.parse("earliest", out, Span::parse);
    let latest = f.parse("latest", out, Span::parse);
    let basis = read_basis(&mut f, out);
    f.finish(out);
    Some(Visit { id: id?, text: text?, every: every?, earliest, latest, basis: basis? })
}

/// Complains about a word that a section of this file has had already.
fn once(told: &mut HashSet<String>, word: &str, source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) {
    if !told.insert(word.to_owned()) {
        let message = format!("'{}' stands twice", plain(word));
        out.push(Diagnostic::error("repeated-word", source, word_span(node), message).help("keep one of the two"));
    }
}

fn put<T>(list: &mut Vec<Row<T>>, row: Option<Row<T>>, id: fn(&T) -> &String, what: &str, out: &mut Vec<Diagnostic>) {
    let Some(row) = row else { return };
    if enough(out) {
        return;
    }
    let full = list.len() >= MOST_ROWS;
    match list.iter_mut().find(|r| id(&r.it) == id(&row.it)) {
        Some(known) if known.own => out.push(
            Diagnostic::error(
                "repeated-word",
                &row.source,
                row.span.clone(),
                format!("the {what} '{}' stands twice", id(&row.it)),
            )
            .and_at(known.span.clone(), "first here"),
        ),
        Some(known) => *known = row,
        None if full => out.push(Diagnostic::error(
            "too-many",
            &row.source,
            row.span.clone(),
            format!("a set holds at most {MOST_ROWS} rows of a kind"),
        )),
        None => list.push(row),
    }
}

pub(crate) fn read_basis(f: &mut Fields<'_>, out: &mut Vec<Diagnostic>) -> Option<Basis> {
    let clause = f.need_text("clause", out);
    let source = f.need_text("source", out);
    let confidence = f.need_parse("confidence", out, Confidence::parse);
    Some(Basis { clause: clause?, source: source?, confidence: confidence? })
}

/// The place of a row's word: its first value.
pub(crate) fn word_span(node: &Node) -> Range<usize> {
    match &node.value {
        crate::diag::tree::Value::Map(items) => {
            items.first().map_or_else(|| node.span.clone(), |(_, v)| v.span.clone())
        }
        _ => node.span.clone(),
    }
}

/// Complains about steps that do not begin at the first head or do not rise.
fn check_steps(source: &Arc<Source>, span: &Range<usize>, from: &[u32], out: &mut Vec<Diagnostic>) {
    let rising = from.windows(2).all(|w| matches!(w, [a, b] if a < b));
    if from.first() != Some(&1) || !rising {
        let message = "steps begin with 'from: 1' and rise";
        out.push(
            Diagnostic::error("steps", source, span.clone(), message)
                .help("order the steps by 'from', each at the first number of heads it is for"),
        );
    }
}

fn heads(text: &str) -> Result<u32, String> {
    let known = text.parse::<u32>().ok().filter(|n| *n <= MOST_HEADS);
    known.ok_or_else(|| {
        let shown: String = plain(text).chars().take(20).collect();
        format!("'{shown}' is no number of heads; write a whole number up to {MOST_HEADS}")
    })
}

fn read_sample(source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) -> Option<Row<SampleReading>> {
    let complaints = out.len();
    let mut f = Fields::of(source, node, "a reading of the sample size", out);
    let id = f.need_parse("reading", out, word);
    let title = f.need_text("title", out);
    let rules = f.parse("rules", out, truth).unwrap_or(false);
    let counts = f.need_parse("counts", out, Counts::parse);
    let hazard = f.parse("hazard", out, Hazard::parse).unwrap_or(Hazard::Any);
    let mut steps = Vec::new();
    for item in section(source, &mut f, "steps", out) {
        if enough(out) {
            break;
        }
        let before = out.len();
        let mut s = Fields::of(source, item, "a step", out);
        let from = s.need_parse("from", out, heads);
        let least = s.parse("least", out, heads);
        let percent = s.parse("percent", out, |t| {
            let known = t.parse::<f64>().ok().filter(|p| (0.0..=100.0).contains(p));
            known.ok_or_else(|| format!("'{}' is no share of 0 to 100", plain(t).chars().take(20).collect::<String>()))
        });
        s.finish(out);
        if least.is_none() && percent.is_none() && out.len() == before {
            let message = "a step names neither 'least' nor 'percent'";
            out.push(
                Diagnostic::error("steps", source, item.span.clone(), message)
                    .help("add 'least: 4', 'percent: 1' or both"),
            );
        }
        if let Some(from) = from {
            steps.push(SampleStep { from, least: least.unwrap_or(0), percent: percent.unwrap_or(0.0) });
        }
    }
    let ends = f.parse("ends", out, heads);
    let because = f.need_text("because", out);
    let basis = read_basis(&mut f, out);
    f.finish(out);
    if out.len() == complaints {
        check_steps(source, &word_span(node), &steps.iter().map(|s| s.from).collect::<Vec<_>>(), out);
        if let (Some(end), Some(last)) = (ends, steps.last().filter(|s| ends.is_some_and(|e| e < s.from))) {
            let message = format!("the table ends at {end} heads, before its last step from {}", last.from);
            let it = Diagnostic::error("steps", source, word_span(node), message);
            out.push(it.help("write the most heads that the last step speaks of, or leave 'ends' out"));
        }
    }
    if out.len() > complaints {
        return None;
    }
    let it = SampleReading {
        ends,
        id: id?,
        title: title?,
        rules,
        counts: counts?,
        hazard,
        steps,
        because: because?,
        basis: basis?,
    };
    Some(plain_row(source, node, it))
}

pub(crate) fn plain_row<T>(source: &Arc<Source>, node: &Node, it: T) -> Row<T> {
    Row { it, source: Arc::clone(source), span: word_span(node), over: Vec::new(), cases: Vec::new(), own: true }
}

fn read_stock(source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) -> Option<Row<StockReading>> {
    let complaints = out.len();
    let mut f = Fields::of(source, node, "a reading of the spare stock", out);
    let id = f.need_parse("reading", out, word);
    let title = f.need_text("title", out);
    let rules = f.parse("rules", out, truth).unwrap_or(false);
    let counts = f.need_parse("counts", out, Counts::parse);
    let hazard = f.parse("hazard", out, Hazard::parse).unwrap_or(Hazard::Any);
    let mut steps = Vec::new();
    for item in section(source, &mut f, "steps", out) {
        if enough(out) {
            break;
        }
        let mut s = Fields::of(source, item, "a step", out);
        let from = s.need_parse("from", out, heads);
        let hold = s.need_parse("hold", out, heads);
        s.finish(out);
        if let (Some(from), Some(hold)) = (from, hold) {
            steps.push(StockStep { from, hold });
        }
    }
    let per_kind = f.parse("per_kind", out, heads).unwrap_or(0);
    let because = f.need_text("because", out);
    let basis = read_basis(&mut f, out);
    f.finish(out);
    if out.len() == complaints {
        check_steps(source, &word_span(node), &steps.iter().map(|s| s.from).collect::<Vec<_>>(), out);
    }
    if out.len() > complaints {
        return None;
    }
    let it = StockReading {
        id: id?,
        title: title?,
        rules,
        counts: counts?,
        hazard,
        steps,
        per_kind,
        because: because?,
        basis: basis?,
    };
    Some(plain_row(source, node, it))
}

fn read_cabinet(source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) -> Option<CabinetDuty> {
    let mut f = Fields::of(source, node, "a cabinet duty", out);
    let matter = f.need_parse("about", out, CabinetMatter::parse);
    let at_most = f.parse("at_most", out, Temperature::parse);
    let age = f.parse("age", out, Span::parse);
    let text = f.need_text("text", out);
    let basis = read_basis(&mut f, out);
    f.finish(out);
    Some(CabinetDuty { matter: matter?, at_most, age, text: text?, basis: basis? })
}

fn read_suitability(source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) -> Option<Suitability> {
    let complaints = out.len();
    let mut f = Fields::of(source, node, "the temperature suitability", out);
    let margin = f.parse("margin", out, |t| {
        let known = t.trim().strip_suffix('K').and_then(|n| n.trim().parse::<f64>().ok());
        known.filter(|k| (0.0..=300.0).contains(k)).ok_or_else(|| {
            format!("'{}' is no margin of 0 to 300 K; write '30 K'", plain(t).chars().take(20).collect::<String>())
        })
    });
    let mut steps = Vec::new();
    let mut spans = Vec::new();
    for item in section(source, &mut f, "ceilings", out) {
        if enough(out) {
            break;
        }
        let mut s = Fields::of(source, item, "a ceiling", out);
        let up_to = s.need_parse("up_to", out, Temperature::parse);
        let class = s.need_parse("class", out, Class::parse);
        let rating = s.parse("rating", out, Temperature::parse);
        s.finish(out);
        if let (Some(up_to), Some(class)) = (up_to, class) {
            steps.push(CeilingStep { up_to, class, rating });
            spans.push(item.span.clone());
        }
    }
    let because = f.need_text("because", out);
    let basis = read_basis(&mut f, out);
    f.finish(out);
    let falls = |w: &[CeilingStep]| matches!(w, [a, b] if a.up_to.celsius() >= b.up_to.celsius() || a.class > b.class);
    if out.len() == complaints
        && let Some(at) = steps.windows(2).position(falls)
    {
        let words = |s: Option<&CeilingStep>| s.map(|s| format!("{} {}", s.up_to, s.class)).unwrap_or_default();
        let (one, next) = (words(steps.get(at)), words(steps.get(at + 1)));
        let message = format!("the ceilings do not rise: '{one}' stands before '{next}'");
        let span = spans.get(at + 1).cloned().unwrap_or_else(|| node.span.clone());
        out.push(
            Diagnostic::error("suitability", source, span, message).help("order them from the coolest to the hottest"),
        );
    }
    if out.len() == complaints && margin.is_some() != steps.is_empty() {
        let message = "the suitability is either a 'margin' or a list of 'ceilings'";
        out.push(
            Diagnostic::error("suitability", source, node.span.start..node.span.start, message)
                .help("give one of the two"),
        );
    }
    if out.len() > complaints {
        return None;
    }
    let suits = margin.map_or_else(|| Suits::Table(steps.into()), Suits::Margin);
    Some(Suitability { suits, because: because?, basis: basis? })
}
