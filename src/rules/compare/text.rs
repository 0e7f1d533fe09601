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
        // What differs only in where it stands or in its wording is gathered; there is much of that between editions.
        let in_short = |c: &&Change| !full && c.only_in.is_none() && c.fields.iter().all(|f| f.text || is_basis(f));
        for change in list.iter().filter(|c| !in_short(c)) {
            self::change(&mut t, it, change, full);
        }
        gathered(&mut t, &list.iter().filter(in_short).collect::<Vec<_>>());
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
            None => {
                format!("{sign}: not compared; the rules tell {combinations} combinations apart, which are too many")
            }
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

/// Whether a field only says where a thing stands and how far it can be relied on.
fn is_basis(field: &FieldChange) -> bool {
    field.field == "clause" || is_mark(&field.field)
}

/// Whether a field says only how far another can be relied on.
fn is_mark(field: &str) -> bool {
    matches!(field, "confidence" | "class confidence")
}

/// Things that differ in the same way on one line each way.
fn gathered(t: &mut String, list: &[&Change]) {
    let mut ways: Vec<(String, Vec<String>)> = Vec::new();
    let mut sources = 0;
    for change in list {
        let fields = change.fields.iter().filter(|f| !f.text).map(|f| short(f, None));
        let text = |source: bool| change.fields.iter().any(|f| f.text && (f.field == "source") == source);
        let reworded = text(false).then(|| "in other words".to_owned());
        sources += usize::from(text(true));
        for way in fields.chain(reworded) {
            match ways.iter_mut().find(|(known, _)| *known == way) {
                Some((_, names)) => names.push(short_name(change)),
                None => ways.push((way, vec![short_name(change)])),
            }
        }
    }
    for field in ["clause", "class confidence", "confidence", "in other words"] {
        for (way, names) in ways.iter().filter(|(way, _)| way.starts_with(field)) {
            wrap(t, &format!("{way} ({})", names.join(", ")), "  ", "    ", WIDTH);
        }
    }
    if sources > 0 {
        let _ = writeln!(t, "  by another source: {sources} of these");
    }
}

fn short_name(change: &Change) -> String {
    match change.about {
        super::About::Rule => change.word.clone(),
        about if change.word == about.as_str() => change.word.clone(),
        about => format!("{about} {}", change.word),
    }
}

fn change(t: &mut String, it: &Comparison, change: &Change, full: bool) {
    let only = change.only_in.map(|side| if side == Side::From { &it.from.name } else { &it.to.name });
    let (about, word, title) = (change.about, change.word.as_str(), change.title.as_str());
    let named = if about == super::About::Rule { word.to_owned() } else { format!("{about} {word}") };
    // A thing without a title of its own goes by its word, and a title that differs stands among the fields.
    let head = match only {
        Some(set) if title == word => format!("{about}, only in {set}: {word}"),
        None if title == word => format!("{about}: {word}"),
        Some(set) => format!("{named} ({title}): only in {set}"),
        None if change.fields.iter().any(|f| f.field == "title") => named,
        None if word == about.as_str() => format!("{about} ({title})"),
        None => format!("{named} ({title})"),
    };
    wrap(t, &head, "  ", "    ", WIDTH);
    if only.is_some() && !full {
        // What only one set has is not compared with anything: one line says what it is.
        let said = change.fields.iter().filter(|f| !f.text && !is_mark(&f.field) && f.field != "title");
        let said: Vec<String> = said.map(|f| short(f, change.only_in).replacen(": ", " ", 1)).collect();
        if !said.is_empty() {
            wrap(t, &said.join("; "), "      ", "        ", WIDTH);
        }
        return;
    }
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
    if let (None, true, Some(from), Some(to)) = (only, field.list, &field.from, &field.to) {
        let words = |list: &str| list.split(", ").map(str::to_owned).collect::<Vec<_>>();
        let left = |one: &[String], other: &[String]| -> Vec<String> {
            one.iter().filter(|w| !other.contains(w)).cloned().collect()
        };
        let (from, to) = (words(from), words(to));
        let (gone, new) = (left(&from, &to), left(&to, &from));
        if gone.len() + new.len() < from.len() {
            let part =
                |what: &str, list: Vec<String>| (!list.is_empty()).then(|| format!("{what} {}", list.join(", ")));
            let parts: Vec<String> = [part("without", gone), part("with", new)].into_iter().flatten().collect();
            return format!("{}: {}", field.field, parts.join("; "));
        }
    }
    match only {
        Some(Side::From) => format!("{}: {}", field.field, said(&field.from)),
        Some(Side::To) => format!("{}: {}", field.field, said(&field.to)),
        None => format!("{}: {} -> {}", field.field, said(&field.from), said(&field.to)),
    }
}
