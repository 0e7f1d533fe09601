//! Putting entries where the heads they speak of find them, and complaining about what the site does not bear out.

use std::sync::Arc;

use super::counts::Counts;
use super::entry::{Added, Entry, Id, NewArea, Saw, What};
use super::layout::HeadIx;
use super::state::{EntryIx, HeadNow, MAX_OF_A_HEAD, MAX_OF_RANGES, Problem, State};
use crate::trade::address::Heads;
use crate::trade::register::Area;
use crate::trade::register_text::{MAX_HEADS, parse_line};

impl State {
    /// Puts an entry where the heads it speaks of find it. Structure is changed only by entries that stand.
    pub(super) fn place(&mut self, ix: EntryIx, entry: &Entry) {
        if let Some(now) = self.in_view(entry) {
            let person = self.person_bit(&entry.by);
            self.place_known(ix, entry, now, person);
        }
    }

    /// The same of an entry whose round is in view, and known to be the present one or not, as is its writer's bit.
    pub(super) fn place_known(&mut self, ix: EntryIx, entry: &Entry, now: bool, person: u64) {
        let (id, stands) = (entry.id, self.stands(ix));
        if now && matches!(entry.what, What::Notice(_)) {
            self.notices.push(ix);
        }
        match &entry.what {
            What::Begin(_) | What::Signoff(_) | What::Retract(_) => {}
            What::Seen(heads) => {
                if now {
                    self.place_seen(ix, id, heads, person);
                }
            }
            What::NewKind(kind) => {
                if stands && self.register.kind_named(&kind.id).is_some() {
                    self.problem(id, format!("a kind named '{}' exists already", kind.id));
                } else if stands {
                    Arc::make_mut(&mut self.register).kinds.push((**kind).clone());
                }
            }
            What::NewArea(new) => {
                if stands {
                    self.place_area(id, new);
                }
            }
            What::NewCabinet(new) => {
                if stands {
                    self.place_cabinet(id, new);
                }
            }
            What::Lot(_) | What::Drawn(_) | What::Custody(_) | What::Tested(_) | What::Concluded(_) => {
                self.place_lots(ix, entry);
            }
            What::Counted(_) | What::Moved(_) | What::Checked(_) | What::Posted(_) => self.place_stock(ix, entry),
            What::Added(new) => {
                if stands {
                    self.place_added(id, new);
                }
                if let Some(head) = self.layout.find(&new.head) {
                    self.mark(head, ix);
                }
            }
            what => {
                let named = match what {
                    What::IsKind(x) => Some(&x.kind),
                    What::Did(x) => x.kind.as_ref(),
                    _ => None,
                };
                if let Some(named) = named.filter(|n| self.register.kind_named(n).is_none()) {
                    self.problem(id, format!("no kind is called '{}'", crate::diag::plain(named)));
                }
                if let What::Saw(saw) = what {
                    self.check_words(id, saw);
                }
                let mut marked = false;
                if let Some(heads) = entry.heads() {
                    let touched = self.touched(&heads);
                    if touched.is_empty() {
                        self.problem(id, format!("'{heads}' is not in the register"));
                    }
                    marked = self.mark_all(&touched, ix, id, &heads);
                }
                // What is left out of account for the heads takes no spares either.
                if marked && matches!(what, What::Did(did) if did.from.is_some()) {
                    self.place_stock(ix, entry);
                }
            }
        }
    }

    /// Complains where the rule set does not know what was seen.
    pub(super) fn check_words(&mut self, id: Id, saw: &Saw) {
        if self.sighting(saw).is_none() {
            self.problems.push(Problem { entry: id, why: self.undecided(saw), words: true });
        }
    }

