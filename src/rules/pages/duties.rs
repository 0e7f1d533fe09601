//! What a set carries beside its rules, as tables: a section with its columns, a row a duty.

use super::super::duties::{AgeRule, Basis, Limit, Since, Suits, Where};
use super::super::explain::{Asked, asked};
use super::super::model::{Cond, Confidence, RuleSet};
use super::super::show_duties::{failure_words, index_words, method_words, sample_words, stock_words, time_words};
use super::super::spares::SpareRow;

/// One section of duties.
pub(super) struct Section {
    pub heading: &'static str,
    /// What the section is about, in a sentence or two; may be empty.
    pub about: &'static str,
    /// The columns before clause and mark; the first names the row.
    pub columns: &'static [&'static str],
    pub rows: Vec<Row>,
}

/// One duty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Row {
    /// What makes it the same duty in another set.
    pub word: String,
    /// One cell a column but the first, as plain text.
    pub cells: Vec<String>,
    /// Why, where the set says it.
    pub why: Option<String>,
    pub basis: Basis,
}

impl Row {
    fn new(word: impl Into<String>, cells: Vec<String>, why: Option<&str>, basis: &Basis) -> Self {
        Self { word: word.into(), cells, why: why.map(str::to_owned), basis: basis.clone() }
    }

    /// The word, cut where it is a sentence.
    pub fn short(&self) -> String {
        const MOST: usize = 6;
        let words: Vec<&str> = self.word.split(' ').collect();
        match words.get(..MOST) {
            Some(first) if words.len() > MOST + 1 => format!("{} …", first.join(" ")),
            _ => self.word.clone(),
        }
    }

    /// What differs from the same duty of another set, in a few words; empty: nothing.
    pub fn differs_from(&self, other: &Self, columns: &[&str]) -> Vec<String> {
        let mut fields: Vec<String> = Vec::new();
        let cells = self.cells.iter().zip(&other.cells).zip(columns.iter().skip(1));
        fields.extend(cells.filter(|((a, b), _)| a != b).map(|(_, column)| (*column).to_owned()));
        for (differs, word) in [
            (self.why != other.why, "why"),
            (self.basis.clause != other.basis.clause, "clause"),
            (self.basis.source != other.basis.source, "source"),
            (self.basis.confidence != other.basis.confidence, "mark"),
        ] {
            if differs {
                fields.push(word.to_owned());
            }
        }
        fields
    }
}

fn basis(clause: &str, source: &str, confidence: Confidence) -> Basis {
    Basis { clause: clause.to_owned(), source: source.to_owned(), confidence }
}

/// A figure that is not given.
fn dash(text: Option<String>) -> String {
    text.unwrap_or_else(|| "–".to_owned())
}

fn conditions(set: &RuleSet, cond: &Cond) -> Vec<String> {
    asked(set, cond).iter().map(|Asked { field, values }| format!("{field} {}", values.join(" or "))).collect()
}

/// The heads that a row is about, in words.
fn heads(set: &RuleSet, when: &Where, made: Option<String>, over: Vec<&str>) -> String {
    let mut words = conditions(set, &when.all);
    words.extend(made.map(|years| format!("made {years}")));
    let mut said = if words.is_empty() { "every head".to_owned() } else { words.join("; ") };
    if let Some(unless) = &when.unless {
        said.push_str(&format!("; not where {}", conditions(set, unless).join(" and ")));
    }
    if !over.is_empty() {
        said.push_str(&format!("; in place of {}", over.join(", ")));
    }
    said
}

fn age(set: &RuleSet, it: &AgeRule) -> Row {
    let over = it.over.iter().filter_map(|o| set.duties.ages.get(*o)).map(|r| r.id.as_str()).collect();
    let first = match it.since {
        _ if it.first.months() == 0 => "at once".to_owned(),
        Since::Service => format!("{} in service", it.first),
        Since::Made => format!("{} from the year made", it.first),
    };
    let cells = vec![
        it.title.clone(),
        heads(set, &it.when, it.made.map(|y| y.to_string()), over),
        first,
        it.then.map_or_else(|| "once".to_owned(), |then| format!("every {then}")),
        it.act.to_string(),
    ];
    Row::new(&it.id, cells, Some(&it.because), &it.basis)
}

