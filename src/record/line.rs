//! One line of a site file: an entry's JSON with its checksum and marks, written and taken apart. Pure; knows nothing of
//! files.

use std::ops::Range;

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use crate::round::entry::{Entry, Id};

/// The longest line that is read or written, in bytes without its line end: 1 MiB.
pub const MAX_LINE: usize = 1 << 20;

/// What stands before an entry's JSON.
pub const MARK: &str = "--- ";

const SUM: &str = ",\"sum\":\"";
const REGISTER: &str = ",\"register\":\"sha256:";

/// The checksum of a line: CRC-32 (the one of gzip and zip) of the JSON text without its `sum`, as 8 lower-case
/// hexadecimal digits.
#[must_use]
pub fn sum(json_without_sum: &str) -> String {
    format!("{:08x}", crc32fast::hash(json_without_sum.as_bytes()))
}

/// The JSON text of an entry as the program writes it: `register` (the SHA-256, in hexadecimal, of the register document) where given,
/// then `sum` as the last key.
#[must_use]
pub fn encode(entry: &Entry, register: Option<&str>) -> String {
    seal(entry.to_json(), register)
}

/// Adds the register's mark and the sum to the JSON text of a mapping that is not empty.
fn seal(mut json: String, register: Option<&str>) -> String {
    if let Some(hash) = register {
        json.pop();
        json.push_str(REGISTER);
        json.push_str(hash);
        json.push_str("\"}");
    }
    let sum = sum(&json);
    json.pop();
    json.push_str(SUM);
    json.push_str(&sum);
    json.push_str("\"}");
    json
}

/// A line's JSON taken apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sum {
    /// The last key is a `sum` and it is right.
    Right,
    /// The last key is a `sum` and it is wrong.
    Wrong,
    /// The last key is no `sum`.
    None,
}

/// Checks the `sum` of a line's JSON text (without `--- ` and without blanks at either end).
#[must_use]
pub fn check(json: &[u8]) -> Sum {
    let Some((before, rest)) = json.len().checked_sub(SUM.len() + 10).and_then(|at| json.split_at_checked(at)) else {
        return Sum::None;
    };
    let Some(value) = rest.strip_prefix(SUM.as_bytes()).and_then(|r| r.strip_suffix(b"\"}")) else { return Sum::None };
    let Some(told) = hex8(value) else { return Sum::Wrong };
    let mut crc = crc32fast::Hasher::new();
    crc.update(before);
    crc.update(b"}");
    if crc.finalize() == told { Sum::Right } else { Sum::Wrong }
}

/// The value of 8 lower-case hexadecimal digits; upper case is refused, so that no other spelling of a sum is right.
fn hex8(digits: &[u8]) -> Option<u32> {
    digits.iter().try_fold(0_u32, |value, d| {
        let d = match d {
            b'0'..=b'9' => d - b'0',
            b'a'..=b'f' => d - b'a' + 10,
            _ => return None,
        };
        Some(value << 4 | u32::from(d))
    })
}

/// The register's SHA-256 that a line with a `sum` carries, in hexadecimal.
#[must_use]
pub fn register_mark(json: &str) -> Option<&str> {
    let before = json.get(..json.len().checked_sub(SUM.len() + 10)?)?;
    let from = before.len().checked_sub(REGISTER.len() + 65)?;
    let hash = before.get(from..)?.strip_prefix(REGISTER)?.strip_suffix('"')?;
    hash.bytes().all(|b| b.is_ascii_hexdigit()).then_some(hash)
}

/// Finds whole entries, known by a right sum, among the bytes of a damaged line: a byte that joins two lines or hides the mark
/// before one costs no entry. Inside a JSON string a quote is always escaped, so no text of an entry can look like one.
#[must_use]
pub fn salvage(bytes: &[u8]) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut from = 0;
    while let Some(at) = find(bytes, SUM.as_bytes(), from) {
        let end = at + SUM.len() + 10;
        let next = match rfind(bytes, b"{\"id\":\"", from..at).or_else(|| rfind(bytes, b"{\"folded\":[", from..at)) {
            Some(start) if bytes.get(start..end).is_some_and(|json| check(json) == Sum::Right) => {
                found.push(start..end);
                end
            }
            _ => at + SUM.len(),
        };
        from = next.min(bytes.len());
    }
    found
}

