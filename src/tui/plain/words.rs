//! The plain walk in sentences: where one stands, what a head is, what is ruled and why.

use crate::round::act;
use crate::round::layout::HeadIx;
use crate::round::lots::{condemnation, no_replacement};
use crate::round::state::{State, Status};
use crate::round::words::entry_words;
use crate::rules::judge::Judgement;
use crate::rules::model::{RuleSet, Sign, SignIx};
use crate::tui::picture::{PictureSpec, Touch};

use super::order::{WORDS, extent_hints, extents, parts, with_hint};

/// A count with its noun.
#[must_use]
pub fn count(n: usize, one: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") }
}

/// The area's name.
#[must_use]
pub fn area_name(state: &State, area: u16) -> String {
    state.register().areas.get(usize::from(area)).map(|a| a.name.clone()).unwrap_or_default()
}

/// What a head is: place, make-up, year, picture.
#[must_use]
pub fn head_in_full(state: &State, ix: HeadIx) -> Vec<String> {
    let (Some(address), Some(head)) = (state.address(ix), state.layout().head(ix)) else { return Vec::new() };
    let mut lines = Vec::new();
    let row = state.layout().row(head.area, head.spot.line);
    let on_line = row.map_or(0, |r| r.slots.len());
    lines.push(format!(
        "{address}: {}, line {} of {}, place {} of {on_line}.",
        area_name(state, head.area),
        head.spot.line,
        state.layout().rows(head.area).len(),
        head.spot.place,
    ));
    if let Some(kind) = state.register().kind(head.kind) {
        let made = kind.made.map_or_else(|| "year not known".to_owned(), |m| format!("made {m}"));
        lines.push(format!("{}: {}; {made}.", kind.id, kind.describe(state.register().site.units)));
        let mut picture = PictureSpec::of(kind);
        for finding in &state.story(ix).findings {
            if let Some(crate::round::entry::What::Saw(saw)) = state.entry(finding.entry).map(|e| &e.what) {
                picture = picture.with(Touch::new(&saw.sign, &saw.part, &saw.extent));
            }
        }
        lines.push(picture.describe());
    }
    lines
}

/// How far one has come with a head, and what earlier rounds left open.
#[must_use]
pub fn head_state(state: &State, ix: HeadIx) -> Vec<String> {
    let mut lines = Vec::new();
    let story = state.story(ix);
    lines.push(match state.status(ix) {
        Status::Unseen => "Not seen in this round.".to_owned(),
        Status::Seen => match state.judgement(ix) {
            Some(judgement) => format!("Seen. {}", ruling(judgement)),
            None => "Seen.".to_owned(),
        },
        Status::Unsure => {
            let why = story.unsure_why(state).map_or(String::new(), |w| format!(" ({w})"));
            format!("Could not be judged{why}: it needs a close look.")
        }
        Status::Unreached => {
            let why = story.unreached_why(state).map_or(String::new(), |w| format!(" ({w})"));
            format!("Not reached{why}.")
        }
    });
    if let Some(words) = no_replacement(state, ix) {
        lines.push(format!("Sample: {words}"));
    }
    if let Some(it) = condemnation(state, ix) {
        lines.push(format!("A failed test condemns it: {} ({}). {}", it.words, it.clause, ruling(it.judgement)));
    }
    // A head that nobody has looked at has no ruling, and what the register says must not pass for one.
    if state.status(ix) == Status::Seen
        && let Some(judgement) = standing(state, ix)
    {
        lines.push(format!("{} 'why' tells more.", by_register(judgement)));
    }
    for carried in story.carried.iter().filter(|c| c.answer == crate::round::story::Answer::Open) {
        if let Some(entry) = state.entry(carried.last) {
            let said = if carried.said_fixed.is_some() { "; said to be mended, not verified" } else { "" };
            lines.push(format!(
                "From round {}: {}{said}. Is it still there ('still'), or gone ('gone')?",
                entry.round,
                entry_words(entry)
            ));
        }
    }
    for note in &story.notes {
        if let Some(entry) = state.entry(*note) {
            lines.push(format!("{}.", entry_words(entry)));
        }
    }
    if state.has_disagreement(ix) {
        lines.push("People disagree on this head; the stronger ruling stands until it is settled.".to_owned());
    }
    lines
}

/// A ruling in a sentence.
#[must_use]
pub fn ruling(judgement: Judgement) -> String {
    match judgement.class {
        Some(class) => format!("Ruling: {} ({class}).", judgement.ruling),
        None => format!("Ruling: {}.", judgement.ruling),
    }
}

/// What the register alone says of a head, where any rule speaks because of it.
#[must_use]
pub fn standing(state: &State, ix: HeadIx) -> Option<Judgement> {
    state.standing(ix).filter(|j| !state.judge().reasons(*j).is_empty())
}

/// What the register alone says, in a sentence.
#[must_use]
pub fn by_register(judgement: Judgement) -> String {
    match judgement.class {
        Some(class) => format!("What the register alone says: {} ({class}).", judgement.ruling),
        None => format!("What the register alone says: {}.", judgement.ruling),
    }
}

