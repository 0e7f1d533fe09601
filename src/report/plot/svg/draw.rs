//! The axes of an SVG plot and what stands between them.

use super::page::{Page, Pen};
use super::{BOLD, EDGE, LINE, Plan, TYPE, fitted, hex, reach};
use crate::report::plot::model::{Across, Band, Data, Ink, Mark, Marker, Plot, Point, Scale, Series, Spread};
use crate::report::plot::shape::{Unit, height_at, strokes, unit};

/// The dashes of series, in turn.
const DASHES: [&str; 4] = ["", "9 4", "2.5 3.5", "10 3 2.5 3"];
const WIDTHS: [f64; 4] = [2.2, 2.2, 2.6, 2.0];
// One more than dashes, so that the two together do not come round with the fifth series.
const MARKERS: [Marker; 5] = [Marker::Disc, Marker::Diamond, Marker::Square, Marker::Triangle, Marker::Ring];
const GRID: &str = "#dcdcdc";
const SHADES: [&str; 2] = ["#eeeeee", "#f8f8f8"];

fn marker_of(n: usize) -> Marker {
    MARKERS.get(n % MARKERS.len()).copied().unwrap_or(Marker::Disc)
}

fn pen_of(n: usize, ink: Ink) -> Pen {
    let pick = |list: [f64; 4]| list.get(n % 4).copied().unwrap_or(2.0);
    Pen { colour: hex(ink), wide: pick(WIDTHS), dash: DASHES.get(n % 4).copied().unwrap_or("") }
}

pub(super) fn all(page: &mut Page, plot: &Plot, plan: &Plan) {
    let mut area = Area { page, plot, plan };
    area.bands();
    area.axes();
    area.key();
    area.limits();
    for (n, series) in plot.series.iter().enumerate() {
        area.spread(series);
        area.series(n, series);
    }
    for mark in &plot.marks {
        area.mark(mark);
    }
    let mut taken = Vec::new();
    for mark in &plot.marks {
        area.mark_label(mark, &mut taken);
    }
}

struct Area<'a> {
    page: &'a mut Page,
    plot: &'a Plot,
    plan: &'a Plan,
}

