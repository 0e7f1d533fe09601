//! The form that goes with a sample to the bench: what the heads are and where they hung, who had them, and to whom the results
//! go. What the register does not know is left blank for a pen.
//!
//! The fields are those that test laboratories and site records ask for; common practice, no source.

use chrono::NaiveDate;

use super::lots_words as words;
use super::phrases::{day, heads, said};
use super::summary::{Block, Cell, Pair, Scene, Section, Summary, Table, fact};
use crate::round::entry::Custody;
use crate::round::lots::{self, Lot};
use crate::round::state::State;
use crate::trade::register::Area;

/// Rows for a pen below what was recorded.
const MORE_STEPS: usize = 4;

/// The form of a lot.
#[must_use]
pub fn document(state: &State, lot: &Lot, today: NaiveDate) -> Summary {
    let scene = Scene::of(state, today);
    let sections = vec![whence(&scene, lot), sample(&scene, lot), hands(&scene, lot), results(&scene), care()];
    let title = format!("Chain of custody of lot {}, {}", lot.id, scene.site_name());
    Summary::sheet(&title, head(&scene, lot), sections, "End of the form.")
}

fn head(scene: &Scene<'_>, lot: &Lot) -> Vec<Block> {
    let site = &scene.state.register().site;
    let mut pairs = vec![Pair::one("Site", "site.name", scene.site_name())];
    pairs.push(Pair::one("Address", "site.place", filled(&said(&site.place))));
    pairs.push(Pair::one("Owner", "site.owner", filled(&site.owner.as_deref().map(said).unwrap_or_default())));
    pairs.push(Pair::one("Lot", "lot", words::name(lot)));
    pairs.push(Pair::one("Written", "made", day(scene.on)));
    vec![Block::Pairs { pairs }]
}

fn filled(text: &str) -> String {
    if text.is_empty() { "_".repeat(40) } else { text.to_owned() }
}

/// What the sample stands for and where it comes from.
fn whence(scene: &Scene<'_>, lot: &Lot) -> Section {
    let mut section = Section::new("custody.lot", "What the sample stands for");
    let mut pairs = vec![
        Pair::one("Lot size", "custody.size", heads(lot.heads.len())),
        Pair::one("Its heads", "custody.heads", scene.ranges(&lot.heads)),
        Pair::one("Sample asked", "custody.asked", words::asked(lot)),
    ];
    let draws: Vec<_> = lot
        .draws
        .iter()
        .enumerate()
        .filter_map(|(n, ix)| {
            let (_, it) = lots::drawn(scene.state, *ix)?;
            Some(fact(format!("custody.draw.{}", n + 1), words::drawn(it)))
        })
        .collect();
    if !draws.is_empty() {
        pairs.push(Pair { label: "Drawn", facts: draws });
    }
    pairs.push(Pair::one("Reason", "custody.why", words::why(scene.state, lot)));
    pairs.push(Pair::one(
        "Kind of test",
        "custody.kind",
        "[ ] routine, by age   [ ] diagnostic   [ ] other: ______________",
    ));
    pairs.push(Pair::one("Rules", "custody.rules", said(&scene.set().title)));
    let mut areas: Vec<u16> = lot.heads.iter().filter_map(|h| scene.state.layout().head(*h)).map(|h| h.area).collect();
    areas.sort_unstable();
    areas.dedup();
    let facts = areas
        .iter()
        .filter_map(|a| Some((*a, scene.state.register().areas.get(usize::from(*a))?)))
        .map(|(ix, area)| fact(format!("custody.area.{}", area.id), environment(scene, ix, area)))
        .collect();
    pairs.push(Pair { label: "Environment", facts });
    pairs.push(Pair::one(
        "Water pressure",
        "custody.pressure",
        "at the system: __________  at the highest head: __________",
    ));
    section.blocks.push(Block::Pairs { pairs });
    section
}

fn environment(scene: &Scene<'_>, ix: u16, area: &Area) -> String {
    let mut parts = vec![format!("{} system", area.system)];
    parts.extend(area.hazard.map(|h| format!("{h} hazard")));
    parts.extend(area.setting.iter().map(ToString::to_string));
    parts.extend(area.ceiling_max.map(|t| format!("ceiling up to {}", t.show(scene.units))));
    parts.push(
        area.in_service.map_or_else(|| "in service since ________".to_owned(), |d| format!("in service since {d}")),
    );
    format!("{}: {}", scene.area(ix), parts.join(", "))
}

