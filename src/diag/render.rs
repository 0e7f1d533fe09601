//! Diagnostics as text: in full with the lines they are about, short, narrated for screen readers, or as JSON. Nothing
//! here decides where the text goes.

use annotate_snippets::{AnnotationKind, Element, Group, Level, Origin, Renderer, Snippet};

use super::{Diagnostic, Place, Severity, Source, plain};

/// How diagnostics are written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Style {
    /// With the lines they are about.
    #[default]
    Full,
    /// One line each.
    Short,
    /// In sentences, without drawn lines.
    Narrated,
    /// One JSON object each, on one line.
    Json,
}

/// The most characters shown of one line.
const MOST: usize = 160;

/// Writes one diagnostic; the text ends with a line end.
#[must_use]
pub fn render(it: &Diagnostic, style: Style) -> String {
    match style {
        Style::Full => full(it),
        Style::Short => format!("{}\n", plain(&it.to_string())),
        Style::Narrated => narrated(it),
        Style::Json => format!("{}\n", json(it)),
    }
}

/// One line of a text, cut to what fits and free of control characters, with a span inside it.
struct Excerpt {
    text: String,
    span: std::ops::Range<usize>,
}

fn excerpt(source: &Source, place: &Place) -> Excerpt {
    let text = source.text.as_str();
    let start = place.span.start.min(text.len());
    let before = text.get(..start).unwrap_or_default();
    let line_start = before.rfind('\n').map_or(0, |i| i + 1);
    let after = text.get(start..).unwrap_or_default();
    let line_end = after.find('\n').map_or(text.len(), |i| start + i);
    let end = place.span.end.clamp(start, line_end);
    let lead: Vec<char> = text.get(line_start..start).unwrap_or_default().chars().collect();
    let marked: String = text.get(start..end).unwrap_or_default().chars().take(MOST).collect();
    let rest: String = text.get(end..line_end).unwrap_or_default().chars().take(MOST / 2).collect();
    let cut = lead.len().saturating_sub(MOST / 2);
    let shown: String = lead.iter().skip(cut).collect();
    let mut out = if cut > 0 { "…".to_owned() } else { String::new() };
    out.push_str(&tame(&shown));
    let from = out.len();
    out.push_str(&tame(&marked));
    let to = out.len();
    out.push_str(tame(&rest).trim_end());
    Excerpt { span: from..to.max(from), text: out }
}

/// Without control characters; a tab becomes a space, so that marks stand under what they mark.
fn tame(text: &str) -> String {
    plain(&text.replace('\t', " "))
}

const fn level(severity: Severity) -> Level<'static> {
    match severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
        Severity::Note => Level::NOTE,
    }
}

