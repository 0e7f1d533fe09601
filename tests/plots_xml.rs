//! SVG plots, read by a general XML parser: they are well formed whatever the data holds, keep to their own ground, and every point stands where
//! the axis says, measured with the picture's own tick labels.
//!
//! Needs Python 3, nothing besides. `HEADROUND_WITHOUT_PYTHON=1` asks to leave it out.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

use std::io::Write as _;
use std::process::{Command, Stdio};

use headround::report::plot::{
    DueRow, FirePoint, Marked, OddsCurve, Operated, Plot, SurvivalCurve, SurvivalStep, SvgSize, Weight, due_timeline,
    fire_size, odds_curve, operating_times, survival, svg,
};
use serde_json::Value;

/// Reads documents (a JSON list of texts) with expat; for each, the attributes and texts of its elements in order.
const SCRIPT: &str = r#"
import sys, json
from xml.etree import ElementTree
out = []
for text in json.load(sys.stdin):
    root = ElementTree.fromstring(text.encode("utf-8"))
    out.append([{"tag": e.tag, "text": e.text or "", **{"@" + k: v for k, v in e.attrib.items()}} for e in root.iter()])
json.dump(out, sys.stdout)
"#;

type Elements = Vec<Value>;

fn read(pictures: &[String]) -> Option<Vec<Elements>> {
    if std::env::var_os("HEADROUND_WITHOUT_PYTHON").is_some_and(|v| v == "1") {
        println!("left out, as HEADROUND_WITHOUT_PYTHON=1 asks");
        return None;
    }
    let mut child = Command::new("python3")
        .args(["-c", SCRIPT])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap_or_else(|e| {
            panic!("python3 could not be started ({e}): install it, or set HEADROUND_WITHOUT_PYTHON=1")
        });
    let all = serde_json::to_vec(pictures).unwrap();
    child.stdin.take().expect("a pipe").write_all(&all).expect("written");
    let out = child.wait_with_output().expect("it ends");
    assert!(out.status.success(), "not XML:\n{}", String::from_utf8_lossy(&out.stderr));
    Some(serde_json::from_slice(&out.stdout).expect("JSON"))
}

const HOSTILE: [&str; 6] = [
    "</text><script>alert('x')</script>",
    "a & b < c > d \"e\" ]]> <!-- -- &amp; &#0;",
    "\u{0}\u{1}\u{8}\u{b}\u{1b}[31m\u{7f}\u{85}",
    "\u{fffe}\u{ffff}\u{feff}\u{202e}\u{2028}",
    "喷头 – Ødegård’s 🚒",
    "",
];

fn head(label: &str, element: Option<f64>, cleared: Option<f64>, outcome: &str) -> Operated {
    Operated {
        label: label.to_owned(),
        element_s: element,
        cleared_s: cleared,
        watched_s: Some(150.0),
        earliest_s: Some(30.0),
        latest_s: Some(139.0),
        outcome: outcome.to_owned(),
        weight: Weight::Plain,
    }
}

fn hostile_plots() -> Vec<Plot> {
    let odd = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0, 0.0, 1e300, 41.0];
    let day = |t: &str| t.parse().unwrap();
    let mut plots = Vec::new();
    for text in HOSTILE {
        let heads: Vec<Operated> = odd.iter().map(|v| head(text, Some(*v), Some(v + 1.0), text)).collect();
        plots.push(operating_times(text, &heads));
        let steps = odd.iter().map(|v| SurvivalStep {
            at_s: *v,
            at_risk: 7,
            opened: 1,
            censored: 1,
            shut: v / 50.0,
            band: Some((v / 60.0, v / 40.0)),
        });
        let curve = SurvivalCurve { name: text.to_owned(), steps: steps.collect(), median_s: Some(f64::NAN) };
        plots.push(survival(text, &[curve.clone(), curve]));
        let marked = odd.map(|v| Marked { x: v, y: v, label: text.to_owned() });
        let points = odd.map(|v| (v, v / 100.0)).to_vec();
        plots.push(odds_curve(text, 400, &[OddsCurve { name: text.to_owned(), points }], &marked));
        let due = |date: &str| DueRow {
            date: day(date),
            assumed: true,
            label: text.to_owned(),
            heads: 3,
            what: text.to_owned(),
        };
        plots.push(due_timeline(
            text,
            &[due("0001-01-01"), due("2027-05-01"), due("9999-12-31")],
            day("2026-11-28"),
            day("2028-11-28"),
        ));
        let fire = odd.map(|v| FirePoint { rti: v, opens_s: v, kw: v });
        plots.push(fire_size(text, &fire, &[(0.0, 50.0, text), (f64::NAN, 3.0, text)], &marked));
    }
    plots
}

fn attribute(element: &Value, name: &str) -> Option<f64> {
    element[format!("@{name}")].as_str().and_then(|v| v.parse().ok())
}

fn named<'a>(elements: &'a [Value], tag: &str) -> Vec<&'a Value> {
    let tag = format!("{{http://www.w3.org/2000/svg}}{tag}");
    elements.iter().filter(|e| e["tag"] == tag.as_str()).collect()
}

