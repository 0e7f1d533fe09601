//! The list to carry when a sample is taken down: head by head in walking order, with what goes in its place and from which
//! cabinet, what must be shut off, and how a head is handled so that the test says something.
//!
//! Handling and the order of work are common practice, no source; work is for licensed people under the impairment procedure.

use chrono::NaiveDate;

use super::lots_words as words;
use super::phrases::{counted, day, heads, said, sentence};
use super::summary::{Block, Cell, Fact, Pair, Scene, Section, Summary, Table, Tone, fact};
use crate::round::act::heads_in_order;
use crate::round::layout::HeadIx;
use crate::round::lots::{Lot, Sample};
use crate::round::state::State;
use crate::round::stock::{self, Candidate, Ledger};
use crate::rules::duties::CabinetMatter;
use crate::rules::model::Ruling;
use crate::rules::spares::FitVerdict;
use crate::trade::address::AreaId;
use crate::trade::register::{KindIx, System};

/// The pull list of a lot; the day decides which spares have grown too old.
#[must_use]
pub fn document(state: &State, lot: &Lot, today: NaiveDate) -> Summary {
    let scene = Scene::of(state, today);
    let mut given = Given { state, ledger: stock::ledger(state), taken: Vec::new(), today };
    let order = walking_order(state, lot);
    let mut sections = Vec::new();
    let mut at = 0;
    let mut missing: Vec<KindIx> = Vec::new();
    while let Some(area) = order.get(at).and_then(|s| area_of(state, s)) {
        let n = order.iter().skip(at).take_while(|s| area_of(state, s) == Some(area)).count();
        let here = order.get(at..at + n).unwrap_or_default();
        at += n;
        sections.push(section(&scene, lot, area, here, &mut given, &mut missing));
    }
    sections.extend(to_order(&scene, &missing));
    sections.push(handling(state));
    sections.push(sign(&order));
    let site = scene.site_name();
    Summary::sheet(
        &format!("Pull list of lot {}, {site}", lot.id),
        head(&scene, lot),
        sections,
        "End of the pull list.",
    )
}

/// The drawn heads in the order in which one meets them.
pub(super) fn walking_order<'l>(state: &State, lot: &'l Lot) -> Vec<&'l Sample> {
    let mut list = Vec::new();
    for area in 0..state.register().areas.len() {
        let area = u16::try_from(area).unwrap_or(u16::MAX);
        if lot.samples.iter().any(|s| area_of(state, s) == Some(area)) {
            list.extend(heads_in_order(state, area).filter_map(|h| lot.sample_at(h)));
        }
    }
    // What is no longer there is not met; it was drawn all the same.
    let met: Vec<HeadIx> = list.iter().map(|s: &&Sample| s.head).collect();
    list.extend(lot.samples.iter().filter(|s| !met.contains(&s.head)));
    list.sort_by_key(|s| area_of(state, s));
    list
}

fn area_of(state: &State, sample: &Sample) -> Option<u16> {
    state.layout().head(sample.head).map(|h| h.area)
}

fn head(scene: &Scene<'_>, lot: &Lot) -> Vec<Block> {
    let site = &scene.state.register().site;
    let mut pairs = vec![Pair::one("Site", "site.name", scene.site_name())];
    if !site.place.is_empty() {
        pairs.push(Pair::one("Address", "site.place", said(&site.place)));
    }
    pairs.push(Pair::one("Lot", "lot", format!("{}, {}", words::name(lot), heads(lot.heads.len()))));
    pairs.push(Pair::one("Because of", "lot.why", words::why(scene.state, lot)));
    let hang = lot.samples.iter().filter(|s| s.taken.is_none()).count();
    let down = lot.samples.len() - hang;
    let down = if down > 0 { format!("; {down} down already") } else { String::new() };
    pairs.push(Pair::one("To take down", "lot.hang", format!("{}{down}", heads(hang))));
    pairs.push(Pair::one("Written", "made", day(scene.on)));
    let text = "Nothing is shut off or taken down before the impairment procedure runs: who must know knows, and what protects the \
                building meanwhile is in place. The work is for licensed people.";
    vec![Block::Pairs { pairs }, Block::Banner { tone: Tone::Notice, facts: vec![fact("procedure", text)] }]
}

