//! Entries: everything that can be recorded. An entry is immutable; a mistake is taken back by another entry. On disk
//! it is one line of JSON behind `--- `; this module turns one into the other and knows nothing of files.

use std::borrow::Cow;
use std::fmt;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::{Deserialize, Serialize};

use crate::trade::address::{Address, AreaId, Heads};
pub use crate::trade::kind::Applied;
use crate::trade::kind::Kind;
use crate::trade::quantity::{Length, PartialDate, Temperature};
use crate::trade::register::{Setting, System};
use crate::trade::words::words;

/// The identity of an entry: a ULID, so that sorting by it sorts by time.
///
/// A number of 128 bits wants a multiple of 16 bytes as its place; half of that will do, and large files hold many links.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[repr(Rust, packed(8))]
pub struct Id(pub u128);

impl Id {
    /// Reads the 26 characters of a ULID, in the one form it is written in: capitals, the first digit 0 to 7. Any other
    /// form would let two texts mean one id, and the order of texts differ from the order of ids.
    ///
    /// # Errors
    /// A sentence when it is none.
    pub fn parse(text: &str) -> Result<Self, String> {
        let id = ulid::Ulid::from_string(text).ok();
        let mut buffer = [0; 26];
        id.filter(|u| &*u.array_to_str(&mut buffer) == text).map(|u| Self(u.0)).ok_or_else(|| {
            format!("'{}' is no entry id", crate::diag::plain(text).chars().take(40).collect::<String>())
        })
    }

    /// The next id: later than `last`, and of the moment `millis` (Unix time) where that is later still.
    #[must_use]
    pub fn after(last: Option<Self>, millis: u64, random: u128) -> Self {
        let fresh = Self(ulid::Ulid::from_parts(millis, random).0);
        match last {
            Some(last) if fresh <= last => Self(last.0.saturating_add(1)),
            _ => fresh,
        }
    }
}

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut buffer = [0; 26];
        f.pad(ulid::Ulid(self.0).array_to_str(&mut buffer))
    }
}

impl fmt::Debug for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl Serialize for Id {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Id {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = <Cow<'de, str>>::deserialize(deserializer)?;
        Self::parse(&text).map_err(serde::de::Error::custom)
    }
}

words! {
    /// How a head was looked at.
    pub enum How ("way of looking") {
        /// From the floor with the naked eye.
        Eye = "eye",
        /// From the floor with binoculars.
        Binoculars = "binoculars",
        /// From a lift or a ladder.
        Lift = "lift",
        /// Through a camera on a pole or a drone.
        Camera = "camera",
    }
}

words! {
    /// Why a head could not be judged though it was in sight.
    pub enum UnsureWhy ("reason for not judging") {
        /// Too far away.
        TooFar = "too-far",
        /// Too dark, or against the light.
        Light = "light",
        /// Something is in front of it.
        Hidden = "hidden",
        /// Too dirty to see the parts.
        Dirty = "dirty",
        /// Only the cover plate can be seen.
        BehindPlate = "behind-plate",
        /// Another reason, told in the note.
        Other = "other",
    }
}

words! {
    /// Why a head was not reached at all.
    pub enum UnreachedWhy ("reason for not reaching") {
        /// The room was locked.
        Locked = "locked",
        /// The room was occupied.
        Occupied = "occupied",
        /// Above a running process or machine.
        Process = "process",
        /// Too high without a lift.
        Height = "height",
        /// A hazard forbids going near.
        Hazard = "hazard",
        /// A clean or sterile room.
        Clean = "clean-room",
        /// In a concealed space, where no inspection is required.
        Concealed = "concealed",
        /// Somebody refused entry.
        Refused = "refused",
        /// Another reason, told in the note.
        Other = "other",
    }
}

words! {
    /// What was done to a head.
    pub enum Deed ("deed") {
        /// Replaced by another head.
        Replaced = "replaced",
        /// Cleaned without touching it.
        Cleaned = "cleaned",
        /// Corrected: turned round, cleared, a part put on, a strap taken off.
        Corrected = "corrected",
    }
}

