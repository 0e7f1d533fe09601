//! The list to hang up in a cabinet of spare heads: what is kept in it, by identification number and description, with the
//! wrench and the areas it is for. What the register does not know is left blank for a pen.
//!
//! The columns are those that the installation standard asks of such a list: identification number, or maker, model, orifice,
//! deflector, sensitivity and pressure where none is marked; general description; quantity kept; date of issue. Source: NFPA 13
//! 16.2.7.7, from memory. Wrench, areas and the slip below are common practice, no source.

use chrono::NaiveDate;

use super::lines::{cut, left, right, width, wrap};
use super::phrases::{day, heads, listed, said, sentence};
use super::sheets::{COLUMNS, Paper, bound, flow};
use crate::round::state::State;
use crate::round::stock::lists::{self, Source};
use crate::round::stock::{self, Ledger, Required};
use crate::rules::duties::CabinetMatter;
use crate::trade::kind::Kind;
use crate::trade::register::{Cabinet, KindIx};

/// Columns of the table: number kept, identification number, description, wrench, areas.
const WIDTHS: [usize; 5] = [4, 13, 33, 10, 12];
/// Columns between two of them.
const GAP: usize = 2;

/// The list of one cabinet, by its place in the register; nothing where there is no such cabinet. `today` is the date of issue
/// of a list that nobody has posted yet.
#[must_use]
pub fn render(state: &State, cabinet: usize, today: NaiveDate, paper: Paper) -> String {
    render_all(state, &[cabinet], today, paper)
}

/// The lists of several cabinets, each on pages of its own; none named: of all.
#[must_use]
pub fn render_all(state: &State, cabinets: &[usize], today: NaiveDate, paper: Paper) -> String {
    let ledger = stock::ledger(state);
    let required = stock::required(state, &ledger, today);
    let all: Vec<usize> = (0..state.register().cabinets.len()).collect();
    let wanted = if cabinets.is_empty() { &all } else { cabinets };
    let mut pages = Vec::new();
    for at in wanted {
        if let Some(cabinet) = state.register().cabinets.get(*at) {
            let (source, list) = lists::to_post(state, &ledger, &required, *at, today);
            let sheet = Sheet { state, ledger: &ledger, required: &required, cabinet, source, list, today };
            pages.extend(sheet.pages(paper));
        }
    }
    bound(&pages, paper)
}

struct Sheet<'a> {
    state: &'a State,
    ledger: &'a Ledger,
    required: &'a Required,
    cabinet: &'a Cabinet,
    source: Source,
    list: Vec<(KindIx, u32)>,
    today: NaiveDate,
}

