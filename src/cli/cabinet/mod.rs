//! `headround cabinet`: the spare cabinets of a site: what is asked for, held and short, what is wrong; and recording counts,
//! movements, looks and lists from the line.

mod fits;
mod names;
mod record;
mod show;
mod tell;

use std::path::PathBuf;

use chrono::NaiveDate;
use clap::{Args, Subcommand, ValueEnum, ValueHint};

pub use names::{cabinet_index, no_cabinet, unknown};

use super::args::day;
use super::session::{Done, Session};
use crate::round::entry::{List, Way};
use crate::trade::address::{AreaId, Heads};
use crate::trade::quantity::Temperature;

/// Arguments.
#[derive(Debug, Args)]
#[command(subcommand_value_name = "ACT", subcommand_help_heading = "Acts", args_conflicts_with_subcommands = false)]
#[command(after_help = "\
Examples:
  headround cabinet harbour.site.yaml
  headround cabinet harbour.site.yaml --cabinet riser --trends
  headround cabinet harbour.site.yaml --to csv > spares.csv
  headround cabinet harbour.site.yaml count riser qr-pendent=6 int-upright=2 --unfit qr-pendent=1
  headround cabinet harbour.site.yaml take riser qr-pendent 1 --for hall/1.2
  headround cabinet harbour.site.yaml look riser --wrench small --list right --warmest 95F --dry yes
  headround cabinet harbour.site.yaml fits hall/1.2

Without an act it shows what is asked for, held and short. PLAN is what should be kept so that the total is met too: what \
the lists say, else a proposal. A kind that was never counted is '?': that never means none. With --strict the exit code \
is 1 where something is short, wrong or not looked at.

An act is recorded in the present round at once. What is held is what was counted last, and what moved since.")]
pub struct Cabinet {
    /// The site file
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: PathBuf,

    /// Only these cabinets
    #[arg(long, value_name = "CABINET", value_delimiter = ',', value_parser = AreaId::parse)]
    pub cabinet: Vec<AreaId>,

    /// Only this table of the site: type, or rating (with response)
    #[arg(long, value_name = "TABLE", value_enum, hide_possible_values = true)]
    pub table: Option<TableOf>,

    /// What to write: text, or csv (the table of the site alone, by type unless --table rating)
    #[arg(long, value_name = "FORM", value_enum, hide_possible_values = true, conflicts_with_all = ["trends", "cabinet"])]
    pub to: Option<Form>,

    /// What the ledgers say over the years, too
    #[arg(long)]
    pub trends: bool,

    /// What to record.
    #[command(subcommand)]
    pub act: Option<Act>,
}

/// By what a table is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum TableOf {
    /// By type of head.
    Type,
    /// By rating and response.
    Rating,
}

/// What to write.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Form {
    /// For people.
    Text,
    /// For a spreadsheet.
    Csv,
}

/// What can be recorded.
#[derive(Debug, Subcommand)]
pub enum Act {
    /// Record a count: every kind that was counted, fit or not
    Count(Count),
    /// Record spares put in
    Put(Move),
    /// Record spares taken out, the replacement itself aside
    Take(Take),
    /// Record spares thrown away, unfit ones first
    Discard(Move),
    /// Record what was seen of the cabinet itself
    Look(Look),
    /// Record that a list was posted
    Post(Post),
    /// Add a cabinet that the register does not hold
    Add(Add),
    /// Show which spare fits a head, field by field; nothing is recorded
    Fits(Fits),
}

/// A count.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  headround cabinet harbour.site.yaml count riser qr-pendent=6 int-upright=0 --unfit qr-pendent=1

Count every head that lies there; --unfit says how many of them must not be used: painted, dented, without its cap, used \
before. A kind that is not named is not counted, so write KIND=0 for one that is gone.")]
pub struct Count {
    /// Which cabinet
    #[arg(value_parser = AreaId::parse)]
    pub cabinet: AreaId,

    /// How many heads of which kind lie there
    #[arg(required = true, value_name = "KIND=N", value_parser = kind_and_number)]
    pub held: Vec<(String, u32)>,

    /// How many of them must not be used
    #[arg(long, value_name = "KIND=N", value_delimiter = ',', value_parser = kind_and_number)]
    pub unfit: Vec<(String, u32)>,

    /// A note, such as why the count differs from the ledger
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
}

/// Spares put in or thrown away.
#[derive(Debug, Args)]
pub struct Move {
    /// Which cabinet
    #[arg(value_parser = AreaId::parse)]
    pub cabinet: AreaId,

    /// Of which kind
    pub kind: String,

    /// How many heads
    #[arg(value_name = "N", value_parser = clap::value_parser!(u32).range(1..=MOST))]
    pub n: u32,

    /// A note, such as the delivery
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
}

/// Spares taken out.
#[derive(Debug, Args)]
#[command(after_help = "\
A head that is replaced takes its spare out by itself where the replacement says from which cabinet: record that on the \
walk, and nothing here.")]
pub struct Take {
    /// What, whence, how many.
    #[command(flatten)]
    pub moved: Move,

    /// For which head
    #[arg(long = "for", value_name = "HEAD", value_parser = Heads::parse)]
    pub head: Option<Heads>,
}

