//! What stands on a page of an explanation: what was seen, the rule in full, what the editions say, its cases to step
//! through.

use super::explain_pages::{Page, Said};
use super::parts::{self, class_style};
use super::sheet::Sheet;
use crate::rules::editions_of::InSet;
use crate::rules::explain::{Asked, conditions};
use crate::rules::model::{Case, Class, Rule, RuleSet};
use crate::tui::screen::View;
use crate::tui::text;

/// A page; the cases of its rule are its rows to pick, in the order of [`cases`].
pub fn write_page(sheet: &mut Sheet, set: &RuleSet, page: &Page, editions: &[InSet], view: &View<'_>) {
    for said in &page.said {
        match said {
            Said::Heading(words) => sheet.heading(words, view),
            Said::Quiet(words) => sheet.text(0, words, view.theme.dim),
            Said::Plain(words) => sheet.text(0, words, view.theme.text),
            Said::Good(words) => sheet.text(0, words, view.theme.good),
            Said::Warning(words) => sheet.text(0, words, view.theme.warning),
            Said::Ruled(judgement) => sheet.row(parts::judgement(*judgement, view)),
        };
    }
    for rule in page.beside.iter().filter_map(|r| set.rule_at(*r)) {
        let words = format!("{}: {} (Tab)", rule.title, rule.ruling);
        sheet.item(0, vec![("also ".to_owned(), view.theme.dim)], &words, view.theme.text);
    }
    let Some(rule) = page.rule.and_then(|r| set.rule_at(r)) else { return };
    write_rule(sheet, set, rule, view);
    if editions.len() > 1 {
        sheet.heading("How the editions differ", view);
        write_editions(sheet, editions, view);
    }
    write_cases(sheet, rule, view);
}

/// The cases of a rule in the order in which one steps through them: those in which it speaks, then near misses.
pub fn cases(rule: &Rule) -> impl Iterator<Item = &Case> {
    let of = |holds: bool| rule.cases.iter().filter(move |c| c.holds == holds);
    of(true).chain(of(false))
}

fn write_cases(sheet: &mut Sheet, rule: &Rule, view: &View<'_>) {
    let mut last = None;
    for case in cases(rule) {
        if last != Some(case.holds) {
            sheet.heading(if case.holds { "Cases" } else { "Near misses" }, view);
            last = Some(case.holds);
        }
        sheet.pickable(|sheet| {
            let (ruling, style) = parts::ruling(case.ruling, 8, view);
            sheet.item(1, vec![(ruling, style)], &case.see, view.theme.text);
        });
    }
}

/// One line an edition: its set, what it rules, the class, the clause; remarks below.
fn write_editions(sheet: &mut Sheet, editions: &[InSet], view: &View<'_>) {
    let name = editions.iter().map(|s| text::width(&s.set)).max().unwrap_or(0).min(20);
    let class = |class: Option<Class>| class.map_or("no finding", Class::as_str);
    let classes = editions.iter().filter_map(|s| s.rule.as_ref()).map(|says| class(says.class).len());
    let class_width = classes.max().unwrap_or(0);
    for it in editions {
        let (mark, style) = if it.here { (view.glyphs.point_right, view.theme.accent) } else { (" ", view.theme.text) };
        let name = text::pad(&text::plain(&it.set), name, view.glyphs.ellipsis);
        let mut lead = vec![(format!("{mark} "), view.theme.accent), (format!("{name} "), style)];
        match &it.rule {
            Some(says) => {
                lead.push(parts::ruling(says.ruling, 7, view));
                let style = says.class.map_or(view.theme.dim, |c| class_style(c, view));
                lead.push((format!(" {:<class_width$} ", class(says.class)), style));
                sheet.item(0, lead, &says.clause, view.theme.text);
            }
            None => {
                sheet.item(0, lead, "not in this set", view.theme.dim);
            }
        }
        for remark in it.remarks() {
            sheet.text(4, &remark, view.theme.hint);
        }
    }
}

/// One rule in full.
pub fn write_rule(sheet: &mut Sheet, set: &RuleSet, rule: &Rule, view: &View<'_>) {
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
        line("Class", class.as_str(), class_style(class, view));
    }
    line("Clause", &rule.clause, view.theme.text);
    line("Source", &format!("{} ({})", rule.source, rule.reliance()), view.theme.dim);
}
