//! Diagnostics as text: in full with the line they speak of, short on one line, narrated in sentences for a screen
//! reader, and as JSON. It renders to strings and prints nothing; what comes from a file never carries control
//! characters into the result.

use std::fmt::Write as _;
use std::ops::Range;

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use serde_json::{Value as Json, json};

use super::{Diagnostic, Place, Severity, is_unprintable, plain};

/// How diagnostics are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// With the lines they speak of.
    Full {
        /// Whether escape sequences for colour may be written.
        colour: bool,
        /// Whether lines may be drawn with characters beyond ASCII.
        unicode: bool,
        /// Columns of the terminal.
        width: usize,
    },
    /// `file:line:column: error: message`, one line each.
    Short,
    /// Sentences for a screen reader.
    Narrated,
    /// A JSON array of objects.
    Json,
}

/// Renders diagnostics in the order given; nothing for none, except JSON, which is then an empty array.
#[must_use]
pub fn render(all: &[Diagnostic], form: Form) -> String {
    match form {
        Form::Full { colour, unicode, width } => {
            let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
            let decor = if unicode { DecorStyle::Unicode } else { DecorStyle::Ascii };
            let renderer = renderer.decor_style(decor).term_width(width.clamp(40, 400));
            all.iter().map(|d| full(d, &renderer)).collect::<Vec<_>>().join("\n")
        }
        Form::Short => all.iter().fold(String::new(), |mut text, d| {
            let _ = writeln!(text, "{}", plain(&d.to_string()));
            text
        }),
        Form::Narrated => {
            let mut text: String = all.iter().map(narrated).collect();
            if all.len() > 1 {
                let _ = writeln!(text, "{}.", counts(all));
            }
            text
        }
        Form::Json => {
            let list: Vec<Json> = all.iter().map(to_json).collect();
            // A value built here always has a text.
            serde_json::to_string_pretty(&list).unwrap_or_default() + "\n"
        }
    }
}

/// How many of each severity, in words: `2 errors, 1 warning`; `nothing to report` for none.
#[must_use]
pub fn counts(all: &[Diagnostic]) -> String {
    let words: Vec<String> = [Severity::Error, Severity::Warning, Severity::Note]
        .into_iter()
        .filter_map(|severity| {
            let n = all.iter().filter(|d| d.severity == severity).count();
            (n > 0).then(|| format!("{n} {severity}{}", if n == 1 { "" } else { "s" }))
        })
        .collect();
    if words.is_empty() { "nothing to report".to_owned() } else { words.join(", ") }
}

/// One diagnostic as a JSON object: `severity`, `code`, `message`, `file`, and where known `line`, `column`, `end_line`,
/// `end_column` (from 1, columns in characters, the end exclusive), `label`, `help`, and `also`, a list of objects with
/// `line`, `column` and `words`.
#[must_use]
pub fn to_json(d: &Diagnostic) -> Json {
    let mut it = json!({
        "severity": d.severity.word(),
        "code": d.code,
        "message": plain(&d.message),
        "file": plain(&d.file),
    });
    let mut put = |key: &str, value: Json| {
        if let Some(object) = it.as_object_mut() {
            object.insert(key.to_owned(), value);
        }
    };
    if let Some(place) = &d.place {
        put("line", json!(place.line));
        put("column", json!(place.column));
        if let Some(source) = &d.source {
            let end = source.place(place.span.end..place.span.end);
            put("end_line", json!(end.line));
            put("end_column", json!(end.column));
        }
    }
    if let Some(label) = &d.label {
        put("label", json!(plain(label)));
    }
    if let Some(help) = &d.help {
        put("help", json!(plain(help)));
    }
    if !d.also.is_empty() {
        let also: Vec<Json> = d
            .also
            .iter()
            .map(|(place, words)| json!({"line": place.line, "column": place.column, "words": plain(words)}))
            .collect();
        put("also", Json::Array(also));
    }
    it
}

/// Printable, with a stop at its end.
fn sentence(text: &str) -> String {
    let text = plain(text);
    if text.ends_with(['.', '?', '!']) { text } else { text + "." }
}

fn narrated(d: &Diagnostic) -> String {
    let mut text = String::new();
    let kind = match d.severity {
        Severity::Error => "Error",
        Severity::Warning => "Warning",
        Severity::Note => "Note",
    };
    let _ = write!(text, "{kind} in {}", plain(&d.file));
    if let Some(place) = &d.place {
        let _ = write!(text, ", line {}, column {}", place.line, place.column);
    }
    let _ = writeln!(text, ": {}", sentence(&d.message));
    if let (Some(source), Some(place)) = (&d.source, &d.place)
        && let Some(window) = windows(&source.text, &[place]).first()
        && let Some(line) = window.text.lines().next().map(str::trim).filter(|l| !l.is_empty())
    {
        let _ = writeln!(text, "The line reads: {line}");
    }
    if let Some(label) = &d.label {
        let _ = writeln!(text, "There: {}", sentence(label));
    }
    for (place, words) in &d.also {
        let _ = writeln!(text, "See also line {}, column {}: {}", place.line, place.column, sentence(words));
    }
    if let Some(help) = &d.help {
        let _ = writeln!(text, "What to do: {}", sentence(help));
    }
    text
}