words! {
    /// How somebody was told.
    pub enum Channel ("way of telling") {
        /// Face to face.
        Spoken = "spoken",
        /// By telephone.
        Phone = "phone",
        /// By e-mail.
        Email = "email",
        /// By letter.
        Letter = "letter",
        /// By a tag on the valve.
        Tag = "tag",
    }
}

/// The start of a round.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Begin {
    /// Day of the round.
    pub date: NaiveDate,
    /// Who inspects, by full name.
    pub inspector: String,
    /// The inspector's licence number; empty where none is held.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub licence: String,
    /// Why: `annual inspection`, `follow-up` ….
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub purpose: String,
    /// What the round covers, in words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub scope: String,
}

/// A sign seen on one head, or the same on several.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Saw {
    /// Which heads.
    pub head: Heads,
    /// What the eye saw: a word of the rule set.
    pub sign: String,
    /// Where: a word of the rule set.
    pub part: String,
    /// How much: a word of the rule set.
    pub extent: String,
    /// Who applied the finish, where it matters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub applied: Option<Applied>,
    /// How it was looked at.
    #[serde(default = "how_eye", skip_serializing_if = "is_eye")]
    pub how: How,
    /// Whether the inspector was in doubt.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub doubtful: bool,
    /// A measured clearance, where that is what was seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clearance: Option<Length>,
    /// The earlier entry of the same finding, when it was carried from an earlier round.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub of: Option<Id>,
    /// Free text.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

const fn how_eye() -> How {
    How::Eye
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde passes a reference")]
fn is_eye(how: &How) -> bool {
    *how == How::Eye
}

/// Heads in sight that could not be judged.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Unsure {
    /// Which heads.
    pub head: Heads,
    /// Why.
    pub why: UnsureWhy,
    /// How they were looked at.
    #[serde(default = "how_eye", skip_serializing_if = "is_eye")]
    pub how: How,
    /// Free text.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// Heads that were not reached.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Unreached {
    /// Which heads.
    pub heads: Heads,
    /// Why.
    pub why: UnreachedWhy,
    /// Who denies access.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub denied_by: Option<String>,
    /// Free text.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// Free text about heads or about the round.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Note {
    /// Which heads; none: the round.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub head: Option<Heads>,
    /// The text.
    pub text: String,
}

/// Somebody was told of an impairment.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Notice {
    /// Who was told.
    pub told: String,
    /// How.
    pub how: Channel,
    /// Which head it is about; none: all impairments of the round.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub head: Option<Heads>,
    /// Free text.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// Something was done to a head.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Did {
    /// Which head.
    pub head: Heads,
    /// What.
    pub did: Deed,
    /// The kind that is there now, after a replacement.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kind: Option<String>,
    /// Who did it, when it was not the author of the entry.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub who: Option<String>,
    /// Free text.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A finding that was reported or said to be mended was looked at again and is gone.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Gone {
    /// Which head.
    pub head: Heads,
    /// The entry that reported it.
    pub of: Id,
    /// Free text.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A head was found that the register did not hold.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Added {
    /// Its new address: a place number not used before on its line.
    pub head: Address,
    /// Its kind.
    pub kind: String,
    /// The place after which it stands as one looks up; 0: at the line's start; none: at its end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after: Option<u16>,
}

/// A head of the register is not there and is not missed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Removed {
    /// Which heads.
    pub head: Heads,
    /// Why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// Heads are of another kind than the register said.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct IsKind {
    /// Which heads.
    pub head: Heads,
    /// Their kind.
    pub kind: String,
}

/// An area was found that the register did not hold.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NewArea {
    /// Its name in addresses.
    pub id: AreaId,
    /// Its name for people.
    pub name: String,
    /// The system that feeds it.
    pub system: System,
    /// When its heads went into service.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_service: Option<PartialDate>,
    /// What its surroundings do to heads.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub setting: Vec<Setting>,
    /// The highest temperature expected at the ceiling.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ceiling_max: Option<Temperature>,
    /// Its lines in the compact form.
    pub lines: Vec<String>,
}

