//! What is said against what was measured: "the lab found no lead" beside a reading of 3.2. Neither is thrown away; what would ask
//! for less care is kept as a doubt, so that the reading speaks until somebody has settled it.

use super::document::{At, Document, Edit};
use super::session::Session;
use super::settling::doubted;
use ovolo_engine::explain::Outlook;
use ovolo_engine::survey::Survey;
use ovolo_engine::vocabulary::{About, Fact, FactId, Known};

/// A statement that a finding may speak against.
struct Against {
    presumption: usize,
    at: At,
    coat: usize,
    doubt: Edit,
}

impl Session<'_> {
    /// Of what would stand after some edits, what a finding on record speaks against: as doubts, with the titles of the facts.
    pub(super) fn against_a_finding(&self, edits: &[Edit]) -> (Vec<Edit>, Vec<String>) {
        let nothing = (Vec::new(), Vec::new());
        let touched = |e: &Edit| match e {
            Edit::Fact { at: At::Surface(s) | At::Coat(s, _), .. } | Edit::Coats { surface: s, .. } => Some(*s),
            _ => None,
        };
        let Some(surface) = edits.iter().find_map(touched) else { return nothing };
        let Ok((document, survey)) = self.tried(edits) else { return nothing };
        let all = self.may_be_spoken_against(&document, &survey, surface);
        if all.is_empty() {
            return nothing;
        }
        // What the findings give where nothing is stated.
        let with: Vec<Edit> = edits.iter().cloned().chain(all.iter().map(|a| a.doubt.clone())).collect();
        let Ok((_, open)) = self.tried(&with) else { return nothing };
        let Ok(outlook) = Outlook::new(&self.judge, &open, surface) else { return nothing };
        let speaks = |a: &Against| {
            let about_it = |coats: &[usize]| !matches!(a.at, At::Coat(..)) || coats.contains(&a.coat);
            outlook.presumed().iter().any(|p| p.presumption == a.presumption && about_it(&p.coats))
        };
        let (mut doubts, mut titles) = nothing;
        for against in all.into_iter().filter(speaks) {
            let title = self.book.base.vocabulary.get(self.book.presumptions[against.presumption].fact).title.clone();
            if !titles.contains(&title) {
                titles.push(title);
            }
            if !doubts.contains(&against.doubt) {
                doubts.push(against.doubt);
            }
        }
        (doubts, titles)
    }

    fn may_be_spoken_against(&self, document: &Document, survey: &Survey, surface: usize) -> Vec<Against> {
        let Some(here) = survey.surfaces.get(surface) else { return Vec::new() };
        let vocabulary = &self.book.base.vocabulary;
        let mut out = Vec::new();
        for (presumption, p) in self.book.presumptions.iter().enumerate().filter(|(_, p)| p.finding) {
            let fact = vocabulary.get(p.fact);
            if fact.eased_by(&p.value) {
                continue;
            }
            let places: Vec<(At, usize)> = match fact.about {
                About::Coat => (0..here.coats.as_ref().map_or(0, Vec::len)).map(|c| (At::Coat(surface, Some(c)), c)).collect(),
                About::Surface => vec![(At::Surface(surface), 0)],
                _ => Vec::new(),
            };
            for (at, coat) in places {
                if let Some(doubt) = self.eased_against(document, survey, (at, p.fact), fact, &p.value) {
                    out.push(Against { presumption, at, coat, doubt });
                }
            }
        }
        out
    }

    /// The doubt about a statement that eases, is certain, and cannot be so where a value is.
    fn eased_against(&self, document: &Document, survey: &Survey, (at, id): (At, FactId), fact: &Fact, value: &Known) -> Option<Edit> {
        let stated = &super::session::facts_of(survey, at)?.get(&id)?.known;
        let (Known::Bits(says), Known::Bits(found)) = (stated, value) else { return None };
        if !fact.eased_by(stated) || says & found != 0 || document.unsure(at, &fact.name) {
            return None;
        }
        Some(Edit::Fact { at, fact: id, toml: doubted(&self.written(id, stated)?) })
    }
}
