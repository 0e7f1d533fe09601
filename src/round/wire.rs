//! Entries as lines of JSON: reading one with a sentence for what is wrong, and writing one so that it is YAML 1.2 too.

use std::borrow::Cow;

use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::{Deserialize, Serialize};

use super::entry::{
    Added, Begin, Checked, Concluded, Counted, Custody, Did, Drawn, Entry, Gone, Id, IsKind, Marks, Moved, Names,
    NewArea, NewCabinet, NewLot, Note, Notice, Posted, Removed, Saw, Settle, Signoff, Tested, Unreached, Unsure, What,
};
use crate::trade::address::Heads;
use crate::trade::kind::Kind;

/// The keys an entry may have.
pub const KEYS: &[&str] = &[
    "id",
    "at",
    "by",
    "round",
    "begin",
    "seen",
    "saw",
    "unsure",
    "unreached",
    "note",
    "notice",
    "did",
    "gone",
    "added",
    "removed",
    "is_kind",
    "new_kind",
    "new_area",
    "retract",
    "settle",
    "signoff",
    "counted",
    "moved",
    "checked",
    "posted",
    "new_cabinet",
    "lot",
    "drawn",
    "custody",
    "tested",
    "concluded",
    "instead",
    "after",
    "prev",
    "register",
    "sum",
];

/// The line's JSON as it stands, with exactly one of the verbs. Field order is the order written.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Wire<'a> {
    id: Id,
    #[serde(deserialize_with = "moment")]
    at: DateTime<FixedOffset>,
    #[serde(borrow)]
    by: Cow<'a, str>,
    #[serde(borrow)]
    round: Cow<'a, str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    begin: Option<Box<Begin>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    seen: Option<Heads>,
    #[serde(skip_serializing_if = "Option::is_none")]
    saw: Option<Box<Saw>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    unsure: Option<Box<Unsure>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    unreached: Option<Box<Unreached>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    note: Option<Box<Note>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    notice: Option<Box<Notice>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    did: Option<Box<Did>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    gone: Option<Box<Gone>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    added: Option<Box<Added>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    removed: Option<Box<Removed>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    is_kind: Option<Box<IsKind>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    new_kind: Option<Box<Kind>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    new_area: Option<Box<NewArea>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    retract: Option<Id>,
    #[serde(skip_serializing_if = "Option::is_none")]
    settle: Option<Box<Settle>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    signoff: Option<Box<Signoff>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    counted: Option<Box<Counted>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    moved: Option<Box<Moved>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    checked: Option<Box<Checked>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    posted: Option<Box<Posted>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    new_cabinet: Option<Box<NewCabinet>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    lot: Option<Box<NewLot>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    drawn: Option<Box<Drawn>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    custody: Option<Box<Custody>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    tested: Option<Box<Tested>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    concluded: Option<Box<Concluded>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    instead: Option<Id>,
    #[serde(skip_serializing_if = "Option::is_none")]
    after: Option<Id>,
    #[serde(skip_serializing_if = "Option::is_none")]
    prev: Option<Id>,
    /// The register's SHA-256 at the time of writing; the line scanner reads it from the text.
    #[serde(default, skip_serializing)]
    #[expect(dead_code, reason = "read so that it is a known field; the line scanner uses it")]
    register: Option<Cow<'a, str>>,
    /// The line's own checksum; it is checked before this struct is made and written by whoever writes lines.
    #[serde(default, skip_serializing)]
    #[expect(dead_code, reason = "read so that it is a known field; the line scanner checks it")]
    sum: Option<Cow<'a, str>>,
}

fn moment<'de, D: serde::Deserializer<'de>>(deserializer: D) -> Result<DateTime<FixedOffset>, D::Error> {
    let text = <Cow<'de, str>>::deserialize(deserializer)?;
    match plain_moment(&text) {
        Some(moment) => Ok(moment),
        None => text.parse().map_err(|_| {
            let shown: String = crate::diag::plain(&text).chars().take(40).collect();
            serde::de::Error::custom(format!("'{shown}' is no moment; write it as 2026-11-25T09:14:02-05:00"))
        }),
    }
}