fn section(
    scene: &Scene<'_>,
    lot: &Lot,
    area: u16,
    here: &[&Sample],
    given: &mut Given<'_>,
    missing: &mut Vec<KindIx>,
) -> Section {
    let id = format!("pull.{}", scene.area_id(area));
    let state = scene.state;
    let mut section = Section::new(id.clone(), format!("{}: {}", scene.area(area), heads(here.len())));
    if let Some(of) = scene.state.register().areas.get(usize::from(area)) {
        let text = format!("the {} system that feeds {}. {}", of.system, scene.area(area), before(of.system));
        let mut pairs = vec![Pair::one("Shut off", format!("{id}.system"), text)];
        if let Some(height) = of.height {
            pairs.push(Pair::one("Height", format!("{id}.height"), height.to_string()));
        }
        section.blocks.push(Block::Pairs { pairs });
    }
    let labels = ["Tag", "Head", "STOP", "Kind", "Put in", "From", "Done"];
    let mut table = Table::new(format!("{id}.heads"), "", 2, &labels);
    for sample in here {
        let n = lot.samples.iter().position(|s| s.head == sample.head).unwrap_or(0) + 1;
        let id = format!("pull.{n}");
        let address = scene.state.address(sample.head).map_or_else(String::new, |a| a.to_string());
        let (put, from, done) = match sample.taken {
            Some(_) => (Vec::new(), Vec::new(), format!("down: {}", scene.taken(sample))),
            None => {
                let (put, from) = replacement(scene, sample, given, missing, &id);
                (put, from, "[ ] down   [ ] new head in   [ ] tagged   day __________".to_owned())
            }
        };
        table.row(vec![
            Cell::one(format!("{id}.tag"), said(&sample.tag)),
            Cell::one(format!("{id}.head"), address),
            Cell::one(format!("{id}.stop"), stop(state, sample)),
            Cell::one(format!("{id}.kind"), scene.kind(sample.kind)),
            Cell::lines(put),
            Cell::lines(from),
            Cell::one(format!("{id}.done"), done),
        ]);
    }
    section.table(table);
    section
}

/// Why a head that hangs must not be taken down for the sample as it is; empty where nothing speaks against it.
fn stop(state: &State, sample: &Sample) -> &'static str {
    if sample.taken.is_some() {
        return "";
    }
    if state.failure(sample.head).is_some() {
        return "a failed test condemns it with its lot: it is replaced with the others";
    }
    match state.judgement(sample.head) {
        Some(j) if j.ruling > Ruling::Watch => {
            "something was found on it since it was drawn: it may not stand for the others until that is judged; ask first"
        }
        _ => "",
    }
}

/// What the kind of system asks of whoever opens it. Common practice, no source.
const fn before(system: System) -> &'static str {
    match system {
        System::Wet => "Drain it below the heads, and expect water that stays trapped in drops and low points.",
        System::Dry => "Let the air off and drain low points; water may stand in them and in the heads' barrels.",
        System::Preaction => "Have its detection made safe first, so that nothing admits water; then as a dry system.",
        System::Antifreeze => {
            "What is in it is not drained to the ground: catch it, and test and refill the loop after."
        }
        System::Deluge => "Have its detection and its valve made safe first.",
    }
}

/// What was given out already, so that one spare is not promised twice.
struct Given<'a> {
    state: &'a State,
    ledger: Ledger,
    taken: Vec<(AreaId, KindIx)>,
    today: NaiveDate,
}

impl Given<'_> {
    /// The best spare that is left for a head, and how many of it are there.
    fn best(&mut self, head: HeadIx) -> Option<(Candidate, u32)> {
        let list = stock::candidates(self.state, &self.ledger, head, self.today);
        let left = |c: &Candidate| {
            let gone =
                self.taken.iter().filter(|(cab, kind)| Some(cab) == c.cabinet.as_ref() && *kind == c.kind).count();
            c.there.saturating_sub(u32::try_from(gone).unwrap_or(u32::MAX))
        };
        let found = list.into_iter().filter(|c| c.verdict() < FitVerdict::Never);
        let (best, n) = found
            .map(|c| (left(&c), c))
            .filter(|(n, _)| *n > 0)
            .min_by_key(|(_, c)| (c.verdict(), !c.serves))
            .map(|(n, c)| (c, n))?;
        self.taken.extend(best.cabinet.clone().map(|cabinet| (cabinet, best.kind)));
        Some((best, n))
    }
}