fn limit(set: &RuleSet, it: &Limit) -> Row {
    let over = it.over.iter().filter_map(|o| set.duties.limits.get(*o)).map(|r| r.id.as_str()).collect();
    let marked = |words| it.method.as_ref().map_or_else(String::new, |m| format!("{words} ({})", m.confidence));
    let cells = vec![
        it.title.clone(),
        heads(set, &it.when, None, over),
        index_words(it).unwrap_or_else(|| "no figure".to_owned()),
        dash(time_words(it)),
        dash(it.waterway.map(|p| p.to_string())),
        dash(method_words(it).map(marked)),
    ];
    let method = it.method.as_ref().map(|m| format!(" Conditions: {}; {}.", m.clause, m.source));
    let why = format!("{}{}", it.because, method.unwrap_or_default());
    Row::new(&it.id, cells, Some(&why), &it.basis)
}

fn said(rules: bool) -> String {
    if rules { "rules" } else { "another reading" }.to_owned()
}

fn spare(set: &RuleSet, it: &SpareRow) -> Row {
    let cells = vec![it.difference(), heads(set, &it.when, None, Vec::new()), it.verdict.to_string()];
    Row::new(&it.id, cells, Some(&it.because), &it.basis)
}

fn suitability(set: &RuleSet) -> Vec<Row> {
    let Some(it) = &set.duties.suitability else { return Vec::new() };
    match &it.suits {
        Suits::Margin(kelvin) => {
            let cells = vec![format!("the rating lies at least {kelvin} K above the ceiling's highest temperature")];
            vec![Row::new("every ceiling", cells, Some(&it.because), &it.basis)]
        }
        Suits::Table(steps) => steps
            .iter()
            .enumerate()
            .map(|(at, step)| {
                let rating = step.rating.map(|r| format!(", rated {r} or more")).unwrap_or_default();
                // The reason is the whole table's.
                let why = Some(it.because.as_str()).filter(|_| at == 0);
                Row::new(format!("up to {}", step.up_to), vec![format!("{}{rating}", step.class)], why, &it.basis)
            })
            .collect(),
    }
}