/// Reads `2026-11-25T09:14:02-05:00`, the form written, several times faster than the general reader; `None` for
/// every other form, which may still be a time.
pub(super) fn plain_moment(text: &str) -> Option<DateTime<FixedOffset>> {
    let bytes: &[u8; 25] = text.as_bytes().try_into().ok()?;
    let [
        y1,
        y2,
        y3,
        y4,
        b'-',
        m1,
        m2,
        b'-',
        d1,
        d2,
        b'T',
        h1,
        h2,
        b':',
        i1,
        i2,
        b':',
        s1,
        s2,
        sign,
        o1,
        o2,
        b':',
        p1,
        p2,
    ] = *bytes
    else {
        return None;
    };
    let digit = |b: u8| b.is_ascii_digit().then(|| u32::from(b - b'0'));
    let two = |a: u8, b: u8| Some(digit(a)? * 10 + digit(b)?);
    let year = i32::try_from(two(y1, y2)? * 100 + two(y3, y4)?).ok()?;
    let local = NaiveDate::from_ymd_opt(year, two(m1, m2)?, two(d1, d2)?)?.and_hms_opt(
        two(h1, h2)?,
        two(i1, i2)?,
        two(s1, s2)?,
    )?;
    let minutes = two(p1, p2).filter(|m| *m < 60)?;
    let east = i32::try_from(two(o1, o2)? * 3600 + minutes * 60).ok()?;
    let offset = match sign {
        b'+' => FixedOffset::east_opt(east)?,
        b'-' => FixedOffset::west_opt(east)?,
        _ => return None,
    };
    local.and_local_timezone(offset).single()
}

impl Entry {
    /// Reads an entry from its JSON text.
    ///
    /// # Errors
    /// A sentence that says what is wrong, with the column in the text where the reader knows it.
    pub fn from_json(json: &str, names: &mut Names) -> Result<Self, String> {
        match super::quick::seen(json, names) {
            Some(entry) => Ok(entry),
            None => Self::from_any_json(json, names),
        }
    }

    /// The same for every form of entry.
    pub(super) fn from_any_json(json: &str, names: &mut Names) -> Result<Self, String> {
        let wire: Wire<'_> = serde_json::from_str(json).map_err(|e| sentence(&e.to_string()))?;
        wire.into_entry(names)
    }

    /// Reads an entry from a JSON value, such as a hand-edited line read as YAML.
    ///
    /// # Errors
    /// A sentence that says what is wrong.
    pub fn from_value(value: &serde_json::Value, names: &mut Names) -> Result<Self, String> {
        Self::from_json(&value.to_string(), names)
    }

    /// The entry as one line of JSON that is also YAML 1.2: characters that a YAML stream may not hold are escaped.
    #[must_use]
    pub fn to_json(&self) -> String {
        let wire = Wire::of(self);
        let mut out = Vec::with_capacity(200);
        let mut serializer = serde_json::Serializer::with_formatter(&mut out, Escaping);
        // Writing to memory cannot fail, and every key is text.
        if wire.serialize(&mut serializer).is_err() {
            out.clear();
        }
        String::from_utf8(out).unwrap_or_default()
    }
}

/// serde's sentence with the nearest known key in place of the whole list of them.
fn sentence(error: &str) -> String {
    if let Some(rest) = error.strip_prefix("unknown field `")
        && let Some((key, tail)) = rest.split_once('`')
    {
        let place = tail.rsplit_once(" at line ").map_or(String::new(), |(_, p)| format!(" (column {})", column(p)));
        let known: Vec<&str> = tail.split('`').skip(1).step_by(2).collect();
        let key = crate::diag::plain(key);
        return match crate::diag::nearest(&key, known) {
            Some(near) => format!("there is no field '{key}' here{place}; did you mean '{near}'?"),
            None => format!("there is no field '{key}' here{place}"),
        };
    }
    match error.rsplit_once(" at line ") {
        Some((head, place)) => format!("{} (column {})", crate::diag::plain(head).replace('`', "'"), column(place)),
        None => crate::diag::plain(error).replace('`', "'"),
    }
}

fn column(place: &str) -> &str {
    place.rsplit_once("column ").map_or(place, |(_, c)| c)
}