fn full(it: &Diagnostic) -> String {
    let mut elements: Vec<Element<'_>> = Vec::new();
    let file = plain(&it.file);
    match (&it.source, &it.place) {
        (Some(source), Some(place)) => {
            let label = it.label.as_deref().map(plain);
            elements.push(snippet(source, place, label, &file, AnnotationKind::Primary));
            for (other, words) in &it.also {
                elements.push(snippet(source, other, Some(plain(words)), &file, AnnotationKind::Context));
            }
        }
        (_, place) => {
            let mut origin = Origin::path(file);
            if let Some(place) = place {
                origin = origin.line(place.line).char_column(place.column);
            }
            elements.push(origin.into());
        }
    }
    if let Some(help) = &it.help {
        elements.push(Level::HELP.message(plain(help)).into());
    }
    let title = level(it.severity).primary_title(plain(&it.message)).id(it.code);
    let report: &[Group<'_>] = &[title.elements(elements)];
    format!("{}\n", Renderer::plain().term_width(MOST * 2).render(report))
}

fn snippet<'a>(source: &Source, place: &Place, label: Option<String>, file: &str, kind: AnnotationKind) -> Element<'a> {
    let part = excerpt(source, place);
    let annotation = kind.span(part.span).label(label);
    Snippet::source(part.text).line_start(place.line).path(file.to_owned()).fold(false).annotation(annotation).into()
}

fn narrated(it: &Diagnostic) -> String {
    use std::fmt::Write as _;
    let word = match it.severity {
        Severity::Error => "Error",
        Severity::Warning => "Warning",
        Severity::Note => "Note",
    };
    let mut t = format!("{word} in {}", plain(&it.file));
    if let Some(place) = &it.place {
        let _ = write!(t, ", line {}, column {}", place.line, place.column);
    }
    let _ = writeln!(t, ": {}.", plain(&it.message));
    if let (Some(source), Some(place)) = (&it.source, &it.place) {
        let _ = writeln!(t, "The line reads: {}", excerpt(source, place).text.trim());
    }
    if let Some(label) = &it.label {
        let _ = writeln!(t, "About this place: {}.", plain(label));
    }
    for (place, words) in &it.also {
        let _ = writeln!(t, "See also line {}, column {}: {}.", place.line, place.column, plain(words));
    }
    if let Some(help) = &it.help {
        let _ = writeln!(t, "What to do: {}.", plain(help));
    }
    t
}

/// The diagnostic as a JSON value: `severity`, `code`, `message`, `file`, and where there is one `line`, `column`,
/// `label`, `also` (each `line`, `column`, `label`) and `help`.
#[must_use]
pub fn json(it: &Diagnostic) -> serde_json::Value {
    let mut out = serde_json::json!({
        "severity": it.severity.word(),
        "code": it.code,
        "message": plain(&it.message),
        "file": plain(&it.file),
    });
    let Some(map) = out.as_object_mut() else { return out };
    if let Some(place) = &it.place {
        map.insert("line".into(), place.line.into());
        map.insert("column".into(), place.column.into());
    }
    if let Some(label) = &it.label {
        map.insert("label".into(), plain(label).into());
    }
    if !it.also.is_empty() {
        let also = it.also.iter();
        let also = also.map(|(p, w)| serde_json::json!({"line": p.line, "column": p.column, "label": plain(w)}));
        map.insert("also".into(), also.collect());
    }
    if let Some(help) = &it.help {
        map.insert("help".into(), plain(help).into());
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use insta::assert_snapshot;

    fn sample() -> Diagnostic {
        let text = "site: {}\nkinds:\n\tqr: {response: quik}\nareas:\n";
        let source = Source::part("a.site.yaml", text, 4);
        let at = text.find("quik").unwrap();
        Diagnostic::error("unknown-word", &source, at..at + 4, "'quik' is no response")
            .label("here")
            .and_at(9..14, "kinds start here")
            .help("write 'quick'")
    }

    #[test]
    fn every_style_tells_place_and_cure() {
        assert_snapshot!(render(&sample(), Style::Full), @r"
        error[unknown-word]: 'quik' is no response
         --> a.site.yaml:6:17
          |
        6 |  qr: {response: quik}
          |                 ^^^^ here
          |
         ::: a.site.yaml:5:1
          |
        5 | kinds:
          | ----- kinds start here
          |
          = help: write 'quick'
        ");
        assert_snapshot!(render(&sample(), Style::Short), @"a.site.yaml:6:17: error: 'quik' is no response");
        assert_snapshot!(render(&sample(), Style::Narrated), @r"
        Error in a.site.yaml, line 6, column 17: 'quik' is no response.
        The line reads: qr: {response: quik}
        About this place: here.
        See also line 5, column 1: kinds start here.
        What to do: write 'quick'.
        ");
        assert_snapshot!(render(&sample(), Style::Json), @r#"{"also":[{"column":1,"label":"kinds start here","line":5}],"code":"unknown-word","column":17,"file":"a.site.yaml","help":"write 'quick'","label":"here","line":6,"message":"'quik' is no response","severity":"error"}"#);
    }

    #[test]
    fn a_diagnostic_without_a_place_names_the_file() {
        let it = Diagnostic::about(Severity::Warning, "read-only", "b.site.yaml", "it cannot be written");
        assert_snapshot!(render(&it, Style::Full), @r"
        warning[read-only]: it cannot be written
        --> b.site.yaml
        ");
        assert_snapshot!(render(&it, Style::Narrated), @"Warning in b.site.yaml: it cannot be written.");
    }

    #[test]
    fn no_style_lets_a_control_character_or_an_endless_line_through() {
        let mut text = "x".repeat(100_000);
        text.push_str("\u{1b}[2J\u{202e}bad\u{85}\r");
        text.push_str(&"y".repeat(100_000));
        let source = Source::new("c\u{1b}[0m.yaml", text);
        let mut it =
            Diagnostic::error("code", &source, 100_000..100_010, "m\u{1b}]0;t\u{7}").label("l\u{9b}").help("h\u{1b}");
        it = it.and_at(0..5, "w\u{1b}");
        for style in [Style::Full, Style::Short, Style::Narrated, Style::Json] {
            let out = render(&it, style);
            assert!(out.len() < 4000, "{style:?}: {}", out.len());
            assert!(!out.chars().any(|c| c != '\n' && crate::diag::is_unprintable(c)), "{style:?}: {out:?}");
        }
    }

    #[test]
    fn any_span_is_survived() {
        let source = Source::new("d", "a\u{e9}b\n\ncd");
        for start in 0..12 {
            for end in 0..12 {
                let it = Diagnostic::error("code", &source, start..end, "m");
                for style in [Style::Full, Style::Narrated] {
                    assert!(render(&it, style).contains('d'));
                }
            }
        }
    }
}
