//! Test patches: what to try, what a log of patches tells, and which patch would tell most next.
//!
//! - [`plan()`] says which patches a surface wants, by thickness and dwell, for each remover that is still possible.
//! - [`logs`] reads the log of a surface, remover by remover.
//! - [`told`] says what the logs of a surface tell, held against what the rules let stay on.
//! - [`estimate()`] infers from a log how long and how thick clears the stack: see [`model`] for what is assumed.
//! - [`draw`] shows log and estimate as text and as SVG.

pub mod draw;
pub mod estimate;
pub mod model;
pub mod plan;
pub mod sheet;

pub use estimate::{Advice, Estimate, Row, estimate};
pub use plan::{Plan, plan};

use crate::base::Base;
use crate::catalogue::EntryKind;
use crate::error::Error;
use crate::reckon::Desk;
use crate::reckon::span::Span;
use crate::reckon::units::{Celsius, Length, Measure, Time};
use crate::role::{FactRole, FigureRole};
use crate::survey::{Proposal, Surface, Survey, place_fits};
use crate::vocabulary::MethodId;
use indexmap::IndexMap;
use serde::Serialize;

/// What came of a patch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Outcome {
    /// All coats came off.
    Cleared,
    /// Some of the coats came off.
    Part,
    /// Hardly anything came off.
    Not,
}

impl Outcome {
    /// The word in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Cleared => "cleared",
            Self::Part => "part",
            Self::Not => "not",
        }
    }

    fn find(word: &str) -> Option<Self> {
        [Self::Cleared, Self::Part, Self::Not].into_iter().find(|o| o.word() == word)
    }
}

/// A patch that tells something: how thick, how long, how warm, and what came of it.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct Tried {
    /// Thickness applied.
    pub thickness: Length,
    /// Time left on.
    pub dwell: Time,
    /// Temperature of the surface; where it was not written down the estimate allows for 10 to 25 °C.
    pub temperature: Option<Celsius>,
    /// What came of it.
    pub outcome: Outcome,
}

/// The log of one remover on one surface.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Log {
    /// The remover; `None` where the log does not name it.
    pub method: Option<usize>,
    /// The patches that tell something.
    pub tried: Vec<Tried>,
    /// What was set aside, and why.
    pub set_aside: Vec<String>,
}

/// The logs of a surface, one for each remover, in the order in which they were begun.
pub fn logs(surface: &Surface) -> Vec<Log> {
    let mut logs: IndexMap<Option<usize>, Log> = IndexMap::new();
    for (i, patch) in surface.patches.iter().enumerate() {
        let method = patch.method.map(MethodId::at);
        let log = logs.entry(method).or_insert_with(|| Log { method, tried: Vec::new(), set_aside: Vec::new() });
        let name = patch.at.clone().map_or_else(|| format!("patch {}", i + 1), |at| format!("patch {} ({at})", i + 1));
        let mut lacking = Vec::new();
        let positive = |base: Option<f64>| base.filter(|b| *b > 0.0 && b.is_finite());
        let thickness = positive(patch.thickness.map(|q| q.base));
        let dwell = positive(patch.dwell.map(|q| q.base));
        let outcome = patch.result.as_deref().and_then(Outcome::find);
        for (there, what) in [(thickness.is_some(), "thickness"), (dwell.is_some(), "dwell"), (outcome.is_some(), "result")] {
            if !there {
                lacking.push(what);
            }
        }
        match (thickness, dwell, outcome) {
            (Some(thickness), Some(dwell), Some(outcome)) => {
                if patch.temperature.is_none() {
                    log.set_aside.push(format!("{name}: no temperature was written down; anything from 10 to 25 °C is allowed for"));
                }
                log.tried.push(Tried {
                    thickness: Length::of_base(thickness),
                    dwell: Time::of_base(dwell),
                    temperature: patch.temperature.map(|q| Celsius::of_base(q.base)),
                    outcome,
                });
            }
            _ => log.set_aside.push(format!("{name} is set aside: it has no {}", crate::words::list(&lacking, "and no"))),
        }
    }
    logs.into_values().collect()
}

/// The thicknesses and dwells in which a remover is used at all.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct Usual {
    /// Thickness applied.
    pub thickness: Span<Length>,
    /// Time left on.
    pub dwell: Span<Time>,
}

