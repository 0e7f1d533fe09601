//! The outside check of the operating test's limits, and of what follows from a failure: the tables that were written from
//! published sources, run against every built-in set.

use std::collections::BTreeSet;

use super::mutation::changed;
use super::situations::{SETS, load, of_sets, reference};
use super::{area, kind};
use crate::rules::duties::{Limit, SampleMatter};
use crate::rules::facts::Facts;
use crate::rules::judge::Judge;
use crate::rules::limits;
use crate::rules::model::{Class, Confidence};
use crate::trade::kind::{Finish, Kind, Response, Style};
use crate::trade::measure::{Rti, Seconds};
use crate::trade::quantity::Temperature;

/// One head of the table of limits, and its figures under the editions of NFPA 25.
struct Held {
    see: String,
    facts: Facts,
    figures: String,
}

/// The table of limits, a line for every style, response and finish.
fn held() -> Vec<Held> {
    let table = reference();
    let judge = Judge::new(load("nfpa25-2023"), &[]);
    let mut found = Vec::new();
    for row in table.rows("limits") {
        let (see, styles, responses, finishes, figures) = table.read(row, |f, out| {
            let see = f.need_text("see", out).expect("see");
            let styles = f.list("styles", out, Style::parse);
            let responses = f.list("responses", out, Response::parse);
            let finishes = f.list("finishes", out, Finish::parse);
            let [rti, least, time, air] = ["rti", "least", "time", "air"].map(|k| f.need_text(k, out).expect(k));
            // 7 psi by the annex.
            (see, styles, responses, finishes, format!("{rti}, least {least}, {time} s, {air}, clear at 48.3 kPa"))
        });
        for style in &styles {
            for response in &responses {
                for finish in &finishes {
                    let kind = Kind { style: *style, response: *response, finish: *finish, ..kind() };
                    let see = format!("{see}: {style}, {response}, {finish}");
                    found.push(Held { see, facts: judge.facts(&kind, &area()), figures: figures.clone() });
                }
            }
        }
    }
    found
}

/// What a limit asks, as the table writes it.
fn asked(limit: &Limit) -> String {
    let or_none = |figure: Option<f64>| figure.map_or_else(|| "none".to_owned(), |f| f.to_string());
    let rti = or_none(limit.rti.map(Rti::metric));
    let least = or_none(limit.rti_least.map(Rti::metric));
    let time = or_none(limit.at_most.map(Seconds::seconds));
    let air = limit.air.map_or_else(|| "none".to_owned(), |(from, to)| format!("{from} to {to}"));
    let clear = or_none(limit.waterway.map(|p| (p.kpa() * 10.0).round() / 10.0));
    format!("{rti}, least {least}, {time} s, {air}, clear at {clear} kPa")
}

/// Where rows of limits do not give one limit of the table's figures to a head.
fn strays(name: &str, rows: &[Limit], table: &[Held]) -> Vec<String> {
    let mut found = Vec::new();
    for it in table {
        // Annex K of EN 12845 names neither index nor pressure nor method.
        let none = "none, least none, none s, none, clear at none kPa";
        let figures = if name == "en12845" { none } else { it.figures.as_str() };
        let holding: Vec<usize> = (0..rows.len()).filter(|i| rows[*i].when.holds(&it.facts)).collect();
        let got: Vec<String> = (holding.iter().copied())
            .filter(|i| !holding.iter().any(|o| rows[*o].over.contains(i)))
            .map(|i| asked(&rows[i]))
            .collect();
        if got != [figures] {
            found.push(format!("{name}, {}: {got:?} instead of {figures}", it.see));
        }
    }
    found
}

#[test]
fn limits_are_those_of_the_annex_and_every_head_has_one() {
    let table = held();
    let heads: BTreeSet<&str> = table.iter().filter_map(|h| h.see.rsplit_once(": ")).map(|(_, head)| head).collect();
    assert_eq!(table.len(), Style::ALL.len() * Response::ALL.len() * Finish::ALL.len());
    assert_eq!(heads.len(), table.len(), "a head stands twice");
    for name in SETS {
        let set = load(name);
        assert_eq!(strays(name, &set.duties.limits, &table), Vec::<String>::new());
        for it in &table {
            let speaking = limits::of(&set, &it.facts).map(asked);
            assert!(name == "en12845" || speaking.as_ref() == Some(&it.figures), "{name}, {}: {speaking:?}", it.see);
        }
    }
}

