//! `calc sample`, `calc odds`, `calc bound`, `calc survival`.

use clap::Args;

use crate::cli::session::{Done, Outcome, Session};

/// Sample.
#[derive(Debug, Args)]
pub struct SampleArgs {}

/// Sample.
pub fn sample(_args: &SampleArgs, _session: &mut Session<'_, '_>) -> Done {
    Ok(Outcome::Fine)
}

/// Odds.
#[derive(Debug, Args)]
pub struct OddsArgs {}

/// Odds.
pub fn odds(_args: &OddsArgs, _session: &mut Session<'_, '_>) -> Done {
    Ok(Outcome::Fine)
}

/// Bound.
#[derive(Debug, Args)]
pub struct BoundArgs {}

/// Bound.
pub fn bound(_args: &BoundArgs, _session: &mut Session<'_, '_>) -> Done {
    Ok(Outcome::Fine)
}

/// Survival.
#[derive(Debug, Args)]
pub struct SurvivalArgs {}

/// Survival.
pub fn survival(_args: &SurvivalArgs, _session: &mut Session<'_, '_>) -> Done {
    Ok(Outcome::Fine)
}
