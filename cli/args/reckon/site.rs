//! What the calculators about lead, fire, metal and work are asked.

use super::{Detail, Where};
use clap::{Args, ValueEnum};
use ovolo_engine::reckon::Given;
use ovolo_engine::reckon::units::{Area, Conductivity, Length, Loading, Mass, Ratio, Share, Time, Volume, WorkRate};

#[derive(Debug, Args)]
pub(crate) struct LeadArgs {
    /// Thickness of the leaded paint
    #[arg(long)]
    pub(crate) paint: Option<Given<Length>>,
    /// Lead by weight, such as "1.5 %" or "5000 mg/kg"
    #[arg(long)]
    pub(crate) content: Option<Given<Share>>,
    /// Or lead on the area, such as "1.6 mg/cm2"
    #[arg(long)]
    pub(crate) loading: Option<Given<Loading>>,
    /// Area
    #[arg(long)]
    pub(crate) area: Option<Given<Area>>,
    /// Paste, sheeting and other waste that goes with it
    #[arg(long)]
    pub(crate) other_waste: Option<Given<Mass>>,
    /// Dust wiped from floors, such as "4 ug/ft2"
    #[arg(long)]
    pub(crate) floor: Option<Given<Loading>>,
    /// Dust wiped from window sills
    #[arg(long)]
    pub(crate) sill: Option<Given<Loading>>,
    /// Dust wiped from window troughs
    #[arg(long)]
    pub(crate) trough: Option<Given<Loading>>,
    #[command(flatten)]
    pub(crate) at: Where,
}

#[derive(Debug, Args)]
pub(crate) struct SheetingArgs {
    /// Length of the work
    #[arg(long)]
    pub(crate) length: Given<Length>,
    /// Depth of the work, where it lies on a floor
    #[arg(long)]
    pub(crate) width: Option<Given<Length>>,
    /// Height of the work, for an upright screen
    #[arg(long)]
    pub(crate) height: Option<Given<Length>>,
    /// The work is outside
    #[arg(long)]
    pub(crate) outside: bool,
    /// A distance of your own beyond the work
    #[arg(long)]
    pub(crate) beyond: Option<Given<Length>>,
    /// Distance to the boundary
    #[arg(long)]
    pub(crate) boundary: Option<Given<Length>>,
    /// Size of a sheet
    #[arg(long)]
    pub(crate) film: Option<Given<Area>>,
    #[command(flatten)]
    pub(crate) at: Where,
}

#[derive(Debug, Args)]
pub(crate) struct FireWatchArgs {
    /// When the last heat ends, such as 15:30
    #[arg(long, value_name = "HH:MM")]
    pub(crate) heat_off: Option<String>,
    /// When the site closes
    #[arg(long, value_name = "HH:MM")]
    pub(crate) closes: Option<String>,
    /// The building is historic
    #[arg(long)]
    pub(crate) historic: bool,
    /// The watch that the permit asks for
    #[arg(long)]
    pub(crate) watch: Option<Given<Time>>,
    #[command(flatten)]
    pub(crate) at: Where,
}

/// What the profile was made with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Abrasive {
    /// Jagged
    Grit,
    /// Round
    Shot,
}

impl Abrasive {
    pub(crate) fn word(self) -> String {
        match self {
            Self::Grit => "grit",
            Self::Shot => "shot",
        }
        .to_owned()
    }
}

#[derive(Debug, Args)]
pub(crate) struct SteelArgs {
    /// Conductivity of the water before, such as "2 uS/cm"
    #[arg(long)]
    pub(crate) before: Option<Given<Conductivity>>,
    /// Conductivity after
    #[arg(long)]
    pub(crate) after: Option<Given<Conductivity>>,
    /// Water in the cell
    #[arg(long)]
    pub(crate) water: Option<Given<Volume>>,
    /// Area of the cell
    #[arg(long)]
    pub(crate) cell: Option<Given<Area>>,
    /// Profile, peak to valley, such as "60 .. 80 um"
    #[arg(long)]
    pub(crate) profile: Option<Given<Length>>,
    /// What it was made with
    #[arg(long, value_enum, default_value_t = Abrasive::Grit)]
    pub(crate) abrasive: Abrasive,
    #[command(flatten)]
    pub(crate) at: Where,
}

#[derive(Debug, Args)]
pub(crate) struct HydrogenArgs {
    /// aluminium or zinc
    pub(crate) metal: String,
    /// Metal that dissolves, such as "10 g"
    #[arg(long)]
    pub(crate) mass: Option<Given<Mass>>,
    /// Or a zinc coat, such as "85 um" …
    #[arg(long)]
    pub(crate) coat: Option<Given<Length>>,
    /// … on an area
    #[arg(long)]
    pub(crate) area: Option<Given<Area>>,
    /// The room, if it is shut
    #[arg(long)]
    pub(crate) room: Option<Given<Volume>>,
    #[command(flatten)]
    pub(crate) at: Where,
}

#[derive(Debug, Args)]
pub(crate) struct LabourArgs {
    /// Method of the catalogue
    pub(crate) method: String,
    /// Area
    #[arg(long)]
    pub(crate) area: Given<Area>,
    /// How much detail there is
    #[arg(long, value_enum, default_value_t = Detail::Plain)]
    pub(crate) detail: Detail,
    /// Rate of one person from a timed patch, such as "0.6 m2/h"
    #[arg(long)]
    pub(crate) rate: Option<Given<WorkRate>>,
    /// How many people
    #[arg(long)]
    pub(crate) people: Option<Given<Ratio>>,
    /// How often a remover is put on
    #[arg(long)]
    pub(crate) applications: Option<Given<Ratio>>,
    /// Dwell of one application
    #[arg(long)]
    pub(crate) dwell: Option<Given<Time>>,
    /// Drying before the next step
    #[arg(long)]
    pub(crate) drying: Option<Given<Time>>,
    #[command(flatten)]
    pub(crate) at: Where,
}

#[derive(Debug, Args)]
pub(crate) struct SamplesArgs {
    /// Floor to verify with cloths
    #[arg(long)]
    pub(crate) floor: Option<Given<Area>>,
    /// Window sills to verify with cloths
    #[arg(long)]
    pub(crate) sills: Option<Given<Ratio>>,
    /// Area whose pH is read
    #[arg(long)]
    pub(crate) wall: Option<Given<Area>>,
    /// Distinct stacks of coats
    #[arg(long)]
    pub(crate) stacks: Option<Given<Ratio>>,
    /// Share of the places that must not be missed, such as "10 %"
    #[arg(long)]
    pub(crate) share: Option<Given<Share>>,
    /// Confidence for it
    #[arg(long)]
    pub(crate) confidence: Option<Given<Share>>,
    /// Spread of readings (standard deviation)
    #[arg(long)]
    pub(crate) spread: Option<Given<Ratio>>,
    /// Margin that their mean must keep
    #[arg(long)]
    pub(crate) margin: Option<Given<Ratio>>,
    #[command(flatten)]
    pub(crate) at: Where,
}
