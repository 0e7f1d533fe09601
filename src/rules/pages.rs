//! The pages about the built-in rule sets, `docs/rules/`: what there is and how to choose, a page a set, and how the
//! editions differ. They are drawn from the sets, so that they cannot say anything else. It gives back text and writes
//! nothing.

mod duties;
mod editions;
mod set;

use std::fmt::Write as _;
use std::sync::Arc;

use super::model::{Class, Confidence, RuleSet, Ruling};

/// What stands under every page's title.
const GENERATED: &str =
    "Generated from the rule files and checked by a test; `HEADROUND_UPDATE=1 cargo test --test cli` writes it anew.";

/// What stands on every page: the texts are nobody's standard.
const CAUTION: &str = "The texts are paraphrased in our own words, with the clause beside them. The adopted code and \
    the authority having jurisdiction decide; have a licensed copy of the edition at hand.";

/// A page: the name of its file and its text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Page {
    /// The name of the file in `docs/rules/`.
    pub file: String,
    /// The text, as Markdown with tables.
    pub text: String,
}

/// The pages about these sets, which stand in the order in which they are listed, newest first.
#[must_use]
pub fn pages(sets: &[Arc<RuleSet>]) -> Vec<Page> {
    let mut pages = vec![
        Page { file: "README.md".to_owned(), text: overview(sets) },
        Page { file: "editions.md".to_owned(), text: editions::page(sets) },
    ];
    for it in sets {
        let parent = it.extends.first().and_then(|name| sets.iter().find(|s| s.name == *name));
        pages.push(Page { file: format!("{}.md", it.name), text: set::page(it, parent.map(|p| &**p)) });
    }
    pages
}

/// Text that comes out as it is, and never as markup.
fn md(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in crate::diag::plain(text).chars() {
        if matches!(c, '\\' | '`' | '*' | '_' | '<' | '>' | '[' | ']' | '|' | '~') {
            out.push('\\');
        }
        out.push(c);
    }
    out
}

/// A table; cells are Markdown already.
fn table(out: &mut String, head: &[&str], rows: &[Vec<String>]) {
    let _ = writeln!(out, "| {} |", head.join(" | "));
    let _ = writeln!(out, "|{}", " --- |".repeat(head.len()));
    for row in rows {
        let _ = writeln!(out, "| {} |", row.join(" | "));
    }
}

fn ruling_words(ruling: Ruling, class: Option<Class>) -> String {
    class.map_or_else(|| ruling.to_string(), |class| format!("{ruling}, {class}"))
}

/// What a ruling asks of whoever reads it.
const fn ruling_means(ruling: Ruling) -> &'static str {
    match ruling {
        Ruling::Keep => "Nothing need be done.",
        Ruling::Watch => "Look at it again next time, and compare.",
        Ruling::Look => "It could not be judged: look from near by.",
        Ruling::Clean => "Clean it without touching it.",
        Ruling::Correct => "Put right what is around it, or the way it hangs.",
        Ruling::Test => "Have it, or a sample like it, tested.",
        Ruling::Replace => "Replace it.",
    }
}

fn overview(sets: &[Arc<RuleSet>]) -> String {
    let mut t = format!("# Rule sets\n\n{GENERATED}\n\n{CAUTION}\n");
    t.push_str("\n## Which there are\n\n");
    let rows: Vec<Vec<String>> = sets
        .iter()
        .map(|s| {
            vec![
                format!("[`{0}`]({0}.md)", s.name),
                md(&s.title),
                s.extends.first().map_or_else(|| "–".to_owned(), |e| format!("`{e}`")),
                s.rules.len().to_string(),
                s.rules.iter().map(|r| r.cases.len()).sum::<usize>().to_string(),
                s.rules.iter().filter(|r| r.contested.is_some()).count().to_string(),
            ]
        })
        .collect();
    table(&mut t, &["set", "title", "extends", "rules", "worked cases", "contested calls"], &rows);
    t.push_str(CHOOSING);
    t.push_str(MARKS);
    let mut head = vec!["mark", "means"];
    head.extend(sets.iter().map(|s| s.name.as_str()));
    let rows: Vec<Vec<String>> = Confidence::ALL
        .iter()
        .map(|mark| {
            let counted = sets.iter().map(|s| s.rules.iter().filter(|r| r.confidence == *mark).count().to_string());
            [mark.to_string(), mark.means().to_owned()].into_iter().chain(counted).collect()
        })
        .collect();
    table(&mut t, &head, &rows);
    t.push_str("\nThe numbers count rules by the mark of clause and criterion.\n");
    t.push_str(RULINGS);
    let rows: Vec<Vec<String>> =
        Ruling::ALL.iter().map(|r| vec![format!("**{r}**"), ruling_means(*r).to_owned()]).collect();
    table(&mut t, &["ruling", "means"], &rows);
    t.push_str(
        "\nThe class is the weight that the adopted text gives a finding; each set says what its classes mean.\n",
    );
    if let Some(first) = sets.first() {
        t.push_str("\n## Cautions\n\n");
        for caution in &first.cautions {
            let _ = writeln!(t, "- {}", md(caution));
        }
    }
    t
}

/// How to choose a set, and how to write one.
const CHOOSING: &str = "
## Which to use

The one that your authority has adopted, not the newest. A site file names it under `site: rules:`, and a round keeps
to the one it was begun under.

- `headround rules diff nfpa25-2023 nfpa25-2017` lists what differs between two sets; [editions.md](editions.md) shows
  all of them side by side.
- `headround rulings SITE --rules SET` judges what was recorded under another set; `--against SET` lists the heads whose
  ruling changes.
- `headround rules explain RULE` tells what one rule looks for, why, and what the editions make of it.

Where practice differs, the rule is marked as contested and tells both sides; an authority settles it in one line of a
file of its own. `headround rules new NAME.yaml` makes such a file,
[example-authority.yaml](../../rules/example-authority.yaml) is one to read, and [rule-set.md](../rule-set.md) describes
every key. [rule-set.schema.json](rule-set.schema.json) lets an editor complete and check it.
";

/// What the marks are.
const MARKS: &str = "
## How far a rule can be relied on

Every rule and every duty bears a mark for its clause and its criterion; a rule with a class bears one for the class too.

";

/// What rulings are.
const RULINGS: &str = "
## Rulings and classes

Weakest first. A head with several findings gets the strongest ruling of them.

";
