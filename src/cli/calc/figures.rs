//! Counts, confidences and chances as people write and read them.

use crate::cli::session::{Failure, Session};
use crate::cli::table;
use crate::diag::{Diagnostic, Severity, plain};
use crate::tui::text;

/// What must be said beside all that a sample is made to tell.
pub const CAUTION: &str = "This holds for heads drawn at random and tested alike. The adopted code and the authority having \
                           jurisdiction decide what follows from a sample; no such figure clears a head.";

/// Reads a whole number.
///
/// # Errors
/// A sentence.
pub fn count(text: &str) -> Result<u32, String> {
    let digits = text.trim();
    if digits.starts_with('-') && digits.trim_start_matches('-').bytes().all(|b| b.is_ascii_digit() || b == b'.') {
        return Err("a count is not below 0; write a whole number, as in 400".to_owned());
    }
    if digits.is_empty() || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return Err("write a whole number without points or commas, as in 400".to_owned());
    }
    digits.parse().map_err(|_| format!("that is more than can be counted; write at most {}", u32::MAX))
}

/// Reads a confidence as a share or in per cent: above 0, at most 0.999999.
///
/// # Errors
/// A sentence.
pub fn confidence(text: &str) -> Result<f64, String> {
    let text = text.trim();
    let (number, per_cent) = text.strip_suffix('%').map_or((text, false), |n| (n.trim_end(), true));
    let value: f64 = number.parse().map_err(|_| "write a confidence as 0.95 or 95%".to_owned())?;
    // 99.9 / 100 is not the number that 0.999 is read as; no confidence is meant to the thirteenth figure.
    let value = if per_cent { (value * 1e10).round() / 1e12 } else { value };
    match crate::bench::chance::check_confidence(value) {
        Ok(()) => Ok(value),
        Err(_) if value > 1.0 && value < 100.0 => {
            Err(format!("a confidence is a share or in per cent; write {} or {value}%", value / 100.0))
        }
        Err(sentence) => Err(sentence),
    }
}

/// A chance or share in per cent, with as many figures as tell something: never 0 or 100 % for what is only near it.
#[must_use]
pub fn per_cent(share: f64) -> String {
    let rest = 1.0 - share;
    if share <= 0.0 {
        "0 %".to_owned()
    } else if rest <= 0.0 {
        "100 %".to_owned()
    } else if share < 1e-5 {
        "less than 0.001 %".to_owned()
    } else if rest < 1e-5 {
        "more than 99.999 %".to_owned()
    } else if share < 0.01 || rest < 0.01 {
        format!("{:.3} %", share * 100.0)
    } else {
        format!("{:.2} %", share * 100.0)
    }
}

/// A confidence in per cent, as it was asked for.
#[must_use]
pub fn asked(confidence: f64) -> String {
    // 0.95 · 100 is 95 but for the last digit.
    format!("{} %", (confidence * 1e8).round() / 1e6)
}

/// So many heads.
#[must_use]
pub fn heads(n: u32) -> String {
    format!("{n} head{}", if n == 1 { "" } else { "s" })
}

/// A sentence of the arithmetic as trouble of a command: what is wrong and, behind the last `; `, what to do.
#[must_use]
pub fn refused(command: &str, sentence: &str) -> Failure {
    let it = |what: &str| Diagnostic::about(Severity::Error, "calc", command, plain(what));
    match sentence.rsplit_once("; ") {
        Some((what, help)) => it(what).help(plain(help)),
        None => it(sentence),
    }
    .into()
}

/// The columns that text is written for.
#[must_use]
pub fn columns(session: &Session<'_, '_>) -> usize {
    session.around.columns.map_or(100, |c| c.clamp(60, 140))
}

/// Text that is put together paragraph by paragraph, free of control characters.
pub struct Page {
    out: String,
    columns: usize,
}

impl Page {
    /// An empty one.
    #[must_use]
    pub const fn of(columns: usize) -> Self {
        Self { out: String::new(), columns }
    }

    /// A paragraph; an empty one is an empty line.
    pub fn say(&mut self, paragraph: &str) {
        for line in text::wrap(&plain(paragraph), self.columns) {
            self.out.push_str(&line);
            self.out.push('\n');
        }
    }

    /// A table.
    pub fn grid(&mut self, head: &[&str], rows: &[Vec<String>]) {
        self.out.push_str(&table::fitted(head, rows, self.columns));
    }

    /// All of it.
    #[must_use]
    pub fn text(self) -> String {
        self.out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_are_whole_and_confidences_are_shares() {
        assert_eq!(count(" 400 "), Ok(400));
        for bad in ["", "-3", "-0.5", "4.5", "1,000", "four", "4294967296", "+4"] {
            assert!(count(bad).unwrap_err().contains("write"), "{bad}");
        }
        assert_eq!((confidence("0.95"), confidence("95 %"), confidence("99.9%")), (Ok(0.95), Ok(0.95), Ok(0.999)));
        assert!(confidence("95").unwrap_err().contains("0.95 or 95%"));
        for bad in ["", "1", "0", "-0.9", "100%", "nan", "inf", "x"] {
            assert!(confidence(bad).unwrap_err().contains("write"), "{bad}");
        }
    }

    #[test]
    fn what_is_nearly_certain_is_not_told_as_certain() {
        for (share, told) in [
            (0.0, "0 %"),
            (1.0, "100 %"),
            (1e-9, "less than 0.001 %"),
            (0.000_05, "0.005 %"),
            (0.186_14, "18.61 %"),
            (0.999_98, "99.998 %"),
            (1.0 - 1e-9, "more than 99.999 %"),
        ] {
            assert_eq!(per_cent(share), told);
        }
        assert_eq!((asked(0.95), asked(0.999), asked(0.9999)), ("95 %".into(), "99.9 %".into(), "99.99 %".into()));
    }
}
