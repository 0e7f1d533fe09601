//! What a rule set holds once it has been read and found sound.

use std::sync::Arc;

use super::duties::Duties;
use super::facts::{Ceiling, FIELDS, Facts, Field};
use super::table::Table;
use crate::trade::kind::{Applied, Kind, Style};
use crate::trade::quantity::Length;
use crate::trade::register::{Area, Recall};
use crate::trade::words::{unknown, words};

words! {
    /// What the adopted rule set says must happen to a head, weakest first; the strongest that any rule gives stands.
    pub enum Ruling ("ruling") {
        /// Nothing need be done.
        Keep = "keep",
        /// Look at it again next time.
        Watch = "watch",
        /// It could not be judged: look from near by.
        Look = "look",
        /// Clean it without touching it.
        Clean = "clean",
        /// Put right what is around it, or the way it hangs.
        Correct = "correct",
        /// Have it, or a sample like it, tested.
        Test = "test",
        /// Replace it.
        Replace = "replace",
    }
}

words! {
    /// The standard's weight of a finding, weightiest last. Advisory findings are outside the adopted inspection: told
    /// to the owner in writing and kept apart.
    pub enum Class ("class") {
        /// Outside the adopted inspection.
        Advisory = "advisory",
        /// A deficiency without material effect on the ability to function.
        Noncritical = "noncritical",
        /// A deficiency that has a material effect if it is not corrected.
        Critical = "critical",
        /// Out of order: may not function in a fire.
        Impairment = "impairment",
    }
}

/// The index of a sign in its rule set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SignIx(pub u8);

/// The index of a part in its rule set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PartIx(pub u8);

/// The index of an extent in its rule set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ExtentIx(pub u8);

/// The index of a rule in its rule set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RuleIx(pub u16);

words! {
    /// How far a clause, a figure or a ruling can be relied on.
    pub enum Confidence ("confidence") {
        /// Settled by whoever wrote the set, an authority or a company, in a word of their own.
        Settled = "settled",
        /// Seen in the text of the source or a public reproduction of it.
        Seen = "A",
        /// Seen in a secondary source only.
        Secondary = "B",
        /// From memory; to be checked before it is quoted.
        Memory = "C",
        /// A text stands there, and this set reads more into it, or less.
        Reading = "reading",
        /// Common practice, no source.
        Practice = "practice",
    }
}

impl Confidence {
    /// What the mark means, in a few words.
    #[must_use]
    pub const fn means(self) -> &'static str {
        match self {
            Self::Settled => "settled by the author of the set",
            Self::Seen => "seen in the source's text",
            Self::Secondary => "seen in a secondary source",
            Self::Memory => "from memory; check before quoting",
            Self::Reading => "this set's own reading of a text",
            Self::Practice => "common practice, no source",
        }
    }
}

words! {
    /// By what a sign is known.
    pub enum Seen ("way a sign is known") {
        /// An eye sees it on the walk.
        Eye = "eye",
        /// It follows from the register alone.
        Register = "register",
        /// The head was in sight and could not be judged.
        Doubt = "doubt",
        /// It follows from the kinds that hang in one compartment.
        Compartment = "compartment",
    }
}

/// A sign that a rule set declares.
#[expect(clippy::struct_excessive_bools, reason = "each is a question of its own that the walk asks")]
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sign {
    /// The word in files.
    pub id: String,
    /// The name for people.
    pub name: String,
    /// The letter in the walk; `None`: reached by the menu, or not entered at all.
    pub key: Option<char>,
    /// What the eye sees, a few words.
    pub hint: String,
    /// Parts it can be seen on; one alone is not asked.
    pub parts: Vec<PartIx>,
    /// Extents it can have; one alone is not asked.
    pub extents: Vec<ExtentIx>,
    /// What each of `extents` means for this sign, in the same order; empty where the extent's own hint says enough.
    pub extent_hints: Vec<String>,
    /// Whether it matters who applied a finish.
    pub ask_applied: bool,
    /// Whether a measured clearance belongs to it.
    pub asks_clearance: bool,
    /// Whether it is not entered by eye: it follows from the register, the compartment, or from not having judged.
    pub standing: bool,
    /// By what it is known.
    pub seen: Seen,
    /// Whether a combination that no rule decides means that there is nothing to say; never so for what an eye sees.
    pub otherwise_keep: bool,
}

/// A part or an extent that a rule set declares.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Word {
    /// The word in files.
    pub id: String,
    /// The name for people.
    pub name: String,
    /// What it means, a few words.
    pub hint: String,
}

/// Conditions that must all hold. A field that is not asked about holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cond {
    /// Parts, as bits; all ones: not asked.
    pub(crate) part: u16,
    /// Extents, as bits; all ones: not asked.
    pub(crate) extent: u8,
    /// Origins of a finish, as bits; all ones: not asked.
    pub(crate) applied: u8,
    /// Values of each field, as bits; all ones: not asked.
    pub(crate) fields: [u16; FIELDS],
    /// Settings of which one must be there, as bits; none: not asked.
    pub(crate) setting: u16,
}

