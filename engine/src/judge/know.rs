//! What is known when a surface is judged: stated facts, presumptions, and what is still possible of the rest.

use super::in_force::InForce;
use super::walk::{Finding, View, walk};
use crate::catalogue::EntryKind;
use crate::survey::{Facts, PATCH_RESULTS, Proposal, Supposition, Surface, Survey};
use crate::vocabulary::{About, Known};

/// How a fact is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum How {
    /// Nothing is known.
    Open,
    /// The survey states it, in full or in part.
    Stated,
    /// A presumption gives it, by its place in the book.
    Presumed(usize),
    /// The proposal being checked sets it.
    Proposed,
    /// It is supposed, to see what would follow.
    Supposed,
}

/// What is known of one fact.
#[derive(Debug, Clone)]
pub(crate) struct Slot {
    pub(crate) known: Known,
    pub(crate) how: How,
}

/// Slots of the facts about one thing, by the facts' own slot numbers.
pub(crate) type Slots = Vec<Slot>;

/// What is known of one surface.
#[derive(Debug, Clone)]
pub(crate) struct SurfaceKnown {
    pub(crate) surface: Slots,
    pub(crate) coats: Vec<Slots>,
    /// Whether the survey lists the coats; if not, one coat of which nothing is known stands in.
    pub(crate) listed: bool,
    /// What test patches showed: the method, and what came of it by its place in `PATCH_RESULTS`.
    pub(crate) patched: Vec<(usize, usize)>,
}

impl InForce<'_> {
    fn blank(&self, about: About) -> Slots {
        let base = &self.book.base;
        base.vocabulary
            .iter()
            .filter(|(_, f)| f.about == about)
            .map(|(_, f)| Slot { known: f.anything(&base.catalogue), how: How::Open })
            .collect()
    }

    fn fill(&self, slots: &mut Slots, facts: &Facts, about: About, how: How) {
        for (id, stated) in facts {
            let fact = self.book.base.vocabulary.get(*id);
            // A statement that rules nothing out states nothing: a presumption can still speak.
            if fact.about == about && stated.known != fact.anything(&self.book.base.catalogue) {
                slots[fact.slot] = Slot { known: stated.known.clone(), how };
            }
        }
    }

    /// What is known of the site.
    pub(crate) fn site(&self, survey: &Survey, supposed: &[Supposition]) -> Slots {
        let mut site = self.blank(About::Site);
        self.fill(&mut site, &survey.site, About::Site, How::Stated);
        self.suppose(&mut site, supposed, About::Site, None);
        let empty = SurfaceKnown { surface: Vec::new(), coats: Vec::new(), listed: true, patched: Vec::new() };
        self.presume(About::Site, &mut site, &mut empty.clone());
        site
    }

    /// What is known of a surface.
    pub(crate) fn surface(&self, site: &mut Slots, surface: &Surface, supposed: &[Supposition]) -> SurfaceKnown {
        let result = |word: &str| PATCH_RESULTS.iter().position(|r| *r == word);
        let patched = surface.patches.iter().filter_map(|p| Some((p.method?.at(), result(p.result.as_deref()?)?))).collect();
        let mut known = SurfaceKnown { surface: self.blank(About::Surface), coats: Vec::new(), listed: surface.coats.is_some(), patched };
        self.fill(&mut known.surface, &surface.facts, About::Surface, How::Stated);
        self.suppose(&mut known.surface, supposed, About::Surface, None);
        let listed = surface.coats.as_deref();
        let nothing = [Facts::new()];
        for (index, facts) in listed.unwrap_or(&nothing).iter().enumerate() {
            let mut coat = self.blank(About::Coat);
            self.fill(&mut coat, facts, About::Coat, How::Stated);
            self.suppose(&mut coat, supposed, About::Coat, Some(index));
            known.coats.push(coat);
        }
        self.presume(About::Surface, site, &mut known);
        self.presume(About::Coat, site, &mut known);
        known
    }

    /// What is known of something that has happened.
    pub(crate) fn event(&self, about: About, facts: &Facts) -> Slots {
        let mut slots = self.blank(about);
        self.fill(&mut slots, facts, about, How::Stated);
        slots
    }

    /// What can be chosen with a method, less what a proposal sets.
    pub(crate) fn method(&self, method: usize, proposal: Option<&Proposal>, supposed: &[Supposition]) -> Slots {
        let mut slots = self.blank(About::Method);
        let entry = &self.book.base.catalogue.entries(EntryKind::Method)[method];
        for (id, reach) in &entry.settings {
            let slot = self.book.base.vocabulary.get(*id).slot;
            if let Known::Num(all) = &slots[slot].known {
                slots[slot].known = Known::Num(all.and(reach));
            }
        }
        if let Some(proposal) = proposal {
            self.fill(&mut slots, &proposal.settings, About::Method, How::Proposed);
        }
        self.suppose(&mut slots, supposed, About::Method, None);
        slots
    }

    /// Lays a proposal's site and surface choices over what the survey states.
    pub(crate) fn propose(&self, site: &mut Slots, known: &mut SurfaceKnown, proposal: &Proposal) {
        self.fill(site, &proposal.settings, About::Site, How::Proposed);
        self.fill(&mut known.surface, &proposal.settings, About::Surface, How::Proposed);
    }

    fn suppose(&self, slots: &mut Slots, supposed: &[Supposition], about: About, coat: Option<usize>) {
        for s in supposed {
            let fact = self.book.base.vocabulary.get(s.fact);
            if fact.about == about && (s.coat.is_none() || s.coat == coat) {
                slots[fact.slot] = Slot { known: s.known.clone(), how: How::Supposed };
            }
        }
    }

    /// Gives presumed values to facts about which nothing is stated.
    fn presume(&self, about: About, site: &mut Slots, known: &mut SurfaceKnown) {
        let base = &self.book.base;
        for ready in &self.presumptions {
            let presumption = &self.book.presumptions[ready.rule];
            let fact = base.vocabulary.get(presumption.fact);
            if fact.about != about {
                continue;
            }
            let coats = if about == About::Coat { known.coats.len() } else { 1 };
            for coat in 0..coats {
                let slot = match about {
                    About::Site => &site[fact.slot],
                    About::Surface => &known.surface[fact.slot],
                    _ => &known.coats[coat][fact.slot],
                };
                if slot.how != How::Open {
                    continue;
                }
                let waits = presumption.unstated.iter().any(|f| {
                    let f = base.vocabulary.get(*f);
                    let slots = match f.about {
                        About::Site => &*site,
                        About::Surface => &known.surface,
                        _ => &known.coats[coat],
                    };
                    !matches!(slots[f.slot].how, How::Open | How::Presumed(_))
                });
                if waits {
                    continue;
                }
                let none = Vec::new();
                let view = View {
                    base,
                    site,
                    surface: &known.surface,
                    coat: known.coats.get(coat).unwrap_or(&none),
                    coat_index: coat,
                    method: &none,
                    event: None,
                    unreleased: None,
                };
                let Finding { applies, silent, fails, .. } = walk(&ready.tree, &view, None);
                if !silent && fails.is_none() && !applies.is_empty() {
                    let slot = Slot { known: presumption.value.clone(), how: How::Presumed(ready.rule) };
                    match about {
                        About::Site => site[fact.slot] = slot,
                        About::Surface => known.surface[fact.slot] = slot,
                        _ => known.coats[coat][fact.slot] = slot,
                    }
                }
            }
        }
    }
}
