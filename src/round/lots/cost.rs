//! What it costs to test a lot or to replace it, and what one failure adds, from a price file of the user's own. Where a price
//! is not known the sum says so, and for what.

use std::collections::BTreeMap;

use serde::Serialize;

use super::{Lot, Proposal, Way};
use crate::diag::plain;
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::rules::facts::Recalled;
use crate::trade::prices::{Found, Money, Part, Prices, Wanted};
use crate::trade::register::KindIx;

/// A sum, and what is missing in it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Bill {
    /// All that has a price together, in the price file's currency.
    pub total: Money,
    /// What has none, in words, each once.
    pub unknown: Vec<String>,
}

impl Bill {
    /// Whether every price in it is known.
    #[must_use]
    pub const fn is_whole(&self) -> bool {
        self.unknown.is_empty()
    }

    /// In words: `USD 312.40`, or `at least USD 120.00 (price not known for …)`.
    #[must_use]
    pub fn words(&self, currency: &str) -> String {
        if self.is_whole() {
            return format!("{currency} {}", self.total);
        }
        let missing = format!("price not known for {}", self.unknown.join("; "));
        if self.total == Money::default() { missing } else { format!("at least {currency} {} ({missing})", self.total) }
    }

    fn add(&mut self, other: &Self) {
        self.total = self.total.plus(other.total);
        self.miss(&other.unknown);
    }

    fn miss(&mut self, what: &[String]) {
        for one in what {
            if !self.unknown.contains(one) {
                self.unknown.push(one.clone());
            }
        }
    }

    fn pay(&mut self, price: &Result<Money, String>) {
        match price {
            Ok(money) => self.total = self.total.plus(*money),
            Err(what) => self.miss(std::slice::from_ref(what)),
        }
    }
}

/// What one lot costs, either way.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Costs {
    /// How many heads the sample is taken to hold.
    pub sample: usize,
    /// Testing: for each head of the sample a new one, its test, and the swap. Before the draw, the dearest sample that can be
    /// drawn, every kind in it.
    pub test: Bill,
    /// Replacing every head of the lot untested.
    pub replace: Bill,
    /// What one failure adds to the cost of testing: every other head of the lot is replaced too.
    pub failure: Bill,
    /// How many heads that replaces.
    pub condemned: usize,
    /// Whether the sample would be no smaller than the lot: then it is replaced, and nothing is tested.
    pub all: bool,
}

impl Costs {
    /// What is spent if nothing fails.
    #[must_use]
    pub const fn spent(&self) -> &Bill {
        if self.all { &self.replace } else { &self.test }
    }
}

/// What one way to draw the lots costs.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct WayCosts {
    /// If nothing fails: all lots tested; those whose sample is no smaller than the lot replaced.
    pub spent: Bill,
    /// Replacing every head of every lot untested.
    pub replace: Bill,
    /// The most that one failure adds.
    pub failure: Bill,
    /// Lot by lot, in the order of the way.
    pub lots: Vec<Costs>,
}

/// What a lot costs that could be formed.
#[must_use]
pub fn of_proposal(state: &State, proposal: &Proposal, prices: &Prices) -> Costs {
    let mut by_kind: BTreeMap<KindIx, usize> = BTreeMap::new();
    for kind in proposal.heads.iter().filter_map(|h| state.layout().head(*h)).map(|h| h.kind) {
        *by_kind.entry(kind).or_default() += 1;
    }
    let purse = Purse::new(state, prices);
    let asked = usize::try_from(proposal.asked.heads).unwrap_or(usize::MAX);
    let sample = purse.dearest(&by_kind, asked);
    purse.costs(&by_kind, &sample, asked == 0)
}

