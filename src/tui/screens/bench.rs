//! One sampled head at the bench: conditions, a stopwatch, what was seen, the limits and the verdict as they stand. Recorded with
//! one key; the next head takes the conditions over.

use std::cell::Cell;
use std::rc::Rc;

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::bench_draw;
use super::bench_rows::{carried, form, is_measured, readings};
use super::form::Form;
use super::parts::state;
use super::stopwatch::{Mark, Watch};
use crate::bench::heat::Window;
use crate::bench::judge::{Judged, Limits, Verdict};
use crate::round::entry::{Id, Readings};
use crate::round::layout::HeadIx;
use crate::round::lots::{self, Lot};
use crate::round::state::State;
use crate::trade::address::AreaId;
use crate::trade::measure::Seconds;
use crate::trade::quantity::Units;
use crate::trade::register::KindIx;
use crate::tui::ask::Confirm;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::samples;
use crate::tui::screen::{Effect, Input, Message, Screen, View};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Mark,
    Clear,
    Leak,
    End,
    TakeBack,
    Afresh,
    Record,
    Rows,
    Remarks,
    After,
    Before,
    Leave,
}

const fn row(
    keys: &'static [Key],
    action: Action,
    name: &'static str,
    help: &'static str,
    rank: u8,
) -> Binding<Action> {
    Binding { keys, action, name, help, rank }
}

/// Keys of the stopwatch; on the rows below, those of a form.
const KEYS: &[Binding<Action>] = &[
    row(
        &[Key::Space],
        Action::Mark,
        "start, mark",
        "start the stopwatch; then mark: the element operated; then: the waterway cleared",
        0,
    ),
    row(
        &[Key::Enter],
        Action::Record,
        "record",
        "record the test as it stands and go on to the next head; a void one asks first",
        1,
    ),
    row(&[Key::Down, Key::Tab], Action::Rows, "rows", "to the rows: conditions, times, what was seen", 2),
    row(
        &[Key::Char('s')],
        Action::Remarks,
        "seen",
        "to the rows of what was seen: the head before the test, water seal, lodged parts, deflector",
        6,
    ),
    row(
        &[Key::Char('e')],
        Action::End,
        "end",
        "the exposure ended and the waterway had not cleared: the stopwatch stops",
        3,
    ),
    row(
        &[Key::Char('w')],
        Action::Clear,
        "water",
        "the waterway cleared, whether or not the element was marked: the stopwatch stops",
        4,
    ),
    row(&[Key::Char('l')], Action::Leak, "leak", "it began to leak: the stopwatch runs on", 5),
    row(
        &[Key::Backspace],
        Action::TakeBack,
        "take back",
        "take the last mark back, and the watch runs on; without marks, the start",
        6,
    ),
    row(&[Key::Char('x')], Action::Afresh, "afresh", "clear the times for another run, after a question", 9),
    row(&[Key::Right], Action::After, "next head", "the next head of the sample, where nothing is typed here", 8),
    row(&[Key::Left], Action::Before, "head before", "the head before, where nothing is typed here", 9),
    row(&[Key::Esc], Action::Leave, "back", "back to the lot; asks first when something was typed or marked", 7),
];

/// What is said where the clock jumped.
pub(super) const JUMPED: &str =
    "The computer's clock jumped: the stopwatch says nothing of this run. Type times taken by hand, or x: another run";

/// Where one stands in the form while one is at the stopwatch.
const NOWHERE: usize = usize::MAX / 2;

/// What is shown of the head as the readings stand.
pub(super) struct Shown {
    pub(super) readings: Readings,
    pub(super) limits: Limits,
    pub(super) window: Result<Window, String>,
    pub(super) judged: Option<Judged>,
    /// Why the test is void whatever the times will be; `None`: it need not be.
    pub(super) void: Option<String>,
}

/// What a question at the stopwatch was about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Agreed {
    /// Clear the times for another run.
    Afresh,
    /// Start though the test would be void.
    Start,
}

