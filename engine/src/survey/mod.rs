//! Surveys: what is known of a site, its surfaces and their coats, and what is proposed.

mod digest;
mod edit;
mod fits;
mod happened;
mod read;
mod set;
mod value;

pub use edit::{CoatMut, ProposalMut, SurfaceMut};
pub(crate) use fits::place_fits;
pub use happened::{Incident, Trouble};
pub use set::Value;
pub use value::{parse_text, read_value};

use crate::limit::Basis;
use crate::quantity::{Quantity, System};
use crate::script::Base;
use crate::toml_read::Place;
use crate::vocabulary::{About, FactId, Known, MethodId};
use indexmap::IndexMap;
use jiff::civil::Date;
use std::sync::Arc;

/// The title of a survey that gives none.
pub const UNTITLED: &str = "untitled survey";

/// One stated fact.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stated {
    /// What it leaves possible.
    pub known: Known,
    /// As it was written.
    pub written: String,
    /// How it is known.
    pub by: Option<String>,
    /// Since when.
    pub on: Option<Date>,
    /// A remark.
    pub note: Option<String>,
}

/// What is written behind a value that is only thought.
pub(crate) const NOT_SURE: &str = ", not sure";

impl Stated {
    /// What is only thought: nothing is settled by it, but it is the first thing to look for.
    pub(crate) fn thought(&self, id: FactId, base: &Base) -> Option<Known> {
        let written = self.written.strip_suffix(NOT_SURE)?;
        parse_text(written, id, base).ok()
    }
}

/// Stated facts about one thing.
pub type Facts = IndexMap<FactId, Stated>;

/// What can come of a test patch, the best first.
pub const PATCH_RESULTS: [&str; 3] = ["cleared", "part", "not"];

/// One test patch of the log.
#[derive(Debug, Clone, PartialEq)]
pub struct Patch {
    /// The method tried.
    pub method: Option<MethodId>,
    /// Thickness applied.
    pub thickness: Option<Quantity>,
    /// Time left on.
    pub dwell: Option<Quantity>,
    /// Temperature of the surface.
    pub temperature: Option<Quantity>,
    /// What came of it: cleared, part, not.
    pub result: Option<String>,
    /// When.
    pub on: Option<Date>,
    /// Where on the surface.
    pub at: Option<String>,
    /// A remark.
    pub note: Option<String>,
}

/// A method with its settings and controls.
#[derive(Debug, Clone)]
pub struct Proposal {
    /// The method.
    pub method: MethodId,
    /// Chosen facts of method, surface and site.
    pub settings: Facts,
    /// A remark.
    pub note: Option<String>,
}

/// One supposition: a fact, the coat it is about, and what it is supposed to be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Supposition {
    /// The fact.
    pub fact: FactId,
    /// `None` for every coat, and for facts that are not about a coat.
    pub coat: Option<usize>,
    /// What it is supposed to be.
    pub known: Known,
}

/// One surface.
#[derive(Debug, Clone)]
pub struct Surface {
    /// Its name.
    pub name: String,
    /// What is known of it.
    pub facts: Facts,
    /// Its coats from the top down; `None` where nobody has looked.
    pub coats: Option<Vec<Facts>>,
    /// Test patches.
    pub patches: Vec<Patch>,
    /// What is proposed.
    pub proposals: Vec<Proposal>,
    /// What went wrong with it.
    pub troubles: Vec<Trouble>,
    /// A remark.
    pub note: Option<String>,
}

/// A recorded decision not to follow a rule.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Departure {
    /// The rule.
    pub rule: String,
    /// Who decided.
    pub who: String,
    /// Why.
    pub why: String,
    /// When.
    pub on: Option<Date>,
    /// Until when.
    pub until: Option<Date>,
    /// The surface it is limited to.
    pub surface: Option<String>,
    /// Where it stands.
    pub place: Option<Place>,
}

impl Departure {
    /// Whether it is in force on a day.
    pub fn in_force(&self, date: Date) -> bool {
        self.on.is_none_or(|d| d <= date) && self.until.is_none_or(|d| date <= d)
    }
}

