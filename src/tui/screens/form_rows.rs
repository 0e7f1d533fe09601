//! The rows of a form: what each asks, how it is answered, how the answer is checked. Nothing is drawn here.

use crate::tui::ask::{Check, Field};
use crate::tui::screen::View;
use crate::tui::text;

/// How a row is answered.
#[derive(Clone, Debug)]
pub enum Answer {
    /// By typing.
    Text(Field),
    /// By one of these words.
    One(Vec<&'static str>, usize),
    /// By one of these names, each with a line about it.
    Named(Vec<(String, String)>, usize),
    /// By any of these words; the number is the one that Space acts upon.
    Any(Vec<(&'static str, bool)>, usize),
}

/// One row of a form.
pub struct Row {
    /// What the form's reader asks for it by.
    pub key: String,
    /// What stands before it.
    pub label: String,
    /// What it is about, shown while one stands there.
    pub hint: String,
    /// A heading above it.
    pub heading: Option<&'static str>,
    /// How it is answered.
    pub answer: Answer,
    check: Option<Check>,
    /// The sentence under it that says what to mend.
    pub(super) wrong: Option<String>,
}

impl Row {
    /// A row answered by typing, which starts with `start`.
    pub fn text(key: impl Into<String>, label: impl Into<String>, start: &str, hint: &str) -> Self {
        Self {
            key: key.into(),
            label: label.into(),
            hint: hint.to_owned(),
            heading: None,
            answer: Answer::Text(Field::new(text::plain(start))),
            check: None,
            wrong: None,
        }
    }

    /// A row answered by one of some words; the one at `at` to start with.
    pub fn one(key: &str, label: &str, words: Vec<&'static str>, at: usize, hint: &str) -> Self {
        Self { answer: Answer::One(words, at), ..Self::text(key, label, "", hint) }
    }

    /// A row answered by one of some names, each with a line about it that is shown while one stands there; the first to
    /// start with.
    pub fn named(key: &str, label: &str, names: Vec<(String, String)>) -> Self {
        let names = names.into_iter().map(|(name, about)| (text::plain(&name), about)).collect();
        Self { answer: Answer::Named(names, 0), ..Self::text(key, label, "", "") }
    }

    /// A row answered by any number of some words, none to start with.
    pub fn any(key: &str, label: &str, words: Vec<&'static str>, hint: &str) -> Self {
        let words = words.into_iter().map(|w| (w, false)).collect();
        Self { answer: Answer::Any(words, 0), ..Self::text(key, label, "", hint) }
    }

    /// With a check.
    #[must_use]
    pub fn checked(mut self, check: impl Fn(&str, &View<'_>) -> Result<(), String> + 'static) -> Self {
        self.check = Some(Box::new(check));
        self
    }

    /// With a check that asks for something at all.
    #[must_use]
    pub fn needed(self) -> Self {
        let label = self.label.clone();
        self.checked(move |t, _| if t.is_empty() { Err(format!("{label} is wanted here")) } else { Ok(()) })
    }

    /// With a heading above it.
    #[must_use]
    pub const fn under(mut self, heading: &'static str) -> Self {
        self.heading = Some(heading);
        self
    }

    /// The same, on a row that stands already.
    pub fn set_check(&mut self, check: impl Fn(&str, &View<'_>) -> Result<(), String> + 'static) {
        self.check = Some(Box::new(check));
    }

    /// Sets or takes away the sentence under the row.
    pub fn complain(&mut self, wrong: Option<String>) {
        self.wrong = wrong;
    }

    fn words(&self) -> String {
        match &self.answer {
            Answer::Text(field) => field.text().trim().to_owned(),
            Answer::One(words, at) => words.get(*at).copied().unwrap_or_default().to_owned(),
            Answer::Named(names, at) => names.get(*at).map(|(name, _)| name.clone()).unwrap_or_default(),
            Answer::Any(words, _) => words.iter().filter(|(_, on)| *on).map(|(w, _)| *w).collect::<Vec<_>>().join(", "),
        }
    }

    /// What is said while one stands there.
    pub(super) fn about(&self) -> &str {
        match &self.answer {
            Answer::Named(names, at) => names.get(*at).map_or("", |(_, about)| about.as_str()),
            _ => &self.hint,
        }
    }

    pub(super) fn examine(&mut self, view: &View<'_>) -> bool {
        let words = self.words();
        if let Some(check) = &self.check {
            self.wrong = check(&words, view).err();
        }
        self.wrong.is_none()
    }
}

/// What was answered.
#[derive(Default)]
pub struct Rows(pub Vec<Row>);

impl Rows {
    /// What stands in the row of that key, trimmed; a word, or words separated by commas. Empty where there is none.
    #[must_use]
    pub fn get(&self, key: &str) -> String {
        self.0.iter().find(|r| r.key == key).map(Row::words).unwrap_or_default()
    }

    /// The same, or `None` where it is empty.
    #[must_use]
    pub fn some(&self, key: &str) -> Option<String> {
        Some(self.get(key)).filter(|t| !t.is_empty())
    }

    /// The row of that key.
    pub fn row(&mut self, key: &str) -> Option<&mut Row> {
        self.0.iter_mut().find(|r| r.key == key)
    }
}
