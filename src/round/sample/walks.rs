//! Walks of an invented site: an earlier signed round and a half-walked present one, entry by entry as people make them.

use std::collections::HashMap;
use std::sync::Arc;

use chrono::{DateTime, Days, Duration, FixedOffset, NaiveTime, Timelike as _};

use super::Dice;
use crate::round::entry::{
    Applied, Begin, Channel, Deed, Did, Entry, Gone, How, Id, Note, Notice, Saw, Signoff, Unreached, UnreachedWhy,
    Unsure, UnsureWhy, What,
};
use crate::trade::address::{Address, AreaId, Heads, Spot};
use crate::trade::kind::{Element, Kind, Mount};
use crate::trade::quantity::Length;
use crate::trade::register::{Area, Register, Setting};

/// Exactly `n` entries about a site (of a site without heads at most one), in id order. At most half of them are the earlier round `2025`, which `sign` may sign
/// once it is complete (it is given that round's entries; the digest over their lines is not this room's business); the
/// rest is the present round `2026`, broken off wherever `n` is reached, and gone over by a second person where `n`
/// leaves room for it. Where `n` is too small for a complete round, there is only the present one. Each entry is linked
/// to its writer's previous one.
#[must_use]
pub fn entries(
    register: &Register,
    n: usize,
    seed: u64,
    sign: &mut dyn FnMut(&[Entry]) -> Option<Signoff>,
) -> Vec<Entry> {
    let heads = register.head_count();
    let areas = register.areas.len();
    let mut walk = Walk::new(register, seed, n);
    let half = n / 2;
    // Findings in ten thousand heads; fewer where the entries would not suffice for them.
    let often = (half * 1250).checked_div(heads).unwrap_or(0).min(300);
    if half > 3 * areas + 3 {
        let room = (half - 2 * areas).saturating_sub(heads * often * 2 / 10_000).max(1);
        let group = heads.div_ceil(room);
        walk.start("2025", "osk", "Osk Brannagh-Fell", "PT-0097", "2025-11-17T07:40:00-05:00");
        let plan = Plan { often, group, second: false };
        for area in &register.areas {
            walk.area(register, area, &plan);
        }
        walk.settle_open();
        if let Some(signoff) = sign(&walk.out) {
            let id = walk.say(What::Signoff(Box::new(signoff)));
            walk.late_repairs(id);
        }
        walk.carry();
    }
    let left = n.saturating_sub(walk.out.len());
    let group = (heads / 2).div_ceil(left.max(1)).max(1);
    walk.start("2026", "ines", "Ines Tidewell", "PT-0118", "2026-11-23T07:55:00-05:00");
    let mut second = false;
    while walk.out.len() < n && areas > 0 {
        for area in &register.areas {
            if walk.out.len() >= n {
                break;
            }
            walk.area(register, area, &Plan { often, group, second });
        }
        second = true;
        walk.by = Arc::from("osk");
    }
    walk.out.truncate(n);
    walk.out
}

/// How an area is walked.
struct Plan {
    /// Findings in ten thousand heads.
    often: usize,
    /// Heads that one `seen` takes in.
    group: usize,
    /// Whether somebody walked it in this round already.
    second: bool,
}

/// A finding that is open.
struct Open {
    id: Id,
    saw: Saw,
    kind: Option<String>,
}

struct Walk {
    dice: Dice,
    rules: String,
    now: DateTime<FixedOffset>,
    by: Arc<str>,
    round: Arc<str>,
    last: Option<Id>,
    last_by: HashMap<Arc<str>, Id>,
    /// Open findings of this round, in order.
    open: Vec<Open>,
    /// Open findings of the earlier round, by head.
    carried: HashMap<Address, Vec<Open>>,
    out: Vec<Entry>,
}

impl Walk {
    fn new(register: &Register, seed: u64, n: usize) -> Self {
        Self {
            dice: Dice::new(seed ^ 0x77a1),
            rules: register.site.rules.clone(),
            now: DateTime::default(),
            by: Arc::from(""),
            round: Arc::from(""),
            last: None,
            last_by: HashMap::new(),
            open: Vec::new(),
            carried: HashMap::new(),
            out: Vec::with_capacity(n),
        }
    }

