//! What is ruled on the head one stands at: the ruling's word, class and clause on a line of their own, and below it what
//! was seen, why it matters, what to do, who said so, and what earlier rounds left open.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

use super::walk_draw::{Rooms, Scene};
use super::walk_head;
use super::walk_words::{cell_state, saw_besides, saw_words, short_words};
use crate::round::entry::{Entry, What};
use crate::round::lots::{condemnation, no_replacement};
use crate::round::state::{EntryIx, Status};
use crate::round::story::{Answer, Carried, Fate, Finding};
use crate::rules::judge::Judgement;
use crate::rules::model::{Class, Rule, Ruling};
use crate::tui::chrome::put;
use crate::tui::text;

/// A paragraph of the block. Those with the least `need` keep their rows longest.
struct Item {
    label: &'static str,
    words: String,
    style: Style,
    need: u8,
}

/// Draws the line with the ruling and the block below it.
pub fn draw(scene: &Scene<'_>, rooms: &Rooms, buf: &mut Buffer) {
    if rooms.tight {
        walk_head::one_line(scene, rooms.rule, buf);
    } else {
        rule_line(scene, rooms.rule, rooms.history, buf);
    }
    let items = items(scene, rooms.tight);
    paragraphs(scene, &items, rooms.ruling, buf);
    history(scene, rooms.history, buf);
}

/// The judgement that the head's ruling comes from.
fn leading(scene: &Scene<'_>) -> Option<Judgement> {
    let state = scene.ground.state;
    let standing = state.standing(scene.head).filter(|j| !state.judge().reasons(*j).is_empty());
    let own = state.judgement(scene.head);
    match own {
        Some(own) if !state.judge().reasons(own).is_empty() => Some(own),
        _ => standing.filter(|_| state.status(scene.head) == Status::Seen).or(own),
    }
}

fn first_rule<'a>(scene: &Scene<'a>, judgement: Judgement) -> Option<&'a Rule> {
    let judge = scene.ground.state.judge();
    judge.reasons(judgement).first().and_then(|r| judge.set().rule_at(*r))
}

/// A horizontal line with the ruling set into it: `── ✗ replace · critical · 5.2.1.1.1(4) ────`.
fn rule_line(scene: &Scene<'_>, row: Rect, history: Rect, buf: &mut Buffer) {
    let view = scene.view;
    let dot = view.glyphs.dot;
    line(scene, row, buf);
    let state = scene.ground.state;
    let cell = cell_state(state, scene.head);
    let condemned = condemnation(state, scene.head);
    let by_test = condemned.as_ref().filter(|c| state.judgement(scene.head) == Some(c.judgement));
    let judged = leading(scene).filter(|j| by_test.is_some() || first_rule(scene, *j).is_some());
    let mut at;
    match judged {
        Some(judgement) => {
            let style = view.theme.ruling_style(judgement.ruling);
            let word = judgement.ruling.as_str().to_uppercase();
            at = put(buf, row, 2, &format!(" {} {word}", view.glyphs.ruling(judgement.ruling)), style, view);
            if let Some(class) = judgement.class {
                at = put(buf, row, at, &format!(" {dot} "), view.theme.dim, view);
                at = put(buf, row, at, class.as_str(), view.theme.class_style(class), view);
            }
            let clause = by_test.map(|c| c.clause).or_else(|| first_rule(scene, judgement).map(|r| r.clause.as_str()));
            if let Some(clause) = clause {
                at = put(buf, row, at, &format!(" {dot} {}", text::plain(clause)), view.theme.text, view);
            }
        }
        None => {
            let words = format!(" {} {}", cell.glyph(view.glyphs), cell.word());
            at = put(buf, row, 2, &words, cell.style(view.theme), view);
        }
    }
    put(buf, row, at, " ", view.theme.text, view);
    if history.width > 0 {
        put(buf, row, history.x - row.x, " history ", view.theme.dim, view);
    }
}

/// An empty line across the screen.
pub fn line(scene: &Scene<'_>, row: Rect, buf: &mut Buffer) {
    let across = scene.view.glyphs.rule.repeat(usize::from(row.width));
    put(buf, row, 0, &across, scene.view.theme.border, scene.view);
}

