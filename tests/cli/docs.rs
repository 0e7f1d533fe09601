//! docs/commands.md is what the program says of itself.

use std::fs;
use std::path::Path;

use crate::rules_diff::AUTHORITY;
use crate::support::Place;

#[test]
fn the_page_of_commands_is_what_the_program_declares() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/commands.md");
    let page = headround::cli::docs::commands();
    if std::env::var_os("HEADROUND_UPDATE").is_some() {
        fs::write(&path, &page).unwrap();
    }
    assert_eq!(
        fs::read_to_string(&path).unwrap_or_default(),
        page,
        "write it anew: HEADROUND_UPDATE=1 cargo test --test cli"
    );
}

#[test]
fn the_variables_the_page_names_are_those_that_are_read() {
    let main = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/main.rs")).unwrap();
    let page = headround::cli::docs::commands();
    for name in ["HEADROUND_DATA", "HEADROUND_RULES", "HEADROUND_BY", "HEADROUND_THEME", "NO_COLOR", "TERM"] {
        assert!(main.contains(&format!("\"{name}\"")), "main reads {name}");
        assert!(page.contains(&format!("`{name}`")), "the page names {name}");
    }
}

#[test]
fn completions_know_every_command() {
    let place = Place::new();
    for shell in ["bash", "zsh", "fish", "powershell"] {
        let script = place.fine(&["completions", shell]).out;
        for command in ["demo", "walk", "signoff", "rulings", "explain", "--strict", "--diagnostics"] {
            assert!(script.contains(command.trim_start_matches("--")), "{shell}: {command}");
        }
    }
    assert_eq!(place.run(&["completions", "tcsh"]).code, 2);
}

#[test]
fn the_manual_page_tells_of_every_command() {
    let place = Place::new();
    let page = place.fine(&["man"]).out;
    assert!(page.contains(".TH headround 1"), "{page}");
    for (name, _) in headround::cli::docs::helps() {
        if let Some(command) = name.strip_prefix("headround ").filter(|c| !c.contains(' ')) {
            assert!(page.contains(&format!(".SH \"COMMAND {}\"", command.to_uppercase())), "{command}");
        }
    }
}

/// The words in backticks of docs/json.md.
fn documented() -> Vec<String> {
    let page = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/json.md")).unwrap();
    page.split('`').skip(1).step_by(2).map(str::to_owned).collect()
}

fn keys(value: &serde_json::Value, list: &mut Vec<String>) {
    match value {
        serde_json::Value::Object(map) => map.iter().for_each(|(key, value)| {
            list.push(key.clone());
            keys(value, list);
        }),
        serde_json::Value::Array(items) => items.iter().for_each(|item| keys(item, list)),
        _ => {}
    }
}

