//! Tags to cut out, one a drawn head: they go on its bag, and say where it hung and what it is. Two stand side by side, and none
//! is parted by the end of a page.

use chrono::NaiveDate;

use super::lines::{cut, left, width, wrap};
use super::lots_words as words;
use super::phrases::{day, heads, said};
use super::pull_list::{coolest, walking_order};
use super::sheets::{COLUMNS, Paper, bound, flow};
use super::summary::{Block, Pair, Scene, Section, Summary};
use crate::round::lots::{Lot, Sample};
use crate::round::state::State;

/// Columns of a tag, its edges among them.
const TAG: usize = 39;
/// Columns of a label within it.
const LABEL: usize = 10;

/// What a tag says: a label and its text, in the order of the tag.
fn lines(scene: &Scene<'_>, lot: &Lot, sample: &Sample) -> Vec<(&'static str, String)> {
    let state = scene.state;
    let register = state.register();
    let there = state.layout().head(sample.head);
    let area = there.and_then(|h| register.areas.get(usize::from(h.area)));
    let address = state.address(sample.head).map_or_else(String::new, |a| a.to_string());
    let place = there.map_or_else(String::new, |h| scene.area(h.area));
    let mut list = vec![
        ("Tag", said(&sample.tag)),
        ("Site", scene.site_name()),
        ("Hung at", address),
        ("Area", place),
        ("Lot", format!("{}, {}", lot.id, heads(lot.heads.len()))),
    ];
    if let Some(kind) = register.kind(sample.kind) {
        let units = scene.units;
        list.push(("Kind", said(&kind.describe(units))));
        list.push(("Rating", kind.rating.show(units)));
        list.push(("Response", kind.response.to_string()));
        list.push(("K-factor", kind.k.show(units)));
        list.push(("Made", kind.made.map_or_else(|| "________".to_owned(), |m| m.to_string())));
        list.push((
            "Number",
            kind.number.as_deref().map(said).filter(|n| !n.is_empty()).unwrap_or_else(|| "_".repeat(16)),
        ));
    }
    let since = area.and_then(|a| a.in_service).map_or_else(|| "________".to_owned(), |d| d.to_string());
    list.push(("In service", since));
    let taken = sample.taken.and_then(|ix| state.entry(ix));
    list.push(("Down on", taken.map_or_else(|| "_".repeat(16), |e| day(e.at.date_naive()))));
    list.push(("By", taken.map_or_else(|| "_".repeat(24), |e| scene.person(&e.by))));
    list
}

/// What every tag ends with.
fn foot(state: &State) -> String {
    let cool = coolest(state).map_or_else(|| "Keep it cool.".to_owned(), |most| format!("Keep it below {most}."));
    format!("Do not clean, knock or refit. {cool} Mark the bag, not the head.")
}

/// The tags of a lot on paper, in walking order.
#[must_use]
pub fn render(state: &State, lot: &Lot, today: NaiveDate, paper: Paper) -> String {
    let scene = Scene::of(state, today);
    let order = walking_order(state, lot);
    let title = cut(&format!("TAGS OF LOT {}  {}", lot.id, scene.site_name()), COLUMNS);
    let mut blocks: Vec<Vec<String>> = Vec::new();
    for pair in order.chunks(2) {
        let tags: Vec<Vec<String>> = pair.iter().map(|s| boxed(&scene, lot, s)).collect();
        let tall = tags.iter().map(Vec::len).max().unwrap_or(0);
        let row = |n: usize| {
            let parts: Vec<String> = tags.iter().map(|t| part(t, n, tall)).collect();
            parts.join("  ")
        };
        let mut block: Vec<String> = (0..tall).map(row).collect();
        block.push(String::new());
        blocks.push(block);
    }
    if blocks.is_empty() {
        blocks.push(vec!["Nothing is drawn of this lot yet.".to_owned()]);
    }
    let room = paper.lines.max(30).saturating_sub(2);
    let page = |body: Vec<String>| {
        let mut page = vec![title.clone(), String::new()];
        page.extend(body);
        page
    };
    let pages: Vec<Vec<String>> = flow(blocks, room).into_iter().map(page).collect();
    bound(&pages, paper)
}

fn edge() -> String {
    format!("+{}+", "- ".repeat(TAG).chars().take(TAG - 2).collect::<String>())
}

fn inside(text: &str) -> String {
    format!("| {} |", left(&cut(text, TAG - 4), TAG - 4))
}

/// A line of a tag; the shorter of two is filled up above its lower edge.
fn part(tag: &[String], n: usize, tall: usize) -> String {
    let missing = tall.saturating_sub(tag.len());
    let last = tag.len().saturating_sub(1);
    let at = if n < last {
        Some(n)
    } else if n < last + missing {
        None
    } else {
        Some(n - missing)
    };
    at.map_or_else(|| inside(""), |at| tag.get(at).cloned().unwrap_or_default())
}

/// The most lines of one fact on a tag.
const MOST_LINES: usize = 3;

fn boxed(scene: &Scene<'_>, lot: &Lot, sample: &Sample) -> Vec<String> {
    let mut out = vec![edge()];
    for (label, text) in lines(scene, lot, sample) {
        for (n, line) in wrap(&text, TAG - 4 - LABEL - 1).iter().take(MOST_LINES).enumerate() {
            let label = if n == 0 { label } else { "" };
            out.push(inside(&format!("{} {line}", left(label, LABEL))));
        }
    }
    out.push(inside(""));
    out.extend(wrap(&foot(scene.state), TAG - 4).iter().map(|l| inside(l)));
    out.push(edge());
    debug_assert!(out.iter().all(|l| width(l) == TAG), "a tag has straight edges");
    out
}

/// The tags of a lot as a document, a section each.
#[must_use]
pub fn document(state: &State, lot: &Lot, today: NaiveDate) -> Summary {
    let scene = Scene::of(state, today);
    let section = |(n, sample): (usize, &Sample)| {
        let id = format!("tag.{}", n + 1);
        let mut section = Section::new(id.clone(), format!("Tag {}", said(&sample.tag)));
        let pairs = lines(&scene, lot, sample)
            .into_iter()
            .map(|(label, text)| Pair::one(label, format!("{id}.{}", label.to_lowercase().replace(' ', "-")), text))
            .collect();
        section.blocks.push(Block::Pairs { pairs });
        section.para(format!("{id}.care"), foot(state));
        section
    };
    let sections = walking_order(state, lot).into_iter().enumerate().map(section).collect();
    let pairs = vec![Pair::one("Lot", "lot", words::name(lot)), Pair::one("Written", "made", day(scene.on))];
    let title = format!("Tags of lot {}, {}", lot.id, scene.site_name());
    Summary::sheet(&title, vec![Block::Pairs { pairs }], sections, "End of the tags.")
}
