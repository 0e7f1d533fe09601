//! A rule file to start from: it extends a set and changes nothing yet. Below stand blocks in comments, each of which
//! holds as it stands, made from what the extended set knows.

use std::fmt::Write as _;

use super::age;
use super::facts::{Facts, Field};
use super::fit;
use super::load::FORMAT;
use super::load_spares;
use super::model::{Class, Rule, RuleSet, Ruling, Seen};
use super::spares::SpareField;
use crate::trade::kind::{Kind, Response, Style};
use crate::trade::measure::Span;
use crate::trade::register_write::scalar;

/// What the file begins with; the schema is written beside it by `headround rules schema`.
const SCHEMA_LINE: &str = "# yaml-language-server: $schema=rule-set.schema.json\n";

/// The columns that explanations are wrapped to.
const WIDTH: usize = 110;

/// A rule file to start from.
#[derive(Clone, Copy, Debug)]
pub struct Starter<'a> {
    /// The set's word.
    pub name: &'a str,
    /// One line for people.
    pub title: &'a str,
    /// The set it extends.
    pub extends: &'a RuleSet,
}

/// The text of the file. Lines that begin with `##` explain; a block of lines that begin with a single `#` is an
/// example, and is read when `# ` is taken from each.
#[must_use]
pub fn starter(it: &Starter<'_>) -> String {
    let set = it.extends;
    let mut t = String::from(SCHEMA_LINE);
    explain(
        &mut t,
        &[
            &format!(
                "A rule set of your own. It takes over every rule, word and duty of {}, and changes what is written \
                 here.",
                set.name
            ),
            "Lines with ## explain. A block of lines with a single # is an example that holds as it stands: take the \
             # and the space behind it from its lines, put your own words in, and run 'headround rules check' on \
             this file. What is wrong is told with line and column.",
            "docs/rule-set.md explains every key. 'headround rules schema > rule-set.schema.json', beside this file, \
             lets an editor complete and check them.",
            "An authority may settle, tighten and loosen; name its bulletin or letter under 'source'. A company may \
             be stricter than the adopted code, never milder.",
        ],
    );
    let _ = writeln!(
        t,
        "format: {FORMAT}\nname: {}\ntitle: {}\nextends: {}",
        scalar(it.name),
        scalar(it.title),
        scalar(&set.name)
    );
    settle(&mut t, set);
    amend(&mut t, set);
    own_sign(&mut t, set);
    tighter_age(&mut t, set);
    stricter_spare(&mut t, set);
    clearance(&mut t, set);
    recalled(&mut t);
    more(&mut t);
    t
}

/// Writes paragraphs as explaining comments; those that begin with a dash are items of a list.
fn explain(t: &mut String, paragraphs: &[&str]) {
    for (at, paragraph) in paragraphs.iter().enumerate() {
        if at > 0 && !paragraph.starts_with("- ") {
            t.push_str("##\n");
        }
        let mut line = String::from("##");
        for word in crate::diag::plain(paragraph).split_whitespace() {
            if line.len() + 1 + word.len() > WIDTH && line.len() > 2 {
                let _ = writeln!(t, "{line}");
                line.truncate(2);
            }
            line.push(' ');
            line.push_str(word);
        }
        let _ = writeln!(t, "{line}");
    }
}

/// Writes a block with its explanation in front.
fn block(t: &mut String, paragraphs: &[&str], example: &str) {
    t.push('\n');
    explain(t, paragraphs);
    for line in example.lines() {
        let _ = writeln!(t, "# {line}");
    }
}

/// Whether an eye sees one of the rule's signs.
fn by_eye(set: &RuleSet, rule: &Rule) -> bool {
    rule.when.signs.iter().filter_map(|s| set.sign_at(*s)).any(|s| s.seen == Seen::Eye)
}

