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
        for example in &examples {
            read(&format!("{text}\n{example}"));
        }
        let all = read(&format!("{text}\n{}", examples.concat()));
        let settled = parent.rules.iter().zip(&all.rules).filter(|(was, is)| was.ruling != is.ruling);
        let settled: Vec<_> = settled.map(|(was, is)| (was.contested.is_some(), is.ruling)).collect();
        assert_eq!(settled, [(true, Ruling::Replace)], "{}", parent.name);
        let amended = parent.rules.iter().zip(&all.rules).filter(|(was, is)| was.remedy != is.remedy || was.class != is.class);
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
        // One ruling a rule is enough to see that none of them is refused; over the sets every pair is met.
        let calls = Ruling::ALL.iter().flat_map(|r| Class::ALL.iter().map(move |c| (*r, *c))).cycle();
        for (rule, (ruling, class)) in contested.iter().zip(calls) {
            let call = if ruling == Ruling::Keep { ruling.to_string() } else { format!("{ruling} {class}") };
            let set = read(&format!("{text}\nsettle: {{{}: {call}}}\n", rule.id));
            let ix = set.rule(&rule.id).expect("the rule");
            let is = set.rule_at(ix).expect("the rule");
            assert_eq!((is.ruling, is.class), (ruling, (ruling != Ruling::Keep).then_some(class)), "{}", rule.id);
        }
    }
}
