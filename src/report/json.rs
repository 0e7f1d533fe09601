//! The summary as JSON: the model as it stands, every fact with its id, for programs that lay it out themselves.

use super::summary::Summary;

/// The summary as JSON, indented, with a line feed at its end.
#[must_use]
pub fn render(summary: &Summary) -> String {
    // The model is made of text, numbers and lists only, so writing it cannot fail.
    let mut out = serde_json::to_string_pretty(summary).unwrap_or_default();
    out.push('\n');
    out
}

/// A sheet as JSON: its title, what stands before the first section, and the sections.
#[must_use]
pub fn sheet(it: &Summary) -> String {
    let value = serde_json::json!({ "title": it.title, "head": it.head, "sections": it.sections });
    let mut out = serde_json::to_string_pretty(&value).unwrap_or_default();
    out.push('\n');
    out
}
