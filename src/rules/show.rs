//! A rule set as a list of rows and as an overview: what the commands that show rule sets print, as data and as text.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use serde::Serialize;
use unicode_width::UnicodeWidthStr;

use super::model::{Class, Confidence, RuleSet, Ruling, Seen};

/// One rule as a row.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Row {
    /// The rule's word.
    pub rule: String,
    /// The signs it is about, by word; `any` for all that an eye sees.
    pub signs: Vec<String>,
    /// What must happen.
    pub ruling: Ruling,
    /// The weight of the finding.
    pub class: Option<Class>,
    /// The clause.
    pub clause: String,
    /// How far clause and ruling can be relied on.
    pub confidence: Confidence,
    /// How far the class can be relied on; `None` where there is no class.
    pub class_confidence: Option<Confidence>,
    /// One line.
    pub title: String,
}

/// The rules as rows, in file order.
#[must_use]
pub fn rows(set: &RuleSet) -> Vec<Row> {
    set.rules
        .iter()
        .map(|rule| Row {
            rule: rule.id.clone(),
            signs: if rule.when.any_sign {
                vec!["any".to_owned()]
            } else {
                rule.when.signs.iter().filter_map(|s| set.sign_at(*s)).map(|s| s.id.clone()).collect()
            },
            ruling: rule.ruling,
            class: rule.class,
            clause: rule.clause.clone(),
            confidence: rule.confidence,
            class_confidence: rule.class_confidence,
            title: rule.title.clone(),
        })
        .collect()
}

/// Rows as text, one a line, in columns.
#[must_use]
pub fn rows_text(rows: &[Row]) -> String {
    let cells: Vec<[String; 6]> = rows
        .iter()
        .map(|r| {
            [
                r.rule.clone(),
                r.ruling.to_string(),
                r.class.map_or_else(|| "-".to_owned(), |c| c.to_string()),
                r.confidence.to_string(),
                r.class_confidence.map_or_else(|| "-".to_owned(), |c| c.to_string()),
                r.title.clone(),
            ]
        })
        .collect();
    columns(&["rule", "ruling", "class", "trust", "class trust", "title"], &cells)
}

/// One sign in an overview.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SignRow {
    /// The sign's word.
    pub sign: String,
    /// The name for people.
    pub name: String,
    /// The letter in the walk.
    pub key: Option<char>,
    /// By what it is known.
    pub seen: Seen,
    /// Its parts, by word.
    pub parts: Vec<String>,
    /// Its extents, by word.
    pub extents: Vec<String>,
    /// How many rules are about it.
    pub rules: usize,
}

/// What a set holds, at a glance.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Overview {
    /// The set's word.
    pub name: String,
    /// One line.
    pub title: String,
    /// The edition it follows.
    pub edition: String,
    /// The sets it extends, nearest first.
    pub extends: Vec<String>,
    /// Its signs.
    pub signs: Vec<SignRow>,
    /// How many rules give each ruling.
    pub rulings: BTreeMap<Ruling, usize>,
    /// How many rules bear each mark of confidence for clause and ruling.
    pub confidence: BTreeMap<Confidence, usize>,
    /// How many rules that have a class bear each mark of confidence for it.
    pub class_confidence: BTreeMap<Confidence, usize>,
    /// How many rules.
    pub rules: usize,
    /// How many worked cases.
    pub cases: usize,
    /// How many combinations its rules tell apart, every one of them decided.
    pub combinations: usize,
    /// Clearances below the deflector: the styles, the distance as written, the clause.
    pub clearances: Vec<ClearanceRow>,
    /// How many recalled numbers it lists.
    pub recalled: usize,
    /// Its cautions.
    pub cautions: Vec<String>,
}

/// One clearance in an overview.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ClearanceRow {
    /// Styles of head.
    pub styles: Vec<String>,
    /// The distance as it is written.
    pub distance: String,
    /// The clause.
    pub clause: String,
    /// How far it can be relied on.
    pub confidence: Confidence,
}