fn full(d: &Diagnostic, renderer: &Renderer) -> String {
    let level = match d.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
        Severity::Note => Level::NOTE,
    };
    let mut group = Group::with_title(level.primary_title(plain(&d.message)).id(d.code));
    if let (Some(source), Some(place)) = (&d.source, &d.place) {
        let mut places: Vec<&Place> = vec![place];
        places.extend(d.also.iter().map(|(p, _)| p));
        for window in windows(&source.text, &places) {
            let mut snippet = Snippet::source(window.text)
                .path(plain(&d.file))
                .line_start(source.first_line + window.line)
                .fold(false);
            for (which, span) in window.spans {
                let (kind, words) = match which.checked_sub(1).and_then(|i| d.also.get(i)) {
                    None => (AnnotationKind::Primary, d.label.clone()),
                    Some((_, words)) => (AnnotationKind::Context, Some(words.clone())),
                };
                let mut annotation = kind.span(span);
                // The snippet counts its columns in what is shown; of a line that is cut the true one is said in words.
                let column = places.get(which).filter(|_| window.cut).map(|p| format!("column {}", p.column));
                let words: Vec<String> = words.into_iter().chain(column).collect();
                if !words.is_empty() {
                    annotation = annotation.label(plain(&words.join(", ")));
                }
                snippet = snippet.annotation(annotation);
            }
            group = group.element(snippet);
        }
    } else {
        let mut origin = annotate_snippets::Origin::path(plain(&d.file));
        if let Some(place) = &d.place {
            origin = origin.line(place.line).char_column(place.column);
        }
        group = group.element(origin);
    }
    if let Some(help) = &d.help {
        group = group.element(Level::HELP.message(plain(help)));
    }
    let mut text = renderer.render(&[group]);
    text.push('\n');
    text
}

/// Places by their number, each with where it stands.
type Marked = Vec<(usize, Range<usize>)>;

/// Lines of a source that hold places, made fit to be shown.
struct Window {
    text: String,
    /// The number of its first line in the source, from 0.
    line: usize,
    /// Which place, and where it stands in `text`.
    spans: Marked,
    /// Whether a line was cut at its start.
    cut: bool,
}

/// Characters shown of a long line before and after the place.
const BEFORE: usize = 60;
const AFTER: usize = 120;
/// Lines shown of a place that runs over many.
const MOST_LINES: usize = 4;

/// One window for the line of each place; places on one line share it.
fn windows(text: &str, places: &[&Place]) -> Vec<Window> {
    let mut order: Vec<(usize, &Place)> = places.iter().copied().enumerate().collect();
    order.sort_by_key(|(which, place)| (place.span.start, *which));
    let mut found: Vec<(Range<usize>, Marked)> = Vec::new();
    for (which, place) in order {
        let start = text.get(..place.span.start).unwrap_or_default().rfind('\n').map_or(0, |i| i + 1);
        let mut end = start;
        for line in text.get(start..).unwrap_or_default().split_inclusive('\n').take(MOST_LINES) {
            end += line.len();
            if end >= place.span.end.max(place.span.start + 1) {
                break;
            }
        }
        let span = place.span.start..place.span.end.min(end);
        match found.last_mut() {
            Some((lines, spans)) if start < lines.end => {
                lines.end = lines.end.max(end);
                spans.push((which, span));
            }
            _ => found.push((start..end, vec![(which, span)])),
        }
    }
    // The main place comes first, whatever stands above it in the text.
    found.sort_by_key(|(lines, spans)| (!spans.iter().any(|(which, _)| *which == 0), lines.start));
    found.into_iter().map(|(lines, spans)| window(text, lines, &spans)).collect()
}