impl Cond {
    /// Conditions that ask nothing.
    pub(crate) const NOTHING: Self =
        Self { part: u16::MAX, extent: u8::MAX, applied: u8::MAX, fields: [u16::MAX; FIELDS], setting: 0 };

    /// Whether what is asked of make-up and surroundings holds; sign, part, extent and origin are left out.
    pub(crate) fn holds_for(&self, facts: &Facts) -> bool {
        (self.setting == 0 || self.setting & facts.settings() != 0)
            && Field::ALL.iter().all(|field| self.field(*field) & bit16(facts.get(*field)) != 0)
    }

    /// The accepted values of a field, as bits.
    pub(crate) fn field(&self, field: Field) -> u16 {
        self.fields.get(field as usize).copied().unwrap_or(u16::MAX)
    }
}

/// The bit of a small index; none when it is out of range.
pub(crate) const fn bit16(at: u8) -> u16 {
    if at < 16 { 1 << at } else { 0 }
}

/// The bit of a small index; none when it is out of range.
pub(crate) const fn bit8(at: u8) -> u8 {
    if at < 8 { 1 << at } else { 0 }
}

/// When a rule speaks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct When {
    /// The signs it is about.
    pub signs: Vec<SignIx>,
    /// Whether it is about every sign an eye sees, those of an extending set too.
    pub any_sign: bool,
    /// What must hold.
    pub all: Cond,
    /// What must not hold, taken together.
    pub unless: Option<Cond>,
}

/// One worked case of a rule: a situation, and what the set must say about it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Case {
    /// What is seen, in a sentence.
    pub see: String,
    /// The sign.
    pub sign: SignIx,
    /// The part.
    pub part: PartIx,
    /// The extent.
    pub extent: ExtentIx,
    /// Who applied the finish, where the sign asks.
    pub applied: Option<Applied>,
    /// The head's make-up and surroundings.
    pub facts: Facts,
    /// Whether the rule speaks in it, or is the near miss that it must leave alone.
    pub holds: bool,
    /// What the whole set rules.
    pub ruling: Ruling,
}

/// One rule.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rule {
    /// Its stable word.
    pub id: String,
    /// One line.
    pub title: String,
    /// When it speaks.
    pub when: When,
    /// What must happen.
    pub ruling: Ruling,
    /// The weight of the finding; `None`: no finding.
    pub class: Option<Class>,
    /// The clause of the edition.
    pub clause: String,
    /// Where the clause or the judgement comes from.
    pub source: String,
    /// How far clause and ruling can be relied on: the criterion, not the class.
    pub confidence: Confidence,
    /// How far the class can be relied on; `None` exactly where there is no class.
    pub class_confidence: Option<Confidence>,
    /// The plain reason, with the physics.
    pub because: String,
    /// What to do.
    pub remedy: String,
    /// What never to do.
    pub never: Option<String>,
    /// The argument of a contested call, both sides.
    pub contested: Option<String>,
    /// Whether it speaks besides the rule that decides, and decides nothing alone.
    pub also: bool,
    /// Rules that are silent where this one holds; follows through (what those are over is silent too).
    pub over: Vec<RuleIx>,
    /// Worked cases.
    pub cases: Vec<Case>,
}

impl Rule {
    /// Both marks in letters: `A`, or `A, class C` where the rule has a class.
    #[must_use]
    pub fn marks(&self) -> String {
        self.class_confidence.map_or_else(|| self.confidence.to_string(), |c| format!("{}, class {c}", self.confidence))
    }

    /// What both marks mean, in a few words, each with what it stands for.
    #[must_use]
    pub fn reliance(&self) -> String {
        // The meanings use semicolons of their own; here one parts the two marks.
        let said = |mark: Confidence| mark.means().replace(';', ",");
        match self.class_confidence {
            None => format!("ruling: {}", said(self.confidence)),
            Some(class) if class == self.confidence => format!("ruling and class: {}", said(class)),
            Some(class) => format!("ruling: {}; class: {}", said(self.confidence), said(class)),
        }
    }
}

/// The time within which something must be done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Within {
    /// Without delay.
    AtOnce,
    /// Minutes from the finding.
    Minutes(u32),
    /// Hours from the finding.
    Hours(u32),
    /// Working days from the finding; holidays are the authority's.
    BusinessDays(u32),
}

impl std::fmt::Display for Within {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (n, unit) = match self {
            Self::AtOnce => return f.write_str("at once"),
            Self::Minutes(n) => (n, "minute"),
            Self::Hours(n) => (n, "hour"),
            Self::BusinessDays(n) => (n, "business day"),
        };
        write!(f, "{n} {unit}{}", if *n == 1 { "" } else { "s" })
    }
}

