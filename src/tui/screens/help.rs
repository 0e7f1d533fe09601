//! Help over any screen: its keys first, then the words of the adopted rule set, the glyphs, the cautions.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::moves::{Scroll, key_lines};
use super::opening::CAUTIONS;
use super::sheet::Sheet;
use crate::rules::model::{RuleSet, Ruling, Sign};
use crate::tui::keys::{Binding, Key, KeyLine, Tables, lines};
use crate::tui::plan::CellState;
use crate::tui::screen::{Effect, Input, Screen, View};
use crate::tui::text;

const KEYS: &[Binding<()>] = &[Binding {
    keys: &[Key::Esc, Key::Char('q'), Key::Char('?')],
    action: (),
    name: "back",
    help: "back to where one was",
    rank: 0,
}];

/// The help screen.
pub struct Help {
    about: Tables,
    scroll: Scroll,
}

impl Help {
    /// Help over the screens of those names, which have those keys just now; the one on top first.
    #[must_use]
    pub fn boxed(_: &View<'_>, about: Tables) -> Box<dyn Screen> {
        Box::new(Self { about, scroll: Scroll::default() })
    }

    fn sheet(&self, view: &View<'_>, width: u16) -> Sheet {
        let mut sheet = Sheet::new(width);
        for (name, keys) in &self.about {
            write_keys(&mut sheet, name, keys, view);
        }
        if let Some(desk) = view.desk {
            write_words(&mut sheet, desk.state().judge().set(), view);
        }
        write_rulings(&mut sheet, view);
        write_glyphs(&mut sheet, view);
        sheet.heading("Cautions", view);
        let set = view.desk.map(|d| d.state().judge().set().cautions.clone()).unwrap_or_default();
        for caution in CAUTIONS.iter().map(|c| (*c).to_owned()).chain(set) {
            let lead = vec![(format!("{} ", view.glyphs.warn), view.theme.warning)];
            sheet.item(0, lead, &caution, view.theme.text);
        }
        sheet
    }
}

fn write_keys(sheet: &mut Sheet, name: &str, keys: &[KeyLine], view: &View<'_>) {
    sheet.heading(&format!("Keys: {name}"), view);
    let widest = keys.iter().map(|k| text::width(&k.keys)).max().unwrap_or(0).min(14);
    let (works, idle): (Vec<&KeyLine>, Vec<&KeyLine>) = keys.iter().partition(|k| k.works);
    for key in works {
        let lead = vec![(format!("{}  ", text::pad(&key.keys, widest, view.glyphs.ellipsis)), view.theme.key)];
        sheet.item(0, lead, &key.help, view.theme.text);
    }
    if !idle.is_empty() {
        sheet.gap().text(0, "Not just now:", view.theme.dim);
    }
    for key in idle {
        let lead = vec![(format!("{}  ", text::pad(&key.keys, widest, view.glyphs.ellipsis)), view.theme.dim)];
        sheet.item(0, lead, &key.help, view.theme.dim);
    }
}

fn named(sheet: &mut Sheet, lead: &str, name: &str, wide: usize, hint: &str, view: &View<'_>) {
    let name = text::pad(&text::plain(name), wide, view.glyphs.ellipsis);
    let lead = vec![(format!("{lead}  "), view.theme.key), (format!("{name}  "), view.theme.accent)];
    sheet.item(0, lead, hint, view.theme.text);
}

fn write_words(sheet: &mut Sheet, set: &RuleSet, view: &View<'_>) {
    let signs: Vec<&Sign> = set.eye_signs().map(|(_, s)| s).collect();
    let wide = |names: &mut dyn Iterator<Item = usize>| names.max().unwrap_or(0).min(18);
    let widest = wide(&mut signs.iter().map(|s| text::width(&s.name)));
    sheet.heading(&format!("Signs ({})", text::plain(&set.name)), view);
    for sign in signs {
        named(sheet, &sign.key.unwrap_or(' ').to_string(), &sign.name, widest, &sign.hint, view);
    }
    let widest = wide(&mut set.parts.iter().map(|p| text::width(&p.name)));
    sheet.heading("Parts", view);
    for (n, part) in set.parts.iter().enumerate() {
        named(sheet, &(n + 1).to_string(), &part.name, widest, &part.hint, view);
    }
    let widest = wide(&mut set.extents.iter().map(|e| text::width(&e.name)));
    sheet.heading("Extents", view);
    for extent in &set.extents {
        let letter = extent.id.chars().next().unwrap_or(' ').to_string();
        named(sheet, &letter, &extent.name, widest, &extent.hint, view);
    }
}

fn write_rulings(sheet: &mut Sheet, view: &View<'_>) {
    sheet.heading("Rulings, strongest first", view);
    for ruling in Ruling::ALL.iter().rev() {
        let lead = vec![super::parts::ruling(*ruling, 9, view)];
        sheet.item(0, lead, means(*ruling), view.theme.text);
    }
    sheet.text(0, "A head without an entry has no ruling: absence never means fine.", view.theme.dim);
}

/// What a ruling asks for.
const fn means(ruling: Ruling) -> &'static str {
    match ruling {
        Ruling::Keep => "nothing need be done",
        Ruling::Watch => "look at it again next time",
        Ruling::Look => "it could not be judged: look from near by",
        Ruling::Clean => "clean it without touching it",
        Ruling::Correct => "put right what is around it, or the way it hangs",
        Ruling::Test => "have it, or a sample like it, tested",
        Ruling::Replace => "replace it",
    }
}

fn write_glyphs(sheet: &mut Sheet, view: &View<'_>) {
    sheet.heading("The plan", view);
    for cell in [
        CellState::Unseen,
        CellState::Condemned,
        CellState::Seen,
        CellState::Unsure,
        CellState::Unreached,
        CellState::Carried,
        CellState::Disagreement,
        CellState::Removed,
    ] {
        let lead = vec![(format!("{}  ", cell.glyph(view.glyphs)), cell.style(view.theme))];
        sheet.item(0, lead, cell.word(), view.theme.text);
    }
}

impl Screen for Help {
    fn name(&self) -> &'static str {
        "help"
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        lines(KEYS, |()| true).into_iter().chain(key_lines(true)).collect()
    }

    fn update(&mut self, input: &Input, _: &View<'_>) -> Vec<Effect> {
        self.scroll.read(KEYS, input)
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        self.sheet(view, area.width).draw(view, area, buf, &self.scroll, None);
        None
    }
}
