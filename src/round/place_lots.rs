//! Putting entries about lots where they are found again, and complaining about what the site does not bear out.

use std::collections::HashSet;

use super::entry::{Deed, Drawn, DrawnBy, Entry, MOST_OF_A_LOT, NewLot, What};
use super::lots::lot_of;
use super::state::{EntryIx, MAX_OF_RANGES, State};
use crate::diag::plain;
use crate::trade::address::{Address, AreaId};

impl State {
    /// Keeps an entry about a lot; what does not stand, or names no lot, is left out of account when lots are worked out.
    pub(super) fn place_lots(&mut self, ix: EntryIx, entry: &Entry) {
        let mut wrong: Vec<String> = Vec::new();
        match &entry.what {
            What::Lot(new) => self.check_lot(ix, new, &mut wrong),
            What::Drawn(drawn) => self.check_drawn(drawn, &mut wrong),
            What::Tested(tested) if self.layout.find(&tested.head).is_none() => {
                wrong.push(format!("'{}' is not in the register", tested.head));
            }
            What::Tested(tested) if !self.is_drawn(&tested.lot, &tested.head) => {
                wrong.push(format!("'{}' was not drawn for lot '{}': draw it by hand first", tested.head, tested.lot));
            }
            _ => {}
        }
        if let Some(lot) = lot_of(&entry.what).filter(|lot| !self.is_formed(lot)) {
            wrong = vec![format!("no lot is called '{lot}'")];
        }
        for why in wrong {
            self.problem(entry.id, why);
        }
        if self.ranged <= MAX_OF_RANGES || !matches!(entry.what, What::Lot(_)) {
            self.lots.push(ix);
        }
    }

    fn check_lot(&mut self, ix: EntryIx, new: &NewLot, wrong: &mut Vec<String>) {
        if !self.stands(ix) {
            return;
        }
        if self.is_formed(&new.id) {
            wrong.push(format!("a lot named '{}' exists already", new.id));
            return;
        }
        if new.heads.len() > MOST_OF_A_LOT {
            wrong.push(format!("it names {} stretches; only the first {MOST_OF_A_LOT} count", new.heads.len()));
        }
        let mut none = 0;
        for heads in new.heads.iter().take(MOST_OF_A_LOT) {
            let touched = self.touched(heads).len();
            self.ranged += touched;
            if touched == 0 && none < 3 {
                none += 1;
                wrong.push(format!("'{heads}' is not in the register"));
            }
            if self.ranged > MAX_OF_RANGES {
                let most = format!("entries over several heads name more than {MAX_OF_RANGES} in all");
                wrong.push(format!("it is left out of account: {most}"));
                return;
            }
        }
        self.formed.insert(new.id.clone(), HashSet::new());
    }

    fn check_drawn(&mut self, drawn: &Drawn, wrong: &mut Vec<String>) {
        if drawn.way == DrawnBy::Random && drawn.seed.is_none() {
            wrong.push("it says chance chose and names no seed, so that nobody can draw it again".to_owned());
        }
        if drawn.picks.len() > MOST_OF_A_LOT {
            wrong.push(format!("it names {} heads; only the first {MOST_OF_A_LOT} count", drawn.picks.len()));
        }
        for pick in drawn.picks.iter().take(MOST_OF_A_LOT) {
            if wrong.len() >= 3 {
                break;
            }
            if self.layout.find(&pick.head).is_none() {
                wrong.push(format!("'{}' is not in the register", pick.head));
            } else if self.register.kind_named(&pick.kind).is_none() {
                wrong.push(format!("no kind is called '{}'", plain(&pick.kind)));
            }
        }
        if let Some(known) = self.formed.get_mut(&drawn.lot) {
            known.extend(drawn.picks.iter().take(MOST_OF_A_LOT).map(|p| p.head.clone()));
        }
    }

    /// Whether an entry that came before forms a lot of this name.
    fn is_formed(&self, lot: &AreaId) -> bool {
        self.formed.contains_key(lot)
    }

    /// Whether an entry that came before draws this head for this lot.
    fn is_drawn(&self, lot: &AreaId, head: &Address) -> bool {
        self.formed.get(lot).is_some_and(|drawn| drawn.contains(head))
    }
}

/// Whether an entry is about lots, so that which heads are condemned may change with it.
pub(super) const fn is_about_lots(what: &What) -> bool {
    match what {
        What::Lot(_) | What::Drawn(_) | What::Custody(_) | What::Tested(_) | What::Concluded(_) => true,
        What::Did(did) => matches!(did.did, Deed::Replaced),
        _ => false,
    }
}
