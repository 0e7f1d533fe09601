//! The arguments as clap declares them: help, completions, the man page and docs/commands.md are all drawn from here.

use std::path::PathBuf;

use chrono::NaiveDate;
use clap::{Args, Parser, Subcommand, ValueEnum, ValueHint};

use super::{
    begin, bench, cabinet, calc, check, completions, demo, due, lot, new, order, report, rules, rulings, signoff,
    status, tidy, walk,
};
use crate::tui::theme::Theme;

/// Inspect fire sprinklers head by head: walk, rulings, signed summary.
///
/// Without a command the opening screen lists recent site files and the demo. A site is one file, NAME.site.yaml: its
/// register by hand, then one line for every entry you make. Nothing is ever unsaved.
///
/// Headround covers sprinkler heads and what is around them, not valves, pipes, pumps or the water supply. A visual
/// inspection from the floor cannot show that a head will operate. The adopted code and the authority having
/// jurisdiction decide.
#[derive(Debug, Parser)]
#[command(name = "headround", version, max_term_width = 100, disable_help_subcommand = true)]
#[command(after_help = "\
Examples:
  headround demo                          walk an invented cannery
  headround walk harbour.site.yaml        walk a site of your own
  headround rulings harbour.site.yaml     what must happen to which head, and why

Exit codes: 0 done; 1 done, and there is something to act on (only with --strict); 2 could not be done.")]
pub struct Cli {
    /// Options that all commands share.
    #[command(flatten)]
    pub global: Global,

    /// What to do.
    #[command(subcommand)]
    pub command: Option<Command>,
}

/// Options that all commands share.
#[derive(Debug, Clone, Default, Args)]
#[command(next_help_heading = "Options of all commands")]
pub struct Global {
    /// Write facts as JSON; docs/json.md describes the shapes
    #[arg(long, global = true)]
    pub json: bool,

    /// Take this day for today, as in 2026-11-25
    #[arg(long, global = true, value_name = "DATE", value_parser = day)]
    pub on: Option<NaiveDate>,

    /// Look from this round instead of the latest; with `begin`, the new round's name
    #[arg(long, global = true, value_name = "NAME")]
    pub round: Option<String>,

    /// The short name your entries are written under; otherwise HEADROUND_BY, or your user name in lower case
    #[arg(long, global = true, value_name = "NAME")]
    pub by: Option<String>,

    /// Colours of the screens: default, day, night or mono; otherwise HEADROUND_THEME, mono where NO_COLOR is set, or
    /// the theme chosen last
    #[arg(long, global = true, value_name = "NAME", value_parser = clap::builder::PossibleValuesParser::new(Theme::NAMES), hide_possible_values = true)]
    pub theme: Option<String>,

    /// Draw with ASCII characters only; on its own where TERM is linux or dumb
    #[arg(long, global = true)]
    pub ascii: bool,

    /// Exit with 1 when there is something to act on
    #[arg(long, global = true)]
    pub strict: bool,

    /// How trouble is told on standard error: full, short, narrated (sentences, for screen readers) or json
    #[arg(
        long,
        global = true,
        value_name = "STYLE",
        value_enum,
        default_value_t,
        hide_possible_values = true,
        hide_default_value = true
    )]
    pub diagnostics: Diagnostics,

    /// The folder with your own rule sets; otherwise HEADROUND_RULES
    #[arg(long, global = true, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub rules_folder: Option<PathBuf>,
}

/// How trouble is told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Diagnostics {
    /// With the lines it is about.
    #[default]
    Full,
    /// One line each.
    Short,
    /// In sentences.
    Narrated,
    /// One JSON array of objects.
    Json,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Open the demo: an invented cannery to walk and write in
    Demo(demo::Demo),
    /// Make a new site file
    New(Box<new::New>),
    /// Begin a round
    Begin(begin::Begin),
    /// Walk a site and record what you see
    Walk(walk::Walk),
    /// Show how far the round has come, for one or several sites
    Status(status::Status),
    /// List the ruled heads: what must happen, and why
    Rulings(rulings::Rulings),
    /// Show the spare cabinets, and record counts and movements
    Cabinet(Box<cabinet::Cabinet>),
    /// List what to buy: heads to replace and spares to fill the cabinets, for one or several sites
    Order(order::OrderList),
    /// List what falls due by age: samples to test and heads to replace, for one or several sites
    Due(due::DueArgs),
    /// Show the lots of a site; form them, draw their samples, hand them on
    Lot(Box<lot::LotCommand>),
    /// Show what the test bench saw of sampled heads; record it, import it, compare
    Bench(Box<bench::BenchCommand>),
    /// Reckon: response time index, limits, sample sizes, odds, survival, delay
    Calc(Box<calc::Calc>),
    /// Sign the round
    Signoff(signoff::Signoff),
    /// Write the summary, blank sheets for a walk, or a cabinet's list
    Report(report::Report),
    /// List, show, explain and check rule sets
    Rules(rules::Rules),
    /// Take changes made in the field into the register
    Tidy(tidy::Tidy),
    /// Look whether site files are sound
    Check(check::Check),
    /// Write a completion script for a shell
    Completions(completions::Completions),
    /// Write the manual page
    Man(completions::Man),
}

/// Reads a day.
///
/// # Errors
/// A sentence when it is none.
pub fn day(text: &str) -> Result<NaiveDate, String> {
    NaiveDate::parse_from_str(text, "%Y-%m-%d").map_err(|_| "write a day as in 2026-11-25".to_owned())
}
