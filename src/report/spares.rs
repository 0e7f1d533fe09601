//! The spare cabinet: who counted it and when, what is asked for and held, what is wrong with it, and which heads were replaced
//! from it.

use std::collections::HashMap;

use super::phrases::{capital, clause, counted, day, heads, listed, said, sentence};
use super::stock::{CabinetLine, Made, Stock, TypeLine};
use super::summary::{Block, Cell, Fact, Pair, Scene, Section, Table, Tone, fact};
use crate::round::stock::Weight;
use crate::rules::duties::CabinetMatter;
use crate::rules::model::Confidence;
use crate::trade::address::AreaId;

/// The section; none where the register holds no cabinet and the rule set asks for no spares.
pub(super) fn section(scene: &Scene<'_>) -> Option<Section> {
    let stock = &scene.stock;
    if stock.is_silent() {
        return None;
    }
    let title = if stock.cabinets.len() > 1 { "Spare cabinets" } else { "Spare cabinet" };
    let mut section = Section::new("spares", title);
    if stock.cabinets.is_empty() {
        section.para(
            "spares.none",
            "No cabinet of spare heads is in the register. Whether there is one at the site was not recorded: the adopted rules \
             ask for spares.",
        );
    } else {
        let uncounted = stock.cabinets.iter().filter(|c| c.counted.is_none()).map(|c| c.cabinet.to_string());
        let in_part = stock.cabinets.iter().filter(|c| !c.left_out.is_empty());
        let in_part = in_part.map(|c| format!("{} of cabinet {}", listed(&c.left_out), c.cabinet));
        let uncounted: Vec<String> = uncounted.chain(in_part).collect();
        if !uncounted.is_empty() {
            let text = format!(
                "Not counted in this round: {}. What stands here of it is what was counted last and what was recorded since; \
                 nobody looked whether it is there.",
                listed(&uncounted)
            );
            let facts = vec![fact("spares.uncounted", text)];
            section.blocks.push(Block::Banner { tone: Tone::Notice, facts });
        }
    }
    section.blocks.push(asked(scene, stock));
    section.table(cabinets(scene, stock));
    section.table(types(stock));
    if stock.types.iter().any(|t| !t.known) && !stock.cabinets.is_empty() {
        section.para("spares.unknown", "'?' was never counted nor put in: nothing is known of it, which is not none.");
    }
    for (weight, caption) in [
        (Weight::Wrong, "Wrong with the spares"),
        (Weight::Open, "Not known, or not looked at in this round"),
        (Weight::Told, "To be known"),
    ] {
        section.table(findings(stock, weight, caption));
    }
    section.table(replaced(scene, stock));
    section.blocks.push(Block::Items { numbered: false, facts: cautions(scene) });
    Some(section)
}

/// For the front page: how the spares stand, in a line.
pub(super) fn in_short(scene: &Scene<'_>) -> Option<String> {
    let status = crate::round::stock::status(scene.state, scene.on)?;
    let title = if status.cabinets > 1 { "Spare cabinets" } else { "Spare cabinet" };
    Some(format!("{}; see '{title}'", status.words()))
}

fn number(n: u32) -> usize {
    usize::try_from(n).unwrap_or(usize::MAX)
}

fn marked(text: &str, confidence: Confidence) -> String {
    let clause = said(text);
    if clause.is_empty() { String::new() } else { format!("{clause} ({})", confidence.means()) }
}

