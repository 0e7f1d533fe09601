//! Lots and the bench in the plain walk: what falls due, lots formed, drawn, handed on, tested, concluded.

use super::cabinet::{noted, staying};
use super::{Walk, plainly, sentence};
use crate::bench::judge::Verdict;
use crate::record::desk::{Clock, Desk};
use crate::round::due::{self, DueRow, When};
use crate::round::entry::{Concluded, Custody, Marks, NewLot, Readings, Step, Tested, What};
use crate::round::layout::HeadIx;
use crate::round::lots::{self, Lot, Sample, eligible, refusal, wanted, ways};
use crate::round::state::State;
use crate::rules::duties::Act;
use crate::trade::address::{Address, AreaId};
use crate::trade::measure::Span;
use crate::trade::quantity::PartialDate;
use crate::tui::samples::{
    self, Pool, TAKING_DOWN, capital, counted, draw_entry, heads, index_words, limit_words, lot_entry, missed,
    new_name, outcome_words,
};

/// What is done with lots, as it was typed.
#[derive(Clone, Debug, PartialEq)]
pub enum Doing {
    /// What falls due.
    Due(String),
    /// The lots, or one of them.
    Show(String),
    /// The ways to form lots, or lots formed.
    Form(String),
    /// Heads drawn.
    Draw(String),
    /// A step of custody.
    Hand(String),
    /// A head tested.
    Tested(String),
    /// A laboratory's result.
    Conclude(String),
}

/// The span that is meant where none is typed.
const USUAL: &str = "2 years";

/// How far ahead: a span, or nothing.
fn span(text: &str) -> Result<Span, String> {
    let text = text.trim();
    Span::parse(if text.is_empty() { USUAL } else { text })
}

/// The lot that a line starts with, and the rest of the line.
fn lot_of<'t>(all: &[Lot], text: &'t str) -> Result<(Lot, &'t str), String> {
    let text = text.trim();
    let (first, rest) = text.split_once(char::is_whitespace).map_or((text, ""), |(w, r)| (w, r.trim()));
    if let Some(lot) = all.iter().find(|l| l.id.as_str() == first) {
        return Ok((lot.clone(), rest));
    }
    let names: Vec<&str> = all.iter().map(|l| l.id.as_str()).collect();
    Err(match (names.as_slice(), first) {
        ([], _) => "no lot is formed yet; 'form' shows the ways to form them".to_owned(),
        (_, "") => format!("which lot? write one of {}", names.join(", ")),
        _ => {
            let near = crate::diag::nearest(first, names.iter().copied());
            let near =
                near.map_or_else(|| format!("; there are {}", names.join(", ")), |n| format!("; did you mean '{n}'?"));
            format!("no lot is called '{}'{near}", crate::diag::plain(first))
        }
    })
}

/// One group of heads in a sentence or two.
fn due_words(row: &DueRow) -> String {
    let when = match (row.when, row.on) {
        (When::Overdue, Some(on)) => format!("overdue since {on}"),
        (When::Soon | When::Later, Some(on)) => format!("due {on}"),
        _ => "no date known, so it counts as due".to_owned(),
    };
    let what = if row.act == Act::Replace { "replace" } else { "sample" };
    let which: Vec<String> = row.which.iter().map(ToString::to_string).collect();
    let lot = row.lot.as_ref().zip(row.stage).map_or(String::new(), |(l, s)| format!(" In lot {l}, {}.", s.label()));
    let assumed: String = row.assumed.iter().map(|a| format!(" {}", sentence(a))).collect();
    let clause = if row.clause.is_empty() { String::new() } else { format!(" ({})", row.clause) };
    let (heads, title) = (counted(row.heads, "head"), row.title.trim_end_matches('.'));
    format!(
        "{}: {heads} of {}, {when}: {what}. {}{clause}: {title}.{assumed}{lot}",
        row.area,
        row.kind,
        which.join(", ")
    )
}

