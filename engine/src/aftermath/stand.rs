//! How a script stands on what is known of something that has happened.

use super::Event;
use crate::judge::Subject;
use crate::judge::in_force::InForce;
use crate::judge::know::{How, Slot, Slots};
use crate::judge::walk::{Var, Way, walk};
use crate::reach::Reach;
use crate::role::FactRole;
use crate::survey::{Surface, Survey};
use crate::telling::Teller;
use crate::tree::Tree;
use crate::vocabulary::{About, FactId, Known};
use crate::words;

/// What is looked at: the thing that has happened on its surface.
pub(super) struct Scene<'b, 'i> {
    pub(super) survey: Survey,
    pub(super) surface: usize,
    pub(super) subject: Subject<'b, 'i>,
}

/// How a script stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Standing {
    /// It does not apply.
    Silent,
    /// It applies.
    Applies,
    /// It depends on what is not known: how that reads after "if", and on which facts.
    Open(String, Vec<FactId>),
}

/// The most ways that are told one by one.
const MOST_WAYS: usize = 2;
/// The most things that one of them can ask for.
const MOST_THINGS: usize = 2;

impl<'b, 'i> Scene<'b, 'i> {
    pub(super) fn new(force: &'i InForce<'b>, survey: &Survey, event: &Event<'_>) -> Self {
        let mut survey = survey.clone();
        // Where no surface is named, there is one of which nothing is known.
        let surface = event.surface.unwrap_or_else(|| {
            survey.surfaces.push(Surface::named("what was worked on"));
            survey.surfaces.len() - 1
        });
        let mut subject = Subject::new(force, &survey, surface, &[]);
        let mut slots = force.event(event.about, event.facts);
        let base = &force.book.base;
        // How long ago it was follows from the date that is given.
        let age = base.vocabulary.with(FactRole::HappenedAgo).filter(|f| base.vocabulary.get(*f).about == event.about);
        if let (Some(on), Some(age)) = (event.on, age) {
            let slot = &mut slots[base.vocabulary.get(age).slot];
            if slot.how == How::Open {
                let days = (force.date - on).get_days().max(0);
                let seconds = base.vocabulary.get(age).unit().to_base(f64::from(days));
                *slot = Slot { known: Known::Num(Reach::closed(seconds, seconds)), how: How::Stated };
            }
        }
        subject.event = Some((event.about, slots));
        let mut scene = Self { survey, surface, subject };
        scene.take_care();
        scene
    }

    /// Takes what nobody has looked at, of a coat, the surface or the thing itself, at its careful value. Who is there is not
    /// taken for granted: what depends on that is told so.
    fn take_care(&mut self) {
        let base = &self.subject.force.book.base;
        for (_, fact) in base.vocabulary.iter() {
            let Some(careful) = &fact.careful else { continue };
            let take = |slots: &mut Slots| {
                let slot = &mut slots[fact.slot];
                let can = matches!((careful, &slot.known), (Known::Bits(c), Known::Bits(b)) if b & c == *c);
                if slot.how == How::Open && can {
                    *slot = Slot { known: careful.clone(), how: How::Supposed };
                }
            };
            match fact.about {
                About::Surface => take(&mut self.subject.known.surface),
                About::Coat => self.subject.known.coats.iter_mut().for_each(take),
                about if about.has_happened() => {
                    if let Some((_, slots)) = self.subject.event.as_mut().filter(|(a, _)| *a == about) {
                        take(slots);
                    }
                }
                _ => {}
            }
        }
    }

    pub(super) fn teller(&self) -> Teller<'_, 'b, 'i> {
        Teller { subject: &self.subject, survey: &self.survey, surface: Some(self.surface), system: self.survey.system }
    }

    /// How a script stands; `seen` collects what it read that was taken at its careful value.
    pub(super) fn stands(&self, tree: &Tree, seen: &mut Vec<Var>) -> Standing {
        let compiled = self.subject.force.compile_bare(tree);
        let none = Slots::new();
        let mut read = Vec::new();
        let mut ways: Vec<Way> = Vec::new();
        let mut standing = Standing::Silent;
        for coat in 0..self.subject.known.coats.len().max(1) {
            let found = walk(&compiled, &self.subject.view(coat, &none, None), Some(&mut read));
            if found.certain() || found.applies.iter().any(Vec::is_empty) {
                standing = Standing::Applies;
                break;
            }
            // What cannot be worked out may apply.
            let failing = found.failing.into_iter();
            for way in found.applies.into_iter().chain(failing) {
                if !ways.contains(&way) {
                    ways.push(way);
                }
            }
        }
        if standing == Standing::Silent && !ways.is_empty() {
            standing = self.open(&ways);
        }
        if standing != Standing::Silent {
            for var in read {
                let taken = self.subject.slot(var, &none).is_some_and(|s| s.how == How::Supposed);
                if taken && !seen.contains(&var) {
                    seen.push(var);
                }
            }
        }
        standing
    }

    fn open(&self, ways: &[Way]) -> Standing {
        let teller = self.teller();
        let mut facts: Vec<FactId> = Vec::new();
        let mut titles: Vec<String> = Vec::new();
        for (var, _) in ways.iter().flatten() {
            let (fact, title) = match var {
                Var::Fact(f, _) | Var::Choice(f, ..) => (Some(*f), teller.title(*var)),
                // A comparison of several figures has a number of its own in every compilation.
                Var::Test(..) => (None, "figures that are not known".to_owned()),
            };
            if let Some(fact) = fact.filter(|f| !facts.contains(f)) {
                facts.push(fact);
            }
            if !titles.contains(&title) {
                titles.push(title);
            }
        }
        let plain = |way: &Way| -> Option<String> {
            let things = way.iter().map(|(var, domain)| match var {
                Var::Test(..) => None,
                _ => Some(teller.plain(*var, domain)),
            });
            things.collect::<Option<Vec<String>>>().filter(|t| !t.is_empty() && t.len() <= MOST_THINGS).map(|t| t.join(" and "))
        };
        let told: Option<Vec<String>> = ways.iter().map(plain).collect();
        let says = match told {
            Some(told) if told.len() <= MOST_WAYS => told.join(" or "),
            _ if titles.is_empty() => "it cannot be worked out here".to_owned(),
            _ => format!("it turns out so ({})", words::list(&titles, "and")),
        };
        Standing::Open(says, facts)
    }
}
