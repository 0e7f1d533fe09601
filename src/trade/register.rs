//! The register: what is installed at a site, as the file's first document holds it.

use super::address::AreaId;
use super::head_type::HeadType;
use super::kind::Kind;
use super::quantity::{Length, PartialDate, Temperature, Units};
use super::words::words;

words! {
    /// The kind of system that feeds an area.
    pub enum System ("system") {
        /// Pipes always full of water.
        Wet = "wet",
        /// Air in the pipes until a head opens.
        Dry = "dry",
        /// A detection system admits the water.
        Preaction = "preaction",
        /// Antifreeze in the pipes.
        Antifreeze = "antifreeze",
        /// Open heads behind a deluge valve.
        Deluge = "deluge",
    }
}

words! {
    /// What the surroundings do to heads.
    pub enum Setting ("setting") {
        /// Damp or wet air.
        Damp = "damp",
        /// Sea air, brine, de-icing salt.
        Salt = "salt",
        /// Corrosive vapours or corrosive water.
        Corrosive = "corrosive",
        /// Dust or lint.
        Dust = "dust",
        /// Grease or cooking vapour.
        Grease = "grease",
        /// Spray coating; heads may be bagged.
        Overspray = "overspray",
        /// Hot ceiling or heat sources near heads.
        Heat = "heat",
        /// Below freezing.
        Freezing = "freezing",
        /// In the open air.
        Outdoors = "outdoors",
        /// Where heads get struck: low, or near moving goods.
        Impact = "impact",
        /// Goods are stored here.
        Storage = "storage",
        /// Above a suspended ceiling or another concealed space.
        Concealed = "concealed",
        /// Under construction.
        Works = "works",
        /// Guest rooms, dwellings.
        Dwelling = "dwelling",
    }
}

words! {
    /// The hazard of an area's occupancy, as the design took it.
    pub enum Occupancy ("hazard of an area") {
        /// Light hazard.
        Light = "light",
        /// Ordinary hazard.
        Ordinary = "ordinary",
        /// High or extra hazard, process or storage.
        High = "high",
    }
}

/// The index of a kind in its register.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct KindIx(pub u16);

/// Neighbouring heads of one kind on a line, or places left without a head.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Run {
    /// How many.
    pub count: u16,
    /// Their kind; `None` for places without a head.
    pub kind: Option<KindIx>,
    /// The place number of the first; the others follow upwards.
    pub from: u16,
}

/// One branch line, as one looks up at the ceiling, from left to right.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Line {
    /// Its runs from left to right.
    pub runs: Vec<Run>,
}

/// A named part of the site.
#[derive(Clone, Debug, PartialEq)]
pub struct Area {
    /// Its name in addresses.
    pub id: AreaId,
    /// Its name for people.
    pub name: String,
    /// The system that feeds it.
    pub system: System,
    /// When its heads went into service, as far as known.
    pub in_service: Option<PartialDate>,
    /// What its surroundings do to heads.
    pub setting: Vec<Setting>,
    /// The highest temperature expected at the ceiling.
    pub ceiling_max: Option<Temperature>,
    /// Height of the ceiling.
    pub height: Option<Length>,
    /// The hazard of its occupancy, as far as known.
    pub hazard: Option<Occupancy>,
    /// Areas with the same compartment are one room for the rules on mixed heads; without it an area is its own.
    pub compartment: Option<String>,
    /// Anything else worth knowing.
    pub note: Option<String>,
    /// Its branch lines, line 1 first.
    pub lines: Vec<Line>,
}

/// A cabinet of spare heads.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cabinet {
    /// Its short name; of the same form as an area's.
    pub id: AreaId,
    /// Its name for people.
    pub name: String,
    /// Where it hangs.
    pub place: Option<String>,
    /// The areas it serves; none named: all of them.
    pub serves: Vec<AreaId>,
    /// What its posted list says is kept: kinds by name, and how many.
    pub keep: Vec<(String, u32)>,
}

impl Cabinet {
    /// Whether it serves an area.
    #[must_use]
    pub fn serves(&self, area: &AreaId) -> bool {
        self.serves.is_empty() || self.serves.contains(area)
    }
}

/// Identification numbers to look out for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Recall {
    /// Sprinkler identification number.
    pub number: String,
    /// Years made that it covers; `None`: every year.
    pub made: Option<(i32, i32)>,
    /// Why, and who says so.
    pub why: String,
}

/// Who and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Site {
    /// Identity of the site: a ULID that never changes.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Its address.
    pub place: String,
    /// Owner or the owner's representative, as free text.
    pub owner: Option<String>,
    /// Name of the adopted rule set.
    pub rules: String,
    /// Unit system shown.
    pub units: Units,
    /// Whom to tell about an impairment, in order.
    pub tell: Vec<String>,
    /// How service is restored where no dry spare of the length is held.
    pub dry_restored: Option<String>,
}

/// A site's register.
#[derive(Clone, Debug, PartialEq)]
pub struct Register {
    /// Who and where.
    pub site: Site,
    /// Kinds of head installed.
    pub kinds: Vec<Kind>,
    /// Areas in walking order.
    pub areas: Vec<Area>,
    /// Cabinets of spare heads.
    pub cabinets: Vec<Cabinet>,
    /// Identification numbers to look out for at this site.
    pub recalled: Vec<Recall>,
}

impl Register {
    /// The kind of that name.
    #[must_use]
    pub fn kind_named(&self, id: &str) -> Option<KindIx> {
        self.kinds.iter().position(|k| k.id == id).and_then(|i| u16::try_from(i).ok()).map(KindIx)
    }

    /// The kind at an index.
    #[must_use]
    pub fn kind(&self, ix: KindIx) -> Option<&Kind> {
        self.kinds.get(usize::from(ix.0))
    }

    /// The area of that name.
    #[must_use]
    pub fn area_named(&self, id: &str) -> Option<usize> {
        self.areas.iter().position(|a| a.id.as_str() == id)
    }

    /// The types of all kinds, in their order; for one kind, [`Self::type_of`].
    #[must_use]
    pub fn types(&self) -> Vec<HeadType> {
        HeadType::of_all(&self.kinds)
    }

    /// The type of a kind among those of this register; of one that is not in it, by itself. Takes time with the number of kinds.
    #[must_use]
    pub fn type_of(&self, kind: &Kind) -> HeadType {
        let at = self.kinds.iter().position(|k| k.id == kind.id);
        at.and_then(|at| self.types().into_iter().nth(at)).unwrap_or_else(|| HeadType::of(kind))
    }

    /// The cabinet of that name.
    #[must_use]
    pub fn cabinet_named(&self, id: &str) -> Option<usize> {
        self.cabinets.iter().position(|c| c.id.as_str() == id)
    }

    /// How many heads the register holds.
    #[must_use]
    pub fn head_count(&self) -> usize {
        self.areas.iter().map(Area::head_count).sum()
    }
}

impl Area {
    /// How many heads the area holds.
    #[must_use]
    pub fn head_count(&self) -> usize {
        self.lines.iter().flat_map(|l| &l.runs).filter(|r| r.kind.is_some()).map(|r| usize::from(r.count)).sum()
    }

    /// How many places its lines number: heads and gaps.
    #[must_use]
    pub fn place_count(&self) -> usize {
        self.lines.iter().flat_map(|l| &l.runs).map(|r| usize::from(r.count)).sum()
    }
}