    fn start(&mut self, round: &str, by: &str, inspector: &str, licence: &str, at: &str) {
        self.round = Arc::from(round);
        self.by = Arc::from(by);
        let at = DateTime::parse_from_rfc3339(at).unwrap_or_default();
        self.now = at.max(next_morning(self.now));
        self.say(What::Begin(Box::new(Begin {
            date: self.now.date_naive(),
            inspector: inspector.to_owned(),
            licence: licence.to_owned(),
            purpose: "annual inspection".to_owned(),
            scope: String::new(),
            rules: Some(self.rules.clone()),
        })));
    }

    /// Records one entry some seconds after the last one; nobody works at night.
    fn say(&mut self, what: What) -> Id {
        let millis = self.dice.between(2_000, 14_000);
        self.now += Duration::milliseconds(i64::try_from(millis).unwrap_or(0));
        if self.now.hour() >= 17 {
            self.now = next_morning(self.now);
        }
        let unix = u64::try_from(self.now.timestamp_millis()).unwrap_or(0);
        let chance = u128::from(self.dice.bits()) << 16 | u128::from(self.dice.bits() & 0xffff);
        let id = Id::after(self.last, unix, chance);
        self.last = Some(id);
        let mut entry = Entry {
            id,
            // Files hold whole seconds.
            at: self.now.with_nanosecond(0).unwrap_or(self.now),
            by: Arc::clone(&self.by),
            round: Arc::clone(&self.round),
            what,
            marks: None,
        };
        if let Some(prev) = self.last_by.insert(Arc::clone(&self.by), id) {
            entry.mark(|m| m.prev = Some(prev));
        }
        self.out.push(entry);
        id
    }

    fn area(&mut self, register: &Register, area: &Area, plan: &Plan) {
        let whole = Heads::area(&area.id);
        if area.setting.contains(&Setting::Concealed) {
            self.unreached(whole, UnreachedWhy::Concealed, None);
            return;
        }
        if !plan.second && self.carried.is_empty() && self.dice.happens(200) {
            self.unreached(whole, UnreachedWhy::Locked, Some("night supervisor"));
            return;
        }
        let mut run: Option<(Spot, Spot, usize)> = None;
        let mut impaired = None;
        for (number, line) in area.lines.iter().enumerate() {
            let number = u16::try_from(number + 1).unwrap_or(u16::MAX);
            for part in &line.runs {
                let Some(kind) = part.kind.and_then(|k| register.kind(k)) else { continue };
                for place in part.from..part.from.saturating_add(part.count) {
                    let spot = Spot { line: number, place };
                    let address = Address { area: area.id.clone(), spot };
                    if self.is_plain(&address, plan) {
                        run = Some(run.map_or((spot, spot, 1), |(from, _, n)| (from, spot, n + 1)));
                        if run.is_some_and(|(_, _, n)| n >= plan.group) {
                            self.seen(&area.id, run.take());
                        }
                        continue;
                    }
                    self.seen(&area.id, run.take());
                    impaired = self.remark(area, kind, &address).or(impaired);
                }
            }
        }
        self.seen(&area.id, run);
        if let Some(head) = impaired {
            self.say(What::Notice(Box::new(Notice {
                told: "Owner's representative".to_owned(),
                how: Channel::Phone,
                head: Some(head),
                note: None,
            })));
        }
    }

    /// Whether there is nothing to remark on a head.
    fn is_plain(&mut self, address: &Address, plan: &Plan) -> bool {
        if plan.second {
            return true;
        }
        let remark = self.dice.happens(plan.often);
        !remark && !self.carried.contains_key(address)
    }

    fn seen(&mut self, area: &AreaId, run: Option<(Spot, Spot, usize)>) {
        if let Some((from, to, _)) = run {
            self.say(What::Seen(Heads::range(area, from, to)));
        }
    }

    fn unreached(&mut self, heads: Heads, why: UnreachedWhy, denied_by: Option<&str>) {
        let denied_by = denied_by.map(str::to_owned);
        self.say(What::Unreached(Box::new(Unreached { heads, why, denied_by, note: None })));
    }