/// One drawn head in a sentence.
fn sample_words(state: &State, sample: &Sample) -> String {
    let at = state.address(sample.head).map_or_else(String::new, |a| a.to_string());
    let kind = state.register().kind(sample.kind).map_or("", |k| k.id.as_str());
    let stands = match (&sample.judged, sample.taken) {
        (Some(judged), _) => {
            let own = index_words(judged);
            let own = if own.is_empty() { own } else { format!(", {own}") };
            format!("{}{own}; {}", judged.verdict, judged.why.join("; "))
        }
        (None, Some(_)) => "taken down, not tested".to_owned(),
        (None, None) => "still hangs".to_owned(),
    };
    format!("{}: {at}, {kind}: {stands}.", sample.tag)
}

/// Why heads of a lot may not be drawn, as few sentences as will do.
fn refused_words(state: &State, lot: &Lot, unseen: bool) -> Vec<String> {
    let mut by: std::collections::BTreeMap<String, Vec<HeadIx>> = std::collections::BTreeMap::new();
    for refused in eligible(state, lot, unseen).refused {
        let clause = if refused.clause.is_empty() { String::new() } else { format!(" ({})", refused.clause) };
        by.entry(format!("{}{clause}", refused.words)).or_default().push(refused.head);
    }
    let of = |(words, heads): (&String, &Vec<HeadIx>)| {
        let shown: Vec<String> = crate::round::act::ranges(state, heads).iter().map(ToString::to_string).collect();
        format!("Not {}: {words}.", shown.join(", "))
    };
    by.iter().map(of).collect()
}

/// A lot in sentences.
fn lot_words(state: &State, lot: &Lot, today: chrono::NaiveDate) -> Vec<String> {
    let due = lot.due.map_or_else(String::new, |d| format!(", due {d}"));
    let mut lines = vec![format!(
        "{}: {}, {}{due}. Sample: {}.",
        lot.id,
        lot.name,
        counted(lot.heads.len(), "head"),
        lot.outcome.asked.because
    )];
    lines.extend(outcome_words(state, lot, today));
    lines.extend(lot.samples.iter().map(|s| sample_words(state, s)));
    if lot.samples.iter().any(|s| s.taken.is_none() && s.test.is_none()) {
        lines.push(format!("A head that is taken down: go to it and type 'replace'. {TAKING_DOWN}"));
    }
    lines
}

/// What the last test of a lot was made under.
fn conditions(state: &State, lot: &Lot) -> Option<Readings> {
    let last = lot.samples.iter().filter_map(|s| s.test).max()?;
    let read = &lots::tested(state, last)?.1.readings;
    Some(Readings { oven: read.oven, air: read.air, start: read.start, pressure: read.pressure, ..Readings::default() })
}

/// What is read of a head: `oven=135C air=2.54m/s start=20C element=39 clear=40`, what is left out of the conditions as before.
fn readings(state: &State, lot: &Lot, text: &str) -> Result<Readings, String> {
    let units = state.register().site.units;
    let (text, note) = noted(text);
    let mut read = conditions(state, lot).unwrap_or_default();
    let mut any = false;
    for pair in text.split_whitespace() {
        let (word, value) = pair.split_once('=').ok_or("write WORD=VALUE, as in 'oven=135C element=39 clear=40'")?;
        samples::put(&mut read, word, value, units)?;
        any = true;
    }
    read.note = note;
    if any { Ok(read) } else { Err(words_of_readings()) }
}

/// What can be written about a test.
fn words_of_readings() -> String {
    let list: Vec<String> = samples::READINGS.iter().map(|(word, _, about)| format!("{word}= ({about})")).collect();
    format!("what was read? write {}", list.join(", "))
}

