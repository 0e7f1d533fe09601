//! What must be done: one list a ruling, strongest first, by area and kind, for the one who orders and carries out.

use super::answers::is_advisory;
use super::phrases::{capital, class, clause, heads, order, order_means, rule_line, said, sentence};
use super::summary::{Cell, Scene, Section, Table, fact};
use crate::round::layout::HeadIx;
use crate::round::lots::{self, Failure};
use crate::round::rulings::{Recorded, RulingRow, UNKNOWN_WORDS};
use crate::rules::model::{Class, RuleIx, Ruling};
use crate::trade::register::KindIx;

/// Strongest first.
const ORDERS: [Ruling; 6] =
    [Ruling::Replace, Ruling::Test, Ruling::Correct, Ruling::Clean, Ruling::Look, Ruling::Watch];

struct Job {
    area: u16,
    kind: KindIx,
    rules: Vec<RuleIx>,
    /// What outweighs it on the same heads.
    besides: Option<Ruling>,
    /// The failed test that condemns them.
    failed: Option<Failure>,
    /// Whether something recorded of the heads themselves asks for it too.
    seen: bool,
    heads: Vec<HeadIx>,
}

/// The section.
pub(super) fn section(scene: &Scene<'_>) -> Section {
    let mut section = Section::new("actions", "What must be done");
    for ruling in ORDERS {
        let jobs = jobs(scene, ruling);
        if jobs.is_empty() {
            continue;
        }
        section.parts.push(part(scene, ruling, &jobs));
    }
    if section.parts.is_empty() {
        section.para(
            "actions.none",
            "No open finding of this round, and no failed test, asks for anything to be done to a head.",
        );
    } else {
        if scene.rows.iter().any(|r| failed(scene, r).is_some()) {
            let text =
                "Heads that a failed test condemns are among them, whatever they look like; see 'Tests of samples'.";
            section.para("actions.failed", text);
        }
        section.para(
            "actions.lead",
            "Work on the heads and pipes of a live system is for licensed people, with the system taken out of service by \
             the impairment procedure. Never scrape, wash or touch a head to save it. Time limits of the rule set, where \
             it names any, are for impairments; for everything else agree on a date, and ask the authority. The reasons \
             are given in full under 'Findings by area'.",
        );
    }
    section
}

/// Whether a finding of a weaker ruling must still be answered on a head with a stronger one: a new head ends what was
/// wrong with the old one, but not what is wrong around it.
const fn remains(ruling: Ruling, strongest: Ruling) -> bool {
    !matches!(strongest, Ruling::Replace) || matches!(ruling, Ruling::Replace | Ruling::Correct)
}

/// What is open on a head and belongs to the adopted inspection: advisories are told apart.
fn asked(row: &RulingRow) -> impl Iterator<Item = &Recorded> {
    row.open().filter(|r| !is_advisory(r))
}

/// The failed test of its lot that condemns a head.
fn failed(scene: &Scene<'_>, row: &RulingRow) -> Option<Failure> {
    scene.state.failure(row.ix).filter(|f| f.class != Some(Class::Advisory))
}

fn strongest(scene: &Scene<'_>, row: &RulingRow) -> Option<Ruling> {
    asked(row).map(|r| r.ruling).chain(failed(scene, row).map(|_| Ruling::Replace)).max()
}

/// How many heads each ruling is the strongest on that the adopted inspection asks for, strongest first; rulings that
/// ask for nothing are left out.
pub(super) fn tally(scene: &Scene<'_>) -> Vec<(Ruling, usize)> {
    let all: Vec<Ruling> = scene.rows.iter().filter_map(|r| strongest(scene, r)).collect();
    let count = |ruling| all.iter().filter(|r| **r == ruling).count();
    ORDERS.into_iter().map(|r| (r, count(r))).filter(|(_, n)| *n > 0).collect()
}

fn jobs(scene: &Scene<'_>, ruling: Ruling) -> Vec<Job> {
    let mut jobs: Vec<Job> = Vec::new();
    for row in &scene.rows {
        let Some(strongest) = strongest(scene, row) else { continue };
        let failed = failed(scene, row).filter(|_| ruling == Ruling::Replace);
        let seen = asked(row).any(|r| r.ruling == ruling);
        if !remains(ruling, strongest) || !(seen || failed.is_some()) {
            continue;
        }
        let rules = rules(scene, row, ruling);
        let besides = (strongest != ruling).then_some(strongest);
        let same = |j: &&mut Job| {
            j.area == row.area_ix
                && j.kind == row.kind_ix
                && j.besides == besides
                && j.rules == rules
                && j.failed == failed
                && j.seen == seen
        };
        let job = jobs.iter_mut().rev().take(40).find(same);
        match job {
            Some(job) => job.heads.push(row.ix),
            None => jobs.push(Job {
                area: row.area_ix,
                kind: row.kind_ix,
                rules,
                besides,
                failed,
                seen,
                heads: vec![row.ix],
            }),
        }
    }
    jobs.sort_by_key(|j| (j.area, j.kind));
    jobs
}

