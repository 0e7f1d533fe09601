//! The questions of the walk: why a head was not reached or not judged and how far that goes, which earlier finding is
//! meant, how much clearance was measured. Each ends in drafts; Esc leaves any of them without an entry.

use super::walk_act::only;
use super::walk_ground::{At, Ground};
use super::walk_words::heads_words;
use crate::round::act;
use crate::round::entry::{How, Saw, Unreached, UnreachedWhy, Unsure, UnsureWhy, What};
use crate::round::layout::{HeadIx, Slot};
use crate::round::state::{State, Status};
use crate::trade::address::Heads;
use crate::trade::quantity::{Length, Units};
use crate::tui::ask::{Choice, Choose, Line};
use crate::tui::screen::{Draft, Effect, View};
use crate::tui::text;

fn choices<T: Copy>(all: &[T], words: impl Fn(T) -> (String, String)) -> Vec<Choice> {
    let list = ('1'..='9').zip(all).map(|(key, it)| {
        let (name, hint) = words(*it);
        Choice { key, name, hint }
    });
    aligned(list.collect())
}

/// The hints one below the other.
fn aligned(mut list: Vec<Choice>) -> Vec<Choice> {
    let widest = list.iter().map(|c| text::width(&c.name)).max().unwrap_or(0);
    for choice in &mut list {
        choice.name = text::pad(&choice.name, widest, "");
    }
    list
}

fn record(what: What, head: HeadIx) -> Vec<Effect> {
    vec![Effect::Record(vec![Draft::from(what)]), Effect::Remember(head)]
}

/// A line of text that must say something.
fn must_say(text: &str, _: &View<'_>) -> Result<(), String> {
    if text.is_empty() { Err("Say it in a few words; Esc leaves without".to_owned()) } else { Ok(()) }
}

// ---- clearance ----

/// Asks for the measured clearance before a defect is recorded; nothing typed means none was measured.
pub fn clearance(saw: Saw, head: HeadIx, state: &State) -> Vec<Effect> {
    let units = state.register().site.units;
    let required = state.layout().head(head).and_then(|h| {
        let kind = state.register().kind(h.kind)?;
        let area = state.register().areas.get(usize::from(h.area))?;
        state.judge().set().clearance_rule(kind, area)
    });
    let example = match units {
        Units::Us => "10 in",
        Units::Metric => "250 mm",
    };
    let asks = match required {
        Some(rule) => {
            format!("{} are to be kept clear below the deflector ({}). ", rule.distance.show(units), rule.clause)
        }
        None => String::new(),
    };
    let prompt = format!("{asks}How much is clear? Such as {example}; Enter alone: not measured.");
    let check = move |text: &str, _: &View<'_>| read_length(text, units).map(|_| ());
    let then = move |text: String, _: &View<'_>| {
        let clearance = read_length(&text, units).unwrap_or_default();
        record(What::Saw(Box::new(Saw { clearance, ..saw.clone() })), head)
    };
    vec![Effect::Push(Line::new("Measured clearance", prompt, "", Box::new(check), Box::new(then)))]
}

/// A length, in the site's own unit where none is named; nothing where nothing was typed.
fn read_length(text: &str, units: Units) -> Result<Option<Length>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let bare = text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    let unit = match units {
        Units::Us => "in",
        Units::Metric => "mm",
    };
    let whole = if bare { format!("{text} {unit}") } else { text.to_owned() };
    Length::parse(&whole).map(Some)
}

// ---- could not be judged ----

const fn unsure_words(why: UnsureWhy) -> &'static str {
    match why {
        UnsureWhy::TooFar => "too far away",
        UnsureWhy::Light => "too dark, or against the light",
        UnsureWhy::Hidden => "something is in front of it",
        UnsureWhy::Dirty => "too dirty to see its parts",
        UnsureWhy::BehindPlate => "only the cover plate can be seen",
        UnsureWhy::Other => "another reason, to be typed",
    }
}

