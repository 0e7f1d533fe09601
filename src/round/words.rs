//! Entries and obstacles in words, for lines on a screen and for reports.

use super::act::Obstacles;
use super::entry::{Entry, What};
use crate::diag::plain;

/// What an entry says, in one short line.
#[must_use]
pub fn entry_words(entry: &Entry) -> String {
    let words = match &entry.what {
        What::Begin(x) => format!("round {} begun by {}", entry.round, x.inspector),
        What::Seen(heads) => format!("{heads} seen"),
        What::Saw(x) => {
            let note = x.note.as_deref().map_or(String::new(), |n| format!(": {n}"));
            format!("{} {} on {}, {}{note}", x.head, x.sign, x.part, x.extent)
        }
        What::Unsure(x) => format!("{} could not be judged ({})", x.head, x.why),
        What::Unreached(x) => format!("{} not reached ({})", x.heads, x.why),
        What::Note(x) => {
            let about = x.head.as_ref().map_or("round".to_owned(), ToString::to_string);
            format!("note on {about}: {}", x.text)
        }
        What::Notice(x) => format!("{} told ({})", x.told, x.how),
        What::Did(x) => {
            let kind = x.kind.as_deref().map_or(String::new(), |k| format!(" by {k}"));
            let from = x.from.as_ref().map_or(String::new(), |c| format!(" from cabinet {c}"));
            format!("{} {}{kind}{from}", x.head, x.did)
        }
        What::Gone(x) => format!("{} looked at again, gone", x.head),
        What::Added(x) => format!("{} added, {}", x.head, x.kind),
        What::Removed(x) => format!("{} not there", x.head),
        What::IsKind(x) => format!("{} is {}", x.head, x.kind),
        What::NewKind(x) => format!("kind {} added", x.id),
        What::NewArea(x) => format!("area {} added", x.id),
        What::Retract(id) => format!("{id} taken back"),
        What::Settle(x) => format!("{} settled: {}", x.head, x.because),
        What::Signoff(x) => format!("signed by {}", x.name),
        What::Counted(x) => {
            let held: u64 = x.held.values().map(|n| u64::from(*n)).sum();
            let (kinds, heads) = (counted(x.held.len(), "kind"), counted(held, "head"));
            format!("cabinet {} counted: {heads} of {kinds}", x.cabinet)
        }
        What::Moved(x) => {
            let head = x.head.as_ref().map_or(String::new(), |h| format!(" for {h}"));
            format!("{} {} {}{head}, cabinet {}", x.n, x.kind, x.way, x.cabinet)
        }
        What::Checked(x) => format!("cabinet {} looked at", x.cabinet),
        What::Posted(x) => format!("list of cabinet {} posted", x.cabinet),
        What::NewCabinet(x) => format!("cabinet {} added", x.id),
        What::Lot(x) => format!("lot {} formed", x.id),
        What::Drawn(x) => format!("{} drawn for lot {}", counted(x.picks.len(), "head"), x.lot),
        What::Custody(x) => {
            let to = x.to.as_deref().map_or(String::new(), |to| format!(", to {to}"));
            format!("sample of lot {} {}{to}", x.lot, x.step)
        }
        What::Tested(x) => format!("{} tested for lot {}", x.head, x.lot),
        What::Concluded(x) => {
            format!("lot {} {} by {}", x.lot, if x.passed { "passed" } else { "failed" }, x.by)
        }
    };
    let one_line: String = words.chars().map(|c| if c.is_whitespace() { ' ' } else { c }).collect();
    plain(&one_line)
}

/// A number with its noun: `1 head`, `3 heads`.
fn counted(n: impl TryInto<u64>, noun: &str) -> String {
    let n = n.try_into().unwrap_or(u64::MAX);
    format!("{n} {noun}{}", if n == 1 { "" } else { "s" })
}

/// A rule set's name as a file gives it, fit for a line: an honest one is short.
#[must_use]
pub fn set_word(name: &str) -> String {
    let line: String = name.chars().take(60).map(|c| if c.is_whitespace() { ' ' } else { c }).collect();
    plain(&line)
}

/// What stands in the way of signing, in one sentence without a full stop.
#[must_use]
pub fn obstacle_words(obstacles: &Obstacles) -> String {
    let mut parts = Vec::new();
    if obstacles.not_begun {
        parts.push("nobody has begun it".to_owned());
    }
    if obstacles.signed {
        parts.push("it is signed already".to_owned());
    }
    if let Some((begun, judging)) = &obstacles.other_rules {
        parts.push(format!("it was begun under '{}' and is judged by '{}'", set_word(begun), set_word(judging)));
    }
    let mut count = |n: usize, one: &str, many: &str| {
        if n > 0 {
            parts.push(format!("{n} {}", if n == 1 { one } else { many }));
        }
    };
    count(
        obstacles.unseen.len(),
        "head is neither seen nor unreached with a reason",
        "heads are neither seen nor unreached with a reason",
    );
    count(
        obstacles.carried.len(),
        "head has a finding of an earlier round without an answer",
        "heads have findings of an earlier round without an answer",
    );
    count(obstacles.disagreements.len(), "disagreement is open", "disagreements are open");
    parts.join("; ")
}
