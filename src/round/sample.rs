//! Invented sites of any size, the same for the same seed: for trying the program out, for tests and for benches. Nothing
//! here describes a real building.

mod walks;

use std::collections::HashMap;

use super::entry::Id;
use crate::trade::address::AreaId;
use crate::trade::kind::{Element, Finish, Kind, Mount, Orientation, Response, Style};
use crate::trade::quantity::{KFactor, Length, PartialDate, Temperature, Units};
use crate::trade::register::{Area, KindIx, Line, Recall, Register, Run, Setting, Site, System};

pub use walks::entries;

/// Numbers that look like chance and are the same for the same seed.
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    /// Dice that start from a seed.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next 64 bits (SplitMix64, Steele, Lea and Flood 2014; the constants are theirs).
    pub const fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number from `low` to `high`, both included; `low` where `high` is less.
    pub const fn between(&mut self, low: usize, high: usize) -> usize {
        let span = high.saturating_sub(low) as u64 + 1;
        low + (self.bits() % span) as usize
    }

    /// Whether something happens that happens `n` times in ten thousand.
    pub const fn happens(&mut self, n: usize) -> bool {
        self.between(1, 10_000) <= n
    }

    /// One of several.
    pub fn pick<'a, T>(&mut self, of: &'a [T]) -> Option<&'a T> {
        of.get(self.between(0, of.len().saturating_sub(1)))
    }
}

/// A kind in the fewest words: name, make-up, rating in °F, K-factor in gpm/psi^½, finish, year made.
type Row = (&'static str, Orientation, Mount, Response, Style, Element, f64, &'static str, Finish, Option<i32>);

const KINDS: &[Row] = {
    use Element::{Bulb, Link};
    use Mount::{Concealed, Exposed, Recessed};
    use Orientation::{Pendent, Sidewall, Upright};
    use Response::{Quick, Standard};
    use Style::{Esfr, Extended, Spray};
    &[
        ("qr-pendent", Pendent, Exposed, Quick, Spray, Bulb, 155.0, "5.6", Finish::Chrome, Some(2009)),
        ("qr-pendent-18", Pendent, Exposed, Quick, Spray, Bulb, 155.0, "5.6", Finish::Chrome, Some(2018)),
        ("sr-upright", Upright, Exposed, Standard, Spray, Link, 165.0, "5.6", Finish::Brass, Some(1988)),
        ("old-upright", Upright, Exposed, Standard, Spray, Link, 165.0, "5.6", Finish::Brass, None),
        ("int-upright", Upright, Exposed, Standard, Spray, Bulb, 200.0, "5.6", Finish::Brass, Some(1998)),
        ("hi-upright", Upright, Exposed, Standard, Spray, Link, 286.0, "8.0", Finish::Brass, Some(1998)),
        ("esfr-pendent", Pendent, Exposed, Quick, Esfr, Link, 165.0, "14.0", Finish::Brass, Some(2012)),
        ("dry-pendent", Pendent, Exposed, Quick, Spray, Bulb, 155.0, "5.6", Finish::Chrome, Some(2013)),
        ("conc-pendent", Pendent, Concealed, Quick, Spray, Bulb, 155.0, "5.6", Finish::White, Some(2016)),
        ("rec-pendent", Pendent, Recessed, Quick, Spray, Bulb, 155.0, "5.6", Finish::White, Some(2016)),
        ("ec-sidewall", Sidewall, Exposed, Quick, Extended, Bulb, 155.0, "8.0", Finish::White, Some(2020)),
        ("guard-upright", Upright, Exposed, Standard, Spray, Bulb, 155.0, "5.6", Finish::Polymer, Some(2004)),
    ]
};

fn kind(row: &Row) -> Option<Kind> {
    let (id, orientation, mount, response, style, element, rating, k, finish, made) = *row;
    let dry = id.starts_with("dry-");
    Some(Kind {
        id: id.to_owned(),
        orientation,
        mount,
        response,
        style,
        element,
        rating: Temperature::from_fahrenheit(rating)?,
        k: KFactor::parse(k).ok()?,
        finish,
        made: made.map(|year| PartialDate { year, month: None, day: None }),
        number: (id == "old-upright").then(|| RECALLED.to_owned()),
        dry,
        length: if dry { Length::parse("15 in").ok() } else { None },
        thread: None,
        guard: id.starts_with("guard-"),
        wrench: None,
        note: None,
    })
}

