//! What rules may ask about a head's make-up and surroundings: a closed list of fields, each with its words, and the
//! facts of one head as small numbers. It knows the register's types and nothing of rules.

use crate::trade::class::Class;
use crate::trade::kind::{Element, Finish, Kind, Mount, Orientation, Response, Style};
use crate::trade::register::{Area, Setting, System};
use crate::trade::words::words;

words! {
    /// How a head's temperature rating stands to the highest temperature expected at its ceiling.
    pub enum Ceiling ("relation of rating and ceiling") {
        /// The rating is of the class that the ceiling calls for.
        Fits = "fits",
        /// The rating is of a lower class than the ceiling calls for: it may operate without a fire.
        TooLow = "too-low",
        /// The rating is one class higher than the ceiling calls for.
        Higher = "higher",
        /// The rating is two classes or more higher than the ceiling calls for: it operates late.
        MuchHigher = "much-higher",
        /// The ceiling's temperature or the rating's class is not known.
        Unknown = "unknown",
    }
}

words! {
    /// Whether a head's identification number is on a list of recalled ones.
    pub enum Recalled ("recall state") {
        /// It is not listed, or bears no number.
        No = "no",
        /// It is listed, for the year it was made.
        Yes = "yes",
        /// Its number is listed for certain years, and its year is not known.
        Perhaps = "perhaps",
    }
}

words! {
    /// Which kinds of head hang together in one compartment though they should not.
    pub enum Mixture ("mixture") {
        /// Nothing to remark.
        None = "none",
        /// Fast and standard response.
        Response = "response",
        /// Residential heads with others.
        Residential = "residential",
        /// Several temperature classes.
        Temperature = "temperature",
    }
}

/// Words for a field that is true or false.
const TRUTH: [&str; 2] = ["false", "true"];

/// One thing a rule's conditions may ask about a head's make-up or surroundings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Field {
    /// Which way it points.
    Orientation,
    /// How it sits.
    Mount,
    /// Thermal sensitivity.
    Response,
    /// What it is listed for.
    Style,
    /// What holds it shut.
    Element,
    /// Factory finish.
    Finish,
    /// Temperature class of its rating.
    Temperature,
    /// Whether it is a dry head.
    Dry,
    /// Whether a guard belongs on it.
    Guard,
    /// The system that feeds it.
    System,
    /// How its rating stands to its ceiling.
    Ceiling,
    /// Whether its number is recalled.
    Recalled,
    /// What is mixed in its compartment.
    Mixture,
}

/// How many fields there are.
pub(crate) const FIELDS: usize = Field::ALL.len();

impl Field {
    /// Every field, in declared order.
    pub const ALL: &'static [Self] = &[
        Self::Orientation,
        Self::Mount,
        Self::Response,
        Self::Style,
        Self::Element,
        Self::Finish,
        Self::Temperature,
        Self::Dry,
        Self::Guard,
        Self::System,
        Self::Ceiling,
        Self::Recalled,
        Self::Mixture,
    ];

    /// The field's key in a rule file.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Orientation => "orientation",
            Self::Mount => "mount",
            Self::Response => "response",
            Self::Style => "style",
            Self::Element => "element",
            Self::Finish => "finish",
            Self::Temperature => "temperature",
            Self::Dry => "dry",
            Self::Guard => "guard",
            Self::System => "system",
            Self::Ceiling => "ceiling",
            Self::Recalled => "recalled",
            Self::Mixture => "mixture",
        }
    }

    /// The words its values are written as, in order; the position is the value in [`Facts`].
    #[must_use]
    pub fn words(self) -> Vec<&'static str> {
        match self {
            Self::Orientation => Orientation::ALL.iter().map(|v| v.as_str()).collect(),
            Self::Mount => Mount::ALL.iter().map(|v| v.as_str()).collect(),
            Self::Response => Response::ALL.iter().map(|v| v.as_str()).collect(),
            Self::Style => Style::ALL.iter().map(|v| v.as_str()).collect(),
            Self::Element => Element::ALL.iter().map(|v| v.as_str()).collect(),
            Self::Finish => Finish::ALL.iter().map(|v| v.as_str()).collect(),
            Self::Temperature => Class::ALL.iter().map(|v| v.as_str()).chain(["unlisted"]).collect(),
            Self::Dry | Self::Guard => TRUTH.to_vec(),
            Self::System => System::ALL.iter().map(|v| v.as_str()).collect(),
            Self::Ceiling => Ceiling::ALL.iter().map(|v| v.as_str()).collect(),
            Self::Recalled => Recalled::ALL.iter().map(|v| v.as_str()).collect(),
            Self::Mixture => Mixture::ALL.iter().map(|v| v.as_str()).collect(),
        }
    }
}