/// A disagreement is settled.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Settle {
    /// Which head.
    pub head: Heads,
    /// The entry that stands.
    pub stands: Id,
    /// Why.
    pub because: String,
}

/// A round is signed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Signoff {
    /// Who signs, by full name.
    pub name: String,
    /// Licence number; empty where none is held.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub licence: String,
    /// The day it is signed for.
    pub date: NaiveDate,
    /// `sha256:` and the digest, in hexadecimal, of the round's lines in canonical order.
    pub digest: String,
    /// How many lines the digest covers.
    pub lines: u64,
    /// Free text.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// What an entry says.
#[derive(Clone, Debug, PartialEq)]
pub enum What {
    /// A round starts.
    Begin(Box<Begin>),
    /// Heads were looked at and nothing was found.
    Seen(Heads),
    /// A sign was seen.
    Saw(Box<Saw>),
    /// Heads could not be judged.
    Unsure(Box<Unsure>),
    /// Heads were not reached.
    Unreached(Box<Unreached>),
    /// Free text.
    Note(Box<Note>),
    /// Somebody was told.
    Notice(Box<Notice>),
    /// Something was done to a head.
    Did(Box<Did>),
    /// A finding is gone.
    Gone(Box<Gone>),
    /// A head was found.
    Added(Box<Added>),
    /// A head is not there.
    Removed(Box<Removed>),
    /// Heads are of another kind.
    IsKind(Box<IsKind>),
    /// A kind was found.
    NewKind(Box<Kind>),
    /// An area was found.
    NewArea(Box<NewArea>),
    /// An entry is taken back (or a taking back is).
    Retract(Id),
    /// A disagreement is settled.
    Settle(Box<Settle>),
    /// The round is signed.
    Signoff(Box<Signoff>),
}

/// What only few entries carry.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Marks {
    /// The entry of another person that this one corrects.
    pub instead: Option<Id>,
    /// The sign-off after which this entry was made.
    pub after: Option<Id>,
    /// The same writer's previous entry.
    pub prev: Option<Id>,
}

/// One immutable record: who, when, in which round, saying what.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Identity and order.
    pub id: Id,
    /// When, by the writer's clock and with its offset.
    pub at: DateTime<FixedOffset>,
    /// Who: a short name.
    pub by: Arc<str>,
    /// In which round.
    pub round: Arc<str>,
    /// What it says.
    pub what: What,
    /// Links that only few entries carry.
    pub marks: Option<Box<Marks>>,
}

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

/// Names seen so far, so that the thousandth entry of a person shares their name with the first.
#[derive(Debug, Default)]
pub struct Names {
    known: std::collections::HashSet<Arc<str>>,
    /// The last few asked for: mostly it is one of them again, and comparing is quicker than hashing.
    recent: [Option<Arc<str>>; 4],
    next: usize,
}

