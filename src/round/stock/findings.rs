//! What is wrong with the cabinets, what nobody has looked at in this round, and what should be known about them.

use std::collections::{BTreeMap, HashSet};

use chrono::NaiveDate;

use super::finding::{CabinetFinding, Matter, Weight};
use super::ledger::{Ledger, Overdrawn, Shelf};
use super::lists;
use super::required::{Barred, Required, TypeRow, barred, installed_where};
use crate::round::entry::{Entry, List};
use crate::round::layout::HeadIx;
use crate::round::state::{EntryIx, State};
use crate::rules::duties::{Basis, CabinetDuty, CabinetMatter};
use crate::rules::facts::Recalled;
use crate::rules::model::Confidence;
use crate::trade::address::AreaId;
use crate::trade::quantity::PartialDate;
use crate::trade::register::{Cabinet, KindIx};

/// Published figures are rounded to the whole degree: 38 °C and 100 °F are one limit, and 101 °F is above it. In kelvin.
const SAME_LIMIT: f64 = 0.3;

struct Finder<'a> {
    state: &'a State,
    ledger: &'a Ledger,
    required: &'a Required,
    today: NaiveDate,
    out: Vec<CabinetFinding>,
}

/// Everything to be said of the cabinets, those of the whole site first, then cabinet by cabinet.
#[must_use]
pub fn findings(state: &State, ledger: &Ledger, required: &Required, today: NaiveDate) -> Vec<CabinetFinding> {
    let mut finder = Finder { state, ledger, required, today, out: Vec::new() };
    finder.site();
    for (shelf, cabinet) in ledger.shelves.iter().zip(&state.register().cabinets) {
        finder.shelf(shelf, cabinet);
    }
    finder.out
}

/// The wrenches that kinds installed where a cabinet serves ask for: the word that kinds name theirs by, and the kinds. The
/// empty word stands for the wrench of kinds that name none.
#[must_use]
pub fn wrenches_needed(state: &State, cabinet: &Cabinet) -> BTreeMap<String, Vec<KindIx>> {
    wrenches_for(state, &installed_where_served(state, cabinet))
}

fn wrenches_for(state: &State, installed: &BTreeMap<KindIx, u32>) -> BTreeMap<String, Vec<KindIx>> {
    let mut needed: BTreeMap<String, Vec<KindIx>> = BTreeMap::new();
    for ix in installed.keys() {
        let word = state.register().kind(*ix).and_then(|k| k.wrench.clone()).unwrap_or_default();
        needed.entry(word).or_default().push(*ix);
    }
    needed
}

/// Kinds installed in the areas that a cabinet serves, with how many heads.
fn installed_where_served(state: &State, cabinet: &Cabinet) -> BTreeMap<KindIx, u32> {
    let served = served(state, cabinet);
    installed_where(state, |area| served.get(usize::from(area)).copied().unwrap_or(false))
}

/// Whether a cabinet serves each area.
fn served(state: &State, cabinet: &Cabinet) -> Vec<bool> {
    let named: HashSet<&AreaId> = cabinet.serves.iter().collect();
    state.register().areas.iter().map(|a| named.is_empty() || named.contains(&a.id)).collect()
}

fn heads(n: u32) -> String {
    if n == 1 { "1 head".to_owned() } else { format!("{n} heads") }
}

