//! Leads: the way a good colleague would go, for every surface on which anything may be done, with what it takes for granted.
//!
//! - `usual` lays what is usual beside what is known; packs say what that is, and nothing of it is ever known.
//! - `worlds` judges a surface under any part of it and finds the smallest parts that do.
//! - `way` says whether a way stands under a part, and what could mend it.
//! - `tell` puts provisos and leads into words.
//! - `people` names those whose work it is, or who release it.
//!
//! The ways are those that are best where everything usual is so. Which of them leads does not hang on how much of that is
//! known: taking away what was stated as usual leaves the same lead with one proviso more, so knowing less never leads to doing
//! more. Verdicts, holds and proofs know nothing of all this.

mod people;
mod tell;
pub(crate) mod usual;
mod way;
mod worlds;

pub(crate) use people::people;

use crate::advice::{Approach, Lead, Look, Proviso};
use crate::approach::ways::{self, Candidate};
use crate::catalogue::{AttributeValue, EntryKind};
use crate::explain::Teller;
use crate::finding::{Clears, Extent, First, Likelihood};
use crate::judge::walk::Var;
use crate::judge::{Subject, Verdict, methods};
use crate::pack::Ruling;
use crate::role::AttributeRole;
use crate::survey::{Supposition, Survey};
use crate::vocabulary::About;
use std::collections::BTreeMap;
use tell::Provisos;
use usual::Taken;
use worlds::{Part, Worlds, serves};

/// The most ways given beside the lead.
const MOST_BESIDE: usize = 3;
/// The most methods that are tried in patches.
const MOST_PATCHES: usize = 3;
/// How often a lead that asks for more than the usual is looked at again.
const SETTLING: usize = 3;

/// What is narrowed where it is known in part, one after the other.
const PARTLY: [About; 3] = [About::Site, About::Surface, About::Coat];

/// Leads on one surface.
pub(crate) struct Leads<'a, 'b, 'i> {
    worlds: Worlds<'a, 'b, 'i>,
    teller: Teller<'a, 'b, 'i>,
}

impl<'a, 'b, 'i> Leads<'a, 'b, 'i> {
    /// For the surface a teller tells of.
    pub(crate) fn new(teller: Teller<'a, 'b, 'i>) -> Self {
        let worlds = |partly: &[About]| Worlds::new(teller.subject.force, teller.survey, teller.surface.unwrap_or(0), partly);
        let mut leads = Self { worlds: worlds(&[]), teller: teller.clone() };
        // One thing more is narrowed only where nothing leads through without.
        for known_in_part in 1..=PARTLY.len() {
            if !leads.found_where(leads.worlds.usual).is_empty() {
                break;
            }
            leads.worlds = worlds(&PARTLY[..known_in_part]);
        }
        leads
    }

    /// The ways that stand under a part. Keeping paint of which some has to come off first is no way while nothing takes that off.
    fn found_where(&self, part: Part) -> Vec<Approach> {
        self.standing(part, &self.candidates(part))
    }

    fn standing(&self, part: Part, candidates: &[Candidate]) -> Vec<Approach> {
        let world = self.worlds.world(part);
        let mut found = ways::ways(&world.subject, candidates, self.worlds.perhaps.get());
        found.retain(|way| way::lacks(&self.worlds, &world, way).is_none());
        found
    }

    fn provisos(&self) -> Provisos<'_, 'a, 'b, 'i> {
        Provisos { worlds: &self.worlds, teller: &self.teller }
    }

    /// The ways, the lead first, and what comes first.
    pub(crate) fn ways(&self) -> (Vec<Approach>, Lead) {
        let (mut found, whole) = self.found();
        if !self.teller.subject.known.listed {
            // Nobody counted the coats: what stands in for them is all of them.
            let entries = self.worlds.force.book.base.catalogue.entries(EntryKind::Method);
            for way in &mut found {
                way.says = ways::told(&way.steps, usize::MAX, |id| entries.get(id).map_or_else(|| id.to_owned(), |e| e.title.clone()));
            }
        }
        let mut given: Vec<Approach> = Vec::new();
        let mut kinds = Vec::new();
        for mut way in found {
            let kind = self.kind(&way);
            if kinds.contains(&kind) {
                continue;
            }
            let Some(part) = self.smallest(whole, &way) else { continue };
            let taken = self.worlds.coat_by_coat(part, &|world| way::lacks(&self.worlds, world, &way).is_none());
            let methods = self.methods(&way);
            self.judged_where_met(part, &mut way);
            let told = self.provisos().told(&taken, &methods);
            (way.tried, way.provided) = told.into_iter().partition(|p| way.clears == Clears::None && self.tried(&taken, p));
            kinds.push(kind);
            given.push(way);
            if given.len() > MOST_BESIDE {
                break;
            }
        }
        let lead = self.lead(&given, whole);
        (given, lead)
    }

