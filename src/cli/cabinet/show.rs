//! What the cabinets hold, and what is wrong with them.

use std::collections::BTreeSet;

use super::super::session::{Done, Outcome, Session, many};
use super::super::table;
use super::{Cabinet, Form, TableOf, cabinet_index};
use crate::diag::plain;
use crate::report::csv::{self, Cell};
use crate::report::stock::{CabinetLine, GroupLine, Stock, TypeLine};
use crate::round::state::State;
use crate::round::stock::{self, Trends, Weight};
use crate::rules::model::Confidence;
use crate::trade::address::AreaId;
use crate::tui::text;

/// Shows it.
pub fn run(it: &Cabinet, session: &mut Session<'_, '_>) -> Done {
    let file = it.file.display().to_string();
    let today = session.today();
    let desk = session.read(&it.file)?;
    let state = desk.state();
    for cabinet in &it.cabinet {
        cabinet_index(state, cabinet, &file)?;
    }
    let mut stock = Stock::of(state, today);
    if !it.cabinet.is_empty() {
        stock.cabinets.retain(|c| it.cabinet.contains(&c.cabinet));
        stock.findings.retain(|f| f.cabinet.as_ref().is_some_and(|c| it.cabinet.contains(c)));
    }
    let whole = it.cabinet.is_empty();
    let trends = it.trends.then(|| stock::trends(state, &stock::ledger(state), today));
    if it.to == Some(Form::Csv) {
        session.say_text(&csv(&stock, it.table))?;
        return Ok(Outcome::of(stock.asks()));
    }
    if session.global.json {
        let round = state.present_round();
        let mut value = serde_json::json!({
            "file": file,
            "site": state.register().site.name,
            "round": round.map(|r| r.name.to_string()),
        });
        if let (Some(map), Ok(serde_json::Value::Object(facts))) = (value.as_object_mut(), serde_json::to_value(&stock))
        {
            map.extend(facts);
            if let Some(trends) = &trends {
                map.insert("trends".to_owned(), serde_json::to_value(trends).unwrap_or_default());
            }
        }
        session.say_json(&value)?;
        return Ok(Outcome::of(stock.asks()));
    }
    let columns = session.around.columns.map_or(super::super::COLUMNS, |c| c.clamp(60, 120));
    let mut page = Page { out: String::new(), columns };
    page.title(state, &file);
    if whole {
        page.site(&stock, it.table);
    }
    for cabinet in &stock.cabinets {
        page.cabinet(cabinet);
    }
    page.findings(&stock, whole);
    if let Some(trends) = &trends {
        page.trends(trends);
    }
    session.say_text(&page.out)?;
    Ok(Outcome::of(stock.asks()))
}

/// A head line and rows; columns whose label starts with `#` hold numbers, and stand to the right though one is `?`.
pub(super) fn aligned(head: &[&str], mut rows: Vec<Vec<String>>, columns: usize) -> String {
    for (at, label) in head.iter().enumerate().filter(|(_, l)| l.starts_with('#')) {
        let cells = || rows.iter().filter_map(|r| r.get(at)).map(|c| text::width(c));
        let wide = cells().max().unwrap_or(0).max(text::width(label) - 1);
        for cell in rows.iter_mut().filter_map(|r| r.get_mut(at)) {
            *cell = format!("{}{cell}", " ".repeat(wide.saturating_sub(text::width(cell))));
        }
    }
    let labels: Vec<&str> = head.iter().map(|l| l.trim_start_matches('#')).collect();
    table::fitted(&labels, &rows, columns)
}

/// What the marks behind clauses mean, in a sentence; nothing where there are none.
pub(super) fn mark_words(marks: impl Iterator<Item = Confidence>) -> String {
    let all: BTreeSet<Confidence> = marks.collect();
    let words: Vec<String> = all.iter().map(|m| format!("[{m}] {}", m.means())).collect();
    if words.is_empty() { String::new() } else { format!("{}.", words.join("; ")) }
}

/// How far a clause can be relied on, as it stands behind it.
fn mark(clause: &str, confidence: Confidence) -> String {
    if clause.is_empty() { String::new() } else { format!("{clause} [{confidence}]") }
}

/// Numbers as cells.
fn cells<const N: usize>(numbers: [u32; N]) -> impl Iterator<Item = String> {
    numbers.into_iter().map(|n| n.to_string())
}

