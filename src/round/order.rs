//! What to buy: spares for the heads that are ruled to be replaced and for cabinets that are short, worked out site by site
//! and put together by make-up. What cannot be seen from a record is never invented: a make-up is ordered as it is installed.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use serde::Serialize;

use super::entry::What;
use super::layout::HeadIx;
use super::rulings::judged;
use super::state::State;
use super::stock::{self, Condemned, Ledger, Required, TypeRow};
use super::story::{Answer, Fate};
use crate::diag::plain;
use crate::rules::facts::Recalled;
use crate::rules::model::Ruling;
use crate::trade::address::{Address, AreaId};
use crate::trade::kind::{Element, Kind};
use crate::trade::prices::{Found, MakeUp, Money, Part, Prices, Wanted};
use crate::trade::quantity::Units;
use crate::trade::register::KindIx;

/// What is wanted of an order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Scope {
    /// Heads to replace, parts, and what the cabinets lack afterwards.
    #[default]
    All,
    /// Heads to replace and parts alone; what the cabinet gives is not bought again.
    Condemned,
    /// What the cabinets lack as they are.
    Stock,
}

/// A head that waits for a spare or a part.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Waiting {
    /// Where it is.
    pub head: Address,
    /// Whether only an earlier round found it, and this one has not answered.
    pub not_looked_at: bool,
    /// Whether people disagree about it.
    pub disagreement: bool,
    /// The lot whose failed test condemns it, if one does.
    pub failed_lot: Option<AreaId>,
}

/// What one site needs of one make-up.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteLine {
    /// A head or a part of it.
    pub part: Part,
    /// The make-up.
    pub make_up: MakeUp,
    /// A kind of that make-up.
    pub kind: Kind,
    /// Identification numbers of the heads concerned, in order.
    pub numbers: Vec<String>,
    /// Those of them that are or may be recalled: they are not to be ordered.
    pub recalled: Vec<String>,
    /// Their heat elements.
    pub elements: BTreeSet<Element>,
    /// Heads that wait.
    pub waiting: Vec<Waiting>,
    /// Heads whose replacement is advised and not asked for; they are not counted.
    pub advised: Vec<Address>,
    /// How many of those that wait the cabinets can serve now.
    pub given: u32,
    /// How many the cabinets lack once they have given that.
    pub fill: u32,
}

impl SiteLine {
    /// How many wait.
    #[must_use]
    pub fn wanted(&self) -> u32 {
        u32::try_from(self.waiting.len()).unwrap_or(u32::MAX)
    }

    /// Whether it is heads of a type.
    fn is_of(&self, row: &TypeRow) -> bool {
        self.part == Part::Head && self.make_up.head_type == row.head_type
    }

    /// How many are to be bought.
    #[must_use]
    pub fn buy(&self) -> u32 {
        self.wanted().saturating_sub(self.given).saturating_add(self.fill)
    }
}

/// What one site needs.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteOrder {
    /// The identity of the site, by which copies of its file are known.
    pub id: String,
    /// The site's name.
    pub site: String,
    /// The file, as it was named.
    pub file: String,
    /// The site's unit system.
    pub units: Units,
    /// The round it was seen from.
    pub round: Option<String>,
    /// One a make-up, heads before parts, by rating and response.
    pub lines: Vec<SiteLine>,
    /// What must be known to read them, a sentence each.
    pub remarks: Vec<String>,
}

/// Works out what a site needs on a day.
#[must_use]
pub fn of_site(state: &State, file: &str, scope: Scope, today: NaiveDate) -> SiteOrder {
    let ledger = stock::ledger(state);
    let required = stock::required(state, &ledger, today);
    let condemned = if scope == Scope::Stock { Vec::new() } else { stock::condemned(state) };
    let mut installed: BTreeMap<KindIx, u32> = BTreeMap::new();
    for head in state.layout().heads.iter().filter(|h| !h.removed) {
        *installed.entry(head.kind).or_default() += 1;
    }
    let mut work = Work { state, required: &required, today, installed, lines: BTreeMap::new() };
    for it in &condemned {
        work.head(it);
    }
    let left: Vec<u32> = required.rows.iter().map(|row| work.give(row, &ledger)).collect();
    if scope != Scope::Condemned {
        work.fill(&left);
    }
    if scope != Scope::Stock {
        work.parts();
    }
    let lines: Vec<SiteLine> =
        work.lines.into_values().filter(|l| l.buy() > 0 || l.given > 0 || !l.advised.is_empty()).collect();
    SiteOrder {
        id: state.register().site.id.clone(),
        site: plain(&state.register().site.name),
        file: file.to_owned(),
        units: state.register().site.units,
        round: state.present_round().map(|r| plain(&r.name)),
        remarks: remarks(state, &ledger, &required, &lines, scope),
        lines,
    }
}

