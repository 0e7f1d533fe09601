//! The panel of the head one stands at: its address and state, its make-up and age in words, and its picture with what
//! is seen on it.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::widgets::Widget as _;

use super::walk_draw::Scene;
use super::walk_words::{cell_state, class_words, short_word, years_since};
use crate::round::entry::{Deed, What};
use crate::round::story::{Answer, Fate};
use crate::trade::kind::Kind;
use crate::trade::quantity::PartialDate;
use crate::trade::register::Area;
use crate::tui::chrome::put;
use crate::tui::picture::{self, PictureSpec, Size, Touch};
use crate::tui::text;

/// Draws the panel: words at the left and the picture at the right where both fit, words alone otherwise.
pub fn panel(scene: &Scene<'_>, area: Rect, buf: &mut Buffer) {
    if area.is_empty() {
        return;
    }
    let mut words = Rect { x: area.x + 1, width: area.width.saturating_sub(1), ..area };
    let room = Rect { width: area.width.saturating_sub(26), ..area };
    if let Some(size) = Size::fitting(room)
        && let Some(spec) = spec(scene)
    {
        let (width, height) = size.cells();
        let picture = picture::draw(&spec, size, scene.view.theme, scene.view.glyphs);
        let x = area.right() - width;
        (&picture).render(Rect { x, y: area.y, width, height }, buf);
        words.width = words.width.saturating_sub(width + 1);
    }
    let rows = lines(scene, usize::from(words.width));
    for (y, (line, style)) in (words.y..words.bottom()).zip(&rows) {
        put(buf, Rect { y, height: 1, ..words }, 0, line, *style, scene.view);
    }
    status_glyph(scene, words, buf);
}

/// The head's make-up with what is being entered on it, or else what stands on it.
fn spec(scene: &Scene<'_>) -> Option<PictureSpec> {
    let state = scene.ground.state;
    let set = state.judge().set();
    let mut spec = PictureSpec::of(kind(scene)?);
    if let Some(pending) = &scene.walk.pending {
        let sign = pending.sign().and_then(|s| set.sign_at(s)).map_or("", |s| s.id.as_str());
        let part = pending.part(set).and_then(|p| set.part_at(p)).map_or("", |w| w.id.as_str());
        // A sign without its part yet would mark the whole head.
        return Some(if part.is_empty() { spec } else { spec.with(Touch::new(sign, part, "")) });
    }
    let leading = scene.story.leading().map(|f| f.entry);
    let others = scene.story.findings.iter().filter(|f| f.fate == Fate::Open).map(|f| f.entry);
    let earlier = scene.story.carried.iter().filter(|c| c.answer == Answer::Open).map(|c| c.last);
    let mut drawn = Vec::new();
    for entry in leading.into_iter().chain(others).chain(earlier) {
        if let Some(What::Saw(saw)) = state.entry(entry).map(|e| &e.what)
            && !drawn.contains(&entry)
        {
            drawn.push(entry);
            spec = spec.with(Touch::new(&saw.sign, &saw.part, &saw.extent));
        }
    }
    Some(spec)
}

fn kind<'a>(scene: &Scene<'a>) -> Option<&'a Kind> {
    let state = scene.ground.state;
    state.register().kind(state.layout().head(scene.head)?.kind)
}

fn area<'a>(scene: &Scene<'a>) -> Option<&'a Area> {
    scene.ground.state.register().areas.get(usize::from(scene.ground.area))
}

/// The head's address, and the sign and word of its state in the state's own style.
fn status_glyph(scene: &Scene<'_>, words: Rect, buf: &mut Buffer) {
    let row = Rect { y: words.y + 1.min(words.height), height: words.height.saturating_sub(1).min(1), ..words };
    let cell = cell_state(scene.ground.state, scene.head);
    let at = put(buf, row, 0, cell.glyph(scene.view.glyphs), cell.style(scene.view.theme), scene.view);
    put(buf, row, at + 1, short_word(cell), cell.style(scene.view.theme), scene.view);
}