/// The table of the site for a spreadsheet: by type, or by rating and response.
fn csv(stock: &Stock, table: Option<TableOf>) -> String {
    let count = |n: u32| Cell::count(n);
    if table == Some(TableOf::Rating) {
        let head = [
            "rating",
            "response",
            "types",
            "installed",
            "required",
            "planned",
            "held",
            "short",
            "lacking",
            "over",
            "unfit",
        ];
        let rows = stock.ratings.iter().map(|g| {
            let first = [Cell::text(&g.rating), Cell::text(g.response.as_str()), Cell::count(g.types as u64)];
            let rest = [g.installed, g.required, g.planned, g.held, g.short, g.lacking, g.over, g.unfit].map(count);
            first.into_iter().chain(rest).collect()
        });
        return csv::render(&head, &rows.collect::<Vec<_>>());
    }
    let head = ["type", "kinds", "installed", "required", "planned", "held", "short", "lacking", "over", "unfit"];
    let rows = stock.types.iter().map(|t| {
        // What nobody counted is left empty: it is not none.
        let held = if t.known { count(t.held) } else { Cell::Empty };
        let first = [Cell::text(&t.words), Cell::text(t.kinds.join(" "))];
        let numbers = [count(t.installed), count(t.required), count(t.planned), held];
        let rest = [t.short, t.lacking, t.over, t.unfit].map(count);
        first.into_iter().chain(numbers).chain(rest).collect()
    });
    csv::render(&head, &rows.collect::<Vec<_>>())
}

struct Page {
    out: String,
    columns: usize,
}

impl Page {
    fn line(&mut self, line: &str) {
        self.out.push_str(plain(line).trim_end());
        self.out.push('\n');
    }

    fn hang(&mut self, first: &str, rest: &str, words: &str) {
        let room = self.columns.saturating_sub(text::width(first)).max(20);
        for (n, line) in text::wrap(&plain(words), room).iter().enumerate() {
            self.line(&format!("{}{line}", if n == 0 { first } else { rest }));
        }
    }

    fn table(&mut self, head: &[&str], rows: Vec<Vec<String>>) {
        let rows = aligned(head, rows, self.columns);
        self.out.push_str(&rows);
    }

    fn title(&mut self, state: &State, file: &str) {
        self.line(&format!("{} ({file})", state.register().site.name));
        match state.present_round() {
            Some(round) => {
                let signed = if round.is_signed() { "signed" } else { "not signed" };
                self.line(&format!("Round '{}' of {}, {signed}", round.name, round.date()));
            }
            None => self.line("No round has begun."),
        }
    }

    fn site(&mut self, stock: &Stock, table: Option<TableOf>) {
        self.line("");
        match stock.asked {
            Some(asked) => {
                let installed = many(stock.installed as usize, "head");
                let held = stock::held_words(asked, stock.held, stock.short, stock.types.iter().any(|t| t.known));
                self.line(&format!("{installed} installed: {held}"));
            }
            None => self.line("The rule set asks for no spares here."),
        }
        if stock.types.is_empty() {
            return;
        }
        self.line("");
        if table != Some(TableOf::Rating) {
            self.types(&stock.types);
        }
        // Where every type has a rating and response of its own, the second table says nothing new.
        if table == Some(TableOf::Rating) || (table.is_none() && stock.ratings.len() < stock.types.len()) {
            if table.is_none() {
                self.line("");
            }
            self.ratings(&stock.ratings);
        }
        if stock.types.iter().any(|t| t.excused) {
            self.line("-: none is demanded; the register says how service is restored without a dry spare.");
        }
        if !stock.readings.is_empty() {
            self.line("");
            self.readings(stock);
        }
    }

    fn types(&mut self, types: &[TypeLine]) {
        let head = ["TYPE", "#INSTALLED", "#REQUIRED", "#PLAN", "#HELD", "#SHORT", "#OVER", "#UNFIT"];
        let row = |t: &TypeLine| {
            let required = if t.excused { "-".to_owned() } else { t.required.to_string() };
            let held = if t.known { t.held.to_string() } else { "?".to_owned() };
            let mut row = vec![t.words.clone(), t.installed.to_string(), required, t.planned.to_string(), held];
            row.extend(cells([t.short, t.over, t.unfit]));
            row
        };
        let mut rows: Vec<Vec<String>> = types.iter().map(row).collect();
        let sum = |of: fn(&TypeLine) -> u32| types.iter().map(of).fold(0, u32::saturating_add);
        let mut all = vec!["All".to_owned()];
        all.extend(cells([
            sum(|t| t.installed),
            sum(|t| t.required),
            sum(|t| t.planned),
            sum(|t| t.held),
            sum(|t| t.short),
            sum(|t| t.over),
            sum(|t| t.unfit),
        ]));
        rows.push(all);
        self.table(&head, rows);
    }

