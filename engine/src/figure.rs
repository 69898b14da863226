//! Figures of the trade that calculators start from, and the remarks that belong to what they find.

use crate::quantity::{self, Unit};
use crate::role::{FigureRole, Occasion, Plays, Sentence};

/// A figure of the trade, as a range: how dense a paste is, how fast a wall dries, how much a person strips in an hour.
///
/// A figure is what usually happens; what must not be passed is a [`crate::limit::Limit`].
#[derive(Debug, Clone)]
pub struct Figure {
    /// In files.
    pub id: String,
    /// In sentences.
    pub title: String,
    /// What it is to the calculators.
    pub plays: Option<Plays<FigureRole>>,
    /// The unit it is thought in.
    pub unit: &'static Unit,
    /// The least it usually is, in base units.
    pub low: f64,
    /// The greatest it usually is, in base units.
    pub high: f64,
    /// Where it comes from.
    pub source: String,
    /// The pack that states it.
    pub pack: String,
}

impl Figure {
    /// As people read it.
    pub fn show(&self) -> String {
        if self.low == self.high {
            return quantity::show_in(self.low, self.unit);
        }
        let low = quantity::plain(self.unit.of_base(self.low));
        format!("{low} .. {}", quantity::show_in(self.high, self.unit))
    }
}

/// A sentence that belongs to what a calculator finds: a caution, what to do next, what to write down.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Remark {
    /// In files.
    pub id: String,
    /// The finding that it tells, in place of being made on occasions.
    pub role: Option<Sentence>,
    /// When it is made.
    pub on: Vec<Occasion>,
    /// The sentence.
    pub says: String,
    /// Where it comes from.
    pub source: String,
    /// The pack that states it.
    pub pack: String,
}