/// A head at the bench.
pub struct BenchScreen {
    pub(super) id: AreaId,
    pub(super) head: HeadIx,
    pub(super) kind: KindIx,
    pub(super) tag: String,
    /// Which of how many.
    pub(super) number: (usize, usize),
    /// How many heads a failure condemns.
    pub(super) at_stake: usize,
    pub(super) form: Form,
    pub(super) watch: Watch,
    pub(super) on_watch: bool,
    pub(super) shown: Option<Shown>,
    /// The test that stands already and is corrected.
    pub(super) corrects: Option<Id>,
    /// Whether the stopwatch marked something.
    marked: bool,
    /// A question that was answered with yes, until it is acted upon.
    agreed: Rc<Cell<Option<Agreed>>>,
    /// The head to go on with once this one is recorded.
    pub(super) onward: Option<HeadIx>,
}

fn units(view: &View<'_>) -> Units {
    state(view).map_or(Units::Metric, |s| s.register().site.units)
}

pub(super) fn named(state: &State, id: &AreaId) -> Option<Lot> {
    lots::lots(state).into_iter().find(|l| l.id == *id)
}

/// Why a test under these conditions is void whatever is timed; `None`: a head that opens in good time passes.
fn void_anyhow(
    state: &State,
    head: HeadIx,
    kind: KindIx,
    readings: &Readings,
    window: &Result<Window, String>,
) -> Option<String> {
    let window = match window {
        Ok(window) => window,
        Err(why) => return Some(why.clone()),
    };
    let good = Seconds::new(window.latest_s.or(window.earliest_s).unwrap_or(1.0));
    let conditions = Readings {
        oven: readings.oven,
        air: readings.air,
        start: readings.start,
        pressure: readings.pressure,
        operating: readings.operating,
        c: readings.c,
        element: good,
        clear: good,
        ..Readings::default()
    };
    let (_, _, judged) = samples::judged(state, head, kind, &conditions)?;
    (judged.verdict == Verdict::Void).then(|| judged.why.join("; "))
}

/// The readings of the test of the lot that was recorded last.
fn last_test(state: &State, lot: &Lot) -> Option<(KindIx, Readings)> {
    let last = lot.samples.iter().filter(|s| s.test.is_some()).max_by_key(|s| s.test)?;
    lots::tested(state, last.test?).map(|(_, t)| (last.kind, t.readings.clone()))
}

impl BenchScreen {
    /// A head of a lot's sample, at the stopwatch.
    #[must_use]
    pub fn boxed(view: &View<'_>, id: &AreaId, head: HeadIx) -> Box<dyn Screen> {
        let mut it = Self {
            id: id.clone(),
            head,
            kind: KindIx(0),
            tag: String::new(),
            number: (1, 1),
            at_stake: 0,
            form: form(&Readings::default(), units(view)),
            watch: Watch::default(),
            on_watch: true,
            shown: None,
            corrects: None,
            marked: false,
            agreed: Rc::default(),
            onward: None,
        };
        it.load(view, head);
        Box::new(it)
    }

    /// Takes up a head: what is recorded of it, or the conditions of the test before.
    fn load(&mut self, view: &View<'_>, head: HeadIx) {
        let Some(state) = state(view) else { return };
        let Some(lot) = named(state, &self.id) else { return };
        let Some((at, sample)) = lot.samples.iter().enumerate().find(|(_, s)| s.head == head) else { return };
        self.head = head;
        self.kind = sample.kind;
        self.tag.clone_from(&sample.tag);
        self.number = (at + 1, lot.samples.len());
        self.at_stake = lot.heads.len();
        let known = sample.test.and_then(|ix| lots::tested(state, ix));
        self.corrects = known.map(|(e, _)| e.id);
        let known = match known {
            Some((_, tested)) => tested.readings.clone(),
            None => last_test(state, &lot).map(|(kind, r)| carried(&r, kind == sample.kind)).unwrap_or_default(),
        };
        let conditions = known.oven.is_some() && known.air.is_some() && known.start.is_some();
        self.form = form(&known, units(view));
        self.watch = Watch::default();
        self.marked = false;
        // Without conditions nothing can be said of the times: they come first.
        self.on_watch = conditions;
        self.form.stand(if conditions { NOWHERE } else { 0 });
        self.work_out(view);
    }

