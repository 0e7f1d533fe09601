//! Tests of the rules room as a whole; each part's own small tests stand beside it.

mod calls;
mod compare;
mod editions;
mod extending;
mod findings;
mod grids;
mod hostile;
mod laws;
mod limits;
mod marks;
mod mutation;
mod mutation_ages;
mod mutation_spares;
mod other_sets;
mod reference_limits;
mod rows;
mod shown;
mod situations;
mod spares;
mod starter;

use std::sync::Arc;

use super::builtin;
use super::judge::Judge;
use super::model::RuleSet;
use crate::trade::address::AreaId;
use crate::trade::kind::{Element, Finish, Kind, Mount, Orientation, Response, Style};
use crate::trade::quantity::{KFactor, Temperature};
use crate::trade::register::{Area, System};

fn nfpa() -> Arc<RuleSet> {
    builtin::load("nfpa25-2023").expect("the built-in set is sound")
}

fn judge() -> Judge {
    Judge::new(nfpa(), &[])
}

fn kind() -> Kind {
    Kind {
        id: "qr-pendent".into(),
        orientation: Orientation::Pendent,
        mount: Mount::Exposed,
        response: Response::Quick,
        style: Style::Spray,
        element: Element::Bulb,
        rating: Temperature::parse("155 F").expect("a rating"),
        k: KFactor::parse("5.6").expect("a factor"),
        finish: Finish::Chrome,
        made: None,
        number: None,
        dry: false,
        length: None,
        thread: None,
        guard: false,
        wrench: None,
        note: None,
    }
}

fn area() -> Area {
    Area {
        id: AreaId::parse("pack").expect("an id"),
        name: "Packing hall".into(),
        system: System::Wet,
        in_service: None,
        setting: Vec::new(),
        ceiling_max: None,
        height: None,
        hazard: None,
        compartment: None,
        note: None,
        lines: Vec::new(),
    }
}
