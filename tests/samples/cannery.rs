//! The cannery: two signed rounds and this year's, half walked.

use headround::round::entry::{Applied, Channel, Deed, How, UnreachedWhy, UnsureWhy, What};
use headround::trade::kind::{Element, Finish, Kind, Mount, Orientation, Response, Style};
use headround::trade::quantity::{KFactor, Length, PartialDate, Temperature};

use super::script::Script;
use super::{cabinets, lots};

pub const FITTERS: &str = "Saltpan Lane fitters";

pub fn script() -> Script {
    let mut it = Script::new(25);
    year_before(&mut it);
    let carried = last_year(&mut it);
    this_year(&mut it, &carried);
    it
}

/// Findings of last year that this year's entries speak of.
struct Carried {
    plate: headround::round::entry::Id,
    overspray: headround::round::entry::Id,
    frame: headround::round::entry::Id,
    faded: headround::round::entry::Id,
    fleck: headround::round::entry::Id,
    seat: headround::round::entry::Id,
}

fn year_before(it: &mut Script) {
    it.round("2024", "osk", "2024-11-19T07:50:00-05:00");
    it.begin(
        "Osk Brannagh-Fell",
        "PT-0097",
        "All heads and what is around them, from the floor. Not valves, pipes, pumps or supply.",
    );
    it.seen("office/1..5");
    it.unreached("void", UnreachedWhy::Concealed, None, None);
    it.seen("label/1..2 retort/1..5 boiler/1.1..2.2");
    let soot = it.saw("boiler/2.3 loading deflector light", |s| s.note = Some("loose soot".into()));
    it.seen("boiler/2.4..2.6 pack/1..6 loft/1..6 cold/1 cold/2.1..2.9");
    let hose = it.saw("cold/2.10 hung whole light", |s| s.note = Some("a wash-down hose over the pipe".into()));
    it.seen("cold/3..6 dock/1..3 canteen/1..2");
    it.comment(
        "The spare cabinets: 'held' counts every head that lies there, 'unfit' those of them that must not be used.",
    );
    cabinets::first_count(it);
    it.did("boiler/2.3", Deed::Cleaned, None, "boiler house crew");
    it.gone("boiler/2.3", soot);
    it.did("cold/2.10", Deed::Corrected, None, "cold store crew");
    it.gone("cold/2.10", hose);
    it.at("2024-11-19T15:40:00-05:00");
    it.signoff("Osk Brannagh-Fell", "PT-0097");
    it.comment("What the cabinets' books say until the next walk. 'from' takes one spare a head out of a cabinet.");
    it.comment("A lot is all heads that one sample stands for; here from the owner's papers.");
    lots::from_the_papers(it);
    cabinets::year_after_2024(it);
}

