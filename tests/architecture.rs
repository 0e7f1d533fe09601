//! The arrows between the rooms, read from the sources: who may name whom. A forbidden `use` fails here with its file
//! and line, and so does a room that the table does not know.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// A room and the rooms it may name besides itself.
const ARROWS: &[(&str, &[&str])] = &[
    ("diag", &[]),
    ("trade", &["diag"]),
    ("rules", &["diag", "trade"]),
    ("bench", &["diag", "trade"]),
    ("round", &["diag", "trade", "rules", "bench"]),
    ("record", &["diag", "trade", "rules", "bench", "round"]),
    ("report", &["diag", "trade", "rules", "bench", "round"]),
    ("tui", &["diag", "trade", "rules", "bench", "round", "record", "report"]),
    ("cli", &["diag", "trade", "rules", "bench", "round", "record", "report", "tui"]),
];

/// A word that only some rooms or files may contain, and why.
const WORDS: &[(&str, &[&str], &str)] = &[
    ("ratatui", &["tui"], "only tui draws"),
    ("tui_textarea", &["tui"], "only tui draws"),
    ("crossterm", &["tui"], "only tui talks to the terminal"),
    ("clap", &["cli", "main.rs"], "only cli parses arguments"),
    ("serde_yaml", &["diag/tree.rs"], "one module reads YAML, so that one module can be changed"),
    ("annotate_snippets", &["diag/render.rs", "diag/render"], "one module draws snippets"),
    ("std::fs", &["record", "main.rs"], "only record and main touch files"),
    ("fs_err", &["record", "main.rs"], "only record and main touch files"),
    ("tempfile", &["record"], "only record touches files"),
    ("std::env", &["main.rs"], "only main reads the environment"),
    ("SystemTime::now", &["main.rs"], "only main reads the clock"),
    ("Local::now", &["main.rs"], "only main reads the clock"),
    ("Utc::now", &["main.rs"], "only main reads the clock"),
    ("Instant::now", &[], "benches measure time, the program does not"),
    ("getrandom", &["main.rs"], "only main asks for chance"),
    ("dirs::", &["main.rs"], "only main looks up folders"),
    ("process::exit", &["main.rs"], "main turns the outcome into an exit code"),
];

/// Files of the sources, with their path below `src`.
fn sources() -> Vec<(String, String)> {
    fn walk(folder: &Path, list: &mut Vec<PathBuf>) {
        for item in fs::read_dir(folder).expect("a folder of the sources") {
            let path = item.expect("an item").path();
            if path.is_dir() {
                walk(&path, list);
            } else if path.extension().is_some_and(|e| e == "rs") {
                list.push(path);
            }
        }
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut list = Vec::new();
    walk(&root, &mut list);
    list.sort();
    list.into_iter()
        .map(|path| {
            let name = path.strip_prefix(&root).expect("below src").to_string_lossy().replace('\\', "/");
            (name, fs::read_to_string(&path).expect("a source"))
        })
        .collect()
}

/// The lines of a source that are code of the program: no comments, nothing behind `#[cfg(test)] mod tests`, no test
/// support files.
fn code(name: &str, text: &str) -> Vec<(usize, String)> {
    if name.ends_with("_tests.rs") || name.ends_with("/tests.rs") {
        return Vec::new();
    }
    let mut lines = Vec::new();
    let mut after_cfg_test = false;
    for (number, line) in text.lines().enumerate() {
        let trimmed = line.trim_start();
        if after_cfg_test && trimmed.starts_with("mod ") && trimmed.ends_with('{') {
            break;
        }
        after_cfg_test = trimmed.starts_with("#[cfg(test)]");
        if !trimmed.starts_with("//") {
            lines.push((number + 1, line.split("// ").next().unwrap_or(line).to_owned()));
        }
    }
    lines
}

fn room_of(name: &str) -> Option<&str> {
    name.split_once('/').map(|(room, _)| room)
}

#[test]
fn every_folder_of_the_sources_is_a_room_of_the_table() {
    let rooms: BTreeSet<String> = sources().iter().filter_map(|(n, _)| room_of(n).map(str::to_owned)).collect();
    let known: BTreeSet<String> = ARROWS.iter().map(|(r, _)| (*r).to_owned()).collect();
    assert_eq!(rooms, known);
}

#[test]
fn rooms_name_only_the_rooms_below_them() {
    let mut wrong = Vec::new();
    for (name, text) in sources() {
        let Some(room) = room_of(&name) else { continue };
        let (_, may) = ARROWS.iter().find(|(r, _)| *r == room).expect("a room of the table");
        for (number, line) in code(&name, &text) {
            for part in line.split("crate::").skip(1) {
                let named: Vec<&str> = match part.strip_prefix('{') {
                    Some(list) => {
                        list.split(['{', ',', '}']).map(|w| w.split("::").next().unwrap_or("").trim()).collect()
                    }
                    None => vec![part.split(|c: char| !(c.is_alphanumeric() || c == '_')).next().unwrap_or("")],
                };
                for other in named {
                    let is_room = ARROWS.iter().any(|(r, _)| *r == other);
                    if is_room && other != room && !may.contains(&other) {
                        wrong.push(format!("src/{name}:{number}: {room} may not name {other}"));
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn words_of_the_outside_stand_only_where_they_belong() {
    let mut wrong = Vec::new();
    for (name, text) in sources() {
        for (number, line) in code(&name, &text) {
            for (word, places, why) in WORDS {
                let allowed = places.iter().any(|p| name == *p || name.starts_with(&format!("{p}/")));
                let here = line.match_indices(word).any(|(at, _)| {
                    let before = line[..at].chars().next_back();
                    !before.is_some_and(|c| c.is_alphanumeric() || c == '_')
                });
                if here && !allowed {
                    wrong.push(format!("src/{name}:{number}: {word}: {why}"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_check_sees_what_it_should_see() {
    let text = "//! Doc.\nuse crate::{tui::app, diag};\n// use crate::cli;\nlet x = std::fs::read(a);\n#[cfg(test)]\nmod tests {\nuse crate::cli;\n}\n";
    let lines = code("trade/x.rs", text);
    assert_eq!(lines.iter().map(|(n, _)| *n).collect::<Vec<_>>(), [2, 4, 5]);
}

#[test]
fn every_source_says_first_what_it_is() {
    let mut wrong = Vec::new();
    for (name, text) in sources() {
        if !text.starts_with("//!") {
            wrong.push(format!("src/{name}: the first line should say what the file is, behind //!"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn pure_rooms_ban_clock_files_and_environment() {
    for room in ["diag", "trade", "rules", "round", "report"] {
        let text =
            fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("src/{room}/mod.rs"))).unwrap();
        assert!(text.contains("#![deny(clippy::disallowed_methods)]"), "src/{room}/mod.rs does not turn the bans on");
    }
}