/// What a lot costs that is formed: its sample as drawn, as far as it is, and the dearest that can be drawn to fill it up. Heads
/// that were replaced since it was formed stand in its cost too: it is what the lot costs, and not what is left to pay.
#[must_use]
pub fn of_lot(state: &State, lot: &Lot, prices: &Prices) -> Costs {
    let mut by_kind: BTreeMap<KindIx, usize> = BTreeMap::new();
    for kind in &lot.kinds {
        *by_kind.entry(*kind).or_default() += 1;
    }
    let mut sample: BTreeMap<KindIx, usize> = BTreeMap::new();
    let kind_of = |head: HeadIx| lot.heads.binary_search(&head).ok().and_then(|at| lot.kinds.get(at).copied());
    for kind in lot.samples.iter().filter_map(|s| kind_of(s.head)) {
        *sample.entry(kind).or_default() += 1;
    }
    let purse = Purse::new(state, prices);
    let asked = usize::try_from(lot.outcome.asked.heads).unwrap_or(usize::MAX);
    let left: BTreeMap<KindIx, usize> =
        by_kind.iter().map(|(k, n)| (*k, n - sample.get(k).copied().unwrap_or(0).min(*n))).collect();
    for (kind, n) in purse.dearest(&left, asked.saturating_sub(sample.values().sum())) {
        *sample.entry(kind).or_default() += n;
    }
    purse.costs(&by_kind, &sample, asked == 0)
}

/// What a way to draw the lots costs.
#[must_use]
pub fn of_way(state: &State, way: &Way, prices: &Prices) -> WayCosts {
    let lots = way.lots.iter().map(|lot| of_proposal(state, lot, prices)).collect();
    let mut costs = WayCosts { lots, ..WayCosts::default() };
    for lot in &costs.lots {
        costs.spent.add(lot.spent());
        costs.replace.add(&lot.replace);
        if lot.failure.total > costs.failure.total {
            costs.failure.total = lot.failure.total;
        }
        costs.failure.miss(&lot.failure.unknown);
    }
    costs
}

struct Purse<'a> {
    state: &'a State,
    prices: &'a Prices,
    test: Result<Money, String>,
    swap: Result<Money, String>,
}

impl<'a> Purse<'a> {
    fn new(state: &'a State, prices: &'a Prices) -> Self {
        let test = prices.work.test.ok_or_else(|| "the test of a head (work: test)".to_owned());
        let swap = prices.work.swap.ok_or_else(|| "taking a head down and putting one in (work: swap)".to_owned());
        Self { state, prices, test, swap }
    }

    /// The price of heads of one kind: their part of a pack, rounded up to a hundredth.
    fn heads(&self, kind: KindIx, n: usize) -> Result<Money, String> {
        let state = self.state;
        let Some(it) = state.register().kind(kind) else { return Err("a kind that is not in the register".to_owned()) };
        let sound = it.number.iter().filter(|_| state.judge().recalled(it) == Recalled::No);
        let numbers: Vec<String> = sound.map(|n| plain(n.trim()).to_uppercase()).filter(|n| !n.is_empty()).collect();
        let wanted = Wanted { part: Part::Head, kind: it, numbers: &numbers, elements: &[it.element] };
        let name = || plain(&it.describe(state.register().site.units));
        match self.prices.find(wanted) {
            Found::One(price) => {
                let n = u64::try_from(n).unwrap_or(u64::MAX);
                Ok(Money(price.price.times(n).0.div_ceil(u64::from(price.pack.max(1)))))
            }
            Found::None => Err(name()),
            Found::Two(a, b) => Err(format!("{} (the prices in lines {} and {} both fit)", name(), a.line, b.line)),
        }
    }

    /// The dearest sample of so many heads: one of every kind first, as the draw does it. A kind without a price comes before
    /// those that have one, so that the missing price is told.
    fn dearest(&self, by_kind: &BTreeMap<KindIx, usize>, want: usize) -> BTreeMap<KindIx, usize> {
        let mut kinds: Vec<(KindIx, usize)> = by_kind.iter().map(|(k, n)| (*k, *n)).filter(|(_, n)| *n > 0).collect();
        let price = |kind: KindIx| self.heads(kind, 1).map_or(u64::MAX, |m| m.0);
        kinds.sort_by_key(|(kind, _)| (std::cmp::Reverse(price(*kind)), *kind));
        let mut sample: BTreeMap<KindIx, usize> = kinds.iter().take(want).map(|(kind, _)| (*kind, 1)).collect();
        let mut left = want.saturating_sub(sample.len());
        for (kind, n) in kinds {
            if let Some(taken) = sample.get_mut(&kind) {
                let more = (n - 1).min(left);
                *taken += more;
                left -= more;
            }
        }
        sample
    }