fn items(scene: &Scene<'_>, tight: bool) -> Vec<Item> {
    let mut items = Vec::new();
    let state = scene.ground.state;
    let theme = scene.view.theme;
    let story = &scene.story;
    if state.has_disagreement(scene.head) {
        let words = format!("people disagree: {}; the menu settles it (Enter)", opinions(scene));
        items.push(Item { label: "", words, style: theme.disagreement, need: 0 });
    }
    if let Some(words) = no_replacement(state, scene.head) {
        items.push(Item { label: "sample", words, style: theme.warning, need: 0 });
    }
    let condemned = condemnation(state, scene.head);
    if let Some(it) = &condemned {
        let ruled = format!("{}: {} ({})", it.words, it.judgement.ruling, text::plain(it.clause));
        let style = theme.ruling_style(it.judgement.ruling);
        items.push(Item { label: "test", words: ruled, style, need: 0 });
        items.push(Item { label: "why", words: text::plain(it.because), style: theme.text, need: 3 });
    }
    for carried in story.carried.iter().filter(|c| c.answer == Answer::Open) {
        items.push(Item { label: "earlier", words: earlier_words(scene, carried), style: theme.carried, need: 0 });
    }
    let lead = story.leading();
    if let Some(finding) = lead {
        items.push(Item { label: "seen", words: seen_words(scene, finding), style: theme.accent, need: 0 });
    } else if let Some(entry) = story.unsure.or(story.unreached).and_then(|ix| state.entry(ix)) {
        let words = format!("{}, {}", full_words(scene, entry), by_words(scene, entry));
        items.push(Item { label: "", words, style: theme.accent, need: 0 });
        if let What::Unreached(x) = &entry.what
            && let Some(excuse) = state.judge().set().excuse(x.why.as_str())
        {
            items.push(Item { label: "why", words: text::plain(&excuse.because), style: theme.text, need: 1 });
        }
    } else if items.is_empty() || (items.iter().all(|i| matches!(i.label, "sample" | "test" | "why"))) {
        items.push(quiet_item(scene));
    }
    let leads = leading(scene);
    if let Some(judgement) = leads {
        reasons(scene, judgement, tight, &mut items);
    }
    if state.status(scene.head) == Status::Seen
        && let Some(standing) = state.standing(scene.head).filter(|s| leads != Some(*s))
    {
        by_register(scene, standing, &mut items);
    }
    for finding in &story.findings {
        let led = lead.is_some_and(|l| l.entry == finding.entry);
        if !led {
            items.push(Item { label: "also", words: also_words(scene, finding), style: theme.text, need: 4 });
        }
    }
    for carried in story.carried.iter().filter(|c| c.answer != Answer::Open) {
        items.push(Item { label: "earlier", words: earlier_words(scene, carried), style: theme.dim, need: 5 });
    }
    for entry in story.notes.iter().rev().filter_map(|ix| state.entry(*ix)) {
        if let What::Note(note) = &entry.what {
            let words = format!("{} ({})", text::plain(&note.text), by_words(scene, entry));
            items.push(Item { label: "note", words, style: theme.text, need: 3 });
        }
    }
    for entry in story.deeds.iter().filter_map(|ix| state.entry(*ix)) {
        let words = format!("{}, {}", short_words(state, entry), by_words(scene, entry));
        items.push(Item { label: "done", words, style: theme.good, need: 3 });
    }
    items
}

/// The rules that spoke: the first with its reason and remedy, the others by name.
fn reasons(scene: &Scene<'_>, judgement: Judgement, tight: bool, items: &mut Vec<Item>) {
    let theme = scene.view.theme;
    let judge = scene.ground.state.judge();
    let mut rules = judge.reasons(judgement).iter().filter_map(|r| judge.set().rule_at(*r));
    let Some(rule) = rules.next() else { return };
    if tight {
        let mut head = vec![judgement.ruling.as_str().to_uppercase()];
        head.extend(judgement.class.map(|c| c.to_string()));
        head.push(text::plain(&rule.clause));
        let style = theme.ruling_style(judgement.ruling);
        items.insert(0, Item { label: "", words: head.join(", "), style, need: 0 });
    }
    items.push(Item { label: "why", words: text::plain(&rule.because), style: theme.text, need: 2 });
    items.push(Item { label: "do", words: text::plain(&rule.remedy), style: theme.text, need: 1 });
    if let Some(never) = &rule.never {
        items.push(Item { label: "never", words: text::plain(never), style: theme.warning, need: 3 });
    }
    for rule in rules {
        let class = rule.class.map_or(String::new(), |c| format!(", {c}"));
        let words = format!("{} ({}{class}, {})", text::plain(&rule.title), rule.ruling, text::plain(&rule.clause));
        items.push(Item { label: "also", words, style: theme.text, need: 4 });
    }
}

/// What the register alone says, where a finding leads; each rule by name.
fn by_register(scene: &Scene<'_>, standing: Judgement, items: &mut Vec<Item>) {
    let judge = scene.ground.state.judge();
    for rule in judge.reasons(standing).iter().filter_map(|r| judge.set().rule_at(*r)) {
        let class = rule.class.map_or(String::new(), |c| format!(", {c}"));
        let words =
            format!("register: {} ({}{class}, {})", text::plain(&rule.title), rule.ruling, text::plain(&rule.clause));
        items.push(Item { label: "also", words, style: scene.view.theme.text, need: 3 });
    }
}