/// Asks why a head cannot be judged.
pub fn unsure(head: HeadIx, how: How, state: &State) -> Vec<Effect> {
    let Some(heads) = only(state, head) else { return Vec::new() };
    let list = choices(UnsureWhy::ALL, |why| (why.to_string(), unsure_words(why).to_owned()));
    let then = move |at: usize, _: &View<'_>| {
        let Some(why) = UnsureWhy::ALL.get(at).copied() else { return Vec::new() };
        let draft = move |heads: &Heads, note: Option<String>| {
            record(What::Unsure(Box::new(Unsure { head: heads.clone(), why, how, note })), head)
        };
        if why != UnsureWhy::Other {
            return draft(&heads, None);
        }
        let heads = heads.clone();
        let then = move |text: String, _: &View<'_>| draft(&heads, Some(text));
        let prompt = "Why can it not be judged?";
        vec![Effect::Push(Line::new("Could not be judged", prompt, "", Box::new(must_say), Box::new(then)))]
    };
    let title = format!("{}: in sight, but not to be judged. Why?", address(state, head));
    vec![Effect::Push(Choose::new("reason for not judging", title, list, Box::new(then)))]
}

fn address(state: &State, head: HeadIx) -> String {
    state.address(head).map_or_else(String::new, |a| a.to_string())
}

// ---- not reached ----

const fn unreached_words(why: UnreachedWhy) -> &'static str {
    match why {
        UnreachedWhy::Locked => "the room was locked",
        UnreachedWhy::Occupied => "the room was occupied",
        UnreachedWhy::Process => "above a running process or machine",
        UnreachedWhy::Height => "too high without a lift",
        UnreachedWhy::Hazard => "a hazard forbids going near",
        UnreachedWhy::Clean => "a clean or sterile room",
        UnreachedWhy::Concealed => "above a ceiling or in another concealed space",
        UnreachedWhy::Refused => "somebody refused entry",
        UnreachedWhy::Other => "another reason, to be typed",
    }
}

/// What was said so far about heads not reached.
#[derive(Clone)]
struct Missed {
    area: u16,
    line: u16,
    head: HeadIx,
    why: UnreachedWhy,
    note: Option<String>,
    denied_by: Option<String>,
}

/// Asks why a head was not reached, who denies access, and how far that goes.
pub fn unreached(area: u16, at: At, head: HeadIx, state: &State) -> Vec<Effect> {
    let set = state.judge().set();
    let list = choices(UnreachedWhy::ALL, |why| {
        let waived = set.excuse(why.as_str()).is_some_and(|e| e.waived);
        let hint = unreached_words(why);
        (why.to_string(), if waived { format!("{hint}; no inspection required") } else { hint.to_owned() })
    });
    let line = u16::try_from(at.row + 1).unwrap_or(u16::MAX);
    let then = move |at: usize, _: &View<'_>| {
        let Some(why) = UnreachedWhy::ALL.get(at).copied() else { return Vec::new() };
        let missed = Missed { area, line, head, why, note: None, denied_by: None };
        if why != UnreachedWhy::Other {
            return vec![ask_who(missed)];
        }
        let then = move |text: String, _: &View<'_>| vec![ask_who(Missed { note: Some(text), ..missed.clone() })];
        let prompt = "Why was it not reached?";
        vec![Effect::Push(Line::new("Not reached", prompt, "", Box::new(must_say), Box::new(then)))]
    };
    let title = format!("{}: not reached. Why?", address(state, head));
    vec![Effect::Push(Choose::new("reason for not reaching", title, list, Box::new(then)))]
}

