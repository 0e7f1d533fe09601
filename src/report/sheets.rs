//! Blank walk sheets of areas, for paper: each branch line as one looks up at it, a box a head, what may be written in it,
//! the findings to look at again, and room for notes. Nothing of the present round is filled in.

use std::collections::HashSet;

use chrono::NaiveDate;

use super::lines::{ascii, cut, left, right, width, wrap};
use super::phrases::{counted, day, heads, said};
use crate::round::layout::{HeadIx, Slot};
use crate::round::rulings::{self, Became, RulingRow, Standing};
use crate::round::state::State;
use crate::rules::model::{RuleSet, Seen};
use crate::trade::kind::Element;
use crate::trade::register::{Area, KindIx};

/// How the sheets are laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Paper {
    /// Lines of a page, 30 at least.
    pub lines: usize,
    /// Whether only ASCII may appear.
    pub ascii: bool,
    /// Whether pages are parted by a form feed, or by a line across.
    pub form_feed: bool,
}

impl Default for Paper {
    /// 60 lines fit US Letter and A4 at six lines an inch, with a margin.
    fn default() -> Self {
        Self { lines: 60, ascii: false, form_feed: true }
    }
}

pub(super) const COLUMNS: usize = 80;
/// Columns before the first head of a line.
const MARGIN: usize = 8;
/// Columns of a head.
const BOX: usize = 6;

/// The sheets of these areas, by index, one after the other; none named: of all. Ages are counted up to the day `on`.
#[must_use]
pub fn render(state: &State, areas: &[u16], on: NaiveDate, paper: Paper) -> String {
    let all: Vec<u16> = (0..state.register().areas.len()).filter_map(|n| u16::try_from(n).ok()).collect();
    let wanted = if areas.is_empty() { &all } else { areas };
    let rows = rulings::rows(state, on);
    let mut pages = Vec::new();
    for area in wanted {
        pages.extend(sheet(state, *area, &rows, paper));
    }
    bound(&pages, paper)
}

/// Pages one after the other, parted as the paper asks.
pub(super) fn bound(pages: &[Vec<String>], paper: Paper) -> String {
    let mut out = String::new();
    for (n, page) in pages.iter().enumerate() {
        if n > 0 {
            out.push_str(if paper.form_feed { "\u{c}" } else { "\n" });
        }
        for line in page {
            let line = if paper.ascii { ascii(line) } else { line.clone() };
            out.push_str(line.trim_end());
            out.push('\n');
        }
        if !paper.form_feed && n + 1 < pages.len() {
            out.push_str(&"=".repeat(COLUMNS));
            out.push('\n');
        }
    }
    out
}

/// The pages of an area.
fn sheet(state: &State, area_ix: u16, rows: &[RulingRow], paper: Paper) -> Vec<Vec<String>> {
    let Some(area) = state.register().areas.get(usize::from(area_ix)) else { return Vec::new() };
    let known = known(state, area_ix, rows);
    let kinds = kinds(state, area_ix);
    let marked = known.iter().map(|(h, _)| *h).collect();
    let mut blocks = vec![legend(state.judge().set()), kind_lines(state, &kinds)];
    for (number, row) in state.layout().rows(area_ix).iter().enumerate() {
        blocks.extend(line_blocks(state, number + 1, &row.slots, &kinds, &marked));
    }
    blocks.extend(known_lines(&known));
    let header = header(state, area, area_ix);
    let room = paper.lines.max(30).saturating_sub(header.len() + 2);
    let mut bodies = flow(blocks, room);
    add_notes(&mut bodies, room);
    let count = bodies.len();
    bodies
        .into_iter()
        .enumerate()
        .map(|(n, body)| {
            let right_side = format!("sheet {} of {count}", n + 1);
            let name =
                cut(&format!("WALK SHEET  {}", said(&state.register().site.name)), COLUMNS - right_side.len() - 2);
            let mut page = vec![format!("{}{right_side}", left(&name, COLUMNS - right_side.len()))];
            page.extend(header.iter().cloned());
            page.push("-".repeat(COLUMNS));
            page.extend(body);
            page
        })
        .collect()
}

