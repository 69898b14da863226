//! The front door: what a program that uses the engine asks of a rule book.

use crate::advice::{Advice, Approach, Lead};
use crate::approach::{self, Plan, Settings};
use crate::catalogue::EntryKind;
use crate::diagnostic::{Diagnostic, SourceFile};
use crate::error::{Error, ErrorKind};
use crate::explain::{self, Circumstances};
use crate::finding::Verdict;
use crate::judge::Judge;
use crate::pack::RuleBook;
use crate::patches::{self, sheet};
use crate::quantity::{self, Quantity, Rounding, System};
use crate::reckon::{Desk, Sheet};
use crate::survey::{Proposal, Survey, place_fits};
use crate::words;
use jiff::civil::Date;
use std::fmt;

/// What a rule book says of one method on one surface.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct MethodVerdict {
    /// The id of the method.
    pub method: String,
    /// Its name in a sentence.
    pub title: String,
    /// The verdict.
    pub verdict: Verdict,
}

/// What a calculator gives.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Reckoned {
    /// The least that it can be.
    pub low: Quantity,
    /// The greatest.
    pub high: Quantity,
    /// What was reckoned, as it stands in a sentence.
    pub what: String,
    /// Where the formula comes from.
    pub source: String,
}

/// As a line: what was reckoned, and what it comes to.
impl fmt::Display for Reckoned {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let unit = self.low.unit;
        if self.low.base == self.high.base {
            return write!(f, "{}: {}", self.what, quantity::show_in(self.low.base, unit));
        }
        // A range is never told too narrow.
        let low = quantity::show_rounded(self.low.base, unit, Rounding::Down);
        let high = quantity::show_rounded(self.high.base, unit, Rounding::Up);
        write!(f, "{}: {low} to {high}", self.what)
    }
}

/// Where and when advice is given for.
///
/// ```
/// use ovolo_engine::Circumstances;
/// let when = Circumstances::on("2026-09-01".parse().expect("a date")).at("GB-ENG");
/// assert_eq!(when.place.as_deref(), Some("GB-ENG"));
/// ```
impl Circumstances {
    /// On a day, at the place that the survey names.
    pub fn on(date: Date) -> Self {
        Self { place: None, date }
    }

    /// The same at a place, whatever the survey names.
    #[must_use]
    pub fn at(mut self, place: &str) -> Self {
        self.place = Some(place.to_owned());
        self
    }
}

/// What a rule book is asked. Surfaces and methods go by their names; a survey of another book is refused.
///
/// ```
/// # use ovolo_engine::{Circumstances, Error, Proposal, RuleBook, Survey, Verdict};
/// # fn main() -> Result<(), Error> {
/// let book = RuleBook::load(&ovolo_rules::standard())?;
/// let mut survey = Survey::new(&book, "back yard").at("GB-ENG")?;
/// survey.add("gate")?.set("substrate", "softwood")?.coat("oil-paint")?.set("lead", "present")?;
/// let when = Circumstances::on("2026-09-01".parse().expect("a date"));
///
/// let burnt = book.verdicts(&survey, "gate", &when)?.into_iter().find(|m| m.method == "open-flame").expect("a method");
/// assert_ne!(burnt.verdict, Verdict::Suited);
///
/// let torch = Proposal::new(&book, "open-flame")?;
/// let advice = book.check(&survey, "gate", &torch, &when)?;
/// let found = &advice.surfaces[0].proposals[0];
/// assert_eq!(found.verdict, burnt.verdict);
/// assert!(!found.reasons.is_empty());
/// # Ok(())
/// # }
/// ```
impl RuleBook {
    /// Reads a survey from the text of a file; warnings come with it.
    ///
    /// # Errors
    /// Everything that is wrong with it, each at its place.
    pub fn survey(&self, name: &str, text: &str) -> Result<(Survey, Vec<Diagnostic>), Error> {
        Survey::read(&SourceFile::new(name, text), self)
    }

    /// The verdict of every method on a surface.
    ///
    /// # Errors
    /// Where the survey was made with another book, or has no such surface.
    pub fn verdicts(&self, survey: &Survey, surface: &str, when: &Circumstances) -> Result<Vec<MethodVerdict>, Error> {
        let at = survey.surface_named(surface)?;
        let verdicts = Judge::new(self, place_of(survey, when), when.date).verdicts(survey, at)?;
        let told = self.base.catalogue.entries(EntryKind::Method).values().zip(verdicts);
        Ok(told.map(|(m, verdict)| MethodVerdict { method: m.id.clone(), title: m.title.clone(), verdict }).collect())
    }

    /// Everything there is to say of a survey: verdicts with their reasons, the lead, ways, and what to find out next.
    ///
    /// # Errors
    /// Where the survey was made with another book.
    pub fn advise(&self, survey: &Survey, when: &Circumstances) -> Result<Advice, Error> {
        explain::advise(survey, self, when)
    }