fn settle(t: &mut String, set: &RuleSet) {
    let contested: Vec<&Rule> = set.rules.iter().filter(|r| r.contested.is_some()).collect();
    let Some(first) =
        contested.iter().find(|r| r.ruling != Ruling::Replace && by_eye(set, r)).or_else(|| contested.first())
    else {
        return;
    };
    let mut paragraphs = vec![format!(
        "Contested calls: practice differs, and the authority decides, in one line each. 'headround rules explain \
         CALL --set {}' tells both sides. What {} says now:",
        set.name, set.name
    )];
    for rule in &contested {
        let class = rule.class.map_or_else(|| "no finding".to_owned(), |c| c.to_string());
        paragraphs.push(format!("- {}: {}, {class}. {}", rule.id, rule.ruling, rule.title));
    }
    let class = if first.class.is_some() { "" } else { " noncritical" };
    let words: Vec<&str> = paragraphs.iter().map(String::as_str).collect();
    block(t, &words, &format!("settle:\n  {}: replace{class}", first.id));
}

fn amend(t: &mut String, set: &RuleSet) {
    let first = |ruling: Ruling, class: Class| {
        set.rules
            .iter()
            .find(|r| r.ruling == ruling && r.class == Some(class) && r.contested.is_none() && by_eye(set, r))
    };
    let mut example = String::from("amend:");
    if let Some(rule) = first(Ruling::Replace, Class::Critical) {
        let _ = write!(
            example,
            "\n  - rules: {}\n    remedy: Have it replaced by its equal within ten days, and tell us when it is done.",
            rule.id
        );
    }
    if let Some(rule) = first(Ruling::Watch, Class::Noncritical).or_else(|| first(Ruling::Correct, Class::Noncritical))
    {
        let source = scalar(&format!("{}; class by our bulletin 4", rule.source));
        let _ = write!(
            example,
            "\n  - rules: {}\n    class: critical\n    class_confidence: A\n    source: {source}",
            rule.id
        );
    }
    if !example.contains('\n') {
        return;
    }
    block(
        t,
        &["Single fields of inherited rules; what is not named stays. 'rules' may be a list. 'class: none', 'never: \
           none' and 'unless: none' take away. A changed 'when' or 'unless' brings its own 'cases'."],
        &example,
    );
}

fn own_sign(t: &mut String, set: &RuleSet) {
    let Some(part) = set.parts.iter().find(|p| p.id == "whole").or_else(|| set.parts.last()) else { return };
    let named = |id: &str| set.extents.iter().find(|e| e.id == id);
    let least = named("light").or_else(|| set.extents.first());
    let most = named("full").or_else(|| set.extents.last());
    let (Some(least), Some(most)) = (least, most) else { return };
    if least.id == most.id {
        return;
    }
    let (part, least, most) = (&part.id, &least.id, &most.id);
    block(
        t,
        &["A sign of your own, with the rules that decide it: every combination of part and extent by exactly one. \
           Each rule needs a case in which it speaks (then) and a near miss in which it does not (instead). Leave \
           the mark 'practice' where no text stands behind it. On the walk the sign is reached by the menu, or by a \
           'key' that no other sign has. Rules of an inherited word take its place."],
        &format!(
            "\
signs:
  - sign: nest
    name: nest
    hint: a bird's or wasps' nest at the head
    parts: [{part}]
    extents:
      {least}: beside the head, not touching it
      {most}: on the head or its arms
rules:
  - rule: nest-beside
    title: A nest beside the head
    when: {{sign: nest, extent: {least}}}
    ruling: correct
    class: noncritical
    clause: bulletin 4
    source: our bulletin 4
    confidence: A
    class_confidence: practice
    because: It grows, holds heat off, and its builders come back to the head.
    remedy: Have it taken away without touching the head.
    never: Never spray anything at a head.
    cases:
      - {{see: a nest on the beam beside a head, extent: {least}, then: correct}}
      - {{see: a nest built around the frame arms, extent: {most}, instead: replace}}
  - rule: nest-on-head
    title: A nest on the head
    when: {{sign: nest, extent: {most}}}
    ruling: replace
    class: critical
    clause: bulletin 4
    source: our bulletin 4
    confidence: A
    class_confidence: practice
    because: Mud and straw keep the heat from the element and can hold the cap.
    remedy: Have the head replaced by its equal.
    never: Never scrape or wash a head.
    cases:
      - {{see: mud on a frame arm, extent: {most}, then: replace}}
      - {{see: a nest beside the escutcheon, extent: {least}, instead: correct}}"
        ),
    );
}

