//! `ovolo talk`.

use clap::ValueHint;
use std::path::PathBuf;

#[derive(Debug, clap::Args)]
pub(crate) struct TalkArgs {
    /// The survey to go on with; made if it is not there, and named after the job if left out
    #[arg(value_name = "SURVEY", value_hint = ValueHint::FilePath)]
    pub(crate) survey: Option<PathBuf>,

    /// Nothing that redraws: no colour, no completion, no hints; the same words
    #[arg(long)]
    pub(crate) plain: bool,

    /// Give advice for this date instead of the survey's
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) date: Option<String>,

    /// Apply the law of this place (ISO 3166, such as GB-ENG or US-MA) instead of the survey's
    #[arg(long, value_name = "CODE")]
    pub(crate) place: Option<String>,

    /// Read lines from a file instead of asking
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub(crate) answers: Option<PathBuf>,
}
