//! The axes of a terminal plot and what stands between them.

use super::canvas::Canvas;
use super::signs::{Glyphs, tag};
use super::{Plan, cells, shown};
use crate::report::lines::{right, width};
use crate::report::plot::model::{Across, Data, Ink, Mark, Plot, Point, Scale, Series};
use crate::report::plot::shape::{Unit, height_at, strokes, unit};
use crate::report::plot::ticks::Tick;

/// The axes with their numbers, and the words beside rows.
pub(super) fn frame(canvas: &mut Canvas, plot: &Plot, plan: &Plan) {
    let (axis, base) = (plan.left.saturating_sub(1), plan.top + plan.high);
    for row in plan.top..base {
        canvas.put(axis, row, plan.glyphs.upright(), Ink::Axis);
    }
    canvas.put(axis, base, plan.glyphs.corner(), Ink::Axis);
    for column in plan.left..plan.left + plan.wide {
        canvas.put(column, base, plan.glyphs.base(), Ink::Axis);
    }
    for (column, start, text) in ticks(canvas.columns, plot, plan) {
        // At the corner the axis itself is the tick.
        if column > plan.left {
            canvas.put(column, base, plan.glyphs.tick_below(), Ink::Axis);
        }
        canvas.write(start, base + 1, &text, Ink::Faint);
    }
    if plot.y.scale == Scale::Rows { rows(canvas, plot, plan) } else { upright(canvas, plot, plan) }
}

/// The ticks along `x`, as many as fit beside one another: the column, where its text begins, the text.
fn ticks(columns: usize, plot: &Plot, plan: &Plan) -> Vec<(usize, usize, String)> {
    let mut best: Vec<(usize, usize, String)> = Vec::new();
    for most in 2..=16 {
        let place = |tick: Tick| {
            let column = plan.column(plot.x.inside(tick.at)?);
            let wide = width(&tick.text);
            Some((column, column.saturating_sub(wide / 2).min(columns.saturating_sub(wide)), tick.text))
        };
        let ticks: Vec<(usize, usize, String)> = plot.x.ticks(most).into_iter().filter_map(place).collect();
        let apart = ticks.iter().zip(ticks.iter().skip(1)).all(|((_, a, text), (_, b, _))| a + width(text) + 3 <= *b);
        if apart && ticks.len() > best.len() {
            best = ticks;
        }
    }
    best
}

fn upright(canvas: &mut Canvas, plot: &Plot, plan: &Plan) {
    let mut last = None;
    for tick in plot.y.ticks(plan.y_ticks) {
        let Some(at) = plot.y.inside(tick.at) else { continue };
        let row = plan.line(1.0 - at, false);
        if last == Some(row) {
            continue;
        }
        last = Some(row);
        canvas.put(plan.left.saturating_sub(1), row, plan.glyphs.tick_beside(), Ink::Axis);
        canvas.write(
            0,
            row,
            &right(&plan.words(&tick.text, plan.left.saturating_sub(2)), plan.left.saturating_sub(2)),
            Ink::Faint,
        );
    }
}

fn rows(canvas: &mut Canvas, plot: &Plot, plan: &Plan) {
    let behind = plan.left + plan.wide + 1;
    for (n, row) in plot.rows.iter().enumerate().take(plan.high) {
        let line = plan.top + n;
        canvas.write(0, line, &plan.words(&row.label, plan.left.saturating_sub(2)), Ink::Text);
        if plan.more > 0 {
            let more = right(&shown(&row.more, plan.glyphs), plan.more - 1);
            canvas.write(behind, line, &more, Ink::Faint);
        }
        canvas.write(behind + plan.more, line, &plan.words(&row.word, plan.word), row.weight.ink());
    }
}

/// Everything between the axes, from the back to the front.
pub(super) fn inside(canvas: &mut Canvas, plot: &Plot, plan: &Plan) {
    let mut area = Area { canvas, plot, plan };
    for (n, series) in plot.series.iter().enumerate() {
        area.series(n, series);
    }
    for mark in &plot.marks {
        area.mark(mark);
    }
    area.limits();
    area.bands();
    let mut labels = Vec::new();
    for mark in &plot.marks {
        area.mark_label(mark, &mut labels);
    }
}

