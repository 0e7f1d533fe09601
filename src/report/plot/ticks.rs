//! Where an axis carries numbers, and how numbers are written.

use chrono::{Datelike as _, Months, NaiveDate};

use super::model::{Axis, Scale, day_number};

/// A place on an axis that carries a number or a date.
#[derive(Clone, Debug, PartialEq)]
pub struct Tick {
    /// The value.
    pub at: f64,
    /// What stands there.
    pub text: String,
}

/// A number with at most `decimals` decimals, without zeros that say nothing; with a power of ten where it would run on.
#[must_use]
pub(super) fn trimmed(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "-".to_owned();
    }
    if value.abs() >= 1e9 || (value != 0.0 && value.abs() < 1e-9) {
        return format!("{value:.3e}");
    }
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

impl Axis {
    /// At most about `most` ticks at round values on the axis; at least two steps are tried for. None for rows.
    #[must_use]
    pub fn ticks(&self, most: usize) -> Vec<Tick> {
        let most = most.clamp(2, 40);
        let mut ticks = match self.scale {
            Scale::Rows => Vec::new(),
            Scale::Linear => linear(self.from, self.to, most),
            Scale::Log => log(self.from, self.to, most),
            Scale::Date => dates(self.from, self.to, most),
        };
        ticks.retain(|t| self.inside(t.at).is_some());
        ticks
    }
}

fn count(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}

/// Round steps of 1, 2 or 5 times a power of ten: the finest that gives no more than one tick above `most`.
fn linear(from: f64, to: f64, most: usize) -> Vec<Tick> {
    let least = (to - from) / count(most);
    if !(least.is_finite() && least > 0.0) {
        return Vec::new();
    }
    let power = 10_f64.powf(least.log10().floor());
    for step in [0.2, 0.5, 1.0, 2.0, 5.0, 10.0].map(|f| f * power) {
        let decimals = decimals(step);
        let first = (from / step - 1e-9).ceil();
        let ticks: Vec<Tick> = (0..most + 2)
            .map(|n| (first + count(n)) * step)
            .take_while(|at| *at <= to + step * 1e-9)
            .map(|at| Tick { at, text: trimmed(at, decimals) })
            .collect();
        if ticks.len() <= most + 1 {
            return ticks;
        }
    }
    Vec::new()
}

/// Decimals that tell neighbours of this step apart.
fn decimals(step: f64) -> usize {
    (0..12)
        .find(|d| {
            let scaled = step * 10_f64.powi(*d);
            (scaled - scaled.round()).abs() < 1e-6
        })
        .map_or(12, |d| usize::try_from(d).unwrap_or(0))
}

/// Round values of each decade: all that fit of 1, 2, 5, else powers of ten.
fn log(from: f64, to: f64, most: usize) -> Vec<Tick> {
    let (low, high) = (from.log10().floor(), to.log10().ceil());
    for factors in [&[1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0][..], &[1.0, 2.0, 5.0], &[1.0, 3.0], &[1.0]] {
        let mut out = Vec::new();
        let mut decade = low;
        while decade <= high && out.len() <= most {
            for factor in factors {
                let at = factor * 10_f64.powf(decade);
                if at >= from * (1.0 - 1e-9) && at <= to * (1.0 + 1e-9) {
                    out.push(Tick { at, text: trimmed(at, decimals(at)) });
                }
            }
            decade += 1.0;
        }
        if out.len() <= most {
            return out;
        }
    }
    let powers = linear(low, high, most);
    let whole = powers.iter().filter(|t| (t.at - t.at.round()).abs() < 1e-9).map(|t| 10_f64.powf(t.at));
    whole.filter(|at| *at >= from && *at <= to).map(|at| Tick { at, text: trimmed(at, decimals(at)) }).collect()
}

/// Firsts of months, quarters or years, whichever are few enough.
fn dates(from: f64, to: f64, most: usize) -> Vec<Tick> {
    for months in [1_u32, 3, 6, 12, 24, 60, 120, 240, 600, 1200] {
        if (to - from) / (30.44 * f64::from(months)) > count(most) {
            continue;
        }
        let mut out = Vec::new();
        let mut next = first_of(from, months);
        while let Some(day) = next {
            let at = day_number(day);
            if at > to || out.len() > most {
                break;
            }
            if at >= from {
                let text = if months >= 12 { day.format("%Y") } else { day.format("%Y-%m") };
                out.push(Tick { at, text: text.to_string() });
            }
            next = day.checked_add_months(Months::new(months));
        }
        return out;
    }
    Vec::new()
}

/// The first of a month at or before a day, such that the months since year 0 divide evenly.
fn first_of(day: f64, months: u32) -> Option<NaiveDate> {
    #[expect(clippy::cast_possible_truncation, reason = "a number of days, held to what a date can be")]
    let day = NaiveDate::from_num_days_from_ce_opt(day.clamp(1.0, 3_000_000.0).floor() as i32)?;
    let all = day.year().checked_mul(12)?.checked_add(i32::try_from(day.month0()).ok()?)?;
    let whole = all - all.rem_euclid(i32::try_from(months).ok()?);
    NaiveDate::from_ymd_opt(whole.div_euclid(12), u32::try_from(whole.rem_euclid(12)).ok()? + 1, 1)
}