impl Sheet<'_> {
    fn pages(&self, paper: Paper) -> Vec<Vec<String>> {
        let header = self.header();
        let mut blocks: Vec<Vec<String>> = self.list.iter().filter_map(|(ix, n)| self.row(*ix, *n)).collect();
        if blocks.is_empty() {
            blocks.push(vec!["Nothing is on this list.".to_owned(), String::new()]);
        }
        blocks.push(self.total());
        blocks.push(self.cautions());
        let room = paper.lines.max(30).saturating_sub(header.len() + 1);
        let mut bodies = flow(blocks, room);
        slip(&mut bodies, room);
        let count = bodies.len();
        let number = |n: usize| if count == 1 { String::new() } else { format!("page {n} of {count}") };
        let titled = |(n, body): (usize, Vec<String>)| {
            let number = number(n + 1);
            let title = cut(&format!("SPARE HEADS  {}", said(&self.state.register().site.name)), COLUMNS - 16);
            let mut page = vec![format!("{}{number}", left(&title, COLUMNS - width(&number)))];
            page.extend(header.iter().cloned());
            page.extend(body);
            page
        };
        bodies.into_iter().enumerate().map(titled).collect()
    }

    fn header(&self) -> Vec<String> {
        let site = &self.state.register().site;
        let mut out = Vec::new();
        let mut fact = |label: &str, text: &str| {
            let lines = wrap(text, COLUMNS - 10);
            for (n, line) in lines.iter().take(3).enumerate() {
                out.push(format!("{}{line}", left(if n == 0 { label } else { "" }, 10)));
            }
        };
        fact("Site", &said(&site.place));
        let name = said(&self.cabinet.name);
        let id = &self.cabinet.id;
        fact("Cabinet", &if name == id.as_str() { name } else { format!("{name} ({id})") });
        fact("Hangs", &self.cabinet.place.as_deref().map_or_else(|| "_".repeat(40), said));
        fact("Serves", &self.serves());
        let issued = if let Source::Posted(date) = self.source { date } else { self.today };
        fact("Issued", &day(issued));
        fact(
            "Quantity",
            match self.source {
                Source::Posted(_) => "as the list of that date",
                Source::Register => "as the site's register says is kept",
                Source::Proposed => {
                    "a proposal: what the rules adopted here ask for, spread over the types by the heads installed; nobody has \
                 settled it yet"
                }
            },
        );
        out.push("-".repeat(COLUMNS));
        out.push(line(["KEEP", "NUMBER", "DESCRIPTION", "WRENCH", "FOR"].map(|c| vec![c.to_owned()])).join(""));
        out.push("-".repeat(COLUMNS));
        out
    }

    fn serves(&self) -> String {
        let areas = self.state.register().areas.iter();
        if self.cabinet.serves.is_empty() {
            return "all areas".to_owned();
        }
        let name = |id: &str, name: &str| if name == id { name.to_owned() } else { format!("{name} ({id})") };
        let served: Vec<String> =
            areas.filter(|a| self.cabinet.serves(&a.id)).map(|a| name(a.id.as_str(), &said(&a.name))).collect();
        listed(&served)
    }

    fn row(&self, ix: KindIx, n: u32) -> Option<Vec<String>> {
        let kind = self.state.register().kind(ix)?;
        let number = kind.number.as_deref().map(said).filter(|n| !n.is_empty());
        let wrench = kind.wrench.as_deref().map(said).filter(|w| !w.is_empty());
        let marked = number.is_some();
        let cells = [
            n.to_string(),
            number.unwrap_or_else(|| "none on record".to_owned()),
            self.description(kind),
            wrench.unwrap_or_else(|| "_".repeat(8)),
            self.used_in(kind),
        ];
        let mut cells = cells.iter().zip(WIDTHS).map(|(text, room)| wrap(text, room));
        let mut next = || cells.next().unwrap_or_default();
        let mut out = line([next(), next(), next(), next(), next()]);
        if !marked {
            for blanks in [
                [("number, if marked", 34), ("maker", 29)],
                [("model", 34), ("deflector", 29)],
                [("pressure", 34), ("", 0)],
            ] {
                let blank = |(label, columns): (&str, usize)| {
                    let rule = "_".repeat(columns.saturating_sub(label.len() + 1));
                    if label.is_empty() { String::new() } else { format!("{label} {rule}") }
                };
                let [a, b] = blanks.map(blank);
                out.push(format!("      {}  {b}", left(&a, 34)).trim_end().to_owned());
            }
        }
        out.push(String::new());
        Some(out)
    }

    /// The kind's own word, so that the list and the record can be compared, and its make-up with thread and year made.
    fn description(&self, kind: &Kind) -> String {
        let mut text = format!("{}: {}", kind.id, kind.describe(self.state.register().site.units));
        if let Some(thread) = &kind.thread {
            text.push_str(&format!(", thread {thread}"));
        }
        if let Some(made) = kind.made {
            text.push_str(&format!(", made {made}"));
        }
        said(&text)
    }

    /// The areas with heads of its type that the cabinet serves.
    fn used_in(&self, kind: &Kind) -> String {
        let register = self.state.register();
        let kinds = lists::kinds_of(self.state, &register.type_of(kind));
        let areas = lists::served_by_area(self.state, self.cabinet, &kinds);
        let names: Vec<&str> =
            areas.iter().filter_map(|(at, _)| register.areas.get(*at)).map(|a| a.id.as_str()).collect();
        if names.is_empty() { "no head here".to_owned() } else { names.join(", ") }
    }

    /// The sum, what the rules ask for, and types that hang where the cabinet serves and are on no list.
    fn total(&self) -> Vec<String> {
        let sum: u32 = self.list.iter().fold(0, |sum, (_, n)| sum.saturating_add(*n));
        let mut out = vec![format!("{}  heads in all", right(&sum.to_string(), 4))];
        if let Some(ruling) = self.required.ruling() {
            let installed = heads(usize::try_from(self.required.installed).unwrap_or(usize::MAX));
            let cabinets = if self.ledger.shelves.len() > 1 { ", in all its cabinets together" } else { "" };
            let clause = super::phrases::clause(&ruling.clause);
            let text = format!(
                "The site has {installed}, for which at least {} spares are asked for{cabinets} ({clause}).",
                ruling.total
            );
            out.extend(wrap(&text, COLUMNS));
        }
        let on_list =
            |k: &KindIx| self.ledger.shelves.iter().any(|s| lists::kept(self.state, s).iter().any(|(l, _)| l == k));
        let here = |k: &KindIx| self.list.iter().any(|(l, _)| l == k);
        let missing: Vec<String> = self
            .required
            .rows
            .iter()
            .filter(|r| !r.excused && !r.kinds.iter().any(|k| here(k) || on_list(k)))
            .filter(|r| lists::served_heads(self.state, self.cabinet, &r.kinds) > 0)
            .map(|r| r.head_type.describe(self.state.register().site.units))
            .collect();
        if !missing.is_empty() {
            let text = format!("Installed where this cabinet serves, and not on the list: {}.", missing.join("; "));
            out.extend(wrap(&said(&text), COLUMNS));
        }
        out.push(String::new());
        out
    }

    fn cautions(&self) -> Vec<String> {
        let duties = &self.state.judge().set().duties.cabinet;
        let units = self.state.register().site.units;
        let mut list = vec![
            "Replace like by like: same way up, response, rating, K-factor, listing, thread and length. A head that only looks \
             alike may open late, too early, or not reach the floor."
                .to_owned(),
        ];
        let refill = duties.iter().find(|d| d.matter == CabinetMatter::Refill);
        list.push(refill.map_or_else(|| "What was taken is put back at once.".to_owned(), |d| sentence(&d.text)));
        list.push(
            "A head that was installed once, was dropped or painted, or lies here without its cap is never used. Turn it with \
             its own wrench only."
                .to_owned(),
        );
        let warm = duties.iter().find(|d| d.matter == CabinetMatter::Temperature).and_then(|d| Some((d, d.at_most?)));
        if let Some((duty, most)) = warm {
            let clause = super::phrases::clause(&duty.basis.clause);
            list.push(format!("It must never get warmer than {} in this cabinet ({clause}).", most.show(units)));
        }
        list.push("Work on a live system is for licensed people under an impairment procedure.".to_owned());
        let mut out = Vec::new();
        for text in list {
            for (n, line) in wrap(&text, COLUMNS - 2).iter().enumerate() {
                out.push(format!("{}{line}", if n == 0 { "* " } else { "  " }));
            }
        }
        out.push(String::new());
        out
    }
}

