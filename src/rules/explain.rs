//! One rule explained: what it looks for, why it matters, what to do and never to do, where it stands, how far it can be
//! relied on, what other sets say, and its cases; as data and as plain text. The words are the rule file's.

use std::fmt::Write as _;
use std::sync::Arc;

use super::editions_of::{InSet, editions_of};
use super::facts::{Field, setting_bit};
use super::model::{
    Case, Class, Cond, Confidence, ExtentIx, PartIx, Rule, RuleIx, RuleSet, Ruling, Sighting, bit8, bit16,
};
use crate::trade::kind::Applied;
use crate::trade::register::Setting;

/// The columns that text is wrapped to.
pub const WIDTH: usize = 78;

/// One condition in words.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Asked {
    /// What is asked about: `part`, `setting`, `mount` ….
    pub field: &'static str,
    /// The accepted values, by name where the set names them.
    pub values: Vec<String>,
}

/// What a rule asks: its conditions, and those that must not hold together.
#[must_use]
pub fn conditions(set: &RuleSet, rule: &Rule) -> (Vec<Asked>, Vec<Asked>) {
    let signs = rule.when.signs.iter().filter_map(|s| set.sign_at(*s)).map(|s| s.name.clone()).collect();
    let sign = if rule.when.any_sign { vec!["any".to_owned()] } else { signs };
    let mut all = vec![Asked { field: "sign", values: sign }];
    all.extend(asked(set, &rule.when.all));
    (all, rule.when.unless.as_ref().map(|u| asked(set, u)).unwrap_or_default())
}

/// What conditions ask, in the words of the set.
pub(crate) fn asked(set: &RuleSet, cond: &Cond) -> Vec<Asked> {
    let mut found = Vec::new();
    let mut put = |field: &'static str, values: Vec<String>| found.push(Asked { field, values });
    if cond.part != u16::MAX {
        let parts = (0u8..).zip(&set.parts).filter(|(i, _)| cond.part & bit16(*i) != 0);
        put("part", parts.map(|(_, w)| w.name.clone()).collect());
    }
    if cond.extent != u8::MAX {
        let extents = (0u8..).zip(&set.extents).filter(|(i, _)| cond.extent & bit8(*i) != 0);
        put("extent", extents.map(|(_, w)| w.name.clone()).collect());
    }
    if cond.applied != u8::MAX {
        let origins = Applied::ALL.iter().filter(|a| cond.applied & bit8(**a as u8) != 0);
        put("origin", origins.map(ToString::to_string).collect());
    }
    for field in Field::ALL {
        let bits = cond.field(*field);
        if bits != u16::MAX {
            let words = (0u8..).zip(field.words()).filter(|(i, _)| bits & bit16(*i) != 0);
            put(field.as_str(), words.map(|(_, w)| w.to_owned()).collect());
        }
    }
    if cond.setting != 0 {
        let settings = Setting::ALL.iter().filter(|s| cond.setting & setting_bit(**s) != 0);
        put("setting", settings.map(ToString::to_string).collect());
    }
    found
}

/// A worked case of a rule, in the words of its set.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Told {
    /// What is seen, in a sentence.
    pub see: String,
    /// The sign's word.
    pub sign: String,
    /// The part's word.
    pub part: String,
    /// The extent's word.
    pub extent: String,
    /// Who applied the finish, where the case says.
    pub origin: Option<Applied>,
    /// What differs from the plain head: `mount concealed`.
    pub facts: Vec<String>,
    /// Whether the rule speaks in it; otherwise it is a near miss.
    pub holds: bool,
    /// What the whole set rules.
    pub ruling: Ruling,
    /// The rule that leads there; `None`: no rule has anything to say.
    pub by: Option<String>,
}

/// One rule explained.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Explanation {
    /// The set's word.
    pub set: String,
    /// The edition it follows.
    pub edition: String,
    /// The rule's word.
    pub rule: String,
    /// One line.
    pub title: String,
    /// What must happen.
    pub ruling: Ruling,
    /// The weight of the finding; `None`: no finding.
    pub class: Option<Class>,
    /// The clause.
    pub clause: String,
    /// Where the clause or the judgement comes from.
    pub source: String,
    /// How far clause and ruling can be relied on.
    pub confidence: Confidence,
    /// How far the class can be relied on; `None` exactly where there is no class.
    pub class_confidence: Option<Confidence>,
    /// Both marks in letters.
    #[serde(skip)]
    pub marks: String,
    /// What both marks mean.
    pub reliance: String,
    /// The plain reason, with the physics.
    pub because: String,
    /// What to do.
    pub remedy: String,
    /// What never to do.
    pub never: Option<String>,
    /// The argument of a contested call, both sides.
    pub contested: Option<String>,
    /// What it looks for.
    pub when: Vec<Asked>,
    /// What must not hold besides, taken together.
    pub unless: Vec<Asked>,
    /// What the extents it asks about mean for its sign.
    pub extents: Vec<String>,
    /// Whether it speaks beside the rule that decides, and decides nothing alone.
    pub also: bool,
    /// The rules that are silent where it holds.
    pub over: Vec<String>,
    /// The rules where which hold it is silent.
    pub under: Vec<String>,
    /// What the sets handed in say under the same word.
    pub editions: Vec<InSet>,
    /// Its cases and near misses.
    pub cases: Vec<Told>,
}

