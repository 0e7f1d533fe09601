//! A ruling explained: every rule that spoke about a head, what it looks for, why it matters, what to do, and on whose
//! word.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::moves::{Scroll, key_lines};
use super::parts::{self, address, area_name, state};
use super::sheet::Sheet;
use crate::round::entry::What;
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::round::story::Fate;
use crate::rules::explain::{Asked, conditions};
use crate::rules::judge::Judgement;
use crate::rules::model::{Rule, RuleSet, Ruling};
use crate::tui::keys::{Binding, Key, KeyLine, lines};
use crate::tui::screen::{Effect, Input, Screen, View};
use crate::tui::text;

const KEYS: &[Binding<()>] = &[Binding {
    keys: &[Key::Esc, Key::Enter, Key::Left, Key::Char('q')],
    action: (),
    name: "back",
    help: "back to where one was",
    rank: 0,
}];

/// The explanation of what was ruled on one head.
pub struct Explain {
    head: HeadIx,
    scroll: Scroll,
}

impl Explain {
    /// The explanation for a head, as its findings stand.
    #[must_use]
    pub fn boxed(head: HeadIx) -> Box<dyn Screen> {
        Box::new(Self { head, scroll: Scroll::default() })
    }

    fn sheet(&self, state: &State, view: &View<'_>, width: u16) -> Sheet {
        let mut sheet = Sheet::new(width);
        let Some(head) = state.layout().head(self.head) else { return sheet };
        sheet.row(vec![
            (format!("{}  ", address(state, self.head)), view.theme.title),
            (area_name(state, head.area), view.theme.text),
        ]);
        if let Some(kind) = state.register().kind(head.kind) {
            let words = format!("{}: {}", kind.id, kind.describe(state.register().site.units));
            sheet.text(0, &words, view.theme.dim);
        }
        let mut said = false;
        for finding in &state.story(self.head).findings {
            let Some(entry) = state.entry(finding.entry) else { continue };
            let What::Saw(saw) = &entry.what else { continue };
            let doubt = if saw.doubtful { ", in doubt" } else { "" };
            let by = format!("{} {}, {}{doubt}", entry.by, parts::when(entry), parts::how(saw.how));
            said = true;
            sheet.heading(&capital(&parts::saw(state, saw)), view);
            sheet.text(0, &by, view.theme.dim);
            if let Some(note) = &saw.note {
                sheet.text(0, note, view.theme.text);
            }
            let fate = match finding.fate {
                Fate::Open => None,
                Fate::Mended(_) => Some("It was mended in this round; nobody has looked at it again."),
                Fate::Gone(_) => Some("It was looked at again and is gone."),
                Fate::SetAside(_) => Some("A disagreement was settled against it."),
            };
            if let Some(fate) = fate {
                sheet.text(0, fate, view.theme.good);
            }
            if !finding.known {
                let words = "The adopted rule set does not know this combination of words, so it counts as not judged.";
                sheet.text(0, words, view.theme.warning);
            }
            write_judgement(&mut sheet, state, finding.judgement, view);
        }
        if state.story(self.head).unsure.is_some()
            && let Some(judgement) = state.judgement(self.head)
        {
            said = true;
            sheet.heading("It could not be judged", view);
            write_judgement(&mut sheet, state, judgement, view);
        }
        if let Some(standing) = state.standing(self.head).filter(|j| !state.judge().reasons(*j).is_empty()) {
            said = true;
            sheet.heading("What the register alone says", view);
            write_judgement(&mut sheet, state, standing, view);
        }
        if !said {
            let words = match state.judgement(self.head) {
                Some(j) if j.ruling == Ruling::Keep => "It was looked at and nothing was entered: no rule has spoken.",
                _ => "Nothing was recorded about it in this round, so there is no ruling. Absence never means fine.",
            };
            sheet.gap().text(0, words, view.theme.text);
        }
        let set = state.judge().set();
        let words = format!(
            "After {}, in words of our own. The adopted edition and the authority having jurisdiction decide.",
            set.edition
        );
        sheet.gap().text(0, &words, view.theme.dim);
        sheet
    }
}

fn capital(words: &str) -> String {
    let mut chars = words.chars();
    chars.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default() + chars.as_str()
}

fn write_judgement(sheet: &mut Sheet, state: &State, judgement: Judgement, view: &View<'_>) {
    let set = state.judge().set();
    sheet.row(parts::judgement(judgement, view));
    let rules: Vec<&Rule> = state.judge().reasons(judgement).iter().filter_map(|r| set.rule_at(*r)).collect();
    if rules.is_empty() {
        sheet.text(2, "No rule had anything to say.", view.theme.text);
    }
    for rule in rules {
        write_rule(sheet, set, rule, view);
    }
}

/// One rule in full.
pub(super) fn write_rule(sheet: &mut Sheet, set: &RuleSet, rule: &Rule, view: &View<'_>) {
    let (ruling, style) = parts::ruling(rule.ruling, 0, view);
    sheet.gap().item(2, vec![(format!("{ruling}  "), style)], &rule.title, view.theme.accent);
    let mut line = |label: &str, words: &str, style| {
        let lead = vec![(text::pad(label, 11, ""), view.theme.dim)];
        sheet.item(2, lead, words, style);
    };
    let (asked, not) = conditions(set, rule);
    let words = |list: &[Asked]| {
        list.iter().map(|a| format!("{}: {}", a.field, a.values.join(", "))).collect::<Vec<_>>().join("; ")
    };
    line("Looks for", &words(&asked), view.theme.text);
    if !not.is_empty() {
        line("But not", &words(&not), view.theme.text);
    }
    line("Why", &rule.because, view.theme.text);
    line("What to do", &rule.remedy, view.theme.text);
    if let Some(never) = &rule.never {
        line("Never", never, view.theme.warning);
    }
    if let Some(contested) = &rule.contested {
        line("Contested", contested, view.theme.text);
    }
    if let Some(class) = rule.class {
        line("Class", class.as_str(), parts::class_style(class, view));
    }
    line("Clause", &rule.clause, view.theme.text);
    line("Source", &format!("{} ({})", rule.source, rule.reliance()), view.theme.dim);
}

impl Screen for Explain {
    fn name(&self) -> &'static str {
        "explanation"
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        lines(KEYS, |()| true).into_iter().chain(key_lines(true)).collect()
    }

    fn update(&mut self, input: &Input, _: &View<'_>) -> Vec<Effect> {
        self.scroll.read(KEYS, input)
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        self.sheet(state(view)?, view, area.width).draw(view, area, buf, &self.scroll, None);
        None
    }
}
