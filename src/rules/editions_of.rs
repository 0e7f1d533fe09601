//! One rule in several sets: what each says under the rule's word, and what becomes of the rule's first case where it is
//! ruled otherwise. The sets are handed in; nothing is loaded here.

use std::fmt::Write as _;
use std::sync::Arc;

use super::explain::conditions;
use super::model::{Case, Class, Confidence, Rule, RuleIx, RuleSet, Ruling, Sighting};

/// What a rule says, in figures and words that can be set side by side.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Says {
    /// What must happen.
    pub ruling: Ruling,
    /// The weight of the finding; `None`: no finding.
    pub class: Option<Class>,
    /// The clause.
    pub clause: String,
    /// How far clause and ruling can be relied on.
    pub confidence: Confidence,
    /// How far the class can be relied on; `None` exactly where there is no class.
    pub class_confidence: Option<Confidence>,
    /// Whether it looks for other things than the rule explained does.
    pub asks_otherwise: bool,
}

/// What a set rules on a case of another set.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Ruled {
    /// What is seen, in a sentence.
    pub see: String,
    /// What must happen; `None`: the set does not know the case's words.
    pub ruling: Option<Ruling>,
    /// The weight of the finding.
    pub class: Option<Class>,
    /// The rules that spoke, strongest first.
    pub rules: Vec<String>,
}

/// A rule in one set.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct InSet {
    /// The set's word.
    pub set: String,
    /// The edition it follows.
    pub edition: String,
    /// Whether it is the set that the rule is explained from.
    pub here: bool,
    /// What it says there; `None`: the rule is not in this set.
    pub rule: Option<Says>,
    /// The rule's first case, where this set rules it otherwise and the rule's own line does not tell so.
    pub first_case: Option<Ruled>,
}

impl InSet {
    /// What the set says in a few words: `watch (noncritical)`, `not in this set`.
    #[must_use]
    pub fn ruling_words(&self) -> String {
        self.rule.as_ref().map_or_else(|| "not in this set".to_owned(), |says| ruling_words(says.ruling, says.class))
    }

    /// The marks in letters: `A, class C`; a dash where the rule is not in the set.
    #[must_use]
    pub fn marks(&self) -> String {
        match &self.rule {
            None => "-".to_owned(),
            Some(says) => {
                let class = says.class_confidence.map_or_else(String::new, |c| format!(", class {c}"));
                format!("{}{class}", says.confidence)
            }
        }
    }

    /// What is to be said besides: that it looks for other things there, and what becomes of the first case.
    #[must_use]
    pub fn remarks(&self) -> Vec<String> {
        let mut said = Vec::new();
        if self.rule.as_ref().is_some_and(|says| says.asks_otherwise) {
            said.push("It looks for other things there.".to_owned());
        }
        if let Some(case) = &self.first_case {
            said.push(match case.ruling {
                None => format!("It has no words for the first case ({}).", case.see),
                Some(ruling) => {
                    let by =
                        if case.rules.is_empty() { String::new() } else { format!(", by {}", case.rules.join(", ")) };
                    format!("The first case ({}) is {} there{by}.", case.see, ruling_words(ruling, case.class))
                }
            });
        }
        said
    }
}

fn ruling_words(ruling: Ruling, class: Option<Class>) -> String {
    class.map_or_else(|| ruling.to_string(), |class| format!("{ruling} ({class})"))
}

/// The rule at `ix` of `set` in that set and in each of `others`; a set of the same name among these is passed over. The
/// set itself stands where its name stands among the others, or else first. `None` for an index outside the set.
#[must_use]
pub fn editions_of(set: &RuleSet, ix: RuleIx, others: &[Arc<RuleSet>]) -> Option<Vec<InSet>> {
    let rule = set.rule_at(ix)?;
    let first = rule.cases.iter().find(|c| c.holds);
    let own = InSet {
        set: set.name.clone(),
        edition: set.edition.clone(),
        here: true,
        rule: Some(says(set, rule, (set, rule))),
        first_case: None,
    };
    let mut list: Vec<InSet> = Vec::with_capacity(others.len() + 1);
    for other in others {
        if other.name == set.name {
            list.push(own.clone());
            continue;
        }
        let there = other.rule(&rule.id).and_then(|ix| other.rule_at(ix));
        let says = there.map(|there| says(other, there, (set, rule)));
        let first_case = first.and_then(|case| otherwise(set, case, other, says.as_ref()));
        list.push(InSet {
            set: other.name.clone(),
            edition: other.edition.clone(),
            here: false,
            rule: says,
            first_case,
        });
    }
    if !list.iter().any(|s| s.here) {
        list.insert(0, own);
    }
    Some(list)
}