/// Explains one rule, beside what `others` say under its word; `None` for an index outside the set.
#[must_use]
pub fn explain(set: &RuleSet, ix: RuleIx, others: &[Arc<RuleSet>]) -> Option<Explanation> {
    let rule = set.rule_at(ix)?;
    let (when, unless) = conditions(set, rule);
    let named = |list: &[RuleIx]| list.iter().filter_map(|o| set.rule_at(*o)).map(|r| r.id.clone()).collect();
    Some(Explanation {
        set: set.name.clone(),
        edition: set.edition.clone(),
        rule: rule.id.clone(),
        title: rule.title.clone(),
        ruling: rule.ruling,
        class: rule.class,
        clause: rule.clause.clone(),
        source: rule.source.clone(),
        confidence: rule.confidence,
        class_confidence: rule.class_confidence,
        marks: rule.marks(),
        reliance: rule.reliance(),
        because: rule.because.clone(),
        remedy: rule.remedy.clone(),
        never: rule.never.clone(),
        contested: rule.contested.clone(),
        when,
        unless,
        extents: extent_meanings(set, rule),
        also: rule.also,
        over: named(&rule.over),
        under: set.rules.iter().filter(|r| r.over.contains(&ix)).map(|r| r.id.clone()).collect(),
        editions: editions_of(set, ix, others)?,
        cases: rule.cases.iter().map(|c| told(set, c)).collect(),
    })
}

fn told(set: &RuleSet, case: &Case) -> Told {
    let word = |w: Option<&super::model::Word>| w.map(|w| w.id.clone()).unwrap_or_default();
    Told {
        see: case.see.clone(),
        sign: set.sign_at(case.sign).map(|s| s.id.clone()).unwrap_or_default(),
        part: word(set.part_at(case.part)),
        extent: word(set.extent_at(case.extent)),
        origin: case.applied,
        facts: case.facts.words(),
        holds: case.holds,
        ruling: case.ruling,
        by: decided_by(set, case).map(|r| r.id.clone()),
    }
}

impl Explanation {
    /// What a rule looks for, an item each; the last says what must not hold.
    #[must_use]
    pub fn looks_for(&self) -> Vec<String> {
        let mut items: Vec<String> =
            self.when.iter().map(|one| format!("{}: {}", one.field, one.values.join(", "))).collect();
        if !self.unless.is_empty() {
            let words: Vec<String> =
                self.unless.iter().map(|a| format!("{} {}", a.field, a.values.join(" or "))).collect();
            items.push(format!("but not where: {}", words.join(", and ")));
        }
        items
    }

    /// How it stands beside other rules of its set, in sentences; empty where it stands alone.
    #[must_use]
    pub fn beside(&self) -> String {
        let mut beside = Vec::new();
        if self.also {
            beside.push("It speaks beside the rule that decides, and decides nothing alone.".to_owned());
        }
        if !self.over.is_empty() {
            beside.push(format!("Where it holds, these are silent: {}.", self.over.join(", ")));
        }
        if !self.under.is_empty() {
            beside.push(format!("It is silent where these hold: {}.", self.under.join(", ")));
        }
        beside.join(" ")
    }

    /// Everything but the cases, as plain text.
    #[must_use]
    pub fn text(&self) -> String {
        let mut text = String::new();
        wrap(&mut text, &format!("{}: {}", self.rule, self.title), "", "  ", WIDTH);
        wrap(&mut text, &self.edition, "", "", WIDTH);
        let class = self.class.map_or_else(|| "no finding".to_owned(), |c| c.to_string());
        let _ = writeln!(text, "\nRuling: {} ({class})", self.ruling);
        let _ = writeln!(text, "\nWhat it looks for");
        for one in self.looks_for() {
            item(&mut text, &one);
        }
        for one in &self.extents {
            wrap(&mut text, one, "      ", "        ", WIDTH);
        }
        section(&mut text, "Why it matters", &self.because);
        section(&mut text, "What to do", &self.remedy);
        if let Some(never) = &self.never {
            section(&mut text, "What never to do", never);
        }
        if let Some(contested) = &self.contested {
            section(&mut text, "Contested", contested);
        }
        let stands =
            format!("Clause {}. Source: {}. Confidence {} ({}).", self.clause, self.source, self.marks, self.reliance);
        section(&mut text, "Where it stands", &stands);
        let beside = self.beside();
        if !beside.is_empty() {
            section(&mut text, "Beside other rules", &beside);
        }
        if self.editions.len() > 1 {
            let _ = writeln!(text, "\nHow the editions differ (*: this set)");
            text.push_str(&super::editions_of::text(&self.editions, WIDTH));
        }
        text
    }
}