fn last_year(it: &mut Script) -> Carried {
    it.round("2025", "osk", "2025-11-18T07:45:00-05:00");
    it.begin(
        "Osk Brannagh-Fell",
        "PT-0097",
        "All heads and what is around them, from the floor. Not valves, pipes, pumps or supply.",
    );

    it.seen("office/1 office/2.1..2.3");
    let missing = it.saw("office/2.4 cover cover-plate full", |s| {
        s.note = Some("the plate lies on the cupboard below".into());
    });
    it.seen("office/2.5..2.8 office/3.1");
    let plate = it.saw("office/3.2 paint cover-plate heavy", |s| {
        s.applied = Some(Applied::Field);
        s.note = Some("ceiling repainted in the summer, plate rolled over".into());
    });
    it.seen("office/3.3..3.8 office/4 office/5");
    it.unreached("void", UnreachedWhy::Concealed, None, None);

    it.seen("label/1.1..1.2");
    let overspray = it.saw("label/1.3 paint whole light", |s| s.applied = Some(Applied::Field));
    it.seen("label/1.4..2.4");
    let frame = it.saw("label/2.5 paint frame trace", |s| s.applied = Some(Applied::Field));
    it.seen("label/2.6");

    it.at("2025-11-18T09:40:00-05:00");
    it.seen("retort/1.1..1.3");
    let faded = it.saw("retort/1.4 fluid-loss element trace", |s| {
        s.how = How::Binoculars;
        s.note = Some("green gone pale, bubble as in its neighbours".into());
    });
    it.seen("retort/1.5..3.5");
    let stain = it.saw("retort/3.6 leak seal trace", |s| s.note = Some("a brown run, dry today".into()));
    it.seen("retort/3.7..4.8 retort/5");
    it.note(Some("retort/5"), "Works safety manager told that this line is of ordinary heads under a hot ceiling.");
    it.seen("boiler/1 boiler/2");

    it.at("2025-11-18T13:10:00-05:00");
    it.seen("pack/1.1..1.6");
    let fleck = it.saw("pack/1.7 paint element trace", |s| {
        s.applied = Some(Applied::Field);
        s.note = Some("a fleck of ceiling white on the bulb".into());
    });
    it.seen("pack/1.8..1.16 pack/2.1..2.2");
    it.saw("pack/2.3 corrosion frame light", |_| {});
    it.seen("pack/2.4..2.16 pack/3 pack/4 pack/5.1..5.8");
    let seat = it.saw("pack/5.9 corrosion seal trace", |s| {
        s.how = How::Binoculars;
        s.note = Some("a green line round the seat".into());
    });
    it.seen("pack/5.10..6.13");
    it.unsure("pack/6.14", UnsureWhy::Hidden, How::Eye, "behind the conveyor's hood");
    it.seen("pack/6.15..6.16");

    it.at("2025-11-19T07:50:00-05:00");
    it.seen("loft/1..2 loft/3.1..3.4");
    let cartons = it.saw("loft/3.5 blocked deflector heavy", |s| {
        s.clearance = Length::parse("20 in").ok();
        s.note = Some("cartons stacked above the mark on the post".into());
    });
    it.seen("loft/3.6..3.12 loft/4..6 cold/1..3 cold/4.1..4.7");
    it.saw("cold/4.8 hung whole heavy", |s| s.note = Some("the evaporator's cable is tied to the head's pipe".into()));
    it.seen("cold/4.9..6.10 dock/1.1..1.8");
    let struck = it.saw("dock/1.9 damage deflector heavy", |s| s.note = Some("struck by a lift truck's mast".into()));
    it.seen("dock/1.10 dock/2.1..2.5");
    it.saw("dock/2.6 guard whole full", |_| {});
    it.seen("dock/2.7..3.8 canteen/1.1..1.2");
    it.saw("canteen/1.3 loading element light", |s| s.note = Some("a brown film above the range".into()));
    it.seen("canteen/1.4..2.6");

    it.comment("The second count. Whatever it finds, the books go on from it.");
    cabinets::second_count(it);
    it.comment("What was mended while the round was still open, and was looked at again.");
    it.at("2025-11-19T13:30:00-05:00");
    it.did("office/2.4", Deed::Corrected, None, "caretaker");
    it.gone("office/2.4", missing);
    it.replaced_from("retort/3.6", ("riser", "int-upright"), FITTERS);
    it.gone("retort/3.6", stain);
    it.did("loft/3.5", Deed::Corrected, None, "box loft crew");
    it.gone("loft/3.5", cartons);
    it.replaced_from("dock/1.9", ("dock", "dock-upright"), FITTERS);
    it.gone("dock/1.9", struck);
    cabinets::new_list(it);

    it.comment("The sign-off: its digest covers all lines of the round above, and the register.");
    it.at("2025-11-19T15:20:00-05:00");
    it.signoff("Osk Brannagh-Fell", "PT-0097");

    it.comment("After the sign-off the fitters said what they had done. Nobody has looked yet: these findings come along to the next round.");
    it.at("2026-01-14T16:05:00-05:00");
    it.new_kind(upright_25());
    it.did("pack/5.9", Deed::Replaced, Some("sr-upright-25"), FITTERS);
    it.did("label/1.3", Deed::Replaced, Some("qr-pendent-18"), FITTERS);
    it.replaced_from("canteen/1.3", ("riser", "int-pendent"), FITTERS);
    it.did("cold/4.8", Deed::Corrected, None, "refrigeration contractor");
    cabinets::year_after_2025(it);
    it.comment(
        "The dock's uprights: drawn by chance, taken down, sent and operated in the plunge oven. One was too late.",
    );
    lots::the_dock(it);
    Carried { plate, overspray, frame, faded, fleck, seat }
}

fn upright_25() -> Kind {
    Kind {
        id: "sr-upright-25".into(),
        orientation: Orientation::Upright,
        mount: Mount::Exposed,
        response: Response::Standard,
        style: Style::Spray,
        element: Element::Bulb,
        rating: Temperature::parse("155 F").expect("a rating"),
        k: KFactor::parse("5.6").expect("a K-factor"),
        finish: Finish::Polymer,
        made: PartialDate::parse("2025").ok(),
        number: None,
        dry: false,
        length: None,
        thread: None,
        guard: false,
        wrench: None,
        note: None,
    }
}

