//! The pages of an explanation: each a rule that spoke, with what it spoke about. Nothing is drawn here.

use std::rc::Rc;
use std::sync::Arc;

use super::parts;
use crate::round::entry::What;
use crate::round::layout::HeadIx;
use crate::round::lots::condemnation;
use crate::round::rulings::judged;
use crate::round::state::State;
use crate::round::story::{Answer, Carried, Fate, Finding};
use crate::rules::judge::Judgement;
use crate::rules::model::{RuleIx, RuleSet, Ruling};
use crate::tui::picture::{PictureSpec, Touch};

/// What an explanation is of.
pub enum About {
    /// What was ruled on a head, as its findings stand.
    Head(HeadIx),
    /// The same, where another set judges the record.
    Under(Rc<State>, HeadIx),
    /// Rules that speak together, of any set.
    Rules(Box<Spoken>),
}

/// Rules that speak together about something that nobody need have recorded.
pub struct Spoken {
    /// The set they are of.
    pub set: Arc<RuleSet>,
    /// The rules, strongest first.
    pub rules: Vec<RuleIx>,
    /// What they speak about.
    pub title: String,
    /// A line below it.
    pub under: String,
    /// The head, with what is seen on it.
    pub picture: PictureSpec,
}

/// Something said before a rule: a paragraph in one of a few tones.
pub enum Said {
    /// What it is about.
    Heading(String),
    /// Who, when, how.
    Quiet(String),
    /// As it is.
    Plain(String),
    /// Good news.
    Good(String),
    /// Something to be careful about.
    Warning(String),
    /// What was ruled.
    Ruled(Judgement),
}

/// One page.
#[derive(Default)]
pub struct Page {
    /// What is said before the rule.
    pub said: Vec<Said>,
    /// The rule.
    pub rule: Option<RuleIx>,
    /// The other rules that spoke about the same.
    pub beside: Vec<RuleIx>,
    /// What is seen, where it can be drawn.
    pub touch: Option<Touch>,
}

/// The pages about a head, strongest finding first as the story has them; at least one.
pub fn of_head(state: &State, head: HeadIx) -> Vec<Page> {
    let mut pages = Vec::new();
    for finding in &state.story(head).findings {
        of_finding(state, finding, &mut pages);
    }
    if state.story(head).unsure.is_some()
        && let Some(judgement) = state.judgement(head)
    {
        let said = || vec![Said::Heading("It could not be judged".to_owned()), Said::Ruled(judgement)];
        of_judgement(state, judgement, None, said, &mut pages);
    }
    if let Some(standing) = state.standing(head).filter(|j| !state.judge().reasons(*j).is_empty()) {
        let said = || vec![Said::Heading("What the register alone says".to_owned()), Said::Ruled(standing)];
        of_judgement(state, standing, None, said, &mut pages);
    }
    if let Some(it) = condemnation(state, head) {
        let said = vec![
            Said::Heading("A failed test of its lot".to_owned()),
            Said::Plain(format!("{}.", capital(&it.words))),
            Said::Ruled(it.judgement),
            Said::Plain(it.because.to_owned()),
            Said::Quiet(it.clause.to_owned()),
        ];
        pages.push(Page { said, ..Page::default() });
    }
    for carried in state.story(head).carried.iter().filter(|c| c.answer == Answer::Open) {
        of_carried(state, head, carried, &mut pages);
    }
    if pages.is_empty() {
        let words = match state.judgement(head) {
            Some(j) if j.ruling == Ruling::Keep => "It was looked at and nothing was entered: no rule has spoken.",
            _ => "Nothing was recorded about it in this round, so there is no ruling. Absence never means fine.",
        };
        pages.push(Page { said: vec![Said::Plain(words.to_owned())], ..Page::default() });
    }
    pages
}

fn of_finding(state: &State, finding: &Finding, pages: &mut Vec<Page>) {
    let Some(entry) = state.entry(finding.entry) else { return };
    let What::Saw(saw) = &entry.what else { return };
    let doubt = if saw.doubtful { ", in doubt" } else { "" };
    let by = format!("{} {}, {}{doubt}", entry.by, parts::when(entry), parts::how(saw.how));
    let said = || {
        let mut said = vec![Said::Heading(capital(&parts::saw(state, saw))), Said::Quiet(by.clone())];
        said.extend(saw.note.clone().map(Said::Plain));
        let fate = match finding.fate {
            Fate::Open => None,
            Fate::Mended(_) => Some("It was mended in this round; nobody has looked at it again."),
            Fate::Gone(_) => Some("It was looked at again and is gone."),
            Fate::SetAside(_) => Some("A disagreement was settled against it."),
        };
        said.extend(fate.map(|words| Said::Good(words.to_owned())));
        if !finding.known {
            let words = "The adopted rule set does not know this combination of words, so it counts as not judged.";
            said.push(Said::Warning(words.to_owned()));
        }
        said.push(Said::Ruled(finding.judgement));
        said
    };
    let touch = Touch::new(&saw.sign, &saw.part, &saw.extent);
    of_judgement(state, finding.judgement, Some(&touch), said, pages);
}

/// A finding of an earlier round to which this one says nothing yet: what it would lead to if it is still there.
fn of_carried(state: &State, head: HeadIx, carried: &Carried, pages: &mut Vec<Page>) {
    let Some(entry) = state.entry(carried.last) else { return };
    let What::Saw(saw) = &entry.what else { return };
    let Some(judgement) = judged(state, head, saw) else { return };
    let by = format!("round {}: {} {}; not answered in this round", entry.round, entry.by, parts::when(entry));
    let said = || {
        let heading = Said::Heading(capital(&parts::saw(state, saw)));
        vec![heading, Said::Quiet(by.clone()), Said::Ruled(judgement)]
    };
    of_judgement(state, judgement, Some(&Touch::new(&saw.sign, &saw.part, &saw.extent)), said, pages);
}

fn of_judgement(
    state: &State,
    judgement: Judgement,
    touch: Option<&Touch>,
    said: impl Fn() -> Vec<Said>,
    pages: &mut Vec<Page>,
) {
    let reasons = state.judge().reasons(judgement);
    if reasons.is_empty() {
        let mut said = said();
        said.push(Said::Plain("No rule had anything to say.".to_owned()));
        pages.push(Page { said, touch: touch.cloned(), ..Page::default() });
    }
    for rule in reasons {
        let beside = reasons.iter().copied().filter(|r| r != rule).collect();
        pages.push(Page { said: said(), rule: Some(*rule), beside, touch: touch.cloned() });
    }
}

/// The pages about rules that speak together; at least one.
pub fn of_rules(spoken: &Spoken) -> Vec<Page> {
    let head = || vec![Said::Heading(capital(&spoken.title)), Said::Quiet(spoken.under.clone())];
    if spoken.rules.is_empty() {
        let mut said = head();
        said.push(Said::Plain("No rule has anything to say about it.".to_owned()));
        return vec![Page { said, ..Page::default() }];
    }
    let page = |rule: &RuleIx| Page {
        said: head(),
        rule: Some(*rule),
        beside: spoken.rules.iter().copied().filter(|r| r != rule).collect(),
        touch: None,
    };
    spoken.rules.iter().map(page).collect()
}

fn capital(words: &str) -> String {
    let mut chars = words.chars();
    chars.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default() + chars.as_str()
}