#[test]
fn every_picture_is_well_formed_and_keeps_to_its_ground() {
    let sizes = [
        SvgSize { width: 320, height: 240 },
        SvgSize { width: 720, height: 420 },
        SvgSize { width: 1600, height: 1200 },
    ];
    let plots = hostile_plots();
    let pictures: Vec<String> = plots.iter().flat_map(|p| sizes.iter().map(|s| svg(p, s))).collect();
    let Some(all) = read(&pictures) else { return };
    assert_eq!(all.len(), pictures.len());
    for elements in all {
        let (wide, high) = (attribute(&elements[0], "width").unwrap(), attribute(&elements[0], "height").unwrap());
        assert!(named(&elements, "script").is_empty());
        assert_eq!((named(&elements, "title").len(), named(&elements, "desc").len()), (1, 1));
        for element in &elements {
            for (names, most) in [(["x", "x1", "x2", "cx"], wide), (["y", "y1", "y2", "cy"], high)] {
                for value in names.iter().filter_map(|n| attribute(element, n)) {
                    assert!((-2.0..=most + 2.0).contains(&value), "{value} of {most}: {element}");
                }
            }
        }
    }
}

/// Value for value of an axis: the straight line through its outermost tick labels.
fn along(elements: &[Value], place: &str, other: &str, at: impl Fn(f64) -> bool) -> impl Fn(f64) -> f64 {
    let mut ticks: Vec<(f64, f64)> = named(elements, "text")
        .into_iter()
        .filter(|t| at(attribute(t, other).unwrap()))
        .filter_map(|t| Some((attribute(t, place)?, t["text"].as_str()?.parse::<f64>().ok()?)))
        .collect();
    ticks.sort_by(|a, b| a.0.total_cmp(&b.0));
    let ((p1, v1), (p2, v2)) = (ticks[0], *ticks.last().unwrap());
    assert!(p2 - p1 > 100.0, "{ticks:?}");
    move |p| v1 + (p - p1) / (p2 - p1) * (v2 - v1)
}

#[test]
fn times_and_limits_stand_where_the_ticks_say() {
    let times = [41.2, 43.0, 66.6, 129.0, 12.5];
    let heads: Vec<Operated> = times.iter().map(|s| head("a", None, Some(*s), "opened")).collect();
    let Some(all) = read(&[svg(&operating_times("Times", &heads), &SvgSize { width: 1000, height: 400 })]) else {
        return;
    };
    let elements = &all[0];
    let base = named(elements, "text")
        .iter()
        .filter(|t| t["text"] == "0")
        .map(|t| attribute(t, "y").unwrap())
        .next_back()
        .unwrap();
    let value = along(elements, "x", "y", |y| (y - base).abs() < 0.5);
    // The first circle is the key's.
    let found: Vec<f64> =
        named(elements, "circle").iter().skip(1).map(|c| value(attribute(c, "cx").unwrap())).collect();
    assert_eq!(found.len(), times.len());
    for (found, wanted) in found.iter().zip(times) {
        assert!((found - wanted).abs() < 0.1, "{found} for {wanted}");
    }
    let dashed: Vec<f64> = named(elements, "line")
        .into_iter()
        .filter(|l| l["@stroke-dasharray"] == "6 3 1.5 3")
        .map(|l| value(attribute(l, "x1").unwrap()))
        .collect();
    assert_eq!(dashed.iter().map(|v| v.round()).collect::<Vec<_>>(), [30.0, 139.0]);
}

#[test]
fn a_curve_passes_through_its_points() {
    let points: Vec<(f64, f64)> = (0..=40).map(|n| (f64::from(n * 5), (-f64::from(n) / 9.0).exp())).collect();
    let plot = odds_curve("Odds", 400, &[OddsCurve { name: "sample".to_owned(), points: points.clone() }], &[]);
    let Some(all) = read(&[svg(&plot, &SvgSize { width: 1000, height: 600 })]) else { return };
    let elements = &all[0];
    let zero: Vec<(f64, f64)> = named(elements, "text")
        .into_iter()
        .filter(|t| t["text"] == "0")
        .map(|t| (attribute(t, "x").unwrap(), attribute(t, "y").unwrap()))
        .collect();
    let (left, base) = (zero.iter().map(|z| z.0).fold(1e9, f64::min), zero.iter().map(|z| z.1).fold(0.0, f64::max));
    let bad = along(elements, "x", "y", |y| (y - base).abs() < 0.5);
    // A label's base line lies 4.5 pixels below the middle of its figures.
    let chance = along(elements, "y", "x", |x| (x - left).abs() < 0.5);
    let path = named(elements, "path").into_iter().find(|p| p["@fill"] == "none").unwrap();
    let d = path["@d"].as_str().unwrap().replace('M', "");
    let drawn: Vec<(f64, f64)> = d
        .split('L')
        .map(|p| p.split_once(' ').unwrap())
        .map(|(x, y)| (bad(x.parse().unwrap()), chance(y.parse::<f64>().unwrap() + 4.5)))
        .collect();
    assert_eq!(drawn.len(), points.len());
    for ((x, y), (bad, p)) in drawn.iter().zip(&points) {
        assert!((x - bad).abs() < 0.2 && (y - p * 100.0).abs() < 0.2, "{x} {y} for {bad} {p}");
    }
}