    /// What comes off is judged where no more than the provisos of its way are met: with less known, more conditions may be asked.
    fn judged_where_met(&self, part: Part, way: &mut Approach) {
        let entries = self.worlds.force.book.base.catalogue.entries(EntryKind::Method);
        let world = self.worlds.world(part);
        for step in way.steps.iter_mut().filter(|s| s.extent != Extent::Stays) {
            let Some(method) = entries.get_index_of(&step.method) else { continue };
            let judged = world.judge(method);
            if self.worlds.serves(&judged.0, true) {
                step.verdict = if judged.0.verdict == Verdict::CantTellYet { Verdict::OnHold } else { judged.0.verdict };
            }
        }
    }

    /// The best ways where all that is usual is so; where none leads through, where a method gets what else it asks for.
    fn found(&self) -> (Vec<Approach>, Part) {
        let usual = self.worlds.usual;
        let candidates = self.candidates(usual);
        let found = self.standing(usual, &candidates);
        // Where all waits for a release, what may have to wait as well and takes less off comes first: else, with more known, less
        // might be done than before.
        if found.first().is_some_and(|way| way.on_hold) {
            self.worlds.perhaps.set(true);
            let more = self.found_where(usual);
            if more.first().is_some_and(|way| ways::extent(way) < ways::extent(&found[0])) {
                return (more, usual);
            }
            self.worlds.perhaps.set(false);
        }
        if !found.is_empty() {
            return (found, usual);
        }
        // Of what methods ask for besides, what leads to the least comes first: else, with some of it known, less might be done than before.
        let open = candidates.iter().filter(|c| c.verdict == Verdict::CantTellYet);
        let more = open
            .filter_map(|c| self.worlds.enough_for(c.method, true))
            .filter_map(|whole| Some((self.found_where(whole), whole)).filter(|(found, _)| !found.is_empty()))
            .min_by_key(|(found, _)| ways::extent(&found[0]));
        let Some((mut found, mut whole)) = more else { return (Vec::new(), usual) };
        // Once its provisos are met nothing else is asked: the lead has to be the lead then too.
        for _ in 0..SETTLING {
            let Some(part) = found.first().and_then(|way| self.smallest(whole, way)) else { break };
            let met = usual | part;
            let met = met | self.worlds.usual_under(met);
            let then = self.found_where(met);
            let same = then.first().zip(found.first()).is_some_and(|(a, b)| a.steps == b.steps);
            if same || then.is_empty() {
                break;
            }
            (found, whole) = (then, met);
        }
        (found, whole)
    }

    /// Every method as it ranks in a world.
    fn candidates(&self, part: Part) -> Vec<Candidate> {
        let world = self.worlds.world(part);
        let mut all: Vec<(ways::Standing, Candidate)> = methods(self.worlds.force)
            .map(|m| {
                let candidate = Candidate::new(&world.subject, m, &world.judge(m).0, self.worlds.perhaps.get());
                (ways::standing(&world.subject, &candidate), candidate)
            })
            .collect();
        // The sort is stable: ties keep catalogue order.
        all.sort_by(|a, b| a.0.cmp(&b.0));
        all.into_iter().map(|(_, c)| c).collect()
    }

    /// The smallest part under which a way stands.
    fn smallest(&self, whole: Part, way: &Approach) -> Option<Part> {
        let lacks = |part: Part| way::lacks(&self.worlds, &self.worlds.world(part), way);
        self.worlds.smallest(whole, &lacks).first().copied()
    }

    /// Whether work that keeps the paint begins by trying something taken for granted.
    fn tried(&self, taken: &[Taken], proviso: &Proviso) -> bool {
        let base = &self.worlds.force.book;
        let mut rows = taken.iter().filter_map(|t| t.row.map(|r| &base.usual[r]));
        rows.any(|usual| usual.tried && base.base.vocabulary.get(usual.fact).id == proviso.fact)
    }

    fn methods(&self, way: &Approach) -> Vec<usize> {
        let entries = self.worlds.force.book.base.catalogue.entries(EntryKind::Method);
        way.steps.iter().filter_map(|s| entries.get_index_of(&s.method)).collect()
    }

    /// What makes a way a way of its own: how much comes off, and the families of its methods.
    fn kind(&self, way: &Approach) -> (Clears, Vec<usize>) {
        let catalogue = &self.worlds.force.book.base.catalogue;
        let family = |m: usize| match catalogue.value(EntryKind::Method, m, AttributeRole::Family) {
            Some(AttributeValue::Choice(family)) => family,
            _ => usize::MAX - m,
        };
        (way.clears, self.methods(way).into_iter().map(family).collect())
    }

