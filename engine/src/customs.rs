//! What people measure in, place by place, as packs say.

use crate::quantity::{System, Unit};
use indexmap::IndexMap;

/// The units in daily use on site.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Units {
    /// Metric ones.
    #[default]
    Metric,
    /// Those of the United States.
    Us,
    /// Either.
    Both,
}

impl Units {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Metric, Self::Us, Self::Both];

    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Metric => "metric",
            Self::Us => "us",
            Self::Both => "both",
        }
    }
}

/// What is usual at one place.
#[derive(Debug, Clone, Copy, Default)]
pub struct Custom {
    /// The units in daily use.
    pub units: Units,
    /// The unit of wind and traffic, where it goes its own way.
    pub speed: Option<&'static Unit>,
}

/// What is usual, place by place; metric where nothing is said.
#[derive(Debug, Clone, Default)]
pub struct Customs {
    /// By ISO 3166 code.
    pub places: IndexMap<String, Custom>,
}

impl Customs {
    /// What is usual at a place, or in the country it is part of.
    pub fn at(&self, place: &str) -> Custom {
        let country = || place.split_once('-').and_then(|(country, _)| self.places.get(country));
        self.places.get(place).or_else(country).copied().unwrap_or_default()
    }

    /// Whether both systems are in use at a place.
    pub fn both_at(&self, place: &str) -> bool {
        self.at(place).units == Units::Both
    }

    /// The units that results are shown in at a place where nothing else tells.
    pub fn system_at(&self, place: Option<&str>) -> System {
        match place.map(|p| self.at(p).units) {
            Some(Units::Us) => System::Us,
            _ => System::Metric,
        }
    }
}
