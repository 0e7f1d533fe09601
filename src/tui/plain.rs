//! The walk as lines of text, for screen readers and serial consoles: the same actions as the screens, without drawing.
//! A loop over lines in and out; what is typed becomes an order, what is recorded goes through the same desk.

mod cabinet;
mod going;
mod lots;
mod order;
mod why;
mod words;

#[cfg(test)]
mod tests;
#[cfg(test)]
mod tests_cabinet;
#[cfg(test)]
mod tests_lots;

use std::io;

use crate::diag::{Diagnostic, plain};
use crate::record::desk::{Clock, Desk};
use crate::round::act::{self, Reach};
use crate::round::entry::{Begin, Did, Gone, Id, Marks, Note, Saw, Unreached, Unsure, What};
use crate::round::layout::HeadIx;
use crate::round::lots::condemnation;
use crate::round::state::{State, Status};
use crate::round::story::Answer;
use crate::rules::judge::Judgement;
use crate::trade::address::{Address, Heads};
use crate::trade::register::KindIx;

use order::{Order, Seeing, Span, Want};

/// Lines in and out.
pub trait Lines {
    /// Waits for a line; `None` at the end.
    ///
    /// # Errors
    /// The stream's.
    fn read(&mut self, prompt: &str) -> io::Result<Option<String>>;

    /// Writes a line. It holds no control characters.
    ///
    /// # Errors
    /// The stream's.
    fn write(&mut self, line: &str) -> io::Result<()>;
}

/// What is said while no round has begun.
const BEGIN: &str = "Begin a round first: type 'begin FULL NAME, LICENCE'.";

/// Walks until the person leaves or the input ends; where they stood comes back.
///
/// # Errors
/// A stream's. What was recorded is on the disk all the same.
pub fn run(
    desk: &mut Desk,
    clock: &dyn Clock,
    stood: Option<&Address>,
    lines: &mut dyn Lines,
) -> io::Result<Option<Address>> {
    let mut walk = Walk::new(desk.state(), stood);
    let mut say = walk.welcome(desk.state());
    loop {
        for line in say {
            lines.write(&plain(&line))?;
        }
        if walk.done {
            break;
        }
        let Some(line) = lines.read(&walk.prompt(desk.state()))? else { break };
        say = walk.take(&line, desk, clock);
    }
    Ok(walk.at.and_then(|at| desk.state().address(at)))
}

/// A question that waits for `yes`.
struct Pending {
    drafts: Vec<(What, Marks)>,
    done: String,
    /// Whether one stays where one is.
    stay: bool,
}

/// Where one stands, and what was asked.
struct Walk {
    area: u16,
    at: Option<HeadIx>,
    /// The kind and area told last, so that a row of the same kind is not told in full again and again.
    told: Option<(u16, KindIx)>,
    pending: Option<Pending>,
    /// A count of a cabinet that is asked for kind by kind.
    asking: Option<cabinet::Asking>,
    /// The heads of the last list, which can be chosen by number.
    list: Vec<HeadIx>,
    /// The last sign recorded, for the same on the next heads.
    last: Option<(HeadIx, Saw)>,
    done: bool,
}

impl Walk {
    fn new(state: &State, stood: Option<&Address>) -> Self {
        let at = stood.and_then(|a| state.layout().find(a)).or_else(|| {
            (0..state.register().areas.len())
                .filter_map(|n| u16::try_from(n).ok())
                .find_map(|area| act::next_where(state, area, None, |h| act::is_unanswered(state, h)))
                .or_else(|| act::heads_in_order(state, 0).next())
        });
        let area = at.and_then(|h| state.layout().head(h)).map_or(0, |h| h.area);
        Self { area, at, told: None, pending: None, asking: None, list: Vec::new(), last: None, done: false }
    }

    fn welcome(&mut self, state: &State) -> Vec<String> {
        let site = &state.register().site;
        let mut lines = vec![format!("{}, {}", site.name, state.rules())];
        lines.extend(words::counts(state));
        if state.present_round().is_none_or(|r| r.begin.is_none()) {
            lines.push(BEGIN.to_owned());
        }
        lines.push("This covers heads, not valves, pipes, pumps or supply. 'help' lists what can be typed.".to_owned());
        lines.extend(self.here(state, true));
        lines
    }

