//! The record itself: what changed in the register, notes, what came after the sign-off, the rules that were applied,
//! the limits of the inspection, how long to keep this, and the sign-off.

use std::collections::BTreeSet;

use super::phrases::{capital, clause, counted, day, listed, moment, order, order_means, said, sentence};
use super::summary::{Block, Cell, Fact, Pair, Scene, Section, Table, Tone, fact};
use crate::round::entry::{Deed, Entry, What};
use crate::round::rulings;
use crate::round::state::EntryIx;
use crate::round::words::entry_words;
use crate::rules::model::{Rule, RuleIx, Ruling};
use crate::trade::address::AreaId;

/// The sections.
pub(super) fn sections(scene: &Scene<'_>) -> Vec<Section> {
    let mut list = Vec::new();
    list.extend(changes(scene));
    list.extend(notes(scene));
    list.extend(amendments(scene));
    list.extend(applied(scene));
    list.push(words());
    list.push(limits(scene));
    list.push(keeping(scene));
    list.push(about(scene));
    list.push(signoff(scene));
    list
}

/// The rules that spoke about a head in this round, in the order of the set.
pub(super) fn spoken<'s>(scene: &'s Scene<'_>) -> Vec<&'s Rule> {
    let mut list: BTreeSet<RuleIx> =
        scene.rows.iter().flat_map(|r| &r.recorded).flat_map(|r| r.rules.iter().copied()).collect();
    list.extend(rulings::advice(scene.state).iter().map(|a| a.rule_ix));
    list.into_iter().filter_map(|r| scene.set().rule_at(r)).collect()
}

fn when(scene: &Scene<'_>, id: &str, entry: &Entry) -> Cell {
    Cell::one(format!("{id}.by"), scene.who_when(entry))
}

/// What the walk changed in the register.
fn changes(scene: &Scene<'_>) -> Option<Section> {
    let labels = ["What", "Change", "Recorded"];
    let mut table = Table::new("changes.table", "", 1, &labels);
    for (_, entry) in rulings::standing(scene.state) {
        let Some((what, change)) = change(scene, entry) else { continue };
        let id = format!("change.{}", entry.id);
        table.row(vec![
            Cell::one(format!("{id}.what"), what),
            Cell::one(format!("{id}.change"), change),
            when(scene, &id, entry),
        ]);
    }
    if table.rows.is_empty() {
        return None;
    }
    let mut section = Section::new("changes", "Changes to the register");
    section.para("changes.lead", "What was found in the field to differ from the register, and what was changed.");
    section.table(table);
    Some(section)
}

fn change(scene: &Scene<'_>, entry: &Entry) -> Option<(String, String)> {
    let kind = |word: &str| {
        let register = scene.state.register();
        register.kind_named(word).map_or_else(|| format!("{} (not in the register)", said(word)), |k| scene.kind(k))
    };
    Some(match &entry.what {
        What::Added(x) => (x.head.to_string(), format!("head found that the register did not hold; {}", kind(&x.kind))),
        What::Removed(x) => {
            let why = x.why.as_deref().map(said).filter(|w| !w.is_empty());
            let why = why.map_or(String::new(), |w| format!(": {w}"));
            (x.head.to_string(), format!("not there and not missed{why}"))
        }
        What::IsKind(x) => {
            (x.head.to_string(), format!("is of another kind than the register said; now {}", kind(&x.kind)))
        }
        What::Did(x) if x.did == Deed::Replaced => {
            let now = x.kind.as_deref().map_or_else(|| "of the same kind".to_owned(), |k| format!("now {}", kind(k)));
            let note = x.note.as_deref().map(said).filter(|n| !n.is_empty());
            let note = note.map_or(String::new(), |n| format!("; note: {n}"));
            let from = x.from.as_ref().map_or(String::new(), |c| format!("; from cabinet {}", cabinet(scene, c)));
            (x.head.to_string(), format!("replaced, {now}{from}{note}"))
        }
        What::NewKind(x) => (format!("kind {}", said(&x.id)), format!("added: {}", x.describe(scene.units))),
        What::NewArea(x) => {
            let lines = counted(x.lines.len(), "line", "lines");
            (format!("area {}", x.id), format!("added: {}, {} system, {lines}", said(&x.name), x.system))
        }
        What::NewCabinet(x) => {
            let place = x.place.as_deref().map(said).filter(|p| !p.is_empty());
            let place = place.map_or(String::new(), |p| format!(", {p}"));
            let areas: Vec<String> = x.serves.iter().map(ToString::to_string).collect();
            let serves = if areas.is_empty() { "for all areas".to_owned() } else { format!("for {}", listed(&areas)) };
            (format!("cabinet {}", x.id), format!("added: {}{place}, {serves}", said(&x.name)))
        }
        _ => return None,
    })
}