impl Within {
    /// Reads `at once`, `30 minutes`, `10 hours`, `5 business days`.
    ///
    /// # Errors
    /// A sentence when it is none of them.
    pub fn parse(text: &str) -> Result<Self, String> {
        let bad = || {
            let shown: String = crate::diag::plain(text).chars().take(40).collect();
            format!("'{shown}' is no time limit; write 'at once', '30 minutes', '10 hours' or '5 business days'")
        };
        if text.trim() == "at once" {
            return Ok(Self::AtOnce);
        }
        let (number, unit) = text.trim().split_once(' ').ok_or_else(bad)?;
        let n: u32 = number.parse().ok().filter(|n| (1..=10_000).contains(n)).ok_or_else(bad)?;
        match unit.trim() {
            "minute" | "minutes" => Ok(Self::Minutes(n)),
            "hour" | "hours" => Ok(Self::Hours(n)),
            "business day" | "business days" => Ok(Self::BusinessDays(n)),
            _ => Err(bad()),
        }
    }
}

/// A clock that starts with an impairment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Clock {
    /// What must be done.
    pub what: String,
    /// Within which time.
    pub within: Within,
    /// The clause.
    pub clause: String,
    /// Where it comes from.
    pub source: String,
    /// How far it can be relied on.
    pub confidence: Confidence,
}

/// What an impairment demands at once.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct ImpairmentDuty {
    /// Whom to tell: roles, in order.
    pub tell: Vec<String>,
    /// The clocks that start.
    pub clocks: Vec<Clock>,
    /// What to do, step by step.
    pub steps: Vec<String>,
}

/// A distance to keep clear below the deflector.
#[derive(Clone, Debug, PartialEq)]
pub struct Clearance {
    /// Styles of head it is for.
    pub styles: Vec<Style>,
    /// The distance.
    pub distance: Length,
    /// The clause.
    pub clause: String,
    /// Where it comes from.
    pub source: String,
    /// How far it can be relied on.
    pub confidence: Confidence,
    /// What it leaves out or allows besides.
    pub note: String,
}

/// What a coded reason for not reaching a head means under this set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Excuse {
    /// The coded reason, such as `process`.
    pub why: String,
    /// Whether no inspection is required at all; otherwise it is still owed.
    pub waived: bool,
    /// What follows.
    pub because: String,
    /// The clause.
    pub clause: String,
    /// Where it comes from.
    pub source: String,
    /// How far it can be relied on.
    pub confidence: Confidence,
}

/// A duty of the set in words, with its clause.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Duty {
    /// What.
    pub text: String,
    /// The clause.
    pub clause: String,
    /// Where it comes from.
    pub source: String,
    /// How far it can be relied on.
    pub confidence: Confidence,
}

/// What a class of finding means under this set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClassMeaning {
    /// The class.
    pub class: Class,
    /// What it means, with its clause.
    pub duty: Duty,
}

/// A rule set, read, checked and compiled.
#[derive(Clone, Debug)]
pub struct RuleSet {
    /// Its word, such as `nfpa25-2023`.
    pub name: String,
    /// One line for people.
    pub title: String,
    /// The edition it follows.
    pub edition: String,
    /// The sets it extends, nearest first.
    pub extends: Vec<String>,
    /// Signs.
    pub signs: Vec<Sign>,
    /// Parts, in the order of their digits.
    pub parts: Vec<Word>,
    /// Extents, least first.
    pub extents: Vec<Word>,
    /// Rules, in file order.
    pub rules: Vec<Rule>,
    /// Cautions to show.
    pub cautions: Vec<String>,
    /// What an impairment demands.
    pub impairment: ImpairmentDuty,
    /// Identification numbers to look out for.
    pub recalled: Vec<Recall>,
    /// Clearance below the deflector, by style.
    pub clearances: Vec<Clearance>,
    /// What the classes mean.
    pub classes: Vec<ClassMeaning>,
    /// What reasons for not reaching a head mean.
    pub unreached: Vec<Excuse>,
    /// How long records are kept.
    pub retention: Vec<Duty>,
    /// Ages, samples, limits, spare stock, cabinet, cleaning, suitability, visits.
    pub duties: Duties,
    /// The compiled rules.
    pub(crate) table: Arc<Table>,
}

/// A sign as it was seen on one head.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Sighting {
    /// What.
    pub sign: SignIx,
    /// Where.
    pub part: PartIx,
    /// How much.
    pub extent: ExtentIx,
    /// Who applied the finish; `None` counts as unknown where the sign asks, and is left out where it does not.
    pub applied: Option<Applied>,
}

fn at<T>(list: &[T], is: impl Fn(&T) -> bool) -> Option<u8> {
    list.iter().position(is).and_then(|i| u8::try_from(i).ok())
}

