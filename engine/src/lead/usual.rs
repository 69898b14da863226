//! What is taken for granted on a surface: for every found fact that is open, what the surveyor thought, else what packs say is
//! usual. Nothing of it is known; it is laid beside the survey to see where a lead would go.

use crate::judge::Subject;
use crate::judge::in_force::InForce;
use crate::judge::know::{How, Slot, Slots};
use crate::judge::walk::{Domain, Var, walk};
use crate::survey::{Facts, Survey};
use crate::telling::suppose;
use crate::vocabulary::{About, FactId, Known, flag};

/// One thing taken for granted: a fact, of one coat or of several.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Taken {
    /// What it comes to, variable by variable.
    pub(crate) changes: Vec<(Var, Domain)>,
    /// Whether a practitioner takes it so until told otherwise.
    pub(crate) likely: bool,
    /// The usual value it comes from, by its place in the book.
    pub(crate) row: Option<usize>,
}

impl Taken {
    /// Whether it is about a variable.
    pub(crate) fn about(&self, var: Var) -> bool {
        self.changes.iter().any(|(v, _)| *v == var)
    }
}

/// A surface as it would be if all of `taken` were so.
pub(crate) fn supposed<'b, 'i>(force: &'i InForce<'b>, survey: &Survey, surface: usize, taken: &[&Taken]) -> Subject<'b, 'i> {
    let changes: Vec<(Var, Domain)> = taken.iter().flat_map(|t| t.changes.iter().cloned()).collect();
    let mut subject = Subject::new(force, survey, surface, &suppose(force, survey, surface, &changes));
    let of_a_coat = |var: &Var| match var {
        Var::Fact(f, _) | Var::Choice(f, ..) => force.book.base.vocabulary.get(*f).about == About::Coat,
        Var::Test(..) => false,
    };
    // Who says what the coats are has listed them.
    subject.known.listed |= changes.iter().any(|(var, _)| of_a_coat(var));
    subject
}

/// Everything that is usual on a surface.
///
/// What is known in part is left as it is, so that a way serves whatever it turns out to be; what is about one of `partly` is
/// narrowed too.
pub(crate) fn usual(force: &InForce<'_>, survey: &Survey, surface: usize, partly: &[About]) -> Vec<Taken> {
    grown(force, survey, surface, partly, thought(force, survey, surface, false))
}

/// A surface as it would be if what the survey thinks without being sure were so, as far as that asks for no less care; nothing
/// where it thinks nothing of the kind.
pub(crate) fn as_thought<'b, 'i>(force: &'i InForce<'b>, survey: &Survey, surface: usize) -> Option<Subject<'b, 'i>> {
    let taken = thought(force, survey, surface, true);
    (!taken.is_empty()).then(|| supposed(force, survey, surface, &taken.iter().collect::<Vec<_>>()))
}

/// What is taken already, and after it everything that is usual where that is so.
pub(crate) fn grown(force: &InForce<'_>, survey: &Survey, surface: usize, partly: &[About], mut all: Vec<Taken>) -> Vec<Taken> {
    let base = &force.book.base;
    let anew = |all: &[Taken]| supposed(force, survey, surface, &all.iter().collect::<Vec<_>>());
    let mut subject = anew(&all);
    for ready in &force.usual {
        let usual = &force.book.usual[ready.rule];
        let about = base.vocabulary.get(usual.fact).about;
        let mut changes = Vec::new();
        for coat in 0..if about == About::Coat { subject.known.coats.len() } else { 1 } {
            let Some(slot) = slot(&subject, usual.fact, coat) else { continue };
            let open = match slot.how {
                How::Open | How::Presumed(_) => true,
                How::Stated => partly.contains(&about),
                How::Proposed | How::Supposed => false,
            };
            if !open || slot.known.settled(base.vocabulary.get(usual.fact), &base.catalogue) {
                continue;
            }
            let narrower = narrowed(&slot.known, &usual.value, usual.fact, coat);
            if !narrower.is_empty() && walk(&ready.tree, &subject.view(coat, &Slots::new(), None), None).certain() {
                changes.extend(narrower);
            }
        }
        if !changes.is_empty() {
            all.push(Taken { changes, likely: usual.likely, row: Some(ready.rule) });
            subject = anew(&all);
        }
    }
    all
}

/// What the survey thinks without being sure, all of it or what asks for no less care.
fn thought(force: &InForce<'_>, survey: &Survey, surface: usize, careful: bool) -> Vec<Taken> {
    let base = &force.book.base;
    let subject = Subject::new(force, survey, surface, &[]);
    let mut all = Vec::new();
    let mut take = |facts: &Facts, coat: usize| {
        for (id, stated) in facts {
            let fact = base.vocabulary.get(*id);
            let Some(value) = stated.thought(*id, base).filter(|v| !(fact.chosen || careful && fact.eased_by(v))) else { continue };
            let Some(slot) = slot(&subject, *id, coat).filter(|s| s.how == How::Open) else { continue };
            let changes = narrowed(&slot.known, &value, *id, coat);
            if !changes.is_empty() {
                all.push(Taken { changes, likely: true, row: None });
            }
        }
    };
    take(&survey.site, 0);
    take(&survey.surfaces[surface].facts, 0);
    for (coat, facts) in survey.surfaces[surface].coats.iter().flatten().enumerate() {
        take(facts, coat);
    }
    all
}

fn slot<'s>(subject: &'s Subject<'_, '_>, id: FactId, coat: usize) -> Option<&'s Slot> {
    let fact = subject.base().vocabulary.get(id);
    match fact.about {
        About::Site => subject.site.get(fact.slot),
        About::Surface => subject.known.surface.get(fact.slot),
        About::Coat => subject.known.coats.get(coat)?.get(fact.slot),
        About::Method | About::Incident | About::Trouble => None,
    }
}

/// What a value adds to what is known; nothing where it is known already, or known to be otherwise.
fn narrowed(known: &Known, value: &Known, id: FactId, coat: usize) -> Vec<(Var, Domain)> {
    let var = Var::Fact(id, coat as u8);
    match (known, value) {
        (Known::Bits(a), Known::Bits(b)) if a & b != 0 && a & b != *a => vec![(var, Domain::Bits(a & b))],
        (Known::Num(a), Known::Num(b)) => {
            let both = a.and(b);
            if both.is_empty() || both == *a { Vec::new() } else { vec![(var, Domain::Num(both))] }
        }
        (Known::Several { yes, no }, Known::Several { yes: more, no: less }) => (0..128_u8)
            .filter(|o| (yes | no) >> o & 1 == 0 && (more | less) >> o & 1 == 1)
            .map(|o| (Var::Choice(id, o, coat as u8), Domain::Bits(if more >> o & 1 == 1 { flag::YES } else { flag::NO })))
            .collect(),
        _ => Vec::new(),
    }
}
