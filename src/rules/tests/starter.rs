//! The starting file: sound as it stands, and each of its examples holds when its comment marks are taken away.

use std::sync::Arc;

use crate::diag::Source;
use crate::rules::model::{Class, RuleSet, Ruling};
use crate::rules::starter::{Starter, starter};
use crate::rules::{builtin, load};

fn text(set: &RuleSet) -> String {
    starter(&Starter { name: "port-tarrow", title: "Port Tarrow: our \"own\" rules", extends: set })
}

fn read(text: &str) -> RuleSet {
    match load::read(&Source::new("port-tarrow.yaml", text), &builtin::source) {
        Ok(set) => set,
        Err(all) => panic!("{}\n{text}", all.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")),
    }
}

/// The examples, each with the comment marks taken away.
fn examples(text: &str) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    let mut inside = false;
    for line in text.lines().skip(1) {
        match line.strip_prefix("# ") {
            Some(line) => {
                if !inside {
                    found.push(String::new());
                }
                let last = found.last_mut().expect("one was begun");
                last.push_str(line);
                last.push('\n');
                inside = true;
            }
            None => inside = false,
        }
    }
    found
}

fn sets() -> Vec<Arc<RuleSet>> {
    builtin::names().iter().map(|name| builtin::load(name).expect("sound")).collect()
}

#[test]
fn a_starting_file_changes_nothing() {
    for parent in sets() {
        let set = read(&text(&parent));
        assert_eq!((set.name.as_str(), set.title.as_str()), ("port-tarrow", "Port Tarrow: our \"own\" rules"));
        assert_eq!(set.extends.first(), Some(&parent.name));
        assert_eq!(set.rules, parent.rules, "{}", parent.name);
        assert_eq!(set.duties, parent.duties, "{}", parent.name);
        assert_eq!((&set.signs, &set.recalled, &set.cautions), (&parent.signs, &parent.recalled, &parent.cautions));
    }
}

#[test]
fn every_example_of_it_holds_by_itself_and_beside_the_others() {
    for parent in sets() {
        let text = text(&parent);
        let examples = examples(&text);
        assert!(examples.len() >= 6, "{}: {}", parent.name, examples.len());
        // Reading a set takes its time: one by one they are tried on the first alone.
        for example in examples.iter().filter(|_| parent.name == builtin::names()[0]) {
            read(&format!("{text}\n{example}"));
        }
        let all = read(&format!("{text}\n{}", examples.concat()));
        let settled = parent.rules.iter().zip(&all.rules).filter(|(was, is)| was.ruling != is.ruling);
        let settled: Vec<_> = settled.map(|(was, is)| (was.contested.is_some(), is.ruling)).collect();
        assert_eq!(settled, [(true, Ruling::Replace)], "{}", parent.name);
        let amended =
            parent.rules.iter().zip(&all.rules).filter(|(was, is)| was.remedy != is.remedy || was.class != is.class);
        assert!(amended.count() >= 2, "{}", parent.name);
        assert_eq!(all.signs.len(), parent.signs.len() + 1);
        assert_eq!(all.rules.len(), parent.rules.len() + 2);
        assert_eq!(all.recalled.len(), parent.recalled.len() + 1);
        assert_eq!(all.cautions.len(), parent.cautions.len() + 1);
        assert_ne!(all.clearances, parent.clearances);
    }
}

#[test]
fn a_contested_call_can_be_settled_with_any_ruling_and_any_class() {
    for parent in sets() {
        let text = text(&parent);
        let contested: Vec<_> = parent.rules.iter().filter(|r| r.contested.is_some()).collect();
        assert!(!contested.is_empty(), "{}", parent.name);
        // All at once, each with another ruling and class.
        let calls = Ruling::ALL.iter().flat_map(|r| Class::ALL.iter().map(move |c| (*r, *c))).cycle();
        let calls: Vec<_> = contested.iter().zip(calls).collect();
        let lines: Vec<String> = calls
            .iter()
            .map(|(rule, (ruling, class))| match ruling {
                Ruling::Keep => format!("  {}: keep\n", rule.id),
                _ => format!("  {}: {ruling} {class}\n", rule.id),
            })
            .collect();
        let set = read(&format!("{text}\nsettle:\n{}", lines.concat()));
        for (rule, (ruling, class)) in calls {
            let is = set.rule(&rule.id).and_then(|ix| set.rule_at(ix)).expect("the rule");
            assert_eq!((is.ruling, is.class), (ruling, (ruling != Ruling::Keep).then_some(class)), "{}", rule.id);
        }
    }
}
