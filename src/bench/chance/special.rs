//! The few functions that the rest is made of: the logarithm of a binomial probability, tails of the normal, chi-squared and t
//! distributions, and a root by halving.

use std::f64::consts::{PI, SQRT_2};

/// ln(n!) less Stirling's formula, for n ≥ 0: series of Loader, "Fast and accurate computation of binomial probabilities"
/// (2000); below 16 by the factorial itself.
fn stirling_error(n: f64) -> f64 {
    if n < 16.0 {
        let (mut product, mut i) = (1.0, 2.0);
        while i <= n {
            product *= i;
            i += 1.0;
        }
        if n < 1.0 {
            return 0.0;
        }
        return f64::ln(product) - (n + 0.5).mul_add(n.ln(), -n) - 0.5 * (2.0 * PI).ln();
    }
    let nn = n * n;
    let tail = 1.0 / 1260.0 - (1.0 / 1680.0 - (1.0 / 1188.0 - (691.0 / 360_360.0 - 1.0 / 156.0 / nn) / nn) / nn) / nn;
    (1.0 / 12.0 - (1.0 / 360.0 - tail / nn) / nn) / n
}

/// x·ln(x/m) + m − x without loss where x is near m (Loader 2000); x and m above 0.
fn deviance(x: f64, m: f64) -> f64 {
    if (x - m).abs() < 0.1 * (x + m) {
        let v = (x - m) / (x + m);
        let mut sum = (x - m) * v;
        let mut term = 2.0 * x * v;
        let mut j = 3.0;
        loop {
            term *= v * v;
            let next = sum + term / j;
            if next.to_bits() == sum.to_bits() {
                return sum;
            }
            sum = next;
            j += 2.0;
        }
    }
    x * (x / m).ln() + m - x
}

/// ln of the probability of `x` in `n` when each is so with chance p; q is 1 − p, handed in so that neither loses digits.
/// Whole x from 0 to n, p and q in 0 to 1; minus infinity where it cannot be.
pub(super) fn ln_binomial(x: f64, n: f64, p: f64, q: f64) -> f64 {
    let impossible = f64::NEG_INFINITY;
    if p <= 0.0 {
        return if x == 0.0 { 0.0 } else { impossible };
    }
    if q <= 0.0 {
        return if x == n { 0.0 } else { impossible };
    }
    let all = |n: f64, p: f64, q: f64| if p > 0.5 { n * (-q).ln_1p() } else { n * p.ln() };
    if x == 0.0 {
        return all(n, q, p);
    }
    if x == n {
        return all(n, p, q);
    }
    let y = n - x;
    let errors = stirling_error(n) - stirling_error(x) - stirling_error(y);
    errors - deviance(x, n * p) - deviance(y, n * q) + 0.5 * (n / (2.0 * PI * x * y)).ln()
}

/// The chance that a standard normal number lies further from 0 than z, for z ≥ 0.
fn normal_beyond(z: f64) -> f64 {
    libm::erfc(z / SQRT_2)
}

/// The z within which, on both sides of 0, a standard normal number lies with this confidence, 0 to 0.999999.
pub(super) fn normal_within(confidence: f64) -> f64 {
    root(0.0, 40.0, |z| normal_beyond(z) > 1.0 - confidence)
}

/// The chance that a chi-squared number of `df` degrees of freedom, 1 or more, exceeds x ≥ 0: the finite sums that hold for whole
/// degrees (Abramowitz and Stegun 26.4.4 and 26.4.5).
pub(super) fn chi_squared_beyond(x: f64, df: usize) -> f64 {
    let half = x / 2.0;
    let (mut sum, mut term, mut at) = if df.is_multiple_of(2) {
        ((-half).exp(), (-half).exp(), 1.0)
    } else {
        (libm::erfc(half.sqrt()), 2.0 * (half / PI).sqrt() * (-half).exp(), 1.5)
    };
    if df == 1 {
        return sum;
    }
    if df % 2 == 1 {
        sum += term;
    }
    for _ in 1..df / 2 {
        term *= half / at;
        sum += term;
        at += 1.0;
    }
    sum.min(1.0)
}

/// The chance that a t-distributed number of `df` degrees of freedom, 1 or more, lies between −t and t: the finite sums that
/// hold for whole degrees (Abramowitz and Stegun 26.7.3 and 26.7.4).
fn student_inside(t: f64, df: usize) -> f64 {
    let v = df as f64;
    let long = v.sqrt().hypot(t);
    let (sine, cosine) = (t / long, v.sqrt() / long);
    let odd = df % 2 == 1;
    let mut term = if odd { cosine } else { 1.0 };
    let mut sum = if df == 1 { 0.0 } else { term };
    let mut at = if odd { 2.0 } else { 1.0 };
    while at + 1.0 < v - 1.0 + 0.5 {
        term *= cosine * cosine * at / (at + 1.0);
        sum += term;
        if term < sum * 1e-18 {
            break;
        }
        at += 2.0;
    }
    if odd { 2.0 / PI * (t / v.sqrt()).atan() + 2.0 / PI * sine * sum } else { sine * sum }
}

