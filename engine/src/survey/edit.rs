//! Making a survey in code: surfaces, coats, proposals and facts by name, each checked as it is stated.

use super::read::{MOST_COATS, MOST_SURFACES};
use super::set::named;
use super::{Facts, PATCH_RESULTS, Patch, Proposal, Surface, Survey, Value};
use crate::catalogue::EntryKind;
use crate::diagnostic::Diagnostic;
use crate::error::{Error, ErrorKind};
use crate::pack::{RuleBook, check_place};
use crate::quantity::Quantity;
use crate::reckon::units::{Length, Measure, Time};
use crate::role::FactRole;
use crate::script::Base;
use crate::vocabulary::{About, FactId};
use crate::words;
use jiff::civil::Date;
use std::sync::Arc;

fn not_there(message: String, help: Option<String>) -> Error {
    Error::new(ErrorKind::NotThere, Diagnostic::error(message).maybe_help(help))
}

/// Making a survey in code.
///
/// ```
/// # use ovolo_engine::{Error, RuleBook, Survey};
/// # fn main() -> Result<(), Error> {
/// # let book = RuleBook::load(&ovolo_rules::standard())?;
/// let mut survey = Survey::new(&book, "back yard");
/// survey.set("built", 1895)?.set("occupied", true)?;
/// let mut gate = survey.add("gate")?;
/// gate.set("substrate", "softwood")?;
/// gate.coat("oil-paint")?.set("lead", "present")?;
///
/// // What is no fact of the thing is refused, with the nearest that is.
/// let refused = survey.surface("gate")?.set("built", 1895).unwrap_err();
/// assert!(refused.to_string().contains("`built` is a fact about the site"));
/// # Ok(())
/// # }
/// ```
impl Survey {
    /// A survey of nothing yet, for one rule book.
    pub fn new(book: &RuleBook, title: &str) -> Self {
        Self { title: title.to_owned(), ..Self::empty(&book.base) }
    }

    /// The same at a place, whose law is then applied.
    ///
    /// # Errors
    /// Where the place is no ISO 3166 code.
    pub fn at(mut self, place: &str) -> Result<Self, Error> {
        check_place(place)?;
        self.system = self.base.customs.system_at(Some(place));
        self.place = Some(place.to_owned());
        Ok(self)
    }

    /// The same, made on a day.
    #[must_use]
    pub fn on(mut self, date: Date) -> Self {
        self.date = Some(date);
        self
    }

    /// States a fact of the site.
    ///
    /// # Errors
    /// Where there is no such fact about the site, or it cannot have that value.
    pub fn set(&mut self, name: &str, value: impl Into<Value>) -> Result<&mut Self, Error> {
        state(&mut self.site, About::Site, name, &value.into(), &self.base)?;
        Ok(self)
    }

    /// Adds a surface of which nothing is known yet.
    ///
    /// # Errors
    /// Where there is one of that name, or the name is empty.
    pub fn add(&mut self, name: &str) -> Result<SurfaceMut<'_>, Error> {
        if name.trim().is_empty() {
            return Err(Error::unfit("a surface has a name, such as `front door`"));
        }
        if self.position(name).is_some() {
            return Err(Error::unfit(format!("two surfaces are named `{name}`")));
        }
        if self.surfaces.len() >= MOST_SURFACES {
            return Err(Error::unfit(format!("a survey can have {MOST_SURFACES} surfaces at most")));
        }
        self.surfaces.push(Surface::named(name));
        self.surface(name)
    }

    /// A surface by name, to state more of it.
    ///
    /// # Errors
    /// Where there is none of that name.
    pub fn surface(&mut self, name: &str) -> Result<SurfaceMut<'_>, Error> {
        let at = self.surface_named(name)?;
        Ok(SurfaceMut { surface: &mut self.surfaces[at], base: &self.base })
    }

    /// The place of a surface in the list, by name.
    pub fn position(&self, name: &str) -> Option<usize> {
        self.surfaces.iter().position(|s| s.name == name)
    }

    /// The same, as an error that names the nearest.
    pub(crate) fn surface_named(&self, name: &str) -> Result<usize, Error> {
        let names = self.surfaces.iter().map(|s| s.name.as_str());
        self.position(name).ok_or_else(|| not_there(format!("the survey has no surface `{name}`"), words::offer(name, names)))
    }
}

/// A surface of a survey, to state more of it.
///
/// ```
/// # use ovolo_engine::{Error, RuleBook, Survey};
/// # fn main() -> Result<(), Error> {
/// # let book = RuleBook::load(&ovolo_rules::standard())?;
/// let mut survey = Survey::new(&book, "back yard");
/// let mut gate = survey.add("gate")?;
/// gate.set("substrate", "softwood")?.set("area", "3 m2")?;
/// gate.coat("masonry-paint")?;
/// gate.coat("oil-paint")?;
/// gate.set("coat.lead", "present")?; // of every coat that is listed
/// assert_eq!(survey.surfaces[0].coats.as_ref().map(Vec::len), Some(2));
/// # Ok(())
/// # }
/// ```
#[derive(Debug)]
pub struct SurfaceMut<'s> {
    surface: &'s mut Surface,
    base: &'s Arc<Base>,
}