fn header(state: &State, area: &Area, area_ix: u16) -> Vec<String> {
    let units = state.register().site.units;
    let mut facts = vec![format!("{} system", area.system)];
    facts.extend(area.setting.iter().map(ToString::to_string));
    if let Some(max) = area.ceiling_max {
        facts.push(format!("ceiling up to {}", max.show(units)));
    }
    let lines = state.layout().rows(area_ix).len();
    facts.push(format!("{} on {}", heads(state.area_counts(area_ix).heads), counted(lines, "line", "lines")));
    let mut out = wrap(&format!("{} ({}): {}", said(&area.name), area.id, facts.join(", ")), COLUMNS);
    out.truncate(4);
    let round =
        state.present_round().filter(|r| !r.is_signed()).map(|r| format!("{}, {}", said(&r.name), day(r.date())));
    let blank =
        |label: &str, columns: usize| format!("{label} {}", "_".repeat(columns.saturating_sub(label.len() + 1)));
    out.push(String::new());
    if let Some(round) = round {
        out.push(cut(&format!("Round {round}"), COLUMNS));
        out.push(format!("{}  {}", blank("Day", 26), blank("Inspector", 52)));
    } else {
        out.push(format!("{}  {}  {}", blank("Round", 20), blank("Day", 20), blank("Inspector", 36)));
    }
    out
}

fn legend(set: &RuleSet) -> Vec<String> {
    let mut out = wrap(
        "A head that was looked at and shows nothing gets a tick. Otherwise write the letter of the sign, the digit of the \
         part and the letter of the extent. Write ? where it cannot be judged and X where it was not reached, and say why \
         under notes. An empty box means that nobody looked. Look only: never touch a head.",
        COLUMNS,
    );
    let mut list = |label: &str, words: Vec<String>| {
        let start = left(label, 9);
        let mut line = String::new();
        let mut first = true;
        for word in words {
            if !line.is_empty() && width(&line) + 3 + width(&word) > COLUMNS - 9 {
                out.push(format!("{}{line}", if first { start.as_str() } else { "         " }));
                first = false;
                line.clear();
            }
            if !line.is_empty() {
                line.push_str("   ");
            }
            line.push_str(&cut(&word, COLUMNS - 9));
        }
        if !line.is_empty() {
            out.push(format!("{}{line}", if first { start.as_str() } else { "         " }));
        }
    };
    let signs = set.signs.iter().filter(|s| s.seen == Seen::Eye);
    list("Signs", signs.map(|s| s.key.map_or_else(|| said(&s.name), |k| format!("{k} {}", said(&s.name)))).collect());
    list("Parts", set.parts.iter().enumerate().map(|(n, p)| format!("{} {}", n + 1, said(&p.name))).collect());
    list(
        "Extents",
        set.extents.iter().map(|e| format!("{} {}", e.id.chars().next().unwrap_or(' '), said(&e.name))).collect(),
    );
    out.push(String::new());
    out
}

/// The kinds that hang in an area, in the register's order.
fn kinds(state: &State, area: u16) -> Vec<KindIx> {
    let mut kinds: Vec<KindIx> =
        crate::round::act::heads_in_order(state, area).filter_map(|h| state.layout().head(h).map(|h| h.kind)).collect();
    kinds.sort_unstable();
    kinds.dedup();
    kinds
}

/// `A` to `Z`, then `AA` and so on.
fn letters(mut n: usize) -> String {
    let mut out = String::new();
    loop {
        let letter = u8::try_from(n % 26).map_or('?', |l| char::from(b'A' + l));
        out.insert(0, letter);
        if n < 26 {
            return out;
        }
        n = n / 26 - 1;
    }
}

fn kind_lines(state: &State, kinds: &[KindIx]) -> Vec<String> {
    let units = state.register().site.units;
    let mut out = Vec::new();
    for (n, kind) in kinds.iter().filter_map(|k| state.register().kind(*k)).enumerate() {
        let label = if n == 0 { "Kinds" } else { "" };
        let made = kind.made.map_or_else(String::new, |m| format!(", made {m}"));
        let of = if kind.element == Element::Bulb { "bulb" } else { "frame" };
        let colour = kind.colour().map_or_else(String::new, |c| format!(", {c} {of}"));
        let text = said(&format!("{}: {}{colour}{made}", kind.id, kind.describe(units)));
        let mark = format!("{}{}  ", left(label, 9), letters(n));
        for (at, line) in wrap(&text, COLUMNS - mark.len()).iter().enumerate() {
            out.push(if at == 0 { format!("{mark}{line}") } else { format!("{}{line}", " ".repeat(mark.len())) });
        }
    }
    out.push(String::new());
    out
}