fn this_year(it: &mut Script, of: &Carried) {
    it.comment("This year's round, begun and not yet done.");
    it.round("2026", "ines", "2026-11-24T07:35:00-05:00");
    it.begin(
        "Ines Tidewell",
        "PT-0118",
        "All heads and what is around them, from the floor. Not valves, pipes, pumps or supply.",
    );

    it.seen("office/1.1 office/1.2 office/1.3 office/1.4 office/1.5");
    it.saw("office/1.6 cover cover-plate light", |s| s.note = Some("hangs by one tab".into()));
    it.seen("office/1.7..1.8 office/2 office/3.1");
    it.comment("'of' names the entry of last year that is answered: it is still there.");
    it.saw("office/3.2 paint cover-plate heavy", |s| {
        s.applied = Some(Applied::Field);
        s.of = Some(of.plate);
    });
    it.seen("office/3.3..3.8 office/4");
    it.comment("A head that the register did not hold: changes found in the field are entries too.");
    it.added("office/4.8", "rec-pendent", 7);
    it.seen("office/4.8");
    it.note(Some("office/4.8"), "New partition since last year, one head more. Owner to ask the designer about it.");
    it.unreached("office/5", UnreachedWhy::Locked, Some("personnel office"), Some("key back on Thursday"));
    it.unreached("void", UnreachedWhy::Concealed, None, None);

    it.at("2026-11-24T08:12:00-05:00");
    it.seen("label/1.1..1.2");
    it.comment("'gone': said to be mended, looked at again, and so it is.");
    it.gone("label/1.3", of.overspray);
    it.seen("label/1.4..2.1");
    it.saw("label/2.2 paint element trace", |s| {
        s.applied = Some(Applied::Field);
        s.how = How::Binoculars;
        s.note = Some("blue specks on the bulb, as on the pipe".into());
    });
    it.seen("label/2.3..2.4");
    it.saw("label/2.5 paint frame trace", |s| {
        s.applied = Some(Applied::Field);
        s.of = Some(of.frame);
    });
    it.seen("label/2.6");

    it.at("2026-11-24T08:31:00-05:00");
    it.seen("retort/1.1 retort/1.2 retort/1.3");
    it.comment("Worse than last year: the bulb that was pale is empty. An impairment, so somebody is told at once.");
    it.saw("retort/1.4 fluid-loss element full", |s| {
        s.how = How::Binoculars;
        s.of = Some(of.faded);
    });
    it.notice("retort/1.4", "Works safety manager", Channel::Phone, "fire watch in the retort room from 08:45");
    it.seen("retort/1.5..2.6");
    it.unsure("retort/2.7", UnsureWhy::Hidden, How::Binoculars, "steam from the second retort");
    it.seen("retort/2.8..4.8");
    it.saw("retort/5.1..5.8 wrong-rating whole full", |s| {
        s.note = Some("165 °F, frames uncoloured; the ceiling calls for intermediate".into());
    });

    it.at("2026-11-24T09:20:00-05:00");
    it.seen("boiler/1.1..1.3");
    it.saw("boiler/1.4 loading deflector light", |s| s.note = Some("loose soot".into()));
    it.seen("boiler/1.5..2.5");
    it.unsure("boiler/2.6", UnsureWhy::Light, How::Eye, "against the roof light");

    it.comment("The cabinet in the valve room: one head fewer than the books say, and one that must not be used.");
    it.at("2026-11-24T09:48:00-05:00");
    cabinets::third_count(it);

    it.at("2026-11-24T10:05:00-05:00");
    it.seen("pack/1.1 pack/1.2 pack/1.3 pack/1.4..1.6");
    it.saw("pack/1.7 paint element trace", |s| {
        s.applied = Some(Applied::Field);
        s.of = Some(of.fleck);
    });
    it.seen("pack/1.8 pack/1.9 pack/1.10");
    it.comment("A slip of the hand, taken back: nothing is ever struck out.");
    let slip = it.saw("pack/1.12 damage deflector light", |_| {});
    it.say(What::Retract(slip));
    it.saw("pack/1.11 damage deflector light", |s| s.note = Some("one tooth turned up".into()));
    it.seen("pack/1.12..1.16 pack/2.1..2.2 pack/2.4..2.8");
    it.saw("pack/2.9 corrosion seal trace", |s| s.doubtful = true);
    it.seen("pack/2.10..2.16 pack/3.1..3.7 pack/3.10");
    it.unsure("pack/3.11..3.12", UnsureWhy::TooFar, How::Binoculars, "above the hoist beam; lift on Thursday");
    it.seen("pack/3.13..3.16");

    it.comment(
        "A second inspector. About pack/2.9 the two do not agree: both entries stand until somebody settles it.",
    );
    it.round("2026", "osk", "2026-11-24T10:50:00-05:00");
    it.begin("Osk Brannagh-Fell", "PT-0097", "Packing hall, with Ines Tidewell.");
    it.saw("pack/2.9 corrosion frame trace", |s| {
        s.how = How::Lift;
        s.note = Some("the seat is bright; the arms are dull".into());
    });
    it.seen("pack/5.7..5.8");
    it.gone("pack/5.9", of.seat);
    it.by("ines");
    it.seen("pack/4.1..4.5");
    it.saw("pack/4.6 corrosion frame light", |_| {});
    it.saw("pack/4.7 corrosion deflector heavy", |s| s.note = Some("crust between the teeth".into()));
    it.note(None, "Stopped at line 4 of the packing hall: wash-down until one o'clock.");
    it.comment("Replaced at once, with a spare of the same type and a newer year: it is one fewer in the cabinet.");
    cabinets::after_the_count(it);
    it.comment("The next lot: its sample is drawn and still hangs.");
    lots::drawn_today(it);
}
