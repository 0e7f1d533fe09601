//! What the screens of lots show, worked out once and kept until something is recorded or the day changes; and how a stage and
//! a verdict look.

use chrono::NaiveDate;
use ratatui::style::Style;

use crate::bench::judge::Verdict;
use crate::round::lots::{self, Lot, Stage};
use crate::round::state::State;
use crate::trade::address::AreaId;
use crate::tui::screen::View;

/// The lots at one moment.
#[derive(Default)]
pub(super) struct Worked {
    seen: Option<(usize, NaiveDate)>,
    pub(super) lots: Vec<Lot>,
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
        true
    }

    /// The lot of that name.
    pub(super) fn named(&self, id: &AreaId) -> Option<&Lot> {
        self.lots.iter().find(|l| l.id == *id)
    }
}

/// A stage's sign and style.
pub(super) const fn stage(stage: Stage, view: &View<'_>) -> (&'static str, Style) {
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