#[test]
fn every_key_of_the_json_is_documented() {
    let place = Place::half_walked();
    // A finding that the authority's set rules otherwise.
    place.write("stricter.yaml", AUTHORITY);
    place.walk("area hall\ngo 1.5\np 4 t\n");
    let commands: [&[&str]; 28] = [
        &["status", "@harbour.site.yaml"],
        &["rulings", "@harbour.site.yaml"],
        &["rulings", "@harbour.site.yaml", "--against", "stricter"],
        &["rules", "diff", "nfpa25-2023", "@stricter.yaml"],
        &["signoff", "@harbour.site.yaml", "--name", "Ines Tidewell", "--yes"],
        &[
            "begin",
            "@harbour.site.yaml",
            "--inspector",
            "Ines Tidewell",
            "--round",
            "b",
            "--purpose",
            "c",
            "--scope",
            "d",
            "--licence",
            "e",
        ],
        &["cabinet", "@harbour.site.yaml", "add", "riser", "--name", "Riser"],
        &["cabinet", "@harbour.site.yaml", "count", "riser", "qr-pendent=2", "--unfit", "qr-pendent=1", "--note", "x"],
        &["cabinet", "@harbour.site.yaml", "count", "riser", "qr-pendent=1"],
        &["cabinet", "@harbour.site.yaml", "take", "riser", "qr-pendent", "1", "--for", "hall/1.2", "--note", "x"],
        &["cabinet", "@harbour.site.yaml", "look", "riser", "--wrench", "-", "--list", "right", "--warmest", "95F"],
        &["cabinet", "@harbour.site.yaml", "look", "riser", "--dry", "yes", "--place", "no"],
        &["cabinet", "@harbour.site.yaml", "post", "riser"],
        &["cabinet", "@harbour.site.yaml", "put", "riser", "int-upright", "3"],
        &["cabinet", "@harbour.site.yaml", "fits", "hall/1.2"],
        &["cabinet", "@harbour.site.yaml", "--trends", "--on", "2029-11-25"],
        &["check", "@harbour.site.yaml"],
        &["tidy", "@harbour.site.yaml"],
        &["report", "@harbour.site.yaml", "--out", "@summary.txt"],
        &["new", "@new.site.yaml", "--name", "X"],
        &["demo"],
        &["rules", "list"],
        &["rules", "explain", "paint-operating-part"],
        &["rules", "explain", "loading-film-trim", "--set", "nfpa25-2014"],
        &["rules", "table", "--sign", "paint"],
        &["rules", "check", "@none.yaml"],
        &["rules", "new", "@own.yaml"],
        &["rules", "new"],
    ];
    let documented = documented();
    let mut told = Vec::new();
    for command in commands {
        let ran = place.run(&[command, &["--json"]].concat());
        if !ran.out.is_empty() {
            keys(&ran.json(), &mut told);
        }
    }
    let lots = crate::lot::drawn();
    let lot = |words: &[&str]| lots.run(&[&["lot", "@old.site.yaml"], words, &["--json"]].concat());
    let bench = |words: &[&str]| lots.run(&[&["bench", "@old.site.yaml"], words, &["--json"]].concat());
    lots.write("prices.yaml", crate::lot::PRICES);
    lots.write("r.csv", crate::bench::TABLE);
    for ran in [
        lots.run(&["due", "@old.site.yaml", "--all", "--json"]),
        lot(&["ways", "--prices", "@prices.yaml"]),
        lot(&["draw", "loft", "--seed", "7", "--dry-run"]),
        lot(&["draw", "loft", "--more", "1", "--dry-run"]),
        lot(&["draw", "loft", "--heads", "loft/2.3", "--note", "x"]),
        lot(&["hand", "loft", "--step", "packed", "--from", "a", "--to", "b", "--tag", "loft-1", "--note", "x"]),
        bench(&["import", "loft", "@r.csv", "--dry-run"]),
        bench(&["import", "loft", "@r.csv"]),
        bench(&["record", "loft", "loft-5", "--oven", "135C", "--c", "0.5", "--operating", "160F", "--leak", "5s"]),
        bench(&["compare", "--apart", "before"]),
        lot(&["conclude", "loft", "--failed", "--date", "2026", "--lab", "x", "--tested", "4", "--note", "x"]),
        lot(&[]),
        bench(&["show", "loft"]),
    ] {
        assert!(!ran.out.is_empty(), "{ran}");
        keys(&ran.json(), &mut told);
    }
    let signed = Place::signed();
    keys(&signed.fine(&["check", "@harbour.site.yaml", "--json"]).json(), &mut told);
    assert!(told.len() > 100, "{}", told.len());
    for key in told {
        assert!(documented.contains(&key), "docs/json.md does not name '{key}'");
    }
}

#[test]
fn the_rules_that_the_pages_ask_to_explain_are_there() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let text: String = ["README.md", "DEVELOPERS.md", "docs/commands.md"]
        .iter()
        .map(|page| fs::read_to_string(root.join(page)).unwrap())
        .collect();
    let named: Vec<&str> = text
        .split("headround rules explain ")
        .skip(1)
        .map(|rest| rest.split(|c: char| !(c.is_ascii_lowercase() || c == '-')).next().unwrap_or_default())
        .filter(|name| !name.is_empty())
        .collect();
    assert!(!named.is_empty());
    for name in named {
        assert_eq!(Place::new().run(&["rules", "explain", name]).code, 0, "{name}");
    }
}
