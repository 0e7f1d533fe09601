//! Entries: everything that can be recorded. An entry is immutable; a mistake is taken back by another entry. On disk
//! it is one line of JSON behind `--- `; this module turns one into the other and knows nothing of files.

use std::borrow::Cow;
use std::fmt;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::{Deserialize, Serialize};

pub use super::entry_lots::{
    Concluded, Condition, Custody, Drawn, DrawnBy, MOST_OF_A_LOT, NewLot, Pick, Readings, Step, Tested,
};
pub use super::entry_stock::{Checked, Counted, List, MOST_SPARES, Moved, NewCabinet, Posted, Way};
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
    /// The rule set it is walked under, as the site file named it; files of earlier programs do not say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rules: Option<String>,
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
    /// The cabinet that the new head came from, after a replacement: one spare for each head is then taken out of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<AreaId>,
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
    /// A cabinet's spares were counted.
    Counted(Box<Counted>),
    /// Spares were put into a cabinet or taken out.
    Moved(Box<Moved>),
    /// A cabinet was looked at.
    Checked(Box<Checked>),
    /// A cabinet's list was posted.
    Posted(Box<Posted>),
    /// A cabinet was found.
    NewCabinet(Box<NewCabinet>),
    /// A lot was formed.
    Lot(Box<NewLot>),
    /// Heads were drawn for a sample.
    Drawn(Box<Drawn>),
    /// A sample changed hands.
    Custody(Box<Custody>),
    /// A sampled head was operated.
    Tested(Box<Tested>),
    /// A laboratory told a lot's result.
    Concluded(Box<Concluded>),
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

impl Entry {
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
            // Where a spare went is no news of that head: its replacement is a `did`.
            What::Begin(_)
            | What::NewKind(_)
            | What::NewArea(_)
            | What::Retract(_)
            | What::Signoff(_)
            | What::Counted(_)
            | What::Moved(_)
            | What::Checked(_)
            | What::Posted(_)
            | What::NewCabinet(_)
            // What the bench sees of a head that was taken down says nothing of the one that hangs there now.
            | What::Lot(_)
            | What::Drawn(_)
            | What::Custody(_)
            | What::Tested(_)
            | What::Concluded(_) => return None,
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
