//! Which kinds are of one type.

use super::*;
use crate::trade::head_type::HeadType;
use crate::trade::quantity::{KFactor, Temperature};

#[test]
fn kinds_that_differ_in_year_number_colour_element_guard_wrench_or_unit_share_one_row() {
    let same = [
        "made: 2009",
        "made: 2024-05, number: QZ1",
        "finish: white",
        "finish: chrome, element: link",
        "rating: 68 C, k: 80 metric",
        "guard: yes, wrench: small",
        "k: 5.3",
        "k: 5.8",
    ];
    let mut text = Text::new("nfpa25-2023");
    let mut line = Vec::new();
    for (at, but) in same.iter().enumerate() {
        text = text.kind(&format!("k{at}"), but);
        line.push(format!("1 k{at}"));
    }
    let (_, required) = stock(&text.area("a", "", &line.join(", ")).state(Vec::new()));
    assert_eq!(required.rows.len(), 1, "{:?}", required.rows);
    assert_eq!((required.rows[0].installed, required.rows[0].kinds.len()), (8, 8));
}

/// Nominal K-factors as published: gpm/psi^½, its range, the range and the labels in L/min/bar^½. NFPA 13 Table 7.2.2.1
/// (6.2.3.1 in older editions); the rows of 1.4, 1.9, 19.6 and 28.0 from memory.
type NominalK = (f64, f64, f64, u32, u32, &'static [u32]);

const K: &[NominalK] = &[
    (1.4, 1.3, 1.5, 19, 22, &[20]),
    (1.9, 1.8, 2.0, 26, 29, &[27]),
    (2.8, 2.6, 2.9, 38, 42, &[40]),
    (4.2, 4.0, 4.4, 57, 63, &[60, 57]),
    (5.6, 5.3, 5.8, 76, 84, &[80]),
    (8.0, 7.4, 8.2, 107, 118, &[115]),
    (11.2, 10.7, 11.7, 159, 166, &[160, 161]),
    (14.0, 13.5, 14.5, 195, 209, &[200, 202]),
    (16.8, 16.0, 17.6, 231, 254, &[240, 242]),
    (19.6, 18.6, 20.6, 272, 301, &[280]),
    (22.4, 21.3, 23.5, 311, 343, &[320, 323]),
    (25.2, 23.9, 26.5, 349, 387, &[360, 363]),
    (28.0, 26.6, 29.4, 389, 430, &[400, 404]),
];

#[test]
fn every_nominal_k_in_either_system_and_every_edge_of_its_ranges_is_one_type() {
    let of = |k: &str| HeadType::of(&kind(&format!("k: {k}")));
    for (us, from, to, low, high, labels) in K {
        let one = of(&us.to_string());
        for k in [from, to] {
            assert_eq!(of(&k.to_string()), one, "{us}: {k}");
        }
        for k in [low, high].into_iter().chain(*labels) {
            assert_eq!(of(&format!("{k} metric")), one, "{us}: {k} metric");
        }
        for k in [from - 0.1, to + 0.1] {
            // Half a tenth above the one range may begin the next.
            let k = KFactor::parse(&format!("{k:.2}")).unwrap();
            assert_ne!(k.nominal().map(|(us, _)| us), Some(*us), "{k}");
        }
        for k in [low - 1, high + 1] {
            let nominal = KFactor::parse(&format!("{k} metric")).unwrap().nominal();
            let in_us = (f64::from(k) / 14.416_287).clamp(*from, *to);
            let within = (in_us - f64::from(k) / 14.416_287).abs() < 1e-6;
            assert_eq!(nominal.map(|(us, _)| us) == Some(*us), within, "{k} metric: only where the other range has it");
        }
    }
    for (at, a) in K.iter().enumerate() {
        for b in &K[at + 1..] {
            assert_ne!(of(&a.0.to_string()), of(&b.0.to_string()));
        }
    }
}

/// Ratings as they are marked: °F and the whole °C printed beside it. NFPA 13:2007 Table 6.2.5.1 for the ends of the classes
/// and the bulbs; 286 and 360 °F with 141 and 182 °C: MSC/Circ.668 Table 1 has the bulbs.
const RATINGS: &[(u32, u32)] = &[
    (135, 57),
    (155, 68),
    (170, 77),
    (175, 79),
    (200, 93),
    (225, 107),
    (250, 121),
    (286, 141),
    (300, 149),
    (325, 163),
    (360, 182),
    (375, 191),
    (400, 204),
    (475, 246),
    (500, 260),
    (575, 302),
    (650, 343),
];

#[test]
fn a_rating_is_one_type_in_either_system_and_no_two_ratings_are_one() {
    let of = |rating: &str| HeadType::of(&kind(&format!("rating: {rating}")));
    for (f, c) in RATINGS {
        assert_eq!(of(&format!("{f} F")), of(&format!("{c} C")), "{f} F, {c} C");
        let celsius = Temperature::parse(&format!("{f} F")).unwrap().celsius();
        assert!((celsius - f64::from(*c)).abs() <= 0.5, "{f} F is {celsius} C");
    }
    for (at, (a, _)) in RATINGS.iter().enumerate() {
        for (b, c) in &RATINGS[at + 1..] {
            assert_ne!(of(&format!("{a} F")), of(&format!("{b} F")));
            assert_ne!(of(&format!("{a} F")), of(&format!("{c} C")));
        }
    }
    // Near neighbours that are marked so and are not interchangeable: 155 and 165 °F, 68 and 74 °C.
    assert_ne!(of("155 F"), of("165 F"));
    assert_eq!(of("165 F"), of("74 C"));
}
