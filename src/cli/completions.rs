//! `headround completions` and `headround man`: what shells and `man` read, drawn from the declared arguments.

use clap::{Args, CommandFactory as _};
use clap_complete::Shell;

use super::args::Cli;
use super::session::{Done, Outcome, Session};

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  headround completions bash > ~/.local/share/bash-completion/completions/headround")]
pub struct Completions {
    /// The shell
    #[arg(value_enum)]
    pub shell: Shell,
}

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  headround man > headround.1 && man ./headround.1")]
pub struct Man {}

/// Writes a completion script.
pub fn run(it: &Completions, session: &mut Session<'_, '_>) -> Done {
    let mut text = Vec::new();
    clap_complete::generate(it.shell, &mut Cli::command(), "headround", &mut text);
    session.streams.out.write_all(&text)?;
    Ok(Outcome::Fine)
}

/// Writes the manual page: the program's own, then one section a command.
pub fn man(_: &Man, session: &mut Session<'_, '_>) -> Done {
    let mut command = Cli::command();
    command.build();
    let mut text = Vec::new();
    clap_mangen::Man::new(command.clone()).render(&mut text)?;
    for sub in command.get_subcommands() {
        let page = clap_mangen::Man::new(sub.clone());
        let name = sub.get_name().to_uppercase();
        text.extend_from_slice(format!(".SH \"COMMAND {name}\"\n").as_bytes());
        let mut sections = Vec::new();
        page.render_description_section(&mut sections)?;
        page.render_synopsis_section(&mut sections)?;
        page.render_options_section(&mut sections)?;
        // Within a command's section its parts are subsections.
        text.extend_from_slice(String::from_utf8_lossy(&sections).replace("\n.SH ", "\n.SS ").as_bytes());
    }
    session.streams.out.write_all(&text)?;
    Ok(Outcome::Fine)
}
