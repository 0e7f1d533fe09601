//! Writing the register as YAML in the block style people edit; reading it back gives the same register.

use std::fmt::Write as _;

use super::kind::{Kind, Mount, Style};
use super::quantity::PartialDate;
use super::register::{Area, Cabinet, Line, Register};
use super::register_text::{FORMAT, GAP};

/// Writes a register in block style; reading it back gives the same register.
#[must_use]
pub fn write(register: &Register) -> String {
    let mut t = String::new();
    let _ = writeln!(t, "format: {FORMAT}");
    let s = &register.site;
    let _ = writeln!(t, "site:");
    field(&mut t, 2, "id", &s.id);
    field(&mut t, 2, "name", &s.name);
    if !s.place.is_empty() {
        field(&mut t, 2, "where", &s.place);
    }
    if let Some(owner) = &s.owner {
        field(&mut t, 2, "owner", owner);
    }
    field(&mut t, 2, "rules", &s.rules);
    field(&mut t, 2, "units", s.units.as_str());
    if !s.tell.is_empty() {
        let _ = writeln!(t, "  tell:");
        for who in &s.tell {
            let _ = writeln!(t, "    - {}", scalar(who));
        }
    }
    if let Some(how) = &s.dry_restored {
        field(&mut t, 2, "dry_restored", how);
    }
    if register.kinds.is_empty() {
        let _ = writeln!(t, "kinds: {{}}");
    } else {
        let _ = writeln!(t, "kinds:");
    }
    for kind in &register.kinds {
        let _ = writeln!(t, "  {}: {}", scalar(&kind.id), kind_flow(kind));
    }
    if register.areas.is_empty() {
        let _ = writeln!(t, "areas: {{}}");
    } else {
        let _ = writeln!(t, "areas:");
    }
    for area in &register.areas {
        write_area(&mut t, register, area);
    }
    if !register.cabinets.is_empty() {
        let _ = writeln!(t, "cabinets:");
    }
    for cabinet in &register.cabinets {
        write_cabinet(&mut t, cabinet);
    }
    if !register.recalled.is_empty() {
        let _ = writeln!(t, "recalled:");
        for r in &register.recalled {
            let _ = write!(t, "  - {{number: {}", scalar(&r.number));
            if let Some((a, b)) = r.made {
                let _ = write!(t, ", made: {a}..{b}");
            }
            let _ = writeln!(t, ", why: {}}}", scalar(&r.why));
        }
    }
    t
}

/// The fields of a kind in flow style.
#[must_use]
pub fn kind_flow(kind: &Kind) -> String {
    let mut parts = vec![format!("orientation: {}", kind.orientation)];
    if kind.mount != Mount::Exposed {
        parts.push(format!("mount: {}", kind.mount));
    }
    parts.push(format!("response: {}", kind.response));
    if kind.style != Style::Spray {
        parts.push(format!("style: {}", kind.style));
    }
    parts.push(format!("element: {}", kind.element));
    parts.push(format!("rating: {}", kind.rating));
    parts.push(format!("k: {}", kind.k));
    parts.push(format!("finish: {}", kind.finish));
    parts.push(format!("made: {}", kind.made.map_or("unknown".to_owned(), |m| m.to_string())));
    if let Some(number) = &kind.number {
        parts.push(format!("number: {}", scalar(number)));
    }
    if kind.dry {
        parts.push("dry: yes".to_owned());
    }
    if let Some(length) = kind.length {
        parts.push(format!("length: {}", scalar(&length.to_string())));
    }
    if let Some(thread) = &kind.thread {
        parts.push(format!("thread: {}", scalar(thread)));
    }
    if kind.guard {
        parts.push("guard: yes".to_owned());
    }
    if let Some(wrench) = &kind.wrench {
        parts.push(format!("wrench: {}", scalar(wrench)));
    }
    if let Some(note) = &kind.note {
        parts.push(format!("note: {}", scalar(note)));
    }
    format!("{{{}}}", parts.join(", "))
}