    fn ratings(&mut self, ratings: &[GroupLine]) {
        let head =
            ["RATING", "RESPONSE", "#TYPES", "#INSTALLED", "#REQUIRED", "#PLAN", "#HELD", "#SHORT", "#OVER", "#UNFIT"];
        let row = |g: &GroupLine| {
            let mut row = vec![g.rating.clone(), g.response.to_string(), g.types.to_string()];
            row.extend(cells([g.installed, g.required, g.planned, g.held, g.short, g.over, g.unfit]));
            row
        };
        self.table(&head, ratings.iter().map(row).collect());
    }

    fn readings(&mut self, stock: &Stock) {
        let head = ["", "READING", "#ASKS", "#SHORT", "WHAT IT COUNTS", "CLAUSE"];
        let rows = stock.readings.iter().map(|r| {
            let rules = if r.rules { "*" } else { "" };
            // A reading for a hazard that the site does not have asks for nothing here.
            let numbers =
                if r.applies { [r.total.to_string(), r.short.to_string()] } else { ["-", "-"].map(str::to_owned) };
            let [asks, short] = numbers;
            vec![
                rules.to_owned(),
                r.reading.clone(),
                asks,
                short,
                format!("{}: {}", r.title, r.bands),
                mark(&r.clause, r.confidence),
            ]
        });
        self.table(&head, rows.collect());
        self.line("*: the reading that rules here. -: for a hazard that the site does not have.");
    }

    fn cabinet(&mut self, it: &CabinetLine) {
        self.line("");
        let names: Vec<String> = it.serves.iter().map(AreaId::to_string).collect();
        let serves = if names.is_empty() { "all areas".to_owned() } else { names.join(", ") };
        let place = it.place.as_ref().map_or(String::new(), |p| format!("; {p}"));
        self.hang("", "  ", &format!("Cabinet {}: {}{place}; serves {serves}", it.cabinet, it.name));
        let counted = match (&it.counted, &it.last_counted) {
            (Some(made), _) if !it.left_out.is_empty() => {
                let left = it.left_out.join(", ");
                format!("Counted in part on {} by {}; not {left}.", made.at.date_naive(), made.by)
            }
            (Some(made), _) => format!("Counted in this round on {} by {}.", made.at.date_naive(), made.by),
            (None, Some(made)) => {
                format!("Not counted in this round; last on {} by {}.", made.at.date_naive(), made.by)
            }
            (None, None) => "Never counted.".to_owned(),
        };
        let list = it.list_of.map_or(String::new(), |d| format!(" Its list is of {d}."));
        self.line(&format!("{counted}{list}"));
        if !it.kinds.is_empty() {
            let head = ["KIND", "#HELD", "#UNFIT", "#LIST", "#HEADS", "COUNTED", "MOVED SINCE"];
            let day = |d: Option<chrono::NaiveDate>| d.map_or_else(|| "-".to_owned(), |d| d.to_string());
            let rows = it.kinds.iter().map(|k| {
                vec![
                    k.kind.clone(),
                    k.held.map_or_else(|| "?".to_owned(), |n| n.to_string()),
                    k.unfit.to_string(),
                    k.listed.map_or_else(|| "-".to_owned(), |n| n.to_string()),
                    k.served.to_string(),
                    day(k.counted_on),
                    day(k.moved_on),
                ]
            });
            self.table(&head, rows.collect());
            self.line("HEADS: of its type, where the cabinet serves. ?: never counted nor put in.");
        }
        if !it.replaced.is_empty() {
            self.line("Replaced from it:");
        }
        for r in &it.replaced {
            self.line(&format!("  {} by {}, {} by {}", r.heads, r.kind, r.made.at.date_naive(), r.made.by));
        }
        if !it.differences.is_empty() {
            self.line("Counts that differed from the ledger:");
        }
        for d in &it.differences {
            let by = d.expected - d.counted;
            let how = if by > 0 { format!("{by} fewer") } else { format!("{} more", -by) };
            let note = d.note.as_ref().map_or(String::new(), |n| format!(": {n}"));
            let (day, who) = (d.made.at.date_naive(), &d.made.by);
            let words = format!("{}: {} counted, {how} than {}, {day} by {who}{note}", d.kind, d.counted, d.expected);
            self.hang("  ", "    ", &words);
        }
    }

