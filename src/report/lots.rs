//! Lots in the summary: which sample stands for which heads, how it was drawn, what the bench says of each head, and what that
//! means for all the others.

use super::lots_words as words;
use super::phrases::{capital, class, clause, day, heads, listed, said, sentence};
use super::summary::{Block, Cell, Fact, Pair, Scene, Section, Table, Tone, fact};
use crate::round::layout::HeadIx;
use crate::round::lots::{self, Lot, Sample, Stage};

/// The section; none where no lot was ever formed.
pub(super) fn section(scene: &Scene<'_>) -> Option<Section> {
    if scene.lots.is_empty() {
        return None;
    }
    let mut section = Section::new("lots", TITLE);
    section.para(
        "lots.lead",
        "A lot is a number of heads that one sample stands for. The heads of the sample are taken down and operated; what they \
         show counts for all of them.",
    );
    section.table(overview(scene));
    for lot in &scene.lots {
        section.parts.push(part(scene, lot));
    }
    section.blocks.push(Block::Items { numbered: false, facts: cautions(scene) });
    Some(section)
}

const TITLE: &str = "Tests of samples";

/// The front page's banner where heads hang that a failed test condemns.
pub(super) fn banner(scene: &Scene<'_>) -> Option<Block> {
    let mut facts = Vec::new();
    for (lot, hang) in condemned(scene) {
        let text =
            format!("LOT {} FAILED ITS TEST: {} condemned and to be replaced.", words::name(lot), heads(hang.len()));
        facts.push(fact(format!("lots.banner.{}", lot.id), text));
        if let Some(failure) = &lot.outcome.failure {
            let of_class = failure.class.map_or(String::new(), |c| format!("; {}", class(Some(c))));
            let text = format!("{}{of_class}.", capital(&said(&lots::failure_words(scene.state, failure))));
            facts.push(fact(format!("lots.banner.{}.why", lot.id), text));
        }
    }
    if facts.is_empty() {
        return None;
    }
    let text = "Heads that hang and look well are condemned with them: they are of the kind that failed. The adopted code and the \
                authority say within what time.";
    facts.push(fact("lots.banner.meaning", text));
    Some(Block::Banner { tone: Tone::Alarm, facts })
}

/// For the front page: how the lots stand, in a line.
pub(super) fn in_short(scene: &Scene<'_>) -> Option<String> {
    if scene.lots.is_empty() {
        return None;
    }
    let parts: Vec<String> = Stage::ALL
        .iter()
        .rev()
        .map(|stage| (stage, scene.lots.iter().filter(|l| l.outcome.stage == *stage).count()))
        .filter(|(_, n)| *n > 0)
        .map(|(stage, n)| format!("{n} {}", stage.label()))
        .collect();
    let hang: usize = condemned(scene).map(|(_, hang)| hang.len()).sum();
    let hang = if hang > 0 { format!("; {} condemned and still in place", heads(hang)) } else { String::new() };
    Some(format!("{}: {}{hang}; see '{TITLE}'", words::lots_counted(scene.lots.len()), listed(&parts)))
}

/// The lots that condemn heads which still hang, each with those.
fn condemned<'s>(scene: &'s Scene<'_>) -> impl Iterator<Item = (&'s Lot, Vec<HeadIx>)> + 's {
    let failed = scene.lots.iter().filter(|l| l.outcome.stage == Stage::Condemned);
    failed.map(|l| (l, words::condemned(scene.state, l))).filter(|(_, hang)| !hang.is_empty())
}

fn overview(scene: &Scene<'_>) -> Table {
    let labels = ["Lot", "Stands at", "#Heads", "#Asked", "#Drawn", "#Passed", "#Failed", "#Void", "Decided"];
    let mut table = Table::new("lots.all", "All lots", 1, &labels);
    for lot in &scene.lots {
        let id = format!("lots.all.{}", lot.id);
        let cell = |key: &str, text: String| Cell::one(format!("{id}.{key}"), text);
        let o = &lot.outcome;
        table.row(vec![
            cell("name", lot.id.to_string()),
            cell("stage", stage(o.stage)),
            cell("heads", lot.heads.len().to_string()),
            cell("asked", o.asked.heads.to_string()),
            cell("drawn", lot.samples.len().to_string()),
            cell("passed", o.passed.to_string()),
            cell("failed", o.failed.to_string()),
            cell("void", o.void.to_string()),
            cell("on", o.on.map_or_else(String::new, day)),
        ]);
    }
    table
}