impl RuleSet {
    /// The sign of that word.
    #[must_use]
    pub fn sign(&self, id: &str) -> Option<SignIx> {
        at(&self.signs, |s| s.id == id).map(SignIx)
    }

    /// The sign of that letter in the walk.
    #[must_use]
    pub fn sign_by_key(&self, key: char) -> Option<SignIx> {
        at(&self.signs, |s| s.key == Some(key)).map(SignIx)
    }

    /// The part of that word.
    #[must_use]
    pub fn part(&self, id: &str) -> Option<PartIx> {
        at(&self.parts, |w| w.id == id).map(PartIx)
    }

    /// The extent of that word.
    #[must_use]
    pub fn extent(&self, id: &str) -> Option<ExtentIx> {
        at(&self.extents, |w| w.id == id).map(ExtentIx)
    }

    /// The rule of that word.
    #[must_use]
    pub fn rule(&self, id: &str) -> Option<RuleIx> {
        self.rules.iter().position(|r| r.id == id).and_then(|i| u16::try_from(i).ok()).map(RuleIx)
    }

    /// The sign at an index.
    #[must_use]
    pub fn sign_at(&self, ix: SignIx) -> Option<&Sign> {
        self.signs.get(usize::from(ix.0))
    }

    /// The part at an index.
    #[must_use]
    pub fn part_at(&self, ix: PartIx) -> Option<&Word> {
        self.parts.get(usize::from(ix.0))
    }

    /// The extent at an index.
    #[must_use]
    pub fn extent_at(&self, ix: ExtentIx) -> Option<&Word> {
        self.extents.get(usize::from(ix.0))
    }

    /// The rule at an index.
    #[must_use]
    pub fn rule_at(&self, ix: RuleIx) -> Option<&Rule> {
        self.rules.get(usize::from(ix.0))
    }

    /// The signs that can be entered by eye, with their indices.
    pub fn eye_signs(&self) -> impl Iterator<Item = (SignIx, &Sign)> {
        self.signs
            .iter()
            .enumerate()
            .filter(|(_, s)| s.seen == Seen::Eye)
            .filter_map(|(i, s)| u8::try_from(i).ok().map(|i| (SignIx(i), s)))
    }

    /// Turns an entry's words into a sighting.
    ///
    /// # Errors
    /// A sentence: an unknown word with the nearest known one, a sign that is not entered by eye, or a part or an extent
    /// that the sign does not have.
    pub fn sighting(&self, sign: &str, part: &str, extent: &str, applied: Option<Applied>) -> Result<Sighting, String> {
        let known: Vec<&str> = self.eye_signs().map(|(_, s)| s.id.as_str()).collect();
        let (sign_ix, declared) = self
            .eye_signs()
            .find(|(_, s)| s.id == sign)
            .ok_or_else(|| unknown("sign that is entered by eye", sign, &known))?;
        let parts: Vec<&str> = declared.parts.iter().filter_map(|p| self.part_at(*p)).map(|w| w.id.as_str()).collect();
        let part_ix = self
            .part(part)
            .filter(|p| declared.parts.contains(p))
            .ok_or_else(|| unknown(&format!("part for {sign}"), part, &parts))?;
        let extents: Vec<&str> =
            declared.extents.iter().filter_map(|e| self.extent_at(*e)).map(|w| w.id.as_str()).collect();
        let extent_ix = self
            .extent(extent)
            .filter(|e| declared.extents.contains(e))
            .ok_or_else(|| unknown(&format!("extent for {sign}"), extent, &extents))?;
        Ok(Sighting { sign: sign_ix, part: part_ix, extent: extent_ix, applied })
    }

    /// The distance to keep clear below the deflector of a head of this kind in this area, or `None` where the set
    /// names none. The area is asked for because a set may tell settings apart.
    #[must_use]
    pub fn required_clearance(&self, kind: &Kind, area: &Area) -> Option<Length> {
        self.clearance_rule(kind, area).map(|c| c.distance)
    }

    /// The row of the clearance table that [`RuleSet::required_clearance`] reads.
    #[must_use]
    pub fn clearance_rule(&self, kind: &Kind, _area: &Area) -> Option<&Clearance> {
        self.clearances.iter().find(|c| c.styles.contains(&kind.style))
    }

    /// How a kind's rating stands to an area's highest ceiling temperature; unknown where the set compares none.
    #[must_use]
    pub fn ceiling(&self, kind: &Kind, area: &Area) -> Ceiling {
        self.duties.suitability.as_ref().map_or(Ceiling::Unknown, |s| s.ceiling(kind, area))
    }

    /// What a coded reason for not reaching a head means.
    #[must_use]
    pub fn excuse(&self, why: &str) -> Option<&Excuse> {
        self.unreached.iter().find(|e| e.why == why)
    }
}