impl SurfaceMut<'_> {
    /// States a fact of the surface, or with `coat.` before it one of every coat that is listed.
    ///
    /// # Errors
    /// Where there is no such fact, it cannot have that value, or no coat is listed to have it.
    pub fn set(&mut self, name: &str, value: impl Into<Value>) -> Result<&mut Self, Error> {
        let value = value.into();
        if !name.starts_with("coat.") {
            state(&mut self.surface.facts, About::Surface, name, &value, self.base)?;
            return Ok(self);
        }
        named(&self.base.vocabulary, name, About::Coat)?;
        let coats = self.surface.coats.iter_mut().flatten();
        if coats.map(|coat| state(coat, About::Coat, name, &value, self.base)).collect::<Result<Vec<_>, _>>()?.is_empty() {
            let help = "list the coats from the top down first; how many there are is itself something to know";
            return Err(not_there(format!("`{name}` is said of coats, and none is listed"), Some(help.to_owned())));
        }
        Ok(self)
    }

    /// Lists one more coat, below those that are listed already.
    ///
    /// # Errors
    /// Where there is no such kind of coat.
    pub fn coat(&mut self, kind: &str) -> Result<CoatMut<'_>, Error> {
        let mut facts = Facts::new();
        let name = self.base.vocabulary.with(FactRole::Kind).map_or(String::new(), |k| self.base.vocabulary.get(k).name.clone());
        state(&mut facts, About::Coat, &name, &kind.into(), self.base)?;
        let coats = self.surface.coats.get_or_insert_with(Vec::new);
        if coats.len() >= MOST_COATS {
            let help = "list each kind of coat once, and say how many with `layers`";
            return Err(Error::new(ErrorKind::Unfit, Diagnostic::error(format!("{MOST_COATS} coats are the most")).help(help)));
        }
        coats.push(facts);
        let at = coats.len() - 1;
        Ok(CoatMut { facts: &mut coats[at], base: self.base })
    }

    /// A coat that is listed, the topmost being 1.
    ///
    /// # Errors
    /// Where there is no such coat.
    pub fn coat_at(&mut self, number: usize) -> Result<CoatMut<'_>, Error> {
        let many = self.surface.coats.as_ref().map_or(0, Vec::len);
        let found = number.checked_sub(1).and_then(|at| self.surface.coats.as_mut()?.get_mut(at));
        let facts = found.ok_or_else(|| not_there(format!("there is no coat {number}; {many} are listed, counted from the top"), None))?;
        Ok(CoatMut { facts, base: self.base })
    }

    /// States that there is no coat at all: somebody has looked.
    pub fn no_coats(&mut self) -> &mut Self {
        self.surface.coats = Some(Vec::new());
        self
    }

    /// Logs a test patch: the remover, how thick it was put on, how long it was left, and what came of it (`cleared`, `part` or `not`).
    ///
    /// # Errors
    /// Where there is no such method or result.
    pub fn patch(&mut self, method: &str, thickness: Length, dwell: Time, result: &str) -> Result<&mut Self, Error> {
        let method = Proposal::of(method, self.base)?.method;
        if !PATCH_RESULTS.contains(&result) {
            let help = format!("one of {}", words::list(&PATCH_RESULTS, "or"));
            return Err(Error::new(ErrorKind::Unfit, Diagnostic::error(format!("`{result}` is not the result of a patch")).help(help)));
        }
        let [thickness, dwell] =
            [(thickness.base(), Length::unit()), (dwell.base(), Time::unit())].map(|(base, unit)| Quantity { base, unit });
        if [thickness, dwell].iter().any(|q| !q.base.is_finite() || q.base < 0.0) {
            return Err(Error::unfit("a patch has a thickness and a dwell that can be measured"));
        }
        self.surface.patches.push(Patch {
            method: Some(method),
            thickness: Some(thickness),
            dwell: Some(dwell),
            temperature: None,
            result: Some(result.to_owned()),
            on: None,
            at: None,
            note: None,
        });
        Ok(self)
    }

    /// Proposes a method here.
    ///
    /// # Errors
    /// Where there is no such method.
    pub fn propose(&mut self, method: &str) -> Result<ProposalMut<'_>, Error> {
        let proposals = &mut self.surface.proposals;
        proposals.push(Proposal::of(method, self.base)?);
        let at = proposals.len() - 1;
        Ok(ProposalMut { proposal: &mut proposals[at], base: self.base })
    }
}

