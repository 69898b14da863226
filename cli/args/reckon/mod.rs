//! `ovolo reckon …`: the calculators on their own.

mod removers;
mod site;

pub(crate) use removers::{AirArgs, AlkaliArgs, DryingArgs, JetArgs, NeutraliserArgs, PhArgs, RemoverArgs, RunOffArgs, VapourArgs};
pub(crate) use site::{FireWatchArgs, HydrogenArgs, LabourArgs, LeadArgs, SamplesArgs, SheetingArgs, SteelArgs};

use clap::{Args, Subcommand, ValueEnum};

#[derive(Debug, Subcommand)]
pub(crate) enum ReckonCommand {
    /// Remover, by volume and weight, and film to cover it
    Remover(RemoverArgs),
    /// Alkali that old oil paint uses up, against what a paste brings
    Alkali(AlkaliArgs),
    /// Acid to neutralise what an alkaline paste leaves behind
    Neutraliser(NeutraliserArgs),
    /// pH of a rinsed surface against its rinse water, and how far rinsing goes
    Ph(PhArgs),
    /// Run-off, tank and bund, and where the water may go
    RunOff(RunOffArgs),
    /// Width and force of a jet of water, and what the substrate bears
    Jet(JetArgs),
    /// Dew point, frost, and the two gates for coating
    Air(AirArgs),
    /// Moisture that timber comes to in air
    Timber(AirArgs),
    /// Drying time of plaster, screed and walls
    Drying(DryingArgs),
    /// Vapour from a remover, the air it takes, and how long a room is left
    Vapour(VapourArgs),
    /// Lead on the wall, in the waste and in dust, against the marks of a place
    Lead(LeadArgs),
    /// Sheeting for the distances in force
    Sheeting(SheetingArgs),
    /// Fire watch after the last heat, by the clock
    FireWatch(FireWatchArgs),
    /// Salts and profile of prepared steel
    Steel(SteelArgs),
    /// Hydrogen from aluminium or zinc in alkali
    Hydrogen(HydrogenArgs),
    /// Attended hours, waiting and days of a method
    Labour(LabourArgs),
    /// How many cloths, readings, patches and samples
    Samples(SamplesArgs),
}

/// Where and when, and how to show it.
#[derive(Debug, Clone, Args)]
pub(crate) struct Where {
    /// Take the limits of this place (ISO 3166, such as GB-ENG or US-MA)
    #[arg(long, value_name = "CODE")]
    pub(crate) place: Option<String>,

    /// Take the limits in force on this date instead of today
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) date: Option<String>,

    /// Units to show results in; those of what was given if left out
    #[arg(long, value_enum)]
    pub(crate) units: Option<Units>,

    /// How to show it
    #[arg(long, value_enum, default_value_t = SheetFormat::Text)]
    pub(crate) format: SheetFormat,
}

/// Units of results.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Units {
    /// Metres, litres, degrees Celsius
    Metric,
    /// Feet, gallons, degrees Fahrenheit
    Us,
}

/// How a sheet is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum SheetFormat {
    /// For reading
    Text,
    /// For other programs
    Json,
}

/// How much detail there is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Detail {
    /// Flat
    Plain,
    /// Panels and mouldings
    Moulded,
    /// Carving and ornament
    Carved,
}

impl Detail {
    pub(crate) fn word(self) -> String {
        match self {
            Self::Plain => "plain",
            Self::Moulded => "moulded",
            Self::Carved => "carved",
        }
        .to_owned()
    }
}