struct Work<'a> {
    state: &'a State,
    required: &'a Required,
    today: NaiveDate,
    installed: BTreeMap<KindIx, u32>,
    lines: BTreeMap<(Part, MakeUp), SiteLine>,
}

impl<'a> Work<'a> {
    fn line(&mut self, part: Part, (ix, kind): (KindIx, &Kind)) -> &mut SiteLine {
        let head_type = self.required.types.get(usize::from(ix.0)).cloned();
        let make_up = head_type.map_or_else(|| MakeUp::of(kind), |head_type| MakeUp { head_type, finish: kind.finish });
        let line = self.lines.entry((part, make_up.clone())).or_insert_with(|| SiteLine {
            part,
            make_up,
            kind: kind.clone(),
            numbers: Vec::new(),
            recalled: Vec::new(),
            elements: BTreeSet::new(),
            waiting: Vec::new(),
            advised: Vec::new(),
            given: 0,
            fill: 0,
        });
        line.elements.insert(kind.element);
        if let Some(number) = kind.number.as_deref().map(|n| plain(n.trim()).to_uppercase()).filter(|n| !n.is_empty())
            && let Err(at) = line.numbers.binary_search(&number)
        {
            line.numbers.insert(at, number.clone());
            if self.state.judge().recalled(kind) != Recalled::No {
                line.recalled.push(number);
                line.recalled.sort();
            }
        }
        line
    }

    fn head(&mut self, it: &Condemned) {
        let (kind, head) = (self.state.register().kind(it.kind), self.state.address(it.head));
        let (Some(kind), Some(head)) = (kind, head) else { return };
        let failed_lot = self.state.failure(it.head).and_then(|f| match &self.state.entry(f.lot)?.what {
            What::Lot(lot) => Some(lot.id.clone()),
            _ => None,
        });
        let line = self.line(Part::Head, (it.kind, kind));
        if it.is_advised() {
            line.advised.push(head);
        } else {
            line.waiting.push(Waiting { head, not_looked_at: it.before, disagreement: it.disagreement, failed_lot });
        }
    }

    /// Shares out what the cabinets hold of a type among its make-ups; what is left comes back.
    fn give(&mut self, row: &TypeRow, ledger: &Ledger) -> u32 {
        let mut left = row.held;
        for line in self.lines.values_mut().filter(|l| l.is_of(row)) {
            // Each finish from its own spares first.
            let own = row
                .kinds
                .iter()
                .filter(|ix| self.state.register().kind(**ix).is_some_and(|k| k.finish == line.make_up.finish));
            let own: u32 = own.map(|ix| stock::usable(self.state, ledger, *ix, self.today)).sum();
            line.given = line.wanted().min(own).min(left);
            left -= line.given;
        }
        // Then, as only the eye minds, from what is left of the others.
        for line in self.lines.values_mut().filter(|l| l.is_of(row)) {
            let more = line.wanted().saturating_sub(line.given).min(left);
            line.given += more;
            left -= more;
        }
        left
    }

    /// Adds what the cabinets lack of what should be kept, once so many of each type are left in them.
    fn fill(&mut self, left: &[u32]) {
        let required = self.required;
        for ((row, plan), left) in required.rows.iter().zip(required.plan_for(left)).zip(left) {
            let fill = plan.saturating_sub(*left);
            if fill > 0
                && let Some(kind) = self.most_installed(row)
            {
                self.line(Part::Head, kind).fill += fill;
            }
        }
    }