/// A cabinet's name with its short one; one that the register does not hold says so.
fn cabinet(scene: &Scene<'_>, id: &AreaId) -> String {
    let register = scene.state.register();
    match register.cabinet_named(id.as_str()).and_then(|at| register.cabinets.get(at)) {
        Some(c) if said(&c.name) != id.as_str() => format!("{} ({id})", said(&c.name)),
        Some(_) => id.to_string(),
        None => format!("{id} (not in the register)"),
    }
}

fn notes(scene: &Scene<'_>) -> Option<Section> {
    let mut table = Table::new("notes.table", "", 1, &["About", "Note", "Recorded"]);
    for (_, entry) in rulings::standing(scene.state) {
        let What::Note(note) = &entry.what else { continue };
        let id = format!("note.{}", entry.id);
        let about = note.head.as_ref().map_or_else(|| "The round".to_owned(), ToString::to_string);
        table.row(vec![
            Cell::one(format!("{id}.about"), about),
            Cell::one(format!("{id}.text"), said(&note.text)),
            when(scene, &id, entry),
        ]);
    }
    if table.rows.is_empty() {
        return None;
    }
    let mut section = Section::new("notes", "Notes");
    section.table(table);
    Some(section)
}

/// Entries made after the sign-off.
fn amendments(scene: &Scene<'_>) -> Option<Section> {
    let round = scene.round()?;
    if round.late.is_empty() {
        return None;
    }
    let mut section = Section::new("amendments", "Amendments after sign-off");
    section.para(
        "amendments.lead",
        "Made after the round was signed, and not covered by the digest of that sign-off. This summary takes account of \
         them.",
    );
    let mut table = Table::new("amendments.table", "", 1, &["Recorded", "What", "Entry"]);
    for ix in round.late.iter().filter_map(|id| scene.state.find_entry(*id)) {
        let Some(entry) = scene.state.entry(ix) else { continue };
        let id = format!("amendment.{}", entry.id);
        let taken = if scene.state.stands(ix) { "" } else { " (taken back later)" };
        table.row(vec![
            Cell::one(format!("{id}.by"), format!("{}, {}", scene.person(&entry.by), moment(entry.at))),
            Cell::one(format!("{id}.what"), format!("{}{taken}", scene.says(entry))),
            Cell::one(format!("{id}.entry"), entry.id.to_string()),
        ]);
    }
    section.table(table);
    Some(section)
}

impl Scene<'_> {
    /// What an entry says, with the entry it takes back told in words.
    pub(super) fn says(&self, entry: &Entry) -> String {
        match &entry.what {
            What::Retract(target) => {
                let of = self.state.find_entry(*target).and_then(|e| self.state.entry(e));
                let what = of.map_or_else(|| target.to_string(), |e| said(&entry_words(e)));
                format!("taken back: {what}")
            }
            _ => said(&entry_words(entry)),
        }
    }

    /// An entry in one line with who made it and when.
    pub(super) fn entry_line(&self, ix: EntryIx) -> String {
        self.state.entry(ix).map_or_else(String::new, |e| format!("{}, recorded by {}", self.says(e), self.who_when(e)))
    }
}

/// The rules that were applied, for whoever checks them.
fn applied(scene: &Scene<'_>) -> Option<Section> {
    let rules = spoken(scene);
    if rules.is_empty() {
        return None;
    }
    let mut section = Section::new("rules", "Rules that were applied");
    section.para(
        "rules.lead",
        "Each rule that spoke in this round, paraphrased, with its clause, where that comes from, and how far it can be \
         relied on. Where both sides of a call can be argued, both are given.",
    );
    let labels = ["Rule", "What it is about", "Clause", "Source", "How sure", "Both sides"];
    let mut table = Table::new("rules.table", "", 1, &labels);
    for rule in rules {
        let id = format!("rule.{}", rule.id);
        table.row(vec![
            Cell::one(format!("{id}.id"), said(&rule.id)),
            Cell::one(format!("{id}.title"), format!("{}: {}", said(&rule.title), order(rule.ruling))),
            Cell::one(format!("{id}.clause"), clause(&rule.clause)),
            Cell::one(format!("{id}.source"), said(&rule.source)),
            Cell::one(format!("{id}.confidence"), rule.reliance()),
            Cell::one(format!("{id}.contested"), rule.contested.as_deref().map_or_else(String::new, sentence)),
        ]);
    }
    section.table(table);
    Some(section)
}