/// A coat of a surface, to state more of it.
///
/// ```
/// # use ovolo_engine::{Error, RuleBook, Survey};
/// # fn main() -> Result<(), Error> {
/// # let book = RuleBook::load(&ovolo_rules::standard())?;
/// let mut survey = Survey::new(&book, "back yard");
/// let mut gate = survey.add("gate")?;
/// gate.coat("oil-paint")?.set("thickness", "0.5 .. 2 mm")?.set("layers", 4)?;
/// assert!(gate.coat_at(1)?.set("thickness", "2").is_err(), "a length has a unit");
/// # Ok(())
/// # }
/// ```
#[derive(Debug)]
pub struct CoatMut<'s> {
    facts: &'s mut Facts,
    base: &'s Arc<Base>,
}

impl CoatMut<'_> {
    /// States a fact of the coat.
    ///
    /// # Errors
    /// Where there is no such fact about a coat, or it cannot have that value.
    pub fn set(&mut self, name: &str, value: impl Into<Value>) -> Result<&mut Self, Error> {
        state(self.facts, About::Coat, name, &value.into(), self.base)?;
        Ok(self)
    }
}

/// A method that is proposed, to say how it would be used.
///
/// ```
/// # use ovolo_engine::{Error, RuleBook, Survey};
/// # fn main() -> Result<(), Error> {
/// # let book = RuleBook::load(&ovolo_rules::standard())?;
/// let mut survey = Survey::new(&book, "back yard");
/// survey.add("gate")?.propose("hot-air")?.set("tool_temperature", "450 C")?;
/// # Ok(())
/// # }
/// ```
#[derive(Debug)]
pub struct ProposalMut<'s> {
    proposal: &'s mut Proposal,
    base: &'s Arc<Base>,
}

impl ProposalMut<'_> {
    /// Says how the method is set and what is arranged with it.
    ///
    /// # Errors
    /// As [`Proposal::set`].
    pub fn set(&mut self, name: &str, value: impl Into<Value>) -> Result<&mut Self, Error> {
        self.proposal.put(name, &value.into(), self.base)?;
        Ok(self)
    }
}

/// What would be done: a method and how it is used.
///
/// ```
/// # use ovolo_engine::{Error, Proposal, RuleBook};
/// # fn main() -> Result<(), Error> {
/// # let book = RuleBook::load(&ovolo_rules::standard())?;
/// let mut torch = Proposal::new(&book, "hot-air")?;
/// torch.set(&book, "tool_temperature", "450 C")?;
/// assert!(Proposal::new(&book, "hot-ear").unwrap_err().to_string().contains("did you mean `hot-air`?"));
/// # Ok(())
/// # }
/// ```
impl Proposal {
    /// A method with nothing said of how it is used.
    ///
    /// # Errors
    /// Where there is no such method.
    pub fn new(book: &RuleBook, method: &str) -> Result<Self, Error> {
        Self::of(method, &book.base)
    }

    fn of(method: &str, base: &Base) -> Result<Self, Error> {
        let found = base.method(method);
        let none = || not_there(format!("`{method}` is not a method of the catalogue"), base.catalogue.instead(EntryKind::Method, method));
        Ok(Self { method: found.ok_or_else(none)?, settings: Facts::new(), note: None })
    }

    /// Says how the method is set and what is arranged with it: facts that are chosen, whatever they are about.
    ///
    /// # Errors
    /// Where that is nothing that is chosen with a method, or it cannot have that value.
    pub fn set(&mut self, book: &RuleBook, name: &str, value: impl Into<Value>) -> Result<&mut Self, Error> {
        self.fits(&book.base)?;
        self.put(name, &value.into(), &book.base)?;
        Ok(self)
    }

    fn put(&mut self, name: &str, value: &Value, base: &Base) -> Result<(), Error> {
        let vocabulary = &base.vocabulary;
        let chosen = |id: &FactId| vocabulary.get(*id).chosen;
        let found = vocabulary.find(name).filter(chosen).or_else(|| {
            [About::Method, About::Surface, About::Site].into_iter().find_map(|a| vocabulary.find_about(a, name).filter(chosen))
        });
        let id = found.ok_or_else(|| {
            let names = vocabulary.iter().filter(|(_, f)| f.chosen).map(|(_, f)| f.name.as_str());
            let bare = name.rsplit('.').next().unwrap_or(name);
            not_there(format!("`{name}` is not something that is chosen with a method"), words::did_you_mean(bare, names))
        })?;
        self.settings.insert(id, value.stated(id, base)?);
        Ok(())
    }
}

fn state(facts: &mut Facts, about: About, name: &str, value: &Value, base: &Base) -> Result<(), Error> {
    let id = named(&base.vocabulary, name, about)?;
    facts.insert(id, value.stated(id, base)?);
    Ok(())
}