/// Every section of a set that holds anything, in the order in which they are wanted.
pub(super) fn sections(set: &RuleSet) -> Vec<Section> {
    let duties = &set.duties;
    let all = vec![
        Section {
            heading: "Ages",
            about: "When heads are due for a test of a sample, or for replacement. All rows that hold for a head \
                    apply, and the earliest counts.",
            columns: &["age", "title", "heads", "first", "then", "act"],
            rows: duties.ages.iter().map(|it| age(set, it)).collect(),
        },
        Section {
            heading: "Sample size",
            about: "Where several readings stand, one rules; the others are shown beside it.",
            columns: &["reading", "how many", "stands"],
            rows: duties
                .samples
                .iter()
                .map(|it| Row::new(&it.id, vec![sample_words(it), said(it.rules)], Some(&it.because), &it.basis))
                .collect(),
        },
        Section {
            heading: "What may be drawn for a sample",
            about: "And what follows when one of it fails.",
            columns: &["about", "rule", "drawn"],
            rows: duties
                .sample_rules
                .iter()
                .map(|it| {
                    let drawn = if it.refuse { "never" } else { "–" };
                    let said = format!("{}{}", it.text, failure_words(it));
                    Row::new(it.matter.as_str(), vec![said, drawn.to_owned()], None, &it.basis)
                })
                .collect(),
        },
        Section {
            heading: "Limits of the operating test",
            about: "What a head must do, and under which conditions the test counts. A test outside them says nothing about \
                    the head.",
            columns: &[
                "limit",
                "title",
                "heads",
                "response time index",
                "time always allowed",
                "waterway clears at",
                "conditions",
            ],
            rows: duties.limits.iter().map(|it| limit(set, it)).collect(),
        },
        Section {
            heading: "Spare heads",
            about: "Where several readings stand, one rules; the others are shown beside it.",
            columns: &["reading", "how many", "stands"],
            rows: duties
                .stock
                .iter()
                .map(|it| Row::new(&it.id, vec![stock_words(it), said(it.rules)], Some(&it.because), &it.basis))
                .collect(),
        },
        Section {
            heading: "Cabinet",
            about: "",
            columns: &["about", "duty", "at most", "age"],
            rows: duties
                .cabinet
                .iter()
                .map(|it| {
                    let figures = [it.at_most.map(|t| t.to_string()), it.age.map(|a| a.to_string())].map(dash);
                    let cells = std::iter::once(it.text.clone()).chain(figures).collect();
                    Row::new(it.matter.as_str(), cells, None, &it.basis)
                })
                .collect(),
        },
        Section {
            heading: "Which spare fits which head",
            about: "What a spare may differ in from the head whose place it takes. Of the rows on one thing the first that \
                    applies speaks; the worst over all things stands for the pair, and what does not differ fits. `may`: it \
                    may go in on the grounds named. `ask`: the designer or the authority decides. `never`: it must not go in.",
            columns: &["row", "spare differs in", "heads", "verdict"],
            rows: duties.spares.iter().map(|it| spare(set, it)).collect(),
        },
        Section {
            heading: "Cleaning",
            about: "",
            columns: &["cleaning", "what"],
            rows: duties
                .cleaning
                .iter()
                .flat_map(|it| {
                    let lines = [("may", it.may.join(" ")), ("never", it.never.join(" ")), ("ends", it.limit.clone())];
                    lines.map(|(word, text)| Row::new(word, vec![text], None, &it.basis))
                })
                .collect(),
        },
        Section {
            heading: "Rating and ceiling",
            about: "Which rating the highest temperature at a ceiling calls for.",
            columns: &["ceiling", "calls for"],
            rows: suitability(set),
        },
        Section {
            heading: "Clearances",
            about: "What is kept clear below the deflector.",
            columns: &["style", "distance", "note"],
            rows: set
                .clearances
                .iter()
                .map(|it| {
                    let styles: Vec<&str> = it.styles.iter().map(|s| s.as_str()).collect();
                    let cells = vec![it.distance.to_string(), it.note.clone()];
                    Row::new(styles.join(", "), cells, None, &basis(&it.clause, &it.source, it.confidence))
                })
                .collect(),
        },
        Section {
            heading: "Visits",
            about: "",
            columns: &["visit", "what", "every", "earliest", "latest"],
            rows: duties
                .visits
                .iter()
                .map(|it| {
                    let window = [it.earliest, it.latest].map(|s| dash(s.map(|s| s.to_string())));
                    let cells = [it.text.clone(), it.every.to_string()].into_iter().chain(window).collect();
                    Row::new(&it.id, cells, None, &it.basis)
                })
                .collect(),
        },
        Section {
            heading: "Classes",
            about: "",
            columns: &["class", "means"],
            rows: set
                .classes
                .iter()
                .map(|it| {
                    let d = &it.duty;
                    let basis = basis(&d.clause, &d.source, d.confidence);
                    Row::new(it.class.as_str(), vec![d.text.clone()], None, &basis)
                })
                .collect(),
        },
        Section {
            heading: "Heads that were not reached",
            about: "",
            columns: &["why", "what follows", "inspection"],
            rows: set
                .unreached
                .iter()
                .map(|it| {
                    let owed = if it.waived { "not required" } else { "still owed" };
                    let basis = basis(&it.clause, &it.source, it.confidence);
                    Row::new(&it.why, vec![it.because.clone(), owed.to_owned()], None, &basis)
                })
                .collect(),
        },
        Section {
            heading: "Clocks of an impairment",
            about: "",
            columns: &["what", "within"],
            rows: set
                .impairment
                .clocks
                .iter()
                .map(|it| {
                    let basis = basis(&it.clause, &it.source, it.confidence);
                    Row::new(&it.what, vec![it.within.to_string()], None, &basis)
                })
                .collect(),
        },
        Section {
            heading: "Records",
            about: "How long they are kept.",
            columns: &["record"],
            rows: set
                .retention
                .iter()
                .map(|it| Row::new(&it.text, Vec::new(), None, &basis(&it.clause, &it.source, it.confidence)))
                .collect(),
        },
    ];
    all.into_iter().filter(|s| !s.rows.is_empty()).collect()
}