/// The rules behind a judgement: reason, clause, what to do, what never to do.
#[must_use]
pub fn reasons(state: &State, judgement: Judgement) -> Vec<String> {
    let set = state.judge().set();
    let mut lines = Vec::new();
    for rule in state.judge().reasons(judgement).iter().filter_map(|r| set.rule_at(*r)) {
        lines.push(format!("{} ({}; {}).", rule.title, rule.clause, rule.reliance()));
        lines.push(format!("  Because: {}", rule.because));
        lines.push(format!("  Do: {}", rule.remedy));
        if let Some(never) = &rule.never {
            lines.push(format!("  Never: {never}"));
        }
    }
    if lines.is_empty() {
        lines.push("No rule had anything to say.".to_owned());
    }
    lines
}

/// The areas, numbered.
#[must_use]
pub fn areas(state: &State) -> Vec<String> {
    let areas = state.register().areas.iter().enumerate();
    areas
        .map(|(number, area)| {
            let counts = state.area_counts(u16::try_from(number).unwrap_or(u16::MAX));
            let left = counts.unseen + counts.carried;
            let done = if left == 0 {
                "done".to_owned()
            } else {
                format!("{} without an answer", count(counts.unseen, "head"))
            };
            format!("{}. {} ({}): {}, {done}", number + 1, area.name, area.id, count(counts.heads, "head"))
        })
        .collect()
}

/// What has no answer yet in an area.
#[must_use]
pub fn left(state: &State, area: u16) -> Vec<String> {
    let heads = act::unanswered(state, area);
    if heads.is_empty() {
        return vec![format!("{}: every head has an answer.", area_name(state, area))];
    }
    let ranges: Vec<String> = act::ranges(state, &heads).iter().map(ToString::to_string).collect();
    vec![format!(
        "{}: {} without an answer: {}.",
        area_name(state, area),
        count(heads.len(), "head"),
        ranges.join(", ")
    )]
}

/// How far the round has come.
#[must_use]
pub fn counts(state: &State) -> Vec<String> {
    let c = state.counts();
    let round = state.present_round().map_or_else(|| "No round has begun".to_owned(), |r| format!("Round {}", r.name));
    let mut lines = vec![format!(
        "{round}: {}, {} seen, {} not judged, {} not reached, {} unseen.",
        count(c.heads, "head"),
        c.seen,
        c.unsure,
        c.unreached,
        c.unseen
    )];
    if c.impaired > 0 {
        lines.push(format!(
            "{} impaired: tell those who must be told, and follow the impairment procedure.",
            count(c.impaired, "head")
        ));
    }
    if c.carried > 0 {
        lines.push(format!("{} with a finding of an earlier round without an answer.", count(c.carried, "head")));
    }
    if c.disagreements > 0 {
        lines.push(format!("{} open.", count(c.disagreements, "disagreement")));
    }
    lines
}

/// Signs, parts and extents with what is typed for them.
#[must_use]
pub fn signs(set: &RuleSet) -> Vec<String> {
    let mut lines = vec!["Type a sign, a part and an extent, in letters and digits or in words:".to_owned()];
    for (_, sign) in set.eye_signs() {
        let letter = sign.key.map_or(String::new(), |k| format!("{k} or "));
        let parts: Vec<String> = parts(sign, set).iter().map(|(d, id)| format!("{d} {id}")).collect();
        lines.push(format!(
            "{letter}{}: {}. {}; {}.",
            sign.id,
            sign.hint,
            parts.join(", "),
            extents_in_list(sign, set)
        ));
    }
    lines.push("'signs SIGN', as in 'signs p', tells what every extent means for it.".to_owned());
    lines.push("Behind them may stand: factory, field or unknown (who applied a finish); binoculars, lift or camera; doubtful; ': note'.".to_owned());
    lines
}

/// The sign's extents, with their meaning where it is another than for other signs.
fn extents_in_list(sign: &Sign, set: &RuleSet) -> String {
    let of = |(n, id): (usize, String)| with_hint(&id, sign.extent_hints.get(n).map_or("", String::as_str));
    extents(sign, set).into_iter().enumerate().map(of).collect::<Vec<_>>().join(", ")
}

/// One sign in full: where it can be and what each extent means for it.
#[must_use]
pub fn sign(set: &RuleSet, ix: SignIx) -> Vec<String> {
    let Some(sign) = set.sign_at(ix) else { return Vec::new() };
    let letter = sign.key.map_or(String::new(), |k| format!("{k} or "));
    let mut lines = vec![format!("{letter}{}: {}.", sign.id, sign.hint)];
    for ((digit, id), part) in parts(sign, set).iter().zip(sign.parts.iter().filter_map(|p| set.part_at(*p))) {
        lines.push(format!("  {digit} {}.", with_hint(id, &part.hint)));
    }
    for (id, hint) in extents(sign, set).iter().zip(extent_hints(sign, set)) {
        let letter: String = id.chars().take(1).collect();
        lines.push(format!("  {letter} {}.", with_hint(id, hint)));
    }
    lines
}

/// What can be typed.
#[must_use]
pub fn help() -> Vec<String> {
    WORDS
        .iter()
        .map(|(words, rest, what)| format!("{} {rest}", words.join(" or ")).trim_end().to_owned() + ": " + what + ".")
        .collect()
}