    /// Marks the heads an entry speaks of, within the bounds of what an honest file holds; `false`: it is left out of account.
    pub(super) fn mark_all(&mut self, touched: &[HeadIx], ix: EntryIx, id: Id, heads: &Heads) -> bool {
        if touched.len() > 1 {
            if self.ranged + touched.len() > MAX_OF_RANGES {
                let most = format!("entries over several heads name more than {MAX_OF_RANGES} in all");
                self.problem(id, format!("it is left out of account: {most}"));
                return false;
            }
            self.ranged += touched.len();
        }
        let mut full = false;
        for head in touched {
            match self.heads.get_mut(head.at()) {
                Some(now) if now.marks.len() < MAX_OF_A_HEAD => now.marks.push(ix),
                _ => full = true,
            }
        }
        if full {
            let why = format!("more than {MAX_OF_A_HEAD} entries speak of '{heads}': this one is left out of account");
            self.problem(id, why);
        }
        true
    }

    /// A settlement must name an entry made before it about the same head; another decides nothing.
    pub(super) fn check_settlement(&mut self, earlier: &[Entry], entry: &Entry) {
        let What::Settle(settle) = &entry.what else { return };
        let named = earlier.binary_search_by_key(&settle.stands, |e| e.id).ok().and_then(|at| earlier.get(at));
        if !named.and_then(Entry::heads).is_some_and(|said| said.covers(&settle.head)) {
            let why = format!("it settles for {}, which is no earlier entry about '{}'", settle.stands, settle.head);
            self.problem(entry.id, why);
        }
    }

    pub(super) fn place_seen(&mut self, ix: EntryIx, id: Id, heads: &Heads, person: u64) {
        let stands = self.stands(ix);
        let mut any = false;
        let now = &mut self.heads;
        let area = self.layout.area(&heads.area);
        if let Some(area) = area {
            self.layout.each_in(area, heads, |head| {
                any = true;
                if let Some(now) = now.get_mut(head.at()).filter(|_| stands) {
                    now.seen = ix;
                    now.seen_by |= person;
                }
            });
        }
        match area.and_then(|a| self.seen_in.get_mut(usize::from(a))) {
            Some(list) if any => list.push(ix),
            _ => self.problem(id, format!("'{heads}' is not in the register")),
        }
    }

    pub(super) fn place_area(&mut self, id: Id, new: &NewArea) {
        let kinds = &self.register.kinds;
        let mut lines = Vec::new();
        for text in &new.lines {
            match parse_line(text, |name| kinds.iter().position(|k| k.id == name)) {
                Ok(line) => lines.push(line),
                Err((_, why)) => return self.problem(id, why),
            }
        }
        let area = Area {
            id: new.id.clone(),
            name: new.name.clone(),
            system: new.system,
            in_service: new.in_service,
            setting: new.setting.clone(),
            ceiling_max: new.ceiling_max,
            height: None,
            hazard: None,
            compartment: None,
            note: None,
            lines,
        };
        if self.register.head_count() + area.place_count() > MAX_HEADS {
            return self.problem(id, format!("with area '{}' the site would hold more than {MAX_HEADS} heads", new.id));
        }
        if self.register.area_named(new.id.as_str()).is_some()
            || Arc::make_mut(&mut self.layout).add_area(&area).is_none()
        {
            return self.problem(id, format!("an area named '{}' exists already", new.id));
        }
        Arc::make_mut(&mut self.register).areas.push(area);
        self.heads.resize_with(self.layout.heads.len(), HeadNow::default);
        self.seen_in.push(Vec::new());
        self.counts.push(Counts::default());
    }

    pub(super) fn place_added(&mut self, id: Id, new: &Added) {
        let Some(kind) = self.register.kind_named(&new.kind) else {
            return self.problem(id, format!("no kind is called '{}'", crate::diag::plain(&new.kind)));
        };
        let Some(area) = self.layout.area(&new.head.area) else {
            return self.problem(id, format!("no area is called '{}'", new.head.area));
        };
        match Arc::make_mut(&mut self.layout).add_head(area, new.head.spot, kind, new.after) {
            Ok(_) => self.heads.resize_with(self.layout.heads.len(), HeadNow::default),
            Err(why) => self.problem(id, format!("'{}' cannot be added: {why}", new.head)),
        }
    }

    pub(super) fn mark(&mut self, head: HeadIx, ix: EntryIx) {
        if let Some(now) = self.heads.get_mut(head.at()) {
            now.marks.push(ix);
        }
    }
}