    fn prompt(&self, state: &State) -> String {
        if self.pending.is_some() {
            return "yes or no?".to_owned();
        }
        if let Some(asking) = &self.asking {
            return asking.prompt(state);
        }
        let at = self.at.and_then(|h| state.address(h));
        format!("{}>", at.map_or_else(|| "no head".to_owned(), |a| a.to_string()))
    }

    /// Says where one stands: in full where asked for or where the kind changes, else in short.
    fn here(&mut self, state: &State, full: bool) -> Vec<String> {
        let Some(at) = self.at else { return vec!["There is no head here.".to_owned()] };
        let Some(head) = state.layout().head(at) else { return Vec::new() };
        let kind = (head.area, head.kind);
        let mut lines = if full || self.told != Some(kind) {
            words::head_in_full(state, at)
        } else {
            let address = state.address(at).map(|a| a.to_string()).unwrap_or_default();
            vec![format!("{address}, the same kind.")]
        };
        self.told = Some(kind);
        lines.extend(words::head_state(state, at));
        lines
    }

    /// Takes a line; what there is to say comes back.
    fn take(&mut self, line: &str, desk: &mut Desk, clock: &dyn Clock) -> Vec<String> {
        // At a question these letters are half an answer, never the orders they are elsewhere: 'y' would bring something
        // back, 'n' write a note.
        if self.pending.is_some() && matches!(line.trim(), "y" | "Y" | "n" | "N") {
            return vec!["Type 'yes' to record it, or 'no' to leave it.".to_owned()];
        }
        if let Some(asking) = self.asking.take() {
            return self.answered(asking, line, desk.state());
        }
        let order = match order::read(line, desk.state().judge().set()) {
            Ok(order) => order,
            Err(why) => return vec![sentence(&why)],
        };
        let pending = self.pending.take();
        match (order, pending) {
            (Order::Yes, Some(pending)) => {
                let mut lines = Vec::new();
                let about_head = pending.drafts.iter().any(|(what, _)| matches!(what, What::Did(_)));
                let recorded = self.record(desk, clock, pending.drafts, &mut lines).is_some();
                if let Some(at) = self.at.filter(|_| recorded && about_head) {
                    lines.extend(words::head_state(desk.state(), at));
                }
                if recorded && !pending.stay {
                    lines.push(pending.done);
                    self.step(desk.state(), Want::Open);
                    lines.extend(self.here(desk.state(), false));
                }
                lines
            }
            (Order::No, Some(_)) => vec!["Nothing was recorded.".to_owned()],
            (Order::Yes | Order::No, None) => vec!["Nothing was asked.".to_owned()],
            (order, Some(_)) => {
                let mut lines = vec!["Nothing was recorded of what was asked about.".to_owned()];
                lines.extend(self.carry_out(order, desk, clock));
                lines
            }
            (order, None) => self.carry_out(order, desk, clock),
        }
    }

    fn carry_out(&mut self, order: Order, desk: &mut Desk, clock: &dyn Clock) -> Vec<String> {
        let state = desk.state();
        match order {
            Order::Here => self.here(state, true),
            Order::Help => words::help(),
            Order::Signs(None) => words::signs(state.judge().set()),
            Order::Signs(Some(sign)) => words::sign(state.judge().set(), sign),
            Order::Count => words::counts(state),
            Order::Areas => words::areas(state),
            Order::Left => (0..state.register().areas.len())
                .filter_map(|n| u16::try_from(n).ok())
                .flat_map(|area| words::left(state, area))
                .collect(),
            Order::Why => self.of_ruling(state, why::rules),
            Order::Editions => self.of_ruling(state, why::editions),
            Order::Cases => self.of_ruling(state, why::cases),
            Order::Find(text) => self.find(state, &text),
            Order::Next(want) => self.go_on(state, want),
            Order::Back => self.go_back(state),
            Order::Go(text) => self.go(state, &text),
            Order::Area(text) => self.go_area(state, &text),
            Order::Quit => {
                self.done = true;
                let mut lines = words::left(state, self.area);
                lines.push("Left. Everything entered is in the file.".to_owned());
                lines
            }
            Order::Yes | Order::No => Vec::new(),
            Order::Begin(name, licence) => Self::begin(desk, clock, name, licence),
            Order::Cabinet(name) => Self::cabinet(state, &name, clock.now().date_naive()),
            Order::CountCabinet(text) => self.count_cabinet(state, &text),
            Order::AtCabinet(doing) => self.at_cabinet(&doing, desk, clock),
            Order::AtLots(doing) => self.at_lots(&doing, desk, clock),
            Order::Undo => back(desk.undo(clock), "Nothing of yours to take back."),
            Order::Redo => back(desk.redo(clock), "Nothing to bring back."),
            order => match self.at {
                Some(at) => self.write(order, at, desk, clock),
                None => vec!["There is no head here.".to_owned()],
            },
        }
    }