/// What the words of this summary mean.
fn words() -> Section {
    let mut section = Section::new("words", "What the words mean");
    let mut pairs: Vec<Pair> =
        Ruling::ALL.iter().rev().map(|r| Pair::one(label(*r), format!("word.{r}"), order_means(*r))).collect();
    pairs.push(Pair::one(
        "Addresses",
        "word.address",
        "pack/3.7 is the seventh place on the third branch line of the area 'pack', counted as one looks up at the \
         ceiling from below, from the left; pack/3.1..3.6 are the places one to six of that line. The walk sheets show \
         where the lines of an area run.",
    ));
    section.blocks.push(Block::Pairs { pairs });
    section
}

const fn label(ruling: Ruling) -> &'static str {
    match ruling {
        Ruling::Keep => "Keep",
        Ruling::Watch => "Watch",
        Ruling::Look => "Look closely",
        Ruling::Clean => "Clean",
        Ruling::Correct => "Correct",
        Ruling::Test => "Test",
        Ruling::Replace => "Replace",
    }
}

/// What every summary says, whatever the rule set; one that says the same in the same words is not repeated.
pub(super) const CAUTIONS: [&str; 6] = [
    "This covers heads and what is around them, not valves, pipes, pumps or the water supply.",
    "A visual inspection from the floor cannot show that a head will operate.",
    "The adopted code and the authority having jurisdiction decide; these rules are paraphrased and may be overruled by them.",
    "Never touch, scrape, wash, wipe or paint a head to save it. A head that has been touched may open or fail later.",
    "Work on a live system is for licensed people under an impairment procedure.",
    "An inspection of condition is no review of the design.",
];

fn limits(scene: &Scene<'_>) -> Section {
    let mut section = Section::new("limits", "Limits of this inspection");
    let mut facts: Vec<Fact> =
        CAUTIONS.iter().enumerate().map(|(n, text)| fact(format!("caution.{}", n + 1), *text)).collect();
    for (n, text) in scene.set().cautions.iter().map(|c| sentence(c)).enumerate() {
        if !CAUTIONS.contains(&text.as_str()) {
            facts.push(fact(format!("caution.rules.{}", n + 1), text));
        }
    }
    section.blocks.push(Block::Items { numbered: false, facts });
    section
}

fn keeping(scene: &Scene<'_>) -> Section {
    let mut section = Section::new("keeping", "Keeping this record");
    let duties = &scene.set().retention;
    if duties.is_empty() {
        let text = "The adopted rule set does not say how long to keep this record. Ask the authority.";
        section.para("keeping.none", text);
        return section;
    }
    let facts = duties
        .iter()
        .enumerate()
        .map(|(n, d)| {
            let text = format!("{} ({}; {})", said(&d.text).trim_end_matches('.'), clause(&d.clause), said(&d.source));
            fact(format!("keeping.{}", n + 1), sentence(&text))
        })
        .collect();
    section.blocks.push(Block::Items { numbered: false, facts });
    section
}

