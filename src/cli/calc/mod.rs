//! `headround calc`: the bench arithmetic by itself, no site file needed.

mod chance;
mod heat;

use clap::{Args, Subcommand};

use super::session::{Done, Session};

/// Arguments.
#[derive(Debug, Args)]
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
    Sample(chance::SampleArgs),
    /// The odds that a sample shows no failure
    Odds(chance::OddsArgs),
    /// The most bad heads that a sample's result still allows
    Bound(chance::BoundArgs),
    /// Survival curves of groups of times, and whether they differ
    Survival(chance::SurvivalArgs),
}

/// Runs the command.
pub fn run(args: &Calc, session: &mut Session<'_, '_>) -> Done {
    match &args.what {
        What::Rti(it) => heat::rti(it, session),
        What::Limits(it) => heat::limits(it, session),
        What::Delay(it) => heat::delay(it, session),
        What::Sample(it) => chance::sample(it, session),
        What::Odds(it) => chance::odds(it, session),
        What::Bound(it) => chance::bound(it, session),
        What::Survival(it) => chance::survival(it, session),
    }
}
