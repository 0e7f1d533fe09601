//! How facts are worded: days, people, heads, signs, reasons for not looking. The texts of the summary that more than
//! one section uses stand here and nowhere else.

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::summary::Scene;
use crate::diag::is_unprintable;
use crate::round::act;
use crate::round::entry::{Applied, Channel, Deed, Entry, How, UnreachedWhy, UnsureWhy};
use crate::round::layout::HeadIx;
use crate::round::rulings::Recorded;
use crate::round::state::EntryIx;
use crate::rules::model::{Class, Rule, Ruling};
use crate::trade::address::Heads;
use crate::trade::register::KindIx;

/// Text from a file as one line: white space of any kind becomes single spaces, what could steer a terminal becomes
/// U+FFFD.
pub(super) fn said(text: &str) -> String {
    let spaced: String = text
        .chars()
        .map(|c| match c {
            c if c.is_whitespace() => ' ',
            c if is_unprintable(c) => '\u{FFFD}',
            c => c,
        })
        .collect();
    spaced.split(' ').filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" ")
}

/// A text of a rule set with its full stop.
pub(super) fn sentence(text: &str) -> String {
    let text = said(text);
    match text.chars().last() {
        None => text,
        Some('.' | '!' | '?') => text,
        Some(_) => format!("{text}."),
    }
}

/// The same text with a capital at its start.
pub(super) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

/// `25 November 2026`.
pub(super) fn day(day: NaiveDate) -> String {
    day.format("%-d %B %Y").to_string()
}

/// `25 November 2026, 09:14`.
pub(super) fn moment(at: DateTime<FixedOffset>) -> String {
    at.format("%-d %B %Y, %H:%M").to_string()
}

/// `1 head`, `12 heads`.
pub(super) fn heads(n: usize) -> String {
    counted(n, "head", "heads")
}

/// A number with its noun.
pub(super) fn counted(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// `a`, `a and b`, `a, b and c`.
pub(super) fn listed(words: &[String]) -> String {
    match words.split_last() {
        None => String::new(),
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
    }
}

/// A ruling as an instruction.
pub(super) const fn order(ruling: Ruling) -> &'static str {
    match ruling {
        Ruling::Keep => "keep",
        Ruling::Watch => "watch",
        Ruling::Look => "look closely",
        Ruling::Clean => "clean",
        Ruling::Correct => "correct",
        Ruling::Test => "test",
        Ruling::Replace => "replace",
    }
}

/// What a ruling asks of the owner.
pub(super) const fn order_means(ruling: Ruling) -> &'static str {
    match ruling {
        Ruling::Keep => "Nothing need be done on what was seen.",
        Ruling::Watch => "Nothing need be done now. The next round looks at it again.",
        Ruling::Look => "It could not be judged. It is owed a look from near by, from a lift or once it is uncovered.",
        Ruling::Clean => "Clean it without touching it, in the way the reason names.",
        Ruling::Correct => "Put right what is around the head or the way it is installed, as the reason names.",
        Ruling::Test => "Have it, or the sample that stands for it, tested by a laboratory.",
        Ruling::Replace => "Have it replaced by a listed head that suits its place.",
    }
}

/// A class as people read it.
pub(super) const fn class(class: Option<Class>) -> &'static str {
    match class {
        None => "not classed",
        Some(Class::Advisory) => "advisory",
        Some(Class::Noncritical) => "noncritical deficiency",
        Some(Class::Critical) => "critical deficiency",
        Some(Class::Impairment) => "IMPAIRMENT",
    }
}

/// How a head was looked at.
pub(super) const fn how(how: How) -> &'static str {
    match how {
        How::Eye => "from the floor",
        How::Binoculars => "from the floor, with binoculars",
        How::Lift => "from a lift or ladder",
        How::Camera => "through a camera",
    }
}

/// Who applied a finish.
pub(super) const fn applied(applied: Applied) -> &'static str {
    match applied {
        Applied::Factory => "finish from the factory",
        Applied::Field => "applied on site",
        Applied::Unknown => "origin of the finish unknown",
    }
}