/// What was seen of a cabinet.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  headround cabinet harbour.site.yaml look riser --wrench small --no-wrench - --list right --warmest 95F --dry yes --place yes

What is left out was not looked at. '-' is the wrench of kinds whose wrench the register does not name.")]
pub struct Look {
    /// Which cabinet
    #[arg(value_parser = AreaId::parse)]
    pub cabinet: AreaId,

    /// This wrench is there
    #[arg(long, value_name = "NAME", value_delimiter = ',', allow_hyphen_values = true)]
    pub wrench: Vec<String>,

    /// This wrench is missing
    #[arg(long, value_name = "NAME", value_delimiter = ',', allow_hyphen_values = true)]
    pub no_wrench: Vec<String>,

    /// The posted list: right, wrong (it does not agree, or has no date) or missing
    #[arg(long, value_name = "STATE", value_parser = List::parse)]
    pub list: Option<List>,

    /// The warmest it gets there, such as 95F or 35C
    #[arg(long, value_name = "TEMPERATURE", value_parser = Temperature::parse, allow_hyphen_values = true)]
    pub warmest: Option<Temperature>,

    /// Whether it is dry there
    #[arg(long, value_name = "YES|NO", value_parser = yes_or_no)]
    pub dry: Option<bool>,

    /// Whether it hangs where everybody who needs it finds and reaches it
    #[arg(long, value_name = "YES|NO", value_parser = yes_or_no)]
    pub place: Option<bool>,

    /// A note
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
}

/// A list that was posted.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround cabinet harbour.site.yaml post riser
  headround cabinet harbour.site.yaml post riser qr-pendent=6 int-upright=2
  headround report harbour.site.yaml --to posted-list --cabinet riser

Without kinds the list says what it said before, or what is proposed where there was none; the report prints it.")]
pub struct Post {
    /// Which cabinet
    #[arg(value_parser = AreaId::parse)]
    pub cabinet: AreaId,

    /// What it says is kept
    #[arg(value_name = "KIND=N", value_parser = kind_and_number)]
    pub keep: Vec<(String, u32)>,

    /// The date it bears; today where it is left out
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub date: Option<NaiveDate>,
}

/// A cabinet that was found.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  headround cabinet harbour.site.yaml add riser --name 'Valve room cabinet' --place 'Valve room, beside the riser'

Cabinets can be written into the register as well: docs/site-file.md.")]
pub struct Add {
    /// Its short name: a-z, 0-9 and '-'
    #[arg(value_parser = AreaId::parse)]
    pub cabinet: AreaId,

    /// Its name for people
    #[arg(long, value_name = "NAME")]
    pub name: Option<String>,

    /// Where it hangs
    #[arg(long, value_name = "TEXT")]
    pub place: Option<String>,

    /// The areas it serves; all where it is left out
    #[arg(long, value_name = "AREA", value_delimiter = ',', value_parser = AreaId::parse)]
    pub serves: Vec<AreaId>,
}

/// A question which spare fits.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround cabinet harbour.site.yaml fits hall/1.2
  headround cabinet harbour.site.yaml fits hall/1.2 --spare qr-pendent-24

Compared is what lies in the cabinets with the head as it hangs there. Verdicts: fits; may (on the grounds that are named); \
ask (the designer or the authority); never. With --strict the exit code is 1 where nothing that lies there fits or may go in.")]
pub struct Fits {
    /// A head by its address, or a kind: the first head of it
    #[arg(value_name = "HEAD|KIND")]
    pub head: String,

    /// Only this kind of spare, whether it lies there or not
    #[arg(long, value_name = "KIND")]
    pub spare: Option<String>,
}

/// The most heads that one number may name.
const MOST: i64 = 10_000;

fn kind_and_number(text: &str) -> Result<(String, u32), String> {
    let how = || format!("write a kind and how many heads, 0 to {MOST}: qr-pendent=6");
    let (kind, n) = text.rsplit_once('=').ok_or_else(how)?;
    let n = n.trim().parse().ok().filter(|n| i64::from(*n) <= MOST).ok_or_else(how)?;
    let kind = kind.trim();
    if kind.is_empty() { Err(how()) } else { Ok((kind.to_owned(), n)) }
}

fn yes_or_no(text: &str) -> Result<bool, String> {
    match text.to_lowercase().as_str() {
        "yes" | "y" => Ok(true),
        "no" | "n" => Ok(false),
        _ => Err("write yes or no".to_owned()),
    }
}

/// Shows or records.
pub fn run(it: &Cabinet, session: &mut Session<'_, '_>) -> Done {
    match &it.act {
        None => show::run(it, session),
        Some(Act::Count(act)) => record::count(&it.file, act, session),
        Some(Act::Put(act)) => record::moved(&it.file, act, Way::PutIn, None, session),
        Some(Act::Take(act)) => record::moved(&it.file, &act.moved, Way::TakenOut, act.head.as_ref(), session),
        Some(Act::Discard(act)) => record::moved(&it.file, act, Way::Discarded, None, session),
        Some(Act::Look(act)) => record::look(&it.file, act, session),
        Some(Act::Post(act)) => record::post(&it.file, act, session),
        Some(Act::Add(act)) => record::add(&it.file, act, session),
        Some(Act::Fits(act)) => fits::run(&it.file, act, session),
    }
}
