//! The short way to read the commonest entry, a `seen` just as the program writes it: nine lines of ten in a large file.
//! Whatever departs from that form in the least is left to the general reader, which alone decides what is an entry.

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::entry::{Entry, Id, Marks, Names, What};
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
        at: moment(at)?,
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

/// `2026-11-25T09:14:02-05:00`, to the second and with its offset; any other form is left to the general reader.
fn moment(text: &str) -> Option<DateTime<FixedOffset>> {
    let bytes: &[u8; 25] = text.as_bytes().try_into().ok()?;
    let marks = [(4, b'-'), (7, b'-'), (10, b'T'), (13, b':'), (16, b':'), (22, b':')];
    if !marks.iter().all(|(at, mark)| bytes.get(*at) == Some(mark)) {
        return None;
    }
    let two = |at: usize| {
        let (tens, ones) = (*bytes.get(at)?, *bytes.get(at + 1)?);
        (tens.is_ascii_digit() && ones.is_ascii_digit()).then(|| u32::from(tens - b'0') * 10 + u32::from(ones - b'0'))
    };
    let year = i32::try_from(two(0)? * 100 + two(2)?).ok().filter(|y| *y >= 1000)?;
    let date = NaiveDate::from_ymd_opt(year, two(5)?, two(8)?)?;
    let time = date.and_hms_opt(two(11)?, two(14)?, two(17)?)?;
    let (hours, minutes) = (two(20).filter(|h| *h < 24)?, two(23).filter(|m| *m < 60)?);
    let seconds = i32::try_from(hours * 3600 + minutes * 60).ok()?;
    let offset = match bytes.get(19)? {
        b'+' => FixedOffset::east_opt(seconds)?,
        b'-' if seconds > 0 => FixedOffset::west_opt(seconds)?,
        _ => return None,
    };
    time.and_local_timezone(offset).single()
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
            ("-05:00", "-00:00"),
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
        #![proptest_config(ProptestConfig::with_cases(2_000))]
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

        #[test]
        fn every_moment_is_the_one_the_general_reader_finds(digits in proptest::collection::vec(0_u8..10, 18), plus in any::<bool>()) {
            let mut digits = digits.into_iter();
            let form = if plus { "0000-00-00T00:00:00+00:00" } else { "0000-00-00T00:00:00-00:00" };
            let text: String =
                form.chars().map(|c| if c == '0' { char::from(b'0' + digits.next().unwrap_or(0)) } else { c }).collect();
            if let Some(at) = moment(&text) {
                prop_assert_eq!(Ok(at), DateTime::parse_from_rfc3339(&text));
            }
        }
    }
}
