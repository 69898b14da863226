//! What the calculators about removers, water and air are asked.

use super::{Detail, Where};
use clap::{Args, ValueEnum};
use ovolo_engine::reckon::Given;
use ovolo_engine::reckon::units::{Area, Celsius, Density, Flow, Length, Mass, MassRate, Ph, Pressure, Ratio, Share, Time, Volume};

#[derive(Debug, Args)]
pub(crate) struct RemoverArgs {
    /// Flat area, such as "12 m2" or "10 .. 12 m2"
    #[arg(long)]
    pub(crate) area: Given<Area>,
    /// Which remover, a method of the catalogue, such as solvent-gel
    #[arg(long)]
    pub(crate) method: String,
    /// Thickness applied, such as "3 .. 4 mm"
    #[arg(long)]
    pub(crate) thickness: Option<Given<Length>>,
    /// How much detail there is
    #[arg(long, value_enum, default_value_t = Detail::Plain)]
    pub(crate) detail: Detail,
    /// How often it is put on
    #[arg(long)]
    pub(crate) applications: Option<Given<Ratio>>,
    /// Density, if the label says, such as "1.3 kg/L"
    #[arg(long)]
    pub(crate) density: Option<Given<Density>>,
    /// What is lost, such as "10 %"
    #[arg(long)]
    pub(crate) waste: Option<Given<Share>>,
    /// Size of a container, such as "15 L"
    #[arg(long)]
    pub(crate) container: Option<Given<Volume>>,
    /// Size of a sheet of film, such as "8 m2"
    #[arg(long)]
    pub(crate) film: Option<Given<Area>>,
    #[command(flatten)]
    pub(crate) at: Where,
}

#[derive(Debug, Args)]
pub(crate) struct AlkaliArgs {
    /// Thickness of the old oil paint
    #[arg(long)]
    pub(crate) paint: Given<Length>,
    /// Thickness of paste put on
    #[arg(long)]
    pub(crate) paste: Option<Given<Length>>,
    /// Caustic soda in the paste, by weight; its safety sheet tells
    #[arg(long)]
    pub(crate) caustic: Option<Given<Share>>,
    /// Density of the paste
    #[arg(long)]
    pub(crate) density: Option<Given<Density>>,
    #[command(flatten)]
    pub(crate) at: Where,
}

#[derive(Debug, Args)]
pub(crate) struct NeutraliserArgs {
    /// Area
    #[arg(long)]
    pub(crate) area: Given<Area>,
    /// Acid: acetic, citric, citric-monohydrate, phosphoric or oxalic (the dihydrate, as sold)
    #[arg(long, default_value = "acetic")]
    pub(crate) acid: String,
    /// Substrate of the catalogue; left out counts as one that acid eats
    #[arg(long)]
    pub(crate) substrate: Option<String>,
    /// Thickness of paste that was on it
    #[arg(long)]
    pub(crate) thickness: Option<Given<Length>>,
    /// Share of the paste that scraping and rinsing left behind
    #[arg(long)]
    pub(crate) residue: Option<Given<Share>>,
    /// Caustic soda in the paste, by weight; its safety sheet tells
    #[arg(long)]
    pub(crate) caustic: Option<Given<Share>>,
    /// Density of the paste
    #[arg(long)]
    pub(crate) density: Option<Given<Density>>,
    /// Strength of the wash, by weight
    #[arg(long)]
    pub(crate) strength: Option<Given<Share>>,
    #[command(flatten)]
    pub(crate) at: Where,
}

#[derive(Debug, Args)]
pub(crate) struct PhArgs {
    /// pH read on the wet surface, such as 8.3 or "8 .. 8.5"
    #[arg(long)]
    pub(crate) surface: Given<Ph>,
    /// pH of the fresh rinse water
    #[arg(long)]
    pub(crate) rinse_water: Option<Given<Ph>>,
    /// Resolution of the strip or meter, such as 0.5
    #[arg(long)]
    pub(crate) resolution: Option<Given<Ratio>>,
    /// It was read again after drying
    #[arg(long)]
    pub(crate) read_again: bool,
    #[command(flatten)]
    pub(crate) at: Where,
}

#[derive(Debug, Args)]
pub(crate) struct RunOffArgs {
    /// Area washed
    #[arg(long)]
    pub(crate) area: Given<Area>,
    /// Water on it each time, such as "5 .. 20 L/m2"
    #[arg(long)]
    pub(crate) water: Option<Given<Length>>,
    /// How often it is rinsed
    #[arg(long)]
    pub(crate) rinses: Option<Given<Ratio>>,
    /// Area that catches rain
    #[arg(long)]
    pub(crate) catch: Option<Given<Area>>,
    /// Rain while it is open, such as "10 mm"
    #[arg(long)]
    pub(crate) rain: Option<Given<Length>>,
    /// Largest container stored
    #[arg(long)]
    pub(crate) container: Option<Given<Volume>>,
    /// pH of what is caught
    #[arg(long)]
    pub(crate) ph: Option<Given<Ph>>,
    #[command(flatten)]
    pub(crate) at: Where,
}