fn replacement(
    scene: &Scene<'_>,
    sample: &Sample,
    given: &mut Given<'_>,
    missing: &mut Vec<KindIx>,
    id: &str,
) -> (Vec<Fact>, Vec<Fact>) {
    let Some((best, there)) = given.best(sample.head) else {
        missing.extend(scene.state.layout().head(sample.head).map(|h| h.kind));
        let text = "none there: order one before anything is shut off";
        return (vec![fact(format!("{id}.put"), text)], Vec::new());
    };
    let mut put = vec![fact(format!("{id}.put"), scene.kind(best.kind))];
    let words = match best.verdict() {
        FitVerdict::Same => "fits",
        FitVerdict::May => "may go in",
        FitVerdict::Ask | FitVerdict::Never => "ASK the designer or the authority first",
    };
    let reasons: Vec<String> = best.fit.reasons().iter().map(|r| said(r)).filter(|r| !r.is_empty()).collect();
    let text = if reasons.is_empty() { words.to_owned() } else { format!("{words}: {}", reasons.join("; ")) };
    put.push(fact(format!("{id}.fit"), text));
    let cabinet = best.cabinet.as_ref();
    let of = scene.state.register().cabinets.iter().find(|c| Some(&c.id) == cabinet);
    let from = of.map_or_else(String::new, |c| {
        let name = said(&c.name);
        let name = if name == c.id.as_str() { name } else { format!("{name} ({})", c.id) };
        let place = c.place.as_deref().map_or(String::new(), |p| format!(", {}", said(p)));
        let other = if best.serves { "" } else { "; it is not kept for this area" };
        format!("cabinet {name}{place}: {there} there{other}")
    });
    (put, vec![fact(format!("{id}.from"), from)])
}

/// What must be bought first.
fn to_order(scene: &Scene<'_>, missing: &[KindIx]) -> Option<Section> {
    if missing.is_empty() {
        return None;
    }
    let mut kinds = missing.to_vec();
    kinds.sort_unstable();
    kinds.dedup();
    let mut section = Section::new("pull.order", "To be bought first");
    let line = |kind: &KindIx| {
        let n = missing.iter().filter(|k| *k == kind).count();
        let text = format!("{n} to take the place of {}", scene.kind(*kind));
        fact(format!("pull.order.{}", scene.kind_word(*kind)), text)
    };
    section.blocks.push(Block::Items { numbered: false, facts: kinds.iter().map(line).collect() });
    section.para(
        "pull.order.caution",
        "What goes in must be listed and match the head it replaces; where no like head is made, the designer or the authority \
         decides.",
    );
    Some(section)
}

/// The most that a spare may get warm, by the set's words on cabinets.
pub(super) fn coolest(state: &State) -> Option<String> {
    let duty = state.judge().set().duties.cabinet.iter().find(|d| d.matter == CabinetMatter::Temperature)?;
    Some(duty.at_most?.show(state.register().site.units))
}

fn handling(state: &State) -> Section {
    let mut section = Section::new("pull.handling", "In this order, and with this care");
    let mut steps = vec![
        "Check that every replacement lies ready and fits before anything is shut off.".to_owned(),
        "Run the impairment procedure: tell those who must know, and set the watch that it asks for.".to_owned(),
        "Shut the valve, lock or guard it, and drain. Water trapped in drops and low points comes out with the head: keep \
         people and goods from below."
            .to_owned(),
        "Take down only the heads on this list. If one shows a defect from near by, stop and have it judged: it may not stand for \
         the others."
            .to_owned(),
    ];
    steps.extend(words::HANDLING.iter().map(|s| (*s).to_owned()));
    if let Some(most) = coolest(state) {
        steps.push(format!("Heads may not get warmer than spares in a cabinet: {most}."));
    }
    steps.push(
        "Put the new head in, fill slowly, look for leaks, open and seal the valve, and end the impairment.".to_owned(),
    );
    steps.push(
        "Record each replacement with the cabinet it came from; the list of the cabinet is put right too.".to_owned(),
    );
    let facts =
        steps.into_iter().enumerate().map(|(n, t)| fact(format!("pull.step.{}", n + 1), sentence(&t))).collect();
    section.blocks.push(Block::Items { numbered: true, facts });
    section
}

fn sign(order: &[&Sample]) -> Section {
    let mut section = Section::new("pull.sign", "When it is done");
    section
        .para("pull.sign.count", format!("Taken down: ____ of {}.", counted(order.len(), "drawn head", "drawn heads")));
    section.blocks.push(Block::Blanks {
        labels: vec!["Taken down by", "Licence", "Shut off, day and time", "Back on, day and time", "Signature"],
    });
    section
}