impl Finder<'_> {
    fn duty(&self, matter: CabinetMatter) -> Option<&CabinetDuty> {
        self.state.judge().set().duties.cabinet.iter().find(|d| d.matter == matter)
    }

    fn basis(&self, matter: CabinetMatter) -> Option<Basis> {
        self.duty(matter).map(|d| d.basis.clone())
    }

    fn say(
        &mut self,
        it: (Option<&AreaId>, Matter, Weight),
        kind: Option<KindIx>,
        text: String,
        remedy: &str,
        basis: Option<Basis>,
    ) {
        let (clause, confidence) = basis.map_or((String::new(), Confidence::Practice), |b| (b.clause, b.confidence));
        self.out.push(CabinetFinding {
            cabinet: it.0.cloned(),
            matter: it.1,
            weight: it.2,
            kind,
            text,
            remedy: remedy.to_owned(),
            clause,
            confidence,
        });
    }

    fn site(&mut self) {
        let Some(ruling) = self.required.ruling() else { return };
        let basis = self.state.judge().set().duties.stock.iter().find(|r| r.id == ruling.id).map(|r| r.basis.clone());
        if self.ledger.shelves.is_empty() {
            let text = format!("no cabinet is in the register, and the rule set asks for {} spares", ruling.total);
            let remedy = "find the cabinet and add it, then count it; if there is none, that is the finding";
            return self.say((None, Matter::NoCabinet, Weight::Wrong), None, text, remedy, basis);
        }
        let nobody = self.ledger.shelves.iter().all(|s| s.holdings.is_empty());
        if nobody {
            let (total, installed) = (ruling.total, heads(self.required.installed));
            let text = format!("{installed} installed ask for {total} spares; how many are held is not known");
            self.say((None, Matter::Total, Weight::Open), None, text, "count first", basis.clone());
        } else if self.required.held < ruling.total {
            let (held, total, installed) = (self.required.held, ruling.total, self.required.installed);
            let text =
                format!("{held} of {total} spares that {} installed ask for ({})", heads(installed), ruling.title);
            self.say((None, Matter::Total, Weight::Wrong), None, text, "order what is missing", basis.clone());
        }
        let kinds = self.basis(CabinetMatter::Kinds).or(basis);
        for row in self.required.rows.iter().filter(|r| r.short() > 0 && !nobody) {
            let words = row.head_type.describe(self.state.register().site.units);
            let (weight, remedy) = if row.known {
                (Weight::Wrong, "order spares of this type")
            } else {
                (Weight::Open, "look for one; if there is none, order it")
            };
            let text = match (row.known, row.held) {
                (false, _) => format!("no count names a spare of {words}; {} installed", heads(row.installed)),
                (true, 0) => format!("no spare of {words} that may be used; {} installed", heads(row.installed)),
                (true, held) => format!("{held} of {} spares of {words}; {} installed", row.need, heads(row.installed)),
            };
            let kind = row.kinds.first().copied();
            self.say((None, Matter::Type, weight), kind, text, remedy, kinds.clone());
        }
        self.dry_lengths();
        self.threads();
        for area in &self.required.no_hazard {
            let text = format!("the hazard of area '{area}' is not in the register; the strictest reading was taken");
            self.say((None, Matter::Hazard, Weight::Open), None, text, "write 'hazard' into the register", None);
        }
        let served: Vec<Vec<bool>> = self.state.register().cabinets.iter().map(|c| served(self.state, c)).collect();
        for (at, area) in self.state.register().areas.iter().enumerate() {
            let served = served.iter().any(|areas| areas.get(at).copied().unwrap_or(false));
            if !served && self.has_heads(&area.id) {
                let text = format!("area '{}' is served by no cabinet", area.id);
                let place = self.basis(CabinetMatter::Place);
                self.say((None, Matter::Unserved, Weight::Wrong), None, text, "name a cabinet that serves it", place);
            }
        }
    }

    fn has_heads(&self, area: &AreaId) -> bool {
        let at = self.state.register().area_named(area.as_str()).and_then(|a| u16::try_from(a).ok());
        let there = |h: HeadIx| self.state.layout().head(h).is_some_and(|h| !h.removed);
        at.is_some_and(|at| crate::round::act::heads_in_order(self.state, at).any(there))
    }

    /// Installed kinds that are taken for a type whose thread only others of it bear.
    fn threads(&mut self) {
        let required = self.required;
        for row in required.rows.iter().filter(|r| r.installed > 0 && r.head_type.has_thread()) {
            let of = |ix: &KindIx| self.state.register().kind(*ix);
            let bare: Vec<&str> =
                row.kinds.iter().filter_map(of).filter(|k| k.thread.is_none()).map(|k| k.id.as_str()).collect();
            if !bare.is_empty() {
                let words = row.head_type.describe(self.state.register().site.units);
                let text = format!("the register names no thread for {}; taken for {words}", bare.join(", "));
                let remedy = "compare the threads before a spare goes in, and write 'thread' into the register";
                self.say((None, Matter::Thread, Weight::Open), row.kinds.first().copied(), text, remedy, None);
            }
        }
    }

    fn dry_lengths(&mut self) {
        let Some(how) = &self.state.register().site.dry_restored else { return };
        let missing: Vec<&TypeRow> = self.required.rows.iter().filter(|r| r.excused && r.held == 0).collect();
        if missing.is_empty() {
            return;
        }
        let how = crate::diag::plain(how);
        let text = format!(
            "{} types of dry head are not held; the register says how service is restored: {how}",
            missing.len()
        );
        let basis = self.basis(CabinetMatter::DryLengths);
        let remedy = "make sure that what the register names is there";
        self.say((None, Matter::DryLengths, Weight::Told), None, text, remedy, basis);
    }

    fn shelf(&mut self, shelf: &Shelf, cabinet: &Cabinet) {
        let here = installed_where_served(self.state, cabinet);
        self.spares(shelf);
        self.elsewhere(shelf, cabinet, &here);
        if shelf.counted.is_some() {
            self.left_out_of_the_count(shelf);
        } else {
            let last = shelf.holdings.values().filter_map(|h| h.counted).max().and_then(|ix| self.state.entry(ix));
            let text = match last {
                Some(e) => {
                    format!("not counted in this round; last on {} by {}", e.at.date_naive(), crate::diag::plain(&e.by))
                }
                None => "never counted".to_owned(),
            };
            self.say((Some(&cabinet.id), Matter::NotCounted, Weight::Open), None, text, "count it", None);
        }
        self.wrenches(shelf, cabinet, &here);
        self.list(shelf, cabinet);
        self.surroundings(shelf, cabinet);
        self.ledger_troubles(shelf);
    }

    /// Kinds that the ledger knows of and that this round's count does not name; what was first put in in this round was there
    /// to be seen.
    fn left_out_of_the_count(&mut self, shelf: &Shelf) {
        let left = shelf.not_counted(self.state).into_iter().filter_map(|kind| Some((kind, shelf.holding(kind)?)));
        let names: Vec<String> = left.map(|(kind, h)| format!("{} ({})", self.kind_name(kind), h.held)).collect();
        if !names.is_empty() {
            let text = format!("not named by this round's count, though the ledger has them: {}", names.join(", "));
            self.say((Some(&shelf.cabinet), Matter::NotCounted, Weight::Open), None, text, "count them", None);
        }
    }

    fn kind_name(&self, kind: KindIx) -> String {
        self.state.register().kind(kind).map_or_else(String::new, |k| k.id.clone())
    }

    fn spares(&mut self, shelf: &Shelf) {
        let at = Some(&shelf.cabinet);
        for (ix, holding) in &shelf.holdings {
            let Some(kind) = self.state.register().kind(*ix) else { continue };
            let n = u32::try_from(holding.held.max(0)).unwrap_or(u32::MAX);
            if n == 0 {
                continue;
            }
            let kinds = self.basis(CabinetMatter::Kinds);
            let (name, count) = (kind.id.clone(), heads(n));
            if self.required.row_of(*ix).is_none_or(|r| r.installed == 0) {
                let text = format!("{count} of {name}: nothing of this type is installed");
                let remedy = "take them out, lest one be put where it does not belong";
                self.say((at, Matter::NotInstalled, Weight::Wrong), Some(*ix), text, remedy, kinds.clone());
            }
            if holding.unfit > 0 {
                let text = format!("{} of {count} of {name} must not be used", holding.unfit);
                let remedy =
                    "discard them; a head that was installed, dropped, painted or stored without its cap is never used";
                self.say((at, Matter::Unfit, Weight::Wrong), Some(*ix), text, remedy, kinds);
            }
            match barred(self.state, kind, self.today) {
                Some(Barred::TooOld) => {
                    let made = kind.made.map_or_else(String::new, |m| format!(", made {m}"));
                    let basis = self.basis(CabinetMatter::OverAge);
                    self.say(
                        (at, Matter::TooOld, Weight::Wrong),
                        Some(*ix),
                        format!("{count} of {name}{made}: too old"),
                        "replace them by new ones",
                        basis,
                    );
                }
                Some(Barred::Recalled(how)) => {
                    let number = crate::diag::plain(kind.number.as_deref().unwrap_or_default());
                    let perhaps = if how == Recalled::Perhaps { "may be" } else { "is" };
                    let text = format!("{count} of {name}: number {number} {perhaps} recalled");
                    self.say(
                        (at, Matter::Recalled, Weight::Wrong),
                        Some(*ix),
                        text,
                        "do not use them; tell the owner in writing",
                        None,
                    );
                }
                None => self.age_unknown(at, *ix, kind.made, &name, &count),
            }
        }
    }

    fn age_unknown(&mut self, at: Option<&AreaId>, ix: KindIx, made: Option<PartialDate>, name: &str, count: &str) {
        if made.is_none()
            && let Some(duty) = self.duty(CabinetMatter::OverAge)
            && let Some(age) = duty.age
        {
            let basis = Some(duty.basis.clone());
            let text = format!("{count} of {name}: year made not known; after {age} spares are replaced");
            self.say(
                (at, Matter::AgeUnknown, Weight::Open),
                Some(ix),
                text,
                "read the year on the deflector or frame",
                basis,
            );
        }
    }

    /// Types that the site holds, but not in the cabinet that serves the heads. One cabinet alone has nothing elsewhere.
    fn elsewhere(&mut self, shelf: &Shelf, cabinet: &Cabinet, here: &BTreeMap<KindIx, u32>) {
        if self.ledger.shelves.len() < 2 {
            return;
        }
        let required = self.required;
        for row in required.rows.iter().filter(|r| r.held > 0 && r.need > 0) {
            let wanted = row.kinds.iter().any(|k| here.contains_key(k));
            let held = row.kinds.iter().filter_map(|k| shelf.holding(*k)).any(|h| h.fit() > 0);
            // Another cabinet that serves the same heads holds it as well as this one would.
            let served = self.ledger.shelves.iter().zip(&self.state.register().cabinets).any(|(other, of)| {
                let same =
                    cabinet.serves.iter().all(|a| of.serves(a)) && (!cabinet.serves.is_empty() || of.serves.is_empty());
                same && row.kinds.iter().filter_map(|k| other.holding(*k)).any(|h| h.fit() > 0)
            });
            if wanted && !held && !served {
                let words = row.head_type.describe(self.state.register().site.units);
                let text = format!(
                    "no spare of {words} here, though heads that it serves need it; another cabinet holds {}",
                    row.held
                );
                let basis = self.basis(CabinetMatter::Kinds);
                self.say(
                    (Some(&cabinet.id), Matter::Elsewhere, Weight::Told),
                    row.kinds.first().copied(),
                    text,
                    "share them out",
                    basis,
                );
            }
        }
    }

    /// Whether an entry was made in the present round.
    fn is_now(&self, ix: EntryIx) -> bool {
        let now = self.state.present_round().map(|r| &r.name);
        self.state.entry(ix).is_some_and(|e: &Entry| now == Some(&e.round))
    }

    fn wrenches(&mut self, shelf: &Shelf, cabinet: &Cabinet, here: &BTreeMap<KindIx, u32>) {
        let Some(basis) = self.basis(CabinetMatter::Wrench) else { return };
        for (word, kinds) in wrenches_for(self.state, here) {
            let names: Vec<String> = kinds.iter().map(|k| self.kind_name(*k)).collect();
            let wrench = if word.is_empty() {
                format!("the wrench for {} (the register names none)", names.join(", "))
            } else {
                format!("wrench '{}' for {}", crate::diag::plain(&word), names.join(", "))
            };
            let (weight, text, remedy) = match shelf.looked.wrenches.get(&word) {
                Some((true, ix)) if self.is_now(*ix) => continue,
                Some((false, _)) => {
                    (Weight::Wrong, format!("{wrench} is missing"), "put the fitting wrench into the cabinet")
                }
                _ => (Weight::Open, format!("nobody has looked for {wrench} in this round"), "look for it"),
            };
            self.say(
                (Some(&cabinet.id), Matter::Wrench, weight),
                kinds.first().copied(),
                text,
                remedy,
                Some(basis.clone()),
            );
        }
    }

    fn list(&mut self, shelf: &Shelf, cabinet: &Cabinet) {
        let Some(basis) = self.basis(CabinetMatter::List) else { return };
        let at = Some(&cabinet.id);
        let remedy = "print and post a new list";
        // A list posted after a look has mended what that found; posted in an earlier round, it has yet to be looked at.
        let found = match (shelf.looked.list, shelf.posted) {
            (Some((_, looked)), Some(posted)) if posted > looked => Err(posted),
            (None, Some(posted)) => Err(posted),
            (looked, _) => Ok(looked),
        };
        let trouble = match found {
            Err(ix) | Ok(Some((List::Right, ix))) if self.is_now(ix) => None,
            Ok(Some((List::Missing, _))) => Some((Weight::Wrong, "no list is posted", remedy)),
            Ok(Some((List::Wrong, _))) => Some((Weight::Wrong, "the posted list is not right", remedy)),
            _ => Some((
                Weight::Open,
                "nobody has looked at the posted list in this round",
                "compare it with what lies in the cabinet",
            )),
        };
        if let Some((weight, text, remedy)) = trouble {
            self.say((at, Matter::List, weight), None, text.to_owned(), remedy, Some(basis.clone()));
        }
        let kept = lists::kept(self.state, shelf);
        let differs: Vec<String> = kept
            .iter()
            .filter_map(|(kind, keep)| {
                // What stands below zero is told by itself, and wants a count.
                let held = Some(shelf.holding(*kind)?.held).filter(|held| *held >= 0)?;
                (held != i64::from(*keep)).then(|| format!("{} {keep}, held {held}", self.kind_name(*kind)))
            })
            .collect();
        let unlisted: Vec<String> = shelf
            .holdings
            .iter()
            .filter(|(kind, h)| h.held > 0 && !kept.is_empty() && !kept.iter().any(|(k, _)| k == *kind))
            .map(|(kind, h)| format!("{} not listed, held {}", self.kind_name(*kind), h.held))
            .collect();
        let all: Vec<String> = differs.into_iter().chain(unlisted).collect();
        if !all.is_empty() {
            let text = format!("the list and the ledger differ: {}", all.join("; "));
            self.say(
                (at, Matter::List, Weight::Wrong),
                None,
                text,
                "put into the cabinet what the list says, or post a list of what lies there",
                Some(basis),
            );
        }
    }

    fn surroundings(&mut self, shelf: &Shelf, cabinet: &Cabinet) {
        let at = Some(&cabinet.id);
        let units = self.state.register().site.units;
        if let Some(duty) = self.duty(CabinetMatter::Temperature)
            && let Some(most) = duty.at_most
        {
            let basis = Some(duty.basis.clone());
            match shelf.looked.warmest {
                Some((warmest, _)) if warmest.celsius() > most.celsius() + SAME_LIMIT => {
                    let text = format!("it gets {} where it hangs; at most {}", warmest.show(units), most.show(units));
                    self.say(
                        (at, Matter::Temperature, Weight::Wrong),
                        None,
                        text,
                        "hang it in a cooler place and ask what was stored too warm",
                        basis,
                    );
                }
                Some((_, ix)) if self.is_now(ix) => {}
                _ => {
                    let text = format!("nobody has said in this round how warm it gets; at most {}", most.show(units));
                    self.say((at, Matter::Temperature, Weight::Open), None, text, "read a thermometer, or ask", basis);
                }
            }
        }
        let matters = [
            (
                Matter::Dryness,
                None,
                shelf.looked.dry,
                "it is damp there",
                "nobody has said in this round whether it is dry there",
            ),
            (
                Matter::Place,
                self.basis(CabinetMatter::Place),
                shelf.looked.place,
                "it does not hang where it should",
                "nobody has said in this round whether it hangs where it should",
            ),
        ];
        for (matter, basis, looked, wrong, open) in matters {
            match looked {
                Some((true, ix)) if self.is_now(ix) => {}
                Some((false, _)) => {
                    self.say((at, matter, Weight::Wrong), None, wrong.to_owned(), "hang it elsewhere", basis)
                }
                _ => self.say((at, matter, Weight::Open), None, open.to_owned(), "look", basis),
            }
        }
    }

    fn ledger_troubles(&mut self, shelf: &Shelf) {
        let at = Some(&shelf.cabinet);
        let now: Vec<_> = shelf.differences.iter().filter(|d| self.is_now(d.entry)).collect();
        for it in now {
            let name = self.kind_name(it.kind);
            let (expected, counted) = (it.expected, it.counted);
            let by = expected - counted;
            let how = if by > 0 { format!("{by} fewer") } else { format!("{} more", -by) };
            let text = format!("{counted} of {name} counted, {how} than the ledger's {expected}");
            let remedy = "find out who took or brought them; the ledger goes on from the count";
            self.say((at, Matter::Difference, Weight::Wrong), Some(it.kind), text, remedy, None);
        }
        // What was overdrawn before the last count of that kind has been set right by it. Of several since then the last tells
        // how far it has come.
        let last: BTreeMap<KindIx, &Overdrawn> = shelf.overdrawn.iter().map(|it| (it.kind, it)).collect();
        for it in last.into_values() {
            if shelf.holding(it.kind).is_some_and(|h| h.counted.is_none_or(|c| c < it.entry)) {
                let text = format!(
                    "more of {} was taken than the ledger held: it stood at {}",
                    self.kind_name(it.kind),
                    it.held
                );
                self.say((at, Matter::Overdrawn, Weight::Wrong), Some(it.kind), text, "count the cabinet", None);
            }
        }
    }
}