/// What a line looks like in the key.
pub(super) fn line_swatch(n: usize, all: usize, glyphs: Glyphs) -> String {
    let dot = tag(n, all).unwrap_or(glyphs.dot(n));
    if glyphs.is_ascii() { dot.to_string().repeat(3) } else { format!("⠒{dot}⠒") }
}

struct Area<'a> {
    canvas: &'a mut Canvas,
    plot: &'a Plot,
    plan: &'a Plan,
}

impl Area<'_> {
    fn row(&self, down: f64) -> usize {
        self.plan.line(down, self.plot.y.scale == Scale::Rows)
    }

    fn at(&self, place: Unit) -> (usize, usize) {
        (self.plan.column(place.0), self.row(place.1))
    }

    fn columns(&self) -> std::ops::Range<usize> {
        self.plan.left..self.plan.left + self.plan.wide
    }

    fn lines(&self) -> std::ops::Range<usize> {
        self.plan.top..self.plan.top + self.plan.high
    }

    fn series(&mut self, n: usize, series: &Series) {
        match &series.data {
            Data::Line(points) if self.plan.glyphs.is_ascii() => self.dotted(n, series.ink, points),
            Data::Line(points) => self.braille(n, series.ink, points),
            Data::Steps { points, censored, .. } => self.stairs(n, series.ink, points, censored),
            Data::Points(marker, points) => {
                let sign = self.plan.glyphs.marker(*marker);
                for point in points {
                    if let Some(place) = unit(self.plot, *point) {
                        let (column, row) = self.at(place);
                        self.canvas.put(column, row, sign, series.ink);
                    }
                }
            }
            Data::Spans(spans) => {
                for span in spans {
                    for stroke in strokes(self.plot, &[span.from, span.to].map(|x| Point { x, y: span.y }), false) {
                        if let (Some(a), Some(b)) = (stroke.first(), stroke.last()) {
                            let ((from, row), (to, _)) = (self.at(*a), self.at(*b));
                            (from..=to).for_each(|c| self.canvas.put(c, row, self.plan.glyphs.span(), series.ink));
                        }
                    }
                }
            }
        }
    }

    /// A line in signs of one cell, one or more to a column so that it hangs together.
    fn dotted(&mut self, n: usize, ink: Ink, points: &[Point]) {
        let sign = tag(n, self.plot.series.len()).unwrap_or(self.plan.glyphs.dot(n));
        let mut last: Option<usize> = None;
        let strokes = strokes(self.plot, points, false);
        for column in self.columns() {
            let right = fraction((column - self.plan.left) * 2, self.plan.wide * 2);
            let Some(row) = height_at(&strokes, right).map(|down| self.row(down)) else {
                last = None;
                continue;
            };
            let from = last.map_or(row, |l| {
                if l < row {
                    l + 1
                } else if l > row {
                    l - 1
                } else {
                    row
                }
            });
            (from.min(row)..=from.max(row)).for_each(|r| self.canvas.put(column, r, sign, ink));
            last = Some(row);
        }
    }

    /// A line in dots of which a cell has two columns and four lines. With more than one line, each carries its own sign at
    /// places that do not fall together.
    fn braille(&mut self, n: usize, ink: Ink, points: &[Point]) {
        // The bits of a braille sign, by column and line: Unicode Standard, block U+2800.
        const BITS: [[u32; 4]; 2] = [[0x01, 0x02, 0x04, 0x40], [0x08, 0x10, 0x20, 0x80]];
        let (wide, high) = (self.plan.wide * 2, self.plan.high * 4);
        let strokes = strokes(self.plot, points, false);
        let mut last: Option<usize> = None;
        for x in 0..wide {
            let Some(y) = height_at(&strokes, fraction(x, wide)).map(|down| cells(down, high)) else {
                last = None;
                continue;
            };
            let from = last.map_or(y, |l| {
                if l < y {
                    l + 1
                } else if l > y {
                    l - 1
                } else {
                    y
                }
            });
            for dot in from.min(y)..=from.max(y) {
                let (column, row) = (self.plan.left + x / 2, self.plan.top + dot / 4);
                let bit = BITS.get(x % 2).and_then(|b| b.get(dot % 4)).copied().unwrap_or(0);
                let old = self.canvas.cell(column, row).and_then(|c| c.glyph.chars().next()).map_or(0, u32::from);
                let old = if (0x2800..=0x28FF).contains(&old) { old } else { 0x2800 };
                self.canvas.put(column, row, char::from_u32(old | bit).unwrap_or(' '), ink);
            }
            last = Some(y);
        }
        if self.plot.series.len() > 1 {
            let sign = tag(n, self.plot.series.len()).unwrap_or(self.plan.glyphs.dot(n));
            self.along(n, ink, &strokes, sign);
        }
    }

    /// A series' own sign at some places along it, where the other series have none.
    fn along(&mut self, n: usize, ink: Ink, strokes: &[Vec<Unit>], sign: char) {
        let lines = self.plot.series.len().max(1);
        let step = (self.plan.wide / 5).max(4);
        for column in self.columns().skip(step / 2 + n * step / lines).step_by(step) {
            let right = fraction((column - self.plan.left) * 2, self.plan.wide * 2);
            let near =
                |m: &Mark| self.plot.x.inside(m.at.x).is_some_and(|at| self.plan.column(at).abs_diff(column) < 3);
            if self.plot.marks.iter().any(near) {
                continue;
            }
            if let Some(row) = height_at(strokes, right).map(|down| self.row(down)) {
                self.canvas.put(column, row, sign, ink);
            }
        }
    }

    /// A staircase in box drawing. Where two run in one place they take turns.
    fn stairs(&mut self, n: usize, ink: Ink, points: &[Point], censored: &[Point]) {
        let stair = self.plan.glyphs.stair(n);
        let ends =
            (points.first().and_then(|p| self.plot.x.place(p.x)), points.last().and_then(|p| self.plot.x.place(p.x)));
        let (Some(first), Some(last)) = ends else { return };
        let (first, last) = (self.plan.column(first), self.plan.column(last));
        let mut before: Option<usize> = None;
        for column in first..=last {
            let value =
                |p: &&Point| self.plot.x.place(p.x).is_some_and(|at| at <= 1.0 && self.plan.column(at) <= column);
            let Some(place) = points.iter().rev().find(value).and_then(|p| self.plot.y.place(p.y)) else { continue };
            let row = self.row(1.0 - place);
            let from = before.unwrap_or(row);
            before = Some(row);
            if from == row {
                let mine = self.canvas.is_blank(column, row) || column % 2 == n % 2;
                if mine {
                    self.canvas.put(column, row, stair.along, ink);
                }
                continue;
            }
            let (start, end) = if from < row { stair.fall } else { stair.rise };
            (from.min(row)..from.max(row)).for_each(|r| self.canvas.put(column, r, stair.upright, ink));
            self.canvas.put(column, from, start, ink);
            self.canvas.put(column, row, end, ink);
        }
        if let Some(sign) = tag(n, self.plot.series.len()) {
            self.along(n, ink, &strokes(self.plot, points, true), sign);
        }
        for point in censored {
            if let Some(place) = unit(self.plot, *point) {
                let (column, row) = self.at(place);
                self.canvas.put(column, row, stair.tick, ink);
            }
        }
    }

    fn limits(&mut self) {
        for limit in &self.plot.limits {
            match limit.across {
                Across::X => {
                    let Some(at) = self.plot.x.inside(limit.at) else { continue };
                    let column = self.plan.column(at);
                    for row in self.lines() {
                        let span = self.canvas.cell(column, row).is_some_and(|c| c.ink == Ink::Faint);
                        if span {
                            self.canvas.put(column, row, self.plan.glyphs.limit_upright(), Ink::Limit);
                        }
                        self.canvas.behind(column, row, self.plan.glyphs.limit_upright(), Ink::Limit);
                    }
                }
                Across::Y => {
                    let Some(at) = self.plot.y.inside(limit.at) else { continue };
                    let row = self.row(1.0 - at);
                    for column in self.columns() {
                        self.canvas.behind(column, row, self.plan.glyphs.limit_along(), Ink::Limit);
                    }
                    let label = self.plan.words(&limit.label, self.plan.wide / 3);
                    let start = (self.plan.left + self.plan.wide).saturating_sub(width(&label) + 1);
                    let over = if row > self.plan.top { row - 1 } else { row };
                    if (start..start + width(&label)).all(|c| self.canvas.is_blank(c, over)) {
                        self.canvas.write(start, over, &label, Ink::Limit);
                    }
                }
            }
        }
    }

    /// Stretches between rows are dotted; over a curve they have edges.
    fn bands(&mut self) {
        for band in self.plot.bands.iter().filter(|b| b.across == Across::X) {
            let place = |v: f64| self.plot.x.place(v).map(|p| self.plan.column(p.clamp(0.0, 1.0)));
            let (Some(from), Some(to)) = (place(band.from), place(band.to)) else { continue };
            if self.plot.y.scale == Scale::Rows {
                for row in self.lines() {
                    for column in (from + 1..to).filter(|c| c % 2 == 0) {
                        self.canvas.behind(column, row, self.plan.glyphs.shade(), Ink::Faint);
                    }
                }
                continue;
            }
            let edge = self.plan.glyphs.upright();
            let (first, end) = (self.plan.left, self.columns().end);
            for column in [from, to].into_iter().filter(|c| *c > first && *c + 1 < end) {
                for row in self.lines() {
                    self.canvas.behind(column, row, edge, Ink::Faint);
                }
            }
        }
    }

    fn mark(&mut self, mark: &Mark) {
        let Some((column, row)) = unit(self.plot, mark.at).map(|p| self.at(p)) else { return };
        if mark.to_axes {
            for r in row + 1..self.lines().end {
                self.canvas.behind(column, r, self.plan.glyphs.lead_upright(), Ink::Faint);
            }
            for c in self.plan.left..column {
                self.canvas.behind(c, row, self.plan.glyphs.lead_along(), Ink::Faint);
            }
        }
        self.canvas.put(column, row, self.plan.glyphs.mark(), Ink::Mark);
    }

    /// The label goes where it covers least: beside the mark, or in a line near it.
    fn mark_label(&mut self, mark: &Mark, taken: &mut Vec<(usize, usize, usize)>) {
        let Some((column, row)) = unit(self.plot, mark.at).map(|p| self.at(p)) else { return };
        let label = self.plan.words(&mark.label, self.plan.wide.saturating_sub(2));
        let wide = width(&label);
        let mut best: Option<(usize, usize, usize)> = None;
        for away in [0_usize, 1, 2, 3] {
            for up in [true, false] {
                let line = if up { row.checked_sub(away) } else { row.checked_add(away) };
                let Some(line) = line.filter(|l| self.lines().contains(l)) else { continue };
                for start in [Some(column + 2), column.checked_sub(wide + 1)] {
                    let Some(start) = start.filter(|s| *s >= self.plan.left && s + wide < self.columns().end) else {
                        continue;
                    };
                    let cost = |c: usize| match self.canvas.cell(c, line) {
                        Some(cell) if cell.is_blank() => 0,
                        Some(cell) if cell.ink == Ink::Faint => 1,
                        _ => 6,
                    };
                    let covered: usize = (start..start + wide).map(cost).sum();
                    let clash = taken.iter().any(|(r, a, b)| *r == line && start <= *b && *a <= start + wide);
                    let cost = covered + away * 3 + if clash { 1000 } else { 0 };
                    if best.is_none_or(|(c, ..)| cost < c) {
                        best = Some((cost, start, line));
                    }
                }
            }
        }
        if let Some((_, start, line)) = best {
            self.canvas.write(start, line, &label, Ink::Mark);
            taken.push((line, start, start + wide));
        }
    }
}

/// The place of a cell among `n`, as a fraction.
fn fraction(at: usize, n: usize) -> f64 {
    let f = |v: usize| f64::from(u32::try_from(v).unwrap_or(u32::MAX));
    f(at) / f(n.saturating_sub(1).max(1))
}