/// What each extent that a rule asks about means for its sign; empty where it asks about none or about several signs.
#[must_use]
pub fn extent_meanings(set: &RuleSet, rule: &Rule) -> Vec<String> {
    let [sign] = rule.when.signs.as_slice() else { return Vec::new() };
    let Some(sign) = set.sign_at(*sign).filter(|s| s.extents.len() > 1) else { return Vec::new() };
    let mut hints = sign.extent_hints.iter();
    let said = sign.extents.iter().filter_map(|e| {
        let word = set.extent_at(*e)?;
        let hint = hints.next().filter(|h| !h.is_empty()).unwrap_or(&word.hint);
        (rule.when.all.extent & bit8(e.0) != 0).then(|| format!("{}: {hint}", word.name))
    });
    said.collect()
}

/// The rule that leads in a case: the one whose ruling stands.
#[must_use]
pub fn decided_by<'s>(set: &'s RuleSet, case: &Case) -> Option<&'s Rule> {
    let s = Sighting { sign: case.sign, part: case.part, extent: case.extent, applied: case.applied };
    let at = set.table.outcome(set.table.start(case.sign, &case.facts), s)?;
    let leading = set.table.outcomes.get(usize::from(at))?.rules.first()?;
    set.rule_at(*leading)
}

/// What a case ends in: the ruling, and for a near miss the rule that decides there.
#[must_use]
pub fn ending(set: &RuleSet, case: &Case) -> String {
    match decided_by(set, case).filter(|_| !case.holds) {
        Some(rule) => format!("{}, by {}", case.ruling, rule.id),
        None => case.ruling.to_string(),
    }
}

/// The cases and the near misses of a rule, as items of plain text.
#[must_use]
pub fn cases_text(set: &RuleSet, rule: &Rule) -> String {
    let mut text = String::new();
    for (holds, title) in [(true, "Cases"), (false, "Near misses")] {
        let cases: Vec<&Case> = rule.cases.iter().filter(|c| c.holds == holds).collect();
        if !cases.is_empty() {
            let _ = writeln!(text, "\n{title}");
            for case in cases {
                item(&mut text, &case_words(set, case));
            }
        }
    }
    text
}

/// A case in one line: what is seen, the combination, the set's ruling.
#[must_use]
pub fn case_words(set: &RuleSet, case: &Case) -> String {
    format!("{} ({}): {}", case.see, combination(set, case), ending(set, case))
}

/// What a case puts together, in the names for people: `paint, frame arms, trace, origin field, mount concealed`.
#[must_use]
pub fn combination(set: &RuleSet, case: &Case) -> String {
    let sign = set.sign_at(case.sign).map_or("?", |s| s.name.as_str());
    let part = |p: PartIx| set.part_at(p).map_or("?", |w| w.name.as_str());
    let extent = |e: ExtentIx| set.extent_at(e).map_or("?", |w| w.name.as_str());
    let mut words = vec![sign.to_owned()];
    if set.sign_at(case.sign).is_some_and(|s| s.parts.len() > 1) {
        words.push(part(case.part).to_owned());
    }
    if set.sign_at(case.sign).is_some_and(|s| s.extents.len() > 1) {
        words.push(extent(case.extent).to_owned());
    }
    if let Some(applied) = case.applied {
        words.push(format!("origin {applied}"));
    }
    words.extend(case.facts.words());
    words.join(", ")
}

fn section(text: &mut String, title: &str, body: &str) {
    let _ = writeln!(text, "\n{title}");
    wrap(text, body, "  ", "  ", WIDTH);
}

fn item(text: &mut String, body: &str) {
    wrap(text, body, "  - ", "    ", WIDTH);
}

/// Writes words wrapped to `columns`; widths are those of a terminal. A word that is longer stands on a line of its own.
pub(crate) fn wrap(text: &mut String, body: &str, first: &str, rest: &str, columns: usize) {
    let width = unicode_width::UnicodeWidthStr::width;
    let mut line = first.to_owned();
    let mut empty = true;
    for word in crate::diag::plain(body).split_whitespace() {
        if !empty && width(line.as_str()) + 1 + width(word) > columns {
            let _ = writeln!(text, "{line}");
            rest.clone_into(&mut line);
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    let _ = writeln!(text, "{line}");
}
