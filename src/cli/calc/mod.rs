//! `headround calc`: the bench arithmetic by itself, no site file needed.

mod agreement;
mod chance;
mod figures;
mod heat;
pub mod picture;
mod sample;

use clap::{Args, Subcommand};

use super::session::{Done, Session};

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround calc rti --time 37s --rating 165F --oven 135C --air 2.54m/s --start 20C
  headround calc limits --rating 155F --response quick --oven 135C --air 2.54m/s --start 20C
  headround calc sample --heads 640
  headround calc odds --heads 400 --bad 20
  headround calc bound --sample 4 --failed 0 --heads 400
  headround calc survival --group clean=41.2,44.0 --group painted=66,150+
  headround calc delay --height 6m --radius 3m --growth fast --rti 100 --rating 165F --ambient 20C

Numbers in, numbers out: no site file is read or written. docs/bench-arithmetic.md and docs/bench-heat.md give \
equations, ranges and sources. \
What a rule set, the authority and a licensed laboratory decide stands above all of it.")]
pub struct Calc {
    /// What to reckon
    #[command(subcommand)]
    pub what: What,
}

/// What to reckon.
#[derive(Debug, Subcommand)]
pub enum What {
    /// The response time index that a plunge test shows
    Rti(heat::RtiArgs),
    /// The times within which a head must operate
    Limits(heat::LimitsArgs),
    /// How late heads let a growing fire become: an illustration, never a design
    Delay(heat::DelayArgs),
    /// How many heads a sample takes
    Sample(sample::SampleArgs),
    /// The odds that a sample shows no failure
    Odds(chance::OddsArgs),
    /// The most bad heads that a sample's result still allows
    Bound(chance::BoundArgs),
    /// Survival curves of groups of times, and whether they differ
    Survival(chance::SurvivalArgs),
    /// Whether two benches read alike
    Agreement(agreement::AgreementArgs),
}

/// Runs the command.
pub fn run(args: &Calc, session: &mut Session<'_, '_>) -> Done {
    match &args.what {
        What::Rti(it) => heat::rti(it, session),
        What::Limits(it) => heat::limits(it, session),
        What::Delay(it) => heat::delay(it, session),
        What::Sample(it) => sample::run(it, session),
        What::Odds(it) => chance::odds(it, session),
        What::Bound(it) => chance::bound(it, session),
        What::Survival(it) => chance::survival(it, session),
        What::Agreement(it) => agreement::run(it, session),
    }
}
