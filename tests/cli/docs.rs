//! docs/commands.md is what the program says of itself.

use std::fs;
use std::path::Path;

use crate::support::Place;

#[test]
fn the_page_of_commands_is_what_the_program_declares() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/commands.md");
    let page = headround::cli::docs::commands();
    if std::env::var_os("UPDATE").is_some() {
        fs::write(&path, &page).unwrap();
    }
    assert_eq!(fs::read_to_string(&path).unwrap_or_default(), page, "write it anew: UPDATE=1 cargo test --test cli");
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
