//! `ovolo rules …`: the workshop for house rules.

use clap::{Args, Subcommand, ValueHint};
use std::path::PathBuf;

#[derive(Debug, Subcommand)]
pub(crate) enum RulesCommand {
    /// List the packs in use, with owner and digest
    List,

    /// Prove, for every possible survey, that the added packs only tighten the standard rule book
    ///
    /// Not by sampling: every place and every stretch of time is gone through, and every rule of law or standard compared path by
    /// path. What fails comes with the smallest survey that shows it. Exit codes: 0 proved; 1 a survey breaks it; 3 a bound was
    /// reached and it is not known; 2 the input is wrong.
    Prove(ProveArgs),
}

#[derive(Debug, Args)]
pub(crate) struct ProveArgs {
    /// Only for this place (ISO 3166, such as GB-ENG or US-MA); every place if left out
    #[arg(long, value_name = "CODE")]
    pub(crate) place: Option<String>,

    /// Only for this day; every day if left out
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) date: Option<String>,

    /// Write the surveys that break it into this folder, instead of showing them
    #[arg(short, long, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub(crate) output: Option<PathBuf>,

    /// The most steps to take before giving up
    #[arg(long, value_name = "STEPS", default_value_t = engine::prove::MOST_STEPS)]
    pub(crate) most_steps: usize,
}
