//! An invented site of a given size, for trials and benches. The same size gives the same site.

use crate::trade::address::AreaId;
use crate::trade::kind::{Element, Finish, Kind, Mount, Orientation, Response, Style};
use crate::trade::quantity::{KFactor, PartialDate, Temperature};
use crate::trade::register::{Area, KindIx, Line, Register, Run, Setting, System};

/// Heads of one area at most.
const PER_AREA: u32 = 400;
/// Heads of one line at most.
const PER_LINE: u32 = 20;

/// Kinds: name, orientation, mount, response, style, element, rating, K-factor, finish, year.
type Row = (&'static str, Orientation, Mount, Response, Style, Element, &'static str, &'static str, Finish, &'static str);

const KINDS: [Row; 5] = [
    ("qr-pendent", Orientation::Pendent, Mount::Exposed, Response::Quick, Style::Spray, Element::Bulb, "155 F", "5.6", Finish::Chrome, "2009"),
    ("old-upright", Orientation::Upright, Mount::Exposed, Response::Standard, Style::Spray, Element::Link, "165 F", "5.6", Finish::Brass, "1974"),
    ("int-upright", Orientation::Upright, Mount::Exposed, Response::Standard, Style::Spray, Element::Link, "200 F", "8.0", Finish::Brass, "1998"),
    ("flat-concealed", Orientation::Pendent, Mount::Concealed, Response::Quick, Style::Spray, Element::Bulb, "155 F", "5.6", Finish::White, "2016"),
    ("wall-quick", Orientation::Sidewall, Mount::Exposed, Response::Quick, Style::Spray, Element::Bulb, "200 F", "5.6", Finish::Chrome, "2012"),
];

/// Areas: name, setting.
const AREAS: [(&str, &[Setting]); 6] = [
    ("Packing hall", &[Setting::Damp, Setting::Salt]),
    ("Store", &[Setting::Storage]),
    ("Workshop", &[Setting::Dust]),
    ("Offices", &[]),
    ("Boiler house", &[Setting::Heat]),
    ("Corridor", &[]),
];

/// Fills a register with invented kinds and with areas that hold `heads` heads together.
pub fn fill(register: &mut Register, heads: u32) {
    register.kinds = KINDS.iter().filter_map(kind).collect();
    let mut left = heads;
    let mut number: u32 = 0;
    while left > 0 {
        let here = left.min(PER_AREA);
        left -= here;
        if let Some(area) = area(number, here) {
            register.areas.push(area);
        }
        number += 1;
    }
}

fn kind(row: &Row) -> Option<Kind> {
    let (id, orientation, mount, response, style, element, rating, k, finish, made) = *row;
    Some(Kind {
        id: id.to_owned(),
        orientation,
        mount,
        response,
        style,
        element,
        rating: Temperature::parse(rating).ok()?,
        k: KFactor::parse(k).ok()?,
        finish,
        made: PartialDate::parse(made).ok(),
        number: None,
        dry: false,
        length: None,
        thread: None,
        guard: false,
        note: None,
    })
}

fn area(number: u32, heads: u32) -> Option<Area> {
    let (name, setting) = *AREAS.iter().cycle().nth(usize::try_from(number).ok()? % AREAS.len())?;
    let mut lines = Vec::new();
    let mut left = heads;
    while left > 0 {
        let here = left.min(PER_LINE);
        left -= here;
        lines.push(line(number, u32::try_from(lines.len()).ok()?, u16::try_from(here).ok()?));
    }
    Some(Area {
        id: AreaId::parse(&format!("a{}", number + 1)).ok()?,
        name: format!("{name} {}", number + 1),
        system: System::Wet,
        in_service: PartialDate::parse("2009-05").ok(),
        setting: setting.to_vec(),
        ceiling_max: Temperature::parse("100 F").ok(),
        height: None,
        compartment: None,
        note: None,
        lines,
    })
}

/// Most of a line is of the area's kind; now and then another kind hangs in it.
fn line(area: u32, number: u32, heads: u16) -> Line {
    let usual = KindIx(u16::try_from(area % 5).unwrap_or(0));
    let other = KindIx(u16::try_from((area + number) % 5).unwrap_or(0));
    let run = |count, kind, from| Run { count, kind: Some(kind), from };
    if other == usual || heads < 8 {
        return Line { runs: vec![run(heads, usual, 1)] };
    }
    let before = u16::try_from(number % 4).unwrap_or(0) + 2;
    Line { runs: vec![run(before, usual, 1), run(1, other, before + 1), run(heads - before - 1, usual, before + 2)] }
}