/// Cells side by side, as many lines as the longest has.
fn line(cells: [Vec<String>; 5]) -> Vec<String> {
    let count = cells.iter().map(Vec::len).max().unwrap_or(0);
    let mut out = Vec::new();
    for n in 0..count {
        let mut text = String::new();
        for (at, (cell, room)) in cells.iter().zip(WIDTHS).enumerate() {
            let part = cell.get(n).map_or("", String::as_str);
            if at > 0 {
                text.push_str(&" ".repeat(GAP));
            }
            text.push_str(&if at == 0 { right(part, room) } else { left(part, room) });
        }
        out.push(text.trim_end().to_owned());
    }
    out
}

/// Room for a pen on what is left of the last page: what is taken is written down here until it is recorded. Left out where
/// there is no room for two lines.
fn slip(pages: &mut [Vec<String>], room: usize) {
    let Some(page) = pages.last_mut().filter(|p| p.len() + 7 <= room) else { return };
    page.push("Taken out or put in (write it down, then have it recorded)".to_owned());
    page.push("Day         Kind                Out  In   For head          Why, by whom".to_owned());
    let rule = "__________  __________________  ___  ___  ________________  ____________________";
    for _ in 0..8 {
        if page.len() + 2 > room {
            break;
        }
        page.push(String::new());
        page.push(rule.to_owned());
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample_tests::{SITE, entries, state};
    use super::*;

    const CABINETS: &str = "\
cabinets:
  riser: {name: Valve room cabinet, place: 'Valve room, beside the riser'}
  dock: {name: Dock cabinet, serves: [cold], keep: {cold-dry: 2, qr-pendent: 1}}
";

    fn today() -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 11, 26).expect("a day")
    }

    fn site() -> State {
        state(&format!("{SITE}{CABINETS}"), entries())
    }

    #[test]
    fn lists_of_two_cabinets() {
        let paper = Paper { form_feed: false, ..Paper::default() };
        insta::assert_snapshot!(render_all(&site(), &[], today(), paper));
    }

    #[test]
    fn a_cabinet_that_is_not_there_has_no_list() {
        assert_eq!(render(&site(), 7, today(), Paper::default()), "");
    }

    #[test]
    fn a_posted_list_bears_the_date_on_which_it_was_posted() {
        let mut all = entries();
        let posted = r#""posted":{"cabinet":"dock","date":"2026-11-25","keep":{"cold-dry":3}}"#;
        let n = all.len() as u128 + 1;
        all.push(super::super::sample_tests::entry(n, "2026-11-25T17:00:00-05:00", "ines", "2026", posted));
        let page = render(&state(&format!("{SITE}{CABINETS}"), all), 1, today(), Paper::default());
        assert!(page.contains("Issued    25 November 2026\n"), "{page}");
        assert!(page.contains("Quantity  as the list of that date\n"), "{page}");
        assert!(page.contains("\n   3  SQ-417 ") && !page.contains("qr-pendent:"), "{page}");
    }

    #[test]
    fn hostile_names_keep_to_the_paper() {
        let long = format!("<script> \u{1b}[2J \u{202e}evil {}", "x".repeat(300));
        let name = serde_json::to_string(&long).expect("text");
        let cabinets = CABINETS.replace("Valve room cabinet", "x").replace("name: x", &format!("name: {name}"));
        let site = SITE.replace("name: Marram Quay Cannery", &format!("name: {name}")).replace(
            "dry: true, number: SQ-417",
            &format!("dry: true, number: {name}, wrench: {name}, thread: {name}"),
        );
        let site = state(&format!("{site}{cabinets}"), entries());
        for ascii in [false, true] {
            let page = render_all(&site, &[], today(), Paper { ascii, lines: 40, form_feed: true });
            for sheet in page.split('\u{c}') {
                assert!(sheet.lines().count() <= 40, "{sheet}");
                assert!(sheet.lines().all(|l| width(l) <= COLUMNS), "{sheet}");
            }
            let steers = |c: char| !matches!(c, '\n' | '\u{c}') && crate::diag::is_unprintable(c);
            assert!(!page.chars().any(steers), "a control character");
            assert!(!ascii || page.is_ascii());
        }
    }
}