impl Names {
    /// The shared copy of a name.
    pub fn share(&mut self, name: &str) -> Arc<str> {
        if let Some(known) = self.recent.iter().flatten().find(|known| &***known == name) {
            return Arc::clone(known);
        }
        let shared = self.known.get(name).map_or_else(|| Arc::from(name), Arc::clone);
        self.known.insert(Arc::clone(&shared));
        self.next = (self.next + 1) % self.recent.len();
        if let Some(slot) = self.recent.get_mut(self.next) {
            *slot = Some(Arc::clone(&shared));
        }
        shared
    }
}

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
    "instead",
    "after",
    "prev",
    "register",
    "sum",
];

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

    /// The heads an entry speaks of, if it speaks of heads.
    #[must_use]
    pub fn heads(&self) -> Option<Cow<'_, Heads>> {
        Some(Cow::Borrowed(match &self.what {
            What::Seen(heads) => heads,
            What::Saw(x) => &x.head,
            What::Unsure(x) => &x.head,
            What::Unreached(x) => &x.heads,
            What::Did(x) => &x.head,
            What::Gone(x) => &x.head,
            What::Removed(x) => &x.head,
            What::IsKind(x) => &x.head,
            What::Settle(x) => &x.head,
            What::Note(x) => x.head.as_ref()?,
            What::Notice(x) => x.head.as_ref()?,
            What::Added(x) => return Some(Cow::Owned(Heads::single(&x.head))),
            What::Begin(_) | What::NewKind(_) | What::NewArea(_) | What::Retract(_) | What::Signoff(_) => return None,
        }))
    }

    /// The entry of another person that this one corrects.
    #[must_use]
    pub fn instead(&self) -> Option<Id> {
        self.marks.as_ref().and_then(|m| m.instead)
    }

    /// The sign-off after which this entry was made.
    #[must_use]
    pub fn after(&self) -> Option<Id> {
        self.marks.as_ref().and_then(|m| m.after)
    }

    /// The same writer's previous entry.
    #[must_use]
    pub fn prev(&self) -> Option<Id> {
        self.marks.as_ref().and_then(|m| m.prev)
    }

    /// Sets a link, making room for it.
    pub fn mark(&mut self, set: impl FnOnce(&mut Marks)) {
        set(self.marks.get_or_insert_default());
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
            new_kind => NewKind, new_area => NewArea, retract => Retract, settle => Settle, signoff => Signoff);
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

#[cfg(test)]
mod tests {
    use super::*;

    fn read(json: &str) -> Result<Entry, String> {
        Entry::from_json(json, &mut Names::default())
    }

    const HEAD: &str =
        r#""id":"01KAVQ5R8Z0000000000000001","at":"2026-11-25T09:14:02-05:00","by":"ines","round":"2026""#;

    #[test]
    fn every_verb_reads_back_as_it_was_written() {
        let verbs = [
            r#""begin":{"date":"2026-11-25","inspector":"Ines Tidewell","licence":"PT-118","purpose":"annual inspection"}"#,
            r#""seen":"pack/1.1..1.6""#,
            r#""saw":{"head":"pack/1.7","sign":"paint","part":"element","extent":"trace","applied":"field","how":"lift","doubtful":true,"note":"ü\u007f\u0085"}"#,
            r#""saw":{"head":"pack/1.7","sign":"blocked","part":"deflector","extent":"light","clearance":"12 in"}"#,
            r#""unsure":{"head":"pack/2","why":"dirty"}"#,
            r#""unreached":{"heads":"cold","why":"locked","denied_by":"night shift"}"#,
            r#""note":{"text":"roof hatch open"}"#,
            r#""notice":{"told":"owner","how":"phone"}"#,
            r#""did":{"head":"pack/1.7","did":"replaced","kind":"qr-pendent"}"#,
            r#""gone":{"head":"pack/1.7","of":"01KAVQ5R8Z0000000000000000"}"#,
            r#""added":{"head":"pack/1.11","kind":"qr-pendent","after":4}"#,
            r#""removed":{"head":"pack/1.3"}"#,
            r#""is_kind":{"head":"pack/1.3","kind":"int-upright"}"#,
            r#""new_kind":{"id":"esfr","orientation":"pendent","mount":"exposed","response":"quick","style":"esfr","element":"link","rating":"165 F","k":"14","finish":"brass","made":"2011"}"#,
            r#""new_area":{"id":"dock","name":"Dock","system":"dry","setting":["freezing"],"ceiling_max":"38 C","lines":["4 qr-pendent"]}"#,
            r#""retract":"01KAVQ5R8Z0000000000000000""#,
            r#""settle":{"head":"pack/1.7","stands":"01KAVQ5R8Z0000000000000000","because":"seen from the lift"}"#,
            r#""signoff":{"name":"Ines Tidewell","date":"2026-11-25","digest":"sha256:00","lines":3}"#,
        ];
        for verb in verbs {
            let json = format!("{{{HEAD},{verb},\"prev\":\"01KAVQ5R8Z0000000000000000\"}}");
            let entry = read(&json).expect(&json);
            assert_eq!(entry.to_json(), json);
        }
        assert_eq!(verbs.len(), 18);
    }