/// Whether bytes speak of a sum at all; a cheap question before [`salvage`].
#[must_use]
pub fn speaks_of_a_sum(bytes: &[u8]) -> bool {
    find(bytes, SUM.as_bytes(), 0).is_some()
}

fn find(bytes: &[u8], what: &[u8], from: usize) -> Option<usize> {
    bytes.get(from..)?.windows(what.len()).position(|w| w == what).map(|i| i + from)
}

fn rfind(bytes: &[u8], what: &[u8], within: Range<usize>) -> Option<usize> {
    let start = within.start;
    bytes.get(within)?.windows(what.len()).rposition(|w| w == what).map(|i| i + start)
}

/// The line that says which entries the register has taken in: they are in the first document now and must not be applied
/// again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Folded {
    /// The entries taken in.
    pub folded: Vec<Id>,
    /// When.
    pub at: DateTime<FixedOffset>,
    /// By whom: a short name.
    pub by: String,
    #[serde(default, skip_serializing)]
    register: Option<String>,
    #[serde(default, skip_serializing)]
    sum: Option<String>,
}

impl Folded {
    /// How such a line's JSON starts.
    pub const START: &str = "{\"folded\":[";

    /// A new one.
    #[must_use]
    pub const fn new(folded: Vec<Id>, at: DateTime<FixedOffset>, by: String) -> Self {
        Self { folded, at, by, register: None, sum: None }
    }

    /// Its JSON text, sealed with the register's SHA-256 and a sum.
    #[must_use]
    pub fn encode(&self, register: &str) -> String {
        // A list of ids, a time and a name always have a JSON form.
        seal(serde_json::to_string(self).unwrap_or_default(), Some(register))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::round::entry::Names;

    fn entry() -> Entry {
        let json = r#"{"id":"01KAVQ5R8Z0000000000000001","at":"2026-11-25T09:14:02-05:00","by":"ines","round":"2026","note":{"text":"a \"quoted\" ü"}}"#;
        Entry::from_json(json, &mut Names::default()).expect("an entry")
    }

    #[test]
    fn a_sum_is_the_crc_of_the_line_without_it() {
        assert_eq!(sum("123456789"), "cbf43926"); // the check value of CRC-32/ISO-HDLC in the published catalogue of CRCs
        let json = encode(&entry(), None);
        let (before, rest) = json.split_at(json.len() - 18);
        assert_eq!(rest, format!(",\"sum\":\"{}\"}}", sum(&format!("{before}}}"))));
        assert_eq!(check(json.as_bytes()), Sum::Right);
        assert_eq!(check(entry().to_json().as_bytes()), Sum::None);
        assert_eq!(check(json.replace("ines", "inez").as_bytes()), Sum::Wrong);
        assert_eq!(check(b""), Sum::None);
    }

    #[test]
    fn the_registers_mark_is_read_back_and_the_entry_with_it() {
        let hash = "0123456789abcdef".repeat(4);
        let json = encode(&entry(), Some(&hash));
        assert_eq!(register_mark(&json), Some(hash.as_str()));
        assert_eq!(register_mark(&encode(&entry(), None)), None);
        assert_eq!(Entry::from_json(&json, &mut Names::default()), Ok(entry()));
    }

    #[test]
    fn whole_entries_are_found_among_damaged_bytes() {
        let json = encode(&entry(), None);
        let joined = format!("-x- {json}?--- {json}\u{0}{{\"id\":\"torn");
        let found = salvage(joined.as_bytes());
        assert_eq!(found.len(), 2);
        assert!(found.iter().all(|r| joined[r.clone()] == json));
        let many = ",\"sum\":\"".repeat(100_000);
        assert!(salvage(many.as_bytes()).is_empty());
        let within = encode(
            &Entry {
                what: crate::round::entry::What::Note(Box::new(crate::round::entry::Note {
                    head: None,
                    text: json.clone(),
                })),
                ..entry()
            },
            None,
        );
        assert_eq!(salvage(format!("x{within}x").as_bytes()), vec![1..within.len() + 1]);
    }
}