fn stage(stage: Stage) -> String {
    if stage == Stage::Condemned { "CONDEMNED".to_owned() } else { stage.label().to_owned() }
}

fn part(scene: &Scene<'_>, lot: &Lot) -> Section {
    let id = format!("lots.{}", lot.id);
    let mut part = Section::new(id.clone(), format!("{}: {}", words::name(lot), stage(lot.outcome.stage)));
    let mut pairs = vec![
        Pair::one("Stands for", format!("{id}.heads"), scene.ranges_counted(&lot.heads)),
        Pair::one("Because of", format!("{id}.why"), words::why(scene.state, lot)),
        Pair::one("Formed", format!("{id}.formed"), scene.who_when_at(lot.entry)),
        Pair::one("Sample", format!("{id}.asked"), words::asked(lot)),
    ];
    let draws = lot.draws.iter().enumerate().filter_map(|(n, ix)| {
        let (entry, it) = lots::drawn(scene.state, *ix)?;
        Some(fact(format!("{id}.draw.{}", n + 1), format!("{}; {}", words::drawn(it), scene.who_when(entry))))
    });
    pairs.extend(pair("Drawn", draws.collect()));
    pairs.extend(pair("On its way", custody(scene, lot, &id)));
    if let Some((entry, it)) = lot.concluded.and_then(|ix| lots::concluded(scene.state, ix)) {
        let text = format!("{}; {}", words::concluded(it), scene.who_when(entry));
        pairs.push(Pair::one("Laboratory", format!("{id}.laboratory"), text));
    }
    pairs.extend(result(scene, lot, &id));
    part.blocks.push(Block::Pairs { pairs });
    part.table(samples(scene, lot, &id));
    part
}

fn pair(label: &'static str, facts: Vec<Fact>) -> Option<Pair> {
    (!facts.is_empty()).then_some(Pair { label, facts })
}

fn custody(scene: &Scene<'_>, lot: &Lot, id: &str) -> Vec<Fact> {
    let line = |(n, ix): (usize, &crate::round::state::EntryIx)| {
        let (entry, it) = lots::custody(scene.state, *ix)?;
        let person = |label: &str, who: &Option<String>| {
            who.as_deref().map(said).filter(|w| !w.is_empty()).map_or(String::new(), |w| format!(" {label} {w}"))
        };
        let on = it.on.unwrap_or_else(|| entry.at.date_naive());
        let note = it.note.as_deref().map(said).filter(|t| !t.is_empty()).map_or(String::new(), |t| format!(": {t}"));
        let text = format!(
            "{} {}{}{}, {}{note}; recorded by {}",
            words::tags(it),
            words::step(it.step),
            person("by", &it.from),
            person("to", &it.to),
            day(on),
            scene.who_when(entry)
        );
        Some(fact(format!("{id}.custody.{}", n + 1), capital(&text)))
    };
    lot.custody.iter().enumerate().filter_map(line).collect()
}

/// What it comes to, and what that means.
fn result(scene: &Scene<'_>, lot: &Lot, id: &str) -> Vec<Pair> {
    let o = &lot.outcome;
    let on = o.on.map_or(String::new(), |d| format!(", {}", day(d)));
    let mut facts =
        vec![fact(format!("{id}.result"), format!("{}{on}. {}.", capital(&stage(o.stage)), words::tally(lot)))];
    for (n, why) in o.why.iter().enumerate() {
        facts.push(fact(format!("{id}.result.{}", n + 1), sentence(&capital(why))));
    }
    let mut pairs = vec![Pair { label: "Result", facts }];
    if let Some(failure) = &o.failure {
        let mut facts = Vec::new();
        facts.push(fact(format!("{id}.failure"), sentence(&capital(&lots::failure_words(scene.state, failure)))));
        facts.extend(words::failure_rule(scene.state).map(|t| fact(format!("{id}.failure.rule"), sentence(&t))));
        pairs.push(Pair { label: "Meaning", facts });
        let hang = words::condemned(scene.state, lot);
        let text = if hang.is_empty() {
            "none hangs any more: all were replaced".to_owned()
        } else {
            format!("{}, {}", scene.ranges_counted(&hang), class(failure.class))
        };
        pairs.push(Pair::one("Condemned", format!("{id}.condemned"), text));
    }
    if o.stage == Stage::Passed {
        let next = lots::next_due(scene.state, lot);
        let text = next.map_or_else(|| "no day can be told, or the rules ask nothing more".to_owned(), day);
        pairs.push(Pair::one("Due again", format!("{id}.next"), text));
    }
    if let Some(text) = words::evidence(scene.state, lot) {
        pairs.push(Pair::one("How sure", format!("{id}.evidence"), text));
    }
    pairs.push(Pair::one("To do", format!("{id}.todo"), words::next_step(scene.state, lot)));
    pairs
}