/// The lot and the head of a tag or an address.
fn drawn(state: &State, all: &[Lot], text: &str) -> Result<(Lot, HeadIx), String> {
    if let Some((lot, head)) = all.iter().find_map(|l| l.tagged(text).map(|s| (l, s.head))) {
        return Ok((lot.clone(), head));
    }
    let shown = crate::diag::plain(text);
    let at = Address::parse(text)
        .ok()
        .and_then(|a| state.layout().find(&a))
        .ok_or_else(|| format!("no drawn head bears the tag '{shown}' or hangs there"))?;
    // Of several lots that drew it the last counts.
    let lot = all.iter().rev().find(|l| l.sample_at(at).is_some());
    lot.map(|l| (l.clone(), at)).ok_or_else(|| format!("'{shown}' was not drawn for a lot: draw it by hand first"))
}

impl Walk {
    /// What is done with lots.
    pub(super) fn at_lots(&mut self, order: &Doing, desk: &mut Desk, clock: &dyn Clock) -> Vec<String> {
        let today = clock.now().date_naive();
        let said = match order {
            Doing::Due(text) => span(text).map(|within| Self::due(desk.state(), today, within)),
            Doing::Show(text) if text.is_empty() => Ok(Self::lots(desk.state(), today)),
            Doing::Show(text) => {
                lot_of(&lots::lots(desk.state()), text).map(|(lot, _)| lot_words(desk.state(), &lot, today))
            }
            Doing::Form(text) => self.form(desk.state(), text, today),
            Doing::Draw(text) => self.draw(desk.state(), text, clock),
            Doing::Hand(text) => hand(desk.state(), text).map(|(what, odd)| {
                let mut lines = self.at_once(what, desk, clock);
                lines.extend(odd.map(|o| sentence(&capital(&o))));
                lines
            }),
            Doing::Tested(text) => self.tested(text, desk, clock),
            Doing::Conclude(text) => self.conclude(desk.state(), text),
        };
        said.unwrap_or_else(|why| vec![sentence(&why)])
    }

    fn at_once(&mut self, what: What, desk: &mut Desk, clock: &dyn Clock) -> Vec<String> {
        let mut lines = Vec::new();
        self.record(desk, clock, vec![plainly(what)], &mut lines);
        lines
    }

    fn due(state: &State, today: chrono::NaiveDate, within: Span) -> Vec<String> {
        let list = due::due(state, &lots::lots(state), today, within);
        let heads = list.due().map(|r| r.heads).sum();
        let mut lines = vec![format!("Due within {within}: {}.", counted(heads, "head"))];
        lines.extend(list.due().map(due_words));
        let later: usize = list.rows.iter().filter(|r| r.when == When::Later).map(|r| r.heads).sum();
        if later > 0 {
            lines.push(format!("{} later.", counted(later, "head")));
        }
        if list.condemned > 0 {
            lines.push(format!("{} condemned by a failed test: to be replaced.", counted(list.condemned, "head")));
        }
        if heads > 0 {
            lines.push("'form' shows the ways to form lots of them.".to_owned());
        }
        lines
    }

    fn lots(state: &State, today: chrono::NaiveDate) -> Vec<String> {
        let all = lots::lots(state);
        if all.is_empty() {
            return vec!["No lot is formed yet. 'due' tells what falls due, 'form' forms lots of it.".to_owned()];
        }
        let one = |l: &Lot| {
            let (heads, overdue) = (counted(l.heads.len(), "head"), samples::overdue(state, l, today));
            let step = overdue.map_or_else(|| lots::next_step(state, l), |_| "a new test, or new heads".to_owned());
            format!("{}: {heads}, {}. Next: {step}.", l.id, samples::standing(l, overdue))
        };
        all.iter().map(one).collect()
    }

