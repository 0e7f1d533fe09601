//! `calc rti`, `calc limits`, `calc delay`.

use clap::Args;

use crate::cli::session::{Done, Outcome, Session};

/// Index.
#[derive(Debug, Args)]
pub struct RtiArgs {}

/// Index.
pub fn rti(_args: &RtiArgs, _session: &mut Session<'_, '_>) -> Done {
    Ok(Outcome::Fine)
}

/// Limits.
#[derive(Debug, Args)]
pub struct LimitsArgs {}

/// Limits.
pub fn limits(_args: &LimitsArgs, _session: &mut Session<'_, '_>) -> Done {
    Ok(Outcome::Fine)
}

/// Delay.
#[derive(Debug, Args)]
pub struct DelayArgs {}

/// Delay.
pub fn delay(_args: &DelayArgs, _session: &mut Session<'_, '_>) -> Done {
    Ok(Outcome::Fine)
}