    pub(super) fn work_out(&mut self, view: &View<'_>) {
        let Some(state) = state(view) else { return };
        let readings = readings(self.form.rows(), units(view));
        let found = samples::judged(state, self.head, self.kind, &readings);
        self.shown = found.map(|(limits, window, judged)| {
            let judged = Some(judged).filter(|_| is_measured(&readings));
            let void = void_anyhow(state, self.head, self.kind, &readings, &window);
            Shown { readings, limits, window, judged, void }
        });
    }

    fn is_touched(&self) -> bool {
        self.form.is_touched() || self.marked || self.watch.is_started()
    }

    fn mark(&mut self, mark: Mark, view: &View<'_>) -> Vec<Effect> {
        if self.watch.has_jumped() {
            return vec![Effect::Warn(JUMPED.to_owned())];
        }
        if !self.watch.is_running() {
            return vec![Effect::Warn("The stopwatch does not run: Space starts it".to_owned())];
        }
        match self.watch.mark(mark, view.struck) {
            Some(at) => {
                self.form.write(mark.reading(), &at.to_string());
                self.marked = true;
                vec![Effect::Tell(format!("{}: {}", samples::capital(mark.words()), samples::watched(at)))]
            }
            None => vec![Effect::Warn(format!("It is marked already: {}", mark.words()))],
        }
    }

    fn start(&mut self, view: &View<'_>) -> Vec<Effect> {
        if self.watch.has_jumped() {
            return vec![Effect::Warn(JUMPED.to_owned())];
        }
        let timed = self.shown.as_ref().is_some_and(|s| is_measured(&s.readings));
        if timed || self.watch.is_started() {
            return vec![Effect::Warn("Times stand there already: x clears them for another run".to_owned())];
        }
        // A head can be burnt only once.
        if let Some(why) = self.shown.as_ref().and_then(|s| s.void.as_deref()) {
            let question = format!(
                "{}. So the test would be void, and a head operates only once. Start all the same?",
                samples::capital(why)
            );
            return self.ask(Agreed::Start, "Void as things stand", question);
        }
        self.watch.start(view.struck);
        Vec::new()
    }

    /// Asks; what was agreed to is done when the question has left.
    fn ask(&self, about: Agreed, title: &str, question: String) -> Vec<Effect> {
        let agreed = Rc::clone(&self.agreed);
        let then = move |(), _: &View<'_>| {
            agreed.set(Some(about));
            Vec::new()
        };
        vec![Effect::Push(Confirm::new(title, question, Box::new(then)))]
    }

    fn clear_times(&mut self) {
        for mark in [Mark::Element, Mark::Leak, Mark::Clear, Mark::Until] {
            self.form.write(mark.reading(), "");
        }
        self.watch = Watch::default();
        self.marked = false;
    }

    fn act(&mut self, action: Action, view: &View<'_>) -> Vec<Effect> {
        match action {
            Action::Mark => match self.watch.next() {
                Some(mark) => return self.mark(mark, view),
                None => return self.start(view),
            },
            Action::Clear => return self.mark(Mark::Clear, view),
            Action::Leak => return self.mark(Mark::Leak, view),
            Action::End => return self.mark(Mark::Until, view),
            Action::TakeBack => {
                if let Some(mark) = self.watch.take_back() {
                    self.form.write(mark.reading(), "");
                }
            }
            Action::Afresh => {
                let question = format!("Clear the times of {} and start another run?", self.tag);
                return self.ask(Agreed::Afresh, "Another run?", question);
            }
            Action::Record => return self.record(view),
            Action::Rows => {
                self.on_watch = false;
                self.form.stand(0);
            }
            Action::Remarks => {
                self.on_watch = false;
                self.form.stand(self.form.rows().0.iter().position(|r| r.key == "before").unwrap_or(0));
            }
            Action::After => return self.go(true, view),
            Action::Before => return self.go(false, view),
            Action::Leave if self.is_touched() => {
                let question = "What was typed or marked here is not recorded. Leave, and lose it?";
                return vec![Effect::Push(Confirm::new(
                    "Leave the bench?",
                    question,
                    Box::new(|(), _| vec![Effect::Pop]),
                ))];
            }
            Action::Leave => return vec![Effect::Pop],
        }
        Vec::new()
    }

    fn go(&mut self, forward: bool, view: &View<'_>) -> Vec<Effect> {
        if self.is_touched() {
            return vec![Effect::Warn("Record this head first, or leave it with Esc".to_owned())];
        }
        let Some(lot) = state(view).and_then(|s| named(s, &self.id)) else { return Vec::new() };
        let (at, all) = (self.number.0 - 1, lot.samples.len().max(1));
        let to = if forward { at + 1 } else { at + all - 1 } % all;
        if let Some(head) = lot.samples.get(to).map(|s| s.head) {
            self.load(view, head);
        }
        Vec::new()
    }
}