/// The bit of a setting in a set of settings.
#[must_use]
pub(crate) const fn setting_bit(setting: Setting) -> u16 {
    1 << setting as u16
}

/// A head's make-up and surroundings, as far as rules may ask about them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Facts {
    values: [u8; FIELDS],
    settings: u16,
}

impl Facts {
    /// The plain head that a case starts from: an exposed quick-response pendent spray head with a bulb, chromed, of the
    /// ordinary class, on a wet system in an ordinary place.
    #[must_use]
    pub fn plain() -> Self {
        let mut it = Self { values: [0; FIELDS], settings: 0 };
        it.set(Field::Response, Response::Quick as u8);
        it.set(Field::Finish, Finish::Chrome as u8);
        it
    }

    /// The facts of a head of this kind in this area; how its rating stands to the ceiling and whether its number is
    /// recalled are told by the caller, because both are the rule set's to say.
    #[must_use]
    pub fn of(kind: &Kind, area: &Area, ceiling: Ceiling, recalled: Recalled) -> Self {
        let mut it = Self::of_kind(kind);
        it.set(Field::System, area.system as u8);
        it.set(Field::Ceiling, ceiling as u8);
        it.set(Field::Recalled, recalled as u8);
        it.settings = area.setting.iter().fold(0, |all, s| all | setting_bit(*s));
        it
    }

    /// The make-up of a kind, in a wet system of an ordinary place.
    pub(crate) fn of_kind(kind: &Kind) -> Self {
        let mut it = Self { values: [0; FIELDS], settings: 0 };
        it.set(Field::Orientation, kind.orientation as u8);
        it.set(Field::Mount, kind.mount as u8);
        it.set(Field::Response, kind.response as u8);
        it.set(Field::Style, kind.style as u8);
        it.set(Field::Element, kind.element as u8);
        it.set(Field::Finish, kind.finish as u8);
        let unlisted = u8::try_from(Class::ALL.len()).unwrap_or(u8::MAX);
        it.set(Field::Temperature, kind.class().map_or(unlisted, |c| c as u8));
        it.set(Field::Dry, u8::from(kind.dry));
        it.set(Field::Guard, u8::from(kind.guard));
        it
    }

    /// The value of a field: a position in [`Field::words`].
    #[must_use]
    pub fn get(&self, field: Field) -> u8 {
        self.values.get(field as usize).copied().unwrap_or(0)
    }

    /// Sets a field to the value at a position in [`Field::words`].
    pub(crate) fn set(&mut self, field: Field, value: u8) {
        if let Some(slot) = self.values.get_mut(field as usize) {
            *slot = value;
        }
    }

    /// The settings as bits.
    #[must_use]
    pub(crate) const fn settings(&self) -> u16 {
        self.settings
    }

    /// Adds settings given as bits.
    pub(crate) const fn add_settings(&mut self, bits: u16) {
        self.settings |= bits;
    }

    /// What differs from [`Facts::plain`], in words: `mount concealed`, `setting salt`.
    #[must_use]
    pub fn words(&self) -> Vec<String> {
        let plain = Self::plain();
        let mut words: Vec<String> = Field::ALL
            .iter()
            .filter(|f| self.get(**f) != plain.get(**f))
            .map(|f| format!("{} {}", f.as_str(), f.words().get(usize::from(self.get(*f))).copied().unwrap_or("?")))
            .collect();
        words.extend(
            Setting::ALL.iter().filter(|s| self.settings & setting_bit(**s) != 0).map(|s| format!("setting {s}")),
        );
        words
    }
}
