//! Putting entries about cabinets where the ledger finds them, and complaining about what the site does not bear out.

use std::collections::HashSet;
use std::sync::Arc;

use super::entry::{Deed, Entry, Id, MOST_SPARES, NewCabinet, What};
use super::state::{EntryIx, State};
use crate::diag::plain;
use crate::trade::address::AreaId;
use crate::trade::register::Cabinet;

/// What is said of a number that no cabinet holds.
const TOO_MANY: &str = "more than any cabinet holds (10000): left out of account";

impl State {
    /// Keeps an entry about a cabinet for the ledger, which leaves out what does not stand or names no cabinet or kind.
    pub(super) fn place_stock(&mut self, ix: EntryIx, entry: &Entry) {
        let mut wrong: Vec<String> = Vec::new();
        let (cabinet, kinds): (&AreaId, Vec<&str>) = match &entry.what {
            What::Counted(x) => {
                let held = |kind: &String| x.held.get(kind).copied().unwrap_or(0);
                let over = x.unfit.iter().filter(|(kind, unfit)| **unfit > held(kind)).take(3);
                let why = |(kind, n): (&String, &u32)| {
                    format!("of {} heads of '{}' {n} cannot be unfit", held(kind), plain(kind))
                };
                wrong.extend(over.map(why));
                let many = x.held.iter().filter(|(_, n)| **n > MOST_SPARES).take(3);
                wrong.extend(many.map(|(kind, n)| format!("{n} heads of '{}' are {TOO_MANY}", plain(kind))));
                if x.held.is_empty() {
                    wrong.push("it counts nothing: 'held' is empty".to_owned());
                }
                (&x.cabinet, x.held.keys().map(String::as_str).collect())
            }
            What::Moved(x) => {
                if x.n == 0 {
                    wrong.push("no spare was moved: 'n' is 0".to_owned());
                }
                if x.n > MOST_SPARES {
                    wrong.push(format!("{} heads are {TOO_MANY}", x.n));
                }
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
        wrong.extend(self.unknown_kinds(kinds));
        for why in wrong {
            self.problem(entry.id, why);
        }
        self.stock.push(ix);
    }

    /// A sentence about the kinds that the register does not hold, of however many.
    fn unknown_kinds(&self, named: Vec<&str>) -> Option<String> {
        let known: HashSet<&str> = self.register.kinds.iter().map(|k| k.id.as_str()).collect();
        let unknown: Vec<&str> = named.into_iter().filter(|k| !known.contains(k)).collect();
        let first = unknown.iter().take(3).map(|k| format!("'{}'", plain(k))).collect::<Vec<_>>().join(", ");
        match unknown.len() {
            0 => None,
            n @ 1..=3 => Some(format!("no kind{} called {first}", if n == 1 { " is" } else { "s are" })),
            n => Some(format!("no kinds are called {first} and {} more", n - 3)),
        }
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
