//! `headround bench`: what the test bench saw of sampled heads, against the limits of the rule set; recorded from the line or taken
//! from a table; groups compared.

mod compare;
mod import;
mod list;
mod record;

use std::path::PathBuf;

use chrono::NaiveDate;
use clap::{Args, Subcommand, ValueEnum, ValueHint};

use super::args::day;
use super::session::{Done, Session};
use crate::bench::judge::{Deflector, WaterSeal};
use crate::round::entry::Condition;
use crate::trade::address::AreaId;
use crate::trade::measure::{Conductivity, Pressure, Rti, Seconds, Speed};
use crate::trade::quantity::Temperature;

/// Arguments.
#[derive(Debug, Args)]
#[command(subcommand_value_name = "ACT", subcommand_help_heading = "Acts")]
#[command(after_help = "\
Examples:
  headround bench harbour.site.yaml
  headround bench harbour.site.yaml record hall-2009 hall-2009-1 --oven 135C --air 2.54m/s --start 20C --pressure 5psi --element 9.4s --clear 9.6s
  headround bench harbour.site.yaml import hall-2009 results.csv --dry-run
  headround bench harbour.site.yaml compare --apart before

Without an act every test is listed, with its verdict and both limits: as response time index, (m.s)^0.5, and as times under \
the conditions of its test. With --strict the exit code is 1 where a head failed or a test says nothing.")]
pub struct BenchCommand {
    /// The site file
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: PathBuf,

    /// What to do.
    #[command(subcommand)]
    pub act: Option<Act>,
}

/// What can be done.
#[derive(Debug, Subcommand)]
pub enum Act {
    /// Show the tests of one lot
    Show(Show),
    /// Record what the bench saw of one head
    Record(Box<Record>),
    /// Take results from a table of comma-separated values
    Import(Import),
    /// Compare groups of tested heads: survival curves and the log-rank test
    Compare(Compare),
}

/// The tests of one lot.
#[derive(Debug, Args)]
pub struct Show {
    /// Which lot
    #[arg(value_parser = AreaId::of_lot)]
    pub lot: AreaId,

    /// Draw the operating times against their limits as well
    #[arg(long)]
    pub plot: bool,

    /// Write that plot to this file, as SVG
    #[arg(long, value_name = "PATH", value_hint = ValueHint::FilePath)]
    pub svg: Option<PathBuf>,

    /// Replace the file if it is there
    #[arg(long, requires = "svg")]
    pub over: bool,
}

/// One head's test.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround bench harbour.site.yaml record hall-2009 hall-2009-1 --oven 135C --air 2.54m/s --start 20C --pressure 5psi --element 9.4s --clear 9.6s
  headround bench harbour.site.yaml record hall-2009 hall/1.2 --oven 135C --air 2.54m/s --start 20C --pressure 5psi --element 45s --until 180s --before painted

Quantities carry their unit. What did not happen is left out: a head that never opened has no --clear, and --until says when \
the exposure ended. A head is operated once: to correct what was recorded, add --instead.")]
pub struct Record {
    /// Which lot
    #[arg(value_parser = AreaId::of_lot)]
    pub lot: AreaId,

    /// Which head: its tag or its address
    #[arg(value_name = "HEAD|TAG")]
    pub head: String,

    /// The oven's air, such as 135C
    #[arg(long, value_name = "TEMPERATURE", value_parser = Temperature::parse)]
    pub oven: Option<Temperature>,

    /// Its speed, such as 2.54m/s
    #[arg(long, value_name = "SPEED", value_parser = Speed::parse)]
    pub air: Option<Speed>,

    /// The head's temperature at the start, such as 20C
    #[arg(long, value_name = "TEMPERATURE", value_parser = Temperature::parse, allow_hyphen_values = true)]
    pub start: Option<Temperature>,

    /// The pressure of the supply, such as 5psi
    #[arg(long, value_name = "PRESSURE", value_parser = Pressure::parse)]
    pub pressure: Option<Pressure>,

    /// When the heat element operated, such as 37.2s
    #[arg(long, value_name = "TIME", value_parser = Seconds::parse)]
    pub element: Option<Seconds>,

    /// When it began to leak
    #[arg(long, value_name = "TIME", value_parser = Seconds::parse)]
    pub leak: Option<Seconds>,

    /// When the waterway cleared
    #[arg(long, value_name = "TIME", value_parser = Seconds::parse)]
    pub clear: Option<Seconds>,

    /// When the exposure ended
    #[arg(long, value_name = "TIME", value_parser = Seconds::parse)]
    pub until: Option<Seconds>,

    /// What it looked like before: clean, painted, corroded, loaded or damaged
    #[arg(long, value_name = "CONDITION", value_parser = Condition::parse)]
    pub before: Option<Condition>,