/// What is usual for a method: the figures of the rule book, else what its settings can be at all. `None` for a method that
/// is not put on and left.
pub fn usual(method: usize, desk: &Desk<'_>) -> Option<Usual> {
    let base = desk.shelf.base();
    let (_, entry) = base.catalogue.entries(EntryKind::Method).get_index(method)?;
    let range = |role: FactRole| -> Option<(f64, f64)> { entry.settings.get(&base.vocabulary.with(role)?)?.bounds() };
    let (thinnest, thickest) = range(FactRole::Applied)?;
    let (shortest, longest) = range(FactRole::Dwell)?;
    let thickness = desk
        .look_up((FigureRole::Thickness, &entry.id))
        .unwrap_or_else(|_| Span::between(Length::of_base(thinnest), Length::of_base(thickest)));
    let dwell =
        desk.look_up((FigureRole::Dwell, &entry.id)).unwrap_or_else(|_| Span::between(Time::of_base(shortest), Time::of_base(longest)));
    let sound = thickness.low().base() > 0.0 && dwell.low().base() > 0.0;
    sound.then_some(Usual { thickness, dwell })
}

/// What is usual for a remover that a log does not name: all that is usual for any.
pub(crate) fn usual_of_any(desk: &Desk<'_>) -> Option<Usual> {
    (0..desk.shelf.base().catalogue.entries(EntryKind::Method).len())
        .filter_map(|m| usual(m, desk))
        .reduce(|a, b| Usual { thickness: a.thickness.join(b.thickness), dwell: a.dwell.join(b.dwell) })
}

/// What the rules say of a proposal on a surface, as `explain::check` tells it: whoever has the rules gives it.
pub type Check<'c> = &'c dyn Fn(&Survey, usize, &Proposal) -> Result<crate::advice::Advice, Error>;

/// What the log of one remover on a surface tells.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Told {
    /// The log.
    pub log: Log,
    /// What is usual for the remover.
    pub usual: Usual,
    /// The longest dwell that the rules let it stay on here; `None` where they let none.
    pub allowed: Option<Time>,
    /// What the log tells.
    pub estimate: Estimate,
}

/// What the logs of a surface tell, remover by remover. The temperature of the job is the one given, else what the survey
/// settles, else the mean of the patches. Patches of methods that are not put on and left tell no dwell and are left out:
/// [`no_dwell`] names them.
///
/// # Errors
/// Where the rule book lacks a figure, the survey was made with another book, or it has no such surface.
pub fn told(survey: &Survey, surface: usize, temperature: Option<Celsius>, check: Check<'_>, desk: &Desk<'_>) -> Result<Vec<Told>, Error> {
    place_fits(desk.places.first().map(String::as_str))?;
    let this = survey.surface_fits(surface, desk.shelf.base())?;
    survey.fits(desk.shelf.base())?;
    let warmth = sheet::warmth(desk)?;
    let temperature = temperature.or_else(|| sheet::job_temperature(this, &survey.site, desk));
    let usual_for = |log: &Log| log.method.map_or_else(|| usual_of_any(desk), |m| usual(m, desk));
    let left_on = logs(this).into_iter().filter_map(|log| usual_for(&log).map(|usual| (log, usual)));
    left_on
        .map(|(log, usual)| {
            // A remover that is not named cannot be held against the rules: the longest usual dwell is its bound.
            let allowed = match log.method {
                Some(method) => plan::longest_allowed(survey, surface, method, &usual, check, desk),
                None => Some(usual.dwell.high()),
            };
            let estimate = estimate(&log, &usual, warmth, temperature);
            Ok(Told { log, usual, allowed, estimate })
        })
        .collect()
}

/// The methods of a surface's log that are not put on and left, so that their patches tell no dwell.
///
/// # Errors
/// Where the survey was made with another book, or has no such surface.
pub fn no_dwell(survey: &Survey, surface: usize, desk: &Desk<'_>) -> Result<Vec<String>, Error> {
    let logs = logs(survey.surface_fits(surface, desk.shelf.base())?);
    let other = logs.iter().filter(|l| l.method.is_some_and(|m| usual(m, desk).is_none()));
    Ok(other.map(|l| method_title(l.method, desk.shelf.base())).collect())
}

/// The name of a method, for messages.
pub fn method_title(method: Option<usize>, base: &Base) -> String {
    method.map_or_else(
        || "a remover that is not named".to_owned(),
        |m| {
            let entry = base.catalogue.entries(EntryKind::Method).get_index(m);
            entry.map_or_else(|| "a remover that the rule book does not know".to_owned(), |(_, e)| e.title.clone())
        },
    )
}

/// A dwell in steps that a person keeps: quarters of an hour to 4 h, halves to 12 h, then whole hours; never below what it was.
pub(crate) fn kept(dwell: Time) -> Time {
    let hours = dwell.in_hours();
    let step = match hours {
        h if h < 4.0 => 0.25,
        h if h < 12.0 => 0.5,
        _ => 1.0,
    };
    Time::hours((hours / step - 1e-9).ceil().max(1.0) * step)
}

#[cfg(test)]
mod tests;