/// An identification number that stands on the sample's list of recalled ones.
const RECALLED: &str = "QZ0417";

/// A sort of area: what its surroundings are like, how large it is, what hangs there.
struct Sort {
    id: &'static str,
    name: &'static str,
    system: System,
    setting: &'static [Setting],
    /// °F.
    ceiling: f64,
    height: &'static str,
    lines: (usize, usize),
    places: (usize, usize),
    /// The first hangs nearly everywhere, the others here and there.
    kinds: &'static [&'static str],
}

const SORTS: &[Sort] = &[
    Sort {
        id: "hall",
        name: "Hall",
        system: System::Wet,
        setting: &[Setting::Damp, Setting::Salt],
        ceiling: 100.0,
        height: "18 ft",
        lines: (6, 14),
        places: (10, 18),
        kinds: &["qr-pendent", "qr-pendent-18", "sr-upright"],
    },
    Sort {
        id: "office",
        name: "Offices",
        system: System::Wet,
        setting: &[],
        ceiling: 90.0,
        height: "9 ft",
        lines: (4, 9),
        places: (5, 12),
        kinds: &["conc-pendent", "rec-pendent", "ec-sidewall"],
    },
    Sort {
        id: "store",
        name: "Store",
        system: System::Wet,
        setting: &[Setting::Storage, Setting::Dust],
        ceiling: 100.0,
        height: "32 ft",
        lines: (8, 20),
        places: (10, 20),
        kinds: &["esfr-pendent"],
    },
    Sort {
        id: "void",
        name: "Void above the ceiling",
        system: System::Wet,
        setting: &[Setting::Concealed],
        ceiling: 100.0,
        height: "12 ft",
        lines: (2, 6),
        places: (6, 12),
        kinds: &["old-upright", "sr-upright"],
    },
    Sort {
        id: "plant",
        name: "Plant room",
        system: System::Wet,
        setting: &[Setting::Heat],
        ceiling: 150.0,
        height: "14 ft",
        lines: (2, 5),
        places: (4, 9),
        kinds: &["int-upright", "hi-upright"],
    },
    Sort {
        id: "cold",
        name: "Cold store",
        system: System::Dry,
        setting: &[Setting::Freezing, Setting::Storage],
        ceiling: 40.0,
        height: "24 ft",
        lines: (5, 12),
        places: (8, 14),
        kinds: &["dry-pendent"],
    },
    Sort {
        id: "dock",
        name: "Loading dock",
        system: System::Dry,
        setting: &[Setting::Outdoors, Setting::Salt, Setting::Impact],
        ceiling: 100.0,
        height: "14 ft",
        lines: (2, 4),
        places: (8, 16),
        kinds: &["guard-upright", "sr-upright"],
    },
    Sort {
        id: "shop",
        name: "Paint shop",
        system: System::Wet,
        setting: &[Setting::Overspray],
        ceiling: 100.0,
        height: "12 ft",
        lines: (2, 5),
        places: (5, 10),
        kinds: &["qr-pendent-18", "qr-pendent"],
    },
    Sort {
        id: "kitchen",
        name: "Kitchen",
        system: System::Wet,
        setting: &[Setting::Grease],
        ceiling: 110.0,
        height: "9 ft",
        lines: (2, 4),
        places: (3, 8),
        kinds: &["int-upright", "rec-pendent"],
    },
];

