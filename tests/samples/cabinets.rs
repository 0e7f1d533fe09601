//! The cannery's two cabinets of spare heads: counts, movements and lists of three years, between the walks.

use headround::round::entry::{List, Way};
use headround::trade::quantity::Temperature;

use super::cannery::FITTERS;
use super::script::Script;

/// What the riser's cabinet should hold, as its list has said since the count of 2025.
const LISTED: &str =
    "6 qr-pendent-24, 3 sr-upright-24, 2 int-upright, 2 int-pendent, 2 hi-upright, 2 conc-pendent, 2 rec-pendent";

/// The first count, in the round of 2024: there were no lists yet.
pub fn first_count(it: &mut Script) {
    it.counted(
        "riser",
        "4 qr-pendent, 2 sr-upright, 3 int-upright, 2 int-pendent, 2 hi-upright, 3 conc-pendent, 2 rec-pendent, 2 sr-pendent",
        "2 sr-upright",
        "the two uprights were installed once: thread tape on them",
    );
    it.checked("riser", "small large cup socket", "", |c| {
        c.list = Some(List::Missing);
        c.warmest = Temperature::parse("84 F").ok();
    });
    it.posted(
        "riser",
        "4 qr-pendent, 3 int-upright, 2 int-pendent, 2 hi-upright, 3 conc-pendent, 2 rec-pendent, 2 sr-pendent",
    );
    it.counted("dock", "2 esfr-pendent, 4 dock-upright, 1 dry-pendent-21", "", "");
    it.checked("dock", "small large dry", "", |c| {
        c.list = Some(List::Right);
        c.warmest = Temperature::parse("88 F").ok();
    });
}

/// What went in and out between the walks of 2024 and 2025.
pub fn year_after_2024(it: &mut Script) {
    it.at("2024-12-12T10:20:00-05:00");
    it.moved("riser 2 sr-upright", Way::Discarded, "had been installed");
    it.at("2025-03-11T14:40:00-04:00");
    it.replaced_from("dock/2.4", ("dock", "dock-upright"), FITTERS);
    it.at("2025-04-02T09:15:00-04:00");
    it.moved("riser 6 qr-pendent-24", Way::PutIn, "delivery");
    it.moved("riser 4 sr-upright-24", Way::PutIn, "delivery");
    it.moved("riser 4 qr-pendent", Way::Discarded, "caps lost");
    it.at("2025-06-23T11:05:00-04:00");
    it.replaced_from("pack/6.3", ("riser", "sr-upright-24"), FITTERS);
    it.at("2025-09-16T15:30:00-04:00");
    it.replaced_from("office/5.3", ("riser", "conc-pendent"), FITTERS);
}

/// The count of 2025: as the ledger had it.
pub fn second_count(it: &mut Script) {
    it.counted(
        "riser",
        "6 qr-pendent-24, 3 sr-upright-24, 3 int-upright, 2 int-pendent, 2 hi-upright, 2 conc-pendent, 2 rec-pendent, 2 sr-pendent",
        "",
        "",
    );
    it.checked("riser", "small large cup socket", "", |c| {
        c.list = Some(List::Wrong);
        c.warmest = Temperature::parse("86 F").ok();
    });
    it.counted("dock", "2 esfr-pendent, 3 dock-upright, 1 dry-pendent-21", "", "");
    it.checked("dock", "small large dry", "", |c| {
        c.list = Some(List::Right);
        c.warmest = Temperature::parse("90 F").ok();
    });
}

pub fn new_list(it: &mut Script) {
    it.posted("riser", LISTED);
}

/// What went in and out between the walks of 2025 and 2026.
pub fn year_after_2025(it: &mut Script) {
    it.at("2026-01-20T09:30:00-05:00");
    it.moved("dock 2 dock-upright", Way::PutIn, "delivery");
    it.at("2026-05-06T13:10:00-04:00");
    it.moved("riser 2 qr-pendent-24", Way::TakenOut, "lent to the boathouse");
    it.at("2026-05-28T08:50:00-04:00");
    it.moved("riser 2 qr-pendent-24", Way::PutIn, "brought back from the boathouse, capped");
    it.moved("riser 1 int-upright", Way::Discarded, "dropped on the floor");
}

/// The count of 2026, of the riser's cabinet alone: one head fewer than the ledger has, and of the kind that an impaired head
/// needs only one that must not be used.
pub fn third_count(it: &mut Script) {
    it.counted(
        "riser",
        "5 qr-pendent-24, 3 sr-upright-24, 1 int-upright, 1 int-pendent, 2 hi-upright, 2 conc-pendent, 2 rec-pendent, 2 sr-pendent",
        "1 int-upright",
        "nobody knows of the missing pendent; wall paint on the bulb of the upright",
    );
    it.checked("riser", "small large socket", "cup", |c| {
        c.list = Some(List::Wrong);
        c.warmest = Temperature::parse("86 F").ok();
    });
}

/// After the count a head is replaced with one of its spares.
pub fn after_the_count(it: &mut Script) {
    it.at("2026-11-24T11:25:00-05:00");
    it.replaced_from("pack/1.7", ("riser", "qr-pendent-24"), FITTERS);
}