impl Area<'_> {
    fn px(&self, place: Unit) -> (f64, f64) {
        (self.plan.left + place.0 * self.plan.wide, self.plan.top + place.1 * self.plan.high)
    }

    fn right(&self) -> f64 {
        self.plan.left + self.plan.wide
    }

    fn base(&self) -> f64 {
        self.plan.top + self.plan.high
    }

    fn bands(&mut self) {
        let bands: Vec<&Band> = self.plot.bands.iter().filter(|b| b.across == Across::X).collect();
        for (n, band) in bands.into_iter().enumerate() {
            let place = |v: f64| self.plot.x.place(v).map(|p| self.plan.left + p.clamp(0.0, 1.0) * self.plan.wide);
            let (Some(from), Some(to)) = (place(band.from), place(band.to)) else { continue };
            let shade = SHADES.get(n % 2).copied().unwrap_or("#eeeeee");
            self.page.rect(from, self.plan.top, to - from, self.plan.high, shade);
            if self.plot.y.scale != Scale::Rows && !band.label.is_empty() {
                let label = fitted(&band.label, to - from, TYPE);
                self.page.words(f64::midpoint(from, to), self.plan.top + LINE, &label, TYPE, Ink::Faint, "middle");
            }
        }
    }

    fn axes(&mut self) {
        let (left, base, right) = (self.plan.left, self.base(), self.right());
        let most = [4, 6, 8, 10, 14].into_iter().rev().find(|n| {
            let ticks = self.plot.x.ticks(*n);
            let wide: f64 = ticks.iter().map(|t| reach(&t.text, TYPE) + 14.0).sum();
            wide <= self.plan.wide
        });
        let mut free = EDGE / 2.0;
        for tick in self.plot.x.ticks(most.unwrap_or(3)) {
            let Some(x) = self.plot.x.inside(tick.at).map(|p| left + p * self.plan.wide) else { continue };
            self.page.stroke((x, self.plan.top), (x, base), Pen::plain(GRID, 1.0));
            self.page.stroke((x, base), (x, base + 5.0), Pen::plain(hex(Ink::Axis), 1.0));
            let half = reach(&tick.text, TYPE) / 2.0;
            let middle = x.min(self.plan.page - half - 2.0);
            if middle - half >= free {
                self.page.words(middle, base + LINE + 2.0, &tick.text, TYPE, Ink::Faint, "middle");
                free = middle + half + 4.0;
            }
        }
        if self.plot.y.scale == Scale::Rows {
            self.rows();
        } else {
            let ticks = self.plot.y.ticks(if self.plan.high < 160.0 { 4 } else { 6 });
            for tick in ticks {
                let Some(at) = self.plot.y.inside(tick.at) else { continue };
                let y = self.plan.top + (1.0 - at) * self.plan.high;
                self.page.stroke((left, y), (right, y), Pen::plain(GRID, 1.0));
                self.page.stroke((left - 5.0, y), (left, y), Pen::plain(hex(Ink::Axis), 1.0));
                self.page.words(left - 8.0, y + 4.5, &tick.text, TYPE, Ink::Faint, "end");
            }
        }
        self.page.stroke((left, self.plan.top), (left, base), Pen::plain(hex(Ink::Axis), 1.2));
        self.page.stroke((left, base), (right, base), Pen::plain(hex(Ink::Axis), 1.2));
        for label in &self.plan.labels {
            let up = f64::from(u32::try_from(self.plan.lanes - label.lane).unwrap_or(1));
            let gap = if self.plot.y.label.is_empty() { 5.0 } else { 12.0 };
            let y = self.plan.top - up * LINE + LINE - gap;
            self.page.words(label.x, y, &label.text, TYPE, label.ink, label.anchor);
        }
    }

    fn rows(&mut self) {
        let (left, right) = (self.plan.left, self.right());
        for (n, row) in (0_u32..).zip(&self.plot.rows) {
            let Some(at) = self.plot.y.inside(f64::from(n)) else { continue };
            let y = self.plan.top + at * self.plan.high;
            self.page.stroke((left, y), (right, y), Pen::plain(GRID, 1.0));
            let label = fitted(&row.label, left - EDGE - 8.0, TYPE);
            self.page.words(EDGE, y + 4.5, &label, TYPE, Ink::Text, "start");
            if self.plan.more > 0.0 {
                self.page.words(right + self.plan.more, y + 4.5, &row.more, TYPE, Ink::Faint, "end");
            }
            let bold = if row.weight.ink() == Ink::Bad { BOLD } else { 1.0 };
            let word = fitted(&row.word, self.plan.word / bold + 1.0, TYPE);
            self.page.words(right + self.plan.more + 10.0, y + 4.5, &word, TYPE, row.weight.ink(), "start");
        }
    }

    fn key(&mut self) {
        for entry in &self.plan.key {
            let Some(series) = self.plot.series.get(entry.series) else { continue };
            let y = entry.y + 8.0;
            let wide = match &series.data {
                Data::Points(marker, _) => {
                    self.page.marker((entry.x + 7.0, y), 5.0, *marker, hex(series.ink));
                    20.0
                }
                _ => {
                    let pen = pen_of(entry.series, series.ink);
                    self.page.stroke((entry.x, y), (entry.x + 40.0, y), pen);
                    self.page.marker((entry.x + 20.0, y), 4.5, marker_of(entry.series), pen.colour);
                    48.0
                }
            };
            self.page.words(entry.x + wide, y + 4.5, &entry.name, TYPE, Ink::Text, "start");
        }
    }

    fn limits(&mut self) {
        let pen = Pen { colour: hex(Ink::Limit), wide: 1.6, dash: "6 3 1.5 3" };
        for limit in &self.plot.limits {
            match limit.across {
                Across::X => {
                    let Some(at) = self.plot.x.inside(limit.at) else { continue };
                    let x = self.plan.left + at * self.plan.wide;
                    self.page.stroke((x, self.plan.top - 2.0), (x, self.base()), pen);
                }
                Across::Y => {
                    let Some(at) = self.plot.y.inside(limit.at) else { continue };
                    let y = self.plan.top + (1.0 - at) * self.plan.high;
                    self.page.stroke((self.plan.left, y), (self.right(), y), pen);
                    let label = fitted(&limit.label, self.plan.wide / 3.0, TYPE);
                    self.page.words(self.right() - 4.0, y - 5.0, &label, TYPE, Ink::Limit, "end");
                }
            }
        }
    }

    /// The band of confidence of a staircase: to the right and back.
    fn spread(&mut self, series: &Series) {
        let Data::Steps { spread, points, .. } = &series.data else { return };
        let Some(end) = points.last().map(|p| p.x) else { return };
        let edge = |value: fn(&Spread) -> f64| {
            let mut points: Vec<Point> = spread.iter().map(|s| Point { x: s.x, y: value(s) }).collect();
            if let Some(y) = points.last().filter(|p| p.x < end).map(|p| p.y) {
                points.push(Point { x: end, y });
            }
            strokes(self.plot, &points, true).into_iter().flatten().map(|u| self.px(u)).collect::<Vec<_>>()
        };
        let (mut around, mut back) = (edge(|s| s.high), edge(|s| s.low));
        if around.len() > 1 && back.len() > 1 {
            back.reverse();
            around.extend(back);
            self.page.area(&around, hex(series.ink), 0.13);
        }
    }

    fn series(&mut self, n: usize, series: &Series) {
        let colour = hex(series.ink);
        match &series.data {
            Data::Line(points) => self.line(n, series.ink, &strokes(self.plot, points, false)),
            Data::Steps { points, censored, .. } => {
                self.line(n, series.ink, &strokes(self.plot, points, true));
                for point in censored {
                    if let Some((x, y)) = unit(self.plot, *point).map(|u| self.px(u)) {
                        self.page.stroke((x, y - 7.0), (x, y + 7.0), Pen::plain(colour, 2.0));
                    }
                }
            }
            Data::Points(marker, points) => {
                let places: Vec<Unit> = points.iter().filter_map(|p| unit(self.plot, *p)).collect();
                for place in places {
                    let at = self.px(place);
                    self.page.marker(at, 5.0, *marker, colour);
                }
            }
            Data::Spans(spans) => {
                for span in spans {
                    let ends = [span.from, span.to].map(|x| Point { x, y: span.y });
                    for stroke in strokes(self.plot, &ends, false) {
                        let stroke: Vec<(f64, f64)> = stroke.into_iter().map(|u| self.px(u)).collect();
                        self.page.path(&stroke, Pen { colour, wide: 2.0, dash: "3 2" });
                    }
                }
            }
        }
    }

    /// A line in its dash; with more than one, each carries markers of its own shape where the others have none.
    fn line(&mut self, n: usize, ink: Ink, strokes: &[Vec<Unit>]) {
        let pen = pen_of(n, ink);
        for stroke in strokes {
            let stroke: Vec<(f64, f64)> = stroke.iter().map(|u| self.px(*u)).collect();
            self.page.path(&stroke, pen);
        }
        let lines = self.plot.series.len();
        if lines < 2 {
            return;
        }
        let turn = f64::from(u32::try_from(n).unwrap_or(0)) / f64::from(u32::try_from(lines).unwrap_or(1));
        for part in 0..6 {
            let right = (f64::from(part) + 0.15 + 0.8 * turn) / 6.0;
            if let Some(down) = height_at(strokes, right) {
                let at = self.px((right, down));
                self.page.marker(at, 4.5, marker_of(n), pen.colour);
            }
        }
    }

    fn mark(&mut self, mark: &Mark) {
        let Some((x, y)) = unit(self.plot, mark.at).map(|u| self.px(u)) else { return };
        if mark.to_axes {
            let pen = Pen { colour: hex(Ink::Faint), wide: 1.0, dash: "3 3" };
            self.page.stroke((x, y), (x, self.base()), pen);
            self.page.stroke((self.plan.left, y), (x, y), pen);
        }
        self.page.marker((x, y), 5.0, Marker::Diamond, hex(Ink::Mark));
    }

    /// The label goes where it covers least of lines, marks and other labels, on a ground of its own.
    fn mark_label(&mut self, mark: &Mark, taken: &mut Vec<[f64; 4]>) {
        let Some((x, y)) = unit(self.plot, mark.at).map(|u| self.px(u)) else { return };
        let label = fitted(&mark.label, self.plan.wide / BOLD - 8.0, TYPE);
        let wide = reach(&label, TYPE) * BOLD + 6.0;
        let spots = self.spots();
        let mut best: Option<(usize, [f64; 4])> = None;
        for (away, dy) in [-12.0, 14.0, -28.0, 30.0, -44.0, 46.0].into_iter().enumerate() {
            for left in [x + 9.0, x - 9.0 - wide, x - wide / 2.0] {
                let left = left.clamp(self.plan.left, (self.right() - wide).max(self.plan.left));
                let top = (y + dy - 9.0).clamp(self.plan.top, self.base() - 18.0);
                let area = [left, top, left + wide, top + 18.0];
                let [x1, y1, x2, y2] = area;
                let clash = taken.iter().any(|[a, b, c, d]| x1 < *c && *a < x2 && y1 < *d && *b < y2);
                let covered = spots.iter().filter(|(a, b)| x1 < *a && *a < x2 && y1 < *b && *b < y2).count();
                let cost = covered * 3 + away + if clash { 1000 } else { 0 };
                if best.is_none_or(|(c, _)| cost < c) {
                    best = Some((cost, area));
                }
            }
        }
        if let Some((_, area)) = best {
            let [x1, y1, x2, y2] = area;
            self.page.ground(x1, y1, x2 - x1, y2 - y1);
            self.page.words(x1 + 3.0, y2 - 4.5, &label, TYPE, Ink::Mark, "start");
            taken.push(area);
        }
    }

    /// Places that labels had better leave free.
    fn spots(&self) -> Vec<(f64, f64)> {
        let mut spots: Vec<(f64, f64)> = Vec::new();
        for series in &self.plot.series {
            let strokes = match &series.data {
                Data::Line(points) => strokes(self.plot, points, false),
                Data::Steps { points, .. } => strokes(self.plot, points, true),
                Data::Points(..) | Data::Spans(_) => continue,
            };
            let along = (0..=100).map(|n| f64::from(n) / 100.0);
            spots.extend(along.filter_map(|right| height_at(&strokes, right).map(|down| self.px((right, down)))));
        }
        for mark in &self.plot.marks {
            spots.extend(unit(self.plot, mark.at).map(|u| self.px(u)).map(|at| [at; 4]).into_iter().flatten());
        }
        spots
    }
}