/// The rules that ask for this of a head, in the order of the set.
fn rules(scene: &Scene<'_>, row: &RulingRow, ruling: Ruling) -> Vec<RuleIx> {
    let mut list: Vec<RuleIx> = asked(row)
        .filter(|r| r.ruling == ruling)
        .flat_map(|r| r.rules.iter().copied())
        .filter(|r| scene.set().rule_at(*r).is_some_and(|rule| rule.ruling > Ruling::Keep || rule.class.is_some()))
        .collect();
    list.sort_unstable();
    list.dedup();
    list
}

fn part(scene: &Scene<'_>, ruling: Ruling, jobs: &[Job]) -> Section {
    let n: usize = jobs.iter().map(|j| j.heads.len()).sum();
    let word = order(ruling);
    let outweighed: usize = jobs.iter().filter(|j| j.besides.is_some()).map(|j| j.heads.len()).sum();
    let also =
        if outweighed > 0 { format!(", of which {outweighed} also under a stronger ruling") } else { String::new() };
    let mut part = Section::new(format!("actions.{ruling}"), format!("{}: {}{also}", capital(word), heads(n)));
    part.para(format!("actions.{ruling}.means"), order_means(ruling));
    let mut at = 0;
    while let Some(first) = jobs.get(at) {
        let until = jobs.iter().skip(at).position(|j| j.area != first.area).map_or(jobs.len(), |n| at + n);
        let here = jobs.get(at..until).unwrap_or_default();
        at = until;
        let area = scene.area_id(first.area);
        let count: usize = here.iter().map(|j| j.heads.len()).sum();
        let mut table = Table::new(
            format!("actions.{ruling}.{area}"),
            format!("{}: {}", scene.area(first.area), heads(count)),
            1,
            &["Heads", "Kind", "Why", "How", "Caution", "Besides"],
        );
        for job in here {
            table.row(row(scene, ruling, job));
        }
        part.table(table);
    }
    part
}

fn row(scene: &Scene<'_>, ruling: Ruling, job: &Job) -> Vec<Cell> {
    let first = job.heads.first().and_then(|h| scene.state.address(*h));
    let id = format!("do.{ruling}.{}", first.map_or_else(String::new, |a| a.to_string()));
    let rules = || job.rules.iter().filter_map(|r| scene.set().rule_at(*r));
    let mut why: Vec<_> = rules().map(|r| fact(format!("{id}.why.{}", r.id), rule_line(r))).collect();
    if why.is_empty() && job.seen {
        why.push(fact(format!("{id}.why"), sentence(&capital(UNKNOWN_WORDS))));
    }
    let mut how = Vec::new();
    if let Some((failure, rule)) = job.failed.clone().zip(lots::failure_rule(scene.state)) {
        let words = said(&lots::failure_words(scene.state, &failure));
        let of_class = failure.class.map_or(String::new(), |c| format!("; {}", class(Some(c))));
        let text = format!("{} ({}{of_class})", capital(&words), clause(&rule.basis.clause));
        why.push(fact(format!("{id}.why.failed-test"), text));
        how.push(fact(format!("{id}.how.failed-test"), sentence(&rule.text)));
    }
    let mut never = Vec::new();
    for rule in rules() {
        let remedy = sentence(&rule.remedy);
        if !remedy.is_empty() && !how.iter().any(|f: &super::summary::Fact| f.text == remedy) {
            how.push(fact(format!("{id}.how.{}", rule.id), remedy));
        }
        let not = rule.never.as_deref().map(sentence).unwrap_or_default();
        if !not.is_empty() && !never.iter().any(|f: &super::summary::Fact| f.text == not) {
            never.push(fact(format!("{id}.never.{}", rule.id), not));
        }
    }
    let besides = job.besides.map_or_else(String::new, |r| format!("Listed under '{}' too.", order(r)));
    vec![
        Cell::one(format!("{id}.heads"), scene.ranges_counted(&job.heads)),
        Cell::one(format!("{id}.kind"), scene.kind(job.kind)),
        Cell::lines(why),
        Cell::lines(how),
        Cell::lines(never),
        Cell::one(format!("{id}.besides"), besides),
    ]
}