/// What a set holds.
#[must_use]
pub fn overview(set: &RuleSet) -> Overview {
    let mut rulings = BTreeMap::new();
    let mut confidence = BTreeMap::new();
    let mut class_confidence = BTreeMap::new();
    for rule in &set.rules {
        *rulings.entry(rule.ruling).or_insert(0) += 1;
        *confidence.entry(rule.confidence).or_insert(0) += 1;
        if let Some(mark) = rule.class_confidence {
            *class_confidence.entry(mark).or_insert(0) += 1;
        }
    }
    let signs = (0u8..)
        .zip(&set.signs)
        .map(|(i, sign)| SignRow {
            sign: sign.id.clone(),
            name: sign.name.clone(),
            key: sign.key,
            seen: sign.seen,
            parts: sign.parts.iter().filter_map(|p| set.part_at(*p)).map(|w| w.id.clone()).collect(),
            extents: sign.extents.iter().filter_map(|e| set.extent_at(*e)).map(|w| w.id.clone()).collect(),
            rules: set.rules.iter().filter(|r| r.when.signs.iter().any(|s| s.0 == i)).count(),
        })
        .collect();
    Overview {
        name: set.name.clone(),
        title: set.title.clone(),
        edition: set.edition.clone(),
        extends: set.extends.clone(),
        signs,
        rulings,
        confidence,
        class_confidence,
        rules: set.rules.len(),
        cases: set.rules.iter().map(|r| r.cases.len()).sum(),
        combinations: set.table.len(),
        clearances: set
            .clearances
            .iter()
            .map(|c| ClearanceRow {
                styles: c.styles.iter().map(ToString::to_string).collect(),
                distance: c.distance.to_string(),
                clause: c.clause.clone(),
                confidence: c.confidence,
            })
            .collect(),
        recalled: set.recalled.len(),
        cautions: set.cautions.clone(),
    }
}

/// An overview as text.
#[must_use]
pub fn overview_text(o: &Overview) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{}: {}", o.name, o.title);
    let _ = writeln!(text, "{}", o.edition);
    if !o.extends.is_empty() {
        let _ = writeln!(text, "extends {}", o.extends.join(", "));
    }
    let _ = writeln!(
        text,
        "{} rules, {} worked cases, {} combinations decided, {} recalled numbers",
        o.rules, o.cases, o.combinations, o.recalled
    );
    let counted = |pairs: Vec<String>| pairs.join(", ");
    let _ = writeln!(text, "rulings: {}", counted(o.rulings.iter().rev().map(|(r, n)| format!("{r} {n}")).collect()));
    for (what, marks) in [("clause and ruling", &o.confidence), ("class", &o.class_confidence)] {
        let words = counted(marks.iter().map(|(c, n)| format!("{c} {n} ({})", c.means())).collect());
        let _ = writeln!(text, "confidence, {what}: {words}");
    }
    text.push('\n');
    let cells: Vec<[String; 5]> = o
        .signs
        .iter()
        .map(|s| {
            [
                s.key.map_or_else(|| "-".to_owned(), String::from),
                s.sign.clone(),
                s.rules.to_string(),
                s.extents.join(" "),
                if s.seen == Seen::Eye { s.parts.join(" ") } else { format!("(known by {})", s.seen) },
            ]
        })
        .collect();
    text.push_str(&columns(&["key", "sign", "rules", "extents", "parts"], &cells));
    if !o.clearances.is_empty() {
        text.push_str("\nClearance below the deflector\n");
        for c in &o.clearances {
            let _ = writeln!(text, "  {}: {} ({}, {})", c.styles.join(", "), c.distance, c.clause, c.confidence);
        }
    }
    if !o.cautions.is_empty() {
        text.push_str("\nCautions\n");
        for caution in &o.cautions {
            let _ = writeln!(text, "  - {caution}");
        }
    }
    crate_plain(&text)
}

/// Printable text whose line ends are kept.
fn crate_plain(text: &str) -> String {
    text.split('\n').map(crate::diag::plain).collect::<Vec<_>>().join("\n")
}

/// Cells in columns, two blanks apart; the last column is not padded.
fn columns<const N: usize>(head: &[&str; N], rows: &[[String; N]]) -> String {
    let mut widths: Vec<usize> = head.iter().map(|h| h.width()).collect();
    for row in rows {
        for (width, cell) in widths.iter_mut().zip(row) {
            *width = (*width).max(cell.as_str().width());
        }
    }
    let mut text = String::new();
    let mut line = |cells: Vec<&str>| {
        let mut out = String::new();
        for (number, (cell, width)) in cells.iter().zip(&widths).enumerate() {
            out.push_str(cell);
            if number + 1 < N {
                out.push_str(&" ".repeat(width.saturating_sub(cell.width()) + 2));
            }
        }
        text.push_str(out.trim_end());
        text.push('\n');
    };
    line(head.to_vec());
    for row in rows {
        line(row.iter().map(String::as_str).collect());
    }
    text
}