/// What is said of a head without a finding.
fn quiet_item(scene: &Scene<'_>) -> Item {
    let (state, theme) = (scene.ground.state, scene.view.theme);
    let words = match state.status(scene.head) {
        Status::Seen => {
            let entry = state.seen_entry(scene.head).and_then(|ix| state.entry(ix));
            let by = entry.map_or(String::new(), |e| format!(" {}", by_words(scene, e)));
            format!("seen{by}; nothing found")
        }
        _ => "nothing recorded in this round yet".to_owned(),
    };
    Item { label: "", words, style: theme.dim, need: 0 }
}

/// `by ines, 09:14`, with the day where it is another one.
fn by_words(scene: &Scene<'_>, entry: &Entry) -> String {
    let when = if entry.at.date_naive() == scene.view.today { "%H:%M" } else { "%Y-%m-%d %H:%M" };
    format!("by {}, {}", text::plain(&entry.by), entry.at.format(when))
}

fn seen_words(scene: &Scene<'_>, finding: &Finding) -> String {
    let state = scene.ground.state;
    let Some(entry) = state.entry(finding.entry) else { return String::new() };
    let What::Saw(saw) = &entry.what else { return String::new() };
    let mut words = saw_words(state.judge().set(), saw);
    let besides = saw_besides(saw, state.register().site.units);
    if !besides.is_empty() {
        words = format!("{words} ({besides})");
    }
    if finding.carried {
        words.push_str(", as in an earlier round");
    }
    if !finding.known {
        words.push_str("; words that this rule set does not know");
    }
    if let Some(note) = &saw.note {
        words = format!("{words}: {}", text::plain(note));
    }
    format!("{words}, {}", by_words(scene, entry))
}

/// An unsure or unreached entry with its note and who denies access.
fn full_words(scene: &Scene<'_>, entry: &Entry) -> String {
    let mut words = short_words(scene.ground.state, entry);
    let (denied, note) = match &entry.what {
        What::Unreached(x) => (x.denied_by.as_deref(), x.note.as_deref()),
        What::Unsure(x) => (None, x.note.as_deref()),
        _ => (None, None),
    };
    if let Some(who) = denied {
        words = format!("{words}, access denied by {}", text::plain(who));
    }
    if let Some(note) = note {
        words = format!("{words} ({})", text::plain(note));
    }
    words
}

fn also_words(scene: &Scene<'_>, finding: &Finding) -> String {
    let state = scene.ground.state;
    let words = state.entry(finding.entry).map_or_else(String::new, |e| short_words(state, e));
    let class = finding.judgement.class.map_or(String::new(), |c: Class| format!(", {c}"));
    let fate = match finding.fate {
        Fate::Open => "",
        Fate::Mended(_) => "; mended in this round",
        Fate::Gone(_) => "; gone",
        Fate::SetAside(_) => "; set aside when the disagreement was settled",
    };
    let ruling =
        if finding.judgement.ruling == Ruling::Keep { "keep".to_owned() } else { finding.judgement.ruling.to_string() };
    format!("{words}: {ruling}{class}{fate}")
}

/// `paint on frame arms, light; reported in 2 rounds since 2024-11; said fixed, not verified`.
fn earlier_words(scene: &Scene<'_>, carried: &Carried) -> String {
    let state = scene.ground.state;
    let of = |ix: EntryIx| state.entry(ix);
    let mut words = of(carried.last)
        .map_or_else(String::new, |e| format!("round {}: {}", text::plain(&e.round), short_words(state, e)));
    if carried.times > 1
        && let Some(first) = of(carried.first)
    {
        words.push_str(&format!("; reported {} times since {}", carried.times, first.at.format("%Y-%m")));
    }
    let fixed = carried.said_fixed.is_some();
    words.push_str(match (carried.answer, fixed) {
        (Answer::Open, true) => "; said fixed, not verified",
        (Answer::Open, false) => "",
        (Answer::Still(_), true) => "; said fixed, still there",
        (Answer::Still(_), false) => "; still there",
        (Answer::Worse(_), _) => "; worse",
        (Answer::Mended(_), _) => "; mended in this round, not verified",
        (Answer::Gone(_), true) => "; verified fixed",
        (Answer::Gone(_), false) => "; gone",
    });
    words
}

fn opinions(scene: &Scene<'_>) -> String {
    let state = scene.ground.state;
    let mut said: Vec<String> = Vec::new();
    for finding in scene.story.findings.iter().filter(|f| f.fate == Fate::Open) {
        if let Some(entry) = state.entry(finding.entry) {
            said.push(format!("{} says {}", text::plain(&entry.by), finding.judgement.ruling));
        }
    }
    if let Some(entry) = state.seen_entry(scene.head).and_then(|ix| state.entry(ix)) {
        said.push(format!("{} saw nothing", text::plain(&entry.by)));
    }
    said.dedup();
    said.join(", ")
}