    /// Something is to be said of a head; it comes back where that is an impairment.
    fn remark(&mut self, area: &Area, kind: &Kind, address: &Address) -> Option<Heads> {
        let head = Heads::single(address);
        if let Some(list) = self.carried.remove(address) {
            self.answer(list);
            return None;
        }
        match self.dice.between(1, 20) {
            1 => {
                let why = *self.dice.pick(&[UnsureWhy::TooFar, UnsureWhy::Hidden, UnsureWhy::Light])?;
                self.say(What::Unsure(Box::new(Unsure { head, why, how: How::Binoculars, note: None })));
                None
            }
            2 => {
                self.say(What::Seen(head.clone()));
                let text = "a bird's nest on the pipe beside it".to_owned();
                self.say(What::Note(Box::new(Note { head: Some(head), text })));
                None
            }
            3 => {
                let wrong = self.dice.pick(&signs(area, kind)).and_then(|s| s.saw(&head));
                let id = wrong.map(|saw| self.say(What::Saw(Box::new(saw))));
                if let Some(id) = id {
                    self.say(What::Retract(id));
                }
                self.say(What::Seen(head));
                None
            }
            _ => {
                let list = signs(area, kind);
                let sign = self.dice.pick(&list)?;
                let saw = sign.saw(&head)?;
                let id = self.say(What::Saw(Box::new(saw.clone())));
                self.open.push(Open { id, saw, kind: Some(kind.id.clone()) });
                sign.impairs.then_some(head)
            }
        }
    }

    /// Answers findings of the earlier round on one head.
    fn answer(&mut self, list: Vec<Open>) {
        for open in list {
            let head = open.saw.head.clone();
            if self.dice.happens(4_000) {
                self.say(What::Gone(Box::new(Gone { head, of: open.id, note: None })));
            } else {
                self.say(What::Saw(Box::new(Saw { of: Some(open.id), note: None, ..open.saw })));
            }
        }
    }

    /// At the end of a round some findings are mended and looked at again.
    fn settle_open(&mut self) {
        let open = std::mem::take(&mut self.open);
        for it in open {
            if self.dice.happens(2_500) {
                let head = it.saw.head.clone();
                self.repair(&it, None);
                self.say(What::Gone(Box::new(Gone { head, of: it.id, note: None })));
            } else {
                self.open.push(it);
            }
        }
    }

    fn repair(&mut self, it: &Open, after: Option<Id>) {
        let replaced = matches!(it.saw.sign.as_str(), "damage" | "paint" | "corrosion" | "leak" | "fluid-loss");
        let did = match it.saw.sign.as_str() {
            _ if replaced => Deed::Replaced,
            "loading" => Deed::Cleaned,
            _ => Deed::Corrected,
        };
        self.say(What::Did(Box::new(Did {
            head: it.saw.head.clone(),
            did,
            kind: it.kind.clone().filter(|_| replaced),
            from: None,
            who: Some("fitters".to_owned()),
            note: None,
        })));
        if let Some(entry) = self.out.last_mut().filter(|_| after.is_some()) {
            entry.mark(|m| m.after = after);
        }
    }

    /// After the sign-off the fitters report what they have done.
    fn late_repairs(&mut self, signoff: Id) {
        self.now = next_morning(self.now);
        let open = std::mem::take(&mut self.open);
        for it in &open {
            if self.dice.happens(3_000) {
                self.repair(it, Some(signoff));
            }
        }
        self.open = open;
    }

    fn carry(&mut self) {
        for open in std::mem::take(&mut self.open) {
            if let Some(spot) = open.saw.head.one() {
                self.carried.entry(spot).or_default().push(open);
            }
        }
    }
}

/// Half past seven of the next day.
fn next_morning(now: DateTime<FixedOffset>) -> DateTime<FixedOffset> {
    let morning = NaiveTime::from_hms_opt(7, 30, 0).unwrap_or_default();
    let day = now.date_naive().checked_add_days(Days::new(1)).unwrap_or_else(|| now.date_naive());
    day.and_time(morning).and_local_timezone(*now.offset()).single().unwrap_or(now)
}

/// Something that may be seen: sign, part and extent in the words of the built-in rule set.
struct Sighting {
    sign: &'static str,
    part: &'static str,
    extent: &'static str,
    applied: Option<Applied>,
    clearance: Option<&'static str>,
    impairs: bool,
}

impl Sighting {
    const fn new(sign: &'static str, part: &'static str, extent: &'static str) -> Self {
        Self { sign, part, extent, applied: None, clearance: None, impairs: false }
    }

    fn saw(&self, head: &Heads) -> Option<Saw> {
        Some(Saw {
            head: head.clone(),
            sign: self.sign.to_owned(),
            part: self.part.to_owned(),
            extent: self.extent.to_owned(),
            applied: self.applied,
            how: How::Eye,
            doubtful: false,
            clearance: match self.clearance {
                Some(text) => Some(Length::parse(text).ok()?),
                None => None,
            },
            of: None,
            note: None,
        })
    }
}