fn says(set: &RuleSet, rule: &Rule, explained: (&RuleSet, &Rule)) -> Says {
    Says {
        ruling: rule.ruling,
        class: rule.class,
        clause: rule.clause.clone(),
        confidence: rule.confidence,
        class_confidence: rule.class_confidence,
        asks_otherwise: conditions(set, rule) != conditions(explained.0, explained.1),
    }
}

/// What `other` rules on a case of `set`, where that differs and the rule's own line there does not say the same.
fn otherwise(set: &RuleSet, case: &Case, other: &RuleSet, says: Option<&Says>) -> Option<Ruled> {
    let Some(there) = ruled(set, case, other) else {
        return Some(Ruled { see: case.see.clone(), ruling: None, class: None, rules: Vec::new() });
    };
    let here = ruled(set, case, set);
    let alike = here.is_some_and(|here| here.ruling == there.ruling && here.class == there.class);
    let told = says.is_some_and(|says| Some(says.ruling) == there.ruling && says.class == there.class);
    (!alike && !told).then_some(there)
}

/// What `other` rules on a case of `set`; `None` where it does not know the case's sign, part or extent.
#[must_use]
pub fn ruled(set: &RuleSet, case: &Case, other: &RuleSet) -> Option<Ruled> {
    let sign = other.sign(&set.sign_at(case.sign)?.id)?;
    let part = other.part(&set.part_at(case.part)?.id)?;
    let extent = other.extent(&set.extent_at(case.extent)?.id)?;
    let start = other.table.start(sign, &case.facts);
    let at = other.table.outcome(start, Sighting { sign, part, extent, applied: case.applied })?;
    let outcome = other.table.outcomes.get(usize::from(at))?;
    let rules = outcome.rules.iter().filter_map(|r| other.rule_at(*r)).map(|r| r.id.clone()).collect();
    Some(Ruled { see: case.see.clone(), ruling: Some(outcome.ruling), class: outcome.class, rules })
}

/// The columns left of a set's name.
const MARGIN: usize = 4;

/// The sets as lines in columns, with remarks below; `width` columns at most, as far as words allow.
#[must_use]
pub fn text(list: &[InSet], width: usize) -> String {
    let cells: Vec<[String; 4]> = list
        .iter()
        .map(|s| {
            let clause = s.rule.as_ref().map_or_else(|| "-".to_owned(), |says| crate::diag::plain(&says.clause));
            [crate::diag::plain(&s.set), s.ruling_words(), clause, s.marks()]
        })
        .collect();
    let columns = unicode_width::UnicodeWidthStr::width;
    let wide = |at: usize| cells.iter().filter_map(|row| row.get(at)).map(|c| columns(c.as_str())).max().unwrap_or(0);
    let mut widths = [wide(0), wide(1), 0, wide(3)];
    // The longest clause that leaves room for the marks; a longer one stands below its row, with its marks.
    let room = width.saturating_sub(MARGIN + widths.iter().sum::<usize>() + 6);
    let clauses = cells.iter().map(|[_, _, clause, _]| columns(clause.as_str()));
    let fitting = clauses.filter(|w| *w <= room).max().unwrap_or(0);
    if let Some(clause) = widths.get_mut(2) {
        *clause = fitting;
    }
    let mut text = String::new();
    for (row, it) in cells.iter().zip(list) {
        let mut line = if it.here { "  * ".to_owned() } else { " ".repeat(MARGIN) };
        let [_, _, clause, marks] = row;
        let beside = columns(clause.as_str()) <= fitting;
        for (cell, width) in row.iter().zip(&widths).take(if beside { 4 } else { 2 }) {
            let room = width.saturating_sub(columns(cell.as_str()));
            let _ = write!(line, "{cell}{}  ", " ".repeat(room));
        }
        let _ = writeln!(text, "{}", line.trim_end());
        let below = (!beside).then(|| format!("{clause}; {marks}"));
        for said in below.into_iter().chain(it.remarks()) {
            super::explain::wrap(&mut text, &said, "      ", "      ", width);
        }
    }
    text
}