#[test]
fn every_limit_of_an_edition_takes_the_ovens_and_starts_of_the_plunge_tables() {
    // ISO 6182-1 and IMO A.800(19) Table 2, from memory: fast heads of the ordinary class from 129 C, the hottest up to 432 C;
    // 135 C and 2.54 m/s in North American ovens, from memory. Starts at 20 C, 5 K more or less, of ISO 6182-1, from memory;
    // up to 30 C by the sets' reading.
    for name in SETS {
        for limit in &load(name).duties.limits {
            let range = |r: Option<(Temperature, Temperature)>| r.map(|(a, b)| (a.celsius(), b.celsius()));
            let (oven, start) =
                if name == "en12845" { (None, None) } else { (Some((129.0, 432.0)), Some((15.0, 30.0))) };
            assert_eq!((range(limit.oven), range(limit.start)), (oven, start), "{name} {}", limit.id);
            let widest = limit.air.is_none_or(|(a, b)| a.metres_per_second() < 2.54 && b.metres_per_second() > 2.54);
            assert!(widest, "{name} {}", limit.id);
            let marks = limit.method.as_ref().map(|m| m.confidence);
            assert_eq!(marks, oven.map(|_| Confidence::Reading), "{name} {}", limit.id);
        }
    }
}

#[test]
fn a_failure_condemns_and_is_classed_as_the_sources_say() {
    let table = reference();
    let mut checked = BTreeSet::new();
    for row in table.rows("failures") {
        let (sets, condemns, classes, mark) = table.read(row, |f, out| {
            let sets = of_sets(f, out);
            let condemns = f.need_text("condemns", out).expect("condemns") == "true";
            let classes = ["late", "shut", "early"].map(|k| f.need_parse(k, out, Class::parse));
            (sets, condemns, classes, f.need_parse("mark", out, Confidence::parse))
        });
        for name in sets {
            let set = load(&name);
            let rule = set.duties.sample_rules.iter().find(|r| r.matter == SampleMatter::Failure).expect("a rule");
            assert_eq!((rule.condemns, [rule.late, rule.shut, rule.early]), (condemns, classes), "{name}");
            assert_eq!(rule.class_confidence, mark, "{name}");
            assert!(set.duties.sample_rules.iter().all(|r| r.matter == SampleMatter::Failure || !r.condemns), "{name}");
            checked.insert(name);
        }
    }
    assert_eq!(checked.len(), SETS.len());
}

/// The limit with each figure that the table holds left out.
fn other_figures(limit: &Limit) -> Vec<(String, Limit)> {
    let without = |what: &str, change: fn(&mut Limit)| {
        let mut it = limit.clone();
        change(&mut it);
        (it != *limit).then(|| (format!("no {what}"), it))
    };
    let all = [
        without("rti", |l| l.rti = None),
        without("rti_least", |l| l.rti_least = None),
        without("time", |l| l.at_most = None),
        without("waterway", |l| l.waterway = None),
        without("air", |l| l.air = None),
    ];
    all.into_iter().flatten().collect()
}

#[test]
fn changing_any_one_condition_or_figure_of_a_limit_parts_it_from_the_table() {
    let table = held();
    for name in SETS {
        let mut rows = load(name).duties.limits.clone();
        let mut tried = 0;
        let mut unnoticed = Vec::new();
        for at in 0..rows.len() {
            let original = rows[at].clone();
            assert!(original.when.unless.is_none(), "{name} {}: 'unless' is not changed here", original.id);
            let conditions = changed(&original.when.all, 0, 0, false).into_iter().map(|(what, all)| {
                let mut it = original.clone();
                it.when.all = all;
                (what, it)
            });
            let overs = (0..original.over.len()).map(|o| {
                let mut it = original.clone();
                it.over.remove(o);
                (format!("over {o} dropped"), it)
            });
            let mutants: Vec<_> = conditions.chain(overs).chain(other_figures(&original)).collect();
            for (what, mutant) in mutants {
                tried += 1;
                rows[at] = mutant;
                if strays(name, &rows, &table).is_empty() {
                    unnoticed.push(format!("{name} {}: {what}", original.id));
                }
            }
            rows[at] = original;
        }
        assert!(tried > 40 || name == "en12845", "{name}: only {tried}");
        assert_eq!(unnoticed, Vec::<String>::new());
    }
}