    /// The kind of a type that most heads installed are of; of equal ones the first.
    fn most_installed(&self, row: &TypeRow) -> Option<(KindIx, &'a Kind)> {
        let count = |ix: KindIx| self.installed.get(&ix).copied().unwrap_or(0);
        let ix = row.kinds.iter().copied().min_by_key(|ix| (std::cmp::Reverse(count(*ix)), *ix))?;
        Some((ix, self.state.register().kind(ix)?))
    }

    /// Escutcheons and cover plates that must be replaced.
    fn parts(&mut self) {
        let state = self.state;
        for area in 0..state.register().areas.len() {
            let area = u16::try_from(area).unwrap_or(u16::MAX);
            let spoken_of = |h: &HeadIx| state.heads.get(h.at()).is_some_and(|now| !now.marks.is_empty());
            for head in super::act::heads_in_order(state, area).filter(spoken_of) {
                let wanted = parts_wanted(state, head);
                let kind = state.layout().head(head).and_then(|h| Some((h.kind, state.register().kind(h.kind)?)));
                let (Some(kind), Some(address)) = (kind, state.address(head)) else { continue };
                for (part, not_looked_at) in wanted {
                    let disagreement = state.has_disagreement(head);
                    let waiting = Waiting { head: address.clone(), not_looked_at, disagreement, failed_lot: None };
                    self.line(part, kind).waiting.push(waiting);
                }
            }
        }
    }
}

/// The parts of a head that standing findings ask to correct, each with whether only an earlier round found it. What hangs loose is
/// put right, and not bought.
fn parts_wanted(state: &State, head: HeadIx) -> BTreeMap<Part, bool> {
    let story = state.story(head);
    let now = story.findings.iter().filter(|f| f.fate == Fate::Open).map(|f| (f.entry, false));
    let before =
        story.carried.iter().filter(|c| c.answer == Answer::Open && c.said_fixed.is_none()).map(|c| (c.last, true));
    let mut wanted: BTreeMap<Part, bool> = BTreeMap::new();
    for (entry, before) in now.chain(before) {
        let Some(What::Saw(saw)) = state.entry(entry).map(|e| &e.what) else { continue };
        let part = match saw.part.as_str() {
            "escutcheon" => Part::Escutcheon,
            "cover-plate" => Part::CoverPlate,
            _ => continue,
        };
        let loose = saw.sign == "cover" && saw.extent == "light";
        if !loose && judged(state, head, saw).is_some_and(|j| j.ruling == Ruling::Correct) {
            wanted.entry(part).and_modify(|b| *b &= before).or_insert(before);
        }
    }
    wanted
}

fn remarks(state: &State, ledger: &Ledger, required: &Required, lines: &[SiteLine], scope: Scope) -> Vec<String> {
    let mut out = Vec::new();
    if scope != Scope::Stock && state.present_round().is_none() {
        out.push("No round has begun: no head is condemned by it.".to_owned());
    }
    if scope != Scope::Condemned {
        match required.ruling() {
            None => out.push("The rule set asks for no spares here; the cabinet is not filled.".to_owned()),
            Some(reading) if reading.total > required.rows.iter().map(|r| r.need).sum() => {
                let words = "beyond the least of each type the split over types is the posted list's, else a proposal";
                out.push(format!("{} spares in all ({}); {words}.", reading.total, reading.title));
            }
            Some(_) => {}
        }
        if let Some(first) = required.no_hazard.first() {
            let more = required.no_hazard.len() - 1;
            let and = if more > 0 { format!(" and {more} more areas") } else { String::new() };
            out.push(format!(
                "The hazard of area '{first}'{and} is not in the register: the strictest reading was taken."
            ));
        }
    }
    for shelf in ledger.shelves.iter().filter(|s| s.holdings.is_empty()) {
        out.push(format!("Cabinet '{}' was never counted: it counts as empty.", shelf.cabinet));
    }
    if ledger.shelves.is_empty() {
        out.push("No cabinet is in the register: nothing is taken from one.".to_owned());
    }
    let mut failed: BTreeMap<&AreaId, usize> = BTreeMap::new();
    for lot in lines.iter().flat_map(|l| &l.waiting).filter_map(|w| w.failed_lot.as_ref()) {
        *failed.entry(lot).or_default() += 1;
    }
    for (lot, n) in failed {
        let wait = if n == 1 { "1 head waits" } else { &format!("{n} heads wait") };
        out.push(format!("Lot {lot} failed its test: {wait} because of it."));
    }
    if lines.iter().any(|l| !l.recalled.is_empty()) {
        out.push("Recalled numbers are among the heads: order none of those numbers, and ask their maker.".to_owned());
    }
    out
}