/// A survey. It knows the rule book it was made with and is refused by every other: what it states are choices, facts and
/// methods of that book.
#[derive(Clone)]
#[non_exhaustive]
pub struct Survey {
    /// Its title.
    pub title: String,
    /// Its date.
    pub date: Option<Date>,
    /// The place whose law is applied, an ISO 3166 code.
    pub place: Option<String>,
    /// The first day of work, where it is agreed.
    pub starts: Option<Date>,
    /// Who surveyed.
    pub surveyor: Option<String>,
    /// The units it is written in.
    pub system: System,
    /// What is known of the site.
    pub site: Facts,
    /// The surfaces.
    pub surfaces: Vec<Surface>,
    /// What has happened.
    pub incidents: Vec<Incident>,
    /// Departures.
    pub departures: Vec<Departure>,
    /// A remark.
    pub note: Option<String>,
    /// Facts, entries and limits of the book it was made with.
    pub(crate) base: Arc<Base>,
}

/// Seals are made of what is told here: the book is no part of what a survey states.
impl std::fmt::Debug for Survey {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Self { title, date, place, starts, surveyor, system, site, surfaces, incidents, departures, note, base: _ } = self;
        f.debug_struct("Survey")
            .field("title", title)
            .field("date", date)
            .field("place", place)
            .field("starts", starts)
            .field("surveyor", surveyor)
            .field("system", system)
            .field("site", site)
            .field("surfaces", surfaces)
            .field("incidents", incidents)
            .field("departures", departures)
            .field("note", note)
            .finish()
    }
}

impl Surface {
    /// A surface of which nothing is known.
    pub fn named(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            facts: Facts::new(),
            coats: None,
            patches: Vec::new(),
            proposals: Vec::new(),
            troubles: Vec::new(),
            note: None,
        }
    }
}

impl Survey {
    /// A survey of one surface, with nothing else known.
    pub fn of(surface: Surface, base: &Arc<Base>) -> Self {
        Self { surfaces: vec![surface], ..Self::empty(base) }
    }

    /// A survey of nothing yet.
    pub(crate) fn empty(base: &Arc<Base>) -> Self {
        Self {
            title: UNTITLED.to_owned(),
            date: None,
            place: None,
            starts: None,
            surveyor: None,
            system: System::Metric,
            site: Facts::new(),
            surfaces: Vec::new(),
            incidents: Vec::new(),
            departures: Vec::new(),
            note: None,
            base: Arc::clone(base),
        }
    }
}

impl Survey {
    /// Whether anything has happened that something is to be done about.
    pub fn has_happened(&self) -> bool {
        !self.incidents.is_empty() || self.surfaces.iter().any(|s| !s.troubles.is_empty())
    }
}

impl Survey {
    /// States suppositions about the site, a surface and its coats as if they had been found; what belongs to the method
    /// goes into `settings`. A surface that the survey does not have takes nothing.
    pub fn take_as_found(&mut self, surface: usize, suppositions: &[Supposition], settings: &mut Facts, base: &Base) {
        // What is supposed of some choices of a several-of fact leaves the others as they are.
        let put = |facts: &mut Facts, id: FactId, mut stated: Stated| {
            if let (Known::Several { yes, no }, Some(Known::Several { yes: was_yes, no: was_no })) =
                (&mut stated.known, facts.get(&id).map(|s| s.known.clone()))
            {
                (*yes, *no) = (was_yes & !*no | *yes, was_no & !*yes | *no);
            }
            facts.insert(id, stated);
        };
        for s in suppositions {
            let stated = Stated { known: s.known.clone(), written: "supposed".to_owned(), by: None, on: None, note: None };
            let fact = base.vocabulary.get(s.fact);
            match fact.about {
                _ if fact.chosen => {
                    put(settings, s.fact, stated);
                }
                About::Method | About::Incident | About::Trouble => {}
                About::Site => {
                    put(&mut self.site, s.fact, stated);
                }
                About::Surface => {
                    if let Some(surface) = self.surfaces.get_mut(surface) {
                        put(&mut surface.facts, s.fact, stated);
                    }
                }
                About::Coat => {
                    let Some(surface) = self.surfaces.get_mut(surface) else { continue };
                    let coats = surface.coats.get_or_insert_with(|| vec![Facts::new()]);
                    for (i, coat) in coats.iter_mut().enumerate() {
                        if s.coat.is_none_or(|c| c == i) {
                            put(coat, s.fact, stated.clone());
                        }
                    }
                }
            }
        }
    }
}

/// Whether a departure from a rule of this basis can be recorded, in words.
pub fn departure_refused(basis: Basis) -> Option<String> {
    (!basis.can_be_departed_from()).then(|| format!("the rule rests on a {} and cannot be departed from", basis.word()))
}
