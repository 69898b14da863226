//! Approaches: ways through the stack of a surface, their steps, what they take, and the order of work on all surfaces.
//!
//! - [`path`] finds the best sequences of methods; `ways` feeds it with what is judged and adds what may stay.
//! - [`data`] is what packs say about it: stages, steps, what may stay, what comes earlier.
//! - `work` makes one approach ready; `steps` tells it stage by stage; `quantities` and `waste` reckon beside the steps.
//! - `compare` sets the approaches beside each other; `programme` puts the surfaces in order and counts days by the `calendar`.
//!
//! [`plan`] does all of it. Advice alone uses only the ways and the steps in brief.

pub mod data;
#[doc(hidden)]
pub mod path;
pub mod shape;

mod calendar;
mod compare;
mod programme;
mod quantities;
mod steps;
mod waste;
pub(crate) mod ways;
pub(crate) mod work;

pub use shape::Plan;

use crate::advice::{Approach, DEFERS};
use crate::error::Error;
use crate::explain::{Circumstances, heads};
use crate::finding::{Clears, Extent};
use crate::judge::in_force::InForce;
use crate::judge::{Subject, methods};
use crate::pack::RuleBook;
use crate::quantity::System;
use crate::reckon::Desk;
use crate::role::AttributeRole;
use crate::survey::{Survey, place_fits};
use jiff::civil::{Date, Time};
use quantities::Reckoner;
use shape::{Said, SurfacePlan};
use work::Work;

/// The hours of a working day, by the clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Day {
    /// When work begins.
    pub starts: Time,
    /// When the place is left.
    pub ends: Time,
    /// Whether somebody stated it.
    pub stated: bool,
}

impl Default for Day {
    /// From 08:00 to 16:30: common practice, to be replaced by the hours of the site.
    fn default() -> Self {
        Self { starts: jiff::civil::time(8, 0, 0, 0), ends: jiff::civil::time(16, 30, 0, 0), stated: false }
    }
}

impl Day {
    /// When it begins and ends, in hours from midnight.
    pub(crate) fn hours(self) -> (f64, f64) {
        let hours = |t: Time| f64::from(t.hour()) + f64::from(t.minute()) / 60.0;
        (hours(self.starts), hours(self.ends))
    }

    /// How long it is against the usual one.
    pub(crate) fn against_usual(self) -> f64 {
        let length = |(from, to): (f64, f64)| to - from;
        length(self.hours()) / length(Self::default().hours())
    }
}

/// What a plan is asked for, besides the survey.
///
/// ```
/// # use ovolo_engine::{Circumstances, Error, RuleBook, Settings, Survey};
/// # fn main() -> Result<(), Error> {
/// let book = RuleBook::load(&ovolo_rules::standard())?;
/// let mut survey = Survey::new(&book, "back yard").at("GB-ENG")?;
/// survey.add("gate")?.set("substrate", "softwood")?.coat("oil-paint")?.set("lead", "absent")?;
/// let two = Settings { people: 2.0, ..Settings::of(&survey) };
/// let plan = book.approach(&survey, &Circumstances::on("2026-09-01".parse().expect("a date")), &two)?;
/// assert_eq!(plan.surfaces[0].name, "gate");
/// # Ok(())
/// # }
/// ```
#[derive(Debug, Clone)]
pub struct Settings {
    /// One surface, by its place in the survey; all if `None`.
    pub surface: Option<usize>,
    /// Which approach is told in steps, the first being 0.
    pub way: usize,
    /// People at work, at least one.
    pub people: f64,
    /// The hours of the day.
    pub day: Day,
    /// Days worked in a week, from Monday on; what is usual if `None`.
    pub week: Option<u8>,
    /// The first day of work, if somebody stated it: without it days are counted and no dates are given.
    pub starts: Option<Date>,
    /// The units of results.
    pub system: System,
}

impl Settings {
    /// Whether work can be planned with them: with nobody at work, or on no day, nothing would ever be done.
    fn fits(&self) -> Result<(), Error> {
        if !self.people.is_finite() || self.people < 1.0 {
            return Err(Error::unfit("at least one person is at work"));
        }
        if self.day.ends <= self.day.starts {
            return Err(Error::unfit("the day ends before it begins"));
        }
        match self.week {
            Some(days) if !(1..=7).contains(&days) => Err(Error::unfit("a week has one to seven days of work")),
            _ => Ok(()),
        }
    }

    /// What is usual: all surfaces, the first approach, one person, from the day on which the survey says that work starts.
    pub fn of(survey: &Survey) -> Self {
        Self { surface: None, way: 0, people: 1.0, day: Day::default(), week: None, starts: survey.starts, system: survey.system }
    }
}