fn samples(scene: &Scene<'_>, lot: &Lot, id: &str) -> Table {
    let labels =
        ["Tag", "Head", "Verdict", "Why", "Limits", "Index", "Seen", "Conditions", "Tested", "Kind", "Taken down"];
    let mut table = Table::new(format!("{id}.samples"), "The sample, head by head", 3, &labels);
    for (n, sample) in lot.samples.iter().enumerate() {
        table.row(sample_row(scene, sample, &format!("{id}.sample.{}", n + 1)));
    }
    table
}

fn sample_row(scene: &Scene<'_>, sample: &Sample, id: &str) -> Vec<Cell> {
    let test = sample.test.and_then(|ix| Some((ix, lots::tested(scene.state, ix)?)));
    let many = |parts: Vec<(&'static str, String)>| -> Vec<Fact> {
        parts.into_iter().map(|(key, text)| fact(format!("{id}.{key}"), text)).collect()
    };
    let judged = sample.judged.as_ref();
    let verdict = match judged.map(|j| j.verdict) {
        None => "not tested".to_owned(),
        Some(v) if v.fails() => v.as_str().to_uppercase(),
        Some(v) => v.to_string(),
    };
    let why = judged.map_or_else(Vec::new, |j| {
        j.why
            .iter()
            .enumerate()
            .map(|(n, t)| fact(format!("{id}.why.{}", n + 1), sentence(&capital(&said(t)))))
            .collect()
    });
    let tested = test.map_or_else(String::new, |(ix, (entry, it))| {
        let on = lots::tested_on(scene.state, ix).map_or(String::new(), day);
        let bench = it.readings.bench.as_deref().map(said).filter(|b| !b.is_empty());
        let bench = bench.map_or(String::new(), |b| format!(" at {b}"));
        format!("{on}{bench}; recorded by {}", scene.who_when(entry))
    });
    let address = scene.state.address(sample.head).map_or_else(String::new, |a| a.to_string());
    vec![
        Cell::one(format!("{id}.tag"), said(&sample.tag)),
        Cell::one(format!("{id}.head"), address),
        Cell::one(format!("{id}.verdict"), verdict),
        Cell::lines(why),
        Cell::lines(many(words::limits_of(scene.state, sample))),
        Cell::one(format!("{id}.index"), judged.map_or_else(String::new, words::index)),
        Cell::inline(test.map_or_else(Vec::new, |(_, (_, it))| many(words::seen(&it.readings)))),
        Cell::one(
            format!("{id}.conditions"),
            test.map_or_else(String::new, |(_, (_, it))| words::conditions(&it.readings)),
        ),
        Cell::one(format!("{id}.tested"), tested),
        Cell::one(format!("{id}.kind"), scene.kind(sample.kind)),
        Cell::one(format!("{id}.taken"), scene.taken(sample)),
    ]
}

fn cautions(scene: &Scene<'_>) -> Vec<Fact> {
    let mut list = vec![
        "A sample that passes is weak evidence. It says what share of bad heads can be ruled out, and not that the others will \
         open."
            .to_owned(),
        "A good look never means that a head works: what holds the water back can stick where nobody sees it.".to_owned(),
        "Times and indices are compared with the limits of the adopted rule set. The text of the code, the authority and the \
         laboratory decide what a test shows."
            .to_owned(),
    ];
    list.extend(words::visible_rule(scene.state));
    if let Some(rule) = lots::failure_rule(scene.state).filter(|r| !r.condemns) {
        list.push(format!(
            "The adopted rule set does not condemn a lot by one failure ({}); people decide what follows.",
            clause(&rule.basis.clause)
        ));
    }
    list.into_iter().enumerate().map(|(n, text)| fact(format!("lots.caution.{}", n + 1), text)).collect()
}