    /// The smallest sets of provisos under which a method that can't be told yet would suit.
    pub(crate) fn provided(&self, method: usize) -> Vec<Vec<Proviso>> {
        let whole = self.worlds.enough_for(method, false).or_else(|| self.worlds.asked_for(method));
        let Some(whole) = whole else { return Vec::new() };
        let lacks = |part: Part| {
            let world = self.worlds.world(part);
            let judged = world.judge(method);
            (!serves(&judged.0, false)).then(|| self.worlds.reasons(&world, &judged, false, 0))
        };
        let sets = self.worlds.smallest(whole, &lacks);
        let serving = |world: &worlds::World<'b, 'i>| serves(&world.judge(method).0, false);
        sets.into_iter().map(|part| self.provisos().told(&self.worlds.coat_by_coat(part, &serving), &[method])).collect()
    }

    fn lead(&self, given: &[Approach], whole: Part) -> Lead {
        let mut lead = Lead { first: First::Work, ..Lead::default() };
        let Some(first) = given.first() else {
            lead.first = First::Call;
            lead.call = self.whom_to_call();
            lead.says = tell::sentence(&lead, None);
            return lead;
        };
        let kind = ways::clearing(self.teller.subject).map(|c| c.fact);
        let kind = kind.map(|f| self.worlds.force.book.base.vocabulary.get(f).id.as_str());
        let unseen = !self.teller.subject.known.listed || first.provided.iter().any(|p| Some(p.fact.as_str()) == kind);
        if unseen {
            let mut tried: Vec<String> = Vec::new();
            for step in given.iter().flat_map(|w| &w.steps).filter(|s| s.extent != Extent::Stays) {
                if !tried.contains(&step.method) && tried.len() < MOST_PATCHES {
                    tried.push(step.method.clone());
                }
            }
            lead.patches = tried;
            lead.look.extend(ways::clearing(self.teller.subject).and_then(|c| self.provisos().look(Var::Fact(c.fact, 0))));
        }
        for p in first.provided.iter().chain(&first.tried) {
            if !lead.look.iter().any(|l| l.fact == p.fact) {
                let (fact, about) = (p.fact.clone(), p.about.clone());
                lead.look.push(Look { fact, about, title: p.title.clone(), how_to_find_out: p.how_to_find_out.clone() });
            }
        }
        if first.on_hold {
            lead.first = First::Release;
            lead.release = self.releases(first, whole);
        } else if unseen || first.provided.iter().any(|p| p.usual == Likelihood::Open) {
            lead.first = First::Look;
        }
        lead.says = tell::sentence(&lead, Some(first));
        lead
    }

    /// What holds a way up.
    fn releases(&self, way: &Approach, whole: Part) -> Vec<Look> {
        let world = self.worlds.world(whole);
        let book = self.worlds.force.book;
        let mut out: Vec<Look> = Vec::new();
        for method in self.methods(way) {
            let judged = world.judge(method);
            let undecided = judged.0.verdict == Verdict::CantTellYet && self.worlds.perhaps.get();
            for found in &judged.0.against {
                let rule = &book.rules[found.rule];
                let holds = rule.ruling == Ruling::Hold && (undecided || found.finding.certain());
                let Some(fact) = rule.released_by.filter(|_| holds) else { continue };
                let coat = found.coats.first().filter(|_| book.base.vocabulary.get(fact).about == About::Coat);
                let look = self.provisos().look(Var::Fact(fact, coat.map_or(0, |c| *c as u8)));
                out.extend(look.filter(|l| !out.contains(l)));
            }
        }
        out
    }

    /// What the rules say to do instead, where every method is out: those that stand against the most methods, and none that is
    /// about a few of many.
    fn whom_to_call(&self) -> Vec<String> {
        let world = self.worlds.world(0);
        let book = self.worlds.force.book;
        let mut all = 0;
        let mut against: BTreeMap<usize, (usize, String)> = BTreeMap::new();
        for method in methods(self.worlds.force) {
            all += 1;
            let settings = self.worlds.force.method(method, None, &[]);
            for found in world.judge(method).0.against.iter().filter(|f| f.finding.certain()) {
                let Some(instead) = &book.rules[found.rule].instead else { continue };
                let text = || (0, self.teller.fill(instead, &found.coats, Some(method), &settings));
                against.entry(found.rule).or_insert_with(text).0 += 1;
            }
        }
        let mut most: Vec<(usize, (usize, String))> = against.into_iter().filter(|(_, (count, _))| count * 2 >= all).collect();
        most.sort_by_key(|(rule, (count, _))| (usize::MAX - count, book.rules[*rule].basis, *rule));
        let mut said: Vec<String> = Vec::new();
        for (_, (_, text)) in most {
            if !said.contains(&text) && said.len() < MOST_BESIDE {
                said.push(text);
            }
        }
        said
    }
}

/// What a way takes for granted, as suppositions.
pub(crate) fn granted(way: &Approach) -> Vec<Supposition> {
    way.provided.iter().chain(&way.tried).flat_map(|p| p.set.iter().cloned()).collect()
}

/// The ways of a surface and what comes first.
pub(crate) fn ways(subject: &Subject<'_, '_>, survey: &Survey, surface: usize) -> Vec<Approach> {
    Leads::new(Teller { subject, survey, surface: Some(surface), system: survey.system }).ways().0
}