/// A row for quick heads that is due sooner than the extended set asks.
fn tighter_age(t: &mut String, set: &RuleSet) {
    let asked = |facts: &Facts| age::first(&set.duties.ages, facts, None);
    let quick = Facts::plain();
    let mut standard = Facts::plain();
    standard.set(Field::Response, Response::Standard as u8);
    let (Some(now), Some(other)) = (asked(&quick), asked(&standard)) else { return };
    let Ok(first) = Span::parse(&format!("{} years", now.months() / 12 * 3 / 5)) else { return };
    if first.months() == 0 {
        return;
    }
    block(
        t,
        &["Ages: all rows that hold for a head apply, and the earliest counts, so a row of your own can only bring \
           the day forward. A row of an inherited word takes its place; 'drop_rows' leaves inherited ones out."],
        &format!(
            "\
ages:
  - age: our-quick-heads
    title: Quick heads, by our own word
    when: {{response: quick}}
    first: {first}
    then: 5 years
    act: test
    because: Our laboratory has found slow ones at this age.
    clause: bulletin 5
    source: our bulletin 5
    confidence: A
    cases:
      - {{see: a quick bulb, response: quick, then: {first}}}
      - {{see: a standard bulb, response: standard, instead: {other}}}"
        ),
    );
}

/// A row on spares for dry heads, before those that are inherited.
fn stricter_spare(t: &mut String, set: &RuleSet) {
    let rows = &set.duties.spares;
    // Where inherited rows tell heads apart already, this one might leave one of them nothing to say.
    if rows.is_empty() || rows.iter().any(|r| r.field == SpareField::Thread && r.when.asks()) {
        return;
    }
    let Some(head) = load_spares::plain() else { return };
    let unmarked = Kind { thread: None, ..head.clone() };
    let inherited = fit::verdict(rows, &Facts::plain(), &head, &unmarked);
    block(
        t,
        &[
            "Spares: of the rows on one thing that a spare may differ in, the first that applies speaks. A row of your own \
           stands before the inherited ones, and one of an inherited word takes its place.",
        ],
        &format!(
            "\
spares:
  - spare: our-unmarked-dry-heads
    field: thread
    differs: unknown
    when: {{dry: true}}
    verdict: never
    because: A dry head that does not seat in its tee cannot be told from the floor.
    clause: bulletin 7
    source: our bulletin 7
    confidence: A
    cases:
      - {{see: an unmarked dry spare, head: {{dry: true, length: 12 in}}, spare: {{thread: none}}, says: never}}
      - {{see: an unmarked wet spare, spare: {{thread: none}}, instead: {inherited}}}"
        ),
    );
}

fn clearance(t: &mut String, set: &RuleSet) {
    let now = set.clearances.iter().find(|c| c.styles.contains(&Style::Spray));
    let wider = match now.map(|c| c.distance) {
        None => "24 in".to_owned(),
        Some(now) if now.to_string().ends_with('m') => format!("{:.0} mm", now.metres() * 4000.0 / 3.0),
        Some(now) => format!("{:.0} in", now.metres() / 0.0254 * 4.0 / 3.0),
    };
    block(
        t,
        &["Clearances below the deflector; a row takes the place of what is inherited for its styles."],
        &format!(
            "\
clearances:
  - style: spray
    distance: {wider}
    note: Goods on wheels count too.
    clause: bulletin 6
    source: our bulletin 6
    confidence: A"
        ),
    );
}

fn recalled(t: &mut String) {
    block(
        t,
        &["Identification numbers to look out for, added to inherited ones; 'made' may be left out, a year, or \
           years. This number is invented. A site file can hold a list of its own besides."],
        "\
recalled:
  - number: ZQ-0017
    made: 1998..2001
    why: our letter of 12 March 2026",
    );
}

fn more(t: &mut String) {
    block(
        t,
        &["Sentences to show beside the set, and how long records are kept; both are added to inherited ones. \
           'fresh: [retention]' would begin the list anew."],
        "\
cautions:
  - Call the duty officer before a system is shut.
retention:
  - text: Keep the photographs for five years.
    clause: bulletin 4
    source: our bulletin 4
    confidence: A",
    );
}