/// Paragraphs of this need and less are said before any other grows.
const MUST: u8 = 3;

/// Columns of a label and the space behind it.
const LABEL: u16 = 8;

/// Sets paragraphs into an area: each gets one row in the order of need, then those that need it most get the rest.
fn paragraphs(scene: &Scene<'_>, items: &[Item], area: Rect, buf: &mut Buffer) {
    let view = scene.view;
    let label = if area.width >= 50 { LABEL } else { 0 };
    let columns = usize::from(area.width.saturating_sub(label + 2)).min(110);
    let wrapped: Vec<Vec<String>> = items
        .iter()
        .map(|item| {
            let lead = if label == 0 && !item.label.is_empty() { format!("{}: ", item.label) } else { String::new() };
            text::wrap(&format!("{lead}{}", item.words), columns)
        })
        .collect();
    let rows = shares(items, &wrapped, usize::from(area.height));
    let mut places = (area.y..area.bottom()).map(|y| Rect { y, height: 1, ..area });
    for ((item, lines), shown) in items.iter().zip(&wrapped).zip(&rows) {
        for (n, words) in lines.iter().take(*shown).enumerate() {
            let Some(row) = places.next() else { return };
            if n == 0 && label > 0 {
                put(buf, row, 1, item.label, view.theme.dim, view);
            }
            let cut = n + 1 == *shown && *shown < lines.len();
            let from = 1 + if item.label.is_empty() { 0 } else { label };
            let words = if cut { format!("{words} {}", view.glyphs.ellipsis) } else { words.clone() };
            let space = usize::from(row.width.saturating_sub(from));
            let words = if cut { cut_to(&words, space, view.glyphs.ellipsis) } else { words };
            put(buf, row, from, &words, item.style, view);
        }
    }
}

/// How many rows each paragraph gets: first one for all that must be said, then the rest of those by their need, then
/// what may be left out.
fn shares(items: &[Item], wrapped: &[Vec<String>], room: usize) -> Vec<usize> {
    let mut rows = vec![0; items.len()];
    let mut left = room;
    let mut order: Vec<(u8, usize)> = items.iter().enumerate().map(|(n, item)| (item.need, n)).collect();
    order.sort_unstable();
    let must = |need: u8| need <= MUST;
    for (only_musts, whole) in [(true, false), (true, true), (false, true)] {
        for (need, n) in &order {
            let (Some(has), Some(lines)) = (rows.get_mut(*n), wrapped.get(*n)) else { continue };
            if only_musts && !must(*need) {
                continue;
            }
            let wants = if whole { lines.len() } else { lines.len().min(1) };
            let more = wants.saturating_sub(*has).min(left);
            *has += more;
            left -= more;
        }
    }
    rows
}

/// Cut words keep their mark even where the row is full.
fn cut_to(words: &str, space: usize, ellipsis: &str) -> String {
    if text::width(words) <= space {
        return words.to_owned();
    }
    let bare = words.strip_suffix(ellipsis).unwrap_or(words).trim_end();
    text::truncate(&format!("{bare}{ellipsis}{ellipsis}"), space, ellipsis)
}

/// What earlier rounds and this one say of the head, latest first, where there is room for it.
fn history(scene: &Scene<'_>, area: Rect, buf: &mut Buffer) {
    if area.width < 20 {
        return;
    }
    let state = scene.ground.state;
    let story = &scene.story;
    let mut entries: Vec<EntryIx> = story.history.clone();
    entries.extend(story.findings.iter().map(|f| f.entry));
    entries.extend(story.deeds.iter().chain(&story.notes).copied());
    entries.extend(story.unsure.into_iter().chain(story.unreached).chain(state.seen_entry(scene.head)));
    entries.sort_unstable();
    entries.dedup();
    let view = scene.view;
    let mut rows = (area.y..area.bottom()).map(|y| Rect { y, height: 1, ..area });
    if entries.is_empty()
        && let Some(row) = rows.next()
    {
        put(buf, row, 1, "no entry about this head", view.theme.dim, view);
        return;
    }
    for entry in entries.iter().rev().filter_map(|ix| state.entry(*ix)) {
        let Some(row) = rows.next() else { return };
        let at = put(buf, row, 1, &entry.at.format("%Y-%m-%d").to_string(), view.theme.dim, view);
        let at =
            put(buf, row, at + 1, &text::pad(&text::plain(&entry.by), 6, view.glyphs.ellipsis), view.theme.dim, view);
        put(buf, row, at + 1, &short_words(state, entry), view.theme.text, view);
    }
}
