//! The short way to read the commonest entry, a `seen` just as the program writes it: nineteen lines of twenty in a large file.
//! Whatever departs from that form in the least is left to the general reader, which alone decides what is an entry.

use super::entry::{Entry, Id, Marks, Names, What};
use super::wire::plain_moment;
use crate::trade::address::Heads;

/// Reads the entry, or says nothing; then the general reader is to be asked. Where it speaks, it says what the general
/// reader would.
pub(super) fn seen(json: &str, names: &mut Names) -> Option<Entry> {
    let (id, rest) = text(json.strip_prefix("{\"id\":\"")?)?;
    let (at, rest) = text(rest.strip_prefix(",\"at\":\"")?)?;
    let (by, rest) = text(rest.strip_prefix(",\"by\":\"")?)?;
    let (round, rest) = text(rest.strip_prefix(",\"round\":\"")?)?;
    let (heads, rest) = text(rest.strip_prefix(",\"seen\":\"")?)?;
    let (prev, rest) = match rest.strip_prefix(",\"prev\":\"") {
        Some(rest) => {
            let (prev, rest) = text(rest)?;
            (Some(Id::parse(prev).ok()?), rest)
        }
        None => (None, rest),
    };
    let rest = match rest.strip_prefix(",\"sum\":\"") {
        Some(rest) => text(rest)?.1,
        None => rest,
    };
    if rest != "}" || by.trim().is_empty() || round.trim().is_empty() {
        return None;
    }
    Some(Entry {
        id: Id::parse(id).ok()?,
        at: plain_moment(at)?,
        what: What::Seen(Heads::parse(heads).ok()?),
        by: names.share(by),
        round: names.share(round),
        marks: prev.map(|prev| Box::new(Marks { prev: Some(prev), ..Marks::default() })),
    })
}

/// The text up to the closing quote, and what follows that; none where anything in it is escaped or would have to be.
fn text(rest: &str) -> Option<(&str, &str)> {
    let end = rest.bytes().position(|b| b == b'"' || b == b'\\' || b < b' ')?;
    let (text, rest) = rest.split_at_checked(end)?;
    Some((text, rest.strip_prefix('"')?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const LINE: &str = r#"{"id":"01KAVQ5R8Z0000000000000001","at":"2026-11-25T09:14:02-05:00","by":"ines","round":"2026","seen":"pack/1.1..1.6","prev":"01KAVQ5R8Z0000000000000000","sum":"00c0ffee"}"#;

    /// What the general reader says of a text.
    fn general(json: &str) -> Result<Entry, String> {
        Entry::from_any_json(json, &mut Names::default())
    }

    #[test]
    fn what_the_program_writes_is_read_the_short_way() {
        let short = LINE.replace(",\"prev\":\"01KAVQ5R8Z0000000000000000\"", "").replace(",\"sum\":\"00c0ffee\"", "");
        for json in [LINE, &short, &LINE.replace("ines", "Inès Ω"), &LINE.replace("-05:00", "+13:45")] {
            let entry = seen(json, &mut Names::default());
            assert!(entry.is_some(), "{json}");
            assert_eq!(entry, general(json).ok());
        }
    }

    #[test]
    fn any_other_form_is_left_to_the_general_reader() {
        let changes = [
            ("ines", "in\\u0065s"),
            ("ines", "in\nes"),
            ("ines", " "),
            ("09:14:02", "09:14:60"),
            ("09:14:02", "09:14:02.5"),
            ("-05:00", "Z"),
            ("-05:00", "-25:00"),
            ("11-25", "11-31"),
            ("\"seen\"", "\"sen\""),
            ("pack/1.1..1.6", "Pack"),
            ("\"by\":", "\"by\": "),
            ("}", "} "),
            ("01KAVQ5R8Z0000000000000001", "01KAVQ5R8Z000000000000000"),
        ];
        for (from, to) in changes {
            let json = LINE.replace(from, to);
            assert_ne!(json, LINE);
            assert_eq!(seen(&json, &mut Names::default()), None, "{json}");
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 2_000, failure_persistence: None, ..ProptestConfig::default() })]
        #[test]
        fn the_short_way_never_says_anything_else_than_the_general_one(at in 0_usize..220, byte in any::<char>(), cut in 0_usize..3) {
            let mut text: Vec<char> = LINE.chars().collect();
            let at = at % text.len();
            text.splice(at..(at + cut).min(text.len()), [byte]);
            let json: String = text.into_iter().collect();
            if let Some(entry) = seen(&json, &mut Names::default()) {
                prop_assert_eq!(Ok(entry), general(&json));
            }
        }
    }
}