fn ask_who(missed: Missed) -> Effect {
    let then = move |text: String, view: &View<'_>| {
        let denied_by = (!text.is_empty()).then_some(text);
        ask_reach(Missed { denied_by, ..missed.clone() }, view)
    };
    let prompt = "Who denies access? A name or a role; Enter alone: nobody, or not known.";
    Effect::Push(Line::new("Not reached", prompt, "", Box::new(|_: &str, _: &View<'_>| Ok(())), Box::new(then)))
}

fn ask_reach(missed: Missed, view: &View<'_>) -> Vec<Effect> {
    let Some(state) = view.desk.map(|d| d.state()) else { return Vec::new() };
    let reaches = [Reach::Head, Reach::Line, Reach::Area];
    let list = reaches.map(|reach| {
        let count = missed_heads(&missed, reach, state).len();
        let (key, name) = match reach {
            Reach::Head => ('h', "this head".to_owned()),
            Reach::Line => ('l', format!("rest of line {}", missed.line)),
            Reach::Area => ('r', "rest of the area".to_owned()),
        };
        let hint =
            if reach == Reach::Head { String::new() } else { format!("{} without an entry", heads_words(count)) };
        Choice { key, name, hint }
    });
    let title = "Not reached: how far does that go?";
    let then = move |at: usize, view: &View<'_>| {
        let (Some(reach), Some(desk)) = (reaches.get(at), view.desk) else { return Vec::new() };
        let heads = missed_heads(&missed, *reach, desk.state());
        let drafts: Vec<Draft> = act::ranges(desk.state(), &heads)
            .into_iter()
            .map(|heads| {
                let Missed { why, note, denied_by, .. } = missed.clone();
                Draft::from(What::Unreached(Box::new(Unreached { heads, why, denied_by, note })))
            })
            .collect();
        let told = format!("{} not reached: {}", heads_words(heads.len()), missed.why);
        vec![Effect::Record(drafts), Effect::Remember(missed.head), Effect::Tell(told)]
    };
    vec![Effect::Push(Choose::new("reach of not reaching", title, aligned(list.to_vec()), Box::new(then)))]
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Reach {
    Head,
    Line,
    Area,
}

/// The head itself and, beyond it, only heads without any entry of this round.
fn missed_heads(missed: &Missed, reach: Reach, state: &State) -> Vec<HeadIx> {
    let unseen = |h: &HeadIx| *h == missed.head || state.status(*h) == Status::Unseen;
    match reach {
        Reach::Head => vec![missed.head],
        Reach::Area => act::heads_in_order(state, missed.area).filter(unseen).collect(),
        Reach::Line => {
            let row = state.layout().row(missed.area, missed.line);
            let ground = Ground { state, area: missed.area };
            let alive = |h: &HeadIx| ground.state.layout().head(*h).is_some_and(|h| !h.removed);
            let slots = row.map_or(&[][..], |r| r.slots.as_slice());
            let heads = slots.iter().filter_map(|s| if let Slot::Head(h) = s { Some(*h) } else { None });
            heads.filter(alive).filter(unseen).collect()
        }
    }
}

// ---- earlier findings ----

/// Asks which of several open findings of earlier rounds is meant.
pub fn which_carried(still: bool, open: Vec<(String, Draft)>, head: HeadIx) -> Vec<Effect> {
    let mut list: Vec<Choice> = ('1'..='8')
        .zip(&open)
        .map(|(key, (words, _))| Choice { key, name: words.clone(), hint: String::new() })
        .collect();
    let shown = list.len();
    list.push(Choice { key: '9', name: format!("all {}", open.len()), hint: String::new() });
    let title = if still { "Still there: which?" } else { "Gone: which?" };
    let then = move |at: usize, _: &View<'_>| {
        let drafts: Vec<Draft> = match open.get(at).filter(|_| at < shown) {
            Some((_, draft)) => vec![draft.clone()],
            None => open.iter().map(|(_, draft)| draft.clone()).collect(),
        };
        vec![Effect::Record(drafts), Effect::Remember(head)]
    };
    vec![Effect::Push(Choose::new("which earlier finding", title, list, Box::new(then)))]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bare_number_is_a_length_in_the_sites_unit_and_nothing_is_no_length() {
        let shown = |text, units| read_length(text, units).map(|l| l.map(|l| l.to_string()));
        assert_eq!(shown("", Units::Us), Ok(None));
        assert_eq!(shown(" 10 ", Units::Us), Ok(Some("10 in".to_owned())));
        assert_eq!(shown("250", Units::Metric), Ok(Some("250 mm".to_owned())));
        assert_eq!(shown("0.3 m", Units::Us), Ok(Some("0.3 m".to_owned())));
        assert!(shown("ten", Units::Us).is_err());
    }
}
