//! Nominal K-factors: which measured coefficients go by one name in the trade.

use super::quantity::KFactor;

/// Nominal K and the range that goes by it, in gpm/psi^½ (NFPA 13 Table 7.2.2.1 of 2022, Table 6.2.3.1 of earlier
/// editions, as publicly reproduced for 2.8 to 25.2; the first two and the last from memory).
const NOMINAL: [(f64, f64, f64); 13] = [
    (1.4, 1.3, 1.5),
    (1.9, 1.8, 2.0),
    (2.8, 2.6, 2.9),
    (4.2, 4.0, 4.4),
    (5.6, 5.3, 5.8),
    (8.0, 7.4, 8.2),
    (11.2, 10.7, 11.7),
    (14.0, 13.5, 14.5),
    (16.8, 16.0, 17.6),
    (19.6, 18.6, 20.6),
    (22.4, 21.3, 23.5),
    (25.2, 23.9, 26.5),
    (28.0, 26.6, 29.4),
];

/// Half of the last digit that the table prints, so that a rounded metric marking stays in its row (57 for K4.2).
const ROUNDING: f64 = 0.05;

/// The nominal K in gpm/psi^½ by which a coefficient goes; `None` between the rows of the table.
#[must_use]
pub fn nominal(k: KFactor) -> Option<f64> {
    let us = k.us();
    NOMINAL.iter().find(|(_, low, high)| (low - ROUNDING..=high + ROUNDING).contains(&us)).map(|row| row.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(text: &str) -> Option<f64> {
        nominal(KFactor::parse(text).expect(text))
    }

    #[test]
    fn nominal_factors_and_their_metric_labels_are_those_of_nfpa_13_table_7_2_2_1() {
        let rows = [
            (1.4, ["1.3", "1.5", "20 metric"]),
            (1.9, ["1.8", "2", "27 metric"]),
            (2.8, ["2.6", "2.9", "40 metric"]),
            (4.2, ["4", "4.4", "57 metric"]),
            (5.6, ["5.3", "5.8", "80 metric"]),
            (8.0, ["7.4", "8.2", "115 metric"]),
            (11.2, ["10.7", "11.7", "160 metric"]),
            (14.0, ["13.5", "14.5", "200 metric"]),
            (16.8, ["16", "17.6", "240 metric"]),
            (19.6, ["18.6", "20.6", "280 metric"]),
            (22.4, ["21.3", "23.5", "320 metric"]),
            (25.2, ["23.9", "26.5", "360 metric"]),
            (28.0, ["26.6", "29.4", "400 metric"]),
        ];
        for (k, all) in rows {
            for text in all {
                assert_eq!(of(text), Some(k), "{text}");
            }
        }
    }

    #[test]
    fn between_the_rows_there_is_no_nominal_factor() {
        for text in ["1", "2.3", "3.4", "4.8", "6.5", "9.5", "12.6", "15", "35"] {
            assert_eq!(of(text), None, "{text}");
        }
    }
}
