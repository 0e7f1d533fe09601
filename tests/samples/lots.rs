//! The cannery's lots: one that a laboratory passed in 2021 and that is due again, one that a late head condemned, one just drawn.

use headround::bench::judge::WaterSeal;
use headround::round::entry::{Condition, Deed, Readings, Step};
use headround::trade::measure::{Pressure, Seconds, Speed};
use headround::trade::quantity::Temperature;

use super::cannery::FITTERS;
use super::script::Script;

/// The bench that the samples go to, and who works at it.
const BENCH: &str = "bench of the technical school, Port Tarrow";

/// Written down in the round of 2024 from the owner's papers.
pub fn from_the_papers(it: &mut Script) {
    it.at("2024-12-02T09:05:00-05:00");
    it.lot("roof", "Links under the old roof, 1996", "pack/4..6", "harsh-place", Some("2001-10-01"));
    it.concluded("roof", "2021-09", true, &format!("{BENCH}, report 21-118"), 4);
}

/// The dock's guarded uprights: drawn and taken down in October 2026, tested in November. One opened too late.
pub fn the_dock(it: &mut Script) {
    it.at("2026-10-06T10:12:00-04:00");
    it.lot(
        "dock",
        "Guarded uprights of the dock, 2003",
        "dock/1.1..1.8 dock/1.10 dock/2.1..2.3 dock/2.5..2.10",
        "corrosion-resistant",
        Some("2013-08-01"),
    );
    let picks = ["dock/2.2", "dock/1.5", "dock/2.9", "dock/1.4"];
    it.drawn("dock", 61006, (17, 4), "dock-upright", &picks);
    it.at("2026-10-14T08:20:00-04:00");
    for head in picks {
        it.did(head, Deed::Replaced, Some("dock-upright-26"), FITTERS);
    }
    it.custody("dock", Step::Packed, "", FITTERS);
    it.at("2026-10-15T14:40:00-04:00");
    it.custody("dock", Step::HandedOver, BENCH, FITTERS);
    it.by("tam");
    it.at("2026-10-19T09:00:00-04:00");
    it.custody("dock", Step::Received, BENCH, "");
    it.at("2026-11-12T10:05:00-05:00");
    let seconds = |s: f64| Seconds::new(s);
    let of = |element: f64, clear: f64, before: Condition| Readings {
        bench: Some(BENCH.to_owned()),
        before: Some(before),
        oven: Temperature::parse("135 C").ok(),
        air: Speed::parse("2.54 m/s").ok(),
        start: Temperature::parse("21 C").ok(),
        pressure: Pressure::parse("7 psi").ok(),
        element: seconds(element),
        clear: seconds(clear),
        until: seconds(300.0),
        seal: Some(WaterSeal::Free),
        lodged: Some(false),
        ..Readings::default()
    };
    it.tested("dock", picks[0], of(61.2, 61.6, Condition::Clean));
    it.tested("dock", picks[1], of(74.8, 75.9, Condition::Corroded));
    let cemented = Readings {
        seal: Some(WaterSeal::Stuck),
        note: Some("salt had cemented the cap to the seat".to_owned()),
        ..of(70.4, 204.5, Condition::Corroded)
    };
    it.tested("dock", picks[2], cemented);
    it.tested("dock", picks[3], of(66.0, 66.7, Condition::Clean));
    it.by("osk");
}

/// The quick bulbs of the packing hall, drawn when lines 1 to 3 had been walked.
pub fn drawn_today(it: &mut Script) {
    it.at("2026-11-24T11:48:00-05:00");
    it.lot(
        "pack-quick",
        "Quick bulbs of the packing hall",
        "pack/1.1..1.6 pack/1.8..3.16",
        "harsh-place",
        Some("2014-01-01"),
    );
    let picks = ["pack/2.10=qr-pendent-18", "pack/1.10", "pack/3.14", "pack/3.4"];
    it.drawn("pack-quick", 2411, (40, 4), "qr-pendent", &picks);
}