/// Why a head could not be judged.
pub(super) const fn unsure(why: UnsureWhy) -> &'static str {
    match why {
        UnsureWhy::TooFar => "too far away",
        UnsureWhy::Light => "too dark, or against the light",
        UnsureWhy::Hidden => "something is in front of it",
        UnsureWhy::Dirty => "too dirty to see its parts",
        UnsureWhy::BehindPlate => "only its cover plate can be seen",
        UnsureWhy::Other => "another reason, told in the note",
    }
}

/// Why a head was not reached.
pub(super) const fn unreached(why: UnreachedWhy) -> &'static str {
    match why {
        UnreachedWhy::Locked => "the room was locked",
        UnreachedWhy::Occupied => "the room was occupied",
        UnreachedWhy::Process => "above a running process or machine",
        UnreachedWhy::Height => "too high without a lift",
        UnreachedWhy::Hazard => "a hazard forbade going near",
        UnreachedWhy::Clean => "in a clean or sterile room",
        UnreachedWhy::Concealed => "in a concealed space",
        UnreachedWhy::Refused => "entry was refused",
        UnreachedWhy::Other => "another reason, told in the note",
    }
}

/// How somebody was told.
pub(super) const fn channel(how: Channel) -> &'static str {
    match how {
        Channel::Spoken => "in person",
        Channel::Phone => "by telephone",
        Channel::Email => "by e-mail",
        Channel::Letter => "by letter",
        Channel::Tag => "by a tag on the valve",
    }
}

/// What was done.
pub(super) const fn deed(did: Deed) -> &'static str {
    match did {
        Deed::Replaced => "replaced",
        Deed::Cleaned => "cleaned",
        Deed::Corrected => "corrected",
    }
}

/// A clause as the set gives it, or that there is none.
pub(super) fn clause(text: &str) -> String {
    let clause = said(text);
    if clause.is_empty() || clause == "none" { "no clause".to_owned() } else { clause }
}

/// `Paint on the element (clause 5.2.1.1.1; critical deficiency)`.
pub(super) fn rule_line(rule: &Rule) -> String {
    let class = rule.class.map_or(String::new(), |c| format!("; {}", self::class(Some(c))));
    format!("{} ({}{class})", said(&rule.title).trim_end_matches('.'), clause_words(rule))
}

/// `clause 5.2.1.1.1`, or that there is none.
pub(super) fn clause_words(rule: &Rule) -> String {
    let text = clause(&rule.clause);
    if text.chars().next().is_some_and(|c| c.is_ascii_digit()) { format!("clause {text}") } else { text }
}

