//! A comparison in plain text, and a combination in words that an inspector uses.

use std::fmt::Write as _;

use super::{Change, Comparison, Fact, FieldChange, Place, Side, Unlisted, Verdict};
use crate::rules::explain::{WIDTH, wrap};
use crate::rules::model::{RuleSet, Sign, Word};

/// What puts a combination into words.
pub(super) struct Known<'a> {
    pub set: &'a RuleSet,
    pub sign: &'a Sign,
    /// Parts of the sign that both sets know, in the order of the first.
    pub parts: Vec<&'a str>,
    /// Extents likewise.
    pub extents: Vec<&'a str>,
    /// Whether both sets put the extents in the same order.
    pub in_order: bool,
}

impl Known<'_> {
    fn name_of(list: &[Word], word: &str) -> String {
        list.iter().find(|w| w.id == word).map_or_else(|| word.to_owned(), |w| w.name.clone())
    }
}

/// A combination in words: `paint on frame arms, trace to light, origin field or unknown, mount concealed`.
pub(super) fn place(known: &Known<'_>, place: &Place) -> String {
    let mut words = vec![known.sign.name.clone()];
    if known.parts.len() > 1 {
        let name = |w: &str| Known::name_of(&known.set.parts, w);
        let left: Vec<String> =
            known.parts.iter().filter(|w| !place.parts.iter().any(|p| p == *w)).map(|w| name(w)).collect();
        let on = if place.parts.is_empty() {
            "any part".to_owned()
        } else if known.parts.len() > 3 && left.len() <= 2 {
            format!("any part but {}", either(&left))
        } else {
            either(&place.parts.iter().map(|w| name(w)).collect::<Vec<_>>())
        };
        words = vec![format!("{} on {on}", known.sign.name)];
    }
    if !place.extents.is_empty() {
        words.push(extents(known, &place.extents));
    }
    if !place.origins.is_empty() {
        let origins: Vec<String> = place.origins.iter().map(ToString::to_string).collect();
        words.push(format!("origin {}", either(&origins)));
    }
    words.extend(place.facts.iter().map(fact));
    for settings in &place.settings {
        let list = either(&settings.any_of);
        words.push(if settings.there { format!("setting {list}") } else { format!("no setting {list}") });
    }
    words.join(", ")
}

fn extents(known: &Known<'_>, list: &[String]) -> String {
    let names: Vec<String> = list.iter().map(|w| Known::name_of(&known.set.extents, w)).collect();
    let at: Vec<usize> = list.iter().filter_map(|w| known.extents.iter().position(|k| k == w)).collect();
    let in_row = at.windows(2).all(|w| matches!(w, [a, b] if a + 1 == *b));
    match (names.as_slice(), known.in_order && in_row) {
        ([first, .., last], true) => format!("{first} to {last}"),
        _ => either(&names),
    }
}

fn fact(fact: &Fact) -> String {
    let all = crate::rules::facts::Field::ALL.iter().find(|f| f.as_str() == fact.field);
    let all: Vec<&str> = all.map(|f| f.words()).unwrap_or_default();
    let left: Vec<String> =
        all.iter().filter(|w| !fact.values.iter().any(|v| v == *w)).map(|w| (*w).to_owned()).collect();
    match (fact.field, fact.values.as_slice()) {
        ("dry", [so]) => if so == "true" { "a dry head" } else { "not a dry head" }.to_owned(),
        ("guard", [so]) => if so == "true" { "a guard belongs on it" } else { "no guard belongs on it" }.to_owned(),
        (field, values) if left.len() < values.len() => format!("{field} not {}", either(&left)),
        (field, values) => format!("{field} {}", either(values)),
    }
}

/// `a`, `a or b`, `a, b or c`.
fn either(list: &[String]) -> String {
    match list {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} or {last}", most.join(", ")),
    }
}

/// The comparison as text; with `full`, running text is written out too.
#[must_use]
pub fn text(it: &Comparison, full: bool) -> String {
    let mut t = String::new();
    let _ = writeln!(t, "{} -> {}", it.from.name, it.to.name);
    let _ = writeln!(t, "{} -> {}", it.from.title, it.to.title);
    if it.is_empty() {
        let _ = writeln!(t, "\nThey decide alike, and nothing else differs.");
        return plain(&t);
    }
    decisions(&mut t, it);
    for (title, list) in [("Words", &it.words), ("Duties", &it.duties), ("Rules", &it.rules)] {
        if list.is_empty() {
            continue;
        }
        let count = |side| list.iter().filter(|c| c.only_in == side).count();
        let mut counts: Vec<String> = Vec::new();
        for (n, what) in [
            (count(None), if count(None) == 1 { "differs" } else { "differ" }.to_owned()),
            (count(Some(Side::From)), format!("only in {}", it.from.name)),
            (count(Some(Side::To)), format!("only in {}", it.to.name)),
        ] {
            if n > 0 {
                counts.push(format!("{n} {what}"));
            }
        }
        let _ = writeln!(t, "\n{title}: {}", counts.join(", "));
        for change in list {
            self::change(&mut t, it, change, full);
        }
    }
    plain(&t)
}