/// What one site needs of a line.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Share {
    /// The site's name.
    pub site: String,
    /// Its file.
    pub file: String,
    /// Heads that wait.
    pub condemned: u32,
    /// How many of them the cabinets can serve now.
    pub from_cabinet: u32,
    /// How many the cabinets lack then.
    pub to_fill: u32,
    /// How many are to be bought.
    pub to_buy: u32,
    /// Heads that wait, by address.
    pub heads: Vec<Waiting>,
    /// Heads whose replacement is advised and not asked for; they are not counted.
    pub advised: Vec<Address>,
}

/// What a line costs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Priced {
    /// Pieces in a pack.
    pub pack: u32,
    /// Packs to buy: whole ones.
    pub packs: u32,
    /// What a pack costs.
    pub price: Money,
    /// What they cost together.
    pub total: Money,
    /// The price file's note.
    pub note: Option<String>,
}

/// One make-up to buy.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OrderLine {
    /// A head or a part of it.
    pub part: Part,
    /// What it is, in one line.
    pub what: String,
    /// A kind of that make-up, whose year and number say nothing.
    #[serde(skip)]
    pub kind: Kind,
    /// Identification numbers of the heads concerned.
    pub numbers: Vec<String>,
    /// Those of them that are or may be recalled.
    pub recalled: Vec<String>,
    /// Heads that wait, at all sites.
    pub condemned: u32,
    /// How many of them cabinets can serve now.
    pub from_cabinet: u32,
    /// How many the cabinets lack then.
    pub to_fill: u32,
    /// How many are to be bought.
    pub to_buy: u32,
    /// Heads whose replacement is advised and not asked for; they are not counted.
    pub advised: u32,
    /// What it costs; `None`: no price file, no price, or two that fit equally well.
    pub cost: Option<Priced>,
    /// Why it has no price though a price file was given.
    pub no_price: Option<String>,
    /// Site by site.
    pub sites: Vec<Share>,
}

/// What to buy, for all sites together.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Order {
    /// The sites it was worked out for, in the order they were named.
    pub sites: Vec<SiteName>,
    /// One a make-up, heads before parts, by rating and response.
    pub lines: Vec<OrderLine>,
    /// The currency of prices.
    pub currency: Option<String>,
    /// What all lines cost that have a price.
    pub total: Option<Money>,
    /// How many lines with something to buy have none.
    pub without_price: usize,
    /// What must be known, by site and file.
    pub remarks: Vec<Remark>,
}

/// A site of an order.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SiteName {
    /// Its name.
    pub site: String,
    /// Its file.
    pub file: String,
    /// The round it was seen from; `None`: none has begun.
    pub round: Option<String>,
}

/// A remark on one site.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Remark {
    /// The site's name.
    pub site: String,
    /// Its file.
    pub file: String,
    /// One sentence.
    pub text: String,
}