impl<'a> Wire<'a> {
    fn into_entry(self, names: &mut Names) -> Result<Entry, String> {
        let mut found: Vec<(&str, What)> = Vec::with_capacity(1);
        macro_rules! verb {
            ($($field:ident => $variant:ident),+ $(,)?) => {
                $(if let Some(x) = self.$field { found.push((stringify!($field), What::$variant(x))); })+
            };
        }
        verb!(begin => Begin, seen => Seen, saw => Saw, unsure => Unsure, unreached => Unreached, note => Note,
            notice => Notice, did => Did, gone => Gone, added => Added, removed => Removed, is_kind => IsKind,
            new_kind => NewKind, new_area => NewArea, retract => Retract, settle => Settle, signoff => Signoff,
            counted => Counted, moved => Moved, checked => Checked, posted => Posted, new_cabinet => NewCabinet,
            lot => Lot, drawn => Drawn, custody => Custody, tested => Tested, concluded => Concluded);
        let mut found = found.into_iter();
        let (Some((first, what)), second) = (found.next(), found.next()) else {
            return Err("the entry says nothing: 'seen', 'saw' or another verb is missing".to_owned());
        };
        if let Some((second, _)) = second {
            return Err(format!("the entry says two things, '{first}' and '{second}'; write two entries"));
        }
        if self.by.trim().is_empty() || self.round.trim().is_empty() {
            return Err("'by' and 'round' must not be empty".to_owned());
        }
        let marks = Marks { instead: self.instead, after: self.after, prev: self.prev };
        Ok(Entry {
            id: self.id,
            at: self.at,
            by: names.share(&self.by),
            round: names.share(&self.round),
            what,
            marks: (marks != Marks::default()).then(|| Box::new(marks)),
        })
    }

    fn of(entry: &'a Entry) -> Self {
        let marks = entry.marks.as_deref().cloned().unwrap_or_default();
        let mut wire = Wire {
            id: entry.id,
            at: entry.at,
            by: Cow::Borrowed(&entry.by),
            round: Cow::Borrowed(&entry.round),
            begin: None,
            seen: None,
            saw: None,
            unsure: None,
            unreached: None,
            note: None,
            notice: None,
            did: None,
            gone: None,
            added: None,
            removed: None,
            is_kind: None,
            new_kind: None,
            new_area: None,
            retract: None,
            settle: None,
            signoff: None,
            counted: None,
            moved: None,
            checked: None,
            posted: None,
            new_cabinet: None,
            lot: None,
            drawn: None,
            custody: None,
            tested: None,
            concluded: None,
            instead: marks.instead,
            after: marks.after,
            prev: marks.prev,
            register: None,
            sum: None,
        };
        match entry.what.clone() {
            What::Begin(x) => wire.begin = Some(x),
            What::Seen(x) => wire.seen = Some(x),
            What::Saw(x) => wire.saw = Some(x),
            What::Unsure(x) => wire.unsure = Some(x),
            What::Unreached(x) => wire.unreached = Some(x),
            What::Note(x) => wire.note = Some(x),
            What::Notice(x) => wire.notice = Some(x),
            What::Did(x) => wire.did = Some(x),
            What::Gone(x) => wire.gone = Some(x),
            What::Added(x) => wire.added = Some(x),
            What::Removed(x) => wire.removed = Some(x),
            What::IsKind(x) => wire.is_kind = Some(x),
            What::NewKind(x) => wire.new_kind = Some(x),
            What::NewArea(x) => wire.new_area = Some(x),
            What::Retract(x) => wire.retract = Some(x),
            What::Settle(x) => wire.settle = Some(x),
            What::Signoff(x) => wire.signoff = Some(x),
            What::Counted(x) => wire.counted = Some(x),
            What::Moved(x) => wire.moved = Some(x),
            What::Checked(x) => wire.checked = Some(x),
            What::Posted(x) => wire.posted = Some(x),
            What::NewCabinet(x) => wire.new_cabinet = Some(x),
            What::Lot(x) => wire.lot = Some(x),
            What::Drawn(x) => wire.drawn = Some(x),
            What::Custody(x) => wire.custody = Some(x),
            What::Tested(x) => wire.tested = Some(x),
            What::Concluded(x) => wire.concluded = Some(x),
        }
        wire
    }
}

/// Compact JSON in which every character that a YAML stream may not hold, or that could steer a terminal, is escaped.
struct Escaping;

impl serde_json::ser::Formatter for Escaping {
    fn write_string_fragment<W: ?Sized + std::io::Write>(
        &mut self,
        writer: &mut W,
        fragment: &str,
    ) -> std::io::Result<()> {
        let escape = |c: char| crate::diag::is_unprintable(c) || matches!(c, '\u{FFFE}' | '\u{FFFF}');
        let mut rest = fragment;
        while let Some((at, c)) = rest.char_indices().find(|(_, c)| escape(*c)) {
            let (before, after) = rest.split_at(at);
            writer.write_all(before.as_bytes())?;
            write!(writer, "\\u{:04x}", u32::from(c))?;
            rest = after.get(c.len_utf8()..).unwrap_or_default();
        }
        writer.write_all(rest.as_bytes())
    }
}