    fn findings(&mut self, stock: &Stock, whole: bool) {
        for (weight, title) in [
            (Weight::Wrong, "Wrong"),
            (Weight::Open, "Not known, or not looked at in this round"),
            (Weight::Told, "To be known"),
        ] {
            let of: Vec<_> = stock.findings.iter().filter(|f| f.weight == weight).collect();
            if of.is_empty() {
                continue;
            }
            self.line("");
            self.line(&format!("{title} ({})", of.len()));
            for f in of {
                let whose = f.cabinet.as_ref().map_or(String::new(), |c| format!("{c}: "));
                self.hang("  ", "    ", &format!("{whose}{}", f.text));
                let clause = mark(&f.clause, f.confidence);
                let clause = if clause.is_empty() { clause } else { format!(" ({clause})") };
                self.hang("    -> ", "       ", &format!("{}{clause}", f.remedy));
            }
        }
        self.marks(stock, whole);
        if stock.findings.is_empty() && !stock.is_silent() {
            self.line("");
            self.line("Nothing is short or wrong in what was counted and looked at in this round.");
        }
    }

    /// What the marks behind clauses mean; those of readings only where these were shown.
    fn marks(&mut self, stock: &Stock, whole: bool) {
        let of = |clause: &str, mark: Confidence| (!clause.is_empty()).then_some(mark);
        let readings = stock.readings.iter().filter(|_| whole).filter_map(|r| of(&r.clause, r.confidence));
        let words = mark_words(readings.chain(stock.findings.iter().filter_map(|f| of(&f.clause, f.confidence))));
        if !words.is_empty() {
            self.line("");
            self.hang("", "", &format!("{words} The adopted code and the authority decide."));
        }
    }

    fn trends(&mut self, trends: &Trends) {
        self.line("");
        self.line("Taken out and put in, by calendar year");
        if trends.years.is_empty() {
            self.line("  nothing is recorded");
        } else {
            let head = ["YEAR", "TYPE", "#REPLACED", "#TAKEN", "#DISCARDED", "#PUT IN"];
            let rows = trends.years.iter().map(|y| {
                let mut row = vec![y.year.to_string(), y.words.clone()];
                row.extend(cells([y.replacements, y.taken, y.discarded, y.put_in]));
                row
            });
            self.table(&head, rows.collect());
        }
        if !trends.differences.is_empty() {
            self.line("");
            self.line("Counts that differed, by calendar year");
            let head = ["YEAR", "CABINET", "KIND", "#COUNTS", "#FEWER", "#MORE"];
            let rows = trends.differences.iter().map(|d| {
                let numbers = [i64::from(d.counts), d.fewer, d.more].map(|n| n.to_string());
                [d.year.to_string(), d.cabinet.to_string(), d.kind.clone()].into_iter().chain(numbers).collect()
            });
            self.table(&head, rows.collect());
        }
        if !trends.still.is_empty() {
            self.line("");
            self.line("Stock that has not moved for a year or longer");
            let head = ["CABINET", "KIND", "#HELD", "SINCE", "#YEARS", ""];
            let rows = trends.still.iter().map(|s| {
                let moved = if s.moved { "" } else { "first count" };
                let (held, years) = (s.held.to_string(), s.years.to_string());
                vec![s.cabinet.to_string(), s.kind.clone(), held, s.since.to_string(), years, moved.to_owned()]
            });
            self.table(&head, rows.collect());
        }
        if !trends.gone.is_empty() {
            self.line("");
            self.line("Kinds of the register that are not installed");
            let head = ["KIND", "MAKE-UP", "#WAS", "#OF ITS TYPE", "#HELD"];
            let rows = trends.gone.iter().map(|g| {
                let held = g.held.map_or_else(|| "?".to_owned(), |n| n.to_string());
                vec![g.kind.clone(), g.make_up.clone(), g.was.to_string(), g.of_its_type.to_string(), held]
            });
            self.table(&head, rows.collect());
            self.line(
                "WAS: heads that were of it. OF ITS TYPE: heads of its type that are installed, which its spares fit.",
            );
        }
    }
}
