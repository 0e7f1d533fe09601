//! docs/rules/ is what the built-in rule sets say.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use headround::rules::model::RuleSet;
use headround::rules::pages::{Page, pages};
use headround::rules::{builtin, load};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/rules")
}

fn sets() -> Vec<Arc<RuleSet>> {
    builtin::names().iter().map(|name| builtin::load(name).expect("sound")).collect()
}

#[test]
fn the_pages_about_rule_sets_are_what_the_sets_say() {
    fs::create_dir_all(folder()).unwrap();
    let pages = pages(&sets());
    if std::env::var_os("HEADROUND_UPDATE").is_some() {
        for page in &pages {
            fs::write(folder().join(&page.file), &page.text).unwrap();
        }
    }
    for page in &pages {
        let kept = fs::read_to_string(folder().join(&page.file)).unwrap_or_default();
        assert!(kept == page.text, "write docs/rules/{} anew: HEADROUND_UPDATE=1 cargo test --test cli", page.file);
    }
    let mut wanted: BTreeSet<String> = pages.into_iter().map(|p| p.file).collect();
    wanted.insert("rule-set.schema.json".to_owned());
    let there: BTreeSet<String> =
        fs::read_dir(folder()).unwrap().map(|f| f.unwrap().file_name().into_string().unwrap()).collect();
    assert_eq!(there, wanted);
}

/// The anchors of a page's headings.
fn anchors(page: &str) -> BTreeSet<String> {
    let headings = page.lines().filter(|l| l.starts_with('#')).map(|l| l.trim_start_matches('#').trim());
    headings
        .map(|h| {
            let kept =
                h.to_lowercase().chars().filter(|c| c.is_alphanumeric() || matches!(c, ' ' | '-')).collect::<String>();
            kept.replace(' ', "-")
        })
        .collect()
}

#[test]
fn every_link_of_the_pages_leads_somewhere() {
    let pages = pages(&sets());
    let mut links = 0;
    for page in &pages {
        for link in page.text.split("](").skip(1).filter_map(|rest| rest.split(')').next()) {
            links += 1;
            let (file, anchor) = link.split_once('#').map_or((link, None), |(f, a)| (f, Some(a)));
            let file = if file.is_empty() { page.file.as_str() } else { file };
            assert!(folder().join(file).exists(), "{}: {link}", page.file);
            if let Some(anchor) = anchor {
                let Page { text, .. } = pages.iter().find(|p| p.file == file).expect(link);
                assert!(anchors(text).contains(anchor), "{}: {link}", page.file);
            }
        }
    }
    assert!(links > 100, "{links}");
}

#[test]
fn a_page_tells_every_rule_of_its_set_with_its_texts_and_every_duty() {
    let pages = pages(&sets());
    for set in sets() {
        let page = pages.iter().find(|p| p.file == format!("{}.md", set.name)).expect(&set.name);
        // Marks of escaping apart, every text stands there.
        let text = page.text.replace('\\', "");
        for rule in &set.rules {
            assert_eq!(text.matches(&format!("\n#### {}\n", rule.id)).count(), 1, "{}: {}", set.name, rule.id);
            let texts = [Some(&rule.because), Some(&rule.remedy), Some(&rule.source), Some(&rule.clause)];
            let more = [rule.never.as_ref(), rule.contested.as_ref()];
            for said in texts.into_iter().chain(more).flatten() {
                assert!(text.contains(said.as_str()), "{}: {}: {said}", set.name, rule.id);
            }
        }
        let duties = &set.duties;
        let words = duties.ages.iter().map(|a| (&a.id, &a.because));
        let words = words.chain(duties.samples.iter().map(|s| (&s.id, &s.because)));
        let words = words.chain(duties.limits.iter().map(|l| (&l.id, &l.because)));
        for (word, because) in words.chain(duties.stock.iter().map(|s| (&s.id, &s.because))) {
            assert!(text.contains(&format!("\n| {word} | ")), "{}: {word}", set.name);
            assert!(text.contains(because.as_str()), "{}: {word}: {because}", set.name);
        }
    }
}

#[test]
fn what_a_file_holds_is_text_on_a_page_and_never_markup() {
    let base = include_str!("../fixtures/whole-base.yaml");
    let hostile = "<script>*x*</script> [a](b) | `c` \\u001b[2J # d";
    let text = base.replace("because: It insulates.", &format!("because: \"{hostile}\""));
    let set = load::read(&headround::diag::Source::new("t.yaml", text), &|_| None).expect("sound");
    let pages = pages(&[Arc::new(set)]);
    let page = pages.iter().find(|p| p.file == "whole-base.md").expect("its page");
    let line = page.text.lines().find(|l| l.contains("script")).expect("the line");
    assert_eq!(line, "- **Why:** \\<script\\>\\*x\\*\\</script\\> \\[a\\](b) \\| \\`c\\` \u{fffd}\\[2J # d");
}