impl Scene<'_> {
    /// A person's full name, or the short one where no begin names them.
    pub(super) fn person(&self, by: &str) -> String {
        self.people.get(by).filter(|name| !name.is_empty()).map_or_else(|| said(by), Clone::clone)
    }

    /// Who made an entry and when; an entry made after the sign-off says so.
    pub(super) fn who_when(&self, entry: &Entry) -> String {
        let late = if self.late.contains(&entry.id) { " (after sign-off)" } else { "" };
        format!("{}, {}{late}", self.person(&entry.by), moment(entry.at))
    }

    /// The same for an index; empty where there is no such entry.
    pub(super) fn who_when_at(&self, ix: EntryIx) -> String {
        self.state.entry(ix).map_or_else(String::new, |e| self.who_when(e))
    }

    /// Heads as few ranges as will do: `pack/1.7, pack/2.3..2.5`.
    pub(super) fn ranges(&self, heads: &[HeadIx]) -> String {
        ranges_text(&act::ranges(self.state, heads))
    }

    /// Heads and their number: `pack/2.3..2.5 (3 heads)`.
    pub(super) fn ranges_counted(&self, list: &[HeadIx]) -> String {
        match list {
            [_] => self.ranges(list),
            _ => format!("{} ({})", self.ranges(list), heads(list.len())),
        }
    }

    /// `Packing hall (pack)`.
    pub(super) fn area(&self, area: u16) -> String {
        self.state.register().areas.get(usize::from(area)).map_or_else(String::new, |a| {
            let name = said(&a.name);
            if name.is_empty() { a.id.to_string() } else { format!("{name} ({})", a.id) }
        })
    }

    /// The area's name in addresses.
    pub(super) fn area_id(&self, area: u16) -> String {
        self.state.register().areas.get(usize::from(area)).map_or_else(String::new, |a| a.id.to_string())
    }

    /// `qr-pendent: pendent, quick, bulb, 155 °F, K5.6, chrome`.
    pub(super) fn kind(&self, kind: KindIx) -> String {
        self.state
            .register()
            .kind(kind)
            .map_or_else(String::new, |k| said(&format!("{}: {}", k.id, k.describe(self.units))))
    }

    /// The name of a sign; the word itself where the set does not know it.
    pub(super) fn sign(&self, word: &str) -> String {
        let set = self.set();
        set.sign(word).and_then(|s| set.sign_at(s)).map_or_else(|| said(word), |s| said(&s.name))
    }

    /// The name of a part.
    pub(super) fn part(&self, word: &str) -> String {
        let set = self.set();
        set.part(word).and_then(|p| set.part_at(p)).map_or_else(|| said(word), |w| said(&w.name))
    }

    /// The name of an extent with what it means for the sign: `light (damp or single drops)`.
    pub(super) fn extent_of(&self, sign: &str, extent: &str) -> String {
        let set = self.set();
        let Some(ix) = set.extent(extent) else { return said(extent) };
        let name = set.extent_at(ix).map_or_else(|| said(extent), |w| said(&w.name));
        let declared = set.sign(sign).and_then(|s| set.sign_at(s));
        if declared.is_some_and(|s| s.extents.len() == 1) {
            return name;
        }
        let at = declared.and_then(|s| s.extents.iter().position(|e| *e == ix));
        let own = declared.zip(at).and_then(|(s, at)| s.extent_hints.get(at)).filter(|h| !h.is_empty());
        match own.or_else(|| set.extent_at(ix).map(|w| &w.hint)).map(|h| said(h)).filter(|h| !h.is_empty()) {
            Some(hint) => format!("{name} ({hint})"),
            None => name,
        }
    }

    /// Sign, part, extent and what belongs to them, each a piece: `paint`, `heat element`, `trace`, `applied on site`.
    pub(super) fn seen(&self, recorded: &Recorded) -> Vec<(&'static str, String)> {
        if let Some(why) = recorded.unsure {
            return vec![("sign", format!("could not be judged: {}", unsure(why)))];
        }
        let mut pieces = vec![("sign", self.sign(&recorded.sign))];
        if let Some(part) = &recorded.part {
            pieces.push(("part", format!("on: {}", self.part(part))));
        }
        if let Some(extent) = &recorded.extent {
            pieces.push(("extent", format!("extent: {}", self.extent_of(&recorded.sign, extent))));
        }
        if let Some(origin) = recorded.applied {
            pieces.push(("applied", applied(origin).to_owned()));
        }
        if let Some(clearance) = recorded.clearance {
            pieces.push(("clearance", format!("clearance measured: {}", clearance.show(self.units))));
        }
        pieces
    }

    /// The same in one line.
    pub(super) fn seen_line(&self, recorded: &Recorded) -> String {
        self.seen(recorded).into_iter().map(|(_, text)| text).collect::<Vec<_>>().join(", ")
    }

    /// The rules that spoke about a finding.
    pub(super) fn rules<'s>(&'s self, recorded: &'s Recorded) -> impl Iterator<Item = &'s Rule> {
        recorded.rules.iter().filter_map(|r| self.set().rule_at(*r))
    }
}

/// Ranges parted by commas.
pub(super) fn ranges_text(ranges: &[Heads]) -> String {
    ranges.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

impl Scene<'_> {
    /// An entry's id; empty where there is no such entry.
    pub(super) fn id_at(&self, ix: EntryIx) -> String {
        self.state.entry(ix).map_or_else(String::new, |e| e.id.to_string())
    }
}
