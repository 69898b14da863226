//! `ovolo patches`.

use super::SurveyArgs;
use super::reckon::{SheetFormat, Units};
use clap::{Args, ValueHint};
use ovolo_engine::reckon::Given;
use ovolo_engine::reckon::units::{Celsius, Length, Time};
use std::path::PathBuf;

#[derive(Debug, Args)]
pub(crate) struct PatchesArgs {
    #[command(flatten)]
    pub(crate) survey: SurveyArgs,

    /// The surface, by its name in the survey; all of them if left out
    #[arg(long, value_name = "NAME")]
    pub(crate) surface: Option<String>,

    /// Give the plan even where there is a log
    #[arg(long)]
    pub(crate) plan: bool,

    /// The temperature of the surface when the job is done; the survey's, or the mean of the patches, if left out
    #[arg(long, allow_hyphen_values = true)]
    pub(crate) temperature: Option<Given<Celsius>>,

    /// A thickness that is proposed: the chance that it clears is given
    #[arg(long, requires = "dwell")]
    pub(crate) thickness: Option<Given<Length>>,

    /// The dwell that is proposed with it
    #[arg(long, requires = "thickness")]
    pub(crate) dwell: Option<Given<Time>>,

    /// Draw dwell against thickness into this file; wants one surface whose log names one remover
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub(crate) svg: Option<PathBuf>,

    /// Units to show results in; the survey's if left out
    #[arg(long, value_enum)]
    pub(crate) units: Option<Units>,

    /// How to show it
    #[arg(long, value_enum, default_value_t = SheetFormat::Text)]
    pub(crate) format: SheetFormat,
}