fn window(text: &str, lines: Range<usize>, spans: &[(usize, Range<usize>)]) -> Window {
    let line = text.get(..lines.start).unwrap_or_default().bytes().filter(|b| *b == b'\n').count();
    let mut shown = String::new();
    let mut moved: Marked = spans.iter().map(|(w, _)| (*w, usize::MAX..usize::MAX)).collect();
    let mut at = lines.start;
    let mut cut = false;
    for whole in text.get(lines).unwrap_or_default().split_inclusive('\n') {
        let line_text = whole.trim_end_matches(['\n', '\r']);
        let focus = spans
            .iter()
            .map(|(_, s)| s.start)
            .find(|s| (at..=at + line_text.len()).contains(s))
            .map_or(0, |s| line_text.get(..s - at).unwrap_or_default().chars().count());
        let from = if line_text.chars().nth(focus + AFTER).is_some() || focus > BEFORE + AFTER {
            focus.saturating_sub(BEFORE)
        } else {
            0
        };
        if from > 0 {
            cut = true;
            shown.push_str("...");
        }
        let mut offset = at;
        for (number, c) in line_text.chars().enumerate() {
            if number >= from && number < from + BEFORE + AFTER {
                mark(&mut moved, spans, offset, shown.len());
                match c {
                    '\t' => shown.push(' '),
                    c if is_unprintable(c) => shown.push('\u{FFFD}'),
                    c => shown.push(c),
                }
            } else if number == from + BEFORE + AFTER {
                mark(&mut moved, spans, offset, shown.len());
                shown.push_str("...");
            }
            offset += c.len_utf8();
        }
        mark(&mut moved, spans, offset, shown.len());
        shown.push('\n');
        at += whole.len();
    }
    let last = shown.trim_end_matches('\n').len();
    for (_, span) in &mut moved {
        span.start = span.start.min(last);
        span.end = span.end.clamp(span.start, last.max(span.start));
    }
    Window { text: shown, line, spans: moved, cut }
}

/// Notes where a byte of the source came to stand, for every span that starts or ends at or before it.
fn mark(moved: &mut [(usize, Range<usize>)], spans: &[(usize, Range<usize>)], offset: usize, shown: usize) {
    for ((_, target), (_, span)) in moved.iter_mut().zip(spans) {
        if target.start == usize::MAX && span.start <= offset {
            target.start = shown;
        }
        if target.end == usize::MAX && span.end <= offset {
            target.end = shown;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::Source;
    use proptest::prelude::*;

    const FULL: Form = Form::Full { colour: false, unicode: false, width: 100 };

    fn sample() -> Vec<Diagnostic> {
        let source = Source::part("site.yaml", "rules:\n  - rule: a\n    ruling: keap\n  - rule: a\n", 10);
        vec![
            Diagnostic::error("bad-value", &source, 31..35, "'ruling': 'keap' is no ruling")
                .label("here")
                .help("did you mean 'keep'?"),
            Diagnostic::warning("repeated-word", &source, 46..47, "the rule 'a' stands twice")
                .and_at(17..18, "first here"),
            Diagnostic::about(Severity::Note, "empty", "other.yaml", "the file is empty"),
        ]
    }

    #[test]
    fn in_full_the_line_stands_under_its_own_number_with_the_place_marked() {
        insta::assert_snapshot!(render(&sample(), FULL));
    }

    #[test]
    fn the_short_form_is_one_line_each() {
        insta::assert_snapshot!(render(&sample(), Form::Short));
    }

    #[test]
    fn narrated_every_thing_is_a_sentence() {
        insta::assert_snapshot!(render(&sample(), Form::Narrated));
    }

    #[test]
    fn as_json_places_are_numbers_and_absent_things_are_left_out() {
        insta::assert_snapshot!(render(&sample(), Form::Json));
        assert_eq!(render(&[], Form::Json), "[]\n");
    }

    #[test]
    fn a_very_long_line_is_cut_around_its_place() {
        let text = format!("{}HERE{}", "x".repeat(100_000), "y".repeat(100_000));
        let source = Source::new("long.yaml", text);
        let it = Diagnostic::error("bad-value", &source, 100_000..100_004, "no");
        let shown = render(&[it], FULL);
        assert!(shown.contains("xxHEREyy"), "{shown}");
        assert!(shown.contains("column 100001"), "{shown}");
        assert!(shown.len() < 1_500, "{}", shown.len());
        let carets = shown.lines().find(|l| l.contains("^^^^")).expect("marked");
        let text = shown.lines().find(|l| l.contains("HERE")).expect("shown");
        assert_eq!(carets.find('^'), text.find("HERE"));
    }

    proptest! {
        #[test]
        fn no_form_lets_a_control_character_through(
            text in "(\\PC|[\\x00-\\x1f\\x7f\u{202e}\u{200f}äß喷]){0,60}", from in 0usize..80, len in 0usize..80, form in 0..4,
        ) {
            let source = Source::new(format!("f{text}"), text.clone());
            let it = Diagnostic::error("x", &source, from..from + len, format!("m {text}"))
                .label(text.clone()).help(text.clone()).and_at(len..from, text.clone());
            let form = match form { 0 => FULL, 1 => Form::Short, 2 => Form::Narrated, _ => Form::Json };
            let shown = render(&[it], form);
            prop_assert!(shown.chars().all(|c| c == '\n' || !is_unprintable(c)), "{:?}", shown);
        }
    }
}
