//! Diagnostics as values: what happened, to what, and what to do now. Nothing here prints or reads a file; the
//! renderers turn a [`Diagnostic`] into text for a terminal, one line, sentences for a screen reader, or JSON.

#![deny(clippy::disallowed_methods)]

pub mod render;
pub mod tree;

use std::fmt;
use std::ops::Range;
use std::sync::Arc;

/// How much a diagnostic weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Something worth knowing; nothing need be done.
    Note,
    /// The input was used, but somebody should look at it.
    Warning,
    /// The input could not be used as it stands.
    Error,
}

impl Severity {
    /// The word shown to a person and written to JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Warning => "warning",
            Self::Error => "error",
        }
    }
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// A named text that diagnostics point into, as it was read.
#[derive(Debug)]
pub struct Source {
    /// What a person calls it: a path as they typed it, or `built-in nfpa25-2023`.
    pub name: String,
    /// The whole text.
    pub text: String,
    /// The line number of the text's first line in its file, from 1: a part of a file keeps the file's numbers.
    pub first_line: usize,
}

impl Source {
    /// A source whose text starts at line 1.
    #[must_use]
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Arc<Self> {
        Arc::new(Self { name: name.into(), text: text.into(), first_line: 1 })
    }

    /// A source that is a part of a file, starting at `first_line` (from 1).
    #[must_use]
    pub fn part(name: impl Into<String>, text: impl Into<String>, first_line: usize) -> Arc<Self> {
        Arc::new(Self { name: name.into(), text: text.into(), first_line })
    }

    /// The place of a byte range, with line and column counted from 1 (columns in characters). A range outside the
    /// text, or one that cuts a character, is moved to the nearest character boundary inside it.
    #[must_use]
    pub fn place(&self, span: Range<usize>) -> Place {
        let start = floor_boundary(&self.text, span.start);
        let end = floor_boundary(&self.text, span.end.max(start));
        let before = self.text.get(..start).unwrap_or_default();
        let line = before.bytes().filter(|b| *b == b'\n').count();
        let line_start = before.rfind('\n').map_or(0, |i| i + 1);
        let column = before.get(line_start..).unwrap_or_default().chars().count() + 1;
        Place { span: start..end, line: self.first_line + line, column }
    }
}

fn floor_boundary(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// Where in a [`Source`] something stands.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Default)]
pub struct Place {
    /// Byte range in the source's text.
    pub span: Range<usize>,
    /// Line in the file, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

/// One finding about an input: what happened, to what, and what to do now.
#[derive(Clone, Debug)]
pub struct Diagnostic {
    /// How much it weighs.
    pub severity: Severity,
    /// A stable kebab-case code, such as `unknown-key`.
    pub code: &'static str,
    /// One sentence that stands alone, without a full stop.
    pub message: String,
    /// The file or input it is about, as a person calls it.
    pub file: String,
    /// The text it points into, when there is one.
    pub source: Option<Arc<Source>>,
    /// Where in that text.
    pub place: Option<Place>,
    /// A few words set at the place in the snippet.
    pub label: Option<String>,
    /// Other places that belong to it, each with a few words.
    pub also: Vec<(Place, String)>,
    /// What to do now: one sentence without a full stop.
    pub help: Option<String>,
}

impl Diagnostic {
    /// A diagnostic about an input as a whole.
    #[must_use]
    pub fn about(severity: Severity, code: &'static str, file: impl Into<String>, message: impl Into<String>) -> Self {
        Self {
            severity,
            code,
            message: message.into(),
            file: file.into(),
            source: None,
            place: None,
            label: None,
            also: Vec::new(),
            help: None,
        }
    }

    /// An error at a byte range of a source.
    #[must_use]
    pub fn error(code: &'static str, source: &Arc<Source>, span: Range<usize>, message: impl Into<String>) -> Self {
        let place = source.place(span);
        let mut it = Self::about(Severity::Error, code, source.name.clone(), message);
        it.source = Some(Arc::clone(source));
        it.place = Some(place);
        it
    }

    /// The same with a warning's weight.
    #[must_use]
    pub fn warning(code: &'static str, source: &Arc<Source>, span: Range<usize>, message: impl Into<String>) -> Self {
        let mut it = Self::error(code, source, span, message);
        it.severity = Severity::Warning;
        it
    }

    /// Adds what to do now.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// Adds a few words at the place.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = Some(label.into());
        self
    }

    /// Adds another place that belongs to it.
    #[must_use]
    pub fn and_at(mut self, span: Range<usize>, words: impl Into<String>) -> Self {
        if let Some(source) = &self.source {
            self.also.push((source.place(span), words.into()));
        }
        self
    }
}

impl fmt::Display for Diagnostic {
    /// The short form on one line: `file:line:column: error: message`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.file)?;
        if let Some(place) = &self.place {
            write!(f, ":{}:{}", place.line, place.column)?;
        }
        write!(f, ": {}: {}", self.severity, self.message)
    }
}

/// The candidate nearest to `word`, if one is near enough to be what was meant.
#[must_use]
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // Long input is cut: the distance is quadratic, and nobody mistypes a word of hundreds of letters.
    let word: String = word.chars().take(64).collect::<String>().to_lowercase();
    candidates
        .into_iter()
        .map(|c| (strsim::damerau_levenshtein(&word, &c.to_lowercase()), c))
        .filter(|(distance, c)| *distance <= (c.chars().count().max(word.chars().count()) / 3).max(1))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, c)| c)
}

/// Replaces control and bidirectional-override characters, so that text from a file can never steer a terminal.
#[must_use]
pub fn plain(text: &str) -> String {
    text.chars().map(|c| if is_unprintable(c) { '\u{FFFD}' } else { c }).collect()
}

/// Whether a character could steer a terminal or hide what stands in a text: control characters (C0, DEL, C1),
/// line and paragraph separators, bidirectional overrides and isolates, and the byte order mark.
#[must_use]
pub const fn is_unprintable(c: char) -> bool {
    matches!(c,
        '\0'..='\u{1F}' | '\u{7F}'..='\u{9F}' | '\u{200E}' | '\u{200F}' | '\u{2028}'..='\u{202E}'
        | '\u{2066}'..='\u{2069}' | '\u{FEFF}' | '\u{FFF9}'..='\u{FFFB}')
}