#[derive(Debug, Args)]
pub(crate) struct JetArgs {
    /// Pressure at the nozzle, such as "28 bar" or "400 psi"
    #[arg(long)]
    pub(crate) pressure: Given<Pressure>,
    /// Flow of water, such as "15 L/min"
    #[arg(long)]
    pub(crate) flow: Option<Given<Flow>>,
    /// Angle of the fan in degrees
    #[arg(long)]
    pub(crate) angle: Option<Given<Ratio>>,
    /// Distance of the nozzle
    #[arg(long)]
    pub(crate) distance: Option<Given<Length>>,
    /// Depth of the strip the fan strikes
    #[arg(long)]
    pub(crate) strip: Option<Given<Length>>,
    /// Substrate of the catalogue
    #[arg(long)]
    pub(crate) substrate: Option<String>,
    #[command(flatten)]
    pub(crate) at: Where,
}

#[derive(Debug, Args)]
pub(crate) struct AirArgs {
    /// Air temperature, such as "15 C"
    #[arg(long, allow_hyphen_values = true)]
    pub(crate) air: Given<Celsius>,
    /// Relative humidity, such as "70 %"
    #[arg(long)]
    pub(crate) humidity: Option<Given<Share>>,
    /// Wet bulb, instead of the humidity
    #[arg(long, allow_hyphen_values = true)]
    pub(crate) wet_bulb: Option<Given<Celsius>>,
    /// Altitude, for the wet bulb
    #[arg(long)]
    pub(crate) altitude: Option<Given<Length>>,
    /// Surface temperature
    #[arg(long, allow_hyphen_values = true)]
    pub(crate) surface: Option<Given<Celsius>>,
    #[command(flatten)]
    pub(crate) at: Where,
}

/// What dries.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Ground {
    /// Plaster and render
    Plaster,
    /// Cement screed
    Screed,
    /// A solid wall
    Wall,
}

impl Ground {
    pub(crate) fn word(self) -> String {
        match self {
            Self::Plaster => "plaster",
            Self::Screed => "screed",
            Self::Wall => "wall",
        }
        .to_owned()
    }
}

#[derive(Debug, Args)]
pub(crate) struct DryingArgs {
    /// What dries
    #[arg(value_enum)]
    pub(crate) what: Ground,
    /// Its thickness
    #[arg(long)]
    pub(crate) thickness: Given<Length>,
    /// The day it was last wet
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) wet_on: Option<String>,
    /// Humidity read at the surface
    #[arg(long)]
    pub(crate) reading: Option<Given<Share>>,
    #[command(flatten)]
    pub(crate) at: Where,
}

/// How air mixes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Mixing {
    /// Well distributed
    Good,
    /// An ordinary room
    Ordinary,
    /// Corners, poor supply
    Poor,
}

impl Mixing {
    pub(crate) fn word(self) -> String {
        match self {
            Self::Good => "good",
            Self::Ordinary => "ordinary",
            Self::Poor => "poor",
        }
        .to_owned()
    }
}

#[derive(Debug, Args)]
pub(crate) struct VapourArgs {
    /// The solvent, such as benzyl-alcohol
    pub(crate) solvent: String,
    /// What evaporates, such as "50 g/h"
    #[arg(long)]
    pub(crate) rate: Option<Given<MassRate>>,
    /// Or: remover put on, such as "2 kg" …
    #[arg(long)]
    pub(crate) remover: Option<Given<Mass>>,
    /// … with so much of the solvent in it …
    #[arg(long)]
    pub(crate) content: Option<Given<Share>>,
    /// … over this time
    #[arg(long)]
    pub(crate) over: Option<Given<Time>>,
    /// Share of the solvent that evaporates
    #[arg(long)]
    pub(crate) evaporates: Option<Given<Share>>,
    /// Volume of the room, such as "40 m3"
    #[arg(long)]
    pub(crate) room: Option<Given<Volume>>,
    /// How well the air mixes
    #[arg(long, value_enum, default_value_t = Mixing::Ordinary)]
    pub(crate) mixing: Mixing,
    /// Fresh air there is, such as "200 m3/h"
    #[arg(long)]
    pub(crate) air: Option<Given<Flow>>,
    /// What may be breathed, from the safety sheet, such as "10 ppm"
    #[arg(long)]
    pub(crate) most: Option<Given<Share>>,
    #[command(flatten)]
    pub(crate) at: Where,
}