/// What the reading that rules asks for, what is held, and what the other readings would ask for.
fn asked(scene: &Scene<'_>, stock: &Stock) -> Block {
    let mut pairs = Vec::new();
    match stock.readings.iter().find(|r| r.rules) {
        Some(r) => {
            let installed = heads(number(stock.installed));
            let text = format!("at least {} for {installed} installed: {}", r.total, said(&r.title));
            let because = sentence(&r.because);
            let basis = format!("{because} {}", capital(&sentence(&marked(&r.clause, r.confidence))));
            pairs.push(Pair {
                label: "Asked for",
                facts: vec![fact("spares.asked", text), fact("spares.asked.basis", basis)],
            });
        }
        None => {
            pairs.push(Pair::one("Asked for", "spares.asked", "the adopted rule set asks for no number of spares"));
        }
    }
    if !stock.cabinets.is_empty() {
        let text = format!("{} that may be used, of types that are installed", stock.held);
        pairs.push(Pair::one("Held", "spares.held", text));
    }
    if stock.short > 0 && !stock.cabinets.is_empty() {
        let types = stock.types.iter().filter(|t| t.short > 0).count();
        let types = match types {
            0 => String::new(),
            n => format!("; {} with too few of its own", counted(n, "type", "types")),
        };
        pairs.push(Pair::one("Short", "spares.short", format!("{}{types}", stock.short)));
    }
    let others: Vec<Fact> = stock
        .readings
        .iter()
        .filter(|r| !r.rules && r.applies)
        .map(|r| {
            let short =
                if r.short > 0 && !stock.cabinets.is_empty() { format!(", {} short", r.short) } else { String::new() };
            let text = format!("{}: {}{short} ({})", said(&r.title), r.total, clause(&r.clause));
            fact(format!("spares.reading.{}", r.reading), text)
        })
        .collect();
    if !others.is_empty() {
        pairs.push(Pair { label: "Other readings", facts: others });
    }
    if let Some(how) =
        scene.state.register().site.dry_restored.as_deref().filter(|_| stock.types.iter().any(|t| t.excused))
    {
        pairs.push(Pair::one(
            "Dry heads",
            "spares.dry",
            format!("service is restored without a spare of every length: {}", said(how)),
        ));
    }
    Block::Pairs { pairs }
}

fn when(scene: &Scene<'_>, made: &Made) -> String {
    format!("{}, {}", scene.person(&made.by), super::phrases::moment(made.at))
}

fn cabinets(scene: &Scene<'_>, stock: &Stock) -> Table {
    let mut table = Table::new("spares.cabinets", "", 1, &["Cabinet", "Where", "Counted", "Posted list"]);
    for it in &stock.cabinets {
        let id = format!("spares.cabinet.{}", it.cabinet);
        table.row(vec![
            Cell::one(format!("{id}.name"), cabinet_name(it)),
            Cell::lines(place(it, &id)),
            Cell::one(
                format!("{id}.counted"),
                match (&it.counted, &it.last_counted) {
                    (Some(made), _) if !it.left_out.is_empty() => format!("in part, by {}", when(scene, made)),
                    (Some(made), _) => format!("by {}", when(scene, made)),
                    (None, Some(made)) => format!("not in this round; last by {}", when(scene, made)),
                    (None, None) => "never".to_owned(),
                },
            ),
            Cell::one(format!("{id}.list"), list_words(it)),
        ]);
    }
    table
}

fn list_words(it: &CabinetLine) -> String {
    match it.list_of {
        Some(date) => format!("of {}", day(date)),
        None if it.kinds.iter().any(|k| k.listed.is_some()) => "as the register has it, without a date".to_owned(),
        None => "none recorded".to_owned(),
    }
}

fn cabinet_name(it: &CabinetLine) -> String {
    if it.name == it.cabinet.as_str() { it.name.clone() } else { format!("{} ({})", it.name, it.cabinet) }
}

fn place(it: &CabinetLine, id: &str) -> Vec<Fact> {
    let names: Vec<String> = it.serves.iter().map(AreaId::to_string).collect();
    let serves = if names.is_empty() { "for all areas".to_owned() } else { format!("for {}", listed(&names)) };
    let place = it.place.as_ref().map(|p| fact(format!("{id}.place"), p.clone()));
    place.into_iter().chain([fact(format!("{id}.serves"), serves)]).collect()
}