/// The register of an invented site with exactly so many heads (at most `register_text::MAX_HEADS` read back).
#[must_use]
pub fn register(heads: usize, seed: u64) -> Register {
    let mut dice = Dice::new(seed);
    let kinds: Vec<Kind> = KINDS.iter().filter_map(kind).collect();
    let mut it = Register {
        site: Site {
            id: Id::after(None, 1_700_000_000_000, u128::from(dice.bits())).to_string(),
            name: format!("Sample site of {heads} heads"),
            place: "Port Tarrow".to_owned(),
            owner: None,
            rules: "nfpa25-2023".to_owned(),
            units: Units::Us,
            dry_restored: None,
            tell: ["Owner's representative", "Fire service", "Alarm receiving centre", "Insurer"]
                .map(str::to_owned)
                .to_vec(),
        },
        kinds,
        areas: Vec::new(),
        cabinets: Vec::new(),
        recalled: vec![Recall {
            number: RECALLED.to_owned(),
            made: Some((1996, 2001)),
            why: "invented for samples: links may be cemented shut by corrosion".to_owned(),
        }],
    };
    let mut left = heads;
    let mut numbers: HashMap<&str, usize> = HashMap::new();
    while left > 0 {
        let Some(sort) = SORTS.get(it.areas.len() % SORTS.len()) else { break };
        let number = numbers.entry(sort.id).or_insert(0);
        *number += 1;
        let Ok(id) = AreaId::parse(&format!("{}-{number}", sort.id)) else { break };
        let lines = lines(&it, sort, &mut dice, &mut left);
        it.areas.push(Area {
            id,
            name: format!("{} {number}", sort.name),
            system: sort.system,
            in_service: Some(PartialDate { year: 2004, month: Some(5), day: None }),
            setting: sort.setting.to_vec(),
            ceiling_max: Temperature::from_fahrenheit(sort.ceiling),
            height: Length::parse(sort.height).ok(),
            hazard: None,
            compartment: None,
            note: None,
            lines,
        });
    }
    it
}

/// The lines of one area; `left` says how many heads there may still be, and less after it.
fn lines(register: &Register, sort: &Sort, dice: &mut Dice, left: &mut usize) -> Vec<Line> {
    let named: Vec<KindIx> = sort.kinds.iter().filter_map(|k| register.kind_named(k)).collect();
    let Some(main) = named.first().copied() else { return Vec::new() };
    let count = dice.between(sort.lines.0, sort.lines.1);
    let places = dice.between(sort.places.0, sort.places.1);
    let mut lines = Vec::with_capacity(count);
    for _ in 0..count {
        let mut runs: Vec<Run> = Vec::new();
        let mut push = |kind: Option<KindIx>, from: u16| match runs.last_mut() {
            Some(run) if run.kind == kind => run.count += 1,
            _ => runs.push(Run { count: 1, kind, from }),
        };
        for place in 1..=u16::try_from(places).unwrap_or(u16::MAX) {
            if *left == 0 {
                break;
            }
            // A column or a stair takes a place now and then, but a line neither starts nor ends with it.
            if place > 1 && usize::from(place) < places && *left > 1 && dice.happens(60) {
                push(None, place);
                continue;
            }
            let odd = dice.happens(500);
            push(Some(if odd { dice.pick(&named).copied().unwrap_or(main) } else { main }), place);
            *left -= 1;
        }
        if !runs.is_empty() {
            lines.push(Line { runs });
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::Source;
    use crate::trade::{register_text, register_write};

    #[test]
    fn a_site_has_exactly_the_heads_asked_for_and_reads_back_as_written() {
        for (heads, seed) in [(0, 1), (1, 1), (7, 2), (500, 3), (12_345, 4)] {
            let register = register(heads, seed);
            assert_eq!(register.head_count(), heads);
            assert_eq!(register.kinds.len(), KINDS.len());
            let (again, complaints) = register_text::read(&Source::new("t", register_write::write(&register)));
            assert!(complaints.is_empty(), "{complaints:?}");
            assert_eq!(again, Some(register));
        }
    }

    #[test]
    fn the_same_seed_gives_the_same_site_and_another_seed_another() {
        assert_eq!(register(2000, 5), register(2000, 5));
        assert_ne!(register(2000, 5), register(2000, 6));
    }

    #[test]
    fn dice_follow_the_published_sequence() {
        // The first outputs of SplitMix64 that start from 1234567, as its reference implementations list them.
        let mut dice = Dice::new(1_234_567);
        assert_eq!(dice.bits(), 6_457_827_717_110_365_317);
        assert_eq!(dice.bits(), 3_203_168_211_198_807_973);
    }
}