/// Printable text whose line ends are kept.
fn plain(text: &str) -> String {
    text.split('\n').map(crate::diag::plain).collect::<Vec<_>>().join("\n")
}

fn decisions(t: &mut String, it: &Comparison) {
    if it.decisions.is_empty() && it.unlisted.is_empty() {
        let _ = writeln!(t, "\nDecisions: alike on everything that both sets know");
        return;
    }
    let places: usize = it.decisions.iter().map(|d| d.places.len()).sum();
    let _ = writeln!(t, "\nDecisions: {places} {}", if places == 1 { "place differs" } else { "places differ" });
    for decision in &it.decisions {
        for place in &decision.places {
            wrap(t, &place.words, "  ", "    ", WIDTH);
        }
        let (from, to) = (&decision.from, &decision.to);
        let _ = writeln!(t, "      {} -> {}", weight(from), weight(to));
        let _ = writeln!(t, "      {} -> {}", by(from), by(to));
    }
    for Unlisted { sign, combinations, differ } in &it.unlisted {
        let words = match differ {
            Some(n) => format!("{sign}: {n} of {combinations} combinations differ, in too many places to be listed"),
            None => format!("{sign}: not compared; the rules tell {combinations} combinations apart, which are too many"),
        };
        wrap(t, &words, "  ", "    ", WIDTH);
    }
}

fn weight(it: &Verdict) -> String {
    match it.class {
        Some(class) => format!("{} ({class})", it.ruling),
        None => it.ruling.to_string(),
    }
}

fn by(it: &Verdict) -> String {
    let Some(rule) = &it.rule else { return "no rule speaks".to_owned() };
    let clause = it.clause.as_deref().filter(|c| !c.is_empty()).map_or(String::new(), |c| format!(", {c}"));
    let class = it.class_rule.as_ref().map_or(String::new(), |r| format!(" (class by {r})"));
    format!("{rule}{clause}{class}")
}

fn change(t: &mut String, it: &Comparison, change: &Change, full: bool) {
    let only = change.only_in.map(|side| if side == Side::From { &it.from.name } else { &it.to.name });
    let only = only.map_or(String::new(), |set| format!("only in {set}"));
    let titled = change.fields.iter().any(|f| f.field == "title");
    let head = match change.about {
        // A duty without a word of its own goes by its text, and a title that differs stands among the fields.
        about if change.title == change.word => format!("{about} {only}: {}", change.word).replace(" :", ":"),
        super::About::Rule if titled => [change.word.as_str(), only.as_str()].join(": "),
        super::About::Rule => [format!("{} ({})", change.word, change.title), only].join(": "),
        about => [format!("{about} {} ({})", change.word, change.title), only].join(": "),
    };
    wrap(t, head.trim_end_matches(": "), "  ", "    ", WIDTH);
    for field in change.fields.iter().filter(|f| !f.text) {
        wrap(t, &short(field, change.only_in), "      ", "        ", WIDTH);
    }
    let texts: Vec<&FieldChange> = change.fields.iter().filter(|f| f.text).collect();
    if full {
        for field in texts {
            let _ = writeln!(t, "      {}:", field.field);
            for (mark, value) in [("-", &field.from), ("+", &field.to)] {
                if let Some(value) = value {
                    wrap(t, value, &format!("        {mark} "), "          ", WIDTH);
                }
            }
        }
    } else if !texts.is_empty() && change.only_in.is_none() {
        let names: Vec<&str> = texts.iter().map(|f| f.field.as_str()).collect();
        wrap(t, &format!("in other words: {}", names.join(", ")), "      ", "        ", WIDTH);
    }
}

fn short(field: &FieldChange, only: Option<Side>) -> String {
    let said = |value: &Option<String>| value.clone().unwrap_or_else(|| "-".to_owned());
    match only {
        Some(Side::From) => format!("{}: {}", field.field, said(&field.from)),
        Some(Side::To) => format!("{}: {}", field.field, said(&field.to)),
        None => format!("{}: {} -> {}", field.field, said(&field.from), said(&field.to)),
    }
}