fn write_area(t: &mut String, register: &Register, area: &Area) {
    let _ = writeln!(t, "  {}:", scalar(area.id.as_str()));
    field(t, 4, "name", &area.name);
    field(t, 4, "system", area.system.as_str());
    if let Some(date) = area.in_service {
        field(t, 4, "in_service", &date.to_string());
    }
    if !area.setting.is_empty() {
        let words: Vec<_> = area.setting.iter().map(|s| s.as_str()).collect();
        let _ = writeln!(t, "    setting: [{}]", words.join(", "));
    }
    if let Some(max) = area.ceiling_max {
        field(t, 4, "ceiling_max", &max.to_string());
    }
    if let Some(height) = area.height {
        field(t, 4, "height", &height.to_string());
    }
    if let Some(hazard) = area.hazard {
        field(t, 4, "hazard", hazard.as_str());
    }
    if let Some(compartment) = &area.compartment {
        field(t, 4, "compartment", compartment);
    }
    if let Some(note) = &area.note {
        field(t, 4, "note", note);
    }
    if area.lines.is_empty() {
        let _ = writeln!(t, "    lines: []");
    } else {
        let _ = writeln!(t, "    lines:");
    }
    for line in &area.lines {
        let text = line_text(register, line);
        let _ = writeln!(t, "      - {}", if text.is_empty() { "\"\"".to_owned() } else { text });
    }
}

fn write_cabinet(t: &mut String, cabinet: &Cabinet) {
    let _ = writeln!(t, "  {}:", scalar(cabinet.id.as_str()));
    field(t, 4, "name", &cabinet.name);
    if let Some(place) = &cabinet.place {
        field(t, 4, "place", place);
    }
    if !cabinet.serves.is_empty() {
        let areas: Vec<String> = cabinet.serves.iter().map(|a| scalar(a.as_str())).collect();
        let _ = writeln!(t, "    serves: [{}]", areas.join(", "));
    }
    if !cabinet.keep.is_empty() {
        let keep: Vec<String> = cabinet.keep.iter().map(|(kind, n)| format!("{}: {n}", scalar(kind))).collect();
        let _ = writeln!(t, "    keep: {{{}}}", keep.join(", "));
    }
}

/// A line in the compact form.
#[must_use]
pub fn line_text(register: &Register, line: &Line) -> String {
    let mut next = 1;
    let mut parts = Vec::new();
    for run in &line.runs {
        let name = run.kind.map_or(Some(GAP), |k| register.kind(k).map(|k| k.id.as_str())).unwrap_or(GAP);
        let at = if run.from == next { String::new() } else { format!(" @{}", run.from) };
        parts.push(format!("{} {name}{at}", run.count));
        next = run.from.saturating_add(run.count);
    }
    parts.join(", ")
}

fn field(t: &mut String, indent: usize, key: &str, value: &str) {
    let _ = writeln!(t, "{:indent$}{key}: {}", "", scalar(value));
}

/// A YAML scalar: plain where every reader takes it for the same text, else quoted as JSON (which is YAML too).
#[must_use]
pub fn scalar(text: &str) -> String {
    let mut chars = text.chars();
    let plain = chars.next().is_some_and(char::is_alphabetic)
        && text.chars().all(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_' | '.' | '/' | '(' | ')' | '°'))
        && !text.ends_with(' ')
        && !is_special(text);
    let quantity = text.split_once(' ').is_some_and(|(n, u)| {
        n.parse::<f64>().is_ok() && n.starts_with(|c: char| c.is_ascii_digit()) && u.chars().all(char::is_alphabetic)
    });
    let date = text.len() == 7 && PartialDate::parse(text).is_ok();
    if plain || quantity || date { text.to_owned() } else { quoted(text) }
}

/// A double-quoted YAML scalar that is also a JSON string, with every character escaped that a YAML stream may not hold.
#[must_use]
pub fn quoted(text: &str) -> String {
    let mut t = String::with_capacity(text.len() + 2);
    t.push('"');
    for c in text.chars() {
        match c {
            '"' => t.push_str("\\\""),
            '\\' => t.push_str("\\\\"),
            '\n' => t.push_str("\\n"),
            '\t' => t.push_str("\\t"),
            '\r' => t.push_str("\\r"),
            c if crate::diag::is_unprintable(c) || matches!(c, '\u{FFFE}' | '\u{FFFF}') => {
                let _ = write!(t, "\\u{:04x}", u32::from(c));
            }
            c => t.push(c),
        }
    }
    t.push('"');
    t
}

/// Words that some YAML reader takes for something else than text.
fn is_special(text: &str) -> bool {
    let lower = text.to_ascii_lowercase();
    matches!(lower.as_str(), "true" | "false" | "yes" | "no" | "on" | "off" | "y" | "n" | "null" | "nan" | "inf")
}