/// What kind of record this was made from.
fn about(scene: &Scene<'_>) -> Section {
    let mut section = Section::new("about", "About the record");
    let state = scene.state;
    let (mut standing, mut taken, mut corrected, mut unlinked) = (0, 0, 0, 0);
    if let Some(round) = scene.round() {
        let mut writers: BTreeSet<&str> = BTreeSet::new();
        for (at, entry) in state.entries().iter().enumerate() {
            let first = writers.insert(&entry.by);
            if entry.round != round.name {
                continue;
            }
            let stands = u32::try_from(at).is_ok_and(|at| state.stands(EntryIx(at)));
            match &entry.what {
                What::Retract(_) => {}
                _ if stands => standing += 1,
                _ => taken += 1,
            }
            corrected += usize::from(stands && entry.instead().is_some());
            unlinked += usize::from(!first && entry.prev().is_none());
        }
    }
    let mut facts = vec![fact(
        "about.entries",
        format!(
            "Made from {} of this round. Taken back, and without effect: {}.",
            counted(standing, "entry", "entries"),
            counted(taken, "entry", "entries")
        ),
    )];
    if corrected > 0 {
        let n = counted(corrected, "entry corrects", "entries correct");
        facts.push(fact("about.corrected", format!("{n} another person's entry and takes its place.")));
    }
    if unlinked > 0 {
        let n = counted(unlinked, "entry does", "entries do");
        let text = format!(
            "{n} not name their writer's entry before: written by hand, or the first on another machine. \
             'headround check' names them."
        );
        facts.push(fact("about.unlinked", text));
    }
    section.blocks.push(Block::Items { numbered: false, facts });
    let labels = ["Entry", "What it says", "Why it has no effect"];
    let mut table = Table::new("about.problems", "Entries that the register does not bear out", 1, &labels);
    for problem in state.problems() {
        let Some(entry) = state.find_entry(problem.entry).and_then(|e| state.entry(e)) else { continue };
        if scene.round().is_none_or(|r| r.name != entry.round) {
            continue;
        }
        let id = format!("problem.{}.{}", entry.id, table.rows.len() + 1);
        table.row(vec![
            Cell::one(format!("{id}.entry"), entry.id.to_string()),
            Cell::one(format!("{id}.what"), scene.entry_line(state.find_entry(entry.id).unwrap_or(EntryIx(u32::MAX)))),
            Cell::one(format!("{id}.why"), sentence(&capital(&problem.why))),
        ]);
    }
    section.table(table);
    section
}

fn signoff(scene: &Scene<'_>) -> Section {
    let mut section = Section::new("signoff", "Sign-off");
    let signed = scene.round().and_then(|r| r.signoff.as_ref());
    if let Some((id, signoff)) = signed {
        let mut pairs = vec![Pair::one("Signed by", "signoff.name", said(&signoff.name))];
        let licence = said(&signoff.licence);
        let licence = if licence.is_empty() { "none given".to_owned() } else { licence };
        pairs.push(Pair::one("Licence", "signoff.licence", licence));
        pairs.push(Pair::one("Date", "signoff.date", day(signoff.date)));
        if let Some(entry) = scene.state.find_entry(*id).and_then(|e| scene.state.entry(e)) {
            pairs.push(Pair::one("Recorded", "signoff.recorded", scene.who_when(entry)));
        }
        if let Some(note) = signoff.note.as_deref().map(said).filter(|n| !n.is_empty()) {
            pairs.push(Pair::one("Note", "signoff.note", note));
        }
        pairs.push(Pair::one("Entry", "signoff.entry", id.to_string()));
        pairs.push(Pair::one("Digest", "signoff.digest", said(&signoff.digest)));
        let lines = format!("the register and {} of this round", counted_lines(signoff.lines));
        pairs.push(Pair::one("It covers", "signoff.lines", lines));
        section.blocks.push(Block::Pairs { pairs });
        section.para(
            "signoff.check",
            "To check that nothing was changed: 'headround check' with the site file works the digest out anew and names \
             any line that was changed, taken out or put in. By hand: docs/site-file.md gives the command (grep, sort and \
             sha256sum).",
        );
        section.para(
            "signoff.meaning",
            "The digest shows whether the record was altered. It does not take the place of a signature that the law asks \
             for.",
        );
    } else {
        let text = "DRAFT. This round is not signed. What stands above is not final and nobody has answered for it.";
        section.blocks.push(Block::Banner { tone: Tone::Draft, facts: vec![fact("signoff.draft", text)] });
    }
    section.blocks.push(Block::Blanks { labels: vec!["Inspector, signature", "Name and licence", "Date"] });
    section.para("signoff.owner", "Received by the owner or the owner's representative. Receipt is not agreement.");
    section.blocks.push(Block::Blanks { labels: vec!["Owner, signature", "Name", "Date"] });
    section
}

fn counted_lines(n: u64) -> String {
    counted(usize::try_from(n).unwrap_or(usize::MAX), "line", "lines")
}
