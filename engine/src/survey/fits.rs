//! Whether a survey, a surface and a proposal are ones that a rule book can judge: made with that book, and there at all.
//!
//! Every public function that brings a survey and a book together asks here first. Facts, choices and methods are positions in
//! the lists of one book; in another book the same positions mean other things, and what was read as a thickness would be
//! judged as asbestos.

use super::read::MOST_COATS;
use super::{Facts, Patch, Proposal, Supposition, Surface, Survey};
use crate::diagnostic::Diagnostic;
use crate::error::{Error, ErrorKind};
use crate::pack::check_place;
use crate::reckon::units::{Celsius, Length, Measure, Time};
use crate::script::Base;
use crate::vocabulary::{About, Fact, FactId, FactKind, Known, MethodId, lowest};
use crate::words;

/// What is said of whatever was made with another book.
fn other_book(what: &str) -> Error {
    let help = "read or build it again with this book; the same packs in the same layers are the same book";
    Error::new(ErrorKind::OtherBook, Diagnostic::error(format!("{what} was made with another rule book")).help(help))
}

fn unfit(message: String) -> Error {
    Error::new(ErrorKind::Unfit, Diagnostic::error(message))
}

impl Survey {
    /// Whether the whole survey can be judged with a book.
    pub(crate) fn fits(&self, base: &Base) -> Result<(), Error> {
        self.site_fits(base)?;
        self.surfaces.iter().try_for_each(|s| s.fits(base))
    }

    /// Whether one surface can be judged with a book.
    pub(crate) fn surface_fits(&self, surface: usize, base: &Base) -> Result<&Surface, Error> {
        self.site_fits(base)?;
        let found = self.surfaces.get(surface).ok_or_else(|| self.no_surface(surface))?;
        found.fits(base).map(|()| found)
    }

    fn no_surface(&self, surface: usize) -> Error {
        let many = self.surfaces.len();
        let message = format!("the survey has no surface {surface}; it has {many}, counted from 0");
        Error::new(ErrorKind::NotThere, Diagnostic::error(message))
    }

    fn site_fits(&self, base: &Base) -> Result<(), Error> {
        if self.base.vocabulary.mark() != base.vocabulary.mark() {
            return Err(other_book("the survey"));
        }
        place_fits(self.place.as_deref())?;
        facts_fit(&self.site, &[About::Site], "the site", base)
    }
}

impl Surface {
    fn fits(&self, base: &Base) -> Result<(), Error> {
        let whose = format!("the surface `{}`", self.name);
        facts_fit(&self.facts, &[About::Surface], &whose, base)?;
        for coat in self.coats.iter().flatten() {
            facts_fit(coat, &[About::Coat], &format!("a coat of `{}`", self.name), base)?;
        }
        if self.coats.as_ref().is_some_and(|c| c.len() > MOST_COATS) {
            return Err(Error::unfit(format!("{whose} has more than {MOST_COATS} coats")));
        }
        self.patches.iter().try_for_each(|p| patch_fits(p, base))?;
        self.proposals.iter().try_for_each(|p| p.fits(base))
    }
}

impl Proposal {
    /// Whether a book can judge it.
    pub(crate) fn fits(&self, base: &Base) -> Result<(), Error> {
        method_fits(self.method, base)?;
        facts_fit(&self.settings, &About::ALL, "the proposal", base)
    }
}

impl Supposition {
    /// Whether it is about a fact of the book.
    pub(crate) fn fits(&self, base: &Base) -> Result<(), Error> {
        fact_fits(self.fact, &self.known, &About::ALL, "what is supposed", base)
    }
}

/// Whether a method is one of the catalogue.
fn method_fits(method: MethodId, base: &Base) -> Result<(), Error> {
    if method.is_of(base.vocabulary.mark()) && base.method_at(method.at()).is_some() { Ok(()) } else { Err(other_book("a method")) }
}

/// Whether a log holds measures of the right kind.
fn patch_fits(patch: &Patch, base: &Base) -> Result<(), Error> {
    patch.method.map_or(Ok(()), |m| method_fits(m, base))?;
    let measures = [(patch.thickness, Length::unit()), (patch.dwell, Time::unit()), (patch.temperature, Celsius::unit())];
    for (measured, wanted) in measures {
        if let Some(q) = measured.filter(|q| q.unit.dimension != wanted.dimension || !q.base.is_finite()) {
            return Err(Error::unfit(format!("a test patch holds {} where {} is wanted", q.unit.kind, wanted.kind)));
        }
    }
    Ok(())
}

/// Whether a place is the code of one. What is no code would be taken for a place without any law.
pub(crate) fn place_fits(place: Option<&str>) -> Result<(), Error> {
    place.map_or(Ok(()), check_place)
}

fn facts_fit(facts: &Facts, about: &[About], whose: &str, base: &Base) -> Result<(), Error> {
    facts.iter().try_for_each(|(id, stated)| fact_fits(*id, &stated.known, about, whose, base))
}

fn fact_fits(id: FactId, known: &Known, about: &[About], whose: &str, base: &Base) -> Result<(), Error> {
    if !base.vocabulary.has(id) {
        return Err(other_book(&format!("a fact of {whose}")));
    }
    let fact = base.vocabulary.get(id);
    if !about.contains(&fact.about) {
        let allowed: Vec<&str> = about.iter().map(|a| a.word()).collect();
        let allowed = words::list(&allowed, "or");
        return Err(unfit(format!(
            "`{}` is a fact about the {} and stands among those of {whose}; those are facts about a {allowed}",
            fact.id,
            fact.about.word()
        )));
    }
    if kinds_match(fact, known, base) {
        return Ok(());
    }
    Err(unfit(format!("the value of `{}` that stands among the facts of {whose} is not one that it can have", fact.id)))
}

/// Whether something is left of what the fact can be. Where nothing is, every rule would be silent.
fn kinds_match(fact: &Fact, known: &Known, base: &Base) -> bool {
    match (&fact.kind, known) {
        (FactKind::Number { .. } | FactKind::Year { .. }, Known::Num(reach)) => {
            reach.bounds().is_some_and(|(low, high)| !low.is_nan() && !high.is_nan())
        }
        (FactKind::YesNo | FactKind::Choice(_) | FactKind::Entry(_), Known::Bits(bits)) => {
            *bits != 0 && bits & !lowest(fact.width(&base.catalogue)) == 0
        }
        (FactKind::Several(_), Known::Several { yes, no }) => (yes | no) & !lowest(fact.width(&base.catalogue)) == 0 && yes & no == 0,
        _ => false,
    }
}