    #[test]
    fn what_is_no_entry_is_told_in_a_sentence() {
        let cases = [
            (format!("{{{HEAD}}}"), "the entry says nothing: 'seen', 'saw' or another verb is missing"),
            (
                format!(r#"{{{HEAD},"seen":"a","retract":"01KAVQ5R8Z0000000000000000"}}"#),
                "the entry says two things, 'seen' and 'retract'; write two entries",
            ),
            (format!(r#"{{{HEAD},"sen":"a"}}"#), "there is no field 'sen' here (column 100); did you mean 'seen'?"),
            (
                format!(r#"{{{HEAD},"seen":"A/1"}}"#),
                "'A/1' is no address; write 'pack/3.7', 'pack/1.1..1.6', 'pack/2' or 'pack' (column 108)",
            ),
            (
                format!(r#"{{{HEAD},"notice":{{"told":"owner","how":"phon"}}}}"#),
                "'phon' is no way of telling; did you mean 'phone'? (column 133)",
            ),
        ];
        for (json, words) in cases {
            assert_eq!(read(&json).expect_err(&json), words);
        }
        assert!(read(&format!(r#"{{{HEAD},"seen":"a","seen":"b"}}"#)).is_err());
    }

    #[test]
    fn the_quick_reader_of_times_agrees_with_the_general_one() {
        let times = [
            "2026-11-25T09:14:02-05:00",
            "2024-02-29T23:59:59+14:00",
            "0001-01-01T00:00:00+00:00",
            "2026-11-25T09:14:02+00:30",
            "2026-02-29T09:14:02-05:00",
            "2026-11-25T24:00:00-05:00",
            "2026-11-25T09:60:02-05:00",
            "2026-11-25T09:14:60-05:00",
            "2026-11-25T09:14:02-24:00",
            "2026-11-25T09:14:02-05:60",
            "2026-11-25 09:14:02-05:00",
            "2026-11-25T09:14:02.5-05:0",
            "2026-13-25T09:14:02-05:00",
            "+026-11-25T09:14:02-05:00",
            "2026-11-25T09:14:02Z",
            "",
        ];
        let mut quick = 0;
        for text in times {
            if let Some(moment) = plain_moment(text) {
                assert_eq!(text.parse(), Ok(moment), "{text}");
                assert_eq!(moment.to_rfc3339(), text);
                quick += 1;
            }
        }
        assert_eq!(quick, 4);
    }

    #[test]
    fn equal_names_are_one_however_many_there_are() {
        let mut names = Names::default();
        let first: Vec<_> = (0..20).map(|n| names.share(&n.to_string())).collect();
        for _ in 0..2 {
            for (n, known) in first.iter().enumerate() {
                assert!(Arc::ptr_eq(known, &names.share(&n.to_string())));
            }
        }
    }

    #[test]
    #[cfg(target_pointer_width = "64")]
    fn an_entry_takes_no_more_room_than_docs_performance_says() {
        assert_eq!((size_of::<Entry>(), size_of::<Marks>(), align_of::<Id>()), (104, 72, 8));
    }

    #[test]
    fn ids_only_ever_grow() {
        let first = Id::after(None, 1_800_000_000_000, 7);
        let same_moment = Id::after(Some(first), 1_800_000_000_000, 3);
        let clock_went_back = Id::after(Some(same_moment), 1_000_000_000_000, 9);
        assert!(first < same_moment && same_moment < clock_went_back);
        assert_eq!(Id::parse(&first.to_string()), Ok(first));
        for bad in [
            "",
            "01KAVQ5R8Z000000000000000",
            "01kavq5r8z0000000000000001",
            "81KAVQ5R8Z0000000000000001",
            "01KAVQ5R8ZI000000000000001",
        ] {
            assert!(Id::parse(bad).is_err(), "{bad}");
        }
    }
}