/// The words of the panel; the second line is left for the state.
fn lines(scene: &Scene<'_>, columns: usize) -> Vec<(String, Style)> {
    let view = scene.view;
    let state = scene.ground.state;
    let units = state.register().site.units;
    let mut rows = vec![
        (state.address(scene.head).map_or_else(String::new, |a| a.to_string()), view.theme.title),
        (String::new(), view.theme.text),
    ];
    let mut add = |words: &str, style: Style| {
        rows.extend(text::wrap(words, columns).into_iter().map(|line| (line, style)));
    };
    let Some(kind) = kind(scene) else { return rows };
    add(&kind.describe(units), view.theme.text);
    add(&class_words(kind), view.theme.text);
    let made = kind.made.map_or("made: unknown".to_owned(), |made| format!("made {made}"));
    add(&made, view.theme.text);
    add(&service_words(scene), view.theme.text);
    if kind.guard {
        add("a guard belongs on it", view.theme.text);
    }
    if let Some(number) = &kind.number {
        add(&format!("number {}", text::plain(number)), view.theme.dim);
    }
    if let Some(area) = area(scene) {
        let mut around: Vec<String> = area.setting.iter().map(ToString::to_string).collect();
        if let Some(most) = area.ceiling_max {
            around.push(format!("ceiling to {}", most.show(units)));
        }
        if !around.is_empty() {
            add(&around.join(", "), view.theme.dim);
        }
    }
    if let Some(note) = &kind.note {
        add(&text::plain(note), view.theme.dim);
    }
    rows
}

/// `in service 17 years`, from the last replacement recorded, or else from what the area says; where the kind was made
/// after that, `in service ≤ 17 years`, since it cannot have hung there before it was made.
fn service_words(scene: &Scene<'_>) -> String {
    let state = scene.ground.state;
    let entries = scene.story.deeds.iter().chain(scene.story.history.iter().rev());
    let replaced = entries.filter_map(|ix| state.entry(*ix)).find_map(|entry| match &entry.what {
        What::Did(did) if did.did == Deed::Replaced => Some(entry.at.date_naive()),
        _ => None,
    });
    let area_since = area(scene).and_then(|a| a.in_service);
    let made = kind(scene).and_then(|k| k.made).filter(|made| area_since.is_some_and(|since| made.year > since.year));
    let (since, at_most) = match replaced {
        Some(day) => (PartialDate::parse(&day.format("%Y-%m-%d").to_string()).ok(), ""),
        None if made.is_some() => (made, if scene.view.glyphs.ascii { "<= " } else { "≤ " }),
        None => (area_since, ""),
    };
    match since {
        None => "in service: unknown".to_owned(),
        Some(date) => match years_since(date, scene.view.today) {
            0 => format!("in service since {date}"),
            1 => format!("in service {at_most}1 year"),
            n => format!("in service {at_most}{n} years"),
        },
    }
}

/// The panel in one line, for a small screen: `pack/3.7 ✗ replace · pendent, quick …`.
pub fn one_line(scene: &Scene<'_>, row: Rect, buf: &mut Buffer) {
    let view = scene.view;
    let state = scene.ground.state;
    let address = state.address(scene.head).map_or_else(String::new, |a| a.to_string());
    let cell = cell_state(state, scene.head);
    let at = put(buf, row, 1, &address, view.theme.title, view);
    let at = put(buf, row, at + 1, cell.glyph(view.glyphs), cell.style(view.theme), view);
    let at = put(buf, row, at + 1, short_word(cell), cell.style(view.theme), view);
    if let Some(kind) = kind(scene) {
        let made = format!(" {} {}", view.glyphs.dot, kind.describe(state.register().site.units));
        put(buf, row, at, &made, view.theme.dim, view);
    }
}
