//! `ovolo aftermath`.

use super::{SheetFormat, SurveyArgs};
use clap::Args;

#[derive(Debug, Args)]
pub(crate) struct AftermathArgs {
    #[command(flatten)]
    pub(crate) survey: SurveyArgs,

    /// Show also why causes are ranked so, every question, and where everything comes from
    #[arg(long)]
    pub(crate) all: bool,

    /// How to show it; the schema of JSON is engine/aftermath.schema.json
    #[arg(long, value_enum, default_value_t = SheetFormat::Text)]
    pub(crate) format: SheetFormat,
}