    /// The orders that record something about the head one stands at.
    fn write(&mut self, order: Order, at: HeadIx, desk: &mut Desk, clock: &dyn Clock) -> Vec<String> {
        let state = desk.state();
        let Some(address) = state.address(at) else { return Vec::new() };
        let head = Heads::single(&address);
        let mut lines = Vec::new();
        match order {
            Order::Replace(text) => return self.replace(&text, at, desk, clock),
            Order::Seen => return self.seen(desk, clock, at, head),
            Order::Saw(seeing) => return self.saw(desk, clock, at, head, *seeing),
            Order::Like(number) => return self.like(state, at, number),
            Order::Sweep(how) => return self.sweep(state, how.on(address.spot.line)),
            Order::Unreached(why, Span::Here, note) => {
                let what = Unreached { heads: head, why, denied_by: None, note };
                self.record(desk, clock, vec![plainly(What::Unreached(Box::new(what)))], &mut lines);
            }
            Order::Unreached(why, span, note) => return self.unreached(state, &address, why, span, note.as_deref()),
            Order::Unsure(why, note) => {
                let what = Unsure { head, why, how: crate::round::entry::How::Eye, note };
                self.record(desk, clock, vec![plainly(What::Unsure(Box::new(what)))], &mut lines);
            }
            Order::Note(text) => {
                self.record(
                    desk,
                    clock,
                    vec![plainly(What::Note(Box::new(Note { head: Some(head), text })))],
                    &mut lines,
                );
            }
            Order::Did(did, kind) => {
                if let Some(kind) = kind.as_ref().filter(|k| state.register().kind_named(k).is_none()) {
                    return vec![format!("No kind is called '{kind}'. Nothing was recorded.")];
                }
                let what = Did { head, did, kind, from: None, who: None, note: None };
                self.record(desk, clock, vec![plainly(What::Did(Box::new(what)))], &mut lines);
            }
            Order::Still => return self.answer(desk, clock, at, &head, true),
            Order::Gone => return self.answer(desk, clock, at, &head, false),
            _ => {}
        }
        lines.extend(words::head_state(desk.state(), at));
        lines
    }

    /// Records entries in one write; what was recorded, or why nothing was, is said.
    fn record(
        &mut self,
        desk: &mut Desk,
        clock: &dyn Clock,
        drafts: Vec<(What, Marks)>,
        lines: &mut Vec<String>,
    ) -> Option<Vec<Id>> {
        match desk.record(drafts, clock) {
            Ok(ids) => {
                let state = desk.state();
                let entries = ids.iter().filter_map(|id| state.find_entry(*id)).filter_map(|ix| state.entry(ix));
                lines.extend(entries.map(|e| format!("Recorded: {}.", crate::round::words::entry_words(e))));
                Some(ids)
            }
            Err(trouble) => {
                lines.extend(told(&trouble));
                None
            }
        }
    }

    fn begin(desk: &mut Desk, clock: &dyn Clock, inspector: String, licence: String) -> Vec<String> {
        if let Some(round) = desk.state().present_round().filter(|r| !r.is_signed() && r.begin.is_some()) {
            return vec![format!("Round {} has begun and is not signed: go on with it.", round.name)];
        }
        let date = clock.now().date_naive();
        let begin = Begin { date, inspector, licence, purpose: String::new(), scope: String::new(), rules: None };
        match desk.record(vec![plainly(What::Begin(Box::new(begin)))], clock) {
            Ok(_) => words::counts(desk.state()),
            Err(trouble) => told(&trouble),
        }
    }