impl Screen for BenchScreen {
    fn name(&self) -> &'static str {
        "bench"
    }

    fn keys(&self, view: &View<'_>) -> Vec<KeyLine> {
        if !self.on_watch {
            let mut rows = self.form.keys(view);
            if let Some(leave) = rows.iter_mut().find(|l| l.keys == "Esc") {
                leave.name = "stopwatch".to_owned();
                leave.help = "from the rows to the stopwatch; from there back to the lot".to_owned();
            }
            return rows;
        }
        let running = self.watch.is_running();
        let mut own = lines(KEYS, |a| match a {
            Action::Clear | Action::Leak | Action::End => running,
            Action::TakeBack => self.watch.is_started(),
            Action::Record => !running && self.shown.as_ref().is_some_and(|s| s.judged.is_some()),
            Action::Mark => running || !self.shown.as_ref().is_some_and(|s| is_measured(&s.readings)),
            Action::After | Action::Before => !self.is_touched() && self.number.1 > 1,
            Action::Rows | Action::Remarks | Action::Leave | Action::Afresh => true,
        });
        if let Some(mark) = own.iter_mut().find(|l| l.keys == "Space") {
            mark.name = match self.watch.next() {
                None => "start".to_owned(),
                Some(next) => next.words().to_owned(),
            };
        }
        own
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        // Keys that are held down leave the loop no time to tick.
        if self.watch.look(view.struck) {
            self.work_out(view);
            return vec![Effect::Warn(JUMPED.to_owned())];
        }
        let effects = if self.on_watch {
            // A glove's second stroke marks nothing.
            let Input::Key(key) = input else { return Vec::new() };
            find(KEYS, *key).map(|a| self.act(a, view)).unwrap_or_default()
        } else {
            match input {
                Input::Key(Key::Enter) if self.form.at() == self.form.rows().0.len() => self.record(view),
                Input::Key(Key::Up | Key::BackTab) if self.form.at() == 0 => {
                    self.on_watch = true;
                    self.form.stand(NOWHERE);
                    Vec::new()
                }
                Input::Key(Key::Esc) => {
                    // Esc leads from the rows to the stopwatch, and from there out.
                    self.on_watch = true;
                    self.form.stand(NOWHERE);
                    Vec::new()
                }
                other => self.form.update(other, view),
            }
        };
        self.work_out(view);
        effects
    }

    fn hear(&mut self, message: &Message, view: &View<'_>) {
        match message {
            Message::Recorded(_) => {
                if let Some(next) = self.onward.take() {
                    self.load(view, next);
                }
            }
            Message::Failed => self.onward = None,
            Message::Back => match self.agreed.take() {
                Some(Agreed::Afresh) => self.clear_times(),
                Some(Agreed::Start) => self.watch.start(view.struck),
                None => {}
            },
            _ => {}
        }
        self.work_out(view);
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        bench_draw::draw(self, view, area, buf)
    }

    fn takes_text(&self) -> bool {
        !self.on_watch
    }

    fn is_running(&self) -> bool {
        self.watch.is_running()
    }

    fn tick(&mut self, view: &View<'_>) -> Vec<Effect> {
        if self.watch.look(view.now) { vec![Effect::Warn(JUMPED.to_owned())] } else { Vec::new() }
    }
}
