//! Pictures of what `calc` reckons, and `calc agreement`.

use insta::assert_snapshot;

use crate::support::Place;

const ODDS: &[&str] = &["calc", "odds", "--heads", "400", "--bad", "20", "--sample", "4"];
const SURVIVAL: &[&str] =
    &["calc", "survival", "--group", "clean=41.2,44.0,40,43", "--group", "painted=66,150+,129,45"];
const DELAY: &[&str] = &[
    "calc", "delay", "--height", "6m", "--radius", "3m", "--growth", "fast", "--rti", "200", "--rating", "165F",
];
const AGREEMENT: &[&str] = &["calc", "agreement", "--pairs", "41.2/40.6,38.9/39.4,43.0/42.1,40.2/40.9"];

#[test]
fn curves_are_drawn_below_the_answer_in_both_alphabets() {
    for (name, arguments) in [("odds", ODDS), ("survival", SURVIVAL), ("delay", DELAY)] {
        let place = Place::new();
        assert_snapshot!(format!("plot_{name}"), place.run(&[arguments, &["--plot"]].concat()));
        let ascii = place.run(&[arguments, &["--plot", "--ascii"]].concat());
        assert!(ascii.out.is_ascii(), "{ascii}");
    }
}

#[test]
fn a_picture_goes_to_a_file_and_never_over_another_unasked() {
    let place = Place::new();
    for (name, arguments) in [("odds.svg", ODDS), ("survival.svg", SURVIVAL), ("delay.svg", DELAY)] {
        let svg = [arguments, &["--svg", name]].concat();
        let first = place.run(&svg);
        assert_eq!(first.code, 0, "{first}");
        let text = place.read(name);
        assert!(text.starts_with("<svg ") && text.contains("<desc>"), "{text:.200}");
        let second = place.run(&svg);
        assert_eq!(second.code, 2, "{second}");
        assert_eq!(place.run(&[&svg[..], &["--over"]].concat()).code, 0);
        assert_eq!(place.read(name), text);
        let json = place.run(&[&svg[..], &["--over", "--json", "--plot"]].concat());
        assert!(json.json().is_object(), "{json}");
    }
}

#[test]
fn agreement_of_two_benches_is_told_in_words_and_as_json() {
    let place = Place::new();
    assert_snapshot!("agreement", place.run(AGREEMENT));
    let facts = place.run(&[AGREEMENT, &["--json"]].concat()).json();
    // By hand: differences 0.6, -0.5, 0.9, -0.7; mean 0.075, standard deviation 0.793.
    assert!((facts["bias"]["value"].as_f64().unwrap() - 0.075).abs() < 1e-9);
    assert!((facts["spread"].as_f64().unwrap() - 0.793_200_3).abs() < 1e-6);
    for bad in ["41.2", "41.2/40.6", "a/b,c/d,e/f", "1/2,-3/4,5/6"] {
        let ran = place.run(&["calc", "agreement", "--pairs", bad]);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{ran}");
    }
}