    fn seen(&mut self, desk: &mut Desk, clock: &dyn Clock, at: HeadIx, head: Heads) -> Vec<String> {
        let state = desk.state();
        if state.has_open_carried(at) {
            return words::head_state(state, at);
        }
        let mut lines = Vec::new();
        if state.status(at) == Status::Unseen
            && self.record(desk, clock, vec![plainly(What::Seen(head))], &mut lines).is_none()
        {
            return lines;
        }
        lines.extend(self.go_on(desk.state(), Want::Any));
        lines
    }

    fn saw(&mut self, desk: &mut Desk, clock: &dyn Clock, at: HeadIx, head: Heads, seeing: Seeing) -> Vec<String> {
        let state = desk.state();
        let story = state.story(at);
        let of = story.carried.iter().find_map(|c| match state.entry(c.last) {
            Some(e) => match &e.what {
                What::Saw(s) if s.sign == seeing.sign && s.part == seeing.part => Some(e.id),
                _ => None,
            },
            None => None,
        });
        let assumed = seeing.applied.filter(|_| !seeing.applied_said);
        let saw = Saw {
            head,
            sign: seeing.sign,
            part: seeing.part,
            extent: seeing.extent,
            applied: seeing.applied,
            how: seeing.how,
            doubtful: seeing.doubtful,
            clearance: None,
            of,
            note: seeing.note,
        };
        let mut lines = Vec::new();
        let drafts = vec![plainly(What::Saw(Box::new(saw.clone())))];
        if self.record(desk, clock, drafts, &mut lines).is_none() {
            return lines;
        }
        self.last = Some((at, saw));
        if let Some(applied) = assumed {
            lines.push(format!("Taken as {applied}-applied; if it is not, 'undo' and add 'factory' or 'unknown'."));
        }
        let state = desk.state();
        lines.extend(words::head_state(state, at));
        if let Some(judgement) = state.judgement(at) {
            lines.extend(words::reasons(state, judgement));
        }
        lines
    }

    fn like(&mut self, state: &State, at: HeadIx, number: usize) -> Vec<String> {
        let Some((_, saw)) = self.last.as_ref().filter(|(head, _)| *head == at) else {
            return vec![
                "Record a sign on this head first; then the same can be recorded on the next heads.".to_owned(),
            ];
        };
        let heads = act::like_this(state, at, number);
        let ranges = act::ranges(state, &heads);
        if ranges.is_empty() {
            return vec!["There is no head after this one in the area.".to_owned()];
        }
        let shown: Vec<String> = ranges.iter().map(ToString::to_string).collect();
        let drafts = ranges
            .into_iter()
            .map(|head| plainly(What::Saw(Box::new(Saw { head, of: None, ..saw.clone() }))))
            .collect();
        let what = format!("{} {}, {}", saw.sign, saw.part, saw.extent);
        self.question(
            format!("Record {what} on {}, {}?", words::count(heads.len(), "head"), shown.join(", ")),
            drafts,
            "Recorded on all of them.".to_owned(),
        )
    }

    fn sweep(&mut self, state: &State, reach: Reach) -> Vec<String> {
        let (count, ranges) = act::sweep(state, self.area, reach);
        if count == 0 {
            return vec!["There is no head left to sweep there.".to_owned()];
        }
        let shown: Vec<String> = ranges.iter().map(ToString::to_string).collect();
        self.question(
            format!("Record {} as seen, {}?", words::count(count, "head"), shown.join(", ")),
            ranges.into_iter().map(|h| plainly(What::Seen(h))).collect(),
            format!("{} seen.", words::count(count, "head")),
        )
    }