    /// New heads, put in.
    fn replaced(&self, by_kind: &BTreeMap<KindIx, usize>) -> Bill {
        let mut bill = Bill::default();
        for (kind, n) in by_kind.iter().filter(|(_, n)| **n > 0) {
            bill.pay(&self.heads(*kind, *n));
        }
        let n = by_kind.values().sum();
        bill.add(&times(&self.swap, n));
        bill
    }

    fn costs(&self, lot: &BTreeMap<KindIx, usize>, sample: &BTreeMap<KindIx, usize>, no_size: bool) -> Costs {
        let n: usize = sample.values().sum();
        let all: usize = lot.values().sum();
        let rest: BTreeMap<KindIx, usize> =
            lot.iter().map(|(k, n)| (*k, n - sample.get(k).copied().unwrap_or(0).min(*n))).collect();
        let mut test = self.replaced(sample);
        test.add(&times(&self.test, n));
        if no_size {
            test.miss(&["a sample: the rule set names no size of one".to_owned()]);
        }
        Costs {
            sample: n,
            test,
            replace: self.replaced(lot),
            failure: self.replaced(&rest),
            condemned: all.saturating_sub(n),
            all: n > 0 && n >= all,
        }
    }
}

fn times(price: &Result<Money, String>, n: usize) -> Bill {
    let mut bill = Bill::default();
    if n > 0 {
        bill.pay(&price.clone().map(|m| m.times(u64::try_from(n).unwrap_or(u64::MAX))));
    }
    bill
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::Source;
    use crate::report::sample_tests::{entry, state};
    use crate::round::due;
    use crate::round::lots::{self, Divide};
    use crate::trade::measure::Span;
    use crate::trade::prices;

    const MILL: &str = "\
format: headround site 1
site: {id: 01KAVQ5R8Z0000000000000000, name: Tarrow Mill, where: Port Tarrow, rules: nfpa25-2023, units: us}
kinds:
  old-link: {orientation: upright, response: standard, element: link, rating: 165 F, k: 5.6, finish: brass, made: 1970}
  old-hot: {orientation: upright, response: standard, element: link, rating: 212 F, k: 5.6, finish: brass, made: 1970}
areas:
  mill: {name: Mill, system: wet, in_service: 1971-04, ceiling_max: 100 F, lines: [10 old-link, 10 old-link]}
  shop: {name: Shop, system: wet, in_service: 1971-04, ceiling_max: 100 F, lines: ['4 old-link, 6 old-hot']}
  lean: {name: Lean-to, system: wet, in_service: 1971-04, ceiling_max: 100 F, lines: [3 old-link]}
";
    const WORK: &str = "work: {test: 45.00, swap: 30.00}\n";
    const LINK: &str = "  - {rating: 165 F, pack: 3, price: 20.00}\n";
    const HOT: &str = "  - {rating: 212 F, price: 9.00}\n";

    fn file(rows: &str, work: &str) -> Prices {
        let text = format!("format: headround prices 1\ncurrency: USD\n{work}prices:\n{rows}");
        let (prices, out) = prices::read(&Source::new("prices.yaml", text));
        prices.unwrap_or_else(|| panic!("{out:?}"))
    }

    fn way(divide: &[Divide]) -> (State, Way) {
        let begin = r#""begin":{"date":"2026-11-25","inspector":"Ines Tidewell"}"#;
        let state = state(MILL, vec![entry(1, "2026-11-25T09:00:00-05:00", "ines", "2026", begin)]);
        let today = "2026-11-28".parse().unwrap();
        let list = due::due(&state, &lots::lots(&state), today, Span::parse("24 months").unwrap());
        let lots = lots::propose(&state, &list, divide, &[]);
        (state, Way { divide: divide.to_vec(), lots })
    }

    #[test]
    fn each_lot_is_reckoned_by_hand() {
        let (state, way) = way(&[Divide::Area]);
        let costs = of_way(&state, &way, &file(&format!("{LINK}{HOT}"), WORK));
        let of = |name: &str| &costs.lots[way.lots.iter().position(|l| l.name == name).unwrap()];
        let cents = |bill: &Bill| (bill.total.0, bill.is_whole());
        // 4 heads at 20.00 for three (80/3 = 26.67, up), and 75.00 of work on each.
        let mill = of("Mill");
        assert_eq!((mill.sample, mill.condemned, mill.all), (4, 16, false));
        assert_eq!(cents(&mill.test), (2667 + 4 * 7500, true));
        assert_eq!(cents(&mill.replace), (13334 + 20 * 3000, true));
        assert_eq!(cents(&mill.failure), (10667 + 16 * 3000, true));
        // One link at 6.67 and, as the dearer kind, three hot ones at 9.00.
        let shop = of("Shop");
        assert_eq!(cents(&shop.test), (667 + 2700 + 4 * 7500, true));
        assert_eq!(cents(&shop.failure), (2000 + 2700 + 6 * 3000, true));
        // Three heads are fewer than a sample takes: they are replaced, and no failure can come.
        let lean = of("Lean-to");
        assert_eq!((lean.all, lean.condemned, cents(&lean.failure)), (true, 0, (0, true)));
        assert_eq!(lean.spent(), &lean.replace);
        assert_eq!(cents(&costs.spent), (32667 + 33367 + 2000 + 9000, true));
        assert_eq!(costs.failure, mill.failure);
        assert_eq!(costs.spent.words("USD"), "USD 770.34");
    }

    #[test]
    fn what_has_no_price_is_named_and_the_sum_says_that_it_is_the_least() {
        let (state, way) = way(&[]);
        let costs = of_way(&state, &way, &file(LINK, "work: {swap: 30.00}\n"));
        let test = &costs.lots[0].test;
        assert!(!test.is_whole());
        let words = test.words("USD");
        assert!(words.starts_with("at least USD 1"), "{words}");
        for part in ["212 °F", "the test of a head"] {
            assert!(words.contains(part), "{words}");
        }
        assert!(!words.contains("165 °F") && !words.contains("swap"), "{words}");
        assert!(!costs.replace.words("USD").contains("test of a head"));
        let none = of_way(&state, &way, &file("  - {number: X1, price: 1}\n", ""));
        assert!(none.spent.words("USD").starts_with("price not known for "), "{:?}", none.spent);
    }

    #[test]
    fn two_prices_that_fit_equally_are_both_named() {
        let (state, way) = way(&[Divide::Area]);
        let costs = of_way(&state, &way, &file("  - {rating: 165 F, price: 1}\n  - {k: 5.6, price: 2}\n", WORK));
        assert!(costs.lots[0].test.unknown[0].contains("lines 5 and 6 both fit"), "{:?}", costs.lots[0].test);
    }

    #[test]
    fn a_failure_after_the_tests_costs_what_replacing_costs_and_the_tests() {
        let (state, way) = way(&[]);
        let prices = file("  - {rating: 165 F, price: 20.00}\n  - {rating: 212 F, price: 9.00}\n", WORK);
        for lot in &of_way(&state, &way, &prices).lots {
            let tests = 4500 * u64::try_from(lot.sample).unwrap();
            assert_eq!(lot.test.total.0 + lot.failure.total.0, lot.replace.total.0 + tests);
        }
    }

    #[test]
    fn a_formed_lot_costs_its_sample_as_drawn() {
        let said = [
            r#""begin":{"date":"2026-11-25","inspector":"Ines Tidewell"}"#,
            r#""lot":{"id":"shop","name":"Shop","heads":["shop"]}"#,
            r#""drawn":{"lot":"shop","way":"by-hand","eligible":10,"asked":4,"picks":[{"head":"shop/1.1","kind":"old-link","tag":"a"},{"head":"shop/1.2","kind":"old-link","tag":"b"},{"head":"shop/1.5","kind":"old-hot","tag":"c"}]}"#,
        ];
        let written = said.iter().zip(1..).map(|(what, n)| entry(n, "2026-11-25T09:00:00-05:00", "ines", "2026", what));
        let state = state(MILL, written.collect());
        let lot = lots::lots(&state).remove(0);
        let costs = of_lot(&state, &lot, &file(&format!("{LINK}{HOT}"), WORK));
        // Two links at 20.00 for three, and of the one that is still to be drawn the dearer kind.
        assert_eq!((costs.sample, costs.test.total.0), (4, 1334 + 1800 + 4 * 7500));
    }
}