/// The t within which, on both sides of 0, a t-distributed number lies with this confidence, 0 to 0.999999.
pub(super) fn student_within(confidence: f64, df: usize) -> f64 {
    root(-60.0, 60.0, |logarithm| student_inside(logarithm.exp(), df) < confidence).exp()
}

/// The number up to which `below` holds, between two others, to the last digit.
pub(super) fn root(low: f64, high: f64, below: impl Fn(f64) -> bool) -> f64 {
    let (mut low, mut high) = (low, high);
    loop {
        let middle = low + (high - low) / 2.0;
        if middle <= low || middle >= high {
            return middle;
        }
        if below(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
}

/// The largest whole number from `low` to `high` for which `holds`, which does for every lesser one; `None` where it holds for none.
pub(super) fn last_that(low: u32, high: u32, holds: impl Fn(u32) -> bool) -> Option<u32> {
    let (mut from, mut to) = (u64::from(low), u64::from(high) + 1);
    while from < to {
        let middle = u32::try_from(from + (to - from) / 2).unwrap_or(u32::MAX);
        if holds(middle) {
            from = u64::from(middle) + 1;
        } else {
            to = u64::from(middle);
        }
    }
    (from > u64::from(low)).then(|| u32::try_from(from - 1).unwrap_or(u32::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tables_of_the_normal_chi_squared_and_t_distributions_hold() {
        // Printed in any table of the three; digits from memory.
        assert!((normal_within(0.95) - 1.959_963_984_540_054).abs() < 1e-14);
        assert!((normal_within(0.99) - 2.575_829_303_548_9).abs() < 1e-12);
        for (df, x) in [(1, 3.841), (2, 5.991), (3, 7.815), (4, 9.488), (5, 11.070), (10, 18.307), (30, 43.773)] {
            assert!((chi_squared_beyond(x, df) - 0.05).abs() < 3e-5, "{df}: {}", chi_squared_beyond(x, df));
        }
        for (df, t) in [
            (1, 12.706),
            (2, 4.303),
            (3, 3.182),
            (4, 2.776),
            (5, 2.571),
            (10, 2.228),
            (16, 2.120),
            (30, 2.042),
            (120, 1.980),
        ] {
            assert!((student_within(0.95, df) - t).abs() < 5e-4, "{df}: {}", student_within(0.95, df));
        }
    }

    #[test]
    fn quantiles_and_tails_are_scipys() {
        let whole = include_str!("../../../tests/reference/statistics.json");
        let whole: serde_json::Value = serde_json::from_str(whole).unwrap();
        let rows = |part: &str| -> Vec<Vec<f64>> { serde_json::from_value(whole["quantiles"][part].clone()).unwrap() };
        let same = |is: f64, should: f64, about: &[f64]| {
            assert!((is - should).abs() <= 1e-10 * should.abs(), "{is} {should}: {about:?}");
        };
        for row in rows("normal") {
            same(normal_within(row[0]), row[1], &row);
        }
        for row in rows("student") {
            same(student_within(row[0], row[1] as usize), row[2], &row);
        }
        for row in rows("chi_squared") {
            same(chi_squared_beyond(row[0], row[1] as usize), row[2], &row);
        }
    }

    #[test]
    fn no_hit_at_all_is_the_power_of_the_chance_of_a_miss() {
        for (n, p) in [(4.0, 0.05), (59.0, 0.05), (1e6, 1e-7), (5.0, 0.999_999)] {
            let q: f64 = 1.0 - p;
            let by_power = n * q.ln();
            assert!((ln_binomial(0.0, n, p, q) - by_power).abs() <= 1e-9 * by_power.abs(), "{n} {p}");
            assert!((ln_binomial(n, n, q, p) - by_power).abs() <= 1e-9 * by_power.abs(), "{n} {p}");
        }
    }

    #[test]
    fn the_last_number_that_holds_is_found_wherever_it_lies() {
        for end in [0, 1, 7, 8, 9] {
            assert_eq!(last_that(0, 9, |n| n <= end), Some(end));
        }
        assert_eq!(last_that(3, 9, |_| false), None);
        assert_eq!(last_that(0, u32::MAX, |_| true), Some(u32::MAX));
    }
}
