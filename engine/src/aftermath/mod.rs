//! It has already happened: what to do about an incident, and what may be behind a trouble.
//!
//! Packs hold pieces of guidance (`[[after]]`) and causes (`[[cause]]`), each with a script over what is known. What surely applies
//! is told; what depends on something open is told as depending on it, and that is asked. What a coat, a surface or an incident
//! holds and nobody has looked at is taken at its careful value: missing knowledge never reads as all clear.

mod heard;
pub mod shape;
mod stand;
mod tell;

pub(crate) use heard::says_what_happened;
pub use heard::{Heard, heard};
pub use shape::{Aftermath, CauseTold, Happening, Piece, SectionTold};

use crate::advice::DEFERS;
use crate::error::Error;
use crate::judge::in_force::InForce;
use crate::pack::RuleBook;
use crate::survey::{Facts, Survey};
use crate::telling::{Circumstances, heads};
use crate::vocabulary::About;
use jiff::civil::Date;

/// One thing that has happened, as the survey holds it.
pub(crate) struct Event<'s> {
    about: About,
    facts: &'s Facts,
    surface: Option<usize>,
    on: Option<Date>,
}

/// Everything of a survey that has happened.
fn events(survey: &Survey) -> Vec<Event<'_>> {
    let incidents = survey.incidents.iter().map(|i| Event {
        about: About::Incident,
        facts: &i.facts,
        surface: i.surface.as_ref().and_then(|name| survey.surface_named(name).ok()),
        on: i.on,
    });
    let troubles = survey.surfaces.iter().enumerate().flat_map(|(at, surface)| {
        surface.troubles.iter().map(move |t| Event { about: About::Trouble, facts: &t.facts, surface: Some(at), on: t.since })
    });
    incidents.chain(troubles).collect()
}

/// How urgent something is, the smaller the more.
fn urgency(told: &Happening, book: &RuleBook) -> f64 {
    let order = |piece: &Piece| book.afters.iter().find(|a| a.id == piece.after).map_or(0.0, |a| a.order);
    told.first.iter().map(order).fold(f64::INFINITY, f64::min)
}

/// What to do about everything that has happened; what cannot wait comes first.
///
/// # Errors
/// Where the survey was made with another rule book.
pub fn aftermath(survey: &Survey, book: &RuleBook, circumstances: &Circumstances) -> Result<Aftermath, Error> {
    survey.fits(&book.base)?;
    let place = circumstances.place.as_deref().or(survey.place.as_deref());
    let force = InForce::new(book, place, circumstances.date);
    let mut told: Vec<Happening> = events(survey).iter().map(|event| tell::happening(&force, survey, event)).collect();
    // The most urgent stands first; within that the order of the survey stays.
    told.sort_by(|a, b| urgency(a, book).total_cmp(&urgency(b, book)));
    tell::say_once(&mut told);
    let (survey, rule_book) = heads(survey, &force, place);
    Ok(Aftermath { aftermath: 1, survey, rule_book, happenings: told, defers: DEFERS.to_owned() })
}