fn types(stock: &Stock) -> Table {
    let labels = ["Type", "#Installed", "#Asked", "#Planned", "#Held", "#Short", "#Over", "#Unfit"];
    let caption =
        "By type of head. Asked: the least. Planned: so that the total is met too. Held: those that may be used";
    let mut table = Table::new("spares.types", caption, 1, &labels);
    let known = |t: &TypeLine| if t.known { t.held.to_string() } else { "?".to_owned() };
    for t in &stock.types {
        let id = format!("spares.type.{}", t.kinds.first().map_or("", String::as_str));
        let cell = |key: &str, text: String| Cell::one(format!("{id}.{key}"), text);
        table.row(vec![
            cell("name", t.words.clone()),
            cell("installed", t.installed.to_string()),
            cell("asked", if t.excused { "-".to_owned() } else { t.required.to_string() }),
            cell("planned", t.planned.to_string()),
            cell("held", if stock.cabinets.is_empty() { "?".to_owned() } else { known(t) }),
            cell("short", t.short.to_string()),
            cell("over", t.over.to_string()),
            cell("unfit", t.unfit.to_string()),
        ]);
    }
    table
}

fn findings(stock: &Stock, weight: Weight, caption: &str) -> Table {
    let mut table = Table::new(format!("spares.{weight}"), caption, 2, &["Cabinet", "Finding", "What to do", "Clause"]);
    let mut met: HashMap<String, usize> = HashMap::new();
    for f in &stock.findings {
        let whose = f.cabinet.as_ref().map_or("site", AreaId::as_str);
        let key = format!("spares.finding.{whose}.{}", f.matter);
        let n = met.entry(key.clone()).or_default();
        *n += 1;
        let id = format!("{key}.{n}");
        if f.weight != weight {
            continue;
        }
        let whose = f.cabinet.as_ref().map_or_else(|| "all of them".to_owned(), AreaId::to_string);
        table.row(vec![
            Cell::one(format!("{id}.cabinet"), whose),
            Cell::one(format!("{id}.text"), sentence(&capital(&said(&f.text)))),
            Cell::one(format!("{id}.remedy"), sentence(&capital(&said(&f.remedy)))),
            Cell::one(format!("{id}.clause"), marked(&f.clause, f.confidence)),
        ]);
    }
    table
}

/// Heads replaced from a cabinet in this round.
fn replaced(scene: &Scene<'_>, stock: &Stock) -> Table {
    let caption = "Replaced from a cabinet in this round";
    let mut table = Table::new("spares.replaced", caption, 1, &["Heads", "By", "Cabinet", "Recorded"]);
    for it in &stock.cabinets {
        for r in it.replaced.iter().filter(|r| r.now) {
            let id = format!("spares.replaced.{}", r.made.entry);
            table.row(vec![
                Cell::one(format!("{id}.heads"), r.heads.to_string()),
                Cell::one(format!("{id}.kind"), r.kind.clone()),
                Cell::one(format!("{id}.cabinet"), it.cabinet.to_string()),
                Cell::one(format!("{id}.by"), when(scene, &r.made)),
            ]);
        }
    }
    table
}

fn cautions(scene: &Scene<'_>) -> Vec<Fact> {
    let refill = scene.set().duties.cabinet.iter().find(|d| d.matter == CabinetMatter::Refill);
    let refill = refill.map_or_else(|| "What was taken is put back at once.".to_owned(), |d| sentence(&d.text));
    let list = [
        "A count says how many heads lie there, and not that they will operate.".to_owned(),
        "A head that was installed once, was dropped or painted, or lay without its cap is never used.".to_owned(),
        "A spare takes the place of a head that it agrees with in orientation, response, rating, K-factor, listing, thread and \
         length; what differs is for whoever answers for the design."
            .to_owned(),
        refill,
    ];
    list.into_iter().enumerate().map(|(n, text)| fact(format!("spares.caution.{}", n + 1), text)).collect()
}