    fn unreached(
        &mut self,
        state: &State,
        address: &Address,
        why: crate::round::entry::UnreachedWhy,
        span: Span,
        note: Option<&str>,
    ) -> Vec<String> {
        let heads: Vec<HeadIx> = act::heads_in_order(state, self.area)
            .filter(|h| state.status(*h) == Status::Unseen)
            .filter(|h| span == Span::Area || state.layout().head(*h).is_some_and(|x| x.spot.line == address.spot.line))
            .collect();
        let ranges = act::ranges(state, &heads);
        if ranges.is_empty() {
            return vec!["There is no unseen head there.".to_owned()];
        }
        let shown: Vec<String> = ranges.iter().map(ToString::to_string).collect();
        let drafts = ranges
            .into_iter()
            .map(|heads| {
                let what = Unreached { heads, why, denied_by: None, note: note.map(str::to_owned) };
                plainly(What::Unreached(Box::new(what)))
            })
            .collect();
        self.question(
            format!("Record {} as not reached ({why}), {}?", words::count(heads.len(), "head"), shown.join(", ")),
            drafts,
            "Recorded.".to_owned(),
        )
    }

    fn question(&mut self, question: String, drafts: Vec<(What, Marks)>, done: String) -> Vec<String> {
        self.pending = Some(Pending { drafts, done, stay: false });
        vec![format!("{question} Type 'yes' to record it.")]
    }

    /// Answers every open finding of earlier rounds on the head alike.
    fn answer(&mut self, desk: &mut Desk, clock: &dyn Clock, at: HeadIx, head: &Heads, still: bool) -> Vec<String> {
        let state = desk.state();
        let mut drafts = Vec::new();
        for carried in state.story(at).carried.iter().filter(|c| c.answer == Answer::Open) {
            let Some(entry) = state.entry(carried.last) else { continue };
            let What::Saw(saw) = &entry.what else { continue };
            drafts.push(plainly(if still {
                let again = Saw { head: head.clone(), of: Some(entry.id), note: None, ..(**saw).clone() };
                What::Saw(Box::new(again))
            } else {
                What::Gone(Box::new(Gone { head: head.clone(), of: entry.id, note: None }))
            }));
        }
        if drafts.is_empty() {
            return vec!["No earlier round left a finding open on this head.".to_owned()];
        }
        let mut lines = Vec::new();
        self.record(desk, clock, drafts, &mut lines);
        lines.extend(words::head_state(desk.state(), at));
        lines
    }

    /// The ruling one stands at and what there is to say of it, then the same of what the register alone says.
    fn of_ruling(&self, state: &State, say: fn(&State, Judgement) -> Vec<String>) -> Vec<String> {
        let Some(at) = self.at else { return Vec::new() };
        let standing = words::standing(state, at);
        let own = state.judgement(at);
        let mut lines = vec![own.map_or_else(
            || "This head has no ruling: nothing was recorded about it in this round.".to_owned(),
            words::ruling,
        )];
        let condemned = condemnation(state, at);
        if let Some(it) = &condemned {
            lines.push(format!("A failed test condemns it: {} ({}).", it.words, it.clause));
            lines.push(format!("  Because: {}", it.because));
        }
        if let Some(own) = own {
            // That no rule had anything to say is true only where the register's own have not either.
            if (standing.is_none() && condemned.is_none()) || !state.judge().reasons(own).is_empty() {
                lines.extend(say(state, own));
            }
        }
        if let Some(standing) = standing {
            lines.push(words::by_register(standing));
            lines.extend(say(state, standing));
        }
        lines
    }
}

fn plainly(what: What) -> (What, Marks) {
    (what, Marks::default())
}

fn back(outcome: Result<Option<(Id, String)>, Box<Diagnostic>>, nothing: &str) -> Vec<String> {
    match outcome {
        Ok(Some((_, words))) => vec![format!("{words}.")],
        Ok(None) => vec![nothing.to_owned()],
        Err(trouble) => told(&trouble),
    }
}

fn told(trouble: &Diagnostic) -> Vec<String> {
    let mut lines = vec![sentence(&trouble.message)];
    if trouble.code == "no-round" {
        lines.push(BEGIN.to_owned());
    } else if let Some(help) = &trouble.help {
        lines.push(sentence(help));
    }
    lines
}

/// The words as a sentence: a capital at the start, a stop at the end.
fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    let first = chars.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    let end = if text.ends_with(['.', '?', '!']) { "" } else { "." };
    format!("{first}{}{end}", chars.as_str())
}
