//! The make-up of heads: what a kind is described by, in the trade's words.

use super::class::{self, Class, Colour};
use super::quantity::{KFactor, Length, PartialDate, Temperature, Units};
use super::words::words;

words! {
    /// Which way the head points.
    pub enum Orientation ("orientation") {
        /// Below the pipe, deflector down.
        Pendent = "pendent",
        /// Above the pipe, deflector up.
        Upright = "upright",
        /// From a wall, deflector sideways.
        Sidewall = "sidewall",
    }
}

words! {
    /// How the head sits in the ceiling or wall.
    pub enum Mount ("mount") {
        /// In the open, with or without a plain escutcheon.
        Exposed = "exposed",
        /// Partly within a recessed housing, behind a listed escutcheon.
        Recessed = "recessed",
        /// Body within the ceiling, element below it.
        Flush = "flush",
        /// Wholly within the ceiling, behind a cover plate.
        Concealed = "concealed",
    }
}

words! {
    /// Thermal sensitivity.
    pub enum Response ("response") {
        /// RTI of 80 (m·s)^½ or more.
        Standard = "standard",
        /// RTI between 50 and 80 (m·s)^½.
        Special = "special",
        /// RTI of 50 (m·s)^½ or less.
        Quick = "quick",
    }
}

words! {
    /// What the head is listed for.
    pub enum Style ("style") {
        /// Standard spray.
        Spray = "spray",
        /// Extended coverage.
        Extended = "extended",
        /// Residential.
        Residential = "residential",
        /// Early suppression, fast response.
        Esfr = "esfr",
        /// Control mode, specific application.
        Cmsa = "cmsa",
        /// Old-style (conventional).
        Conventional = "conventional",
    }
}

words! {
    /// What holds the head shut until it is hot.
    pub enum Element ("heat element") {
        /// A glass bulb.
        Bulb = "bulb",
        /// A fusible link or other solder element.
        Link = "link",
    }
}

words! {
    /// The finish the head left the factory with.
    pub enum Finish ("finish") {
        /// Plain brass or bronze.
        Brass = "brass",
        /// Chrome.
        Chrome = "chrome",
        /// White, from the factory.
        White = "white",
        /// Black, from the factory.
        Black = "black",
        /// Another colour, from the factory.
        Coloured = "coloured",
        /// Stainless steel.
        Stainless = "stainless",
        /// Nickel.
        Nickel = "nickel",
        /// A listed wax coating.
        Wax = "wax",
        /// A listed lead coating.
        Lead = "lead",
        /// A listed polymer coating.
        Polymer = "polymer",
    }
}

words! {
    /// Who applied a finish.
    pub enum Applied ("origin of a finish") {
        /// The head's manufacturer.
        Factory = "factory",
        /// Somebody on site.
        Field = "field",
        /// It cannot be told.
        Unknown = "unknown",
    }
}

impl Finish {
    /// Whether the finish is a listed corrosion-resistant one.
    #[must_use]
    pub const fn resists_corrosion(self) -> bool {
        matches!(self, Self::Stainless | Self::Nickel | Self::Wax | Self::Lead | Self::Polymer)
    }
}

/// A make-up of head installed at a site.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Kind {
    /// The short name lines use, such as `qr-pendent`.
    #[serde(default)]
    pub id: String,
    /// Which way it points.
    pub orientation: Orientation,
    /// How it sits.
    #[serde(default = "Mount::exposed")]
    pub mount: Mount,
    /// Thermal sensitivity.
    pub response: Response,
    /// What it is listed for.
    #[serde(default = "Style::spray")]
    pub style: Style,
    /// What holds it shut.
    pub element: Element,
    /// Marked temperature rating.
    pub rating: Temperature,
    /// Discharge coefficient.
    pub k: KFactor,
    /// Factory finish.
    #[serde(default = "Finish::brass")]
    pub finish: Finish,
    /// Year made, if it can be read.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub made: Option<PartialDate>,
    /// Sprinkler identification number, if marked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub number: Option<String>,
    /// Whether it is a dry head.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub dry: bool,
    /// Length of a dry head.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length: Option<Length>,
    /// Thread, as written.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thread: Option<String>,
    /// Whether a guard belongs on it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub guard: bool,
    /// The wrench that fits it, by a word of the site's own; kinds with the same word share one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wrench: Option<String>,
    /// Anything else worth knowing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

impl Mount {
    const fn exposed() -> Self {
        Self::Exposed
    }
}

impl Style {
    const fn spray() -> Self {
        Self::Spray
    }

    /// As it follows the orientation in a description; nothing for standard spray.
    pub(super) const fn after_comma(self) -> &'static str {
        match self {
            Self::Spray => "",
            Self::Extended => ", extended coverage",
            Self::Residential => ", residential",
            Self::Esfr => ", ESFR",
            Self::Cmsa => ", CMSA",
            Self::Conventional => ", conventional",
        }
    }
}

impl Finish {
    const fn brass() -> Self {
        Self::Brass
    }
}

impl Kind {
    /// Temperature class, if the rating is one of the table's.
    #[must_use]
    pub fn class(&self) -> Option<Class> {
        Class::of(self.rating)
    }

    /// The colour that tells the rating from the floor: the bulb's liquid, or the frame of a fusible head.
    #[must_use]
    pub fn colour(&self) -> Option<Colour> {
        match self.element {
            Element::Bulb => class::bulb_colour(self.rating),
            Element::Link => class::frame_colour(self.rating),
        }
    }

    /// One line a person can order by: `pendent, quick, bulb, 155 °F, K5.6, chrome`.
    #[must_use]
    pub fn describe(&self, units: Units) -> String {
        let mut words = Vec::new();
        if self.dry {
            words.push("dry".to_owned());
        }
        if self.mount != Mount::Exposed {
            words.push(self.mount.to_string());
        }
        words.push(self.orientation.to_string());
        let mut head = words.join(" ");
        head.push_str(self.style.after_comma());
        format!(
            "{head}, {}, {}, {}, {}, {}{}",
            self.response,
            self.element,
            self.rating.show(units),
            self.k.show(units),
            self.finish,
            self.length.map_or(String::new(), |l| format!(", {} long", l.show(units))),
        )
    }
}