/// Puts the orders of sites together. Temperatures and K-factors are told in the first site's units.
#[must_use]
pub fn together(sites: &[SiteOrder], prices: Option<&Prices>) -> Order {
    let units = sites.first().map_or(Units::Us, |s| s.units);
    let mut lines: BTreeMap<(Part, MakeUp), Vec<(&SiteOrder, &SiteLine)>> = BTreeMap::new();
    for site in sites {
        for line in &site.lines {
            lines.entry((line.part, line.make_up.clone())).or_default().push((site, line));
        }
    }
    let lines: Vec<OrderLine> = lines.into_values().filter_map(|parts| merged(&parts, prices, units)).collect();
    let priced = lines.iter().filter_map(|l| l.cost.as_ref());
    let total = prices.map(|_| priced.fold(Money::default(), |sum, c| sum.plus(c.total)));
    let remarks = sites.iter().flat_map(|s| {
        let of = |text: &String| Remark { site: s.site.clone(), file: s.file.clone(), text: text.clone() };
        s.remarks.iter().map(of)
    });
    Order {
        sites: sites
            .iter()
            .map(|s| SiteName { site: s.site.clone(), file: s.file.clone(), round: s.round.clone() })
            .collect(),
        currency: prices.map(|p| p.currency.clone()),
        total,
        without_price: lines.iter().filter(|l| l.to_buy > 0 && l.cost.is_none()).count(),
        remarks: remarks.collect(),
        lines,
    }
}

fn merged(parts: &[(&SiteOrder, &SiteLine)], prices: Option<&Prices>, units: Units) -> Option<OrderLine> {
    let (_, first) = parts.first()?;
    let gather = |of: fn(&SiteLine) -> &Vec<String>| -> Vec<String> {
        let all: BTreeSet<&String> = parts.iter().flat_map(|(_, l)| of(l)).collect();
        all.into_iter().cloned().collect()
    };
    let sum = |of: fn(&SiteLine) -> u32| parts.iter().fold(0u32, |sum, (_, l)| sum.saturating_add(of(l)));
    let numbers = gather(|l| &l.numbers);
    let to_buy = sum(SiteLine::buy);
    let recalled = gather(|l| &l.recalled);
    let sound: Vec<String> = numbers.iter().filter(|n| !recalled.contains(n)).cloned().collect();
    let elements: BTreeSet<Element> = parts.iter().flat_map(|(_, l)| l.elements.iter().copied()).collect();
    let elements: Vec<Element> = elements.into_iter().collect();
    let wanted = Wanted { part: first.part, kind: &first.kind, numbers: &sound, elements: &elements };
    let found = prices.map(|p| p.find(wanted));
    let (cost, no_price) = match found {
        Some(Found::One(price)) => {
            let packs = to_buy.div_ceil(price.pack);
            let total = price.price.times(u64::from(packs));
            let note = price.note.as_deref().map(plain);
            (Some(Priced { pack: price.pack, packs, price: price.price, total, note }), None)
        }
        Some(Found::Two(a, b)) => {
            (None, Some(format!("the prices in lines {} and {} both fit; say more in one of them", a.line, b.line)))
        }
        Some(Found::None) => (None, Some("the price file has no price for it".to_owned())),
        None => (None, None),
    };
    Some(OrderLine {
        part: first.part,
        what: what(first.part, &first.make_up, units),
        kind: first.kind.clone(),
        recalled,
        condemned: sum(SiteLine::wanted),
        from_cabinet: sum(|l| l.given),
        to_fill: sum(|l| l.fill),
        to_buy,
        advised: sum(|l| u32::try_from(l.advised.len()).unwrap_or(u32::MAX)),
        cost,
        no_price,
        sites: parts.iter().map(|(site, line)| share(site, line)).collect(),
        numbers,
    })
}

fn share(site: &SiteOrder, line: &SiteLine) -> Share {
    Share {
        site: site.site.clone(),
        file: site.file.clone(),
        condemned: line.wanted(),
        from_cabinet: line.given,
        to_fill: line.fill,
        to_buy: line.buy(),
        heads: line.waiting.clone(),
        advised: line.advised.clone(),
    }
}

/// What is ordered in one line: `pendent, quick, 155 °F, K5.6, chrome`.
fn what(part: Part, make_up: &MakeUp, units: Units) -> String {
    let mut words = make_up.head_type.describe(units);
    if !make_up.finish.resists_corrosion() {
        words.push_str(&format!(", {}", make_up.finish));
    }
    match part {
        Part::Head => words,
        Part::Escutcheon => format!("escutcheon for {words}"),
        Part::CoverPlate => format!("cover plate for {words}"),
    }
}

#[cfg(test)]
mod tests;