fn sample(scene: &Scene<'_>, lot: &Lot) -> Section {
    let mut section = Section::new("custody.sample", format!("The sample: {}", heads(lot.samples.len())));
    let labels = ["Tag", "Hung at", "Kind", "Made", "Taken down", "Condition before"];
    let mut table = Table::new("custody.samples", "", 2, &labels);
    for (n, sample) in lot.samples.iter().enumerate() {
        let id = format!("custody.sample.{}", n + 1);
        let kind = scene.state.register().kind(sample.kind);
        let made = kind.and_then(|k| k.made).map_or_else(|| "________".to_owned(), |m| m.to_string());
        let number = kind.and_then(|k| k.number.as_deref()).map(said).filter(|n| !n.is_empty());
        let number = number.map_or(String::new(), |n| format!("; number {n}"));
        let entry = sample.taken.and_then(|ix| scene.state.entry(ix));
        let taken = entry.map_or_else(
            || "day __________  by ____________________".to_owned(),
            |e| format!("{}, recorded by {}", day(e.at.date_naive()), scene.person(&e.by)),
        );
        let address = scene.state.address(sample.head).map_or_else(String::new, |a| a.to_string());
        let before = sample.test.and_then(|ix| lots::tested(scene.state, ix)).and_then(|(_, t)| t.readings.before);
        let before = before.map_or_else(|| "_".repeat(24), |c| c.to_string());
        table.row(vec![
            Cell::one(format!("{id}.tag"), said(&sample.tag)),
            Cell::one(format!("{id}.head"), address),
            Cell::one(format!("{id}.kind"), format!("{}{number}", scene.kind(sample.kind))),
            Cell::one(format!("{id}.made"), made),
            Cell::one(format!("{id}.taken"), taken),
            Cell::one(format!("{id}.before"), before),
        ]);
    }
    section.table(table);
    if lot.samples.is_empty() {
        section.para("custody.sample.none", "Nothing is drawn yet.");
    }
    section
}

/// Who had it: what was recorded, then lines for a pen.
fn hands(scene: &Scene<'_>, lot: &Lot) -> Section {
    let mut section = Section::new("custody.hands", "From hand to hand");
    let labels = ["Step", "Day", "Which", "From", "To", "Note"];
    let mut table = Table::new("custody.steps", "Recorded so far", 2, &labels);
    for (n, (entry, it)) in lot.custody.iter().filter_map(|ix| lots::custody(scene.state, *ix)).enumerate() {
        let id = format!("custody.step.{}", n + 1);
        let on = it.on.unwrap_or_else(|| entry.at.date_naive());
        let text = |of: fn(&Custody) -> &Option<String>| of(it).as_deref().map(said).unwrap_or_default();
        table.row(vec![
            Cell::one(format!("{id}.what"), words::step(it.step)),
            Cell::one(format!("{id}.on"), day(on)),
            Cell::one(format!("{id}.which"), words::tags(it)),
            Cell::one(format!("{id}.from"), text(|c| &c.from)),
            Cell::one(format!("{id}.to"), text(|c| &c.to)),
            Cell::one(format!("{id}.note"), text(|c| &c.note)),
        ]);
    }
    if table.rows.is_empty() {
        section.para("custody.steps.none", "No step is recorded yet.");
    }
    section.table(table);
    section.para("custody.pen", "Each hand-over is signed by both, with the number of bags counted:");
    for _ in 0..MORE_STEPS {
        section.blocks.push(Block::Blanks { labels: vec!["Day and time, bags", "From, signature", "To, signature"] });
    }
    section
}

fn results(scene: &Scene<'_>) -> Section {
    let mut section = Section::new("custody.results", "Results");
    let text = "For each head by its tag: the conditions of the test, when the element operated, when the waterway cleared, the \
                water seal, the deflector, parts that lodged, and what was seen before. A head that does not open stays with the \
                bench until the owner and the authority have been told.";
    section.para("custody.results.lead", text);
    if let Some(rule) = words::failure_rule(scene.state) {
        section.para("custody.results.failure", super::phrases::sentence(&rule));
    }
    section.blocks.push(Block::Blanks {
        labels: vec!["Report to, name", "Address", "Telephone, e-mail", "Heads back, or scrapped"],
    });
    section
}

fn care() -> Section {
    let mut section = Section::new("custody.care", "Care on the way");
    let facts = words::HANDLING.iter().enumerate().map(|(n, t)| fact(format!("custody.care.{}", n + 1), *t)).collect();
    section.blocks.push(Block::Items { numbered: false, facts });
    section
}
