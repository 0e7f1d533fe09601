//! docs/commands.md, drawn from the declared arguments. It gives back text and writes nothing.

use clap::CommandFactory as _;

use super::args::Cli;

/// What is written about the environment; the names are those that `main` reads.
const ENVIRONMENT: &str = "\
## Environment

| variable | what it does |
| --- | --- |
| `HEADROUND_DATA` | the folder for the program's own data: the demo, recent files, where you left off, the theme chosen last |
| `HEADROUND_RULES` | the folder with your own rule sets; `--rules-folder` outranks it |
| `HEADROUND_BY` | the short name your entries are written under; `--by` outranks it |
| `HEADROUND_THEME` | the theme of the screens; `--theme` outranks it |
| `NO_COLOR` | set to anything but nothing, screens use the theme without colours, and trouble is told without |
| `TERM` | `linux` and `dumb` get ASCII characters only |

## Exit codes

| code | meaning |
| --- | --- |
| 0 | done; also when whoever reads the output has gone away |
| 1 | done, and there is something to act on; only with `--strict` |
| 2 | it could not be done, or not all of it; standard error says why |
";

/// The page.
#[must_use]
pub fn commands() -> String {
    let mut command = Cli::command().term_width(super::COLUMNS);
    command.build();
    let mut page = String::from(
        "# Commands\n\nGenerated from the program's own declarations and checked by a test; `HEADROUND_UPDATE=1 cargo test --test \
         cli` writes it anew.\n",
    );
    section(&mut page, "headround", &mut command, 2);
    page.push('\n');
    page.push_str(ENVIRONMENT);
    page
}

/// Every command with its full name, the program's own first.
#[must_use]
pub fn helps() -> Vec<(String, String)> {
    fn walk(name: &str, command: &mut clap::Command, list: &mut Vec<(String, String)>) {
        list.push((name.to_owned(), command.render_long_help().to_string()));
        for sub in command.get_subcommands_mut() {
            walk(&format!("{name} {}", sub.get_name()), sub, list);
        }
    }
    let mut command = Cli::command().term_width(super::COLUMNS);
    command.build();
    let mut list = Vec::new();
    walk("headround", &mut command, &mut list);
    list
}

fn section(page: &mut String, name: &str, command: &mut clap::Command, depth: usize) {
    let help = command.render_long_help().to_string();
    // The options of all commands are told once, with the program itself.
    let help = match help.split_once("\nOptions of all commands:") {
        Some((own, rest)) if depth > 2 => {
            let after = rest.find("\nExample").map_or("", |at| rest.get(at..).unwrap_or_default());
            format!("{own}{after}")
        }
        _ => help,
    };
    let lines: Vec<&str> = help.trim_end().lines().map(str::trim_end).collect();
    page.push_str(&format!("\n{} {name}\n\n```text\n{}\n```\n", "#".repeat(depth), lines.join("\n")));
    for sub in command.get_subcommands_mut() {
        let name = format!("{name} {}", sub.get_name());
        section(page, &name, sub, depth + 1);
    }
}
