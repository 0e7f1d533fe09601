//! The page on how the sets differ: rules and duties side by side.

use std::fmt::Write as _;
use std::sync::Arc;

use super::super::explain::conditions;
use super::super::model::{Rule, RuleSet};
use super::duties::{Row, Section, sections};
use super::{CAUTION, GENERATED, md, ruling_words, table};

/// What stands where a cell is as the one to its left.
const SAME: &str = "=";

/// The page.
pub(super) fn page(sets: &[Arc<RuleSet>]) -> String {
    let mut t = format!("# How the sets differ\n\n{GENERATED}\n\n{CAUTION}\n\n");
    let _ = writeln!(
        t,
        "`{SAME}` says: as in the column to the left. In bold: what differs. `–`: not in that set. † says that the \
         rule looks for other things than in the column to the left. Behind each entry stand the clause and the \
         mark, [explained here](README.md#how-far-a-rule-can-be-relied-on)."
    );
    t.push_str("\n## Rules\n\n");
    let mut head = vec!["rule".to_owned()];
    head.extend(sets.iter().map(|s| format!("[{0}]({0}.md)", s.name)));
    let head: Vec<&str> = head.iter().map(String::as_str).collect();
    let rows = rule_words(sets).into_iter().map(|word| rule_row(sets, word)).collect::<Vec<_>>();
    table(&mut t, &head, &rows);
    let of_each: Vec<Vec<Section>> = sets.iter().map(|s| sections(s)).collect();
    let mut headings: Vec<&'static str> = Vec::new();
    for section in of_each.iter().flatten() {
        if !headings.contains(&section.heading) {
            headings.push(section.heading);
        }
    }
    for heading in headings {
        let of_heading: Vec<Option<&Section>> =
            of_each.iter().map(|list| list.iter().find(|s| s.heading == heading)).collect();
        duty(&mut t, heading, &head, &of_heading);
    }
    t
}

/// The words of all rules, in the order of the first set that has them.
fn rule_words(sets: &[Arc<RuleSet>]) -> Vec<&str> {
    let mut words: Vec<&str> = Vec::new();
    for rule in sets.iter().flat_map(|s| &s.rules) {
        if !words.contains(&rule.id.as_str()) {
            words.push(&rule.id);
        }
    }
    words
}

fn rule_of<'a>(set: &'a RuleSet, word: &str) -> Option<&'a Rule> {
    set.rule(word).and_then(|ix| set.rule_at(ix))
}

fn rule_row(sets: &[Arc<RuleSet>], word: &str) -> Vec<String> {
    let mut cells = vec![word.to_owned()];
    let mut left: Option<(&RuleSet, &Rule)> = None;
    for set in sets {
        let Some(rule) = rule_of(set, word) else {
            cells.push("–".to_owned());
            left = None;
            continue;
        };
        let was = left.map(|(_, r)| (r.ruling, r.class, &r.clause, r.marks()));
        let other_things = left.is_some_and(|(s, r)| conditions(s, r) != conditions(set, rule));
        let dagger = if other_things { " †" } else { "" };
        let same_ruling = left.is_some_and(|(_, r)| (r.ruling, r.class) == (rule.ruling, rule.class));
        cells.push(if was == Some((rule.ruling, rule.class, &rule.clause, rule.marks())) {
            format!("{SAME}{dagger}")
        } else {
            let ruling = ruling_words(rule.ruling, rule.class);
            let ruling = if same_ruling { SAME.to_owned() } else { format!("**{ruling}**") };
            format!("{ruling}{dagger}<br>{} ({})", md(&rule.clause), rule.marks())
        });
        left = Some((set, rule));
    }
    cells
}

fn duty(t: &mut String, heading: &str, head: &[&str], of_each: &[Option<&Section>]) {
    let Some(first) = of_each.iter().flatten().next() else { return };
    let _ = writeln!(t, "\n## {heading}\n");
    let mut words: Vec<&str> = Vec::new();
    for row in of_each.iter().flatten().flat_map(|s| &s.rows) {
        if !words.contains(&row.word.as_str()) {
            words.push(&row.word);
        }
    }
    let rows: Vec<Vec<String>> = words
        .into_iter()
        .map(|word| {
            let mut cells = vec![md(word)];
            let mut left: Option<&Row> = None;
            for section in of_each {
                let row = section.and_then(|s| s.rows.iter().find(|r| r.word == word));
                cells.push(row.map_or_else(|| "–".to_owned(), |row| duty_cell(row, left, first.columns)));
                left = row;
            }
            cells
        })
        .collect();
    let mut head = head.to_vec();
    if let (Some(slot), Some(column)) = (head.first_mut(), first.columns.first()) {
        *slot = column;
    }
    table(t, &head, &rows);
}

/// What a duty says; beside the one to its left only what differs.
fn duty_cell(row: &Row, left: Option<&Row>, columns: &[&str]) -> String {
    let mut figures = Vec::new();
    for (at, cell) in row.cells.iter().enumerate() {
        let given = cell != "–";
        match left.map(|l| l.cells.get(at) == Some(cell)) {
            None if given => figures.push(md(cell)),
            Some(false) if given => figures.push(format!("**{}**", md(cell))),
            Some(false) => figures.push(format!("**no {}**", columns.get(at + 1).unwrap_or(&"figure"))),
            None | Some(true) => {}
        }
    }
    let standing = |row: &Row| (row.basis.clause.clone(), row.basis.confidence);
    let basis = format!("{} ({})", md(&row.basis.clause), row.basis.confidence);
    let figures = if left.is_some() && figures.is_empty() { SAME.to_owned() } else { figures.join("; ") };
    match left {
        Some(left) if standing(left) == standing(row) => figures,
        _ if figures.is_empty() => basis,
        _ => format!("{figures}<br>{basis}"),
    }
}