/// What may be seen on such a head in such surroundings.
fn signs(area: &Area, kind: &Kind) -> Vec<Sighting> {
    let new = Sighting::new;
    let mut list =
        vec![new("loading", "frame", "trace"), new("hung", "whole", "light"), new("turned", "whole", "light")];
    for setting in &area.setting {
        match setting {
            Setting::Damp | Setting::Salt | Setting::Outdoors | Setting::Corrosive => {
                list.push(new("corrosion", "frame", "light"));
                list.push(new("corrosion", "seal", "trace"));
                list.push(new("corrosion", "deflector", "heavy"));
            }
            Setting::Overspray => {
                for (part, extent) in [("element", "trace"), ("frame", "light")] {
                    list.push(Sighting { applied: Some(Applied::Field), ..new("paint", part, extent) });
                }
            }
            Setting::Dust => list.push(new("loading", "deflector", "light")),
            Setting::Grease => list.push(new("loading", "element", "light")),
            Setting::Storage => {
                list.push(Sighting { clearance: Some("12 in"), ..new("blocked", "deflector", "heavy") });
            }
            Setting::Impact => list.push(new("damage", "deflector", "light")),
            Setting::Freezing => list.push(new("leak", "seal", "trace")),
            _ => {}
        }
    }
    if kind.mount == Mount::Concealed {
        list.push(new("cover", "cover-plate", "full"));
        list.push(Sighting { applied: Some(Applied::Field), ..new("paint", "cover-plate", "heavy") });
    }
    if kind.mount == Mount::Recessed {
        list.push(new("cover", "escutcheon", "light"));
    }
    if kind.guard {
        list.push(new("guard", "whole", "full"));
    }
    if kind.element == Element::Bulb {
        list.push(Sighting { impairs: true, ..new("fluid-loss", "element", "full") });
    }
    list
}

#[cfg(test)]
mod tests {
    use super::super::register;
    use super::*;
    use crate::round::act;
    use crate::round::entry::Names;
    use crate::round::state::State;
    use crate::rules::builtin;
    use crate::rules::judge::Judge;

    fn signed(_: &[Entry]) -> Option<Signoff> {
        Some(Signoff {
            name: "Osk Brannagh-Fell".into(),
            licence: "PT-0097".into(),
            date: "2025-11-20".parse().unwrap(),
            digest: format!("sha256:{}", "0".repeat(64)),
            lines: 1,
            note: None,
        })
    }

    fn state(register: &Register, entries: Vec<Entry>) -> State {
        let judge = Judge::new(builtin::load("nfpa25-2023").expect("sound"), &register.recalled);
        State::fold(register.clone(), entries, judge, None)
    }

    #[test]
    fn there_are_exactly_as_many_entries_as_asked_for_in_id_order() {
        for (heads, n) in [(0, 5), (1, 1), (300, 12), (300, 600), (300, 5_000), (2_000, 700)] {
            let register = register(heads, 9);
            let list = entries(&register, n, 9, &mut signed);
            assert_eq!(list.len(), if heads == 0 { 1 } else { n }, "{heads} {n}");
            assert!(list.is_sorted_by(|a, b| a.id < b.id));
        }
    }

    #[test]
    fn every_entry_reads_back_and_fits_the_site_and_every_finding_is_decided() {
        let register = register(1_500, 11);
        let list = entries(&register, 3_000, 11, &mut signed);
        for entry in &list {
            assert_eq!(Entry::from_json(&entry.to_json(), &mut Names::default()).as_ref(), Ok(entry));
        }
        let state = state(&register, list);
        assert_eq!(state.problems(), []);
        for entry in state.entries() {
            if let What::Saw(saw) = &entry.what {
                assert!(state.sighting(saw).is_some(), "{saw:?}");
            }
        }
        let counts = state.counts();
        assert!(counts.seen > 1_000 && counts.unreached > 0, "{counts:?}");
        assert!(state.ruled().count() > 10 && state.impaired().count() > 0);
        assert_eq!(state.rounds().len(), 2);
    }

    #[test]
    fn the_earlier_round_is_complete_when_it_is_signed() {
        let register = register(1_500, 12);
        let mut asked = 0;
        let _ = entries(&register, 3_000, 12, &mut |round| {
            asked += 1;
            let obstacles = act::obstacles(&state(&register, round.to_vec()));
            assert!(obstacles.is_clear(), "{obstacles:?}");
            signed(round)
        });
        assert_eq!(asked, 1);
    }
}