    /// The water seal after: free, stuck, leaking or shut
    #[arg(long, value_name = "STATE", value_parser = WaterSeal::parse)]
    pub seal: Option<WaterSeal>,

    /// Parts stayed in the waterway or on the frame: yes or no
    #[arg(long, value_name = "YES|NO", value_parser = yes_or_no)]
    pub lodged: Option<bool>,

    /// The deflector: sound, bent, fouled or missing
    #[arg(long, value_name = "STATE", value_parser = Deflector::parse)]
    pub deflector: Option<Deflector>,

    /// The conductivity factor, (m/s)^0.5, where it is known
    #[arg(long, value_name = "C", value_parser = Conductivity::parse)]
    pub c: Option<Conductivity>,

    /// The temperature its like operate at in a bath, where that was measured
    #[arg(long, value_name = "TEMPERATURE", value_parser = Temperature::parse)]
    pub operating: Option<Temperature>,

    /// The response time index that a laboratory reports in place of times
    #[arg(long, value_name = "RTI", value_parser = Rti::parse)]
    pub rti: Option<Rti>,

    /// Whether the waterway cleared, where a laboratory reports it without a time: yes or no
    #[arg(long, value_name = "YES|NO", value_parser = yes_or_no)]
    pub opened: Option<bool>,

    /// Which bench or laboratory
    #[arg(long, value_name = "WHO")]
    pub bench: Option<String>,

    /// The day of the test, where it was another day
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub date: Option<NaiveDate>,

    /// A note
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,

    /// This stands in place of what was recorded of the head
    #[arg(long)]
    pub instead: bool,
}

/// A table of results.
#[derive(Debug, Args)]
#[command(after_help = "\
A row a head. Columns, in any order: tag or head, date, bench, before, oven, air, start, pressure, element, leak, clear, until, \
operating, c, rti, opened, seal, lodged, deflector, note. The unit stands in the head of the column or in the cell: \
'oven [C]', 'air [m/s]', 'element [s]'. Cells are parted by commas, semicolons or tabs. docs/lots.md has an example.

Every row that is wrong is told with its line and column, and nothing is recorded unless all rows are good.")]
pub struct Import {
    /// Which lot
    #[arg(value_parser = AreaId::of_lot)]
    pub lot: AreaId,

    /// The table
    #[arg(value_name = "CSV", value_hint = ValueHint::FilePath)]
    pub table: PathBuf,

    /// Show what the rows would come to and record nothing
    #[arg(long)]
    pub dry_run: bool,

    /// Heads may have a test already; the rows stand in its place
    #[arg(long)]
    pub instead: bool,
}

/// Groups to compare.
#[derive(Debug, Args)]
#[command(after_help = "\
Times are those at which the waterway cleared; a head that never opened counts as not opened by the end of its exposure. Tests \
that say nothing are left out, and so are results without times; each is told. The log-rank test asks whether the groups could \
well be one. Few heads show only large differences.")]
pub struct Compare {
    /// Only tests of these lots
    #[arg(value_name = "LOT", value_parser = AreaId::of_lot)]
    pub lots: Vec<AreaId>,

    /// What makes the groups: before (the condition before the test), bench, kind or lot
    #[arg(long, value_name = "WHAT", value_enum, hide_possible_values = true)]
    pub apart: Apart,

    /// Draw the curves as well
    #[arg(long)]
    pub plot: bool,

    /// Write that plot to this file, as SVG
    #[arg(long, value_name = "PATH", value_hint = ValueHint::FilePath)]
    pub svg: Option<PathBuf>,

    /// Replace the file if it is there
    #[arg(long, requires = "svg")]
    pub over: bool,
}

/// What makes groups.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Apart {
    /// The condition before the test.
    Before,
    /// The bench or laboratory.
    Bench,
    /// The kind of head.
    Kind,
    /// The lot.
    Lot,
}

fn yes_or_no(text: &str) -> Result<bool, String> {
    match text.to_lowercase().as_str() {
        "yes" | "y" => Ok(true),
        "no" | "n" => Ok(false),
        _ => Err("write yes or no".to_owned()),
    }
}

/// Shows or records.
pub fn run(it: &BenchCommand, session: &mut Session<'_, '_>) -> Done {
    match &it.act {
        None => list::all(&it.file, session),
        Some(Act::Show(act)) => list::one(&it.file, act, session),
        Some(Act::Record(act)) => record::run(&it.file, act, session),
        Some(Act::Import(act)) => import::run(&it.file, act, session),
        Some(Act::Compare(act)) => compare::run(&it.file, act, session),
    }
}