    /// The ways, one of them, or a lot that is named: `form`, `form 2`, `form 2 within 10 years`, `form shed pack/1, dock: Old shed`.
    fn form(&mut self, state: &State, text: &str, today: chrono::NaiveDate) -> Result<Vec<String>, String> {
        let all = lots::lots(state);
        let (first, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        let number = first.parse::<usize>().ok();
        if !text.is_empty() && number.is_none() && first != "within" {
            return self.form_named(state, &all, first, rest);
        }
        let rest = if number.is_some() { rest.trim() } else { text };
        let within = span(rest.strip_prefix("within").unwrap_or(rest))?;
        let taken: Vec<&AreaId> = all.iter().map(|l| &l.id).collect();
        let list = ways(state, &due::due(state, &all, today, within), &taken);
        if list.is_empty() {
            return Ok(vec![format!("No sample is due within {within}, or all that is due stands in a lot already.")]);
        }
        let Some(number) = number else {
            let one = |(n, way): (usize, &lots::Way)| {
                let missed = way.lots.iter().filter_map(|l| missed(l.heads.len(), l.asked.heads)).reduce(f64::max);
                let missed = missed
                    .map_or_else(String::new, |p| format!("; five bad in a hundred missed with {:.0} %", p * 100.0));
                format!(
                    "{}. {}: {} of {}, samples of {} in all; {}{missed}.",
                    n + 1,
                    capital(&way.words()),
                    counted(way.lots.len(), "lot"),
                    counted(way.heads(), "head"),
                    way.sampled(),
                    state.one_failure(&format!("up to {}", way.most_condemned()))
                )
            };
            let mut lines: Vec<String> = list.iter().enumerate().map(one).collect();
            lines.push("Type 'form' and a number; 'within 10 years' behind it looks further ahead.".to_owned());
            return Ok(lines);
        };
        let way = number.checked_sub(1).and_then(|n| list.get(n)).ok_or("no way has that number: 'form' lists them")?;
        let (whole, tested): (Vec<_>, Vec<_>) = way.lots.iter().partition(|l| l.all);
        let mut lines: Vec<String> = whole
            .iter()
            .map(|l| {
                format!(
                    "{} is left out: its sample would take all {}; replace them rather.",
                    l.id,
                    counted(l.heads.len(), "head")
                )
            })
            .collect();
        let most = tested.iter().map(|l| l.heads.len()).max().unwrap_or(0);
        if most == 0 {
            return Ok(lines);
        }
        for lot in &tested {
            lines.push(format!("{}: {}, sample of {}.", lot.id, counted(lot.heads.len(), "head"), lot.asked.heads));
        }
        lines.push(format!(
            "Form {}? {}. Type 'yes' to record it.",
            counted(tested.len(), "lot"),
            capital(&state.one_failure(&format!("up to {}", counted(most, "head"))))
        ));
        let drafts = tested.iter().map(|l| plainly(What::Lot(Box::new(lot_entry(state, l))))).collect();
        self.pending = Some(staying(drafts));
        Ok(lines)
    }

    fn form_named(&mut self, state: &State, all: &[Lot], id: &str, rest: &str) -> Result<Vec<String>, String> {
        let id = new_name(all, id)?;
        let (which, name) = noted(rest);
        let name = name.ok_or("what is it called? write 'form shed pack/1, dock: Old shed'")?;
        let heads = heads(state, which)?;
        let n: usize = heads.iter().map(|h| state.layout().heads_of(h).len()).sum();
        let question = format!(
            "Form lot {id} of {}? {}. Type 'yes' to record it.",
            counted(n, "head"),
            capital(&state.one_failure("all of them"))
        );
        let new = NewLot { id, name, heads, why: None, due: None, note: None };
        self.pending = Some(staying(vec![plainly(What::Lot(Box::new(new)))]));
        Ok(vec![question])
    }

    /// A draw: `draw hall`, `draw hall 42`, `draw hall unseen`, or by hand `draw hall hall/1.2, hall/1.3: why`.
    fn draw(&mut self, state: &State, text: &str, clock: &dyn Clock) -> Result<Vec<String>, String> {
        let (lot, rest) = lot_of(&lots::lots(state), text)?;
        if let Some(why) = samples::decided(&lot) {
            return Err(why);
        }
        let (rest, why) = noted(rest);
        let (mut unseen, mut seed, mut by_hand) = (false, None, Vec::new());
        for word in rest.split([',', ' ']).map(str::trim).filter(|w| !w.is_empty()) {
            if word == "unseen" {
                unseen = true;
            } else if let Ok(n) = word.parse::<u32>() {
                seed = Some(n);
            } else {
                let address = Address::parse(word)?;
                by_hand
                    .push(state.layout().find(&address).ok_or_else(|| format!("'{address}' is not in the register"))?);
            }
        }
        let found = eligible(state, &lot, unseen);
        let (may, all) = (found.heads.len(), lot.heads.len());
        let mut lines = vec![format!("{}: {may} of {all} heads may be drawn.", lot.id)];
        if !by_hand.is_empty() {
            if let Some(no) = by_hand.iter().find_map(|h| refusal(state, &lot, *h, unseen)) {
                let at = state.address(no.head).map_or_else(String::new, |a| a.to_string());
                return Err(format!("{at} may not be drawn: {}", no.words));
            }
            let why = why.ok_or("why these? write the reason behind ':', as in ': the lift reaches only line 3'")?;
            let pool = Pool { seed: None, eligible: may, unseen };
            let entry = draw_entry(state, &lot, &by_hand, pool, Some(why)).ok_or("nothing is drawn")?;
            lines.push(format!("Draw {} by hand? Type 'yes' to record it.", counted(entry.picks.len(), "head")));
            self.pending = Some(staying(vec![plainly(What::Drawn(Box::new(entry)))]));
            return Ok(lines);
        }
        lines.extend(refused_words(state, &lot, unseen));
        let wanted = wanted(state, &lot);
        if may == 0 || wanted.heads == 0 {
            lines.push(
                if may == 0 { "Nothing is drawn." } else { "As many as are asked for are drawn already." }.to_owned(),
            );
            return Ok(lines);
        }
        let [a, b, c, d, ..] = clock.random().to_le_bytes();
        let seed = seed.unwrap_or(u32::from_le_bytes([a, b, c, d]));
        if let Some(taken) = lot.seed_taken(state, seed) {
            return Err(taken);
        }
        let choice = lots::draw(state, &found.heads, &wanted.kinds, wanted.heads, seed);
        let pool = Pool { seed: Some(seed), eligible: may, unseen };
        let entry = draw_entry(state, &lot, &choice.heads, pool, why).ok_or("nothing is drawn")?;
        for kind in choice.missing.iter().filter_map(|k| state.register().kind(*k)) {
            lines.push(format!("No head of {} may be drawn: the sample cannot speak for it.", kind.id));
        }
        // Which heads they are is told once it is recorded: nobody tries seeds until the heads suit.
        let n = entry.picks.len();
        lines.push(format!(
            "Draw {} by chance, with seed {seed}? Type 'yes' to record it; 'lot {}' then tells which.",
            counted(n, "head"),
            lot.id
        ));
        self.pending = Some(staying(vec![plainly(What::Drawn(Box::new(entry)))]));
        Ok(lines)
    }

    /// A test: `tested TAG oven=135C air=2.54m/s start=20C element=39 clear=40: note`.
    fn tested(&mut self, text: &str, desk: &mut Desk, clock: &dyn Clock) -> Result<Vec<String>, String> {
        let state = desk.state();
        let (first, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        if first.is_empty() {
            return Err("which head? write its tag or where it hung, then what was read".to_owned());
        }
        let (lot, head) = drawn(state, &lots::lots(state), first)?;
        let read = readings(state, &lot, rest)?;
        let sample = lot.sample_at(head).ok_or("it was not drawn")?;
        let (limits, window, judged) =
            samples::judged(state, head, sample.kind, &read).ok_or("its kind is not in the register")?;
        let address = state.address(head).ok_or("it is not in the register")?;
        let instead = sample.test.and_then(|ix| state.entry(ix)).map(|e| e.id);
        let undone = samples::undone(state, &lot, sample).map(|u| u.words);
        if let Some(words) = undone.as_ref().filter(|_| read.note.is_none()) {
            return Err(format!("{words}; write the reason behind ':', as in ': the gauge was misread by 20 s'"));
        }
        let (rti, times) = limit_words(&limits, &window);
        let own = index_words(&judged);
        let own = if own.is_empty() { own } else { format!(" It shows {own}.") };
        let mut lines = vec![
            format!("{address}: {}. {}", judged.verdict, sentence(&judged.why.join("; "))),
            format!("{}; {times}.{own}", capital(&rti)),
        ];
        let what = What::Tested(Box::new(Tested { lot: lot.id.clone(), head: address, readings: read }));
        let drafts = vec![(what, Marks { instead, ..Marks::default() })];
        if let Some(words) = &undone {
            lines.push(format!("{words}."));
        }
        let condemns = judged.verdict.fails() && state.one_condemns();
        if condemns {
            lines.push(format!(
                "It condemns {} of lot {}. Type 'yes' to record it.",
                counted(lot.heads.len(), "head"),
                lot.id
            ));
        } else if judged.verdict == Verdict::Void {
            lines.push("A void test says nothing of the head. Type 'yes' to record it all the same.".to_owned());
        } else if undone.is_some() {
            lines.push("Type 'yes' to record it with its reason.".to_owned());
        } else {
            self.record(desk, clock, drafts, &mut lines);
            return Ok(lines);
        }
        self.pending = Some(staying(drafts));
        Ok(lines)
    }

    /// `conclude LOT passed|failed DATE BY [: note]`.
    fn conclude(&mut self, state: &State, text: &str) -> Result<Vec<String>, String> {
        let (lot, rest) = lot_of(&lots::lots(state), text)?;
        let (rest, note) = noted(rest);
        let how = || "write 'conclude LOT passed 2026-11-20 LABORATORY, REPORT', or failed".to_owned();
        let mut words = rest.splitn(3, char::is_whitespace);
        let passed = match words.next() {
            Some("passed") => true,
            Some("failed") => false,
            _ => return Err(how()),
        };
        let on = PartialDate::parse(words.next().unwrap_or_default())?;
        let by = words.next().map(str::trim).filter(|b| !b.is_empty()).ok_or_else(how)?.to_owned();
        let it = Concluded { lot: lot.id.clone(), on, passed, by, tested: None, note };
        let means = if passed {
            format!("Record that the sample of lot {} passed?", lot.id)
        } else {
            format!(
                "Record that the sample of lot {} failed? {}.",
                lot.id,
                capital(&state.failed_sample(&counted(lot.heads.len(), "head")))
            )
        };
        self.pending = Some(staying(vec![plainly(What::Concluded(Box::new(it)))]));
        Ok(vec![format!("{means} Type 'yes' to record it.")])
    }
}

/// A step of custody: `hand LOT STEP [from NAME] [to NAME] [: note]`.
/// What is odd about it comes back too.
fn hand(state: &State, text: &str) -> Result<(What, Option<String>), String> {
    let (lot, rest) = lot_of(&lots::lots(state), text)?;
    if lot.samples.is_empty() {
        return Err(format!("nothing is drawn for lot {} yet", lot.id));
    }
    let (rest, note) = noted(rest);
    let (step, rest) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
    let step = Step::parse(step)?;
    let (mut from, mut to) = (Vec::new(), Vec::new());
    let mut side: Option<&mut Vec<&str>> = None;
    for word in rest.split_whitespace() {
        match (word, &mut side) {
            ("from", _) => side = Some(&mut from),
            ("to", _) => side = Some(&mut to),
            (word, Some(side)) => side.push(word),
            (_, None) => return Err("who? write 'from NAME' or 'to NAME' behind the step".to_owned()),
        }
    }
    let name = |words: Vec<&str>| Some(words.join(" ")).filter(|w| !w.is_empty());
    let (from, to) = (name(from), name(to));
    if step == Step::HandedOver && to.is_none() {
        return Err("who took it? write 'to NAME' behind the step".to_owned());
    }
    let odd = lot.odd_step(state, step, &[]);
    let it = Custody { lot: lot.id, step, tags: Vec::new(), from, to, on: None, note };
    Ok((What::Custody(Box::new(it)), odd))
}
