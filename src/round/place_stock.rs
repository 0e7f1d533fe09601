//! Putting entries about cabinets where the ledger finds them, and complaining about what the site does not bear out.

use std::sync::Arc;

use super::entry::{Deed, Entry, Id, NewCabinet, What};
use super::state::{EntryIx, State};
use crate::diag::plain;
use crate::trade::address::AreaId;
use crate::trade::register::Cabinet;

impl State {
    /// Keeps an entry about a cabinet for the ledger, which leaves out what does not stand or names no cabinet or kind.
    pub(super) fn place_stock(&mut self, ix: EntryIx, entry: &Entry) {
        let mut wrong: Vec<String> = Vec::new();
        let (cabinet, kinds): (&AreaId, Vec<&str>) = match &entry.what {
            What::Counted(x) => {
                for (kind, unfit) in &x.unfit {
                    let held = x.held.get(kind).copied().unwrap_or(0);
                    if *unfit > held {
                        wrong.push(format!("of {held} heads of '{}' {unfit} cannot be unfit", plain(kind)));
                    }
                }
                (&x.cabinet, x.held.keys().map(String::as_str).collect())
            }
            What::Moved(x) => {
                if let Some(heads) = x.head.as_ref().filter(|h| self.touched(h).is_empty()) {
                    wrong.push(format!("'{heads}' is not in the register"));
                }
                (&x.cabinet, vec![&x.kind])
            }
            What::Checked(x) => (&x.cabinet, Vec::new()),
            What::Posted(x) => (&x.cabinet, x.keep.keys().map(String::as_str).collect()),
            // That its kind is not in the register is told where the head's make-up is worked out.
            What::Did(x) => {
                let Some(from) = &x.from else { return };
                if x.did != Deed::Replaced || x.kind.is_none() {
                    wrong.push("a spare is taken 'from' a cabinet by 'replaced' with its 'kind'".to_owned());
                }
                (from, Vec::new())
            }
            _ => return,
        };
        if self.register.cabinet_named(cabinet.as_str()).is_none() {
            wrong.push(format!("no cabinet is called '{cabinet}'"));
        }
        let unknown = kinds.into_iter().filter(|k| self.register.kind_named(k).is_none());
        wrong.extend(unknown.map(|k| format!("no kind is called '{}'", plain(k))));
        for why in wrong {
            self.problem(entry.id, why);
        }
        self.stock.push(ix);
    }

    /// Adds a cabinet found in the field.
    pub(super) fn place_cabinet(&mut self, id: Id, new: &NewCabinet) {
        if self.register.cabinet_named(new.id.as_str()).is_some() {
            return self.problem(id, format!("a cabinet named '{}' exists already", new.id));
        }
        for area in &new.serves {
            if self.register.area_named(area.as_str()).is_none() {
                self.problem(id, format!("no area is called '{area}'"));
            }
        }
        Arc::make_mut(&mut self.register).cabinets.push(Cabinet {
            id: new.id.clone(),
            name: new.name.clone(),
            place: new.place.clone(),
            serves: new.serves.clone(),
            keep: Vec::new(),
        });
    }
}
