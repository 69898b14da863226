//! `ovolo approach`.

use super::reckon::Units;
use super::{PageFormat, SurveyArgs};
use clap::Args;

#[derive(Debug, Args)]
pub(crate) struct ApproachArgs {
    #[command(flatten)]
    pub(crate) survey: SurveyArgs,

    /// The surface, by its name in the survey; all of them if left out
    #[arg(long, value_name = "NAME")]
    pub(crate) surface: Option<String>,

    /// Tell this approach in steps, by its number in the list; the best if left out
    #[arg(long, value_name = "NUMBER", default_value_t = 1, value_parser = clap::value_parser!(u8).range(1..=20))]
    pub(crate) way: u8,

    /// How many people are at work
    #[arg(long, value_name = "NUMBER", default_value_t = 1, value_parser = clap::value_parser!(u8).range(1..=100))]
    pub(crate) people: u8,

    /// The hours of the working day; 08:00..16:30 if left out
    #[arg(long, value_name = "HH:MM..HH:MM")]
    pub(crate) day: Option<String>,

    /// How many days of the week are worked, from Monday on; 5 if left out. Holidays are not known
    #[arg(long, value_name = "DAYS", value_parser = clap::value_parser!(u8).range(1..=7))]
    pub(crate) week: Option<u8>,

    /// The first day of work; that of the survey (`starts`) if left out, else days are counted without dates
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) start: Option<String>,

    /// Units to show results in; the survey's if left out
    #[arg(long, value_enum)]
    pub(crate) units: Option<Units>,

    /// Show also what figures were reckoned from, every source, and what depends on something open
    #[arg(long)]
    pub(crate) all: bool,

    /// How to show it; the schema of JSON is engine/approach.schema.json
    #[arg(long, value_enum, default_value_t = PageFormat::Text)]
    pub(crate) format: PageFormat,
}
