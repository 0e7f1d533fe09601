//! What the screens of lots show, worked out once and kept until something is recorded or the day changes; and how a stage and
//! a verdict look.

use std::collections::HashMap;

use chrono::NaiveDate;
use ratatui::style::Style;

use crate::bench::judge::Verdict;
use crate::round::lots::{self, Lot, Stage};
use crate::round::state::State;
use crate::trade::address::AreaId;
use crate::tui::samples;
use crate::tui::screen::View;

/// The lots at one moment.
#[derive(Default)]
pub(super) struct Worked {
    seen: Option<(usize, NaiveDate)>,
    pub(super) lots: Vec<Lot>,
    overdue: HashMap<AreaId, NaiveDate>,
}

impl Worked {
    /// Works the lots out again where something was recorded since; whether that was so comes back.
    pub(super) fn refresh(&mut self, state: &State, today: NaiveDate) -> bool {
        let now = Some((state.entries().len(), today));
        if self.seen == now {
            return false;
        }
        self.seen = now;
        self.lots = lots::lots(state);
        let late = |l: &Lot| Some((l.id.clone(), samples::overdue(state, l, today)?));
        self.overdue = self.lots.iter().filter_map(late).collect();
        true
    }

    /// The day since which a lot that passed is due again.
    pub(super) fn overdue(&self, id: &AreaId) -> Option<NaiveDate> {
        self.overdue.get(id).copied()
    }

    /// The lot of that name.
    pub(super) fn named(&self, id: &AreaId) -> Option<&Lot> {
        self.lots.iter().find(|l| l.id == *id)
    }
}

/// The sign and style of a lot: those of its stage, or those of one that is due again after it passed.
pub(super) fn standing(lot: &Lot, overdue: Option<NaiveDate>, view: &View<'_>) -> (&'static str, Style) {
    match overdue {
        Some(_) => (view.glyphs.warn, view.theme.warning),
        None => stage(lot.outcome.stage, view),
    }
}

/// A stage's sign and style.
const fn stage(stage: Stage, view: &View<'_>) -> (&'static str, Style) {
    match stage {
        Stage::Formed => (view.glyphs.open, view.theme.text),
        Stage::Drawn | Stage::TakenDown | Stage::AtBench => (view.glyphs.arrow, view.theme.accent),
        Stage::Undecided => (view.glyphs.unsure, view.theme.warning),
        Stage::Passed => (view.glyphs.check, view.theme.good),
        Stage::Condemned => (view.glyphs.cross, view.theme.error),
    }
}

/// A verdict's sign and style; `None`: not tested.
pub(super) const fn verdict(verdict: Option<Verdict>, view: &View<'_>) -> (&'static str, Style) {
    match verdict {
        None => (view.glyphs.open, view.theme.dim),
        Some(Verdict::Void) => (view.glyphs.unsure, view.theme.warning),
        Some(Verdict::NoLimit) => (view.glyphs.bullet, view.theme.warning),
        Some(v) if v.fails() => (view.glyphs.cross, view.theme.error),
        Some(_) => (view.glyphs.check, view.theme.good),
    }
}