/// A plan of work: the approaches of each surface, the steps of one of them, what they take, and the programme.
///
/// # Errors
/// Where the survey was made with another book, or has no such surface as is asked for.
pub fn plan(survey: &Survey, book: &RuleBook, circumstances: &Circumstances, settings: &Settings) -> Result<Plan, Error> {
    settings.fits()?;
    place_fits(circumstances.place.as_deref())?;
    match settings.surface {
        Some(surface) => survey.surface_fits(surface, &book.base).map(|_| ())?,
        None => survey.fits(&book.base)?,
    }
    let place = circumstances.place.as_deref().or(survey.place.as_deref());
    let force = InForce::new(book, place, circumstances.date);
    let reckoner = Reckoner { desk: Desk::new(book, place, circumstances.date, settings.system), settings: settings.clone() };
    let mut surfaces = Vec::new();
    let mut works = Vec::new();
    for surface in (0..survey.surfaces.len()).filter(|s| settings.surface.is_none_or(|only| only == *s)) {
        let subject = Subject::new(&force, survey, surface, &[]);
        let approaches = crate::lead::ways(&subject, survey, surface);
        let (plan, work) = surface_plan(&force, survey, surface, approaches, &subject, &reckoner);
        surfaces.push(plan);
        works.push(work);
    }
    let programme = programme::programme(&surfaces, &works, &reckoner);
    let (survey, rule_book) = heads(survey, &force, place);
    Ok(Plan { plan: 1, survey, rule_book, surfaces, programme, defers: DEFERS.to_owned() })
}

/// The steps of any sequence of methods on a surface, also of one that no search found: every method is told for all coats.
/// Methods that the catalogue does not have are passed over.
///
/// # Errors
/// Where the survey was made with another book, or has no such surface.
pub fn steps_for(
    survey: &Survey,
    book: &RuleBook,
    circumstances: &Circumstances,
    surface: usize,
    methods: &[&str],
    settings: &Settings,
) -> Result<Vec<shape::StageTold>, Error> {
    settings.fits()?;
    place_fits(circumstances.place.as_deref())?;
    let of = survey.surface_fits(surface, &book.base)?;
    let place = circumstances.place.as_deref().or(survey.place.as_deref());
    let force = InForce::new(book, place, circumstances.date);
    let reckoner = Reckoner { desk: Desk::new(book, place, circumstances.date, settings.system), settings: settings.clone() };
    let coats = of.coats.as_ref().map_or(0, Vec::len);
    let step = |id: &&str| {
        let method = quantities::find_method(&reckoner.desk, id)?;
        let keeps = book.base.catalogue.is(crate::catalogue::EntryKind::Method, method, AttributeRole::Keeps);
        let extent = if keeps { Extent::Stays } else { Extent::Whole };
        let verdict = crate::judge::Verdict::Suited;
        Some(crate::advice::ApproachStep { method: (*id).to_owned(), coats: (1..=coats).collect(), extent, verdict })
    };
    let steps: Vec<_> = methods.iter().filter_map(step).collect();
    let work = Work::new(&force, survey, surface, &steps, &[]);
    Ok(steps::told(&work, &reckoner))
}

fn surface_plan<'b, 'i, 's>(
    force: &'i InForce<'b>,
    survey: &'s Survey,
    surface: usize,
    mut approaches: Vec<Approach>,
    subject: &Subject<'b, 'i>,
    reckoner: &Reckoner<'b>,
) -> (SurfacePlan, Option<Work<'b, 'i, 's>>) {
    let name = survey.surfaces[surface].name.clone();
    let told = reckoner.settings.way.min(approaches.len().saturating_sub(1));
    let comparison = compare::compare(force, survey, surface, &approaches, reckoner);
    let work = approaches.get(told).map(|a| Work::of(force, survey, surface, a));
    let (stages, may_stay) = match &work {
        Some(work) => (steps::told(work, reckoner), work.may_stay()),
        None => (Vec::new(), Vec::new()),
    };
    if let (Some(work), Some(approach)) = (&work, approaches.get_mut(told)) {
        approach.brief = work.brief();
    }
    let none_yet = approaches.is_empty().then(|| why_none(subject));
    let plan = SurfacePlan {
        name,
        told: work.as_ref().map(|_| told + 1),
        none_yet,
        may_stay: if approaches.iter().any(|a| matches!(a.clears, Clears::Part | Clears::Loose | Clears::None)) {
            may_stay
        } else {
            Vec::new()
        },
        approaches,
        stages,
        comparison,
    };
    (plan, work)
}

/// Why there is no way yet, in a sentence.
fn why_none(subject: &Subject<'_, '_>) -> String {
    let force = subject.force;
    let verdicts: Vec<crate::judge::Verdict> = methods(force).map(|m| subject.judge(m, &force.method(m, None, &[])).verdict).collect();
    let count = |v: crate::judge::Verdict| verdicts.iter().filter(|x| **x == v).count();
    let (suits, open, held) =
        (verdicts.iter().filter(|v| v.suits()).count(), count(crate::judge::Verdict::CantTellYet), count(crate::judge::Verdict::OnHold));
    if suits > 0 && !subject.known.listed {
        return "nobody has looked at the coats: count and name them, from the top down; what suits the rest stands in ovolo advise"
            .to_owned();
    }
    if suits > 0 {
        return "no method that suits leads through all coats, and what is open may change that: see ovolo advise".to_owned();
    }
    if open + held > 0 {
        return format!(
            "nothing suits yet: {open} methods depend on what is not known, {held} wait for a hold point; ovolo advise says what to find out or release"
        );
    }
    "every method is ruled out: see ovolo advise for the reasons".to_owned()
}

/// A sentence and its source.
fn said(says: &str, source: String) -> Said {
    Said { says: says.to_owned(), source }
}