    /// What is said of one proposal: the advice is about that surface, with the proposal as its only one.
    ///
    /// # Errors
    /// Where the survey or the proposal was made with another book, or there is no such surface.
    pub fn check(&self, survey: &Survey, surface: &str, proposal: &Proposal, when: &Circumstances) -> Result<Advice, Error> {
        explain::check(survey, self, when, survey.surface_named(surface)?, proposal)
    }

    /// The ways through the coats of a surface, the lead first, and what comes first there.
    ///
    /// # Errors
    /// Where the survey was made with another book, or has no such surface.
    pub fn leads(&self, survey: &Survey, surface: &str, when: &Circumstances) -> Result<(Vec<Approach>, Lead), Error> {
        explain::leads(survey, self, when, survey.surface_named(surface)?)
    }

    /// A plan of work: the approaches of each surface, the steps of one of them, what they take, and the programme.
    ///
    /// # Errors
    /// Where the survey was made with another book, or has no such surface as is asked for.
    pub fn approach(&self, survey: &Survey, when: &Circumstances, settings: &Settings) -> Result<Plan, Error> {
        approach::plan(survey, self, when, settings)
    }

    /// What the test patches of a surface tell, remover by remover; where there is no log, which patches to make.
    ///
    /// # Errors
    /// Where the survey was made with another book, has no such surface, or the book lacks a figure.
    pub fn patches(&self, survey: &Survey, surface: &str, when: &Circumstances) -> Result<Vec<Sheet>, Error> {
        let at = survey.surface_named(surface)?;
        let desk = Desk::new(self, place_of(survey, when), when.date, survey.system);
        let checked = |survey: &Survey, surface: usize, proposal: &Proposal| explain::check(survey, self, when, surface, proposal);
        let logs = patches::told(survey, at, None, &checked, &desk)?;
        if logs.is_empty() {
            return Ok(vec![sheet::plan_sheet(&patches::plan(survey, at, &checked, &desk)?, &desk)?]);
        }
        logs.iter().map(|told| sheet::log_sheet(surface, told, None, &desk)).collect()
    }

    /// A desk for the calculators that take more than scripts can give them; they stand in [`crate::reckon`], one module a topic.
    ///
    /// # Errors
    /// Where the place is no ISO 3166 code.
    pub fn desk(&self, when: &Circumstances, system: System) -> Result<Desk<'_>, Error> {
        place_fits(when.place.as_deref())?;
        Ok(Desk::new(self, when.place.as_deref(), when.date, system))
    }

    /// Works out a calculator that rules can call, a host's own among them, for figures or ranges written with their units.
    ///
    /// ```
    /// # use ovolo_engine::{Error, RuleBook};
    /// # fn main() -> Result<(), Error> {
    /// let book = RuleBook::load(&ovolo_rules::standard())?;
    /// let dew = book.reckon("dew_point", &["20 C", "60 .. 70 %"])?;
    /// assert!(dew.low.base < dew.high.base);
    /// assert!(book.reckon("dew_point", &["20 mm", "60 %"]).is_err());
    /// # Ok(())
    /// # }
    /// ```
    ///
    /// # Errors
    /// Where there is no such calculator, it takes other figures, or it is not good for them.
    pub fn reckon(&self, calculator: &str, given: &[&str]) -> Result<Reckoned, Error> {
        let found = self.base.calculator(calculator).ok_or_else(|| {
            let names: Vec<&str> = self.base.calculators().map(|c| c.name).collect();
            let help = words::did_you_mean(calculator, names);
            Error::new(ErrorKind::NotThere, Diagnostic::error(format!("there is no calculator `{calculator}`")).maybe_help(help))
        })?;
        if given.len() != found.takes.len() {
            let message = format!("`{calculator}` takes {} figures, and {} are given", found.takes.len(), given.len());
            return Err(Error::new(ErrorKind::CannotReckon, Diagnostic::error(message).help(format!("give {}", found.usage()))));
        }
        let read = given.iter().zip(found.takes.iter()).map(|(text, argument)| {
            let read = quantity::read_range(text, argument.unit());
            read.map_err(|e| Error::new(ErrorKind::Unfit, Diagnostic::error(format!("`{}`: {e}", argument.name))))
        });
        let figures = read.collect::<Result<Vec<_>, _>>()?;
        let ranges: Vec<(f64, f64)> = figures.iter().map(|(low, high)| (low.base, high.base)).collect();
        let told = found.tell(&given.iter().map(|text| text.split_whitespace().collect::<Vec<_>>().join(" ")).collect::<Vec<_>>());
        let (low, high) = found.range(&ranges).ok_or_else(|| Error::from(format!("{told} cannot be worked out")))?;
        let unit = found.unit();
        Ok(Reckoned { low: Quantity { base: low, unit }, high: Quantity { base: high, unit }, what: told, source: found.source.to_owned() })
    }
}

fn place_of<'a>(survey: &'a Survey, when: &'a Circumstances) -> Option<&'a str> {
    when.place.as_deref().or(survey.place.as_deref())
}