/// One line of heads, in blocks as wide as the paper.
fn line_blocks(
    state: &State,
    number: usize,
    slots: &[Slot],
    kinds: &[KindIx],
    known: &HashSet<HeadIx>,
) -> Vec<Vec<String>> {
    let across = (COLUMNS - MARGIN) / BOX;
    let mut blocks = Vec::new();
    for (n, chunk) in slots.chunks(across).enumerate() {
        let label = if n == 0 { format!("Line {number}") } else { "  ...".to_owned() };
        let mut places = left(&cut(&label, MARGIN), MARGIN);
        let (mut boxes, mut below) = (" ".repeat(MARGIN), " ".repeat(MARGIN));
        for slot in chunk {
            let head = match slot {
                Slot::Head(ix) => state.layout().head(*ix).filter(|h| !h.removed).map(|h| (*ix, h)),
                Slot::Gap(_) => None,
            };
            let Some((ix, head)) = head else {
                places.push_str(&" ".repeat(BOX));
                boxes.push_str(&left("  -", BOX));
                below.push_str(&" ".repeat(BOX));
                continue;
            };
            let marked = known.contains(&ix);
            let kind = kinds.iter().position(|k| *k == head.kind).map_or_else(String::new, letters);
            places.push_str(&left(&right(&head.spot.place.to_string(), 3), BOX));
            boxes.push_str("[   ] ");
            below.push_str(&left(&format!("  {kind}{}", if marked { "*" } else { "" }), BOX));
        }
        blocks.push(vec![places, boxes, below, String::new()]);
    }
    blocks
}

/// Findings that want another look: those of earlier rounds without an answer and those that are open now.
fn known(state: &State, area: u16, rows: &[RulingRow]) -> Vec<(HeadIx, String)> {
    let set = state.judge().set();
    let name = |sign: &str, part: &str, extent: &str| {
        let sign_name = set.sign(sign).and_then(|s| set.sign_at(s)).map_or(sign, |s| &s.name);
        let part_name = set.part(part).and_then(|p| set.part_at(p)).map_or(part, |p| &p.name);
        let extent_name = set.extent(extent).and_then(|e| set.extent_at(e)).map_or(extent, |e| &e.name);
        said(&format!("{sign_name}, {part_name}, {extent_name}"))
    };
    let mut list = Vec::new();
    for row in rows.iter().filter(|r| r.area_ix == area) {
        for carried in row.carried.iter().filter(|c| matches!(c.state, Standing::Unanswered | Standing::SaidFixed)) {
            let state_words =
                if carried.state == Standing::SaidFixed { "; said to be mended, not verified" } else { "" };
            let text = format!(
                "{}  {}; since {}{state_words}",
                row.head,
                name(&carried.sign, &carried.part, &carried.extent),
                carried.first_on
            );
            list.push((row.ix, text));
        }
        for open in row.recorded.iter().filter(|r| r.fate == Became::Open && r.unsure.is_none()) {
            let (Some(part), Some(extent)) = (&open.part, &open.extent) else { continue };
            let on = state.entry(open.first).map_or_else(String::new, |e| e.at.date_naive().to_string());
            let text = format!("{}  {}; since {on}", row.head, name(&open.sign, part, extent));
            list.push((row.ix, text));
        }
    }
    list
}

fn known_lines(known: &[(HeadIx, String)]) -> Vec<Vec<String>> {
    if known.is_empty() {
        return Vec::new();
    }
    let mut blocks = Vec::new();
    for (n, (_, text)) in known.iter().enumerate() {
        let mut block = Vec::new();
        if n == 0 {
            block.push("* Look again at these, and write: S still there, W worse, G gone".to_owned());
        }
        let mut lines = wrap(text, COLUMNS - 10).into_iter();
        if let Some(first) = lines.next() {
            block.push(format!("[   ]   {first}"));
        }
        block.extend(lines.map(|l| format!("          {l}")));
        if n + 1 == known.len() {
            block.push(String::new());
        }
        blocks.push(block);
    }
    blocks
}

/// Blocks on pages; a block stays together unless it is longer than a page.
pub(super) fn flow(blocks: Vec<Vec<String>>, room: usize) -> Vec<Vec<String>> {
    let mut pages: Vec<Vec<String>> = vec![Vec::new()];
    for block in blocks {
        let fits = |used: usize| used + block.len() <= room;
        if pages.last().is_some_and(|p| !p.is_empty() && !fits(p.len())) && block.len() <= room {
            pages.push(Vec::new());
        }
        for line in block {
            if pages.last().is_none_or(|p| p.len() >= room) {
                pages.push(Vec::new());
            }
            if let Some(page) = pages.last_mut() {
                page.push(line);
            }
        }
    }
    pages
}

/// Ruled lines for notes on what is left of the last page, or on a page of their own.
fn add_notes(pages: &mut Vec<Vec<String>>, room: usize) {
    if pages.last().is_none_or(|p| p.len() + 9 > room) {
        pages.push(Vec::new());
    }
    if let Some(page) = pages.last_mut() {
        page.push("Notes: head, what, why".to_owned());
        while page.len() + 2 <= room {
            page.push(String::new());
            page.push("_".repeat(COLUMNS));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_have_letters_of_their_own_however_many() {
        let all: std::collections::BTreeSet<String> = (0..800).map(letters).collect();
        assert_eq!(all.len(), 800);
        assert_eq!([letters(0), letters(25), letters(26), letters(701)], ["A", "Z", "AA", "ZZ"]);
    }
}
