//! The due timeline: which groups of heads fall due when, one group a row.

use chrono::{Months, NaiveDate};

use crate::report::phrases::{counted, heads as head_count};
use crate::report::plot::model::{
    Across, Axis, Band, Data, Ink, Limit, Marker, Numbers, Plot, Point, Row, Scale, Series, Weight, day_number,
};

/// A group of heads that falls due.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DueRow {
    /// The day from which it is due.
    pub date: NaiveDate,
    /// Whether that day rests on a year nobody knows, taken on the safe side.
    pub assumed: bool,
    /// What group it is: area, kind, year.
    pub label: String,
    /// How many heads.
    pub heads: usize,
    /// What is due, in a word or two, such as `sample` or `replace`.
    pub what: String,
}

const MARKERS: [Marker; 5] = [Marker::Disc, Marker::Diamond, Marker::Square, Marker::Triangle, Marker::Ring];
/// How far back an overdue date is drawn at its place; older ones stand at the edge and point outwards.
const BACK: Months = Months::new(12);

/// Groups in order of their day, up to `until`; days before `today` are overdue. What lies further back than a year stands at
/// the left edge.
#[must_use]
pub fn due_timeline(title: &str, rows: &[DueRow], today: NaiveDate, until: NaiveDate) -> Plot {
    let mut shown: Vec<&DueRow> = rows.iter().filter(|r| r.date <= until).collect();
    shown.sort_by_key(|r| r.date);
    let overdue = shown.iter().any(|r| r.date < today);
    let back = today.checked_sub_months(BACK).unwrap_or(today);
    let ahead = (day_number(until) - day_number(today)).max(28.0);
    let from = if overdue {
        let oldest = shown.first().map_or(today, |r| r.date.max(back));
        day_number(oldest).min(day_number(today)) - ahead * 0.03
    } else {
        day_number(today) - ahead * 0.03
    };
    let later = rows.len() - shown.len();
    let mut note = Vec::new();
    if shown.iter().any(|r| r.assumed) {
        note.push("?: the year is not known, the earliest that it can be is taken.".to_owned());
    }
    if later > 0 {
        note.push(format!("{} due after {} left out.", counted(later, "group", "groups"), iso(until)));
    }
    Plot {
        title: title.to_owned(),
        x: Axis::new("", Scale::Date, from, day_number(today) + ahead),
        y: Axis::new("", Scale::Rows, -0.5, index(shown.len().max(1)) - 0.5),
        rows: shown.iter().map(|r| row(r, today)).collect(),
        series: series(&shown, from),
        bands: overdue.then(|| before(from, today)).into_iter().collect(),
        limits: vec![Limit { across: Across::X, at: day_number(today), label: format!("today {}", iso(today)) }],
        marks: Vec::new(),
        note,
        describe: describe(&shown, today, until),
        numbers: numbers(&shown, today),
    }
}

fn index(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}

fn iso(day: NaiveDate) -> String {
    day.format("%Y-%m-%d").to_string()
}

fn before(from: f64, today: NaiveDate) -> Band {
    Band { across: Across::X, from, to: day_number(today), label: "overdue".to_owned() }
}

fn row(due: &DueRow, today: NaiveDate) -> Row {
    let overdue = if due.date < today { ", overdue" } else { "" };
    let (before, unsure) = if due.assumed { ("? ", "?") } else { ("", "") };
    let word = format!("{} {}{overdue}", due.heads, due.what);
    let more = format!("{}{unsure}", due.date.format("%Y-%m"));
    let weight = match (due.date < today, due.assumed) {
        (true, _) => Weight::Bad,
        (false, true) => Weight::Watch,
        (false, false) => Weight::Plain,
    };
    Row { label: format!("{before}{}", due.label), word, more, weight }
}

/// One series of markers for each thing that is due, and one for what lies before the edge.
fn series(shown: &[&DueRow], from: f64) -> Vec<Series> {
    let mut whats: Vec<&str> = Vec::new();
    for due in shown {
        if !whats.contains(&due.what.as_str()) {
            whats.push(&due.what);
        }
    }
    let place = |(n, due): (usize, &&DueRow)| {
        (Point { x: day_number(due.date).max(from), y: index(n) }, day_number(due.date) < from)
    };
    let mut out: Vec<Series> = Vec::new();
    for (what, n) in whats.into_iter().zip(0_u8..) {
        let mine = shown.iter().enumerate().filter(|(_, d)| d.what == what).map(place);
        let points = mine.filter(|(_, early)| !early).map(|(p, _)| p).collect();
        let marker = MARKERS.get(usize::from(n) % MARKERS.len()).copied().unwrap_or(Marker::Disc);
        out.push(Series { name: what.to_owned(), ink: Ink::Series(n), data: Data::Points(marker, points) });
    }
    let early: Vec<Point> = shown.iter().enumerate().map(place).filter(|(_, early)| *early).map(|(p, _)| p).collect();
    if !early.is_empty() {
        let data = Data::Points(Marker::Before, early);
        out.push(Series { name: "longer ago".to_owned(), ink: Ink::Bad, data });
    }
    out
}

fn describe(shown: &[&DueRow], today: NaiveDate, until: NaiveDate) -> String {
    let count = |rows: &mut dyn Iterator<Item = &&DueRow>| {
        rows.fold((0_usize, 0_usize), |(groups, heads), r| (groups + 1, heads.saturating_add(r.heads)))
    };
    let (late, late_heads) = count(&mut shown.iter().filter(|r| r.date < today));
    let (coming, coming_heads) = count(&mut shown.iter().filter(|r| r.date >= today));
    format!(
        "From {} to {}: {} with {} overdue, {} with {} falling due.",
        iso(today),
        iso(until),
        counted(late, "group", "groups"),
        head_count(late_heads),
        counted(coming, "group", "groups"),
        head_count(coming_heads),
    )
}

fn numbers(shown: &[&DueRow], today: NaiveDate) -> Numbers {
    let cells = |r: &&DueRow| {
        let state = match (r.date < today, r.assumed) {
            (true, true) => "overdue, year not known",
            (true, false) => "overdue",
            (false, true) => "year not known",
            (false, false) => "",
        };
        vec![iso(r.date), r.label.clone(), r.heads.to_string(), r.what.clone(), state.to_owned()]
    };
    let columns = ["due", "group", "heads", "what", "state"].map(str::to_owned).to_vec();
    Numbers { columns, rows: shown.iter().map(cells).collect() }
}
